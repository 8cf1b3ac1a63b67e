//! A mechanic at the form of a profile: every key goes through the table of keys, and what is seen on the
//! screen leads on. A flat four is made, copied and changed, with slips on the way that are undone.
#![expect(clippy::unwrap_used, clippy::panic, reason = "test code: a broken walk must stop")]

use cowlside::cli::profile_form::write;
use cowlside::cli::workshop::Workshop;
use cowlside::domain::profile::{EngineProfile, Facts};
use cowlside::domain::units::Length;
use cowlside::guide::profile_form::{Form, Page};
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profile_writer::{document_of, judge, text_of};
use cowlside::store::profiles::BUILT_IN;
use cowlside::tui::keymap::Hint;
use cowlside::tui::profile_desk::{Asked, Done, Key, ProfileDesk, Wish};
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::{profile_keys, profile_view};
use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::collections::BTreeSet;
use std::path::Path;

pub fn known() -> Vec<Facts> {
    BUILT_IN.iter().map(|(name, text)| (*parse_profile(text, name).unwrap()).clone()).collect()
}

/// A form before a mechanic, the workshop that it writes into, and the name and text of the profile
/// of his own that it was opened with.
struct Seat {
    desk: ProfileDesk,
    workshop: Workshop,
    own: Option<(String, String)>,
    written: Option<String>,
    left: bool,
}

impl Seat {
    fn at(form: Form, home: &Path) -> Seat {
        let theme = (ThemeName::Terminal, Colours::Off);
        let desk = ProfileDesk::new(form, "A profile".into(), String::new(), theme);
        let workshop = Workshop::at(home);
        Seat { desk, workshop, own: None, written: None, left: false }
    }

    /// Presses keys: words name keys, anything else is typed; `_` is a blank.
    fn press(&mut self, keys: &str) -> &mut Self {
        for word in keys.split_whitespace() {
            let code = match word {
                "Enter" => Some(KeyCode::Enter),
                "Esc" => Some(KeyCode::Esc),
                "Backspace" => Some(KeyCode::Backspace),
                "Up" => Some(KeyCode::Up),
                "Down" => Some(KeyCode::Down),
                "Left" => Some(KeyCode::Left),
                "Right" => Some(KeyCode::Right),
                "PageUp" => Some(KeyCode::PageUp),
                "PageDown" => Some(KeyCode::PageDown),
                _ => None,
            };
            let codes = code.map_or_else(
                || word.replace('_', " ").chars().map(KeyCode::Char).collect(),
                |code| vec![code],
            );
            for code in codes {
                self.key(KeyEvent::new(code, KeyModifiers::NONE));
            }
        }
        self
    }

    fn key(&mut self, event: KeyEvent) {
        let Some(key) = profile_keys::key(event, &self.desk) else { return };
        let (next, wish) = self.desk.press(&key);
        self.desk = next;
        match wish {
            None => {}
            Some(Wish::Leave) => self.left = true,
            Some(Wish::Write { name, replace }) => {
                let document = self.desk.form.document();
                let done = write(&self.workshop, &document, &name, replace, self.own.as_ref());
                if let Done::Written(place) = &done {
                    self.written = Some(place.clone());
                }
                self.desk.with(done);
            }
        }
    }

    fn screen(&self, width: u16, height: u16) -> String {
        let area = Rect::new(0, 0, width, height);
        let mut buf = Buffer::empty(area);
        profile_view::paint(&self.desk, area, &mut buf);
        let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
        (0..height).map(|y| row(y).trim_end().to_string() + "\n").collect()
    }

    /// Checks that the screen says something, whatever the breaks of its lines.
    fn says(&mut self, words: &str) -> &mut Self {
        let screen = self.screen(80, 24);
        let flat = screen.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(words), "{words}\n{screen}");
        self
    }

    fn profile(&self) -> EngineProfile {
        let text = std::fs::read_to_string(self.written.as_ref().unwrap()).unwrap();
        parse_profile(&text, "walk").unwrap()
    }
}

const MM: i64 = 1_000_000;

