//! The questions of the rounds at a valve: gauge, set, lock. How the crank gets there and is proven
//! is asked in `crank`.

use super::crank::{release, rock, turn, unload};
use super::form::{capital, count, pick, prompt, reason, take, type_in};
use super::left_so::left_whys;
use super::named::{named_verdict, valve_name, valve_short};
use super::screw::{broken_off, figure_gone, stands_unknown};
use super::status;
pub(super) use super::valve_place::place_of;
use super::valve_place::place_seen;
use super::{Beside, Field, Prompt, Step, Typed, doubts, hold_down};
use crate::domain::entry::Step as ReadingStep;
use crate::domain::learning::{self, Aimed};
use crate::domain::plain::plain;
use crate::domain::profile::{Adjuster, Figures};
use crate::domain::service::is_practice;
use crate::domain::session::{Due, Input, Session, State, readings_of};
use crate::domain::typed::label;
use crate::domain::units::{Length, LengthUnit};
use crate::domain::valve::{Kind, Valve};
use crate::domain::verdict::Verdict;
use crate::domain::{leaves, reading};

/// Asks what is due in the rounds; `None` where something else is due.
pub(super) fn step(
    session: &Session,
    due: &Due,
    beside: &Beside,
    given: &[String],
) -> Option<Step> {
    let place = status::place(session);
    let place = place.as_str();
    Some(match *due {
        Due::Turn { stop, again, there, rock } => {
            turn(session, place, (stop, again, there, rock), given)
        }
        Due::Rock { stop, loose } => rock(session, place, stop, loose, given),
        Due::Unload(valve) => unload(session, place, valve, given),
        Due::Gauge(valve, step) => gauge(session, place, valve, step, given),
        Due::Again(valve, step) => doubts::again(session, place, valve, step, given),
        Due::Doubted { valve, first } => {
            doubts::doubted(session, place, (valve, first), beside, given)
        }
        Due::LeakTest(_, valve) => super::leak::before_setting(session, place, valve, given),
        Due::HoldDown(cylinder) => hold_down::asked(session, place, cylinder, given),
        Due::Set(valve, verdict) => set(session, place, valve, verdict, given),
        Due::Trying(valve) => trying(session, place, valve, beside, given),
        Due::NutAnswer(valve, reading) => nut(session, place, valve, reading, given),
        Due::Threads(valve, bounds) => threads(session, place, valve, bounds, given),
        Due::Release(valve) => release(session, place, valve, given),
        Due::ThreadsOutside(valve, threads, bounds) => {
            threads_outside(session, place, (valve, threads, bounds), given)
        }
        _ => return super::parts::step(session, place, due, given),
    })
}

fn gauge(
    session: &Session,
    place: &str,
    valve: Valve,
    step: ReadingStep,
    given: &[String],
) -> Step {
    let ask = gauge_prompt(session, place, valve, step);
    reading_input(session, ask, valve, given)
}

pub(super) fn gauge_prompt(
    session: &Session,
    place: &str,
    valve: Valve,
    step: ReadingStep,
) -> Prompt {
    let state = &session.state;
    let what = match step {
        ReadingStep::Found => "as found, before anything is touched",
        ReadingStep::Recheck => "once more",
        ReadingStep::Try | ReadingStep::Left if gauged_before(state, valve) => "again",
        ReadingStep::Try | ReadingStep::Left => "as it is now",
    };
    let mut ask = prompt(
        place,
        format!("Gauge {} {what}", valve_name(state, valve)),
        "Which leaf drags lightly?",
    )
    .big(valve_short(state, valve), place_of(state, valve))
    .lines(leaf_help(session))
    .with(Field::typed(Typed::Reading));
    if state.wants_closer_look(valve) {
        ask =
            ask.line("Gauged outside its temperature before: anew now, nothing follows from that.");
    }
    if state.facts().spec(valve.kind).leaves_at_once > 1 {
        let forked = if super::part_words::overhead_cams(state) { "follower" } else { "rocker" };
        ask = ask.line(format!(
            "Forked {forked}: two equal leaves at once, one under each arm; type one."
        ));
    }
    ask.more("Tip wiped, oil squeezed out, leaf flat and straight.")
}

