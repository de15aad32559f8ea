//! The hull lowered onto its blocks as a rigid body: at what height and trim it rests, which
//! blocks touch, and how far it stays from the others.
//!
//! Frame coordinates throughout (rails' top is z = 0). Where the boat stands fore and aft, its
//! sideways place, yaw and heel are given; height and trim are found as the lowest place of the
//! centre of gravity at which nothing sinks in. That energy is convex in the trim but for the
//! curvature of the keel, so its minimum is bracketed and closed in on with tangents. Where it is not, because her weight
//! acts high over a stack, the minimum that she settles in from the wanted trim is walked to first. Elastic
//! sharing among more than two blocks starts from here and is another matter.

use crate::load::{HullPosition, TRIM_LIMIT_RAD};
use crate::rig_parts::TopFace;
use keelstead_boat::hull::Hull;
use keelstead_geometry::math::{Pose, Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;
use keelstead_geometry::mesh::tree::{Node, Search};

pub mod stack;
pub mod top_face;

use top_face::TopFaceQuery;

/// How exactly the trim is found, rad: five thousandths of a millimetre over ten metres.
const TRIM_TOLERANCE_RAD: f64 = 5e-7;

/// Stride of the walk to a least energy, rad: two centimetres at either end of a ten metre boat.
const STRIDE_RAD: f64 = 0.004;

/// Rounds of closing in before the bracket is taken as it is.
const ROUNDS: usize = 60;

/// Where the hull stands for a height of its origin over the rails' top and a trim.
pub fn frame_from_hull(stand: &HullPosition, height_m: f64, trim_rad: f64) -> Pose {
    let rotation = Rot3::from_rotation_z(stand.yaw_rad)
        * Rot3::from_rotation_y(-trim_rad)
        * Rot3::from_rotation_x(stand.heel_rad);
    Pose::from_parts(Vec3::new(stand.x_m, stand.y_m, height_m), rotation)
}

/// Where the hull is nearest over a top face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// Upright gap between top face and hull, m; negative below it.
    pub gap_m: f64,
    /// The hull's point there. Frame coordinates.
    pub at: Vec3,
}

/// How the hull came to rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Equilibrium {
    /// Held fore and aft of its centre of gravity, or under it.
    Settled,
    /// Nothing holds it ahead of the centre of gravity: it tips bow down.
    TipsBowDown,
    /// Nothing holds it behind the centre of gravity: it tips bow up.
    TipsBowUp,
    /// No top face lies under the hull at all.
    NothingUnder,
}

/// The hull at rest.
#[derive(Debug, Clone, PartialEq)]
pub struct SetDownOutcome {
    /// Where it stands.
    pub frame_from_hull: Pose,
    /// Height of its origin over the rails' top, m.
    pub height_m: f64,
    /// Bow up relative to the rails, rad.
    pub trim_rad: f64,
    /// How it came to rest.
    pub rest: Equilibrium,
    /// For each top face, where the hull is nearest over it; none if it does not reach over it.
    pub touches: Vec<Option<Touch>>,
}

/// Lowers the hull onto the top faces, its weight acting at `centre` (hull frame), down along
/// `-up` (unit, frame coordinates).
///
/// Where the hull tips or nothing is under it, it is left at the trim the load wants, on the
/// face it meets first, or at the wanted height, and [`SetDownOutcome::rest`] says so.
pub fn set_down(
    hull: &Hull,
    stand: &HullPosition,
    faces: &[TopFace],
    centre: Vec3,
    up: Vec3,
) -> SetDownOutcome {
    let state = |trim_rad: f64| State::at(hull, stand, faces, centre, up, trim_rad);
    let wanted_trim = stand.wanted.map_or(0.0, |w| w.trim_rad);
    let (down, bow_up) = (state(-TRIM_LIMIT_RAD), state(TRIM_LIMIT_RAD));
    let (trim_rad, rest) = match (down, bow_up) {
        (Some(down), Some(bow_up)) if down.tangent < 0.0 && bow_up.tangent > 0.0 => {
            (lowest(&state, down, bow_up), Equilibrium::Settled)
        }
        (Some(down), Some(_)) => match walk(&state, wanted_trim) {
            Some([low, high]) => (lowest(&state, low, high), Equilibrium::Settled),
            None if down.tangent >= 0.0 => (wanted_trim, Equilibrium::TipsBowDown),
            None => (wanted_trim, Equilibrium::TipsBowUp),
        },
        _ => (wanted_trim, Equilibrium::NothingUnder),
    };
    let resting = state(trim_rad);
    let rest = if resting.is_none() {
        Equilibrium::NothingUnder
    } else {
        rest
    };
    let height_m = resting.map_or_else(
        || stand.wanted.map_or(0.0, |w| w.keel_over_rail_m),
        |s| s.height_m,
    );
    let pose = frame_from_hull(stand, 0.0, trim_rad);
    let touches = faces
        .iter()
        .map(|f| {
            touch(hull, f, &pose).map(|t| Touch {
                gap_m: t.gap_m + height_m,
                at: t.at + Vec3::Z * height_m,
            })
        })
        .collect();
    SetDownOutcome {
        frame_from_hull: frame_from_hull(stand, height_m, trim_rad),
        height_m,
        trim_rad,
        rest,
        touches,
    }
}

