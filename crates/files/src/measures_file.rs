//! The measures document: a hull family and what a tape measured. It stands wherever a mesh file does
//! and is the surface fitted to it, so it stays open to more measures.

use keelstead_boat::family::{Family, FitError, Fitted, Measures, fit};
use keelstead_units::quantity::{Quantity, Sentence};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::document::Document;
use crate::error::{FileError, Spot};

/// A measures document. Lengths in metres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuresFile {
    /// Version of the format: 1.
    pub version: u32,
    /// The boat's name.
    pub name: String,
    /// The kind of hull.
    pub family: Family,
    /// What was measured.
    pub measures: Measures,
    /// Anything worth telling: who measured, and when.
    #[serde(default)]
    pub note: String,
}

impl Document for MeasuresFile {
    const VERSION: u32 = 1;
    const KIND: &'static str = "measures";
}

impl MeasuresFile {
    /// The surface fitted to the measures; `path` is the document's name in messages.
    ///
    /// # Errors
    /// [`FileError::Contradiction`] naming each measure that cannot be right.
    pub fn fit(&self, path: &str) -> Result<Fitted, FileError> {
        fit(self.family, &self.measures).map_err(|error| FileError::Contradiction {
            path: path.to_owned(),
            problems: match error {
                FitError::Measures(problems) => problems.iter().map(problem).collect(),
                FitError::NoSurface { .. } => vec![error.to_string().into()],
            },
        })
    }
}

/// A surface that measures leave this open, m, tells nothing of a gap.
const MOST_OPEN_M: f64 = 1.0;

/// Why a fitted surface is no hull to check: what is given leaves it open by `tolerance_m`, which is too much. `path` is the
/// document's name in messages.
pub fn too_open(path: &str, tolerance_m: f64) -> Option<FileError> {
    (tolerance_m > MOST_OPEN_M).then(|| {
        FileError::fault(
            path,
            Spot::Whole,
            Sentence::new("what is given leaves the surface open by").length(tolerance_m),
            Sentence::figure_first(Quantity::length(MOST_OPEN_M)).words("at most"),
            "Measure more, or give a table more lines: what helps most of measures is told with the fitted surface",
        )
    })
}

fn problem(problem: &keelstead_boat::family::MeasureProblem) -> Sentence {
    let index = if problem.kind.at_places() {
        format!("[{}]", problem.index)
    } else {
        String::new()
    };
    Sentence::new(format!(
        "at measures.{}{index}: {}, found",
        problem.kind.field(),
        problem.kind.title(),
    ))
    .and(&problem.found)
    .words(", expected")
    .and(&problem.expected)
}

