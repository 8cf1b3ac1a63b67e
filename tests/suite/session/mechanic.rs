//! Mechanics: a calm one who answers what is due as it should be, one who meets trouble, and one
//! who presses anything at all.

mod mistakes;

use cowlside::domain::entry::{
    Back, Begin, Figure, LeafSet, PartKind, Remark, Rocked, Rounds, Sign, Step,
};
use cowlside::domain::leaves;
use cowlside::domain::profile::Adjuster;
use cowlside::domain::session::{
    Due, Input, LEAK_TEST_LATER, LEAK_TEST_NOW, OpenItem, OwedRun, Session, State, WRONG_PLACE,
};
use cowlside::domain::units::{Length, LengthUnit};
use cowlside::domain::valve::{Kind, Valve};

use super::harness::why;
use super::look::look;
use mistakes::{never_slack, not_so};

/// The set that fits the profile's unit.
pub fn leaf_set(state: &State) -> LeafSet {
    let sets = leaves::usual();
    match state.facts().unit {
        LengthUnit::Inch => sets[0].clone(),
        LengthUnit::Mm => sets[1].clone(),
    }
}

/// A reading at a valve's target, as it would be typed.
///
/// In the unit in which it can be written to the nanometre: a set band may be no wider than that.
pub fn on_target(state: &State, kind: Kind) -> String {
    let target = state.figures(kind).target;
    let own = state.facts().unit;
    let exact = |unit| Length::parse(&target.text(unit), target..=target).is_ok();
    target.text(if exact(own) { own } else { own.other() })
}

/// Readings of all sorts for a kind of valve.
fn any_reading(state: &State, kind: Kind, pick: u8) -> String {
    let figures = state.figures(kind);
    let unit = state.facts().unit;
    let of = |length: Length| length.text(unit);
    match pick % 12 {
        0..=4 => of(figures.target),
        5 => of(figures.least + figures.least),
        6 => of(figures.set_most),
        7 => of(figures.least),
        8 => "0".into(),
        9 => format!("/{}", of(figures.least)),
        10 => format!("{}/", of(figures.most)),
        _ => format!("{}/{}", figures.least.digits(unit), of(figures.most + figures.least)),
    }
}

fn rounds_of(state: &State, pick: u8) -> Rounds {
    match (&state.facts().adjuster, pick % 3) {
        (Adjuster::Screw(_), 0) => Rounds::SetThenRecheck,
        (Adjuster::Screw(_), 1) => Rounds::SurveySetRecheck,
        _ => Rounds::SurveyOnly,
    }
}

