//! `keelstead hull weigh HULL.json`.

use std::fmt::Write;
use std::path::Path;

use anyhow::{Context, anyhow, bail};
use clap::Args;
use keelstead_boat::hull::{CentreOfGravity, Hull, Mass, PartKind};
use keelstead_boat::weigh::{
    Afloat, BoatKind, Mark, MarkedWaterline, ScaleReading, Source as From, SupportLoads, Typical,
    Water, Weighed, WeightSources,
};
use keelstead_files::hull_file::HullFile;
use keelstead_files::source::{Disk, Source};
use keelstead_files::{FileError, Notice, Silent, document, open};
use keelstead_units::quantity::{Quantity, Unit};
use keelstead_units::{
    Units, parse, parse_angle, parse_length, parse_mass, sentence_both, write, write_both,
};
use serde::Serialize;

use crate::{Outcome, report, style};

/// What to try besides what the description holds.
#[derive(Args, Clone, Debug, Default)]
pub(crate) struct Tried {
    /// Heights of the waterline over the keel line's aft end, at the ends of the body or at stations
    /// forward of that: aft=0.52m,fore=0.61m or aft=0.52m@1.2m,fore=0.61m@6m
    #[arg(long, value_name = "MARKS")]
    waterline: Option<String>,
    /// What water it floated in: salt, fresh, or a density in kg/m³
    #[arg(long, value_name = "WATER", value_parser = water)]
    water: Option<Water>,
    /// Heeled to starboard when it was marked: 1.5°
    #[arg(long, value_name = "ANGLE", value_parser = angle, allow_hyphen_values = true)]
    heel: Option<f64>,
    /// How far a mark may be off
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    mark_tolerance: Option<f64>,
    /// What two scales under the keel read, and where: aft=3300kg@1m,fore=1900kg@4.2m
    #[arg(long, value_name = "READINGS")]
    scales: Option<String>,
    /// How far each scale may be off
    #[arg(long, value_name = "WEIGHT", value_parser = mass)]
    scale_tolerance: Option<f64>,
    /// What kind of boat it is, for what is usual: full-keel, fin-keel, centreboarder, planing, workboat, catamaran,
    /// double-ender, skiff or other; a hull from a tape knows its own
    #[arg(long, value_parser = kind)]
    kind: Option<BoatKind>,
    /// Length of the waterline, for what is usual
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    waterline_length: Option<f64>,
}

fn kind(text: &str) -> Result<BoatKind, String> {
    let word = text.to_lowercase();
    BoatKind::all()
        .find(|kind| kind.word() == word)
        .ok_or_else(|| {
            let all: Vec<_> = BoatKind::all().map(BoatKind::word).collect();
            format!("write one of {}", all.join(", "))
        })
}

fn water(text: &str) -> Result<Water, String> {
    match text.trim().to_lowercase().as_str() {
        "salt" | "sea" => Ok(Water::Salt),
        "fresh" => Ok(Water::Fresh),
        other => {
            let density = other
                .trim_end_matches("kg/m3")
                .trim_end_matches("kg/m³")
                .trim();
            let wrong = |_| "write salt, fresh, or a density in kg/m³ such as 1010".to_owned();
            density.parse().map(Water::KgM3).map_err(wrong)
        }
    }
}

fn angle(text: &str) -> Result<f64, String> {
    parse_angle(text).map_err(|error| error.to_string())
}

fn length(text: &str) -> Result<f64, String> {
    parse_length(text, Units::Metric).map_err(|error| error.to_string())
}

fn mass(text: &str) -> Result<f64, String> {
    parse_mass(text, Units::Metric).map_err(|error| error.to_string())
}

