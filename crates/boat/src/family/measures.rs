//! The measures a person gives.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Family;
use super::kind::{MeasureKind, Place};
use crate::hull::Taped;

/// What was measured of a boat. All but length and beam may be left out; what is left out widens the
/// shape tolerance.
///
/// Stations are metres forward of the after end of the length over all, heights metres over the level
/// of the lowest point of keel or bottom, the boat standing as she floats. On a boat of two hulls,
/// half-breadths, heights of the bottom and girths are those of one hull, off its own centreline.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measures {
    /// Length over all of the hull, without rudder, rails or bowsprit, m.
    pub length_m: f64,
    /// Greatest beam, m.
    pub beam_m: f64,
    /// From the waterline down to the lowest point, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draft_m: Option<f64>,
    /// Length of the waterline on the hull, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waterline_length_m: Option<f64>,
    /// Height of the deck's edge at the stem, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_bow_m: Option<f64>,
    /// Height of the deck's edge at half the length, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_middle_m: Option<f64>,
    /// Height of the deck's edge at the transom or sternpost, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_stern_m: Option<f64>,
    /// Breadth of the transom at the deck's edge, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub transom_breadth_m: Option<f64>,
    /// How far the head of the stem stands forward of the stem at the waterline, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stem_rake_m: Option<f64>,
    /// How far the top of the transom or sternpost stands aft of its foot, m; negative if it leans
    /// forward.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stern_rake_m: Option<f64>,
    /// Station of the after end of the keel's underside, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keel_start_m: Option<f64>,
    /// Length of the keel's underside that stands on blocks, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keel_length_m: Option<f64>,
    /// Width of the keel's underside, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keel_width_m: Option<f64>,
    /// Station where the underside has risen 0.1 m on its way to the bow, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub forefoot_m: Option<f64>,
    /// Station of the rudder's forward edge at half its height, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rudder_start_m: Option<f64>,
    /// Height of the rudder's foot, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rudder_foot_m: Option<f64>,
    /// Greatest breadth of one hull of two, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hull_breadth_m: Option<f64>,
    /// Height of the bridge deck's underside, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bridge_height_m: Option<f64>,
    /// Height of the highest point that travels with her: house, rails, arch, a lowered mast, m. The surface has none of
    /// them; it lets the height on the road be known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub highest_m: Option<f64>,
    /// How far anything that travels with her (bowsprit, pulpit, anchor) reaches forward of the head of the stem, m; 0 if
    /// nothing does. The surface has none of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beyond_bow_m: Option<f64>,
    /// How far anything that travels with her (platform, bracket, davits, rudder) reaches aft of the length over all, m; 0 if
    /// nothing does. The surface has none of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beyond_stern_m: Option<f64>,
    /// Greatest breadth with rubbing strakes, rails and all else that is fixed to her sides, m. The surface has none of them;
    /// it lets the width on the road be known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beam_over_all_m: Option<f64>,
    /// Whether somebody looked under her, and nothing hangs there but keel, skeg and rudder: no outdrive, trim tabs,
    /// transducers.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub nothing_under: bool,
    /// What the boat weighs afloat, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub displacement_kg: Option<f64>,
    /// Half-breadths at stations and heights.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub half_breadths: Vec<HalfBreadth>,
    /// Heights of the bottom at stations and distances off the centreline.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bottom_heights: Vec<BottomHeight>,
    /// Girths at stations.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub girths: Vec<Girth>,
    /// How far measures of a kind may be off, either way, m, or kg for the displacement; what is not
    /// named has the usual tolerance of its kind.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub tolerances: BTreeMap<MeasureKind, f64>,
}

/// A half-breadth: from the centreline out to the skin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HalfBreadth {
    /// Station, m.
    pub station_m: f64,
    /// Height, m; left out for the deck's edge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// What was measured, m.
    pub half_breadth_m: f64,
}

/// A height of the bottom.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BottomHeight {
    /// Station, m.
    pub station_m: f64,
    /// Distance off the centreline, m.
    pub off_m: f64,
    /// What was measured, m.
    pub height_m: f64,
}

/// A girth: along the skin from the deck's edge down to the centreline, or to where the keel meets
/// the hull.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Girth {
    /// Station, m.
    pub station_m: f64,
    /// What was measured, one side, m.
    pub girth_m: f64,
}

/// One measure of those given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    /// What was measured.
    pub kind: MeasureKind,
    /// Which of its kind, counted from nought.
    pub index: usize,
    /// Where, for a kind measured at places.
    pub at: Option<Place>,
    /// Its value, m or kg.
    pub value: f64,
    /// How far it may be off, either way, m or kg.
    pub tolerance: f64,
}

impl Measures {
    /// Nothing but length over all and beam, m.
    pub fn new(length_m: f64, beam_m: f64) -> Self {
        Self {
            length_m,
            beam_m,
            ..Self::default()
        }
    }