/// Answers what is due as it should be.
pub fn calm(session: &Session, due: &Due) -> Input {
    let state = &session.state;
    let good = |line: &cowlside::domain::session::checklist::Line| {
        Input::Answer(line.states.iter().find(|seen| seen.good).unwrap().digit)
    };
    let gauged = |kind| Input::Gauge { typed: on_target(state, kind), sure: true };
    match due {
        Due::Closed => unreachable!("nothing is due"),
        Due::Away => Input::Back(Back { after_min: Some(20), ..Back::default() }),
        Due::NewDay => Input::NotRunSince,
        Due::Who => Input::Who("First".into()),
        Due::OwedRun(_) => Input::OwedRun(OwedRun::Dry),
        Due::SourceName(_) => {
            Input::NameSource { source: state.facts().source.clone(), practice: false }
        }
        Due::PageFigure(kind, figure) => {
            let figures = state.facts().figures(*kind);
            let length = match figure {
                Figure::Target => figures.target,
                Figure::Least => figures.least,
                Figure::Most => figures.most,
            };
            // One that was mistyped before is not lived with.
            match state.crosses_on_page(*kind, *figure, length) {
                Some(_) => Input::PageAgain,
                None => Input::PageFigure(length.text(state.facts().unit)),
            }
        }
        Due::PageDiffers(_) => Input::PageAgain,
        Due::Caution(line, _) | Due::RunCaution(line) | Due::Check(line) | Due::RunCheck(line) => {
            good(line)
        }
        Due::Temperature | Due::OutsideTemperature => {
            Input::Temperature { head: "20 °C".into(), air: String::new() }
        }
        Due::Leaves => Input::Leaves(leaf_set(state)),
        Due::Scope => {
            let (rounds, change) = (Some(rounds_of(state, 0)), state.has_parts());
            Input::Begin(Box::new(Begin { rounds, change, ..Begin::default() }))
        }
        Due::NoPlan(words) => unreachable!("every engine here has a plan: {words}"),
        Due::CountOut(_, items) => Input::CountOut(items.iter().map(|(_, count)| *count).collect()),
        Due::PartsList
        | Due::TakeOut(_)
        | Due::PartOut(..)
        | Due::CamsOut(..)
        | Due::TurnThrough(_)
        | Due::Dry(..)
        | Due::ChangeRod(..) => calm_about_parts(state, due),
        Due::Turn { stop, .. } => Input::Loose(state.to_gauge(*stop)),
        Due::Rock { .. } => Input::Rock(Rocked::Steady),
        Due::Unload(_) => Input::Unload,
        Due::Trying(valve) | Due::Again(valve, Step::Try) => {
            Input::Tried { typed: on_target(state, valve.kind), sure: true }
        }
        Due::Gauge(valve, _) | Due::Again(valve, _) => gauged(valve.kind),
        Due::Doubted { .. } => Input::Believe { why: why() },
        Due::LeakTest(..) | Due::PromisedTest { .. } => calm_leak_test(due),
        Due::HoldDown(_) => Input::HoldDown("30 N·m".into(), false),
        Due::Felt(..) => Input::CauseFound("a rag".into()),
        Due::Set(valve, _) => Input::OpenSet(*valve),
        Due::NutAnswer(..) => Input::NutLocked,
        Due::Threads(..) | Due::ThreadsOutside(..) => Input::Threads(3),
        Due::Release(_) => Input::Release,
        Due::NoFigure(valves) => Input::Unskip(valves[0]),
        Due::ReasonFor(valve, _) => Input::LeaveAsIs { valve: *valve, why: why() },
        Due::CountIn { out, .. } | Due::Shortage { out, .. } => Input::CountIn(*out),
        Due::Look(..) => Input::Looked("looked: on the engine".into(), Vec::new()),
        Due::BeforeRunning(seq, _) => Input::SettleRemark { seq: *seq, text: "done".into() },
        Due::RunFault(..) => Input::RunLeave { why: why() },
        Due::Sign => sign(),
    }
}

/// With the plugs in it is made safe first.
fn calm_leak_test(due: &Due) -> Input {
    let safe_first = matches!(due, Due::PromisedTest { plugs_out: false, .. });
    if safe_first { leak_test("", LEAK_TEST_NOW) } else { leak_test("74/80", "") }
}

fn leak_test(typed: &str, why_not: &str) -> Input {
    Input::LeakTest { typed: typed.into(), why_not: why_not.into() }
}

fn calm_about_parts(state: &State, due: &Due) -> Input {
    let good = |line: &cowlside::domain::session::checklist::Line| {
        line.states.iter().find(|seen| seen.good).unwrap().digit
    };
    match due {
        Due::PartsList => {
            state.to_change().first().map_or(Input::LeaveAllAsIs { why: why() }, |valve| {
                let bank = state.facts().bank_of(valve.cylinder).unwrap();
                Input::CamsOut { bank: Some(bank.name.clone()) }
            })
        }
        Due::TakeOut(valve) => part(true, *valve, PartKind::Shim, "2.70 mm"),
        Due::PartOut(valve, PartKind::Pushrod) => {
            let fit = state.rods(*valve).1.unwrap_or(Length::ZERO);
            part(false, *valve, PartKind::Pushrod, &fit.text(state.facts().unit))
        }
        Due::PartOut(valve, part_kind) => part(false, *valve, *part_kind, "2.50 mm"),
        Due::CamsOut(bank, line) => Input::CamsIn { bank: bank.clone(), digit: good(line) },
        Due::TurnThrough(line) | Due::Dry(_, line) => Input::Answer(good(line)),
        Due::ChangeRod(valve, _) => part(true, *valve, PartKind::Pushrod, ""),
        other => unreachable!("{other:?} is not about parts"),
    }
}

