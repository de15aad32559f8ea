//! What is asked of beams, blocks, keel and pads.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::material::LoadDuration;
use keelstead_units::fields::Fields;

/// What is asked of beams, blocks and keel.
///
/// The defaults are assumed unless a source or common practice is named.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct StrengthLimits {
    /// Factor on every load for the road: bumps, braking onto a support. Common practice.
    pub road_factor: f64,
    /// Timber stands in the wet: moisture of 19 % and more.
    pub wet_service: bool,
    /// How long the load at rest acts on the timber.
    pub rest_duration: LoadDuration,
    /// How long the load of the road acts on the timber.
    pub road_duration: LoadDuration,
    /// Yield over allowable stress of steel: 1.67 for bending (AISC 360, from memory).
    pub steel_safety: f64,
    /// A beam may sag by its span over this, at rest. Common practice.
    pub span_over_deflection: f64,
    /// Greatest height of a stack over its narrowest block's fore-and-aft width. Common practice.
    pub stack_slenderness: f64,
    /// How exactly the height of a stack is set, m: loads are also worked out with each stack that
    /// much too high and too low.
    pub stack_tolerance_m: f64,
    /// Greatest pressure on the keel, Pa.
    pub keel_pressure_pa: f64,
    /// Longest stretch of keel between two supports that carry, m.
    pub keel_span_m: f64,
    /// Farthest the hull may reach ahead of the foremost support that carries, m.
    pub bow_overhang_m: f64,
    /// Farthest the hull may reach behind the aftmost support that carries, m.
    pub stern_overhang_m: f64,
    /// Friction of the keel on its blocks, for slipping along a sloping keel and sideways: between
    /// frost or grease (0.2) and sawn timber (0.45), check-values.md 8.
    pub keel_friction: f64,
}

impl Default for StrengthLimits {
    fn default() -> Self {
        Self {
            road_factor: 2.0,
            wet_service: true,
            rest_duration: LoadDuration::TwoMonths,
            road_duration: LoadDuration::TenMinutes,
            steel_safety: 1.67,
            span_over_deflection: 200.0,
            stack_slenderness: 3.0,
            stack_tolerance_m: 0.001,
            keel_pressure_pa: 4.0e6,
            keel_span_m: 4.0,
            bow_overhang_m: 6.0,
            stern_overhang_m: 6.0,
            keel_friction: 0.3,
        }
    }
}

/// What holds the keel sideways on its blocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum KeelHold {
    /// Chocks on both sides, fast to the blocks.
    Chocked,
    /// Its friction only.
    Friction,
    /// Nothing: pads must hold all.
    Nothing,
}

/// What is asked of the pads and of the rig when the load is pushed sideways.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SteadyingLimits {
    /// Lateral acceleration the hull must be held against, in multiples of free fall: 0.5, 49 CFR
    /// 393.102(a)(1) (check-values.md 1.1, read).
    pub lateral_g: f64,
    /// Lateral acceleration for working loads: 0.25, 49 CFR 393.102(a)(2).
    pub working_lateral_g: f64,
    /// Cross slope the rig may stand on, rad.
    pub cross_slope_rad: f64,
    /// Speed of a wind from the side, m/s.
    pub wind_m_s: f64,
    /// Force of that wind over stagnation pressure times lateral profile.
    pub wind_coefficient: f64,
    /// How far the suspension lets the load lean per free fall of lateral acceleration, rad, where
    /// the rig gives no roll stiffness.
    pub roll_rad_per_g: f64,
    /// Friction of pads on the hull; zero leaves it out.
    pub pad_friction: f64,
    /// What holds the keel sideways on its blocks.
    pub keel_hold: KeelHold,
    /// Greatest pressure of a pad on the hull, Pa.
    pub hull_pressure_pa: f64,
    /// Largest share of the weight that pads may carry at rest.
    pub pad_weight_share: f64,
    /// Lateral acceleration the whole rig must stand before it rolls over, in multiples of free
    /// fall: loaded trucks with a high centre of gravity stay above 0.35 (FMCSA brochure,
    /// check-values.md 7, read).
    pub rollover_g: f64,
}

impl Default for SteadyingLimits {
    fn default() -> Self {
        Self {
            lateral_g: 0.5,
            working_lateral_g: 0.25,
            cross_slope_rad: 0.05,
            wind_m_s: 25.0,
            wind_coefficient: 1.2,
            roll_rad_per_g: 0.06,
            pad_friction: 0.0,
            keel_hold: KeelHold::Friction,
            hull_pressure_pa: 150.0e3,
            pad_weight_share: 0.02,
            rollover_g: 0.35,
        }
    }
}

impl StrengthLimits {
    pub(super) fn check(&self, fields: &mut Fields) {
        for (name, value, min, max) in [
            ("road_factor", self.road_factor, 1.0, 10.0),
            ("steel_safety", self.steel_safety, 1.0, 10.0),
            (
                "span_over_deflection",
                self.span_over_deflection,
                10.0,
                10_000.0,
            ),
            ("stack_slenderness", self.stack_slenderness, 0.1, 10.0),
            ("stack_tolerance_m", self.stack_tolerance_m, 0.0, 0.1),
            ("keel_pressure_pa", self.keel_pressure_pa, 1.0e3, 1.0e9),
            ("keel_span_m", self.keel_span_m, 0.1, 100.0),
            ("bow_overhang_m", self.bow_overhang_m, 0.0, 100.0),
            ("stern_overhang_m", self.stern_overhang_m, 0.0, 100.0),
            ("keel_friction", self.keel_friction, 0.0, 1.5),
        ] {
            fields.within(&format!("required.strength.{name}"), value, min, max);
        }
    }
}

impl SteadyingLimits {
    pub(super) fn check(&self, fields: &mut Fields) {
        for (name, value, min, max) in [
            ("lateral_g", self.lateral_g, 0.0, 2.0),
            ("working_lateral_g", self.working_lateral_g, 0.0, 2.0),
            ("cross_slope_rad", self.cross_slope_rad, 0.0, 0.5),
            ("wind_m_s", self.wind_m_s, 0.0, 100.0),
            ("wind_coefficient", self.wind_coefficient, 0.0, 5.0),
            ("roll_rad_per_g", self.roll_rad_per_g, 0.0, 1.0),
            ("pad_friction", self.pad_friction, 0.0, 1.5),
            ("hull_pressure_pa", self.hull_pressure_pa, 100.0, 1.0e8),
            ("pad_weight_share", self.pad_weight_share, 0.0, 1.0),
            ("rollover_g", self.rollover_g, 0.0, 2.0),
        ] {
            fields.within(&format!("required.steadying.{name}"), value, min, max);
        }
    }
}
