//! The form of a profile judges each field as soon as it is left, whatever else is still empty or wrong;
//! what is being typed is called wrong only where it can become nothing else; the engine is drawn from its
//! first two answers on, in every window.
#![expect(clippy::unwrap_used, reason = "test code: a broken walk must stop")]

use crate::form_walk::known;
use cowlside::domain::document::Node;
use cowlside::domain::profile::{EngineProfile, ProfileFault};
use cowlside::guide::profile_form::{Fault, Form, Grave, Kind, Page};
use cowlside::store::profile_writer::{document_of, judge};
use cowlside::store::profiles::BUILT_IN;
use cowlside::tui::profile_desk::{Key, ProfileDesk};
use cowlside::tui::profile_view;
use cowlside::tui::theme::{Colours, ThemeName};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::cell::Cell;

pub fn desk(form: Form) -> ProfileDesk {
    let theme = (ThemeName::Terminal, Colours::Off);
    ProfileDesk::new(form, "A new profile".into(), String::new(), theme)
}

pub fn opened(text: &str) -> Form {
    Form::of(&document_of(text).unwrap(), judge, known()).unwrap()
}

/// Types text; a line end is Enter, a tabulator the key to what is left.
fn typed(desk: &mut ProfileDesk, text: &str) {
    for letter in text.chars() {
        let key = match letter {
            '\n' => Key::Enter,
            '\t' => Key::NextWrong,
            letter => Key::Letter(letter),
        };
        *desk = desk.press(&key).0;
    }
}

pub fn screen(desk: &ProfileDesk, width: u16, height: u16) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    profile_view::paint(desk, area, &mut buf);
    let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| row(y).trim_end().to_string() + "\n").collect()
}

