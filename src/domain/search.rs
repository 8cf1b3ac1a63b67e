//! Finding a kind of engine by words: what is typed against the words that stand for each thing.
//!
//! A word is found whole or by its beginning, numbers also spelled ("8", "eight"), a firing order
//! from any of its cylinders on ("3-4-2-1" is 1-3-4-2), a part of it too.

use super::profile::{Facts, Shape};
use super::valve::Cylinder;

/// Words of the trade that stand for one another.
const ALIKE: [&[&str]; 22] = [
    &["flat", "opposed", "boxer"],
    &["inline", "straight"],
    &["vee", "v"],
    &["one", "1", "single"],
    &["two", "2", "twin"],
    &["three", "3"],
    &["four", "4"],
    &["five", "5"],
    &["six", "6"],
    &["seven", "7"],
    &["eight", "8"],
    &["nine", "9"],
    &["ten", "10"],
    &["twelve", "12"],
    &["fourteen", "14"],
    &["sixteen", "16"],
    &["eighteen", "18"],
    &["degree", "degrees"],
    &["screw", "screws"],
    &["shim", "shims"],
    &["lifter", "lifters"],
    &["pushrod", "pushrods"],
];

/// Finds the things whose words hold every word that was asked for; blank alone finds all.
///
/// Where anything has a word whole, its beginning elsewhere does not count: "four" is not fourteen.
pub fn find(asked: &str, things: &[String]) -> Vec<usize> {
    let mut found: Vec<usize> = (0..things.len()).collect();
    if asked.trim().is_empty() {
        return found;
    }
    let things: Vec<Vec<Word>> = things.iter().map(|thing| widened(words(thing))).collect();
    let asked = joined_orders(words(asked));
    if asked.is_empty() {
        return Vec::new();
    }
    for word in &asked {
        let has = |fits: fn(&Word, &Word) -> bool| {
            move |thing: &Vec<Word>| thing.iter().any(|own| fits(own, word))
        };
        let whole = things.iter().any(has(Word::is));
        let fits = if whole { Word::is } else { Word::begins_with };
        found.retain(|&at| has(fits)(&things[at]));
    }
    found
}

/// Returns the things whose words come nearest to what was asked for, the nearest first.
pub fn nearest_things(asked: &str, things: &[String], most: usize) -> Vec<usize> {
    let asked = joined_orders(words(asked));
    let apart = |thing: &String| -> usize {
        let own = widened(words(thing));
        let letters = |word: &Word| own.iter().map(|own| word.apart(own)).min().unwrap_or(0);
        asked.iter().map(letters).sum()
    };
    let mut near: Vec<(usize, usize)> =
        things.iter().enumerate().map(|(at, thing)| (apart(thing), at)).collect();
    near.sort_unstable();
    near.into_iter().take(most).map(|(_, at)| at).collect()
}

/// Returns the names that come nearest to one that was typed, the nearest first: those that have its
/// words, else those that are few letters apart from it. One with another number is another thing.
pub fn nearest_names<'a>(typed: &str, names: &[&'a str], most: usize) -> Vec<&'a str> {
    let asked = joined_orders(words(typed));
    if asked.is_empty() {
        return Vec::new();
    }
    if let Some(same) = names.iter().find(|name| name.eq_ignore_ascii_case(typed)) {
        return vec![same];
    }
    let things: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
    let has_words = find(typed, &things).into_iter().map(|at| (0, names[at]));
    let mut near: Vec<(usize, &str)> = has_words.collect();
    if near.is_empty() {
        let apart = |name: &&'a str| Some((letters_apart(typed, &asked, name)?, *name));
        near = names.iter().filter_map(apart).collect();
        let least = near.iter().map(|(apart, _)| *apart).min();
        near.retain(|(apart, _)| Some(*apart) == least);
    }
    near.sort_by_key(|(_, name)| (name.len(), *name));
    near.dedup();
    near.into_iter().take(most).map(|(_, name)| name).collect()
}

