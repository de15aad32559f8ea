//! How a hull floats: the height and trim at which water carries its weight.

use std::cell::Cell;

use super::{HydrostaticsError, Immersed, WaterPlane, closed_below, cut};
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

/// Farthest trim that is looked at, rad either way. Beyond it the hull dives or stands on end.
const MOST_TRIM_RAD: f64 = std::f64::consts::FRAC_PI_4;
/// First step of trim, rad; doubled until the moment turns.
const FIRST_STEP_RAD: f64 = 0.01;
/// How exactly the displaced volume is met, as a part of it.
const VOLUME_SHARE: f64 = 1e-10;
/// Most steps on the way to the volume.
const MOST_STEPS: usize = 60;
/// How exactly trim is found, rad: a hundredth of a millimetre over ten metres.
const TRIM_RAD: f64 = 1e-6;

/// A hull afloat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Floating {
    /// Trim, rad, bow up positive.
    pub trim_rad: f64,
    /// Heel as given, rad.
    pub heel_rad: f64,
    /// The water in the mesh's frame.
    pub water: WaterPlane,
    /// What lies below it.
    pub immersed: Immersed,
}

/// How a mesh floats that weighs `mass_kg` at `centre` (mesh frame, m), in water of `water_kg_m3`,
/// held at a heel of `heel_rad` as a hand would hold it: height and trim are found.
///
/// The trim nearest to level at which it rests is found; one at which it would turn over is none.
///
/// # Errors
/// [`HydrostaticsError`]: it sinks, does not rest within 45 degrees of trim, is open below the
/// water it would float in, or a figure is none.
pub fn float(
    mesh: &Mesh,
    mass_kg: f64,
    centre: Vec3,
    water_kg_m3: f64,
    heel_rad: f64,
) -> Result<Floating, HydrostaticsError> {
    positive("the mass, kg,", mass_kg)?;
    positive("the density of water, kg/m³,", water_kg_m3)?;
    let given = centre.to_array().into_iter().chain([heel_rad]);
    if let Some(value) = given.into_iter().find(|value| !value.is_finite()) {
        return Err(HydrostaticsError::Value {
            what: "the centre of gravity or the heel",
            value,
            expected: "finite numbers",
        });
    }
    let afloat = Afloat {
        mesh,
        volume_m3: mass_kg / water_kg_m3,
        water_kg_m3,
        heel_rad,
    };
    let edges = mesh.unbalanced_edges();
    // On the way the rim may dip under; that matters only if no rest is found, or at the rest itself.
    let runs_in = Cell::new(None);
    let rest = |trim_rad: f64| {
        let (water, below) = afloat.carried(trim_rad)?;
        if runs_in.get().is_none() {
            runs_in.set(closed_below(mesh, &edges, &water).err());
        }
        Ok(Trimmed {
            trim_rad,
            water,
            below,
            // Buoyancy ahead of the weight lifts the bow.
            lever_m: water.forward.dot(below.centre - centre),
        })
    };
    let found = settle(rest).map_err(|error| runs_in.get().unwrap_or(error))?;
    closed_below(mesh, &edges, &found.water)?;
    Ok(Floating {
        trim_rad: found.trim_rad,
        heel_rad,
        water: found.water,
        immersed: found.below,
    })
}

fn positive(what: &'static str, value: f64) -> Result<(), HydrostaticsError> {
    if value.is_finite() && value > 0.0 {
        return Ok(());
    }
    Err(HydrostaticsError::Value {
        what,
        value,
        expected: "a finite number above zero",
    })
}

/// A hull carried by the water at a trim.
#[derive(Clone, Copy)]
struct Trimmed {
    trim_rad: f64,
    water: WaterPlane,
    below: Immersed,
    lever_m: f64,
}

/// Where the lever vanishes, going from level the way the lever turns the hull.
fn settle(
    rest: impl Fn(f64) -> Result<Trimmed, HydrostaticsError>,
) -> Result<Trimmed, HydrostaticsError> {
    let no_trim = HydrostaticsError::NoTrim {
        most_deg: MOST_TRIM_RAD.to_degrees(),
    };
    let mut near = rest(0.0)?;
    let way = near.lever_m.signum();
    let mut step = FIRST_STEP_RAD;
    let mut far = near;
    while far.lever_m * way > 0.0 {
        if far.trim_rad.abs() >= MOST_TRIM_RAD {
            return Err(no_trim);
        }
        near = far;
        far = rest(way * (near.trim_rad.abs() + step).min(MOST_TRIM_RAD))?;
        step *= 2.0;
    }
    // Regula falsi, an end's lever halved when it stays put twice, so that both ends close in.
    let (mut near_lever, mut far_lever) = (near.lever_m, far.lever_m);
    let mut stayed = 0;
    while (far.trim_rad - near.trim_rad).abs() > TRIM_RAD && far.lever_m != 0.0 {
        let share = near_lever / (near_lever - far_lever);
        let next = rest(near.trim_rad + share * (far.trim_rad - near.trim_rad))?;
        if next.lever_m * way > 0.0 {
            (near, near_lever) = (next, next.lever_m);
            if stayed == 1 {
                far_lever *= 0.5;
            }
            stayed = 1;
        } else {
            (far, far_lever) = (next, next.lever_m);
            if stayed == -1 {
                near_lever *= 0.5;
            }
            stayed = -1;
        }
    }
    Ok(far)
}

/// A mesh and the volume it pushes aside.
struct Afloat<'m> {
    mesh: &'m Mesh,
    volume_m3: f64,
    water_kg_m3: f64,
    heel_rad: f64,
}

impl Afloat<'_> {
    /// The water at which the hull displaces its weight at a trim: Newton with the waterplane as
    /// slope, bisection where that leads out of the bracket.
    fn carried(&self, trim_rad: f64) -> Result<(WaterPlane, Immersed), HydrostaticsError> {
        let mut water = WaterPlane::about(0.0, trim_rad, self.heel_rad);
        let heights = self.mesh.vertices().iter().map(|&v| water.up.dot(v));
        let (mut low, mut high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), z| {
            (l.min(z), h.max(z))
        });
        water.height_m = high;
        let most_m3 = cut(self.mesh, &water).volume_m3;
        if most_m3 <= self.volume_m3 {
            return Err(HydrostaticsError::Sinks {
                mass_kg: self.volume_m3 * self.water_kg_m3,
                most_kg: most_m3 * self.water_kg_m3,
            });
        }
        water.height_m = low + (high - low) * self.volume_m3 / most_m3;
        let mut below = cut(self.mesh, &water);
        // Bisection alone would be down to rounding in fewer.
        for _ in 0..MOST_STEPS {
            if (below.volume_m3 / self.volume_m3 - 1.0).abs() <= VOLUME_SHARE {
                break;
            }
            if below.volume_m3 < self.volume_m3 {
                low = water.height_m;
            } else {
                high = water.height_m;
            }
            let newton = water.height_m + (self.volume_m3 - below.volume_m3) / below.waterplane_m2;
            water.height_m = if newton > low && newton < high {
                newton
            } else {
                0.5 * (low + high)
            };
            below = cut(self.mesh, &water);
        }
        Ok((water, below))
    }
}
