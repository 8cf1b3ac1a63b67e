//! What was done besides gauging: leak tests, work, parts, nuts; what was seen at each cylinder.

use super::{Page, listed, sentence};
use crate::domain::entry::{
    Change, Correct, Entry, Kept, NutSaid, Part, PartKind, Remark, Skip, Skipped, Tick,
};
use crate::domain::session::{
    AT_ONCE, LEAK_TEST_NOW, OpenItem, State, hold_down_of, named_bank, nuts_not_tight_of,
    owed_run_of,
};
use crate::domain::units::LengthUnit;
use crate::domain::valve::{Cylinder, Valve};
use crate::guide::remarks::TICKS;
use crate::guide::status::torque_words;
use std::collections::BTreeMap;

/// Columns of the table of the six places.
const WIDTHS: [usize; 7] = [12, 9, 9, 9, 9, 9, 9];

impl Page<'_> {
    /// Leak tests, work on cylinders, parts, lock nuts.
    pub(super) fn work(&mut self) {
        self.sheet.heading("Work done");
        let mut lines: Vec<(String, String)> = self
            .entries()
            .filter_map(|kept| {
                let (label, words) = self.work_words(kept)?;
                Some((label, format!("{words} ({})", self.stamp(kept.at))))
            })
            .collect();
        lines.extend(self.nuts());
        if lines.is_empty() {
            let words = match self.named(self.touched().0) {
                valves if valves.is_empty() => "none besides gauging".into(),
                valves => format!("none besides gauging and adjusting {valves}"),
            };
            self.sheet.line("  ", &words);
        }
        for (label, words) in lines {
            self.sheet.field(&label, &words);
        }
    }

    fn work_words(&self, kept: &Kept) -> Option<(String, String)> {
        match &kept.entry {
            Entry::LeakTest(test) => {
                let words = match (test.held, &test.why_not) {
                    (Some((held, of)), _) => format!("held {held} of {of}"),
                    (None, Some(why)) if why == LEAK_TEST_NOW => why.clone(),
                    (None, Some(why)) => format!("not made: {why}"),
                    (None, None) => "no figure".into(),
                };
                Some((format!("leak test cyl. {}", test.cylinder), words))
            }
            Entry::Work(work) => {
                let torque = work.hold_down.as_ref().map(|torque| format!("found {torque}"));
                let more = [(!work.text.is_empty()).then(|| work.text.clone()), torque];
                let words = std::iter::once(work.what.clone()).chain(more.into_iter().flatten());
                let words = words.collect::<Vec<_>>().join("; ");
                Some((format!("cylinder {}", work.cylinder), words))
            }
            Entry::Part(part) => Some(part_words(self.state, part)),
            Entry::Correct(correct) => self.never_out(correct).or_else(|| self.no_work(correct)),
            Entry::Skip(Skip { what: Skipped::Check(id), why, .. }) => {
                let cylinder = hold_down_of(id).or_else(|| nuts_not_tight_of(id));
                let worked = cylinder.map(|cylinder| format!("cylinder {cylinder}"));
                let owed = || owed_run_of(id).map(|_| "run owed before".to_string());
                worked.or_else(owed).map(|label| (label, why.clone()))
            }
            Entry::Begin(begin) if !begin.left_open.is_empty() => {
                // Of pieces that others left too it is only kept that they were taken over.
                let left = begin.left_open.iter().filter(|left| !left.item.is_none());
                let words = left.map(|left| {
                    let open = OpenItem::from(&left.item);
                    let open = open.words(&|valve| self.state.name_of(valve));
                    format!("{open}, by {}", left.from)
                });
                let words = words.collect::<Vec<_>>().join("; ");
                (!words.is_empty()).then(|| ("left open".into(), words))
            }
            Entry::Nut(nut) => match &nut.said {
                NutSaid::NeverTouched { why } => Some((
                    self.state.name_of(nut.valve),
                    if self.state.left_slack(nut.valve) {
                        format!("nut left slack before: seen, it is locked: {why}")
                    } else {
                        format!("nut said slack, but never touched: {why}")
                    },
                )),
                NutSaid::Slack | NutSaid::Locked { .. } | NutSaid::Threads(_) => None,
            },
            _ => None,
        }
    }

    /// Tells of work that was told, and taken back with what was so.
    fn no_work(&self, correct: &Correct) -> Option<(String, String)> {
        let kept = self.session.kept.iter().find(|kept| kept.seq == correct.of)?;
        let Entry::Work(work) = &kept.entry else { return None };
        let told = correct.change == Change::Void && correct.why != AT_ONCE;
        let words = || format!("{}: taken back, {}", work.what, correct.why);
        told.then(|| (format!("cylinder {}", work.cylinder), words()))
    }

    /// Tells of what was said to have come out, and was taken back with its reason.
    fn never_out(&self, correct: &Correct) -> Option<(String, String)> {
        let kept = self.session.kept.iter().find(|kept| kept.seq == correct.of)?;
        let Entry::Part(part) = &kept.entry else { return None };
        let taken_back = part.out && correct.change == Change::Void;
        let (label, words) = part_words(self.state, part);
        taken_back.then(|| (label, format!("{words}: taken back, {}", correct.why)))
    }

    /// Returns the valves in scope whose setting was touched, and those that were gauged anew for work on
    /// their cylinders alone.
    pub(super) fn touched(&self) -> (Vec<Valve>, Vec<Valve>) {
        let scoped = self.state.valves().into_iter();
        let touched = scoped.filter(|valve| self.state.touched.contains(valve));
        touched.partition(|valve| !self.state.only_worked_on(*valve))
    }

    /// Tells of the lock nuts: slack, or locked, at which torque, gauged after, threads showing.
    fn nuts(&self) -> Vec<(String, String)> {
        let mut torques: BTreeMap<Valve, String> = BTreeMap::new();
        for kept in self.entries() {
            if let Entry::Nut(nut) = &kept.entry
                && let NutSaid::Locked { torque, .. } = &nut.said
            {
                torques.insert(nut.valve, torque.clone());
            }
        }
        let locked =
            |valve: &Valve| self.state.nuts.contains_key(valve) && !self.state.nut_slack(*valve);
        let mut groups: BTreeMap<String, Vec<Valve>> = BTreeMap::new();
        for (valve, torque) in torques.into_iter().filter(|(valve, _)| locked(valve)) {
            groups.entry(torque).or_default().push(valve);
        }
        let locked = groups.into_iter().map(|(torque, valves)| {
            let torque = torque_words(&torque, self.state.facts().unit);
            let at = if torque.is_empty() { "locked".into() } else { format!("at {torque}") };
            ("lock nuts".into(), format!("{at}, each gauged after: {}", self.named(valves)))
        });
        let mut lines: Vec<(String, String)> =
            self.found_slack().into_iter().chain(locked).collect();
        let mut before: BTreeMap<String, Vec<Valve>> = BTreeMap::new();
        for one in self.session.locked_before() {
            before.entry(one.torque).or_default().push(one.valve);
        }
        lines.extend(before.into_iter().map(|(torque, valves)| {
            let torque = torque_words(&torque, self.state.facts().unit);
            let at =
                if torque.is_empty() { "locked".into() } else { format!("locked at {torque}") };
            let named = self.named(valves);
            (
                "lock nuts".into(),
                format!("{at} before another profile asked for another torque: {named}"),
            )
        }));
        let slack = self.state.nuts.keys().filter(|valve| self.state.nut_slack(**valve));
        let slack = self.named(slack.copied());
        if !slack.is_empty() {
            lines.push(("lock nuts".into(), format!("SLACK, not locked: {slack}")));
        }
        let nuts = self.state.nuts.iter();
        let threads = listed(nuts.filter_map(|(valve, nut)| {
            let first = self.counted_before(*valve, nut.threads?);
            let first = first.map_or_else(String::new, |first| format!(" (first {first})"));
            Some(format!("{}: {}{first}", self.state.name_of(*valve), nut.threads?))
        }));
        if !threads.is_empty() {
            lines.push(("threads showing".into(), threads));
        }
        lines
    }

    /// Returns how many threads of a valve were counted just before the count that stands, with its nut
    /// as it is: a count put right leaves its trace.
    fn counted_before(&self, valve: Valve, stands: u8) -> Option<u8> {
        let mut said = Vec::new();
        for kept in self.entries() {
            let Entry::Nut(nut) = &kept.entry else { continue };
            match nut.said {
                _ if nut.valve != valve => {}
                NutSaid::Threads(count) => said.push(count),
                NutSaid::Slack | NutSaid::Locked { .. } => said.clear(),
                NutSaid::NeverTouched { .. } => {}
            }
        }
        said.into_iter().rev().skip(1).find(|count| *count != stands)
    }

    /// The six places of each cylinder, then the remarks.
    pub(super) fn looked_at(&mut self) {
        let facts = self.state.facts();
        let mut cylinders: Vec<Cylinder> = facts.firing_order.clone();
        cylinders.retain(|&cylinder| self.state.services(cylinder));
        cylinders.sort_unstable();
        self.sheet.heading("Looked at (blank: not looked at)");
        let heads = TICKS.map(|(_, head)| head.to_string());
        let heads: Vec<String> = std::iter::once("  cylinder".into()).chain(heads).collect();
        self.sheet.row(&heads, &WIDTHS);
        for cylinder in cylinders {
            let places = TICKS.map(|(tick, _)| self.tick(cylinder, tick).to_string());
            let row: Vec<String> = std::iter::once(format!("  {cylinder}")).chain(places).collect();
            self.sheet.row(&row, &WIDTHS);
        }
        self.remarks();
    }

    /// Returns the last word on a place of a cylinder.
    fn tick(&self, cylinder: Cylinder, tick: Tick) -> &'static str {
        let of = self.state.remarks.iter().rev().map(|(_, remark)| remark);
        let last = of
            .filter(|remark| remark.cylinder == Some(cylinder))
            .find(|remark| remark.good.contains(&tick) || remark.bad.contains(&tick));
        match last {
            None => "",
            Some(remark) if remark.bad.contains(&tick) => "NOT GOOD",
            Some(_) => "good",
        }
    }

    fn remarks(&mut self) {
        let sealed = self.entries().find(|kept| matches!(kept.entry, Entry::Seal(_)));
        let sealed = sealed.map(|kept| kept.seq);
        let remarks = self.state.remarks.clone();
        let told = remarks.iter().filter(|(_, remark)| !remark.text.trim().is_empty());
        let told: Vec<&(u64, Remark)> = told.collect();
        if told.is_empty() {
            return;
        }
        self.sheet.heading("Remarks");
        for (seq, remark) in told {
            let mut words = sentence(&remark.text);
            if remark.before_running {
                let settled = self.state.settled.contains(seq);
                words += if settled {
                    " Before running: settled."
                } else {
                    " BEFORE RUNNING: STILL OPEN."
                };
            }
            if let Some(of) = remark.settles {
                let what =
                    if remarks.iter().any(|(seq, _)| *seq == of) { "remark" } else { "reading" };
                words += &format!(" (settles the {what} of {})", self.stamp_of(of));
            }
            if sealed.is_some_and(|sealed| *seq > sealed) {
                let by = remark.by.as_ref().map_or(String::new(), |by| format!(" by {by}"));
                words += &format!(" (added{by} after the session was closed)");
            }
            let label = match remark.cylinder {
                Some(cylinder) => format!("{}, cyl. {cylinder}", self.stamp_of(*seq)),
                None => self.stamp_of(*seq),
            };
            self.sheet.field(&label, &words);
        }
    }
}

