//! From a file's axes to the hull frame's: forward, port, up, the middle plane at y = 0.

use keelstead_geometry::math::{Pose, Rot3, Vec3};
use keelstead_units::quantity::Sentence;

use super::soup::Soup;
use super::symmetry::Mirror;
use super::{Answers, Proposal, axis_word};
use crate::hull_file::Axes;

/// Less is taken out without a word, rad: a hundredth of a degree.
const TOLD_RAD: f64 = 1.7e-4;

/// Rows that take file axes to forward, port and up.
fn rows(axes: Axes) -> [Vec3; 3] {
    let forward = Vec3::from_array(axes.forward.vector());
    let up = Vec3::from_array(axes.up.vector());
    [forward, up.cross(forward), up]
}

fn turned(rows: [Vec3; 3], p: Vec3) -> Vec3 {
    Vec3::from_array(rows.map(|row| row.dot(p)))
}

/// Turns the mesh to the hull frame's directions.
pub(super) fn place(soup: &mut Soup, axes: Axes, changed: &mut Vec<Sentence>) {
    let rows = rows(axes);
    for p in &mut soup.positions {
        *p = turned(rows, *p);
    }
    if axes != Axes::default() {
        changed.push(
            format!(
                "Turned: {} forward to +x, {} up to +z.",
                axis_word(axes.forward),
                axis_word(axes.up)
            )
            .into(),
        );
    }
}

/// How the boat stands askew in the file's axes, once they are turned to the hull's.
#[derive(Debug, Clone, Copy)]
pub(super) struct Askew {
    pub heel_rad: f64,
    pub yaw_rad: f64,
    /// A place of the middle plane, hull directions.
    pub middle: Vec3,
}

/// Heel and yaw with what speaks for them.
pub(super) fn askew(
    soup: &Soup,
    axes: Axes,
    middle: Option<&Mirror>,
    answers: &Answers,
) -> (Proposal<f64>, Proposal<f64>, Askew) {
    let [low, high] = soup.bounds();
    let box_middle = (low + high) * 0.5;
    let (found, because) = match middle {
        Some(mirror) => {
            let normal = turned(rows(axes), mirror.normal());
            // The plane's place nearest to the middle of the box.
            let off = normal.dot(box_middle) - mirror.offset;
            let length = (high - low).max_element();
            // What the plane's tilt moves at the ends of the boat; below the misfit it is noise.
            let noticeable = 2.0 * (mirror.misfit / length.max(f64::MIN_POSITIVE)).max(1e-6);
            let normal = if normal.y < 0.0 { -normal } else { normal };
            let real = |angle: f64| if angle.abs() > noticeable { angle } else { 0.0 };
            let heel = normal.z.clamp(-1.0, 1.0).asin();
            let yaw = (-normal.x).atan2(normal.y);
            let found = Askew {
                heel_rad: real(heel),
                yaw_rad: real(yaw),
                middle: box_middle - turned(rows(axes), mirror.normal()) * off,
            };
            let lies = |angle: f64| {
                format!(
                    "the middle plane lies {} degrees so",
                    hundredths(angle.to_degrees())
                )
            };
            (found, [lies(heel), lies(yaw)])
        }
        None => {
            let found = Askew {
                heel_rad: 0.0,
                yaw_rad: 0.0,
                middle: box_middle,
            };
            let because = "the two sides differ, so no middle plane was found";
            (found, [because.to_owned(), because.to_owned()])
        }
    };
    let [heel_because, yaw_because] = because;
    let told = |told: Option<f64>, found: f64, because: String| match told {
        Some(told) => Proposal::decided(told, format!("as told; {because}")),
        None => Proposal::decided(found, because),
    };
    let heel = told(answers.heel_rad, found.heel_rad, heel_because);
    let yaw = told(answers.yaw_rad, found.yaw_rad, yaw_because);
    let settled = Askew {
        heel_rad: answers.heel_rad.unwrap_or(found.heel_rad),
        yaw_rad: answers.yaw_rad.unwrap_or(found.yaw_rad),
        ..found
    };
    (heel, yaw, settled)
}

/// A figure to two places, without the sign of a nought.
fn hundredths(value: f64) -> String {
    format!("{:.2}", if value.abs() < 0.005 { 0.0 } else { value })
}

/// Takes heel and yaw out, and brings the middle plane to y = 0; gives what was done to a point.
pub(super) fn upright(soup: &mut Soup, askew: &Askew, changed: &mut Vec<Sentence>) -> Pose {
    let (heel, yaw) = (askew.heel_rad, askew.yaw_rad);
    let tilted = heel != 0.0 || yaw != 0.0;
    // Yaw outermost, as a hull stands on a trailer.
    let turn: Rot3 = if tilted {
        Rot3::from_rotation_x(-heel) * Rot3::from_rotation_z(-yaw)
    } else {
        Rot3::IDENTITY
    };
    if heel.abs().max(yaw.abs()) > TOLD_RAD {
        changed.push(
            format!(
                "Turned upright: heel of {:.2} and yaw of {:.2} degrees taken out.",
                heel.to_degrees(),
                yaw.to_degrees()
            )
            .into(),
        );
    }
    let shift = Vec3::new(0.0, -(turn * askew.middle).y, 0.0);
    for p in &mut soup.positions {
        if tilted {
            *p = turn * *p;
        }
        p.y += shift.y;
    }
    Pose::from_parts(shift, turn)
}

/// Takes a trim out, bow up positive.
pub(super) fn trimmed(soup: &mut Soup, trim_rad: f64, changed: &mut Vec<Sentence>) -> Pose {
    if trim_rad == 0.0 {
        return Pose::identity();
    }
    let turn = Rot3::from_rotation_y(trim_rad);
    soup.positions.iter_mut().for_each(|p| *p = turn * *p);
    let way = if trim_rad > 0.0 { "up" } else { "down" };
    changed.push(
        format!(
            "Trim of {:.2} degrees, bow {way}, taken out.",
            trim_rad.to_degrees().abs()
        )
        .into(),
    );
    Pose::from_parts(Vec3::ZERO, turn)
}

/// The rotation that [`place`] does.
pub(super) fn hull_from_axes(axes: Axes) -> Rot3 {
    let [forward, _, up] = rows(axes);
    let level = Rot3::from_rotation_arc(up, Vec3::Z);
    let bow = level * forward;
    Rot3::from_rotation_z(-bow.y.atan2(bow.x)) * level
}
