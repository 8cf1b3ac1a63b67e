//! Choosing a kind of engine from a long list: by a number in short steps, or by a word of its name.
//!
//! The window may be small and the list is not: kinds are gathered by the first words of their
//! titles ("Vee", then "Vee twin", then each), so that a step is never longer than a few lines.

use super::form::prompt;
use super::{Choice, Field, Prompt, Step, Typed};
use crate::domain::plain::plain;
use crate::domain::profile::Facts;
use crate::domain::search;
use crate::domain::valve::Cylinder;

/// Lines of one step: as many as fit a window of 12 rows.
const LINES: usize = 6;
/// Names that are told where a word finds nothing.
const NEAREST: usize = 3;
/// The line after all kinds.
const OWN: &str = "a kind of my own: describe it";

/// Returns names of profiles and their kinds as the list shows them: by shape and cylinders, each
/// title with its firing order.
pub fn kinds<'a>(profiles: impl Iterator<Item = (&'a str, &'a Facts)>) -> Vec<(String, String)> {
    let mut known: Vec<(&str, &Facts)> = profiles.collect();
    known.sort_by_key(|(_, facts)| search::place_in_list(facts));
    known.into_iter().map(|(name, facts)| (name.to_string(), kind(facts))).collect()
}

fn kind(facts: &Facts) -> String {
    let order: Vec<String> = facts.firing_order.iter().map(Cylinder::to_string).collect();
    let (title, order) = (&facts.name, order.join("-"));
    let told = title.contains(&order) || facts.cylinders() < 3;
    if told { title.clone() } else { format!("{title}, order {order}") }
}

/// One line of a step.
enum Entry {
    /// Several kinds whose titles begin alike.
    Several(String, Vec<usize>),
    /// A kind.
    One(String, usize),
    /// None of them: the mechanic describes his own.
    Own,
}

/// Asks until one of the profiles (names and titles) is chosen, then goes on with its place; without
/// a place where a kind that is not among them is to be described.
pub(super) fn choose<T>(
    profiles: &[(String, String)],
    given: &[String],
    then: impl FnOnce(Option<usize>, &[String]) -> Step<T>,
) -> Step<T> {
    let mut among: Vec<usize> = (0..profiles.len()).collect();
    let mut page = 0;
    let mut rest = given;
    loop {
        let mut entries = entries(profiles, &among);
        if among.len() == profiles.len() {
            entries.push(Entry::Own);
        }
        let last_page = entries.len().div_ceil(LINES).saturating_sub(1);
        let Some((typed, after)) = rest.split_first() else {
            return Step::Ask(ask(profiles, &among, &entries, page));
        };
        rest = after;
        let typed = typed.trim();
        let number = typed.parse::<usize>().ok();
        match (number.and_then(|number| entries.get(number.checked_sub(1)?)), entries.as_slice()) {
            (Some(Entry::One(_, at)), _) => return then(Some(*at), rest),
            (Some(Entry::Own), _) => return then(None, rest),
            (Some(Entry::Several(_, of)), _) => (among, page) = (of.clone(), 0),
            (None, [Entry::One(_, at)] | [Entry::One(_, at), Entry::Own]) if typed.is_empty() => {
                return then(Some(*at), rest);
            }
            (None, _) if typed.is_empty() && page < last_page => page += 1,
            (None, _) if typed.is_empty() => {
                return Step::Refused("type its number, or a word to search".into());
            }
            // A number that no line has may be what is looked for: 8 cylinders, 45 degrees.
            (None, _) => match (searched(profiles, typed), number) {
                (Ok(found), _) => (among, page) = (found, 0),
                (Err(_), Some(number)) => {
                    return Step::Refused(format!("there is no {number} in the list"));
                }
                (Err(words), None) => return Step::Refused(words),
            },
        }
    }
}

/// Finds the profiles that have all the words, in the whole list.
fn searched(profiles: &[(String, String)], typed: &str) -> Result<Vec<usize>, String> {
    let words: Vec<String> =
        profiles.iter().map(|(name, title)| format!("{name} {title}")).collect();
    let found = search::find(typed, &words);
    if !found.is_empty() {
        return Ok(found);
    }
    let near = search::nearest_things(typed, &words, NEAREST).into_iter();
    let near: Vec<&str> =
        near.filter_map(|at| profiles.get(at)).map(|(name, _)| name.as_str()).collect();
    Err(format!("nothing in the list has \"{}\"; nearest: {}", plain(typed), near.join(", ")))
}

