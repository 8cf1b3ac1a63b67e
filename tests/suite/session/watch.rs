//! The list of what must never happen (session.md section 9), judged from the entries alone by a
//! reader of its own, and held against what the session says.

use super::found::{Found, read, withdrawn};
use cowlside::domain::crank;
use cowlside::domain::entry::{Amended, At, Entry, Kept, NutSaid, Step};
use cowlside::domain::profile::{Adjuster, Facts};
use cowlside::domain::session::{Due, Input, OpenItem, Refusal, Session};
use cowlside::domain::valve::Valve;
use cowlside::domain::verdict::Verdict;
use std::collections::BTreeSet;

/// What the entries say of the things that must not be forgotten.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Watch {
    /// Inputs checked.
    pub checked: u64,
    pub taken: u64,
    /// Readings whose valve was worked out to be shut.
    pub shut: u64,
}

pub fn want(holds: bool, otherwise: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(otherwise()) }
}

impl Watch {
    pub fn new() -> Watch {
        Watch::default()
    }

    /// Checks everything after an input; an error says what must never have been.
    pub fn check(
        &mut self,
        before: &Session,
        input: &Input,
        answer: &Result<Vec<Entry>, Refusal>,
        after: &Session,
    ) -> Result<(), String> {
        self.checked += 1;
        self.taken += u64::from(answer.is_ok());
        let gone_before = withdrawn(&before.kept);
        let was = read(&before.kept, &gone_before)?;
        let gone = withdrawn(&after.kept);
        let now = read(&after.kept, &gone)?;
        input_against(input, answer.is_ok(), &was, before)?;
        if answer.is_err() {
            return Ok(());
        }
        let (kept, found) = (after.state.round(), after.state.look_for_round());
        want(kept == found, || format!("round {kept:?} kept in mind where it is {found:?}"))?;
        open_items(&now, &gone, after)?;
        due_against(&now, &gone, after)?;
        nothing_turns(&now, after)?;
        super::watch_places::places(before.kept.len(), &gone, after)?;
        round_goes_on(input, answer, before, after)?;
        let work = |of: &u64| {
            before.kept.iter().any(|kept| kept.seq == *of && matches!(kept.entry, Entry::Work(_)))
        };
        // With the work on a cylinder it is said of its nuts, too, that nobody was at them.
        if !gone.difference(&gone_before).any(work) {
            opened_only_closed_by_answers(&was, &gone_before, answer, &now, &gone)?;
        }
        for (valve, angle, facts) in gauged_at(&after.kept, before.kept.len()) {
            self.shut += 1;
            let margin = crank::margin(&facts, valve, angle);
            want(margin > 0.0, || format!("{valve} gauged open: {margin}"))?;
        }
        counted_readings_are_shut(after)?;
        super::drawn::drawing(after, &gone)?;
        sealed(after)
    }
}

/// What no state may take: turning with a valve held open, anything but waking under the notice.
fn input_against(input: &Input, taken: bool, was: &Found, before: &Session) -> Result<(), String> {
    let turns =
        matches!(input, Input::SeeOverlap(_) | Input::SeeLoose(_) | Input::Lost | Input::Loose(_));
    let barred = !was.unloaded.is_empty() || !was.parts.is_empty() || was.turns_owed;
    want(!(taken && turns && barred), || "turned with a valve held open or a part out".into())?;
    let notice = before.state.away.is_some() && before.state.sealed.is_none();
    want(!(taken && notice) || matches!(input, Input::Back(_)), || "answered the notice".into())?;
    let signs = matches!(input, Input::Sign(..));
    want(!(taken && signs) || before.state.open_items().is_empty(), || "signed with items".into())?;
    let closed = before.state.sealed.is_some();
    want(!(taken && closed) || matches!(input, Input::Remark(_)), || "wrote after the seal".into())
}

