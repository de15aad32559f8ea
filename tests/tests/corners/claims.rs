//! What a finding claims: about what, and how much more there is than asked.

use keelstead::findings::Finding;
use keelstead_units::quantity::{Quantity, Span};

/// What a finding is about, for the table and the work list: the id without whom it is about.
pub fn kind(id: &str) -> String {
    let mut words = id.split(':');
    let first = words.next().unwrap_or_default();
    match (first, words.next()) {
        ("strength" | "steady" | "size" | "weight" | "balance" | "lifting" | "carry", Some(of))
            if !of.starts_with(|c: char| c.is_ascii_digit()) =>
        {
            format!("{first}:{of}")
        }
        _ => first.to_owned(),
    }
}

/// Whether a question is put to the corners at all.
///
/// Left out: a wish about the stance, which is judged for the documents as drawn; contradictions between documents; what
/// the sources of a weight say of each other; and slings, whose marks are no measurement of how the boat stands.
pub fn asked_of_corners(id: &str) -> bool {
    let kind = kind(id);
    !["stance", "input", "weighed", "lifting", "use", "taped"].contains(&kind.as_str())
}

/// The question a finding answers. Of gaps only the worst of each rig part is told while it is clear, so that the rig
/// part is what was asked about.
pub fn question(id: &str) -> String {
    match id
        .strip_prefix("gap:")
        .and_then(|rest| rest.split_once(':'))
    {
        Some((_, rig_part)) => format!("gap to {rig_part}"),
        None => id.to_owned(),
    }
}

/// How much more there is than asked, in the finding's unit; negative where it is foul. None where no figures stand.
pub fn spare(finding: &Finding) -> Option<f64> {
    let (found, asked) = (finding.found?.value, finding.required?.value);
    let less_is_better = [
        "strength",
        "size",
        "weight",
        "keel",
        "steady:pad",
        "steady:rest",
    ];
    let less = less_is_better.iter().any(|of| finding.id.starts_with(of));
    Some(if less { asked - found } else { found - asked })
}

/// Whether a tight finding is tight for its tolerance, and not by a rule.
pub fn tight_by_tolerance(finding: &Finding) -> bool {
    let by_figures = spare(finding)
        .zip(finding.tolerance)
        .is_some_and(|(spare, tolerance)| {
            spare >= 0.0 && tolerance.value > 0.0 && spare - tolerance.value < 0.0
        });
    let by_words = ["share", "support", "keep-off"].contains(&kind(&finding.id).as_str());
    by_figures || by_words
}

/// Verdict, sentence and figures of a finding.
pub fn told(finding: &Finding) -> String {
    let spans = finding.says.0.iter().map(|span| match span {
        Span::Words(words) => words.clone(),
        Span::Figure(figure) => format!("{:.4}", figure.value),
    });
    let says: String = spans.collect();
    let mut told = format!("{}: {says}", finding.verdict.word());
    let figure = |q: Option<Quantity>| q.map_or("-".to_owned(), |q| format!("{:.4}", q.value));
    told.push_str(&format!(
        " (found {}, asked {}, tolerance {})",
        figure(finding.found),
        figure(finding.required),
        figure(finding.tolerance)
    ));
    told
}
