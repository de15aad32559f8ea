//! `keelstead hull inspect FILE` for mesh files.

use std::fmt::Write;
use std::path::Path;

use anyhow::Context;
use comfy_table::{ContentArrangement, Table, presets};
use keelstead_files::hull_file::guess_kind;
use keelstead_files::intake::{Examined, examine};
use keelstead_files::mesh_file::{self, MeshPart, Surroundings};
use keelstead_files::source::{Disk, Source};
use keelstead_files::{FileError, Notice, Silent};
use keelstead_geometry::math::Vec3;
use keelstead_geometry::mesh::Mesh;
use keelstead_units::{Units, sentence};
use serde::Serialize;

use crate::told::Told;
use crate::{Outcome, described, intake, report, style};

/// What is in a mesh file. Figures in the file's own unit and axes.
#[derive(Serialize)]
struct Contents {
    file: String,
    format: &'static str,
    triangles: usize,
    vertices: usize,
    min: [f64; 3],
    max: [f64; 3],
    /// What it most likely is, with the evidence.
    proposed: Examined,
    parts: Vec<Part>,
    notices: Vec<Notice>,
}

#[derive(Serialize)]
struct Part {
    name: String,
    likely_kind: Option<keelstead_boat::hull::PartKind>,
    triangles: usize,
    vertices: usize,
    min: [f64; 3],
    max: [f64; 3],
    closed: bool,
    /// Whether neighbouring triangles agree which side is out.
    consistent: bool,
    boundary_edges: usize,
    non_manifold_edges: usize,
    shells: usize,
    euler: i64,
    area: f64,
    /// None unless the part is closed.
    volume: Option<f64>,
}

pub(crate) fn inspect(
    file: &Path,
    told: &Told,
    units: Units,
    json: bool,
) -> anyhow::Result<Outcome> {
    let (disk, name) = Disk::around(file)?;
    let around = Surroundings {
        source: &disk,
        progress: &Silent,
    };
    let bytes = disk.read(&name).map_err(|error| error.shown_by(&disk))?;
    if described::is_description(&bytes) {
        return described::inspect(&disk, &name, units, json);
    }
    let read = || mesh_file::read_with(&bytes, &name, &around);
    let mesh = read().map_err(|error: FileError| error.shown_by(&disk))?;
    let proposed = examine(&mesh, &disk.shown(&name), &told.answers())?;
    let parts = mesh
        .parts
        .into_iter()
        .map(part)
        .collect::<anyhow::Result<Vec<Part>>>()?;
    let low = parts.iter().fold([f64::INFINITY; 3], |low, part| {
        each(low, part.min, f64::min)
    });
    let high = parts.iter().fold([f64::NEG_INFINITY; 3], |high, part| {
        each(high, part.max, f64::max)
    });
    let contents = Contents {
        file: disk.shown(&name),
        format: mesh.format.word(),
        triangles: parts.iter().map(|part| part.triangles).sum(),
        vertices: parts.iter().map(|part| part.vertices).sum(),
        min: low,
        max: high,
        proposed,
        parts,
        notices: mesh.notices,
    };
    let text = if json {
        let mut text = serde_json::to_string_pretty(&contents).context("contents as JSON")?;
        text.push('\n');
        text
    } else {
        text(&contents, units)
    };
    Ok(Outcome { text, status: 0 })
}

fn each(a: [f64; 3], b: [f64; 3], f: impl Fn(f64, f64) -> f64) -> [f64; 3] {
    std::array::from_fn(|axis| f(a[axis], b[axis]))
}

fn part(part: MeshPart) -> anyhow::Result<Part> {
    let vertices: Vec<Vec3> = part.positions.into_iter().map(Vec3::from_array).collect();
    let mesh = Mesh::new(vertices, part.triangles)?;
    let (bounds, topology) = (mesh.aabb(), mesh.topology());
    Ok(Part {
        likely_kind: guess_kind(&part.name),
        name: part.name,
        triangles: mesh.triangles().len(),
        vertices: mesh.vertices().len(),
        min: bounds.mins.to_array(),
        max: bounds.maxs.to_array(),
        closed: topology.closed(),
        consistent: topology.consistent,
        boundary_edges: topology.boundary_edges,
        non_manifold_edges: topology.non_manifold_edges,
        shells: topology.shells,
        euler: topology.euler,
        area: mesh.area_m2(),
        volume: mesh.volume_m3(),
    })
}

fn text(contents: &Contents, units: Units) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}", style::heading(&contents.file));
    let _ = writeln!(
        out,
        "{}, {} triangles over {} vertices",
        contents.format, contents.triangles, contents.vertices
    );
    let size = each(contents.max, contents.min, |high, low| high - low);
    let _ = writeln!(
        out,
        "from ({}) to ({}), size ({})",
        three(contents.min),
        three(contents.max),
        three(size)
    );
    out.push_str(&intake::proposals(&contents.proposed, units));
    out.push_str(&holes(&contents.proposed));
    for notice in &contents.notices {
        out.push_str(&report::wrapped("Note: ", &sentence(&notice.says, units)));
    }
    let mut table = Table::new();
    table
        .load_style(presets::UTF8_BORDERS_ONLY)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(80)
        .set_header([
            "Part",
            "Triangles",
            "Closed",
            "Open edges",
            "Edges shared by 3+",
            "Shells",
            "Volume",
        ]);
    for part in &contents.parts {
        table.add_row([
            part.name.clone(),
            part.triangles.to_string(),
            if part.closed { "yes" } else { "no" }.into(),
            part.boundary_edges.to_string(),
            part.non_manifold_edges.to_string(),
            part.shells.to_string(),
            part.volume
                .map_or_else(|| "–".into(), |volume| format!("{volume:.6}")),
        ]);
    }
    let _ = writeln!(out, "\n{table}");
    if contents.parts.iter().any(|part| !part.closed) {
        out.push_str(&report::wrapped(
            "",
            "An open part has no volume, and nothing can be said to be inside it; gaps to its \
             surface are still right.",
        ));
    }
    out
}

fn three(values: [f64; 3]) -> String {
    values
        .map(|value| {
            format!("{value:.6}")
                .trim_end_matches('0')
                .trim_end_matches('.')
                .to_owned()
        })
        .join(", ")
}

/// The largest holes, so that they can be found.
fn holes(examined: &Examined) -> String {
    const SHOWN: usize = 5;
    let holes = &examined.sides.holes;
    let mut out = String::new();
    for hole in holes.iter().take(SHOWN) {
        let _ = writeln!(
            out,
            "Hole: {} edges, {:.4} round, about ({})",
            hole.edges,
            hole.length,
            three(hole.centre)
        );
    }
    for slit in &examined.slits {
        let _ = writeln!(
            out,
            "Slit: {:.4} wide and {:.4} long, from ({}) to ({})",
            slit.width,
            slit.length,
            three(slit.ends[0]),
            three(slit.ends[1])
        );
    }
    if holes.len() > SHOWN {
        let _ = writeln!(out, "… and {} smaller holes", holes.len() - SHOWN);
    }
    out
}
