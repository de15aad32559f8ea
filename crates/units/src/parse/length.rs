//! Lengths as people type them.

use super::TypedError;
use crate::Units;
use crate::write::INCH_M;

const WHAT: &str = "a length";
/// No length anyone types is longer, m.
const LONGEST_M: f64 = 10_000.0;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Token {
    /// A number, and whether it is whole.
    Number(f64, bool),
    /// A fraction below one.
    Fraction(f64),
    /// A unit's length in metres.
    Unit(f64),
}

/// The length `text` says, m. A whole number without a unit is millimetres for [`Units::Metric`]
/// and inches for [`Units::Imperial`]; with a unit either is understood.
///
/// ```
/// # use keelstead_units::{Units, parse_length};
/// assert_eq!(parse_length("148", Units::Metric), Ok(0.148));
/// assert_eq!(parse_length("5 7/8\"", Units::Metric), Ok(5.875 * 0.0254));
/// assert!(parse_length("3.42", Units::Metric).is_err(), "metres or millimetres?");
/// ```
///
/// # Errors
/// [`TypedError`], with what to type instead.
pub fn parse_length(text: &str, units: Units) -> Result<f64, TypedError> {
    let example = match units {
        Units::Metric => "148 mm or 3.42 m",
        Units::Imperial => "5 7/8 in or 11 ft 3 1/2 in",
    };
    let typed = text.trim();
    let (negative, body) = match typed.strip_prefix(['-', '−']) {
        Some(body) => (true, body.trim_start()),
        None => (false, typed.strip_prefix('+').unwrap_or(typed)),
    };
    if body.is_empty() {
        return Err(TypedError::Empty {
            what: WHAT,
            example,
        });
    }
    let tokens = tokens(body, example)?;
    let value_m = total(&tokens, typed, units, example)?;
    if value_m > LONGEST_M {
        return Err(TypedError::TooLarge(typed.to_owned()));
    }
    Ok(if negative && value_m > 0.0 {
        -value_m
    } else {
        value_m
    })
}

fn tokens(text: &str, example: &'static str) -> Result<Vec<Token>, TypedError> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let token = if first.is_ascii_digit() || first == '.' || first == ',' {
            let end = rest
                .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '/')))
                .unwrap_or(rest.len());
            let (word, after) = rest.split_at(end);
            rest = after;
            number(word, example)?
        } else if let Some(value) = vulgar(first) {
            rest = &rest[first.len_utf8()..];
            Token::Fraction(value)
        } else {
            let end = if first.is_alphabetic() {
                rest.find(|c: char| !c.is_alphabetic())
                    .unwrap_or(rest.len())
            } else if rest.starts_with("''") {
                2
            } else {
                first.len_utf8()
            };
            let (word, after) = rest.split_at(end);
            rest = after
                .strip_prefix('.')
                .filter(|_| first.is_alphabetic())
                .unwrap_or(after);
            let metres = unit(word).ok_or_else(|| TypedError::NotUnderstood {
                what: WHAT,
                found: word.to_owned(),
                example,
            })?;
            // 11'-3" is written with a hyphen on drawings.
            rest = rest.trim_start();
            rest = rest
                .strip_prefix('-')
                .filter(|_| metres == 12.0 * INCH_M)
                .unwrap_or(rest);
            Token::Unit(metres)
        };
        tokens.push(token);
        rest = rest.trim_start();
    }
    Ok(tokens)
}

fn number(word: &str, example: &'static str) -> Result<Token, TypedError> {
    let wrong = || TypedError::NotUnderstood {
        what: WHAT,
        found: word.to_owned(),
        example,
    };
    if let Some((above, below)) = word.split_once('/') {
        let (above, below) = (above.parse::<u32>(), below.parse::<u32>());
        return match (above, below) {
            (Ok(above), Ok(below)) if above < below => {
                Ok(Token::Fraction(f64::from(above) / f64::from(below)))
            }
            _ => Err(wrong()),
        };
    }
    let decimal = match word.split_once(',') {
        // 1,234 may be a thousand or a bit more than one. 0,148 can only be a decimal.
        Some((whole, after)) if after.len() == 3 && !matches!(whole, "" | "0") => {
            return Err(TypedError::Ambiguous(word.to_owned()));
        }
        Some(_) if word.contains('.') => return Err(TypedError::Ambiguous(word.to_owned())),
        Some(_) => word.replacen(',', ".", 1),
        None => word.to_owned(),
    };
    let whole = decimal.bytes().all(|byte| byte.is_ascii_digit());
    decimal
        .parse::<f64>()
        .ok()
        .filter(|value| value.is_finite())
        .map(|value| Token::Number(value, whole))
        .ok_or_else(wrong)
}

fn vulgar(sign: char) -> Option<f64> {
    Some(match sign {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        _ => return None,
    })
}

fn unit(word: &str) -> Option<f64> {
    Some(match word.to_lowercase().as_str() {
        "m" | "metre" | "metres" | "meter" | "meters" => 1.0,
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => 0.01,
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => 0.001,
        "in" | "inch" | "inches" | "\"" | "″" | "”" | "''" => INCH_M,
        "ft" | "foot" | "feet" | "'" | "′" | "’" => 12.0 * INCH_M,
        _ => return None,
    })
}

/// Adds up number-and-unit pairs, largest unit first.
fn total(
    tokens: &[Token],
    typed: &str,
    units: Units,
    example: &'static str,
) -> Result<f64, TypedError> {
    let mixed = || TypedError::Mixed(typed.to_owned());
    let mut sum_m = 0.0;
    let mut last_unit_m: Option<f64> = None;
    let mut rest = tokens;
    while !rest.is_empty() {
        let (value, whole, after) = match rest {
            [
                Token::Number(value, true),
                Token::Fraction(fraction),
                after @ ..,
            ] => (value + fraction, false, after),
            [Token::Number(value, whole), after @ ..] => (*value, *whole, after),
            [Token::Fraction(fraction), after @ ..] => (*fraction, false, after),
            _ => {
                return Err(TypedError::NotUnderstood {
                    what: WHAT,
                    found: typed.to_owned(),
                    example,
                });
            }
        };
        let (unit_m, after) = match (after, last_unit_m, units) {
            ([Token::Unit(metres), after @ ..], _, _) => (*metres, after),
            // After feet a bare number is inches, as in 11'3.5.
            ([], Some(last), _) if last == 12.0 * INCH_M => (INCH_M, after),
            ([], None, Units::Imperial) => (INCH_M, after),
            ([], None, Units::Metric) if whole => (0.001, after),
            ([], None, Units::Metric) => return Err(TypedError::UnitMissing(typed.to_owned())),
            _ => return Err(mixed()),
        };
        if let Some(last) = last_unit_m {
            let metric = |unit: f64| unit == 1.0 || unit == 0.01 || unit == 0.001;
            if unit_m >= last || metric(unit_m) != metric(last) {
                return Err(mixed());
            }
        }
        // Millimetres and the like divide exactly, where multiplying by 0.001 would not.
        sum_m += if unit_m == 0.001 {
            value / 1000.0
        } else if unit_m == 0.01 {
            value / 100.0
        } else {
            value * unit_m
        };
        last_unit_m = Some(unit_m);
        rest = after;
    }
    Ok(sum_m)
}
