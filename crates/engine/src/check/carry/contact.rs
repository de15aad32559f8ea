//! How the keel may bear on a stack within what may be off.
//!
//! As she trims and heels, what bears on a top face moves to one end or side of it, and less bears. So the keel is laid on
//! each face turned by as much as her trim and heel may be off, each way, and put as far fore and aft and off the middle as
//! she may be. Turned as she is set down, before anything gives, which turns her the most. What a newton asks of beam, blocks
//! and keel is known then at three trims, and between them in proportion; it is held against the loads of
//! [`keelstead_statics::support::corners`], each at the trim that she has with it.

use std::cmp::Ordering;

use crate::check::Placed;
use keelstead_geometry::math::{Pose, Rot3, Vec3};
use keelstead_load::load::StrengthLimits;
use keelstead_load::rig_parts::TopFace;
use keelstead_load::setdown;
use keelstead_load::setdown::Touch;
use keelstead_statics::carrying::{LimitState, Utilisation};
use keelstead_statics::support::block_stack::{BlockStack, StandError};
use keelstead_statics::support::patch::Patch;
use keelstead_statics::support::{Site, Solved};

/// A load that uses are reckoned for, to be scaled, N.
const UNIT_N: f64 = 1000.0;

/// The keel on a stack, turned every way that it may be.
pub(super) struct Contact<'a> {
    /// For each turn bow down, rad: beam and stack with the keel so, or why they cannot stand.
    turned: Vec<(f64, Result<BlockStack<'a>, StandError>)>,
    /// How far the middle of what bears moves forward, least and greatest, m: turned bow up, as she is trimmed, bow down.
    moves_m: [[f64; 2]; 3],
    /// How far from that middle she is stopped first as she is set down, fore and aft and to either side, m.
    stopped_m: [f64; 2],
    /// Width it surely bears over, about where it does, m.
    pub least_width_m: f64,
}

/// Every support with the keel turned; none where the hull does not reach over one, or nothing ever bears.
pub(super) fn turned<'a>(
    placed: &Placed<'a>,
    sites: &[Option<Site<'a>>],
    solved: &Solved,
) -> Vec<Option<Contact<'a>>> {
    /// Turned by less than this, rad, is rounding of where she rests: a few micrometres from end to end.
    const LEAST_RAD: f64 = 1e-6;
    let trims = solved.turned.iter().flatten().map(|[_, turn]| *turn);
    let trims = trims.filter(|turn| turn.abs() > LEAST_RAD);
    let (up, down) = trims.fold((0.0_f64, 0.0_f64), |(up, down), t| (up.min(t), down.max(t)));
    let supports = placed.supports().zip(sites).zip(&solved.carrying.supports);
    supports
        .map(|(((index, _, face, touch), site), carried)| {
            let touch = touch.filter(|_| carried.most_n > 0.0)?;
            let touched = Touched {
                index,
                face,
                touch: &touch,
                patch: site.as_ref()?.stand.patch(),
            };
            Some(Contact::of(placed, touched, [up, down]))
        })
        .collect()
}

/// How far where the keel bears may move fore and aft, on the support where it moves the most, m.
pub(super) fn moves_m(contacts: &[Option<Contact>]) -> f64 {
    let moves = contacts.iter().flatten().flat_map(|c| c.moves_m);
    moves.flatten().map(f64::abs).fold(0.0, f64::max)
}

/// How much farther forward what bears on one of these supports, with their stations in m, may move than what bears on one
/// behind it, m; how far aft, and how far forward, any of them.
///
/// The two are turned alike, or one of them is not turned yet: on the way to a turn one may have moved and the other not.
pub(super) fn stretch_m(contacts: &[(f64, &Contact)]) -> [f64; 3] {
    /// What bears moves in steps of her triangles: on the way to a turn it may be farther off than at both ends. Held by the
    /// search of corners.
    const BETWEEN: f64 = 1.15;
    let moves = contacts.iter().flat_map(|(_, c)| c.moves_m);
    let any = moves.fold([0.0_f64; 2], |[aft, fore], [least, most]| {
        [aft.max(-least), fore.max(most)]
    });
    let pairs = contacts.iter().flat_map(|fore| {
        let behind = contacts.iter().filter(|aft| aft.0 < fore.0);
        behind.map(move |aft| (aft.1, fore.1))
    });
    let apart = pairs.flat_map(|(aft, fore)| {
        let [aft, fore] = [aft.moves_m, fore.moves_m];
        [UP, DOWN].map(|turned| {
            let fore_m = fore[turned][1].max(fore[LEVEL][1]);
            let aft_m = aft[turned][0].min(aft[LEVEL][0]);
            fore_m - aft_m
        })
    });
    [apart.fold(0.0, f64::max), any[0], any[1]].map(|m| BETWEEN * m)
}

