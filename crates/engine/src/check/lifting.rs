//! Whether slings at the lifting marks bear on what they may.

use crate::check::Worked;
use crate::findings::{Finding, Place, Topic, Verdict};
use crate::hull::LiftingMark;
use crate::math::Vec3;
use crate::quantity::Sentence;
use crate::sling::{Crossed, SLING_M, strap};

pub(super) fn findings(worked: &Worked) -> Vec<Finding> {
    let marks = worked.hull.marks.lifting_marks.iter().enumerate();
    marks.map(|(i, mark)| one(worked, i, mark)).collect()
}

fn one(worked: &Worked, index: usize, mark: &LiftingMark) -> Finding {
    let hull = worked.hull;
    let found = strap(hull, mark.x_m, SLING_M);
    let way = found.as_ref().map_or(&[][..], |strap| &strap.way);
    let lowest = way.iter().copied().min_by(|a, b| a.z.total_cmp(&b.z));
    let at = lowest.unwrap_or(Vec3::new(mark.x_m, 0.0, hull.bounds.mins.z));
    let names: Option<Vec<&str>> = found.map(|strap| {
        let crossed = strap.crossed.iter();
        let name = |crossed: &Crossed| match *crossed {
            Crossed::KeepOff(i) => hull.marks.keep_offs[i].name.as_str(),
            Crossed::Part(i) => hull.parts[i].name.as_str(),
        };
        crossed.map(name).collect()
    });
    let says = Sentence::new("a sling")
        .length(SLING_M)
        .words("wide at")
        .length(mark.x_m);
    let (verdict, says) = match names.as_deref() {
        None => (Verdict::Foul, says.words("meets no hull")),
        Some([]) => (
            Verdict::Clear,
            says.words("crosses no place to keep off and nothing that must not carry it"),
        ),
        Some(names) => (
            Verdict::Foul,
            says.words(format!("would press on {}", names.join(", "))),
        ),
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
