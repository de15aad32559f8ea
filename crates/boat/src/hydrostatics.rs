//! What a hull displaces: volume below a water plane, its centre, waterplane and wetted surface,
//! and how the hull floats with a given weight.
//!
//! Every triangle is cut at the plane, so the figures are exact for the mesh. Volume and centre are
//! the sum of the signed tetrahedra from the immersed triangles to a point of the plane: the cap in
//! the plane adds nothing to it. The waterplane follows from the same triangles, since a closed
//! surface casts no shadow: what the cap projects onto the plane is what the immersed skin does.

use keelstead_geometry::math::{Rot3, Vec3};
use keelstead_geometry::mesh::Mesh;

mod float;

pub use float::{Floating, float};

/// Why a hull has no hydrostatics.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum HydrostaticsError {
    /// Water would run in, or the triangles disagree which side is out.
    #[error(
        "{edges} edges below the water plane are open or have triangles that disagree which side is out, the lowest at \
         ({x:.3}, {y:.3}, {z:.3}); close the hull there, or choose a lower waterline"
    )]
    Open {
        /// How many such edges reach below the plane.
        edges: usize,
        /// Where the lowest of them is, mesh frame, m: along x.
        x: f64,
        /// Along y.
        y: f64,
        /// Along z.
        z: f64,
    },
    /// A draft, an angle, a weight or a density that is none.
    #[error("{what} is {value}; expected {expected}")]
    Value {
        /// What was given.
        what: &'static str,
        /// Its value.
        value: f64,
        /// What it ought to be.
        expected: &'static str,
    },
    /// Heavier than the water it can push aside.
    #[error(
        "the hull sinks: {mass_kg:.0} kg, but all of it displaces only {most_kg:.0} kg; check mass, unit and mesh"
    )]
    Sinks {
        /// The weight, kg.
        mass_kg: f64,
        /// What the whole hull displaces, kg.
        most_kg: f64,
    },
    /// No trim within reach brings weight and buoyancy over each other.
    #[error(
        "no trim up to {most_deg:.0} degrees brings the centre of gravity over the centre of buoyancy; check the centre"
    )]
    NoTrim {
        /// How far it was tried, degrees either way.
        most_deg: f64,
    },
}

/// A water plane in the frame of a mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterPlane {
    /// Unit vector up out of the water.
    pub up: Vec3,
    /// Unit vector forward along the water, square to `up`.
    pub forward: Vec3,
    /// How far up the plane is from the mesh's origin, m.
    pub height_m: f64,
}

impl WaterPlane {
    /// Level in the mesh's frame, at z = `height_m`.
    pub fn level(height_m: f64) -> Self {
        Self {
            up: Vec3::Z,
            forward: Vec3::X,
            height_m,
        }
    }

    /// The water about a hull that is trimmed by `trim_rad`, bow up positive, and heeled by
    /// `heel_rad`, to starboard positive (port up), and whose origin is `height_m` below the water.
    ///
    /// The same angles as a hull standing on blocks has.
    pub fn about(height_m: f64, trim_rad: f64, heel_rad: f64) -> Self {
        let water_from_hull = Rot3::from_rotation_y(-trim_rad) * Rot3::from_rotation_x(heel_rad);
        let hull_from_water = water_from_hull.inverse();
        Self {
            up: hull_from_water * Vec3::Z,
            forward: hull_from_water * Vec3::X,
            height_m,
        }
    }

    /// Height of a point over the water, m; below it negative.
    pub fn height_over_m(&self, point: Vec3) -> f64 {
        self.up.dot(point) - self.height_m
    }
}

/// What lies below a water plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Immersed {
    /// Volume of water pushed aside, m³.
    pub volume_m3: f64,
    /// Centre of buoyancy, mesh frame, m; the plane's point under the origin if nothing is immersed.
    pub centre: Vec3,
    /// Area that the hull cuts out of the water's surface, m².
    pub waterplane_m2: f64,
    /// Centre of flotation: the middle of the waterplane, mesh frame, m.
    pub flotation: Vec3,
    /// Second moment of the waterplane about the line across through its middle, m⁴.
    pub second_moment_long_m4: f64,
    /// Second moment of the waterplane about the line fore and aft through its middle, m⁴.
    pub second_moment_trans_m4: f64,
    /// Skin below the water, m².
    pub wetted_m2: f64,
    /// How deep the lowest point lies, m; negative if all is above the water.
    pub draft_m: f64,
}

