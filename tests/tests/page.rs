//! The built page, as a person with a browser meets it: it loads, tells what it cannot do, shows the command line's
//! findings, follows an edit, works from any path and without a network, and logs no error.
//!
//! `cargo xtask test` builds the page and runs these; each waits for the page's own mark, never for a time.
#![allow(clippy::unwrap_used)]

#[path = "page/measured.rs"]
mod measured;
#[path = "page/reading.rs"]
mod reading;
#[path = "page/weighing.rs"]
mod weighing;

use std::process::Command;

use anyhow::{Context, Result, ensure};
use keelstead_tests::browser::{Browser, DESK, FLAGS, NO_WEBGL, PHONE, serve_page};
use serde_json::Value;
use xtask::{demo, place, test};

/// Where screenshots go, for a look at them.
fn picture(name: &str) -> std::path::PathBuf {
    place::target().unwrap().join("page-pictures").join(name)
}

/// What the command line finds in the demo job of this name.
fn command_line_findings(job: &std::path::Path) -> Result<Value> {
    let output = Command::new(test::built("keelstead")?)
        .args(["check", "--json"])
        .arg(job)
        .output()?;
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let report: Value = serde_json::from_slice(&output.stdout)
        .with_context(|| format!("no findings of {}: {said}", job.display()))?;
    Ok(report["findings"].clone())
}

async fn page_findings(browser: &Browser) -> Result<Value> {
    let text = browser.eval("return keelstead.findings()").await?;
    Ok(serde_json::from_str(
        text.as_str().context("findings() gave no string")?,
    )?)
}

/// Asserts that both say the same: the same findings in the same order, every figure within a micrometre (a gram, a
/// millionth of a degree), which is far below what is shown and above what two machines' arithmetic differs by.
///
/// Where a flat pad lies along a flat side, many pairs of points are equally near, and rounding chooses one: of the two
/// ends of a gap only how far they are from each other has to agree.
fn assert_same(page: &Value, command_line: &Value, path: &str) {
    match (page, command_line) {
        (Value::Number(page), Value::Number(other)) => {
            let (page, other) = (page.as_f64().unwrap(), other.as_f64().unwrap());
            assert!(
                (page - other).abs() <= 1e-6 * other.abs().max(1.0),
                "{path}: page {page}, command line {other}"
            );
        }
        (Value::Array(page), Value::Array(other)) => {
            assert_eq!(page.len(), other.len(), "{path}");
            page.iter()
                .zip(other)
                .enumerate()
                .for_each(|(i, (p, o))| assert_same(p, o, &format!("{path}[{i}]")));
        }
        (Value::Object(page), Value::Object(other)) => {
            let names =
                |map: &serde_json::Map<String, Value>| map.keys().cloned().collect::<Vec<_>>();
            assert_eq!(names(page), names(other), "{path}");
            let [between, other_between] = [page, other].map(span_m);
            assert!(
                (between.unwrap_or(0.0) - other_between.unwrap_or(0.0)).abs() <= 1e-6,
                "{path}: page {between:?} m between the ends, command line {other_between:?}"
            );
            page.iter()
                .filter(|(name, _)| {
                    between.is_none() || !ENDS.as_flattened().contains(&name.as_str())
                })
                .for_each(|(name, value)| {
                    assert_same(value, &other[name], &format!("{path}.{name}"))
                });
        }
        _ => assert_eq!(page, command_line, "{path}"),
    }
}

/// What the two ends of a gap are called.
const ENDS: [[&str; 2]; 2] = [["on_hull", "on_rig"], ["hull", "rig"]];

/// How far the ends of a gap are from each other, if `map` has them.
fn span_m(map: &serde_json::Map<String, Value>) -> Option<f64> {
    ENDS.iter().find_map(|ends| {
        let [one, two] = ends.map(|end| map.get(end));
        let (one, two) = (one?, two?);
        let axes = ["x_m", "y_m", "z_m"].map(|axis| one[axis].as_f64().zip(two[axis].as_f64()));
        axes.into_iter()
            .map(|pair| pair.map(|(a, b)| (a - b) * (a - b)))
            .sum::<Option<f64>>()
            .map(f64::sqrt)
    })
}

/// Fails unless the text for screen readers holds the verdict and every finding, in order.
async fn mirrored(browser: &Browser, findings: &Value) -> Result<()> {
    let rows = browser
        .eval("return [...document.querySelectorAll('#mirror [data-finding]')].map(row => [row.dataset.finding, row.dataset.verdict, row.textContent])")
        .await?;
    let rows = rows.as_array().context("no rows")?;
    let list = findings["list"]
        .as_array()
        .context("findings have no list")?;
    ensure!(
        rows.len() == list.len(),
        "{} rows for {} findings",
        rows.len(),
        list.len()
    );
    for (row, finding) in rows.iter().zip(list) {
        ensure!(
            row[0] == finding["id"] && row[1] == finding["verdict"],
            "row {row} for {finding}"
        );
        let text = row[2].as_str().unwrap();
        for word in [&finding["title"], &finding["verdict"]] {
            ensure!(
                text.contains(word.as_str().unwrap()),
                "{word} is missing in {text:?}"
            );
        }
    }
    let headline = browser
        .eval("return document.querySelector('#mirror-verdict').dataset.verdict")
        .await?;
    ensure!(
        headline == findings["verdict"],
        "the verdict on the whole reads {headline}"
    );
    Ok(())
}

