//! The rig as it stands: every part with its shape and place, beams and blocks included.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::load::{Load, PlacedBeam, Seat};
use crate::rig::{Axle, FixedBox, Member, Rig};
use keelstead_boat::hull::PartKind;
use keelstead_geometry::math::{Point, Pose, PoseRecord, Rot3, Vec3};
use keelstead_geometry::shape::Shape;
use keelstead_geometry::solid::Solid;

/// What a rig part is; decides what gap is asked.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum RigPartKind {
    /// Side rail.
    Rail,
    /// Cross member or gooseneck.
    Member,
    /// Tyre.
    Tyre,
    /// Mudguard.
    Mudguard,
    /// Pad, the part that touches.
    Pad,
    /// Arm or post of a pad.
    PadArm,
    /// Cross beam.
    Beam,
    /// Block of a stack.
    Block,
    /// Shim or wedge.
    Packing,
    /// Tractor.
    Tractor,
    /// Ground: the plane z = 0.
    Ground,
}

/// A part of the rig as it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RigPart {
    /// As a reader would call it: "tyre, axle 1 left".
    pub name: String,
    /// What it is.
    pub kind: RigPartKind,
    /// Its shape.
    pub shape: Shape,
    /// Where it stands.
    pub trailer_from_part: PoseRecord,
    /// Which beam of the load it belongs to, for beams, blocks and packing.
    pub beam: Option<usize>,
    /// Which pad of the rig it belongs to, for pads and their arms.
    pub pad: Option<usize>,
}

impl RigPart {
    /// It as a solid in space, moved by `moved` in the trailer frame; none for the ground.
    pub fn solid(&self, moved: &Pose) -> Option<Solid> {
        Solid::new(&self.shape, *moved * self.trailer_from_part.pose())
    }
}

/// Whether a hull part of this kind may touch a rig part of that kind.
pub fn may_touch(hull: PartKind, rig: RigPartKind) -> bool {
    match rig {
        RigPartKind::Beam | RigPartKind::Block | RigPartKind::Packing => hull.may_bear(),
        RigPartKind::Pad => hull.may_be_steadied(),
        _ => false,
    }
}

/// How thick the arms and posts of pads are drawn and checked, m. Assumed default.
const PAD_ARM_M: f64 = 0.09;

/// How thick the face of a wedge is drawn and checked, m; what lies under it is the stack's.
const WEDGE_FACE_M: f64 = 0.002;

/// The rectangle a hull may come to rest on: top of a stack or of a bare beam. Frame coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TopFace {
    /// Its middle.
    pub middle: Vec3,
    /// Half its length fore and aft, m.
    pub half_length_m: f64,
    /// Half its width across, m.
    pub half_width_m: f64,
    /// Rise forward, tangent.
    pub slope: f64,
    /// Height of the beam's own top, m over the rails' top.
    pub beam_top_m: f64,
}

/// Where the frame stands over the ground with the rails' top `rail_top_m` high at the axles.
///
/// The frame turns about the coupling, whose height is the tractor's: raising the suspension
/// tilts it nose down.
pub fn trailer_from_frame(rig: &Rig, rail_top_m: f64) -> Pose {
    let coupling_m = rig.coupling.height_m;
    let pivot = Vec3::new(0.0, 0.0, coupling_m - rig.suspension.level_m);
    let (back, up) = (-rig.axle_middle_x_m(), -pivot.z);
    let rise = (rail_top_m - coupling_m) / back.hypot(up);
    let pitch = rise.clamp(-1.0, 1.0).asin() - up.atan2(back);
    let rotation = Rot3::from_rotation_y(pitch);
    Pose::from_parts(Vec3::new(0.0, 0.0, coupling_m) - rotation * pivot, rotation)
}

/// The top face of a beam in place; none if beam, pocket or block do not exist.
pub fn top_face(rig: &Rig, placed: &PlacedBeam) -> Option<TopFace> {
    let beam = rig.beam(&placed.beam)?;
    let (x, seat) = seat(rig, placed.seat)?;
    let beam_top_m = seat + beam.depth_m;
    let mut top = beam_top_m + placed.shim_m;
    let (mut length, mut width) = (beam.width_m, beam.length_m);
    for block in &placed.stack {
        let [along, across, up] = rig.block(&block.block)?.lying_m(block.lie);
        (length, width) = (along, across);
        top += up;
    }
    Some(TopFace {
        middle: Vec3::new(x, placed.top_y_m(), top),
        half_length_m: length / 2.0,
        half_width_m: width / 2.0,
        slope: placed.wedge_rad.tan(),
        beam_top_m,
    })
}

