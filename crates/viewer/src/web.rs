//! The page: canvas, dropped and chosen files, downloads, the findings as text, and the hooks that
//! scripts and tests use.

use std::cell::{Cell, RefCell};
use std::sync::Arc;
use std::time::Duration;

use bevy::prelude::*;
use bevy::window::RequestRedraw;
use bevy::winit::{EventLoopProxyWrapper, UpdateMode, WinitSettings, WinitUserEvent};
use keelstead::check::{check, check_as_drawn};
use keelstead::findings::Findings;
use keelstead_boat::hull::Hull;
use keelstead_files::given::Given;
use keelstead_files::kind;
use keelstead_files::save::{Saved, job_text};
use keelstead_load::load::Load;
use keelstead_load::rig::Rig;
use keelstead_workbench::Session;
use keelstead_workbench::action::{Action, Request};
use keelstead_workbench::message::Loading;
use keelstead_workbench::mirror::mirror_html;
use keelstead_workbench::task::Files;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Document, HtmlElement, HtmlInputElement};

use crate::app::{ViewerPlugin, Workbench, quiet_log};
use crate::opening::{self, Opening};
use crate::panels::SystemIsDark;
use crate::shelf::ShelfAnswer;

/// How long an idle page waits before it draws again: nothing waits for it, all that comes from outside wakes it.
const IDLE: Duration = Duration::from_secs(60);
/// Least time between two changes of the text, s: a listener is not interrupted at every pixel of
/// a drag.
const TEXT_EVERY_S: f64 = 0.4;
/// How long the page gets to show that it is busy before a reading takes its only thread, ms.
const BREATH_MS: i32 = 60;
/// The scene's canvas.
const CANVAS: &str = "#keelstead-canvas";

thread_local! {
    /// What the page's events leave for the app.
    static INBOX: RefCell<Vec<Letter>> = const { RefCell::new(Vec::new()) };
    /// How long the checks took that the page's hook asked for, ms; none until they are done.
    static CHECKS_MS: Cell<Option<f64>> = const { Cell::new(None) };
    /// The findings as JSON, for the page's hook.
    static FINDINGS: RefCell<String> = RefCell::new("null".into());
    /// What is being read, how far it is, and what is done now, as JSON for the page's hook.
    static LOADING: RefCell<String> = RefCell::new("null".into());
    /// Whether leaving the page would lose something.
    static LOSES: Cell<bool> = const { Cell::new(false) };
    /// Wakes the app when it idles.
    static WAKER: RefCell<Option<Box<dyn Fn()>>> = const { RefCell::new(None) };
}

/// A way to check a job.
type Check = fn(&Hull, &Rig, &Load) -> Findings;

/// Something the page hands to the app.
enum Letter {
    Action(Action),
    Files(Vec<Given>),
    Shelf(ShelfAnswer),
    Trouble(String),
    TimeChecks(u32, Check),
}

mod shelf;
pub mod worker;

/// Runs the page, or serves it where the program finds itself in a worker.
pub fn main() {
    if web_sys::window().is_some() {
        run();
    } else {
        worker::serve::serve();
    }
}

fn run() {
    std::panic::set_hook(Box::new(tell_panic));
    if let Err(error) = add_hooks() {
        web_sys::console::error_1(&error);
    }
    let mut app = App::new();
    app.add_plugins(DefaultPlugins.set(quiet_log()).set(WindowPlugin {
        primary_window: Some(Window {
            title: "Keelstead".into(),
            canvas: Some(CANVAS.into()),
            fit_canvas_to_parent: true,
            // The keyboard of a phone comes up only so; keys that belong to the browser are kept
            // from the canvas by `leave_browser_keys`.
            prevent_default_event_handling: true,
            ..default()
        }),
        ..default()
    }))
    .add_plugins((ViewerPlugin, WebPlugin));
    let named = asked_for();
    let path = match &named {
        Some(name) => opening::demo_path(name),
        None => opening::demo_jobs().next(),
    };
    match (path, named) {
        (Some(path), _) => app
            .world_mut()
            .resource_mut::<Opening>()
            .start(opening::demo(path)),
        (None, Some(name)) => {
            let mut workbench = app.world_mut().resource_mut::<Workbench>();
            let known: Vec<&str> = opening::demo_jobs().collect();
            let text = format!(
                "there is no demo job {name:?}; there are {}",
                known.join(", ")
            );
            workbench.session.failed("The job was not opened", text);
        }
        (None, None) => {}
    }
    app.run();
}

