//! What beams, blocks, shims and wedges lie on: nothing may stand on air.

use crate::check::Worked;
use crate::findings::{Finding, Place, Topic};
use keelstead_load::load::{Load, PlacedBeam, Seat};
use keelstead_load::rig::{BeamStock, Rig};
use keelstead_load::rig_parts::beam_name;
use keelstead_load::setdown::stack;
use keelstead_statics::carrying::Carrying;
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

/// A block of which less than this lies on what is below stands on air. Common practice, no source.
const LEAST_BORNE: f64 = 0.5;

/// A beam in place, its stock found.
struct Lying<'a> {
    index: usize,
    rig: &'a Rig,
    load: &'a Load,
    placed: &'a PlacedBeam,
    beam: &'a BeamStock,
}

/// Every beam whose stack, as entered, cannot lie as it is said to.
pub(super) fn contradictions(rig: &Rig, load: &Load) -> Vec<Finding> {
    let lying = load.beams.iter().enumerate().filter_map(|(index, placed)| {
        let beam = rig.beam(&placed.beam)?;
        Some(Lying {
            index,
            rig,
            load,
            placed,
            beam,
        })
    });
    lying
        .flat_map(|one| {
            let mut list = one.on_air();
            list.extend(one.off_the_end());
            list.extend(one.hardly_reaches());
            list.extend(one.hardly_passes());
            list.extend(one.thin_wedge());
            list.extend(one.without_shims());
            list
        })
        .collect()
}

