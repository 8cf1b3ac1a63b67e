//! The one sentence for the owner, and when to look again: the program's proposals, which the
//! mechanic may change.

use super::corrected;
use crate::domain::compare::{Comparison, Movement, Way, compare};
use crate::domain::entry::{Entry, Hours, Moment};
use crate::domain::service::{Outcome, Service};
use crate::domain::session::Session;
use crate::domain::units::Length;
use crate::domain::valve::Kind;
use crate::domain::verdict::Verdict;
use crate::guide::Proposal;
use crate::report::compare_sheet::owner_name;
use crate::report::dates;

/// Most valves that are told one by one.
const TOLD: usize = 3;

/// When the engine is to be looked at again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NextCheck {
    /// At these running hours, where an interval is known.
    pub hours: Option<Hours>,
    /// Or on this day, as YYYY-MM-DD, where the profile counts months too.
    pub day: Option<String>,
    /// True where the mechanic chose the hours.
    pub chosen: bool,
}

/// Works out the next check: the mechanic's own choice, else the profile's interval.
///
/// A profile's first interval is that of a new engine and lies behind once it is serviced.
pub fn next_check(session: &Session) -> NextCheck {
    let state = &session.state;
    let facts = state.facts();
    let chosen = state.sign.as_ref().and_then(|sign| sign.next_check);
    let by_interval = facts.interval_hours.zip(state.begin.hours).map(|(interval, hours)| {
        let hundredths = (interval * 100.0).round() as i64;
        Hours(hours.0.saturating_add(hundredths))
    });
    let day = facts.interval_months.filter(|_| chosen.is_none()).and_then(|months| {
        let done = completed(session).or(Service::of(session).began)?;
        dates::after_months(done, months)
    });
    NextCheck { hours: chosen.or(by_interval), day, chosen: chosen.is_some() }
}

impl NextCheck {
    /// Says when: "462.0 h", "462.0 h or 2027-03-14, whichever comes first"; `None` for never.
    pub fn words(&self) -> Option<String> {
        match (self.hours, &self.day) {
            (Some(hours), Some(day)) => Some(format!("{hours} h or {day}, whichever comes first")),
            (Some(hours), None) => Some(format!("{hours} h")),
            (None, Some(day)) => Some(day.clone()),
            (None, None) => None,
        }
    }
}

/// Returns when the session was signed or closed, on the day as corrected.
pub fn completed(session: &Session) -> Option<Moment> {
    let closes = |entry: &Entry| matches!(entry, Entry::Sign(_) | Entry::Seal(_));
    let kept = session.kept.iter().filter(|kept| !session.is_void(kept.seq));
    kept.filter(|kept| closes(&kept.entry)).map(|kept| corrected(session, kept.at)).next()
}

/// Makes what is proposed to the signer.
pub fn proposal(session: &Session, previous: Option<&Service>) -> Proposal {
    Proposal {
        owner: owner_sentence(session, previous) + ".",
        next_check: next_check(session).words(),
    }
}

/// Proposes the sentence for the owner: how many are in limits, what is closing, what was done,
/// when to look again. The next check in it is the one of [`next_check`].
pub fn owner_sentence(session: &Session, previous: Option<&Service>) -> String {
    let service = Service::of(session);
    let since = previous.map(|previous| compare(previous, &service));
    let scoped: Vec<&Outcome> = service.valves.iter().filter(|outcome| outcome.in_scope).collect();
    let mut clauses = vec![count_words(&scoped)];
    clauses.extend(told_valves(&scoped, since.as_ref(), &service));
    clauses.extend(next_check(session).words().map(|when| format!("look again by {when}")));
    clauses.join("; ")
}

fn count_words(scoped: &[&Outcome]) -> String {
    let all = scoped.len();
    let left = scoped.iter().filter(|outcome| outcome.left.is_some()).count();
    let good =
        scoped.iter().filter(|outcome| outcome.verdict_left == Some(Verdict::InLimits)).count();
    match (good == all, left == all) {
        (true, _) => format!("All {all} in limits"),
        (false, true) => format!("{good} of {all} in limits"),
        (false, false) => format!("{good} of {all} in limits, {} without a figure", all - left),
    }
}

/// Tells of single valves: those left out of limits, then closing exhausts, then the others set.
fn told_valves(scoped: &[&Outcome], since: Option<&Comparison>, service: &Service) -> Vec<String> {
    let movement = |outcome: &Outcome| {
        let mut movements = since.into_iter().flat_map(|since| &since.valves);
        movements.find(|movement| movement.valve == outcome.valve)
    };
    let mut told: Vec<(u8, String, bool)> = scoped
        .iter()
        .filter_map(|outcome| told_valve(outcome, movement(outcome), service))
        .collect();
    told.sort_by_key(|(rank, ..)| *rank);
    let rest = told.split_off(told.len().min(TOLD));
    let mut clauses: Vec<String> = told.into_iter().map(|(_, words, _)| words).collect();
    let set = rest.iter().filter(|(.., was_set)| *was_set).count();
    if set > 0 {
        clauses.push(format!("{set} more set"));
    }
    if rest.len() > set {
        clauses.push(format!("{} more told in the record", rest.len() - set));
    }
    clauses
}

fn told_valve(
    outcome: &Outcome,
    movement: Option<&Movement>,
    service: &Service,
) -> Option<(u8, String, bool)> {
    let name = owner_name(outcome.valve);
    let moved = movement.filter(|movement| movement.told_apart());
    let how = moved.and_then(|movement| moved_words(movement, service));
    let closing = outcome.valve.kind == Kind::Exhaust
        && moved.is_some_and(|movement| movement.way() == Way::Closed);
    let found = outcome.verdict_found.filter(|&verdict| verdict != Verdict::InLimits);
    let left = outcome.verdict_left.filter(|&verdict| verdict != Verdict::InLimits);
    if let Some(verdict) = left {
        let moved = how.map_or(String::new(), |how| format!(" (it had {how})"));
        return Some((0, format!("{name} is left {}{moved}", verdict.word()), false));
    }
    let set_back = outcome.touched && outcome.left.is_some();
    let rank = if closing { 1 } else { 2 };
    match (how, found, set_back) {
        (Some(how), _, true) => Some((rank, format!("{name} had {how} and was set back"), true)),
        (Some(how), _, false) if closing => Some((rank, format!("{name} has {how}"), false)),
        (None, Some(found), true) => {
            Some((rank, format!("{name} was {} and was set", found.word()), true))
        }
        (None, None, true) => Some((rank, format!("{name} was set"), true)),
        (_, _, false) => None,
    }
}

/// Says how far a valve moved; where a reading is open-ended, how far at least.
fn moved_words(movement: &Movement, service: &Service) -> Option<String> {
    let (way, least) = match movement.way() {
        Way::Closed => ("closed", movement.moved_high?),
        Way::Opened => ("opened", movement.moved_low?),
        Way::NotToldApart | Way::NotKnown => return None,
    };
    let more = if movement.moved.is_none() { "more than " } else { "" };
    let amount = Length::from_nm(movement.moved.unwrap_or(least).nm().abs());
    Some(format!("{way} {more}{}", amount.text(service.unit)))
}
