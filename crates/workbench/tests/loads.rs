//! What carries and what only steadies, as it is shown: arrows, labels, panels, and what they do.
#![allow(clippy::unwrap_used)]

mod common;

use common::bench::{Bench, DESK, PHONE, SCREENS, misfits};
use common::{demo_jobs, session};
use egui::{Pos2, Rect, Shape, Vec2, pos2};
use egui_kittest::kittest::{By, NodeT, Queryable};
use keelstead::findings::Findings;
use keelstead_geometry::math::{Point, Vec3};
use keelstead_load::load::ExtraWeight;
use keelstead_load::rig::Material;
use keelstead_load::rig_parts::RigPartKind;
use keelstead_units::Units;
use keelstead_units::verdict::Verdict;
use keelstead_workbench::action::Request;
use keelstead_workbench::loads::{Pushes, WHOLE_WEIGHT_M, arrows, uses_of_parts};
use keelstead_workbench::overlay::overlay_ui;
use keelstead_workbench::view::{HALF_FIELD_OF_VIEW_RAD, LookFrom, Tab};
use keelstead_workbench::words::loads as words;
use keelstead_workbench::{Action, Camera, Session, theme};

fn findings(session: &Session) -> &Findings {
    session.findings().unwrap()
}

fn demo(name: &str) -> Session {
    let job = demo_jobs().into_iter().find(|job| job.path.contains(name));
    Session::new(job.unwrap())
}

fn loads_n(session: &Session) -> Vec<f64> {
    let carrying = findings(session).carrying.as_ref().unwrap();
    carrying.supports.iter().map(|one| one.load_n).collect()
}

#[test]
fn an_arrow_stands_at_every_load_as_long_as_the_load_is_of_the_weight() {
    for job in demo_jobs() {
        let session = Session::new(job);
        let findings = findings(&session);
        let carrying = findings.carrying.as_ref().unwrap();
        let steadying = findings.steadying.as_ref().unwrap();
        let drawn = arrows(findings);
        let carry = carrying.supports.iter().filter(|one| one.load_n > 0.0);
        let press = steadying.pads.iter().filter(|one| one.most_n > 0.0);
        assert_eq!(drawn.len(), carry.count() + press.count());
        let mut up_m = 0.0;
        for arrow in drawn {
            let (force, size_n) = match arrow.pushes {
                Pushes::Support(i) => (carrying.supports[i].force, carrying.supports[i].load_n),
                Pushes::Pad(i) => (steadying.pads[i].force, steadying.pads[i].most_n),
            };
            assert_eq!(arrow.from, force.at.vec());
            let along = arrow.to - arrow.from;
            let wanted_m = size_n / carrying.weight_n * WHOLE_WEIGHT_M;
            assert!((along.length() - wanted_m).abs() < 1e-9, "{along:?}");
            let force = Vec3::new(force.x_n, force.y_n, force.z_n);
            assert!(along.normalize().distance(force.normalize()) < 1e-9);
            if matches!(arrow.pushes, Pushes::Support(_)) {
                up_m += along.z;
            }
        }
        assert!(
            (up_m - WHOLE_WEIGHT_M).abs() < 1e-6,
            "they hold the boat: {up_m}"
        );
    }
}

#[test]
fn beams_and_blocks_know_what_governs_them() {
    let session = demo("petrel-easy");
    let findings = findings(&session);
    let uses = uses_of_parts(findings);
    assert_eq!(uses.len(), findings.rig_parts.len());
    let known = |kind: RigPartKind| {
        let parts = findings.rig_parts.iter().zip(&uses);
        let of_kind: Vec<_> = parts.filter(|(part, _)| part.kind == kind).collect();
        assert!(!of_kind.is_empty());
        of_kind.into_iter().all(|(_, used)| used.is_some())
    };
    assert!(known(RigPartKind::Beam) && known(RigPartKind::Block));
    let tyre = findings
        .rig_parts
        .iter()
        .position(|part| part.kind == RigPartKind::Tyre);
    assert!(uses[tyre.unwrap()].is_none(), "a tyre is no beam");
}

