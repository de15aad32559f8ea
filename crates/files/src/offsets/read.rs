//! Reading a table strictly.

use keelstead_units::quantity::Sentence;

use super::cell::Written;
use super::first::{Corner, corner, is_comment};
use super::{MOST_LINES, OffsetLine, OffsetTable};
use crate::error::{FileError, Spot};

const LAYOUT: &str = "DEVELOPERS.md and the documentation of crate::offsets show the layout";
const LINES: &str = "station, profile height, rabbet height, rabbet half-breadth, buttock …, waterline …, sheer \
                     height, sheer half-breadth, stem x, stem height, stern x, stern height, \
                     transom x, transom height or transom half-breadth";

/// A line of the file that is no comment: where it stands, and its cells.
struct Row {
    line: usize,
    cells: Vec<String>,
}

pub(super) fn read(bytes: &[u8], name: &str) -> Result<OffsetTable, FileError> {
    let text = crate::mesh_file::text(bytes, name)?;
    let text = text.trim_start_matches('\u{feff}');
    let reader = Reader { name };
    let mut lines = text
        .lines()
        .filter(|line| !line.trim().is_empty() && !is_comment(line));
    let first = lines.next().unwrap_or_default();
    // A comma splits cells unless a semicolon or a tab does: then it may be a decimal comma.
    let delimiter = [';', '\t']
        .into_iter()
        .find(|&d| first.contains(d))
        .unwrap_or(',');
    let rows = reader.rows(text, delimiter)?;
    let decimal_comma = delimiter != ',';
    let Some(head) = rows.first() else {
        return Err(reader.fault(0, "nothing but comments", "a table of offsets", LAYOUT));
    };
    let table = match corner(&head.cells[0]) {
        Some(corner) => reader.compact(corner, &rows, decimal_comma),
        None => reader.named(&rows, decimal_comma),
    }?;
    reader.whole(table)
}

pub(super) struct Reader<'n> {
    name: &'n str,
}

