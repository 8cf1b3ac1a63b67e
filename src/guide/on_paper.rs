//! What an entry keeps, whole: for whoever must write it on paper because no disk takes it. What was
//! asked stands beside what was answered, and nothing is left to be looked up.

use super::counter::told_words;
use super::named::valve_name;
use super::remarks::TICKS;
use super::status::{entry_words, torque_words, where_counted};
use super::ways::way_words;
use crate::domain::entry::{
    Amend, Amended, Begin, Caution, Change, Condition, Correct, Entry, LeafSet, LeftItem, Nut,
    NutSaid, On, ProfileText, Remark, Rounds, Run, Sign, Skip, Skipped, SourceRead, Tick, Work,
};
use crate::domain::leaves;
use crate::domain::plain::plain;
use crate::domain::profile::Source;
use crate::domain::session::Session;

/// Says what an entry keeps; `profile` says where a profile lies, or what stands in it.
pub fn words(session: &Session, entry: &Entry, profile: &dyn Fn(&ProfileText) -> String) -> String {
    let name = |valve| valve_name(&session.state, valve);
    let words = match entry {
        Entry::Head(head) => {
            format!("the service begun, with the engine's profile {}", profile(&head.profile))
        }
        Entry::Begin(begin) => begun(session, begin),
        Entry::Caution(Caution { asked, seen, .. }) | Entry::On(On::Check { asked, seen, .. }) => {
            answered(asked, seen)
        }
        Entry::Run(Run { asked, seen, text, .. }) => also(answered(asked, seen), &[text]),
        Entry::Condition(condition) => temperatures(condition),
        Entry::Source(SourceRead::Named { source, practice: true }) => {
            let words = source_words(source);
            let document = words.strip_prefix("manual ").unwrap_or(&words);
            format!("no manual: practice, by example figures: {document}")
        }
        Entry::Source(SourceRead::Named { source, practice: false }) => source_words(source),
        Entry::Leaves(set) => leaf_words(set),
        Entry::Off(off) => {
            let items = off.items.iter().map(|(item, count)| format!("{count} × {item}"));
            let items = items.collect::<Vec<_>>().join(", ");
            format!("counted out, {}: {items}", where_counted(session, &off.bank))
        }
        Entry::On(On::Found { bank, item }) => {
            format!("{item} found, {}", where_counted(session, bank))
        }
        Entry::On(On::AccountedFor { bank, item, place, by }) => {
            format!("{item}, {}: {place}, says {by}", where_counted(session, bank))
        }
        Entry::Remark(remark) => remarked(remark),
        Entry::Skip(Skip { what, why, run_owed: _ }) => {
            format!("{}: {why}", passed_over(session, what))
        }
        Entry::Work(Work { cylinder, what, text, hold_down, asks_anew: _ }) => {
            let hold_down = hold_down.clone().unwrap_or_default();
            also(format!("work on cylinder {cylinder}: {what}"), &[text, &hold_down])
        }
        Entry::Correct(correct) => corrected(session, correct),
        Entry::Amend(amend) => amended(session, amend, profile),
        Entry::Nut(nut) => nut_words(session, entry, nut),
        Entry::Away(away) => also("called away".into(), &[&away.text]),
        Entry::Back(back) => {
            let after = back.after_min.map(|minutes| format!(" after {minutes} min"));
            let words = format!("back again{}", after.unwrap_or_default());
            also(words, &[&back.counter.map(told_words).unwrap_or_default()])
        }
        Entry::Sign(sign) => signed(sign),
        Entry::Seal(seal) => {
            let how = if seal.signed { "signed" } else { "unsigned" };
            also(format!("the session closed by {}, {how}", seal.by), &[&seal.why])
        }
        Entry::Recover(recover) => format!("a broken end of {} bytes set aside", recover.len),
        Entry::Redate(redate) => also(format!("dated {}", redate.day), &[&redate.why]),
        Entry::Unload(unload) => format!("{} unloaded", name(unload.valve)),
        Entry::Release(release) => format!("{} let go", name(release.valve)),
        Entry::Reading(_)
        | Entry::Adopt(_)
        | Entry::Part(_)
        | Entry::LeakTest(_)
        | Entry::At(_)
        | Entry::Proof(_)
        | Entry::Who(_)
        | Entry::On(On::Count { .. })
        | Entry::Source(SourceRead::Figure { .. } | SourceRead::Confirmed | SourceRead::Again) => {
            entry_words(session, entry).unwrap_or_default()
        }
    };
    plain(&words)
}

