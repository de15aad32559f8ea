//! A figure as text.

use crate::quantity::{Quantity, Unit};

use super::Units;

/// The finest detail written: figures further apart than [`HAIR`] read differently in it.
pub(super) const MOST_DETAIL: u8 = 5;
/// The finest detail in which inches are parted in halves, quarters and so on; then come decimals.
const MOST_FRACTION: u8 = 3;
/// Lengths below this are parted finer: where metric lengths are in millimetres, about, m.
const YARD_M: f64 = 36.0 * INCH_M;
/// Metres in an inch.
pub(super) const INCH_M: f64 = 0.0254;
/// Kilograms in a pound.
pub(super) const POUND_KG: f64 = 0.453_592_37;
/// Newtons in a pound-force.
pub(super) const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
/// Newton metres in a pound-force foot.
pub(super) const POUND_FOOT_NM: f64 = POUND_FORCE_N * 12.0 * INCH_M;
/// Pascals in a pound-force per square inch.
pub(super) const PSI_PA: f64 = POUND_FORCE_N / (INCH_M * INCH_M);
/// Newtons a metre in a pound-force an inch.
pub(super) const POUND_FORCE_INCH: f64 = POUND_FORCE_N / INCH_M;
/// Metres a second in a mile an hour.
pub(super) const MILE_AN_HOUR: f64 = 0.447_04;
/// Closer than this (in its SI unit) two figures are one: arithmetic tells them apart, not a tape.
const HAIR: f64 = 1e-6;

/// Whether two figures differ by more than arithmetic.
pub(super) fn differ(a: f64, b: f64) -> bool {
    (a - b).abs() > HAIR
}

/// The least detail at which the sign can be read.
pub(super) fn least_detail(quantity: Quantity, units: Units) -> u8 {
    (0..MOST_DETAIL)
        .find(|&detail| {
            quantity.value >= -HAIR
                || quantity.unit == Unit::Count
                || figure(quantity, units, detail).starts_with('-')
        })
        .unwrap_or(MOST_DETAIL)
}

/// The figure with `detail` more digits than usual.
pub(super) fn figure(quantity: Quantity, units: Units, detail: u8) -> String {
    let value = quantity.value;
    if !value.is_finite() {
        return "not known".into();
    }
    let digits = usize::from(detail);
    match (quantity.unit, units) {
        (Unit::Length, Units::Metric) => metric_length(value, digits),
        (Unit::Length, Units::Imperial) => imperial_length(value, detail),
        (Unit::Thickness, Units::Metric) => {
            format!("{} mm", grouped(value * 1000.0, 2 + digits))
        }
        (Unit::Thickness, Units::Imperial) => format!("{} in", grouped(value / INCH_M, 3 + digits)),
        (Unit::Mass, Units::Metric) => format!("{} kg", grouped(value, digits)),
        (Unit::Mass, Units::Imperial) => format!("{} lb", grouped(value / POUND_KG, digits)),
        (Unit::Force, Units::Metric) => format!("{} kN", grouped(value / 1000.0, 1 + digits)),
        (Unit::Force, Units::Imperial) => {
            format!("{} lbf", grouped(value / POUND_FORCE_N, digits))
        }
        (Unit::Angle, _) => format!("{}°", grouped(value.to_degrees(), 1 + digits)),
        (Unit::Count, _) => grouped(value, 0),
        (Unit::Pressure, Units::Metric) => pascals(value, digits),
        (Unit::Pressure, Units::Imperial) => format!("{} psi", grouped(value / PSI_PA, 1 + digits)),
        (Unit::Ratio, _) => format!("{} %", grouped(value * 100.0, digits)),
        (Unit::Gravity, _) => format!("{} g", grouped(value, 2 + digits)),
        (Unit::Speed, Units::Metric) => format!("{} m/s", grouped(value, digits)),
        (Unit::Speed, Units::Imperial) => format!("{} mph", grouped(value / MILE_AN_HOUR, digits)),
        (Unit::Moment, Units::Metric) => {
            format!("{} kN\u{b7}m", grouped(value / 1000.0, 1 + digits))
        }
        (Unit::Moment, Units::Imperial) => {
            format!("{} lbf\u{b7}ft", grouped(value / POUND_FOOT_NM, digits))
        }
        (Unit::Stiffness, Units::Metric) => format!("{} kN/m", grouped(value / 1000.0, digits)),
        (Unit::Stiffness, Units::Imperial) => {
            format!("{} lbf/in", grouped(value / POUND_FORCE_INCH, digits))
        }
        (Unit::Factor, _) => plain(value, digits),
    }
}

