//! What must hold of a table as a whole.

use super::OffsetTable;
use super::read::Reader;
use crate::error::FileError;

impl Reader<'_> {
    /// What must hold of a table as a whole.
    pub(super) fn whole(&self, mut table: OffsetTable) -> Result<OffsetTable, FileError> {
        let whole = |found: String, expected: &str, advice: &str| {
            Err(self.fault(0, found, expected, advice))
        };
        let count = table.stations.len();
        if count < 3 {
            return whole(
                format!("{count} stations"),
                "at least three",
                "Add stations to the table",
            );
        }
        for (what, lines) in [
            ("waterline", &mut table.waterlines),
            ("buttock", &mut table.buttocks),
        ] {
            lines.sort_by(|a, b| a.at.total_cmp(&b.at));
            if let Some(pair) = lines.windows(2).find(|pair| pair[0].at == pair[1].at) {
                let found = format!("two lines \"{what}\" at {}", pair[0].at);
                return whole(found, "each line once", "Keep one of the two");
            }
        }
        for (what, heights, breadths) in [
            ("rabbet", &table.rabbet_heights, &table.rabbet_half_breadths),
            ("sheer", &table.sheer_heights, &table.sheer_half_breadths),
        ] {
            if heights.is_empty() != breadths.is_empty() {
                let found = format!("only one line of the {what}");
                return whole(
                    found,
                    "its height and its half-breadth",
                    "Add the other line",
                );
            }
        }
        let sheer = table.sheer_heights.iter().zip(&table.sheer_half_breadths);
        if let Some((x, (height, _))) = (table.stations.iter().zip(sheer))
            .find(|(_, (height, breadth))| height.is_some() != breadth.is_some())
        {
            let found = match height {
                Some(_) => format!("the sheer at station {x} has a height and no half-breadth"),
                None => format!("the sheer at station {x} has a half-breadth and no height"),
            };
            return whole(found, "both or neither", "Fill in the empty cell");
        }
        let [first, last] = [table.stations[0], table.stations[count - 1]];
        if let Some([_, x]) = table.stem.iter().find(|[_, x]| *x < last) {
            let found = format!("the stem at {x}, abaft the last station at {last}");
            return whole(
                found,
                "a stem forward of it",
                "Leave out the stations forward of the stem's foot",
            );
        }
        if let Some([_, x]) = table.stern.iter().find(|[_, x]| *x > first) {
            let found = format!("the stern at {x}, forward of the first station at {first}");
            return whole(found, "a stern abaft it", "Leave out the stations abaft it");
        }
        self.transom(&table, first)?;
        Ok(table)
    }

    /// What must hold of a raked transom.
    fn transom(&self, table: &OffsetTable, first: f64) -> Result<(), FileError> {
        let wrong = |found: String, expected: &str, advice: &str| {
            Err(self.fault(0, found, expected, advice))
        };
        let (profile, breadths) = (&table.transom, &table.transom_half_breadths);
        if !breadths.is_empty() && breadths.len() != profile.len() {
            return wrong(
                format!(
                    "transom half-breadth has {} figures, transom height {}",
                    breadths.len(),
                    profile.len()
                ),
                "one half-breadth for each height",
                "Complete the shorter line",
            );
        }
        if let Some(y) = breadths.iter().find(|y| **y < 0.0) {
            return wrong(
                format!("a half-breadth of the transom of {y}"),
                "half-breadths off the centreline, not negative",
                "Correct the cell",
            );
        }
        if profile.is_empty() {
            return Ok(());
        }
        if !table.stern.is_empty() {
            return wrong(
                "both a stern and a transom".into(),
                "one of the two",
                "Give the stern for a pointed end, the transom for a flat one",
            );
        }
        if let [_] = profile[..] {
            return wrong(
                "one height of the transom".into(),
                "its foot and its top at least",
                "Add the other end",
            );
        }
        match profile.iter().find(|[_, x]| *x > first) {
            Some([_, x]) => wrong(
                format!("the transom at {x}, forward of the first station at {first}"),
                "a transom abaft it",
                "Leave out the stations abaft the transom's foremost place",
            ),
            None => Ok(()),
        }
    }
}
