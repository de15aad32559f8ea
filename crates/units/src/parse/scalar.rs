//! Weights, angles, forces, pressures and the like: one number with one unit.

use crate::liquid::{IMPERIAL_GALLON_M3, Liquid, US_GALLON_M3};

use super::TypedError;
use crate::Units;
use crate::write::{
    MILE_AN_HOUR, POUND_FOOT_NM, POUND_FORCE_INCH, POUND_FORCE_N, POUND_KG, PSI_PA,
};

/// A unit: its names, how much it is in SI, and whether a comma in its figures can only part
/// thousands, as nobody gives them to a thousandth.
type Named = (&'static [&'static str], f64, bool);

/// A kind of figure: one number, one unit.
struct Kind {
    what: &'static str,
    example: &'static str,
    /// What is understood; a number without a unit is in the first.
    units: &'static [Named],
    /// Nothing here is greater, SI unit.
    most: f64,
}

const KILOGRAM: Named = (
    &["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"],
    1.0,
    true,
);
const TONNE: Named = (&["t", "tonne", "tonnes"], 1000.0, false);
const POUND: Named = (&["lb", "lbs", "pound", "pounds"], POUND_KG, true);
const HEAVIEST_KG: f64 = 1e7;

/// The weight `text` says, kg. A number without a unit is kilograms for [`Units::Metric`] and
/// pounds for [`Units::Imperial`]; with a unit either is understood. A ton is not: it may be short,
/// long or metric.
///
/// ```
/// # use keelstead_units::{Units, parse_mass};
/// assert_eq!(parse_mass("6,800", Units::Metric), Ok(6800.0));
/// assert_eq!(parse_mass("1.2 t", Units::Imperial), Ok(1200.0));
/// assert_eq!(parse_mass("100 lb", Units::Metric), Ok(45.359237));
/// assert!(parse_mass("6,800 t", Units::Metric).is_err(), "thousands or decimals?");
/// assert_eq!(parse_mass("200 l diesel", Units::Metric), Ok(168.0));
/// ```
///
/// A volume of a liquid is a weight as well: "200 l diesel", "30 gal fresh water". A gallon is the
/// US one unless it is called imperial.
///
/// # Errors
/// [`TypedError`], with what to type instead.
pub fn parse_mass(text: &str, units: Units) -> Result<f64, TypedError> {
    if let Some(found) = parse_liquid(text) {
        return found;
    }
    let kind = match units {
        Units::Metric => Kind {
            what: "a weight",
            example: "850 kg or 1.2 t",
            units: &[KILOGRAM, TONNE, POUND],
            most: HEAVIEST_KG,
        },
        Units::Imperial => Kind {
            what: "a weight",
            example: "850 lb or 1.2 t",
            units: &[POUND, KILOGRAM, TONNE],
            most: HEAVIEST_KG,
        },
    };
    kind.parse(text)
}

/// The weight of a volume of a liquid, kg; none if the text names no liquid.
fn parse_liquid(text: &str) -> Option<Result<f64, TypedError>> {
    const LIQUIDS: [(&str, Liquid); 9] = [
        ("bilge water", Liquid::SeaWater),
        ("salt water", Liquid::SeaWater),
        ("sea water", Liquid::SeaWater),
        ("black water", Liquid::FreshWater),
        ("fresh water", Liquid::FreshWater),
        ("water", Liquid::FreshWater),
        ("diesel", Liquid::Diesel),
        ("petrol", Liquid::Petrol),
        ("gasoline", Liquid::Petrol),
    ];
    /// Litres are 1/1000 m³.
    const VOLUME: Kind = Kind {
        what: "a volume",
        example: "200 l diesel or 50 gal fresh water",
        units: &[
            (&["l", "litre", "litres", "liter", "liters"], 1e-3, true),
            (&["gal", "gallon", "gallons"], US_GALLON_M3, false),
            (&["imp gal", "imperial gallons"], IMPERIAL_GALLON_M3, false),
        ],
        most: 100.0,
    };
    let lower = text.trim().to_lowercase();
    let (volume, liquid) = LIQUIDS
        .iter()
        .find_map(|(word, liquid)| Some((lower.strip_suffix(word)?.trim(), *liquid)))?;
    let volume = volume.strip_suffix("of").unwrap_or(volume).trim();
    if volume.ends_with(|last: char| last.is_ascii_digit()) {
        // Litres or gallons? Neither is guessed.
        return Some(Err(VOLUME.not_understood(text.trim())));
    }
    Some(VOLUME.parse(volume).map(|m3| liquid.mass_kg(m3)))
}

