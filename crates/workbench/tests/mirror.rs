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
    assert_eq!(html.matches("data-finding=").count(), findings.list.len());
    for support in &findings.supports {
        assert!(html.contains(&support.name), "{}", support.name);
    }
    for pad in &findings.pads {
        assert!(html.contains(&pad.name), "{}", pad.name);
    }
    for (title, _) in words::CAUTIONS {
        assert!(html.contains(title), "{title}");
    }
    assert!(!html.contains("<script>"));
    assert!(html.contains("&lt;script&gt;") && html.contains("Dunlin &lt;on&gt;"));
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
                let cells = format!(
                    "<td>{verdict}</td><td>{}</td><td>{}</td><td>{percent}</td>",
                    used.member,
                    used.check.word()
                );
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
