//! What was measured after set-down: entered, changed, taken away, and gone where it no longer holds.
#![allow(clippy::unwrap_used)]

mod common;

use common::bench::{Bench, DESK};
use common::{do_all, job, said, session};
use keelstead_geometry::math::Point;
use keelstead_load::load::{BlockOrientation, Measured, Reach, Required, Seat};
use keelstead_units::Units;
use keelstead_units::verdict::Verdict;
use keelstead_workbench::view::Tab;
use keelstead_workbench::{Action, Level, Session, mirror};

fn measured(session: &Session) -> &[Measured] {
    &session.load().unwrap().measured
}

/// The stem head over the ground, where she stands now.
fn height(session: &Session, more_m: f64) -> Measured {
    let at = Point::new(7.5, 0.0, 2.0);
    let stands = session.findings().unwrap().trailer_from_hull.pose() * at.vec();
    Measured::Height {
        name: "stem head".into(),
        at,
        over: keelstead_load::load::Level::Ground,
        height_m: stands.z + more_m,
        tolerance_m: 0.005,
    }
}

fn gap_of_pad() -> Measured {
    Measured::Gap {
        hull_part: "keel".into(),
        rig_part: "aft left pad".into(),
        gap_m: 0.5,
        tolerance_m: 0.005,
    }
}

fn told_stale(session: &Session) -> bool {
    let stale =
        "What was measured after set-down no longer holds and was taken away. Undo brings it back.";
    let messages = session.messages().iter();
    messages
        .filter(|m| m.level == Level::Notice)
        .any(|m| said(&m.text) == stale)
}

#[test]
fn what_is_measured_is_entered_changed_taken_away_and_undone() {
    let mut session = session();
    let first = height(&session, 0.002);
    session.perform(Action::AddMeasured(first.clone()));
    assert_eq!(measured(&session), std::slice::from_ref(&first));
    assert_eq!(session.findings().unwrap().measured.len(), 1);
    let other = height(&session, 0.004);
    session.perform(Action::SetMeasured {
        at: 0,
        measured: other.clone(),
    });
    session.perform(Action::Settle);
    assert_eq!(measured(&session), [other]);
    assert_eq!(session.to_undo().as_deref(), Some("measurement"));
    session.perform(Action::Undo);
    assert_eq!(measured(&session), [first]);
    session.perform(Action::RemoveMeasured(0));
    assert_eq!(session.to_undo().as_deref(), Some("take measurement away"));
    assert!(measured(&session).is_empty());
    do_all(&mut session, [Action::Undo, Action::Undo]);
    assert!(measured(&session).is_empty() && !session.is_dirty());
}

#[test]
fn a_figure_that_cannot_be_is_refused_and_nothing_changes() {
    let mut session = session();
    let mut slip = height(&session, 0.0);
    if let Measured::Height { height_m, .. } = &mut slip {
        *height_m = 3_000.0;
    }
    for action in [
        Action::AddMeasured(slip),
        Action::RemoveMeasured(0),
        Action::SetMeasured {
            at: 3,
            measured: gap_of_pad(),
        },
    ] {
        session.perform(action.clone());
        let message = session.messages().last().unwrap();
        assert_eq!(message.level, Level::Error, "{action:?}");
        assert!(measured(&session).is_empty() && session.to_undo().is_none());
    }
    let told = |part: &str| {
        session
            .messages()
            .iter()
            .any(|m| said(&m.text).contains(part))
    };
    assert!(told("Height: found 3,000.00 m, expected 0 mm to 30.00 m"));
    assert!(told("There is no measurement 4"));
}

#[test]
fn a_stack_is_seen_bearing_free_or_not_looked_at() {
    let mut session = session();
    let seat = Seat::Pocket(2);
    for (bears, expected) in [
        (Some(true), vec![Measured::Bears { seat, bears: true }]),
        (Some(false), vec![Measured::Bears { seat, bears: false }]),
        (None, Vec::new()),
    ] {
        session.perform(Action::SeenBearing { seat, bears });
        assert_eq!(measured(&session), expected);
    }
}

