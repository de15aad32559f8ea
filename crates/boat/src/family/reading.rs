//! Measures as a surface has them, and how they change with it.

use super::kind::{MeasureKind as K, Place};
use super::plan::{Below, COLUMNS};
use super::space::{Figure, Shape};
use super::surface::{Hit, Slope, Spot, Surface};
use crate::loft::vector::{Vec3, even, length, scale, sub};
use keelstead_units::liquid::SEA_WATER_KG_M3;
use volume::half_volume;

mod volume;

/// A hand's breadth: where the underside has risen so far, the forefoot is.
pub(super) const HAND_M: f64 = 0.1;

/// A measure of a surface.
#[derive(Debug, Clone)]
pub(super) struct Reading {
    /// Its value, m or kg.
    pub value: f64,
    /// How it changes with the boat.
    pub slope: Slope,
    /// Whether the surface is there; if not, the value leads towards where it would be.
    pub there: bool,
}

/// What one boat measures. `hung_m3` is the volume under water of what hangs below the body.
pub(super) fn read(
    surface: &Surface<'_>,
    kind: K,
    at: Option<Place>,
    hung_m3: f64,
) -> Option<Reading> {
    let shape = surface.shape;
    let sheer = surface.plan.sheer();
    let last = COLUMNS - 1;
    let place = at.unwrap_or(Place {
        station_m: 0.0,
        height_m: None,
        off_m: None,
    });
    Some(match kind {
        K::Length => over_all(surface),
        K::Beam => {
            let mut beam = breadth(surface);
            if surface.plan.twin.is_some() {
                beam.value += shape.figure(Figure::Spacing);
                beam.slope.0[shape.place(Figure::Spacing)] += 1.0;
            }
            beam
        }
        K::HullBreadth => breadth(surface),
        K::Draft => figure(shape, Figure::Draft),
        K::KeelStart => figure(shape, Figure::KeelStart),
        K::KeelLength => figure(shape, Figure::KeelLength),
        K::KeelWidth => figure(shape, Figure::KeelWidth),
        K::RudderStart => figure(shape, Figure::RudderStart),
        K::RudderFoot => figure(shape, Figure::RudderFoot),
        K::BridgeHeight => figure(shape, Figure::Bridge),
        K::Forefoot if surface.plan.below == Below::Long => figure(shape, Figure::Forefoot),
        K::Forefoot => {
            let hit = surface.profile_at_height(false, HAND_M)?;
            along_profile(surface, hit, None)
        }
        K::WaterlineLength => {
            let draft = shape.figure(Figure::Draft);
            let fore = surface.profile_at_height(false, draft)?;
            let aft = surface.profile_at_height(true, draft)?;
            let fore = along_profile(surface, fore, Some(Figure::Draft));
            less(fore, &along_profile(surface, aft, Some(Figure::Draft)))
        }
        K::StemRake => {
            let draft = shape.figure(Figure::Draft);
            let fore = surface.profile_at_height(false, draft)?;
            let foot = along_profile(surface, fore, Some(Figure::Draft));
            less(control(shape, sheer, last, 0), &foot)
        }
        K::SternRake => less(control(shape, 0, 0, 0), &control(shape, sheer, 0, 0)),
        K::HeightBow => control(shape, sheer, last, 2),
        K::HeightStern => control(shape, sheer, 0, 2),
        K::TransomBreadth => twice(control(shape, sheer, 0, 1)),
        K::HeightMiddle => {
            let whole = over_all(surface);
            let mut height = at_sheer(surface, 0.5 * whole.value, 2);
            // The station moves as the boat grows.
            let along = surface
                .tangents(surface.sheer(0.5 * whole.value).spot)
                .along;
            let climb = if along[0].abs() > 1e-9 {
                along[2] / along[0]
            } else {
                0.0
            };
            for (s, l) in height.slope.0.iter_mut().zip(&whole.slope.0) {
                *s += 0.5 * climb * l;
            }
            height
        }
        K::HalfBreadth => half_breadth(surface, place)?,
        K::BottomHeight => bottom_height(surface, place)?,
        K::Girth => girth(surface, place.station_m)?,
        K::Highest | K::BeyondBow | K::BeyondStern | K::BeamOverAll => return None,
        K::Displacement => {
            let hulls = if surface.plan.twin.is_some() {
                2.0
            } else {
                1.0
            };
            let volume = half_volume(surface);
            let k = 2.0 * hulls * SEA_WATER_KG_M3;
            Reading {
                value: k * volume.m3 + SEA_WATER_KG_M3 * hung_m3,
                slope: Slope(volume.slope.0.iter().map(|s| k * s).collect()),
                there: true,
            }
        }
    })
}

fn figure(shape: &Shape, figure: Figure) -> Reading {
    let mut slope = Slope::none(shape);
    slope.0[shape.place(figure)] = 1.0;
    Reading {
        value: shape.figure(figure),
        slope,
        there: true,
    }
}

