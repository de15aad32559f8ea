//! Marks put on the hull being brought in.

use keelstead::hull::{KeepOff, KeepOffKind, LiftingMark, StrongStation};
use keelstead::math::Point;
use serde::{Deserialize, Serialize};

use super::draft::Draft;

/// What a press on the hull puts there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MarkTool {
    /// A place where nothing may press.
    #[default]
    KeepOff,
    /// A bulkhead or frame, where pads belong.
    Station,
    /// A place for a sling.
    Lift,
}

impl MarkTool {
    /// All of them, in the order of their buttons.
    pub const ALL: [Self; 3] = [Self::KeepOff, Self::Station, Self::Lift];

    /// The words on its button.
    pub fn words(self) -> &'static str {
        match self {
            Self::KeepOff => "Place to keep off",
            Self::Station => "Strong station",
            Self::Lift => "Lifting mark",
        }
    }
}

/// Size of a place to keep off to begin with, m.
const KEEP_OFF_M: f64 = 0.20;

impl Draft {
    /// Puts a mark where the hull was pressed.
    pub(crate) fn mark(&mut self, tool: MarkTool, at: Point) {
        match tool {
            MarkTool::KeepOff => {
                let name = format!("place {}", self.keep_offs.len() + 1);
                let size = keelstead::math::Vec3::splat(KEEP_OFF_M);
                let kind = KeepOffKind::default();
                let zone = KeepOff::about(name, kind, at.vec(), size, false);
                self.keep_offs.push(zone);
            }
            MarkTool::Station => self.strong_stations.push(StrongStation {
                name: format!("bulkhead {}", self.strong_stations.len() + 1),
                x_m: at.x_m,
                reach_m: StrongStation::usual_reach(),
            }),
            MarkTool::Lift => self.lifting_marks.push(LiftingMark {
                name: format!("sling {}", self.lifting_marks.len() + 1),
                x_m: at.x_m,
            }),
        }
    }
}