/// Tells whether a valve was ever gauged in this service, whatever came of it.
fn gauged_before(state: &State, valve: Valve) -> bool {
    state.readings.iter().any(|taken| taken.reading.valve == valve)
}

/// How a reading is typed, shown with leaves near the figures but outside of every band, so that the
/// example looks like a reading and says nothing of what is expected.
fn leaf_help(session: &Session) -> [String; 3] {
    let state = &session.state;
    let unit = state.leaves.as_ref().map_or(state.facts().unit, |set| set.unit);
    let leaves = state.leaves.as_ref().map_or(&[][..], |set| &set.leaves);
    let others = usual_examples(unit);
    let figures = Kind::BOTH.map(|kind| state.figures(kind));
    let said = figures.iter().flat_map(|figures| {
        let Figures { target, least, most, set_least, set_most } = *figures;
        [target, least, most, set_least, set_most]
    });
    let said: Vec<Length> = said.collect();
    let off = |leaf: Length| said.iter().map(|said| (said.nm() - leaf.nm()).abs()).min();
    let inside = |leaf: Length| figures.iter().any(|of| (of.least..=of.most).contains(&leaf));
    let near = |leaves: &[Length]| {
        let pairs = leaves.iter().copied().zip(leaves.iter().copied().skip(1));
        let outside = pairs.filter(|(one, two)| !inside(*one) && !inside(*two));
        let pairs = outside.map(|(one, two)| (off(one).min(off(two)), one, two));
        pairs.filter(|(apart, ..)| *apart > Some(0)).min()
    };
    // A small set has no two leaves beside the bands: then those furthest from every figure.
    let furthest = || {
        let pairs = leaves.iter().copied().zip(leaves.iter().copied().skip(1));
        pairs.map(|(one, two)| (off(one).min(off(two)), one, two)).max()
    };
    let (one, two) = near(leaves)
        .or_else(furthest)
        .or_else(|| near(&others))
        .map_or((String::new(), String::new()), |(_, one, two)| {
            (label(one, unit), label(two, unit))
        });
    [
        format!("Example: {one} drags, type {one}"),
        format!("{one} goes freely, {two} will not: {one}/{two}"),
        "Nothing goes: 0".into(),
    ]
}

/// Leaves for an example where the set is not known.
fn usual_examples(unit: LengthUnit) -> Vec<Length> {
    let sizes = [5, 6, 20, 21, 45, 46, 90, 91].into_iter();
    match unit {
        LengthUnit::Mm => sizes.map(|size| Length::from_um(size * 10)).collect(),
        LengthUnit::Inch => sizes.map(|size| Length::from_tenths_thou(size * 10)).collect(),
    }
}

/// Asks for a reading; a number that is no leaf is asked about before it is kept.
pub(super) fn reading_input(
    session: &Session,
    ask: Prompt,
    valve: Valve,
    given: &[String],
) -> Step {
    let place = ask.place.clone();
    type_in(ask, given, |typed, rest| {
        not_a_leaf(session, &place, (valve, typed), rest, |sure, _| {
            take(Input::Gauge { typed: typed.into(), sure })
        })
    })
}

/// Asks about a number that no leaf of the set makes; what else is odd about a figure is looked at
/// once it is kept.
pub(super) fn not_a_leaf(
    session: &Session,
    place: &str,
    (valve, typed): (Valve, &str),
    given: &[String],
    then: impl FnOnce(bool, &[String]) -> Step,
) -> Step {
    let question = session.state.leaves.as_ref().and_then(|set| {
        let meaning = reading::parse(typed, set).ok()?;
        session.state.leaf_question(&meaning)
    });
    let Some(question) = question else { return then(false, given) };
    sure_prompt(session, place, (valve, typed), question, given, then)
}

/// Asks whether a figure is right; it stands large above the question.
pub(super) fn sure_prompt(
    session: &Session,
    place: &str,
    (valve, typed): (Valve, &str),
    question: String,
    given: &[String],
    then: impl FnOnce(bool, &[String]) -> Step,
) -> Step {
    let typed = plain(typed);
    let name = valve_name(&session.state, valve);
    let ask = prompt(place, format!("{typed} for {name}?"), question)
        .big(typed, "")
        .with(Field::choice(&[(1, "keep it as typed"), (2, "type it again")]).kept_by_enter());
    pick(ask, given, |digit, rest| match digit {
        Some(1) => then(true, rest),
        _ => Step::Retype(2),
    })
}

