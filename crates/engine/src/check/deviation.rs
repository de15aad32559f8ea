//! How far any point of the hull may be from where she is drawn.
//!
//! A keel or a stack that is a few millimetres off tilts her, and far from her supports that is many times as much: with
//! stacks 0.6 m apart a bow 5 m ahead moves by 170 mm. What she may do follows from the set-down itself: height and trim
//! at every corner of what may be off ([`keelstead_statics::support::corners`]). To that come where she was put and how upright. A
//! gap is as far off as its point of the hull may move toward the rig, a height as far as it may move up.

use crate::check::{Bearing, Placed};
use keelstead_geometry::math::{Aabb, Pose, Rot3, Vec3};
use keelstead_statics::support::corners;
use keelstead_statics::support::corners::Sinkage;

/// What the hull's place may be, about where she is drawn. Trailer frame.
pub(crate) struct Deviation {
    /// Corners of the outline of what her sinkage may be on top of that at rest; never empty.
    sinkages: Vec<Sinkage>,
    /// She turns about the line athwart and the line fore and aft through this point: as high as the hull's origin, which is
    /// where it is said that she stands, and in the middle of where her keel bears.
    pivot: Vec3,
    /// Height of her keel where it bears, m.
    keel_m: f64,
    placing_m: f64,
    heel_rad: f64,
    /// Heeled, she is stopped so far beside the middle, m: of one keel of two, or of a wide one by its edge.
    stopped_aside_m: f64,
}

impl Deviation {
    pub(super) fn of(placed: &Placed, bearing: &Bearing) -> Self {
        let solved = bearing.solved();
        let sinkages = match solved {
            Some(solved) => solved.within.iter().map(|s| s.less(solved.rest)).collect(),
            None => vec![Sinkage::default()],
        };
        let touched: Vec<Vec3> = (placed.resting.touches.iter().flatten())
            .map(|t| placed.trailer_from_frame * t.at)
            .collect();
        let origin = placed.trailer_from_hull().translation;
        let bears = match touched.len() {
            0 => origin,
            count => touched.iter().sum::<Vec3>() / count as f64,
        };
        let required = &placed.load.required;
        Self {
            sinkages,
            pivot: Vec3::new(bears.x, bears.y, origin.z),
            keel_m: bears.z,
            placing_m: required.placing_tolerance_m,
            heel_rad: required.heel_tolerance_rad,
            stopped_aside_m: bearing.stopped_aside_m(),
        }
    }

    /// The same of a hull that has come down by `drawn` more on the road, where that may be any of `more`.
    pub(super) fn on_the_road(&self, drawn: Sinkage, more: &[Sinkage]) -> Self {
        let more = || more.iter().map(|m| m.less(drawn));
        let each = self.sinkages.iter();
        let all: Vec<Sinkage> = each.flat_map(|s| more().map(|m| s.and(m))).collect();
        Self {
            sinkages: corners::outline(&all),
            ..*self
        }
    }

    /// A hull that is nowhere else than where she is drawn.
    #[cfg(test)]
    pub(super) fn still() -> Self {
        Self::turning(0.0, 0.0)
    }

    /// A hull that may turn bow down or up about a station.
    #[cfg(test)]
    pub(super) fn turning(by_rad: f64, about_x_m: f64) -> Self {
        let turned = |by: f64| Sinkage {
            at_coupling_m: -by * about_x_m,
            bow_down_rad: by,
        };
        Self {
            sinkages: vec![turned(-by_rad), turned(by_rad)],
            pivot: Vec3::ZERO,
            keel_m: 0.0,
            placing_m: 0.0,
            heel_rad: 0.0,
            stopped_aside_m: 0.0,
        }
    }

    /// What takes the hull from where she stands to where she stands once sunk.
    pub(super) fn sunk(&self, sinkage: Sinkage) -> Pose {
        let pivot = Vec3::Z * self.pivot.z;
        let turn = Rot3::from_rotation_y(sinkage.bow_down_rad);
        let down = Vec3::NEG_Z * sinkage.at_coupling_m;
        Pose::from_parts(pivot - turn * pivot + down, turn)
    }

    /// Whether she can be nowhere else than where she is drawn.
    pub(super) fn is_nothing(&self) -> bool {
        /// What rounding leaves, m and rad.
        const ROUNDING: f64 = 1e-12;
        let still =
            |s: &Sinkage| s.at_coupling_m.abs() < ROUNDING && s.bow_down_rad.abs() < ROUNDING;
        self.placing_m == 0.0 && self.heel_rad == 0.0 && self.sinkages.iter().all(still)
    }

    /// The most that a point of the hull moves along a unit vector.
    pub(crate) fn along(&self, at: Vec3, way: Vec3) -> f64 {
        let moved = |s: &Sinkage| self.moved(*s, at).dot(way);
        let sunk = self.sinkages.iter().map(moved).fold(0.0, f64::max);
        sunk + self.beside(at, way)
    }

    /// The same as seen from what follows the hull along `arm` as long as it touches her where her outward normal is
    /// `normal`: a pad that is run out until it touches, and its arm.
    pub(super) fn along_followed(&self, at: Vec3, way: Vec3, arm: Vec3, normal: Vec3) -> f64 {
        let pace = arm.dot(normal);
        if pace.abs() < 0.1 {
            return self.any_way(at);
        }
        // u moves the hull, and the arm by arm (u · normal) / pace: what is left of it along the way. A tenth is for the
        // hull's being round there.
        self.along(at, way - normal * (arm.dot(way) / pace)) + 0.1 * self.any_way(at)
    }

