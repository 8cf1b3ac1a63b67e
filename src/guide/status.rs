//! Where the work stands, in words: the top line, the way back after a break, the notice for the
//! hangar, what was kept just now.

use super::crank::stood_title;
use super::glance::locked;
use super::hangar::large_words;
use super::left_so::{left_on_the_notice, not_settled, still_so};
use super::named::{open_words, reading_words, typed_unit, valve_name};
use super::page::figure_short;
use super::part_words::{changing_parts, overhead_cams, part_words};
pub use super::place::{doubtful_clock, for_paper, place};
pub use super::screw::{ScrewTurn, screw_turn};
use super::seen::{against_the_gauge, own_caution, proof_words};
use super::turning::{bank_words, clock_words};
pub(super) use super::way_back::resumed;
pub use super::way_back::way_back;
use super::{leak, ways};
use crate::domain::entry::{
    Adopt, At, Change, Correct, Entry, Nut, NutSaid, On, Reading, Remark, Skip, Skipped,
    SourceRead, Step, Work,
};
use crate::domain::plain::plain;
use crate::domain::profile::{Adjuster, Side};
use crate::domain::reading;
use crate::domain::session::{
    Due, OpenItem, Session, Stage, State, is_handed_on, remark_in_short, where_left,
};
use crate::domain::trend::Earlier;
use crate::domain::units::{Length, LengthUnit, Torque};
use crate::domain::valve::{Cylinder, Kind, Valve};

/// Tells whether the mechanic stands at the engine with its covers off, in one of the rounds.
pub fn in_rounds(state: &State) -> bool {
    let due = state.due();
    let at_a_stop = due.stage() == Stage::AtAStop && !matches!(due, Due::Look(..));
    (at_a_stop && state.round().is_some()) || changing_parts(state)
}

/// Returns the open items for the top line, the gravest first.
pub fn open_lines(session: &Session) -> Vec<String> {
    let state = &session.state;
    state.open_items().iter().map(|item| open_words(state, item)).collect()
}

/// An open item with its kind in capitals; a remark stays as it was typed.
pub(super) fn loudly(state: &State, item: &OpenItem) -> String {
    match item {
        OpenItem::BeforeRunning { text, .. } => {
            plain(&format!("BEFORE RUNNING: {}", remark_in_short(text)))
        }
        OpenItem::NutSlack(_)
        | OpenItem::Unloaded(_)
        | OpenItem::PartOut(_)
        | OpenItem::HeldOpen(_)
        | OpenItem::NotCountedIn { .. }
        | OpenItem::HoldDown(_)
        | OpenItem::NutsNotTight(_)
        | OpenItem::CoversOff
        | OpenItem::CoversNotTorqued
        | OpenItem::PlugsNotTorqued
        | OpenItem::TwoTurnsOwed
        | OpenItem::LeadsOff
        | OpenItem::ControlsNotBack
        | OpenItem::RunHandedOver
        | OpenItem::StopFelt { .. }
        | OpenItem::GaugeAfter(_)
        | OpenItem::TurnsOwed
        | OpenItem::Missing { .. }
        | OpenItem::Surplus { .. } => open_words(state, item),
    }
}

/// Says in large letters the gravest of what is open.
pub(super) fn gravest(state: &State) -> Option<String> {
    state.open_items().first().map(|item| grave_words(state, item))
}

/// Says an open item in large letters.
pub(super) fn grave_words(state: &State, item: &OpenItem) -> String {
    large_words(state, item).unwrap_or_else(|| loudly(state, item).to_uppercase())
}

/// Warns in a few words: an engine that is closed up and waits for its run may be turned, and run.
fn warning(state: &State) -> &'static str {
    match state.open_items().as_slice() {
        [OpenItem::RunHandedOver] => "DO NOT RELEASE",
        _ => "DO NOT TURN",
    }
}

/// Stands for who left it where nobody has given a name yet.
const NO_NAME: &str = "left before anybody gave a name";