impl Lying<'_> {
    /// What does not lie as said contradicts itself; what only may not is a gap that is too small.
    fn finding(&self, key: &str, verdict: Verdict, says: Sentence, advice: Sentence) -> Finding {
        let topic = match verdict {
            Verdict::Foul => Topic::Input,
            _ => Topic::Clearance,
        };
        let id = format!("input:beam:{}:{key}", self.index);
        let title = beam_name(self.placed.seat);
        Finding::new(id, topic, verdict, title, says)
            .advising(advice)
            .resting_on(&[Basis::Measured])
    }

    /// Blocks of which more hangs over than lies on what is below them.
    fn on_air(&self) -> Vec<Finding> {
        let mut list = Vec::new();
        let beam = [self.beam.width_m, self.beam.length_m];
        let (mut below, mut below_y_m) = (beam, 0.0);
        for (n, block) in self.placed.stack.iter().enumerate() {
            let Some(stock) = self.rig.block(&block.block) else {
                break;
            };
            let [along, across, _] = stock.lying_m(block.lie);
            let y_m = self.placed.stack_y_m;
            let fore_and_aft = common_m([along, below[0]], 0.0) / along;
            let sideways = common_m([across, below[1]], y_m - below_y_m) / across;
            let borne = fore_and_aft.min(sideways);
            if borne < LEAST_BORNE - 1e-9 {
                let says = Sentence::new("only")
                    .figure(Quantity::ratio(borne))
                    .words(format!("of block {} lies on what is below it", n + 1));
                let advice = Sentence::new("turn it, or put it on something wider");
                let finding = self.finding(&format!("air:{n}"), Verdict::Foul, says, advice);
                list.push(
                    finding
                        .found(Quantity::ratio(borne))
                        .resting_on(&[Basis::Measured, Basis::CommonPractice]),
                );
            }
            (below, below_y_m) = ([along, across], y_m);
        }
        list
    }

    /// A beam on the rails that lies over their end by part of its width.
    fn off_the_end(&self) -> Option<Finding> {
        let Seat::OnRailsXM(x_m) = self.placed.seat else {
            return None;
        };
        let rails = &self.rig.rails;
        if !(rails.aft_x_m..=rails.front_x_m).contains(&x_m) {
            // Said where beams are looked at one by one.
            return None;
        }
        let left_m = (x_m - rails.aft_x_m).min(rails.front_x_m - x_m) - self.beam.width_m / 2.0;
        let verdict = self.judge(left_m)?;
        let says = match verdict {
            Verdict::Foul => Sentence::new("hangs over the end of the rails by").length(-left_m),
            _ => Sentence::new("lies")
                .length(left_m)
                .words("from the end of the rails"),
        };
        let advice = Sentence::new("move it so that all of its width lies on the rails");
        Some(
            self.finding("end", verdict, says, advice)
                .found(Quantity::length(left_m)),
        )
    }

    /// A beam hardly longer than the rails stand apart: off by a little, it falls between them.
    fn hardly_reaches(&self) -> Option<Finding> {
        let reach_m = (self.beam.length_m - self.rig.rails.clear_width_m) / 2.0;
        let verdict = self.judge(reach_m).filter(|v| *v != Verdict::Foul)?;
        let says = Sentence::new("reaches only")
            .length(reach_m)
            .words("onto each rail; that may be off by")
            .length(self.rig.tolerance_m);
        let advice = Sentence::new("take a longer beam");
        let finding = self.finding("reach", verdict, says, advice);
        Some(finding.found(Quantity::length(reach_m)))
    }

    /// A beam that passes its pocket only if every figure is exact.
    fn hardly_passes(&self) -> Option<Finding> {
        let Seat::Pocket(number) = self.placed.seat else {
            return None;
        };
        let pocket = self.rig.rails.pockets.get(number.checked_sub(1)?)?;
        let width_m = pocket.opening_width_m - self.beam.width_m;
        let spare_m = width_m.min(pocket.opening_height_m - self.beam.depth_m);
        let verdict = self.judge(spare_m).filter(|v| *v != Verdict::Foul)?;
        let says = Sentence::new("passes its pocket with")
            .length(spare_m)
            .words("to spare; that may be off by")
            .length(self.rig.tolerance_m);
        let advice = Sentence::new("measure pocket and beam, or take a smaller beam");
        let finding = self.finding("passes", verdict, says, advice);
        Some(finding.found(Quantity::length(spare_m)))
    }

    /// None where there is enough; a ten-thousandth of a millimetre is rounding.
    fn judge(&self, spare_m: f64) -> Option<Verdict> {
        let verdict = Verdict::at_least(spare_m, -1e-7, self.rig.tolerance_m);
        (verdict != Verdict::Clear).then_some(verdict)
    }

    /// A wedge that is thicker at its middle than all that the load gives it, by more than a stack may be off: the hull
    /// stands higher than is worked out.
    fn thin_wedge(&self) -> Option<Finding> {
        let top_m = match self.placed.stack.last() {
            Some(block) => self.rig.block(&block.block)?.lying_m(block.lie)[0],
            None => self.beam.width_m,
        };
        let least_m = self.placed.wedge_rad.tan().abs() * top_m / 2.0;
        let tolerance_m = self.load.required.strength.stack_tolerance_m;
        if least_m - self.placed.shim_m <= tolerance_m + stack::SHIM_STEP_M / 2.0 {
            return None;
        }
        let says = Sentence::new("the wedge is at least")
            .length(least_m)
            .words("thick at its middle; wedge and shims are entered as")
            .length(self.placed.shim_m);
        let advice = Sentence::new("enter at least").length(least_m).words(
            "of shims, or take a flatter wedge: else the hull stands higher than is worked out",
        );
        let finding = self.finding("thin-wedge", Verdict::Foul, says, advice);
        Some(finding.found(Quantity::length(self.placed.shim_m)))
    }

    /// Shims that those on hand do not make.
    fn without_shims(&self) -> Option<Finding> {
        let (shim_m, packing) = (self.placed.shim_m, &self.rig.packing);
        // A wedge is as thick as it is driven; too many shims are said to be so elsewhere.
        if shim_m <= 0.0 || shim_m > packing.shims_at_most_m || self.placed.wedge_rad != 0.0 {
            return None;
        }
        let off = |sum: &f64| (sum - shim_m).abs();
        let nearest_m = stack::shim_sums(self.rig)
            .into_iter()
            .min_by(|a, b| off(a).total_cmp(&off(b)))?;
        let tolerance_m = self.load.required.strength.stack_tolerance_m;
        if off(&nearest_m) <= tolerance_m.max(stack::SHIM_STEP_M) {
            return None;
        }
        let says = Sentence::new("shimmed by")
            .length(shim_m)
            .words("; the nearest that the shims on hand make is")
            .length(nearest_m);
        let advice =
            Sentence::new("enter what is really laid, or name the shims in the rig's file");
        let finding = self.finding("shims", Verdict::Foul, says, advice);
        Some(finding.found(Quantity::length(shim_m)))
    }
}