/// The angle `text` says, rad: degrees, or a slope as percent, "1:40" or "1 in 40".
///
/// ```
/// # use keelstead_units::parse_angle;
/// assert_eq!(parse_angle("1.5"), Ok(1.5_f64.to_radians()));
/// assert_eq!(parse_angle("-2 %"), Ok((-0.02_f64).atan()));
/// assert_eq!(parse_angle("1 in 40"), parse_angle("1:40"));
/// ```
///
/// # Errors
/// [`TypedError`], with what to type instead.
pub fn parse_angle(text: &str) -> Result<f64, TypedError> {
    const WHAT: &str = "an angle";
    const EXAMPLE: &str = "1.5\u{b0}, 2 % or 1:40";
    /// Either side of a slope.
    const SIDE: Kind = Kind {
        what: WHAT,
        example: EXAMPLE,
        units: &[(&[""], 1.0, false)],
        most: 1e6,
    };
    let typed = text.trim();
    let lower = typed.to_lowercase();
    if let Some((rise, run)) = lower.split_once(':').or_else(|| lower.split_once(" in ")) {
        let (rise, run) = (SIDE.parse(rise)?, SIDE.parse(run)?);
        return if run > 0.0 {
            Ok((rise / run).atan())
        } else {
            Err(SIDE.not_understood(typed))
        };
    }
    if let Some(percent) = typed.strip_suffix('%') {
        return Ok((SIDE.parse(percent)? / 100.0).atan());
    }
    let turn = Kind {
        what: WHAT,
        example: EXAMPLE,
        units: &[(
            &["\u{b0}", "\u{ba}", "deg", "degs", "degree", "degrees"],
            1.0,
            false,
        )],
        most: 360.0,
    };
    turn.parse(typed).map(f64::to_radians)
}

/// The force `text` says, N: kilonewtons or pounds-force without a unit.
pub(super) fn parse_force(text: &str, units: Units) -> Result<f64, TypedError> {
    const KILONEWTON: Named = (&["kn"], 1000.0, false);
    const NEWTON: Named = (&["n"], 1.0, true);
    const POUND_FORCE: Named = (&["lbf"], POUND_FORCE_N, true);
    let kind = match units {
        Units::Metric => Kind {
            what: "a force",
            example: "12.5 kN",
            units: &[KILONEWTON, NEWTON, POUND_FORCE],
            most: 1e8,
        },
        Units::Imperial => Kind {
            what: "a force",
            example: "2,800 lbf",
            units: &[POUND_FORCE, KILONEWTON, NEWTON],
            most: 1e8,
        },
    };
    kind.parse(text)
}

/// The pressure `text` says, Pa: kilopascals or pounds a square inch without a unit.
pub(super) fn parse_pressure(text: &str, units: Units) -> Result<f64, TypedError> {
    const KILOPASCAL: Named = (&["kpa"], 1e3, false);
    const MEGAPASCAL: Named = (&["mpa"], 1e6, false);
    const PSI: Named = (&["psi"], PSI_PA, true);
    let kind = match units {
        Units::Metric => Kind {
            what: "a pressure",
            example: "150 kPa or 4 MPa",
            units: &[KILOPASCAL, MEGAPASCAL, PSI],
            most: 1e10,
        },
        Units::Imperial => Kind {
            what: "a pressure",
            example: "22 psi",
            units: &[PSI, KILOPASCAL, MEGAPASCAL],
            most: 1e10,
        },
    };
    kind.parse(text)
}

