//! How far the surface may be elsewhere, where it is widest open, and what would narrow it.

use super::keel::{self, LowerEdge};
use super::kind::{MeasureKind as K, Place};
use super::measures::{Given, Measures};
use super::plan::{Below, COLUMNS, Steering};
use super::reading::read;
use super::solve::{Left, Seen, Solved, Untaken, by_number};
use super::space::{Figure, Space};
use super::surface::{Slope, Spot, Surface};
use super::{CONFIDENCE, Estimate, Next};
use crate::loft::vector::{Vec3, even, length, scale};
use keelstead_units::quantity::Unit;

/// How far any boat's skin is from a fair one: plating, fairing, paint. A part for the size, a part
/// for all: common practice, no source.
const UNFAIR_M: f64 = 0.004;
const UNFAIR_SHARE: f64 = 0.0006;
/// The power in which spreads are summed to weigh a measure: the widest places count, not only the
/// widest of all.
const WIDEST: i32 = 8;
/// How many measures are named to take next.
const NAMED: usize = 3;

/// A point of the boat, and how it moves square to its surface.
struct Probe {
    part: &'static str,
    at: Vec3,
    seen: Seen,
}

/// The shape tolerance and what it comes from, in the frame of the measures.
pub(super) struct Spread {
    pub tolerance_m: f64,
    pub part: &'static str,
    pub at: Vec3,
    pub next: Vec<Next>,
}

/// What is not measured, as the boat has it.
pub(super) fn estimates(
    space: &Space,
    solved: &Solved,
    given: &[Given],
    hung_m3: f64,
) -> Vec<Estimate> {
    let surface = Surface {
        plan: space.plan(),
        shape: &solved.shape,
    };
    K::ALL
        .into_iter()
        .filter(|k| !k.at_places() && k.fits(space.plan().family))
        .filter(|k| !given.iter().any(|g| g.kind == *k))
        .filter_map(|kind| {
            let reading = read(&surface, kind, None, hung_m3)?;
            let direction = by_number(&solved.slopes, &reading.slope.0);
            let variance = Left::variance(&solved.left.seen(direction));
            Some(Estimate {
                kind,
                value: reading.value,
                tolerance: CONFIDENCE * variance.sqrt(),
            })
        })
        .collect()
}

/// The spread of the boats that have the measures.
pub(super) fn spread(
    space: &Space,
    solved: &Solved,
    given: &[Given],
    measures: &Measures,
) -> Spread {
    let probes = probes(space, solved);
    let spreads: Vec<f64> = probes
        .iter()
        .map(|probe| Left::variance(&probe.seen).sqrt())
        .collect();
    let (worst, widest) = spreads
        .iter()
        .copied()
        .enumerate()
        .fold((0, 0.0), |a, b| if b.1 > a.1 { b } else { a });
    // What the family cannot meet, the boat is off by at least.
    let unmet = given
        .iter()
        .zip(&solved.readings)
        .filter(|(g, _)| g.kind.unit() == Unit::Length)
        .filter_map(|(g, r)| Some((r.as_ref()?.value - g.value).abs() - g.tolerance))
        .fold(0.0, f64::max);
    let fixed = UNFAIR_M + UNFAIR_SHARE * measures.length_m + unmet;
    let (part, at) = probes
        .get(worst)
        .map_or(("body", [0.0; 3]), |probe| (probe.part, probe.at));
    Spread {
        tolerance_m: CONFIDENCE * widest + fixed,
        part,
        at,
        next: next(space, solved, given, measures, &probes, &spreads, fixed),
    }
}

