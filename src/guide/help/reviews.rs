//! Help on the tables that one reads through: what moved, what each valve did.

use super::For::All;
use super::{Say, Topic};
/// The comparison with the service before.
pub static COMPARISON: Topic = Topic {
    name: "comparison",
    title: "What moved since last time",
    words: &["moved", "compare screen"],
    what: &[Say(
        All,
        "As-left of the last service against as-found of this one. Where the readings are too coarse, it says so: not told apart.",
    )],
    hands: &[
        Say(All, "Look for the one valve that moved otherwise than the rest."),
        Say(All, "Closing is the dangerous way: a seat going. Opening: lobe, lifter, rocker, nut."),
        Say(
            All,
            "Type to keep only what you want: 3, exhaust, closed, tight. The point sorts: by valve, most moved, gravest.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(All, "Hot against cold, or another leaf set: the lines at the top say so.")],
};

/// An engine's past.
pub static PAST: Topic = Topic {
    name: "past",
    title: "What each valve did over the hours",
    words: &["trend", "forecast", "chart", "history screen"],
    what: &[Say(
        All,
        "Movement over running hours, adjusting taken out, so that a closing valve shows even if it was opened up each time.",
    )],
    hands: &[
        Say(
            All,
            "Under three services there is no drift, under five no forecast: two points prove nothing. Left and right leaf through the valves, on the number pad + and -.",
        ),
        Say(
            All,
            "Type to keep only what you want: valves at the glance, services on a valve's page (2026-04, tight). The point sorts.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "A forecast is arithmetic. The interval in the manual rules, unless the valve is faster.",
    )],
};
