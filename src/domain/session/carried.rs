//! What an ended session or another version left open stays open in the session that comes after:
//! a nut does not tighten, and a part does not go in, because a file was closed.

use super::counts::{COVER, OutCount};
use super::due::LOOSE_THINGS;
use super::leak::promise_in_short;
use super::open::OpenItem;
use super::parts::OutPart;
use super::state::State;
use crate::domain::entry::{LeftItem, LeftOpen, Part};
use crate::domain::valve::Valve;

/// How a remark begins that was handed on by another session, or another version of this one.
pub const HANDED_ON: &str = "left open by ";

/// Returns a bank without the service that it is left open by.
pub fn bank_alone(bank: &str) -> &str {
    bank.split_once(LEFT_BY).map_or(bank, |(bank, _)| bank)
}

/// Tells whether a remark was handed on.
pub fn is_handed_on(remark: &str) -> bool {
    remark.starts_with(HANDED_ON)
}

/// What a remark that was handed on tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HandedOn<'a> {
    /// The session's name, or "version B".
    pub from: &'a str,
    /// The day of that session, and its time where another one was on that day; earlier versions wrote none.
    pub day: Option<&'a str>,
    /// What it left open.
    pub item: &'a str,
}

/// Words a remark by which something is handed on from a session of this day; of a version no day.
pub fn hand_on(from: &str, day: Option<&str>, item: &str) -> String {
    let day = day.map_or_else(String::new, |day| format!(", {day}"));
    format!("{HANDED_ON}{from}{day}: {item}")
}

/// Reads a remark that was handed on; `None` where it was not.
pub fn handed_on(remark: &str) -> Option<HandedOn<'_>> {
    let (from, item) = remark.strip_prefix(HANDED_ON)?.split_once(": ")?;
    let is_day = |text: &str| {
        ["2000-01-01", "2000-01-01 00:00"].iter().any(|form| {
            let fits = |(of, one): (char, char)| match of {
                '0'..='9' => one.is_ascii_digit(),
                of => of == one,
            };
            text.len() == form.len() && form.chars().zip(text.chars()).all(fits)
        })
    };
    Some(match from.rsplit_once(", ").filter(|(_, day)| is_day(day)) {
        Some((from, day)) => HandedOn { from, day: Some(day), item },
        None => HandedOn { from, day: None, item },
    })
}

/// Says a remark for a narrow line: what it is about first, and of one that was handed on since when last.
pub fn remark_in_short(remark: &str) -> String {
    let Some(HandedOn { from, day, item }) = handed_on(remark) else {
        return promise_in_short(remark);
    };
    let since = day.map_or_else(|| format!("by {from}"), String::from);
    format!("{}, left open {since}", promise_in_short(item))
}

/// Between a bank and the session of which pieces are missing there.
pub(super) const LEFT_BY: &str = ", left open by ";

impl State {
    /// Lists what is open here as the next session takes it over; remarks come on their own.
    pub fn left_open(&self, from: &str) -> Vec<LeftOpen> {
        let slack = self.nuts.keys().copied().filter(|&valve| self.nut_slack(valve));
        let mut items: Vec<LeftItem> = slack.map(LeftItem::NutSlack).collect();
        items.extend(self.unloaded.iter().copied().map(LeftItem::Unloaded));
        items.extend(self.parts_out.iter().map(|out| {
            let OutPart { valve, part, bank } = out.clone();
            let sizes =
                valve.and_then(|valve| self.undone.sizes_out.get(&(valve, part.capitals())));
            let (marked, measured) = sizes.copied().unwrap_or_default();
            LeftItem::PartOut { valve, part, bank, marked, measured }
        }));
        let held = self.held_open_by_parts().into_iter();
        items.extend(held.map(|(valve, _)| LeftItem::HeldOpen(valve)));
        items.extend(self.felt_by_hand().map(|or_hiss| LeftItem::StopFelt { or_hiss }));
        items.extend(self.must_turn_through().then_some(LeftItem::TurnsOwed));
        items.extend(self.hold_downs_owed().map(|cylinder| self.hold_down_left(cylinder)));
        items.extend(self.gauged_after());
        items.extend(
            self.out.iter().filter(|line| line.is_open()).map(|line| self.pieces(line, from)),
        );
        items.into_iter().map(|item| LeftOpen { from: from.into(), item }).collect()
    }

    /// Covers of which nothing was counted in are still off. What else was not counted in keeps its
    /// name: it is counted out once more, with all that is off then, and so is counted once. A count
    /// that disagrees stands on its own, beside what this service counts out.
    fn pieces(&self, line: &OutCount, from: &str) -> LeftItem {
        let its = || self.out.iter().filter(|other| other.bank == line.bank);
        let whole = self.facts().layout.banks.iter().any(|bank| bank.name == line.bank)
            && its().all(|other| other.counted_in.is_none() && !other.settled);
        let bank = if line.counted_in.is_none() || line.bank.contains(LEFT_BY) {
            line.bank.clone()
        } else {
            format!("{}{LEFT_BY}{from}", line.bank)
        };
        let (item, out, counted_in) = (line.item.clone(), line.out, line.counted_in);
        LeftItem::Pieces { bank, item, out, counted_in, whole }
    }