/// Work at the engine never leads back to an earlier round; but where a correction brought up a doubt
/// of the valve while its nut was slack, that is asked as soon as the nut is answered for.
fn round_goes_on(
    input: &Input,
    answer: &Result<Vec<Entry>, Refusal>,
    before: &Session,
    after: &Session,
) -> Result<(), String> {
    let answered = answer.iter().flatten().find_map(|entry| match entry {
        Entry::Nut(nut) => Some(nut.valve.cylinder),
        _ => None,
    });
    let doubt = match after.state.due() {
        Due::Again(valve, _) | Due::Doubted { valve, .. } => answered == Some(valve.cylinder),
        Due::Rock { .. } => answered.is_some(),
        _ => false,
    };
    let work = matches!(
        input,
        Input::Loose(_)
            | Input::Rock(_)
            | Input::Unload
            | Input::Release
            | Input::ReleaseOf(_)
            | Input::Gauge { .. }
            | Input::OpenSet(_)
            | Input::Tried { .. }
            | Input::NutLocked
            | Input::NutStillSlack
            | Input::Threads(_)
            | Input::LeaveAsIs { .. }
            | Input::SkipValve { .. }
    );
    let (was, now) = (before.state.round(), after.state.round());
    let back = now.is_some_and(|now| was.is_some_and(|was| now < was));
    want(!(work && back && !doubt), || format!("from round {was:?} back to {now:?}"))
}

/// The open items that the session shows are those that the entries tell.
fn open_items(now: &Found, gone: &BTreeSet<u64>, after: &Session) -> Result<(), String> {
    let items = after.state.open_items();
    let mut nuts: Vec<Valve> = Vec::new();
    let mut held = BTreeSet::new();
    let mut parts = 0;
    let mut owed = false;
    let mut remarks = BTreeSet::new();
    let mut hold_down = BTreeSet::new();
    for item in &items {
        match item {
            OpenItem::NutSlack(valve) => nuts.push(*valve),
            OpenItem::Unloaded(valve) => {
                held.insert(*valve);
            }
            OpenItem::PartOut(..) => parts += 1,
            OpenItem::TurnsOwed => owed = true,
            OpenItem::HoldDown(cylinder) | OpenItem::NutsNotTight(cylinder) => {
                hold_down.insert(*cylinder);
            }
            OpenItem::BeforeRunning { seq, .. } => {
                remarks.insert(*seq);
            }
            OpenItem::Missing { .. }
            | OpenItem::Surplus { .. }
            | OpenItem::StopFelt { .. }
            | OpenItem::HeldOpen(_)
            | OpenItem::GaugeAfter(_)
            | OpenItem::NotCountedIn { .. }
            | OpenItem::CoversOff
            | OpenItem::CoversNotTorqued
            | OpenItem::PlugsNotTorqued
            | OpenItem::TwoTurnsOwed
            | OpenItem::LeadsOff
            | OpenItem::ControlsNotBack
            | OpenItem::RunHandedOver => {}
        }
    }
    let slack = now.slack(gone);
    want(nuts == slack, || format!("slack by the entries {slack:?}, by the session {nuts:?}"))?;
    want(held == now.unloaded, || format!("held open {:?}, not {held:?}", now.unloaded))?;
    want(owed == (now.turns_owed && now.parts.is_empty()), || {
        format!("turns owed {}, not {owed}", now.turns_owed)
    })?;
    want(hold_down == now.hold_down, || {
        format!("hold-down torque of {:?} owed, not {hold_down:?}", now.hold_down)
    })?;
    want(parts == now.parts.len(), || format!("parts out {:?}", now.parts))?;
    want(remarks == now.before_running, || format!("before running {:?}", now.before_running))
}

/// No turn is ever asked, nor air on a piston, while a part is out, a valve is held open, or a cylinder may be
/// loose on its studs; what is asked in words at the question itself tells the last.
fn nothing_turns(now: &Found, after: &Session) -> Result<(), String> {
    let due = after.state.due();
    let turns = match &due {
        Due::Turn { .. } | Due::Rock { .. } | Due::TurnThrough(_) | Due::LeakTest(..) => true,
        Due::Check(line) => line.id == "two-turns",
        Due::Caution(line, _) => line.id == "oil-lock",
        Due::PromisedTest { .. } | Due::RunCaution(_) | Due::RunCheck(_) => true,
        _ => false,
    };
    let still = now.unloaded.is_empty() && now.parts.is_empty() && now.loose.is_empty();
    let held = || format!("{:?} {:?} {:?}", now.unloaded, now.parts, now.loose);
    want(still || !turns, || format!("turned by {due:?} with {}", held()))?;
    let not_measured: BTreeSet<_> = now.hold_down.difference(&now.loose).copied().collect();
    let said: BTreeSet<_> = after.state.not_measured().into_iter().collect();
    let over = after.state.sealed.is_some();
    want(over || said == not_measured, || format!("not measured {not_measured:?}, not {said:?}"))
}

