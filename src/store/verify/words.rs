//! What verifying found, in words and as JSON.

use super::{Checked, Gone, Other, OtherFile, Report, Sealed};
use crate::domain::entry::Seal;
use crate::domain::plain::plain;
use crate::store::journal::Verdict;
use crate::store::journal::verdict::spans;
use crate::store::seen::Empty;
use crate::store::sessions::{self, Kin, NOBODY_KNOWS};
use crate::store::shown;
use serde_json::{Value, json as value};
use std::path::Path;

/// The word for how whole a session's file is.
pub fn word(checked: &Checked) -> &'static str {
    match &checked.verdict {
        Verdict::Clean if checked.is_damaged() => "NOT WHOLE",
        Verdict::Clean => "whole",
        Verdict::CutOff(_) => "CUT OFF",
        Verdict::Damaged(_) | Verdict::Newer { fits: false, .. } => "DAMAGED",
        Verdict::LineEndingsChanged => "CHANGED",
        Verdict::EmptyStart if checked.never_held() || checked.is_back() => "empty",
        Verdict::EmptyStart => "EMPTY",
        Verdict::NotASession(_) => "NO SESSION",
        Verdict::Newer { fits: true, .. } | Verdict::UnknownKind { .. } => "newer",
        Verdict::Faulty { .. } => "FAULTY",
    }
}

/// What is said of a file that only a newer program can read.
const NOT_CHECKED: &str = "it could not be checked here";

/// Says in a few words what there is to say of a session's file.
pub fn summary(checked: &Checked) -> String {
    let mut words = vec![match &checked.verdict {
        Verdict::Clean => entries(checked.good.len()),
        Verdict::EmptyStart if checked.never_held() => nothing_in_it(checked),
        Verdict::EmptyStart if checked.is_back() => EMPTIED.to_owned(),
        other => plain(&other.in_full()),
    }];
    words.extend(checked.is_unchecked().then(|| NOT_CHECKED.to_owned()));
    words.extend(checked.held.map(held_words));
    words.extend(checked.missed.map(|missed| missed.to_string()));
    words.extend(checked.elsewhere.as_ref().map(|elsewhere| format!("it {elsewhere}")));
    if checked.id.is_some() {
        words.push(checked.sealed.as_ref().map_or("not ended".into(), sealed_short));
    }
    let aside =
        |(seq, _): &(u64, _)| format!("an end cut off earlier lies set aside (entry {seq})");
    words.extend(checked.healed.iter().map(aside));
    if !checked.clock.is_empty() {
        words.push("clock doubtful".into());
    }
    words.extend(kin_in_short(checked));
    // Where nothing of it can be read there is no other line that says what to do.
    let to_do = what_to_do(checked);
    let told = checked.held.is_some()
        || checked.whole_in.is_some()
        || matches!(checked.empty, Some(Empty::NobodyKnows | Empty::Lost));
    words.extend(to_do.filter(|_| told));
    words.join("; ")
}