/// Text of each plate over the scene, and the plate itself.
fn plates(session: &Session, size: Vec2, from: LookFrom) -> Vec<(String, Rect)> {
    let view = Rect::from_min_size(Pos2::ZERO, size);
    let aspect = f64::from(size.x / size.y);
    let camera = Camera::framing(&session.scene_bounds().unwrap(), from, aspect);
    let eye = camera.eye().vec();
    let ahead = (camera.focus.vec() - eye).normalize();
    let right = ahead.cross(Vec3::Z).normalize();
    let up = right.cross(ahead);
    let scale = f64::from(size.y) / 2.0 / HALF_FIELD_OF_VIEW_RAD.tan();
    let project = |at: Vec3| {
        let to = at - eye;
        let depth = to.dot(ahead);
        let (x, y) = (to.dot(right) / depth * scale, to.dot(up) / depth * scale);
        (depth > 0.0).then(|| view.center() + egui::vec2(x as f32, -y as f32))
    };
    let context = egui::Context::default();
    theme::install(&context);
    let mut painted = Vec::new();
    // Fonts count from the second pass on.
    for _ in 0..2 {
        let input = egui::RawInput {
            screen_rect: Some(view),
            ..Default::default()
        };
        let output = context.run_ui(input, |ui| {
            theme::apply(ui.ctx(), session.view().theme, false);
            overlay_ui(ui, view, session, &project, &mut Vec::new());
        });
        painted = output.shapes.clone();
        output.drop_without_applying_deltas();
    }
    let texts = painted.into_iter().filter_map(|one| match one.shape {
        Shape::Text(text) => Some((
            text.galley.text().to_owned(),
            Rect::from_min_size(text.pos, text.galley.size()),
        )),
        _ => None,
    });
    texts.collect()
}

