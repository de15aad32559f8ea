//! The panels, driven through the accessibility tree as a person who listens would.
#![allow(clippy::unwrap_used)]

mod common;

use common::bench::{Bench, DESK, PHONE, SCREENS, misfits};
use common::session;
use egui::accesskit::Role;
use egui::{Rect, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use keelstead::findings::Finding;
use keelstead_geometry::math::Point;
use keelstead_load::load::{ExtraWeight, TargetAttitude};
use keelstead_units::Units;
use keelstead_units::verdict::Verdict;
use keelstead_workbench::action::Request;
use keelstead_workbench::view::{Overlay, Tab};
use keelstead_workbench::{Action, Session, theme, ui};

#[test]
fn choosing_a_finding_selects_it_and_shows_what_it_rests_on() {
    let mut bench = Bench::new(session(), DESK);
    let first = bench.session.borrow().findings().unwrap().list[0].clone();
    let node = bench
        .harness
        .query_all_by_role(Role::Button)
        .find(|node| {
            let label = node.accesskit_node().label();
            label.is_some_and(|label| label.starts_with(&first.title))
        })
        .unwrap();
    node.click();
    bench.harness.run();
    assert_eq!(
        bench.session.borrow().selected().map(|f| f.id.clone()),
        Some(first.id)
    );
    assert!(bench.shows("Rests on") || first.rests_on.is_empty());
    bench.press("\u{2190} All findings");
    assert!(bench.session.borrow().selected().is_none());
}

#[test]
fn a_block_taken_out_comes_back_with_undo() {
    let mut bench = Bench::new(session(), DESK);
    let blocks = |bench: &Bench| bench.session.borrow().load().unwrap().beams[0].stack.len();
    // The beam's card opens with its header; the first is open from the start.
    bench
        .harness
        .get_by_label("Take block 2 out")
        .scroll_to_me();
    bench.harness.run();
    bench.press("Take block 2 out");
    assert_eq!(blocks(&bench), 1);
    bench.press("Undo: take block out");
    assert_eq!(blocks(&bench), 2);
    assert!(bench.shows("Undo"), "there is nothing more to take back");
    bench.press("Redo: take block out");
    assert_eq!(blocks(&bench), 1);
}

#[test]
fn a_length_typed_in_moves_the_hull_and_nonsense_says_why() {
    let mut bench = Bench::new(session(), DESK);
    let field = |bench: &Bench| {
        bench
            .harness
            .query_all_by_role(Role::TextInput)
            .next()
            .map(|node| node.rect())
            .unwrap()
    };
    let at = field(&bench).center();
    let click = |bench: &mut Bench| {
        bench.harness.hover_at(at);
        bench.harness.drag_at(at);
        bench.harness.drop_at(at);
        bench.harness.run();
    };
    click(&mut bench);
    bench.harness.event(egui::Event::Text("-8.75 m".into()));
    bench.harness.run();
    bench.harness.key_press(egui::Key::Enter);
    bench.harness.run();
    let x_m = bench.session.borrow().load().unwrap().stand.x_m;
    assert!((x_m + 8.75).abs() < 1e-9, "{x_m}");
    click(&mut bench);
    bench.harness.event(egui::Event::Text("far".into()));
    bench.harness.run();
    bench.harness.key_press(egui::Key::Enter);
    bench.harness.run();
    assert!(bench.shows("far"), "the text stays, with what is wrong");
    let still = bench.session.borrow().load().unwrap().stand.x_m;
    assert_eq!(still, x_m);
}

#[test]
fn unsaved_changes_are_saved_or_lost_or_stayed_with() {
    let changed = || {
        let mut session = session();
        session.perform(Action::RailTop(1.1));
        session.perform(Action::OpenDemo("jobs/easy.json".into()));
        Bench::new(session, PHONE)
    };
    let save = Request::Save {
        path: "jobs/dunlin.json".into(),
    };
    let open = Request::OpenDemo("jobs/easy.json".into());
    for (button, asked) in [
        ("Save and open", vec![save]),
        ("Open without saving", vec![open]),
        ("Stay here", vec![]),
    ] {
        let mut bench = changed();
        assert!(bench.shows("has changes that are not saved"));
        bench.press(button);
        assert_eq!(*bench.asked.borrow(), asked, "{button}");
        assert!(!bench.session.borrow().asks_about_changes(), "{button}");
    }
}

#[test]
fn saving_under_another_name_is_in_sight_on_desk_and_phone() {
    let mut phone = session();
    phone.perform(Action::Tab(Tab::File));
    for mut bench in [Bench::new(session(), DESK), Bench::new(phone, PHONE)] {
        bench.press("Save as\u{2026}");
        let asked = bench.asked.borrow();
        assert!(
            matches!(asked[..], [Request::SaveDialog { .. }]),
            "{asked:?}"
        );
    }
}

#[test]
fn what_the_rig_has_not_is_said_rather_than_left_blank() {
    let mut job = common::job();
    job.rig.beams.clear();
    job.rig.blocks.clear();
    job.rig.pads.clear();
    let mut bench = Bench::new(Session::new(job), DESK);
    for missing in ["no beams on hand", "no blocks on hand"] {
        assert!(bench.shows(missing), "{missing}");
    }
    bench
        .harness
        .get_by_label("Pads (steady only)")
        .scroll_to_me();
    bench.harness.run();
    bench.press("Pads (steady only)");
    assert!(bench.shows("This rig has no pads."));
}

/// Types into the field of that name: `text` in place of what stands there, then leaves it.
fn type_into(bench: &mut Bench, field: &str, text: &str) {
    bench.harness.get_by_label(field).focus();
    bench.harness.run();
    bench.harness.event(egui::Event::Text(text.into()));
    bench.harness.run();
    bench.harness.key_press(egui::Key::Tab);
    bench.harness.run();
}

#[test]
fn the_job_is_named_and_noted_in_the_panels() {
    let mut phone = session();
    phone.perform(Action::Tab(Tab::File));
    let mut bench = Bench::new(phone, PHONE);
    type_into(&mut bench, "Name of the job", "Dunlin home");
    type_into(&mut bench, "Note", "Mind the gate.");
    let job = bench.session.borrow().job().unwrap().clone();
    assert_eq!(
        (job.name.as_str(), job.note.as_str()),
        ("Dunlin home", "Mind the gate.")
    );
    type_into(&mut bench, "Name of the job", " ");
    assert!(bench.shows("A job needs a name"));
    assert_eq!(bench.session.borrow().job().unwrap().name, "Dunlin home");

    let mut desk = Bench::new(session(), DESK);
    desk.harness
        .get_by_label("The job: name and note")
        .scroll_to_me();
    desk.harness.run();
    desk.press("The job: name and note");
    type_into(&mut desk, "Name of the job", "Dunlin out");
    assert_eq!(desk.session.borrow().job().unwrap().name, "Dunlin out");
}

#[test]
fn keys_do_what_help_says() {
    let mut bench = Bench::new(session(), DESK);
    bench.harness.key_press(egui::Key::N);
    bench.harness.run();
    assert!(bench.session.borrow().selected().is_some());
    bench.harness.key_press(egui::Key::CloseBracket);
    bench.harness.run();
    let x_m = bench.session.borrow().load().unwrap().stand.x_m;
    assert!((x_m + 8.99).abs() < 1e-9, "{x_m}");
    bench
        .harness
        .key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    bench.harness.run();
    assert_eq!(bench.session.borrow().load().unwrap().stand.x_m, -9.0);
    bench.harness.key_press(egui::Key::F1);
    bench.harness.run();
    assert_eq!(bench.session.borrow().overlay(), Some(Overlay::Help));
    assert!(bench.shows("Move the hull 10 mm aft"));
    bench.harness.key_press(egui::Key::Escape);
    bench.harness.run();
    assert_eq!(bench.session.borrow().overlay(), None);
}

#[test]
fn the_caution_is_always_in_sight_and_opens_in_full() {
    for size in [DESK, PHONE] {
        for open in [true, false] {
            let session = if open { session() } else { Session::empty() };
            let mut bench = Bench::new(session, size);
            let line = bench
                .harness
                .get_by_label_contains("Never go under a boat held only by");
            assert!(inside(line.rect(), size), "{:?}", line.rect());
            line.click();
            bench.harness.run();
            assert!(bench.shows("licensed rigger or surveyor"));
        }
    }
}

#[test]
fn height_width_length_and_weight_are_always_in_sight() {
    let mut job = common::job();
    job.job.load.extra_weights.push(ExtraWeight {
        name: "water".into(),
        mass_kg: 250.0,
        at: Point::new(3.0, 0.0, 0.9),
    });
    for size in [DESK, PHONE] {
        for tab in Tab::ALL {
            let mut session = Session::new(job.clone());
            session.perform(Action::Tab(tab));
            let bench = Bench::new(session, size);
            let line = bench.harness.get_by_label_contains("Height ");
            let said = line.accesskit_node().value().unwrap();
            // Pads' posts 90 mm wide, 1.3 m out on both sides; 4,000 kg and the water.
            assert!(said.contains("width 2.69 m"), "{said}");
            assert!(said.contains("boat\u{2019}s weight 4,250 kg"), "{said}");
            assert!(said.contains("length "), "{said}");
            assert!(inside(line.rect(), size), "{said} {:?}", line.rect());
        }
        let mut session = Session::new(job.clone());
        session.perform(Action::Units(Units::Imperial));
        let bench = Bench::new(session, size);
        assert!(bench.shows(" lb"), "4,250 kg in pounds");
    }
}

#[test]
fn a_weight_or_size_that_is_not_known_says_so() {
    let mut job = common::job();
    job.hull.mass = None;
    assert!(Bench::new(Session::new(job), PHONE).shows("boat\u{2019}s weight unknown"));
    let mut job = common::job();
    job.job.load.rail_top_m = f64::NAN;
    let bench = Bench::new(Session::new(job), PHONE);
    assert!(bench.shows("Height, width and length unknown"));
}

#[test]
fn a_job_just_opened_starts_at_the_top_with_the_clear_ones_folded() {
    for size in [DESK, PHONE] {
        let mut bench = Bench::new(session(), size);
        let clear = |bench: &Bench| {
            let findings = bench.session.borrow().findings().unwrap().clone();
            let of_it = findings.list.iter().filter(|f| f.verdict == Verdict::Clear);
            let shown = |f: &&Finding| bench.shows(&format!("{}: Clear", f.title));
            (of_it.clone().count(), of_it.filter(shown).count())
        };
        let (count, shown) = clear(&bench);
        assert!(count > 3 && shown == 0, "{count} {shown}");
        let title = format!("Clear ({count})");
        bench.harness.get_by_label(&title).scroll_to_me();
        bench.harness.run();
        bench.press(&title);
        assert!(clear(&bench).1 > 0);
        bench.session.borrow_mut().opened(common::job());
        bench.harness.run();
        assert_eq!(clear(&bench).1, 0);
        let first = bench.harness.get_by_label_contains("Foul (");
        let over = if size == PHONE { "Findings" } else { "Height " };
        let top = bench.harness.get_by_label_contains(over).rect();
        let apart = first.rect().top() - top.bottom();
        assert!(apart > 0.0 && apart < 90.0, "{apart}");
    }
}

#[test]
fn the_scene_keeps_room_on_desk_and_phone() {
    let desk = Bench::new(session(), DESK);
    let scene = desk.scene.borrow().unwrap();
    assert!(scene.width() > 500.0 && scene.height() > 550.0, "{scene:?}");
    let phone = Bench::new(session(), PHONE);
    let scene = phone.scene.borrow().unwrap();
    assert!(scene.width() > 370.0, "{scene:?}");
    assert!(scene.height() > 0.38 * 844.0, "{scene:?}");
    let empty = Bench::new(Session::empty(), PHONE);
    assert!(empty.scene.borrow().is_none());
}

/// States in which every control has to be reachable.
fn states() -> Vec<(&'static str, Session)> {
    let mut states = Vec::new();
    for tab in Tab::ALL {
        let mut session = session();
        session.perform(Action::Want(Some(TargetAttitude {
            keel_over_rail_m: 0.25,
            trim_rad: 0.0,
        })));
        session.perform(Action::Cut(Some(2.0)));
        session.perform(Action::Tab(tab));
        states.push((tab.word(), session));
    }
    let mut selected = session();
    selected.perform(Action::SelectNext);
    states.push(("selected", selected));
    for overlay in [Overlay::Help, Overlay::Cautions, Overlay::Demos] {
        let mut session = session();
        session.perform(Action::Show(Some(overlay)));
        states.push(("overlay", session));
    }
    let mut error = session();
    error.failed(
        "broken.json was not opened",
        "broken.json, at load.beams[1].stack: found 3; expected a list of blocks. Put the list back",
    );
    states.push(("error", error));
    let mut loading = session();
    loading.loading("jobs/easy.json", Some(0.3), "Reading the hull");
    states.push(("loading", loading));
    let mut changes = session();
    changes.perform(Action::RailTop(1.1));
    changes.perform(Action::Open);
    states.push(("changes", changes));
    let mut empty = Session::empty();
    empty.set_demos(common::demos());
    states.push(("empty", empty));
    states
}

/// The harness keeps so much free at both sides.
const MARGINS: f32 = 16.0;
/// The narrowest wide screen, and one that just is not.
const BETWEEN: [(egui::Vec2, f32); 2] = [
    (vec2(ui::WIDE + MARGINS, 700.0), theme::MOUSE),
    (vec2(ui::WIDE + MARGINS - 1.0, 700.0), theme::FINGER),
];

/// Pairs of controls and words in the top bar that lie over each other.
fn overlaps(bench: &Bench) -> Vec<String> {
    let nodes: Vec<(String, Rect)> = bench
        .harness
        .query_all(egui_kittest::kittest::By::new())
        .filter(|node| matches!(node.accesskit_node().role(), Role::Button | Role::Label))
        .filter(|node| node.rect().bottom() < 60.0)
        .map(|node| {
            let access = node.accesskit_node();
            let text = access
                .label()
                .or_else(|| access.value())
                .unwrap_or_default();
            (text, node.rect().shrink(0.5))
        })
        .collect();
    let mut over = Vec::new();
    for (i, (a, rect)) in nodes.iter().enumerate() {
        for (b, other) in &nodes[i + 1..] {
            if rect.intersects(*other) {
                over.push(format!("{a:?} {rect:?} over {b:?} {other:?}"));
            }
        }
    }
    over
}

#[test]
fn the_top_bar_has_room_for_a_long_name_and_many_findings() {
    for (size, _) in SCREENS.into_iter().chain(BETWEEN) {
        for job in common::demo_jobs() {
            let mut session = Session::new(job);
            session.perform(Action::Name(
                "A name that goes on and on for the boat".into(),
            ));
            let over = overlaps(&Bench::new(session, size));
            assert!(over.is_empty(), "{size:?}: {}", over.join("\n"));
        }
    }
}

#[test]
fn no_control_is_cut_off_and_fingers_hit_them_all() {
    let mut wrong = Vec::new();
    for (size, least) in SCREENS.into_iter().chain(BETWEEN) {
        for (state, session) in states() {
            wrong.extend(misfits(&Bench::new(session, size), state, size, least));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn demo_jobs_fit_and_looking_at_them_changes_nothing() {
    let jobs = common::demo_jobs();
    assert!(jobs.len() >= 6, "{} demo jobs", jobs.len());
    let mut wrong = Vec::new();
    for job in jobs {
        for (size, least) in SCREENS {
            for tab in Tab::ALL {
                let mut session = Session::new(job.clone());
                session.perform(Action::SelectNext);
                session.perform(Action::Tab(tab));
                let bench = Bench::new(session, size);
                wrong.extend(misfits(&bench, &job.path, size, least));
                let session = bench.session.borrow();
                assert!(
                    !session.is_dirty() && session.to_undo().is_none(),
                    "{}",
                    job.path
                );
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn inside(rect: Rect, size: egui::Vec2) -> bool {
    Rect::from_min_size(egui::Pos2::ZERO, size)
        .expand(0.5)
        .contains_rect(rect)
}

#[test]
fn a_finger_taps_even_within_one_slow_frame() {
    for slow in [false, true] {
        let mut bench = Bench::new(session(), PHONE);
        let at = bench.harness.get_by_label("Arrange").rect().center();
        let touch = |phase| egui::Event::Touch {
            device_id: egui::TouchDeviceId(1),
            id: egui::TouchId(7),
            phase,
            pos: at,
            force: None,
        };
        let button = |pressed| egui::Event::PointerButton {
            pos: at,
            button: egui::PointerButton::Primary,
            pressed,
            modifiers: egui::Modifiers::NONE,
        };
        bench.harness.event(touch(egui::TouchPhase::Start));
        bench.harness.event(egui::Event::PointerMoved(at));
        bench.harness.event(button(true));
        if !slow {
            bench.harness.step();
        }
        bench.harness.event(touch(egui::TouchPhase::End));
        bench.harness.event(button(false));
        bench.harness.event(egui::Event::PointerGone);
        bench.harness.step();
        assert_eq!(bench.session.borrow().view().tab, Tab::Arrange, "{slow}");
    }
}
