//! Parts of an imported hull: by the nodes of its file and the shells of each, named and told apart.

use std::collections::HashMap;

use keelstead_boat::hull::{PartKind, PartUse};
use keelstead_geometry::math::Vec3;
use keelstead_units::quantity::Sentence;

use super::kinds::{Piece, by_shape, usual_use};
use super::orient::Sides;
use super::soup::Soup;
use super::{Answers, Proposal};
use crate::hull_file::guess_kind;

/// Shells shorter than this part of the boat go together.
const SMALL: f64 = 0.02;
/// At most so many shells become parts that nobody can name.
const MOST_SHELLS: usize = 24;

/// A part as it is proposed.
#[derive(Debug, Clone)]
pub(super) struct Group {
    pub name: String,
    pub kind: Proposal<PartKind>,
    pub part_use: Proposal<PartUse>,
    pub triangles: usize,
}

/// A shell of a node.
struct OfNode {
    node: u32,
    shell: u32,
    piece: Piece,
    triangles: usize,
}

/// What a shell of a node goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Label {
    /// It stays with its node.
    Main,
    /// With others of its kind.
    Kind(PartKind),
    /// On its own, by the number of its shell.
    Own(u32),
    /// With other small ones.
    Small,
}

/// Parts a soup into what is proposed, and lets every triangle know its part; `upright` tells whether it stands in the
/// hull's directions, so that shapes tell something.
pub(super) fn group(
    soup: &mut Soup,
    sides: &Sides,
    upright: bool,
    answers: &Answers,
) -> Vec<Group> {
    let (pieces, piece_of) = pieces(soup, sides);
    let named: Vec<Option<PartKind>> = soup.names.iter().map(|name| guess_kind(name)).collect();
    let Some(body) = body(&pieces, &named) else {
        return Vec::new();
    };
    let labels = labels(&pieces, &named, &body, upright, answers.separate);
    let mut index: HashMap<(u32, Label), u32> = HashMap::new();
    let mut keys: Vec<(u32, Label)> = Vec::new();
    let mut whole: Vec<(Piece, usize)> = Vec::new();
    let group_of: Vec<u32> = pieces
        .iter()
        .zip(labels)
        .map(|(of, label)| {
            let key = (of.node, label);
            if let Some(&at) = index.get(&key) {
                let (sum, count) = &mut whole[at as usize];
                *sum = together(*sum, of.piece);
                *count += of.triangles;
                return at;
            }
            index.insert(key, keys.len() as u32);
            keys.push(key);
            whole.push((of.piece, of.triangles));
            keys.len() as u32 - 1
        })
        .collect();
    soup.part = piece_of.iter().map(|&p| group_of[p as usize]).collect();
    let one_node = soup.names.len() == 1;
    let mut groups: Vec<Group> = keys
        .iter()
        .zip(whole)
        .map(|(&(node, label), (piece, triangles))| {
            let kind = kind(label, named[node as usize], &piece, &body, upright);
            Group {
                name: name(&soup.names[node as usize], label, one_node, keys.len()),
                part_use: usual_use(kind.value.unwrap_or(PartKind::Other)),
                kind,
                triangles,
            }
        })
        .collect();
    some_body(&mut groups);
    unique(&mut groups);
    soup.names = groups.iter().map(|g| g.name.clone()).collect();
    groups
}

/// The shells of each node, and which of them each triangle is of.
fn pieces(soup: &Soup, sides: &Sides) -> (Vec<OfNode>, Vec<u32>) {
    let mut index: HashMap<(u32, u32), u32> = HashMap::new();
    let mut pieces: Vec<OfNode> = Vec::new();
    let mut last = ((u32::MAX, u32::MAX), 0);
    let piece_of = (0..soup.triangles.len())
        .map(|i| {
            let key = (soup.part[i], sides.shell_of[i]);
            if last.0 != key {
                let at = *index.entry(key).or_insert_with(|| {
                    pieces.push(OfNode::none(key));
                    pieces.len() as u32 - 1
                });
                last = (key, at);
            }
            let of = &mut pieces[last.1 as usize];
            of.triangles += 1;
            let [a, b, c] = soup.corners(i);
            let piece = &mut of.piece;
            piece.low = piece.low.min(a).min(b).min(c);
            piece.high = piece.high.max(a).max(b).max(c);
            piece.area += 0.5 * (b - a).cross(c - a).length();
            piece.volume = piece.volume.map(|v| v + a.dot(b.cross(c)) / 6.0);
            last.1
        })
        .collect();
    for of in &mut pieces {
        let shell = &sides.shells[of.shell as usize];
        if !shell.closed || shell.triangles != of.triangles {
            of.piece.volume = None;
        }
    }
    (pieces, piece_of)
}

