//! The search tree over the triangles of a mesh.
//!
//! Boxes within boxes, each with the slab between two parallel planes that its surface lies in. A
//! patch of a boat's skin is thin along its normal and seldom square to an axis: its box alone is
//! a poor bound on how far it reaches, and the slab a good one.
//!
//! Bounds are single precision, rounded outward, so that a node takes less than a cache line; what
//! is measured on triangles is double.

use crate::math::Vec3;
use crate::parallel::both;

/// Most triangles in a leaf.
const LEAF: usize = 4;

/// Classes a range is sorted into to find where to part it.
const BINS: usize = 16;

/// From so many triangles on the two halves grow each on its own.
const APART: usize = 1 << 14;

/// A box of the tree and the slab in it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Node {
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

    /// Corner with the least coordinates.
    pub(crate) fn lo(&self) -> Vec3 {
        wide(self.lo)
    }

    /// Corner with the greatest coordinates.
    pub(crate) fn hi(&self) -> Vec3 {
        wide(self.hi)
    }

    /// Middle of the box and half its edges.
    pub(crate) fn middle_and_half(&self) -> (Vec3, Vec3) {
        let (lo, hi) = (self.lo(), self.hi());
        ((lo + hi) / 2.0, (hi - lo) / 2.0)
    }

    /// A number that no product of `way` and a point of the surface exceeds.
    pub(crate) fn reach(&self, way: Vec3) -> f64 {
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

/// What is looked for in a tree, the cheapest triangle by some measure.
pub(crate) trait Search {
    /// What no triangle in the node costs less than.
    fn least(&self, node: &Node) -> f64;
    /// What a node must cost less than to be worth a look.
    fn best(&self) -> f64;
    /// Looks at a triangle.
    fn look(&mut self, triangle: u32);
}

/// The tree of a mesh.
#[derive(Debug, Clone)]
pub(crate) struct Tree {
    nodes: Vec<Node>,
    /// Triangles as the leaves hold them.
    order: Vec<u32>,
}

impl Tree {
    /// A tree over at least one triangle; every index is in range.
    pub(super) fn new(vertices: &[Vec3], triangles: &[[u32; 3]]) -> Self {
        let mut items: Vec<Item> = triangles
            .iter()
            .zip(0..)
            .map(|(t, id)| {
                let [a, b, c] = t.map(|i| vertices[i as usize]);
                Item {
                    lo: below(a.min(b).min(c)),
                    hi: above(a.max(b).max(c)),
                    id,
                }
            })
            .collect();
        let ground = Ground {
            vertices,
            triangles,
        };
        let (nodes, _) = ground.grow(&mut items, 0);
        Self {
            nodes,
            order: items.iter().map(|i| i.id).collect(),
        }
    }

    /// Looks at triangles, the most promising first, until none left can cost less than the best.
    pub(crate) fn search(&self, search: &mut impl Search) {
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
    pub(crate) fn each(&self, enter: impl Fn(&Node) -> bool, mut triangle: impl FnMut(u32)) {
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

/// A triangle while the tree grows.
#[derive(Clone, Copy)]
struct Item {
    lo: [f32; 3],
    hi: [f32; 3],
    id: u32,
}

impl Item {
    fn middle(&self, axis: usize) -> f32 {
        (self.lo[axis] + self.hi[axis]) / 2.0
    }
}

/// What a tree grows from.
struct Ground<'a> {
    vertices: &'a [Vec3],
    triangles: &'a [[u32; 3]],
}

impl Ground<'_> {
    /// The nodes over `items`, the root first, and the sum of their triangles' normals. The first
    /// item is the `offset`th of the whole mesh.
    fn grow(&self, items: &mut [Item], offset: u32) -> (Vec<Node>, Vec3) {
        let mut nodes = Vec::with_capacity(items.len());
        nodes.push(Node::EMPTY);
        let normal = self.grow_at(0, items, offset, &mut nodes);
        (nodes, normal)
    }

    fn grow_at(&self, at: usize, items: &mut [Item], offset: u32, nodes: &mut Vec<Node>) -> Vec3 {
        if items.len() <= LEAF {
            let (node, normal) = self.leaf(items, offset);
            nodes[at] = node;
            return normal;
        }
        let middle = part(items);
        let children = nodes.len();
        nodes.extend([Node::EMPTY; 2]);
        let count = items.len();
        let (left, right) = items.split_at_mut(middle);
        let offset_right = offset + middle as u32;
        let normal = if count < APART {
            self.grow_at(children, left, offset, nodes)
                + self.grow_at(children + 1, right, offset_right, nodes)
        } else {
            let (left, right) = both(
                || self.grow(left, offset),
                || self.grow(right, offset_right),
            );
            graft(children, left.0, nodes);
            graft(children + 1, right.0, nodes);
            left.1 + right.1
        };
        nodes[at] = parent(children, normal, nodes);
        normal
    }

    fn leaf(&self, items: &[Item], offset: u32) -> (Node, Vec3) {
        let corners = || {
            items
                .iter()
                .map(|i| self.triangles[i.id as usize].map(|v| self.vertices[v as usize]))
        };
        let sum: Vec3 = corners().map(|[a, b, c]| (b - a).cross(c - a)).sum();
        let normal = narrow(sum.normalize_or_zero());
        let ends = corners().flatten().map(|v| v.dot(wide(normal)));
        let (least, greatest) = ends.fold((f64::MAX, f64::MIN), |(lo, hi), at| {
            (lo.min(at), hi.max(at))
        });
        let (lo, hi) = bounds(items);
        let node = Node {
            lo,
            hi,
            normal,
            between: [down(least), up(greatest)],
            first: offset,
            count: items.len() as u32,
        };
        (node, sum)
    }
}

/// The node over two that stand side by side.
fn parent(children: usize, normal: Vec3, nodes: &[Node]) -> Node {
    let (left, right) = (&nodes[children], &nodes[children + 1]);
    let normal = narrow(normal.normalize_or_zero());
    let way = wide(normal);
    let mut node = Node {
        normal,
        between: [
            down(-left.reach(-way).max(right.reach(-way))),
            up(left.reach(way).max(right.reach(way))),
        ],
        first: children as u32,
        count: 0,
        ..*left
    };
    for axis in 0..3 {
        node.lo[axis] = left.lo[axis].min(right.lo[axis]);
        node.hi[axis] = left.hi[axis].max(right.hi[axis]);
    }
    node
}

/// Puts a tree of its own in the place of the node `at`.
fn graft(at: usize, tree: Vec<Node>, nodes: &mut Vec<Node>) {
    // Its root goes to the place kept for it, so what follows moves by one less.
    let moved = nodes.len() as u32 - 1;
    let shifted = |mut node: Node| {
        if node.count == 0 {
            node.first += moved;
        }
        node
    };
    let mut tree = tree.into_iter().map(shifted);
    if let Some(root) = tree.next() {
        nodes[at] = root;
    }
    nodes.extend(tree);
}

/// Sorts items into two ranges, the first ending where the boxes of both, each weighed by what it
/// holds, have the least surface; in two halves where that parts nothing. Never empty, either.
fn part(items: &mut [Item]) -> usize {
    let (mut least, mut greatest) = ([f32::MAX; 3], [f32::MIN; 3]);
    for item in &*items {
        for axis in 0..3 {
            least[axis] = least[axis].min(item.middle(axis));
            greatest[axis] = greatest[axis].max(item.middle(axis));
        }
    }
    let width = |axis: usize| greatest[axis] - least[axis];
    let axis = (1..3).fold(0, |best, a| if width(a) > width(best) { a } else { best });
    let scale = BINS as f32 / width(axis);
    let bin_of = |item: &Item| (((item.middle(axis) - least[axis]) * scale) as usize).min(BINS - 1);
    let mut bins = [Bin::EMPTY; BINS];
    for item in &*items {
        bins[bin_of(item)].take(item.lo, item.hi, 1);
    }
    let mut behind = [0.0; BINS];
    let mut all = Bin::EMPTY;
    for i in (1..BINS).rev() {
        all.take(bins[i].lo, bins[i].hi, bins[i].count);
        behind[i] = all.cost();
    }
    let (mut ahead, mut best) = (Bin::EMPTY, (f32::INFINITY, 0));
    for i in 1..BINS {
        ahead.take(bins[i - 1].lo, bins[i - 1].hi, bins[i - 1].count);
        let cost = ahead.cost() + behind[i];
        let parts = ahead.count > 0 && (ahead.count as usize) < items.len();
        if parts && cost < best.0 {
            best = (cost, i);
        }
    }
    if best.1 == 0 {
        return items.len() / 2;
    }
    let mut middle = 0;
    for i in 0..items.len() {
        if bin_of(&items[i]) < best.1 {
            items.swap(i, middle);
            middle += 1;
        }
    }
    middle
}

#[derive(Clone, Copy)]
struct Bin {
    lo: [f32; 3],
    hi: [f32; 3],
    count: u32,
}

impl Bin {
    const EMPTY: Self = Self {
        lo: [f32::MAX; 3],
        hi: [f32::MIN; 3],
        count: 0,
    };

    fn take(&mut self, lo: [f32; 3], hi: [f32; 3], count: u32) {
        for axis in 0..3 {
            self.lo[axis] = self.lo[axis].min(lo[axis]);
            self.hi[axis] = self.hi[axis].max(hi[axis]);
        }
        self.count += count;
    }

    fn cost(&self) -> f32 {
        if self.count == 0 {
            return 0.0;
        }
        let [x, y, z] = [0, 1, 2].map(|axis| self.hi[axis] - self.lo[axis]);
        (x * y + y * z + z * x) * self.count as f32
    }
}

fn bounds(items: &[Item]) -> ([f32; 3], [f32; 3]) {
    let mut all = Bin::EMPTY;
    for item in items {
        all.take(item.lo, item.hi, 1);
    }
    (all.lo, all.hi)
}

fn wide(v: [f32; 3]) -> Vec3 {
    Vec3::from_array(v.map(f64::from))
}

fn narrow(v: Vec3) -> [f32; 3] {
    v.to_array().map(|c| c as f32)
}

fn below(v: Vec3) -> [f32; 3] {
    v.to_array().map(down)
}

fn above(v: Vec3) -> [f32; 3] {
    v.to_array().map(up)
}

/// The nearest single that is not greater.
fn down(x: f64) -> f32 {
    let near = x as f32;
    if f64::from(near) > x {
        near.next_down()
    } else {
        near
    }
}

/// The nearest single that is not less.
fn up(x: f64) -> f32 {
    -down(-x)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Mesh;
    use crate::mesh::tests::wavy;

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
