//! The one sentence for the owner, and when to look again: the program's proposals, which the
//! mechanic may change.

use super::corrected;
use super::left_before::left_before;
use crate::domain::compare::{Comparison, Movement, Way, compare};
use crate::domain::entry::{Entry, Hours, Moment};
use crate::domain::left_before::still_left;
use crate::domain::profile::Adjuster;
use crate::domain::service::{Ending, Outcome, Service, ending};
use crate::domain::session::{Session, State};
use crate::domain::trend::{Because, Earlier, History, Sign, ValvePast};
use crate::domain::units::Length;
use crate::domain::valve::{Kind, Several, Valve};
use crate::domain::verdict::{Verdict, gravity};
use crate::guide::{Proposal, left_as_found, look_again_by, low_found};
use crate::report::compare_sheet::owner_name;
use crate::report::history_json;
use crate::report::history_sheet::several;
use crate::report::next_sheet::{at_hours, when_words, why_words};

/// Most valves that are told one by one.
const TOLD: usize = 3;

/// When the engine is to be looked at again, in hours as its counter shows them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NextCheck {
    /// At these running hours, where any are known.
    pub hours: Option<Hours>,
    /// Or on this day, as YYYY-MM-DD, where the profile counts months too.
    pub day: Option<String>,
    /// What the hours come from.
    pub because: Because,
    /// Which kinds of valve it has several of, to name them.
    pub several: Several,
    /// What the signer's choice set aside, where that comes sooner.
    pub set_aside: Option<(Hours, Because)>,
}

/// Works out the next check as the history does (`domain::trend`); `None` where nothing tells it.
///
/// A profile's first interval is that of a new engine and lies behind once it is serviced.
pub fn next_check(history: Option<&History>, earlier: &Earlier) -> Option<NextCheck> {
    let history = history?;
    let next = history.next?;
    let shown = |hours: f64, because| at_hours(hours, because).less(earlier.offset);
    Some(NextCheck {
        hours: next.hours.map(|hours| shown(hours, next.because)),
        day: history_json::next_day(&next),
        because: next.because,
        several: several(history),
        set_aside: next.set_aside.map(|(hours, because)| (shown(hours, because), because)),
    })
}

impl NextCheck {
    /// Says when: "462.0 h", "462.0 h or 2027-03-14, whichever comes first".
    pub fn words(&self) -> String {
        when_words(self.hours, self.day.as_deref(), self.because)
    }

    /// Says why, and what else than the signer's choice there is.
    pub fn why(&self) -> String {
        why_words(self.because, self.set_aside, self.day.as_deref(), self.several)
    }
}

/// Returns when the session was signed or closed, on the day as corrected.
pub fn completed(session: &Session) -> Option<Moment> {
    let closes = |entry: &Entry| matches!(entry, Entry::Sign(_) | Entry::Seal(_));
    let kept = session.kept.iter().filter(|kept| !session.is_void(kept.seq));
    kept.filter(|kept| closes(&kept.entry)).map(|kept| corrected(session, kept.at)).next()
}

/// Makes what is proposed to the signer.
pub fn proposal(session: &Session, earlier: &Earlier) -> Proposal {
    let service = earlier.put_right(session);
    let history = earlier.up_to(&service);
    let next = next_check(history.as_ref(), earlier);
    Proposal {
        owner: sentence_of((&service, &session.state), history.as_ref(), earlier) + ".",
        look_again: look_again((&service, &session.state), history.as_ref(), earlier),
        left_before: left_before(session, earlier),
        next_hours: next.as_ref().and_then(|next| next.hours),
        last_day: next.as_ref().and_then(|next| next.day.clone()),
        shows: earlier.corrected,
        next_check: next.map(|next| format!("{} ({})", next.words(), next.why())),
    }
}

/// Proposes the sentence for the owner: how many are in limits, what is closing, what was done,
/// when to look again. The next check in it is the one of [`next_check`].
pub fn owner_sentence(session: &Session, earlier: &Earlier) -> String {
    let service = earlier.put_right(session);
    unsigned_sentence(session).unwrap_or_else(|| {
        sentence_of((&service, &session.state), earlier.up_to(&service).as_ref(), earlier)
    })
}

