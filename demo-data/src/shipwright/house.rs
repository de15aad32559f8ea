//! Cabin trunks, wheelhouses, hatches: boxes bent to shape, with sunk windows.

use keelstead_boat::loft::shell::{Shell, Sunk};
use keelstead_boat::loft::vector::{Vec3, even};

/// A face of a bent box that can carry windows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// The port side and, mirrored, the starboard side.
    Side,
    /// The forward face.
    Front,
    /// The after face.
    Back,
}

/// A window: a rectangle of cells sunk into a face. Indices count cell corners: along the face from
/// aft (sides) or from the centreline (front and back), and up from the floor.
#[derive(Clone, Copy, Debug)]
pub struct Window {
    /// Which face.
    pub face: Face,
    /// First and last corner along the face.
    pub along: (usize, usize),
    /// First and last corner up the face.
    pub up: (usize, usize),
}

/// What a house is built from.
pub struct House<'a> {
    /// Where a point of the unit box goes: along (0 aft), out (0 centreline, 1 port), up.
    pub shape: &'a dyn Fn(f64, f64, f64) -> Vec3,
    /// Faces along, out and up.
    pub cells: (usize, usize, usize),
    /// Windows in its faces.
    pub windows: &'a [Window],
    /// How deep windows are sunk.
    pub recess_m: f64,
}

impl House<'_> {
    /// The closed shell, symmetric about the centreline plane.
    pub fn shell(&self) -> Shell {
        let (na, no, nu) = self.cells;
        let along_up = |y: f64| net(na, nu, |a, u| (self.shape)(a, y, u));
        let out_up = |x: f64| net(no, nu, |o, u| (self.shape)(x, o, u));
        let along_out = |z: f64| net(na, no, |a, o| (self.shape)(a, o, z));
        let depth = self.recess_m;
        // By the right-hand rule these three nets face into the house, the other two out of it.
        let mut half = Shell::default();
        half.sunk_net(&along_up(1.0), &self.sunk(Face::Side), |_, p| {
            [p[0], p[1] - depth, p[2]]
        });
        half.sunk_net(&out_up(0.0), &self.sunk(Face::Back), |_, p| {
            [p[0] + depth, p[1], p[2]]
        });
        half.net(&along_out(0.0));
        let mut half = half.flipped();
        half.sunk_net(&out_up(1.0), &self.sunk(Face::Front), |_, p| {
            [p[0] - depth, p[1], p[2]]
        });
        half.net(&along_out(1.0));
        half.both_sides()
    }

    fn sunk(&self, face: Face) -> Vec<Sunk> {
        let windows = self.windows.iter().filter(|w| w.face == face);
        windows
            .map(|w| Sunk {
                i: w.along,
                j: w.up,
            })
            .collect()
    }
}

fn net(ni: usize, nj: usize, at: impl Fn(f64, f64) -> Vec3) -> Vec<Vec<Vec3>> {
    let column = |s: f64| even(nj).into_iter().map(|t| at(s, t)).collect();
    even(ni).into_iter().map(column).collect()
}