impl Immersed {
    /// Mass of the water pushed aside, kg.
    pub fn displacement_kg(&self, water_kg_m3: f64) -> f64 {
        self.volume_m3 * water_kg_m3
    }
}

/// What lies below `water` of a mesh that is closed there: open edges above the water do not matter.
///
/// Triangles may face out or in, as long as all do the same. Where parts of the mesh overlap, the
/// overlap counts twice; an inner skin counts as a hole.
///
/// # Errors
/// [`HydrostaticsError::Open`], or [`HydrostaticsError::Value`] if the plane is not finite.
pub fn immersed(mesh: &Mesh, water: &WaterPlane) -> Result<Immersed, HydrostaticsError> {
    if !(water.height_m.is_finite() && water.up.is_finite() && water.forward.is_finite()) {
        return Err(HydrostaticsError::Value {
            what: "the water plane",
            value: water.height_m,
            expected: "finite height and angles",
        });
    }
    closed_below(mesh, &mesh.unbalanced_edges(), water)?;
    Ok(cut(mesh, water))
}

/// Refuses a mesh one of whose `edges` reaches below the water.
fn closed_below(
    mesh: &Mesh,
    edges: &[[u32; 2]],
    water: &WaterPlane,
) -> Result<(), HydrostaticsError> {
    // A rim cut along the waterline itself lies within rounding of it.
    let slack_m = 1e-9 * mesh.aabb().extents().length();
    let ends = |edge: &[u32; 2]| edge.map(|i| mesh.vertices()[i as usize]);
    let mut below = 0;
    let mut lowest: Option<Vec3> = None;
    for edge in edges {
        let [a, b] = ends(edge);
        let deeper = if water.height_over_m(a) < water.height_over_m(b) {
            a
        } else {
            b
        };
        if water.height_over_m(deeper) < -slack_m {
            below += 1;
            if lowest.is_none_or(|l| water.height_over_m(deeper) < water.height_over_m(l)) {
                lowest = Some(deeper);
            }
        }
    }
    match lowest {
        None => Ok(()),
        Some(at) => Err(HydrostaticsError::Open {
            edges: below,
            x: at.x,
            y: at.y,
            z: at.z,
        }),
    }
}

/// The figures of a mesh known to be closed below the water.
fn cut(mesh: &Mesh, water: &WaterPlane) -> Immersed {
    let frame = WaterFrame::new(water, mesh.aabb().center());
    let at: Vec<Vec3> = mesh
        .vertices()
        .iter()
        .map(|&v| frame.water_from_hull(v))
        .collect();
    let mut sum = Sum::default();
    let mut lowest_m = f64::INFINITY;
    for triangle in mesh.triangles() {
        let corners = triangle.map(|i| at[i as usize]);
        lowest_m = corners.iter().fold(lowest_m, |low, c| low.min(c.z));
        sum.add_below(corners);
    }
    sum.figures(&frame, -lowest_m)
}

/// The frame of the water: x forward, y to port, z up, z = 0 the plane.
pub(crate) struct WaterFrame {
    origin: Vec3,
    forward: Vec3,
    port: Vec3,
    up: Vec3,
    height_m: f64,
}

impl WaterFrame {
    /// About the point of the plane under `middle`: moments about a point near the mesh lose the
    /// fewest digits.
    pub(crate) fn new(water: &WaterPlane, middle: Vec3) -> Self {
        Self {
            origin: middle - water.up * water.height_over_m(middle),
            forward: water.forward,
            port: water.up.cross(water.forward),
            up: water.up,
            height_m: water.height_m,
        }
    }

    pub(crate) fn water_from_hull(&self, point: Vec3) -> Vec3 {
        let from = point - self.origin;
        // From the plane's own height: what lies in the plane must come out at nought.
        let over_m = self.up.dot(point) - self.height_m;
        Vec3::new(self.forward.dot(from), self.port.dot(from), over_m)
    }

