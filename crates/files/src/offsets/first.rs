//! How a table begins: comments, the word `offsets`, or a corner cell.

use super::cell::Written;

/// What a compact table's corner cell says of lines and columns.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct Corner {
    /// Axis of the first column, and of the first line.
    pub axes: [char; 2],
    /// How its figures are written.
    pub written: Written,
}

/// The corner cell of a compact table, if this is one.
pub(super) fn corner(cell: &str) -> Option<Corner> {
    let (down, across) = cell.trim().split_once('\\')?;
    let axis = |text: &str| {
        let (axis, ending) = text.trim().split_once('_')?;
        let mut letters = axis.chars();
        Some((
            letters.next().filter(|_| letters.next().is_none())?,
            Written::from_ending(ending)?,
        ))
    };
    let ((a, written), (b, other)) = (axis(down)?, axis(across)?);
    let known = matches!((a, b), ('z' | 'y', 'x') | ('x', 'z' | 'y'));
    (known && written == other).then_some(Corner {
        axes: [a, b],
        written,
    })
}

fn first_cell(line: &str) -> &str {
    let cell = line.split([',', ';', '\t']).next().unwrap_or_default();
    cell.trim().trim_matches('"').trim()
}

/// Whether a line is a comment.
pub(super) fn is_comment(line: &str) -> bool {
    line.trim_start()
        .trim_start_matches('"')
        .trim_start()
        .starts_with('#')
}

/// Whether text begins as a table does.
pub(super) fn begins(text: &str) -> bool {
    let mut lines = text
        .lines()
        .filter(|line| !line.trim().is_empty() && !is_comment(line));
    let Some(first) = lines.next() else {
        return false;
    };
    let cell = first_cell(first);
    cell.eq_ignore_ascii_case("offsets") || corner(cell).is_some()
}
