//! The line of keys at the foot: up to two lines, made from the table of keys.

use super::text;
use crate::tui::keymap::Hint;
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::borrow::Cow;

/// Lines that the keys take at most.
pub const LINES: usize = 2;
const GAP: u16 = 2;

/// Sets keys side by side. What a key takes back is named whole where that takes no line more and no
/// other key gives way for it, if need be after the others; else it is cut no more than that needs.
/// Where the keys need more lines even so, the least needed are left out, but never the way to all of
/// them; those marked as spare are told only where they take no line more.
pub fn lines(hints: &[Hint], width: u16, most: usize) -> Vec<Vec<Hint>> {
    // It may be a long text, and never takes half the room of a line.
    let longest = width.div_ceil(2).saturating_sub(4);
    let whole = named(hints, |hint| short(hint, longest));
    let brief = named(hints, |hint| short(&in_brief(hint), longest));
    let last = {
        let (undo, others): (Vec<Hint>, Vec<Hint>) = brief.iter().cloned().partition(takes_back);
        [others, undo].concat()
    };
    let ways = [whole, brief, last].map(|way| with_spare(&way, width));
    let cut = |to: u16| named(hints, |hint| short(&in_brief(hint), to));
    // Longer words are worth no line more.
    let few = with_spare(&cut(CUT.min(longest)), width).len().min(most);
    if let Some(way) = ways.into_iter().find(|way| way.len() <= few) {
        return way;
    }
    let fits = |to: u16| Some(with_spare(&cut(to), width)).filter(|way| way.len() <= few);
    widest(CUT..longest, fits).unwrap_or_else(|| {
        let left_out = left_out(&cut(CUT.min(longest)), width, most);
        widened(left_out, hints, width)
    })
}

/// What the largest number of a range makes that makes something; every smaller one does then.
fn widest<T>(mut among: std::ops::Range<u16>, of: impl Fn(u16) -> Option<T>) -> Option<T> {
    let mut best = None;
    while among.start < among.end {
        let middle = among.start.midpoint(among.end);
        match of(middle) {
            Some(made) => (best, among.start) = (Some(made), middle + 1),
            None => among.end = middle,
        }
    }
    best
}

/// Columns of what a key takes back under which other keys give way to it.
const CUT: u16 = 18;

fn takes_back(hint: &Hint) -> bool {
    ["-", "- Enter"].contains(&hint.key)
}

/// The keys, with other words for what the one that takes back takes back.
fn named(hints: &[Hint], words: impl Fn(&Hint) -> Hint) -> Vec<Hint> {
    let of = |hint: &Hint| if takes_back(hint) { words(hint) } else { hint.clone() };
    hints.iter().map(of).collect()
}

fn in_brief(hint: &Hint) -> Hint {
    let label = hint.brief.clone().map_or_else(|| hint.label.clone(), Cow::Owned);
    Hint { label, ..hint.clone() }
}

/// Sets keys side by side; those that are spare, the shorter first, only as far as they take no line
/// more.
fn with_spare(hints: &[Hint], width: u16) -> Vec<Vec<Hint>> {
    let needed: Vec<Hint> = hints.iter().filter(|hint| !hint.spare).cloned().collect();
    let without = set(&needed, width);
    let mut shown = hints.to_vec();
    while shown.len() > needed.len() {
        let with = set(&shown, width);
        if with.len() <= without.len() {
            return with;
        }
        let widest = shown.iter().filter(|hint| hint.spare).map(columns).max().unwrap_or(0);
        let at = shown.iter().rposition(|hint| hint.spare && columns(hint) == widest);
        at.map(|at| shown.remove(at));
    }
    without
}

/// Leaves out the least needed keys until the others fit.
fn left_out(hints: &[Hint], width: u16, most: usize) -> Vec<Vec<Hint>> {
    let needed = hints.iter().filter(|hint| !hint.spare).cloned();
    let mut shown: Vec<Hint> = needed.collect();
    let all = shown.len();
    loop {
        let lines = set(&shown, width);
        if lines.len() <= most || !shorten(&mut shown, most) {
            return with_rest(&shown, all, (width, most)).unwrap_or(lines);
        }
    }
}