/// Of a service that was closed unsigned the owner is told what was left open, and no next check:
/// nobody answers for the engine until then.
pub(super) fn unsigned_sentence(session: &Session) -> Option<String> {
    let Ending::Unsigned(_) = ending(&session.state) else { return None };
    let open = session.state.open_items();
    let name = |valve: Valve| session.state.name_of(valve);
    let open: Vec<String> = open.iter().map(|item| item.words(&name)).collect();
    let left =
        if open.is_empty() { String::new() } else { format!("left open: {}; ", open.join("; ")) };
    Some(format!("Closed without a signature; {left}nobody answers for it"))
}

pub(super) fn sentence_of(
    (service, state): (&Service, &State),
    history: Option<&History>,
    earlier: &Earlier,
) -> String {
    let since = earlier.previous().map(|previous| compare(previous, service));
    let past = Past { since, history, state };
    let scoped: Vec<&Outcome> = service.valves.iter().filter(|outcome| outcome.in_scope).collect();
    let mut clauses = vec![count_words(&scoped, service.valves.len())];
    clauses.extend(told_valves(&scoped, &past, service));
    clauses.extend(left_as_found(state));
    clauses.extend(low_found(state));
    clauses.extend(left_by_others(state, earlier, service_several(service)));
    let not_run = "the engine was not run nor looked at for leaks in this service";
    clauses.extend(state.run_skipped.as_ref().map(|_| not_run.to_string()));
    clauses.extend(look_again((service, state), history, earlier));
    clauses.join("; ")
}

/// Names what is still as an earlier service left it: who does not look at it does not mend it.
fn left_by_others(state: &State, earlier: &Earlier, several: Several) -> Option<String> {
    let left = still_left(state, &earlier.services).into_iter();
    let names: Vec<String> = left
        .map(|one| format!("{} {}", owner_name(one.valve(), several), one.verdict.word()))
        .collect();
    (!names.is_empty())
        .then(|| format!("left so before and not looked at in this service: {}", names.join(", ")))
}

/// Says when to look again.
fn look_again(
    (service, state): (&Service, &State),
    history: Option<&History>,
    earlier: &Earlier,
) -> Option<String> {
    let next = next_check(history, earlier)?;
    // Both as the counter shows them.
    let due = next.hours.zip(service.hours).is_some_and(|(by, now)| by <= now);
    // The interval is for an engine in limits; what the signer chose is his own answer.
    let left = !state.left_outside().is_empty() || !still_left(state, &earlier.services).is_empty();
    let sooner = left && service.due.chosen.is_none();
    Some(match (due, sooner) {
        (true, _) => format!("look again now: the next check is due ({})", next.why()),
        (false, true) => format!(
            "look again sooner than {}, as the manual says for what is left so",
            next.words()
        ),
        (false, false) => match next.hours.filter(|_| next.because == Because::Mechanic) {
            Some(chosen) => look_again_by(chosen, next.day.as_deref()),
            None => format!("look again by {}", next.words()),
        },
    })
}

/// What is known of the valves before.
struct Past<'a> {
    since: Option<Comparison>,
    history: Option<&'a History>,
    state: &'a State,
}

impl Past<'_> {
    fn movement(&self, valve: Valve) -> Option<&Movement> {
        self.since.as_ref()?.valves.iter().find(|movement| movement.valve == valve)
    }

    fn of(&self, valve: Valve) -> Option<&ValvePast> {
        self.history?.valves.iter().find(|past| past.valve == valve)
    }

    /// How often the valve was set back the same way, one service after the other, this one counted.
    fn times(&self, valve: Valve) -> usize {
        let signs = self.of(valve).into_iter().flat_map(|past| &past.signs);
        let times = signs.filter_map(|sign| match sign {
            Sign::SameWay { times, .. } => Some(*times),
            Sign::ClosingExhaust | Sign::Early(_) | Sign::Step { .. } | Sign::Odd(_) => None,
        });
        times.max().unwrap_or(1)
    }
}

