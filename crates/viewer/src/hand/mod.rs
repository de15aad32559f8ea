//! Mouse, touch and keys over the scene, as egui reports them: panels and windows take theirs
//! first, fingers and mouse come in one form.

pub mod drag;

use bevy::prelude::{App, Plugin, Resource, Vec2};
use bevy_egui::egui;
use keelstead::findings::Findings;
use keelstead_workbench::Session;
use keelstead_workbench::action::Action;
use keelstead_workbench::intake::IntakeAction;

use crate::app::Workbench;
use crate::camera::Sight;
use crate::convert;
use crate::pick::{self, Cut, Drawn, Hit, Ray, Target};
use drag::{Grab, Handle};

/// Turn of the eye for a pixel dragged, rad.
const TURN_RAD: f32 = 0.006;
/// Zoom for a pixel of wheel or pinch.
const WHEEL: f32 = 0.0016;
/// Turn for a press of an arrow key, rad.
const KEY_TURN_RAD: f32 = 0.12;
/// Zoom for a press of plus or minus.
const KEY_ZOOM: f32 = 1.2;

/// What the hand holds.
pub struct HandPlugin;

impl Plugin for HandPlugin {
    fn build(&self, app: &mut App) {
        app.init_resource::<Hand>();
    }
}

/// What is picked, and what is being dragged.
#[derive(Resource, Debug, Default)]
pub struct Hand {
    picked: Option<Target>,
    grab: Option<Grab>,
}

impl Hand {
    /// What a drag of the picked thing would do, in a few words.
    pub fn hint(&self, session: &Session) -> Option<&'static str> {
        Some(Handle::of(self.picked(session)?, session)?.hint())
    }

    /// What is picked, while it is still there.
    pub fn picked(&self, session: &Session) -> Option<Target> {
        if session.intake().is_some() {
            return None;
        }
        let target = self.picked?;
        let there = match target {
            Target::Hull(index) => index < session.hull()?.parts.len(),
            Target::Rig(index) => index < session.findings()?.rig_parts.len(),
        };
        there.then_some(target)
    }
}

/// Works the scene's rectangle: turns, moves and zooms the eye, picks and drags.
pub fn work(
    response: &egui::Response,
    hand: &mut Hand,
    sight: &mut Sight,
    workbench: &mut Workbench,
) {
    let ctx = &response.ctx;
    if let Some(touch) = ctx.multi_touch() {
        hand.grab = None;
        let mut orbit = sight.orbit;
        let step = sight.lens().metres_per_pixel(orbit.distance_m);
        orbit = orbit.moved(
            -touch.translation_delta.x * step,
            touch.translation_delta.y * step,
        );
        let at = sight.lens().at_focus(vec2(touch.center_pos));
        orbit = orbit.zoomed(1.0 / touch.zoom_delta.max(0.01), at);
        sight.move_to(orbit);
        return;
    }
    start_drag(response, hand, sight, workbench);
    if response.dragged() {
        keep_dragging(response, hand, sight, workbench);
    }
    if response.drag_stopped() && hand.grab.take().is_some() {
        workbench.perform(Action::Settle);
    }
    if response.clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        click(at, hand, sight, workbench);
    }
    if response.hovered() {
        wheel(response, sight);
        show_cursor(response, hand, sight, workbench);
    }
    if ctx.memory(|memory| memory.focused().is_none()) && !workbench.session.is_covered() {
        keys(ctx, sight);
    }
}

/// Takes hold of the picked thing if the drag began on it.
fn start_drag(response: &egui::Response, hand: &mut Hand, sight: &Sight, workbench: &Workbench) {
    if !response.drag_started_by(egui::PointerButton::Primary) {
        return;
    }
    let session = &workbench.session;
    let origin = response.ctx.input(|input| input.pointer.press_origin());
    let Some((hit, handle)) = origin.and_then(|at| {
        let hit = under(at, sight, session)?;
        Some((hit, Handle::of(hit.target, session)?))
    }) else {
        return;
    };
    let held = hand
        .picked(session)
        .and_then(|target| Handle::of(target, session));
    if held == Some(handle.clone()) {
        hand.grab = Grab::take(handle, hit.at, session);
    }
}

fn keep_dragging(
    response: &egui::Response,
    hand: &mut Hand,
    sight: &mut Sight,
    workbench: &mut Workbench,
) {
    let by = response.drag_delta();
    if by == egui::Vec2::ZERO {
        return;
    }
    if let Some(grab) = &hand.grab {
        let action = response
            .interact_pointer_pos()
            .and_then(|at| grab.drag(ray(at, sight), &workbench.session));
        if let Some(action) = action {
            workbench.perform(action);
        }
        return;
    }
    let shift = response.ctx.input(|input| input.modifiers.shift);
    let orbit = sight.orbit;
    if response.dragged_by(egui::PointerButton::Primary) && !shift {
        sight.move_to(orbit.turned(-by.x * TURN_RAD, by.y * TURN_RAD));
    } else {
        let step = sight.lens().metres_per_pixel(orbit.distance_m);
        sight.move_to(orbit.moved(-by.x * step, by.y * step));
    }
}

