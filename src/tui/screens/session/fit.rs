//! What is shown of a question at which size, in one window: the steps of `order`, one after the other.

use super::beside::{Aside, Under, besides, column, ring, talls};
use super::compact::{compact, thin};
use super::more::{lines_of, mark, shortened, words_and_next};
use super::order::{Room, SIZES, SPREADS, Spread};
use super::strip::says_the_note;
use super::typed::{beside_words, smallest, words_and_typed};
use super::whole::read_whole;
use super::words::parts;
use super::{GAP, Line, SessionView};
use crate::guide::Prompt;
use crate::tui::paging::Shown;
use crate::tui::screens::frame::Tone;
use crate::tui::theme::Role;
use crate::tui::widgets::digits::{self, BETWEEN, Ink, Set, Size};
use crate::tui::widgets::engine::Detail;
use crate::tui::widgets::engine_strip::Strip;
use std::collections::HashMap;

/// Sizes chosen for a window.
#[derive(Clone, Default)]
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
    pub picture: Under,
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
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Place {
    /// Beside everything.
    #[default]
    Whole,
    /// Beside title, large words and caption, which take so many rows; the rest has the whole width.
    Head {
        /// Rows.
        rows: u16,
    },
}

impl Fit {
    /// Columns that a large word beside the lines takes.
    pub(super) fn cap_columns(&self) -> u16 {
        self.cap.as_ref().map_or(0, |(_, columns)| *columns)
    }

    /// Tells whether there is something large to say what the question is about.
    pub(super) fn is_large(&self) -> bool {
        self.big.is_some() || self.cap.is_some()
    }
}

/// How many rows so many lines take.
pub(super) fn rows(lines: usize) -> u16 {
    u16::try_from(lines).unwrap_or(u16::MAX)
}

/// How many rows all parts take.
fn rows_of(parts: &[Vec<Line>; 4]) -> u16 {
    parts.iter().map(|part| rows(part.len())).sum()
}

/// Finds the sizes at which everything is seen at once; what was said before has its room only where
/// there is room for everything.
pub(super) fn fit_within(view: &SessionView, room: Room) -> Fit {
    if let Some(fit) = seen_at_once(view, room) {
        return fit;
    }
    let view = SessionView { was_said: None, ..view.clone() };
    let at_once = seen_at_once(&view, room).or_else(|| in_short(&view, room));
    at_once.unwrap_or_else(|| match view.prompt.field.whole {
        0 => compact(&view, room),
        _ => beside_a_refusal(&view, room).unwrap_or_else(|| read_whole(&view, room)),
    })
}

/// What has to be read stood there whole before the refusal: where both have no room, it is the refusal
/// that is read now.
fn beside_a_refusal(view: &SessionView, room: Room) -> Option<Fit> {
    view.around.note.as_ref().filter(|note| note.tone == Tone::Warning)?;
    let whole = read_whole(view, room);
    let all = |shown: &Shown| shown.first == 0 && shown.end == shown.all;
    let says = |fit: &Fit| says_the_note(view, fit, room.width);
    let shown = whole.shown.filter(|shown| all(shown) && !says(&whole))?;
    let told = compact(view, room);
    says(&told).then_some(Fit { shown: Some(shown), ..told })
}

/// Where that is so with the shortest of the large words, nothing else gives way.
fn in_short(view: &SessionView, room: Room) -> Option<Fit> {
    let big = view.prompt.big.as_ref().filter(|big| !big.short.is_empty() && !big.gives_way)?;
    let mut big = big.clone();
    (big.text, big.longer) = (big.short.clone(), Vec::new());
    let prompt = Prompt { big: Some(big), ..view.prompt.clone() };
    seen_at_once(&SessionView { prompt, ..view.clone() }, room)
}

