//! Marks on the hull as a person changes them, and as they are shown.

use keelstead_boat::hull::{Hull, KeepOff, KeepOffKind, LiftingMark, Marks, StrongStation};
use keelstead_geometry::math::{Point, Vec3};
use serde::{Deserialize, Serialize};

use crate::edit::Refusal;

/// Edges of the box put about a point picked on the hull, m. Assumed default: a fitting with a hand's
/// breadth about it.
pub const ZONE_M: f64 = 0.3;

/// One change of the open hull's marks. Marks are counted from 0 in the hull's order; lengths in
/// metres, hull frame.
///
/// In JSON: `{"mark": {"add-lifting": {"name": "SLING aft", "x_m": 1.2}}}`,
/// `{"mark": {"at": {"what": {"keep-off": "transducer"}, "at": {"x_m": 4.6, "y_m": 0.5, "z_m": 0.6},
/// "both_sides": true}}}`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MarkEdit {
    /// Adds a place to keep off.
    AddKeepOff(KeepOff),
    /// Changes a place to keep off.
    SetKeepOff {
        /// Which one.
        at: usize,
        /// What it is now.
        keep_off: KeepOff,
    },
    /// Takes a place to keep off away.
    RemoveKeepOff(usize),
    /// Adds a strong station.
    AddStrong(StrongStation),
    /// Changes a strong station.
    SetStrong {
        /// Which one.
        at: usize,
        /// What it is now.
        station: StrongStation,
    },
    /// Takes a strong station away.
    RemoveStrong(usize),
    /// Adds a lifting mark.
    AddLifting(LiftingMark),
    /// Changes a lifting mark.
    SetLifting {
        /// Which one.
        at: usize,
        /// What it is now.
        mark: LiftingMark,
    },
    /// Takes a lifting mark away.
    RemoveLifting(usize),
    /// Puts a mark where the hull was picked: a box of [`ZONE_M`] about it, or its station.
    At {
        /// What to put there.
        what: MarkKind,
        /// The point picked, hull frame.
        at: Point,
        /// Whether there is the same on the other side.
        #[serde(default)]
        both_sides: bool,
    },
}

/// What a mark says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MarkKind {
    /// Nothing may press here.
    KeepOff(KeepOffKind),
    /// A pad belongs here.
    Strong,
    /// A sling belongs here.
    Lifting,
}

impl MarkEdit {
    /// As [`crate::Action`] keeps its steps apart.
    pub(crate) fn gesture(&self) -> String {
        match self {
            Self::AddKeepOff(_) => "add-place-to-keep-off".into(),
            Self::SetKeepOff { at, .. } => format!("place-to-keep-off {at}"),
            Self::RemoveKeepOff(_) => "take-place-to-keep-off-away".into(),
            Self::AddStrong(_) => "add-strong-station".into(),
            Self::SetStrong { at, .. } => format!("strong-station {at}"),
            Self::RemoveStrong(_) => "take-strong-station-away".into(),
            Self::AddLifting(_) => "add-lifting-mark".into(),
            Self::SetLifting { at, .. } => format!("lifting-mark {at}"),
            Self::RemoveLifting(_) => "take-lifting-mark-away".into(),
            Self::At { .. } => "mark-the-hull".into(),
        }
    }

    /// Whether it is done in one go rather than dragged.
    pub(crate) fn stands_alone(&self) -> bool {
        !matches!(
            self,
            Self::SetKeepOff { .. } | Self::SetStrong { .. } | Self::SetLifting { .. }
        )
    }

    /// The marks after it.
    pub(crate) fn apply(&self, marks: &Marks) -> Result<Marks, Refusal> {
        let mut marks = marks.clone();
        let Marks {
            keep_offs,
            strong_stations,
            lifting_marks,
        } = &mut marks;
        match self {
            Self::AddKeepOff(zone) => keep_offs.push(zone.clone()),
            Self::SetKeepOff { at, keep_off } => set(keep_offs, *at, keep_off)?,
            Self::RemoveKeepOff(at) => remove(keep_offs, *at)?,
            Self::AddStrong(station) => strong_stations.push(station.clone()),
            Self::SetStrong { at, station } => set(strong_stations, *at, station)?,
            Self::RemoveStrong(at) => remove(strong_stations, *at)?,
            Self::AddLifting(mark) => lifting_marks.push(mark.clone()),
            Self::SetLifting { at, mark } => set(lifting_marks, *at, mark)?,
            Self::RemoveLifting(at) => remove(lifting_marks, *at)?,
            Self::At {
                what,
                at,
                both_sides,
            } => put(&mut marks, *what, *at, *both_sides),
        }
        Ok(marks)
    }
}

