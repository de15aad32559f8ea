//! From a mesh file's unit and axes to the hull frame: metres, bow along x, port along y, up
//! along z, origin at the aft end of the keel.

use std::sync::Arc;

use keelstead::fields::FieldProblem;
use keelstead::hull::{Hull, HullError, HullPart, PLAUSIBLE_LENGTH_M, PartKind, PartUse};
use keelstead::math::Vec3;
use keelstead::mesh::Mesh;
use keelstead::quantity::Quantity;
use keelstead::weigh::Weighed;

use crate::error::{FileError, Notice, Spot};
use crate::hull_file::{Axes, HullFile, LengthUnit, Origin, guess_kind};
use crate::mesh_file::{Format, MeshFile, MeshPart};
use crate::units::{sentence_both, write_both};

/// Widest boat that can be meant, m: wider ones go by water.
const PLAUSIBLE_WIDTH_M: f64 = 20.0;
/// Lengths that make a unit worth suggesting, m.
const LIKELY_LENGTH_M: std::ops::RangeInclusive<f64> = 2.0..=40.0;
/// The keel ends where the surface has risen by this part of its height.
const KEEL_END_RISE: f64 = 0.1;

/// The hull that `described`, standing in `path`, makes of a mesh file.
///
/// # Errors
/// [`FileError`] if the declared axes are no frame, the size is no boat's, a part has no kind
/// where one must be given, or the engine refuses a fact.
pub fn hull(
    described: &HullFile,
    path: &str,
    file: MeshFile,
) -> Result<(Hull, Vec<Notice>), FileError> {
    let turned = Turned::new(described.axes, path)?;
    as_the_file_says(described, path, &file)?;
    let mut notices = file.notices.clone();
    let kinds = kinds(described, path, &file, &mut notices)?;
    let fitted = file.format == Format::Measures;
    told_of_use(path, &file.parts, &kinds, &mut notices);
    let scale = described.unit.metres();
    // A description cannot know less of a fitted surface than the fit does.
    let fitted_m = file.tolerance * scale;
    let mut parts: Vec<(MeshPart, Vec<Vec3>)> = file
        .parts
        .into_iter()
        .map(|mut part| {
            let positions = std::mem::take(&mut part.positions);
            let placed = positions.iter().map(|&p| turned.apply(p) * scale).collect();
            (part, placed)
        })
        .collect();
    check_size(
        described,
        path,
        parts.iter().flat_map(|(_, placed)| placed),
        &mut notices,
    )?;
    let origin = match described.origin {
        Origin::At(point) => turned.apply(point) * scale,
        // A fitted surface lies in the hull frame already.
        Origin::AftEndOfKeel if fitted => Vec3::ZERO,
        Origin::AftEndOfKeel => aft_end_of_keel(
            parts
                .iter()
                .zip(&kinds)
                .filter(|(_, (kind, used))| kind.may_bear() && used.in_gaps())
                .map(|((part, placed), _)| (placed.as_slice(), part.triangles.as_slice())),
        )
        .ok_or_else(|| no_keel(path))?,
    };
    let hull_parts = parts
        .iter_mut()
        .zip(kinds)
        .map(|((part, placed), (kind, part_use))| {
            let vertices = placed.iter().map(|&p| p - origin).collect();
            let mesh =
                Mesh::new(vertices, std::mem::take(&mut part.triangles)).map_err(|error| {
                    let spot = Spot::Named(format!("part \"{}\"", part.name));
                    FileError::fault(&described.mesh, spot, error.to_string(), "", "")
                })?;
            Ok(HullPart {
                name: part.name.clone(),
                kind,
                part_use,
                mesh: Arc::new(mesh),
            })
        })
        .collect::<Result<Vec<_>, FileError>>()?;
    if fitted_m > MOST_OPEN_M {
        return Err(too_open(&described.mesh, fitted_m));
    }
    let mut facts = described.facts();
    facts.shape_tolerance_m = facts.shape_tolerance_m.max(fitted_m);
    let mut value = Hull::new(described.name.clone(), hull_parts, facts)
        .map_err(|error| refused(path, &error))?;
    if let Some(weighing) = &described.weighing {
        value = value
            .weighed_by(weighing)
            .map_err(|problem| weighed_wrong(path, &problem))?;
        if let Some(weighed) = &value.weighed {
            notices.extend(
                taken(weighed)
                    .into_iter()
                    .map(|says| Notice::new(path, says)),
            );
        }
    }
    Ok((value, notices))
}

