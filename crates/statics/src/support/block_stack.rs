//! A beam in place with its stack: how stiff it is under the keel, and every check of its strength.

use super::beam::Span;
use super::descent::{Descent, Pressed, Stretch, about};
use super::patch::Patch;
use crate::carrying::{LimitState, Member, Utilisation};
use keelstead_load::load::{BlockOrientation, PlacedBeam, StrengthLimits};
use keelstead_load::material;
use keelstead_load::material::{LoadDuration, Material, STEEL_MODULUS_PA, Timber};
use keelstead_load::rig::{BeamStock, Rig};
use keelstead_load::rig_parts::{TopFace, top_face};
use keelstead_load::section::{Section, SteelSection};
use keelstead_units::quantity::Quantity;

/// Young's modulus taken where none is known, Pa: the lowest of the built-in timbers. Assumed
/// default, and [`BlockStack::stiffness_known`] says so.
const ASSUMED_MODULUS_PA: f64 = 0.8e6 * material::PSI_PA;

/// Share of it taken across the grain: hardwood's.
const ASSUMED_ACROSS: f64 = 1.0 / 15.0;

/// What something is made of, as far as the rig says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Make<'a> {
    /// Timber with design values; assumed where only the species is known.
    Timber {
        /// The values.
        values: &'a Timber,
        /// Whether nobody named a grade.
        assumed: bool,
    },
    /// Steel; without a section nothing is known of its strength.
    Steel(Option<SteelSection>),
    /// Nothing is known.
    Unknown,
}

impl<'a> Make<'a> {
    fn of(
        rig: &'a Rig,
        material: Material,
        grade: Option<&str>,
        section: Option<SteelSection>,
    ) -> Self {
        if material == Material::Steel {
            return Self::Steel(section);
        }
        let named = grade
            .and_then(|g| rig.timber(g))
            .map(|values| (values, false));
        let row = named.or_else(|| material::assumed(material).map(|values| (values, true)));
        row.map_or(Self::Unknown, |(values, assumed)| Self::Timber {
            values,
            assumed,
        })
    }

    /// Whether its values stand in for a grade nobody named.
    pub fn assumed(self) -> bool {
        matches!(self, Self::Timber { assumed: true, .. })
    }

    fn timber(self) -> Option<&'a Timber> {
        match self {
            Self::Timber { values, .. } => Some(values),
            _ => None,
        }
    }

    /// Young's modulus along and across the grain, Pa; none where unknown.
    fn moduli(self) -> (Option<f64>, Option<f64>) {
        match self {
            Self::Timber { values, .. } => (values.modulus_pa, values.modulus_across_pa),
            Self::Steel(_) => (Some(STEEL_MODULUS_PA), Some(STEEL_MODULUS_PA)),
            Self::Unknown => (None, None),
        }
    }
}

/// A block in its stack.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Layer<'a> {
    make: Make<'a>,
    lie: BlockOrientation,
    up_m: f64,
    /// Where its top is pressed.
    top: Pressed,
    /// Length along the grain that is pressed, m.
    along_grain_m: f64,
    /// Area at half its height, m²: what gives.
    middle_m2: f64,
}

/// A beam in place with its stack.
#[derive(Debug, Clone, PartialEq)]
pub struct BlockStack<'a> {
    rig: &'a Rig,
    beam: &'a BeamStock,
    /// What the beam is made of.
    pub make: Make<'a>,
    section: Section,
    span: Span,
    /// Blocks, lowest first.
    layers: Vec<Layer<'a>>,
    /// Where the load comes in on the beam's top, and the length along the grain there, m.
    on_beam: (Pressed, f64),
    patch: Patch,
    height_m: f64,
    /// Narrowest of the blocks, fore and aft or across, m; none where there are none.
    base_m: Option<f64>,
    /// Slope of the keel against the level, rad; none where it does not reach over the stack.
    slope_rad: Option<f64>,
    soft_packing_n_per_m: Option<f64>,
    /// Stiffness under the keel, N/m.
    pub stiffness_n_per_m: f64,
    /// Whether it rests on known materials.
    pub stiffness_known: bool,
}

impl BlockStack<'_> {
    /// Where the keel bears on it.
    pub fn patch(&self) -> &Patch {
        &self.patch
    }
}

/// Why a stack does not stand on its beam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum StandError {
    /// Beam, pocket or a block is not there.
    #[error("the rig has no such beam or block")]
    Missing,
    /// The stack stands on or beyond a rail.
    #[error("the stack stands beyond the middle of a rail; move it between the rails")]
    BeyondRails,
    /// The keel bears on or beyond a rail.
    #[error("the keel bears beyond the middle of a rail")]
    KeelBeyondRails,
    /// The keel bears past the edge of a block lower in the stack, or of the beam.
    #[error("the keel bears past the edge of a block lower in the stack: it would tip off")]
    TipsOff,
}