/// Upright gap over each top face with the hull held at a height and trim, m.
pub fn touches_at(
    hull: &Hull,
    stand: &HullPosition,
    faces: &[TopFace],
    height_m: f64,
    trim_rad: f64,
) -> Vec<Option<f64>> {
    let pose = frame_from_hull(stand, height_m, trim_rad);
    faces
        .iter()
        .map(|f| touch(hull, f, &pose).map(|t| t.gap_m))
        .collect()
}

/// The hull let down at one trim until it meets the first face.
#[derive(Debug, Clone, Copy)]
struct State {
    trim_rad: f64,
    height_m: f64,
    /// Height of the centre of gravity along `up`, m.
    energy_m: f64,
    /// Its change with trim, m/rad: positive when the contact lies behind the centre.
    tangent: f64,
}

impl State {
    fn at(
        hull: &Hull,
        stand: &HullPosition,
        faces: &[TopFace],
        centre: Vec3,
        up: Vec3,
        trim_rad: f64,
    ) -> Option<Self> {
        let pose = frame_from_hull(stand, 0.0, trim_rad);
        let (touch, slope) = faces.iter().fold(None, |first, face| {
            let before = first.map(|(touch, _)| touch);
            let now = lower(hull, face, &pose, before);
            if now == before {
                first
            } else {
                Some((now?, face.slope))
            }
        })?;
        let height_m = -touch.gap_m;
        let arm = pose.transform_vector(centre);
        // A small turn bow up moves a point at (x, z) from the origin by (-z, x).
        let turned = Vec3::new(-arm.z, 0.0, arm.x);
        let (x, z) = (touch.at.x - stand.x_m, touch.at.z);
        let gap_change = x + slope * z;
        let energy_m = up.dot(arm) + up.z * height_m;
        let tangent = up.dot(turned) - up.z * gap_change;
        Some(Self {
            trim_rad,
            height_m,
            energy_m,
            tangent,
        })
    }
}

/// The states on either side of the least energy that is met first from a trim downhill; none where she goes on to the end
/// of what trims are taken.
fn walk(state: &impl Fn(f64) -> Option<State>, from_rad: f64) -> Option<[State; 2]> {
    let mut last = state(from_rad.clamp(-TRIM_LIMIT_RAD, TRIM_LIMIT_RAD))?;
    let way = if last.tangent < 0.0 { 1.0 } else { -1.0 };
    loop {
        let trim_rad = last.trim_rad + way * STRIDE_RAD;
        if trim_rad.abs() > TRIM_LIMIT_RAD {
            return None;
        }
        let next = state(trim_rad)?;
        if (next.tangent < 0.0) != (last.tangent < 0.0) {
            return Some(if way > 0.0 {
                [last, next]
            } else {
                [next, last]
            });
        }
        last = next;
    }
}

/// The trim of least energy between two states whose tangents lean toward each other.
///
/// The tangents' crossing is taken, but never nearer to an end than the bracket's final width: a
/// step just past the least place then closes the bracket from the other side. Every fourth round
/// halves, so that it must close whatever the keel's curvature does.
fn lowest(state: &impl Fn(f64) -> Option<State>, mut low: State, mut high: State) -> f64 {
    for round in 0..ROUNDS {
        let width = high.trim_rad - low.trim_rad;
        if width <= TRIM_TOLERANCE_RAD {
            break;
        }
        let crossing = (high.energy_m - low.energy_m + low.tangent * low.trim_rad
            - high.tangent * high.trim_rad)
            / (low.tangent - high.tangent);
        let trim = if round % 4 == 3 || !crossing.is_finite() {
            low.trim_rad + width / 2.0
        } else {
            let margin = TRIM_TOLERANCE_RAD.min(width / 2.0);
            // No `clamp`: rounding may turn the ends about where they meet.
            crossing
                .max(low.trim_rad + margin)
                .min(high.trim_rad - margin)
        };
        let Some(next) = state(trim) else { break };
        if next.tangent < 0.0 {
            low = next;
        } else {
            high = next;
        }
    }
    if low.energy_m < high.energy_m {
        low.trim_rad
    } else {
        high.trim_rad
    }
}

