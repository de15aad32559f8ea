//! How a mesh most likely lies: axes, bow, middle plane; each with its evidence, and open where
//! the evidence does not decide.

use keelstead_geometry::math::{Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_units::quantity::Sentence;

use super::cut::cut;
use super::measure::Slab;
use super::orient::{Hole, holes};
use super::symmetry::{Mirror, anywhere, mirror, samples};
use crate::hull_file::Axis;

/// A mirror plane misfits by no more than this part of the length.
pub(super) const SAME: f64 = 0.002;
/// Cosine of a tilt that does not spoil what is measured along the axes: 2.5 degrees.
const NEARLY_SQUARE: f64 = 0.999;
/// A direction is only proposed if it is this much longer than the other.
const LONGER: f64 = 1.25;
/// An end is the bow if it is no wider than this part of the other.
const FINER: f64 = 0.75;
/// Two ends that differ less than this are alike.
const NEARLY: f64 = 0.95;
/// Where breadths are compared, as parts of the length from the ends.
const INWARD: [f64; 3] = [0.0, 0.08, 0.16];

/// A proposal with what speaks for it.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Proposal<T> {
    /// What is proposed; none if the evidence does not decide.
    pub value: Option<T>,
    /// What may be meant, the usual first; one if it is decided.
    pub choices: Vec<T>,
    /// What speaks for it, or why it stays open.
    pub because: Sentence,
}

impl<T: Clone> Proposal<T> {
    /// What is taken where nobody decides: what is proposed, else the first of the choices.
    pub fn taken(&self) -> Option<T> {
        self.value.clone().or_else(|| self.choices.first().cloned())
    }

    pub(super) fn decided(value: T, because: impl Into<Sentence>) -> Self {
        Self {
            value: Some(value.clone()),
            choices: vec![value],
            because: because.into(),
        }
    }

    pub(super) fn open(choices: Vec<T>, because: impl Into<Sentence>) -> Self {
        Self {
            value: None,
            choices,
            because: because.into(),
        }
    }
}

/// An axis by number and direction.
pub(super) fn axis(index: usize, plus: bool) -> Axis {
    match (index, plus) {
        (0, true) => Axis::PlusX,
        (0, false) => Axis::MinusX,
        (1, true) => Axis::PlusY,
        (1, false) => Axis::MinusY,
        (_, true) => Axis::PlusZ,
        (_, false) => Axis::MinusZ,
    }
}

const LETTERS: [char; 3] = ['x', 'y', 'z'];

/// How the boat lies in the mesh's axes.
pub(super) struct Lie {
    pub up: Proposal<Axis>,
    pub forward: Proposal<Axis>,
    pub half: Proposal<bool>,
    /// The middle plane: found by symmetry, or the rim of a half hull.
    pub middle: Option<Mirror>,
}

/// What the answers given already settle.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Told {
    pub up: Option<Axis>,
    pub forward: Option<Axis>,
    /// Who settled it.
    pub by: &'static str,
}

impl Told {
    /// The axes that are not across the boat.
    pub(super) fn taken(&self) -> [Option<usize>; 2] {
        [self.up, self.forward].map(|axis| axis.map(Axis::index))
    }

    fn or(&self, told: Option<Axis>, find: impl FnOnce() -> Proposal<Axis>) -> Proposal<Axis> {
        told.map_or_else(find, |axis| Proposal::decided(axis, self.by))
    }
}

/// The part of a mesh by which its lie is told: the hull without what stands on it.
pub(super) struct Bare<'a> {
    pub mesh: &'a Mesh,
    /// Its open edges.
    pub rim: &'a [[u32; 2]],
}

