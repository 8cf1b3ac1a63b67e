//! The record of a session as one JSON document: what a script wants as numbers, and every word of
//! the printed record in its sections.

use super::compare_sheet::gauged_json;
use super::dates;
use super::history_json::because_word;
use super::record::{self, OfFile};
use super::sheet::{Block, Sheet, UNBROKEN};
use crate::domain::clock;
use crate::domain::compare::compare;
use crate::domain::entry::Hours;
use crate::domain::service::{Ending, Outcome, Service, source_words};
use crate::domain::session::Session;
use crate::domain::trend::Earlier;
use crate::domain::verdict::Verdict;
use serde_json::{Value, json};

/// Makes the document of a session; `service` is what it came to, with hours over all
/// counters, `sheet` its printed record and what is known of its file.
pub fn record_json(
    session: &Session,
    service: &Service,
    earlier: &Earlier,
    (sheet, file): (Sheet, &OfFile),
) -> Value {
    let state = &session.state;
    let sign = state.sign.clone().unwrap_or_default();
    let own = Some(sign.owner_sentence.trim()).filter(|text| !text.is_empty()).map(String::from);
    let previous = earlier.previous();
    let history = earlier.up_to(&Service::of(session));
    let unsigned = matches!(service.ending, Ending::Unsigned(_));
    let next = record::next_check(history.as_ref(), earlier).filter(|_| !unsigned);
    let ending = match &service.ending {
        Ending::Open => "open",
        Ending::Signed => "signed",
        Ending::Unsigned(_) => "unsigned",
        Ending::Imported => "imported",
    };
    let valves = service.valves.iter().filter(|outcome| outcome.in_scope);
    let moved = previous.map(|previous| compare(previous, service));
    let moved = |outcome: &Outcome| {
        let mut all = moved.iter().flat_map(|moved| &moved.valves);
        let movement = all.find(|movement| movement.valve == outcome.valve)?;
        Some(movement.moved?.in_unit(service.unit))
    };
    let conditions = &service.conditions;
    json!({
        "engine": service.engine,
        "serial": state.begin.serial,
        "session": service.called(),
        "id": service.session,
        "profile": service.profile,
        "unit": service.unit.word(),
        "began": service.began.and_then(dates::rfc3339),
        "completed": record::completed(session).and_then(dates::rfc3339),
        "hours": service.hours.map(|hours| hours.hours()),
        "aircraft_total": state.begin.total_time.map(|hours| hours.hours()),
        "ending": ending,
        "seal_code": file.seal_code(),
        "damage": file.damage,
        "clock_doubtful": clock::doubts_of(&session.kept).iter().map(ToString::to_string).collect::<Vec<_>>(),
        "owner_sentence": match &file.damage {
            Some(_) => file.distrust.for_the_owner().to_string(),
            None => own.unwrap_or_else(|| record::owner_sentence(session, earlier)),
        },
        "source": conditions.source.as_ref().map(source_words),
        "practice": conditions.practice,
        "gauged": if conditions.hot { "hot" } else { "cold" },
        "head_c": conditions.head.map(|head| f64::from(head.0) / 1000.0),
        "leaf_set": conditions.leaves.as_ref().map(|set| set.name.clone()),
        "valves": valves.map(|outcome| valve_json(outcome, service, moved(outcome))).collect::<Value>(),
        "work": service.work.iter().map(|(cylinder, what)| json!({ "cylinder": cylinder, "what": what })).collect::<Value>(),
        "workers": conditions.workers,
        "signer": sign.signer,
        "certificate_kind": sign.certificate_kind,
        "certificate_number": sign.certificate_number,
        "statement": sign.statement,
        "next_check": next_json(next.as_ref()),
        "sections": sections(sheet.into_blocks()),
    })
}

fn next_json(next: Option<&record::NextCheck>) -> Value {
    json!({
        "hours": next.and_then(|next| next.hours).map(Hours::hours),
        "date": next.and_then(|next| next.day.clone()),
        "because": next.map(|next| because_word(next.because)),
    })
}

fn valve_json(outcome: &Outcome, service: &Service, moved: Option<f64>) -> Value {
    let word = |verdict: Option<Verdict>| verdict.map(Verdict::word);
    json!({
        "cylinder": outcome.valve.cylinder,
        "valve": outcome.valve.kind.word(),
        "number": outcome.valve.number,
        "found": gauged_json(outcome.found.as_ref(), service.unit),
        "found_typed": outcome.found.as_ref().map(|gauged| gauged.typed.clone()),
        "left": gauged_json(outcome.left.as_ref(), service.unit),
        "left_typed": outcome.left.as_ref().map(|gauged| gauged.typed.clone()),
        "verdict_found": word(outcome.verdict_found),
        "verdict_left": word(outcome.verdict_left),
        "moved": moved,
        "tries": outcome.tries,
        "touched": outcome.touched,
        "worked_on": outcome.work_alone,
        "reason": outcome.left_as_is,
    })
}

/// Puts the pieces of a sheet under their headings; each line is a list of its cells.
fn sections(blocks: Vec<Block>) -> Value {
    let mut sections: Vec<(String, Vec<Vec<String>>)> = vec![(String::new(), Vec::new())];
    for block in blocks {
        let line = match block {
            Block::Heading(heading) => {
                sections.push((heading, Vec::new()));
                continue;
            }
            Block::Line(first, words) if first.trim().is_empty() => vec![words],
            Block::Line(first, words) | Block::Field(first, words) => {
                vec![first.trim().to_string(), words]
            }
            Block::Row(cells, _) => cells.iter().map(|cell| cell.trim().to_string()).collect(),
            Block::Drawn(line) => vec![line],
            Block::Blank | Block::Rule | Block::Page => continue,
        };
        let line = line.into_iter().map(|cell| cell.replace(UNBROKEN, " ")).collect();
        if let Some((_, lines)) = sections.last_mut() {
            lines.push(line);
        }
    }
    let section = |(heading, lines): (String, Vec<Vec<String>>)| json!({ "heading": heading, "lines": lines });
    sections.into_iter().map(section).collect()
}
