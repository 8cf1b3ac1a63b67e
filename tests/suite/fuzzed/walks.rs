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
            all.add(&met);
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
        all.add(&met?);
    }
    Ok(all)
}

#[test]
fn hands_that_press_anything_go_through_whole_services_and_nothing_that_must_never_be_is() {
    let count = cases(10, 2_000);
    let met = walks(count, &OWN).unwrap_or_else(|wrong| panic!("{wrong}"));
    println!("keys: {count} walks, {met:?}");
    // Half of what is met usually: a hand that gets nowhere proves nothing.
    let floors = [
        ("presses", met.presses, 200 * count),
        ("readings", met.readings, 6 * count),
        ("signed", 4 * met.signed, count),
        ("undos", 3 * met.undos, count),
        ("refused", met.refused, 10 * count),
        ("looked at for a figure", met.unseen, 8 * count),
        ("pastes", met.pastes, 3 * count),
        ("held keys at a question", met.held, count),
        ("woken", 3 * met.woken, count),
    ];
    assert!(count > 0, "no walk was walked");
    for (what, met, least) in floors {
        assert!(met >= least, "{what}: {met} of at least {least}");
    }
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
    let wrong = walks(10, &ways).expect_err("the faulty one was not found");
    assert!(wrong.contains(words), "found otherwise: {wrong}");
}

#[test]
fn a_journal_that_drops_or_doubles_a_reading_is_found() {
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
    // A shell that hears every key late and takes a repeated one for another.
    caught(
        "kept [",
        Ways {
            takes_ms: |_| 1_000,
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