pub(super) fn seen_at_once(view: &SessionView, room: Room) -> Option<Fit> {
    let smallest = room.least();
    let sizes = SIZES.into_iter().filter(|rows| *rows > smallest).chain([smallest]);
    let mut ways: Vec<(u16, Spread)> =
        sizes.flat_map(|least| SPREADS.map(|spread| (least, spread))).collect();
    // Words that give way are smaller before answers move.
    if view.prompt.big.as_ref().is_some_and(|big| big.gives_way) {
        ways.sort_by_key(|(_, spread)| *spread == Spread::SideBySide);
    }
    let mut wrapped = Wrapped::new();
    let mut all = |besides: &[Aside]| {
        let mut tried = |way, aside| try_fit(view, room, aside, way, &mut wrapped);
        ways.iter().find_map(|way| besides.iter().find_map(|aside| tried(*way, aside)))
    };
    let mut others = besides(view, room);
    if let Some(ring) = ring(view, room) {
        // It is as large beside every question, with a picture under it or without; lines of how give way.
        let same = |beside: &Aside| (beside.detail, beside.tall) == (ring.detail, ring.tall);
        let (its, rest): (Vec<_>, Vec<_>) = others.into_iter().partition(same);
        let fit = all(&its).or_else(|| beside_a_ring(view, room, &ring));
        if fit.is_some() {
            return fit;
        }
        others = rest;
    }
    let (drawn, bare): (Vec<_>, Vec<_>) =
        others.into_iter().partition(|beside| beside.detail.is_some());
    all(&drawn).or_else(|| all(&bare))
}

/// The parts of a question, wrapped once for each width and spread that is tried.
type Wrapped = HashMap<(u16, Spread), [Vec<Line>; 4]>;

fn try_fit(
    view: &SessionView,
    room: Room,
    aside: &Aside,
    (least, spread): (u16, Spread),
    wrapped: &mut Wrapped,
) -> Option<Fit> {
    if aside.head_only {
        return try_head(view, room, aside.detail?, (least, spread));
    }
    let (room, laid) = laid_beside(view, room, aside)?;
    let verdict = verdict(view, room);
    let wrap = || parts(view, room.width, room.width, spread);
    let parts = wrapped.entry((room.width, spread)).or_insert_with(wrap);
    room.above(rows_of(parts) + set_rows(&verdict))?;
    set_beside(view, room, Fit { verdict, parts: parts.clone(), ..laid }, least)
}

/// What stands beside the question, and the room that it leaves.
fn laid_beside(view: &SessionView, room: Room, aside: &Aside) -> Option<(Room, Fit)> {
    let Some(detail) = aside.detail else { return Some((room, Fit::default())) };
    let (columns, drawn, picture) = column(view, room, detail, (aside.extent, aside.tall))?;
    let side = columns + GAP;
    let beside = Room { width: room.width.saturating_sub(side), ..room };
    Some((beside, Fit { side, drawn, picture, detail: Some(detail), ..Fit::default() }))
}

/// Sets the large words in the rows that the rest leaves; `None` where these are too few.
fn set_beside(view: &SessionView, room: Room, laid: Fit, least: u16) -> Option<Fit> {
    let room = room.above(rows_of(&laid.parts) + set_rows(&laid.verdict))?;
    let next = view.prompt.big.as_ref().filter(|big| !big.then.is_empty());
    let (big, then, typed) = match (view.words(), next) {
        (_, Some(big)) => {
            let two = |(wide, typed): (u16, Option<Size>)| {
                let least = typed.map_or(least, |size| least.max(size.rows()));
                let set = words_and_next(big, (wide, room.height), view.ink, least)?;
                Some((set, typed))
            };
            // Larger digits cost no word of what is to be done.
            let mut ways = beside_words(view, room).into_iter().filter_map(two).rev().peekable();
            let next = ways.peek().map(|((_, next), _)| next.lines.concat());
            let same = |((_, then), _): &((Set, Set), _)| Some(then.lines.concat()) == next;
            let beside = ways.rfind(same);
            let ((big, then), typed) = beside.or_else(|| two((room.width, None)))?;
            (Some(big), Some(then), typed)
        }
        (Some(_), None) => {
            let set = |words| words_and_typed(view, words, room, least);
            let (big, typed) = view.all_words().find_map(set)?;
            (Some(big), None, typed)
        }
        (None, None) => (None, None, None),
    };
    let spare = room.height - set_rows(&big) - then.as_ref().map_or(0, |set| set.rows() + BETWEEN);
    Some(Fit { big, then, typed, spare, ..laid })
}

