//! Marks on a hull: where nothing may press, where pads belong, where slings belong.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::de::value::MapAccessDeserializer;
use serde::de::{Error, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

use keelstead_geometry::math::{Point, Vec3};
use keelstead_units::fields::Fields;

/// All marks of a hull.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Marks {
    /// Where nothing may press.
    pub keep_offs: Vec<KeepOff>,
    /// Bulkheads and frames, where pads belong.
    pub strong_stations: Vec<StrongStation>,
    /// Where slings belong when the boat is lifted.
    pub lifting_marks: Vec<LiftingMark>,
}

/// What a place to keep off guards.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum KeepOffKind {
    /// Log, sounder or other transducer.
    Transducer,
    /// Seacock or other through-hull fitting.
    ThroughHull,
    /// Exhaust outlet.
    Exhaust,
    /// Propeller shaft.
    Shaft,
    /// Trim tab.
    TrimTab,
    /// Anything else.
    #[default]
    Other,
}

impl KeepOffKind {
    /// Every kind.
    pub const ALL: [Self; 6] = [
        Self::Transducer,
        Self::ThroughHull,
        Self::Exhaust,
        Self::Shaft,
        Self::TrimTab,
        Self::Other,
    ];

    /// As a reader would call it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Transducer => "transducer",
            Self::ThroughHull => "through-hull",
            Self::Exhaust => "exhaust",
            Self::Shaft => "propeller shaft",
            Self::TrimTab => "trim tab",
            Self::Other => "place to keep off",
        }
    }
}

/// A box of the hull where no pad, block or strap may press: a transducer, a through-hull, a shaft.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KeepOff {
    /// What is there.
    pub name: String,
    /// What kind of thing that is.
    #[serde(default)]
    pub kind: KeepOffKind,
    /// Corner with the least x, y and z, hull frame.
    pub min: Point,
    /// Corner with the greatest x, y and z, hull frame.
    pub max: Point,
    /// Whether there is the same on the other side of the middle plane.
    #[serde(default)]
    pub both_sides: bool,
}

impl KeepOff {
    /// A box of edges `size_m` about a point of the hull's surface.
    pub fn about(
        name: impl Into<String>,
        kind: KeepOffKind,
        point: Vec3,
        size_m: Vec3,
        both_sides: bool,
    ) -> Self {
        let half = size_m.abs() / 2.0;
        Self {
            name: name.into(),
            kind,
            min: (point - half).into(),
            max: (point + half).into(),
            both_sides,
        }
    }

    /// Its boxes, one or one a side: least and greatest corner, hull frame.
    pub fn boxes(&self) -> impl Iterator<Item = [Vec3; 2]> {
        let (lo, hi) = (self.min.vec(), self.max.vec());
        let across = Vec3::new(1.0, -1.0, 1.0);
        let (a, b) = (lo * across, hi * across);
        let other = self.both_sides.then_some([a.min(b), a.max(b)]);
        std::iter::once([lo, hi]).chain(other)
    }

    /// Whether a point of the hull frame lies in the zone, its faces included.
    pub fn contains(&self, point: Vec3) -> bool {
        self.boxes()
            .any(|[lo, hi]| point.cmpge(lo).all() && point.cmple(hi).all())
    }
}

/// A bulkhead or frame: where the hull's side takes a pad.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StrongStation {
    /// What is there.
    pub name: String,
    /// Where, m forward of the hull's origin.
    pub x_m: f64,
    /// How far before and behind that the hull is strong, m.
    pub reach_m: f64,
}

impl StrongStation {
    /// How far about a bulkhead the skin is usually stiff enough, m. Assumed default.
    pub const fn usual_reach() -> f64 {
        0.10
    }

    /// How far a stretch along the hull ends before the strong one, m; negative where they overlap.
    pub fn off_m(&self, x_m: f64, half_length_m: f64) -> f64 {
        (x_m - self.x_m).abs() - half_length_m - self.reach_m
    }
}

/// A strong station as it stands in a hull description.
#[derive(JsonSchema)]
#[schemars(untagged)]
#[allow(dead_code, reason = "for its schema alone")]
enum Written {
    /// Only where, m forward of the hull's origin: as older descriptions have it.
    Bare(f64),
    /// In full.
    Full(InFull),
}

impl JsonSchema for StrongStation {
    fn schema_name() -> Cow<'static, str> {
        "StrongStation".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        Written::json_schema(generator)
    }
}

/// A strong station in full.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct InFull {
    /// What is there: "main bulkhead".
    #[serde(default)]
    name: String,
    /// Where, m forward of the hull's origin.
    x_m: f64,
    /// How far before and behind that the hull is strong, m.
    #[serde(default = "StrongStation::usual_reach")]
    reach_m: f64,
}

