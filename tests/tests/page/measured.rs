//! A hull from a tape, brought into the page as a file: it stands at the end of the guided intake, and every figure that
//! the page tells of it is the command line's.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, ensure};
use keelstead_tests::browser::{Browser, DESK, serve_page};
use keelstead_units::quantity::Quantity;
use keelstead_units::{Units, write};
use serde_json::Value;
use xtask::{place, test};

use super::{page_findings, picture, wait_until};

/// The demo boats' measures.
fn documents() -> Result<Vec<PathBuf>> {
    let folder = place::root().join("demo-data").join("hulls");
    let files = std::fs::read_dir(&folder)?.flatten();
    let measures = |path: &PathBuf| path.to_string_lossy().ends_with(".measures.json");
    let mut found: Vec<_> = files.map(|file| file.path()).filter(measures).collect();
    found.sort();
    ensure!(!found.is_empty(), "no measures in {}", folder.display());
    Ok(found)
}

/// What `keelstead hull WHAT FILE --json` says.
fn command_line(what: &str, file: &Path) -> Result<Value> {
    let output = Command::new(test::built("keelstead")?)
        .args(["hull", what, "--json"])
        .arg(file)
        .output()?;
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    serde_json::from_slice(&output.stdout).with_context(|| format!("hull {what}: {said}"))
}

/// The figure of a measure, to be compared by [`reads`].
fn figure(kind: &Value, value: &Value) -> Quantity {
    let value = value.as_f64().unwrap_or(f64::NAN);
    if kind == "displacement" {
        Quantity::mass(value)
    } else {
        Quantity::length(value)
    }
}

/// What two machines' arithmetic may differ by after the fit's steps, as a part of a figure: far below what is shown, but it
/// may lie across the edge between two roundings.
const APART: f64 = 1e-5;

/// Whether `text` is this figure, between `before` and `after`.
fn reads(text: &str, before: &str, figure: Quantity, after: &str) -> bool {
    [-APART, 0.0, APART].into_iter().any(|apart| {
        let value = figure.value * (1.0 + apart);
        let figure = write(Quantity { value, ..figure }, Units::Metric);
        text == format!("{before}{figure}{after}")
    })
}

/// The cells of a table of the page's text, without the words that stand there for those who hear it.
async fn table(browser: &Browser, id: &str) -> Result<Vec<Vec<String>>> {
    let script = "const said = (cell) => {
            const bare = cell.cloneNode(true);
            bare.querySelectorAll('.word').forEach((word) => word.remove());
            return bare.textContent;
        };
        return [...document.querySelectorAll('#ID tbody tr')].map((row) => [...row.children].map(said))";
    let rows = browser.eval(&script.replace("ID", id)).await?;
    Ok(serde_json::from_value(rows)?)
}

async fn text(browser: &Browser, id: &str) -> Result<String> {
    let script = format!("return document.querySelector('#{id}')?.textContent ?? ''");
    let text = browser.eval(&script).await?;
    Ok(text.as_str().unwrap_or_default().to_owned())
}

async fn at_step(browser: &Browser, word: &str) -> Result<()> {
    wait_until(browser, &format!("step {word}"), async |browser| {
        let settled = browser
            .eval("return !document.querySelector('#mirror [role=status]')")
            .await?
            == true;
        Ok(settled && text(browser, "mirror-step").await? == format!("Step: {word}."))
    })
    .await
}

