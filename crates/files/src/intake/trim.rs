//! What speaks for a trim: a waterline that the file names, a long straight keel, large flats.
//!
//! A shape alone does not tell how a boat floats: many keels have drag, many soles drain aft. So a trim is only
//! proposed where two things that know nothing of each other agree, or a waterline is named; where one speaks for it
//! alone, it is told and left.

use keelstead_geometry::math::Vec3;
use keelstead_units::quantity::Sentence;

use super::soup::Soup;
use super::{Answers, Proposal};

/// Stations along the boat at which the keel is looked at.
const STATIONS: usize = 200;
/// A keel is straight if it keeps within this part of the boat's length from its chord.
const STRAIGHT: f64 = 0.000_5;
/// A straight keel that says something is at least this part of the boat's length.
const LONG: f64 = 0.25;
/// The steepest trim that is looked for, as a slope: 15 degrees.
const STEEPEST: f64 = 0.27;
/// Slopes that differ no more than this agree, rad: a third of a degree.
const AGREE_RAD: f64 = 0.006;
/// Less is no trim, rad: a twentieth of a degree.
const LEVEL_RAD: f64 = 0.000_9;
/// A flat that says something is at least this part of length by beam.
const LARGE: f64 = 0.01;
/// Flats lie in one plane within this part of the boat's length.
const ONE_PLANE: f64 = 0.002;

/// Something that would be level if the boat were.
#[derive(Debug, Clone)]
struct Sign {
    slope_rad: f64,
    /// Height where x is zero.
    height: f64,
    says: String,
}

/// Points told to be level tell the trim if they lie this part of the boat's length apart fore and aft.
const APART: f64 = 0.2;
/// A boat that is trimmed more, as a slope, was not meant: 30 degrees.
const TOLD: f64 = 0.577;

/// Whether two points that a person says are level, hull directions, can tell the trim of a boat of this length.
///
/// # Errors
/// What is wrong with them.
pub(super) fn tell_of_trim([a, b]: [Vec3; 2], length: f64) -> Result<(), Sentence> {
    let way = b - a;
    if way.x.abs() < APART * length {
        return Err("two points that are level, but abreast of each other: they tell no trim; take one near the bow and one near the stern".into());
    }
    if way.z.abs() > TOLD * way.x.abs() {
        return Err("two points that are level, but one is far above the other".into());
    }
    Ok(())
}

/// The trim of an upright mesh, its middle plane at y = 0. `body` tells which triangles are of the hull itself;
/// `level` are the points that a person says are level, hull directions.
pub(super) fn trim(
    soup: &Soup,
    body: impl Fn(usize) -> bool,
    level: Option<[Vec3; 2]>,
    answers: &Answers,
) -> Proposal<f64> {
    if let Some(trim_rad) = answers.trim_rad {
        return Proposal::decided(trim_rad, "as told");
    }
    if let Some([a, b]) = level {
        let (aft, fore) = if a.x <= b.x { (a, b) } else { (b, a) };
        let trim_rad = (fore.z - aft.z).atan2(fore.x - aft.x);
        return Proposal::decided(trim_rad, "the two points told are level then");
    }
    if let Some(sign) = waterline(soup) {
        return Proposal::decided(real(sign.slope_rad), sign.says);
    }
    let triangles = || {
        (0..soup.triangles.len())
            .filter(|&i| body(i))
            .map(|i| soup.corners(i))
    };
    let ends = [Vec3::splat(f64::INFINITY), Vec3::splat(f64::NEG_INFINITY)];
    let [low, high] = triangles()
        .flatten()
        .fold(ends, |[lo, hi], p| [lo.min(p), hi.max(p)]);
    let [from, to] = [low.x, high.x];
    let beam = high.y - low.y;
    let length = to - from;
    if length.is_nan() || length <= 0.0 {
        return Proposal::decided(0.0, "nothing speaks for a trim: left as it is");
    }
    let keel = keel(triangles(), from, length);
    let middle = 0.5 * (from + to);
    let at = |sign: &Sign| sign.height + sign.slope_rad.tan() * middle;
    let mut signs: Vec<Sign> = keel.into_iter().collect();
    for flat in flats(triangles(), length, beam) {
        // A flat bottom is its own keel, and says nothing more.
        if signs
            .iter()
            .all(|s| (at(s) - at(&flat)).abs() > 0.01 * length)
        {
            signs.push(flat);
        }
    }
    agreed(&signs)
}

