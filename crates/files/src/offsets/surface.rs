//! From sections to a closed surface.

use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::weld;
use keelstead_units::quantity::Sentence;

use super::curve::Curve;
use super::section::{Section, heights};
use super::{OffsetSurface, OffsetTable, miss};

/// Pieces the height is cut into, at least.
const ROWS: usize = 96;
/// Columns wanted in all, and most between two stations.
const COLUMNS: usize = 240;
const MOST_BETWEEN: usize = 12;
/// Columns from an end station to its stem or stern.
const END_COLUMNS: usize = 12;

/// The surface through the sections of a table.
pub(super) fn through(
    table: &OffsetTable,
    sections: &[Section],
    notices: Vec<Sentence>,
) -> OffsetSurface {
    let mut notices = notices;
    if !table.transom.is_empty() && table.transom_half_breadths.is_empty() {
        notices.push(
            "the table does not say how wide the raked transom is: waterlines were run on straight to it; give the line \
             \"transom half-breadth\""
                .into(),
        );
    }
    let (positions, triangles) = lofted(table, &table.stations, sections);
    let tolerance = miss::tolerance(table, sections, &positions);
    notices.push(
        Sentence::new("a surface was lofted through the table; the hull may be")
            .length(tolerance * table.unit.metres())
            .words(
                "from it between the offsets and by their last place, estimated from what the loft misses without \
                 every second station and line",
            ),
    );
    OffsetSurface {
        positions,
        triangles,
        tolerance,
        notices,
    }
}

/// Vertices and triangles of the surface through sections at stations, which may be fewer than the table's.
pub(super) fn lofted(
    table: &OffsetTable,
    stations: &[f64],
    sections: &[Section],
) -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
    let loft = Loft::new(table, stations, sections);
    let grid: Vec<Vec<Vec3>> = loft.columns().map(|column| loft.column(column)).collect();
    skin(&grid)
}

/// A line of points from bottom to deck.
#[derive(Clone, Copy)]
enum Column {
    /// At a place between first and last station.
    At(f64),
    /// This part of the way from the last station to the stem.
    Stem(f64),
    /// This part of the way from the first station to the stern or a raked transom.
    Stern(f64),
}

struct Loft<'t> {
    table: &'t OffsetTable,
    stations: &'t [f64],
    sections: &'t [Section],
    /// Height of the bottom, and of the deck's edge, along the stations.
    bottom: Curve,
    deck: Curve,
    stem: Option<Curve>,
    /// The pointed stern, or the transom.
    stern: Option<Curve>,
    /// Half-breadth of a raked transom over height, where the table gives it.
    transom: Option<Curve>,
    levels: Vec<f64>,
    /// The waterline at each level.
    waterlines: Vec<Curve>,
}

impl<'t> Loft<'t> {
    fn new(table: &'t OffsetTable, stations: &'t [f64], sections: &'t [Section]) -> Self {
        let along = |end: usize| {
            let points = stations.iter().zip(sections);
            Curve::through(points.map(|(&x, s)| [x, s.ends()[end]]).collect())
        };
        let profile =
            |points: &[[f64; 2]]| (!points.is_empty()).then(|| Curve::through(points.to_vec()));
        let mut loft = Self {
            table,
            stations,
            sections,
            bottom: along(0),
            deck: along(1),
            stem: profile(&table.stem),
            stern: profile(&table.stern).or_else(|| profile(&table.transom)),
            transom: (!table.transom_half_breadths.is_empty()).then(|| {
                let places = table.transom.iter().zip(&table.transom_half_breadths);
                Curve::through(places.map(|([z, _], y)| [*z, *y]).collect())
            }),
            levels: levels(table),
            waterlines: Vec::new(),
        };
        loft.waterlines = loft.levels.iter().map(|&z| loft.waterline(z)).collect();
        loft
    }

    /// Half-breadth along the hull at a height; a section that does not reach it keeps its end's.
    fn waterline(&self, z: f64) -> Curve {
        let stations = self.stations.iter().zip(self.sections);
        let mut points: Vec<[f64; 2]> = stations.map(|(&x, section)| [x, section.at(z)]).collect();
        let [first, last] = [points[0][0], points[points.len() - 1][0]];
        if let Some(x) = self
            .stem
            .as_ref()
            .map(|stem| stem.at(z))
            .filter(|&x| x > last)
        {
            points.push([x, 0.0]);
        }
        if let Some(x) = self
            .stern
            .as_ref()
            .map(|stern| stern.at(z))
            .filter(|&x| x < first)
        {
            let y = self.end_half_breadth(z, x, &points);
            points.insert(0, [x, y]);
        }
        Curve::through(points)
    }

    /// Half-breadth at the aft end: none of a pointed stern; of a transom what the table says, else the waterline run
    /// on straight.
    fn end_half_breadth(&self, z: f64, x: f64, points: &[[f64; 2]]) -> f64 {
        if self.table.transom.is_empty() {
            return 0.0;
        }
        if let Some(transom) = &self.transom {
            return transom.at(z);
        }
        let ([x0, y0], [x1, y1]) = (points[0], points[1]);
        (y0 + (x - x0) * (y1 - y0) / (x1 - x0)).max(0.0)
    }

