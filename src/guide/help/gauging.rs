//! Help on the rounds: where the crank goes, gauging, setting.
//!
//! Facts from the design's check values: overlap or compression 2.6 (generator and excavator manuals:
//! rock about 15 degrees each way), how exact 2.7 (within 30 degrees either side), opposites 1.3 and
//! odd counts 1.5, backing up 2.11, unloading 2.9, go and no-go 2.5, lock nut 2.10 (slacken 2 to 3
//! turns; tightening can add a thousandth), hollow tip 4.2, threads 2 to 5 in 2.9, hold-down torque
//! 13.1, repeated readings section 15. What no source is named for is common practice, no source.

use super::For::{All, Crank, Propeller, Rockers, Rod, Screw, Shim};
use super::drawings::{
    HOLLOW, LEAF, LEAF_LOBE, LOCK_NUT, LOOSE, OVERLAP, OVERLAP_LOBES, PAIR, ROCK, UNLOADED,
};
use super::{Say, Topic};

pub(super) static TOPICS: &[&Topic] = &[
    &TURN, &ROCKING, &UNLOAD, &GAUGE, &AGAIN, &DOUBT, &LEAK, &HOLD_DOWN, &SET, &TRY, &NUT,
    &THREADS, &RELEASE, &SET_AGAIN,
];

pub(super) static TURN: Topic = Topic {
    name: "turn",
    title: "Turn to the stop",
    words: &["turning", "stop", "crank", "position", "seen", "watch"],
    what: &[
        Say(
            All,
            "One cylinder is brought to overlap. Its opposite, one crank turn away in the running order, then has both valves shut and is gauged.",
        ),
        Say(
            All,
            "With an odd number of cylinders there is no opposite: the screen tells which to watch and how far to go on.",
        ),
    ],
    hands: &[
        Say(
            All,
            "Turn slowly, in the running direction, eyes on the valves of the watched cylinder.",
        ),
        Say(
            Propeller,
            "Flat hands near the blade's root, body out of the arc, pull down and step away.",
        ),
        Say(
            Crank,
            "Spanner on the nut that the manual names; some come loose when it is used to turn.",
        ),
        Say(
            Rockers,
            "Exhaust rises the last bit, intake begins to go down: stop there. That is overlap.",
        ),
        Say(
            Shim,
            "The exhaust lobe just leaves its shim, the intake lobe just begins to press: stop there.",
        ),
        Say(
            Rockers,
            "Then the cylinder to gauge: click both rockers up and down, spin the rods. Type how many are loose; where only one valve is gauged, 1 or 0.",
        ),
        Say(
            Rod,
            "Full lifters leave no play to click: what tells is the rod. It turns between the fingers where no lobe lifts it. Bled is afterwards, at the stop.",
        ),
        Say(
            Shim,
            "Then the cylinder to gauge: its lobes point away. Type how many do; where only one valve is gauged, 1 or 0.",
        ),
        Say(All, "It need not be exact: the screen says how many degrees short or past will do."),
        Say(
            All,
            "Too far? Where turning back is allowed, go back well past and come up again; else two turns on.",
        ),
    ],
    drawings: &[(Rockers, &OVERLAP), (Shim, &OVERLAP_LOBES), (Rockers, &LOOSE)],
    wrong: &[
        Say(All, "The wrong stroke: both valves read far too small. One full turn on is the cure."),
        Say(
            All,
            "The wrong cylinder, or front taken for rear. Look at the drawing: side and place in the bank.",
        ),
        Say(
            All,
            "A tight valve feels like a wrong stroke. When some are loose and some not: rock it.",
        ),
        Say(
            Rod,
            "No rod turns: a pumped-up lifter may hold it on the right stroke too. Rocking tells, and no full turn is made for it.",
        ),
    ],
};

pub(super) static ROCKING: Topic = Topic {
    name: "rock",
    title: "Rock the crank",
    words: &["rocking", "prove", "proof", "stroke"],
    what: &[Say(
        All,
        "The proof of the stroke. Around compression no valve of the cylinder moves; around overlap both do.",
    )],
    hands: &[
        Say(
            All,
            "About 15 degrees each way, a hand on the valves to gauge, not on those you watched.",
        ),
        Say(All, "Where turning back is not allowed: 15 degrees on only."),
        Say(All, "Never rock with a valve unloaded."),
    ],
    drawings: &[(Rockers, &ROCK)],
    wrong: &[
        Say(
            All,
            "A tight valve may just move at the end of the swing: a degree or two is not overlap.",
        ),
        Say(
            Rod,
            "A soft lifter gives a little under the finger. What counts is whether the valve moves.",
        ),
    ],
};

