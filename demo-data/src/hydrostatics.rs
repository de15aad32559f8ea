//! What a boat displaces: a check on the drawing board, by counting columns of water.

use std::collections::BTreeMap;

use keelstead_boat::loft::shell::Shell;
use keelstead_boat::loft::vector::Vec3;

/// Density of sea water, kg/m³.
pub const SEA_WATER_KG_M3: f64 = 1025.0;

/// The water a set of overlapping closed shells pushes aside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Displaced {
    /// Volume below the water plane, cubic metres; where shells overlap it counts once.
    pub volume_m3: f64,
    /// Centre of that volume, metres; meaningless when the volume is zero.
    pub centre_m: Vec3,
}

/// Immersed volume of closed, outward-facing shells below the plane `z = waterline_z_m`, from
/// vertical columns `spacing_m` apart: each column is filled from entry to exit, once.
pub fn displaced<'a>(
    shells: impl IntoIterator<Item = &'a Shell>,
    waterline_z_m: f64,
    spacing_m: f64,
) -> Displaced {
    let mut columns: BTreeMap<(i64, i64), Vec<(f64, i32)>> = BTreeMap::new();
    for shell in shells {
        for corners in shell.corners() {
            cross_columns(corners, spacing_m, &mut columns);
        }
    }
    let (mut volume, mut moment) = (0.0, [0.0; 3]);
    for ((i, j), mut crossings) in columns {
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut depth, mut entered) = (0, 0.0);
        for (z, step) in crossings {
            if depth == 0 {
                entered = z;
            }
            depth += step;
            if depth == 0 && entered < waterline_z_m {
                let top = z.min(waterline_z_m);
                let part = (top - entered) * spacing_m * spacing_m;
                volume += part;
                let middle = [
                    centre(i, spacing_m),
                    centre(j, spacing_m),
                    0.5 * (top + entered),
                ];
                for k in 0..3 {
                    moment[k] += part * middle[k];
                }
            }
        }
    }
    Displaced {
        volume_m3: volume,
        centre_m: moment.map(|m| m / volume),
    }
}

/// Columns stand in the middle of their squares, nudged off round numbers so that none runs along
/// the centreline or an edge.
fn centre(index: i64, spacing_m: f64) -> f64 {
    (index as f64 + 0.5) * spacing_m + 1.3e-6
}

/// Records where the columns under a triangle cross it: +1 going up into the shell, -1 out of it.
fn cross_columns(
    [a, b, c]: [Vec3; 3],
    spacing_m: f64,
    columns: &mut BTreeMap<(i64, i64), Vec<(f64, i32)>>,
) {
    let area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
    if area == 0.0 {
        return;
    }
    let range = |k: usize| {
        let low = a[k].min(b[k]).min(c[k]) / spacing_m;
        let high = a[k].max(b[k]).max(c[k]) / spacing_m;
        (low.floor() as i64 - 1)..=(high.ceil() as i64)
    };
    for i in range(0) {
        for j in range(1) {
            let (x, y) = (centre(i, spacing_m), centre(j, spacing_m));
            let share =
                |p: Vec3, q: Vec3| ((q[0] - p[0]) * (y - p[1]) - (x - p[0]) * (q[1] - p[1])) / area;
            let (wc, wa, wb) = (share(a, b), share(b, c), share(c, a));
            if wa >= 0.0 && wb >= 0.0 && wc >= 0.0 {
                let z = wa * a[2] + wb * b[2] + wc * c[2];
                let step = if area > 0.0 { -1 } else { 1 };
                columns.entry((i, j)).or_default().push((z, step));
            }
        }
    }
}