fn real(slope_rad: f64) -> f64 {
    if slope_rad.abs() > LEVEL_RAD {
        slope_rad
    } else {
        0.0
    }
}

/// What the signs say together.
fn agreed(signs: &[Sign]) -> Proposal<f64> {
    let all = || {
        let each: Vec<&str> = signs.iter().map(|s| s.says.as_str()).collect();
        each.join("; ")
    };
    let pair = signs.iter().enumerate().find_map(|(i, a)| {
        let other = signs[i + 1..]
            .iter()
            .find(|b| (a.slope_rad - b.slope_rad).abs() <= AGREE_RAD)?;
        Some((a, other))
    });
    if let Some((a, b)) = pair {
        let mean = 0.5 * (a.slope_rad + b.slope_rad);
        return Proposal::decided(real(mean), format!("{}; {}", a.says, b.says));
    }
    match signs {
        [] => Proposal::decided(
            0.0,
            "no long straight keel and no large flat speaks for a trim: left as it is",
        ),
        [one] if real(one.slope_rad) == 0.0 => Proposal::decided(0.0, all()),
        _ => {
            let mut choices = vec![0.0];
            choices.extend(
                signs
                    .iter()
                    .map(|s| s.slope_rad)
                    .filter(|s| real(*s) != 0.0),
            );
            Proposal {
                value: Some(0.0),
                choices,
                because: format!("{}, which may be how she is built: left as it is", all()).into(),
            }
        }
    }
}

/// The slope of a part whose name says that it is the waterline or the boot top.
fn waterline(soup: &Soup) -> Option<Sign> {
    const WORDS: [&str; 6] = ["waterline", "boot top", "boottop", "boot_top", "dwl", "lwl"];
    let index = soup.names.iter().position(|name| {
        let name = name.to_lowercase();
        WORDS.iter().any(|word| name.contains(word))
    })?;
    let mut places = Vec::new();
    for (triangle, _) in soup
        .triangles
        .iter()
        .zip(&soup.part)
        .filter(|(_, p)| **p == index as u32)
    {
        for p in triangle.map(|i| soup.positions[i as usize]) {
            places.push((p.x, p.z));
        }
    }
    let (slope, height) = line(places.into_iter())?;
    let slope_rad = slope.atan();
    Some(Sign {
        slope_rad,
        height,
        says: format!(
            "\"{}\" lies {} in the file",
            soup.names[index],
            lies(slope_rad)
        ),
    })
}

/// Slope and height of the line that fits places best.
fn line(places: impl Iterator<Item = (f64, f64)>) -> Option<(f64, f64)> {
    let (mut n, mut sums) = (0.0, [0.0; 4]);
    for (x, z) in places {
        n += 1.0;
        sums = [sums[0] + x, sums[1] + z, sums[2] + x * x, sums[3] + x * z];
    }
    let slope = (n * sums[3] - sums[0] * sums[1]) / (n * sums[2] - sums[0] * sums[0]);
    let height = (sums[1] - slope * sums[0]) / n;
    (slope.is_finite() && height.is_finite()).then_some((slope, height))
}

fn lies(slope_rad: f64) -> String {
    if real(slope_rad) == 0.0 {
        return "level".into();
    }
    let way = if slope_rad > 0.0 { "up" } else { "down" };
    format!("{:.2} degrees bow {way}", slope_rad.to_degrees().abs())
}

