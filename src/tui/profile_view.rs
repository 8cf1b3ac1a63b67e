//! Puts the form of a profile into words for its screen.

use super::ascii;
use super::paging::Shown;
use super::profile_desk::{Asked, Judged, ProfileDesk, graver, judged};
use super::profile_keys;
use super::screens::frame::Around;
use super::screens::help::{self, HelpView};
use super::screens::profile_form::{self, Drawing, Line, ProfileFormView, Standing};
use super::theme::Role;
use super::widgets::text::{columns, wrap};
use crate::domain::profile::Shape;
use crate::guide::kinds;
use crate::guide::profile_form::{Fault, Field, Grave, Page, Sketch, words_of};
use crate::report::end_view::EndView;
use crate::report::layout_drawing;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Columns that the words beside the drawing may take.
const BESIDE: u16 = 28;
/// Rows of the cylinders of its end view, the best first.
const END_ROWS: [u16; 2] = [4, 3];

/// Puts the form into a screen.
pub fn view(desk: &ProfileDesk) -> ProfileFormView {
    let Judged { left, signs } = judged(desk);
    let fields = desk.fields();
    let mut lines: Vec<Line> = fields.iter().map(|field| line(desk, field, &signs)).collect();
    let doubts = desk.doubted().count();
    let to_do = left_to_do(&left, doubts);
    lines.push(Line {
        label: "write the profile".into(),
        text: if to_do.is_empty() { "Enter: it is sound".into() } else { String::new() },
        brief: in_brief(&left, doubts),
        beside: to_do,
        standing: Standing::Good,
    });
    let Asking { ask, choices, entry, says } = asked(desk, &signs, left_to_do(&left, doubts));
    let keys = profile_keys::hints(desk).into_iter();
    let replaced = |field: Field| desk.asked == Asked::Nothing && desk.replaces(&field);
    ProfileFormView {
        replaced: desk.field().is_some_and(replaced) || desk.asked == Asked::Unit && desk.answer.1,
        titles: titles(desk, &left, doubts),
        lines,
        cursor: desk.row.min(fields.len()),
        ask,
        choices,
        entry,
        says,
        drawing: desk
            .form
            .sketch()
            .map_or(Drawing::default(), |sketch| drawing(&sketch, desk.ink.is_plain())),
        note: desk.note.clone(),
        keys: keys.map(|hint| format!("{} {}", hint.key, hint.label)).collect(),
    }
}

/// The page, what is left to do and what is made, in several lengths, the longest first.
fn titles(desk: &ProfileDesk, faults: &[Fault], doubts: usize) -> Vec<String> {
    let page = Page::ALL.iter().position(|page| *page == desk.page).unwrap_or(0) + 1;
    let (page, title) = (format!("{page} of {}", Page::ALL.len()), desk.page.title());
    let left = match left_to_do(faults, doubts) {
        left if left.is_empty() => "it is sound".into(),
        left => left,
    };
    let short = left.replace(['(', ')'], "");
    vec![
        format!("{page} {title} · {left} · {}", desk.title),
        format!("{page} {title} · {left}"),
        format!("{page} {title} · {short}"),
        format!("{page} · {short}"),
    ]
}

/// The engine as far as it is typed, for any window.
fn drawing(sketch: &Sketch, plain: bool) -> Drawing {
    let drawn = layout_drawing::drawing(&sketch.facts);
    // Its captions begin at the margin and are words; the rest must not be broken.
    let caption = |line: &String| !line.starts_with(' ');
    let bare: Vec<&String> = drawn.iter().filter(|line| !caption(line)).collect();
    let indent = |line: &&String| line.len() - line.trim_start().len();
    let margin = bare.iter().map(indent).min().unwrap_or(0);
    let bare: Vec<String> =
        bare.iter().map(|line| line.get(margin..).unwrap_or_default().to_owned()).collect();
    let mut paired = bare.clone();
    paired.extend((!sketch.opposites.is_empty()).then(|| sketch.opposites.clone()));
    let mut full: Vec<String> = drawn
        .into_iter()
        .flat_map(|line| if caption(&line) { wrap(&line, BESIDE) } else { vec![line] })
        .collect();
    full.extend(wrap(&sketch.opposites, BESIDE));
    let larger = larger(sketch, plain, &full);
    let banks = layout_drawing::strip(&sketch.facts);
    let row = banks.join(" | ");
    let mut strips = vec![vec![row.clone()], banks.clone()];
    if !sketch.opposites.is_empty() {
        let mut each = banks;
        each.push(sketch.opposites.clone());
        strips.insert(0, vec![format!("{row} · {}", sketch.opposites)]);
        strips.insert(1, vec![row, sketch.opposites.clone()]);
        strips.insert(2, each);
    }
    Drawing { larger, full, paired, bare, strips }
}

