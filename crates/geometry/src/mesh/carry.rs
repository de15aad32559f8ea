//! A mesh written and read back with its search tree, so that the tree need not be grown again: what
//! a worker hands to the thread that draws. No file format: it may be another in every version.
//!
//! The large lists go in runs of bytes of about a megabyte, so that whoever has a frame to draw can take some, draw, and
//! take more. A codec that cannot lend out bytes, as JSON, is refused.

use parry3d_f64::bounding_volume::Aabb;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::tree::{Node, Tree};
use super::{Mesh, Topology};
use crate::math::Vec3;

/// Bytes in a run, at most.
const RUN: usize = 1 << 20;
/// Bytes of a vertex, a triangle, a node of the tree, and a place in its order.
const SIZES: [usize; 4] = [24, 12, 52, 4];

/// What a mesh is but for its large lists: the first of it to travel.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct MeshHead {
    /// How many vertices, triangles, nodes and places in their order.
    counts: [usize; 4],
    bounds: [[f64; 3]; 2],
    topology: Topology,
    dropped: usize,
}

/// A mesh on its way: its head is here, of its lists what was taken so far.
#[derive(Debug)]
pub struct MeshArrival {
    head: MeshHead,
    vertices: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    nodes: Vec<Node>,
    order: Vec<u32>,
    sound: bool,
}

/// A mesh as a codec has it.
#[derive(Serialize, Deserialize)]
struct Carried<R> {
    head: MeshHead,
    runs: Vec<R>,
}

/// Numbers in a row, little-endian.
struct Run(Vec<u8>);

impl Serialize for Run {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_bytes(&self.0)
    }
}

/// The `at`th run of a list.
fn run<T, const N: usize>(items: &[T], at: usize, bytes: impl Fn(&T) -> [u8; N]) -> Vec<u8> {
    let most = RUN / N;
    let items = items.chunks(most).nth(at).unwrap_or_default();
    let mut all = Vec::with_capacity(items.len() * N);
    items
        .iter()
        .for_each(|item| all.extend_from_slice(&bytes(item)));
    all
}

/// What a [`run`] was made of; bytes that make no whole item are left out.
fn items<T, const N: usize>(run: &[u8], item: impl Fn(&[u8; N]) -> T) -> impl Iterator<Item = T> {
    run.as_chunks::<N>().0.iter().map(item)
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

/// What a mesh is made of, to travel.
impl Mesh {
    /// All but its large lists.
    pub fn head(&self) -> MeshHead {
        MeshHead {
            counts: self.counts(),
            bounds: [self.bounds.mins, self.bounds.maxs].map(|v| v.to_array()),
            topology: self.topology,
            dropped: self.dropped,
        }
    }

    /// The `at`th run of its large lists, in the order that [`MeshArrival::take`] wants them; none after the last.
    pub fn run(&self, at: usize) -> Option<Vec<u8>> {
        let (nodes, order) = self.tree.lists();
        let mut at = at;
        for (list, (count, size)) in self.counts().into_iter().zip(SIZES).enumerate() {
            let runs = count.div_ceil(RUN / size);
            if at < runs {
                return Some(match list {
                    0 => run(&self.vertices, at, |v| {
                        joined::<3, 8, 24>(v.to_array().map(f64::to_le_bytes))
                    }),
                    1 => run(&self.triangles, at, |t| {
                        joined::<3, 4, 12>(t.map(u32::to_le_bytes))
                    }),
                    2 => run(nodes, at, |n| {
                        joined::<13, 4, 52>(n.words().map(u32::to_le_bytes))
                    }),
                    _ => run(order, at, |i| i.to_le_bytes()),
                });
            }
            at -= runs;
        }
        None
    }

    /// How many vertices, triangles, nodes and places in their order.
    fn counts(&self) -> [usize; 4] {
        let (nodes, order) = self.tree.lists();
        [
            self.vertices.len(),
            self.triangles.len(),
            nodes.len(),
            order.len(),
        ]
    }
}

impl MeshArrival {
    /// Waits for the lists of the mesh of this head.
    pub fn new(head: MeshHead) -> Self {
        Self {
            head,
            vertices: Vec::new(),
            triangles: Vec::new(),
            nodes: Vec::new(),
            order: Vec::new(),
            sound: true,
        }
    }

    /// Takes the next run of [`Mesh::run`], and looks whether it fits together with the rest.
    pub fn take(&mut self, run: &[u8]) {
        let [vertices, triangles, nodes, order] = self.head.counts;
        if self.vertices.len() < vertices {
            make_room(&mut self.vertices, vertices);
            self.vertices.extend(items::<_, 24>(run, |b| {
                Vec3::new(double(b, 0), double(b, 1), double(b, 2))
            }));
            let new = self.vertices.iter().rev().take(run.len() / 24);
            self.sound &= new.into_iter().all(|v| v.is_finite());
        } else if self.triangles.len() < triangles {
            let from = self.triangles.len();
            make_room(&mut self.triangles, triangles);
            self.triangles.extend(items::<_, 12>(run, |b| {
                [whole(b, 0), whole(b, 1), whole(b, 2)]
            }));
            let corners = self.triangles[from..].iter().flatten();
            self.sound &= corners.into_iter().all(|&v| (v as usize) < vertices);
        } else if self.nodes.len() < nodes {
            let from = self.nodes.len();
            make_room(&mut self.nodes, nodes);
            self.nodes.extend(items::<_, 52>(run, |b| {
                Node::from_words(std::array::from_fn(|i| whole(b, i)))
            }));
            let new = self.nodes[from..].iter().enumerate();
            self.sound &= new
                .into_iter()
                .all(|(i, node)| node.fits(from + i, nodes, order));
        } else {
            let from = self.order.len();
            make_room(&mut self.order, order);
            self.order.extend(items::<_, 4>(run, |b| whole(b, 0)));
            let new = self.order[from..].iter();
            self.sound &= new.into_iter().all(|&t| (t as usize) < triangles);
        }
    }

    /// The mesh; none if it is not all there, or does not fit together.
    pub fn finish(self) -> Option<Mesh> {
        let [vertices, triangles, nodes, order] = self.head.counts;
        let all = self.vertices.len() == vertices
            && self.triangles.len() == triangles
            && self.nodes.len() == nodes
            && self.order.len() == order;
        let whole = all && self.sound && triangles > 0 && nodes > 0 && order == triangles;
        let [mins, maxs] = self.head.bounds.map(Vec3::from_array);
        whole.then(|| Mesh {
            vertices: self.vertices,
            triangles: self.triangles,
            bounds: Aabb { mins, maxs },
            tree: Tree::of_lists(self.nodes, self.order),
            topology: self.head.topology,
            dropped: self.head.dropped,
        })
    }
}

/// Items that room is made for at once; for what a head claims beyond, room is made as it comes.
const ROOM: usize = 1 << 22;

/// Makes room for a list as a whole: growing it would copy it again and again.
fn make_room<T>(list: &mut Vec<T>, count: usize) {
    if list.is_empty() {
        list.reserve_exact(count.min(ROOM));
    }
}

impl Serialize for Mesh {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let runs = (0..).map_while(|at| self.run(at).map(Run)).collect();
        Carried {
            head: self.head(),
            runs,
        }
        .serialize(to)
    }
}