pub(super) fn lie(bare: &Bare<'_>, told: Told) -> Lie {
    let mesh = bare.mesh;
    let samples = samples(mesh);
    // Two axes of three leave one; whoever gives the same twice is told so before.
    let across_told = told
        .up
        .zip(told.forward)
        .map(|(u, f)| (3 - u.index()).saturating_sub(f.index()));
    let mirrors: [Mirror; 3] = std::array::from_fn(|k| mirror(mesh, &samples, k));
    let size = mesh.aabb().extents();
    let length = size.max_element();
    let fits = |m: &Mirror| m.misfit <= SAME * length;
    let along_axis = across_told
        .filter(|&k| fits(&mirrors[k]))
        .or_else(|| across(&mirrors, size, told).filter(|_| across_told.is_none()))
        .map(|k| (k, mirrors[k]));
    let whole = along_axis.or_else(|| tilted(mesh, &samples, told));
    // The flat sheer of an open boat looks like a cut too, but the boat has a middle.
    let half = if whole.is_none() {
        cut(bare, told)
    } else {
        None
    };
    let Some((across, middle)) = half.or(whole).or(across_told.map(|k| (k, mirrors[k]))) else {
        let because = "no plane was found that the mesh is the same on both sides of, so the axis across \
                       the boat is open";
        return Lie {
            up: told.or(told.up, || Proposal::open(all_but(None), because)),
            forward: told.or(told.forward, || Proposal::open(all_but(None), because)),
            half: Proposal::decided(false, "no rim lies in a plane along its middle"),
            middle: None,
        };
    };
    let squared = squared(bare, across, &middle);
    let holes = squared.as_ref().map_or_else(
        || holes(mesh.vertices(), bare.rim),
        |mesh| holes(mesh.vertices(), bare.rim),
    );
    let mesh = squared.as_ref().unwrap_or(mesh);
    let mut lie = Lie {
        half: half_proposal(half.is_some(), &middle, length),
        middle: Some(middle),
        up: Proposal::open(Vec::new(), ""),
        forward: Proposal::open(Vec::new(), ""),
    };
    ends(&mut lie, mesh, &holes, across, told);
    lie
}

/// The mesh turned so that its middle plane is square to the axis across; none if it is nearly.
fn squared(bare: &Bare<'_>, across: usize, middle: &Mirror) -> Option<Mesh> {
    let mut axis = Vec3::ZERO;
    axis[across] = 1.0;
    if middle.normal().dot(axis) > NEARLY_SQUARE {
        return None;
    }
    let turn = Rot3::from_rotation_arc(middle.normal(), axis);
    let turned = bare.mesh.vertices().iter().map(|&p| turn * p).collect();
    Mesh::new(turned, bare.mesh.triangles().to_vec()).ok()
}

/// Up and bow of a mesh whose middle plane is square to an axis.
fn ends(lie: &mut Lie, mesh: &Mesh, holes: &[Hole], across: usize, told: Told) {
    let size = mesh.aabb().extents();
    let (first, second) = ((across + 1) % 3, (across + 2) % 3);
    let (along, upward) = match (told.forward.map(Axis::index), told.up.map(Axis::index)) {
        (Some(forward), _) => (Some(forward), 3 - across - forward),
        (_, Some(up)) => (Some(3 - across - up), up),
        _ if size[first] > LONGER * size[second] => (Some(first), second),
        _ if size[second] > LONGER * size[first] => (Some(second), first),
        _ => (None, second),
    };
    let Some(along) = along else {
        let because = format!(
            "it is about as long along {} as along {}: a mast, or no boat",
            LETTERS[first], LETTERS[second]
        );
        lie.up = told.or(told.up, || {
            Proposal::open(all_but(Some(across)), because.as_str())
        });
        lie.forward = told.or(told.forward, || {
            Proposal::open(all_but(Some(across)), because.as_str())
        });
        return;
    };
    lie.up = told.or(told.up, || up(mesh, holes, along, upward));
    lie.forward = told.or(told.forward, || bow(mesh, along, across));
}

/// The middle plane of a boat that lies along no axis of the file, and the axis it is nearest to.
fn tilted(mesh: &Mesh, samples: &[Vec3], told: Told) -> Option<(usize, Mirror)> {
    let taken = told.taken();
    let axis = |normal: Vec3| {
        let free = (0..3).filter(|k| !taken.contains(&Some(*k)));
        free.max_by(|&a, &b| normal[a].abs().total_cmp(&normal[b].abs()))
    };
    let near = |normal: Vec3| axis(normal).is_some_and(|k| normal[k].abs() > 0.55);
    let found = anywhere(mesh, samples, near);
    let fits = |m: &Mirror| m.misfit <= SAME * mesh.aabb().extents().length();
    let best = found.first().filter(|m| fits(m))?;
    // A round body is the same all round: the middle plane must stand out.
    if let Some(next) = found.get(1)
        && 3.0 * best.misfit >= next.misfit
    {
        return None;
    }
    let k = axis(best.normal())?;
    Some((k, best.facing(k)))
}

