//! `keelstead hull import` and `keelstead hull export`.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use clap::{Args, ValueEnum};
use keelstead::hull::{PartKind, PartUse};
use keelstead::quantity::Quantity;
use keelstead_files::hull_file::{Axis, LengthUnit};
use keelstead_files::intake::{self, Answers, Imported, PartAnswer, Skin, Written, axis_word};
use keelstead_files::mesh_file::{self, Surroundings};
use keelstead_files::source::{Disk, Source};
use keelstead_files::units::{Units, parse_length, write};
use keelstead_files::{FileError, Notice, Silent, open, save};
use serde::Serialize;

use crate::{Outcome, report, style};

/// What a person says of a mesh; what is left out is proposed, or asked for.
#[derive(Args, Clone, Debug, Default)]
pub(crate) struct Told {
    /// Unit of the file's coordinates
    #[arg(long, value_enum)]
    unit: Option<Unit>,
    /// Which of the file's axes points up: +x, -x, +y, -y, +z or -z
    #[arg(long, value_parser = axis, allow_hyphen_values = true)]
    up: Option<Axis>,
    /// Which of the file's axes points to the bow
    #[arg(long, value_parser = axis, allow_hyphen_values = true)]
    forward: Option<Axis>,
    /// The mesh is half a hull: mirror it in the plane it is cut along
    #[arg(long)]
    mirror: bool,
    /// It looks like half a hull and is a whole one: leave it as it is
    #[arg(long, conflicts_with = "mirror")]
    whole: bool,
    /// Scale to this length over all, as measured: 9.42m, 31ft
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    scale_length: Option<f64>,
    /// Heel of the mesh to take out, degrees, positive with the starboard side down
    #[arg(long, value_name = "DEGREES", value_parser = degrees, allow_hyphen_values = true)]
    heel: Option<f64>,
    /// Yaw of the mesh to take out, degrees, positive with the bow to port
    #[arg(long, value_name = "DEGREES", value_parser = degrees, allow_hyphen_values = true)]
    yaw: Option<f64>,
    /// Trim of the mesh to take out, degrees, positive with the bow up; 0 leaves it as it lies
    #[arg(long, value_name = "DEGREES", value_parser = degrees, allow_hyphen_values = true)]
    trim: Option<f64>,
    /// Two points that are level with each other, as boot top or scum line at bow and stern, in the file's unit and
    /// axes; gives the trim
    #[arg(long, num_args = 2, value_names = ["X,Y,Z", "X,Y,Z"], value_parser = point, allow_hyphen_values = true,
        conflicts_with = "trim")]
    level: Option<Vec<[f64; 3]>>,
    /// Which of two skins that run side by side to keep
    #[arg(long, value_enum)]
    skin: Option<SkinToKeep>,
    /// Join open edges that run side by side no farther apart than this: 3mm, 1/8in
    #[arg(long, value_name = "WIDTH", value_parser = length)]
    join_slits: Option<f64>,
    /// Close the openings upward, so that the hull has a volume
    #[arg(long)]
    close_deck: bool,
    /// Close other holes no larger than this: 20cm, 8in
    #[arg(long, value_name = "SIZE", value_parser = length)]
    close_holes: Option<f64>,
    /// Make every connected piece of a node a part of its own, or none (without it: those clearly something else)
    #[arg(long, value_enum)]
    separate: Option<Separate>,
    /// What a part is and counts for: "mast=left-out", "rails=height-only", "shell 3=rudder", "shell 4=remove",
    /// "Object.7=keel,fin keel" also gives it a new name
    #[arg(long, value_name = "NAME=WHAT", value_parser = part)]
    part: Vec<PartAnswer>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum SkinToKeep {
    Outer,
    Inner,
    Both,
}

