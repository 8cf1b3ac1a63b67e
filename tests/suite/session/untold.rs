//! No earlier figure of a valve that is to be gauged at the stop in hand is told, from the turn there
//! to its reading: in random histories, at every state, on everything that can be looked at.
//!
//! Beside each history goes the same one with marks for figures: each reading's text is a number that
//! stands in nothing else. What is looked at is made of the marked one. `COWLSIDE_WALKS=2000` walks more.

use super::engines;
use super::harness::Service;
use super::mechanic;
use cowlside::domain::entry::{Adopt, Change, Correct, Entry, Kept, Moment, Remark};
use cowlside::domain::service::{Gauged, Service as Outcome};
use cowlside::domain::session::{Crank, Due, Input, Session, Stage};
use cowlside::domain::trend::{Earlier, History};
use cowlside::domain::valve::Valve;
use cowlside::domain::verdict::Interval;
use cowlside::guide::{Beside, Talk, status, surely, untold, watching};
use cowlside::report::history_sheet;
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::compared;
use cowlside::tui::job::{Answer, Job, Reply};
use cowlside::tui::widgets::digits::Ink;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

const STEPS: usize = 40;
const NOW: Moment = Moment { unix_ms: 9_000_000, offset_min: 60 };

/// The mark in the place of what an entry of this number tells.
fn mark(seq: u64) -> String {
    format!("7.{seq:04}31")
}

/// The mark in the place of what the service before left a valve at.
fn last_mark(place: usize) -> String {
    format!("8.{place:04}47")
}

/// The same session with marks for figures.
fn marked(session: &Session, mut so_far: Vec<Kept>) -> Vec<Kept> {
    for kept in &session.kept[so_far.len()..] {
        let mut kept = kept.clone();
        match &mut kept.entry {
            Entry::Reading(reading) | Entry::Adopt(Adopt { reading, .. }) => {
                reading.typed = mark(kept.seq);
            }
            Entry::Correct(Correct { change: Change::Value { typed, .. }, .. }) => {
                *typed = mark(kept.seq);
            }
            // The word on a reading that is not believed repeats what was read.
            Entry::Remark(Remark { text, settles: Some(of), .. }) => {
                let read = |kept: &Kept| matches!(kept.entry, Entry::Reading(_));
                let doubted = so_far.iter().filter(|kept| read(kept) && kept.seq >= *of);
                for one in doubted {
                    if let Entry::Reading(reading) = &one.entry {
                        text.push_str(&format!(" ({} {})", reading.valve, reading.typed));
                    }
                }
            }
            _ => {}
        }
        so_far.push(kept);
    }
    so_far
}

/// The service before: every valve was left at a mark.
pub(super) fn before(session: &Session) -> Outcome {
    let mut service = Outcome::of(session);
    for (place, valve) in service.valves.iter_mut().enumerate() {
        let figure = session.state.figures(valve.valve.kind).target;
        let interval =
            Interval { low: Some(figure), high: Some(figure), nominal: Some(figure), single: true };
        let unit = cowlside::domain::entry::ReadingUnit::Inch;
        let left = Gauged { typed: last_mark(place), unit, interval };
        (valve.found, valve.left) = (Some(left.clone()), Some(left));
    }
    service.name = "autumn".into();
    service
}

/// The valves that are to be gauged at the stop in hand, by an account of its own.
fn to_gauge(session: &Session) -> BTreeSet<Valve> {
    let state = &session.state;
    let due = state.due();
    if due.stage() != Stage::AtAStop {
        return BTreeSet::new();
    }
    let stop = match (&due, state.crank) {
        (Due::Turn { stop, .. } | Due::Rock { stop, .. }, _) => Some(*stop),
        (_, Crank::At { stop, .. }) => Some(stop),
        _ => None,
    };
    let mut valves = BTreeSet::new();
    if let (Some(stop), Some(round)) = (stop, state.round()) {
        let gauged = state.stops()[stop].gauge.iter().map(|gauge| gauge.valve);
        valves.extend(gauged.filter(|&valve| state.needs_reading(round, valve)));
    }
    if let Due::Gauge(valve, _) | Due::Again(valve, _) = due {
        valves.insert(valve);
    }
    valves
}

