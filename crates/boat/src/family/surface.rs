//! A hull side as a surface: its points, its cuts across, and how they move with the control points.

use super::plan::{COLUMNS, Plan};
use super::space::Shape;
use crate::loft::vector::{Vec3, add, cross, dot, even, scale};

/// Steps across a strake in which a cut is looked at.
const STEPS: usize = 12;

/// Weights of the control points of a Bézier curve at `t`, and of its slope.
fn weights(count: usize, t: f64) -> ([f64; COLUMNS], [f64; COLUMNS]) {
    let mut w = [0.0; COLUMNS];
    let mut slope = [0.0; COLUMNS];
    w[0] = 1.0;
    for degree in 1..count {
        if degree + 1 == count {
            // The slope's weights are differences of those one degree lower.
            let n = degree as f64;
            for k in 0..=degree {
                let before = if k > 0 { w[k - 1] } else { 0.0 };
                let here = if k < degree { w[k] } else { 0.0 };
                slope[k] = n * (before - here);
            }
        }
        for k in (0..=degree).rev() {
            let before = if k > 0 { w[k - 1] } else { 0.0 };
            let here = if k < degree { w[k] } else { 0.0 };
            w[k] = t * before + (1.0 - t) * here;
        }
    }
    (w, slope)
}

/// The point of a line at a share along it.
fn on_line(line: &[Vec3; COLUMNS], u: f64) -> Vec3 {
    let (w, _) = weights(COLUMNS, u);
    line.iter()
        .zip(w)
        .fold([0.0; 3], |p, (control, w)| add(p, scale(*control, w)))
}

/// A point of the side: strake, share along and share across.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub strip: usize,
    pub u: f64,
    pub v: f64,
}

/// A point of a cut and where it lies.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hit {
    pub spot: Spot,
    pub p: Vec3,
}

/// The side of a boat.
#[derive(Clone, Copy)]
pub(super) struct Surface<'a> {
    pub plan: &'a Plan,
    pub shape: &'a Shape,
}

/// How a figure changes with the control points and figures of a boat.
#[derive(Debug, Clone)]
pub(super) struct Slope(pub Vec<f64>);

impl Slope {
    pub(super) fn none(shape: &Shape) -> Self {
        Self(vec![0.0; shape.v.len()])
    }
}

/// A side's point with its two slopes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tangents {
    pub p: Vec3,
    pub along: Vec3,
    pub across: Vec3,
}

impl Tangents {
    /// Square to the surface, outward on the port side, not of unit length.
    pub(super) fn normal(&self) -> Vec3 {
        cross(self.across, self.along)
    }
}

