//! Sessions whose lines fit their hashes and whose entries no sound program wrote: every list says so.

use super::extremes::{Made, chained, lines_of, payloads_of};
use super::services::with_services;
use super::{Place, Shown};
use std::fs;

/// Changes a signed session's entries, so that all lines fit; the first of a kind is changed.
fn changed(kind: &str, change: impl Fn(&Made) -> Made) -> Place {
    let place = with_services();
    let path = place.journals()[0].clone();
    let text = fs::read_to_string(&path).unwrap();
    let records = lines_of(&text);
    let mut payloads = payloads_of(&records);
    let one = payloads.iter_mut().find(|(of, _)| of == kind).unwrap();
    *one = change(one);
    fs::write(&path, chained(&records, &payloads)).unwrap();
    place
}

fn in_a_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn sessions(place: &Place) -> (String, Shown) {
    let shown = place.run(&["sessions", "Trainer"]);
    assert_eq!(shown.code, 0, "{shown}");
    let line = shown.out.lines().find(|line| line.starts_with("SESSION-1")).unwrap().to_owned();
    (line, shown)
}

#[test]
fn a_session_whose_seal_is_of_other_entries_is_not_listed_as_signed_and_has_no_code() {
    // A reading was changed and every hash made anew; the end still names the chain before that.
    let place = changed("reading", |(kind, text)| {
        (kind.clone(), text.replacen("\"typed\":\"6\"", "\"typed\":\"7\"", 1))
    });
    let (line, _) = sessions(&place);
    assert!(line.ends_with("end not whole, faulty"), "{line}");
    let listed = place.run(&["engines"]);
    assert!(listed.err.contains("the end does not fit the entries before it"), "{listed}");
    let checked = place.run(&["verify"]);
    assert!(checked.out.contains("FAULTY") && checked.code == 1, "{checked}");
    // No entry of it allows to be passed over.
    let one = place.run(&["verify", place.journals()[0].to_str().unwrap()]);
    assert!(!one.out.contains("passed over"), "{one}");
    let json = place.run(&["verify", "--json"]).out;
    assert!(json.contains("the end does not fit"), "{json}");
    // The control: as it was, it is signed, with its code.
    let (line, _) = sessions(&with_services());
    assert!(line.ends_with("signed, seal SEAL-CODE-01"), "{line}");
}

#[test]
fn a_kind_that_only_a_newer_program_knows_and_a_member_of_another_type_are_marked_in_the_list() {
    let newer = changed("reading", |(_, text)| ("wobble".to_owned(), text.clone()));
    let (line, _) = sessions(&newer);
    assert!(line.contains(", newer") && !line.contains("seal"), "{line}");
    for (from, to) in [
        ("\"typed\":\"6\"", "\"typed\":6"),
        ("\"unit\":\"thou\"", "\"unit\":\"thou\",\"unit\":\"mm\""),
    ] {
        let place = changed("reading", |(kind, text)| {
            assert!(text.contains(from), "{text}");
            (kind.clone(), text.replacen(from, to, 1))
        });
        let (line, _) = sessions(&place);
        assert!(line.contains(", faulty") && !line.contains("seal"), "{line}");
        // The list of engines says what verify says of it, in both forms.
        let checked = place.run(&["verify", place.journals()[0].to_str().unwrap()]);
        let why = checked.out.lines().find_map(|line| line.split_once("reading: ")).unwrap().1;
        for words in [&["engines"][..], &["engines", "--json"]] {
            let listed = place.run(words);
            assert!(listed.err.contains(&format!("reading: {why}")), "{why}: {listed}");
        }
    }
    let listed = newer.run(&["engines"]);
    assert!(listed.err.contains("of a kind that only a newer version knows"), "{listed}");
    assert!(!listed.out.contains("DAMAGED"), "{listed}");
    // Its record certifies nothing, and says why: nothing of it is missing, and nothing was changed.
    let faulty = changed("reading", |(kind, text)| {
        (kind.clone(), text.replacen("\"typed\":\"6\"", "\"typed\":6", 1))
    });
    let by_newer = "WRITTEN BY A NEWER VERSION OF THE PROGRAM: entry ";
    let not_believed = "AN ENTRY OF THIS SESSION IS NOT TO BE BELIEVED: entry ";
    let print_it = "Print the record with that version.";
    for (place, head, to_do) in
        [(&newer, by_newer, print_it), (&faulty, not_believed, "go back to the paper or a copy.")]
    {
        let path = place.journals()[0].to_string_lossy().into_owned();
        let record = in_a_line(&place.run(&["report", &path]).out);
        assert!(record.contains(head) && record.contains(to_do), "{record}");
        assert!(record.contains("This record certifies nothing: "), "{record}");
        let owner = record.split_once("For the owner ").unwrap().1;
        assert!(owner.starts_with("Nothing can be told from this record: "), "{record}");
        for untrue in ["NOT WHOLE", "not whole", "missing or were changed", "seal code SEAL"] {
            assert!(!record.contains(untrue), "{untrue}: {record}");
        }
        // What is the matter is said on standard error, too.
        let json = place.run(&["report", &path, "--format", "json"]).out;
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let told = json["owner_sentence"].as_str().unwrap();
        assert!(owner.starts_with(told) && json["damage"].is_string(), "{json}");
        assert!(json["seal_code"].is_null(), "{json}");
    }
}
