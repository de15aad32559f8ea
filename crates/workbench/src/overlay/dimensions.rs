//! The main dimensions of a hull being brought in, as dimension lines about it.

use egui::{Painter, Pos2, Stroke, Vec2};
use keelstead_geometry::math::{Aabb, Vec3};
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, write};

use super::place::Plates;
use super::{Project, TICK, line_ui, plate};
use crate::intake::Intake;
use crate::session::Session;
use crate::theme::{Palette, bold};
use crate::words::intake::dimensions;

/// How far off the hull a dimension line runs, as a part of her length.
const OFF: f64 = 0.045;
/// A line shorter than this in the picture says nothing: it is seen end on, points.
const SHORTEST: f32 = 24.0;

/// A line from point to point, the two points of the hull it is led out from, and its figure.
struct Dimension {
    ends: [Vec3; 2],
    from: [Vec3; 2],
    text: String,
}

/// Length, beam, height and draft of the hull that stands: their lines. The figures come once every
/// line is drawn, so that none crosses them.
pub(super) fn lines_ui(
    painter: &Painter,
    intake: &Intake,
    session: &Session,
    project: Project,
) -> Vec<([Pos2; 2], String)> {
    let (Some(stood), Some((hull, pose))) = (intake.stood(), session.drawn_hull()) else {
        return Vec::new();
    };
    let palette = Palette::current(painter.ctx());
    let bounds = hull.bounds.transform_by(&pose);
    let figures = dimensions(stood, session.view().units);
    let eye = session.view().camera.eye().vec();
    let mut all = lines(&bounds, eye, figures);
    all.extend(draft(
        &bounds,
        eye,
        intake.afloat_draft_m(),
        session.view().units,
    ));
    let mut drawn = Vec::new();
    for dimension in all {
        let [a, b] = dimension.ends.map(project);
        let (Some(a), Some(b)) = (a, b) else { continue };
        if a.distance(b) < SHORTEST {
            continue;
        }
        for (from, to) in dimension.from.iter().zip([a, b]) {
            if let Some(from) = project(*from) {
                painter.line_segment([from, to], Stroke::new(1.0, palette.quiet));
            }
        }
        let along = (b - a).normalized();
        line_ui(painter, a, b, along.rot90(), palette.accent, palette);
        drawn.push(([a, b], dimension.text));
    }
    drawn
}

/// The figure of a line, on a plate.
pub(super) fn figure_ui(painter: &Painter, plates: &mut Plates, text: &str, [a, b]: [Pos2; 2]) {
    let palette = Palette::current(painter.ctx());
    let galley = painter.layout_no_wrap(text.to_owned(), bold(16.0), palette.text);
    let size = galley.size() + Vec2::new(14.0, 8.0);
    let rect = plates.first_free(&places(size, [a, b]), size);
    plate(painter, rect, Stroke::new(1.5, palette.accent), palette);
    let text_at = rect.center() - galley.size() / 2.0;
    painter.galley(text_at, galley, palette.text);
}

/// Where the figure of a line may stand, the best first: on the line as on a drawing, along it from the middle outward; else
/// beside it.
fn places(size: Vec2, [a, b]: [Pos2; 2]) -> Vec<Pos2> {
    let across = (b - a).normalized().rot90();
    let beside = across.x.abs() * size.x / 2.0 + across.y.abs() * size.y / 2.0 + TICK;
    let along = [0.5, 0.35, 0.65, 0.2, 0.8, 0.0, 1.0];
    [0.0, 1.0, -1.0, 1.8, -1.8]
        .into_iter()
        .flat_map(|off| along.map(|part| a + (b - a) * part + across * beside * off))
        .collect()
}