/// What only a page can do.
struct WebPlugin;

impl Plugin for WebPlugin {
    fn build(&self, app: &mut App) {
        app.insert_resource(WinitSettings {
            focused_mode: UpdateMode::reactive_low_power(IDLE),
            unfocused_mode: UpdateMode::reactive_low_power(IDLE),
        })
        .init_resource::<Told>()
        .add_systems(Startup, keep_waker)
        .add_systems(
            Update,
            (read_inbox, answer_requests, follow_theme, tell_page).chain(),
        );
    }
}

/// What the page was last told.
#[derive(Resource, Default)]
struct Told {
    findings: Option<u64>,
    text: Option<(u64, Option<String>)>,
    loading: Option<Loading>,
    text_at_s: f64,
    ready: bool,
}

fn keep_waker(proxy: Res<EventLoopProxyWrapper>) {
    let proxy = (**proxy).clone();
    let wake = move || {
        // Fails only once the app is gone.
        let _ = proxy.send_event(WinitUserEvent::WakeUp);
    };
    WAKER.with_borrow_mut(|waker| *waker = Some(Box::new(wake)));
}

/// Leaves something for the app and wakes it.
fn post(letter: Letter) {
    INBOX.with_borrow_mut(|inbox| inbox.push(letter));
    wake();
}

fn read_inbox(
    mut workbench: ResMut<Workbench>,
    mut opening: ResMut<Opening>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    for letter in INBOX.with_borrow_mut(std::mem::take) {
        redraw.write(RequestRedraw);
        match letter {
            Letter::Action(action) => workbench.perform(action),
            Letter::Files(files) => {
                let requests = workbench.session.handed_over(Files::Given(files));
                workbench.ask(requests);
            }
            Letter::Shelf(answer) => answer.deliver(&mut workbench, &mut opening),
            Letter::Trouble(text) => workbench.session.failed("The file was not opened", text),
            Letter::TimeChecks(times, how) => {
                CHECKS_MS.set(time_checks(&workbench.session, times, how));
            }
        }
    }
}

/// Checks the open job `times` times, whole or as drawn, each with the hull a millimetre further forward as under a hand
/// that drags it, and says how long that took, ms.
fn time_checks(session: &Session, times: u32, how: Check) -> Option<f64> {
    let (hull, rig, mut load) = (session.hull()?, session.rig()?, session.load()?.clone());
    let clock = web_sys::window()?.performance()?;
    let start = clock.now();
    for _ in 0..times {
        load.stand.x_m += 1e-3;
        std::hint::black_box(how(hull, rig, &load));
    }
    Some(clock.now() - start)
}

fn answer_requests(mut workbench: ResMut<Workbench>) {
    let requests = workbench
        .bypass_change_detection()
        .take(Request::is_for_platform);
    for request in requests {
        match request {
            Request::OpenDialog => {
                if let Err(error) = choose_files() {
                    let text = format!("the browser refused to show its file dialog: {error:?}");
                    workbench.session.failed("No file was chosen", text);
                }
            }
            Request::OpenPath(path) => workbench.session.failed(
                "The file was not opened",
                format!("{path}: a page cannot open files by path; drop the file on the page"),
            ),
            Request::Save { path: name } | Request::SaveDialog { name } => {
                save(&mut workbench, &name)
            }
            Request::ShelfList
            | Request::ShelfPut(_)
            | Request::ShelfGet(_)
            | Request::ShelfRemove(_) => shelf::ask(request),
            // The text of the page is a live region: it announces itself.
            _ => {}
        }
    }
}

/// Hands the job over as a download, with what was made for it here. The other files it needs are
/// the person's own, or the demo's in this page.
fn save(workbench: &mut Workbench, path: &str) {
    let name = path.rsplit('/').next().unwrap_or(path).to_owned();
    let session = &mut workbench.session;
    let (Some(job), Some(files)) = (session.job().cloned(), session.files().cloned()) else {
        return;
    };
    let text = match job_text(&job, &name) {
        Ok(text) => text,
        Err(error) => {
            session.failed("The job was not saved", error.to_string());
            return;
        }
    };
    for (name, bytes) in files.made().chain([(name.as_str(), text.as_bytes())]) {
        if let Err(error) = download(name, bytes) {
            let text = format!("{name}: the browser refused the download: {error:?}");
            session.failed("The job was not saved", text);
            return;
        }
    }
    let saved = Saved {
        job,
        files,
        brought: Vec::new(),
    };
    let requests = session.saved(&name, saved);
    workbench.ask(requests);
}