impl<'a> BlockStack<'a> {
    /// The beam `placed` with its stack, the keel bearing over `patch`; `frame_pitch_rad` is how
    /// far the rails' front stands up. The beam is loaded where the keel bears, wherever between
    /// that and the rails the stack stands.
    ///
    /// # Errors
    /// [`StandError`] if a part is missing, stack or keel stand beyond the rails, or a lower block
    /// does not reach under where the keel bears.
    pub fn new(
        rig: &'a Rig,
        placed: &PlacedBeam,
        patch: Patch,
        frame_pitch_rad: f64,
    ) -> Result<Self, StandError> {
        let beam = rig.beam(&placed.beam).ok_or(StandError::Missing)?;
        let length_m = rig.rails.clear_width_m + rig.rails.width_m;
        let top = top_face(rig, placed).ok_or(StandError::Missing)?;
        if top.middle.y.abs() >= length_m / 2.0 {
            return Err(StandError::BeyondRails);
        }
        let span = Span {
            length_m,
            left_m: length_m / 2.0 - patch.middle.y,
        };
        if !(span.left_m > 0.0 && span.left_m < length_m) {
            return Err(StandError::KeelBeyondRails);
        }
        let make = Make::of(rig, beam.material, beam.grade.as_deref(), beam.section);
        let section = match make {
            Make::Steel(Some(steel)) => Section::steel(steel, beam.width_m, beam.depth_m),
            _ => Section::solid(beam.width_m, beam.depth_m),
        };
        let (layers, on_beam) = layers(rig, placed, beam, &top, &patch)?;
        let mut stand = Self {
            rig,
            beam,
            make,
            section,
            span,
            height_m: layers.iter().map(|l| l.up_m).sum::<f64>() + placed.shim_m,
            layers,
            on_beam,
            patch,
            base_m: narrowest_m(rig, placed),
            slope_rad: patch.slope.map(|s| s.atan() + frame_pitch_rad),
            soft_packing_n_per_m: placed.soft_packing_n_per_m,
            stiffness_n_per_m: 0.0,
            stiffness_known: true,
        };
        stand.stiffness_known = stand.stiffen();
        Ok(stand)
    }

    /// Works out the stiffness; whether all of it is known.
    fn stiffen(&mut self) -> bool {
        let mut known = true;
        let mut or_assumed = |modulus: Option<f64>, otherwise: f64| {
            known &= modulus.is_some();
            modulus.unwrap_or(otherwise)
        };
        let (along, _) = self.make.moduli();
        // A steel beam without a section is no solid bar.
        let along = along.filter(|_| self.make != Make::Steel(None));
        let bending = or_assumed(along, ASSUMED_MODULUS_PA) * self.section.second_moment_m4;
        let mut give = self.span.sinks_m_per_n(bending);
        if let Some(seat) = self.rig.rails.seat_stiffness_n_per_m {
            give += self.span.ends_give_m_per_n(seat);
        }
        for layer in &self.layers {
            let (along, across) = layer.make.moduli();
            let modulus = match layer.lie {
                BlockOrientation::End => or_assumed(along, ASSUMED_MODULUS_PA),
                _ => or_assumed(across, ASSUMED_MODULUS_PA * ASSUMED_ACROSS),
            };
            give += layer.up_m / (modulus * layer.middle_m2);
        }
        // A mat on top gives whatever its height, which counts among the shims.
        give += self
            .soft_packing_n_per_m
            .map_or(0.0, |stiffness| 1.0 / stiffness);
        self.stiffness_n_per_m = 1.0 / give;
        known
    }

    /// Whether any of its strengths stands in for a grade nobody named.
    pub fn assumed(&self) -> bool {
        self.make.assumed() || self.layers.iter().any(|l| l.make.assumed())
    }

    /// Slope of the keel against the level, rad.
    pub fn slope_rad(&self) -> Option<f64> {
        self.slope_rad
    }

