//! What must stand whole, or say what it is, in windows of 40 to 60 columns.

use crate::reviews::{shop, shot};
use crate::walk::{every_screen, paint_view};
use cowlside::guide::Typed;
use cowlside::report::sheet::{Block, laid_out};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::screens::Note;
use cowlside::tui::screens::session::SessionView;
use cowlside::tui::view::View;
use cowlside::tui::widgets::digits::Ink;

/// Everything painted, in one line.
fn flat(view: &View, (width, height): (u16, u16)) -> String {
    let picture = paint_view(view, width, height);
    let words = picture.lines().flat_map(|line| line.trim_matches('|').split_whitespace());
    words.collect::<Vec<_>>().join(" ")
}

#[test]
fn what_is_signed_for_stands_whole_from_forty_by_twelve_on() {
    let mut looked_at = 0;
    for view in every_screen() {
        let View::Question(question) = &view else { continue };
        if !["Sign and close", "One sentence for the owner"]
            .contains(&question.prompt.title.as_str())
        {
            continue;
        }
        let sentence = &question.prompt.lines[0];
        for size in [(40, 12), (60, 20), (80, 24), (160, 50)] {
            let flat = flat(&view, size);
            assert!(flat.contains(sentence.as_str()), "{size:?}: {sentence}\n{flat}");
        }
        looked_at += 1;
    }
    assert_eq!(looked_at, 2);
}

#[test]
fn which_way_to_turn_stands_before_a_note_of_what_was_kept() {
    let mut looked_at = 0;
    for view in every_screen() {
        let View::Question(mut question) = view else { continue };
        if !question.prompt.lines.first().is_some_and(|line| line.starts_with("Never back")) {
            continue;
        }
        let note = "saved: passed over: the manual allows it until the next check";
        question.around.note = Some(Note::done(note));
        let shown = flat(&View::Question(question.clone()), (40, 12));
        assert!(shown.contains("Never back") && shown.contains("saved: passed over"), "{shown}");
        // A verdict is not cut for it.
        let verdict = "saved: nut of 1 exhaust locked, gauged after: 12 · IN LIMITS";
        question.around.note = Some(Note::done(verdict));
        let shown = flat(&View::Question(question), (40, 12));
        assert!(shown.contains("IN LIMITS"), "{shown}");
        looked_at += 1;
    }
    assert!(looked_at > 0);
}

#[test]
fn a_record_is_set_for_the_window_and_says_everything_in_any() {
    let mut looked_at = 0;
    for view in every_screen() {
        let View::List(list) = &view else { continue };
        let Some(sheet) = &list.sheet else { continue };
        looked_at += 1;
        for width in 40..100_u16 {
            let pieces = laid_out(sheet, usize::from(width));
            let too_wide = |line: &&str| line.chars().count() > usize::from(width);
            assert_eq!(pieces.concat().lines().find(too_wide), None, "{width}");
            let mut head = None;
            for (block, piece) in sheet.iter().zip(&pieces) {
                let Block::Row(cells, _) = block else {
                    head = head.filter(|_| matches!(block, Block::Line(..)));
                    continue;
                };
                if head.is_none() {
                    head = Some(cells);
                    continue;
                }
                let said = piece.split_whitespace().collect::<Vec<_>>().join(" ");
                let missing = |cell: &&String| !said.contains(cell.trim());
                assert_eq!(cells.iter().find(missing), None, "{width}: {said}");
            }
        }
        // What a narrow window paints is the sheet in its width: no line is broken a second time.
        let lines = laid_out(sheet, 60).concat();
        let painted = paint_view(&view, 60, 20);
        let first = lines.lines().find(|line| line.len() > 50).unwrap();
        assert!(painted.contains(first), "{first}\n{painted}");
    }
    assert!(looked_at > 0);
}

