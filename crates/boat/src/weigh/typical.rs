//! Mass and centre as they usually are for a kind of boat: a last resort, and a check on the rest.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Aside, CentreFound, MassFound, Source, Weighed, body_bounds};
use crate::family::Family;
use crate::hull::{Hull, Mass};
use keelstead_units::fields::Fields;
use keelstead_units::fields::Range;
use keelstead_units::quantity::{Basis, Quantity, Sentence};

/// A long ton, kg: 2240 lb (0.453 592 37 kg each).
pub const LONG_TON_KG: f64 = 2240.0 * 0.453_592_37;

/// Kinds of boat that differ in weight and in where it lies.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum BoatKind {
    /// Round-bilged displacement hull with a full keel.
    FullKeel,
    /// Fin keel with spade rudder.
    FinKeel,
    /// Centreboarder.
    Centreboarder,
    /// Hard-chine planing hull.
    Planing,
    /// Workboat with a skeg.
    Workboat,
    /// Catamaran.
    Catamaran,
    /// Double-ender.
    DoubleEnder,
    /// Flat-bottomed skiff.
    Skiff,
    /// None of these, or not known.
    Other,
}

impl From<Family> for BoatKind {
    fn from(family: Family) -> Self {
        match family {
            Family::FullKeel => Self::FullKeel,
            Family::FinKeel => Self::FinKeel,
            Family::Centreboarder => Self::Centreboarder,
            Family::Planing => Self::Planing,
            Family::SkegWorkboat => Self::Workboat,
            Family::Catamaran => Self::Catamaran,
            Family::DoubleEnder => Self::DoubleEnder,
            Family::Skiff => Self::Skiff,
        }
    }
}

impl BoatKind {
    /// Every kind, as lists show them: that of each family, then none of these.
    pub fn all() -> impl Iterator<Item = Self> {
        Family::ALL.into_iter().map(Self::from).chain([Self::Other])
    }

    /// Its word, as it stands in a hull description.
    pub fn word(self) -> &'static str {
        match self {
            Self::FullKeel => "full-keel",
            Self::FinKeel => "fin-keel",
            Self::Centreboarder => "centreboarder",
            Self::Planing => "planing",
            Self::Workboat => "workboat",
            Self::Catamaran => "catamaran",
            Self::DoubleEnder => "double-ender",
            Self::Skiff => "skiff",
            Self::Other => "other",
        }
    }

    /// Usual displacement-length ratio. Common practice, no source: the classes that the ratio is
    /// sorted into are Brewer's (*Understanding Boat Design*, p. 20: sail under 100 ultralight,
    /// 100–200 light, 200–300 moderate, 300–400 heavy; planing power under about 170, semi-planing
    /// 180–250), which of them a kind falls in is not.
    pub fn usual_ratio(self) -> Range {
        let (min, max) = match self {
            Self::FullKeel | Self::DoubleEnder => (250.0, 450.0),
            Self::FinKeel => (100.0, 300.0),
            Self::Centreboarder => (120.0, 300.0),
            Self::Planing => (80.0, 250.0),
            Self::Workboat => (180.0, 500.0),
            Self::Catamaran => (50.0, 150.0),
            Self::Skiff => (40.0, 160.0),
            Self::Other => (50.0, 500.0),
        };
        Range { min, max }
    }

    /// Where the weight usually acts, as a part of the waterline's length from its aft end, and how
    /// far that may be off. Common practice, no source.
    pub fn along_share(self) -> (f64, f64) {
        match self {
            Self::FullKeel | Self::FinKeel => (0.465, 0.045),
            Self::Centreboarder => (0.465, 0.06),
            Self::Planing => (0.39, 0.06),
            Self::Workboat => (0.45, 0.07),
            Self::Catamaran => (0.45, 0.05),
            Self::DoubleEnder => (0.485, 0.045),
            Self::Skiff => (0.43, 0.08),
            Self::Other => (0.45, 0.10),
        }
    }

    /// How high the weight usually acts, as a part of the body's depth from its lowest point to its
    /// highest, and how far that may be off. Common practice, no source.
    pub fn height_share(self) -> (f64, f64) {
        match self {
            Self::FullKeel | Self::DoubleEnder => (0.35, 0.20),
            Self::FinKeel => (0.25, 0.25),
            Self::Centreboarder => (0.40, 0.20),
            Self::Planing | Self::Catamaran => (0.50, 0.20),
            Self::Workboat => (0.45, 0.20),
            Self::Skiff => (0.50, 0.25),
            Self::Other => (0.40, 0.35),
        }
    }

    /// As a reader would call it.
    pub fn words(self) -> &'static str {
        match self {
            Self::FullKeel => "full-keeled boat",
            Self::FinKeel => "fin-keeled boat",
            Self::Centreboarder => "centreboarder",
            Self::Planing => "planing boat",
            Self::Workboat => "workboat",
            Self::Catamaran => "catamaran",
            Self::DoubleEnder => "double-ender",
            Self::Skiff => "skiff",
            Self::Other => "boat of no particular kind",
        }
    }
}

