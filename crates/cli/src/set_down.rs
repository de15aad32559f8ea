//! `keelstead set-down JOB`: what was measured once she was set down.

use std::fmt::Write as _;
use std::path::Path;

use anyhow::{anyhow, bail};
use clap::{Subcommand, ValueEnum};
use comfy_table::Table;
use keelstead::check::check;
use keelstead::findings::{Compared, Findings};
use keelstead_files::kept::JobFiles;
use keelstead_files::save::save_job;
use keelstead_files::source::Disk;
use keelstead_files::{OpenJob, Silent, open_job};
use keelstead_geometry::math::Point;
use keelstead_load::load::{Level, Load, Measured, Seat};
use keelstead_load::rig_parts::beam_name;
use keelstead_units::verdict::Verdict;
use keelstead_units::{Units, parse_length, sentence};

use crate::{Outcome, report, style};

/// What to do with what was measured.
#[derive(Subcommand)]
pub(crate) enum SetDownCommand {
    /// Note how high a point of her stands
    Height {
        /// Which point: a place of hers, as the list names it, or any name with --at
        name: String,
        /// Where it is: metres forward of the hull's origin, to port, above the keel line; or lengths with units
        #[arg(long, value_name = "X,Y,Z", allow_hyphen_values = true)]
        at: Option<String>,
        /// What it is measured over
        #[arg(long, value_enum, default_value_t = Over::Ground)]
        over: Over,
        /// The height: 2.41m, "7ft 10 7/8in"
        #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
        is: String,
        /// How far that may be off, either way
        #[arg(long, value_name = "LENGTH", default_value = "5mm")]
        within: String,
    },
    /// Note a gap at rest
    Gap {
        /// The boat's part, as the findings call it: "keel"
        hull_part: String,
        /// The trailer's part, as the findings call it: "tyre, axle 1 left"
        rig_part: String,
        /// The gap: 180mm, "7 1/8in"
        #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
        is: String,
        /// How far that may be off, either way
        #[arg(long, value_name = "LENGTH", default_value = "5mm")]
        within: String,
    },
    /// Note whether a stack was seen bearing
    Bears {
        /// Where its beam lies: "pocket 8", or "rails -5.2m", metres forward of the coupling
        seat: String,
        /// Whether it bears, or stands free
        bears: YesNo,
    },
    /// Take something measured away
    Forget {
        /// Its number in the list, or "all"
        which: String,
    },
}

/// What a height is measured over.
#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Over {
    /// The ground
    Ground,
    /// The rails' top, along the rails
    RailTop,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
pub(crate) enum YesNo {
    /// It bears
    Yes,
    /// It stands free
    No,
}

/// Does it and lists what is measured then.
///
/// # Errors
/// A file that cannot be read or written, a figure that is none, a part or place that is not there: the job file is then as
/// it was.
pub(crate) fn perform(
    job: &Path,
    command: Option<SetDownCommand>,
    units: Units,
) -> anyhow::Result<Outcome> {
    let (disk, name) = Disk::around(job)?;
    let mut open = open_job(&disk, &name, &Silent)?;
    if let Some(command) = command {
        change(&mut open, command, units).map_err(|error| anyhow!("{}: {error}", job.display()))?;
        // References stay as they are written: the job stays where it is.
        save_job(job, &open.job, &JobFiles::default())?;
    }
    let findings = check(&open.hull, &open.rig, &open.job.load);
    Ok(Outcome {
        text: list(&open, &findings, units),
        status: 0,
    })
}

