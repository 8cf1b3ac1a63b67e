//! What a reader finds in the entries of a session who knows nothing but them: for `watch`.

use cowlside::domain::entry::{
    Amend, Amended, At, Change, Entry, Kept, LeftItem, NutSaid, On, PartKind, Skipped, Work,
};
use cowlside::domain::profile::{Adjuster, Facts};
use cowlside::domain::session::{PRESSED_BY_MISTAKE, WRONG_VALVE_NAMED};
use cowlside::domain::valve::{Cylinder, Valve};
use std::collections::{BTreeMap, BTreeSet};

/// A nut by its own account: since when it is slack, or by which reading it is locked, and what it was
/// before it was opened.
#[derive(Clone, Copy, Debug)]
pub enum Nut {
    Slack { first: u64, since: u64, before: Option<(u64, u64)> },
    Locked { first: u64, gauged: u64 },
}

impl Nut {
    fn first(self) -> u64 {
        let (Nut::Slack { first, .. } | Nut::Locked { first, .. }) = self;
        first
    }
}

/// What a reader finds who knows nothing but the entries.
#[derive(Default)]
pub struct Found {
    pub nuts: BTreeMap<Valve, Nut>,
    pub unloaded: BTreeSet<Valve>,
    pub parts: Vec<(Option<Valve>, PartKind, Option<String>)>,
    /// Cams or shims went in and nobody turned the engine through since.
    pub turns_owed: bool,
    /// Lifters answered for as dry since the crank was last moved.
    pub dry: BTreeSet<String>,
    pub shims: bool,
    /// Valves with a screw and a nut.
    pub screws: Vec<Valve>,
    pub changes_shims: bool,
    /// What the profile used now has the nuts locked to.
    pub nut_torque: Option<f64>,
    pub before_running: BTreeSet<u64>,
    /// Remarks that promise a leak test, with its cylinder.
    pub promises: BTreeMap<u64, Cylinder>,
    /// Cylinders whose hold-down torque nobody read off a wrench.
    pub hold_down: BTreeSet<Cylinder>,
    /// Those of them of whose nuts nobody has said anything yet.
    pub loose: BTreeSet<Cylinder>,
    pub out: u32,
}

impl Found {
    pub fn slack(&self, gone: &BTreeSet<u64>) -> Vec<Valve> {
        let slack = |nut: &Nut| match nut {
            Nut::Slack { .. } => true,
            Nut::Locked { gauged, .. } => gone.contains(gauged),
        };
        self.nuts.iter().filter(|(_, nut)| slack(nut)).map(|(valve, _)| *valve).collect()
    }

    /// What the entries say of parts, of turning through, of lifters that are dry.
    fn parts_and_crank(&mut self, entry: &Entry) {
        let found = self;
        match entry {
            Entry::Part(part) => {
                let one = (part.valve, part.part, part.bank.clone());
                if part.out && found.parts.contains(&one) {
                    // Only its size is told.
                    return;
                } else if part.out {
                    found.parts.push(one);
                } else {
                    found.parts.retain(|other| *other != one);
                }
                let timed = part.part == PartKind::Cam && part.seen.is_some();
                let shim = part.part == PartKind::Shim && found.changes_shims;
                found.turns_owed |= !part.out && (timed || shim);
                if let Some(valve) = part.valve {
                    found.dry.remove(&valve.to_string());
                } else {
                    found.dry.clear();
                }
            }
            Entry::On(On::Check { id, done: true, .. }) if id == "turned-through" => {
                found.turns_owed = false;
                found.dry.clear();
            }
            Entry::On(On::Check { id, done: true, .. }) if id.starts_with("dry ") => {
                found.dry.insert(id.trim_start_matches("dry ").to_string());
            }
            // What lay over a paper is not what lies there now.
            Entry::Reading(reading) if reading.paper.is_some() => {
                found.dry.remove(&reading.valve.to_string());
            }
            Entry::At(At::Tape(_)) => {}
            Entry::At(_) | Entry::Back(_) => found.dry.clear(),
            Entry::Reading(reading) if reading.paper.is_some() => {
                found.dry.remove(&reading.valve.to_string());
            }
            Entry::Who(who) if who.takes_over => found.dry.clear(),
            Entry::Head(head) => {
                let profile = &head.profile.profile;
                found.shims = matches!(profile.adjuster, Adjuster::Shim { .. });
                found.nut_torque = nut_torque(profile);
                let screws = matches!(profile.adjuster, Adjuster::Screw(_));
                found.screws = if screws { profile.valves() } else { Vec::new() };
            }
            Entry::Begin(begin) => found.changes_shims |= begin.change && found.shims,
            _ => {}
        }
    }