/// Where the hull, standing at a pose, is nearest over a face; none if it does not reach over it.
pub fn touch(hull: &Hull, face: &TopFace, frame_from_hull: &Pose) -> Option<Touch> {
    lower(hull, face, frame_from_hull, None)
}

/// The same, if it is nearer than another touch; else that one.
fn lower(
    hull: &Hull,
    face: &TopFace,
    frame_from_hull: &Pose,
    than: Option<Touch>,
) -> Option<Touch> {
    let over = TopFaceQuery::new(face, frame_from_hull);
    let mut best = than;
    for part in hull.bearing_parts() {
        let mesh = &part.mesh;
        let mut nearest = Nearest { over, mesh, best };
        mesh.tree().search(&mut nearest);
        best = nearest.best;
    }
    best
}

/// Hull parts the weight may stand on that come within a gap of a face, or below it, by index.
pub fn parts_over(
    hull: &Hull,
    face: &TopFace,
    frame_from_hull: &Pose,
    within_m: f64,
) -> Vec<usize> {
    let limit = Touch {
        gap_m: within_m.next_up(),
        at: face.middle,
    };
    let over = TopFaceQuery::new(face, frame_from_hull);
    let comes_near = |mesh: &Mesh| {
        let best = Some(limit);
        let mut nearest = Nearest { over, mesh, best };
        mesh.tree().search(&mut nearest);
        nearest.best != Some(limit)
    };
    let parts = hull.parts.iter().enumerate();
    parts
        .filter(|(_, part)| part.may_bear() && comes_near(&part.mesh))
        .map(|(i, _)| i)
        .collect()
}

/// The search for the surface nearest over a face.
struct Nearest<'a> {
    over: TopFaceQuery<'a>,
    mesh: &'a Mesh,
    best: Option<Touch>,
}

