//! The arrangement: where the hull stands on the rig, what is stacked where, how pads and
//! suspension are set, and what is asked of it.
//!
//! Small and serialisable: the unit of undo, of sharing and of files.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use keelstead_geometry::math::Point;
use keelstead_units::fields::{FieldProblem, Fields};

mod asked;
mod measured;

pub use asked::{KeelHold, SteadyingLimits, StrengthLimits};
pub use measured::{Level, Measured};

/// Steepest trim a load may ask for or settle to, rad: about 7 degrees.
pub const TRIM_LIMIT_RAD: f64 = 0.12;

/// How a hull is arranged on a rig.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Load {
    /// Where the hull stands.
    pub stand: HullPosition,
    /// Beams in place with what is stacked on them, in any order.
    pub beams: Vec<PlacedBeam>,
    /// How each pad is set; a pad not named here is stowed.
    #[serde(default)]
    pub pads: Vec<PadSetting>,
    /// Rail top above ground at the middle of the axles, m: what the suspension is set to.
    pub rail_top_m: f64,
    /// Weights on board that the boat's own mass leaves out: bilge water, gear.
    #[serde(default)]
    pub extra_weights: Vec<ExtraWeight>,
    /// What was measured once she was set down: it narrows what may be off.
    #[serde(default)]
    pub measured: Vec<Measured>,
    /// What is asked.
    #[serde(default)]
    pub required: Required,
}

/// Where the hull stands, before it settles on its blocks. Set-down finds height and trim.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HullPosition {
    /// The hull's origin (aft end of its keel line), m forward of the coupling.
    pub x_m: f64,
    /// The hull's origin, m left of the centreplane.
    #[serde(default)]
    pub y_m: f64,
    /// Bow turned to port, rad.
    #[serde(default)]
    pub yaw_rad: f64,
    /// Heeled to starboard, rad.
    #[serde(default)]
    pub heel_rad: f64,
    /// The stance the yard wants, if it wants one: what each stack ought to reach.
    #[serde(default)]
    pub wanted: Option<TargetAttitude>,
}

/// How high and at what trim the hull ought to stand, relative to the rails.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TargetAttitude {
    /// Height of the hull's origin over the rails' top, m (negative: below it).
    pub keel_over_rail_m: f64,
    /// Bow up, rad.
    #[serde(default)]
    pub trim_rad: f64,
}

/// A cross beam in place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlacedBeam {
    /// Which beam of the rig's stock.
    pub beam: String,
    /// Where it lies.
    pub seat: Seat,
    /// Blocks stacked on it, lowest first.
    #[serde(default)]
    pub stack: Vec<PlacedBlock>,
    /// Middle of the stack, m left of the centreplane.
    #[serde(default)]
    pub stack_y_m: f64,
    /// Shims on top of the stack, m in all.
    #[serde(default)]
    pub shim_m: f64,
    /// Wedge on top of the stack: slope of its face, rad, positive rising forward; it adds no
    /// height at the middle of the stack.
    #[serde(default)]
    pub wedge_rad: f64,
    /// Share of the weight the yard wants it to carry, in proportion to those of the other beams;
    /// none counts as one.
    #[serde(default)]
    pub wanted_share: Option<f64>,
    /// Stiffness of soft packing between stack and keel, N/m: a rubber mat, carpet, softwood. None where
    /// there is only hard wood. It evens out what a few millimetres of height do to the loads.
    #[serde(default)]
    pub soft_packing_n_per_m: Option<f64>,
}

impl PlacedBeam {
    /// Middle of what the hull comes to rest on, m left of the centreplane: a bare beam lies in the
    /// middle, whatever is said of a stack that is not there.
    pub fn top_y_m(&self) -> f64 {
        if self.stack.is_empty() {
            0.0
        } else {
            self.stack_y_m
        }
    }
}

/// Where a beam lies.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Seat {
    /// In the pocket of this number, counted from 1 at the front.
    Pocket(usize),
    /// On top of the rails, its middle this many metres forward of the coupling.
    OnRailsXM(f64),
}

/// Beams no farther apart than this along the rails lie in one place, m.
const SAME_PLACE_M: f64 = 0.001;

