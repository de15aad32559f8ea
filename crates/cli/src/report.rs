//! What was concluded, as a driver reads it: 80 columns, worst first.

use std::fmt::Write;

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};
use keelstead::findings::{Bound, Finding, Findings, Support};
use keelstead_files::OpenJob;
use keelstead_load::pads::{Pad, PadState};
use keelstead_units::quantity::{Basis, Quantity};
use keelstead_units::verdict::Verdict;
use keelstead_units::{Units, sentence, write, write_together};

use crate::{axles, carrying, set_down, style};

/// Columns of a plain terminal.
const WIDTH: u16 = 80;

const CAUTIONS: [&str; 5] = [
    "Never go under a boat held only by hydraulics or suspension.",
    "Beams and blocks carry the boat; pads only steady it.",
    "Makers' ratings, local codes and permits govern.",
    "Figures are only as good as the measurements they rest on.",
    "When in doubt, a licensed rigger or surveyor decides.",
];

/// The whole report.
pub(crate) fn text(open: &OpenJob, findings: &Findings, units: Units, all: bool) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}", style::heading(&open.job.name));
    let _ = writeln!(out, "{} on {}", open.hull.name, open.rig.name);
    let _ = writeln!(out, "\n{}\n", headline(findings));
    for notice in &open.notices {
        out.push_str(&wrapped("Note: ", &sentence(&notice.sentence(), units)));
    }
    if !open.notices.is_empty() {
        out.push('\n');
    }
    let shown: Vec<&Finding> = findings
        .list
        .iter()
        .filter(|finding| all || finding.verdict != Verdict::Clear)
        .collect();
    if !shown.is_empty() {
        let _ = writeln!(out, "{}", style::heading("Findings, worst first"));
        let _ = writeln!(out, "{}\n", findings_table(&shown, units));
        for (number, finding) in shown.iter().enumerate() {
            explain(&mut out, number + 1, finding, units);
        }
        out.push('\n');
    }
    let hidden = findings.list.len() - shown.len();
    if hidden > 0 {
        let _ = writeln!(out, "{hidden} more are clear; --all shows them.\n");
    }
    section(
        &mut out,
        "Beams and blocks",
        supports_table(open, findings, units),
        "No beam is in place.",
    );
    carrying::carries(&mut out, findings, units);
    if let Some(table) = set_down::table(findings, units) {
        section(&mut out, "Measured after set-down", Some(table), "");
    }
    section(
        &mut out,
        "Pads",
        pads_table(&findings.pads, units),
        "The rig has no pads.",
    );
    carrying::steadies(&mut out, findings, units);
    section(
        &mut out,
        "On the road, boat and trailer",
        size_table(findings, units),
        "Not known until the job is put right.",
    );
    axles::presses(&mut out, &open.rig, findings, units);
    let _ = writeln!(out, "{}", style::heading("Mind"));
    for caution in CAUTIONS {
        let _ = writeln!(out, "- {caution}");
    }
    style::colour_verdicts(&out)
}

fn headline(findings: &Findings) -> String {
    let counts: Vec<String> = [
        Verdict::Foul,
        Verdict::Unknown,
        Verdict::Tight,
        Verdict::Clear,
    ]
    .into_iter()
    .map(|verdict| {
        let count = findings
            .list
            .iter()
            .filter(|finding| finding.verdict == verdict)
            .count();
        (verdict, count)
    })
    .filter(|&(_, count)| count > 0)
    .map(|(verdict, count)| format!("{count} {}", verdict.word()))
    .collect();
    format!(
        "{}: {}",
        style::verdict(findings.verdict),
        counts.join(", ")
    )
}

pub(crate) fn table(headings: &[&str]) -> Table {
    let mut table = Table::new();
    table
        .load_style(presets::UTF8_BORDERS_ONLY)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(WIDTH)
        .set_header(headings);
    table
}

pub(crate) fn align_right(table: &mut Table, columns: std::ops::Range<usize>) {
    for index in columns {
        if let Some(column) = table.column_mut(index) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
}

fn findings_table(findings: &[&Finding], units: Units) -> Table {
    let mut table = table(&["", "Verdict", "What", "Found", "Asked", "May be off"]);
    for (number, finding) in findings.iter().enumerate() {
        let [found, required, tolerance] = figures(finding, units);
        table.add_row([
            (number + 1).to_string(),
            style::verdict(finding.verdict),
            finding.title.clone(),
            found,
            required,
            tolerance,
        ]);
    }
    align_right(&mut table, 0..1);
    align_right(&mut table, 3..6);
    // A verdict broken over two lines could be misread.
    if let Some(column) = table.column_mut(1) {
        column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(11)));
    }
    table
}

/// Found, asked and tolerance; the first two written so that the verdict can be read from them.
fn figures(finding: &Finding, units: Units) -> [String; 3] {
    let pair: Vec<Quantity> = finding.found.into_iter().chain(finding.required).collect();
    let mut written = write_together(&pair, units).into_iter();
    let mut next = |there: bool| {
        there
            .then(|| written.next())
            .flatten()
            .unwrap_or_else(|| "–".into())
    };
    let found = next(finding.found.is_some());
    let required = next(finding.required.is_some());
    let tolerance = finding.tolerance.map_or_else(
        || "–".into(),
        |tolerance| format!("± {}", write(tolerance, units)),
    );
    [found, required, tolerance]
}