/// The marks of everything that these valves ever read; a figure that changed places is the other's.
fn marks_of(session: &Session, valves: &BTreeSet<Valve>) -> BTreeSet<String> {
    let mut marks = BTreeSet::new();
    for taken in session.state.readings.iter().filter(|one| valves.contains(&one.reading.valve)) {
        marks.insert(taken.reading.typed.clone());
    }
    let swapped = |seq: u64| {
        session.kept.iter().any(|kept| match &kept.entry {
            Entry::Correct(Correct { of, change: Change::SwapWith(with), .. }) => {
                seq == *of || seq == *with
            }
            _ => false,
        })
    };
    for kept in &session.kept {
        if let Entry::Reading(reading) = &kept.entry
            && valves.contains(&reading.valve)
            && !swapped(kept.seq)
        {
            marks.insert(mark(kept.seq));
        }
    }
    let all = session.state.facts().valves();
    let places = all.iter().enumerate().filter(|(_, valve)| valves.contains(valve));
    marks.extend(places.map(|(place, _)| last_mark(place)));
    marks
}

fn bench(session: &Session, previous: &Outcome) -> Bench {
    let earlier = Earlier::from(vec![previous.clone()]);
    let beside = Arc::new(Beside { earlier, ..Beside::default() });
    let session = Arc::new(session.clone());
    let desk = Desk::Session { session, previous: Some(Arc::new(previous.clone())), beside };
    Bench::new(desk, Ink::Blocks)
}

/// A question and those behind it: each digit that answers, the numbers of entries, and Enter.
fn questions(bench: &Bench, form: &Talk, deep: u8, told: &mut Told) {
    let prompt = bench.prompt(Some(form));
    let asked = format!("{:?}, {} given", form.task, form.given.len());
    told.entry(asked).or_default().push_str(&format!("{prompt:?}"));
    told.entry("help".into()).or_default().push_str(&format!("{:?}", bench.help(Some(form))));
    if deep == 0 {
        return;
    }
    let digits = prompt.field.choices.iter().map(|choice| Answer::Digit(choice.digit));
    let numbers = (1..=2).map(|back| {
        let Desk::Session { session, .. } = bench.desk() else { unreachable!() };
        let readings = &session.state.readings;
        let seq = readings.len().checked_sub(back).map_or(1, |at| readings[at].seq);
        Answer::Typed(seq.to_string())
    });
    for answer in digits.chain(numbers.filter(|_| prompt.field.typed.is_some())) {
        match bench.answer(Some(form), &answer, NOW) {
            Reply::Ask(next) if next.given.len() > form.given.len() => {
                questions(bench, &next, deep - 1, told);
            }
            Reply::Refused(words) => {
                told.entry(format!("{:?} refused", form.task)).or_default().push_str(&words);
            }
            _ => {}
        }
    }
}

pub(super) type Told = BTreeMap<String, String>;

/// Everything that can be looked at: by name, in words.
pub(super) fn looked_at(session: &Session, previous: &Outcome, deep: u8) -> Told {
    let bench = bench(session, previous);
    let mut told = Told::new();
    let mut tell = |name: &str, words: String| drop(told.insert(name.into(), words));
    tell("asked", format!("{:?}", bench.prompt(None)));
    tell("help", format!("{:?}", bench.help(None)));
    tell("whereabouts", format!("{:?}", bench.whereabouts()));
    tell("undo", format!("{:?}", bench.undo()));
    tell("open items", format!("{:?}", bench.open_items()));
    tell("drawing", format!("{:?}", bench.drawing()));
    tell("picture", format!("{:?}", bench.picture()));
    tell("notice", format!("{:?}", bench.notice()));
    tell("the list of readings", format!("{:?}", bench.kept()));
    tell("the record", format!("{:?}", bench.record()));
    tell(
        "the way back",
        format!("{:?}", status::way_back(session, &cowlside::domain::trend::Earlier::default())),
    );
    tell("how sure", format!("{:?}", surely::lines(session)));
    tell("onlooker", format!("{:?}", watching::glimpse(session)));
    // As the shell makes them for this session and for its engine in the list.
    let valves = session.state.untold();
    let now = Outcome::of(session);
    let compared = compared::without(&valves, previous.clone(), now.clone());
    tell("comparison", format!("{compared:?}"));
    let services = [untold::without(previous.clone(), &valves), untold::without(now, &valves)];
    let past = History::of(&services, Default::default());
    tell("past", format!("{:?}", past.map(|past| history_sheet::pages(&past))));
    for (place, offer) in
        bench.offers().iter().enumerate().filter(|(_, offer)| offer.not_now.is_none())
    {
        match bench.begin(place, NOW) {
            Reply::Ask(form) => questions(&bench, &form, deep, &mut told),
            Reply::Refused(words) => drop(told.insert(format!("{} refused", offer.label), words)),
            _ => {}
        }
    }
    told
}

