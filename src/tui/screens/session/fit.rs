//! What is shown of a question at which size, so that everything is seen at once.
//!
//! Where room is short the picture of the stop under the drawing goes first, then the drawing loses
//! detail, then choices move side by side, then the large words lose size, then the drawing goes,
//! then lines of how; the question, the entry and the keys never go. A roomy window keeps the
//! picture before the drawing's detail.

use super::answers::CHOSEN;
use super::beside::{Aside, Under, besides, column, ring, talls};
use super::compact::{LOW, compact};
use super::cut::beside_a_ring;
use super::more::{lines_of, words_and_next};
use super::strip::says_the_note;
use super::typed::{beside_words, smallest, words_and_typed};
use super::whole::read_whole;
use super::{GAP, Line, SessionView};
use crate::guide::{Choice, Prompt, Typed};
use crate::tui::paging::Shown;
use crate::tui::screens::frame::Tone;
use crate::tui::theme::Role;
use crate::tui::widgets::digits::{self, BETWEEN, Ink, Set, Size};
use crate::tui::widgets::engine::Detail;
use crate::tui::widgets::engine_strip::Strip;
use crate::tui::widgets::picture::Extent;
use crate::tui::widgets::text;

/// How choices are set.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Spread {
    Lines,
    SideBySide,
}

/// Columns beyond which lines of text are hard to read.
pub(super) const READABLE: u16 = 80;

/// The same of lines that stand in a row each.
const ROW: u16 = 120;

/// Sizes chosen for a window.
pub(super) struct Fit {
    /// Columns at the right that the drawing takes, with the gap before it.
    pub side: u16,
    /// How much of the engine is drawn.
    pub detail: Option<Detail>,
    /// Columns that it takes, at the right, and rows that it is offered.
    pub drawn: (u16, u16),
    /// Beside what it is drawn.
    pub place: Place,
    /// How much of the picture is shown, and in which row under the drawing it begins.
    pub picture: Option<(Extent, u16)>,
    /// The large words.
    pub big: Option<Set>,
    /// The shortest of them beside title and lines, and the columns that it takes there.
    pub cap: Option<(Set, u16)>,
    /// How many of the lines of how stand beside it, where the others go round it; `None` where all do.
    pub beside: Option<usize>,
    /// Whether the title says them, where they are not large.
    pub in_title: bool,
    /// What is to be done next, under the large words.
    pub then: Option<Set>,
    /// The size of what is typed beside the large words; `None` where it takes their place.
    pub typed: Option<Size>,
    /// Rows that large letters have at least.
    pub least: u16,
    /// The verdict on what was read just now.
    pub verdict: Option<Set>,
    /// The parts in their order; the large words come after the first.
    pub parts: [Vec<Line>; 4],
    /// Rows left over, for air between the parts.
    pub spare: u16,
    /// The engine as a strip at the foot.
    pub strip: Option<Strip>,
    /// Which of the lines of how are shown, where all of them have to be read.
    pub shown: Option<Shown>,
}

/// Beside what the engine is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// Beside everything.
    Whole,
    /// Beside title, large words and caption, which take so many rows; the rest has the whole width.
    Head {
        /// Rows.
        rows: u16,
    },
}

/// How many rows so many lines take.
pub(super) fn rows(lines: usize) -> u16 {
    u16::try_from(lines).unwrap_or(u16::MAX)
}

/// Large words take at least 12 % of the window's height, and no fewer than three rows.
pub(super) fn least_rows(window: u16) -> u16 {
    (window.saturating_mul(12)).div_ceil(100).max(3)
}

/// Finds the sizes at which everything is seen at once; what was said before has its room only where
/// there is room for everything.
pub(super) fn fit_within(view: &SessionView, size: (u16, u16), window: u16) -> Fit {
    if let Some(fit) = seen_at_once(view, size, window) {
        return fit;
    }
    let view = SessionView { was_said: None, ..view.clone() };
    let once = seen_at_once(&view, size, window);
    once.or_else(|| in_short(&view, size, window)).unwrap_or_else(|| {
        match view.prompt.field.whole {
            0 => compact(&view, size, window),
            _ => beside_a_refusal(&view, size, window)
                .unwrap_or_else(|| read_whole(&view, size, window)),
        }
    })
}

/// What has to be read stood there whole before the refusal: where both have no room, it is the refusal
/// that is read now.
fn beside_a_refusal(view: &SessionView, size: (u16, u16), window: u16) -> Option<Fit> {
    view.around.note.as_ref().filter(|note| note.tone == Tone::Warning)?;
    let whole = read_whole(view, size, window);
    let all = |shown: &Shown| shown.first == 0 && shown.end == shown.all;
    let shown = whole.shown.filter(|shown| all(shown) && !says_the_note(view, &whole, size.0))?;
    let told = compact(view, size, window);
    let says = says_the_note(view, &told, size.0);
    says.then_some(Fit { shown: Some(shown), ..told })
}

