//! What a load names against what its rig has.

use crate::check::lying;
use crate::findings::{Finding, Topic};
use keelstead_load::load::{Load, Reach, Seat};
use keelstead_load::rig::Rig;
use keelstead_load::rig_parts::beam_name;
use keelstead_units::fields::FieldProblem;
use keelstead_units::quantity::{Basis, Quantity, Sentence};
use keelstead_units::verdict::Verdict;

/// Every number of rig and load that is out of range.
pub(super) fn ranges(rig: &Rig, load: &Load) -> Vec<Finding> {
    let mut list = Vec::new();
    for (document, result) in [("rig", rig.validate()), ("load", load.validate())] {
        for problem in result.err().unwrap_or_default() {
            list.push(out_of_range(document, &problem));
        }
    }
    list
}

/// Every contradiction between load and rig.
pub(super) fn contradictions(rig: &Rig, load: &Load) -> Vec<Finding> {
    let mut list = Vec::new();
    beams(rig, load, &mut list);
    stock(rig, load, &mut list);
    settings(rig, load, &mut list);
    set_too_roughly(rig, load, &mut list);
    list.extend(lying::contradictions(rig, load));
    list
}

fn foul(id: String, title: impl Into<String>, says: Sentence, advice: Sentence) -> Finding {
    Finding::new(id, Topic::Input, Verdict::Foul, title, says)
        .advising(advice)
        .resting_on(&[Basis::Measured])
}

fn out_of_range(document: &str, problem: &FieldProblem) -> Finding {
    foul(
        format!("input:{document}:{}", problem.path),
        format!("{document}: {}", problem.path),
        problem.says(),
        Sentence::new("correct the figure; nothing else is checked until then"),
    )
}

fn beams(rig: &Rig, load: &Load, list: &mut Vec<Finding>) {
    let pockets = &rig.rails.pockets;
    for (i, placed) in load.beams.iter().enumerate() {
        let name = beam_name(placed.seat);
        let Some(beam) = rig.beam(&placed.beam) else {
            list.push(foul(
                format!("input:beam:{i}:name"),
                &name,
                Sentence::new(format!("the rig has no beam called \"{}\"", placed.beam)),
                Sentence::new(format!(
                    "choose one of: {}",
                    names(rig.beams.iter().map(|b| &*b.name))
                )),
            ));
            continue;
        };
        match placed.seat {
            Seat::Pocket(number) => {
                let Some(pocket) = number.checked_sub(1).and_then(|n| pockets.get(n)) else {
                    list.push(foul(
                        format!("input:beam:{i}:pocket"),
                        &name,
                        Sentence::new(format!("the rig has no pocket {number}")),
                        Sentence::new(format!("its pockets are numbered 1 to {}", pockets.len())),
                    ));
                    continue;
                };
                let too_big =
                    beam.width_m > pocket.opening_width_m || beam.depth_m > pocket.opening_height_m;
                if too_big {
                    let says = Sentence::new("the beam is")
                        .length(beam.width_m)
                        .words("wide and")
                        .length(beam.depth_m)
                        .words("deep; the pocket opens")
                        .length(pocket.opening_width_m)
                        .words("by")
                        .length(pocket.opening_height_m);
                    let advice = Sentence::new("take a smaller beam or lay it on the rails");
                    list.push(foul(format!("input:beam:{i}:size"), &name, says, advice));
                }
                let same = |b: &keelstead_load::load::PlacedBeam| b.seat == placed.seat;
                if load.beams[..i].iter().any(same) {
                    let says = Sentence::new(format!("two beams are placed in pocket {number}"));
                    let advice = Sentence::new("move one of them");
                    list.push(foul(format!("input:beam:{i}:twice"), &name, says, advice));
                }
            }
            Seat::OnRailsXM(x) if !(rig.rails.aft_x_m..=rig.rails.front_x_m).contains(&x) => {
                let says = Sentence::new("the rails end before the beam at").length(x);
                let advice = Sentence::new("place it between")
                    .length(rig.rails.aft_x_m)
                    .words("and")
                    .length(rig.rails.front_x_m);
                list.push(foul(format!("input:beam:{i}:off"), &name, says, advice));
            }
            Seat::OnRailsXM(_) => {}
        }
        let reach = (rig.rails.clear_width_m + rig.rails.width_m) / 2.0;
        if placed.top_y_m().abs() >= reach {
            let says = Sentence::new("the stack stands")
                .length(placed.top_y_m().abs())
                .words("off the middle, beyond the middle of a rail at")
                .length(reach);
            let advice = Sentence::new("move it between the rails");
            list.push(foul(format!("input:beam:{i}:stack"), &name, says, advice));
        }
        let span = rig.rails.clear_width_m;
        if beam.length_m < span {
            let says = Sentence::new("the beam is")
                .length(beam.length_m)
                .words("long; the rails stand")
                .length(span)
                .words("apart");
            list.push(foul(
                format!("input:beam:{i}:short"),
                &name,
                says,
                Sentence::new("take a longer beam"),
            ));
        }
    }
}

