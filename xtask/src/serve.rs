//! A plain file server: no compression, no caching rules, no fallback. The page must need nothing more.

use std::fs::File;
use std::net::SocketAddr;
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;
use std::thread::JoinHandle;

use anyhow::{Context, Result, anyhow};
use tiny_http::{Header, Request, Response, Server};

/// Serves a folder until dropped.
pub struct StaticServer {
    server: Arc<Server>,
    address: SocketAddr,
    thread: Option<JoinHandle<()>>,
}

impl StaticServer {
    /// Starts to serve `folder` on this machine's own address at `port`, under `/prefix` ("" for the root).
    /// Port 0 takes a free one.
    ///
    /// # Errors
    /// Fails where the port is taken.
    pub fn start(folder: &Path, prefix: &str, port: u16) -> Result<Self> {
        let server = Server::http(("127.0.0.1", port)).map_err(|error| {
            anyhow!("serving at port {port}: {error}; is it taken by another program?")
        })?;
        let server = Arc::new(server);
        let address = server
            .server_addr()
            .to_ip()
            .context("the server has no address")?;
        let (folder, prefix) = (
            folder.to_owned(),
            format!("{}/", prefix.trim_end_matches('/')),
        );
        let listener = Arc::clone(&server);
        let thread = std::thread::spawn(move || {
            for request in listener.incoming_requests() {
                answer(request, &folder, &prefix);
            }
        });
        Ok(Self {
            server,
            address,
            thread: Some(thread),
        })
    }

    /// Where it listens.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Waits until it is stopped from outside.
    pub fn join(mut self) {
        if let Some(thread) = self.thread.take() {
            // A panic in the thread has printed itself already.
            let _ = thread.join();
        }
    }
}

impl Drop for StaticServer {
    fn drop(&mut self) {
        self.server.unblock();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn answer(request: Request, folder: &Path, prefix: &str) {
    let found = file_of(request.url(), prefix)
        .map(|file| folder.join(file))
        .filter(|file| file.is_file());
    // A client that hangs up while it is answered is no concern of a file server.
    let _ = match found.and_then(|path| Some((File::open(&path).ok()?, path))) {
        Some((file, path)) => {
            let response = Response::from_file(file);
            match Header::from_bytes("Content-Type", media_type(&path)) {
                Ok(header) => request.respond(response.with_header(header)),
                Err(()) => request.respond(response),
            }
        }
        None => request.respond(Response::from_string("not here").with_status_code(404)),
    };
}

/// The file that `url` asks for, relative to the served folder; none where it would lead out of it.
fn file_of(url: &str, prefix: &str) -> Option<PathBuf> {
    let path = url.split(['?', '#']).next()?.strip_prefix(prefix)?;
    let path = if path.is_empty() || path.ends_with('/') {
        format!("{path}index.html")
    } else {
        path.to_owned()
    };
    let path = PathBuf::from(path);
    path.components()
        .all(|part| matches!(part, Component::Normal(_)))
        .then_some(path)
}

fn media_type(path: &Path) -> &'static str {
    match path.extension().and_then(|extension| extension.to_str()) {
        Some("html") => "text/html; charset=utf-8",
        Some("js" | "mjs") => "text/javascript",
        Some("css") => "text/css",
        Some("wasm") => "application/wasm",
        Some("json") => "application/json",
        Some("webmanifest") => "application/manifest+json",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("woff2") => "font/woff2",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn serves_only_what_lies_in_the_folder() {
        assert_eq!(file_of("/", "/"), Some("index.html".into()));
        assert_eq!(file_of("/a.js?v=1", "/"), Some("a.js".into()));
        assert_eq!(file_of("/sub/path/a.js", "/sub/path/"), Some("a.js".into()));
        assert_eq!(file_of("/a.js", "/sub/path/"), None);
        assert_eq!(file_of("/../secret", "/"), None);
        assert_eq!(file_of("//etc/passwd", "/"), None);
    }
}
