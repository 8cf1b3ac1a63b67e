//! Slips on the command line and in the data folder that are told with what to do: an option of another
//! command, a figure far out of range, a folder that is none, a name that a newer file has, covers that a
//! profile does not tell.

use super::{Place, listed, with_trainer};
use cowlside::store::StoreError;
use std::fs;
use std::path::Path;

#[test]
fn an_option_of_another_command_is_named_with_its_commands() {
    let place = Place::new();
    for (words, hint) in [
        (&["--plian"][..], "hint: --plain is an option of cowlside session, "),
        (&["engines", "--plain"], "hint: --plain is an option of cowlside session, "),
        (
            &["tag", "x", "--jsno"],
            "hint: --json is an option of cowlside profiles, cowlside plan, ",
        ),
    ] {
        let shown = place.run(words);
        assert_eq!(shown.code, 2, "{shown}");
        assert!(shown.err.contains(" is no option of this command\n"), "{shown}");
        assert!(shown.err.contains(hint), "{shown}");
    }
    // One of this very command comes first; what is near to none is not guessed at.
    let own = place.run(&["session", "x", "--plian"]);
    assert!(own.err.contains("hint: did you mean --plain? "), "{own}");
    let none = place.run(&["engines", "--frobnicate"]);
    let told = "error: `--frobnicate` is no option of this command\nhint: `--help` behind";
    assert!(none.err.starts_with(told), "{none}");
}

/// No word of the parser's is left where a line is wrong: what is wrong, and an example of it right.
#[test]
fn a_line_that_is_wrong_is_told_in_our_words_with_an_example() {
    let place = Place::new();
    for (words, error, hint) in [
        (&["reprot"][..], "there is no command `reprot`", "did you mean `cowlside report`? "),
        (
            &["engine", "ad"],
            "there is no command `engine ad`",
            "did you mean `cowlside engine add`? ",
        ),
        (&["frob"], "there is no command `frob`", "`cowlside --help` lists them all"),
        (
            &["settings", "colour"],
            "there is no command `settings colour`",
            "`cowlside settings --help` lists them all",
        ),
        (
            &["compare", "Blue", "spring"],
            "`cowlside compare` needs more: <NEWER>",
            "name both services, OLDER and NEWER, or none for the last two",
        ),
        (&["session"], "`cowlside session` needs more: <ENGINE>", "as in: cowlside session "),
        (
            &["engine", "add", "A", "--hours", "1"],
            "`cowlside engine add` needs more: --profile <PROFILE>",
            "as in: cowlside engine add ",
        ),
        (
            &["compare", "Yellow", "tug", "1", "2"],
            "\"2\" is a word too many",
            "a name of several words goes in double quotes; as in: cowlside compare ",
        ),
        (
            &["engine"],
            "`cowlside engine` needs one more word, of: add, hours, profile",
            "as in: cowlside engine ",
        ),
        (&["engines", "--json", "--json"], "`--json` stands there twice", "leave one out; "),
    ] {
        let shown = place.run(words);
        assert_eq!(shown.code, 2, "{words:?}: {shown}");
        let mut lines = shown.err.lines();
        assert_eq!(lines.next(), Some(format!("error: {error}").as_str()), "{words:?}: {shown}");
        let told = lines.next().is_some_and(|line| line.starts_with(&format!("hint: {hint}")));
        assert!(told && lines.next().is_none(), "{words:?}: {shown}");
    }
}

#[test]
fn a_command_of_profiles_that_is_mistyped_is_named_beside_the_search() {
    let place = Place::new();
    let shown = place.run(&["profiles", "chek", "x"]);
    let (error, hint) = shown.failed();
    assert!(error.starts_with("no profile has all of these words"), "{shown}");
    assert!(hint.ends_with(" Or was it `cowlside profiles check`?"), "{shown}");
    let other = place.run(&["profiles", "helicopter"]);
    assert!(!other.failed().1.contains("Or was it"), "{other}");
}

