//! What each part of the rig looks like.
//!
//! The engine's box or cylinder is the truth; everything drawn stays inside it, so that a gap seen
//! is never smaller than the gap computed.

use bevy::prelude::{Vec2, Vec3};
use keelstead_geometry::shape::Shape;
use keelstead_load::rig::{Pocket, Rig};
use keelstead_load::rig_parts::{RigPart, RigPartKind};

use super::facets::{Facets, PLAIN, Turned, longest_axis};
use crate::convert;

/// Sides of a wheel.
const WHEEL_SIDES: u32 = 56;
/// Part of a tyre's radius that is rim.
const RIM: f32 = 0.58;
/// Longest half edge of a rail's end piece that is still drawn as a rail, m.
const SAME_LENGTH_M: f32 = 1e-3;

/// The shape of a part about its own middle; empty for the ground.
pub fn shape_of(part: &RigPart, rig: &Rig) -> Facets {
    let mut shape = Facets::default();
    match part.shape {
        Shape::Ground => {}
        Shape::Cylinder {
            half_length_m,
            radius_m,
        } => wheel(&mut shape, half_length_m as f32, radius_m as f32),
        Shape::Box { half } => {
            let half = convert::point(half);
            match part.kind {
                RigPartKind::Rail => rail(&mut shape, half, rig),
                RigPartKind::Beam | RigPartKind::Block | RigPartKind::Packing => {
                    timber(&mut shape, half)
                }
                RigPartKind::Pad => pad(&mut shape, half),
                RigPartKind::PadArm => arm(&mut shape, half),
                RigPartKind::Tractor => tractor_box(&mut shape, half),
                RigPartKind::Mudguard => shape.block(Vec3::ZERO, half, 0.04, |_| PLAIN),
                _ => shape.block(Vec3::ZERO, half, 0.012, |_| PLAIN),
            }
        }
    }
    shape
}

/// A block or beam: side grain along its longest edge, end grain at both ends of it.
fn timber(shape: &mut Facets, half: Vec3) {
    let grain = longest_axis(half);
    shape.block(Vec3::ZERO, half, 0.006, |outward| {
        if outward[grain].abs() > 0.5 {
            [0.86, 0.82, 0.78, 0.0]
        } else {
            PLAIN
        }
    });
}

/// A side rail with its pockets open. A piece of rail that is not the whole of it, as between two
/// pockets, is a plain box.
fn rail(shape: &mut Facets, half: Vec3, rig: &Rig) {
    let rails = &rig.rails;
    let length_m = (rails.front_x_m - rails.aft_x_m) as f32;
    let middle_x_m = (rails.front_x_m + rails.aft_x_m) / 2.0;
    let whole = (2.0 * half.x - length_m).abs() < SAME_LENGTH_M;
    let mut openings: Vec<[f32; 4]> = if whole {
        rails
            .pockets
            .iter()
            .filter_map(|pocket| opening(pocket, middle_x_m, half))
            .collect()
    } else {
        Vec::new()
    };
    openings.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let mut piece = |x: [f32; 2], z: [f32; 2]| {
        let centre = Vec3::new((x[0] + x[1]) / 2.0, 0.0, (z[0] + z[1]) / 2.0);
        let size = Vec3::new((x[1] - x[0]) / 2.0, half.y, (z[1] - z[0]) / 2.0);
        if size.min_element() > 0.0 {
            shape.block(centre, size, 0.0, |_| PLAIN);
        }
    };
    let mut from_x = -half.x;
    for [x0, x1, z0, z1] in openings {
        piece([from_x, x0.max(from_x)], [-half.z, half.z]);
        piece([x0.max(from_x), x1], [-half.z, z0]);
        piece([x0.max(from_x), x1], [z1, half.z]);
        from_x = x1.max(from_x);
    }
    piece([from_x, half.x], [-half.z, half.z]);
}

