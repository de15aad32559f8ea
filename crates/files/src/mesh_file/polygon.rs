//! Polygons cut into triangles.

use earcut::Earcut;
use keelstead_geometry::math::Vec3;

/// Cuts polygons into triangles, keeping its buffers between them.
pub(super) struct Cutter {
    earcut: Earcut<f64>,
    flat: Vec<[f64; 2]>,
    pieces: Vec<u32>,
    /// Polygons that cross themselves, cut as a fan for want of better.
    pub(super) crossed: usize,
}

impl Cutter {
    pub(super) fn new() -> Self {
        Self {
            earcut: Earcut::new(),
            flat: Vec::new(),
            pieces: Vec::new(),
            crossed: 0,
        }
    }

    /// Cuts the polygon of `corners` (indices into `positions`, all in range) and adds its
    /// triangles to `triangles`.
    ///
    /// A polygon whose fan from the first corner bends nowhere back is cut as that fan, as every
    /// program does it; any other through its outline seen along its normal.
    pub(super) fn cut(
        &mut self,
        corners: &[u32],
        positions: &[[f64; 3]],
        triangles: &mut Vec<[u32; 3]>,
    ) {
        let fan = |i: usize| [corners[0], corners[i], corners[i + 1]];
        if corners.len() < 4 {
            triangles.extend((1..corners.len().saturating_sub(1)).map(fan));
            return;
        }
        let at = |i: u32| Vec3::from_array(positions[i as usize]);
        let area = |[a, b, c]: [u32; 3]| (at(b) - at(a)).cross(at(c) - at(a));
        let normal: Vec3 = (1..corners.len() - 1).map(|i| area(fan(i))).sum();
        let bends_back = (1..corners.len() - 1).any(|i| area(fan(i)).dot(normal) < 0.0);
        if bends_back {
            self.outline(corners, normal, &at);
            if self.pieces.len() == 3 * (corners.len() - 2) {
                triangles.extend(
                    self.pieces
                        .chunks_exact(3)
                        .map(|piece| [piece[0], piece[1], piece[2]].map(|i| corners[i as usize])),
                );
                return;
            }
            self.crossed += 1;
        }
        triangles.extend((1..corners.len() - 1).map(fan));
    }

    /// Cuts the outline seen along `normal`; the pieces turn as the polygon does.
    fn outline(&mut self, corners: &[u32], normal: Vec3, at: &dyn Fn(u32) -> Vec3) {
        self.pieces.clear();
        let Some(normal) = normal.try_normalize() else {
            return;
        };
        let (across, up) = normal.any_orthonormal_pair();
        self.flat.clear();
        self.flat
            .extend(corners.iter().map(|&i| [at(i).dot(across), at(i).dot(up)]));
        self.earcut
            .earcut(self.flat.iter().copied(), &[], &mut self.pieces);
        let turn: f64 = self
            .pieces
            .chunks_exact(3)
            .map(|piece| {
                let [a, b, c] = [piece[0], piece[1], piece[2]].map(|i| self.flat[i as usize]);
                (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
            })
            .sum();
        // `across`, `up` and `normal` are right-handed, so the polygon turns counter-clockwise.
        if turn < 0.0 {
            for piece in self.pieces.chunks_exact_mut(3) {
                piece.swap(1, 2);
            }
        }
    }
}
