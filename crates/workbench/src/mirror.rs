//! The session in plain HTML, for screen readers and tests: the same words as the panels.

mod intake;
mod loads;
mod table;

use std::fmt::Write;

use keelstead::findings::{Finding, Findings};
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, sentence, write};

use crate::session::Session;
use crate::words::{self, capital, stopped};
use table::Table;

/// The session as an HTML fragment. All text that comes from files is escaped.
pub fn mirror_html(session: &Session) -> String {
    let mut html = String::new();
    question(&mut html, session);
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
            let headline = escaped(&stopped(&words::headline(findings)));
            push(
                &mut html,
                &format!("<p id=\"mirror-verdict\" data-verdict=\"{verdict}\">{headline}</p>"),
            );
            let size = escaped(&stopped(&words::size::on_the_road(findings, units)));
            push(&mut html, &format!("<p id=\"mirror-size\">{size}</p>"));
            if session.is_dirty() {
                push(&mut html, "<p>There are changes that are not saved.</p>");
            }
            findings_table(&mut html, findings, units);
            supports_table(&mut html, findings, units);
            loads::carries(&mut html, findings, units);
            measured_table(&mut html, findings, units);
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

/// The question that is open and what can be answered, before anything else.
fn question(html: &mut String, session: &Session) {
    let Some(question) = session.question() else {
        return;
    };
    let answers = question.answers.map(|(words, _)| words).join("; ");
    let text = format!("{} {} Answers: {answers}.", question.asks, question.means);
    let text = escaped(&text);
    push(
        html,
        &format!("<p id=\"mirror-question\" role=\"alert\">{text}</p>"),
    );
}

fn messages(html: &mut String, session: &Session) {
    for message in session.messages() {
        let text = sentence(&message.text, session.view().units);
        let (title, text) = (stopped(&message.title), stopped(&text));
        let (title, text) = (escaped(&title), escaped(&text));
        push(
            html,
            &format!("<p role=\"alert\"><strong>{title}</strong> {text}</p>"),
        );
    }
    if let Some(loading) = session.loading_now() {
        let name = escaped(&loading.name);
        push(html, &format!("<p role=\"status\">Opening {name}.</p>"));
    }
}

fn findings_table(html: &mut String, findings: &Findings, units: Units) {
    let heads = ["Verdict", "What", "Found", "Asked", ""];
    let mut table = Table::begin(html, "mirror-findings", "Findings, worst first", &heads, 1);
    for finding in &findings.list {
        let figures = words::figures(finding, units);
        let verdict = finding.verdict.word();
        let attributes = format!(
            " data-finding=\"{}\" data-verdict=\"{verdict}\"",
            escaped(&finding.id)
        );
        table.row(
            &attributes,
            &[
                verdict,
                &finding.title,
                &figures.found.unwrap_or_default(),
                &figures.required.unwrap_or_default(),
                &in_full(finding, units),
            ],
        );
    }
    table.end();
}

/// What was found, what to do about it and what it rests on, as sentences.
fn in_full(finding: &Finding, units: Units) -> String {
    let rests: Vec<&str> = finding.rests_on.iter().copied().map(words::basis).collect();
    let rests = (!rests.is_empty()).then(|| format!("Rests on: {}", rests.join("; ")));
    let says = Some(words::says(finding, units));
    let sentences = [says, words::advice(finding, units), rests];
    let sentences = sentences.into_iter().flatten().map(|says| stopped(&says));
    sentences.collect::<Vec<_>>().join(" ")
}

fn supports_table(html: &mut String, findings: &Findings, units: Units) {
    let caption = "Beams and blocks: they carry";
    let heads = ["Beam", "Stack", "Stance needs", "State"];
    let mut table = Table::begin(html, "mirror-supports", caption, &heads, 0);
    let length = |value_m: f64| write(Quantity::length(value_m), units);
    for support in &findings.supports {
        table.row(
            "",
            &[
                &capital(&support.name),
                &length(support.stack_height_m),
                &support.needed_height_m.map_or_else(String::new, length),
                &words::support(support, units),
            ],
        );
    }
    table.end();
}

/// What was measured after set-down; nothing where nothing was.
fn measured_table(html: &mut String, findings: &Findings, units: Units) {
    if findings.measured.is_empty() {
        return;
    }
    let heads = ["What", "Measured", "Beside it", "State"];
    let caption = "Measured after set-down";
    let mut table = Table::begin(html, "mirror-measured", caption, &heads, 0);
    for compared in &findings.measured {
        let cells = words::measured::row(compared, units);
        let verdict = compared.verdict.word();
        let attributes = format!(" data-verdict=\"{verdict}\"");
        table.row(&attributes, &cells.each_ref().map(String::as_str));
    }
    table.end();
}

fn pads_table(html: &mut String, findings: &Findings, units: Units) {
    let heads = ["Pad", "Run out to", "State"];
    let mut table = Table::begin(html, "mirror-pads", "Pads: they only steady", &heads, 0);
    for pad in &findings.pads {
        let reach = write(Quantity::length(pad.reach_m), units);
        table.row("", &[&capital(&pad.name), &reach, words::pad(pad)]);
    }
    table.end();
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
