//! When a pad meets a triangle, beside the library's own cast of one shape at another.

use std::sync::Arc;

use parry3d_f64::query::details::ShapeCastOptions;
use proptest::prelude::*;

use super::*;
use keelstead_boat::hull::{HullFacts, PartKind, PartUse};
use keelstead_geometry::solids::cuboid;
use keelstead_units::fields::Range;

/// Farther than anything here is, m.
const FAR_M: f64 = 20.0;

/// When a pad that goes along `direction` meets a triangle, by the library's own cast; none if it passes it by.
fn cast(start: &Pose, direction: Vec3, pad: &Cuboid, triangle: &Triangle) -> Option<f64> {
    let options = ShapeCastOptions {
        max_time_of_impact: FAR_M,
        ..ShapeCastOptions::default()
    };
    let still = (Pose::identity(), Vec3::ZERO);
    let hit = query::cast_shapes(start, direction, pad, &still.0, still.1, triangle, options);
    hit.unwrap().map(|hit| hit.time_of_impact)
}

fn twice_area_m2(a: Vec3, b: Vec3, c: Vec3) -> f64 {
    (b - a).cross(c - a).length()
}

fn vec(far: f64) -> impl Strategy<Value = Vec3> {
    [-far..far, -far..far, -far..far].prop_map(Vec3::from_array)
}

proptest! {
    #[test]
    fn a_pad_meets_a_triangle_where_a_cast_says(
        half in [0.05..0.3, 0.01..0.1, 0.05..0.3].prop_map(Vec3::from_array),
        turn in vec(3.0),
        way in vec(1.0).prop_filter("a way", |way| way.length() > 0.1),
        corners in [vec(0.4), vec(0.4), vec(0.4)],
        ahead_m in 1.5..4.0,
    ) {
        let direction: Vec3 = way.normalize();
        let start = Pose::from_parts(Vec3::ZERO, Rot3::from_scaled_axis(turn));
        let [a, b, c] = corners.map(|corner: Vec3| direction * ahead_m + corner);
        prop_assume!(twice_area_m2(a, b, c) > 1e-3);
        let pad = Cuboid::new(half);
        let triangle = Triangle::new(a, b, c);
        let mesh = Mesh::new(vec![a, b, c], vec![[0, 1, 2]]).unwrap();
        let found = ShapeCast::new(&mesh, pad, start, direction, FAR_M).meets_m(&triangle);
        match cast(&start, direction, &pad, &triangle) {
            Some(expected) => prop_assert!((found - expected).abs() < 1e-5, "{found} {expected}"),
            // What is only grazed, the cast may pass by: made a hair larger it must not then.
            None => {
                let larger = Cuboid::new(half + Vec3::splat(1e-4));
                let grazed = cast(&start, direction, &larger, &triangle).is_some();
                prop_assert!(found.is_infinite() || grazed, "{found}");
            }
        }
    }

    #[test]
    fn what_a_pad_touches_is_on_the_triangle_and_at_the_pad(
        corners in [vec(0.4), vec(0.4), vec(0.4)],
        ahead_m in 1.5..4.0,
    ) {
        let direction = Vec3::Y;
        let [a, b, c] = corners.map(|corner: Vec3| direction * ahead_m + corner);
        prop_assume!(twice_area_m2(a, b, c) > 1e-3);
        let pad = Cuboid::new(Vec3::new(0.15, 0.03, 0.2));
        let start = Pose::identity();
        let triangle = Triangle::new(a, b, c);
        let mesh = Mesh::new(vec![a, b, c], vec![[0, 1, 2]]).unwrap();
        let way_m = ShapeCast::new(&mesh, pad, start, direction, FAR_M).meets_m(&triangle);
        prop_assume!(way_m.is_finite());
        let there = Pose::from_translation(direction * (way_m - 1e-4));
        let at = nearest_on(&triangle, &there, &pad);
        let on_triangle = triangle.project_local_point(at, false).point;
        prop_assert!((on_triangle - at).length() < 1e-9);
        let on_pad = pad.project_point(&there, at, true).point;
        prop_assert!((on_pad - at).length() < 2e-4, "{at:?}");
    }
}

/// A slab in the hull frame whose face toward the pad leans by `leans_rad`, its foot at `y_m`.
fn slab(y_m: f64, leans_rad: f64) -> Hull {
    let turn = Rot3::from_rotation_x(leans_rad);
    let at = |corner: Vec3| Vec3::new(0.0, y_m, 0.0) + turn * corner;
    let flat = cuboid([-3.0, -2.0, -3.0], [3.0, 0.0, 3.0]);
    let vertices = flat.vertices().iter().map(|v| at(*v)).collect();
    let mesh = Mesh::new(vertices, flat.triangles().to_vec()).unwrap();
    Hull::new("slab", vec![body(mesh)], HullFacts::default()).unwrap()
}

fn body(mesh: Mesh) -> HullPart {
    HullPart {
        name: "body".into(),
        kind: PartKind::Body,
        part_use: PartUse::Checked,
        mesh: Arc::new(mesh),
    }
}

