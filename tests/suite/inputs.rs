//! What is typed on the command line or told by the environment and cannot stand: refused in the
//! program's own words, nothing written.

use super::cli::Place;

/// Words that only a parser or a system call would use.
const JARGON: [&str; 6] =
    ["invalid", "expected value", "os error", "missing field", "at line", "serde"];

#[test]
fn a_wrong_value_on_the_command_line_is_told_in_plain_words() {
    let place = Place::new();
    let huge = "9".repeat(10_000);
    let mut tried = 0;
    for value in ["x", "-1", "256", "1e9", "\u{1b}]52;c;x\u{7}", "\u{202e}3", &huge] {
        let shown = place.run(&["plan", "flat-four", "--from", value]);
        assert!(shown.err.contains("must be a cylinder's number, as in 3"), "{shown}");
        tried += 1;
        check(&shown);
    }
    for value in ["abc", "NaN", "inf", "-inf", "1e400", "6O", &huge] {
        let shown = place.run(&["plan", "flat-four", "--margin", value]);
        assert!(shown.err.contains("must be crank degrees, as in 60 or 47.5"), "{shown}");
        tried += 1;
        check(&shown);
    }
    let shown = place.run(&["compare", "x", "--by", "colour"]);
    assert!(shown.err.contains("must be one of: cylinder, moved"), "{shown}");
    check(&shown);
    assert_eq!(tried, 14);
    assert_eq!(place.journals().len(), 0);
}

fn check(shown: &super::cli::Shown) {
    assert_eq!((shown.code, shown.out.as_str(), shown.err.lines().count()), (2, "", 2), "{shown}");
    assert!(shown.err.starts_with("error: ") && shown.err.contains("\nhint: "), "{shown}");
    assert!(shown.err.len() < 400, "{}", shown.err.len());
    assert!(!JARGON.iter().any(|word| shown.err.contains(word)), "{shown}");
}

#[test]
fn a_damaged_engine_is_told_without_a_parsers_words_and_left_as_it_is() {
    let mut tried = 0;
    for text in
        ["", "{", "{}", "[]", "null", "{\"format\":1e400}", "{\"format\":\"1\"}", "\u{feff}{}"]
    {
        let place = Place::new();
        let file = place.path().join("engines/0123456789abcdefghjkmnpqrs.json");
        std::fs::create_dir_all(file.parent().unwrap()).unwrap();
        std::fs::write(&file, text).unwrap();
        let shown = place.run(&["engine", "hours", "x", "1"]);
        assert!(shown.code == 1 && shown.err.contains("is damaged: line 1, column "), "{shown}");
        assert!(!JARGON.iter().any(|word| shown.err.contains(word)), "{shown}");
        assert_eq!(std::fs::read_to_string(&file).unwrap(), text);
        tried += 1;
    }
    assert_eq!(tried, 8);
}

#[test]
fn a_title_typed_for_a_name_is_answered_with_the_name() {
    let place = Place::new();
    let shown = place.run(&["plan", "Flat six, screw adjusters"]);
    assert!(shown.failed().1.contains("flat-six"), "{shown}");
}
