//! Mass and centre from the waterline a boat was marked at.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Afloat, Aside, CentreFound, Displaced, MassFound, Source, Untold, Weighed, displaced};
use crate::hull::{Hull, Mass};
use crate::hydrostatics::WaterPlane;
use keelstead_units::fields::Fields;
use keelstead_units::liquid::{FRESH_WATER_KG_M3, SEA_WATER_KG_M3};
use keelstead_units::quantity::{Basis, Quantity, Sentence};

/// The waterline as it was marked afloat, read off as heights over the hull frame's z = 0 (the keel
/// line's aft end) at two stations.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkedWaterline {
    /// The mark further aft.
    pub aft: Mark,
    /// The mark further forward.
    pub fore: Mark,
    /// Heeled to starboard when it was marked, rad; the marks are then those on the middle plane.
    #[serde(default)]
    pub heel_rad: f64,
    /// How far either mark may be off, m.
    #[serde(default = "MarkedWaterline::usual_tolerance")]
    pub tolerance_m: f64,
    /// What water it floated in.
    pub water: Water,
}

/// A mark of the waterline.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mark {
    /// Where, m forward of the hull's origin.
    pub x_m: f64,
    /// How high over the hull's origin, m.
    pub z_m: f64,
}

/// What water a boat floats in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Water {
    /// The sea: 1025 kg/m³.
    Salt,
    /// River or lake: 1000 kg/m³.
    Fresh,
    /// Of this density, kg/m³: brackish water by a hydrometer.
    #[serde(rename = "kg_m3")]
    KgM3(f64),
}

impl Water {
    /// Its density, kg/m³: see [`SEA_WATER_KG_M3`] and [`FRESH_WATER_KG_M3`].
    pub fn kg_m3(self) -> f64 {
        match self {
            Self::Salt => SEA_WATER_KG_M3,
            Self::Fresh => FRESH_WATER_KG_M3,
            Self::KgM3(density) => density,
        }
    }

    /// How far that may be off, kg/m³. Fresh water is 998.2 at 20 °C to 999.7 at 10 °C (IAPWS-97,
    /// `[derived]`); the spread of sea water, and what a hydrometer shows, is common practice, no
    /// source.
    pub fn off_kg_m3(self) -> f64 {
        match self {
            Self::Salt => 5.0,
            Self::Fresh => 2.0,
            Self::KgM3(_) => 1.0,
        }
    }

    /// As a reader would call it, with its density both ways.
    pub fn words(self) -> String {
        /// kg/m³ to lb/ft³.
        const LB_FT3: f64 = 0.3048 * 0.3048 * 0.3048 / 0.453_592_37;
        let density = self.kg_m3();
        let what = match self {
            Self::Salt => "salt water",
            Self::Fresh => "fresh water",
            Self::KgM3(_) => "water",
        };
        format!(
            "{what} of {density:.0} kg/m\u{b3} ({:.1} lb/ft\u{b3})",
            density * LB_FT3
        )
    }
}

impl MarkedWaterline {
    /// How far a mark on a hull's side is usually off, m. Assumed default: a stain is that wide.
    pub const fn usual_tolerance() -> f64 {
        0.01
    }

    /// Trim it was marked at, rad, bow up positive.
    pub fn trim_rad(&self) -> f64 {
        let rise = (self.aft.z_m - self.fore.z_m) / (self.fore.x_m - self.aft.x_m);
        (rise * self.heel_rad.cos()).atan()
    }

    /// The water in the hull's frame: through both marks on the middle plane.
    pub fn plane(&self) -> WaterPlane {
        let mut plane = WaterPlane::about(0.0, self.trim_rad(), self.heel_rad);
        plane.height_m = plane.up.x * self.aft.x_m + plane.up.z * self.aft.z_m;
        plane
    }

