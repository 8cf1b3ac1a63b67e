//! The questions at the end: figures missing, reasons, hardware in, checks, run, signature.

use super::counting_out::still_missing;
use super::form::{count, in_words, pick, prompt, reason, take, told, type_in};
use super::left_so::left_whys;
use super::left_so::{told_at_the_run, told_before_it};
use super::named::{open_words, valve_name, valve_names};
use super::prepare::{checklist_line, line_prompt};
use super::usual::{how_seen, named, told_of};
use super::{Beside, Field, Prompt, Step, Typed, status, usual};
use crate::domain::entry::{Begin, Seal};
use crate::domain::plain::plain;
use crate::domain::session::checklist::Line;
use crate::domain::session::{
    Due, HAS_RUN, Input, MISSING_ALREADY, OpenItem, OutCount, RUN_HANDED_OVER, Session,
    TEST_THINGS, asks_for_cause, is_handed_on, is_to_look_for, remark_in_short,
};
use crate::domain::valve::{Cylinder, Valve};
use crate::domain::verdict::Verdict;

pub(super) const CLOSE: &str = "close up";
pub(super) const RUN: &str = "run and leak check";

/// Asks what is due at the end of the service.
pub(super) fn step(session: &Session, due: &Due, beside: &Beside, given: &[String]) -> Step {
    match due {
        Due::NoFigure(valves) => no_figure(session, valves, given),
        Due::ReasonFor(valve, verdict) => reason_for(session, *valve, *verdict, given),
        Due::CountIn { bank, item, out } => count_in(session, bank, item, *out, given),
        Due::Shortage { bank, item, out, counted } => {
            shortage(session, (bank, item), (*out, *counted), given)
        }
        Due::Check(line) => check(session, line, given),
        Due::Look(seq, text) => super::look::asked(session, (*seq, text), given),
        Due::BeforeRunning(seq, text) if is_to_look_for(text) => {
            super::look::asked(session, (*seq, text), given)
        }
        Due::BeforeRunning(seq, text) => before_running((session, beside), *seq, text, given),
        Due::PromisedTest { cylinder, plugs_out, .. } => {
            super::leak::promised(session, *cylinder, *plugs_out, given)
        }
        Due::RunCaution(line) => run_caution((session, beside), line, given),
        Due::RunCheck(line) => run_check((session, beside), line, given),
        Due::RunFault(id, text) => run_fault(session, id, text, given),
        Due::Sign => super::signing::sign(session, &beside.proposal, given),
        Due::Away => {
            let ask = prompt("called away", "DO NOT TURN", "Press Enter when you are back.")
                .lines(status::notice(session, &beside.earlier))
                .with(Field::choice(&[]).or_enter("back"));
            type_in(ask, given, |_, _| take(Input::Back(Default::default())))
        }
        _ => closed(session, beside, given),
    }
}

fn closed(session: &Session, beside: &Beside, given: &[String]) -> Step {
    let ask = prompt("closed", "This session is closed", "Only remarks can be added: * or n.")
        .with(Field::default().or_enter("to the engines"));
    // What is left open at the engine is graver than any code.
    let left = status::gravest(&session.state);
    let ask = match (&beside.seal_code, left) {
        (Some(code), left) => {
            // In plain letters too where it is large: drawn ones are soon misread.
            let told = format!("Seal code {}: note it down", in_fours(code));
            let ask = match left {
                Some(left) => ask.big(left, "left so at the engine: hang a tag on it").line(told),
                None => Prompt { title: told, ..ask.big(in_fours(code), "").read_out() },
            };
            ask.line(COMPARES).line(format!("Note it on the job sheet: it is {}.", Seal::CODE_IS))
        }
        (None, Some(left)) => {
            ask.big(left, "left so at the engine: hang a tag on it").line(COMPARES)
        }
        (None, None) => ask.line(COMPARES).also_large("CLOSED"),
    };
    let (first, used) = (&session.head.profile.name, &session.state.profile.name);
    if first == used {
        return Step::Ask(ask);
    }
    // Replaced in this service only: the engine's next one would begin with the wrong one again.
    let (first, used) = (plain(first), plain(used));
    let label = format!("give the engine the profile {used} from now on");
    let line = format!("This service went on with the profile {used}; it had begun with {first}.");
    if beside.profile_by_path {
        let how = "No profile of that name is found here: cowlside engine profile NAME PATH gives the \
                   engine the one of a file.";
        return Step::Ask(ask.line(line).line(how));
    }
    let ask = ask.line(line).with(Field::choice(&[(1, &label)]).or_enter("to the engines"));
    pick(ask, given, |digit, _| match digit {
        Some(_) => Step::GiveProfile(session.state.profile.name.clone()),
        None => Step::Back,
    })
}

