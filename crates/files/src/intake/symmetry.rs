//! The plane a boat is the same on both sides of.

use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;

/// Places on the surface that are mirrored and looked for.
const SAMPLES: usize = 600;
/// Most rounds of fitting the plane.
const ROUNDS: usize = 30;
/// Farthest the plane may tilt from the axis, as a cosine: 20 degrees. Farther is no boat's heel.
const LEAST_COSINE: f64 = 0.94;
/// Part of the samples that fits best: the rest may be gear that stands on one side only.
const TRUSTED: f64 = 0.9;

/// Directions tried for a boat that lies along no axis: eight degrees apart.
const DIRECTIONS: usize = 320;
/// Every so many of the samples does for a first look.
const COARSE: usize = 6;
/// Directions that are followed up.
const STARTS: usize = 8;
/// Across, a boat is at most this part as long as along.
const ACROSS: f64 = 0.8;

/// A plane and how well mirroring in it gives the same surface.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Mirror {
    /// Unit normal, nearly along the axis it was looked for on.
    pub normal: [f64; 3],
    /// Where it lies along the normal, in the mesh's unit.
    pub offset: f64,
    /// Mean distance from mirrored places to the surface, in the mesh's unit, of the nine tenths that
    /// fit best.
    pub misfit: f64,
}

impl Mirror {
    /// Its unit normal.
    pub(super) fn normal(&self) -> Vec3 {
        Vec3::from_array(self.normal)
    }

    /// The same plane with its normal along axis `k` rather than against it.
    pub(super) fn facing(self, k: usize) -> Self {
        if self.normal[k] >= 0.0 {
            return self;
        }
        Self {
            normal: self.normal.map(|c| -c),
            offset: -self.offset,
            ..self
        }
    }

    fn image(&self, p: Vec3) -> Vec3 {
        p - self.normal() * (2.0 * (self.normal().dot(p) - self.offset))
    }
}

/// Places spread evenly over a surface by area, always the same ones.
pub(super) fn samples(mesh: &Mesh) -> Vec<Vec3> {
    let corners = |t: &[u32; 3]| t.map(|i| mesh.vertices()[i as usize]);
    let spacing = mesh.area_m2() / SAMPLES as f64;
    if spacing <= 0.0 || !spacing.is_finite() {
        return Vec::new();
    }
    let mut samples = Vec::with_capacity(SAMPLES + 1);
    let mut walked = 0.5 * spacing;
    for triangle in mesh.triangles() {
        let [a, b, c] = corners(triangle);
        walked += 0.5 * (b - a).cross(c - a).length();
        while walked >= spacing && samples.len() <= SAMPLES {
            walked -= spacing;
            // The fractions of multiples of two irrational numbers spread evenly over the square,
            // folded over into the triangle.
            let i = samples.len() as f64;
            let (mut u, mut v) = ((i * 0.754_877_666).fract(), (i * 0.569_840_291).fract());
            if u + v > 1.0 {
                (u, v) = (1.0 - u, 1.0 - v);
            }
            samples.push(a + (b - a) * u + (c - a) * v);
        }
    }
    samples
}

/// The mirror plane near the one square to `axis` through the middle of the mesh, tilted at most as
/// far as the surface asks for.
pub(super) fn mirror(mesh: &Mesh, samples: &[Vec3], axis: usize) -> Mirror {
    let mut normal = Vec3::ZERO;
    normal[axis] = 1.0;
    let middle = mesh.aabb().center();
    let start = measured(mesh, samples, normal, middle[axis]).0;
    refined(mesh, samples, start, LEAST_COSINE)
}

/// A mirror plane fitted step by step, no farther from where it starts than a cosine tells.
fn refined(mesh: &Mesh, samples: &[Vec3], start: Mirror, least_cosine: f64) -> Mirror {
    let middle = mesh.aabb().center();
    let mut mirror = start;
    for _ in 0..ROUNDS {
        let (_, pairs) = measured(mesh, samples, mirror.normal(), mirror.offset);
        let Some((normal, offset)) = fitted(&pairs, &mirror, middle) else {
            break;
        };
        let next = measured(mesh, samples, normal, offset).0;
        if next.misfit >= mirror.misfit || normal.dot(start.normal()) < least_cosine {
            break;
        }
        mirror = next;
    }
    mirror
}

