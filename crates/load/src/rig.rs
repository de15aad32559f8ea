//! The trailer and its tractor: rails, pockets, axles, pads, suspension, and the beams and blocks
//! on hand.
//!
//! Two frames meet here. **Trailer frame**, as in ISO 8855: x forward, y left, z up, origin on the
//! ground under the coupling; wheels and tractor stand in it. **Frame** (of steel): the same axes
//! when the suspension stands at its level height, but z is measured from the rails' top; rails,
//! cross members, mudguards and pads are bolted to it and move with the suspension.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::load::BlockOrientation;
use crate::material;
use crate::material::Timber;
use crate::section::SteelSection;
use keelstead_geometry::math::Point;
use keelstead_units::fields::Range;
use keelstead_units::fields::{FieldProblem, Fields};

pub use crate::material::Material;

/// A trailer with its tractor and its stock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rig {
    /// The rig's name.
    pub name: String,
    /// The two side rails with their pockets.
    pub rails: Rails,
    /// Members that join the rails in front, gooseneck included. Frame coordinates.
    pub members: Vec<Member>,
    /// Where the trailer hangs on the tractor.
    pub coupling: Coupling,
    /// The trailer's axles, front to back.
    pub axles: Vec<Axle>,
    /// Mudguards, one entry a side. Frame coordinates.
    pub mudguards: Vec<FixedBox>,
    /// Steadying pads.
    pub pads: Vec<PadMount>,
    /// How high the frame can ride.
    pub suspension: Suspension,
    /// What stands in front.
    pub tractor: Option<Tractor>,
    /// Cross beams on hand.
    pub beams: Vec<BeamStock>,
    /// Blocks on hand.
    pub blocks: Vec<BlockStock>,
    /// Timbers of which the yard knows values of its own, beside the built-in ones.
    #[serde(default)]
    pub timbers: Vec<Timber>,
    /// Shims and wedges on hand.
    pub packing: Packing,
    /// What the makers allow.
    pub ratings: Ratings,
    /// The empty trailer; none if nobody weighed it.
    #[serde(default)]
    pub tare: Option<Tare>,
    /// How far the rig's own figures may be off, m.
    pub tolerance_m: f64,
}

/// Two box-section side rails, mirror images in the centreplane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rails {
    /// Front end, m forward of the coupling (negative: behind it).
    pub front_x_m: f64,
    /// Aft end, m forward of the coupling (negative: behind it).
    pub aft_x_m: f64,
    /// Clear width between the rails, m.
    pub clear_width_m: f64,
    /// Width of one rail, m.
    pub width_m: f64,
    /// Depth of one rail, m, down from its top.
    pub depth_m: f64,
    /// Pockets through both rails, front to back; pocket 1 is the first.
    pub pockets: Vec<Pocket>,
    /// How stiff a rail is under the end of a beam, N/m; none takes it as rigid.
    #[serde(default)]
    pub seat_stiffness_n_per_m: Option<f64>,
    /// Bending stiffness EI of both rails together, N·m², held at the coupling and the middle of
    /// the axles; none takes them as rigid.
    #[serde(default)]
    pub bending_n_m2: Option<f64>,
}

/// A rectangular opening through both rails, for a cross beam.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pocket {
    /// Station of the middle, m forward of the coupling.
    pub x_m: f64,
    /// Opening fore and aft, m.
    pub opening_width_m: f64,
    /// Opening height, m.
    pub opening_height_m: f64,
    /// Height of the sill the beam lies on, m below the rail's top.
    pub sill_below_top_m: f64,
}

/// A straight box-section member from one point of its axis to another. Frame coordinates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Member {
    /// What it is, as a reader would call it.
    pub name: String,
    /// One end of the axis.
    pub from: Point,
    /// The other end of the axis.
    pub to: Point,
    /// Width across the axis, level, m.
    pub width_m: f64,
    /// Depth across the axis, upright, m.
    pub depth_m: f64,
}

/// An upright box.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FixedBox {
    /// What it is, as a reader would call it.
    pub name: String,
    /// Corner with the least x, y and z.
    pub min: Point,
    /// Corner with the greatest x, y and z.
    pub max: Point,
}