#[test]
fn no_label_lies_over_another_or_leaves_the_scene() {
    for job in demo_jobs() {
        for size in [egui::vec2(560.0, 640.0), egui::vec2(374.0, 340.0)] {
            for from in LookFrom::ALL {
                for names in [false, true] {
                    let mut session = Session::new(job.clone());
                    session.perform(Action::Labels(names));
                    session.perform(Action::SelectNext);
                    let plates = plates(&session, size, from);
                    let view = Rect::from_min_size(Pos2::ZERO, size);
                    for (i, (text, rect)) in plates.iter().enumerate() {
                        assert!(view.expand(1.0).contains_rect(*rect), "{text} {rect:?}");
                        for (other, over) in &plates[i + 1..] {
                            // The signs of the marks are letters too.
                            let sign = text == "?" || other == "?";
                            assert!(
                                sign || !rect.shrink(1.0).intersects(over.shrink(1.0)),
                                "{} {from:?} {size:?}: {text:?} over {other:?}",
                                job.path
                            );
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn every_load_is_written_on_a_desk_seen_from_the_side() {
    let session = demo("petrel-easy");
    let written = plates(&session, egui::vec2(560.0, 640.0), LookFrom::Port);
    let carrying = findings(&session).carrying.as_ref().unwrap();
    for carried in &carrying.supports {
        let figure = words::load(carried, Units::Metric);
        assert!(
            written.iter().any(|(text, _)| *text == figure),
            "{figure}: {written:?}"
        );
    }
    let mut off = demo("petrel-easy");
    off.perform(Action::Loads(false));
    let without = plates(&off, egui::vec2(560.0, 640.0), LookFrom::Port);
    assert!(without.len() < written.len());
    assert!(!without.iter().any(|(text, _)| text.contains("kN,")));
}

#[test]
fn shims_set_as_advised_share_as_promised_and_undo_takes_them_out() {
    let mut session = demo("petrel-idle-block");
    let carrying = findings(&session).carrying.clone().unwrap();
    let before = loads_n(&session);
    assert!(before.contains(&0.0), "one stack is idle: {before:?}");
    let promised: Vec<f64> = carrying
        .supports
        .iter()
        .map(|one| one.shimmed_n.unwrap())
        .collect();
    session.perform(Action::Tab(Tab::Arrange));
    for size in [DESK, PHONE] {
        let mut bench = Bench::new(demo("petrel-idle-block"), size);
        bench
            .session
            .borrow_mut()
            .perform(Action::Tab(Tab::Arrange));
        bench.harness.run();
        let advice = words::shims(findings(&bench.session.borrow()), &carrying, Units::Metric);
        assert!(
            !advice.is_empty() && advice.iter().all(|shim| bench.shows(shim)),
            "{advice:?}"
        );
        bench.harness.get_by_label("Set these shims").scroll_to_me();
        bench.harness.run();
        bench.press("Set these shims");
        let now = loads_n(&bench.session.borrow());
        for (now, promised) in now.iter().zip(&promised) {
            assert!(
                (now - promised).abs() < 0.01 * carrying.weight_n,
                "{now} for {promised}"
            );
        }
        assert!(
            bench.shows(words::NO_SHIMS),
            "there is nothing more to shim"
        );
        bench.press("Undo: shims as advised");
        assert_eq!(loads_n(&bench.session.borrow()), before);
        assert!(!bench.session.borrow().is_dirty());
    }
}

#[test]
fn no_shims_are_set_where_none_are_advised() {
    let mut session = session();
    assert!(
        words::shims(
            findings(&session),
            findings(&session).carrying.as_ref().unwrap(),
            Units::Metric
        )
        .is_empty()
    );
    session.perform(Action::ShimAsAdvised);
    assert!(!session.is_dirty());
    assert!(
        session
            .messages()
            .iter()
            .any(|one| common::said(&one.text).contains("No shims are advised"))
    );
}

#[test]
fn a_share_wanted_is_advised_and_undone() {
    let mut session = demo("eider-too-high");
    let want = |beam, share| Action::WantShare { beam, share };
    session.perform(want(1, Some(0.0)));
    assert_eq!(session.load().unwrap().beams[1].wanted_share, Some(0.0));
    let carrying = findings(&session).carrying.as_ref().unwrap();
    let spared = carrying.supports[1].shimmed_n.unwrap();
    assert!(
        spared < 0.5 * carrying.supports[1].load_n,
        "it is to carry less: {spared}"
    );
    session.perform(want(9, Some(1.0)));
    assert!(
        session
            .messages()
            .iter()
            .any(|one| common::said(&one.text).contains("no beam 10"))
    );
    session.perform(Action::Undo);
    assert_eq!(session.load().unwrap().beams[1].wanted_share, None);
}

#[test]
fn a_material_without_values_reads_unknown_everywhere() {
    let mut job = common::job();
    for beam in &mut job.rig.beams {
        beam.material = Material::Unknown;
    }
    let session = Session::new(job);
    let parts = findings(&session).rig_parts.iter();
    for (part, used) in parts.zip(uses_of_parts(findings(&session))) {
        if part.kind == RigPartKind::Beam {
            assert_eq!(used.unwrap().verdict(), Verdict::Unknown);
        }
    }
    let written = plates(&session, egui::vec2(560.0, 640.0), LookFrom::Port);
    assert!(
        written
            .iter()
            .any(|(text, _)| text.starts_with("not known:")),
        "{written:?}"
    );
    let bench = Bench::new(session, DESK);
    assert!(bench.shows("Unknown: beam,"));
    assert!(!bench.shows("Clear: beam,"));
}

/// Text that is cut off at the side of the screen.
fn cut_off(bench: &Bench, size: Vec2) -> Vec<String> {
    let nodes = bench.harness.query_all(By::new());
    let texts = nodes.filter(|node| node.accesskit_node().role() == egui::accesskit::Role::Label);
    let wide = texts.filter(|node| {
        let rect = node.rect();
        rect.left() < -0.5 || rect.right() > size.x + 0.5
    });
    wide.map(|node| format!("{:?} {:?}", node.accesskit_node().value(), node.rect()))
        .collect()
}

#[test]
fn loads_pads_and_what_is_asked_fit_on_desk_and_phone() {
    for (size, least) in SCREENS {
        for units in [Units::Metric, Units::Imperial] {
            for name in ["petrel-easy", "petrel-idle-block", "eider"] {
                let mut session = demo(name);
                session.perform(Action::Tab(Tab::Arrange));
                session.perform(Action::Units(units));
                let mut bench = Bench::new(session, size);
                for section in ["Asked of beams, blocks and keel", "Asked of pads and rig"] {
                    bench.harness.get_by_label(section).scroll_to_me();
                    bench.harness.run();
                    bench.press(section);
                }
                for piece in [
                    "What carries the boat",
                    "Load shares from the bow: beam in pocket",
                    "Longest span",
                    "What only steadies",
                    "Keel alone",
                    "Of its rating",
                    "Road factor on loads",
                    "Common practice",
                    "49 CFR 393.102",
                ] {
                    assert!(bench.shows(piece), "{name} at {size:?}: {piece}");
                }
                assert!(bench.shows(words::RULE));
                let wrong = misfits(&bench, name, size, least);
                assert!(wrong.is_empty(), "{}", wrong.join("\n"));
                let wrong = cut_off(&bench, size);
                assert!(wrong.is_empty(), "{name} at {size:?}: {}", wrong.join("\n"));
            }
        }
    }
}

#[test]
fn what_is_asked_is_set_in_steps_that_undo() {
    let mut bench = Bench::new(demo("petrel-easy"), DESK);
    let asked = |bench: &Bench| bench.session.borrow().load().unwrap().required;
    let before = asked(&bench);
    for section in ["Asked of beams, blocks and keel", "Asked of pads and rig"] {
        bench.harness.get_by_label(section).scroll_to_me();
        bench.harness.run();
        bench.press(section);
    }
    for (button, changed) in [
        ("More: Road factor on loads", 2.1),
        ("More: Hardest turn", 0.55),
    ] {
        bench.harness.get_by_label(button).scroll_to_me();
        bench.harness.run();
        bench.press(button);
        let now = asked(&bench);
        let found = [now.strength.road_factor, now.steadying.lateral_g];
        assert!(
            found.iter().any(|v| (v - changed).abs() < 1e-9),
            "{button}: {found:?}"
        );
        assert!(bench.shows("Set for this job. Default"));
        bench.press("Undo: what is asked");
        assert_eq!(asked(&bench), before, "{button}");
    }
}

#[test]
fn pads_that_carry_at_rest_are_said_to() {
    let mut session = demo("petrel-easy");
    let gear = ExtraWeight {
        name: "gear, all on one side".into(),
        mass_kg: 1_500.0,
        at: Point::new(4.0, 1.5, 1.5),
    };
    session.perform(Action::AddWeight(gear));
    session.perform(Action::Tab(Tab::Arrange));
    let rest = findings(&session).finding("steady:rest").unwrap().clone();
    assert_ne!(rest.verdict, Verdict::Clear, "{rest:?}");
    let bench = Bench::new(session, PHONE);
    assert!(bench.shows("not meant"), "{rest:?}");
}

#[test]
fn loads_are_put_away_by_key_and_tick() {
    let mut bench = Bench::new(session(), DESK);
    assert!(bench.session.borrow().view().loads);
    bench.harness.key_press(egui::Key::A);
    bench.harness.run();
    assert!(!bench.session.borrow().view().loads);
    bench.press("Loads");
    assert!(bench.session.borrow().view().loads);
    assert!(
        !bench
            .asked
            .borrow()
            .iter()
            .any(|one| matches!(one, Request::FlyTo(_)))
    );
}

#[test]
fn a_scene_without_room_shows_no_half_labels() {
    let session = demo("petrel-easy");
    for (text, rect) in plates(&session, egui::vec2(120.0, 90.0), LookFrom::Port) {
        let view = Rect::from_min_max(Pos2::ZERO, pos2(120.0, 90.0));
        assert!(
            text == "?" || view.expand(1.0).contains_rect(rect),
            "{text}"
        );
    }
}

#[test]
fn nothing_beside_the_scene_is_wider_than_its_panel() {
    /// The panel's inner margin, points.
    const MARGIN: f32 = 10.0;
    for job in demo_jobs() {
        let name = job.path.clone();
        let bench = Bench::new(Session::new(job), DESK);
        let scene = bench.scene.borrow().unwrap();
        let nodes = bench.harness.query_all(By::new());
        let placed = nodes.filter(|node| node.accesskit_node().bounding_box().is_some());
        let beside: Vec<_> = placed
            .filter(|node| node.rect().left() > scene.right() && node.rect().top() > scene.top())
            .collect();
        assert!(beside.len() > 20, "{name}");
        for node in beside {
            let (rect, access) = (node.rect(), node.accesskit_node());
            assert!(
                rect.right() <= DESK.x - MARGIN + 0.5,
                "{name}: {:?} {rect:?}",
                access.label()
            );
        }
    }
}
