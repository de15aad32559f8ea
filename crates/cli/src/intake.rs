//! `keelstead hull import` and `keelstead hull export`.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use clap::{Args, ValueEnum};
use keelstead::quantity::Quantity;
use keelstead_files::hull_file::{Axis, LengthUnit};
use keelstead_files::intake::{self, Answers, Written, axis_word};
use keelstead_files::mesh_file::{self, Surroundings};
use keelstead_files::source::{Disk, Source};
use keelstead_files::units::{Units, parse_length, write};
use keelstead_files::{FileError, Silent, open, save};

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
    /// Scale to this length over all, as measured: 9.42m, 31ft
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    scale_length: Option<f64>,
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
    Err("a length over all is more than nothing".into())
}

impl Told {
    pub(crate) fn answers(&self) -> Answers {
        Answers {
            unit: self.unit.map(Into::into),
            up: self.up,
            forward: self.forward,
            mirror: self.mirror.then_some(true),
            length_m: self.scale_length,
            ..Answers::default()
        }
    }
}

/// Reads a mesh, makes a hull of it, and writes description and GLB side by side.
pub(crate) fn import(file: &Path, told: &Told, out: &Path) -> anyhow::Result<Outcome> {
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
    let mut described = hull.described;
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
    say
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
            "Written: {}, metres, x forward, y to port, z up, origin at the aft end of the keel\n",
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
