//! A hull being brought in, in HTML.

use keelstead::family::MeasureKind;
use keelstead::quantity::{Quantity, Sentence};
use keelstead_files::units::{Units, sentence, write};

use super::{escaped, push};
use crate::intake::{Fit, Intake, rows};
use crate::session::Session;
use crate::words::intake::{dimensions, part_kind, shape_tolerance};

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
        &format!("<p id=\"mirror-step\">Step: {}</p>", intake.step().word()),
    );
    if let Some(working) = intake.working() {
        let doing = escaped(&working.doing);
        push(html, &format!("<p role=\"status\">Working: {doing}</p>"));
    }
    if let Some(trouble) = intake.trouble() {
        let trouble = escaped(&sentence(trouble, units));
        push(html, &format!("<p role=\"alert\">{trouble}</p>"));
    }
    let Some(stood) = intake.stood() else {
        return;
    };
    push(
        html,
        "<table id=\"mirror-dimensions\"><caption>Main dimensions</caption><tbody>",
    );
    for (name, figure) in dimensions(stood, units) {
        row(html, name, &[&figure]);
    }
    push(html, "</tbody></table>");
    let tolerance = escaped(&shape_tolerance(stood, intake.draft(), units));
    push(html, &format!("<p id=\"mirror-tolerance\">{tolerance}</p>"));
    if let Some(fit) = &stood.fit {
        fitted(html, fit, units);
    }
    weight(html, intake, units);
    push(
        html,
        "<table id=\"mirror-proposals\"><caption>What the file was taken for, questions first</caption>\
         <thead><tr><th>What</th><th>Taken as</th><th>Why</th></tr></thead><tbody>",
    );
    for one in rows(stood, &intake.draft().answers) {
        let value = one.value.unwrap_or_else(|| "Please answer".into());
        row(html, one.title, &[&value, &sentence(&one.because, units)]);
    }
    push(html, "</tbody></table>");
    push(
        html,
        "<table id=\"mirror-parts\"><caption>Parts</caption><tbody>",
    );
    for part in &stood.opened.hull.parts {
        row(html, &part.name, &[part_kind(part.kind)]);
    }
    push(html, "</tbody></table>");
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

/// What the fitted surface has where it was measured, and what to measure next.
fn fitted(html: &mut String, fit: &Fit, units: Units) {
    push(
        html,
        "<table id=\"mirror-measures\"><caption>Measures</caption>\
         <thead><tr><th>What</th><th>Measured</th><th>The surface has</th></tr></thead><tbody>",
    );
    let figure = |kind: MeasureKind, value: f64| {
        let unit = kind.unit();
        write(Quantity { value, unit }, units)
    };
    for one in &fit.measures {
        let has = one
            .reached
            .map_or_else(|| "nothing".to_owned(), |has| figure(one.kind, has));
        row(
            html,
            one.kind.title(),
            &[&figure(one.kind, one.asked), &has],
        );
    }
    push(html, "</tbody></table>");
    let next: Vec<String> = fit
        .open
        .next
        .iter()
        .map(|next| next.kind.title().to_owned())
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
        &format!("<p id=\"mirror-weight\">{}</p>", escaped(&text)),
    );
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

fn row(html: &mut String, head: &str, cells: &[&str]) {
    let cells: String = cells
        .iter()
        .map(|cell| format!("<td>{}</td>", escaped(cell)))
        .collect();
    let head = escaped(head);
    push(
        html,
        &format!("<tr><th scope=\"row\">{head}</th>{cells}</tr>"),
    );
}

fn list(html: &mut String, title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    push(html, &format!("<h2>{title}</h2><ul>"));
    for line in lines {
        push(html, &format!("<li>{}</li>", escaped(line)));
    }
    push(html, "</ul>");
}
