//! A hull brought in: from a file by its questions to the open job, and from a tape measure.
#![allow(clippy::unwrap_used)]

mod common;

use std::sync::Arc;

use common::bench::{Bench, DESK, SCREENS, misfits};
use common::bring::{act, answer, boat, hand_over, rigs};
use egui_kittest::kittest::Queryable;
use keelstead_boat::hull::{KeepOffKind, PartKind};
use keelstead_files::FileError;
use keelstead_files::given::Given;
use keelstead_files::hull_file::{Axis, LengthUnit};
use keelstead_files::intake::Question;
use keelstead_files::kept::{KeptFile, Place};
use keelstead_files::shelf::{Put, Shelved};
use keelstead_workbench::action::Request;
use keelstead_workbench::intake::{IntakeAction, MarkTool, Step};
use keelstead_workbench::marks::{MarkEdit, MarkKind};
use keelstead_workbench::message::Level;
use keelstead_workbench::mirror::mirror_html;
use keelstead_workbench::task::{Files, Task};
use keelstead_workbench::{Action, Session};

/// A mark of each kind.
fn tools() -> [MarkTool; 3] {
    let kinds = [
        MarkKind::KeepOff(KeepOffKind::Exhaust),
        MarkKind::Strong,
        MarkKind::Lifting,
    ];
    kinds.map(|what| MarkTool {
        what,
        both_sides: false,
    })
}

#[test]
fn a_mesh_in_millimetres_stands_up_and_replaces_the_hull_of_the_open_job() {
    let mut session = common::session();
    let old = session.hull().unwrap().clone();
    hand_over(&mut session, "shed/Night_Heron.obj", boat(1000.0));
    let intake = session.intake().expect("it is brought in, beside the job");
    assert!(session.is_open() && Arc::ptr_eq(session.hull().unwrap(), &old));
    assert_eq!(intake.step(), Step::Stand);
    assert_eq!(intake.draft().name, "Night Heron");
    let stood = intake.stood().unwrap();
    let examined = stood.examined.as_ref().unwrap();
    assert_eq!(examined.unit.value, Some(LengthUnit::Millimetre));
    let size = stood.opened.hull.bounds.extents();
    assert!((size.x - 8.0).abs() < 0.01, "{size:?}");
    // The scene shows it alone, upright on the ground.
    let (drawn, pose) = session.drawn_hull().unwrap();
    assert!(session.drawn_findings().is_none());
    let lowest = pose * drawn.bounds.mins;
    assert!(lowest.z.abs() < 1e-9, "{lowest:?}");

    let mut guard = 0;
    while session.intake().unwrap().step() != Step::Done {
        act(&mut session, IntakeAction::Next);
        guard += 1;
        assert!(guard < 10, "{:?}", session.intake().unwrap().step());
    }
    act(&mut session, IntakeAction::UseInJob);
    assert!(session.intake().is_none(), "back at the job");
    assert_eq!(session.hull().unwrap().name, "Night Heron");
    assert!(session.is_dirty());
    session.perform(Action::Undo);
    assert!(Arc::ptr_eq(session.hull().unwrap(), &old));
}

#[test]
fn an_ambiguous_unit_is_asked_and_nothing_goes_on_before() {
    let mut session = Session::empty();
    // 8 in metres, 0.08 in centimetres: but scaled so that metres and feet are both a boat.
    hand_over(&mut session, "a.obj", boat(1.5));
    let intake = session.intake().unwrap();
    let stood = intake.stood().unwrap();
    assert!(
        stood.asks(Question::Unit) && stood.open.len() == 1,
        "{:?}",
        stood.open
    );
    assert!(!intake.may_go_on());
    assert!(mirror_html(&session).contains("Please answer"));
    act(&mut session, IntakeAction::Next);
    assert_eq!(session.intake().unwrap().step(), Step::Stand);
    act(&mut session, IntakeAction::Unit(Some(LengthUnit::Foot)));
    let intake = session.intake().unwrap();
    assert!(intake.may_go_on(), "{:?}", intake.trouble());
    let length_m = intake.hull().unwrap().bounds.extents().x;
    assert!((length_m - 12.0 * 0.3048).abs() < 0.01, "{length_m}");
    // Undo brings the question back.
    let requests = session.perform(Action::Undo);
    answer(&mut session, requests);
    assert!(!session.intake().unwrap().may_go_on());
}

