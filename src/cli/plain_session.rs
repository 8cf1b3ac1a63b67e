//! The guided session as plain prompts: a question, an answer a line. The same conversation and the
//! same state machine as the screens; for screen readers, dumb terminals and scripts.

use super::fail::Fail;
use super::open_session::OpenSession;
use super::way_out;
use super::world::World;
use crate::domain::entry::{Entry, Moment};
use crate::domain::limits::{Past, has_piles};
use crate::domain::plain::{cut_short, plain};
use crate::domain::session::{Due, Input, asleep};
use crate::guide::help::Kit;
use crate::guide::{Answered, Beside, Command, Prompt, Talk, Typed, glance, status};
use crate::report::help_sheet::topic_text;
use crate::report::record;
use crate::store::words::{as_typed, last_word};
use crate::tui::keeping::Keeping;
use crate::tui::signals::{self, Farewell, Ignored};
use std::io::Write;
use std::sync::Arc;

/// What a line means before it is an answer.
enum Said {
    Answer(String),
    Call(Command),
    Back,
    Help,
    Leave,
    /// To another folder, which may be named already.
    SaveElsewhere(Option<String>),
    /// A minus alone at a text that is due: it may be meant as its answer.
    Minus,
}

/// Runs the session until it is closed, left, or the input ends; it stays open on disk meanwhile.
/// Returns the exit code: 1 where something could not be saved, which is then told in words.
pub fn run(world: &mut World<'_>, mut desk: OpenSession<'_>) -> Result<u8, Fail> {
    signals::say_last(desk.minder());
    // Without the handlers all goes on, and an end from outside is silent.
    let ignored = ignored_at_the_start();
    let _ = signals::attend_without_screens(Some(farewell(&desk)), ignored);
    let ran = answer_all(world, &mut desk);
    let _ = signals::attend_without_screens(None, ignored);
    // What is left of a paste would be the shell's.
    world.forget_typed();
    signals::leaving();
    let lost = desk.minder().last_words(&mut |line| drop(writeln!(world.err, "{line}")));
    lost.iter().for_each(|line| drop(writeln!(world.err, "{line}")));
    let code = signals::ended_by().unwrap_or(u8::from(!lost.is_empty()));
    match ran {
        // That nobody reads it any more makes nothing saved.
        Ok(()) | Err(Fail::Gone) => Ok(code),
        Err(fail) => Err(fail.beside(&left_so(&desk, lost.is_empty()))),
    }
}

/// Says how a session is left that a failure ended: what of it is on the disk, and how to go on.
fn left_so(desk: &OpenSession<'_>, all_saved: bool) -> String {
    let saved =
        if all_saved { "Everything that was answered is on the disk" } else { "NOT ALL IS SAVED" };
    match desk.session.state.due() {
        Due::Closed => format!("{saved}. The session is closed"),
        _ => format!("{saved}. {}", way_out::go_on_words(desk)),
    }
}

/// What is said where it is ended from outside.
fn farewell(desk: &OpenSession<'_>) -> Farewell {
    let saved = "Ended from outside. Everything that was said to be saved is on the disk.".into();
    Farewell { saved, go_on: desk.said_here(&way_out::go_on_words(desk)) }
}

/// The signals that whoever started the program had ignored, as long as none was caught yet.
pub fn ignored_at_the_start() -> Ignored {
    Ignored::in_status(&std::fs::read_to_string("/proc/self/status").unwrap_or_default())
}

