//! A hull being brought in, in HTML.

use keelstead_boat::family::MeasureKind;
use keelstead_units::quantity::{Quantity, Sentence};
use keelstead_units::{Units, sentence, write};

use super::table::Table;
use super::{escaped, push};
use crate::intake::{Fit, Intake, Stood, rows};
use crate::session::Session;
use crate::words::intake::{dimensions, measure_at, next_measure, part_kind, shape_tolerance};
use crate::words::{capital, stopped};

/// The hull as it stands, the questions open first.
pub(super) fn intake(html: &mut String, intake: &Intake, session: &Session) {
    let units = session.view().units;
    let name = match intake.draft().name.as_str() {
        "" => "a hull",
        name => name,
    };
    push(html, &format!("<h1>Bringing in {}</h1>", escaped(name)));
    push(
        html,
        &format!("<p id=\"mirror-step\">Step: {}.</p>", intake.step().word()),
    );
    if let Some(working) = intake.working() {
        let doing = escaped(&stopped(&working.doing));
        push(html, &format!("<p role=\"status\">Working: {doing}</p>"));
    }
    if let Some(trouble) = intake.trouble() {
        let trouble = escaped(&stopped(&sentence(trouble, units)));
        push(html, &format!("<p role=\"alert\">{trouble}</p>"));
    }
    if let Some(measured) = &intake.draft().measured {
        let family = measured.family;
        let name = capital(&family.word().replace('-', " "));
        let text = stopped(&format!("Kind of hull: {name}, {}", family.says()));
        let text = escaped(&text);
        push(html, &format!("<p id=\"mirror-family\">{text}</p>"));
    }
    let Some(stood) = intake.stood() else {
        return;
    };
    dimensions_table(html, stood, units);
    let tolerance = stopped(&shape_tolerance(stood, intake.draft(), units));
    let tolerance = escaped(&tolerance);
    push(html, &format!("<p id=\"mirror-tolerance\">{tolerance}</p>"));
    if let Some(fit) = &stood.fit {
        fitted(html, fit, units);
    }
    weight(html, intake, units);
    begun(html, intake);
    if stood.examined.is_some() {
        proposals(html, stood, intake, units);
    }
    let mut table = Table::begin(html, "mirror-parts", "Parts", &["", ""], 0);
    for part in &stood.opened.hull.parts {
        table.row("", &[&capital(&part.name), part_kind(part.kind)]);
    }
    table.end();
    marks(html, intake);
    let written = |says: &[Sentence]| -> Vec<String> {
        says.iter().map(|one| sentence(one, units)).collect()
    };
    list(html, "What was changed", &written(&stood.changed));
    list(
        html,
        "What could not be told or put right",
        &written(&stood.left),
    );
}

fn dimensions_table(html: &mut String, stood: &Stood, units: Units) {
    let mut table = Table::begin(html, "mirror-dimensions", "Main dimensions", &["", ""], 0);
    for (name, figure) in dimensions(stood, units) {
        table.row("", &[name, &figure]);
    }
    table.end();
}

/// What the file was taken for, the questions first.
fn proposals(html: &mut String, stood: &Stood, intake: &Intake, units: Units) {
    let caption = "What the file was taken for, questions first";
    let heads = ["What", "Taken as", "Why"];
    let mut table = Table::begin(html, "mirror-proposals", caption, &heads, 0);
    for one in rows(stood, &intake.draft().answers) {
        let value = one.value.unwrap_or_else(|| "Please answer".into());
        table.row("", &[one.title, &value, &sentence(&one.because, units)]);
    }
    table.end();
}

