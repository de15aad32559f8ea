//! Keels, skegs, rudders, boards and struts: foils with a flat lower face.

use super::lines::bezier2;
use super::shell::{Shell, Sunk};
use super::vector::{Vec3, even, quarter};

/// Half-thickness of a foil along its chord as a share of the greatest half-thickness.
#[derive(Clone, Debug)]
pub struct Section {
    /// Plane Bézier control points (chord share from the leading edge, thickness share).
    control: Vec<[f64; 2]>,
}

impl Section {
    /// A foil with a round nose, thickest at about a third, and `tail` of its thickness left at the
    /// trailing edge.
    pub fn foil(tail: f64) -> Self {
        Self::shaped(&[
            [0.0, 0.0],
            [0.0, 0.72],
            [0.22, 1.3],
            [0.62, 1.02],
            [0.85, 0.42],
            [1.0, tail],
        ])
    }

    /// A long keel: full over most of its length, fining away aft to `tail`.
    pub fn long(tail: f64) -> Self {
        Self::shaped(&[
            [0.0, 0.0],
            [0.0, 0.45],
            [0.12, 1.0],
            [0.45, 1.25],
            [0.75, 0.95],
            [0.9, 0.6],
            [1.0, tail],
        ])
    }

    /// A plate: nearly the same thickness all along, nose and tail eased.
    pub fn plate() -> Self {
        Self::shaped(&[
            [0.0, 0.0],
            [0.0, 1.0],
            [0.03, 1.0],
            [0.5, 1.0],
            [0.97, 1.0],
            [1.0, 0.5],
        ])
    }

    /// A section from control points, scaled so that its greatest half-thickness is one.
    fn shaped(control: &[[f64; 2]]) -> Self {
        let most = even(400)
            .into_iter()
            .map(|t| bezier2(control, t)[1])
            .fold(0.0, f64::max);
        Self {
            control: control.iter().map(|p| [p[0], p[1] / most]).collect(),
        }
    }
}

/// A slot in the lower face, as for a centreboard.
#[derive(Clone, Copy, Debug)]
pub struct Slot {
    /// First and last chord station, counted from the leading edge.
    pub stations: (usize, usize),
    /// Half its width.
    pub half_m: f64,
    /// How far it goes up into the foil.
    pub depth_m: f64,
}

/// What a foil is built from. The chord runs from the leading edge (0) to the trailing edge (1), the
/// span from the lower face (0) to the root (1).
pub struct Foil<'a> {
    /// Point of the middle plane at (chord, span): x and z in metres.
    pub plane: &'a dyn Fn(f64, f64) -> [f64; 2],
    /// Greatest half-thickness at a span.
    pub half_m: &'a dyn Fn(f64) -> f64,
    /// Thickness along the chord.
    pub section: Section,
    /// Radius of the edge between lower face and sides.
    pub edge_m: f64,
    /// Faces along the chord and up the span.
    pub cells: (usize, usize),
    /// Slot in the lower face.
    pub slot: Option<Slot>,
}

impl Foil<'_> {
    /// The closed shell, symmetric about the centreline plane.
    pub fn shell(&self) -> Shell {
        let columns: Vec<Vec<Vec3>> = even(self.cells.0)
            .into_iter()
            .enumerate()
            .map(|(k, t)| self.column(k, t))
            .collect();
        let mut half = Shell::default();
        let sunk: Vec<Sunk> = self
            .slot
            .iter()
            .map(|s| Sunk {
                i: s.stations,
                j: (0, 1),
            })
            .collect();
        let depth = self.slot.map_or(0.0, |s| s.depth_m);
        half.sunk_net(&columns, &sunk, |_, p| [p[0], p[1], p[2] + depth]);
        // The blunt trailing edge, from the last column to the centreline.
        let tail = &columns[self.cells.0];
        let strip: Vec<Vec<Vec3>> = vec![
            tail.clone(),
            tail.iter().map(|p| [p[0], 0.0, p[2]]).collect(),
        ];
        half.net(&strip);
        half.both_sides()
    }

    /// One chord station, from the middle of the lower face round its edge, up the side and in to the
    /// middle of the root.
    fn column(&self, station: usize, t: f64) -> Vec<Vec3> {
        let [chord, share] = bezier2(&self.section.control, t);
        let low_y = share * (self.half_m)(0.0);
        let edge = self.edge_m.min(0.5 * low_y);
        let [x0, z0] = (self.plane)(chord, 0.0);
        let mut column = vec![[x0, 0.0, z0]];
        if let Some(slot) = self.slot {
            // Outside the slot this point falls together with the one before and leaves no trace.
            let within = station >= slot.stations.0 && station <= slot.stations.1;
            column.push([x0, if within { slot.half_m } else { 0.0 }, z0]);
        }
        for [c, s] in quarter(2) {
            column.push([x0, low_y - edge * (1.0 - s), z0 + edge * (1.0 - c)]);
        }
        for s in even(self.cells.1).into_iter().skip(1) {
            let [x, z] = (self.plane)(chord, s);
            column.push([x, share * (self.half_m)(s), z + edge * (1.0 - s)]);
        }
        let [x1, z1] = (self.plane)(chord, 1.0);
        column.push([x1, 0.0, z1]);
        column
    }
}