#[test]
fn a_flat_four_is_made_with_slips_that_are_seen_and_undone() {
    let home = tempfile::tempdir().unwrap();
    let mut seat = Seat::at(Form::new(judge, known()), home.path());
    seat.says("shape: how the cylinders lie").says("Enter takes opposed");
    // A question mark explains the question, and again gives it back.
    seat.press("?")
        .says("How the cylinders lie")
        .says("What goes wrong")
        .press("?")
        .says("shape: how");
    seat.press("Enter Enter");
    // An order with one cylinder twice: told in the words of the form.
    seat.press("1-2-2-4").says("firing order is 1-2-2-4, but must name each cylinder from 1 to 4");
    assert!(!seat.screen(80, 24).contains('`'), "{}", seat.screen(80, 24));
    seat.press("Backspace Backspace Backspace Backspace Backspace 3-2-4");
    seat.says("opposites 1-2 · 3-4").press("Enter");
    // Banks: the proposals are taken; the engine is drawn, with cylinder 1 in it.
    seat.press("Enter Enter Enter Enter").says("seen from above").says("opposites 1-2 · 3-4");
    // The wrong adjuster by number, then the right one.
    seat.press("2").press("Up Down Backspace Backspace Backspace Backspace");
    seat.press("1 Enter Flat_four,_walk Enter");
    // A point too far to the right.
    seat.press("0.15_in").says("Did you mean 0.015 in or 0.15 mm?");
    seat.press("Backspace Backspace Backspace mm Enter 0.20 Enter 0.10 Enter");
    seat.says("!").press("Up").says("intake most");
    // Least and most the wrong way round: told by the names of the questions.
    let faults = seat.desk.form.faults();
    let told = faults.iter().map(|fault| fault.words.clone()).collect::<Vec<_>>().join("; ");
    assert!(told.contains("intake least") && !told.contains("valves."), "{told}");
    seat.press(
        "Up Backspace Backspace Backspace Backspace Backspace Backspace Backspace 0.10 Enter",
    );
    seat.press("Backspace Backspace Backspace Backspace Backspace Backspace Backspace 0.20 Enter");
    seat.press("0.25 Enter 0.20 Enter 0.30 Enter").says("Enter: it is sound");
    seat.press("Enter").says("Name of the file").says("flat-four-walk");
    seat.press("Enter");
    let (profile, form) = (seat.profile(), seat.desk.form.profile().unwrap());
    assert_eq!(profile, form, "what is on disk is what was typed");
    let order: Vec<String> = profile.firing_order.iter().map(ToString::to_string).collect();
    assert_eq!((order.join("-"), profile.name.as_str()), ("1-3-2-4".into(), "Flat four, walk"));
    let banks: Vec<&str> = profile.layout.banks.iter().map(|bank| bank.name.as_str()).collect();
    assert_eq!(banks, ["right", "left"]);
    let (intake, exhaust) = (profile.intake.cold.unwrap(), profile.exhaust.cold.unwrap());
    let figures =
        [intake.least, intake.target, intake.most, exhaust.least, exhaust.target, exhaust.most];
    let typed = [10, 15, 20, 20, 25, 30].map(|hundredths| Length::from_nm(hundredths * MM / 100));
    assert_eq!(figures, typed);
}

