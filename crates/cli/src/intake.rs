//! `keelstead hull import` and `keelstead hull export`.

use std::fmt::Write;
use std::path::Path;

use anyhow::{Context, bail};
use keelstead_boat::hull::{Hull, PartKind, PartUse};
use keelstead_files::hull_file::{Axes, HullFile, LengthUnit};
use keelstead_files::intake::{self, Imported, Skin, Written, axis_word};
use keelstead_files::mesh_file::{self, Surroundings};
use keelstead_files::names::boat_of;
use keelstead_files::source::{Disk, Source};
use keelstead_files::{FileError, Notice, Silent, open, save};
use keelstead_units::quantity::{Quantity, Sentence};
use keelstead_units::{Units, sentence, write, write_both};
use serde::Serialize;

use crate::told::Told;
use crate::{Outcome, report, style};

/// Reads a mesh, makes a hull of it, and writes description and GLB side by side.
pub(crate) fn import(
    file: &Path,
    told: &Told,
    out: &Path,
    units: Units,
    json: bool,
) -> anyhow::Result<Outcome> {
    let (disk, name) = Disk::around(file)?;
    let around = Surroundings {
        source: &disk,
        progress: &Silent,
    };
    let boat = boat_of(&file.to_string_lossy());
    let read = || {
        let mesh = mesh_file::read_with(&disk.read(&name)?, &name, &around)?;
        let notices = mesh.notices.clone();
        Ok((
            notices,
            intake::import(mesh, &name, &boat, &told.answers())?,
        ))
    };
    let (notices, hull) = read().map_err(|error: FileError| error.shown_by(&disk))?;
    let mesh = out.with_extension("glb");
    if out.exists() {
        bail!(
            "{}: a file of that name is there already, and is not written over; give another name with -o",
            out.display()
        );
    }
    let mut described = hull.described.clone();
    described.mesh = mesh
        .file_name()
        .with_context(|| format!("{}: this names no file", out.display()))?
        .to_string_lossy()
        .into_owned();
    let mut text = serde_json::to_string_pretty(&described).context("the description as JSON")?;
    text.push('\n');
    save::write_new(&mesh, &intake::glb(&hull.written())?)?;
    // The description last: where it stands, its mesh does too.
    save::write_new(out, text.as_bytes())?;
    let (around_out, name) = Disk::around(out)?;
    let opened = open::open_hull(&around_out, &name, &Silent)?;

    if json {
        let mut text = serde_json::to_string_pretty(&Made::of(&hull, &notices, out, &mesh))
            .context("the import as JSON")?;
        text.push('\n');
        return Ok(Outcome { text, status: 0 });
    }
    let mut say = String::new();
    let _ = writeln!(say, "{}", style::heading(&format!("{boat}, imported")));
    let size = opened.hull.bounds.extents();
    let figure = |value| write(Quantity::length(value), units);
    let names: Vec<&str> = opened
        .hull
        .parts
        .iter()
        .map(|part| part.name.as_str())
        .collect();
    let _ = writeln!(
        say,
        "{} long, {} wide, {} high",
        figure(size.x),
        figure(size.y),
        figure(size.z),
    );
    say.push_str(&report::wrapped("Parts: ", &names.join(", ")));
    say.push_str(&proposals(&hull.examined, units));
    for notice in &notices {
        say.push_str(&report::wrapped("Note: ", &sentence(&notice.says, units)));
    }
    for changed in &hull.changed {
        say.push_str(&report::wrapped("Changed: ", &sentence(changed, units)));
    }
    for left in &hull.left {
        say.push_str(&report::wrapped("Left: ", &sentence(left, units)));
    }
    let _ = writeln!(say, "Written: {} and {}", out.display(), mesh.display());
    Ok(Outcome {
        text: say,
        status: 0,
    })
}

/// An import as data.
#[derive(Serialize)]
struct Made<'a> {
    hull: String,
    mesh: String,
    found: &'a intake::Examined,
    parts: Vec<MadePart<'a>>,
    caps: &'a [intake::Cap],
    changed: &'a [Sentence],
    left: &'a [Sentence],
    notices: &'a [Notice],
}

#[derive(Serialize)]
struct MadePart<'a> {
    name: &'a str,
    kind: PartKind,
    #[serde(rename = "use")]
    part_use: PartUse,
    triangles: usize,
}

impl<'a> Made<'a> {
    fn of(hull: &'a Imported, notices: &'a [Notice], out: &Path, mesh: &Path) -> Self {
        let part = |part: &'a intake::ImportedPart| MadePart {
            name: &part.name,
            kind: part.kind,
            part_use: part.part_use,
            triangles: part.triangles.len(),
        };
        Self {
            hull: out.display().to_string(),
            mesh: mesh.display().to_string(),
            found: &hull.examined,
            parts: hull.parts.iter().map(part).collect(),
            caps: &hull.caps,
            changed: &hull.changed,
            left: &hull.left,
            notices,
        }
    }
}

