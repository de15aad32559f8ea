//! The lower edge of a long keel: a straight underside, then a curve through the forefoot that ends in
//! the hull.

use super::reading::{HAND_M, Reading};
use super::space::{Figure, Shape};
use super::surface::{Slope, Surface};
use crate::loft::vector::mix;

/// Rise of the underside from its after to its forward end, as a part of its length.
const RISE: f64 = 0.006;

/// The lower edge of a long keel, stations and heights in the frame of the measures, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LowerEdge {
    /// After end of the underside.
    pub aft: f64,
    /// Forward end of the underside, and its height.
    fore: [f64; 2],
    /// Where the edge meets the hull.
    pub top: [f64; 2],
    /// Station of the curve's middle control point.
    middle: f64,
    /// How late it rises: see [`Figure::Toe`].
    toe: f64,
}

impl LowerEdge {
    /// That of a boat.
    pub(super) fn of(surface: &Surface<'_>) -> Self {
        let top = Self::station_of_top(surface.shape);
        let z = surface
            .profile_at_station(false, top)
            .map_or_else(|| surface.profile_end()[2], |hit| hit.p[2]);
        Self::to(surface.shape, z)
    }

    fn station_of_top(shape: &Shape) -> f64 {
        let of = |figure| shape.figure(figure);
        let fore = of(Figure::KeelStart) + of(Figure::KeelLength).max(0.05);
        let forefoot = of(Figure::Forefoot).max(fore + 0.05);
        let foot = shape.point(0, super::plan::COLUMNS - 1)[0];
        (forefoot + of(Figure::RootFore).max(0.05)).min(foot.max(forefoot + 0.05))
    }

    /// The edge that meets the hull at a height.
    fn to(shape: &Shape, top_z: f64) -> Self {
        let of = |figure| shape.figure(figure);
        let aft = of(Figure::KeelStart);
        let fore = aft + of(Figure::KeelLength).max(0.05);
        let forefoot = of(Figure::Forefoot).max(fore + 0.05);
        let top = Self::station_of_top(shape);
        let rise = (RISE * (fore - aft)).min(0.4 * HAND_M);
        let top_z = top_z.max(HAND_M + 0.03);
        // How far along the curve a hand's breadth is reached, and the control point that puts the
        // forefoot there.
        let toe = of(Figure::Toe).clamp(0.0, 0.9);
        let hand = (HAND_M - rise) / (top_z - rise);
        let square = if toe < 1e-6 {
            hand
        } else {
            let even = 1.0 - toe;
            ((even * even + 4.0 * toe * hand).sqrt() - even) / (2.0 * toe)
        };
        let s = square.sqrt();
        let t = 1.0 - s;
        let middle = (forefoot - s * s * top - t * t * fore) / (2.0 * s * t).max(1e-6);
        Self {
            aft,
            fore: [fore, rise],
            top: [top, top_z],
            middle: middle.max(fore).min(top),
            toe,
        }
    }

    /// Forward end of the underside.
    pub(super) fn fore_m(&self) -> f64 {
        self.fore[0]
    }

    /// The point at a share from the forward end aft.
    pub(super) fn at(&self, chord: f64) -> [f64; 2] {
        let share = self.share();
        if chord < share {
            self.front(chord / share)
        } else {
            let t = (chord - share) / (1.0 - share);
            [mix(self.fore[0], self.aft, t), mix(self.fore[1], 0.0, t)]
        }
    }

    fn share(&self) -> f64 {
        let run = (self.top[0] - self.fore[0]) / (self.top[0] - self.aft);
        run.clamp(0.05, 0.95)
    }

    /// The curve from the hull (0) to the forward end of the underside (1).
    fn front(&self, t: f64) -> [f64; 2] {
        let s = 1.0 - t;
        let ([x0, z0], [x1, z1]) = (self.top, self.fore);
        [
            s * s * x0 + 2.0 * s * t * self.middle + t * t * x1,
            z1 + (z0 - z1) * s * s * (1.0 - self.toe + self.toe * s * s),
        ]
    }

    /// Height over the lowest point at a station; none where there is no keel.
    pub(super) fn under(&self, x: f64) -> Option<f64> {
        if !(x >= self.aft && x < self.top[0]) {
            return None;
        }
        if x <= self.fore[0] {
            return Some(self.fore[1] * (x - self.aft) / (self.fore[0] - self.aft));
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..40 {
            let t = 0.5 * (low + high);
            if self.front(t)[0] > x {
                low = t;
            } else {
                high = t;
            }
        }
        Some(self.front(high)[1])
    }
}

/// Height of the underside at a station, and how it changes with the boat.
pub(super) fn under(surface: &Surface<'_>, x: f64) -> Option<Reading> {
    const STEP: f64 = 1e-4;
    let shape = surface.shape;
    let edge = LowerEdge::of(surface);
    let value = edge.under(x)?;
    let mut slope = Slope::none(shape);
    for figure in [
        Figure::KeelStart,
        Figure::KeelLength,
        Figure::Forefoot,
        Figure::RootFore,
        Figure::Toe,
    ] {
        let place = shape.place(figure);
        let moved = |by: f64| {
            let mut shape = shape.clone();
            shape.v[place] += by;
            let surface = Surface {
                shape: &shape,
                ..*surface
            };
            LowerEdge::of(&surface).under(x)
        };
        if let (Some(ahead), Some(behind)) = (moved(STEP), moved(-STEP)) {
            slope.0[place] = (ahead - behind) / (2.0 * STEP);
        }
    }
    // The hull's bottom carries the end of the edge with it.
    if let Some(hit) = surface.profile_at_station(false, edge.top[0]) {
        let lifted = |by: f64| LowerEdge::to(shape, edge.top[1] + by).under(x);
        if let (Some(ahead), Some(behind)) = (lifted(STEP), lifted(-STEP)) {
            let share = (ahead - behind) / (2.0 * STEP);
            surface.add_motion(&mut slope, hit.spot, [0.0, 0.0, share]);
        }
    }
    Some(Reading {
        value,
        slope,
        there: true,
    })
}