impl OfNode {
    fn none((node, shell): (u32, u32)) -> Self {
        let piece = Piece {
            low: Vec3::splat(f64::INFINITY),
            high: Vec3::splat(f64::NEG_INFINITY),
            area: 0.0,
            volume: Some(0.0),
        };
        Self {
            node,
            shell,
            piece,
            triangles: 0,
        }
    }
}

fn together(a: Piece, b: Piece) -> Piece {
    Piece {
        low: a.low.min(b.low),
        high: a.high.max(b.high),
        area: a.area + b.area,
        volume: a.volume.zip(b.volume).map(|(a, b)| a + b),
    }
}

/// What the others are seen against: the large shells of what is called hull, else the largest that is not called
/// something else.
fn body(pieces: &[OfNode], named: &[Option<PartKind>]) -> Option<Piece> {
    let of = |kind: Option<PartKind>| {
        let fits = move |p: &&OfNode| named[p.node as usize] == kind;
        pieces.iter().filter(fits)
    };
    let largest = |a: &&OfNode, b: &&OfNode| a.piece.area.total_cmp(&b.piece.area);
    if let Some(main) = of(Some(PartKind::Body)).max_by(largest) {
        // Fittings in the same node are no part of the shape.
        let large = of(Some(PartKind::Body)).filter(|p| p.piece.area >= 0.3 * main.piece.area);
        return large.map(|p| p.piece).reduce(together);
    }
    let main = of(None)
        .max_by(largest)
        .or_else(|| pieces.iter().max_by(largest));
    main.map(|p| p.piece)
}

fn labels(
    pieces: &[OfNode],
    named: &[Option<PartKind>],
    body: &Piece,
    upright: bool,
    separate: Option<bool>,
) -> Vec<Label> {
    let length = (body.high - body.low).max_element();
    let mut main: HashMap<u32, usize> = HashMap::new();
    for (i, piece) in pieces.iter().enumerate() {
        let first = main.entry(piece.node).or_insert(i);
        if piece.piece.area > pieces[*first].piece.area {
            *first = i;
        }
    }
    let mut own = 0;
    pieces
        .iter()
        .enumerate()
        .map(|(i, of)| {
            let telling = named[of.node as usize].is_some_and(|kind| kind != PartKind::Body);
            let stays = separate == Some(false) || (telling && separate.is_none());
            if main.get(&of.node) == Some(&i) || stays {
                return Label::Main;
            }
            let small = (of.piece.high - of.piece.low).max_element() < SMALL * length;
            let mut alone = || {
                own += usize::from(!small);
                if small || own > MOST_SHELLS {
                    Label::Small
                } else {
                    Label::Own(of.shell)
                }
            };
            if separate == Some(true) {
                return alone();
            }
            let shape = upright.then(|| by_shape(&of.piece, body));
            // Whatever it may be, it is no skin of the hull.
            let other = shape
                .as_ref()
                .is_some_and(|s| !s.choices.contains(&PartKind::Body));
            match shape.and_then(|s| s.value) {
                Some(PartKind::Body) => Label::Main,
                Some(kind) => Label::Kind(kind),
                None if other || apart(&of.piece, body) => alone(),
                None => Label::Main,
            }
        })
        .collect()
}

/// Whether two boxes do not meet.
fn apart(a: &Piece, b: &Piece) -> bool {
    !(a.low.cmple(b.high).all() && b.low.cmple(a.high).all())
}