/// Where that is so with the shortest of the large words, nothing else gives way.
fn in_short(view: &SessionView, size: (u16, u16), window: u16) -> Option<Fit> {
    let big = view.prompt.big.as_ref().filter(|big| !big.short.is_empty() && !big.gives_way)?;
    let mut big = big.clone();
    (big.text, big.longer) = (big.short.clone(), Vec::new());
    let prompt = Prompt { big: Some(big), ..view.prompt.clone() };
    seen_at_once(&SessionView { prompt, ..view.clone() }, size, window)
}

/// Returns the view without large words that give way, where there is no room for them beside everything
/// else: the drawing too, and answers each in a line of its own.
pub(super) fn without_spare_words(
    view: &SessionView,
    size: (u16, u16),
    window: u16,
) -> Option<SessionView> {
    view.prompt.big.as_ref().filter(|big| big.gives_way)?;
    let prompt = Prompt { big: None, ..view.prompt.clone() };
    let without = SessionView { prompt, ..view.clone() };
    let Some(with) = seen_at_once(view, size, window) else {
        return (!large_at_no_cost(view, &without, size, window)).then_some(without);
    };
    let costs = |bare: Fit| {
        with.detail.is_none() && bare.detail.is_some() || with.parts[3].len() < bare.parts[3].len()
    };
    seen_at_once(&without, size, window).is_some_and(costs).then_some(without)
}

/// Tells whether words that give way are large in a low window and push out no line of how for that.
fn large_at_no_cost(
    view: &SessionView,
    without: &SessionView,
    size: (u16, u16),
    window: u16,
) -> bool {
    if window >= LOW {
        return false;
    }
    let [with, bare] = [view, without].map(|view| fit_within(view, size, window));
    with.big.is_some() && with.parts[2].len() >= bare.parts[2].len() && with.shown == bare.shown
}

fn seen_at_once(view: &SessionView, size: (u16, u16), window: u16) -> Option<Fit> {
    let least = least_rows(window);
    let mut sizes: Vec<u16> = [7, 5, 4, 3].into_iter().filter(|rows| *rows > least).collect();
    sizes.push(least);
    let spreads = [Spread::Lines, Spread::SideBySide];
    let mut ways: Vec<(u16, Spread)> =
        sizes.iter().flat_map(|least| spreads.map(|spread| (*least, spread))).collect();
    // Words that give way are smaller before answers move.
    if view.prompt.big.as_ref().is_some_and(|big| big.gives_way) {
        ways.sort_by_key(|(_, spread)| *spread == Spread::SideBySide);
    }
    let mut besides = besides(view, size);
    if let Some(ring) = ring(view, size) {
        // It is as large beside every question, with a picture under it or without; lines of how give way.
        let same = |beside: &Aside| (beside.detail, beside.tall) == (ring.detail, ring.tall);
        let (its, others) = besides.into_iter().partition::<Vec<_>, _>(same);
        let each = ways.iter().flat_map(|way| its.iter().map(move |beside| (*way, beside)));
        let whole = each.into_iter().find_map(|((least, spread), beside)| {
            try_fit(view, size, beside, spread, (least, window))
        });
        let cut = || beside_a_ring(view, size, &ring, (least, window));
        if let Some(fit) = whole.or_else(cut) {
            return Some(fit);
        }
        besides = others;
    }
    let (drawn, bare): (Vec<_>, Vec<_>) =
        besides.iter().partition(|beside| beside.detail.is_some());
    for group in [drawn, bare] {
        for (least, spread) in &ways {
            for beside in &group {
                let fit = try_fit(view, size, beside, *spread, (*least, window));
                if fit.is_some() {
                    return fit;
                }
            }
        }
    }
    None
}

fn try_fit(
    view: &SessionView,
    (width, height): (u16, u16),
    beside: &Aside,
    spread: Spread,
    (least, window): (u16, u16),
) -> Option<Fit> {
    if beside.head_only {
        return try_head(view, (width, height), beside.detail?, spread, (least, window));
    }
    let (side, drawn, picture) = match beside.detail {
        None => (0, (0, 0), None),
        Some(detail) => {
            let of = (beside.extent, beside.tall);
            let (columns, drawn, picture) = column(view, (width, height), detail, of)?;
            (columns + GAP, drawn, picture)
        }
    };
    let wide = width.saturating_sub(side);
    let verdict = verdict(view, wide, window);
    let parts = parts(view, wide, wide, spread);
    let laid = Laid { side, drawn, picture, detail: beside.detail, verdict, parts };
    set_beside(view, (wide, height), laid, (least, window))
}

