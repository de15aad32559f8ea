//! The hull description: a mesh file with its unit and axes, and what is known of the boat besides
//! its surface.

use keelstead_boat::hull::{
    CentreOfGravity, HullFacts, KeepOff, LiftingMark, Marks, Mass, PartKind, PartUse,
    StrongStation, Taped,
};
use keelstead_boat::weigh::WeightSources;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::document::Document;
use crate::error::FileError;
use crate::save;

/// A hull document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HullFile {
    /// Version of the format: 1.
    pub version: u32,
    /// The boat's name.
    pub name: String,
    /// The mesh file (STL, OBJ, PLY, GLB, glTF, 3MF, COLLADA, a cloud of points as PLY, XYZ, LAS or LAZ, a table of offsets as CSV, or a measures document), relative to this file, `/` between folders.
    pub mesh: String,
    /// Unit of the mesh file's coordinates.
    pub unit: LengthUnit,
    /// Which way the mesh file's axes point.
    pub axes: Axes,
    /// Where the hull frame's origin lies.
    #[serde(default)]
    pub origin: Origin,
    /// How far to port the middle plane lies in the mesh file's axes and unit; null takes the middle of the breadth of the
    /// parts that may bear. Where `origin` is a point, that tells it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub middle: Option<f64>,
    /// What the mesh file's parts are; the first rule that fits a part's name counts. A part that
    /// none fits is guessed from its name, with a notice.
    #[serde(default)]
    pub parts: Vec<PartRule>,
    /// Refuse a part that no rule fits, rather than guess.
    #[serde(default)]
    pub strict_parts: bool,
    /// What the boat weighs; null if nobody said.
    #[serde(default)]
    pub mass: Option<Mass>,
    /// Where the weight acts, hull frame; null if nobody said.
    #[serde(default)]
    pub centre: Option<CentreOfGravity>,
    /// What else tells weight and centre: a marked waterline, two scales, the kind of boat; null
    /// leaves mass and centre as stated.
    #[serde(default)]
    pub weighing: Option<WeightSources>,
    /// How far the surface may be from the real boat's, m.
    pub shape_tolerance_m: f64,
    /// Boxes where nothing may press, hull frame.
    #[serde(default)]
    pub keep_offs: Vec<KeepOff>,
    /// Bulkheads and frames, where pads belong; a number alone is a station, m forward of the hull
    /// frame's origin. Older descriptions call it `strong_stations_m`.
    #[serde(default, alias = "strong_stations_m")]
    pub strong_stations: Vec<StrongStation>,
    /// Where slings belong when the boat is lifted.
    #[serde(default)]
    pub lifting_marks: Vec<LiftingMark>,
    /// Bending stiffness EI of hull and keel together, N·m²; null takes the hull as rigid.
    #[serde(default)]
    pub bending_n_m2: Option<f64>,
    /// What is known beyond the hull, if she was measured with a tape and not scanned; null takes what the mesh file says:
    /// a measures document says it, any other mesh is all of the boat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taped: Option<Taped>,
    /// Anything worth telling: where the mesh is from, who measured.
    #[serde(default)]
    pub note: String,
}

impl Document for HullFile {
    const VERSION: u32 = 1;
    const KIND: &'static str = "hull";
}

impl HullFile {
    /// A description of a bare mesh file about which nothing else is known.
    ///
    /// The shape tolerance is 0.02 m: nobody said how the mesh was made.
    pub fn for_mesh(
        name: impl Into<String>,
        mesh: impl Into<String>,
        unit: LengthUnit,
        axes: Axes,
    ) -> Self {
        Self {
            version: Self::VERSION,
            name: name.into(),
            mesh: mesh.into(),
            unit,
            axes,
            origin: Origin::default(),
            middle: None,
            parts: Vec::new(),
            strict_parts: false,
            mass: None,
            centre: None,
            weighing: None,
            shape_tolerance_m: 0.020,
            keep_offs: Vec::new(),
            strong_stations: Vec::new(),
            lifting_marks: Vec::new(),
            bending_n_m2: None,
            taped: None,
            note: String::new(),
        }
    }

    /// The description as it stands in its file, `path`: indented JSON with a newline at the end.
    ///
    /// # Errors
    /// [`FileError::NotSaved`] if it would not read back equal: a number in it is not finite.
    pub fn text(&self, path: &str) -> Result<String, FileError> {
        save::text(self, self.version, path)
    }

    /// Where nothing may press, where pads and where slings belong.
    pub fn marks(&self) -> Marks {
        Marks {
            keep_offs: self.keep_offs.clone(),
            strong_stations: self.strong_stations.clone(),
            lifting_marks: self.lifting_marks.clone(),
        }
    }

    /// The same description with other marks.
    #[must_use]
    pub fn marked(self, marks: &Marks) -> Self {
        let Marks {
            keep_offs,
            strong_stations,
            lifting_marks,
        } = marks.clone();
        Self {
            keep_offs,
            strong_stations,
            lifting_marks,
            ..self
        }
    }

