//! A plain file server: no compression, no caching rules, no fallback. The page must need nothing more.
//!
//! Of our own, because a page is opened over several connections at once that a browser keeps: the small server crates
//! hold those back (tiny_http leaves one unread now and then), and the large ones take longer to build than the rest
//! of this command.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

use anyhow::{Context, Result};

/// Longer than any request of a browser's.
const REQUEST_LIMIT: u64 = 64 * 1024;
/// How long a client may say nothing.
const PATIENCE: Duration = Duration::from_secs(10);

/// Serves a folder until dropped.
pub struct StaticServer {
    address: SocketAddr,
    ended: Arc<AtomicBool>,
    listener: Option<JoinHandle<()>>,
}

impl StaticServer {
    /// Starts to serve `folder` on this machine's own address at `port`, under `/prefix` ("" for the root).
    /// Port 0 takes a free one.
    ///
    /// # Errors
    /// Fails where the port is taken.
    pub fn start(folder: &Path, prefix: &str, port: u16) -> Result<Self> {
        let socket = TcpListener::bind(("127.0.0.1", port))
            .with_context(|| format!("serving at port {port}: is it taken by another program?"))?;
        let address = socket.local_addr()?;
        let ended = Arc::new(AtomicBool::new(false));
        let (folder, prefix) = (
            folder.to_owned(),
            format!("{}/", prefix.trim_end_matches('/')),
        );
        let end = Arc::clone(&ended);
        let listener = std::thread::spawn(move || {
            for client in socket
                .incoming()
                .flatten()
                .take_while(|_| !end.load(Ordering::SeqCst))
            {
                let (folder, prefix) = (folder.clone(), prefix.clone());
                // A client that hangs up while it is answered is no concern of a file server.
                std::thread::spawn(move || answer(client, &folder, &prefix).ok());
            }
        });
        Ok(Self {
            address,
            ended,
            listener: Some(listener),
        })
    }

    /// Where it listens.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Waits until it is stopped from outside.
    pub fn join(mut self) {
        if let Some(listener) = self.listener.take() {
            // A panic in the thread has printed itself already.
            let _ = listener.join();
        }
    }
}

impl Drop for StaticServer {
    fn drop(&mut self) {
        self.ended.store(true, Ordering::SeqCst);
        // Wakes the listener.
        let woken = TcpStream::connect(self.address).is_ok();
        if let Some(listener) = self.listener.take().filter(|_| woken) {
            let _ = listener.join();
        }
    }
}

/// Answers one request and closes the connection.
fn answer(mut client: TcpStream, folder: &Path, prefix: &str) -> std::io::Result<()> {
    client.set_read_timeout(Some(PATIENCE))?;
    client.set_write_timeout(Some(PATIENCE))?;
    let mut lines = BufReader::new(client.try_clone()?.take(REQUEST_LIMIT)).lines();
    let Some(request) = lines.next().transpose()? else {
        return Ok(()); // a connection opened in advance and not used
    };
    // Reads the headers to their end: closing with some unread would cut the answer off.
    for line in lines {
        if line?.is_empty() {
            break;
        }
    }
    let file = match request.split(' ').collect::<Vec<_>>()[..] {
        ["GET", url, _] => file_of(url, prefix).map(|file| folder.join(file)),
        _ => None,
    };
    let (status, kind, body) = match file.and_then(|path| Some((fs::read(&path).ok()?, path))) {
        Some((bytes, path)) => ("200 OK", media_type(&path), bytes),
        None => ("404 Not Found", "text/plain", b"not here".to_vec()),
    };
    let length = body.len();
    write!(
        client,
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n"
    )?;
    client.write_all(&body)
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
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn answers_with_the_file_its_type_and_length() {
        let folder = crate::place::root().join("xtask/src");
        let server = StaticServer::start(&folder, "/sub", 0).unwrap();
        let ask = |path: &str| {
            let mut client = TcpStream::connect(server.address()).unwrap();
            write!(client, "GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").unwrap();
            let mut said = String::new();
            client.read_to_string(&mut said).unwrap();
            said
        };
        let said = ask("/sub/lib.rs?version=1");
        assert!(said.starts_with("HTTP/1.1 200 OK\r\n"), "{said}");
        assert!(said.ends_with(include_str!("lib.rs")), "{said}");
        assert!(ask("/sub/none.rs").starts_with("HTTP/1.1 404"));
        assert!(ask("/lib.rs").starts_with("HTTP/1.1 404"));
    }

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