/// Says everything about a session's file: labels and what stands beside them.
pub fn told(checked: &Checked) -> Vec<(&'static str, String)> {
    let session = match &checked.id {
        Some(id) => plain(&format!("{} (id {id})", full_name(checked))),
        None if checked.is_unchecked() => "only the newer version can read which it is".into(),
        None => plain(&format!("{}: its first entry cannot be read", full_name(checked))),
    };
    let mut lines = vec![("file", shown(&checked.path)), ("session", session)];
    if let Some(engine) = &checked.engine {
        let hours = checked.hours.map_or(String::new(), |hours| format!(", {hours} h"));
        lines.push(("engine", plain(&format!("{engine}{hours}"))));
    }
    let words = match (&checked.verdict, &checked.sealed) {
        (Verdict::Clean, _) => "every line has its own hash and continues the one before it".into(),
        (Verdict::CutOff(tail), Some(_)) => format!(
            "{} bytes stand behind the last entry that is whole, as after a power cut or of a remark \
             that was never told as saved",
            tail.len
        ),
        (Verdict::EmptyStart, _) if checked.never_held() => nothing_in_it(checked),
        (Verdict::EmptyStart, _) if checked.is_back() => EMPTIED.to_owned(),
        (other, _) => plain(&other.in_full()),
    };
    lines.push((word(checked), words));
    lines.extend(checked.held.map(|held| ("NOT AS IT WAS", held_words(held))));
    lines.extend(what_to_do(checked).map(|words| ("what to do", words)));
    if checked.is_unchecked() {
        let words = "only the newer version of the program can say whether it is whole";
        lines.push(("NOT CHECKED", words.into()));
    }
    let good = match checked.good.as_slice() {
        [] => "none can be read".into(),
        good => format!("{}: {}", good.len(), spans(good)),
    };
    // What stands behind a head of a newer format is not this version's to judge.
    if !matches!(checked.verdict, Verdict::Newer { .. }) {
        lines.push(("good entries", good));
    }
    for (seq, tail) in &checked.healed {
        let words = format!("entry {seq} tells of an end that lies set aside, unchanged");
        let readable =
            if tail.text.is_empty() { String::new() } else { format!(": {}", tail.text) };
        lines.push(("set aside", format!("{words}: {}{readable}", tail.told())));
    }
    if checked.passed_over > 0 {
        let words = "of a newer program, which allows them to be passed over";
        lines.push(("passed over", format!("{} {words}", entries(checked.passed_over))));
    }
    lines.extend(checked.missed.map(|missed| ("NOT AS IT WAS", missed.to_string())));
    let elsewhere = checked.elsewhere.as_ref();
    lines.extend(elsewhere.map(|elsewhere| ("NOT ALL OF IT", format!("it {elsewhere}"))));
    match &checked.sealed {
        Some(sealed) => lines.extend(sealed_lines(checked, sealed)),
        None if checked.id.is_some() => lines.push((
            "end",
            "not ended: whole entries cut off its end would leave no trace in the file".into(),
        )),
        None => {}
    }
    lines.extend(checked.clock.iter().map(|doubt| ("clock doubtful", doubt.to_string())));
    let kin = checked.kin.iter();
    lines.extend(kin.map(|other| ("another file", kin_words(checked, other))));
    lines
}

/// What is said of what a failed start left.
const FAILED_START: &str = "empty start, as on a full disk: no whole entry was ever in it";
/// What is said of a file that was emptied, and all of it is back.
const EMPTIED: &str = "nothing can be read in it";

fn nothing_in_it(checked: &Checked) -> String {
    match checked.empty {
        Some(Empty::NobodyKnows) => format!("{EMPTIED}, and {NOBODY_KNOWS}"),
        _ => FAILED_START.to_owned(),
    }
}

fn held_words(entries: u64) -> String {
    match entries {
        1 => "1 entry was in it when it was last seen here".to_owned(),
        n => format!("{n} entries were in it when it was last seen here"),
    }
}

/// Says the one thing to do about a file, by the gravest that is the matter with it.
fn what_to_do(checked: &Checked) -> Option<String> {
    // The line that says where it goes on has the command.
    if checked.elsewhere.is_some() {
        return None;
    }
    if let Some(path) = &checked.whole_in {
        return Some(if checked.is_back() { sessions::back_words(path) } else { moved_away(path) });
    }
    if checked.held.is_some() {
        return Some(format!("do not begin it anew: {BACK}; this file is kept as it is"));
    }
    if checked.empty == Some(Empty::FailedStart) {
        return Some("nothing: it may be removed".to_owned());
    }
    let missed = checked.missed.is_some();
    Some(match (&checked.verdict, &checked.sealed) {
        (verdict, sealed) if !verdict.may_append() => match &checked.sound_in {
            Some((path, good)) => sound_words(path, *good, sealed.is_some()),
            None => verdict.hint().to_owned(),
        },
        (_, Some(sealed)) if missed || !sealed.wrong.is_empty() => {
            format!("keep the file as it is, and {BACK}")
        }
        (Verdict::CutOff(_), Some(_)) => {
            "nothing: the session has ended, and all up to its end is whole; this stays marked"
                .into()
        }
        (Verdict::CutOff(tail), None) if missed && !tail.is_end() => format!(
            "{BACK}; where there is none, go on with the session: its broken end is set aside, kept as it is"
        ),
        (Verdict::Clean, None) if missed => {
            format!("{BACK}; whoever goes on with the session takes it as it is now")
        }
        (Verdict::Clean, _) => return None,
        (verdict, None) => verdict.hint().to_owned(),
        (_, Some(_)) => return None,
    })
}

