//! What scenes have in common, whatever the format: things shown in places, some many times.

use keelstead_geometry::math::Vec3;

/// A transform as its columns: where x, y and z point and where the origin comes to lie.
pub(super) type Columns = [[f64; 4]; 4];

pub(super) const IDENTITY: Columns = [
    [1.0, 0.0, 0.0, 0.0],
    [0.0, 1.0, 0.0, 0.0],
    [0.0, 0.0, 1.0, 0.0],
    [0.0, 0.0, 0.0, 1.0],
];

/// Things nested deeper than this are a loop or a prank.
pub(super) const DEEPEST: usize = 256;

/// `a` after `b`.
pub(super) fn product(a: &Columns, b: &Columns) -> Columns {
    b.map(|column| std::array::from_fn(|row| (0..4).map(|k| a[k][row] * column[k]).sum()))
}

/// Takes positions to the scene; a mirrored thing turns its triangles. False if a position comes to
/// lie nowhere.
#[must_use]
pub(super) fn place(
    scene_from_thing: &Columns,
    positions: &mut [[f64; 3]],
    triangles: &mut [[u32; 3]],
) -> bool {
    let [x, y, z, origin] = scene_from_thing.map(|c| Vec3::new(c[0], c[1], c[2]));
    for position in positions.iter_mut() {
        let [a, b, c] = *position;
        let placed = x * a + y * b + z * c + origin;
        if !placed.is_finite() {
            return false;
        }
        *position = placed.to_array();
    }
    if x.cross(y).dot(z) < 0.0 {
        for triangle in triangles {
            triangle.swap(1, 2);
        }
    }
    true
}

/// Corners and vertices shown so far. A small file may show a thing many times; more than a file of
/// its size can be meant to show is a prank.
pub(super) struct Shown {
    left: usize,
}

impl Shown {
    pub(super) fn new(bytes: usize) -> Self {
        Self {
            left: bytes.saturating_mul(6).clamp(1_000_000, 100_000_000),
        }
    }

    /// A further file of text has been read.
    pub(super) fn left_for(&mut self, bytes: usize) {
        self.left = self.left.saturating_add(bytes / 4);
    }

    /// Counts more; false if that is too many.
    #[must_use]
    pub(super) fn more(&mut self, count: usize) -> bool {
        let enough = count <= self.left;
        self.left = self.left.saturating_sub(count);
        enough
    }
}
