//! `keelstead hull inspect HULL.json`: a described hull as a job will open it.

use std::fmt::Write;

use anyhow::Context;
use keelstead_boat::hull::{
    CentreOfGravity, Hull, KeepOff, LiftingMark, Mass, PartKind, StrongStation,
};
use keelstead_boat::weigh::Weighed;
use keelstead_files::source::{Disk, Source};
use keelstead_files::{Notice, Silent, open};
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, sentence, write};
use serde::Serialize;

use crate::{Outcome, report, style, weigh};

/// Whether a file holds a hull description rather than a mesh; glTF is JSON too, but names no mesh
/// file.
pub(crate) fn is_description(bytes: &[u8]) -> bool {
    #[derive(serde::Deserialize)]
    struct Probe {
        #[serde(rename = "mesh")]
        _mesh: String,
    }
    let start = bytes.iter().position(|byte| !byte.is_ascii_whitespace());
    start.is_some_and(|at| bytes[at] == b'{' || bytes[at] == 0xEF)
        && serde_json::from_slice::<Probe>(bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes))
            .is_ok()
}

/// What `--json` prints. SI units, hull frame.
#[derive(Serialize)]
struct Described<'a> {
    file: String,
    name: &'a str,
    min: [f64; 3],
    max: [f64; 3],
    parts: Vec<Part<'a>>,
    mass: Option<Mass>,
    centre: Option<CentreOfGravity>,
    weighed: Option<&'a Weighed>,
    keep_offs: &'a [KeepOff],
    strong_stations: &'a [StrongStation],
    lifting_marks: &'a [LiftingMark],
    notices: &'a [Notice],
}

#[derive(Serialize)]
struct Part<'a> {
    name: &'a str,
    kind: PartKind,
    triangles: usize,
    closed: bool,
}

pub(crate) fn inspect(
    disk: &Disk,
    name: &str,
    units: Units,
    json: bool,
) -> anyhow::Result<Outcome> {
    let opened = open::open_hull(disk, name, &Silent)?;
    let hull = &opened.hull;
    let described = Described {
        file: disk.shown(name),
        name: &hull.name,
        min: hull.bounds.mins.to_array(),
        max: hull.bounds.maxs.to_array(),
        parts: hull
            .parts
            .iter()
            .map(|part| Part {
                name: &part.name,
                kind: part.kind,
                triangles: part.mesh.triangles().len(),
                closed: part.mesh.topology().closed(),
            })
            .collect(),
        mass: hull.mass,
        centre: hull.centre,
        weighed: hull.weighed.as_ref(),
        keep_offs: &hull.marks.keep_offs,
        strong_stations: &hull.marks.strong_stations,
        lifting_marks: &hull.marks.lifting_marks,
        notices: &opened.notices,
    };
    let text = if json {
        let mut text = serde_json::to_string_pretty(&described).context("hull as JSON")?;
        text.push('\n');
        text
    } else {
        text(hull, &described, units)
    };
    Ok(Outcome { text, status: 0 })
}

fn text(hull: &Hull, described: &Described, units: Units) -> String {
    let figure = |quantity: Quantity| write(quantity, units);
    let length = |value_m: f64| figure(Quantity::length(value_m));
    let mut out = String::new();
    let _ = writeln!(out, "{}", style::heading(&described.file));
    let size = hull.bounds.extents();
    let says = format!(
        "{}: {} long, {} wide, {} high; shape to {}",
        hull.name,
        length(size.x),
        length(size.y),
        length(size.z),
        length(hull.shape_tolerance_m),
    );
    out.push_str(&report::wrapped("", &says));
    out.push_str(&weigh::chosen(hull.mass, hull.centre, &figure));
    for notice in described.notices {
        out.push_str(&report::wrapped("Note: ", &sentence(&notice.says, units)));
    }
    let mut table = report::table(&["Part", "Kind", "Triangles", "Closed"]);
    for part in &described.parts {
        let kind = serde_json::to_value(part.kind).unwrap_or_default();
        table.add_row([
            part.name.to_owned(),
            kind.as_str().unwrap_or_default().to_owned(),
            part.triangles.to_string(),
            if part.closed { "yes" } else { "no" }.to_owned(),
        ]);
    }
    report::align_right(&mut table, 2..3);
    let _ = writeln!(out, "\n{table}\n");
    for zone in described.keep_offs {
        let (min, max) = (zone.min, zone.max);
        let sides = if zone.both_sides { ", both sides" } else { "" };
        let says = format!(
            "{} ({}), {} to {} forward, {} to {} to port, {} to {} up{sides}",
            zone.name,
            zone.kind.words(),
            length(min.x_m),
            length(max.x_m),
            length(min.y_m),
            length(max.y_m),
            length(min.z_m),
            length(max.z_m),
        );
        out.push_str(&report::wrapped("Keep off: ", &says));
    }
    for station in described.strong_stations {
        let says = format!(
            "{} at {} \u{b1} {}",
            station.name,
            length(station.x_m),
            length(station.reach_m)
        );
        out.push_str(&report::wrapped("Strong: ", &says));
    }
    for mark in described.lifting_marks {
        let says = format!("{} at {}", mark.name, length(mark.x_m));
        out.push_str(&report::wrapped("Sling: ", &says));
    }
    out
}
