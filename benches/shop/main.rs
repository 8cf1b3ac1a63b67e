//! How long the whole shop takes: its list, the history of one engine, the export, the drift of all
//! valves. Each runs the program in this process as the command line does.
//!
//! `COWLSIDE_SHOP_ENGINES` (50), `COWLSIDE_SHOP_SESSIONS` (20) and `COWLSIDE_SHOP_ENTRIES` (100) say
//! how large; 1000 engines take a gigabyte and minutes. `COWLSIDE_SHOP_MAKE=FOLDER` makes the shop
//! there, for measuring whole processes, and measures nothing.
#![allow(missing_docs, reason = "criterion's macros write functions without a doc line")]
#![allow(
    clippy::expect_used,
    clippy::as_conversions,
    clippy::indexing_slicing,
    reason = "a bench may stop on what is not so"
)]

mod made;

use cowlside::cli::workshop::Workshop;
use cowlside::cli::{World, run};
use cowlside::domain::entry::Moment;
use cowlside::domain::trend::History;
use cowlside::store::{engines, sessions};
use criterion::{Criterion, criterion_group, criterion_main};
use made::Size;
use std::path::{Path, PathBuf};

/// 2026-03-14 09:00 at an offset of one hour.
const NOW: Moment = Moment { unix_ms: 1_773_475_200_000, offset_min: 60 };

fn size() -> Size {
    let number = |name: &str, default| {
        std::env::var(name).map_or(default, |text| text.parse().expect("a whole number"))
    };
    Size {
        engines: number("COWLSIDE_SHOP_ENGINES", 50),
        sessions: number("COWLSIDE_SHOP_SESSIONS", 20),
        entries: number("COWLSIDE_SHOP_ENTRIES", 100),
        seed: 5,
    }
}

/// Runs a command and returns how many bytes it said.
fn command(home: &Path, words: &[&str]) -> usize {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let mut world = World {
        out: &mut out,
        err: &mut err,
        input: &mut std::io::empty(),
        ready: &|_| true,
        forget: &|| false,
        now: &|| NOW,
        run_ms: &|| 0,
        terminals: cowlside::cli::world::Terminals::default(),
        ascii: false,
        variable: &|name| (name == "COWLSIDE_HOME").then(|| home.as_os_str().to_owned()),
    };
    let words = std::iter::once("cowlside").chain(words.iter().copied());
    assert_eq!(run(words.map(Into::into).collect(), &mut world), 0);
    assert!(err.is_empty(), "{}", String::from_utf8_lossy(&err));
    out.len()
}

/// Works out the drift of every valve of every engine, and returns how many have one.
fn all_drifts(home: &Path) -> usize {
    let workshop = Workshop::at(home);
    let known = workshop.sessions().expect("sessions");
    let engines = engines::list(workshop.folder()).expect("engines").engines;
    let drifts = engines.iter().map(|engine| {
        let its = sessions::of_engine(&known.things, engine).cloned().collect();
        let found = cowlside::cli::workshop::Found { things: its, notes: Vec::new() };
        let services = workshop.services(engine, found).things;
        let history = History::of(&services, engine.hours_run()).expect("a history");
        history.valves.iter().filter(|valve| valve.drift.is_some()).count()
    });
    drifts.sum()
}

fn shop(criterion: &mut Criterion) {
    if let Some(folder) = std::env::var_os("COWLSIDE_SHOP_MAKE") {
        made::make(&PathBuf::from(folder), size());
        return;
    }
    let size = size();
    let folder = tempfile::tempdir().expect("a folder");
    let home = folder.path();
    made::make(home, size);
    let mut group = criterion.benchmark_group(format!("{} engines", size.engines));
    group.bench_function("list", |bench| bench.iter(|| command(home, &["engines"])));
    group.bench_function("list without the index", |bench| {
        bench.iter(|| {
            let _ = std::fs::remove_dir_all(home.join("cache"));
            command(home, &["engines"])
        });
    });
    group.bench_function("history of one engine", |bench| {
        bench.iter(|| command(home, &["history", "Engine 0007"]));
    });
    group.bench_function("export", |bench| bench.iter(|| command(home, &["export"])));
    group.bench_function("drift of all valves", |bench| bench.iter(|| all_drifts(home)));
    group.finish();
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10).measurement_time(std::time::Duration::from_secs(3)).warm_up_time(std::time::Duration::from_millis(500));
    targets = shop
}
criterion_main!(benches);