/// How a file is brought back as it was.
const BACK: &str = "look for a sound copy of it (cowlside take COPY), or cowlside restore BACKUP";

/// Says of a damaged file that a sound one of its session is here.
fn sound_words(path: &Path, good: usize, ended: bool) -> String {
    let (other, all) = (file_name(path), entries(good));
    if ended {
        format!("keep the file as it is; {other} is sound and has ended, too: that one counts")
    } else {
        format!(
            "keep the file as it is; {other} is sound, with {all}: open the engine to go on with that one"
        )
    }
}

/// Says of a damaged file whose session is whole in another one that it is needed no longer.
fn moved_away(path: &Path) -> String {
    sessions::moved_away(&file_name(path), ("this file", "it"))
}

fn sealed_lines(checked: &Checked, sealed: &Sealed) -> Vec<(&'static str, String)> {
    let how = if sealed.signed {
        format!("signed by {}", plain(&sealed.by))
    } else {
        format!("closed without a signature: {}", plain(&sealed.why))
    };
    let after = match sealed.remarks {
        // What must not stand there is told below.
        0 if !sealed.wrong.is_empty() => String::new(),
        0 => "; nothing was added since".to_string(),
        1 => "; 1 remark was added since".to_string(),
        count => format!("; {count} remarks were added since"),
    };
    let mut lines = vec![("end", format!("entry {}, {how}{after}", sealed.seq))];
    for (seq, kind) in &sealed.wrong {
        lines.push(("AFTER THE END", format!("entry {seq} ({kind}) must not stand there")));
    }
    let worth = if checked.proves() {
        Seal::CODE_IS
    } else {
        "entries before the end are damaged: it proves nothing of them"
    };
    lines.push(("seal code", format!("{}: {worth}", sealed.code)));
    lines
}

fn sealed_short(sealed: &Sealed) -> String {
    let how = if sealed.signed { "signed" } else { "closed unsigned" };
    let wrong = match sealed.wrong.len() {
        0 => String::new(),
        count => format!(", {} after it that must not be there", entries(count)),
    };
    format!("{how}, seal code {}{wrong}", sealed.code)
}

/// Returns the name of its session, with its version where there are several.
pub fn full_name(checked: &Checked) -> String {
    checked.letter.map_or(checked.name.clone(), |letter| format!("{}@{letter}", checked.name))
}

/// Most other files of a session of which each is told in a line that tells of one.
const KIN_MOST: usize = 3;

/// Says how a file stands to the others of its session; of many that say no more than another, which one
/// that is, and how many more there are.
fn kin_in_short(checked: &Checked) -> Vec<String> {
    let tells = |other: &&OtherFile| {
        checked.kin.len() <= KIN_MOST
            || other.letter.is_some()
            || matches!(other.kin, Kin::Forked(_) | Kin::Gapped)
    };
    let (mut told, more): (Vec<&OtherFile>, Vec<&OtherFile>) = checked.kin.iter().partition(tells);
    let furthest = more.iter().rposition(|other| matches!(other.kin, Kin::Shorter));
    told.extend(furthest.and_then(|at| more.get(at)));
    let mut words: Vec<String> = told.iter().map(|other| kin_words(checked, other)).collect();
    match more.len() - usize::from(furthest.is_some()) {
        0 => {}
        1 => words.push("1 more file of it is here".to_owned()),
        n => words.push(format!("{n} more files of it are here")),
    }
    words
}