/// Returns the lines of the called-away notice: what must not be done, what is loose, what is out.
pub fn notice(session: &Session, earlier: &Earlier) -> Vec<String> {
    let state = &session.state;
    let engine = state.begin.engine.clone().unwrap_or_default();
    let mut lines = vec![
        warning(state).to_string(),
        plain(&match state.sealed {
            None => format!("{engine}: valve service under way"),
            Some(_) => format!("{engine}: valve service ended, and this was left open"),
        }),
        plain(&match &state.worker {
            Some(worker) => format!("left by {worker}"),
            None => NO_NAME.to_owned(),
        }),
    ];
    lines.extend(open_lines(session));
    lines.extend(not_settled(state));
    lines.extend(left_on_the_notice(state));
    lines.extend(still_so(state, earlier));
    if let Some(text) = state.away.as_ref().filter(|text| !text.is_empty()) {
        lines.push(plain(text));
    }
    lines
}

/// Returns the lines of the notice where nothing of the session can be read but its engine.
pub fn notice_unread(engine: &str, ended: bool) -> Vec<String> {
    let service = if ended { "valve service ended" } else { "valve service under way" };
    vec![
        "DO NOT TURN".to_string(),
        plain(&format!("{engine}: {service}")),
        "What it left open cannot be read: look for slack nuts, parts out and loose pieces."
            .to_string(),
    ]
}

/// Names where something was counted: a bank by its own word, so that "right" is not read as correct.
pub fn where_counted(session: &Session, bank: &str) -> String {
    where_left(bank, |bank| bank_words(bank, session.state.facts().layout.shape))
}

fn counted_in(session: &Session, bank: &str, item: &str, count: u32) -> String {
    format!("{count} × {item} in, {}", where_counted(session, bank))
}

/// Says what an entry keeps, in a few words; `None` for entries that say nothing to the mechanic.
pub fn entry_words(session: &Session, entry: &Entry) -> Option<String> {
    let name = |valve| valve_name(&session.state, valve);
    let words = match entry {
        Entry::Reading(reading) => reading_words(session, reading),
        Entry::Nut(nut) => nut_words(session, nut),
        Entry::Caution(caution) => {
            own_caution(caution).unwrap_or_else(|| seen_words(&caution.asked, &caution.seen))
        }
        Entry::Condition(condition) => match (&condition.against_limit, condition.head) {
            (Some(why), _) => format!("going on outside the temperature limit: {why}"),
            (None, Some(head)) => format!("head at {}", head.both()),
            (None, None) => format!("head at {}", condition.typed),
        },
        Entry::Leaves(set) => format!("leaves: {}", set.name),
        Entry::Off(off) => format!("counted out: {}", where_counted(session, &off.bank)),
        Entry::On(On::Count { bank, item, count }) => counted_in(session, bank, item, *count),
        Entry::On(On::Check { asked, seen, .. }) => seen_words(asked, seen),
        Entry::On(On::Found { item, .. }) => format!("{item} found"),
        Entry::On(On::AccountedFor { item, place, .. }) => format!("{item}: {place}"),
        Entry::Proof(proof) => proof_words(&session.state, *proof),
        Entry::At(at) => at_words(&session.state, *at),
        Entry::Unload(unload) => format!("{} unloaded", name(unload.valve)),
        Entry::Release(release) => format!("{} let go", name(release.valve)),
        Entry::Who(who) => format!("{} at work", who.name),
        Entry::Remark(remark) if remark.text.is_empty() => "ticks".into(),
        Entry::Remark(remark) => remark_words(session, remark),
        Entry::Skip(Skip { what: Skipped::AsFound(valve), why, .. }) => {
            format!("as-found of {} lost: {why}", name(*valve))
        }
        Entry::Skip(skip) => super::hold_down::not_measured(skip)
            .unwrap_or_else(|| format!("passed over: {}", skip.why)),
        Entry::LeakTest(test) => leak::words(test),
        Entry::Run(run) => seen_words(&run.asked, &run.seen),
        Entry::Source(SourceRead::Named { practice: true, .. }) => {
            "no manual: practice, by example figures".into()
        }
        Entry::Source(SourceRead::Named { source, .. }) => format!("manual: {}", source.document),
        Entry::Source(SourceRead::Figure { kind, figure, value, .. }) => {
            let unit = session.state.facts().unit;
            format!("{} {}: {}", kind.word(), figure_short(*figure), value.text(unit))
        }
        Entry::Source(SourceRead::Confirmed) => "the same source, same revision".into(),
        Entry::Source(SourceRead::Again) => "figures to be typed again".into(),
        Entry::Begin(begin) => ways::begun_words(&session.state, begin)?,
        Entry::Work(Work { cylinder, hold_down: Some(typed), .. }) => {
            format!("hold-down torque of cylinder {cylinder}: {typed}")
        }
        Entry::Work(work) => format!("work on cylinder {}: {}", work.cylinder, work.what),
        Entry::Part(part) => part_words(session, part),
        Entry::Amend(amend) => format!("figures amended: {}", amend.why),
        Entry::Correct(correct) => corrected_words(session, correct)?,
        Entry::Redate(redate) => format!("dated {}", redate.day),
        Entry::Sign(sign) => format!("signed by {}", sign.signer),
        Entry::Adopt(adopt) => {
            let Reading { valve, step, typed, unit, .. } = &adopt.reading;
            let (step, typed) = (step_word(*step), typed_unit(typed, *unit));
            format!("{}, {step}: {typed}, taken over from another version", name(*valve))
        }
        Entry::Head(_) | Entry::Away(_) | Entry::Back(_) | Entry::Seal(_) | Entry::Recover(_) => {
            return None;
        }
    };
    Some(plain(&words))
}

