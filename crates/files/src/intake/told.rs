//! What was done to a mesh, and what is left of it to be told, a sentence each.

use std::collections::HashSet;

use keelstead_boat::hull::{PartKind, PartUse};
use keelstead_geometry::math::Vec3;
use keelstead_units::quantity::{Quantity, Sentence};

use super::Cap;
use super::look::Looked;
use super::skins;

/// Says what was done to triangles, and what is open. The soup is in metres.
pub(super) fn of_sides(looked: &mut Looked) {
    let Looked {
        examined,
        sides,
        changed,
        left,
        ..
    } = looked;
    let removed = &examined.removed;
    for (count, what) in [
        (removed.positions_joined, "positions a hair apart joined"),
        (removed.slivers, "triangles without area removed"),
        (
            removed.duplicates,
            "triangles that stood there twice removed",
        ),
        (examined.sides.turned, "triangles turned to face outward"),
    ] {
        if count > 0 {
            changed.push(format!("{count} {what}.").into());
        }
    }
    for (count, what) in [
        (
            sides.shared_edges,
            "edges are shared by more than two triangles: inner skins or parts that touch",
        ),
        (
            sides.disagreeing,
            "edges have triangles that cannot agree which side is out",
        ),
    ] {
        if count > 0 {
            left.push(format!("{count} {what}.").into());
        }
    }
    let capped: usize = looked.caps.iter().map(|(_, rim, _)| rim.edges()).sum();
    let holes = sides.holes.len().saturating_sub(looked.caps.len());
    let edges = sides.rim.len().saturating_sub(capped);
    match holes {
        0 => {}
        1 => left.push(format!("One hole with {edges} open edges was left as it is.").into()),
        count => left
            .push(format!("{count} holes with {edges} open edges were left as they are.").into()),
    }
    if let Some(thickness) = skins::wall(&looked.soup, sides) {
        left.push(
            Sentence::new("Her skin is closed and about")
                .figure(Quantity::thickness(thickness))
                .words(
                    "thick: outside and inside are one surface, and its volume is that of the skin alone.",
                ),
        );
    }
}

/// Says which parts are still to be named, and which are not wholly checked.
pub(super) fn of_parts(looked: &mut Looked) {
    let stays: HashSet<u32> = looked.soup.part.iter().copied().collect();
    let groups = || {
        let numbered = looked.groups.iter().zip(0_u32..);
        numbered
            .filter(|(_, part)| stays.contains(part))
            .map(|(group, _)| group)
    };
    if !groups().any(|group| group.kind.value == Some(PartKind::Body)) {
        looked.left.push(
            "No part is the body: nothing is known that may carry her or be steadied.".into(),
        );
    }
    for group in groups() {
        let name = &group.name;
        if group.kind.value.is_none() {
            let says = Sentence::new(format!("\"{name}\" is to be named:"))
                .and(&group.kind.because)
                .words(".");
            looked.left.push(says);
        }
        match group.part_use.value {
            Some(PartUse::HeightOnly) => looked.changed.push(
                format!(
                    "\"{name}\" is kept for height: no gap from it to the rig will be measured."
                )
                .into(),
            ),
            Some(PartUse::LeftOut) => looked
                .changed
                .push(format!("\"{name}\" is left out of every check.").into()),
            _ => {}
        }
    }
}

/// Says which openings were closed.
pub(super) fn of_caps(looked: &mut Looked, scale: f64, moved: Vec3) -> Vec<Cap> {
    let mut caps = Vec::new();
    for (number, rim, area) in &looked.caps {
        let cap = Cap {
            part: looked.soup.names[*number].clone(),
            area_m2: area * scale * scale,
            centre_m: (rim.centre() * scale - moved).to_array(),
            edges: rim.edges(),
        };
        let (size, Vec3 { x, y, z }) = (rim.size() * scale, rim.centre() * scale - moved);
        looked.changed.push(
            Sentence::new("An opening")
                .length(size.x)
                .words("long and")
                .length(size.y)
                .words("wide, about")
                .length(x)
                .words("forward,")
                .length(y)
                .words("to port and")
                .length(z)
                .words("up, was closed by")
                .words(format!("\"{}\", for volume alone.", cap.part)),
        );
        caps.push(cap);
    }
    caps
}
