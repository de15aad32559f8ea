//! A mesh looked at: what it most likely is, as far as its evidence and the answers go.

use keelstead_boat::hull::PartKind;
use keelstead_geometry::math::Pose;
use keelstead_geometry::mesh::Mesh;
use keelstead_units::quantity::{Quantity, Sentence};

use super::close::Rim;
use super::orient::{Sides, orient};
use super::parts::Group;
use super::propose::{Bare, Lie, Told, lie};
use super::soup::{Removed, Soup};
use super::{Answers, Asked, Examined, Proposal, ask, axis_word, skins, unit};
use crate::error::{FileError, Spot};
use crate::hull_file::{Axes, Axis, LengthUnit, guess_kind};
use crate::mesh_file::{Format, MeshFile};

/// Shells of less than this part of the largest one's area do not tell how the boat lies.
const MAIN: f64 = 0.3;

/// A mesh as far as it was put right: in the hull's directions once up and bow are settled, its length still the file's.
pub(super) struct Looked {
    pub soup: Soup,
    pub sides: Sides,
    pub examined: Examined,
    pub groups: Vec<Group>,
    /// Openings closed for volume, by the number of the part that closes each.
    pub caps: Vec<(usize, Rim, f64)>,
    /// What was done to the file's points, lengths in the file's unit.
    pub hull_from_file: Pose,
    /// What only a person can say.
    pub open: Vec<Asked>,
    /// The answers given, and the likeliest wherever a question is open.
    pub drawn: Answers,
    pub changed: Vec<Sentence>,
    pub left: Vec<Sentence>,
}

/// Looks at a mesh.
///
/// # Errors
/// [`FileError::Fault`] if nothing is left of the mesh, or an answer contradicts it or another.
pub(super) fn look(file: MeshFile, name: &str, answers: &Answers) -> Result<Looked, FileError> {
    let fault = |found: Sentence, expected: &str, advice: &str| {
        FileError::fault(name, Spot::Whole, found, expected, advice)
    };
    sound(answers).map_err(|found| {
        fault(
            found,
            "one answer that can be",
            "Correct it, or leave it out to be proposed",
        )
    })?;
    let told = told(&file, answers);
    if let (Some(up), Some(forward)) = (told.up, told.forward)
        && up.index() == forward.index()
    {
        return Err(fault(
            "up and forward lie along the same axis".into(),
            "two different axes",
            "Look along which axis the bow points, and which is up",
        ));
    }
    table_says(&file, answers).map_err(|found| {
        fault(
            found,
            "what the table itself says",
            "Leave that answer out, or correct the table",
        )
    })?;
    let stated = file.unit;
    let (mut soup, removed) = Soup::new(file.parts);
    let mut sides = orient(&mut soup);
    let (triangles, rim) = bare(&soup, &sides);
    let mesh = Mesh::new(soup.positions.clone(), triangles).map_err(|error| {
        fault(
            error.to_string().into(),
            "a surface",
            "Export the hull again",
        )
    })?;
    let lies = lie(
        &Bare {
            mesh: &mesh,
            rim: &rim,
        },
        told,
    );
    let longest = mesh.aabb().extents().max_element();
    drop(mesh);
    let pairs = skins::pairs(&soup, &sides);
    let skin = skins::proposal(&pairs, answers);
    let mut examined = examined(unit(stated, longest, answers), lies, &sides, removed);
    (examined.skins, examined.skin) = (pairs, skin);
    let open = ask::open(&examined, answers);
    let drawn = ask::as_drawn(answers, &open);
    let mut looked = Looked {
        hull_from_file: Pose::identity(),
        groups: Vec::new(),
        caps: Vec::new(),
        changed: Vec::new(),
        left: Vec::new(),
        soup: Soup::default(),
        sides: Sides::default(),
        examined,
        open,
        drawn,
    };
    let scale = looked.metres(&soup).unwrap_or(1.0);
    if let Some(keep) = looked.examined.skin.value {
        let says = [&mut looked.changed, &mut looked.left];
        skins::taken_out(
            &mut soup,
            &mut sides,
            &looked.examined.skins,
            keep,
            scale,
            says,
        );
    }
    (looked.soup, looked.sides) = (soup, sides);
    looked.put_right().map_err(|found| {
        fault(
            found,
            "answers that fit the mesh and each other",
            "Name parts as they are listed, take places as the file has them",
        )
    })?;
    Ok(looked)
}

/// Whether the answers can be, each and together.
fn sound(answers: &Answers) -> Result<(), Sentence> {
    let quarter = std::f64::consts::FRAC_PI_2;
    for (what, angle) in [
        ("heel", answers.heel_rad),
        ("yaw", answers.yaw_rad),
        ("trim", answers.trim_rad),
    ] {
        if let Some(angle) = angle
            && (angle.is_nan() || angle.abs() >= quarter)
        {
            return Err(Sentence::new(format!("a {what} of")).figure(Quantity::angle(angle)));
        }
    }
    for (what, length) in [
        ("length over all", answers.length_m),
        ("width of slits", answers.join_slits_m),
        ("size of holes", answers.close_holes_m),
    ] {
        if let Some(length) = length
            && (length <= 0.0 || !length.is_finite())
        {
            return Err(Sentence::new(format!("a {what} of")).length(length));
        }
    }
    match answers.level {
        Some(_) if answers.trim_rad.is_some() => {
            Err("a trim and two points that are level, of which one tells the other".into())
        }
        Some([a, b]) if !a.iter().chain(&b).all(|c| c.is_finite()) || a == b => {
            Err("two points that are level, but the same or not finite".into())
        }
        _ => Ok(()),
    }
}

