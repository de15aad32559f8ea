#![allow(clippy::unwrap_used)]

use std::f64::consts::TAU;

use super::*;
use crate::progress::Silent;

/// Numbers that look like chance and are always the same (splitmix64; Steele, Lea, Flood 2014).
struct Chance(u64);

impl Chance {
    /// 0 to 1.
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ z >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ z >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ z >> 31) as f64 / u64::MAX as f64
    }

    /// About normal, with a deviation of 1: the sum of twelve.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.next()).sum::<f64>() - 6.0
    }

    fn vector(&mut self) -> Vec3 {
        Vec3::new(self.normal(), self.normal(), self.normal())
    }
}

const RADIUS: f64 = 1.2;

fn on_sphere(chance: &mut Chance) -> Vec3 {
    let z = 2.0 * chance.next() - 1.0;
    let (sin, cos) = (TAU * chance.next()).sin_cos();
    let r = (1.0 - z * z).sqrt();
    Vec3::new(r * cos, r * sin, z) * RADIUS
}

/// On the skin of a hull like Wigley's, 9 m by 1.6 m by 1 m, open on top.
fn on_hull(chance: &mut Chance) -> Vec3 {
    let (u, v) = (2.0 * chance.next() - 1.0, chance.next());
    let side = if chance.next() < 0.5 { -1.0 } else { 1.0 };
    Vec3::new(4.5 * u, side * 0.8 * (1.0 - u * u) * (1.0 - v * v), -v)
}

fn cloud(count: usize, noise: f64, shape: fn(&mut Chance) -> Vec3) -> Vec<[f64; 3]> {
    let mut chance = Chance(7);
    let mut point = || (shape(&mut chance) + chance.vector() * noise).to_array();
    (0..count).map(|_| point()).collect()
}

fn fitted(points: Vec<[f64; 3]>) -> (Fitted, Mesh) {
    let fitted = fit(points, "cloud.xyz", &Silent).unwrap_or_else(|error| panic!("{error}"));
    let (thin, boxes) = &fitted.thin;
    let first = fitted.positions.len() as u32;
    let triangles = fitted.triangles.iter().copied();
    let triangles = triangles.chain(boxes.iter().map(|t| t.map(|corner| first + corner)));
    let vertices = fitted
        .positions
        .iter()
        .chain(thin)
        .map(|&p| Vec3::from_array(p))
        .collect();
    let mesh = Mesh::new(vertices, triangles.collect()).unwrap();
    (fitted, mesh)
}

fn off(mesh: &Mesh, point: Vec3) -> f64 {
    mesh.nearest_to(point).distance(point)
}

/// Every sample and every place of the true shape is within the tolerance.
fn holds(points: &[[f64; 3]], shape: fn(&mut Chance) -> Vec3, fitted: &Fitted, mesh: &Mesh) {
    for &point in points {
        let off = off(mesh, Vec3::from_array(point));
        assert!(off <= fitted.tolerance, "sample {point:?}: {off} off");
    }
    let mut chance = Chance(99);
    for _ in 0..20_000 {
        let point = shape(&mut chance);
        let off = off(mesh, point);
        assert!(off <= fitted.tolerance, "shape at {point}: {off} off");
    }
}

fn says(fitted: &Fitted, what: &str) -> bool {
    let written = |notice| keelstead_units::sentence(notice, keelstead_units::Units::Metric);
    let mut notices = fitted.notices.iter().map(written);
    notices.any(|notice| notice.contains(what))
}

#[test]
fn a_sphere_is_within_the_tolerance_and_closed() {
    for (noise, most) in [(0.0, 0.004), (0.002, 0.015)] {
        let points = cloud(60_000, noise, on_sphere);
        let (fitted, mesh) = fitted(points.clone());
        assert!(fitted.tolerance < most, "{noise}: {}", fitted.tolerance);
        holds(&points, on_sphere, &fitted, &mesh);
        assert!(mesh.topology().closed(), "{noise}: {:?}", mesh.topology());
        for &vertex in mesh.vertices() {
            let off = (vertex.length() - RADIUS).abs();
            assert!(off < fitted.tolerance, "{noise}: vertex {off} off");
        }
        let volume = mesh.volume_m3().unwrap().abs();
        let exact = 2.0 / 3.0 * TAU * RADIUS.powi(3);
        assert!(
            (volume / exact - 1.0).abs() < 0.005,
            "{noise}: {}",
            volume / exact
        );
    }
}

#[test]
fn a_hull_scanned_from_outside_stays_open_on_top() {
    // Where the sides meet at a knife's edge the skin is off by up to a cell.
    for (noise, most) in [(0.0, 0.02), (0.003, 0.04)] {
        let points = cloud(150_000, noise, on_hull);
        let (fitted, mesh) = fitted(points.clone());
        assert!(fitted.tolerance < most, "{noise}: {}", fitted.tolerance);
        holds(&points, on_hull, &fitted, &mesh);
        assert!(!mesh.topology().closed());
        assert!(says(&fitted, "is open"), "{:?}", fitted.notices);
        assert!(!says(&fitted, "left out"), "{:?}", fitted.notices);
        // Looking down on the middle one sees the bottom, not a deck.
        let hit = mesh.cast_ray(Vec3::new(0.2, 0.1, 3.0), -Vec3::Z).unwrap();
        assert!(hit.distance > 3.5, "{}", hit.distance);
        // The keel is not higher than it is, but for the tolerance.
        let low = mesh.lowest_surface(0.0, 0.0).unwrap();
        assert!((low + 1.0).abs() <= fitted.tolerance, "{low}");
    }
}

