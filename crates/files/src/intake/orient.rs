//! Which side is out; shells; rims of holes.

use std::collections::HashMap;

use foldhash::fast::FixedState;
use keelstead_geometry::math::Vec3;

use super::soup::Soup;

/// A connected set of triangles.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Shell {
    /// How many triangles.
    pub triangles: usize,
    /// Area, in the square of the mesh's unit.
    pub area: f64,
    /// Least coordinates.
    pub min: [f64; 3],
    /// Greatest coordinates.
    pub max: [f64; 3],
    /// Whether it has no rim.
    pub closed: bool,
}

/// The rim of a hole.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Hole {
    /// How many edges.
    pub edges: usize,
    /// Length of its rim, in the mesh's unit.
    pub length: f64,
    /// Middle of its rim's box.
    pub centre: [f64; 3],
    /// Size of its rim's box.
    pub size: [f64; 3],
}

/// What was found and done about sides.
#[derive(Debug, Clone, PartialEq, Default, serde::Serialize, serde::Deserialize)]
pub struct Sides {
    /// Connected sets of triangles, largest area first.
    pub shells: Vec<Shell>,
    /// Rims, longest first.
    pub holes: Vec<Hole>,
    /// Edges with more than two triangles.
    pub shared_edges: usize,
    /// Triangles that were turned over.
    pub turned: usize,
    /// Edges over which neighbours could not be made to agree (a one-sided surface).
    pub disagreeing: usize,
    /// Shell of each triangle, as an index of `shells`.
    #[serde(skip)]
    pub(super) shell_of: Vec<u32>,
    /// Edges with one triangle, as it runs them.
    #[serde(skip)]
    pub(super) rim: Vec<[u32; 2]>,
    /// The triangle of each of them.
    #[serde(skip)]
    pub(super) rim_of: Vec<u32>,
}

/// An edge of a triangle: its ends in order, and which triangle runs it which way.
struct Edge {
    ends: u64,
    triangle: u32,
    back: bool,
}

/// Makes neighbours agree, turns every shell outward, and lists shells and holes.
pub(super) fn orient(soup: &mut Soup) -> Sides {
    let edges = edges(soup);
    let groups: Vec<&[Edge]> = edges.chunk_by(|a, b| a.ends == b.ends).collect();
    let (shell_of, count, turned) = flood(soup.triangles.len(), &groups);
    let outward = outward(soup, &groups, &shell_of, &turned, count);
    let mut flipped = 0;
    let mut over = vec![false; turned.len()];
    for (i, triangle) in soup.triangles.iter_mut().enumerate() {
        over[i] = turned[i] != outward[shell_of[i] as usize];
        if over[i] {
            triangle.swap(1, 2);
            flipped += 1;
        }
    }
    let runs_back = |e: &Edge| e.back != over[e.triangle as usize];
    let mut sides = Sides {
        turned: flipped,
        ..Sides::default()
    };
    for group in &groups {
        match group {
            [one] => {
                let ends = [(one.ends >> 32) as u32, one.ends as u32];
                sides.rim_of.push(one.triangle);
                sides.rim.push(if runs_back(one) {
                    [ends[1], ends[0]]
                } else {
                    ends
                });
            }
            [a, b] => sides.disagreeing += usize::from(runs_back(a) == runs_back(b)),
            _ => sides.shared_edges += 1,
        }
    }
    sides.holes = holes(&soup.positions, &sides.rim);
    shells(soup, shell_of, count, &mut sides);
    sides
}

fn edges(soup: &Soup) -> Vec<Edge> {
    let mut edges: Vec<Edge> = soup
        .triangles
        .iter()
        .enumerate()
        .flat_map(|(i, &[a, b, c])| {
            [(a, b), (b, c), (c, a)].map(|(from, to)| Edge {
                ends: u64::from(from.min(to)) << 32 | u64::from(from.max(to)),
                triangle: i as u32,
                back: from > to,
            })
        })
        .collect();
    edges.sort_unstable_by_key(|e| (e.ends, e.triangle));
    edges
}