/// Station and height of the sill a beam lies on; none for a pocket that is not there.
fn seat(rig: &Rig, seat: Seat) -> Option<(f64, f64)> {
    match seat {
        Seat::Pocket(number) => {
            let pocket = rig.rails.pockets.get(number.checked_sub(1)?)?;
            Some((pocket.x_m, -pocket.sill_below_top_m))
        }
        Seat::OnRailsXM(x) => Some((x, 0.0)),
    }
}

/// As a reader would call a beam in place: "beam in pocket 2".
pub fn beam_name(seat: Seat) -> String {
    match seat {
        Seat::Pocket(number) => format!("beam in pocket {number}"),
        Seat::OnRailsXM(_) => "beam on the rails".into(),
    }
}

/// Every part of rig, beams and stacks as they stand at `load.rail_top_m`, ground first; pads are
/// added by [`crate::pads`]. Beams the rig cannot place are left out.
pub fn parts(rig: &Rig, load: &Load) -> Vec<RigPart> {
    let frame = trailer_from_frame(rig, load.rail_top_m);
    let mut parts = vec![part(
        "ground",
        RigPartKind::Ground,
        Shape::Ground,
        Pose::identity(),
    )];
    rails(rig, &frame, &mut parts);
    parts.extend(rig.members.iter().map(|m| member(m, &frame)));
    parts.extend(
        rig.mudguards
            .iter()
            .map(|b| fixed(b, RigPartKind::Mudguard, &frame)),
    );
    for (i, axle) in rig.axles.iter().enumerate() {
        tyres(
            axle,
            &format!("axle {}", i + 1),
            RigPartKind::Tyre,
            &mut parts,
        );
    }
    if let Some(tractor) = &rig.tractor {
        let ground = Pose::identity();
        parts.extend(
            tractor
                .outline
                .iter()
                .map(|b| fixed(b, RigPartKind::Tractor, &ground)),
        );
        for (i, axle) in tractor.axles.iter().enumerate() {
            let name = format!("tractor axle {}", i + 1);
            tyres(axle, &name, RigPartKind::Tractor, &mut parts);
        }
    }
    for (i, beam) in load.beams.iter().enumerate() {
        stack(rig, beam, i, &frame, &mut parts);
    }
    parts
}

/// A part that belongs to no beam and no pad.
pub fn part(
    name: impl Into<String>,
    kind: RigPartKind,
    shape: Shape,
    trailer_from_part: Pose,
) -> RigPart {
    RigPart {
        name: name.into(),
        kind,
        shape,
        trailer_from_part: trailer_from_part.into(),
        beam: None,
        pad: None,
    }
}

fn box_of(edges: Vec3) -> Shape {
    Shape::Box {
        half: Point::from(edges / 2.0),
    }
}

fn rails(rig: &Rig, frame: &Pose, parts: &mut Vec<RigPart>) {
    let rails = &rig.rails;
    let edges = Vec3::new(
        rails.front_x_m - rails.aft_x_m,
        rails.width_m,
        rails.depth_m,
    );
    let x = (rails.front_x_m + rails.aft_x_m) / 2.0;
    let y = (rails.clear_width_m + rails.width_m) / 2.0;
    for (side, y) in [("left", y), ("right", -y)] {
        let at = Pose::from_translation(Vec3::new(x, y, -rails.depth_m / 2.0));
        parts.push(part(
            format!("{side} rail"),
            RigPartKind::Rail,
            box_of(edges),
            *frame * at,
        ));
    }
}

fn member(member: &Member, frame: &Pose) -> RigPart {
    let (from, to) = (member.from.vec(), member.to.vec());
    let edges = Vec3::new((to - from).length(), member.width_m, member.depth_m);
    let at = Pose::from_parts((from + to) / 2.0, along(to - from));
    part(
        member.name.clone(),
        RigPartKind::Member,
        box_of(edges),
        *frame * at,
    )
}

/// A rotation that takes the x axis to `direction` and keeps the y axis level.
fn along(direction: Vec3) -> Rot3 {
    let level = direction.x.hypot(direction.y);
    Rot3::from_rotation_z(direction.y.atan2(direction.x))
        * Rot3::from_rotation_y(-direction.z.atan2(level))
}

fn fixed(b: &FixedBox, kind: RigPartKind, outer: &Pose) -> RigPart {
    let (min, max) = (b.min.vec(), b.max.vec());
    let at = Pose::from_translation((min + max) / 2.0);
    part(b.name.clone(), kind, box_of(max - min), *outer * at)
}