fn all_but(across: Option<usize>) -> Vec<Axis> {
    (0..3)
        .rev()
        .filter(|k| Some(*k) != across)
        .flat_map(|k| [axis(k, true), axis(k, false)])
        .collect()
}

fn half_proposal(half: bool, middle: &Mirror, length: f64) -> Proposal<bool> {
    if half {
        let because = "its largest rim lies in one plane along the boat, and all of the mesh on one side of it";
        return Proposal::decided(true, because);
    }
    let misfit = 100.0 * middle.misfit / length;
    Proposal::decided(
        false,
        format!("it is the same on both sides of its middle plane to {misfit:.3} % of its length"),
    )
}

/// The axis across the boat: the one it is symmetric along, never the longest.
fn across(mirrors: &[Mirror; 3], size: Vec3, told: Told) -> Option<usize> {
    let taken = told.taken();
    let longest = (0..3).max_by(|&a, &b| size[a].total_cmp(&size[b]))?;
    let fits = |k: &usize| {
        *k != longest
            && !taken.contains(&Some(*k))
            && mirrors[*k].misfit <= SAME * size.max_element()
    };
    let mut fitting: Vec<usize> = (0..3).filter(fits).collect();
    fitting.sort_by(|&a, &b| mirrors[a].misfit.total_cmp(&mirrors[b].misfit));
    match fitting.as_slice() {
        [only] => Some(*only),
        // A round body is the same over and under as well: the middle plane must stand out.
        [best, next, ..] if 3.0 * mirrors[*best].misfit < mirrors[*next].misfit => Some(*best),
        _ => None,
    }
}

/// Which way along axis `k` is up.
fn up(mesh: &Mesh, holes: &[Hole], along: usize, k: usize) -> Proposal<Axis> {
    let bounds = mesh.aabb();
    let size = bounds.extents();
    // An open boat is open above: a rim as long as a deck.
    let deck = |hole: &&Hole| hole.size[along] > 0.5 * size[along] && hole.size[k] < 0.6 * size[k];
    if let Some(hole) = holes.iter().find(deck) {
        let share = (hole.centre[k] - bounds.mins[k]) / size[k];
        if !(0.35..=0.65).contains(&share) {
            let long = 100.0 * hole.size[along] / size[along];
            return Proposal::decided(
                axis(k, share > 0.5),
                format!("it is open there, with a rim {long:.0} % as long as the boat"),
            );
        }
    }
    // A house or a mast is shorter than the bottom under it; but so is a keel, in a file that is upside
    // down. So this is told and decides nothing.
    let [low, high] = [false, true].map(|top| Slab::end(k, top, 0.0).extent(mesh, along));
    let share = 100.0 * high / low.max(f64::MIN_POSITIVE);
    Proposal::open(
        vec![axis(k, true), axis(k, false)],
        format!(
            "its high end along {} is {share:.0} % as long as its low end, which a house or a keel may be",
            LETTERS[k]
        ),
    )
}

/// Which way along axis `along` the bow lies: towards the finer end. What hangs over an end, a rudder,
/// an outboard or a bowsprit, is fine too, so further in the same end must be the finer one.
fn bow(mesh: &Mesh, along: usize, across: usize) -> Proposal<Axis> {
    let pairs: Vec<[f64; 2]> = INWARD
        .iter()
        .map(|&from| [false, true].map(|high| Slab::end(along, high, from).extent(mesh, across)))
        .collect();
    let high_is_finer = pairs.iter().map(|[low, high]| high < low);
    let votes = high_is_finer.filter(|finer| *finer).count();
    let high = 2 * votes > pairs.len();
    let share = |[low, high_end]: &[f64; 2]| {
        let (bow, stern) = if high {
            (high_end, low)
        } else {
            (low, high_end)
        };
        bow / stern.max(f64::MIN_POSITIVE)
    };
    let shares: Vec<f64> = pairs.iter().map(share).collect();
    let words: Vec<String> = shares.iter().map(|s| format!("{:.0}", 100.0 * s)).collect();
    let because = format!(
        "from that end inward it is {} % as wide as from the other",
        words.join(", ")
    );
    let finest = shares.iter().copied().fold(f64::INFINITY, f64::min);
    if shares.iter().all(|s| *s < NEARLY) && finest <= FINER {
        return Proposal::decided(axis(along, high), because);
    }
    Proposal::open(
        vec![axis(along, high), axis(along, !high)],
        format!("{because}, which does not decide"),
    )
}