fn set<T: Clone>(marks: &mut [T], at: usize, mark: &T) -> Result<(), Refusal> {
    let slot = marks.get_mut(at);
    *slot.ok_or(Refusal::NoMark(at.saturating_add(1)))? = mark.clone();
    Ok(())
}

fn remove<T>(marks: &mut Vec<T>, at: usize) -> Result<(), Refusal> {
    if at >= marks.len() {
        return Err(Refusal::NoMark(at.saturating_add(1)));
    }
    marks.remove(at);
    Ok(())
}

/// Puts a mark at a point, named by its kind and number.
fn put(marks: &mut Marks, what: MarkKind, at: Point, both_sides: bool) {
    match what {
        MarkKind::KeepOff(kind) => {
            let same = marks.keep_offs.iter().filter(|zone| zone.kind == kind);
            let name = format!("{} {}", kind.words(), same.count() + 1);
            // A zone astride the middle plane is on both sides already.
            let astride = at.y_m.abs() < ZONE_M / 2.0;
            let size = Vec3::splat(ZONE_M);
            let zone = KeepOff::about(name, kind, at.vec(), size, both_sides && !astride);
            marks.keep_offs.push(zone);
        }
        MarkKind::Strong => marks.strong_stations.push(StrongStation {
            name: format!("frame {}", marks.strong_stations.len() + 1),
            x_m: at.x_m,
            reach_m: StrongStation::usual_reach(),
        }),
        MarkKind::Lifting => marks.lifting_marks.push(LiftingMark {
            name: format!("sling {}", marks.lifting_marks.len() + 1),
            x_m: at.x_m,
        }),
    }
}

/// A mark as it is shown on the hull: what to write, where, and what to change when it is picked.
#[derive(Debug, Clone, PartialEq)]
pub struct ShownMark {
    /// What it says.
    pub kind: MarkKind,
    /// Which of its kind.
    pub at: usize,
    /// In a few words: "keep off: log transducer".
    pub label: String,
    /// Where its label belongs, hull frame.
    pub place: Vec3,
    /// Least and greatest corner of what it takes up, hull frame: one box, or one a side.
    pub boxes: Vec<[Vec3; 2]>,
}

/// Every mark of `hull`: zones as boxes, stations as slices of the whole hull.
pub fn shown(hull: &Hull) -> Vec<ShownMark> {
    let slice = |x_m: f64, half_m: f64| {
        let (mut lo, mut hi) = (hull.bounds.mins, hull.bounds.maxs);
        (lo.x, hi.x) = (x_m - half_m, x_m + half_m);
        vec![[lo, hi]]
    };
    let keel = |x_m: f64| {
        let line = hull.keel_line.iter();
        let nearest = line.min_by(|a, b| (a.x_m - x_m).abs().total_cmp(&(b.x_m - x_m).abs()));
        let z_m = nearest.and_then(|point| point.z_m);
        Vec3::new(x_m, 0.0, z_m.unwrap_or(hull.bounds.mins.z))
    };
    let marks = &hull.marks;
    let zones = marks
        .keep_offs
        .iter()
        .enumerate()
        .map(|(at, zone)| ShownMark {
            kind: MarkKind::KeepOff(zone.kind),
            at,
            label: format!("keep off: {}", zone.name),
            place: (zone.min.vec() + zone.max.vec()) / 2.0,
            boxes: zone.boxes().collect(),
        });
    let strong = marks.strong_stations.iter().enumerate();
    let strong = strong.map(|(at, station)| ShownMark {
        kind: MarkKind::Strong,
        at,
        label: match station.name.as_str() {
            "" => "strong station".to_owned(),
            name => format!("strong: {name}"),
        },
        place: Vec3::new(station.x_m, 0.0, hull.bounds.center().z),
        boxes: slice(station.x_m, station.reach_m),
    });
    let lifting = marks.lifting_marks.iter().enumerate();
    let lifting = lifting.map(|(at, mark)| ShownMark {
        kind: MarkKind::Lifting,
        at,
        label: format!("sling: {}", mark.name),
        place: keel(mark.x_m),
        boxes: slice(mark.x_m, keelstead_boat::sling::SLING_M / 2.0),
    });
    zones.chain(strong).chain(lifting).collect()
}
