//! What the form of a profile writes is a clean file: figures as the loader's own words have them, the
//! fields in the order of the shipped profiles, the schema by its name; and digits choose anew.

use crate::form_walk::known;
use crate::schema::by_schema;
use cowlside::cli::profile_form::write;
use cowlside::cli::workshop::Workshop;
use cowlside::domain::document::Node;
use cowlside::guide::profile_form::{Form, Grave};
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profile_writer::{document_of, judge, text_of};
use cowlside::store::profiles::BUILT_IN;
use cowlside::tui::profile_desk::{Asked, Done, Key, ProfileDesk, Wish};
use cowlside::tui::profile_view;
use cowlside::tui::theme::{Colours, ThemeName};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

fn desk(form: Form) -> ProfileDesk {
    let theme = (ThemeName::Terminal, Colours::Off);
    ProfileDesk::new(form, "A profile".into(), String::new(), theme)
}

/// Types text; a line end is Enter, `>` the next page, `<` the one before. Returns what is to be done last.
fn typed(desk: &mut ProfileDesk, text: &str) -> Option<Wish> {
    let mut wish = None;
    for letter in text.chars() {
        let key = match letter {
            '\n' => Key::Enter,
            '>' => Key::PageDown,
            '<' => Key::PageUp,
            letter => Key::Letter(letter),
        };
        (*desk, wish) = desk.press(&key);
    }
    wish
}

#[test]
fn a_digit_or_a_letter_on_a_choice_that_is_made_chooses_anew() {
    let mut desk = desk(Form::new(judge, known()));
    typed(&mut desk, "1");
    assert_eq!(desk.form.text("layout.shape"), "opposed");
    typed(&mut desk, "2");
    assert_eq!(desk.form.text("layout.shape"), "inline");
    typed(&mut desk, "9");
    assert_eq!(desk.form.text("layout.shape"), "inline");
    assert_eq!(desk.note.as_ref().unwrap().text, "1 to 4 choose");
    typed(&mut desk, "v");
    assert_eq!(desk.form.text("layout.shape"), "v");
    typed(&mut desk, "\n");
    assert_eq!(desk.form.text("layout.shape"), "vee");
    // Yes and no are chosen in the same way.
    typed(&mut desk, ">>");
    while desk.field().unwrap().path != "rotation.backwards_allowed" {
        desk = desk.press(&Key::Down).0;
    }
    typed(&mut desk, "12");
    assert_eq!(desk.form.text("rotation.backwards_allowed"), "no");
    typed(&mut desk, "y\n");
    assert_eq!(desk.form.text("rotation.backwards_allowed"), "yes");
    // A number that is typed on into a choice chooses nothing unseen.
    to(&mut desk, "rotation.direction");
    let row = desk.row;
    typed(&mut desk, "0.20\n");
    assert_eq!((desk.row, desk.form.text("rotation.direction")), (row, "counter-clockwise"));
    assert!(desk.note.as_ref().unwrap().text.contains("Enter once more takes counter-clockwise"));
    typed(&mut desk, "\n");
    assert_eq!(desk.row, row + 1);
    // Behind a number two digits are one more; elsewhere the second chooses anew.
    desk.form.set("layout.shape", "radial");
    typed(&mut desk, "<<");
    to(&mut desk, "adjuster.kind");
    let row = desk.row;
    typed(&mut desk, "12\n");
    assert_eq!(desk.row, row, "{:?}", desk.note);
    typed(&mut desk, "1\n\n");
    assert_eq!((desk.row, desk.form.text("adjuster.kind")), (row + 1, "screw"));
}

/// Opens what was written, as for a change, and writes it again.
fn again(text: &str) -> String {
    let mut form = Form::of(&document_of(text).unwrap(), judge, known()).unwrap();
    form.tidy();
    text_of(&form.document())
}

