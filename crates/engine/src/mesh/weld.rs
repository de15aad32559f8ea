//! Loose triangles made an indexed mesh: corners at exactly equal positions become one vertex.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use crate::math::Vec3;

/// Vertices in order of first use, and triangles over them.
pub(super) fn weld(corners: &[[Vec3; 3]]) -> (Vec<Vec3>, Vec<[u32; 3]>) {
    // A closed mesh has about half as many vertices as triangles.
    let mut index: HashMap<[u64; 3], u32, BuildHasherDefault<Mix>> =
        HashMap::with_capacity_and_hasher(corners.len() / 2 + 8, BuildHasherDefault::default());
    let mut vertices = Vec::with_capacity(corners.len() / 2 + 8);
    let triangles = corners
        .iter()
        .map(|triangle| {
            triangle.map(|v| {
                *index.entry(key(v)).or_insert_with(|| {
                    vertices.push(v);
                    (vertices.len() - 1) as u32
                })
            })
        })
        .collect();
    (vertices, triangles)
}

/// Equal positions have equal keys; adding zero makes −0 the same as 0.
fn key(v: Vec3) -> [u64; 3] {
    [
        (v.x + 0.0).to_bits(),
        (v.y + 0.0).to_bits(),
        (v.z + 0.0).to_bits(),
    ]
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
