//! All of it: the weight shared, with every tolerance, and what beams, blocks and keel make of it.

use super::bend::{Burden, FreeBeam, ProppedBeam, diagram, spread};
use super::block_stack::BlockStack;
use super::corners::{self, Case, Sharing, Sinkage, Swept};
use super::share::{ElasticFoundation, ShareError, Shared, Spring};
use super::shims::{self, Shimming};
use crate::carrying::{Carried, Carrying, Force, KeelStation};
use keelstead_geometry::math::Point;
use keelstead_load::load::StrengthLimits;

/// What the boat weighs, along the keel. Stations in metres forward of the coupling.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightDistribution {
    /// Weight of the boat herself, N.
    pub hull_n: f64,
    /// How far that may be off, N.
    pub tolerance_n: f64,
    /// Where the boat's own weight acts, m.
    pub hull_x_m: f64,
    /// How far the centre of the boat's own weight may be off fore and aft, m; none if nobody said.
    pub tolerance_x_m: Option<f64>,
    /// What the load adds.
    pub extras: Vec<Burden>,
    /// Aft and fore end of the hull, m.
    pub ends_x_m: [f64; 2],
    /// The common centre. Trailer frame.
    pub centre: Point,
    /// How far that may be over the line athwart that she turns about as she is set down, m.
    pub height_m: f64,
}

impl WeightDistribution {
    /// Common weight and station of its centre, the boat's own weight scaled, its centre and the whole hull shifted.
    fn acting(&self, off: &Off) -> (f64, f64) {
        let extras = if off.with_extras {
            &self.extras[..]
        } else {
            &[]
        };
        let own = self.hull_n * off.scale;
        let all = own + extras.iter().map(|b| b.weight_n).sum::<f64>();
        let moment = own * (self.hull_x_m + off.centre_m)
            + extras.iter().map(|b| b.weight_n * b.x_m).sum::<f64>();
        (all * off.factor, moment / all + off.placed_m)
    }

    /// The boat's own weight along the keel, and what the load adds, as they are off.
    fn burdens(&self, off: &Off) -> Vec<Burden> {
        let [aft, fore] = self.ends_x_m;
        let own = spread(
            self.hull_n * off.scale * off.factor,
            self.hull_x_m + off.centre_m,
            aft,
            fore,
        );
        let extras = if off.with_extras {
            &self.extras[..]
        } else {
            &[]
        };
        let extras = extras.iter().map(|b| Burden {
            weight_n: b.weight_n * off.factor,
            ..*b
        });
        let moved = |b: Burden| Burden {
            x_m: b.x_m + off.placed_m,
            ..b
        };
        own.into_iter().chain(extras).map(moved).collect()
    }
}

/// A support under the hull.
#[derive(Debug, Clone, PartialEq)]
pub struct Site<'a> {
    /// Beam and stack.
    pub stand: BlockStack<'a>,
    /// Middle of where the keel bears. Trailer frame.
    pub at: Point,
    /// Half the length it bears over, m.
    pub half_length_m: f64,
    /// Length and mean width of keel that bear, m: together their area.
    pub bears_m: [f64; 2],
    /// From side to side of what bears, m.
    pub spread_m: f64,
    /// Gap to the rigid hull, m.
    pub gap_m: f64,
    /// How far the height of its top against the keel over it may be off, m, either way.
    pub height_tolerance_m: f64,
    /// Its stiffness with the keel turned on it as far bow up, and bow down, as she may be, N/m: less bears then.
    pub turned_n_per_m: [f64; 2],
    /// What is added to the gap where the hull was put as far aft, and as far forward, as she may be off, m.
    pub placed_gap_m: [f64; 2],
    /// Height that can be taken out: shims, m.
    pub removable_m: f64,
    /// Height that shims can still add, m.
    pub addable_m: f64,
    /// Share wanted.
    pub wanted: f64,
}

