//! Colours of things. Verdict colours belong to the workbench's theme; these are the calm rest.

use bevy::prelude::{Color, LinearRgba, Mix};
use keelstead_boat::hull::PartKind;
use keelstead_load::rig::Material;
use keelstead_load::rig_parts::RigPartKind;

/// The surroundings in one of the two themes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surroundings {
    /// Behind everything, and what the ground fades into.
    pub sky: Color,
    /// The yard's concrete.
    pub ground: Color,
    /// Joints and metre lines on it.
    pub lines: Color,
    /// Light from above that is not the sun's.
    pub sky_light: LinearRgba,
    /// Light thrown back by the ground.
    pub ground_light: LinearRgba,
    /// The sun, lx.
    pub sun_lx: f32,
}

/// The surroundings of the light or the dark theme.
pub fn surroundings(dark: bool) -> Surroundings {
    if dark {
        Surroundings {
            sky: Color::srgb_u8(0x16, 0x1b, 0x20),
            ground: Color::srgb_u8(0x3a, 0x42, 0x48),
            lines: Color::srgb_u8(0x52, 0x5c, 0x63),
            sky_light: LinearRgba::rgb(0.30, 0.33, 0.37),
            ground_light: LinearRgba::rgb(0.13, 0.13, 0.13),
            sun_lx: 1700.0,
        }
    } else {
        Surroundings {
            sky: Color::srgb_u8(0xe6, 0xeb, 0xee),
            ground: Color::srgb_u8(0xd2, 0xd5, 0xd4),
            lines: Color::srgb_u8(0xb4, 0xba, 0xbb),
            sky_light: LinearRgba::rgb(0.46, 0.49, 0.53),
            ground_light: LinearRgba::rgb(0.27, 0.26, 0.24),
            sun_lx: 1750.0,
        }
    }
}

/// Paint of a hull part: above and below the painted line, and the deck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HullPaint {
    /// Sides.
    pub topsides: Color,
    /// Under the painted line.
    pub bottom: Color,
    /// Faces that look up.
    pub deck: Color,
    /// Roughness of the surface, 0 to 1.
    pub roughness: f32,
    /// How much it is a bare metal, 0 to 1.
    pub metallic: f32,
}

impl HullPaint {
    /// The same for a part that is looked at: `colour` shines through all of it.
    pub fn marked(self, colour: Color) -> Self {
        let mixed = |own: Color| own.mix(&colour, 0.7);
        Self {
            topsides: mixed(self.topsides),
            bottom: mixed(self.bottom),
            deck: mixed(self.deck),
            ..self
        }
    }
}

/// The paint of a hull part. The line where it changes is decoration, not a waterline computed.
pub fn hull_paint(kind: PartKind) -> HullPaint {
    let bottom = Color::srgb_u8(0x3c, 0x59, 0x6d);
    let white = Color::srgb_u8(0xef, 0xee, 0xe8);
    let plain = |colour: Color, roughness: f32, metallic: f32| HullPaint {
        topsides: colour,
        bottom: colour,
        deck: colour,
        roughness,
        metallic,
    };
    match kind {
        PartKind::Body => HullPaint {
            topsides: white,
            bottom,
            deck: Color::srgb_u8(0xcf, 0xc6, 0xb0),
            roughness: 0.42,
            metallic: 0.0,
        },
        PartKind::Keel | PartKind::Skeg | PartKind::Rudder | PartKind::Centreboard => {
            plain(bottom, 0.6, 0.0)
        }
        PartKind::Propeller => plain(Color::srgb_u8(0xb5, 0x8a, 0x45), 0.35, 0.4),
        PartKind::Shaft | PartKind::Strut => plain(Color::srgb_u8(0x9a, 0x9f, 0xa2), 0.4, 0.3),
        PartKind::Cabin => HullPaint {
            topsides: white,
            bottom: white,
            deck: Color::srgb_u8(0xd8, 0xd2, 0xc2),
            roughness: 0.45,
            metallic: 0.0,
        },
        PartKind::DeckGear | PartKind::Mast => plain(Color::srgb_u8(0xa6, 0xab, 0xae), 0.4, 0.2),
        PartKind::Other => plain(Color::srgb_u8(0xb9, 0xb5, 0xac), 0.6, 0.0),
    }
}

/// Colour of a rig part that is not timber.
pub fn rig_paint(kind: RigPartKind) -> Color {
    match kind {
        RigPartKind::Rail => Color::srgb_u8(0x5d, 0x73, 0x68),
        RigPartKind::Member => Color::srgb_u8(0x53, 0x68, 0x5e),
        RigPartKind::Tyre => Color::srgb_u8(0x24, 0x26, 0x28),
        RigPartKind::Mudguard => Color::srgb_u8(0x3b, 0x42, 0x45),
        RigPartKind::Pad => Color::srgb_u8(0x8e, 0x5b, 0x4a),
        RigPartKind::PadArm => Color::srgb_u8(0x5e, 0x66, 0x69),
        RigPartKind::Tractor => Color::srgb_u8(0xa9, 0xb2, 0xb4),
        RigPartKind::Beam | RigPartKind::Block => wood(Material::WhiteOak, 0),
        RigPartKind::Packing => Color::srgb_u8(0xd9, 0xb6, 0x7c),
        RigPartKind::Ground => Color::srgb_u8(0xd2, 0xd5, 0xd4),
    }
}

/// Colour of a piece of timber (or steel); neighbours in a stack differ a little by their `place`.
pub fn wood(material: Material, place: usize) -> Color {
    let [r, g, b] = match material {
        Material::WhiteOak => [0.70, 0.55, 0.37],
        Material::RedOak => [0.68, 0.47, 0.34],
        Material::DouglasFir => [0.76, 0.56, 0.36],
        Material::SouthernPine => [0.80, 0.65, 0.42],
        Material::Steel => [0.45, 0.48, 0.50],
        Material::Unknown => [0.62, 0.60, 0.57],
    };
    let tint = [1.0, 0.86, 1.09, 0.93][place % 4];
    Color::srgb(r * tint, g * tint, b * tint)
}

/// How much of a part's own colour gives way to the verdict on how hard it is used.
const USED: f32 = 0.62;

/// A beam or block coloured by the verdict on how hard it is used; labels say it in words.
pub fn used(own: Color, verdict: [u8; 3]) -> Color {
    let [r, g, b] = verdict;
    own.mix(&Color::srgb_u8(r, g, b), USED)
}