/// Whether text begins as a measures document does. Other JSON that may stand for a mesh is glTF, which
/// has an asset.
pub(crate) fn begins(text: &str) -> bool {
    let has = |key| text.contains(key);
    text.starts_with('{') && has("\"measures\"") && has("\"family\"") && !has("\"asset\"")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use keelstead_boat::hull::{PartKind, PartUse};
    use serde_json::{Value, json};

    use super::*;
    use crate::Silent;
    use crate::hull_file::{Axes, HullFile, LengthUnit};
    use crate::mesh_file::{self, Format};
    use crate::open::{OpenHull, open_hull};
    use crate::source::Memory;

    fn wren() -> Value {
        json!({
            "version": 1,
            "name": "Wren",
            "family": "full-keel",
            "measures": {
                "length_m": 9.4,
                "beam_m": 2.9,
                "draft_m": 1.5,
                "height_bow_m": 2.8,
                "height_middle_m": 2.4,
                "height_stern_m": 2.5,
                "keel_start_m": 1.3,
                "keel_length_m": 3.5,
                "half_breadths": [{ "station_m": 4.0, "height_m": 1.5, "half_breadth_m": 1.4 }],
                "tolerances": { "half-breadth": 0.03 }
            }
        })
    }

    fn described(
        unit: LengthUnit,
        tolerance_m: f64,
        measures: &Value,
    ) -> Result<OpenHull, FileError> {
        let mut hull = HullFile::for_mesh("Wren", "wren.measures.json", unit, Axes::default());
        hull.shape_tolerance_m = tolerance_m;
        let yard = Memory::new([
            ("wren.json".into(), serde_json::to_vec(&hull).unwrap()),
            (
                "wren.measures.json".into(),
                measures.to_string().into_bytes(),
            ),
        ]);
        open_hull(&yard, "wren.json", &Silent)
    }

    #[test]
    fn measures_stand_where_a_mesh_does_and_bring_their_tolerance() {
        let document: MeasuresFile = serde_json::from_value(wren()).unwrap();
        let fitted = document.fit("wren.measures.json").unwrap();
        let read = mesh_file::read(wren().to_string().as_bytes(), "wren.measures.json").unwrap();
        assert_eq!(read.format, Format::Measures);
        assert_eq!(read.tolerance, fitted.tolerance_m);
        let hull = described(LengthUnit::Metre, 0.0, &wren()).unwrap();
        let said = format!("{:?}", hull.notices);
        assert_eq!(hull.notices.len(), 1, "{said}");
        assert!(said.contains("rudder"), "{said}");
        let taped = hull.hull.taped.unwrap();
        assert_eq!((taped.highest_m, taped.nothing_under), (None, false));
        let hull = hull.hull;
        let uses: Vec<PartUse> = hull.parts.iter().map(|part| part.part_use).collect();
        assert_eq!(uses, [PartUse::Checked, PartUse::Checked, PartUse::Guessed]);
        assert_eq!(hull.shape_tolerance_m, fitted.tolerance_m);
        let kinds: Vec<PartKind> = hull.parts.iter().map(|part| part.kind).collect();
        assert_eq!(kinds, [PartKind::Body, PartKind::Keel, PartKind::Rudder]);
        // In the hull frame: the keel begins at the origin, the boat stands on it.
        assert_eq!(hull.bounds, {
            let all = fitted.parts.iter().map(|p| p.mesh.aabb());
            all.reduce(|a, b| keelstead_geometry::math::Aabb {
                mins: a.mins.min(b.mins),
                maxs: a.maxs.max(b.maxs),
            })
            .unwrap()
        });
        // A description that knows less of the surface says so.
        let hull = described(LengthUnit::Metre, 0.9, &wren()).unwrap().hull;
        assert_eq!(hull.shape_tolerance_m, 0.9);
    }

    #[test]
    fn what_is_wrong_is_named_with_its_place() {
        let spoilt = |spoil: &dyn Fn(&mut Value)| {
            let mut measures = wren();
            spoil(&mut measures);
            let error = described(LengthUnit::Metre, 0.0, &measures).unwrap_err();
            error.to_string()
        };
        for (said, spoil) in [
            (
                "at measures.draft_m: draft, found 2.60 m (8 ft 6 3/8 in), expected no more than 2.38 m",
                &(|m: &mut Value| m["measures"]["draft_m"] = json!(2.6)) as &dyn Fn(&mut Value),
            ),
            (
                "The unit is missing from the name: write \"beam_m\"",
                &|m| {
                    m["measures"]["beam"] = json!(2.9);
                },
            ),
            ("at measures.half_breadths[0]: half-breadth", &|m| {
                m["measures"]["half_breadths"][0]["half_breadth_m"] = json!(3.0);
            }),
            ("Perhaps \"full-keel\" is meant", &|m| {
                m["family"] = json!("full-kel")
            }),
            ("found 9, expected", &|m| m["version"] = json!("9")),
            ("what is given leaves the surface open by", &|m| {
                m["measures"] = json!({ "length_m": 16.0, "beam_m": 4.5 });
            }),
        ] {
            let told = spoilt(spoil);
            let expected = told.contains(said)
                || (said.starts_with("found 9") && told.contains("found \"9\""));
            assert!(
                expected && told.contains("wren.measures.json"),
                "{told}\nnot: {said}"
            );
        }
        let told = described(LengthUnit::Inch, 0.0, &wren())
            .unwrap_err()
            .to_string();
        assert!(
            told.contains("expected \"metre\", as wren.measures.json says"),
            "{told}"
        );
    }

    #[test]
    fn cut_short_or_another_json_it_is_no_measures_document() {
        let whole = wren().to_string();
        for end in 1..whole.len() {
            assert!(mesh_file::read(&whole.as_bytes()[..end], "wren.json").is_err());
        }
        let gltf = r#"{"asset": {"version": "2.0"}, "extras": {"family": 1, "measures": 2}}"#;
        let told = mesh_file::read(gltf.as_bytes(), "wren.gltf").unwrap_err();
        assert!(!told.to_string().contains("measures document"), "{told}");
    }
}