/// Says how many are in limits, and first of all how many were looked at where that is not every one.
fn count_words(scoped: &[&Outcome], engine: usize) -> String {
    let all = scoped.len();
    let left = scoped.iter().filter(|outcome| outcome.left.is_some()).count();
    let good =
        scoped.iter().filter(|outcome| outcome.verdict_left == Some(Verdict::InLimits)).count();
    let narrow = all < engine;
    let words = match (good == all, left == all) {
        (true, _) if narrow => format!("all {all} in limits"),
        (true, _) => format!("All {all} in limits"),
        (false, true) => format!("{good} of {all} in limits"),
        (false, false) => format!("{good} of {all} in limits, {} without a figure", all - left),
    };
    if narrow { format!("Only {all} of {engine} valves looked at; of them {words}") } else { words }
}

/// How grave what is told of a valve is, the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Grave {
    LeftOut,
    FoundTight,
    Closing,
    FoundOut,
    Other,
}

/// Tells of single valves: those left out of limits, then those found tight, then closing exhausts, then what
/// else was found out, each with the gravest first; then the others set. A tight exhaust is never counted away.
fn told_valves(scoped: &[&Outcome], past: &Past<'_>, service: &Service) -> Vec<String> {
    let told = scoped.iter().filter_map(|outcome| {
        let (closing, words, was_set) = told_valve(outcome, past, service)?;
        let grave = graveness(outcome, closing);
        let verdict = match grave {
            Grave::LeftOut => outcome.verdict_left,
            _ => outcome.verdict_found,
        };
        let burns = verdict == Some(Verdict::Tight) && outcome.valve.kind == Kind::Exhaust;
        let within = verdict.map(|one| gravity(one, outcome.valve));
        let most = outcome.found.as_ref().and_then(|found| found.interval.high);
        let little = most.filter(|_| grave == Grave::FoundTight);
        let within = within.map(|(gravity, kind, valve)| (gravity, kind, little, valve));
        Some(((grave, within), words, was_set, burns))
    });
    let mut told: Vec<_> = told.collect();
    told.sort_by_key(|(rank, ..)| *rank);
    let mut at = 0..;
    let (told, rest): (Vec<_>, Vec<_>) =
        told.into_iter().partition(|(.., burns)| at.next().is_some_and(|at| at < TOLD) || *burns);
    let mut clauses: Vec<String> = told.into_iter().map(|(_, words, ..)| words).collect();
    let set = rest.iter().filter(|(_, _, was_set, _)| *was_set).count();
    if set > 0 {
        let done = if past.state.has_parts() { "changed" } else { "set" };
        clauses.push(format!("{set} more {done}"));
    }
    if rest.len() > set {
        clauses.push(format!("{} more told in the record", rest.len() - set));
    }
    clauses
}

fn graveness(outcome: &Outcome, closing: bool) -> Grave {
    let outside = |verdict: Option<Verdict>| verdict.filter(|one| *one != Verdict::InLimits);
    match (outside(outcome.verdict_left), outside(outcome.verdict_found)) {
        (Some(_), _) => Grave::LeftOut,
        (None, Some(Verdict::Tight)) => Grave::FoundTight,
        (None, _) if closing => Grave::Closing,
        (None, Some(_)) => Grave::FoundOut,
        (None, None) => Grave::Other,
    }
}

fn service_several(service: &Service) -> Several {
    Several::of(service.valves.iter().map(|outcome| outcome.valve))
}

