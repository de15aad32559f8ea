//! Text being typed: kept until it makes sense or is given up, with what is wrong under it.

use egui::{Id, Key, TextEdit, Ui, Vec2};
use keelstead::quantity::Unit;
use keelstead_files::units::{self, Units};

use super::field::{lines_edit, select_all, text_edit, wrong_ui};

/// What stands in a field that is not (yet) a value.
#[derive(Debug, Clone, Default)]
struct Typed {
    text: String,
    wrong: Option<String>,
}

fn load(ui: &Ui, id: Id) -> Option<Typed> {
    ui.data(|data| data.get_temp::<Option<Typed>>(id)).flatten()
}

fn store(ui: &Ui, id: Id, typed: Option<Typed>) {
    ui.data_mut(|data| data.insert_temp(id, typed));
}

/// A text field that shows `shown` until someone types; returns what `parse` made of the text when
/// they are done. Escape gives up.
pub(super) fn text_ui<T>(
    ui: &mut Ui,
    id: Id,
    shown: &str,
    size: Vec2,
    label: Id,
    parse: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    edit_ui(ui, id, shown, label, parse, |text, id| {
        text_edit(text, id, size)
    })
}

/// The same for a text of several lines, which is done when the field is left.
pub(super) fn lines_ui(ui: &mut Ui, id: Id, shown: &str, size: Vec2, label: Id) -> Option<String> {
    let whole = |text: &str| Ok(text.to_owned());
    edit_ui(ui, id, shown, label, whole, |text, id| {
        lines_edit(text, id, size)
    })
}

fn edit_ui<T>(
    ui: &mut Ui,
    id: Id,
    shown: &str,
    label: Id,
    parse: impl Fn(&str) -> Result<T, String>,
    edit: impl for<'t> FnOnce(&'t mut String, Id) -> TextEdit<'t>,
) -> Option<T> {
    let mut typed = load(ui, id).unwrap_or_else(|| Typed {
        text: shown.to_owned(),
        wrong: None,
    });
    let edit_id = id.with("text");
    let mut output = edit(&mut typed.text, edit_id).show(ui);
    let response = output.response.response.clone().labelled_by(label);
    if response.gained_focus() {
        let length = typed.text.chars().count();
        select_all(&mut output, ui, length);
    }
    if response.has_focus() {
        if response.changed() {
            typed.wrong = None;
        }
        store(ui, id, Some(typed));
        return None;
    }
    if !response.lost_focus() {
        return None;
    }
    let given_up = ui.input(|input| input.key_pressed(Key::Escape));
    if given_up || typed.text == shown {
        store(ui, id, None);
        return None;
    }
    match parse(&typed.text) {
        Ok(value) => {
            store(ui, id, None);
            Some(value)
        }
        Err(wrong) => {
            typed.wrong = Some(wrong);
            store(ui, id, Some(typed));
            None
        }
    }
}

/// What is wrong with what stands in the field, if anything is.
pub(super) fn error_ui(ui: &mut Ui, id: Id) {
    if let Some(wrong) = load(ui, id).and_then(|typed| typed.wrong) {
        wrong_ui(ui, &wrong);
    }
}

/// A figure from text, in its SI unit.
pub(super) fn parse(text: &str, unit: Unit, units: Units) -> Result<f64, String> {
    match unit {
        Unit::Length => units::parse_length(text, units).map_err(|error| error.to_string()),
        Unit::Mass => parse_mass(text, units),
        Unit::Angle => number_of(
            text,
            &[("degrees", 1.0), ("deg", 1.0), ("\u{b0}", 1.0)],
            1.0,
        )
        .map(f64::to_radians)
        .ok_or_else(|| {
            format!("\u{201c}{text}\u{201d} is no angle; write degrees, as in 1.5\u{b0}")
        }),
        Unit::Force | Unit::Count => number_of(text, &[], 1.0)
            .ok_or_else(|| format!("\u{201c}{text}\u{201d} is not a number")),
    }
}

