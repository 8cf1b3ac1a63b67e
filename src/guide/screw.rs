//! What is done to an adjusting screw, in words: which way, and how far by the last figure read.

use crate::domain::advice::{self, Direction};
use crate::domain::entry::Entry;
use crate::domain::profile::Adjuster;
use crate::domain::session::{Session, State};
use crate::domain::turn_words::{Drive, turn_of_screw_words};
use crate::domain::valve::Valve;
use crate::domain::verdict::Verdict;

/// What to do to a screw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScrewTurn {
    direction: Direction,
    /// Degrees; `None` where no amount can be told.
    degrees: Option<f64>,
    drive: Drive,
}

/// Says what to do to a screw by the last figure that was read: an amount only from a closed
/// reading, and the direction from that same reading.
pub fn screw_turn(state: &State, valve: Valve, verdict: Verdict) -> Option<ScrewTurn> {
    let Adjuster::Screw(screw) = &state.facts().adjuster else { return None };
    let target = state.figures(valve.kind).target;
    let last = state
        .readings
        .iter()
        .rev()
        .find(|taken| taken.counts && taken.reading.valve == valve)
        .and_then(|taken| taken.reading.nominal);
    let direction = match last {
        Some(last) if last == target => return None,
        Some(last) if last < target => Direction::Out,
        Some(_) => Direction::In,
        None => match verdict {
            Verdict::Tight => Direction::Out,
            Verdict::Loose => Direction::In,
            Verdict::InLimits | Verdict::Undecided { .. } => return None,
        },
    };
    let turn = last.and_then(|last| advice::turn(screw, last, target));
    Some(ScrewTurn { direction, degrees: turn.map(|turn| turn.degrees), drive: Drive::of(screw) })
}

/// Says why the last figure of a valve that is set tells nothing of how it stands; `None` where it does.
pub(super) fn stands_unknown(session: &Session, valve: Valve) -> Option<String> {
    let gone = figure_gone(&session.state, valve);
    if gone.is_some() {
        return gone;
    }
    if session.state.stands_unknown(valve) {
        return Some("Its nut was found slack: it may read anything now. Gauge it first.".into());
    }
    // What that figure asks for may have been turned before the break.
    let words = "The screw may have been turned before the break: gauge it first.";
    broken_off(session, valve).then(|| words.into())
}

/// Says of a valve of which a later reading is gone that no turn follows from the figure before that.
pub(super) fn figure_gone(state: &State, valve: Valve) -> Option<String> {
    let words =
        "A later reading of it does not count: its screw may stand otherwise. Gauge it first.";
    state.later_reading_gone(valve).then(|| words.into())
}

/// Tells whether there was a break since this valve was gauged last and its nut opened.
pub(super) fn broken_off(session: &Session, valve: Valve) -> bool {
    let opened = session.state.nuts.get(&valve).map_or(0, |nut| nut.opened_at);
    let valid = session.kept.iter().rev().filter(|kept| !session.is_void(kept.seq));
    valid
        .take_while(|kept| !matches!(&kept.entry, Entry::Reading(one) if one.valve == valve))
        .any(|kept| kept.seq > opened && matches!(kept.entry, Entry::Back(_)))
}

/// Says why a nut counts as slack that was locked: another profile asks for another torque.
pub(super) fn locked_before(session: &Session, valve: Valve) -> Option<String> {
    let slack = session.state.nuts.get(&valve)?;
    let before = session.locked_before();
    let last = before.iter().rev().find(|one| one.valve == valve)?;
    if last.replaced != slack.said_at {
        return None;
    }
    let unit = session.state.facts().unit;
    let was = super::status::torque_words(&last.torque, unit);
    let was = if was.is_empty() { String::new() } else { format!(" at {was}") };
    let now = super::rounds::torque_words(session).unwrap_or_default();
    Some(format!("It was locked{was}; the profile used now asks for {now}."))
}

impl ScrewTurn {
    /// Returns the turn for large letters, to the nearest 5°: "SCREW IN 25°", and in few: "25° IN". In the
    /// drawing IN is an intake, so that it stands alone nowhere.
    pub fn large(self) -> [String; 2] {
        let word = self.direction.word().to_uppercase();
        match self.degrees.map(|degrees| (degrees / 5.0).round() * 5.0) {
            Some(degrees) if (5.0..1000.0).contains(&degrees) => {
                [format!("SCREW {word} {degrees:.0}°"), format!("{degrees:.0}° {word}")]
            }
            Some(_) | None => [format!("SCREW {word}"), String::new()],
        }
    }

    /// Returns the turn in a sentence.
    pub fn words(self) -> String {
        match self.degrees {
            Some(degrees) => {
                let turn = turn_of_screw_words(self.direction, degrees, self.drive);
                format!("screw {turn}; the leaf decides.")
            }
            None => {
                let word = self.direction.word();
                format!("screw {word}, a little at a time; the leaf decides.")
            }
        }
    }
}
