//! Points as text: a line each, x, y and z among its columns.

use super::obj::text;
use crate::error::{FileError, Spot};
use crate::progress::{Progress, step};

/// Lines read between two looks at whether to stop.
const BATCH: usize = 1 << 16;
/// Lines looked at to tell what the file is.
const LOOKED_AT: usize = 30;
/// More columns than this are no points with colour and normal.
const MOST_COLUMNS: usize = 12;

/// What stands between the columns.
#[derive(Clone, Copy, PartialEq)]
enum Between {
    Space,
    Comma,
    Semicolon,
}

/// How a line is read.
struct Layout {
    between: Between,
    /// Numbers are written with a comma: 1,25.
    comma: bool,
    columns: [usize; 3],
}

impl Layout {
    /// By the first line of numbers, and the columns' names if there is such a line.
    fn of(line: &str, named: Option<&str>) -> Self {
        let between = between(line);
        let comma = match between {
            Between::Space | Between::Semicolon => line.contains(','),
            Between::Comma => false,
        };
        let columns = named.and_then(axes).unwrap_or([0, 1, 2]);
        Self {
            between,
            comma,
            columns,
        }
    }

    fn number(&self, word: &str) -> Option<f64> {
        if self.comma && word.contains(',') {
            return word.replacen(',', ".", 1).parse().ok();
        }
        word.parse().ok()
    }

    fn point(&self, line: &str) -> Option<[f64; 3]> {
        let mut point = [None; 3];
        for (index, word) in words(line, self.between).enumerate() {
            if let Some(axis) = self.columns.iter().position(|&column| column == index) {
                point[axis] = Some(self.number(word)?);
            }
        }
        match point {
            [Some(x), Some(y), Some(z)] => Some([x, y, z]),
            _ => None,
        }
    }

    /// How many columns a line has, if all are numbers.
    fn numbers(&self, line: &str) -> Option<usize> {
        let mut count = 0;
        for word in words(line, self.between) {
            self.number(word)?;
            count += 1;
        }
        Some(count)
    }
}

fn between(line: &str) -> Between {
    let spaced = line.split_ascii_whitespace();
    // 1,25 2,5 0,1 has commas inside its words, 1.25, 2.5, 0.1 at their ends.
    let inside = |word: &str| word.contains(',') && !word.ends_with(',') && !word.contains('.');
    if line.contains(';') {
        Between::Semicolon
    } else if line.contains(',') && !(spaced.clone().count() >= 3 && spaced.clone().any(inside)) {
        Between::Comma
    } else {
        Between::Space
    }
}

fn words(line: &str, between: Between) -> impl Iterator<Item = &str> {
    let spaces = line.split_ascii_whitespace();
    let parted = match between {
        Between::Space => None,
        Between::Comma => Some(','),
        Between::Semicolon => Some(';'),
    };
    let spaces = parted.is_none().then_some(spaces);
    let marks = parted.map(|mark| line.trim_end_matches(mark).split(mark).map(str::trim));
    spaces
        .into_iter()
        .flatten()
        .chain(marks.into_iter().flatten())
}

/// The columns called x, y and z.
fn axes(line: &str) -> Option<[usize; 3]> {
    let line = line.trim_start_matches(['#', '/', '%', ' ']);
    let names: Vec<String> = words(line, between(line))
        .map(|word| word.trim_matches('"').to_ascii_lowercase())
        .collect();
    let column = |axis: &str| {
        names.iter().position(|name| {
            name.strip_prefix(axis)
                .is_some_and(|rest| !rest.starts_with(|c: char| c.is_ascii_alphanumeric()))
        })
    };
    Some([column("x")?, column("y")?, column("z")?])
}

fn is_comment(line: &str) -> bool {
    line.starts_with(['#', '%']) || line.starts_with("//")
}

/// A line with nothing but a whole number: some writers put how many points follow.
fn is_count(line: &str) -> bool {
    line.bytes().all(|byte| byte.is_ascii_digit())
}

/// Whether `start`, the beginning of a file, is a list of points: lines of as many numbers each.
pub(super) fn begins(start: &str, whole: bool) -> bool {
    let mut lines: Vec<&str> = start.lines().map(str::trim).collect();
    if !whole {
        lines.pop();
    }
    let mut lines = lines
        .into_iter()
        .filter(|line| !line.is_empty() && !is_comment(line) && !is_count(line))
        .take(LOOKED_AT)
        .peekable();
    let named = lines.next_if(|line| axes(line).is_some());
    let Some(first) = lines.peek() else {
        return false;
    };
    let layout = Layout::of(first, named);
    let columns = layout.numbers(first).unwrap_or(0);
    if !(3..=MOST_COLUMNS).contains(&columns) && named.is_none() {
        return false;
    }
    let mut count = 0;
    for line in lines {
        let alike = match named {
            Some(_) => layout.point(line).is_some(),
            None => layout.numbers(line) == Some(columns),
        };
        if !alike {
            return false;
        }
        count += 1;
    }
    count >= 2 || named.is_some()
}

/// The points of a text file.
pub(super) fn read(
    bytes: &[u8],
    name: &str,
    progress: &dyn Progress,
) -> Result<Vec<[f64; 3]>, FileError> {
    let text = text(bytes, name)?;
    let mut points = Vec::new();
    let mut layout: Option<Layout> = None;
    let mut named = None;
    let mut read = 0;
    for (index, line) in text.lines().enumerate() {
        if index % BATCH == 0 {
            step(progress, read as f64 / text.len() as f64, "points")?;
        }
        read += line.len() + 1;
        let line = line.trim();
        if layout.is_none() && axes(line).is_some() {
            named = Some(line);
            continue;
        }
        if line.is_empty() || is_comment(line) || is_count(line) {
            continue;
        }
        let layout = layout.get_or_insert_with(|| Layout::of(line, named));
        match layout
            .point(line)
            .filter(|p| p.iter().all(|c| c.is_finite()))
        {
            Some(point) => points.push(point),
            None => {
                let shown: String = line.chars().take(60).collect();
                return Err(FileError::fault(
                    name,
                    Spot::Line(index + 1),
                    format!("found \"{shown}\""),
                    "a point: three finite numbers, x, y and z",
                    "Export the points again without those that were not measured",
                ));
            }
        }
    }
    Ok(points)
}
