//! Which of several figures is taken, and which contradict each other.

use super::{Disagreement, Source};
use keelstead_units::quantity::{Basis, Quantity, Sentence};

/// A figure of one source.
#[derive(Debug, Clone, Copy)]
pub(super) struct Figure {
    pub source: Source,
    pub value: f64,
    /// How far it may be off, either way.
    pub off: f64,
    pub basis: Basis,
}

impl Figure {
    /// Whether somebody measured it, rather than assumed it.
    fn is_found(&self) -> bool {
        matches!(self.basis, Basis::Measured | Basis::Computed)
    }

    fn contradicts(&self, other: &Self) -> bool {
        (self.value - other.value).abs() > self.off + other.off
    }
}

/// The index of the figure taken with its tolerance, and what contradicts what.
pub(super) fn settle(
    what: &str,
    figures: &[Figure],
    quantity: fn(f64) -> Quantity,
) -> (Option<(usize, f64)>, Vec<Disagreement>) {
    let found = figures.iter().any(Figure::is_found);
    let counts = |f: &Figure| f.is_found() == found;
    let pool = || figures.iter().enumerate().filter(|(_, f)| counts(f));
    let opponents = |f: &Figure| {
        let f = *f;
        pool().filter(move |(_, other)| f.contradicts(other))
    };
    let by_width = |a: &(usize, &Figure), b: &(usize, &Figure)| a.1.off.total_cmp(&b.1.off);
    let disputed = pool().filter(|(_, f)| opponents(f).next().is_some());
    let taken = match disputed.max_by(by_width) {
        Some((at, f)) => {
            // To the far end of what the other says.
            let reach = opponents(f).map(|(_, other)| (f.value - other.value).abs() + other.off);
            Some((at, reach.fold(f.off, f64::max)))
        }
        None => pool().min_by(by_width).map(|(at, f)| (at, f.off)),
    };
    let mut told = Vec::new();
    for (i, a) in figures.iter().enumerate() {
        for b in &figures[i + 1..] {
            if a.contradicts(b) {
                told.push(disagreement(what, a, b, figures, taken, quantity));
            }
        }
    }
    (taken, told)
}

fn disagreement(
    what: &str,
    a: &Figure,
    b: &Figure,
    figures: &[Figure],
    taken: Option<(usize, f64)>,
    quantity: fn(f64) -> Quantity,
) -> Disagreement {
    let apart = quantity((a.value - b.value).abs());
    let allowed = quantity(a.off + b.off);
    let place = if what == "mass" { "" } else { " fore and aft" };
    let mut says = Sentence::new(format!("by {} it is", a.source.words()))
        .figure(quantity(a.value))
        .words("\u{b1}")
        .figure(quantity(a.off))
        .words(format!(", by {}", b.source.words()))
        .figure(quantity(b.value))
        .words("\u{b1}")
        .figure(quantity(b.off))
        .words(format!(":{place} the two lie"))
        .figure(apart)
        .words("apart where their tolerances allow")
        .figure(allowed);
    if let Some((at, off)) = taken {
        let kept = &figures[at];
        let words = format!(
            "; kept is {}, taken to be off by up to",
            kept.source.words()
        );
        says = says.words(words).figure(quantity(off));
    }
    Disagreement {
        id: format!("{what}:{}:{}", a.source.key(), b.source.key()),
        between: [a.source, b.source],
        apart,
        allowed,
        says,
    }
}