#[test]
fn a_profile_is_copied_changed_and_its_own_file_replaced_only_when_told() {
    let home = tempfile::tempdir().unwrap();
    let text = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    let before = parse_profile(text, "flat-four").unwrap();
    let form = Form::of(&document_of(text).unwrap(), judge, known()).unwrap();
    let mut seat = Seat::at(form, home.path());
    seat.desk.name = "my-four".into();
    // To the manual, on the second page.
    seat.press("PageDown").says("manual");
    let was = seat.desk.form.text("source.document").chars().count();
    for _ in 0..was {
        seat.press("Backspace");
    }
    // In a text the question mark is text.
    seat.press("Own_manual?").says("Own manual?").press("Backspace Enter");
    // Leaving asks; going on loses nothing; then it is written.
    seat.press("Esc").says("1 write it 2 go on 3 throw it away").press("2").says("Own manual");
    seat.press("Esc 1 Enter");
    let copy = seat.profile();
    assert_eq!(copy.source.document, "Own manual");
    let same = |profile: &EngineProfile| {
        (
            profile.firing_order.clone(),
            profile.layout.clone(),
            profile.intake.clone(),
            profile.adjuster.clone(),
        )
    };
    assert_eq!(same(&copy), same(&before), "nothing else was changed");
    // The file opened again is what was written, and thrown away changes stay off the disk.
    let path = seat.written.clone().unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let form = Form::of(&document_of(&text).unwrap(), judge, known()).unwrap();
    assert_eq!(text_of(&form.document()), text);
    let mut seat = Seat::at(form, home.path());
    seat.press("Down Backspace 6 Esc 3");
    assert!(seat.left);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    // Written over itself only when that is said, and not where something else changed it meanwhile.
    let again = |text: &str| {
        let form = Form::of(&document_of(text).unwrap(), judge, known()).unwrap();
        let mut seat = Seat::at(form, home.path());
        seat.desk.name = "my-four".into();
        seat.own = Some(("my-four".into(), text.to_string()));
        seat.press("PageDown").says("Own manual").press("_B Enter");
        seat.press("Esc 1 Enter");
        seat
    };
    let mut seat = again(&text);
    assert_eq!((&seat.desk.asked, &seat.written), (&Asked::Replace, &None));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    seat.press("1");
    assert_eq!(seat.profile().source.document, "Own manual B");
    let changed = std::fs::read_to_string(&path).unwrap() + "\n";
    let mut seat = again(changed.trim_end());
    std::fs::write(&path, &changed).unwrap();
    seat.press("1").says("was changed by something else since it was opened here");
    assert_eq!((&seat.written, std::fs::read_to_string(&path).unwrap()), (&None, changed));
}

#[test]
fn a_figure_far_from_every_example_is_asked_about_before_it_is_written() {
    let home = tempfile::tempdir().unwrap();
    let text = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    let form = || Form::of(&document_of(text).unwrap(), judge, known()).unwrap();
    assert_eq!(form().doubts(), [], "the examples themselves are believed");
    let mut far = form();
    for (figure, typed) in [("target", "0.15 in"), ("least", "0.10 in"), ("most", "0.20 in")] {
        far.set(&format!("valves.intake.{figure}"), typed);
    }
    let mut seat = Seat::at(far, home.path());
    seat.press("Esc 1");
    assert!(
        matches!(seat.desk.asked, Asked::Doubt(_)),
        "{:?} {}",
        seat.desk.asked,
        seat.screen(80, 24)
    );
    seat.press("Esc").says("intake target");
    for _ in 0..30 {
        seat.press("Down");
    }
    seat.press("Enter").says("Did you mean 0.015 in or 0.15 mm?").says("1 it is right as typed");
    assert_eq!(seat.written, None);
    seat.press("2").says("intake target");
    for _ in 0..30 {
        seat.press("Down");
    }
    seat.press("Enter 1").says("Name of the file").press("Enter");
    let target = seat.profile().intake.cold.unwrap().target;
    assert_eq!(target.nm(), 3_810_000, "as typed, once it was said to be right");
    // A shim engine of the usual clearances and lifters with a hundred times theirs are no slips.
    for (name, text) in BUILT_IN {
        let form = Form::of(&document_of(text).unwrap(), judge, known()).unwrap();
        assert_eq!(form.doubts(), [], "{name}");
    }
}

#[test]
fn every_key_of_the_form_is_told_where_it_works_and_does_what_is_told() {
    let home = tempfile::tempdir().unwrap();
    let mut seat = Seat::at(Form::new(judge, known()), home.path());
    let foot = |seat: &Seat| {
        let hints = profile_keys::hints(&seat.desk).into_iter();
        hints.map(|hint| format!("{} {}", hint.key, hint.label)).collect::<Vec<_>>()
    };
    for (width, height) in [(40, 12), (60, 20), (80, 24), (160, 50)] {
        let screen = seat.screen(width, height);
        assert!(screen.contains("Esc leave") && screen.contains("? help"), "{screen}");
    }
    // The help tells every key, in the words of the table.
    seat.press("?");
    let help = seat.desk.help.clone().unwrap();
    let lines: Vec<String> = help.lines.iter().map(|line| line.text.clone()).collect();
    let words = lines.join(" ").split_whitespace().collect::<Vec<_>>().join(" ");
    for (key, what) in profile_keys::all() {
        assert!(words.contains(&format!("{key}: {what}")), "{key}: {what}\n{words}");
    }
    assert_eq!(foot(&seat), ["Esc back to the form", "up down further"]);
    seat.press("Down").press("x").press("Esc");
    assert!(seat.desk.help.is_none() && seat.desk.form.text("layout.shape").is_empty());
    // Released keys and a held Enter do nothing.
    let released = KeyEvent { kind: KeyEventKind::Release, ..KeyCode::Char('a').into() };
    assert_eq!(profile_keys::key(released, &seat.desk), None);
    let held = KeyEvent { kind: KeyEventKind::Repeat, ..KeyCode::Enter.into() };
    assert_eq!(profile_keys::key(held, &seat.desk), Some(Key::Nothing));
}

