//! What a session does with actions, without any panel.
#![allow(clippy::unwrap_used)]

mod common;

use common::{do_all, job, session};
use keelstead::check::{check, check_as_drawn};
use keelstead_files::Notice;
use keelstead_files::open::OpenHull;
use keelstead_load::load::{BlockOrientation, Reach, Seat, TargetAttitude};
use keelstead_units::verdict::Verdict;
use keelstead_workbench::action::Request;
use keelstead_workbench::intake::IntakeAction;
use keelstead_workbench::view::{LookFrom, Overlay};
use keelstead_workbench::{Action, Level, Session};

fn forward(session: &Session) -> f64 {
    session.load().unwrap().stand.x_m
}

fn is_checked(session: &Session) -> bool {
    let fresh = check(
        session.hull().unwrap(),
        session.rig().unwrap(),
        session.load().unwrap(),
    );
    *session.findings().unwrap() == fresh
}

#[test]
fn a_drag_is_undone_in_one_step_and_checked_at_each() {
    let mut session = session();
    let before = forward(&session);
    for step in 1..=10 {
        session.perform(Action::HullForward(before + f64::from(step) * 0.01));
        // From the second on as drawn: the tolerances wait for the hand to rest.
        assert_eq!(session.is_pending(), step > 1);
        assert_eq!(is_checked(&session), step == 1);
        let drawn = check_as_drawn(
            session.hull().unwrap(),
            session.rig().unwrap(),
            session.load().unwrap(),
        );
        assert!(step == 1 || *session.findings().unwrap() == drawn);
    }
    session.perform(Action::Settle);
    assert!(session.is_dirty() && is_checked(&session));
    session.perform(Action::Undo);
    assert_eq!(forward(&session), before);
    assert!(is_checked(&session));
    assert!(!session.is_dirty() && session.to_undo().is_none());
    session.perform(Action::Redo);
    assert!((forward(&session) - before - 0.1).abs() < 1e-12);
}

#[test]
fn a_hand_that_rests_is_told_all_and_one_that_drags_nothing_that_may_change() {
    let mut session = session();
    let before = forward(&session);
    let mut said = Vec::new();
    for step in 1..=3 {
        said.extend(session.perform(Action::HullForward(before + f64::from(step) * 1e-3)));
    }
    assert!(session.is_pending());
    assert_eq!(
        said,
        [],
        "the verdict stays what it was, and pending is none"
    );
    // Still held: only the tolerances are worked out, and the drag goes on as one step.
    assert_eq!(session.work_out(), []);
    assert!(!session.is_pending() && is_checked(&session));
    assert_eq!(session.work_out(), [], "nothing is worked out twice");
    session.perform(Action::HullForward(before + 0.004));
    assert!(session.is_pending());
    session.perform(Action::Undo);
    assert_eq!(forward(&session), before);
    assert!(is_checked(&session));
}

/// What waits is kept, not told from the findings: all of them may be foul or unknown already.
#[test]
fn a_hand_that_drags_where_all_is_foul_or_unknown_is_told_all_once_it_rests() {
    let mut session = session();
    // Ahead of every beam.
    let ahead = forward(&session) + 40.0;
    session.perform(Action::HullForward(ahead));
    session.perform(Action::HullForward(ahead + 0.001));
    let list = &session.findings().unwrap().list;
    let open = [Verdict::Foul, Verdict::Unknown];
    assert!(list.iter().any(|finding| open.contains(&finding.verdict)));
    assert_eq!(session.findings().unwrap().verdict, Verdict::Foul);
    assert!(session.is_pending() && !is_checked(&session));
    session.work_out();
    assert!(!session.is_pending() && is_checked(&session));
}

#[test]
fn two_blocks_put_on_are_two_steps() {
    let mut session = session();
    let add = Action::AddBlock {
        beam: 1,
        block: "thin".into(),
        lie: BlockOrientation::Flat,
    };
    do_all(&mut session, [add.clone(), add]);
    assert_eq!(session.load().unwrap().beams[1].stack.len(), 3);
    session.perform(Action::Undo);
    assert_eq!(session.load().unwrap().beams[1].stack.len(), 2);
}