    /// The most that a point of the hull moves, any way.
    pub(super) fn any_way(&self, at: Vec3) -> f64 {
        let moved = |s: &Sinkage| self.moved(*s, at).length();
        let sunk = self.sinkages.iter().map(moved).fold(0.0, f64::max);
        let from = at - self.pivot;
        let heels = from.y.hypot(from.z) + self.stopped_aside_m;
        sunk + self.placing_m * 2.0_f64.sqrt() + self.heel_rad * heels
    }

    /// Where she may stand: at the corners of her being put and heeled, with a point of her as far up, and down, as it may
    /// be.
    pub(super) fn poses(&self, at: Vec3) -> Vec<Pose> {
        let ends = self.ends(|s| self.moved(*s, at).z);
        ends.into_iter()
            .flat_map(|end| self.put_sunk(end))
            .collect()
    }

    /// Her sinkages that turn her the most either way and that bring a station down the least and the most.
    pub(super) fn trims(&self, x_m: f64) -> Vec<Sinkage> {
        let turned = self.ends(|s| s.bow_down_rad);
        let down = self.ends(|s| s.at(x_m));
        let mut all: Vec<Sinkage> = Vec::with_capacity(4);
        for end in turned.into_iter().chain(down) {
            if !all.contains(&end) {
                all.push(end);
            }
        }
        all
    }

    /// Her sinkages with the least and the most of something.
    fn ends(&self, of: impl Fn(&Sinkage) -> f64) -> [Sinkage; 2] {
        let by = |a: &&Sinkage, b: &&Sinkage| of(a).total_cmp(&of(b));
        let sunk = || self.sinkages.iter();
        let ends = [sunk().min_by(by), sunk().max_by(by)];
        ends.map(|end| end.copied().unwrap_or_default())
    }

    /// Where she stands once sunk so, at the corners of her being put and heeled.
    pub(super) fn put_sunk(&self, sinkage: Sinkage) -> Vec<Pose> {
        let mut all = Vec::with_capacity(8);
        for (x, y) in [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)] {
            let aside = Vec3::new(x, y, 0.0) * self.placing_m;
            let heels = [-self.heel_rad, self.heel_rad];
            all.extend(heels.map(|heel| self.put(aside, heel) * self.sunk(sinkage)));
        }
        all
    }

    /// What takes the hull to where she was put aside and heeled.
    fn put(&self, aside: Vec3, heel_rad: f64) -> Pose {
        let turn = Rot3::from_rotation_x(heel_rad);
        Pose::from_parts(self.pivot - turn * self.pivot + aside, turn)
    }

    /// The most that any point in a box of the hull's frame moves: at one of its corners, since how far a point moves is
    /// convex in its place.
    pub(super) fn most_in(&self, bounds: &Aabb, trailer_from_hull: &Pose) -> f64 {
        let corners = bounds
            .vertices()
            .map(|v| self.any_way(trailer_from_hull * v));
        corners.into_iter().fold(0.0, f64::max)
    }

    /// Where she stands at each corner, put and heeled so that a point of her moves along a unit vector.
    pub(super) fn corners<'s>(&'s self, at: Vec3, way: Vec3) -> impl Iterator<Item = Pose> + 's {
        let aside = Vec3::new(toward(way.x), toward(way.y), 0.0) * self.placing_m;
        let heel = self.heel_rad * toward(self.heels(at).dot(way));
        let put = self.put(aside, heel);
        self.sinkages.iter().map(move |s| put * self.sunk(*s))
    }

    /// Corners of the outline of what her sinkage may be, on top of that where she is drawn.
    pub(super) fn sinkages(&self) -> &[Sinkage] {
        &self.sinkages
    }

    /// Takes her as drawn come down by a sinkage more, and what she may be as what was measured leaves of it.
    pub(super) fn narrow(&mut self, sinkage: Sinkage, within: &[Sinkage]) {
        self.sinkages = within.iter().map(|s| s.less(sinkage)).collect();
    }

    /// How far a point may be higher or lower as she is not quite upright, m.
    pub(super) fn heeled_m(&self, at: Vec3) -> f64 {
        self.heel_rad * ((at.y - self.pivot.y).abs() + self.stopped_aside_m)
    }

    /// Height of her keel over the ground where it bears, m.
    pub(super) fn keel_m(&self) -> f64 {
        self.keel_m
    }

    fn moved(&self, sinkage: Sinkage, at: Vec3) -> Vec3 {
        let turned = sinkage.bow_down_rad * (at.z - self.pivot.z);
        Vec3::new(turned, 0.0, -sinkage.at(at.x))
    }

    /// How a point moves for each radian of heel to starboard.
    fn heels(&self, at: Vec3) -> Vec3 {
        Vec3::X.cross(at - self.pivot)
    }

    fn beside(&self, at: Vec3, way: Vec3) -> f64 {
        let placed = self.placing_m * (way.x.abs() + way.y.abs());
        let heels = self.heels(at).dot(way).abs() + self.stopped_aside_m * way.z.abs();
        placed + self.heel_rad * heels
    }
}

fn toward(share: f64) -> f64 {
    if share < 0.0 { -1.0 } else { 1.0 }
}
