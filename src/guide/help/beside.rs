//! Help on what can be called for from beside the question, and on the screens around a session.
//!
//! Facts from the design's check values: ticks 13.2, trends from five services on 9.5, intervals 13.1.
//! What no source is named for is common practice, no source.

use super::For::{All, Rockers, Screw, Shim};
use super::{Say, Topic};

pub(super) static TOPICS: &[&Topic] = &[
    &SEEN,
    &LOST,
    &REMARK,
    &SKIP,
    &CORRECT,
    &PAPER,
    &BY_LEAF,
    &SURELY,
    &WORK,
    &AMEND,
    &COMMAND_LIST,
    &ENGINES,
    &KINDS,
    &NEW_ENGINE,
    &VERSIONS,
    &HOURS,
    &SAVING,
    &BEGINNING,
    &READINGS,
    &super::reviews::COMPARISON,
    &super::reviews::PAST,
    &super::watching::RECORD,
    &PICTURE,
    &LEAVING,
    &super::watching::WATCHING,
];

pub(super) static SEEN: Topic = Topic {
    name: "seen-overlap",
    title: "I see a cylinder at overlap",
    words: &["i see", "elsewhere", "both loose"],
    what: &[Say(
        All,
        "The crank is where it is. Tell which cylinder you see at overlap, and the way goes on from there.",
    )],
    hands: &[
        Say(
            Rockers,
            "Look for the one whose exhaust is nearly shut while its intake begins to open.",
        ),
        Say(
            Rockers,
            "Or tell a cylinder whose rockers are both loose, and stay loose when the crank is rocked.",
        ),
        Say(
            Shim,
            "Or tell a cylinder whose lobes all point away, and stay so when the crank is rocked.",
        ),
        Say(
            All,
            "Does this position serve valves that are still due? Then it is the next stop; else the next turn from here is told.",
        ),
    ],
    drawings: &[(Rockers, &super::drawings::OVERLAP), (Shim, &super::drawings::OVERLAP_LOBES)],
    wrong: &[Say(
        All,
        "With a nut slack, that valve comes due again: the leaf that was set there may not mean it any more.",
    )],
};

pub(super) static LOST: Topic = Topic {
    name: "lost",
    title: "Where the crank is",
    words: &["crank lost", "tape", "rest", "plan anew"],
    what: &[Say(
        All,
        "Not sure where the crank is, or a shorter way from here? Say so; nothing already gauged is lost.",
    )],
    hands: &[
        Say(All, "Lost: the next stop is found by its valves alone, and proven by rocking."),
        Say(
            All,
            "A bit of tape on a blade or the pulley, told once, lets the screens say where it points at each stop.",
        ),
        Say(All, "The rest of a round can be planned anew from where the crank stands."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Somebody moved it while you were away. That is why it is proven after each break.",
    )],
};