/// Shell of each triangle, how many shells, and which triangles to turn so that neighbours over an
/// edge of two agree. Triangles that share only an edge of more belong to one shell all the same.
fn flood(count: usize, groups: &[&[Edge]]) -> (Vec<u32>, usize, Vec<bool>) {
    // Weighted union-find with parity: each triangle against the head of its set.
    let mut sets = Sets::new(count);
    for group in groups {
        if let [a, b] = group {
            sets.join(a.triangle, b.triangle, a.back == b.back);
        }
    }
    for group in groups.iter().filter(|group| group.len() > 2) {
        // Where skins meet, the file knows best which faces which way, if its triangles balance there.
        let back = group.iter().filter(|e| e.back).count();
        let as_given = 2 * back == group.len();
        for pair in group.windows(2) {
            let turned = !as_given && pair[0].back == pair[1].back;
            sets.join(pair[0].triangle, pair[1].triangle, turned);
        }
    }
    let mut number = vec![u32::MAX; count];
    let mut shells = 0;
    let mut turned = vec![false; count];
    let shell_of = (0..count as u32)
        .map(|i| {
            let (head, parity) = sets.head(i);
            turned[i as usize] = parity;
            let slot = &mut number[head as usize];
            if *slot == u32::MAX {
                *slot = shells;
                shells += 1;
            }
            *slot
        })
        .collect();
    (shell_of, shells as usize, turned)
}

struct Sets {
    parent: Vec<u32>,
    /// Whether a triangle is turned against its parent.
    odd: Vec<bool>,
}

impl Sets {
    fn new(count: usize) -> Self {
        Self {
            parent: (0..count as u32).collect(),
            odd: vec![false; count],
        }
    }

    /// Head of a triangle's set, and whether the triangle is turned against it.
    fn head(&mut self, mut i: u32) -> (u32, bool) {
        let mut parity = false;
        while self.parent[i as usize] != i {
            let parent = self.parent[i as usize];
            let above = self.parent[parent as usize];
            // Halving the path on the way keeps later look-ups short.
            if above != parent {
                self.odd[i as usize] ^= self.odd[parent as usize];
                self.parent[i as usize] = above;
            }
            parity ^= self.odd[i as usize];
            i = self.parent[i as usize];
        }
        (i, parity)
    }

    fn join(&mut self, a: u32, b: u32, turned: bool) {
        let ((a, a_odd), (b, b_odd)) = (self.head(a), self.head(b));
        if a != b {
            let (low, high) = (a.min(b), a.max(b));
            self.parent[high as usize] = low;
            self.odd[high as usize] = a_odd ^ b_odd ^ turned;
        }
    }
}

/// Whether each shell, its triangles turned to agree, faces in. Of an open shell the cone from its
/// rim's middle stands in for the missing surface.
fn outward(
    soup: &Soup,
    groups: &[&[Edge]],
    shell_of: &[u32],
    turned: &[bool],
    count: usize,
) -> Vec<bool> {
    let mut rim = vec![(Vec3::ZERO, 0.0_f64); count];
    let mut any = vec![Vec3::ZERO; count];
    for (i, &shell) in shell_of.iter().enumerate() {
        any[shell as usize] = soup.corners(i)[0];
    }
    for group in groups {
        if let [one] = group {
            let [a, b] = [(one.ends >> 32) as usize, (one.ends & 0xFFFF_FFFF) as usize]
                .map(|i| soup.positions[i]);
            let length = (b - a).length();
            let sum = &mut rim[shell_of[one.triangle as usize] as usize];
            sum.0 += (a + b) * (0.5 * length);
            sum.1 += length;
        }
    }
    let apex: Vec<Vec3> = rim
        .iter()
        .zip(&any)
        .map(|(&(sum, length), &any)| if length > 0.0 { sum / length } else { any })
        .collect();
    let mut volume = vec![0.0; count];
    for (i, &shell) in shell_of.iter().enumerate() {
        let [a, b, c] = soup.corners(i).map(|p| p - apex[shell as usize]);
        let part = a.dot(b.cross(c));
        volume[shell as usize] += if turned[i] { -part } else { part };
    }
    volume.iter().map(|v| *v < 0.0).collect()
}

