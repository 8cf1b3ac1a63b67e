//! Files that come from elsewhere: profiles, tables, backups.

use super::bodies::{backup, profile, said, table};
use super::campaign::{Campaign, seeds};
use cowlside::domain::units::Length;
use std::fs;
use std::path::Path;

fn profiles() -> Campaign {
    let mut seeds = seeds("profile");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles");
    let mut shipped: Vec<_> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    shipped.sort();
    seeds.extend(shipped.iter().map(|path| fs::read(path).unwrap()));
    Campaign { target: "profile", seeds, usual: 3_000, of_a_million: 1_000_000 }
}

#[test]
fn a_profile_is_taken_and_the_same_from_clean_json_or_refused_by_its_place() {
    let tally = profiles().run(|bytes| profile::check(bytes, profile::load));
    tally.floor("taken", 100);
    tally.floor("refused", 200);
    tally.floor("not JSON", 100);
}

#[test]
fn a_faulty_loader_of_profiles_is_found() {
    profiles().catches("another profile", |bytes| {
        profile::check(bytes, |bytes| {
            // A figure hangs on how the text is laid out.
            let even = bytes.len() % 2 == 0;
            let (profile, text) = profile::load(bytes)?;
            let mut facts = (*profile).clone();
            if let Some(cold) = facts.intake.cold.as_mut().filter(|_| !even) {
                cold.target = cold.target + Length::from_nm(1);
            }
            let profile = cowlside::domain::profile::EngineProfile::new(facts);
            profile.map(|profile| (profile, text)).map_err(|f| (f.to_string(), "x".into()))
        })
    });
    profiles().catches("the error holds", |bytes| {
        profile::check(bytes, |bytes| {
            let text = String::from_utf8_lossy(&bytes).into_owned();
            profile::load(bytes).map_err(|(error, hint)| (format!("{error}: {text}"), hint))
        })
    });
    profiles().catches("no line is named", |bytes| {
        profile::check(bytes, |bytes| {
            profile::load(bytes).map_err(|(_, hint)| ("`fuzzed.json` is wrong".into(), hint))
        })
    });
}

fn tables() -> Campaign {
    Campaign { target: "table", seeds: seeds("table"), usual: 400, of_a_million: 10_000 }
}

#[test]
fn a_table_is_taken_whole_or_not_at_all_and_goes_out_and_in_again() {
    let tally = tables().run(|bytes| table::check(bytes, table::import));
    tally.floor("taken", 50);
    tally.floor("refused", 300);
}

#[test]
fn an_importer_that_takes_what_it_can_is_found() {
    // Lines that it cannot read are left out.
    tables().catches("refused, but kept", |bytes| {
        table::check(bytes, |place, path| {
            let ran = table::import(place, path);
            if ran.code != 0
                && let Ok(good) = place.file("good.csv", b"engine,profile,session,date,hours,cylinder,valve,step,typed,unit\nA,flat-four,s,2026-03-14T09:00:00+01:00,1,1,intake,found,6,thou\n")
            {
                table::import(place, &good);
            }
            ran
        })
    });
    tables().catches("a parser's word", |bytes| {
        table::check(bytes, |place, path| {
            let mut ran = table::import(place, path);
            ran.out = ran.out.replace(": it has ", ": CSV error: record has ");
            ran
        })
    });
}

fn backups() -> Campaign {
    Campaign { target: "backup", seeds: seeds("backup"), usual: 400, of_a_million: 10_000 }
}

#[test]
fn a_backup_is_restored_whole_or_not_at_all_and_is_a_backup_again() {
    let tally = backups().run(|bytes| backup::check(bytes, backup::restore));
    tally.floor("restored", 50);
    tally.floor("refused", 300);
}

#[test]
fn a_restorer_that_leaves_a_file_behind_is_found() {
    backups().catches("refused, but kept", |bytes| {
        backup::check(bytes, |place, path| {
            let ran = backup::restore(place, path);
            if ran.code != 0 {
                place.run(&["settings", "bell", "off"]);
            }
            ran
        })
    });
    backups().catches("restored of", |bytes| {
        backup::check(bytes, |place, path| {
            let ran = backup::restore(place, path);
            if ran.code == 0 {
                place.run(&["settings", "bell", "off"]);
            }
            ran
        })
    });
}

#[test]
fn words_of_parsers_and_raw_controls_are_known_for_what_they_are() {
    said::refusal("`x.json`, line 1: the field is missing", "Write it.", b"").unwrap();
    for (error, hint) in [
        ("expected value at line 1 column 2", "x"),
        ("invalid type: integer `5`", "x"),
        ("fine", "CSV error: record 1 (line: 2, byte: 5)"),
        ("a\u{1b}[2Jb", "x"),
        ("a\u{202e}b", "x"),
        ("a\u{9b}b", "x"),
        ("", "x"),
        ("fine", ""),
    ] {
        assert!(said::refusal(error, hint, b"").is_err(), "{error:?} {hint:?}");
    }
    assert!(said::refusal(&"long ".repeat(100), "x", b"").is_err());
    // What is quoted of the input may be anything that is safe.
    said::refusal("line 1: \"EOF\" is no number", "Write one.", b"a EOF").unwrap();
}