fn answer_all(world: &mut World<'_>, desk: &mut OpenSession<'_>) -> Result<(), Fail> {
    let bell = world.terminals.out && desk.bell_rings();
    let mut talk = Talk::default();
    let mut last_key = (world.now)();
    let mut asked_to_leave = false;
    let mut at_work = String::new();
    desk.tell_warnings(world);
    if desk.session.kept.last().is_some_and(|kept| matches!(kept.entry, Entry::Back(_))) {
        way_back(world, desk)?;
    }
    while desk.session.state.due() != Due::Closed {
        let now = if talk.is_begun() { talk.beside.now } else { Some(last_key) };
        talk.beside = Arc::new(Beside { now, ..desk.beside.clone() });
        if desk.session.state.due() == Due::Sign {
            let proposal = record::proposal(&desk.session, &desk.beside.earlier);
            Arc::make_mut(&mut talk.beside).proposal = proposal;
        }
        let prompt = talk.prompt(&desk.session);
        if let Some(alert) = desk.minder().saving().alert() {
            let way_out = way_out::offer(is_text(&prompt));
            writeln!(world.out, "\n{}\n  {way_out}", plain(&alert))?;
        }
        // It may go on in another folder by now.
        let _ = signals::attend_without_screens(Some(farewell(desk)), ignored_at_the_start());
        let now_at_work = engine_and_left(desk, &talk.beside);
        if now_at_work != at_work {
            writeln!(world.out, "\n-- {now_at_work} --")?;
            at_work = now_at_work;
        }
        show(world, desk, &talk, &prompt)?;
        let Some(line) = world.line()? else {
            writeln!(world.out, "\n{}", stays_open(desk))?;
            return Ok(());
        };
        // As at every key of the screens.
        desk.minder().try_again(true);
        // Whoever ends the program from outside lets this come to its end first.
        let heard = || hear(world, desk, (&mut talk, &mut last_key), (&line, &prompt), bell);
        match signals::while_working(heard)? {
            Heard::Next => {
                asked_to_leave = false;
                continue;
            }
            Heard::SaveElsewhere(named) => {
                save_elsewhere(world, desk, (&mut talk, &mut last_key), named, bell)?;
                asked_to_leave = false;
                continue;
            }
            Heard::Leave => {}
        }
        // As on the screens: what is not saved is not left by one key.
        let unsaved = desk.minder().saving().alert().filter(|_| !asked_to_leave);
        let Some(unsaved) = unsaved else {
            writeln!(world.out, "{}", stays_open(desk))?;
            return Ok(());
        };
        asked_to_leave = true;
        writeln!(world.out, "! {}. To leave all the same, q once more", plain(&unsaved))?;
    }
    tell_closed(world, desk)
}

/// Says that the session is closed, its seal code, and how it compares.
fn tell_closed(world: &mut World<'_>, desk: &OpenSession<'_>) -> Result<(), Fail> {
    writeln!(world.out, "\nThis session is closed.")?;
    match desk.seal_words() {
        Ok(code) => writeln!(world.out, "{code}")?,
        Err(why) => {
            let name = last_word(&desk.name());
            writeln!(world.out, "{why} Once the disk has it: cowlside verify {name}")?;
        }
    }
    writeln!(world.out, "{}", desk.comparison())?;
    if let Some(words) = desk.still_old_profile() {
        writeln!(world.out, "{words}")?;
    }
    let first = desk.minder().lies_elsewhere();
    let first = first.map(|path| format!("cowlside take {}, then ", as_typed(&path)));
    writeln!(
        world.out,
        "The record: {}cowlside report {}",
        first.unwrap_or_default(),
        last_word(&desk.name())
    )?;
    Ok(())
}

