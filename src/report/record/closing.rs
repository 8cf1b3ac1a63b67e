//! Hardware counted out and in, checklists as they were answered, interruptions, the run.

use super::{Page, sentence};
use crate::domain::entry::{Back, Caution, Entry, Kept, LeftItem, On};
use crate::domain::session::checklist::{CAUSE, DRY, RAN_MEANWHILE, TURNED_THROUGH};
use crate::domain::session::state::RUN_AGAIN;
use crate::domain::session::{LOOSE_THINGS, Session};
use crate::guide::counter::told_words;
use crate::guide::status::where_counted;

/// Columns of the hardware's table.
const WIDTHS: [usize; 4] = [20, 34, 9, 9];
const SHORT: &str = "    ";

/// Pieces that came off together, as the entries tell of them.
struct Pieces<'a> {
    bank: &'a str,
    item: &'a str,
    out: u32,
    counted: Option<u32>,
    settled: bool,
    /// What is missing of how many for good.
    missing: Vec<(u32, String)>,
}

/// What came off and what was counted last.
#[derive(Default)]
struct Counts<'a> {
    lines: Vec<Pieces<'a>>,
}

impl<'a> Counts<'a> {
    /// Takes in an entry; returns what it says of pieces that are missing or too many.
    fn take(&mut self, session: &Session, entry: &'a Entry) -> Option<String> {
        match entry {
            Entry::Begin(begin) => {
                for left in &begin.left_open {
                    if let LeftItem::Pieces { bank, item, out, counted_in, .. } = &left.item {
                        self.came_off((bank, item), *out, *counted_in);
                    }
                }
            }
            Entry::Off(off) => {
                for (item, out) in &off.items {
                    self.counted_out((&off.bank, item), *out);
                }
            }
            Entry::On(On::Count { bank, item, count }) => self.counted_in((bank, item), *count),
            Entry::On(On::Found { bank, item }) => {
                let line = self.unsettled((bank, item))?;
                line.settled = true;
                return Some(format!("{}: found", line.words(session).0));
            }
            Entry::On(On::AccountedFor { bank, item, place, by }) => {
                let line = self.unsettled((bank, item))?;
                line.settled = true;
                let (words, is_more) = line.words(session);
                if is_more {
                    return Some(format!("{words}: {place}; says {by}"));
                }
                line.missing.retain(|(of, _)| *of != line.out);
                line.missing.push((line.out, format!("{words}: {place}; says {by}")));
                return Some(format!("{words}: accounted for: {place}; says {by}"));
            }
            _ => {}
        }
        None
    }

    fn came_off(&mut self, (bank, item): (&'a str, &'a str), out: u32, counted: Option<u32>) {
        let (settled, missing) = (false, Vec::new());
        self.lines.push(Pieces { bank, item, out, counted, settled, missing });
    }

    /// A second count takes the place of the first; what is missing since stays missing.
    fn counted_out(&mut self, of: (&'a str, &'a str), out: u32) {
        let mut missing = Vec::new();
        self.lines.retain_mut(|line| {
            let goes = line.is_of(of) && (line.settled || line.counted.is_none());
            if goes {
                missing.append(&mut line.missing);
            }
            !goes
        });
        self.came_off(of, out, None);
        if let Some(line) = self.lines.last_mut() {
            line.missing = missing;
        }
    }

    fn counted_in(&mut self, of: (&str, &str), count: u32) {
        if self.unsettled(of).is_none() {
            // Work went on, and all is counted in anew.
            for line in self.lines.iter_mut().filter(|line| line.is_of(of)) {
                (line.counted, line.settled) = (None, false);
            }
        }
        if let Some(line) = self.unsettled(of) {
            (line.counted, line.settled) = (Some(count), count == line.out);
            line.missing.retain(|(out, _)| *out > count);
        }
    }

    fn unsettled(&mut self, of: (&str, &str)) -> Option<&mut Pieces<'a>> {
        self.lines.iter_mut().find(|line| line.is_of(of) && !line.settled)
    }
}

impl Pieces<'_> {
    fn is_of(&self, of: (&str, &str)) -> bool {
        (self.bank, self.item) == of
    }

    /// Says what is off where: "2 × plug missing, all round"; and whether it is too many.
    fn words(&self, session: &Session) -> (String, bool) {
        let counted = self.counted.unwrap_or(0);
        let (off, is_more) = (self.out.abs_diff(counted), counted > self.out);
        let what = if is_more { "more than came off" } else { "missing" };
        (format!("{off} × {} {what}, {}", self.item, where_counted(session, self.bank)), is_more)
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
        for kept in self.entries() {
            counts.take(self.session, &kept.entry);
        }
        let missing = counts.lines.into_iter().flat_map(|line| line.missing);
        missing.map(|(_, words)| words).collect()
    }

    fn shortages(&mut self) {
        let mut counts = Counts::default();
        for kept in self.entries() {
            if let Some(words) = counts.take(self.session, &kept.entry) {
                self.sheet.line("  ", &format!("{words} ({})", self.stamp(kept.at)));
            }
        }
    }

    fn checks(&mut self) {
        let mut last: Vec<(&str, &str, &str, bool)> = Vec::new();
        let mut lifters = 0;
        for kept in self.entries() {
            let Entry::On(On::Check { id, asked, seen, done, .. }) = &kept.entry else { continue };
            if id.starts_with(DRY) {
                lifters += usize::from(*done);
                continue;
            }
            last.retain(|(old, ..)| old != id);
            last.push((id, asked, seen, id == CAUSE && *done));
        }
        if lifters > 0 {
            let words = format!(
                "Lifters: dry or bled, plunger bottomed, pushed firmly; answered before a reading {lifters} times"
            );
            self.sheet.line("  ", &words);
        }
        let none = last.is_empty();
        for (id, asked, seen, found) in last {
            let turned = id == TURNED_THROUGH && !self.state.turns_owed;
            let done = found || turned || self.state.checks.contains_key(id);
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
            if run.id == RUN_AGAIN || run.id == RAN_MEANWHILE {
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
    let Back { after_min, restart, new_day, clock_jumped, counter } = back;
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
    words + &counter.map(|told| format!("; {}", told_words(told))).unwrap_or_default()
}