#[tokio::test]
async fn every_demo_job_says_what_the_command_line_says() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = Browser::start(DESK).await?;
    for job in demo::jobs()? {
        let name = job.file_stem().unwrap().to_string_lossy().into_owned();
        browser
            .open(&format!("{address}?job={name}"))
            .await
            .with_context(|| name.clone())?;
        let findings = page_findings(&browser).await?;
        assert_same(&findings, &command_line_findings(&job)?, &name);
        mirrored(&browser, &findings)
            .await
            .with_context(|| name.clone())?;
        browser.screenshot(&picture(&format!("{name}.png"))).await?;
    }
    assert_eq!(browser.console_errors().await?, Vec::<String>::new());
    Ok(())
}

#[tokio::test]
async fn an_edit_changes_the_findings_and_undo_brings_them_back() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = Browser::start(DESK).await?;
    browser.open(&address).await?;
    let before = page_findings(&browser).await?;
    browser
        .eval(r#"keelstead.perform('{"hull-forward": -9.5}')"#)
        .await?;
    wait_until(&browser, "the hull to move", async |browser| {
        Ok(page_findings(browser).await? != before)
    })
    .await?;
    let after = page_findings(&browser).await?;
    assert_ne!(after["trailer_from_hull"], before["trailer_from_hull"]);
    // The text follows in its own time, to spare a listener.
    wait_until(&browser, "the text to follow", async |browser| {
        Ok(mirrored(browser, &after).await.is_ok())
    })
    .await?;
    browser.eval(r#"keelstead.perform('"undo"')"#).await?;
    wait_until(&browser, "the hull to be back", async |browser| {
        Ok(page_findings(browser).await? == before)
    })
    .await?;
    assert_eq!(browser.console_errors().await?, Vec::<String>::new());
    Ok(())
}

#[tokio::test]
async fn under_a_hand_that_drags_nothing_reads_as_clear_until_it_rests() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = Browser::start(DESK).await?;
    browser.open(&format!("{address}?job=petrel-easy")).await?;
    let verdict = async |browser: &Browser| {
        let findings = page_findings(browser).await?;
        Ok::<_, anyhow::Error>(findings["verdict"].as_str().unwrap().to_owned())
    };
    assert_eq!(verdict(&browser).await?, "clear");
    browser
        .eval(
            "window.at = -11.2; window.hand = setInterval(() => {
               at += 1e-5; keelstead.perform(JSON.stringify({ 'hull-forward': at })); }, 15);",
        )
        .await?;
    wait_until(&browser, "the tolerances to wait", async |browser| {
        Ok(verdict(browser).await? == "pending")
    })
    .await?;
    browser.screenshot(&picture("dragged.png")).await?;
    browser.eval("clearInterval(hand)").await?;
    wait_until(
        &browser,
        "the tolerances, once the hand rests",
        async |browser| Ok(verdict(browser).await? == "clear"),
    )
    .await?;
    assert_eq!(browser.console_errors().await?, Vec::<String>::new());
    Ok(())
}

#[tokio::test]
async fn a_page_that_nobody_touches_rests() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = Browser::start(DESK).await?;
    browser.open(&address).await?;
    browser
        .eval(
            "const ask = requestAnimationFrame; window.drawn = 0;
             requestAnimationFrame = (draw) => ask((now) => { drawn += 1; draw(now); });",
        )
        .await?;
    let drawn = async || Ok::<_, anyhow::Error>(browser.eval("return drawn").await?.as_u64());
    // First it draws until all is in view, then not at all: three seconds hold at least two pictures even where the graphics
    // are worked out by the processor.
    let resting = async |_: &Browser| {
        let before = drawn().await?;
        tokio::time::sleep(std::time::Duration::from_secs(3)).await;
        Ok(drawn().await? == before)
    };
    wait_until(&browser, "the page to rest", resting).await?;
    let before = drawn().await?;
    browser
        .eval(r#"keelstead.perform('{"hull-forward": -9.5}')"#)
        .await?;
    wait_until(&browser, "a picture of the edit", async |_| {
        Ok(drawn().await? > before)
    })
    .await?;
    wait_until(&browser, "the page to rest again", resting).await
}

