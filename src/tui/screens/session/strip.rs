//! The engine as a strip at the foot, where no larger drawing fits: only as far as it pushes out nothing
//! but lines of how, and of these never the first.

use super::fit::{Fit, fit_within, set_rows};
use super::more::{SIGN, in_one_row, is_routine, phrase};
use super::order::{KEPT, KEPT_BUSY, KEPT_LOW, KEPT_OF_PAGE, Room};
use super::whole::{ends, page_width};
use super::{Line, SessionView};
use crate::guide::Typed;
use crate::tui::keeping::SAVED;
use crate::tui::paging::Shown;
use crate::tui::reading::NOT_COUNTED;
use crate::tui::screens::frame::{Around, Note, Tone};
use crate::tui::widgets::engine_strip::Strip;

/// Finds what is shown, with a strip where there is room for one.
pub(super) fn with_strip(view: &SessionView, room: Room) -> Fit {
    let (low, width) = (room.is_low(), room.width);
    let [brief, silent] = quieter(view, room);
    let whole = fit_within(view, room);
    let short = brief.as_ref().map(|view| (view, fit_within(view, room)));
    let better = |(brief, short): &(&SessionView, Fit)| {
        says_the_note(brief, short, width) && shows_more(view, short, &whole)
    };
    let (said, fit) = match short.filter(better) {
        Some(short) => short,
        None => (view, whole),
    };
    let Some(engine) = said.engine.as_ref().filter(|_| fit.detail.is_none()) else { return fit };
    let named = Strip::new(engine, width);
    let fewer = |strip: &Strip| named.as_ref().is_none_or(|named| strip.rows() < named.rows());
    let unnamed = Strip::unnamed(engine, width).filter(fewer);
    let hushed = (low && view.around.note.is_some()).then(|| hushed(view)).flatten();
    // In a row of its own, or not at all: a note that is cut for the strip is there.
    let brief = brief.as_ref().map(|brief| (brief, true));
    let others = [Some(said), silent.as_ref(), hushed.as_ref()].map(|view| Some((view?, false)));
    let [whole, silent, hushed] = others;
    let ways = [whole, brief, silent, hushed];
    let busy = !view.entry.is_empty() || fit.verdict.is_some();
    let kept: &[usize] = match (low, busy && view.prompt.field.whole == 0) {
        (false, _) => &KEPT,
        (true, false) => &KEPT_LOW,
        (true, true) => &KEPT_BUSY,
    };
    // A page has few lines as it is.
    let fewest = fit.shown.is_some() || low && kept == KEPT_BUSY;
    let strips = if fewest { [&unnamed, &named] } else { [&named, &unnamed] };
    let with = kept.iter().find_map(|kept| {
        ways.iter().flatten().find_map(|(view, cut)| {
            let least = Least { kept: *kept, low, large: *kept == 0 && !busy, said: *cut };
            let mut strips = strips.into_iter().flatten();
            strips.find_map(|strip| beside(view, &fit, strip, room, least))
        })
    });
    with.unwrap_or(fit)
}

/// What is left at least beside a strip.
#[derive(Clone, Copy)]
struct Least {
    /// Lines of how.
    kept: usize,
    low: bool,
    /// Something large, whatever was there before.
    large: bool,
    /// What was said last, whatever was there before.
    said: bool,
}

/// What is shown with this strip, where it costs no more than that.
fn beside(view: &SessionView, fit: &Fit, strip: &Strip, room: Room, least: Least) -> Option<Fit> {
    let with = fit_within(view, room.above(strip.rows())?);
    let says = |fit: &Fit| says_the_note(view, fit, room.width);
    // What is more than that something was kept loses none of its lines.
    let told = |fit: &Fit| if is_routine(view) { 0 } else { note_lines(view, fit) };
    let all = view.around.note.as_ref().map_or(0, |note| note.lines(room.width).len());
    let splits = |fit: &Fit| splits(view, fit, page_width(view, room));
    let heard = all > 0 || view.around.note.is_none() || with.verdict.is_some();
    let costs_no_more = heard
        && costs_nothing_else(view, (fit, &with), least)
        && (says(&with) || !least.said && !says(fit))
        && told(&with) >= told(fit).min(all)
        && (!splits(&with) || splits(fit));
    costs_no_more.then(|| Fit { strip: Some(strip.clone()), ..with })
}

