//! Fingers on the panels, as a phone reports them: what scrolls, what sets, and what must not.
#![allow(clippy::unwrap_used)]

mod common;

use std::cell::RefCell;
use std::rc::Rc;

use common::bench::{DESK, PHONE};
use common::session;
use egui::accesskit::{NodeId, Role};
use egui::{Event, PointerButton, Pos2, Rect, TouchPhase, Vec2, pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{By, NodeT, Queryable};
use keelstead_geometry::math::Point;
use keelstead_load::load::{ExtraWeight, Level, Load, Measured, Reach, Seat, TargetAttitude};
use keelstead_workbench::action::Request;
use keelstead_workbench::marks::MarkEdit;
use keelstead_workbench::view::{Overlay, Tab};
use keelstead_workbench::{Action, Session, ui};

/// From one picture to the next, s.
const FRAME_S: f64 = 1.0 / 60.0;

/// A phone or a desk with a finger over it.
struct Phone {
    harness: Harness<'static>,
    session: Rc<RefCell<Session>>,
    /// How far the scene was dragged so far, as the viewer takes it.
    turned: Rc<RefCell<Vec2>>,
    now_s: f64,
    touches: u64,
}

impl Phone {
    fn new(session: Session, size: Vec2) -> Self {
        let session = Rc::new(RefCell::new(session));
        let turned = Rc::new(RefCell::new(Vec2::ZERO));
        let (inner, seen) = (session.clone(), turned.clone());
        let app = move |ui: &mut egui::Ui| {
            let mut actions = Vec::new();
            let shown = ui::workbench_ui(ui, &inner.borrow(), &mut actions);
            if let Some(scene) = shown.scene {
                let id = egui::Id::new("scene");
                let response = ui.interact(scene, id, egui::Sense::click_and_drag());
                if response.dragged() {
                    *seen.borrow_mut() += response.drag_delta();
                }
            }
            for action in actions {
                let _: Vec<Request> = inner.borrow_mut().perform(action);
            }
        };
        let harness = Harness::builder().with_size(size).build_ui(app);
        let mut phone = Self {
            harness,
            session,
            turned,
            now_s: 0.0,
            touches: 0,
        };
        phone.pass(0.1);
        // What is asked to be shown is shown at once.
        let at_once = egui::style::ScrollAnimation::none();
        phone
            .harness
            .ctx
            .all_styles_mut(|style| style.scroll_animation = at_once);
        phone.pass(0.1);
        phone
    }

    /// One picture, so long after the one before.
    fn frame(&mut self, after_s: f64, events: impl IntoIterator<Item = Event>) {
        self.now_s += after_s;
        let input = self.harness.input_mut();
        input.time = Some(self.now_s);
        input.events.extend(events);
        self.harness.step();
    }

    /// Pictures for so long, s.
    fn pass(&mut self, s: f64) {
        for _ in 0..(s / FRAME_S) as usize {
            self.frame(FRAME_S, []);
        }
    }

    fn finger(&self, phase: TouchPhase, pos: Pos2) -> Vec<Event> {
        let touch = Event::Touch {
            device_id: egui::TouchDeviceId(1),
            id: egui::TouchId(self.touches),
            phase,
            pos,
            force: None,
        };
        let button = |pressed| Event::PointerButton {
            pos,
            button: PointerButton::Primary,
            pressed,
            modifiers: egui::Modifiers::NONE,
        };
        match phase {
            TouchPhase::Start => vec![touch, Event::PointerMoved(pos), button(true)],
            TouchPhase::Move => vec![touch, Event::PointerMoved(pos)],
            _ => vec![touch, button(false), Event::PointerGone],
        }
    }

    fn down(&mut self, at: Pos2) {
        self.touches += 1;
        let events = self.finger(TouchPhase::Start, at);
        self.frame(FRAME_S, events);
    }

    fn moved(&mut self, at: Pos2) {
        let events = self.finger(TouchPhase::Move, at);
        self.frame(FRAME_S, events);
    }

    fn up(&mut self, at: Pos2) {
        let events = self.finger(TouchPhase::End, at);
        self.frame(FRAME_S, events);
    }

    /// A finger put down, drawn along and lifted, without a rest at the end.
    fn fling(&mut self, from: Pos2, by: Vec2, frames: u32) {
        self.down(from);
        for frame in 1..=frames {
            self.moved(from + by * (frame as f32 / frames as f32));
        }
        self.up(from + by);
    }

    /// The same, until all is at rest again.
    fn swipe(&mut self, from: Pos2, by: Vec2) {
        self.fling(from, by, 12);
        self.pass(2.0);
    }

    fn tap(&mut self, at: Pos2) {
        self.down(at);
        self.up(at);
        self.pass(0.5);
    }

    /// Where what has that name lies.
    fn rect(&self, name: &str) -> Rect {
        self.harness.get_by_label(name).rect()
    }

    /// Presses what has that name, wherever it lies.
    fn press(&mut self, name: &str) {
        self.harness.get_by_label(name).click();
        self.pass(0.4);
    }

    /// Brings what has that name to the middle of what scrolls.
    fn show(&mut self, name: &str) {
        self.harness.get_by_label(name).scroll_to_me();
        self.pass(0.1);
    }

    /// Brings a node to where it can be seen.
    fn show_node(&mut self, id: NodeId) {
        self.node(id).scroll_to_me();
        let mut still = 0;
        while still < 3 {
            let before = self.node(id).rect();
            self.frame(FRAME_S, []);
            let stays = self.node(id).rect() == before;
            still = if stays { still + 1 } else { 0 };
        }
    }

    fn node(&self, id: NodeId) -> egui_kittest::Node<'_> {
        let mut nodes = self.harness.query_all(By::new());
        nodes
            .find(|node| node.accesskit_node().locate().0 == id)
            .unwrap()
    }

    fn knob(&self, name: &str) -> Pos2 {
        self.knob_of(self.slider(name).accesskit_node().locate().0)
    }

    /// Where the knob of a slider lies, as its value says.
    fn knob_of(&self, id: NodeId) -> Pos2 {
        let node = self.node(id);
        let rect = node.rect();
        let access = node.accesskit_node();
        let [value, min, max] = [
            access.numeric_value(),
            access.min_numeric_value(),
            access.max_numeric_value(),
        ]
        .map(Option::unwrap);
        let part = ((value - min) / (max - min)).clamp(0.0, 1.0) as f32;
        let radius = rect.height() / 2.5;
        let track = rect.x_range().shrink(radius);
        pos2(egui::lerp(track, part), rect.center().y)
    }

    fn slider(&self, name: &str) -> egui_kittest::Node<'_> {
        let name = name.to_owned();
        let named = move |node: &egui_kittest::Node<'_>| {
            let label = node.accesskit_node().label();
            label.is_some_and(|label| label.starts_with(&name))
        };
        let sliders = self.harness.query_all_by_role(Role::Slider);
        sliders.into_iter().find(named).unwrap()
    }

    fn load(&self) -> Load {
        self.session.borrow().load().unwrap().clone()
    }

    fn changed(&self) -> bool {
        let session = self.session.borrow();
        session.is_dirty() || session.to_undo().is_some()
    }
}

