//! What a hull whose shape is hardly known leaves open: what carries her, and what steadies her.

use crate::check::Worked;
use crate::findings::{Finding, Topic, Verdict};
use crate::quantity::Sentence;

/// As far as a hull may be off what is drawn and still settle on the stacks as it is worked out, m: shims, wedges and the
/// timber's give take that up on the day. Common practice, no source.
const SETTLES_M: f64 = 0.05;

/// Where the surface may be farther off than a boat settles, what rests on where it touches is unknown: another stack may
/// carry her, and a pad find nothing. Gaps and sizes have that tolerance in them already.
pub(super) fn hold_back(worked: &Worked, list: &mut [Finding]) {
    let off_m = worked.hull.shape_tolerance_m;
    if off_m <= SETTLES_M {
        return;
    }
    let rests_on_touching = |finding: &&mut Finding| {
        finding.verdict > Verdict::Unknown
            && matches!(
                finding.topic,
                Topic::Balance | Topic::Support | Topic::Strength | Topic::Pad | Topic::Steadying
            )
    };
    for finding in list.iter_mut().filter(rests_on_touching) {
        finding.verdict = Verdict::Unknown;
        finding.says = finding
            .says
            .clone()
            .words("; but her surface may be")
            .length(off_m)
            .words("off what is drawn, and where she touches, and what carries, may be otherwise");
        finding.advice = Some(Sentence::new(
            "measure more of her, first where she stands and where pads touch, or bring her in from a scan",
        ));
    }
}
