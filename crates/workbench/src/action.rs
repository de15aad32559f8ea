//! Everything a person can do, as data: menu, keys, touch, tests and the page all go through it.

use keelstead_load::load::{
    BlockOrientation, ExtraWeight, Measured, PlacedBlock, Reach, Required, Seat, TargetAttitude,
};
use keelstead_units::Units;
use serde::{Deserialize, Serialize};

use crate::intake::IntakeAction;
use crate::marks::MarkEdit;
use crate::view::{Camera, LookFrom, Overlay, Tab, ThemeChoice};

mod request;

pub use request::Request;

/// One thing done. Beams and weights are counted from 0 in the load's order, blocks from 0 at the
/// bottom of their stack; lengths in metres, angles in radians.
///
/// In JSON: `{"hull-forward": -6.2}`, `{"add-block": {"beam": 0, "block": "oak", "lie": "flat"}}`,
/// `"undo"`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Action {
    /// Names the job.
    Name(String),
    /// Writes what is worth telling about the job.
    Note(String),

    /// Sets the hull's origin, m forward of the coupling.
    HullForward(f64),
    /// Sets the hull's origin, m left of the centreplane.
    HullLeft(f64),
    /// Turns the bow to port, rad.
    HullYaw(f64),
    /// Heels the hull to starboard, rad.
    HullHeel(f64),
    /// Asks for a stance, or for none.
    Want(Option<TargetAttitude>),

    /// Lays a beam of the stock, empty.
    AddBeam {
        /// Name of the beam in the stock.
        beam: String,
        /// Where it lies.
        seat: Seat,
    },
    /// Takes a beam out, with its stack.
    RemoveBeam(usize),
    /// Moves a beam, with its stack.
    SeatBeam {
        /// Which beam.
        beam: usize,
        /// Where to.
        seat: Seat,
    },
    /// Takes another beam of the stock instead.
    SwapBeam {
        /// Which beam.
        beam: usize,
        /// Name of the new one in the stock.
        stock: String,
    },

    /// Puts a block on top of a stack.
    AddBlock {
        /// On which beam.
        beam: usize,
        /// Name of the block in the stock.
        block: String,
        /// How it lies.
        #[serde(default)]
        lie: BlockOrientation,
    },
    /// Takes a block out of a stack.
    RemoveBlock {
        /// On which beam.
        beam: usize,
        /// Which block.
        at: usize,
    },
    /// Moves a block within its stack.
    MoveBlock {
        /// On which beam.
        beam: usize,
        /// Which block.
        from: usize,
        /// Where it lies afterwards.
        to: usize,
    },
    /// Turns a block.
    LayBlock {
        /// On which beam.
        beam: usize,
        /// Which block.
        at: usize,
        /// How it lies.
        lie: BlockOrientation,
    },
    /// Sets a whole stack.
    SetStack {
        /// On which beam.
        beam: usize,
        /// The blocks, lowest first.
        stack: Vec<PlacedBlock>,
        /// Shims on top, m.
        #[serde(default)]
        shim_m: f64,
    },
    /// Sets the shims on top of a stack, m in all.
    Shim {
        /// On which beam.
        beam: usize,
        /// How thick, m.
        shim_m: f64,
    },
    /// Sets the wedge on top of a stack: slope of its face, rad, positive rising forward.
    Wedge {
        /// On which beam.
        beam: usize,
        /// The slope, rad.
        wedge_rad: f64,
    },
    /// Adds and takes out all the shims that the findings advise.
    ShimAsAdvised,
    /// Asks for a share of the weight on a beam, in proportion to the others' (one each); none asks
    /// as for any other.
    WantShare {
        /// Which beam.
        beam: usize,
        /// The share.
        share: Option<f64>,
    },
    /// Puts packing that gives between a stack and the keel, or takes it out.
    SoftPacking {
        /// On which beam.
        beam: usize,
        /// Its stiffness, N/m; none takes it out.
        stiffness_n_per_m: Option<f64>,
    },
    /// Moves a stack along its beam.
    StackLeft {
        /// On which beam.
        beam: usize,
        /// Middle of the stack, m left of the centreplane.
        y_m: f64,
    },
    /// Makes the stack the wanted stance needs, as near as the stock can.
    MakeStack(usize),
    /// The same for all beams at once, sharing the stock.
    MakeAllStacks,

    /// Sets the suspension: rail top above ground at the middle of the axles, m.
    RailTop(f64),
    /// Raises a pad's arm above level, rad. Takes a stowed pad into use.
    PadElevation {
        /// The pad's name.
        pad: String,
        /// The angle, rad.
        elevation_rad: f64,
    },
    /// Runs a pad out, or stows it.
    PadReach {
        /// The pad's name.
        pad: String,
        /// How far; none stows it.
        reach: Option<Reach>,
    },
    /// Puts a further weight on board.
    AddWeight(ExtraWeight),
    /// Changes a weight on board.
    SetWeight {
        /// Which one.
        at: usize,
        /// What it is now.
        weight: ExtraWeight,
    },
    /// Takes a weight off.
    RemoveWeight(usize),
    /// Notes a height or a gap measured after set-down.
    AddMeasured(Measured),
    /// Changes what was measured.
    SetMeasured {
        /// Which one.
        at: usize,
        /// What it is now.
        measured: Measured,
    },
    /// Takes something measured away.
    RemoveMeasured(usize),
    /// Notes whether the stack at a place was seen bearing.
    SeenBearing {
        /// Where its beam lies.
        seat: Seat,
        /// Whether it bears; none: nobody looked.
        bears: Option<bool>,
    },
    /// Changes the marks of the hull that is shown: the job's, or the one being brought in.
    Mark(MarkEdit),
    /// Sets what is asked.
    Require(Box<Required>),

    /// Ends a drag or a run of steps: what follows is a new step to undo.
    Settle,
    /// Takes the last step back.
    Undo,
    /// Does the step taken back again.
    Redo,

    /// Looks at a finding, by id, and flies there; none looks at nothing.
    Select(Option<String>),
    /// Looks at the next finding down the list.
    SelectNext,
    /// Looks at the finding above.
    SelectPrevious,
    /// Writes figures in these units.
    Units(Units),
    /// Light or dark.
    Theme(ThemeChoice),
    /// Fades the hull: 1 solid, 0 gone.
    HullOpacity(f64),
    /// Cuts the hull at a station (hull frame, m), or leaves it whole.
    Cut(Option<f64>),
    /// Names the parts in the scene.
    Labels(bool),
    /// Shows the loads: forces as arrows, beams and blocks coloured by how hard they are used.
    Loads(bool),
    /// Shows a person of 1.75 m.
    Figure(bool),
    /// Shows the water at the waterline marked on a hull being brought in.
    Water(bool),
    /// Flies to a side.
    LookFrom(LookFrom),
    /// The viewer moved the camera.
    CameraMoved(Camera),
    /// Turns to another sheet on a narrow screen.
    Tab(Tab),
    /// Lays something over everything, or puts it away.
    Show(Option<Overlay>),
    /// Grows widgets for fingers.
    Touch(bool),

    /// Does something with the hull being brought in.
    Intake(IntakeAction),

    /// Asks for a file to open.
    Open,
    /// Opens the job file at this path.
    OpenPath(String),
    /// Opens a demo job by its path in the demo data.
    OpenDemo(String),
    /// Saves, and opens what was waiting once that has worked.
    SaveAndOpen,
    /// Opens what was waiting and loses unsaved changes.
    DiscardAndOpen,
    /// Keeps the open job and forgets what was waiting.
    KeepOpen,
    /// Stops loading.
    CancelLoading,
    /// Writes the job to where it came from.
    Save,
    /// Writes the job to a place to be chosen.
    SaveAs,
    /// Looks at what stands on the shelf of hulls.
    ShelfList,
    /// Puts the open job's hull on the shelf.
    ShelfPut {
        /// Whether it takes the place of a hull of the same name.
        #[serde(default)]
        replace: bool,
    },
    /// Takes a hull from the shelf into the open job, by its id.
    ShelfGet(String),
    /// Takes a hull off the shelf for good, by its id.
    ShelfRemove(String),
    /// Puts a message away, by its number.
    Dismiss(u64),
}

