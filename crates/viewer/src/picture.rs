//! A picture of the scene as a PNG, drawn without a display.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use anyhow::{Context as _, bail};
use bevy::asset::RenderAssetUsages;
use bevy::camera::RenderTarget;
use bevy::prelude::*;
use bevy::render::RenderPlugin;
use bevy::render::render_resource::{
    Extent3d, PipelineCache, PollType, TextureDimension, TextureFormat, TextureUsages,
};
use bevy::render::renderer::RenderDevice;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};
use bevy::render::{ExtractSchedule, MainWorld, RenderApp};
use bevy::window::ExitCondition;
use bevy::winit::WinitPlugin;
use bevy_egui::egui::{self, Align2, FontId, Id, LayerId, Ui, UiBuilder};
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};
use keelstead::findings::Finding;
use keelstead_files::Silent;
use keelstead_units::sentence;
use keelstead_workbench::Session;
use keelstead_workbench::action::Action;
use keelstead_workbench::shape;
use keelstead_workbench::task::carry_out;
use keelstead_workbench::theme::{self, Palette};
use keelstead_workbench::view::{LookFrom, ThemeChoice};
use keelstead_workbench::words;

use crate::app::{IsDark, ViewerPlugin, Workbench, quiet_log};
use crate::camera::{SceneCamera, Sight};
use crate::native::Arguments;
use crate::panels::{Bare, PanelCamera, write_over};

/// Height of the strip under the scene, logical pixels.
const CAPTION: f32 = 76.0;
/// Frames after the last pipeline was built, so that textures and shadows have settled.
const SETTLE_FRAMES: usize = 4;
/// More frames than any machine needs to build the pipelines.
const AT_MOST_FRAMES: usize = 400;

/// What is drawn into, and what came of it.
#[derive(Resource, Clone)]
struct Canvas {
    image: Handle<Image>,
    captured: Arc<Mutex<Option<Image>>>,
}

/// How many pipelines the renderer still waits for.
#[derive(Resource, Default)]
struct PipelinesWaiting(usize);

/// Draws the picture the arguments ask for.
///
/// # Errors
/// If nothing was named to draw, it cannot be read, no graphics adapter can be found (a software
/// one will do), or the file cannot be written.
pub(crate) fn draw(arguments: &Arguments, out: &Path) -> anyhow::Result<()> {
    let mut workbench = Workbench::default();
    let Some(task) = arguments.task()? else {
        bail!("nothing to draw: name a job file, or a demo with --demo NAME");
    };
    let name = task.name();
    let outcome = carry_out(task, keelstead_demo_data::FILES, &Silent)
        .with_context(|| format!("{name} was not opened"))?;
    let requests = workbench.session.finished(&name, Ok(outcome));
    workbench.ask(requests);
    if !workbench.session.is_open() {
        bail!("{name}: a picture needs a job, with hull and rig");
    }
    for wish in arguments.wishes() {
        workbench.perform(wish);
    }
    let image = render(workbench, arguments.size, arguments.wishes_once_open())?;
    save(image, out)
}

/// Draws a session, after the given actions, into an image of this size in pixels.
///
/// # Errors
/// If no graphics adapter can be found, or it does not come to a picture.
pub fn render(
    workbench: Workbench,
    size: (u32, u32),
    wishes: Vec<Action>,
) -> anyhow::Result<Image> {
    require_adapter()?;
    let mut app = App::new();
    app.add_plugins(
        DefaultPlugins
            .set(WindowPlugin {
                primary_window: None,
                exit_condition: ExitCondition::DontExit,
                ..default()
            })
            .set(RenderPlugin {
                synchronous_pipeline_compilation: true,
                ..default()
            })
            .set(quiet_log())
            .disable::<WinitPlugin>(),
    )
    .insert_resource(workbench)
    .add_plugins(ViewerPlugin)
    .insert_resource(Bare(true))
    .init_resource::<PipelinesWaiting>()
    .add_systems(PostStartup, aim_at_canvas)
    .add_systems(EguiPrimaryContextPass, write_caption);
    let canvas = Canvas {
        image: app
            .world_mut()
            .resource_mut::<Assets<Image>>()
            .add(blank(size)),
        captured: Arc::default(),
    };
    app.insert_resource(canvas.clone());
    lay_out(&mut app, size, wishes);
    if let Some(render_app) = app.get_sub_app_mut(RenderApp) {
        render_app.add_systems(ExtractSchedule, count_waiting_pipelines);
    }
    app.finish();
    app.cleanup();
    pump(&mut app, &canvas)
}