#[test]
fn the_demo_takes_any_command_with_and_without_dashes() {
    let place = Place::new();
    for words in
        [&["demo", "engines"][..], &["demo", "--", "engines"], &["demo", "engines", "--ascii"]]
    {
        let shown = place.run(words);
        assert!(shown.done().starts_with("Yellow tug "), "{shown}");
    }
}

#[test]
fn a_margin_out_of_range_is_refused_in_few_letters() {
    let place = Place::new();
    for (margin, told) in [("1e99", "1e99°"), ("-1e300", "-1e300°"), ("361", "361°")] {
        let shown = place.run(&["plan", "flat-four", &format!("--margin={margin}")]);
        let (error, hint) = shown.failed();
        assert_eq!(
            error,
            format!("a least margin of {told} cannot be asked for: it must be 0 to 360")
        );
        assert!(hint.starts_with("Leave the margin out"), "{hint}");
    }
}

#[test]
fn a_folder_of_engines_that_cannot_be_listed_is_told_with_what_to_do() {
    let place = Place::new();
    fs::write(place.path().join("engines"), "").unwrap();
    let shown = place.run(&["engines"]);
    let (error, hint) = shown.failed();
    assert!(error.starts_with("cannot list FOLDER/engines: "), "{shown}");
    assert_eq!(hint, "move that file away, then do it again; nothing was changed");
    let denied = |doing| {
        let cause = std::io::ErrorKind::PermissionDenied.into();
        StoreError::io(doing, Path::new("/data/engines"))(cause).hint()
    };
    assert!(denied("list").contains("right to read it"), "{}", denied("list"));
    assert!(denied("write").contains("write to"), "{}", denied("write"));
    // A session's file, its lock and its folder have their place: no other is asked for.
    for doing in ["write to", "create"] {
        assert!(denied(doing).contains("the right to write there"), "{}", denied(doing));
    }
}

/// An engine called Trainer in a file that a newer program wrote.
fn with_a_newer_trainer() -> Place {
    let place = with_trainer();
    let path = listed(&place.path().join("engines")).remove(0);
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replacen("\"format\":1", "\"format\":2", 1)).unwrap();
    assert!(fs::read_to_string(&path).unwrap().contains("\"format\":2"), "{text}");
    place
}

#[test]
fn an_engine_in_a_newer_file_keeps_its_name() {
    let place = with_a_newer_trainer();
    let files = || listed(&place.path().join("engines")).len();
    let add = ["engine", "add", "TRAINER", "--profile", "flat-four", "--hours", "1"];
    let shown = place.run(&add);
    let (error, hint) = shown.failed();
    assert!(error.contains("\"Trainer\" already, in a file that a newer version"), "{shown}");
    assert!(hint.contains("use that newer version"), "{shown}");
    // Neither does a table make a second one.
    let table = place.path().join("paper.csv");
    let rows = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit\n\
                Trainer,flat-four,annual,2025-01-05T10:00:00Z,1,1,exhaust,found,12,thou\n";
    fs::write(&table, rows).unwrap();
    let imported = place.run(&["import", table.to_str().unwrap()]);
    assert_eq!(imported.code, 1, "{imported}");
    assert!(imported.out.contains("in a file that a newer version"), "{imported}");
    assert_eq!(files(), 1);
    // One that is taken over from elsewhere gets another name.
    let elsewhere = with_trainer();
    let taken = place.run(&["take", elsewhere.path().to_str().unwrap()]);
    assert!(taken.done().contains("engine Trainer: copied as "), "{taken}");
    assert_eq!(files(), 2);
}