pub fn part(out: bool, valve: Valve, part: PartKind, marked: &str) -> Input {
    let (marked, measured) = (marked.into(), String::new());
    if out {
        Input::PartOut { valve, part, marked, measured }
    } else {
        Input::PartIn { valve, part, marked, measured }
    }
}

pub fn sign() -> Input {
    Input::Sign(Box::new(Sign { signer: "Signer".into(), ..Sign::default() }), None)
}

/// Answers what is due, but with the troubles of the trade.
pub fn troubled(session: &Session, due: &Due, pick: u8) -> Input {
    let state = &session.state;
    if let Some(input) = troubled_about_parts(state, due, pick) {
        return input;
    }
    match (due, pick % 8) {
        (Due::Gauge(_, _), 0) => Input::AsFoundLost { why: why() },
        (Due::Gauge(valve, _), 1) => Input::SkipValve { valve: *valve, why: why() },
        (Due::Gauge(valve, _), _) => {
            Input::Gauge { typed: any_reading(state, valve.kind, pick / 8), sure: true }
        }
        (Due::Threads(..), 0) => Input::Threads(9),
        (Due::ThreadsOutside(..), 0..=2) => Input::LeaveThreads { why: why() },
        (Due::ThreadsOutside(valve, ..), 3) => Input::OpenSet(*valve),
        (Due::HoldDown(_), digit @ 0..=3) => not_by_the_wrench(digit),
        (Due::HoldDown(cylinder), 4) => {
            Input::HoldDown("30 N·m".into(), state.gauged_at_no_torque(*cylinder))
        }
        (Due::Set(valve, _), 0) => Input::LeaveAsIs { valve: *valve, why: why() },
        (Due::Set(valve, _), 1) => {
            Input::Gauge { typed: any_reading(state, valve.kind, pick / 8), sure: true }
        }
        (Due::Trying(valve), 0..=3) => {
            let tries = [any_reading(state, valve.kind, pick / 8), on_target(state, valve.kind)];
            Input::Tried { typed: tries.map(|one| one.replace(' ', "")).join(" "), sure: true }
        }
        (Due::Trying(valve), 4) => Input::NutNeverTouched { valve: *valve, why: why() },
        (Due::NutAnswer(..), 0 | 1) => Input::NutStillSlack,
        (Due::Turn { .. }, 0) => Input::Loose(0),
        (Due::Turn { .. }, 1) => Input::Loose(1),
        (Due::Rock { .. }, 0) => Input::Rock(Rocked::Moved),
        (Due::LeakTest(..) | Due::PromisedTest { .. }, 0) => leak_test("", &why()),
        (Due::LeakTest(..) | Due::PromisedTest { plugs_out: true, .. }, 1..=3) => {
            leak_test("", LEAK_TEST_LATER)
        }
        (Due::LeakTest(..) | Due::PromisedTest { plugs_out: true, .. }, 4) => {
            leak_test("30/80", "")
        }
        (Due::Temperature, 0) => Input::Temperature { head: "50 °C".into(), air: String::new() },
        (Due::OutsideTemperature, _) => Input::AgainstLimit { why: why() },
        (Due::Scope, pick) => {
            let scope = (pick.is_multiple_of(3)).then(|| vec![state.facts().firing_order[0]]);
            let rounds = Some(rounds_of(state, pick));
            let change = state.has_parts() && pick % 4 > 0;
            Input::Begin(Box::new(Begin { rounds, change, scope, ..Begin::default() }))
        }
        (Due::SourceName(_), 0) => {
            Input::NameSource { source: state.facts().source.clone(), practice: true }
        }
        (Due::PageFigure(..), 0) => Input::PageFigure("0.9 mm".into()),
        (Due::PageDiffers(_), 0..=3) => Input::PageRules { why: why() },
        (Due::CountIn { out, .. }, 0) => Input::CountIn(out.saturating_sub(1)),
        (Due::CountIn { out, .. }, 1) => Input::CountIn(out + 1),
        (Due::Shortage { .. }, 0..=2) => Input::ShortageFound,
        (Due::Shortage { .. }, 3..=5) => {
            Input::ShortageAccounted { place: "in the tray".into(), by: "First".into() }
        }
        (Due::Check(line) | Due::RunCheck(line), 0) if is_felt_or_run(&line.id) => Input::Answer(2),
        (Due::RunCheck(line), 0) => {
            let digit = line.states.iter().find(|seen| !seen.good).unwrap().digit;
            Input::RunFault { digit, text: "a drip".into() }
        }
        (Due::RunCaution(_) | Due::RunCheck(_), 1) => Input::SkipRun { why: why() },
        (Due::RunFault(..), 0..=2) => Input::RunBackToGauging,
        (Due::RunFault(..), 3 | 4) => Input::RunAgain { covers: false },
        (Due::RunFault(..), 5 | 6) => Input::RunAgain { covers: true },
        (Due::Caution(..) | Due::Check(_) | Due::RunCaution(_), 0) => Input::Answer(0),
        (Due::Sign, 0..=3) => Input::Answer(1),
        (Due::Closed, _) => remark(false),
        _ => calm(session, due),
    }
}