/// Most letters apart at which one name is offered for another.
const NEAR: usize = 4;

/// Counts the letters by which a name is apart from one that was typed, word by word or as a whole;
/// `None` where it has not all of its numbers, or is too far from it.
fn letters_apart(typed: &str, asked: &[Word], name: &str) -> Option<usize> {
    let own = widened(words(name));
    let mut by_words = 0;
    let mut letters = 0;
    for word in asked {
        match word {
            Word::Plain(text) if !is_number(text) => {
                by_words += own.iter().map(|own| word.apart(own)).min()?;
                letters += text.chars().count();
            }
            number @ (Word::Plain(_) | Word::Order(_)) => {
                own.iter().any(|own| own.is(number)).then_some(())?
            }
        }
    }
    let whole = Some(distance(&typed.to_lowercase(), name)).filter(|apart| *apart <= NEAR);
    let by_words = Some(by_words).filter(|apart| apart * 3 <= letters);
    by_words.into_iter().chain(whole).min()
}

/// Returns the words that stand for a profile: name, title, shape, cylinder count, firing order,
/// uneven intervals.
pub fn words_of(name: &str, facts: &Facts) -> String {
    let shape = match facts.layout.shape {
        Shape::Inline => "inline",
        Shape::Vee => "vee",
        Shape::Opposed => "opposed",
        Shape::Radial => "radial",
    };
    let order: Vec<String> = facts.firing_order.iter().map(Cylinder::to_string).collect();
    // Of two cylinders it would be twelve: "vee twelve" is no vee twin.
    let run = if order.len() > 2 { order.concat() } else { String::new() };
    let (order, title) = (order.join("-"), &facts.name);
    let mut words = format!("{name} {title} {shape} {} {order} {run}", facts.cylinders());
    if !facts.fires_evenly() {
        let intervals: Vec<String> = facts.firing_intervals.iter().map(f64::to_string).collect();
        words.push_str(&format!(" {} {}", intervals.join("-"), intervals.join(" ")));
    }
    words
}

/// Returns a kind's place in a list: by shape, then by cylinders.
pub fn place_in_list(facts: &Facts) -> (u8, usize) {
    let shape = match facts.layout.shape {
        Shape::Opposed => 0,
        Shape::Inline => 1,
        Shape::Vee => 2,
        Shape::Radial => 3,
    };
    (shape, facts.cylinders())
}

/// Returns the word of `known` that is nearest to `word`, and how many letters apart they are.
pub fn nearest<'a>(
    word: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<(&'a str, usize)> {
    known.into_iter().map(|other| (other, distance(word, other))).min_by_key(|(_, apart)| *apart)
}

/// One word that is looked for or found.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Word {
    /// Letters, or a number alone.
    Plain(String),
    /// Numbers in a row: a firing order, or intervals.
    Order(Vec<String>),
}

impl Word {
    /// Tells whether this is the word asked for; an order may begin anywhere and end early.
    fn is(&self, asked: &Word) -> bool {
        match (self, asked) {
            (Word::Plain(own), Word::Plain(asked)) => own == asked,
            (Word::Order(own), Word::Order(asked)) => {
                let round = own.iter().chain(own).collect::<Vec<_>>();
                asked.len() <= own.len()
                    && round.windows(asked.len()).any(|part| part.iter().copied().eq(asked))
            }
            (Word::Plain(_), Word::Order(_)) | (Word::Order(_), Word::Plain(_)) => false,
        }
    }

    /// Tells whether this word begins with the one asked for; a number is only found whole.
    fn begins_with(&self, asked: &Word) -> bool {
        match (self, asked) {
            (Word::Plain(own), Word::Plain(asked)) => own.starts_with(asked) && !is_number(asked),
            (Word::Order(_), Word::Order(_)) => self.is(asked),
            (Word::Plain(_), Word::Order(_)) | (Word::Order(_), Word::Plain(_)) => false,
        }
    }

