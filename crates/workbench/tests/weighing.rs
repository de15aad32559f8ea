//! What is said of a hull's weight: nothing counts before somebody gave its figures.
#![allow(clippy::unwrap_used)]

mod common;

use common::bench::{Bench, DESK, PHONE, misfits};
use common::bring::{act, boat, hand_over};
use egui_kittest::kittest::Queryable;
use keelstead_boat::weigh::Weighed;
use keelstead_geometry::math::Point;
use keelstead_workbench::intake::{Figured, IntakeAction, Step};
use keelstead_workbench::mirror::mirror_html;
use keelstead_workbench::{Session, theme};

const SOURCES: [Figured; 4] = [
    Figured::Mass,
    Figured::Waterline,
    Figured::Scales,
    Figured::Centre,
];

/// A hull brought in, at the step of its weight.
fn at_weight() -> Session {
    let mut session = Session::empty();
    hand_over(&mut session, "a.obj", boat(1000.0));
    for step in [Step::Parts, Step::Weigh] {
        act(&mut session, IntakeAction::Go(step));
    }
    session
}

fn choose(session: &mut Session, source: Figured, chosen: bool) {
    act(session, IntakeAction::Source { source, chosen });
}

fn weighed(session: &Session) -> Weighed {
    session
        .intake()
        .unwrap()
        .weighed()
        .unwrap()
        .clone()
        .unwrap()
}

/// The weight step began with 4,000 kg "as measured", with a waterline that at once told seven tonnes and with
/// scales that read half of either; the hull went to use with them.
#[test]
fn a_source_that_was_chosen_says_nothing_before_its_figures_are_there() {
    // Figures of a boat of 8 m that is 1.5 m high.
    let given: [&[f64]; 4] = [
        &[3200.0],
        &[1.0, 0.5, 6.0, 0.55],
        &[1500.0, 1.0, 1700.0, 6.0],
        &[3.5, 0.7],
    ];
    for (source, figures) in SOURCES.into_iter().zip(given) {
        let mut session = at_weight();
        let before = session.intake().unwrap().described().unwrap();
        choose(&mut session, source, true);
        for (which, value) in figures.iter().copied().enumerate() {
            let found = weighed(&session);
            assert_eq!(
                (found.mass, found.centre),
                (None, None),
                "{source:?} {which}"
            );
            assert!(session.intake().unwrap().waterline().is_empty());
            let html = mirror_html(&session);
            assert!(html.contains("Weight: not known."));
            let missing: Vec<&str> = source.asks()[which..].iter().map(|ask| ask.0).collect();
            let asks = format!(": {}.</li>", missing.join("; "));
            assert!(html.contains(&asks), "{html}");
            let described = session.intake().unwrap().described().unwrap();
            assert_eq!(described, before, "{source:?} {which}");
            act(
                &mut session,
                IntakeAction::Figure {
                    source,
                    which,
                    value,
                },
            );
        }
        let found = weighed(&session);
        assert!(
            found.mass.is_some() || found.centre.is_some(),
            "{source:?} counts once all is said"
        );
        assert!(session.intake().unwrap().draft().begun.is_empty());
        choose(&mut session, source, false);
        let described = session.intake().unwrap().described().unwrap();
        assert_eq!(described, before, "{source:?} was taken back");
    }
}

#[test]
fn a_press_aft_and_one_forward_mark_the_waterline() {
    let mut session = at_weight();
    let press = |session: &mut Session, x_m: f64, z_m: f64| {
        let at = Point::new(x_m, 0.9, z_m);
        act(session, IntakeAction::Pressed { part: 0, at });
        session.intake().unwrap().draft().weighing.waterline
    };
    assert_eq!(press(&mut session, 1.0, 0.5), None, "it was not chosen");
    choose(&mut session, Figured::Waterline, true);
    // A height that is typed first gives way to the mark that is pressed.
    act(
        &mut session,
        IntakeAction::Figure {
            source: Figured::Waterline,
            which: 3,
            value: 0.9,
        },
    );
    assert_eq!(
        press(&mut session, 1.0, 0.5),
        None,
        "one mark is no waterline"
    );
    let line = press(&mut session, 6.0, 0.55).unwrap();
    assert_eq!((line.aft.x_m, line.aft.z_m), (1.0, 0.5));
    assert_eq!((line.fore.x_m, line.fore.z_m), (6.0, 0.55));
    assert!(weighed(&session).mass.is_some());
    // Said as a whole, nothing is asked for any more.
    choose(&mut session, Figured::Waterline, true);
    act(&mut session, IntakeAction::Waterline(Some(line)));
    assert!(session.intake().unwrap().draft().begun.is_empty());
}

#[test]
fn a_measured_boat_floats_level_at_its_draft_only_when_somebody_says_so() {
    let mut session = Session::empty();
    let measures = include_bytes!("../../../demo-data/hulls/avocet.measures.json");
    hand_over(&mut session, "avocet.json", measures.to_vec());
    act(&mut session, IntakeAction::Go(Step::Weigh));
    let draft = session.intake().unwrap().draft().clone();
    let draft_m = draft.measured.unwrap().measures.draft_m.unwrap();
    assert_eq!(draft.weighing.waterline, None);
    let mut bench = Bench::new(session, DESK);
    let figure = keelstead_units::quantity::Quantity::length(draft_m);
    let figure = keelstead_units::write(figure, keelstead_units::Units::Metric);
    bench.press(&format!("She floats level at the {figure} measured"));
    let session = bench.session.borrow();
    let intake = session.intake().unwrap();
    let line = intake.draft().weighing.waterline.unwrap();
    let keel_m = intake.hull().unwrap().bounds.mins.z;
    assert!((line.aft.z_m - keel_m - draft_m).abs() < 1e-9);
    assert_eq!(line.aft.z_m, line.fore.z_m);
}

#[test]
fn the_fields_of_a_source_that_was_chosen_are_empty_until_typed() {
    let mut bench = Bench::new(at_weight(), DESK);
    bench.press("I know the weight");
    assert!(bench.shows("What she weighs is not known"));
    assert!(!bench.shows("kg,") && !bench.shows("4,000"));
    let field = bench
        .harness
        .get_by_role_and_label(egui::accesskit::Role::TextInput, "Weight");
    assert_eq!(field.value().unwrap_or_default(), "");
    field.focus();
    bench.harness.run();
    let field = bench
        .harness
        .get_by_role_and_label(egui::accesskit::Role::TextInput, "Weight");
    field.type_text("3.2 t");
    bench.harness.run();
    bench.harness.key_press(egui::Key::Enter);
    bench.harness.run();
    let mass = bench.session.borrow().intake().unwrap().draft().mass;
    assert_eq!(mass.map(|mass| mass.mass_kg), Some(3200.0));
}

#[test]
fn every_source_that_was_chosen_has_its_fields_in_reach() {
    let mut wrong = Vec::new();
    for (size, least) in [(PHONE, theme::FINGER), (DESK, theme::MOUSE)] {
        let mut session = at_weight();
        for source in SOURCES {
            choose(&mut session, source, true);
        }
        wrong.extend(misfits(&Bench::new(session, size), "chosen", size, least));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
