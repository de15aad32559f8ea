//! The words panels, page and screen reader share.

pub mod intake;
pub mod loads;
pub mod measured;
pub mod size;

use std::path::PathBuf;

use keelstead::findings::{Finding, Findings, Place, Support, Topic};
use keelstead_load::load::{BlockOrientation, KeelHold, Seat};
use keelstead_load::material::LoadDuration;
use keelstead_load::pads::{Pad, PadState};
use keelstead_units::quantity::{Basis, Quantity};
use keelstead_units::verdict::Verdict;
use keelstead_units::{Units, sentence, write, write_together};

use crate::edit::Made;

/// The short caution, always in sight.
pub const CAUTION: &str = "Never go under a boat held only by hydraulics or suspension.";

/// The cautions in full: heading and text of each.
pub const CAUTIONS: [(&str, &str); 5] = [
    (
        "Never go under a boat held only by hydraulics or suspension",
        "Hoses burst and valves creep. Before anyone reaches under the hull it stands on beams and blocks.",
    ),
    (
        "Beams and blocks carry, pads only steady",
        "The weight goes through the keel into blocks and beams. A pad keeps the hull upright and takes no significant weight.",
    ),
    (
        "Makers\u{2019} ratings, local codes and permits govern",
        "Where a rating, a code or a permit asks for more than is asked here, that holds.",
    ),
    (
        "Figures are only as good as the measurements",
        "Every figure says what it rests on. Measure the boat and the rig before you trust a gap of a few centimetres.",
    ),
    (
        "When in doubt a licensed rigger or surveyor decides",
        "Keelstead informs. It does not authorise a lift, a load or a journey.",
    ),
];

/// The verdict's word, with a capital.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Foul => "Foul",
        Verdict::Unknown => "Unknown",
        Verdict::Pending => "Pending",
        Verdict::Tight => "Tight",
        Verdict::Clear => "Clear",
    }
}

/// What stands where the tolerances are still to be worked out.
const PENDING: &str =
    "Not foul if every measurement is exact; what the tolerances make of it is being worked out.";

/// What the verdict means, in a sentence.
pub fn verdict_means(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Foul => "Does not meet what is asked.",
        Verdict::Unknown => "A needed input is missing, so nothing can be said.",
        Verdict::Pending => PENDING,
        Verdict::Tight => "Meets what is asked only if every measurement is exact.",
        Verdict::Clear => "Meets what is asked, its tolerance included.",
    }
}

/// How many findings have each verdict, worst first.
pub fn counts(findings: &Findings) -> [(Verdict, usize); 5] {
    [
        Verdict::Foul,
        Verdict::Unknown,
        Verdict::Pending,
        Verdict::Tight,
        Verdict::Clear,
    ]
    .map(|verdict| {
        let of_it = findings.list.iter().filter(|one| one.verdict == verdict);
        (verdict, of_it.count())
    })
}

/// The whole job's verdict in a line: "Foul: 2 foul, 1 tight, 40 clear".
pub fn headline(findings: &Findings) -> String {
    let counts: Vec<String> = counts(findings)
        .into_iter()
        .filter(|(_, count)| *count > 0)
        .map(|(verdict, count)| format!("{count} {}", verdict.word()))
        .collect();
    if counts.is_empty() {
        return verdict(findings.verdict).to_owned();
    }
    format!("{}: {}", verdict(findings.verdict), counts.join(", "))
}

/// What a figure rests on.
pub fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Measured => "measured",
        Basis::Computed => "computed",
        Basis::AssumedDefault => "an assumed default",
        Basis::CommonPractice => "common practice, no published source",
    }
}

/// What a finding is about.
pub fn topic(topic: Topic) -> &'static str {
    match topic {
        Topic::Input => "Input",
        Topic::Balance => "Balance",
        Topic::Support => "Support",
        Topic::Strength => "Strength",
        Topic::Steadying => "Steadying",
        Topic::Clearance => "Clearance",
        Topic::Pad => "Pad",
        Topic::Weight => "Weight",
        Topic::Size => "Size",
        Topic::Hull => "Hull",
    }
}

/// A finding's figures as text.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Figures {
    /// What was found.
    pub found: Option<String>,
    /// What is asked.
    pub required: Option<String>,
    /// How far off it may be.
    pub tolerance: Option<String>,
}

/// The figures of a finding, found and asked written so that they differ where they do.
pub fn figures(finding: &Finding, units: Units) -> Figures {
    let (found, required) = match (finding.found, finding.required) {
        (Some(found), Some(required)) => {
            let mut both = write_together(&[found, required], units).into_iter();
            (both.next(), both.next())
        }
        (found, required) => (
            found.map(|found| write(found, units)),
            required.map(|required| write(required, units)),
        ),
    };
    Figures {
        found,
        required,
        tolerance: finding.tolerance.map(|tolerance| write(tolerance, units)),
    }
}

impl Figures {
    /// Found and asked in a line: "83 mm, asked 150 mm".
    pub fn line(&self) -> String {
        match (&self.found, &self.required) {
            (Some(found), Some(required)) => format!("{found}, asked {required}"),
            (Some(found), None) => found.clone(),
            (None, Some(required)) => format!("asked {required}"),
            (None, None) => String::new(),
        }
    }
}

/// The facts of a finding beyond its sentence: label and text of each.
pub fn facts(finding: &Finding, units: Units) -> Vec<(&'static str, String)> {
    let figures = figures(finding, units);
    let mut facts = Vec::new();
    facts.extend(figures.found.map(|text| ("Found", text)));
    facts.extend(figures.required.map(|text| ("Asked", text)));
    facts.extend(
        figures
            .tolerance
            .map(|text| ("May be off by", format!("\u{b1} {text}"))),
    );
    if !finding.rests_on.is_empty() {
        let on: Vec<&str> = finding.rests_on.iter().copied().map(basis).collect();
        facts.push(("Rests on", on.join("; ")));
    }
    if let Some(place) = &finding.place {
        facts.push(("Where", where_it_is(place, units)));
    }
    facts
}

