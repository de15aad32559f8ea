//! The `keelstead` command: check a job, look into a mesh file, print a schema.
//!
//! Exit status: 0 all clear, 1 something foul, 2 tight or unknown, 3 bad input.

mod axles;
mod carrying;
mod check;
mod described;
mod inspect;
mod intake;
mod measure;
mod report;
mod set_down;
mod shelf;
mod style;
mod told;
mod weigh;

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};
use keelstead_files::{FileError, schema};
use keelstead_units as units;

/// Input that cannot be used: a file, an argument, or a job that contradicts its rig or hull.
const BAD_INPUT: u8 = 3;

const EXIT_STATUS: &str = "\
Exit status:
  0  all clear
  1  something is foul
  2  something is tight or unknown, nothing foul
  3  bad input: a file that cannot be read, or a job that contradicts its rig or hull";

/// Will this hull sit on this trailer, on which beams, on how much blocking, and what comes close
/// to what?
#[derive(Parser)]
#[command(
    name = "keelstead",
    version,
    after_help = EXIT_STATUS,
    after_long_help = format!("\
Examples:
  keelstead check jobs/petrel.json
  keelstead check jobs/petrel.json --units imperial
  keelstead set-down jobs/petrel.json height \"stem head\" --is 4.31m
  keelstead hull inspect hulls/petrel.glb
  keelstead hull measure --family fin-keel --length 34ft --beam 11ft
  keelstead schema job > job.schema.json

{EXIT_STATUS}")
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Check a job: every finding, worst first; beams, pads and size
    #[command(
        after_help = EXIT_STATUS,
        after_long_help = format!("\
Examples:
  keelstead check jobs/petrel.json
  keelstead check jobs/petrel.json --units imperial --all
  keelstead check jobs/petrel.json --json > findings.json

{EXIT_STATUS}")
    )]
    Check {
        /// The job file
        job: PathBuf,
        /// Print everything the engine concluded as JSON, in SI units
        #[arg(long)]
        json: bool,
        /// Units of figures
        #[arg(long, value_enum, default_value_t)]
        units: Units,
        /// Show the findings that are clear one by one, not only their number
        #[arg(long)]
        all: bool,
    },
    /// What was measured once she was set down: list it, enter it, take it back
    #[command(after_help = "\
Without a command it lists what is measured beside what is worked out there. The job file is written
whole or not at all.

Examples:
  keelstead set-down jobs/petrel.json
  keelstead set-down jobs/petrel.json height \"stem head\" --is 4.31m --within 5mm
  keelstead set-down jobs/petrel.json height pulpit --at 11.2,0,2.9 --over rail-top --is \"11ft 3in\"
  keelstead set-down jobs/petrel.json gap keel \"tyre, axle 1 left inner\" --is 180mm
  keelstead set-down jobs/petrel.json bears \"pocket 8\" yes
  keelstead set-down jobs/petrel.json forget 2

Exit status: 0 if it was done, 3 if not.")]
    SetDown {
        /// The job file
        job: PathBuf,
        #[command(subcommand)]
        command: Option<set_down::SetDownCommand>,
        /// Units of figures, and of lengths given without one
        #[arg(long, value_enum, default_value_t, global = true)]
        units: Units,
    },
    /// About a boat's mesh file
    #[command(subcommand)]
    Hull(HullCommand),
    /// The yard's own shelf of hulls: list, add, remove, path
    #[command(after_help = "\
A hull on the shelf is a folder with its description and its mesh; copy or mail it as it is.

Examples:
  keelstead shelf add hulls/petrel.json
  keelstead shelf list --units imperial
  keelstead shelf path petrel

Exit status: 0 if it was done, 3 if not.")]
    Shelf {
        #[command(subcommand)]
        command: shelf::ShelfCommand,
        /// The shelf's folder; the environment variable KEELSTEAD_SHELF or the user's own if left out
        #[arg(long, value_name = "FOLDER", global = true)]
        shelf: Option<PathBuf>,
    },
    /// Print the JSON Schema of a document
    #[command(after_help = "\
Examples:
  keelstead schema job > job.schema.json
  keelstead schema hull")]
    Schema {
        /// Which document
        document: Kind,
    },
}