/// Says of a valve what the owner is told; whether it is a closing exhaust, and whether it was set.
fn told_valve(
    outcome: &Outcome,
    past: &Past<'_>,
    service: &Service,
) -> Option<(bool, String, bool)> {
    let name = owner_name(outcome.valve, service_several(service));
    let (how, way) = moved(outcome.valve, past, service).unzip();
    let closing = outcome.valve.kind == Kind::Exhaust && way == Some(Way::Closed);
    let found = outcome.verdict_found.filter(|&verdict| verdict != Verdict::InLimits);
    let left = outcome.verdict_left.filter(|&verdict| verdict != Verdict::InLimits);
    if let Some(verdict) = left {
        let moved = how.map_or(String::new(), |how| format!(" (it has {how})"));
        return Some((closing, format!("{name} is left {}{moved}", verdict.word()), false));
    }
    if let Some(what) = past.state.work_alone(outcome.valve).filter(|_| outcome.left.is_some()) {
        return Some((false, format!("{name} was gauged again after work ({what})"), false));
    }
    let set_back = outcome.touched && outcome.left.is_some();
    let times = match past.times(outcome.valve) {
        0 | 1 => String::new(),
        2 => " twice".into(),
        more => format!(" {more} times, service after service"),
    };
    let (set, set_anew) = done_to(&past.state.facts().adjuster);
    match (how, found, set_back) {
        (Some(how), Some(Verdict::Tight), true) if let_nothing_in(outcome) => Some((
            closing,
            format!("{name} was {NO_PLAY} (it has {how}) and {set_anew}{times}"),
            true,
        )),
        (Some(how), _, true) => {
            Some((closing, format!("{name} has {how} and {set_anew}{times}"), true))
        }
        (Some(how), _, false) if closing => Some((closing, format!("{name} has {how}"), false)),
        (None, Some(found), true) => {
            let found = if let_nothing_in(outcome) { NO_PLAY } else { found.word() };
            Some((closing, format!("{name} was {found} and {set}{times}"), true))
        }
        (None, None, true) => Some((closing, format!("{name} {set}{times}"), true)),
        (_, _, false) => None,
    }
}

/// Says what was done to a valve, and to one that had moved: where parts set it nobody turned a screw.
fn done_to(adjuster: &Adjuster) -> (&'static str, &'static str) {
    match adjuster {
        Adjuster::Screw(_) | Adjuster::None => ("was set", "was set back"),
        Adjuster::Shim { .. } => (ANOTHER_SHIM, ANOTHER_SHIM),
        Adjuster::Pushrod { .. } => (ANOTHER_ROD, ANOTHER_ROD),
    }
}

const ANOTHER_SHIM: &str = "got another shim";
const ANOTHER_ROD: &str = "got another push rod";

/// Said of a valve that let nothing in as it was found.
const NO_PLAY: &str = "tight, with no clearance at all,";

fn let_nothing_in(outcome: &Outcome) -> bool {
    let most = outcome.found.as_ref().and_then(|found| found.interval.high);
    most == Some(Length::ZERO)
}

/// Says how far a valve moved and in how many hours: over its whole series where the drift is no
/// chance, else since the service before, where that can be told apart.
fn moved(valve: Valve, past: &Past<'_>, service: &Service) -> Option<(String, Way)> {
    over_series(valve, past, service).or_else(|| {
        let movement = past.movement(valve).filter(|movement| movement.told_apart())?;
        let way = movement.way();
        let since = past
            .since
            .as_ref()
            .and_then(|since| Some(since.newer.hours?.hours() - since.older.hours?.hours()));
        // Between two counters the hours are not known from the two readings alone.
        let hours = since.filter(|hours| *hours > 0.0).map_or(String::new(), hours_words);
        Some((moved_words(movement, service)? + &hours, way))
    })
}

fn over_series(valve: Valve, past: &Past<'_>, service: &Service) -> Option<(String, Way)> {
    let of = past.of(valve)?;
    let drift = of.drift.as_ref().filter(|drift| !drift.widened().spans_nought())?;
    let (first, last) = (of.series.first()?, of.series.last()?);
    let (nm, way) =
        (last.nm - first.nm, if drift.per_100_h < 0.0 { Way::Closed } else { Way::Opened });
    let word = if way == Way::Closed { "closed" } else { "opened" };
    let amount = Length::from_nm((nm.abs()).round() as i64).text(service.unit);
    let whole = (nm < 0.0) == (drift.per_100_h < 0.0) && nm != 0.0;
    whole.then(|| (format!("{word} {amount}{}", hours_words(last.hours - first.hours)), way))
}

fn hours_words(hours: f64) -> String {
    format!(" in {hours:.0} h")
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
