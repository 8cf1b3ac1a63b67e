//! Counting out what comes off and what lies about, bank by bank.

use super::closing::CLOSE;
use super::form::{capital, pick, prompt, take, type_in};
use super::prepare::PREPARE;
use super::turning::bank_words;
use super::{Field, Prompt, Step, Typed};
use crate::domain::entry::Entry;
use crate::domain::plain::plain;
use crate::domain::session::{
    BLANK, Input, LOOSE_THINGS, OutCount, PLUG, Session, State, TEST_THINGS, lies_about,
};

const LYING_ABOUT: &str = "Count out what lies about";

pub(super) fn count_out(
    session: &Session,
    bank: &str,
    items: &[(String, u32)],
    given: &[String],
) -> Step {
    let left = if bank == LOOSE_THINGS { session.state.left_lying() } else { Vec::new() };
    if left.is_empty() {
        return count(session, bank, (items, false), given);
    }
    // One who has another set of tools in hand counts what he sees, and the rag stays where it was left.
    let ask = prompt(PREPARE, LYING_ABOUT, "Found? Are they what you work with now?")
        .big(plain(bank).to_uppercase(), "what was left lying comes first")
        .lines(left_lying(&left))
        .line("Look into the engine for them, before anything else is laid down.")
        .with(Field::choice(&[
            (1, "all found, and all that I use is among them or counted with them"),
            (2, "not all found, or what I use are others"),
        ]))
        .whole();
    pick(ask, given, |digit, rest| match digit {
        Some(1) => count(session, bank, (items, true), rest),
        _ => count(session, bank, (&session.state.lying_besides(), true), rest),
    })
}

/// What was left lying is never agreed to with Enter.
fn count(
    session: &Session,
    bank: &str,
    (items, left): (&[(String, u32)], bool),
    given: &[String],
) -> Step {
    let (loose, test) = (lies_about(bank), bank == TEST_THINGS);
    let title = match (test, loose) {
        (true, _) => "Count out what is taken for the leak test",
        (false, true) => LYING_ABOUT,
        (false, false) => "Covers off, and count them out",
    };
    let untold = untold(bank, items);
    let unknown = |item: &str| untold || is_unknown(&session.state, bank, item);
    let some_unknown = items.iter().any(|(item, _)| unknown(item));
    let list: Vec<String> = items
        .iter()
        .map(|(item, count)| match unknown(item) {
            true => format!("how many × {}?", plain(item)),
            false if *count == 0 && item == PLUG && session.state.plugs_stayed_in() => {
                format!("0 × {item}: they stayed in")
            }
            false => format!("{count} × {}", plain(item)),
        })
        .collect();
    let number = |(item, count): &(String, u32)| match untold {
        true => "2".into(),
        false if unknown(item) => "?".into(),
        false => count.to_string(),
    };
    let numbers = items.iter().map(number).collect::<Vec<String>>().join("/");
    let shut = shut_again(session, bank);
    let off = items.iter().any(|(item, _)| !loose && session.state.off_already(bank, item) > 0);
    let ask = if untold {
        format!("How many came off, as in {numbers}:")
    } else if some_unknown {
        format!("Counts of ?, the rest as listed; or of all, as in {numbers}:")
    } else if left {
        format!("Count all that lies about, found or not: in all, or as in {numbers}:")
    } else {
        let shut = if shut { " (0 = stayed shut)" } else { "" };
        format!("All there? If not, the counts, as in {numbers}{shut}:")
    };
    let field = Field::typed(Typed::Number);
    let field = match (untold, some_unknown || left) {
        (true, _) => field.or_enter("none came off"),
        (false, true) => field,
        (false, false) => field.or_enter("exactly as listed"),
    };
    let place = if test { CLOSE } else { PREPARE };
    let mut ask = prompt(place, title, ask).lines(list.iter().cloned()).with(field).whole();
    if untold {
        ask = ask.line("The profile does not say how many there are: count what comes off.");
    }
    if off {
        ask = ask.line("All that is off here now, with what was counted before.");
    }
    let ask = where_it_lies(session, bank, ask);
    let place = ask.place.clone();
    type_in(ask, given, |typed, rest| {
        if typed.is_empty() {
            return by_enter(&place, bank, (items, untold), rest);
        }
        let few = |counts: &[u32]| match (left, some_unknown) {
            (false, true) => as_to_the_unknown(items, &unknown, counts),
            (true, false) => as_summed_up(items, counts),
            (false, false) | (true, true) => None,
        };
        match numbers_in(typed).map(|counts| few(&counts).unwrap_or(counts)) {
            Ok(counts) if shut && counts == [0] => {
                counts_sure(session, &place, (bank, items), vec![0; items.len()], rest)
            }
            Ok(counts) => counts_sure(session, &place, (bank, items), counts, rest),
            Err(_) => Step::Refused(format!("type the counts with / between, as in {numbers}")),
        }
    })
}