#[test]
fn quick_turns_turn_the_hull_and_a_measured_length_scales_it() {
    let mut session = Session::empty();
    hand_over(&mut session, "a.obj", boat(1000.0));
    let axes = |session: &Session| {
        let intake = session.intake().unwrap();
        let examined = intake.stood().unwrap().examined.as_ref().unwrap();
        (examined.forward.value, examined.up.value)
    };
    assert_eq!(axes(&session), (Some(Axis::PlusX), Some(Axis::PlusZ)));
    act(&mut session, IntakeAction::TurnRound);
    assert_eq!(axes(&session), (Some(Axis::MinusX), Some(Axis::PlusZ)));
    act(&mut session, IntakeAction::UpsideDown);
    assert_eq!(axes(&session), (Some(Axis::MinusX), Some(Axis::MinusZ)));
    act(&mut session, IntakeAction::ScaleLength(Some(9.42)));
    let length_m = session.drawn_hull().unwrap().0.bounds.extents().x;
    assert!((length_m - 9.42).abs() < 1e-3, "{length_m}");
    act(&mut session, IntakeAction::ScaleLength(Some(-3.0)));
    let told = session.messages().last().unwrap();
    assert!(
        common::said(&told.text).contains("1 to 100 m"),
        "{:?}",
        told.text
    );
    assert_eq!(
        session.intake().unwrap().draft().answers.length_m,
        Some(9.42)
    );
}

#[test]
fn a_refusal_goes_once_the_answer_is_right_or_the_step_changes() {
    let refused = || {
        let mut session = Session::empty();
        hand_over(&mut session, "a.obj", boat(1000.0));
        act(&mut session, IntakeAction::ScaleLength(Some(-3.0)));
        let told = session.messages().last().unwrap();
        let text = common::said(&told.text);
        assert!(text.starts_with("A boat is 1 to 100 m long"), "{text}");
        session
    };
    let is_told = |session: &Session| {
        let mut titles = session.messages().iter().map(|message| &message.title);
        titles.any(|title| title == "That cannot be done")
    };
    let mut session = refused();
    act(&mut session, IntakeAction::Name("Redshank".into()));
    assert!(is_told(&session), "another answer leaves it");
    act(&mut session, IntakeAction::ScaleLength(Some(9.42)));
    assert!(!is_told(&session));
    let mut session = refused();
    act(&mut session, IntakeAction::Next);
    assert!(!is_told(&session));
}

#[test]
fn a_drop_does_not_go_through_an_open_question() {
    let mut session = common::session();
    session.perform(Action::RailTop(1.1));
    session.perform(Action::OpenDemo("jobs/easy.json".into()));
    assert!(session.has_something_to_lose());
    hand_over(&mut session, "shed/a.obj", boat(1000.0));
    assert!(session.asks_about_changes() && session.intake().is_none());
    let told = session.messages().last().unwrap();
    assert_eq!(told.title, "A question is open");
    assert!(common::said(&told.text).starts_with("a.obj was not taken"));
    session.perform(Action::KeepOpen);
    hand_over(&mut session, "a.obj", boat(1000.0));
    act(&mut session, IntakeAction::Leave);
    let draft = session.intake().unwrap().draft().clone();
    hand_over(&mut session, "b.obj", boat(1000.0));
    let intake = session.intake().unwrap();
    assert!(intake.asks_to_leave() && *intake.draft() == draft);
    act(&mut session, IntakeAction::GiveUp);
    assert!(session.intake().is_none());
    assert!(session.has_something_to_lose(), "the job's changes");
}

