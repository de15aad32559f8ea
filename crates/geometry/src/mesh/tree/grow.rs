//! How a tree grows: from the whole down, each range parted where the halves are smallest; then each
//! node's slab from the leaves up.

use super::{Node, Tree, wide};
use crate::math::Vec3;
use crate::parallel::both;

/// Most triangles in a leaf.
const LEAF: usize = 6;

/// Classes a range is sorted into to find where to part it.
const BINS: usize = 16;

/// From so many triangles on the two halves grow each on its own.
const APART: usize = 1 << 14;

/// A tree over at least one triangle; every index is in range.
pub(super) fn tree(vertices: &[Vec3], triangles: &[[u32; 3]]) -> Tree {
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
    Tree {
        nodes,
        order: items.iter().map(|i| i.id).collect(),
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
