//! The weight shared anew at every corner of what may be off: the height of each stack under the keel, weight, where
//! it acts, and where the hull was put.
//!
//! A stack that is a millimetre high takes load from its neighbours; which combination of heights, weight and place is
//! the worst is another for each support and for each end of the boat. Loads and sinkage are piecewise linear in all of
//! it, with a new piece wherever a support is taken up or let go, so their extremes are looked for at the corners of
//! the box of deviations:
//!
//! - Up to [`EVERY_SIGN`] supports every combination of signs is tried, in the order of a Gray code: one height changes
//!   at a time, mostly with the same supports in contact, for which the answer is one small matrix away.
//! - Beyond, the signs are climbed: from the combinations that load one support or tilt the hull the most, one sign is
//!   turned after another, or two at once, while that raises what is looked for. A test holds the climb against every combination.
//!
//! Inside the box no load is worse than at its corners for up to three supports, since each is then monotone in each
//! height. Sinkage may be, by a part of what the supports give, where one is taken up or let go: up to [`EVERY_EDGE`]
//! supports, those places along the edges of the box are looked at too. A test holds what is left under a fiftieth of
//! its range.
//!
//! On the road the same corner gives more, by the road's factor on the weight: how much more is kept beside it.

use std::collections::{BTreeSet, HashMap};

use super::share::{ElasticFoundation, ShareError, Shared};

/// Up to so many supports every combination of signs is tried.
pub const EVERY_SIGN: usize = 8;

/// Up to so many supports every edge of the box is looked along.
const EVERY_EDGE: usize = 4;

/// Rounds in which each sign is turned once.
const ROUNDS: usize = 6;

/// How the rigid hull has come down: at the coupling, and turning bow down. A point at station x (m, forward) has come
/// down by `at_coupling_m + x * bow_down_rad`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sinkage {
    /// Down at x = 0, m.
    pub at_coupling_m: f64,
    /// Turned bow down, rad.
    pub bow_down_rad: f64,
}

impl Sinkage {
    /// That of a hull whose weight is shared.
    pub fn of(shared: &Shared) -> Self {
        Self {
            at_coupling_m: shared.sink_m,
            bow_down_rad: shared.turn_rad,
        }
    }

    /// How far a station has come down, m.
    pub fn at(self, x_m: f64) -> f64 {
        self.at_coupling_m + x_m * self.bow_down_rad
    }

    /// Both, one on top of the other.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            at_coupling_m: self.at_coupling_m + other.at_coupling_m,
            bow_down_rad: self.bow_down_rad + other.bow_down_rad,
        }
    }

    /// This part of the way to another.
    #[must_use]
    pub fn between(self, other: Self, part: f64) -> Self {
        let of = |a: f64, b: f64| a + part * (b - a);
        Self {
            at_coupling_m: of(self.at_coupling_m, other.at_coupling_m),
            bow_down_rad: of(self.bow_down_rad, other.bow_down_rad),
        }
    }

    /// What comes on top of another.
    #[must_use]
    pub fn less(self, other: Self) -> Self {
        Self {
            at_coupling_m: self.at_coupling_m - other.at_coupling_m,
            bow_down_rad: self.bow_down_rad - other.bow_down_rad,
        }
    }
}

/// A weight, where it acts, and the gap under the hull at each support.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Weight, N.
    pub weight_n: f64,
    /// Where it acts, m.
    pub x_m: f64,
    /// How far it acts over the line athwart that she turns about as she is set down, m.
    pub height_m: f64,
    /// How far what bears may move away from her weight as she turns away from there, m: aft under a weight that is taken to
    /// lie forward where she turns bow up, and forward, negative, under one taken to lie aft.
    pub bearing_moves_m: f64,
    /// Gap of each support to the unloaded hull, m.
    pub gaps_m: Vec<f64>,
}

