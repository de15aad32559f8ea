//! What carries and what steadies, in words.

use keelstead::findings::{Findings, Support};
use keelstead_statics::carrying::{Carried, Carrying, KeelStation, LimitState, Utilisation};
use keelstead_statics::steadying::{PadLoad, Push, Side, Steadying};
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, sentence, write};

use super::capital;

/// Who does what, said wherever loads are shown.
pub const RULE: &str = "Beams and blocks carry; pads only steady.";

/// Why there are no loads to show.
pub const NO_LOADS: &str = "Loads are not known: the findings say why.";

pub(crate) fn force(value_n: f64, units: Units) -> String {
    write(Quantity::force(value_n), units)
}

pub(crate) fn ratio(value: f64, units: Units) -> String {
    write(Quantity::ratio(value), units)
}

fn gravity(value: f64, units: Units) -> String {
    write(Quantity::gravity(value), units)
}

fn length(value_m: f64, units: Units) -> String {
    write(Quantity::length(value_m), units)
}

/// Load and share: "24.1 kN, 35 %".
pub fn load(carried: &Carried, units: Units) -> String {
    let share = ratio(carried.share, units);
    format!("{}, {share}", force(carried.load_n, units))
}

/// What stands in place of a figure that is being worked out.
const PENDING: &str = "\u{2026}";

/// Least and greatest load within the tolerances: "20.1 kN to 28.0 kN".
pub fn range(carried: &Carried, units: Units) -> String {
    if carried.is_pending() {
        return PENDING.to_owned();
    }
    let (least, most) = (carried.least_n, carried.most_n);
    format!("{} to {}", force(least, units), force(most, units))
}

/// What must be closed before an idle stack carries; none where it carries.
pub fn to_close(carried: &Carried, units: Units) -> Option<String> {
    match carried.gap_m {
        _ if carried.load_n > 0.0 => None,
        Some(gap_m) => Some(length(gap_m, units)),
        None => Some("no hull above".to_owned()),
    }
}

/// The same in full: it is less than the gap before the boat's weight came on.
pub fn to_close_in_full(carried: &Carried, units: Units) -> Option<String> {
    let close = to_close(carried, units)?;
    let reached = carried.gap_m.is_some();
    Some(if reached {
        format!("{close}, once the others have given")
    } else {
        close
    })
}

/// The check in a word or two, for labels.
pub fn short_check(check: LimitState) -> &'static str {
    match check {
        LimitState::RailBearing | LimitState::AcrossGrain | LimitState::AlongGrain => "bearing",
        LimitState::StackHeight => "height",
        LimitState::KeelPressure => "keel pressure",
        LimitState::Slip => "slip",
        LimitState::Bending | LimitState::Shear | LimitState::Deflection => check.word(),
    }
}

/// A use for a label: "64 %: bearing".
pub fn used(used: &Utilisation, units: Units) -> String {
    format!(
        "{}: {}",
        percent(used.ratio, units),
        short_check(used.check)
    )
}

/// A use in full: "Clear: block 1, bearing across the grain 64 %, at most 71 %".
pub fn used_in_full(used: &Utilisation, units: Units) -> String {
    let verdict = super::verdict(used.verdict());
    let (member, check) = (used.member, used.check.word());
    let now = percent(used.ratio, units);
    match (used.ratio, used.worst_ratio) {
        (Some(_), Some(worst)) if !used.pending => {
            let most = ratio(worst, units);
            format!("{verdict}: {member}, {check} {now}, at most {most}")
        }
        _ => format!("{verdict}: {member}, {check} {now}"),
    }
}

/// The most that a part is used within the tolerances, in percent, or that it is not known.
pub fn at_most(used: &Utilisation, units: Units) -> String {
    match used.pending {
        true => PENDING.to_owned(),
        false => percent(used.worst_ratio, units),
    }
}

/// A ratio in percent, or that it is not known.
pub fn percent(value: Option<f64>, units: Units) -> String {
    value.map_or_else(|| "not known".to_owned(), |value| ratio(value, units))
}

/// The shim advised, as an instruction; none where the stack stays as it is.
pub fn shim(support: &Support, carried: &Carried, units: Units) -> Option<String> {
    let advice = carried.shim_advice(&support.name)?;
    Some(capital(&sentence(&advice, units)))
}

/// The shims advised, as instructions.
pub fn shims(findings: &Findings, carrying: &Carrying, units: Units) -> Vec<String> {
    let each = findings.supports.iter().zip(&carrying.supports);
    each.filter_map(|(support, carried)| shim(support, carried, units))
        .collect()
}

/// What is said where no shim is advised.
pub const NO_SHIMS: &str = "Shims would share it no better.";