    /// Tells whether this engine, as its profile has it now, can have a thing open.
    pub fn can_carry(&self, item: &LeftItem) -> bool {
        let known = |valve: &Valve| self.facts().valves().contains(valve);
        match item {
            LeftItem::NutSlack(valve) => self.has_screws() && known(valve),
            LeftItem::Unloaded(valve)
            | LeftItem::HeldOpen(valve)
            | LeftItem::GaugeAfter { valve, .. } => known(valve),
            LeftItem::PartOut { valve, bank, .. } => {
                let banks = &self.facts().layout.banks;
                valve.as_ref().is_none_or(known)
                    && bank.as_ref().is_none_or(|bank| banks.iter().any(|one| one.name == *bank))
            }
            LeftItem::HoldDown(cylinder) | LeftItem::NutsNotTight(cylinder) => {
                self.facts().firing_order.contains(cylinder)
            }
            LeftItem::StopFelt { .. } | LeftItem::TurnsOwed | LeftItem::Pieces { .. } => true,
        }
    }

    /// Tells whether a thing is open here already, or was taken over from another version before.
    pub fn knows_of(&self, item: &LeftItem) -> bool {
        let carried = self.begin.left_open.iter().map(|left| &left.item);
        let open = self.left_open("");
        let mut known = open.iter().map(|left| &left.item).chain(carried);
        known.any(|known| known.is_like(item))
    }

    /// Tells whether the nut of a valve was left slack before this service.
    pub fn left_slack(&self, valve: Valve) -> bool {
        let mut left = self.begin.left_open.iter();
        left.any(|left| left.item == LeftItem::NutSlack(valve))
    }

    /// Lists what was taken over and is still open, with whose it was.
    pub fn still_left(&self) -> Vec<(&str, OpenItem)> {
        let open = self.open_items();
        let left = self.begin.left_open.iter();
        left.map(|left| (left.from.as_str(), OpenItem::from(&left.item)))
            .filter(|(_, item)| open.contains(item))
            .collect()
    }

    pub(super) fn carry(&mut self, seq: u64, left_open: &[LeftOpen]) {
        for LeftOpen { from, item } in left_open {
            self.carry_one(seq, from, item);
        }
        self.begin.left_open.extend_from_slice(left_open);
    }

    /// Counts out the banks of which all covers are off already by what was left open.
    pub(super) fn off_already_whole(&mut self, left_open: &[LeftOpen]) {
        // Of which all covers are off already is not counted out; where only some are, the others are.
        for (bank, items) in self.count_lists() {
            let covers =
                |(item, all): &(String, u32)| item != COVER || self.off_before(&bank, item) >= *all;
            if left_open.iter().any(|left| left.item.is_whole(&bank)) && items.iter().all(covers) {
                self.banks_off.insert(bank);
            }
        }
    }

    fn carry_one(&mut self, seq: u64, from: &str, item: &LeftItem) {
        match item {
            LeftItem::NutSlack(valve) => {
                // What such a valve reads is no clearance that it ran with.
                if self.found(*valve).is_none() {
                    self.lose_as_found(seq, *valve, format!("the nut was left slack by {from}"));
                } else {
                    self.slacken(seq, *valve);
                }
            }
            LeftItem::Unloaded(valve) => {
                self.unloaded.insert(*valve);
            }
            LeftItem::PartOut { valve, part, bank, marked, measured } => {
                let (valve, part, bank) = (*valve, *part, bank.clone());
                let (marked, measured, seen) = (*marked, *measured, None);
                // What was told there is not asked anew here.
                let told = marked.or(measured).map_or("", |_| Part::SAME_ONE);
                let typed = told.into();
                let (out, size_only, undoes_less) = (true, false, false);
                let out = Part {
                    valve,
                    part,
                    out,
                    marked,
                    measured,
                    typed,
                    bank,
                    seen,
                    size_only,
                    undoes_less,
                };
                self.part(seq, &out);
            }
            LeftItem::HeldOpen(valve) => self.carry_held_open(seq, from, *valve),
            LeftItem::StopFelt { or_hiss } => self.felt_before(*or_hiss),
            LeftItem::TurnsOwed => {
                self.turned_through();
                self.turns_owed = true;
            }
            LeftItem::HoldDown(cylinder) => self.carry_hold_down(*cylinder),
            LeftItem::NutsNotTight(cylinder) => self.found_loose(*cylinder),
            LeftItem::GaugeAfter { valve, worked } => self.carry_gauge_after(from, *valve, *worked),
            LeftItem::Pieces { bank, item, out, counted_in, whole: _ } => {
                self.pieces_came_off(item, *out);
                self.out.push(OutCount {
                    bank: bank.clone(),
                    item: item.clone(),
                    out: *out,
                    counted_in: *counted_in,
                    settled: false,
                    before: counted_in.map_or(*out, |_| 0),
                });
            }
        }
    }

