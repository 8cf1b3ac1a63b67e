//! Help while a session is only looked at.

use super::For::All;
use super::{Say, Topic};

/// A session that is only looked at.
pub static WATCHING: Topic = Topic {
    name: "looking-on",
    title: "Only looking",
    words: &["second terminal", "in use", "read-only", "take over"],
    what: &[Say(
        All,
        "The session is open in another terminal, or cannot be written here. What is kept there shows here; nothing is taken here.",
    )],
    hands: &[Say(
        All,
        "g goes on here once the program in the other terminal has ended or was lost. Then the cautions are asked anew.",
    )],
    drawings: &[],
    wrong: &[Say(
        All,
        "The crank may have been moved meanwhile. Two people at one engine agree first who types.",
    )],
};

/// A record on the screen.
pub static RECORD: Topic = Topic {
    name: "record",
    title: "The record of a service",
    words: &["report", "read the record", "records"],
    what: &[Say(
        All,
        "What was found, done and left, as `cowlside report` prints it. What is wrong or open comes first.",
    )],
    hands: &[
        Say(All, "Arrows move line by line, Page down a window further, Esc goes back."),
        Say(
            All,
            "Type what you look for: 3 exhaust, loose, torque. Only that is shown, with its headings.",
        ),
        Say(All, "Before you sign: the last question shows it with your words in it."),
    ],
    drawings: &[],
    wrong: &[Say(All, "Signed unread. After the signature only dated remarks are added.")],
};
