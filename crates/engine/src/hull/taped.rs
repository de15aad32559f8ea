//! What is known of a boat that was measured with a tape, beyond the hull that is drawn of her.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Hull, PartKind};
use crate::family::Family;
use crate::fields::Fields;
use crate::math::{Aabb, Point, Vec3};
use crate::profile::Profile;

/// Stations at which the height of the sheer is looked for.
const STATIONS: usize = 48;

/// A boat measured with a tape: her hull is drawn, with keel and rudder as her family has them. What stands above the
/// sheer and what else hangs under her is not.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Taped {
    /// The kind of hull that was fitted.
    pub family: Family,
    /// Height of the highest point that travels with her (house, rails, arch, a lowered mast) over the level of the lowest
    /// point, m; null if nobody measured it.
    #[serde(default)]
    pub highest_m: Option<f64>,
    /// How far that height may be off, m, either way.
    #[serde(default)]
    pub highest_tolerance_m: f64,
    /// Whether somebody looked under her, and nothing hangs there but what is drawn: no outdrive, trim tabs, transducers.
    #[serde(default)]
    pub nothing_under: bool,
}

impl Taped {
    /// The same of a boat that was scaled.
    #[must_use]
    pub fn scaled(self, by: f64) -> Self {
        Self {
            highest_m: self.highest_m.map(|highest_m| highest_m * by),
            highest_tolerance_m: self.highest_tolerance_m * by,
            ..self
        }
    }

    pub(super) fn check(&self, fields: &mut Fields) {
        fields.maybe("taped.highest_m", self.highest_m, 0.1, 40.0);
        let off = "taped.highest_tolerance_m";
        fields.within(off, self.highest_tolerance_m, 0.0, 10.0);
    }

    /// The box that holds whatever stands above her sheer, hull frame: over all of the drawn hull, from the lowest sheer up
    /// to the highest point and its tolerance. None if nobody measured that.
    pub(crate) fn above(&self, hull: &Hull) -> Option<Aabb> {
        let highest_m = self.highest_m? + self.highest_tolerance_m;
        let bounds = hull.bounds;
        // The level of the lowest point is that of what may bear: a rudder whose foot is guessed does not count.
        let bearing = hull.bearing_parts().map(|part| part.mesh.aabb().mins.z);
        let lowest = bearing.reduce(f64::min).unwrap_or(bounds.mins.z);
        let top = (lowest + highest_m).max(bounds.maxs.z);
        let low = sheer_m(hull).min(top);
        Some(Aabb::new(
            Vec3::new(bounds.mins.x, bounds.mins.y, low),
            Vec3::new(bounds.maxs.x, bounds.maxs.y, top),
        ))
    }
}

impl Taped {
    /// The most that the boat can show the wind from the side: the drawn profile, and all of [`Self::above`]. None if nobody
    /// measured how high she reaches.
    pub(crate) fn profile_at_most(&self, hull: &Hull) -> Option<Profile> {
        let above = self.above(hull)?;
        let size = above.extents();
        let drawn = hull.profile;
        let more_m2 = size.x * size.z;
        let area_m2 = drawn.area_m2 + more_m2;
        let middle = drawn.centroid.vec() * drawn.area_m2 + above.center() * more_m2;
        Some(Profile {
            area_m2,
            centroid: Point::new(middle.x / area_m2, 0.0, middle.z / area_m2),
        })
    }
}

/// No lower is the body's top anywhere along the middle, hull frame, m; ends where it tapers to nothing left out.
fn sheer_m(hull: &Hull) -> f64 {
    let (from, to, top) = (hull.bounds.mins.x, hull.bounds.maxs.x, hull.bounds.maxs.z);
    let bodies = || hull.parts.iter().filter(|part| part.kind == PartKind::Body);
    // A hair off the middle, where meshes have edges.
    let y = 1e-4 * (to - from);
    let stations = (1..STATIONS).map(|i| from + (to - from) * i as f64 / STATIONS as f64);
    stations
        .filter_map(|x| {
            let over = Vec3::new(x, y, top + 1.0);
            let hits = bodies().filter_map(|part| part.mesh.cast_ray(over, -Vec3::Z));
            let nearest = hits.map(|hit| hit.distance).min_by(f64::total_cmp)?;
            Some(over.z - nearest)
        })
        .fold(top, f64::min)
}
