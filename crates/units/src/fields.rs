//! Numbers held against the range they must lie in, each problem with its place in the document.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::quantity::{Quantity, Sentence};

/// An interval of a setting, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Range {
    /// Lower end, in the unit of the field that holds the range.
    pub min: f64,
    /// Upper end, in the unit of the field that holds the range.
    pub max: f64,
}

impl Range {
    /// Whether `value` lies in the interval; a NaN never does.
    pub fn contains(self, value: f64) -> bool {
        value >= self.min && value <= self.max
    }

    /// The value of the interval that is nearest to `value`.
    pub fn nearest(self, value: f64) -> f64 {
        value.max(self.min).min(self.max)
    }
}

/// A number or name that cannot be right.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{path}: found {found}, expected {expected}")]
pub struct FieldProblem {
    /// Place in the document: `axles[1].track_m`.
    pub path: String,
    /// What stands there.
    pub found: String,
    /// What should.
    pub expected: String,
    /// The figure found, the least and the greatest that may stand there, in the unit that `path` ends with; none where the
    /// problem is not a figure out of its range.
    pub range: Option<[f64; 3]>,
}

impl FieldProblem {
    /// What was found and what is expected, figures as figures.
    pub fn says(&self) -> Sentence {
        let figures = self.range.and_then(|range| {
            let figure = self.unit()?;
            // What is no number at all is written as it is.
            range[0].is_finite().then(|| range.map(figure))
        });
        match figures {
            Some([found, least, most]) => Sentence::new("found")
                .figure(found)
                .words(", expected")
                .figure(least)
                .words("to")
                .figure(most),
            None => Sentence::new(format!("found {}, expected {}", self.found, self.expected)),
        }
    }

    /// What the figure is of, in a few words: "height" of `measured.height.height_m`.
    pub fn field(&self) -> String {
        let last = self.path.rsplit('.').next().unwrap_or(&self.path);
        let plain = UNITS.iter().find_map(|(end, _)| last.strip_suffix(end));
        plain.unwrap_or(last).replace('_', " ")
    }

    fn unit(&self) -> Option<Figure> {
        let named = UNITS.iter().find(|(end, _)| self.path.ends_with(end))?;
        Some(named.1)
    }
}

/// What makes a figure of a number in SI.
type Figure = fn(f64) -> Quantity;

/// How fields end that have a unit.
const UNITS: [(&str, Figure); 6] = [
    ("_m", Quantity::length),
    ("_rad", Quantity::angle),
    ("_kg", Quantity::mass),
    ("_pa", Quantity::pressure),
    ("_n", Quantity::force),
    ("_g", Quantity::gravity),
];

/// A number in few enough digits to be read.
fn written(value: f64) -> String {
    let size = value.abs();
    if size != 0.0 && value.is_finite() && !(1e-6..1e15).contains(&size) {
        return format!("{value:e}");
    }
    if value.fract() == 0.0 || !value.is_finite() {
        return value.to_string();
    }
    // A micrometre more than anybody measures.
    let rounded = (value * 1e6).round() / 1e6;
    rounded.to_string()
}

/// Collects the problems of a document.
#[derive(Debug, Default)]
pub struct Fields {
    /// What was found so far.
    pub problems: Vec<FieldProblem>,
}

impl Fields {
    /// Notes a problem at `path`.
    pub fn problem(&mut self, path: &str, found: impl Into<String>, expected: impl Into<String>) {
        self.problems.push(FieldProblem {
            path: path.into(),
            found: found.into(),
            expected: expected.into(),
            range: None,
        });
    }

    /// `value` must be a number between `min` and `max`, both included.
    pub fn within(&mut self, path: &str, value: f64, min: f64, max: f64) {
        if !(value >= min && value <= max) {
            self.problems.push(FieldProblem {
                path: path.into(),
                found: written(value),
                expected: format!("a number from {} to {}", written(min), written(max)),
                range: Some([value, min, max]),
            });
        }
    }

    /// As [`Fields::within`], where a value is given.
    pub fn maybe(&mut self, path: &str, value: Option<f64>, min: f64, max: f64) {
        if let Some(value) = value {
            self.within(path, value, min, max);
        }
    }

    /// Each coordinate of a point, m, must lie between `min` and `max`.
    pub fn point(&mut self, path: &str, point_m: impl Into<[f64; 3]>, min: f64, max: f64) {
        for (axis, value) in ["x_m", "y_m", "z_m"].into_iter().zip(point_m.into()) {
            self.within(&format!("{path}.{axis}"), value, min, max);
        }
    }

    /// Both ends must lie between `min` and `max`, in order.
    pub fn range(&mut self, path: &str, range: Range, min: f64, max: f64) {
        self.within(&format!("{path}.min"), range.min, min, max);
        self.within(&format!("{path}.max"), range.max, min, max);
        if range.min > range.max {
            self.problem(
                path,
                format!("{} to {}", range.min, range.max),
                "min not above max",
            );
        }
    }

    /// No two names may be the same, none empty.
    pub fn names<'a>(&mut self, path: &str, names: impl Iterator<Item = &'a str>) {
        let mut seen: Vec<&str> = Vec::new();
        for (i, name) in names.enumerate() {
            if name.trim().is_empty() || seen.contains(&name) {
                self.problem(
                    &format!("{path}[{i}].name"),
                    format!("\"{name}\""),
                    "a name of its own",
                );
            }
            seen.push(name);
        }
    }
}
