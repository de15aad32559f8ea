//! Design values of timber and steel as data, each with its source and edition, and the factors
//! that adjust them.
//!
//! Values of the built-in table are those of check-values.md 3.2 and 3.3 (NDS Supplement, Table 4D;
//! EN 338). Rows marked unconfirmed stand there on memory: hold them against the printed standard
//! before a load rests on them.

use std::sync::OnceLock;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use keelstead_units::fields::Fields;

/// Pascals in a pound-force per square inch.
pub const PSI_PA: f64 = 6_894.757_293_168_36;

/// Metres in an inch.
const INCH_M: f64 = 0.0254;

/// Young's modulus of structural steel, Pa (AISC 360, 29 000 ksi, from memory).
pub const STEEL_MODULUS_PA: f64 = 29.0e6 * PSI_PA;

/// Share of the modulus along the grain that hardwood has across it: EN 338, E90 = E0 / 15, from
/// memory.
const HARDWOOD_ACROSS: f64 = 1.0 / 15.0;

/// As [`HARDWOOD_ACROSS`] for softwood: E0 / 30, from memory.
const SOFTWOOD_ACROSS: f64 = 1.0 / 30.0;

/// What a beam or block is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Material {
    /// White oak.
    WhiteOak,
    /// Red oak.
    RedOak,
    /// Douglas fir.
    DouglasFir,
    /// Southern pine.
    SouthernPine,
    /// Structural steel.
    Steel,
    /// Nobody said.
    #[default]
    Unknown,
}

/// How the strengths of a row are meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Format {
    /// Reference values for allowable stress design, load of ten years (NDS).
    #[default]
    AllowableStress,
    /// Characteristic values, 5th percentile (EN 338).
    Characteristic,
}

/// Design values of a timber; what nobody gave stays empty and reads as unknown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Timber {
    /// Species or class and grade: what a beam's or block's `grade` names.
    pub name: String,
    /// Where the values stand, with the edition.
    pub source: String,
    /// How the strengths are meant.
    #[serde(default)]
    pub format: Format,
    /// Bending at the extreme fibre, Pa.
    #[serde(default)]
    pub bending_pa: Option<f64>,
    /// Shear along the grain, Pa.
    #[serde(default)]
    pub shear_pa: Option<f64>,
    /// Compression across the grain, Pa.
    #[serde(default)]
    pub across_grain_pa: Option<f64>,
    /// Compression along the grain, Pa.
    #[serde(default)]
    pub along_grain_pa: Option<f64>,
    /// Young's modulus along the grain, Pa.
    #[serde(default)]
    pub modulus_pa: Option<f64>,
    /// Young's modulus across the grain, Pa.
    #[serde(default)]
    pub modulus_across_pa: Option<f64>,
}

/// How long a load acts, in all, over the life of the timber.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LoadDuration {
    /// A blow.
    Impact,
    /// Ten minutes: wind, the road.
    TenMinutes,
    /// Seven days.
    SevenDays,
    /// Two months: a winter ashore.
    TwoMonths,
    /// Ten years.
    TenYears,
    /// For good.
    Permanent,
}

impl LoadDuration {
    /// Load duration factor C_D: NDS Table 2.3.2 (check-values.md 3.2, read).
    pub fn factor(self) -> f64 {
        match self {
            Self::Impact => 2.0,
            Self::TenMinutes => 1.6,
            Self::SevenDays => 1.25,
            Self::TwoMonths => 1.15,
            Self::TenYears => 1.0,
            Self::Permanent => 0.9,
        }
    }

    /// Modification factor k_mod, solid timber outdoors (service class 3): EN 1995-1-1 Table 3.1,
    /// from memory.
    pub fn k_mod(self) -> f64 {
        match self {
            Self::Impact => 0.9,
            Self::TenMinutes | Self::SevenDays => 0.7,
            Self::TwoMonths => 0.65,
            Self::TenYears => 0.55,
            Self::Permanent => 0.5,
        }
    }
}

/// Partial factor of solid timber, times that of a variable load: EN 1995-1-1 and EN 1990, from
/// memory.
const CHARACTERISTIC_SAFETY: f64 = 1.3 * 1.5;

/// Wet service factor across the grain: NDS, moisture 19 % and more (check-values.md 3.2, read).
pub const WET_ACROSS: f64 = 0.67;

/// Wet service factor of compression along the grain: as [`WET_ACROSS`].
pub const WET_ALONG: f64 = 0.91;