/// Holds what the page tells of the hull against the command line.
async fn assert_same_figures(browser: &Browser, file: &Path) -> Result<()> {
    let fitted = command_line("measure", file)?;
    let length = |value: &Value| Quantity::length(value.as_f64().unwrap_or(f64::NAN));
    let said = text(browser, "mirror-tolerance").await?;
    let tolerance = length(&fitted["tolerance_m"]);
    ensure!(
        reads(&said, "Shape known to \u{b1} ", tolerance, "."),
        "{said}; the command line says {tolerance:?}"
    );
    let said = text(browser, "mirror-afloat").await?;
    let (draft, displacement) = said
        .split_once(" the surface displaces ")
        .with_context(|| said.clone())?;
    let [draft_m, displacement_kg] = ["draft_m", "displacement_kg"].map(|name| &fitted[name]);
    let displaced = figure(&"displacement".into(), displacement_kg);
    ensure!(
        reads(draft, "Afloat at a draft of ", length(draft_m), "")
            && reads(displacement, "", displaced, "."),
        "{said}; the command line says {draft_m} and {displacement_kg}"
    );
    let measures = fitted["measures"].as_array().context("no measures")?;
    let rows = table(browser, "mirror-measures").await?;
    ensure!(rows.len() == measures.len(), "{} measures", rows.len());
    for (row, one) in rows.iter().zip(measures) {
        let kind = &one["kind"];
        let [what, asked, reached, misfit] = row.as_slice() else {
            anyhow::bail!("{row:?}");
        };
        let fits = if one["met"] == true {
            reads(misfit, "within ", figure(kind, &one["tolerance"]), "")
        } else {
            let off = one["misfit"].as_f64().map(f64::abs);
            reads(misfit, "off by ", figure(kind, &off.into()), "")
        };
        ensure!(
            fits && reads(asked, "", figure(kind, &one["asked"]), "")
                && reads(reached, "", figure(kind, &one["reached"]), ""),
            "{row:?}; the command line {one}"
        );
        if let Some(station) = one["at"].get("station_m") {
            let at = write(length(station), Units::Metric);
            ensure!(
                what.contains(&format!(" at {at} from")),
                "{row:?}, not {at}"
            );
        }
    }
    let estimates = fitted["estimates"].as_array().context("no estimates")?;
    let rows = table(browser, "mirror-estimates").await?;
    ensure!(rows.len() == estimates.len(), "{} estimates", rows.len());
    for (row, one) in rows.iter().zip(estimates) {
        let kind = &one["kind"];
        ensure!(
            reads(&row[1], "", figure(kind, &one["value"]), "")
                && reads(&row[2], "", figure(kind, &one["tolerance"]), ""),
            "{row:?}; the command line {one}"
        );
    }
    let inspected = command_line("inspect", file)?;
    let end = |name: &str, axis: usize| inspected[name][axis].as_f64().unwrap_or(f64::NAN);
    let rows = table(browser, "mirror-dimensions").await?;
    ensure!(rows.len() == 3, "{rows:?}");
    let names = ["Length over everything", "Beam", "Height"];
    for (axis, (row, name)) in rows.iter().zip(names).enumerate() {
        let size = Quantity::length(end("max", axis) - end("min", axis));
        ensure!(
            row[0] == name && reads(&row[1], "", size, ""),
            "{row:?}; the command line says {name} {size:?}"
        );
    }
    Ok(())
}

#[tokio::test]
async fn measures_brought_into_the_page_stand_as_the_command_line_fits_them() -> Result<()> {
    let (_server, address) = serve_page("")?;
    let browser = Browser::start(DESK).await?;
    for file in documents()? {
        browser.open(&address).await?;
        let name = file.file_name().context("no name")?.to_string_lossy();
        let content = serde_json::to_string(&std::fs::read_to_string(&file)?)?;
        let before = page_findings(&browser).await?;
        browser
            .eval(&format!(
                "const data = new DataTransfer();
                 data.items.add(new File([{content}], {name:?}));
                 window.dispatchEvent(new DragEvent('drop', {{ dataTransfer: data, cancelable: true }}))"
            ))
            .await?;
        // It goes on being measured, and stands already.
        at_step(&browser, "Measure").await?;
        assert_same_figures(&browser, &file)
            .await
            .with_context(|| name.to_string())?;
        browser.screenshot(&picture(&format!("{name}.png"))).await?;
        for step in ["Parts", "Weight", "Marks", "Put to use"] {
            browser
                .eval(r#"keelstead.perform('{"intake": "next"}')"#)
                .await?;
            at_step(&browser, step)
                .await
                .with_context(|| name.to_string())?;
        }
        assert_same_figures(&browser, &file)
            .await
            .with_context(|| name.to_string())?;
        assert_eq!(
            page_findings(&browser).await?,
            before,
            "the job is left alone"
        );
        browser
            .eval(r#"keelstead.perform('{"intake": "use-in-job"}')"#)
            .await?;
        wait_until(&browser, "the hull to stand", async |browser| {
            Ok(page_findings(browser).await? != before)
        })
        .await?;
    }
    assert_eq!(browser.console_errors().await?, Vec::<String>::new());
    Ok(())
}