impl Action {
    /// Whether it changes the job: undo takes it back, and the job is checked again after it.
    pub fn edits(&self) -> bool {
        self.gesture().is_some()
    }

    /// What it changes, as a key whose first word says it with hyphens: steps with the same key in a row are one step to undo until
    /// [`Action::Settle`]. None for actions that leave the job as it is.
    pub(crate) fn gesture(&self) -> Option<String> {
        let key = match self {
            Self::Name(_) => "name".into(),
            Self::Note(_) => "note".into(),
            Self::HullForward(_) => "hull-forward".into(),
            Self::HullLeft(_) => "hull-sideways".into(),
            Self::HullYaw(_) => "hull-turned".into(),
            Self::HullHeel(_) => "hull-heeled".into(),
            Self::Want(_) => "stance".into(),
            Self::AddBeam { .. } => "add-beam".into(),
            Self::RemoveBeam(_) => "take-beam-out".into(),
            Self::SeatBeam { beam, .. } => format!("move-beam {beam}"),
            Self::SwapBeam { beam, .. } => format!("swap-beam {beam}"),
            Self::AddBlock { beam, .. } => format!("add-block {beam}"),
            Self::RemoveBlock { beam, .. } => format!("take-block-out {beam}"),
            Self::MoveBlock { beam, .. } => format!("move-block {beam}"),
            Self::LayBlock { beam, at, .. } => format!("turn-block {beam} {at}"),
            Self::SetStack { beam, .. } => format!("stack {beam}"),
            Self::Shim { beam, .. } => format!("shim {beam}"),
            Self::ShimAsAdvised => "shims-as-advised".into(),
            Self::WantShare { beam, .. } => format!("wanted-share {beam}"),
            Self::Wedge { beam, .. } => format!("wedge {beam}"),
            Self::SoftPacking { beam, .. } => format!("soft-packing {beam}"),
            Self::StackLeft { beam, .. } => format!("stack-sideways {beam}"),
            Self::MakeStack(beam) => format!("make-stack {beam}"),
            Self::MakeAllStacks => "make-all-stacks".into(),
            Self::RailTop(_) => "suspension".into(),
            Self::PadElevation { pad, .. } => format!("raise-pad {pad}"),
            Self::PadReach { pad, .. } => format!("run-pad-out {pad}"),
            Self::AddWeight(_) => "add-weight".into(),
            Self::SetWeight { at, .. } => format!("weight {at}"),
            Self::RemoveWeight(_) => "take-weight-off".into(),
            Self::AddMeasured(_) => "add-measurement".into(),
            Self::SetMeasured { at, .. } => format!("measurement {at}"),
            Self::RemoveMeasured(_) => "take-measurement-away".into(),
            Self::SeenBearing { .. } => "seen-bearing".into(),
            Self::Mark(edit) => edit.gesture(),
            Self::Require(_) => "what-is-asked".into(),
            _ => return None,
        };
        Some(key)
    }