fn not_by_the_wrench(digit: u8) -> Input {
    if digit == 3 { Input::NutsNotTight } else { Input::HoldDownNotMeasured }
}

fn is_felt_or_run(id: &str) -> bool {
    ["two-turns", "meanwhile"].contains(&id)
}

/// The troubles with shims, cams and push rods; `None` where none befalls.
fn troubled_about_parts(state: &State, due: &Due, pick: u8) -> Option<Input> {
    Some(match (due, pick % 8) {
        (Due::PartsList, 0) => Input::LeaveAllAsIs { why: why() },
        (Due::PartsList, 1) => Input::LeaveAsIs { valve: state.to_change()[0], why: why() },
        (Due::PartsList, 2 | 3) => part(
            true,
            state.to_change()[0],
            PartKind::Shim,
            ["2.65 mm", ""][usize::from(pick / 8 % 2)],
        ),
        (Due::PartsList, 4) => {
            let of = state.before_parts(state.to_change()[0]).unwrap().seq;
            Input::Void { of, why: why() }
        }
        (Due::TakeOut(valve) | Due::ChangeRod(valve, _), 0) => {
            Input::LeaveAsIs { valve: *valve, why: why() }
        }
        (Due::TakeOut(valve), 1) => part(true, *valve, PartKind::Shim, ""),
        (Due::PartOut(valve, PartKind::Shim), 0..=3) => {
            let size = ["2.20 mm", "2.45 mm", "2.90 mm", "0.5 mm"][usize::from(pick % 4)];
            part(false, *valve, PartKind::Shim, size)
        }
        (Due::PartOut(valve, PartKind::Pushrod), 0..=2) => part(
            false,
            *valve,
            PartKind::Pushrod,
            ["-0.5 mm", "0", "+0.5 mm"][usize::from(pick % 3)],
        ),
        (Due::CamsOut(bank, _), 0) => Input::CamsIn { bank: bank.clone(), digit: 0 },
        (Due::TurnThrough(_), 1) => Input::Answer(2),
        (Due::TurnThrough(_) | Due::Felt(..) | Due::Dry(..), 0) => Input::Answer(0),
        (Due::ChangeRod(valve, _), 1) => {
            let typed = any_reading(state, valve.kind, pick / 8);
            on_dry(state, &[*valve], Input::Gauge { typed, sure: true })
        }
        _ => return None,
    })
}