/// What is proposed, a line each.
pub(crate) fn proposals(examined: &intake::Examined, units: Units) -> String {
    let mut say = String::new();
    let mut line = |what: &str, value: Option<String>, choices: Vec<String>, because: &Sentence| {
        let value = value.unwrap_or_else(|| match choices.len() {
            0 => "open".into(),
            _ => format!("open, {}", choices.join(" or ")),
        });
        say.push_str(&report::wrapped(
            &format!("{what}: "),
            &format!("{value} ({})", sentence(because, units)),
        ));
    };
    let unit = &examined.unit;
    let word = |unit: &LengthUnit| unit.word().to_owned();
    line(
        "Unit",
        unit.value.as_ref().map(word),
        unit.choices.iter().map(word).collect(),
        &unit.because,
    );
    for (what, axis) in [("Up", &examined.up), ("Bow", &examined.forward)] {
        let choices = axis.choices.iter().map(|axis| axis_word(*axis)).collect();
        line(what, axis.value.map(axis_word), choices, &axis.because);
    }
    let half = examined
        .half
        .value
        .map(|half| if half { "yes" } else { "no" }.to_owned());
    line("Half a hull", half, Vec::new(), &examined.half.because);
    let degrees = |angle: &f64| format!("{:.2} degrees", angle.to_degrees());
    for (what, angle) in [
        ("Heel", &examined.heel_rad),
        ("Yaw", &examined.yaw_rad),
        ("Trim", &examined.trim_rad),
    ] {
        let choices = angle.choices.iter().map(degrees).collect();
        line(
            what,
            angle.value.as_ref().map(degrees),
            choices,
            &angle.because,
        );
    }
    if !examined.skins.is_empty() {
        let word = |skin: &Skin| match skin {
            Skin::Outer => "the outer kept".to_owned(),
            Skin::Inner => "the inner kept".to_owned(),
            Skin::Both => "both kept".to_owned(),
        };
        let skin = &examined.skin;
        let choices = skin.choices.iter().map(word).collect();
        let value = skin.value.as_ref().map(word);
        line("Two skins side by side", value, choices, &skin.because);
    }
    for part in &examined.parts {
        let kind = &part.kind;
        let choices = kind.choices.iter().map(kebab).collect();
        let value = kind.value.as_ref().map(|kind| match part.part_use.value {
            Some(PartUse::Checked) | None => kebab(kind),
            Some(part_use) => format!("{}, {}", kebab(kind), kebab(&part_use)),
        });
        line(
            &format!("Part \"{}\"", part.name),
            value,
            choices,
            &kind.because,
        );
    }
    say
}

/// A kind's or use's word as it stands in a hull description.
fn kebab(word: &impl Serialize) -> String {
    let value = serde_json::to_value(word).ok();
    value
        .and_then(|v| v.as_str().map(str::to_owned))
        .unwrap_or_default()
}

/// Writes a described hull, in the hull frame, as GLB or STL.
pub(crate) fn export(hull: &Path, out: &Path) -> anyhow::Result<Outcome> {
    let (disk, name) = Disk::around(hull)?;
    let opened = open::open_hull(&disk, &name, &Silent)?;
    let positions: Vec<Vec<[f64; 3]>> = opened
        .hull
        .parts
        .iter()
        .map(|part| part.mesh.vertices().iter().map(|v| v.to_array()).collect())
        .collect();
    let written: Vec<Written<'_>> = opened
        .hull
        .parts
        .iter()
        .zip(&positions)
        .map(|(part, positions)| Written {
            name: &part.name,
            positions,
            triangles: part.mesh.triangles(),
        })
        .collect();
    let extension = out.extension().map(|e| e.to_string_lossy().to_lowercase());
    let bytes = match extension.as_deref() {
        Some("glb") => intake::glb(&written)?,
        Some("stl") => intake::stl(&written),
        _ => bail!("{}: write a name that ends in .glb or .stl", out.display()),
    };
    save::write_new(out, &bytes)?;
    let mut text = format!(
        "Written: {}, in metres, origin at the aft end of the keel; hull import reads it back without a question\n",
        out.display()
    );
    if let Some(lost) = lost(&opened.hull) {
        text.push_str(&report::wrapped("Note: ", &lost));
    }
    Ok(Outcome { text, status: 0 })
}

/// What a description says of a surface and its mesh alone does not; none if an import takes as much for granted.
fn lost(hull: &Hull) -> Option<String> {
    let taken_m = HullFile::for_mesh("", "", LengthUnit::Metre, Axes::default()).shape_tolerance_m;
    let open = hull.shape_tolerance_m > taken_m;
    if !open && hull.taped.is_none() {
        return None;
    }
    let both = |m: f64| write_both(Quantity::length(m));
    let not_drawn = match hull.taped {
        Some(_) => ", nor that a tape measured her: what it did not draw would read as not there",
        None => "",
    };
    let keep = match hull.taped {
        Some(_) => "Keep the measures document, or write \"taped\" and",
        None => "Write",
    };
    Some(format!(
        "the mesh carries no tolerance, which is \u{b1} {} here where an import takes \u{b1} {}{not_drawn}. {keep} \
         \"shape_tolerance_m\": {:.3} into the description that the import makes",
        both(hull.shape_tolerance_m),
        both(taken_m),
        // Rounded up: never less than it is.
        (hull.shape_tolerance_m * 1e3).ceil() / 1e3,
    ))
}
