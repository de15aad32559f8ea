//! Whether slings at the lifting marks bear on what they may.

use crate::check::Worked;
use crate::findings::{Finding, Place, Topic};
use keelstead_boat::hull::{GUESS_M, Hull, LiftingMark, PartUse};
use keelstead_boat::sling::{Crossed, SLING_M, Strap, strap};
use keelstead_geometry::math::Vec3;
use keelstead_units::quantity::Sentence;
use keelstead_units::verdict::Verdict;

pub(super) fn findings(worked: &Worked) -> Vec<Finding> {
    let marks = worked.hull.marks.lifting_marks.iter().enumerate();
    let mut list: Vec<Finding> = marks.map(|(i, mark)| one(worked, i, mark)).collect();
    list.extend(balanced(worked));
    list
}

/// Whether the boat hangs between her slings; none where no sling is marked.
fn balanced(worked: &Worked) -> Option<Finding> {
    let stations = || worked.hull.marks.lifting_marks.iter().map(|mark| mark.x_m);
    let aft_m = stations().reduce(f64::min)?;
    let fore_m = stations().reduce(f64::max)?;
    let weight = &worked.weight;
    let centre_m = weight.centre.x;
    // How far inside the slings the weight acts.
    let inside_m = (centre_m - aft_m).min(fore_m - centre_m);
    let at = Place::Point((worked.trailer_from_hull * weight.centre).into());
    let finding = |verdict, says| {
        let title = "weight between the slings";
        Finding::new("lifting:balance", Topic::Hull, verdict, title, says).at(at)
    };
    let acts = Sentence::new("the weight acts")
        .length(centre_m)
        .words("forward of the origin, and the slings are at")
        .length(aft_m)
        .words("and")
        .length(fore_m);
    let Some(off_m) = weight.tolerance_x_m else {
        let says = Sentence::new("nobody said where the weight acts");
        return Some(finding(Verdict::Unknown, says).advising(Sentence::new(
            "give the centre of gravity, or what tells it: two scales, or the trim afloat",
        )));
    };
    let (verdict, says) = match inside_m {
        _ if aft_m == fore_m => (
            Verdict::Unknown,
            Sentence::new("one sling alone holds no boat level; mark another"),
        ),
        inside_m if inside_m > off_m => (Verdict::Clear, acts),
        inside_m if inside_m > 0.0 => (
            Verdict::Tight,
            acts.words("; that may be off by").length(off_m),
        ),
        _ => (Verdict::Foul, acts.words(": she would tip out of them")),
    };
    let finding = finding(verdict, says);
    Some(match verdict {
        Verdict::Clear => finding,
        _ => finding.advising(Sentence::new(
            "mark slings on both sides of where the weight acts, as the builder or the lift\u{2019}s operator has them",
        )),
    })
}

/// What a sling at a station presses on that may not carry it.
struct Pressed<'a> {
    names: Vec<&'a str>,
    /// Whether one of them stands where such parts usually are.
    guessed: bool,
    way: Vec<Vec3>,
}

/// What a sling this wide at a station meets; none where there is no hull.
fn pressed(hull: &Hull, x_m: f64, width_m: f64) -> Option<Pressed<'_>> {
    let Strap { way, crossed } = strap(hull, x_m, width_m)?;
    let name = |crossed: &Crossed| match *crossed {
        Crossed::KeepOff(i) => hull.marks.keep_offs[i].name.as_str(),
        Crossed::Part(i) => hull.parts[i].name.as_str(),
    };
    let guessed = |crossed: &Crossed| match *crossed {
        Crossed::KeepOff(_) => false,
        Crossed::Part(i) => hull.parts[i].part_use == PartUse::Guessed,
    };
    Some(Pressed {
        names: crossed.iter().map(name).collect(),
        guessed: crossed.iter().any(guessed),
        way,
    })
}

fn one(worked: &Worked, index: usize, mark: &LiftingMark) -> Finding {
    let hull = worked.hull;
    let met = pressed(hull, mark.x_m, SLING_M);
    let way = met.as_ref().map_or(&[][..], |met| &met.way);
    let lowest = way.iter().copied().min_by(|a, b| a.z.total_cmp(&b.z));
    let at = lowest.unwrap_or(Vec3::new(mark.x_m, 0.0, hull.bounds.mins.z));
    let says = Sentence::new("a sling")
        .length(SLING_M)
        .words("wide at")
        .length(mark.x_m);
    // The sling is laid by hand, and the hull may be otherwise than drawn.
    let off_m = hull.shape_tolerance_m + worked.load.required.placing_tolerance_m;
    let within = |off_m: f64| pressed(hull, mark.x_m, SLING_M + 2.0 * off_m);
    let (verdict, says) = match met {
        None => (Verdict::Foul, says.words("meets no hull")),
        Some(met) if !met.names.is_empty() => (
            Verdict::Foul,
            says.words(format!("would press on {}", met.names.join(", "))),
        ),
        Some(_) => {
            let near = within(off_m).filter(|near| !near.names.is_empty());
            let any_guessed = hull
                .parts
                .iter()
                .any(|part| part.part_use == PartUse::Guessed);
            let guessed = any_guessed && within(off_m + GUESS_M).is_some_and(|near| near.guessed);
            match near {
                _ if guessed => (
                    Verdict::Unknown,
                    says.words("comes near a part that nobody measured, which must not carry it"),
                ),
                Some(near) => (
                    Verdict::Tight,
                    says.words(format!(
                        "ends near {}; that may be off by",
                        near.names.join(", ")
                    ))
                    .length(off_m),
                ),
                None => (
                    Verdict::Clear,
                    says.words("crosses no place to keep off and nothing that must not carry it"),
                ),
            }
        }
    };
    let title = format!("lifting mark {}", mark.name);
    let finding = Finding::new(
        format!("lifting:{index}"),
        Topic::Hull,
        verdict,
        title,
        says,
    )
    .at(Place::Point((worked.trailer_from_hull * at).into()));
    match verdict {
        Verdict::Clear => finding,
        _ => finding.advising(Sentence::new(
            "move the mark, or lift with the sling elsewhere and mark that",
        )),
    }
}
