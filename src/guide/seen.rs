//! Words for what was seen and kept just now: cautions of the manual, and what was proven of the crank.

use super::felt::felt_part;
use super::part_words::overhead_cams;
use crate::domain::entry::{Caution, Proof, Rocked};
use crate::domain::session::{Crank, State};

/// Letters of a manual's own caution that say which it is.
const ABOUT: usize = 24;
/// Letters of one, or of its first phrase, that are few enough to be said whole.
const WHOLE: usize = 32;
/// Words of a first phrase that says something; with fewer it is but what the others begin with too.
const SAYS_IT: usize = 4;

/// Names a caution of the manual by its first words: its answer alone is that of every other one.
/// `None` for the program's own, whose answers say what was seen.
pub(super) fn own_caution(caution: &Caution) -> Option<String> {
    if !caution.id.starts_with("manual-") {
        return None;
    }
    let asked = caution.asked.trim().trim_end_matches('.');
    let phrase = asked.split([':', ';']).next().unwrap_or_default();
    let says_it = |words: &&str| words.split_whitespace().count() >= SAYS_IT || *words == asked;
    let short = [asked, phrase].into_iter().find(|words| words.chars().count() <= WHOLE);
    if let Some(words) = short.filter(says_it) {
        return Some(format!("{words}: {}", caution.seen));
    }
    let mut about = String::new();
    for word in asked.split_whitespace() {
        if !about.is_empty() && about.chars().count() + word.chars().count() >= ABOUT {
            about = about.trim_end_matches([',', ':', ';']).to_string() + " ..";
            break;
        }
        let gap = if about.is_empty() { "" } else { " " };
        about = about + gap + word;
    }
    Some(format!("{about}: {}", caution.seen))
}

/// Says what was counted to prove the stroke, or what rocking told; where cams bear on followers there
/// is nothing loose to be felt, and lobes are counted.
pub(super) fn proof_words(state: &State, proof: Proof) -> String {
    let Proof { loose, of, rocked, no_play } = proof;
    match rocked {
        Some(Rocked::Steady) => format!("rocked: no {} moved", felt_part(state)),
        Some(Rocked::Moved) => format!("rocked: a {} moved: wrong place", felt_part(state)),
        // With every nut there slack nothing is felt.
        None if of == 0 => "its sign was seen".into(),
        None if overhead_cams(state) => format!("{loose} of {of} lobes point away"),
        None if no_play && state.has_lifters() => format!("{loose} of {of} turn freely"),
        None => format!("{loose} of {of} loose"),
    }
}

/// The same in few letters: cut, "1 of 2 loose" says nothing.
pub(super) fn proven_short(state: &State, Proof { loose, no_play, .. }: Proof) -> String {
    if overhead_cams(state) {
        format!("{loose} away")
    } else if no_play && state.has_lifters() {
        format!("{loose} turn")
    } else {
        format!("{loose} loose")
    }
}

/// Says that one is loose that let nothing in as it was gauged; nothing where the count fits.
pub(super) fn against_the_gauge(state: &State, proof: Proof) -> Option<&'static str> {
    let Crank::At { stop, .. } = state.crank else { return None };
    let counted = proof.rocked.is_none() && proof.of == state.to_gauge(stop);
    (counted && proof.loose > state.loose_expected(stop) && !state.has_lifters()).then_some(AGAINST)
}

const AGAINST: &str = "but one let nothing in: gauge it once more, or it is another place";
