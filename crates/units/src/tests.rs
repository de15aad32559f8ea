#![allow(clippy::unwrap_used)]

use crate::quantity::{Quantity, Sentence, Unit};
use proptest::prelude::*;

use super::*;

fn metric(value_m: f64) -> String {
    write(Quantity::length(value_m), Units::Metric)
}

fn imperial(value_m: f64) -> String {
    write(Quantity::length(value_m), Units::Imperial)
}

#[test]
fn metric_lengths_are_millimetres_under_a_metre() {
    for (value_m, text) in [
        (0.148, "148 mm"),
        (3.42, "3.42 m"),
        (0.0, "0 mm"),
        (-0.0, "0 mm"),
        (-1e-9, "0 mm"),
        (-0.0004, "-0.4 mm"),
        (-0.0035, "-4 mm"),
        (0.9994, "999 mm"),
        (0.9996, "1.00 m"),
        (-0.9996, "-1.00 m"),
        (12_000.0, "12,000.00 m"),
        (f64::NAN, "not known"),
        (f64::INFINITY, "not known"),
    ] {
        assert_eq!(metric(value_m), text, "{value_m}");
    }
}

#[test]
fn imperial_lengths_are_feet_inches_and_sixteenths_then_eighths() {
    const IN: f64 = 0.0254;
    for (value_m, text) in [
        (5.875 * IN, "5 7/8 in"),
        (0.024, "15/16 in"),
        (0.025, "1 in"),
        (11.95 * IN, "11 15/16 in"),
        (11.99 * IN, "1 ft"),
        (11.9 * IN, "11 7/8 in"),
        (24.0 * IN, "2 ft"),
        (24.06 * IN, "2 ft 1/16 in"),
        (35.98 * IN, "3 ft"),
        (36.06 * IN, "3 ft"),
        (135.5 * IN, "11 ft 3 1/2 in"),
        (135.44 * IN, "11 ft 3 1/2 in"),
        (0.5 * IN, "1/2 in"),
        (0.0, "0 in"),
        (-0.0, "0 in"),
        (-0.25 * IN, "-1/4 in"),
        (-0.01 * IN, "-1/64 in"),
        (-0.001 * IN, "-0.001 in"),
        (36_000.0 * IN, "3,000 ft"),
    ] {
        assert_eq!(imperial(value_m), text, "{value_m}");
    }
}

/// By hand: half a 16th of an inch is 0.79 mm.
#[test]
fn a_gap_of_up_to_a_yard_is_written_within_eight_tenths_of_a_millimetre() {
    for tenths in 0..9_140 {
        let gap_m = f64::from(tenths) / 10_000.0;
        let back = parse_length(&imperial(gap_m), Units::Imperial).unwrap();
        assert!((back - gap_m).abs() < 0.000_8, "{gap_m}: {back}");
    }
}

#[test]
fn masses_forces_angles_and_counts() {
    assert_eq!(write(Quantity::mass(12_345.4), Units::Metric), "12,345 kg");
    assert_eq!(write(Quantity::mass(1000.0), Units::Imperial), "2,205 lb");
    assert_eq!(write(Quantity::angle(0.1), Units::Metric), "5.7°");
    assert_eq!(write(Quantity::angle(-1e-9), Units::Metric), "0.0°");
    assert_eq!(write(Quantity::count(7), Units::Metric), "7");
    let force = Quantity {
        value: 12_345.0,
        unit: crate::quantity::Unit::Force,
    };
    assert_eq!(write(force, Units::Metric), "12.3 kN");
    assert_eq!(write(force, Units::Imperial), "2,775 lbf");
    let moment = Quantity::moment(48_200.0);
    assert_eq!(write(moment, Units::Metric), "48.2 kN\u{b7}m");
    // 48,200 N·m over 1.355818 N·m in a pound-force foot.
    assert_eq!(write(moment, Units::Imperial), "35,550 lbf\u{b7}ft");
    for (value, text) in [
        (1.67, "1.67"),
        (2.0, "2"),
        (0.3, "0.3"),
        (200.0, "200"),
        (-0.001, "-0.001"),
    ] {
        assert_eq!(write(Quantity::factor(value), Units::Imperial), text);
    }
}

