//! Readings of another version of the session, to be taken over into this one.

use super::form::{count, prompt, take};
use super::{Beside, Field, Step, Typed};
use crate::domain::entry::Adopt;
use crate::domain::plain::plain;
use crate::domain::session::{Input, Session};

/// Readings of one other version, as they stand there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherVersion {
    /// Its letter.
    pub letter: char,
    /// Its readings that this version has not.
    pub readings: Vec<Adopt>,
}

/// Lists what can be taken over now: as-found readings of valves that are not gauged here yet.
fn offered<'a>(session: &'a Session, beside: &'a Beside) -> Vec<(char, &'a Adopt)> {
    let all = beside.others.iter().flat_map(|other| {
        let letter = other.letter;
        other.readings.iter().map(move |adopt| (letter, adopt))
    });
    all.filter(|(_, adopt)| session.decide(&Input::Adopt(Box::new((*adopt).clone()))).is_ok())
        .collect()
}

/// Tells whether there is anything to take over now.
pub(super) fn any(session: &Session, beside: &Beside) -> bool {
    !offered(session, beside).is_empty()
}

/// Asks which reading; its figure is not shown: the valve may still be gauged here.
pub(super) fn adopt(session: &Session, place: &str, beside: &Beside, given: &[String]) -> Step {
    let offered = offered(session, beside);
    if offered.is_empty() {
        return Step::Refused("no other version has a reading that could be taken over now".into());
    }
    let line = |(number, (letter, adopt)): (usize, &(char, &Adopt))| {
        let (reading, seq) = (&adopt.reading, adopt.seq);
        let by = plain(&reading.by);
        format!("{number:>4}  {} found, by {by}: entry {seq} of version {letter}", reading.valve)
    };
    let ask = prompt(place, "Take over a reading from another version", "Which? Its number:")
        .line("It is marked on the record with the file and the entry that it comes from.")
        .lines((1..).zip(&offered).map(line))
        .with(Field::typed(Typed::Count));
    count(ask, given, |number, _| {
        let at = usize::try_from(number).ok().and_then(|number| number.checked_sub(1));
        match at.and_then(|at| offered.get(at)) {
            Some((_, adopt)) => take(Input::Adopt(Box::new((*adopt).clone()))),
            None => Step::Refused(format!("there is no reading {number}")),
        }
    })
}
