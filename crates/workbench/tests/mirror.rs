//! The mirror says what the panels say.
#![allow(clippy::unwrap_used)]

mod common;

use common::bring::{act, boat, hand_over};
use keelstead_boat::family::Family;
use keelstead_workbench::intake::IntakeAction;
use keelstead_workbench::mirror::mirror_html;
use keelstead_workbench::{Action, words};

#[test]
fn every_finding_support_pad_and_caution_is_in_it_and_nothing_is_markup() {
    let mut session = common::session();
    session.failed("<script>", "a \"file\" & its place");
    let html = mirror_html(&session);
    let findings = session.findings().unwrap();
    assert!(html.contains(&words::headline(findings)));
    assert_sentences(&html);
    // Pads' posts 90 mm wide, 1.3 m out on both sides.
    assert!(html.contains("<p id=\"mirror-size\">Height "), "{html}");
    assert!(html.contains(", width 2.69 m, length "), "{html}");
    assert!(
        html.contains(", boat\u{2019}s weight 4,000 kg.</p>"),
        "{html}"
    );
    assert_eq!(html.matches("data-finding=").count(), findings.list.len());
    for support in &findings.supports {
        assert!(
            html.contains(&words::capital(&support.name)),
            "{}",
            support.name
        );
    }
    for pad in &findings.pads {
        assert!(html.contains(&words::capital(&pad.name)), "{}", pad.name);
    }
    for (title, _) in words::CAUTIONS {
        assert!(html.contains(title), "{title}");
    }
    assert!(!html.contains("<script>"));
    assert!(html.contains("&lt;script&gt;") && html.contains("Dunlin &lt;on&gt;"));
}

/// Fails unless every block of the text, as a phone shows it, ends as a sentence does: a screen reader pauses there, and
/// nothing runs on into the next.
fn assert_sentences(html: &str) {
    let blocks = ["</td>", "</p>", "</li>"];
    for end in blocks {
        for (at, _) in html.match_indices(end) {
            let begun = html[..at]
                .rfind(end.replace('/', "").trim_end_matches('>'))
                .unwrap();
            let mut said = String::new();
            let mut tag = false;
            for letter in html[begun..at].chars() {
                match letter {
                    '<' => tag = true,
                    '>' => tag = false,
                    _ if !tag => said.push(letter),
                    _ => {}
                }
            }
            assert!(
                said.is_empty() || said.ends_with(['.', '?', '!', ':']),
                "{said:?} runs on"
            );
            // Nothing runs on within a cell either.
            let joined = end != "</td>"
                || said.split(". ").all(|sentence| {
                    !sentence.starts_with(char::is_lowercase) || said.starts_with(sentence)
                });
            assert!(joined, "{said:?}");
        }
    }
    let found = html.matches("Found: ").count();
    let asked = html.matches("Asked: ").count();
    assert!(found > 0 && asked > 0, "{found} found, {asked} asked");
}

#[test]
fn loads_uses_and_pads_are_in_it_in_words() {
    use keelstead_workbench::Session;
    use keelstead_workbench::words::loads;
    let units = keelstead_units::Units::Metric;
    for job in common::demo_jobs() {
        let session = Session::new(job);
        let html = mirror_html(&session);
        let findings = session.findings().unwrap();
        let carrying = findings.carrying.as_ref().unwrap();
        for carried in &carrying.supports {
            assert!(html.contains(&loads::load(carried, units)));
            for used in carried.governing_each() {
                let percent = loads::percent(used.ratio, units);
                let verdict = words::verdict(used.verdict());
                let cells = [
                    ("Verdict", verdict),
                    ("Part", &used.member.to_string()),
                    ("Governs", used.check.word()),
                    ("Used", &percent),
                ];
                let cells = cells.map(|(head, text)| {
                    let word = |words: &str| format!("<span class=\"word\">{words}</span>");
                    format!("<td>{}{text}{}</td>", word(&format!("{head}: ")), word("."))
                });
                let cells = cells.join(" ");
                assert!(html.contains(&cells), "{cells}");
            }
        }
        let shims = loads::shims(findings, carrying, units);
        assert_eq!(html.contains(loads::NO_SHIMS), shims.is_empty());
        assert!(shims.iter().all(|shim| html.contains(shim)));
        let steadying = findings.steadying.as_ref().unwrap();
        for load in &steadying.pads {
            assert!(html.contains(&loads::pad_force(steadying, load, units)));
        }
        for (name, text) in loads::margins(steadying, units) {
            assert!(html.contains(&format!("{name}: {text}.")), "{name}");
        }
    }
}

#[test]
fn it_follows_the_units_and_the_edits() {
    let mut session = common::session();
    let metric = mirror_html(&session);
    session.perform(Action::Units(keelstead_units::Units::Imperial));
    let feet = mirror_html(&session);
    assert_ne!(metric, feet);
    session.perform(Action::HullForward(-8.0));
    let moved = mirror_html(&session);
    assert_ne!(feet, moved);
    assert!(moved.contains("not saved"));
}

#[test]
fn an_open_question_comes_first_with_its_answers() {
    let mut session = common::session();
    session.perform(Action::RailTop(1.1));
    let revision = session.revision();
    session.perform(Action::OpenDemo("jobs/easy.json".into()));
    assert!(session.revision() > revision, "the page is told");
    let html = mirror_html(&session);
    assert!(html.starts_with("<p id=\"mirror-question\""), "{html}");
    assert!(html.contains("has changes that are not saved. Opening another job loses them."));
    assert!(html.contains("Answers: Save and open; Open without saving; Stay here."));
    let revision = session.revision();
    session.perform(Action::KeepOpen);
    assert!(session.revision() > revision);
    assert!(!mirror_html(&session).contains("mirror-question"));

    hand_over(&mut session, "a.obj", boat(1000.0));
    act(&mut session, IntakeAction::Leave);
    let html = mirror_html(&session);
    assert!(html.contains("The hull is not on the shelf or in use yet."));
    assert!(html.contains("Answers: Keep it for later; Give it up; Stay here."));
}

#[test]
fn the_family_that_is_chosen_is_in_it() {
    let mut session = common::session();
    act(&mut session, IntakeAction::MeasureIt);
    assert!(mirror_html(&session).contains("Kind of hull: Full keel, round bilge"));
    act(&mut session, IntakeAction::Family(Family::FinKeel));
    assert!(mirror_html(&session).contains("Kind of hull: Fin keel, round bilge"));
}