impl Case {
    /// How far the hull turns bow down as she is set down, before anything gives, rad: on the two supports on either side of
    /// her weight that stop it first. None where it acts beyond them all.
    fn set_down_rad(&self, bed: &ElasticFoundation) -> Option<f64> {
        let springs = bed.springs().iter();
        let stops = || springs.clone().map(|s| s.x_m).zip(&self.gaps_m);
        let pairs = stops()
            .filter(|(x_m, _)| *x_m <= self.x_m)
            .flat_map(|aft| stops().map(move |fore| (aft, fore)))
            .filter(|(_, (x_m, _))| *x_m > self.x_m);
        let lines = pairs.map(|((aft_m, aft_gap_m), (fore_m, fore_gap_m))| {
            let turn = (fore_gap_m - aft_gap_m) / (fore_m - aft_m);
            (aft_gap_m + turn * (self.x_m - aft_m), turn)
        });
        let first = lines.min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(first.1)
    }

    /// The same with the supports these gaps from her: her weight acts farther to where she turns down, as it acts high, and
    /// what bears moves there too.
    pub fn with_gaps(&self, bed: &ElasticFoundation, gaps_m: Vec<f64>) -> Self {
        let there = Self { gaps_m, ..*self };
        let turned = there.set_down_rad(bed).unwrap_or(0.0);
        let bears_m = match turned * self.bearing_moves_m < 0.0 {
            true => self.bearing_moves_m,
            false => 0.0,
        };
        Self {
            x_m: self.x_m + turned * self.height_m + bears_m,
            ..there
        }
    }
}

/// Loads and sinkage at a corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// Load on each support, N.
    pub load_n: Vec<f64>,
    /// How the hull has come down.
    pub sinkage: Sinkage,
}

/// What came of all corners.
#[derive(Debug, Clone, PartialEq)]
pub struct Swept {
    /// Least and greatest load of each support, N.
    pub range_n: Vec<(f64, f64)>,
    /// Sinkage at the corners at which the hull stands.
    pub sinkages: Vec<Sinkage>,
    /// What she comes down more on the road, at the corners at which she stands.
    pub more: Vec<Sinkage>,
    /// For each support, its load, N, and how far she is turned bow down then, rad, set down on it before anything gives: the
    /// outline's corners.
    pub turned: Vec<Vec<[f64; 2]>>,
    /// Which supports carry together at some corner: a bit for each, from the first.
    pub sets: BTreeSet<u64>,
    /// Whether she tips at one of them: then the last support is taken to carry all.
    pub tips: bool,
    /// How far her weight acts within the outermost supports that carry, m, at the corner where that is the least; to the end
    /// of what bears on one where it acts beyond its middle. Negative where she tips.
    pub within_m: f64,
}

impl Swept {
    /// What came of these corners, and of others of the same supports.
    pub fn and(&mut self, other: Self) {
        for (range, its) in self.range_n.iter_mut().zip(other.range_n) {
            *range = (range.0.min(its.0), range.1.max(its.1));
        }
        self.sinkages.extend(other.sinkages);
        self.more.extend(other.more);
        for (points, its) in self.turned.iter_mut().zip(other.turned) {
            points.extend(its);
            *points = convex(std::mem::take(points));
        }
        self.sets.extend(other.sets);
        self.tips |= other.tips;
        self.within_m = self.within_m.min(other.within_m);
    }
}

/// Stations of the aftmost and foremost places at which a keel bears on supports (station, half the length that bears), m: the
/// middle of what bears there, and its end where the weight at `centre_m` acts beyond the middle, or one carries alone. None
/// without supports.
pub fn bears_between_m(
    supports: impl Iterator<Item = (f64, f64)> + Clone,
    centre_m: f64,
) -> Option<[f64; 2]> {
    let by_station = |a: &(f64, f64), b: &(f64, f64)| a.0.total_cmp(&b.0);
    let (aft_m, aft_half_m) = supports.clone().min_by(by_station)?;
    let (fore_m, fore_half_m) = supports.clone().max_by(by_station)?;
    let alone = supports.count() == 1;
    let part = |to_the_end: bool, half_m: f64| if to_the_end { half_m } else { 0.0 };
    Some([
        aft_m - part(alone || centre_m < aft_m, aft_half_m),
        fore_m + part(alone || centre_m > fore_m, fore_half_m),
    ])
}