    pub(crate) fn hull_from_water(&self, point: Vec3) -> Vec3 {
        self.origin + self.forward * point.x + self.port * point.y + self.up * point.z
    }
}

/// Sums over immersed triangles in the frame of the water.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Sum {
    pub(crate) volume: f64,
    pub(crate) moment: Vec3,
    pub(crate) area: f64,
    pub(crate) first: [f64; 2],
    pub(crate) second: [f64; 2],
    pub(crate) wetted: f64,
}

impl Sum {
    /// Adds the part of a triangle that is below the plane.
    pub(crate) fn add_below(&mut self, corners: [Vec3; 3]) {
        let under = corners.map(|c| c.z <= 0.0);
        // A face in the plane belongs to the waterplane, not to the skin below.
        if under == [false; 3] || corners.iter().all(|c| c.z >= 0.0) {
            return;
        }
        if under == [true; 3] {
            return self.add(corners);
        }
        let mut kept = [Vec3::ZERO; 4];
        let mut count = 0;
        for i in 0..3 {
            let (a, b) = (corners[i], corners[(i + 1) % 3]);
            if under[i] {
                kept[count] = a;
                count += 1;
            }
            if under[i] != under[(i + 1) % 3] {
                // Cut from the same end whichever way the edge is run, so that two neighbours agree.
                let (low, high) = if a.z < b.z { (a, b) } else { (b, a) };
                let share = low.z / (low.z - high.z);
                let on = low + (high - low) * share;
                kept[count] = Vec3::new(on.x, on.y, 0.0);
                count += 1;
            }
        }
        for i in 1..count.saturating_sub(1) {
            self.add([kept[0], kept[i], kept[i + 1]]);
        }
    }

    fn add(&mut self, [a, b, c]: [Vec3; 3]) {
        let volume = a.dot(b.cross(c)) / 6.0;
        self.volume += volume;
        self.moment += (a + b + c) * (volume / 4.0);
        let across = (b - a).cross(c - a);
        self.wetted += 0.5 * across.length();
        // The skin faces down where the cap faces up.
        let shadow = -0.5 * across.z;
        self.area += shadow;
        for (axis, of) in [[a.x, b.x, c.x], [a.y, b.y, c.y]].into_iter().enumerate() {
            let sum: f64 = of.iter().sum();
            let squares: f64 = of.iter().map(|v| v * v).sum();
            self.first[axis] += shadow * sum / 3.0;
            self.second[axis] += shadow * (sum * sum + squares) / 12.0;
        }
    }

    /// Adds another sum, `times` over; skin is skin whichever way it faces.
    pub(crate) fn plus(&mut self, other: &Self, times: f64) {
        self.volume += other.volume * times;
        self.moment += other.moment * times;
        self.area += other.area * times;
        for axis in 0..2 {
            self.first[axis] += other.first[axis] * times;
            self.second[axis] += other.second[axis] * times;
        }
        self.wetted += other.wetted;
    }

    pub(crate) fn figures(&self, frame: &WaterFrame, draft_m: f64) -> Immersed {
        // Triangles facing in give everything but the skin its negative.
        let sign = if self.volume < 0.0 { -1.0 } else { 1.0 };
        let ratio = |above: f64, below: f64| if below == 0.0 { 0.0 } else { above / below };
        let centre = self.moment.to_array().map(|m| ratio(m, self.volume));
        let [along, across] = self.first.map(|m| ratio(m, self.area));
        Immersed {
            volume_m3: self.volume * sign,
            centre: frame.hull_from_water(Vec3::from_array(centre)),
            waterplane_m2: self.area * sign,
            flotation: frame.hull_from_water(Vec3::new(along, across, 0.0)),
            second_moment_long_m4: (self.second[0] - along * self.first[0]) * sign,
            second_moment_trans_m4: (self.second[1] - across * self.first[1]) * sign,
            wetted_m2: self.wetted,
            draft_m,
        }
    }
}

#[cfg(test)]
#[path = "hydrostatics/tests.rs"]
mod tests;