/// Mirror planes of any direction that `allowed` lets through, best first, none twice: for a boat that lies
/// along none of the file's axes.
pub(super) fn anywhere(
    mesh: &Mesh,
    samples: &[Vec3],
    allowed: impl Fn(Vec3) -> bool,
) -> Vec<Mirror> {
    let few: Vec<Vec3> = samples.iter().copied().step_by(COARSE).collect();
    let mut tried: Vec<(f64, Mirror)> = (0..DIRECTIONS)
        .map(|i| {
            // Points of a spiral over half a sphere, evenly spread.
            let z = (i as f64 + 0.5) / DIRECTIONS as f64;
            let (sin, cos) = (i as f64 * 2.399_963_229_728_653).sin_cos();
            let r = (1.0 - z * z).sqrt();
            Vec3::new(r * cos, r * sin, z)
        })
        .map(|normal| {
            let high = mesh.farthest(normal).dot(normal);
            let low = mesh.farthest(-normal).dot(normal);
            let offset = 0.5 * (low + high);
            (high - low, measured(mesh, &few, normal, offset).0)
        })
        .collect();
    let longest = tried.iter().map(|t| t.0).fold(0.0, f64::max);
    // The middle plane of a boat is never square to her length.
    tried.retain(|(reach, m)| *reach <= ACROSS * longest && allowed(m.normal()));
    tried.sort_by(|a, b| a.1.misfit.total_cmp(&b.1.misfit));
    let mut found: Vec<Mirror> = Vec::new();
    let starts = tried.into_iter().take(STARTS);
    let fine = starts.map(|(_, m)| measured(mesh, samples, m.normal(), m.offset).0);
    for mirror in fine.map(|m| refined(mesh, samples, m, LEAST_COSINE)) {
        let same = |m: &Mirror| m.normal().dot(mirror.normal()).abs() > LEAST_COSINE;
        match found.iter_mut().find(|m| same(m)) {
            Some(known) if mirror.misfit < known.misfit => *known = mirror,
            Some(_) => {}
            None => found.push(mirror),
        }
    }
    found.retain(|m| m.misfit.is_finite());
    found.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
    found
}

/// How well a plane mirrors, and the trusted pairs of a place and what lies nearest to its image.
fn measured(mesh: &Mesh, samples: &[Vec3], normal: Vec3, offset: f64) -> (Mirror, Vec<[Vec3; 2]>) {
    let mut mirror = Mirror {
        normal: normal.to_array(),
        offset,
        misfit: f64::INFINITY,
    };
    let mut pairs: Vec<(f64, [Vec3; 2])> = samples
        .iter()
        .map(|&p| {
            let image = mirror.image(p);
            let near = mesh.nearest_to(image);
            ((near - image).length(), [p, near])
        })
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    pairs.truncate(((samples.len() as f64) * TRUSTED).ceil() as usize);
    if !pairs.is_empty() {
        mirror.misfit = pairs.iter().map(|p| p.0).sum::<f64>() / pairs.len() as f64;
    }
    (mirror, pairs.into_iter().map(|p| p.1).collect())
}

/// A better plane: the step of Gauss and Newton on the squared distances, in two tilts about `about`
/// and the offset. How a distance changes with its place is the way from the surface to it.
fn fitted(pairs: &[[Vec3; 2]], mirror: &Mirror, about: Vec3) -> Option<(Vec3, f64)> {
    let normal = mirror.normal();
    let u = normal.any_orthonormal_vector();
    let v = normal.cross(u);
    let mut columns = [Vec3::ZERO; 3];
    let mut right = Vec3::ZERO;
    for [p, near] in pairs {
        let image = mirror.image(*p);
        let Some(way) = (image - near).try_normalize() else {
            continue;
        };
        let off = normal.dot(*p) - mirror.offset;
        let arm = p - about;
        let tilt = |t: Vec3| -2.0 * way.dot(normal * t.dot(arm) + t * off);
        let row = Vec3::new(tilt(u), tilt(v), 2.0 * way.dot(normal));
        for (k, column) in columns.iter_mut().enumerate() {
            *column += row * row[k];
        }
        right -= row * way.dot(image - near);
    }
    let [a, b, c] = columns;
    let determinant = a.dot(b.cross(c));
    let solve = |x: Vec3, y: Vec3, z: Vec3| x.dot(y.cross(z)) / determinant;
    let (tilt_u, tilt_v) = (solve(right, b, c), solve(a, right, c));
    let shift = solve(a, b, right);
    let turned = (normal + u * tilt_u + v * tilt_v).normalize();
    // The plane turned about the middle keeps its distance from there, but for the shift.
    let offset = turned.dot(about) + (mirror.offset - normal.dot(about)) + shift;
    (turned.is_finite() && offset.is_finite()).then_some((turned, offset))
}
