//! The one material of the scene: Bevy's standard one, with paint lines, timber grain, the yard's
//! ground and the cutting plane added in `surface.wgsl`.

use bevy::asset::embedded_asset;
use bevy::pbr::{ExtendedMaterial, MaterialExtension, MaterialPlugin};
use bevy::prelude::*;
use bevy::render::render_resource::{AsBindGroup, ShaderType};
use bevy::shader::ShaderRef;

use super::palette::{HullPaint, Surroundings};

/// The scene's material.
pub type SurfaceMaterial = ExtendedMaterial<StandardMaterial, SurfaceExtension>;

/// What is added to the standard material.
#[derive(Asset, AsBindGroup, Reflect, Debug, Clone, Default)]
pub struct SurfaceExtension {
    /// The shader's numbers.
    #[uniform(100)]
    pub surface: Surface,
}

/// Numbers of a surface; the layout is that of `Surface` in `surface.wgsl`.
#[derive(ShaderType, Reflect, Debug, Clone, Copy, Default, PartialEq)]
pub struct Surface {
    /// Points p of the world with p · xyz > w are cut away; all zero cuts nothing.
    pub cut: Vec4,
    /// Hull: bottom paint. Ground: joints.
    pub second: LinearRgba,
    /// Hull: deck. Ground: what it fades into.
    pub third: LinearRgba,
    /// Ground: middle and half extent of what stands on it, m.
    pub footprint: Vec4,
    /// Light from above.
    pub sky_light: LinearRgba,
    /// Light from below.
    pub ground_light: LinearRgba,
    /// Kind; the hull's painted line or the timber's seed; whether there is a stripe.
    pub numbers: Vec4,
}

const HULL: f32 = 1.0;
const TIMBER: f32 = 2.0;
const GROUND: f32 = 3.0;

impl MaterialExtension for SurfaceExtension {
    fn fragment_shader() -> ShaderRef {
        "embedded://keelstead_viewer/scene/surface.wgsl".into()
    }
}

/// Registers the material and its shader.
pub struct SurfacePlugin;

impl Plugin for SurfacePlugin {
    fn build(&self, app: &mut App) {
        embedded_asset!(app, "surface.wgsl");
        app.add_plugins(MaterialPlugin::<SurfaceMaterial>::default());
    }
}

impl Surface {
    fn lit_by(around: &Surroundings) -> Self {
        Self {
            sky_light: around.sky_light,
            ground_light: around.ground_light,
            ..Self::default()
        }
    }
}

/// Plain paint.
pub fn paint(
    around: &Surroundings,
    colour: Color,
    roughness: f32,
    metallic: f32,
) -> SurfaceMaterial {
    SurfaceMaterial {
        base: StandardMaterial {
            base_color: colour,
            perceptual_roughness: roughness,
            metallic,
            reflectance: 0.35,
            ..default()
        },
        extension: SurfaceExtension {
            surface: Surface::lit_by(around),
        },
    }
}

/// Timber of a colour; `seed` makes each piece its own.
pub fn timber(around: &Surroundings, colour: Color, seed: f32) -> SurfaceMaterial {
    let mut material = paint(around, colour, 0.85, 0.0);
    material.extension.surface.numbers = Vec4::new(TIMBER, seed, 0.0, 0.0);
    material
}

/// A hull part painted differently above and below `line_m` (hull frame, m), `opacity` 0 to 1.
pub fn hull(
    around: &Surroundings,
    paint_of: HullPaint,
    line_m: f32,
    opacity: f32,
) -> SurfaceMaterial {
    let mut material = paint(
        around,
        paint_of.topsides.with_alpha(opacity),
        paint_of.roughness,
        paint_of.metallic,
    );
    material.base.alpha_mode = if opacity < 1.0 {
        AlphaMode::Blend
    } else {
        AlphaMode::Opaque
    };
    let striped = if paint_of.topsides == paint_of.bottom {
        0.0
    } else {
        1.0
    };
    let surface = &mut material.extension.surface;
    surface.numbers = Vec4::new(HULL, line_m, striped, 0.0);
    surface.second = paint_of.bottom.to_linear();
    surface.third = paint_of.deck.to_linear();
    material
}

/// The ground, darkened softly under a footprint given by its middle and half extent.
pub fn ground(around: &Surroundings, middle: Vec2, half: Vec2) -> SurfaceMaterial {
    let mut material = paint(around, around.ground, 0.95, 0.0);
    material.base.reflectance = 0.0;
    let surface = &mut material.extension.surface;
    surface.numbers = Vec4::new(GROUND, 0.0, 0.0, 0.0);
    surface.second = around.lines.to_linear();
    surface.third = around.sky.to_linear();
    surface.footprint = Vec4::new(middle.x, middle.y, half.x, half.y);
    material
}