fn follow_theme(mut system: ResMut<SystemIsDark>, mut redraw: MessageWriter<RequestRedraw>) {
    let dark = web_sys::window().and_then(|window| is_dark(&window));
    if let Some(dark) = dark
        && system.set_if_neq(SystemIsDark(dark.matches()))
    {
        redraw.write(RequestRedraw);
    }
}

/// Whether the device is set to dark, asked of the browser.
fn is_dark(window: &web_sys::Window) -> Option<web_sys::MediaQueryList> {
    let asked = window.match_media("(prefers-color-scheme: dark)");
    asked.ok().flatten()
}

/// Keeps the page's text and hooks as the session is, and says when the first report stands.
fn tell_page(
    workbench: Res<Workbench>,
    opening: Res<Opening>,
    time: Res<Time<Real>>,
    mut told: ResMut<Told>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    let session = &workbench.session;
    let revision = Some(session.revision());
    let now_s = time.elapsed_secs_f64();
    LOSES.set(session.has_something_to_lose());
    if told.findings != revision {
        let json = serde_json::to_string(&session.findings());
        FINDINGS.with_borrow_mut(|findings| *findings = json.unwrap_or_else(|_| "null".into()));
        told.findings = revision;
    }
    if told.loading.as_ref() != session.loading_now() {
        told.loading = session.loading_now().cloned();
        let json = told.loading.as_ref().map(|loading| {
            serde_json::json!({
                "name": loading.name, "fraction": loading.fraction, "doing": loading.doing,
            })
        });
        LOADING.set(json.map_or_else(|| "null".into(), |json| json.to_string()));
    }
    // Of a reading the text says that it goes on, not every step.
    let name = told.loading.as_ref().map(|loading| loading.name.clone());
    let text = Some((session.revision(), name));
    if told.text != text && told.ready && now_s - told.text_at_s <= TEXT_EVERY_S {
        redraw.write(RequestRedraw);
    } else if told.text != text {
        if let Some(mirror) = document().and_then(|d| d.get_element_by_id("mirror")) {
            mirror.set_inner_html(&mirror_html(session));
        }
        told.text = text;
        told.text_at_s = now_s;
    }
    if !told.ready && !opening.is_busy() {
        told.ready = true;
        let root = document().and_then(|document| document.document_element());
        if let Some(root) = root {
            // Fails only for a name that is none.
            let _ = root.set_attribute("data-keelstead", "ready");
        }
    }
}

/// Does `work` after the page has had time to show that it is busy.
pub fn after_a_breath(work: impl FnOnce() + 'static) {
    let work = Closure::once_into_js(move || {
        work();
        wake();
    });
    if let Some(window) = web_sys::window() {
        let asked = window
            .set_timeout_with_callback_and_timeout_and_arguments_0(work.unchecked_ref(), BREATH_MS);
        if let Err(error) = asked {
            web_sys::console::error_1(&error);
        }
    }
}

fn wake() {
    WAKER.with_borrow(|waker| {
        if let Some(waker) = waker {
            waker();
        }
    });
}

fn document() -> Option<Document> {
    web_sys::window()?.document()
}

/// The demo job named in the page's address: `?job=NAME` or `?demo=NAME`.
fn asked_for() -> Option<String> {
    let search = web_sys::window()?.location().search().ok()?;
    let questions = web_sys::UrlSearchParams::new_with_str(&search).ok()?;
    questions.get("job").or_else(|| questions.get("demo"))
}

/// Says in the console and on the page that the program has stopped.
fn tell_panic(info: &std::panic::PanicHookInfo) {
    console_error_panic_hook::hook(info);
    // It is lost already, and the page is to be loaded again.
    LOSES.set(false);
    let Some(window) = web_sys::window() else {
        return;
    };
    let detail = web_sys::CustomEventInit::new();
    detail.set_detail(&JsValue::from_str(&info.to_string()));
    let event = web_sys::CustomEvent::new_with_event_init_dict("keelstead:panic", &detail);
    if let Ok(event) = event {
        // Nothing is left to tell it to if that fails too.
        let _ = window.dispatch_event(&event);
    }
}

