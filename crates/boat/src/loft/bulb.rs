//! Ballast bulbs: a torpedo with a flat ground under it to stand on.

use super::lines::{Row, bezier};
use super::shell::Shell;
use super::vector::{Vec3, even};

/// What a bulb is built from.
#[derive(Clone, Debug)]
pub struct Bulb {
    /// Rows of control points from the lower centreline round the port side to the upper one, each
    /// from tail to nose. What lies below z = 0 is cut away flat.
    pub rows: Vec<Row>,
    /// Faces from tail to nose and from bottom to top.
    pub cells: (usize, usize),
}

impl Bulb {
    /// The closed shell, moved fore and aft so that the flat begins at x = 0.
    pub fn shell(&self) -> Shell {
        let mut net: Vec<Vec<Vec3>> = even(self.cells.0)
            .into_iter()
            .map(|u| {
                let column: Vec<Vec3> = self.rows.iter().map(|r| bezier(r, u)).collect();
                let cut = |p: Vec3| [p[0], p[1], p[2].max(0.0)];
                even(self.cells.1)
                    .into_iter()
                    .map(|v| cut(bezier(&column, v)))
                    .collect()
            })
            .collect();
        let flat_from = net
            .iter()
            .map(|column| column[0])
            .find(|p| p[2] == 0.0)
            .map_or(0.0, |p| p[0]);
        for p in net.iter_mut().flatten() {
            p[0] -= flat_from;
        }
        let mut half = Shell::default();
        half.net(&net);
        half.flipped().both_sides()
    }
}
