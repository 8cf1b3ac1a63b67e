//! Words that are kept in sessions and recognised again: a better wording would change what an old
//! session means, so each stands here as it was first written.

use cowlside::domain::doubt::Doubt;
use cowlside::domain::entry::Work;
use cowlside::domain::service::IMPORTED;

/// Every doubt as it is kept in a reading's `odd`.
const DOUBTS: [(Doubt, &str); 11] = [
    (Doubt::Point, "not believed at once: ten times the target, or a tenth"),
    (Doubt::Unit, "not believed at once: 25 times the target, or a 25th"),
    (Doubt::Hundredths, "not believed at once: a hundred times the target"),
    (Doubt::NearNothing, "not believed at once: both valves near nothing"),
    (Doubt::Swapped, "not believed at once: intake and exhaust look swapped"),
    (Doubt::MovedFar, "not believed at once: moved further than is likely"),
    (Doubt::Scatter, "not believed at once: another figure than before by more than a leaf"),
    (Doubt::WrongWay, "not believed at once: a try that went the wrong way"),
    (Doubt::NotMoved, "not believed at once: a try that did not move"),
    (
        Doubt::Hollow,
        "not believed at once: the turn of the screw says something else than the leaf",
    ),
    (Doubt::NotAsLedTo, "not believed at once: another figure than the part that went in leads to"),
];

#[test]
fn the_doubts_of_old_sessions_are_found_by_the_words_they_were_kept_with() {
    for (doubt, kept) in DOUBTS {
        assert_eq!(Doubt::of(Some(kept)), Some(doubt), "{kept}");
        assert_eq!(doubt.kept(), kept);
    }
}

#[test]
fn the_table_and_the_work_that_changes_a_push_rod_are_known_by_their_words() {
    assert_eq!(IMPORTED, "imported");
    assert_eq!((Work::CYLINDER, Work::PUSH_ROD), ("cylinder", "push rod"));
}
