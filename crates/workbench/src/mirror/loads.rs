//! The loads in HTML: what carries, how hard it is used, what to shim, what only steadies.

use keelstead::findings::Findings;
use keelstead_load::rig::Rig;
use keelstead_statics::carrying::Carrying;
use keelstead_statics::steadying::Steadying;
use keelstead_units::Units;

use super::table::Table;
use super::{escaped, push};
use crate::loads::pad_verdict;
use crate::words::{self, capital, loads, stopped};

/// What carries the boat.
pub(super) fn carries(html: &mut String, findings: &Findings, units: Units) {
    push(html, "<h2>What carries the boat</h2>");
    paragraph(html, loads::RULE);
    let Some(carrying) = &findings.carrying else {
        paragraph(html, loads::NO_LOADS);
        return;
    };
    loads_table(html, findings, carrying, units);
    uses_table(html, findings, carrying, units);
    let stretches = loads::stretches(carrying, units);
    let stretches = stretches.map(|(name, text)| format!("{name}: {text}."));
    paragraph(html, &stretches.join(" "));
    if let Some(keel) = loads::keel(carrying, units) {
        paragraph(html, &keel);
    }
    let shims = loads::shims(findings, carrying, units);
    if shims.is_empty() {
        paragraph(html, loads::NO_SHIMS);
    } else {
        push(html, "<ul id=\"mirror-shims\">");
        for shim in shims {
            push(html, &format!("<li>{}</li>", escaped(&stopped(&shim))));
        }
        push(html, "</ul>");
    }
}

fn loads_table(html: &mut String, findings: &Findings, carrying: &Carrying, units: Units) {
    let caption = "Loads at rest, and within the tolerances";
    let heads = ["Beam", "Load and share", "May be", "To close"];
    let mut table = Table::begin(html, "mirror-loads", caption, &heads, 0);
    for (support, carried) in findings.supports.iter().zip(&carrying.supports) {
        table.row(
            "",
            &[
                &capital(&support.name),
                &loads::load(carried, units),
                &loads::range(carried, units),
                &loads::to_close_in_full(carried, units).unwrap_or_default(),
            ],
        );
    }
    table.end();
}

fn uses_table(html: &mut String, findings: &Findings, carrying: &Carrying, units: Units) {
    let caption = "How hard beams, blocks and keel are used, of what is allowed";
    let heads = ["Beam", "Verdict", "Part", "Governs", "Used", "At most"];
    let mut table = Table::begin(html, "mirror-uses", caption, &heads, 0);
    for (support, carried) in findings.supports.iter().zip(&carrying.supports) {
        for used in carried.governing_each() {
            table.row(
                "",
                &[
                    &capital(&support.name),
                    words::verdict(used.verdict()),
                    &used.member.to_string(),
                    used.check.word(),
                    &loads::percent(used.ratio, units),
                    &loads::at_most(used, units),
                ],
            );
        }
    }
    table.end();
}

/// What only steadies.
pub(super) fn steadies(html: &mut String, findings: &Findings, rig: &Rig, units: Units) {
    let Some(steadying) = &findings.steadying else {
        return;
    };
    push(html, "<h2>What only steadies</h2>");
    for (name, text) in loads::margins(steadying, units) {
        paragraph(html, &format!("{name}: {text}."));
    }
    push(html, "<ul id=\"mirror-pushes\">");
    for one in &steadying.pushes {
        push(
            html,
            &format!("<li>{}</li>", escaped(&stopped(&loads::push(one, units)))),
        );
    }
    push(html, "</ul>");
    pads_table(html, findings, steadying, rig, units);
}

fn pads_table(
    html: &mut String,
    findings: &Findings,
    steadying: &Steadying,
    rig: &Rig,
    units: Units,
) {
    let heads = [
        "Pad",
        "Verdict",
        "Force",
        "Of its rating",
        "On the hull",
        "At rest",
    ];
    let mut table = Table::begin(html, "mirror-pad-loads", "What pads must hold", &heads, 0);
    for load in &steadying.pads {
        let name = findings
            .pads
            .get(load.pad)
            .map_or("", |pad| pad.name.as_str());
        let rating_n = rig.pads.get(load.pad).and_then(|mount| mount.rating_n);
        let rest = loads::pad_at_rest(load, units);
        table.row(
            "",
            &[
                &capital(name),
                words::verdict(pad_verdict(findings, load.pad)),
                &loads::pad_force(steadying, load, units),
                &loads::pad_rating(load, rating_n, units),
                &loads::pad_pressure(load, units),
                &rest.unwrap_or_else(|| "carries nothing".to_owned()),
            ],
        );
    }
    table.end();
}

fn paragraph(html: &mut String, text: &str) {
    push(html, &format!("<p>{}</p>", escaped(&stopped(text))));
}
