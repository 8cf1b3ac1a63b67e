//! What the covers of an engine are held by, in the profile's own words.

use crate::domain::profile::Covers;

const KINDS: [&str; 3] = ["nut", "bolt", "screw"];

/// Returns what holds the covers: "nuts", "nuts and bolts"; screws where the profile lists
/// none of them.
pub fn of_covers(covers: &Covers) -> String {
    let is_named = |kind: &str, item: &str| {
        let mut words = item.split(|letter: char| !letter.is_alphabetic());
        words.any(|word| word.to_lowercase().trim_end_matches('s') == kind)
    };
    let listed = |kind: &&&str| {
        covers.hardware.iter().any(|item| item.each > 0 && is_named(kind, &item.item))
    };
    let named: Vec<String> = KINDS.iter().filter(listed).map(|kind| format!("{kind}s")).collect();
    match named.split_last() {
        None => "screws".into(),
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
    }
}