    fn columns(&self) -> impl Iterator<Item = Column> {
        let stations = self.stations;
        let between = (COLUMNS / (stations.len() - 1)).clamp(1, MOST_BETWEEN);
        let inner = stations.windows(2).flat_map(move |pair| {
            let part = move |i| pair[0] + (pair[1] - pair[0]) * i as f64 / between as f64;
            (0..between).map(move |i| Column::At(part(i)))
        });
        let parts = || (1..=END_COLUMNS).map(|i| i as f64 / END_COLUMNS as f64);
        let aft = self
            .stern
            .iter()
            .flat_map(move |_| parts().rev().map(Column::Stern));
        let fore = self
            .stem
            .iter()
            .flat_map(move |_| parts().map(Column::Stem));
        let last = Column::At(stations[stations.len() - 1]);
        aft.chain(inner).chain([last]).chain(fore)
    }

    fn column(&self, column: Column) -> Vec<Vec3> {
        let (from, mut low, mut high) = match column {
            Column::At(x) => (x, self.bottom.at(x), self.deck.at(x)),
            Column::Stem(_) | Column::Stern(_) => {
                let stations = self.stations;
                let x = match column {
                    Column::Stem(_) => stations[stations.len() - 1],
                    _ => stations[0],
                };
                (x, self.bottom.at(x), self.deck.at(x))
            }
        };
        let end = match column {
            Column::At(_) => None,
            Column::Stem(part) => self.stem.as_ref().map(|curve| (curve, part)),
            Column::Stern(part) => self.stern.as_ref().map(|curve| (curve, part)),
        };
        if let Some((curve, part)) = end {
            // The deck runs on to the top of the stem.
            high += part * (curve.ends()[1] - high).max(low - high);
            if matches!(column, Column::Stern(_)) && !self.table.transom.is_empty() {
                // And the bottom to the transom's foot.
                low += part * (curve.ends()[0] - low).min(high - low);
            }
        }
        let levels = self.levels.iter().zip(&self.waterlines);
        levels
            .map(|(&level, waterline)| {
                let z = level.clamp(low, high.max(low));
                let x = end.map_or(from, |(curve, part)| from + part * (curve.at(z) - from));
                // Where the stem is reached the hull is on the centreline, whatever is rounded.
                let pointed = matches!(column, Column::Stem(_)) || self.table.transom.is_empty();
                let reached = pointed && end.is_some_and(|(_, part)| part == 1.0);
                let y = if reached {
                    0.0
                } else if z == level {
                    waterline.at(x)
                } else {
                    self.waterline(z).at(x)
                };
                Vec3::new(x, y.max(0.0), z)
            })
            .collect()
    }
}

/// Heights of the rows: the table's waterlines, and enough between them.
fn levels(table: &OffsetTable) -> Vec<f64> {
    let [mut low, mut high] = heights(table);
    if let Some(foot) = table.transom.first() {
        low = low.min(foot[0]);
    }
    let tops = [&table.stem, &table.stern, &table.transom];
    for top in tops.into_iter().filter_map(|profile| profile.last()) {
        high = high.max(top[0]);
    }
    let mut marks: Vec<f64> = vec![low, high];
    marks.extend(
        table
            .waterlines
            .iter()
            .map(|line| line.at)
            .filter(|&z| z > low && z < high),
    );
    // A round bottom turns fastest near the keel.
    let fine = (high - low) / ROWS as f64;
    marks.extend([0.0625, 0.25, 0.5625].map(|part| low + part * fine));
    marks.sort_by(f64::total_cmp);
    marks.dedup();
    let mut levels = Vec::new();
    for pair in marks.windows(2) {
        let pieces = ((pair[1] - pair[0]) / fine).ceil().max(1.0);
        levels.extend(
            (0..pieces as usize).map(|i| pair[0] + (pair[1] - pair[0]) * i as f64 / pieces),
        );
    }
    levels.push(high);
    levels
}

/// Both sides of a grid of port points, columns from aft to fore, rows from bottom to deck, with
/// transom, stem, bottom and deck closed.
fn skin(grid: &[Vec<Vec3>]) -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
    let rows = grid[0].len();
    let starboard = |p: Vec3| Vec3::new(p.x, -p.y, p.z);
    let mut corners: Vec<Vec3> = Vec::new();
    let mut quad = |[a, b, c, d]: [Vec3; 4]| {
        for [a, b, c] in [[a, b, c], [a, c, d]] {
            let on_centreline = a.y == 0.0 && b.y == 0.0 && c.y == 0.0;
            if a != b && b != c && c != a && !on_centreline {
                corners.extend([a, b, c]);
            }
        }
    };
    for (aft, fore) in grid.iter().zip(&grid[1..]) {
        for row in 0..rows - 1 {
            let port = [aft[row], aft[row + 1], fore[row + 1], fore[row]];
            quad(port);
            let [a, b, c, d] = port.map(starboard);
            // The same diagonal as on the port side, run the other way.
            quad([a, d, c, b]);
        }
        let deck = [aft[rows - 1], fore[rows - 1]];
        let floor = [aft[0], fore[0]];
        quad([starboard(deck[0]), starboard(deck[1]), deck[1], deck[0]]);
        quad([floor[0], floor[1], starboard(floor[1]), starboard(floor[0])]);
    }
    for row in 0..rows - 1 {
        let [a, b] = [grid[0][row], grid[0][row + 1]];
        quad([starboard(a), starboard(b), b, a]);
        let [a, b] = [row, row + 1].map(|row| grid[grid.len() - 1][row]);
        quad([a, b, starboard(b), starboard(a)]);
    }
    let (vertices, index) = weld(corners.iter().copied());
    let positions = vertices.iter().map(Vec3::to_array).collect();
    (positions, index.as_chunks().0.to_vec())
}