/// Says what a remark says; of one that answers for what was open, what that was; of what was handed on, that
/// it was taken over.
fn remark_words(session: &Session, remark: &Remark) -> String {
    let settles = |(seq, _): &&(u64, Remark)| Some(*seq) == remark.settles;
    if is_handed_on(&remark.text) {
        format!("taken over: {}", remark_in_short(&remark.text))
    } else if let Some((_, of)) = session.state.remarks.iter().find(settles)
        && is_handed_on(&of.text)
    {
        format!("{}: {}", remark_in_short(&of.text), remark.text)
    } else {
        format!("remark: {}", remark.text)
    }
}

fn nut_words(session: &Session, nut: &Nut) -> String {
    let of = valve_name(&session.state, nut.valve);
    match &nut.said {
        NutSaid::Slack => format!("nut of {of} slack"),
        NutSaid::Locked { torque, .. } if torque.is_empty() => {
            format!("nut of {of} locked, gauged after")
        }
        NutSaid::Locked { torque, .. } => {
            let torque = torque_words(torque, session.state.facts().unit);
            format!("nut of {of} locked at {torque}, gauged after")
        }
        NutSaid::NeverTouched { .. } if session.state.left_slack(nut.valve) => {
            format!("nut of {of}: seen, it is locked")
        }
        NutSaid::NeverTouched { .. } => format!("nut of {of} never touched"),
        NutSaid::Threads(1) => format!("{of}: 1 thread showing"),
        NutSaid::Threads(threads) => format!("{of}: {threads} threads showing"),
    }
}

/// Writes a torque that was kept in the profile's words in both units.
pub fn torque_words(typed: &str, unit: LengthUnit) -> String {
    Torque::parse(typed).map_or_else(|_| typed.to_string(), |torque| torque.both(unit))
}

/// Names what was said of a reading that does not count; of which valve alone: it is due again, or was.
fn withdrawal_words(session: &Session, correct: &Correct) -> Option<String> {
    let of = session.kept.iter().find(|kept| kept.seq == correct.of)?;
    let (Entry::Reading(reading) | Entry::Adopt(Adopt { reading, .. })) = &of.entry else {
        return None;
    };
    Some(format!(
        "that the reading of {} does not count",
        valve_name(&session.state, reading.valve)
    ))
}

/// Says what a correction did. What is taken back is due again, so its figure is not told.
fn corrected_words(session: &Session, correct: &Correct) -> Option<String> {
    let of = session.kept.iter().find(|kept| kept.seq == correct.of)?;
    let what = match &of.entry {
        Entry::Reading(reading) | Entry::Adopt(Adopt { reading, .. }) => {
            format!("the reading of {}", valve_name(&session.state, reading.valve))
        }
        Entry::Correct(withdrawn) if withdrawn.change == Change::Void => {
            withdrawal_words(session, withdrawn)?
        }
        other => entry_words(session, other)?,
    };
    Some(match &correct.change {
        Change::Void => format!("taken back: {what}"),
        Change::Value { typed, .. } => format!("{what} is now {typed}"),
        Change::SwapWith(_) => format!("{what} has changed places"),
    })
}

