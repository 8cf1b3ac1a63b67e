//! What can be called for from beside the question that is due: "I see N", remarks, skips,
//! corrections, handing over. Each is asked for in small steps like everything else.

use super::closing::close_unsigned;
use super::form::{in_words, pick, prompt, reason, take, type_in};
use super::named::valve_name;
use super::stands_open::against_plan;
use super::taking_back;
use super::turning::{clockwise_as_seen, tape_seen_from};
pub use super::which_valve::valve;
use super::which_valve::{ask_valve, cylinder, typed_reading};
use super::{
    Beside, Field, Prompt, Step, Typed, amending, by_leaf, leaf_sets, not_now, paper, parts,
    remarks, set_again, status, surely, taken, usual, versions, ways, which_valve,
};
use crate::domain::entry::{Step as ReadingStep, Work};
use crate::domain::profile::Adjuster;
use crate::domain::session::{Due, Input, Session, State};
use crate::domain::valve::Cylinder;

/// Something the mechanic can call for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Command {
    /// The list of everything that can be called for; its pages from 0.
    List(u8),
    /// "I see N at overlap".
    SeeOverlap,
    /// "Both of N loose, and they stay loose".
    SeeLoose,
    /// The crank's position is not known any more.
    Lost,
    /// Plan the rest of the round anew.
    Rest,
    /// Where the tape on the blade or pulley points.
    Tape,
    /// A remark or ticks.
    Remark,
    /// Pass over a valve.
    SkipValve,
    /// The as-found figure is lost.
    AsFoundLost,
    /// Correct, void or swap a reading.
    Correct,
    /// Called away.
    Away,
    /// Somebody takes over.
    Who,
    /// Set a valve that is in limits.
    SetAnyway,
    /// Gauge a valve here against the plan.
    AgainstPlan,
    /// Type readings made on paper.
    Paper,
    /// A reading is taken over from another version of this session.
    Adopt,
    /// A nut said slack was never touched.
    NeverTouched,
    /// A nut is slack after all.
    FoundSlack,
    /// Gauge leaf by leaf.
    ByLeaf,
    /// A try with what it was set to.
    Aimed,
    /// How sure the readings are.
    Surely,
    /// Work on a cylinder.
    Work,
    /// Amend figures.
    Amend,
    /// Replace the profile.
    ReplaceProfile,
    /// Take other leaves in hand.
    Leaves,
    /// A part came out.
    PartOut,
    /// A part went in.
    PartIn,
    /// Pass over the rest of the round.
    SkipRound,
    /// The day was wrong.
    Redate,
    /// Close unsigned.
    CloseUnsigned,
    /// Take back the last entry.
    TakeBack,
}

/// The list of commands, page by page, in the order of use.
const LIST: [&[(Command, &str)]; 4] = [
    &[
        (Command::SeeOverlap, "I see a cylinder at overlap"),
        (Command::SeeLoose, "both rockers of a cylinder are loose, also when rocked"),
        (Command::Lost, "I do not know where the crank is"),
        (Command::Remark, "remark, or ticks of a cylinder"),
        (Command::SkipValve, "pass over a valve"),
        (Command::AsFoundLost, "adjusted before it was read: as-found lost"),
        (Command::Correct, "correct, void or swap a reading"),
        (Command::Away, "called away"),
    ],
    &[
        (Command::Who, "somebody takes over"),
        (Command::SetAnyway, "set a valve that is in limits, here where the crank stands"),
        (Command::AgainstPlan, "gauge another valve here, against the plan"),
        (Command::Paper, "type readings made on paper, a cylinder at a time"),
        (Command::NeverTouched, "a nut said slack was never touched"),
        (Command::Work, "work was done on a cylinder"),
        (Command::Amend, "the figures are others: amend them"),
        (Command::Leaves, "other leaves in hand"),
    ],
    &[
        (Command::Rest, "plan the rest of this round anew, from where the crank stands"),
        (Command::Tape, "a tape on a blade or the pulley: where it points"),
        (Command::ReplaceProfile, "the profile is the wrong one: replace it"),
        (Command::PartOut, "a part came out"),
        (Command::PartIn, "a part went in"),
        (Command::SkipRound, "pass over the rest of this round"),
        (Command::Redate, "the day of this service is wrong"),
        (Command::CloseUnsigned, "close this session unsigned"),
    ],
    &[
        (Command::ByLeaf, "gauge leaf by leaf: the next leaf is named"),
        (Command::Aimed, "a try, with what it was set to while the nut was slack"),
        (Command::Surely, "how sure the readings are: four answers"),
        (Command::Adopt, "take over a reading from another version of this session"),
        (Command::FoundSlack, set_again::FOUND_SLACK),
    ],
];