/// The drawing with what shape it has, and with how it looks from its end: no wider, so that the fields keep
/// their room. Nothing of a radial, which shows what it is.
fn larger(sketch: &Sketch, plain: bool, full: &[String]) -> Vec<Vec<String>> {
    let width = full.iter().map(|line| columns(line)).max().unwrap_or(0);
    let fits = |lines: &Vec<String>| lines.iter().all(|line| columns(line) <= width);
    let spelt =
        |text: &str| if plain { crate::domain::ascii::ascii(text) } else { text.to_owned() };
    let mut named = vec![spelt(&format!("{}:", kinds::shape(&sketch.facts)))];
    named.extend_from_slice(full);
    let mut end = EndView::new(&sketch.facts);
    let texts = end.iter_mut().flat_map(EndView::texts);
    texts.for_each(|text| *text = spelt(text));
    let end = end.and_then(|end| END_ROWS.map(|long| end.lines(long)).into_iter().find(fits));
    let with_end = end.map(|end| [named.clone(), vec![String::new()], end].concat());
    let radial = sketch.facts.layout.shape == Shape::Radial;
    with_end.into_iter().chain([named]).filter(|lines| !radial && fits(lines)).collect()
}

/// Paints the form; returns which part of its help it shows.
pub fn paint(desk: &ProfileDesk, area: Rect, buf: &mut Buffer) -> Option<Shown> {
    let shown = match &desk.help {
        None => {
            profile_form::paint(&view(desk), desk.paints(), area, buf);
            None
        }
        Some(help) => {
            let around = Around {
                status: desk.title.clone(),
                hints: profile_keys::hints(desk),
                ..Around::default()
            };
            let (title, lines) = (help.title.clone(), help.lines.clone());
            let mut view = HelpView { around, title, lines, first: help.first, ink: desk.ink };
            // Where all of it is seen no key goes further.
            let shown = help::paint(&view, desk.paints(), area, &mut Buffer::empty(area));
            if shown.is_some_and(|shown| shown.first == 0 && shown.end >= shown.all) {
                view.around.hints.retain(|hint| hint.label != profile_keys::FURTHER);
            }
            help::paint(&view, desk.paints(), area, buf)
        }
    };
    if desk.ink.is_plain() {
        ascii::draw(area, buf);
    }
    shown
}

fn line(desk: &ProfileDesk, field: &Field, faults: &[Fault]) -> Line {
    let fault = graver(faults, &field.path);
    let doubt = desk.doubt_of(field).filter(|_| fault.is_none());
    let text = desk.form.text(&field.path).to_string();
    let (standing, beside) = match (&fault, &doubt) {
        (Some(fault), _) if fault.grave == Grave::Wrong => (Standing::Wrong, fault.must.clone()),
        (Some(fault), _) => (Standing::Missing, fault.must.clone()),
        (None, Some(doubt)) => (Standing::Doubted, doubt.asked.clone()),
        (None, None) => (Standing::Good, other_unit(&text, &desk.form.comes_to(field))),
    };
    Line { label: field.label.clone(), text, beside, brief: String::new(), standing }
}

/// What a field comes to; of both units only the one that was not typed.
fn other_unit(text: &str, comes_to: &str) -> String {
    match comes_to.strip_prefix(text) {
        Some(rest) if !text.is_empty() => rest.trim().to_string(),
        Some(_) | None if comes_to.is_empty() => String::new(),
        Some(_) | None if says_the_same(text, comes_to) => {
            comes_to.find('(').and_then(|at| comes_to.get(at..)).unwrap_or_default().to_string()
        }
        Some(_) | None => format!("= {comes_to}"),
    }
}

/// Tells whether a figure was typed with the unit and the value that its words begin with: "0.3 mm" of
/// "0.30 mm (0.0118 in)".
fn says_the_same(typed: &str, comes_to: &str) -> bool {
    let figure = |text: &str| {
        let (digits, unit) = text.trim().split_once(' ')?;
        Some((digits.parse::<f64>().ok()?, unit.to_owned()))
    };
    let main = comes_to.split_once('(').map_or(comes_to, |(main, _)| main);
    figure(typed).is_some_and(|typed| figure(main) == Some(typed))
}

/// Counts what is wrong, and what is missing.
fn counted(faults: &[Fault]) -> (usize, usize) {
    let count = |grave| faults.iter().filter(|fault| fault.grave == grave).count();
    (count(Grave::Wrong), count(Grave::Missing))
}

/// Says in a few words what is left to do before the profile can be written; a figure that is asked
/// about is no sound one yet.
fn left_to_do(faults: &[Fault], doubts: usize) -> String {
    match counted(faults) {
        (0, 0) if doubts == 0 => String::new(),
        (0, 0) => format!("{doubts} to confirm (?)"),
        (0, missing) => format!("{missing} to fill in (*)"),
        (wrong, 0) => format!("{wrong} to correct (!)"),
        (wrong, missing) => format!("{wrong} to correct (!), {missing} to fill in (*)"),
    }
}