/// Springs whose answers for a set in contact are kept, so that asking again costs one small product.
pub struct Sharing<'b> {
    bed: &'b ElasticFoundation,
    /// Inverse of the equations of each set in contact, row by row; none where it cannot hold a weight.
    inverses: HashMap<u64, Option<Vec<f64>>>,
    /// What flexibilities are measured in, m/N, and stations from, m.
    scale: f64,
    middle_m: f64,
    /// The set in contact last, a bit a support.
    likely: u64,
}

impl<'b> Sharing<'b> {
    /// Answers for these springs.
    pub fn new(bed: &'b ElasticFoundation) -> Self {
        let greatest = bed.flexibility().iter().fold(0.0_f64, |a, b| a.max(*b));
        let (aft, fore) = bed.ends();
        Self {
            bed,
            inverses: HashMap::new(),
            scale: greatest.max(f64::MIN_POSITIVE),
            middle_m: (aft + fore) / 2.0,
            likely: 0,
        }
    }

    /// Loads and sinkage of a case.
    ///
    /// # Errors
    /// As [`ElasticFoundation::share`].
    pub fn share(&mut self, case: &Case) -> Result<Corner, ShareError> {
        let (aft, fore) = self.bed.ends();
        if case.x_m >= aft
            && case.x_m <= fore
            && let Some(corner) = self.on_likely(case)
        {
            return Ok(corner);
        }
        let springs = self.bed.springs();
        let change: Vec<f64> = (springs.iter().zip(&case.gaps_m))
            .map(|(spring, gap)| gap - spring.gap_m)
            .collect();
        let shared = self.bed.share(case.weight_n, case.x_m, &change)?;
        self.likely = mask(&shared.load_n);
        Ok(Corner {
            sinkage: Sinkage::of(&shared),
            load_n: shared.load_n,
        })
    }

    /// The answer on the set in contact last, if it is right: none pulls, and the hull sinks into no other. Those
    /// conditions are enough.
    fn on_likely(&mut self, case: &Case) -> Option<Corner> {
        let set = self.likely;
        let corner = self.on(set, case)?;
        let hair = 1e-12;
        let right = (0..corner.load_n.len()).all(|i| {
            if set >> i & 1 == 1 {
                corner.load_n[i] >= 0.0
            } else {
                self.left_m(&corner, case, i) >= -hair
            }
        });
        let sum: f64 = corner.load_n.iter().sum();
        let balanced = (sum - case.weight_n).abs() <= 1e-9 * case.weight_n;
        (balanced && right).then_some(corner)
    }

    /// What is left open under the hull at a support, m.
    fn left_m(&self, corner: &Corner, case: &Case, support: usize) -> f64 {
        let x_m = self.bed.springs()[support].x_m;
        let given = self.bed.given(&corner.load_n, support);
        case.gaps_m[support] + given - corner.sinkage.at(x_m)
    }

    /// The corner at which the supports in contact change, on the way from one, where `set` carries, to another, and which part
    /// of the way that is; none where they do not.
    fn change(&mut self, set: u64, cases: [&Case; 2]) -> Option<(Corner, f64)> {
        let [from, to] = [self.on(set, cases[0])?, self.on(set, cases[1])?];
        let margin = |corner: &Corner, case: &Case, i: usize| {
            if set >> i & 1 == 1 {
                corner.load_n[i]
            } else {
                self.left_m(corner, case, i)
            }
        };
        let parts = (0..from.load_n.len()).filter_map(|i| {
            let [a, b] = [margin(&from, cases[0], i), margin(&to, cases[1], i)];
            (a > 0.0 && b < 0.0).then(|| a / (a - b))
        });
        let part = parts.reduce(f64::min)?;
        let loads = from.load_n.iter().zip(&to.load_n);
        let corner = Corner {
            load_n: loads.map(|(a, b)| a + part * (b - a)).collect(),
            sinkage: from.sinkage.between(to.sinkage, part),
        };
        Some((corner, part))
    }

