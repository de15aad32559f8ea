//! Open edges that run side by side: a stem that was never joined, a deck a hair off its hull.
//!
//! Two rims are followed against each other from where they meet or come near, like a zip: whichever next place lies
//! near enough to the other side is joined to it by a triangle. Nothing of the mesh is moved.

use std::collections::HashMap;

use foldhash::fast::FixedState;
use keelstead_geometry::math::Vec3;

use super::Slit;
use super::orient::{Sides, orient, rims};
use super::soup::Soup;

/// Slits are looked for up to this part of the boat's length wide: 5 mm of 10 m.
pub(super) const LOOKED_FOR: f64 = 0.000_5;
/// A slit is at least so many times as long as it is wide: else it is a hole or a bend of the rim.
const LONG: f64 = 8.0;
/// Along the rim, two sides of a slit are so many widths apart where they do not meet.
const OTHER_SIDE: f64 = 12.0;

/// The rim as a ring of edges each.
struct Rims<'a> {
    positions: &'a [Vec3],
    rim: &'a [[u32; 2]],
    next: Vec<usize>,
    back: Vec<usize>,
    /// Which round an edge is of, and how far along it starts.
    along: Vec<(usize, f64)>,
    round_lengths: Vec<f64>,
    used: Vec<bool>,
}

/// A slit zipped up.
struct Zip {
    slit: Slit,
    triangles: Vec<[u32; 3]>,
    /// A rim edge of it.
    edge: usize,
}

/// Slits no wider than `width`, and the triangles that close them with the rim's triangle beside each.
fn zips(soup: &Soup, sides: &Sides, width: f64) -> Vec<Zip> {
    let mut rims = Rims::new(&soup.positions, &sides.rim);
    let mut zips = Vec::new();
    for edge in 0..sides.rim.len() {
        if let Some(zip) = rims.zip_from_tip(edge, width) {
            zips.push(zip);
        }
    }
    for [a, b] in rims.near(width) {
        if let Some(zip) = rims.zip_from_pair(a, b, width) {
            zips.push(zip);
        }
    }
    zips
}

/// The slits of a mesh no wider than `width`.
pub(super) fn slits(soup: &Soup, sides: &Sides, width: f64) -> Vec<Slit> {
    let mut slits: Vec<Slit> = zips(soup, sides, width)
        .into_iter()
        .map(|z| z.slit)
        .collect();
    slits.sort_by(|a, b| b.length.total_cmp(&a.length));
    slits
}

/// Closes the slits no wider than `width`; says which.
pub(super) fn join(soup: &mut Soup, sides: &mut Sides, width: f64) -> Vec<Slit> {
    let zips = zips(soup, sides, width);
    for zip in &zips {
        let part = soup.part[sides.rim_of[zip.edge] as usize];
        soup.triangles.extend_from_slice(&zip.triangles);
        soup.part.resize(soup.triangles.len(), part);
    }
    if !zips.is_empty() {
        *sides = orient(soup);
    }
    zips.into_iter().map(|z| z.slit).collect()
}

impl<'a> Rims<'a> {
    fn new(positions: &'a [Vec3], rim: &'a [[u32; 2]]) -> Self {
        let count = rim.len();
        let mut new = Self {
            positions,
            rim,
            next: vec![usize::MAX; count],
            back: vec![usize::MAX; count],
            along: vec![(0, 0.0); count],
            round_lengths: Vec::new(),
            used: vec![false; count],
        };
        for (index, round) in rims(rim).into_iter().enumerate() {
            let closed = round
                .first()
                .zip(round.last())
                .is_some_and(|(&first, &last)| rim[last][1] == rim[first][0]);
            let mut walked = 0.0;
            for (k, &edge) in round.iter().enumerate() {
                let following = round[(k + 1) % round.len()];
                if k + 1 < round.len() || closed {
                    new.next[edge] = following;
                    new.back[following] = edge;
                }
                new.along[edge] = (index, walked);
                let [a, b] = rim[edge].map(|i| positions[i as usize]);
                walked += (b - a).length();
            }
            new.round_lengths.push(walked);
        }
        new
    }

    fn at(&self, vertex: u32) -> Vec3 {
        self.positions[vertex as usize]
    }

    /// Up from where both sides meet: the start of `edge`.
    fn zip_from_tip(&mut self, edge: usize, width: f64) -> Option<Zip> {
        let back = self.back[edge];
        if back == usize::MAX || back == edge || self.used[edge] || self.used[back] {
            return None;
        }
        let [tip, p] = self.rim[edge];
        let q = self.rim[back][0];
        let pointed = from_segment(self.at(p), self.at(tip), self.at(q)) <= width
            || from_segment(self.at(q), self.at(tip), self.at(p)) <= width;
        if !pointed || (self.at(p) - self.at(tip)).dot(self.at(q) - self.at(tip)) <= 0.0 {
            return None;
        }
        self.used[edge] = true;
        let mut run = Run::new(self.at(tip), edge);
        run.taken.push(edge);
        self.follow(&mut run, [self.next[edge], back], [p, tip], tip, width);
        self.ended(run, width)
    }

    /// Both ways from the starts of two edges that lie close to each other.
    fn zip_from_pair(&mut self, a: usize, b: usize, width: f64) -> Option<Zip> {
        if self.used[a] || self.used[b] {
            return None;
        }
        let (p, q) = (self.rim[a][0], self.rim[b][0]);
        let mut run = Run::new(self.at(p), a);
        run.width = (self.at(p) - self.at(q)).length();
        self.follow(&mut run, [a, self.back[b]], [p, q], p, width);
        let far = std::mem::replace(&mut run.end, self.at(p));
        self.follow(&mut run, [b, self.back[a]], [q, p], q, width);
        run.start = run.end;
        run.end = far;
        self.ended(run, width)
    }