/// What kind of boat it is, and how long on the water.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Typical {
    /// What kind of boat.
    pub kind: BoatKind,
    /// Length of the waterline, m; null takes that of the marked waterline.
    #[serde(default)]
    pub waterline_m: Option<f64>,
    /// Aft end of the waterline, m forward of the hull's origin; null takes that of the marked
    /// waterline, else the waterline as lying about the middle of the body.
    #[serde(default)]
    pub waterline_aft_x_m: Option<f64>,
    /// Displacement-length ratio from and to; null takes what is usual for the kind.
    #[serde(default)]
    pub ratio: Option<Range>,
}

/// Displacement-length ratio: long tons over the cube of a hundredth of the waterline in feet.
///
/// ```
/// # use keelstead_boat::weigh::length_ratio;
/// // 20,000 lb on 30 ft: 330.69 (check-values 10, `[derived]`).
/// let ratio = length_ratio(20_000.0 * 0.453_592_37, 30.0 * 0.3048);
/// assert!((ratio - 330.69).abs() < 0.005);
/// ```
pub fn length_ratio(mass_kg: f64, waterline_m: f64) -> f64 {
    mass_kg / LONG_TON_KG / (waterline_m / 30.48).powi(3)
}

/// The mass that has a displacement-length ratio on a waterline, kg.
pub fn mass_of_ratio_kg(ratio: f64, waterline_m: f64) -> f64 {
    ratio * LONG_TON_KG * (waterline_m / 30.48).powi(3)
}

impl Typical {
    /// What is usual for a kind; the waterline is that of a mark.
    pub fn of(kind: BoatKind) -> Self {
        Self {
            kind,
            waterline_m: None,
            waterline_aft_x_m: None,
            ratio: None,
        }
    }

    pub(super) fn check(&self, fields: &mut Fields) {
        fields.maybe("typical.waterline_m", self.waterline_m, 0.5, 100.0);
        let aft = "typical.waterline_aft_x_m";
        fields.maybe(aft, self.waterline_aft_x_m, -100.0, 100.0);
        if let Some(ratio) = self.ratio {
            fields.range("typical.ratio", ratio, 5.0, 2000.0);
        }
    }

    /// No waterline is longer than the hull.
    pub(super) fn check_on(&self, hull: &Hull, fields: &mut Fields) {
        let most_m = hull.bounds.extents().x + 2.0 * hull.shape_tolerance_m;
        if let Some(length_m) = self.waterline_m
            && length_m > most_m
        {
            let expected = format!("at most the hull's own length, {most_m:.2} m");
            fields.problem("typical.waterline_m", format!("{length_m} m"), expected);
        }
    }

    pub(super) fn weigh(&self, hull: &Hull, aside: &Aside, weighed: &mut Weighed) {
        let marked = weighed.afloat;
        let Some(length_m) = self.waterline_m.or(marked.map(|a| a.length_m)) else {
            let says = Sentence::new(
                "what is typical of its kind goes by the waterline's length, which nobody gives: \
                 give typical.waterline_m, or mark the waterline",
            );
            let source = Source::Typical;
            weighed.untold.push(super::Untold { source, says });
            return;
        };
        let ratio = self.ratio.unwrap_or(self.kind.usual_ratio());
        let [least, most] = [ratio.min, ratio.max].map(|ratio| mass_of_ratio_kg(ratio, length_m));
        weighed.masses.push(MassFound {
            source: Source::Typical,
            mass: Mass {
                mass_kg: 0.5 * (least + most),
                tolerance_kg: 0.5 * (most - least),
                basis: Basis::CommonPractice,
            },
            says: Sentence::new(format!("a {} with a waterline of", self.kind.words()))
                .length(length_m)
                .words("usually has a displacement-length ratio of")
                .figure(Quantity::factor(ratio.min))
                .words("to")
                .figure(Quantity::factor(ratio.max)),
        });
        let body = body_bounds(hull);
        let (aft_x_m, aft_off_m) = match self.waterline_aft_x_m.or(marked.map(|a| a.aft_x_m)) {
            Some(x_m) => (x_m, 0.0),
            None => (
                body.center().x - 0.5 * length_m,
                0.5 * (body.extents().x - length_m).abs(),
            ),
        };
        let (share, off) = self.kind.along_share();
        let x_m = aft_x_m + share * length_m;
        let x_off_m = off * length_m + aft_off_m;
        weighed.centres.push(CentreFound {
            source: Source::Typical,
            centre: aside.centre(x_m, x_off_m, Basis::CommonPractice),
            says: Sentence::new(format!(
                "in a {} the weight usually acts",
                self.kind.words()
            ))
            // Shares are known to half a percent, and a ratio is written to whole ones.
            .words(format!(
                "{} % of the waterline's length from its aft end at",
                (share * 1000.0).round() / 10.0
            ))
            .length(aft_x_m),
        });
    }
}