#[test]
fn rounding_never_hides_a_verdict() {
    let pair = |a, b, units| write_together(&[Quantity::length(a), Quantity::length(b)], units);
    assert_eq!(pair(0.1496, 0.150, Units::Metric), ["149.6 mm", "150.0 mm"]);
    assert_eq!(pair(0.149, 0.150, Units::Metric), ["149 mm", "150 mm"]);
    assert_eq!(pair(0.150, 0.150, Units::Metric), ["150 mm", "150 mm"]);
    assert_eq!(pair(4.196, 4.2, Units::Metric), ["4.196 m", "4.200 m"]);
    assert_eq!(
        pair(0.1496, 0.150, Units::Imperial),
        ["5 7/8 in", "5 29/32 in"]
    );
    assert_eq!(
        pair(1.2001, 1.2, Units::Imperial),
        ["3 ft 11.248 in", "3 ft 11.244 in"]
    );
    assert_eq!(
        pair(0.149_998, 0.15, Units::Imperial),
        ["5.905 in", "5.906 in"]
    );
    let says = Sentence::new("gap")
        .length(0.1496)
        .words(", asked")
        .length(0.150);
    assert_eq!(
        sentence(&says, Units::Metric),
        "gap 149.6 mm, asked 150.0 mm"
    );
}

#[test]
fn lengths_as_people_type_them() {
    const IN: f64 = 0.0254;
    let near = |text: &str, units, want: f64| {
        let found = parse_length(text, units).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!((found - want).abs() < 1e-12, "{text}: {found} for {want}");
    };
    for (text, want_m) in [
        ("3.42 m", 3.42),
        ("3,42 m", 3.42),
        ("0,148 m", 0.148),
        ("342cm", 3.42),
        ("148", 0.148),
        ("148 mm", 0.148),
        ("-12 mm", -0.012),
        ("- 12", -0.012),
        ("3 m 42 cm", 3.42),
        ("5 7/8\"", 5.875 * IN),
        ("5⅞ in", 5.875 * IN),
        ("7/8 in", 0.875 * IN),
        ("11'3.5\"", 135.5 * IN),
        ("11'3.5", 135.5 * IN),
        ("11 ft 3 1/2 in", 135.5 * IN),
        ("11 ft. 3 in.", 135.0 * IN),
        ("11'-3 1/2\"", 135.5 * IN),
        ("11’ 3”", 135.0 * IN),
        ("11' 3''", 135.0 * IN),
        ("2 feet", 24.0 * IN),
        ("0", 0.0),
        ("-0", 0.0),
    ] {
        near(text, Units::Metric, want_m);
    }
    near("148", Units::Imperial, 148.0 * IN);
    near("5 7/8", Units::Imperial, 5.875 * IN);
    near("5.5", Units::Imperial, 5.5 * IN);
    assert!(
        parse_length("-0", Units::Metric)
            .unwrap()
            .is_sign_positive()
    );
}

#[test]
fn what_is_no_length_says_why() {
    use TypedError as E;
    let error = |text: &str| parse_length(text, Units::Metric).unwrap_err();
    assert!(matches!(error(" "), E::Empty { .. }));
    assert!(matches!(error("3.42"), E::UnitMissing(_)));
    assert!(matches!(error("1,234 mm"), E::Ambiguous(_)));
    assert!(matches!(error("1,234.5 mm"), E::Ambiguous(_)));
    assert!(matches!(error("3 in 2 ft"), E::Mixed(_)));
    assert!(matches!(error("1 m 2 in"), E::Mixed(_)));
    assert!(matches!(error("2 m 2"), E::Mixed(_)));
    assert!(matches!(error("12 furlongs"), E::NotUnderstood { .. }));
    assert!(matches!(error("1/0 in"), E::NotUnderstood { .. }));
    assert!(matches!(error("7/8"), E::UnitMissing(_)));
    assert!(matches!(error("mm"), E::NotUnderstood { .. }));
    assert!(matches!(error("1.2.3 m"), E::NotUnderstood { .. }));
    assert!(matches!(error("nan"), E::NotUnderstood { .. }));
    assert!(matches!(error("999999 m"), E::TooLarge(_)));
}