const COMPARES: &str = "c compares it with earlier services, r shows its record.";

/// A code as it is copied by hand: four characters at a time.
fn in_fours(code: &str) -> String {
    let characters: Vec<char> = plain(code).to_uppercase().chars().collect();
    let fours = characters.chunks(4).map(|four| four.iter().collect::<String>());
    fours.collect::<Vec<_>>().join(" ")
}

fn no_figure(session: &Session, valves: &[Valve], given: &[String]) -> Step {
    let place = status::place(session);
    let state = &session.state;
    // What was changed, or is outside its limits, is answered for whatever the scope is.
    let out = valves.iter().map(|valve| valve.cylinder);
    let mut out: Vec<Cylinder> = out.filter(|&one| state.may_be_left_out(one)).collect();
    out.dedup();
    let which = if valves.iter().all(|valve| out.contains(&valve.cylinder)) {
        "their cylinders".into()
    } else {
        format!("cylinder {}", out.iter().map(u8::to_string).collect::<Vec<_>>().join(", "))
    };
    let take_out = format!("take {which} out of the scope, and say why");
    let mut choices = vec![(1, "gauge them now")];
    choices.extend((!out.is_empty()).then_some((2, take_out.as_str())));
    choices.push((3, "close this session unsigned, and say why"));
    let ask = prompt(&place, "Not every valve has a figure", "What now?")
        .also_large("NO FIGURE")
        .line(format!("Without an as-left figure: {}", valve_names(&session.state, valves)))
        .line("The service cannot be signed for while a valve in its scope has none.")
        .with(Field::choice(&choices));
    let first = valves.first().copied();
    pick(ask, given, |digit, rest| match (digit, first) {
        (Some(1), Some(valve)) => take(Input::Unskip(valve)),
        (Some(2), _) => {
            let all = state.facts().firing_order.iter().copied();
            let scope: Vec<Cylinder> =
                all.filter(|one| state.in_scope(*one) && !out.contains(one)).collect();
            if scope.is_empty() {
                return Step::Refused(
                    "that would leave nothing in the scope: close unsigned".into(),
                );
            }
            reason(&place, "Out of the scope", NARROWED, rest, |why, _| {
                let scope = Some(scope);
                let begin = Begin { scope, scope_why: Some(why), ..Begin::default() };
                take(Input::Begin(Box::new(begin)))
            })
        }
        _ => close_unsigned(session, &place, None, rest),
    })
}