/// The supports of a load with what stands on them.
#[derive(Debug, Clone, PartialEq)]
pub struct Supports<'a> {
    /// Each beam that can be placed; none where the hull does not reach over it.
    pub sites: Vec<Option<Site<'a>>>,
    /// The weight.
    pub weighing: WeightDistribution,
    /// How exactly the hull can be put fore and aft, m.
    pub placing_m: f64,
    /// How far where the keel bears may move fore and aft on its stacks as she trims, m.
    pub bearing_moves_m: f64,
    /// How far from the middle of what bears she is stopped first, fore and aft, as she is set down turned, m.
    pub stopped_m: f64,
    /// Bending stiffness of the hull, N·m²; none takes it as rigid.
    pub hull_bending_n_m2: Option<f64>,
    /// The rails as a beam; none takes them as rigid.
    pub rails: Option<ProppedBeam>,
    /// What is asked.
    pub asked: StrengthLimits,
    /// Step of shims on hand, m.
    pub shim_step_m: f64,
}

/// What is off, and how far: the boat's weight, its centre, and where she was put.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Off {
    /// The boat's own weight over what it is said to be.
    scale: f64,
    /// Its centre forward of where it is said to be, m.
    centre_m: f64,
    /// The hull forward of where she is to stand, m.
    placed_m: f64,
    with_extras: bool,
    /// What all weight counts for, of what it is: more than one on the road.
    factor: f64,
}

const NOMINAL: Off = Off {
    scale: 1.0,
    centre_m: 0.0,
    placed_m: 0.0,
    with_extras: true,
    factor: 1.0,
};

/// The weight shared: what each support carries, how the hull has come down to it, and how far that may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// Loads, shares, uses.
    pub carrying: Carrying,
    /// How the hull has come down at rest.
    pub rest: Sinkage,
    /// The same with the road's factor on her weight.
    pub road: Sinkage,
    /// All that her sinkage at rest may be within the tolerances: the outline's corners.
    pub within: Vec<Sinkage>,
    /// All that she may come down more on the road: the outline's corners.
    pub more: Vec<Sinkage>,
    /// For each support that the hull reaches over, in order: its load, N, and how far she is turned bow down then from how she
    /// is set down, rad, before anything gives, at the corners of the outline of both.
    pub turned: Vec<Vec<[f64; 2]>>,
    /// Whether she tips at a corner of the tolerances.
    pub may_tip: bool,
    /// How far her weight surely acts within the outermost supports that carry, m.
    pub within_m: f64,
}

/// A stack that keeps this part of its stiffness with the keel turned on it is taken to keep it all.
const SOFTER: f64 = 0.9;

/// Stations of the keel's diagram.
const STATIONS: usize = 41;

struct Solving<'s, 'a> {
    supports: &'s Supports<'a>,
    there: Vec<&'s Site<'a>>,
    bed: ElasticFoundation,
    hull: Option<FreeBeam>,
}

impl<'a> Supports<'a> {
    /// Shares the weight and holds every part against what it may bear.
    ///
    /// # Errors
    /// [`ShareError`] where nothing can be shared: no support, the hull tips, a figure is no good.
    pub fn solve(&self) -> Result<Solved, ShareError> {
        self.solving()?.solved()
    }

    /// Loads, N, of the supports in their order, with the boat's own weight scaled and its centre moved forward, as the
    /// heights of the stacks are, and with every second one, or one half of them, too high and the others too low: what
    /// shares otherwise the most. Then those at which supports as wide as `widths_m`, m, hold her upright the least, either
    /// way, and those that supports closest to each other carry. Nought where the hull does not reach over one; none where
    /// nothing holds her. Beside them how far the centre is moved: where she would tip, no farther than to the last support.
    pub fn loads(
        &self,
        scale: f64,
        centre_m: f64,
        widths_m: &[f64],
    ) -> (f64, Vec<Option<Vec<f64>>>) {
        let Ok(solving) = self.solving() else {
            return (centre_m, vec![None]);
        };
        let off = solving.standing(Off {
            scale,
            centre_m,
            ..NOMINAL
        });
        let widths = self.sites.iter().zip(widths_m);
        let widths = widths.filter_map(|(site, width)| site.as_ref().map(|_| *width));
        let loads = solving.loads_otherwise(&off, &widths.collect::<Vec<_>>());
        let in_order = |loads: Vec<f64>| {
            let mut loads = loads.into_iter();
            let each = self.sites.iter();
            each.map(|s| s.as_ref().and_then(|_| loads.next()).unwrap_or(0.0))
                .collect()
        };
        let loads = loads.into_iter().map(|l| l.map(in_order)).collect();
        (off.centre_m, loads)
    }