/// A session with something in every section of the arrangement, nothing of it changed since.
fn full() -> Session {
    let mut job = common::job();
    let load = &mut job.job.load;
    load.stand.wanted = Some(TargetAttitude {
        keel_over_rail_m: 0.25,
        trim_rad: 0.0,
    });
    load.pads[0].reach = Reach::SetM(0.6);
    load.beams[1].seat = Seat::OnRailsXM(-6.0);
    load.beams[0].wanted_share = Some(1.0);
    load.extra_weights.push(ExtraWeight {
        name: "water".into(),
        mass_kg: 100.0,
        at: Point::new(2.0, 0.0, 0.8),
    });
    load.required.overall_height_m = Some(4.0);
    load.beams[0].soft_packing_n_per_m = Some(2.0e6);
    load.measured.push(Measured::Height {
        name: "stem head".into(),
        at: Point::new(7.5, 0.0, 2.0),
        over: Level::Ground,
        height_m: 3.0,
        tolerance_m: 0.005,
    });
    let mut session = Session::new(job);
    session.perform(Action::Tab(Tab::Arrange));
    session
}

const SECTIONS: [&str; 8] = [
    "Measured after set-down",
    "Pads (steady only)",
    "Weights on board",
    "Marks on the hull",
    "What is asked",
    "Asked of beams, blocks and keel",
    "Asked of pads and rig",
    "The job: name and note",
];