#[test]
fn each_key_that_the_foot_of_a_step_names_does_what_is_told() {
    let mut met = BTreeSet::new();
    let text = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    let copied = Form::of(&document_of(text).unwrap(), judge, known()).unwrap();
    let mut far = copied.clone();
    for (figure, typed) in [("target", "0.15 in"), ("least", "0.10 in"), ("most", "0.20 in")] {
        far.set(&format!("valves.intake.{figure}"), typed);
    }
    for form in [Form::new(judge, known()), copied.clone(), far] {
        let mut desk = Seat::at(form, Path::new("nowhere")).desk;
        while desk.page != Page::ALL[Page::ALL.len() - 1] {
            each_row(&mut desk, &mut met);
            desk = pressed(&desk, KeyCode::PageDown).0;
        }
        each_row(&mut desk, &mut met);
    }
    // A figure without its unit, before a digit is typed and after.
    let mut desk = Seat::at(copied.clone(), Path::new("nowhere")).desk;
    while desk.field().unwrap().label != "intake target" {
        desk = pressed(&desk, KeyCode::Down).0;
    }
    for key in [KeyCode::Char('7'), KeyCode::Enter, KeyCode::Char('1')] {
        desk = pressed(&desk, key).0;
        each_key(&desk, &mut met);
    }
    desk = pressed(&pressed(&desk, KeyCode::Enter).0, KeyCode::Esc).0;
    each_key(&desk, &mut met);
    each_key(&pressed(&desk, KeyCode::Char('3')).0, &mut met);
    // The name, with a letter in it and without, and one that there is already.
    let mut desk = Seat::at(copied, Path::new("nowhere")).desk;
    desk.asked = Asked::Name;
    each_key(&desk, &mut met);
    desk.name = "four".into();
    each_key(&desk, &mut met);
    desk.with(Done::Exists);
    each_key(&desk, &mut met);
    assert!(met.len() == 17, "{met:?}");
}

fn pressed(desk: &ProfileDesk, code: KeyCode) -> (ProfileDesk, Option<Wish>) {
    let event = KeyEvent::new(code, KeyModifiers::NONE);
    desk.press(&profile_keys::key(event, desk).unwrap())
}

/// Presses the keys of each row of a page, as it stands, with a letter typed, in its help and in what Enter asks.
fn each_row(desk: &mut ProfileDesk, met: &mut BTreeSet<String>) {
    loop {
        each_key(desk, met);
        each_key(&pressed(desk, KeyCode::F(1)).0, met);
        let asks = [KeyCode::Char('1'), KeyCode::Enter].map(|key| pressed(desk, key).0);
        // Behind a key that was refused Enter says what a second one does.
        asks.iter().filter(|desk| !desk.slipped).for_each(|desk| each_key(desk, met));
        let down = pressed(desk, KeyCode::Down).0;
        if down.row == desk.row {
            return;
        }
        *desk = down;
    }
}