    fn solving(&self) -> Result<Solving<'_, 'a>, ShareError> {
        let there: Vec<&Site> = self.sites.iter().flatten().collect();
        let first = there.iter().map(|s| s.at.x_m).fold(f64::MAX, f64::min);
        let clamp_x_m = first.min(self.weighing.ends_x_m[0]) - 1.0;
        let hull = self.hull_bending_n_m2.map(|bending_n_m2| FreeBeam {
            bending_n_m2,
            clamp_x_m,
        });
        Ok(Solving {
            bed: self.bed(&there, hull, |site| site.stand.stiffness_n_per_m)?,
            supports: self,
            there,
            hull,
        })
    }

    fn bed(
        &self,
        there: &[&Site],
        hull: Option<FreeBeam>,
        stiffness_n_per_m: impl Fn(&Site) -> f64,
    ) -> Result<ElasticFoundation, ShareError> {
        let springs = there.iter().map(|s| s.spring(stiffness_n_per_m(s)));
        let mut bed = ElasticFoundation::new(springs.collect())?;
        if let Some(hull) = hull {
            bed.give(|i, j| hull.moves(i, j));
        }
        if let Some(rails) = self.rails {
            bed.give(|i, j| rails.sinks(i, j));
        }
        Ok(bed)
    }
}

impl Site<'_> {
    fn spring(&self, stiffness_n_per_m: f64) -> Spring {
        Spring {
            x_m: self.at.x_m,
            half_length_m: self.half_length_m,
            gap_m: self.gap_m,
            stiffness_n_per_m,
        }
    }
}

impl Solving<'_, '_> {
    /// What is added to each gap: sag of a hull that bends, and what another place of the hull does.
    fn change(&self, off: &Off) -> Vec<f64> {
        let burdens = match self.hull {
            Some(_) => self.supports.weighing.burdens(off),
            None => Vec::new(),
        };
        let sag = |x_m: f64| self.hull.map_or(0.0, |hull| hull.sags(x_m, &burdens));
        let placed = |site: &Site| match off.placed_m {
            p if p < 0.0 => site.placed_gap_m[0],
            p if p > 0.0 => site.placed_gap_m[1],
            _ => 0.0,
        };
        let sites = self.there.iter();
        sites.map(|s| placed(s) - sag(s.at.x_m)).collect()
    }

    fn share(&self, off: &Off, like: &[f64]) -> Result<Shared, ShareError> {
        let (weight, x) = self.supports.weighing.acting(off);
        self.bed.share_like(weight, x, &self.change(off), like)
    }

    fn case(&self, off: &Off) -> Case {
        let (weight_n, x_m) = self.supports.weighing.acting(off);
        let change = self.change(off);
        let gaps = self.there.iter().zip(&change);
        Case {
            weight_n,
            x_m,
            height_m: self.supports.weighing.height_m,
            bearing_moves_m: 0.0,
            gaps_m: gaps.map(|(site, change)| site.gap_m + change).collect(),
        }
    }