/// A figure of the weighing that cannot be right.
fn weighed_wrong(path: &str, problem: &FieldProblem) -> FileError {
    FileError::Contradiction {
        path: path.to_owned(),
        problems: vec![format!("at weighing.{problem}")],
    }
}

/// What was taken for weight and centre, and what speaks against it.
fn taken(weighed: &Weighed) -> Vec<String> {
    let mut says = Vec::new();
    if let Some((source, mass)) = weighed.mass {
        says.push(format!(
            "weight by {}: {} \u{b1} {}",
            source.words(),
            write_both(Quantity::mass(mass.mass_kg)),
            write_both(Quantity::mass(mass.tolerance_kg)),
        ));
    }
    if let Some((source, centre)) = weighed.centre {
        says.push(format!(
            "centre of gravity by {}: {} forward of the origin \u{b1} {}",
            source.words(),
            write_both(Quantity::length(centre.at.x_m)),
            write_both(Quantity::length(centre.tolerance.x_m)),
        ));
    }
    let disagreements = weighed.disagreements.iter().map(|d| &d.says);
    let untold = weighed.untold.iter().map(|u| &u.says);
    says.extend(
        disagreements
            .chain(untold)
            .chain(&weighed.notes)
            .map(sentence_both),
    );
    says
}

/// A surface that measures leave this open, m, tells nothing of a gap.
const MOST_OPEN_M: f64 = 1.0;

fn too_open(mesh: &str, fitted_m: f64) -> FileError {
    FileError::fault(
        mesh,
        Spot::Whole,
        format!("the measures leave the surface open by {fitted_m:.2} m"),
        format!("{MOST_OPEN_M} m at most"),
        "Measure more: keelstead hull measure says what would help most",
    )
}

/// Refuses a unit or axes other than those the file states, where it cannot be read otherwise.
fn as_the_file_says(described: &HullFile, path: &str, file: &MeshFile) -> Result<(), FileError> {
    let stated = file.unit.zip(file.axes);
    let Some((unit, axes)) = stated.filter(|_| file.format.states_axes()) else {
        return Ok(());
    };
    let word = file.format.word();
    let wrong = |field: &str, found: String, expected: String| {
        let spot = Spot::Json {
            path: field.into(),
            line: 0,
            column: 0,
        };
        let advice = format!("Write it so, or correct the {word}");
        Err(FileError::fault(path, spot, found, expected, advice))
    };
    if described.unit != unit {
        let found = format!("\"{}\"", described.unit.word());
        let expected = format!("\"{}\", as {} says", unit.word(), described.mesh);
        return wrong("unit", found, expected);
    }
    if described.axes != axes {
        let found = format!("axes other than those of a {word}");
        let expected = format!("\"forward\": \"+x\", \"up\": \"+z\" for a {word}");
        return wrong("axes", found, expected);
    }
    Ok(())
}

fn no_keel(path: &str) -> FileError {
    FileError::fault(
        path,
        Spot::Json {
            path: "origin".into(),
            line: 0,
            column: 0,
        },
        "no part that may carry the boat (body, keel, skeg) crosses the middle plane",
        "a keel to measure from",
        "Say which part is the body or the keel under \"parts\", or give \"origin\": {\"at\": [x, y, z]}",
    )
}

fn refused(path: &str, error: &HullError) -> FileError {
    FileError::Contradiction {
        path: path.to_owned(),
        problems: vec![match error {
            HullError::Field(problem) => format!("at {problem}"),
            other => other.to_string(),
        }],
    }
}

/// Rows that take the mesh file's axes to forward, port and up.
struct Turned {
    forward: Vec3,
    port: Vec3,
    up: Vec3,
}

impl Turned {
    fn new(axes: Axes, path: &str) -> Result<Self, FileError> {
        if axes.forward.index() == axes.up.index() {
            return Err(FileError::fault(
                path,
                Spot::Json {
                    path: "axes".into(),
                    line: 0,
                    column: 0,
                },
                "forward and up lie along the same axis",
                "two different axes",
                "Look at the mesh in a viewer: along which axis does the bow point, and which is up?",
            ));
        }
        let forward = Vec3::from_array(axes.forward.vector());
        let up = Vec3::from_array(axes.up.vector());
        Ok(Self {
            forward,
            port: up.cross(forward),
            up,
        })
    }