#[test]
fn covers_that_the_profile_does_not_tell_are_asked_for() {
    let place = Place::new();
    let mut bare: serde_json::Value =
        serde_json::from_str(include_str!("../../../profiles/flat-four.json")).unwrap();
    bare.as_object_mut().unwrap().remove("covers");
    fs::create_dir_all(place.path().join("profiles")).unwrap();
    fs::write(place.path().join("profiles/bare.json"), bare.to_string()).unwrap();
    place.run(&["engine", "add", "Twin", "--profile", "bare", "--hours", "1"]).done();
    let mut mechanic =
        crate::plain::Mechanic { stops_at: Some("How many came off"), ..Default::default() };
    let shown = place.run_asked(&["session", "Twin", "--plain"], &mut mechanic);
    assert!(shown.out.contains("how many × cover?"), "{shown}");
    assert!(shown.out.contains("The profile does not say how many there are"), "{shown}");
    assert!(shown.out.contains("How many came off, as in 2:"), "{shown}");
    assert!(shown.out.contains("Enter  none came off"), "{shown}");
    assert!(!shown.out.contains("0 × cover"), "{shown}");
}

#[test]
fn that_no_cover_came_off_is_said_by_a_digit_where_the_profile_tells_none() {
    use crate::session::{engines, harness::Service};
    use cowlside::domain::entry::Entry;
    use cowlside::domain::session::Due;
    use cowlside::guide::{Answered, Talk};
    let mut facts = engines::flat_four();
    facts.covers = cowlside::domain::profile::Covers::default();
    let mut service = Service::new(facts);
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    let session = &service.session;
    let Answered::Next(sure) = Talk::default().answer(session, "") else { panic!("taken at once") };
    let ask = sure.prompt(session);
    assert!(ask.title.starts_with("Nothing came off"), "{ask:?}");
    assert!(matches!(sure.answer(session, ""), Answered::Refused(..)), "a second Enter says it");
    assert!(matches!(sure.answer(session, "2"), Answered::Next(_)));
    let Answered::Keep(entries) = sure.answer(session, "1") else { panic!("not taken") };
    let [Entry::Off(off)] = entries.as_slice() else { panic!("{entries:?}") };
    assert!(off.items.iter().all(|(_, count)| *count == 0), "{off:?}");
}

#[test]
fn a_file_that_is_no_profile_or_no_backup_is_told_as_that() {
    let place = Place::new();
    let shown = place.run(&["profiles", "check", "flat-four"]);
    let (error, hint) = shown.failed();
    assert_eq!(error, "there is no file `flat-four`: a profile of that name is built in");
    assert_eq!(hint, "`cowlside profiles show flat-four` shows it; check reads a file");
    let other = place.run(&["profiles", "check", "flat-forty.json"]);
    assert!(other.failed().0.starts_with("cannot read the profile"), "{other}");
    let file = place.path().join("notes.txt");
    fs::write(&file, "root: a list of somebody else\n").unwrap();
    let shown = place.run(&["restore", file.to_str().unwrap()]);
    assert!(shown.failed().0.ends_with("notes.txt: line 1: no backup begins so"), "{shown}");
}

#[test]
fn a_command_is_named_by_its_beginning_and_for_the_manual_and_the_demo_too() {
    let place = Place::new();
    for (words, meant) in [
        (&["hist"][..], "history"),
        (&["demo", "hist"], "demo history"),
        (&["man", "sesion"], "session"),
        (&["man", "hist"], "history"),
    ] {
        let shown = place.run(words);
        let hint = format!("hint: did you mean `cowlside {meant}`? ");
        assert!(shown.code == 2 && shown.err.contains(&hint), "{words:?}: {shown}");
    }
    // Two letters are the beginning of anything.
    assert!(!place.run(&["hi"]).err.contains("history"));
}

