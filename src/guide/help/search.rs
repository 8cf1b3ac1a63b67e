//! From a word to what is known about it.

use super::glossary::{self, Term};
use super::{Topic, topics};
use crate::domain::search::nearest;

/// What a word leads to.
#[derive(Clone, Copy, Debug)]
pub enum Found {
    /// A topic.
    Topic(&'static Topic),
    /// A word of the trade.
    Term(&'static Term),
}

/// A word without capitals, hyphens and blanks: "Lock nut", "lock-nut" and "locknut" are one.
fn plain_key(word: &str) -> String {
    word.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// Most words that are proposed.
const PROPOSED: usize = 5;

/// Finds what a word names: a topic by its name, a word of the glossary, or a topic by another word.
pub fn search(asked: &str) -> Option<Found> {
    let asked = plain_key(asked);
    let same = |word: &str| plain_key(word) == asked;
    if let Some(topic) = topics().find(|topic| same(topic.name)) {
        return Some(Found::Topic(topic));
    }
    let term = glossary::TERMS
        .iter()
        .find(|term| same(term.term) || term.also.iter().any(|word| same(word)));
    if let Some(term) = term {
        return Some(Found::Term(term));
    }
    topics()
        .find(|topic| same(topic.title) || topic.words.iter().any(|word| same(word)))
        .map(Found::Topic)
}

/// Lists words that are like one that leads nowhere, the nearest first; none where none is like it.
/// `beside` are other words that lead somewhere.
pub fn near(asked: &str, beside: &[String]) -> Vec<String> {
    let key = plain_key(asked);
    let topics = topics().flat_map(|topic| std::iter::once(&topic.name).chain(topic.words));
    let terms = glossary::TERMS.iter();
    let terms = terms.flat_map(|term| std::iter::once(&term.term).chain(term.also));
    let known = topics.chain(terms).copied().chain(beside.iter().map(String::as_str));
    let apart = |word: &str| -> Option<usize> {
        let own = plain_key(word);
        let part = key.len() >= 3 && (own.contains(&key) || key.contains(&own) && own.len() >= 3);
        let (_, letters) = nearest(&key, [own.as_str()])?;
        (letters <= (key.chars().count() / 3).max(1)).then_some(letters).or(part.then_some(9))
    };
    let mut near: Vec<(usize, &str)> =
        known.filter_map(|word| Some((apart(word)?, word))).collect();
    near.sort_unstable();
    near.dedup();
    near.into_iter().take(PROPOSED).map(|(_, word)| word.to_string()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(asked: &str) -> String {
        match search(asked) {
            Some(Found::Topic(topic)) => format!("topic {}", topic.name),
            Some(Found::Term(term)) => format!("term {}", term.term),
            None => "nothing".into(),
        }
    }

    #[test]
    fn a_word_leads_to_its_topic_else_to_the_glossary_else_to_a_topic_that_has_it() {
        for (asked, wanted) in [
            ("gauge", "topic gauge"),
            ("Lock nut", "topic lock-nut"),
            ("locknut", "topic lock-nut"),
            ("overlap", "term overlap"),
            ("lash", "term clearance"),
            ("GO/NO-GO", "term go and no-go"),
            ("timer", "topic cooling"),
            ("carburettor", "nothing"),
            ("", "nothing"),
        ] {
            assert_eq!(found(asked), wanted, "{asked}");
        }
    }

    #[test]
    fn a_slip_of_a_letter_is_told_what_it_is_near_to() {
        assert_eq!(near("overlp", &[]).first().map(String::as_str), Some("overlap"));
        assert_eq!(
            near("sessoin", &["session".into()]).first().map(String::as_str),
            Some("session")
        );
        assert_eq!(near("qqqqqqqq", &[]), Vec::<String>::new());
    }
}