/// Whatever changes how she stands takes all away, in the same step; what does not leaves it.
#[test]
fn an_edit_after_which_it_no_longer_holds_takes_it_away_in_the_same_step() {
    let stale = [
        Action::HullForward(-8.9),
        Action::HullLeft(0.01),
        Action::HullYaw(0.01),
        Action::HullHeel(0.01),
        Action::RemoveBeam(0),
        Action::SeatBeam {
            beam: 0,
            seat: Seat::Pocket(1),
        },
        Action::AddBlock {
            beam: 1,
            block: "thin".into(),
            lie: BlockOrientation::Flat,
        },
        Action::Shim {
            beam: 0,
            shim_m: 0.004,
        },
        Action::Wedge {
            beam: 0,
            wedge_rad: 0.01,
        },
        Action::SoftPacking {
            beam: 0,
            stiffness_n_per_m: Some(1.0e6),
        },
        Action::StackLeft { beam: 0, y_m: 0.02 },
        Action::RailTop(0.9),
        Action::AddWeight(keelstead_load::load::ExtraWeight {
            name: "water".into(),
            mass_kg: 100.0,
            at: Point::new(2.0, 0.0, 0.8),
        }),
    ];
    for action in stale {
        let mut session = session();
        let all = [height(&session, 0.0), gap_of_pad()];
        do_all(&mut session, all.clone().map(Action::AddMeasured));
        session.perform(action.clone());
        assert!(measured(&session).is_empty(), "{action:?}");
        assert!(told_stale(&session), "{action:?}");
        session.perform(Action::Undo);
        assert_eq!(measured(&session), all, "{action:?}");
    }
    let holds = [
        Action::Want(Some(keelstead_load::load::TargetAttitude {
            keel_over_rail_m: 0.25,
            trim_rad: 0.0,
        })),
        Action::WantShare {
            beam: 0,
            share: Some(2.0),
        },
        Action::Require(Box::new(Required {
            tyre_gap_m: 0.2,
            ..Required::default()
        })),
        Action::Name("other".into()),
    ];
    for action in holds {
        let mut session = session();
        let all = [height(&session, 0.0), gap_of_pad()];
        do_all(&mut session, all.clone().map(Action::AddMeasured));
        session.perform(action.clone());
        assert_eq!(measured(&session), all, "{action:?}");
        assert!(!told_stale(&session), "{action:?}");
    }
}

#[test]
fn setting_a_pad_takes_away_only_gaps_of_pads() {
    let mut session = session();
    let kept = height(&session, 0.0);
    do_all(
        &mut session,
        [kept.clone(), gap_of_pad()].map(Action::AddMeasured),
    );
    session.perform(Action::PadReach {
        pad: "aft left pad".into(),
        reach: Some(Reach::SetM(0.5)),
    });
    assert_eq!(measured(&session), [kept]);
    assert!(told_stale(&session));
}

#[test]
fn another_hull_was_not_measured() {
    let mut session = session();
    let first = height(&session, 0.0);
    session.perform(Action::AddMeasured(first.clone()));
    let opened = job();
    session.hull_replaced(keelstead_files::open::OpenHull {
        hull: opened.hull,
        files: opened.files.hull,
        notices: Vec::new(),
    });
    assert!(measured(&session).is_empty() && told_stale(&session));
    session.perform(Action::Undo);
    assert_eq!(measured(&session), [first]);
}

/// A beam that cannot be placed has no support: what is of a support must not land on the beam before it.
#[test]
fn shims_as_advised_go_on_the_beam_they_are_of() {
    let mut opened = job();
    let lost = keelstead_load::load::PlacedBeam {
        seat: Seat::Pocket(99),
        ..opened.job.load.beams[0].clone()
    };
    opened.job.load.beams.insert(0, lost);
    opened.job.load.beams[1].wanted_share = Some(3.0);
    let middle = keelstead_load::load::PlacedBeam {
        seat: Seat::Pocket(3),
        ..opened.job.load.beams[1].clone()
    };
    opened.job.load.beams.push(middle);
    let mut session = Session::new(opened);
    let findings = session.findings().unwrap().clone();
    let carrying = findings.carrying.as_ref().unwrap();
    let shims: Vec<(usize, f64)> = (findings.supports.iter().zip(&carrying.supports))
        .filter_map(|(support, carried)| Some((support.beam, carried.shim()?.0)))
        .collect();
    assert!(!shims.is_empty());
    let before = session.load().unwrap().clone();
    session.perform(Action::ShimAsAdvised);
    let after = session.load().unwrap();
    for (at, (was, is)) in before.beams.iter().zip(&after.beams).enumerate() {
        let add_m = shims
            .iter()
            .find(|(beam, _)| *beam == at)
            .map_or(0.0, |s| s.1);
        assert!(
            (is.shim_m - (was.shim_m + add_m).max(0.0)).abs() < 1e-12,
            "beam {at}"
        );
    }
}