/// What the next test types, as a file.
const WRITTEN: &str = r#"{
  "format": 1,
  "name": "Screws",
  "cylinders": 4,
  "firing_order": [1, 3, 2, 4],
  "layout": {
    "shape": "opposed",
    "banks": [{ "name": "right", "cylinders": [1, 3] }, { "name": "left", "cylinders": [2, 4] }]
  },
  "valves": {
    "intake": { "target": "0.15 mm", "least": "0.10 mm", "most": "0.20 mm" },
    "exhaust": { "target": "0.25 mm", "least": "0.2 mm", "most": "0.30 mm / 0.0118 in" }
  },
  "valve_timing": {
    "intake_opens": "18.5 BTDC",
    "intake_closes": "58 ABDC",
    "exhaust_opens": "60 BBDC",
    "exhaust_closes": "16 ATDC"
  },
  "adjuster": {
    "kind": "screw",
    "pitch": "1 mm",
    "rocker_ratio": 1.4,
    "lock_nut_torque": "20 N·m"
  },
  "gauge_when": { "no_warmer_than": "35 °C" },
  "leaves": ["0.05 mm", "0.10 mm", "6 thou"],
  "covers": { "torque": "9 ± 1 N·m" },
  "interval_hours": 100
}
"#;

#[test]
fn what_is_typed_carelessly_is_written_cleanly_and_comes_back_to_the_byte() {
    let home = tempfile::tempdir().unwrap();
    let mut desk = desk(Form::new(judge, known()));
    // All of the first page; then the pitch, a torque, a temperature, leaves, degrees, hours.
    typed(
        &mut desk,
        "\n\n\n\n\n\n\n\nScrews\n0,15mm\n.10\n0.20 mm\n0,25mm\n0.2\n0,30 mm / 0.0118in\n",
    );
    for (path, text) in [
        ("valve_timing.intake_opens", "18,50 btdc"),
        ("valve_timing.intake_closes", "58ABDC"),
        ("valve_timing.exhaust_opens", "60 BBDC"),
        ("valve_timing.exhaust_closes", "16 Atdc"),
        ("adjuster.pitch", "1mm"),
        ("adjuster.rocker_ratio", "1,4"),
        ("adjuster.lock_nut_torque", "20Nm"),
        ("gauge_when.no_warmer_than", "35C"),
        ("leaves", "0,05mm,0.10 mm , 6thou"),
        ("interval_hours", "0100"),
        ("covers.torque", "9+/-1 N m"),
    ] {
        desk.form.set(path, text);
        let field = desk.form.all_fields().into_iter().find(|field| field.path == path).unwrap();
        desk.form.complete(&field);
    }
    let last = desk.fields().len();
    while desk.row < last {
        desk = desk.press(&Key::Down).0;
    }
    typed(&mut desk, "\n");
    let Some(Wish::Write { name, replace: false }) = typed(&mut desk, "\n") else {
        panic!("{:?} {:?} {:?}", desk.asked, desk.row, desk.form.faults())
    };
    let workshop = Workshop::at(home.path());
    let done = write(&workshop, &desk.form.document(), &name, false, None);
    let Done::Written(place) = done else { panic!("{done:?}") };
    let text = std::fs::read_to_string(place).unwrap();
    assert_eq!(text, WRITTEN);
    parse_profile(&text, &name).unwrap();
    assert_eq!(by_schema(&serde_json::from_str(&text).unwrap()), Vec::<String>::new());
    assert_eq!(again(&text), text);
}

fn without_empty(node: &mut Node) {
    if let Node::Fields(fields) = node {
        fields.iter_mut().for_each(|(_, node)| without_empty(node));
        let empty = |node: &Node| matches!(node, Node::Text(text) if text.is_empty());
        fields.retain(|(_, node)| !empty(node));
    }
}

#[test]
fn a_copy_of_every_shipped_profile_has_its_fields_and_figures_in_their_order() {
    for (name, text) in BUILT_IN {
        // What is empty in it the form leaves out; all else stands in the same order.
        let mut document = document_of(text).unwrap();
        without_empty(&mut document);
        assert_eq!(again(text), text_of(&document), "{name}");
    }
}

#[test]
fn after_writing_it_is_said_what_comes_next() {
    let place = crate::cli::Place::new();
    let copied = place.run_typing(&["profiles", "copy", "flat-six", "my-six", "--plain"], "w\n\n");
    let next = "For a new engine: cowlside engine add NAME --profile my-six --hours H";
    assert!(copied.done().contains(next), "{copied}");
    let changed = place.run_typing(&["profiles", "change", "my-six", "--plain"], "w\n\n1\n");
    assert!(changed.done().contains("go by it from their next service on"), "{changed}");
    place.run(&["engine", "add", "Tug", "--profile", "my-six", "--hours", "1"]).done();
}