/// Presses each key that the foot names, each from the same place: it does what is told.
fn each_key(desk: &ProfileDesk, met: &mut BTreeSet<String>) {
    let digits = profile_view::view(desk).choices.into_iter();
    let digits: Vec<KeyCode> =
        digits.map(|choice| KeyCode::Char(choice.chars().next().unwrap())).collect();
    let area = Rect::new(0, 0, 80, 24);
    let mut buf = Buffer::empty(area);
    let shown = profile_view::paint(desk, area, &mut buf);
    let all_seen = shown.is_some_and(|shown| shown.first == 0 && shown.end == shown.all);
    let foot: String = (0..80).map(|x| buf[(x, 23)].symbol()).collect();
    assert!(!all_seen || !foot.contains("further"), "{foot}");
    // In a help that is seen whole there is nothing further.
    for hint in profile_keys::hints(desk).into_iter().filter(|it| !all_seen || it.key != "up down")
    {
        met.insert(format!("{} {}", hint.key, hint.label));
        let keys = match hint.key {
            "digit" | "digit, Enter" => digits.clone(),
            "up down" => vec![KeyCode::Up, KeyCode::Down],
            "left right" => vec![KeyCode::Left, KeyCode::Right],
            "Enter" => vec![KeyCode::Enter],
            "Esc" => vec![KeyCode::Esc],
            "Tab" => vec![KeyCode::Tab],
            "PageDown" => vec![KeyCode::PageDown],
            "PageUp" => vec![KeyCode::PageUp],
            "Backspace" => vec![KeyCode::Backspace],
            "?" => vec![KeyCode::Char('?')],
            other => panic!("no key is called {other}"),
        };
        assert!(!keys.is_empty(), "{} {}", hint.key, hint.label);
        let after: Vec<_> = keys.into_iter().map(|key| pressed(desk, key)).collect();
        let done = |(after, wish): &(ProfileDesk, Option<Wish>)| does(desk, &hint, after, wish);
        // At the first row and at the last one only one of the arrows moves.
        let all = match hint.label.as_ref() {
            "move" | "further" => after.iter().any(done),
            _ => after.iter().all(done),
        };
        assert!(all, "{} {} in {:?} at {:?}", hint.key, hint.label, desk.asked, desk.field());
    }
}

/// Tells whether what a key did is what its foot tells.
fn does(before: &ProfileDesk, hint: &Hint, after: &ProfileDesk, wish: &Option<Wish>) -> bool {
    let here = (before.page, before.row) == (after.page, after.row);
    let text = |desk: &ProfileDesk| {
        before.field().map(|field| desk.form.text(&field.path).to_owned()).unwrap_or_default()
    };
    let in_fields = after.asked == Asked::Nothing && after.help.is_none() && wish.is_none();
    let back = in_fields && here && text(before) == text(after);
    match hint.label.as_ref() {
        "leave" => *wish == Some(Wish::Leave),
        "write or leave" => after.asked == Asked::Leave && wish.is_none(),
        "next" => after.asked == Asked::Unit || in_fields && after.row == before.row + 1,
        "write" if before.asked == Asked::Name => matches!(wish, Some(Wish::Write { .. })),
        "write" => matches!(after.asked, Asked::Name | Asked::Doubt(_)),
        "to what is left" => {
            let left = after.field().map(|field| field.path);
            in_fields
                && !here
                && after.form.faults().iter().any(|it| Some(&it.path) == left.as_ref())
        }
        "help" => after.help.is_some(),
        "next page" => in_fields && after.page > before.page,
        "page before" => in_fields && after.page < before.page,
        "propose" => in_fields && here && text(before) != text(after),
        "move" => in_fields && before.row.abs_diff(after.row) == 1,
        "further" => after.help.as_ref().unwrap().first > 0,
        "erase" => {
            let typed = |desk: &ProfileDesk| desk.name.len() + desk.answer.0.len();
            after.asked == before.asked && typed(after) < typed(before)
        }
        "answer" if before.asked == Asked::Unit => {
            let answered = match hint.key {
                "Enter" => after.clone(),
                _ => pressed(after, KeyCode::Enter).0,
            };
            answered.asked == Asked::Nothing && text(&answered).len() > text(before).len()
        }
        "answer" => after.note.is_none() && (after.asked != before.asked || wish.is_some()),
        "back to the form" | "go on" | "back to the figure" => back,
        "correct it" => match &before.asked {
            Asked::Doubt(doubt) => back && after.field().is_some_and(|it| it.path == doubt.path),
            _ => false,
        },
        "another name" => after.asked == Asked::Name && wish.is_none(),
        other => panic!("nothing is known of {other}"),
    }
}