/// A place in words, from the coupling, the centreplane and the ground.
pub fn where_it_is(place: &Place, units: Units) -> String {
    let at = match place {
        Place::Point(point) => point,
        Place::Between { hull, .. } => hull,
    };
    let length = |value_m: f64| write(Quantity::length(value_m.abs()), units);
    let along = if at.x_m < 0.0 { "behind" } else { "ahead of" };
    let side = if at.y_m < 0.0 { "right" } else { "left" };
    let up = if at.z_m < 0.0 { "below" } else { "above" };
    format!(
        "{} {along} the coupling, {} {side} of the middle, {} {up} the ground",
        length(at.x_m),
        length(at.y_m),
        length(at.z_m)
    )
}

/// What was found, in the reader's units.
pub fn says(finding: &Finding, units: Units) -> String {
    capital(&sentence(&finding.says, units))
}

/// What to do about it, in the reader's units.
pub fn advice(finding: &Finding, units: Units) -> Option<String> {
    let advice = finding.advice.as_ref()?;
    Some(capital(&sentence(advice, units)))
}

/// The same words with a capital.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// The same words with a full stop, unless they end a sentence already.
pub fn stopped(words: &str) -> String {
    let ends = words.ends_with(['.', '!', '?', ':']);
    let stop = if ends || words.is_empty() { "" } else { "." };
    format!("{words}{stop}")
}

/// Whether a support carries, and the gap over it.
pub fn support(support: &Support, units: Units) -> String {
    match (support.carries, support.gap_m) {
        (true, _) => "carries".to_owned(),
        (false, Some(gap_m)) => {
            let gap = write(Quantity::length(gap_m), units);
            format!("carries nothing, gap {gap}")
        }
        (false, None) => "carries nothing, the hull does not reach over it".to_owned(),
    }
}

/// What became of a pad.
pub fn pad(pad: &Pad) -> &'static str {
    match pad.state {
        PadState::Stowed => "stowed",
        PadState::Touching => "touches, steadies only",
        PadState::Short => "set short of the hull",
        PadState::Pressing => "set so far out that it would press into the hull",
        PadState::OutOfReach => "out of reach",
    }
}

/// Where a beam lies.
pub fn seat(seat: Seat, units: Units) -> String {
    match seat {
        Seat::Pocket(number) => format!("in pocket {number}"),
        Seat::OnRailsXM(x_m) => {
            let away = write(Quantity::length(x_m.abs()), units);
            let side = if x_m < 0.0 { "behind" } else { "ahead of" };
            format!("on the rails, {away} {side} the coupling")
        }
    }
}

/// How a block lies.
pub fn lie(lie: BlockOrientation) -> &'static str {
    match lie {
        BlockOrientation::Flat => "Flat, across",
        BlockOrientation::FlatAlong => "Flat, fore and aft",
        BlockOrientation::Edge => "On edge, across",
        BlockOrientation::EdgeAlong => "On edge, fore and aft",
        BlockOrientation::End => "On end",
    }
}

/// How long a load acts on timber.
pub fn duration(duration: LoadDuration) -> &'static str {
    match duration {
        LoadDuration::Impact => "A blow",
        LoadDuration::TenMinutes => "Ten minutes",
        LoadDuration::SevenDays => "Seven days",
        LoadDuration::TwoMonths => "Two months",
        LoadDuration::TenYears => "Ten years",
        LoadDuration::Permanent => "For good",
    }
}

/// What holds the keel sideways on its blocks.
pub fn keel_hold(hold: KeelHold) -> &'static str {
    match hold {
        KeelHold::Chocked => "Chocks",
        KeelHold::Friction => "Friction",
        KeelHold::Nothing => "Nothing",
    }
}

/// All ways a block can lie.
pub const LIES: [BlockOrientation; 5] = [
    BlockOrientation::Flat,
    BlockOrientation::FlatAlong,
    BlockOrientation::Edge,
    BlockOrientation::EdgeAlong,
    BlockOrientation::End,
];

/// A gesture's key in words: "seat-beam 2" is "seat beam".
pub(crate) fn gesture(key: &str) -> String {
    let (what, _) = key.split_once(' ').unwrap_or((key, ""));
    what.replace('-', " ")
}

/// Where a job was saved, and what was written beside it.
pub(crate) fn saved(path: &str, brought: &[PathBuf]) -> String {
    if brought.is_empty() {
        return path.to_owned();
    }
    let brought: Vec<String> = brought.iter().map(|at| at.display().to_string()).collect();
    format!("{path}, with the files it needs: {}", brought.join(", "))
}

/// Stacks made from the stock, and how near each came to what was needed.
pub(crate) fn made(made: &[Made], units: Units) -> String {
    let length = |value_m: f64| write(Quantity::length(value_m), units);
    let one = |made: &Made| {
        let miss = if made.over_m.abs() < EXACT_M {
            "met".to_owned()
        } else if made.over_m > 0.0 {
            format!("{} too high", length(made.over_m))
        } else {
            format!("{} too low", length(-made.over_m))
        };
        format!("{}: needs {}, {miss}", made.name, length(made.needed_m))
    };
    made.iter().map(one).collect::<Vec<_>>().join("\n")
}

/// A stack this near to what is needed counts as met, m.
const EXACT_M: f64 = 0.000_5;