    /// Loads and sinkage as if the supports of this set held the hull and no other, pulling where they must; none where they
    /// cannot.
    fn on(&mut self, set: u64, case: &Case) -> Option<Corner> {
        let n = self.bed.springs().len();
        if set.count_ones() < 2 || n > 63 {
            return None;
        }
        let held: Vec<usize> = (0..n).filter(|i| set >> i & 1 == 1).collect();
        let k = held.len();
        let (bed, scale, middle) = (self.bed, self.scale, self.middle_m);
        let inverse = self
            .inverses
            .entry(set)
            .or_insert_with(|| inverse_of(bed, &held, scale, middle))
            .as_ref()?;
        let mut known: Vec<f64> = held.iter().map(|&i| -case.gaps_m[i]).collect();
        known.push(case.weight_n * scale);
        known.push(case.weight_n * scale * (case.x_m - middle));
        let row = |r: usize| -> f64 {
            let row = &inverse[r * (k + 2)..(r + 1) * (k + 2)];
            row.iter().zip(&known).map(|(a, b)| a * b).sum()
        };
        let mut load_n = vec![0.0; n];
        for (r, &i) in held.iter().enumerate() {
            load_n[i] = row(r) / scale;
        }
        let (sink, turn) = (row(k), row(k + 1));
        Some(Corner {
            load_n,
            sinkage: Sinkage {
                at_coupling_m: sink - turn * middle,
                bow_down_rad: turn,
            },
        })
    }
}

fn mask(load_n: &[f64]) -> u64 {
    let bits = load_n.iter().take(63).enumerate();
    bits.filter(|(_, p)| **p > 0.0)
        .fold(0, |set, (i, _)| set | 1 << i)
}

/// Inverse of: give of each held spring less sinkage there is minus its gap; loads sum to the weight and balance about
/// its place. Loads in units of the scale, stations from the middle.
fn inverse_of(
    bed: &ElasticFoundation,
    held: &[usize],
    scale: f64,
    middle_m: f64,
) -> Option<Vec<f64>> {
    let k = held.len();
    let (size, n) = (k + 2, bed.springs().len());
    let mut matrix = vec![0.0; size * size];
    for (r, &i) in held.iter().enumerate() {
        for (c, &j) in held.iter().enumerate() {
            matrix[r * size + c] = bed.flexibility()[i * n + j] / scale;
        }
        let arm = bed.springs()[i].x_m - middle_m;
        matrix[r * size + k] = -1.0;
        matrix[r * size + k + 1] = -arm;
        matrix[k * size + r] = 1.0;
        matrix[(k + 1) * size + r] = arm;
    }
    inverted(matrix, size)
}

/// Inverse of a square matrix, row by row, by Gauss and Jordan's elimination with the largest pivot of the column; none
/// if it has none.
fn inverted(mut matrix: Vec<f64>, size: usize) -> Option<Vec<f64>> {
    /// A pivot no larger than this is rounding.
    const LEAST: f64 = 1e-9;
    let mut inverse = vec![0.0; size * size];
    for i in 0..size {
        inverse[i * size + i] = 1.0;
    }
    for column in 0..size {
        let at = |row: usize| row * size + column;
        let pivot =
            (column..size).max_by(|a, b| matrix[at(*a)].abs().total_cmp(&matrix[at(*b)].abs()))?;
        let value = matrix[at(pivot)];
        if value.is_nan() || value.abs() <= LEAST {
            return None;
        }
        for i in 0..size {
            matrix.swap(pivot * size + i, column * size + i);
            inverse.swap(pivot * size + i, column * size + i);
        }
        for i in 0..size {
            matrix[column * size + i] /= value;
            inverse[column * size + i] /= value;
        }
        for row in (0..size).filter(|r| *r != column) {
            let factor = matrix[row * size + column];
            if factor == 0.0 {
                continue;
            }
            for i in 0..size {
                matrix[row * size + i] -= factor * matrix[column * size + i];
                inverse[row * size + i] -= factor * inverse[column * size + i];
            }
        }
    }
    Some(inverse)
}

