//! What carries the boat, in figures: load, share and use of every support.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use keelstead_geometry::math::Point;
use keelstead_units::quantity::{Quantity, Sentence};
use keelstead_units::verdict::Verdict;

/// A force where it acts: for arrows. Trailer frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Force {
    /// Where it acts on the hull.
    pub at: Point,
    /// Along x (forward), N.
    pub x_n: f64,
    /// Along y (left), N.
    pub y_n: f64,
    /// Along z (up), N.
    pub z_n: f64,
}

/// How the boat's weight is carried.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Carrying {
    /// Weight of the boat with what the load adds, N.
    pub weight_n: f64,
    /// Where it acts. Trailer frame.
    pub centre: Point,
    /// Each beam in place, in the order of `Findings::supports`.
    pub supports: Vec<Carried>,
    /// The hull as a beam from aft to forward: what its keel must bear between the supports, at
    /// rest.
    pub keel: Vec<KeelStation>,
    /// Longest stretch of keel between two supports that carry, m.
    pub longest_span_m: f64,
    /// How far the hull reaches ahead of the foremost support that carries, m.
    pub bow_overhang_m: f64,
    /// How far the hull reaches behind the aftmost support that carries, m.
    pub stern_overhang_m: f64,
    /// The longest that these three may be at any corner of what may be off, m, in the same order: a support may carry
    /// nothing then.
    pub stretches_most_m: [f64; 3],
    /// Whether the stiffness of every support is known. Where it is not, and more than two carry,
    /// the shares are a guess.
    pub stiffness_known: bool,
    /// Whether the loads miss the weight: sum of the loads less the weight, N.
    pub residual_n: f64,
    /// Moment of the loads about the centre of gravity, N·m.
    pub residual_nm: f64,
    /// How far sideways the supports' middle lies from the weight at most, m. Loads are those of the
    /// plane along the keel; what lies off it, pads must hold.
    pub off_centre_m: f64,
}

/// What one support carries.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Carried {
    /// Load at rest, N.
    pub load_n: f64,
    /// Its share of the weight.
    pub share: f64,
    /// Least and greatest load at any corner of what may be off together: weight, centre of gravity, where she was put,
    /// and the height of every stack under her keel, N.
    pub least_n: f64,
    /// See `least_n`.
    pub most_n: f64,
    /// Load with the centre of gravity at the aft end of its tolerance, N; none if the hull tips
    /// then or no tolerance is known.
    pub aft_n: Option<f64>,
    /// Load with the centre of gravity at the forward end of its tolerance, N.
    pub fore_n: Option<f64>,
    /// Load with the weight at the upper end of its tolerance, N; none if the hull tips then.
    pub heavy_n: Option<f64>,
    /// Load without the weights the load adds, N; none if it adds none.
    pub without_extra_n: Option<f64>,
    /// The load on the hull, for an arrow; zero where nothing carries.
    pub force: Force,
    /// What stays between stack and hull when the others have given under the weight, m: what must
    /// be closed before it carries; none if the hull does not reach over it.
    pub gap_m: Option<f64>,
    /// How far it gives under its load, m.
    pub gives_m: f64,
    /// Stiffness of stack and beam where the stack stands, N/m.
    pub stiffness_n_per_m: f64,
    /// Whether that stiffness rests on known materials.
    pub stiffness_known: bool,
    /// Length of keel that bears on it, m.
    pub bearing_length_m: f64,
    /// Mean width that bears over that length, m.
    pub bearing_width_m: f64,
    /// Level area that bears, m²: that length times that width.
    pub bearing_area_m2: f64,
    /// Twice the distance from the middle of what bears to its nearer side, m, slots included: what
    /// holds the hull upright.
    pub bearing_spread_m: f64,
    /// Height to add for the load wanted, m, in steps of the shims on hand (negative: take out);
    /// none where shims would change little.
    pub shim_m: Option<f64>,
    /// Load once all are shimmed so, N, worked out anew.
    pub shimmed_n: Option<f64>,
    /// Every check of beam, blocks and keel here.
    pub uses: Vec<Utilisation>,
}

impl Carried {
    /// The check that governs the beam or the block `block` (`None` for the beam): unknown before
    /// any figure, then the hardest used.
    pub fn governing(&self, member: Member) -> Option<&Utilisation> {
        self.uses
            .iter()
            .filter(|u| u.member == member)
            .max_by(|a, b| a.rank().total_cmp(&b.rank()))
    }

    /// The governing check of each part, in the order of the checks.
    pub fn governing_each(&self) -> Vec<&Utilisation> {
        let mut members: Vec<Member> = self.uses.iter().map(|u| u.member).collect();
        members.dedup();
        members
            .into_iter()
            .filter_map(|member| self.governing(member))
            .collect()
    }