/// A number with this many decimals and commas between thousands; never "-0".
fn grouped(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let (whole, fraction) = match text.split_once('.') {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (text.as_str(), None),
    };
    let mut out = String::new();
    if value < 0.0 && text.contains(|c: char| c.is_ascii_digit() && c != '0') {
        out.push('-');
    }
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if let Some(fraction) = fraction {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

/// A plain number with as many of two decimals as it needs.
fn plain(value: f64, digits: usize) -> String {
    let text = grouped(value, 2 + digits);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// Kilopascals under a megapascal, else megapascals with two decimals.
fn pascals(value_pa: f64, digits: usize) -> String {
    if value_pa.abs() < 999_500.0 {
        format!("{} kPa", grouped(value_pa / 1.0e3, digits))
    } else {
        format!("{} MPa", grouped(value_pa / 1.0e6, 2 + digits))
    }
}

/// Millimetres under a metre, else metres with two decimals.
fn metric_length(value_m: f64, digits: usize) -> String {
    let millimetres = format!("{:.digits$}", (value_m * 1000.0).abs());
    // 999.6 mm carries to 1.00 m.
    let under_a_metre = millimetres.parse::<f64>().is_ok_and(|mm| mm < 1000.0);
    if under_a_metre {
        format!("{} mm", grouped(value_m * 1000.0, digits))
    } else {
        format!("{} m", grouped(value_m, 2 + digits))
    }
}

/// Feet and inches: to a 16th below three feet, to an eighth above; with more detail down to a
/// 64th, then in decimals.
fn imperial_length(value_m: f64, detail: u8) -> String {
    if detail > MOST_FRACTION {
        // Three decimals, then five.
        return decimal_inches(value_m, usize::from(detail - MOST_FRACTION) * 2 + 1);
    }
    let coarsest = if value_m.abs() < YARD_M { 16 } else { 8 };
    let parts = (coarsest << detail).min(64_u64);
    let (sign, feet, rest) = feet_and(value_m, parts);
    let (inches, rest) = (rest / parts, rest % parts);
    let mut words = Vec::new();
    if inches > 0 || (rest == 0 && feet == 0) {
        words.push(inches.to_string());
    }
    if rest > 0 {
        // Halves, quarters and so on in lowest terms: the denominator is a power of two.
        let shared = rest.trailing_zeros().min(parts.trailing_zeros());
        words.push(format!("{}/{}", rest >> shared, parts >> shared));
    }
    let inches = (!words.is_empty()).then(|| format!("{} in", words.join(" ")));
    joined(sign, feet, inches)
}

/// Feet and inches with this many decimals.
fn decimal_inches(value_m: f64, decimals: usize) -> String {
    let parts = 10_u64.pow(decimals as u32);
    let (sign, feet, rest) = feet_and(value_m, parts);
    let (inches, rest) = (rest / parts, rest % parts);
    joined(sign, feet, Some(format!("{inches}.{rest:0decimals$} in")))
}

/// Sign, whole feet, and what is left in parts of an inch. All rounding is done once, in the
/// smallest part, so that nothing is left to carry.
fn feet_and(value_m: f64, parts: u64) -> (&'static str, u64, u64) {
    let total = (value_m.abs() / INCH_M * parts as f64).round() as u64;
    let sign = if value_m < 0.0 && total > 0 { "-" } else { "" };
    (sign, total / (12 * parts), total % (12 * parts))
}

fn joined(sign: &str, feet: u64, inches: Option<String>) -> String {
    let feet = (feet > 0).then(|| format!("{} ft", grouped(feet as f64, 0)));
    let words: Vec<String> = feet.into_iter().chain(inches).collect();
    format!("{sign}{}", words.join(" "))
}
