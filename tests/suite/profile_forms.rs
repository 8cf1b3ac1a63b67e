//! Profiles made, copied and changed in the form: on the screen, as plain prompts, on disk.

use crate::styled;
use cowlside::cli::world::Terminals;
use cowlside::cli::{World, run};
use cowlside::domain::entry::Moment;
use cowlside::domain::profile::Facts;
use cowlside::guide::profile_form::{Form, Grave, Page};
use cowlside::store::folder::Folder;
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profile_writer::{NotWritten, Over, document_of, judge, text_of, write_own};
use cowlside::store::profiles::BUILT_IN;
use cowlside::tui::profile_desk::{Asked, Done, Key, ProfileDesk, Wish};
use cowlside::tui::profile_view;
use cowlside::tui::theme::{Colours, ThemeName};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::io::Cursor;
use std::path::Path;

fn known() -> Vec<Facts> {
    BUILT_IN.iter().map(|(name, text)| (*parse_profile(text, name).unwrap()).clone()).collect()
}

fn opened(text: &str) -> Form {
    Form::of(&document_of(text).unwrap(), judge, known()).unwrap()
}

fn desk(form: Form) -> ProfileDesk {
    let theme = (ThemeName::Terminal, Colours::Off);
    ProfileDesk::new(form, "A new profile".into(), String::new(), theme)
}

/// Presses the keys of a line: each word is typed; `.` is Enter, `>` is page down.
fn press(desk: &mut ProfileDesk, keys: &[Key]) -> Vec<Wish> {
    let mut wishes = Vec::new();
    for key in keys {
        let (next, wish) = desk.press(key);
        *desk = next;
        wishes.extend(wish);
    }
    wishes
}

fn typed(text: &str) -> Vec<Key> {
    text.chars().map(Key::Letter).chain([Key::Enter]).collect()
}

fn screen(desk: &ProfileDesk, width: u16, height: u16) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    profile_view::paint(desk, area, &mut buf);
    let row = |y| {
        let row: String = (0..width).map(|x| buf[(x, y)].symbol()).collect();
        format!("|{row}|")
    };
    (0..height).map(row).collect::<Vec<_>>().join("\n")
}

#[test]
fn every_shipped_profile_comes_out_of_the_form_as_it_went_in() {
    for (name, text) in BUILT_IN {
        let form = opened(text);
        assert!(!form.changed());
        assert_eq!(form.faults(), [], "{name}");
        let written = text_of(&form.document());
        assert!(written.ends_with("}\n"));
        assert_eq!(parse_profile(&written, name), parse_profile(text, name), "{name}\n{written}");
    }
}

#[test]
fn fields_are_written_in_the_order_of_the_example() {
    let form = opened(BUILT_IN.iter().find(|(name, _)| *name == "flat-six").unwrap().1);
    let written = text_of(&form.document());
    let names = [
        "format",
        "name",
        "source",
        "cylinders",
        "firing_order",
        "layout",
        "rotation",
        "valves",
        "valve_timing",
        "adjuster",
        "gauge_when",
        "leaves",
        "covers",
        "interval_hours",
        "cautions",
    ];
    let places: Vec<usize> =
        names.iter().map(|name| written.find(&format!("\n  \"{name}\": ")).unwrap()).collect();
    assert!(places.is_sorted(), "{written}");
    insta::with_settings!({snapshot_path => "../../snapshots", prepend_module_to_snapshot => false}, {
        insta::assert_snapshot!("profile_form_written", written);
    });
}

/// A flat four from an empty form: what is proposed is taken by Enter, the figures are typed.
fn flat_four() -> (ProfileDesk, usize) {
    let mut desk = desk(Form::new(judge, known()));
    let mut keys = vec![Key::Enter; 9];
    for figure in ["0.15 mm", "0.10", "0.20", "0.25", "0.20", "0.30"] {
        keys.extend(typed(figure));
    }
    keys.push(Key::Enter);
    let wishes = press(&mut desk, &keys);
    assert_eq!(wishes, []);
    (desk, keys.len())
}

