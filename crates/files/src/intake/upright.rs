//! From a file's axes to the hull frame's: forward, port, up, the middle plane at y = 0.

use keelstead::math::{Rot3, Vec3};

use super::axis_word;
use super::soup::Soup;
use super::symmetry::Mirror;
use crate::hull_file::{Axes, LengthUnit};

/// Rows that take file axes to forward, port and up.
fn rows(axes: Axes) -> [Vec3; 3] {
    let forward = Vec3::from_array(axes.forward.vector());
    let up = Vec3::from_array(axes.up.vector());
    [forward, up.cross(forward), up]
}

fn turned(rows: [Vec3; 3], p: Vec3) -> Vec3 {
    Vec3::from_array(rows.map(|row| row.dot(p)))
}

/// Turns the mesh to the hull frame's directions, in metres.
pub(super) fn place(soup: &mut Soup, unit: LengthUnit, axes: Axes, changed: &mut Vec<String>) {
    let rows = rows(axes);
    let scale = unit.metres();
    for p in &mut soup.positions {
        *p = turned(rows, *p) * scale;
    }
    if scale != 1.0 {
        changed.push(format!("Taken from {} to metres.", unit.word()));
    }
    if axes != Axes::default() {
        changed.push(format!(
            "Turned: {} forward to +x, {} up to +z.",
            axis_word(axes.forward),
            axis_word(axes.up)
        ));
    }
}

/// The middle plane's normal, towards port, and its distance from the origin, m.
pub(super) fn middle_in_hull(mirror: &Mirror, unit: LengthUnit, axes: Axes) -> (Vec3, f64, f64) {
    let normal = turned(rows(axes), Vec3::from_array(mirror.normal));
    let side = if normal.y < 0.0 { -1.0 } else { 1.0 };
    let scale = unit.metres();
    (
        normal * side,
        mirror.offset * scale * side,
        mirror.misfit * scale,
    )
}

/// Takes heel and yaw out, and brings the middle plane to y = 0.
pub(super) fn upright(
    soup: &mut Soup,
    (normal, offset_m, misfit_m): (Vec3, f64, f64),
    changed: &mut Vec<String>,
    left: &mut Vec<String>,
) {
    let [low, high] = soup.bounds();
    let (length_m, middle_m) = (high.x - low.x, 0.5 * (low.y + high.y));
    // What the plane's tilt moves at the ends of the boat; below the misfit it is noise.
    let noticeable = (misfit_m / length_m.max(f64::MIN_POSITIVE)).max(1e-6);
    // Yaw outermost, as a hull stands on a trailer; trim is left as it is.
    let (heel, yaw) = (
        normal.z.clamp(-1.0, 1.0).asin(),
        (-normal.x).atan2(normal.y),
    );
    let tilted = heel.abs().max(yaw.abs()) > 2.0 * noticeable;
    let turn: Rot3 = if tilted {
        Rot3::from_rotation_x(-heel) * Rot3::from_rotation_z(-yaw)
    } else {
        Rot3::IDENTITY
    };
    if tilted {
        changed.push(format!(
            "Turned upright: heel of {:.2} and yaw of {:.2} degrees taken out.",
            heel.to_degrees(),
            yaw.to_degrees()
        ));
    }
    for p in &mut soup.positions {
        *p = turn * *p;
        p.y -= offset_m;
    }
    if offset_m.abs() > 1e-4 {
        changed.push(format!(
            "Moved {:.4} m sideways to the middle plane.",
            -offset_m
        ));
    }
    if misfit_m > 1e-3 {
        left.push(format!(
            "The two sides differ by {:.1} mm in the mean; the middle of the beam was at {middle_m:.4} m.",
            1000.0 * misfit_m
        ));
    }
}
