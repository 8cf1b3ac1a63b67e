//! The session's screen: one question, with everything of its stop in sight at once.
//!
//! What belongs together stands together from the top down: what to do, the large words, how, the
//! question, what may be answered, what was said. Where room is short the picture of the stop under
//! the drawing goes first, then the drawing loses detail and goes, then choices move side by side,
//! then the large words lose size; the question and the entry never go. A roomy window keeps the
//! picture before the drawing's detail.

use super::frame::{self, Around, below};
use crate::guide::Prompt;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::digits::{self, Ink, Set, Size};
use crate::tui::widgets::engine::{Detail, EngineView};
use crate::tui::widgets::picture::{Extent, PictureView};
use crate::tui::widgets::{field, text};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Everything that the session's screen says.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionView {
    /// Open items, status, note, keys; `place` is the prompt's.
    pub around: Around,
    /// The question.
    pub prompt: Prompt,
    /// What stands in the entry.
    pub entry: String,
    /// What the entry is taken for; empty where nothing is typed.
    pub taken_for: String,
    /// The engine; `None` where it says nothing to the question.
    pub engine: Option<EngineView>,
    /// The picture of the stop; `None` where the crank is not being turned.
    pub picture: Option<PictureView>,
    /// What large digits are drawn with.
    pub ink: Ink,
}

/// How choices are set.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Spread {
    Lines,
    SideBySide,
}

/// Columns that the question keeps beside a drawing.
const QUESTION: u16 = 50;
/// Columns beyond which lines of text are hard to read.
const READABLE: u16 = 80;
/// Columns that a picture may widen the drawing's column to, where the question keeps all it can use.
const PICTURE: u16 = 40;
/// Columns and rows between top line and keys that are room for everything: a window of 120x40.
const ROOMY: (u16, u16) = (110, 36);
const GAP: u16 = 2;

/// Paints the screen.
pub fn paint(view: &SessionView, theme: Theme, area: Rect, buf: &mut Buffer) {
    if !frame::has_room(area) {
        frame::paint_cramped(&essentials(view), theme, area, buf);
        return;
    }
    let middle = frame::paint(&view.around, theme, area, buf);
    let fit = fit(view, middle.width, middle.height);
    let left = Rect { width: fit.width, ..middle };
    paint_question(view, &fit, theme, left, buf);
    if let (Some(engine), Some(detail)) = (&view.engine, fit.detail) {
        let x = middle.x + (fit.width + GAP).min(middle.width);
        let right = Rect { x, width: middle.right().saturating_sub(x), ..middle };
        let mut drawing = right;
        if let (Some(picture), Some((extent, at))) = (&view.picture, fit.picture) {
            picture.paint(extent, theme, below(right, at), buf);
            // A ring takes all the height it is offered.
            drawing.height = at.saturating_sub(1);
        }
        engine.paint(detail, theme, drawing, buf);
    }
}

/// What is shown of a question where the window is too small, the most needed first.
fn essentials(view: &SessionView) -> Vec<(String, Role)> {
    let mut wanted = Vec::new();
    wanted.extend(view.around.alert.iter().map(|alert| (alert.clone(), Role::Open)));
    if view.prompt.field.typed.is_some() {
        wanted.push((format!("> {}", view.entry), Role::Big));
    }
    wanted.push((view.prompt.ask.clone(), Role::Text));
    for choice in &view.prompt.field.choices {
        wanted.push((format!("{} {}", choice.digit, choice.label), Role::Text));
    }
    if let Some(note) = &view.around.note {
        wanted.push((note.text.clone(), Role::Warning));
    }
    if let Some(big) = &view.prompt.big {
        wanted.push((big.text.clone(), Role::Big));
    }
    wanted.push((view.prompt.title.clone(), Role::Title));
    wanted
}

/// A line of the question.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Line {
    Words(String, Role),
    Choice { digit: String, label: String },
    Entry,
}

/// Sizes chosen for a window.
struct Fit {
    /// Columns of the question.
    width: u16,
    detail: Option<Detail>,
    /// How much of the picture is shown, and in which row under the drawing it begins.
    picture: Option<(Extent, u16)>,
    big: Option<Set>,
    /// The parts in their order; the large words come after the first.
    parts: [Vec<Line>; 4],
    /// Rows left over, for air between the parts.
    spare: u16,
}