    pub(super) fn check(&self, fields: &mut Fields) {
        for (name, mark) in [("aft", self.aft), ("fore", self.fore)] {
            let at = |field: &str| format!("waterline.{name}.{field}");
            fields.within(&at("x_m"), mark.x_m, -100.0, 100.0);
            fields.within(&at("z_m"), mark.z_m, -20.0, 20.0);
        }
        fields.within("waterline.heel_rad", self.heel_rad, -0.5, 0.5);
        fields.within("waterline.tolerance_m", self.tolerance_m, 0.0, 0.5);
        if let Water::KgM3(density) = self.water {
            fields.within("waterline.water.kg_m3", density, 950.0, 1250.0);
        }
    }

    /// Held against the hull it is marked on.
    pub(super) fn check_on(&self, hull: &Hull, fields: &mut Fields) {
        /// How far ahead of the bow and behind the stern a mark may be given, m.
        const BEYOND_M: f64 = 1.0;
        let [low, high] = [hull.bounds.mins, hull.bounds.maxs].map(super::to_a_millimetre);
        for (name, mark) in [("aft", self.aft), ("fore", self.fore)] {
            let at = |field: &str| format!("waterline.{name}.{field}");
            fields.within(&at("x_m"), mark.x_m, low.x - BEYOND_M, high.x + BEYOND_M);
            fields.within(&at("z_m"), mark.z_m, low.z, high.z);
        }
        let apart_m = self.fore.x_m - self.aft.x_m;
        if apart_m < 0.1 * (high.x - low.x) {
            fields.problem(
                "waterline.fore.x_m",
                self.fore.x_m.to_string(),
                format!(
                    "a station well forward of the aft mark at {} m: marks close together tell no trim",
                    self.aft.x_m
                ),
            );
        } else if (self.fore.z_m - self.aft.z_m).abs() > 0.5 * apart_m {
            fields.problem(
                "waterline",
                format!("marks {} m and {} m high", self.aft.z_m, self.fore.z_m),
                "marks at which a boat can float: this trim is steeper than 1 in 2",
            );
        }
    }

    pub(super) fn weigh(&self, hull: &Hull, aside: &Aside, weighed: &mut Weighed) {
        let water = self.plane();
        let found = match displaced(hull, &water) {
            Ok(found) => found,
            Err(error) => {
                let says = Sentence::new(format!("the marked waterline tells no weight: {error}"));
                let source = Source::Waterline;
                return weighed.untold.push(Untold { source, says });
            }
        };
        notes(&found, self.water, weighed);
        weighed.afloat = Some(Afloat::new(&found, self, self.trim_rad()));
        weighed.masses.push(self.mass(hull, &found));
        weighed
            .centres
            .push(self.centre(hull, &found, &water, aside));
    }

    fn mass(&self, hull: &Hull, found: &Displaced) -> MassFound {
        let density = self.water.kg_m3();
        let below = &found.below;
        let mass_kg = below.displacement_kg(density);
        let marks_kg = density * below.waterplane_m2 * self.tolerance_m;
        let shape_kg = density * below.wetted_m2 * hull.shape_tolerance_m;
        let water_kg = self.water.off_kg_m3() * below.volume_m3;
        let overlap_kg = density * found.overlap_off_m3;
        MassFound {
            source: Source::Waterline,
            mass: Mass {
                mass_kg,
                tolerance_kg: marks_kg + shape_kg + water_kg + overlap_kg,
                basis: Basis::Computed,
            },
            says: Sentence::new("afloat at marks")
                .length(self.aft.z_m)
                .words("high at")
                .length(self.aft.x_m)
                .words("and")
                .length(self.fore.z_m)
                .words("high at")
                .length(self.fore.x_m)
                .words("it pushes aside")
                .figure(Quantity::mass(mass_kg))
                .words(format!("of {}; off by up to", self.water.words()))
                .figure(Quantity::mass(marks_kg))
                .words("through the marks,")
                .figure(Quantity::mass(shape_kg))
                .words("through the hull's shape,")
                .figure(Quantity::mass(water_kg + overlap_kg))
                .words("through the water's density and parts that overlap"),
        }
    }

