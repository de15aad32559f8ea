//! A family drawn small: the side view over the plan.

use egui::{Painter, Pos2, Rect, Shape, Stroke};

use crate::intake::Sketch;
use crate::theme::Palette;

/// Room between side view and plan, as a part of the width.
const BETWEEN: f32 = 0.06;

/// Draws it as large as fits into `rect`, the bow to the right.
pub(super) fn paint(painter: &Painter, rect: Rect, sketch: &Sketch, palette: &Palette) {
    let points = sketch.side.iter().flatten();
    let (low, high) = ends(points.clone().map(|point| point[1]));
    let (aft, fore) = ends(points.chain(&sketch.plan).map(|point| point[0]));
    let (starboard, port) = ends(sketch.plan.iter().map(|point| point[1]));
    let wide = (fore - aft).max(f32::MIN_POSITIVE);
    let tall = (high - low) + BETWEEN + (port - starboard);
    let scale = (rect.width() / wide).min(rect.height() / tall);
    let left = rect.center().x - 0.5 * scale * wide;
    let top = rect.center().y - 0.5 * scale * tall;
    let line = Stroke::new(1.3, palette.text);
    for part in &sketch.side {
        let at = |p: &[f32; 2]| Pos2::new(left + scale * (p[0] - aft), top + scale * (high - p[1]));
        painter.add(Shape::closed_line(part.iter().map(at).collect(), line));
    }
    let under = top + scale * (high - low + BETWEEN);
    let at = |p: &[f32; 2]| Pos2::new(left + scale * (p[0] - aft), under + scale * (port - p[1]));
    let plan = sketch.plan.iter().map(at).collect();
    painter.add(Shape::closed_line(plan, Stroke::new(1.0, palette.quiet)));
}

fn ends(values: impl Iterator<Item = f32>) -> (f32, f32) {
    values.fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    })
}
