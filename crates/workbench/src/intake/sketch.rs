//! What boats of a family look like: outlines of the family's own surface, from the side and from
//! above.

use keelstead_boat::family::{Family, Measures, fit};
use keelstead_boat::hull::HullPart;
use keelstead_geometry::mesh::Mesh;
use serde::{Deserialize, Serialize};

/// Stations along an outline.
const STATIONS: usize = 48;

/// Outlines of a family's parts; as long as the boat is 1, x forward from 0.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sketch {
    /// The family.
    pub family: Family,
    /// Each part from the side: x and height.
    pub side: Vec<Vec<[f32; 2]>>,
    /// The body from above: x and distance to port.
    pub plan: Vec<[f32; 2]>,
}

/// Sketches of all families; one whose surface cannot be had is left out.
pub(crate) fn sketches() -> Vec<Sketch> {
    Family::ALL.into_iter().filter_map(sketch).collect()
}

fn sketch(family: Family) -> Option<Sketch> {
    let (length_m, beam_m) = family.usual_size_m();
    let fitted = fit(family, &Measures::new(length_m, beam_m)).ok()?;
    let aft = |part: &HullPart| part.mesh.aabb().mins.x;
    let body = fitted.parts.first()?;
    let scale = |x: f64, y: f64| [((x - aft(body)) / length_m) as f32, (y / length_m) as f32];
    let side = fitted
        .parts
        .iter()
        .map(|part| outline(&part.mesh, |v| v[2], scale))
        .filter(|outline| outline.len() > 2);
    Some(Sketch {
        family,
        side: side.collect(),
        plan: outline(&body.mesh, |v| v[1], scale),
    })
}

/// The outline of a mesh along its stations: the greatest of `across` going forward, the least coming
/// back.
fn outline(
    mesh: &Mesh,
    across: impl Fn([f64; 3]) -> f64,
    scale: impl Fn(f64, f64) -> [f32; 2],
) -> Vec<[f32; 2]> {
    let bounds = mesh.aabb();
    let (from, to) = (bounds.mins.x, bounds.maxs.x);
    let step = (to - from) / (STATIONS - 1) as f64;
    if step <= 0.0 {
        return Vec::new();
    }
    let mut reach = [[f64::INFINITY, f64::NEG_INFINITY]; STATIONS];
    let vertices = mesh.vertices();
    for triangle in mesh.triangles() {
        for (a, b) in [(0, 1), (1, 2), (2, 0)] {
            let [a, b] = [a, b].map(|i: usize| vertices[triangle[i] as usize].to_array());
            let (a, b) = if a[0] <= b[0] { (a, b) } else { (b, a) };
            let first = ((a[0] - from) / step).ceil().max(0.0) as usize;
            let last = ((b[0] - from) / step).floor() as usize;
            let crossed = reach.iter_mut().enumerate().take(last + 1).skip(first);
            for (station, [low, high]) in crossed {
                let x = from + step * station as f64;
                let part = if b[0] > a[0] {
                    (x - a[0]) / (b[0] - a[0])
                } else {
                    0.0
                };
                let at = across(a) + part * (across(b) - across(a));
                *low = low.min(at);
                *high = high.max(at);
            }
        }
    }
    let met = reach
        .iter()
        .enumerate()
        .filter(|(_, [low, high])| low <= high);
    let points = |pick: usize| {
        let met = met.clone();
        met.map(move |(station, ends)| (from + step * station as f64, ends[pick]))
    };
    let back: Vec<(f64, f64)> = points(0).collect();
    points(1)
        .chain(back.into_iter().rev())
        .map(|(x, y)| scale(x, y))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_family_has_a_sketch_as_long_as_it_is() {
        let all = sketches();
        assert_eq!(all.len(), Family::ALL.len());
        for sketch in all {
            let word = sketch.family.word();
            let reach = |pick: usize, outline: &[[f32; 2]]| {
                let values = outline.iter().map(|point| point[pick]);
                let most = values.clone().fold(f32::MIN, f32::max);
                most - values.fold(f32::MAX, f32::min)
            };
            let long = reach(0, &sketch.plan);
            assert!((0.9..=1.05).contains(&long), "{word}: {long}");
            let (length_m, beam_m) = sketch.family.usual_size_m();
            let wide = f64::from(reach(1, &sketch.plan)) * length_m / beam_m;
            assert!((0.9..=1.1).contains(&wide), "{word}: {wide} of its beam");
            assert!(!sketch.side.is_empty(), "{word}");
        }
    }
}
