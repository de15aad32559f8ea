//! The loads over the scene: an arrow for each force with its figure, and what is used how hard.

use std::sync::Arc;

use egui::{Galley, Painter, Pos2, Shape, Stroke, Vec2};
use keelstead::findings::{Findings, Verdict};
use keelstead_files::units::Units;

use super::place::Plates;
use super::{Project, plate};
use crate::loads::{Arrow, Pushes, arrows, pad_verdict};
use crate::session::Session;
use crate::shape;
use crate::theme::{Palette, SMALL_TEXT, bold};
use crate::words::loads as words;

/// Length and half width of an arrow's head, points.
const HEAD: Vec2 = Vec2::new(13.0, 7.0);
/// Points across a verdict's shape on a plate.
const SIGN: f32 = 15.0;

/// What a plate says: the figure, and below it a verdict with what it is about.
struct Says {
    figure: String,
    used: Option<(Verdict, String)>,
}

/// Draws arrows first, so that no plate hides under one, then the plates that find room.
pub(super) fn loads_ui(
    painter: &Painter,
    plates: &mut Plates,
    findings: &Findings,
    session: &Session,
    project: Project,
) {
    let palette = Palette::current(painter.ctx());
    let units = session.view().units;
    let mut heads = Vec::new();
    for arrow in arrows(findings) {
        let (Some(tail), Some(head)) = (project(arrow.from), project(arrow.to)) else {
            continue;
        };
        arrow_ui(painter, tail, head, arrow.pushes, palette);
        heads.push((head, head - tail, says(findings, &arrow, units)));
    }
    for (head, along, says) in heads {
        if plates.view().contains(head) {
            says_ui(painter, plates, head, along.normalized(), &says, palette);
        }
    }
    let Some(carrying) = &findings.carrying else {
        return;
    };
    for (support, carried) in findings.supports.iter().zip(&carrying.supports) {
        let Some(close) = words::to_close(carried, units) else {
            continue;
        };
        let Some(top) = project(support.top.vec()).filter(|at| plates.view().contains(*at)) else {
            continue;
        };
        let says = Says {
            figure: "carries nothing".to_owned(),
            used: Some((carried.verdict(), format!("to close: {close}"))),
        };
        says_ui(painter, plates, top, Vec2::new(0.0, 1.0), &says, palette);
    }
}

fn says(findings: &Findings, arrow: &Arrow, units: Units) -> Says {
    match arrow.pushes {
        Pushes::Support(at) => {
            let carried = findings.carrying.as_ref().and_then(|c| c.supports.get(at));
            let hardest = carried.and_then(|carried| carried.hardest());
            Says {
                figure: carried.map_or_else(String::new, |one| words::load(one, units)),
                used: hardest.map(|used| (used.verdict(), words::used(used, units))),
            }
        }
        Pushes::Pad(at) => {
            let load = findings.steadying.as_ref().and_then(|s| s.pads.get(at));
            let figure = load.map(|load| format!("up to {}", words::force(load.most_n, units)));
            let used = load.map(|load| {
                let used = match load.rating_ratio {
                    Some(used) => format!("{} of rating", words::ratio(used, units)),
                    None => "rating not known".to_owned(),
                };
                (pad_verdict(findings, load.pad), used)
            });
            Says {
                figure: figure.unwrap_or_default(),
                used,
            }
        }
    }
}

/// What carries is a full line, what only steadies a broken one.
fn arrow_ui(painter: &Painter, tail: Pos2, head: Pos2, pushes: Pushes, palette: &Palette) {
    let along = (head - tail).normalized();
    let across = Vec2::new(-along.y, along.x) * HEAD.y;
    let base = head - along * HEAD.x.min((head - tail).length());
    let corners = vec![head, base + across, base - across];
    let ink = match pushes {
        Pushes::Support(_) => palette.bears,
        Pushes::Pad(_) => palette.steadies,
    };
    // On a wider one of the ground's colour, so that it shows on anything.
    painter.line_segment([tail, base], Stroke::new(8.0, palette.panel));
    let edge = Stroke::new(4.0, palette.panel);
    painter.add(Shape::closed_line(corners.clone(), edge));
    match pushes {
        Pushes::Support(_) => {
            painter.line_segment([tail, base], Stroke::new(4.0, ink));
        }
        Pushes::Pad(_) => {
            let line = Stroke::new(3.0, ink);
            painter.extend(Shape::dashed_line(&[tail, base], line, 6.0, 4.0));
        }
    }
    painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
}

/// The plate by an arrow's head, in full where there is room, else the figure alone.
fn says_ui(
    painter: &Painter,
    plates: &mut Plates,
    head: Pos2,
    along: Vec2,
    says: &Says,
    palette: &Palette,
) {
    let small = egui::FontId::proportional(SMALL_TEXT);
    let figure = painter.layout_no_wrap(says.figure.clone(), bold(SMALL_TEXT), palette.text);
    let used = says.used.as_ref().map(|(verdict, text)| {
        let ink = palette.verdict(*verdict);
        (*verdict, painter.layout_no_wrap(text.clone(), small, ink))
    });
    let full = size(&figure, used.as_ref().map(|(_, text)| text));
    let (rect, used) = match plates.beyond(head, along, full) {
        Some(rect) => (rect, used),
        None => match plates.beyond(head, along, size(&figure, None)) {
            Some(rect) => (rect, None),
            None => return,
        },
    };
    let from = rect.clamp(head);
    if from.distance(head) > 4.0 {
        painter.line_segment([from, head], Stroke::new(1.0, palette.text));
    }
    let edge = used
        .as_ref()
        .map_or(palette.line, |(verdict, _)| palette.verdict(*verdict));
    plate(painter, rect, Stroke::new(1.5, edge), palette);
    let at = rect.min + Vec2::new(6.0, 3.0);
    let below = at + Vec2::new(0.0, figure.size().y);
    painter.galley(at, figure, palette.text);
    if let Some((verdict, text)) = used {
        let sign = below + Vec2::new(SIGN / 2.0, text.size().y / 2.0);
        shape::paint(painter, sign, SIGN, verdict, palette);
        painter.galley(below + Vec2::new(SIGN + 4.0, 0.0), text, palette.text);
    }
}

fn size(figure: &Galley, used: Option<&Arc<Galley>>) -> Vec2 {
    let used = used.map_or(Vec2::ZERO, |text| text.size() + Vec2::new(SIGN + 4.0, 0.0));
    let width = figure.size().x.max(used.x);
    Vec2::new(width + 12.0, figure.size().y + used.y + 6.0)
}
