//! Inputs into entries: what is taken, what is refused.

use super::checklist::Line;
use super::due::{Due, LOOSE_THINGS};
use super::input::{Input, Refusal};
use super::state::{Crank, RUN_AGAIN, RoundKind, State};
use super::{OpenItem, Session};
use crate::domain::entry::{
    Asked, At, Away, Begin, Caution, Change, Condition, Correct, Entry, LeakTest, Nut, NutSaid, Off, On,
    Part, Proof, Reading, Release, Remark, Rocked, Rounds, Run, Seal, Skip, Skipped, SourceRead, Step,
    Unload, Who, Work,
};
use crate::domain::profile::Adjuster;
use crate::domain::reading::{self, Meaning};
use crate::domain::units::{Length, Temperature};
use crate::domain::valve::{Cylinder, Valve};

type Decided = Result<Vec<Entry>, Refusal>;

fn one(entry: Entry) -> Decided {
    Ok(vec![entry])
}

fn given(why: &str) -> Result<String, Refusal> {
    let why = why.trim();
    if why.is_empty() { Err(Refusal::WhyMissing) } else { Ok(why.to_string()) }
}

fn text(text: &str, what: &'static str) -> Result<String, Refusal> {
    let text = text.trim();
    if text.is_empty() { Err(Refusal::TextMissing(what)) } else { Ok(text.to_string()) }
}

impl Session {
    /// Turns an input into the entries that keep it, in the order in which they are written.
    ///
    /// # Errors
    /// A refusal says why and what to do; the session is as it was.
    pub fn decide(&self, input: &Input) -> Decided {
        if self.state.sealed.is_some() && !matches!(input, Input::Remark(_)) {
            return Err(Refusal::Closed);
        }
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
            | Input::CountIn(_)
            | Input::ShortageFound
            | Input::ShortageAccounted { .. } => self.state.decide_count(input),
            Input::Loose(_)
            | Input::Rock(_)
            | Input::SeeOverlap(_)
            | Input::SeeLoose(_)
            | Input::Lost
            | Input::Unload
            | Input::Release => self.state.decide_crank(input),
            Input::Gauge { .. }
            | Input::GaugeAgainstPlan { .. }
            | Input::GaugeFromPaper { .. }
            | Input::OpenSet(_)
            | Input::Tried(_)
            | Input::NutLocked
            | Input::NutStillSlack
            | Input::NutNeverTouched { .. }
            | Input::Threads(_)
            | Input::LeakTest { .. }
            | Input::HoldDown(_) => self.state.decide_gauge(input),
            Input::AsFoundLost { .. }
            | Input::SkipValve { .. }
            | Input::LeaveAsIs { .. }
            | Input::SkipRound { .. }
            | Input::Unskip(_)
            | Input::SkipRun { .. }
            | Input::RunBackToGauging
            | Input::RunAgain
            | Input::RunLeave { .. }
            | Input::RunFault { .. } => self.state.decide_skip(input),
            Input::Remark(_)
            | Input::SettleRemark { .. }
            | Input::Work { .. }
            | Input::PartOut { .. }
            | Input::PartIn { .. }
            | Input::Away(_)
            | Input::Back(_) => self.state.decide_aside(input),
            Input::TakeBack
            | Input::CorrectValue { .. }
            | Input::Void { .. }
            | Input::Swap { .. }
            | Input::AmendFigures { .. }
            | Input::AmendProfile { .. }
            | Input::Redate { .. } => self.decide_amend(input),
            Input::Sign(_) | Input::CloseUnsigned { .. } => self.decide_close(input),
        }
    }

    fn decide_close(&self, input: &Input) -> Decided {
        let state = &self.state;
        let count = u64::try_from(self.kept.len()).unwrap_or(u64::MAX);
        let seal = |entries, by: &str, signed, why: &str| {
            Entry::Seal(Seal { entries, by: by.into(), chain: String::new(), signed, why: why.into() })
        };
        match input {
            Input::Sign(sign) => {
                if state.due() != Due::Sign {
                    return Err(Refusal::NotNow);
                }
                if let Some(item) = state.open_items().first() {
                    return Err(Refusal::OpenItem(item.to_string()));
                }
                let signer = text(&sign.signer, "the signer's name")?;
                let seal = seal(count + 1, &signer, true, "");
                Ok(vec![Entry::Sign((**sign).clone()), seal])
            }
            Input::CloseUnsigned { why } => {
                let why = given(why)?;
                let by = state.worker.clone().unwrap_or_default();
                one(seal(count, &by, false, &why))
            }
            _ => Err(Refusal::NotNow),
        }
    }
}