/// Asks about an odd figure, of several tries about the first that is odd, before it is kept.
pub(super) fn sure_of(
    session: &Session,
    place: &str,
    (valve, typed): (Valve, &str),
    given: &[String],
    then: impl FnOnce(bool, &[String]) -> Step,
) -> Step {
    let Some(question) = odd_question(session, valve, typed) else { return then(false, given) };
    sure_prompt(session, place, (valve, typed), question, given, then)
}

fn odd_question(session: &Session, valve: Valve, typed: &str) -> Option<String> {
    let set = session.state.leaves.as_ref()?;
    readings_of(typed).iter().find_map(|word| {
        let word = word.rsplit('>').next().unwrap_or(word);
        let meaning = reading::parse(word, set).ok()?;
        session.state.odd_question(valve, &meaning)
    })
}

/// Says what a valve reads, how that stands and what is allowed, and asks what now.
pub(super) fn out_of_band(
    state: &State,
    place: &str,
    (valve, verdict): (Valve, Verdict),
    about: String,
) -> Prompt {
    let big = match verdict {
        Verdict::Tight => "TIGHT",
        Verdict::Loose => "LOOSE",
        Verdict::InLimits => "IN LIMITS",
        Verdict::Undecided { .. } => "UNDECIDED",
    };
    let typed = state.current(valve).map_or("", |taken| taken.reading.typed.as_str());
    // Here nothing is large of another valve, so that in a small window the verdict may stand alone.
    let mut words = named_verdict(state, (valve, typed), &[big]);
    words.push(big.into());
    prompt(place, format!("{} reads {typed}", valve_name(state, valve)), "What now?")
        .big(big, about)
        .in_words_of(words)
        .lines(outside_words(state))
        .lines(super::leak::low_words(state, valve.cylinder))
        .line(capital(&status::limits_words(state, valve)))
}

/// Says that a verdict is not what the limits mean, where the engine is outside its temperature.
pub(super) fn outside_words(state: &State) -> Option<String> {
    let head = state.gone_on_outside()?;
    let warmth = if state.facts().gauge_when.hot { "hot" } else { "cold" };
    Some(format!(
        "The head is at {}, the limits are for a {warmth} engine: the verdict may be wrong.",
        head.both()
    ))
}

fn set(session: &Session, place: &str, valve: Valve, verdict: Verdict, given: &[String]) -> Step {
    let state = &session.state;
    let name = valve_name(state, valve);
    let about = format!("{name} · {}", place_seen(state.facts(), valve.cylinder));
    // On a rough look nothing is set.
    let look = state.is_rough_look();
    let gone = figure_gone(state, valve);
    let turn = status::screw_turn(state, valve, verdict).filter(|_| !look && gone.is_none());
    let mut ask = out_of_band(state, place, (valve, verdict), about)
        .then_turn(turn.map(|turn| turn.large()))
        .lines(gone)
        .lines(turn.map(|turn| capital(&turn.words())));
    let mut enter = "nut slackened: set it";
    if let Verdict::Undecided { settle } = verdict
        && let Some(set) = &state.leaves
    {
        ask = ask.line(format!("Leaf {} would settle it.", leaves::named(set, settle)));
        enter = "nut slackened: set it all the same";
    }
    // A low leak test comes first: what is set over it hides where the air goes.
    if super::leak::low_words(state, valve.cylinder).is_some() {
        enter = "cause of the low leak test found: nut slackened, set it";
    }
    let choices = [(1, enter), (2, "gauge it once more first"), (3, "leave it, and say why")];
    let ask = ask.with(Field::choice(if look { &choices[1..] } else { &choices }));
    let words = place.to_string();
    pick(ask, given, |digit, rest| match digit {
        Some(2) => {
            let ask = gauge_prompt(session, &words, valve, ReadingStep::Recheck);
            reading_input(session, ask, valve, rest)
        }
        Some(3) => reason(
            &words,
            &format!("{name} is left {}", verdict.word()),
            &left_whys(&session.state),
            rest,
            |why, _| take(Input::LeaveAsIs { valve, why }),
        ),
        _ => take(Input::OpenSet(valve)),
    })
}