/// Rims followed from edge to edge, each a list of edges; one that meets itself is parted there.
pub(super) fn rims(rim: &[[u32; 2]]) -> Vec<Vec<usize>> {
    let mut from: Vec<usize> = (0..rim.len()).collect();
    from.sort_unstable_by_key(|&i| rim[i][0]);
    let next = |vertex: u32, used: &[bool]| {
        let start = from.partition_point(|&i| rim[i][0] < vertex);
        from[start..]
            .iter()
            .take_while(|&&i| rim[i][0] == vertex)
            .find(|&&i| !used[i])
            .copied()
    };
    let mut used = vec![false; rim.len()];
    let mut loops = Vec::new();
    let mut place: HashMap<u32, usize, FixedState> = HashMap::default();
    for start in 0..rim.len() {
        if used[start] {
            continue;
        }
        let mut walked: Vec<usize> = Vec::new();
        place.clear();
        let mut at = Some(start);
        while let Some(edge) = at {
            used[edge] = true;
            place.insert(rim[edge][0], walked.len());
            walked.push(edge);
            let to = rim[edge][1];
            if let Some(&back) = place.get(&to) {
                let round = walked.split_off(back);
                round.iter().for_each(|&e| {
                    place.remove(&rim[e][0]);
                });
                loops.push(round);
            }
            at = next(to, &used);
        }
        if !walked.is_empty() {
            loops.push(walked);
        }
    }
    loops
}

/// The holes that a rim is of, longest first.
pub(super) fn holes(positions: &[Vec3], rim: &[[u32; 2]]) -> Vec<Hole> {
    let mut holes: Vec<Hole> = rims(rim)
        .iter()
        .map(|round| {
            let mut low = Vec3::splat(f64::INFINITY);
            let mut high = Vec3::splat(f64::NEG_INFINITY);
            let mut length = 0.0;
            for &edge in round {
                let [a, b] = rim[edge].map(|i| positions[i as usize]);
                low = low.min(a).min(b);
                high = high.max(a).max(b);
                length += (b - a).length();
            }
            Hole {
                edges: round.len(),
                length,
                centre: ((low + high) * 0.5).to_array(),
                size: (high - low).to_array(),
            }
        })
        .collect();
    holes.sort_by(|a, b| b.length.total_cmp(&a.length));
    holes
}

fn shells(soup: &Soup, shell_of: Vec<u32>, count: usize, sides: &mut Sides) {
    let blank = Shell {
        triangles: 0,
        area: 0.0,
        min: [f64::INFINITY; 3],
        max: [f64::NEG_INFINITY; 3],
        closed: true,
    };
    let mut shells = vec![blank; count];
    let mut shell_at = vec![0_u32; soup.positions.len()];
    for (i, &of) in shell_of.iter().enumerate() {
        let shell = &mut shells[of as usize];
        let [a, b, c] = soup.corners(i);
        shell.triangles += 1;
        shell.area += 0.5 * (b - a).cross(c - a).length();
        for p in [a, b, c].map(|p| p.to_array()) {
            shell.min = std::array::from_fn(|k| shell.min[k].min(p[k]));
            shell.max = std::array::from_fn(|k| shell.max[k].max(p[k]));
        }
        for vertex in soup.triangles[i] {
            shell_at[vertex as usize] = of;
        }
    }
    for edge in &sides.rim {
        shells[shell_at[edge[0] as usize] as usize].closed = false;
    }
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&a, &b| shells[b].area.total_cmp(&shells[a].area));
    let mut place = vec![0; count];
    for (rank, &i) in order.iter().enumerate() {
        place[i] = rank as u32;
    }
    sides.shell_of = shell_of.into_iter().map(|of| place[of as usize]).collect();
    sides.shells = order.into_iter().map(|i| shells[i].clone()).collect();
}
