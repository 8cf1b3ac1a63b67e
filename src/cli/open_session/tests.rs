//! What a session in hand knows of its profile.

use super::*;
use crate::cli::commands::add_engine;
use crate::domain::entry::{Begin, Hours};

#[test]
fn a_profile_that_no_name_finds_is_known_as_one_at_once_and_when_it_is_gone_on_with() {
    let home = tempfile::tempdir().unwrap();
    let workshop = Workshop::at(home.path().join("workshop"));
    let at = Moment { unix_ms: 1_773_475_200_000, offset_min: 60 };
    let (beside, own) = (home.path().join("beside.json"), workshop.root().join("profiles"));
    std::fs::create_dir_all(&own).unwrap();
    for path in [&beside, &own.join("mine.json")] {
        std::fs::write(path, include_str!("../../../profiles/flat-four.json")).unwrap();
    }
    for (name, by_path) in [(beside.to_str().unwrap(), true), ("mine", false)] {
        let names = (if by_path { "One" } else { "Two" }, "", "flat-four");
        let engine = add_engine(&workshop, names, Hours(120), at).unwrap().engine;
        let begin = Begin { hours: Some(Hours(120)), ..Begin::default() };
        let started = workshop.start(&engine, (begin, None), (at, 0)).unwrap();
        let mut desk = OpenSession::new(&workshop, started).unwrap();
        assert!(!desk.beside.profile_by_path, "flat-four is found by its name");
        let entries = desk.replace_profile(name, "page 4", "the wrong one".into()).unwrap();
        assert_eq!(desk.beside.profile_by_path, by_path, "{name}");
        desk.write(&entries, (at, 1)).unwrap();
        desk.wait(writer::PATIENCE);
        drop(desk);
        let (gone_on, _) =
            OpenSession::go_on(&workshop, &engine, Which::default(), (at, 2)).unwrap();
        let GoneOn::Open(desk) = gone_on else { panic!("{name}: not gone on with") };
        assert_eq!(desk.beside.profile_by_path, by_path, "{name}: gone on with");
    }
}