    /// Whether it is done in one go rather than dragged: the next one is a step of its own.
    pub(crate) fn stands_alone(&self) -> bool {
        if let Self::Mark(edit) = self {
            return edit.stands_alone();
        }
        matches!(
            self,
            Self::Name(_)
                | Self::Note(_)
                | Self::AddBeam { .. }
                | Self::RemoveBeam(_)
                | Self::SwapBeam { .. }
                | Self::AddBlock { .. }
                | Self::RemoveBlock { .. }
                | Self::MoveBlock { .. }
                | Self::LayBlock { .. }
                | Self::SetStack { .. }
                | Self::ShimAsAdvised
                | Self::MakeStack(_)
                | Self::MakeAllStacks
                | Self::AddWeight(_)
                | Self::RemoveWeight(_)
                | Self::AddMeasured(_)
                | Self::RemoveMeasured(_)
                | Self::SeenBearing { .. }
        )
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn actions_travel_as_json() {
        let actions = [
            Action::HullForward(-6.2),
            Action::Undo,
            Action::AddBlock {
                beam: 1,
                block: "oak 150".into(),
                lie: BlockOrientation::Edge,
            },
            Action::Select(Some("clearance/keel/tyre".into())),
            Action::SeenBearing {
                seat: Seat::Pocket(8),
                bears: Some(true),
            },
            Action::AddMeasured(Measured::Gap {
                hull_part: "keel".into(),
                rig_part: "tyre, axle 1 left".into(),
                gap_m: 0.18,
                tolerance_m: 0.005,
            }),
            Action::PadReach {
                pad: "aft left".into(),
                reach: Some(Reach::SetM(0.4)),
            },
        ];
        for action in actions {
            let text = serde_json::to_string(&action).unwrap();
            let back: Action = serde_json::from_str(&text).unwrap();
            assert_eq!(back, action, "{text}");
        }
        assert_eq!(
            serde_json::from_str::<Action>(r#"{"hull-forward": -6.2}"#).unwrap(),
            Action::HullForward(-6.2)
        );
    }

    #[test]
    fn looking_is_not_editing() {
        assert!(Action::RailTop(1.0).edits());
        assert!(!Action::Select(None).edits());
        assert!(!Action::Settle.edits());
        assert!(!Action::Undo.edits());
    }
}