/// Gathers kinds into lines: by first word, by the words before the first comma, or each alone.
fn entries(profiles: &[(String, String)], among: &[usize]) -> Vec<Entry> {
    let title = |at: usize| profiles.get(at).map_or("", |(_, title)| title.as_str());
    if among.len() > LINES {
        for gathered in [first_word, head] {
            let groups = groups(among, |at| gathered(title(at)));
            if groups.len() > 1 && groups.len() < among.len() {
                return groups.into_iter().map(|group| line(profiles, group)).collect();
            }
        }
    }
    let head_of_all = common_head(profiles, among);
    let alone = |&at: &usize| {
        let own = title(at);
        let tail = own.strip_prefix(head_of_all).map(|tail| tail.trim_start_matches([',', ' ']));
        let words = plain(tail.filter(|tail| !tail.is_empty()).unwrap_or(own));
        let twice = among.iter().filter(|&&other| title(other) == own).count() > 1;
        let name = profiles.get(at).map_or("", |(name, _)| name.as_str());
        Entry::One(if twice { format!("{words} ({name})") } else { words }, at)
    };
    among.iter().map(alone).collect()
}

fn first_word(title: &str) -> &str {
    title.split([' ', ',']).next().unwrap_or(title)
}

fn head(title: &str) -> &str {
    title.split(',').next().unwrap_or(title)
}

/// The head that all titles share; empty where they differ.
fn common_head<'a>(profiles: &'a [(String, String)], among: &[usize]) -> &'a str {
    let mut heads = among.iter().filter_map(|&at| profiles.get(at)).map(|(_, title)| head(title));
    let first = heads.next().unwrap_or("");
    if heads.all(|other| other == first) { first } else { "" }
}

/// Places with the same words, in the order in which the words come first.
fn groups<'a>(among: &[usize], words: impl Fn(usize) -> &'a str) -> Vec<(&'a str, Vec<usize>)> {
    let mut groups: Vec<(&str, Vec<usize>)> = Vec::new();
    for &at in among {
        match groups.iter_mut().find(|(known, _)| *known == words(at)) {
            Some((_, of)) => of.push(at),
            None => groups.push((words(at), vec![at])),
        }
    }
    groups
}

/// A group as a line: "Vee: twin, six, eight", or the kind itself where it is alone.
fn line(profiles: &[(String, String)], (words, of): (&str, Vec<usize>)) -> Entry {
    let title = |at: usize| profiles.get(at).map_or("", |(_, title)| title.as_str());
    if let [only] = of.as_slice() {
        return Entry::One(plain(title(*only)), *only);
    }
    let heads = groups(&of, |at| head(title(at)));
    let kinds: Vec<&str> =
        heads.iter().map(|(head, _)| head.strip_prefix(words).unwrap_or(head).trim()).collect();
    let label = match kinds.as_slice() {
        [_] => format!("{words}: {} kinds", of.len()),
        _ => format!("{words}: {}", kinds.join(", ")),
    };
    Entry::Several(plain(&label), of)
}

fn ask(profiles: &[(String, String)], among: &[usize], entries: &[Entry], page: usize) -> Prompt {
    let title = match common_head(profiles, among) {
        "" => "A new engine: which kind?".to_string(),
        head => format!("A new engine: {}", plain(head)),
    };
    let shown = entries.iter().enumerate().skip(page * LINES).take(LINES);
    let choice = |(place, entry): (usize, &Entry)| {
        let label = match entry {
            Entry::Several(label, _) | Entry::One(label, _) => label.as_str(),
            Entry::Own => OWN,
        };
        Some(Choice { digit: u8::try_from(place + 1).ok()?, label: label.to_owned() })
    };
    let mut field = Field::typed(Typed::Text);
    field.choices = shown.filter_map(choice).collect();
    let last = (page + 1) * LINES >= entries.len();
    if let [Entry::One(..)] | [Entry::One(..), Entry::Own] = entries {
        field = field.or_enter("this one");
    } else if !last {
        field = field.or_enter("the next ones");
    }
    prompt(super::start::PLACE, title, "Its number, or a word to search:").with(field)
}
