//! A mesh written and read back with its search tree, so that the tree need not be grown again: what
//! a worker hands to the thread that draws. No file format: it may be another in every version.
//!
//! The large lists are runs of bytes, which a binary codec takes as they are; a million triangles
//! pass in some tens of milliseconds. A codec that cannot lend out bytes, as JSON, is refused.

use parry3d_f64::bounding_volume::Aabb;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::tree::Tree;
use super::{Mesh, Topology};
use crate::math::Vec3;

/// A mesh as it travels.
#[derive(Serialize, Deserialize)]
struct Carried<V> {
    vertices: V,
    triangles: V,
    nodes: V,
    order: V,
    bounds: [[f64; 3]; 2],
    topology: Topology,
    dropped: usize,
}

/// Numbers in a row, little-endian.
struct Run(Vec<u8>);

impl Serialize for Run {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_bytes(&self.0)
    }
}

fn run<T, const N: usize>(items: &[T], bytes: impl Fn(&T) -> [u8; N]) -> Run {
    let mut all = Vec::with_capacity(items.len() * N);
    items
        .iter()
        .for_each(|item| all.extend_from_slice(&bytes(item)));
    Run(all)
}

/// What [`run`] was made of; bytes that make no whole item are left out.
fn items<T, const N: usize>(run: &[u8], item: impl Fn(&[u8; N]) -> T) -> Vec<T> {
    run.as_chunks::<N>().0.iter().map(item).collect()
}

/// The `N`-byte word at place `i` of a run of such words.
fn word<const N: usize>(bytes: &[u8], i: usize) -> [u8; N] {
    bytes.as_chunks::<N>().0.get(i).copied().unwrap_or([0; N])
}

fn whole(bytes: &[u8], i: usize) -> u32 {
    u32::from_le_bytes(word(bytes, i))
}

fn double(bytes: &[u8], i: usize) -> f64 {
    f64::from_le_bytes(word(bytes, i))
}

/// `M` bytes of `K` words of `N` bytes.
fn joined<const K: usize, const N: usize, const M: usize>(words: [[u8; N]; K]) -> [u8; M] {
    let mut all = [0; M];
    all.copy_from_slice(words.as_flattened());
    all
}

impl Serialize for Mesh {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let (nodes, order) = self.tree.lists();
        Carried {
            vertices: run(&self.vertices, |v| {
                joined::<3, 8, 24>(v.to_array().map(f64::to_le_bytes))
            }),
            triangles: run(&self.triangles, |t| {
                joined::<3, 4, 12>(t.map(u32::to_le_bytes))
            }),
            nodes: run(nodes, |n| {
                joined::<13, 4, 52>(n.words().map(u32::to_le_bytes))
            }),
            order: run(order, |i| i.to_le_bytes()),
            bounds: [self.bounds.mins, self.bounds.maxs].map(|v| v.to_array()),
            topology: self.topology,
            dropped: self.dropped,
        }
        .serialize(to)
    }
}

impl<'de> Deserialize<'de> for Mesh {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let carried = Carried::<&'de [u8]>::deserialize(from)?;
        let vertices = items::<_, 24>(carried.vertices, |b| {
            Vec3::new(double(b, 0), double(b, 1), double(b, 2))
        });
        let triangles = items::<_, 12>(carried.triangles, |b| {
            [whole(b, 0), whole(b, 1), whole(b, 2)]
        });
        let nodes = items::<_, 52>(carried.nodes, |b| {
            super::tree::Node::from_words(std::array::from_fn(|i| whole(b, i)))
        });
        let order = items::<_, 4>(carried.order, |b| whole(b, 0));
        let known = vertices.len() as u32;
        let sound = vertices.iter().all(|v| v.is_finite())
            && triangles.iter().flatten().all(|&v| v < known);
        let tree = Tree::of_lists(nodes, order, triangles.len()).filter(|_| sound);
        let tree = tree.ok_or_else(|| D::Error::custom("a mesh that does not fit together"))?;
        let [mins, maxs] = carried.bounds.map(Vec3::from_array);
        Ok(Self {
            vertices,
            triangles,
            bounds: Aabb { mins, maxs },
            tree,
            topology: carried.topology,
            dropped: carried.dropped,
        })
    }
}

/// A mesh that is shared, as it travels.
pub(crate) mod shared {
    use std::sync::Arc;

    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::mesh::Mesh;

    pub(crate) fn serialize<S: Serializer>(mesh: &Arc<Mesh>, to: S) -> Result<S::Ok, S::Error> {
        mesh.as_ref().serialize(to)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Arc<Mesh>, D::Error> {
        Mesh::deserialize(from).map(Arc::new)
    }
}

/// Bounds, as they travel: least and greatest corner.
pub(crate) mod bounds {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::math::{Aabb, Vec3};

    pub(crate) fn serialize<S: Serializer>(bounds: &Aabb, to: S) -> Result<S::Ok, S::Error> {
        [bounds.mins, bounds.maxs]
            .map(|v| v.to_array())
            .serialize(to)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Aabb, D::Error> {
        let [mins, maxs] = <[[f64; 3]; 2]>::deserialize(from)?.map(Vec3::from_array);
        Ok(Aabb { mins, maxs })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::mesh::tests::wavy;

    #[test]
    fn a_mesh_comes_back_as_it_was_and_answers_the_same() {
        let mesh = wavy(30);
        let bytes = rmp_serde::to_vec_named(&mesh).unwrap();
        let back: Mesh = rmp_serde::from_slice(&bytes).unwrap();
        assert_eq!(back.vertices(), mesh.vertices());
        assert_eq!(back.triangles(), mesh.triangles());
        assert_eq!(back.topology(), mesh.topology());
        assert_eq!(back.aabb(), mesh.aabb());
        for at in [[1.3, 2.2, 1.9], [-0.7, 0.4, -1.0], [3.9, 3.9, 0.1]].map(Vec3::from_array) {
            assert_eq!(back.nearest_to(at), mesh.nearest_to(at));
            assert_eq!(back.cast_ray(at, -Vec3::Z), mesh.cast_ray(at, -Vec3::Z));
            assert_eq!(
                back.lowest_surface(at.x, at.y),
                mesh.lowest_surface(at.x, at.y)
            );
        }
    }

    #[test]
    fn a_broken_mesh_is_refused_not_walked() {
        let whole = rmp_serde::to_vec_named(&wavy(12)).unwrap();
        let mut refused = 0;
        for at in (0..whole.len()).step_by(97) {
            let mut broken = whole.clone();
            broken[at] ^= 0xff;
            match rmp_serde::from_slice::<Mesh>(&broken) {
                // A coordinate may be another and the mesh still whole: it must be safe to ask.
                Ok(mesh) => {
                    mesh.nearest_to(Vec3::ZERO);
                    mesh.contains(Vec3::new(2.0, 2.0, 0.2));
                }
                Err(_) => refused += 1,
            }
            assert!(rmp_serde::from_slice::<Mesh>(&whole[..at]).is_err());
        }
        assert!(refused > 10, "{refused}");
    }
}