/// `keelstead.perform(json)`, `keelstead.findings()`, `keelstead.loading()`, for benches `keelstead.timeChecks(times, whole)` and
/// `keelstead.checksTook()`, dropped files, and the browser's own keys.
fn add_hooks() -> Result<(), JsValue> {
    let window = web_sys::window().ok_or("the page has no window")?;
    let hooks = js_sys::Object::new();
    let perform = Closure::<dyn Fn(String) -> Result<(), JsValue>>::new(|json: String| {
        let action: Action = serde_json::from_str(&json).map_err(|error| {
            JsValue::from(js_sys::Error::new(&format!("no such action: {error}")))
        })?;
        post(Letter::Action(action));
        Ok(())
    });
    let findings = Closure::<dyn Fn() -> String>::new(|| FINDINGS.with_borrow(String::clone));
    js_sys::Reflect::set(&hooks, &"perform".into(), &perform.into_js_value())?;
    js_sys::Reflect::set(&hooks, &"findings".into(), &findings.into_js_value())?;
    let loading = Closure::<dyn Fn() -> String>::new(|| LOADING.with_borrow(String::clone));
    js_sys::Reflect::set(&hooks, &"loading".into(), &loading.into_js_value())?;
    let time_checks = Closure::<dyn Fn(u32, bool)>::new(|times, whole| {
        CHECKS_MS.set(None);
        let how: Check = if whole { check } else { check_as_drawn };
        post(Letter::TimeChecks(times, how));
    });
    let checks_took = Closure::<dyn Fn() -> Option<f64>>::new(|| CHECKS_MS.get());
    js_sys::Reflect::set(&hooks, &"timeChecks".into(), &time_checks.into_js_value())?;
    js_sys::Reflect::set(&hooks, &"checksTook".into(), &checks_took.into_js_value())?;
    js_sys::Reflect::set(&window, &"keelstead".into(), &hooks)?;
    if let Some(dark) = is_dark(&window) {
        let changed = Closure::<dyn Fn()>::new(wake).into_js_value();
        dark.add_event_listener_with_callback("change", changed.unchecked_ref())?;
    }
    take_drops(&window)?;
    ask_before_leaving(&window)?;
    leave_browser_keys(&window)
}

/// Takes files dropped anywhere on the page.
fn take_drops(window: &web_sys::Window) -> Result<(), JsValue> {
    let over = Closure::<dyn Fn(web_sys::DragEvent)>::new(|event: web_sys::DragEvent| {
        event.prevent_default();
    });
    let dropped = Closure::<dyn Fn(web_sys::DragEvent)>::new(|event: web_sys::DragEvent| {
        event.prevent_default();
        if let Some(files) = event.data_transfer().and_then(|data| data.files()) {
            read_files(&files);
        }
    });
    window.add_event_listener_with_callback("dragover", over.into_js_value().unchecked_ref())?;
    window.add_event_listener_with_callback("drop", dropped.into_js_value().unchecked_ref())
}

/// Has the browser ask before the page is left or loaded again, if something would be lost; the words are its own.
fn ask_before_leaving(window: &web_sys::Window) -> Result<(), JsValue> {
    let page = window.clone();
    let leave = Closure::<dyn Fn(web_sys::Event)>::new(move |event: web_sys::Event| {
        if LOSES.get() && was_touched(&page) {
            event.prevent_default();
            // Older browsers ask only for this; it fails only on what is no object.
            let _ = js_sys::Reflect::set(&event, &"returnValue".into(), &JsValue::TRUE);
        }
    });
    let leave = leave.into_js_value();
    window.add_event_listener_with_callback("beforeunload", leave.unchecked_ref())
}

/// Whether somebody has pressed anything in the page: browsers ask nobody else, and log an error if they are told to.
fn was_touched(window: &web_sys::Window) -> bool {
    let activation = js_sys::Reflect::get(&window.navigator(), &"userActivation".into());
    let active = activation
        .and_then(|activation| js_sys::Reflect::get(&activation, &"hasBeenActive".into()));
    // A browser that does not tell it asks as it sees fit.
    active
        .ok()
        .and_then(|active| active.as_bool())
        .unwrap_or(true)
}

