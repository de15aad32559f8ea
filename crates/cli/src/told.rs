//! What a person says of a mesh on the command line.

use clap::{Args, ValueEnum};
use keelstead_files::hull_file::{Axis, LengthUnit};
use keelstead_files::intake::{Answers, PartAnswer, Question, Skin, axis_word};
use keelstead_units::{Units, parse_length};

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
    /// Scale to this length over all, as measured from stem to stern without mast and gear: 9.42m, 31ft
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

/// The option that answers a question about a mesh.
pub(crate) fn option(question: Question) -> &'static str {
    match question {
        Question::Unit => "--unit",
        Question::Length => "--scale-length",
        Question::Up => "--up",
        Question::Forward => "--forward",
        Question::Half => "--mirror or --whole",
    }
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
             other), no use (checked, guessed, height-only, left-out, volume-only) and not \"remove\""
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
