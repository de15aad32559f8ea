//! Figures in the cells of a table.

use crate::hull_file::LengthUnit;

/// How the figures of a table are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Written {
    /// Decimal numbers of this unit.
    Decimal(LengthUnit),
    /// Feet, inches and eighths; read into feet.
    Eighths,
}

impl Written {
    /// From the word of the first line.
    pub(super) fn from_word(word: &str) -> Option<Self> {
        let word = word.trim().to_ascii_lowercase();
        if word == "feet-inches-eighths" {
            return Some(Self::Eighths);
        }
        LengthUnit::ALL
            .into_iter()
            .find(|unit| unit.word() == word)
            .map(Self::Decimal)
    }

    /// From the ending of a corner cell: the "m" of `z_m`.
    pub(super) fn from_ending(ending: &str) -> Option<Self> {
        Some(match ending {
            "m" => Self::Decimal(LengthUnit::Metre),
            "mm" => Self::Decimal(LengthUnit::Millimetre),
            "cm" => Self::Decimal(LengthUnit::Centimetre),
            "in" => Self::Decimal(LengthUnit::Inch),
            "ft" => Self::Decimal(LengthUnit::Foot),
            _ => return None,
        })
    }

    pub(super) fn unit(self) -> LengthUnit {
        match self {
            Self::Decimal(unit) => unit,
            Self::Eighths => LengthUnit::Foot,
        }
    }

    pub(super) fn expected(self) -> &'static str {
        match self {
            Self::Decimal(_) => "a decimal number, or nothing",
            Self::Eighths => {
                "feet-inches-eighths as in 3-4-6 (inches to 11, eighths to 7, + for a sixteenth), or nothing"
            }
        }
    }

    /// The figure in a cell, in [`Written::unit`]; none if it is no figure.
    pub(super) fn parse(self, cell: &str, decimal_comma: bool) -> Option<f64> {
        match self {
            Self::Decimal(_) if decimal_comma => decimal(&cell.replace(',', ".")),
            Self::Decimal(_) => decimal(cell),
            Self::Eighths => eighths(cell),
        }
    }

    /// One in the last place of the figure in a cell, in [`Written::unit`]; none if it is no figure.
    pub(super) fn last_place(self, cell: &str, decimal_comma: bool) -> Option<f64> {
        self.parse(cell, decimal_comma)?;
        Some(match self {
            Self::Decimal(_) => {
                let (digits, exponent) = cell.split_once(['e', 'E']).unwrap_or((cell, "0"));
                let point = if decimal_comma { ',' } else { '.' };
                let places = digits.split_once(point).map_or(0, |(_, after)| after.len());
                10_f64.powi(
                    exponent
                        .parse::<i32>()
                        .ok()?
                        .saturating_sub_unsigned(places as u32),
                )
            }
            Self::Eighths if cell.ends_with('+') => 1.0 / 16.0 / 12.0,
            Self::Eighths => 1.0 / 8.0 / 12.0,
        })
    }
}

fn decimal(cell: &str) -> Option<f64> {
    // "inf" and "nan" are numbers to the parser, and "1e300" to nobody who measured a boat.
    let plain = cell
        .bytes()
        .all(|b| b.is_ascii_digit() || b"+-.eE".contains(&b));
    let value: f64 = cell.parse().ok().filter(|_| plain)?;
    (value.abs() <= 1e6).then_some(value)
}

fn eighths(cell: &str) -> Option<f64> {
    let (below, rest) = match cell.strip_prefix(['-', '−']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, cell),
    };
    let (rest, sixteenth) = match rest.strip_suffix('+') {
        Some(rest) => (rest, 0.5),
        None => (rest, 0.0),
    };
    let whole: Vec<u16> = rest
        .split('-')
        .map(|piece| {
            let digits = !piece.is_empty() && piece.bytes().all(|b| b.is_ascii_digit());
            piece.parse().ok().filter(|_| digits)
        })
        .collect::<Option<_>>()?;
    let &[feet, inches, eighths] = whole.as_slice() else {
        return None;
    };
    if inches > 11 || eighths > 7 {
        return None;
    }
    let inches = f64::from(inches) + (f64::from(eighths) + sixteenth) / 8.0;
    Some(below * (f64::from(feet) + inches / 12.0))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn feet_inches_and_eighths() {
        assert_eq!(eighths("3-4-6"), Some(3.0 + 4.75 / 12.0));
        assert_eq!(eighths("0-0-1+"), Some(0.1875 / 12.0));
        assert_eq!(eighths("-1-6-0"), Some(-1.5));
        for bad in [
            "3-4", "3-12-0", "3-4-8", "3-4-6-1", "3.5-0-0", "--1-0-0", "1-+2-3", "", "+",
        ] {
            assert_eq!(eighths(bad), None, "{bad}");
        }
    }

    #[test]
    fn the_last_place_is_what_is_written() {
        let metres = Written::Decimal(LengthUnit::Metre);
        for (cell, place) in [
            ("12", 1.0),
            ("1.25", 0.01),
            ("-0.500", 0.001),
            ("1.5e-2", 0.001),
        ] {
            let found = metres.last_place(cell, false).unwrap();
            assert!((found / place - 1.0_f64).abs() < 1e-12, "{cell}: {found}");
        }
        assert_eq!(metres.last_place("1,25", true), Some(0.01));
        assert_eq!(metres.last_place("", false), None);
        assert_eq!(
            Written::Eighths.last_place("3-4-6", false),
            Some(1.0 / 96.0)
        );
        assert_eq!(
            Written::Eighths.last_place("3-4-6+", false),
            Some(1.0 / 192.0)
        );
    }

    #[test]
    fn decimals_are_plain_and_of_a_boats_size() {
        let metres = Written::Decimal(LengthUnit::Metre);
        assert_eq!(metres.parse("1.25", false), Some(1.25));
        assert_eq!(metres.parse("1,25", true), Some(1.25));
        for bad in ["1,25", "inf", "nan", "1e300", "1.2 m", ""] {
            assert_eq!(metres.parse(bad, false), None, "{bad}");
        }
    }
}
