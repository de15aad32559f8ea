//! Everything at once: a hull on a rig as a load arranges it, concluded into findings.

use crate::findings::{Findings, PadState, RigPart, Size, Support, Verdict};
use crate::hull::Hull;
use crate::load::{Load, PlacedBeam};
use crate::math::{Pose, Vec3};
use crate::parallel::each;
use crate::quantity::Basis;
use crate::rig::Rig;
use crate::setdown::{self, Resting};
use crate::standing::{self, TopFace};
use crate::steady::{self, StandingPad};

mod balance;
mod carry;
mod gaps;
mod input;
mod lifting;
mod pads;
mod room;
mod shape;
mod strength;
mod supports;
mod taped;
mod upright;
mod uses;
mod weighed;
mod write;
mod zones;

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

/// A load worked out: what the findings are read from.
pub(crate) struct Worked<'a> {
    pub hull: &'a Hull,
    pub rig: &'a Rig,
    pub load: &'a Load,
    pub weight: Weight,
    /// Beams of the load that can be placed, by index, with their top faces.
    pub faces: Vec<(usize, TopFace)>,
    pub resting: Resting,
    pub trailer_from_frame: Pose,
    pub trailer_from_hull: Pose,
    pub pads: Vec<StandingPad>,
    pub parts: Vec<RigPart>,
    /// How far any gap between hull and rig may be off, m.
    pub tolerance_m: f64,
}

impl<'a> Worked<'a> {
    fn new(hull: &'a Hull, rig: &'a Rig, load: &'a Load) -> Self {
        let weight = Weight::of(hull, load);
        let trailer_from_frame = standing::trailer_from_frame(rig, load.rail_top_m);
        let up = trailer_from_frame.inverse_transform_vector(Vec3::Z);
        let faces: Vec<(usize, TopFace)> = load
            .beams
            .iter()
            .enumerate()
            .filter_map(|(i, b)| standing::top_face(rig, b).map(|f| (i, f)))
            .collect();
        let tops: Vec<TopFace> = faces.iter().map(|(_, f)| *f).collect();
        let resting = setdown::set_down(hull, &load.stand, &tops, weight.centre, up);
        let trailer_from_hull = trailer_from_frame * resting.frame_from_hull;
        let mut parts = standing::parts(rig, load);
        let pads: Vec<StandingPad> = each(&rig.pads, |mount| {
            let setting = load.pads.iter().find(|s| s.pad == mount.name);
            let contact_m = load.required.contact_m;
            let frame = &trailer_from_frame;
            let pad = steady::stand(hull, mount, setting, frame, &trailer_from_hull, contact_m);
            vec![pad]
        });
        for (i, pad) in pads.iter().enumerate() {
            parts.extend(
                pad.parts
                    .iter()
                    .cloned()
                    .map(|p| RigPart { pad: Some(i), ..p }),
            );
        }
        let tolerance_m =
            hull.shape_tolerance_m + rig.tolerance_m + load.required.placing_tolerance_m;
        Self {
            hull,
            rig,
            load,
            weight,
            faces,
            resting,
            trailer_from_frame,
            trailer_from_hull,
            pads,
            parts,
            tolerance_m,
        }
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
    let worked = Worked::new(hull, rig, load);
    list.extend(gaps::findings(&worked));
    let size = room::size(&worked);
    let supports = supports::supports(&worked);
    list.extend(balance::findings(&worked));
    list.extend(weighed::findings(hull));
    list.extend(lifting::findings(&worked));
    list.extend(supports::findings(&worked, &supports));
    list.extend(pads::findings(&worked));
    let (carrying, carried) = carry::findings(&worked, &supports);
    list.extend(carried);
    let (steadying, steadied) = upright::findings(&worked, carrying.as_ref());
    list.extend(steadied);
    list.extend(room::findings(&worked, &size));
    list.extend(uses::findings(&worked));
    list.extend(taped::findings(&worked, &size));
    shape::hold_back(&worked, &mut list);
    list.sort_by(|a, b| {
        // To a micrometre: port and starboard of a fair hull differ by rounding alone, which is not the same on every
        // machine, and the order must be.
        let spare = |f: &crate::findings::Finding| match (f.found, f.required) {
            (Some(found), Some(required)) => ((found.value - required.value) * 1e6).round(),
            _ => f64::NEG_INFINITY,
        };
        (a.verdict, a.topic)
            .cmp(&(b.verdict, b.topic))
            .then(spare(a).total_cmp(&spare(b)))
    });
    Findings {
        verdict: list
            .iter()
            .map(|f| f.verdict)
            .min()
            .unwrap_or(Verdict::Unknown),
        trailer_from_hull: worked.trailer_from_hull.into(),
        trim_rad: trim_rad(&worked.trailer_from_hull),
        supports,
        pads: worked.pads.iter().map(|p| p.pad.clone()).collect(),
        carrying,
        steadying,
        size,
        rig_parts: worked.parts,
        list,
    }
}

fn trim_rad(trailer_from_hull: &Pose) -> f64 {
    let bow = trailer_from_hull.transform_vector(Vec3::X);
    bow.z.atan2(bow.x.hypot(bow.y))
}

/// What is left to say when a number is out of range.
fn refused(list: Vec<crate::findings::Finding>) -> Findings {
    Findings {
        verdict: Verdict::Unknown.min(
            list.iter()
                .map(|f| f.verdict)
                .min()
                .unwrap_or(Verdict::Unknown),
        ),
        list,
        trailer_from_hull: Pose::identity().into(),
        trim_rad: 0.0,
        supports: Vec::<Support>::new(),
        pads: Vec::new(),
        carrying: None,
        steadying: None,
        size: Size::default(),
        rig_parts: Vec::new(),
    }
}

/// Whether a pad touches the hull.
pub(crate) fn touches(state: PadState) -> bool {
    matches!(state, PadState::Touching | PadState::Pressing)
}