#[test]
fn weights_as_people_type_them() {
    const LB: f64 = 0.453_592_37;
    for (text, units, want_kg) in [
        ("850", Units::Metric, 850.0),
        ("850", Units::Imperial, 850.0 * LB),
        ("6,800 kg", Units::Imperial, 6_800.0),
        ("6 800 kg", Units::Metric, 6_800.0),
        ("1,234.5", Units::Metric, 1_234.5),
        ("12,345,678 lbs", Units::Metric, 12_345_678.0 * LB),
        ("6,5 t", Units::Metric, 6_500.0),
        ("0,148 t", Units::Metric, 148.0),
        ("1.2 tonnes", Units::Imperial, 1_200.0),
        ("\u{2212}40", Units::Metric, -40.0),
        ("100 LB.", Units::Metric, 100.0 * LB),
    ] {
        let found = parse_mass(text, units).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!(
            (found - want_kg).abs() < 1e-9 * want_kg.abs(),
            "{text}: {found}"
        );
    }
}

/// By hand: 1 lbf/in is 4.448222 N over 0.0254 m, 175.1268 N/m.
#[test]
fn stiffnesses_are_written_and_typed() {
    let written = |value, units| write(Quantity::stiffness(value), units);
    assert_eq!(written(2.0e6, Units::Metric), "2,000 kN/m");
    assert_eq!(written(2.0e6, Units::Imperial), "11,420 lbf/in");
    for (text, units, want) in [
        ("800", Units::Metric, 8.0e5),
        ("800 kN/m", Units::Imperial, 8.0e5),
        ("2 kN/mm", Units::Metric, 2.0e6),
        ("800 N/mm", Units::Metric, 8.0e5),
        ("4,500", Units::Imperial, 4_500.0 * 175.126_835),
        ("4500 lb/in", Units::Metric, 4_500.0 * 175.126_835),
    ] {
        let found = parse(text, Unit::Stiffness, units);
        let found = found.unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!((found - want).abs() < 1e-6 * want, "{text}: {found}");
    }
    let error = parse("soft", Unit::Stiffness, Units::Metric).unwrap_err();
    assert!(error.to_string().contains("800 kN/m"), "{error}");
    assert!(parse("800 kN", Unit::Stiffness, Units::Metric).is_err());
}

