//! The workbench's panels around the scene, and its labels over it.

use bevy::camera::CameraOutputMode;
use bevy::camera::visibility::RenderLayers;
use bevy::prelude::*;
use bevy::render::render_resource::BlendState;
use bevy::window::{PrimaryWindow, RequestRedraw};
use bevy_egui::egui::{self, Id, LayerId, Sense, Ui, UiBuilder};
use bevy_egui::{
    EguiContext, EguiContexts, EguiGlobalSettings, EguiInput, EguiPlugin, EguiPostUpdateSet,
    EguiPreUpdateSet, EguiPrimaryContextPass, EguiRenderOutput, PrimaryEguiContext,
};
use keelstead_workbench::action::Action;
use keelstead_workbench::overlay::overlay_ui;
use keelstead_workbench::theme::{self, Palette};
use keelstead_workbench::ui::workbench_ui;
use keelstead_workbench::view::LookFrom;

use crate::app::{IsDark, Workbench};
use crate::camera::Sight;
use crate::hand::{self, Hand};

/// A picture whose shape changed by more than this is framed anew, if nobody moved the eye.
const RESHAPED: f32 = 0.12;

/// egui, on a camera of its own over the scene's.
pub struct PanelsPlugin;

impl Plugin for PanelsPlugin {
    fn build(&self, app: &mut App) {
        app.add_plugins(EguiPlugin::default())
            .init_resource::<Bare>()
            .init_resource::<SystemIsDark>()
            .add_systems(Startup, spawn_panel_camera)
            .add_systems(
                PreUpdate,
                let_rest
                    .after(EguiPreUpdateSet::ProcessInput)
                    .before(EguiPreUpdateSet::BeginPass),
            )
            .add_systems(EguiPrimaryContextPass, draw.run_if(not(is_bare)))
            .add_systems(
                PostUpdate,
                draw_new_glyphs
                    .after(EguiPostUpdateSet::ProcessOutput)
                    .before(EguiPostUpdateSet::PostProcessOutput),
            );
    }
}

/// Whether the panels are left out, as in a picture.
#[derive(Resource, Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Bare(pub bool);

/// Whether the device itself is set to dark.
#[derive(Resource, Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct SystemIsDark(pub bool);

/// Marks the camera that draws the panels.
#[derive(Component)]
pub struct PanelCamera;

fn is_bare(bare: Res<Bare>) -> bool {
    bare.0
}

fn spawn_panel_camera(mut commands: Commands, mut settings: ResMut<EguiGlobalSettings>) {
    settings.auto_create_primary_context = false;
    commands.spawn((
        PanelCamera,
        PrimaryEguiContext,
        Camera2d,
        RenderLayers::none(),
        Msaa::Off,
        Camera {
            order: 1,
            output_mode: CameraOutputMode::Write {
                blend_state: Some(BlendState::ALPHA_BLENDING),
                clear_color: ClearColorConfig::None,
            },
            clear_color: ClearColorConfig::Custom(Color::NONE),
            ..default()
        },
    ));
}

fn draw(
    mut contexts: EguiContexts,
    mut workbench: ResMut<Workbench>,
    mut sight: ResMut<Sight>,
    mut hand: ResMut<Hand>,
    mut dark: ResMut<IsDark>,
    system: Res<SystemIsDark>,
    window: Query<&Window, With<PrimaryWindow>>,
    mut redraw: MessageWriter<RequestRedraw>,
) -> Result {
    let ctx = contexts.ctx_mut()?.clone();
    follow_system_theme(&ctx, system.0);
    dark.set_if_neq(IsDark(ctx.theme() == egui::Theme::Dark));
    let whole = UiBuilder::new()
        .layer_id(LayerId::background())
        .max_rect(ctx.viewport_rect());
    let mut ui = Ui::new(ctx.clone(), Id::new("workbench"), whole);
    let mut actions = Vec::new();
    let shown = workbench_ui(&mut ui, &workbench.session, &mut actions);
    let before = sight.orbit;
    if let Some(scene) = shown.scene {
        let scale = window.single().map_or(1.0, Window::scale_factor);
        lay_out(
            &mut sight,
            scene,
            scale,
            workbench.looking_from,
            &mut actions,
        );
        // Before any wish to look somewhere is performed: what fits depends on it.
        let aspect = f64::from(sight.lens().aspect());
        workbench
            .bypass_change_detection()
            .session
            .set_aspect(aspect);
        let response = ui.interact(scene, Id::new("scene"), Sense::click_and_drag());
        hand::work(&response, &mut hand, &mut sight, &mut workbench);
        if sight.orbit != before {
            workbench.looking_from = None;
        }
        write_over(&mut ui, scene, &workbench, &sight, &mut actions);
        let painter = ui.painter_at(scene);
        if let Some(hint) = hand.hint(&workbench.session) {
            paint_hint(&painter, scene, hint);
        }
    } else {
        sight.size = Vec2::ZERO;
    }
    if !actions.is_empty() || sight.orbit != before {
        redraw.write(RequestRedraw);
    }
    for action in actions {
        workbench.perform(action);
    }
    Ok(())
}

