//! Everything at once: a hull on a rig as a load arranges it, concluded into findings.

use crate::findings::{Finding, Findings, Size, Support};
use carry::Bearing;
use deviation::Deviation;
use keelstead_boat::hull::Hull;
use keelstead_geometry::math::{Pose, Vec3};
use keelstead_geometry::parallel::each;
use keelstead_load::load::{Load, PlacedBeam};
use keelstead_load::pads::PadState;
use keelstead_load::pads::StandingPad;
use keelstead_load::rig::Rig;
use keelstead_load::rig_parts;
use keelstead_load::rig_parts::RigPart;
use keelstead_load::rig_parts::TopFace;
use keelstead_load::setdown;
use keelstead_load::setdown::SetDownOutcome;
use keelstead_statics::support::corners::Sinkage;
use keelstead_units::quantity::Basis;
use keelstead_units::verdict::Verdict;

mod as_drawn;
mod axles;
mod balance;
mod carry;
mod deviation;
mod gaps;
mod input;
mod lifting;
mod lying;
mod measured;
mod order;
mod overlap;
mod pads;
mod riding;
mod room;
mod strength;
mod supports;
mod taped;
mod upright;
mod uses;
mod weighed;
mod write;
mod zones;

pub use as_drawn::check_as_drawn;

/// The boat's weight for this load, extra weights included.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Weight {
    /// Mass and how far it may be off, kg; none if nobody gave the boat's.
    pub mass_kg: Option<(f64, f64)>,
    /// Where it acts, hull frame.
    pub centre: Vec3,
    /// How far that may be off fore and aft, m; none if the centre is only assumed.
    pub tolerance_x_m: Option<f64>,
    /// How far that may be off sideways, m; none if the centre is only assumed.
    pub tolerance_y_m: Option<f64>,
    /// What the centre rests on.
    pub basis: Basis,
}

impl Weight {
    fn of(hull: &Hull, load: &Load) -> Self {
        let tolerance_y_m = hull.centre.map(|c| c.tolerance.y_m);
        let (centre, tolerance_x_m, basis) = match hull.centre {
            Some(c) => (c.at.vec(), Some(c.tolerance.x_m), c.basis),
            None => (hull.bounds.center(), None, Basis::AssumedDefault),
        };
        let Some(mass) = hull.mass else {
            return Self {
                mass_kg: None,
                centre,
                tolerance_x_m,
                tolerance_y_m,
                basis,
            };
        };
        let extra: f64 = load.extra_weights.iter().map(|w| w.mass_kg).sum();
        let moment: Vec3 = load
            .extra_weights
            .iter()
            .map(|w| w.at.vec() * w.mass_kg)
            .sum();
        let total = mass.mass_kg + extra;
        Self {
            mass_kg: Some((total, mass.tolerance_kg)),
            centre: (centre * mass.mass_kg + moment) / total,
            tolerance_x_m,
            tolerance_y_m,
            basis,
        }
    }
}

/// A load with its hull set down as a rigid body.
pub(crate) struct Placed<'a> {
    pub hull: &'a Hull,
    pub rig: &'a Rig,
    pub load: &'a Load,
    pub weight: Weight,
    /// Beams of the load that can be placed, by index, with their top faces.
    pub faces: Vec<(usize, TopFace)>,
    pub resting: SetDownOutcome,
    pub trailer_from_frame: Pose,
}

impl<'a> Placed<'a> {
    fn new(hull: &'a Hull, rig: &'a Rig, load: &'a Load) -> Self {
        let weight = Weight::of(hull, load);
        let trailer_from_frame = rig_parts::trailer_from_frame(rig, load.rail_top_m);
        let up = trailer_from_frame.inverse_transform_vector(Vec3::Z);
        let faces: Vec<(usize, TopFace)> = load
            .beams
            .iter()
            .enumerate()
            .filter_map(|(i, b)| rig_parts::top_face(rig, b).map(|f| (i, f)))
            .collect();
        let tops: Vec<TopFace> = faces.iter().map(|(_, f)| *f).collect();
        let resting = setdown::set_down(hull, &load.stand, &tops, weight.centre, up);
        Self {
            hull,
            rig,
            load,
            weight,
            faces,
            resting,
            trailer_from_frame,
        }
    }

    /// Where the hull stands before anything gives under it.
    fn trailer_from_hull(&self) -> Pose {
        self.trailer_from_frame * self.resting.frame_from_hull
    }