impl State {
    fn by(&self) -> String {
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
                let hours = self.begin.hours;
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
                let value = Length::parse_clearance(typed.trim(), self.facts().unit)
                    .map_err(|fault| Refusal::Unreadable(fault.to_string()))?;
                one(Entry::Source(SourceRead::Figure { kind, figure, typed: typed.trim().into(), value }))
            }
            (Input::PageAgain, Due::PageDiffers(_)) => one(Entry::Source(SourceRead::Again)),
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

    fn decide_begin(&self, begin: &Begin, due: &Due) -> Decided {
        if let Some(scope) = &begin.scope {
            let known = &self.facts().firing_order;
            if let Some(&cylinder) = scope.iter().find(|cylinder| !known.contains(cylinder)) {
                return Err(Refusal::NoCylinder(cylinder));
            }
            if *due != Due::Scope && begin.scope_why.as_ref().is_none_or(|why| why.trim().is_empty())
            {
                return Err(Refusal::WhyMissing);
            }
        }
        if let Some(from) = begin.from
            && !self.facts().firing_order.contains(&from)
        {
            return Err(Refusal::NoCylinder(from));
        }
        if begin.rounds.is_some() && !self.has_screws() && begin.rounds != Some(Rounds::SurveyOnly) {
            return Err(Refusal::NothingToSet);
        }
        if begin.rounds.is_some() && *due != Due::Scope {
            return Err(Refusal::NotNow);
        }
        one(Entry::Begin(begin.clone()))
    }