/// `aft=A@X,fore=B@Y` as figures of `unit` with their stations, where those are given.
fn pair(text: &str, unit: Unit) -> anyhow::Result<[(f64, Option<f64>); 2]> {
    let figure = |text: &str, unit| {
        parse(text, unit, Units::Metric).map_err(|error| anyhow!("{text:?}: {error}"))
    };
    let mut found = [None, None];
    // A comma may also part thousands: what follows one begins with a name.
    let starts = [text.find("aft="), text.find("fore=")];
    let [Some(aft), Some(fore)] = starts else {
        bail!("{text:?}: write aft=… and fore=…, parted by a comma");
    };
    for (slot, at, other) in [(0, aft, fore), (1, fore, aft)] {
        let end = if other > at { other } else { text.len() };
        let entry = text[at..end].trim().trim_end_matches(',');
        let value = entry.split_once('=').map_or("", |(_, value)| value);
        let (value, station) = match value.split_once('@') {
            Some((value, station)) => (value, Some(figure(station, Unit::Length)?)),
            None => (value, None),
        };
        found[slot] = Some((figure(value, unit)?, station));
    }
    match found {
        [Some(aft), Some(fore)] => Ok([aft, fore]),
        _ => bail!("{text:?}: write aft=… and fore=…, parted by a comma"),
    }
}

impl Tried {
    /// What the description holds, with what is tried in its place.
    fn over(&self, held: WeightSources, hull: &Hull) -> anyhow::Result<WeightSources> {
        Ok(WeightSources {
            waterline: self.marked(held.waterline, hull)?,
            supports: self.scaled(held.supports)?,
            typical: self.usual(held.typical, hull)?,
        })
    }

    fn marked(
        &self,
        held: Option<MarkedWaterline>,
        hull: &Hull,
    ) -> anyhow::Result<Option<MarkedWaterline>> {
        let mut marked = held;
        if let Some(marks) = &self.waterline {
            let [aft, fore] = pair(marks, Unit::Length).context("--waterline")?;
            let [from, to] = ends(hull);
            let mark = |(z_m, x_m): (f64, Option<f64>), end_m| Mark {
                x_m: x_m.unwrap_or(end_m),
                z_m,
            };
            marked = Some(MarkedWaterline {
                aft: mark(aft, from),
                fore: mark(fore, to),
                heel_rad: 0.0,
                tolerance_m: MarkedWaterline::usual_tolerance(),
                water: self.water.context(
                    "--waterline: say what water it floated in: --water salt, fresh, or a density",
                )?,
            });
        }
        let tried = self.water.is_some() || self.heel.is_some() || self.mark_tolerance.is_some();
        match &mut marked {
            Some(marked) => {
                marked.water = self.water.unwrap_or(marked.water);
                marked.heel_rad = self.heel.unwrap_or(marked.heel_rad);
                marked.tolerance_m = self.mark_tolerance.unwrap_or(marked.tolerance_m);
            }
            None if tried => bail!(
                "--water, --heel and --mark-tolerance go with a marked waterline: give --waterline"
            ),
            None => {}
        }
        Ok(marked)
    }

    fn scaled(&self, held: Option<SupportLoads>) -> anyhow::Result<Option<SupportLoads>> {
        let Some(readings) = &self.scales else {
            if self.scale_tolerance.is_some() {
                bail!("--scale-tolerance goes with --scales");
            }
            return Ok(held);
        };
        let tolerance_kg = self
            .scale_tolerance
            .context("--scales: say how far each scale may be off: --scale-tolerance 20kg")?;
        let at = |(mass_kg, x_m): (f64, Option<f64>)| {
            let x_m = x_m.context("--scales: say where each bears: aft=3300kg@1m")?;
            Ok::<_, anyhow::Error>(ScaleReading {
                x_m,
                mass_kg,
                tolerance_kg,
            })
        };
        let [aft, fore] = pair(readings, Unit::Mass).context("--scales")?;
        Ok(Some(SupportLoads {
            aft: at(aft)?,
            fore: at(fore)?,
            place_tolerance_m: SupportLoads::usual_place_off(),
            trim_rad: 0.0,
        }))
    }