/// The drawing beside title, large words and caption only.
fn try_head(
    view: &SessionView,
    room: Room,
    detail: Detail,
    (least, spread): (u16, Spread),
) -> Option<Fit> {
    let verdict = verdict(view, room);
    let answer = parts(view, room.width, room.width, spread);
    let head = room.above(rows(answer[2].len() + answer[3].len()) + set_rows(&verdict))?;
    let engine = view.engine.as_ref()?;
    // The large words have at least a third of the width.
    let sizes = talls(engine, head.height, false).into_iter();
    let of = |tall| Some((engine.size(detail, room.width * 2 / 3 - GAP, tall)?, tall));
    let ((columns, high), tall) = sizes.filter_map(of).next()?;
    let (side, drawn, detail) = (columns + GAP, (columns, tall), Some(detail));
    let parts = parts(view, room.width - side, room.width, spread);
    let said = rows(parts[0].len() + parts[1].len());
    let alone = view.prompt.big.as_ref().is_none_or(|big| big.then.is_empty());
    let beside = Room { width: room.width - side, ..head.above(said)? };
    let set = |words| words_and_typed(view, words, beside, least);
    let (big, typed) = view.all_words().filter(|_| alone).find_map(set)?;
    let taken = (said + big.rows()).max(high);
    let (place, spare) = (Place::Head { rows: taken }, head.height - taken);
    let laid = Fit { side, detail, drawn, place, ..Fit::default() };
    Some(Fit { big: Some(big), typed, verdict, parts, spare, ..laid })
}

/// Finds what is shown beside a ring, which stays as it is from one question to the next: lines of how give way to
/// it, but for those that have to be read, then what was read just now loses its large letters. `None` where not
/// even what has to be read has room.
fn beside_a_ring(view: &SessionView, room: Room, ring: &Aside) -> Option<Fit> {
    let whole = usize::from(view.prompt.field.whole).min(view.prompt.lines.len());
    let (room, laid) = laid_beside(view, room, ring)?;
    let (wide, least) = (room.width, room.least());
    let read = view.prompt.lines.iter().take(whole);
    let kept = read.map(|line| lines_of(line, wide, Role::Text).len()).sum::<usize>();
    [true, false].into_iter().find_map(|large| {
        let verdict = verdict(view, room).filter(|_| large);
        let mut parts = parts(view, wide, wide, Spread::SideBySide);
        let told = std::mem::take(&mut parts[2]);
        let set = |parts| {
            let laid = Fit { verdict: verdict.clone(), parts, ..laid.clone() };
            set_beside(view, room, laid, least)
        };
        let bare = set(parts.clone())?;
        // The large words take as many rows as they are left: in the fewest rows they are as small as may be.
        let large_rows = match bare.big {
            Some(_) => least + set_rows(&bare.then) + u16::from(bare.then.is_some()),
            None => 0,
        };
        let taken = rows_of(&parts) + set_rows(&verdict) + large_rows;
        let left = usize::from(room.above(taken)?.height);
        if left < kept {
            return None;
        }
        let hidden = told.len().saturating_sub(left);
        parts[2] = if hidden > 0 && left == kept {
            mark(&mut parts, hidden, wide);
            told.into_iter().take(left).collect()
        } else {
            shortened(told, left, wide)
        };
        set(parts)
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

/// The verdict in the smallest letters that are large enough, thin where nothing else fits: it stands beside the
/// next question.
pub(super) fn verdict(view: &SessionView, room: Room) -> Option<Set> {
    let said = || view.around.note.iter().chain(&view.was_said).flat_map(|note| &note.large);
    let set = |words: &String, size| Set { size, lines: vec![words.clone()] };
    let thick = |words| Some(set(words, smallest(words, room.width, view.ink, room.least())?));
    let slim = |words| Some(set(words, thin(words, room, view.ink)?));
    said().find_map(thick).or_else(|| said().find_map(slim))
}