fn at_arrange(session: Session, size: Vec2) -> Phone {
    let mut phone = Phone::new(session, size);
    for section in SECTIONS {
        phone.show(section);
        phone.press(section);
    }
    phone
}

/// Something that a hand could set.
#[derive(Debug, Clone)]
struct Control {
    id: NodeId,
    role: Role,
    name: String,
    rect: Rect,
}

/// All there are, in the sheet and about it.
fn controls(phone: &Phone) -> Vec<Control> {
    let roles = [
        Role::Slider,
        Role::TextInput,
        Role::MultilineTextInput,
        Role::SpinButton,
        Role::CheckBox,
        Role::ComboBox,
        Role::Button,
    ];
    let nodes = phone.harness.query_all(By::new());
    nodes
        .filter_map(|node| {
            let access = node.accesskit_node();
            let role = access.role();
            roles.contains(&role).then(|| Control {
                id: access.locate().0,
                role,
                name: access.label().unwrap_or_default(),
                rect: node.rect(),
            })
        })
        .collect()
}

/// Draws a finger from a control up or down, to the side a little as a thumb does, and holds it a while before it is
/// lifted. How far the control went with it.
fn drawn_along(phone: &mut Phone, control: &Control, down: f32) -> f32 {
    let rect = phone.node(control.id).rect();
    let begins = match control.role {
        Role::Slider => phone.knob_of(control.id),
        _ => rect.center(),
    };
    phone.down(begins);
    for step in 1..=4 {
        phone.moved(begins + vec2(0.4, down) * 15.0 * step as f32);
    }
    let ends = begins + vec2(0.4, down) * 60.0;
    phone.frame(0.3, []);
    let after = phone.node(control.id).rect();
    phone.up(ends);
    phone.frame(FRAME_S, []);
    after.top() - rect.top()
}

#[test]
fn a_swipe_up_or_down_scrolls_and_sets_nothing_wherever_it_begins() {
    let mut phone = at_arrange(full(), PHONE);
    let before = phone.load();
    let fixed = |name: &str| {
        let bars = [
            "Undo", "Redo", "Findings", "Arrange", "View", "File", "\u{26a0}",
        ];
        bars.iter().any(|bar| name.starts_with(bar))
    };
    let all = controls(&phone).into_iter().filter(|one| !fixed(&one.name));
    let all: Vec<_> = all.collect();
    let sliders = all.iter().filter(|one| one.role == Role::Slider).count();
    assert!(all.len() > 100 && sliders > 8, "{} {sliders}", all.len());
    for one in &all {
        phone.show_node(one.id);
        // At the top nothing goes down, at the bottom nothing up.
        let up = drawn_along(&mut phone, one, -1.0);
        let down = if one.role == Role::Slider || up > -30.0 {
            drawn_along(&mut phone, one, 1.0)
        } else {
            0.0
        };
        assert!(up < -30.0 || down > 30.0, "{one:?} stays: {up} {down}");
        assert!(!phone.changed() && phone.load() == before, "{one:?} sets");
    }
}

