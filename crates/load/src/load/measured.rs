//! What the crew measured once she was set down on the day.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::load::Seat;
use keelstead_geometry::math::Point;
use keelstead_units::fields::{FieldProblem, Fields};

/// What a height is measured over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// The ground.
    Ground,
    /// The rails' top, along the rails.
    RailTop,
}

/// Something measured after set-down, before she moves.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Measured {
    /// How high a point of the hull stands.
    Height {
        /// What the point is, as a reader would call it: "stem head".
        name: String,
        /// The point, hull frame.
        at: Point,
        /// What it is measured over.
        over: Level,
        /// The height, m.
        height_m: f64,
        /// How far that may be off, m, either way.
        tolerance_m: f64,
    },
    /// The gap between a part of the hull and a part of the rig, at rest.
    Gap {
        /// Name of the hull's part.
        hull_part: String,
        /// Name of the rig's part, as the findings call it.
        rig_part: String,
        /// The gap, m.
        gap_m: f64,
        /// How far that may be off, m, either way.
        tolerance_m: f64,
    },
    /// Whether a stack bears: a knife does not go in between, or it does.
    Bears {
        /// Where the stack's beam lies.
        seat: Seat,
        /// Whether it bears.
        bears: bool,
    },
}

/// No height is read worse than this, m: over rough ground, with a staff. A figure beyond it is a slip.
const WORST_HEIGHT_M: f64 = 0.2;

/// No gap is read worse than this, m.
const WORST_GAP_M: f64 = 0.05;

/// However narrow a gap is, a rule held into it may be this far off, m.
const LEAST_GAP_M: f64 = 0.02;

impl Measured {
    /// Holds its figures against the range they must lie in and its names against being empty, without looking at rig or
    /// hull.
    ///
    /// # Errors
    /// All problems found, each with its place below the load: `measured.gap.gap_m`.
    pub fn validate(&self) -> Result<(), Vec<FieldProblem>> {
        let mut fields = Fields::default();
        self.check("measured", &mut fields);
        match fields.problems.is_empty() {
            true => Ok(()),
            false => Err(fields.problems),
        }
    }

    pub(super) fn check(&self, path: &str, fields: &mut Fields) {
        let at = |field: &str| format!("{path}.{field}");
        match self {
            Self::Height {
                name,
                at: point,
                height_m,
                tolerance_m,
                over,
            } => {
                named(&at("height.name"), name, fields);
                fields.point(&at("height.at"), *point, -100.0, 100.0);
                let least_m = match over {
                    // Nothing of a boat on a trailer is in the ground.
                    Level::Ground => 0.0,
                    Level::RailTop => -5.0,
                };
                fields.within(&at("height.height_m"), *height_m, least_m, 30.0);
                fields.within(&at("height.tolerance_m"), *tolerance_m, 0.0, WORST_HEIGHT_M);
            }
            Self::Gap {
                hull_part,
                rig_part,
                gap_m,
                tolerance_m,
            } => {
                named(&at("gap.hull_part"), hull_part, fields);
                named(&at("gap.rig_part"), rig_part, fields);
                fields.within(&at("gap.gap_m"), *gap_m, 0.0, 5.0);
                // More than the gap itself says nothing of it.
                let most_m = gap_m.clamp(LEAST_GAP_M, WORST_GAP_M);
                fields.within(&at("gap.tolerance_m"), *tolerance_m, 0.0, most_m);
            }
            Self::Bears { seat, .. } => seat.check(&at("bears.seat"), fields),
        }
    }
}

fn named(path: &str, name: &str, fields: &mut Fields) {
    if name.trim().is_empty() {
        fields.problem(path, format!("\"{name}\""), "a name");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problems(measured: &Measured) -> Vec<String> {
        let mut fields = Fields::default();
        measured.check("measured[2]", &mut fields);
        fields.problems.iter().map(ToString::to_string).collect()
    }

    fn height(name: &str, height_m: f64, tolerance_m: f64) -> Measured {
        Measured::Height {
            name: name.into(),
            at: Point::new(9.0, 0.0, 2.0),
            over: Level::Ground,
            height_m,
            tolerance_m,
        }
    }

    fn gap(gap_m: f64, tolerance_m: f64) -> Measured {
        Measured::Gap {
            hull_part: "keel".into(),
            rig_part: "tyre, axle 1 left".into(),
            gap_m,
            tolerance_m,
        }
    }

    #[test]
    fn what_can_be_read_off_a_tape_is_taken() {
        for measured in [
            height("stem head", 2.41, 0.005),
            height("keel", 0.0, 0.0),
            gap(0.18, 0.005),
            gap(0.0, 0.02),
            Measured::Bears {
                seat: Seat::OnRailsXM(-5.0),
                bears: true,
            },
        ] {
            assert_eq!(problems(&measured), Vec::<String>::new(), "{measured:?}");
        }
    }

    #[test]
    fn what_cannot_names_its_place_what_stands_there_and_what_should() {
        let no_point = Measured::Height {
            name: "stem head".into(),
            at: Point::new(f64::NAN, 0.0, 2.0),
            over: Level::RailTop,
            height_m: 1.0,
            tolerance_m: 0.005,
        };
        let nowhere = |seat| Measured::Bears { seat, bears: true };
        let nobody = Measured::Gap {
            hull_part: String::new(),
            rig_part: " ".into(),
            gap_m: 0.1,
            tolerance_m: 0.005,
        };
        for (measured, expected) in [
            (
                height("  ", 2.0, 0.005),
                "height.name: found \"  \", expected a name",
            ),
            (
                height("bow", 2410.0, 0.005),
                "height.height_m: found 2410, expected a number from 0 to 30",
            ),
            (
                height("bow", f64::NAN, 0.005),
                "height.height_m: found NaN, expected",
            ),
            (
                height("bow", f64::INFINITY, 0.005),
                "height.height_m: found inf, expected",
            ),
            (
                height("bow", 2.4, -0.001),
                "height.tolerance_m: found -0.001, expected a number from 0 to 0.2",
            ),
            (
                height("bow", 2.4, 5.0),
                "height.tolerance_m: found 5, expected",
            ),
            (
                height("bow", 2.4, f64::NAN),
                "height.tolerance_m: found NaN, expected",
            ),
            (
                no_point,
                "height.at.x_m: found NaN, expected a number from -100 to 100",
            ),
            (
                gap(-0.01, 0.005),
                "gap.gap_m: found -0.01, expected a number from 0 to 5",
            ),
            (gap(f64::NAN, 0.005), "gap.gap_m: found NaN, expected"),
            (gap(180.0, 0.005), "gap.gap_m: found 180, expected"),
            (gap(0.18, -0.005), "gap.tolerance_m: found -0.005, expected"),
            (
                gap(0.18, 0.1),
                "gap.tolerance_m: found 0.1, expected a number from 0 to 0.05",
            ),
            (
                gap(0.03, 0.04),
                "gap.tolerance_m: found 0.04, expected a number from 0 to 0.03",
            ),
            (
                nowhere(Seat::Pocket(0)),
                "bears.seat.pocket: found 0, expected a pocket's number, from 1",
            ),
            (
                nowhere(Seat::OnRailsXM(f64::NAN)),
                "bears.seat.on-rails-x-m: found NaN, expected a number from -60 to 20",
            ),
            (nobody, "gap.hull_part: found \"\", expected a name"),
        ] {
            let found = problems(&measured);
            let begins = format!("measured[2].{expected}");
            assert!(
                found.iter().any(|p| p.starts_with(&begins)),
                "{begins}: {found:?}"
            );
        }
    }
}
