//! Help, completions, the manual page, settings, and that every example of every `--help` works.

use super::Place;
use clap::{Command, CommandFactory};
use cowlside::cli::args::Line;
use cowlside::domain::entry::Moment;

#[test]
fn help_lists_topics_and_commands_and_explains_each() {
    let place = Place::new();
    let list = place.run(&["help"]);
    for wanted in ["lock-nut", "glossary", "completions", "advise"] {
        assert!(list.done().contains(wanted), "{wanted}");
    }
    for topic in cowlside::guide::help::topics() {
        let shown = place.run(&["help", topic.name]);
        assert!(shown.done().starts_with(topic.title), "{}: {shown}", topic.name);
    }
    let glossary = place.run(&["help", "glossary"]);
    for wanted in ["overlap", "seal", "ABDC", "floating cam ring"] {
        assert!(glossary.done().contains(wanted), "{wanted}");
        assert!(place.run(&["help", wanted]).done().starts_with(wanted));
    }
    // A word of which a topic has a drawing says where that is.
    for (word, topic) in
        [("overlap", "turn"), ("rocking valves", "turn"), ("leaf", "gauge"), ("go", "gauge")]
    {
        let told = place.run(&["help", word]);
        assert!(told.done().ends_with(&format!("    Drawn: cowlside help {topic}\n")), "{told}");
        assert!(
            !cowlside::guide::help::topics()
                .find(|one| one.name == topic)
                .unwrap()
                .drawings
                .is_empty()
        );
    }
    assert!(list.done().lines().all(|line| line.chars().count() <= 80));
    assert!(glossary.done().lines().all(|line| line.chars().count() <= 80));
}

#[test]
fn no_topic_hides_a_command_and_a_command_s_name_prints_its_help() {
    for command in Line::command().get_subcommands() {
        let name = command.get_name();
        assert!(cowlside::guide::help::topics().all(|topic| topic.name != name), "{name}");
        let shown = Place::new().run(&["help", name]);
        assert!(shown.done().contains(&format!("Usage: cowlside {name}")), "{shown}");
    }
    let nested = Place::new().run(&["help", "profiles", "show"]);
    assert!(nested.done().contains("Usage: cowlside profiles show"), "{nested}");
}

#[test]
fn help_on_what_is_not_known_proposes_what_is_near() {
    let said = |word: &str| {
        let shown = Place::new().run(&["help", word]);
        assert_eq!((shown.code, shown.out.as_str()), (2, ""), "{shown}");
        shown.err
    };
    assert_eq!(
        said("overlop"),
        "error: there is no help on \"overlop\"\n\
         hint: near to it: overlap; `cowlside help` lists all topics\n"
    );
    assert!(said("sesion").contains("near to it: session, sessions;"));
    assert!(said("qqqqqqqqq").ends_with("hint: `cowlside help` lists all topics\n"));
}

#[test]
fn help_on_a_word_of_the_table_of_keys_tells_its_keys() {
    for (word, key) in [("theme", "  t "), ("Bell", "  b "), ("sort", "  . ")] {
        let shown = Place::new().run(&["help", word]);
        assert!(shown.code == 0 && shown.out.contains(key), "{shown}");
        assert!(shown.out.to_lowercase().contains(&word.to_lowercase()), "{shown}");
    }
}

#[test]
fn a_typing_error_in_a_command_is_told_what_it_is_near_to() {
    let shown = Place::new().run(&["advice", "flat-four"]);
    assert_eq!(shown.code, 2);
    assert!(shown.err.contains("`cowlside advise`"), "{shown}");
    let shown = Place::new().run(&["plan", "flat-four", "--few-stop"]);
    assert!(shown.code == 2 && shown.err.contains("--few-stops"), "{shown}");
}

#[test]
fn completions_and_the_manual_page_name_every_command() {
    let place = Place::new();
    let page = place.run(&["man"]);
    assert!(page.done().contains(".TH"), "{page}");
    for shell in ["bash", "zsh", "fish"] {
        let shown = place.run_unsettled(&["completions", shell]);
        for command in Line::command().get_subcommands() {
            assert!(shown.done().contains(command.get_name()), "{shell} {}", command.get_name());
        }
    }
    for command in Line::command().get_subcommands() {
        let name = command.get_name();
        let head = format!(".SH \"COWLSIDE {}\"", name.to_uppercase());
        assert!(page.done().contains(&head), "{head}");
        let own = place.run(&["man", name]);
        assert!(own.done().contains(&format!("cowlside\\-{name}")), "{own}");
        let title = format!(".TH cowlside-{name} 1  \"cowlside {}\"", env!("CARGO_PKG_VERSION"));
        assert!(own.out.contains(&title), "{title}: {own}");
    }
    let wrong = place.run(&["man", "nothing"]);
    assert!(wrong.code == 2 && wrong.err.contains("no command"), "{wrong}");
}