/// The same with less of its note, in a low window: in one row, and not at all where it is said elsewhere too.
pub(super) fn quieter(view: &SessionView, room: Room) -> [Option<SessionView>; 2] {
    if !room.is_low() {
        return [None, None];
    }
    let brief = briefly(view, room.width);
    // A longer one stays, in a row, where the crank is turned or something is measured at a stop.
    let answered = !view.prompt.field.choices.is_empty() || view.engine.is_none();
    let said = brief.as_ref().filter(|_| answered).unwrap_or(view);
    let again = says_again(said, room.width);
    [brief, again.then(|| without_note(view))]
}

fn without_note(view: &SessionView) -> SessionView {
    SessionView { around: Around { note: None, ..view.around.clone() }, ..view.clone() }
}

/// The same with its note in one row; `None` where it has one, or is not cut.
fn briefly(view: &SessionView, width: u16) -> Option<SessionView> {
    let note = view.around.note.as_ref()?;
    let of = |note: Note| {
        let around = Around { note: Some(note), ..view.around.clone() };
        SessionView { around, ..view.clone() }
    };
    let with = |text: &str| of(Note { text: text.into(), ..note.clone() });
    // That a key did not count stands alone behind what is said again by the question.
    let behind = note.text.rsplit_once("; ").filter(|(_, last)| last.ends_with(NOT_COUNTED));
    match behind.filter(|(kept, _)| says_again(&with(kept), width)) {
        Some((_, last)) => Some(with(&phrase(last, width.saturating_sub(SIGN)))),
        None => in_one_row(note, width).map(of),
    }
}

/// The same without the small words of a verdict that is large: the key that takes it back names its valve and
/// its figure.
fn hushed(view: &SessionView) -> Option<SessionView> {
    let note = view.around.note.as_ref()?;
    let kept = note.tone == Tone::Done && note.text.starts_with(SAVED) && !note.large.is_empty();
    let hushed = Note { text: String::new(), ..note.clone() };
    let around = Around { note: Some(hushed), ..view.around.clone() };
    kept.then(|| SessionView { around, ..view.clone() })
}

/// Tells whether a shorter note leaves room for something large, or for all that has to be read at once.
fn shows_more(view: &SessionView, short: &Fit, whole: &Fit) -> bool {
    let how = |fit: &Fit| fit.parts[2].len();
    // The way back stands before anything large.
    if !view.prompt.told.is_empty() && how(short) != how(whole) {
        return how(short) > how(whole);
    }
    if short.is_large() != whole.is_large() {
        return short.is_large();
    }
    is_whole(short) && !is_whole(whole) || is_routine(view) && how(short) > how(whole)
}

/// Tells whether a page ends in the midst of a line of how.
fn splits(view: &SessionView, fit: &Fit, width: u16) -> bool {
    let ends = |shown: Shown| shown.end < shown.all && !ends(view, width).contains(&shown.end);
    fit.shown.is_some_and(ends)
}

