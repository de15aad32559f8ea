//! Tables that read as sentences where they are no tables: on a phone each row becomes a block, without the heads of its
//! columns.

use super::{escaped, push};
use crate::words::stopped;

/// A table under way. Ended by [`Table::end`].
pub(super) struct Table<'h> {
    html: &'h mut String,
    heads: &'h [&'h str],
    /// Which column names the row.
    names: usize,
}

impl<'h> Table<'h> {
    /// Begins a table whose column `names` names the row. Without heads it has no row of them.
    pub(super) fn begin(
        html: &'h mut String,
        id: &str,
        caption: &str,
        heads: &'h [&'h str],
        names: usize,
    ) -> Self {
        push(
            html,
            &format!("<table id=\"{id}\"><caption>{caption}</caption>"),
        );
        if heads.iter().any(|head| !head.is_empty()) {
            let cells: String = heads
                .iter()
                .map(|head| format!("<th>{head}</th>"))
                .collect();
            push(html, &format!("<thead><tr>{cells}</tr></thead>"));
        }
        push(html, "<tbody>");
        Self { html, heads, names }
    }

    /// Adds a row. What belongs to the place between the cells (the column's head, a full stop) is of class `word`, which a
    /// wide page hides.
    pub(super) fn row(&mut self, attributes: &str, cells: &[&str]) {
        let cells: Vec<String> = self
            .heads
            .iter()
            .zip(cells)
            .enumerate()
            .map(|(at, (head, text))| self.cell(at == self.names, head, text))
            .collect();
        push(
            self.html,
            &format!("<tr{attributes}>{}</tr>", cells.join(" ")),
        );
    }

    fn cell(&self, names: bool, head: &str, text: &str) -> String {
        let word = |words: &str| match words {
            "" => String::new(),
            words => format!("<span class=\"word\">{words}</span>"),
        };
        let (said, whole) = (escaped(text), stopped(text));
        if names {
            // What follows says of what it is, or is the name's figure.
            let led = self.heads.iter().all(|head| head.is_empty());
            let end = if led { ":" } else { &whole[text.len()..] };
            return format!("<th scope=\"row\">{said}{}</th>", word(end));
        }
        if text.is_empty() {
            return "<td></td>".to_owned();
        }
        let head = match head {
            "" => String::new(),
            head => word(&format!("{head}: ")),
        };
        format!("<td>{head}{said}{}</td>", word(&whole[text.len()..]))
    }

    /// Ends it.
    pub(super) fn end(self) {
        push(self.html, "</tbody></table>");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a screen reader has of it where the rows are blocks.
    fn heard(html: &str) -> String {
        let mut text = String::new();
        let mut rest = html;
        while let Some((said, tag)) = rest.split_once('<') {
            text += said;
            rest = tag.split_once('>').map_or("", |(_, after)| after);
        }
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_row_is_heard_as_sentences() {
        let mut html = String::new();
        let mut table = Table::begin(&mut html, "x", "Gaps", &["Verdict", "", "Found"], 1);
        table.row("", &["foul", "Keel to tyre", "83 mm"]);
        table.row("", &["clear", "What of it?", ""]);
        table.end();
        assert_eq!(
            heard(&html),
            "Gaps VerdictFound Verdict: foul. Keel to tyre. Found: 83 mm. Verdict: clear. What of it?"
        );
        let mut html = String::new();
        let mut table = Table::begin(&mut html, "x", "Size", &["", ""], 0);
        table.row("", &["Beam", "2.75 m"]);
        table.end();
        assert!(heard(&html).ends_with("Beam: 2.75 m."), "{html}");
        assert!(!html.contains("thead"));
    }
}
