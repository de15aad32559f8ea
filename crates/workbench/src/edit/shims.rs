//! Shims as the findings advise them, all at once: the loads promised hold only together.

use keelstead::findings::Findings;
use keelstead_load::load::Load;

use super::Refusal;

/// Adds and takes out what `findings`, which are those of `load`, advise.
pub(super) fn as_advised(load: &mut Load, findings: &Findings) -> Result<(), Refusal> {
    let carrying = findings.carrying.as_ref();
    let supports = carrying.map_or(&[][..], |carrying| &carrying.supports);
    let mut changed = false;
    // A beam that cannot be placed has no support, so their places in the lists differ.
    for (support, carried) in findings.supports.iter().zip(supports) {
        let beam = load.beams.get_mut(support.beam);
        if let Some((beam, (add_m, _))) = beam.zip(carried.shim()) {
            // Taking all out leaves none, whatever rounding makes of it.
            beam.shim_m = (beam.shim_m + add_m).max(0.0);
            changed = true;
        }
    }
    if changed {
        Ok(())
    } else {
        Err(Refusal::NoShims)
    }
}