/// Goes through all corners: `cases` with every combination of signs of `heights_m`, how much the top of each support may
/// be too high or too low against the keel over it. Each case comes with the same of the road, if there she weighs more.
///
/// Where the hull tips at a corner, the last support on that side carries all, and [`Swept::tips`] says so; how she stands
/// just before she does is taken too.
pub fn sweep(bed: &ElasticFoundation, cases: &[(Case, Option<Case>)], heights_m: &[f64]) -> Swept {
    let n = bed.springs().len();
    let mut sweep = Sweep {
        sharing: Sharing::new(bed),
        on_the_road: Sharing::new(bed),
        heights_m,
        swept: Swept {
            range_n: vec![(f64::INFINITY, f64::NEG_INFINITY); n],
            sinkages: Vec::new(),
            more: Vec::new(),
            turned: vec![Vec::new(); n],
            sets: BTreeSet::new(),
            tips: false,
            within_m: f64::INFINITY,
        },
    };
    let off: Vec<usize> = (0..n.min(63)).filter(|i| heights_m[*i] > 0.0).collect();
    for case in cases {
        if off.len() <= EVERY_SIGN {
            let signs = |bits: u64| {
                let each = off.iter().enumerate();
                each.fold(0, |s, (bit, i)| s | (bits >> bit & 1) << i)
            };
            let mut carrying = vec![None; 1 << off.len()];
            for step in 0..1_u64 << off.len() {
                let gray = step ^ step >> 1;
                carrying[gray as usize] = sweep.corner(case, signs(gray)).1;
            }
            if (3..=EVERY_EDGE).contains(&n) {
                sweep.along_edges(&case.0, &carrying, signs);
            }
        } else {
            sweep.climb(case, &off);
        }
    }
    for points in &mut sweep.swept.turned {
        *points = convex(std::mem::take(points));
    }
    sweep.swept
}

struct Sweep<'b> {
    sharing: Sharing<'b>,
    on_the_road: Sharing<'b>,
    heights_m: &'b [f64],
    swept: Swept,
}

