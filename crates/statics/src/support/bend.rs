//! Beams between the supports: the hull itself where it is not taken as rigid, and the rails.
//!
//! Both come down to how far a station sinks for a unit load at another. Everything is built on the
//! cantilever, which any other way of holding a beam differs from by a rigid motion and the forces
//! that hold it.

/// A beam of even bending stiffness, free to be moved as a whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreeBeam {
    /// Bending stiffness EI, N·m².
    pub bending_n_m2: f64,
    /// Where it is thought to be clamped: no station may lie aft of it, m.
    pub clamp_x_m: f64,
}

impl FreeBeam {
    /// How far `at` moves for a unit force at `load`, clamped at its aft end, m/N: symmetric and
    /// never negative (Roark, cantilever with a load anywhere).
    pub fn moves(&self, at: f64, load: f64) -> f64 {
        let (a, b) = (at - self.clamp_x_m, load - self.clamp_x_m);
        let (near, far) = (a.min(b), a.max(b));
        near * near * (3.0 * far - near) / (6.0 * self.bending_n_m2)
    }

    /// How far `at` sinks under `burdens`, m.
    pub fn sags(&self, at: f64, burdens: &[Burden]) -> f64 {
        let each = burdens.iter();
        each.map(|b| b.weight_n * self.moves(at, b.x_m)).sum()
    }
}

/// A beam on two unyielding points, reaching past them where it will: the rails between coupling and
/// the middle of the axles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProppedBeam {
    /// The beam.
    pub beam: FreeBeam,
    /// Stations of the two points, m.
    pub points_x_m: [f64; 2],
}

impl ProppedBeam {
    /// How far `at` sinks for a unit load at `load`, m/N.
    pub fn sinks(&self, at: f64, load: f64) -> f64 {
        let [p, q] = self.points_x_m;
        let split = |x: f64| {
            let along = (x - p) / (q - p);
            (1.0 - along, along)
        };
        let (to_p, to_q) = split(load);
        let bent = |x: f64| {
            self.beam.moves(x, load) - to_p * self.beam.moves(x, p) - to_q * self.beam.moves(x, q)
        };
        let (from_p, from_q) = split(at);
        bent(at) - from_p * bent(p) - from_q * bent(q)
    }
}

/// A weight along the keel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Burden {
    /// Where, m.
    pub x_m: f64,
    /// How much, N.
    pub weight_n: f64,
}

/// Pieces a spread weight is cut into, each taken at its two Gauss points.
const PIECES: usize = 24;

/// `weight_n` spread from `aft_m` to `fore_m` so that it acts at `centre_m`: evenly rising from one
/// end to the other; where that would need a negative weight at one end, over the longest stretch
/// about the centre instead.
///
/// How a boat's weight lies along her is never known better than this; the centre is exact.
pub fn spread(weight_n: f64, centre_m: f64, aft_m: f64, fore_m: f64) -> Vec<Burden> {
    let reach = (centre_m - aft_m).min(fore_m - centre_m);
    if reach.is_nan() || reach <= 0.0 {
        return vec![Burden {
            x_m: centre_m,
            weight_n,
        }];
    }
    let length = fore_m - aft_m;
    let off = (centre_m - (aft_m + fore_m) / 2.0) / length;
    let (from, length, slope) = if off.abs() <= 1.0 / 6.0 {
        (aft_m, length, 12.0 * off)
    } else {
        (centre_m - reach, 2.0 * reach, 0.0)
    };
    let gauss = 0.5 / 3.0_f64.sqrt();
    let mut pieces: Vec<Burden> = (0..2 * PIECES)
        .map(|i| {
            let off = if i % 2 == 0 { -gauss } else { gauss };
            let along = ((i / 2) as f64 + 0.5 + off) / PIECES as f64;
            Burden {
                x_m: from + along * length,
                weight_n: weight_n / (2 * PIECES) as f64 * (1.0 + slope * (along - 0.5)),
            }
        })
        .collect();
    // What rounding did to the centre is taken out by a shift of all.
    let found: f64 = pieces.iter().map(|b| b.x_m * b.weight_n).sum::<f64>() / weight_n;
    for piece in &mut pieces {
        piece.x_m += centre_m - found;
    }
    pieces
}

/// Shear force and bending moment of the hull at a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bent {
    /// Station, m.
    pub x_m: f64,
    /// Sum of what acts aft of it, upward, N.
    pub shear_n: f64,
    /// Bending moment, N·m: positive where the hull sags between supports.
    pub moment_nm: f64,
}

/// Shear and moment at each of `stations` of a hull carried by `loads` (station, upward force) under
/// `burdens`.
pub fn diagram(stations: &[f64], loads: &[(f64, f64)], burdens: &[Burden]) -> Vec<Bent> {
    stations
        .iter()
        .map(|&x_m| {
            let up = loads.iter().copied();
            let down = burdens.iter().map(|b| (b.x_m, -b.weight_n));
            let (shear_n, moment_nm) = up
                .chain(down)
                .filter(|(at, _)| *at < x_m)
                .fold((0.0, 0.0), |(v, m), (at, force)| {
                    (v + force, m + force * (x_m - at))
                });
            Bent {
                x_m,
                shear_n,
                moment_nm,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_propped_beam_is_the_textbooks() {
        let beam = ProppedBeam {
            beam: FreeBeam {
                bending_n_m2: 2.0e6,
                clamp_x_m: -3.0,
            },
            points_x_m: [0.0, -2.0],
        };
        // Simply supported, load at the middle: P L³ / 48 EI.
        let known = 8.0 / (48.0 * 2.0e6);
        assert!((beam.sinks(-1.0, -1.0) - known).abs() < 1e-15);
        // Overhang c = 1 beyond a span of 2, load at its end: P c² (L + c) / 3 EI.
        let known = 3.0 / (3.0 * 2.0e6);
        assert!((beam.sinks(-3.0, -3.0) - known).abs() < 1e-15);
        assert!(beam.sinks(0.0, -3.0).abs() < 1e-18);
    }

    #[test]
    fn a_spread_weight_acts_where_it_should() {
        for centre in [1.0, 4.0, 5.0, 7.9] {
            let pieces = spread(1000.0, centre, 0.0, 8.0);
            let sum: f64 = pieces.iter().map(|b| b.weight_n).sum();
            let moment: f64 = pieces.iter().map(|b| b.weight_n * b.x_m).sum();
            assert!((sum - 1000.0).abs() < 1e-9);
            assert!((moment / sum - centre).abs() < 1e-12);
            assert!(pieces.iter().all(|b| b.weight_n > 0.0));
        }
        assert_eq!(spread(1000.0, -1.0, 0.0, 8.0).len(), 1);
    }

    #[test]
    fn a_sagging_hull_has_a_positive_moment() {
        let burdens = [Burden {
            x_m: 2.0,
            weight_n: 100.0,
        }];
        let bent = diagram(&[2.0, 4.5], &[(0.0, 50.0), (4.0, 50.0)], &burdens);
        assert!((bent[0].moment_nm - 100.0).abs() < 1e-12);
        assert!(bent[1].shear_n.abs() < 1e-12 && bent[1].moment_nm.abs() < 1e-12);
    }
}