/// A pad on the left at height nought, its arm level, with a face of half a metre by 0.35 m.
fn mount() -> PadMount {
    PadMount {
        name: "pad".into(),
        pivot: Point::new(0.0, 2.0, 0.0),
        elevation_rad: Range { min: 0.0, max: 1.5 },
        reach_m: Range { min: 0.2, max: 1.2 },
        pad_length_m: 0.5,
        pad_height_m: 0.35,
        pad_thickness_m: 0.1,
        swivel_rad: 0.7,
        rating_n: None,
        stiffness_n_per_m: None,
    }
}

fn run_out(hull: &Hull, reach: Reach) -> StandingPad {
    let setting = PadSetting {
        pad: "pad".into(),
        elevation_rad: 0.0,
        reach,
    };
    let still = Pose::identity();
    stand(hull, &mount(), Some(&setting), &still, &still, 0.003)
}

/// How far the pad's box stands in a hull, m: the deepest of its corners.
fn stands_in_m(hull: &Hull, standing: &StandingPad) -> f64 {
    let pad = &standing.parts[0];
    let Shape::Box { half } = pad.shape else {
        panic!("{:?}", pad.shape);
    };
    let pose = pad.trailer_from_part.pose();
    let corners = (0..8).map(|i| {
        let sign = |bit: usize| if i >> bit & 1 == 1 { 1.0 } else { -1.0 };
        pose * (half.vec() * Vec3::new(sign(0), sign(1), sign(2)))
    });
    let mesh = &hull.parts[0].mesh;
    // From far out on the pad's side: what lies behind the face of the slab is in it.
    let depth = |corner: Vec3| {
        let from = corner + Vec3::Y * 5.0;
        let hit = mesh.cast_ray(from, -Vec3::Y).map_or(5.0, |h| h.distance);
        5.0 - hit
    };
    corners.map(depth).fold(0.0, f64::max)
}

#[test]
fn a_pad_lies_flat_on_a_face_that_leans_and_touches_it_with_all_of_itself() {
    for leans in [-0.6, -0.3, 0.0, 0.2, 0.5] {
        let hull = slab(1.3, leans);
        let standing = run_out(&hull, Reach::UntilTouching);
        assert_eq!(standing.pad.state, PadState::Touching, "{leans}");
        assert!(standing.pad.face_angle_rad.unwrap() < 1e-6, "{leans}");
        // It swivels in the middle of its thickness, over the arm's axis.
        let half_m = mount().pad_thickness_m / 2.0;
        let reach_m = 0.7 + half_m - half_m / f64::cos(leans);
        assert!((standing.pad.reach_m - reach_m).abs() < 1e-6, "{leans}");
        let middle = standing.face_middle().unwrap();
        let down = hull.parts[0].mesh.nearest_to(middle);
        assert!((down - middle).length() < 1e-6, "{leans}: {middle:?}");
    }
}

#[test]
fn a_pad_that_cannot_swivel_so_far_touches_with_an_edge_and_says_how_far_off_it_stays() {
    let standing = run_out(&slab(1.3, 0.9), Reach::UntilTouching);
    assert!((standing.turned_rad - 0.7).abs() < 1e-9);
    assert!((standing.pad.face_angle_rad.unwrap() - 0.2).abs() < 1e-6);
}

#[test]
fn a_pad_short_of_the_hull_is_turned_to_it_and_does_not_stand_in_it() {
    // Flat it would lie 1.24 m out; square it would touch with an edge before its end at 1.2 m.
    let hull = slab(0.75, 0.5);
    let standing = run_out(&hull, Reach::UntilTouching);
    assert_eq!(standing.pad.state, PadState::OutOfReach);
    assert!((standing.meets_m.unwrap() - 1.243).abs() < 1e-3);
    assert!(stands_in_m(&hull, &standing) < 1e-9);
    let set = run_out(&hull, Reach::SetM(1.19));
    assert_eq!(set.pad.state, PadState::Short);
    assert!(stands_in_m(&hull, &set) < 1e-9);
}

#[test]
fn a_pad_that_stands_in_the_hull_when_drawn_in_presses() {
    // Its face is 0.2 m from the pivot at least, and the slab 0.15 m.
    let standing = run_out(&slab(1.85, 0.0), Reach::UntilTouching);
    assert_eq!(standing.pad.state, PadState::Pressing);
    assert_eq!(standing.pad.reach_m, 0.2);
}

#[test]
fn a_pad_that_turned_would_pass_her_by_still_meets_her() {
    // The slab ends a little over the pad's lower edge: turned up to it, the face clears it.
    let low = cuboid([-3.0, -2.0, -3.0], [3.0, 1.3, -0.172]);
    let hull = Hull::new("low", vec![body(low)], HullFacts::default()).unwrap();
    let standing = run_out(&hull, Reach::UntilTouching);
    assert_eq!(standing.pad.state, PadState::Touching);
}