/// A question with what stands beside it, before its large words are set.
pub(super) struct Laid {
    pub side: u16,
    pub drawn: (u16, u16),
    pub picture: Under,
    pub detail: Option<Detail>,
    pub verdict: Option<Set>,
    pub parts: [Vec<Line>; 4],
}

/// Sets the large words in the rows that the rest leaves; `None` where these are too few.
pub(super) fn set_beside(
    view: &SessionView,
    (wide, height): (u16, u16),
    laid: Laid,
    (least, window): (u16, u16),
) -> Option<Fit> {
    let Laid { side, drawn, picture, detail, verdict, parts } = laid;
    let taken = parts.iter().map(|part| rows(part.len())).sum::<u16>() + set_rows(&verdict);
    let free = height.checked_sub(taken)?;
    let next = view.prompt.big.as_ref().filter(|big| !big.then.is_empty());
    let (big, then, typed) = match (view.words(), next) {
        (_, Some(big)) => {
            let two =
                |wide, typed| Some((words_and_next(big, (wide, free), view.ink, least)?, typed));
            let beside = beside_words(view, wide, window);
            let beside = beside.and_then(|(wide, typed)| two(wide, typed));
            let ((big, then), typed) = beside.or_else(|| two(wide, None))?;
            (Some(big), Some(then), typed)
        }
        (Some(_), None) => {
            let set = |words| words_and_typed(view, words, (wide, free), (least, window));
            let (big, typed) = view.all_words().find_map(set)?;
            (Some(big), None, typed)
        }
        (None, None) => (None, None, None),
    };
    let spare = free - set_rows(&big) - then.as_ref().map_or(0, |set| set.rows() + BETWEEN);
    let place = Place::Whole;
    Some(Fit {
        side,
        detail,
        drawn,
        place,
        picture,
        big,
        cap: None,
        beside: None,
        in_title: false,
        then,
        typed,
        least: least_rows(window),
        verdict,
        parts,
        spare,
        strip: None,
        shown: None,
    })
}

/// The drawing beside title, large words and caption only.
fn try_head(
    view: &SessionView,
    (width, height): (u16, u16),
    detail: Detail,
    spread: Spread,
    (least, window): (u16, u16),
) -> Option<Fit> {
    let verdict = verdict(view, width, window);
    let answer = parts(view, width, width, spread);
    let body = rows(answer[2].len() + answer[3].len()) + set_rows(&verdict);
    let room = height.checked_sub(body)?;
    let engine = view.engine.as_ref()?;
    // The large words have at least a third of the width.
    let sizes = talls(engine, room, false).into_iter();
    let of = |tall| Some((engine.size(detail, width * 2 / 3 - GAP, tall)?, tall));
    let ((columns, high), tall) = sizes.filter_map(of).next()?;
    let (side, drawn) = (columns + GAP, (columns, tall));
    let parts = parts(view, width - side, width, spread);
    let said = rows(parts[0].len() + parts[1].len());
    let alone = view.prompt.big.as_ref().is_none_or(|big| big.then.is_empty());
    let room_for = (width - side, room.checked_sub(said)?);
    let set = |words| words_and_typed(view, words, room_for, (least, window));
    let (big, typed) = view.all_words().filter(|_| alone).find_map(set)?;
    let taken = (said + big.rows()).max(high);
    let (big, then, picture, detail) = (Some(big), None, None, Some(detail));
    let place = Place::Head { rows: taken };
    Some(Fit {
        side,
        detail,
        drawn,
        place,
        picture,
        big,
        cap: None,
        beside: None,
        in_title: false,
        then,
        typed,
        least: least_rows(window),
        verdict,
        parts,
        spare: room - taken,
        strip: None,
        shown: None,
    })
}

pub(super) fn set_rows(set: &Option<Set>) -> u16 {
    set.as_ref().map_or(0, Set::rows)
}

/// Large words on one line where they are large enough so, else on several.
pub(super) fn large(words: &str, (columns, rows): (u16, u16), ink: Ink, least: u16) -> Option<Set> {
    let one = Size::largest(words, columns, rows, ink)
        .map(|size| Set { size, lines: vec![words.to_owned()] });
    let enough = |set: &Set| set.size.rows() >= least;
    one.filter(enough).or_else(|| digits::set(words, columns, rows, ink).filter(enough))
}

/// The verdict in the smallest letters that are large enough: it stands beside the next question.
pub(super) fn verdict(view: &SessionView, width: u16, window: u16) -> Option<Set> {
    let words = view.around.note.iter().chain(&view.was_said).flat_map(|note| &note.large);
    words.into_iter().find_map(|words| {
        let size = smallest(words, width, view.ink, least_rows(window))?;
        Some(Set { size, lines: vec![words.clone()] })
    })
}

