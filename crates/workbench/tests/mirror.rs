//! The mirror says what the panels say.
#![allow(clippy::unwrap_used)]

mod common;

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
    let units = keelstead_files::units::Units::Metric;
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
    session.perform(Action::Units(keelstead_files::units::Units::Imperial));
    let feet = mirror_html(&session);
    assert_ne!(metric, feet);
    session.perform(Action::HullForward(-8.0));
    let moved = mirror_html(&session);
    assert_ne!(feet, moved);
    assert!(moved.contains("not saved"));
}
