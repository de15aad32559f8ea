//! The built page in a real browser: Chromium without a window, driven by ChromeDriver, drawing in software.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail, ensure};
use fantoccini::wd::{Capabilities, WebDriverCompatibleCommand};
use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use xtask::serve::StaticServer;
use xtask::{place, setup};

/// Software drawing, and no traffic of the browser's own.
pub const FLAGS: &[&str] = &[
    "--headless=new",
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--hide-scrollbars",
];

/// Without any drawing in three dimensions, as on a machine whose driver is blocked.
pub const NO_WEBGL: &[&str] = &[
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-3d-apis",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
];

/// A desk's screen.
pub const DESK: (u32, u32) = (1280, 800);
/// A phone held upright.
pub const PHONE: (u32, u32) = (390, 844);

/// Serves the built page under `prefix` ("" for the root) on a free port.
///
/// # Errors
/// Fails where the page has not been built.
pub fn serve_page(prefix: &str) -> Result<(StaticServer, String)> {
    let dist = place::dist();
    ensure!(
        dist.join("index.html").is_file(),
        "{} holds no page: run cargo xtask web first",
        dist.display()
    );
    let server = StaticServer::start(&dist, prefix, 0)?;
    let address = format!("http://localhost:{}{prefix}/", server.address().port());
    Ok((server, address))
}

/// One browser with one page. Ends with its value.
pub struct Browser {
    client: Client,
    // Ends the browser too; after the client in order, so that it goes last.
    _driver: Driver,
    // Cookies, caches and service workers of this browser alone.
    _profile: tempfile::TempDir,
}

/// ChromeDriver, ended with its value.
struct Driver {
    process: Child,
    port: u16,
    session: Option<String>,
}

