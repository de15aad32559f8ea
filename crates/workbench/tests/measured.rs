//! A hull from a tape, and a large one that is weighed: what is fitted and worked out away from the picture.
#![allow(clippy::unwrap_used)]

mod common;

use common::bring::{act, answer, hand_over, rigs};
use keelstead_boat::family::{Family, MeasureKind};
use keelstead_files::{FileError, Silent};
use keelstead_workbench::action::Request;
use keelstead_workbench::intake::{IntakeAction, Step};
use keelstead_workbench::mirror::mirror_html;
use keelstead_workbench::task::{Files, Outcome, Task, carry_out};
use keelstead_workbench::{Action, Session};

#[test]
fn a_tape_measure_gives_a_hull_with_its_tolerance_and_a_job_on_a_rig() {
    let mut session = Session::empty();
    session.set_rigs(rigs());
    act(&mut session, IntakeAction::MeasureIt);
    assert_eq!(session.sketches().len(), Family::ALL.len());
    assert!(!session.intake().unwrap().is_touched());
    act(&mut session, IntakeAction::Family(Family::SkegWorkboat));
    assert!(session.drawn_hull().is_none(), "nothing is invented");
    for (kind, value) in [
        (MeasureKind::Length, 8.0),
        (MeasureKind::Beam, 2.6),
        (MeasureKind::Draft, 0.9),
        (MeasureKind::HeightBow, 2.1),
    ] {
        let value = Some(value);
        act(&mut session, IntakeAction::Measure { kind, value });
    }
    let intake = session.intake().unwrap();
    assert_eq!(intake.trouble(), None);
    let fit = intake.stood().unwrap().fit.clone().unwrap();
    assert_eq!(fit.measures.len(), 4);
    let hull = intake.hull().unwrap();
    assert!((hull.bounds.extents().y - 2.6).abs() < 0.02);
    assert!(hull.shape_tolerance_m >= fit.tolerance_m);
    // Absurd figures are told and leave the hull as it stood.
    act(
        &mut session,
        IntakeAction::Measure {
            kind: MeasureKind::Beam,
            value: Some(19.0),
        },
    );
    let intake = session.intake().unwrap();
    assert!(
        common::said(intake.trouble().unwrap()).contains("beam"),
        "{:?}",
        intake.trouble()
    );
    assert!(!intake.may_go_on() && intake.hull().is_some());
    let requests = session.perform(Action::Undo);
    answer(&mut session, requests);
    for step in [Step::Parts, Step::Weigh, Step::Marks, Step::Done] {
        act(&mut session, IntakeAction::Go(step));
    }
    assert_eq!(session.intake().unwrap().step(), Step::Done);
    act(&mut session, IntakeAction::Name("Curlew".into()));
    act(&mut session, IntakeAction::NewJob(0));
    assert!(session.intake().is_none());
    let job = session.job().unwrap();
    assert_eq!(job.name, "Curlew on Yard trailer 10");
    assert_eq!(job.load.beams.len(), 3);
    assert!(session.hull().unwrap().shape_tolerance_m >= fit.tolerance_m);
    // It opens again from what it was made of.
    let files = session.files().unwrap();
    let made: Vec<(String, Vec<u8>)> = files
        .made()
        .map(|(name, bytes)| (name.to_owned(), bytes.to_vec()))
        .collect();
    assert!(made.iter().any(|(name, _)| *name == job.hull));
    let source = keelstead_files::source::Memory::dropped(made);
    let again = keelstead_files::open::open_hull(&source, &job.hull, &Silent).unwrap();
    assert_eq!(again.hull.bounds, session.hull().unwrap().bounds);
}

