//! The questions of prepare: who, the manual, cautions, temperature, leaves, scope, hardware.

use super::closing::close_unsigned;
use super::counting_out::count_out;
use super::form::{after_slips, can_be_large, capital, in_words, pick, prompt, take, type_in};
use super::part_sizes::before_a_turn;
use super::unlikely;
use super::usual;
use super::ways::{self, cost_words, way_words};
use super::{Beside, Choice, Field, Prompt, Step, Typed, last_time, leaf_sets, page, warmth};
use crate::domain::entry::{Asked, Begin, Entry, Rounds};
use crate::domain::plain::plain;
use crate::domain::profile::{Adjuster, Source};
use crate::domain::service::is_practice;
use crate::domain::session::checklist::{Line, OIL_LOCK, RAN_MEANWHILE};
use crate::domain::session::state::CounterBeside;
use crate::domain::session::{Due, HAS_RUN, Input, Session, State};
use crate::domain::valve::Cylinder;

pub(super) const PREPARE: &str = "prepare";

/// Asks what is due in prepare; `None` where something else is due.
pub(super) fn step(
    session: &Session,
    due: &Due,
    beside: &Beside,
    given: &[String],
) -> Option<Step> {
    let place = super::status::place(session);
    Some(match due {
        Due::NewDay => new_day(session, beside, given),
        Due::Who => who(session, beside, given),
        Due::OwedRun(seq) => super::owed_run::asked(session, beside, *seq, given),
        Due::SourceName(known) => source(session, known.as_ref(), beside, given),
        Due::PageFigure(kind, figure) => page::figure(session, *kind, *figure, given),
        Due::PageDiffers(differences) => page::differs(session, differences, given),
        Due::Caution(line, asked) => {
            let ask = caution((session, beside), &place, line, *asked);
            let turns = line.id == OIL_LOCK;
            let ask = if turns { before_a_turn(ask, &session.state) } else { ask };
            checklist_line(ask, given)
        }
        Due::Temperature => warmth::temperature(session, &place, given),
        Due::OutsideTemperature => warmth::outside(session, &place, given),
        Due::Leaves => leaf_sets::leaf_set(session, beside, given),
        Due::Scope => scope(session, beside, given),
        Due::NoPlan(why) => no_plan(why, given),
        Due::CountOut(bank, items) => count_out(session, bank, items, given),
        _ => return None,
    })
}

fn new_day(session: &Session, beside: &Beside, given: &[String]) -> Step {
    let CounterBeside { up, replaced, answered, answered_new } = session.state.counter;
    // Known already, the new one has gone up like any other; less than it showed, it is one more.
    let known = answered.filter(|known| replaced && answered_new && up > Some(*known));
    // The run is a part of the service: it closes nothing that it was done.
    let (asked, no) = if session.state.may_have_run() {
        ("Has the engine run since, but for its run check?", "not run, or for the run check only")
    } else {
        let no = match up {
            Some(_) if replaced && known.is_none() => "not run: the counter was only replaced",
            Some(_) => "not run: the counter shows more for another reason",
            None => "not run, the counter stands as it did",
        };
        ("Has the engine run since?", no)
    };
    let title = match up {
        Some(_) if known.is_some() => "The new counter has gone up",
        Some(_) if replaced => "The counter was replaced",
        Some(_) => "The counter has gone up",
        None => "Another day",
    };
    let told = up.map(|up| match known {
        Some(known) => format!("The new one was told to show {known} h, then {up} h since."),
        None if replaced => format!("A new one was told to show {up} h since."),
        None => format!("It was told to show {up} h since."),
    });
    let ask = prompt(PREPARE, title, asked)
        .line(stood_at(session))
        .lines(told)
        .with(Field::choice(&[(1, no), (2, "it has run: close this session as interrupted")]));
    // Another day is large by its title; of a counter it is what has to be known.
    let ask = if up.is_some() { ask.also_large("HAS IT RUN?") } else { ask };
    let ask = super::status::resumed(ask, session, &beside.earlier);
    pick(ask, given, |digit, rest| match digit {
        Some(1) => take(Input::NotRunSince),
        _ => close_unsigned(session, PREPARE, Some(HAS_RUN), rest),
    })
}

/// Says at what the counter stood last, as far as the engine is known not to have run since.
fn stood_at(session: &Session) -> String {
    let Some(hours) = session.state.begin.hours else {
        return "Nobody has told what the counter showed when this service began.".into();
    };
    let begun = session.kept.iter().find_map(|kept| match &kept.entry {
        Entry::Begin(begin) => begin.hours,
        _ => None,
    });
    if begun == Some(hours) {
        format!("The counter stood at {hours} h when this service began.")
    } else {
        format!("The counter stood at {hours} h when it was said last that it has not run.")
    }
}