/// Where the trailer hangs on the tractor: a pivot at a fixed height.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Coupling {
    /// Height of the pivot above the ground, m.
    pub height_m: f64,
    /// Greatest load the maker allows on it, kg; none if unknown.
    pub rating_kg: Option<f64>,
}

/// An axle with its wheels, symmetric about the centreplane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Axle {
    /// Station of the hubs, m forward of the coupling.
    pub x_m: f64,
    /// Distance between the middles of the left and right wheel (or pair), m.
    pub track_m: f64,
    /// Diameter of a tyre, m.
    pub tyre_diameter_m: f64,
    /// Width of a tyre, m.
    pub tyre_width_m: f64,
    /// Distance between the middles of a pair, m; none for single tyres.
    pub dual_spacing_m: Option<f64>,
    /// Greatest load the maker allows on the axle, kg; none if unknown.
    pub rating_kg: Option<f64>,
}

/// A hydraulic pad on an arm. It steadies the hull and takes no significant weight.
///
/// The arm turns about the pivot in the plane across the trailer; the pad runs in and out along
/// the arm, and its face swivels to lie against the hull. Frame coordinates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PadMount {
    /// Name, unique in the rig, as a reader would call it.
    pub name: String,
    /// The arm's pivot. A pad whose pivot lies left of the centreplane pushes to the right.
    pub pivot: Point,
    /// How far the arm can rise above level, rad.
    pub elevation_rad: Range,
    /// Distance from pivot to pad face, drawn in and run out, m.
    pub reach_m: Range,
    /// Length of the pad along the hull, m.
    pub pad_length_m: f64,
    /// Height of the pad, m.
    pub pad_height_m: f64,
    /// Thickness of the pad with its cover, m.
    pub pad_thickness_m: f64,
    /// How far the face can turn off the arm's axis, rad, any way.
    pub swivel_rad: f64,
    /// Greatest push the maker allows, N; none if unknown.
    pub rating_n: Option<f64>,
    /// How stiff pad, cover, arm and post are along the push, N/m; none takes an assumed default.
    #[serde(default)]
    pub stiffness_n_per_m: Option<f64>,
}

/// Air suspension: how high the rails' top can ride above the ground, at the middle of the axles.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Suspension {
    /// Rail top above ground, m: bags empty to bags full.
    pub rail_top_m: Range,
    /// Rail top above ground at which the frame is level, m.
    pub level_m: f64,
    /// Stiffness of all axles together against leaning sideways, N·m/rad; none if unknown. How the
    /// suspension sinks moves frame and hull alike and changes no support's share.
    #[serde(default)]
    pub roll_stiffness_nm_per_rad: Option<f64>,
}

/// What stands in front of the trailer. Trailer frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tractor {
    /// The tractor's name.
    pub name: String,
    /// Cab, deck and whatever else a bow might meet.
    pub outline: Vec<FixedBox>,
    /// The tractor's axles.
    pub axles: Vec<Axle>,
}

/// Cross beams of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BeamStock {
    /// Name, unique among the rig's beams.
    pub name: String,
    /// How many there are.
    pub count: usize,
    /// Length, across the trailer, m.
    pub length_m: f64,
    /// Width, fore and aft as it lies, m.
    pub width_m: f64,
    /// Depth, upright as it lies, m.
    pub depth_m: f64,
    /// What it is made of.
    #[serde(default)]
    pub material: Material,
    /// Name of the timber's values, built in or of the rig's `timbers`; none takes the lowest grade
    /// of its species.
    #[serde(default)]
    pub grade: Option<String>,
    /// Section of a steel beam; without it nothing is known of its strength.
    #[serde(default)]
    pub section: Option<SteelSection>,
}

/// Blocks of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BlockStock {
    /// Name, unique among the rig's blocks.
    pub name: String,
    /// How many there are.
    pub count: usize,
    /// Longest edge, along the grain, m.
    pub length_m: f64,
    /// Middle edge, m.
    pub width_m: f64,
    /// Shortest edge, m.
    pub thickness_m: f64,
    /// What it is made of.
    #[serde(default)]
    pub material: Material,
    /// Name of the timber's values, built in or of the rig's `timbers`; none takes the lowest grade
    /// of its species.
    #[serde(default)]
    pub grade: Option<String>,
}

