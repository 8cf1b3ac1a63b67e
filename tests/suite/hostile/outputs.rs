//! Every hostile text in every free field, in every output of the command line.

use super::shop::{Mould, Ran, Shop};
use super::{acts, strings, unsafe_line};
use crate::record_forms::{Read, is_harmless, read};
use serde_json::Value;
use unicode_width::UnicodeWidthStr;

/// How an output is looked at, beside that nothing in it acts.
#[derive(Clone, Copy, Debug, PartialEq)]
enum As {
    Text,
    /// A page of text: no line is wider than 80 columns.
    Page,
    Markdown,
    Html,
    Json,
    JsonLines,
    Csv,
}

/// What a harmless text looks like.
const HARMLESS: &str = "some words";

/// Every output in which texts of the data folder are shown.
fn outputs(shop: &Shop) -> Vec<(Vec<String>, As)> {
    let [_, signed, open] = [0, 1, 2].map(|n| shop.sessions[n].to_str().unwrap());
    let id = shop.id.as_str();
    let mut all: Vec<(Vec<&str>, As)> = vec![
        (vec!["engines"], As::Text),
        (vec!["engines", "--json"], As::Json),
        (vec!["sessions", id], As::Text),
        (vec!["history", id], As::Page),
        (vec!["history", id, "--json"], As::Json),
        (vec!["compare", id], As::Page),
        (vec!["compare", id, "--by", "moved"], As::Page),
        (vec!["compare", id, "--json"], As::Json),
        (vec!["tag", id], As::Page),
        (vec!["tag", id, "--format", "html"], As::Html),
        (vec!["parts", id], As::Text),
        (vec!["parts", id, "--json"], As::Text),
        (vec!["export"], As::Csv),
        (vec!["export", "--jsonl"], As::JsonLines),
        (vec!["verify", "--all"], As::Text),
        (vec!["verify", "--all", "--json"], As::Json),
        (vec!["verify", open], As::Text),
        (vec!["verify", open, "--json"], As::Json),
        (vec!["settings"], As::Text),
        (vec!["profiles"], As::Text),
    ];
    for session in [signed, open] {
        all.push((vec!["report", session], As::Page));
        for (format, how) in
            [("md", As::Markdown), ("html", As::Html), ("json", As::Json), ("csv", As::Csv)]
        {
            all.push((vec!["report", session, "--format", format], how));
        }
    }
    for (format, how) in [("text", As::Page), ("md", As::Markdown), ("html", As::Html)] {
        all.push((vec!["report", "--blank", id, "--format", format], how));
    }
    let owned = |words: Vec<&str>| words.into_iter().map(str::to_owned).collect();
    all.into_iter().map(|(words, how)| (owned(words), how)).collect()
}

/// The signs of Markdown that are not escaped, line by line.
fn skeleton(markdown: &str) -> Vec<String> {
    let line = |line: &str| {
        let mut kept = String::new();
        let mut letters = line.chars();
        let mut begins = true;
        while let Some(letter) = letters.next() {
            if letter == '\\' {
                letters.next();
                begins = false;
            } else if "`*_[]<>|~&".contains(letter) || begins && "#-+=>.)".contains(letter) {
                kept.push(letter);
            }
            begins &= letter.is_ascii_digit() || letter == '#';
        }
        kept
    };
    markdown.lines().map(line).collect()
}

/// The elements of a page, without the words in them.
fn elements(page: &Read) -> Vec<String> {
    page.elements.iter().map(|(name, _)| name.clone()).collect()
}

/// What the shape of an output is compared with: the same with harmless words.
fn shape(how: As, out: &str) -> Vec<String> {
    match how {
        As::Markdown => skeleton(out),
        As::Html => elements(&read(out)),
        As::Text | As::Page | As::Json | As::JsonLines | As::Csv => Vec::new(),
    }
}