#[test]
fn a_flat_four_is_ready_within_fifty_keys() {
    let (mut desk, keys) = flat_four();
    assert_eq!(desk.asked, Asked::Name, "{}", screen(&desk, 80, 24));
    let wishes = press(&mut desk, &[Key::Enter]);
    let name = "flat-four-screw-adjusters".to_string();
    assert_eq!(wishes, [Wish::Write { name, replace: false }]);
    assert_eq!(keys + 1, 44, "with the Enter that writes it; README says so");
    let profile = desk.form.profile().unwrap();
    assert_eq!(profile.firing_order, known()[0].firing_order);
    assert_eq!(desk.form.warnings(), Vec::<String>::new());
}

#[test]
fn the_screens_of_the_form() {
    let (mut whole, _) = flat_four();
    whole.asked = Asked::Nothing;
    let mut begun = desk(Form::new(judge, known()));
    press(&mut begun, &[Key::Enter, Key::Enter]);
    press(&mut begun, &typed("1-2-2-4"));
    press(&mut begun, &[Key::Up]);
    let mut explained = whole.clone();
    press(&mut explained, &[Key::Help]);
    let forms = [("begun", &begun), ("whole", &whole), ("explained", &explained)];
    for (name, desk) in forms {
        styled::look_at_form(&format!("profile_form_{name}"), desk);
    }
    for (width, height) in [(40, 12), (80, 24), (160, 50)] {
        for (name, desk) in forms {
            insta::with_settings!({snapshot_path => "../../snapshots", prepend_module_to_snapshot => false}, {
                let name = format!("profile_form_{name}_{width}x{height}");
                insta::assert_snapshot!(name, screen(desk, width, height));
            });
        }
    }
    for (width, height) in [(1, 1), (3, 60), (200, 2), (20, 5), (200, 60)] {
        let _ = screen(&whole, width, height);
    }
}

#[test]
fn what_is_wrong_is_told_in_the_loaders_words_while_the_rest_is_still_empty() {
    let mut desk = desk(Form::new(judge, known()));
    press(&mut desk, &[Key::Enter, Key::Enter]);
    press(&mut desk, &typed("1-2-2-4"));
    let faults = desk.form.faults();
    let fault = faults.iter().find(|fault| fault.path == "firing_order").unwrap();
    assert_eq!(fault.grave, Grave::Wrong);
    assert!(fault.words.contains("name each cylinder from 1 to 4 once"), "{fault:?}");
    let missing = faults.iter().filter(|fault| fault.grave == Grave::Missing).count();
    assert!(missing >= 3, "{faults:?}");
    desk.form.set("valves.exhaust.least", "0.006 inn");
    let fault = |form: &Form, path: &str| {
        form.faults().into_iter().find(|fault| fault.path == path).map(|fault| fault.grave)
    };
    assert_eq!(fault(&desk.form, "valves.exhaust.target"), Some(Grave::Missing));
    desk.form.set("valves.exhaust.target", "0.006 in");
    assert_eq!(fault(&desk.form, "valves.exhaust.least"), Some(Grave::Wrong));
}

#[test]
fn esc_asks_before_anything_typed_is_lost() {
    let mut desk = desk(Form::new(judge, known()));
    assert_eq!(press(&mut desk, &[Key::Esc]), [Wish::Leave], "nothing was typed");
    press(&mut desk, &[Key::Letter('v'), Key::Esc]);
    assert_eq!(desk.asked, Asked::Leave);
    assert_eq!(press(&mut desk, &[Key::Esc]), []);
    assert_eq!(desk.form.text("layout.shape"), "v");
    assert_eq!(press(&mut desk, &[Key::Enter, Key::Esc, Key::Letter('3')]), [Wish::Leave]);
    assert_eq!(desk.form.text("layout.shape"), "vee", "the begun word is completed");
    // More than two fields are thrown away by no single key, nor by one held down.
    let (mut desk, _) = flat_four();
    press(&mut desk, &[Key::Esc, Key::Esc]);
    assert_eq!(press(&mut desk, &[Key::Letter('3'), Key::Letter('3'), Key::Enter]), []);
    for (width, height) in [(40, 12), (60, 20), (80, 24), (160, 50)] {
        let shown = screen(&desk, width, height);
        let said = shown.replace('|', " ").split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains("Throw away what is typed in 15 fields?"), "{shown}");
        assert!(said.contains("1 go on 2 throw it away"), "{shown}");
    }
    let kept = desk.form.text("valves.exhaust.most").to_owned();
    press(&mut desk, &[Key::Letter('1')]);
    assert_eq!((&desk.asked, desk.form.text("valves.exhaust.most")), (&Asked::Nothing, &*kept));
    let thrown = [Key::Esc, Key::Letter('3'), Key::Letter('2')];
    assert_eq!(press(&mut desk, &thrown), [Wish::Leave]);
    // What is typed where nothing is filled in is said not to be taken, and Enter asks for no name behind it.
    let (mut desk, _) = flat_four();
    press(&mut desk, &[Key::Esc]);
    assert!(desk.field().is_none(), "on the row that writes");
    press(&mut desk, &typed("0.5"));
    assert!(desk.note.is_some());
    assert_eq!(desk.asked, Asked::Nothing);
    press(&mut desk, &[Key::Enter]);
    assert_eq!(desk.asked, Asked::Name);
}