#[test]
fn a_wrong_file_says_why_and_loses_nothing() {
    let mut session = common::session();
    session.perform(Action::RailTop(1.1));
    hand_over(&mut session, "photo.stl", b"not a mesh at all".to_vec());
    assert!(session.is_dirty() && session.is_open());
    let told = session.messages().last().unwrap();
    assert!(told.title.contains("photo.stl"), "{}", told.title);
    let intake = session.intake().unwrap();
    assert_eq!(intake.step(), Step::Choose);
    assert!(!intake.is_touched());
    act(&mut session, IntakeAction::Leave);
    assert!(session.intake().is_none() && session.is_dirty());
}

#[test]
fn leaving_asks_and_a_hull_put_aside_is_there_again() {
    let mut session = common::session();
    hand_over(&mut session, "a.obj", boat(1000.0));
    act(&mut session, IntakeAction::Name("Redshank".into()));
    act(&mut session, IntakeAction::Leave);
    assert!(session.intake().unwrap().asks_to_leave());
    act(&mut session, IntakeAction::PutAside);
    assert!(session.intake().is_none() && session.has_hull_aside());
    // Another file does not push it out.
    hand_over(&mut session, "b.obj", boat(1000.0));
    assert_eq!(session.intake().unwrap().draft().name, "Redshank");
    act(&mut session, IntakeAction::Leave);
    act(&mut session, IntakeAction::GiveUp);
    assert!(!session.has_unkept_hull());
}

#[test]
fn what_a_part_is_decides_what_the_boat_stands_on() {
    let mut session = Session::empty();
    hand_over(&mut session, "a.obj", boat(1000.0));
    let part = |session: &Session| session.drawn_hull().unwrap().0.parts[0].clone();
    assert_eq!(part(&session).kind, PartKind::Body);
    let name = part(&session).name.clone();
    act(&mut session, IntakeAction::Go(Step::Parts));
    act(
        &mut session,
        IntakeAction::PartKind {
            part: name.clone(),
            kind: PartKind::Keel,
        },
    );
    assert_eq!(part(&session).kind, PartKind::Keel);
    let pressed = session.drawn_hull().unwrap().0.bounds.center().into();
    act(
        &mut session,
        IntakeAction::Pressed {
            part: 0,
            at: pressed,
        },
    );
    assert_eq!(session.intake().unwrap().part(), Some(0));
    let requests = session.perform(Action::Undo);
    answer(&mut session, requests);
    assert_eq!(part(&session).kind, PartKind::Body);
}

#[test]
fn marks_go_where_the_hull_is_pressed_and_into_its_description() {
    let mut session = Session::empty();
    hand_over(&mut session, "a.obj", boat(1000.0));
    for step in [Step::Parts, Step::Weigh, Step::Marks] {
        act(&mut session, IntakeAction::Go(step));
    }
    let at = keelstead_geometry::math::Point::new(2.0, 0.4, 0.3);
    for tool in tools() {
        act(&mut session, IntakeAction::Tool(tool));
        act(&mut session, IntakeAction::Pressed { part: 0, at });
    }
    let described = session.intake().unwrap().described().unwrap();
    assert!(described.keep_offs[0].contains(at.vec()));
    assert_eq!(described.strong_stations[0].x_m, 2.0);
    assert_eq!(described.lifting_marks[0].x_m, 2.0);
    // By numbers too, as in a job, whose hull is left alone.
    session.perform(Action::Mark(MarkEdit::RemoveKeepOff(0)));
    let described = session.intake().unwrap().described().unwrap();
    assert!(described.keep_offs.is_empty());
    session.perform(Action::Undo);
    // One press is one step.
    session.perform(Action::Undo);
    let described = session.intake().unwrap().described().unwrap();
    assert!(described.lifting_marks.is_empty() && described.strong_stations.len() == 1);
}