    /// What an earlier session left open is open from here on.
    fn left(&mut self, seq: u64, item: &LeftItem, gone: &BTreeSet<u64>) {
        match item.clone() {
            LeftItem::NutSlack(valve) => self.slacken(seq, valve, gone),
            LeftItem::Unloaded(valve) => {
                self.unloaded.insert(valve);
            }
            LeftItem::PartOut { valve, part, bank, .. } => self.parts.push((valve, part, bank)),
            LeftItem::HeldOpen(_) | LeftItem::StopFelt { .. } | LeftItem::GaugeAfter { .. } => {}
            LeftItem::TurnsOwed => self.turns_owed = true,
            LeftItem::HoldDown(cylinder) | LeftItem::NutsNotTight(cylinder) => {
                self.hold_down.insert(cylinder);
                self.loose.insert(cylinder);
            }
            LeftItem::Pieces { out, .. } => self.out += out,
        }
    }

    fn worked(&mut self, seq: u64, work: &Work, gone: &BTreeSet<u64>) {
        if work.hold_down.is_some() {
            self.hold_down.remove(&work.cylinder);
            self.loose.remove(&work.cylinder);
            return;
        }
        self.hold_down.insert(work.cylinder);
        self.loose.insert(work.cylinder);
        if work.asks_anew {
            self.dry.clear();
        }
        let nuts = if work.what == "valve or seat" { vec![] } else { self.screws.clone() };
        for valve in nuts.into_iter().filter(|valve| valve.cylinder == work.cylinder) {
            self.slacken(seq, valve, gone);
        }
    }

    /// At another torque than that of their engine nuts are locked by nobody's word; a version that did
    /// not ask for it left them locked.
    fn replaced(&mut self, seq: u64, facts: &Facts, asks_anew: bool) {
        let now = nut_torque(facts);
        if std::mem::replace(&mut self.nut_torque, now) == now || !asks_anew {
            return;
        }
        for nut in self.nuts.values_mut() {
            if let Nut::Locked { first, .. } = *nut {
                *nut = Nut::Slack { first, since: seq, before: None };
            }
        }
    }

    fn slacken(&mut self, seq: u64, valve: Valve, gone: &BTreeSet<u64>) {
        let (first, before) = match self.nuts.get(&valve).copied() {
            Some(Nut::Slack { first, before, .. }) => (first, before),
            Some(Nut::Locked { first, gauged }) => {
                (if gone.contains(&gauged) { first } else { seq }, Some((first, gauged)))
            }
            None => (seq, None),
        };
        self.nuts.insert(valve, Nut::Slack { first, since: seq, before });
    }

    /// A leak test that was promised with the word that a nut is slack goes with it, where that word was
    /// a slip and no other nut of the cylinder is slack, or was opened since.
    fn never_promised(&mut self, valve: Valve, why: &str, gone: &BTreeSet<u64>) {
        let Some(Nut::Slack { first, .. }) = self.nuts.get(&valve) else { return };
        let promise = first - 1;
        let slip = [PRESSED_BY_MISTAKE, WRONG_VALVE_NAMED].contains(&why);
        let slack = self.slack(gone);
        let mut others =
            self.nuts.iter().filter(|(one, _)| **one != valve && one.cylinder == valve.cylinder);
        let others = others.any(|(one, nut)| slack.contains(one) || nut.first() > promise);
        if slip && !others && self.promises.get(&promise) == Some(&valve.cylinder) {
            self.before_running.remove(&promise);
        }
    }
}