fn stock(rig: &Rig, load: &Load, list: &mut Vec<Finding>) {
    for beam in &rig.beams {
        let used = load.beams.iter().filter(|b| b.beam == beam.name).count();
        over(&format!("beams \"{}\"", beam.name), used, beam.count, list);
    }
    let blocks = || load.beams.iter().flat_map(|b| &b.stack);
    for block in &rig.blocks {
        let used = blocks().filter(|b| b.block == block.name).count();
        over(
            &format!("blocks \"{}\"", block.name),
            used,
            block.count,
            list,
        );
    }
    for (i, placed) in load.beams.iter().enumerate() {
        for (n, block) in placed.stack.iter().enumerate() {
            if rig.block(&block.block).is_none() {
                list.push(foul(
                    format!("input:beam:{i}:block:{n}"),
                    beam_name(placed.seat),
                    Sentence::new(format!("the rig has no block called \"{}\"", block.block)),
                    Sentence::new(format!(
                        "choose one of: {}",
                        names(rig.blocks.iter().map(|b| &*b.name))
                    )),
                ));
            }
        }
        if placed.shim_m > rig.packing.shims_at_most_m + 1e-9 {
            let says = Sentence::new("shimmed by")
                .length(placed.shim_m)
                .words("where at most")
                .length(rig.packing.shims_at_most_m)
                .words("is allowed");
            list.push(foul(
                format!("input:beam:{i}:shim"),
                beam_name(placed.seat),
                says,
                Sentence::new("use a block instead"),
            ));
        }
        let steepest = rig.packing.wedge_rad.unwrap_or(0.0);
        if placed.wedge_rad.abs() > steepest + 1e-9 {
            let says = Sentence::new("the wedge slopes by")
                .figure(Quantity::angle(placed.wedge_rad.abs()))
                .words("; the steepest on hand has")
                .figure(Quantity::angle(steepest));
            list.push(foul(
                format!("input:beam:{i}:wedge"),
                beam_name(placed.seat),
                says,
                Sentence::new("take a flatter wedge"),
            ));
        }
    }
}

/// A stack whose height may be off by as much as there is of it.
fn set_too_roughly(rig: &Rig, load: &Load, list: &mut Vec<Finding>) {
    let off_m = load.required.strength.stack_tolerance_m;
    for (i, placed) in load.beams.iter().enumerate() {
        let blocks = placed.stack.iter().filter_map(|placed| {
            let [_, _, upright_m] = rig.block(&placed.block)?.lying_m(placed.lie);
            Some(upright_m)
        });
        let stack_m: f64 = blocks.sum();
        let (what, height_m) = match rig.beam(&placed.beam) {
            _ if stack_m > 0.0 => ("stack", stack_m + placed.shim_m),
            Some(beam) => ("beam", beam.depth_m + placed.shim_m),
            None => continue,
        };
        if off_m < height_m {
            continue;
        }
        let says = Sentence::new("the height of a stack may be off by")
            .length(off_m)
            .words(format!("; this {what} is"))
            .length(height_m)
            .words("high in all");
        let advice = Sentence::new("say how exactly the stacks are really set");
        list.push(foul(
            format!("input:beam:{i}:stack-tolerance"),
            beam_name(placed.seat),
            says,
            advice,
        ));
    }
}

fn over(what: &str, used: usize, on_hand: usize, list: &mut Vec<Finding>) {
    if used > on_hand {
        let says = Sentence::new(format!("the load uses {used}; {on_hand} are on hand"));
        let advice = Sentence::new("use others, or bring more");
        let finding = foul(
            format!("input:stock:{what}"),
            format!("stock of {what}"),
            says,
            advice,
        );
        list.push(finding);
    }
}

fn settings(rig: &Rig, load: &Load, list: &mut Vec<Finding>) {
    let range = rig.suspension.rail_top_m;
    if !range.contains(load.rail_top_m) {
        let says = Sentence::new("the rails' top is set to")
            .length(load.rail_top_m)
            .words("; the suspension reaches")
            .length(range.min)
            .words("to")
            .length(range.max);
        list.push(foul(
            "input:suspension".into(),
            "suspension height",
            says,
            Sentence::new("set it within its range"),
        ));
    }
    for (i, setting) in load.pads.iter().enumerate() {
        let Some(mount) = rig.pads.iter().find(|p| p.name == setting.pad) else {
            list.push(foul(
                format!("input:pad:{i}"),
                format!("pad \"{}\"", setting.pad),
                Sentence::new("the rig has no such pad"),
                Sentence::new(format!(
                    "choose one of: {}",
                    names(rig.pads.iter().map(|p| &*p.name))
                )),
            ));
            continue;
        };
        if load.pads[..i].iter().any(|s| s.pad == setting.pad) {
            let says = Sentence::new("this pad is set twice");
            list.push(foul(
                format!("input:pad:{i}:twice"),
                &mount.name,
                says,
                Sentence::new("keep one setting"),
            ));
        }
        if !mount.elevation_rad.contains(setting.elevation_rad) {
            let says = Sentence::new("the arm is set to")
                .figure(Quantity::angle(setting.elevation_rad))
                .words("; it turns from")
                .figure(Quantity::angle(mount.elevation_rad.min))
                .words("to")
                .figure(Quantity::angle(mount.elevation_rad.max));
            list.push(foul(
                format!("input:pad:{i}:elevation"),
                &mount.name,
                says,
                Sentence::new("set it within its range"),
            ));
        }
        if let Reach::SetM(reach) = setting.reach
            && !mount.reach_m.contains(reach)
        {
            let says = Sentence::new("the pad is set to")
                .length(reach)
                .words("; it reaches from")
                .length(mount.reach_m.min)
                .words("to")
                .length(mount.reach_m.max);
            list.push(foul(
                format!("input:pad:{i}:reach"),
                &mount.name,
                says,
                Sentence::new("set it within its range"),
            ));
        }
    }
}

fn names<'a>(names: impl Iterator<Item = &'a str>) -> String {
    names.collect::<Vec<_>>().join(", ")
}
