//! Readings that are not believed at once: which, and why.
//!
//! Such a reading is kept first, as typed. Then the valve is gauged once more, without a word of what
//! was expected; then both stand on the screen, and one key says what it was. A doubt is a word kept
//! with the reading; that it is settled is a remark that names it.

use super::odd::Odd;

/// What stands before the word in a reading's `odd`.
const MARK: &str = "not believed at once: ";

/// Says that it is so, where the second reading is as the first.
const TWICE: &str = "it is so, gauged twice";
/// Says that it is so, where the second reading is another.
const MOVED: &str = "it is so: it moved";

/// Why a reading is not believed at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// About ten times the target, or a tenth: the point.
    Point,
    /// About 25 times the target, or a 25th: the unit.
    Unit,
    /// A hundred times the target or more: hundredths taken for whole millimetres.
    Hundredths,
    /// Both valves of a cylinder near nothing: the wrong stroke.
    NearNothing,
    /// Intake and exhaust each fit the other's figures.
    Swapped,
    /// Moved further than the history of this engine makes likely.
    MovedFar,
    /// Another figure than at the last gauging by more than a leaf, with nothing done between.
    Scatter,
    /// A try that went away from the target.
    WrongWay,
    /// A try that did not move, though more than a leaf's step was asked for.
    NotMoved,
    /// The turn of the screw and what the leaf says differ by more than 0.002 in.
    Hollow,
    /// Another figure than the part that went in leads to, by more than leaves and marks explain.
    NotAsLedTo,
}

/// Every doubt.
const ALL: [Doubt; 11] = [
    Doubt::Point,
    Doubt::Unit,
    Doubt::Hundredths,
    Doubt::NearNothing,
    Doubt::Swapped,
    Doubt::MovedFar,
    Doubt::Scatter,
    Doubt::WrongWay,
    Doubt::NotMoved,
    Doubt::Hollow,
    Doubt::NotAsLedTo,
];

impl Doubt {
    /// Returns what it is, in a few words.
    pub fn word(self) -> &'static str {
        match self {
            Doubt::Point => "ten times the target, or a tenth",
            Doubt::Unit => "25 times the target, or a 25th",
            Doubt::Hundredths => "a hundred times the target",
            Doubt::NearNothing => "both valves near nothing",
            Doubt::Swapped => "intake and exhaust look swapped",
            Doubt::MovedFar => "moved further than is likely",
            Doubt::Scatter => "another figure than before by more than a leaf",
            Doubt::WrongWay => "a try that went the wrong way",
            Doubt::NotMoved => "a try that did not move",
            Doubt::Hollow => "the turn of the screw says something else than the leaf",
            Doubt::NotAsLedTo => "another figure than the part that went in leads to",
        }
    }

    /// Returns what is kept with the reading.
    pub fn kept(self) -> String {
        format!("{MARK}{}", self.word())
    }

    /// Finds the doubt that is kept with a reading.
    pub fn of(odd: Option<&str>) -> Option<Doubt> {
        let word = odd?.strip_prefix(MARK)?;
        ALL.into_iter().find(|doubt| doubt.word() == word)
    }

    /// Returns the doubt that a slip of point or unit raises; none for a number that is no leaf,
    /// which is asked about before it is kept.
    pub fn of_slip(odd: Odd) -> Option<Doubt> {
        match odd {
            Odd::NotALeaf => None,
            Odd::TenTimes | Odd::ATenth => Some(Doubt::Point),
            Odd::TwentyFiveTimes | Odd::ATwentyFifth => Some(Doubt::Unit),
            Odd::HundredTimes => Some(Doubt::Hundredths),
        }
    }

    /// Tells whether it is about both valves of a cylinder.
    pub fn of_pair(self) -> bool {
        matches!(self, Doubt::NearNothing | Doubt::Swapped)
    }

    /// Tells whether the crank's position is proven again before anything else.
    pub fn asks_for_proof(self) -> bool {
        matches!(self, Doubt::NearNothing)
    }

    /// Tells whether words that settle it say that the reading is so.
    pub fn stands_by(self, settled: &str) -> bool {
        [true, false]
            .into_iter()
            .any(|agree| self.reasons(agree).last().is_some_and(|so| settled.ends_with(so)))
    }

    /// Lists what it can have been, the likeliest first; the last one says that it is so, in words
    /// that are true of two readings that agree within a leaf, or do not.
    pub fn reasons(self, agree: bool) -> Vec<&'static str> {
        let so = |words: &'static str| if words == TWICE && !agree { MOVED } else { words };
        self.all_reasons().iter().copied().map(so).collect()
    }

    fn all_reasons(self) -> &'static [&'static str] {
        match self {
            Doubt::Point | Doubt::Unit | Doubt::Hundredths => {
                &["a slip of the point or unit: the second counts", TWICE]
            }
            Doubt::NearNothing => &[
                "it was the wrong stroke or place: the second counts",
                "it is so: both are tight, position proven",
            ],
            Doubt::Swapped => &[
                "the valves were mixed up: the second counts",
                "it is so: each valve found by its place",
            ],
            Doubt::MovedFar => &[
                "rod not seated or dirt the first time: the second counts",
                "it is so: it moved, and the cause is to be found",
            ],
            Doubt::Scatter => &[
                "rod not seated or rocker tilted: the second counts",
                "dirt or oil under the leaf: the second counts",
                "rocker bush worn: see the remark",
                TWICE,
            ],
            Doubt::WrongWay | Doubt::NotMoved => &[
                "the nut was still locked",
                "turned the wrong way or too little",
                "the wrong valve was in hand",
                "pad or tip is hollow: the leaf bridges it",
                TWICE,
            ],
            Doubt::Hollow => &[
                "pad or tip is hollow: the leaf bridges it",
                "the turn was not counted right",
                TWICE,
            ],
            Doubt::NotAsLedTo => &[
                "rod not seated or dirt the first time: the second counts",
                "another size is in than was typed",
                "the reading before it was not right",
                TWICE,
            ],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_doubt_is_found_again_by_what_is_kept_and_nothing_else_is_one() {
        for doubt in ALL {
            assert_eq!(Doubt::of(Some(&doubt.kept())), Some(doubt));
            assert!((2..=5).contains(&doubt.reasons(true).len()));
        }
        // Kept by earlier versions, after the question was answered.
        for other in [None, Some("ten times the target"), Some("no leaf of the set")] {
            assert_eq!(Doubt::of(other), None);
        }
    }
}
