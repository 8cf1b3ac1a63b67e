//! What was taken off or switched off to make the engine safe, and is not put back: told once the covers
//! go on. Before that it is as it has to be, and what lies about is counted in.

use super::carried::is_handed_on;
use super::checklist::{LEADS_OFF, Line, PLUGS_IN, TURNED_THROUGH, TWO_TURNS};
use super::counts::{COVER, OutCount, PLUG};
use super::open::OpenItem;
use super::state::State;
use crate::domain::entry::{Caution, Entry, Remark};

/// Something that is known to be off or out, or to be felt as it is turned, until its own check of closing up is answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TakenOff {
    /// Plugs, all or some.
    Plugs,
    /// The two turns by hand of closing up: something was opened since the last.
    Turns,
    /// A stop was felt at the turns by hand after cams or shims went in.
    Stop,
    /// A tight place was felt, or a hiss heard, at those of closing up.
    Hiss,
    /// Leads of plugs.
    Leads,
    /// Fuel, ignition, battery: whatever was put so that it cannot start.
    Controls,
}

/// Why a service is closed whose engine has run meanwhile: it was put together and made ready for that.
pub const HAS_RUN: &str = "interrupted: the engine has run since";

/// How it is told that a check of closing up answered for what was handed on.
const SEEN_AT: &str = "seen at closing up: ";

/// The answer of a check that what was off is back, as somebody saw it.
const PUT_BACK: u8 = 1;

impl TakenOff {
    /// The check that answers for it.
    fn check(self) -> &'static str {
        match self {
            TakenOff::Plugs => PLUGS_IN,
            TakenOff::Turns | TakenOff::Hiss => TWO_TURNS,
            TakenOff::Stop => TURNED_THROUGH,
            TakenOff::Leads => "leads",
            TakenOff::Controls => "controls",
        }
    }
}

impl State {
    /// Takes in what a caution that is answered well says to be off.
    pub(super) fn made_safe_by(&mut self, caution: &Caution) {
        if !caution.safe {
            return;
        }
        match caution.id.as_str() {
            "ignition" => {
                self.taken_off.insert(TakenOff::Controls);
                if caution.seen.contains(LEADS_OFF) {
                    self.taken_off.insert(TakenOff::Leads);
                }
            }
            "fuel" => {
                self.taken_off.insert(TakenOff::Controls);
            }
            "plugs" if caution.digit == 1 || self.some_plugs_out() => {
                self.plugs_came_out();
                self.taken_off.extend(caution.out_again.then_some(TakenOff::Turns));
            }
            _ => {}
        }
    }

    /// A plug came out, and with it its lead off: not so where it may be an injector.
    pub(super) fn plugs_came_out(&mut self) {
        self.taken_off.insert(TakenOff::Plugs);
        let rotation = self.facts().rotation.as_ref();
        if rotation.is_some_and(|rotation| rotation.by_propeller()) {
            self.taken_off.insert(TakenOff::Leads);
        }
    }

    pub(super) fn pieces_came_off(&mut self, item: &str, out: u32) {
        if out > 0 {
            self.taken_off.insert(TakenOff::Turns);
        }
        if item == PLUG && out > 0 {
            self.plugs_came_out();
        }
    }

    pub(super) fn put_back(&mut self, check: &str) {
        self.taken_off.retain(|what| what.check() != check);
    }

    /// Covers that were never counted in are off for whoever comes after: they are among the pieces that are
    /// off, and told by themselves all the same.
    fn covers_left_off(&self) -> Option<OpenItem> {
        let cover = |line: &&OutCount| line.item == COVER && line.counted_in.is_none();
        let off = match self.undone.tells_not_put_back {
            Some(told) => told && self.covers_uncounted(),
            None => self.out.iter().filter(cover).any(|line| line.before > 0),
        };
        off.then_some(OpenItem::CoversOff)
    }

    /// Tells whether a cover that came off is not counted in.
    pub fn covers_uncounted(&self) -> bool {
        let off = |line: &OutCount| line.item == COVER && line.out > 0 && line.counted_in.is_none();
        self.out.iter().any(off)
    }

    /// Tells whether this is known to be off, nobody having put it back since.
    pub(super) fn is_taken_off(&self, what: TakenOff) -> bool {
        self.taken_off.contains(&what) && !self.checks.contains_key(what.check())
    }

    /// Lists what would be open at the engine if the service were closed unsigned now for this reason; where
    /// none is given yet, for any but that it has run.
    pub fn open_if_closed(&self, why: &str) -> Vec<OpenItem> {
        let mut closed = State { sealed: Some(false), ..self.clone() };
        closed.undone.tells_not_put_back = Some(!why.starts_with(HAS_RUN));
        closed.undone.tells_not_gauged = true;
        closed.open_items()
    }

    /// Lists what is not put back, in the order of closing up: once all that came off is counted in, or where
    /// its seal says that the service was closed over it.
    pub(super) fn not_put_back(&self) -> Vec<OpenItem> {
        let mut off = self.out.iter().filter(|line| line.out > 0).peekable();
        let closing = off.peek().is_some() && off.all(|line| line.counted_in.is_some());
        let closing = closing && !self.at_work() && self.sealed != Some(true);
        if !self.undone.tells_not_put_back.unwrap_or(closing) {
            return self.covers_left_off().into_iter().collect();
        }
        let off = |what, item| self.is_taken_off(what).then_some(item);
        let items = [
            self.covers_open().or_else(|| self.covers_left_off()),
            off(TakenOff::Plugs, OpenItem::PlugsNotTorqued),
            off(TakenOff::Turns, OpenItem::TwoTurnsOwed),
            off(TakenOff::Leads, OpenItem::LeadsOff),
            off(TakenOff::Controls, OpenItem::ControlsNotBack),
        ];
        items.into_iter().flatten().collect()
    }

    /// Answers, with the check that was just made, for what other services handed on of the very same: that
    /// nothing was off answers for nothing that they left off.
    pub(super) fn settled_by(&self, line: &Line, digit: u8) -> Vec<Entry> {
        let Some(seen) = line.state(digit).filter(|seen| seen.good) else { return Vec::new() };
        let open = self.each_open_item().into_iter().filter_map(|open| {
            let OpenItem::BeforeRunning { seq, text } = open else { return None };
            put_back_by(&line.id, digit, &text).then_some(seq)
        });
        let text = format!("{SEEN_AT}{}", seen.words);
        open.map(|seq| {
            Entry::Remark(Remark { text: text.clone(), settles: Some(seq), ..Remark::default() })
        })
        .collect()
    }
}

/// Tells whether a check of closing up that is answered so answers for what other services handed on by this
/// remark: it is the very same, and back.
pub(super) fn put_back_by(check: &str, digit: u8, remark: &str) -> bool {
    let item = match check {
        PLUGS_IN => OpenItem::PlugsNotTorqued,
        TWO_TURNS => OpenItem::TwoTurnsOwed,
        "leads" => OpenItem::LeadsOff,
        "controls" => OpenItem::ControlsNotBack,
        _ => return false,
    };
    digit == PUT_BACK && is_handed_on(remark) && remark.ends_with(&format!(": {item}"))
}