/// Draws until the pipelines are built, then once more to keep.
fn pump(app: &mut App, canvas: &Canvas) -> anyhow::Result<Image> {
    let mut settled = 0;
    let mut asked = false;
    for _ in 0..AT_MOST_FRAMES {
        app.update();
        let device = app.world().resource::<RenderDevice>();
        device
            .wgpu_device()
            .poll(PollType::Wait {
                submission_index: None,
                timeout: None,
            })
            .context("the graphics adapter stopped answering")?;
        let kept = canvas
            .captured
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take();
        if let Some(image) = kept {
            return Ok(image);
        }
        let waiting = app.world().resource::<PipelinesWaiting>().0;
        settled = if waiting == 0 { settled + 1 } else { 0 };
        if settled > SETTLE_FRAMES && !asked {
            asked = true;
            let captured = canvas.captured.clone();
            app.world_mut()
                .spawn(Screenshot::image(canvas.image.clone()))
                .observe(move |shot: On<ScreenshotCaptured>| {
                    let mut slot = captured.lock().unwrap_or_else(PoisonError::into_inner);
                    *slot = Some(shot.image.clone());
                });
        }
    }
    bail!("the picture was not ready after {AT_MOST_FRAMES} frames")
}

/// Fails with a clear word where Bevy would panic.
///
/// # Errors
/// If no graphics adapter can be found, hardware or software.
pub fn require_adapter() -> anyhow::Result<()> {
    let backends = wgpu::Backends::from_env().unwrap_or(wgpu::Backends::all());
    let descriptor = wgpu::InstanceDescriptor::new_without_display_handle();
    let instance = wgpu::Instance::new(descriptor);
    let adapters = bevy::tasks::block_on(instance.enumerate_adapters(backends));
    if adapters.is_empty() {
        bail!(
            "no graphics adapter was found, not even one in software. On Linux the Vulkan driver \
             of Mesa draws without a graphics card: install mesa-vulkan-drivers"
        );
    }
    Ok(())
}

fn blank((width, height): (u32, u32)) -> Image {
    let mut image = Image::new_fill(
        Extent3d {
            width,
            height,
            depth_or_array_layers: 1,
        },
        TextureDimension::D2,
        &[0, 0, 0, 255],
        TextureFormat::Rgba8UnormSrgb,
        RenderAssetUsages::default(),
    );
    image.texture_descriptor.usage |= TextureUsages::RENDER_ATTACHMENT;
    image
}

/// The scene's part of a picture of this size, pixels.
pub fn scene_size((width, height): (u32, u32)) -> Vec2 {
    Vec2::new(width as f32, (height as f32 - CAPTION).max(1.0))
}

/// Leaves the caption's strip free, and puts the eye where it is wanted, at once.
fn lay_out(app: &mut App, size: (u32, u32), wishes: Vec<Action>) {
    let mut sight = app.world_mut().resource_mut::<Sight>();
    sight.at_once = true;
    sight.size = scene_size(size);
    let aspect = f64::from(sight.lens().aspect());
    let mut workbench = app.world_mut().resource_mut::<Workbench>();
    workbench.session.set_aspect(aspect);
    workbench.perform(Action::LookFrom(LookFrom::Corner));
    for wish in wishes {
        workbench.perform(wish);
    }
    // The worst finding speaks, unless another was asked for.
    let worst = workbench
        .session
        .findings()
        .and_then(|findings| findings.list.first());
    if workbench.session.view().selected.is_none()
        && let Some(id) = worst.map(|finding| finding.id.clone())
    {
        // Marked and measured, but the eye stays on the whole.
        workbench.perform_in_place(Action::Select(Some(id)));
    }
    let dark = workbench.session.view().theme == ThemeChoice::Dark;
    app.world_mut().insert_resource(IsDark(dark));
}