fn part_words(state: &State, part: &Part) -> (String, String) {
    let name = match part.part {
        PartKind::Shim => "shim",
        PartKind::Pushrod => "push rod",
        PartKind::Cam => "cam",
        PartKind::Rocker => "rocker",
    };
    let mut words = match (part.out, part.size_only) {
        // Of what was said to be out in an entry of its own.
        (true, true) => format!("that {name}"),
        (true, false) => format!("{name} out"),
        (false, _) => format!("{name} in"),
    };
    let marked = part.marked.is_some() || part.measured.is_none();
    if !part.typed.is_empty() && marked {
        words += &match (part.part, part.marked) {
            (PartKind::Pushrod, Some(size)) if size.nm() == 0 => ", standard length".to_string(),
            (PartKind::Pushrod, Some(size)) => {
                let plus = if size.nm() > 0 { "+" } else { "" };
                format!(", {plus}{} from standard", size.both(LengthUnit::Inch))
            }
            _ if part.typed == Part::SAME_ONE => String::new(),
            _ if part.size_only && part.typed == Part::NOT_TOLD => ", size not told".into(),
            _ => format!(", marked {}", part.typed),
        };
    }
    if part.typed == Part::SAME_ONE {
        words += ", the same one";
    }
    if let Some(measured) = part.measured {
        words += &format!(", measured {}", measured.both(LengthUnit::Mm));
    }
    if let Some(seen) = &part.seen {
        words += &format!("; timing marks: {seen}");
    }
    let of = match (&part.valve, &part.bank) {
        (Some(valve), _) => state.name_of(*valve),
        (None, Some(bank)) => named_bank(bank),
        (None, None) => "engine".into(),
    };
    (of, words)
}