/// Stretches of keel that nothing supports: what and how long.
pub fn stretches(carrying: &Carrying, units: Units) -> [(&'static str, String); 3] {
    [
        ("Longest span", length(carrying.longest_span_m, units)),
        ("Bow overhang", length(carrying.bow_overhang_m, units)),
        ("Stern overhang", length(carrying.stern_overhang_m, units)),
    ]
}

/// The keel's hardest stations: "sags by 3.2 kN·m at most, hogs by 12.1 kN·m, shear 20.1 kN".
pub fn keel(carrying: &Carrying, units: Units) -> Option<String> {
    let by = |of: fn(&KeelStation) -> f64| {
        let stations = carrying.keel.iter();
        stations.map(of).max_by(f64::total_cmp)
    };
    let sag = by(|k| k.moment_nm)?.max(0.0);
    let hog = by(|k| -k.moment_nm)?.max(0.0);
    let shear = by(|k| k.shear_n.abs())?;
    let moment = |value| write(Quantity::moment(value), units);
    Some(format!(
        "Keel between the supports: sags by {} at most, hogs by {}, shear up to {}.",
        moment(sag),
        moment(hog),
        force(shear, units)
    ))
}

/// The diagram of shares for those who listen, from the bow: "beam in pocket 8: 24.1 kN, 35 %".
pub fn shares(findings: &Findings, carrying: &Carrying, units: Units) -> String {
    let mut each: Vec<_> = findings.supports.iter().zip(&carrying.supports).collect();
    each.sort_by(|a, b| b.0.top.x_m.total_cmp(&a.0.top.x_m));
    let each = each
        .into_iter()
        .map(|(support, carried)| format!("{}: {}", support.name, load(carried, units)));
    let each: Vec<String> = each.collect();
    format!("Load shares from the bow: {}", each.join("; "))
}

/// What a pad must hold: "up to 12.3 kN in the hardest turn".
pub fn pad_force(steadying: &Steadying, load: &PadLoad, units: Units) -> String {
    let push = load.push.and_then(|i| steadying.pushes.get(i));
    match push {
        Some(push) => format!("up to {} {}", force(load.most_n, units), push.kind.word()),
        None => "nothing asked presses it".to_owned(),
    }
}

/// Of its rating: "64 % of 20.0 kN".
pub fn pad_rating(load: &PadLoad, rating_n: Option<f64>, units: Units) -> String {
    match (load.rating_ratio, rating_n) {
        (Some(used), Some(rating_n)) => {
            format!("{} of {}", ratio(used, units), force(rating_n, units))
        }
        _ => "rating not known".to_owned(),
    }
}

/// Pressure on the hull: "96 kPa, 64 % of what is asked".
pub fn pad_pressure(load: &PadLoad, units: Units) -> String {
    let pressure = write(Quantity::pressure(load.pressure_pa), units);
    let used = ratio(load.pressure_ratio, units);
    format!("{pressure}, {used} of what the hull may take")
}

/// What a pad carries at rest, which it is not meant to; none if nothing.
pub fn pad_at_rest(load: &PadLoad, units: Units) -> Option<String> {
    let leans = load.rest_n > 0.0;
    leans.then(|| {
        format!(
            "carries {}, which pads are not meant to",
            force(load.rest_n, units)
        )
    })
}

/// How far the boat is held, and the rig: what and by how much.
pub fn margins(steadying: &Steadying, units: Units) -> [(&'static str, String); 5] {
    let held = steadying.with_pads_g;
    let roll = steadying.rollover.as_ref();
    let not_known = || "not known: the trailer's own weight is missing".to_owned();
    [
        (
            "Keel alone",
            format!("upset at {}", gravity(steadying.keel_alone_g, units)),
        ),
        (
            "With pads",
            held.map_or_else(
                || "not known: a pad has no rating, or none touches".to_owned(),
                |held| format!("held up to {}", gravity(held, units)),
            ),
        ),
        (
            "Pads at rest",
            format!(
                "carry {} of the boat",
                ratio(steadying.pad_weight_share, units)
            ),
        ),
        (
            "Rig rolls over",
            roll.map_or_else(not_known, |roll| {
                let leaning = gravity(roll.leaning_g, units);
                format!(
                    "at {leaning} ({} were it rigid)",
                    gravity(roll.rigid_g, units)
                )
            }),
        ),
        (
            "Common centre",
            roll.map_or_else(not_known, |roll| {
                format!("{} above the ground", length(roll.centre_height_m, units))
            }),
        ),
    ]
}

/// A push: what, to which side, how hard and whether it is held.
pub fn push(push: &Push, units: Units) -> String {
    let side = match push.to {
        Side::Left => "left",
        Side::Right => "right",
    };
    let held = if push.held { "held" } else { "not held" };
    let kind = capital(push.kind.word());
    format!(
        "{kind}, to the {side}: {}, {held}",
        force(push.force_n, units)
    )
}
