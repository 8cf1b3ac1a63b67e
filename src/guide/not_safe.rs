//! What is said where a caution or a check is answered with a state that work cannot go on with: why
//! not, and what to do. Facts from the design's check values, section 11; the rest common practice,
//! no source.

use crate::domain::entry::{Caution, Entry, On};
use crate::domain::plain::plain;
use crate::domain::session::checklist::{CAUSE, DRY, FELT, TURNED_THROUGH, TWO_TURNS};

/// Says why an answer is kept and asked again; `None` for every other entry.
pub fn words(entry: &Entry) -> Option<String> {
    match entry {
        Entry::Caution(caution) if !caution.safe => Some(of_caution(caution)),
        Entry::On(On::Check { id, seen, digit, done: false, .. }) => {
            let why = if *digit == FELT { of_felt(id) } else { None };
            let why = why.unwrap_or_else(|| of_check(id));
            // What is kept stands among the answers too: a long one leaves its room to what is to be done.
            let seen = plain(seen);
            let kept =
                if seen.chars().count() > SHORT { String::new() } else { format!(": {seen}") };
            Some(format!("kept{kept}. {why}, then answer again"))
        }
        _ => None,
    }
}

/// Letters of an answer that are told again.
const SHORT: usize = 24;

/// What is felt as it is turned by hand is looked for before it is turned on.
fn of_felt(id: &str) -> Option<&'static str> {
    match id {
        TWO_TURNS => Some("Stop: force nothing, turn nothing more. Find what it is, put it right"),
        TURNED_THROUGH => {
            Some("Stop: force nothing, turn nothing more, a valve may touch. Find it, put it right")
        }
        _ => None,
    }
}

fn of_check(id: &str) -> &'static str {
    match id {
        "look" => "A rag or leaf left inside wrecks the engine. Look into each",
        TWO_TURNS | TURNED_THROUGH => "By hand, slowly, nothing forced. Turn it",
        CAUSE => "Look for it, or call away",
        "timing-marks" => "Do not turn it: a valve may touch. Set the cams by the manual",
        "plugs-in" | "leads" | "controls" => "Nothing runs on that. Do it",
        id if id.starts_with(DRY) => {
            "An oil-filled lifter hides the clearance. Bleed it, bottom it"
        }
        _ => "Not closed up on that. Do it",
    }
}

fn of_caution(caution: &Caution) -> String {
    let why = match caution.id.as_str() {
        "ignition" => "At OFF it fires if its ground wire is broken. Leads or battery off",
        "fuel" => "It may feed a cylinder and start. Shut it off",
        "throttle" => "Open, it may run away. Close it",
        "plugs" => "Look first: what holds compression kicks, and oil may lock a low cylinder",
        "oil-lock" => "Oil in a low cylinder bends its rod. Pull it through by hand, force nothing",
        "wheels" => "It may roll as it is turned. Chock it",
        "arc" => "A blade or belt strikes without warning. Clear it",
        "hands" => "Somebody may turn or switch it. Tell them, see them stand back",
        "run-air" => "Exhaust gas kills. Into the open, people behind a line",
        "run-fire" => "A leak on a hot exhaust burns. Fetch the bottle",
        "run-second" => "Nobody would stop it for you. Never alone",
        "run-seat" => "Nobody holds the brakes. A competent person in the seat",
        _ => "The manual asks for it. Do it",
    };
    format!("NOT SAFE: {}. {why}, then answer again", plain(&caution.seen))
}
