//! What a boat weighs and where, from what a yard can find out: a marked waterline, two scales under
//! its blocks, or what is typical of its kind.
//!
//! Every source gives a figure with its tolerance. Measured and computed ones come before what is
//! assumed; of those that agree the narrowest is taken. Two that disagree by more than both
//! tolerances are told and never averaged: the wider is kept, its tolerance widened to reach the far
//! end of the other.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::hull::{CentreOfGravity, Hull, Mass, PartKind};
use crate::hydrostatics::Immersed;
use keelstead_geometry::math::{Aabb, Point, Vec3};
use keelstead_units::fields::{FieldProblem, Fields};
use keelstead_units::quantity::{Basis, Quantity, Sentence};

mod choose;
mod columns;
mod displaced;
mod supports;
mod typical;
mod waterline;

pub use displaced::{Displaced, NotClosed, displaced};
pub use supports::{ScaleReading, SupportLoads};
pub use typical::{BoatKind, LONG_TON_KG, Typical, length_ratio, mass_of_ratio_kg};
pub use waterline::{Mark, MarkedWaterline, Water};

use choose::{Figure, settle};

/// What is known that tells a boat's weight, besides a weight that somebody states.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct WeightSources {
    /// The waterline as it was marked, afloat.
    pub waterline: Option<MarkedWaterline>,
    /// What two scales or load cells under the keel read, ashore.
    pub supports: Option<SupportLoads>,
    /// What kind of boat it is: its usual displacement-length ratio and centre, with wide bands.
    pub typical: Option<Typical>,
}

impl WeightSources {
    /// Whether nothing is given.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    fn check(&self, fields: &mut Fields) {
        if let Some(waterline) = &self.waterline {
            waterline.check(fields);
        }
        if let Some(supports) = &self.supports {
            supports.check(fields);
        }
        if let Some(typical) = &self.typical {
            typical.check(fields);
        }
    }
}

/// Where a figure is from.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Source {
    /// The hull description states it.
    Stated,
    /// The marked waterline.
    Waterline,
    /// Two scales under the keel.
    Supports,
    /// What is usual for the kind of boat.
    Typical,
}

impl Source {
    /// Its word in files and in the names of findings.
    pub fn key(self) -> &'static str {
        match self {
            Self::Stated => "stated",
            Self::Waterline => "waterline",
            Self::Supports => "supports",
            Self::Typical => "typical",
        }
    }

    /// As a reader would call it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Stated => "what the description states",
            Self::Waterline => "the marked waterline",
            Self::Supports => "the two scales",
            Self::Typical => "what is typical of its kind",
        }
    }
}

/// A mass with where it is from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MassFound {
    /// Where it is from.
    pub source: Source,
    /// The mass with its tolerance.
    pub mass: Mass,
    /// What it rests on.
    pub says: Sentence,
}

/// A centre of gravity with where it is from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CentreFound {
    /// Where its place fore and aft is from.
    pub source: Source,
    /// The centre with its tolerance.
    pub centre: CentreOfGravity,
    /// What it rests on.
    pub says: Sentence,
}

/// Two sources that contradict each other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Disagreement {
    /// Stable name: `mass:stated:waterline`.
    pub id: String,
    /// Which two.
    pub between: [Source; 2],
    /// How far they lie apart: a mass, or a length fore and aft.
    pub apart: Quantity,
    /// How far their tolerances together let them lie apart.
    pub allowed: Quantity,
    /// Told, with what was made of it.
    pub says: Sentence,
}

/// A source that is given but tells nothing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Untold {
    /// Which.
    pub source: Source,
    /// Why, and what to do.
    pub says: Sentence,
}