/// Keeps keys that belong to the browser from the canvas, which would swallow them.
fn leave_browser_keys(window: &web_sys::Window) -> Result<(), JsValue> {
    /// Keys that with Ctrl or Cmd are the workbench's.
    const OURS: [&str; 11] = [
        "o",
        "s",
        "z",
        "y",
        "a",
        "c",
        "x",
        "ArrowLeft",
        "ArrowRight",
        "ArrowUp",
        "ArrowDown",
    ];
    let leave = Closure::<dyn Fn(web_sys::KeyboardEvent)>::new(|event: web_sys::KeyboardEvent| {
        let key = event.key();
        let function = matches!(key.as_str(), "F3" | "F5" | "F6" | "F7" | "F11" | "F12");
        let command = event.ctrl_key() || event.meta_key();
        let ours = OURS.iter().any(|ours| key.eq_ignore_ascii_case(ours));
        let modifier = matches!(key.as_str(), "Control" | "Meta" | "Shift" | "Alt");
        if function || event.alt_key() && !modifier || (command && !ours && !modifier) {
            event.stop_propagation();
        }
    });
    window.add_event_listener_with_callback_and_bool(
        "keydown",
        leave.into_js_value().unchecked_ref(),
        true,
    )
}

/// Lets the person choose files.
fn choose_files() -> Result<(), JsValue> {
    let document = document().ok_or("the page has no document")?;
    let input: HtmlInputElement = document.create_element("input")?.dyn_into()?;
    input.set_type("file");
    input.set_multiple(true);
    let endings = kind::extensions()
        .iter()
        .map(|e| format!(".{e}"))
        .collect::<Vec<_>>();
    input.set_accept(&endings.join(","));
    let chosen = input.clone();
    let change = Closure::once_into_js(move || {
        if let Some(files) = chosen.files() {
            read_files(&files);
        }
    });
    input.set_onchange(Some(change.unchecked_ref()));
    input.click();
    Ok(())
}

/// Reads files and leaves them for the app together.
fn read_files(list: &web_sys::FileList) {
    let files: Vec<web_sys::File> = (0..list.length()).filter_map(|i| list.get(i)).collect();
    if files.is_empty() {
        return;
    }
    wasm_bindgen_futures::spawn_local(async move {
        let mut given = Vec::new();
        for file in files {
            let name = file.name();
            match read(&file).await {
                Ok(bytes) => given.push(Given::new(name, bytes)),
                Err(error) => {
                    post(Letter::Trouble(format!(
                        "{name}: cannot be read: {error:?}"
                    )));
                    return;
                }
            }
        }
        post(Letter::Files(given));
    });
}

/// Bytes of a file read before the page may do something else.
const STRETCH: usize = 1 << 22;

/// What a file holds, read stretch by stretch: frames keep coming meanwhile.
async fn read(file: &web_sys::File) -> Result<Arc<[u8]>, JsValue> {
    let length = file.size() as usize;
    let mut all: Arc<[u8]> = std::iter::repeat_n(0, length).collect();
    for from in (0..length).step_by(STRETCH) {
        let to = length.min(from + STRETCH);
        let stretch = file.slice_with_f64_and_f64(from as f64, to as f64)?;
        let buffer = wasm_bindgen_futures::JsFuture::from(stretch.array_buffer()).await?;
        let array = js_sys::Uint8Array::new(&buffer);
        // A file that is written to meanwhile may have become shorter.
        let room = Arc::get_mut(&mut all).and_then(|all| all.get_mut(from..to));
        let room = room.filter(|room| room.len() == array.length() as usize);
        array.copy_to(room.ok_or("it has changed while it was read; choose it again")?);
    }
    Ok(all)
}

/// Bytes of the browser, copied once.
fn bytes_of(array: &js_sys::Uint8Array) -> Arc<[u8]> {
    let mut bytes: Arc<[u8]> = std::iter::repeat_n(0, array.length() as usize).collect();
    if let Some(bytes) = Arc::get_mut(&mut bytes) {
        array.copy_to(bytes);
    }
    bytes
}

/// Hands bytes over as a file of this name.
fn download(name: &str, bytes: &[u8]) -> Result<(), JsValue> {
    let document = document().ok_or("the page has no document")?;
    let parts = js_sys::Array::of1(&js_sys::Uint8Array::from(bytes));
    let kind = web_sys::BlobPropertyBag::new();
    kind.set_type("application/octet-stream");
    let blob = web_sys::Blob::new_with_u8_array_sequence_and_options(&parts, &kind)?;
    let url = web_sys::Url::create_object_url_with_blob(&blob)?;
    let link: HtmlElement = document.create_element("a")?.dyn_into()?;
    link.set_attribute("href", &url)?;
    link.set_attribute("download", name)?;
    link.click();
    web_sys::Url::revoke_object_url(&url)
}