fn trying(session: &Session, place: &str, valve: Valve, beside: &Beside, given: &[String]) -> Step {
    let state = &session.state;
    let ask = if state.locks_as_it_stands() {
        super::rough::trying(session, place, valve)
    } else {
        setting(session, place, valve, beside)
    };
    type_in(ask, given, |typed, rest| {
        sure_of(session, place, (valve, typed), rest, |sure, _| {
            take(Input::Tried { typed: typed.into(), sure })
        })
    })
}

fn setting(session: &Session, place: &str, valve: Valve, beside: &Beside) -> Prompt {
    let state = &session.state;
    let verdict = state.verdict_now(valve).unwrap_or(Verdict::InLimits);
    let unknown = stands_unknown(session, valve);
    let turn = status::screw_turn(state, valve, verdict).filter(|_| unknown.is_none());
    let torque = torque_words(session).map_or_else(String::new, |torque| format!(" at {torque}"));
    let name = valve_name(state, valve);
    let about = format!("{name} · {}", place_seen(state.facts(), valve.cylinder));
    prompt(
        place,
        format!("Set {name}: its nut is slack"),
        "Locked and gauged: which leaf drags?",
    )
    .big(valve_short(state, valve), about)
    .then_turn(turn.map(|turn| turn.large()))
    .lines(super::screw::locked_before(session, valve))
    .lines(outside_words(state))
    .lines(turn.map(|turn| capital(&turn.words())))
    .lines(unknown)
    .line(format!("Hold the screw, lock the nut{torque}, gauge again."))
    .lines(example_words(session))
    .line(capital(&status::limits_words(state, valve)))
    .lines(learnt_words(session, valve, beside))
    .more("The turn counted, 60° and then 6: 60d>6. It shows a hollow pad.")
    .more(
        "Set to 5.5 with the nut slack, 6 once locked: 5.5>6. Three such tries teach the lock nut.",
    )
    .more("Several tries after the fact: 7 8 6, the last one last; or only their number: 3x 6.")
    .with(Field::typed(Typed::Reading))
}

/// Says what locking the nut does on this engine and what this hand does, once three tries tell; and
/// the aim that allows for it, once it is steady.
fn learnt_words(session: &Session, valve: Valve, beside: &Beside) -> Vec<String> {
    let state = &session.state;
    let own = learning::tries(session);
    let all: Vec<&Aimed> = beside.tries.iter().chain(&own).collect();
    let unit = state.leaves.as_ref().map_or(state.facts().unit, |set| set.unit);
    let mut lines = Vec::new();
    if let Some(shift) = learning::lock_shift(all.iter().copied()) {
        lines.push(shift.lock_words(unit));
        if let Some(aim) = shift.aim(&state.figures(valve.kind)) {
            lines.push(format!("It is steady: aim at {}; gauge it locked.", aim.text(unit)));
        }
    }
    let hand = state.worker.as_deref().and_then(|by| learning::overshoot(all.iter().copied(), by));
    lines.extend(hand.map(|shift| shift.hand_words(unit)));
    lines
}

pub(super) fn torque_words(session: &Session) -> Option<String> {
    let facts = session.state.facts();
    match &facts.adjuster {
        Adjuster::Screw(screw) => Some(
            screw
                .lock_nut_torque
                .as_ref()
                .map_or_else(|| "the manual's torque".into(), |torque| torque.both(facts.unit)),
        ),
        Adjuster::Shim { .. } | Adjuster::Pushrod { .. } | Adjuster::None => None,
    }
}

