//! Hardware counted out and in, checklists as they were answered, interruptions, the run.

use super::{Page, sentence};
use crate::domain::entry::{Back, Caution, Entry, Kept, LeftItem, On};
use crate::domain::session::checklist::{DRY, TURNED_THROUGH};
use crate::domain::session::state::RUN_AGAIN;
use crate::domain::session::{LOOSE_THINGS, Session};
use crate::guide::status::where_counted;
use std::collections::BTreeMap;

/// Columns of the hardware's table.
const WIDTHS: [usize; 4] = [20, 34, 9, 9];
const SHORT: &str = "    ";

/// What came off and what was counted last, by bank and item.
#[derive(Default)]
struct Counts<'a> {
    out: BTreeMap<(&'a str, &'a str), u32>,
    counted: BTreeMap<(&'a str, &'a str), u32>,
}

impl<'a> Counts<'a> {
    fn take(&mut self, entry: &'a Entry) {
        match entry {
            Entry::Begin(begin) => {
                for left in &begin.left_open {
                    if let LeftItem::Pieces { bank, item, out, counted_in, .. } = &left.item {
                        self.out.insert((bank, item), *out);
                        self.counted.extend(counted_in.map(|count| ((&**bank, &**item), count)));
                    }
                }
            }
            Entry::Off(off) => {
                let items = off.items.iter();
                self.out.extend(items.map(|(item, out)| ((&*off.bank, &**item), *out)));
            }
            Entry::On(On::Count { bank, item, count }) => {
                self.counted.insert((bank, item), *count);
            }
            _ => {}
        }
    }

    /// Says what is off where: "2 × plug missing, all round"; and whether it is too many.
    fn words(&self, session: &Session, bank: &str, item: &str) -> (String, bool) {
        let of = |counts: &BTreeMap<_, u32>| counts.get(&(bank, item)).copied().unwrap_or(0);
        let (out, counted) = (of(&self.out), of(&self.counted));
        let (off, is_more) = (out.abs_diff(counted), counted > out);
        let what = if is_more { "more than came off" } else { "missing" };
        (format!("{off} × {item} {what}, {}", where_counted(session, bank)), is_more)
    }
}

