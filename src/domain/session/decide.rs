//! Inputs into entries: what is taken, what is refused.

use super::Session;
use super::amend::CROSSED;
use super::checklist::Line;
use super::due::Due;
use super::input::Input;
use super::put_back::HAS_RUN;
use super::refusal::Refusal;
use super::state::{State, make_plan};
use crate::domain::entry::{
    Asked, Begin, Caution, Condition, Entry, Hours, LeafSet, Remark, Rounds, Run, Seal, SourceRead,
    Who,
};
use crate::domain::plan::PlanChoice;
use crate::domain::reading::{self, ReadingFault};
use crate::domain::units::{Length, LengthUnit, Temperature, TemperatureUnit};
use crate::domain::valve::Cylinder;
use std::iter;

/// Why there is no rest to plan.
const REST_FROM_NOWHERE: &str = "what is left is planned from where the crank stands: say first which cylinder you see at overlap";

/// Entries in the order in which they are written, or why nothing is.
pub(super) type Decided = Result<Vec<Entry>, Refusal>;

pub(super) fn one(entry: Entry) -> Decided {
    Ok(vec![entry])
}

pub(super) fn given(why: &str) -> Result<String, Refusal> {
    let why = why.trim();
    if why.is_empty() { Err(Refusal::WhyMissing) } else { Ok(why.to_string()) }
}

pub(super) fn text(text: &str, what: &'static str) -> Result<String, Refusal> {
    let text = text.trim();
    if text.is_empty() { Err(Refusal::TextMissing(what)) } else { Ok(text.to_string()) }
}

impl Session {
    /// Turns an input into the entries that keep it, in the order in which they are written.
    ///
    /// # Errors
    /// A refusal says why and what to do; the session is as it was.
    pub fn decide(&self, input: &Input) -> Decided {
        self.state.may_answer(input)?;
        match input {
            Input::Begin(_)
            | Input::Who(_)
            | Input::NameSource { .. }
            | Input::ConfirmSource
            | Input::PageFigure(_)
            | Input::PageAgain
            | Input::PageRules { .. }
            | Input::Answer(_)
            | Input::Temperature { .. }
            | Input::AgainstLimit { .. }
            | Input::Leaves(_)
            | Input::NotRunSince => self.state.decide_prepare(input),
            Input::CountOut(_)
            | Input::CountOutShort(_)
            | Input::CountIn(_)
            | Input::ShortageFound
            | Input::ShortageAccounted { .. } => self.state.decide_count(input),
            Input::Loose(_)
            | Input::Rock(_)
            | Input::SeeOverlap(_)
            | Input::SeeLoose(_)
            | Input::Lost
            | Input::Tape(_) => self.state.decide_crank(input),
            Input::Unload | Input::Release | Input::ReleaseOf(_) => self.state.decide_crank(input),
            Input::Gauge { .. }
            | Input::GaugeAgainstPlan { .. }
            | Input::GaugeFromPaper { .. }
            | Input::OnDry { .. }
            | Input::Adopt(_)
            | Input::Believe { .. }
            | Input::Tried { .. }
            | Input::NutLocked
            | Input::NutStillSlack
            | Input::NutNeverTouched { .. }
            | Input::NutOfAnother { .. }
            | Input::Threads(_) => self.state.decide_gauge(input),
            Input::HoldDown(..) | Input::HoldDownNotMeasured => self.state.decide_hold_down(input),
            Input::OwedRun(_) | Input::CauseFound(_) | Input::TurnedRoundTo(_) => self.told(input),
            Input::OpenSet(_) | Input::NutFoundSlack(_) => self.state.decide_gauge(input),
            Input::LeakTest { .. } | Input::NutsNotTight | Input::Looked(..) => self.told(input),
            Input::AsFoundLost { .. }
            | Input::SkipValve { .. }
            | Input::LeaveAsIs { .. }
            | Input::LeaveThreads { .. }
            | Input::SkipRound { .. }
            | Input::Unskip(_)
            | Input::SkipRun { .. }
            | Input::RunBackToGauging
            | Input::RunAgain { .. }
            | Input::RunLeave { .. }
            | Input::RunFault { .. } => self.state.decide_skip(input),
            Input::Remark(_) | Input::SettleRemark { .. } => self.state.decide_aside(input),
            Input::Work { .. } | Input::Away(_) | Input::Back(_) => self.state.decide_aside(input),
            Input::PartOut { .. }
            | Input::PartIn { .. }
            | Input::CamsOut { .. }
            | Input::CamsIn { .. }
            | Input::LeaveAllAsIs { .. } => self.state.decide_parts(input),
            Input::TakeBack | Input::Void { .. } | Input::Swap { .. } => self.decide_amend(input),
            Input::PartOutRetold { .. } | Input::CamsOutRetold { .. } => self.decide_amend(input),
            Input::CorrectValue { .. }
            | Input::WorkOfAnother(..)
            | Input::AmendFigures { .. }
            | Input::AmendProfile { .. }
            | Input::Redate { .. } => self.decide_amend(input),
            Input::Sign(..) | Input::CloseUnsigned { .. } => self.decide_close(input),
        }
    }