pub fn remark(before_running: bool) -> Input {
    Input::Remark(Remark { text: "seen".into(), before_running, ..Remark::default() })
}

/// Presses anything at all, somewhere near to what there is.
pub fn wild(session: &Session, key: u8, pick: u8) -> Input {
    let state = &session.state;
    let valves = state.facts().valves();
    let valve = valves[usize::from(pick) % valves.len()];
    let cylinder = valve.cylinder;
    match key % 48 {
        0..=2 => Input::TakeBack,
        3 => not_so(session, cylinder, pick),
        4 => Input::SeeOverlap(cylinder),
        5 => Input::SeeLoose(cylinder),
        6 => Input::Lost,
        7 => Input::Release,
        8 => Input::Unload,
        9 if pick.is_multiple_of(2) => Input::NutFoundSlack(valve),
        9 => Input::OpenSet(valve),
        10 => Input::NutLocked,
        11 => never_slack(state, &valves, valve, pick),
        12 => Input::Tried { typed: on_target(state, valve.kind), sure: true },
        13 => Input::SkipValve { valve, why: why() },
        14 => Input::LeaveAsIs { valve, why: why() },
        15 => Input::SkipRound { why: why() },
        16 => Input::Unskip(valve),
        17 => {
            let what = ["cylinder", "rocker", "cam", "lifter"][usize::from(pick % 4)].into();
            Input::Work { cylinder, what, text: String::new() }
        }
        18 => {
            // Of one that is out its size is told.
            let valve = state.sizes_owed.first().map_or(valve, |owed| owed.0);
            part(true, valve, own_part(state), ["", "2.65 mm", "0"][usize::from(pick % 3)])
        }
        19 => cams_out(session, pick),
        20 => {
            part(false, valve, own_part(state), ["2.70 mm", "", "2.65 mm"][usize::from(pick % 3)])
        }
        21 => Input::CamsIn { bank: any_bank(state, pick), digit: 1 },
        _ => wilder(session, key, pick),
    }
}

/// The part that clearances hang on, or a shim where they hang on none.
fn own_part(state: &State) -> PartKind {
    match &state.facts().adjuster {
        Adjuster::Pushrod { .. } => PartKind::Pushrod,
        _ => PartKind::Shim,
    }
}

/// Cams come out; or where some just did, others did.
fn cams_out(session: &Session, pick: u8) -> Input {
    let bank = any_bank(&session.state, pick);
    match session.came_out_last() {
        Some(kept) if pick.is_multiple_of(2) => {
            Input::CamsOutRetold { of: kept.seq, bank, why: why() }
        }
        _ => Input::CamsOut { bank },
    }
}

fn any_bank(state: &State, pick: u8) -> Option<String> {
    let banks = &state.facts().layout.banks;
    let bank = banks.get(usize::from(pick) % (banks.len() + 1));
    bank.map(|bank| bank.name.clone())
}

