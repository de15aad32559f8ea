//! Points at exactly equal positions made one vertex.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use crate::math::Vec3;

/// Vertices in order of first use, no two equal, and for each point the index of its vertex. Zero
/// and negative zero are equal.
///
/// At most 4,294,967,295 points can be counted; whoever has more must refuse them before.
pub fn weld(points: impl ExactSizeIterator<Item = Vec3>) -> (Vec<Vec3>, Vec<u32>) {
    // Of the corners of a closed mesh's triangles about one in six is new.
    let expected = points.len() / 6 + 8;
    let mut index: HashMap<[u64; 3], u32, BuildHasherDefault<Mix>> =
        HashMap::with_capacity_and_hasher(expected, BuildHasherDefault::default());
    let mut vertices = Vec::with_capacity(expected);
    let of_point = points
        .map(|point| {
            // Adding zero makes −0 the same as 0.
            let point = point + Vec3::ZERO;
            *index
                .entry(point.to_array().map(f64::to_bits))
                .or_insert_with(|| {
                    vertices.push(point);
                    (vertices.len() - 1) as u32
                })
        })
        .collect();
    (vertices, of_point)
}

/// A fast hash of a few words. The keys are coordinates, and no one gains by making them collide:
/// a worst case is slow, never wrong.
#[derive(Default)]
struct Mix(u64);

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 29)
    }

    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let mut word = [0; 8];
            word[..chunk.len()].copy_from_slice(chunk);
            self.write_u64(u64::from_le_bytes(word));
        }
    }

    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(25) ^ word).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        self.0 ^= self.0 >> 32;
    }
}
