//! Propellers: twisted blades on a hub.

use super::lines::bezier1;
use super::shell::Shell;
use super::sweep::turned;
use super::vector::{Vec3, add, cross, even, scale, square_to, unit};

/// What a three-bladed propeller is built from.
#[derive(Clone, Copy, Debug)]
pub struct Propeller {
    /// Middle of the hub.
    pub centre: Vec3,
    /// Shaft direction, pointing aft.
    pub aft: Vec3,
    /// Diameter.
    pub diameter_m: f64,
    /// Advance in one turn, fixing the twist of the blades.
    pub pitch_m: f64,
    /// Radius and length of the hub.
    pub hub_m: (f64, f64),
}

/// Blade width along the radius as shares of the diameter, root to tip.
const WIDTHS: [f64; 6] = [0.10, 0.24, 0.34, 0.40, 0.40, 0.0];
/// Faces along the radius and across a blade.
const CELLS: (usize, usize) = (10, 6);

impl Propeller {
    /// The hub and its blades, closed shells that overlap at the blade roots.
    pub fn shell(&self) -> Shell {
        let (r, l) = self.hub_m;
        let aft = unit(self.aft);
        let start = add(self.centre, scale(aft, -0.5 * l));
        let profile = [
            [0.0, 0.92 * r],
            [0.1 * l, r],
            [0.6 * l, r],
            [0.85 * l, 0.85 * r],
            [1.15 * l, 0.5 * r],
            [1.3 * l, 0.0],
        ];
        let up = square_to([0.0, 0.0, 1.0], aft);
        let side = cross(aft, up);
        let lean = 0.75_f64.sqrt();
        let mut shell = turned(start, aft, &profile, 2);
        for radial in [
            up,
            add(scale(up, -0.5), scale(side, lean)),
            add(scale(up, -0.5), scale(side, -lean)),
        ] {
            shell = shell.beside(self.blade(aft, radial));
        }
        shell
    }

    /// A blade along `radial`: two faces that meet all round, its root closed inside the hub.
    fn blade(&self, aft: Vec3, radial: Vec3) -> Shell {
        let turning = cross(aft, radial);
        let (inner, outer) = (0.6 * self.hub_m.0, 0.5 * self.diameter_m);
        let face = |thick: f64| -> Vec<Vec<Vec3>> {
            let rows = even(CELLS.0).into_iter().map(|s| {
                let r = inner + (outer - inner) * s;
                let circumference = core::f64::consts::TAU * r;
                let chord = unit(add(scale(turning, circumference), scale(aft, self.pitch_m)));
                let normal = cross(radial, chord);
                let width = bezier1(&WIDTHS, s) * 1.25 * self.diameter_m;
                let stock = 0.045 * self.diameter_m * (1.0 - s) * thick;
                let at = |c: f64| {
                    let lens = 4.0 * c * (1.0 - c);
                    let out = add(
                        scale(radial, r),
                        add(scale(chord, width * (c - 0.5)), scale(normal, stock * lens)),
                    );
                    add(self.centre, out)
                };
                even(CELLS.1).into_iter().map(at).collect()
            });
            rows.collect()
        };
        let (front, back) = (face(0.25), face(-0.75));
        let mut shell = Shell::default();
        shell.net(&back);
        let mut shell = shell.flipped();
        shell.net(&front);
        shell.net(&[back[0].clone(), front[0].clone()]);
        shell
    }
}