#[derive(Subcommand)]
enum HullCommand {
    /// What is in a mesh file: parts, size, whether it is closed, how it most likely lies; of a hull
    /// description also the weight taken and the marks
    #[command(after_help = "\
Examples:
  keelstead hull inspect hulls/petrel.glb
  keelstead hull inspect scan.stl --units imperial
  keelstead hull inspect scan.stl --json
  keelstead hull inspect hulls/petrel.json

Exit status: 0 if the file could be read, 3 if not.")]
    Inspect {
        /// STL, OBJ, PLY, GLB, glTF, a table of offsets (CSV), a measures document, or a hull description (JSON)
        file: PathBuf,
        /// Units of figures; coordinates of a mesh stay in the file's own
        #[arg(long, value_enum, default_value_t)]
        units: Units,
        /// Print it as JSON: a mesh in the file's own unit, a described hull in SI units
        #[arg(long)]
        json: bool,
        #[command(flatten)]
        told: Box<told::Told>,
    },
    /// Make a hull description of a mesh file or table of offsets, ready for a job
    #[command(after_help = "\
What the mesh does not tell is asked for: the command then names the options that answer.

Examples:
  keelstead hull import scan.stl -o hulls/petrel.json
  keelstead hull import half.obj --unit foot --up +y --mirror -o hulls/wren.json
  keelstead hull import scan.ply --scale-length 9.42m -o hulls/eider.json
  keelstead hull import yacht.obj --part mast=left-out --close-deck -o hulls/knot.json
  keelstead hull import scan.ply --level 0.4,0,0.62 9.1,0,0.71 -o hulls/teal.json

Exit status: 0 if the hull was written, 3 if not.")]
    Import {
        /// STL, OBJ, PLY, GLB, glTF, a table of offsets (CSV) or a measures document
        file: PathBuf,
        /// Units of figures
        #[arg(long, value_enum, default_value_t)]
        units: Units,
        /// Print what was found, changed and left as JSON
        #[arg(long)]
        json: bool,
        #[command(flatten)]
        told: Box<told::Told>,
        /// The hull description to write; its mesh is written beside it as GLB
        #[arg(short, long, value_name = "OUT.json")]
        out: PathBuf,
    },
    /// What a described hull weighs and where, by every source that its description or you give
    #[command(after_help = "\
Sources: what the description states, a marked waterline, two scales under the keel, what is usual
for the kind of boat. Options take the place of what the description's \"weighing\" holds.

Examples:
  keelstead hull weigh hulls/petrel.json
  keelstead hull weigh hulls/petrel.json --waterline aft=1.52m,fore=1.47m --water salt
  keelstead hull weigh hulls/petrel.json --scales aft=3300kg@1m,fore=1900kg@4.2m --scale-tolerance 20kg
  keelstead hull weigh hulls/petrel.json --kind full-keel --waterline-length 24ft5in --json

Exit status: 0 if weight and centre are known and no source contradicts another, 2 if not,
3 for bad input.")]
    Weigh {
        /// The hull description
        hull: PathBuf,
        #[command(flatten)]
        tried: weigh::Tried,
        /// Print it as JSON, in SI units
        #[arg(long)]
        json: bool,
    },
    /// Make a hull of what a tape measured: a family of boats, fitted to the measures
    #[command(after_help = "\
A measures document stands wherever a mesh file does, and stays open to more measures: those
given beside it are added to what it says, or take its place. It is never written over; with
-o OUT.json all of them are written to OUT.measures.json.
Stations are measured forward from the after end of the boat, heights up from the
level of the lowest point. Lengths in either system: 9.42m, 31ft, \"10ft 2 1/2in\".

Examples:
  keelstead hull measure --families
  keelstead hull measure --family fin-keel --length 34ft --beam \"10ft 9in\"
  keelstead hull measure wren.measures.json --family full-keel --length 9.4m --beam 2.9m
      --draft 1.5m --keel-start 1.3m --keel-length 3.5m --half-breadth 4m:1.5m:1.4m -o wren.json
  keelstead hull measure wren.measures.json --units imperial
  keelstead hull measure wren.measures.json --highest 3.1m --nothing-under -o wren-2.json
  keelstead hull measure wren.measures.json --json

Exit status: 0 if the surface was fitted, 3 if not, or if it is too open to be written as a hull.")]
    Measure {
        /// The measures document to read and add to; with --family, --length and --beam the one to write
        #[arg(value_name = "FILE.measures.json")]
        file: Option<PathBuf>,
        /// List the families, what each takes, and how it is measured
        #[arg(long, exclusive = true)]
        families: bool,
        #[command(flatten)]
        told: Box<measure::Told>,
        /// A hull description to write beside the measures
        #[arg(short, long, value_name = "OUT.json")]
        out: Option<PathBuf>,
        /// Units of figures
        #[arg(long, value_enum, default_value_t)]
        units: Units,
        /// Print what was concluded as JSON, in SI units
        #[arg(long)]
        json: bool,
    },
    /// Write a described hull as GLB or STL, in metres, as it stands in the hull frame
    #[command(after_help = "\
Examples:
  keelstead hull export hulls/petrel.json -o petrel.stl

Exit status: 0 if the file was written, 3 if not.")]
    Export {
        /// The hull description
        hull: PathBuf,
        /// The file to write, ending in .glb or .stl
        #[arg(short, long, value_name = "OUT")]
        out: PathBuf,
    },
}

