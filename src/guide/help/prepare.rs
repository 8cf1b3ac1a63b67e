//! Help on what is asked before the crank is moved.
//!
//! Facts from the design's check values: cold limits 2.3 (published between 35 °C and "cooled
//! completely", so each profile has its own), the sign of warmth 2.2, safety lines section 11
//! (handbooks of flying and of hand propping), states and not "done" 12.4 (checklist studies),
//! leaves section 6, two bands 2.4. What no source is named for is common practice, no source.

use super::For::{All, Crank, Propeller, Rockers, Screw};
use super::{Say, Topic};

pub(super) static TOPICS: &[&Topic] = &[
    &DAY,
    &WHO,
    &OWED_RUN,
    &MANUAL,
    &PAGE,
    &DIFFERENCE,
    &CAUTIONS,
    &TEMPERATURE,
    &WARM,
    &LEAVES,
    &SCOPE,
    &NO_WAY,
    &COUNT_OUT,
];

pub(super) static DAY: Topic = Topic {
    name: "day",
    title: "Another day",
    words: &["new day", "hours"],
    what: &[Say(
        All,
        "The session was begun on an earlier day, or its counter went up. Was the engine run since?",
    )],
    hands: &[
        Say(All, "Read the hour counter again. Equal hours are the proof that it did not run."),
        Say(All, "Ask who else had hands on the engine; look for a tag on it."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "An engine that ran has other readings than those begun: say so, and the session is closed as interrupted.",
    )],
};

pub(super) static WHO: Topic = Topic {
    name: "who",
    title: "Who works",
    words: &["worker", "name", "take over", "hand over"],
    what: &[Say(
        All,
        "The name of the one whose hands do the work. The signer is asked at the end.",
    )],
    hands: &[Say(
        All,
        "Whoever takes over reads what is open first, then proves the crank as after a break.",
    )],
    drawings: &[],
    wrong: &[Say(
        All,
        "A nut or a cover that the one before left loose: what is open stands in the top line.",
    )],
};

pub(super) static OWED_RUN: Topic = Topic {
    name: "owed-run",
    title: "A run that was handed over",
    words: &["run", "leak check", "release"],
    what: &[Say(
        All,
        "The service before was signed with its run and leak check left to somebody else, and nobody has answered for it.",
    )],
    hands: &[Say(
        All,
        "Ask whoever ran it. Look for oil at covers, plugs and lines before anything is wiped.",
    )],
    drawings: &[],
    wrong: &[Say(
        All,
        "A leak is a fact to keep: told here it is open until somebody says what was done.",
    )],
};

pub(super) static MANUAL: Topic = Topic {
    name: "manual",
    title: "Which manual",
    words: &["source", "revision", "document"],
    what: &[Say(
        All,
        "Names the document that the figures come from: title, revision, page. It goes on the record.",
    )],
    hands: &[
        Say(All, "Take the manual for this serial number, newest revision, and open the page."),
        Say(All, "Look at the plate on the engine too. Plate and book can differ: find out why."),
    ],
    drawings: &[],
    wrong: &[
        Say(
            All,
            "The wrong profile for this engine. That is why the figures are typed from the page.",
        ),
        Say(All, "An old revision on the shelf. The newest issue wins; write down which it is."),
    ],
};

pub(super) static PAGE: Topic = Topic {
    name: "page",
    title: "A figure from the page",
    words: &["figure", "target", "limits", "least", "most"],
    what: &[Say(
        All,
        "Type the figure as the manual's page has it. The profile's is not shown, so that two pairs of eyes agree.",
    )],
    hands: &[
        Say(All, "Finger on the line of the page: intake or exhaust, cold or hot?"),
        Say(All, "Type it with the page's own unit: 0.006 in, 6 thou, 0.15 mm."),
        Say(
            All,
            "Least and most are what a valve may be found at. A narrower band to set it to is separate.",
        ),
    ],
    drawings: &[],
    wrong: &[
        Say(All, "Unit or decimal point: 0.15 mm is 0.006 in; tenfold slips stand even in print."),
        Say(All, "The hot figure on a cold engine."),
        Say(
            All,
            "Least above the target, or most below it: told at once, and asked which was mistyped.",
        ),
    ],
};

pub(super) static DIFFERENCE: Topic = Topic {
    name: "difference",
    title: "Page and profile differ",
    words: &["differs", "page differs"],
    what: &[Say(
        All,
        "The page says something else than the profile. The job stops here until it is known why.",
    )],
    hands: &[
        Say(All, "Read both again: unit, point, intake or exhaust, cold or hot."),
        Say(All, "Then the serial number: is it the page for this engine?"),
        Say(
            All,
            "Figures that are right on the page are amended, with the source. The page rules.",
        ),
        Say(
            All,
            "That is for this service. For good the profile is put right: at the list of engines * and 4, \"change or copy its profile\".",
        ),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Going on with the wrong engine's figures. Better no service than that one.",
    )],
};

pub(super) static CAUTIONS: Topic = Topic {
    name: "cautions",
    title: "Before hands go near it",
    words: &["caution", "safety", "ignition", "fuel", "propeller arc"],
    what: &[Say(
        All,
        "Each line is answered with the state that you see, not with \"done\". After a break those that can have changed come again.",
    )],
    hands: &[
        Say(All, "Walk to the thing, touch it, look at it, then press the digit."),
        Say(
            Propeller,
            "Treat the propeller as live. OFF is no proof: a broken ground wire leaves a magneto live. Leads off the plugs is proof.",
        ),
        Say(
            Propeller,
            "Never a shoulder to the blade, no part of the body in its arc, firm dry ground.",
        ),
        Say(
            Propeller,
            "Wheels chocked, fuel off, mixture cut off, throttle closed. Nobody in the seat but one who knows.",
        ),
        Say(Propeller, "An impulse coupling can fire on a slow push of the hand."),
        Say(
            Crank,
            "Battery off, key in your pocket. Stand clear of belts, fan and flywheel when it turns.",
        ),
        Say(
            All,
            "One plug out of each cylinder: no compression, no kick, and the crank stops where you want it.",
        ),
        Say(
            All,
            "Low cylinders may hold oil: their plugs come out before anything turns. Then by hand, and force nothing.",
        ),
    ],
    drawings: &[],
    wrong: &[
        Say(All, "You see what you expect. Touching the thing helps against it."),
        Say(All, "Somebody puts right what you made safe. Tell them; hang the tag."),
    ],
};

