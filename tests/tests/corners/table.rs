//! Stated tolerances over what the corners find, a row for each kind of finding.

use std::collections::BTreeMap;
use std::fmt::Write;

use keelstead_units::verdict::Verdict;

use super::claims::kind;
use super::outcome::{Outcome, WIDER, Width};

/// A row a kind of finding, and under it the narrowest and the widest tolerance: how many are narrower than what the
/// corners find and so do not hold, how many wider than is asked, and how many of those decide a verdict, being tight.
pub fn table(outcome: &Outcome) -> String {
    let mut kinds: BTreeMap<String, Vec<&Width>> = BTreeMap::new();
    for width in &outcome.widths {
        kinds.entry(kind(&width.id)).or_default().push(width);
    }
    let mut text = format!(
        "stated tolerance over what the corners find: at least 1 holds, at most {WIDER} is asked\n\n{:<18}{:>7}{:>9}{:>9}{:>9}{:>8}{:>8}{:>8}\n",
        "finding", "figures", "least", "median", "most", "below", "above", "tight"
    );
    for (kind, mut widths) in kinds {
        widths.sort_by(|a, b| a.ratio().total_cmp(&b.ratio()));
        let (first, last) = (widths[0], widths[widths.len() - 1]);
        let below = widths.iter().filter(|w| w.ratio() < 0.995).count();
        let above = || widths.iter().filter(|w| w.ratio() > WIDER);
        let tight = above().filter(|w| w.verdict == Verdict::Tight).count();
        let above = above().count();
        let _ = writeln!(
            text,
            "{kind:<18}{:>7}{:>9.3}{:>9.3}{:>9.3}{below:>8}{above:>8}{tight:>8}",
            widths.len(),
            first.ratio(),
            widths[widths.len() / 2].ratio(),
            last.ratio()
        );
        for (word, width) in [("least", first), ("most", last)] {
            let _ = writeln!(
                text,
                "    {word}: {}, {}: {:.5} stated, {:.5} found at {}",
                width.job, width.id, width.stated, width.found, width.corner
            );
        }
    }
    text
}
