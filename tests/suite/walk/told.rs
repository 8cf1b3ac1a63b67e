//! What comes to light beside a key pushes out nothing that was said of that key before it was seen.

use super::*;
use cowlside::tui::screens::Note;

const BESIDE: &str = "not remembered: no space is left on the disk";

fn told(walk: &mut Walk) {
    walk.app = walk.app.take().map(|app| app.told(Some(Note::warning(BESIDE))));
}

/// What is shown, its lines joined.
fn words(walk: &Walk, size: (u16, u16)) -> String {
    let picture = shown(walk.app(), size.0, size.1);
    let words: Vec<&str> =
        picture.split(['|', '\n', ' ']).filter(|word| !word.is_empty()).collect();
    words.join(" ")
}

#[test]
fn a_refusal_and_a_setting_that_failed_are_both_seen_in_every_window() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("7 enter");
    told(&mut walk);
    for size in SIZES {
        let words = words(&walk, size);
        assert!(words.contains("only 2 are to be felt here"), "{size:?}: {words}");
        assert!(words.contains(BESIDE), "{size:?}: {words}");
    }
    // Told again it is not said twice, and the next key ends both.
    told(&mut walk);
    assert_eq!(words(&walk, (160, 50)).matches(BESIDE).count(), 1);
    walk.press("2");
    assert!(!words(&walk, (160, 50)).contains(BESIDE));
}

#[test]
fn what_was_kept_and_what_the_shell_tells_beside_it_are_both_seen() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1 6 enter 12 enter");
    let kept = walk.app().note.clone().unwrap();
    assert!(kept.text.starts_with("saved: ") && !kept.large.is_empty(), "{kept:?}");
    let carried = Carried::Told(Box::new(Carried::Done), BESIDE.into());
    walk.app = walk.app.take().map(|app| app.with(carried));
    let note = walk.app().note.clone().unwrap();
    assert_eq!(note.text, format!("{}; {BESIDE}", kept.text));
    assert_eq!(note.large, kept.large);
    // A warning stands behind it, and still nothing is called saved that is not.
    if let Some(app) = &mut walk.app {
        app.saving = cowlside::tui::keeping::Saving::Busy(1);
    }
    for size in SIZES {
        let words = words(&walk, size);
        assert!(words.contains("saving... ") && !words.contains("saved: "), "{size:?}: {words}");
    }
    assert!(words(&walk, (80, 24)).contains(BESIDE), "{}", walk.screen());
}

#[test]
fn in_plain_characters_no_message_and_no_open_item_begins_with_the_key_that_takes_back() {
    let mut walk = places::at_a_valve();
    walk.press("9 enter 1 n");
    walk.press("esc");
    let mut app = walk.app().clone();
    app.ink = Ink::Hash;
    app.note = Some(Note::done("saved: 1 intake 9 \u{b7} LOOSE"));
    for (width, height) in [(80, 24), (60, 20), (160, 50)] {
        let area = Rect::new(0, 0, width, height);
        let mut buf = Buffer::empty(area);
        view::paint(&app, area, &mut buf);
        let rows = rows_of(&buf);
        assert!(rows.contains("|| saved: 1 intake 9 - LOOSE"), "{rows}");
        assert!(!rows.contains("|- "), "{rows}");
    }
}

/// Every question of two services of screws and one of shims, each once.
fn asked() -> Vec<Met> {
    let reads = |walk: &Walk, valve: Valve| {
        let fitted = walk.session().state.fitted.get(&valve);
        match (valve.to_string().as_str(), fitted.is_some_and(|fitted| fitted.put_in.is_some())) {
            ("1 intake 2", false) => "26",
            (name, _) if name.contains("intake") => "18",
            _ => "25",
        }
    };
    let mut shims = Walk::new(Workshop { profile: Some("vee-twin-shims"), ..known() });
    shims.press("1 460.5 enter enter");
    while shims.session().state.due() != Due::Closed {
        let due = shims.session().state.due();
        let keys = crate::walk_parts::keys(&shims, &due, &|valve| reads(&shims, valve));
        shims.press(&keys);
    }
    let mut met = shims.met;
    met.extend(super::pad::every_met());
    let mut seen = std::collections::BTreeSet::new();
    met.retain(|met| {
        let open = met.due.as_ref().is_some_and(|due| *due != Due::Closed);
        let asks = open && met.app.place().asks() && met.entry.is_empty();
        asks && met.app.prompt().is_some_and(|asked| seen.insert((asked.title, asked.ask)))
    });
    met
}

#[test]
fn what_cannot_be_gone_on_with_is_told_whole_in_the_smallest_window() {
    let (mut told, mut wrong) = (0, Vec::new());
    for met in asked() {
        for keys in ["0", "2", "3", "4", "7", "x", "enter", "99 enter"] {
            let mut walk = Walk::from(&met);
            walk.press(keys);
            let Some(note) = walk.app.as_ref().and_then(|app| app.note.clone()) else { continue };
            let again = note.text.contains("then answer again");
            if !again && note.tone != cowlside::tui::screens::Tone::Warning {
                continue;
            }
            told += 1;
            for size in [(40, 12), (60, 20)] {
                let words = words(&walk, size);
                let text: Vec<&str> = note.text.split_whitespace().collect();
                // In the smallest one what to press instead is enough.
                let press =
                    note.text.split_once("is no answer here: ").filter(|_| size == (40, 12));
                let enough = press.is_some_and(|(_, press)| words.contains(&format!("! {press}")));
                // There the key says that it was kept, and a stop that was felt says all else itself.
                let kept = ["DO NOT TURN", "undo not done yet"];
                let kept = size == (40, 12) && kept.iter().any(|said| words.contains(said));
                if !words.contains(&text.join(" ")) && !enough && !kept {
                    wrong.push(format!("{keys}\n{}", shown(walk.app(), size.0, size.1)));
                }
            }
        }
    }
    assert!(told > 200, "{told}");
    let first: Vec<String> = wrong.iter().take(12).cloned().collect();
    assert!(wrong.is_empty(), "{} of {told}:\n{}", wrong.len(), first.join("\n"));
}