fn change(open: &mut OpenJob, command: SetDownCommand, units: Units) -> anyhow::Result<()> {
    let measured = match command {
        SetDownCommand::Forget { which } => return forget(&mut open.job.load, &which),
        SetDownCommand::Height {
            name,
            at,
            over,
            is,
            within,
        } => Measured::Height {
            at: match at {
                Some(at) => point(&at)?,
                None => place(open, &name)?,
            },
            name,
            over: match over {
                Over::Ground => Level::Ground,
                Over::RailTop => Level::RailTop,
            },
            height_m: length("--is", &is, units)?,
            tolerance_m: length("--within", &within, units)?,
        },
        SetDownCommand::Gap {
            hull_part,
            rig_part,
            is,
            within,
        } => {
            known_pair(open, &hull_part, &rig_part)?;
            Measured::Gap {
                hull_part,
                rig_part,
                gap_m: length("--is", &is, units)?,
                tolerance_m: length("--within", &within, units)?,
            }
        }
        SetDownCommand::Bears { seat, bears } => {
            let seat = seat_of(&open.job.load, &seat)?;
            // What was seen there before is seen anew.
            open.job.load.measured.retain(|measured| match measured {
                Measured::Bears { seat: of, .. } => !of.is_same(seat),
                _ => true,
            });
            Measured::Bears {
                seat,
                bears: bears == YesNo::Yes,
            }
        }
    };
    let problems = measured.validate().err().unwrap_or_default();
    if let Some(problem) = problems.first() {
        bail!("{problem}; put the figure right, lengths in metres; nothing was written");
    }
    open.job.load.measured.push(measured);
    Ok(())
}

fn forget(load: &mut Load, which: &str) -> anyhow::Result<()> {
    if which == "all" {
        load.measured.clear();
        return Ok(());
    }
    let count = load.measured.len();
    let number: Option<usize> = which.parse().ok();
    match number.and_then(|n| n.checked_sub(1)).filter(|n| *n < count) {
        Some(at) => {
            load.measured.remove(at);
            Ok(())
        }
        None if count == 0 => bail!("measured: found nothing to forget: nothing is measured"),
        None => bail!("measured: found \"{which}\", expected a number from 1 to {count}, or all"),
    }
}

fn length(option: &str, text: &str, units: Units) -> anyhow::Result<f64> {
    parse_length(text, units).map_err(|error| anyhow!("{option}: {error}"))
}

/// Three numbers in metres, or lengths with their units.
fn point(text: &str) -> anyhow::Result<Point> {
    let one = |text: &str| match text.trim().parse::<f64>() {
        Ok(value_m) => Some(value_m),
        Err(_) => parse_length(text, Units::Metric).ok(),
    };
    let numbers: Option<Vec<f64>> = text.split(',').map(one).collect();
    match numbers.as_deref() {
        Some([x_m, y_m, z_m]) => Ok(Point::new(*x_m, *y_m, *z_m)),
        _ => bail!("--at: found \"{text}\", expected three lengths, as 9.2,0,1.85"),
    }
}

/// A place of hers by name.
fn place(open: &OpenJob, name: &str) -> anyhow::Result<Point> {
    let places = open.hull.named_places();
    if let Some(place) = places.iter().find(|place| place.name == name) {
        return Ok(place.at);
    }
    let names: Vec<&str> = places.iter().map(|place| place.name.as_str()).collect();
    bail!(
        "the hull has no place called \"{name}\", expected one of: {}; or say where it is with --at X,Y,Z",
        names.join(", ")
    )
}

/// Both parts are there, the trailer's only once.
fn known_pair(open: &OpenJob, hull_part: &str, rig_part: &str) -> anyhow::Result<()> {
    let hull: Vec<&str> = open.hull.parts.iter().map(|p| p.name.as_str()).collect();
    if !hull.contains(&hull_part) {
        bail!(
            "the boat has no part called \"{hull_part}\", expected one of: {}",
            hull.join(", ")
        );
    }
    let findings = check(&open.hull, &open.rig, &open.job.load);
    let rig: Vec<&str> = findings.rig_parts.iter().map(|p| p.name.as_str()).collect();
    match rig.iter().filter(|name| **name == rig_part).count() {
        1 => Ok(()),
        0 => bail!(
            "the trailer has no part called \"{rig_part}\", expected one of: {}",
            rig.join("; ")
        ),
        count => bail!(
            "{count} parts of the trailer are called \"{rig_part}\": nobody could tell which; measure another gap"
        ),
    }
}

