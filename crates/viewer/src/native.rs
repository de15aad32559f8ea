//! The window: command line, dialogs, files dropped, saving.

use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use anyhow::Context as _;
use bevy::prelude::*;
use bevy::render::RenderPlugin;
use bevy::window::{
    PrimaryWindow, RequestRedraw, WindowCloseRequested, WindowResizeConstraints, WindowTheme,
    WindowThemeChanged,
};
use bevy::winit::WinitSettings;
use clap::{Parser, ValueEnum};
use keelstead_files::kind;
use keelstead_files::save::save_job;
use keelstead_units::Units;
use keelstead_workbench::action::{Action, Request};
use keelstead_workbench::message::Level;
use keelstead_workbench::task::{Files, Task, kind_on_disk};
use keelstead_workbench::view::{LookFrom, ThemeChoice};

use crate::app::{ViewerPlugin, Workbench, quiet_log};
use crate::opening::{self, Opening};
use crate::panels::SystemIsDark;
use crate::picture;

mod shelf;

/// How long an idle window waits before it draws again: nothing waits for it, all that comes from outside wakes it or is
/// looked for at every picture until it has come.
const IDLE: Duration = Duration::from_secs(60);

/// Shows whether a boat's hull sits on an open-centre trailer: on which beams, with how much
/// blocking, and what comes close to what.
#[derive(Debug, Parser)]
#[command(
    name = "keelstead-viewer",
    version,
    after_help = "Examples:\n  \
        keelstead-viewer jobs/petrel.json\n  \
        keelstead-viewer --demo petrel\n  \
        keelstead-viewer jobs/petrel.json --picture petrel.png --view side --size 1600x1000\n\n\
        Never go under a boat held only by hydraulics or suspension."
)]
pub struct Arguments {
    /// Job file to open.
    job: Option<PathBuf>,
    /// Open a demo job by its name instead.
    #[arg(long, conflicts_with = "job", value_name = "NAME")]
    demo: Option<String>,
    /// Draw a PNG instead of opening a window; needs no display.
    #[arg(long, value_name = "OUT.png")]
    pub(crate) picture: Option<PathBuf>,
    /// Where to look from.
    #[arg(long, value_enum)]
    pub(crate) view: Option<ViewFrom>,
    /// Size of window or picture, pixels.
    #[arg(long, value_name = "WxH", value_parser = parse_size, default_value = "1280x800")]
    pub(crate) size: (u32, u32),
    /// Write figures in these units.
    #[arg(long, value_enum)]
    units: Option<UnitsWanted>,
    /// Light or dark; as the device is set if left out.
    #[arg(long, value_enum)]
    theme: Option<ThemeWanted>,
    /// Look at the finding of this id.
    #[arg(long, value_name = "FINDING")]
    select: Option<String>,
    /// Name the parts in the scene.
    #[arg(long)]
    labels: bool,
    /// Cut the hull at this station, m forward of the hull's origin.
    #[arg(long, value_name = "M", allow_negative_numbers = true)]
    cut: Option<f64>,
}