/// Bearing area factor C_b for a bearing `length_m` along the grain, at least 3 in from the
/// member's end: NDS 3.10.4 (check-values.md 3.2, read). One for 6 in and more.
pub fn bearing_area_factor(length_m: f64) -> f64 {
    let inches = length_m / INCH_M;
    // A hair under, as six inches in metres need not come back as six.
    if (0.0..6.0 - 1e-9).contains(&inches) {
        // The table begins at half an inch; shorter gains no more.
        let inches = inches.max(0.5);
        (inches + 0.375) / inches
    } else {
        1.0
    }
}

/// A bearing nearer than this to its member's end has no bearing area factor, m: 3 in, NDS 3.10.4
/// (check-values.md 3.2, from memory).
pub const BEARING_FROM_END_M: f64 = 3.0 * INCH_M;

/// Size factor C_F of a beam `depth_m` deep: (12 in / d)^(1/9) over 12 in (check-values.md 3.2).
pub fn size_factor(depth_m: f64) -> f64 {
    (12.0 * INCH_M / depth_m).powf(1.0 / 9.0).min(1.0)
}

impl Timber {
    /// Factor that turns a strength other than across the grain into an allowable stress.
    fn allowed(&self, duration: LoadDuration) -> f64 {
        match self.format {
            Format::AllowableStress => duration.factor(),
            Format::Characteristic => duration.k_mod() / CHARACTERISTIC_SAFETY,
        }
    }

    /// Allowable bending stress of a beam `depth_m` deep, Pa.
    pub fn bending_allowed_pa(&self, duration: LoadDuration, depth_m: f64) -> Option<f64> {
        Some(self.bending_pa? * self.allowed(duration) * size_factor(depth_m))
    }

    /// Allowable shear stress, Pa.
    pub fn shear_allowed_pa(&self, duration: LoadDuration) -> Option<f64> {
        Some(self.shear_pa? * self.allowed(duration))
    }

    /// Allowable stress across the grain for a bearing `length_m` along the grain, Pa. NDS lets no
    /// load duration raise it, as it rests on a deformation.
    pub fn across_allowed_pa(
        &self,
        duration: LoadDuration,
        wet: bool,
        length_m: f64,
    ) -> Option<f64> {
        let value = self.across_grain_pa? * bearing_area_factor(length_m);
        Some(match self.format {
            Format::AllowableStress => value * if wet { WET_ACROSS } else { 1.0 },
            Format::Characteristic => value * self.allowed(duration),
        })
    }

    /// Allowable stress along the grain of a block too short to buckle, Pa.
    pub fn along_allowed_pa(&self, duration: LoadDuration, wet: bool) -> Option<f64> {
        let wet = match self.format {
            Format::AllowableStress if wet => WET_ALONG,
            _ => 1.0,
        };
        Some(self.along_grain_pa? * self.allowed(duration) * wet)
    }

    /// Holds every value against the range it must lie in.
    pub fn check(&self, path: &str, fields: &mut Fields) {
        for (name, value) in [
            ("bending_pa", self.bending_pa),
            ("shear_pa", self.shear_pa),
            ("across_grain_pa", self.across_grain_pa),
            ("along_grain_pa", self.along_grain_pa),
        ] {
            fields.maybe(&format!("{path}.{name}"), value, 1.0e4, 1.0e9);
        }
        let modulus = |name: &str, value, fields: &mut Fields| {
            fields.maybe(&format!("{path}.{name}"), value, 1.0e7, 1.0e12);
        };
        modulus("modulus_pa", self.modulus_pa, fields);
        modulus("modulus_across_pa", self.modulus_across_pa, fields);
    }
}