/// How the boat floats at its marked waterline.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Afloat {
    /// Mass of the water pushed aside, kg.
    pub displacement_kg: f64,
    /// Its volume, m³.
    pub volume_m3: f64,
    /// Density of the water, kg/m³.
    pub water_kg_m3: f64,
    /// Bow up, rad.
    pub trim_rad: f64,
    /// To starboard, rad.
    pub heel_rad: f64,
    /// Centre of buoyancy, hull frame.
    pub buoyancy: Point,
    /// Middle of the waterplane, hull frame.
    pub flotation: Point,
    /// Area of the waterplane, m².
    pub waterplane_m2: f64,
    /// Skin below the water, m².
    pub wetted_m2: f64,
    /// How deep the lowest point lies, m.
    pub draft_m: f64,
    /// Where the waterline begins, m along the hull's x.
    pub aft_x_m: f64,
    /// How long the waterline is, m along the hull's x.
    pub length_m: f64,
    /// Volume of overlapping parts, counted once, m³.
    pub overlap_m3: f64,
    /// Volume within inner skins, m³.
    pub inner_m3: f64,
}

/// What all sources together say.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Weighed {
    /// Every mass found.
    pub masses: Vec<MassFound>,
    /// Every centre found.
    pub centres: Vec<CentreFound>,
    /// The mass taken, and from which source; none if no source gives one.
    pub mass: Option<(Source, Mass)>,
    /// The centre taken, and from which source; none if no source gives one.
    pub centre: Option<(Source, CentreOfGravity)>,
    /// Sources that contradict each other.
    pub disagreements: Vec<Disagreement>,
    /// Sources that tell nothing.
    pub untold: Vec<Untold>,
    /// What was done with the mesh on the way.
    pub notes: Vec<Sentence>,
    /// How it floats at the marked waterline; none without one that can be worked out.
    pub afloat: Option<Afloat>,
}

/// Where the weight acts sideways and upward: stated, or usual.
#[derive(Debug, Clone, Copy)]
struct Aside {
    y_m: f64,
    z_m: f64,
    y_off_m: f64,
    z_off_m: f64,
    basis: Basis,
}

/// How far the weight may be off the middle plane where nobody says, as a part of the hull's width.
/// Common practice, no source.
const OFF_MIDDLE: f64 = 0.015;

impl Aside {
    fn of(hull: &Hull, kind: BoatKind) -> Self {
        if let Some(stated) = hull.centre {
            return Self {
                y_m: stated.at.y_m,
                z_m: stated.at.z_m,
                y_off_m: stated.tolerance.y_m,
                z_off_m: stated.tolerance.z_m,
                basis: stated.basis,
            };
        }
        let body = body_bounds(hull);
        let depth_m = body.extents().z;
        let (share, off) = kind.height_share();
        Self {
            y_m: 0.0,
            z_m: body.mins.z + share * depth_m,
            y_off_m: OFF_MIDDLE * body.extents().y,
            z_off_m: off * depth_m,
            basis: Basis::CommonPractice,
        }
    }

    fn centre(&self, x_m: f64, x_off_m: f64, basis: Basis) -> CentreOfGravity {
        CentreOfGravity {
            at: Point::new(x_m, self.y_m, self.z_m),
            tolerance: Point::new(x_off_m, self.y_off_m, self.z_off_m),
            basis,
        }
    }
}

/// Bounds of the hull's skin; of everything where no part is one.
fn body_bounds(hull: &Hull) -> Aabb {
    use keelstead_geometry::math::BoundingVolume;
    let bodies = hull.parts.iter().filter(|p| p.kind == PartKind::Body);
    let bounds = bodies.map(|p| p.mesh.aabb()).reduce(|a, b| a.merged(&b));
    bounds.unwrap_or(hull.bounds)
}

/// As bounds stand in a message.
fn to_a_millimetre(point: Vec3) -> Vec3 {
    (point * 1e3).round() / 1e3
}