    fn apply(&self, point: [f64; 3]) -> Vec3 {
        let point = Vec3::from_array(point);
        Vec3::new(
            self.forward.dot(point),
            self.port.dot(point),
            self.up.dot(point),
        )
    }
}

/// What each part is and counts for: by the rules, else by its name.
fn kinds(
    described: &HullFile,
    path: &str,
    file: &MeshFile,
    notices: &mut Vec<Notice>,
) -> Result<Vec<(PartKind, PartUse)>, FileError> {
    let parts = &file.parts;
    for rule in &described.parts {
        if !parts.iter().any(|part| rule.fits(&part.name)) {
            let names: Vec<_> = parts.iter().map(|part| part.name.as_str()).collect();
            let says = format!(
                "no part of {} is called \"{}\"; there are: {}",
                described.mesh,
                rule.node,
                names.join(", ")
            );
            notices.push(Notice::new(path, says));
        }
    }
    parts
        .iter()
        .map(|part| {
            if let Some(rule) = described.parts.iter().find(|rule| rule.fits(&part.name)) {
                return Ok((rule.kind, rule.part_use));
            }
            // What parts a family has, its names say.
            let stated = guess_kind(&part.name).filter(|_| file.format == Format::Measures);
            if let Some(kind) = stated {
                let part_use = match file.guessed.contains(&part.name) {
                    true => PartUse::Guessed,
                    false => PartUse::Checked,
                };
                return Ok((kind, part_use));
            }
            if described.strict_parts {
                return Err(FileError::fault(
                    path,
                    Spot::Json {
                        path: "parts".into(),
                        line: 0,
                        column: 0,
                    },
                    format!(
                        "no rule fits the part \"{}\" of {}",
                        part.name, described.mesh
                    ),
                    "a rule for every part, since strict_parts is true",
                    "Add {\"node\": …, \"kind\": …} for it",
                ));
            }
            // A file of one part is the boat itself, whatever it is called.
            let (kind, why) = match guess_kind(&part.name) {
                _ if parts.len() == 1 => (PartKind::Body, "it is the only part"),
                Some(kind) => (kind, "from its name"),
                None => (
                    PartKind::Other,
                    "its name tells nothing, so nothing may bear on it",
                ),
            };
            let says = format!(
                "part \"{}\" is taken as {} ({why}); say what it is under \"parts\"",
                part.name,
                kind_word(kind)
            );
            notices.push(Notice::new(path, says));
            Ok((kind, PartUse::Checked))
        })
        .collect()
}

/// Says which parts are not wholly checked: nothing is left out in silence.
fn told_of_use(
    path: &str,
    parts: &[MeshPart],
    kinds: &[(PartKind, PartUse)],
    notices: &mut Vec<Notice>,
) {
    for (part_use, says) in [
        (
            PartUse::LeftOut,
            "left out of every check, as not on the boat",
        ),
        (
            PartUse::Guessed,
            "of unmeasured place, so never clear unless far off",
        ),
        (
            PartUse::HeightOnly,
            "kept for height, width, length and wind, but no gap to the rig is measured",
        ),
    ] {
        let names: Vec<String> = parts
            .iter()
            .zip(kinds)
            .filter(|(_, (_, used))| *used == part_use)
            .map(|(part, _)| format!("\"{}\"", part.name))
            .collect();
        if !names.is_empty() {
            notices.push(Notice::new(path, format!("{says}: {}", names.join(", "))));
        }
    }
}

/// The kind's word as it stands in a hull description.
fn kind_word(kind: PartKind) -> String {
    serde_json::to_value(kind)
        .ok()
        .and_then(|word| word.as_str().map(str::to_owned))
        .unwrap_or_default()
}

/// Refuses what is no boat's size, and says which unit would make it one.
fn check_size<'a>(
    described: &HullFile,
    path: &str,
    points: impl Iterator<Item = &'a Vec3>,
    notices: &mut Vec<Notice>,
) -> Result<(), FileError> {
    let (mut low, mut high) = (Vec3::splat(f64::INFINITY), Vec3::splat(f64::NEG_INFINITY));
    for &point in points {
        low = low.min(point);
        high = high.max(point);
    }
    let size = high - low;
    let (shortest, longest) = PLAUSIBLE_LENGTH_M;
    let longest_edge = size.max_element();
    let sound = size.is_finite()
        && (shortest..=longest).contains(&longest_edge)
        && size.y <= PLAUSIBLE_WIDTH_M;
    if !sound {
        let unit = described.unit.word();
        return Err(FileError::UnitLooksWrong {
            path: path.to_owned(),
            found: format!(
                "read in {} the hull is {} m long and {} m wide",
                plural(unit),
                metres(size.x),
                metres(size.y)
            ),
            advice: unit_advice(size, described.unit),
        });
    }
    if size.y > size.x {
        let says = format!(
            "the hull comes out wider ({} m) than long ({} m): check \"axes\"",
            metres(size.y),
            metres(size.x)
        );
        notices.push(Notice::new(path, says));
    }
    Ok(())
}