    fn usual(&self, held: Option<Typical>, hull: &Hull) -> anyhow::Result<Option<Typical>> {
        let mut typical = self.kind.map(Typical::of).or(held);
        if let Some(length_m) = self.waterline_length {
            let known = || hull.kind().map(Typical::of);
            let mut told = typical
                .or_else(known)
                .context("--waterline-length goes with --kind")?;
            told.waterline_m = Some(length_m);
            typical = Some(told);
        }
        Ok(typical)
    }
}

/// Aft and fore end of the body, m.
fn ends(hull: &Hull) -> [f64; 2] {
    let bodies = hull.parts.iter().filter(|part| part.kind == PartKind::Body);
    let bounds = bodies.map(|part| part.mesh.aabb());
    let [from, to] = bounds.fold([f64::INFINITY, f64::NEG_INFINITY], |[from, to], b| {
        [from.min(b.mins.x), to.max(b.maxs.x)]
    });
    if from < to {
        [from, to]
    } else {
        [hull.bounds.mins.x, hull.bounds.maxs.x]
    }
}

/// What `--json` prints. SI units, hull frame.
#[derive(Serialize)]
struct Printed<'a> {
    hull: &'a str,
    notices: &'a [Notice],
    weighing: &'a WeightSources,
    weighed: &'a Weighed,
}

pub(crate) fn weigh(file: &Path, tried: &Tried, json: bool) -> anyhow::Result<Outcome> {
    let (disk, name) = Disk::around(file)?;
    let read = || document::read::<HullFile>(&disk.read(&name)?, &name);
    let mut described = read().map_err(|error: FileError| error.shown_by(&disk))?;
    let held = described.weighing.take().unwrap_or_default();
    let opened = open::hull_of(&disk, &described, &name, &Silent)?;
    let weighing = tried.over(held, &opened.hull)?;
    let hull = opened
        .hull
        .weighed_by(&weighing)
        .map_err(|problem| anyhow!("{}: at weighing.{problem}", disk.shown(&name)))?;
    let Some(weighed) = &hull.weighed else {
        bail!("{}: nothing was weighed", disk.shown(&name));
    };
    let told = weighed.mass.is_some() && weighed.centre.is_some();
    let sound = told && weighed.disagreements.is_empty() && weighed.untold.is_empty();
    let text = if json {
        let printed = Printed {
            hull: &hull.name,
            notices: &opened.notices,
            weighing: &weighing,
            weighed,
        };
        let mut text = serde_json::to_string_pretty(&printed).context("weights as JSON")?;
        text.push('\n');
        text
    } else {
        text(&hull.name, weighed, &opened.notices)
    };
    Ok(Outcome {
        text,
        status: if sound { 0 } else { 2 },
    })
}