#[test]
fn a_drag_sideways_on_the_knob_sets_and_one_undo_takes_it_back() {
    for size in [PHONE, DESK] {
        let mut session = full();
        session.perform(Action::Touch(true));
        let mut phone = Phone::new(session, size);
        phone.show("Left of middle, 0 mm");
        let width = phone.slider("Left of middle").rect().width();
        let height = phone.slider("Left of middle").rect().height();
        let knob = phone.knob("Left of middle");
        phone.swipe(knob, vec2(60.0, 6.0));
        // 1 m over what the knob leaves of the rail; the first 8 points do not count; steps of 2 mm.
        let track = f64::from(width - 2.0 * height / 2.5);
        let expected_m = (52.0 / track / 0.002).round() * 0.002;
        let y_m = phone.load().stand.y_m;
        assert!((y_m - expected_m).abs() < 1e-9, "{y_m} {expected_m}");
        phone.session.borrow_mut().perform(Action::Undo);
        assert_eq!(phone.load().stand.y_m, 0.0);
        assert!(phone.session.borrow().to_undo().is_none(), "one step");
    }
}

#[test]
fn a_mouse_drags_the_knob_too() {
    let mut desk = Phone::new(full(), DESK);
    let knob = desk.knob("Left of middle");
    let press = |pos, pressed| Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: egui::Modifiers::NONE,
    };
    desk.frame(FRAME_S, [Event::PointerMoved(knob), press(knob, true)]);
    for step in 1..=6 {
        let at = knob - vec2(10.0 * step as f32, 0.0);
        desk.frame(FRAME_S, [Event::PointerMoved(at)]);
    }
    desk.frame(FRAME_S, [press(knob - vec2(60.0, 0.0), false)]);
    assert!(desk.load().stand.y_m < -0.1, "{}", desk.load().stand.y_m);
}

#[test]
fn the_rail_takes_no_press_and_no_drag() {
    for size in [PHONE, DESK] {
        let mut phone = Phone::new(full(), size);
        phone.show("Left of middle, 0 mm");
        let rail = phone.slider("Left of middle").rect();
        let at = pos2(rail.left() + 20.0, rail.center().y);
        phone.tap(at);
        phone.swipe(at, vec2(120.0, 0.0));
        assert!(!phone.changed(), "{size:?}");
    }
}

#[test]
fn a_knob_under_a_cover_takes_no_drag() {
    for overlay in [Overlay::Help, Overlay::Cautions] {
        let mut desk = Phone::new(full(), DESK);
        let knob = desk.knob("Left of middle");
        desk.session
            .borrow_mut()
            .perform(Action::Show(Some(overlay)));
        desk.pass(0.3);
        desk.swipe(knob, vec2(-60.0, 0.0));
        assert!(!desk.changed(), "{overlay:?}");
    }
}

#[test]
fn keys_move_a_slider_by_steps() {
    let mut desk = Phone::new(full(), DESK);
    desk.slider("Left of middle").focus();
    desk.pass(0.2);
    desk.harness.key_press(egui::Key::ArrowRight);
    desk.pass(0.2);
    let y_m = desk.load().stand.y_m;
    assert!((y_m - 0.002).abs() < 1e-9, "{y_m}");
    assert!(desk.session.borrow().to_undo().is_some());
}

#[test]
fn the_first_drag_after_a_rest_counts() {
    let mut phone = Phone::new(full(), PHONE);
    let tab = phone.rect("View").center();
    phone.tap(tab);
    // Nothing was drawn for a while: the first picture after it is dated as the last one was, the next one late.
    let from = pos2(190.0, 200.0);
    phone.down(from);
    let events = phone.finger(TouchPhase::Move, from + vec2(3.0, 0.0));
    phone.frame(3.0, events);
    for step in 2..=10 {
        phone.moved(from + vec2(3.0 * step as f32 * 2.0, 0.0));
    }
    phone.up(from + vec2(60.0, 0.0));
    let turned = *phone.turned.borrow();
    assert!(turned.x > 30.0, "{turned:?}");
}