#[test]
fn she_is_weighed_by_what_is_said_and_a_kept_hull_is_not_asked_about() {
    let mut session = Session::empty();
    hand_over(&mut session, "a.obj", boat(1000.0));
    let mass = keelstead_boat::hull::Mass {
        mass_kg: 3200.0,
        tolerance_kg: 150.0,
        basis: keelstead_units::quantity::Basis::Measured,
    };
    act(&mut session, IntakeAction::Mass(Some(mass)));
    let weighed = session
        .intake()
        .unwrap()
        .weighed()
        .unwrap()
        .clone()
        .unwrap();
    assert_eq!(weighed.mass.map(|(_, mass)| mass.mass_kg), Some(3200.0));
    assert!(mirror_html(&session).contains("id=\"mirror-weight\""));
    for step in [Step::Parts, Step::Weigh, Step::Marks, Step::Done] {
        act(&mut session, IntakeAction::Go(step));
    }
    let asked = act(&mut session, IntakeAction::Shelve { replace: false });
    let Some(Request::ShelfPut(shelved)) = asked.into_iter().next() else {
        panic!("it is not put on the shelf");
    };
    let described: keelstead_files::hull_file::HullFile =
        keelstead_files::document::read(&shelved.files[0].bytes().unwrap(), "x").unwrap();
    assert_eq!(described.mass, Some(mass));
    let entry = Shelved {
        id: "a".into(),
        name: "a".into(),
        size_m: Some([8.0, 2.4, 1.5]),
        since_s: Some(0.0),
        trouble: None,
    };
    session.shelf_put(Ok(Put::Taken(entry.clone())));
    assert!(session.intake().unwrap().is_name_taken());
    session.shelf_put(Ok(Put::Done(entry)));
    assert!(!session.has_unkept_hull());
    act(&mut session, IntakeAction::Leave);
    assert!(session.intake().is_none(), "nothing would be lost");
}

#[test]
fn the_shelf_lists_renames_and_removes_only_when_told_twice() {
    let mut session = common::session();
    let asked = act(&mut session, IntakeAction::Go(Step::Shelf));
    assert!(asked.contains(&Request::ShelfList));
    session.shelf_listed(Ok(Vec::new()));
    let bench = Bench::new(session, DESK);
    assert!(bench.shows("The shelf is empty"));
    let mut session = common::session();
    act(&mut session, IntakeAction::Go(Step::Shelf));
    session.shelf_listed(Ok(vec![Shelved {
        id: "dunlin".into(),
        name: "Dunlin".into(),
        size_m: Some([8.0, 2.4, 2.0]),
        since_s: Some(1_700_000_000.0),
        trouble: None,
    }]));
    let mut bench = Bench::new(session, DESK);
    assert!(bench.shows("8.00 m long") && bench.shows("2023-11-14"));
    bench.press("Remove\u{2026}");
    assert!(
        bench
            .asked
            .borrow()
            .iter()
            .all(|r| !matches!(r, Request::ShelfRemove(_)))
    );
    bench.press("Take Dunlin off for good");
    assert!(
        bench
            .asked
            .borrow()
            .contains(&Request::ShelfRemove("dunlin".into()))
    );
    bench.session.borrow_mut().shelf_removed(Ok(()));
    bench.harness.run();
    bench.press("Use in the open job");
    assert!(
        bench
            .asked
            .borrow()
            .contains(&Request::ShelfGet("dunlin".into()))
    );
    let rename = IntakeAction::RenameShelved {
        id: "dunlin".into(),
        name: "Sanderling".into(),
    };
    let mut session = bench.session.borrow_mut();
    session.perform(Action::Intake(rename));
    let files = keelstead_demo_data::FILES.iter();
    let files = files.filter(|(name, _)| name.starts_with("hulls/petrel"));
    let given = files
        .map(|(name, bytes)| Given::new(name.rsplit('/').next().unwrap_or(name), bytes.to_vec()));
    let task = Task::Open(Files::Given(given.collect()));
    let left = answer(&mut session, vec![Request::Carry(Box::new(task.clone()))]);
    let put = left.iter().find_map(|request| match request {
        Request::ShelfPut(hull) => Some(hull.name.clone()),
        _ => None,
    });
    assert_eq!(put.as_deref(), Some("Sanderling"));
    assert_eq!(
        session.hull().unwrap().name,
        "Dunlin",
        "the job is left alone"
    );
}

