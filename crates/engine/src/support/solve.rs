//! All of it: the weight shared, with every tolerance, and what beams, blocks and keel make of it.

use super::bend::{Burden, FreeBeam, ProppedBeam, diagram, spread};
use super::share::{Bed, ShareError, Shared, Spring};
use super::shims::{self, Shimming};
use super::stand::Stand;
use crate::findings::{Carried, Carrying, Force, KeelStation};
use crate::load::StrengthAsked;
use crate::math::Point;

/// What the boat weighs, along the keel. Stations in metres forward of the coupling.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighing {
    /// Weight of the boat herself, N.
    pub hull_n: f64,
    /// How far that may be off, N.
    pub tolerance_n: f64,
    /// Where the boat's own weight acts, m.
    pub hull_x_m: f64,
    /// How far the common centre may be off fore and aft, m; none if nobody said.
    pub tolerance_x_m: Option<f64>,
    /// What the load adds.
    pub extras: Vec<Burden>,
    /// Aft and fore end of the hull, m.
    pub ends_x_m: [f64; 2],
    /// The common centre. Trailer frame.
    pub centre: Point,
}

impl Weighing {
    /// Common weight and station of its centre in a case.
    fn acting(&self, case: Case) -> (f64, f64) {
        let extras = if case.with_extras {
            &self.extras[..]
        } else {
            &[]
        };
        let own = self.hull_n * case.scale;
        let all = own + extras.iter().map(|b| b.weight_n).sum::<f64>();
        let moment = own * self.hull_x_m + extras.iter().map(|b| b.weight_n * b.x_m).sum::<f64>();
        (all, moment / all + self.shift_m(case.shift))
    }

    /// The boat's own weight along the keel and what the load adds, all of it shifted, as the
    /// tolerance is the common centre's.
    fn burdens(&self, shift_m: f64) -> (Vec<Burden>, Vec<Burden>) {
        let [aft, fore] = self.ends_x_m;
        let own = spread(self.hull_n, self.hull_x_m + shift_m, aft, fore);
        let moved = |b: &Burden| Burden {
            x_m: b.x_m + shift_m,
            ..*b
        };
        (own, self.extras.iter().map(moved).collect())
    }

    fn shift_m(&self, shift: Shift) -> f64 {
        let off = self.tolerance_x_m.unwrap_or(0.0);
        match shift {
            Shift::None => 0.0,
            Shift::Aft => -off,
            Shift::Fore => off,
        }
    }
}

/// A support under the hull.
#[derive(Debug, Clone, PartialEq)]
pub struct Site<'a> {
    /// Beam and stack.
    pub stand: Stand<'a>,
    /// Middle of where the keel bears. Trailer frame.
    pub at: Point,
    /// Half the length it bears over, m.
    pub half_length_m: f64,
    /// Length and width of keel that bear, m.
    pub bears_m: [f64; 2],
    /// From side to side of what bears, m.
    pub spread_m: f64,
    /// Gap to the rigid hull, m.
    pub gap_m: f64,
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
    pub weighing: Weighing,
    /// Bending stiffness of the hull, N·m²; none takes it as rigid.
    pub hull_bending_n_m2: Option<f64>,
    /// The rails as a beam; none takes them as rigid.
    pub rails: Option<ProppedBeam>,
    /// What is asked.
    pub asked: StrengthAsked,
    /// Step of shims on hand, m.
    pub shim_step_m: f64,
}

/// A load case: the boat's weight scaled, the centre shifted, one stack higher.
#[derive(Clone, Copy)]
struct Case {
    scale: f64,
    shift: Shift,
    raised: Option<(usize, f64)>,
    with_extras: bool,
}

/// Where in its tolerance the centre of gravity lies.
#[derive(Clone, Copy)]
enum Shift {
    None,
    Aft,
    Fore,
}

const NOMINAL: Case = Case {
    scale: 1.0,
    shift: Shift::None,
    raised: None,
    with_extras: true,
};

