//! The screens in nothing but ASCII: every word has its stand-ins before it is set and cut.

use super::{TO_THE_FIRST_STOP, Walk, known, whole_service};
use cowlside::guide::help::WIDTH;
use cowlside::tui::app::Top;
use cowlside::tui::ascii;
use cowlside::tui::theme::Theme;
use ratatui::buffer::{Buffer, Cell};
use ratatui::layout::Rect;

#[test]
fn every_word_of_every_screen_is_spelled_before_it_is_set() {
    let walk = whole_service("12");
    let area = Rect::new(0, 0, 80, 24);
    let mut looked_at = 0;
    for met in &walk.met {
        let (mut view, mut buf) = (met.view.clone(), Buffer::empty(area));
        ascii::spell(&mut view);
        view.paint(Theme::plain(), area, &mut buf);
        for row in buf.content().chunks(80) {
            let row: String = row.iter().map(Cell::symbol).collect();
            // A dot before the note is painted; its stand-in is of one cell, too.
            let drawn = |letter: char| matches!(letter, '·' | '\u{2500}'..='\u{259f}');
            assert!(row.chars().all(|letter| letter.is_ascii() || drawn(letter)), "{row}");
        }
        looked_at += 1;
    }
    assert!(looked_at > 50, "{looked_at}");
}

#[test]
fn the_help_is_set_in_the_letters_it_is_shown_in() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("i ?");
    let Top::Help(help) = &walk.app().top else { panic!("{}", walk.screen()) };
    let lines: Vec<&str> = help.lines.iter().map(|line| line.text.as_str()).collect();
    assert!(lines.iter().any(|line| line.contains(" deg short to ")), "{lines:#?}");
    for line in lines {
        assert!(line.is_ascii() && line.len() <= WIDTH, "{line}");
    }
}