/// One coordinate of a control point that lies on the surface: a corner.
fn control(shape: &Shape, row: usize, column: usize, axis: usize) -> Reading {
    let mut slope = Slope::none(shape);
    slope.0[Shape::at(row, column) + axis] = 1.0;
    Reading {
        value: shape.point(row, column)[axis],
        slope,
        there: true,
    }
}

fn twice(mut reading: Reading) -> Reading {
    reading.value *= 2.0;
    reading.slope.0.iter_mut().for_each(|s| *s *= 2.0);
    reading
}

fn less(mut a: Reading, b: &Reading) -> Reading {
    a.value -= b.value;
    for (s, t) in a.slope.0.iter_mut().zip(&b.slope.0) {
        *s -= t;
    }
    a
}

fn towards(surface: &Surface<'_>, spot: Spot, value: f64, direction: Vec3) -> Reading {
    let mut slope = Slope::none(surface.shape);
    surface.add_motion(&mut slope, spot, direction);
    Reading {
        value,
        slope,
        there: true,
    }
}

/// Foremost less aftmost point of the body.
fn over_all(surface: &Surface<'_>) -> Reading {
    let end = |u: f64, sign: f64| {
        let spots = (0..surface.plan.strips.len())
            .flat_map(|strip| even(16).into_iter().map(move |v| Spot { strip, u, v }));
        let far = spots
            .map(|spot| (sign * surface.point(spot)[0], spot))
            .reduce(|a, b| if b.0 > a.0 { b } else { a });
        let (x, spot) = far.unwrap_or((
            0.0,
            Spot {
                strip: 0,
                u,
                v: 0.0,
            },
        ));
        towards(surface, spot, sign * x, [1.0, 0.0, 0.0])
    };
    less(end(1.0, 1.0), &end(0.0, -1.0))
}

/// Twice the greatest half-breadth.
///
/// Its slope is that of all places nearly as broad, the broadest most: where a hull is broadest may
/// jump from bilge to sheer, and a fit must be able to follow.
fn breadth(surface: &Surface<'_>) -> Reading {
    const NEARLY: f64 = 0.08;
    let spots: Vec<(f64, Spot)> = surface
        .spots(40, 16)
        .into_iter()
        .map(|spot| (surface.point(spot)[1], spot))
        .collect();
    let widest = spots.iter().map(|(y, _)| *y).fold(0.0, f64::max);
    let share = |y: f64| {
        let near = 1.0 - (widest - y) / (NEARLY * widest).max(1e-9);
        let near = near.max(0.0);
        near * near * near
    };
    let all: f64 = spots.iter().map(|(y, _)| share(*y)).sum();
    let mut slope = Slope::none(surface.shape);
    for (y, spot) in spots {
        let share = share(y) / all.max(1e-9);
        if share > 0.0 {
            surface.add_motion(&mut slope, spot, [0.0, share, 0.0]);
        }
    }
    twice(Reading {
        value: widest,
        slope,
        there: true,
    })
}

/// Station of a point of the profile that stays at its height, or at the height of a figure.
fn along_profile(surface: &Surface<'_>, hit: Hit, height: Option<Figure>) -> Reading {
    let run = surface.profile_slope(hit.spot);
    let lean = if run[2].abs() > 1e-9 {
        run[0] / run[2]
    } else {
        0.0
    };
    let mut reading = towards(surface, hit.spot, hit.p[0], [1.0, 0.0, -lean]);
    if let Some(figure) = height {
        reading.slope.0[surface.shape.place(figure)] += lean;
    }
    reading
}

/// A coordinate of the sheer at a station.
fn at_sheer(surface: &Surface<'_>, x: f64, axis: usize) -> Reading {
    let hit = surface.sheer(x);
    let along = surface.tangents(hit.spot).along;
    let mut direction = [0.0; 3];
    direction[axis] = 1.0;
    if along[0].abs() > 1e-9 {
        direction[0] -= along[axis] / along[0];
    }
    towards(surface, hit.spot, hit.p[axis], direction)
}

/// A coordinate of the surface where the other two stay: it moves as far along its axis as the
/// surface moves square to itself.
fn on_skin(surface: &Surface<'_>, hit: Hit, axis: usize) -> Reading {
    let normal = surface.tangents(hit.spot).normal();
    // Where the skin runs along the axis, a small motion moves it far: no figure to rely on.
    let least = 0.05 * length(normal);
    let along = if normal[axis].abs() < least {
        least.copysign(normal[axis])
    } else {
        normal[axis]
    };
    let direction = if along == 0.0 {
        [0.0; 3]
    } else {
        scale(normal, 1.0 / along)
    };
    towards(surface, hit.spot, hit.p[axis], direction)
}