pub fn flat(screen: &str) -> String {
    screen.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub fn wrong(form: &Form) -> Vec<Fault> {
    form.faults().into_iter().filter(|fault| fault.grave == Grave::Wrong).collect()
}

#[test]
fn a_field_is_judged_when_it_is_left_beside_it_and_in_words() {
    let mut form = desk(Form::new(judge, known()));
    // The beginning of no shape at all is told while it is typed, of one only when it is left.
    typed(&mut form, "o");
    assert!(!flat(&screen(&form, 80, 24)).contains("must be"), "{}", screen(&form, 80, 24));
    typed(&mut form, "x");
    assert!(flat(&screen(&form, 80, 24)).contains("!shape"), "{}", screen(&form, 80, 24));
    let mut form = desk(Form::new(judge, known()));
    typed(&mut form, "Twin\n");
    for (width, height) in [(40, 12), (60, 20), (80, 24), (160, 50)] {
        let shown = screen(&form, width, height);
        let said = flat(&shown);
        assert!(said.contains("!shape") && said.contains("1 to correct"), "{shown}");
        assert!(said.contains("shape is \"Twin\", but must be"), "{shown}");
    }
    let shown = screen(&form, 80, 24);
    assert!(shown.contains("Twin · choose opposed, inline, vee, radial"), "{shown}");
    // One key goes to the next field that is left to do, and on round to the first one.
    let of = |desk: &ProfileDesk| desk.field().map(|field| field.path);
    typed(&mut form, "\t");
    assert_eq!(of(&form).as_deref(), Some("firing_order"));
    typed(&mut form, "\t\t");
    assert_eq!(of(&form).as_deref(), Some("name"), "what may stay empty is passed over");
    let back = form.press(&Key::LastWrong).0;
    assert_eq!(of(&back).as_deref(), Some("layout.banks[0].cylinders"));
    typed(&mut form, "\t\t\t\t\t\t\t");
    assert_eq!(of(&form).as_deref(), Some("layout.shape"));
}

#[test]
fn a_fault_on_another_page_is_come_to_by_the_same_key() {
    let mut form = opened(BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1);
    form.set("covers.count", "four");
    form.set("valves.intake.set_least", "9 mm");
    let mut form = desk(form);
    let counted = flat(&screen(&form, 80, 24));
    assert!(counted.starts_with("1 of 8 The engine · 2 to correct (!)"), "{counted}");
    typed(&mut form, "\t");
    let of = |desk: &ProfileDesk| (desk.page, desk.field().map(|field| field.path));
    assert_eq!(of(&form), (Page::Valves, Some("valves.intake.set_least".into())));
    assert!(flat(&screen(&form, 80, 24)).contains("must lie inside the band"));
    typed(&mut form, "\t");
    assert_eq!(of(&form), (Page::Covers, Some("covers.count".into())));
    form.form.set("covers.count", "4");
    form.form.set("valves.intake.set_least", "");
    typed(&mut form, "\t");
    assert_eq!(form.field(), None, "where nothing is left to do it goes to the row that writes");
    assert!(flat(&screen(&form, 80, 24)).contains("it is sound"));
}

#[test]
fn what_is_typed_is_called_wrong_only_where_it_can_become_nothing_else() {
    let cases = [
        ("layout.shape", "rad", true),
        ("layout.shape", "rax", false),
        ("cylinders", "0", true),
        ("cylinders", "49", false),
        ("cylinders", "four", false),
        ("firing_order", "1-3-", true),
        ("firing_order", "1-3-2", true),
        ("firing_order", "1-3-3", false),
        ("firing_order", "1-5", false),
        ("firing_order", "1-3-2-4-1", false),
        ("layout.banks[1].cylinders", "2", true),
        ("layout.banks[1].cylinders", "2-1", false),
        ("valves.intake.least", "0.", true),
        ("valves.intake.least", "0.1 m", true),
        ("valves.intake.least", "0.006 i", true),
        ("valves.intake.least", "0.1 x", false),
        ("valves.intake.least", "0.1 mm / 0.0", true),
        ("valves.intake.least", "0..", false),
        ("valves.intake.least", "9 mm", false),
        ("valve_timing.intake_opens", "18 B", true),
        ("valve_timing.intake_opens", "18 X", false),
        ("leaves", "0.05 mm, 0.1", true),
        ("leaves", "0.05 xx, 0.1", false),
        ("firing_intervals", "270-4", true),
        ("firing_intervals", "270-x", false),
    ];
    for (path, text, may) in cases {
        let mut form = opened(BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1);
        form.set(path, text);
        let field = form.all_fields().into_iter().find(|field| field.path == path).unwrap();
        assert_eq!(form.may_become(&field), may, "{path} {text}");
        assert_eq!(wrong(&form).first().map(|fault| fault.path.as_str()), Some(path), "{text}");
    }
}

#[test]
fn what_is_typed_of_a_sound_profile_never_looks_wrong_on_the_way() {
    for (name, text) in BUILT_IN.iter().step_by(8) {
        let whole = opened(text);
        for field in whole.all_fields() {
            let typed: Vec<char> = whole.text(&field.path).chars().collect();
            for length in 1..typed.len() {
                let mut form = whole.clone();
                let begun: String = typed.iter().take(length).collect();
                form.set(&field.path, begun.trim());
                let wrong = wrong(&form).iter().any(|fault| fault.path == field.path);
                // What was read to its end and is in no order with its neighbours is told at once.
                let read = field.kind == Kind::Length && begun.ends_with("in");
                assert!(!wrong || read || form.may_become(&field), "{name} {} {begun}", field.path);
            }
        }
    }
}

thread_local! {
    /// How often the loader was asked.
    static ASKED: Cell<usize> = const { Cell::new(0) };
}

fn counted(document: &Node) -> Result<EngineProfile, ProfileFault> {
    ASKED.set(ASKED.get() + 1);
    judge(document)
}

/// Any figures of a valve may be typed before the others, cold and hot: what agrees is not called wrong,
/// what is wanted with them is called missing, and the loader is not asked for ever.
#[test]
fn figures_may_be_typed_in_any_order() {
    let flat_four = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    let whole = Form::of(&document_of(flat_four).unwrap(), counted, known()).unwrap();
    let names = ["target", "least", "most", "set_least", "set_most"];
    let places = ["valves.intake.", "valves.intake.hot."];
    let paths: Vec<String> =
        places.iter().flat_map(|place| names.map(|name| format!("{place}{name}"))).collect();
    for typed in 0..1 << paths.len() {
        let mut form = whole.clone();
        for (at, path) in paths.iter().enumerate() {
            form.set(path, if typed >> at & 1 == 1 { "0.2 mm" } else { "" });
        }
        ASKED.set(0);
        let told = form.faults();
        assert!(ASKED.get() < 10, "{typed:010b}: the loader was asked {} times", ASKED.get());
        let wrong = told.iter().filter(|fault| fault.grave == Grave::Wrong);
        assert_eq!(wrong.count(), 0, "{typed:010b} {told:?}");
        let cold = typed & 0b11111;
        let missing = told.iter().any(|fault| fault.path == "valves.intake.target");
        assert!(missing || cold == 0 || cold & 1 == 1, "{typed:010b}");
    }
}

#[test]
fn what_is_missing_makes_nothing_else_look_wrong_and_hides_nothing_that_is() {
    let indexes = prop::collection::vec(any::<prop::sample::Index>(), 0..8);
    let nonsense = prop::sample::select(vec!["x", "0.1 inn", "1-1", "-"]);
    let strategy = (0..BUILT_IN.len(), indexes, any::<prop::sample::Index>(), nonsense);
    let mut runner = TestRunner::new(crate::seeded::config(400));
    runner
        .run(&strategy, |(kind, emptied, spoilt, nonsense)| {
            let mut form = opened(BUILT_IN[kind].1);
            let fields: Vec<_> =
                form.all_fields().into_iter().filter(|field| field.needed).collect();
            let mut empty = Vec::new();
            for index in emptied {
                let field = index.get(&fields);
                form.set(&field.path, "");
                empty.push(field.path.clone());
            }
            prop_assert_eq!(wrong(&form), [], "{:?} {:?}", BUILT_IN[kind].0, empty);
            let needed = form.all_fields();
            for path in &empty {
                let still = needed.iter().any(|field| field.path == *path && field.needed);
                let told = form.faults().iter().any(|fault| fault.path == *path);
                prop_assert!(told || !still, "{path} {:?}", form.faults());
            }
            let field = spoilt.get(&fields);
            // What is asked of one shape alone is not asked where the shape is not told.
            let asked = needed.iter().any(|known| known.path == field.path);
            if field.path == "name" || empty.contains(&field.path) || !asked {
                return Ok(());
            }
            form.set(&field.path, nonsense);
            let told = wrong(&form);
            prop_assert!(told.iter().any(|fault| fault.path == field.path), "{field:?} {told:?}");
            Ok(())
        })
        .unwrap();
}

#[test]
fn a_row_that_is_wrong_and_the_row_that_lacks_are_told_apart() {
    let mut form = desk(Form::new(judge, known()));
    typed(&mut form, "4\n9\n\n");
    let told = |desk: &ProfileDesk, path: &str| {
        desk.form.faults().into_iter().find(|fault| fault.path == path).map(|fault| fault.words)
    };
    typed(&mut form, "1-2-3");
    assert!(flat(&screen(&form, 80, 24)).contains("4-5-6-7-8-9 are in no row yet"));
    typed(&mut form, "-12");
    let twelve = "row 1: cylinders, no. 4 is 12, which is no cylinder of this engine, but must be a cylinder from 1 to 9";
    assert_eq!(told(&form, "layout.banks[0].cylinders").as_deref(), Some(twelve));
    typed(&mut form, "\n");
    assert!(flat(&screen(&form, 80, 24)).contains(twelve), "{}", screen(&form, 80, 24));
    form.form.set("layout.banks[0].cylinders", "1-2-3-4-5-6-7-8");
    assert_eq!(told(&form, "layout.banks[0].cylinders"), None);
    let nine = told(&form, "layout.banks[1].cylinders");
    assert_eq!(nine.as_deref(), Some("row 2: 9 is in no row yet"));
    // In an engine with two banks that are both told, it is the last one that lacks.
    let mut form = opened(BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1);
    form.set("layout.banks[1].cylinders", "2");
    let words: Vec<String> = wrong(&form).into_iter().map(|fault| fault.words).collect();
    assert_eq!(words, ["left bank: 4 is in no bank yet"]);
}

/// The engine is told with its cylinders at every field, in every window from 40x12 on.
#[test]
fn the_engine_is_seen_in_every_window_at_every_field() {
    for (name, text) in BUILT_IN {
        let whole = desk(opened(text));
        let facts = whole.form.sketch().unwrap().facts;
        for (width, height) in [(40, 12), (60, 20), (80, 24), (160, 50)] {
            let mut here = whole.clone();
            for row in (0..here.fields().len()).step_by(4) {
                here.row = row;
                let shown = screen(&here, width, height);
                let of_field = here.field().unwrap().path;
                for bank in &facts.layout.banks {
                    let at = |number: &u8| {
                        shown.lines().skip(1).any(|line| {
                            line.split(|letter: char| !letter.is_ascii_alphanumeric())
                                .any(|word| word == number.to_string())
                        })
                    };
                    assert!(bank.cylinders.iter().all(at), "{name} {of_field}\n{shown}");
                }
                assert!(!shown.contains("exa.."), "{name} {of_field}\n{shown}");
            }
        }
    }
    let mut vees = std::collections::BTreeSet::new();
    let six = BUILT_IN.iter().find(|(name, _)| *name == "vee-six-60").unwrap().1;
    for angle in [45, 60, 90, 120] {
        let vee = desk(opened(&six.replace("\"angle\": 60", &format!("\"angle\": {angle}"))));
        for (width, height) in [(80, 24), (160, 50)] {
            let shown = screen(&vee, width, height);
            assert!(shown.contains(&format!(" vee {angle}°:")), "{shown}");
            let at = shown.lines().position(|line| line.contains("end view from")).unwrap();
            let lines: Vec<&str> = shown.lines().skip(at).take(5).collect();
            let from = lines[0].chars().count() - "end view from the rear".len();
            let drawn: String =
                lines[1..].iter().flat_map(|line| line.chars().skip(from)).collect();
            assert!(drawn.contains("left \\") && drawn.contains("/ right"), "{shown}");
            vees.insert((width, drawn.replace(&format!("{angle}°"), "")));
        }
    }
    assert_eq!(vees.len(), 8, "{vees:?}");
    // From its first two answers on, with what is still to be named.
    let mut begun = desk(Form::new(judge, known()));
    typed(&mut begun, "1\n");
    assert_eq!(begun.form.sketch(), None);
    typed(&mut begun, "4\n\n\n1-3");
    let shown = screen(&begun, 40, 12);
    assert!(shown.contains("bank 2 ? ? | right 1 3"), "{shown}");
    let shown = screen(&begun, 60, 20);
    assert!(shown.contains('?') && shown.contains("front") && shown.contains("rear"), "{shown}");
}

#[test]
fn a_field_that_is_half_typed_makes_no_sound_profile() {
    let text = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    let mut desk = desk(opened(text));
    let path = "valves.intake.least";
    let home = desk.form.all_fields().into_iter().find(|field| field.path == path).unwrap();
    desk.page = home.page;
    desk.row = desk.fields().iter().position(|field| field.path == path).unwrap();
    assert!(profile_view::view(&desk).titles[0].contains("it is sound"));
    while desk.form.text(path) != "0." {
        assert!(!desk.form.text(path).is_empty());
        desk = desk.press(&Key::Erase).0;
    }
    let view = profile_view::view(&desk);
    // It is not called wrong, for it may become right; but nothing is sound yet.
    assert_eq!(view.lines[desk.row].beside, "");
    assert!(view.titles.iter().all(|title| !title.contains("sound")), "{:?}", view.titles);
    assert!(view.titles[0].contains("1 to fill in"), "{:?}", view.titles);
    let writes = view.lines.last().unwrap();
    assert_eq!((writes.text.as_str(), writes.beside.as_str()), ("", "1 to fill in (*)"));
}

#[test]
fn what_is_wrong_is_found_out_once_for_what_is_typed() {
    thread_local! {
        static ASKED: Cell<u32> = const { Cell::new(0) };
    }
    fn counted(node: &Node) -> Result<EngineProfile, ProfileFault> {
        ASKED.with(|asked| asked.set(asked.get() + 1));
        judge(node)
    }
    let text = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    let mut form = Form::of(&document_of(text).unwrap(), counted, known()).unwrap();
    form.set("valves.intake.least", "7 in");
    let first = form.faults();
    assert!(!first.is_empty());
    let asked = ASKED.get();
    assert_eq!((form.faults(), form.clone().faults()), (first.clone(), first.clone()));
    assert_eq!(ASKED.get(), asked, "nothing was typed since");
    form.set("valves.intake.least", "0.005 in");
    assert_ne!(form.faults(), first);
    assert!(ASKED.get() > asked);
}

#[test]
fn banks_beyond_the_cylinders_that_are_left_hold_up_no_drawing() {
    let mut form = Form::new(judge, known());
    for (path, text) in [
        ("layout.shape", "radial"),
        ("cylinders", "5"),
        ("layout.banks[0].cylinders", "1-2-3-4"),
        ("layout.banks[3].name", "fourth"),
    ] {
        form.set(path, text);
    }
    // Rows 2 to 4 have one cylinder between them: it stands in the first of them, as a stand-in.
    let rows = |form: &Form| -> Vec<Vec<u8>> {
        let sketch = form.sketch().unwrap();
        sketch.facts.layout.banks.iter().map(|bank| bank.cylinders.clone()).collect()
    };
    assert_eq!(rows(&form), [vec![1, 2, 3, 4], vec![0]]);
    // Named twice it is of the first row that names it; the last row has what is left.
    form.set("layout.banks[3].name", "");
    form.set("layout.banks[1].cylinders", "4");
    assert_eq!(rows(&form), [vec![1, 2, 3, 4], vec![0]]);
    form.set("layout.banks[0].cylinders", "1-2");
    assert_eq!(rows(&form), [vec![1, 2], vec![4, 0, 0]]);
    // What is left for two rows is shared out, the first has more.
    form.set("layout.banks[1].cylinders", "");
    form.set("layout.banks[2].name", "third");
    assert_eq!(rows(&form), [vec![1, 2], vec![0, 0], vec![0]]);
}

/// A flat four's form with the cursor on its intake target of 0.15 mm.
fn at_the_intake_target() -> ProfileDesk {
    let mut form = opened(BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1);
    for (figure, typed) in [("target", "0.15 mm"), ("least", "0.10 mm"), ("most", "0.20 mm")] {
        form.set(&format!("valves.intake.{figure}"), typed);
    }
    let mut form = desk(form);
    while form.field().unwrap().path != TARGET {
        form = form.press(&Key::Down).0;
    }
    form
}

const TARGET: &str = "valves.intake.target";

#[test]
fn a_figure_that_is_come_to_is_typed_anew_from_above_and_from_below() {
    use Key::{Down, Erase, Up};
    for way in [&[Down, Down, Up, Up][..], &[Up, Up, Down, Down], &[Down, Up]] {
        let come_to = |form: &ProfileDesk| {
            let there = way.iter().fold(form.clone(), |form, key| form.press(key).0);
            assert_eq!(there.field().unwrap().path, TARGET, "{way:?}");
            there
        };
        // The first character takes the place of all that stood there, the next ones go on with it.
        let mut form = come_to(&at_the_intake_target());
        typed(&mut form, "0");
        assert_eq!(form.form.text(TARGET), "0", "{way:?}");
        assert!(
            screen(&form, 80, 24).contains("before it was 0.15 mm"),
            "{}",
            screen(&form, 80, 24)
        );
        typed(&mut form, ".16");
        assert_eq!(form.form.text(TARGET), "0.16", "{way:?}");
        // Backspace mends it where it was come to, and what is typed then goes on.
        let mut form = come_to(&at_the_intake_target());
        form = form.press(&Erase).0;
        assert_eq!(form.form.text(TARGET), "0.15 m", "{way:?}");
        typed(&mut form, "m");
        assert_eq!(form.form.text(TARGET), "0.15 mm", "{way:?}");
    }
}

#[test]
fn a_text_or_a_list_that_is_come_to_is_gone_on_with() {
    let mut form = at_the_intake_target();
    for path in ["name", "firing_order"] {
        while form.field().unwrap().path != path {
            form = form.press(&Key::Up).0;
        }
        let was = form.form.text(path).to_owned();
        form = form.press(&Key::Down).0.press(&Key::Up).0;
        typed(&mut form, "-9");
        assert_eq!(form.form.text(path), format!("{was}-9"));
    }
}

#[test]
fn only_what_is_likely_is_proposed_in_the_place_of_a_slip() {
    // A limit with its point gone wrong: one that crosses its target, or lies far from it, was not meant.
    for (figure, typed, asked) in [
        ("most", "9 mm", "Is it right?"),
        ("most", "20 mm", "Did you mean 0.20 mm?"),
        ("most", "0.01 in", ""),
        ("most", "1.5 mm", "Did you mean 0.15 mm?"),
        ("least", "0.01 mm", "Did you mean 0.10 mm?"),
        ("least", "0.001 mm", "Is it right?"),
    ] {
        let mut form = at_the_intake_target().form;
        let path = format!("valves.intake.{figure}");
        form.set(&path, typed);
        let doubt = form.doubts().into_iter().find(|doubt| doubt.path == path);
        let found = doubt.map_or(String::new(), |doubt| doubt.asked);
        assert_eq!(found, asked, "{figure} {typed}");
    }
}

#[test]
fn cylinders_are_no_name_of_a_bank() {
    for typed in ["1-2-3", "2left", "1, 3"] {
        let mut form = opened(BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1);
        form.set("layout.banks[1].name", typed);
        let wrong = wrong(&form);
        assert_eq!(wrong.len(), 1, "{typed}: {wrong:?}");
        assert_eq!(wrong[0].path, "layout.banks[1].name");
        assert!(wrong[0].words.contains("next field"), "{}", wrong[0].words);
        assert!(form.profile().is_none());
        form.set("layout.banks[1].name", "left");
        assert_eq!(form.faults(), []);
    }
}

#[test]
fn the_opposites_stand_beside_the_engine_in_every_window() {
    for size in [(40, 12), (60, 20), (72, 24), (80, 24), (160, 50)] {
        for (_, text) in
            BUILT_IN.iter().filter(|(name, _)| ["flat-four", "inline-four"].contains(name))
        {
            let desk = desk(opened(text));
            let sketch = desk.form.sketch().unwrap();
            let screen = screen(&desk, size.0, size.1);
            let opposites = flat(&sketch.opposites);
            assert!(
                !opposites.is_empty() && flat(&screen).contains(&opposites),
                "{size:?}\n{screen}"
            );
        }
    }
}