/// What the fitted surface has where it was measured and where it was not, and what to measure next.
fn fitted(html: &mut String, fit: &Fit, units: Units) {
    let figure = |kind: MeasureKind, value: f64| {
        let unit = kind.unit();
        write(Quantity { value, unit }, units)
    };
    let caption = "Measures";
    let heads = ["What", "Measured", "The surface has", "Misfit"];
    let mut table = Table::begin(html, "mirror-measures", caption, &heads, 0);
    for one in &fit.measures {
        let has = one.reached.map(|has| figure(one.kind, has));
        let misfit = if one.met {
            format!("within {}", figure(one.kind, one.tolerance))
        } else {
            format!("off by {}", figure(one.kind, one.misfit.abs()))
        };
        table.row(
            "",
            &[
                &measure_at(one.kind, one.at, units),
                &figure(one.kind, one.asked),
                has.as_deref().unwrap_or("nothing"),
                &misfit,
            ],
        );
    }
    table.end();
    if !fit.estimates.is_empty() {
        let caption = "Not measured, as the surface has it";
        let heads = ["What", "The surface has", "The boat\u{2019}s may differ by"];
        let mut table = Table::begin(html, "mirror-estimates", caption, &heads, 0);
        for one in &fit.estimates {
            table.row(
                "",
                &[
                    &capital(one.kind.title()),
                    &figure(one.kind, one.value),
                    &figure(one.kind, one.tolerance),
                ],
            );
        }
        table.end();
    }
    let taped = fit.measured.measures.taped(fit.measured.family);
    for (what, says) in taped.says() {
        let says = format!("{what}: {}.", sentence(&says, units));
        push(html, &format!("<p>{}</p>", escaped(&says)));
    }
    let afloat = format!(
        "Afloat at a draft of {} the surface displaces {}.",
        write(Quantity::length(fit.draft_m), units),
        write(Quantity::mass(fit.displacement_kg), units)
    );
    push(
        html,
        &format!("<p id=\"mirror-afloat\">{}</p>", escaped(&afloat)),
    );
    let next: Vec<String> = fit
        .open
        .next
        .iter()
        .map(|next| next_measure(next, units))
        .collect();
    list(html, "Measure next", &next);
}

fn weight(html: &mut String, intake: &Intake, units: Units) {
    let text = match intake.weighed() {
        Some(Ok(weighed)) => match weighed.mass {
            Some((source, mass)) => format!(
                "Weight: {} \u{b1} {}, by {}.",
                write(Quantity::mass(mass.mass_kg), units),
                write(Quantity::mass(mass.tolerance_kg), units),
                source.words()
            ),
            None => "Weight: not known.".into(),
        },
        Some(Err(wrong)) => wrong.clone(),
        None => return,
    };
    push(
        html,
        &format!("<p id=\"mirror-weight\">{}</p>", escaped(&stopped(&text))),
    );
}

/// What was chosen to tell the weight, and which of its figures nobody gave yet.
fn begun(html: &mut String, intake: &Intake) {
    let begun = intake.draft().begun.iter().map(|(source, figures)| {
        let asks = source.asks().iter().zip(figures);
        let missing = asks.filter(|(_, figure)| figure.is_none());
        let missing: Vec<&str> = missing.map(|((label, _), _)| *label).collect();
        format!("{}: {}", source.title(), missing.join("; "))
    });
    list(html, "Figures still asked for", &begun.collect::<Vec<_>>());
}

fn marks(html: &mut String, intake: &Intake) {
    let marks = &intake.draft().marks;
    let zones = marks.keep_offs.iter();
    let zones = zones.map(|zone| format!("Keep off: {} ({})", zone.name, zone.kind.words()));
    let stations = marks.strong_stations.iter();
    let stations = stations.map(|station| format!("Strong station: {}", station.name));
    let lifts = marks.lifting_marks.iter();
    let lifts = lifts.map(|mark| format!("Sling: {}", mark.name));
    let all: Vec<String> = zones.chain(stations).chain(lifts).collect();
    list(html, "Marks", &all);
}

fn list(html: &mut String, title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    push(html, &format!("<h2>{title}</h2><ul>"));
    for line in lines {
        push(html, &format!("<li>{}</li>", escaped(&stopped(line))));
    }
    push(html, "</ul>");
}