fn half_breadth(surface: &Surface<'_>, place: Place) -> Option<Reading> {
    let x = place.station_m;
    let Some(z) = place.height_m else {
        return Some(at_sheer(surface, x, 1));
    };
    if let Some(hit) = surface.crossing(x, z, |p| p[2]) {
        return Some(on_skin(surface, hit, 1));
    }
    let section = surface.section(x);
    let (first, last) = (section.first()?, section.last()?);
    if z >= last.p[2] {
        // As far above the sheer as its height may be off, the deck's edge is meant; further up the surface is not there,
        // and the higher, the less, so that a fit raises the sheer.
        let above = z - last.p[2] - K::HeightMiddle.usual_tolerance();
        let mut edge = at_sheer(surface, x, 1);
        if above > 0.0 {
            edge.value -= above;
            edge.there = false;
            let rise = at_sheer(surface, x, 2);
            for (s, r) in edge.slope.0.iter_mut().zip(&rise.slope.0) {
                *s += r;
            }
        }
        return Some(edge);
    }
    // Below the skin there is nothing: less than nothing, the further below, so that a fit finds it.
    let mut beyond = towards(surface, first.spot, z - first.p[2], [0.0, 0.0, -1.0]);
    beyond.there = false;
    Some(beyond)
}

fn bottom_height(surface: &Surface<'_>, place: Place) -> Option<Reading> {
    let (x, off) = (place.station_m, place.off_m.unwrap_or(0.0));
    // Under a long keel its underside is what the tape finds.
    if surface.plan.below == Below::Long
        && off <= 0.5 * surface.shape.figure(Figure::KeelWidth)
        && let Some(under) = super::keel::under(surface, x)
    {
        return Some(under);
    }
    if off > 1e-6 {
        if let Some(hit) = surface.crossing(x, off, |p| p[1]) {
            return Some(on_skin(surface, hit, 2));
        }
        // Between the two sides of a raked transom, its plane is the bottom.
        let section = surface.section(x);
        let edge = section.first()?;
        if edge.spot.u > 0.5 || edge.p[1] < off {
            // Further out than the hull is broad: the higher, the further, so that a fit finds it.
            let wide = section
                .iter()
                .reduce(|a, b| if b.p[1] > a.p[1] { b } else { a })?;
            let value = wide.p[2] + off - wide.p[1];
            let mut beyond = towards(surface, wide.spot, value, [0.0, -1.0, 1.0]);
            beyond.there = false;
            return Some(beyond);
        }
    }
    [false, true]
        .into_iter()
        .find_map(|aft| surface.profile_at_station(aft, x))
        .map(|hit| {
            let run = surface.profile_slope(hit.spot);
            let climb = if run[0].abs() > 1e-9 {
                run[2] / run[0]
            } else {
                0.0
            };
            towards(surface, hit.spot, hit.p[2], [-climb, 0.0, 1.0])
        })
}

/// Along the cut from the sheer down to the centreline, or to the side of a keel.
fn girth(surface: &Surface<'_>, x: f64) -> Option<Reading> {
    let shape = surface.shape;
    let (start, keel) = (
        shape.figure(Figure::KeelStart),
        shape.figure(Figure::KeelLength),
    );
    let stands = surface.plan.below != Below::Nothing && x >= start && x <= start + keel;
    let from_y = if stands {
        0.5 * shape.figure(Figure::KeelWidth)
    } else {
        0.0
    };
    let hits: Vec<Hit> = surface
        .section(x)
        .into_iter()
        .filter(|hit| hit.p[1] >= from_y)
        .collect();
    let first = hits.first()?;
    let mut slope = Slope::none(shape);
    // What a short run from the keel's side to the first point is, is level.
    let mut sum = (first.p[1] - from_y).max(0.0);
    for pair in hits.windows(2) {
        let run = sub(pair[1].p, pair[0].p);
        let l = length(run);
        sum += l;
        if l < 1e-9 {
            continue;
        }
        let t = scale(run, 1.0 / l);
        for (hit, sign) in [(pair[1], 1.0), (pair[0], -1.0)] {
            // Points move square to the surface within the cut.
            let n = surface.tangents(hit.spot).normal();
            let in_cut = n[1] * n[1] + n[2] * n[2];
            if in_cut > 1e-12 {
                let share = sign * (t[1] * n[1] + t[2] * n[2]) / in_cut;
                surface.add_motion(&mut slope, hit.spot, scale(n, share));
            }
        }
    }
    if hits.len() < 2 {
        return None;
    }
    // The sheer's own motion along the cut.
    let (a, b) = (hits[hits.len() - 2], hits[hits.len() - 1]);
    let run = sub(b.p, a.p);
    let l = length(run);
    if l > 1e-9 {
        let t = scale(run, 1.0 / l);
        for axis in [1, 2] {
            let edge = at_sheer(surface, x, axis);
            for (s, e) in slope.0.iter_mut().zip(&edge.slope.0) {
                *s += t[axis] * e;
            }
        }
    }
    Some(Reading {
        value: sum,
        slope,
        there: true,
    })
}