impl Surface<'_> {
    fn span(&self, strip: usize) -> (usize, usize) {
        self.plan.strips[strip].rows
    }

    /// Control points of the line along the hull at share `v` across a strake.
    fn line(&self, strip: usize, v: f64) -> [Vec3; COLUMNS] {
        let (first, last) = self.span(strip);
        let (w, _) = weights(last - first + 1, v);
        let mut line = [[0.0; 3]; COLUMNS];
        for row in first..=last {
            for (c, p) in line.iter_mut().enumerate() {
                *p = add(*p, scale(self.shape.point(row, c), w[row - first]));
            }
        }
        line
    }

    /// Point and slopes at a spot.
    pub(super) fn tangents(&self, spot: Spot) -> Tangents {
        let (first, last) = self.span(spot.strip);
        let (wv, sv) = weights(last - first + 1, spot.v);
        let (wu, su) = weights(COLUMNS, spot.u);
        let mut t = Tangents {
            p: [0.0; 3],
            along: [0.0; 3],
            across: [0.0; 3],
        };
        for row in first..=last {
            for c in 0..COLUMNS {
                let p = self.shape.point(row, c);
                let (k, j) = (row - first, c);
                t.p = add(t.p, scale(p, wv[k] * wu[j]));
                t.along = add(t.along, scale(p, wv[k] * su[j]));
                t.across = add(t.across, scale(p, sv[k] * wu[j]));
            }
        }
        t
    }

    /// The point at a spot.
    pub(super) fn point(&self, spot: Spot) -> Vec3 {
        on_line(&self.line(spot.strip, spot.v), spot.u)
    }

    /// Adds to `slope` how `towards · point` changes, the point staying at its spot.
    pub(super) fn add_motion(&self, slope: &mut Slope, spot: Spot, towards: Vec3) {
        let (first, last) = self.span(spot.strip);
        let (wv, _) = weights(last - first + 1, spot.v);
        let (wu, _) = weights(COLUMNS, spot.u);
        for row in first..=last {
            for (c, w) in wu.iter().enumerate() {
                let at = Shape::at(row, c);
                let w = wv[row - first] * w;
                for (k, t) in towards.iter().enumerate() {
                    slope.0[at + k] += w * t;
                }
            }
        }
    }

    /// Share along at which a line stands at station `x`; none beyond its ends.
    fn along(line: &[Vec3; COLUMNS], x: f64) -> Option<f64> {
        if !(x >= line[0][0] && x <= line[COLUMNS - 1][0]) {
            return None;
        }
        let at = |u: f64| {
            let (w, s) = weights(COLUMNS, u);
            let of = |k: &[f64; COLUMNS]| (0..COLUMNS).map(|c| k[c] * line[c][0]).sum::<f64>();
            (of(&w) - x, of(&s))
        };
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        let mut u = (x - line[0][0]) / (line[COLUMNS - 1][0] - line[0][0]).max(1e-9);
        for _ in 0..40 {
            let (off, slope) = at(u);
            if off.abs() < 1e-10 {
                break;
            }
            if off > 0.0 {
                high = u;
            } else {
                low = u;
            }
            let newton = u - off / slope;
            u = if newton > low && newton < high {
                newton
            } else {
                0.5 * (low + high)
            };
        }
        Some(u)
    }

    /// The side's point at station `x` and share `v` across a strake.
    fn hit(&self, strip: usize, v: f64, x: f64) -> Option<Hit> {
        let line = self.line(strip, v);
        let u = Self::along(&line, x)?;
        Some(Hit {
            spot: Spot { strip, u, v },
            p: on_line(&line, u),
        })
    }

    /// The cut across at station `x`, from the centreline up to the sheer.
    pub(super) fn section(&self, x: f64) -> Vec<Hit> {
        let mut hits: Vec<Hit> = Vec::new();
        for strip in 0..self.plan.strips.len() {
            let mut before: Option<(f64, bool)> = None;
            for v in even(STEPS) {
                let here = self.hit(strip, v, x);
                if let Some((last, was)) = before
                    && was != here.is_some()
                {
                    hits.extend(self.end(strip, x, last, v, was));
                }
                before = Some((v, here.is_some()));
                hits.extend(here);
            }
        }
        hits
    }

    /// Where a cut begins or ends on stem or transom, between two shares across.
    fn end(&self, strip: usize, x: f64, mut a: f64, mut b: f64, in_at_a: bool) -> Option<Hit> {
        let mut found = None;
        for _ in 0..40 {
            let middle = 0.5 * (a + b);
            let hit = self.hit(strip, middle, x);
            if hit.is_some() == in_at_a {
                a = middle;
            } else {
                b = middle;
            }
            found = hit.or(found);
        }
        found
    }

    /// Where along a cut `of` first takes a value, from the centreline up; none if nowhere.
    pub(super) fn crossing(&self, x: f64, value: f64, of: impl Fn(Vec3) -> f64) -> Option<Hit> {
        let section = self.section(x);
        section.windows(2).find_map(|pair| {
            let (a, b) = (pair[0], pair[1]);
            let below = of(a.p) <= value;
            if below == (of(b.p) <= value) || a.spot.strip != b.spot.strip {
                return None;
            }
            // The chord of the two ends, an end that stays counting half: a few steps to rounding.
            let (mut low, mut high) = (a, b);
            let (mut off_low, mut off_high) = (of(a.p) - value, of(b.p) - value);
            for _ in 0..40 {
                let chord = off_high / (off_high - off_low);
                let share = if chord.is_finite() { chord } else { 0.5 };
                let v = high.spot.v - share * (high.spot.v - low.spot.v);
                let Some(middle) = self.hit(a.spot.strip, v, x) else {
                    break;
                };
                let off = of(middle.p) - value;
                if (off <= 0.0) == below {
                    (low, off_low, off_high) = (middle, off, 0.5 * off_high);
                } else {
                    (high, off_high, off_low) = (middle, off, 0.5 * off_low);
                }
                if off.abs() < 1e-10 {
                    return Some(middle);
                }
            }
            Some(high)
        })
    }

    /// The sheer at station `x`, or at its nearer end.
    pub(super) fn sheer(&self, x: f64) -> Hit {
        let strip = self.plan.strips.len() - 1;
        let line = self.line(strip, 1.0);
        let x = x.max(line[0][0]).min(line[COLUMNS - 1][0]);
        let u = Self::along(&line, x).unwrap_or(0.0);
        let spot = Spot { strip, u, v: 1.0 };
        Hit {
            spot,
            p: self.point(spot),
        }
    }

    /// The centreline from the foot of the after end along the bottom, then up the stem; with
    /// `aft`, from the middle of the bottom aft and up transom or sternpost.
    pub(super) fn profile(&self, aft: bool) -> Vec<Hit> {
        let mut spots = Vec::new();
        let lowest = even(48)
            .into_iter()
            .map(|u| {
                let spot = Spot {
                    strip: 0,
                    u,
                    v: 0.0,
                };
                (self.point(spot)[2], u)
            })
            .fold((f64::INFINITY, 0.0), |a, b| if b.0 < a.0 { b } else { a })
            .1;
        let end = if aft { 0.0 } else { 1.0 };
        for t in even(40) {
            spots.push(Spot {
                strip: 0,
                u: lowest + (end - lowest) * t,
                v: 0.0,
            });
        }
        for strip in 0..self.plan.strips.len() {
            for v in even(16).into_iter().skip(1) {
                spots.push(Spot { strip, u: end, v });
            }
        }
        spots
            .into_iter()
            .map(|spot| Hit {
                spot,
                p: self.point(spot),
            })
            .collect()
    }

    /// Where the profile first reaches a height; none if it never does.
    pub(super) fn profile_at_height(&self, aft: bool, height: f64) -> Option<Hit> {
        self.on_profile(aft, |p| p[2] > height)
    }

    /// Where the profile passes a station; none if it never does.
    pub(super) fn profile_at_station(&self, aft: bool, x: f64) -> Option<Hit> {
        self.on_profile(aft, |p| if aft { p[0] <= x } else { p[0] > x })
    }

    /// Where along the profile `past` first becomes true; none if it never does, or is from the start.
    fn on_profile(&self, aft: bool, past: impl Fn(Vec3) -> bool) -> Option<Hit> {
        let profile = self.profile(aft);
        profile.windows(2).find_map(|pair| {
            if past(pair[0].p) || !past(pair[1].p) {
                return None;
            }
            let (mut low, mut high) = (0.0, 1.0);
            let [a, b] = [pair[0].spot, pair[1].spot];
            // Over a join of two strakes the second begins where the first ends.
            let from = if a.strip == b.strip { a.v } else { 0.0 };
            let spot = |t: f64| Spot {
                strip: b.strip,
                u: a.u + (b.u - a.u) * t,
                v: from + (b.v - from) * t,
            };
            for _ in 0..40 {
                let t = 0.5 * (low + high);
                if past(self.point(spot(t))) {
                    high = t;
                } else {
                    low = t;
                }
            }
            let spot = spot(high);
            Some(Hit {
                spot,
                p: self.point(spot),
            })
        })
    }

    /// The head of the stem.
    pub(super) fn profile_end(&self) -> Vec3 {
        self.shape.point(self.plan.sheer(), COLUMNS - 1)
    }

    /// How a spot of the profile moves along it, and the same for the sheer: its slope with the share
    /// that runs along.
    pub(super) fn profile_slope(&self, spot: Spot) -> Vec3 {
        let t = self.tangents(spot);
        let on_end = spot.strip > 0 || spot.v > 0.0;
        if on_end { t.across } else { t.along }
    }

    /// The side as a grid of spots, `columns` by `rows` a strake.
    pub(super) fn spots(&self, columns: usize, rows: usize) -> Vec<Spot> {
        let mut spots = Vec::new();
        for strip in 0..self.plan.strips.len() {
            for u in even(columns) {
                for v in even(rows) {
                    spots.push(Spot { strip, u, v });
                }
            }
        }
        spots
    }

    /// A unit vector square to the surface at a spot, outward on the port side.
    pub(super) fn outward(&self, spot: Spot) -> Option<Vec3> {
        let n = self.tangents(spot).normal();
        let length = dot(n, n).sqrt();
        (length > 1e-9).then(|| scale(n, 1.0 / length))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_are_those_of_a_cubic() {
        let (w, s) = weights(4, 0.25);
        let expected = [0.421875, 0.421875, 0.140625, 0.015625];
        let slope = [-1.6875, 0.5625, 0.9375, 0.1875];
        for k in 0..4 {
            assert!((w[k] - expected[k]).abs() < 1e-12, "{w:?}");
            assert!((s[k] - slope[k]).abs() < 1e-12, "{s:?}");
        }
    }
}