#[test]
fn only_what_applies_is_shown_and_written() {
    let mut form = opened(BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1);
    let pages = |form: &Form| {
        let fields = form.fields(Page::Adjuster).into_iter();
        fields.map(|field| field.path).collect::<Vec<_>>()
    };
    assert!(pages(&form).contains(&"adjuster.pitch".to_string()));
    form.set("adjuster.kind", "shim");
    assert!(!pages(&form).contains(&"adjuster.pitch".to_string()));
    assert_eq!(form.faults(), []);
    assert!(!text_of(&form.document()).contains("pitch"));
    form.set("adjuster.kind", "screw");
    assert!(text_of(&form.document()).contains("pitch"), "nothing typed is lost");
}

#[test]
fn whatever_is_typed_never_stops_the_form_and_what_is_written_loads() {
    let known = known();
    let texts = prop_oneof![
        "[ -~]{0,12}",
        "[0-9.,-]{1,6}( mm| in| thou| BTDC)?",
        prop::sample::select(vec![
            "opposed",
            "vee",
            "radial",
            "screw",
            "shim",
            "1-3-2-4",
            "4",
            "6",
            "4 cover screw",
            "1 | overlap | 0 | | 1 intake, 1 exhaust | x",
            "Ü\u{202e}",
            "no"
        ])
        .prop_map(String::from),
    ];
    let start = prop::option::of(0..BUILT_IN.len());
    let edits = prop::collection::vec((any::<prop::sample::Index>(), texts), 0..12);
    let mut sound = 0;
    let mut runner = TestRunner::new(crate::seeded::config(300));
    runner
        .run(&(start, edits), |(start, edits)| {
            let mut form = match start {
                Some(at) => {
                    Form::of(&document_of(BUILT_IN[at].1).unwrap(), judge, known.clone()).unwrap()
                }
                None => Form::new(judge, known.clone()),
            };
            for (at, text) in edits {
                let fields = form.all_fields();
                let field = at.get(&fields);
                form.set(&field.path, text);
                form.complete(field);
                let _ = (form.comes_to(field), form.proposals(field), form.sketch());
            }
            let faults = form.faults();
            let written = text_of(&form.document());
            let loads = parse_profile(&written, "typed").is_ok();
            let whole = faults.is_empty();
            prop_assert!(!whole || loads, "{written}");
            prop_assert_eq!(form.profile().is_some(), whole, "{:?}\n{}", faults, written);
            Ok(())
        })
        .unwrap();
    let mut form = opened(BUILT_IN[0].1);
    form.set("interval_hours", "50");
    sound += usize::from(form.faults().is_empty());
    assert_eq!(sound, 1);
}

