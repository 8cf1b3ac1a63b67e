//! How an entry is spelled on disk: its kind, and its payload as one JSON object.
//!
//! The journal's lines around the payload are the business of `journal`; checking a profile's text
//! is left to the function that the caller passes in.
//!
//! Rules for all kinds. Members are in the order of the table. A member marked `?` is absent where
//! there is nothing to say. Lengths end in `_nm` and are whole nanometres, temperatures in
//! `_milli_c` (thousandths of a degree Celsius), running hours in `_hundredths`, 0 to 100000000.
//! Counts go to 9999, tries to 99, the place of a stop to 9999,
//! `_milli_c` to 1000000 either way. A choice without
//! contents is its word; one with contents is an object with that word as its only member. A valve
//! is `{"cylinder":1,"kind":"intake"|"exhaust","number":1}`. Units are `mm` and `in`, for readings
//! also `hundredths` and `thou`. Members that are not in the table are ignored; a member that is
//! missing, doubled or of another type is an error.
//!
//! | kind | members |
//! |------|---------|
//! | `head` | `format` "cowlside-session", `v` 1, `need` list of words, `sid` 26 base-32 characters, `program` text, `profile` {`name` text, `text` the file, `sha256` 64 hex digits of it} |
//! | `begin` | `name`? `engine_id`? `engine`? `serial`? text, `hours_hundredths`? int, `hours_why`? text, `total_time_hundredths`? int, `known_source`? {`document`, `revision`, `page`}, `known_worker`? text, `known_parts`? list of {`valve`, `size_nm` int}, `scope`? list of cylinders, `scope_why`? text, `rounds`? `set_then_recheck`/`survey_set_recheck`/`survey_only`, `change`? bool, `from`? cylinder, `corrects`? text, `left_open`? list of {`from` text, `item`: `nut_slack` valve, `unloaded` valve, `part_out` {`valve`?, `part` as in `part`, `bank`? text, `marked_nm`?, `measured_nm`? int}, `held_open` valve, `stop_felt` {`or_hiss` bool}, `turns_owed`, `hold_down` cylinder, `nuts_not_tight` cylinder, `gauge_after` {`valve`, `worked` bool}, `pieces` {`bank`, `item` text, `out` count, `counted_in`? count, `whole` bool}} |
//! | `who` | `name` text, `takes_over` bool |
//! | `caution` | `id`, `asked` text, `digit` int, `seen` text, `safe` bool, `when` `start`/`back`/`run`, `out_again`? bool, left out where false |
//! | `condition` | `head_milli_c`? int, `typed` text, `air_milli_c`? int, `against_limit`? text |
//! | `source` | `said`: `named` {`source` {`document`, `revision`, `page`}, `practice` bool}, `figure` {`kind` `intake`/`exhaust`, `figure` `target`/`least`/`most`, `typed` text, `value_nm` int}, `confirmed`, `again` |
//! | `leaves` | `name` text, `unit`, `leaves_nm` list of int, `tolerance`? {`plus_minus_nm` int, `source` text} |
//! | `off` | `bank` text, `items` list of [text, count] |
//! | `on` | `said`: `count` {`bank`, `item` text, `count` int}, `found` {`bank`, `item`}, `accounted_for` {`bank`, `item`, `place`, `by`}, `check` {`id`, `asked` text, `digit` int, `seen` text, `done` bool} |
//! | `at` | `said`: `stop` {`stop` int from 0, `watch` cylinder, `then_turn` degrees}, `seen_overlap` cylinder, `seen_loose` cylinder, `lost` |
//! | `proof` | `loose`, `of` int, `rocked`? `steady`/`moved`, `no_play` bool, left out where false |
//! | `unload` | `valve` |
//! | `release` | `valve` |
//! | `reading` | `valve`, `step` `found`/`try`/`left`/`recheck`, `round` int, `typed` text, `unit`, `low_nm`? `high_nm`? `nominal_nm`? int, `single` bool, `by` text, `paper`? text, `aimed_nm`? int, `tries` int, `odd`? `against_plan`? text, `turned_deg`? int |
//! | `nut` | `valve`, `said`: `slack`, `locked` {`torque` text, `gauged` seq}, `never_touched` {`why` text}, `threads` int; `found`? bool |
//! | `part` | `valve`?, `part` `shim`/`pushrod`/`cam`/`rocker`, `out` bool, `marked_nm`? `measured_nm`? int, `typed` text, `bank`? text, `seen`? text, `size_only`, `undoes_less` bool, left out where false |
//! | `work` | `cylinder`, `what`, `text` text, `hold_down`? text, `asks_anew` bool, left out where false |
//! | `remark` | `cylinder`?, `good`, `bad` lists of `pad`/`bush`/`spring`/`rod`/`oil`/`gasket`, `text` text, `before_running` bool, `settles`? seq |
//! | `leaktest` | `cylinder`, `held`? [held, supply], `why_not`? text, `turned`? bool |
//! | `skip` | `what`: `as_found` valve, `gauging` [valve, round], `setting` valve, `round` int, `check` text, `run`; `why` text, `run_owed`? bool, left out where false |
//! | `correct` | `of` seq, `change`: `void`, `value` {`typed` text, `unit`, `low_nm`? `high_nm`? `nominal_nm`? int, `single` bool}, `swap_with` seq; `why` text; `as_asked` bool, left out where false |
//! | `amend` | `what`: `figures` {`kind`, `target_nm`, `least_nm`, `most_nm` int}, `profile` {`name`, `text`, `sha256`}; `source`, `why` text; `asks_anew` bool, left out where false |
//! | `away` | `text` text |
//! | `back` | `after_min`? int, `restart`, `new_day`, `clock_jumped` bool, `counter_hundredths`? `went_up` int, `replaced` int, `put_right` {`from`, `to` int} |
//! | `run` | `id`, `asked` text, `digit` int, `seen` text, `good` bool, `text` text |
//! | `sign` | `signer`, `certificate_kind`, `certificate_number`, `statement`, `owner_sentence` text, `next_check_hundredths`? int |
//! | `seal` | `entries` int, `by` text, `chain` 32 hex digits, `signed` bool, `why` text, `tells_not_put_back`? bool, `tells_not_gauged` bool, left out where false |
//! | `recover` | `at`, `len` bytes, `sha` 32 hex digits |
//! | `adopt` | `file` text, `seq` int, `hash` 32 hex digits, `reading` as the kind `reading` |
//! | `redate` | `day` YYYY-MM-DD, `why` text |

