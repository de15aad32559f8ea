//! What a person reads while a hull is brought in: in the units chosen, and in words of the panel.
#![allow(clippy::unwrap_used)]

mod common;

use common::bench::{Bench, DESK};
use common::bring::{act, boat, hand_over};
use egui_kittest::kittest::{By, NodeT, Queryable};
use keelstead_boat::family::MeasureKind;
use keelstead_units::Units;
use keelstead_workbench::intake::{IntakeAction, Step};
use keelstead_workbench::mirror::mirror_html;
use keelstead_workbench::{Action, Session};

/// The metric figures in a text: "12.5 mm", "3 m", "40 kg".
fn metric_figures(text: &str) -> Vec<String> {
    let bare = |word: &str| {
        let end = |c: char| !c.is_ascii_alphanumeric();
        word.trim_matches(end).to_owned()
    };
    let words: Vec<String> = text.split([' ', '\n', '<', '>']).map(bare).collect();
    let is_figure = |word: &str| word.starts_with(|c: char| c.is_ascii_digit());
    let is_unit = |word: &str| matches!(word, "mm" | "cm" | "m" | "kg" | "kN");
    words
        .windows(2)
        .filter(|pair| is_figure(&pair[0]) && is_unit(&pair[1]))
        .map(|pair| pair.join(" "))
        .collect()
}

/// All text that the window shows.
fn shown(session: Session) -> String {
    let bench = Bench::new(session, DESK);
    let mut text = String::new();
    for node in bench.harness.query_all(By::new()) {
        let access = node.accesskit_node();
        let said = [access.label(), access.value()].map(Option::unwrap_or_default);
        text += &said.join("\n");
        text.push('\n');
    }
    text
}

/// Every step of bringing a mesh in, one that is asked about, and a measured boat that cannot be.
fn states(units: Units) -> Vec<(String, Session)> {
    let begun = || {
        let mut session = common::session();
        session.perform(Action::Units(units));
        session
    };
    let mut states = Vec::new();
    for step in [Step::Stand, Step::Parts, Step::Done] {
        let mut session = begun();
        hand_over(&mut session, "a.obj", boat(1000.0));
        act(&mut session, IntakeAction::ScaleLength(Some(9.42)));
        act(&mut session, IntakeAction::CloseDeck(true));
        act(&mut session, IntakeAction::Go(step));
        states.push((format!("{step:?}"), session));
    }
    let mut asked = begun();
    hand_over(&mut asked, "a.obj", boat(1.5));
    states.push(("a question".into(), asked));
    let mut measured = begun();
    act(&mut measured, IntakeAction::MeasureIt);
    for (kind, value) in [(MeasureKind::Length, 8.0), (MeasureKind::Beam, 2.6)] {
        let value = Some(value);
        act(&mut measured, IntakeAction::Measure { kind, value });
    }
    let (kind, value) = (MeasureKind::Beam, Some(19.0));
    act(&mut measured, IntakeAction::Measure { kind, value });
    assert!(measured.intake().unwrap().trouble().is_some());
    states.push(("measures that cannot be".into(), measured));
    states
}

#[test]
fn the_sentences_of_an_intake_are_in_the_units_chosen() {
    for (state, session) in states(Units::Imperial) {
        let text = mirror_html(&session);
        assert_eq!(metric_figures(&text), [""; 0], "{state}, as text: {text}");
        // The hint on what may be typed names both systems.
        let panel = shown(session).replace(
            "Each with its unit: 9.4 m, 30\u{2019} 10\u{201d}, 940 cm.",
            "",
        );
        assert_eq!(metric_figures(&panel), [""; 0], "{state}: {panel}");
    }
    // The same sentences have figures, or the test would see nothing.
    for (state, session) in states(Units::Metric) {
        let found = metric_figures(&mirror_html(&session));
        assert!(!found.is_empty(), "{state}");
    }
}

#[test]
fn what_is_done_is_told_in_the_units_that_are_chosen_afterwards() {
    let (_, mut session) = states(Units::Metric).swap_remove(2);
    assert!(mirror_html(&session).contains("9.42 m over all"));
    session.perform(Action::Units(Units::Imperial));
    let text = mirror_html(&session);
    assert!(text.contains("30 ft 10 7/8 in over all"), "{text}");
}

#[test]
fn a_refusal_says_where_in_the_panel_to_answer() {
    let mut session = common::session();
    hand_over(&mut session, "a.obj", boat(1000.0));
    // The boat is no half hull, and across it is wider than long.
    act(&mut session, IntakeAction::Mirror(Some(true)));
    let trouble = common::said(session.intake().unwrap().trouble().unwrap());
    assert!(trouble.contains("under \"Half a hull\""), "{trouble}");
    assert!(!trouble.contains("--"), "{trouble}");
    act(&mut session, IntakeAction::Mirror(None));
    act(&mut session, IntakeAction::ScaleLength(Some(70.0)));
    let trouble = common::said(session.intake().unwrap().trouble().unwrap());
    assert!(
        trouble.contains("under \"Length as measured\""),
        "{trouble}"
    );
    assert!(!trouble.contains("--"), "{trouble}");
}
