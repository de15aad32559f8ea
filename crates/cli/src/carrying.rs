//! What carries the boat and what only steadies it, as a driver reads it.

use std::fmt::Write;

use comfy_table::Table;
use keelstead::findings::{Findings, Support};
use keelstead_statics::carrying::Carrying;
use keelstead_statics::steadying::Steadying;
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, sentence, write};

use crate::report::{align_right, length, section, table, wrapped};

/// Characters of a bar for the whole weight.
const BAR: f64 = 16.0;

/// Loads, shares, uses and shims.
pub(crate) fn carries(out: &mut String, findings: &Findings, units: Units) {
    let carrying = findings.carrying.as_ref();
    section(
        out,
        "What carries the boat",
        carrying.map(|carrying| loads(&findings.supports, carrying, units)),
        "Loads are not known: the findings say why.",
    );
    let Some(carrying) = carrying else { return };
    section(
        out,
        "How hard it is used, of what is allowed",
        Some(uses(&findings.supports, carrying, units)),
        "",
    );
    let stretches = format!(
        "Longest stretch of keel between supports {}, ahead of them {}, behind them {}.",
        length(carrying.longest_span_m, units),
        length(carrying.bow_overhang_m, units),
        length(carrying.stern_overhang_m, units),
    );
    out.push_str(&wrapped("", &stretches));
    shims(out, &findings.supports, carrying, units);
    out.push('\n');
}

fn force(value_n: f64, units: Units) -> String {
    write(Quantity::force(value_n), units)
}

fn ratio(value: f64, units: Units) -> String {
    write(Quantity::ratio(value), units)
}

fn loads(supports: &[Support], carrying: &Carrying, units: Units) -> Table {
    let mut table = table(&["Where", "Load", "Least", "Most", "Share", "To close"]);
    for (support, carried) in supports.iter().zip(&carrying.supports) {
        let bar = "█".repeat((carried.share * BAR).round() as usize);
        let close = match carried.gap_m {
            Some(gap) if carried.load_n <= 0.0 => length(gap, units),
            Some(_) => "–".into(),
            None => "no hull above".into(),
        };
        table.add_row([
            support.name.clone(),
            force(carried.load_n, units),
            force(carried.least_n, units),
            force(carried.most_n, units),
            format!("{:>5} {bar}", ratio(carried.share, units)),
            close,
        ]);
    }
    align_right(&mut table, 1..4);
    table
}

fn uses(supports: &[Support], carrying: &Carrying, units: Units) -> Table {
    let mut table = table(&["Where", "Part", "Governs", "Used", "At most"]);
    for (support, carried) in supports.iter().zip(&carrying.supports) {
        for governing in carried.governing_each() {
            let percent = |value: Option<f64>| {
                value.map_or_else(|| "not known".into(), |value| ratio(value, units))
            };
            table.add_row([
                support.name.clone(),
                governing.member.to_string(),
                governing.check.word().into(),
                percent(governing.ratio),
                percent(governing.worst_ratio),
            ]);
        }
    }
    align_right(&mut table, 3..5);
    table
}

/// Shims as instructions.
fn shims(out: &mut String, supports: &[Support], carrying: &Carrying, units: Units) {
    let mut none = true;
    for (support, carried) in supports.iter().zip(&carrying.supports) {
        let Some(advice) = carried.shim_advice(&support.name) else {
            continue;
        };
        none = false;
        out.push_str(&wrapped("Do: ", &format!("{}.", sentence(&advice, units))));
    }
    if none {
        let _ = writeln!(out, "Shims would share it no better.");
    }
}

/// What pads must hold, and the whole rig.
pub(crate) fn steadies(out: &mut String, findings: &Findings, units: Units) {
    let Some(steadying) = &findings.steadying else {
        return;
    };
    section(
        out,
        "What pads must hold",
        (!steadying.pads.is_empty()).then(|| pads(findings, steadying, units)),
        "No pad touches the hull.",
    );
    let gravity = |value: f64| write(Quantity::gravity(value), units);
    let held = steadying
        .with_pads_g
        .map_or_else(|| "not known".into(), gravity);
    let roll = steadying.rollover.as_ref().map_or_else(
        || "When the whole rig rolls over is not known: the findings say why.".into(),
        |roll| {
            format!(
                "The whole rig rolls over at {} ({} were it rigid); common centre of gravity at {}.",
                gravity(roll.leaning_g),
                gravity(roll.rigid_g),
                length(roll.centre_height_m, units),
            )
        },
    );
    for line in [
        format!(
            "Sideways the keel alone holds {}, with its pads {held}. At rest the pads carry {} of the boat.",
            gravity(steadying.keel_alone_g),
            ratio(steadying.pad_weight_share, units),
        ),
        roll,
    ] {
        out.push_str(&wrapped("", &line));
    }
    out.push('\n');
}

fn pads(findings: &Findings, steadying: &Steadying, units: Units) -> Table {
    let mut table = table(&["Pad", "Force", "When", "Of rating", "Of hull pressure"]);
    for load in &steadying.pads {
        let when = load.push.map_or("–", |i| steadying.pushes[i].kind.word());
        let rating = load
            .rating_ratio
            .map_or_else(|| "not known".into(), |value| ratio(value, units));
        table.add_row([
            findings.pads[load.pad].name.clone(),
            force(load.most_n, units),
            when.into(),
            rating,
            ratio(load.pressure_ratio, units),
        ]);
    }
    align_right(&mut table, 1..2);
    align_right(&mut table, 3..5);
    table
}
