//! The shape of each verdict, drawn: circle with tick, triangle with bar, octagon with cross,
//! square with question mark, circle with three dots.

use egui::{Align2, Color32, Painter, Pos2, Shape, Stroke, Vec2, pos2, vec2};
use keelstead_units::verdict::Verdict;

use crate::theme::{Palette, bold};

/// Draws a verdict's shape, `size` points across, about `centre`.
pub fn paint(painter: &Painter, centre: Pos2, size: f32, verdict: Verdict, palette: &Palette) {
    let fill = palette.verdict(verdict);
    let sign = Stroke::new((size * 0.11).max(1.6), palette.sign);
    let r = size / 2.0;
    match verdict {
        Verdict::Clear => {
            painter.circle_filled(centre, r, fill);
            let at = |x: f32, y: f32| centre + vec2(x, y) * r;
            painter.line(
                vec![at(-0.45, 0.05), at(-0.12, 0.40), at(0.48, -0.36)],
                sign,
            );
        }
        Verdict::Pending => {
            painter.circle_filled(centre, r, fill);
            for x in [-0.5, 0.0, 0.5] {
                painter.circle_filled(centre + vec2(x, 0.0) * r, sign.width * 0.62, palette.sign);
            }
        }
        Verdict::Tight => {
            let corners = [(0.0, -1.0), (1.06, 0.88), (-1.06, 0.88)];
            fill_corners(painter, centre, r, &corners, fill);
            let at = |y: f32| centre + Vec2::new(0.0, y) * r;
            painter.line_segment([at(-0.34), at(0.30)], sign);
            painter.circle_filled(at(0.62), sign.width * 0.62, palette.sign);
        }
        Verdict::Foul => {
            let c = 0.414_213_56; // tan 22.5°: a regular octagon
            let corners = [
                (c, -1.0),
                (1.0, -c),
                (1.0, c),
                (c, 1.0),
                (-c, 1.0),
                (-1.0, c),
                (-1.0, -c),
                (-c, -1.0),
            ];
            fill_corners(painter, centre, r, &corners, fill);
            let d = r * 0.42;
            painter.line_segment([centre - vec2(d, d), centre + vec2(d, d)], sign);
            painter.line_segment([centre - vec2(d, -d), centre + vec2(d, -d)], sign);
        }
        Verdict::Unknown => {
            let s = 0.92;
            fill_corners(
                painter,
                centre,
                r,
                &[(-s, -s), (s, -s), (s, s), (-s, s)],
                fill,
            );
            painter.text(
                centre,
                Align2::CENTER_CENTER,
                "?",
                bold(size * 0.78),
                palette.sign,
            );
        }
    }
}

fn fill_corners(painter: &Painter, centre: Pos2, r: f32, corners: &[(f32, f32)], fill: Color32) {
    let points = corners
        .iter()
        .map(|(x, y)| pos2(centre.x + x * r, centre.y + y * r))
        .collect();
    painter.add(Shape::convex_polygon(points, fill, Stroke::NONE));
}