const NARROWED: &[&str] = &["cannot be reached today", "cylinder comes off for other work"];
/// Closes unsigned. What is open is named first, and stands in the reason: whoever opens the next
/// service of this engine is told.
pub(super) fn close_unsigned(
    session: &Session,
    place: &str,
    why: Option<&str>,
    given: &[String],
) -> Step {
    let left = session.state.open_if_closed(why.unwrap_or_default());
    let lines: Vec<String> = left.iter().map(|item| open_words(&session.state, item)).collect();
    let open = lines.join("; ");
    let close = |why: &str| {
        let left = if open.is_empty() { String::new() } else { format!("; left open: {open}") };
        take(Input::CloseUnsigned { why: format!("{why}{left}") })
    };
    let with_reason = |rest: &[String]| match why {
        Some(why) => close(why),
        None => reason(place, "Close unsigned", UNSIGNED, rest, |why, _| close(&why)),
    };
    if open.is_empty() {
        return with_reason(given);
    }
    let first = left.first();
    let gravest = first.map_or_else(String::new, |item| status::grave_words(&session.state, item));
    // A remark may be longer than what has room in large letters.
    let is_large = first.is_some_and(|item| !matches!(item, OpenItem::BeforeRunning { .. }))
        && lines.first().is_some_and(|line| line.eq_ignore_ascii_case(&gravest));
    let ran = why.filter(|why| why.starts_with(HAS_RUN));
    let ran = ran.and_then(|_| session.state.ran_with_slack());
    let ask = prompt(place, "This stays open at the engine", "Is it left so?")
        .lines(ran)
        .lines(lines.into_iter().skip(usize::from(is_large)))
        .big(gravest, "closed unsigned with this")
        // Nothing is left so that was not seen.
        .whole_for_any()
        .line("Hang a tag on it. The next service of this engine begins with it.")
        .with(Field::choice(&[(1, "left so, and whoever comes next is told")]));
    pick(ask, given, |_, rest| with_reason(rest))
}

pub(super) const UNSIGNED: &[&str] =
    &["interrupted: other work comes first", "wrong profile or wrong engine", "only practised"];

fn reason_for(session: &Session, valve: Valve, verdict: Verdict, given: &[String]) -> Step {
    let place = status::place(session);
    let name = valve_name(&session.state, valve);
    let title = format!("{name} would be left {}", verdict.word());
    let band = status::limits_words(&session.state, valve);
    let typed = session.state.left(valve).map_or("", |taken| taken.reading.typed.as_str());
    let title = format!("{title} ({typed}; {band})");
    reason(&place, &title, &left_whys(&session.state), given, |why, _| {
        take(Input::LeaveAsIs { valve, why })
    })
}

fn count_in(session: &Session, bank: &str, item: &str, out: u32, given: &[String]) -> Step {
    let item = plain(item);
    // What came off is not shown: a number that is seen is a number that is counted.
    let _ = out;
    let counted = |line: &&OutCount| line.counted_in.is_none() && line.out > 0;
    let more = session.state.out.iter().filter(counted).count().saturating_sub(1);
    let more = if more == 0 {
        "This is the last count.".into()
    } else {
        format!("{more} more to count after this.")
    };
    let caption = status::where_counted(session, &plain(bank));
    let test = bank == TEST_THINGS;
    let title = if test {
        "Count in what was taken for the leak test"
    } else {
        "Count in, before a cover goes on"
    };
    let ask = prompt(CLOSE, title, "How many are there? Count them.")
        .big(item.to_uppercase(), format!("{item}, {caption}"))
        .in_short(last_word(&item).to_uppercase())
        .large_for_title()
        .line(if test {
            "Nothing is left in the cylinder or on the engine."
        } else if super::part_words::overhead_cams(&session.state) {
            "Nothing is left under a cover, nothing is left over."
        } else {
            "Nothing is left in a rocker box, nothing is left over."
        })
        .line(more)
        .with(Field::typed(Typed::Count));
    let ask = still_missing(ask, session);
    count(ask, given, |number, _| take(Input::CountIn(number)))
}

/// The word of an item that tells it: "SCREW" of a cover screw, "WASHER" of a washer pair.
fn last_word(item: &str) -> &str {
    let mut words = item.split_whitespace().rev();
    words.find(|word| !["pair", "pairs", "set", "sets"].contains(word)).unwrap_or(item)
}

/// What is asked where a count disagrees.
struct Disagrees {
    large: &'static str,
    look: String,
    enter: &'static str,
    choices: &'static [(u8, &'static str)],
    ask: &'static str,
}

