//! Cross sections of beams: what they resist bending and shear with.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use keelstead_units::fields::Fields;

/// A steel section within the beam's width and depth, and its yield strength.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum SteelSection {
    /// Rectangular hollow section, corners taken as sharp.
    RectangularTube {
        /// Thickness of its wall, m.
        wall_m: f64,
        /// Yield strength, Pa.
        yield_pa: f64,
    },
    /// I section, web upright, fillets left out.
    ISection {
        /// Thickness of a flange, m.
        flange_m: f64,
        /// Thickness of the web, m.
        web_m: f64,
        /// Yield strength, Pa.
        yield_pa: f64,
    },
}

impl SteelSection {
    /// Yield strength, Pa.
    pub fn yield_pa(self) -> f64 {
        match self {
            Self::RectangularTube { yield_pa, .. } | Self::ISection { yield_pa, .. } => yield_pa,
        }
    }

    /// Thickness of its webs together, m.
    pub fn webs_m(self) -> f64 {
        match self {
            Self::RectangularTube { wall_m, .. } => 2.0 * wall_m,
            Self::ISection { web_m, .. } => web_m,
        }
    }

    /// Holds every number against the beam it must fit in.
    pub fn check(self, path: &str, width_m: f64, depth_m: f64, fields: &mut Fields) {
        fields.within(&format!("{path}.yield_pa"), self.yield_pa(), 1.0e8, 2.0e9);
        match self {
            Self::RectangularTube { wall_m, .. } => {
                let most = width_m.min(depth_m) / 2.0;
                fields.within(&format!("{path}.wall_m"), wall_m, 0.0005, most);
            }
            Self::ISection {
                flange_m, web_m, ..
            } => {
                fields.within(&format!("{path}.flange_m"), flange_m, 0.0005, depth_m / 2.0);
                fields.within(&format!("{path}.web_m"), web_m, 0.0005, width_m);
            }
        }
    }
}

/// Properties of a cross section about its level axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Area, m².
    pub area_m2: f64,
    /// Second moment of area I, m⁴.
    pub second_moment_m4: f64,
    /// Elastic section modulus S, m³.
    pub modulus_m3: f64,
    /// Greatest shear stress for a shear force of 1 N, V Q / (I t), 1/m².
    pub shear_per_m2: f64,
}

impl Section {
    /// A solid rectangle.
    pub fn solid(width_m: f64, depth_m: f64) -> Self {
        Self::boxed(width_m, depth_m, 0.0, 0.0)
    }

    /// A steel section `width_m` wide and `depth_m` deep over all.
    pub fn steel(section: SteelSection, width_m: f64, depth_m: f64) -> Self {
        match section {
            SteelSection::RectangularTube { wall_m, .. } => Self::boxed(
                width_m,
                depth_m,
                width_m - 2.0 * wall_m,
                depth_m - 2.0 * wall_m,
            ),
            SteelSection::ISection {
                flange_m, web_m, ..
            } => Self::boxed(width_m, depth_m, width_m - web_m, depth_m - 2.0 * flange_m),
        }
    }

    /// A rectangle less an inner one about the same middle; where the hollow lies across the width
    /// makes no difference.
    fn boxed(width_m: f64, depth_m: f64, hollow_m: f64, height_m: f64) -> Self {
        let second_moment_m4 = (width_m * depth_m.powi(3) - hollow_m * height_m.powi(3)) / 12.0;
        // First moment of the half above the axis, over the material that is left at the axis.
        let first_m3 = (width_m * depth_m.powi(2) - hollow_m * height_m.powi(2)) / 8.0;
        Self {
            area_m2: width_m * depth_m - hollow_m * height_m,
            second_moment_m4,
            modulus_m3: 2.0 * second_moment_m4 / depth_m,
            shear_per_m2: first_m3 / (second_moment_m4 * (width_m - hollow_m)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tube_is_a_solid_less_its_hollow() {
        let tube = SteelSection::RectangularTube {
            wall_m: 0.01,
            yield_pa: 2.35e8,
        };
        let section = Section::steel(tube, 0.1, 0.2);
        // By hand: (100 x 200³ - 80 x 180³) / 12 = 27.787e6 mm⁴.
        assert!((section.second_moment_m4 - 27.786_667e-6).abs() < 1e-11);
        assert!((section.area_m2 - 0.0056).abs() < 1e-12);
        // V Q / (I t): Q = (100 x 200² - 80 x 180²) / 8 = 176 000 mm³, t = 20 mm.
        let known = 176_000.0e-9 / (27.786_667e-6 * 0.02);
        assert!((section.shear_per_m2 / known - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_solid_rectangle_has_one_and_a_half_times_the_mean_shear() {
        let section = Section::solid(0.2, 0.3);
        assert!((section.shear_per_m2 * section.area_m2 - 1.5).abs() < 1e-12);
    }
}
