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
use crate::store::engines::Engine;
use crate::store::folder::{make_folder, read_text, replace_whole};
use crate::store::journal::writer::PATIENCE;
use crate::store::shown;
use crate::store::words::cause_words;
use std::path::Path;
use truth::Truth;

const DAY_MS: i64 = 86_400_000;
/// A file that says that the folder is the demonstration's, and may be thrown away.
const MARK: &str = "invented.txt";
const MARK_MAX: u64 = 1024;
/// What it says while the workshop is being made.
const HALF: &str = "Being made.\n";
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

/// Makes the invented workshop where there is none, or anew where `fresh`.
pub fn make(place: &Path, fresh: bool, now: Moment) -> Result<(), Fail> {
    let mark = place.join(MARK);
    let io = |doing: &str, error: std::io::Error| {
        Fail::work(
            format!("cannot {doing} the invented workshop: {}", cause_words(&error)),
            "look at the disk",
        )
    };
    let foreign = std::fs::read_dir(place).is_ok_and(|mut inside| inside.next().is_some());
    match read_text(&mark, MARK_MAX) {
        Ok(words) if words == WHOLE && !fresh => return Ok(()),
        // Thrown away only where the mark says so; half-made ones, too.
        Ok(_) => std::fs::remove_dir_all(place).map_err(|error| io("clear", error))?,
        Err(_) if foreign => {
            return Err(Fail::work(
                format!("{} holds something else than the invented workshop", shown(place)),
                "look into it; move it away if it may go, then start the demo again",
            ));
        }
        Err(_) => {}
    }
    let workshop = Workshop::invented(place);
    make_folder(place)?;
    std::fs::write(&mark, HALF).map_err(|error| io("begin", error))?;
    workshop.folder().prepare()?;
    for plot in &PLOTS {
        play(&workshop, plot, now)?;
    }
    Ok(replace_whole(&mark, WHOLE.as_bytes())?)
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

fn play(workshop: &Workshop, plot: &Plot, now: Moment) -> Result<(), Fail> {
    let count = i64::try_from(plot.hours.len()).unwrap_or(0);
    let first = Hours(plot.hours.first().copied().unwrap_or(0));
    let began =
        |n: i64| Moment { unix_ms: now.unix_ms - (count - n) * plot.every_days * DAY_MS, ..now };
    let names = (plot.name, plot.serial, plot.profile);
    let mut engine = add_engine(workshop, names, first, began(0))?.engine;
    let mut truth: Option<Truth> = None;
    let mut last = first;
    for (n, &hours) in (0..).zip(plot.hours) {
        let past = Past { at: began(n), run_ms: 0 };
        let ran = (hours - last.0) / 100;
        last = Hours(hours);
        service(workshop, &engine, last, (&mut truth, plot.seed, ran), past, usize::MAX)?;
        engine = workshop.engine(&engine.id)?;
    }
    if plot.left_open {
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
    let started = workshop.start(engine, begin, past.tick())?;
    let mut desk = OpenSession::new(workshop, started)?;
    let truth = truth.get_or_insert_with(|| Truth::new(&targets(&desk.session), seed));
    truth.run(ran);
    for _ in 0..most.min(2_000) {
        let Some(input) = script::next(&desk.session, &desk.beside.earlier, truth) else {
            return Ok(());
        };
        let entries = desk.session.decide(&input).map_err(|refusal| {
            let due = desk.session.state.due();
            Fail::work(format!("the invented service is stuck: {} ({due:?})", refusal.words()), "")
        })?;
        desk.write(&entries, past.tick())?;
        // It takes the same locks as what comes next.
        workshop.notebook().wait(PATIENCE);
    }
    if most == usize::MAX && desk.session.state.due() != Due::Closed {
        return Err(Fail::work("the invented service does not come to an end", ""));
    }
    Ok(())
}

fn targets(session: &Session) -> Vec<(crate::domain::valve::Valve, crate::domain::units::Length)> {
    let valves = session.state.facts().valves();
    valves.into_iter().map(|valve| (valve, session.state.figures(valve.kind).target)).collect()
}