/// Everything that is wrong with an output; `text` is who gauged, where that is known.
fn faults(ran: &Ran, how: As, text: Option<&str>, plain_shape: &[String]) -> Vec<String> {
    let mut found = Vec::new();
    let mut say = |what: &str, more: String| found.push(format!("{what}: {more}"));
    if let Some(line) = unsafe_line(&ran.err) {
        say("stderr acts or hides", line);
    }
    if how != As::Csv
        && let Some(line) = unsafe_line(&ran.out)
    {
        say("it acts or hides", line);
    }
    match how {
        As::Text => {}
        As::Page => {
            if let Some(wide) = ran.out.lines().find(|line| line.width() > 80) {
                say("wider than the page", wide.to_owned());
            }
        }
        As::Markdown | As::Html => {
            let own = shape(how, &ran.out);
            if own != plain_shape {
                let at = own.iter().zip(plain_shape).position(|(one, other)| one != other);
                let at = at.unwrap_or(own.len().min(plain_shape.len()));
                let (own, must) = (own.get(at), plain_shape.get(at));
                say("another structure", format!("{at}: {own:?}, must be {must:?}"));
            }
            if how == As::Html {
                is_harmless(&read(&ran.out));
            }
        }
        As::Json => {
            if let Err(error) = serde_json::from_str::<Value>(&ran.out) {
                say("no JSON", error.to_string());
            }
        }
        As::JsonLines => {
            for line in ran.out.lines() {
                let row: Value = serde_json::from_str(line).unwrap_or_default();
                let by = row["by"].as_str().unwrap_or("none");
                if text.is_some_and(|text| by != text && !by.is_empty()) {
                    say("the text is another one", format!("{by:?}"));
                }
            }
        }
        As::Csv => found.extend(table_faults(&ran.out, text)),
    }
    found
}

fn table_faults(table: &str, text: Option<&str>) -> Vec<String> {
    let mut found = Vec::new();
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(table.as_bytes());
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        rows += 1;
        if row.len() != 23 {
            found.push(format!("{} cells", row.len()));
            continue;
        }
        let begins = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'];
        let formula = |cell: &&str| {
            let shown = cell.starts_with(begins);
            shown && cell.parse::<f64>().is_err()
        };
        if let Some(cell) = row.iter().find(formula) {
            found.push(format!("a formula: {cell:?}"));
        }
        let by = row.get(17).unwrap();
        let is = |text: &str| by.is_empty() || by == text || by.strip_prefix('\'') == Some(text);
        if text.is_some_and(|text| !is(text)) {
            found.push(format!("the text is another one: {by:?}"));
        }
    }
    if rows == 0 {
        found.push("no rows".into());
    }
    found
}

#[test]
fn no_output_lets_a_hostile_text_act_hide_or_change_its_shape() {
    let mould = Mould::new();
    let (mut looked, mut filled) = (0, 0);
    let mut wrong = Vec::new();
    for stray in [false, true] {
        let harmless = mould.with(HARMLESS, stray);
        let shapes: Vec<(u8, Vec<String>)> = outputs(&harmless)
            .iter()
            .map(|(words, how)| {
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                let ran = harmless.run(&words, "", false);
                // A file among the engines that is none is damage, and left out.
                let left_out = ["engines", "export"].contains(&words[0])
                    || ["profiles", "profiles --json"].contains(&words.join(" ").as_str());
                let must = u8::from(left_out || words.starts_with(&["verify", "--all"]));
                let may = ran.code == must || words[0] == "parts";
                assert!(may, "{words:?}: {} {}", ran.code, ran.err);
                (ran.code, shape(*how, &ran.out))
            })
            .collect();
        for (name, text) in strings::in_turn(usize::from(stray), 12) {
            let shop = mould.with(&text, stray);
            filled += shop.filled;
            for ((words, how), (code, shape)) in outputs(&shop).iter().zip(&shapes) {
                let shown: Vec<&str> = words.iter().map(String::as_str).collect();
                let ran = shop.run(&shown, "", false);
                let gauged_by = (!stray).then_some(text.as_str());
                let mut found = faults(&ran, *how, gauged_by, shape);
                // A text that may be a profile's name leaves no file out of their list.
                let is_name = words[0] == "profiles" && !ran.err.contains("left out: ");
                let code = if is_name { 0 } else { *code };
                if ran.code != code {
                    found.push(format!("exit {}, must be {code}: {}", ran.code, ran.err));
                }
                if *how == As::Csv {
                    let seen = shop.run(&shown, "", true);
                    found.extend(unsafe_line(&seen.out.replace("\r\n", "\n")));
                }
                looked += 1;
                let about = format!("{name}: {} {}", words[0], words[1..].join(" "));
                wrong.extend(found.into_iter().map(|fault| format!("{about}: {fault}")));
            }
        }
    }
    println!("{looked} outputs, {filled} hostile texts in their data, {} wrong", wrong.len());
    wrong.truncate(40);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(strings::all().len() >= 40 && looked > 350 && filled > 1_250);
}

