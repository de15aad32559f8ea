//! A figure as text.

use keelstead::quantity::{Quantity, Unit};

use super::Units;

/// The finest detail written.
pub(super) const MOST_DETAIL: u8 = 3;
/// Metres in an inch.
pub(super) const INCH_M: f64 = 0.0254;
/// Kilograms in a pound.
const POUND_KG: f64 = 0.453_592_37;
/// Newtons in a pound-force.
const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
/// Closer than this (m, kg, N, rad) two figures are one: arithmetic tells them apart, not a tape.
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
        (Unit::Mass, Units::Metric) => format!("{} kg", grouped(value, digits)),
        (Unit::Mass, Units::Imperial) => format!("{} lb", grouped(value / POUND_KG, digits)),
        (Unit::Force, Units::Metric) => format!("{} kN", grouped(value / 1000.0, 1 + digits)),
        (Unit::Force, Units::Imperial) => {
            format!("{} lbf", grouped(value / POUND_FORCE_N, digits))
        }
        (Unit::Angle, _) => format!("{}°", grouped(value.to_degrees(), 1 + digits)),
        (Unit::Count, _) => grouped(value, 0),
    }
}

/// A number with this many decimals and commas between thousands; never "-0".
pub(crate) fn grouped(value: f64, decimals: usize) -> String {
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

/// Feet and inches to an eighth; with more detail to a 16th, 32nd, 64th.
fn imperial_length(value_m: f64, detail: u8) -> String {
    let parts = 8_u64 << detail;
    // All rounding is done once, in the smallest part, so that nothing is left to carry.
    let total = (value_m.abs() / INCH_M * parts as f64).round() as u64;
    let sign = if value_m < 0.0 && total > 0 { "-" } else { "" };
    let feet = total / (12 * parts);
    let inches = total / parts % 12;
    let rest = total % parts;
    let mut out = String::from(sign);
    if feet > 0 {
        out.push_str(&format!("{} ft", grouped(feet as f64, 0)));
        if inches == 0 && rest == 0 {
            return out;
        }
        out.push(' ');
    }
    if inches > 0 || rest == 0 {
        out.push_str(&inches.to_string());
    }
    if rest > 0 {
        if inches > 0 {
            out.push(' ');
        }
        // Halves, quarters and so on in lowest terms: the denominator is a power of two.
        let shared = rest.trailing_zeros().min(parts.trailing_zeros());
        out.push_str(&format!("{}/{}", rest >> shared, parts >> shared));
    }
    out.push_str(" in");
    out
}