    /// Weight, its centre and the hull's place at every corner of their tolerances, and the centre right over each inner
    /// support in between: one that stands high there carries the most. Each with the same of the road, unless that asks
    /// no more.
    fn cases(&self) -> Vec<(Case, Option<Case>)> {
        let factor = self.supports.asked.road_factor;
        let weighing = &self.supports.weighing;
        let heavier = weighing.tolerance_n / weighing.hull_n;
        let ends = |off: f64| {
            if off > 0.0 {
                vec![-off, off]
            } else {
                vec![0.0]
            }
        };
        let centre_m = weighing.tolerance_x_m.unwrap_or(0.0);
        let mut cases = Vec::with_capacity(12);
        for scale in ends(heavier) {
            for placed_m in ends(self.supports.placing_m) {
                let off = |centre_m: f64| Off {
                    scale: (1.0 + scale).max(0.01),
                    centre_m,
                    placed_m,
                    ..NOMINAL
                };
                let over = self.centres_over(&off(0.0)).into_iter();
                let over = over.filter(|over_m| over_m.abs() < centre_m);
                let over = over.map(|over_m| (over_m, 0.0));
                let moves_m = self.supports.bearing_moves_m;
                let ends = [(-centre_m, -moves_m), (centre_m, moves_m)];
                for (centre_m, bearing_moves_m) in ends.into_iter().chain(over) {
                    let off = off(centre_m);
                    let case = |off: &Off| Case {
                        bearing_moves_m,
                        ..self.case(off)
                    };
                    let on_the_road = Off { factor, ..off };
                    let road = (factor != 1.0).then(|| case(&on_the_road));
                    cases.push((case(&off), road));
                }
            }
        }
        cases
    }

    /// How far the boat's own centre lies forward of where it is said to be where all weight acts right over an inner
    /// support, m, for each of them.
    fn centres_over(&self, off: &Off) -> Vec<f64> {
        let mut stations: Vec<f64> = self.there.iter().map(|s| s.at.x_m).collect();
        stations.sort_by(f64::total_cmp);
        let (all_n, x_m) = self.supports.weighing.acting(off);
        let own_n = self.supports.weighing.hull_n * off.scale;
        let inner = stations.len().saturating_sub(1);
        let inner = stations.get(1..inner).unwrap_or(&[]);
        inner.iter().map(|at| (at - x_m) * all_n / own_n).collect()
    }

    fn sweep(&self, nominal: &Shared) -> Swept {
        let heights: Vec<f64> = self.there.iter().map(|s| s.height_tolerance_m).collect();
        let cases = self.cases();
        let mut swept = corners::sweep(&self.bed, &cases, &heights);
        for end in [0, 1] {
            let softer = |s: &Site| s.turned_n_per_m[end] < SOFTER * s.stand.stiffness_n_per_m;
            if !self.there.iter().any(|s| softer(s)) {
                continue;
            }
            // She turns so far that her keel bears on the edges of stacks, which then give more.
            let turned = |s: &Site| s.turned_n_per_m[end].min(s.stand.stiffness_n_per_m);
            if let Ok(bed) = self.supports.bed(&self.there, self.hull, turned) {
                swept.and(corners::sweep(&bed, &cases, &heights));
            }
        }
        for (range, load) in swept.range_n.iter_mut().zip(&nominal.load_n) {
            *range = (range.0.min(*load), range.1.max(*load));
        }
        // Set down turned, she is stopped by the end of a stack that is the higher under her, and stays over its middle.
        let rest = Sinkage::of(nominal);
        let stopped_m = self.supports.stopped_m;
        let over = swept.sinkages.iter().map(|sunk| Sinkage {
            at_coupling_m: sunk.at_coupling_m - stopped_m * sunk.less(rest).bow_down_rad.abs(),
            ..*sunk
        });
        let over: Vec<Sinkage> = over.collect();
        swept.sinkages.extend(over);
        swept.sinkages.push(rest);
        swept
    }

    /// The same, with the boat's own centre no farther off than to where she just stands on the last support.
    fn standing(&self, off: Off) -> Off {
        let (weight_n, x_m) = self.supports.weighing.acting(&off);
        let own_n = self.supports.weighing.hull_n * off.scale;
        let within_m = self.bed.just_within(x_m);
        Off {
            centre_m: off.centre_m + (within_m - x_m) * weight_n / own_n,
            ..off
        }
    }