    /// What the engine asks besides the surface.
    pub fn facts(&self) -> HullFacts {
        HullFacts {
            mass: self.mass,
            centre: self.centre,
            shape_tolerance_m: self.shape_tolerance_m,
            marks: self.marks(),
            bending_n_m2: self.bending_n_m2,
            taped: self.taped,
        }
    }
}

/// Unit of a mesh file's coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LengthUnit {
    /// 1 m.
    Metre,
    /// 0.001 m.
    Millimetre,
    /// 0.01 m.
    Centimetre,
    /// 0.0254 m.
    Inch,
    /// 0.3048 m.
    Foot,
}

impl LengthUnit {
    /// Every unit, likeliest first.
    pub const ALL: [Self; 5] = [
        Self::Metre,
        Self::Millimetre,
        Self::Centimetre,
        Self::Inch,
        Self::Foot,
    ];

    /// Its length, m.
    pub fn metres(self) -> f64 {
        match self {
            Self::Metre => 1.0,
            Self::Millimetre => 0.001,
            Self::Centimetre => 0.01,
            Self::Inch => 0.0254,
            Self::Foot => 0.3048,
        }
    }

    /// Its word, as it stands in a hull description.
    pub fn word(self) -> &'static str {
        match self {
            Self::Metre => "metre",
            Self::Millimetre => "millimetre",
            Self::Centimetre => "centimetre",
            Self::Inch => "inch",
            Self::Foot => "foot",
        }
    }
}

/// A direction along an axis of the mesh file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Axis {
    /// Along x.
    #[serde(rename = "+x")]
    PlusX,
    /// Against x.
    #[serde(rename = "-x")]
    MinusX,
    /// Along y.
    #[serde(rename = "+y")]
    PlusY,
    /// Against y.
    #[serde(rename = "-y")]
    MinusY,
    /// Along z.
    #[serde(rename = "+z")]
    PlusZ,
    /// Against z.
    #[serde(rename = "-z")]
    MinusZ,
}

impl Axis {
    /// Unit vector along it.
    pub fn vector(self) -> [f64; 3] {
        match self {
            Self::PlusX => [1.0, 0.0, 0.0],
            Self::MinusX => [-1.0, 0.0, 0.0],
            Self::PlusY => [0.0, 1.0, 0.0],
            Self::MinusY => [0.0, -1.0, 0.0],
            Self::PlusZ => [0.0, 0.0, 1.0],
            Self::MinusZ => [0.0, 0.0, -1.0],
        }
    }

    /// 0 for x, 1 for y, 2 for z.
    pub fn index(self) -> usize {
        match self {
            Self::PlusX | Self::MinusX => 0,
            Self::PlusY | Self::MinusY => 1,
            Self::PlusZ | Self::MinusZ => 2,
        }
    }
}

/// Which way the mesh file's axes point. Port follows: the frame is right-handed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Axes {
    /// Towards the bow.
    pub forward: Axis,
    /// Up.
    pub up: Axis,
}

impl Default for Axes {
    /// As the hull frame: bow along x, up along z.
    fn default() -> Self {
        Self {
            forward: Axis::PlusX,
            up: Axis::PlusZ,
        }
    }
}

/// Where the hull frame's origin lies.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Origin {
    /// Found from the mesh: on the middle plane of the parts that may bear; fore and aft where the
    /// surface in that plane is last within a tenth of its height of its lowest point, going aft;
    /// at the height of that lowest point.
    #[default]
    AftEndOfKeel,
    /// This point, x, y and z in the mesh file's axes and unit.
    At([f64; 3]),
}

/// What the parts of a name are.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PartRule {
    /// Name of the part (node, group, object or solid) in the mesh file; `*` stands for anything.
    /// Capitals do not matter.
    pub node: String,
    /// What it is.
    pub kind: PartKind,
    /// What it counts for: a rail can be kept for height alone, a mast that is unstepped left out.
    #[serde(default, rename = "use", skip_serializing_if = "is_checked")]
    pub part_use: PartUse,
}

/// What every part is unless said otherwise, so that it need not be written.
fn is_checked(part_use: &PartUse) -> bool {
    *part_use == PartUse::Checked
}

impl PartRule {
    /// Whether the rule is about a part of this name.
    pub fn fits(&self, name: &str) -> bool {
        glob(&self.node.to_lowercase(), &name.to_lowercase())
    }
}

/// Whether `pattern`, in which `*` stands for any run of characters, is the whole of `text`.
fn glob(pattern: &str, text: &str) -> bool {
    let mut pieces = pattern.split('*');
    let Some(mut rest) = pieces.next().and_then(|first| text.strip_prefix(first)) else {
        return false;
    };
    let Some(last) = pieces.next_back() else {
        return rest.is_empty();
    };
    // The leftmost fit of each middle piece leaves the most room for those after it.
    for piece in pieces {
        match rest.find(piece) {
            Some(at) => rest = &rest[at + piece.len()..],
            None => return false,
        }
    }
    rest.ends_with(last)
}