    /// The load's beam, its face and where the hull is nearest over it.
    pub(crate) fn supports(
        &self,
    ) -> impl Iterator<Item = (usize, &PlacedBeam, &TopFace, Option<setdown::Touch>)> {
        self.faces
            .iter()
            .zip(&self.resting.touches)
            .map(|((i, face), touch)| (*i, &self.load.beams[*i], face, *touch))
    }

    /// Whether a face this far under the hull carries it.
    pub(crate) fn carries(&self, gap_m: f64) -> bool {
        gap_m <= self.load.required.contact_m
    }
}

/// A load worked out: what the findings are read from.
pub(crate) struct Worked<'a> {
    pub placed: Placed<'a>,
    pub bearing: Bearing<'a>,
    /// Where the hull stands at rest, once beams and blocks have given under her weight.
    pub trailer_from_hull: Pose,
    /// The same at the hardest of the road, when they give the more.
    pub trailer_from_hull_on_the_road: Pose,
    /// How far she may be from where she is drawn at rest.
    pub deviation: Deviation,
    /// The same on the road.
    pub deviation_on_the_road: Deviation,
    /// Heights measured, beside what was worked out without them.
    pub heights: Vec<measured::Height>,
    /// How far heights measured moved her against her stacks as they are drawn, m.
    pub moved_m: f64,
    pub pads: Vec<StandingPad>,
    pub parts: Vec<RigPart>,
}

impl<'a> std::ops::Deref for Worked<'a> {
    type Target = Placed<'a>;

    fn deref(&self) -> &Self::Target {
        &self.placed
    }
}

impl<'a> Worked<'a> {
    fn new(hull: &'a Hull, rig: &'a Rig, load: &'a Load) -> Self {
        let placed = Placed::new(hull, rig, load);
        let bearing = Bearing::of(&placed);
        let rigid = placed.trailer_from_hull();
        let mut deviation = Deviation::of(&placed, &bearing);
        let mut stands = match bearing.solved() {
            Some(solved) => [solved.rest, solved.road].map(|s| deviation.sunk(s) * rigid),
            None => [rigid; 2],
        };
        let solved = bearing.solved();
        let heights = measured::heights(&placed, &stands[0], &deviation, solved.is_some());
        let mut moved_m = 0.0;
        let mut sunk = solved.map(|s| s.rest).unwrap_or_default();
        if let Some(narrowed) = heights.narrowed {
            sunk = sunk.and(narrowed.sinkage);
            stands = stands.map(|pose| deviation.sunk(narrowed.sinkage) * pose);
            let at = placed
                .faces
                .iter()
                .map(|(_, face)| narrowed.sinkage.at(face.middle.x));
            moved_m = at.map(f64::abs).fold(0.0, f64::max);
            deviation.narrow(narrowed.sinkage, &narrowed.within);
        }
        let deviation_on_the_road = match solved {
            Some(solved) => deviation.on_the_road(solved.road.less(solved.rest), &solved.more),
            None => deviation.on_the_road(Sinkage::default(), &[Sinkage::default()]),
        };
        let [trailer_from_hull, trailer_from_hull_on_the_road] = stands;
        let pads: Vec<StandingPad> = each(&rig.pads, |mount| {
            let setting = load.pads.iter().find(|s| s.pad == mount.name);
            let contact_m = load.required.contact_m;
            let frame = &placed.trailer_from_frame;
            let pad = keelstead_load::pads::stand(
                hull,
                mount,
                setting,
                frame,
                &trailer_from_hull,
                contact_m,
            );
            vec![pad]
        });
        let mut parts = rig_parts::parts(rig, load);
        for (support, (beam, _)) in placed.faces.iter().enumerate() {
            // What carries goes down with her.
            let touch = placed.resting.touches.get(support).copied().flatten();
            let sunk_m = touch.map_or(0.0, |t| sunk.at((placed.trailer_from_frame * t.at).x));
            let down_m = bearing.gives_m(support) + measured::lower_m(&placed, support, sunk_m);
            let gives = Vec3::NEG_Z * down_m;
            for part in parts.iter_mut().filter(|p| p.beam == Some(*beam)) {
                let pose = Pose::from_translation(gives) * part.trailer_from_part.pose();
                part.trailer_from_part = pose.into();
            }
        }
        for (i, pad) in pads.iter().enumerate() {
            parts.extend(
                pad.parts
                    .iter()
                    .cloned()
                    .map(|p| RigPart { pad: Some(i), ..p }),
            );
        }
        Self {
            placed,
            bearing,
            trailer_from_hull,
            trailer_from_hull_on_the_road,
            deviation,
            deviation_on_the_road,
            heights: heights.each,
            moved_m,
            pads,
            parts,
        }
    }