fn who(session: &Session, beside: &Beside, given: &[String]) -> Step {
    let mut ask = prompt(PREPARE, "Who works on this engine?", "Name or initials:")
        .also_large("WHO")
        .with(Field::typed(Typed::Text).a_name())
        .lines(last_time::told(session, &beside.earlier));
    if let Some(known) = &session.state.begin.known_worker {
        ask.field = ask.field.or_enter(plain(known));
    }
    let known = session.state.begin.known_worker.as_deref().unwrap_or_default();
    usual::named(ask, &usual::names(beside, &[known]), given, |typed, _| {
        let known = session.state.begin.known_worker.clone().unwrap_or_default();
        take(Input::Who(if typed.is_empty() { known } else { typed.into() }))
    })
}

fn source(session: &Session, known: Option<&Source>, beside: &Beside, given: &[String]) -> Step {
    // Practice leaves a source without a name behind: there is nothing to go on with.
    let Some(known) = known.filter(|known| !known.document.is_empty()) else {
        return name_source(session, last_time::manual(&beside.earlier), given);
    };
    let ask = prompt(PREPARE, "The manual", "Is this still the source, same revision?")
        .also_large("MANUAL")
        .line(plain(&source_words(known)))
        .line("Newest issue rules; look at the plate on the engine too.")
        .with(Field::choice(&[(1, "yes, this document and revision"), (2, "no: another one")]));
    pick(ask, given, |digit, rest| match digit {
        Some(1) => take(Input::ConfirmSource),
        _ => name_source(session, Some(known), rest),
    })
}

fn source_words(source: &Source) -> String {
    [&source.document, &source.revision, &source.page]
        .into_iter()
        .filter(|part| !part.is_empty())
        .cloned()
        .collect::<Vec<_>>()
        .join(", ")
}

/// Asks for the manual; what was `known` of the one before is taken by Enter.
fn name_source(session: &Session, known: Option<&Source>, given: &[String]) -> Step {
    let title = "Read me the manual";
    let which = prompt(PREPARE, title, "Which document do you work by? (0 = none, practice only)")
        .also_large("MANUAL")
        .line(whose_figures(&session.state.facts().source))
        .line("You will be asked for target and limits from its page.");
    let offered = |part: fn(&Source) -> &String| known.map(part).filter(|part| !part.is_empty());
    let document = offered(|known| &known.document);
    let revision = offered(|known| &known.revision);
    let page = offered(|known| &known.page);
    let given = after_slips(given);
    if given.first().is_some_and(|typed| typed.trim() == NONE) {
        return take(Input::NameSource { source: Source::default(), practice: true });
    }
    in_words(or_known(which, document, None), given, |typed, rest| {
        let document = match (typed, document) {
            ("", Some(known)) => known.clone(),
            (typed, _) => typed.to_string(),
        };
        let ask = prompt(PREPARE, title, "Its revision or date:").also_large("REVISION");
        type_in(or_known(ask, revision, Some("none printed")), rest, |typed, rest| {
            let revision = taken(typed, revision);
            let ask = prompt(PREPARE, title, "The page or paragraph of the clearances:")
                .also_large("PAGE");
            type_in(or_known(ask, page, Some("not numbered")), rest, |typed, _| {
                let source = Source { document, revision, page: taken(typed, page) };
                take(Input::NameSource { source, practice: false })
            })
        })
    })
}

/// Says whose figures the profile has: its own source may name a manual already.
fn whose_figures(source: &Source) -> &'static str {
    match source.document.is_empty() || is_practice(source, false) {
        true => "The figures in a profile are examples until you name the manual.",
        false => "The profile names a manual for its figures: name the one in your hand.",
    }
}

/// Lets Enter take what is known from the last service, or else say that there is `none`; where it is
/// known, 0 says so.
fn or_known(mut ask: Prompt, known: Option<&String>, none: Option<&str>) -> Prompt {
    ask.field = match (known, none) {
        (Some(known), _) => Field::typed(Typed::Text).a_name().or_enter(plain(known)),
        (None, Some(none)) => Field::typed(Typed::Text).a_name().or_enter(none),
        (None, None) => return ask.with(Field::typed(Typed::Text).a_name()),
    };
    match none.filter(|_| known.is_some()) {
        Some(none) => ask.line(format!("As last time, if it still is; {NONE} = {none}.")),
        None => ask,
    }
}