impl From<InFull> for StrongStation {
    fn from(full: InFull) -> Self {
        Self {
            name: full.name,
            x_m: full.x_m,
            reach_m: full.reach_m,
        }
    }
}

impl<'de> Deserialize<'de> for StrongStation {
    /// A number or the whole. By hand, so that a slip in the whole is told by its field.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Station;
        impl<'de> Visitor<'de> for Station {
            type Value = StrongStation;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a station, m forward of the origin, or {\"name\": …, \"x_m\": …}")
            }

            fn visit_f64<E: Error>(self, x_m: f64) -> Result<StrongStation, E> {
                Ok(StrongStation {
                    name: String::new(),
                    x_m,
                    reach_m: StrongStation::usual_reach(),
                })
            }

            fn visit_i64<E: Error>(self, x_m: i64) -> Result<StrongStation, E> {
                self.visit_f64(x_m as f64)
            }

            fn visit_u64<E: Error>(self, x_m: u64) -> Result<StrongStation, E> {
                self.visit_f64(x_m as f64)
            }

            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<StrongStation, A::Error> {
                InFull::deserialize(MapAccessDeserializer::new(map)).map(Into::into)
            }
        }
        if deserializer.is_human_readable() {
            return deserializer.deserialize_any(Station);
        }
        // What programs hand each other is always the whole, and may not say what comes next.
        InFull::deserialize(deserializer).map(Into::into)
    }
}

/// Where a sling belongs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LiftingMark {
    /// As it is marked: "SLING aft".
    pub name: String,
    /// Where, m forward of the hull's origin.
    pub x_m: f64,
}

impl Marks {
    /// Holds every number against the range it must lie in.
    pub(crate) fn check(&self, fields: &mut Fields) {
        for (i, zone) in self.keep_offs.iter().enumerate() {
            let at = format!("keep_offs[{i}]");
            fields.point(&format!("{at}.min"), zone.min, -100.0, 100.0);
            fields.point(&format!("{at}.max"), zone.max, -100.0, 100.0);
            if !zone.min.vec().cmple(zone.max.vec()).all() {
                let (lo, hi) = (zone.min, zone.max);
                fields.problem(
                    &at,
                    format!(
                        "min ({}, {}, {}), max ({}, {}, {})",
                        lo.x_m, lo.y_m, lo.z_m, hi.x_m, hi.y_m, hi.z_m
                    ),
                    "min not above max along any axis",
                );
            }
        }
        for (i, station) in self.strong_stations.iter().enumerate() {
            let at = |field: &str| format!("strong_stations[{i}].{field}");
            fields.within(&at("x_m"), station.x_m, -100.0, 100.0);
            fields.within(&at("reach_m"), station.reach_m, 0.0, 5.0);
        }
        for (i, mark) in self.lifting_marks.iter().enumerate() {
            fields.within(&format!("lifting_marks[{i}].x_m"), mark.x_m, -100.0, 100.0);
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_zone_on_both_sides_is_mirrored() {
        let at = Vec3::new(2.0, 0.6, 0.4);
        let zone = KeepOff::about("log", KeepOffKind::Transducer, at, Vec3::splat(0.2), true);
        assert!(zone.contains(at) && zone.contains(Vec3::new(2.0, -0.6, 0.4)));
        assert!(!zone.contains(Vec3::new(2.0, 0.0, 0.4)));
        assert!(zone.boxes().all(|[lo, hi]| lo.cmple(hi).all()));
        let one = KeepOff {
            both_sides: false,
            ..zone
        };
        assert!(!one.contains(Vec3::new(2.0, -0.6, 0.4)));
    }

    #[test]
    fn a_station_is_a_number_or_the_whole() {
        let read = |text: &str| serde_json::from_str::<StrongStation>(text);
        for text in [
            "3",
            "3.0",
            r#"{"x_m": 3}"#,
            r#"{"x_m": 3.0, "reach_m": 0.1}"#,
        ] {
            let station = read(text).unwrap();
            assert_eq!((station.x_m, station.reach_m), (3.0, 0.10), "{text}");
        }
        let full = read(r#"{"name": "bulkhead", "x_m": 1.5, "reach_m": 0.2}"#).unwrap();
        let text = serde_json::to_string(&full).unwrap();
        assert_eq!(read(&text).unwrap(), full);
        let slip = read(r#"{"x_m": 3, "reech_m": 1}"#).unwrap_err();
        assert!(slip.to_string().contains("reech_m"), "{slip}");
        assert!(read("\"3\"").is_err());
    }
}