fn nut_torque(facts: &Facts) -> Option<f64> {
    let Adjuster::Screw(screw) = &facts.adjuster else { return None };
    screw.lock_nut_torque.as_ref().map(|torque| torque.nm)
}

/// The entries that were taken back, unless what took them back was taken back itself.
pub fn withdrawn(kept: &[Kept]) -> BTreeSet<u64> {
    let mut gone = BTreeSet::new();
    for kept in kept.iter().rev().filter(|kept| matches!(kept.entry, Entry::Correct(_))) {
        if let Entry::Correct(correct) = &kept.entry
            && correct.change == Change::Void
            && !gone.contains(&kept.seq)
        {
            gone.insert(correct.of);
        }
    }
    gone
}

pub fn read(kept: &[Kept], gone: &BTreeSet<u64>) -> Result<Found, String> {
    let mut found = Found::default();
    for Kept { seq, entry, .. } in kept.iter().filter(|kept| !gone.contains(&kept.seq)) {
        match entry {
            Entry::Nut(nut) => match &nut.said {
                NutSaid::Slack => found.slacken(*seq, nut.valve, gone),
                NutSaid::Locked { gauged, .. } => {
                    if let Some(Nut::Slack { since, .. }) = found.nuts.get(&nut.valve)
                        && gauged <= since
                    {
                        return Err(format!("{} locked on an older reading", nut.valve));
                    }
                    let first = found.nuts.get(&nut.valve).map_or(*seq, |nut| nut.first());
                    found.nuts.insert(nut.valve, Nut::Locked { first, gauged: *gauged });
                }
                NutSaid::NeverTouched { why } => {
                    found.never_promised(nut.valve, why, gone);
                    match found.nuts.get(&nut.valve).copied() {
                        Some(Nut::Slack { before: Some((first, gauged)), .. }) => {
                            found.nuts.insert(nut.valve, Nut::Locked { first, gauged });
                        }
                        Some(Nut::Slack { .. } | Nut::Locked { .. }) | None => {
                            found.nuts.remove(&nut.valve);
                        }
                    }
                }
                NutSaid::Threads(_) => {}
            },
            Entry::Skip(skip) => {
                if let Skipped::AsFound(valve) = &skip.what {
                    found.slacken(*seq, *valve, gone);
                }
                if let Skipped::Check(id) = &skip.what {
                    found.loose.retain(|cylinder| *id != format!("hold-down {cylinder}"));
                    // This service's own run is the one that was owed.
                    found.before_running.retain(|remark| *id != format!("owed-run {remark}"));
                }
            }
            Entry::Unload(unload) => {
                found.unloaded.insert(unload.valve);
            }
            Entry::Release(release) => {
                found.unloaded.remove(&release.valve);
            }
            Entry::Remark(remark) => {
                if remark.before_running {
                    found.before_running.insert(*seq);
                    // In the program's own words: any other is somebody's own.
                    let promise = remark
                        .cylinder
                        .filter(|cylinder| remark.text == format!("leak-test cylinder {cylinder}"));
                    found.promises.extend(promise.map(|cylinder| (*seq, cylinder)));
                }
                if let Some(settled) = remark.settles {
                    found.before_running.remove(&settled);
                }
            }
            Entry::Work(work) => found.worked(*seq, work, gone),
            Entry::Amend(Amend { what: Amended::Profile(profile), asks_anew, .. }) => {
                found.replaced(*seq, &profile.profile, *asks_anew);
            }
            Entry::Off(off) => found.out += off.items.iter().map(|(_, n)| n).sum::<u32>(),
            Entry::Begin(begin) => {
                begin.left_open.iter().for_each(|left| found.left(*seq, &left.item, gone));
                found.parts_and_crank(entry);
            }
            other => found.parts_and_crank(other),
        }
    }
    Ok(found)
}