/// Questions have large words: what is to be done, the valve, the verdict, or what is asked for. Where
/// they only say again what the question says they give way to it, and to nothing else.
#[test]
fn every_question_of_a_session_has_something_large() {
    let (mut looked_at, mut large) = (0, 0);
    for view in every_screen() {
        let View::Question(question) = &view else { continue };
        // Leaving asks about the program, not about the engine.
        if question.prompt.place.is_empty() {
            continue;
        }
        let asked = &question.prompt.ask;
        let Some(big) = &question.prompt.big else { panic!("{asked}: nothing is large") };
        let drawn = |letter: char| {
            letter.is_ascii_uppercase() || letter.is_ascii_digit() || ".,-+/°".contains(letter)
        };
        assert!(big.text.chars().all(|letter| letter == ' ' || drawn(letter)), "{}", big.text);
        looked_at += 1;
        let picture = paint_view(&view, 80, 24);
        let blocks = |line: &&str| line.contains(['█', '▀', '▄']);
        let rows = picture.lines().filter(blocks).count();
        if rows >= 3 {
            large += 1;
        } else {
            // There must be no room for three rows more.
            let free = picture.lines().filter(|line| line.trim_matches(['|', ' ']).is_empty());
            assert!(free.count() < 5, "{asked}\n{picture}");
        }
    }
    assert!(looked_at > 120 && large * 100 > looked_at * 90, "{large} of {looked_at}");
}

#[test]
fn a_number_typed_where_a_word_gives_way_stands_in_its_place_as_large() {
    let mut looked_at = 0;
    for view in every_screen() {
        let View::Question(mut question) = view else { continue };
        let gives_way = question.prompt.big.as_ref().is_some_and(|big| big.gives_way);
        if !gives_way || !question.prompt.field.is_number() {
            continue;
        }
        let rows = |question: &SessionView| {
            let picture = paint_view(&View::Question(Box::new(question.clone())), 80, 24);
            let blocks = |line: &&str| line.contains(['█', '▀', '▄']);
            picture.lines().filter(blocks).count()
        };
        question.entry = String::new();
        let word = rows(&question);
        question.entry = "618.5".into();
        assert!(word >= 5 && rows(&question) == word, "{}", question.prompt.ask);
        looked_at += 1;
    }
    assert!(looked_at >= 3, "{looked_at}");
}

#[test]
fn how_many_lines_have_no_room_is_told_behind_no_answer_and_cuts_no_question() {
    let (mut marked, mut waiting) = (0, 0);
    for view in every_screen() {
        let View::Question(question) = &view else { continue };
        let picture = paint_view(&view, 40, 12);
        let lines: Vec<&str> = picture.lines().map(|line| line.trim_matches('|').trim()).collect();
        let prompt = &question.prompt;
        for line in lines.iter().filter(|line| line.ends_with(" more: ?)")) {
            let before = line.rsplit_once(" (").unwrap().0;
            // In our own notation 25+6 is two leaves: what is hidden is no part of a figure.
            assert!(!line.contains(" +"), "{picture}");
            let answers = prompt.field.choices.iter().map(|choice| &choice.label);
            let cut = before.trim_end_matches("..");
            let answer =
                answers.into_iter().any(|label| label.len() > 3 && cut.contains(label.as_str()));
            let question = before.ends_with("..") && prompt.ask.starts_with(cut);
            assert!(!answer && !question, "{picture}");
            marked += 1;
        }
        // A heading of gauging ends where its words end.
        let heading = lines.iter().find(|line| line.starts_with("Gauge ") && line.contains(".."));
        assert_eq!(heading, None, "{picture}");
        if prompt.field.typed == Some(Typed::Digit) {
            let says = lines.last().unwrap().starts_with("digit, Enter ");
            assert_eq!(says, question.entry.is_empty(), "{picture}");
            waiting += usize::from(says);
        }
    }
    assert!(marked > 20 && waiting > 5, "{marked} {waiting}");
}

#[test]
fn an_engines_name_with_a_dot_in_it_is_not_cut_there() {
    let desk = |engine: &str| Desk::Beginning {
        id: "a".into(),
        engine: engine.into(),
        damaged: Vec::new(),
        last: None,
        asks_folder: false,
        profile: None,
    };
    for name in ["Shop · left", "Shop · right"] {
        let mut app = shop();
        app.job = Some(Bench::new(desk(name), Ink::Blocks));
        let shown = shot(&app, (40, 12));
        assert!(shown.contains(name), "{shown}");
        // Too long for the line it loses its middle, not its end.
        let long = format!("{name} of the hangar by the river with the green doors");
        app.job = Some(Bench::new(desk(&long), Ink::Blocks));
        let shown = shot(&app, (40, 12));
        assert!(shown.contains("Shop · ") && shown.contains("..ors"), "{shown}");
    }
}