/// Says what was seen of what: "Fuel: selector off".
fn seen_words(asked: &str, seen: &str) -> String {
    match asked.split_once(": ") {
        Some((about, _)) if about.len() <= 20 => format!("{about}: {seen}"),
        Some(_) | None => seen.into(),
    }
}

fn at_words(state: &State, at: At) -> String {
    match at {
        At::Tape(half_hours) => format!("tape at {}", clock_words(f64::from(half_hours))),
        // By the entry itself: the crank may have been turned since.
        At::Stop { stop, watch, then_turn } => {
            match state.stops().get(stop).filter(|stop| stop.watch == watch) {
                Some(stop) => format!("crank: {}", stood_title(watch, stop.sign, then_turn)),
                // Of a plan that is no more: how it was told there is not known.
                None => format!("crank: at a stop by {watch}"),
            }
        }
        At::SeenOverlap(cylinder) => format!("crank: {cylinder} at overlap"),
        At::SeenLoose(cylinder) if overhead_cams(state) => {
            format!("crank: all lobes of {cylinder} point away")
        }
        At::SeenLoose(cylinder) => format!("crank: both of {cylinder} loose"),
        At::Lost => "crank: not known".into(),
    }
}

pub(super) fn step_word(step: Step) -> &'static str {
    match step {
        Step::Found => "found",
        Step::Try => "try",
        Step::Left => "left",
        Step::Recheck => "rechecked",
    }
}

/// Says what a typed reading is taken for while it is typed; empty while it is not readable yet.
pub fn taken_for(session: &Session, typed: &str) -> String {
    let state = &session.state;
    let Some(set) = &state.leaves else { return String::new() };
    let last = typed.split_whitespace().last().unwrap_or("");
    let last = last.rsplit('>').next().unwrap_or(last);
    match reading::parse(last, set) {
        Ok(meaning) => format!("= {}", reading::interpret_words(&meaning, set.unit)),
        Err(_) => String::new(),
    }
}

/// Says what was kept just now and how it stands, with the figure of last time beside it.
///
/// Nothing of this is on the screen before the reading is kept.
pub fn kept_words(
    session: &Session,
    entries: &[Entry],
    last_left: &dyn Fn(Valve) -> Option<(String, Length)>,
) -> String {
    // A leak test says more than the remark that settles its promise.
    let test = entries.iter().find(|entry| matches!(entry, Entry::LeakTest(_)));
    // And a check more than the remarks that it answers for.
    let settles = |entry: &&Entry| matches!(entry, Entry::Remark(one) if one.settles.is_some());
    let checked = entries.first().filter(|first| matches!(first, Entry::On(On::Check { .. })));
    let checked = checked.filter(|_| entries.iter().skip(1).all(|entry| settles(&entry)));
    let Some(last) = test.or(checked).or(entries.last()) else { return String::new() };
    if let Some(words) = super::not_safe::words(last) {
        return words;
    }
    let turn = super::taking_back::of_a_turn(session, entries);
    if let Some(words) = turn.or_else(|| super::taking_back::of_a_leak(entries)) {
        return words;
    }
    let several = super::taking_back::of_another(&session.state, entries);
    if let Some(words) = several.or_else(|| super::taking_back::of_a_place(entries)) {
        return plain(&format!("saved: {words}"));
    }
    let nut = if let Entry::Nut(nut) = last { locked(&session.state, nut) } else { None };
    let (reading, mut words) = match (last, nut) {
        (Entry::Reading(reading), _) => {
            let name = valve_name(&session.state, reading.valve);
            // Its number is not to be read as a part of the figure.
            let colon = if name.ends_with(|last: char| last.is_ascii_digit()) { ":" } else { "" };
            (reading, format!("saved: {name}{colon} {}", reading.typed))
        }
        (_, Some(reading)) => {
            let locked = entry_words(session, last).unwrap_or_default();
            (reading, format!("saved: {locked}: {}", reading.typed))
        }
        (_, None) => {
            let words = entry_words(session, last).unwrap_or_default();
            return match last {
                Entry::Correct(_) => words,
                Entry::LeakTest(test) => {
                    let more =
                        leak::asked_again(&session.state, test).map(|more| format!(": {more}"));
                    format!("saved: {words}{}", more.unwrap_or_default())
                }
                Entry::Proof(proof) => {
                    let against = against_the_gauge(&session.state, *proof);
                    let against = against.map_or(String::new(), |words| format!(", {words}"));
                    format!("saved: {words}{against}")
                }
                _ if words.is_empty() => words,
                _ => format!("saved: {words}"),
            };
        }
    };
    let valve = reading.valve;
    // Nothing is said of a figure that is not believed before it was gauged once more.
    let round = session.state.round();
    let again =
        matches!(session.state.due(), Due::Again(..)) || session.state.wants_second(round, valve);
    if reading.step == Step::Try && nut.is_none() || again {
        return plain(&words);
    }
    if let Some(verdict) = session.state.verdict_now(valve) {
        words.push_str(&format!(" · {}", verdict.word().to_uppercase()));
        if let Some(head) = session.state.gone_on_outside() {
            words.push_str(&format!(" · head at {}", head.both()));
        }
    }
    if let (Some((typed, was)), Some(now), Step::Found) =
        (last_left(valve), reading.nominal, reading.step)
    {
        let unit = session.state.facts().unit;
        words.push_str(&format!(" · last left {typed}, {}", moved_words(was, now, unit)));
    }
    plain(&words)
}

