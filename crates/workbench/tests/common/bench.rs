//! The panels without a window, driven through the accessibility tree.

use std::cell::RefCell;
use std::rc::Rc;

use egui::accesskit::Role;
use egui::{Rect, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use keelstead_workbench::action::Request;
use keelstead_workbench::{Session, theme, ui};

/// A desk's window.
pub const DESK: egui::Vec2 = vec2(1280.0, 800.0);
/// A phone held upright.
pub const PHONE: egui::Vec2 = vec2(390.0, 844.0);

/// The panels with a session behind them.
pub struct Bench {
    pub harness: Harness<'static>,
    pub session: Rc<RefCell<Session>>,
    pub scene: Rc<RefCell<Option<Rect>>>,
    pub asked: Rc<RefCell<Vec<Request>>>,
}

impl Bench {
    pub fn new(session: Session, size: egui::Vec2) -> Self {
        let session = Rc::new(RefCell::new(session));
        let scene = Rc::new(RefCell::new(None));
        let asked = Rc::new(RefCell::new(Vec::new()));
        let (inner, seen, heard) = (session.clone(), scene.clone(), asked.clone());
        let app = move |ui: &mut egui::Ui| {
            let mut actions = Vec::new();
            let shown = ui::workbench_ui(ui, &inner.borrow(), &mut actions);
            *seen.borrow_mut() = shown.scene;
            for action in actions {
                let requests = inner.borrow_mut().perform(action);
                heard.borrow_mut().extend(requests);
            }
        };
        let mut harness = Harness::builder()
            .with_size(size)
            .with_max_steps(40)
            .build_ui(app);
        harness.run();
        Self {
            harness,
            session,
            scene,
            asked,
        }
    }

    pub fn press(&mut self, name: &str) {
        self.harness.get_by_label(name).click();
        self.harness.run();
    }

    pub fn shows(&self, text: &str) -> bool {
        self.harness
            .query_all_by_label_contains(text)
            .next()
            .is_some()
            || self
                .harness
                .query_all(egui_kittest::kittest::By::new().predicate({
                    let text = text.to_owned();
                    move |node| node.value().is_some_and(|value| value.contains(&text))
                }))
                .next()
                .is_some()
    }
}

/// A phone on its side.
pub const LYING: egui::Vec2 = vec2(844.0, 390.0);
/// A window about as small as one is made.
pub const SMALL: egui::Vec2 = vec2(480.0, 360.0);

/// Screens, and the least size of what is aimed at on each.
pub const SCREENS: [(egui::Vec2, f32); 4] = [
    (PHONE, theme::FINGER),
    (DESK, theme::MOUSE),
    (LYING, theme::FINGER),
    (SMALL, theme::FINGER),
];

/// What is wrong with a control, if anything: cut off sideways, where nothing scrolls, or smaller
/// than `least`. What lies below is reached by scrolling.
pub fn misfits(bench: &Bench, state: &str, size: egui::Vec2, least: f32) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut controls = 0;
    for node in bench.harness.query_all(egui_kittest::kittest::By::new()) {
        let access = node.accesskit_node();
        let role = access.role();
        let is_control = matches!(
            role,
            Role::Button
                | Role::CheckBox
                | Role::Slider
                | Role::TextInput
                | Role::ComboBox
                | Role::SpinButton
        );
        if !is_control {
            continue;
        }
        controls += 1;
        let rect = node.rect();
        let cut_off = rect.left() < -0.5 || rect.right() > size.x + 0.5;
        let too_small = rect.height() < least - 0.5 || rect.width() < least - 0.5;
        if cut_off || too_small {
            let label = access.label();
            wrong.push(format!("{state} at {size:?}: {role:?} {label:?} {rect:?}"));
        }
    }
    assert!(controls > 0, "{state}");
    wrong
}
