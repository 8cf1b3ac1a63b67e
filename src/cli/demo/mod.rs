//! The invented workshop: two engines and several years of past services, made by driving the same
//! session and journal as a real one. Everything in it is invented.

mod script;
mod truth;

use super::commands::add_engine;
use super::fail::Fail;
use super::open_session::OpenSession;
use super::workshop::Workshop;
use crate::domain::entry::{Begin, Hours, Moment};
use crate::domain::session::{Due, Session};
use crate::store::StoreError;
use crate::store::engines::{self, Engine};
use crate::store::folder::{Folder, Lock, make_folder, read_text, replace_whole, sync_folder};
use crate::store::hash::{is_id, new_id};
use crate::store::journal::writer::PATIENCE;
use crate::store::progress::Progress;
use crate::store::sessions;
use crate::store::shown;
use crate::store::words::cause_words;
use std::ffi::OsStr;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;
use truth::Truth;

const DAY_MS: i64 = 86_400_000;
/// A file that says that the folder is the demonstration's, and may be thrown away.
const MARK: &str = "invented.txt";
const MARK_MAX: u64 = 1024;
/// What it says once everything is there.
const WHOLE: &str =
    "Everything in this folder is invented. `cowlside demo --fresh` makes it anew.\n";

/// One invented engine.
struct Plot {
    name: &'static str,
    serial: &'static str,
    profile: &'static str,
    /// Running hours at each service (hundredths), oldest first.
    hours: &'static [i64],
    /// Days between the services.
    every_days: i64,
    seed: u64,
    /// Whether another service was begun three days ago and left open.
    left_open: bool,
}

const PLOTS: [Plot; 2] = [
    Plot {
        name: "Blue trainer",
        serial: "INV-0041",
        profile: "flat-four",
        hours: &[11_240, 21_180, 31_370, 41_260, 51_090, 61_310],
        every_days: 210,
        seed: 41,
        left_open: false,
    },
    Plot {
        name: "Yellow tug",
        serial: "INV-0107",
        profile: "flat-six",
        hours: &[20_350, 30_480, 40_220, 50_170, 60_090],
        every_days: 190,
        seed: 107,
        left_open: true,
    },
];

/// Makes the invented workshop where there is none, or anew where `fresh`: in a folder beside its place,
/// which gets its name once it is whole. One terminal makes it, others wait for that. How far it is is told.
pub fn make(place: &Path, fresh: bool, now: Moment, told: &Progress) -> Result<(), Fail> {
    let is_whole = || read_text(&place.join(MARK), MARK_MAX).is_ok_and(|words| words == WHOLE);
    if is_whole() && !fresh {
        return Ok(());
    }
    let root = place.parent().unwrap_or(place);
    make_folder(root)?;
    let _lock = lock(&Folder::at(root), told)?;
    if is_whole() && !fresh {
        return Ok(());
    }
    let io = |doing: &str, error: std::io::Error| {
        Fail::work(
            format!("cannot {doing} the invented workshop: {}", cause_words(&error)),
            "look at the disk",
        )
    };
    may_go(place, fresh)?;
    // Whoever was killed while making one has no lock any more.
    for left in beside(root) {
        std::fs::remove_dir_all(left).map_err(|error| io("clear away what was left of", error))?;
    }
    let making = root.join(format!("{BESIDE}{}", new_id(now.unix_ms)));
    make_folder(&making)?;
    let made = fill(&making, now, told);
    if let Err(fail) = made {
        let _ = std::fs::remove_dir_all(&making);
        return Err(fail);
    }
    if place.symlink_metadata().is_ok() {
        std::fs::remove_dir_all(place).map_err(|error| io("clear", error))?;
    }
    std::fs::rename(&making, place).map_err(|error| io("name", error))?;
    Ok(sync_folder(root).map_err(StoreError::io("sync the folder", root))?)
}

/// How the folder is called in which it is made, up to an identity.
const BESIDE: &str = "demo-being-made-";

/// How long another terminal is waited for that makes it.
const MAKING: Duration = Duration::from_secs(30);

