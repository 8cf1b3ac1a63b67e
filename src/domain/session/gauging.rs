//! Readings, tries, nuts, leak tests: what is done at a valve.

use super::checklist::DRY_AND_BOTTOMED;
use super::decide::{Decided, given, one, text};
use super::due::Due;
use super::input::Input;
use super::refusal::Refusal;
use super::state::{Crank, RoundKind, State, Taken};
use crate::domain::doubt::Doubt;
use crate::domain::entry::{Adopt, Entry, Nut, NutSaid, Reading, Step};
use crate::domain::odd::{self, Odd};
use crate::domain::profile::Adjuster;
use crate::domain::reading::{self, Meaning};
use crate::domain::typed::unit_word;
use crate::domain::units::Length;
use crate::domain::valve::Valve;

/// What was aimed at, how far the screw was turned, and what was read then.
type Aim<'a> = (Option<Length>, Option<u16>, &'a str);

/// More degrees than any screw is turned at a time.
const TURNED_MAX: u16 = 3600;

/// What is wanted before a figure over a hydraulic lifter.
const LIFTER_FIRST: &str =
    "its lifter comes first: dry and on its bottom, or a figure means nothing";

/// Why no valve is gauged that the plan does not have here.
pub const PROVE_FIRST: &str = "prove where the crank stands first";

impl State {
    pub(super) fn decide_gauge(&self, input: &Input) -> Decided {
        match (input, self.due()) {
            (Input::Gauge { typed, sure }, Due::Gauge(valve, step)) => {
                one(Entry::Reading(self.gauged(valve, step, typed, *sure)?))
            }
            (Input::Gauge { typed, sure }, Due::Set(valve, _) | Due::ChangeRod(valve, _)) => {
                self.lifter_answered(valve)?;
                let step = self.step_of(self.round().unwrap_or(0), valve);
                one(Entry::Reading(self.gauged(valve, step, typed, *sure)?))
            }
            (Input::Gauge { typed, sure }, Due::Again(valve, step)) => {
                let mut second = self.kept_first(valve, step, typed, *sure)?.0;
                let proof = self.wants_proof(&second).then(|| Doubt::NearNothing.kept());
                second.odd = proof.or(second.odd);
                one(Entry::Reading(second))
            }
            (Input::Gauge { typed, sure }, Due::Doubted { valve, first }) => {
                self.lifter_answered(valve)?;
                let step = self.readings.iter().find(|taken| taken.seq == first);
                let step = step.map_or(Step::Recheck, |taken| taken.reading.step);
                one(Entry::Reading(self.kept_first(valve, step, typed, *sure)?.0))
            }
            (Input::Believe { why }, _) => self.believe(why),
            (Input::GaugeAgainstPlan { valve, typed, why, sure }, due) => {
                if self.crank_unproven() {
                    return Err(Refusal::Unreadable(PROVE_FIRST.into()));
                }
                let mut reading = self.elsewhere(*valve, typed, *sure, &due)?;
                let doubt = self.doubt_elsewhere(&reading, self.stands_at(), &[]);
                reading.odd = doubt.map(Doubt::kept).or(reading.odd);
                reading.against_plan = Some(given(why)?);
                one(Entry::Reading(reading))
            }
            (Input::GaugeFromPaper { readings, time, sure }, due) => {
                self.paper_readings(readings, time, *sure, &due)
            }
            (Input::OnDry { valves, gauged }, _) => self.on_dry(valves, gauged),
            (Input::Adopt(adopt), due) => self.adopt(adopt, &due),
            (Input::OpenSet(valve), due) if self.may_reopen(&due) => self.set_again(*valve),
            (Input::OpenSet(valve), due) => self.open_set(*valve, &due),
            (Input::NutFoundSlack(valve), due) => self.found_slack(*valve, &due),
            (Input::Tried { typed, sure }, Due::Trying(valve) | Due::Again(valve, Step::Try)) => {
                self.tried(valve, typed, *sure)
            }
            (Input::NutLocked, Due::NutAnswer(valve, gauged)) => {
                let torque = match &self.facts().adjuster {
                    Adjuster::Screw(screw) => {
                        screw.lock_nut_torque.as_ref().map_or(String::new(), |t| t.typed.clone())
                    }
                    Adjuster::Shim { .. } | Adjuster::Pushrod { .. } | Adjuster::None => {
                        String::new()
                    }
                };
                one(Entry::Nut(Nut::said(valve, NutSaid::Locked { torque, gauged })))
            }
            (Input::NutStillSlack, Due::NutAnswer(valve, _)) => {
                one(Entry::Nut(Nut::said(valve, NutSaid::Slack)))
            }
            (Input::NutNeverTouched { valve, why }, _) => self.never_touched(*valve, why),
            (Input::NutOfAnother { named, really }, _) => self.nut_of_another(*named, *really),
            (Input::Threads(threads), Due::Threads(valve, _) | Due::ThreadsOutside(valve, ..)) => {
                one(Entry::Nut(Nut::said(valve, NutSaid::Threads(*threads))))
            }
            _ => Err(Refusal::NotNow),
        }
    }