fn kind(
    label: Label,
    named: Option<PartKind>,
    piece: &Piece,
    body: &Piece,
    upright: bool,
) -> Proposal<PartKind> {
    match (label, named) {
        (Label::Main, Some(kind)) => Proposal::decided(kind, "its name says so"),
        (Label::Main, None) if piece.area >= body.area => Proposal::decided(
            PartKind::Body,
            "the largest of what is not called otherwise",
        ),
        (Label::Small, _) => Proposal::open(
            vec![PartKind::Other],
            "small pieces that nothing is told of",
        ),
        _ if upright => by_shape(piece, body),
        _ => Proposal::open(
            vec![PartKind::Other],
            "up and bow are open, so its shape tells nothing",
        ),
    }
}

fn name(node: &str, label: Label, one_node: bool, groups: usize) -> String {
    let of_node = |what: String| {
        if one_node {
            what
        } else {
            format!("{node}, {what}")
        }
    };
    match label {
        Label::Main if one_node && groups > 1 && guess_kind(node).is_none() => "hull".into(),
        Label::Main => node.to_owned(),
        Label::Kind(kind) => of_node(kind_name(kind).into()),
        Label::Own(shell) => of_node(format!("shell {}", shell + 1)),
        Label::Small => of_node("small pieces".into()),
    }
}

/// What parts of a kind are called where the file does not say.
fn kind_name(kind: PartKind) -> &'static str {
    match kind {
        PartKind::Body => "hull",
        PartKind::Keel => "keel",
        PartKind::Skeg => "skeg",
        PartKind::Rudder => "rudder",
        PartKind::Propeller => "propeller",
        PartKind::Shaft => "shaft",
        PartKind::Strut => "strut",
        PartKind::Centreboard => "centreboard",
        PartKind::Cabin => "cabin",
        PartKind::DeckGear => "rails and gear",
        PartKind::Mast => "mast",
        PartKind::Other => "other",
    }
}

/// The largest part is the body if none is.
fn some_body(groups: &mut [Group]) {
    let is_body = |g: &Group| g.kind.value == Some(PartKind::Body);
    if !groups.iter().any(is_body)
        && let Some(largest) = groups.iter_mut().max_by_key(|g| g.triangles)
    {
        largest.kind = Proposal::decided(
            PartKind::Body,
            "the largest part, since none is called hull",
        );
        largest.part_use = usual_use(PartKind::Body);
    }
}

fn unique(groups: &mut [Group]) {
    for i in 0..groups.len() {
        let taken = |name: &str| groups[..i].iter().any(|g| g.name == name);
        if taken(&groups[i].name) {
            let name = groups[i].name.clone();
            let free = (2..).map(|n| format!("{name} {n}")).find(|n| !taken(n));
            groups[i].name = free.unwrap_or(name);
        }
    }
}

/// What a person says of the parts, done: renamed, of another kind or use; gives which are to be taken out.
///
/// # Errors
/// In words, if no part is called so, two would be called the same, or nothing would be left.
pub(super) fn answered(groups: &mut [Group], answers: &Answers) -> Result<Vec<bool>, Sentence> {
    let mut gone = vec![false; groups.len()];
    let proposed: Vec<String> = groups.iter().map(|g| g.name.clone()).collect();
    for answer in &answers.parts {
        let same = |name: &String| name.to_lowercase() == answer.name.to_lowercase();
        let Some(i) = proposed.iter().position(same) else {
            return Err(format!(
                "no part is called \"{}\"; there are: {}",
                answer.name,
                proposed.join(", ")
            )
            .into());
        };
        if answers
            .parts
            .iter()
            .filter(|other| same(&other.name))
            .count()
            > 1
        {
            return Err(format!("\"{}\" answered twice", answer.name).into());
        }
        let group = &mut groups[i];
        if let Some(kind) = answer.kind {
            group.kind = Proposal::decided(kind, "as told");
            group.part_use = usual_use(kind);
        }
        if let Some(part_use) = answer.part_use {
            group.part_use = Proposal::decided(part_use, "as told");
        }
        if let Some(name) = &answer.rename {
            group.name.clone_from(name);
        }
        gone[i] = answer.remove;
    }
    for (i, group) in groups.iter().enumerate() {
        if groups[..i].iter().any(|g| g.name == group.name) {
            return Err(format!("two parts would be called \"{}\"", group.name).into());
        }
    }
    if !groups.is_empty() && gone.iter().all(|g| *g) {
        return Err("every part would be taken out".into());
    }
    Ok(gone)
}