/// Locks the making of it, waiting for whoever is at it.
fn lock(folder: &Folder, told: &Progress) -> Result<Lock, Fail> {
    let step = Duration::from_millis(50);
    let mut waited = Duration::ZERO;
    loop {
        match folder.lock("demo") {
            Err(StoreError::InUse { .. }) if waited < MAKING => {
                told.so_far(MAKES, 0, services());
                std::thread::sleep(step);
                waited += step;
            }
            locked => return Ok(locked?),
        }
    }
}

/// Lists what was left of workshops that were never finished.
fn beside(root: &Path) -> Vec<PathBuf> {
    let is_left = |path: &PathBuf| {
        let name = path.file_name().and_then(|name| name.to_str());
        let id = name.and_then(|name| name.strip_prefix(BESIDE));
        id.is_some_and(is_id) && path.symlink_metadata().is_ok_and(|about| about.is_dir())
    };
    let entries = std::fs::read_dir(root).into_iter().flatten().flatten();
    entries.map(|entry| entry.path()).filter(is_left).collect()
}

/// Looks whether what lies at its place may be thrown away: only what the mark calls invented, or what
/// is nothing else without it and is wanted anew.
fn may_go(place: &Path, fresh: bool) -> Result<(), Fail> {
    if place.is_symlink() {
        // What lies behind it may be on another disk, and of more than this program.
        return Err(Fail::work(
            format!("{} is a link: nothing is made anew through it", shown(place)),
            "remove the link, then start the demo again",
        ));
    }
    let inside = std::fs::read_dir(place).map(|mut inside| inside.next().is_none());
    let is_empty = inside.or_else(|error| match error.kind() {
        ErrorKind::NotFound => Ok(true),
        _ => Err(Fail::work(
            format!("{} cannot be looked into: {}", shown(place), cause_words(&error)),
            "move it away if it may go, then start the demo again",
        )),
    })?;
    let is_marked = read_text(&place.join(MARK), MARK_MAX).is_ok();
    let invented = !is_marked && !is_empty && is_all_invented(place);
    if is_marked || is_empty || invented && fresh {
        return Ok(());
    }
    if invented {
        return Err(Fail::work(
            format!("{} is no whole invented workshop: its {MARK} is missing", shown(place)),
            "cowlside demo --fresh makes it anew; what was tried in it goes with it",
        ));
    }
    Err(Fail::work(
        format!("{} holds something else than the invented workshop", shown(place)),
        "look into it; move it away if it may go, then start the demo again",
    ))
}

/// Tells whether a folder holds nothing but what this program makes in it, of invented engines. What
/// cannot be read may be anything.
fn is_all_invented(place: &Path) -> bool {
    const OURS: [&str; 7] =
        ["engines", "sessions", "profiles", "locks", "cache", "demo", "settings.json"];
    let is_ours = |path: &Path| {
        path.file_name().and_then(OsStr::to_str).is_some_and(|name| OURS.contains(&name))
    };
    let folder = Folder::at(place);
    let is_plot = |engine: &Engine| {
        PLOTS.iter().any(|plot| plot.name == engine.name && plot.serial == engine.serial)
    };
    let Ok(list) = engines::list(&folder) else { return false };
    let plots = !list.engines.is_empty() && list.engines.iter().all(is_plot);
    let is_engine = |path: &Path| path.extension().is_some_and(|end| end == "json");
    let is_of_plot = |path: &Path| {
        let id = sessions::glance(path).ok().and_then(|session| session.engine_id);
        id.is_some_and(|id| list.engines.iter().any(|engine| engine.id == id))
    };
    plots
        && list.broken.is_empty()
        && all_in(place, is_ours)
        && all_in(&folder.engines(), is_engine)
        && all_in(&folder.sessions(), is_of_plot)
        && all_in(&folder.profiles(), |_| false)
        && all_in(&place.join("demo"), |_| false)
}

/// Tells whether everything in a folder is so; of one that is not there it is.
fn all_in(folder: &Path, is_so: impl Fn(&Path) -> bool) -> bool {
    match std::fs::read_dir(folder) {
        Ok(mut inside) => inside.all(|one| one.is_ok_and(|one| is_so(&one.path()))),
        Err(error) => error.kind() == ErrorKind::NotFound,
    }
}

