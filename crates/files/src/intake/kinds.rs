//! What a piece of a boat is, by its shape and place.
//!
//! The proportions are those of usual yachts and workboats; common practice, no source. What fits none is open.

use keelstead_boat::hull::{PartKind, PartUse};
use keelstead_geometry::math::Vec3;

use super::Proposal;

/// What is measured of a piece. Hull directions, any unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub low: Vec3,
    pub high: Vec3,
    pub area: f64,
    /// Volume of the pieces it is of, if they are closed.
    pub volume: Option<f64>,
}

impl Piece {
    fn size(&self) -> Vec3 {
        self.high - self.low
    }

    fn centre(&self) -> Vec3 {
        (self.low + self.high) * 0.5
    }

    /// Diameter of a tube of this area and volume; none if it is open.
    fn tube(&self) -> Option<f64> {
        self.volume.map(|volume| 4.0 * volume.abs() / self.area)
    }

    /// Whether it is long and thin: by its box, or by how little it holds for its surface.
    fn thin(&self, length: f64) -> bool {
        let mut size = self.size().to_array();
        size.sort_by(f64::total_cmp);
        let by_box = size[1] < 0.2 * size[2] && size[1] < 0.05 * length;
        let by_volume = self
            .tube()
            .is_some_and(|d| d < 0.01 * length && d < 0.12 * size[2]);
        by_box || by_volume
    }
}

/// What a piece most likely is, seen against the body.
pub(super) fn by_shape(piece: &Piece, body: &Piece) -> Proposal<PartKind> {
    above(piece, body)
        .or_else(|| below(piece, body))
        .or_else(|| beside(piece, body))
        .or_else(|| hanging(piece, body))
        .unwrap_or_else(|| {
            Proposal::open(
                vec![
                    PartKind::Other,
                    PartKind::Body,
                    PartKind::Cabin,
                    PartKind::DeckGear,
                ],
                "neither its name nor its shape tells what it is; nothing may bear on it",
            )
        })
}

/// What stands on the boat.
fn above(piece: &Piece, body: &Piece) -> Option<Proposal<PartKind>> {
    let [length, beam, depth] = body.size().to_array();
    let (size, longest) = (piece.size(), piece.size().max_element());
    // Over the middle of the topsides: the sheer may dip below its ends.
    if piece.low.z < body.low.z + 0.5 * depth {
        return None;
    }
    let high = piece.high.z - body.high.z;
    let tall = size.z >= 0.9 * longest && size.z > 0.35 * length && piece.thin(length);
    if tall || (high > 0.4 * length && piece.thin(length)) {
        let because = format!(
            "thin and upright, {:.0} % of the length high",
            100.0 * size.z / length
        );
        return Some(Proposal::decided(PartKind::Mast, because));
    }
    let laid =
        size.x >= 0.95 * longest && size.x > 0.35 * length && size.y.max(size.z) < 0.04 * length;
    if laid && piece.centre().y.abs() < 0.2 * beam {
        return Some(Proposal::decided(
            PartKind::Mast,
            "a long thin spar over the deck, near the middle",
        ));
    }
    if piece.thin(length) && high < 0.4 * length {
        return Some(Proposal::decided(
            PartKind::DeckGear,
            "thin tubes at or over the sheer",
        ));
    }
    let house = size.x > 0.1 * length && size.y > 0.25 * beam && size.z > 0.02 * length;
    if house && piece.centre().y.abs() < 0.15 * beam && piece.high.z > body.high.z - 0.2 * depth {
        return Some(Proposal::decided(
            PartKind::Cabin,
            "broad, on the middle, standing on the deck",
        ));
    }
    let small = longest < 0.1 * length;
    small.then(|| Proposal::decided(PartKind::DeckGear, "small, at or over the sheer"))
}