    /// The loads of [`Supports::loads`], of supports that the hull reaches over.
    fn loads_otherwise(&self, off: &Off, widths_m: &[f64]) -> Vec<Option<Vec<f64>>> {
        let count = self.there.len();
        let mut sharing = Sharing::new(&self.bed);
        let stated = self.case(off);
        let mut shared = |ways: &dyn Fn(usize) -> f64| {
            let heights = self.there.iter().map(|site| site.height_tolerance_m);
            let gaps = stated.gaps_m.iter().zip(heights).enumerate();
            let case = Case {
                gaps_m: gaps.map(|(i, (gap, off))| gap - ways(i) * off).collect(),
                ..stated
            };
            Some(sharing.share(&case).ok()?.load_n)
        };
        let mut loads = vec![shared(&|_| 0.0)];
        // Two supports share by statics alone, whatever their heights.
        if count <= 2 {
            return loads;
        }
        for run in [1, count.div_ceil(2)] {
            for sign in [1.0, -1.0] {
                loads.push(shared(&|i| {
                    if (i / run).is_multiple_of(2) {
                        sign
                    } else {
                        -sign
                    }
                }));
            }
        }
        if count > corners::EVERY_SIGN {
            return loads;
        }
        let every = (0..1_usize << count).map(|bits| {
            let sign = |i: usize| if bits >> i & 1 == 1 { 1.0 } else { -1.0 };
            shared(&sign)
        });
        let every: Vec<Vec<f64>> = every.flatten().collect();
        let least = [-1.0, 1.0].map(|side| {
            // What holds her from going over to a side: each load as far out there as it may act.
            let holds = |loads: &[f64]| -> f64 {
                let sites = self.there.iter().zip(widths_m);
                let each = loads.iter().zip(sites);
                each.map(|(load, (site, width))| load * (side * site.at.y_m + width / 2.0))
                    .sum()
            };
            let least = every.iter().min_by(|a, b| holds(a).total_cmp(&holds(b)));
            least.cloned()
        });
        // What keeps her from turning bow up or down, as pads press her up more at one end: so they share otherwise.
        let spread = |loads: &[f64]| -> f64 {
            let sites = || loads.iter().zip(&self.there);
            let weight = loads.iter().sum::<f64>().max(f64::MIN_POSITIVE);
            let middle = sites().map(|(load, site)| load * site.at.x_m).sum::<f64>() / weight;
            let each = sites().map(|(load, site)| load * (site.at.x_m - middle).powi(2));
            each.sum()
        };
        let closest = every.iter().min_by(|a, b| spread(a).total_cmp(&spread(b)));
        for least in least.into_iter().chain([closest.cloned()]).flatten() {
            if !loads.contains(&Some(least.clone())) {
                loads.push(Some(least));
            }
        }
        loads
    }

    /// Loads with something off that may tip the hull: none then.
    fn loads(&self, off: &Off, like: &[f64]) -> Option<Vec<f64>> {
        Some(self.share(off, like).ok()?.load_n)
    }

    fn solved(&self) -> Result<Solved, ShareError> {
        let supports = self.supports;
        let weighing = &supports.weighing;
        let shared = self.share(&NOMINAL, &[])?;
        let (weight_n, x_m) = weighing.acting(&NOMINAL);
        let swept = self.sweep(&shared);
        let road = Off {
            factor: supports.asked.road_factor,
            ..NOMINAL
        };
        let road = self.share(&road, &shared.load_n)?;
        let carrying = self.carrying(&shared, &swept, weight_n, x_m);
        let (rest, road) = (Sinkage::of(&shared), Sinkage::of(&road));
        let more = swept.more.into_iter().chain([road.less(rest)]);
        Ok(Solved {
            carrying,
            rest,
            road,
            within: corners::outline(&swept.sinkages),
            more: corners::outline(&more.collect::<Vec<_>>()),
            turned: swept.turned,
            may_tip: swept.tips,
            within_m: swept.within_m,
        })
    }

