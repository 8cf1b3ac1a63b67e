//! Hardware counted out and in, bank by bank.

use super::Session;
use super::checklist::{CAUSE, DRY, PLUGS_IN, TURNED_THROUGH};
use super::decide::{Decided, one, text};
use super::due::{Due, LOOSE_THINGS, TEST_THINGS};
use super::input::Input;
use super::refusal::Refusal;
use super::state::State;
use crate::domain::entry::{Entry, Kept, Off, On, Remark};
use crate::domain::profile::Shape;
use crate::domain::valve::Cylinder;

/// What lies about of each cylinder whose plug is out.
pub const PLUG: &str = "plug";
/// What covers its hole.
pub const BLANK: &str = "plug-hole blank";
/// How the remark on what was missing before anything came off begins.
pub const MISSING_ALREADY: &str = "missing already";
/// What comes off first of a bank.
pub(super) const COVER: &str = "cover";
/// More pieces than any engine has of one kind.
const PIECES_MAX: u32 = 9999;

/// A count of hardware that is out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutCount {
    /// The bank.
    pub bank: String,
    /// The item.
    pub item: String,
    /// How many came off.
    pub out: u32,
    /// How many were counted in, where counted.
    pub counted_in: Option<u32>,
    /// Found, or accounted for.
    pub settled: bool,
    /// How many of them another service took off.
    pub before: u32,
}

impl State {
    pub(super) fn due_count_out(&self) -> Option<Due> {
        self.count_lists().into_iter().find(|(bank, _)| !self.banks_off.contains(bank)).map(
            |(bank, mut items)| {
                for (item, listed) in &mut items {
                    *listed = (*listed).max(self.off_before(&bank, item));
                }
                Due::CountOut(bank, items)
            },
        )
    }

    /// Counts the pieces of a bank that came off before and are not counted in yet.
    pub fn off_already(&self, bank: &str, item: &str) -> u32 {
        self.still_off(bank, item, |line| line.out)
    }

    fn still_off(&self, bank: &str, item: &str, of: impl Fn(&OutCount) -> u32) -> u32 {
        let lines = self.out.iter().filter(|line| line.counted_in.is_none());
        let here = lines.filter(|line| line.bank == bank && line.item == item);
        here.fold(0, |sum: u32, line| sum.saturating_add(of(line)))
    }

    /// Lists what lies about where nothing of what another service left lying is used in this one.
    pub fn lying_besides(&self) -> Vec<(String, u32)> {
        let own = self.loose_things().into_iter();
        own.map(|(item, own)| {
            let left = self.off_before(LOOSE_THINGS, &item);
            (item, own.saturating_add(left))
        })
        .collect()
    }

    /// Counts the pieces that a new count of a bank is at least. What lies about is another leaf set
    /// or other plugs now, as the case may be; but not what another service left lying.
    pub(super) fn off_before(&self, bank: &str, item: &str) -> u32 {
        let loose = bank == LOOSE_THINGS;
        self.still_off(bank, item, |line| if loose { line.before } else { line.out })
    }

    /// Lists what was missing before anything came off, here or in a service before, and is neither
    /// found nor given up.
    pub fn missing_already(&self) -> Vec<&str> {
        let open = self
            .remarks
            .iter()
            .filter(|(seq, remark)| remark.before_running && !self.settled.contains(seq));
        let texts = open.map(|(_, remark)| remark.text.as_str());
        texts.filter_map(|text| text.find(MISSING_ALREADY).and_then(|at| text.get(at..))).collect()
    }

    /// Tells whether some plugs are out and nobody but the mechanic knows how many: on a radial those
    /// of the low cylinders.
    pub fn some_plugs_out(&self) -> bool {
        self.facts().layout.shape == Shape::Radial && self.plugs_answered(2)
    }

    /// Tells whether it is turned against compression: plugs stay in, all or, on a radial, those of the
    /// higher cylinders.
    pub fn plugs_stayed_in(&self) -> bool {
        self.plugs_answered(2)
    }

    fn plugs_answered(&self, digit: u8) -> bool {
        self.cautions.get("plugs").is_some_and(|(answered, _)| *answered == digit)
    }

    /// Lists what is counted out, bank by bank, with what the profile expects.
    pub fn count_lists(&self) -> Vec<(String, Vec<(String, u32)>)> {
        let facts = self.facts();
        let open = self.opened_up();
        let mut lists: Vec<_> = facts
            .layout
            .banks
            .iter()
            .filter_map(|bank| {
                let here = self.off_of(&bank.cylinders, &open).len();
                (here > 0).then(|| (bank.name.clone(), self.cover_hardware(here)))
            })
            .collect();
        lists.push((LOOSE_THINGS.into(), self.loose_things()));
        lists.extend(self.test_things.then(|| (TEST_THINGS.into(), self.test_kit())));
        lists
    }