    /// Every check for `load_n` at rest, and for `most_n` within the tolerances.
    pub fn uses(&self, load_n: f64, most_n: f64, asked: &StrengthLimits) -> Vec<Utilisation> {
        let mut uses = Vec::with_capacity(8 + self.layers.len());
        let checks = Checks {
            stand: self,
            asked,
            load_n,
        };
        checks.beam(&mut uses);
        checks.blocks(&mut uses);
        checks.keel(&mut uses);
        for one in &mut uses {
            let by_load = !matches!(one.check, LimitState::StackHeight | LimitState::Slip);
            one.worst_ratio = match (one.ratio, by_load) {
                (Some(ratio), true) if load_n > 0.0 => Some(ratio * most_n / load_n),
                (Some(ratio), _) if one.check == LimitState::StackHeight => {
                    let higher = 1.0 + asked.stack_tolerance_m / self.height_m;
                    Some(ratio * higher)
                }
                (ratio, _) => ratio,
            };
        }
        if load_n <= 0.0 && most_n > 0.0 {
            // Idle now, but not always: the greatest load says how hard it may be used.
            let loaded = self.uses(most_n, most_n, asked);
            for (one, loaded) in uses.iter_mut().zip(loaded) {
                one.worst_ratio = loaded.ratio;
            }
        }
        uses
    }
}

/// Blocks with how each is pressed, lowest first, and how the beam is, with the length along its
/// grain.
fn layers<'a>(
    rig: &'a Rig,
    placed: &PlacedBeam,
    beam: &BeamStock,
    top: &TopFace,
    patch: &Patch,
) -> Result<(Vec<Layer<'a>>, (Pressed, f64)), StandError> {
    let mut layers = Vec::with_capacity(placed.stack.len());
    let mut load = Descent::new(patch);
    for block in placed.stack.iter().rev() {
        let stock = rig.block(&block.block).ok_or(StandError::Missing)?;
        let [along, across, up_m] = stock.lying_m(block.lie);
        let level = [about(top.middle.x, along), about(top.middle.y, across)];
        if !load.onto(level) {
            return Err(StandError::TipsOff);
        }
        let pressed = load.presses();
        layers.push(Layer {
            make: Make::of(rig, stock.material, stock.grade.as_deref(), None),
            lie: block.lie,
            up_m,
            top: pressed,
            along_grain_m: match block.lie {
                BlockOrientation::Flat | BlockOrientation::Edge => {
                    along_grain_m(&pressed, 1, level)
                }
                BlockOrientation::FlatAlong | BlockOrientation::EdgeAlong => {
                    along_grain_m(&pressed, 0, level)
                }
                BlockOrientation::End => 0.0,
            },
            middle_m2: load.gives_m2(up_m / 2.0),
        });
        load.down(up_m);
    }
    layers.reverse();
    let level = [about(top.middle.x, beam.width_m), about(0.0, beam.length_m)];
    if !load.onto(level) {
        return Err(StandError::TipsOff);
    }
    let pressed = load.presses();
    Ok((layers, (pressed, along_grain_m(&pressed, 1, level))))
}

fn along_grain_m(pressed: &Pressed, axis: usize, level: [Stretch; 2]) -> f64 {
    pressed.along_grain_m(axis, level[axis], material::BEARING_FROM_END_M)
}

/// The narrowest block of a stack, fore and aft or across, m: a stack falls to any side.
fn narrowest_m(rig: &Rig, placed: &PlacedBeam) -> Option<f64> {
    let blocks = placed.stack.iter();
    blocks
        .filter_map(|b| Some(rig.block(&b.block)?.base_m(b.lie)))
        .reduce(f64::min)
}

struct Checks<'s, 'a> {
    stand: &'s BlockStack<'a>,
    asked: &'s StrengthLimits,
    load_n: f64,
}

impl Checks<'_, '_> {
    /// A stress of `per_newton` for each newton, at rest and on the road, each against what is
    /// allowed for as long as it acts; the harder use of the two.
    fn stress(
        &self,
        member: Member,
        check: LimitState,
        per_newton: f64,
        allowed: impl Fn(LoadDuration) -> Option<f64>,
    ) -> Utilisation {
        let rest = (self.load_n * per_newton, allowed(self.asked.rest_duration));
        let road = (
            rest.0 * self.asked.road_factor,
            allowed(self.asked.road_duration),
        );
        let ratio = |(demand, allowed): (f64, Option<f64>)| allowed.map(|a| demand / a);
        let (demand, allowed) = if ratio(rest) > ratio(road) {
            rest
        } else {
            road
        };
        Utilisation {
            member,
            check,
            demand: Some(Quantity::pressure(demand)),
            capacity: allowed.map(Quantity::pressure),
            ratio: ratio((demand, allowed)),
            worst_ratio: None,
            pending: false,
        }
    }

