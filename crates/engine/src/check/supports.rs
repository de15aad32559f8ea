//! What each beam and stack does: carries, stands short, or cannot be made.

use crate::check::{Worked, carry, measured, zones};
use crate::findings::{Finding, Place, Support, Topic};
use keelstead_geometry::math::{Pose, Rot3, Vec3};
use keelstead_load::load::PlacedBeam;
use keelstead_load::rig_parts::{TopFace, beam_name};
use keelstead_load::setdown::{Touch, stack, touches_at};
use keelstead_statics::carrying::Carried;
use keelstead_units::quantity::{Quantity, Sentence};
use keelstead_units::verdict::Verdict;

/// Each beam of the load that can be placed.
pub(super) fn supports(worked: &Worked) -> Vec<Support> {
    let needed = needed_heights(worked);
    let carrying = worked.bearing.carrying();
    let loaded = |i: usize| carrying.is_some_and(|c| c.supports[i].load_n > 0.0);
    worked
        .supports()
        .zip(needed)
        .enumerate()
        .map(
            |(i, ((beam, placed, face, touch), needed_height_m))| Support {
                beam,
                name: beam_name(placed.seat),
                top: (worked.trailer_from_frame * face.middle).into(),
                stack_height_m: face.middle.z - face.beam_top_m,
                gap_m: touch.map(|t| t.gap_m),
                carries: touch.is_some_and(|t| worked.carries(t.gap_m)) || loaded(i),
                contact: touch.map(|t| (worked.trailer_from_frame * t.at).into()),
                needed_height_m,
            },
        )
        .collect()
}

/// Stack height each placed beam needs for the wanted stance, m.
fn needed_heights(worked: &Worked) -> Vec<Option<f64>> {
    let Some(wanted) = worked.load.stand.wanted else {
        return vec![None; worked.faces.len()];
    };
    let faces: Vec<TopFace> = worked.faces.iter().map(|(_, f)| *f).collect();
    let (height, trim) = (wanted.keel_over_rail_m, wanted.trim_rad);
    touches_at(worked.hull, &worked.load.stand, &faces, height, trim)
        .into_iter()
        .zip(&faces)
        .map(|(gap, face)| gap.map(|g| g + face.middle.z - face.beam_top_m))
        .collect()
}

pub(super) fn findings(worked: &Worked, supports: &[Support]) -> Vec<Finding> {
    let mut list = Vec::new();
    let carrying = worked.bearing.carrying();
    let each = worked.supports().zip(supports).enumerate();
    for (i, ((index, placed, face, touch), support)) in each {
        let carried = carrying.and_then(|c| c.supports.get(i));
        list.push(reach(worked, index, face, touch, support, carried));
        list.extend(kept_off(worked, index, face, support));
        if let Some(needed) = support.needed_height_m {
            list.extend(stance(worked, index, placed, support, needed));
        }
    }
    let carrying = supports.iter().filter(|s| s.carries).count();
    if carrying == 1 && supports.len() > 1 {
        let says = Sentence::new(format!("one of {} stacks touches the keel", supports.len()));
        list.push(Finding::new(
            "support:one",
            Topic::Support,
            Verdict::Foul,
            "stacks that carry",
            says,
        ));
    }
    list
}

fn reach(
    worked: &Worked,
    index: usize,
    face: &TopFace,
    touch: Option<Touch>,
    support: &Support,
    carried: Option<&Carried>,
) -> Finding {
    let id = format!("support:{index}");
    let title = format!("stack on the {}", support.name);
    let top = worked.trailer_from_frame * face.middle;
    let Some(touch) = touch else {
        let says = Sentence::new("the hull does not reach over it: it carries nothing");
        return Finding::new(id, Topic::Support, Verdict::Foul, title, says)
            .at(Place::Point(top.into()))
            .advising(Sentence::new(
                "move the beam under the keel, or take it out",
            ));
    };
    // What lies within the contact setting is taken up by timber and by the shims driven in on the
    // day; what lies beyond does not meet what is asked, whatever the tolerance might lend it.
    let free = measured::seen_bearing(worked.load, index) == Some(false);
    let may_carry_nothing = (worked.bearing.may_tip() || carried.is_some_and(|c| c.least_n <= 0.0))
        && measured::seen_bearing(worked.load, index) != Some(true);
    let verdict = if support.carries && !free && may_carry_nothing {
        Verdict::Tight
    } else if support.carries && !free {
        Verdict::Clear
    } else {
        Verdict::Foul
    };
    let gap = touch.gap_m.max(0.0);
    let says = match verdict {
        Verdict::Clear => Sentence::new("carries the keel"),
        Verdict::Tight => Sentence::new(
            "carries the keel, but may carry nothing if heights are off as far as they may be",
        ),
        _ if free => Sentence::new("carries nothing: somebody saw it stand free of the keel"),
        _ => Sentence::new("carries nothing: it stands")
            .length(gap)
            .words("below the keel"),
    };
    let hull = worked.trailer_from_frame * touch.at;
    let under =
        worked.trailer_from_frame * (touch.at - keelstead_geometry::math::Vec3::Z * touch.gap_m);
    let finding = Finding::new(id, Topic::Support, verdict, title, says)
        .found(Quantity::length(gap))
        .at(Place::Between {
            hull: hull.into(),
            rig: under.into(),
        });
    match verdict {
        Verdict::Clear => return finding,
        Verdict::Tight => return finding.advising(Sentence::new(carry::EVEN_OUT)),
        _ => {}
    }
    finding.advising(carry::to_bear(gap, &support.name))
}

