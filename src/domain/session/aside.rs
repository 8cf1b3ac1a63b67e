//! What is passed over, remarked, taken out, and what the run brings up.

use super::OpenItem;
use super::checklist::{Line, THREADS};
use super::closing::{AFTER_COVERS, FROM_OUTSIDE};
use super::decide::{Decided, given, one, text};
use super::due::Due;
use super::input::Input;
use super::leak::promised_leak_test;
use super::refusal::Refusal;
use super::state::{RUN_AGAIN, State};
use crate::domain::entry::{Away, Change, Correct, Entry, Remark, Run, Skip, Skipped, Step, Work};
use crate::domain::valve::Valve;

impl State {
    pub(super) fn decide_skip(&self, input: &Input) -> Decided {
        let skip = |what, why: &str| one(Entry::Skip(Skip::of(what, given(why)?)));
        match (input, self.due()) {
            (Input::AsFoundLost { why }, Due::Gauge(valve, Step::Found)) if self.has_screws() => {
                skip(Skipped::AsFound(valve), why)
            }
            (Input::SkipValve { valve, why }, _) => {
                self.known(*valve)?;
                if self.nut_slack(*valve) {
                    return Err(Refusal::NutSlack(*valve));
                }
                let round = self.round().ok_or(Refusal::NotNow)?;
                if self.skipped.contains_key(&(round, *valve)) {
                    return Err(Refusal::NotNow);
                }
                skip(Skipped::Gauging(*valve, u8::try_from(round).unwrap_or(u8::MAX)), why)
            }
            (
                Input::LeaveAsIs { valve, why },
                Due::Set(due, _)
                | Due::ReasonFor(due, _)
                | Due::ChangeRod(due, _)
                | Due::TakeOut(due),
            ) if due == *valve => skip(Skipped::Setting(*valve), why),
            (Input::LeaveThreads { why }, Due::ThreadsOutside(valve, ..)) => {
                skip(Skipped::Check(format!("{THREADS}{valve}")), why)
            }
            (Input::LeaveAsIs { valve, why }, Due::PartsList)
                if self.to_change().contains(valve) =>
            {
                skip(Skipped::Setting(*valve), why)
            }
            (Input::SkipRound { why }, _) => {
                let round = self.round().ok_or(Refusal::NotNow)?;
                if let Some(item) = self.open_items().into_iter().find(bars_a_skip) {
                    return Err(Refusal::OpenItem(item.words(&|valve| self.name_of(valve))));
                }
                skip(Skipped::Round(u8::try_from(round).unwrap_or(u8::MAX)), why)
            }
            (Input::Unskip(valve), Due::NoFigure(_) | Due::ReasonFor(..)) => self.unskip(*valve),
            (Input::SkipRun { why }, Due::RunCaution(_) | Due::RunCheck(_)) => {
                skip(Skipped::Run, why)
            }
            (Input::RunFault { digit, text: words }, Due::RunCheck(line)) => {
                run_fault(&line, *digit, words)
            }
            (Input::RunBackToGauging, Due::RunFault(..)) => {
                one(run_again(0, "back to gauging", false))
            }
            (Input::RunAgain { covers: true }, Due::RunFault(..)) => {
                one(run_again(AFTER_COVERS, "a cover came off, nothing was gauged", true))
            }
            (Input::RunAgain { covers: false }, Due::RunFault(..)) => {
                one(run_again(FROM_OUTSIDE, "put right from outside, all covers on", true))
            }
            (Input::RunLeave { why }, Due::RunFault(id, _)) => skip(Skipped::Check(id), why),
            _ => Err(Refusal::NotNow),
        }
    }

    fn unskip(&self, valve: Valve) -> Decided {
        let of_valve = self
            .skipped
            .iter()
            .filter(|((_, skipped), _)| *skipped == valve)
            .map(|(_, (seq, _))| *seq);
        let of_rounds = self.rounds_skipped.values().map(|(seq, _)| *seq);
        let entries: Vec<Entry> = of_valve
            .chain(of_rounds)
            .map(|of| {
                let why = "gauged after all".to_string();
                Entry::Correct(Correct { of, change: Change::Void, why, as_asked: false })
            })
            .collect();
        if entries.is_empty() { Err(Refusal::NotNow) } else { Ok(entries) }
    }

    #[expect(clippy::wildcard_enum_match_arm, reason = "`decide` sends only these inputs here")]
    pub(super) fn decide_aside(&self, input: &Input) -> Decided {
        match input {
            Input::Remark(remark) => {
                if remark.text.trim().is_empty() && remark.good.is_empty() && remark.bad.is_empty()
                {
                    return Err(Refusal::TextMissing("a text or a tick"));
                }
                if let Some(cylinder) = remark.cylinder
                    && !self.facts().firing_order.contains(&cylinder)
                {
                    return Err(Refusal::NoCylinder(cylinder));
                }
                one(Entry::Remark(Remark { settles: None, ..remark.clone() }))
            }
            Input::SettleRemark { seq, text: words } => {
                // A promised leak test is answered by its figure, or by why there is none.
                let open = self.each_open_item().iter().any(|item| {
                    matches!(item, OpenItem::BeforeRunning { seq: of, text }
                        if of == seq && promised_leak_test(text).is_none())
                });
                if !open && self.run_to_answer() != Some(*seq) {
                    return Err(Refusal::NotNow);
                }
                let text = text(words, "what was done")?;
                one(Entry::Remark(Remark { text, settles: Some(*seq), ..Remark::default() }))
            }
            Input::Work { cylinder, what, text: words } => {
                if !self.facts().firing_order.contains(cylinder) {
                    return Err(Refusal::NoCylinder(*cylinder));
                }
                let what = text(what, "what was replaced")?;
                let (cylinder, text) = (*cylinder, words.trim().to_string());
                one(Entry::Work(Work { cylinder, what, text, hold_down: None, asks_anew: true }))
            }
            Input::Away(words) => one(Entry::Away(Away { text: words.trim().into() })),
            Input::Back(back) => one(Entry::Back(back.clone())),
            _ => Err(Refusal::NotNow),
        }
    }
}

/// A round may be passed over with a torque owed, before it is known what was felt, or with a valve to gauge that
/// was worked on or may be held open: all that is asked before it is closed up.
fn bars_a_skip(item: &OpenItem) -> bool {
    let asked_later = matches!(
        item,
        OpenItem::HoldDown(_)
            | OpenItem::NutsNotTight(_)
            | OpenItem::StopFelt { .. }
            | OpenItem::HeldOpen(_)
            | OpenItem::GaugeAfter(_)
    );
    item.bars_close_up() && !asked_later
}

fn run_fault(line: &Line, digit: u8, words: &str) -> Decided {
    let state = line.state(digit).ok_or(Refusal::NoSuchAnswer(digit))?;
    if state.good {
        return Err(Refusal::NotNow);
    }
    one(Entry::Run(Run {
        id: line.id.clone(),
        asked: line.ask.clone(),
        digit,
        seen: state.words.clone(),
        good: false,
        text: text(words, "what was seen or heard")?,
    }))
}

fn run_again(digit: u8, seen: &str, good: bool) -> Entry {
    Entry::Run(Run {
        id: RUN_AGAIN.into(),
        asked: "After the fault at the run".into(),
        digit,
        seen: seen.into(),
        good,
        text: String::new(),
    })
}