/// What was typed, or what Enter took.
fn taken(typed: &str, known: Option<&String>) -> String {
    match (typed, known) {
        ("", Some(known)) => known.clone(),
        (NONE, Some(_)) => String::new(),
        (typed, _) => typed.to_string(),
    }
}

/// Says that there is none, where Enter takes what is known.
const NONE: &str = "0";

fn caution(
    (session, beside): (&Session, &Beside),
    place: &str,
    line: &Line,
    asked: Asked,
) -> Prompt {
    let title = match asked {
        Asked::Start => "Make safe: look at it or touch it, then answer what you see",
        Asked::Back => "You were away: make safe again",
        Asked::Run => "Before the run",
    };
    let mut ask = line_prompt(place, title, line);
    // On a new day the whole list is asked, and nothing of what was left open is forgotten over it.
    let been_away = || session.kept.iter().any(|kept| matches!(kept.entry, Entry::Back(_)));
    if asked == Asked::Back || asked == Asked::Start && been_away() {
        ask = super::status::resumed(ask, session, &beside.earlier);
    }
    ask.more("The engine's manual rules; its own cautions come first.")
}

/// Makes the prompt of a line of a checklist: its states by digit, never Enter.
///
/// What it is about is written large where the line begins with it: "Fuel: where does it stand?"
pub(super) fn line_prompt(place: &str, title: &str, line: &Line) -> Prompt {
    let choices = line
        .states
        .iter()
        .map(|state| Choice { digit: state.digit, label: super::stop_felt::answer(line, state) })
        .collect();
    let asked = plain(&line.ask);
    let ask = match asked.split_once(": ") {
        Some((about, question)) if can_be_large(about) => {
            prompt(place, title, capital(question)).big(about.to_uppercase(), "")
        }
        Some(_) | None => match large_of(&line.id) {
            Some(words) => prompt(place, title, asked).also_large(words),
            None => prompt(place, title, asked),
        },
    };
    let short = SHORT.iter().find(|(known, _)| *known == line.id).map_or("", |(_, word)| *word);
    ask.in_short(short).large_for_title().with(Field { choices, ..Field::default() })
}

/// The word that is written large of a line in the lowest windows, where all of it has no room.
const SHORT: [(&str, &str); 14] = [
    ("ignition", "IGNITION"),
    ("plugs", "PLUGS"),
    ("arc", "ARC"),
    ("hands", "HANDS"),
    ("run-air", "AIR"),
    ("run-fire", "FIRE"),
    ("run-second", "SECOND"),
    ("seals", "SEALS"),
    ("wedge-lock", "WASHERS"),
    ("started", "SCREWS"),
    ("torque", "TORQUE"),
    ("two-turns", "TURNS"),
    ("second-look", "LOOK"),
    ("cooled", "LOOK"),
];

/// What is written large of a line that does not begin with what it is about.
const LARGE: [(&str, &str); 10] = [
    (RAN_MEANWHILE, "RUN SINCE?"),
    ("cooled", "LOOK AGAIN"),
    ("oil-lock", "OIL LOCK"),
    ("arc", "BELTS FAN"),
    ("look", "LAST LOOK"),
    ("two-turns", "TWO TURNS"),
    ("controls", "CONTROLS"),
    ("second-look", "SECOND LOOK"),
    ("power", "POWER"),
    ("leaks", "LEAKS"),
];

/// The cautions of the manual are told apart by their number.
fn large_of(id: &str) -> Option<String> {
    let known = || LARGE.iter().find(|(known, _)| *known == id).map(|(_, words)| *words);
    match id.strip_prefix("manual-") {
        Some(number) => Some(format!("MANUAL {number}")),
        None => known().map(str::to_owned),
    }
}

pub(super) fn checklist_line(ask: Prompt, given: &[String]) -> Step {
    pick(ask, given, |digit, _| match digit {
        Some(digit) => take(Input::Answer(digit)),
        None => Step::Again,
    })
}

/// What may be done on a rough look: nothing is set, so nothing of setting is said.
fn look_choices(state: &State) -> Vec<(u8, &'static str)> {
    let mut choices = vec![
        (1, "all valves: gauge only, nothing is set or changed"),
        (3, "only some cylinders: gauge only"),
    ];
    choices.extend(state.facts().stops.is_none().then_some((5, "first choose another way round")));
    choices
}