/// Stations of the keel's diagram.
const STATIONS: usize = 41;

struct Solving<'s, 'a> {
    supports: &'s Supports<'a>,
    there: Vec<&'s Site<'a>>,
    bed: Bed,
    /// Sag of a hull that bends at each support, m, for each [`Shift`]: under her own weight, and
    /// under what the load adds.
    sags: Option<[[Vec<f64>; 2]; 3]>,
}

impl<'a> Supports<'a> {
    /// Shares the weight and holds every part against what it may bear.
    ///
    /// # Errors
    /// [`ShareError`] where nothing can be shared: no support, the hull tips, a figure is no good.
    pub fn solve(&self) -> Result<Carrying, ShareError> {
        let there: Vec<&Site> = self.sites.iter().flatten().collect();
        let mut bed = Bed::new(there.iter().map(|s| s.spring()).collect())?;
        let first = there.iter().map(|s| s.at.x_m).fold(f64::MAX, f64::min);
        let clamp_x_m = first.min(self.weighing.ends_x_m[0]) - 1.0;
        let hull = self.hull_bending_n_m2.map(|bending_n_m2| FreeBeam {
            bending_n_m2,
            clamp_x_m,
        });
        if let Some(hull) = hull {
            bed.give(|i, j| hull.moves(i, j));
        }
        if let Some(rails) = self.rails {
            bed.give(|i, j| rails.sinks(i, j));
        }
        let sags = hull.map(|hull| {
            [Shift::None, Shift::Aft, Shift::Fore].map(|shift| {
                let (own, extras) = self.weighing.burdens(self.weighing.shift_m(shift));
                [own, extras].map(|b| there.iter().map(|s| hull.sags(s.at.x_m, &b)).collect())
            })
        });
        let solving = Solving {
            supports: self,
            there,
            bed,
            sags,
        };
        solving.carrying()
    }
}

impl Site<'_> {
    fn spring(&self) -> Spring {
        Spring {
            x_m: self.at.x_m,
            half_length_m: self.half_length_m,
            gap_m: self.gap_m,
            stiffness_n_per_m: self.stand.stiffness_n_per_m,
        }
    }
}

impl Solving<'_, '_> {
    /// What is added to each gap in a case: sag of a hull that bends, and the stack that is off.
    fn change(&self, case: Case) -> Vec<f64> {
        let extras = f64::from(u8::from(case.with_extras));
        let sag = |i: usize| {
            self.sags.as_ref().map_or(0.0, |sags| {
                let [own, added] = &sags[case.shift as usize];
                own[i] * case.scale + added[i] * extras
            })
        };
        let raised = |i: usize| match case.raised {
            Some((which, by)) if which == i => by,
            _ => 0.0,
        };
        (0..self.there.len()).map(|i| -sag(i) - raised(i)).collect()
    }

    fn share(&self, case: Case, change_m: &[f64], like: &[f64]) -> Result<Shared, ShareError> {
        let weighing = &self.supports.weighing;
        let (weight, x) = weighing.acting(case);
        self.bed.share_like(weight, x, change_m, like)
    }

    /// Loads of a case, likely on the springs that carry `like`.
    fn loads(&self, case: Case, like: &[f64]) -> Result<Vec<f64>, ShareError> {
        Ok(self.share(case, &self.change(case), like)?.load_n)
    }

    /// Loads of a case that may tip the hull: then the last support carries all.
    fn loads_or_all_on_last(&self, case: Case, like: &[f64]) -> Vec<f64> {
        self.loads(case, like).unwrap_or_else(|error| {
            let weighing = &self.supports.weighing;
            let (weight, _) = weighing.acting(case);
            let springs = self.bed.springs();
            let (aft, fore) = self.bed.ends();
            let last = match error {
                ShareError::Tips { bow_down: true, .. } => fore,
                ShareError::Tips { .. } => aft,
                _ => return vec![weight; springs.len()],
            };
            let on = |s: &Spring| if s.x_m == last { weight } else { 0.0 };
            springs.iter().map(on).collect()
        })
    }