/// Says that the session is left open, where all of it is on the disk.
fn stays_open(desk: &OpenSession<'_>) -> &'static str {
    match desk.minder().saving().alert() {
        None => "The session stays open; go on with it at any time.",
        Some(_) => "The session stays open as far as it is saved.",
    }
}

/// What a line came to.
#[derive(PartialEq, Eq)]
enum Heard {
    Next,
    Leave,
    SaveElsewhere(Option<String>),
}

/// Takes in a line.
fn hear(
    world: &mut World<'_>,
    desk: &mut OpenSession<'_>,
    (talk, last_key): (&mut Talk, &mut Moment),
    (line, prompt): (&str, &Prompt),
    bell: bool,
) -> Result<Heard, Fail> {
    let now = (world.now)();
    let slept = wake(world, desk, talk, (*last_key, now), bell)?;
    *last_key = now;
    if slept {
        return Ok(Heard::Next);
    }
    match said(line, prompt, talk.is_begun()) {
        Said::Minus => {
            if bell {
                write!(world.out, "\x07")?;
            }
            writeln!(world.out, "! nothing was taken: {TAKES_BACK} takes back what was kept last")?;
        }
        Said::Leave => return Ok(Heard::Leave),
        Said::SaveElsewhere(named) => return Ok(Heard::SaveElsewhere(named)),
        Said::Help => {
            let topic = talk.topic(&desk.session);
            let kit = Kit::of(&desk.session.state);
            help(world, &topic_text(topic, Some(kit)), prompt)?;
        }
        Said::Back => *talk = Talk::default(),
        Said::Call(Command::TakeBack) if talk.is_begun() => talk.go_back(),
        Said::Call(command) => {
            let answered = Talk::call(&desk.session, command, Arc::clone(&talk.beside));
            *talk = take(world, desk, answered, bell)?;
        }
        Said::Answer(typed) if has_piles(&typed) => {
            writeln!(world.out, "! nothing was taken: {}", Past::Marks.words())?;
        }
        Said::Answer(typed) if plain(&typed) != typed => {
            writeln!(world.out, "! nothing was taken: {HIDDEN}")?;
        }
        Said::Answer(typed) => {
            let answered = std::mem::take(talk).answer(&desk.session, &typed);
            *talk = take(world, desk, answered, bell)?;
        }
    }
    Ok(Heard::Next)
}

/// Asks for a folder and saves the session there, until that is done or given up; the folder is a line as
/// any other.
fn save_elsewhere(
    world: &mut World<'_>,
    desk: &mut OpenSession<'_>,
    (talk, last_key): (&mut Talk, &mut Moment),
    named: Option<String>,
    bell: bool,
) -> Result<(), Fail> {
    if let Some(folder) = named.filter(|_| desk.minder().saving().alert().is_some())
        && way_out::save_in(world, desk, &folder)?
    {
        return Ok(());
    }
    while let Some(folder) = way_out::ask_folder(world, desk)? {
        let now = (world.now)();
        let slept = signals::while_working(|| wake(world, desk, talk, (*last_key, now), bell))?;
        let done = slept || way_out::save_in(world, desk, &folder)?;
        *last_key = (world.now)();
        if done {
            break;
        }
    }
    Ok(())
}

/// After a long pause the line that comes only wakes: it is no answer.
fn wake(
    world: &mut World<'_>,
    desk: &mut OpenSession<'_>,
    talk: &mut Talk,
    (last_key, now): (Moment, Moment),
    bell: bool,
) -> Result<bool, Fail> {
    let Some(back) = asleep(last_key, now) else { return Ok(false) };
    if let Ok(entries) = desk.session.decide(&Input::Back(back)) {
        desk.keep(world, &entries)?;
    }
    *talk = Talk::default();
    if bell {
        write!(world.out, "\x07")?;
    }
    writeln!(world.out, "\nA long pause: that line was not taken as an answer.")?;
    way_back(world, desk)?;
    Ok(true)
}

/// Says what is open, what was done last and what to prove.
fn way_back(world: &mut World<'_>, desk: &OpenSession<'_>) -> Result<(), Fail> {
    for line in status::way_back(&desk.session, &desk.beside.earlier) {
        writeln!(world.out, "{line}")?;
    }
    Ok(())
}

/// Carries out what an answer came to and returns how the talk goes on.
fn take(
    world: &mut World<'_>,
    desk: &mut OpenSession<'_>,
    answered: Answered,
    bell: bool,
) -> Result<Talk, Fail> {
    let ring = |world: &mut World<'_>| if bell { write!(world.out, "\x07") } else { Ok(()) };
    let entries = match answered {
        Answered::Next(talk) => return Ok(talk),
        // Offered once a session is closed, when no line is read any more.
        Answered::Back | Answered::GiveProfile(_) => return Ok(Talk::default()),
        Answered::Read(talk, sign) => {
            let signed =
                record::as_signed(&desk.session, &talk.beside.proposal, *sign, (world.now)());
            writeln!(world.out, "\n{}", record::before_signing(&signed, &desk.beside.earlier))?;
            return Ok(talk);
        }
        Answered::Refused(talk, words) => {
            ring(world)?;
            writeln!(world.out, "! {}", plain(&words))?;
            return Ok(talk);
        }
        Answered::Keep(entries) => Ok((entries, true)),
        Answered::ReplaceProfile { name, source, why } => {
            desk.replace_profile(&name, &source, why).map(|entries| (entries, false))
        }
    };
    // What cannot be kept now, such as a signature over what is not saved, ends nothing.
    let kept = entries.and_then(|(entries, told)| {
        let kept = desk.keep(world, &entries).map_err(|fail| fail.words());
        kept.map(|()| told.then(|| desk.kept_words(&entries)))
    });
    match kept {
        Ok(words) => {
            let words = words.map(|words| desk.minder().saving().said_of(&words));
            if let Some(words) = words.filter(|words| !words.is_empty()) {
                writeln!(world.out, "{words}")?;
            }
            if matches!(desk.session.state.due(), Due::Again(..)) {
                ring(world)?;
            }
        }
        Err(words) => {
            ring(world)?;
            writeln!(world.out, "! {}", plain(&words))?;
        }
    }
    Ok(Talk::default())
}

fn said(line: &str, prompt: &Prompt, begun: bool) -> Said {
    let typed = line.trim();
    let is_text = is_text(prompt);
    if is_text && !begun && typed == "-" {
        return Said::Minus;
    }
    // In a text only a colon makes a letter a command.
    let word = match typed.strip_prefix(':') {
        Some(word) => word.trim(),
        None if is_text && !["*", "-"].contains(&typed) => return Said::Answer(typed.into()),
        None => typed,
    };
    match word {
        "*" => Said::Call(Command::List(0)),
        "-" | "u" => Said::Call(Command::TakeBack),
        "s" => Said::Call(Command::SeeOverlap),
        "n" => Said::Call(Command::Remark),
        "k" => Said::Call(Command::SkipValve),
        "a" => Said::Call(Command::Away),
        "w" => Said::Call(Command::Who),
        "l" => Said::Call(Command::Correct),
        "f" => Said::Call(Command::ByLeaf),
        "b" => Said::Back,
        "q" => Said::Leave,
        "?" => Said::Help,
        _ => match word.strip_prefix(way_out::WORD) {
            Some("") => Said::SaveElsewhere(None),
            Some(folder) if folder.starts_with(' ') => {
                Said::SaveElsewhere(Some(folder.trim().to_owned()))
            }
            _ => Said::Answer(typed.into()),
        },
    }
}

fn is_text(prompt: &Prompt) -> bool {
    prompt.field.typed == Some(Typed::Text)
}

/// Prints the help on what is asked, then the keys.
pub fn help(world: &mut World<'_>, topic: &str, prompt: &Prompt) -> Result<(), Fail> {
    writeln!(world.out, "\n{topic}")?;
    for line in &prompt.more {
        writeln!(world.out, "{}", plain(line))?;
    }
    writeln!(
        world.out,
        "An answer a line. A digit picks from a list; Enter alone takes what stands behind \"Enter\".\n\
         *  everything else that can be done now     -  back a question, then take back\n\
         s  I see a cylinder at overlap     n  remark     k  pass over a valve\n\
         a  called away     w  somebody takes over     l  correct a reading     q  leave\n\
         f  gauge leaf by leaf     b  back to what is asked\n\
         save  the session to another folder, where it is not saved\n\
         In a text put a colon before: :q :u :?"
    )?;
    Ok(())
}

fn show(
    world: &mut World<'_>,
    desk: &OpenSession<'_>,
    talk: &Talk,
    prompt: &Prompt,
) -> Result<(), Fail> {
    let undo = match talk.is_begun() {
        true => Some(BACK.to_owned()),
        false => glance::undo(&desk.session).map(|undo| {
            let key = if is_text(prompt) { TAKES_BACK } else { "-" };
            format!("{key}  takes back: {undo}")
        }),
    };
    show_prompt(world, &open_lines(desk), prompt, undo.as_deref())
}

/// Which engine it is, and how much is left of its round: told again where it has changed.
fn engine_and_left(desk: &OpenSession<'_>, beside: &Beside) -> String {
    let begin = &desk.session.state.begin;
    let engine = begin.engine.as_deref().map_or_else(|| "engine".into(), plain);
    let hours = begin.hours.map(|hours| format!("{hours} h"));
    let told = [Some(engine), hours, glance::left(&desk.session, beside)];
    told.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// What is open, as it stands above each question: a long remark is cut.
pub(super) fn open_lines(desk: &OpenSession<'_>) -> Vec<String> {
    let all_of_it = format!("cowlside report {}", last_word(&desk.name()));
    let open = status::open_lines(&desk.session);
    open.iter().map(|line| cut_short(line, &all_of_it)).collect()
}

/// What a minus does where something is begun.
pub const BACK: &str = "-  back a question";
/// What a text may not hold that is printed and read again for years.
const HIDDEN: &str = "it holds a sign that cannot be seen, or one that acts on a terminal";
/// What takes back at a text that is due, where a minus may be meant as the answer.
const TAKES_BACK: &str = ":u";

/// Prints a question with everything that belongs beside it, and the key that undoes; the answer is typed
/// behind it.
pub fn show_prompt(
    world: &mut World<'_>,
    open: &[String],
    prompt: &Prompt,
    undo: Option<&str>,
) -> Result<(), Fail> {
    world.before_asking()?;
    let out = &mut world.out;
    writeln!(out)?;
    if !open.is_empty() {
        writeln!(out, "OPEN: {}", plain(&open.join(" · ")))?;
    }
    writeln!(out, "[{}] {}", plain(&prompt.place), plain(&prompt.title))?;
    if let Some(big) = prompt.big.as_ref().filter(|big| !big.gives_way) {
        let caption = match big.caption.as_str() {
            "" => String::new(),
            caption => format!(" ({})", plain(caption)),
        };
        writeln!(out, "  {}{caption}", plain(&big.text))?;
    }
    for line in &prompt.lines {
        writeln!(out, "  {}", plain(line))?;
    }
    for choice in &prompt.field.choices {
        writeln!(out, "    {}  {}", choice.digit, plain(&choice.label))?;
    }
    if let Some(enter) = &prompt.field.enter {
        writeln!(out, "    Enter  {}", plain(enter))?;
    }
    if let Some(undo) = undo {
        writeln!(out, "    {}", plain(undo))?;
    }
    write!(out, "{} ", plain(&prompt.ask))?;
    out.flush()?;
    Ok(())
}