    fn apart(&self, own: &Word) -> usize {
        match (self, own) {
            (Word::Plain(asked), Word::Plain(own)) => distance(asked, own),
            (Word::Order(asked), Word::Order(own)) => distance(&asked.join("-"), &own.join("-")),
            // As far as all the letters asked for.
            (Word::Plain(asked), Word::Order(_)) => asked.chars().count(),
            (Word::Order(asked), Word::Plain(_)) => asked.join("-").len(),
        }
    }
}

fn is_number(word: &str) -> bool {
    !word.is_empty() && word.bytes().all(|letter| letter.is_ascii_digit())
}

/// Splits a text into words, in small letters: at all that is neither letter nor digit, and between
/// letters and digits ("v8"). Numbers with hyphens between them stay together.
fn words(text: &str) -> Vec<Word> {
    let mut found = Vec::new();
    let apart = |letter: char| !letter.is_alphanumeric() && letter != '-';
    for piece in text.split(apart).filter(|piece| !piece.is_empty()) {
        let parts: Vec<&str> = piece.split('-').filter(|part| !part.is_empty()).collect();
        if parts.len() > 1 && parts.iter().all(|part| is_number(part)) {
            found.push(Word::Order(parts.into_iter().map(str::to_owned).collect()));
        } else {
            found.extend(parts.into_iter().flat_map(letters_and_digits).map(Word::Plain));
        }
    }
    found
}

fn letters_and_digits(part: &str) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for letter in part.to_lowercase().chars() {
        let digit = letter.is_ascii_digit();
        match pieces.last_mut() {
            Some(last) if is_number(last) == digit => last.push(letter),
            Some(_) | None => pieces.push(letter.to_string()),
        }
    }
    pieces
}

/// Takes three or more numbers in a row for a firing order: "1 3 4 2".
fn joined_orders(words: Vec<Word>) -> Vec<Word> {
    let mut joined: Vec<Word> = Vec::new();
    let mut run: Vec<String> = Vec::new();
    let put = |run: &mut Vec<String>, joined: &mut Vec<Word>| {
        let numbers = std::mem::take(run);
        if numbers.len() >= 3 {
            joined.push(Word::Order(numbers));
        } else {
            joined.extend(numbers.into_iter().map(Word::Plain));
        }
    };
    for word in words {
        match &word {
            Word::Plain(number) if is_number(number) => run.push(number.clone()),
            Word::Plain(_) | Word::Order(_) => {
                put(&mut run, &mut joined);
                joined.push(word);
            }
        }
    }
    put(&mut run, &mut joined);
    joined
}

/// Adds the words that stand for the ones that are there.
fn widened(mut words: Vec<Word>) -> Vec<Word> {
    for alike in ALIKE {
        let one = |word: &&str| words.contains(&Word::Plain((*word).to_owned()));
        if alike.iter().any(one) {
            words.extend(alike.iter().map(|word| Word::Plain((*word).to_owned())));
        }
    }
    words
}

/// Most letters of a word that are compared.
const LETTERS_MAX: usize = 60;

