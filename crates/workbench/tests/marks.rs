//! Marks on the hull: changed by number or by a point picked, taken back, and shown.
#![allow(clippy::unwrap_used)]

mod common;

use common::bench::{Bench, DESK, PHONE, SCREENS, misfits};
use common::{demo_jobs, do_all};
use keelstead::check::check;
use keelstead_boat::hull::{KeepOff, KeepOffKind, LiftingMark, Marks, StrongStation};
use keelstead_files::document;
use keelstead_files::hull_file::HullFile;
use keelstead_files::kept::Place;
use keelstead_geometry::math::{Point, Vec3};
use keelstead_units::Units;
use keelstead_units::verdict::Verdict;
use keelstead_workbench::view::Tab;
use keelstead_workbench::{Action, Level, MarkEdit, MarkKind, Session, marks, overlay, theme};

fn demo(name: &str) -> Session {
    let jobs = demo_jobs().into_iter();
    Session::new(jobs.clone().find(|job| job.path.contains(name)).unwrap())
}

fn marks_of(session: &Session) -> Marks {
    session.hull().unwrap().marks.clone()
}

fn mark(edit: MarkEdit) -> Action {
    Action::Mark(edit)
}

/// The point where the first touching pad meets the hull, hull frame, and the pad's name.
fn pad(session: &Session) -> (String, Vec3) {
    let findings = session.findings().unwrap();
    let pad = findings
        .pads
        .iter()
        .find(|pad| pad.contact.is_some())
        .unwrap();
    let hull_from_trailer = findings.trailer_from_hull.pose().inverse();
    (
        pad.name.clone(),
        hull_from_trailer * pad.contact.unwrap().vec(),
    )
}

#[test]
fn a_mark_picked_on_the_hull_is_checked_at_once_and_undone() {
    let mut session = demo("petrel-easy");
    let (name, at) = pad(&session);
    let verdict = |session: &Session| {
        let findings = session.findings().unwrap();
        findings.finding(&format!("pad:{name}")).unwrap().verdict
    };
    assert_eq!(verdict(&session), Verdict::Clear);
    let put = |what, both_sides| {
        let at = at.into();
        mark(MarkEdit::At {
            what,
            at,
            both_sides,
        })
    };
    session.perform(put(MarkKind::KeepOff(KeepOffKind::ThroughHull), true));
    let zone = marks_of(&session).keep_offs[0].clone();
    assert_eq!(
        (zone.name.as_str(), zone.both_sides),
        ("through-hull 1", true)
    );
    assert!(zone.contains(at) && zone.contains(Vec3::new(at.x, -at.y, at.z)));
    assert_eq!(verdict(&session), Verdict::Foul);
    let fresh = check(
        session.hull().unwrap(),
        session.rig().unwrap(),
        session.load().unwrap(),
    );
    assert_eq!(*session.findings().unwrap(), fresh);
    session.perform(Action::Undo);
    assert_eq!(verdict(&session), Verdict::Clear);
    assert!(!session.is_dirty() && marks_of(&session) == Marks::default());
    do_all(
        &mut session,
        [put(MarkKind::Strong, false), put(MarkKind::Lifting, false)],
    );
    let marks = marks_of(&session);
    assert_eq!(marks.strong_stations[0].x_m, at.x);
    assert_eq!(marks.lifting_marks[0].x_m, at.x);
    let strong = format!("pad-strong:{name}");
    assert_eq!(
        session
            .findings()
            .unwrap()
            .finding(&strong)
            .unwrap()
            .verdict,
        Verdict::Clear
    );
    assert_eq!(session.to_undo().unwrap(), "mark the hull");
}