    /// The weight acts on the upright line through the centre of buoyancy; how far along the hull
    /// that is depends on its height, where the hull is trimmed.
    fn centre(
        &self,
        hull: &Hull,
        found: &Displaced,
        water: &WaterPlane,
        aside: &Aside,
    ) -> CentreFound {
        let below = &found.below;
        let over_m = aside.z_m - below.centre.z;
        let slope = water.up.x / water.up.z;
        let x_m = below.centre.x + over_m * slope;
        // A mark that is off sinks and trims the hull: buoyancy moves towards the middle of the
        // waterplane, and by its second moment; the weight's own line leans with the trim.
        let apart_m = self.fore.x_m - self.aft.x_m;
        let share = (below.flotation.x - self.aft.x_m) / apart_m;
        let lean = self.tolerance_m / apart_m;
        let moved = |sunk: f64, trim: f64| {
            let buoyancy = (sunk
                * self.tolerance_m
                * below.waterplane_m2
                * (below.flotation.x - below.centre.x)
                + trim * lean * below.second_moment_long_m4)
                / below.volume_m3;
            (buoyancy - trim * lean * over_m).abs()
        };
        let marks_m = moved(1.0 - share, -1.0) + moved(share, 1.0);
        // The worst a skin off by its tolerance can do: all too full forward, too lean aft.
        let [aft_x_m, fore_x_m] = found.waterline_x_m;
        let shape_m = hull.shape_tolerance_m * below.wetted_m2 * (fore_x_m - aft_x_m)
            / (4.0 * below.volume_m3);
        let height_m = slope.abs() * aside.z_off_m;
        let overlap_m = found.overlap_off_m3 / below.volume_m3 * (fore_x_m - aft_x_m) / 2.0;
        let off_m = marks_m + shape_m + height_m + overlap_m;
        let mut centre = aside.centre(x_m, off_m, Basis::Computed);
        if self.heel_rad != 0.0 {
            centre.at.y_m = below.centre.y + over_m * water.up.y / water.up.z;
            let tilt = (water.up.y / water.up.z).abs();
            centre.tolerance.y_m = aside.y_off_m + tilt * aside.z_off_m;
        }
        let mut says = Sentence::new("the weight acts over the centre of buoyancy at")
            .length(below.centre.x)
            .words("; with the bow up by")
            .figure(Quantity::angle(self.trim_rad()))
            .words("and the weight")
            .length(aside.z_m)
            .words("high that is at")
            .length(x_m);
        if aside.basis == Basis::CommonPractice {
            says = says.words("; the height is only what is usual");
        }
        CentreFound {
            source: Source::Waterline,
            centre,
            says,
        }
    }
}

/// What was done with the mesh, with figures.
fn notes(found: &Displaced, water: Water, weighed: &mut Weighed) {
    let kg = |volume_m3: f64| Quantity::mass(volume_m3 * water.kg_m3());
    /// Less than this of the whole is not worth a word.
    const WORTH: f64 = 1e-6;
    let worth = |volume_m3: f64| volume_m3 > WORTH * found.below.volume_m3;
    if worth(found.overlap_m3) {
        weighed.notes.push(
            Sentence::new("parts overlap below the water; what two of them take up together,")
                .figure(kg(found.overlap_m3))
                .words("\u{b1}")
                .figure(kg(found.overlap_off_m3))
                .words("of water, is counted once"),
        );
    }
    if worth(found.inner_m3) {
        weighed.notes.push(
            Sentence::new("the mesh has an inner skin; it keeps water out, so the")
                .figure(kg(found.inner_m3))
                .words("of water that would fit inside are counted as pushed aside"),
        );
    }
    for part in &found.turned {
        weighed.notes.push(Sentence::new(format!(
            "{part} faces inward below the water; it is taken as facing outward"
        )));
    }
    for part in &found.passed_over {
        weighed.notes.push(Sentence::new(format!(
            "an open surface of {part} lies inside the hull and is passed over"
        )));
    }
}