    /// Lists the cylinders of a bank whose covers come off, or are off.
    pub fn opened_in(&self, bank: &str) -> Vec<Cylinder> {
        let open = self.opened_up();
        let banks = self.facts().layout.banks.iter().filter(|one| one.name == bank);
        banks.flat_map(|bank| self.off_of(&bank.cylinders, &open)).collect()
    }

    fn off_of(&self, cylinders: &[Cylinder], open: &[Cylinder]) -> Vec<Cylinder> {
        let off = |one: &Cylinder| open.contains(one) || self.uncovered.contains(one);
        cylinders.iter().copied().filter(off).collect()
    }

    fn cover_hardware(&self, cylinders: usize) -> Vec<(String, u32)> {
        let facts = self.facts();
        // One cover over several cylinders comes off whole.
        let covers = u64::from(facts.covers.count) * u64::try_from(cylinders).unwrap_or(0);
        let covers = covers.div_ceil(u64::try_from(facts.cylinders().max(1)).unwrap_or(1));
        let covers = u32::try_from(covers).unwrap_or(PIECES_MAX);
        let hardware = facts.covers.hardware.iter();
        let mut items = vec![(COVER.to_string(), covers)];
        items.extend(hardware.map(|item| (item.item.clone(), item.each.saturating_mul(covers))));
        items
    }

    /// Lists the cylinders whose covers come off: those in scope, those of which a nut is locked, and
    /// those watched or unloaded while they are gauged.
    pub(super) fn opened_up(&self) -> Vec<Cylinder> {
        // What was opened for the whole plan is not opened anew for the rest of it.
        let whole = self.plan.as_ref().map_or(&[][..], |plan| &plan.stops);
        let rest = self.rest.as_ref().map_or(&[][..], |rest| &rest.plan.stops);
        let visited = whole
            .iter()
            .chain(rest)
            .filter(|stop| stop.gauge.iter().any(|gauge| self.serviced(gauge.valve)))
            .flat_map(|stop| {
                let held = stop.unload.iter().map(|valve| valve.cylinder);
                held.chain(std::iter::once(stop.watch))
            });
        let scope = self.facts().firing_order.iter().copied();
        scope.filter(|&cylinder| self.services(cylinder)).chain(visited).collect()
    }

    /// Runs a change of scope, plan or nuts; a bank of which more covers come off now is counted anew.
    pub(super) fn counting_again(&mut self, change: impl FnOnce(&mut State)) {
        let before = self.opened_up();
        change(self);
        let more: Vec<Cylinder> =
            self.opened_up().into_iter().filter(|cylinder| !before.contains(cylinder)).collect();
        for bank in &self.profile.profile.layout.banks {
            // A cover that was counted out stays out, though its cylinder leaves the scope.
            if self.banks_off.contains(&bank.name) {
                let here = before.iter().filter(|cylinder| bank.cylinders.contains(cylinder));
                self.uncovered.extend(here);
            }
            if bank.cylinders.iter().any(|cylinder| more.contains(cylinder)) {
                self.banks_off.remove(&bank.name);
            }
        }
    }

    /// Runs a change of what may lie about; where that is more now, it is counted anew. Closed up, with
    /// things out for a leak test, it is those that may be more.
    pub(super) fn counting_loose<T>(&mut self, change: impl FnOnce(&mut State) -> T) {
        let before = self.lies_about_now();
        change(self);
        let (bank, now) = self.lies_about_now();
        let was = |item: &str| before.1.iter().find(|one| one.0 == item).map_or(0, |one| one.1);
        if bank == before.0 && now.iter().any(|(item, now)| *now > was(item)) {
            self.banks_off.remove(bank);
        }
    }

    fn lies_about_now(&self) -> (&'static str, Vec<(String, u32)>) {
        if self.test_things {
            (TEST_THINGS, self.test_kit())
        } else {
            (LOOSE_THINGS, self.loose_things())
        }
    }

    /// Work goes on after pieces were counted in: a leaf, a rag and tools are out again, and nobody
    /// knows which. What is missing stays missing.
    pub(super) fn count_in_anew(&mut self) {
        for line in self.out.iter_mut().filter(|line| !line.short()) {
            line.before = line.counted_in.take().map_or(line.before, |_| 0);
            line.settled = false;
        }
    }