/// Gives what is taken back the room that is left over.
fn widened(lines: Vec<Vec<Hint>>, hints: &[Hint], width: u16) -> Vec<Vec<Hint>> {
    let Some(undo) = hints.iter().find(|hint| takes_back(hint)) else { return lines };
    let shown = lines.concat();
    let longest = text::columns(&in_brief(undo).label).min(width);
    let wider = |to: u16| {
        let way = set(&named(&shown, |_| short(&in_brief(undo), to)), width);
        Some(way).filter(|way| way.len() <= lines.len())
    };
    widest(UNDO..longest + 1, wider).unwrap_or(lines)
}

/// Says that the help has the keys that are left out; other keys are told shorter for its sake. `None` where none is left out, or there is no room even so.
fn with_rest(shown: &[Hint], all: usize, (width, most): (u16, usize)) -> Option<Vec<Vec<Hint>>> {
    if shown.len() == all {
        return None;
    }
    let mut shown = shown.to_vec();
    let help = shown.iter_mut().find(|hint| hint.key == "?")?;
    help.label = Cow::Borrowed(REST);
    // Some go by their keys alone; then what is taken back is cut while it can be told.
    loop {
        let lines = set(&shown, width);
        if lines.len() <= most {
            return Some(lines);
        }
        let told =
            |key: &str| shown.iter().position(|hint| hint.key == key && !hint.label.is_empty());
        if let Some(hint) = BY_KEY.into_iter().find_map(told).and_then(|at| shown.get_mut(at)) {
            hint.label = Cow::Borrowed("");
        } else {
            let undo = shown.iter_mut().find(|hint| takes_back(hint))?;
            let columns = text::columns(&undo.label);
            undo.label =
                text::cut(&undo.label, columns.checked_sub(1).filter(|to| *to >= UNDO)?).into();
        }
    }
}

/// Columns by which it can still be told what a key takes back: "undo 1 EX..".
const UNDO: u16 = 11;
/// Keys that go without words where room is short: the list of all, and the answers, each of which stands
/// behind its digit.
const BY_KEY: [&str; 3] = ["*", DIGIT, DIGITS];
const DIGIT: &str = "digit";
const DIGITS: &str = "digits";
/// What the help is called where it alone has some of the keys.
const REST: &str = "keys";

/// Sets the keys of a question that is typed at so that they stay the same from the first character
/// on: a slow line then pays for that character alone. The keys that work only before it stand in a
/// line or part of their own that says so. `None` where they need more than two lines.
pub fn steady(always: &[Hint], before: &[Hint], width: u16) -> Option<Vec<Vec<Hint>>> {
    let mark = || Hint { key: "", label: BEFORE.into(), brief: None, spare: false };
    let one_line = |hints: Vec<Hint>| {
        let mut lines = set(&hints, width);
        lines.pop().filter(|_| lines.is_empty())
    };
    let first = one_line(always.to_vec())?;
    let marked = |words: &dyn Fn(&Hint) -> Hint, spare: bool| {
        let told = before.iter().filter(|hint| spare || !hint.spare).cloned();
        let told = named(&told.collect::<Vec<Hint>>(), words);
        let mark = (!told.is_empty()).then(mark);
        mark.into_iter().chain(told).collect::<Vec<Hint>>()
    };
    if let Some(line) = one_line([first.clone(), marked(&Hint::clone, true)].concat()) {
        return Some(vec![line]);
    }
    let cut = |to: u16| one_line(marked(&|hint| short(&in_brief(hint), to), false));
    let second = one_line(marked(&Hint::clone, true))
        .or_else(|| one_line(marked(&Hint::clone, false)))
        .or_else(|| widest(CUT..width, cut))?;
    Some(vec![first, second])
}

/// What stands before the keys that work only while nothing is typed.
const BEFORE: &str = "when empty:";