/// Takes back what did not happen: at every picture bevy_egui tells egui which of Shift, Ctrl and Alt are held, changed or
/// not, and egui answers whatever it is told with another picture, so that an app at rest would draw for ever.
fn let_rest(mut panels: Query<(&mut EguiContext, &mut EguiInput)>) {
    for (mut context, mut input) in &mut panels {
        let held = context.get_mut().input(|input| input.modifiers);
        if matches!(&input.events[..], [egui::Event::ModifiersChanged(now)] if *now == held) {
            input.events.clear();
        }
    }
}

/// Asks for another picture when a letter appeared for the first time: its shape reaches the graphics card a frame late,
/// and an app that draws only when something happens would leave a figure without it.
fn draw_new_glyphs(outputs: Query<&EguiRenderOutput>, mut redraw: MessageWriter<RequestRedraw>) {
    if outputs.iter().any(|o| !o.textures_delta.is_empty()) {
        redraw.write(RequestRedraw);
    }
}

/// Notes the rectangle left for the scene. A new shape of it is framed anew.
fn lay_out(
    sight: &mut Sight,
    scene: egui::Rect,
    scale: f32,
    looking_from: Option<LookFrom>,
    actions: &mut Vec<Action>,
) {
    let old = sight.is_laid_out().then(|| sight.lens().aspect());
    sight.min = Vec2::new(scene.min.x, scene.min.y);
    sight.size = Vec2::new(scene.width(), scene.height()).max(Vec2::ONE);
    sight.scale = scale;
    let new = sight.lens().aspect();
    match old {
        None => actions.push(Action::LookFrom(LookFrom::Corner)),
        Some(old) if (new / old).ln().abs() > RESHAPED => {
            actions.extend(looking_from.map(Action::LookFrom));
        }
        Some(_) => {}
    }
}

/// Writes dimension lines, marks and names over the scene.
pub fn write_over(
    ui: &mut Ui,
    scene: egui::Rect,
    workbench: &Workbench,
    sight: &Sight,
    actions: &mut Vec<Action>,
) {
    let lens = sight.lens();
    let project = |at: keelstead_geometry::math::Vec3| {
        let at = lens.project(crate::convert::vec3(at))?;
        Some(egui::pos2(at.x, at.y))
    };
    overlay_ui(ui, scene, &workbench.session, &project, actions);
}

fn paint_hint(painter: &egui::Painter, scene: egui::Rect, hint: &str) {
    let palette = Palette::current(painter.ctx());
    let font = egui::FontId::proportional(theme::SMALL_TEXT);
    let text = painter.layout_no_wrap(hint.to_owned(), font, palette.text);
    let at = scene.center_bottom() - egui::vec2(text.size().x / 2.0, text.size().y + 14.0);
    let ground = egui::Rect::from_min_size(at, text.size()).expand2(egui::vec2(10.0, 5.0));
    painter.rect_filled(ground, 6.0, palette.panel.gamma_multiply(0.92));
    painter.galley(at, text, palette.text);
}

fn follow_system_theme(ctx: &egui::Context, dark: bool) {
    let theme = if dark {
        egui::Theme::Dark
    } else {
        egui::Theme::Light
    };
    if ctx.options(|options| options.fallback_theme) != theme {
        ctx.options_mut(|options| options.fallback_theme = theme);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use bevy::ecs::system::RunSystemOnce;
    use bevy_egui::egui::{Event, Modifiers};

    use super::*;

    /// What is left of `events` where Shift is not held.
    fn left(events: Vec<Event>) -> Vec<Event> {
        let mut world = World::new();
        let input = EguiInput(egui::RawInput {
            events,
            ..default()
        });
        let panels = world.spawn((EguiContext::default(), input)).id();
        world.run_system_once(let_rest).unwrap();
        world.get::<EguiInput>(panels).unwrap().events.clone()
    }

    #[test]
    fn only_a_key_that_changed_is_told() {
        assert_eq!(left(vec![Event::ModifiersChanged(Modifiers::NONE)]), []);
        for told in [
            vec![Event::ModifiersChanged(Modifiers::SHIFT)],
            vec![Event::PointerGone, Event::ModifiersChanged(Modifiers::NONE)],
        ] {
            assert_eq!(left(told.clone()), told);
        }
    }
}