#[test]
fn angles_as_people_type_them() {
    let slope = |rise: f64| rise.atan();
    for (text, want_rad) in [
        ("1.5", 1.5_f64.to_radians()),
        ("1,5\u{b0}", 1.5_f64.to_radians()),
        ("-2 deg", -2_f64.to_radians()),
        ("3 Degrees", 3_f64.to_radians()),
        ("2 %", slope(0.02)),
        ("-2.5%", slope(-0.025)),
        ("1:40", slope(1.0 / 40.0)),
        ("-1 in 12", slope(-1.0 / 12.0)),
        ("1 : 7.5", slope(1.0 / 7.5)),
    ] {
        let found = parse_angle(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!((found - want_rad).abs() < 1e-12, "{text}: {found}");
    }
}

#[test]
fn what_is_no_weight_or_angle_says_what_would_be() {
    use TypedError as E;
    let mass = |text: &str| parse_mass(text, Units::Metric).unwrap_err();
    assert!(mass("much").to_string().contains("850 kg"));
    assert!(matches!(mass(" "), E::Empty { .. }));
    assert!(matches!(mass("kg"), E::NotUnderstood { .. }));
    assert!(matches!(mass("12 tons"), E::NotUnderstood { found, .. } if found == "tons"));
    for ambiguous in ["1.234,5", "12,34.5", "6,800 t", "1,2,3"] {
        assert!(matches!(mass(ambiguous), E::Ambiguous(_)), "{ambiguous}");
    }
    for nonsense in [
        "1 2 kg", "5 7/8 kg", "1.2.3", "nan", "--3", "3-4", "1e999", "inf",
    ] {
        assert!(
            matches!(mass(nonsense), E::NotUnderstood { .. }),
            "{nonsense}"
        );
    }
    assert!(matches!(mass("99999999999 kg"), E::TooLarge(_)));
    for nonsense in ["", "1:0", "1:", "1 in -4", "3 kg", "%", "400"] {
        assert!(parse_angle(nonsense).is_err(), "{nonsense}");
    }
}

#[test]
fn what_is_written_can_be_typed_again() {
    let force = |value| Quantity {
        value,
        unit: crate::quantity::Unit::Force,
    };
    for units in [Units::Metric, Units::Imperial] {
        for quantity in [
            Quantity::angle(0.0261),
            Quantity::angle(-0.05),
            Quantity::mass(6_800.0),
            Quantity::mass(90.0),
            Quantity::length(-6.25),
            Quantity::length(0.083),
            Quantity::count(1_200),
            force(12_345.0),
            Quantity::moment(48_200.0),
            Quantity::factor(1.67),
            Quantity::factor(200.0),
        ] {
            let text = write(quantity, units);
            let value = parse(&text, quantity.unit, units).unwrap();
            let miss = (value - quantity.value).abs();
            assert!(
                miss < 0.004 * quantity.value.abs().max(0.5),
                "{text} gave {value}"
            );
        }
    }
}

proptest! {
    #[test]
    fn any_text_is_a_figure_or_an_error(text in "\\PC{0,24}|[-0-9., :%in°kgtlb]{0,12}") {
        use crate::quantity::Unit;
        for units in [Units::Metric, Units::Imperial] {
            for unit in [Unit::Length, Unit::Mass, Unit::Angle, Unit::Force, Unit::Count, Unit::Moment, Unit::Factor] {
                if let Ok(value) = parse(&text, unit, units) {
                    prop_assert!(value.is_finite());
                }
            }
        }
    }

    #[test]
    fn what_is_written_reads_back_within_half_a_step(value_m in -50.0..50.0_f64) {
        for (units, step_m) in [(Units::Metric, 0.01), (Units::Imperial, 0.0254 / 8.0)] {
            let text = write(Quantity::length(value_m), units);
            let back = parse_length(&text, units).unwrap();
            prop_assert!((back - value_m).abs() <= step_m / 2.0 + 1e-9, "{text}: {back} for {value_m}");
        }
    }

    #[test]
    fn no_feet_are_left_among_the_inches(eighths in 1_u32..4000, off in -0.49..0.49_f64) {
        let text = imperial((f64::from(eighths) + off) * 0.0254 / 8.0);
        let after_feet = text.split_once("ft").map_or(text.as_str(), |(_, after)| after);
        let inches: u32 = after_feet
            .split_whitespace()
            .find_map(|word| word.parse().ok())
            .unwrap_or(0);
        prop_assert!(inches < 12, "{text}");
        prop_assert!(!text.starts_with('-'), "{text}");
    }

    #[test]
    fn figures_that_differ_read_so_and_in_their_order(
        a in 0.0..6.0_f64,
        off in prop::array::uniform2(prop_oneof![-1e-2..1e-2_f64, -1e-5..1e-5_f64]),
    ) {
        for units in [Units::Metric, Units::Imperial] {
            let values = [a, a + off[0], a + off[1]];
            let written = write_together(&values.map(Quantity::length), units);
            let read: Vec<f64> = written
                .iter()
                .map(|text| parse_length(text, units).unwrap())
                .collect();
            for (i, j) in [(0, 1), (0, 2), (1, 2)] {
                if (values[i] - values[j]).abs() > 1e-6 {
                    prop_assert_eq!(values[i] < values[j], read[i] < read[j], "{:?}", &written);
                    prop_assert_ne!(&written[i], &written[j]);
                }
            }
        }
    }
}

/// By hand: 120 l of 840 kg/m³; 231 in³ of 1000 kg/m³ is 3.785 411 784 kg.
#[test]
fn liquids_are_weighed_by_their_volume() {
    for (text, kg) in [
        ("120 l diesel", 100.8),
        ("120 litres of diesel", 100.8),
        ("10 gal water", 37.854_117_84),
        ("10 imp gal fresh water", 45.460_9),
        ("100 l bilge water", 102.5),
        ("40 L petrol", 30.0),
    ] {
        for units in [Units::Metric, Units::Imperial] {
            let found = parse_mass(text, units).unwrap();
            assert!((found - kg).abs() < 1e-9, "{text}: {found}");
        }
    }
    for text in [
        "120 diesel",
        "diesel",
        "12 kg water",
        "1e9 l water",
        "ten l water",
    ] {
        assert!(parse_mass(text, Units::Metric).is_err(), "{text}");
    }
}