#[test]
fn a_radial_with_one_row_asks_for_no_second_one() {
    let mut desk = desk(Form::new(judge, known()));
    typed(&mut desk, "4\n5\n1-3-5-2-4\n1-2-3-4-5\n");
    let missing = |desk: &ProfileDesk| {
        let faults = desk.form.faults().into_iter();
        let of_it = |path: &str| path.starts_with("layout.banks[1]");
        faults.filter(|fault| of_it(&fault.path) && fault.grave == Grave::Missing).count()
    };
    assert_eq!(missing(&desk), 0, "{:?}", desk.form.faults());
    // Once it has cylinders, it is asked where they stand.
    desk.form.set("layout.banks[1].cylinders", "5");
    assert_eq!(missing(&desk), 1, "{:?}", desk.form.faults());
}

/// A profile, what is changed in it, the field, what is typed into it, what it makes of that.
type Bare<'a> = (&'a str, &'a [(&'a str, &'a str)], &'a str, &'a str, &'a str);

#[test]
fn a_bare_figure_takes_the_unit_of_the_figures_beside_it_or_is_asked_for_its_own() {
    let inch = "flat-four";
    let mm = "flat-six";
    let cases: &[Bare] = &[
        // Thousandths where inches are told, as in a reading; below a half inches.
        (inch, &[], "valves.intake.least", "5", "5 thou"),
        (inch, &[], "valves.intake.least", "0.005", "0.005 in"),
        (inch, &[], "valves.intake.target", "6", "6 thou"),
        (mm, &[], "valves.exhaust.most", "0,35", "0.35 mm"),
        // The figures of the same valve come before those of the other kind, and before hot ones.
        (inch, &[("valves.intake.hot.target", "0.25 mm")], "valves.intake.target", "6", "6 thou"),
        (
            inch,
            &[("valves.intake.hot.target", "0.25 mm")],
            "valves.intake.hot.least",
            "0.2",
            "0.2 mm",
        ),
        (
            mm,
            &[
                ("valves.exhaust.least", ""),
                ("valves.exhaust.set_least", "10 thou"),
                ("valves.exhaust.target", "12 thou"),
                ("valves.exhaust.most", "14 thou"),
                ("valves.exhaust.set_most", ""),
            ],
            "valves.exhaust.least",
            "10",
            "10 thou",
        ),
        // Where they do not agree it is asked.
        (inch, &[("valves.intake.least", "0.13 mm")], "valves.intake.target", "6", "6"),
        // A pitch in inches is never a whole one.
        (inch, &[("adjuster.pitch", "")], "adjuster.pitch", "1", "1"),
        (inch, &[("adjuster.pitch", "")], "adjuster.pitch", "0.0357", "0.0357 in"),
        (mm, &[("adjuster.pitch", "")], "adjuster.pitch", "1", "1 mm"),
    ];
    for (profile, before, path, typed, stands) in cases {
        let text = BUILT_IN.iter().find(|(name, _)| name == profile).unwrap().1;
        let mut form = Form::of(&document_of(text).unwrap(), judge, known()).unwrap();
        for (path, text) in *before {
            form.set(path, *text);
        }
        form.set(path, *typed);
        let field = form.all_fields().into_iter().find(|field| field.path == *path).unwrap();
        form.complete(&field);
        assert_eq!(form.text(path), *stands, "{profile} {before:?} {path} {typed}");
    }
}

#[test]
fn a_band_is_told_with_the_figures_that_can_be_read_and_no_others() {
    let text = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    for (path, wrong, set, figure, told) in [
        (
            "valves.exhaust.least",
            "0.x",
            "valves.exhaust.set_most",
            "0.020 in",
            "found in, up to 0.014 in",
        ),
        (
            "valves.exhaust.most",
            "",
            "valves.exhaust.set_least",
            "0.001 in",
            "found in, from 0.010 in",
        ),
    ] {
        let mut form = Form::of(&document_of(text).unwrap(), judge, known()).unwrap();
        form.set(path, wrong);
        form.set(set, figure);
        let faults = form.faults();
        let fault = faults.iter().find(|fault| fault.path == set).unwrap();
        assert!(fault.words.ends_with(told) && fault.must.ends_with(told), "{fault:?}");
    }
}