#[test]
fn measures_from_a_file_or_the_shelf_go_on_being_measured() {
    let measures = include_bytes!("../../../demo-data/hulls/avocet.measures.json");
    let mut session = common::session();
    hand_over(&mut session, "any.json", measures.to_vec());
    let intake = session.intake().unwrap();
    assert_eq!(intake.step(), Step::Measure);
    assert_eq!(intake.draft().name, "Avocet");
    let fit = intake.stood().unwrap().fit.clone().unwrap();
    assert_eq!(fit.measured, *intake.draft().measured.as_ref().unwrap());
    assert!(intake.may_go_on() && !session.is_dirty());
    let html = mirror_html(&session);
    assert!(html.contains("id=\"mirror-measures\"") && html.contains("displaces"));
    // One measure less leaves more open.
    let kind = MeasureKind::Draft;
    act(&mut session, IntakeAction::Measure { kind, value: None });
    let intake = session.intake().unwrap();
    let wider = intake.stood().unwrap().fit.clone().unwrap();
    assert!(wider.tolerance_m >= fit.tolerance_m);
    assert_eq!(wider.measures.len() + 1, fit.measures.len());

    // Weighed, put on the shelf and taken from it again she is the same boat, and still measured.
    let mass = keelstead_boat::hull::Mass {
        mass_kg: 2300.0,
        tolerance_kg: 100.0,
        basis: keelstead_units::quantity::Basis::Measured,
    };
    act(&mut session, IntakeAction::Mass(Some(mass)));
    let asked = act(&mut session, IntakeAction::Shelve { replace: false });
    let Some(Request::ShelfPut(shelved)) = asked.into_iter().next() else {
        panic!("it is not put on the shelf");
    };
    let files = shelved.packed().unwrap();
    let mut session = Session::empty();
    let requests = session.handed_over(Files::Given(files));
    answer(&mut session, requests);
    let intake = session.intake().unwrap();
    assert_eq!(intake.step(), Step::Measure);
    assert_eq!(intake.draft().mass, Some(mass));
    let again = intake.stood().unwrap().fit.clone().unwrap();
    assert_eq!(again.measures, wider.measures);
    let value = fit.measured.value(kind);
    assert!(value.is_some());
    act(&mut session, IntakeAction::Measure { kind, value });
    let intake = session.intake().unwrap();
    let fit_again = intake.stood().unwrap().fit.as_ref().unwrap();
    assert!((fit_again.tolerance_m - fit.tolerance_m).abs() < 1e-9);

    // A broken one names the place.
    let broken = String::from_utf8_lossy(measures).replace("\"beam_m\"", "\"beam\"");
    let mut session = Session::empty();
    hand_over(&mut session, "any.json", broken.into_bytes());
    let told = session.messages().last().unwrap();
    let text = common::said(&told.text);
    assert!(text.contains("beam_m"), "{text}");
}

#[test]
fn a_large_hull_is_weighed_as_a_task_and_only_by_what_was_said_last() {
    let mut session = Session::empty();
    // A box of a boat with more triangles than are weighed at once.
    let (along, up) = (400, 20);
    let mut text = String::from("o hull\n");
    let half = |x: f64| 1.2 - 0.004 * x * x;
    for i in 0..=along {
        let x = 9.0 * f64::from(i) / f64::from(along);
        for j in 0..=2 * up {
            let side = f64::from(j - up) / f64::from(up);
            let (y, z) = (half(x) * side, 1.5 * side * side);
            text += &format!("v {x} {y} {z}\n");
        }
    }
    let at = |i: i32, j: i32| i * (2 * up + 1) + j + 1;
    for i in 0..along {
        for j in 0..2 * up {
            let [a, b, c, d] = [at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j)];
            text += &format!("f {a} {b} {c}\nf {a} {c} {d}\n");
        }
    }
    hand_over(&mut session, "a.obj", text.into_bytes());
    let hull = session.intake().unwrap().hull().unwrap().clone();
    let triangles: usize = hull.parts.iter().map(|p| p.mesh.triangles().len()).sum();
    assert!(triangles > 30_000, "{triangles}");
    let line = |z_m: f64| {
        let mark = |x_m| keelstead_boat::weigh::Mark { x_m, z_m };
        IntakeAction::Waterline(Some(keelstead_boat::weigh::MarkedWaterline {
            aft: mark(1.0),
            fore: mark(8.0),
            heel_rad: 0.0,
            tolerance_m: 0.02,
            water: keelstead_boat::weigh::Water::Salt,
        }))
    };
    let asked = |session: &mut Session, z_m: f64| {
        let requests = session.perform(Action::Intake(line(z_m)));
        let mut tasks = requests.into_iter().filter_map(|request| match request {
            Request::Carry(task) => Some(*task),
            _ => None,
        });
        tasks.next().expect("a task")
    };
    let first = asked(&mut session, 0.4);
    let intake = session.intake().unwrap();
    assert!(intake.working().is_some() && intake.weighed().is_none());
    assert!(!intake.may_go_on(), "no figure, no way on");
    let second = asked(&mut session, 0.6);
    let carried = |task: Task| carry_out(task, keelstead_demo_data::FILES, &Silent);
    session.finished("", carried(second));
    let intake = session.intake().unwrap();
    assert!(intake.working().is_none() && intake.weighed().is_some());
    let waterline = intake.waterline().to_vec();
    assert!(
        waterline
            .iter()
            .all(|cut| (cut.ends[0].z_m - 0.6).abs() < 1e-9)
    );
    // What comes late is of a line that is no more.
    session.finished("", carried(first.clone()));
    assert_eq!(session.intake().unwrap().waterline(), waterline);
    // Stopped, nothing is told, until it is tried again.
    asked(&mut session, 0.5);
    act(&mut session, IntakeAction::Stop);
    let intake = session.intake().unwrap();
    assert!(intake.weighed().is_none() && intake.trouble().is_some());
    act(&mut session, IntakeAction::TryAgain);
    let intake = session.intake().unwrap();
    assert!(intake.weighed().is_some() && intake.trouble().is_none());
    let went = rmp_serde::to_vec_named(&first).unwrap();
    let there: Task = rmp_serde::from_slice(&went).unwrap();
    let back = rmp_serde::to_vec_named(&carried(there)).unwrap();
    let back: Result<Outcome, FileError> = rmp_serde::from_slice(&back).unwrap();
    assert!(matches!(back, Ok(Outcome::Weighed(_))));
}
