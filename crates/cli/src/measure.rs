//! `keelstead hull measure`: a hull from a tape.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use comfy_table::Table;
use keelstead_boat::family::{Estimate, Family, Fitted, MeasureKind, Next, Open, Place, Reached};
use keelstead_boat::hull::{Mass, Taped};
use keelstead_files::document::Document;
use keelstead_files::hull_file::{Axes, HullFile, LengthUnit};
use keelstead_files::measures_file::{self, MeasuresFile};
use keelstead_files::source::{Disk, Source};
use keelstead_files::{FileError, document, save};
use keelstead_units::quantity::{Basis, Quantity};
use keelstead_units::{Units, sentence, sentence_both, write};
use serde::Serialize;

use crate::{Outcome, report, style};

mod told;

pub(crate) use told::Told;

/// The families, and what of each can be measured.
pub(crate) fn families() -> Outcome {
    let mut say = String::new();
    for family in Family::ALL {
        let _ = writeln!(say, "{}", style::heading(family.word()));
        say.push_str(&report::wrapped("  ", family.says()));
        let kinds: Vec<_> = MeasureKind::ALL
            .into_iter()
            .filter(|kind| kind.fits(family))
            .map(MeasureKind::word)
            .collect();
        say.push_str(&report::wrapped("  takes ", &kinds.join(", ")));
    }
    let _ = writeln!(say, "\n{}", style::heading("How to measure"));
    for kind in MeasureKind::ALL {
        say.push_str(&report::wrapped(
            &format!("{}: ", kind.word()),
            &sentence_both(&kind.how()),
        ));
    }
    Outcome {
        text: say,
        status: 0,
    }
}

/// What a fit concluded, SI units.
#[derive(Serialize)]
struct Concluded<'a> {
    name: &'a str,
    family: Family,
    measures: &'a [Reached],
    estimates: &'a [Estimate],
    displacement_kg: f64,
    draft_m: f64,
    after_end_x_m: f64,
    tolerance_m: f64,
    taped: Taped,
    open: &'a Open,
}

/// Where the measures stand once the command is done.
enum Kept {
    /// In the document they were read from.
    There(PathBuf),
    /// In a document to be written.
    New(PathBuf),
    /// On the command line alone.
    Nowhere,
}

/// Refuses to describe a hull that every other command would refuse: nothing is written.
fn close_enough(fitted: &Fitted, path: &str, units: Units) -> anyhow::Result<()> {
    let Some(open) = measures_file::too_open(path, fitted.tolerance_m) else {
        return Ok(());
    };
    let measures: Vec<String> = fitted.open.next.iter().map(|n| next(n, units)).collect();
    Err(anyhow::Error::new(open).context(match measures.is_empty() {
        true => "no hull is written".to_owned(),
        false => format!(
            "no hull is written; measure next {}",
            measures.join(", or ")
        ),
    }))
}

