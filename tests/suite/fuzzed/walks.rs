//! Walks: a hand that mostly answers what is asked, and then presses anything, through whole services.

use super::bodies::keys::hand::Press;
use super::bodies::keys::{Counts, OWN, Ways, means, paint, session, walk};
use super::campaign::{Campaign, cases, seeds};
use super::mutate::thrown;
use cowlside::domain::entry::{Change, Correct, Entry};
use cowlside::domain::session::Due;
use cowlside::tui::keymap::Action;
use std::thread;

/// Longest walk: what the largest engine here needs for a whole service, and some more.
const LONGEST: usize = 400;

/// Walks, and adds up what was met; the first thing that must never be is an error.
fn walks(count: u64, ways: &Ways) -> Result<Counts, String> {
    let threads = thread::available_parallelism().map_or(1, |count| count.get() as u64);
    let part = |first: u64| {
        let mut all = Counts::default();
        for number in (first..count).step_by(usize::try_from(threads).unwrap()) {
            let hand = thrown(number, LONGEST);
            let met = walk(&hand, ways)
                .map_err(|wrong| format!("walk {number}: {wrong}\n{}", hand.escape_ascii()))?;
            all.presses += met.presses;
            all.readings += met.readings;
            all.undos += met.undos;
            all.signed += met.signed;
            all.refused += met.refused;
            all.unseen += met.unseen;
            all.pastes += met.pastes;
            all.held += met.held;
            all.woken += met.woken;
        }
        Ok(all)
    };
    let part = &part;
    let parts: Vec<Result<Counts, String>> = thread::scope(|scope| {
        let running: Vec<_> = (0..threads).map(|first| scope.spawn(move || part(first))).collect();
        running.into_iter().map(|one| one.join().unwrap()).collect()
    });
    let mut all = Counts::default();
    for met in parts {
        let met = met?;
        all.presses += met.presses;
        all.readings += met.readings;
        all.undos += met.undos;
        all.signed += met.signed;
        all.refused += met.refused;
        all.unseen += met.unseen;
        all.pastes += met.pastes;
        all.held += met.held;
        all.woken += met.woken;
    }
    Ok(all)
}

#[test]
fn hands_that_press_anything_go_through_whole_services_and_nothing_that_must_never_be_is() {
    let count = cases(16, 2_000);
    let met = walks(count, &OWN).unwrap_or_else(|wrong| panic!("{wrong}"));
    println!("keys: {count} walks, {met:?}");
    assert!(count > 0 && met.presses > count * 200, "{met:?}");
    assert!(met.readings > count * 5, "few readings: {met:?}");
    assert!(met.signed * 8 > count, "few signatures: {met:?}");
    assert!(met.undos > count / 2 && met.refused > count, "{met:?}");
    assert!(met.unseen > count * 5 && met.pastes > count && met.woken > count, "{met:?}");
    assert!(met.held > count / 4, "{met:?}");
}

#[test]
fn the_seeds_of_the_keys_are_walked() {
    let kept = Campaign { target: "keys", seeds: seeds("keys"), usual: 0, of_a_million: 0 };
    let tally = kept.run(|bytes| super::bodies::keys::check(bytes, walk));
    tally.floor("signed", 200);
}

/// A faulty part is found by as many walks as are walked usually.
#[track_caller]
fn caught(words: &str, ways: Ways) {
    let wrong = walks(16, &ways).err().expect("the faulty one was not found");
    assert!(wrong.contains(words), "found otherwise: {wrong}");
}

#[test]
fn a_journal_that_drops_or_doubles_a_reading_is_found() {
    let is_reading = |entry: &&Entry| matches!(entry, Entry::Reading(_));
    assert!(!is_reading(&&Entry::Away(cowlside::domain::entry::Away { text: String::new() })));
    fn dropping(entries: &[Entry]) -> Vec<Entry> {
        let other = entries.iter().filter(|entry| !matches!(entry, Entry::Reading(_)));
        other.cloned().collect()
    }
    fn doubling(entries: &[Entry]) -> Vec<Entry> {
        let twice = |entry: &Entry| {
            let count = if matches!(entry, Entry::Reading(_)) { 2 } else { 1 };
            vec![entry.clone(); count]
        };
        entries.iter().flat_map(twice).collect()
    }
    caught("the screen shows another session", Ways { keep: dropping, ..OWN });
    caught("the screen shows another session", Ways { keep: doubling, ..OWN });
}

#[test]
fn taking_back_another_entry_than_the_last_is_found() {
    fn earlier(entries: &[Entry]) -> Vec<Entry> {
        let other = |entry: &Entry| match entry {
            Entry::Correct(correct) if correct.change == Change::Void => {
                let of = correct.of.saturating_sub(1);
                Entry::Correct(Correct { of, ..correct.clone() })
            }
            entry => entry.clone(),
        };
        entries.iter().map(other).collect()
    }
    caught("the screen shows another session", Ways { keep: earlier, ..OWN });
}

#[test]
fn a_paste_or_a_held_key_that_confirms_is_found() {
    caught(
        "kept [",
        Ways {
            means: |press, app| match press {
                Press::Paste(_) => Some(Action::Digit(1)),
                press => means(press, app),
            },
            ..OWN
        },
    );
    caught(
        "kept [",
        Ways {
            means: |press, app| match press {
                Press::Key(key) if key.kind == crossterm::event::KeyEventKind::Repeat => {
                    let pressed = crossterm::event::KeyEvent::new(key.code, key.modifiers);
                    means(&Press::Key(pressed), app)
                }
                press => means(press, app),
            },
            ..OWN
        },
    );
}

#[test]
fn a_figure_of_the_valve_that_is_due_on_the_screen_is_found() {
    caught(
        "is on the screen of",
        Ways {
            paint: |app| {
                let due = session(app).map(|session| session.state.due());
                let read = session(app).zip(due).and_then(|(session, due)| {
                    let Due::Gauge(valve, _) = due else { return None };
                    let of =
                        |taken: &&cowlside::domain::session::Taken| taken.reading.valve == valve;
                    session
                        .state
                        .readings
                        .iter()
                        .rev()
                        .find(of)
                        .map(|taken| taken.reading.typed.clone())
                });
                paint(app) + &read.unwrap_or_default()
            },
            ..OWN
        },
    );
}
