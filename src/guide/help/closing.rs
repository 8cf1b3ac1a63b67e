//! Help on what comes after the last reading: counting in, closing up, running, signing.
//!
//! Facts from the design's check values: closing and running section 15, lines 21 to 28, gas and
//! chocks section 11, records 10.1 and 10.2 (14 CFR 43.9 and 43.11), torque units 10.5. What no source
//! is named for is common practice, no source.

use super::For::{All, Propeller, Rockers, Screw};
use super::{Say, Topic};

pub(super) static TOPICS: &[&Topic] = &[
    &NO_FIGURE,
    &REASON,
    &COUNT_IN,
    &SHORTAGE,
    &CLOSE_UP,
    &LOOK,
    &BEFORE_RUN,
    &PROMISED_TEST,
    &RUN_SAFE,
    &RUN,
    &RUN_FAULT,
    &SIGN,
    &CLOSE_UNSIGNED,
    &CLOSED,
    &AWAY,
];

pub(super) static NO_FIGURE: Topic = Topic {
    name: "no-figure",
    title: "Valves without an as-left figure",
    words: &["as-left", "no as-left"],
    what: &[Say(
        All,
        "These valves have no figure that they are left at. The record needs one, or the reason why not.",
    )],
    hands: &[Say(
        All,
        "Best is to gauge them now. A valve that was never touched keeps its as-found figure.",
    )],
    drawings: &[],
    wrong: &[Say(All, "A figure is never invented. \"Not gauged, cannot be reached\" is honest.")],
};

pub(super) static REASON: Topic = Topic {
    name: "reason",
    title: "Out of its band: why?",
    words: &["why", "reason for"],
    what: &[Say(
        All,
        "A valve is left tight, loose or undecided. It may be so only with a reason, which comes first on the record.",
    )],
    hands: &[Say(
        All,
        "Say what the owner and the next mechanic need: what was tried, what it waits for.",
    )],
    drawings: &[],
    wrong: &[Say(
        All,
        "A tight valve is silent and burns. Never let go of one because the engine sounds well.",
    )],
};

pub(super) static COUNT_IN: Topic = Topic {
    name: "count-in",
    title: "Counted in",
    words: &["count in", "on"],
    what: &[Say(
        All,
        "The same number that came off goes back on. Type what you count, do not copy.",
    )],
    hands: &[
        Say(
            All,
            "Count at the tray, then look into the open box once more: blade tips, washers, rags.",
        ),
        Say(All, "All leaves whole? A broken tip is in the engine until it is found."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Half a wedge-lock washer left on the old screw. Both halves, at each screw.",
    )],
};

pub(super) static SHORTAGE: Topic = Topic {
    name: "shortage",
    title: "The count does not agree",
    words: &["missing", "short", "too many", "surplus"],
    what: &[
        Say(
            All,
            "Fewer came back than went off: it stays open until they are found or accounted for: where, by whom.",
        ),
        Say(
            All,
            "More came back than went off: count again. One too many is of another place, where one is missing now, or the count out was wrong.",
        ),
    ],
    hands: &[
        Say(
            All,
            "Magnet and light into the box, the drain-back holes, the cowling floor, your own pockets.",
        ),
        Say(All, "Do not turn the crank while you look."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "A spare from the shelf to make the number right: the lost one is still in there.",
    )],
};

pub(super) static CLOSE_UP: Topic = Topic {
    name: "close-up",
    title: "Closing up",
    words: &["checks", "covers on", "check", "two turns"],
    what: &[Say(
        All,
        "Everything that was made safe or taken off is put back, in reverse, each line by what you see.",
    )],
    hands: &[
        Say(
            All,
            "New seals, faces clean. Screws started by hand, snugged in turn, then torqued in the manual's order.",
        ),
        Say(All, "Look at the wrench's unit: N·m, lbf·in, lbf·ft."),
        Say(All, "Two turns by hand while the leads are off: a tight place, a hiss, a click?"),
        Say(All, "Plugs to torque. Leads last, each on its own plug."),
        Say(All, "A second pair of eyes on what was disturbed."),
    ],
    drawings: &[],
    wrong: &[
        Say(All, "An old gasket used again, a screw cross-threaded: start all by fingers."),
        Say(Rockers, "A cover that touches a rocker: look for bright marks inside it."),
        Say(All, "Tools and rags. Count them, not \"I think so\"."),
    ],
};

