//! The questions of the rounds: turn, prove, unload, gauge, set, lock, let go.

use super::form::{count, pick, prompt, reason, take, type_in};
use super::status::{self, number_and_side, valve_words};
use super::turning::{approach_lines, direction_lines, place_words, tolerance_words};
use super::{Field, Prompt, Step, Typed};
use crate::domain::entry::{PartKind, Rocked, Step as ReadingStep};
use crate::domain::profile::Adjuster;
use crate::domain::session::{Again, Due, Input, Session};
use crate::domain::valve::{Cylinder, Kind, Valve};
use crate::domain::verdict::Verdict;
use crate::domain::{leaves, plan, reading};

/// Asks what is due in the rounds; `None` where something else is due.
pub(super) fn step(session: &Session, due: &Due, given: &[String]) -> Option<Step> {
    let place = status::place(session);
    let place = place.as_str();
    Some(match *due {
        Due::Turn { stop, again, there, rock } => {
            turn(session, place, (stop, again, there, rock), given)
        }
        Due::Rock { stop, loose } => rock(session, place, stop, loose, given),
        Due::Unload(valve) => unload(session, place, valve, given),
        Due::Gauge(valve, step) => gauge(session, place, valve, step, given),
        Due::LeakTest(cylinder, valve) => leak_test(place, cylinder, valve, given),
        Due::HoldDown(cylinder) => hold_down(place, cylinder, given),
        Due::Set(valve, verdict) => set(session, place, valve, verdict, given),
        Due::Trying(valve) => trying(session, place, valve, given),
        Due::NutAnswer(valve, reading) => nut(session, place, valve, reading, given),
        Due::Threads(valve, bounds) => threads(place, valve, bounds, given),
        Due::Release(valve) => release(session, place, valve, given),
        Due::PartOut(valve, part) => part_out(place, valve, part, given),
        _ => return None,
    })
}

type TurnDue = (usize, Option<Again>, bool, bool);

fn turn(session: &Session, place: &str, due: TurnDue, given: &[String]) -> Step {
    count(turn_prompt(session, place, due), given, |loose, _| {
        take(Input::Loose(u8::try_from(loose).unwrap_or(u8::MAX)))
    })
}

fn turn_prompt(session: &Session, place: &str, (index, again, there, rock): TurnDue) -> Prompt {
    let state = &session.state;
    let facts = state.facts();
    let Some(stop) = state.stops().get(index) else {
        return prompt(place, "Turn", "How many rockers are loose?");
    };
    let expected = state.to_gauge(index);
    let part = part_word(&facts.adjuster);
    let ask = format!(
        "Of the {expected} {part} to be gauged here, how many are loose? ({expected} expected)"
    );
    let then_on = if stop.then_turn > 0 { ", then one full turn on" } else { "" };
    let title = match (again, there) {
        (Some(Again::WrongStroke), _) => {
            "None loose: wrong stroke. Turn one full turn on, 360°, and feel again".to_string()
        }
        (Some(Again::Moved), _) => {
            format!("A rocker moved: find {} again{then_on}", sign_title(stop))
        }
        (None, true) => {
            format!("The crank should stand here: {}{then_on}. Prove it", sign_title(stop))
        }
        (None, false) => format!("Turn to {}{then_on}", sign_title(stop)),
    };
    let caption = format!("{}: {}", sign_title(stop), place_words(facts, stop.watch));
    let mut ask = prompt(place, title, ask)
        .big(number_and_side(state, stop.watch), caption)
        .with(Field::typed(Typed::Count));
    if again.is_none() && !there {
        ask = ask.lines(
            approach_lines(facts, stop, stop.approach(state.crank_angle()))
                .into_iter()
                .map(capital),
        );
        ask = ask.lines(direction_lines(facts));
        ask = ask.lines(tolerance_words(stop).map(|words| capital(format!("{words}."))));
    }
    ask = ask.lines(stop.say.clone().map(|say| format!("The manual: {say}")));
    ask = ask.line(format!("Gauged here: {}", gauged_words(session, stop)));
    let kinds: Vec<Kind> = Kind::BOTH
        .into_iter()
        .filter(|&kind| stop.gauge.iter().any(|gauge| gauge.valve.kind == kind))
        .collect();
    ask = ask.line(format!("Carry: {}", status::carry_words(state, &kinds)));
    if rock && again.is_none() {
        ask = ask.line("You will then be asked to rock the crank.");
    }
    if let Some(caveat) = state.plan.as_ref().ok().and_then(|plan| plan.caveat) {
        ask = ask.line(format!("Computed plan: {caveat}."));
    }
    ask
}