impl Seat {
    /// Whether both name one place: the same pocket, or the same station of the rails within a millimetre.
    pub fn is_same(self, other: Self) -> bool {
        match (self, other) {
            (Self::Pocket(a), Self::Pocket(b)) => a == b,
            (Self::OnRailsXM(a), Self::OnRailsXM(b)) => (a - b).abs() <= SAME_PLACE_M,
            _ => false,
        }
    }

    /// Holds it against the range it must lie in. Which pockets there are, the rig says.
    fn check(self, path: &str, fields: &mut Fields) {
        match self {
            Self::Pocket(0) => fields.problem(
                &format!("{path}.pocket"),
                "0",
                "a pocket's number, from 1 at the front",
            ),
            Self::Pocket(_) => {}
            Self::OnRailsXM(x_m) => {
                fields.within(&format!("{path}.on-rails-x-m"), x_m, -60.0, 20.0);
            }
        }
    }
}

/// A block of a stack.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlacedBlock {
    /// Which block of the rig's stock.
    pub block: String,
    /// How it lies.
    #[serde(default)]
    pub lie: BlockOrientation,
}

/// How a block lies: which edge stands upright and which runs across the trailer.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum BlockOrientation {
    /// Flat, its length across the trailer.
    #[default]
    Flat,
    /// Flat, its length fore and aft.
    FlatAlong,
    /// On edge, its length across the trailer.
    Edge,
    /// On edge, its length fore and aft.
    EdgeAlong,
    /// On end, grain upright.
    End,
}

/// How a pad is set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PadSetting {
    /// Which pad of the rig.
    pub pad: String,
    /// Arm above level, rad.
    pub elevation_rad: f64,
    /// How far it is run out.
    pub reach: Reach,
}

/// How far a pad is run out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Reach {
    /// Until it touches the hull.
    UntilTouching,
    /// To this distance from pivot to pad face, m.
    SetM(f64),
}

/// A weight on board that the boat's own mass leaves out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExtraWeight {
    /// What it is.
    pub name: String,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Where it is, hull frame.
    pub at: Point,
}

/// What is asked: gaps, how well a block must touch, what height is allowed.
///
/// The defaults are common practice where the trade has one (tyres 150 mm), else assumed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Required {
    /// Gap of the hull to any tyre, suspension fully compressed, m. Common practice.
    pub tyre_gap_m: f64,
    /// Gap of the hull to mudguards, m.
    pub mudguard_gap_m: f64,
    /// Gap of the hull to rails, cross members and gooseneck, m.
    pub frame_gap_m: f64,
    /// Gap of the hull to the tractor, m: the rig bends at the coupling.
    pub tractor_gap_m: f64,
    /// Gap of the hull's lowest parts to the ground, suspension fully compressed, m.
    pub ground_gap_m: f64,
    /// Gap of rudder, propeller and other parts that must not bear to beams, blocks and pads, m.
    pub appendage_gap_m: f64,
    /// A block nearer to the keel than this carries: timber gives that much, m.
    pub contact_m: f64,
    /// How exactly the hull can be put where the load says, fore and aft and sideways, m.
    pub placing_tolerance_m: f64,
    /// How upright she is set: how far her heel may be off what the load says, rad. Assumed default: a
    /// spirit level held against her reads that well.
    pub heel_tolerance_rad: f64,
    /// Greatest overall height, m; none if nothing is asked.
    pub overall_height_m: Option<f64>,
    /// Greatest overall width, m; none if nothing is asked.
    pub overall_width_m: Option<f64>,
    /// Of beams, blocks and keel.
    pub strength: StrengthLimits,
    /// Of pads, and of the rig in turns.
    pub steadying: SteadyingLimits,
}

/// No timber gives more than this before it carries, m.
const MOST_CONTACT_M: f64 = 0.05;

/// No boat is put down worse than this, m: half a pocket's way off is another place.
const WORST_PLACING_M: f64 = 0.5;

impl Default for Required {
    fn default() -> Self {
        Self {
            tyre_gap_m: 0.150,
            mudguard_gap_m: 0.050,
            frame_gap_m: 0.025,
            tractor_gap_m: 0.300,
            ground_gap_m: 0.150,
            appendage_gap_m: 0.050,
            contact_m: 0.003,
            placing_tolerance_m: 0.010,
            heel_tolerance_rad: 0.005,
            overall_height_m: None,
            overall_width_m: None,
            strength: StrengthLimits::default(),
            steadying: SteadyingLimits::default(),
        }
    }
}

