//! Reading a large mesh in the page: frames keep coming, the bar moves, Cancel works, nothing is lost.

use anyhow::{Context, Result, ensure};
use keelstead_tests::browser::{Browser, serve_page};
use serde_json::Value;

use super::{page_findings, picture, wait_until};

/// Small, because drawing in software would cost more than what is measured.
const WINDOW: (u32, u32) = (480, 360);

/// Makes `window.file`: a boat-like closed surface, 12 m long, as a binary STL of `TRIANGLES`, and a description of it,
/// with which it takes the open hull's place; and records the page's longest gap between frames and its longest task.
const PREPARE: &str = r#"
    const [along, around] = [1000, TRIANGLES / 2000];
    const at = (i, j) => {
        const [s, a] = [Math.PI * i / along, 2 * Math.PI * j / around];
        return [6 - 6 * Math.cos(s), 1.8 * Math.sin(s) * Math.cos(a), 1 + Math.sin(s) * Math.sin(a)];
    };
    const view = new DataView(new ArrayBuffer(84 + 50 * TRIANGLES));
    view.setUint32(80, TRIANGLES, true);
    let offset = 84;
    const triangle = (...corners) => {
        corners.flat().forEach((c, k) => view.setFloat32(offset + 12 + 4 * k, c, true));
        offset += 50;
    };
    for (let i = 0; i < along; i++) {
        for (let j = 0; j < around; j++) {
            const [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            triangle(a, b, c);
            triangle(a, c, d);
        }
    }
    window.file = new File([view.buffer], "sandpiper.stl");
    const described = {
        version: 1, name: "sandpiper", mesh: "sandpiper.stl", unit: "metre",
        axes: { forward: "+x", up: "+z" }, shape_tolerance_m: 0.02,
    };
    const description = new File([JSON.stringify(described)], "sandpiper.json");
    window.drop = (file) => {
        const data = new DataTransfer();
        for (const each of [file, description]) data.items.add(each);
        window.dispatchEvent(new DragEvent("drop", { dataTransfer: data, cancelable: true }));
    };
    window.seen = { gap: 0, drawing: 0, task: 0, fractions: [], doing: [] };
    new PerformanceObserver((list) => {
        for (const { duration } of list.getEntries()) seen.task = Math.max(seen.task, duration);
    }).observe({ entryTypes: ["longtask"] });
    let last = performance.now();
    const frame = (now) => {
        const loading = JSON.parse(keelstead.loading());
        if (seen.end) seen.drawing = Math.max(seen.drawing, now - last);
        else if (now - last > seen.gap) [seen.gap, seen.gapDuring] = [now - last, loading?.doing];
        last = now;
        if (loading && loading.fraction !== null && seen.fractions.at(-1) !== loading.fraction) seen.fractions.push(loading.fraction);
        if (loading && seen.doing.at(-1) !== loading.doing) seen.doing.push(loading.doing);
        if (seen.cancel && loading?.fraction > 0.1) {
            seen.cancel = false;
            seen.cancelled = loading.fraction;
            keelstead.perform('"cancel-loading"');
        }
        if (!loading && seen.start && !seen.end && seen.fractions.length) seen.end = now;
        requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
"#;

/// Forgets what was recorded and drops the file.
const DROP: &str = "Object.assign(seen, { gap: 0, drawing: 0, task: 0, fractions: [], doing: [], start: performance.now(), end: 0 }); drop(file)";

async fn loading(browser: &Browser) -> Result<Value> {
    let text = browser.eval("return keelstead.loading()").await?;
    Ok(serde_json::from_str(text.as_str().context("no string")?)?)
}

/// A page with a file of so many triangles to drop, and what is recorded of its frames and tasks.
pub(super) async fn prepared(address: &str, triangles: usize) -> Result<Browser> {
    let browser = Browser::start(WINDOW).await?;
    browser.open(address).await?;
    browser
        .eval(&PREPARE.replace("TRIANGLES", &triangles.to_string()))
        .await?;
    Ok(browser)
}

#[tokio::test]
async fn a_million_triangles_are_read_while_frames_keep_coming() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = prepared(&address, 1_000_000).await?;
    let before = page_findings(&browser).await?;

    // Cancelled by the page itself: a driver would be too slow.
    browser.eval(&format!("{DROP}; seen.cancel = true")).await?;
    wait_until(&browser, "the reading to stop", async |browser| {
        let cancelled = browser.eval("return seen.cancelled > 0").await?;
        Ok(cancelled == true && loading(browser).await?.is_null())
    })
    .await?;
    let cancelled = browser.eval("return seen.cancelled").await?;
    ensure!(cancelled.as_f64() < Some(0.95), "cancelled at {cancelled}");
    assert_eq!(
        page_findings(&browser).await?,
        before,
        "what was open is kept"
    );

    browser.eval(DROP).await?;
    wait_until(&browser, "the hull to be read", async |browser| {
        Ok(browser.eval("return seen.end > 0").await? == true)
    })
    .await?;
    let seen = browser.eval("return seen").await?;
    let number = |name: &str| seen[name].as_f64().unwrap_or(f64::NAN);
    let whole_ms = number("end") - number("start");
    let (gap_ms, task_ms) = (number("gap"), number("task"));
    println!(
        "1,000,000 triangles read in {whole_ms:.0} ms; longest gap between frames {gap_ms:.0} ms (during {}), longest \
         task {task_ms:.0} ms; drawing it then {:.0} ms a frame at most; steps {}",
        seen["gapDuring"],
        number("drawing"),
        seen["doing"]
    );
    let after = page_findings(&browser).await?;
    assert_ne!(after, before, "the hull is in its place");
    let fractions: Vec<f64> = seen["fractions"]
        .as_array()
        .context("no fractions")?
        .iter()
        .filter_map(Value::as_f64)
        .collect();
    ensure!(fractions.len() >= 3, "the bar hardly moved: {fractions:?}");
    ensure!(fractions.is_sorted(), "the bar went back: {fractions:?}");
    // Reading in the page would be one task of the whole time. Frames may also wait for drawing in software on cores
    // that others use, which says nothing about the page.
    ensure!(
        task_ms < whole_ms / 8.0,
        "the page's thread was busy for {task_ms} ms of {whole_ms} ms"
    );
    ensure!(
        gap_ms < whole_ms / 2.0,
        "no frame came for {gap_ms} ms of {whole_ms} ms"
    );
    browser.screenshot(&picture("million.png")).await?;

    browser.eval(r#"keelstead.perform('"undo"')"#).await?;
    wait_until(&browser, "the hull before to be back", async |browser| {
        Ok(page_findings(browser).await? == before)
    })
    .await?;
    assert_eq!(browser.console_errors().await?, Vec::<String>::new());
    Ok(())
}

#[tokio::test]
async fn a_worker_that_dies_leaves_the_page_alive_and_is_told() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = prepared(&address, 20_000).await?;
    let before = page_findings(&browser).await?;
    // As a browser tells that a program has run out of memory.
    browser
        .eval(
            "const Real = window.Worker; window.Worker = class extends Real { set onmessage(hear) { super.onmessage = (event) => {
                hear.call(this, event);
                this.onerror(new ErrorEvent('error', { message: 'Uncaught RuntimeError: unreachable' }));
                window.Worker = Real;
             }; } }; drop(file)",
        )
        .await?;
    wait_until(&browser, "the message", async |browser| {
        let text = browser
            .eval("return document.querySelector('#mirror').innerText")
            .await?;
        Ok(text
            .as_str()
            .is_some_and(|text| text.contains("more memory than a page can have")))
    })
    .await?;
    assert_eq!(page_findings(&browser).await?, before);
    // The next reading has a fresh worker.
    browser.eval("drop(file)").await?;
    wait_until(&browser, "the hull to be read", async |browser| {
        Ok(page_findings(browser).await? != before)
    })
    .await
}