pub(super) static UNLOAD: Topic = Topic {
    name: "unload",
    title: "Press a valve open",
    words: &["unloaded", "floating cam ring", "depress"],
    what: &[Say(
        All,
        "Springs of open valves push a floating cam ring to one side. Pressed open by hand, they let it sit where the table means it to.",
    )],
    hands: &[
        Say(
            All,
            "Press the named valve open with the tool of the manual, and keep it there while the others are gauged.",
        ),
        Say(All, "Keep fingers out from under the rocker. Do not turn the crank."),
    ],
    drawings: &[(All, &UNLOADED)],
    wrong: &[
        Say(
            All,
            "Turning with a valve held open: it meets the piston. No turn is offered until all are let go.",
        ),
        Say(All, "Forgetting one: it stands in the top line until you say that it is let go."),
    ],
};

pub(super) static GAUGE: Topic = Topic {
    name: "gauge",
    title: "Gauge a valve",
    words: &["reading", "feeler gauge", "read", "measure", "as-found"],
    what: &[Say(
        All,
        "Find the leaf that goes in with a light drag. Type it as it is: no figure of before is shown, so that you read what is there.",
    )],
    hands: &[
        Say(
            Rockers,
            "Wipe pad and tip. Press the rod end of the rocker so that oil is squeezed out and the rod sits.",
        ),
        Say(Shim, "Wipe lobe and shim. The lobe's nose points away from the follower."),
        Say(Rod, "Lifter dry and bottomed; push the rod down firmly while you gauge."),
        Say(All, "Thinnest leaf first, then up, until one drags. Keep it flat and straight."),
        Say(
            All,
            "6 drags: type 6. 6 goes freely and 7 will not: 6/7. Not even 4 goes: /4. 12 falls through, no thicker tried: 12/.",
        ),
        Say(All, "25+6 is a stack of two. 0 is: nothing goes at all."),
        Say(
            Rockers,
            "A forked rocker wants two equal leaves, one under each foot, so that it does not tilt.",
        ),
    ],
    drawings: &[(Rockers, &LEAF), (Shim, &LEAF_LOBE), (All, &PAIR), (Rockers, &HOLLOW)],
    wrong: &[
        Say(
            All,
            "Intake and exhaust swapped, or the cylinder next door: look at the drawing before the digit.",
        ),
        Say(All, "Both valves near nothing: the wrong stroke. Rock it."),
        Say(Rockers, "A worn tip is hollow: a flat leaf bridges it and reads too small."),
        Say(
            Rockers,
            "A tilted rocker or a rod not seated: two readings differ by more than a leaf.",
        ),
        Say(
            All,
            "Adjusted before it was read? Say that as-found is lost (* lists it). Do not guess a figure.",
        ),
    ],
};

pub(super) static AGAIN: Topic = Topic {
    name: "again",
    title: "Gauge it once more",
    words: &["second reading", "not believed", "gauge again"],
    what: &[Say(
        All,
        "The reading is kept. It is far from what was likely, so a second one is asked for; what was expected is not told, so that it cannot help you.",
    )],
    hands: &[
        Say(
            All,
            "Take the leaf out, wipe everything, seat the parts again, and read as if it were the first time.",
        ),
        Say(All, "Look which valve it is: side, place in the bank, intake or exhaust."),
        Say(All, "Look at the unit on the leaf."),
    ],
    drawings: &[(Rockers, &LEAF), (Shim, &LEAF_LOBE)],
    wrong: &[Say(
        All,
        "Typing the first figure again without gauging. The second look is the point.",
    )],
};