/// Takes the counts of what only their counter can tell, and the others as they are listed: as Enter would
/// take those. `None` where other numbers were typed.
fn as_to_the_unknown(
    items: &[(String, u32)],
    unknown: &dyn Fn(&str) -> bool,
    typed: &[u32],
) -> Option<Vec<u32>> {
    let asked = items.iter().filter(|(item, _)| unknown(item)).count();
    let mut typed = (typed.len() == asked && asked < items.len()).then(|| typed.iter())?;
    items
        .iter()
        .map(|(item, listed)| if unknown(item) { typed.next().copied() } else { Some(*listed) })
        .collect()
}

/// Takes one number for all that lies about: nobody comes to the sum of the list but who counted it.
fn as_summed_up(items: &[(String, u32)], typed: &[u32]) -> Option<Vec<u32>> {
    let listed = items.iter().map(|(_, count)| *count);
    (items.len() > 1 && typed == [listed.clone().sum::<u32>()]).then(|| listed.collect())
}

/// Says large what is counted, and where it goes.
fn where_it_lies(session: &Session, bank: &str, ask: Prompt) -> Prompt {
    let name = plain(bank);
    if bank == TEST_THINGS {
        return ask
            .big("LEAK TEST", "plugs, tester, tools")
            .line("All of it is counted in again after the test.");
    }
    if lies_about(bank) {
        return ask
            .big(name.to_uppercase(), "plugs, blanks, rags, tools, leaves")
            .line("All of it is counted in again before the covers go on.");
    }
    let words = bank_words(&name, session.state.facts().layout.shape);
    ask.big(name.to_uppercase(), words)
        .lines(super::covers::of_which(&session.state, bank))
        .line("Each piece into the tray as it comes off. Catch the oil, look at the gasket.")
}

fn numbers_in(typed: &str) -> Result<Vec<u32>, std::num::ParseIntError> {
    let words = typed.split([' ', ',', '.', '/', '+']).map(str::trim);
    words.filter(|word| !word.is_empty()).map(str::parse).collect()
}

/// Says of what was missing before anything came off that it still is: where hardware goes back, a
/// piece may turn up, or one is fetched.
pub(super) fn still_missing(ask: Prompt, session: &Session) -> Prompt {
    let missing = session.state.missing_already();
    ask.lines(missing.iter().map(|text| capital(&plain(text))))
        .lines((!missing.is_empty()).then(|| "Fetch or find it now: it bars the run.".to_string()))
}

/// Says what was left lying, a line for each service that left it.
fn left_lying(left: &[(&str, &str, u32)]) -> Vec<String> {
    let by = left.chunk_by(|one, other| one.0 == other.0);
    let line = |of: &[(&str, &str, u32)]| {
        let things: Vec<String> =
            of.iter().map(|(_, item, out)| format!("{out} × {}", plain(item))).collect();
        let from = of.first().map_or_else(String::new, |(from, ..)| plain(from));
        format!("Left lying by {from}: {}.", things.join(", "))
    };
    by.map(line).collect()
}

/// Tells whether the profile says of a bank neither covers nor what holds them.
fn untold(bank: &str, items: &[(String, u32)]) -> bool {
    !lies_about(bank) && items.iter().all(|(_, count)| *count == 0)
}