impl Disagrees {
    fn of(session: &Session, out: u32, counted: u32) -> Disagrees {
        let overhead = super::part_words::overhead_cams(&session.state);
        let boxes = if overhead { "cam boxes" } else { "rocker boxes" };
        if counted > out {
            return Disagrees {
                large: "TOO MANY",
                look: format!(
                    "{} more than came off: of another place, or counted wrong when it came off?",
                    counted.saturating_sub(out)
                ),
                enter: "so many there are: say whose it is",
                choices: &[
                    (1, "it came off here: the count out was wrong"),
                    (2, "it is from elsewhere: say whose, and who says so"),
                ],
                ask: "Whose is it?",
            };
        }
        Disagrees {
            large: "SHORT",
            look: format!("Look in the {boxes}, the tray, under the cowling, on the floor."),
            enter: "not to be counted here: found, or accounted for",
            choices: &[
                (1, "the missing ones were found"),
                (2, "accounted for: say where, and who says so"),
            ],
            ask: "Where are they?",
        }
    }
}

fn shortage(
    session: &Session,
    (bank, item): (&str, &str),
    (out, counted): (u32, u32),
    given: &[String],
) -> Step {
    let (bank, item) = (plain(bank), plain(item));
    let place = status::where_counted(session, &bank);
    let title = format!("{item}, {place}: {out} came off, {counted} counted");
    let Disagrees { large, look, enter, choices, ask: which } =
        Disagrees::of(session, out, counted);
    // A number is always a count: the shortest answer to a wrong count is the right one.
    let ask = prompt(CLOSE, &title, "Counted again, how many are there?")
        .big(large, "Do not close up on a count that does not agree.")
        .line(look)
        .with(Field::typed(Typed::Count).or_enter(enter));
    let by = session.state.worker.clone().unwrap_or_default();
    type_in(ask, given, |typed, rest| {
        if !typed.is_empty() {
            return count(prompt(CLOSE, &title, ""), given, |number, _| {
                take(Input::CountIn(number))
            });
        }
        let ask = prompt(CLOSE, &title, which).also_large(large).with(Field::choice(choices));
        pick(ask, rest, |digit, rest| match digit {
            Some(1) if counted > out => {
                take(Input::ShortageAccounted { place: "the count out was wrong".into(), by })
            }
            Some(1) => take(Input::ShortageFound),
            _ => in_words(prompt(CLOSE, &title, which).also_large(large), rest, |place, rest| {
                let place = place.to_string();
                let ask = prompt(CLOSE, &title, "Who says so?").also_large("WHO SAYS SO");
                named(ask, &session.state.workers, rest, |by, _| {
                    take(Input::ShortageAccounted { place, by: by.into() })
                })
            }),
        })
    })
}

fn check(session: &Session, line: &Line, given: &[String]) -> Step {
    let ask = line_prompt(CLOSE, "Close up: answer what you see", line);
    checklist_line(still_missing(ask, session), given)
}

fn before_running(
    (session, beside): (&Session, &Beside),
    seq: u64,
    text: &str,
    given: &[String],
) -> Step {
    let ask = if text.contains(MISSING_ALREADY) {
        "Found, fetched or given up: what, and by whom?"
    } else if asks_for_cause(text).is_some() {
        "What was found, and what is done about it?"
    } else {
        "What was done about it?"
    };
    let ask = prompt(RUN, "Marked \"before running\"", ask)
        .also_large("BEFORE RUNNING")
        .line(plain(&remark_in_short(text)))
        .lines(asks_for_cause(text).map(|_| super::leak::cause_words()))
        .line("The run is barred until it is settled.");
    let ask = told_before_it(ask, session, &beside.earlier);
    let settle = |typed: &str| take(Input::SettleRemark { seq, text: typed.into() });
    if !is_handed_on(text) || asks_for_cause(text).is_some() || text.contains(MISSING_ALREADY) {
        if asks_for_cause(text).is_some() {
            // No digit says for anybody that a cylinder that leaked is sound.
            return in_words(ask, given, |typed, _| settle(typed));
        }
        let missing = text.contains(MISSING_ALREADY);
        let usual = if missing { usual::MISSING } else { usual::DONE };
        let own = ask.ask.clone();
        return told(ask, &own, usual, given, |typed, _| settle(&typed));
    }
    // What somebody else left is looked at: any words would do for no answer.
    let mut kinds = ask.with(Field::choice(&[
        (1, "seen, it is done: say how it was seen, and by whom"),
        (2, "seen, it was never so: say how it was seen, and by whom"),
        (3, "not done, or not looked at: it stays open"),
    ]));
    kinds.ask = "Left by another service: what is seen of it?".into();
    pick(kinds, given, |digit, rest| {
        let said = match digit {
            Some(1) => "done",
            Some(2) => "never so",
            _ => return Step::Refused("it stays open, and the run waits for it".into()),
        };
        let how = prompt(RUN, plain(&remark_in_short(text)), "How was it seen, and by whom?")
            .also_large("HOW IT WAS SEEN");
        told_of(how, "How was it seen, and by whom?", &how_seen(session), rest, |typed, _| {
            settle(&format!("{said}: {typed}"))
        })
    })
}