/// What closes the last millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Packing {
    /// Thicknesses of shims on hand, m. Any number of each.
    pub shims_m: Vec<f64>,
    /// Greatest shimming allowed on one stack, m.
    pub shims_at_most_m: f64,
    /// Steepest wedge on hand, rad; none if there are none.
    pub wedge_rad: Option<f64>,
}

/// What the makers allow.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ratings {
    /// Greatest mass of boat and gear on the trailer, kg; none if unknown.
    pub payload_kg: Option<f64>,
    /// Greatest mass of the loaded trailer, kg; none if unknown.
    pub gross_kg: Option<f64>,
}

/// The empty trailer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tare {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Centre of gravity, trailer frame, at the level height; none if nobody said.
    #[serde(default)]
    pub centre: Option<Point>,
}

impl Rig {
    /// Holds every number against the range it must lie in.
    ///
    /// # Errors
    /// All problems found, each with its place in the document.
    pub fn validate(&self) -> Result<(), Vec<FieldProblem>> {
        let mut fields = Fields::default();
        self.check_frame(&mut fields);
        check_axles("axles", &self.axles, &mut fields);
        if self.axles.is_empty() {
            fields.problem("axles", "none", "at least one axle");
        } else if self.axle_middle_x_m() >= -0.5 {
            fields.problem(
                "axles",
                format!("middle of the axles at x {} m", self.axle_middle_x_m()),
                "axles at least 0.5 m behind the coupling (negative x_m)",
            );
        }
        self.check_pads(&mut fields);
        self.check_stock(&mut fields);
        fields.range(
            "suspension.rail_top_m",
            self.suspension.rail_top_m,
            0.1,
            3.0,
        );
        fields.within("suspension.level_m", self.suspension.level_m, 0.1, 3.0);
        let roll = self.suspension.roll_stiffness_nm_per_rad;
        fields.maybe("suspension.roll_stiffness_nm_per_rad", roll, 1.0e3, 1.0e10);
        fields.within("coupling.height_m", self.coupling.height_m, 0.1, 3.0);
        fields.maybe(
            "coupling.rating_kg",
            self.coupling.rating_kg,
            1.0,
            200_000.0,
        );
        fields.maybe(
            "ratings.payload_kg",
            self.ratings.payload_kg,
            1.0,
            500_000.0,
        );
        fields.maybe("ratings.gross_kg", self.ratings.gross_kg, 1.0, 500_000.0);
        if let Some(tare) = self.tare {
            fields.within("tare.mass_kg", tare.mass_kg, 1.0, 200_000.0);
            if let Some(centre) = tare.centre {
                fields.point("tare.centre", centre, -50.0, 50.0);
            }
        }
        // A rig that may be off by more than its rails are deep was not measured.
        let most_m = self.rails.depth_m.clamp(0.0, 0.5);
        fields.within("tolerance_m", self.tolerance_m, 0.0, most_m);
        if let Some(tractor) = &self.tractor {
            check_boxes("tractor.outline", &tractor.outline, &mut fields);
            check_axles("tractor.axles", &tractor.axles, &mut fields);
        }
        if fields.problems.is_empty() {
            Ok(())
        } else {
            Err(fields.problems)
        }
    }