fn due_against(now: &Found, gone: &BTreeSet<u64>, after: &Session) -> Result<(), String> {
    let due = after.state.due();
    let slack = now.slack(gone);
    let still = now.unloaded.is_empty() && now.parts.is_empty() && !now.turns_owed;
    let said = || format!("{due:?} with {slack:?} {:?} {:?}", now.unloaded, now.parts);
    match &due {
        Due::Turn { .. } | Due::TurnThrough(_) => {
            let through = matches!(due, Due::TurnThrough(_));
            let still = still || through && now.unloaded.is_empty() && now.parts.is_empty();
            want(still, || format!("a turn is offered: {}", said()))
        }
        Due::Caution(line, _) if line.id == "oil-lock" => {
            let still = now.unloaded.is_empty() && now.parts.is_empty();
            want(still, || format!("pulled through: {}", said()))
        }
        Due::Again(valve, step) if *step != Step::Try => {
            let rods = matches!(after.state.facts().adjuster, Adjuster::Pushrod { .. });
            let dry = !rods || now.dry.contains(&valve.to_string());
            want(dry, || format!("{valve} gauged again, its lifter not answered for"))
        }
        Due::NoFigure(_) | Due::ReasonFor(..) => want(still && slack.is_empty(), said),
        Due::CountIn { .. }
        | Due::Shortage { .. }
        | Due::Check(_)
        | Due::BeforeRunning(..)
        | Due::PromisedTest { .. } => {
            want(now.hold_down.is_empty(), || format!("closing up: {:?}", now.hold_down))?;
            want(still && slack.is_empty(), || format!("closing up: {}", said()))
        }
        Due::RunCaution(_) | Due::RunCheck(_) | Due::RunFault(..) | Due::Sign => {
            let mut items = after.state.open_items();
            // Made safe after its run, it is joined up once it was looked at; so it is where that is asked.
            let asked_of_it = matches!(&due, Due::RunCheck(line) if line.id == "meanwhile");
            if after.state.cools() || asked_of_it || matches!(due, Due::RunFault(..)) {
                let off = |item: &OpenItem| {
                    let put_back = [
                        OpenItem::LeadsOff,
                        OpenItem::ControlsNotBack,
                        OpenItem::PlugsNotTorqued,
                        OpenItem::TwoTurnsOwed,
                    ];
                    put_back.contains(item)
                };
                items.retain(|item| !off(item));
            }
            if !matches!(due, Due::Sign) {
                // The run that is asked about is the one that is owed.
                items.retain(|item| *item != OpenItem::RunHandedOver);
            }
            want(still && slack.is_empty(), || format!("run or signature: {}", said()))?;
            if asked_of_it {
                // It asks of a run that may have been: what was told since is asked before there is another.
                items.retain(|item| !matches!(item, OpenItem::BeforeRunning { .. }));
                return want(items.is_empty(), || format!("open: {items:?}"));
            }
            want(items.is_empty() && now.before_running.is_empty(), || format!("open: {items:?}"))
        }
        Due::Gauge(valve, _) => {
            want(after.state.crank_proven(), || "gauged without proof".into())?;
            let rods = matches!(after.state.facts().adjuster, Adjuster::Pushrod { .. });
            let dry = !rods || now.dry.contains(&valve.to_string());
            want(dry, || format!("{valve} gauged, its lifter not answered for"))?;
            want(still || !now.unloaded.is_empty(), said)?;
            want(!slack.contains(valve), || format!("{valve} gauged with its nut slack"))
        }
        Due::Unload(_) | Due::Set(..) | Due::LeakTest(..) => {
            want(after.state.crank_proven(), || format!("without proof: {}", said()))
        }
        _ => Ok(()),
    }
}