// Places in the moves of a contact.
const UP: usize = 0;
const LEVEL: usize = 1;
const DOWN: usize = 2;

/// How far from the middle of what bears she is stopped first, fore and aft and to either side, on the supports where that
/// is the most, m.
pub(super) fn stopped_m(contacts: &[Option<Contact>]) -> [f64; 2] {
    let stopped = contacts.iter().flatten().map(|c| c.stopped_m);
    stopped.fold([0.0; 2], |[along, aside], [x, y]| {
        [along.max(x), aside.max(y)]
    })
}

/// A stack that the hull touches, as she is drawn.
#[derive(Clone, Copy)]
struct Touched<'t> {
    /// Index of its beam.
    index: usize,
    face: &'t TopFace,
    touch: &'t Touch,
    /// What bears.
    patch: &'t Patch,
}

impl<'a> Contact<'a> {
    fn of(placed: &Placed<'a>, touched: Touched, [up, down]: [f64; 2]) -> Self {
        let Touched {
            index,
            face,
            touch,
            patch: at_rest,
        } = touched;
        let required = &placed.load.required;
        let (heel, put) = (required.heel_tolerance_rad, required.placing_tolerance_m);
        let forward = placed.trailer_from_frame.transform_vector(Vec3::X);
        let pitch = forward.z.atan2(forward.x);
        let beam = &placed.load.beams[index];
        let mut contact = Self {
            turned: Vec::with_capacity(13),
            moves_m: [[0.0; 2]; 3],
            stopped_m: [0.0; 2],
            least_width_m: at_rest.spread_m(),
        };
        let take = |turn: f64, patch: &Patch, contact: &mut Self| {
            let mut aside = *patch;
            aside.middle.y += if aside.middle.y < 0.0 { -put } else { put };
            let stand = BlockStack::new(placed.rig, beam, aside, pitch);
            contact.turned.push((turn, stand));
        };
        take(0.0, at_rest, &mut contact);
        let mut trims = vec![up, 0.0, down];
        trims.dedup();
        let heels = || ends(heel).flat_map(|heel| ends(put).map(move |put| (heel, put)));
        let ways = trims
            .into_iter()
            .flat_map(|turn| heels().map(move |(heel, put)| [turn, heel, put]));
        for way in ways.filter(|way| *way != [0.0; 3]) {
            let Some((patch, stop)) = laid(placed, face, touch, way) else {
                continue;
            };
            let off = stop.at - at_rest.middle;
            let [along, aside] = &mut contact.stopped_m;
            *along = along.max(off.x.abs());
            *aside = aside.max(off.y.abs());
            take(way[0], &patch, &mut contact);
            let moved_m = patch.middle.x - at_rest.middle.x;
            let turned = match way[0].partial_cmp(&0.0) {
                Some(Ordering::Less) => UP,
                Some(Ordering::Greater) => DOWN,
                _ => LEVEL,
            };
            let [least, most] = &mut contact.moves_m[turned];
            (*least, *most) = (least.min(moved_m), most.max(moved_m));
            let beside = patch.sides_y_m.map(|y| (y - at_rest.middle.y).abs());
            let width = 2.0 * beside[0].min(beside[1]);
            contact.least_width_m = contact.least_width_m.min(width);
        }
        contact
    }

    /// Least stiffness with the keel turned as far bow up, and bow down, as she may be, N/m.
    pub fn turned_n_per_m(&self) -> [f64; 2] {
        [-1.0, 1.0].map(|way| {
            let that_way = self.turned.iter().filter(|(turn, _)| turn * way >= 0.0);
            let stands = that_way.filter_map(|(_, stand)| stand.as_ref().ok());
            let each = stands.map(|stand| stand.stiffness_n_per_m);
            each.fold(f64::INFINITY, f64::min)
        })
    }