pub(super) static REMARK: Topic = Topic {
    name: "remark",
    title: "Remarks and ticks",
    words: &["note", "ticks", "look"],
    what: &[Say(
        All,
        "What was seen, with its cylinder; six things are ticked: pad, bush, spring, rod, oil, gasket. Blank is: not looked at.",
    )],
    hands: &[
        Say(
            Rockers,
            "Pad: cup or hollow? Bush: rock it sideways. Rod: roll it on a plate. Spring: cracks, rust.",
        ),
        Say(
            All,
            "Oil: as much as next door, clean, no metal? Gasket: torn, leaking, bright marks?",
        ),
        Say(
            All,
            "Before running makes it an open item: no run and no signature until it is answered.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(All, "Kept in the head until the evening. n writes it down at any time.")],
};

pub(super) static SKIP: Topic = Topic {
    name: "skip",
    title: "Passing over",
    words: &["pass over", "skip valve", "skip round", "as-found lost"],
    what: &[Say(
        All,
        "A valve, or the rest of a round, is left out with a reason. It stands on the record as it is.",
    )],
    hands: &[
        Say(All, "Cannot be reached, waits for a part, is done later: choose or write it."),
        Say(
            Screw,
            "Adjusted before it was read? Say that as-found is lost: the series begins anew there.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(All, "The signature will ask for each valve without a figure.")],
};

pub(super) static CORRECT: Topic = Topic {
    name: "correct",
    title: "Correct a reading",
    words: &["mistake", "undo", "take back", "void", "swap", "redate", "never touched"],
    what: &[Say(
        All,
        "The last answer is taken back by one key. An earlier reading gets a new value, is made void, or is swapped with another.",
    )],
    hands: &[
        Say(
            All,
            "- (or u) takes back the last answer, a count with its stop, and says what it was.",
        ),
        Say(All, "Of a part said to be out, or a nut said slack, it asks why first."),
        Say(All, "l lists the readings, newest first; Enter corrects one."),
        Say(All, "Swapped intake and exhaust, or two cylinders: one act swaps both."),
        Say(All, "Nothing is ever erased: the record keeps both, with the reason."),
    ],
    drawings: &[],
    wrong: &[Say(All, "Correcting from memory what could be gauged again.")],
};

pub(super) static PAPER: Topic = Topic {
    name: "paper",
    title: "Readings made on paper",
    words: &["worksheet", "typed later"],
    what: &[Say(
        All,
        "Readings written on a sheet are typed later, in the order of the way round, marked as from paper with their time.",
    )],
    hands: &[Say(
        All,
        "`cowlside report --blank ENGINE` prints a sheet with a box for each reading.",
    )],
    drawings: &[],
    wrong: &[Say(All, "A 1 that is a 7. Write 6/7, not \"a bit over 6\".")],
};

pub(super) static BY_LEAF: Topic = Topic {
    name: "by-leaf",
    title: "Gauge leaf by leaf",
    words: &["leaf by leaf", "which leaf next"],
    what: &[Say(
        All,
        "The screen names the next leaf to try; you say goes, drags or does not. Fewest tries lead to a pair.",
    )],
    hands: &[Say(
        All,
        "Goes: no drag at all. Drags: a light, even pull. Does not: it stops at the edge; do not force it.",
    )],
    drawings: &[(All, &super::drawings::PAIR)],
    wrong: &[Say(All, "A leaf bent by force reads too thick for ever.")],
};

pub(super) static SURELY: Topic = Topic {
    name: "certainty",
    title: "How sure the readings are",
    words: &["surely", "uncertainty", "sure"],
    what: &[Say(
        All,
        "Each reading with its uncertainty: surely in, probably in, probably out, surely out.",
    )],
    hands: &[Say(
        All,
        "Half a step between leaves is the smallest that can be told; a leaf's own tolerance comes on top.",
    )],
    drawings: &[],
    wrong: &[Say(
        All,
        "A band narrower than the steps cannot be proven with this set: `cowlside leaves` names the leaf to get.",
    )],
};

pub(super) static WORK: Topic = Topic {
    name: "work",
    title: "Work on a cylinder",
    words: &["replaced", "new cylinder", "part came out", "part went in"],
    what: &[Say(
        All,
        "Cylinder, rocker, rod, lifter, cam, valve or seat replaced or worked on. The old figures stay as evidence; a new series begins.",
    )],
    hands: &[Say(All, "Hold-down torque is asked before that cylinder is gauged or set.")],
    drawings: &[],
    wrong: &[Say(All, "A trend drawn through a new cylinder. That is why it is told here.")],
};

pub(super) static AMEND: Topic = Topic {
    name: "amend",
    title: "Other figures, another profile",
    words: &["figures", "replace profile"],
    what: &[Say(
        All,
        "Figures amended with their source, or the profile replaced: readings stay as typed, verdicts are judged anew.",
    )],
    hands: &[
        Say(All, "Write where the new figures stand: document, revision, page."),
        Say(All, "Another cylinder count or adjuster kind: close unsigned, and begin anew."),
    ],
    drawings: &[],
    wrong: &[Say(All, "Figures changed until the valve passes.")],
};

/// The list of everything that can be called for.
pub static COMMAND_LIST: Topic = Topic {
    name: "more",
    title: "Everything else",
    words: &["star", "menu", "what else"],
    what: &[Say(
        All,
        "All that can be done now, by number. Nothing happens until you choose; Esc leads back.",
    )],
    hands: &[Say(
        All,
        "The number pad does it all: * opens the list, digits choose, - takes back.",
    )],
    drawings: &[],
    wrong: &[],
};

/// The list of engines.
pub static ENGINES: Topic = Topic {
    name: "workshop",
    title: "Which engine",
    words: &["shop", "list of engines"],
    what: &[Say(
        All,
        "Your engines, what needs attention first. Enter opens one: its open session, or a new service.",
    )],
    hands: &[
        Say(All, "Compare the name with the plate on the machine. Then the hour counter."),
        Say(All, "The last line adds a new engine."),
        Say(
            All,
            "Type letters to find one by name, serial number or profile; / begins a search with digits.",
        ),
        Say(All, "+ tells the running hours of the one under the cursor; * lists what else."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Two machines of one kind side by side: the serial number tells them apart.",
    )],
};

/// A new engine is described.
pub static KINDS: Topic = Topic {
    name: "kinds",
    title: "Which kind of engine?",
    words: &["kind", "layout", "drawing", "choose profile", "first run"],
    what: &[Say(
        All,
        "Go through the list with the arrows and look at the drawing: it is the engine as it lies before you, with its numbers.",
    )],
    hands: &[
        Say(
            All,
            "Letters make the list shorter: vee, radial nine, hydraulic. After / a number may come first: /8, or a firing order: /1-3-4-2.",
        ),
        Say(
            All,
            "Count the cylinders, see how they are numbered at the engine, compare the firing order with the manual. Then Enter.",
        ),
        Say(All, "None is yours: the last line opens a form for a kind of your own."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "A firing order that looks alike: 1-3-2-4 and 1-4-2-3. The opposites decide where you gauge.",
    )],
};

/// A new engine is described.
pub static NEW_ENGINE: Topic = Topic {
    name: "new-engine",
    title: "A new engine",
    words: &["add engine", "name", "serial number"],
    what: &[Say(
        All,
        "Its name, serial number and hours. The figures of a kind that came with the program are examples until you name your manual.",
    )],
    hands: &[
        Say(
            All,
            "Type the name that stands on the work order, then Enter. The serial number stands on the engine's plate.",
        ),
        Say(
            All,
            "Read the hours from the counter, not from memory: what is due next is reckoned from them.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "The kind is the wrong one: Esc goes back to the kinds while nothing was answered.",
    )],
};

/// Two files of one session went different ways.
pub static VERSIONS: Topic = Topic {
    name: "versions",
    title: "Two versions of one session",
    words: &["copy", "fork", "adopt", "take over", "other version", "two laptops"],
    what: &[Say(
        All,
        "A session was copied, and then both files were gone on with. Both are kept, as versions A and B.",
    )],
    hands: &[
        Say(
            All,
            "Go on with the one that tells how the engine stands now. The other stays as it is.",
        ),
        Say(
            All,
            "A reading that only the other version has can be taken over, while its valve is still to be gauged here: * lists it.",
        ),
        Say(All, "cowlside compare ENGINE NAME@A NAME@B sets the two side by side."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Going on with the version that does not know of a slack nut: look at the engine, not at the list.",
    )],
};

/// The running hours of an engine are told.
pub static HOURS: Topic = Topic {
    name: "hours",
    title: "The running hours",
    words: &["counter", "hour meter", "tell hours"],
    what: &[Say(All, "What the hour counter shows now. The next check is reckoned from it.")],
    hands: &[Say(
        All,
        "Read it off the counter. One that was replaced shows less: say so, and the hours before are kept.",
    )],
    drawings: &[],
    wrong: &[Say(All, "The hours of another machine, or tenths read as whole hours.")],
};

/// The disk does not take what is typed.
pub static SAVING: Topic = Topic {
    name: "not-saved",
    title: "Not saved",
    words: &["disk full", "saving", "saved", "stick", "another folder", "lost"],
    what: &[Say(
        All,
        "An entry is saved when the disk has confirmed it. Until then the screen says saving; where the disk refuses, NOT SAVED.",
    )],
    hands: &[
        Say(
            All,
            "Go on working: nothing is dropped. It is tried again at every key and every five seconds.",
        ),
        Say(
            All,
            "Make room, or put the stick back; or save the session to another folder: by the * list, with plain prompts by the word save.",
        ),
        Say(All, "Whoever leaves gets the unsaved entries word for word, to be written down."),
    ],
    drawings: &[],
    wrong: &[Say(All, "Closing the lid on NOT SAVED: write the readings down first.")],
};

/// A service is about to begin.
pub static BEGINNING: Topic = Topic {
    name: "begin",
    title: "A new service",
    words: &["start service", "hours now"],
    what: &[Say(All, "Read the hour counter. All that is compared later stands on these hours.")],
    hands: &[
        Say(
            All,
            "Enter where it has not run since. A counter that was replaced may show less: say so.",
        ),
        Say(All, "Total time in service is what an inspection entry asks for."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Tachometer hours and hours in the air are two things. Always the same one.",
    )],
};

/// The list of readings.
pub static READINGS: Topic = Topic {
    name: "readings",
    title: "The readings of this session",
    words: &["kept", "list of readings"],
    what: &[Say(All, "What was kept, newest first. Enter on a line corrects it.")],
    hands: &[Say(
        All,
        "A reading is given a new value, made void, or swapped with another, with the reason.",
    )],
    drawings: &[],
    wrong: &[],
};

/// The picture of a stop.
pub static PICTURE: Topic = Topic {
    name: "picture",
    title: "The pictures: the crank at a stop, the engine",
    words: &["dial", "lift curves", "drawing"],
    what: &[
        Say(
            All,
            "The crank as a dial: S where it must stop, C where it stands. A solid rim is where it may be left. Below, the lift of both valves over the turn.",
        ),
        Say(
            All,
            "The engine as it lies, with how each valve stands. Where the crank turns, arrows go from one picture to the other.",
        ),
    ],
    hands: &[Say(All, "The rim says as seen from where. Stand there, or turn it in your mind.")],
    drawings: &[],
    wrong: &[],
};

/// The question whether to leave.
pub static LEAVING: Topic = Topic {
    name: "leaving",
    title: "Leaving",
    words: &["quit", "leave"],
    what: &[Say(
        All,
        "Everything kept is on disk. The session goes on at the same place, at any time.",
    )],
    hands: &[Say(
        All,
        "Walking away from an engine with something loose? Press a first, or print the tag.",
    )],
    drawings: &[],
    wrong: &[],
};
