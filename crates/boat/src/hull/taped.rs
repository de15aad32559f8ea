//! What is known of a boat that was measured with a tape, beyond the hull that is drawn of her.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Hull, PartKind};
use crate::family::Family;
use crate::profile::Profile;
use keelstead_geometry::math::{Aabb, Point, Vec3};
use keelstead_units::fields::Fields;
use keelstead_units::quantity::Sentence;

/// Stations at which the height of the sheer is looked for.
const STATIONS: usize = 48;

/// What part of the body's length its after end is.
const AFT_END: f64 = 0.02;

/// A boat measured with a tape: her hull is drawn, with keel and rudder as her family has them. What stands above the
/// sheer, reaches beyond bow, stern and sides, or else hangs under her is not.
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
    /// How far anything that travels with her (bowsprit, pulpit, anchor) reaches forward of the drawn hull, m; null if nobody
    /// measured it.
    #[serde(default)]
    pub beyond_bow_m: Option<f64>,
    /// How far anything that travels with her (platform, bracket, davits) reaches aft of the drawn hull, m; null if nobody
    /// measured it.
    #[serde(default)]
    pub beyond_stern_m: Option<f64>,
    /// How far either reach may be off, m, either way.
    #[serde(default)]
    pub beyond_tolerance_m: f64,
    /// Greatest breadth with rubbing strakes, rails and all else fixed to her sides, m; null if nobody measured it.
    #[serde(default)]
    pub beam_over_all_m: Option<f64>,
    /// How far that breadth may be off, m, either way.
    #[serde(default)]
    pub beam_over_all_tolerance_m: f64,
    /// Whether somebody looked under her, and nothing hangs there but what is drawn: no outdrive, trim tabs, transducers.
    #[serde(default)]
    pub nothing_under: bool,
}

impl Taped {
    /// The same of a boat that was scaled.
    #[must_use]
    pub fn scaled(self, by: f64) -> Self {
        let scaled = |length_m: Option<f64>| length_m.map(|m| m * by);
        Self {
            family: self.family,
            highest_m: scaled(self.highest_m),
            highest_tolerance_m: self.highest_tolerance_m * by,
            beyond_bow_m: scaled(self.beyond_bow_m),
            beyond_stern_m: scaled(self.beyond_stern_m),
            beyond_tolerance_m: self.beyond_tolerance_m * by,
            beam_over_all_m: scaled(self.beam_over_all_m),
            beam_over_all_tolerance_m: self.beam_over_all_tolerance_m * by,
            nothing_under: self.nothing_under,
        }
    }

