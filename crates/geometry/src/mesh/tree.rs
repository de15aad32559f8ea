//! The search tree over the triangles of a mesh.
//!
//! Boxes within boxes, each with the slab between two parallel planes that its surface lies in. A
//! patch of a boat's skin is thin along its normal and seldom square to an axis: its box alone is
//! a poor bound on how far it reaches, and the slab a good one.
//!
//! Bounds are single precision, rounded outward, so that a node takes less than a cache line; what
//! is measured on triangles is double.

use crate::math::Vec3;

mod grow;

/// A box of the tree and the slab in it.
#[derive(Debug, Clone, Copy)]
pub struct Node {
    lo: [f32; 3],
    hi: [f32; 3],
    /// Mean normal of the surface; its length need not be exactly one.
    normal: [f32; 3],
    /// Least and greatest product of the normal and a point of the surface.
    between: [f32; 2],
    /// First triangle in order, or the left of two children that stand side by side.
    first: u32,
    /// Triangles of a leaf; none for a node with children.
    count: u32,
}

impl Node {
    const EMPTY: Self = Self {
        lo: [0.0; 3],
        hi: [0.0; 3],
        normal: [0.0; 3],
        between: [0.0; 2],
        first: 0,
        count: 0,
    };

    /// All it holds, as words.
    pub(super) fn words(&self) -> [u32; 13] {
        let [[a, b, c], [d, e, f], [g, h, i]] =
            [self.lo, self.hi, self.normal].map(|v| v.map(f32::to_bits));
        let [j, k] = self.between.map(f32::to_bits);
        [a, b, c, d, e, f, g, h, i, j, k, self.first, self.count]
    }

    /// The node of these [`Node::words`].
    pub(super) fn from_words(words: [u32; 13]) -> Self {
        let [a, b, c, d, e, f, g, h, i, j, k, first, count] = words;
        let [lo, hi, normal] = [[a, b, c], [d, e, f], [g, h, i]].map(|v| v.map(f32::from_bits));
        Self {
            lo,
            hi,
            normal,
            between: [j, k].map(f32::from_bits),
            first,
            count,
        }
    }

    /// Whether it may stand at this place of a list of so many nodes, over an order of so many triangles.
    pub(super) fn fits(&self, at: usize, nodes: usize, order: usize) -> bool {
        let (first, count) = (self.first as usize, self.count as usize);
        if count > 0 {
            first.checked_add(count).is_some_and(|end| end <= order)
        } else {
            // Children come after their parent, so every way down ends.
            first > at && first < nodes - 1
        }
    }

    /// Corner with the least coordinates.
    pub fn lo(&self) -> Vec3 {
        wide(self.lo)
    }

    /// Corner with the greatest coordinates.
    pub fn hi(&self) -> Vec3 {
        wide(self.hi)
    }

    /// Middle of the box and half its edges.
    pub fn middle_and_half(&self) -> (Vec3, Vec3) {
        let (lo, hi) = (self.lo(), self.hi());
        ((lo + hi) / 2.0, (hi - lo) / 2.0)
    }

    /// A number that no product of `way` and a point of the surface exceeds.
    pub fn reach(&self, way: Vec3) -> f64 {
        let (middle, half) = self.middle_and_half();
        let boxed = middle.dot(way) + half.dot(way.abs());
        // Along the normal by the slab, across it by the box.
        let normal = wide(self.normal);
        let along = way.dot(normal);
        let across = way - along * normal;
        let end = f64::from(self.between[usize::from(along > 0.0)]);
        let slabbed = along * end + middle.dot(across) + half.dot(across.abs());
        boxed.min(slabbed)
    }
}

fn wide(v: [f32; 3]) -> Vec3 {
    Vec3::from_array(v.map(f64::from))
}

/// What is looked for in a tree, the cheapest triangle by some measure.
pub trait Search {
    /// What no triangle in the node costs less than.
    fn least(&self, node: &Node) -> f64;
    /// What a node must cost less than to be worth a look.
    fn best(&self) -> f64;
    /// Looks at a triangle.
    fn look(&mut self, triangle: u32);
}

/// The tree of a mesh.
#[derive(Debug, Clone)]
pub struct Tree {
    nodes: Vec<Node>,
    /// Triangles as the leaves hold them.
    order: Vec<u32>,
}

impl Tree {
    /// A tree over at least one triangle; every index is in range.
    pub(super) fn new(vertices: &[Vec3], triangles: &[[u32; 3]]) -> Self {
        grow::tree(vertices, triangles)
    }

    /// Its nodes, and the triangles as the leaves hold them.
    pub(super) fn lists(&self) -> (&[Node], &[u32]) {
        (&self.nodes, &self.order)
    }

    /// The tree of these [`Tree::lists`]: nodes that [`Node::fits`], an order of triangles that are there.
    pub(super) fn of_lists(nodes: Vec<Node>, order: Vec<u32>) -> Self {
        Self { nodes, order }
    }