fn part_word(adjuster: &Adjuster) -> &'static str {
    match adjuster {
        Adjuster::Screw(_) | Adjuster::Pushrod { .. } | Adjuster::None => "rockers",
        Adjuster::Shim { .. } => "followers",
    }
}

fn capital(words: String) -> String {
    let mut chars = words.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

fn sign_title(stop: &plan::Stop) -> String {
    use crate::domain::profile::Sign;
    match stop.sign {
        Sign::Overlap => format!("cylinder {} at overlap", stop.watch),
        Sign::Changeover => format!("cylinder {} at changeover", stop.watch),
        Sign::IntakeOpens => format!("intake of {} just opening", stop.watch),
        Sign::IntakeCloses => format!("intake of {} just shut", stop.watch),
        Sign::ExhaustOpens => format!("exhaust of {} just opening", stop.watch),
        Sign::ExhaustCloses => format!("exhaust of {} just shut", stop.watch),
        Sign::Mark => "the mark".into(),
    }
}

fn gauged_words(session: &Session, stop: &plan::Stop) -> String {
    let facts = session.state.facts();
    let mut cylinders: Vec<Cylinder> = Vec::new();
    for gauge in &stop.gauge {
        if !cylinders.contains(&gauge.valve.cylinder) {
            cylinders.push(gauge.valve.cylinder);
        }
    }
    let words: Vec<String> = cylinders
        .iter()
        .map(|&cylinder| {
            let valves: Vec<&str> = stop
                .gauge
                .iter()
                .filter(|gauge| gauge.valve.cylinder == cylinder)
                .map(|gauge| gauge.valve.kind.word())
                .collect();
            format!("{cylinder} {} ({})", valves.join(" and "), place_words(facts, cylinder))
        })
        .collect();
    let mut words = words.join("; ");
    if !stop.unload.is_empty() {
        let held: Vec<String> = stop.unload.iter().map(Valve::to_string).collect();
        words.push_str(&format!("; first unload {}", held.join(", ")));
    }
    words
}

fn rock(session: &Session, place: &str, stop: usize, loose: u8, given: &[String]) -> Step {
    let state = &session.state;
    let expected = state.to_gauge(stop);
    let back = state.facts().rotation.as_ref().is_some_and(|rotation| rotation.backwards_allowed);
    let how = if back {
        "Rock the crank 15° each way, a hand on the rockers to be gauged"
    } else {
        "Turn the crank 15° on and no way back, a hand on the rockers to be gauged"
    };
    let (ask, steady, moved) = if loose == expected {
        ("Did they stay loose?", "all stayed loose", "one took up or moved")
    } else {
        (
            "Did what was tight stay tight, and what was loose stay loose?",
            "yes, steady: a tight valve",
            "no, a rocker moved: wrong place",
        )
    };
    let mut prompt = prompt(place, how, ask)
        .line("At its firing stroke neither valve moves; at overlap both do.")
        .with(Field::choice(&[(1, steady), (0, moved)]));
    if let Some(stop) = state.stops().get(stop) {
        let gauged = stop.gauge.first().map_or(stop.watch, |gauge| gauge.valve.cylinder);
        prompt = prompt.big(
            number_and_side(state, gauged),
            format!("rockers of {}", place_words(state.facts(), gauged)),
        );
        if loose != expected {
            prompt = prompt.line(format!("{loose} of {expected} were loose."));
        }
    }
    pick(prompt, given, |digit, _| {
        take(Input::Rock(if digit == Some(1) { Rocked::Steady } else { Rocked::Moved }))
    })
}

fn unload(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let ask = prompt(place, format!("Unload {valve} first"), "Is it pressed open and held?")
        .big(
            number_and_side(state, valve.cylinder),
            format!("press open: {}", valve_words(state, valve)),
        )
        .line("Until it is let go again nothing may turn.")
        .with(Field::choice(&[(1, "pressed open and held")]));
    pick(ask, given, |_, _| take(Input::Unload))
}

fn release(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let ask = prompt(place, format!("Let {valve} go"), "Is its rod seated at both ends?")
        .big(
            number_and_side(state, valve.cylinder),
            format!("let go: {}", valve_words(state, valve)),
        )
        .line("Spin the rod between the fingers, feel both ends.")
        .with(Field::choice(&[(1, "let go, rod seated at both ends")]));
    pick(ask, given, |_, _| take(Input::Release))
}

fn gauge(
    session: &Session,
    place: &str,
    valve: Valve,
    step: ReadingStep,
    given: &[String],
) -> Step {
    let ask = gauge_prompt(session, place, valve, step);
    reading_input(session, valve, ask, given)
}

fn gauge_prompt(session: &Session, place: &str, valve: Valve, step: ReadingStep) -> Prompt {
    let state = &session.state;
    let facts = state.facts();
    let word = match valve.kind {
        Kind::Intake => "INT",
        Kind::Exhaust => "EXH",
    };
    let number = if facts.spec(valve.kind).per_cylinder > 1 {
        valve.number.to_string()
    } else {
        String::new()
    };
    let what = match step {
        ReadingStep::Found => "as found, before anything is touched",
        ReadingStep::Recheck => "once more",
        ReadingStep::Try | ReadingStep::Left => "gauge again",
    };
    let mut ask = prompt(place, format!("Gauge {valve}: {what}"), "Which leaf drags lightly?")
        .big(
            format!("{} {word}{number}", valve.cylinder),
            format!("{} · {}", valve_words(state, valve), place_words(facts, valve.cylinder)),
        )
        .line(leaf_help(session))
        .with(Field::typed(Typed::Reading));
    if facts.spec(valve.kind).leaves_at_once > 1 {
        ask = ask
            .line("Forked rocker: two equal leaves at once, one under each arm; type one of them.");
    }
    ask.line("Tip wiped, oil squeezed out, leaf flat and straight.")
}

fn leaf_help(session: &Session) -> String {
    let set = session.state.leaves.as_ref();
    let example = set.and_then(|set| {
        let leaf = *set.leaves.get(set.leaves.len() / 2)?;
        let next = leaves::neighbours(&set.leaves, leaf).1?;
        let one = leaves::labels(set, &[leaf]);
        let two = leaves::labels(set, &[next]);
        Some(format!(
            "{one} drags → {one}   goes freely, {two} will not → {one}/{two}   nothing goes → 0"
        ))
    });
    example
        .unwrap_or_else(|| "6 drags → 6   goes freely, 7 will not → 6/7   nothing goes → 0".into())
}

/// Asks for a reading; a figure that is odd is asked about before it is kept.
pub(super) fn reading_input(
    session: &Session,
    valve: Valve,
    ask: Prompt,
    given: &[String],
) -> Step {
    let place = ask.place.clone();
    type_in(ask, given, |typed, rest| {
        let sure = |sure| take(Input::Gauge { typed: typed.into(), sure });
        let Some(question) = odd_question(session, valve, typed) else { return sure(false) };
        let ask = prompt(&place, format!("{typed} for {valve}?"), question)
            .with(Field::choice(&[(1, "keep it as typed"), (2, "type it again")]));
        pick(ask, rest, |digit, _| if digit == Some(1) { sure(true) } else { Step::Again })
    })
}

fn odd_question(session: &Session, valve: Valve, typed: &str) -> Option<String> {
    let state = &session.state;
    let set = state.leaves.as_ref()?;
    let meaning = reading::parse(typed, set).ok()?;
    let odd = crate::domain::odd::suspicious(&meaning, state.figures(valve.kind).target)?;
    Some(odd.question(&meaning, set.unit))
}

fn leak_test(place: &str, cylinder: Cylinder, valve: Valve, given: &[String]) -> Step {
    let title =
        format!("{valve} is very tight: leak-test cylinder {cylinder} before its screw is touched");
    let ask = prompt(place, title, "What did it hold, of how much? As in 74/80; 0 if not tested.")
        .line("A valve held off its seat loses air. A second person holds the propeller or crank firmly,")
        .line("and is in charge, before air goes on. The manual gives the limits.")
        .with(Field::typed(Typed::Reading));
    let words = place.to_string();
    type_in(ask, given, |typed, rest| {
        if typed != "0" {
            return take(Input::LeakTest { typed: typed.into(), why_not: String::new() });
        }
        reason(
            &words,
            "No leak test",
            &["done earlier in this service", "no test set at hand: will be done before running"],
            rest,
            |why_not, _| take(Input::LeakTest { typed: String::new(), why_not }),
        )
    })
}

fn hold_down(place: &str, cylinder: Cylinder, given: &[String]) -> Step {
    let title = format!("Work was done on cylinder {cylinder}");
    let ask = prompt(place, title, "Its hold-down torque, as found with the wrench:").line(
        "Hold-down torque is checked before its valves are set. The manual gives the figure.",
    );
    type_in(ask, given, |typed, _| take(Input::HoldDown(typed.into())))
}

fn set(session: &Session, place: &str, valve: Valve, verdict: Verdict, given: &[String]) -> Step {
    let state = &session.state;
    let big = match verdict {
        Verdict::Tight => "TIGHT",
        Verdict::Loose => "LOOSE",
        Verdict::InLimits => "IN",
        Verdict::Undecided { .. } => "MAYBE",
    };
    let typed = state.current(valve).map_or("", |taken| taken.reading.typed.as_str());
    let mut ask = prompt(place, format!("{valve} reads {typed}: {}", verdict.word()), "What now?")
        .big(big, format!("{valve}, {}", place_words(state.facts(), valve.cylinder)))
        .line(capital(status::limits_words(state, valve)))
        .lines(status::screw_words(state, valve, verdict).map(capital));
    let mut enter = "nut slackened: set it";
    if let Verdict::Undecided { settle } = verdict
        && let Some(set) = &state.leaves
    {
        ask =
            ask.line(format!("Leaf {} would settle it: gauge again.", leaves::named(set, settle)));
        enter = "nut slackened: set it all the same";
    }
    let choices =
        [(1, enter), (2, "gauge it once more first"), (3, "leave it as it is, and say why")];
    let ask = ask.with(Field::choice(&choices));
    let words = place.to_string();
    pick(ask, given, |digit, rest| match digit {
        Some(2) => {
            let ask = gauge_prompt(session, &words, valve, ReadingStep::Recheck);
            reading_input(session, valve, ask, rest)
        }
        Some(3) => {
            reason(&words, &format!("{valve} is left {}", verdict.word()), LEFT, rest, |why, _| {
                take(Input::LeaveAsIs { valve, why })
            })
        }
        _ => take(Input::OpenSet(valve)),
    })
}

pub(super) const LEFT: &[&str] = &[
    "the manual allows it until the next check",
    "cannot be set: part on order",
    "owner told, will be done at the next service",
];

fn trying(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let verdict = state.verdict_now(valve).unwrap_or(Verdict::InLimits);
    let torque = torque_words(session);
    let lost = state.found_lost.contains_key(&valve);
    let ask = prompt(
        place,
        format!("Set {valve}: nut is slack"),
        "Set, lock, gauge: what does it read? (tries: 7 8 6, or 3x 6)",
    )
    .big(
        "SET",
        format!("{}, {}", valve_words(state, valve), place_words(state.facts(), valve.cylinder)),
    )
    .line(capital(status::limits_words(state, valve)))
    .lines(status::screw_words(state, valve, verdict).filter(|_| !lost).map(capital))
    .line(format!("Hold the screw, lock the nut{torque}, gauge again with it locked."))
    .with(Field::typed(Typed::Reading));
    type_in(ask, given, |typed, _| take(Input::Tried(typed.into())))
}

fn torque_words(session: &Session) -> String {
    match &session.state.facts().adjuster {
        Adjuster::Screw(screw) => screw.lock_nut_torque.as_ref().map_or_else(
            || " (torque as in the manual)".into(),
            |torque| format!(" at {}", torque.both(session.state.facts().unit)),
        ),
        Adjuster::Shim { .. } | Adjuster::Pushrod { .. } | Adjuster::None => String::new(),
    }
}

fn nut(session: &Session, place: &str, valve: Valve, reading: u64, given: &[String]) -> Step {
    let state = &session.state;
    let typed = state
        .readings
        .iter()
        .find(|taken| taken.seq == reading)
        .map_or("", |taken| taken.reading.typed.as_str());
    let locked = format!("nut locked{}, and {typed} was gauged after", torque_words(session));
    let still = format!("still slack: {typed} was a try");
    let ask = prompt(place, format!("The nut of {valve}"), "How is it?")
        .big("NUT", format!("{valve}: a nut that nobody answered for is loose"))
        .line("Locking can shift the setting: only a figure gauged with the nut locked counts.")
        .with(Field::choice(&[(1, &locked), (2, &still)]));
    pick(ask, given, |digit, _| {
        take(if digit == Some(1) { Input::NutLocked } else { Input::NutStillSlack })
    })
}

fn threads(place: &str, valve: Valve, (least, most): (u8, u8), given: &[String]) -> Step {
    let ask = prompt(
        place,
        format!("Threads showing on {valve}"),
        "How many threads show above the nut?",
    )
    .line(format!("The profile allows {least} to {most}. Outside that the rod's length is wrong:"))
    .line("stop, and look in the manual.")
    .with(Field::typed(Typed::Count));
    count(ask, given, |number, _| match u8::try_from(number) {
        Ok(threads) => take(Input::Threads(threads)),
        Err(_) => Step::Refused("that is more than can show: count again".into()),
    })
}

fn part_out(place: &str, valve: Option<Valve>, part: PartKind, given: &[String]) -> Step {
    let of = valve.map_or_else(String::new, |valve| format!(" of {valve}"));
    let ask = prompt(place, format!("A part is out{of}"), "Put it back; its marked size, or - :")
        .line("No turn is offered while a part is out.");
    type_in(ask, given, |typed, _| take(Input::PartIn { valve, part, typed: typed.into() }))
}