/// Picks what is under the pointer and looks at its worst finding; beside everything, at nothing.
fn click(at: egui::Pos2, hand: &mut Hand, sight: &Sight, workbench: &mut Workbench) {
    if workbench.session.intake().is_some() {
        press_intake(at, sight, workbench);
        return;
    }
    let session = &workbench.session;
    hand.picked = under(at, sight, session).map(|hit| hit.target);
    let worst = hand
        .picked
        .and_then(|target| worst_finding(target, session));
    match worst {
        // Picking must not fly the eye away from what was just picked.
        Some(id) => workbench.perform_in_place(Action::Select(Some(id))),
        None if hand.picked.is_none() => workbench.perform(Action::Select(None)),
        None => {}
    }
}

/// Presses what is under the pointer of a hull being brought in; beside it, lets go of its part.
fn press_intake(at: egui::Pos2, sight: &Sight, workbench: &mut Workbench) {
    let session = &workbench.session;
    let action = match (under(at, sight, session), session.drawn_hull()) {
        (Some(hit), Some((_, trailer_from_hull))) => match hit.target {
            Target::Hull(part) => IntakeAction::Pressed {
                part,
                at: (trailer_from_hull.inverse() * hit.at).into(),
            },
            Target::Rig(_) => return,
        },
        _ => IntakeAction::PickPart(None),
    };
    workbench.perform(Action::Intake(action));
}

/// Id of the worst finding about a part. Findings come worst first.
fn worst_finding(target: Target, session: &Session) -> Option<String> {
    let findings: &Findings = session.findings()?;
    let names: Vec<&str> = match target {
        Target::Hull(index) => vec![session.hull()?.parts.get(index)?.name.as_str()],
        Target::Rig(index) => {
            let part = findings.rig_parts.get(index)?;
            let mut supports = findings.supports.iter();
            let support = part
                .beam
                .and_then(|beam| supports.find(|support| support.beam == beam));
            let pad = part.pad.and_then(|pad| findings.pads.get(pad));
            let more = support.map(|s| s.name.as_str()).into_iter();
            more.chain(pad.map(|pad| pad.name.as_str()))
                .chain([part.name.as_str()])
                .collect()
        }
    };
    let about = |text: &str| names.iter().any(|name| text.contains(name));
    let finding = findings.list.iter().find(|finding| about(&finding.title));
    finding.map(|finding| finding.id.clone())
}

fn wheel(response: &egui::Response, sight: &mut Sight) {
    let (scrolled, pinched, at) = response.ctx.input(|input| {
        let at = input.pointer.hover_pos();
        (input.smooth_scroll_delta.y, input.zoom_delta(), at)
    });
    let factor = (-scrolled * WHEEL).exp() / pinched.max(0.01);
    if let Some(at) = at
        && (factor - 1.0).abs() > 1e-4
    {
        let at = sight.lens().at_focus(vec2(at));
        sight.move_to(sight.orbit.zoomed(factor, at));
    }
}

fn show_cursor(response: &egui::Response, hand: &Hand, sight: &Sight, workbench: &Workbench) {
    let session = &workbench.session;
    if hand.grab.is_some() {
        response.ctx.set_cursor_icon(egui::CursorIcon::Grabbing);
        return;
    }
    let held = hand
        .picked(session)
        .and_then(|target| Handle::of(target, session));
    let (Some(held), Some(at)) = (held, response.hover_pos()) else {
        return;
    };
    let here = under(at, sight, session).and_then(|hit| Handle::of(hit.target, session));
    if here == Some(held) {
        response.ctx.set_cursor_icon(egui::CursorIcon::Grab);
    }
}

/// Ctrl and the arrows turn the eye, plus and minus bring it nearer; bare arrows belong to the list.
fn keys(ctx: &egui::Context, sight: &mut Sight) {
    use egui::{Key, Modifiers};
    let pressed = |modifiers: Modifiers, key: Key| {
        ctx.input_mut(|input| input.count_and_consume_key(modifiers, key)) as f32
    };
    let right =
        pressed(Modifiers::COMMAND, Key::ArrowRight) - pressed(Modifiers::COMMAND, Key::ArrowLeft);
    let up =
        pressed(Modifiers::COMMAND, Key::ArrowUp) - pressed(Modifiers::COMMAND, Key::ArrowDown);
    let nearer = pressed(Modifiers::NONE, Key::Plus) + pressed(Modifiers::NONE, Key::Equals)
        - pressed(Modifiers::NONE, Key::Minus);
    if right != 0.0 || up != 0.0 {
        sight.move_to(sight.orbit.turned(right * KEY_TURN_RAD, up * KEY_TURN_RAD));
    }
    if nearer != 0.0 {
        let focus = sight.orbit.focus;
        sight.move_to(sight.orbit.zoomed(KEY_ZOOM.powf(-nearer), focus));
    }
}

/// What is under a pixel.
fn under(at: egui::Pos2, sight: &Sight, session: &Session) -> Option<Hit> {
    let drawn = Drawn {
        cut: Cut::of(session, sight),
        visible: session.drawn_opacity() > 0.0,
    };
    let ray = ray(at, sight);
    if session.intake().is_some() {
        let (hull, trailer_from_hull) = session.drawn_hull()?;
        return pick::pick_hull(hull, &trailer_from_hull, drawn, ray);
    }
    pick::pick(session.hull()?, session.findings()?, drawn, ray)
}

fn ray(at: egui::Pos2, sight: &Sight) -> Ray {
    let (origin, direction) = sight.lens().ray(vec2(at));
    Ray {
        origin: convert::engine_vec3(origin),
        direction: convert::engine_vec3(direction).normalize(),
    }
}

fn vec2(at: egui::Pos2) -> Vec2 {
    Vec2::new(at.x, at.y)
}
