//! What only steadies: margins to upset, what each pad must hold, when the rig rolls over.

use egui::{Label, Ui};
use keelstead_statics::steadying::{PadLoad, Steadying};

use super::super::widgets::{card, fact, quiet, strong, verdict_ui};
use super::Bench;
use crate::loads::pad_verdict;
use crate::words::loads as words;
use crate::words::{advice, capital, says};

/// The findings that speak of the boat and the rig as a whole.
const WHOLE: [&str; 3] = ["steady:rest", "steady:hold", "steady:rollover"];

pub(super) fn steadies_ui(ui: &mut Ui, bench: &Bench) {
    quiet(ui, words::RULE);
    let Some(steadying) = &bench.findings.steadying else {
        let why = "Not known: the boat does not stand on its blocks, or its weight is not known.";
        card(ui, |ui| ui.add(Label::new(why).wrap()));
        return;
    };
    let units = bench.units;
    for finding in WHOLE.iter().filter_map(|id| bench.findings.finding(id)) {
        card(ui, |ui| {
            strong(ui, capital(&finding.title));
            verdict_ui(ui, finding.verdict, 18.0);
            ui.add(Label::new(says(finding, units)).wrap());
            if let Some(advice) = advice(finding, units) {
                fact(ui, "What to do", &advice);
            }
        });
    }
    card(ui, |ui| {
        for (name, text) in words::margins(steadying, units) {
            fact(ui, name, &text);
        }
        ui.separator();
        for push in &steadying.pushes {
            ui.add(Label::new(words::push(push, units)).wrap());
        }
    });
    if steadying.pads.is_empty() {
        quiet(ui, "No pad touches the hull.");
    }
    for load in &steadying.pads {
        card(ui, |ui| pad_ui(ui, bench, steadying, load));
    }
}

fn pad_ui(ui: &mut Ui, bench: &Bench, steadying: &Steadying, load: &PadLoad) {
    let units = bench.units;
    let name = bench
        .findings
        .pads
        .get(load.pad)
        .map(|pad| capital(&pad.name));
    strong(ui, name.unwrap_or_default());
    verdict_ui(ui, pad_verdict(bench.findings, load.pad), 18.0);
    fact(ui, "Force", &words::pad_force(steadying, load, units));
    let rating_n = bench
        .rig
        .pads
        .get(load.pad)
        .and_then(|mount| mount.rating_n);
    fact(
        ui,
        "Of its rating",
        &words::pad_rating(load, rating_n, units),
    );
    fact(ui, "On the hull", &words::pad_pressure(load, units));
    if let Some(leans) = words::pad_at_rest(load, units) {
        fact(ui, "At rest", &leans);
    }
}