/// The skin is never further inside than a point by more than the tolerance, also where two skins are
/// nearer to each other than the points are dense.
#[test]
fn a_thin_blade_is_within_the_tolerance() {
    // A rudder, 0.6 m by 1.2 m, 15 mm thick, with its edges.
    fn blade(chance: &mut Chance) -> Vec3 {
        let (x, z) = (0.6 * chance.next(), 1.2 * chance.next());
        let y = 0.015 * chance.next();
        match (chance.next() * 12.0) as u32 {
            0 => Vec3::new(0.6 * chance.next().round(), y, z),
            1 => Vec3::new(x, y, 1.2 * chance.next().round()),
            side => Vec3::new(x, if side % 2 == 0 { 0.0 } else { 0.015 }, z),
        }
    }
    let points = cloud(8_000, 0.0, blade);
    let (fitted, mesh) = fitted(points.clone());
    holds(&points, blade, &fitted, &mesh);
}

#[test]
fn a_hole_stays_a_hole() {
    let mut points = cloud(60_000, 0.0, on_sphere);
    points.retain(|p| (Vec3::from_array(*p) - Vec3::X * RADIUS).length() > 0.3);
    let (fitted, mesh) = fitted(points);
    assert!(!mesh.topology().closed());
    assert!(off(&mesh, Vec3::X * RADIUS) > 0.2, "bridged");
    assert!(says(&fitted, "are bridged"));
}

#[test]
fn what_is_left_out_is_told() {
    let mut points = cloud(60_000, 0.0, on_sphere);
    let mut chance = Chance(3);
    // Spray round about, and a wire high above.
    points.extend((0..40).map(|_| (on_sphere(&mut chance) * (1.5 + chance.next())).to_array()));
    points.extend((0..200).map(|i| [0.0, 0.0, 1.8 + 0.01 * f64::from(i)]));
    let (fitted, mesh) = fitted(points);
    assert!(
        says(&fitted, "40 points near no surface"),
        "{:?}",
        fitted.notices
    );
    assert!(fitted.tolerance < 0.03, "{}", fitted.tolerance);
    // The wire is dense enough to be followed all the same.
    for height in [1.9, 2.5, 3.7] {
        assert!(off(&mesh, Vec3::Z * height) <= fitted.tolerance, "{height}");
    }
}

#[test]
fn two_scans_of_one_boat_and_points_given_twice() {
    let mut points = cloud(80_000, 0.001, on_hull);
    let mut again = points[..30_000].to_vec();
    let mut chance = Chance(5);
    // The second scanner stood a millimetre off.
    let mut second: Vec<_> = (0..80_000)
        .map(|_| (on_hull(&mut chance) + Vec3::new(0.0, 0.0, 0.001)).to_array())
        .collect();
    points.append(&mut again);
    points.append(&mut second);
    let (fitted, mesh) = fitted(points);
    assert!(
        says(&fitted, "30000 points that stood there twice"),
        "{:?}",
        fitted.notices
    );
    holds(&[], on_hull, &fitted, &mesh);
}

#[test]
fn the_order_of_points_does_not_matter() {
    let points = cloud(20_000, 0.001, on_hull);
    let turned: Vec<_> = points.iter().rev().copied().collect();
    let (a, _) = fitted(points);
    let (b, _) = fitted(turned);
    assert_eq!((a.positions, a.triangles), (b.positions, b.triangles));
}

#[test]
fn no_surface_is_an_error() {
    let fault = |points: Vec<[f64; 3]>| {
        let error = fit(points, "cloud.xyz", &Silent).unwrap_err().to_string();
        assert!(error.starts_with("cloud.xyz"), "{error}");
        error
    };
    let line = |count: u32| {
        (0..count)
            .map(|i| [0.01 * f64::from(i), 1.0, 2.0])
            .collect()
    };
    assert!(fault(vec![]).contains("0 different points"));
    assert!(fault(vec![[1.0, 2.0, 3.0]; 5_000]).contains("1 different point;"));
    assert!(fault(line(3)).contains("3 different points"));
    assert!(fault(line(5_000)).contains("no surface"));
    let mut nan = cloud(1_000, 0.0, on_sphere);
    nan[17][1] = f64::NAN;
    assert!(fault(nan).contains("point 18"));
    // As many in every part of a room: no surface.
    let mut chance = Chance(1);
    let room = (0..20_000).map(|_| [chance.next(), chance.next(), chance.next()]);
    let text = fault(room.collect());
    assert!(text.contains("surface"), "{text}");
    assert!(fault(vec![[1e300, 0.0, 0.0], [-1e300, 0.0, 0.0]]).contains("different"));
}

#[test]
fn it_stops_when_asked() {
    struct Stop;
    impl Progress for Stop {
        fn report(&self, _: f64, _: &str) {}
        fn cancelled(&self) -> bool {
            true
        }
    }
    let error = fit(cloud(1_000, 0.0, on_sphere), "a.xyz", &Stop).unwrap_err();
    assert_eq!(error, FileError::Cancelled);
}