/// The same where there is hardly any room: by the signs alone.
fn in_brief(faults: &[Fault], doubts: usize) -> String {
    let (wrong, missing) = counted(faults);
    let counts = [(wrong, "!"), (missing, "*"), (if faults.is_empty() { doubts } else { 0 }, "?")];
    let counts = counts.into_iter().filter(|(count, _)| *count > 0);
    let signs: Vec<String> = counts.map(|(count, sign)| format!("{count} {sign}")).collect();
    if signs.is_empty() { String::new() } else { format!("{} to do", signs.join(", ")) }
}

/// What is asked, which digits answer, what stands in the entry, and what is said of it.
#[derive(Default)]
struct Asking {
    ask: String,
    choices: Vec<String>,
    entry: Option<String>,
    says: Vec<(String, Role)>,
}

fn asked(desk: &ProfileDesk, faults: &[Fault], to_do: String) -> Asking {
    let choose = |ask: &str, choices: &[&str]| {
        let choices = choices.iter().map(|choice| (*choice).to_owned()).collect();
        Asking { ask: ask.into(), choices, ..Asking::default() }
    };
    match &desk.asked {
        Asked::Doubt(doubt) => choose(&doubt.words, &["1 it is right as typed", "2 correct it"]),
        Asked::Unit => {
            let figure = desk.field().map(|field| desk.form.text(&field.path).to_owned());
            let ask = format!("In which unit is {}?", figure.unwrap_or_default());
            let entry = Some(desk.answer.0.clone());
            Asking { entry, ..choose(&ask, &["1 mm", "2 in, or thou"]) }
        }
        Asked::ThrowAway => choose(
            &format!("Throw away what is typed in {} fields?", desk.form.filled_in()),
            &["1 go on", "2 throw it away"],
        ),
        Asked::Leave if to_do.is_empty() => {
            choose("Not written yet.", &["1 write it", "2 go on", "3 throw it away"])
        }
        // What cannot be written yet is not offered to be.
        Asked::Leave => choose(
            &format!("Not written yet: {to_do}."),
            &["1 see to that", "2 go on", "3 throw it away"],
        ),
        Asked::Name => Asking {
            ask: "Name of the file: small letters, digits, hyphens".into(),
            entry: Some(desk.name.clone()),
            ..Asking::default()
        },
        Asked::Replace => choose(
            &format!("You have a profile \"{}\" already.", desk.name),
            &["1 replace it", "2 another name"],
        ),
        Asked::Nothing => match desk.field() {
            Some(field) => of_field(desk, &field, faults),
            None => of_writing(desk, faults),
        },
    }
}

fn of_writing(desk: &ProfileDesk, faults: &[Fault]) -> Asking {
    let first = faults.iter().take(2).map(|fault| (fault.words.clone(), Role::Warning));
    let mut says: Vec<(String, Role)> = first.collect();
    says.extend(desk.form.warnings().into_iter().map(|words| (words, Role::Warning)));
    let ask = match (faults.is_empty(), desk.doubted().next()) {
        (true, None) => "Enter writes it; PageDown has what else the manual tells",
        (true, Some(_)) => "Enter asks about what is marked ?, then writes it",
        (false, _) => "Enter goes to what is left to do",
    };
    Asking { ask: ask.into(), says, ..Asking::default() }
}

fn of_field(desk: &ProfileDesk, field: &Field, faults: &[Fault]) -> Asking {
    let text = desk.form.text(&field.path).to_string();
    let mut says = Vec::new();
    // A point gone wrong explains what else is wrong with a figure.
    says.extend(desk.doubt_of(field).map(|doubt| (doubt.words, Role::Warning)));
    let noted = |words: &str| desk.note.as_ref().is_some_and(|note| note.text == words);
    let fault = graver(faults, &field.path).filter(|fault| fault.grave == Grave::Wrong);
    says.extend(
        fault.filter(|fault| !noted(&fault.words)).map(|fault| (fault.words, Role::Warning)),
    );
    says.extend(desk.form.unlikely_order(field).into_iter().map(|words| (words, Role::Warning)));
    let comes_to = desk.form.comes_to(field);
    if !comes_to.is_empty() {
        says.push((comes_to, Role::Good));
    }
    let still = desk.form.still_to_come(field);
    if !still.is_empty() && says.is_empty() {
        says.push((still, Role::Text));
    }
    if let Some(taken) = desk.taken_by_enter(field) {
        says.push((format!("Enter takes {taken}"), Role::Good));
    }
    let words = words_of(field.kind);
    if !words.is_empty() {
        let numbered = words.iter().enumerate().map(|(at, word)| format!("{} {word}", at + 1));
        says.push((numbered.collect::<Vec<_>>().join(", "), Role::Text));
    } else if text.is_empty() && desk.form.proposals(field).len() > 1 {
        let proposals: Vec<String> = desk.form.proposals(field).into_iter().take(6).collect();
        says.push((format!("right arrow: {}", proposals.join(" · ")), Role::Text));
    }
    let ask = format!("{}: {}", field.label, field.say);
    Asking { ask, entry: Some(text), says, ..Asking::default() }
}