fn plural(unit: &str) -> String {
    match unit {
        "inch" => "inches".into(),
        "foot" => "feet".into(),
        other => format!("{other}s"),
    }
}

fn unit_advice(size_m: Vec3, declared: LengthUnit) -> String {
    let fitting: Vec<String> = LengthUnit::ALL
        .into_iter()
        .filter(|&unit| unit != declared)
        .filter_map(|unit| {
            let length_m = size_m.max_element() / declared.metres() * unit.metres();
            LIKELY_LENGTH_M.contains(&length_m).then(|| {
                format!(
                    "in {} it would be {} m: set \"unit\": \"{}\"",
                    plural(unit.word()),
                    metres(length_m),
                    unit.word()
                )
            })
        })
        .collect();
    if fitting.is_empty() {
        return "No unit makes it a boat: check that this is the right mesh, exported at full size"
            .into();
    }
    let mut advice = fitting.join("; or ");
    if let Some(first) = advice.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    advice
}

/// A length for a message, with separators: 12,000.0.
fn metres(value_m: f64) -> String {
    let text = crate::units::grouped(value_m, 1);
    if value_m.abs() < 0.05 {
        format!("{value_m:.4}")
    } else {
        text
    }
}

/// The aft end of the keel of parts given as vertices and triangles; see [`Origin::AftEndOfKeel`].
fn aft_end_of_keel<'a>(
    parts: impl Iterator<Item = (&'a [Vec3], &'a [[u32; 3]])> + Clone,
) -> Option<Vec3> {
    let ys = parts
        .clone()
        .flat_map(|(vertices, _)| vertices)
        .map(|v| v.y);
    let (least, greatest) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), y| {
        (lo.min(y), hi.max(y))
    });
    let middle = 0.5 * (least + greatest);
    let cuts: Vec<[Vec3; 2]> = parts
        .flat_map(|(vertices, triangles)| {
            triangles
                .iter()
                .filter_map(move |corners| cut(corners.map(|i| vertices[i as usize]), middle))
        })
        .collect();
    let heights = || cuts.iter().flatten().map(|p| p.z);
    let lowest = heights().reduce(f64::min)?;
    let level = lowest + KEEL_END_RISE * (heights().reduce(f64::max)? - lowest);
    let x = cuts
        .iter()
        .filter_map(|[a, b]| {
            let (below, above) = if a.z <= b.z { (a, b) } else { (b, a) };
            if below.z > level {
                return None;
            }
            if above.z <= level {
                return Some(below.x.min(above.x));
            }
            let share = (level - below.z) / (above.z - below.z);
            Some(below.x.min(below.x + share * (above.x - below.x)))
        })
        .reduce(f64::min)?;
    Some(Vec3::new(x, middle, lowest))
}

/// Where the plane y = `y` cuts a triangle.
fn cut(corners: [Vec3; 3], y: f64) -> Option<[Vec3; 2]> {
    let mut ends: Vec<Vec3> = Vec::with_capacity(3);
    for i in 0..3 {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        if a.y == y {
            ends.push(a);
        } else if (a.y < y) != (b.y < y) && b.y != y {
            ends.push(a + (b - a) * ((y - a.y) / (b.y - a.y)));
        }
    }
    match ends[..] {
        [a] => Some([a, a]),
        [a, b] => Some([a, b]),
        // The triangle lies in the plane: its extent is that of its edges.
        [a, b, c] => {
            let least = if a.x <= b.x && a.x <= c.x {
                a
            } else if b.x <= c.x {
                b
            } else {
                c
            };
            let lowest = if a.z <= b.z && a.z <= c.z {
                a
            } else if b.z <= c.z {
                b
            } else {
                c
            };
            Some([least, lowest])
        }
        _ => None,
    }
}