#[test]
fn what_an_empty_field_means_is_not_said_where_enter_takes_something() {
    let form = Form::new(judge, known());
    for field in form.all_fields() {
        let desk = ProfileDesk::new(
            form.clone(),
            String::new(),
            String::new(),
            (ThemeName::Terminal, Colours::Off),
        );
        if let Some(taken) = desk.taken_by_enter(&field) {
            assert!(
                !field.say.contains("where empty"),
                "{}: {}, Enter takes {taken}",
                field.path,
                field.say
            );
        }
    }
}

fn painted(desk: &ProfileDesk, (width, height): (u16, u16)) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    profile_view::paint(desk, area, &mut buf);
    let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| row(y).trim_end().to_string() + "\n").collect()
}

#[test]
fn what_is_left_to_do_is_told_in_every_window_and_a_doubted_figure_is_not_sound() {
    let text = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    let form = || Form::of(&document_of(text).unwrap(), judge, known()).unwrap();
    let mut both = form();
    both.set("firing_order", "1-1-1-1");
    both.set("valves.intake.target", "");
    let mut desk = desk(both);
    desk.row = desk.fields().len();
    for (size, wanted) in
        [((40, 12), "1 !, 1 * to do"), ((100, 30), "1 to correct (!), 1 to fill in (*)")]
    {
        let shown = painted(&desk, size);
        let row = shown.lines().find(|line| line.contains("> write the profile")).unwrap();
        assert!(row.ends_with(wanted), "{size:?}\n{shown}");
    }
    let mut doubted = form();
    for (figure, typed) in [("target", "8 mm"), ("least", "7 mm"), ("most", "9 mm")] {
        doubted.set(&format!("valves.exhaust.{figure}"), typed);
    }
    doubted.set("valves.exhaust.set_least", "");
    doubted.set("valves.exhaust.set_most", "");
    let mut desk = self::desk(doubted);
    desk.row = desk.fields().len();
    for size in [(40, 12), (80, 24)] {
        let shown = painted(&desk, size);
        assert!(shown.contains("1 to confirm (?)") && !shown.contains("sound"), "{shown}");
    }
    // What the digits answer is broken nowhere.
    let asked = desk.press(&Key::Enter).0;
    let shown = painted(&asked, (40, 12));
    assert!(shown.contains("\n1 it is right as typed  2 correct it\n"), "{shown}");
    let leaving = ProfileDesk { asked: Asked::Leave, ..desk };
    let shown = painted(&leaving, (40, 12));
    // What cannot be written yet is not offered to be.
    assert!(shown.contains("Not written yet: 1 to confirm (?)."), "{shown}");
    assert!(shown.contains("\n1 see to that  2 go on  3 throw it away\n"), "{shown}");
}

/// Goes to a field of the page in hand.
fn to(desk: &mut ProfileDesk, path: &str) {
    while desk.row > 0 {
        *desk = desk.press(&Key::Up).0;
    }
    while desk.field().unwrap().path != path {
        *desk = desk.press(&Key::Down).0;
    }
}

#[test]
fn the_first_figure_is_typed_on_a_number_pad_and_its_unit_is_a_digit() {
    for (digit, typed_as, target, least) in
        [("1", ".15", "0.15 mm", "0.10 mm"), ("2", "6", "6 thou", "0.10 in")]
    {
        let mut desk = desk(Form::new(judge, known()));
        to(&mut desk, "valves.intake.target");
        typed(&mut desk, &format!("{typed_as}\n"));
        assert_eq!(desk.asked, Asked::Unit);
        // What is no unit is none, and nothing is taken for it.
        typed(&mut desk, "5\n");
        assert_eq!(desk.asked, Asked::Unit);
        // Typed on without looking up: it answers nothing, is taken into no field, and that is said.
        for (typed_on, least) in [("0.10", 0), ("0.20", 0), ("12", 0)] {
            typed(&mut desk, typed_on);
            assert_eq!(desk.asked, Asked::Unit, "{typed_on}");
            typed(&mut desk, "\n");
            assert_eq!(desk.asked, Asked::Unit, "{typed_on}");
            assert_eq!(desk.form.text("valves.intake.target"), typed_as);
            assert_eq!(desk.form.text("valves.intake.least").len(), least);
            for size in [(40, 12), (60, 20), (80, 24), (160, 50)] {
                let shown = painted(&desk, size);
                let said = shown.split_whitespace().collect::<Vec<_>>().join(" ");
                let refused = format!("\"{typed_on}\" is no unit and was taken into no field");
                assert!(said.contains(&refused), "{size:?}\n{shown}");
                assert!(said.contains(&format!("In which unit is {typed_as}?")), "{shown}");
                assert!(said.contains("1 mm 2 in, or thou"), "{shown}");
            }
        }
        let (mut other, _) = desk.press(&Key::Paste("1".into()));
        assert!(typed(&mut other, "\n").is_none() && other.asked == Asked::Unit);
        // The digit waits for Enter.
        typed(&mut desk, digit);
        assert_eq!(desk.asked, Asked::Unit);
        typed(&mut desk, "\n");
        assert_eq!(desk.asked, Asked::Nothing);
        assert_eq!(desk.form.text("valves.intake.target"), target);
        assert_eq!(desk.field().unwrap().path, "valves.intake.least");
        // From here on it is known.
        typed(&mut desk, "0.10\n");
        assert_eq!(desk.form.text("valves.intake.least"), least);
    }
    // Back, to mend the figure first.
    let mut desk = desk(Form::new(judge, known()));
    to(&mut desk, "valves.intake.target");
    typed(&mut desk, "1.5\n");
    let (mut desk, _) = desk.press(&Key::Esc);
    assert_eq!((&desk.asked, desk.form.text("valves.intake.target")), (&Asked::Nothing, "1.5"));
    typed(&mut desk, "0.15 mm\n");
    assert_eq!(desk.form.text("valves.intake.target"), "0.15 mm");
}

