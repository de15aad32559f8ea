//! Which corners are looked at.

use super::moved::Corner;
use super::random::Random;

/// Every way to put one of two signs in each of so many places.
pub fn signs(places: usize) -> impl Iterator<Item = Vec<f64>> {
    (0..1_usize << places).map(move |bits| {
        let sign = |place: usize| if bits >> place & 1 == 1 { 1.0 } else { -1.0 };
        (0..places).map(sign).collect()
    })
}

/// Loads and strength: heights, mass, centre and place fore and aft.
pub fn loads(stacks: usize) -> Vec<Corner> {
    let mut corners = Vec::new();
    for heights in signs(stacks) {
        for rest in signs(3) {
            corners.push(Corner {
                heights: heights.clone(),
                mass: rest[0],
                centre: [rest[1], 0.0, 0.0],
                placing: [rest[2], 0.0],
                near: 1.0,
                ..Corner::middle(stacks)
            });
        }
    }
    corners
}

/// Gaps and sizes: heights, the weight at either end, and the hull put and set towards the part.
pub fn gaps(stacks: usize) -> Vec<Corner> {
    let mut corners = Vec::new();
    for heights in signs(stacks) {
        for rest in signs(4) {
            corners.push(Corner {
                heights: heights.clone(),
                mass: 1.0,
                centre: [rest[0], 0.0, 0.0],
                placing: [rest[1], rest[2]],
                heel: rest[3],
                near: 1.0,
            });
        }
    }
    corners
}

/// Pads, holding and rolling over: the weight and where it acts, in every combination, level and leaning fore and aft.
pub fn pads(stacks: usize) -> Vec<Corner> {
    let lean = |by: f64| {
        let at = |i: usize| by * (1.0 - 2.0 * i as f64 / (stacks.max(2) - 1) as f64);
        (0..stacks).map(at).collect::<Vec<f64>>()
    };
    let mut corners = Vec::new();
    for heights in [vec![0.0; stacks], lean(1.0), lean(-1.0)] {
        for rest in signs(6) {
            corners.push(Corner {
                heights: heights.clone(),
                mass: rest[0],
                centre: [rest[1], rest[2], rest[3]],
                placing: [rest[1], rest[4]],
                heel: rest[5],
                near: 1.0,
            });
        }
    }
    corners
}

/// All of them.
pub fn all(stacks: usize) -> Vec<Corner> {
    [loads(stacks), gaps(stacks), pads(stacks)].concat()
}

/// The fewest that find the same.
pub fn few(stacks: usize) -> Vec<Corner> {
    all(stacks)
}

/// So many places in the whole box: half of them corners, the others anywhere.
pub fn anywhere(stacks: usize, count: usize, random: &mut Random) -> Vec<Corner> {
    (0..count)
        .map(|i| {
            let mut part = || {
                let at = random.within(-1.0, 1.0);
                if i % 2 == 0 { at.signum() } else { at }
            };
            Corner {
                heights: (0..stacks).map(|_| part()).collect(),
                mass: part(),
                centre: [part(), part(), part()],
                placing: [part(), part()],
                heel: part(),
                near: part().abs(),
            }
        })
        .collect()
}