impl Reader<'_> {
    pub(super) fn fault(
        &self,
        line: usize,
        found: impl Into<Sentence>,
        expected: &str,
        advice: &str,
    ) -> FileError {
        let spot = if line == 0 {
            Spot::Whole
        } else {
            Spot::Line(line)
        };
        FileError::fault(self.name, spot, found, expected, advice)
    }

    fn rows(&self, text: &str, delimiter: char) -> Result<Vec<Row>, FileError> {
        let mut csv = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter as u8)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut rows = Vec::new();
        for record in csv.records() {
            let record = record.map_err(|error| {
                let line = error.position().map_or(0, |p| p.line() as usize);
                self.fault(
                    line,
                    error.to_string(),
                    "lines of cells",
                    "Save the table as CSV again",
                )
            })?;
            let line = record.position().map_or(0, |p| line_at(text, p));
            let cells: Vec<String> = record.iter().map(str::to_owned).collect();
            if is_comment(&cells[0]) || cells.iter().all(String::is_empty) {
                continue;
            }
            if rows.len() > 2 * MOST_LINES || cells.len() > MOST_LINES + 1 {
                return Err(self.fault(
                    line,
                    "more lines or columns than a table of offsets has",
                    &format!("at most {MOST_LINES} of each"),
                    "Check that this is the right file",
                ));
            }
            rows.push(Row { line, cells });
        }
        Ok(rows)
    }

    /// The figures of a line behind its first cell, as many as there are stations.
    fn figures(
        &self,
        row: &Row,
        count: usize,
        written: Written,
        decimal_comma: bool,
    ) -> Result<Vec<Option<f64>>, FileError> {
        let cells = &row.cells[1..];
        if let Some(extra) = cells.iter().skip(count).find(|cell| !cell.is_empty()) {
            return Err(self.fault(
                row.line,
                format!("\"{}\" stands behind the last column", short(extra)),
                &format!("{count} figures"),
                "Remove it, or add its station",
            ));
        }
        // A cell that is missing in the middle would move all behind it to the next station, and looks the same as one
        // missing at the end.
        if cells.len() < count {
            return Err(self.fault(
                row.line,
                format!("{} cells behind the first", cells.len()),
                &format!("{count}, one for each column"),
                "Write a blank as an empty cell, also at the end of the line",
            ));
        }
        let mut values = vec![None; count];
        for (column, cell) in cells
            .iter()
            .take(count)
            .enumerate()
            .filter(|(_, c)| !c.is_empty())
        {
            let value = written.parse(cell, decimal_comma);
            values[column] = Some(value.ok_or_else(|| {
                let found = format!("\"{}\" in column {}", short(cell), column + 2);
                self.fault(row.line, found, written.expected(), "Correct the cell")
            })?);
        }
        Ok(values)
    }

    /// A line in which no cell may be empty.
    fn full(
        &self,
        row: &Row,
        written: Written,
        decimal_comma: bool,
    ) -> Result<Vec<f64>, FileError> {
        let count = row
            .cells
            .iter()
            .rposition(|cell| !cell.is_empty())
            .unwrap_or(0);
        let values = self.figures(row, count, written, decimal_comma)?;
        values
            .iter()
            .copied()
            .collect::<Option<Vec<f64>>>()
            .ok_or_else(|| {
                let column = values.iter().position(Option::is_none).unwrap_or(0) + 2;
                self.fault(
                    row.line,
                    format!("column {column} is empty"),
                    "a figure in every column of this line",
                    "Fill it in, or leave the whole column out",
                )
            })
    }

    fn rising(&self, line: usize, values: &[f64], what: &str) -> Result<(), FileError> {
        match values.windows(2).find(|pair| pair[1] <= pair[0]) {
            None => Ok(()),
            Some(pair) => Err(self.fault(
                line,
                format!("{} stands behind {}", pair[1], pair[0]),
                &format!("{what} in rising order, no two equal"),
                "Put them in order; if the table counts from the bow, take each from the length over all",
            )),
        }
    }

    fn compact(
        &self,
        corner: Corner,
        rows: &[Row],
        decimal_comma: bool,
    ) -> Result<OffsetTable, FileError> {
        let across = self.full(&rows[0], corner.written, decimal_comma)?;
        self.rising(rows[0].line, &across, "the figures of the first line")?;
        let mut down = Vec::with_capacity(rows.len());
        let mut grid = Vec::with_capacity(rows.len());
        for row in &rows[1..] {
            let at = corner
                .written
                .parse(&row.cells[0], decimal_comma)
                .ok_or_else(|| {
                    let found = format!("\"{}\" in column 1", short(&row.cells[0]));
                    self.fault(row.line, found, "a figure", "Correct the cell")
                })?;
            if let Some(last) = down.last() {
                self.rising(row.line, &[*last, at], "the figures of the first column")?;
            }
            down.push(at);
            grid.push(self.figures(row, across.len(), corner.written, decimal_comma)?);
        }
        let (lines_at, stations, lines) = if corner.axes[1] == 'x' {
            (down, across, grid)
        } else {
            let turned = (0..across.len()).map(|c| grid.iter().map(|line| line[c]).collect());
            let turned = turned.collect();
            (across, down, turned)
        };
        let lines = lines_at
            .into_iter()
            .zip(lines)
            .map(|(at, values)| OffsetLine { at, values })
            .collect();
        let mut table = blank(corner.written, rows, decimal_comma);
        table.stations = stations;
        if corner.axes.contains(&'z') {
            table.waterlines = lines;
        } else {
            table.buttocks = lines;
        }
        Ok(table)
    }

    fn named(&self, rows: &[Row], decimal_comma: bool) -> Result<OffsetTable, FileError> {
        let head = &rows[0];
        let word = head.cells.get(1).map_or("", String::as_str);
        let written = Some(word)
            .filter(|_| head.cells[0].eq_ignore_ascii_case("offsets"))
            .and_then(Written::from_word)
            .ok_or_else(|| {
                self.fault(
                    head.line,
                    format!("found \"{},{}\"", short(&head.cells[0]), short(word)),
                    "offsets and the unit: metre, millimetre, centimetre, inch, foot or feet-inches-eighths",
                    LAYOUT,
                )
            })?;
        let mut table = blank(written, rows, decimal_comma);
        let mut stem = [Vec::new(), Vec::new()];
        let mut stern = [Vec::new(), Vec::new()];
        let mut transom = [Vec::new(), Vec::new()];
        for row in &rows[1..] {
            let title = row.cells[0].to_ascii_lowercase();
            let mut words = title.split_ascii_whitespace();
            let key = (words.next().unwrap_or(""), words.next(), words.next());
            if table.stations.is_empty() && key.0 != "station" {
                return Err(self.fault(
                    row.line,
                    format!("\"{}\" before the stations", short(&row.cells[0])),
                    "the line \"station\" first",
                    "Put the line with the stations second in the file",
                ));
            }
            let count = table.stations.len();
            let values = || self.figures(row, count, written, decimal_comma);
            let slot = match key {
                ("station", None, None) => {
                    let stations = self.full(row, written, decimal_comma)?;
                    self.rising(row.line, &stations, "stations")?;
                    self.once(row, &table.stations)?;
                    table.stations = stations;
                    continue;
                }
                ("waterline" | "buttock", Some(at), None) => {
                    let at = written.parse(at, decimal_comma).ok_or_else(|| {
                        let found = format!("\"{}\" for its place", short(at));
                        self.fault(
                            row.line,
                            found,
                            written.expected(),
                            "Correct the first cell",
                        )
                    })?;
                    let lines = if key.0 == "waterline" {
                        &mut table.waterlines
                    } else {
                        &mut table.buttocks
                    };
                    lines.push(OffsetLine {
                        at,
                        values: values()?,
                    });
                    continue;
                }
                ("stem" | "stern" | "transom", Some("x" | "height"), None) => {
                    let line = match key.0 {
                        "stem" => &mut stem,
                        "stern" => &mut stern,
                        _ => &mut transom,
                    };
                    let line = &mut line[usize::from(key.1 == Some("x"))];
                    self.once(row, line)?;
                    *line = self.full(row, written, decimal_comma)?;
                    continue;
                }
                ("transom", Some("half-breadth"), None) => {
                    self.once(row, &table.transom_half_breadths)?;
                    table.transom_half_breadths = self.full(row, written, decimal_comma)?;
                    continue;
                }
                ("profile", Some("height"), None) => &mut table.profile_heights,
                ("rabbet", Some("height"), None) => &mut table.rabbet_heights,
                ("rabbet", Some("half-breadth"), None) => &mut table.rabbet_half_breadths,
                ("sheer", Some("height"), None) => &mut table.sheer_heights,
                ("sheer", Some("half-breadth"), None) => &mut table.sheer_half_breadths,
                _ => {
                    let found = format!("unknown line \"{}\"", short(&row.cells[0]));
                    return Err(self.fault(row.line, found, LINES, LAYOUT));
                }
            };
            self.once(row, slot)?;
            *slot = values()?;
        }
        table.stem = self.profile("stem", stem)?;
        table.stern = self.profile("stern", stern)?;
        table.transom = self.profile("transom", transom)?;
        Ok(table)
    }

    fn once<T>(&self, row: &Row, slot: &[T]) -> Result<(), FileError> {
        if slot.is_empty() {
            return Ok(());
        }
        let found = format!("a second line \"{}\"", short(&row.cells[0]));
        Err(self.fault(row.line, found, "each line once", "Keep one of the two"))
    }

    /// Heights and places of a stem or stern, as points.
    fn profile(
        &self,
        what: &str,
        [heights, places]: [Vec<f64>; 2],
    ) -> Result<Vec<[f64; 2]>, FileError> {
        if heights.len() != places.len() {
            return Err(self.fault(
                0,
                format!(
                    "{what} x has {} figures, {what} height {}",
                    places.len(),
                    heights.len()
                ),
                "one place for each height",
                "Complete the shorter line",
            ));
        }
        self.rising(0, &heights, &format!("heights of the {what}"))?;
        Ok(heights
            .into_iter()
            .zip(places)
            .map(|(z, x)| [z, x])
            .collect())
    }
}

