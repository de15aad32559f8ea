//! The engine's part of a frame in the built page, in Chromium: each demo job with the hull a millimetre further on, as
//! under a hand that drags it, checked as drawn and whole, as when the hand rests.
#![allow(missing_docs, clippy::unwrap_used)]

use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use keelstead_tests::browser::{Browser, serve_page};
use xtask::demo;

/// So small that drawing, in software where there is no graphics card, leaves the cores to what is measured.
const SMALL: (u32, u32) = (120, 120);

fn page_checks(criterion: &mut Criterion) {
    let (_server, address) = match serve_page("") {
        Ok(served) => served,
        Err(error) => return println!("the page is not measured: {error:#}"),
    };
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    let browser = runtime.block_on(Browser::start(SMALL)).unwrap();
    let mut group = criterion.benchmark_group("page");
    // Asking the page takes longer than what is asked: few samples, each of several checks.
    group.sample_size(10);
    for job in demo::jobs().unwrap() {
        let name = job.file_stem().unwrap().to_string_lossy().into_owned();
        runtime
            .block_on(browser.open(&format!("{address}?job={name}")))
            .unwrap();
        for (how, whole) in [("as drawn", false), ("check", true)] {
            group.bench_function(format!("{how}/{name}"), |bencher| {
                bencher.iter_custom(|times| runtime.block_on(checks(&browser, times, whole)));
            });
        }
    }
    group.finish();
}

/// How long `times` checks take in the page.
async fn checks(browser: &Browser, times: u64, whole: bool) -> Duration {
    browser
        .eval(&format!("keelstead.timeChecks({times}, {whole})"))
        .await
        .unwrap();
    loop {
        let took = browser.eval("return keelstead.checksTook()").await.unwrap();
        if let Some(ms) = took.as_f64() {
            return Duration::from_secs_f64(ms / 1e3);
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
}

criterion_group!(benches, page_checks);
criterion_main!(benches);
