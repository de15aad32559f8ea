//! The session in plain HTML, for screen readers and tests: the same words as the panels.

mod intake;
mod loads;

use std::fmt::Write;

use keelstead::findings::Findings;
use keelstead::quantity::Quantity;
use keelstead_files::units::{Units, sentence, write};

use crate::session::Session;
use crate::words;

/// The session as an HTML fragment. All text that comes from files is escaped.
pub fn mirror_html(session: &Session) -> String {
    let mut html = String::new();
    messages(&mut html, session);
    let units = session.view().units;
    if let Some(hull) = session.intake() {
        intake::intake(&mut html, hull, session);
        cautions(&mut html);
        return html;
    }
    match (session.job(), session.findings()) {
        (Some(job), Some(findings)) => {
            let name = escaped(&job.name);
            push(&mut html, &format!("<h1>{name}</h1>"));
            let verdict = findings.verdict.word();
            let headline = escaped(&words::headline(findings));
            push(
                &mut html,
                &format!("<p id=\"mirror-verdict\" data-verdict=\"{verdict}\">{headline}</p>"),
            );
            if session.is_dirty() {
                push(&mut html, "<p>There are changes that are not saved.</p>");
            }
            findings_table(&mut html, findings, units);
            supports_table(&mut html, findings, units);
            loads::carries(&mut html, findings, units);
            pads_table(&mut html, findings, units);
            if let Some(rig) = session.rig() {
                loads::steadies(&mut html, findings, rig, units);
            }
        }
        _ => push(
            &mut html,
            "<p>No job is open. Open a job file or a demo job.</p>",
        ),
    }
    cautions(&mut html);
    html
}

fn messages(html: &mut String, session: &Session) {
    for message in session.messages() {
        let text = sentence(&message.text, session.view().units);
        let (title, text) = (escaped(&message.title), escaped(&text));
        push(
            html,
            &format!("<p role=\"alert\"><strong>{title}</strong> {text}</p>"),
        );
    }
    if let Some(loading) = session.loading_now() {
        let name = escaped(&loading.name);
        push(html, &format!("<p role=\"status\">Opening {name}</p>"));
    }
}

fn findings_table(html: &mut String, findings: &Findings, units: Units) {
    push(
        html,
        "<table id=\"mirror-findings\"><caption>Findings, worst first</caption>",
    );
    push(
        html,
        "<thead><tr><th>Verdict</th><th>What</th><th>Found</th><th>Asked</th><th>In full</th></tr></thead><tbody>",
    );
    for finding in &findings.list {
        let figures = words::figures(finding, units);
        let cell = |text: Option<String>| escaped(&text.unwrap_or_default());
        let advice = words::advice(finding, units).unwrap_or_default();
        let full = format!("{} {advice}", words::says(finding, units));
        let rests: Vec<&str> = finding.rests_on.iter().copied().map(words::basis).collect();
        let rests = if rests.is_empty() {
            String::new()
        } else {
            format!(" Rests on: {}.", rests.join("; "))
        };
        push(
            html,
            &format!(
                "<tr data-finding=\"{}\" data-verdict=\"{}\"><td>{}</td><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}{}</td></tr>",
                escaped(&finding.id),
                finding.verdict.word(),
                finding.verdict.word(),
                escaped(&finding.title),
                cell(figures.found),
                cell(figures.required),
                escaped(full.trim()),
                escaped(&rests),
            ),
        );
    }
    push(html, "</tbody></table>");
}

fn supports_table(html: &mut String, findings: &Findings, units: Units) {
    push(
        html,
        "<table id=\"mirror-supports\"><caption>Beams and blocks: they carry</caption>",
    );
    push(
        html,
        "<thead><tr><th>Beam</th><th>Stack</th><th>Stance needs</th><th>State</th></tr></thead><tbody>",
    );
    for support in &findings.supports {
        let length = |value_m: f64| escaped(&write(Quantity::length(value_m), units));
        let needed = support.needed_height_m.map_or_else(String::new, length);
        push(
            html,
            &format!(
                "<tr><th scope=\"row\">{}</th><td>{}</td><td>{needed}</td><td>{}</td></tr>",
                escaped(&support.name),
                length(support.stack_height_m),
                escaped(&words::support(support, units)),
            ),
        );
    }
    push(html, "</tbody></table>");
}

fn pads_table(html: &mut String, findings: &Findings, units: Units) {
    push(
        html,
        "<table id=\"mirror-pads\"><caption>Pads: they only steady</caption>",
    );
    push(
        html,
        "<thead><tr><th>Pad</th><th>Run out to</th><th>State</th></tr></thead><tbody>",
    );
    for pad in &findings.pads {
        push(
            html,
            &format!(
                "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td></tr>",
                escaped(&pad.name),
                escaped(&write(Quantity::length(pad.reach_m), units)),
                words::pad(pad),
            ),
        );
    }
    push(html, "</tbody></table>");
}

fn cautions(html: &mut String) {
    push(html, "<h2>Cautions</h2><ul>");
    for (title, text) in words::CAUTIONS {
        let (title, text) = (escaped(title), escaped(text));
        push(html, &format!("<li><strong>{title}.</strong> {text}</li>"));
    }
    push(html, "</ul>");
}

fn push(html: &mut String, line: &str) {
    // Writing to a string cannot fail.
    let _ = writeln!(html, "{line}");
}

/// `text` with everything HTML gives a meaning to made harmless.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            _ => safe.push(letter),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_from_files_cannot_become_markup() {
        let wicked = "<img src=x onerror='alert(1)'> & \"more\"";
        let safe = escaped(wicked);
        assert!(!safe.contains(['<', '>', '"', '\'']), "{safe}");
        assert_eq!(safe.matches("&amp;").count(), 1);
    }

    #[test]
    fn without_a_job_it_says_so_and_cautions() {
        let html = mirror_html(&Session::empty());
        assert!(html.contains("No job is open"));
        assert!(html.contains("Never go under a boat"));
    }
}