/// The longest straight run of the lowest surface along the centreline.
fn keel(triangles: impl Iterator<Item = [Vec3; 3]>, from: f64, length: f64) -> Option<Sign> {
    // A hair off the middle, where meshes have edges.
    let y = 1e-5 * length;
    let step = length / STATIONS as f64;
    let mut lowest = vec![f64::INFINITY; STATIONS + 1];
    let mut highest = f64::NEG_INFINITY;
    for corners in triangles {
        let mut ends = [Vec3::ZERO; 3];
        let mut count = 0;
        for i in 0..3 {
            let (a, b) = (corners[i], corners[(i + 1) % 3]);
            if (a.y < y) != (b.y < y) {
                ends[count] = a + (b - a) * ((y - a.y) / (b.y - a.y));
                count += 1;
            }
        }
        if count != 2 {
            continue;
        }
        let [a, b] = if ends[0].x <= ends[1].x {
            [ends[0], ends[1]]
        } else {
            [ends[1], ends[0]]
        };
        highest = highest.max(a.z).max(b.z);
        let first = ((a.x - from) / step).ceil().max(0.0) as usize;
        let last = (((b.x - from) / step).floor() as usize).min(STATIONS);
        for (station, low) in lowest.iter_mut().enumerate().take(last + 1).skip(first) {
            let x = from + step * station as f64;
            let share = if b.x > a.x {
                (x - a.x) / (b.x - a.x)
            } else {
                0.0
            };
            *low = low.min(a.z + (b.z - a.z) * share);
        }
    }
    let bottom = lowest.iter().copied().fold(f64::INFINITY, f64::min);
    let [i, j] = longest_straight(
        &lowest,
        STRAIGHT * length,
        bottom + 0.5 * (highest - bottom),
    )?;
    let run = (j - i) as f64 * step;
    if run < LONG * length {
        return None;
    }
    // Where the run ends the keel begins to bend.
    let ends = (j - i) / 10;
    let straight = (i + ends..=j - ends).map(|k| (from + step * k as f64, lowest[k]));
    let (slope, height) = line(straight)?;
    let slope_rad = slope.atan();
    (slope.abs() <= STEEPEST).then(|| Sign {
        slope_rad,
        height,
        says: format!(
            "the keel is straight over {:.0} % of the length and lies {}",
            100.0 * run / length,
            lies(slope_rad)
        ),
    })
}

/// First and last of the longest run of heights no farther than `tolerance` from the line through its ends.
fn longest_straight(heights: &[f64], tolerance: f64, below: f64) -> Option<[usize; 2]> {
    let straight = |i: usize, j: usize| {
        let (a, b) = (heights[i], heights[j]);
        (i..=j).all(|k| {
            let line = a + (b - a) * (k - i) as f64 / (j - i).max(1) as f64;
            heights[k] <= below && (heights[k] - line).abs() <= tolerance
        })
    };
    let mut best: Option<[usize; 2]> = None;
    for i in 0..heights.len() {
        let from = best.map_or(i + 2, |[a, b]| i + (b - a) + 1);
        for j in from..heights.len() {
            if straight(i, j) {
                best = Some([i, j]);
            }
        }
    }
    best
}

/// The largest flats that run square across the boat and nearly level, largest first.
fn flats(triangles: impl Iterator<Item = [Vec3; 3]>, length: f64, beam: f64) -> Vec<Sign> {
    let mut level: Vec<(f64, f64, f64)> = triangles
        .filter_map(|[a, b, c]| {
            let normal = (b - a).cross(c - a);
            let area = 0.5 * normal.length();
            let normal = normal.try_normalize()?;
            let slope = -normal.x / normal.z;
            let middle = (a + b + c) / 3.0;
            (normal.y.abs() < 0.01 && slope.abs() <= STEEPEST).then_some((
                slope,
                middle.z - slope * middle.x,
                area,
            ))
        })
        .collect();
    level.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found: Vec<(f64, Sign)> = Vec::new();
    // Of one slope first, then of one height.
    for same in level.chunk_by_mut(|a, b| b.0 - a.0 <= 0.1 * AGREE_RAD) {
        // A bottom with rocker has every slope, and is no flat.
        if same
            .last()
            .zip(same.first())
            .is_some_and(|(b, a)| b.0 - a.0 > AGREE_RAD)
        {
            continue;
        }
        same.sort_by(|a, b| a.1.total_cmp(&b.1));
        for flat in same.chunk_by(|a, b| b.1 - a.1 <= ONE_PLANE * length) {
            let area: f64 = flat.iter().map(|f| f.2).sum();
            if area < LARGE * length * beam {
                continue;
            }
            let mean = |of: fn(&(f64, f64, f64)) -> f64| {
                flat.iter().map(|f| of(f) * f.2).sum::<f64>() / area
            };
            let slope_rad = mean(|f| f.0).atan();
            let share = 100.0 * area / (length * beam);
            let says = format!(
                "a flat of {share:.0} % of length by beam lies {}",
                lies(slope_rad)
            );
            let height = mean(|f| f.1);
            found.push((
                area,
                Sign {
                    slope_rad,
                    height,
                    says,
                },
            ));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.into_iter().map(|(_, sign)| sign).take(4).collect()
}