/// What hangs below or behind the boat.
fn below(piece: &Piece, body: &Piece) -> Option<Proposal<PartKind>> {
    let [length, beam, depth] = body.size().to_array();
    let (size, centre) = (piece.size(), piece.centre());
    // From aft, in parts of the length.
    let from_aft = (centre.x - body.low.x) / length;
    let under = piece.low.z < body.low.z + 0.5 * depth && centre.z < body.low.z + 0.5 * depth;
    let inboard = centre.y.abs() < 0.5 * beam && size.y < 0.6 * beam;
    if !under || !inboard {
        return None;
    }
    let percent = 100.0 * from_aft;
    let middle = centre.y.abs() < 0.05 * beam;
    let disc = size.x < 0.6 * size.y && (size.y / size.z - 1.0).abs() < 0.35;
    if disc && from_aft < 0.45 && size.y < 0.15 * length {
        let because = format!("a disc across the boat, {percent:.0} % of the length from aft");
        return Some(Proposal::decided(PartKind::Propeller, because));
    }
    if size.x > 5.0 * size.y
        && size.y < 0.015 * length
        && size.z < 0.35 * size.x
        && piece.thin(length)
        && from_aft < 0.5
    {
        return Some(Proposal::decided(
            PartKind::Shaft,
            "a thin rod along the boat, under her aft half",
        ));
    }
    let plate = size.y < 0.4 * size.x.max(size.z) && size.y < 0.06 * length;
    if plate && from_aft < 0.14 && size.z > 0.7 * size.x && size.z > 0.02 * length {
        let because = format!("a thin blade {percent:.0} % of the length from aft");
        return Some(Proposal::decided(PartKind::Rudder, because));
    }
    let hangs =
        piece.low.z < body.low.z - 0.005 * length || piece.high.z < body.low.z + 0.3 * depth;
    if !(middle && hangs) {
        return None;
    }
    if size.y < 0.008 * length && size.x < 0.35 * length && (0.2..=0.75).contains(&from_aft) {
        return Some(Proposal::open(
            vec![PartKind::Centreboard, PartKind::Keel],
            "a thin plate below the body: a board that comes up, or a keel that bears?",
        ));
    }
    let narrow = size.y < 0.4 * beam && size.y < 0.8 * size.x;
    if narrow && (0.2..=0.75).contains(&from_aft) && size.x > 0.06 * length {
        let because = format!(
            "narrow, on the middle and below the body, {:.0} % of the length long",
            100.0 * size.x / length
        );
        return Some(Proposal::decided(PartKind::Keel, because));
    }
    if narrow && from_aft < 0.2 && size.x > size.z {
        let because = format!("a fin on the middle, {percent:.0} % of the length from aft");
        return Some(Proposal::decided(PartKind::Skeg, because));
    }
    None
}

/// What reaches below the body and is none of the usual: no skin of hers.
fn hanging(piece: &Piece, body: &Piece) -> Option<Proposal<PartKind>> {
    let length = body.size().x;
    (piece.low.z < body.low.z - 0.005 * length).then(|| {
        Proposal::open(
            vec![PartKind::Other, PartKind::Keel, PartKind::Skeg, PartKind::Rudder, PartKind::Strut],
            "it reaches below the body, and its shape does not tell what it is; nothing may bear on it",
        )
    })
}

/// What is of the boat's own size, or carries her.
fn beside(piece: &Piece, body: &Piece) -> Option<Proposal<PartKind>> {
    let [length, beam, depth] = body.size().to_array();
    let size = piece.size();
    let within =
        piece.low.z > body.low.z - 0.02 * length && piece.high.z < body.high.z + 0.15 * length;
    if within && size.x > 0.7 * length && piece.area > 0.15 * body.area {
        return Some(Proposal::decided(
            PartKind::Body,
            "as long as the hull, and of her height",
        ));
    }
    let under =
        piece.low.z < body.low.z - 0.01 * length || (piece.low.z < body.low.z + 0.1 * depth);
    let off = piece.centre().y.abs() > 0.25 * beam || size.y > 0.6 * beam;
    let as_a_hull = size.x > 0.6 * length && size.y.min(size.z) > 0.04 * length;
    (under && off).then(|| match as_a_hull {
        true => Proposal::open(
            vec![PartKind::Body, PartKind::Other],
            "it reaches as low as the keel, off the middle, and is as long as a hull: one of two hulls, or a stand under the boat? A stand take out",
        ),
        false => Proposal::open(
            vec![PartKind::Other],
            "it reaches as low as the keel and stands off the middle: a stand or trailer under the boat? Then take it out",
        ),
    })
}

/// What a part of a kind may count for; it is checked unless somebody says otherwise.
pub(super) fn usual_use(kind: PartKind) -> Proposal<PartUse> {
    let (choices, because) = match kind {
        PartKind::Mast => (
            vec![PartUse::Checked, PartUse::HeightOnly, PartUse::LeftOut],
            "a spar is checked where it stands or lies; it can be kept for height, or left out if it is unstepped",
        ),
        PartKind::DeckGear => (
            vec![PartUse::Checked, PartUse::HeightOnly, PartUse::LeftOut],
            "rails and gear are checked; they can be kept for height alone",
        ),
        _ => (vec![PartUse::Checked], "it travels with the boat"),
    };
    Proposal {
        value: Some(PartUse::Checked),
        choices,
        because: because.into(),
    }
}