/// What a part of this name most likely is; none if the name tells nothing.
pub fn guess_kind(name: &str) -> Option<PartKind> {
    // Longer and rarer words first: "keel cooler" is no keel, "propeller shaft" is a shaft.
    const WORDS: &[(&str, PartKind)] = &[
        // German, French, Dutch, Spanish, Italian and Scandinavian words stand with the English ones, where no word of
        // another meaning holds them.
        ("cooler", PartKind::Other),
        ("bridge", PartKind::Other),
        ("trailer", PartKind::Other),
        ("cradle", PartKind::Other),
        ("centreboard", PartKind::Centreboard),
        ("centerboard", PartKind::Centreboard),
        ("dagger", PartKind::Centreboard),
        ("schwert", PartKind::Centreboard),
        ("dérive", PartKind::Centreboard),
        ("rudder", PartKind::Rudder),
        ("ruder", PartKind::Rudder),
        ("safran", PartKind::Rudder),
        ("gouvernail", PartKind::Rudder),
        ("timon", PartKind::Rudder),
        ("timón", PartKind::Rudder),
        ("skeg", PartKind::Skeg),
        ("shaft", PartKind::Shaft),
        ("antriebswelle", PartKind::Shaft),
        ("strut", PartKind::Strut),
        ("bracket", PartKind::Strut),
        ("saildrive", PartKind::Strut),
        ("prop", PartKind::Propeller),
        ("hélice", PartKind::Propeller),
        ("helice", PartKind::Propeller),
        ("outboard", PartKind::Propeller),
        ("aussenbord", PartKind::Propeller),
        ("außenbord", PartKind::Propeller),
        ("keel", PartKind::Keel),
        ("kiel", PartKind::Keel),
        ("quille", PartKind::Keel),
        ("quilla", PartKind::Keel),
        ("chiglia", PartKind::Keel),
        ("ballast", PartKind::Keel),
        ("bulb", PartKind::Keel),
        ("mast", PartKind::Mast),
        ("mât", PartKind::Mast),
        ("mástil", PartKind::Mast),
        ("albero", PartKind::Mast),
        ("boom", PartKind::Mast),
        ("bowsprit", PartKind::Mast),
        ("spar", PartKind::Mast),
        ("shroud", PartKind::Mast),
        ("rigging", PartKind::Mast),
        ("cabin", PartKind::Cabin),
        ("kajüte", PartKind::Cabin),
        ("kajuit", PartKind::Cabin),
        ("house", PartKind::Cabin),
        ("coachroof", PartKind::Cabin),
        ("superstructure", PartKind::Cabin),
        ("rail", PartKind::DeckGear),
        ("reling", PartKind::DeckGear),
        ("balcon", PartKind::DeckGear),
        ("cleat", PartKind::DeckGear),
        ("winch", PartKind::DeckGear),
        ("pulpit", PartKind::DeckGear),
        ("pushpit", PartKind::DeckGear),
        ("stanchion", PartKind::DeckGear),
        ("bimini", PartKind::DeckGear),
        ("davit", PartKind::DeckGear),
        ("antenna", PartKind::DeckGear),
        ("gear", PartKind::DeckGear),
        ("body", PartKind::Body),
        ("hull", PartKind::Body),
        ("rumpf", PartKind::Body),
        ("coque", PartKind::Body),
        ("casco", PartKind::Body),
        ("scafo", PartKind::Body),
        ("skrog", PartKind::Body),
        ("deck", PartKind::Body),
        ("transom", PartKind::Body),
    ];
    let name = name.to_lowercase();
    WORDS
        .iter()
        .find(|(word, _)| name.contains(word))
        .map(|&(_, kind)| kind)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_star_stands_for_anything() {
        for (pattern, text, fits) in [
            ("keel*", "Keel_low", true),
            ("*keel", "fin keel", true),
            ("*keel*", "a keel b", true),
            ("k*l", "keel", true),
            ("k*k", "k", false),
            ("keel", "keel2", false),
            ("", "keel", false),
            ("*", "", true),
            ("a*b*c", "a-c-b-c", true),
            ("a*b*c", "a-c-c", false),
            ("a**c", "abc", true),
        ] {
            let rule = PartRule {
                node: pattern.into(),
                kind: PartKind::Keel,
                part_use: PartUse::Checked,
            };
            assert_eq!(rule.fits(text), fits, "{pattern} {text}");
        }
    }

    #[test]
    fn a_name_is_guessed_by_its_telling_word() {
        assert_eq!(guess_kind("Propeller shaft"), Some(PartKind::Shaft));
        assert_eq!(guess_kind("keel_low"), Some(PartKind::Keel));
        assert_eq!(guess_kind("keel cooler"), Some(PartKind::Other));
        assert_eq!(guess_kind("Object.001"), None);
        assert_eq!(guess_kind("Großmast"), Some(PartKind::Mast));
        assert_eq!(guess_kind("gouvernail_2"), Some(PartKind::Rudder));
        assert_eq!(guess_kind("Handrail.L"), Some(PartKind::DeckGear));
        assert_eq!(guess_kind("boat trailer"), Some(PartKind::Other));
    }
}