#[test]
fn the_bell_is_turned_off_and_on_and_stays_so() {
    let place = Place::new();
    assert_eq!(place.run(&["settings"]).done(), "bell   on\ntheme  terminal\n");
    assert_eq!(place.run(&["settings", "bell", "off"]).done(), "bell   off\ntheme  terminal\n");
    assert_eq!(place.run(&["settings", "theme", "dark"]).done(), "bell   off\ntheme  dark\n");
    let kept = std::fs::read_to_string(place.path().join("settings.json")).unwrap();
    assert!(kept.contains("\"bell\":false"), "{kept}");
    assert_eq!(place.run(&["settings", "bell", "on"]).done(), "bell   on\ntheme  dark\n");
    let kept = std::fs::read_to_string(place.path().join("settings.json")).unwrap();
    assert!(!kept.contains("bell"), "{kept}");
    let wrong = place.run(&["settings", "theme", "pink"]);
    assert!(wrong.code == 2 && wrong.err.contains("daylight"), "{wrong}");
}

/// Every example of every command's help, with the command.
fn examples() -> Vec<(String, String)> {
    fn of(command: &Command, all: &mut Vec<(String, String)>) {
        let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
        let lines = help.lines().filter(|line| line.trim_start().starts_with("cowlside"));
        // What an example is for stands behind several blanks.
        let line = |line: &str| line.trim().split("   ").next().unwrap_or_default().to_string();
        all.extend(lines.map(|text| (command.get_name().to_string(), line(text))));
        command.get_subcommands().for_each(|part| of(part, all));
    }
    let mut all = Vec::new();
    of(&Line::command(), &mut all);
    all
}

/// Words as a shell takes them; where output or input goes elsewhere is left out.
fn words(line: &str) -> Vec<String> {
    let line = line.split(['<', '>']).next().unwrap_or_default();
    let mut words = Vec::new();
    for (at, part) in line.split('"').enumerate() {
        match at % 2 {
            1 => words.push(part.to_string()),
            _ => words.extend(part.split_whitespace().map(String::from)),
        }
    }
    words
}

#[test]
fn every_command_has_an_example() {
    let examples = examples();
    fn check(command: &Command, examples: &[(String, String)]) {
        let (name, parts) = (command.get_name(), command.get_subcommands().count());
        let has = examples.iter().any(|(of, _)| of == name);
        assert!(has || parts > 0, "{name} has no example");
        command.get_subcommands().for_each(|part| check(part, examples));
    }
    check(&Line::command(), &examples);
    assert!(examples.len() > 40, "{examples:?}");
}

#[test]
fn every_example_does_its_work() {
    let at = Moment { unix_ms: super::MORNING, offset_min: 60 };
    let place = Place::new();
    cowlside::cli::demo::make(&place.path().join("demo"), true, at, &Default::default()).unwrap();
    let home = Place::new();
    copy(&place.path().join("demo"), home.path());
    let session = super::listed(&home.path().join("sessions")).pop().unwrap();
    let its_file = session.to_string_lossy().into_owned();
    let session = session.file_stem().unwrap().to_string_lossy().into_owned();
    let twin = ["engine", "add", "Twin by the door", "--profile", "vee-twin-shims", "--hours", "3"];
    home.run(&twin).done();
    let stick = tempfile::tempdir().unwrap();
    let made = |words: &[&str], file: &str| {
        std::fs::write(home.path().join(file), home.run_unsettled(words).out).unwrap();
    };
    made(&["export"], "paper-records.csv");
    let profile = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/flat-four.json");
    std::fs::copy(profile, home.path().join("my-engine.json")).unwrap();
    // These begin a session, or need a terminal or files of another machine: they are only parsed.
    let only_parsed = |words: &[String]| {
        let word = |at: usize| words.get(at).map(String::as_str).unwrap_or_default();
        // The seal code of another session: that it does not fit is what verify says.
        words.iter().any(|word| word == "--code")
            // Its engine is here: `stranded` carries it out.
            || words.iter().any(|word| word == "--of")
            || matches!(word(2), "new" | "copy" | "change")
            || matches!(word(1), "" | "demo" | "session" | "take" | "tag" | "parts" | "note")
    };
    let mut run = 0;
    for (of, example) in examples() {
        let words = words(&example);
        if let Err(error) = <Line as clap::Parser>::try_parse_from(&words) {
            panic!("{of}: {example}: {error}");
        }
        if only_parsed(&words) {
            continue;
        }
        let file = |word: &String| match word.as_str() {
            "my-engine.json" | "paper-records.csv" => {
                home.path().join(word).to_string_lossy().into_owned()
            }
            "/media/stick/workshop.backup" => {
                stick.path().join("workshop.backup").to_string_lossy().into_owned()
            }
            "20260314-101530z-k3f9q2" => session.clone(),
            "/media/stick/copy.jsonl" => its_file.clone(),
            other => other.to_string(),
        };
        let words: Vec<String> = words.iter().skip(1).map(file).collect();
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        let shown = home.run_unsettled(&words);
        assert_eq!(shown.code, 0, "{of}: {example}: {shown}");
        assert!(!shown.out.is_empty(), "{of}: {example} says nothing");
        run += 1;
    }
    assert!(run > 40, "{run}");
}

fn copy(from: &std::path::Path, to: &std::path::Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            std::fs::copy(&path, &target).unwrap();
        }
    }
}
