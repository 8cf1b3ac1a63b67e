//! Services C and D at the keys: the screens of shims and push rods, from the first key to the
//! signature.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use crate::walk::{Walk, Workshop, known};
use cowlside::domain::entry::PartKind;
use cowlside::domain::session::{Due, OpenItem};
use cowlside::domain::valve::Valve;
use cowlside::guide::part_words::changing_parts;
use cowlside::tui::view::{self, View};
use std::collections::BTreeSet;

/// The keys that answer what is due; `reads` tells what a valve reads now.
pub fn keys(walk: &Walk, due: &Due, reads: &dyn Fn(Valve) -> &'static str) -> String {
    let state = &walk.session().state;
    match due {
        Due::Turn { stop, .. } => format!("{} enter", state.to_gauge(*stop).max(1)),
        Due::Gauge(valve, _) => format!("{} enter", reads(*valve)),
        Due::Temperature => "18 enter".into(),
        Due::Who | Due::CountOut(..) => "enter".into(),
        Due::CountIn { out, .. } => format!("{out} enter"),
        Due::TakeOut(_) => "1 270 enter 2.69 enter".into(),
        Due::PartOut(_, PartKind::Shim) => "1 enter".into(),
        Due::ChangeRod(..) => "1 enter".into(),
        Due::PartOut(_, PartKind::Pushrod) => "4 enter".into(),
        Due::Sign => "enter enter enter 1 enter enter 1".into(),
        _ => "1".into(),
    }
}

/// Names what is due about parts, for a picture.
fn name(due: &Due) -> Option<&'static str> {
    Some(match due {
        Due::PartsList => "list",
        Due::TakeOut(_) => "take_out",
        Due::PartOut(_, PartKind::Shim) => "shim_in",
        Due::PartOut(..) => "rod_in",
        Due::CamsOut(..) => "cams_in",
        Due::TurnThrough(_) => "turn_through",
        Due::Dry(..) => "dry",
        Due::ChangeRod(..) => "rod",
        _ => return None,
    })
}

/// Beside a question about parts no verdict is large, least of all of a valve that it does not ask about;
/// and in the smallest window each answer is whole.
fn nothing_beside_and_answers_whole(walk: &mut Walk) {
    let View::Question(view) = view::view(walk.app()).unwrap() else { panic!("no question") };
    let large = view.around.note.map(|note| note.large).unwrap_or_default();
    assert!(large.is_empty(), "{large:?} beside {}", view.prompt.title);
    let room = walk.app().room;
    let shown = walk.in_window((40, 12));
    let words: Vec<&str> = shown.split([' ', '|', '\n']).filter(|word| !word.is_empty()).collect();
    let words = words.join(" ");
    for choice in &view.prompt.field.choices {
        let answer = format!("{} {}", choice.digit, choice.label);
        assert!(words.contains(&answer), "{answer}\n{shown}");
    }
    if matches!(walk.session().state.due(), Due::TurnThrough(_)) {
        assert!(words.contains("stop, turn nothing more"), "{shown}");
        let shown = walk.in_window((60, 20));
        let words: Vec<&str> =
            shown.split([' ', '|', '\n']).filter(|word| !word.is_empty()).collect();
        assert!(words.join(" ").contains("stop, turn nothing more"), "{shown}");
    }
    walk.in_window(room);
}

/// Walks to the signature; the first screen of each question about parts is kept as a picture.
fn walk(
    profile: &'static str,
    reads: &dyn Fn(&Walk, Valve) -> &'static str,
) -> (Walk, BTreeSet<&'static str>) {
    let mut walk = Walk::new(Workshop { profile: Some(profile), ..known() });
    walk.press("1 460.5 enter enter");
    let mut seen = BTreeSet::new();
    for _ in 0..400 {
        let due = walk.session().state.due();
        if due == Due::Closed {
            return (walk, seen);
        }
        if let Some(name) = name(&due)
            && seen.insert(name)
        {
            walk.look(&format!("parts_{name}"));
        }
        let apart = walk
            .session()
            .state
            .open_items()
            .iter()
            .any(|item| matches!(item, OpenItem::PartOut(_) | OpenItem::TurnsOwed));
        if apart {
            assert!(walk.screen().contains("OPEN: "), "{}", walk.screen());
        }
        if changing_parts(&walk.session().state) {
            nothing_beside_and_answers_whole(&mut walk);
        }
        let pressed = keys(&walk, &due, &|valve| reads(&walk, valve));
        walk.press(&pressed);
    }
    panic!("no end of it:\n{}", walk.screen());
}

#[test]
fn service_c_at_the_keys() {
    let changed = |walk: &Walk, valve| {
        walk.session().state.fitted.get(&valve).is_some_and(|fitted| fitted.put_in.is_some())
    };
    let (walked, seen) = walk("vee-twin-shims", &|walk, valve| match (
        valve.to_string().as_str(),
        changed(walk, valve),
    ) {
        ("1 intake 2", false) => "26",
        ("2 exhaust", false) => "30",
        (name, _) if name.contains("intake") => "18",
        _ => "25",
    });
    let expected = ["cams_in", "list", "shim_in", "take_out", "turn_through"];
    assert_eq!(seen.into_iter().collect::<Vec<_>>(), expected);
    assert_eq!(walked.session().state.sealed, Some(true));
}

#[test]
fn service_d_at_the_keys() {
    let (walked, seen) = walk("flat-six-hydraulic", &|walk, valve| {
        let changed = walk.session().state.fitted.contains_key(&valve);
        match (valve.to_string().as_str(), changed) {
            ("4 exhaust", false) => "50+35",
            ("4 exhaust", true) => "50",
            _ => "40+14",
        }
    });
    assert_eq!(seen.into_iter().collect::<Vec<_>>(), ["dry", "rod", "rod_in"]);
    assert_eq!(walked.session().state.sealed, Some(true));
}
