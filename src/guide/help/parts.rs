//! Help on shims, push rods and cams.
//!
//! Facts from the design's check values: size from what was measured 5.1, a tie goes to the thinner
//! shim and measuring by micrometer 5.2 and 5.3, dry lifters 5.4 (light-aircraft practice: bled,
//! plunger bottomed, pushed firmly; turning fills the lifter), rod steps 5.5, two turns by hand and
//! as-left after them section 15. What no source is named for is common practice, no source.

use super::For::{All, Rod, Shim};
use super::drawings::{DRY, LEAF, SHIM};
use super::{Say, Topic};

pub(super) static TOPICS: &[&Topic] =
    &[&PARTS_LIST, &TAKE_OUT, &FIT, &CAMS, &TURN_THROUGH, &DRY_LIFTER, &CHANGE_ROD];

pub(super) static PARTS_LIST: Topic = Topic {
    name: "parts-list",
    title: "Which part goes where",
    words: &["shim list", "order parts", "what to get"],
    what: &[
        Say(
            All,
            "Over the whole engine: what to fit where, what comes out here and fits there, what to get new.",
        ),
        Say(
            Shim,
            "New shim = shim fitted + clearance read - clearance wanted. On a tie the thinner one.",
        ),
        Say(
            Rod,
            "A longer rod takes clearance away, times the rocker ratio. Each stocked length is shown with its result.",
        ),
    ],
    hands: &[
        Say(All, "Get the parts before anything is opened. The session may wait a week."),
        Say(All, "The sizes are worked out from readings: an undecided one first gets its leaf."),
    ],
    drawings: &[(Shim, &SHIM)],
    wrong: &[Say(
        All,
        "Trusting the marked size. A shim that ran is worn: measure it when it is out.",
    )],
};

pub(super) static TAKE_OUT: Topic = Topic {
    name: "take-out",
    title: "A part comes out",
    words: &["shim out", "remove shim"],
    what: &[Say(
        All,
        "What comes out of this valve: the marked size and the measured one. So the engine remembers its parts.",
    )],
    hands: &[
        Say(
            Shim,
            "Magnet or small driver at the notch; oil holds the shim. Lay it on the tray at its valve's place.",
        ),
        Say(All, "Wipe it, micrometer in the middle, twice. Look at both faces."),
    ],
    drawings: &[(Shim, &SHIM)],
    wrong: &[
        Say(All, "Two parts on one place of the tray. One valve at a time."),
        Say(All, "A pitted or blue part does not go back, whatever its size."),
    ],
};

pub(super) static FIT: Topic = Topic {
    name: "fit",
    title: "What came out, what goes in",
    words: &["shim in", "rod in", "part out"],
    what: &[Say(
        All,
        "Something of this valve is out. It has to be in again before the crank is turned.",
    )],
    hands: &[
        Say(
            Shim,
            "Oil it, mark to the follower, press it down until it sits all round and turns in its seat.",
        ),
        Say(
            Rod,
            "Roll the rod on a flat plate: straight? Oil both ends, seat it in lifter and rocker.",
        ),
        Say(
            All,
            "Where it is asked what came out, that size; then the size that goes in, as measured, with its unit.",
        ),
    ],
    drawings: &[(Shim, &SHIM)],
    wrong: &[
        Say(Shim, "A shim on edge is crushed by the first turn."),
        Say(Rod, "Rods swapped between valves: each has its length."),
        Say(
            All,
            "A part too thick or too long holds its valve open, and a turn may bend it: MAY BE HELD OPEN stands in the top line until the valve is gauged with it, or it is out.",
        ),
        Say(
            Shim,
            "What came out was not measured: nobody knows then what another one leaves. Measure it first.",
        ),
        Say(
            All,
            "Marks are equal on different parts. The same one is what came out of this valve.",
        ),
    ],
};

pub(super) static CAMS: Topic = Topic {
    name: "cams",
    title: "Cams in and timed",
    words: &["cam", "timing marks", "camshaft"],
    what: &[Say(
        All,
        "The cams are out. They go in again with their timing marks seen, before anything turns.",
    )],
    hands: &[
        Say(
            All,
            "Crank at the mark of the manual. Caps by their numbers, oiled, drawn down in turn and evenly.",
        ),
        Say(All, "See each mark with your own eyes after the chain or belt is tight."),
    ],
    drawings: &[],
    wrong: &[
        Say(
            All,
            "One tooth out is about 11 degrees of crank on one engine: valves may meet pistons.",
        ),
        Say(All, "A cap drawn down on one side breaks. Springs push back: little by little."),
    ],
};

pub(super) static TURN_THROUGH: Topic = Topic {
    name: "turn-through",
    title: "Two turns by hand",
    words: &["two turns", "by hand"],
    what: &[Say(
        All,
        "Two full turns by hand after parts went in: they seat, and anything that touches is felt.",
    )],
    hands: &[
        Say(
            All,
            "Slowly, in the running direction, plugs out. A stop that is hard: do not force it, go back and look.",
        ),
        Say(
            All,
            "After a stop nothing turns until its cause is found and put right: say what it was.",
        ),
        Say(All, "After that the as-left figures are gauged: before it they mean little."),
    ],
    drawings: &[],
    wrong: &[Say(All, "The starter motor instead of the hand: it feels nothing.")],
};

pub(super) static DRY_LIFTER: Topic = Topic {
    name: "dry",
    title: "Is the lifter dry and bottomed?",
    words: &["lifter", "hydraulic", "bled", "bottomed", "dry lifter", "tappet clearance"],
    what: &[Say(
        All,
        "A hydraulic lifter takes up its own play. What can be gauged is the clearance with its plunger at the bottom, without oil: the dry clearance.",
    )],
    hands: &[
        Say(
            All,
            "Lifter on the round side of the cam. Bleed it: press the plunger until no oil comes.",
        ),
        Say(
            All,
            "Push the rod end of the rocker down firmly and keep it there. Gauge at the stem tip.",
        ),
        Say(All, "Do not turn the crank more than you must: turning fills the lifters again."),
    ],
    drawings: &[(Rod, &DRY), (Rod, &LEAF)],
    wrong: &[
        Say(All, "Oil under the plunger: the clearance looks small or none."),
        Say(All, "Not on the round side: small again. A large one can be a worn lobe: look at it."),
    ],
};

pub(super) static CHANGE_ROD: Topic = Topic {
    name: "change-rod",
    title: "Another push rod",
    words: &["push rod", "pushrod", "rod"],
    what: &[Say(
        All,
        "There is no screw: only a rod of another length brings this valve into its band.",
    )],
    hands: &[
        Say(
            All,
            "Take the choice with most room to the nearer limit. The step between rods can be larger than the band.",
        ),
        Say(
            All,
            "Rocker off or tilted, rod out, roll it on a plate, new one in, both ends seated.",
        ),
        Say(All, "Bleed the lifter again and gauge at the same stop, before the crank turns."),
    ],
    drawings: &[(Rod, &DRY)],
    wrong: &[
        Say(All, "After work on valve or seat the dry clearance falls each time."),
        Say(All, "No rod leads into the band: stop. The manual says what else may be changed."),
    ],
};