/// How much two lengths whose middles lie `off_m` apart have in common, m.
fn common_m(lengths_m: [f64; 2], off_m: f64) -> f64 {
    let [a, b] = lengths_m;
    ((a + b) / 2.0 - off_m.abs()).min(a).min(b).max(0.0)
}

/// Stacks on which the keel presses beyond the edge of what the blocks stand on: they tip.
pub(super) fn findings(worked: &Worked, carrying: Option<&Carrying>) -> Vec<Finding> {
    let Some(carrying) = carrying else {
        return Vec::new();
    };
    let loaded = worked.supports().zip(&carrying.supports);
    loaded
        .filter(|(_, carried)| carried.load_n > 0.0)
        .filter_map(|((index, placed, face, _), carried)| {
            let [along, across] = hangs_over(worked, placed)?;
            let at = worked
                .trailer_from_frame
                .inverse_transform_point(carried.force.at.vec());
            let off = [at.x - face.middle.x, at.y - face.middle.y];
            let inside = [(along, off[0]), (across, off[1])]
                .into_iter()
                .filter_map(|(edges, off_m)| edges.map(|[lo, hi]| (off_m - lo).min(hi - off_m)));
            let inside_m = inside.min_by(f64::total_cmp)?;
            let tolerance_m = worked.load.required.placing_tolerance_m;
            let verdict = Verdict::at_least(inside_m, 0.0, tolerance_m);
            if verdict == Verdict::Clear {
                return None;
            }
            let says = match verdict {
                Verdict::Foul => Sentence::new("the keel presses")
                    .length(-inside_m)
                    .words("beyond the edge of what the blocks stand on: the stack tips"),
                _ => Sentence::new("the keel presses").length(inside_m).words(
                    "from the edge of what the blocks stand on; beyond it the stack tips",
                ),
            };
            let title = format!("stack on the {}", beam_name(placed.seat));
            let id = format!("support-tips:{index}");
            let advice = "put wider blocks or a wider beam below, or a wedge that brings the keel to the middle";
            let finding = Finding::new(id, Topic::Support, verdict, title, says)
                .found(Quantity::length(inside_m))
                .against(Quantity::length(0.0), Quantity::length(tolerance_m))
                .at(Place::Point(carried.force.at))
                .advising(Sentence::new(advice));
            Some(finding)
        })
        .collect()
}

/// Fore and aft and across, from where to where about the middle of the top the stack stands on what is below, m; none
/// where the top does not hang over.
fn hangs_over(worked: &Worked, placed: &PlacedBeam) -> Option<[Option<[f64; 2]>; 2]> {
    let beam = worked.rig.beam(&placed.beam)?;
    let mut edges = [
        [-beam.width_m / 2.0, beam.width_m / 2.0],
        [-beam.length_m / 2.0, beam.length_m / 2.0].map(|y| y - placed.stack_y_m),
    ];
    let mut top = [beam.width_m, beam.length_m];
    for block in &placed.stack {
        let [along, across, _] = worked.rig.block(&block.block)?.lying_m(block.lie);
        top = [along, across];
        for (edges, length) in edges.iter_mut().zip(top) {
            *edges = [edges[0].max(-length / 2.0), edges[1].min(length / 2.0)];
        }
    }
    let over = |axis: usize| {
        let [lo, hi] = edges[axis];
        (lo.max(-hi) > -top[axis] / 2.0 + 1e-9).then_some(edges[axis])
    };
    Some([over(0), over(1)])
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic)]
mod tests;