    /// What is known of all that is not drawn: what it is of, and how far it is known.
    pub fn says(&self) -> [(&'static str, Sentence); 3] {
        let above = match self.highest_m {
            Some(highest_m) => Sentence::new("reaches")
                .length(highest_m)
                .words("over the lowest point"),
            None => Sentence::new("not known; measure the height of the highest point"),
        };
        let beyond = [
            ("bow", self.beyond_bow_m),
            ("stern", self.beyond_stern_m),
            ("beam over all", self.beam_over_all_m),
        ];
        let around = beyond
            .into_iter()
            .fold(Sentence::default(), |says, (side, reach_m)| {
                let says = match says.0.is_empty() {
                    true => Sentence::new(format!("{side}:")),
                    false => says.words(format!("; {side}:")),
                };
                match reach_m {
                    Some(reach_m) => says.length(reach_m),
                    None => says.words("not known, measure it"),
                }
            });
        let under = match self.nothing_under {
            true => Sentence::new("somebody looked, and there is nothing that is not drawn"),
            false => Sentence::new("not known; look, and say so"),
        };
        [
            ("What stands above the sheer", above),
            ("What reaches beyond the hull", around),
            ("What else hangs under her", under),
        ]
    }

    pub(super) fn check(&self, fields: &mut Fields) {
        fields.maybe("taped.highest_m", self.highest_m, 0.1, 40.0);
        fields.maybe("taped.beyond_bow_m", self.beyond_bow_m, 0.0, 10.0);
        fields.maybe("taped.beyond_stern_m", self.beyond_stern_m, 0.0, 10.0);
        fields.maybe("taped.beam_over_all_m", self.beam_over_all_m, 0.4, 20.0);
        for (off, tolerance_m) in [
            ("taped.highest_tolerance_m", self.highest_tolerance_m),
            ("taped.beyond_tolerance_m", self.beyond_tolerance_m),
            (
                "taped.beam_over_all_tolerance_m",
                self.beam_over_all_tolerance_m,
            ),
        ] {
            fields.within(off, tolerance_m, 0.0, 10.0);
        }
    }

    /// Whether somebody measured how far she reaches on every side.
    pub fn is_measured_around(&self) -> bool {
        self.beyond_bow_m.is_some()
            && self.beyond_stern_m.is_some()
            && self.beam_over_all_m.is_some()
    }

    /// The box that holds whatever is above her sheer, hull frame: as long and wide as somebody measured that she is with all
    /// that travels with her, else as the drawn hull, from the lowest sheer up to the highest point, each with its
    /// tolerance. None if nobody measured the highest point.
    pub fn above(&self, hull: &Hull) -> Option<Aabb> {
        let highest_m = self.highest_m? + self.highest_tolerance_m;
        // The level of the lowest point is that of what may bear: a rudder whose foot is guessed does not count.
        let bearing = hull.bearing_parts().map(|part| part.mesh.aabb().mins.z);
        let lowest = bearing.reduce(f64::min).unwrap_or(hull.bounds.mins.z);
        Some(self.over_all_up_to(lowest + highest_m, hull))
    }

    /// The boxes that hold whatever reaches beyond the drawn hull on the sides that somebody measured, hull frame: all round
    /// her above the sheer, and behind her down to her underside there; what hangs lower hangs under her.
    pub fn around(&self, hull: &Hull) -> [Aabb; 2] {
        let above = self
            .above(hull)
            .unwrap_or_else(|| self.over_all_up_to(hull.bounds.maxs.z, hull));
        let mut behind = above;
        behind.mins.z = underside_aft_m(hull).min(above.mins.z);
        behind.maxs.x = hull.body_bounds().mins.x;
        behind.mins.x = behind.mins.x.min(behind.maxs.x);
        [above, behind]
    }

    fn over_all_up_to(&self, top: f64, hull: &Hull) -> Aabb {
        let [drawn, body] = [hull.bounds, hull.body_bounds()];
        let beyond = |reach_m: Option<f64>| reach_m.map_or(0.0, |m| m + self.beyond_tolerance_m);
        let half_beam = self
            .beam_over_all_m
            .map_or(0.0, |m| 0.5 * (m + self.beam_over_all_tolerance_m));
        let top = top.max(drawn.maxs.z);
        Aabb::new(
            Vec3::new(
                drawn.mins.x.min(body.mins.x - beyond(self.beyond_stern_m)),
                drawn.mins.y.min(-half_beam),
                sheer_m(hull).min(top),
            ),
            Vec3::new(
                drawn.maxs.x.max(body.maxs.x + beyond(self.beyond_bow_m)),
                drawn.maxs.y.max(half_beam),
                top,
            ),
        )
    }
}

impl Taped {
    /// The most that the boat can show the wind from the side: the drawn profile, and all of [`Self::above`]. None if nobody
    /// measured how high she reaches, and how far beyond bow and stern.
    pub fn profile_at_most(&self, hull: &Hull) -> Option<Profile> {
        let above = self.above(hull).filter(|_| self.is_measured_around())?;
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

/// The lowest of the body at its after end, hull frame, m.
fn underside_aft_m(hull: &Hull) -> f64 {
    let body = hull.body_bounds();
    let aft = body.mins.x + AFT_END * body.extents().x;
    let bodies = hull.parts.iter().filter(|p| p.kind == PartKind::Body);
    let vertices = bodies.flat_map(|part| part.mesh.vertices());
    vertices
        .filter(|p| p.x <= aft)
        .map(|p| p.z)
        .fold(body.maxs.z, f64::min)
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
