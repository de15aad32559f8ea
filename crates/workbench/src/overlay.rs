//! What is written over the scene: the gap of the selected finding as a dimension line, marks at
//! what is foul or tight, loads as arrows, names of parts, the station of the cut.

mod dimensions;
mod intake;
mod loads;
mod place;

use egui::{Align2, Painter, Pos2, Rect, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, WidgetType};
use keelstead::findings::{Finding, Findings, Place};
use keelstead_geometry::math::Vec3;
use keelstead_load::rig_parts::RigPartKind;
use keelstead_units::quantity::Quantity;
use keelstead_units::verdict::Verdict;
use keelstead_units::write;

use crate::action::Action;
use crate::loads::uses_of_parts;
use crate::marks;
use crate::session::Session;
use crate::shape;
use crate::theme::{FINGER, Palette, bold};
use crate::words;
use place::Plates;

/// Takes a point of the trailer frame to the screen, in points; none if it lies behind the eye.
pub type Project<'p> = &'p dyn Fn(Vec3) -> Option<Pos2>;

/// Points across the marks.
const MARK: f32 = 22.0;
/// Half the length of a dimension line's end ticks, points.
const TICK: f32 = 7.0;

/// Draws it all within `view`, the rectangle of the scene, and pushes what is pressed.
pub fn overlay_ui(
    ui: &mut Ui,
    view: Rect,
    session: &Session,
    project: Project,
    actions: &mut Vec<Action>,
) {
    if !view.is_positive() {
        return;
    }
    let painter = ui.painter_at(view);
    let mut plates = Plates::new(view);
    if let Some(intake) = session.intake() {
        intake::intake_ui(&painter, &mut plates, intake, session, project);
        return;
    }
    let Some(findings) = session.findings() else {
        return;
    };
    cut_ui(&painter, &mut plates, session, project);
    if let Some(finding) = session.selected() {
        dimension_ui(&painter, &mut plates, finding, session, project);
    }
    marks_ui(ui, &mut plates, findings, session, project, actions);
    if session.view().loads {
        loads::loads_ui(&painter, &mut plates, findings, session, project);
    }
    if session.view().labels {
        names_ui(&painter, &mut plates, session, findings, project);
    }
}

fn at(place: &Place) -> Vec3 {
    match place {
        Place::Point(point) => point.vec(),
        Place::Between { hull, rig } => (hull.vec() + rig.vec()) * 0.5,
    }
}

/// A shape at each finding that is not clear; the selected one too. Pressing it selects.
fn marks_ui(
    ui: &mut Ui,
    plates: &mut Plates,
    findings: &Findings,
    session: &Session,
    project: Project,
    actions: &mut Vec<Action>,
) {
    let palette = Palette::current(ui.ctx());
    for finding in &findings.list {
        let selected = session.view().selected.as_ref() == Some(&finding.id);
        if matches!(finding.verdict, Verdict::Clear | Verdict::Pending) && !selected {
            continue;
        }
        let Some(screen) = finding.place.as_ref().and_then(|place| project(at(place))) else {
            continue;
        };
        if !plates.view().contains(screen) {
            continue;
        }
        // The dimension line of the selected finding speaks for itself; others must not hide it.
        let between = matches!(finding.place, Some(Place::Between { .. }));
        if selected && between {
            continue;
        }
        let mark = Rect::from_center_size(screen, Vec2::splat(MARK));
        if !selected && !plates.take_if_free(mark) {
            continue;
        }
        let target = Rect::from_center_size(screen, Vec2::splat(FINGER)).intersect(plates.view());
        let response = ui.interact(target, ui.id().with(("mark", &finding.id)), Sense::click());
        response.widget_info(|| {
            let verdict = finding.verdict.word();
            let name = format!("In the scene: {}, {verdict}", finding.title);
            WidgetInfo::labeled(WidgetType::Button, true, name)
        });
        let painter = ui.painter_at(plates.view());
        painter.circle_filled(screen, MARK * 0.72, palette.panel);
        if selected || response.hovered() || response.has_focus() {
            let ring = Stroke::new(3.0, palette.accent);
            painter.circle_stroke(screen, MARK * 0.80, ring);
        }
        shape::paint(&painter, screen, MARK, finding.verdict, palette);
        if response.on_hover_text(&finding.title).clicked() {
            actions.push(Action::Select(Some(finding.id.clone())));
        }
    }
}

