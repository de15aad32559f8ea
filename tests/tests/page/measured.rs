//! A hull from a tape, brought into the page as a file: it stands at the end of the guided intake, and every figure that
//! the page tells of it is the command line's.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, ensure};
use keelstead::quantity::Quantity;
use keelstead_files::units::{Units, write};
use keelstead_tests::browser::{Browser, DESK, serve_page};
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

fn length(value: &Value) -> String {
    write(
        Quantity::length(value.as_f64().unwrap_or(f64::NAN)),
        Units::Metric,
    )
}

fn mass(value: &Value) -> String {
    write(
        Quantity::mass(value.as_f64().unwrap_or(f64::NAN)),
        Units::Metric,
    )
}

/// The figure of a measure.
fn figure(kind: &Value, value: &Value) -> String {
    if kind == "displacement" {
        mass(value)
    } else {
        length(value)
    }
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
    let said = text(browser, "mirror-tolerance").await?;
    let tolerance = length(&fitted["tolerance_m"]);
    ensure!(
        said == format!("Shape known to \u{b1} {tolerance}."),
        "{said}; the command line says {tolerance}"
    );
    let said = text(browser, "mirror-afloat").await?;
    let (draft, displacement) = (length(&fitted["draft_m"]), mass(&fitted["displacement_kg"]));
    ensure!(
        said == format!("Afloat at a draft of {draft} the surface displaces {displacement}."),
        "{said}; the command line says {draft} and {displacement}"
    );
    let measures = fitted["measures"].as_array().context("no measures")?;
    let rows = table(browser, "mirror-measures").await?;
    ensure!(rows.len() == measures.len(), "{} measures", rows.len());
    for (row, one) in rows.iter().zip(measures) {
        let kind = &one["kind"];
        let misfit = if one["met"] == true {
            format!("within {}", figure(kind, &one["tolerance"]))
        } else {
            let off = one["misfit"].as_f64().map(f64::abs);
            format!("off by {}", figure(kind, &off.into()))
        };
        let expected = [
            figure(kind, &one["asked"]),
            figure(kind, &one["reached"]),
            misfit,
        ];
        ensure!(row[1..] == expected, "{row:?}; the command line {one}");
        if let Some(station) = one["at"].get("station_m") {
            let at = format!(" at {} from the after end", length(station));
            ensure!(row[0].contains(&at), "{row:?} is not{at}");
        }
    }
    let estimates = fitted["estimates"].as_array().context("no estimates")?;
    let rows = table(browser, "mirror-estimates").await?;
    ensure!(rows.len() == estimates.len(), "{} estimates", rows.len());
    for (row, one) in rows.iter().zip(estimates) {
        let kind = &one["kind"];
        let expected = [figure(kind, &one["value"]), figure(kind, &one["tolerance"])];
        ensure!(row[1..] == expected, "{row:?}; the command line {one}");
    }
    let inspected = command_line("inspect", file)?;
    let end = |name: &str, axis: usize| inspected[name][axis].as_f64().unwrap_or(f64::NAN);
    let size = [0, 1, 2].map(|axis| length(&(end("max", axis) - end("min", axis)).into()));
    let rows: BTreeMap<String, String> = table(browser, "mirror-dimensions")
        .await?
        .into_iter()
        .map(|row| (row[0].clone(), row[1].clone()))
        .collect();
    for (name, size) in ["Length over all", "Beam", "Height"].iter().zip(size) {
        ensure!(
            rows[*name] == size,
            "{name}: {rows:?}; the command line {size}"
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