    fn carrying(&self, shared: &Shared, swept: &Swept, weight_n: f64, x_m: f64) -> Carrying {
        let supports = self.supports;
        let weighing = &supports.weighing;
        let change = self.change(&NOMINAL);
        let ranges = &swept.range_n;
        let shifted = |sign: f64| {
            let centre_m = sign * weighing.tolerance_x_m?;
            self.loads(
                &Off {
                    centre_m,
                    ..NOMINAL
                },
                &shared.load_n,
            )
        };
        let (aft, fore) = (shifted(-1.0), shifted(1.0));
        let heavy = self.loads(
            &Off {
                scale: 1.0 + weighing.tolerance_n / weighing.hull_n,
                ..NOMINAL
            },
            &shared.load_n,
        );
        let dry = (!weighing.extras.is_empty()).then(|| {
            self.loads(
                &Off {
                    with_extras: false,
                    ..NOMINAL
                },
                &shared.load_n,
            )
        });
        let dry = dry.flatten();
        let advice = self.advice(shared, &change, weight_n, x_m);
        let mut there = 0;
        let carried = supports.sites.iter().map(|site| {
            let Some(site) = site else {
                return idle();
            };
            let i = there;
            there += 1;
            let load_n = shared.load_n[i];
            let (least_n, most_n) = ranges[i];
            Carried {
                load_n,
                share: load_n / weight_n,
                // A stack pulls nothing down: less is rounding.
                least_n: least_n.max(0.0),
                most_n,
                aft_n: aft.as_ref().map(|p| p[i]),
                fore_n: fore.as_ref().map(|p| p[i]),
                heavy_n: heavy.as_ref().map(|p| p[i]),
                without_extra_n: dry.as_ref().map(|p| p[i]),
                force: Force {
                    at: site.at,
                    x_n: 0.0,
                    y_n: 0.0,
                    z_n: load_n,
                },
                gap_m: Some(shared.left_m[i]),
                gives_m: load_n / site.stand.stiffness_n_per_m,
                stiffness_n_per_m: site.stand.stiffness_n_per_m,
                stiffness_known: site.stand.stiffness_known,
                bearing_length_m: site.bears_m[0],
                bearing_width_m: site.bears_m[1],
                bearing_area_m2: site.bears_m[0] * site.bears_m[1],
                bearing_spread_m: site.spread_m,
                shim_m: advice.as_ref().map(|a| a.add_m[i]),
                shimmed_n: advice.as_ref().map(|a| a.shared.load_n[i]),
                uses: site.stand.uses(load_n, most_n, &supports.asked),
            }
        });
        let carried: Vec<Carried> = carried.collect();
        let arms = self.bed.springs().iter().map(|s| s.x_m - x_m);
        let residual_nm = if self.there.len() > 1 {
            shared.load_n.iter().zip(arms).map(|(p, a)| p * a).sum()
        } else {
            0.0
        };
        let stretches = self.stretches(|i| shared.load_n[i] > 0.0);
        let stretches_most = swept.sets.iter().fold(stretches, |most, set| {
            let found = self.stretches(|i| set >> i.min(63) & 1 == 1);
            std::array::from_fn(|k| most[k].max(found[k]))
        });
        let [longest_span_m, bow_overhang_m, stern_overhang_m] = stretches;
        Carrying {
            weight_n,
            centre: weighing.centre,
            supports: carried,
            keel: self.keel(&shared.load_n, x_m),
            longest_span_m,
            bow_overhang_m,
            stern_overhang_m,
            stretches_most_m: stretches_most,
            stiffness_known: self.there.iter().all(|s| s.stand.stiffness_known),
            residual_n: shared.load_n.iter().sum::<f64>() - weight_n,
            residual_nm,
            off_centre_m: self
                .there
                .iter()
                .map(|s| (s.at.y_m - weighing.centre.y_m).abs())
                .fold(0.0, f64::max),
        }
    }

