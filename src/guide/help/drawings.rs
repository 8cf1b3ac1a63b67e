//! Drawings in plain characters: they serve screens of 40 columns and the plain prompts alike.
//! What they show is common practice, no source, where nothing else stands beside.

use super::Drawing;

/// The columns that a drawing and a column of help take.
pub const WIDTH: usize = 36;

/// The valves of the cylinder that is watched.
pub(super) static OVERLAP: Drawing = Drawing {
    title: "Overlap: both valves open a little",
    lines: &[
        "     exhaust   intake",
        "       | |       | |",
        "       |^|       |v|     rockers",
        "      _|_|_     _|_|_",
        "     [_____]   [_____]",
        "        z         z      springs",
        "   coming up,  going down,",
        "  almost shut  just opening",
    ],
};

/// What is seen with cams above the valves.
pub(super) static OVERLAP_LOBES: Drawing = Drawing {
    title: "Overlap: both lobes bear a little",
    lines: &[
        "   exhaust        intake",
        "     ___            ___",
        "    /   \\          /   \\",
        "    | o |          | o |",
        "     \\__/\\        /\\__/",
        "     [___]        [___]",
        "   lobe just    lobe just",
        "    leaving      coming",
    ],
};

/// The rockers of the cylinder that is gauged.
pub(super) static LOOSE: Drawing = Drawing {
    title: "Loose: play under both rockers",
    lines: &[
        "    click <-> click",
        "     ____________________",
        "    (_________o_________)",
        "      gap          | |",
        "      | |          | | push rod",
        "      | | stem     | | turns in",
        "     [___]         | | fingers",
    ],
};

/// Where the leaf goes under a rocker.
pub(super) static LEAF: Drawing = Drawing {
    title: "Where the leaf goes",
    lines: &[
        "      ___________________",
        "     (_________o________ )",
        "      (pad)           | |",
        " leaf ========>       | | push",
        "       |  |           | | rod",
        "       |  | stem      | |",
        "      [____] spring",
        " Between pad and stem tip, flat.",
    ],
};

/// Where the leaf goes under a cam lobe.
pub(super) static LEAF_LOBE: Drawing = Drawing {
    title: "Where the leaf goes under a lobe",
    lines: &[
        "            /\\   lobe points",
        "          | o |  away",
        "           \\__/  round side",
        "    leaf =========>",
        "         [ shim ]",
        "         |follower|",
        "         |___  ___|",
        "            |  |  valve",
    ],
};

/// Screw and lock nut.
pub(super) static LOCK_NUT: Drawing = Drawing {
    title: "Screw and lock nut",
    lines: &[
        "          | |    screw: hold it",
        "        __|_|__",
        "       [__nut__] ring spanner",
        "   _______|_|__________",
        "  (_______|_|______o___)",
        "          |_|      rocker",
        "           O   push rod or stem",
        " In closes the gap, out opens it.",
    ],
};

/// A shim in its place.
pub(super) static SHIM: Drawing = Drawing {
    title: "Shim and tappet",
    lines: &[
        "         ( cam )",
        "      . . gap . . . clearance",
        "      [ shim    ]   mark down, to",
        "     _|_________|_  the follower",
        "    | tappet, or  |",
        "    |__follower___|",
        "          | |  valve stem",
        " Thicker shim, less clearance.",
    ],
};

/// A lifter that is dry and bottomed.
pub(super) static DRY: Drawing = Drawing {
    title: "Lifter dry and bottomed",
    lines: &[
        "         | |  push rod, pushed",
        "         | |  down firmly",
        "      ___|_|___",
        "     |  [___]  | plunger on its",
        "     |   | |   | seat: no oil and",
        "     |___|_|___| no spring below",
        "      (  cam  )  round side",
        " The gap is now at the stem tip.",
    ],
};

/// A valve that is held open by hand.
pub(super) static UNLOADED: Drawing = Drawing {
    title: "Unloaded: a valve pressed open",
    lines: &[
        "  bar  \\",
        "     ___\\_______________",
        "    (____v____o_________)",
        "      |          | | push rod",
        "      v down     | | is loose",
        "     [z]",
        "     [z] spring pressed: its force",
        "         is off the cam ring",
    ],
};

/// Rocking the crank.
pub(super) static ROCK: Drawing = Drawing {
    title: "Rocking",
    lines: &[
        "        15    15  degrees",
        "          \\  |  /",
        "           \\ | /",
        "            \\|/",
        "             o   crank",
        " No rocker moves: right stroke.",
        " One moves: overlap, wrong stroke.",
    ],
};

/// A pair of leaves.
pub(super) static PAIR: Drawing = Drawing {
    title: "Go and no-go",
    lines: &[
        "   6 goes      7 will not",
        "   ======>     ====|",
        "    | |         | |",
        " Typed 6/7: between 6 and 7.",
    ],
};

/// A blade that bridges a hollow.
pub(super) static HOLLOW: Drawing = Drawing {
    title: "A hollow tip cheats the leaf",
    lines: &[
        "      (  rocker pad   )",
        "    =========leaf========",
        "      |\\___       ___/|",
        "      |    \\_____/    |",
        "      |  stem, worn   |",
        " True gap is more than the leaf.",
    ],
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_drawing_is_plain_and_narrow() {
        let all = [
            &OVERLAP,
            &OVERLAP_LOBES,
            &LOOSE,
            &LEAF,
            &LEAF_LOBE,
            &LOCK_NUT,
            &SHIM,
            &DRY,
            &UNLOADED,
            &ROCK,
            &PAIR,
            &HOLLOW,
        ];
        for drawing in all {
            assert!(drawing.lines.len() <= 8, "{} is too high for 40x12", drawing.title);
            for line in drawing.lines.iter().chain([&drawing.title]) {
                assert!(line.is_ascii() && line.len() <= WIDTH, "{line:?}");
            }
        }
    }
}