/// A command in the list of all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offered {
    /// Which one.
    pub command: Command,
    /// Its words.
    pub label: String,
    /// Why it cannot be given now; `None` where it can.
    pub not_now: Option<&'static str>,
}

/// Lists all commands with their words, in the order of use; each always has the same place.
pub fn offers(session: &Session, beside: &Beside) -> Vec<Offered> {
    let all = LIST.iter().flat_map(|page| page.iter().copied());
    let offered = |(command, label)| Offered {
        command,
        label: words(session, command, label),
        not_now: not_now::why(session, command, beside),
    };
    all.map(offered).collect()
}

/// Says what a command is in the words of this engine: where there are no rockers, by its lobes.
fn words(session: &Session, command: Command, usual: &'static str) -> String {
    let state = &session.state;
    if command == Command::SeeLoose {
        all_shut(state)[0].into()
    } else if command == Command::NeverTouched {
        taking_back::untouched_words(session).unwrap_or_else(|| usual.into())
    } else if command == Command::SetAnyway && state.may_reopen(&state.due()) {
        set_again::SET_AGAIN.into()
    } else {
        usual.into()
    }
}

/// What shows that all valves of a cylinder are shut, as it is listed and asked, and in large letters: by its
/// lobes, its rockers, or over hydraulic lifters, where a full one leaves no play, its push rods.
fn all_shut(state: &State) -> [&'static str; 4] {
    let facts = state.facts();
    let two = facts.firing_order.first().is_none_or(|one| facts.valves_of(*one).len() == 2);
    match (&facts.adjuster, two) {
        (Adjuster::Shim { .. }, _) => [
            "all cam lobes of a cylinder point away, also when rocked",
            "Which cylinder has all cam lobes pointing away, also when rocked?",
            "All of cylinder:",
            "LOOSE",
        ],
        (Adjuster::Pushrod { .. }, true) => [
            "both push rods of a cylinder turn freely, also when rocked",
            "Which cylinder has both push rods turning freely, also when rocked?",
            "Both of cylinder:",
            "TURN FREELY",
        ],
        (Adjuster::Pushrod { .. }, false) => [
            "all push rods of a cylinder turn freely, also when rocked",
            "Which cylinder has all push rods turning freely, also when rocked?",
            "All of cylinder:",
            "TURN FREELY",
        ],
        (Adjuster::Screw(_) | Adjuster::None, true) => [
            "both rockers of a cylinder are loose, also when rocked",
            "Which cylinder has both rockers loose, and loose when rocked?",
            "Both of cylinder:",
            "LOOSE",
        ],
        (Adjuster::Screw(_) | Adjuster::None, false) => [
            "all rockers of a cylinder are loose, also when rocked",
            "Which cylinder has all rockers loose, and loose when rocked?",
            "All of cylinder:",
            "LOOSE",
        ],
    }
}

/// Tells whether a command has a sense on this engine: what has no screws is not set.
pub(super) fn suits(session: &Session, command: Command) -> bool {
    let of_screws = matches!(
        command,
        Command::SetAnyway | Command::NeverTouched | Command::FoundSlack | Command::AsFoundLost
    );
    !of_screws || session.state.has_screws()
}