    /// Makes a reading of another valve than the one that is due.
    fn elsewhere(
        &self,
        valve: Valve,
        typed: &str,
        sure: bool,
        due: &Due,
    ) -> Result<Reading, Refusal> {
        self.may_be_elsewhere(valve, due)?;
        self.lifter_answered(valve)?;
        let step = self.step_of(self.round().unwrap_or(0), valve);
        self.reading(valve, step, typed, sure)
    }

    /// Tells whether a valve can be gauged now without being the one that is due: against the plan, or on paper.
    ///
    /// # Errors
    /// A refusal says why not.
    pub fn gauged_elsewhere(&self, valve: Valve) -> Result<(), Refusal> {
        self.may_be_elsewhere(valve, &self.due())
    }

    fn may_be_elsewhere(&self, valve: Valve, due: &Due) -> Result<(), Refusal> {
        self.may_see(0, due)?;
        self.known(valve)?;
        if self.nut_slack(valve) {
            return Err(Refusal::NutSlack(valve));
        }
        self.held_down(valve)
    }

    /// Refuses a figure over a hydraulic lifter that nobody answered for since the crank was moved.
    fn lifter_answered(&self, valve: Valve) -> Result<(), Refusal> {
        match self.due_of_lifter(valve) {
            None => Ok(()),
            Some(_) => Err(Refusal::Unreadable(LIFTER_FIRST.into())),
        }
    }

    /// Keeps what was gauged behind the word that these lifters are dry and bottomed.
    fn on_dry(&self, valves: &[Valve], gauged: &Input) -> Decided {
        let of_a_valve = matches!(
            gauged,
            Input::Gauge { .. } | Input::GaugeAgainstPlan { .. } | Input::GaugeFromPaper { .. }
        );
        if !of_a_valve {
            return Err(Refusal::NotNow);
        }
        let answers = valves.iter().filter_map(|&valve| match self.due_of_lifter(valve) {
            Some(Due::Dry(_, line)) => line.answered(DRY_AND_BOTTOMED),
            _ => None,
        });
        let answers: Vec<Entry> = answers.collect();
        let mut there = self.clone();
        there.dry.extend(valves);
        there.under_way.forget();
        Ok(answers.into_iter().chain(there.decide_gauge(gauged)?).collect())
    }

    /// Tells whether it is not known where the crank stands: it was moved or left, and is not proven
    /// since.
    pub fn crank_unproven(&self) -> bool {
        match self.crank {
            Crank::At { .. } => !self.crank_proven(),
            Crank::Unknown => true,
            Crank::Seen(_) | Crank::Elsewhere(_) => false,
        }
    }

    /// Tells whether a reading of a valve that was made on paper is taken: this service answers for it, and
    /// nothing over it was opened.
    pub fn takes_paper(&self, valve: Valve) -> bool {
        self.serviced(valve) && !self.nut_slack(valve) && !self.was_changed(valve)
    }

    /// Keeps what was written on paper: of one cylinder after another, in the order of the paper.
    fn paper_readings(
        &self,
        readings: &[(Valve, String)],
        time: &str,
        sure: bool,
        due: &Due,
    ) -> Decided {
        let time = text(time, "the time on the paper")?;
        if readings.is_empty() {
            return Err(Refusal::TextMissing("a reading"));
        }
        let mut kept: Vec<Reading> = Vec::new();
        for (valve, typed) in readings {
            let reading = self.elsewhere(*valve, typed, sure, due)?;
            if self.was_changed(*valve) {
                return Err(Refusal::PaperAfterSetting(*valve));
            }
            let doubt = self.doubt_elsewhere(&reading, None, &kept).map(Doubt::kept);
            let odd = doubt.or_else(|| reading.odd.clone());
            kept.push(Reading { paper: Some(time.clone()), odd, ..reading });
        }
        Ok(kept.into_iter().map(Entry::Reading).collect())
    }