/// Name, unconfirmed or read, bending, shear, across, along (psi), modulus (10⁶ psi).
type Row = (&'static str, bool, [f64; 4], f64);

/// NDS Supplement, Table 4D, timbers 5 in x 5 in and larger: check-values.md 3.2.
const TABLE_4D: [Row; 13] = [
    (
        "mixed oak select structural beams",
        false,
        [1350.0, 155.0, 800.0, 825.0],
        1.0,
    ),
    (
        "mixed oak no. 1 beams",
        false,
        [1150.0, 155.0, 800.0, 700.0],
        1.0,
    ),
    (
        "mixed oak no. 2 beams",
        false,
        [725.0, 155.0, 800.0, 450.0],
        0.8,
    ),
    (
        "mixed oak no. 1 posts",
        false,
        [1000.0, 155.0, 800.0, 775.0],
        1.0,
    ),
    (
        "white oak select structural beams",
        false,
        [1400.0, 205.0, 800.0, 900.0],
        1.0,
    ),
    (
        "white oak no. 1 beams",
        false,
        [1200.0, 205.0, 800.0, 775.0],
        1.0,
    ),
    (
        "red oak select structural beams",
        false,
        [1350.0, 155.0, 820.0, 825.0],
        1.2,
    ),
    (
        "red oak no. 1 beams",
        false,
        [1150.0, 155.0, 820.0, 700.0],
        1.2,
    ),
    (
        "northern red oak select structural beams",
        false,
        [1600.0, 205.0, 885.0, 950.0],
        1.3,
    ),
    (
        "northern red oak no. 1 beams",
        false,
        [1350.0, 205.0, 885.0, 800.0],
        1.3,
    ),
    (
        "douglas fir-larch no. 1 beams",
        true,
        [1350.0, 170.0, 625.0, 925.0],
        1.6,
    ),
    (
        "douglas fir-larch no. 1 posts",
        true,
        [1200.0, 170.0, 625.0, 1000.0],
        1.6,
    ),
    (
        "douglas fir-larch no. 2 posts",
        true,
        [750.0, 170.0, 625.0, 700.0],
        1.3,
    ),
];

/// EN 338 hardwood classes, N/mm²: bending, shear, across, along, modulus. check-values.md 3.3.
const EN_338: [(&str, &str, [f64; 5]); 4] = [
    (
        "D30 older",
        "EN 338, older table",
        [30.0, 3.0, 8.0, 23.0, 10_000.0],
    ),
    (
        "D40 older",
        "EN 338, older table",
        [40.0, 3.8, 8.8, 26.0, 11_000.0],
    ),
    (
        "D30",
        "EN 338:2016, unconfirmed",
        [30.0, 3.9, 5.3, 24.0, 11_000.0],
    ),
    (
        "D40",
        "EN 338:2016, unconfirmed",
        [40.0, 4.2, 5.5, 27.0, 13_000.0],
    ),
];

/// The built-in table.
pub fn timbers() -> &'static [Timber] {
    static TIMBERS: OnceLock<Vec<Timber>> = OnceLock::new();
    TIMBERS.get_or_init(|| {
        let american = TABLE_4D.iter().map(|&(name, read, strength, modulus)| {
            let across = if name.starts_with("douglas") {
                SOFTWOOD_ACROSS
            } else {
                HARDWOOD_ACROSS
            };
            let unconfirmed = if read { "" } else { ", unconfirmed" };
            let modulus_pa = modulus * 1.0e6 * PSI_PA;
            let [bending, shear, across_grain, along_grain] =
                strength.map(|psi| Some(psi * PSI_PA));
            Timber {
                name: name.into(),
                source: format!("NDS Supplement, Table 4D{unconfirmed}"),
                format: Format::AllowableStress,
                bending_pa: bending,
                shear_pa: shear,
                across_grain_pa: across_grain,
                along_grain_pa: along_grain,
                modulus_pa: Some(modulus_pa),
                modulus_across_pa: Some(modulus_pa * across),
            }
        });
        let european = EN_338.iter().map(|&(name, source, values)| {
            let [bending, shear, across_grain, along_grain, modulus] =
                values.map(|mpa| Some(mpa * 1.0e6));
            Timber {
                name: name.into(),
                source: source.into(),
                format: Format::Characteristic,
                bending_pa: bending,
                shear_pa: shear,
                across_grain_pa: across_grain,
                along_grain_pa: along_grain,
                modulus_pa: modulus,
                modulus_across_pa: modulus.map(|m| m * HARDWOOD_ACROSS),
            }
        });
        american.chain(european).collect()
    })
}

/// The row that stands in where only the species is known: the lowest grade of it that the table
/// has. None for steel, and for timber the table has no row of.
pub fn assumed(material: Material) -> Option<&'static Timber> {
    let name = match material {
        Material::WhiteOak | Material::RedOak => "mixed oak no. 2 beams",
        Material::DouglasFir => "douglas fir-larch no. 2 posts",
        Material::SouthernPine | Material::Steel | Material::Unknown => return None,
    };
    timbers().iter().find(|t| t.name == name)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_named_once_and_has_all_its_values() {
        let all = timbers();
        for (i, row) in all.iter().enumerate() {
            assert!(all[..i].iter().all(|t| t.name != row.name), "{}", row.name);
            assert!(row.modulus_across_pa.unwrap() < row.modulus_pa.unwrap());
        }
        for species in [Material::WhiteOak, Material::RedOak, Material::DouglasFir] {
            assert!(assumed(species).is_some(), "{species:?}");
        }
        assert!(assumed(Material::SouthernPine).is_none());
    }

    #[test]
    fn characteristic_values_come_down_to_a_working_stress() {
        let d30 = timbers().iter().find(|t| t.name == "D30").unwrap();
        // By hand: 30 MPa x 0.7 / (1.3 x 1.5).
        let allowed = d30
            .bending_allowed_pa(LoadDuration::TenMinutes, 0.2)
            .unwrap();
        assert!((allowed - 10.769e6).abs() < 1e3, "{allowed}");
    }
}