pub(super) fn parts(view: &SessionView, head: u16, body: u16, spread: Spread) -> [Vec<Line>; 4] {
    let prompt = &view.prompt;
    let (head, wide) = (head.min(READABLE), body.min(READABLE));
    let caption = prompt.big.as_ref().map_or("", |big| big.caption.as_str());
    let told = prompt.lines.iter().enumerate().map(|(at, line)| {
        // The way back is no running text: a row each is read sooner than two.
        let wide = if prompt.is_told_back(at) { body.min(ROW) } else { wide };
        lines_of(line, wide, Role::Text)
    });
    let lines = told.flatten().collect();
    let mut answer = asked(view, wide, spread);
    answer.extend(feedback(view, wide));
    [
        lines_of(&prompt.title, head, Role::Title),
        lines_of(caption, head, Role::Title),
        lines,
        answer,
    ]
}

/// The question, what may be answered, and the entry.
pub(super) fn asked(view: &SessionView, wide: u16, spread: Spread) -> Vec<Line> {
    // Where nothing is large the question itself stands out.
    let role = if view.words().is_some() { Role::Title } else { Role::Due };
    let marked = spread == Spread::SideBySide && view.prompt.field.typed == Some(Typed::Digit);
    let none =
        marked && !view.entry.is_empty() && !choices_of(view).any(|digit| digit == view.entry);
    let ask = if none {
        format!("{} > {}", view.prompt.ask, end_of(&view.entry, wide))
    } else {
        view.prompt.ask.clone()
    };
    let mut asked = lines_of(&ask, wide, role);
    asked.extend(choices(view, wide, spread));
    // Where room is short what is chosen is marked among the choices.
    if view.prompt.field.typed.is_some() && !marked {
        asked.push(Line::Entry);
    }
    asked
}

/// The end of an entry that is no answer and is longer than any: it takes no rows from what is asked.
fn end_of(entry: &str, wide: u16) -> String {
    let most = usize::from(wide / 4).max(4);
    let begins = entry.char_indices().rev().nth(most - 1).map_or(0, |(at, _)| at);
    let end = entry.get(begins..).unwrap_or(entry);
    if begins == 0 { end.to_owned() } else { format!("{}{end}", text::CUT) }
}

fn choices_of(view: &SessionView) -> impl Iterator<Item = String> + '_ {
    view.prompt.field.choices.iter().map(|choice| choice.digit.to_string())
}

fn choices(view: &SessionView, width: u16, spread: Spread) -> Vec<Line> {
    let choices = &view.prompt.field.choices;
    match spread {
        Spread::Lines => {
            let mut lines = Vec::new();
            for choice in choices {
                let labels = text::wrap(&choice.label, width.saturating_sub(5)).into_iter();
                lines.extend(labels.enumerate().map(|(at, label)| {
                    let digit = if at == 0 { choice.digit.to_string() } else { String::new() };
                    Line::Choice { digit, label }
                }));
            }
            lines
        }
        Spread::SideBySide => {
            let label = |choice: &Choice| {
                let chosen = view.has_chosen(&choice.digit.to_string());
                format!("{}{} {}", if chosen { CHOSEN } else { "" }, choice.digit, choice.label)
            };
            let labels: Vec<String> = choices.iter().map(label).collect();
            let fitting = |line: String| match text::columns(&line) <= width {
                true => vec![line],
                false => text::wrap(&line, width),
            };
            let lines = text::wrap_items(&labels, width).into_iter().flat_map(fitting);
            lines.map(Line::Answers).collect()
        }
    }
}

/// What Enter means or the entry is taken for, then the note; a row is kept free for what is not
/// said yet, and all for what was said before the entry was begun, so that nothing above moves.
pub(super) fn feedback(view: &SessionView, width: u16) -> Vec<Line> {
    let enter = view.prompt.field.enter.as_ref().map(|enter| format!("Enter: {enter}"));
    let enter = enter.map(|words| text::wrap(&words, width)).unwrap_or_default();
    let before = view.was_said.as_ref().map_or(1, |note| note.lines(width).len());
    let kept_free = enter.len() + before;
    let words = match (view.entry.is_empty(), view.taken_for.is_empty()) {
        (true, _) => enter,
        (false, true) => Vec::new(),
        (false, false) => text::wrap(&view.taken_for, width),
    };
    let mut lines: Vec<Line> =
        words.into_iter().map(|line| Line::Words(line, Role::Text)).collect();
    if let Some(note) = &view.around.note {
        let role = note.role();
        lines.extend(note.lines(width).into_iter().map(|line| Line::Words(line, role)));
    }
    while lines.len() < kept_free {
        lines.push(Line::Words(String::new(), Role::Text));
    }
    lines
}