/// The gap of a finding, drawn from point to point with its number on a plate.
fn dimension_ui(
    painter: &Painter,
    plates: &mut Plates,
    finding: &Finding,
    session: &Session,
    project: Project,
) {
    let palette = Palette::current(painter.ctx());
    let units = session.view().units;
    let found = words::figures(finding, units).found;
    let text = found.unwrap_or_else(|| finding.verdict.word().to_owned());
    let ink = palette.verdict(finding.verdict);
    let Some(place) = &finding.place else {
        return;
    };
    let Some(middle) = project(at(place)) else {
        return;
    };
    let mut off = Vec2::new(0.0, -34.0);
    if let Place::Between { hull, rig } = place {
        let (Some(a), Some(b)) = (project(hull.vec()), project(rig.vec())) else {
            return;
        };
        let along = (b - a).normalized();
        let across = Vec2::new(-along.y, along.x);
        // Beside the line, on the upper side.
        off = if across.y > 0.0 { -across } else { across } * 36.0;
        line_ui(painter, a, b, across, ink, palette);
    }
    let galley = painter.layout_no_wrap(text, bold(18.0), palette.text);
    let size = galley.size() + Vec2::new(34.0 + 12.0, 10.0);
    let rect = plates.place(middle + off, size, middle);
    if rect.center().distance(middle) > 1.0 {
        let from = rect.clamp(middle);
        let inside = plates.view().clamp(middle);
        painter.line_segment([from, inside], Stroke::new(4.0, palette.panel));
        painter.line_segment([from, inside], Stroke::new(1.5, ink));
    }
    plate(painter, rect, Stroke::new(2.0, ink), palette);
    let shape_at = rect.left_center() + Vec2::new(18.0, 0.0);
    shape::paint(painter, shape_at, 20.0, finding.verdict, palette);
    let text_at = rect.left_center() + Vec2::new(36.0, -galley.size().y / 2.0);
    painter.galley(text_at, galley, palette.text);
}

/// The line with ticks at its ends, on a wider one of the ground's colour so that it shows on
/// anything.
fn line_ui(
    painter: &Painter,
    a: Pos2,
    b: Pos2,
    across: Vec2,
    ink: egui::Color32,
    palette: &Palette,
) {
    let segments = [
        [a, b],
        [a - across * TICK, a + across * TICK],
        [b - across * TICK, b + across * TICK],
    ];
    for (width, colour) in [(6.0, palette.panel), (2.5, ink)] {
        for segment in segments {
            painter.line_segment(segment, Stroke::new(width, colour));
        }
    }
}

