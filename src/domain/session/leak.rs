//! The leak test of a cylinder with a very tight valve; and one that was promised for later, which
//! stays open, as a remark before running, until its figure is there or somebody says why not. It is
//! asked before the plugs go in; made after that, what it undid is asked anew. Only the reason that
//! promises it does so: one's own words are the last word. A low figure stays open in the same way until
//! somebody says what was found.

use super::counts::PLUG;
use super::decide::{Decided, given, one};
use super::due::{Due, TEST_THINGS};
use super::open::OpenItem;
use super::refusal::Refusal;
use super::state::{Crank, LeakWord, State};
use crate::domain::crank;
use crate::domain::entry::{Entry, LeakTest, Remark};
use crate::domain::valve::Cylinder;

/// The reason for no leak test now that promises it for later.
pub const LEAK_TEST_LATER: &str = "no test set at hand: will be done before running";

/// What is kept instead of a figure where a plug comes out once more for a test that was put off: the
/// engine is made safe first, then the figure is asked for.
pub const LEAK_TEST_NOW: &str = "to be made safe, its plug out once more";

/// Degrees: a piston so near its top at a stop is taken to be there still (our reading).
const STANDS_AT_TOP: f64 = 15.0;

const PROMISED: &str = "leak-test cylinder ";
/// Between these stand cylinder and figure in the remark that a low figure leaves open.
const LOW: (&str, &str) = ("leak test ", ", cause?");

/// A low figure, of which cylinder, and what was said of its cause, where it was.
pub type LowLeakTest<'a> = (Cylinder, u16, u16, Option<&'a str>);

/// Tells whether a leak test lost more than a quarter of the air that was put on: cause to suspect the
/// cylinder (AC 43.13-1B, 8-14, for a hot engine whose maker gives no instructions; there less than 60 of
/// 80, still so after at least 3 minutes of running, has the cylinder inspected).
pub fn leaks_much(held: u16, of: u16) -> bool {
    u32::from(held) * 4 < u32::from(of) * 3
}

/// Reads the figure of a leak test; `None` where it is none.
pub fn leak_figure(typed: &str) -> Option<(u16, u16)> {
    figure(typed).ok()
}

/// Tells which cylinder's leak test was promised by a remark, its own or handed on by another session.
pub fn promised_leak_test(remark: &str) -> Option<Cylinder> {
    let (before, cylinder) = remark.rsplit_once(PROMISED)?;
    (before.is_empty() || before.ends_with(": ")).then(|| cylinder.parse().ok()).flatten()
}

/// Tells of which low figure a remark asks the cause, its own or handed on by another session.
pub fn asks_for_cause(remark: &str) -> Option<(Cylinder, u16, u16)> {
    let (before, low) = remark.strip_suffix(LOW.1)?.rsplit_once(LOW.0)?;
    let (cylinder, held) = low.split_once(": ")?;
    let (held, of) = held.split_once(" of ")?;
    let low = (cylinder.parse().ok()?, held.parse().ok()?, of.parse().ok()?);
    (before.is_empty() || before.ends_with(": ")).then_some(low)
}

/// Says a remark that promises a leak test so that a narrow line has the cylinder; any other as it was typed.
pub(super) fn promise_in_short(remark: &str) -> String {
    promised_leak_test(remark)
        .map_or_else(|| remark.into(), |cylinder| format!("leak test {cylinder}"))
}

/// How it is told that a test which was owed was not made.
const NOT_MADE: &str = "not made: ";

/// Says by which figure a remark is settled.
fn held_words(held: u16, of: u16) -> String {
    format!("held {held} of {of}")
}

/// Reads such words.
fn held_in(said: &str) -> Option<(u16, u16)> {
    let (held, of) = said.strip_prefix("held ")?.split_once(" of ")?;
    Some((held.parse().ok()?, of.parse().ok()?))
}

impl LeakTest {
    /// Tells whether this test, or its last word that it is not made, answers for an open remark: one that
    /// promises it, and of a figure one that asks for the cause of another.
    pub(super) fn answers(&self, remark: &str) -> bool {
        let promised = promised_leak_test(remark) == Some(self.cylinder);
        let Some((held, of)) = self.held else {
            let open = [LEAK_TEST_LATER, LEAK_TEST_NOW];
            return promised && !open.contains(&self.why_not.as_deref().unwrap_or_default());
        };
        let asks = asks_for_cause(remark).is_some_and(|(of, ..)| of == self.cylinder);
        promised || asks && remark != low(self.cylinder, held, of)
    }
}

impl State {
    /// Finds the open remarks by which the leak test of a cylinder is owed.
    pub(super) fn owed(&self, cylinder: Cylinder) -> Vec<u64> {
        let owed = self.promised_tests().into_iter();
        owed.filter(|(_, of)| *of == cylinder).map(|(seq, _)| seq).collect()
    }