/// The measures that narrow the widest place most.
fn next(
    space: &Space,
    solved: &Solved,
    given: &[Given],
    measures: &Measures,
    probes: &[Probe],
    spreads: &[f64],
    fixed_m: f64,
) -> Vec<Next> {
    let surface = Surface {
        plan: space.plan(),
        shape: &solved.shape,
    };
    let size = |sds: &mut dyn Iterator<Item = f64>| sds.map(|sd| sd.powi(WIDEST)).sum::<f64>();
    let now = size(&mut spreads.iter().copied());
    let widest = spreads.iter().copied().fold(0.0, f64::max);
    let mut all: Vec<(f64, Next)> = untaken(space, solved, given, measures)
        .into_iter()
        .filter_map(|one| {
            let reading = read(&surface, one.kind, one.at, 0.0).filter(|r| r.there)?;
            let seen = solved
                .left
                .seen(by_number(&solved.slopes, &reading.slope.0));
            let sd = one.tolerance / CONFIDENCE;
            let total = Left::variance(&seen) + sd * sd;
            let after: Vec<f64> = probes
                .iter()
                .zip(spreads)
                .map(|(probe, now)| {
                    let shared = Left::covariance(&probe.seen, &seen);
                    (now * now - shared * shared / total).max(0.0).sqrt()
                })
                .collect();
            let then = size(&mut after.iter().copied());
            let widest = after.iter().copied().fold(0.0, f64::max);
            let next = Next {
                kind: one.kind,
                at: one.at,
                tolerance_m: CONFIDENCE * widest + fixed_m,
            };
            (then < 0.98 * now).then_some((then, next))
        })
        .collect();
    // What brings down the tolerance comes first; among measures that do so alike, what narrows the
    // hull as a whole.
    let steps = |next: &Next| (20.0 * next.tolerance_m / (CONFIDENCE * widest + fixed_m)).round();
    all.sort_by(|a, b| {
        let (x, y) = (steps(&a.1), steps(&b.1));
        x.total_cmp(&y).then(a.0.total_cmp(&b.0))
    });
    // One of a kind: two places side by side say the same.
    let mut next: Vec<Next> = Vec::new();
    for (_, one) in all {
        if next.len() < NAMED && !next.iter().any(|n| n.kind == one.kind) {
            next.push(one);
        }
    }
    next
}

/// Measures that could be taken next, at places on a round of the tape.
fn untaken(space: &Space, solved: &Solved, given: &[Given], measures: &Measures) -> Vec<Untaken> {
    let family = space.plan().family;
    let mut all = Vec::new();
    for kind in K::ALL {
        if !kind.fits(family) || kind.unit() != Unit::Length {
            continue;
        }
        let mut add = |at| {
            all.push(Untaken {
                kind,
                at,
                tolerance: measures.tolerance(kind, 0.0),
            });
        };
        if !kind.at_places() {
            if !given.iter().any(|g| g.kind == kind) {
                add(None);
            }
            continue;
        }
        for share in [0.03, 0.12, 0.25, 0.4, 0.55, 0.7, 0.82, 0.9, 0.95] {
            let round = |x: f64| (x * 20.0).round() / 20.0;
            let station_m = round(share * measures.length_m);
            let place = |height_m, off_m| {
                Some(Place {
                    station_m,
                    height_m,
                    off_m,
                })
            };
            let half = 0.5 * measures.hull_breadth_m.unwrap_or(measures.beam_m);
            let top = solved.shape.point(space.plan().sheer(), 0)[2];
            match kind {
                K::HalfBreadth => {
                    add(place(None, None));
                    for level in [0.3, 0.5, 0.7, 0.85] {
                        add(place(Some(round(level * top)), None));
                    }
                }
                K::BottomHeight => {
                    for off in [0.0, 0.2, 0.45, 0.7] {
                        add(place(None, Some(round(off * half))));
                    }
                }
                _ => add(place(None, None)),
            }
        }
    }
    all
}

/// Points all over the parts that matter: sides, ends, keel, rudder, bridge deck.
fn probes(space: &Space, solved: &Solved) -> Vec<Probe> {
    let surface = Surface {
        plan: space.plan(),
        shape: &solved.shape,
    };
    let mut probes = Probes {
        solved,
        surface,
        all: Vec::new(),
    };
    // The very ends of the side are edges: they are looked at in the centreplane.
    for strip in 0..space.plan().strips.len() {
        for u in even(24) {
            for v in even(8) {
                let spot = Spot { strip, u, v };
                if let Some(normal) = surface.outward(spot) {
                    probes.point("body", spot, normal);
                }
            }
        }
    }
    probes.ends();
    probes.hung();
    probes.all
}

struct Probes<'a> {
    solved: &'a Solved,
    surface: Surface<'a>,
    all: Vec<Probe>,
}