/// A pocket's opening in the rail's own frame: x from and to, z from and to.
fn opening(pocket: &Pocket, rail_middle_x_m: f64, half: Vec3) -> Option<[f32; 4]> {
    let x = (pocket.x_m - rail_middle_x_m) as f32;
    let half_width = pocket.opening_width_m as f32 / 2.0;
    let sill = half.z - pocket.sill_below_top_m as f32;
    let lintel = (sill + pocket.opening_height_m as f32).min(half.z);
    let fits = x - half_width > -half.x && x + half_width < half.x && sill > -half.z;
    (fits && lintel > sill).then_some([x - half_width, x + half_width, sill, lintel])
}

/// A tyre with tread, shoulder, side wall, rim and hub.
fn wheel(shape: &mut Facets, half: f32, radius: f32) {
    const RUBBER: [f32; 4] = PLAIN;
    const GROOVE: [f32; 4] = [0.35, 0.35, 0.35, 1.0];
    const WALL: [f32; 4] = [1.25, 1.25, 1.25, 1.0];
    const STEEL: [f32; 4] = [9.0, 9.2, 9.4, 1.0];
    const SHADE: [f32; 4] = [3.2, 3.3, 3.4, 1.0];
    let rim = radius * RIM;
    let ring = |along_m: f32, radius_m: f32, colour| Turned {
        along_m,
        radius_m,
        colour,
    };
    // From the middle of one side, out over the tread, to the middle of the other.
    let face = [
        ring(half * 0.62, 0.0, STEEL),
        ring(half * 0.62, rim * 0.26, SHADE),
        ring(half * 0.28, rim * 0.34, STEEL),
        ring(half * 0.28, rim * 0.80, SHADE),
        ring(half * 0.74, rim * 0.90, STEEL),
        ring(half * 0.80, rim, WALL),
        ring(half * 0.97, rim * 1.12, WALL),
        ring(half, rim + (radius - rim) * 0.55, RUBBER),
        ring(half * 0.93, radius * 0.965, RUBBER),
        ring(half * 0.80, radius * 0.996, RUBBER),
    ];
    let mut profile: Vec<Turned> = face
        .iter()
        .map(|p| Turned {
            along_m: -p.along_m,
            ..*p
        })
        .collect();
    let depth = 0.03 * radius;
    for centre in [-0.42, 0.0, 0.42] {
        let (from, to) = ((centre - 0.05) * half, (centre + 0.05) * half);
        profile.push(ring(from, radius, GROOVE));
        profile.push(ring(from, radius - depth, GROOVE));
        profile.push(ring(to, radius - depth, GROOVE));
        profile.push(ring(to, radius, RUBBER));
    }
    // Going inwards, a band's colour is that of the point it ends at on the way out.
    for i in (0..face.len()).rev() {
        let colour = face[i.saturating_sub(1)].colour;
        profile.push(Turned { colour, ..face[i] });
    }
    shape.turn(Vec3::ZERO, Vec3::Y, &profile, WHEEL_SIDES);
    for i in 0..8 {
        let angle = std::f32::consts::TAU * i as f32 / 8.0;
        let off = Vec3::new(angle.cos(), 0.0, angle.sin()) * rim * 0.56;
        for side in [-1.0, 1.0] {
            let nut = [
                ring(half * 0.28, rim * 0.07, STEEL),
                ring(half * 0.40, rim * 0.07, STEEL),
                ring(half * 0.40, 0.0, STEEL),
            ];
            shape.turn(off, Vec3::Y * side, &nut, 8);
        }
    }
}

/// A pad: a board with a padded face.
fn pad(shape: &mut Facets, half: Vec3) {
    let bevel = 0.6 * half.min_element();
    shape.block(Vec3::ZERO, half, bevel, |_| PLAIN);
}