    fn check_frame(&self, fields: &mut Fields) {
        let rails = &self.rails;
        fields.within("rails.front_x_m", rails.front_x_m, -50.0, 5.0);
        fields.within("rails.aft_x_m", rails.aft_x_m, -50.0, rails.front_x_m - 0.5);
        fields.within("rails.clear_width_m", rails.clear_width_m, 0.3, 5.0);
        fields.within("rails.width_m", rails.width_m, 0.02, 1.0);
        fields.within("rails.depth_m", rails.depth_m, 0.02, 1.5);
        let seat = rails.seat_stiffness_n_per_m;
        fields.maybe("rails.seat_stiffness_n_per_m", seat, 1.0e4, 1.0e12);
        fields.maybe("rails.bending_n_m2", rails.bending_n_m2, 1.0e3, 1.0e12);
        for (i, p) in rails.pockets.iter().enumerate() {
            let at = |field: &str| format!("rails.pockets[{i}].{field}");
            fields.within(&at("x_m"), p.x_m, rails.aft_x_m, rails.front_x_m);
            fields.within(&at("opening_width_m"), p.opening_width_m, 0.02, 1.0);
            fields.within(&at("opening_height_m"), p.opening_height_m, 0.02, 1.0);
            fields.within(
                &at("sill_below_top_m"),
                p.sill_below_top_m,
                0.0,
                rails.depth_m,
            );
            if i > 0 && p.x_m >= rails.pockets[i - 1].x_m {
                fields.problem(
                    &at("x_m"),
                    p.x_m.to_string(),
                    "pockets listed from front to back",
                );
            }
        }
        for (i, member) in self.members.iter().enumerate() {
            fields.point(&format!("members[{i}].from"), member.from, -50.0, 50.0);
            fields.point(&format!("members[{i}].to"), member.to, -50.0, 50.0);
            fields.within(&format!("members[{i}].width_m"), member.width_m, 0.01, 5.0);
            fields.within(&format!("members[{i}].depth_m"), member.depth_m, 0.01, 5.0);
            if (member.from.vec() - member.to.vec()).length() < 0.01 {
                fields.problem(
                    &format!("members[{i}]"),
                    "both ends in one place",
                    "a length",
                );
            }
        }
        check_boxes("mudguards", &self.mudguards, fields);
    }

    fn check_pads(&self, fields: &mut Fields) {
        fields.names("pads", self.pads.iter().map(|p| p.name.as_str()));
        for (i, pad) in self.pads.iter().enumerate() {
            let at = |field: &str| format!("pads[{i}].{field}");
            fields.point(&at("pivot"), pad.pivot, -50.0, 50.0);
            fields.range(&at("elevation_rad"), pad.elevation_rad, -1.6, 1.6);
            fields.range(&at("reach_m"), pad.reach_m, 0.01, 5.0);
            fields.within(&at("pad_length_m"), pad.pad_length_m, 0.01, 2.0);
            fields.within(&at("pad_height_m"), pad.pad_height_m, 0.01, 2.0);
            fields.within(&at("pad_thickness_m"), pad.pad_thickness_m, 0.005, 0.5);
            fields.within(&at("swivel_rad"), pad.swivel_rad, 0.0, 1.6);
            fields.maybe(&at("rating_n"), pad.rating_n, 1.0, 1.0e7);
            fields.maybe(
                &at("stiffness_n_per_m"),
                pad.stiffness_n_per_m,
                1.0e3,
                1.0e10,
            );
        }
    }

    fn check_stock(&self, fields: &mut Fields) {
        fields.names("beams", self.beams.iter().map(|b| b.name.as_str()));
        fields.names("blocks", self.blocks.iter().map(|b| b.name.as_str()));
        for (i, b) in self.beams.iter().enumerate() {
            fields.within(&format!("beams[{i}].length_m"), b.length_m, 0.1, 10.0);
            fields.within(&format!("beams[{i}].width_m"), b.width_m, 0.01, 1.0);
            fields.within(&format!("beams[{i}].depth_m"), b.depth_m, 0.01, 1.0);
            self.check_grade(&format!("beams[{i}].grade"), b.grade.as_deref(), fields);
            if let Some(section) = b.section {
                let path = format!("beams[{i}].section");
                if b.material != Material::Steel {
                    fields.problem(&path, "a steel section", "none, or \"material\": \"steel\"");
                }
                section.check(&path, b.width_m, b.depth_m, fields);
            }
        }
        for (i, b) in self.blocks.iter().enumerate() {
            fields.within(&format!("blocks[{i}].length_m"), b.length_m, 0.01, 3.0);
            fields.within(&format!("blocks[{i}].width_m"), b.width_m, 0.01, b.length_m);
            fields.within(
                &format!("blocks[{i}].thickness_m"),
                b.thickness_m,
                0.005,
                b.width_m,
            );
            self.check_grade(&format!("blocks[{i}].grade"), b.grade.as_deref(), fields);
        }
        fields.names("timbers", self.timbers.iter().map(|t| t.name.as_str()));
        for (i, timber) in self.timbers.iter().enumerate() {
            timber.check(&format!("timbers[{i}]"), fields);
        }
        for (i, &shim) in self.packing.shims_m.iter().enumerate() {
            fields.within(&format!("packing.shims_m[{i}]"), shim, 0.0005, 0.2);
        }
        fields.within(
            "packing.shims_at_most_m",
            self.packing.shims_at_most_m,
            0.0,
            0.5,
        );
        fields.maybe("packing.wedge_rad", self.packing.wedge_rad, 0.0, 0.6);
    }

