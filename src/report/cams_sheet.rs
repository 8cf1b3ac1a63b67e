//! What the cams of a profile come to, in words and as a JSON document: spans, opposites, pairs of
//! valves, and what can be gauged with each cylinder at overlap.

use super::WIDTH;
use super::profile_list::shape_word;
use super::profile_sheet::{Sheet, notes, numbers};
use crate::domain::cams::{self, PairRule, Position, Spans};
use crate::domain::crank;
use crate::domain::profile::{Facts, Sign};
use crate::domain::valve::{Cylinder, Kind};
use crate::guide::turning::{bank_words, end_words};
use crate::guide::unlikely::{pairs_words, warnings};
use serde_json::{Value, json};

/// Writes everything at the foot of a profile's sheet.
pub(super) fn text(sheet: &mut Sheet, facts: &Facts) {
    sheet.blank();
    spans(sheet, facts);
    match cams::opposites(facts).as_slice() {
        [] => sheet.entry("opposites", "none: no cylinder fires a full turn after another"),
        pairs => sheet.entry("opposites", &pairs_words(pairs)),
    }
    for rule in cams::pair_rules(facts) {
        sheet.entry("pair rule", &pair_words(facts, &rule));
    }
    positions(sheet, facts);
}

fn spans(sheet: &mut Sheet, facts: &Facts) {
    let timing = crank::timing(facts);
    if facts.timing.is_none() {
        sheet.entry("timing", "assumed: the profile gives none, so these are not this engine's");
    }
    let alone = cams::spans(&cams::without_ramps(&timing));
    let ramped = cams::spans(&timing);
    let with = |words: String| match timing.ramp > 0.0 {
        true => format!(" ({words} with its ramps)"),
        false => String::new(),
    };
    let open = |spans: &Spans| (tenths(spans.intake), tenths(spans.exhaust));
    let (intake, exhaust) = open(&alone);
    let ramps = with(format!("{}°, {}°", open(&ramped).0, open(&ramped).1));
    sheet.entry("open", &format!("intake {intake}°, exhaust {exhaust}°{ramps}"));
    sheet.entry("both open", &format!("{}{}", both_open(&alone), with(both_open(&ramped))));
    let shut =
        |spans: &Spans| format!("{}°, {:.2} %", tenths(spans.both_shut), spans.both_shut_percent());
    sheet.entry("both shut", &format!("{} of the cycle{}", shut(&alone), with(shut(&ramped))));
}

fn tenths(degrees: f64) -> f64 {
    (degrees * 10.0).round() / 10.0
}

/// Overlap, or by how much there is none.
fn both_open(spans: &Spans) -> String {
    match crank::compare(spans.overlap, 0.0) {
        std::cmp::Ordering::Greater => format!("{}°", tenths(spans.overlap)),
        std::cmp::Ordering::Equal => "never: the exhaust shuts as the intake opens".into(),
        std::cmp::Ordering::Less => {
            format!("never: the exhaust shuts {}° before the intake opens", tenths(-spans.overlap))
        }
    }
}

fn pair_words(facts: &Facts, rule: &PairRule<'_>) -> String {
    let PairRule { bank, other, valves, sum, margin } = *rule;
    let end = end_words(facts.layout.listed_from);
    let in_words = |bank: &str| bank_words(bank, facts.layout.shape);
    let counted = if facts.layout.banks.len() == 1 {
        format!("valves 1 to {valves} from {end}")
    } else if bank == other {
        format!("{}, valves 1 to {valves} from {end}", in_words(bank))
    } else {
        let (bank, other) = (in_words(bank), in_words(other));
        format!("v in the {bank}, its partner in the {other}, each 1 to {valves} from {end}")
    };
    format!(
        "{sum}: with valve v fully open gauge valve {sum} - v, {}° from moving ({counted})",
        tenths(margin)
    )
}

fn positions(sheet: &mut Sheet, facts: &Facts) {
    let least = cams::least_margin(facts);
    let Some(positions) = cams::positions(facts, least) else {
        return sheet.entry("can be gauged", "only where the manual's table of stops has it");
    };
    sheet.blank();
    let sign = sign_word(facts);
    let seen = match crank::overlap_sign(facts) == Sign::Changeover {
        true => " (exhaust just shut, intake about to open)",
        false => "",
    };
    sheet.line(&format!(
        "With this cylinder at {sign}{seen} these valves are at least {least}° from moving; \
         the last column tells the nearest."
    ));
    if let Some(caveat) = cams::caveat(facts) {
        sheet.line(&format!("CAUTION: {caveat}"));
    }
    // One turn on is its opposite's own line, where it has one.
    let shown = |position: &&Position| {
        position.then_turn == 0 || crank::opposite(facts, position.watch).is_none()
    };
    let mut rows = vec![[format!("at {sign}"), "intakes".into(), "exhausts".into(), String::new()]];
    rows.extend(positions.iter().filter(shown).map(cells));
    table(sheet, &rows);
}