#[derive(Default)]
struct Counts {
    states: u64,
    /// By what is due: how often earlier figures of this service, that must not be told, were there.
    hidden: BTreeMap<String, u64>,
    views: BTreeSet<String>,
}

fn name(of: &impl std::fmt::Debug) -> String {
    let words = format!("{of:?}");
    words.split(['(', ' ', '{']).next().unwrap_or_default().to_string()
}

fn nothing_told(session: &Session, previous: &Outcome, counts: &mut Counts) {
    let valves = to_gauge(session);
    if valves.is_empty() {
        return;
    }
    counts.states += 1;
    let marks = marks_of(session, &valves);
    if marks.iter().any(|mark| mark.starts_with('7')) {
        *counts.hidden.entry(name(&session.state.due())).or_default() += 1;
    }
    for (view, words) in looked_at(session, previous, 2) {
        for mark in &marks {
            let due = session.state.due();
            assert!(
                !words.contains(mark),
                "{view} tells {mark}, of {valves:?}, at {due:?}:\n{words}"
            );
        }
        counts.views.insert(view);
    }
}

pub(super) fn press(service: &Service, (wildness, key, pick): (u8, u8, u8)) -> Input {
    let due = service.due();
    match wildness % 10 {
        0..=5 => mechanic::calm(&service.session, &due),
        6..=8 => mechanic::troubled(&service.session, &due, pick),
        _ => mechanic::wild(&service.session, key, pick),
    }
}

fn walk(counts: &mut Counts, engine: usize, start: u8, presses: &[(u8, u8, u8)]) {
    let engines = engines::all();
    let mut service = Service::new(engines[engine % engines.len()].clone());
    service.replay_each = 50;
    // Earlier figures of this service are there from its second round on.
    match start % 4 {
        0 => service.on_to_turn(),
        _ => service.calmly_while(|service, _| service.session.state.round() != Some(1)),
    };
    let previous = before(&service.session);
    let mut so_far = Vec::new();
    for &one in presses {
        if service.due() == Due::Closed {
            break;
        }
        let input = press(&service, one);
        let Ok(entries) = service.session.decide(&input) else { continue };
        // What else must never be is watched in `random`.
        for entry in entries {
            let seq = service.session.kept.len() as u64;
            let last = service.session.kept.last().map_or(0, |kept| kept.at.unix_ms);
            let at = Moment { unix_ms: last + 1_000, offset_min: 60 };
            service.session = service.session.clone().keep(Kept { seq, at, entry });
        }
        so_far = marked(&service.session, so_far);
        let Some(session) = Session::replay(&so_far) else { panic!("the marked one is lost") };
        assert_eq!(name(&session.state.due()), name(&service.due()), "marks change what is asked");
        nothing_told(&session, &previous, counts);
    }
}

#[test]
fn nothing_that_can_be_looked_at_tells_an_earlier_figure_of_a_valve_of_the_stop_in_hand() {
    let walks: u32 =
        std::env::var("COWLSIDE_WALKS").ok().and_then(|text| text.parse().ok()).unwrap_or(10);
    let counts = RefCell::new(Counts::default());
    let config = Config { max_shrink_iters: 0, ..crate::seeded::config(walks) };
    let presses = prop::collection::vec((any::<u8>(), any::<u8>(), any::<u8>()), STEPS);
    let given = (any::<usize>(), any::<u8>(), presses);
    let result = TestRunner::new(config).run(&given, |(engine, start, presses)| {
        walk(&mut counts.borrow_mut(), engine, start, &presses);
        Ok(())
    });
    if let Err(wrong) = result {
        panic!("{wrong}");
    }
    let counts = counts.into_inner();
    println!("{} states, figures hidden at {:?}", counts.states, counts.hidden);
    println!("{} views: {:?}", counts.views.len(), counts.views);
    for due in ["Turn", "Gauge"] {
        assert!(counts.hidden.contains_key(due), "no earlier figure had to be hidden at {due}");
    }
}