#[test]
fn every_step_has_its_controls_in_reach_on_desk_and_phone() {
    let mut wrong = Vec::new();
    for (size, least) in SCREENS {
        for (name, session) in states() {
            wrong.extend(misfits(&Bench::new(session, size), &name, size, least));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// On a screen too low for its buttons the sheet grew up into the picture, whose figures were written over it.
#[test]
fn the_picture_ends_where_the_sheet_begins_on_every_screen() {
    let mut wrong = Vec::new();
    for (size, _) in SCREENS {
        for (name, session) in states() {
            let bench = Bench::new(session, size);
            let Some(scene) = *bench.scene.borrow() else {
                continue;
            };
            if scene.width() < 60.0 || scene.height() < 30.0 {
                wrong.push(format!("{name} at {size:?}: scene {scene:?}"));
            }
            for button in ["\u{2190} Back", "Go on \u{2192}"] {
                let rect = (bench.harness.query_by_label(button)).map(|node| node.rect());
                let over = rect.is_some_and(|rect| rect.intersects(scene.shrink(0.5)));
                if over {
                    wrong.push(format!(
                        "{name} at {size:?}: {button} {rect:?} in {scene:?}"
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A session at every step of both ways.
fn states() -> Vec<(String, Session)> {
    let mut states = Vec::new();
    let mut chosen = common::session();
    act(&mut chosen, IntakeAction::Begin);
    states.push(("choose".into(), chosen));
    for step in [
        Step::Stand,
        Step::Parts,
        Step::Weigh,
        Step::Marks,
        Step::Done,
    ] {
        let mut session = common::session();
        session.set_rigs(rigs());
        hand_over(&mut session, "a_boat_with_a_long_name.obj", boat(1000.0));
        act(&mut session, IntakeAction::Go(step));
        act(&mut session, IntakeAction::PickPart(Some(0)));
        let hull = session.intake().unwrap().hull().unwrap().clone();
        if step == Step::Weigh {
            session.perform(Action::Intake(IntakeAction::Mass(hull.mass.or(Some(
                keelstead_boat::hull::Mass {
                    mass_kg: 3200.0,
                    tolerance_kg: 150.0,
                    basis: keelstead_units::quantity::Basis::Measured,
                },
            )))));
        }
        if step == Step::Marks {
            let at = hull.bounds.center().into();
            for tool in tools() {
                act(&mut session, IntakeAction::Tool(tool));
                act(&mut session, IntakeAction::Pressed { part: 0, at });
            }
        }
        states.push((format!("{step:?}"), session));
    }
    let mut asked = Session::empty();
    hand_over(&mut asked, "a.obj", boat(1.5));
    states.push(("a question".into(), asked));
    let mut measured = Session::empty();
    act(&mut measured, IntakeAction::MeasureIt);
    states.push(("measure".into(), measured));
    let mut leaving = common::session();
    hand_over(&mut leaving, "a.obj", boat(1000.0));
    act(&mut leaving, IntakeAction::Leave);
    states.push(("leaving".into(), leaving));
    let mut told = common::session();
    hand_over(&mut told, "a.obj", boat(1000.0));
    let long =
        "a.obj: the whole mesh is taken as body, and this is said in more than one line of a phone";
    told.say(Level::Notice, "About the mesh", long);
    states.push(("with a message".into(), told));
    states
}

#[test]
fn a_hull_is_stood_up_with_mouse_and_keys() {
    let mut session = common::session();
    hand_over(&mut session, "a.obj", boat(1000.0));
    let mut bench = Bench::new(session, DESK);
    assert!(bench.shows("Length over everything") && bench.shows("8.00 m"));
    assert!(bench.shows("Shape known to"));
    assert!(bench.scene.borrow().is_some());
    // A bar moves while it is worked out, so the panels never come to rest.
    bench.harness.get_by_label("Turn the bow round").click();
    bench.harness.run_steps(3);
    let asked = bench.asked.borrow().iter().any(
        |request| matches!(request, Request::Carry(task) if matches!(**task, Task::Stand { .. })),
    );
    assert!(asked, "the hull is stood up anew");
    // Escape asks before something is lost; again, it stays.
    bench
        .session
        .borrow_mut()
        .perform(Action::Intake(IntakeAction::Stop));
    bench.harness.run();
    bench.harness.key_press(egui::Key::Escape);
    bench.harness.run();
    bench.harness.key_press(egui::Key::Escape);
    bench.harness.run();
    assert!(bench.session.borrow().intake().unwrap().asks_to_leave());
    assert!(bench.shows("Keep it for later"));
    bench.harness.key_press(egui::Key::Escape);
    bench.harness.run();
    assert!(!bench.session.borrow().intake().unwrap().asks_to_leave());
    // Keys of the job do nothing to it meanwhile.
    let x_m = bench.session.borrow().load().unwrap().stand.x_m;
    bench.harness.key_press(egui::Key::CloseBracket);
    bench.harness.run();
    assert_eq!(bench.session.borrow().load().unwrap().stand.x_m, x_m);
}

#[test]
fn stopping_the_first_reading_goes_back_and_a_late_answer_is_dropped() {
    let mut session = common::session();
    let files = Files::Given(vec![Given::new("a.obj", boat(1000.0))]);
    let requests = session.handed_over(files);
    assert!(matches!(requests.last(), Some(Request::Carry(_))));
    session.loading("a.obj", Some(0.4), "reading");
    assert!(session.loading_now().is_none(), "no cover over the rest");
    assert_eq!(
        session.intake().unwrap().working().unwrap().fraction,
        Some(0.4)
    );
    let asked = session.perform(Action::Intake(IntakeAction::Stop));
    assert!(asked.contains(&Request::CancelLoading));
    assert_eq!(session.intake().unwrap().step(), Step::Choose);
    session.finished("a.obj", Err(FileError::Cancelled));
    assert!(!session.has_unkept_hull());
}

#[test]
fn a_described_hull_without_a_job_is_worked_on() {
    let mut session = Session::empty();
    let files = keelstead_demo_data::FILES.iter();
    let files = files.filter(|(name, _)| name.starts_with("hulls/petrel"));
    let given: Vec<Given> = files
        .map(|(name, bytes)| Given::new(name.rsplit('/').next().unwrap_or(name), bytes.to_vec()))
        .collect();
    let requests = session.handed_over(Files::Given(given));
    answer(&mut session, requests);
    let intake = session.intake().unwrap();
    assert_eq!(intake.step(), Step::Parts);
    assert!(
        !intake.path().contains(&Step::Stand),
        "its description says it all"
    );
    assert!(intake.draft().mass.is_some());
    let kept: &KeptFile = &intake.stood().unwrap().opened.files[0];
    assert!(matches!(kept.place, Place::Made(_)));
}

/// Real meshes, where a folder of them is at hand: each stands up to be looked at, whatever it leaves
/// open, and answering the first choice of every question lets it go on.
#[test]
fn real_meshes_stand_up_and_go_on_once_their_questions_are_answered() {
    // Where cargo runs it from; where it was built may be another clone that shares the target directory.
    let here = std::env::var_os("CARGO_MANIFEST_DIR").unwrap();
    let folder = std::env::var_os("KEELSTEAD_SHARED").map_or_else(
        || std::path::Path::new(&here).join("../../../shared/meshes"),
        |shared| std::path::Path::new(&shared).join("meshes"),
    );
    let Ok(entries) = std::fs::read_dir(&folder) else {
        eprintln!("skipped: no meshes in {}", folder.display());
        return;
    };
    for entry in entries {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if !["stl", "obj", "csv"]
            .iter()
            .any(|ending| name.ends_with(ending))
        {
            continue;
        }
        let mut session = Session::empty();
        hand_over(&mut session, &name, std::fs::read(&path).unwrap());
        for _ in 0..6 {
            let intake = session.intake().unwrap();
            let stood = intake
                .stood()
                .unwrap_or_else(|| panic!("{name} does not stand"));
            let rows = keelstead_workbench::intake::rows(stood, &intake.draft().answers);
            let Some(open) = rows.into_iter().find(|row| row.open) else {
                break;
            };
            act(&mut session, open.choices[0].action.clone());
        }
        let intake = session.intake().unwrap();
        assert!(intake.may_go_on(), "{name}: {:?}", intake.trouble());
        let size = intake.hull().unwrap().bounds.extents();
        assert!(size.x > size.y && size.x > 4.0, "{name}: {size:?}");
    }
}
