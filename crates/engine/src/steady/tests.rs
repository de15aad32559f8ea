//! When a pad meets a triangle, beside the library's own cast of one shape at another.

use parry3d_f64::query::details::ShapeCastOptions;
use proptest::prelude::*;

use super::*;

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
        let found = Way::new(&mesh, pad, start, direction, FAR_M).meets_m(&triangle);
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
        let way_m = Way::new(&mesh, pad, start, direction, FAR_M).meets_m(&triangle);
        prop_assume!(way_m.is_finite());
        let there = Pose::from_translation(direction * (way_m - 1e-4));
        let at = nearest_on(&triangle, &there, &pad);
        let on_triangle = triangle.project_local_point(at, false).point;
        prop_assert!((on_triangle - at).length() < 1e-9);
        let on_pad = pad.project_point(&there, at, true).point;
        prop_assert!((on_pad - at).length() < 2e-4, "{at:?}");
    }
}