#[test]
fn figures_left_bare_take_the_unit_once_it_is_known() {
    let mut desk = desk(Form::new(judge, known()));
    to(&mut desk, "valves.intake.least");
    typed(&mut desk, "0.1");
    to(&mut desk, "valves.intake.target");
    assert_eq!(desk.form.text("valves.intake.least"), "0.1");
    typed(&mut desk, "0.15\n1\n");
    assert_eq!(desk.form.text("valves.intake.least"), "0.1 mm");
    let wrong = desk.form.faults().into_iter().filter(|fault| fault.grave == Grave::Wrong);
    assert_eq!(wrong.collect::<Vec<_>>(), []);
}

#[test]
fn cylinders_for_a_banks_name_are_told_while_they_are_typed() {
    let mut desk = desk(Form::new(judge, known()));
    typed(&mut desk, "1\n4\n1324\n");
    assert_eq!(desk.field().unwrap().path, "layout.banks[0].name");
    typed(&mut desk, "1");
    assert!(desk.form.may_become(&desk.field().unwrap()));
    typed(&mut desk, "324");
    let field = desk.field().unwrap();
    let fault = desk.form.faults().into_iter().find(|fault| fault.path == field.path).unwrap();
    assert_eq!(fault.grave, Grave::Wrong);
    assert!(fault.must.contains("its cylinders go into the next field"), "{fault:?}");
    assert!(!desk.form.may_become(&field), "told only once it is left");
}

#[test]
fn a_list_that_is_come_back_to_is_typed_anew_or_gone_on_with_by_a_hyphen() {
    let mut desk = desk(Form::new(judge, known()));
    typed(&mut desk, "1\n4\n1-3-2-4\n");
    to(&mut desk, "layout.banks[0].cylinders");
    typed(&mut desk, "1-2\n");
    to(&mut desk, "layout.banks[0].cylinders");
    typed(&mut desk, "1-3");
    assert_eq!(desk.form.text("layout.banks[0].cylinders"), "1-3");
    to(&mut desk, "firing_order");
    typed(&mut desk, "-5");
    assert_eq!(desk.form.text("firing_order"), "1-3-2-4-5");
}

#[test]
fn the_schema_is_named_only_where_it_lies_beside() {
    let text = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    let document = document_of(text).unwrap();
    assert!(document.at("$schema").is_some());
    for beside in [false, true] {
        let home = tempfile::tempdir().unwrap();
        let workshop = Workshop::at(home.path());
        if beside {
            std::fs::create_dir_all(home.path().join("profiles")).unwrap();
            std::fs::write(home.path().join("profiles/profile.schema.json"), "{}").unwrap();
        }
        let done = write(&workshop, &document, "mine", false, None);
        let Done::Written(place) = done else { panic!("{done:?}") };
        let written = std::fs::read_to_string(place).unwrap();
        assert_eq!(written.contains("$schema"), beside, "{written}");
    }
}
