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