    /// Why the stack may not stand with the keel turned or put on it as it may be; none where it always does.
    pub fn may_not_stand(&self) -> Option<StandError> {
        let mut stands = self.turned.iter().map(|(_, stand)| stand.as_ref());
        stands.find_map(|stand| stand.err().copied())
    }

    /// The most that each check uses under loads at trims, bow down from how she is set down: N and rad.
    fn worst(&self, uses: &mut [Utilisation], points: &[[f64; 2]], asked: &StrengthLimits) {
        // A stack that may not stand has its own finding.
        let stands = self.turned.iter().filter_map(|(turn, stand)| {
            let stand = stand.as_ref().ok()?;
            Some((*turn, stand.uses(UNIT_N, UNIT_N, asked)))
        });
        let samples: Vec<(f64, Vec<Utilisation>)> = stands.collect();
        for (i, one) in uses.iter_mut().enumerate() {
            let Some(had) = one.worst_ratio else { continue };
            let by_load = !matches!(one.check, LimitState::StackHeight | LimitState::Slip);
            let at: Option<Vec<(f64, f64)>> = (samples.iter())
                .map(|(turn, uses)| Some((*turn, uses.get(i)?.ratio?)))
                .collect();
            let Some(at) = at else {
                one.worst_ratio = None;
                continue;
            };
            let worst = if by_load {
                let most = points
                    .iter()
                    .map(|[load, turn]| load / UNIT_N * between(&at, *turn));
                most.fold(had.min(one.ratio.unwrap_or(had)), f64::max)
            } else {
                at.iter().map(|(_, ratio)| *ratio).fold(had, f64::max)
            };
            one.worst_ratio = Some(worst);
        }
    }
}

/// Both ends of what may be off so much either way.
fn ends(off: f64) -> impl Iterator<Item = f64> {
    let ends = if off > 0.0 { [-off, off] } else { [0.0; 2] };
    ends.into_iter().take(if off > 0.0 { 2 } else { 1 })
}

/// The greatest ratio at a turn, in proportion between the turns that are known.
fn between(known: &[(f64, f64)], turn: f64) -> f64 {
    let most_at = |at: f64| {
        let there = known
            .iter()
            .filter(|(t, _)| *t == at)
            .map(|(_, ratio)| *ratio);
        there.fold(0.0, f64::max)
    };
    let end = match turn < 0.0 {
        true => known.iter().map(|(t, _)| *t).fold(0.0, f64::min),
        false => known.iter().map(|(t, _)| *t).fold(0.0, f64::max),
    };
    if end == 0.0 {
        return most_at(0.0);
    }
    let part = (turn / end).clamp(0.0, 1.0);
    most_at(0.0) + part * (most_at(end) - most_at(0.0))
}

/// What bears, and what of her is stopped first, with the hull turned bow down and to starboard about where it touches, rad, and put forward, m; none where it
/// is not over the face then.
fn laid(
    placed: &Placed,
    face: &TopFace,
    touch: &Touch,
    [bow_down_rad, heel_rad, forward_m]: [f64; 3],
) -> Option<(Patch, Touch)> {
    let about = Pose::from_translation(touch.at);
    let turn = Rot3::from_rotation_y(bow_down_rad) * Rot3::from_rotation_x(heel_rad);
    let put = Pose::from_translation(Vec3::X * forward_m);
    let turned = about * put * Pose::from_rotation(turn) * about.inverse();
    let pose = turned * placed.resting.frame_from_hull;
    let touch = setdown::touch(placed.hull, face, &pose)?;
    let give = placed.load.required.contact_m;
    let patch = Patch::under(placed.hull, &pose, face, &touch, give);
    Some((patch, touch))
}

/// Holds what every support may bear against its loads within the tolerances.
pub(super) fn hold(contacts: &[Option<Contact>], asked: &StrengthLimits, solved: &mut Solved) {
    let mut turned = solved.turned.iter();
    for (contact, carried) in contacts.iter().zip(&mut solved.carrying.supports) {
        // A support that the hull does not reach over has no points.
        let points = match carried.gap_m {
            Some(_) => turned.next(),
            None => None,
        };
        if let (Some(contact), Some(points)) = (contact, points) {
            contact.worst(&mut carried.uses, points, asked);
        }
    }
}