#[test]
fn nothing_is_overwritten_unasked_and_no_shipped_profile_is_changed() {
    let home = tempfile::tempdir().unwrap();
    let folder = Folder::at(home.path());
    let document = document_of(BUILT_IN[0].1).unwrap();
    let write = |name: &str, over: &Over| write_own(&folder, name, &document, over);
    assert!(matches!(write("flat-four", &Over::Nothing), Err(NotWritten::BuiltIn(_))));
    assert!(matches!(write("../x", &Over::Nothing), Err(NotWritten::BadName(_))));
    let path = write("mine", &Over::Nothing).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(matches!(write("mine", &Over::Nothing), Err(NotWritten::Exists(_))));
    std::fs::write(&path, text.clone() + "\n").unwrap();
    assert!(matches!(write("mine", &Over::OwnAsRead(text)), Err(NotWritten::Changed(_))));
    write("mine", &Over::Own).unwrap();
    let unsound = document_of("{\"format\": 1}").unwrap();
    let refused = write_own(&folder, "other", &unsound, &Over::Nothing);
    assert!(matches!(refused, Err(NotWritten::Unsound(_))));
    assert_eq!(std::fs::read_dir(folder.profiles()).unwrap().count(), 1, "nothing half-written");
}

#[test]
fn a_damaged_profile_of_ones_own_is_set_aside_by_name_and_never_overwritten() {
    let home = tempfile::tempdir().unwrap();
    let folder = Folder::at(home.path());
    let document = document_of(BUILT_IN[0].1).unwrap();
    let write = |name: &str, over: &Over| write_own(&folder, name, &document, over);
    let path = write("mine", &Over::Nothing).unwrap();
    let read = std::fs::read_to_string(&path).unwrap();
    let ways = [Over::Own, Over::OwnAsRead(read)];
    for (n, over) in (1..).zip(&ways) {
        let damaged = format!("{{ \"format\": 1, no end {n}");
        std::fs::write(&path, &damaged).unwrap();
        assert!(matches!(write("mine", &Over::Nothing), Err(NotWritten::Exists(_))));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), damaged);
        let refused = write("mine", over).unwrap_err();
        let aside = folder.profiles().join(format!("mine.json.damaged-{n}"));
        assert_eq!(
            refused.to_string(),
            format!(
                "{} cannot be read as a profile: it is kept as {}",
                path.display(),
                aside.display()
            )
        );
        assert_eq!(refused.hint(), "Write again: the name is free now.");
        assert_eq!(std::fs::read_to_string(&aside).unwrap(), damaged);
        write("mine", over).unwrap();
    }
    // A damaged one that hides a built-in profile stays: the name is not free without it either.
    let hides = folder.profiles().join("flat-four.json");
    std::fs::write(&hides, "{").unwrap();
    assert!(matches!(write("flat-four", &Over::Own), Err(NotWritten::BuiltIn(_))));
    assert_eq!(std::fs::read_to_string(&hides).unwrap(), "{");
    // So is a folder in its place.
    let folder_there = folder.profiles().join("strange.json");
    std::fs::create_dir(&folder_there).unwrap();
    assert!(write("strange", &Over::Own).is_err());
    assert_eq!(std::fs::read_dir(folder.profiles()).unwrap().count(), 1 + ways.len() + 2);
}

#[test]
fn a_profile_of_a_newer_format_is_refused_and_stays_where_it_is() {
    let home = tempfile::tempdir().unwrap();
    let folder = Folder::at(home.path());
    let document = document_of(BUILT_IN[0].1).unwrap();
    let path = write_own(&folder, "mine", &document, &Over::Nothing).unwrap();
    let newer = "{ \"format\": 2, \"colour\": \"red\" }\n";
    std::fs::write(&path, newer).unwrap();
    let write = |over: &Over| write_own(&folder, "mine", &document, over).unwrap_err();
    assert!(matches!(write(&Over::Nothing), NotWritten::Exists(_)));
    for over in [Over::Own, Over::OwnAsRead(newer.into())] {
        let refused = write(&over);
        let said = refused.to_string();
        assert!(said.contains(path.to_str().unwrap()) && said.contains("newer version"), "{said}");
        assert_eq!(refused.hint(), "Give another name, or mend that.");
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap(), newer);
    assert_eq!(std::fs::read_dir(folder.profiles()).unwrap().count(), 1);
}

#[test]
fn the_screen_asks_before_it_replaces() {
    let (mut desk, _) = flat_four();
    assert!(!desk.with(Done::Exists));
    assert_eq!(desk.asked, Asked::Replace);
    let name = "flat-four-screw-adjusters".to_string();
    let wishes = press(&mut desk, &[Key::Letter('1')]);
    assert_eq!(wishes, [Wish::Write { name, replace: true }]);
    assert!(desk.with(Done::Written("there".into())));
}