#[test]
fn the_page_lists_it_in_both_systems() {
    let mut session = session();
    assert!(!mirror::mirror_html(&session).contains("mirror-measured"));
    let slip = height(&session, 0.4);
    session.perform(Action::AddMeasured(slip));
    let html = mirror::mirror_html(&session);
    assert!(html.contains("id=\"mirror-measured\""), "{html}");
    assert!(html.contains("Height of stem head over the ground"));
    assert!(html.contains("Contradicts"));
    session.perform(Action::Units(Units::Imperial));
    let html = mirror::mirror_html(&session);
    let row = html
        .lines()
        .find(|line| line.contains("stem head over"))
        .unwrap();
    assert!(row.contains(" ft ") && !row.contains(" mm"), "{row}");
}

fn open_section(session: Session) -> Bench {
    let mut session = session;
    session.perform(Action::Tab(Tab::Arrange));
    let mut bench = Bench::new(session, DESK);
    reveal_and_press(&mut bench, "Measured after set-down");
    bench
}

fn reveal_and_press(bench: &mut Bench, name: &str) {
    use egui_kittest::kittest::Queryable;
    bench.harness.get_by_label(name).scroll_to_me();
    bench.harness.run();
    bench.press(name);
}

#[test]
fn a_stack_is_marked_in_the_panel_and_a_measurement_taken_away_there() {
    use egui_kittest::kittest::Queryable;
    let mut prepared = session();
    let slip = height(&prepared, 0.4);
    prepared.perform(Action::AddMeasured(slip));
    let mut bench = open_section(prepared);
    assert!(bench.shows("Contradicts"));
    assert!(bench.shows("past anything that her place allows"));
    reveal_and_press(&mut bench, "Take this measurement away");
    assert!(measured(&bench.session.borrow()).is_empty());
    let bears = bench.harness.query_all_by_label("Bears").next().unwrap();
    bears.scroll_to_me();
    bench.harness.run();
    bench
        .harness
        .query_all_by_label("Bears")
        .next()
        .unwrap()
        .click();
    bench.harness.run();
    let seen = Measured::Bears {
        seat: Seat::Pocket(2),
        bears: true,
    };
    assert_eq!(measured(&bench.session.borrow()), [seen]);
}

#[test]
fn a_height_is_added_only_once_a_figure_stands_there() {
    use egui::accesskit::Role;
    use egui_kittest::kittest::{NodeT, Queryable};
    let mut bench = open_section(session());
    let enabled = |bench: &Bench| {
        let node = bench.harness.get_by_label("Add this height");
        !node.accesskit_node().is_disabled()
    };
    assert!(!enabled(&bench));
    let field = |bench: &Bench| {
        let node = bench
            .harness
            .get_by_role_and_label(Role::TextInput, "Height measured");
        node.scroll_to_me();
        node.focus();
    };
    field(&bench);
    bench.harness.run();
    let node = bench
        .harness
        .get_by_role_and_label(Role::TextInput, "Height measured");
    node.type_text("3.05 m");
    bench.harness.run();
    bench.harness.key_press(egui::Key::Enter);
    bench.harness.run();
    assert!(enabled(&bench));
    reveal_and_press(&mut bench, "Add this height");
    let session = bench.session.borrow();
    let [
        Measured::Height {
            name,
            height_m,
            tolerance_m,
            ..
        },
    ] = measured(&session)
    else {
        panic!("{:?}", measured(&session));
    };
    assert_eq!(
        (name.as_str(), *height_m, *tolerance_m),
        ("stem head", 3.05, 0.005)
    );
    assert_eq!(session.findings().unwrap().measured.len(), 1);
    assert_ne!(
        session.findings().unwrap().measured[0].verdict,
        Verdict::Tight
    );
}