#[test]
fn name_and_note_are_steps_like_any_other() {
    let mut session = session();
    let named = |session: &Session| session.job().unwrap().name.clone();
    let before = named(&session);
    do_all(
        &mut session,
        [
            Action::Name(" Dunlin home ".into()),
            Action::Note("Mind the gate.\nTwo of us.\n".into()),
        ],
    );
    assert_eq!(named(&session), "Dunlin home");
    assert_eq!(session.job().unwrap().note, "Mind the gate.\nTwo of us.");
    assert!(session.is_dirty() && is_checked(&session));
    session.perform(Action::Undo);
    assert_eq!(session.job().unwrap().note, "A prism, to try things on.");
    session.perform(Action::Undo);
    assert_eq!(named(&session), before);
    session.perform(Action::Name("  ".into()));
    assert_eq!(named(&session), before);
    assert!(common::said(&session.messages()[0].text).contains("needs a name"));
}

#[test]
fn the_stock_cannot_be_overdrawn() {
    let mut session = session();
    let add = Action::AddBlock {
        beam: 0,
        block: "thin".into(),
        lie: BlockOrientation::Flat,
    };
    for _ in 0..3 {
        session.perform(add.clone());
    }
    assert_eq!(session.messages(), [], "the stock has four, one is in use");
    session.perform(add);
    let message = session.messages().last().unwrap();
    assert_eq!(message.level, Level::Error);
    assert!(
        common::said(&message.text).contains("thin"),
        "{:?}",
        message.text
    );
    assert_eq!(session.load().unwrap().beams[0].stack.len(), 5);
}

#[test]
fn actions_that_make_no_sense_change_nothing_and_say_why() {
    let nonsense = [
        Action::RemoveBeam(7),
        Action::RemoveBlock { beam: 0, at: 9 },
        Action::SeatBeam {
            beam: 0,
            seat: Seat::Pocket(0),
        },
        Action::SeatBeam {
            beam: 0,
            seat: Seat::Pocket(5),
        },
        Action::PadReach {
            pad: "no such pad".into(),
            reach: Some(Reach::UntilTouching),
        },
        Action::HullForward(f64::NAN),
        Action::RemoveWeight(0),
        Action::MakeAllStacks,
        Action::MoveBlock {
            beam: 0,
            from: 0,
            to: usize::MAX,
        },
        Action::MakeStack(usize::MAX),
    ];
    for action in nonsense {
        let mut session = session();
        let before = session.job().unwrap().clone();
        session.perform(action.clone());
        assert_eq!(*session.job().unwrap(), before, "{action:?}");
        assert_eq!(session.messages().len(), 1, "{action:?}");
        assert_eq!(session.to_undo(), None, "{action:?}");
    }
}

#[test]
fn stacks_made_for_a_stance_meet_it() {
    let mut session = session();
    let stance = TargetAttitude {
        keel_over_rail_m: 0.25,
        trim_rad: 0.0,
    };
    do_all(
        &mut session,
        [Action::Want(Some(stance)), Action::MakeAllStacks],
    );
    assert!(
        session.messages().iter().all(|m| m.level == Level::Done),
        "{:?}",
        session.messages()
    );
    for support in &session.findings().unwrap().supports {
        let needed_m = support.needed_height_m.unwrap();
        let miss = (support.stack_height_m - needed_m).abs();
        assert!(miss < 0.002, "{}: {miss}", support.name);
        assert!(support.carries, "{}", support.name);
    }
    session.perform(Action::Undo);
    assert_eq!(session.load().unwrap().beams[0].stack.len(), 2);
}

#[test]
fn a_selected_finding_stays_selected_when_the_job_is_checked_again() {
    let mut session = session();
    let id = session.findings().unwrap().list[2].id.clone();
    session.perform(Action::Select(Some(id.clone())));
    session.perform(Action::HullForward(forward(&session) + 0.02));
    assert_eq!(session.selected().unwrap().id, id);
}