/// A stack whose top presses where nothing may, or is not surely off it; all of the top counts, since nobody knows how
/// much of it the keel covers once the timber gives.
fn kept_off(worked: &Worked, index: usize, face: &TopFace, support: &Support) -> Option<Finding> {
    if !support.carries {
        return None;
    }
    let pitch = Rot3::from_rotation_y(-face.slope.atan());
    let frame_from_face = Pose::from_parts(face.middle, pitch);
    let hull_from_face = worked.resting.frame_from_hull.inverse() * frame_from_face;
    let gives_m = worked.load.required.contact_m;
    let half = Vec3::new(face.half_length_m, face.half_width_m, gives_m);
    let (zone, gap_m) = zones::nearest(worked, &hull_from_face, half)?;
    let off_m = worked.off_m(support.top.vec());
    let (verdict, says) = match gap_m {
        ..=0.0 => {
            let says = format!("presses on {}, a place to keep off", zone.name);
            (Verdict::Foul, Sentence::new(says))
        }
        _ if gap_m < off_m => {
            let says = Sentence::new("its top ends")
                .length(gap_m)
                .words(format!(
                    "from {}, a place to keep off; that may be off by",
                    zone.name
                ))
                .length(off_m);
            (Verdict::Tight, says)
        }
        _ => return None,
    };
    let title = format!("stack on the {}", support.name);
    let id = format!("keep-off:{index}");
    let finding = Finding::new(id, Topic::Support, verdict, title, says)
        .at(Place::Point(support.contact.unwrap_or(support.top)))
        .advising(Sentence::new("use another pocket, or move the hull"));
    Some(finding)
}

fn stance(
    worked: &Worked,
    index: usize,
    placed: &PlacedBeam,
    support: &Support,
    needed: f64,
) -> Option<Finding> {
    let id = format!("stance:{index}");
    let title = format!("wanted height at the {}", support.name);
    let top = Place::Point(support.top);
    let contact_m = worked.load.required.contact_m;
    if needed < -contact_m {
        let says = Sentence::new("the bare beam already stands")
            .length(-needed)
            .words("too high for the stance wanted");
        return Some(Finding::new(id, Topic::Support, Verdict::Foul, title, says).at(top));
    }
    let left = stack::blocks_left(worked.rig, worked.load, index);
    let slenderness = worked.load.required.strength.stack_slenderness;
    let best = stack::nearest(worked.rig, &left, needed, slenderness);
    if best.over_m.abs() > contact_m {
        let says = Sentence::new("needs a stack of")
            .length(needed)
            .words("; the nearest the blocks left can make is")
            .length(best.height_m);
        let advice = Sentence::new(
            "bring more blocks, choose a beam where the keel is lower, or want a lower stance",
        );
        return Some(
            Finding::new(id, Topic::Support, Verdict::Foul, title, says)
                .advising(advice)
                .found(Quantity::length(best.height_m))
                .at(top),
        );
    }
    let off = support.stack_height_m - needed;
    if off.abs() <= contact_m {
        return None;
    }
    let says = Sentence::new("the stack is")
        .length(support.stack_height_m)
        .words("high; the stance wanted needs")
        .length(needed);
    let list: Vec<String> = best.blocks.iter().map(|b| b.block.clone()).collect();
    let advice =
        Sentence::new(format!("stack {} and shim by", list.join(", "))).length(best.shim_m);
    debug_assert_eq!(beam_name(placed.seat), support.name);
    Some(
        Finding::new(id, Topic::Support, Verdict::Tight, title, says)
            .advising(advice)
            .at(top),
    )
}