/// What is told of it while it is made.
const MAKES: &str = "making the invented workshop";

/// Counts the services that are played.
fn services() -> usize {
    PLOTS.iter().map(|plot| plot.hours.len() + usize::from(plot.left_open)).sum()
}

/// Makes everything of it.
fn fill(place: &Path, now: Moment, told: &Progress) -> Result<(), Fail> {
    let workshop = Workshop::invented(place);
    workshop.folder().prepare()?;
    let mut done = 0;
    for plot in &PLOTS {
        play(&workshop, plot, now, &mut || {
            told.so_far(MAKES, done, services());
            done += 1;
        })?;
    }
    Ok(replace_whole(&place.join(MARK), WHOLE.as_bytes())?)
}

/// A clock for the past: it goes on by some seconds with each entry.
struct Past {
    at: Moment,
    run_ms: u64,
}

impl Past {
    fn tick(&mut self) -> (Moment, u64) {
        self.at.unix_ms += 23_000;
        self.run_ms += 23_000;
        (self.at, self.run_ms)
    }
}

/// Plays the services of an engine; `begins` is told of each.
fn play(
    workshop: &Workshop,
    plot: &Plot,
    now: Moment,
    begins: &mut dyn FnMut(),
) -> Result<(), Fail> {
    let count = i64::try_from(plot.hours.len()).unwrap_or(0);
    let first = Hours(plot.hours.first().copied().unwrap_or(0));
    let began =
        |n: i64| Moment { unix_ms: now.unix_ms - (count - n) * plot.every_days * DAY_MS, ..now };
    let names = (plot.name, plot.serial, plot.profile);
    let mut engine = add_engine(workshop, names, first, began(0))?.engine;
    let mut truth: Option<Truth> = None;
    let mut last = first;
    for (n, &hours) in (0..).zip(plot.hours) {
        begins();
        let past = Past { at: began(n), run_ms: 0 };
        let ran = (hours - last.0) / 100;
        last = Hours(hours);
        service(workshop, &engine, last, (&mut truth, plot.seed, ran), past, usize::MAX)?;
        engine = workshop.engine(&engine.id)?;
    }
    if plot.left_open {
        begins();
        let at = Moment { unix_ms: now.unix_ms - 3 * DAY_MS, ..now };
        let hours = Hours(last.0 + 9_740);
        let past = Past { at, run_ms: 0 };
        service(workshop, &engine, hours, (&mut truth, plot.seed, 97), past, 41)?;
    }
    Ok(())
}

/// Plays one service, or its first `most` inputs.
fn service(
    workshop: &Workshop,
    engine: &Engine,
    hours: Hours,
    (truth, seed, ran): (&mut Option<Truth>, u64, i64),
    mut past: Past,
    most: usize,
) -> Result<(), Fail> {
    let begin = Begin { hours: Some(hours), total_time: Some(hours), ..Begin::default() };
    let started = workshop.start(engine, (begin, None), past.tick())?;
    let mut desk = OpenSession::new(workshop, started)?;
    let truth = truth.get_or_insert_with(|| Truth::new(&targets(&desk.session), seed));
    truth.run(ran);
    for _ in 0..most.min(2_000) {
        let Some(input) = script::next(&desk.session, &desk.beside.earlier, truth) else { break };
        let entries = desk.session.decide(&input).map_err(|refusal| {
            let due = desk.session.state.due();
            Fail::work(format!("the invented service is stuck: {} ({due:?})", refusal.words()), "")
        })?;
        desk.write(&entries, past.tick())?;
        // It takes the same locks as what comes next.
        workshop.notebook().wait(PATIENCE);
    }
    // How far it was seen is noted once its end is on the disk, too.
    desk.wait(PATIENCE);
    if most == usize::MAX && desk.session.state.due() != Due::Closed {
        return Err(Fail::work("the invented service does not come to an end", ""));
    }
    Ok(())
}

fn targets(session: &Session) -> Vec<(crate::domain::valve::Valve, crate::domain::units::Length)> {
    let valves = session.state.facts().valves();
    valves.into_iter().map(|valve| (valve, session.state.figures(valve.kind).target)).collect()
}