fn blank(written: Written, rows: &[Row], decimal_comma: bool) -> OffsetTable {
    let cells = rows.iter().flat_map(|row| &row.cells);
    let places = cells.filter_map(|cell| written.last_place(cell, decimal_comma));
    OffsetTable {
        unit: written.unit(),
        stations: Vec::new(),
        waterlines: Vec::new(),
        buttocks: Vec::new(),
        profile_heights: Vec::new(),
        rabbet_heights: Vec::new(),
        rabbet_half_breadths: Vec::new(),
        sheer_heights: Vec::new(),
        sheer_half_breadths: Vec::new(),
        stem: Vec::new(),
        stern: Vec::new(),
        transom: Vec::new(),
        transom_half_breadths: Vec::new(),
        last_place: places.reduce(f64::min).unwrap_or(0.0),
    }
}

/// The line on which a record stands: the reader counts from before the blank lines it skips.
fn line_at(text: &str, start: &csv::Position) -> usize {
    let rest = text
        .as_bytes()
        .get(start.byte() as usize..)
        .unwrap_or_default();
    let blank = rest.iter().take_while(|b| matches!(b, b'\n' | b'\r'));
    start.line() as usize + blank.filter(|b| **b == b'\n').count()
}

fn short(cell: &str) -> String {
    cell.chars().take(30).collect()
}