#[test]
fn with_ascii_asked_for_no_sheet_has_anything_else_and_documents_stay_as_they_are() {
    let place = super::services::with_services();
    let name = place.journals()[0].to_string_lossy().into_owned();
    let mut others = 0;
    for words in [
        vec!["plan", "flat-six"],
        vec!["profiles", "show", "flat-six"],
        vec!["profiles"],
        vec!["advise", "flat-six", "1 exhaust", "0.35/0.40"],
        vec!["leaves", "flat-six"],
        vec!["report", &name],
        vec!["report", "Trainer", "--blank"],
        vec!["history", "Trainer"],
        vec!["compare", "Trainer"],
        vec!["tag", "Trainer"],
        vec!["sessions", "Trainer"],
        vec!["engines"],
    ] {
        let usual = place.run(&words);
        let narrow = place.run(&[words.clone(), vec!["--ascii"]].concat());
        assert_eq!((usual.code, narrow.code), (0, 0), "{words:?}: {narrow}");
        assert!(narrow.out.is_ascii(), "{words:?}: {narrow}");
        others += usize::from(!usual.out.is_ascii());
    }
    assert!(others >= 4, "{others}");
    let documents = [
        vec!["plan", "flat-six", "--json"],
        vec!["report", &name, "--format", "json"],
        vec!["report", &name, "--format", "csv"],
        vec!["export"],
    ];
    for words in documents {
        let narrow = place.run(&[words.clone(), vec!["--ascii"]].concat());
        assert_eq!(narrow.out, place.run(&words).out, "{words:?}");
    }
}

#[test]
fn with_ascii_asked_for_no_markdown_and_no_page_has_anything_else_and_the_page_shows_the_same() {
    let place = super::services::with_services();
    let name = place.journals()[0].to_string_lossy().into_owned();
    let mut others = 0;
    for words in [
        vec!["report", &name, "--format", "md"],
        vec!["report", &name, "--format", "html"],
        vec!["report", "Trainer", "--blank", "--format", "html"],
        vec!["demo", "tag", "Yellow tug", "--format", "html"],
    ] {
        let usual = place.run(&words);
        let narrow = place.run(&[words.clone(), vec!["--ascii"]].concat());
        assert_eq!((usual.code, narrow.code), (0, 0), "{words:?}: {narrow}");
        assert!(narrow.out.is_ascii(), "{words:?}");
        others += usize::from(!usual.out.is_ascii());
        if words.contains(&"html") {
            let signs: std::collections::BTreeSet<char> =
                usual.out.chars().filter(|letter| !letter.is_ascii()).collect();
            let spelled = |text: String, sign: char| {
                text.replace(&format!("&#{};", u32::from(sign)), &sign.to_string())
            };
            assert_eq!(signs.into_iter().fold(narrow.out, spelled), usual.out, "{words:?}");
        }
    }
    assert!(others >= 3, "{others}");
}

#[test]
fn what_is_named_to_do_in_the_demo_acts_on_the_demo() {
    let place = Place::new();
    for (words, named) in [
        (&["demo", "report", "Nope"][..], "and 4 more: cowlside demo sessions ENGINE lists"),
        (&["demo", "plan", "flat4"], "`cowlside demo profiles` lists all of them"),
        (&["demo", "session", "Blue"], "use `cowlside demo session ENGINE --plain`"),
        (&["demo", "sessions"], "as in: cowlside demo sessions \"Blue trainer\""),
    ] {
        let shown = place.run(words);
        assert!(shown.code > 0 && shown.err.contains(named), "{words:?}: {shown}");
        // The control: outside the demo it is the command itself.
        let own = place.run(&words[1..]);
        assert!(!own.err.contains("cowlside demo "), "{own}");
    }
    // What is printed while all goes well, in plain prompts too.
    let asked = place.run_typing(&["demo", "session", "Yellow tug", "--plain"], "");
    assert_eq!(asked.code, 0, "{asked}");
    assert!(!asked.out.contains("cowlside session"), "{asked}");
    let taken = place.run(&["demo", "engine", "add", "X", "--profile", "none", "--hours", "1"]);
    assert!(taken.err.contains("`cowlside demo profiles`"), "{taken}");
}

#[test]
fn a_length_that_an_adjuster_has_no_use_for_is_told() {
    let place = super::Place::new();
    let words = ["advise", "flat-four", "1 exhaust", "6"];
    for (more, said) in
        [(["--shim", "1 mm"], "--shim was not used"), (["--rod", "1 mm"], "--rod was not used")]
    {
        let shown = place.run(&[&words[..], &more].concat());
        assert!(shown.code == 0 && shown.err.contains(said), "{shown}");
    }
    place.run(&words).done();
}