    /// What was found, done or became of something, as it was told.
    #[expect(clippy::wildcard_enum_match_arm, reason = "`decide` sends only these inputs here")]
    fn told(&self, input: &Input) -> Decided {
        match input {
            Input::OwedRun(became) => self.state.decide_owed_run(became),
            Input::Looked(words, slack) => self.state.looked(words, slack),
            Input::CauseFound(words) => self.state.decide_cause(words),
            Input::NutsNotTight => self.state.decide_hold_down(input),
            Input::LeakTest { typed, why_not } => self.state.decide_leak_test(typed, why_not),
            Input::TurnedRoundTo(_) => self.state.decide_crank(input),
            _ => Err(Refusal::NotNow),
        }
    }

    #[expect(clippy::wildcard_enum_match_arm, reason = "`decide` sends only these inputs here")]
    fn decide_close(&self, input: &Input) -> Decided {
        let state = &self.state;
        let count = u64::try_from(self.kept.len()).unwrap_or(u64::MAX);
        let seal = |entries, by: &str, signed, why: &str| {
            Entry::Seal(Seal {
                entries,
                by: by.into(),
                chain: String::new(),
                signed,
                why: why.into(),
                tells_not_put_back: (!signed).then(|| !why.starts_with(HAS_RUN)),
                tells_not_gauged: !signed,
            })
        };
        match input {
            Input::Sign(sign, left_before) => {
                if state.due() != Due::Sign {
                    return Err(Refusal::NotNow);
                }
                if let Some(item) = state.open_items().first() {
                    return Err(Refusal::OpenItem(item.words(&|valve| state.name_of(valve))));
                }
                let signer = text(&sign.signer, "the signer's name")?;
                let beside = left_before
                    .clone()
                    .map(|text| Entry::Remark(Remark { text, ..Remark::default() }));
                let before = count + 1 + u64::from(beside.is_some());
                let seal = seal(before, &signer, true, "");
                Ok(beside.into_iter().chain([Entry::Sign((**sign).clone()), seal]).collect())
            }
            Input::CloseUnsigned { why } => {
                let why = given(why)?;
                let by = state.worker.clone().unwrap_or_default();
                let ran = Some(state).filter(|_| why.starts_with(HAS_RUN));
                let ran = ran.and_then(State::ran_with_slack).map(|text| {
                    Entry::Remark(Remark { text, before_running: true, ..Remark::default() })
                });
                let count = count + u64::from(ran.is_some());
                Ok(ran.into_iter().chain([seal(count, &by, false, &why)]).collect())
            }
            _ => Err(Refusal::NotNow),
        }
    }
}

impl State {
    fn may_answer(&self, input: &Input) -> Result<(), Refusal> {
        let of_the_run = matches!(input, Input::SettleRemark { seq, .. }
            if self.run_to_answer() == Some(*seq));
        if self.sealed.is_some() && !matches!(input, Input::Remark(_)) && !of_the_run {
            return Err(Refusal::Closed);
        }
        // Under the notice a key only wakes.
        if self.away.is_some() && !matches!(input, Input::Back(_)) {
            return Err(Refusal::NotNow);
        }
        Ok(())
    }

    pub(super) fn by(&self) -> String {
        self.worker.clone().unwrap_or_default()
    }

