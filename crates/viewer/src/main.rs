//! The window, the picture, or the page.

#[cfg(not(target_arch = "wasm32"))]
fn main() -> anyhow::Result<()> {
    keelstead_viewer::native::run()
}

#[cfg(target_arch = "wasm32")]
fn main() {
    keelstead_viewer::web::main();
}