/// A place where a beam lies.
fn seat_of(load: &Load, text: &str) -> anyhow::Result<Seat> {
    let lower = text.trim().to_lowercase();
    let pocket = lower.strip_prefix("pocket").unwrap_or(&lower);
    let pocket = pocket.trim().parse().ok().map(Seat::Pocket);
    let on_rails = || {
        let x = lower.strip_prefix("rails")?;
        parse_length(x, Units::Metric).ok().map(Seat::OnRailsXM)
    };
    let seats: Vec<String> = load.beams.iter().map(|beam| seat_text(beam.seat)).collect();
    let expected = seats.join(", ");
    let Some(seat) = pocket.or_else(on_rails) else {
        bail!("found \"{text}\", expected where a beam lies: {expected}");
    };
    if !load.beams.iter().any(|beam| beam.seat.is_same(seat)) {
        bail!("no beam lies at \"{text}\", expected one of: {expected}");
    }
    Ok(seat)
}

fn seat_text(seat: Seat) -> String {
    match seat {
        Seat::Pocket(number) => format!("pocket {number}"),
        Seat::OnRailsXM(x_m) => format!("rails {x_m}m"),
    }
}

fn list(open: &OpenJob, findings: &Findings, units: Units) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}", style::heading(&open.job.name));
    let _ = writeln!(out, "{} on {}\n", open.hull.name, open.rig.name);
    match table(findings, units) {
        Some(table) => {
            let _ = writeln!(out, "{}", style::heading("Measured after set-down"));
            let _ = writeln!(out, "{table}\n");
            advise(&mut out, &findings.measured, units);
        }
        None if !open.job.load.measured.is_empty() => {
            // Figures out of range stop the check.
            let _ = writeln!(
                out,
                "{} measured; the job cannot be checked:",
                open.job.load.measured.len()
            );
            for finding in findings.list.iter().filter(|f| f.verdict != Verdict::Clear) {
                let _ = writeln!(
                    out,
                    "  {}: {}",
                    finding.title,
                    sentence(&finding.says, units)
                );
            }
        }
        None => {
            let _ = writeln!(out, "Nothing was measured after set-down.\n");
            let places = open.hull.named_places();
            let names: Vec<&str> = places.iter().map(|place| place.name.as_str()).collect();
            let _ = writeln!(out, "Heights can be given of: {}", names.join(", "));
            let beams: Vec<String> = (open.job.load.beams.iter())
                .map(|beam| format!("{} ({})", seat_text(beam.seat), beam_name(beam.seat)))
                .collect();
            let _ = writeln!(out, "Stacks stand at: {}", beams.join(", "));
        }
    }
    let _ = writeln!(
        out,
        "The job as a whole: {}",
        style::verdict(findings.verdict)
    );
    style::colour_verdicts(&out)
}

fn advise(out: &mut String, measured: &[Compared], units: Units) {
    for (at, compared) in measured.iter().enumerate() {
        if let Some(advice) = &compared.advice {
            let lead = format!("{}. Do: ", at + 1);
            out.push_str(&report::wrapped(&lead, &sentence(advice, units)));
        }
    }
}

/// Everything measured beside what was worked out; none where nothing was.
pub(crate) fn table(findings: &Findings, units: Units) -> Option<Table> {
    if findings.measured.is_empty() {
        return None;
    }
    let mut table = report::table(&["", "What", "Measured", "Beside it", "State"]);
    for (at, compared) in findings.measured.iter().enumerate() {
        table.add_row([
            (at + 1).to_string(),
            compared.name.clone(),
            sentence(&compared.measured, units),
            sentence(&compared.says, units),
            match compared.verdict {
                Verdict::Foul => "contradicts",
                Verdict::Unknown | Verdict::Pending => "not compared",
                Verdict::Tight | Verdict::Clear => "fits",
            }
            .to_owned(),
        ]);
    }
    report::align_right(&mut table, 0..1);
    Some(table)
}