/// A nut that was slack is so still, unless this input answered for that very nut.
fn opened_only_closed_by_answers(
    was: &Found,
    gone_before: &BTreeSet<u64>,
    answer: &Result<Vec<Entry>, Refusal>,
    now: &Found,
    gone: &BTreeSet<u64>,
) -> Result<(), String> {
    let slack_now = now.slack(gone);
    for valve in was.slack(gone_before) {
        let answered = answer.iter().flatten().any(|entry| match entry {
            Entry::Nut(nut) => {
                nut.valve == valve
                    && matches!(nut.said, NutSaid::Locked { .. } | NutSaid::NeverTouched { .. })
            }
            _ => false,
        });
        want(slack_now.contains(&valve) || answered, || format!("{valve} was forgotten"))?;
    }
    Ok(())
}

/// Works out, entry by entry, where the crank stood for each new reading at a stop of a computed plan.
fn gauged_at(kept: &[Kept], new_from: usize) -> Vec<(Valve, f64, Facts)> {
    let gone = withdrawn(kept);
    let mut facts: Option<Facts> = None;
    let mut angle = None;
    let mut gauged = Vec::new();
    for (place, Kept { seq, entry, .. }) in kept.iter().enumerate() {
        if gone.contains(seq) && !matches!(entry, Entry::Reading(_)) {
            continue;
        }
        match entry {
            Entry::Head(head) => facts = Some((*head.profile.profile).clone()),
            Entry::Amend(amend) => {
                if let Amended::Profile(profile) = &amend.what {
                    (facts, angle) = (Some((*profile.profile).clone()), None);
                }
            }
            Entry::At(at) => {
                let Some(facts) = facts.as_ref().filter(|facts| facts.stops.is_none()) else {
                    continue;
                };
                angle = match at {
                    At::Stop { watch, then_turn, .. } => {
                        Some(crank::overlap_angle(facts, *watch) + f64::from(*then_turn))
                    }
                    At::SeenLoose(cylinder) => Some(crank::firing_angle(facts, *cylinder)),
                    At::SeenOverlap(cylinder) => Some(crank::overlap_angle(facts, *cylinder)),
                    At::Lost => None,
                    At::Tape(_) => angle,
                };
            }
            Entry::Reading(reading) if place >= new_from => {
                let by_plan = reading.against_plan.is_none() && reading.paper.is_none();
                if let (Some(facts), Some(angle), true) = (&facts, angle, by_plan) {
                    gauged.push((reading.valve, angle, facts.clone()));
                }
            }
            _ => {}
        }
    }
    gauged
}

/// Every reading that counts has its valve shut by the profile as used now, or carries its reason;
/// at a table's stop the table names it.
fn counted_readings_are_shut(after: &Session) -> Result<(), String> {
    let state = &after.state;
    for taken in state.readings.iter().filter(|taken| taken.counts) {
        let valve = taken.reading.valve;
        // Where an adopted one was gauged is proven in the version that it names.
        let one = after.kept.iter().find(|kept| kept.seq == taken.seq);
        let adopted = one.is_some_and(|kept| matches!(kept.entry, Entry::Adopt(_)));
        if taken.reading.against_plan.is_some() || taken.reading.paper.is_some() || adopted {
            continue;
        }
        let Some(stood) = taken.stood else {
            return Err(format!("{valve} was gauged nobody knows where"));
        };
        if state.facts().stops.is_none() || state.facts().timing.is_some() {
            let margin = taken.crank.map(|angle| crank::margin(state.facts(), valve, angle));
            want(margin.is_none_or(|margin| margin > 0.0), || {
                format!("{valve} counts: {margin:?}")
            })?;
        }
        if state.facts().stops.is_some() {
            let at_its_stop = state.stops().iter().any(|stop| {
                let there = stop.watch == stood.watch && stop.then_turn == stood.then_turn;
                there && stop.gauge.iter().any(|gauge| gauge.valve == valve)
            });
            want(at_its_stop, || format!("{valve} at another stop than the table's"))?;
        }
    }
    Ok(())
}

/// Signed: an as-left for every valve, opened outside the scope or not, and a reason for each that is out.
fn sealed(after: &Session) -> Result<(), String> {
    let state = &after.state;
    if state.sealed != Some(true) {
        return Ok(());
    }
    for valve in state.valves().into_iter().chain(state.touched.iter().copied()) {
        let verdict = state.verdict_left(valve);
        let stands = verdict == Some(Verdict::InLimits)
            || (verdict.is_some() && state.reason_to_leave(valve).is_some());
        want(stands, || format!("signed with {valve} {verdict:?}"))?;
    }
    Ok(())
}