    /// Counts the plugs that were said to be out. Of those of the low cylinders only so much is known: it
    /// is not none.
    fn plugs_out(&self) -> u32 {
        if self.plugs_answered(1) {
            u32::try_from(self.facts().cylinders()).unwrap_or(0)
        } else {
            u32::from(self.some_plugs_out())
        }
    }

    fn loose_things(&self) -> Vec<(String, u32)> {
        let plugs = self.plugs_out();
        let leaves = self.leaves.as_ref().map_or(0, |set| set.leaves.len());
        vec![
            (PLUG.into(), plugs),
            (BLANK.into(), plugs),
            ("rag".into(), 1),
            ("tool".into(), 3),
            ("feeler leaf".into(), u32::try_from(leaves).unwrap_or(0)),
        ]
    }

    /// What goes out for the leak tests that are owed, where nobody says otherwise: with the plugs that
    /// were said to be out for it, and what covers their holes.
    fn test_kit(&self) -> Vec<(String, u32)> {
        let owed = u32::try_from(self.tests_owed().max(1)).unwrap_or(PIECES_MAX);
        let out = self.plugs_out();
        let mut kit = vec![(PLUG.into(), owed.max(out))];
        kit.extend((out > 0).then(|| (BLANK.into(), out)));
        kit.extend([("leak tester".into(), 1), ("tool".into(), 2)]);
        kit
    }

    pub(super) fn counted_out(&mut self, off: &Off) {
        off.items.iter().for_each(|(item, out)| self.pieces_came_off(item, *out));
        self.banks_off.insert(off.bank.clone());
        let counted = off.items.iter().map(|(item, out)| OutCount {
            bank: off.bank.clone(),
            item: item.clone(),
            out: *out,
            counted_in: None,
            settled: false,
            before: self.still_off(&off.bank, item, |line| line.before).min(*out),
        });
        let counted: Vec<OutCount> = counted.collect();
        // A shortage stays open, whatever is counted out after it; and so does what another service
        // took off and this count does not speak of.
        let spoken_of = |line: &OutCount| off.items.iter().any(|(item, _)| *item == line.item);
        self.out.retain(|line| {
            line.bank != off.bank || line.short() || (line.before > 0 && !spoken_of(line))
        });
        self.out.extend(counted);
    }

    pub(super) fn counted_in(&mut self, on: &On) {
        match on {
            On::Count { bank, item, count } => {
                self.closed_over();
                if let Some(line) = self.out_line(bank, item) {
                    line.counted_in = Some(*count);
                    line.settled = *count == line.out;
                }
            }
            On::Found { bank, item } | On::AccountedFor { bank, item, .. } => {
                if let Some(line) = self.out_line(bank, item) {
                    line.settled = true;
                }
            }
            On::Check { id, digit, seen, done, .. } => {
                self.felt_as_it_turned(id, *digit, *done);
                if !*done || id == CAUSE {
                    return;
                }
                if id == TURNED_THROUGH {
                    self.turned_through();
                } else if let Some(valve) = self.valve_of_check(DRY, id) {
                    self.dry.insert(valve);
                } else {
                    self.closed_over();
                    self.test_things &= id != PLUGS_IN;
                    self.checks.insert(id.clone(), seen.clone());
                    self.put_back(id);
                }
            }
        }
    }

    fn out_line(&mut self, bank: &str, item: &str) -> Option<&mut OutCount> {
        let mut open = self.out.iter_mut().filter(|line| !line.settled);
        open.find(|line| line.bank == bank && line.item == item)
    }

    pub(super) fn due_count_in(&self) -> Option<Due> {
        if let Some(short) = self.out.iter().find(|line| line.short()) {
            return Some(Due::Shortage {
                bank: short.bank.clone(),
                item: short.item.clone(),
                out: short.out,
                counted: short.counted_in.unwrap_or(0),
            });
        }
        let line = self.out.iter().find(|line| line.counted_in.is_none() && line.out > 0)?;
        let out = self.off_already(&line.bank, &line.item);
        Some(Due::CountIn { bank: line.bank.clone(), item: line.item.clone(), out })
    }

    /// What several services took off one bank lies there together, and is counted in as one: counted out
    /// as one first, all of that bank.
    fn as_one(&self, bank: &str) -> Option<Entry> {
        let off = self.out.iter().filter(|line| line.bank == bank && line.counted_in.is_none());
        let mut items: Vec<(String, u32)> = Vec::new();
        let mut lines = 0;
        for line in off {
            lines += 1;
            if !items.iter().any(|(item, _)| *item == line.item) {
                items.push((line.item.clone(), self.off_already(bank, &line.item)));
            }
        }
        (items.len() < lines).then(|| Entry::Off(Off { bank: bank.into(), items }))
    }

