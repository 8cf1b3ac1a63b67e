//! Every valve in scope: as found, as left, what moved since last time, and what is to be said of
//! its readings.

use super::{Page, listed};
use crate::domain::doubt::Doubt;
use crate::domain::entry::{Adopt, Change, Entry, Step};
use crate::domain::service::{Gauged, Outcome};
use crate::domain::session::{ReasonGiven, State, Taken};
use crate::domain::units::{Length, LengthUnit};
use crate::domain::valve::Valve;
use crate::domain::verdict::{Interval, Verdict};
use crate::guide::named::typed_unit;
use crate::report::compare_sheet::{figure, movement_words, range_words};
use std::collections::BTreeMap;

/// Columns of the table.
const WIDTHS: [usize; 7] = [13, 7, 14, 9, 18, 11, 8];
const NOTE: &str = "               ";

impl Page<'_> {
    /// The figures that rule, then the table.
    pub(super) fn valves(&mut self) {
        let unit = match self.unit {
            LengthUnit::Mm => "mm",
            LengthUnit::Inch => "inches",
        };
        self.sheet.heading(&format!("Valves (figures in {unit})"));
        self.figures();
        self.sheet.blank();
        let heads = ["valve", "", "typed", "figure", "may be", "verdict", ""].map(String::from);
        self.sheet.row(&heads, &WIDTHS);
        let outcomes: Vec<Outcome> =
            self.service.valves.iter().filter(|outcome| outcome.in_scope).cloned().collect();
        for outcome in outcomes {
            self.valve(&outcome);
        }
        self.gauged_by();
        let out = self.service.valves.iter().filter(|outcome| !outcome.in_scope);
        let (gauged, not): (Vec<Valve>, Vec<Valve>) =
            out.map(|outcome| outcome.valve).partition(|valve| self.state.found(*valve).is_some());
        let outside = [("not gauged", not), ("in limits when gauged", gauged)];
        for (how, valves) in outside.into_iter().filter(|(_, valves)| !valves.is_empty()) {
            self.sheet.line(&format!("outside the scope, {how}: "), &self.named(valves));
        }
    }

    /// Tells who gauged which valve, where several worked.
    fn gauged_by(&mut self) {
        if self.state.workers.len() < 2 {
            return;
        }
        let valves = self.state.valves();
        let of = |reading: fn(&State, Valve) -> Option<&Taken>| {
            let mut by: BTreeMap<String, Vec<Valve>> = BTreeMap::new();
            for &valve in &valves {
                if let Some(taken) = reading(self.state, valve) {
                    by.entry(taken.reading.by.clone()).or_default().push(valve);
                }
            }
            by
        };
        let steps = [("found", of(State::found)), ("left", of(State::left))];
        for (step, by) in steps {
            for (name, valves) in by {
                self.sheet.line("", &format!("as {step} gauged by {name}: {}", self.named(valves)));
            }
        }
    }

    fn valve(&mut self, outcome: &Outcome) {
        let valve = outcome.valve;
        self.reading_row(
            &self.state.name_of(valve),
            "found",
            outcome.found.as_ref(),
            outcome.verdict_found,
            "",
        );
        let as_found = self.state.left(valve).map(|taken| taken.seq)
            == self.state.found(valve).map(|taken| taken.seq);
        if as_found && outcome.left.is_some() {
            let cells = ["", "left", "as found, not touched"].map(String::from);
            self.sheet.row(&cells, &WIDTHS[..3]);
        } else {
            let tries = match outcome.tries {
                0 => String::new(),
                1 => "1 try".into(),
                tries => format!("{tries} tries"),
            };
            self.reading_row("", "left", outcome.left.as_ref(), outcome.verdict_left, &tries);
        }
        let movements = self.since.iter().flat_map(|since| &since.valves);
        let movement = movements.clone().find(|movement| movement.valve == valve).cloned();
        if let Some(movement) =
            movement.filter(|movement| movement.moved_high.or(movement.moved_low).is_some())
        {
            let words = movement_words(&movement, self.unit);
            let range = range_words(&movement, self.unit);
            self.sheet.line(NOTE, &format!("since last time: {words} (readings allow {range})"));
        }
        self.valve_notes(outcome);
    }

    fn reading_row(
        &mut self,
        valve: &str,
        step: &str,
        gauged: Option<&Gauged>,
        verdict: Option<Verdict>,
        note: &str,
    ) {
        let cells = [
            valve.to_string(),
            step.to_string(),
            gauged.map_or("no figure".into(), typed_words),
            gauged.map_or(String::new(), |_| figure(gauged, self.unit)),
            gauged.map_or(String::new(), |gauged| interval_words(&gauged.interval, self.unit)),
            verdict.map_or(String::new(), |verdict| verdict.word().into()),
            note.to_string(),
        ];
        self.sheet.row(&cells, &WIDTHS);
    }

    fn valve_notes(&mut self, outcome: &Outcome) {
        let valve = outcome.valve;
        let mut notes = Vec::new();
        if let Some(why) = &outcome.found_lost {
            // What was only worked on, or lay under cams that were out, nobody adjusted.
            let adjusted = outcome.touched && !self.state.only_worked_on(valve);
            let how = if adjusted { ", adjusted before it was read" } else { "" };
            notes.push(format!("as-found figure lost{how}: {why}"));
        }
        for ((round, skipped), (_, why)) in &self.state.skipped {
            if *skipped == valve {
                notes.push(format!("not gauged in round {}: {why}", round + 1));
            }
        }
        let counts = self.state.reason_to_leave(valve);
        notes.extend(counts.map(|why| format!("left as it is: {why}")));
        // Of a reason given twice in the same words it is the last that counts.
        let given = self.session.reasons_given(valve);
        let last = counts.and_then(|why| given.iter().rposition(|given| given.why == why));
        let others = given.iter().enumerate().filter(|(place, _)| Some(*place) != last);
        notes.extend(others.map(|(_, given)| {
            format!("was to be left as it is, given on {}: {}", given_on(given), given.why)
        }));
        notes.extend(self.also_gauged(valve));
        let taken = self.state.readings.iter().filter(|taken| taken.reading.valve == valve);
        notes.extend(taken.flat_map(|taken| self.reading_notes(taken)));
        notes.extend(self.withdrawn(valve));
        for note in notes {
            self.sheet.line(NOTE, &note);
        }
    }

    /// Tells in order what was gauged besides the two rows: no reading that was kept is left out.
    fn also_gauged(&self, valve: Valve) -> Option<String> {
        let rows =
            [self.state.found(valve), self.state.left(valve)].map(|row| row.map(|it| it.seq));
        let of = |taken: &&Taken| taken.reading.valve == valve && !rows.contains(&Some(taken.seq));
        let words = self.state.readings.iter().filter(of).map(|taken| {
            let step = match taken.reading.step {
                Step::Found => "as found",
                Step::Try => "try",
                Step::Left if self.state.only_worked_on(valve) => "after the work",
                Step::Left => "after setting",
                Step::Recheck => "gauged once more",
            };
            format!("{step} {}", typed_unit(&taken.reading.typed, taken.reading.unit))
        });
        let words = listed(words);
        (!words.is_empty()).then(|| format!("also: {words}"))
    }

    fn reading_notes(&self, taken: &Taken) -> Vec<String> {
        let reading = &taken.reading;
        let typed = typed_unit(&reading.typed, reading.unit);
        let mut notes = Vec::new();
        if let Some((first, why)) = &taken.corrected {
            notes.push(format!(
                "{typed} (first entered {first}, {}: {why})",
                self.corrected_at(taken.seq)
            ));
        }
        if let Some(time) = &reading.paper {
            notes.push(format!("{typed} typed from paper, gauged {time}"));
        }
        if let Some(odd) = &reading.odd {
            notes.push(match Doubt::of(Some(odd)) {
                Some(doubt) => {
                    let settled = self.state.settled.contains(&taken.seq);
                    let end = if settled { "" } else { "; NOT SETTLED" };
                    format!("{typed} was not believed at once ({}){end}", doubt.word())
                }
                None => format!("{typed} was asked about ({odd}) and stands"),
            });
        }
        if let Some(why) = &reading.against_plan {
            notes
                .push(format!("{typed} gauged where the plan does not show the valve shut: {why}"));
        }
        if taken.warm.is_some() {
            notes.push(format!("{typed} gauged WARM, outside the temperature limit"));
        }
        if !taken.shut {
            notes.push(format!(
                "{typed} does not count: the new profile does not show the valve shut there"
            ));
        }
        notes
    }

    /// Says when the last correction of a reading was made.
    fn corrected_at(&self, seq: u64) -> String {
        let touches = |entry: &Entry| match entry {
            Entry::Correct(correct) => match correct.change {
                Change::SwapWith(other) => correct.of == seq || other == seq,
                Change::Value { .. } => correct.of == seq,
                Change::Void => false,
            },
            _ => false,
        };
        let at = self.entries().filter(|kept| touches(&kept.entry)).last();
        at.map_or("corrected".into(), |kept| format!("corrected {}", self.stamp(kept.at)))
    }

    /// Tells of readings of a valve that were withdrawn.
    fn withdrawn(&self, valve: Valve) -> Vec<String> {
        let reading = |seq: u64| {
            let kept = self.session.kept.iter().find(|kept| kept.seq == seq)?;
            match &kept.entry {
                Entry::Reading(reading) | Entry::Adopt(Adopt { reading, .. })
                    if reading.valve == valve =>
                {
                    Some(reading)
                }
                _ => None,
            }
        };
        let line = |correct: &crate::domain::entry::Correct, stamp: String| {
            let reading = reading(correct.of).filter(|_| correct.change == Change::Void)?;
            let typed = typed_unit(&reading.typed, reading.unit);
            Some(format!("{typed} withdrawn {stamp}: {}", correct.why))
        };
        self.entries()
            .filter_map(|kept| match &kept.entry {
                Entry::Correct(correct) => line(correct, self.stamp(kept.at)),
                _ => None,
            })
            .collect()
    }
}

/// Says what a reason was given on: "a reading of 9 thou outside the temperature (a rough look)".
pub(super) fn given_on(given: &ReasonGiven<'_>) -> String {
    let on = given.on.as_ref().map_or("no reading".into(), |reading| {
        format!("a reading of {}", typed_unit(&reading.typed, reading.unit))
    });
    match given.warm {
        Some(why) => format!("{on} outside the temperature ({why})"),
        None => on,
    }
}

fn typed_words(gauged: &Gauged) -> String {
    typed_unit(&gauged.typed, gauged.unit)
}

fn interval_words(interval: &Interval, unit: LengthUnit) -> String {
    let digits = |length: Length| length.digits(unit);
    match (interval.low, interval.high) {
        (Some(low), Some(high)) => format!("{} to {}", digits(low), digits(high)),
        (Some(low), None) => format!("{} or more", digits(low)),
        (None, Some(high)) if high == Length::ZERO => "nothing goes".into(),
        (None, Some(high)) => format!("{} or less", digits(high)),
        (None, None) => String::new(),
    }
}