pub(super) static DOUBT: Topic = Topic {
    name: "doubt",
    title: "Two readings of one valve",
    words: &["doubted", "which was it"],
    what: &[Say(
        All,
        "Both readings and the old figure stand side by side now. Say what it was: a slip, the wrong valve, or it is so.",
    )],
    hands: &[
        Say(All, "Two that agree are believed, however odd they look."),
        Say(
            All,
            "A valve that did move that far has a cause: nut, rod, seat, lobe, rocker. Look for it before anything is set.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Screwing it round until it looks right. A sudden change on one valve matters more than a slow one on all.",
    )],
};

pub(super) static LEAK: Topic = Topic {
    name: "leak-test",
    title: "Leak test before it is touched",
    words: &["leak", "compression", "differential"],
    what: &[Say(
        All,
        "So little clearance can mean that the valve no longer seats. The test is worth nothing once the screw was turned, so it comes first.",
    )],
    hands: &[
        Say(
            All,
            "Cylinder at compression top dead centre, air by the manual, and keep the one number: 74 of 80.",
        ),
        Say(
            Propeller,
            "A second person holds the propeller before air goes on, and that person gives the orders.",
        ),
        Say(
            All,
            "Listen: at the exhaust it is that valve, at the intake the other, at the breather the rings.",
        ),
        Say(
            All,
            "More than a quarter lost (less than 60 of 80): suspect the cylinder, and find the cause before the screw. AC 43.13-1B, 8-14, hot engine; the manual comes first.",
        ),
    ],
    drawings: &[],
    wrong: &[
        Say(Propeller, "Air on the piston swings the propeller round with great force."),
        Say(All, "A closing exhaust opened up again each year, and nobody sees the seat going."),
    ],
};

pub(super) static HOLD_DOWN: Topic = Topic {
    name: "hold-down",
    title: "Hold-down torque",
    words: &["cylinder nuts", "hold down"],
    what: &[Say(
        All,
        "Work was done on this cylinder. Its nuts are checked to torque before valves are gauged or set: a settling cylinder moves the clearance.",
    )],
    hands: &[Say(
        All,
        "By the manual's order and figure. Torque wrench in date; look at its unit.",
    )],
    drawings: &[],
    wrong: &[
        Say(All, "Not measured, it stays open: no cover goes on before it is."),
        Say(All, "A wrench in lbf·ft where the figure is in lbf·in: twelve times too much."),
    ],
};

pub(super) static SET: Topic = Topic {
    name: "set",
    title: "Set a valve",
    words: &["adjust", "adjusting", "screw"],
    what: &[
        Say(
            All,
            "The valve is out of its band. Once touched it has to be left inside the set band, which may be narrower than the one it may be found in.",
        ),
        Say(Screw, "The screen says which way and how far. The leaf decides, not the angle."),
    ],
    hands: &[
        Say(Screw, "Break the nut with the screw held: two or three turns off."),
        Say(
            Screw,
            "Screw in closes the gap, out opens it. Turn as far as told, then feel with the target leaf.",
        ),
        Say(Screw, "Set it to a light drag, hold the screw, tighten the nut, gauge again."),
        Say(Screw, "A screw that turns freely, a pitted end or a worn nut: replace it."),
    ],
    drawings: &[(Screw, &LOCK_NUT)],
    wrong: &[
        Say(Screw, "From here the nut counts as loose until you answer for it."),
        Say(
            All,
            "It will not come into the band, or jumps: stop and find out. Do not screw it round.",
        ),
        Say(Screw, "The screw moved much and the gap little: a hollow tip, or a rod not seated."),
    ],
};

pub(super) static FOUND_SLACK: Topic = Topic {
    name: "slack-after-all",
    title: "A nut is slack after all",
    words: &["slack after all", "forgotten nut"],
    what: &[Say(
        Screw,
        "A nut that you doubt is slack until you have had the spanner on it. Say so, and it bars closing up and the run until it is locked and its valve gauged after that.",
    )],
    hands: &[
        Say(
            Screw,
            "Where covers are on again they come off by the usual way: made safe first, counted out.",
        ),
        Say(Screw, "The crank is brought to that valve's stop and proven; then set, lock, gauge."),
        Say(Screw, "Named the wrong valve? \"A nut said slack was never touched\" takes it back."),
    ],
    drawings: &[(Screw, &LOCK_NUT)],
    wrong: &[Say(
        Screw,
        "Locking it quickly with the engine at any stop, and not gauging: locking moves the gap.",
    )],
};

