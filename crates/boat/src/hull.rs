//! The boat: named parts of one checked mesh, what it weighs and where, and where nothing may press.
//!
//! Hull frame: x forward, y to port, z up, origin at the aft end of the keel line.

use std::sync::Arc;

use keelstead_geometry::math::BoundingVolume;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::profile::Profile;
use crate::weigh::{BoatKind, Weighed, WeightSources, weigh};
use keelstead_geometry::math::{Aabb, Point, Vec3};
use keelstead_geometry::mesh::{Mesh, carry};
use keelstead_units::fields::{FieldProblem, Fields};
use keelstead_units::quantity::Basis;

mod marks;
mod places;
mod shape;
mod taped;

pub use marks::{KeepOff, KeepOffKind, LiftingMark, Marks, StrongStation};
pub use places::NamedPlace;
pub use shape::ByVertex;
pub use taped::Taped;

/// What a hull part is; decides whether it may bear on a block or be touched by a pad.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum PartKind {
    /// Canoe body: the hull's skin, with deck and transom.
    Body,
    /// Ballast or long keel, bulb included.
    Keel,
    /// Fin ahead of the rudder or propeller.
    Skeg,
    /// Rudder.
    Rudder,
    /// Propeller or outboard leg.
    Propeller,
    /// Propeller shaft.
    Shaft,
    /// Bracket of a shaft, or a saildrive leg.
    Strut,
    /// Centreboard or daggerboard.
    Centreboard,
    /// Deckhouse, cabin, wheelhouse.
    Cabin,
    /// Rails, cleats, anything on deck.
    DeckGear,
    /// Mast or spar, stepped or laid on deck.
    Mast,
    /// Anything else.
    Other,
}

impl PartKind {
    /// Whether the boat's weight may stand on this part.
    pub fn may_bear(self) -> bool {
        matches!(self, Self::Body | Self::Keel | Self::Skeg)
    }

    /// Whether a strap or sling under the boat may bear on this part.
    pub fn may_be_slung(self) -> bool {
        !matches!(
            self,
            Self::Propeller | Self::Shaft | Self::Strut | Self::Rudder | Self::Centreboard
        )
    }

    /// Whether a pad may steady the boat on this part.
    pub fn may_be_steadied(self) -> bool {
        matches!(self, Self::Body)
    }
}

/// What a hull part counts for in a check.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum PartUse {
    /// For everything: gaps, size, wind.
    #[default]
    Checked,
    /// For everything, but its place is a guess: where such parts usually are. It may be foul; it is
    /// never clear unless a box half a metre larger all round is.
    Guessed,
    /// For height, width, length and wind, but in no gap to the rig: rails and spars high above it.
    HeightOnly,
    /// For nothing: it does not travel on the boat, as a mast that is unstepped.
    LeftOut,
    /// For the hull's volume alone: a cap over an opening, where nothing is in truth.
    VolumeOnly,
}

/// How far a part whose place is a guess may be from there, m. Common practice, no source.
pub const GUESS_M: f64 = 0.5;

impl PartUse {
    /// Whether gaps to the rig are measured, and pads and blocks may meet the part.
    pub fn in_gaps(self) -> bool {
        matches!(self, Self::Checked | Self::Guessed)
    }

    /// Whether the part counts for overall size, profile and wind.
    pub fn in_size(self) -> bool {
        matches!(self, Self::Checked | Self::Guessed | Self::HeightOnly)
    }

    /// Whether the part pushes water aside, afloat.
    pub fn displaces(self) -> bool {
        self != Self::LeftOut
    }
}

/// A named part of the hull.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct HullPart {
    /// Name, unique in its hull, as the mesh file or the hull description gives it.
    pub name: String,
    /// What the part is.
    pub kind: PartKind,
    /// What it counts for.
    pub part_use: PartUse,
    /// Its surface, hull frame.
    #[serde(with = "carry::shared")]
    pub mesh: Arc<Mesh>,
}

impl HullPart {
    /// Whether the boat's weight may stand on this part.
    pub fn may_bear(&self) -> bool {
        self.kind.may_bear() && self.part_use.in_gaps()
    }
}

/// What the boat weighs, ready for the road.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mass {
    /// Mass, kg.
    pub mass_kg: f64,
    /// How far it may be off, kg, either way.
    pub tolerance_kg: f64,
    /// What it rests on.
    pub basis: Basis,
}

/// Where the weight acts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CentreOfGravity {
    /// The centre, hull frame.
    pub at: Point,
    /// How far it may be off along each axis, m, either way.
    pub tolerance: Point,
    /// What it rests on.
    pub basis: Basis,
}

/// A point of the keel line: the lowest surface on the centreline.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct KeelPoint {
    /// Station, m forward of the hull's origin.
    pub x_m: f64,
    /// Height of the lowest surface, m, or none where the centreline meets no bearing part.
    pub z_m: Option<f64>,
}

