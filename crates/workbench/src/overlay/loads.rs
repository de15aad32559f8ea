//! The loads over the scene: an arrow for each force with its figure, and what is used how hard.

use std::sync::Arc;

use egui::{Galley, Painter, Pos2, Rect, Shape, Stroke, Vec2};
use keelstead::findings::Findings;
use keelstead_units::Units;
use keelstead_units::verdict::Verdict;

use super::place::Plates;
use super::{Project, plate};
use crate::loads::{Pushes, arrows, pad_verdict};
use crate::session::Session;
use crate::shape;
use crate::theme::{Palette, SMALL_TEXT, bold};
use crate::words::loads as words;

/// Length and half width of an arrow's head, points.
const HEAD: Vec2 = Vec2::new(13.0, 7.0);
/// Points across a verdict's shape on a plate.
const SIGN: f32 = 16.0;
/// Where text begins beside it.
const BESIDE: f32 = SIGN + 11.0;

/// What a plate says of a place: a verdict, a figure, and what the verdict is about where that
/// matters.
struct Says {
    at: Pos2,
    /// The way the plate stands off.
    along: Vec2,
    verdict: Verdict,
    figure: String,
    about: Option<String>,
}

/// A plate that found room.
struct Placed {
    rect: Rect,
    at: Pos2,
    verdict: Verdict,
    figure: Arc<Galley>,
    about: Option<Arc<Galley>>,
}

/// Draws the arrows, then lines to the plates, then the plates: nothing lies over a figure.
///
/// What carries is placed first, then what carries nothing, then pads.
pub(super) fn loads_ui(
    painter: &Painter,
    plates: &mut Plates,
    findings: &Findings,
    session: &Session,
    project: Project,
) {
    let palette = Palette::current(painter.ctx());
    let units = session.view().units;
    let (mut carry, mut steady) = (Vec::new(), Vec::new());
    let mut pads = Vec::new();
    for arrow in arrows(findings) {
        let (Some(tail), Some(head)) = (project(arrow.from), project(arrow.to)) else {
            continue;
        };
        arrow_ui(painter, tail, head, arrow.pushes, palette);
        let room = Rect::from_two_pos(tail, head);
        let along = (head - tail).normalized();
        match arrow.pushes {
            Pushes::Support(i) => {
                plates.take(room);
                carry.extend(of_support(findings, i, head, along, units));
            }
            Pushes::Pad(i) => {
                pads.push(room);
                steady.extend(of_pad(findings, i, head, along, units));
            }
        }
    }
    carry.extend(idle(findings, units, project));
    let mut shown = placed(painter, plates, carry, palette);
    pads.into_iter().for_each(|room| plates.take(room));
    shown.extend(placed(painter, plates, steady, palette));
    for one in &shown {
        let from = one.rect.clamp(one.at);
        if from.distance(one.at) > 4.0 {
            painter.line_segment([from, one.at], Stroke::new(3.0, palette.panel));
            painter.line_segment([from, one.at], Stroke::new(1.0, palette.text));
        }
    }
    for one in shown {
        plate_ui(painter, one, palette);
    }
}

/// Those of `all` that lie in view and find room.
fn placed(
    painter: &Painter,
    plates: &mut Plates,
    all: Vec<Says>,
    palette: &Palette,
) -> Vec<Placed> {
    let view = plates.view();
    let seen = all.into_iter().filter(|says| view.contains(says.at));
    seen.filter_map(|says| place(painter, plates, says, palette))
        .collect()
}

fn of_support(
    findings: &Findings,
    at: usize,
    head: Pos2,
    along: Vec2,
    units: Units,
) -> Option<Says> {
    let carried = findings.carrying.as_ref()?.supports.get(at)?;
    Some(Says {
        at: head,
        along,
        verdict: carried.verdict(),
        figure: words::load(carried, units),
        about: carried.hardest().map(|used| words::used(used, units)),
    })
}

/// A pad's rating is spoken of where it matters.
fn of_pad(findings: &Findings, at: usize, head: Pos2, along: Vec2, units: Units) -> Option<Says> {
    let load = findings.steadying.as_ref()?.pads.get(at)?;
    let verdict = pad_verdict(findings, load.pad);
    let about = match load.rating_ratio {
        Some(used) => format!("{} of rating", words::ratio(used, units)),
        None => "rating not known".to_owned(),
    };
    Some(Says {
        at: head,
        along,
        verdict,
        figure: format!("up to {}", words::force(load.most_n, units)),
        about: (verdict != Verdict::Clear).then_some(about),
    })
}

/// Stacks that carry nothing.
fn idle(findings: &Findings, units: Units, project: Project) -> Vec<Says> {
    let carrying = findings.carrying.iter().flat_map(|c| &c.supports);
    let each = findings.supports.iter().zip(carrying);
    each.filter_map(|(support, carried)| {
        Some(Says {
            about: Some(format!("to close: {}", words::to_close(carried, units)?)),
            at: project(support.top.vec())?,
            along: Vec2::new(0.0, 1.0),
            verdict: carried.verdict(),
            figure: "carries nothing".to_owned(),
        })
    })
    .collect()
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

/// A plate just beyond the head of its arrow or near it, in full where there is room, else brief.
fn place(painter: &Painter, plates: &mut Plates, says: Says, palette: &Palette) -> Option<Placed> {
    let figure = painter.layout_no_wrap(says.figure, bold(SMALL_TEXT), palette.text);
    let about = says.about.map(|text| {
        let font = egui::FontId::proportional(SMALL_TEXT);
        painter.layout_no_wrap(text, font, palette.verdict(says.verdict))
    });
    let mut fitted = |about: Option<Arc<Galley>>| {
        let rect = plates.beyond(says.at, says.along, size(&figure, about.as_ref()))?;
        Some(Placed {
            rect,
            at: says.at,
            verdict: says.verdict,
            figure: figure.clone(),
            about,
        })
    };
    match about {
        Some(about) => fitted(Some(about)).or_else(|| fitted(None)),
        None => fitted(None),
    }
}

/// The verdict's shape, the figure beside it, below what it is about.
fn plate_ui(painter: &Painter, placed: Placed, palette: &Palette) {
    let ink = palette.verdict(placed.verdict);
    plate(painter, placed.rect, Stroke::new(1.5, ink), palette);
    let sign = placed.rect.left_center() + Vec2::new(6.0 + SIGN / 2.0, 0.0);
    shape::paint(painter, sign, SIGN, placed.verdict, palette);
    let at = placed.rect.min + Vec2::new(BESIDE, 3.0);
    let below = at + Vec2::new(0.0, placed.figure.size().y);
    painter.galley(at, placed.figure, palette.text);
    if let Some(about) = placed.about {
        painter.galley(below, about, ink);
    }
}

fn size(figure: &Galley, about: Option<&Arc<Galley>>) -> Vec2 {
    let about = about.map_or(Vec2::ZERO, |text| text.size());
    let width = figure.size().x.max(about.x);
    Vec2::new(width + BESIDE + 6.0, figure.size().y + about.y + 6.0)
}