fn tyres(axle: &Axle, name: &str, kind: RigPartKind, parts: &mut Vec<RigPart>) {
    let radius_m = axle.tyre_diameter_m / 2.0;
    let shape = Shape::Cylinder {
        half_length_m: axle.tyre_width_m / 2.0,
        radius_m,
    };
    let mut wheel = |label: String, y: f64| {
        let at = Pose::from_translation(Vec3::new(axle.x_m, y, radius_m));
        parts.push(part(label, kind, shape, at));
    };
    for (side, sign) in [("left", 1.0), ("right", -1.0)] {
        let middle = sign * axle.track_m / 2.0;
        match axle.dual_spacing_m {
            None => wheel(format!("tyre, {name} {side}"), middle),
            Some(gap) => {
                wheel(
                    format!("tyre, {name} {side} inner"),
                    middle - sign * gap / 2.0,
                );
                wheel(
                    format!("tyre, {name} {side} outer"),
                    middle + sign * gap / 2.0,
                );
            }
        }
    }
}

fn stack(rig: &Rig, placed: &PlacedBeam, index: usize, frame: &Pose, parts: &mut Vec<RigPart>) {
    let (Some(beam), Some((x, seat))) = (rig.beam(&placed.beam), seat(rig, placed.seat)) else {
        return;
    };
    let name = beam_name(placed.seat);
    let mut add = |label: String, kind, edges: Vec3, y: f64, bottom: f64| {
        let at = Pose::from_translation(Vec3::new(x, y, bottom + edges.z / 2.0));
        let new = part(label, kind, box_of(edges), *frame * at);
        parts.push(RigPart {
            beam: Some(index),
            ..new
        });
    };
    let edges = Vec3::new(beam.width_m, beam.length_m, beam.depth_m);
    add(name.clone(), RigPartKind::Beam, edges, 0.0, seat);
    let mut top = seat + beam.depth_m;
    let mut footprint = None;
    for (n, block) in placed.stack.iter().enumerate() {
        let Some(stock) = rig.block(&block.block) else {
            continue;
        };
        let edges = Vec3::from_array(stock.lying_m(block.lie));
        let label = format!("block {} on {name}", n + 1);
        add(label, RigPartKind::Block, edges, placed.stack_y_m, top);
        top += edges.z;
        footprint = Some(edges);
    }
    let base = footprint.unwrap_or(edges);
    // A wedge is counted at its middle: at its thin end it stands lower by half its rise.
    let shims_m = placed.shim_m - placed.wedge_rad.tan().abs() * base.x / 2.0;
    if shims_m > 0.0 {
        let edges = Vec3::new(base.x, base.y, shims_m);
        add(
            format!("shims on {name}"),
            RigPartKind::Packing,
            edges,
            placed.top_y_m(),
            top,
        );
    }
    if placed.wedge_rad != 0.0 {
        let face = Vec3::new(x, placed.top_y_m(), top + placed.shim_m);
        let edges = Vec3::new(base.x / placed.wedge_rad.cos(), base.y, WEDGE_FACE_M);
        let at = Pose::from_parts(face, Rot3::from_rotation_y(-placed.wedge_rad))
            * Pose::from_translation(Vec3::Z * (-WEDGE_FACE_M / 2.0));
        let label = format!("wedge on {name}");
        let new = part(label, RigPartKind::Packing, box_of(edges), *frame * at);
        parts.push(RigPart {
            beam: Some(index),
            ..new
        });
    }
}

/// What the post of a pad is called before the pad's name.
const POST_OF: &str = "post of ";

/// Whether a part is a pad's post, which stands whether the pad is in use or not.
pub fn is_post(part: &RigPart) -> bool {
    part.kind == RigPartKind::PadArm && part.name.starts_with(POST_OF)
}

/// The arm and post of a pad whose face stands `reach_m` from its pivot along `direction`. Frame
/// coordinates.
pub fn pad_arm(
    name: &str,
    pivot: Vec3,
    direction: Vec3,
    length_m: f64,
    frame: &Pose,
) -> Vec<RigPart> {
    let mut arms = Vec::new();
    if length_m > 0.0 {
        let at = Pose::from_parts(pivot + direction * length_m / 2.0, along(direction));
        let edges = Vec3::new(length_m, PAD_ARM_M, PAD_ARM_M);
        arms.push(part(
            format!("arm of {name}"),
            RigPartKind::PadArm,
            box_of(edges),
            *frame * at,
        ));
    }
    if pivot.z > 0.0 {
        let at = Pose::from_translation(Vec3::new(pivot.x, pivot.y, pivot.z / 2.0));
        let edges = Vec3::new(PAD_ARM_M, PAD_ARM_M, pivot.z);
        arms.push(part(
            format!("{POST_OF}{name}"),
            RigPartKind::PadArm,
            box_of(edges),
            *frame * at,
        ));
    }
    arms
}
