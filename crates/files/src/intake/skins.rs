//! Skins that run side by side: a hull exported with its inside, or scanned twice.

use keelstead_geometry::math::Aabb;
use keelstead_geometry::mesh::Mesh;
use keelstead_units::quantity::{Quantity, Sentence};

use super::orient::{Shell, Sides, orient};
use super::soup::Soup;
use super::symmetry::samples;
use super::{Answers, Proposal, Skin, SkinPair};

/// A skin is no farther from the other than this part of the boat's length: 100 mm of 5 m.
const NEAR: f64 = 0.02;
/// So much of a skin runs beside the other.
const BESIDE: f64 = 0.9;
/// Only the largest shells are looked at.
const LOOKED_AT: usize = 6;

/// The pairs of shells of which one runs inside the other all along.
pub(super) fn pairs(soup: &Soup, sides: &Sides) -> Vec<SkinPair> {
    let [low, high] = soup.bounds();
    let length = (high - low).max_element();
    let count = sides.shells.len().min(LOOKED_AT);
    let mut meshes: Vec<Option<Option<Mesh>>> = vec![None; count];
    let mut pairs: Vec<SkinPair> = Vec::new();
    for i in 0..count {
        for j in i + 1..count {
            if !alike(&sides.shells[i], &sides.shells[j], length) {
                continue;
            }
            for k in [i, j] {
                if meshes[k].is_none() {
                    meshes[k] = Some(mesh(soup, sides, k));
                }
            }
            let (Some(Some(a)), Some(Some(b))) = (&meshes[i], &meshes[j]) else {
                continue;
            };
            // Skins that touch are parts side by side, or one skin that was cut in two.
            let Some(apart) = beside(a, b, length).zip(beside(b, a, length)) else {
                continue;
            };
            let (outer, inner) = if spread(&sides.shells[i]) >= spread(&sides.shells[j]) {
                (i, j)
            } else {
                (j, i)
            };
            pairs.push(SkinPair {
                outer,
                inner,
                apart: 0.5 * (apart.0 + apart.1),
            });
        }
    }
    pairs
}

fn spread(shell: &Shell) -> f64 {
    (0..3).map(|k| shell.max[k] - shell.min[k]).sum()
}

/// Whether two shells fill nearly the same box.
fn alike(a: &Shell, b: &Shell, length: f64) -> bool {
    let near = |k: usize| {
        (a.min[k] - b.min[k]).abs() <= 2.0 * NEAR * length
            && (a.max[k] - b.max[k]).abs() <= 2.0 * NEAR * length
    };
    let long = (0..3).any(|k| a.max[k] - a.min[k] > 0.5 * length);
    long && (0..3).all(near) && a.area < 2.0 * b.area && b.area < 2.0 * a.area
}

fn mesh(soup: &Soup, sides: &Sides, shell: usize) -> Option<Mesh> {
    let of = soup.triangles.iter().zip(&sides.shell_of);
    let triangles = of
        .filter(|(_, s)| **s as usize == shell)
        .map(|(t, _)| *t)
        .collect();
    Mesh::new(soup.positions.clone(), triangles).ok()
}

/// How far the first runs from the second in the mean, if it runs beside it nearly everywhere.
fn beside(of: &Mesh, to: &Mesh, length: f64) -> Option<f64> {
    let places = samples(of);
    let ways: Vec<f64> = places
        .iter()
        .map(|&p| (to.nearest_to(p) - p).length())
        .filter(|way| *way <= NEAR * length)
        .collect();
    let enough = ways.len() as f64 >= BESIDE * places.len() as f64 && !ways.is_empty();
    enough.then(|| ways.iter().sum::<f64>() / ways.len() as f64)
}

/// Which skin is proposed to be kept.
pub(super) fn proposal(pairs: &[SkinPair], answers: &Answers) -> Proposal<Skin> {
    let all = vec![Skin::Outer, Skin::Both, Skin::Inner];
    match (pairs, answers.skin) {
        (_, Some(told)) => Proposal::decided(told, "as told"),
        ([], None) => Proposal::decided(Skin::Both, "no two skins run side by side"),
        (_, None) => Proposal {
            value: Some(Skin::Outer),
            choices: all,
            because: "only the outer skin comes near anything, and two skins would displace twice"
                .into(),
        },
    }
}

/// Takes out the skins that are not kept; `scale` is the length of the soup's unit, m.
pub(super) fn taken_out(
    soup: &mut Soup,
    sides: &mut Sides,
    pairs: &[SkinPair],
    keep: Skin,
    scale: f64,
    [changed, left]: [&mut Vec<Sentence>; 2],
) {
    let mut gone = vec![false; sides.shells.len()];
    for pair in pairs {
        let apart = Quantity::thickness(scale * pair.apart);
        let found = Sentence::new("Two skins").figure(apart).words("apart");
        match keep {
            Skin::Both => left.push(found.words("were left as they are.")),
            Skin::Outer => changed.push(found.words(": the inner one taken out.")),
            Skin::Inner => changed.push(found.words(": the outer one taken out.")),
        }
        match keep {
            Skin::Both => {}
            Skin::Outer => gone[pair.inner] = true,
            Skin::Inner => gone[pair.outer] = true,
        }
    }
    if !gone.contains(&true) || gone.iter().all(|g| *g) {
        return;
    }
    let shell_of = &sides.shell_of;
    soup.keep(|i| !gone[shell_of[i] as usize]);
    *sides = orient(soup);
}

/// Thickness of a shell that is closed and thin, an outer and an inner skin joined at the rim, in the soup's unit as it
/// is now: the shells of `sides` may have been measured before it was scaled or turned.
pub(super) fn wall(soup: &Soup, sides: &Sides) -> Option<f64> {
    let largest = sides.shells.first()?;
    if !largest.closed || sides.shared_edges > 0 {
        return None;
    }
    // Triangles after those that have a shell close openings for volume: no skin.
    let skin = (0..sides.shell_of.len()).filter(|&i| sides.shell_of[i] == 0);
    let mut volume = 0.0;
    let mut area = 0.0;
    let mut bounds = Aabb::new_invalid();
    for [a, b, c] in skin.map(|i| soup.corners(i)) {
        volume += a.dot(b.cross(c)) / 6.0;
        area += 0.5 * (b - a).cross(c - a).length();
        for corner in [a, b, c] {
            bounds.take_point(corner);
        }
    }
    let thickness = 2.0 * f64::abs(volume) / area;
    let length = bounds.extents().max_element();
    (thickness > 0.0 && thickness < 0.01 * length).then_some(thickness)
}