/// A position's row: where, intakes, exhausts, and the worst margin among them, rounded down.
fn cells(position: &Position) -> [String; 4] {
    let cylinders = |kind: Kind| {
        let of = position.gauge.iter().filter(|(valve, _)| valve.kind == kind);
        let mut of: Vec<Cylinder> = of.map(|(valve, _)| valve.cylinder).collect();
        of.dedup();
        if of.is_empty() { "none".to_string() } else { numbers(&of, " ") }
    };
    let worst = position.gauge.iter().map(|(_, margin)| *margin).min_by(f64::total_cmp);
    let watch = position.watch;
    [
        if position.then_turn == 0 { format!("{watch}") } else { format!("{watch}, a turn on") },
        cylinders(Kind::Intake),
        cylinders(Kind::Exhaust),
        worst.map_or(String::new(), |worst| format!("{}°", (worst + 1e-6).floor())),
    ]
}

/// Writes rows in columns; where they do not fit, a row as a paragraph.
fn table(sheet: &mut Sheet, rows: &[[String; 4]]) {
    let wide = |column: usize| rows.iter().map(|row| row[column].chars().count()).max();
    let [one, two, three, four] = [0, 1, 2, 3].map(|column| wide(column).unwrap_or(0));
    let fits = 2 + one + 2 + two + 2 + three + 2 + four <= WIDTH;
    for [at, intakes, exhausts, worst] in rows {
        match fits {
            true => sheet
                .row(&format!("  {at:one$}  {intakes:two$}  {exhausts:three$}  {worst:>four$}")),
            false => sheet.line(&format!("{at}: {intakes}; {exhausts}; {worst}")),
        }
    }
}

fn sign_word(facts: &Facts) -> &'static str {
    match crank::overlap_sign(facts) {
        Sign::Changeover => "changeover",
        Sign::Overlap
        | Sign::IntakeOpens
        | Sign::IntakeCloses
        | Sign::ExhaustOpens
        | Sign::ExhaustCloses
        | Sign::Mark => "overlap",
    }
}

/// Makes the JSON document of `profiles show --json`. `caveat` stands in it only where there is one.
pub fn facts_json(name: &str, facts: &Facts) -> Value {
    let timing = crank::timing(facts);
    let least = cams::least_margin(facts);
    let opposite = |&cylinder: &Cylinder| json!({ "cylinder": cylinder, "opposite": crank::opposite(facts, cylinder) });
    let mut cylinders = facts.firing_order.clone();
    cylinders.sort_unstable();
    let pairs = cams::pair_rules(facts);
    let positions = cams::positions(facts, least);
    let mut document = json!({
        "name": name,
        "title": facts.name,
        "unit": "crank degrees",
        "cylinders": facts.cylinders(),
        "shape": shape_word(facts.layout.shape),
        "firing_order": facts.firing_order,
        "firing_intervals": facts.firing_intervals,
        "opposites": cylinders.iter().map(opposite).collect::<Value>(),
        "timing": if facts.timing.is_some() { "profile" } else { "assumed" },
        "ramp": timing.ramp,
        "spans": spans_json(&cams::spans(&cams::without_ramps(&timing))),
        "spans_with_ramps": spans_json(&cams::spans(&timing)),
        "sign": sign_word(facts),
        "least_margin": least,
        "positions": positions.map(|all| all.iter().map(position_json).collect::<Value>()),
        "pair_rules": pairs.iter().map(pair_json).collect::<Value>(),
        "warnings": warnings(facts),
        "notes": notes(facts),
    });
    if let Some(caveat) = cams::caveat(facts) {
        document["caveat"] = caveat.into();
    }
    document
}

fn spans_json(spans: &Spans) -> Value {
    let Spans { intake, exhaust, overlap, both_shut } = *spans;
    let percent = spans.both_shut_percent();
    json!({ "intake": intake, "exhaust": exhaust, "overlap": overlap, "both_shut": both_shut,
            "both_shut_percent": percent })
}

fn position_json(position: &Position) -> Value {
    let gauge = position.gauge.iter().map(|(valve, margin)| {
        json!({ "cylinder": valve.cylinder, "valve": valve.kind.word(), "number": valve.number,
                "margin": margin })
    });
    json!({ "watch": position.watch, "then_turn": position.then_turn, "crank": position.crank,
            "gauge": gauge.collect::<Value>() })
}

fn pair_json(rule: &PairRule<'_>) -> Value {
    let PairRule { bank, other, valves, sum, margin } = *rule;
    json!({ "bank": bank, "other": other, "valves": valves, "sum": sum, "margin": margin })
}
