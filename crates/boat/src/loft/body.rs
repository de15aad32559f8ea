//! The body: hull sides, transom and cambered deck as one closed shell.

use super::lines::Lines;
use super::shell::{Shell, Sunk};
use super::vector::{Vec3, even, mix};

/// A cockpit or working well sunk into the deck.
#[derive(Clone, Copy, Debug)]
pub struct Well {
    /// Aft and forward end, stations in metres.
    pub x_m: (f64, f64),
    /// Half-breadth as a share of the deck's half-breadth, 0..1.
    pub breadth: f64,
    /// Height of the sole.
    pub sole_z_m: f64,
}

/// What a body is built from.
#[derive(Clone, Debug)]
pub struct Body {
    /// Hull lines.
    pub lines: Lines,
    /// Faces from transom to stem.
    pub columns: usize,
    /// Rise of the deck at the centreline over its half-breadth.
    pub camber: f64,
    /// How far the transom bulges aft at the centreline.
    pub transom_bulge_m: f64,
    /// Wells in the deck.
    pub wells: Vec<Well>,
}

/// Faces across half the deck.
const DECK_CELLS: usize = 10;
/// Points of the transom's edge no higher than this over its foot lie in one line with it.
const FLAT_M: f64 = 0.000_5;
/// Share of the hull's length over which the deck's after edge takes up the transom's bulge.
const BULGE_FADE: f64 = 0.08;

impl Body {
    /// Height of the deck at a point, metres; wells are left out of account.
    pub fn deck_z_m(&self, x_m: f64, y_m: f64) -> f64 {
        let sheer = self.lines.sheer_at(x_m);
        let t = if sheer[1] > 0.0 { y_m / sheer[1] } else { 1.0 };
        sheer[2] + self.camber * sheer[1] * (1.0 - t * t)
    }

    /// The deck at `u` along and `t` across (0 at the sheer, 1 at the centreline).
    fn deck(&self, u: f64, t: f64) -> Vec3 {
        let [x, y, z] = self.lines.sheer(u);
        let rise = 1.0 - (1.0 - t) * (1.0 - t);
        let fade = (1.0 - u / BULGE_FADE).max(0.0);
        [
            x - self.transom_bulge_m * rise * fade * fade,
            y * (1.0 - t),
            z + self.camber * y * rise,
        ]
    }

    /// The closed shell.
    pub fn shell(&self) -> Shell {
        let mut half = Shell::default();
        let side = self.lines.grid(self.columns);
        half.net(&side);
        let deck: Vec<Vec<Vec3>> = even(self.columns)
            .into_iter()
            .map(|u| {
                even(DECK_CELLS)
                    .into_iter()
                    .map(|t| self.deck(u, t))
                    .collect()
            })
            .collect();
        let sunk: Vec<Sunk> = self.wells.iter().map(|w| well_cells(w, &deck)).collect();
        half.sunk_net(&deck, &sunk, |k, p| {
            [p[0], p[1] * 0.96, self.wells[k].sole_z_m]
        });
        // A pointed after end has none.
        if side[0].iter().any(|p| p[1] > 0.0) {
            self.transom(&mut half, &side[0], &deck[0]);
        }
        // Forward and up turn to starboard: the port half's nets face inward.
        half.flipped().both_sides()
    }

    fn transom(&self, half: &mut Shell, edge: &[Vec3], top: &[Vec3]) {
        let last = edge.len() - 1;
        let (low, high) = (edge[0][2], edge[last][2]);
        // A flat bottom's after edge is the transom's lower edge: no rows across it, all in one line.
        let above = edge.iter().take_while(|p| p[2] - low < FLAT_M).count();
        let flat = if above > 1 && above <= last { above } else { 0 };
        let crown = top[DECK_CELLS][2] - high;
        let rows: Vec<Vec<Vec3>> = edge
            .iter()
            .enumerate()
            .skip(flat)
            .map(|(k, p)| {
                if k == last {
                    return top.to_vec();
                }
                let up = (p[2] - low) / (high - low);
                even(DECK_CELLS)
                    .into_iter()
                    .map(|t| {
                        let rise = 1.0 - (1.0 - t) * (1.0 - t);
                        [
                            p[0] - self.transom_bulge_m * rise * p[1] / edge[last][1],
                            p[1] * (1.0 - t),
                            p[2] + mix(0.0, crown, up * up) * rise,
                        ]
                    })
                    .collect()
            })
            .collect();
        if flat > 0
            && let Some(row) = rows.first()
        {
            let lower: Vec<Vec3> = edge[..flat].iter().rev().copied().collect();
            zip(half, &lower, row);
        }
        half.net(&rows);
    }
}

/// Joins two lines that run from the side to the centreline, the lower one first.
fn zip(half: &mut Shell, lower: &[Vec3], upper: &[Vec3]) {
    let (mut i, mut j) = (0, 0);
    while i + 1 < lower.len() || j + 1 < upper.len() {
        let next = |line: &[Vec3], k: usize| line.get(k + 1).map(|p| p[1]);
        let up = match (next(lower, i), next(upper, j)) {
            (Some(a), Some(b)) => b * lower[0][1] >= a * upper[0][1],
            (None, _) => true,
            _ => false,
        };
        if up {
            half.triangle(lower[i], upper[j], upper[j + 1]);
            j += 1;
        } else {
            half.triangle(lower[i], upper[j], lower[i + 1]);
            i += 1;
        }
    }
}

/// The cells of the deck grid nearest to a well.
fn well_cells(well: &Well, deck: &[Vec<Vec3>]) -> Sunk {
    let nearest = |x: f64| {
        let mut best = 1;
        for i in 1..deck.len() - 1 {
            if (deck[i][0][0] - x).abs() < (deck[best][0][0] - x).abs() {
                best = i;
            }
        }
        best
    };
    let j = ((1.0 - well.breadth) * DECK_CELLS as f64).round() as usize;
    Sunk {
        i: (nearest(well.x_m.0), nearest(well.x_m.1)),
        j: (j, DECK_CELLS),
    }
}