#[tokio::test]
async fn the_page_tells_how_much_of_it_has_arrived() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = Browser::start(DESK).await?;
    browser.client().goto(&address).await?;
    browser.wait_for_state("ready").await?;
    // What the bar ended on: the size of the program as it lies in the folder.
    let total = browser
        .eval("return document.querySelector('#loader-bar').max")
        .await?;
    let wasm = std::fs::read_dir(place::dist())?
        .flatten()
        .find(|file| file.path().extension().is_some_and(|e| e == "wasm"));
    assert_eq!(
        total.as_f64(),
        Some(wasm.context("no wasm in the page")?.metadata()?.len() as f64)
    );
    let shown = browser
        .eval("return getComputedStyle(document.querySelector('#loader')).display")
        .await?;
    assert_eq!(shown, "none", "the loader goes once the demo shows");
    Ok(())
}

#[tokio::test]
async fn without_webgl2_the_page_says_so() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = Browser::start_with(NO_WEBGL, DESK).await?;
    browser.client().goto(&address).await?;
    browser.wait_for_state("unsupported").await?;
    let says = browser
        .eval("return document.querySelector('#trouble').innerText")
        .await?;
    assert!(says.as_str().unwrap().contains("WebGL2"), "{says}");
    browser.screenshot(&picture("no-webgl2.png")).await
}

#[tokio::test]
async fn a_failure_is_told_and_never_leaves_old_figures_in_view() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = Browser::start(PHONE).await?;
    browser.open(&address).await?;
    browser
        .eval("dispatchEvent(new CustomEvent('keelstead:panic', { detail: 'the keel came off' }))")
        .await?;
    browser.wait_for_state("failed").await?;
    let says = browser
        .eval("return document.querySelector('#trouble').innerText")
        .await?;
    let says = says.as_str().unwrap();
    assert!(
        says.contains("Do not act on figures") && says.contains("the keel came off"),
        "{says}"
    );
    let on_top = browser
        .eval("return document.elementFromPoint(innerWidth / 2, 20).closest('#trouble') !== null")
        .await?;
    assert_eq!(on_top, true, "the message covers the picture");
    browser.screenshot(&picture("failure-phone.png")).await
}

#[tokio::test]
async fn a_program_that_does_not_arrive_is_told() -> Result<()> {
    // A copy of the page without the program, as after an upload cut short.
    let folder = tempfile::tempdir()?;
    for file in std::fs::read_dir(place::dist())
        .context("run cargo xtask web first")?
        .flatten()
    {
        let path = file.path();
        if path.is_file() && path.extension().is_none_or(|extension| extension != "wasm") {
            std::fs::copy(path, folder.path().join(file.file_name()))?;
        }
    }
    let server = xtask::serve::StaticServer::start(folder.path(), "", 0)?;
    let browser = Browser::start(DESK).await?;
    browser
        .client()
        .goto(&format!("http://localhost:{}/", server.address().port()))
        .await?;
    browser.wait_for_state("failed").await?;
    let says = browser
        .eval("return document.querySelector('#trouble-title').innerText")
        .await?;
    assert_eq!(says, "Keelstead could not start");
    Ok(())
}

#[tokio::test]
async fn the_findings_can_be_read_as_text_on_a_phone() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = Browser::start(PHONE).await?;
    browser.open(&format!("{address}#text")).await?;
    browser.screenshot(&picture("text-phone.png")).await?;
    let wide = browser
        .eval("const text = document.querySelector('#text'); return text.scrollWidth <= innerWidth")
        .await?;
    assert_eq!(wide, true, "nothing is cut off at the side");
    let on_top = browser.eval("return document.elementFromPoint(innerWidth / 2, innerHeight / 2).closest('#text') !== null").await?;
    assert_eq!(on_top, true, "the text covers the picture");
    let text = browser
        .eval("return document.querySelector('#mirror').innerText")
        .await?;
    assert!(
        text.as_str().unwrap().contains("Never go under a boat"),
        "the cautions stand there too: {text}"
    );
    Ok(())
}

#[tokio::test]
async fn it_works_from_a_folder_and_then_without_a_network() -> Result<()> {
    let (server, address) = serve_page("/yard/tools/keelstead")?;
    let browser = Browser::start_with(FLAGS, DESK).await?;
    browser.open(&address).await?;
    assert_eq!(browser.console_errors().await?, Vec::<String>::new());
    wait_until(&browser, "the page to be kept", async |browser| {
        Ok(browser
            .eval("return navigator.serviceWorker.controller !== null")
            .await?
            == true)
    })
    .await?;
    let before = page_findings(&browser).await?;
    drop(server);
    browser.open(&format!("{address}?again")).await?;
    assert_eq!(page_findings(&browser).await?, before);
    Ok(())
}

/// Asks until the answer is yes.
async fn wait_until(
    browser: &Browser,
    what: &str,
    ask: impl AsyncFn(&Browser) -> Result<bool>,
) -> Result<()> {
    let start = std::time::Instant::now();
    while !ask(browser).await? {
        ensure!(start.elapsed().as_secs() < 60, "waited a minute for {what}");
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    Ok(())
}
