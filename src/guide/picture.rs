//! Words beside the picture of a stop: what its marks are, which turn, which way, how exactly.
//!
//! Each is a list of lines, the most needed first. A changeover is never called an overlap.

use super::turning::{end_words, part_of_turn};
use crate::domain::picture::{Dial, Lifts, Picture, Stands, cycle_turn};
use crate::domain::profile::{Facts, Sign};

/// The letter that marks the stop.
pub const STOP: &str = "S";
/// The letter that marks where the crank stands.
pub const CRANK: &str = "C";
/// What marks the crank where nobody knows how it stands.
pub const UNKNOWN: &str = "?";

/// Everything that is said of a picture.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Words {
    /// The dial in full.
    pub dial: Vec<String>,
    /// Of the dial what tells its marks apart, in few words.
    pub marks: Vec<String>,
    /// The lifts.
    pub lifts: Vec<String>,
    /// The sign, where it stands under the curves.
    pub sign: String,
}

/// Puts a picture into words.
pub fn words(facts: &Facts, picture: &Picture) -> Words {
    let Picture { dial, lifts } = picture;
    Words {
        dial: dial_lines(facts, dial),
        marks: marks(facts, dial),
        lifts: lift_lines(lifts),
        sign: sign_word(lifts.sign).into(),
    }
}

fn dial_lines(facts: &Facts, dial: &Dial) -> Vec<String> {
    let mut lines = stop_and_crank(dial);
    let on = dial.turn.map(|turn| match turn {
        turn if turn < 0.5 => "The crank stands at the stop".to_string(),
        turn => format!("From {CRANK} on to {STOP}: {turn:.0}°, {}", part_of_turn(turn)),
    });
    lines.extend(on);
    lines.push(match dial.will_do {
        None if facts.timing.is_none() => "No tolerance: the profile gives no timing".into(),
        None => "No tolerance: only the place itself".into(),
        Some((short, past)) if short < 1.0 && past < 1.0 => "Only the exact place will do".into(),
        Some((short, past)) => {
            format!("Solid rim will do: {:.0}° short, {:.0}° past", short.floor(), past.floor())
        }
    });
    let seen_from = facts.rotation.as_ref().map(|rotation| end_words(rotation.seen_from));
    lines.push(match (seen_from, dial.clockwise) {
        (Some(end), Some(true)) => format!("Seen from {end}: it turns clockwise"),
        (Some(end), Some(false)) => format!("Seen from {end}: it turns counter-clockwise"),
        (_, None) | (None, _) => "Which way it turns is not known: drawn clockwise".into(),
    });
    lines.extend(first(facts).map(|first| format!("Top: {first} at TDC, firing as turn 1 begins")));
    lines
}

/// As short as it can be said: what the question beside it says too is left to the question.
fn marks(facts: &Facts, dial: &Dial) -> Vec<String> {
    let mut lines = stop_and_crank(dial);
    if let (Stands::NotProven(angle), Some(line)) = (dial.crank, lines.last_mut()) {
        *line = format!("{CRANK} not proven: turn {}", cycle_turn(angle));
    }
    let seen_from = facts.rotation.as_ref().filter(|_| dial.clockwise.is_some());
    lines.push(match seen_from {
        Some(rotation) => format!("Seen from {}", end_words(rotation.seen_from)),
        None => "Which way: not known".into(),
    });
    lines.extend(first(facts).map(|first| format!("Top: {first} at TDC")));
    let solid = dial.will_do.is_some_and(|(short, past)| short + past >= 1.0);
    lines.extend(solid.then(|| "Solid rim: will do".to_string()));
    lines
}

fn stop_and_crank(dial: &Dial) -> Vec<String> {
    let turn = |angle| format!("turn {} of 2", cycle_turn(angle));
    let crank = match dial.crank {
        Stands::Unknown => format!("{UNKNOWN} crank: not known"),
        Stands::NotProven(angle) => format!("{CRANK} crank, not proven: {}", turn(angle)),
        Stands::Proven(angle) => format!("{CRANK} crank: {}", turn(angle)),
    };
    vec![format!("{STOP} stop: {}", turn(dial.stop)), crank]
}

fn first(facts: &Facts) -> Option<u8> {
    facts.firing_order.first().copied()
}

fn lift_lines(lifts: &Lifts) -> Vec<String> {
    let watch = lifts.watch;
    let both = lifts.both_open();
    let sign = match lifts.sign {
        Sign::Overlap | Sign::Changeover => format!("{watch} at {}", sign_word(lifts.sign)),
        Sign::IntakeOpens
        | Sign::IntakeCloses
        | Sign::ExhaustOpens
        | Sign::ExhaustCloses
        | Sign::Mark => format!("{watch}: {}", sign_word(lifts.sign)),
    };
    // Assumed timing gives the picture its shape, but no number is told by it.
    let mut lines = vec![match lifts.sign {
        Sign::Overlap if both >= 0.5 && !lifts.assumed => {
            format!("{sign}: both valves open for {both:.0}°")
        }
        Sign::Changeover if both <= -0.5 && !lifts.assumed => {
            format!("{sign}: both valves shut for {:.0}°", -both)
        }
        Sign::Overlap
        | Sign::Changeover
        | Sign::IntakeOpens
        | Sign::IntakeCloses
        | Sign::ExhaustOpens
        | Sign::ExhaustCloses
        | Sign::Mark => sign,
    }];
    if lifts.then_turn > 0 {
        lines.push("This is one full turn before the stop".into());
    }
    lines.push(if lifts.assumed {
        "Timing assumed, shape only drawn".into()
    } else {
        "Ends by the timing, shape only drawn".into()
    });
    lines
}

fn sign_word(sign: Sign) -> &'static str {
    match sign {
        Sign::Overlap => "overlap",
        Sign::Changeover => "changeover",
        Sign::IntakeOpens => "intake just opening",
        Sign::IntakeCloses => "intake just shut",
        Sign::ExhaustOpens => "exhaust just opening",
        Sign::ExhaustCloses => "exhaust just shut",
        Sign::Mark => "mark",
    }
}