impl From<SkinToKeep> for Skin {
    fn from(keep: SkinToKeep) -> Self {
        match keep {
            SkinToKeep::Outer => Self::Outer,
            SkinToKeep::Inner => Self::Inner,
            SkinToKeep::Both => Self::Both,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Separate {
    All,
    None,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Unit {
    Metre,
    Millimetre,
    Centimetre,
    Inch,
    Foot,
}

impl From<Unit> for LengthUnit {
    fn from(unit: Unit) -> Self {
        match unit {
            Unit::Metre => Self::Metre,
            Unit::Millimetre => Self::Millimetre,
            Unit::Centimetre => Self::Centimetre,
            Unit::Inch => Self::Inch,
            Unit::Foot => Self::Foot,
        }
    }
}

fn axis(text: &str) -> Result<Axis, String> {
    let axes = [
        Axis::PlusX,
        Axis::MinusX,
        Axis::PlusY,
        Axis::MinusY,
        Axis::PlusZ,
        Axis::MinusZ,
    ];
    axes.into_iter()
        .find(|axis| axis_word(*axis).eq_ignore_ascii_case(text))
        .ok_or_else(|| "write +x, -x, +y, -y, +z or -z".into())
}

fn length(text: &str) -> Result<f64, String> {
    let length_m = parse_length(text, Units::Metric).map_err(|error| error.to_string())?;
    if length_m > 0.0 {
        return Ok(length_m);
    }
    Err("write a length of more than nothing".into())
}

fn degrees(text: &str) -> Result<f64, String> {
    let degrees: f64 = text
        .parse()
        .map_err(|_| "write degrees, as -2.5".to_owned())?;
    if degrees.abs() < 90.0 {
        return Ok(degrees.to_radians());
    }
    Err("write less than 90 degrees either way".into())
}

fn point(text: &str) -> Result<[f64; 3], String> {
    let numbers: Result<Vec<f64>, _> = text.split(',').map(|n| n.trim().parse()).collect();
    let numbers = numbers.ok().and_then(|n| <[f64; 3]>::try_from(n).ok());
    numbers.ok_or_else(|| "write three numbers, as 1.2,0,0.45".into())
}

/// "NAME=WHAT[,NEW NAME]", where WHAT is a kind, a use or "remove".
fn part(text: &str) -> Result<PartAnswer, String> {
    let (name, what) = text
        .split_once('=')
        .ok_or("write the part's name, =, and what it is, as mast=left-out")?;
    let (what, rename) = match what.split_once(',') {
        Some((what, rename)) => (what, Some(rename.trim().to_owned())),
        None => (what, None),
    };
    let word = serde_json::Value::from(what.trim());
    let mut answer = PartAnswer {
        name: name.trim().to_owned(),
        rename,
        kind: serde_json::from_value(word.clone()).ok(),
        part_use: serde_json::from_value(word).ok(),
        remove: what.trim() == "remove",
    };
    if answer.kind.is_none() && answer.part_use.is_none() && !answer.remove {
        if what.trim().is_empty() && answer.rename.is_some() {
            return Ok(answer);
        }
        return Err(format!(
            "\"{what}\" is no kind (body, keel, skeg, rudder, propeller, shaft, strut, centreboard, cabin, deck-gear, mast, \
             other), no use (checked, height-only, left-out, volume-only) and not \"remove\""
        ));
    }
    answer.rename = answer.rename.filter(|name| !name.is_empty());
    Ok(answer)
}

impl Told {
    pub(crate) fn answers(&self) -> Answers {
        Answers {
            unit: self.unit.map(Into::into),
            up: self.up,
            forward: self.forward,
            mirror: match (self.mirror, self.whole) {
                (true, _) => Some(true),
                (_, true) => Some(false),
                _ => None,
            },
            length_m: self.scale_length,
            heel_rad: self.heel,
            yaw_rad: self.yaw,
            trim_rad: self.trim,
            level: self
                .level
                .as_deref()
                .and_then(|points| points.try_into().ok()),
            skin: self.skin.map(Into::into),
            join_slits_m: self.join_slits,
            close_deck: self.close_deck,
            close_holes_m: self.close_holes,
            separate: self.separate.map(|separate| separate == Separate::All),
            parts: self.part.clone(),
        }
    }
}

/// Reads a mesh, makes a hull of it, and writes description and GLB side by side.
pub(crate) fn import(file: &Path, told: &Told, out: &Path, json: bool) -> anyhow::Result<Outcome> {
    let (disk, name) = Disk::around(file)?;
    let around = Surroundings {
        source: &disk,
        progress: &Silent,
    };
    let boat = stem(file);
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
    let written: Vec<Written<'_>> = hull
        .parts
        .iter()
        .map(|part| Written {
            name: &part.name,
            positions: &part.positions,
            triangles: &part.triangles,
        })
        .collect();
    let mut text = serde_json::to_string_pretty(&described).context("the description as JSON")?;
    text.push('\n');
    save::write_new(&mesh, &intake::glb(&written)?)?;
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
    let figure = |value| write(Quantity::length(value), Units::Metric);
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
    say.push_str(&proposals(&hull.examined));
    for notice in &notices {
        say.push_str(&report::wrapped("Note: ", &notice.says));
    }
    for changed in &hull.changed {
        say.push_str(&report::wrapped("Changed: ", changed));
    }
    for left in &hull.left {
        say.push_str(&report::wrapped("Left: ", left));
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
    changed: &'a [String],
    left: &'a [String],
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
pub(crate) fn proposals(examined: &intake::Examined) -> String {
    let mut say = String::new();
    let mut line = |what: &str, value: Option<String>, choices: Vec<String>, because: &str| {
        let value = value.unwrap_or_else(|| match choices.len() {
            0 => "open".into(),
            _ => format!("open, {}", choices.join(" or ")),
        });
        say.push_str(&report::wrapped(
            &format!("{what}: "),
            &format!("{value} ({because})"),
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
    Ok(Outcome {
        text: format!(
            "Written: {}, in metres, origin at the aft end of the keel; hull import reads it back without a question\n",
            out.display()
        ),
        status: 0,
    })
}

/// A file's name without folder and ending.
fn stem(file: &Path) -> String {
    let stem = file
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned());
    stem.unwrap_or_else(|| PathBuf::from(file).display().to_string())
}