/// The stiffness `text` says, N/m: kilonewtons a metre or pounds-force an inch without a unit.
pub(super) fn parse_stiffness(text: &str, units: Units) -> Result<f64, TypedError> {
    const KILONEWTON: Named = (&["kn/m"], 1e3, false);
    /// A newton a millimetre is as much.
    const NEWTON_MM: Named = (&["n/mm"], 1e3, false);
    const KILONEWTON_MM: Named = (&["kn/mm"], 1e6, false);
    const POUND: Named = (&["lbf/in", "lb/in"], POUND_FORCE_INCH, true);
    let kind = match units {
        Units::Metric => Kind {
            what: "a stiffness",
            example: "800 kN/m or 2 kN/mm",
            units: &[KILONEWTON, NEWTON_MM, KILONEWTON_MM, POUND],
            most: 1e12,
        },
        Units::Imperial => Kind {
            what: "a stiffness",
            example: "4,500 lbf/in",
            units: &[POUND, KILONEWTON, NEWTON_MM, KILONEWTON_MM],
            most: 1e12,
        },
    };
    kind.parse(text)
}

/// The speed `text` says, m/s: metres a second or miles an hour without a unit.
pub(super) fn parse_speed(text: &str, units: Units) -> Result<f64, TypedError> {
    const METRES: Named = (&["m/s"], 1.0, false);
    const KILOMETRES: Named = (&["km/h", "kmh"], 1.0 / 3.6, false);
    const MILES: Named = (&["mph"], MILE_AN_HOUR, false);
    let kind = match units {
        Units::Metric => Kind {
            what: "a speed",
            example: "25 m/s or 90 km/h",
            units: &[METRES, KILOMETRES, MILES],
            most: 1e3,
        },
        Units::Imperial => Kind {
            what: "a speed",
            example: "56 mph",
            units: &[MILES, METRES, KILOMETRES],
            most: 1e3,
        },
    };
    kind.parse(text)
}

/// The share `text` says, 1 for all: percent.
pub(super) fn parse_ratio(text: &str) -> Result<f64, TypedError> {
    let kind = Kind {
        what: "a percentage",
        example: "64 %",
        units: &[(&["%"], 0.01, false)],
        most: 1e6,
    };
    kind.parse(text)
}

/// The acceleration `text` says, g.
pub(super) fn parse_gravity(text: &str) -> Result<f64, TypedError> {
    let kind = Kind {
        what: "an acceleration",
        example: "0.5 g",
        units: &[(&["g"], 1.0, false)],
        most: 100.0,
    };
    kind.parse(text)
}

/// The moment `text` says, N·m: kilonewton metres or pounds-force feet without a unit.
pub(super) fn parse_moment(text: &str, units: Units) -> Result<f64, TypedError> {
    const KILONEWTON: Named = (&["kn\u{b7}m", "knm", "kn m"], 1000.0, false);
    const NEWTON: Named = (&["n\u{b7}m", "nm", "n m"], 1.0, true);
    const POUND: Named = (
        &["lbf\u{b7}ft", "lbf ft", "lb ft", "ft lb"],
        POUND_FOOT_NM,
        true,
    );
    let kind = match units {
        Units::Metric => Kind {
            what: "a moment",
            example: "12.5 kN\u{b7}m",
            units: &[KILONEWTON, NEWTON, POUND],
            most: 1e9,
        },
        Units::Imperial => Kind {
            what: "a moment",
            example: "9,200 lbf\u{b7}ft",
            units: &[POUND, KILONEWTON, NEWTON],
            most: 1e9,
        },
    };
    kind.parse(text)
}

