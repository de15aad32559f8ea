//! Mass and centre from what two scales under the keel read.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Aside, CentreFound, MassFound, Source, Weighed};
use crate::hull::{Hull, Mass};
use keelstead_units::fields::Fields;
use keelstead_units::quantity::{Basis, Quantity, Sentence};

/// What two scales, load cells or axles under the boat read, with nothing else bearing weight.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SupportLoads {
    /// The scale further aft.
    pub aft: ScaleReading,
    /// The scale further forward.
    pub fore: ScaleReading,
    /// How far the place of either may be off, m.
    #[serde(default = "SupportLoads::usual_place_off")]
    pub place_tolerance_m: f64,
    /// Bow up while it was weighed, rad.
    #[serde(default)]
    pub trim_rad: f64,
}

/// What one scale reads.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScaleReading {
    /// Where it bears on the keel, m forward of the hull's origin.
    pub x_m: f64,
    /// What it reads, kg.
    pub mass_kg: f64,
    /// How far that may be off, kg.
    pub tolerance_kg: f64,
}

impl SupportLoads {
    /// How far a block's middle is usually off, m. Assumed default.
    pub const fn usual_place_off() -> f64 {
        0.02
    }

    pub(super) fn check(&self, fields: &mut Fields) {
        // A boat that may weigh nothing is not weighed: half of what both read, each.
        let most_kg = ((self.aft.mass_kg + self.fore.mass_kg) / 2.0).clamp(0.0, 100_000.0);
        for (name, reading) in [("aft", self.aft), ("fore", self.fore)] {
            let at = |field: &str| format!("supports.{name}.{field}");
            fields.within(&at("x_m"), reading.x_m, -100.0, 100.0);
            fields.within(&at("mass_kg"), reading.mass_kg, 0.0, 500_000.0);
            fields.within(&at("tolerance_kg"), reading.tolerance_kg, 0.0, most_kg);
        }
        fields.within(
            "supports.place_tolerance_m",
            self.place_tolerance_m,
            0.0,
            2.0,
        );
        fields.within("supports.trim_rad", self.trim_rad, -0.3, 0.3);
        if self.aft.mass_kg + self.fore.mass_kg < 1.0 {
            fields.problem(
                "supports",
                format!("{} kg in all", self.aft.mass_kg + self.fore.mass_kg),
                "what the two scales read, kg",
            );
        }
    }

    /// Held against the hull that stands on them.
    pub(super) fn check_on(&self, hull: &Hull, fields: &mut Fields) {
        let [from, to] = [hull.bounds.mins, hull.bounds.maxs].map(|v| super::to_a_millimetre(v).x);
        fields.within("supports.aft.x_m", self.aft.x_m, from, to);
        fields.within("supports.fore.x_m", self.fore.x_m, from, to);
        if self.fore.x_m - self.aft.x_m < 0.05 * (to - from) {
            fields.problem(
                "supports.fore.x_m",
                self.fore.x_m.to_string(),
                format!(
                    "a place well forward of the aft scale at {} m",
                    self.aft.x_m
                ),
            );
        }
    }

    /// Moments about the blocks: both bear upright, so what lies between them does as well.
    pub(super) fn weigh(&self, hull: &Hull, aside: &Aside, weighed: &mut Weighed) {
        let mass_kg = self.aft.mass_kg + self.fore.mass_kg;
        let tolerance_kg = self.aft.tolerance_kg + self.fore.tolerance_kg;
        let readings = [self.aft, self.fore];
        let slope = self.trim_rad.tan();
        // A point's place along the ground is x cos t − z sin t.
        let level = |x_m: f64, z_m: f64| x_m - z_m * slope;
        let along: f64 = readings
            .iter()
            .map(|r| r.mass_kg / mass_kg * level(r.x_m, keel_z_m(hull, r.x_m)))
            .sum();
        let x_m = along + aside.z_m * slope;
        let spread: f64 = readings
            .iter()
            .map(|r| r.tolerance_kg / mass_kg * (r.x_m - x_m).abs())
            .sum();
        let x_off_m = spread + self.place_tolerance_m + aside.z_off_m * slope.abs();
        weighed.masses.push(MassFound {
            source: Source::Supports,
            mass: Mass {
                mass_kg,
                tolerance_kg,
                basis: Basis::Measured,
            },
            says: read(Sentence::new("two scales read"), self)
                .words(", which is the boat as it stood there"),
        });
        let says = read(Sentence::new("moments of"), self);
        let says = if self.trim_rad == 0.0 {
            says
        } else {
            says.words("with the bow up by")
                .figure(Quantity::angle(self.trim_rad))
        };
        weighed.centres.push(CentreFound {
            source: Source::Supports,
            centre: aside.centre(x_m, x_off_m, Basis::Computed),
            says,
        });
    }
}

fn read(says: Sentence, loads: &SupportLoads) -> Sentence {
    says.figure(Quantity::mass(loads.aft.mass_kg))
        .words("at")
        .length(loads.aft.x_m)
        .words("and")
        .figure(Quantity::mass(loads.fore.mass_kg))
        .words("at")
        .length(loads.fore.x_m)
}

/// Height of the keel line at a station, m; at the origin's where nothing bears.
fn keel_z_m(hull: &Hull, x_m: f64) -> f64 {
    let nearest = hull
        .keel_line
        .iter()
        .min_by(|a, b| (a.x_m - x_m).abs().total_cmp(&(b.x_m - x_m).abs()));
    nearest.and_then(|point| point.z_m).unwrap_or(0.0)
}
