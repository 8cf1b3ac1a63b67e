//! Screens in nothing but ASCII: words get stand-ins before they are set into lines, and what is
//! drawn in cells (frames of boxes, foreign text) afterwards.

use super::screens::frame::Around;
use super::screens::picture::Pictured;
use super::view::View;
use super::widgets::drawing::Drawing;
use super::widgets::engine::EngineView;
use super::widgets::picture::PictureView;
use crate::domain::ascii::{ascii, one};
use crate::report::end_view::EndView;
use crate::report::sheet::Block;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

/// What a message or an open item begins with: no key is called so.
const BULLET: &str = "|";

fn word(text: &mut String) {
    if !text.is_ascii() {
        *text = ascii(text);
    }
}

fn words<'a>(texts: impl IntoIterator<Item = &'a mut String>) {
    texts.into_iter().for_each(word);
}

/// Puts a stand-in into every text of a screen.
pub fn spell(view: &mut View) {
    match view {
        View::Notice(view) => {
            word(&mut view.hint);
            words(&mut view.lines);
        }
        View::List(view) => {
            around(&mut view.around);
            word(&mut view.title);
            words(view.lines.iter_mut().chain(&mut view.head));
            words(view.rows.iter_mut().flatten());
            view.sheet = view.sheet.as_ref().map(|sheet| sheet.iter().map(block).collect());
            if let Some(drawn) = &mut view.drawn {
                words(&mut drawn.lines);
                drawn.engine.iter_mut().for_each(engine);
            }
            view.engine.iter_mut().for_each(engine);
        }
        View::Past(view) => {
            around(&mut view.around);
            word(&mut view.page.title);
            words(&mut view.page.lines);
            word(&mut view.sifted);
            words(view.page.head.iter_mut().chain(view.page.rows.iter_mut().flatten()));
        }
        View::Picture(view) => {
            around(&mut view.around);
            word(&mut view.title);
            match &mut view.picture {
                Pictured::Stop(picture) => of_picture(picture),
                Pictured::Engine(drawn, _) => engine(drawn),
            }
        }
        View::Help(view) => {
            around(&mut view.around);
            word(&mut view.title);
            words(view.lines.iter_mut().map(|line| &mut line.text));
        }
        View::Question(view) => {
            around(&mut view.around);
            let prompt = &mut view.prompt;
            words([&mut prompt.title, &mut prompt.ask, &mut view.entry, &mut view.taken_for]);
            // The large words are drawn by spots.
            words(prompt.big.iter_mut().map(|big| &mut big.caption));
            words(prompt.lines.iter_mut().chain(&mut prompt.told).chain(&mut prompt.field.enter));
            words(prompt.shorter.iter_mut().flat_map(|shorter| shorter.texts()));
            words(prompt.field.choices.iter_mut().map(|choice| &mut choice.label));
            view.engine = view.engine.take().map(of_drawing);
            view.picture.iter_mut().for_each(of_picture);
        }
    }
}

/// A piece of a sheet in plain characters.
fn block(block: &Block) -> Block {
    match block {
        Block::Blank => Block::Blank,
        Block::Heading(heading) => Block::Heading(ascii(heading)),
        Block::Line(first, words) => Block::Line(ascii(first), ascii(words)),
        Block::Field(label, words) => Block::Field(ascii(label), ascii(words)),
        Block::Row(cells, widths) => {
            Block::Row(cells.iter().map(|cell| ascii(cell)).collect(), widths.clone())
        }
        Block::Drawn(line) => Block::Drawn(ascii(line)),
        Block::Rule => Block::Rule,
        Block::Page => Block::Page,
    }
}

fn of_picture(picture: &mut PictureView) {
    let said = &mut picture.words;
    words(said.dial.iter_mut().chain(&mut said.marks).chain(&mut said.lifts));
}

fn around(around: &mut Around) {
    words([&mut around.status, &mut around.hours]);
    words(around.open.iter_mut().chain(&mut around.places).chain(&mut around.alert));
    if let Some(note) = &mut around.note {
        word(&mut note.text);
    }
    let typing =
        around.typing.iter_mut().flat_map(|(always, before)| always.iter_mut().chain(before));
    for hint in around.hints.iter_mut().chain(typing) {
        word(hint.label.to_mut());
        words(&mut hint.brief);
    }
}

fn of_drawing(drawing: Drawing) -> Drawing {
    let mut spelt = EngineView::clone(&drawing);
    engine(&mut spelt);
    spelt.into()
}

fn engine(engine: &mut EngineView) {
    words([&mut engine.above, &mut engine.below, &mut engine.seen, &mut engine.shape]);
    words(engine.end.iter_mut().flat_map(EndView::texts));
    for bank in &mut engine.banks {
        word(&mut bank.name);
        words(bank.cylinders.iter_mut().map(|cylinder| &mut cylinder.name));
    }
}

/// Puts a stand-in into every cell that still holds something else.
pub fn draw(area: Rect, buf: &mut Buffer) {
    let area = area.intersection(buf.area);
    for row in area.rows() {
        for place in row.columns() {
            let letter = buf.cell((place.x, place.y)).and_then(|cell| cell.symbol().chars().next());
            if let Some(letter) = letter.filter(|letter| !letter.is_ascii()) {
                // A dash that begins a line looks like the key that takes back.
                let begins = letter == '·' && place.x == area.x;
                let sign = if begins { BULLET } else { one(letter) };
                buf.set_stringn(place.x, place.y, sign, 1, Style::new());
            }
        }
    }
}