impl Probes<'_> {
    fn point(&mut self, part: &'static str, spot: Spot, direction: Vec3) {
        let mut slope = Slope::none(self.surface.shape);
        self.surface.add_motion(&mut slope, spot, direction);
        self.slope(part, self.surface.point(spot), &slope);
    }

    fn slope(&mut self, part: &'static str, at: Vec3, slope: &Slope) {
        let direction = by_number(&self.solved.slopes, &slope.0);
        let seen = self.solved.left.seen(direction);
        self.all.push(Probe { part, at, seen });
    }

    /// Centreline, stem and after end, square to themselves in the centreplane; the sheer up and
    /// down.
    fn ends(&mut self) {
        let surface = self.surface;
        for aft in [false, true] {
            for hit in surface.profile(aft).into_iter().step_by(3) {
                let run = surface.profile_slope(hit.spot);
                let square = [-run[2], 0.0, run[0]];
                let l = length(square);
                if l > 1e-9 {
                    self.point("body", hit.spot, scale(square, 1.0 / l));
                }
            }
        }
        let top = surface.plan.strips.len() - 1;
        for u in even(COLUMNS * 2) {
            let spot = Spot {
                strip: top,
                u,
                v: 1.0,
            };
            self.point("body", spot, [0.0, 0.0, 1.0]);
        }
    }

    fn figures(&mut self, part: &'static str, at: Vec3, moved: &[(Figure, f64)]) {
        let mut slope = Slope::none(self.surface.shape);
        for (figure, share) in moved {
            slope.0[self.surface.shape.place(*figure)] += share;
        }
        self.slope(part, at, &slope);
    }

    /// The lower edge of a long keel, square to itself: it rises slowly, so what its toe is off fore and
    /// aft, it is off by little in height.
    fn lower_edge(&mut self, part: &'static str) {
        let edge = LowerEdge::of(&self.surface);
        let (fore, top) = (edge.fore_m(), edge.top[0]);
        for share in [0.02, 0.15, 0.3, 0.45, 0.6, 0.75, 0.9] {
            let x = fore + (top - fore) * share;
            let (Some(mut under), Some(ahead)) =
                (keel::under(&self.surface, x), edge.under(x + 1e-3))
            else {
                continue;
            };
            let climb = (ahead - under.value) / 1e-3;
            let level = 1.0 / (1.0 + climb * climb).sqrt();
            under.slope.0.iter_mut().for_each(|s| *s *= level);
            self.slope(part, [x, 0.0, under.value], &under.slope);
        }
    }

    /// Keel, rudder and bridge deck.
    fn hung(&mut self) {
        let (plan, shape) = (self.surface.plan, self.surface.shape);
        let of = |figure| shape.figure(figure);
        if plan.below != Below::Nothing {
            let part = if plan.family == super::Family::SkegWorkboat {
                "skeg"
            } else {
                "keel"
            };
            let (start, keel) = (of(Figure::KeelStart), of(Figure::KeelLength));
            self.figures(part, [start, 0.0, 0.0], &[(Figure::KeelStart, 1.0)]);
            let ends = [(Figure::KeelStart, 1.0), (Figure::KeelLength, 1.0)];
            let fore = [start + keel, 0.0, 0.0];
            if plan.below == Below::Fin {
                self.figures(part, fore, &ends);
            } else {
                self.lower_edge(part);
            }
            let side = [start + 0.5 * keel, 0.5 * of(Figure::KeelWidth), 0.0];
            self.figures(part, side, &[(Figure::KeelWidth, 0.5)]);
        }
        if plan.steering == Steering::Spade {
            let at = [of(Figure::RudderStart), 0.0, of(Figure::RudderFoot)];
            self.figures("rudder", at, &[(Figure::RudderStart, 1.0)]);
            self.figures("rudder", at, &[(Figure::RudderFoot, 1.0)]);
        }
        if plan.twin.is_some() {
            let at = [
                0.5 * self.surface.point(Spot {
                    strip: 0,
                    u: 1.0,
                    v: 0.0,
                })[0],
                0.0,
                of(Figure::Bridge),
            ];
            self.figures("bridge-deck", at, &[(Figure::Bridge, 1.0)]);
            let apart = [at[0], 0.5 * of(Figure::Spacing), 0.0];
            self.figures("body", apart, &[(Figure::Spacing, 0.5)]);
        }
    }
}