/// A valve is set again once the rounds are done.
pub static SET_AGAIN: Topic = Topic {
    name: "set-again",
    title: "Set a valve again",
    words: &["set again", "reopen", "back to a valve"],
    what: &[Say(
        Screw,
        "The rounds are done, and one valve is not to be left as it is. From yes on its nut counts as slack: no closing up and no run before it is locked and gauged.",
    )],
    hands: &[
        Say(Screw, "Covers that are on come off by the usual way: made safe first, counted out."),
        Say(
            Screw,
            "Bring the crank to that valve's stop and prove it; then break the nut and set.",
        ),
        Say(Screw, "Hold the screw, lock the nut, gauge once more with it locked."),
        Say(Screw, "What was closed up or counted in before is asked anew."),
    ],
    drawings: &[(Screw, &LOCK_NUT)],
    wrong: &[
        Say(Screw, "Setting it where the crank happens to stand: the valve may be open there."),
        Say(Screw, "A hot engine after the run: wait until it is as warm as its limits ask for."),
    ],
};

pub(super) static TRY: Topic = Topic {
    name: "try",
    title: "Set, and what it reads",
    words: &["trying", "tries", "slack"],
    what: &[Say(
        Screw,
        "The nut is slack. Set the valve, lock the nut, and type what it reads now. Several tries may be typed at once: 7 8 6.",
    )],
    hands: &[
        Say(
            Screw,
            "Target leaf in place, screw down until it drags, hold the screw still, nut to its torque.",
        ),
        Say(Screw, "Leaf out and in again: the same drag?"),
        Say(
            Screw,
            "With what it was aimed at: 7>6 is set to 7 with the nut slack, reads 6 locked. Three of these show what locking does here.",
        ),
    ],
    drawings: &[(Screw, &LOCK_NUT), (Screw, &LEAF)],
    wrong: &[
        Say(
            Screw,
            "Tightening draws the screw up: about a thousandth of an inch more is usual. Aim below it, if it is always the same.",
        ),
        Say(Screw, "Called away now? Press a: the notice says that this nut is loose."),
    ],
};

pub(super) static NUT: Topic = Topic {
    name: "lock-nut",
    title: "Is the nut locked?",
    words: &["nut", "locked", "nut torque"],
    what: &[Say(
        Screw,
        "Only this closes the open item: the nut at its torque, and gauged after that. A nut that nobody answered for is loose.",
    )],
    hands: &[
        Say(
            Screw,
            "Hold the screw with the driver, ring spanner first, then the torque wrench if the manual has a figure.",
        ),
        Say(
            Screw,
            "Gauge again with the nut tight. If it moved: slacken, allow for it, set again.",
        ),
        Say(Screw, "Too much torque bends stem or rocker: no pulling by feel \"a bit more\"."),
    ],
    drawings: &[(Screw, &LOCK_NUT)],
    wrong: &[Say(
        Screw,
        "A nut left finger-tight to come back to. It is the fault that kills engines.",
    )],
};

pub(super) static THREADS: Topic = Topic {
    name: "threads",
    title: "Threads showing",
    words: &["thread", "threads showing"],
    what: &[Say(
        Screw,
        "How many threads stand out above the locked nut. Outside the manual's bounds the push rod has the wrong length, not the screw.",
    )],
    hands: &[Say(
        Screw,
        "Count whole turns of thread above the nut. One manual for radials allows two to five.",
    )],
    drawings: &[(Screw, &LOCK_NUT)],
    wrong: &[Say(
        Screw,
        "A wrong rod, or washers missing under its socket. Say what was done about it.",
    )],
};

pub(super) static RELEASE: Topic = Topic {
    name: "release",
    title: "Let the valve go",
    words: &["let go", "unloaded valves"],
    what: &[Say(All, "The valve that was pressed open is let go before the crank moves.")],
    hands: &[
        Say(All, "Ease it up, do not let it snap. Tool off."),
        Say(Rockers, "See that the push rod sits in both ends: in the lifter and in the rocker."),
    ],
    drawings: &[(All, &UNLOADED)],
    wrong: &[Say(All, "A rod beside its cup bends at the first turn.")],
};
