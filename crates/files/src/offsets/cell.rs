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
    fn decimals_are_plain_and_of_a_boats_size() {
        let metres = Written::Decimal(LengthUnit::Metre);
        assert_eq!(metres.parse("1.25", false), Some(1.25));
        assert_eq!(metres.parse("1,25", true), Some(1.25));
        for bad in ["1,25", "inf", "nan", "1e300", "1.2 m", ""] {
            assert_eq!(metres.parse(bad, false), None, "{bad}");
        }
    }
}