impl Fit {
    fn rows(&self) -> u16 {
        self.parts.iter().map(|part| rows(part.len())).sum()
    }
}

fn rows(lines: usize) -> u16 {
    u16::try_from(lines).unwrap_or(u16::MAX)
}

/// Finds the sizes at which everything is seen at once.
fn fit(view: &SessionView, width: u16, height: u16) -> Fit {
    for least in [7, 5, 4, 3] {
        for spread in [Spread::Lines, Spread::SideBySide] {
            for beside in besides(view, width, height) {
                if let Some(fit) = try_fit(view, (width, height), beside, spread, least) {
                    return fit;
                }
            }
        }
    }
    without_all_lines(view, width, height)
}

/// What may stand beside the question, the best first.
fn besides(view: &SessionView, width: u16, height: u16) -> Vec<(Option<Detail>, Option<Extent>)> {
    let extents =
        || Extent::ALL.map(Some).into_iter().filter(|_| view.picture.is_some()).chain([None]);
    let details = Detail::ALL.into_iter();
    let mut besides: Vec<_> = if width >= ROOMY.0 && height >= ROOMY.1 {
        extents()
            .flat_map(|extent| details.clone().map(move |detail| (Some(detail), extent)))
            .collect()
    } else {
        details.flat_map(|detail| extents().map(move |extent| (Some(detail), extent))).collect()
    };
    besides.push((None, None));
    besides
}

/// Columns of the drawing, and where its picture goes under it; `None` where they do not fit.
fn column(
    view: &SessionView,
    (width, height): (u16, u16),
    detail: Detail,
    extent: Option<Extent>,
) -> Option<(u16, Option<(Extent, u16)>)> {
    let engine = view.engine.as_ref()?;
    let room = width.saturating_sub(QUESTION + GAP);
    let (Some(extent), Some(picture)) = (extent, &view.picture) else {
        return Some((engine.size(detail, room, height)?.0, None));
    };
    let wider = PICTURE.min(width.saturating_sub(READABLE + GAP));
    let (columns, _) = engine.size(detail, room, height)?;
    let needed = picture.needs(extent, columns.max(wider)) + 1;
    let (columns, rows) = engine.size(detail, room, height.checked_sub(needed)?)?;
    let (columns, at) = (columns.max(wider), rows + 1);
    let fits = picture.fits(extent, columns, height.checked_sub(at)?);
    fits.then_some((columns, Some((extent, at))))
}

fn try_fit(
    view: &SessionView,
    (width, height): (u16, u16),
    (detail, extent): (Option<Detail>, Option<Extent>),
    spread: Spread,
    least: u16,
) -> Option<Fit> {
    let (drawing, picture) = match detail {
        None => (0, None),
        Some(detail) => {
            let (columns, picture) = column(view, (width, height), detail, extent)?;
            (columns + GAP, picture)
        }
    };
    let mut fit = parts(view, width.saturating_sub(drawing), detail, spread);
    fit.picture = picture;
    let free = height.checked_sub(fit.rows())?;
    fit.spare = free;
    if let Some(big) = &view.prompt.big {
        let set = large(&big.text, fit.width, free, view.ink, least)?;
        fit.spare = free - set.rows();
        fit.big = Some(set);
    }
    Some(fit)
}

/// Large words on one line where they are large enough so, else on several.
fn large(words: &str, columns: u16, rows: u16, ink: Ink, least: u16) -> Option<Set> {
    let one = Size::largest(words, columns, rows, ink)
        .map(|size| Set { size, lines: vec![words.to_owned()] });
    let enough = |set: &Set| set.size.rows() >= least;
    one.filter(enough).or_else(|| digits::set(words, columns, rows, ink).filter(enough))
}

