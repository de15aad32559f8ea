//! A mesh looked at and put right step by step, as far as its evidence and the answers go.

use keelstead::hull::{PartKind, PartUse};
use keelstead::math::{Pose, Vec3};
use keelstead::mesh::Mesh;

use super::close::{self, Rim};
use super::orient::{Sides, orient};
use super::parts::{self, Group};
use super::propose::{Bare, Lie, Told, lie};
use super::soup::{Removed, Soup};
use super::{Answers, Examined, FoundPart, Proposal, Slit, made, skins, slits, stand, trim, unit};
use crate::error::{FileError, Spot};
use crate::hull_file::{Axes, LengthUnit, guess_kind};
use crate::mesh_file::MeshFile;

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
    pub changed: Vec<String>,
    pub left: Vec<String>,
}

/// Looks at a mesh.
///
/// # Errors
/// [`FileError::Fault`] if nothing is left of the mesh, or an answer contradicts it or another.
pub(super) fn look(file: MeshFile, name: &str, answers: &Answers) -> Result<Looked, FileError> {
    let fault = |found: String, expected: &str, advice: &str| {
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
    let stated = file.unit;
    let (mut soup, removed) = Soup::new(file.parts);
    let mut sides = orient(&mut soup);
    let (triangles, rim) = bare(&soup, &sides);
    let mesh = Mesh::new(soup.positions.clone(), triangles)
        .map_err(|error| fault(error.to_string(), "a surface", "Export the hull again"))?;
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
    let mut looked = Looked {
        hull_from_file: Pose::identity(),
        groups: Vec::new(),
        caps: Vec::new(),
        changed: Vec::new(),
        left: Vec::new(),
        soup: Soup::default(),
        sides: Sides::default(),
        examined,
    };
    let scale = looked.metres(answers).unwrap_or(1.0);
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
    looked.put_right(answers).map_err(|found| {
        fault(
            found,
            "parts by the names that are proposed",
            "Name the parts as they are listed",
        )
    })?;
    Ok(looked)
}

/// Whether the answers can be, each and together.
fn sound(answers: &Answers) -> Result<(), String> {
    let quarter = std::f64::consts::FRAC_PI_2;
    for (what, angle) in [
        ("heel", answers.heel_rad),
        ("yaw", answers.yaw_rad),
        ("trim", answers.trim_rad),
    ] {
        if let Some(angle) = angle
            && (angle.is_nan() || angle.abs() >= quarter)
        {
            return Err(format!("a {what} of {} degrees", angle.to_degrees()));
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
            return Err(format!("a {what} of {length} m"));
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
            format!("it does not matter: scaled to {length_m} m over all"),
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

impl Looked {
    /// Length of the file's unit, m, if it is known without the mesh upright.
    fn metres(&self, answers: &Answers) -> Option<f64> {
        if let Some(length_m) = answers.length_m {
            let [low, high] = self.soup.bounds();
            // Before up and bow are settled the longest side is as good as any.
            let length = if self.groups.is_empty() {
                (high - low).max_element()
            } else {
                high.x - low.x
            };
            return (length > 0.0 && length.is_finite()).then(|| length_m / length);
        }
        self.examined.unit.value.map(LengthUnit::metres)
    }

    /// All that needs up and bow, if they are settled; parts by their names in any case.
    fn put_right(&mut self, answers: &Answers) -> Result<(), String> {
        let axes = self
            .examined
            .up
            .value
            .zip(self.examined.forward.value)
            .filter(|(up, forward)| up.index() != forward.index())
            .map(|(up, forward)| Axes { forward, up });
        if let Some(axes) = axes {
            self.stand(axes, answers);
        }
        self.groups = parts::group(&mut self.soup, &self.sides, axes.is_some(), answers);
        let gone = parts::answered(&mut self.groups, answers)?;
        self.soup.names = self.groups.iter().map(|g| g.name.clone()).collect();
        self.examined.parts = self.found_parts();
        self.take_out(&gone);
        if axes.is_some() {
            self.trim(answers);
            let scale = self.metres(answers);
            self.slits(answers, scale);
            self.holes(answers, scale);
            if answers.close_deck {
                self.close_deck();
            }
        }
        Ok(())
    }

    fn stand(&mut self, axes: Axes, answers: &Answers) {
        stand::place(&mut self.soup, axes, &mut self.changed);
        let middle = self.examined.middle.as_ref();
        let (heel, yaw, askew) = stand::askew(&self.soup, axes, middle, answers);
        (self.examined.heel_rad, self.examined.yaw_rad) = (heel, yaw);
        if middle.is_none() {
            self.left.push(
                "The two sides differ, so no middle plane was found: heel was not taken out, and the middle of the \
                 beam is taken for the centreline."
                    .into(),
            );
        }
        let upright = stand::upright(&mut self.soup, &askew, &mut self.changed);
        self.hull_from_file = upright * Pose::from_parts(Vec3::ZERO, stand::hull_from_axes(axes));
        if answers.mirror == Some(true) && self.examined.half.value == Some(true) {
            let doubled = made::mirrored(&mut self.soup);
            self.sides = orient(&mut self.soup);
            self.changed.push(format!(
                "Mirrored in the middle plane: {doubled} triangles added."
            ));
        }
    }

    /// Takes out what a person says is not of the boat.
    fn take_out(&mut self, gone: &[bool]) {
        if !gone.contains(&true) {
            return;
        }
        let part = &self.soup.part;
        let kept: Vec<bool> = part.iter().map(|&p| !gone[p as usize]).collect();
        self.soup.keep(|i| kept[i]);
        self.sides = orient(&mut self.soup);
        for (group, _) in self.groups.iter().zip(gone).filter(|(_, gone)| **gone) {
            self.changed
                .push(format!("\"{}\" taken out, as told.", group.name));
        }
    }

    fn trim(&mut self, answers: &Answers) {
        let level = answers
            .level
            .map(|points| points.map(|p| self.hull_from_file * Vec3::from_array(p)));
        let of_hull = |kind: Option<PartKind>| {
            matches!(
                kind,
                Some(PartKind::Body | PartKind::Keel | PartKind::Skeg | PartKind::Cabin)
            )
        };
        let body: Vec<bool> = self.groups.iter().map(|g| of_hull(g.kind.value)).collect();
        let soup = &self.soup;
        let trim = trim::trim(soup, |i| body[soup.part[i] as usize], level, answers);
        let trim_rad = trim.value.unwrap_or(0.0);
        if trim_rad == 0.0 {
            self.left
                .push(format!("The trim is as the file has it: {}.", trim.because));
        }
        self.examined.trim_rad = trim;
        let turned = stand::trimmed(&mut self.soup, trim_rad, &mut self.changed);
        self.hull_from_file = turned * self.hull_from_file;
    }

    fn slits(&mut self, answers: &Answers, scale: Option<f64>) {
        let [low, high] = self.soup.bounds();
        let usual = slits::LOOKED_FOR * (high - low).max_element();
        let told = answers
            .join_slits_m
            .zip(scale)
            .map(|(width_m, scale)| width_m / scale);
        let mm = 1000.0 * scale.unwrap_or(1.0);
        let found = match told {
            Some(width) => slits::join(&mut self.soup, &mut self.sides, width),
            None => slits::slits(&self.soup, &self.sides, usual),
        };
        for slit in found.iter().take(6) {
            let of = format!(
                "up to {:.2} mm wide and {:.3} m long",
                mm * slit.width,
                0.001 * mm * slit.length
            );
            match told {
                Some(_) => self.changed.push(format!("A slit {of} was joined.")),
                None => self.left.push(format!(
                    "A slit {of} was left open; its sides can be joined."
                )),
            }
        }
        let back = |p: [f64; 3]| {
            let p = Vec3::from_array(p);
            self.hull_from_file.inverse_transform_point(p).to_array()
        };
        let in_file = |slit: Slit| Slit {
            ends: slit.ends.map(back),
            ..slit
        };
        self.examined.slits = found.into_iter().map(in_file).collect();
    }

    fn holes(&mut self, answers: &Answers, scale: Option<f64>) {
        let Some(most) = answers
            .close_holes_m
            .zip(scale)
            .map(|(size_m, scale)| size_m / scale)
        else {
            return;
        };
        let small = |rim: &Rim| rim.size().max_element() <= most;
        let [filled, failed] = close::fill(&mut self.soup, &mut self.sides, small);
        if filled > 0 {
            self.changed
                .push(format!("{filled} small holes closed with skin."));
        }
        if failed > 0 {
            self.left.push(format!(
                "{failed} small holes could not be closed: their rims cross themselves."
            ));
        }
    }

    /// Closes the openings upward, each by a part of its own that counts for volume alone.
    fn close_deck(&mut self) {
        let bounds = self.body_bounds();
        let decks: Vec<Rim> = close::openings(&self.soup, &self.sides)
            .into_iter()
            .filter(|rim| rim.is_deck(bounds))
            .collect();
        if decks.is_empty() {
            self.left
                .push("No opening faces up, so none was closed for volume.".into());
        }
        for rim in decks {
            let Some(triangles) = close::cap(&self.soup, &rim) else {
                self.left.push(format!(
                    "An opening with {} open edges faces up, but its rim crosses itself as seen from above and could \
                     not be closed.",
                    rim.edges()
                ));
                continue;
            };
            let number = self.soup.names.len();
            let name = (1..)
                .map(|n| {
                    if n == 1 {
                        "deck cap".to_owned()
                    } else {
                        format!("deck cap {n}")
                    }
                })
                .find(|name| !self.soup.names.contains(name))
                .unwrap_or_default();
            let area = close::area(&self.soup, &triangles);
            self.groups.push(Group {
                name: name.clone(),
                kind: Proposal::decided(PartKind::Other, "it closes an opening upward"),
                part_use: Proposal::decided(PartUse::VolumeOnly, "nothing is there in truth"),
                triangles: triangles.len(),
            });
            self.soup.names.push(name);
            self.soup.triangles.extend_from_slice(&triangles);
            self.soup
                .part
                .resize(self.soup.triangles.len(), number as u32);
            self.caps.push((number, rim, area));
        }
    }

    fn body_bounds(&self) -> [Vec3; 2] {
        let body = |i: &usize| {
            let group = &self.groups[self.soup.part[*i] as usize];
            group.kind.value == Some(PartKind::Body)
        };
        let ends = [Vec3::splat(f64::INFINITY), Vec3::splat(f64::NEG_INFINITY)];
        (0..self.soup.triangles.len())
            .filter(body)
            .flat_map(|i| self.soup.corners(i))
            .fold(ends, |[lo, hi], p| [lo.min(p), hi.max(p)])
    }

    /// The groups with their boxes in the file's axes, largest first.
    fn found_parts(&self) -> Vec<FoundPart> {
        let ends = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        let mut boxes = vec![ends; self.groups.len()];
        let file_from_hull = self.hull_from_file.inverse();
        let in_file: Vec<Vec3> = self
            .soup
            .positions
            .iter()
            .map(|&p| file_from_hull * p)
            .collect();
        for (triangle, &part) in self.soup.triangles.iter().zip(&self.soup.part) {
            let (min, max) = &mut boxes[part as usize];
            for p in triangle.map(|i| in_file[i as usize].to_array()) {
                for k in 0..3 {
                    min[k] = min[k].min(p[k]);
                    max[k] = max[k].max(p[k]);
                }
            }
        }
        let mut found: Vec<FoundPart> = self
            .groups
            .iter()
            .zip(boxes)
            .map(|(group, (min, max))| FoundPart {
                name: group.name.clone(),
                kind: group.kind.clone(),
                part_use: group.part_use.clone(),
                triangles: group.triangles,
                min,
                max,
            })
            .collect();
        found.sort_by_key(|part| std::cmp::Reverse(part.triangles));
        found
    }
}