/// A checked boat.
///
/// It can be serialised with its search trees, to hand it from a worker to the thread that draws; hulls
/// in files are described by documents instead.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Hull {
    /// The boat's name.
    pub name: String,
    /// Its parts; never empty.
    pub parts: Vec<HullPart>,
    /// What it weighs; none if nobody said.
    pub mass: Option<Mass>,
    /// Where the weight acts; none if nobody said.
    pub centre: Option<CentreOfGravity>,
    /// What mass and centre were chosen from, where the boat was weighed; none where both are only
    /// stated.
    pub weighed: Option<Weighed>,
    /// How far the surface may be from the real boat's where it is known least, m.
    pub shape_tolerance_m: f64,
    /// The same by place; none where it is as far everywhere.
    pub shape_by_vertex_m: Option<shape::ByVertex>,
    /// Where nothing may press, where pads and where slings belong.
    pub marks: Marks,
    /// Bending stiffness EI of hull and keel together, N·m²; none takes the hull as rigid.
    pub bending_n_m2: Option<f64>,
    /// What is known beyond the hull, if she was measured with a tape; none if her surface is all of her.
    pub taped: Option<Taped>,
    /// The hull seen from the side.
    pub profile: Profile,
    /// Lowest surface along the centreline, aft to forward, at even stations.
    pub keel_line: Vec<KeelPoint>,
    /// Bounds of all parts that count for size, hull frame.
    #[serde(with = "carry::bounds")]
    pub bounds: Aabb,
}

/// What is known of a boat besides its surface.
#[derive(Debug, Clone, Default)]
pub struct HullFacts {
    /// What it weighs.
    pub mass: Option<Mass>,
    /// Where the weight acts.
    pub centre: Option<CentreOfGravity>,
    /// How far the surface may be from the real boat's, m.
    pub shape_tolerance_m: f64,
    /// Where nothing may press, where pads and where slings belong.
    pub marks: Marks,
    /// Bending stiffness EI of hull and keel together, N·m²; none takes the hull as rigid.
    pub bending_n_m2: Option<f64>,
    /// What is known beyond the hull, if she was measured with a tape.
    pub taped: Option<Taped>,
}

/// Shortest and longest boat the program takes for one, m.
pub const PLAUSIBLE_LENGTH_M: (f64, f64) = (1.0, 100.0);

/// Stations along the keel line.
const KEEL_STATIONS: usize = 241;

/// Why parts and facts do not make a hull.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum HullError {
    /// There are no parts, or all are left out.
    #[error("the hull has no parts that count; it needs at least its body")]
    NoParts,
    /// Two parts share a name.
    #[error("two parts are called \"{0}\"; give each its own name")]
    SameName(String),
    /// No boat is this long.
    #[error(
        "the hull is {length_m} m long; boats this program knows are {shortest} to {longest} m: the unit is probably wrong"
    )]
    ImplausibleLength {
        /// Length found, m.
        length_m: f64,
        /// Shortest length taken, m.
        shortest: f64,
        /// Longest length taken, m.
        longest: f64,
    },
    /// A figure is out of range.
    #[error("{0}")]
    Field(FieldProblem),
}

impl Hull {
    /// A hull of `parts`, hull frame.
    ///
    /// # Errors
    /// [`HullError`] if no parts count, two share a name, the whole is no boat's size, or a
    /// fact is negative or not finite.
    pub fn new(
        name: impl Into<String>,
        parts: Vec<HullPart>,
        facts: HullFacts,
    ) -> Result<Self, HullError> {
        let bounds = parts
            .iter()
            .filter(|p| p.part_use.in_size())
            .map(|p| p.mesh.aabb())
            .reduce(|a, b| a.merged(&b))
            .ok_or(HullError::NoParts)?;
        for (i, part) in parts.iter().enumerate() {
            if parts[..i].iter().any(|p| p.name == part.name) {
                return Err(HullError::SameName(part.name.clone()));
            }
        }
        let length_m = bounds.extents().max_element();
        let (shortest, longest) = PLAUSIBLE_LENGTH_M;
        if !(shortest..=longest).contains(&length_m) {
            return Err(HullError::ImplausibleLength {
                length_m,
                shortest,
                longest,
            });
        }
        let mut fields = Fields::default();
        facts.check(&mut fields);
        facts.check_against(&bounds, &mut fields);
        if let Some(problem) = fields.problems.into_iter().next() {
            return Err(HullError::Field(problem));
        }
        let keel_line = keel_line(&parts, &bounds);
        let profile = Profile::of(&parts, &bounds);
        Ok(Self {
            name: name.into(),
            parts,
            mass: facts.mass,
            centre: facts.centre,
            weighed: None,
            shape_tolerance_m: facts.shape_tolerance_m,
            shape_by_vertex_m: None,
            marks: facts.marks,
            bending_n_m2: facts.bending_n_m2,
            taped: facts.taped,
            profile,
            keel_line,
            bounds,
        })
    }