/// Tells whether there is a valve of which a command can be given now, where it is one of a valve's state.
pub(super) fn has_its_valve(session: &Session, command: Command) -> bool {
    let state = &session.state;
    match command {
        Command::NeverTouched => !taking_back::never_slackened(session).is_empty(),
        Command::AsFoundLost => matches!(state.due(), Due::Gauge(_, ReadingStep::Found)),
        Command::SetAnyway => !which_valve::set_here(session).is_empty(),
        _ => true,
    }
}

pub(super) fn is_offered(session: &Session, command: Command) -> bool {
    let state = &session.state;
    if state.sealed.is_some() {
        return command == Command::Remark;
    }
    suits(session, command)
        && in_its_place(session, command)
        && taken::refusal(session, command).is_none()
}

/// Tells whether it is the time and place for a command.
fn in_its_place(session: &Session, command: Command) -> bool {
    let state = &session.state;
    let reopens = || state.may_reopen(&state.due());
    match command {
        Command::SetAnyway if reopens() => state.sets_valves() && !state.is_rough_look(),
        Command::FoundSlack => state.may_be_found_slack(&state.due()),
        Command::SeeOverlap
        | Command::SeeLoose
        | Command::Lost
        | Command::SkipValve
        | Command::AsFoundLost
        | Command::SetAnyway
        | Command::Paper
        | Command::SkipRound => {
            status::in_rounds(state) && !state.apart() && has_its_valve(session, command)
        }
        Command::NeverTouched => !state.apart() && has_its_valve(session, command),
        Command::AgainstPlan => {
            status::in_rounds(state) && !state.apart() && !state.crank_unproven()
        }
        Command::PartOut => status::in_rounds(state) || matches!(state.due(), Due::Look(..)),
        Command::PartIn => !state.parts_out.is_empty(),
        Command::Rest => {
            status::in_rounds(state)
                && state.facts().stops.is_none()
                && state.crank_angle().is_some()
        }
        Command::Tape => {
            status::in_rounds(state)
                && state.crank_proven()
                && clockwise_as_seen(state.facts()).is_some()
        }
        Command::Correct | Command::Surely => !state.readings.is_empty(),
        Command::ByLeaf => by_leaf::at_a_valve(session).is_some(),
        Command::Aimed => matches!(state.due(), Due::Trying(_)),
        Command::Leaves => state.leaves.is_some(),
        Command::List(_)
        | Command::Remark
        | Command::Away
        | Command::Who
        | Command::Work
        | Command::Amend
        | Command::ReplaceProfile
        | Command::Redate
        | Command::CloseUnsigned
        | Command::TakeBack
        | Command::Adopt => true,
    }
}

fn takes_over((session, beside): (&Session, &Beside), place: &str, given: &[String]) -> Step {
    let ask = prompt(place, "Who takes over?", "Name or initials:")
        .also_large("WHO")
        .with(Field::typed(Typed::Text).a_name())
        .line("Open items are shown, and everything is proven as after a break.");
    let worker = session.state.worker.as_deref().unwrap_or_default();
    let names = usual::names(beside, &[worker]);
    usual::named(ask, &names, given, |name, _| take(Input::Who(name.into())))
}

