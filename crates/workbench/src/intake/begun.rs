//! Sources of weight that were chosen and lack figures: nothing follows from them.

use std::collections::BTreeMap;

use keelstead_boat::hull::{CentreOfGravity, Hull, Mass};
use keelstead_boat::weigh::{Mark, MarkedWaterline, ScaleReading, SupportLoads, Water};
use keelstead_geometry::math::Point;
use keelstead_units::quantity::{Basis, Unit};
use serde::{Deserialize, Serialize};

use super::draft::Draft;

/// Part of a stated weight that it is taken to be off by until somebody says: common practice, no source.
const WEIGHT_OFF: f64 = 0.1;
/// How far a scale is taken to be off until somebody says, kg: common practice, no source.
const SCALE_OFF_KG: f64 = 20.0;
/// Parts of the hull's size that a stated centre is taken to be off by until somebody says, fore and aft,
/// to port, up: common practice, no source.
const CENTRE_OFF: [f64; 3] = [0.1, 0.02, 0.2];

/// What tells weight or centre by figures that a person gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Figured {
    /// The weight, from papers or a crane's scale.
    Mass,
    /// Two marks of the waterline.
    Waterline,
    /// Two scales under the keel.
    Scales,
    /// The centre of gravity.
    Centre,
}

/// Figures by the source that is told by them, in the order of [`Figured::asks`]; none where it is not known yet.
pub type Begun = BTreeMap<Figured, Vec<Option<f64>>>;

impl Figured {
    /// What it is called.
    pub fn title(self) -> &'static str {
        match self {
            Self::Mass => "Weight from papers or a crane\u{2019}s scale",
            Self::Waterline => "The waterline as marked",
            Self::Scales => "Two scales under the keel",
            Self::Centre => "Centre of gravity, if it is known",
        }
    }

    /// The figures without which it says nothing.
    pub fn asks(self) -> &'static [(&'static str, Unit)] {
        match self {
            Self::Mass => &[("Weight", Unit::Mass)],
            Self::Waterline => &[
                ("Aft mark, forward", Unit::Length),
                ("Aft mark, height", Unit::Length),
                ("Fore mark, forward", Unit::Length),
                ("Fore mark, height", Unit::Length),
            ],
            Self::Scales => &[
                ("Aft scale reads", Unit::Mass),
                ("Aft scale, forward", Unit::Length),
                ("Fore scale reads", Unit::Mass),
                ("Fore scale, forward", Unit::Length),
            ],
            Self::Centre => &[
                ("Forward of keel\u{2019}s aft end", Unit::Length),
                ("Above keel line", Unit::Length),
            ],
        }
    }

    /// Whether its figures say where something lies on the hull.
    fn has_places(self) -> bool {
        self != Self::Mass
    }
}

impl Draft {
    /// Chooses a source, or takes it back with all that it said.
    pub(super) fn choose(&mut self, source: Figured, chosen: bool) {
        match source {
            Figured::Mass => self.mass = None,
            Figured::Waterline => self.weighing.waterline = None,
            Figured::Scales => self.weighing.supports = None,
            Figured::Centre => self.centre = None,
        }
        self.begun.remove(&source);
        if chosen {
            self.begun.insert(source, vec![None; source.asks().len()]);
        }
    }

    /// Gives figures, by their number, of a source that lacks some; once it lacks none it counts.
    pub(super) fn figure(&mut self, source: Figured, told: &[(usize, f64)], hull: Option<&Hull>) {
        let Some(figures) = self.begun.get_mut(&source) else {
            return;
        };
        for (which, value) in told {
            if let Some(figure) = figures.get_mut(*which) {
                *figure = Some(*value);
            }
        }
        let given: Option<Vec<f64>> = figures.iter().copied().collect();
        if let Some(given) = given
            && self.count(source, &given, hull)
        {
            self.begun.remove(&source);
        }
    }

    /// Marks the waterline where the hull was pressed, in the half that was.
    pub(crate) fn mark_begun(&mut self, at: Point, hull: &Hull) {
        let first = if at.x_m < hull.bounds.center().x {
            0
        } else {
            2
        };
        let told = [(first, at.x_m), (first + 1, at.z_m)];
        self.figure(Figured::Waterline, &told, Some(hull));
    }

    /// Whether a source that lacks figures has some that lie on the hull.
    pub(super) fn has_begun_places(&self) -> bool {
        let mut begun = self.begun.iter();
        begun.any(|(source, figures)| source.has_places() && figures.iter().any(Option::is_some))
    }

    /// Takes all figures of a source for what they say; what nobody said of it is as usual.
    fn count(&mut self, source: Figured, given: &[f64], hull: Option<&Hull>) -> bool {
        match (source, given, hull) {
            (Figured::Mass, &[mass_kg], _) => {
                self.mass = Some(Mass {
                    mass_kg,
                    tolerance_kg: WEIGHT_OFF * mass_kg.abs(),
                    basis: Basis::Measured,
                });
            }
            (Figured::Waterline, &[aft_x_m, aft_z_m, fore_x_m, fore_z_m], _) => {
                let mark = |x_m, z_m| Mark { x_m, z_m };
                let marks = [mark(aft_x_m, aft_z_m), mark(fore_x_m, fore_z_m)];
                self.weighing.waterline = Some(through(marks));
            }
            (Figured::Scales, &[aft_kg, aft_x_m, fore_kg, fore_x_m], _) => {
                let reads = |mass_kg, x_m| ScaleReading {
                    x_m,
                    mass_kg,
                    tolerance_kg: SCALE_OFF_KG,
                };
                self.weighing.supports = Some(SupportLoads {
                    aft: reads(aft_kg, aft_x_m),
                    fore: reads(fore_kg, fore_x_m),
                    place_tolerance_m: SupportLoads::usual_place_off(),
                    trim_rad: 0.0,
                });
            }
            (Figured::Centre, &[x_m, z_m], Some(hull)) => {
                let size = hull.bounds.extents();
                let [x_off, y_off, z_off] = CENTRE_OFF;
                self.centre = Some(CentreOfGravity {
                    at: Point::new(x_m, 0.0, z_m),
                    tolerance: Point::new(x_off * size.x, y_off * size.y, z_off * size.z),
                    basis: Basis::Measured,
                });
            }
            _ => return false,
        }
        true
    }
}

/// The waterline through two marks, aft and fore.
pub(super) fn through([aft, fore]: [Mark; 2]) -> MarkedWaterline {
    MarkedWaterline {
        aft,
        fore,
        heel_rad: 0.0,
        tolerance_m: MarkedWaterline::usual_tolerance(),
        water: Water::Salt,
    }
}
