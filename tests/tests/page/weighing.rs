//! A large hull being brought in is weighed by its waterline while the page stays free, and the figure is right.

use std::f64::consts::PI;

use anyhow::{Context, Result, ensure};
use keelstead_boat::weigh::Water;
use keelstead_tests::browser::{Browser, serve_page};

use super::reading::prepared;
use super::{picture, wait_until};

/// Below the middle of the file's surface: half of what it encloses, m³. Its sections are ellipses with half axes of 1.8
/// and 1 times the sine of an angle that goes with the cosine along 12 m.
const BELOW_M3: f64 = 0.5 * 1.8 * 6.0 * PI * (4.0 / 3.0);

/// Marks a waterline in the middle, and forgets what was recorded.
const MARK: &str = r#"
    Object.assign(seen, { gap: 0, task: 0, marked: performance.now() });
    const mark = (x_m) => ({ x_m, z_m: HEIGHT });
    keelstead.perform(JSON.stringify({ intake: { waterline: { aft: mark(2), fore: mark(10), water: "salt" } } }));
"#;

async fn weight(browser: &Browser) -> Result<String> {
    let text = browser
        .eval("return document.querySelector('#mirror-weight')?.textContent ?? ''")
        .await?;
    Ok(text.as_str().unwrap_or_default().to_owned())
}

#[tokio::test]
async fn a_million_triangles_are_weighed_beside_the_picture() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = prepared(&address, 1_000_000).await?;
    browser
        .eval(r#"keelstead.perform('{"intake": "begin"}'); drop(file)"#)
        .await?;
    wait_until(&browser, "the hull to stand", async |browser| {
        Ok(weight(browser).await? == "Weight: not known.")
    })
    .await?;

    // Stopped, it says so, and the hull stands on. At once: a fast machine is done before a second look.
    let stop = r#"keelstead.perform('{"intake": "stop"}');"#;
    browser
        .eval(&format!("{}{stop}", MARK.replace("HEIGHT", "0.8")))
        .await?;
    wait_until(&browser, "the word of it", async |browser| {
        let text = browser
            .eval("return document.querySelector('#mirror').textContent")
            .await?;
        Ok(text
            .as_str()
            .is_some_and(|text| text.contains("was not worked out")))
    })
    .await?;
    ensure!(weight(&browser).await?.is_empty(), "no old weight is told");

    // What was asked for meanwhile is dropped: only the last line counts.
    browser.eval(&MARK.replace("HEIGHT", "0.5")).await?;
    browser.eval(&MARK.replace("HEIGHT", "1")).await?;
    wait_until(&browser, "the weight", async |browser| {
        Ok(weight(browser).await?.contains("waterline"))
    })
    .await?;
    let seen = browser
        .eval("return { ...seen, whole: performance.now() - seen.marked }")
        .await?;
    let number = |name: &str| seen[name].as_f64().unwrap_or(f64::NAN);
    let (task_ms, gap_ms, whole_ms) = (number("task"), number("gap"), number("whole"));
    println!(
        "1,000,000 triangles weighed in {whole_ms:.0} ms; longest task {task_ms:.0} ms, longest gap {gap_ms:.0} ms"
    );
    // Done by the page it would be one task of the whole time. What a frame takes to draw in software is in it too.
    ensure!(
        task_ms < whole_ms / 2.0,
        "the page's thread was busy for {task_ms} ms of {whole_ms} ms"
    );
    let said = weight(&browser).await?;
    let number = said
        .trim_start_matches("Weight: ")
        .replace([',', '\u{202f}', '\u{a0}'], "");
    let number = number.split(' ').next().context("no figure")?;
    let found_kg: f64 = number.parse().with_context(|| said.clone())?;
    let wanted_kg = BELOW_M3 * Water::Salt.kg_m3();
    ensure!(
        (found_kg - wanted_kg).abs() < 2e-3 * wanted_kg,
        "{said}, not {wanted_kg:.0} kg"
    );
    browser.screenshot(&picture("weighed.png")).await?;
    assert_eq!(browser.console_errors().await?, Vec::<String>::new());
    Ok(())
}