    fn beam(&self, uses: &mut Vec<Utilisation>) {
        let s = self.stand;
        let (beam, section, span, make) = (s.beam, &s.section, s.span, s.make);
        let steel = match make {
            Make::Steel(section) => section,
            _ => None,
        };
        let yields = |part: f64| steel.map(|s| s.yield_pa() * part / self.asked.steel_safety);
        let timber = make.timber();
        let bending = |d| timber.and_then(|t| t.bending_allowed_pa(d, beam.depth_m));
        uses.push(self.stress(
            Member::Beam,
            LimitState::Bending,
            span.moment_m() / section.modulus_m3,
            |d| bending(d).or(yields(1.0)),
        ));
        // Steel yields in shear at 0.6 of its yield in tension (AISC 360, from memory).
        uses.push(self.stress(
            Member::Beam,
            LimitState::Shear,
            span.most() * section.shear_per_m2,
            |d| timber.and_then(|t| t.shear_allowed_pa(d)).or(yields(0.6)),
        ));
        uses.push(self.deflection());
        let seat_m = ((beam.length_m - s.rig.rails.clear_width_m) / 2.0)
            .min(s.rig.rails.width_m)
            .max(1.0e-3);
        let bears_m = steel.map_or(beam.width_m, SteelSection::webs_m);
        let wet = self.asked.wet_service;
        uses.push(self.stress(
            Member::Beam,
            LimitState::RailBearing,
            span.most() / (bears_m * seat_m),
            // At a member's end no bearing area factor counts: as for six inches and more.
            |d| {
                timber
                    .and_then(|t| t.across_allowed_pa(d, wet, 1.0))
                    .or(yields(1.0))
            },
        ));
        if timber.is_some() || make == Make::Unknown {
            let (pressed, along_grain_m) = s.on_beam;
            uses.push(self.stress(
                Member::Beam,
                LimitState::AcrossGrain,
                1.0 / pressed.area_m2,
                |d| timber.and_then(|t| t.across_allowed_pa(d, wet, along_grain_m)),
            ));
        }
    }

    fn deflection(&self) -> Utilisation {
        let s = self.stand;
        let modulus = match s.make {
            Make::Steel(None) => None,
            make => make.moduli().0,
        };
        let bending = modulus.unwrap_or(ASSUMED_MODULUS_PA) * s.section.second_moment_m4;
        let demand = self.load_n * s.span.deflects_m_per_n(bending);
        let allowed = s.span.length_m / self.asked.span_over_deflection;
        Utilisation {
            member: Member::Beam,
            check: LimitState::Deflection,
            demand: Some(Quantity::length(demand)),
            capacity: modulus.map(|_| Quantity::length(allowed)),
            ratio: modulus.map(|_| demand / allowed),
            worst_ratio: None,
            pending: false,
        }
    }

    fn blocks(&self, uses: &mut Vec<Utilisation>) {
        let s = self.stand;
        let wet = self.asked.wet_service;
        for (n, layer) in s.layers.iter().enumerate() {
            let timber = layer.make.timber();
            let check = match layer.lie {
                BlockOrientation::End => LimitState::AlongGrain,
                _ => LimitState::AcrossGrain,
            };
            let allowed = |d| match check {
                LimitState::AlongGrain => timber?.along_allowed_pa(d, wet),
                _ => timber?.across_allowed_pa(d, wet, layer.along_grain_m),
            };
            let per_newton = 1.0 / layer.top.area_m2;
            uses.push(self.stress(Member::Block(n), check, per_newton, allowed));
        }
        if let Some(base) = s.base_m {
            let most = self.asked.stack_slenderness * base;
            // A stack of exactly the height allowed is allowed, whatever rounding says.
            let ratio = s.height_m / most;
            uses.push(Utilisation {
                member: Member::Stack,
                check: LimitState::StackHeight,
                demand: Some(Quantity::length(s.height_m)),
                capacity: Some(Quantity::length(most)),
                ratio: Some(if ratio < 1.0 + 1e-9 {
                    ratio.min(1.0)
                } else {
                    ratio
                }),
                worst_ratio: None,
                pending: false,
            });
        }
    }

    fn keel(&self, uses: &mut Vec<Utilisation>) {
        let s = self.stand;
        let per_newton = 1.0 / s.patch.area_m2();
        uses.push(
            self.stress(Member::Keel, LimitState::KeelPressure, per_newton, |_| {
                Some(self.asked.keel_pressure_pa)
            }),
        );
        let friction = self.asked.keel_friction;
        // A keel whose slope is not known may slip; without friction any slope does.
        uses.push(Utilisation {
            member: Member::Keel,
            check: LimitState::Slip,
            demand: s.slope_rad.map(|slope| Quantity::angle(slope.abs())),
            capacity: Some(Quantity::angle(friction.atan())),
            ratio: s.slope_rad.map(|slope| match slope.tan().abs() {
                level if level < 1e-9 => 0.0,
                rise => (rise / friction).min(f64::MAX),
            }),
            worst_ratio: None,
            pending: false,
        });
    }
}