/// A mass as typed, kg: bare numbers are kilograms or pounds, as the reader's units are.
fn parse_mass(text: &str, units: Units) -> Result<f64, String> {
    const NAMES: [(&str, f64); 5] = [
        ("kg", 1.0),
        ("lbs", KG_PER_POUND),
        ("lb", KG_PER_POUND),
        ("tonnes", 1000.0),
        ("t", 1000.0),
    ];
    let (bare, example) = match units {
        Units::Metric => (1.0, "850 kg or 1.2 t"),
        Units::Imperial => (KG_PER_POUND, "850 lb"),
    };
    number_of(text, &NAMES, bare)
        .ok_or_else(|| format!("\u{201c}{text}\u{201d} is no weight; write for example {example}"))
}

/// The international pound, kg.
const KG_PER_POUND: f64 = 0.453_592_37;

/// A number with an optional unit after it, of which `names` says how much each is.
fn number_of(text: &str, names: &[(&str, f64)], bare: f64) -> Option<f64> {
    let text = text.trim().to_lowercase().replace('\u{2212}', "-");
    let (number, factor) = names
        .iter()
        .find_map(|(name, factor)| Some((text.strip_suffix(name)?, *factor)))
        .unwrap_or((&text, bare));
    // Thousands may be written with spaces, so spaces inside a number mean nothing.
    let digits: String = number.chars().filter(|c| !c.is_whitespace()).collect();
    let value: f64 = if is_grouped(&digits) {
        digits.replace(',', "").parse().ok()?
    } else if digits.contains(',') && digits.contains('.') {
        // Which of them parts the decimals is not guessed at.
        return None;
    } else {
        digits.replace(',', ".").parse().ok()?
    };
    value.is_finite().then_some(value * factor)
}

/// Whether commas part thousands, as figures are written here: "6,800" is not 6.8.
fn is_grouped(digits: &str) -> bool {
    let whole = digits.split('.').next().unwrap_or_default();
    let mut groups = whole.trim_start_matches(['-', '+']).split(',');
    let first = groups.next().unwrap_or_default();
    let rest: Vec<&str> = groups.collect();
    !rest.is_empty()
        && (1..=3).contains(&first.len())
        && rest.iter().all(|group| group.len() == 3)
        && digits
            .chars()
            .all(|c| c.is_ascii_digit() || "+-,.".contains(c))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use keelstead::quantity::Quantity;

    #[test]
    fn what_is_written_can_be_typed_again() {
        for units in [Units::Metric, Units::Imperial] {
            for quantity in [
                Quantity::angle(0.0261),
                Quantity::angle(-0.05),
                Quantity::mass(6_800.0),
                Quantity::mass(90.0),
                Quantity::length(-6.25),
                Quantity::length(0.083),
            ] {
                let text = units::write(quantity, units);
                let value = parse(&text, quantity.unit, units).unwrap();
                let miss = (value - quantity.value).abs();
                assert!(
                    miss < 0.004 * quantity.value.abs().max(0.5),
                    "{text} gave {value}"
                );
            }
        }
    }

    #[test]
    fn what_makes_no_sense_says_what_would() {
        assert!(
            parse("much", Unit::Mass, Units::Metric)
                .unwrap_err()
                .contains("850 kg")
        );
        assert!(parse("", Unit::Angle, Units::Metric).is_err());
        assert!(parse("1.234,5", Unit::Mass, Units::Metric).is_err());
        assert!(parse("12,34.5", Unit::Mass, Units::Metric).is_err());
        assert!(parse("nan", Unit::Angle, Units::Metric).is_err());
        assert!(parse("1e999", Unit::Mass, Units::Metric).is_err());
    }

    #[test]
    fn commas_part_thousands_where_three_digits_follow() {
        let kg = |text: &str| parse(text, Unit::Mass, Units::Metric).unwrap();
        assert_eq!(kg("6,800 kg"), 6_800.0);
        assert_eq!(kg("1,234.5"), 1_234.5);
        assert_eq!(kg("6,5 t"), 6_500.0);
    }

    #[test]
    fn units_typed_out_hold_whatever_the_reader_uses() {
        let one_ton = parse("1.2 t", Unit::Mass, Units::Imperial).unwrap();
        assert!((one_ton - 1200.0).abs() < 1e-9);
        let pounds = parse("100 lb", Unit::Mass, Units::Metric).unwrap();
        assert!((pounds - 45.359_237).abs() < 1e-9);
    }
}