    /// The same boat with mass and centre as `weighing` and what it states itself tell together.
    ///
    /// # Errors
    /// A figure that cannot be right, with its place below `weighing`.
    pub fn weighed_by(mut self, weighing: &WeightSources) -> Result<Self, FieldProblem> {
        let weighed = weigh(&self, weighing)?;
        self.mass = weighed.mass.map(|(_, mass)| mass);
        self.centre = weighed.centre.map(|(_, centre)| centre);
        self.weighed = Some(weighed);
        Ok(self)
    }

    /// The same boat with other marks.
    ///
    /// # Errors
    /// A mark that cannot be right, with its place in the hull description.
    pub fn marked(&self, marks: Marks) -> Result<Self, FieldProblem> {
        let mut fields = Fields::default();
        marks.check(&mut fields);
        match fields.problems.into_iter().next() {
            Some(problem) => Err(problem),
            None => Ok(Self {
                marks,
                ..self.clone()
            }),
        }
    }

    /// The point of the boat's surface that a ray from `origin` along `direction` meets first, hull
    /// frame; none if it misses.
    pub fn picked(&self, origin: Vec3, direction: Vec3) -> Option<Vec3> {
        let hits = self
            .parts
            .iter()
            .filter_map(|p| p.mesh.cast_ray(origin, direction));
        let nearest = hits.map(|hit| hit.distance).min_by(f64::total_cmp)?;
        Some(origin + direction * nearest)
    }

    /// What kind of boat she is; none if nobody said.
    pub fn kind(&self) -> Option<BoatKind> {
        self.taped.map(|taped| taped.family.into())
    }

    /// The box of the body, whose length a tape has as length over all; of everything if nothing is called body.
    pub fn body_bounds(&self) -> Aabb {
        let bodies = self.parts.iter().filter(|part| part.kind == PartKind::Body);
        let boxes = bodies.map(|part| part.mesh.aabb());
        boxes.reduce(|a, b| a.merged(&b)).unwrap_or(self.bounds)
    }

    /// Parts the weight may stand on.
    pub fn bearing_parts(&self) -> impl Iterator<Item = &HullPart> {
        self.parts.iter().filter(|p| p.may_bear())
    }
}

impl HullFacts {
    fn check(&self, fields: &mut Fields) {
        if let Some(mass) = self.mass {
            fields.within("mass.mass_kg", mass.mass_kg, 1.0, 500_000.0);
            // A boat that may weigh nothing is not weighed.
            let most_kg = mass.mass_kg.clamp(0.0, 500_000.0);
            fields.within("mass.tolerance_kg", mass.tolerance_kg, 0.0, most_kg);
        }
        if let Some(centre) = self.centre {
            fields.point("centre.at", centre.at, -100.0, 100.0);
        }
        self.marks.check(fields);
        fields.maybe("bending_n_m2", self.bending_n_m2, 1.0e3, 1.0e13);
        if let Some(taped) = &self.taped {
            taped.check(fields);
        }
    }
}

impl HullFacts {
    /// Nothing may be farther off than the boat is large.
    fn check_against(&self, bounds: &Aabb, fields: &mut Fields) {
        let size_m = bounds.extents();
        // The least of them could be a flat plate's thickness.
        let most_m = size_m.y.max(size_m.z).min(1.0);
        fields.within("shape_tolerance_m", self.shape_tolerance_m, 0.0, most_m);
        if let Some(centre) = self.centre {
            let tolerance = centre.tolerance;
            for (axis, value_m, most_m) in [
                ("x_m", tolerance.x_m, size_m.x),
                ("y_m", tolerance.y_m, size_m.y),
                ("z_m", tolerance.z_m, size_m.z),
            ] {
                let path = format!("centre.tolerance.{axis}");
                fields.within(&path, value_m, 0.0, most_m);
            }
        }
    }
}

fn keel_line(parts: &[HullPart], bounds: &Aabb) -> Vec<KeelPoint> {
    let (from, to) = (bounds.mins.x, bounds.maxs.x);
    (0..KEEL_STATIONS)
        .map(|i| {
            let x_m = from + (to - from) * i as f64 / (KEEL_STATIONS - 1) as f64;
            let z_m = parts
                .iter()
                .filter(|p| p.may_bear())
                .filter_map(|p| p.mesh.lowest_surface(x_m, 0.0))
                .reduce(f64::min);
            KeelPoint { x_m, z_m }
        })
        .collect()
}