    /// The measure of a kind that is measured once; none if it was not, or is measured at places.
    pub fn value(&self, kind: MeasureKind) -> Option<f64> {
        match kind {
            MeasureKind::Length => Some(self.length_m),
            MeasureKind::Beam => Some(self.beam_m),
            // Only reads: the copy is of what is written in any case.
            _ => self.clone().slot(kind).and_then(|slot| *slot),
        }
    }

    /// Sets the measure of a kind that is measured once, or takes it back; nothing happens for kinds
    /// measured at places, and length and beam cannot be taken back.
    pub fn set(&mut self, kind: MeasureKind, value: Option<f64>) {
        match (kind, value) {
            (MeasureKind::Length, Some(value)) => self.length_m = value,
            (MeasureKind::Beam, Some(value)) => self.beam_m = value,
            _ => {
                if let Some(slot) = self.slot(kind) {
                    *slot = value;
                }
            }
        }
    }

    fn slot(&mut self, kind: MeasureKind) -> Option<&mut Option<f64>> {
        Some(match kind {
            MeasureKind::Draft => &mut self.draft_m,
            MeasureKind::WaterlineLength => &mut self.waterline_length_m,
            MeasureKind::HeightBow => &mut self.height_bow_m,
            MeasureKind::HeightMiddle => &mut self.height_middle_m,
            MeasureKind::HeightStern => &mut self.height_stern_m,
            MeasureKind::TransomBreadth => &mut self.transom_breadth_m,
            MeasureKind::StemRake => &mut self.stem_rake_m,
            MeasureKind::SternRake => &mut self.stern_rake_m,
            MeasureKind::KeelStart => &mut self.keel_start_m,
            MeasureKind::KeelLength => &mut self.keel_length_m,
            MeasureKind::KeelWidth => &mut self.keel_width_m,
            MeasureKind::Forefoot => &mut self.forefoot_m,
            MeasureKind::RudderStart => &mut self.rudder_start_m,
            MeasureKind::RudderFoot => &mut self.rudder_foot_m,
            MeasureKind::HullBreadth => &mut self.hull_breadth_m,
            MeasureKind::BridgeHeight => &mut self.bridge_height_m,
            MeasureKind::Highest => &mut self.highest_m,
            MeasureKind::BeyondBow => &mut self.beyond_bow_m,
            MeasureKind::BeyondStern => &mut self.beyond_stern_m,
            MeasureKind::BeamOverAll => &mut self.beam_over_all_m,
            MeasureKind::Displacement => &mut self.displacement_kg,
            MeasureKind::Length
            | MeasureKind::Beam
            | MeasureKind::HalfBreadth
            | MeasureKind::BottomHeight
            | MeasureKind::Girth => return None,
        })
    }

    /// How far a measure of a kind and value may be off, either way, m or kg.
    pub fn tolerance(&self, kind: MeasureKind, value: f64) -> f64 {
        let share = if kind == MeasureKind::Displacement {
            value
        } else {
            1.0
        };
        self.tolerances
            .get(&kind)
            .copied()
            .unwrap_or(kind.usual_tolerance() * share)
    }

    /// What they say of a boat of the family beyond the surface that is fitted.
    pub fn taped(&self, family: Family) -> Taped {
        let off = |kind| {
            let value = self.value(kind);
            value.map_or(0.0, |m| self.tolerance(kind, m))
        };
        let beyond = [MeasureKind::BeyondBow, MeasureKind::BeyondStern];
        Taped {
            family,
            highest_m: self.highest_m,
            highest_tolerance_m: off(MeasureKind::Highest),
            beyond_bow_m: self.beyond_bow_m,
            beyond_stern_m: self.beyond_stern_m,
            beyond_tolerance_m: beyond.map(off).into_iter().fold(0.0, f64::max),
            beam_over_all_m: self.beam_over_all_m,
            beam_over_all_tolerance_m: off(MeasureKind::BeamOverAll),
            nothing_under: self.nothing_under,
        }
    }

    /// Every measure given, kinds in the order of [`MeasureKind::ALL`].
    pub fn list(&self) -> Vec<Given> {
        let mut all = Vec::new();
        for kind in MeasureKind::ALL {
            let mut add = |index, at, value| {
                all.push(Given {
                    kind,
                    index,
                    at,
                    value,
                    tolerance: self.tolerance(kind, value),
                });
            };
            let place = |station_m, height_m, off_m| {
                Some(Place {
                    station_m,
                    height_m,
                    off_m,
                })
            };
            match kind {
                MeasureKind::HalfBreadth => {
                    for (i, m) in self.half_breadths.iter().enumerate() {
                        add(i, place(m.station_m, m.height_m, None), m.half_breadth_m);
                    }
                }
                MeasureKind::BottomHeight => {
                    for (i, m) in self.bottom_heights.iter().enumerate() {
                        add(i, place(m.station_m, None, Some(m.off_m)), m.height_m);
                    }
                }
                MeasureKind::Girth => {
                    for (i, m) in self.girths.iter().enumerate() {
                        add(i, place(m.station_m, None, None), m.girth_m);
                    }
                }
                _ => {
                    if let Some(value) = self.value(kind) {
                        add(0, None, value);
                    }
                }
            }
        }
        all
    }
}