    fn decide_prepare(&self, input: &Input) -> Decided {
        match (input, self.due()) {
            (Input::Begin(begin), due) => self.decide_begin(begin, &due),
            (Input::Who(name), _) => {
                let name = text(name, "a name")?;
                let takes_over = self.worker.as_ref().is_some_and(|worker| *worker != name);
                one(Entry::Who(Who { name, takes_over }))
            }
            (Input::NotRunSince, Due::NewDay) => {
                let hours = self.hours_not_run();
                one(Entry::Begin(Begin { hours, ..Begin::default() }))
            }
            (Input::NameSource { source, practice }, Due::SourceName(_)) => {
                let mut source = source.clone();
                if !practice {
                    source.document = text(&source.document, "the manual's name")?;
                }
                one(Entry::Source(SourceRead::Named { source, practice: *practice }))
            }
            (Input::ConfirmSource, Due::SourceName(Some(_))) => {
                one(Entry::Source(SourceRead::Confirmed))
            }
            (Input::PageFigure(typed), Due::PageFigure(kind, figure)) => {
                let value = page_figure(typed, self.facts().unit)?;
                if self.crosses_on_page(kind, figure, value).is_some() {
                    return Err(Refusal::Unreadable(CROSSED.into()));
                }
                one(Entry::Source(SourceRead::Figure {
                    kind,
                    figure,
                    typed: typed.trim().into(),
                    value,
                }))
            }
            (Input::PageAgain, Due::PageDiffers(_)) => one(Entry::Source(SourceRead::Again)),
            (Input::PageAgain, Due::PageFigure(..)) if !self.page.is_empty() => {
                one(Entry::Source(SourceRead::Again))
            }
            (Input::PageRules { why }, Due::PageDiffers(_)) => self.page_rules(why),
            (Input::Answer(digit), due) => self.decide_answer(*digit, due),
            (Input::Temperature { head, air }, Due::Temperature | Due::OutsideTemperature) => {
                self.decide_temperature(head, air)
            }
            (Input::AgainstLimit { why }, Due::OutsideTemperature) => {
                one(Entry::Condition(Condition {
                    against_limit: Some(given(why)?),
                    ..Condition::default()
                }))
            }
            (Input::Leaves(set), due) if due == Due::Leaves || self.leaves.is_some() => {
                one(Entry::Leaves(set.clone()))
            }
            _ => Err(Refusal::NotNow),
        }
    }

    /// Returns the hours of the service where the engine has not run since: as its counter shows now, unless
    /// that went up by the run check, or is a new one.
    fn hours_not_run(&self) -> Option<Hours> {
        let up = self.counter.up.filter(|_| !self.may_have_run() && !self.counter.replaced);
        up.filter(|up| self.begin.hours.is_some_and(|hours| *up > hours)).or(self.begin.hours)
    }

    /// Returns what the counter showed when it was answered for last: by whoever said that the engine has not
    /// run, or as the service was begun.
    pub fn counter_known(&self) -> Option<Hours> {
        self.counter.answered.or(self.begin.hours)
    }

    fn decide_begin(&self, begin: &Begin, due: &Due) -> Decided {
        if let Some(scope) = &begin.scope {
            let known = &self.facts().firing_order;
            if let Some(&cylinder) = scope.iter().find(|cylinder| !known.contains(cylinder)) {
                return Err(Refusal::NoCylinder(cylinder));
            }
            if *due != Due::Scope
                && begin.scope_why.as_ref().is_none_or(|why| why.trim().is_empty())
            {
                return Err(Refusal::WhyMissing);
            }
            if *due != Due::Scope && self.is_the_scope(scope) {
                return Err(Refusal::ScopeAsItIs);
            }
            self.may_leave_out(scope)?;
        }
        if let Some(from) = begin.from
            && !self.facts().firing_order.contains(&from)
        {
            return Err(Refusal::NoCylinder(from));
        }
        if *due == Due::NewDay && begin.hours.is_some() && begin.hours != self.begin.hours {
            return Err(Refusal::OtherEngine("the hours are not the same: it has run"));
        }
        self.may_change_way(begin, due)?;
        if begin.rounds.is_some() && !self.has_screws() && begin.rounds != Some(Rounds::SurveyOnly)
        {
            return Err(Refusal::NothingToSet);
        }
        let changes = begin.rounds == Some(Rounds::SurveyOnly) && self.has_parts();
        if begin.change && !changes {
            return Err(Refusal::NothingToSet);
        }
        if begin.rounds.is_some() && *due != Due::Scope {
            return Err(Refusal::NotNow);
        }
        one(Entry::Begin(begin.clone()))
    }

    /// Refuses a scope without a valve that stays in it.
    fn may_leave_out(&self, scope: &[Cylinder]) -> Result<(), Refusal> {
        // What was opened outside the scope is answered for whatever the scope is.
        let mut left_out = self.facts().valves().into_iter().filter(|valve| {
            let cylinder = valve.cylinder;
            self.in_scope(cylinder) && !scope.is_empty() && !scope.contains(&cylinder)
        });
        left_out
            .find(|valve| self.stays_in_scope(*valve))
            .map_or(Ok(()), |valve| Err(Refusal::StaysInScope(valve)))
    }