/// Tells whether what was said last is said elsewhere too: that something was kept; or the question is of
/// the valve that was read just now, and names its verdict.
fn says_again(view: &SessionView, width: u16) -> bool {
    // A verdict that is not asked about stays.
    let routine = |note: &&Note| note.tone == Tone::Done && note.large.is_empty();
    let Some(note) = view.around.note.as_ref().filter(routine) else { return false };
    let prompt = &view.prompt;
    // That something was kept, in a few words, is told by the key that takes it back too; before a reading its
    // valve is wanted more than all of the words.
    if is_routine(view) {
        return note.lines(width).len() == 1 || prompt.field.typed == Some(Typed::Reading);
    }
    let large = prompt.big.iter().flat_map(|big| big.longer.iter().chain([&big.text]));
    let asked = large.fold(prompt.title.clone(), |asked, words| asked + " " + words).to_lowercase();
    let words = note.text.strip_prefix(SAVED).and_then(|words| words.split_once(" · "));
    words.is_some_and(|(reading, verdict)| {
        // A cylinder and a kind name it, whatever was read.
        let valve: Vec<&str> = reading.split_whitespace().take(2).collect();
        asked.contains(&verdict.to_lowercase()) && asked.contains(&valve.join(" "))
    })
}

/// Tells whether what was said last is there, from its first line on.
pub(super) fn says_the_note(view: &SessionView, fit: &Fit, width: u16) -> bool {
    let Some(note) = &view.around.note else { return true };
    let Some(first) = note.lines(width).into_iter().next() else { return true };
    // How many lines have no room may be told behind it.
    let says = |line: &Line| match line {
        Line::Words(words, role) => *role == note.role() && words.starts_with(&first),
        Line::Choice { .. } | Line::Answers(_) | Line::Asked(..) | Line::Entry => false,
    };
    fit.parts[3].iter().any(says)
}

/// Counts the lines of what was said last.
fn note_lines(view: &SessionView, fit: &Fit) -> usize {
    let Some(note) = &view.around.note else { return 0 };
    let of_note = |line: &&Line| matches!(line, Line::Words(_, role) if *role == note.role());
    fit.parts[3].iter().filter(of_note).count()
}

fn costs_nothing_else(view: &SessionView, (without, with): (&Fit, &Fit), least: Least) -> bool {
    let low = least.low;
    let [title, caption, how, answer] = without.parts.each_ref().map(Vec::len);
    let [its_title, its_caption, its_how, its_answer] = with.parts.each_ref().map(Vec::len);
    let kept = how.min(least.kept);
    // Beside the shortest of the large words the title has more lines.
    let is_large = match low {
        true => with.is_large() || !without.is_large() && (!least.large || how == 0),
        false => {
            without.big.is_some() == with.big.is_some()
                && without.cap.is_some() == with.cap.is_some()
        }
    };
    let of_title = view.prompt.big.as_ref().is_some_and(|big| big.for_title);
    let gauged = view.prompt.field.typed == Some(Typed::Reading) && view.entry.is_empty();
    let next = view.prompt.big.as_ref().is_some_and(|big| !big.then.is_empty());
    // A large valve that is gauged, or stands beside a large verdict, says what the title says.
    let for_title = with.verdict.is_some() || low && !next && (gauged || of_title);
    is_large
        && without.then.is_some() == with.then.is_some()
        && set_rows(&without.verdict) == set_rows(&with.verdict)
        && (its_title == title
            || low && its_title > title && with.cap.is_some()
            || its_title == 0 && for_title && with.big.is_some())
        // Answers may stand side by side.
        && its_answer <= answer
        && its_how + its_caption >= (kept + caption).min(how + caption)
        && with.detail.is_none()
        && (with.shown == without.shown
            || [with, without].into_iter().all(is_whole)
            || [with, without].into_iter().all(is_page))
}

/// Tells whether a page of lines that have to be read is shown, and not too little of them.
fn is_page(fit: &Fit) -> bool {
    fit.shown.is_some_and(|shown| {
        let lines = shown.end - shown.first;
        !is_whole(fit) && (lines >= KEPT_OF_PAGE || lines > 0 && shown.end >= shown.all)
    })
}

/// Tells whether all lines that have to be read are shown at once, if there are such.
fn is_whole(fit: &Fit) -> bool {
    fit.shown.is_none_or(|shown| shown.first == 0 && shown.end >= shown.all)
}
