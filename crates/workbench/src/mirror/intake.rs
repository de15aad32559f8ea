//! A hull being brought in, in HTML.

use super::{escaped, push};
use crate::intake::{Intake, rows};
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
        let trouble = escaped(trouble);
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
    let tolerance = escaped(&shape_tolerance(&stood.opened.hull, units));
    push(html, &format!("<p id=\"mirror-tolerance\">{tolerance}</p>"));
    push(
        html,
        "<table id=\"mirror-proposals\"><caption>What the file was taken for, questions first</caption>\
         <thead><tr><th>What</th><th>Taken as</th><th>Why</th></tr></thead><tbody>",
    );
    for one in rows(stood, &intake.draft().answers) {
        let value = one.value.unwrap_or_else(|| "Please answer".into());
        row(html, one.title, &[&value, &one.because]);
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
    list(html, "What was changed", &stood.changed);
    list(html, "What could not be told or put right", &stood.left);
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
