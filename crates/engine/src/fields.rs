//! Numbers held against the range they must lie in, each problem with its place in the document.

use crate::math::{Point, Range};

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
}

/// Collects the problems of a document.
#[derive(Debug, Default)]
pub(crate) struct Fields {
    pub(crate) problems: Vec<FieldProblem>,
}

impl Fields {
    /// Notes a problem at `path`.
    pub(crate) fn problem(
        &mut self,
        path: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) {
        self.problems.push(FieldProblem {
            path: path.into(),
            found: found.into(),
            expected: expected.into(),
        });
    }

    /// `value` must be a number between `min` and `max`, both included.
    pub(crate) fn within(&mut self, path: &str, value: f64, min: f64, max: f64) {
        if !(value >= min && value <= max) {
            self.problem(
                path,
                value.to_string(),
                format!("a number from {min} to {max}"),
            );
        }
    }

    /// As [`Fields::within`], where a value is given.
    pub(crate) fn maybe(&mut self, path: &str, value: Option<f64>, min: f64, max: f64) {
        if let Some(value) = value {
            self.within(path, value, min, max);
        }
    }

    /// Each coordinate must lie between `min` and `max`.
    pub(crate) fn point(&mut self, path: &str, point: Point, min: f64, max: f64) {
        for (axis, value) in [("x_m", point.x_m), ("y_m", point.y_m), ("z_m", point.z_m)] {
            self.within(&format!("{path}.{axis}"), value, min, max);
        }
    }

    /// Both ends must lie between `min` and `max`, in order.
    pub(crate) fn range(&mut self, path: &str, range: Range, min: f64, max: f64) {
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
    pub(crate) fn names<'a>(&mut self, path: &str, names: impl Iterator<Item = &'a str>) {
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
