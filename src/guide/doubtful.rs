//! What a profile says that is possible and that no workshop has: a slip of the point or of the unit, most
//! likely. It is doubted in words, with what was probably meant, and taken; the bounds are common practice
//! with much room around it, no source.

use crate::domain::plain::plain;
use crate::domain::profile::{Adjuster, Facts, Screw, Side};
use crate::domain::units::{Decimal, Torque, TorqueUnit};

/// Pitches of adjusting screws, mm.
const PITCH_MM: (f64, f64) = (0.2, 3.0);
/// Warmest that a cold engine is, thousandths of a degree Celsius.
const COLD: i32 = 60_000;
/// Most for a cover's screws, and for a screw's lock nut, N·m.
const COVER_NM: f64 = 40.0;
const LOCK_NUT_NM: f64 = 60.0;
/// Most threads that show beyond a lock nut.
const THREADS: u8 = 20;
/// Widest spanner of a lock nut, mm.
const SPANNER_MM: f64 = 60.0;
const MM_IN_INCH: f64 = 25.4;
const INCHES_IN_FOOT: f64 = 12.0;

/// Says what is doubted in a profile; empty where nothing is.
pub fn doubts(facts: &Facts) -> Vec<String> {
    let mut doubts = Vec::new();
    if let Adjuster::Screw(screw) = &facts.adjuster {
        doubts.extend(of_screw(screw));
    }
    let warmest = facts.gauge_when.no_warmer_than.filter(|limit| limit.0 > COLD);
    if let Some(limit) = warmest.filter(|_| !facts.gauge_when.hot) {
        let said = limit.both();
        let meant = match limit.0 {
            ..=130_000 => format!("{} °F", limit.0 / 1000),
            _ => format!("{} °C", f64::from(limit.0) / 10_000.0),
        };
        doubts.push(doubt("gauge_when.no_warmer_than", &said, "no engine is cold at that", &meant));
    }
    doubts.extend(of_torque("covers.torque", facts.covers.torque.as_ref(), COVER_NM));
    for (at, bank) in facts.layout.banks.iter().enumerate() {
        let (named, side) = match (Side::named(&bank.name), bank.side) {
            (Some(Side::Left), Some(Side::Right)) => ("left", "right"),
            (Some(Side::Right), Some(Side::Left)) => ("right", "left"),
            _ => continue,
        };
        let field = format!("layout.banks[{at}].side");
        let words = format!("the bank is called \"{}\"", plain(&bank.name));
        doubts.push(doubt(&field, side, &words, named));
    }
    let blank =
        texts(facts).into_iter().filter(|(_, text)| !text.is_empty() && text.trim().is_empty());
    doubts.extend(blank.map(|(field, _)| {
        format!("`{field}` has nothing but blanks: leave it out, or say what it is")
    }));
    doubts
}

/// Says of a file that lists so many leaves that one of them stands there twice.
pub fn leaf_twice(listed: usize, facts: &Facts) -> Option<String> {
    let own = facts.leaves.len();
    (listed > own).then(|| {
        format!("`leaves` lists {listed}, but only {own} are different: was another leaf meant?")
    })
}

fn doubt(field: &str, said: &str, why: &str, meant: &str) -> String {
    format!("`{field}` is {said}, but {why}: was {meant} meant?")
}