impl Page<'_> {
    /// What came off and went back, and the checks of closing up.
    pub(super) fn hardware(&mut self) {
        self.sheet.heading("Hardware and closing up");
        let rows: Vec<[String; 4]> = self
            .state
            .out
            .iter()
            .filter(|line| line.out > 0 || line.counted_in.is_some_and(|count| count > 0))
            .map(|line| {
                let counted = line.counted_in.map_or("NOT YET".into(), |count| count.to_string());
                let out = self.out_words(&line.bank, &line.item, line.out);
                [format!("  {}", line.bank), line.item.clone(), out, counted]
            })
            .collect();
        if rows.is_empty() {
            self.sheet.line("  ", "nothing counted out");
        } else {
            self.sheet.row(&["  bank", "item", "out", "in"].map(String::from), &WIDTHS);
        }
        for row in &rows {
            self.sheet.row(row, &WIDTHS);
        }
        self.shortages();
        self.checks();
    }

    /// Writes how many came off, and of how many where the profile lists more: without it, out and in
    /// look whole.
    fn out_words(&self, bank: &str, item: &str, out: u32) -> String {
        let lists = self.state.count_lists();
        let mut listed = lists.iter().filter(|(name, _)| name == bank).flat_map(|(_, items)| items);
        match listed.find(|(name, _)| name == item) {
            Some((_, listed)) if bank != LOOSE_THINGS && out < *listed => {
                format!("{out} of {listed}")
            }
            Some(_) | None => out.to_string(),
        }
    }

    /// Lists what is missing for good, with where it is said to be and by whom.
    pub(super) fn accounted_for(&self) -> Vec<String> {
        let mut counts = Counts::default();
        let mut missing = Vec::new();
        for kept in self.entries() {
            counts.take(&kept.entry);
            if let Entry::On(On::AccountedFor { bank, item, place, by }) = &kept.entry
                && let (words, false) = counts.words(self.session, bank, item)
            {
                missing.push(format!("{words}: {place}; says {by}"));
            }
        }
        missing
    }

    fn shortages(&mut self) {
        let mut counts = Counts::default();
        for kept in self.entries() {
            counts.take(&kept.entry);
            let words = match &kept.entry {
                Entry::On(On::Found { bank, item }) => {
                    format!("{}: found", counts.words(self.session, bank, item).0)
                }
                Entry::On(On::AccountedFor { bank, item, place, by }) => {
                    match counts.words(self.session, bank, item) {
                        (words, true) => format!("{words}: {place}; says {by}"),
                        (words, false) => format!("{words}: accounted for: {place}; says {by}"),
                    }
                }
                _ => continue,
            };
            self.sheet.line("  ", &format!("{words} ({})", self.stamp(kept.at)));
        }
    }

    fn checks(&mut self) {
        let mut last: Vec<(&str, &str, &str)> = Vec::new();
        let mut lifters = 0;
        for kept in self.entries() {
            let Entry::On(On::Check { id, asked, seen, done, .. }) = &kept.entry else { continue };
            if id.starts_with(DRY) {
                lifters += usize::from(*done);
                continue;
            }
            last.retain(|(old, ..)| old != id);
            last.push((id, asked, seen));
        }
        if lifters > 0 {
            let words = format!(
                "Lifters: dry or bled, plunger bottomed, pushed firmly; answered before a reading {lifters} times"
            );
            self.sheet.line("  ", &words);
        }
        let none = last.is_empty();
        for (id, asked, seen) in last {
            let turned = id == TURNED_THROUGH && !self.state.turns_owed;
            let done = turned || self.state.checks.contains_key(id);
            let open = if done { "" } else { " (STILL OPEN)" };
            self.answer(asked, &format!("{seen}{open}"));
        }
        if none {
            self.sheet.line("  ", "not closed up yet");
        }
    }

    fn answer(&mut self, asked: &str, seen: &str) {
        self.sheet.line("  ", asked);
        self.sheet.line("    -> ", seen);
    }

    /// The cautions, each with the last answer.
    pub(super) fn cautions(&mut self) {
        self.sheet.heading("Cautions, as they were answered");
        let mut last: Vec<(&Caution, usize)> = Vec::new();
        for kept in self.entries() {
            let Entry::Caution(caution) = &kept.entry else { continue };
            let times = last.iter().find(|(old, _)| old.id == caution.id).map_or(0, |one| one.1);
            match last.iter_mut().find(|(old, _)| old.id == caution.id) {
                Some(old) => *old = (caution, times + 1),
                None => last.push((caution, 1)),
            }
        }
        if last.is_empty() {
            self.sheet.line("  ", "none was asked");
        }
        for (caution, times) in last {
            let unsafe_state = if caution.safe { "" } else { " (NOT SAFE)" };
            let again = match times {
                1 => String::new(),
                times => format!(" (asked {times} times; this was the last)"),
            };
            self.answer(&caution.asked, &format!("{}{unsafe_state}{again}", caution.seen));
        }
    }

    /// Who left, came back, took over; what happened to the journal.
    pub(super) fn breaks(&mut self) {
        self.sheet.heading("Interruptions");
        let mut none = true;
        for kept in self.entries() {
            if let Some(words) = break_words(kept) {
                let stamp = self.stamp(kept.at);
                self.sheet.field(&stamp, &words);
                none = false;
            }
        }
        if none {
            self.sheet.line("  ", "none");
        }
    }

    /// Every answer of the running check, or why the engine was not run.
    pub(super) fn run(&mut self) {
        self.sheet.heading("Running check");
        if let Some(why) = &self.state.run_skipped {
            self.sheet.line("  ", &format!("NOT RUN: {}", sentence(why)));
        } else if !self.state.has_run() {
            self.sheet.line("  ", "not run yet");
        }
        for kept in self.entries() {
            let Entry::Run(run) = &kept.entry else { continue };
            if run.id == RUN_AGAIN {
                let words = format!("{}: {} ({})", run.asked, run.seen, self.stamp(kept.at));
                self.sheet.line("  ", &words);
                continue;
            }
            let fault = if run.good { String::new() } else { format!(" (FAULT): {}", run.text) };
            self.answer(&run.asked, &format!("{}{fault}", run.seen));
            let left = self.state.run_left.get(&run.id).filter(|_| !run.good);
            if let Some(why) = left {
                self.sheet.line(SHORT, &format!("left as it is: {why}"));
            }
        }
    }
}

fn break_words(kept: &Kept) -> Option<String> {
    match &kept.entry {
        Entry::Away(away) if away.text.is_empty() => Some("called away".into()),
        Entry::Away(away) => Some(format!("called away: {}", away.text)),
        Entry::Back(back) => Some(back_words(back)),
        Entry::Who(who) if who.takes_over => Some(format!("{} took over", who.name)),
        Entry::Recover(recover) => {
            Some(format!("the journal's damaged end was healed ({} bytes set aside)", recover.len))
        }
        Entry::Adopt(adopt) => {
            Some(format!("a reading of {} was taken over from {}", adopt.reading.valve, adopt.file))
        }
        _ => None,
    }
}

fn back_words(back: &Back) -> String {
    let Back { after_min, restart, new_day, clock_jumped } = back;
    let mut words = match after_min {
        Some(minutes) if *minutes >= 120 => format!("back after {} h", minutes / 60),
        Some(minutes) => format!("back after {minutes} min"),
        None => "back".into(),
    };
    for (said, what) in [
        (restart, "program started again"),
        (new_day, "another day"),
        (clock_jumped, "the clock jumped"),
    ] {
        if *said {
            words += &format!(", {what}");
        }
    }
    words
}