    /// Answers the line of the checklist that is due.
    fn decide_answer(&self, digit: u8, due: Due) -> Decided {
        let seen = |line: &Line| {
            line.state(digit).cloned().ok_or(Refusal::NoSuchAnswer(digit))
        };
        match due {
            Due::Caution(line, when) => self.caution(line, digit, when),
            Due::RunCaution(line) => self.caution(line, digit, Asked::Run),
            Due::Check(line) => {
                let state = seen(&line)?;
                one(Entry::On(On::Check {
                    id: line.id,
                    asked: line.ask,
                    digit,
                    seen: state.words,
                    done: state.good,
                }))
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
        one(Entry::Caution(Caution {
            id: line.id,
            asked: line.ask,
            digit,
            seen: state.words,
            safe: state.good,
            when,
        }))
    }

    fn decide_temperature(&self, head: &str, air: &str) -> Decided {
        let read = |typed: &str| {
            Temperature::parse(typed).map_err(|fault| Refusal::Unreadable(fault.to_string()))
        };
        let air = if air.trim().is_empty() { None } else { Some(read(air)?) };
        one(Entry::Condition(Condition {
            head: Some(read(head)?),
            typed: head.trim().into(),
            air,
            against_limit: None,
        }))
    }

    fn decide_count(&self, input: &Input) -> Decided {
        match (input, self.due()) {
            (Input::CountOut(counts), Due::CountOut(bank, items)) => {
                if counts.len() != items.len() {
                    return Err(Refusal::WrongCounts { wanted: items.len() });
                }
                let items =
                    items.into_iter().map(|(item, _)| item).zip(counts.iter().copied()).collect();
                one(Entry::Off(Off { bank, items }))
            }
            (
                Input::CountIn(count),
                Due::CountIn { bank, item, .. } | Due::Shortage { bank, item, .. },
            ) => one(Entry::On(On::Count { bank, item, count: *count })),
            (Input::ShortageFound, Due::Shortage { bank, item, out, counted }) if counted < out => {
                one(Entry::On(On::Found { bank, item }))
            }
            (Input::ShortageAccounted { place, by }, Due::Shortage { bank, item, .. }) => {
                let place = text(place, "where it is")?;
                let by = text(by, "who says so")?;
                one(Entry::On(On::AccountedFor { bank, item, place, by }))
            }
            _ => Err(Refusal::NotNow),
        }
    }

    /// Refuses while turning the crank would do harm.
    fn may_turn(&self) -> Result<(), Refusal> {
        if let Some(&valve) = self.unloaded.iter().next() {
            return Err(Refusal::Unloaded(valve));
        }
        if self.parts_out.is_empty() { Ok(()) } else { Err(Refusal::PartOut) }
    }

    fn decide_crank(&self, input: &Input) -> Decided {
        match (input, self.due()) {
            (Input::Loose(loose), Due::Turn { stop, again, .. }) => self.loose(*loose, stop, again.is_none()),
            (Input::Rock(rocked), Due::Rock { stop, loose }) => {
                let of = self.to_gauge(stop);
                one(Entry::Proof(Proof { loose, of, rocked: Some(*rocked) }))
            }
            (Input::SeeOverlap(cylinder), due) => {
                self.may_see(*cylinder, &due)?;
                one(Entry::At(At::SeenOverlap(*cylinder)))
            }
            (Input::SeeLoose(cylinder), due) => {
                self.may_see(*cylinder, &due)?;
                let stop = self.stop_gauging(*cylinder).ok_or(Refusal::NoCylinder(*cylinder))?;
                let of = self.to_gauge(stop);
                Ok(vec![
                    Entry::At(At::SeenLoose(*cylinder)),
                    Entry::Proof(Proof { loose: of, of, rocked: Some(Rocked::Steady) }),
                ])
            }
            (Input::Lost, due) => {
                self.may_see(0, &due)?;
                one(Entry::At(At::Lost))
            }
            (Input::Unload, Due::Unload(valve)) => one(Entry::Unload(Unload { valve })),
            (Input::Release, Due::Release(valve)) => one(Entry::Release(Release { valve })),
            (Input::Release, _) => match self.unloaded.iter().next() {
                Some(&valve) => one(Entry::Release(Release { valve })),
                None => Err(Refusal::NotNow),
            },
            _ => Err(Refusal::NotNow),
        }
    }

    /// "I see N" is taken at any time of the rounds, but not while turning would do harm, and not
    /// before the cautions are answered.
    fn may_see(&self, cylinder: Cylinder, due: &Due) -> Result<(), Refusal> {
        self.may_turn()?;
        if cylinder != 0 && !self.facts().firing_order.contains(&cylinder) {
            return Err(Refusal::NoCylinder(cylinder));
        }
        match due {
            Due::Turn { .. }
            | Due::Rock { .. }
            | Due::Unload(_)
            | Due::Gauge(..)
            | Due::LeakTest(..)
            | Due::HoldDown(_)
            | Due::Set(..)
            | Due::Trying(_)
            | Due::NutAnswer(..)
            | Due::Threads(..) => Ok(()),
            _ => Err(Refusal::NotNow),
        }
    }

    /// Counts the valves to be gauged at a stop.
    pub fn to_gauge(&self, stop: usize) -> u8 {
        let gauged = self.stops().get(stop).map_or(0, |stop| stop.gauge.len());
        u8::try_from(gauged).unwrap_or(u8::MAX)
    }

    fn loose(&self, loose: u8, stop: usize, settled: bool) -> Decided {
        self.may_turn()?;
        let of = self.to_gauge(stop);
        if loose > of {
            return Err(Refusal::TooMany { of });
        }
        let mut entries = Vec::new();
        let here = matches!(self.crank, Crank::At { stop: at, .. } if at == stop) && settled;
        if !here && let Some(place) = self.stops().get(stop) {
            let (watch, then_turn) = (place.watch, place.then_turn);
            entries.push(Entry::At(At::Stop { stop, watch, then_turn }));
        }
        entries.push(Entry::Proof(Proof { loose, of, rocked: None }));
        Ok(entries)
    }

    fn decide_gauge(&self, input: &Input) -> Decided {
        match (input, self.due()) {
            (Input::Gauge { typed, sure }, Due::Gauge(valve, step)) => {
                one(Entry::Reading(self.reading(valve, step, typed, *sure)?))
            }
            (Input::Gauge { typed, sure }, Due::Set(valve, _)) => {
                let step = self.step_of(self.round().unwrap_or(0), valve);
                one(Entry::Reading(self.reading(valve, step, typed, *sure)?))
            }
            (Input::GaugeAgainstPlan { valve, typed, why }, due) => {
                self.may_see(0, &due)?;
                self.known(*valve)?;
                if self.nut_slack(*valve) {
                    return Err(Refusal::NutSlack(*valve));
                }
                let step = self.step_of(self.round().unwrap_or(0), *valve);
                let mut reading = self.reading(*valve, step, typed, true)?;
                reading.against_plan = Some(given(why)?);
                one(Entry::Reading(reading))
            }
            (Input::GaugeFromPaper { valve, typed, time }, due) => {
                self.may_see(0, &due)?;
                self.known(*valve)?;
                let step = self.step_of(self.round().unwrap_or(0), *valve);
                let mut reading = self.reading(*valve, step, typed, true)?;
                reading.paper = Some(text(time, "the time on the paper")?);
                one(Entry::Reading(reading))
            }
            (Input::OpenSet(valve), due) => self.open_set(*valve, &due),
            (Input::Tried(typed), Due::Trying(valve)) => self.tried(valve, typed),
            (Input::NutLocked, Due::NutAnswer(valve, gauged)) => {
                let torque = match &self.facts().adjuster {
                    Adjuster::Screw(screw) => {
                        screw.lock_nut_torque.as_ref().map_or(String::new(), |t| t.typed.clone())
                    }
                    Adjuster::Shim { .. } | Adjuster::Pushrod { .. } | Adjuster::None => String::new(),
                };
                one(Entry::Nut(Nut { valve, said: NutSaid::Locked { torque, gauged } }))
            }
            (Input::NutStillSlack, Due::NutAnswer(valve, _)) => {
                one(Entry::Nut(Nut { valve, said: NutSaid::Slack }))
            }
            (Input::NutNeverTouched { valve, why }, _) => self.never_touched(*valve, why),
            (Input::Threads(threads), Due::Threads(valve, _)) => {
                one(Entry::Nut(Nut { valve, said: NutSaid::Threads(*threads) }))
            }
            (Input::LeakTest { typed, why_not }, Due::LeakTest(cylinder, _)) => {
                leak_test(cylinder, typed, why_not)
            }
            (Input::HoldDown(typed), Due::HoldDown(cylinder)) => one(Entry::Work(Work {
                cylinder,
                what: "hold-down torque".into(),
                text: String::new(),
                hold_down: Some(text(typed, "the torque found")?),
            })),
            _ => Err(Refusal::NotNow),
        }
    }

    fn known(&self, valve: Valve) -> Result<(), Refusal> {
        if self.valves().contains(&valve) { Ok(()) } else { Err(Refusal::NoValve(valve)) }
    }

    fn never_touched(&self, valve: Valve, why: &str) -> Decided {
        let tried = self.nuts.get(&valve).is_some_and(|nut| {
            self.readings
                .iter()
                .any(|taken| taken.reading.valve == valve && taken.reading.step == Step::Try && taken.seq > nut.said_at)
        });
        if !self.nut_slack(valve) || tried || self.found_lost.contains_key(&valve) {
            return Err(Refusal::NotNow);
        }
        one(Entry::Nut(Nut { valve, said: NutSaid::NeverTouched { why: given(why)? } }))
    }

    /// Opens setting: at its stop, crank proven, as-found kept, leak test answered.
    fn open_set(&self, valve: Valve, due: &Due) -> Decided {
        self.known(valve)?;
        if !self.has_screws() {
            return Err(Refusal::NothingToSet);
        }
        let round = self.round().ok_or(Refusal::NotNow)?;
        let here = match self.crank {
            Crank::At { stop, .. } if self.crank_proven() => self
                .stops()
                .get(stop)
                .is_some_and(|stop| stop.gauge.iter().any(|gauge| gauge.valve == valve)),
            Crank::At { .. } | Crank::Unknown | Crank::Seen(_) => false,
        };
        let survey = self.rounds().get(round) == Some(&RoundKind::Survey);
        let asked = match due {
            Due::Set(asked, _) => *asked == valve,
            Due::Gauge(..) => !self.needs_reading(round, valve),
            _ => false,
        };
        if !here || survey || !asked || self.current(valve).is_none() {
            return Err(Refusal::NotNow);
        }
        one(Entry::Nut(Nut { valve, said: NutSaid::Slack }))
    }

    /// Reads `7 8 6` (tries, the last one last) or `3x 6` (three tries before, not written down).
    fn tried(&self, valve: Valve, typed: &str) -> Decided {
        let mut words: Vec<&str> = typed.split_whitespace().collect();
        let counted = words.first().and_then(|word| {
            word.strip_suffix(['x', 'X']).and_then(|count| count.parse::<u32>().ok())
        });
        if counted.is_some() {
            words.remove(0);
        }
        if words.is_empty() {
            return Err(Refusal::Unreadable("type what it reads now, as in 6, or tries as in 7 8 6".into()));
        }
        let mut entries = Vec::new();
        for (place, word) in words.iter().enumerate() {
            let mut reading = self.reading(valve, Step::Try, word, true)?;
            if place == 0 {
                reading.tries = counted.unwrap_or(0).min(99);
            }
            entries.push(Entry::Reading(reading));
        }
        Ok(entries)
    }

    fn reading(&self, valve: Valve, step: Step, typed: &str, sure: bool) -> Result<Reading, Refusal> {
        let set = self.leaves.as_ref().ok_or(Refusal::NotNow)?;
        let meaning =
            reading::parse(typed, set).map_err(|fault| Refusal::Unreadable(fault.to_string()))?;
        let odd = self.oddity(valve, &meaning);
        if let Some(odd) = &odd
            && !sure
        {
            return Err(Refusal::Odd(odd.clone()));
        }
        let round = self.round().and_then(|round| u8::try_from(round + 1).ok()).unwrap_or(1);
        let Meaning { typed, unit, low, high, nominal, single, .. } = meaning;
        Ok(Reading {
            valve,
            step,
            round,
            typed,
            unit,
            low,
            high,
            nominal,
            single,
            by: self.by(),
            paper: None,
            aimed: None,
            tries: 0,
            odd,
            against_plan: None,
        })
    }

    /// Says why a figure is asked about before it is kept; `None` where it is not.
    pub fn oddity(&self, valve: Valve, meaning: &Meaning) -> Option<String> {
        let target = self.figures(valve.kind).target;
        if let Some(odd) = reading::suspicious(meaning, target) {
            return Some(odd.to_string());
        }
        meaning.not_a_leaf.then(|| "no leaf of the set in hand, nor two of them".to_string())
    }

    fn decide_skip(&self, input: &Input) -> Decided {
        let skip = |what, why: &str| one(Entry::Skip(Skip { what, why: given(why)? }));
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
            (Input::LeaveAsIs { valve, why }, Due::Set(due, _) | Due::ReasonFor(due, _))
                if due == *valve =>
            {
                skip(Skipped::Setting(*valve), why)
            }
            (Input::SkipRound { why }, _) => {
                let round = self.round().ok_or(Refusal::NotNow)?;
                if let Some(item) = self.open_items().into_iter().find(OpenItem::bars_close_up) {
                    return Err(Refusal::OpenItem(item.to_string()));
                }
                skip(Skipped::Round(u8::try_from(round).unwrap_or(u8::MAX)), why)
            }
            (Input::Unskip(valve), Due::NoFigure(_)) => self.unskip(*valve),
            (Input::SkipRun { why }, Due::RunCaution(_) | Due::RunCheck(_)) => {
                skip(Skipped::Run, why)
            }
            (Input::RunFault { digit, text: words }, Due::RunCheck(line)) => {
                run_fault(&line, *digit, words)
            }
            (Input::RunBackToGauging, Due::RunFault(..)) => one(run_again(0, "back to gauging", false)),
            (Input::RunAgain, Due::RunFault(..)) => one(run_again(1, "put right from outside", true)),
            (Input::RunLeave { why }, Due::RunFault(id, _)) => skip(Skipped::Check(id), why),
            _ => Err(Refusal::NotNow),
        }
    }

    fn unskip(&self, valve: Valve) -> Decided {
        let of_valve =
            self.skipped.iter().filter(|((_, skipped), _)| *skipped == valve).map(|(_, (seq, _))| *seq);
        let of_rounds = self.rounds_skipped.values().map(|(seq, _)| *seq);
        let entries: Vec<Entry> = of_valve
            .chain(of_rounds)
            .map(|of| {
                let why = "gauged after all".to_string();
                Entry::Correct(Correct { of, change: Change::Void, why })
            })
            .collect();
        if entries.is_empty() { Err(Refusal::NotNow) } else { Ok(entries) }
    }

    fn decide_aside(&self, input: &Input) -> Decided {
        match input {
            Input::Remark(remark) => {
                if remark.text.trim().is_empty() && remark.good.is_empty() && remark.bad.is_empty() {
                    return Err(Refusal::TextMissing("a text or a tick"));
                }
                if let Some(cylinder) = remark.cylinder
                    && !self.facts().firing_order.contains(&cylinder)
                {
                    return Err(Refusal::NoCylinder(cylinder));
                }
                one(Entry::Remark(remark.clone()))
            }
            Input::SettleRemark { seq, text: words } => {
                let open = self.open_items().iter().any(
                    |item| matches!(item, OpenItem::BeforeRunning { seq: of, .. } if of == seq),
                );
                if !open {
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
                one(Entry::Work(Work { cylinder, what, text, hold_down: None }))
            }
            Input::PartOut { valve, part, typed } => {
                valve.map_or(Ok(()), |valve| self.known(valve))?;
                if self.parts_out.contains(&(*valve, *part)) {
                    return Err(Refusal::NotNow);
                }
                one(self.part_entry(*valve, *part, typed, true))
            }
            Input::PartIn { valve, part, typed } => {
                if !self.parts_out.contains(&(*valve, *part)) {
                    return Err(Refusal::NotNow);
                }
                one(self.part_entry(*valve, *part, typed, false))
            }
            Input::Away(words) => one(Entry::Away(Away { text: words.trim().into() })),
            Input::Back(back) => one(Entry::Back(back.clone())),
            _ => Err(Refusal::NotNow),
        }
    }

    fn part_entry(
        &self,
        valve: Option<Valve>,
        part: crate::domain::entry::PartKind,
        typed: &str,
        out: bool,
    ) -> Entry {
        let marked = Length::parse_clearance(typed.trim(), self.facts().unit).ok();
        Entry::Part(Part { valve, part, out, marked, measured: None, typed: typed.trim().into() })
    }
}

fn leak_test(cylinder: Cylinder, typed: &str, why_not: &str) -> Decided {
    if typed.trim().is_empty() {
        let why_not = Some(given(why_not)?);
        return one(Entry::LeakTest(LeakTest { cylinder, held: None, why_not }));
    }
    let numbers: Vec<u16> = typed
        .split(|c: char| !c.is_ascii_digit())
        .filter(|word| !word.is_empty())
        .filter_map(|word| word.parse().ok())
        .collect();
    match numbers[..] {
        [held, of] if held <= of && of > 0 => {
            one(Entry::LeakTest(LeakTest { cylinder, held: Some((held, of)), why_not: None }))
        }
        _ => Err(Refusal::Unreadable("type what it held and of how much, as in 74/80".into())),
    }
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

/// Tells whether a bank's name stands for what lies about: plugs, rags, tools, leaves.
pub fn is_loose_things(bank: &str) -> bool {
    bank == LOOSE_THINGS
}