#[test]
fn next_and_previous_stop_at_the_ends() {
    let mut session = session();
    session.perform(Action::SelectPrevious);
    let list: Vec<String> = session
        .findings()
        .unwrap()
        .list
        .iter()
        .map(|finding| finding.id.clone())
        .collect();
    assert_eq!(session.selected().unwrap().id, list[0]);
    for _ in 0..list.len() + 5 {
        session.perform(Action::SelectNext);
    }
    assert_eq!(session.selected().unwrap().id, *list.last().unwrap());
}

#[test]
fn a_file_that_cannot_be_opened_leaves_the_job_open() {
    let mut session = session();
    session.perform(Action::HullForward(-8.5));
    session.loading("broken.json", Some(0.2), "rig");
    session.failed(
        "broken.json was not opened",
        "broken.json, at load.beams: found 3; expected a list",
    );
    assert_eq!(forward(&session), -8.5);
    assert!(session.loading_now().is_none());
    assert!(session.is_dirty());
    let message = session.messages().last().unwrap();
    assert!(common::said(&message.text).contains("load.beams"));
    let id = message.id;
    session.perform(Action::Dismiss(id));
    assert!(session.messages().is_empty());
}

#[test]
fn unsaved_changes_are_asked_about_before_another_job_is_opened() {
    let mut session = session();
    session.perform(Action::RailTop(1.1));
    let demo = || Action::OpenDemo("jobs/easy.json".into());
    assert!(session.perform(demo()).is_empty());
    assert!(session.asks_about_changes());
    session.perform(Action::KeepOpen);
    assert!(!session.asks_about_changes());
    session.perform(demo());
    assert_eq!(
        session.perform(Action::DiscardAndOpen),
        [Request::OpenDemo("jobs/easy.json".into())]
    );
    // Saved, nothing needs asking.
    let saved = common::saved_as_is(&session);
    assert_eq!(session.saved("jobs/dunlin.json", saved), []);
    assert_eq!(
        session.perform(demo()),
        [Request::OpenDemo("jobs/easy.json".into())]
    );
}

/// A session that was asked to save its changes and then open another job.
fn saving_then_opening() -> Session {
    let mut session = session();
    session.perform(Action::RailTop(1.1));
    session.perform(Action::OpenDemo("jobs/easy.json".into()));
    assert!(session.asks_about_changes());
    let save = Request::Save {
        path: "jobs/dunlin.json".into(),
    };
    assert_eq!(session.perform(Action::SaveAndOpen), [save]);
    assert!(!session.asks_about_changes());
    session
}

#[test]
fn saving_before_opening_another_job_goes_on_only_if_it_worked() {
    let open = Request::OpenDemo("jobs/easy.json".into());
    let mut worked = saving_then_opening();
    let saved = common::saved_as_is(&worked);
    assert_eq!(worked.saved("jobs/dunlin.json", saved.clone()), [open]);
    assert_eq!(worked.saved("jobs/dunlin.json", saved.clone()), [], "once");

    let mut failed = saving_then_opening();
    failed.failed("The job was not saved", "the disk is full");
    assert!(failed.is_dirty() && failed.is_open());
    assert_eq!(failed.saved("jobs/dunlin.json", saved.clone()), []);

    let mut given_up = saving_then_opening();
    given_up.save_given_up();
    assert_eq!(given_up.saved("jobs/dunlin.json", saved), []);
}

#[test]
fn a_job_saved_elsewhere_refers_to_its_files_from_there_after_undo_too() {
    let mut session = session();
    session.perform(Action::RailTop(1.1));
    let mut saved = common::saved_as_is(&session);
    saved.job.hull = "hulls/dunlin.json".into();
    saved.brought = vec!["/usb/hulls/dunlin.json".into()];
    session.saved("/usb/dunlin.json", saved);
    let told = common::said(&session.messages().last().unwrap().text);
    assert!(told.contains("/usb/hulls/dunlin.json"), "{told}");
    assert!(!session.is_dirty());
    session.perform(Action::Undo);
    assert_eq!(session.job().unwrap().hull, "hulls/dunlin.json");
    assert!(session.is_dirty());
    session.perform(Action::Redo);
    assert!(!session.is_dirty());
}