impl Search for Nearest<'_> {
    fn least(&self, node: &Node) -> f64 {
        self.over.least_m(node)
    }

    fn best(&self) -> f64 {
        self.best.map_or(f64::INFINITY, |t| t.gap_m)
    }

    fn look(&mut self, triangle: u32) {
        let triangle = self.mesh.triangle(triangle);
        // No lower corner, no lower point.
        if self.over.lowest_corner_m(&triangle) >= self.best() {
            return;
        }
        for &at in self.over.piece(&triangle).corners() {
            let gap_m = self.over.over_m(at);
            if self.best.is_none_or(|b| gap_m < b.gap_m) {
                self.best = Some(Touch { gap_m, at });
            }
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::load::TargetAttitude;
    use keelstead_boat::hull::{HullFacts, HullPart, PartKind};
    use keelstead_geometry::solids::cuboid;

    /// A prism 8 m long, 0.2 m wide, flat underneath.
    fn prism() -> Hull {
        let mesh = Arc::new(cuboid([0.0, -0.1, 0.0], [8.0, 0.1, 1.0]));
        let keel = HullPart {
            name: "keel".into(),
            kind: PartKind::Keel,
            part_use: keelstead_boat::hull::PartUse::Checked,
            mesh,
        };
        Hull::new("prism", vec![keel], HullFacts::default()).unwrap()
    }

    fn face(x: f64, z: f64) -> TopFace {
        TopFace {
            middle: Vec3::new(x, 0.0, z),
            half_length_m: 0.1,
            half_width_m: 0.3,
            slope: 0.0,
            beam_top_m: 0.0,
        }
    }

    fn stand() -> HullPosition {
        HullPosition {
            x_m: 0.0,
            y_m: 0.0,
            yaw_rad: 0.0,
            heel_rad: 0.0,
            wanted: None,
        }
    }

    const CENTRE: Vec3 = Vec3::new(4.0, 0.0, 0.5);

    #[test]
    fn a_bracket_as_wide_as_twice_what_is_kept_off_its_ends_closes() {
        // Ends a hair apart, at which half the width rounds up: its two marks pass each other.
        let state = |trim_rad: f64| {
            Some(State {
                trim_rad,
                height_m: 0.0,
                energy_m: trim_rad * trim_rad,
                tangent: 2.0 * trim_rad,
            })
        };
        for i in 0..20_000 {
            let low = -4.389e-7 - f64::from(i) * 1e-14;
            let high = low + TRIM_TOLERANCE_RAD * (1.0 + f64::from(i) * 1e-5);
            let [low, high] = [low, high].map(|trim| state(trim).unwrap());
            let found = lowest(&state, low, high);
            assert!(found.abs() <= low.trim_rad.abs().max(high.trim_rad.abs()));
        }
    }

    #[test]
    fn a_high_weight_just_within_her_stacks_settles_where_she_is_put_down() {
        // By hand: 20 mm within the fore stack's fore end, 1.5 m up, she would go over at 20 / 1500 of a radian, well
        // before the end of the trims that are tried.
        let centre = Vec3::new(6.08, 0.0, 1.5);
        let faces = [face(2.0, 0.3), face(6.0, 0.3)];
        let rest = set_down(&prism(), &stand(), &faces, centre, Vec3::Z);
        assert_eq!(rest.rest, Equilibrium::Settled);
        assert!(rest.trim_rad.abs() < 1e-5, "{rest:?}");
        let beyond = set_down(
            &prism(),
            &stand(),
            &faces,
            Vec3::new(6.12, 0.0, 1.5),
            Vec3::Z,
        );
        assert_eq!(beyond.rest, Equilibrium::TipsBowDown);
    }

    #[test]
    fn a_prism_lies_level_on_two_level_blocks() {
        let rest = set_down(
            &prism(),
            &stand(),
            &[face(2.0, 0.3), face(6.0, 0.3)],
            CENTRE,
            Vec3::Z,
        );
        assert_eq!(rest.rest, Equilibrium::Settled);
        assert!((rest.height_m - 0.3).abs() < 1e-5, "{rest:?}");
        assert!(rest.trim_rad.abs() < 2e-6, "{rest:?}");
        assert!(rest.touches.iter().all(|t| t.unwrap().gap_m.abs() < 1e-5));
    }

    #[test]
    fn a_prism_trims_to_blocks_of_unlike_height() {
        // By hand: a flat bottom that rises forward comes nearest to each level top at its aft
        // edge, x = 1.9 and x = 5.9, so that the trim is atan(0.1 / 4).
        let rest = set_down(
            &prism(),
            &stand(),
            &[face(2.0, 0.3), face(6.0, 0.4)],
            CENTRE,
            Vec3::Z,
        );
        let by_hand = (0.1_f64 / 4.0).atan();
        assert!(
            (rest.trim_rad - by_hand).abs() < 2e-6,
            "{} {by_hand}",
            rest.trim_rad
        );
        for touch in rest.touches {
            assert!(touch.unwrap().gap_m.abs() < 2e-5);
        }
    }

    #[test]
    fn a_low_middle_block_carries_nothing() {
        let faces = [face(2.0, 0.3), face(4.0, 0.286), face(6.0, 0.3)];
        let rest = set_down(&prism(), &stand(), &faces, CENTRE, Vec3::Z);
        assert!((rest.touches[1].unwrap().gap_m - 0.014).abs() < 1e-5);
    }

    #[test]
    fn a_high_middle_block_takes_the_prism_alone() {
        let faces = [face(2.0, 0.3), face(4.0, 0.32), face(6.0, 0.3)];
        let rest = set_down(&prism(), &stand(), &faces, CENTRE, Vec3::Z);
        assert_eq!(rest.rest, Equilibrium::Settled);
        assert!((rest.height_m - 0.32).abs() < 1e-5, "{rest:?}");
        assert!((rest.touches[0].unwrap().gap_m - 0.02).abs() < 1e-4);
    }

    #[test]
    fn it_tips_where_nothing_holds() {
        let aft = set_down(
            &prism(),
            &stand(),
            &[face(1.0, 0.3), face(2.0, 0.3)],
            CENTRE,
            Vec3::Z,
        );
        assert_eq!(aft.rest, Equilibrium::TipsBowDown);
        let fore = set_down(
            &prism(),
            &stand(),
            &[face(6.0, 0.3), face(7.0, 0.3)],
            CENTRE,
            Vec3::Z,
        );
        assert_eq!(fore.rest, Equilibrium::TipsBowUp);
        let none = set_down(&prism(), &stand(), &[face(20.0, 0.3)], CENTRE, Vec3::Z);
        assert_eq!(none.rest, Equilibrium::NothingUnder);
        assert_eq!(none.touches, vec![None]);
    }

    #[test]
    fn a_wedge_lies_under_a_trimmed_keel() {
        let slope = 0.03_f64;
        let wanted = TargetAttitude {
            keel_over_rail_m: 0.5,
            trim_rad: slope.atan(),
        };
        let stand = HullPosition {
            wanted: Some(wanted),
            ..stand()
        };
        let wedge = TopFace {
            slope,
            ..face(3.0, 0.4)
        };
        let gap = touches_at(&prism(), &stand, &[wedge], 0.5, slope.atan())[0].unwrap();
        // By hand: the keel's bottom over x = 3 stands at 0.5 + 3 * 0.03 = 0.59.
        assert!((gap - 0.19).abs() < 1e-9, "{gap}");
    }
}