/// Asks the next question of a command, or turns its answers into an input.
pub(super) fn step(session: &Session, command: Command, beside: &Beside, given: &[String]) -> Step {
    let place = status::place(session);
    let place = place.as_str();
    match command {
        Command::List(page) => list(session, place, page, (beside, given)),
        Command::SeeOverlap => cylinder(overlap(place), given, |cylinder, rest| {
            see_overlap(session, place, cylinder, rest)
        }),
        Command::SeeLoose => see_loose(session, place, given),
        Command::Lost => take(Input::Lost),
        Command::Rest => ways::rest(session, place, given),
        Command::Tape => tape(session, place, given),
        Command::Remark => remarks::remark(session, place, given),
        Command::SkipValve => skip_valve(session, place, given),
        Command::AsFoundLost => reason(
            place,
            "As-found lost: no figure is invented",
            &["set before it was gauged", "the nut was found loose"],
            given,
            |why, _| take(Input::AsFoundLost { why }),
        ),
        Command::Correct => amending::correct(session, place, given),
        // One key: whoever is called has no hand free for a question.
        Command::Away => take(Input::Away(String::new())),
        Command::Who => takes_over((session, beside), place, given),
        Command::FoundSlack => set_again::found_slack(session, place, given),
        Command::SetAnyway if session.state.may_reopen(&session.state.due()) => {
            set_again::set_again(session, place, given)
        }
        Command::SetAnyway => which_valve::set_one_here(session, place, given),
        Command::NeverTouched => taking_back::never_touched(session, place, given),
        Command::AgainstPlan => {
            let title = "Gauge another valve here, against the plan";
            ask_valve(session, place, title, given, |valve, rest| {
                against_plan(session, place, title, valve, rest)
            })
        }
        Command::Adopt => versions::adopt(session, place, beside, given),
        Command::Paper => paper::cylinder_of_paper(session, place, beside.now, given),
        Command::PartOut => parts::came_out(session, place, given),
        Command::PartIn => parts::went_in(session, place, given),
        Command::ByLeaf => by_leaf::step(session, place, given),
        Command::Aimed => aimed(session, place, given),
        Command::Surely => surely::step(session, place, given),
        Command::Work => work(session, place, given),
        Command::Amend => amending::amend(session, place, given),
        Command::ReplaceProfile => amending::replace_profile(session, place, beside, given),
        Command::Leaves => leaf_sets::leaf_set(session, beside, given),
        Command::SkipRound => reason(
            place,
            "Pass over the rest of this round",
            &["not asked for in this service", "no time: handed over"],
            given,
            |why, _| take(Input::SkipRound { why }),
        ),
        Command::Redate => amending::redate(place, given),
        Command::CloseUnsigned => close_unsigned(session, place, None, given),
        Command::TakeBack => taking_back::step(session, place, given),
    }
}

fn overlap(place: &str) -> Prompt {
    prompt(place, "Which cylinder is at overlap?", "I see cylinder ... at overlap:")
        .also_large("OVERLAP")
        .line("Exhaust almost shut, intake just opening: both of its valves move when rocked.")
        .with(Field::typed(Typed::Count))
}

/// Where it was gauged there before and is looked at again, what is seen does not tell whether it was turned.
fn see_overlap(session: &Session, place: &str, cylinder: Cylinder, given: &[String]) -> Step {
    if session.state.only_turned_round_to(cylinder).is_none() {
        return take(Input::SeeOverlap(cylinder));
    }
    let title = format!("{cylinder} at overlap: as before, or turned since?");
    let ask = prompt(place, title, "Was it turned all the way round since it was gauged here?")
        .also_large("TURNED SINCE?")
        .with(Field::choice(&[
            (1, "yes: two full turns, 720°, to here"),
            (2, "no: it stood here all the time"),
        ]));
    pick(ask, given, |digit, _| {
        take(match digit {
            Some(1) => Input::TurnedRoundTo(cylinder),
            _ => Input::SeeOverlap(cylinder),
        })
    })
}

fn see_loose(session: &Session, place: &str, given: &[String]) -> Step {
    let [_, title, asked, large] = all_shut(&session.state);
    let ask = prompt(place, title, asked).also_large(large).with(Field::typed(Typed::Count));
    cylinder(ask, given, |cylinder, _| take(Input::SeeLoose(cylinder)))
}

fn tape(session: &Session, place: &str, given: &[String]) -> Step {
    let from = tape_seen_from(session.state.facts());
    let ask = prompt(place, "A tape on a blade or on the pulley", "It points to, as on a clock:")
        .also_large("TAPE")
        .line(format!("As it stands now, {from}: 2, or 2:30, or 12."))
        .line("Only where the blade or pulley sits on the crank itself, without gears between.")
        .line("It helps to find the next places. It never proves the stroke.")
        .with(Field::typed(Typed::Number));
    type_in(ask, given, |typed, _| take(Input::Tape(typed.into())))
}