/// A hydraulic arm: a sleeve over half its length, and the rod that runs out of it.
fn arm(shape: &mut Facets, half: Vec3) {
    let along = longest_axis(half);
    let axis = [Vec3::X, Vec3::Y, Vec3::Z][along];
    let length = half[along];
    let radius = (0..3)
        .filter(|i| *i != along)
        .map(|i| half[i])
        .fold(f32::INFINITY, f32::min);
    const SLEEVE: [f32; 4] = PLAIN;
    const ROD: [f32; 4] = [2.6, 2.6, 2.6, 1.0];
    let ring = |along_m: f32, radius_m: f32, colour| Turned {
        along_m,
        radius_m,
        colour,
    };
    let profile = [
        ring(-length, 0.0, SLEEVE),
        ring(-length, radius, SLEEVE),
        ring(0.0, radius, SLEEVE),
        ring(0.0, radius * 0.55, ROD),
        ring(length, radius * 0.55, ROD),
        ring(length, 0.0, ROD),
    ];
    shape.turn(Vec3::ZERO, axis, &profile, 20);
}

/// A box of the tractor; a tall one is a cab and gets windows.
fn tractor_box(shape: &mut Facets, half: Vec3) {
    const CAB_HEIGHT_M: f32 = 1.3;
    shape.block(Vec3::ZERO, half, 0.05, |_| PLAIN);
    if 2.0 * half.z < CAB_HEIGHT_M {
        return;
    }
    const GLASS: [f32; 4] = [0.16, 0.20, 0.23, 1.0];
    // A hair's breadth out of the face, so that it shows; far below any figure the engine gives.
    let out = 0.001;
    let (low, high) = (half.z * 0.15, half.z * 0.72);
    let flat = |p: Vec3| Vec2::new(p.x + p.y, p.z);
    for side in [-1.0, 1.0] {
        let y = (half.y + out) * side;
        let (aft, fore) = (-half.x * 0.05, half.x * 0.82);
        let corners = [
            Vec3::new(aft, y, low),
            Vec3::new(fore, y, low),
            Vec3::new(fore * 0.92, y, high),
            Vec3::new(aft, y, high),
        ];
        shape.polygon(&corners, Vec3::Y * side, flat, GLASS);
    }
    let x = half.x + out;
    let corners = [
        Vec3::new(x, -half.y * 0.86, low),
        Vec3::new(x, half.y * 0.86, low),
        Vec3::new(x, half.y * 0.82, high),
        Vec3::new(x, -half.y * 0.82, high),
    ];
    shape.polygon(&corners, Vec3::X, flat, GLASS);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stays_inside(shape: &Facets, half: Vec3) -> bool {
        !shape.is_empty() && shape.positions().all(|p| p.abs().cmple(half + 2e-3).all())
    }

    #[test]
    fn nothing_drawn_leaves_the_engines_shape() {
        let half = Vec3::new(0.55, 0.14, 0.55);
        let mut tyre = Facets::default();
        wheel(&mut tyre, half.y, half.x);
        assert!(stays_inside(&tyre, half));
        let half = Vec3::new(0.06, 0.4, 0.05);
        let mut cylinder = Facets::default();
        arm(&mut cylinder, half);
        assert!(stays_inside(&cylinder, half));
        let half = Vec3::new(0.9, 1.2, 1.0);
        let mut cab = Facets::default();
        tractor_box(&mut cab, half);
        assert!(stays_inside(&cab, half));
    }

    #[test]
    fn a_pocket_outside_its_rail_is_not_cut() {
        let half = Vec3::new(5.0, 0.05, 0.15);
        let pocket = |x_m, sill_below_top_m| Pocket {
            x_m,
            opening_width_m: 0.3,
            opening_height_m: 0.2,
            sill_below_top_m,
        };
        assert!(opening(&pocket(-5.0, 0.25), -5.0, half).is_some());
        assert!(opening(&pocket(-10.0, 0.25), -5.0, half).is_none());
        assert!(opening(&pocket(-5.0, 0.31), -5.0, half).is_none());
    }
}