    /// The check that governs beam, stack and keel here; none if there is none.
    pub fn hardest(&self) -> Option<&Utilisation> {
        self.uses
            .iter()
            .max_by(|a, b| a.rank().total_cmp(&b.rank()))
    }

    /// Whether what it may carry within the tolerances is still to be worked out.
    pub fn is_pending(&self) -> bool {
        self.uses.iter().any(|used| used.pending)
    }

    /// Foul where it carries nothing, else the verdict on its hardest use; unknown if none is known.
    pub fn verdict(&self) -> Verdict {
        match self.hardest() {
            _ if self.load_n <= 0.0 => Verdict::Foul,
            Some(hardest) => hardest.verdict(),
            None => Verdict::Unknown,
        }
    }

    /// Height to add here, m (negative: to take out), and the load once all are shimmed so, N; none
    /// where this stack stays as it is.
    pub fn shim(&self) -> Option<(f64, f64)> {
        let (shim_m, then_n) = self.shim_m.zip(self.shimmed_n)?;
        (shim_m != 0.0).then_some((shim_m, then_n))
    }

    /// That as an instruction: "add 14 mm at the beam in pocket 3: it then carries 17.0 kN".
    pub fn shim_advice(&self, support: &str) -> Option<Sentence> {
        let (shim_m, then_n) = self.shim()?;
        let (verb, place) = if shim_m > 0.0 {
            ("add", "at")
        } else {
            ("take out", "from")
        };
        let place = format!("{place} the {support}: it then carries");
        Some(
            Sentence::new(verb)
                .length(shim_m.abs())
                .words(place)
                .figure(Quantity::force(then_n)),
        )
    }
}

/// What a check is about.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Member {
    /// The cross beam.
    Beam,
    /// The block of this number in the stack, from 0, lowest first.
    Block(usize),
    /// The stack as a whole.
    Stack,
    /// The keel over it.
    Keel,
}

/// What is checked.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum LimitState {
    /// Bending at the extreme fibre.
    Bending,
    /// Shear along the grain, or of a steel web.
    Shear,
    /// Sag under the load at rest.
    Deflection,
    /// Pressure where the beam lies on the rails.
    RailBearing,
    /// Pressure across the grain, from what stands above.
    AcrossGrain,
    /// Pressure along the grain of a block on end, from what stands above.
    AlongGrain,
    /// Height over the narrowest block, fore and aft or across.
    StackHeight,
    /// Pressure on the keel.
    KeelPressure,
    /// Slope of the keel against friction.
    Slip,
}

impl LimitState {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Bending => "bending",
            Self::Shear => "shear",
            Self::Deflection => "deflection",
            Self::RailBearing => "bearing at the rails",
            Self::AcrossGrain => "bearing across the grain",
            Self::AlongGrain => "bearing along the grain",
            Self::StackHeight => "height over base",
            Self::KeelPressure => "pressure on the keel",
            Self::Slip => "slip on the slope",
        }
    }
}

/// How hard something is used.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Utilisation {
    /// What is used.
    pub member: Member,
    /// In which way.
    pub check: LimitState,
    /// What it must bear; none if that is not known.
    pub demand: Option<Quantity>,
    /// What it may bear; none if its values are not known.
    pub capacity: Option<Quantity>,
    /// Demand over capacity; none if its values are not known.
    pub ratio: Option<f64>,
    /// The same for the greatest load within the tolerances.
    pub worst_ratio: Option<f64>,
    /// Whether that is still to be worked out.
    #[serde(default, skip)]
    pub pending: bool,
}

impl Utilisation {
    /// The verdict on it: unknown where its values are, tight where only the greatest load within
    /// the tolerances is too much.
    pub fn verdict(&self) -> Verdict {
        let ratio = self.ratio.unwrap_or(f64::NAN);
        match Verdict::at_least(1.0, ratio, self.over(ratio)) {
            Verdict::Tight | Verdict::Clear if self.pending => Verdict::Pending,
            verdict => verdict,
        }
    }

    /// How much harder than `ratio` the greatest load within the tolerances uses it.
    pub fn over(&self, ratio: f64) -> f64 {
        (self.worst_ratio.unwrap_or(ratio) - ratio).max(0.0)
    }

    /// Order in which uses govern: unknown first, then by the greatest ratio.
    pub fn rank(&self) -> f64 {
        self.worst_ratio.unwrap_or(f64::INFINITY)
    }
}

/// The hull as a beam at a station of the keel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct KeelStation {
    /// Station, m forward of the coupling.
    pub x_m: f64,
    /// Shear force, N: what acts upward aft of it.
    pub shear_n: f64,
    /// Bending moment, N·m, positive where the hull sags between supports.
    pub moment_nm: f64,
}

impl std::fmt::Display for Member {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Beam => f.write_str("beam"),
            Self::Block(n) => write!(f, "block {}", n + 1),
            Self::Stack => f.write_str("stack"),
            Self::Keel => f.write_str("keel"),
        }
    }
}