#[test]
fn a_press_that_stops_the_sheet_does_nothing_else() {
    let mut phone = Phone::new(full(), PHONE);
    phone.fling(pos2(30.0, 720.0), vec2(0.0, -180.0), 5);
    phone.pass(0.1);
    // Whatever runs by there.
    let running = |phone: &Phone| {
        let mut all = controls(phone).into_iter();
        all.find(|one| {
            let inside = one.rect.top() > 560.0 && one.rect.bottom() < 700.0;
            inside && (one.name.starts_with("More: ") || one.name.starts_with("Less: "))
        })
    };
    let mut before = None;
    for _ in 0..60 {
        phone.frame(FRAME_S, []);
        before = before.or_else(|| running(&phone));
    }
    let before = before.unwrap();
    phone.fling(pos2(30.0, 560.0), vec2(0.0, 180.0), 5);
    phone.pass(0.1);
    let mut at = None;
    for _ in 0..60 {
        let was = running(&phone).map(|one| (one.id, one.rect.center()));
        phone.frame(FRAME_S, []);
        at = was.map(|(id, was)| (was, phone.node(id).rect().center()));
        if at.is_some() {
            break;
        }
    }
    let (was, at) = at.unwrap();
    assert!(at.y > was.y, "it runs on: {was:?} {at:?}");
    phone.down(at);
    phone.up(at);
    assert!(!phone.changed());
    // At rest the same press counts.
    phone.pass(2.0);
    phone.show_node(before.id);
    let at = phone.node(before.id).rect().center();
    phone.tap(at);
    assert!(phone.changed());
}

#[test]
fn what_was_half_typed_is_given_up_with_its_field() {
    let mut phone = Phone::new(full(), PHONE);
    let field = {
        let nodes = phone.harness.query_all_by_role(Role::TextInput);
        nodes.into_iter().next().unwrap().rect().center()
    };
    phone.tap(field);
    phone.harness.event(Event::Text("-5".into()));
    phone.pass(0.2);
    phone.session.borrow_mut().perform(Action::Tab(Tab::View));
    phone.pass(0.5);
    phone
        .session
        .borrow_mut()
        .perform(Action::Tab(Tab::Arrange));
    phone.pass(0.5);
    phone.tap(field);
    let other = phone.rect("Arrange").center();
    phone.tap(other);
    assert!(!phone.changed(), "{:?}", phone.load().stand);
}

#[test]
fn the_marks_of_a_hull_are_fields_like_the_others() {
    let mut session = full();
    session.perform(Action::Mark(MarkEdit::AddLifting(
        keelstead_boat::hull::LiftingMark {
            name: "sling 1".into(),
            x_m: 2.0,
        },
    )));
    session.perform(Action::Settle);
    let mut phone = Phone::new(session, PHONE);
    phone.show("Marks on the hull");
    phone.press("Marks on the hull");
    phone.show("Add a lifting mark");
    let before = phone.session.borrow().hull().unwrap().marks.clone();
    let fields: Vec<Rect> = {
        let nodes = phone.harness.query_all_by_role(Role::TextInput);
        nodes.into_iter().map(|node| node.rect()).collect()
    };
    for rect in fields {
        phone.swipe(rect.center(), vec2(6.0, -50.0));
    }
    assert_eq!(phone.session.borrow().hull().unwrap().marks, before);
}

#[test]
fn the_first_touch_of_all_scrolls() {
    let mut phone = Phone::new(session(), PHONE);
    phone
        .session
        .borrow_mut()
        .perform(Action::Tab(Tab::Arrange));
    phone.pass(0.5);
    let before = phone.rect("Where the hull stands").top();
    phone.swipe(pos2(60.0, 700.0), vec2(0.0, -60.0));
    let after = phone.rect("Where the hull stands").top();
    assert!(after < before - 30.0, "{before} {after}");
}
