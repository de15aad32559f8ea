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

/// Levels and leans of so many stacks that no combination of ends has: all as stated, and rising evenly either way. A
/// boat on stacks in line with her keel changes there from one pair of stacks to another.
fn in_line(stacks: usize) -> Vec<Vec<f64>> {
    let lean = |by: f64| {
        let at = |i: usize| by * (1.0 - 2.0 * i as f64 / (stacks.max(2) - 1) as f64);
        (0..stacks).map(at).collect()
    };
    vec![vec![0.0; stacks], lean(1.0), lean(-1.0)]
}

/// The fewest that find what is to be found.
///
/// - **Heights: every combination of ends.** A load is linear in the heights as long as the same stacks carry, and grows
///   with its own; whether another's height adds or takes depends on which side of the bed's middle it stands, and on which
///   stacks carry. So no sign can be left out beforehand. The hull's height and trim come from the two stacks that bear,
///   and are linear in both heights: a gap, too, is worst at an end. Beside the ends, [`in_line`]: there it changes which
///   two bear, and with it span, overhang, balance.
/// - **Mass: both ends.** Load, push and pressure grow with it; what stays open between keel and stack shrinks with it.
/// - **The centre's height goes with the mass.** All that it makes worse, the greater mass makes worse: pads, holding,
///   rolling over. It moves the weight sideways only in a heeled boat, and there the mass does not matter.
/// - **Centre fore and aft, and place fore and aft, each by itself.** Both shift the weight over the stacks, but the place
///   also moves the keel over them: on a sloping keel that is another height, and another bearing.
/// - **Sideways, all to one side**: weight to port in the boat, the boat to port, and heeled to port. All bring weight over
///   the same side, and the skin nearer to the same parts of the rig.
/// - **Parts nearer, skin fuller: only that end.** The other makes every gap wider.
///
/// So 16 (2^n + 3) corners for n stacks.
pub fn few(stacks: usize) -> Vec<Corner> {
    let heights = signs(stacks).chain(in_line(stacks));
    heights
        .flat_map(|heights| with_the_rest(&heights))
        .collect()
}

fn with_the_rest(heights: &[f64]) -> Vec<Corner> {
    let rest = signs(4).map(|rest| {
        let [mass, centre, placed, port] = [rest[0], rest[1], rest[2], rest[3]];
        Corner {
            heights: heights.to_vec(),
            mass,
            centre: [centre, port, mass],
            placing: [placed, port],
            heel: -port,
            near: 1.0,
        }
    });
    rest.collect()
}

/// The few and more, to find what the few do not: up to three stacks with each at either end or as stated, everything
/// but the heights in every combination, and as many again anywhere in the box.
pub fn thorough(stacks: usize) -> Vec<Corner> {
    let mut corners = few(stacks);
    if stacks <= 3 {
        let between = thirds(stacks).filter(|h| h.contains(&0.0));
        corners.extend(between.flat_map(|heights| with_the_rest(&heights)));
    }
    for heights in in_line(stacks) {
        for rest in signs(7) {
            corners.push(Corner {
                heights: heights.clone(),
                mass: rest[0],
                centre: [rest[1], rest[2], rest[3]],
                placing: [rest[4], rest[5]],
                heel: rest[6],
                near: 1.0,
            });
        }
    }
    let more = anywhere(stacks, corners.len() / 2, &mut Random::new(stacks as u64));
    corners.extend(more);
    corners
}

/// Every way to put either end or the middle in each of so many places.
fn thirds(places: usize) -> impl Iterator<Item = Vec<f64>> {
    (0..3_usize.pow(places as u32)).map(move |mut code| {
        (0..places)
            .map(|_| {
                let at = code % 3;
                code /= 3;
                at as f64 - 1.0
            })
            .collect()
    })
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