/// Makes the keys take less room, the least needed first; the way on, the way back and the way to
/// everything else stay. `false` where nothing more can be left out.
fn shorten(shown: &mut Vec<Hint>, most: usize) -> bool {
    let help = shown.iter_mut().find(|hint| hint.key == "?" && !hint.label.is_empty());
    if let Some(help) = help.filter(|_| most == 1) {
        help.label = Cow::Borrowed("");
        return true;
    }
    // What is searched in a table is erased, or left as a whole.
    let searched = shown.first().is_some_and(|hint| hint.key == "Backspace");
    let stays = |(at, hint): (usize, &Hint)| {
        at == 0 || STAY.contains(&hint.key) || searched && hint.key == "Esc"
    };
    if let Some(least) = (1..shown.len()).rfind(|&at| !stays((at, &shown[at]))) {
        shown.remove(least);
        return true;
    }
    let digit =
        shown.iter_mut().find(|hint| [DIGIT, DIGITS].contains(&hint.key) && !hint.label.is_empty());
    if let Some(digit) = digit.filter(|_| most == 1) {
        digit.label = Cow::Borrowed("");
        return true;
    }
    let longest = shown.iter_mut().max_by_key(|hint| text::columns(&hint.label));
    let Some(longest) = longest.filter(|hint| text::columns(&hint.label) > 6) else { return false };
    longest.label = text::cut(&longest.label, text::columns(&longest.label) - 1).into();
    true
}

/// Keys that are always told: help, everything else, the way back.
const STAY: [&str; 4] = ["?", "*", "-", "- Enter"];

/// A key whose label takes so many columns at most.
fn short(hint: &Hint, columns: u16) -> Hint {
    let whole = text::columns(&hint.label) <= columns;
    let label = hint.brief.as_deref().filter(|_| !whole).unwrap_or(&hint.label);
    Hint { label: Cow::Owned(text::cut(label, columns)), ..hint.clone() }
}

fn columns(hint: &Hint) -> u16 {
    let label = text::columns(&hint.label);
    let between = label > 0 && !hint.key.is_empty();
    text::columns(hint.key).saturating_add(label).saturating_add(u16::from(between))
}

fn set(hints: &[Hint], width: u16) -> Vec<Vec<Hint>> {
    let mut lines: Vec<Vec<Hint>> = Vec::new();
    let mut taken = 0;
    for hint in hints {
        let wide = columns(hint);
        match lines.last_mut() {
            Some(line) if taken + GAP + wide <= width => {
                taken += GAP + wide;
                line.push(hint.clone());
            }
            Some(_) | None => {
                taken = wide;
                lines.push(vec![hint.clone()]);
            }
        }
    }
    lines
}

/// Paints lines of keys from the top of an area.
pub fn paint(lines: &[Vec<Hint>], theme: Theme, area: Rect, buf: &mut Buffer) {
    for (line, row) in lines.iter().zip(area.rows()) {
        let mut rest = row;
        for hint in line {
            let key_end = text::put(hint.key, theme.style(Role::Key), rest, buf);
            let between = u16::from(!hint.key.is_empty() && !hint.label.is_empty());
            let label = after(row, key_end.saturating_add(between));
            let label_end = text::put(&hint.label, theme.style(Role::Text), label, buf);
            rest = after(row, label_end.saturating_add(GAP));
        }
    }
}