/// Fits, reports, and writes what was asked for.
pub(crate) fn measure(
    file: Option<&Path>,
    told: &Told,
    out: Option<&Path>,
    units: Units,
    json: bool,
) -> anyhow::Result<Outcome> {
    let (measured, path, kept) = match (file, told.whole()) {
        (None, None) if told.is_empty() => {
            bail!(
                "name a measures document, or give --family, --length and --beam; --help has examples"
            )
        }
        (None, None) => bail!(
            "measures without a document need at least --family, --length and --beam; --families lists the families"
        ),
        (Some(file), None) if !told.is_empty() && !file.exists() => bail!(
            "{}: there is no such document to add measures to; a new one needs at least --family, --length and --beam",
            file.display()
        ),
        (Some(file), None) => {
            let (disk, name) = Disk::around(file)?;
            let read = || document::read::<MeasuresFile>(&disk.read(&name)?, &name);
            let mut measured = read().map_err(|error: FileError| error.shown_by(&disk))?;
            told.add(&mut measured);
            let kept = if told.is_empty() {
                Kept::There(file.to_owned())
            } else {
                // The document is never written over: with a description, another one stands beside that.
                out.map_or(Kept::Nowhere, |out| {
                    Kept::New(out.with_extension("measures.json"))
                })
            };
            (measured, disk.shown(&name), kept)
        }
        (file, Some((family, measures))) => {
            let name = file.map_or_else(|| family.word().to_owned(), name_of);
            let measured = MeasuresFile {
                version: MeasuresFile::VERSION,
                name,
                family,
                measures,
                note: String::new(),
            };
            let path = file.map_or_else(|| "the measures".into(), |f| f.display().to_string());
            let kept = file.map_or(Kept::Nowhere, |file| Kept::New(file.to_owned()));
            (measured, path, kept)
        }
    };
    let fitted = measured.fit(&path)?;
    if out.is_some() {
        close_enough(&fitted, &path, units)?;
    }
    let mut written = Vec::new();
    if let Kept::New(file) = &kept {
        written.push(keep(file, &measured)?);
    }
    if let Some(out) = out {
        let (Kept::There(file) | Kept::New(file)) = &kept else {
            bail!(
                "-o writes a hull description that refers to a measures document: name one to write as well"
            );
        };
        written.push(describe(out, file, &measured)?);
    }
    let text = if json {
        let concluded = Concluded {
            name: &measured.name,
            family: measured.family,
            measures: &fitted.measures,
            estimates: &fitted.estimates,
            displacement_kg: fitted.displacement_kg,
            draft_m: fitted.draft_m,
            after_end_x_m: fitted.after_end_x_m,
            tolerance_m: fitted.tolerance_m,
            taped: fitted.taped,
            open: &fitted.open,
        };
        let mut text = serde_json::to_string_pretty(&concluded).context("the fit as JSON")?;
        text.push('\n');
        text
    } else {
        let mut text = text(&measured, &fitted, &written, units);
        if !told.is_empty() && file.is_some() && written.is_empty() {
            text.push_str(&report::wrapped(
                "Not written: ",
                &format!("{path} stays as it is; -o OUT.json writes all the measures to OUT.measures.json beside it"),
            ));
        }
        text
    };
    Ok(Outcome { text, status: 0 })
}

/// A boat's name from its file's.
fn name_of(file: &Path) -> String {
    let name = file
        .file_name()
        .map(|name| name.to_string_lossy().into_owned());
    let name = name.unwrap_or_default();
    name.split('.').next().unwrap_or_default().to_owned()
}

fn keep(file: &Path, measured: &MeasuresFile) -> anyhow::Result<PathBuf> {
    let mut text = serde_json::to_string_pretty(measured).context("the measures as JSON")?;
    text.push('\n');
    save::write_new(file, text.as_bytes())?;
    Ok(file.to_owned())
}

/// Writes the description of the hull that the document is the mesh of.
fn describe(out: &Path, file: &Path, measured: &MeasuresFile) -> anyhow::Result<PathBuf> {
    let folder = |path: &Path| path.parent().unwrap_or(Path::new("")).to_owned();
    if folder(out) != folder(file) {
        bail!(
            "{}: a hull description stands beside its measures, in the folder of {}",
            out.display(),
            file.display()
        );
    }
    let mesh = file
        .file_name()
        .with_context(|| format!("{}: this names no file", file.display()))?;
    let mut described = HullFile::for_mesh(
        measured.name.clone(),
        mesh.to_string_lossy(),
        LengthUnit::Metre,
        Axes::default(),
    );
    // The fit says how open the surface is, and says less as more is measured.
    described.shape_tolerance_m = 0.0;
    let kind = MeasureKind::Displacement;
    described.mass = measured.measures.displacement_kg.map(|mass_kg| Mass {
        mass_kg,
        tolerance_kg: measured.measures.tolerance(kind, mass_kg),
        basis: Basis::Measured,
    });
    let mut text = serde_json::to_string_pretty(&described).context("the description as JSON")?;
    text.push('\n');
    save::write_new(out, text.as_bytes())?;
    Ok(out.to_owned())
}