#[test]
fn an_opened_job_replaces_the_old_one_and_keeps_the_units() {
    let mut session = session();
    do_all(
        &mut session,
        [
            Action::Units(keelstead_units::Units::Imperial),
            Action::Select(Some("whatever".into())),
            Action::RailTop(1.1),
            Action::Show(Some(Overlay::Demos)),
        ],
    );
    let requests = session.opened(job());
    assert!(!session.is_dirty() && session.to_undo().is_none());
    assert_eq!(session.overlay(), None);
    assert_eq!(session.view().selected, None);
    assert_eq!(session.view().units, keelstead_units::Units::Imperial);
    assert!(requests.iter().any(|r| matches!(r, Request::FlyTo(_))));
    assert!(requests.iter().any(|r| matches!(r, Request::Announce(_))));
}

#[test]
fn another_hull_is_a_step_that_can_be_undone() {
    let mut session = session();
    let mut other = common::hull();
    other.name = "Sanderling".into();
    session.hull_replaced(OpenHull {
        hull: other,
        files: vec![common::in_memory("sanderling.stl")],
        notices: vec![Notice::new("sanderling.stl", "no weight is known")],
    });
    assert_eq!(session.hull().unwrap().name, "Sanderling");
    assert!(common::said(&session.messages()[0].text).contains("no weight is known"));
    assert_eq!(session.job().unwrap().hull, "sanderling.stl");
    session.perform(Action::Undo);
    assert_eq!(session.hull().unwrap().name, "Dunlin");
    assert_eq!(session.job().unwrap().hull, "../hulls/dunlin.json");
}

#[test]
fn looking_changes_no_job() {
    let mut session = session();
    do_all(
        &mut session,
        [
            Action::Labels(true),
            Action::Cut(Some(2.0)),
            Action::HullOpacity(7.0),
            Action::HullOpacity(f64::NAN),
        ],
    );
    assert!(!session.is_dirty() && session.to_undo().is_none());
    assert_eq!(session.view().hull_opacity, 1.0);
    let fly = session.perform(Action::LookFrom(LookFrom::Stern));
    assert!(matches!(fly[..], [Request::FlyTo(_)]));
}

#[test]
fn a_hull_being_brought_in_is_whole_and_solid_whatever_the_jobs_is() {
    let mut session = session();
    do_all(
        &mut session,
        [
            Action::Cut(Some(2.0)),
            Action::HullOpacity(0.0),
            Action::Intake(IntakeAction::Begin),
        ],
    );
    assert!(session.intake().is_some());
    assert_eq!(session.drawn_cut_m(), None);
    assert_eq!(session.drawn_opacity(), 1.0);
    session.perform(Action::Intake(IntakeAction::PutAside));
    assert_eq!(session.drawn_cut_m(), Some(2.0));
    assert_eq!(session.drawn_opacity(), 0.0);
    // The next hull on the trailer is not cut where the last one was.
    session.hull_replaced(OpenHull {
        hull: common::hull(),
        files: Vec::new(),
        notices: Vec::new(),
    });
    assert_eq!(session.drawn_cut_m(), None);
}

#[test]
fn with_nothing_open_nothing_happens() {
    let mut session = Session::empty();
    for action in [
        Action::Undo,
        Action::Save,
        Action::SaveAs,
        Action::HullForward(1.0),
        Action::SelectNext,
        Action::LookFrom(LookFrom::Bow),
        Action::CancelLoading,
        Action::DiscardAndOpen,
    ] {
        assert_eq!(session.perform(action.clone()), [], "{action:?}");
    }
    assert!(!session.is_open());
}

#[test]
fn saving_asks_the_platform_and_marks_clean() {
    let mut session = session();
    session.perform(Action::RailTop(1.1));
    assert_eq!(
        session.perform(Action::Save),
        [Request::Save {
            path: "jobs/dunlin.json".into()
        }]
    );
    assert_eq!(
        session.perform(Action::SaveAs),
        [Request::SaveDialog {
            name: "dunlin.json".into()
        }]
    );
    assert!(session.is_dirty(), "not before the platform says so");
    let saved = common::saved_as_is(&session);
    session.saved("jobs/other.json", saved);
    assert!(!session.is_dirty());
    assert_eq!(session.path(), Some("jobs/other.json"));
}