fn of_screw(screw: &Screw) -> Vec<String> {
    let mut doubts = Vec::new();
    let (least, most) = PITCH_MM;
    if let Some(pitch) = screw.pitch_mm.filter(|pitch| !(least..=most).contains(pitch)) {
        // So many threads to the inch, written as millimetres; or the point.
        let meant = match MM_IN_INCH / pitch {
            by_inch if (least..=most).contains(&by_inch) => {
                format!("{pitch} threads an inch, {by_inch:.4} mm,")
            }
            _ if pitch > most => format!("{:.4} mm", pitch / 10.0),
            _ => format!("{:.4} mm", pitch * 10.0),
        };
        let said = format!("{pitch:.4} mm");
        doubts.push(doubt("adjuster.pitch", &said, "no adjusting screw has such a thread", &meant));
    }
    doubts.extend(of_torque(
        "adjuster.lock_nut_torque",
        screw.lock_nut_torque.as_ref(),
        LOCK_NUT_NM,
    ));
    if let Some((low, high)) = screw.threads_showing.filter(|(_, high)| *high > THREADS) {
        let said = format!("{low} to {high}");
        let meant = format!("{} to {}", low / 10, high / 10);
        doubts.push(doubt("adjuster.threads_showing", &said, "no screw shows so many", &meant));
    }
    let spanner = screw.lock_nut.as_deref().and_then(|text| Some((text, spanner_mm(text)?)));
    if let Some((text, mm)) = spanner.filter(|(_, mm)| *mm > SPANNER_MM) {
        let other = if mm / MM_IN_INCH <= SPANNER_MM { "the same in mm" } else { "another figure" };
        let said = format!("\"{}\"", plain(text));
        doubts.push(doubt("adjuster.lock_nut", &said, "no lock nut takes such a spanner", other));
    }
    doubts
}

fn of_torque(field: &str, torque: Option<&Torque>, most: f64) -> Option<String> {
    let torque = torque.filter(|torque| torque.nm > most)?;
    // Foot pounds for inch pounds, newton centimetres for newton metres, the point.
    let meant = match torque.typed_unit() {
        TorqueUnit::PoundForceFoot if torque.nm / INCHES_IN_FOOT <= most => {
            torque.part(INCHES_IN_FOOT).text(TorqueUnit::PoundForceInch)
        }
        unit if torque.nm / 10.0 <= most => torque.part(10.0).text(unit),
        unit => torque.part(100.0).text(unit),
    };
    let said = plain(&torque.typed);
    Some(doubt(field, &said, "that would break it", &meant))
}

/// Reads the size of a spanner, where its words begin with one.
fn spanner_mm(text: &str) -> Option<f64> {
    let (size, unit) = Decimal::read(text.trim()).ok()?;
    match unit.trim() {
        "mm" => Some(size.to_f64()),
        "in" | "inch" | "\"" => Some(size.to_f64() * MM_IN_INCH),
        _ => None,
    }
}

/// Every text of a profile by its field, but for those that only a table of stops has.
fn texts(facts: &Facts) -> Vec<(String, &str)> {
    let source = &facts.source;
    let mut texts: Vec<(String, &str)> = vec![
        ("name".into(), facts.name.as_str()),
        ("source.document".into(), source.document.as_str()),
        ("source.revision".into(), source.revision.as_str()),
        ("source.page".into(), source.page.as_str()),
    ];
    for (at, bank) in facts.layout.banks.iter().enumerate() {
        texts.push((format!("layout.banks[{at}].name"), bank.name.as_str()));
        let labels = bank.labels.iter().enumerate();
        texts
            .extend(labels.map(|(n, label)| (format!("layout.banks[{at}].labels[{n}]"), &**label)));
    }
    if let Adjuster::Screw(screw) = &facts.adjuster {
        let words = [("lock_nut", &screw.lock_nut), ("screw_drive", &screw.screw_drive)];
        let told = words.into_iter().filter_map(|(field, text)| Some((field, text.as_deref()?)));
        texts.extend(told.map(|(field, text)| (format!("adjuster.{field}"), text)));
    }
    let hardware = facts.covers.hardware.iter().enumerate();
    texts.extend(hardware.map(|(n, one)| (format!("covers.hardware[{n}].item"), &*one.item)));
    texts.extend(facts.covers.order.as_deref().map(|text| ("covers.order".into(), text)));
    let cautions = facts.cautions.iter().enumerate();
    texts.extend(cautions.map(|(n, text)| (format!("cautions[{n}]"), &**text)));
    texts.extend(
        facts.overlap_looks_like.as_deref().map(|text| ("overlap_looks_like".into(), text)),
    );
    texts.extend(facts.rotation.as_ref().map(|it| ("rotation.turn_by".into(), &*it.turn_by)));
    texts
}