pub(super) static TEMPERATURE: Topic = Topic {
    name: "temperature",
    title: "How warm the engine is",
    words: &["cold", "hot", "head temperature", "warm"],
    what: &[Say(
        All,
        "Clearance changes with warmth, and not on every engine the same way: some grow, some shrink. So the manual names cold or hot.",
    )],
    hands: &[
        Say(All, "Measure at a head, not at the case: it cools last. Take the warmest."),
        Say(All, "18 means 18 degrees C. Fahrenheit with its letter: 65 F."),
        Say(All, "It is asked again each round, and after an hour away."),
    ],
    drawings: &[],
    wrong: &[
        Say(All, "Half warm: neither the cold nor the hot figure is true."),
        Say(
            All,
            "Ten degrees on aluminium and steel are worth about 0.01 mm (0.0005 in): much in a band of 0.05 mm.",
        ),
    ],
};

pub(super) static WARM: Topic = Topic {
    name: "cooling",
    title: "Outside the temperature limit",
    words: &["too warm", "wait", "cooling wait", "timer"],
    what: &[Say(
        All,
        "The head is outside the manual's limit. Readings now would not mean what the limits mean.",
    )],
    hands: &[
        Say(
            All,
            "Open the cowling and let it stand. Measure head and air, and again ten minutes later.",
        ),
        Say(
            All,
            "Two temperatures and the air's give an estimate of when it is cool enough. It is an estimate: wind and sun change it.",
        ),
        Say(
            All,
            "The screen counts the minutes since the last temperature and rings once when it is time to measure. Nothing is written meanwhile.",
        ),
        Say(All, "Measure before you begin. The thermometer decides, not the clock."),
    ],
    drawings: &[],
    wrong: &[
        Say(All, "Hot parts burn, and a hot engine can fire by itself: keep off the propeller."),
        Say(All, "Readings of a warm engine compared with cold ones of last year."),
    ],
};

pub(super) static LEAVES: Topic = Topic {
    name: "leaf-set",
    title: "The leaves in hand",
    words: &["leaf set", "feeler", "feelers", "gauge set", "blade set"],
    what: &[Say(
        All,
        "Which leaves you have. They fix the unit of a bare number, and which numbers can be right.",
    )],
    hands: &[
        Say(All, "Type what is on the leaves: 2-15 thou, or 0.05-0.50 by 0.05 mm."),
        Say(All, "Wipe each leaf. Throw out what is curled, nicked or rusty: it reads too thick."),
        Say(All, "Two leaves may be stacked; each one more adds oil and error of its own."),
    ],
    drawings: &[],
    wrong: &[
        Say(
            All,
            "Steps too coarse: with steps of 0.05 mm a band of 0.08 mm can hardly be proven. `cowlside leaves` tells which leaf would help.",
        ),
        Say(All, "Thousandths taken for hundredths of a mm."),
    ],
};

pub(super) static SCOPE: Topic = Topic {
    name: "scope",
    title: "How it is done today",
    words: &["rounds", "survey", "plan", "way round"],
    what: &[
        Say(All, "All valves or some cylinders, which rounds, and by which way round the engine."),
        Say(
            Screw,
            "Gauge and set, then a second round that gauges everything again. A survey before it, touching nothing, on request.",
        ),
    ],
    hands: &[
        Say(
            All,
            "One cylinder a stop is the plain way. Fewest stops gauges several at a stop; less walking stays on one side.",
        ),
        Say(All, "As-found on every valve before anything is touched: that is what tells of wear."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Setting by habit what was in limits: the evidence is gone, and so is a good setting.",
    )],
};

pub(super) static NO_WAY: Topic = Topic {
    name: "no-plan",
    title: "There is no way round",
    words: &["no plan", "margin"],
    what: &[Say(
        All,
        "Not every valve can be shown to be shut at some position with enough margin. The words say which.",
    )],
    hands: &[
        Say(
            All,
            "Valve timing in the profile helps: without it a careful guess is used, with a wide margin.",
        ),
        Say(
            All,
            "Where the manual gives a table of positions, it belongs into the profile, and is used as written.",
        ),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "A floating cam ring has no computed plan: only the manual's table takes its play out.",
    )],
};

pub(super) static COUNT_OUT: Topic = Topic {
    name: "count-out",
    title: "Covers off, pieces counted out",
    words: &["covers", "hardware", "off", "count out"],
    what: &[Say(
        All,
        "What comes off is counted now, so that the same number goes back. Enter takes the profile's count.",
    )],
    hands: &[
        Say(
            All,
            "Clean around the cover first. A tray for each bank, both halves of each lock washer together.",
        ),
        Say(All, "Catch the oil and look at it: metal, sludge, much less than next door?"),
        Say(Rockers, "Look before you touch: caps on stems, loose keepers, a hollow in a pad."),
        Say(All, "Count plugs, blanks for their holes, rags, tools and the leaves too."),
    ],
    drawings: &[],
    wrong: &[Say(
        All,
        "Half a washer or a rag in the box. If the count is not the profile's, type what you see.",
    )],
};