    /// Takes over an as-found reading of a valve that is still to be gauged here. What was done to a
    /// valve after it was read is told by no reading, so nothing else can be taken over.
    fn adopt(&self, adopt: &Adopt, due: &Due) -> Decided {
        let valve = adopt.reading.valve;
        self.may_see(0, due)?;
        self.known(valve)?;
        if self.nut_slack(valve) {
            return Err(Refusal::NutSlack(valve));
        }
        let round = self.round().ok_or(Refusal::NotNow)?;
        let found = self.step_of(round, valve) == Step::Found;
        if adopt.reading.step != Step::Found || !found || !self.needs_reading(round, valve) {
            return Err(Refusal::NotNow);
        }
        one(Entry::Adopt(adopt.clone()))
    }

    pub(super) fn known(&self, valve: Valve) -> Result<(), Refusal> {
        if self.valves().contains(&valve) { Ok(()) } else { Err(Refusal::NoValve(valve)) }
    }

    /// Opens setting: at its stop, crank proven, as-found kept, leak test answered.
    fn open_set(&self, valve: Valve, due: &Due) -> Decided {
        self.known(valve)?;
        if !self.has_screws() {
            return Err(Refusal::NothingToSet);
        }
        if self.is_rough_look() {
            return Err(Refusal::OnlyALook);
        }
        let round = self.round().ok_or(Refusal::NotNow)?;
        let here = match self.crank {
            Crank::At { stop, .. } if self.crank_proven() => self
                .stops()
                .get(stop)
                .is_some_and(|stop| stop.gauge.iter().any(|gauge| gauge.valve == valve)),
            Crank::At { .. } | Crank::Unknown | Crank::Seen(_) | Crank::Elsewhere(_) => false,
        };
        let touching = self.kind_of(round).is_some_and(RoundKind::sets);
        let asked = matches!(
            due,
            Due::Set(..) | Due::Gauge(..) | Due::Turn { .. } | Due::ThreadsOutside(..)
        ) && !self.is_read_here(round, valve)
            && !self.nut_slack(valve);
        let ready = self.current(valve).is_some()
            && self.before_setting(valve).is_none()
            && !self.part_of_a_doubt(round, valve);
        if !here || !touching || !asked || !ready {
            return Err(Refusal::NotNow);
        }
        one(Entry::Nut(Nut::said(valve, NutSaid::Slack)))
    }

    /// Reads `7 8 6` (tries, the last one last) or `3x 6` (three tries before, not written down).
    fn tried(&self, valve: Valve, typed: &str, sure: bool) -> Decided {
        let mut words = readings_of(typed);
        let counted = words.first().and_then(|word| {
            word.strip_suffix(['x', 'X']).and_then(|count| count.parse::<u32>().ok())
        });
        if counted.is_some() {
            words.remove(0);
        }
        if words.is_empty() {
            return Err(Refusal::Unreadable(
                "type what it reads now, as in 6, or tries as in 7 8 6".into(),
            ));
        }
        let again = matches!(self.due(), Due::Again(..));
        let single = words.len() == 1 && counted.is_none();
        let mut entries = Vec::new();
        for (place, word) in words.iter().enumerate() {
            let (aimed, turned, word) = self.aim(word)?;
            let mut reading = self.reading(valve, Step::Try, word, sure)?;
            reading.aimed = aimed;
            reading.turned = turned;
            if place == 0 {
                reading.tries = counted.unwrap_or(0).min(99);
            }
            // After several tries the way from one to the next is not known.
            if single && !again && reading.odd.is_none() {
                reading.odd = self.doubt_of_try(&reading).map(Doubt::kept);
            }
            entries.push(Entry::Reading(reading));
        }
        Ok(entries)
    }

