//! How sure a verdict is, and what a leaf set can prove: documents and lines of text.

use super::wrapped;
use crate::domain::certainty::{Certainty, Surely};
use crate::domain::entry::LeafSet;
use crate::domain::leaves;
use crate::domain::profile::{Facts, Figures};
use crate::domain::provable::{self, Provable};
use crate::domain::units::{Length, LengthUnit};
use crate::domain::valve::Kind;
use crate::domain::verdict::Band;
use serde_json::{Value, json};

/// Makes the `certainty` member of `advise --certainty --json`, lengths in `unit`; null for an
/// open-ended reading.
pub fn certainty_json(certainty: Option<&Certainty>, unit: LengthUnit) -> Value {
    let Some(sure) = certainty else { return Value::Null };
    let in_unit = |nm: f64| nm / unit.nm();
    json!({
        "answer": match sure.surely {
            Surely::CannotDecide => "cannot decide",
            Surely::Pass | Surely::ConditionalPass | Surely::ConditionalFail | Surely::Fail => {
                sure.surely.word()
            }
        },
        "standard": in_unit(sure.standard_nm),
        "expanded": in_unit(sure.expanded_nm()),
        "k": 2,
        "tolerance_known": sure.with_tolerance,
        "why": sure.why(unit),
    })
}

/// Puts the certainty of a reading into a few lines of text.
pub fn certainty_text(certainty: Option<&Certainty>, unit: LengthUnit) -> String {
    let Some(sure) = certainty else {
        return wrapped("", "with uncertainty: an open reading has no answer, only a direction");
    };
    let mut text = wrapped("", &format!("with uncertainty: {}", sure.surely.word()));
    text += &wrapped("", &sure.why(unit));
    if !sure.with_tolerance {
        text += "The tolerance of the leaves is not known and left out.\n";
    }
    text
}

/// The bands of a profile that leaves have to prove, with their names; the set band only where it is
/// another one.
fn bands(figures: &Figures, kind: Kind) -> Vec<(String, Band)> {
    let (found, set) = (Band::found(figures), Band::set(figures));
    let mut bands = vec![(format!("{} as found", kind.word()), found)];
    if set != found {
        bands.push((format!("{} once set", kind.word()), set));
    }
    bands
}

/// Makes the document of `leaves --json`; every length is in `unit`.
pub fn leaves_json(facts: &Facts, set: &LeafSet) -> Value {
    let unit = set.unit;
    let number = |length: Length| length.in_unit(unit);
    let span = |(low, high): &(Length, Option<Length>)| json!({ "above": number(*low), "below": high.map(number) });
    let row = |name: &str, provable: &Provable| {
        json!({
            "band": name,
            "least": number(provable.band.least),
            "most": number(provable.band.most),
            "good": provable.good.map(|(from, to)| json!({ "from": number(from), "to": number(to) })),
            "undecided": provable.undecided.iter().map(span).collect::<Vec<_>>(),
            "helps_most": provable.helps.map(number),
        })
    };
    let of = |kind: Kind| {
        let bands = bands(&facts.figures(kind), kind);
        let rows = bands.iter().map(|(name, band)| row(name, &provable::of_set(set, *band)));
        rows.collect::<Vec<_>>()
    };
    json!({
        "unit": unit.word(),
        "leaves": set.leaves.iter().map(|&leaf| number(leaf)).collect::<Vec<_>>(),
        "bands": Kind::BOTH.into_iter().flat_map(of).collect::<Vec<_>>(),
    })
}

/// Puts what a set can prove of a profile's limits into text.
pub fn leaves_text(facts: &Facts, set: &LeafSet) -> String {
    let mut text = wrapped("", &format!("{}: {}", set.name, leaves::labels(set, &set.leaves)));
    for kind in Kind::BOTH {
        for (name, band) in bands(&facts.figures(kind), kind) {
            let words = provable::of_set(set, band).words(set);
            text += &wrapped("", &format!("{name}, {}", words.join(" ")));
        }
    }
    text += "Proved by the leaf that goes and the next that will not; a drag decides, too.\n";
    text
}