    /// Lists the low figures that are open, by the remarks that ask for their cause.
    fn causes_asked(&self, cylinder: Cylinder) -> Vec<(u64, &str)> {
        let open = self.remarks.iter().filter(|(seq, remark)| {
            let asks = asks_for_cause(&remark.text).is_some_and(|(of, ..)| of == cylinder);
            asks && remark.before_running && !self.settled.contains(seq)
        });
        open.map(|(seq, remark)| (*seq, remark.text.as_str())).collect()
    }

    /// Lists the low figures of this service, and of one before that left them open, each with what was
    /// said of its cause.
    pub fn low_leak_tests(&self) -> Vec<LowLeakTest<'_>> {
        let answer = |seq: u64| {
            let mut settles = self.remarks.iter().filter(|(_, one)| one.settles == Some(seq));
            settles.next().map(|(_, one)| one.text.as_str())
        };
        // A mistyped one, or one that was good once more: the figure after it stands instead.
        let fine = |said: Option<&str>| {
            said.and_then(held_in).is_some_and(|(held, of)| !leaks_much(held, of))
        };
        let asked = self.remarks.iter().filter_map(|(seq, remark)| {
            let (cylinder, held, of) = asks_for_cause(&remark.text)?;
            let said = answer(*seq);
            let told = remark.before_running && !fine(said);
            told.then_some((cylinder, held, of, said))
        });
        let mut low: Vec<LowLeakTest<'_>> = asked.collect();
        // Kept before its cause was asked for.
        for (&cylinder, (held, _)) in &self.leak_tested {
            let Some((held, of)) = held.filter(|&(held, of)| leaks_much(held, of)) else {
                continue;
            };
            if !low.iter().any(|asked| asked.0 == cylinder) {
                low.push((cylinder, held, of, None));
            }
        }
        low
    }

    /// Counts the leak tests that are owed.
    pub(super) fn tests_owed(&self) -> usize {
        self.promised_tests().len()
    }

    /// Lists the open remarks that promise a leak test, with the cylinder of each.
    fn promised_tests(&self) -> Vec<(u64, Cylinder)> {
        let owed = self.each_open_item().into_iter().filter_map(|item| match item {
            OpenItem::BeforeRunning { seq, text } => Some((seq, promised_leak_test(&text)?)),
            OpenItem::NutSlack(_)
            | OpenItem::Unloaded(_)
            | OpenItem::PartOut(_)
            | OpenItem::HeldOpen(_)
            | OpenItem::StopFelt { .. }
            | OpenItem::GaugeAfter(_)
            | OpenItem::TurnsOwed
            | OpenItem::Missing { .. }
            | OpenItem::Surplus { .. }
            | OpenItem::NotCountedIn { .. }
            | OpenItem::HoldDown(_)
            | OpenItem::NutsNotTight(_)
            | OpenItem::CoversOff
            | OpenItem::CoversNotTorqued
            | OpenItem::PlugsNotTorqued
            | OpenItem::TwoTurnsOwed
            | OpenItem::LeadsOff
            | OpenItem::ControlsNotBack
            | OpenItem::RunHandedOver => None,
        });
        owed.collect()
    }

    /// Asks for a promised leak test: while the plugs are still out, so that nothing has to be undone
    /// for it; where it was put off once more, before the run.
    pub(super) fn due_promised_test(&self, plugs_out: bool) -> Option<Due> {
        let mut owed = self.promised_tests().into_iter();
        let (seq, cylinder) =
            owed.find(|(_, cylinder)| !plugs_out || !self.tests_put_off.contains(cylinder))?;
        Some(Due::PromisedTest { cylinder, seq, plugs_out })
    }

    pub(super) fn leak_test(&mut self, test: &LeakTest) {
        if test.turned {
            self.turned_by_leak_test(test.cylinder);
        }
        if test.held.is_some() {
            self.undone_by_leak_test();
        } else if test.why_not.as_deref() == Some(LEAK_TEST_NOW) {
            self.undone_by_leak_test();
            // All was counted in before: what goes out for it is counted once more.
            self.test_things = true;
            self.banks_off.remove(TEST_THINGS);
        } else if !self.at_work() && test.why_not.as_deref() == Some(LEAK_TEST_LATER) {
            self.tests_put_off.insert(test.cylinder);
        }
        self.plug_was_out |= plug_was_out(&(test.held, test.why_not.clone()));
        // One that is to be made now is made safe for first: nothing is out yet.
        if test.held.is_some() {
            self.pieces_came_off(PLUG, 1);
        }
        // That its plug was out stays known where no figure came of it.
        if test.held.is_some() || !self.was_out_for_a_test(test.cylinder) {
            self.leak_tested.insert(test.cylinder, (test.held, test.why_not.clone()));
        }
    }

    /// Tells whether the plug of a cylinder was out for a leak test, or is to come out for it.
    pub fn was_out_for_a_test(&self, cylinder: Cylinder) -> bool {
        self.leak_tested.get(&cylinder).is_some_and(plug_was_out)
    }

    /// The piston was brought to its top, and air pushes: the place is proven anew. Where the piston
    /// does not stand near its top at the stop, the crank is not at the stop any more.
    pub(super) fn turned_by_leak_test(&mut self, cylinder: Cylinder) {
        let phase = self.crank_angle().map(|angle| crank::phase(self.facts(), cylinder, angle));
        self.break_crank();
        if !phase.is_some_and(|phase| phase.min(720.0 - phase) <= STANDS_AT_TOP) {
            self.crank = Crank::Unknown;
        }
    }

    #[expect(clippy::wildcard_enum_match_arm, reason = "a leak test is answered nowhere else")]
    pub(super) fn decide_leak_test(&self, typed: &str, why_not: &str) -> Decided {
        let (cylinder, owed) = match self.due() {
            Due::LeakTest(cylinder, _) => (cylinder, None),
            Due::PromisedTest { cylinder, seq, plugs_out } => (cylinder, Some((seq, plugs_out))),
            _ => return Err(Refusal::NotNow),
        };
        if typed.trim().is_empty() {
            let why = given(why_not)?;
            let (later, now) = (why == LEAK_TEST_LATER, why == LEAK_TEST_NOW);
            match owed {
                Some((_, false)) if later => return Err(Refusal::NotNow),
                None | Some((_, true)) if now => return Err(Refusal::NotNow),
                Some((_, false)) if now => {}
                Some((seq, _)) if !later => {
                    return one(settled(seq, format!("{NOT_MADE}{why}")));
                }
                Some(_) | None => {}
            }
            let promise = later && self.owed(cylinder).is_empty();
            // Own words may tell of a test that was made: nobody knows what turned the crank.
            let turned = owed.is_none() && !later;
            // The last word ends what a nut that was slack after all left owed.
            let ended = if turned { self.owed(cylinder) } else { Vec::new() };
            let ended = ended.into_iter().map(|seq| settled(seq, format!("{NOT_MADE}{why}")));
            let ended: Vec<Entry> = ended.collect();
            let skip =
                Entry::LeakTest(LeakTest { cylinder, held: None, why_not: Some(why), turned });
            // The promise first: what is cut off behind it is asked again.
            let promise = promise.then(|| promised(cylinder)).into_iter();
            return Ok(promise.chain([skip]).chain(ended).collect());
        }
        if let Some((_, false)) = owed {
            // Cautions first: for its figure the crank is turned, with air on.
            return Err(Refusal::NotNow);
        }
        let (held, of) = figure(typed)?;
        let test = LeakTest { cylinder, held: Some((held, of)), why_not: None, turned: true };
        let low = leaks_much(held, of).then(|| low(cylinder, held, of));
        let (here, before): (Vec<_>, Vec<_>) = self
            .causes_asked(cylinder)
            .into_iter()
            .partition(|(_, text)| low.as_ref().is_some_and(|low| low == text));
        let done = self.owed(cylinder).into_iter().chain(before.into_iter().map(|(seq, _)| seq));
        let done = done.map(|seq| settled(seq, held_words(held, of)));
        // The question first: what is cut off behind it is asked again.
        let asks = low.filter(|_| here.is_empty()).map(|text| before_running(cylinder, text));
        Ok(asks.into_iter().chain([Entry::LeakTest(test)]).chain(done).collect())
    }
}