/// Everything that `weighing` and what `hull` itself states say of its weight.
///
/// Extra weights of a load come on top: a boat weighed with them on board must not list them again.
///
/// # Errors
/// A figure that cannot be right, with its place below `weighing`. A source that is sound but gives
/// nothing, such as a waterline on an open mesh, is in [`Weighed::untold`].
pub fn weigh(hull: &Hull, weighing: &WeightSources) -> Result<Weighed, FieldProblem> {
    let mut fields = Fields::default();
    weighing.check(&mut fields);
    if let Some(waterline) = &weighing.waterline {
        waterline.check_on(hull, &mut fields);
    }
    if let Some(supports) = &weighing.supports {
        supports.check_on(hull, &mut fields);
    }
    if let Some(typical) = &weighing.typical {
        typical.check_on(hull, &mut fields);
    }
    if let Some(problem) = fields.problems.into_iter().next() {
        return Err(problem);
    }
    let said = weighing.typical.map(|typical| typical.kind);
    let kind = said.or(hull.kind()).unwrap_or(BoatKind::Other);
    let aside = Aside::of(hull, kind);
    let mut weighed = Weighed::default();
    stated(hull, &mut weighed);
    if let Some(marked) = &weighing.waterline {
        marked.weigh(hull, &aside, &mut weighed);
    }
    if let Some(loads) = &weighing.supports {
        loads.weigh(hull, &aside, &mut weighed);
    }
    if let Some(typical) = &weighing.typical {
        typical.weigh(hull, &aside, &mut weighed);
    }
    take(&mut weighed);
    Ok(weighed)
}

fn stated(hull: &Hull, weighed: &mut Weighed) {
    if let Some(mass) = hull.mass {
        weighed.masses.push(MassFound {
            source: Source::Stated,
            mass,
            says: Sentence::new("stated in the hull description"),
        });
    }
    if let Some(centre) = hull.centre {
        weighed.centres.push(CentreFound {
            source: Source::Stated,
            centre,
            says: Sentence::new("stated in the hull description"),
        });
    }
}

/// Chooses among what was found.
fn take(weighed: &mut Weighed) {
    let masses: Vec<Figure> = weighed
        .masses
        .iter()
        .map(|m| Figure {
            source: m.source,
            value: m.mass.mass_kg,
            off: m.mass.tolerance_kg,
            basis: m.mass.basis,
        })
        .collect();
    let (taken, told) = settle("mass", &masses, Quantity::mass);
    weighed.disagreements.extend(told);
    weighed.mass = taken.map(|(at, tolerance_kg)| {
        let found = &weighed.masses[at];
        let mass = Mass {
            tolerance_kg,
            ..found.mass
        };
        (found.source, mass)
    });
    let along: Vec<Figure> = weighed
        .centres
        .iter()
        .map(|c| Figure {
            source: c.source,
            value: c.centre.at.x_m,
            off: c.centre.tolerance.x_m,
            basis: c.centre.basis,
        })
        .collect();
    let (taken, told) = settle("centre", &along, Quantity::length);
    weighed.disagreements.extend(told);
    weighed.centre = taken.map(|(at, x_m)| {
        let found = &weighed.centres[at];
        let mut centre = found.centre;
        centre.tolerance.x_m = x_m;
        (found.source, centre)
    });
}

impl Afloat {
    fn new(found: &Displaced, marked: &MarkedWaterline, trim_rad: f64) -> Self {
        let Immersed {
            volume_m3,
            centre,
            waterplane_m2,
            flotation,
            wetted_m2,
            draft_m,
            ..
        } = found.below;
        let water_kg_m3 = marked.water.kg_m3();
        let [aft_x_m, fore_x_m] = found.waterline_x_m;
        Self {
            displacement_kg: found.below.displacement_kg(water_kg_m3),
            volume_m3,
            water_kg_m3,
            trim_rad,
            heel_rad: marked.heel_rad,
            buoyancy: centre.into(),
            flotation: flotation.into(),
            waterplane_m2,
            wetted_m2,
            draft_m,
            aft_x_m,
            length_m: fore_x_m - aft_x_m,
            overlap_m3: found.overlap_m3,
            inner_m3: found.inner_m3,
        }
    }
}

#[cfg(test)]
mod tests;