fn scope(session: &Session, beside: &Beside, given: &[String]) -> Step {
    let look = session.state.is_rough_look();
    let screws = matches!(session.state.facts().adjuster, Adjuster::Screw(_));
    let parts = session.state.has_parts();
    let usual = match &session.state.facts().adjuster {
        Adjuster::Screw(_) => "all valves: gauge, set what needs it, recheck all",
        Adjuster::Shim { .. } => "all valves: gauge, change shims, gauge what was changed",
        Adjuster::Pushrod { .. } => "all valves: gauge, change push rods, gauge what was changed",
        Adjuster::None => "all valves: gauge, then look again at what is out",
    };
    let mut choices = vec![(1, usual)];
    if screws {
        choices.push((2, "all valves: gauge all, touch nothing; then set; then recheck"));
    }
    choices.push((3, "only some cylinders"));
    if screws || parts {
        let only = if parts {
            "all valves: gauge only, change nothing"
        } else {
            "all valves: gauge only, set nothing"
        };
        choices.push((4, only));
    }
    let table = session.state.facts().stops.is_some();
    if !table {
        choices.push((5, "first choose another way round"));
    }
    if look {
        choices = look_choices(&session.state);
    }
    let mut ask =
        prompt(PREPARE, "Scope and rounds", "What is done today?")
            .lines(last_time::told(session, &beside.earlier))
            .also_large("SCOPE")
            .lines(look.then(|| {
                "Only a rough look, as was said: set when the temperature is right.".into()
            }))
            .with(Field::choice(&choices));
    if let Ok(plan) = &session.state.plan {
        let way = if table { "the manual's table".into() } else { way_words(&session.state.begin) };
        ask = ask.line(format!("Way round: {way} ({}).", cost_words(plan)));
        ask = ask.lines(plan.caveat.map(|caveat| format!("This plan is computed: {caveat}.")));
        ask = ask.lines(unlikely::warnings(session.state.facts()));
    }
    ask = ask.lines(leaf_sets::proof_words(&session.state));
    let rounds = if screws && !look { Rounds::SetThenRecheck } else { Rounds::SurveyOnly };
    let parts = parts && !look;
    pick(ask, given, |digit, rest| match digit {
        Some(2) => begin(Rounds::SurveySetRecheck, false, None),
        Some(4) => begin(Rounds::SurveyOnly, false, None),
        Some(3) => cylinders(session, rounds, rest),
        Some(5) => ways::whole(session, PREPARE, rest),
        _ => begin(rounds, parts, None),
    })
}

fn begin(rounds: Rounds, change: bool, scope: Option<Vec<Cylinder>>) -> Step {
    let scope = Some(scope.unwrap_or_default());
    let rounds = Some(rounds);
    take(Input::Begin(Box::new(Begin { rounds, change, scope, ..Begin::default() })))
}

/// Reads cylinder numbers with blanks between, or anything that a number pad has for it.
pub(super) fn cylinder_list(typed: &str) -> Result<Vec<Cylinder>, String> {
    let mut cylinders = Vec::new();
    for word in typed.split([' ', ',', ';', '/', '.', '+']).filter(|word| !word.is_empty()) {
        let cylinder = word
            .parse()
            .map_err(|_| format!("\"{}\" is no cylinder's number: as in 1/3", plain(word)))?;
        if !cylinders.contains(&cylinder) {
            cylinders.push(cylinder);
        }
    }
    if cylinders.is_empty() {
        Err("type at least one cylinder's number".into())
    } else {
        Ok(cylinders)
    }
}

fn cylinders(session: &Session, rounds: Rounds, given: &[String]) -> Step {
    let all = session.state.facts().cylinders();
    let ask = prompt(PREPARE, "Only some cylinders", format!("Which of the {all}? As in 1/3:"))
        .also_large("CYLINDERS")
        .line("The record says that only these were looked at.");
    type_in(ask, given, |typed, _| match cylinder_list(typed) {
        Ok(list) => {
            let change = session.state.has_parts() && !session.state.is_rough_look();
            begin(rounds, change, Some(list))
        }
        Err(words) => Step::Refused(words),
    })
}

fn no_plan(why: &str, given: &[String]) -> Step {
    let ask = prompt(PREPARE, "There is no safe way round this engine", "What now?")
        .also_large("NO WAY ROUND")
        .line(plain(why))
        .with(Field::choice(&[(1, "close this session unsigned")]));
    pick(ask, given, |_, _| take(Input::CloseUnsigned { why: "no plan can be made".into() }))
}