impl<'de> Deserialize<'de> for Mesh {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let carried = Carried::<&'de [u8]>::deserialize(from)?;
        let mut arrival = MeshArrival::new(carried.head);
        carried.runs.iter().for_each(|run| arrival.take(run));
        let mesh = arrival.finish();
        mesh.ok_or_else(|| D::Error::custom("a mesh that does not fit together"))
    }
}

/// A mesh that is shared, as it travels.
pub mod shared {
    use std::sync::Arc;

    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::mesh::Mesh;

    /// Writes the mesh behind the pointer.
    ///
    /// # Errors
    /// Those of the codec.
    pub fn serialize<S: Serializer>(mesh: &Arc<Mesh>, to: S) -> Result<S::Ok, S::Error> {
        mesh.as_ref().serialize(to)
    }

    /// Reads a mesh of its own.
    ///
    /// # Errors
    /// Those of the codec, and a mesh that does not fit together.
    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Arc<Mesh>, D::Error> {
        Mesh::deserialize(from).map(Arc::new)
    }
}

/// Bounds, as they travel: least and greatest corner.
pub mod bounds {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::math::{Aabb, Vec3};

    /// Writes both corners.
    ///
    /// # Errors
    /// Those of the codec.
    pub fn serialize<S: Serializer>(bounds: &Aabb, to: S) -> Result<S::Ok, S::Error> {
        [bounds.mins, bounds.maxs]
            .map(|v| v.to_array())
            .serialize(to)
    }

    /// Reads both corners.
    ///
    /// # Errors
    /// Those of the codec.
    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Aabb, D::Error> {
        let [mins, maxs] = <[[f64; 3]; 2]>::deserialize(from)?.map(Vec3::from_array);
        Ok(Aabb { mins, maxs })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::solids::wavy;

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
    fn a_mesh_of_several_runs_comes_back_and_one_that_lacks_a_run_does_not() {
        let mesh = wavy(250);
        let runs: Vec<_> = (0..).map_while(|at| mesh.run(at)).collect();
        assert!(runs.len() > 6, "{} runs", runs.len());
        let arrived = |runs: &[Vec<u8>]| {
            let mut arrival = MeshArrival::new(mesh.head());
            runs.iter().for_each(|run| arrival.take(run));
            arrival.finish()
        };
        let back = arrived(&runs).unwrap();
        assert_eq!(back.vertices(), mesh.vertices());
        assert_eq!(back.triangles(), mesh.triangles());
        let at = Vec3::new(1.3, 2.2, 1.9);
        assert_eq!(back.nearest_to(at), mesh.nearest_to(at));
        assert!(arrived(&runs[..runs.len() - 1]).is_none());
        assert!(arrived(&runs[1..]).is_none());
        assert!(arrived(&[]).is_none());
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