    /// How far a place on the hull may be from where it is drawn, any way, m: her shape there, the rig, and how she may
    /// stand. `at` in the trailer frame.
    pub(crate) fn off_m(&self, at: Vec3) -> f64 {
        let on_hull = self.trailer_from_hull.inverse_transform_point(at);
        let parts = 0..self.hull.parts.len();
        let in_gaps = parts.filter(|i| self.hull.parts[*i].part_use.in_gaps());
        let shape_m = in_gaps.map(|i| self.hull.shape_tolerance_at(i, on_hull));
        shape_m.fold(0.0, f64::max) + self.rig.tolerance_m + self.deviation.any_way(at)
    }
}

/// Checks a hull on a rig as the load arranges it.
///
/// Never fails: what contradicts itself or is missing becomes a finding, and a beam that cannot be
/// placed is left out of the picture and named. Costs one query a pair of parts; call it after
/// every edit.
pub fn check(hull: &Hull, rig: &Rig, load: &Load) -> Findings {
    let mut list = input::ranges(rig, load);
    let out_of_range = !list.is_empty();
    list.extend(input::contradictions(rig, load));
    if out_of_range {
        // Numbers out of range would make nonsense of everything below.
        return refused(list);
    }
    concluded(Worked::new(hull, rig, load), list)
}

/// Everything concluded of a load worked out, beside what is said of its numbers already.
fn concluded(worked: Worked, mut list: Vec<Finding>) -> Findings {
    list.extend(gaps::findings(&worked));
    list.extend(overlap::findings(&worked));
    let size = room::size(&worked);
    let supports = supports::supports(&worked);
    list.extend(balance::findings(&worked));
    let (road, pressed) = axles::findings(&worked);
    list.extend(pressed);
    list.extend(weighed::findings(worked.hull));
    list.extend(lifting::findings(&worked));
    list.extend(supports::findings(&worked, &supports));
    let stood = pads::findings(&worked);
    // A pad that may not stand as it does where she may be is not sure to hold her either.
    let sure = !stood
        .iter()
        .any(|f| f.id.starts_with("pad:") && f.verdict == Verdict::Tight);
    list.extend(stood);
    let carrying = worked.bearing.carrying().cloned();
    list.extend(carry::findings(&worked, &supports));
    list.extend(lying::findings(&worked, carrying.as_ref()));
    let (steadying, steadied) = upright::findings(&worked, carrying.as_ref(), sure);
    list.extend(steadied);
    list.extend(room::findings(&worked, &size));
    list.extend(uses::findings(&worked));
    list.extend(taped::findings(&worked, &size));
    let measured = measured::compared(&worked);
    list.extend(measured::findings(&worked, &measured));
    order::worst_first(&mut list);
    Findings {
        verdict: list
            .iter()
            .map(|f| f.verdict)
            .min()
            .unwrap_or(Verdict::Unknown),
        pending: false,
        trailer_from_hull: worked.trailer_from_hull.into(),
        trim_rad: trim_rad(&worked.trailer_from_hull),
        supports,
        pads: worked.pads.iter().map(|p| p.pad.clone()).collect(),
        carrying,
        steadying,
        road,
        size,
        mass_kg: worked.weight.mass_kg.map(|(mass_kg, _)| mass_kg),
        measured,
        rig_parts: worked.parts,
        list,
    }
}

fn trim_rad(trailer_from_hull: &Pose) -> f64 {
    let bow = trailer_from_hull.transform_vector(Vec3::X);
    bow.z.atan2(bow.x.hypot(bow.y))
}

/// What is left to say when a number is out of range.
fn refused(list: Vec<Finding>) -> Findings {
    Findings {
        verdict: Verdict::Unknown.min(
            list.iter()
                .map(|f| f.verdict)
                .min()
                .unwrap_or(Verdict::Unknown),
        ),
        list,
        pending: false,
        trailer_from_hull: Pose::identity().into(),
        trim_rad: 0.0,
        supports: Vec::<Support>::new(),
        pads: Vec::new(),
        carrying: None,
        steadying: None,
        road: None,
        size: Size::default(),
        mass_kg: None,
        measured: Vec::new(),
        rig_parts: Vec::new(),
    }
}

/// Whether a pad touches the hull.
pub(crate) fn touches(state: PadState) -> bool {
    matches!(state, PadState::Touching | PadState::Pressing)
}