fn parts(view: &SessionView, width: u16, detail: Option<Detail>, spread: Spread) -> Fit {
    let prompt = &view.prompt;
    let wide = width.min(READABLE);
    let lines_of = |words: &str, role| -> Vec<Line> {
        if words.is_empty() {
            return Vec::new();
        }
        text::wrap(words, wide).into_iter().map(|line| Line::Words(line, role)).collect()
    };
    let caption = prompt.big.as_ref().map_or("", |big| big.caption.as_str());
    let lines = prompt.lines.iter().flat_map(|line| lines_of(line, Role::Text)).collect();
    // Where nothing is large the question itself stands out.
    let ask = if prompt.big.is_some() { Role::Title } else { Role::Due };
    let mut answer = lines_of(&prompt.ask, ask);
    answer.extend(choices(view, wide, spread));
    if prompt.field.typed.is_some() {
        answer.push(Line::Entry);
    }
    answer.extend(feedback(view, wide));
    Fit {
        width,
        detail,
        picture: None,
        big: None,
        parts: [
            lines_of(&prompt.title, Role::Title),
            lines_of(caption, Role::Title),
            lines,
            answer,
        ],
        spare: 0,
    }
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
            let label =
                |choice: &crate::guide::Choice| format!("{} {}", choice.digit, choice.label);
            let labels: Vec<String> = choices.iter().map(label).collect();
            let fitting = |line: String| match text::columns(&line) <= width {
                true => vec![line],
                false => text::wrap(&line, width),
            };
            let lines = text::wrap_items(&labels, width).into_iter().flat_map(fitting);
            lines.map(|line| Line::Words(line, Role::Text)).collect()
        }
    }
}

/// What Enter means or the entry is taken for, then the note; a row is kept free for what is not
/// said yet, so that nothing above moves when it is.
fn feedback(view: &SessionView, width: u16) -> Vec<Line> {
    let enter = view.prompt.field.enter.as_ref().map(|enter| format!("Enter: {enter}"));
    let enter = enter.map(|words| text::wrap(&words, width)).unwrap_or_default();
    let kept_free = enter.len() + 1;
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

/// Nothing fits as a whole: instruction lines give way, and the last one tells where they are.
fn without_all_lines(view: &SessionView, width: u16, height: u16) -> Fit {
    let mut fit = parts(view, width, None, Spread::SideBySide);
    let big = view.prompt.big.as_ref();
    fit.big = big.and_then(|big| large(&big.text, width, 3, view.ink, 3));
    let [title, caption, lines, answer] = &mut fit.parts;
    let taken =
        rows(title.len() + caption.len() + answer.len()) + fit.big.as_ref().map_or(0, Set::rows);
    let room = usize::from(height.saturating_sub(taken));
    if lines.len() > room {
        let hidden = lines.len() - room.saturating_sub(1);
        lines.truncate(room.saturating_sub(1));
        lines.push(Line::Words(format!("({hidden} lines more: ? shows all)"), Role::Text));
    }
    fit
}

/// Paints the parts from the top, with air between them as far as there is any.
fn paint_question(view: &SessionView, fit: &Fit, theme: Theme, area: Rect, buf: &mut Buffer) {
    let [title, caption, lines, answer] = &fit.parts;
    let gaps = u16::from(view.prompt.big.is_some()) + u16::from(!lines.is_empty()) + 1;
    let air = if fit.spare >= 8 * gaps { 2 } else { (fit.spare / gaps).min(1) };
    let mut at = paint_lines(view, title, theme, area, buf);
    if let Some(big) = &view.prompt.big {
        at += air;
        match &fit.big {
            Some(set) => {
                set.paint(view.ink, theme.style(Role::Big), below(area, at), buf);
                at += set.rows();
            }
            None => {
                text::put(&big.text, theme.style(Role::Big), frame::row(area, at), buf);
                at += 1;
            }
        }
        at += paint_lines(view, caption, theme, below(area, at), buf);
    }
    if !lines.is_empty() {
        at += air;
        at += paint_lines(view, lines, theme, below(area, at), buf);
    }
    at += air;
    // The answer is never pushed out at the foot.
    let at = at.min(area.height.saturating_sub(rows(answer.len())));
    paint_lines(view, answer, theme, below(area, at), buf);
}

fn paint_lines(
    view: &SessionView,
    lines: &[Line],
    theme: Theme,
    area: Rect,
    buf: &mut Buffer,
) -> u16 {
    for (line, row) in lines.iter().zip(area.rows()) {
        match line {
            Line::Words(words, role) => {
                text::put(words, theme.style(*role), row, buf);
            }
            Line::Choice { digit, label } => {
                text::put(digit, theme.style(Role::Key), indent(row, 2), buf);
                text::put(label, theme.style(Role::Text), indent(row, 5), buf);
            }
            Line::Entry => field::paint(&view.entry, theme, row, buf),
        }
    }
    rows(lines.len()).min(area.height)
}

fn indent(row: Rect, by: u16) -> Rect {
    let by = by.min(row.width);
    Rect { x: row.x + by, width: row.width - by, ..row }
}