fn kin_words(checked: &Checked, other: &OtherFile) -> String {
    let version = other.letter.map_or(String::new(), |letter| format!(" (version {letter})"));
    let file = file_name(&other.path) + &version;
    let both = checked.letter.is_some() && other.letter.is_some();
    let copy = if other.damaged { "a damaged copy" } else { "a copy" };
    match other.kin {
        Kin::Same => format!("{file} is an equal copy; they count once"),
        Kin::Longer if both => {
            format!("{file} is {copy}, and has only a part of this; both are shown")
        }
        Kin::Longer => format!("{file} has only a part of this"),
        Kin::Shorter if both => format!("{file} is {copy}, and goes further; both are shown"),
        Kin::Shorter => format!("{file} goes further; that one is shown"),
        Kin::Forked(common) => {
            format!("{file} is another version: they part after {} in common", entries(common))
        }
        Kin::Gapped => format!("{file} is {copy}; each has entries that the other lacks"),
    }
}

fn entries(count: usize) -> String {
    format!("{count} {}", if count == 1 { "entry" } else { "entries" })
}

fn file_name(path: &Path) -> String {
    plain(&path.file_name().unwrap_or_default().to_string_lossy())
}

/// Makes the document of a report.
pub fn json(report: &Report) -> Value {
    let others = report.others.iter().map(|Other { kind, name, wrong, newer, .. }| {
        value!({ "kind": kind, "name": name, "whole": wrong.is_none(), "wrong": wrong, "newer": newer })
    });
    let unreadable = report.unreadable.iter();
    let unreadable =
        unreadable.map(|(path, why)| value!({ "file": path.to_string_lossy(), "wrong": why }));
    value!({
        "whole": report.is_whole() && !report.has_unknown(),
        "gone": report.gone.iter().map(gone_json).collect::<Value>(),
        "sessions": report.sessions.iter().map(session_json).collect::<Value>(),
        "unreadable": unreadable.collect::<Value>(),
        "others": others.collect::<Value>(),
    })
}

fn gone_json(gone: &Gone) -> Value {
    match gone {
        Gone::Session { id, name, engine, entries, .. } => value!({
            "kind": gone.kind(), "id": id, "name": name, "engine": engine, "entries": entries,
            "words": gone.to_string(),
        }),
        Gone::Engine { id, name, sessions, .. } => value!({
            "kind": gone.kind(), "id": id, "name": name, "sessions": sessions,
            "words": gone.to_string(),
        }),
    }
}

fn session_json(checked: &Checked) -> Value {
    let damage = match &checked.verdict {
        Verdict::Damaged(damage) => Some(damage),
        _ => None,
    };
    let cut_off = match &checked.verdict {
        Verdict::CutOff(tail) => {
            Some(value!({ "byte": tail.at, "bytes": tail.len, "readable": tail.text }))
        }
        _ => None,
    };
    let sealed = checked.sealed.as_ref().map(|sealed| {
        value!({
            "entry": sealed.seq, "seal_code": sealed.code, "signed": sealed.signed,
            "remarks_after": sealed.remarks,
            "wrong_after": sealed.wrong.iter().map(|(seq, _)| seq).collect::<Vec<_>>(),
        })
    });
    let kin = checked.kin.iter().map(|OtherFile { path, kin, .. }| {
        let (how, common) = match kin {
            Kin::Same => ("equal", None),
            Kin::Longer => ("part of this", None),
            Kin::Shorter => ("goes further", None),
            Kin::Forked(common) => ("other version", Some(common)),
            Kin::Gapped => ("damaged copy", None),
        };
        value!({ "file": path.to_string_lossy(), "is": how, "entries_in_common": common })
    });
    value!({
        "file": checked.path.to_string_lossy(),
        "session": checked.name,
        "id": checked.id,
        "engine": checked.engine,
        "state": word(checked).to_lowercase(),
        "whole": !checked.is_damaged() && !checked.is_unchecked() && !checked.is_empty(),
        "words": checked.verdict.in_full(),
        "entries": checked.good.len(),
        "missing": damage.map_or(&[][..], |damage| &damage.missing),
        "damaged_at": damage.map(|damage| value!({ "line": damage.line, "byte": damage.at })),
        "cut_off": cut_off,
        "goes_on_in": checked.elsewhere.as_ref().map(|it| it.path.to_string_lossy()),
        "held": checked.held,
        "not_as_last_time": checked.missed.map(|missed| missed.to_string()),
        "sealed": sealed,
        "clock_doubtful": checked.clock.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "other_files": kin.collect::<Value>(),
    })
}