fn list(session: &Session, place: &str, page: u8, (beside, given): (&Beside, &[String])) -> Step {
    let page = usize::from(page) % LIST.len();
    let items = LIST[page];
    let next = u8::try_from((page + 1) % LIST.len()).unwrap_or(0);
    let numbered = (1..).zip(items.iter());
    let mut listed: Vec<(u8, String)> = numbered
        .filter(|(_, (command, _))| suits(session, *command))
        .filter(|(_, (command, _))| *command != Command::Adopt || versions::any(session, beside))
        .map(|(digit, &(command, label))| (digit, words(session, command, label)))
        .collect();
    listed.push((9, "more".into()));
    let choices: Vec<(u8, &str)> =
        listed.iter().map(|(digit, words)| (*digit, words.as_str())).collect();
    let ask =
        prompt(place, "What else?", "Nothing is lost by looking.").with(Field::choice(&choices));
    pick(ask, given, |digit, _| {
        let chosen = usize::from(digit.unwrap_or(9)).checked_sub(1).and_then(|n| items.get(n));
        Step::Switch(chosen.map_or(Command::List(next), |&(command, _)| command))
    })
}

const GAUGED_LATER: &str = "will be gauged later in this service";

fn skip_valve(session: &Session, place: &str, given: &[String]) -> Step {
    ask_valve(session, place, "Pass over a valve", given, |valve, rest| {
        let mut usual = vec!["cannot be reached"];
        // In the last round to gauge it nothing later would ask for it.
        usual.extend(session.state.gauged_later(valve).then_some(GAUGED_LATER));
        let title = format!("Pass over {}", valve_name(&session.state, valve));
        reason(place, &title, &usual, rest, |why, _| take(Input::SkipValve { valve, why }))
    })
}

fn work(session: &Session, place: &str, given: &[String]) -> Step {
    let title = "Work was done on a cylinder";
    let ask = prompt(place, title, "Which cylinder?").with(Field::typed(Typed::Count));
    cylinder(ask, given, |cylinder, rest| {
        let parts: &[&str] = if super::part_words::overhead_cams(&session.state) {
            &[Work::CYLINDER, Work::FOLLOWER, "cam", "valve or seat"]
        } else {
            &[Work::CYLINDER, "rocker", Work::PUSH_ROD, "lifter", "cam", "valve or seat"]
        };
        let choices: Vec<(u8, &str)> = (1..).zip(parts.iter().copied()).collect();
        let ask =
            prompt(place, title, "What was replaced or worked on?").with(Field::choice(&choices));
        pick(ask, rest, |digit, rest| {
            let part = usize::from(digit.unwrap_or(1)).checked_sub(1).and_then(|n| parts.get(n));
            let what = part.copied().unwrap_or(Work::CYLINDER).to_string();
            let ask = prompt(place, title, "In words:")
                .with(Field::typed(Typed::Text).or_enter("nothing to add"));
            in_words(ask, rest, |text, _| take(Input::Work { cylinder, what, text: text.into() }))
        })
    })
}

/// Asks what was aimed at and what it reads, for a number pad that has no `>`.
fn aimed(session: &Session, place: &str, given: &[String]) -> Step {
    let Due::Trying(valve) = session.state.due() else {
        return Step::Refused("no valve is being set now".into());
    };
    let title = format!("A try on {}, with its aim", valve_name(&session.state, valve));
    let ask = prompt(place, &title, "Set to which leaf, nut slack?")
        .line("Three such tries show what locking the nut does on this engine.")
        .with(Field::typed(Typed::Reading));
    type_in(ask, given, |aim, rest| {
        let aim = aim.replace(' ', "");
        typed_reading(session, place, valve, rest, |typed, sure, _| {
            take(Input::Tried { typed: format!("{aim}>{}", typed.replace(' ', "")), sure })
        })
    })
}