mod embedded;
mod kinds_from_nut;
mod kinds_to_reading;
mod left_open;
pub(in crate::store) mod safe;
pub(in crate::store) mod shared;

pub use embedded::{FORMAT, HeadStart, ParseProfile, VERSION};
pub(in crate::store) use kinds_to_reading::LeafSetWire;

use crate::domain::entry::Entry;
use crate::store::words::line_words;
use embedded::{AmendWire, HeadWire};
use kinds_from_nut::*;
use kinds_to_reading::*;
use serde::{Deserialize, Serialize};

/// Why a payload is not an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DecodeFault {
    /// No kind of this program.
    UnknownKind,
    /// A kind that is known, spelled as this program never would; says how.
    Misspelled(String),
}

/// Makes the table of kinds: which entry has which word, and what spells it.
macro_rules! kinds {
    ($($variant:ident $word:literal $wire:ident,)*) => {
        /// Returns the word for an entry's kind.
        pub fn kind(entry: &Entry) -> &'static str {
            match entry {
                Entry::Head(_) => "head",
                Entry::Amend(_) => "amend",
                $(Entry::$variant(_) => $word,)*
            }
        }

        /// Tells whether this program knows a kind.
        pub fn is_kind(word: &str) -> bool {
            matches!(word, "head" | "amend" $(| $word)*)
        }

        /// Spells an entry's payload as one line of JSON.
        ///
        /// # Errors
        /// A length over ten metres.
        pub fn encode(entry: &Entry) -> Result<String, serde_json::Error> {
            match entry {
                Entry::Head(head) => safe::json(|to| HeadWire::of(head).serialize(to)),
                Entry::Amend(amend) => safe::json(|to| AmendWire::of(amend).serialize(to)),
                $(Entry::$variant(value) => safe::json(|to| $wire::serialize(value, to)),)*
            }
        }

        fn read(kind: &str, payload: &str, parse: ParseProfile) -> Result<Entry, DecodeFault> {
            let from = &mut serde_json::Deserializer::from_str(payload);
            let misspelled = |error: serde_json::Error| {
                DecodeFault::Misspelled(line_words(&error, payload))
            };
            match kind {
                "head" => HeadWire::deserialize(from)
                    .map_err(misspelled)?
                    .head(parse)
                    .map(Entry::Head)
                    .map_err(DecodeFault::Misspelled),
                "amend" => AmendWire::deserialize(from)
                    .map_err(misspelled)?
                    .amend(parse)
                    .map(Entry::Amend)
                    .map_err(DecodeFault::Misspelled),
                $($word => $wire::deserialize(from).map(Entry::$variant).map_err(misspelled),)*
                _ => Err(DecodeFault::UnknownKind),
            }
        }
    };
}

kinds! {
    Begin "begin" BeginWire,
    Who "who" WhoWire,
    Caution "caution" CautionWire,
    Condition "condition" ConditionWire,
    Source "source" said_source,
    Leaves "leaves" LeafSetWire,
    Off "off" OffWire,
    On "on" said_on,
    At "at" said_at,
    Proof "proof" ProofWire,
    Unload "unload" UnloadWire,
    Release "release" ReleaseWire,
    Reading "reading" ReadingWire,
    Nut "nut" NutWire,
    Part "part" PartWire,
    Work "work" WorkWire,
    Remark "remark" RemarkWire,
    LeakTest "leaktest" LeakTestWire,
    Skip "skip" SkipWire,
    Correct "correct" CorrectWire,
    Away "away" AwayWire,
    Back "back" BackWire,
    Run "run" RunWire,
    Sign "sign" SignWire,
    Seal "seal" SealWire,
    Recover "recover" RecoverWire,
    Adopt "adopt" AdoptWire,
    Redate "redate" RedateWire,
}

/// Reads an entry from its kind and payload; `parse` makes a profile of its text.
///
/// # Errors
/// An unknown kind, or a payload that this program never writes.
pub fn decode(kind: &str, payload: &str, parse: ParseProfile) -> Result<Entry, DecodeFault> {
    // serde also takes a list of values for an object; the table knows only objects.
    if payload.starts_with('{') {
        read(kind, payload, parse)
    } else {
        Err(DecodeFault::Misspelled("`d` is no object".to_owned()))
    }
}
