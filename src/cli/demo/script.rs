//! A careful mechanic of the demonstration: answers whatever is due, plausibly.

use super::truth::Truth;
use crate::domain::entry::{Begin, Rocked, Rounds, Sign, Step};
use crate::domain::leaves;
use crate::domain::profile::{Adjuster, Source};
use crate::domain::session::checklist::Line;
use crate::domain::session::{Due, Input, LEAK_TEST_NOW, OwedRun, Session};
use crate::domain::trend::Earlier;
use crate::domain::units::LengthUnit;
use crate::domain::valve::Valve;
use crate::guide::Proposal;
use crate::report::record;

/// The document of the invented workshop.
pub const MANUAL: &str = "Workshop sheet 7, invented for the demonstration";

/// Says what the mechanic does about what is due; `None` where the service is over.
pub fn next(session: &Session, earlier: &Earlier, truth: &mut Truth) -> Option<Input> {
    let state = &session.state;
    Some(match state.due() {
        Due::Closed => return None,
        Due::Away => Input::Back(Default::default()),
        Due::NewDay => Input::NotRunSince,
        Due::Who => Input::Who("day mechanic".into()),
        Due::OwedRun(_) => Input::OwedRun(OwedRun::Dry),
        Due::SourceName(Some(_)) => Input::ConfirmSource,
        Due::SourceName(None) => Input::NameSource {
            source: Source { document: MANUAL.into(), revision: "B".into(), page: "3".into() },
            practice: false,
        },
        Due::PageFigure(kind, figure) => {
            use crate::domain::entry::Figure;
            let figures = state.facts().figures(kind);
            let length = match figure {
                Figure::Target => figures.target,
                Figure::Least => figures.least,
                Figure::Most => figures.most,
            };
            Input::PageFigure(length.text(state.facts().unit))
        }
        Due::PageDiffers(_) => Input::PageRules { why: "newer issue of the manual".into() },
        Due::Caution(line, _) | Due::Check(line) | Due::RunCaution(line) | Due::RunCheck(line) => {
            Input::Answer(good(&line))
        }
        Due::Temperature => Input::Temperature { head: "18 °C".into(), air: "17 °C".into() },
        Due::OutsideTemperature => {
            Input::AgainstLimit { why: "the manual allows it for this check".into() }
        }
        Due::Leaves => Input::Leaves(leaf_set(session)),
        Due::Scope => Input::Begin(Box::new(scope(session))),
        Due::NoPlan(_) => Input::CloseUnsigned { why: "no plan can be made".into() },
        Due::CountOut(_, items) => {
            Input::CountOut(items.into_iter().map(|(_, count)| count).collect())
        }
        Due::PartOut(valve, part) => {
            let (marked, measured) = (String::new(), String::new());
            Input::PartIn { valve, part, marked, measured }
        }
        Due::CamsOut(bank, line) => Input::CamsIn { bank, digit: good(&line) },
        Due::TurnThrough(line) | Due::Dry(_, line) => Input::Answer(good(&line)),
        Due::Felt(..) => Input::CauseFound("put right".into()),
        Due::Turn { stop, .. } => Input::Loose(state.to_gauge(stop)),
        Due::Rock { .. } => Input::Rock(Rocked::Steady),
        Due::Unload(_) => Input::Unload,
        Due::Release(_) => Input::Release,
        Due::Gauge(valve, _) => Input::Gauge { typed: truth.read(state, valve), sure: true },
        due => return Some(at_valve(session, earlier, due, truth)),
    })
}

fn at_valve(session: &Session, earlier: &Earlier, due: Due, truth: &mut Truth) -> Input {
    let state = &session.state;
    match due {
        Due::Again(valve, Step::Try) => {
            Input::Tried { typed: truth.read(state, valve), sure: true }
        }
        Due::Again(valve, _) => Input::Gauge { typed: truth.read(state, valve), sure: true },
        Due::Doubted { .. } => Input::Believe { why: "it is so, gauged twice".into() },
        Due::PromisedTest { plugs_out: false, .. } => {
            Input::LeakTest { typed: String::new(), why_not: LEAK_TEST_NOW.into() }
        }
        Due::LeakTest(..) | Due::PromisedTest { .. } => {
            Input::LeakTest { typed: "74/80".into(), why_not: String::new() }
        }
        Due::HoldDown(_) => Input::HoldDown("30 N·m".into(), false),
        Due::Set(valve, _) if can_set(session, valve) => Input::OpenSet(valve),
        Due::Set(valve, _) | Due::ReasonFor(valve, _) => {
            Input::LeaveAsIs { valve, why: "the manual allows it until the next check".into() }
        }
        Due::Trying(valve) => {
            let target = state.figures(valve.kind).target;
            truth.set(valve, target, 15_000);
            let first = truth.read(state, valve);
            truth.set(valve, target, 1_500);
            Input::Tried { typed: format!("{first} {}", truth.read(state, valve)), sure: true }
        }
        Due::NutAnswer(..) => Input::NutLocked,
        Due::Threads(_, (least, _)) => Input::Threads(least),
        Due::NoFigure(valves) => valves.first().map_or(Input::Lost, |&valve| Input::Unskip(valve)),
        Due::CountIn { out, .. } => Input::CountIn(out),
        Due::Shortage { .. } => Input::ShortageFound,
        Due::Look(..) => Input::Looked("looked: on the engine".into(), Vec::new()),
        Due::BeforeRunning(seq, _) => Input::SettleRemark { seq, text: "put right".into() },
        Due::RunFault(..) => Input::RunAgain { covers: false },
        _ => {
            let Proposal { owner, left_before, .. } = record::proposal(session, earlier);
            let statement = "Valve clearances checked and set as recorded, by the source named";
            let sign = Sign {
                signer: "workshop inspector".into(),
                certificate_kind: "invented licence".into(),
                certificate_number: "D-07".into(),
                statement: statement.into(),
                owner_sentence: owner,
                next_check: None,
            };
            Input::Sign(Box::new(sign), left_before)
        }
    }
}

fn can_set(session: &Session, valve: Valve) -> bool {
    // Asked of the machine itself, so that the script never gets stuck.
    session.decide(&Input::OpenSet(valve)).is_ok()
}

fn good(line: &Line) -> u8 {
    line.states.iter().find(|state| state.good).map_or(1, |state| state.digit)
}

fn leaf_set(session: &Session) -> crate::domain::entry::LeafSet {
    let facts = session.state.facts();
    let own = leaves::of_profile(facts);
    let usual = leaves::usual().into_iter().find(|set| set.unit == facts.unit);
    match usual {
        Some(set) if facts.unit == LengthUnit::Inch || own.leaves.is_empty() => set,
        _ => own,
    }
}

fn scope(session: &Session) -> Begin {
    let screws = matches!(session.state.facts().adjuster, Adjuster::Screw(_));
    let rounds = if screws { Rounds::SetThenRecheck } else { Rounds::SurveyOnly };
    Begin { rounds: Some(rounds), scope: Some(Vec::new()), ..Begin::default() }
}