    /// Refuses a way round that cannot be made, or a change of it while a valve is held open.
    fn may_change_way(&self, begin: &Begin, due: &Due) -> Result<(), Refusal> {
        let Begin { from, few_stops, less_walking, margin, .. } = begin;
        let chosen = few_stops.is_some() || less_walking.is_some() || margin.is_some();
        if !begin.rest && !chosen && from.is_none() {
            return Ok(());
        }
        if self.facts().stops.is_some() {
            let why = "the manual's table is used as it is written: no other way can be chosen";
            return Err(Refusal::NoPlan(why.into()));
        }
        if begin.rest {
            self.may_see(0, due)?;
            let planned = self.rest_planned(&begin.way());
            let planned = planned.ok_or_else(|| Refusal::NoPlan(REST_FROM_NOWHERE.into()))?;
            return planned.map(|_| ()).map_err(Refusal::NoPlan);
        }
        let way = PlanChoice {
            from: from.or(self.begin.from),
            margin: margin.or(self.begin.margin),
            few_stops: few_stops.or(self.begin.few_stops).unwrap_or(false),
            less_walking: less_walking.or(self.begin.less_walking).unwrap_or(false),
        };
        make_plan(&self.profile.profile, &way).map(|_| ()).map_err(Refusal::NoPlan)
    }

    /// Answers the line of the checklist that is due.
    #[expect(clippy::wildcard_enum_match_arm, reason = "only checklists are answered by a digit")]
    fn decide_answer(&self, digit: u8, due: Due) -> Decided {
        let seen = |line: &Line| line.state(digit).cloned().ok_or(Refusal::NoSuchAnswer(digit));
        match due {
            Due::Caution(line, when) => self.caution(line, digit, when),
            Due::RunCaution(line) => self.caution(line, digit, Asked::Run),
            Due::Check(line) | Due::TurnThrough(line) | Due::Dry(_, line) => {
                let also = self.settled_by(&line, digit);
                let kept = line.answered(digit).ok_or(Refusal::NoSuchAnswer(digit))?;
                Ok(iter::once(kept).chain(also).collect())
            }
            Due::Felt(line, _) if seen(&line)?.good => Err(Refusal::TextMissing("what was found")),
            Due::Felt(line, _) => {
                line.answered(digit).ok_or(Refusal::NoSuchAnswer(digit)).and_then(one)
            }
            Due::RunCheck(line) => {
                let state = seen(&line)?;
                if !state.good {
                    return Err(Refusal::TextMissing("what was seen or heard"));
                }
                one(Entry::Run(Run {
                    id: line.id,
                    asked: line.ask,
                    digit,
                    seen: state.words,
                    good: true,
                    text: String::new(),
                }))
            }
            _ => Err(Refusal::NotNow),
        }
    }

    fn caution(&self, line: Line, digit: u8, when: Asked) -> Decided {
        let state = line.state(digit).cloned().ok_or(Refusal::NoSuchAnswer(digit))?;
        let out_again = self.plugs_out_again(&line.id, digit) && state.good;
        one(Entry::Caution(Caution {
            id: line.id,
            asked: line.ask,
            digit,
            seen: state.words,
            safe: state.good,
            when,
            out_again,
        }))
    }

    fn decide_temperature(&self, head: &str, air: &str) -> Decided {
        let read = |typed: &str| {
            Temperature::parse_or(typed, TemperatureUnit::Celsius)
                .map_err(|fault| Refusal::Unreadable(fault.to_string()))
        };
        let air = if air.trim().is_empty() { None } else { Some(read(air)?) };
        one(Entry::Condition(Condition {
            head: Some(read(head)?),
            typed: head.trim().into(),
            air,
            against_limit: None,
        }))
    }
}

/// Reads a figure from a manual's page: a bare number is in the profile's unit.
pub(super) fn page_figure(typed: &str, unit: LengthUnit) -> Result<Length, Refusal> {
    let has_unit = typed.contains(|letter: char| letter.is_alphabetic() || "\"″".contains(letter));
    if unit == LengthUnit::Inch && typed.contains(',') && !has_unit {
        let words =
            "a comma is usual for millimetres: type the unit too, as in 0.001 in or 0.01 mm";
        return Err(Refusal::Unreadable(words.into()));
    }
    let no_set = LeafSet::new("", unit, Vec::new());
    let one = "type one figure, as in 0.006 in or 0.15 mm";
    let meaning = reading::parse(typed, &no_set).map_err(|fault| {
        // He reads a page, and holds no leaf.
        let is_no_figure = matches!(fault, ReadingFault::NotUnderstood(_));
        let words = if is_no_figure { format!("that is no figure: {one}") } else { fault.words() };
        Refusal::Unreadable(words)
    })?;
    match (meaning.single, meaning.nominal) {
        (true, Some(length)) => Ok(length),
        _ => Err(Refusal::Unreadable(one.into())),
    }
}