impl Sweep<'_> {
    /// The case with supports whose bit is set too high, and the others too low.
    fn moved(&self, case: &Case, signs: u64) -> Case {
        let gaps = case.gaps_m.iter().zip(self.heights_m).enumerate();
        let gaps = gaps.map(|(i, (gap, off))| {
            if signs >> i & 1 == 1 {
                gap - off
            } else {
                gap + off
            }
        });
        case.with_gaps(self.sharing.bed, gaps.collect())
    }

    /// A corner: supports whose bit is set are too high, the others too low. With it the set that carries; none where she
    /// tips.
    fn corner(&mut self, (case, road): &(Case, Option<Case>), signs: u64) -> (Corner, Option<u64>) {
        let moved = self.moved(case, signs);
        match self.sharing.share(&moved) {
            Ok(corner) => {
                let on_the_road = road.as_ref().map(|road| self.moved(road, signs));
                if let Some(on_the_road) = on_the_road
                    && let Ok(more) = self.on_the_road.share(&on_the_road)
                {
                    self.swept.more.push(more.sinkage.less(corner.sinkage));
                }
                self.take(&corner, &moved);
                let set = mask(&corner.load_n);
                (corner, Some(set))
            }
            Err(error) => {
                self.swept.tips = true;
                let (aft, fore) = self.sharing.bed.ends();
                let beyond_m = (moved.x_m - aft).min(fore - moved.x_m);
                self.swept.within_m = self.swept.within_m.min(beyond_m);
                // Short of tipping she stands still, and may be anywhere up to there.
                let on_the_brink = self.on_the_brink(&moved);
                if let Ok(brink) = self.sharing.share(&on_the_brink) {
                    self.take(&brink, &on_the_brink);
                }
                let load_n = self.all_on_last(&moved, &error);
                for (points, load) in self.swept.turned.iter_mut().zip(&load_n) {
                    points.push([*load, 0.0]);
                }
                self.widen(&load_n);
                let corner = Corner {
                    load_n,
                    sinkage: Sinkage::default(),
                };
                (corner, None)
            }
        }
    }

    fn take(&mut self, corner: &Corner, case: &Case) {
        self.swept.sinkages.push(corner.sinkage);
        self.swept.sets.insert(mask(&corner.load_n));
        let turned = case.set_down_rad(self.sharing.bed);
        let turned = turned.unwrap_or(corner.sinkage.bow_down_rad);
        let within_m = self.within_m(corner, case.x_m);
        self.swept.within_m = self.swept.within_m.min(within_m);
        for (points, load) in self.swept.turned.iter_mut().zip(&corner.load_n) {
            points.push([*load, turned]);
        }
        self.widen(&corner.load_n);
    }

    /// How far a weight acts within the outermost supports that carry, m.
    fn within_m(&self, corner: &Corner, x_m: f64) -> f64 {
        let springs = self.sharing.bed.springs().iter().zip(&corner.load_n);
        let carry = springs.filter(|(_, load)| **load > 0.0);
        let ends = bears_between_m(carry.map(|(s, _)| (s.x_m, s.half_length_m)), x_m);
        ends.map_or(f64::INFINITY, |[aft, fore]| (x_m - aft).min(fore - x_m))
    }

    fn widen(&mut self, load_n: &[f64]) {
        for (range, load) in self.swept.range_n.iter_mut().zip(load_n) {
            *range = (range.0.min(*load), range.1.max(*load));
        }
    }

    /// Looks along the edges between the corners of a case, where other supports come to carry: from either end.
    /// `carrying` is the set at each corner, which `signs` tells from its number.
    fn along_edges(&mut self, case: &Case, carrying: &[Option<u64>], signs: impl Fn(u64) -> u64) {
        for (bits, set) in carrying.iter().enumerate() {
            let Some(set) = *set else { continue };
            for bit in 0..carrying.len().ilog2() {
                let other = bits ^ 1 << bit;
                if carrying[other] == Some(set) {
                    continue;
                }
                let ends = [bits, other].map(|bits| self.moved(case, signs(bits as u64)));
                if let Some((corner, part)) = self.sharing.change(set, ends.each_ref()) {
                    let [from, to] = &ends;
                    let gaps = from.gaps_m.iter().zip(&to.gaps_m);
                    let there = Case {
                        gaps_m: gaps.map(|(a, b)| a + part * (b - a)).collect(),
                        ..*from
                    };
                    self.take(&corner, &there);
                }
            }
        }
    }

    /// The case with the weight just within the last support on either side.
    fn on_the_brink(&self, case: &Case) -> Case {
        let (aft, fore) = self.sharing.bed.ends();
        let within_m = self.sharing.bed.just_within(case.x_m);
        Case {
            // One stack alone holds her over its middle.
            x_m: within_m.max(aft).min(fore),
            ..case.clone()
        }
    }

    fn all_on_last(&self, case: &Case, error: &ShareError) -> Vec<f64> {
        let springs = self.sharing.bed.springs();
        let (aft, fore) = self.sharing.bed.ends();
        let last = match error {
            ShareError::Tips { bow_down: true, .. } => fore,
            ShareError::Tips { .. } => aft,
            _ => return vec![case.weight_n; springs.len()],
        };
        let on = |x_m: f64| if x_m == last { case.weight_n } else { 0.0 };
        springs.iter().map(|s| on(s.x_m)).collect()
    }

    /// Climbs to the worst signs for each load, least and greatest, and for how far either end comes down or up.
    fn climb(&mut self, case: &(Case, Option<Case>), off: &[usize]) {
        let stations: Vec<f64> = self.sharing.bed.springs().iter().map(|s| s.x_m).collect();
        let (aft, fore) = self.sharing.bed.ends();
        let of = |high: &dyn Fn(usize) -> bool| {
            let bits = off.iter().filter(|i| high(**i));
            bits.fold(0_u64, |s, i| s | 1 << i)
        };
        let mut order: Vec<usize> = (0..stations.len()).collect();
        order.sort_by(|a, b| stations[*a].total_cmp(&stations[*b]));
        let rank = |i: usize| order.iter().position(|o| *o == i).unwrap_or(0);
        let starts = |i: usize| {
            [
                of(&|j| j == i),
                of(&|j| rank(j).abs_diff(rank(i)).is_multiple_of(2)),
                of(&|j| j == i || rank(j).abs_diff(rank(i)) > 1),
            ]
        };
        for i in 0..stations.len() {
            for sign in [1.0, -1.0] {
                for start in starts(i) {
                    let start = if sign > 0.0 {
                        start
                    } else {
                        of(&|_| true) & !start
                    };
                    self.climb_from(case, off, start, &|c| sign * c.load_n[i]);
                }
            }
        }
        for at in [aft - (fore - aft), fore + (fore - aft)] {
            for sign in [1.0, -1.0] {
                let x_m = case.0.x_m;
                let start = of(&|j| (stations[j] - x_m) * (at - x_m) * sign < 0.0);
                self.climb_from(case, off, start, &|c| sign * c.sinkage.at(at));
            }
        }
        self.corner(case, of(&|_| true));
        self.corner(case, 0);
    }

    fn climb_from(
        &mut self,
        case: &(Case, Option<Case>),
        off: &[usize],
        start: u64,
        of: &dyn Fn(&Corner) -> f64,
    ) {
        let mut signs = start;
        let mut best = of(&self.corner(case, signs).0);
        for _ in 0..ROUNDS {
            let before = best;
            let ones = off.iter().map(|i| 1_u64 << i);
            // Where turning one is of no use, turning two may be: one lets go as the other takes up.
            let pairs = off.iter().enumerate();
            let pairs =
                pairs.flat_map(|(at, i)| off[at + 1..].iter().map(move |j| 1 << i | 1 << j));
            for (turned, which) in ones.chain(pairs).enumerate() {
                if turned >= off.len() && best > before {
                    break;
                }
                let found = of(&self.corner(case, signs ^ which).0);
                if found > best {
                    (best, signs) = (found, signs ^ which);
                }
            }
            if best <= before {
                break;
            }
        }
    }
}

/// The corners of the convex outline of sinkages: all that moves a point the farthest, any way, is among them.
pub fn outline(sinkages: &[Sinkage]) -> Vec<Sinkage> {
    let points = sinkages.iter();
    let points = points.map(|s| [s.at_coupling_m, s.bow_down_rad]).collect();
    let corners = convex(points).into_iter();
    corners
        .map(|[at_coupling_m, bow_down_rad]| Sinkage {
            at_coupling_m,
            bow_down_rad,
        })
        .collect()
}

/// The corners of the convex outline of points of a plane, by Andrew's monotone chain.
fn convex(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.retain(|p| p.iter().all(|c| c.is_finite()));
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let turns = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| {
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    let chain = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut kept: Vec<[f64; 2]> = Vec::new();
        for point in points {
            while let [.., a, b] = kept[..]
                && turns(a, b, point) <= 0.0
            {
                kept.pop();
            }
            kept.push(point);
        }
        kept.pop();
        kept
    };
    let mut outline = chain(&mut points.iter().copied());
    outline.extend(chain(&mut points.iter().rev().copied()));
    outline
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