/// Says whose torque and thread are told where they are an example's: of the manual's page only target
/// and limits are asked.
fn example_words(session: &Session) -> Option<String> {
    let facts = session.state.facts();
    let Adjuster::Screw(screw) = &facts.adjuster else { return None };
    let told = match (screw.lock_nut_torque.is_some(), screw.pitch_mm.is_some()) {
        (true, true) => "Torque and thread are",
        (true, false) => "The torque is",
        (false, true) => "The thread is",
        (false, false) => return None,
    };
    is_practice(&facts.source, false).then(|| format!("{told} an example's: see the manual."))
}

fn nut(session: &Session, place: &str, valve: Valve, reading: u64, given: &[String]) -> Step {
    let state = &session.state;
    let typed = state
        .readings
        .iter()
        .find(|taken| taken.seq == reading)
        .map_or("", |taken| taken.reading.typed.as_str());
    let torque = torque_words(session).map_or_else(String::new, |torque| format!(" at {torque}"));
    let locked = format!("locked{torque}; {typed} was gauged after");
    let still = format!("still slack; {typed} was a try");
    let name = valve_name(state, valve);
    let before = broken_off(session, valve).then(|| {
        format!("{typed} was gauged before the break: in doubt answer 2, and gauge it again.")
    });
    let ask = prompt(place, format!("The nut of {name}"), "How is the nut?")
        .big(format!("NUT {}", valve_short(state, valve)), place_of(state, valve))
        .large_for_title()
        .lines(example_words(session))
        .line("Locking can shift the setting: only a figure gauged with the nut locked counts.")
        .with(Field::choice(&[(1, &locked), (2, &still)]))
        .warned(before.into_iter().collect());
    pick(ask, given, |digit, _| {
        take(if digit == Some(1) { Input::NutLocked } else { Input::NutStillSlack })
    })
}

fn threads(
    session: &Session,
    place: &str,
    valve: Valve,
    (least, most): (u8, u8),
    given: &[String],
) -> Step {
    let state = &session.state;
    let ask = prompt(
        place,
        format!("Threads showing on {}", valve_name(state, valve)),
        "How many threads show above the nut?",
    )
    .big(valve_short(state, valve), place_of(state, valve))
    .line(format!(
        "{least} to {most} by the profile. Else the rod's length is wrong: stop, look in the manual."
    ))
    .with(Field::typed(Typed::Count));
    count(ask, given, |number, _| match u8::try_from(number) {
        Ok(threads) => take(Input::Threads(threads)),
        Err(_) => Step::Refused("that is more than can show: count again".into()),
    })
}

/// "1 thread shows", "6 threads show".
fn threads_show(threads: u8) -> String {
    if threads == 1 { "1 thread shows".into() } else { format!("{threads} threads show") }
}

fn threads_outside(
    session: &Session,
    place: &str,
    (valve, threads, (least, most)): (Valve, u8, (u8, u8)),
    given: &[String],
) -> Step {
    let state = &session.state;
    let (name, shown) = (valve_name(state, valve), threads_show(threads));
    let title = format!("{name}: {shown}, {least} to {most} by the profile");
    let again = "nut slackened again";
    let put_right = format!("{again}: put it right");
    // Where nothing is set it is only locked once more, as its screw stands.
    let again = if state.locks_as_it_stands() { again } else { &put_right };
    let ask = prompt(place, &title, "What now?")
        .big(valve_short(state, valve), place_of(state, valve))
        .line("Outside these the rod's length is wrong, or a part: stop, look in the manual.")
        .with(Field::choice(&[
            (1, "counted wrong: count again"),
            (2, again),
            (3, "leave it, and say why"),
        ]));
    pick(ask, given, |digit, rest| match digit {
        Some(1) => {
            let ask = prompt(place, &title, "How many threads show above the nut?")
                .with(Field::typed(Typed::Count));
            count(ask, rest, |number, _| match u8::try_from(number) {
                Ok(threads) => take(Input::Threads(threads)),
                Err(_) => Step::Refused("that is more than can show: count again".into()),
            })
        }
        // Slack in the hand, whether it could be opened to set it now or not.
        Some(2) => take(Input::NutFoundSlack(valve)),
        _ => reason(place, &title, THREADS_LEFT, rest, |why, _| take(Input::LeaveThreads { why })),
    })
}

const THREADS_LEFT: &[&str] =
    &["the manual allows it on this engine", "another rod is on order, owner told"];