/// The other keys: readings from elsewhere, corrections, breaks, people, scope, and digits.
fn wilder(session: &Session, key: u8, pick: u8) -> Input {
    let state = &session.state;
    let valves = state.facts().valves();
    let valve = valves[usize::from(pick) % valves.len()];
    let cylinder = valve.cylinder;
    let readings = &state.readings;
    let seq = |n: u8| readings.get(usize::from(n) % readings.len().max(1)).map_or(9999, |t| t.seq);
    match key % 48 {
        22 | 23 => elsewhere(state, valve, key, pick),
        24 => Input::Void { of: seq(pick), why: why() },
        25 => Input::Void { of: seq(pick), why: WRONG_PLACE.into() },
        26 => Input::CorrectValue {
            of: seq(pick),
            typed: any_reading(state, Kind::Intake, pick),
            why: why(),
            sure: true,
        },
        27 => Input::Swap { of: seq(pick), with: seq(pick.wrapping_add(1)), why: why() },
        28 => Input::AmendFigures {
            kind: valve.kind,
            typed: ["0.30 mm", "0.20 mm", "0.40 mm"].map(String::from),
            source: "a bulletin".into(),
            why: why(),
        },
        29 => Input::AmendProfile {
            profile: Box::new(late(state)),
            source: "new issue".into(),
            why: why(),
        },
        30 => Input::Away("telephone".into()),
        31 => Input::Back(Back { after_min: Some(u32::from(pick)), ..Back::default() }),
        32 => Input::Back(Back { new_day: true, ..Back::default() }),
        33 => Input::Who(if pick.is_multiple_of(2) { "First" } else { "Second" }.into()),
        34 if pick.is_multiple_of(5) => look(),
        34 => remark(pick.is_multiple_of(2)),
        35 => Input::Begin(Box::new(Begin {
            scope: Some(if pick.is_multiple_of(2) { vec![cylinder] } else { vec![] }),
            scope_why: Some(why()),
            ..Begin::default()
        })),
        36 => Input::Begin(Box::new(Begin { from: Some(cylinder), ..Begin::default() })),
        37 if pick.is_multiple_of(3) => Input::Tape(format!("{}:30", pick % 14)),
        37 => Input::Loose(pick % 8),
        38 => Input::Rock(if pick.is_multiple_of(2) { Rocked::Steady } else { Rocked::Moved }),
        39 => Input::Answer(pick % 4),
        40 => sign(),
        41 if matches!(state.due(), Due::Look(..)) => Input::Looked("looked".into(), vec![valve]),
        41 => Input::CountIn(u32::from(pick)),
        42 => Input::AsFoundLost { why: why() },
        43..=46 => way(key, pick),
        _ => match state.open_items().into_iter().next() {
            Some(OpenItem::BeforeRunning { seq, .. }) => {
                Input::SettleRemark { seq, text: "done".into() }
            }
            _ => Input::RunBackToGauging,
        },
    }
}

/// Figures from elsewhere: against the plan, or of a whole cylinder from paper.
fn elsewhere(state: &State, valve: Valve, key: u8, pick: u8) -> Input {
    let sure = true;
    if key % 48 == 22 {
        let typed = any_reading(state, valve.kind, pick);
        return on_dry(state, &[valve], Input::GaugeAgainstPlan { valve, typed, why: why(), sure });
    }
    let mut valves = state.facts().valves_of(valve.cylinder);
    valves.retain(|valve| state.takes_paper(*valve));
    let read = |&valve: &Valve| (valve, any_reading(state, valve.kind, pick));
    let readings = valves.iter().map(read).collect();
    on_dry(state, &valves, Input::GaugeFromPaper { readings, time: "09:40".into(), sure })
}

/// Over lifters mostly with the word that they are dry.
fn on_dry(state: &State, valves: &[Valve], gauged: Input) -> Input {
    let valves: Vec<Valve> = valves.to_vec();
    if state.has_lifters() { Input::OnDry { valves, gauged: Box::new(gauged) } } else { gauged }
}

/// Another way round, for the whole engine or for what is left.
fn way(key: u8, pick: u8) -> Input {
    Input::Begin(Box::new(Begin {
        few_stops: Some(pick & 1 != 0),
        less_walking: Some(pick & 2 != 0),
        rest: key.is_multiple_of(2),
        ..Begin::default()
    }))
}

/// The profile with all events later, so that some stops do not show their valve shut any more.
pub fn late(state: &State) -> cowlside::domain::entry::ProfileText {
    let mut facts = (*state.profile.profile).clone();
    if facts.stops.is_none()
        && let Some(timing) = &mut facts.timing
    {
        timing.intake_closes_abdc += 12.0;
        timing.intake_opens_btdc += 12.0;
        facts.firing_order.rotate_left(1);
        facts.firing_intervals.rotate_left(1);
    }
    super::harness::profile_text(facts)
}