/// Tells whether what came off can be told by nobody but who took it off.
fn is_unknown(state: &State, bank: &str, item: &str) -> bool {
    bank == LOOSE_THINGS && state.some_plugs_out() && [PLUG, BLANK].contains(&item)
}

/// Tells whether a bank that was open before may have stayed shut this time: nothing of it is off.
fn shut_again(session: &Session, bank: &str) -> bool {
    let before = session.kept.iter().any(|kept| match &kept.entry {
        Entry::Off(off) => !lies_about(bank) && off.bank == bank,
        _ => false,
    });
    let off = |line: &&OutCount| line.bank == bank && !line.short() && line.out > 0;
    before && !session.state.out.iter().any(|line| off(&line))
}

/// Enter alone takes what is listed. Where nobody told how many there are it is no count: that nothing came
/// off is said by a digit.
fn by_enter(
    place: &str,
    bank: &str,
    (items, untold): (&[(String, u32)], bool),
    given: &[String],
) -> Step {
    if !untold {
        return take(Input::CountOut(items.iter().map(|(_, count)| *count).collect()));
    }
    let ask = prompt(place, nothing_words(bank), "Is it right?")
        .also_large("NOTHING OFF")
        .line("With no cover off nothing is asked of covers and seals at closing up.")
        .with(Field::choice(&[(1, "right: no cover came off"), (2, "some are off: count them")]));
    pick(ask, given, |digit, _| match digit {
        Some(1) => take(Input::CountOut(vec![0; items.len()])),
        _ => Step::Again,
    })
}

/// Says that of all that is counted there is nothing.
fn nothing_words(bank: &str) -> String {
    match bank {
        TEST_THINGS => "Nothing was taken for the leak test".into(),
        LOOSE_THINGS => "Nothing is out, and nothing lies about".into(),
        bank => format!("Nothing came off: {}", plain(bank)),
    }
}

/// Asks once about counts that are not as listed. What lies about differs from bench to bench: there
/// only what is far off is asked about.
fn counts_sure(
    session: &Session,
    place: &str,
    (bank, items): (&str, &[(String, u32)]),
    counts: Vec<u32>,
    given: &[String],
) -> Step {
    // What the session does not take is not asked about first.
    if session.decide(&Input::CountOut(counts.clone())).is_err() {
        return take(Input::CountOut(counts));
    }
    let loose = lies_about(bank);
    let differs = |(listed, count): (u32, u32)| {
        let half = count < listed && count.saturating_mul(2) <= listed;
        let far = half || count > listed.saturating_mul(2);
        if loose { far } else { count != listed }
    };
    let untold = untold(bank, items);
    let known = |item: &str| !untold && !is_unknown(&session.state, bank, item);
    let pairs = || {
        let all = items.iter().zip(&counts);
        all.map(|((item, listed), count)| (item, *listed, *count)).filter(|(item, ..)| known(item))
    };
    let mut odd = pairs().filter(|&(_, listed, count)| differs((listed, count))).map(
        |(item, listed, count)| format!("{count} × {}, where {listed} are listed", plain(item)),
    );
    let Some(first) = odd.next().filter(|_| counts.len() == items.len()) else {
        return take(Input::CountOut(counts));
    };
    let more: Vec<String> = odd.collect();
    let none = counts.iter().all(|&count| count == 0);
    let fewer = !loose && !none && pairs().any(|(_, listed, count)| count < listed);
    let title = if none { nothing_words(bank) } else { first };
    let right = if fewer { "right: the others stay on" } else { "right, so it is" };
    let mut choices = vec![(1, right), (2, "counted wrong: count again")];
    if fewer {
        choices.push((3, "right: the others were missing already"));
    }
    let large = match (none, loose) {
        (true, true) => "NOTHING OUT",
        (true, false) => "NOTHING OFF",
        (false, _) => "OTHER COUNT",
    };
    let ask = prompt(place, title, "Is it right?").also_large(large).with(Field::choice(&choices));
    let ask = if none { ask } else { ask.lines(more) };
    pick(ask, given, |digit, _| match digit {
        Some(1) => take(Input::CountOut(counts)),
        Some(3) => take(Input::CountOutShort(counts)),
        _ => Step::Again,
    })
}