/// Counts the letters to be put in, taken out or changed to make one word of the other.
fn distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().take(LETTERS_MAX).collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (at, letter) in one.chars().take(LETTERS_MAX).enumerate() {
        let mut diagonal = row[0];
        row[0] = at + 1;
        for (place, rival) in other.iter().enumerate() {
            let changed = diagonal + usize::from(letter != *rival);
            diagonal = row[place + 1];
            row[place + 1] = changed.min(diagonal + 1).min(row[place] + 1);
        }
    }
    row[other.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn things() -> Vec<String> {
        [
            "flat-four Flat four, screws opposed 4 1-3-2-4 1324",
            "radial-fourteen Radial fourteen radial 14 1-10-5-14-9-4-13-8-3-12-7-2-11-6",
            "vee-eight-18436572 Vee eight vee 8 1-8-4-3-6-5-7-2 18436572",
            "inline-four Inline four inline 4 1-3-4-2 1342",
            "vee-twin-90 Vee twin, 90 degrees vee 2 1-2 12 270-450",
        ]
        .map(str::to_owned)
        .to_vec()
    }

    fn found(asked: &str) -> Vec<usize> {
        find(asked, &things())
    }

    #[test]
    fn every_word_must_stand_there_whole_or_as_a_beginning() {
        for (asked, wanted) in [
            ("", vec![0, 1, 2, 3, 4]),
            ("  ", vec![0, 1, 2, 3, 4]),
            ("four", vec![0, 3]),
            ("FOUR", vec![0, 3]),
            ("fo", vec![0, 1, 3]),
            ("4", vec![0, 3]),
            ("14", vec![1]),
            ("vee 8", vec![2]),
            ("vee eight", vec![2]),
            ("V8", vec![2]),
            ("v-8", vec![2]),
            ("vee-eight", vec![2]),
            ("boxer", vec![0]),
            ("straight 4", vec![3]),
            ("vee 4", vec![]),
            ("twin 2", vec![4]),
            ("90", vec![4]),
            ("xyz", vec![]),
            ("\u{7}", vec![]),
            ("---", vec![]),
        ] {
            assert_eq!(found(asked), wanted, "{asked}");
        }
    }

    #[test]
    fn a_name_that_was_mistyped_is_offered_and_none_with_another_number() {
        let names =
            ["flat-six", "flat-four", "flat-four-1423", "vee-six-60", "radial-nine", "radial-five"];
        for (typed, wanted) in [
            ("flat4", &["flat-four", "flat-four-1423"][..]),
            ("flat 6", &["flat-six"]),
            ("flat-fuor", &["flat-four", "flat-four-1423"]),
            ("flatfour", &["flat-four"]),
            ("raidal9", &["radial-nine"]),
            ("radial-fvie", &["radial-five"]),
            ("six", &["flat-six", "vee-six-60"]),
            ("V6", &["vee-six-60"]),
            ("Flat-Four", &["flat-four"]),
            ("flat8", &[]),
            ("x", &[]),
            ("", &[]),
            ("helicopter", &[]),
        ] {
            assert_eq!(nearest_names(typed, &names, 3), wanted, "{typed}");
        }
    }

    #[test]
    fn an_order_is_found_from_any_cylinder_on_and_in_part() {
        for (asked, wanted) in [
            ("1-3-4-2", vec![3]),
            ("4-2-1-3", vec![3]),
            ("1 3 4 2", vec![3]),
            ("1, 3, 4, 2", vec![3]),
            ("1342", vec![3]),
            ("8-4-3", vec![2]),
            ("2-1-8", vec![2]),
            ("4-3", vec![2]),
            ("450-270", vec![4]),
            ("1-4-3-2", vec![]),
            ("1-3-4-2-1", vec![]),
        ] {
            assert_eq!(found(asked), wanted, "{asked}");
        }
    }

    #[test]
    fn what_is_not_found_is_answered_with_what_is_like_it() {
        let near = |asked: &str| nearest_things(asked, &things(), 2);
        assert_eq!(near("veee eigth"), [2, 4]);
        assert_eq!(near("flt for"), [0, 3]);
        assert_eq!(near("1-3-4-3"), [3, 0]);
        assert_eq!(nearest_things("x", &[], 2), Vec::<usize>::new());
    }

    #[test]
    fn the_nearest_word_is_the_one_with_fewest_letters_apart() {
        assert_eq!(nearest("traget", ["least", "target", "most"]), Some(("target", 2)));
        assert_eq!(nearest("mots", ["least", "target", "most"]), Some(("most", 2)));
        assert_eq!(nearest("x", []), None);
    }
}
