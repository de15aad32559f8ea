//! The yard's own shelf of hulls on the command line.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use anyhow::bail;
use clap::Subcommand;
use keelstead_files::Silent;
use keelstead_files::open::open_hull;
use keelstead_files::shelf::{DiskShelf, Put, Shelved, ToShelve};
use keelstead_files::source::Disk;
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, write};

use crate::{Outcome, style};

/// What to do with the shelf.
#[derive(Subcommand)]
pub(crate) enum ShelfCommand {
    /// What stands on the shelf
    List {
        /// Units of figures
        #[arg(long, value_enum, default_value_t)]
        units: crate::Units,
        /// Print it as JSON, in SI units
        #[arg(long)]
        json: bool,
    },
    /// Put a described hull on the shelf, with its mesh
    Add {
        /// The hull description
        hull: PathBuf,
        /// Put it in the place of a hull of the same name
        #[arg(long)]
        replace: bool,
    },
    /// Take a hull off the shelf for good
    Remove {
        /// The hull, as `list` names it
        id: String,
    },
    /// Where the shelf is, or the description of a hull on it: for a job, or to copy and mail
    Path {
        /// The hull, as `list` names it
        id: Option<String>,
    },
}

/// Does it, on the shelf in `folder` or else the user's own.
pub(crate) fn perform(command: ShelfCommand, folder: Option<PathBuf>) -> anyhow::Result<Outcome> {
    let shelf = match folder {
        Some(folder) => DiskShelf::new(folder),
        None => DiskShelf::of_user()?,
    };
    let text = match command {
        ShelfCommand::List { json: true, .. } => {
            let mut text = serde_json::to_string_pretty(&shelf.list()?)?;
            text.push('\n');
            text
        }
        ShelfCommand::List { units, .. } => list(&shelf, units.into())?,
        ShelfCommand::Add { hull, replace } => add(&shelf, &hull, replace)?,
        ShelfCommand::Remove { id } => {
            shelf.remove(&id)?;
            format!("Removed: {id}\n")
        }
        ShelfCommand::Path { id: None } => format!("{}\n", shelf.folder().display()),
        ShelfCommand::Path { id: Some(id) } => format!("{}\n", shelf.get(&id)?.display()),
    };
    Ok(Outcome { text, status: 0 })
}

fn list(shelf: &DiskShelf, units: Units) -> anyhow::Result<String> {
    let hulls = shelf.list()?;
    if hulls.is_empty() {
        let folder = shelf.folder().display();
        return Ok(format!(
            "No hull on the shelf {folder}. Put one there with: keelstead shelf add HULL.json\n"
        ));
    }
    let mut say = String::new();
    for hull in &hulls {
        let _ = writeln!(say, "{}", line(hull, units));
    }
    Ok(say)
}

/// A hull of the list on one line.
fn line(hull: &Shelved, units: Units) -> String {
    let mut say = format!("{}  {}", style::heading(&hull.id), hull.name);
    if let Some(size_m) = hull.size_m {
        let [length, beam, height] = size_m.map(|m| write(Quantity::length(m), units));
        let _ = write!(say, ", {length} long, {beam} wide, {height} high");
    }
    if let Some(day) = hull.day() {
        let _ = write!(say, ", since {day}");
    }
    if let Some(trouble) = &hull.trouble {
        let _ = write!(say, "\n  {}: {trouble}", style::foul("cannot be used"));
    }
    say
}

fn add(shelf: &DiskShelf, hull: &Path, replace: bool) -> anyhow::Result<String> {
    let (disk, name) = Disk::around(hull)?;
    let opened = open_hull(&disk, &name, &Silent)?;
    match shelf.put(&ToShelve::new(&opened.hull, &opened.files, replace))? {
        Put::Done(entry) => Ok(format!(
            "On the shelf: {} as {}, {}\n",
            entry.name,
            entry.id,
            shelf.get(&entry.id)?.display()
        )),
        Put::Taken(there) => bail!(
            "a hull {} stands on the shelf already ({}), and is not written over; give this one another name in {}, \
             or use --replace",
            there.id,
            there.name,
            hull.display()
        ),
    }
}