#[test]
fn marks_changed_go_into_a_description_of_their_own() {
    let mut session = demo("petrel-easy");
    let lifting = |x_m| LiftingMark {
        name: "SLING".into(),
        x_m,
    };
    session.perform(mark(MarkEdit::AddLifting(lifting(3.0))));
    for x_m in [3.1, 3.2, 3.3] {
        session.perform(mark(MarkEdit::SetLifting {
            at: 0,
            mark: lifting(x_m),
        }));
    }
    let files = session.files().unwrap();
    let Place::Made(bytes) = &files.hull[0].place else {
        panic!("{:?}", files.hull[0].place);
    };
    let described: HullFile = document::read(bytes, "hull").unwrap();
    assert_eq!(described.marks(), marks_of(&session));
    assert_eq!(described.mass, session.hull().unwrap().mass);
    session.perform(Action::Undo);
    assert_eq!(
        marks_of(&session).lifting_marks[0].x_m,
        3.0,
        "a drag is one step"
    );
    session.perform(Action::Undo);
    assert!(!session.is_dirty());
    assert!(matches!(
        session.files().unwrap().hull[0].place,
        Place::Memory(_)
    ));
    // On disk the description is left to saving, which knows where the job will stand.
    let mut job = demo_jobs().remove(0);
    job.files.hull[0].place = Place::Disk("/yard/hulls/petrel.json".into());
    let mut session = Session::new(job);
    session.perform(mark(MarkEdit::AddLifting(lifting(3.0))));
    assert_eq!(session.files().unwrap().marks, Some(marks_of(&session)));
    let mut saved = common::saved_as_is(&session);
    saved.files.marks = None;
    saved.job.hull = "petrel.hull.json".into();
    session.saved("/yard/jobs/petrel.json", saved);
    assert!(!session.is_dirty() && session.files().unwrap().marks.is_none());
}

#[test]
fn marks_that_make_no_sense_change_nothing_and_say_why() {
    let zone = |min: [f64; 3], max: [f64; 3]| KeepOff {
        name: "log".into(),
        kind: KeepOffKind::Transducer,
        min: Vec3::from_array(min).into(),
        max: Vec3::from_array(max).into(),
        both_sides: false,
    };
    let nowhere = Point::new(f64::NAN, 0.0, 0.0);
    for edit in [
        MarkEdit::RemoveKeepOff(0),
        MarkEdit::RemoveStrong(usize::MAX),
        MarkEdit::SetLifting {
            at: 3,
            mark: LiftingMark {
                name: "x".into(),
                x_m: 0.0,
            },
        },
        MarkEdit::AddKeepOff(zone([1.0, 0.0, 0.0], [0.0, 1.0, 1.0])),
        MarkEdit::At {
            what: MarkKind::Lifting,
            at: nowhere,
            both_sides: false,
        },
        MarkEdit::At {
            what: MarkKind::KeepOff(KeepOffKind::Other),
            at: nowhere,
            both_sides: true,
        },
        MarkEdit::AddStrong(StrongStation {
            name: String::new(),
            x_m: 1.0,
            reach_m: -1.0,
        }),
    ] {
        let mut session = demo("petrel-easy");
        let before = session.job().unwrap().clone();
        session.perform(mark(edit.clone()));
        assert_eq!(marks_of(&session), Marks::default(), "{edit:?}");
        assert_eq!(*session.job().unwrap(), before);
        assert_eq!(
            session.messages().last().unwrap().level,
            Level::Error,
            "{edit:?}"
        );
        assert_eq!(session.to_undo(), None, "{edit:?}");
    }
}

#[test]
fn mark_edits_travel_as_json() {
    let text = r#"{"mark": {"at": {"what": {"keep-off": "exhaust"}, "at": {"x_m": 1.0, "y_m": 0.5, "z_m": 0.4}}}}"#;
    let action: Action = serde_json::from_str(text).unwrap();
    let Action::Mark(MarkEdit::At {
        what, both_sides, ..
    }) = &action
    else {
        panic!("{action:?}");
    };
    assert_eq!(
        (*what, *both_sides),
        (MarkKind::KeepOff(KeepOffKind::Exhaust), false)
    );
    let back = serde_json::to_string(&action).unwrap();
    assert_eq!(serde_json::from_str::<Action>(&back).unwrap(), action);
}