fn cowlside(home: &Path, words: &[&str], input: &str) -> (u8, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let mut input = Cursor::new(input.as_bytes().to_vec());
    let home = home.as_os_str().to_owned();
    let code = {
        let mut world = World {
            out: &mut out,
            err: &mut err,
            input: &mut input,
            ready: &|_| true,
            forget: &|| false,
            now: &|| Moment { unix_ms: 1_773_475_200_000, offset_min: 60 },
            run_ms: &|| 0,
            terminals: Terminals::default(),
            variable: &|name| (name == "COWLSIDE_HOME").then(|| home.clone()),
            ascii: false,
        };
        let words = std::iter::once("cowlside").chain(words.iter().copied());
        run(words.map(Into::into).collect(), &mut world)
    };
    (code, String::from_utf8(out).unwrap() + &String::from_utf8(err).unwrap())
}

#[test]
fn a_profile_is_made_copied_and_changed_by_plain_prompts() {
    let home = tempfile::tempdir().unwrap();
    let answers = "\n\n\n\n\n\n\n\n\n0.15 mm\n0.10\n0.20\n0.25\n0.20\n0.30\nw\n\n";
    let (code, said) = cowlside(home.path(), &["profiles", "new", "mine", "--plain"], answers);
    assert_eq!(code, 0, "{said}");
    insta::with_settings!({snapshot_path => "../../snapshots", prepend_module_to_snapshot => false}, {
        let shown = said.replace(&home.path().display().to_string(), "HOME");
        insta::assert_snapshot!("profile_form_plain", shown);
    });
    let path = home.path().join("profiles/mine.json");
    let file = path.display().to_string();
    let (code, said) = cowlside(home.path(), &["profiles", "check", &file], "");
    assert_eq!(code, 0, "{said}");
    assert!(!said.contains("warning") && !said.contains("unlikely"), "{said}");
    let before = std::fs::read_to_string(&path).unwrap();
    let change = ["profiles", "change", "mine", "--plain"];
    let (code, said) =
        cowlside(home.path(), &change, "\n\n\n\n\n\n\n\nAnother name\nw\n\n2\nother\n");
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("1 replace it"), "{said}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before, "not replaced");
    let other = std::fs::read_to_string(home.path().join("profiles/other.json")).unwrap();
    assert_eq!(other, before.replace("Flat four, screw adjusters", "Another name"));
    let (code, said) = cowlside(home.path(), &change, "\n\n\n\n\n\n\n\nThird\nw\n\n1\n");
    assert_eq!(
        (code, std::fs::read_to_string(&path).unwrap().contains("Third")),
        (0, true),
        "{said}"
    );
    let (code, said) = cowlside(home.path(), &["profiles", "change", "flat-six", "--plain"], "");
    assert_eq!(code, 1);
    assert!(said.contains("cowlside profiles copy flat-six"), "{said}");
    let copy = ["profiles", "copy", "flat-six", "my-six", "--plain"];
    assert_eq!(cowlside(home.path(), &copy, "w\n\n").0, 0);
    let six = std::fs::read_to_string(home.path().join("profiles/my-six.json")).unwrap();
    let shipped = BUILT_IN.iter().find(|(name, _)| *name == "flat-six").unwrap().1;
    assert_eq!(parse_profile(&six, "x"), parse_profile(shipped, "x"));
}

#[test]
fn plain_prompts_say_that_a_bank_wants_the_numbers_of_its_cylinders_and_not_how_many() {
    let home = tempfile::tempdir().unwrap();
    let new = ["profiles", "new", "mine", "--plain"];
    let (_, said) = cowlside(home.path(), &new, "inline\n6\n\n6\n");
    let asked = "bank 1: cylinders (from the listed end, as in 1-3) [1-2-3-4-5-6]:";
    assert!(said.contains(asked), "{said}");
}

#[test]
fn the_end_of_the_input_leaves_the_form_and_writes_nothing() {
    let home = tempfile::tempdir().unwrap();
    let (code, said) = cowlside(home.path(), &["profiles", "new", "--plain"], "\nx\n");
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("nothing was written"));
    assert!(!home.path().join("profiles").exists());
}