fn after(row: Rect, x: u16) -> Rect {
    let x = x.min(row.right());
    Rect { x, width: row.right() - x, ..row }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::keymap::{Begun, Place, hints};

    #[test]
    fn the_keys_never_take_more_than_two_lines_and_always_name_the_help() {
        for place in [Place::Choice, Place::Enter, Place::Reading, Place::Number, Place::List] {
            let hints = hints(place, crate::tui::keymap::Begun::No, |_| true);
            for width in 40..200 {
                let lines = lines(&hints, width, LINES);
                assert!(lines.len() <= LINES, "{place:?} at {width}");
                assert!(lines.iter().flatten().any(|hint| hint.key == "?"), "{place:?} at {width}");
                for line in lines {
                    let taken: u16 = line.iter().map(|hint| columns(hint) + GAP).sum();
                    assert!(taken - GAP <= width);
                }
            }
        }
    }

    #[test]
    fn the_keys_of_a_question_stay_the_same_while_it_is_typed_at() {
        let [always, mut before] =
            [Begun::Yes, Begun::No].map(|begun| hints(Place::Reading, begun, |_| true));
        before.retain(|hint| !always.contains(hint));
        let words = |lines: &[Vec<Hint>]| {
            let hints = lines.concat().into_iter();
            hints.map(|hint| format!("{} {}", hint.key, hint.label)).collect::<Vec<_>>()
        };
        let two = steady(&always, &before, 80).unwrap();
        assert_eq!(two.len(), 2);
        assert!(words(&two).contains(&format!(" {BEFORE}")), "{two:?}");
        let one = steady(&always, &before, 200).unwrap();
        assert_eq!((one.len(), words(&one)), (1, words(&two)));
        // Where they do not fit, keys are told as they work now: none is left out for the sake of rest.
        assert_eq!(steady(&always, &before, 40), None);
        assert_eq!(words(&steady(&always, &[], 80).unwrap()).len(), always.len());
    }

    #[test]
    fn where_keys_are_left_out_it_is_said_where_they_are() {
        let hints = hints(Place::Choice, Begun::No, |_| true);
        for width in 40..200 {
            let lines = lines(&hints, width, 1);
            let shown: Vec<&Hint> = lines.iter().flatten().collect();
            let told = shown.iter().any(|hint| hint.key == "?" && hint.label == REST);
            let all = hints.iter().filter(|hint| !hint.spare).count();
            assert_eq!(told, shown.len() < all, "{width}: {shown:?}");
        }
    }

    #[test]
    fn at_eighty_columns_no_key_is_left_out() {
        let hints = hints(Place::Reading, crate::tui::keymap::Begun::No, |_| true);
        assert_eq!(lines(&hints, 80, LINES).iter().flatten().count(), hints.len());
    }

    /// The keys of a question while this can be taken back.
    fn taking_back(place: Place, undo: &str) -> Vec<Hint> {
        let mut hints = hints(place, Begun::No, |_| true);
        for hint in hints.iter_mut().filter(|hint| takes_back(hint)) {
            hint.label = format!("takes back: {undo}").into();
            hint.brief = Some(format!("undo {undo}"));
        }
        hints
    }

    #[test]
    fn what_is_taken_back_is_named_whole_where_it_fits_and_else_cut_no_more_than_it_must_be() {
        let remark = "remark on 3: oil weeps at the lower tube";
        for (undo, place) in
            [("1 EXH, 9", Place::Choice), (remark, Place::Choice), (remark, Place::Text)]
        {
            for width in 40..200 {
                let hints = taking_back(place, undo);
                let shown = lines(&hints, width, LINES).concat();
                let label = &shown.iter().find(|hint| takes_back(hint)).unwrap().label;
                if label.ends_with(text::CUT) {
                    let one_more = text::columns(label) + 1;
                    let undo = hints.iter().find(|hint| takes_back(hint)).unwrap();
                    let longer = named(&shown, |_| short(&in_brief(undo), one_more));
                    let half = one_more > width.div_ceil(2) - 4;
                    let taken = set(&shown, width).len();
                    assert!(half || set(&longer, width).len() > taken, "{width}: {shown:?}");
                } else {
                    assert!(label.ends_with(undo), "{width}: {label}");
                }
            }
        }
        let label = |width, most| {
            let shown = lines(&taking_back(Place::Choice, "1 EXH, 9"), width, most).concat();
            shown.into_iter().find(takes_back).unwrap().label.into_owned()
        };
        assert_eq!(label(40, LINES), "undo 1 EXH, 9");
        assert_eq!(label(40, 1), "undo 1 EXH, 9");
        assert_eq!(label(160, LINES), "takes back: 1 EXH, 9");
    }
}