    /// Least and greatest load of each support within the tolerances.
    fn ranges(&self, nominal: &[f64]) -> Vec<(f64, f64)> {
        let weighing = &self.supports.weighing;
        let off = weighing.tolerance_n / weighing.hull_n;
        let mut cases = Vec::with_capacity(6 + 2 * self.there.len());
        for shift in [Shift::None, Shift::Aft, Shift::Fore] {
            for scale in [1.0 + off, (1.0 - off).max(0.01)] {
                cases.push(Case {
                    scale,
                    shift,
                    ..NOMINAL
                });
            }
        }
        let step = self.supports.asked.stack_tolerance_m;
        // Two supports share by statics alone, whatever their heights.
        if step > 0.0 && self.there.len() > 2 {
            for i in 0..self.there.len() {
                for by in [step, -step] {
                    cases.push(Case {
                        scale: 1.0 + off,
                        raised: Some((i, by)),
                        ..NOMINAL
                    });
                }
            }
        }
        let mut ranges: Vec<(f64, f64)> = nominal.iter().map(|p| (*p, *p)).collect();
        for case in cases {
            for (range, load) in ranges
                .iter_mut()
                .zip(self.loads_or_all_on_last(case, nominal))
            {
                *range = (range.0.min(load), range.1.max(load));
            }
        }
        ranges
    }

    fn carrying(&self) -> Result<Carrying, ShareError> {
        let supports = self.supports;
        let weighing = &supports.weighing;
        let change = self.change(NOMINAL);
        let shared = self.share(NOMINAL, &change, &[])?;
        let (weight_n, x_m) = weighing.acting(NOMINAL);
        let ranges = self.ranges(&shared.load_n);
        let shifted = |shift: Shift| {
            weighing.tolerance_x_m?;
            self.loads(Case { shift, ..NOMINAL }, &shared.load_n).ok()
        };
        let (aft, fore) = (shifted(Shift::Aft), shifted(Shift::Fore));
        let under = |case: Case| self.loads_or_all_on_last(case, &shared.load_n);
        let heavy = under(Case {
            scale: 1.0 + weighing.tolerance_n / weighing.hull_n,
            ..NOMINAL
        });
        let dry = (!weighing.extras.is_empty()).then(|| {
            under(Case {
                with_extras: false,
                ..NOMINAL
            })
        });
        let advice = self.advice(&shared, &change, weight_n, x_m);
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
                least_n,
                most_n,
                aft_n: aft.as_ref().map(|p| p[i]),
                fore_n: fore.as_ref().map(|p| p[i]),
                heavy_n: heavy[i],
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
        let [longest_span_m, bow_overhang_m, stern_overhang_m] = self.stretches(&shared.load_n);
        Ok(Carrying {
            weight_n,
            centre: weighing.centre,
            supports: carried,
            keel: self.keel(&shared.load_n, x_m),
            longest_span_m,
            bow_overhang_m,
            stern_overhang_m,
            stiffness_known: self.there.iter().all(|s| s.stand.stiffness_known),
            residual_n: shared.load_n.iter().sum::<f64>() - weight_n,
            residual_nm,
            off_centre_m: self
                .there
                .iter()
                .map(|s| (s.at.y_m - weighing.centre.y_m).abs())
                .fold(0.0, f64::max),
        })
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
    fn stretches(&self, load_n: &[f64]) -> [f64; 3] {
        let mut at: Vec<f64> = self
            .there
            .iter()
            .zip(load_n)
            .filter(|(_, load)| **load > 0.0)
            .map(|(s, _)| s.at.x_m)
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
        let (mut burdens, extras) = weighing.burdens(0.0);
        burdens.extend(extras);
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
        heavy_n: 0.0,
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
        bearing_spread_m: 0.0,
        shim_m: None,
        shimmed_n: None,
        uses: Vec::new(),
    }
}
