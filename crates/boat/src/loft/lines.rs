//! The lines plan: a hull side as Bézier surfaces over a few control points.
//!
//! One polynomial spans the hull from transom to stem, so there is no join in its length where a
//! bump could hide: a fair net of control points gives a fair hull.

use super::vector::{Vec3, add, even, mix3};

/// Control points of one row, from the transom to the stem.
pub type Row = Vec<Vec3>;

/// A point on the Bézier curve of `control` at `t` in 0..1.
pub fn bezier(control: &[Vec3], t: f64) -> Vec3 {
    let mut p = control.to_vec();
    for n in (1..p.len()).rev() {
        for k in 0..n {
            p[k] = mix3(p[k], p[k + 1], t);
        }
    }
    p[0]
}

/// A point on the plane Bézier curve of `control` at `t` in 0..1.
pub fn bezier2(control: &[[f64; 2]], t: f64) -> [f64; 2] {
    let lifted: Vec<Vec3> = control.iter().map(|p| [p[0], p[1], 0.0]).collect();
    let [a, b, _] = bezier(&lifted, t);
    [a, b]
}

/// A smooth function through the values of a Bézier curve, `t` in 0..1.
pub fn bezier1(control: &[f64], t: f64) -> f64 {
    let lifted: Vec<Vec3> = control.iter().map(|p| [*p, 0.0, 0.0]).collect();
    bezier(&lifted, t)[0]
}

/// A row of control points from its three coordinates.
pub fn row<const N: usize>(x_m: [f64; N], y_m: [f64; N], z_m: [f64; N]) -> Row {
    (0..N).map(|k| [x_m[k], y_m[k], z_m[k]]).collect()
}

/// A strake: the surface between two edges, over rows of control points from its lower edge to its
/// upper edge.
#[derive(Clone, Debug)]
pub struct Strake {
    /// Rows of control points, lower edge first; all of the same length.
    pub rows: Vec<Row>,
    /// How many faces the mesh gets from the lower to the upper edge.
    pub cells: usize,
}

impl Strake {
    /// The point at `u` along (0 transom, 1 stem) and `v` up (0 lower edge, 1 upper edge).
    pub fn at(&self, u: f64, v: f64) -> Vec3 {
        let column: Vec<Vec3> = self.rows.iter().map(|r| bezier(r, u)).collect();
        bezier(&column, v)
    }
}

/// The port side of a hull: strakes from the centreline up to the sheer, each starting where the
/// one below ends. The centreline of the first and the stem lie at y = 0.
#[derive(Clone, Debug)]
pub struct Lines {
    /// The strakes, lowest first.
    pub strakes: Vec<Strake>,
}

/// Where in 0..1 a rising function takes a value; the nearer end if nowhere.
fn find(value: f64, of: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..48 {
        let mid = 0.5 * (low + high);
        if of(mid) < value {
            low = mid;
        } else {
            high = mid;
        }
    }
    0.5 * (low + high)
}

impl Lines {
    /// The lines moved by a vector, metres.
    pub fn moved(mut self, by: Vec3) -> Self {
        let rows = self.strakes.iter_mut().flat_map(|s| s.rows.iter_mut());
        for p in rows.flatten() {
            *p = add(*p, by);
        }
        self
    }

    /// The sheer at `u`.
    pub fn sheer(&self, u: f64) -> Vec3 {
        self.strakes.last().map_or([0.0; 3], |s| s.at(u, 1.0))
    }

    /// The point of the side at `u`, `below_m` lower than the sheer (within the top strake).
    pub fn below_sheer(&self, u: f64, below_m: f64) -> Vec3 {
        let Some(top) = self.strakes.last() else {
            return [0.0; 3];
        };
        top.at(u, find(self.sheer(u)[2] - below_m, |v| top.at(u, v)[2]))
    }

    /// The sheer at the station `x_m`.
    pub fn sheer_at(&self, x_m: f64) -> Vec3 {
        self.sheer(find(x_m, |u| self.sheer(u)[0]))
    }

    /// Height of the bottom at the station `x_m`, `y_m` off the centreline (within the lowest
    /// strake); forward of the forefoot, the height of the forefoot.
    pub fn bottom_z_m(&self, x_m: f64, y_m: f64) -> f64 {
        let Some(low) = self.strakes.first() else {
            return 0.0;
        };
        let at = |v: f64| low.at(find(x_m, |u| low.at(u, v)[0]), v);
        at(find(y_m, |v| at(v)[1]))[2]
    }

    /// The side as a grid of points, stations by rows, joined across the strakes.
    pub fn grid(&self, columns: usize) -> Vec<Vec<Vec3>> {
        even(columns)
            .into_iter()
            .map(|u| {
                let mut column = vec![self.strakes[0].at(u, 0.0)];
                for s in &self.strakes {
                    column.extend(even(s.cells).into_iter().skip(1).map(|v| s.at(u, v)));
                }
                column
            })
            .collect()
    }
}