    /// Looks at triangles, the most promising first, until none left can cost less than the best.
    pub fn search(&self, search: &mut impl Search) {
        // A cost that is not a number is no reason to pass a node by.
        let worth = |cost: f64, best: f64| cost < best || cost.is_nan();
        let mut waiting: Vec<(f64, u32)> = Vec::with_capacity(48);
        let mut at = 0;
        loop {
            let node = &self.nodes[at as usize];
            if node.count == 0 {
                let cost = |i: u32| search.least(&self.nodes[i as usize]);
                let (left, right) = (cost(node.first), cost(node.first + 1));
                let swap = right < left;
                let (near, far) = if swap { (right, left) } else { (left, right) };
                if worth(far, search.best()) {
                    waiting.push((far, node.first + u32::from(!swap)));
                }
                if worth(near, search.best()) {
                    at = node.first + u32::from(swap);
                    continue;
                }
            } else {
                for &triangle in self.in_leaf(node) {
                    search.look(triangle);
                }
            }
            at = loop {
                match waiting.pop() {
                    Some((cost, next)) if worth(cost, search.best()) => break next,
                    Some(_) => {}
                    None => return,
                }
            };
        }
    }

    /// Hands over every triangle of the leaves reached through nodes that `enter` lets pass.
    pub fn each(&self, enter: impl Fn(&Node) -> bool, mut triangle: impl FnMut(u32)) {
        let mut waiting: Vec<u32> = Vec::with_capacity(64);
        waiting.push(0);
        while let Some(at) = waiting.pop() {
            let node = &self.nodes[at as usize];
            if !enter(node) {
                continue;
            }
            if node.count == 0 {
                waiting.extend([node.first + 1, node.first]);
            } else {
                self.in_leaf(node).iter().for_each(|&t| triangle(t));
            }
        }
    }

    fn in_leaf(&self, node: &Node) -> &[u32] {
        let first = node.first as usize;
        &self.order[first..first + node.count as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Mesh;
    use crate::solids::wavy;

    /// All triangles below a node.
    fn below_node(tree: &Tree, at: u32) -> Vec<u32> {
        let node = &tree.nodes[at as usize];
        if node.count > 0 {
            return tree.in_leaf(node).to_vec();
        }
        let mut all = below_node(tree, node.first);
        all.extend(below_node(tree, node.first + 1));
        all
    }

    fn corners(mesh: &Mesh, triangles: &[u32]) -> Vec<Vec3> {
        let of = |&t: &u32| mesh.triangles()[t as usize].map(|v| mesh.vertices()[v as usize]);
        triangles.iter().flat_map(of).collect()
    }

    #[test]
    fn every_triangle_stands_in_one_leaf_and_no_node_understates_its_reach() {
        // The second is large enough for its halves to grow apart.
        for cells in [9, 96] {
            let mesh = wavy(cells);
            let tree = mesh.tree();
            let mut all = below_node(tree, 0);
            all.sort_unstable();
            assert!(all.iter().copied().eq(0..mesh.triangles().len() as u32));
            let ways = [[1.0, 0.0, 0.0], [0.3, -0.2, 0.9], [-0.1, 0.05, -0.99]];
            for at in (0..tree.nodes.len() as u32).step_by(1 + tree.nodes.len() / 400) {
                let node = &tree.nodes[at as usize];
                let corners = corners(&mesh, &below_node(tree, at));
                for way in ways.map(Vec3::from_array) {
                    let reach = corners.iter().map(|v| v.dot(way)).fold(f64::MIN, f64::max);
                    assert!(node.reach(way) >= reach - 1e-12, "node {at} along {way}");
                }
                let within = |v: &Vec3| v.cmpge(node.lo()).all() && v.cmple(node.hi()).all();
                assert!(corners.iter().all(within), "node {at}");
            }
        }
    }

    #[test]
    fn a_slab_bounds_a_slanted_patch_closer_than_its_box() {
        let slope = [[0.0, 0.0, 0.0], [1.0, 0.0, 1.0], [0.0, 1.0, 0.0]].map(Vec3::from_array);
        let mesh = Mesh::new(slope.to_vec(), vec![[0, 1, 2]]);
        let reach = mesh.map(|m| m.tree().nodes[0].reach(Vec3::new(-1.0, 0.0, 1.0)));
        // Along its normal the patch is flat at 0; its box reaches to (0, ., 1), so 1.
        assert!(reach.is_ok_and(|r| r.abs() < 1e-6));
    }

    #[test]
    fn triangles_all_in_one_place_still_make_a_tree() {
        let at = [[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]].map(Vec3::from_array);
        let vertices = at.repeat(100);
        let triangles = (0..100)
            .map(|i| [3 * i, 3 * i + 1, 3 * i + 2])
            .collect::<Vec<_>>();
        let tree = Tree::new(&vertices, &triangles);
        assert_eq!(below_node(&tree, 0).len(), 100);
    }
}