/// A table of offsets and a measures document say their unit and how they lie: nobody knows better.
fn table_says(file: &MeshFile, answers: &Answers) -> Result<(), Sentence> {
    if !matches!(file.format, Format::Offsets | Format::Measures) {
        return Ok(());
    }
    let other = |told: Option<Axis>, stated: fn(&Axes) -> Axis| {
        let stated = file.axes.as_ref().map(stated);
        told.filter(|_| stated.is_some() && told != stated)
    };
    let up = other(answers.up, |axes| axes.up);
    let forward = other(answers.forward, |axes| axes.forward);
    if let Some(axis) = up.or(forward) {
        let what = if up.is_some() { "up" } else { "forward" };
        return Err(format!("{what} along {}", axis_word(axis)).into());
    }
    match (answers.unit, file.unit) {
        (Some(told), Some(stated)) if told != stated => {
            let (told, stated) = (told.word(), stated.word());
            Err(format!("{told} for a table in {stated}").into())
        }
        _ => Ok(()),
    }
}

fn told(file: &MeshFile, answers: &Answers) -> Told {
    let stated = file.axes.filter(|_| file.axes_stated);
    let stated_up = file
        .axes
        .filter(|_| file.axes_stated || file.format.states_up());
    Told {
        up: answers.up.or(stated_up.map(|axes| axes.up)),
        forward: answers.forward.or(stated.map(|axes| axes.forward)),
        by: if stated.is_some() || (stated_up.is_some() && answers.up.is_none()) {
            "the file states it"
        } else {
            "as told"
        },
    }
}

fn unit(stated: Option<LengthUnit>, longest: f64, answers: &Answers) -> Proposal<LengthUnit> {
    match (answers.unit, answers.length_m) {
        (Some(unit), _) => Proposal::decided(unit, "as told"),
        (None, Some(length_m)) => Proposal::decided(
            LengthUnit::Metre,
            Sentence::new("it does not matter: scaled to")
                .length(length_m)
                .words("over all"),
        ),
        _ => unit::unit(stated, longest),
    }
}

/// The triangles and open edges of the hull without rig, fittings and small shells, which would hide how she lies.
fn bare(soup: &Soup, sides: &Sides) -> (Vec<[u32; 3]>, Vec<[u32; 2]>) {
    let on_it: Vec<bool> = soup
        .names
        .iter()
        .map(|name| {
            guess_kind(name).is_some_and(|kind| {
                matches!(
                    kind,
                    PartKind::Mast
                        | PartKind::DeckGear
                        | PartKind::Propeller
                        | PartKind::Shaft
                        | PartKind::Rudder
                )
            })
        })
        .collect();
    let mut area = vec![0.0; sides.shells.len()];
    for i in 0..soup.triangles.len() {
        if !on_it[soup.part[i] as usize] {
            let [a, b, c] = soup.corners(i);
            area[sides.shell_of[i] as usize] += 0.5 * (b - a).cross(c - a).length();
        }
    }
    let largest = area.iter().copied().fold(0.0, f64::max);
    let all: f64 = sides.shells.iter().map(|s| s.area).sum();
    let large: f64 = area.iter().filter(|a| **a >= MAIN * largest).sum();
    let counts = |i: usize| {
        largest == 0.0
            || large < 0.5 * all
            || (!on_it[soup.part[i] as usize] && area[sides.shell_of[i] as usize] >= MAIN * largest)
    };
    let triangles = (0..soup.triangles.len())
        .filter(|&i| counts(i))
        .map(|i| soup.triangles[i])
        .collect();
    let rim = sides
        .rim
        .iter()
        .zip(&sides.rim_of)
        .filter(|(_, of)| counts(**of as usize))
        .map(|(edge, _)| *edge)
        .collect();
    (triangles, rim)
}

fn examined(unit: Proposal<LengthUnit>, lies: Lie, sides: &Sides, removed: Removed) -> Examined {
    let open = || Proposal::open(Vec::new(), "up and bow are open");
    Examined {
        unit,
        up: lies.up,
        forward: lies.forward,
        half: lies.half,
        middle: lies.middle,
        heel_rad: open(),
        yaw_rad: open(),
        trim_rad: open(),
        sides: sides.clone(),
        removed,
        skins: Vec::new(),
        skin: Proposal::decided(super::Skin::Both, "no two skins run side by side"),
        slits: Vec::new(),
        parts: Vec::new(),
    }
}