fn text(name: &str, weighed: &Weighed, notices: &[Notice]) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}", style::heading(&format!("{name}, weighed")));
    for notice in notices {
        out.push_str(&report::wrapped("Note: ", &sentence_both(&notice.says)));
    }
    out.push_str(&chosen(
        weighed.mass.map(|(_, mass)| mass),
        weighed.centre.map(|(_, centre)| centre),
        &write_both,
    ));
    let both = |value: Quantity| [Units::Metric, Units::Imperial].map(|units| write(value, units));
    let mut masses = report::table(&["Weight by", "kg", "may be off", "lb", "may be off", ""]);
    for found in &weighed.masses {
        let [kg, lb] = both(Quantity::mass(found.mass.mass_kg));
        let [kg_off, lb_off] = both(Quantity::mass(found.mass.tolerance_kg));
        let taken = taken(found.source, weighed.mass.map(|(source, _)| source));
        masses.add_row([word(found.source), &kg, &kg_off, &lb, &lb_off, taken]);
    }
    report::align_right(&mut masses, 1..5);
    let mut centres = report::table(&[
        "Centre by",
        "Forward",
        "may be off",
        "Forward",
        "may be off",
        "",
    ]);
    for found in &weighed.centres {
        let [m, ft] = both(Quantity::length(found.centre.at.x_m));
        let [m_off, ft_off] = both(Quantity::length(found.centre.tolerance.x_m));
        let taken = taken(found.source, weighed.centre.map(|(source, _)| source));
        centres.add_row([word(found.source), &m, &m_off, &ft, &ft_off, taken]);
    }
    report::align_right(&mut centres, 1..5);
    if !weighed.masses.is_empty() {
        let _ = writeln!(out, "\n{masses}");
    }
    if !weighed.centres.is_empty() {
        let _ = writeln!(out, "{centres}");
    }
    out.push('\n');
    for found in &weighed.masses {
        let lead = format!("Weight by {}: ", word(found.source));
        out.push_str(&report::wrapped(&lead, &sentence_both(&found.says)));
    }
    for found in &weighed.centres {
        let lead = format!("Centre by {}: ", word(found.source));
        out.push_str(&report::wrapped(&lead, &sentence_both(&found.says)));
    }
    if let Some(afloat) = &weighed.afloat {
        out.push_str(&floats(afloat));
    }
    for told in &weighed.disagreements {
        out.push_str(&report::wrapped("DISAGREE: ", &sentence_both(&told.says)));
    }
    for untold in &weighed.untold {
        out.push_str(&report::wrapped("UNKNOWN: ", &sentence_both(&untold.says)));
    }
    for note in &weighed.notes {
        out.push_str(&report::wrapped("Note: ", &sentence_both(note)));
    }
    out
}

fn taken(source: From, chosen: Option<From>) -> &'static str {
    if chosen == Some(source) { "taken" } else { "" }
}

fn word(source: From) -> &'static str {
    match source {
        From::Stated => "statement",
        From::Waterline => "waterline",
        From::Supports => "scales",
        From::Typical => "kind",
    }
}

fn floats(afloat: &Afloat) -> String {
    let length = |value_m| write_both(Quantity::length(value_m));
    let text = format!(
        "displaces {:.3} m³ ({:.1} ft³), draft {}, waterline {} long, bow up {}; buoyancy at {} \
         forward and {} up; waterplane {:.2} m² ({:.1} ft²), its middle at {} forward",
        afloat.volume_m3,
        afloat.volume_m3 / 0.3048_f64.powi(3),
        length(afloat.draft_m),
        length(afloat.length_m),
        write_both(Quantity::angle(afloat.trim_rad)),
        length(afloat.buoyancy.x_m),
        length(afloat.buoyancy.z_m),
        afloat.waterplane_m2,
        afloat.waterplane_m2 / 0.3048_f64.powi(2),
        length(afloat.flotation.x_m),
    );
    report::wrapped("Afloat: ", &text)
}

/// Weight and centre that are taken, a line each; `figure` writes a figure.
pub(crate) fn chosen(
    mass: Option<Mass>,
    centre: Option<CentreOfGravity>,
    figure: &dyn Fn(Quantity) -> String,
) -> String {
    let length = |value_m| figure(Quantity::length(value_m));
    let weight = match mass {
        Some(mass) => format!(
            "{} ± {} ({})",
            figure(Quantity::mass(mass.mass_kg)),
            figure(Quantity::mass(mass.tolerance_kg)),
            report::basis_word(mass.basis),
        ),
        None => "not known".into(),
    };
    let acts = match centre {
        Some(centre) => format!(
            "{} ± {} forward of the origin, {} ± {} to port, {} ± {} up ({})",
            length(centre.at.x_m),
            length(centre.tolerance.x_m),
            length(centre.at.y_m),
            length(centre.tolerance.y_m),
            length(centre.at.z_m),
            length(centre.tolerance.z_m),
            report::basis_word(centre.basis),
        ),
        None => "not known".into(),
    };
    report::wrapped("Weight: ", &weight) + &report::wrapped("Centre of gravity: ", &acts)
}