#[test]
fn an_output_that_shows_a_text_as_it_is_would_be_seen() {
    let (mut seen, mut passed) = (0, 0);
    let ran = |out: String| Ran { out, err: String::new(), code: 0 };
    for (name, text) in strings::all() {
        let raw = faults(&ran(format!("name: {text}\n")), As::Text, Some(&text), &[]);
        let hides = text.split('\n').any(|line| line.contains(acts));
        assert!(!hides || !raw.is_empty(), "{name}");
        passed += usize::from(raw.is_empty());
        seen += raw.len();
    }
    for (name, how, out, must) in [
        (
            "markup",
            As::Html,
            "<!DOCTYPE html><title>a</title><p><b>a</b></p>",
            "<!DOCTYPE html><title>a</title><p>a</p>",
        ),
        ("table", As::Markdown, "| a | b |", "| a \\| b |"),
        ("heading", As::Markdown, "# a", "\\# a"),
        ("link", As::Markdown, "[a](b)", "\\[a\\](b)"),
    ] {
        let out = ran(out.into());
        assert_ne!(shape(how, &out.out), shape(how, must), "{name}");
        seen += 1;
    }
    for table in ["a,b\n=1,2\n", "a\n"] {
        assert!(!table_faults(table, None).is_empty());
        seen += 1;
    }
    let row = ["x"; 16].join(",") + ",,=1+1,,,,,,\n";
    assert!(table_faults(&format!("{}\n{row}", ["h"; 23].join(",")), Some("=1+1")).len() == 1);
    println!("{seen} seen, {passed} may stand as they are");
    assert!(seen > 30 && passed > 30);
}

#[test]
fn no_argument_acts_in_what_is_said_of_it() {
    let shop = Mould::new().with(HARMLESS, false);
    let mut looked = 0;
    for (name, text) in strings::all() {
        // The system hands over no argument with a NUL in it.
        let text = text.replace('\0', "\u{1}");
        let word = text.as_str();
        for words in [
            vec![word],
            vec!["engines", word],
            vec!["engine", "add", word, "--profile", "flat-four", "--hours", "x"],
            vec!["engine", "add", "new", "--profile", word, "--hours", "1"],
            vec!["engine", "add", "new", "--profile", "flat-four", "--hours", word],
            vec!["engine", "hours", word, "1"],
            vec!["session", word, "--plain"],
            vec!["sessions", word],
            vec!["compare", word],
            vec!["compare", &shop.id, word, word],
            vec!["history", word],
            vec!["report", word],
            vec!["report", &shop.id, "--format", word],
            vec!["tag", word],
            vec!["parts", word],
            vec!["verify", word],
            vec!["plan", word],
            vec!["plan", "flat-four", "--from", word],
            vec!["plan", "flat-four", "--margin", word],
            vec!["advise", "flat-four", word, "6"],
            vec!["advise", "flat-four", "1 exhaust", word],
            vec!["advise", "vee-twin-shims", "1 exhaust", "0.2", "--shim", word],
            vec!["leaves", "flat-four", word],
            vec!["profiles", word],
            vec!["profiles", "show", word],
            vec!["profiles", "check", word],
            vec!["profiles", "copy", word, "--plain"],
            vec!["import", word],
            vec!["take", word],
            vec!["restore", word],
            vec!["help", word],
            vec!["completions", word],
            vec!["man", word],
            vec!["settings", "theme", word],
            vec!["demo", "--", word],
        ] {
            let ran = shop.run(&words, "", false);
            let first = words.first().copied().unwrap_or_default();
            for shown in [&ran.out, &ran.err] {
                assert_eq!(unsafe_line(shown), None, "{name}: {first}");
            }
            assert!(ran.code <= 2 && !ran.err.contains("panicked"), "{name}: {first}: {}", ran.err);
            assert!(ran.err.len() < 16_000, "{name}: {first}: {} bytes", ran.err.len());
            looked += 1;
        }
    }
    println!("{looked} arguments, 0 act");
    assert!(looked > 2_000);
}

#[test]
fn the_plain_session_shows_hostile_texts_of_its_file_and_of_its_input_as_harmless() {
    let mould = Mould::new();
    let mut looked = 0;
    for stray in [false, true] {
        for (name, text) in strings::in_turn(2 * usize::from(stray), 4) {
            let shop = mould.with(&text, stray);
            let line = text.replace(['\n', '\r'], " ");
            let typed = format!("\n?\n*\n\n{line}\n:{line}\n-\n?\n*\n{line}\nq\n");
            let ran = shop.run(&["session", &shop.id, "--plain"], &typed, false);
            for shown in [&ran.out, &ran.err] {
                assert_eq!(unsafe_line(shown), None, "{name}");
            }
            assert!(ran.code <= 1, "{name}: {}", ran.err);
            looked += 1;
        }
    }
    println!("{looked} plain sessions, 0 act");
    assert!(looked >= strings::all().len() / 2);
}