    /// Lists what lies about since before this service and is not counted in, with whose it was.
    pub fn left_lying(&self) -> Vec<(&str, &str, u32)> {
        let left = self.begin.left_open.iter().filter_map(|left| match &left.item {
            LeftItem::Pieces { bank, item, out, counted_in: None, .. } if bank == LOOSE_THINGS => {
                let still = self.off_before(bank, item) > 0;
                (still && *out > 0).then_some((left.from.as_str(), item.as_str(), *out))
            }
            LeftItem::Pieces { .. }
            | LeftItem::NutSlack(_)
            | LeftItem::Unloaded(_)
            | LeftItem::PartOut { .. }
            | LeftItem::HeldOpen(_)
            | LeftItem::StopFelt { .. }
            | LeftItem::TurnsOwed
            | LeftItem::HoldDown(_)
            | LeftItem::NutsNotTight(_)
            | LeftItem::GaugeAfter { .. } => None,
        });
        left.collect()
    }
}

impl From<&LeftItem> for OpenItem {
    fn from(item: &LeftItem) -> OpenItem {
        match item.clone() {
            LeftItem::NutSlack(valve) => OpenItem::NutSlack(valve),
            LeftItem::Unloaded(valve) => OpenItem::Unloaded(valve),
            LeftItem::PartOut { valve, part, bank, .. } => {
                OpenItem::PartOut(OutPart { valve, part, bank })
            }
            LeftItem::HeldOpen(valve) => OpenItem::HeldOpen(valve),
            LeftItem::StopFelt { or_hiss } => OpenItem::StopFelt { or_hiss },
            LeftItem::TurnsOwed => OpenItem::TurnsOwed,
            LeftItem::HoldDown(cylinder) => OpenItem::HoldDown(cylinder),
            LeftItem::NutsNotTight(cylinder) => OpenItem::NutsNotTight(cylinder),
            LeftItem::GaugeAfter { valve, .. } => OpenItem::GaugeAfter(valve),
            LeftItem::Pieces { bank, item, out, counted_in: Some(counted), .. } => {
                OpenItem::of_count(&bank, &item, out, counted)
            }
            LeftItem::Pieces { out, counted_in: None, .. } => {
                OpenItem::NotCountedIn { pieces: out }
            }
        }
    }
}

impl OutCount {
    /// Tells whether pieces are off, or the count disagrees.
    fn is_open(&self) -> bool {
        self.short() || (self.counted_in.is_none() && self.out > 0)
    }
}

impl LeftItem {
    /// Tells whether it is no piece at all.
    pub fn is_none(&self) -> bool {
        matches!(self, LeftItem::Pieces { out: 0, counted_in: None, .. })
    }

    /// Tells whether it is the very same; of a part, whether its size was told or not.
    pub fn is_same(&self, other: &LeftItem) -> bool {
        let parts = matches!((self, other), (LeftItem::PartOut { .. }, LeftItem::PartOut { .. }));
        self == other || parts && self.is_like(other)
    }

    /// Tells whether it is of a bank of which nothing was counted in.
    fn is_whole(&self, of: &str) -> bool {
        matches!(self, LeftItem::Pieces { bank, whole: true, .. } if bank == of)
    }

    /// Tells whether two sessions speak of the same thing. Pieces are the same by bank and item.
    fn is_like(&self, other: &LeftItem) -> bool {
        match (self, other) {
            (
                LeftItem::Pieces { bank, item, .. },
                LeftItem::Pieces { bank: bank_there, item: item_there, .. },
            ) => bank_alone(bank) == bank_alone(bank_there) && item == item_there,
            // Whose size was told here or there is the same part.
            (LeftItem::PartOut { .. }, LeftItem::PartOut { .. }) => {
                OpenItem::from(self) == OpenItem::from(other)
            }
            (LeftItem::GaugeAfter { valve, .. }, LeftItem::GaugeAfter { valve: there, .. }) => {
                valve == there
            }
            (
                LeftItem::NutSlack(_)
                | LeftItem::Unloaded(_)
                | LeftItem::PartOut { .. }
                | LeftItem::HeldOpen(_)
                | LeftItem::StopFelt { .. }
                | LeftItem::TurnsOwed
                | LeftItem::GaugeAfter { .. }
                | LeftItem::HoldDown(_)
                | LeftItem::NutsNotTight(_)
                | LeftItem::Pieces { .. },
                _,
            ) => self == other,
        }
    }
}