/// Tells whether a plug was out for a leak test, by what was said of it.
fn plug_was_out((held, why_not): &LeakWord) -> bool {
    held.is_some() || why_not.as_deref() == Some(LEAK_TEST_NOW)
}

pub(super) fn promised(cylinder: Cylinder) -> Entry {
    before_running(cylinder, format!("{PROMISED}{cylinder}"))
}

fn low(cylinder: Cylinder, held: u16, of: u16) -> String {
    format!("{}{cylinder}: {held} of {of}{}", LOW.0, LOW.1)
}

fn before_running(cylinder: Cylinder, text: String) -> Entry {
    let cylinder = Some(cylinder);
    Entry::Remark(Remark { cylinder, text, before_running: true, ..Remark::default() })
}

fn settled(seq: u64, text: String) -> Entry {
    Entry::Remark(Remark { text, settles: Some(seq), ..Remark::default() })
}

fn figure(typed: &str) -> Result<(u16, u16), Refusal> {
    let numbers: Option<Vec<u16>> = typed
        .split(|c: char| !c.is_ascii_digit())
        .filter(|word| !word.is_empty())
        .map(|word| word.parse().ok())
        .collect();
    match numbers.as_deref() {
        Some(&[held, of]) if held <= of && of > 0 => Ok((held, of)),
        _ => Err(Refusal::Unreadable("type what it held and of how much, as in 74/80".into())),
    }
}