/// The three lines, on the sides that the eye sees.
fn lines(bounds: &Aabb, eye: Vec3, figures: [(&'static str, String); 3]) -> Vec<Dimension> {
    let (lo, hi) = (bounds.mins, bounds.maxs);
    let off = OFF * (hi.x - lo.x);
    let (side, beside) = near(eye.y, lo.y, hi.y, off);
    let (end, beyond) = near(eye.x, lo.x, hi.x, off);
    // The height stands at the other end, so that it and the beam keep off each other.
    let (far, beyond_far) = if end == hi.x {
        (lo.x, lo.x - off)
    } else {
        (hi.x, hi.x + off)
    };
    let [length, beam, height] = figures.map(|(name, figure)| format!("{name} {figure}"));
    vec![
        Dimension {
            ends: [Vec3::new(lo.x, beside, lo.z), Vec3::new(hi.x, beside, lo.z)],
            from: [Vec3::new(lo.x, side, lo.z), Vec3::new(hi.x, side, lo.z)],
            text: length,
        },
        Dimension {
            ends: [Vec3::new(beyond, lo.y, lo.z), Vec3::new(beyond, hi.y, lo.z)],
            from: [Vec3::new(end, lo.y, lo.z), Vec3::new(end, hi.y, lo.z)],
            text: beam,
        },
        Dimension {
            ends: [
                Vec3::new(beyond_far, side, lo.z),
                Vec3::new(beyond_far, side, hi.z),
            ],
            from: [Vec3::new(far, side, lo.z), Vec3::new(far, side, hi.z)],
            text: height,
        },
    ]
}

/// The nearer of two ends, and where a line beyond it runs.
fn near(eye: f64, lo: f64, hi: f64, off: f64) -> (f64, f64) {
    if eye >= 0.5 * (lo + hi) {
        (hi, hi + off)
    } else {
        (lo, lo - off)
    }
}

/// The draft, where the water's height is known: beyond the height, at the far end.
fn draft(bounds: &Aabb, eye: Vec3, draft_m: Option<f64>, units: Units) -> Option<Dimension> {
    let draft_m = draft_m?;
    let (lo, hi) = (bounds.mins, bounds.maxs);
    let off = OFF * (hi.x - lo.x);
    let (side, _) = near(eye.y, lo.y, hi.y, off);
    let (end, _) = near(eye.x, lo.x, hi.x, off);
    let x = if end == hi.x {
        lo.x - 2.5 * off
    } else {
        hi.x + 2.5 * off
    };
    let at = |z_m: f64| Vec3::new(x, side, z_m);
    let ends = [at(lo.z), at(lo.z + draft_m)];
    let text = format!("Draft {}", write(Quantity::length(draft_m), units));
    Some(Dimension {
        ends,
        from: ends,
        text,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_stands_on_its_line_or_right_beside_it() {
        let view = egui::Rect::from_min_size(Pos2::ZERO, Vec2::new(390.0, 350.0));
        let mut plates = Plates::new(view);
        let size = Vec2::new(110.0, 32.0);
        let line = [Pos2::new(290.0, 240.0), Pos2::new(350.0, 200.0)];
        // Another's figure lies over the middle of the line.
        plates.take(egui::Rect::from_min_max(
            Pos2::new(90.0, 200.0),
            Pos2::new(320.0, 240.0),
        ));
        let rect = plates.first_free(&places(size, line), size);
        let nearest = (0..=20)
            .map(|i| line[0] + (line[1] - line[0]) * (i as f32 / 20.0))
            .map(|point| rect.distance_to_pos(point))
            .fold(f32::MAX, f32::min);
        assert!(
            nearest < 2.0 * TICK + 4.0,
            "{nearest} off the line: {rect:?}"
        );
    }

    #[test]
    fn lines_are_as_long_as_the_hull_and_on_the_side_of_the_eye() {
        let bounds = Aabb::new(Vec3::new(-5.0, -1.5, 0.0), Vec3::new(5.0, 1.5, 2.5));
        let words = || ["Length", "Beam", "Height"].map(|name| (name, "?".to_owned()));
        for (eye, side) in [(8.0, 1.0), (-8.0, -1.0)] {
            let found = lines(&bounds, Vec3::new(20.0, eye, 3.0), words());
            let lengths = found.iter().map(|d| (d.ends[1] - d.ends[0]).length());
            assert_eq!(lengths.collect::<Vec<_>>(), [10.0, 3.0, 2.5]);
            assert!(found[0].ends[0].y * side > 1.5, "{eye}");
            assert!(found[1].ends[0].x > 5.0, "the beam is at the near end");
            assert!(found[2].ends[0].x < -5.0, "the height at the other");
        }
    }
}