    /// Splits `5.5>6`: set to 5.5 with the nut slack, 6 read afterwards; and `60d>6`: the screw turned
    /// by 60°, 6 read afterwards.
    fn aim<'a>(&self, word: &'a str) -> Result<Aim<'a>, Refusal> {
        let Some((before, got)) = word.split_once('>') else { return Ok((None, None, word)) };
        let open = || {
            let words = "before > stands one leaf or a pair, as in 5.5>6, or degrees, as in 60d>6";
            Refusal::Unreadable(words.into())
        };
        if let Some(degrees) = before.strip_suffix(['d', '°']) {
            let turned = degrees.parse().ok().filter(|turned| *turned <= TURNED_MAX);
            return Ok((None, Some(turned.ok_or_else(open)?), got));
        }
        Ok((Some(self.meaning(before)?.nominal.ok_or_else(open)?), None, got))
    }

    /// Takes a reading with the leaves in hand.
    fn meaning(&self, typed: &str) -> Result<Meaning, Refusal> {
        let set = self.leaves.as_ref().ok_or(Refusal::NotNow)?;
        reading::parse(typed, set).map_err(|fault| Refusal::Unreadable(fault.words_with(set)))
    }

    /// Asks about a figure that is odd for its valve; `None` where nothing is odd.
    pub fn odd_question(&self, valve: Valve, meaning: &Meaning) -> Option<String> {
        let target = self.figures(valve.kind).target;
        let odd = odd::suspicious(meaning, target)?;
        let unit = self.leaves.as_ref().map_or(self.facts().unit, |set| set.unit);
        Some(odd.question(meaning, target, unit))
    }

    fn reading(
        &self,
        valve: Valve,
        step: Step,
        typed: &str,
        sure: bool,
    ) -> Result<Reading, Refusal> {
        let meaning = self.meaning(typed)?;
        if let Some(question) = self.odd_question(valve, &meaning).filter(|_| !sure) {
            return Err(Refusal::Odd(question));
        }
        let odd = odd::suspicious(&meaning, self.figures(valve.kind).target);
        Ok(self.reading_of(valve, step, meaning, odd.map(|odd| odd.word().to_string())))
    }

    /// Makes a reading that is kept before anything is asked about it, but for a number that no leaf
    /// of the set makes. Returns the slip that it looks like, too.
    fn kept_first(
        &self,
        valve: Valve,
        step: Step,
        typed: &str,
        sure: bool,
    ) -> Result<(Reading, Option<Odd>), Refusal> {
        let meaning = self.meaning(typed)?;
        if let Some(question) = self.leaf_question(&meaning).filter(|_| !sure) {
            return Err(Refusal::Odd(question));
        }
        let slip = odd::suspicious(&meaning, self.figures(valve.kind).target);
        let no_leaf = meaning.not_a_leaf.then(|| Odd::NotALeaf.word().to_string());
        Ok((self.reading_of(valve, step, meaning, no_leaf), slip))
    }

    /// Makes a reading of the valve that is due, marked where it is not believed at once.
    fn gauged(
        &self,
        valve: Valve,
        step: Step,
        typed: &str,
        sure: bool,
    ) -> Result<Reading, Refusal> {
        let (mut reading, slip) = self.kept_first(valve, step, typed, sure)?;
        let doubt = self.doubt_of(&reading, slip).map(Doubt::kept);
        reading.odd = doubt.or(reading.odd);
        Ok(reading)
    }

    /// Asks about a number that is no leaf of the set and no stack of two; `None` where it is one.
    pub fn leaf_question(&self, meaning: &Meaning) -> Option<String> {
        let unit = self.leaves.as_ref().map_or(self.facts().unit, |set| set.unit);
        meaning.not_a_leaf.then(|| Odd::NotALeaf.question(meaning, Length::ZERO, unit))
    }

    fn reading_of(
        &self,
        valve: Valve,
        step: Step,
        meaning: Meaning,
        odd: Option<String>,
    ) -> Reading {
        // A try belongs to the round in which its nut was opened, wherever the work went since.
        let opened = self.nuts.get(&valve).filter(|_| step == Step::Try).map(|nut| nut.round);
        let round = opened.or(self.round());
        let round = round.and_then(|round| u8::try_from(round + 1).ok()).unwrap_or(1);
        let Meaning { typed, unit, low, high, nominal, single, .. } = meaning;
        Reading {
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
            turned: None,
        }
    }
}

/// Splits tries at the blanks; a unit standing alone belongs to the number before it, and `>` joins
/// what stands around it.
pub fn readings_of(typed: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in typed.split_whitespace() {
        match words.last_mut() {
            Some(last)
                if unit_word(word).is_some() || word.starts_with('>') || last.ends_with('>') =>
            {
                last.push_str(word);
            }
            Some(_) | None => words.push(word.to_owned()),
        }
    }
    words
}

impl Taken {
    /// Tells whether this reading was made with nothing loose, so that it can be an as-left.
    pub fn nothing_loose(&self) -> bool {
        match self.reading.step {
            Step::Found | Step::Recheck | Step::Left => true,
            Step::Try => self.locked,
        }
    }
}
