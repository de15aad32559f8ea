//! What was measured after set-down, in words.

use keelstead::findings::{Compared, Findings};
use keelstead_units::verdict::Verdict;
use keelstead_units::{Units, sentence};

use super::capital;

/// What measuring is good for, and when.
pub const WHY: &str = "Once she is down and before she moves, measure how high bow and stern stand, a gap that matters, \
    and look which stacks bear. She is then shown as she really stands, and figures are as sure as the tape. Any change of \
    stand, stacks, weights or suspension takes the measurements away.";

/// Nothing was measured.
pub const NOTHING: &str = "Nothing was measured after set-down.";

/// What one measurement says: its name, what was measured, what was worked out, what of it.
pub fn row(compared: &Compared, units: Units) -> [String; 4] {
    [
        capital(&compared.name),
        capital(&sentence(&compared.measured, units)),
        capital(&sentence(&compared.says, units)),
        verdict(compared.verdict).to_owned(),
    ]
}

/// Whether both may be right.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Foul => "Contradicts",
        Verdict::Unknown | Verdict::Pending => "Not compared",
        Verdict::Tight | Verdict::Clear => "Fits",
    }
}

/// Parts between which a gap may be measured: those of the findings, in their order, as a reader would call the pair.
pub(crate) fn pairs(findings: &Findings) -> impl Iterator<Item = (&str, &str)> {
    let gaps = findings.list.iter();
    gaps.filter_map(|finding| finding.id.strip_prefix("gap:"))
        .filter_map(|pair| {
            // A part's name may hold a colon: the trailer's part is told by its own.
            let mut parts = findings.rig_parts.iter();
            let part = parts.find(|part| {
                let before = pair.strip_suffix(part.name.as_str());
                before.is_some_and(|before| before.ends_with(':'))
            })?;
            let hull = pair.strip_suffix(part.name.as_str())?.strip_suffix(':')?;
            Some((hull, part.name.as_str()))
        })
}