    /// A second count of a bank is of all that is off there, and takes the place of the first: what
    /// came off before is not forgotten by it. And plugs that are said to be out are counted.
    fn none_lost(
        &self,
        bank: &str,
        items: &[(String, u32)],
        counts: &[u32],
    ) -> Result<(), Refusal> {
        let loose = bank == LOOSE_THINGS;
        for ((item, _), &count) in items.iter().zip(counts) {
            let off = self.off_before(bank, item);
            if count < off && loose {
                return Err(Refusal::Unreadable(format!(
                    "{off} × {item} were left lying: count those too. What is not found is missing \
                     when all is counted in"
                )));
            }
            if count < off {
                return Err(Refusal::Unreadable(format!(
                    "{off} × {item} came off before: count all that is off, those too"
                )));
            }
            if loose && item == PLUG && count == 0 && self.some_plugs_out() {
                let words = "plugs of the low cylinders are out: count them, and their blanks";
                return Err(Refusal::Unreadable(words.into()));
            }
        }
        Ok(())
    }

    pub(super) fn decide_count(&self, input: &Input) -> Decided {
        match (input, self.due()) {
            (Input::CountOut(counts), Due::CountOut(bank, items)) => {
                self.none_lost(&bank, &items, counts)?;
                one(counted(bank, items, counts)?)
            }
            (Input::CountOutShort(counts), Due::CountOut(bank, items)) => {
                self.none_lost(&bank, &items, counts)?;
                let missing = missing_already(&bank, &items, counts).ok_or(Refusal::NotNow)?;
                let off = counted(bank, items, counts)?;
                Ok(vec![Entry::Remark(missing), off])
            }
            (Input::CountIn(count), Due::CountIn { bank, item, .. }) => {
                plausible(*count)?;
                let as_one = self.as_one(&bank).into_iter();
                Ok(as_one.chain([Entry::On(On::Count { bank, item, count: *count })]).collect())
            }
            (Input::CountIn(count), Due::Shortage { bank, item, .. }) => {
                plausible(*count)?;
                one(Entry::On(On::Count { bank, item, count: *count }))
            }
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
}

impl Session {
    /// Returns the remark on what was missing already that the same answer made as this count.
    pub(super) fn missing_by(&self, count: &Kept) -> Option<&Kept> {
        let Entry::Off(off) = &count.entry else { return None };
        let remark = self.kept.iter().rev().find(|kept| kept.seq < count.seq)?;
        let by_it = matches!(&remark.entry, Entry::Remark(remark)
            if remark.before_running && remark.text.starts_with(&when_opened(&off.bank)));
        (by_it && !self.is_void(remark.seq)).then_some(remark)
    }
}

fn counted(bank: String, items: Vec<(String, u32)>, counts: &[u32]) -> Result<Entry, Refusal> {
    if counts.len() != items.len() {
        return Err(Refusal::WrongCounts { wanted: items.len() });
    }
    counts.iter().try_for_each(|&count| plausible(count))?;
    let items = items.into_iter().map(|(item, _)| item).zip(counts.iter().copied()).collect();
    Ok(Entry::Off(Off { bank, items }))
}

/// Remarks what the profile has and did not come off; it has to be seen to before the run.
fn missing_already(bank: &str, items: &[(String, u32)], counts: &[u32]) -> Option<Remark> {
    let missing = items.iter().zip(counts).filter(|((_, listed), count)| *count < listed);
    let missing: Vec<String> = missing
        .map(|((item, listed), count)| {
            format!("{} {item} (the profile has {listed})", listed.saturating_sub(*count))
        })
        .collect();
    let text = format!("{}{}", when_opened(bank), missing.join(", "));
    (!missing.is_empty()).then(|| Remark { text, before_running: true, ..Remark::default() })
}

fn when_opened(bank: &str) -> String {
    format!("{MISSING_ALREADY} when {bank} was opened: ")
}

fn plausible(count: u32) -> Result<(), Refusal> {
    if count <= PIECES_MAX {
        return Ok(());
    }
    Err(Refusal::Unreadable(format!("{count} pieces are more than any engine has: count again")))
}

impl OutCount {
    /// Tells whether it was counted in and the count disagrees.
    pub fn short(&self) -> bool {
        self.counted_in.is_some() && !self.settled
    }
}