fn text(measured: &MeasuresFile, fitted: &Fitted, written: &[PathBuf], units: Units) -> String {
    let mut say = String::new();
    let heading = format!("{}, measured as {}", measured.name, measured.family.word());
    let _ = writeln!(say, "{}", style::heading(&heading));
    let _ = writeln!(say, "{}\n", reached(&fitted.measures, units));
    let missed = fitted.measures.iter().filter(|m| !m.met).count();
    if missed > 0 {
        say.push_str(&report::wrapped(
            "",
            "Where \"missed\" stands the family cannot have all the measures: measure again, or try another family.",
        ));
        say.push('\n');
    }
    let _ = writeln!(
        say,
        "{}",
        style::heading("Not measured, as the surface has it")
    );
    let _ = writeln!(say, "{}\n", estimated(&fitted.estimates, units));
    let length = |m: f64| write(Quantity::length(m), units);
    say.push_str(&report::wrapped(
        "Displaces ",
        &format!(
            "{} of sea water at a draft of {}",
            write(Quantity::mass(fitted.displacement_kg), units),
            length(fitted.draft_m)
        ),
    ));
    let at = fitted.open.at;
    say.push_str(&report::wrapped(
        "Shape tolerance ",
        &format!(
            "{}: how far the boat's surface may be from this one. It is widest at the {}, {} forward of the after end of the boat and {} up",
            length(fitted.tolerance_m),
            fitted.open.part,
            length(at.x_m - fitted.after_end_x_m),
            length(at.z_m),
        ),
    ));
    if let Some(first) = fitted.open.next.first() {
        say.push_str(&report::wrapped("Measure next ", &next(first, units)));
    }
    for other in fitted.open.next.iter().skip(1) {
        say.push_str(&report::wrapped("          or ", &next(other, units)));
    }
    for (what, says) in fitted.taped.says() {
        say.push_str(&report::wrapped(
            &format!("{what}: "),
            &sentence(&says, units),
        ));
    }
    for path in written {
        let _ = writeln!(say, "Written: {}", path.display());
    }
    say
}

fn quantity(kind: MeasureKind, value: f64) -> Quantity {
    Quantity {
        value,
        unit: kind.unit(),
    }
}

fn reached(measures: &[Reached], units: Units) -> Table {
    let mut table = report::table(&["Measure", "Asked", "Reached", "Misfit"]);
    report::align_right(&mut table, 1..4);
    for m in measures {
        let value = |value| write(quantity(m.kind, value), units);
        let misfit = match (m.reached, m.met) {
            (None, _) => "missed: the surface is not there".into(),
            (_, true) => value(m.misfit),
            (_, false) => format!("{}, missed", value(m.misfit)),
        };
        let reached = m.reached.map_or_else(String::new, value);
        table.add_row([named(m.kind, m.at, units), value(m.asked), reached, misfit]);
    }
    table
}

fn estimated(estimates: &[Estimate], units: Units) -> Table {
    let mut table = report::table(&["", "About", "Give or take"]);
    report::align_right(&mut table, 1..3);
    for e in estimates {
        table.add_row([
            e.kind.title().to_owned(),
            write(quantity(e.kind, e.value), units),
            write(quantity(e.kind, e.tolerance), units),
        ]);
    }
    table
}

/// A measure and its place.
fn named(kind: MeasureKind, at: Option<Place>, units: Units) -> String {
    let length = |m: f64| write(Quantity::length(m), units);
    let mut say = kind.title().to_owned();
    let Some(at) = at else { return say };
    let _ = write!(say, " at {}", length(at.station_m));
    if let Some(off) = at.off_m {
        let _ = write!(say, ", {} off centre", length(off));
    }
    match (at.height_m, kind) {
        (Some(height), _) => {
            let _ = write!(say, ", {} up", length(height));
        }
        (None, MeasureKind::HalfBreadth) => say.push_str(", sheer"),
        _ => {}
    }
    say
}

fn next(next: &Next, units: Units) -> String {
    format!(
        "the {}: the tolerance would come down to {}",
        named(next.kind, next.at, units),
        write(Quantity::length(next.tolerance_m), units)
    )
}