#[tokio::test]
async fn without_workers_the_page_reads_by_itself() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = prepared(&address, 20_000).await?;
    let before = page_findings(&browser).await?;
    browser
        .eval("window.Worker = class { constructor() { throw new Error('forbidden here'); } }; drop(file)")
        .await?;
    wait_until(&browser, "the hull to be read", async |browser| {
        Ok(page_findings(browser).await? != before)
    })
    .await?;
    let said = browser.console().await?;
    assert!(
        said.iter()
            .any(|(_, text)| text.contains("No worker") && text.contains("forbidden here")),
        "{said:?}"
    );
    Ok(())
}

#[tokio::test]
async fn the_shelf_keeps_a_hull_over_a_reload() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = prepared(&address, 20_000).await?;
    let perform = async |json: &str| browser.eval(&format!("keelstead.perform('{json}')")).await;
    let says = async |browser: &Browser, words: &str| {
        let text = browser
            .eval("return document.querySelector('#mirror').innerText")
            .await?;
        Ok(text.as_str().is_some_and(|text| text.contains(words)))
    };
    let before = page_findings(&browser).await?;
    browser.eval("drop(file)").await?;
    wait_until(&browser, "the hull to be read", async |browser| {
        Ok(page_findings(browser).await? != before)
    })
    .await?;
    let with_sandpiper = page_findings(&browser).await?;
    perform(r#"{"shelf-put": {}}"#).await?;
    wait_until(&browser, "the hull to be kept", async |browser| {
        says(browser, "sandpiper stands on the shelf").await
    })
    .await?;
    perform(r#"{"shelf-put": {}}"#).await?;
    wait_until(&browser, "the second to be refused", async |browser| {
        says(browser, "stands there already").await
    })
    .await?;

    browser.open(&address).await?;
    assert_eq!(page_findings(&browser).await?, before);
    perform(r#"{"shelf-get": "sandpiper"}"#).await?;
    wait_until(&browser, "the hull from the shelf", async |browser| {
        Ok(page_findings(browser).await? == with_sandpiper)
    })
    .await?;
    perform(r#"{"shelf-remove": "sandpiper"}"#).await?;
    perform(r#"{"shelf-get": "sandpiper"}"#).await?;
    wait_until(&browser, "the empty shelf to be told", async |browser| {
        says(
            browser,
            "sandpiper on the shelf in this browser: no such file",
        )
        .await
    })
    .await?;
    assert_eq!(browser.console_errors().await?, Vec::<String>::new());
    Ok(())
}