    /// Shims that bring the loads nearer to what is wanted by a noticeable part of the weight.
    fn advice(
        &self,
        now: &Shared,
        change: &[f64],
        weight_n: f64,
        x_m: f64,
    ) -> Option<shims::Advice> {
        /// Share of the weight that is worth a shim.
        const NOTICEABLE: f64 = 0.02;
        // A stack too low for shims is a matter of blocks.
        let kept: Vec<usize> = (0..self.there.len())
            .filter(|&i| now.load_n[i] > 0.0 || now.left_m[i] <= self.there[i].addable_m)
            .collect();
        let shimming: Vec<Shimming> = kept
            .iter()
            .map(|&i| self.there[i])
            .map(|s| Shimming {
                wanted: s.wanted,
                removable_m: s.removable_m,
            })
            .collect();
        let step = self.supports.shim_step_m;
        let bed = self.bed.only(&kept);
        let among = |all: &[f64]| -> Vec<f64> { kept.iter().map(|i| all[*i]).collect() };
        let wanted = shims::wanted_loads(bed.springs(), &shimming, weight_n, x_m).ok()?;
        let before = shims::misses(&among(&now.load_n), &wanted);
        if before < NOTICEABLE * weight_n {
            return None;
        }
        let found = shims::advise(&bed, &shimming, weight_n, x_m, &among(change), step).ok()?;
        let mut add_m = vec![0.0; self.there.len()];
        for (add, &i) in found.add_m.iter().zip(&kept) {
            if *add > self.there[i].addable_m + 1e-9 {
                return None;
            }
            add_m[i] = *add;
        }
        // Worked out anew with all of them, those that shims do not help included.
        let then: Vec<f64> = change.iter().zip(&add_m).map(|(c, a)| c - a).collect();
        let shared = self.bed.share(weight_n, x_m, &then).ok()?;
        let after = shims::misses(&among(&shared.load_n), &wanted);
        let better = before - after > NOTICEABLE * weight_n;
        better.then_some(shims::Advice { add_m, shared })
    }

    /// Longest stretch between supports that carry, and what reaches past them fore and aft, m.
    fn stretches(&self, carries: impl Fn(usize) -> bool) -> [f64; 3] {
        let mut at: Vec<f64> = (0..self.there.len())
            .filter(|i| carries(*i))
            .map(|i| self.there[i].at.x_m)
            .collect();
        at.sort_by(f64::total_cmp);
        let [aft, fore] = self.supports.weighing.ends_x_m;
        let longest = at.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
        match (at.first(), at.last()) {
            (Some(first), Some(last)) => [longest, fore - last, first - aft],
            _ => [0.0; 3],
        }
    }

    fn keel(&self, load_n: &[f64], x_m: f64) -> Vec<KeelStation> {
        let weighing = &self.supports.weighing;
        let [aft, fore] = weighing.ends_x_m;
        let burdens = weighing.burdens(&NOMINAL);
        // One support alone bears right under the centre.
        let alone = self.there.len() == 1;
        let loads: Vec<(f64, f64)> = self
            .there
            .iter()
            .zip(load_n)
            .map(|(s, p)| (if alone { x_m } else { s.at.x_m }, *p))
            .collect();
        let step = (fore - aft) / (STATIONS - 1) as f64;
        let mut stations: Vec<f64> = (0..STATIONS).map(|i| aft + step * i as f64).collect();
        stations.extend(loads.iter().map(|(x, _)| *x));
        stations.sort_by(f64::total_cmp);
        diagram(&stations, &loads, &burdens)
            .into_iter()
            .map(|b| KeelStation {
                x_m: b.x_m,
                shear_n: b.shear_n,
                moment_nm: b.moment_nm,
            })
            .collect()
    }
}

/// A support that the hull does not reach over.
fn idle() -> Carried {
    Carried {
        load_n: 0.0,
        share: 0.0,
        least_n: 0.0,
        most_n: 0.0,
        aft_n: None,
        fore_n: None,
        heavy_n: None,
        without_extra_n: None,
        force: Force {
            at: Point::default(),
            x_n: 0.0,
            y_n: 0.0,
            z_n: 0.0,
        },
        gap_m: None,
        gives_m: 0.0,
        stiffness_n_per_m: 0.0,
        stiffness_known: false,
        bearing_length_m: 0.0,
        bearing_width_m: 0.0,
        bearing_area_m2: 0.0,
        bearing_spread_m: 0.0,
        shim_m: None,
        shimmed_n: None,
        uses: Vec::new(),
    }
}