    /// Follows two sides against each other: the first along the rim, the second back. The first came from `p_was`.
    fn follow(
        &mut self,
        run: &mut Run,
        [mut ahead, mut behind]: [usize; 2],
        [mut p, mut q]: [u32; 2],
        mut p_was: u32,
        width: f64,
    ) {
        let free = |rims: &Self, edge: usize| edge != usize::MAX && !rims.used[edge];
        let mut q_was = q;
        loop {
            let step_p = free(self, ahead).then(|| self.rim[ahead][1]);
            let step_q = free(self, behind).then(|| self.rim[behind][0]);
            // The two sides have met: the last edge lies along the last triangle.
            if ahead == behind && step_p == Some(q) {
                self.used[ahead] = true;
                run.taken.push(ahead);
                run.end = self.at(q);
                return;
            }
            let beside = |new: u32, own: u32, [was, at]: [u32; 2], other: Option<u32>| {
                let other = other.map_or(self.at(at), |o| self.at(o));
                let way = from_segment(self.at(new), self.at(at), other).min(from_segment(
                    self.at(new),
                    self.at(was),
                    self.at(at),
                ));
                (new != at && new != own && way <= width)
                    .then(|| (way, (self.at(new) - self.at(at)).length()))
            };
            let p_fits =
                step_p.and_then(|new| beside(new, p, [q_was, q], step_q).map(|ways| (new, ways)));
            let q_fits =
                step_q.and_then(|new| beside(new, q, [p_was, p], step_p).map(|ways| (new, ways)));
            let p_first = match (&p_fits, &q_fits) {
                (Some((_, (_, a))), Some((_, (_, b)))) => a <= b,
                (Some(_), None) => true,
                (None, Some(_)) => false,
                (None, None) => return,
            };
            if let Some((new, (way, _))) = p_fits.filter(|_| p_first) {
                run.triangles.push([new, p, q]);
                run.length += (self.at(new) - self.at(p)).length();
                run.width = run.width.max(way);
                run.taken.push(ahead);
                self.used[ahead] = true;
                ahead = self.next[ahead];
                p_was = std::mem::replace(&mut p, new);
            } else if let Some((new, (way, _))) = q_fits {
                run.triangles.push([q, new, p]);
                run.length += (self.at(new) - self.at(q)).length();
                run.width = run.width.max(way);
                run.taken.push(behind);
                self.used[behind] = true;
                behind = self.back[behind];
                q_was = std::mem::replace(&mut q, new);
            }
            run.end = (self.at(p) + self.at(q)) * 0.5;
        }
    }

    /// The slit, if it is long enough to be one; else its edges are free again.
    fn ended(&mut self, run: Run, width: f64) -> Option<Zip> {
        let length = 0.5 * run.length;
        if length < LONG * run.width || length < 2.0 * width || run.triangles.is_empty() {
            run.taken.iter().for_each(|&edge| self.used[edge] = false);
            return None;
        }
        Some(Zip {
            slit: Slit {
                width: run.width,
                length,
                ends: [run.start.to_array(), run.end.to_array()],
            },
            triangles: run.triangles,
            edge: run.edge,
        })
    }

    /// Pairs of edges whose starts lie within `width`, on different sides: each start with the nearest.
    fn near(&self, width: f64) -> Vec<[usize; 2]> {
        let cell = |p: Vec3| (p / width).to_array().map(|c| c.floor() as i64);
        let mut cells: HashMap<[i64; 3], Vec<usize>, FixedState> = HashMap::default();
        let free = || (0..self.rim.len()).filter(|&e| !self.used[e]);
        for edge in free() {
            cells
                .entry(cell(self.at(self.rim[edge][0])))
                .or_default()
                .push(edge);
        }
        free()
            .filter_map(|edge| {
                let p = self.at(self.rim[edge][0]);
                let [x, y, z] = cell(p);
                // A mesh of any size in widths of any: cells saturate, and distances decide.
                let at = |c: i64, step: i64| c.saturating_add(step - 1);
                let around = (0..27)
                    .filter_map(|i| cells.get(&[at(x, i % 3), at(y, i / 3 % 3), at(z, i / 9)]));
                let other = around
                    .flatten()
                    // Crowded cells are a ragged rim, not a slit.
                    .take(200)
                    .filter(|&&o| {
                        self.rim[o][0] != self.rim[edge][0] && self.other_side(edge, o, width)
                    })
                    .map(|&o| ((self.at(self.rim[o][0]) - p).length(), o))
                    .filter(|(way, _)| *way <= width)
                    .min_by(|a, b| a.0.total_cmp(&b.0))?;
                Some([edge, other.1])
            })
            .collect()
    }

    fn other_side(&self, a: usize, b: usize, width: f64) -> bool {
        let ((round, from), (other, to)) = (self.along[a], self.along[b]);
        let way = (to - from).abs();
        round != other || way.min(self.round_lengths[round] - way) > OTHER_SIDE * width
    }
}

/// A slit being followed.
struct Run {
    triangles: Vec<[u32; 3]>,
    taken: Vec<usize>,
    width: f64,
    /// Of both sides together.
    length: f64,
    start: Vec3,
    end: Vec3,
    edge: usize,
}

impl Run {
    fn new(start: Vec3, edge: usize) -> Self {
        Self {
            triangles: Vec::new(),
            taken: Vec::new(),
            width: 0.0,
            length: 0.0,
            start,
            end: start,
            edge,
        }
    }
}

fn from_segment(p: Vec3, a: Vec3, b: Vec3) -> f64 {
    let along = b - a;
    let square = along.length_squared();
    let share = if square > 0.0 {
        ((p - a).dot(along) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (a + along * share - p).length()
}