#[test]
fn shown_marks_have_a_label_a_place_and_what_they_take_up() {
    let mut session = demo("eider");
    let station = StrongStation {
        name: "bulkhead".into(),
        x_m: 2.0,
        reach_m: 0.2,
    };
    session.perform(mark(MarkEdit::AddStrong(station)));
    let hull = session.hull().unwrap();
    let shown = marks::shown(hull);
    assert_eq!(shown[0].label, "keep off: log transducer");
    assert!(hull.marks.keep_offs[0].contains(shown[0].place));
    assert_eq!(
        (shown[1].label.as_str(), shown[1].at),
        ("strong: bulkhead", 0)
    );
    let [lo, hi] = shown[1].boxes[0];
    assert!((lo.x - 1.8).abs() < 1e-12 && (hi.x - 2.2).abs() < 1e-12);
}

/// Presses what has this label, wherever it was scrolled to.
fn reveal_and_press(bench: &mut Bench, label: &str) {
    use egui_kittest::kittest::Queryable;
    bench.harness.get_by_label(label).scroll_to_me();
    bench.harness.run();
    bench.press(label);
}

#[test]
fn the_sheet_adds_changes_and_takes_marks_away_in_either_unit() {
    for size in [DESK, PHONE] {
        let mut session = demo("petrel-easy");
        do_all(
            &mut session,
            [Action::Units(Units::Imperial), Action::Tab(Tab::Arrange)],
        );
        let mut bench = Bench::new(session, size);
        reveal_and_press(&mut bench, "Marks on the hull");
        reveal_and_press(&mut bench, "Add a strong station");
        let strong = |bench: &Bench| marks_of(&bench.session.borrow()).strong_stations;
        let before = strong(&bench)[0].x_m;
        reveal_and_press(&mut bench, "More: Forward of origin");
        assert!(
            (strong(&bench)[0].x_m - before - 0.0127).abs() < 1e-9,
            "half an inch"
        );
        assert!(bench.shows(" ft "), "figures are in feet and inches");
        reveal_and_press(&mut bench, "Take it away");
        assert!(strong(&bench).is_empty());
        bench.press("Undo: take strong station away");
        assert_eq!(strong(&bench).len(), 1);
        reveal_and_press(&mut bench, "Add a place to keep off");
        reveal_and_press(&mut bench, "Trim tab");
        reveal_and_press(&mut bench, "The same on the other side");
        let zone = marks_of(&bench.session.borrow()).keep_offs[0].clone();
        assert_eq!((zone.kind, zone.both_sides), (KeepOffKind::TrimTab, true));
        reveal_and_press(&mut bench, "Add a lifting mark");
        assert_eq!(marks_of(&bench.session.borrow()).lifting_marks.len(), 1);
        let least = SCREENS.iter().find(|screen| screen.0 == size).unwrap().1;
        let wrong = misfits(&bench, "marks", size, least);
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }
}

#[test]
fn labels_name_the_marks_in_the_scene() {
    let mut session = demo("eider");
    do_all(&mut session, [Action::Labels(true), Action::Loads(false)]);
    let findings = session.findings().unwrap().clone();
    let shown = marks::shown(session.hull().unwrap());
    assert!(!shown.is_empty() && findings.finding("pads").is_some());
    let context = egui::Context::default();
    theme::install(&context);
    let view = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1200.0, 800.0));
    let project = |point: Vec3| {
        let (x, z) = (point.x as f32, point.z as f32);
        Some(egui::pos2(600.0 + 60.0 * (x + 6.0), 500.0 - 60.0 * z))
    };
    let mut texts = Vec::new();
    // Fonts count from the second pass on.
    for _ in 0..2 {
        let input = egui::RawInput {
            screen_rect: Some(view),
            ..Default::default()
        };
        let output = context.run_ui(input, |ui| {
            let mut actions = Vec::new();
            overlay::overlay_ui(ui, view, &session, &project, &mut actions);
        });
        let shapes = output.shapes.iter().map(|clipped| &clipped.shape);
        texts = shapes
            .filter_map(|shape| match shape {
                egui::Shape::Text(text) => Some(text.galley.text().to_owned()),
                _ => None,
            })
            .collect::<Vec<String>>();
        output.drop_without_applying_deltas();
    }
    assert!(
        texts.iter().any(|text| text == "keep off: log transducer"),
        "{texts:?}"
    );
}