fn nut_words(session: &Session, entry: &Entry, nut: &Nut) -> String {
    let more = match &nut.said {
        NutSaid::Locked { torque, .. } if torque.is_empty() => "no torque named".into(),
        NutSaid::Locked { torque, .. } => torque_words(torque, session.state.facts().unit),
        NutSaid::NeverTouched { why } => why.clone(),
        NutSaid::Slack | NutSaid::Threads(_) => String::new(),
    };
    let said = entry_words(session, entry).unwrap_or_default();
    if said.contains(&more) { said } else { also(said, &[&more]) }
}

/// What was asked, and what was answered.
fn answered(asked: &str, seen: &str) -> String {
    format!("asked: {}; answered: {seen}", asked.trim())
}

/// Adds what there is of this behind it.
fn also(words: String, more: &[&str]) -> String {
    let more = more.iter().map(|text| text.trim()).filter(|text| !text.is_empty());
    std::iter::once(words.as_str()).chain(more).collect::<Vec<_>>().join(": ")
}

fn listed<T: ToString>(things: &[T]) -> String {
    things.iter().map(T::to_string).collect::<Vec<_>>().join(" ")
}

/// Everything that a beginning, or a later change of what the service is about, tells.
fn begun(session: &Session, begin: &Begin) -> String {
    let mut told = Vec::new();
    let mut tell = |about: &str, what: Option<String>| {
        told.extend(what.map(|what| format!("{about} {what}")));
    };
    tell("session", begin.name.clone());
    tell("engine", begin.engine.clone());
    tell("serial number", begin.serial.clone());
    tell("hours", begin.hours.map(|hours| hours.to_string()));
    tell("hours lower than before:", begin.hours_why.clone());
    tell("total time", begin.total_time.map(|hours| hours.to_string()));
    tell("figures last time by", begin.known_source.as_ref().map(source_words));
    tell("last time at work:", begin.known_worker.clone());
    tell(
        "cylinders:",
        begin.scope.as_ref().map(|scope| match scope.as_slice() {
            [] => "all".into(),
            some => listed(some),
        }),
    );
    tell("why only these:", begin.scope_why.clone());
    let rounds = begin.rounds.map(|rounds| match rounds {
        Rounds::SetThenRecheck => "gauge and set, then all once more",
        Rounds::SurveySetRecheck => "gauge all, then set, then all once more",
        Rounds::SurveyOnly if begin.change => "gauge all, then change what is out",
        Rounds::SurveyOnly => "gauge all, set nothing",
    });
    tell("rounds:", rounds.map(str::to_owned));
    let way = begin.from.is_some() || begin.few_stops.is_some() || begin.margin.is_some();
    let rest = if begin.rest { "the way round the rest:" } else { "the way round:" };
    tell(rest, way.then(|| way_words(begin)));
    tell("corrects session", begin.corrects.clone());
    let unit = session.state.facts().unit;
    let parts = begin.known_parts.iter();
    let parts: Vec<String> = parts
        .map(|part| format!("{} {}", valve_name(&session.state, part.valve), part.size.text(unit)))
        .collect();
    tell("known to be in:", (!parts.is_empty()).then(|| parts.join(", ")));
    let open: Vec<String> =
        begin.left_open.iter().map(|left| left_open(session, &left.item)).collect();
    tell("left open before:", (!open.is_empty()).then(|| open.join(", ")));
    if told.is_empty() { "the service goes on as it was begun".into() } else { told.join("; ") }
}

/// What an earlier service left open.
fn left_open(session: &Session, item: &LeftItem) -> String {
    let name = |valve: &_| valve_name(&session.state, *valve);
    match item {
        LeftItem::NutSlack(valve) => format!("nut of {} slack", name(valve)),
        LeftItem::Unloaded(valve) => format!("{} pressed open", name(valve)),
        LeftItem::PartOut { valve, part, bank, .. } => {
            let of = valve.as_ref().map(name).or_else(|| bank.clone()).unwrap_or_default();
            format!("{} of {of} out", part.capitals().to_lowercase())
        }
        LeftItem::HeldOpen(valve) => format!("{} that what went in may hold open", name(valve)),
        LeftItem::StopFelt { or_hiss: false } => "a stop that was felt".into(),
        LeftItem::StopFelt { or_hiss: true } => "a tight place or a hiss that was felt".into(),
        LeftItem::TurnsOwed => "the turns by hand".into(),
        LeftItem::HoldDown(cylinder) => {
            format!("hold-down torque of cylinder {cylinder} not measured")
        }
        LeftItem::NutsNotTight(cylinder) => {
            format!("hold-down nuts of cylinder {cylinder} not tight")
        }
        LeftItem::GaugeAfter { valve, .. } => {
            format!("{} to be gauged after work", name(valve))
        }
        LeftItem::Pieces { bank, item, out, counted_in, .. } => {
            let counted_in = counted_in.map_or("not counted in".into(), |n| format!("{n} in"));
            format!("{out} × {item} out, {counted_in}, {}", where_counted(session, bank))
        }
    }
}