    fn check_grade(&self, path: &str, grade: Option<&str>, fields: &mut Fields) {
        if let Some(grade) = grade.filter(|g| self.timber(g).is_none()) {
            let known = self.timbers.iter().chain(material::timbers());
            let names: Vec<&str> = known.map(|t| t.name.as_str()).collect();
            let expected = format!("one of: {}", names.join(", "));
            fields.problem(path, format!("\"{grade}\""), expected);
        }
    }

    /// The timber of this name: the rig's own before a built-in one.
    pub fn timber(&self, name: &str) -> Option<&Timber> {
        let built_in = material::timbers();
        self.timbers.iter().chain(built_in).find(|t| t.name == name)
    }

    /// Station of the middle of the trailer's axles, m forward of the coupling.
    pub fn axle_middle_x_m(&self) -> f64 {
        let sum: f64 = self.axles.iter().map(|a| a.x_m).sum();
        sum / self.axles.len().max(1) as f64
    }

    /// The beam of this name.
    pub fn beam(&self, name: &str) -> Option<&BeamStock> {
        self.beams.iter().find(|b| b.name == name)
    }

    /// The block of this name.
    pub fn block(&self, name: &str) -> Option<&BlockStock> {
        self.blocks.iter().find(|b| b.name == name)
    }
}

fn check_axles(path: &str, axles: &[Axle], fields: &mut Fields) {
    for (i, axle) in axles.iter().enumerate() {
        let at = |field: &str| format!("{path}[{i}].{field}");
        fields.within(&at("x_m"), axle.x_m, -50.0, 20.0);
        fields.within(&at("track_m"), axle.track_m, 0.3, 5.0);
        fields.within(&at("tyre_diameter_m"), axle.tyre_diameter_m, 0.1, 3.0);
        fields.within(&at("tyre_width_m"), axle.tyre_width_m, 0.02, 1.5);
        fields.maybe(
            &at("dual_spacing_m"),
            axle.dual_spacing_m,
            axle.tyre_width_m,
            2.0,
        );
        fields.maybe(&at("rating_kg"), axle.rating_kg, 1.0, 100_000.0);
    }
}

fn check_boxes(path: &str, boxes: &[FixedBox], fields: &mut Fields) {
    for (i, b) in boxes.iter().enumerate() {
        fields.point(&format!("{path}[{i}].min"), b.min, -50.0, 50.0);
        fields.point(&format!("{path}[{i}].max"), b.max, -50.0, 50.0);
        if !b.min.vec().cmplt(b.max.vec()).all() {
            fields.problem(
                &format!("{path}[{i}]"),
                "min not below max",
                "min below max on every axis",
            );
        }
    }
}

impl BlockStock {
    /// Edges of the block as it lies: fore and aft, across, upright, m.
    pub fn lying_m(&self, lie: BlockOrientation) -> [f64; 3] {
        let (l, w, t) = (self.length_m, self.width_m, self.thickness_m);
        match lie {
            BlockOrientation::Flat => [w, l, t],
            BlockOrientation::FlatAlong => [l, w, t],
            BlockOrientation::Edge => [t, l, w],
            BlockOrientation::EdgeAlong => [l, t, w],
            BlockOrientation::End => [w, t, l],
        }
    }

    /// What it stands on when lying so, m: the narrower of fore and aft and across.
    pub fn base_m(&self, lie: BlockOrientation) -> f64 {
        let [along, across, _] = self.lying_m(lie);
        along.min(across)
    }
}