fn run_caution((session, beside): (&Session, &Beside), line: &Line, given: &[String]) -> Step {
    let ask = line_prompt(RUN, "Before the run: answer what you see", line)
        .more("The engine's manual rules; its own cautions come first.");
    let ask = told_at_the_run(ask, session, &beside.earlier);
    with_no_run(ask, given)
}

/// A line of the run, with the way out of not running at all.
fn with_no_run(mut ask: super::Prompt, given: &[String]) -> Step {
    ask.field.choices.push(super::Choice { digit: 9, label: "not run today, and say why".into() });
    pick(ask, given, |digit, rest| match digit {
        Some(9) => reason(
            RUN,
            "Not run",
            &[RUN_HANDED_OVER, "weather or place does not allow it"],
            rest,
            |why, _| take(Input::SkipRun { why }),
        ),
        Some(digit) => take(Input::Answer(digit)),
        None => Step::Again,
    })
}

fn run_check((session, beside): (&Session, &Beside), line: &Line, given: &[String]) -> Step {
    let ask = line_prompt(RUN, "Run and leak check", line);
    let ask = told_at_the_run(ask, session, &beside.earlier);
    let bad = |digit: &str| {
        digit.trim().parse::<u8>().ok().and_then(|digit| line.state(digit)).is_some_and(|s| !s.good)
    };
    if given.first().is_some_and(|digit| bad(digit)) {
        let title = line.ask.clone();
        return pick(ask, given, |digit, rest| {
            let ask = prompt(RUN, plain(&title), "What was it, and where?");
            let (ask, usual) = (ask.also_large("WHAT WHERE"), usual::at_the_run(&line.id));
            told(ask, "What was it, and where?", usual, rest, |text, _| {
                take(Input::RunFault { digit: digit.unwrap_or(0), text })
            })
        });
    }
    if session.state.has_run() { checklist_line(ask, given) } else { with_no_run(ask, given) }
}

fn run_fault(session: &Session, id: &str, text: &str, given: &[String]) -> Step {
    let rotation = session.state.facts().rotation.as_ref();
    let safe = if rotation.is_some_and(|rotation| rotation.by_propeller()) {
        "Make safe first: fuel starved, propeller stopped, then ignition off."
    } else {
        "Make safe first: stopped, ignition off, and it cannot start."
    };
    let ask = prompt(RUN, format!("At the run ({id}): {}", plain(text)), "What now?")
        .also_large("AT THE RUN")
        .line(safe)
        .with(Field::choice(&[
            (1, "covers off again: back to gauging"),
            (2, "a cover off for its seal, no gauging"),
            (3, "put right with all covers on"),
            (4, "leave it, and say why"),
        ]));
    pick(ask, given, |digit, rest| match digit {
        Some(1) => take(Input::RunBackToGauging),
        Some(2) => take(Input::RunAgain { covers: true }),
        Some(3) => take(Input::RunAgain { covers: false }),
        _ => reason(RUN, "Left as it is", &["within what the manual allows"], rest, |why, _| {
            take(Input::RunLeave { why })
        }),
    })
}
