//! Colour, where the terminal shows it; words and signs say the same without.

use anstyle::{AnsiColor, Style};
use keelstead_units::verdict::Verdict;

/// Sign and word of a verdict, plain: "✗ FOUL".
pub(crate) fn verdict(verdict: Verdict) -> String {
    let sign = match verdict {
        Verdict::Foul => '✗',
        Verdict::Unknown => '?',
        Verdict::Pending => '\u{2026}',
        Verdict::Tight => '!',
        Verdict::Clear => '✓',
    };
    format!("{sign} {}", verdict.word().to_uppercase())
}

/// The text with every verdict in it coloured. Done last, so that no column is measured with
/// colour codes in it.
pub(crate) fn colour_verdicts(text: &str) -> String {
    let mut text = text.to_owned();
    for (one, colour) in [
        (Verdict::Foul, AnsiColor::Red),
        (Verdict::Unknown, AnsiColor::Magenta),
        (Verdict::Tight, AnsiColor::Yellow),
        (Verdict::Clear, AnsiColor::Green),
    ] {
        let plain = verdict(one);
        let style = colour.on_default().bold();
        text = text.replace(&plain, &painted(style, &plain));
    }
    text
}

/// In the colour of what is wrong.
pub(crate) fn foul(text: &str) -> String {
    painted(AnsiColor::Red.on_default().bold(), text)
}

/// A heading.
pub(crate) fn heading(text: &str) -> String {
    painted(Style::new().bold(), text)
}

fn painted(style: Style, text: &str) -> String {
    format!("{style}{text}{style:#}")
}