fn temperatures(condition: &Condition) -> String {
    let mut told = vec![match condition.head {
        Some(head) => format!("head at {}", head.both()),
        None => format!("head at {}", condition.typed),
    }];
    told.extend(condition.air.map(|air| format!("air at {}", air.both())));
    let against = condition.against_limit.iter();
    told.extend(against.map(|why| format!("going on outside the temperature limit: {why}")));
    told.join("; ")
}

fn source_words(Source { document, revision, page }: &Source) -> String {
    let parts = [("manual", document), ("revision", revision), ("page", page)];
    let told = parts.iter().filter(|(_, text)| !text.trim().is_empty());
    told.map(|(about, text)| format!("{about} {text}")).collect::<Vec<_>>().join(", ")
}

fn leaf_words(set: &LeafSet) -> String {
    let mut words = format!("leaves: {}", set.name);
    if !set.leaves.is_empty() {
        words += &format!(", {}", leaves::labels(set, &set.leaves));
    }
    if let Some(tolerance) = &set.tolerance {
        let plus_minus = tolerance.plus_minus.text(set.unit);
        words += &format!(", each to ±{plus_minus} by {}", tolerance.source);
    }
    words
}

fn remarked(remark: &Remark) -> String {
    let about = match remark.cylinder {
        Some(cylinder) => format!("remark on cylinder {cylinder}"),
        None => "remark".to_owned(),
    };
    let ticks = |of: &[Tick]| {
        let words = TICKS.iter().filter(|(tick, _)| of.contains(tick)).map(|(_, word)| *word);
        words.collect::<Vec<_>>().join(", ")
    };
    let mut told = vec![about];
    for (of, word) in [(&remark.good, "good"), (&remark.bad, "NOT good")] {
        told.extend((!of.is_empty()).then(|| format!("{}: {word}", ticks(of))));
    }
    told.extend((!remark.text.is_empty()).then(|| remark.text.clone()));
    told.extend(remark.before_running.then(|| "to be dealt with before running".to_owned()));
    told.extend(remark.by.as_ref().map(|by| format!("noted by {by}")));
    told.join("; ")
}

fn passed_over(session: &Session, what: &Skipped) -> String {
    let name = |valve: &_| valve_name(&session.state, *valve);
    match what {
        Skipped::AsFound(valve) => format!("as-found of {} lost", name(valve)),
        Skipped::Gauging(valve, round) => {
            format!("{} passed over in round {round}, not gauged", name(valve))
        }
        Skipped::Setting(valve) => format!("{} passed over, not set", name(valve)),
        Skipped::Round(round) => format!("the rest of round {round} passed over"),
        Skipped::Check(check) => format!("a check passed over ({check})"),
        Skipped::Run => "no run".into(),
    }
}

fn corrected(session: &Session, Correct { of, change, why, as_asked: _ }: &Correct) -> String {
    let kept = |seq: u64| session.kept.iter().find(|kept| kept.seq == seq);
    let called = |seq: u64| {
        let words = kept(seq).and_then(|kept| entry_words(session, &kept.entry));
        words.map_or_else(|| format!("entry {seq}"), |words| format!("\"{words}\""))
    };
    let what = match change {
        Change::Void => format!("taken back: {}", called(*of)),
        Change::Value { typed, .. } => format!("{} is now {typed}", called(*of)),
        Change::SwapWith(other) => format!("{} and {} changed places", called(*of), called(*other)),
    };
    also(what, &[why])
}

fn amended(
    session: &Session,
    Amend { what, source, why, asks_anew: _ }: &Amend,
    profile: &dyn Fn(&ProfileText) -> String,
) -> String {
    let unit = session.state.facts().unit;
    let what = match what {
        Amended::Figures { kind, target, least, most } => format!(
            "{} figures amended: target {}, least {}, most {}",
            kind.word(),
            target.text(unit),
            least.text(unit),
            most.text(unit)
        ),
        Amended::Profile(new) => format!("the profile replaced by {}", profile(new)),
    };
    let by = if source.is_empty() { String::new() } else { format!("by {source}") };
    also(what, &[&by, why])
}

fn signed(sign: &Sign) -> String {
    let Sign { signer, certificate_kind: kind, certificate_number: number, .. } = sign;
    let certificate = [kind.as_str(), number].join(" ");
    let next = sign.next_check.map_or(String::new(), |hours| format!("next check at {hours} h"));
    let more = [certificate.as_str(), &sign.statement, &sign.owner_sentence, &next];
    also(format!("signed by {signer}"), &more)
}