impl Drop for Driver {
    fn drop(&mut self) {
        // Only closing the session ends the browser: a ChromeDriver that is killed leaves it running. Without the
        // client, because that needs an executor, and a test that has failed is leaving its own.
        if let Some(session) = &self.session {
            let closed = close_session(self.port, session);
            if let Err(error) = closed {
                eprintln!("a browser may be left running: {error}");
            }
        }
        // It has ended already, or there is nothing more to be done about it.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

fn close_session(port: u16, session: &str) -> std::io::Result<()> {
    let mut driver = TcpStream::connect(("127.0.0.1", port))?;
    driver.set_read_timeout(Some(Duration::from_secs(10)))?;
    write!(
        driver,
        "DELETE /session/{session} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"
    )?;
    // It answers once the browser has ended.
    driver.read(&mut [0; 64]).map(drop)
}

impl Browser {
    /// Starts a browser with the usual flags and a page of `size` CSS pixels.
    ///
    /// # Errors
    /// Fails where Chromium or ChromeDriver is missing or does not start.
    pub async fn start(size: (u32, u32)) -> Result<Self> {
        Self::start_with(FLAGS, size).await
    }

    /// The same with flags of its own.
    ///
    /// # Errors
    /// As [`Browser::start`].
    pub async fn start_with(flags: &[&str], size: (u32, u32)) -> Result<Self> {
        let chromium = setup::chromium().context("no Chromium: run cargo xtask setup")?;
        let mut driver = start_driver()?;
        let profile = tempfile::tempdir()?;
        let mut args: Vec<String> = flags.iter().map(|&flag| flag.to_owned()).collect();
        args.push(format!("--user-data-dir={}", profile.path().display()));
        args.push(format!("--window-size={},{}", size.0.max(500), size.1));
        let wanted = json!({
            "goog:chromeOptions": { "binary": chromium, "args": args },
            "goog:loggingPrefs": { "browser": "ALL" },
        });
        let wanted: Capabilities = serde_json::from_value(wanted)?;
        let mut builder = ClientBuilder::new(HttpConnector::new());
        builder.capabilities(wanted);
        let client = builder
            .connect(&format!("http://127.0.0.1:{}", driver.port))
            .await;
        let client = client.context("starting Chromium")?;
        driver.session = client.session_id().await?;
        let browser = Self {
            client,
            _driver: driver,
            _profile: profile,
        };
        browser.resize(size).await?;
        Ok(browser)
    }

    /// The client, for clicking, typing and what else the protocol offers.
    pub fn client(&self) -> &Client {
        &self.client
    }

    /// Opens `address` and waits until the viewer has shown its first report.
    ///
    /// # Errors
    /// Fails where the page says that it cannot, or takes too long; the message carries what the page says.
    pub async fn open(&self, address: &str) -> Result<()> {
        self.client.goto(address).await?;
        self.wait_for_state("ready").await
    }

    /// Waits for `<html data-keelstead>` to say `state`. Minutes, because the drawing is done in software, maybe beside
    /// a compiler; a page that has failed is not waited for.
    ///
    /// # Errors
    /// Fails after two minutes, or when another final state is reached.
    pub async fn wait_for_state(&self, state: &str) -> Result<()> {
        let deadline = Instant::now() + Duration::from_secs(120);
        loop {
            let now = self
                .eval("return document.documentElement.dataset.keelstead ?? ''")
                .await?;
            if now == state {
                return Ok(());
            }
            if now == "failed" || now == "unsupported" || Instant::now() > deadline {
                let page = self
                    .eval("return document.querySelector('#trouble')?.innerText ?? ''")
                    .await?;
                bail!(
                    "the page is {now}, not {state}; it says {page}; console: {:#?}",
                    self.console().await?
                );
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
    }

    /// Runs `script` as the body of a function in the page, and returns what it returns.
    ///
    /// # Errors
    /// Fails where the script throws.
    pub async fn eval(&self, script: &str) -> Result<Value> {
        self.client
            .execute(script, Vec::new())
            .await
            .with_context(|| format!("running in the page: {script}"))
    }

    /// Makes the page `size` CSS pixels, also narrower than a browser's window can be.
    ///
    /// # Errors
    /// Fails where the browser does.
    pub async fn resize(&self, size: (u32, u32)) -> Result<()> {
        let metrics =
            json!({ "width": size.0, "height": size.1, "deviceScaleFactor": 1, "mobile": false });
        self.send(
            "goog/cdp/execute",
            json!({ "cmd": "Emulation.setDeviceMetricsOverride", "params": metrics }),
        )
        .await?;
        Ok(())
    }

    /// What the console has said since the last call, as (level, message).
    ///
    /// # Errors
    /// Fails where the browser does.
    pub async fn console(&self) -> Result<Vec<(String, String)>> {
        let log = self.send("se/log", json!({ "type": "browser" })).await?;
        let text = |entry: &Value, key| entry[key].as_str().unwrap_or_default().to_owned();
        Ok(log
            .as_array()
            .context("no log")?
            .iter()
            .map(|entry| (text(entry, "level"), text(entry, "message")))
            .collect())
    }

    /// The errors among what the console has said since the last call.
    ///
    /// # Errors
    /// Fails where the browser does.
    pub async fn console_errors(&self) -> Result<Vec<String>> {
        let said = self.console().await?;
        Ok(said
            .into_iter()
            .filter(|(level, _)| level == "SEVERE")
            .map(|(_, message)| message)
            .collect())
    }

    /// Writes what is on the page into a PNG file.
    ///
    /// # Errors
    /// Fails where the browser does, or the file cannot be written.
    pub async fn screenshot(&self, file: &Path) -> Result<()> {
        let png = self.client.screenshot().await?;
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder)?;
        }
        std::fs::write(file, png).with_context(|| format!("writing {}", file.display()))
    }

    /// A command of ChromeDriver's own.
    async fn send(&self, path: &'static str, body: Value) -> Result<Value> {
        Ok(self.client.issue_cmd(Extension { path, body }).await?)
    }
}

/// Starts ChromeDriver on a free port.
fn start_driver() -> Result<Driver> {
    let program = setup::chromedriver().context("no ChromeDriver: run cargo xtask setup")?;
    let mut start = Command::new(&program);
    start
        .arg("--port=0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    let process = start
        .spawn()
        .with_context(|| format!("starting {}", program.display()))?;
    let mut driver = Driver {
        process,
        port: 0,
        session: None,
    };
    let output = driver
        .process
        .stdout
        .take()
        .context("ChromeDriver has no output")?;
    let mut lines = BufReader::new(output).lines();
    for line in lines.by_ref() {
        let line = line?;
        if let Some((_, port)) = line.split_once("successfully on port ") {
            let port = port.trim_end_matches('.').parse();
            driver.port = port.with_context(|| format!("no port in {line:?}"))?;
            // It goes on talking; a full pipe would stop it.
            std::thread::spawn(move || lines.for_each(drop));
            return Ok(driver);
        }
    }
    bail!("{} ended without naming a port", program.display())
}

/// A command below `/session/ID/` that the standard does not know.
#[derive(Debug)]
struct Extension {
    path: &'static str,
    body: Value,
}

impl WebDriverCompatibleCommand for Extension {
    fn endpoint(
        &self,
        base: &url::Url,
        session: Option<&str>,
    ) -> Result<url::Url, url::ParseError> {
        base.join(&format!(
            "session/{}/{}",
            session.unwrap_or_default(),
            self.path
        ))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.body.to_string()))
    }
}