/// Names of parts, none over another.
fn names_ui(
    painter: &Painter,
    plates: &mut Plates,
    session: &Session,
    findings: &Findings,
    project: Project,
) {
    let trailer_from_hull = findings.trailer_from_hull.pose();
    let units = session.view().units;
    let mut names: Vec<(String, Vec3)> = Vec::new();
    for support in &findings.supports {
        let height = write(Quantity::length(support.stack_height_m), units);
        let state = words::support(support, units);
        let name = format!("{}: {height}, {state}", support.name);
        names.push((name, support.top.vec()));
    }
    // What must not be pressed matters more than what a part is called.
    for mark in session
        .hull()
        .into_iter()
        .flat_map(|hull| marks::shown(hull))
    {
        names.push((mark.label, trailer_from_hull * mark.place));
    }
    for part in session.hull().iter().flat_map(|hull| &hull.parts) {
        let middle = part.mesh.aabb().center();
        names.push((part.name.clone(), trailer_from_hull * middle));
    }
    for part in &findings.rig_parts {
        let spoken_for = matches!(
            part.kind,
            RigPartKind::Ground
                | RigPartKind::Beam
                | RigPartKind::Block
                | RigPartKind::Packing
                | RigPartKind::PadArm
        );
        if !spoken_for {
            let middle = part.trailer_from_part.translation.vec();
            let pad = part.pad.and_then(|pad| findings.pads.get(pad));
            let name = match pad {
                Some(pad) => format!("{}: {}", part.name, words::pad(pad)),
                None => part.name.clone(),
            };
            names.push((name, middle));
        }
    }
    if session.view().loads {
        let parts = findings.rig_parts.iter().zip(uses_of_parts(findings));
        for (part, used) in parts {
            let Some(used) = used else { continue };
            let name = format!("{} {}", used.member, words::loads::used(used, units));
            names.push((name, part.trailer_from_part.translation.vec()));
        }
    }
    let palette = Palette::current(painter.ctx());
    for (name, place) in names {
        let Some(screen) = project(place).filter(|screen| plates.view().contains(*screen)) else {
            continue;
        };
        let font = egui::FontId::proportional(14.0);
        let galley = painter.layout_no_wrap(name, font, palette.text);
        let size = galley.size() + Vec2::new(10.0, 4.0);
        let Some(rect) = plates.near(screen, size) else {
            continue;
        };
        let from = rect.clamp(screen);
        if from.distance(screen) > 2.0 {
            painter.line_segment([from, screen], Stroke::new(1.0, palette.text));
        }
        painter.circle_filled(screen, 2.5, palette.text);
        plate(painter, rect, Stroke::new(1.0, palette.line), palette);
        let text_at = rect.min + Vec2::new(5.0, 2.0);
        painter.galley(text_at, galley, palette.text);
    }
}

/// The station of the cut, at the keel line.
fn cut_ui(painter: &Painter, plates: &mut Plates, session: &Session, project: Project) {
    let (Some(station_m), Some(hull), Some(findings)) =
        (session.drawn_cut_m(), session.hull(), session.findings())
    else {
        return;
    };
    let palette = Palette::current(painter.ctx());
    let trailer_from_hull = findings.trailer_from_hull.pose();
    let bounds = &hull.bounds;
    let at = |y: f64, z: f64| project(trailer_from_hull * Vec3::new(station_m, y, z));
    let corners = [
        at(bounds.mins.y, bounds.mins.z),
        at(bounds.maxs.y, bounds.mins.z),
        at(bounds.maxs.y, bounds.maxs.z),
        at(bounds.mins.y, bounds.maxs.z),
    ];
    let corners: Vec<Pos2> = corners.into_iter().flatten().collect();
    if corners.len() == 4 {
        let edge = Stroke::new(1.5, palette.accent);
        painter.add(Shape::closed_line(corners.clone(), edge));
    }
    let Some(top) = corners.last() else {
        return;
    };
    let station = write(Quantity::length(station_m), session.view().units);
    let text = format!("Cut at station {station}");
    let font = egui::FontId::proportional(14.0);
    let galley = painter.layout_no_wrap(text, font, palette.text);
    let size = galley.size() + Vec2::new(12.0, 6.0);
    let rect = plates.place(*top - Vec2::new(0.0, 16.0), size, *top);
    plate(painter, rect, Stroke::new(1.0, palette.accent), palette);
    painter.text(
        rect.center(),
        Align2::CENTER_CENTER,
        galley.text(),
        egui::FontId::proportional(14.0),
        palette.text,
    );
}

fn plate(painter: &Painter, rect: Rect, edge: Stroke, palette: &Palette) {
    painter.rect(rect, 5.0, palette.panel, edge, egui::StrokeKind::Inside);
}