#[derive(Clone, Copy, Default, ValueEnum)]
enum Units {
    /// Millimetres, metres, kilograms
    #[default]
    Metric,
    /// Feet and inches, pounds
    Imperial,
}

impl From<Units> for units::Units {
    fn from(chosen: Units) -> Self {
        match chosen {
            Units::Metric => Self::Metric,
            Units::Imperial => Self::Imperial,
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
enum Kind {
    /// A job
    Job,
    /// A rig: trailer, tractor, beams and blocks
    Rig,
    /// A hull description
    Hull,
    /// A measures document
    Measures,
}

/// What a command has to say, and how it ends.
struct Outcome {
    text: String,
    status: u8,
}

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(told) => {
            let _ = told.print();
            // clap's own 2 would read as "tight".
            return ExitCode::from(if told.use_stderr() { BAD_INPUT } else { 0 });
        }
    };
    let units = arguments.command.units();
    match perform(arguments.command) {
        Ok(outcome) => print(&outcome),
        Err(error) => {
            let says = said(&error, units);
            let _ = writeln!(anstream::stderr(), "{}: {says}", style::foul("error"));
            ExitCode::from(BAD_INPUT)
        }
    }
}

/// An error with its causes, figures in the units asked for, else in both systems; a question about a mesh names the
/// option that answers it.
fn said(error: &anyhow::Error, units: Option<units::Units>) -> String {
    let causes = error.chain().map(|cause| {
        let Some(error) = cause.downcast_ref::<FileError>() else {
            return cause.to_string();
        };
        let says = error.says(&|question| Some(told::option(question).to_owned()));
        match units {
            Some(units) => units::sentence(&says, units),
            None => units::sentence_both(&says),
        }
    });
    causes.collect::<Vec<_>>().join(": ")
}

impl Command {
    /// The units that figures were asked for in; none where the command writes both systems.
    fn units(&self) -> Option<units::Units> {
        match self {
            Self::Check { units, .. }
            | Self::SetDown { units, .. }
            | Self::Shelf {
                command: shelf::ShelfCommand::List { units, .. },
                ..
            }
            | Self::Hull(
                HullCommand::Inspect { units, .. }
                | HullCommand::Import { units, .. }
                | HullCommand::Measure { units, .. },
            ) => Some((*units).into()),
            _ => None,
        }
    }
}

fn perform(command: Command) -> anyhow::Result<Outcome> {
    match command {
        Command::Check {
            job,
            json,
            units,
            all,
        } => check::check(&job, json, units.into(), all),
        Command::SetDown {
            job,
            command,
            units,
        } => set_down::perform(&job, command, units.into()),
        Command::Hull(HullCommand::Inspect {
            file,
            units,
            json,
            told,
        }) => inspect::inspect(&file, &told, units.into(), json),
        Command::Hull(HullCommand::Weigh { hull, tried, json }) => {
            weigh::weigh(&hull, &tried, json)
        }
        Command::Hull(HullCommand::Measure { families: true, .. }) => Ok(measure::families()),
        Command::Hull(HullCommand::Measure {
            file,
            told,
            out,
            units,
            json,
            ..
        }) => measure::measure(file.as_deref(), &told, out.as_deref(), units.into(), json),
        Command::Hull(HullCommand::Import {
            file,
            units,
            json,
            told,
            out,
        }) => intake::import(&file, &told, &out, units.into(), json),
        Command::Hull(HullCommand::Export { hull, out }) => intake::export(&hull, &out),
        Command::Shelf { command, shelf } => shelf::perform(command, shelf),
        Command::Schema { document } => {
            let schema = match document {
                Kind::Job => schema::job(),
                Kind::Rig => schema::rig(),
                Kind::Hull => schema::hull(),
                Kind::Measures => schema::measures(),
            };
            Ok(Outcome {
                text: schema::text(&schema),
                status: 0,
            })
        }
    }
}

/// Prints; a reader who has seen enough and closed the pipe is no error.
fn print(outcome: &Outcome) -> ExitCode {
    let mut out = anstream::stdout().lock();
    let written = out
        .write_all(outcome.text.as_bytes())
        .and_then(|()| out.flush());
    match written {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            let _ = writeln!(anstream::stderr(), "{}: {error}", style::foul("error"));
            ExitCode::from(BAD_INPUT)
        }
        _ => ExitCode::from(outcome.status),
    }
}