/// Says a movement: "closed 0.02 mm", "opened 0.0005 in", "unchanged".
pub fn moved_words(was: Length, now: Length, unit: LengthUnit) -> String {
    let apart = now - was;
    match apart.nm() {
        0 => "unchanged".into(),
        closed if closed < 0 => format!("closed {}", (was - now).text(unit)),
        _ => format!("opened {}", apart.text(unit)),
    }
}

/// Returns the side of a cylinder in capitals, where its bank has one.
pub fn side_word(state: &State, cylinder: Cylinder) -> Option<&'static str> {
    state.facts().bank_of(cylinder)?.side.map(|side| match side {
        Side::Left => "LEFT",
        Side::Right => "RIGHT",
    })
}

/// Returns the number of a cylinder with its side, for large letters: "CYL 2L". A number alone beside
/// LEFT would be read as so many that are left.
pub fn number_and_side(state: &State, cylinder: Cylinder) -> String {
    let side = side_word(state, cylinder).and_then(|side| side.get(..1));
    side.map_or_else(|| format!("CYL {cylinder}"), |side| format!("CYL {cylinder}{side}"))
}

/// Returns limits and target in words: "allowed 0.005 to 0.007 in, target 0.006 in", in the unit of
/// the leaves too where that is another.
pub fn limits_words(state: &State, valve: Valve) -> String {
    let figures = state.figures(valve.kind);
    let unit = state.facts().unit;
    let band = state.band(valve);
    let word = if state.touched.contains(&valve) { "to be left at" } else { "allowed" };
    let target = match &state.leaves {
        Some(set) if set.unit != unit => figures.target.both(unit),
        Some(_) | None => figures.target.text(unit),
    };
    format!("{word} {} to {}, target {target}", band.least.digits(unit), band.most.text(unit))
}

/// Returns the kinds of valve of an engine with what to carry for each.
pub fn carry_words(state: &State, kinds: &[Kind]) -> String {
    let Some(set) = &state.leaves else { return String::new() };
    let mut parts: Vec<String> = Vec::new();
    for &kind in kinds {
        let leaves = crate::domain::leaves::carry(set, &state.figures(kind));
        let labels = crate::domain::leaves::labels(set, &leaves);
        if !labels.is_empty() && !parts.contains(&labels) {
            parts.push(labels);
        }
    }
    let mut carry = vec![format!("leaves {}", parts.join(", "))];
    // Where nothing is set no tool is needed for it.
    if let Adjuster::Screw(screw) = &state.facts().adjuster
        && !state.is_rough_look()
    {
        carry.extend(screw.lock_nut.as_ref().map(|size| format!("{size} ring spanner")));
        carry.extend(screw.screw_drive.clone());
        if screw.lock_nut_torque.is_some() {
            carry.push("torque wrench".into());
        }
    }
    if parts.is_empty() {
        carry.remove(0);
    }
    carry.join(", ")
}