pub(super) static LOOK: Topic = Topic {
    name: "look",
    title: "The look before the crank turns",
    words: &["look first", "file is gone", "cannot be read"],
    what: &[Say(
        All,
        "Nobody can read what an earlier service left open here. A nut may be slack, a part out, a piece loose: nothing turns before somebody has looked.",
    )],
    hands: &[
        Say(
            All,
            "Covers off: look at each valve, the tray, and all round. Then say how it was seen, and by whom.",
        ),
        Say(
            Screw,
            "Try each nut with the spanner, the crank as it stands. A slack one is named here, or by *.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(All, "Turning it to see better.")],
};

pub(super) static BEFORE_RUN: Topic = Topic {
    name: "before-running",
    title: "Remarks before it runs",
    words: &["remark before running"],
    what: &[Say(
        All,
        "Somebody marked this remark: before running. It is answered now, with what was done about it.",
    )],
    hands: &[Say(All, "Go and look. Then say what was done, in a few words.")],
    drawings: &[],
    wrong: &[Say(All, "Answering it from memory.")],
};

pub(super) static PROMISED_TEST: Topic = Topic {
    name: "promised-test",
    title: "The leak test that was put off",
    words: &["leak test put off", "promised leak test"],
    what: &[Say(
        All,
        "A valve was so tight that its cylinder was to be leak-tested, and the test was put off. No run before its figure is there, or somebody says why not.",
    )],
    hands: &[
        Say(
            All,
            "Best while the plugs are still out and all leads are off: nothing has to be undone for it.",
        ),
        Say(
            All,
            "With the plugs in again: 1, and the screen asks to make safe as at the start, all leads off, fuel off; then one plug out, crank to compression top dead centre.",
        ),
        Say(
            Propeller,
            "A second person holds the propeller before air goes on, and that person gives the orders.",
        ),
        Say(
            All,
            "Keep the one number: 74 of 80. Then what it undid is asked anew: plugs, two turns by hand, leads, controls.",
        ),
        Say(
            All,
            "More than a quarter lost (less than 60 of 80): suspect the cylinder, and find the cause before it runs. AC 43.13-1B, 8-14, hot engine; the manual comes first.",
        ),
    ],
    drawings: &[],
    wrong: &[
        Say(All, "Turning the crank with leads on the other plugs: it can fire."),
        Say(Propeller, "Air on the piston swings the propeller round with great force."),
    ],
};

pub(super) static RUN_SAFE: Topic = Topic {
    name: "run-safe",
    title: "Before it is started",
    words: &["run caution", "starting"],
    what: &[Say(
        All,
        "What the run needs: who sits there, what holds the machine, what puts out a fire.",
    )],
    hands: &[
        Say(
            Propeller,
            "Chocks, brakes, tail tied. A competent person in the seat, never nobody. Arc clear, called out and answered.",
        ),
        Say(All, "Doors open: exhaust gas kills. Not alone."),
        Say(All, "Fire bottle in reach, cowling parts and tools away."),
    ],
    drawings: &[],
    wrong: &[Say(All, "In a hurry at the end of the day. The run can wait for tomorrow.")],
};

pub(super) static RUN: Topic = Topic {
    name: "run",
    title: "The run",
    words: &["running check", "ground run", "leak check"],
    what: &[Say(
        All,
        "Run it warm, look for leaks, listen, and read what the manual asks for. Then cool, and look again.",
    )],
    hands: &[
        Say(All, "Oil pressure first; none, and it is stopped at once."),
        Say(Propeller, "Static and idle power, magneto drop, pressures, temperatures."),
        Say(All, "Stopped, ignition made safe again: look at each cover, each gasket, each plug."),
    ],
    drawings: &[],
    wrong: &[
        Say(All, "A loose valve ticks. A tight one is silent: noise alone proves nothing."),
        Say(All, "Oil on a hot exhaust smokes and may burn: look before you wipe."),
    ],
};

pub(super) static RUN_FAULT: Topic = Topic {
    name: "run-fault",
    title: "Something was not right",
    words: &["fault at the run"],
    what: &[Say(
        All,
        "What the run showed is dealt with before the signature: put right, gauged again, or left with a reason.",
    )],
    hands: &[
        Say(
            All,
            "Let it cool to the limit before you gauge again, and make it safe as at the start.",
        ),
        Say(
            All,
            "A cover that comes off, if only for its seal: made safe, counted out and in, torqued, and only then run again.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Tightening a leaking cover more. Off, look at the seal and the flange, new seal.",
    )],
};

pub(super) static SIGN: Topic = Topic {
    name: "sign",
    title: "Signing",
    words: &["signature", "certificate", "release to service", "owner"],
    what: &[Say(
        All,
        "Your name, certificate and its kind. After that the session is closed: only dated remarks are taken.",
    )],
    hands: &[
        Say(All, "Read the record's first lines: what is out, what is open, which manual."),
        Say(
            All,
            "The sentence for the owner is proposed; make it yours. Choose when to look again: where a check is due by the hours now, say whether it still is, was done by this, or comes later.",
        ),
        Say(
            All,
            "Worker and signer may be two. Local rules say who may sign, and what the entry must hold.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "No correction afterwards: a mistake is put right by a new session that names this one.",
    )],
};

pub(super) static CLOSE_UNSIGNED: Topic = Topic {
    name: "close-unsigned",
    title: "Close unsigned",
    words: &["unsigned", "interrupted", "give up", "stop the service"],
    what: &[Say(
        All,
        "The service ends here without a signature. All that was kept stays; nobody answers for the engine, and it is not to be run on this.",
    )],
    hands: &[
        Say(
            All,
            "First leave it safe: nuts locked, valves let go, nothing in the way of what turns.",
        ),
        Say(All, "What cannot be put back now is counted, bagged, and stays with the engine."),
        Say(All, "Say why. What is open is named and told to whoever begins the next service."),
        Say(All, "Hang a tag where it is turned or started: `cowlside tag ENGINE` prints it."),
    ],
    drawings: &[],
    wrong: &[
        Say(
            All,
            "Only called away, or done for today? Press a, or leave: the session goes on later.",
        ),
        Say(All, "A closed session is not opened again: the next service begins from the start."),
    ],
};

pub(super) static CLOSED: Topic = Topic {
    name: "closed",
    title: "This session is closed",
    words: &["sealed", "after signing"],
    what: &[Say(
        All,
        "It takes dated remarks, and nothing else: here, or later by `cowlside note SESSION TEXT`. Esc leads back to the engines.",
    )],
    hands: &[Say(
        All,
        "`cowlside report SESSION` prints the record; c compares it with the service before.",
    )],
    drawings: &[],
    wrong: &[],
};

pub(super) static AWAY: Topic = Topic {
    name: "away",
    title: "Called away",
    words: &["break", "interrupted", "notice", "pause"],
    what: &[Say(
        All,
        "The screen becomes a notice that is read across the hangar: do not turn, what is loose, what is out.",
    )],
    hands: &[
        Say(Screw, "If you can, lock the nut in hand first."),
        Say(All, "`cowlside tag ENGINE` prints it, to hang on the engine and to hand over with."),
        Say(
            All,
            "Back again: Enter wakes it and is no answer; arrows show lines that had no room. Open items first, then what can have changed, then the crank is proven.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Going on at the wrong place. Do not trust the memory of your hands: prove it.",
    )],
};