impl Load {
    /// Holds every number against the range it must lie in, without looking at rig or hull.
    ///
    /// # Errors
    /// All problems found, each with its place in the document.
    pub fn validate(&self) -> Result<(), Vec<FieldProblem>> {
        let mut fields = Fields::default();
        fields.within("stand.x_m", self.stand.x_m, -60.0, 60.0);
        fields.within("stand.y_m", self.stand.y_m, -5.0, 5.0);
        fields.within("stand.yaw_rad", self.stand.yaw_rad, -0.5, 0.5);
        fields.within("stand.heel_rad", self.stand.heel_rad, -0.5, 0.5);
        if let Some(wanted) = self.stand.wanted {
            fields.within(
                "stand.wanted.keel_over_rail_m",
                wanted.keel_over_rail_m,
                -3.0,
                5.0,
            );
            fields.within(
                "stand.wanted.trim_rad",
                wanted.trim_rad,
                -TRIM_LIMIT_RAD,
                TRIM_LIMIT_RAD,
            );
        }
        for (i, beam) in self.beams.iter().enumerate() {
            if let Seat::OnRailsXM(x) = beam.seat {
                fields.within(&format!("beams[{i}].seat.on-rails-x-m"), x, -60.0, 20.0);
            }
            fields.within(&format!("beams[{i}].stack_y_m"), beam.stack_y_m, -3.0, 3.0);
            fields.within(&format!("beams[{i}].shim_m"), beam.shim_m, 0.0, 1.0);
            fields.within(&format!("beams[{i}].wedge_rad"), beam.wedge_rad, -0.6, 0.6);
            let share = format!("beams[{i}].wanted_share");
            fields.maybe(&share, beam.wanted_share, 0.0, 100.0);
            let soft = format!("beams[{i}].soft_packing_n_per_m");
            fields.maybe(&soft, beam.soft_packing_n_per_m, 1.0e4, 1.0e10);
        }
        fields.within("rail_top_m", self.rail_top_m, 0.05, 4.0);
        for (i, pad) in self.pads.iter().enumerate() {
            fields.within(
                &format!("pads[{i}].elevation_rad"),
                pad.elevation_rad,
                -1.6,
                1.6,
            );
            if let Reach::SetM(reach) = pad.reach {
                fields.within(&format!("pads[{i}].reach.set-m"), reach, 0.0, 6.0);
            }
        }
        for (i, weight) in self.extra_weights.iter().enumerate() {
            fields.within(
                &format!("extra_weights[{i}].mass_kg"),
                weight.mass_kg,
                0.0,
                100_000.0,
            );
            fields.point(&format!("extra_weights[{i}].at"), weight.at, -100.0, 100.0);
        }
        for (i, measured) in self.measured.iter().enumerate() {
            measured.check(&format!("measured[{i}]"), &mut fields);
        }
        self.required.check(&mut fields);
        if fields.problems.is_empty() {
            Ok(())
        } else {
            Err(fields.problems)
        }
    }
}

impl Required {
    fn check(&self, fields: &mut Fields) {
        for (name, value_m, most_m) in [
            ("tyre_gap_m", self.tyre_gap_m, 3.0),
            ("mudguard_gap_m", self.mudguard_gap_m, 3.0),
            ("frame_gap_m", self.frame_gap_m, 3.0),
            ("tractor_gap_m", self.tractor_gap_m, 3.0),
            ("ground_gap_m", self.ground_gap_m, 3.0),
            ("appendage_gap_m", self.appendage_gap_m, 3.0),
            ("contact_m", self.contact_m, MOST_CONTACT_M),
            (
                "placing_tolerance_m",
                self.placing_tolerance_m,
                WORST_PLACING_M,
            ),
        ] {
            fields.within(&format!("required.{name}"), value_m, 0.0, most_m);
        }
        fields.within(
            "required.heel_tolerance_rad",
            self.heel_tolerance_rad,
            0.0,
            0.1,
        );
        fields.maybe(
            "required.overall_height_m",
            self.overall_height_m,
            0.5,
            20.0,
        );
        fields.maybe("required.overall_width_m", self.overall_width_m, 0.5, 20.0);
        self.strength.check(fields);
        self.steadying.check(fields);
    }
}