fn explain(out: &mut String, number: usize, finding: &Finding, units: Units) {
    let says = sentence(&finding.says, units);
    out.push_str(&wrapped(&format!("{number:>3}. "), &says));
    if let Some(advice) = &finding.advice {
        out.push_str(&wrapped("     Do: ", &sentence(advice, units)));
    }
    if !finding.rests_on.is_empty() {
        let bases: Vec<&str> = finding
            .rests_on
            .iter()
            .map(|&basis| basis_word(basis))
            .collect();
        out.push_str(&wrapped("     Rests on: ", &bases.join(", ")));
    }
}

pub(crate) fn basis_word(basis: Basis) -> &'static str {
    match basis {
        Basis::Measured => "measured",
        Basis::Computed => "computed",
        Basis::AssumedDefault => "assumed default",
        Basis::CommonPractice => "common practice",
    }
}

fn supports_table(open: &OpenJob, findings: &Findings, units: Units) -> Option<Table> {
    if findings.supports.is_empty() {
        return None;
    }
    let mut table = table(&[
        "Where",
        "Stack, lowest first",
        "Height",
        "Needed",
        "Gap to hull",
        "Carries",
    ]);
    for support in &findings.supports {
        let needed = support
            .needed_height_m
            .map_or_else(|| "–".into(), |height_m| length(height_m, units));
        let gap = support
            .gap_m
            .map_or_else(|| "no hull above".into(), |gap_m| length(gap_m, units));
        table.add_row([
            support.name.clone(),
            stack(open, support, units),
            length(support.stack_height_m, units),
            needed,
            gap,
            if support.carries { "yes" } else { "NO" }.to_owned(),
        ]);
    }
    align_right(&mut table, 2..5);
    Some(table)
}

/// What is stacked on the beam of a support.
fn stack(open: &OpenJob, support: &Support, units: Units) -> String {
    // By its place in the load: two beams on the rails are called alike.
    let Some(beam) = open.job.load.beams.get(support.beam) else {
        return "–".into();
    };
    let mut pieces: Vec<String> = beam.stack.iter().map(|block| block.block.clone()).collect();
    if beam.shim_m > 0.0 {
        pieces.push(format!("shims {}", length(beam.shim_m, units)));
    }
    if beam.wedge_rad != 0.0 {
        pieces.push(format!(
            "wedge {}",
            write(Quantity::angle(beam.wedge_rad), units)
        ));
    }
    if pieces.is_empty() {
        "bare beam".into()
    } else {
        pieces.join(", ")
    }
}

pub(crate) fn length(value_m: f64, units: Units) -> String {
    write(Quantity::length(value_m), units)
}

fn pads_table(pads: &[Pad], units: Units) -> Option<Table> {
    if pads.is_empty() {
        return None;
    }
    let mut table = table(&["Pad", "State", "Run out", "Face to hull"]);
    for pad in pads {
        let angle = pad.face_angle_rad.map_or_else(
            || "–".into(),
            |angle_rad| write(Quantity::angle(angle_rad), units),
        );
        let reach = match pad.state {
            PadState::Stowed => "–".into(),
            _ => length(pad.reach_m, units),
        };
        table.add_row([pad.name.clone(), state_word(pad.state).into(), reach, angle]);
    }
    align_right(&mut table, 2..4);
    Some(table)
}

fn state_word(state: PadState) -> &'static str {
    match state {
        PadState::Stowed => "stowed",
        PadState::Touching => "touching",
        PadState::Short => "SHORT of the hull",
        PadState::Pressing => "PRESSING into the hull",
        PadState::OutOfReach => "OUT OF REACH",
    }
}

fn size_table(findings: &Findings, units: Units) -> Option<Table> {
    let size = &findings.size;
    if !size.is_known() {
        return None;
    }
    let weight = findings
        .mass_kg
        .map(|mass_kg| write(Quantity::mass(mass_kg), units));
    let bounded = |is: Bound, m| format!("{}{}", is.words(), length(m, units));
    let mut table = table(&[
        "Height",
        "Width",
        "Length",
        "Behind trailer",
        "Trim, bow up",
        "Boat's weight",
    ]);
    table.add_row([
        bounded(size.height_is, size.height_m),
        bounded(size.width_is, size.width_m),
        bounded(size.length_is, size.length_m),
        bounded(size.rear_overhang_is, size.rear_overhang_m),
        write(Quantity::angle(findings.trim_rad), units),
        weight.unwrap_or_else(|| "unknown".into()),
    ]);
    Some(table)
}

pub(crate) fn section(out: &mut String, heading: &str, table: Option<Table>, otherwise: &str) {
    let _ = writeln!(out, "{}", style::heading(heading));
    match table {
        Some(table) => {
            let _ = writeln!(out, "{table}\n");
        }
        None => {
            let _ = writeln!(out, "{otherwise}\n");
        }
    }
}

/// `text` after `lead`, broken at spaces, later lines set in under the first.
pub(crate) fn wrapped(lead: &str, text: &str) -> String {
    let indent = " ".repeat(lead.chars().count());
    let mut out = String::from(lead);
    let mut column = lead.chars().count();
    for (index, word) in text.split_whitespace().enumerate() {
        let length = word.chars().count();
        if index > 0 && column + 1 + length > usize::from(WIDTH) {
            out.push('\n');
            out.push_str(&indent);
            column = indent.len();
        } else if index > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out.push('\n');
    out
}