fn aim_at_canvas(
    mut commands: Commands,
    canvas: Res<Canvas>,
    cameras: Query<Entity, Or<(With<SceneCamera>, With<PanelCamera>)>>,
) {
    for camera in &cameras {
        let target: RenderTarget = canvas.image.clone().into();
        commands.entity(camera).insert(target);
    }
}

fn count_waiting_pipelines(mut main: ResMut<MainWorld>, pipelines: Res<PipelineCache>) {
    main.resource_mut::<PipelinesWaiting>().0 = pipelines.waiting_pipelines().count();
}

/// Labels over the scene; verdict, finding and caution under it.
fn write_caption(
    mut contexts: EguiContexts,
    workbench: Res<Workbench>,
    sight: Res<Sight>,
    mut fonts_are_in: Local<bool>,
) -> Result {
    let ctx = contexts.ctx_mut()?.clone();
    if !*fonts_are_in {
        // Fonts count from the next pass on.
        theme::install(&ctx);
        *fonts_are_in = true;
        return Ok(());
    }
    let session = &workbench.session;
    theme::apply(&ctx, session.view().theme, false);
    ctx.options_mut(|options| options.fallback_theme = egui::Theme::Light);
    let whole = UiBuilder::new()
        .layer_id(LayerId::background())
        .max_rect(ctx.viewport_rect());
    let mut ui = Ui::new(ctx.clone(), Id::new("picture"), whole);
    let size = sight.size;
    let scene = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(size.x, size.y));
    write_over(&mut ui, scene, &workbench, &sight, &mut Vec::new());
    let strip = egui::Rect::from_min_max(scene.left_bottom(), ctx.viewport_rect().max);
    caption(&ui, strip, session);
    Ok(())
}

fn caption(ui: &Ui, strip: egui::Rect, session: &Session) {
    let (Some(findings), Some(job)) = (session.findings(), session.job()) else {
        return;
    };
    let palette = Palette::current(ui.ctx());
    let painter = ui.painter_at(strip);
    painter.rect_filled(strip, 0.0, palette.panel);
    let left = strip.left() + 16.0;
    let centre = egui::pos2(left + 13.0, strip.top() + 25.0);
    shape::paint(&painter, centre, 26.0, findings.verdict, palette);
    let title = format!("{}: {}", words::verdict(findings.verdict), job.name);
    let at = egui::pos2(left + 36.0, strip.top() + 12.0);
    let name = painter.text(at, Align2::LEFT_TOP, title, theme::bold(18.0), palette.text);
    let says = session
        .selected()
        .or(findings.list.first())
        .map(|finding| in_words(finding, session));
    let line = |text: String, top: f32, colour: egui::Color32| {
        let font = FontId::proportional(15.0);
        let mut job = egui::text::LayoutJob::simple_singleline(text, font, colour);
        job.wrap.max_width = strip.right() - left - 16.0;
        job.wrap.max_rows = 1;
        painter.galley(egui::pos2(left, top), painter.layout_job(job), colour);
    };
    line(says.unwrap_or_default(), strip.top() + 44.0, palette.text);
    let caution = painter.layout_no_wrap(
        words::CAUTION.to_owned(),
        FontId::proportional(theme::SMALL_TEXT),
        palette.quiet,
    );
    let right = strip.right() - 16.0 - caution.size().x;
    // A narrow picture has no room for it beside the name.
    if right > name.right() + 24.0 {
        painter.galley(
            egui::pos2(right, strip.top() + 15.0),
            caution,
            palette.quiet,
        );
    }
}

fn in_words(finding: &Finding, session: &Session) -> String {
    sentence(&finding.says, session.view().units)
}

fn save(image: Image, out: &Path) -> anyhow::Result<()> {
    let picture = image
        .try_into_dynamic()
        .context("the picture has a form that cannot be saved")?;
    let out = if out.extension().is_some() {
        out.to_owned()
    } else {
        PathBuf::from(format!("{}.png", out.display()))
    };
    picture
        .to_rgb8()
        .save(&out)
        .with_context(|| format!("{}: the picture could not be written", out.display()))
}