/// The plain number `text` says, with decimals.
pub(super) fn parse_factor(text: &str) -> Result<f64, TypedError> {
    let kind = Kind {
        what: "a number",
        example: "1.5",
        units: &[(&[""], 1.0, false)],
        most: 1e9,
    };
    kind.parse(text)
}

/// The number `text` says.
pub(super) fn parse_count(text: &str) -> Result<f64, TypedError> {
    let kind = Kind {
        what: "a number",
        example: "3",
        units: &[(&[""], 1.0, true)],
        most: 1e9,
    };
    kind.parse(text)
}

impl Kind {
    fn not_understood(&self, found: &str) -> TypedError {
        TypedError::NotUnderstood {
            found: found.to_owned(),
            what: self.what,
            example: self.example,
        }
    }

    fn parse(&self, text: &str) -> Result<f64, TypedError> {
        let typed = text.trim();
        if typed.is_empty() {
            return Err(TypedError::Empty {
                what: self.what,
                example: self.example,
            });
        }
        let of_number =
            |c: char| c.is_ascii_digit() || c.is_whitespace() || "+-\u{2212}.,".contains(c);
        let end = typed.find(|c| !of_number(c)).unwrap_or(typed.len());
        let (number, name) = typed.split_at(end);
        let name = name.trim_end_matches('.').to_lowercase();
        let named = |unit: &&Named| unit.0.contains(&name.as_str());
        let unit = match name.is_empty() {
            true => self.units.first(),
            false => self.units.iter().find(named),
        };
        let &(_, factor, thousands) = unit.ok_or_else(|| self.not_understood(&name))?;
        let value = self.number(number.trim(), thousands)? * factor;
        if value.abs() > self.most {
            return Err(TypedError::TooLarge(typed.to_owned()));
        }
        // Never minus nought.
        Ok(value + 0.0)
    }

    /// A number whose thousands may be parted by spaces or commas, and its decimals by a point or a
    /// comma.
    fn number(&self, typed: &str, thousands: bool) -> Result<f64, TypedError> {
        let wrong = || self.not_understood(typed);
        let (negative, body) = match typed.strip_prefix(['-', '\u{2212}']) {
            Some(body) => (true, body.trim_start()),
            None => (false, typed.strip_prefix('+').unwrap_or(typed)),
        };
        let mut groups = body.split_whitespace();
        let first = groups.next().unwrap_or_default();
        let starts_with_three = |group: &str| {
            let digits = group.find(['.', ',']).unwrap_or(group.len());
            digits == 3
        };
        if !groups.all(starts_with_three) || (first.len() > 3 && first.len() < body.len()) {
            return Err(wrong());
        }
        let digits: String = body.split_whitespace().collect();
        let (whole, decimals) = match digits.split_once('.') {
            Some((whole, decimals)) => (whole, Some(decimals)),
            None => (digits.as_str(), None),
        };
        if decimals.is_some_and(|decimals| decimals.contains(',')) {
            return Err(TypedError::Ambiguous(typed.to_owned()));
        }
        let plain = match whole.split_once(',') {
            None => digits.clone(),
            Some((first, rest)) => {
                let grouped = matches!(first.len(), 1..=3)
                    && first != "0"
                    && rest.split(',').all(|group| group.len() == 3);
                let one = !rest.contains(',');
                match (grouped, decimals) {
                    // 1,234 may be a thousand or a bit more than one.
                    (true, None) if one && !thousands => {
                        return Err(TypedError::Ambiguous(typed.to_owned()));
                    }
                    (true, _) => digits.replace(',', ""),
                    (false, None) if one => digits.replace(',', "."),
                    (false, _) => return Err(TypedError::Ambiguous(typed.to_owned())),
                }
            }
        };
        if !plain
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'.')
        {
            return Err(wrong());
        }
        let value: f64 = plain.parse().map_err(|_| wrong())?;
        Ok(if negative { -value } else { value })
    }
}