/// A side to look from.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum ViewFrom {
    /// From the right (starboard), level.
    Side,
    /// From the left (port), level.
    Port,
    /// From ahead.
    Bow,
    /// From astern.
    Stern,
    /// From straight above.
    Above,
    /// From straight below.
    Below,
    /// From a corner, a little above.
    Quarter,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum UnitsWanted {
    Metric,
    Imperial,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum ThemeWanted {
    Light,
    Dark,
}

impl From<ViewFrom> for LookFrom {
    fn from(view: ViewFrom) -> Self {
        match view {
            ViewFrom::Side => Self::Starboard,
            ViewFrom::Port => Self::Port,
            ViewFrom::Bow => Self::Bow,
            ViewFrom::Stern => Self::Stern,
            ViewFrom::Above => Self::Above,
            ViewFrom::Below => Self::Below,
            ViewFrom::Quarter => Self::Corner,
        }
    }
}

fn parse_size(text: &str) -> Result<(u32, u32), String> {
    let expected = || format!("{text:?}: expected width x height in pixels, like 1280x800");
    let (width, height) = text.split_once(['x', 'X', '×']).ok_or_else(expected)?;
    let side = |text: &str| match text.trim().parse::<u32>() {
        Ok(pixels) if (64..=8192).contains(&pixels) => Ok(pixels),
        Ok(_) => Err(format!("{text:?}: expected 64 to 8192 pixels a side")),
        Err(_) => Err(expected()),
    };
    Ok((side(width)?, side(height)?))
}

impl Arguments {
    /// What to read, if anything was named.
    pub(crate) fn task(&self) -> anyhow::Result<Option<Task>> {
        if let Some(name) = &self.demo {
            let path = opening::demo_path(name).with_context(|| {
                let known: Vec<&str> = opening::demo_jobs().collect();
                format!("no demo job {name:?}; there are {}", known.join(", "))
            })?;
            return Ok(Some(opening::demo(path)));
        }
        Ok(self.job.as_deref().map(on_disk))
    }

    /// What to do to the session before anything is opened.
    pub(crate) fn wishes(&self) -> Vec<Action> {
        let units = self.units.map(|units| match units {
            UnitsWanted::Metric => Action::Units(Units::Metric),
            UnitsWanted::Imperial => Action::Units(Units::Imperial),
        });
        let theme = self.theme.map(|theme| match theme {
            ThemeWanted::Light => Action::Theme(ThemeChoice::Light),
            ThemeWanted::Dark => Action::Theme(ThemeChoice::Dark),
        });
        let labels = self.labels.then_some(Action::Labels(true));
        units.into_iter().chain(theme).chain(labels).collect()
    }

    /// What to do to the session once the job is open.
    pub(crate) fn wishes_once_open(&self) -> Vec<Action> {
        let select = self.select.clone().map(|id| Action::Select(Some(id)));
        let cut = self.cut.map(|station_m| Action::Cut(Some(station_m)));
        let look = self.view.map(|view| Action::LookFrom(view.into()));
        cut.into_iter().chain(select).chain(look).collect()
    }
}

/// Runs the program.
///
/// # Errors
/// If a demo is not known or a picture cannot be drawn; the window itself tells what goes wrong
/// inside it.
pub fn run() -> anyhow::Result<()> {
    let arguments = Arguments::parse();
    if let Some(out) = &arguments.picture {
        return picture::draw(&arguments, out);
    }
    let task = arguments.task()?;
    picture::require_adapter()?;
    let mut app = App::new();
    let (width, height) = arguments.size;
    let window = WindowPlugin {
        primary_window: Some(Window {
            title: "Keelstead".into(),
            name: Some("keelstead".into()),
            resolution: (width, height).into(),
            resize_constraints: WindowResizeConstraints {
                min_width: 360.0,
                min_height: 480.0,
                ..default()
            },
            ..default()
        }),
        close_when_requested: false,
        ..default()
    };
    let render = RenderPlugin {
        // What is still being compiled is left out of a picture, and a window at rest draws no other.
        synchronous_pipeline_compilation: true,
        ..default()
    };
    app.add_plugins(DefaultPlugins.set(quiet_log()).set(window).set(render))
        .add_plugins((ViewerPlugin, NativePlugin));
    let mut workbench = app.world_mut().resource_mut::<Workbench>();
    for wish in arguments.wishes() {
        workbench.perform(wish);
    }
    match task {
        Some(Task::Open(files)) => {
            let mut workbench = app.world_mut().resource_mut::<Workbench>();
            let requests = workbench.session.handed_over(files);
            workbench.ask(requests);
        }
        Some(task) => app.world_mut().resource_mut::<Opening>().start(task),
        None => {}
    }
    app.insert_resource(OnceOpen(arguments.wishes_once_open()));
    app.run();
    Ok(())
}

/// What only a window can do.
struct NativePlugin;

impl Plugin for NativePlugin {
    fn build(&self, app: &mut App) {
        app.insert_resource(WinitSettings {
            focused_mode: bevy::winit::UpdateMode::reactive_low_power(IDLE),
            unfocused_mode: bevy::winit::UpdateMode::reactive_low_power(IDLE),
        })
        .init_resource::<Dialogs>()
        .init_resource::<shelf::ShelfAnswers>()
        .init_resource::<AskedToClose>()
        .add_systems(
            Update,
            (
                do_once_open,
                answer_requests,
                hear_dialogs,
                shelf::hear_shelf,
                take_dropped_files,
                follow_theme,
                name_window,
                close,
            )
                .chain(),
        );
    }
}

/// What to do once a job is open.
#[derive(Resource)]
struct OnceOpen(Vec<Action>);

/// Answers awaited from dialogs on their threads.
#[derive(Resource, Default)]
struct Dialogs(Vec<Mutex<Receiver<Option<Chosen>>>>);

/// Whether closing was asked for while changes were unsaved.
#[derive(Resource, Default)]
struct AskedToClose(bool);

enum Chosen {
    ToOpen(PathBuf),
    ToSave(PathBuf),
    NotToSave,
}

fn do_once_open(
    mut wishes: ResMut<OnceOpen>,
    mut workbench: ResMut<Workbench>,
    sight: Res<crate::camera::Sight>,
) {
    if wishes.0.is_empty() || !workbench.session.is_open() || !sight.is_laid_out() {
        return;
    }
    for wish in std::mem::take(&mut wishes.0) {
        workbench.perform(wish);
    }
}

fn answer_requests(
    mut workbench: ResMut<Workbench>,
    mut opening: ResMut<Opening>,
    mut dialogs: ResMut<Dialogs>,
    mut shelf: ResMut<shelf::ShelfAnswers>,
) {
    let requests = workbench
        .bypass_change_detection()
        .take(Request::is_for_platform);
    for request in requests {
        match request {
            Request::OpenDialog => dialogs.0.push(ask(|| {
                rfd::FileDialog::new()
                    .set_title("Open a job, a hull or a mesh")
                    .add_filter("Jobs, hulls, meshes", &kind::extensions())
                    .add_filter("All files", &["*"])
                    .pick_file()
                    .map(Chosen::ToOpen)
            })),
            Request::OpenPath(path) => opening.start(on_disk(Path::new(&path))),
            Request::Save { path } if Path::new(&path).is_absolute() => {
                save(&mut workbench, Path::new(&path));
            }
            Request::Save { path: name } | Request::SaveDialog { name } => {
                let name = name.rsplit('/').next().unwrap_or(&name).to_owned();
                dialogs.0.push(ask(move || {
                    rfd::FileDialog::new()
                        .set_title("Save the job")
                        .set_file_name(name)
                        .add_filter("Jobs", &["json"])
                        .save_file()
                        .map(Chosen::ToSave)
                        .or(Some(Chosen::NotToSave))
                }));
            }
            Request::ShelfList
            | Request::ShelfPut(_)
            | Request::ShelfGet(_)
            | Request::ShelfRemove(_) => shelf.ask(request),
            _ => {}
        }
    }
}

/// Runs a dialog on a thread of its own, so that the window goes on drawing.
fn ask(
    dialog: impl FnOnce() -> Option<Chosen> + Send + 'static,
) -> Mutex<Receiver<Option<Chosen>>> {
    let (sender, receiver) = channel();
    std::thread::spawn(move || {
        // Nobody listens any more only when the window is gone.
        let _ = sender.send(dialog());
    });
    Mutex::new(receiver)
}

fn hear_dialogs(
    mut dialogs: ResMut<Dialogs>,
    mut workbench: ResMut<Workbench>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    if !dialogs.0.is_empty() {
        redraw.write(RequestRedraw);
    }
    let mut answers = Vec::new();
    dialogs.bypass_change_detection().0.retain_mut(|dialog| {
        use std::sync::mpsc::TryRecvError;
        let Ok(receiver) = dialog.get_mut() else {
            return false;
        };
        match receiver.try_recv() {
            Ok(answer) => {
                answers.extend(answer);
                false
            }
            Err(TryRecvError::Disconnected) => false,
            Err(TryRecvError::Empty) => true,
        }
    });
    for answer in answers {
        match answer {
            Chosen::ToOpen(path) => hand_over(&mut workbench, path),
            Chosen::ToSave(path) => save(&mut workbench, &path),
            Chosen::NotToSave => workbench.session.save_given_up(),
        }
    }
}

/// Writes the job, and what it needs beside it.
fn save(workbench: &mut Workbench, path: &Path) {
    let session = &mut workbench.session;
    let (Some(job), Some(files)) = (session.job(), session.files()) else {
        return;
    };
    match save_job(path, job, files) {
        Ok(saved) => {
            let requests = session.saved(&path.display().to_string(), saved);
            workbench.ask(requests);
        }
        Err(error) => session.failed("The job was not saved", error.to_string()),
    }
}

/// Opens a file of the disk: a job, a hull description or a mesh.
fn on_disk(path: &Path) -> Task {
    Task::Open(Files::Disk(path.to_owned()))
}

/// Hands over what was dropped: of several files the main one, which finds the others beside it.
fn take_dropped_files(mut drops: MessageReader<FileDragAndDrop>, mut workbench: ResMut<Workbench>) {
    let paths = drops.read().filter_map(|drop| match drop {
        FileDragAndDrop::DroppedFile { path_buf, .. } => Some(path_buf),
        _ => None,
    });
    if let Some(path) = paths.min_by_key(|path| kind_on_disk(path)) {
        hand_over(&mut workbench, path.clone());
    }
}

/// Hands a file of the disk to the session.
fn hand_over(workbench: &mut Workbench, path: PathBuf) {
    let requests = workbench.session.handed_over(Files::Disk(path));
    workbench.ask(requests);
}

fn follow_theme(
    mut changes: MessageReader<WindowThemeChanged>,
    mut system: ResMut<SystemIsDark>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    for change in changes.read() {
        system.set_if_neq(SystemIsDark(change.theme == WindowTheme::Dark));
        redraw.write(RequestRedraw);
    }
}

fn name_window(workbench: Res<Workbench>, mut window: Query<&mut Window, With<PrimaryWindow>>) {
    let session = &workbench.session;
    let unsaved = if session.is_dirty() { "• " } else { "" };
    let title = match session.job() {
        Some(job) => format!("{unsaved}{} – Keelstead", job.name),
        None => "Keelstead".to_owned(),
    };
    if let Ok(mut window) = window.single_mut()
        && window.title != title
    {
        window.title = title;
    }
}

/// Closes the window; with unsaved changes only when asked twice.
fn close(
    mut asked: MessageReader<WindowCloseRequested>,
    mut once: ResMut<AskedToClose>,
    mut workbench: ResMut<Workbench>,
    mut exit: MessageWriter<AppExit>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    let session = &workbench.session;
    let (dirty, loses) = (session.is_dirty(), session.has_something_to_lose());
    if !loses {
        once.bypass_change_detection().0 = false;
    }
    for _ in asked.read() {
        if loses && !once.0 {
            once.0 = true;
            let (title, text) = if dirty {
                (
                    "There are changes that are not saved",
                    "Save them, or close the window once more to lose them.",
                )
            } else {
                (
                    "A hull is half brought in",
                    "Put it on the shelf or to use, or close the window once more to lose it.",
                )
            };
            workbench.session.say(Level::Error, title, text);
            redraw.write(RequestRedraw);
        } else {
            exit.write(AppExit::Success);
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn sizes_are_read_and_nonsense_is_refused() {
        assert_eq!(parse_size("1280x800").unwrap(), (1280, 800));
        assert_eq!(parse_size("390 × 844").unwrap(), (390, 844));
        for bad in ["", "1280", "0x800", "1280x", "axb", "99999x10"] {
            assert!(parse_size(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn the_command_line_is_sound() {
        use clap::CommandFactory;
        Arguments::command().debug_assert();
    }
}
