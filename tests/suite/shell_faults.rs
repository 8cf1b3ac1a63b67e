//! Faults of the disk between the screens and what stands behind them: what could not be done is said,
//! and what was on the screen before goes on.

use crate::real::{invented, kept, newest_journal};
use crate::seat::Seat;
use crate::slow_disk::to_a_valve;

#[test]
fn where_the_engines_cannot_be_read_the_session_stays_in_hand() {
    let folder = invented();
    let engines = folder.path().join("demo/engines");
    let away = folder.path().join("demo/away");
    let mut seat = to_a_valve(Seat::take(folder.path(), &["demo"], (24, 80)));
    let journal = newest_journal(&folder.path().join("demo"));
    std::fs::rename(&engines, &away).unwrap();
    std::fs::write(&engines, "no folder").unwrap();
    seat.press("\u{3}");
    seat.await_text("go to the list of engines");
    seat.press("3");
    let shown = seat.await_that("the fault", |shown| shown.contains("engines"));
    let shown = if shown.contains("! ") { shown } else { seat.await_text("! ") };
    assert!(shown.contains("Leave the program?"), "{shown}");
    seat.press("2");
    let question = seat.await_that("the question", |shown| !shown.contains("Leave the program?"));
    std::fs::remove_file(&engines).unwrap();
    std::fs::rename(&away, &engines).unwrap();
    let before = kept(&journal).len();
    let shown = seat.answer();
    assert!(shown.contains("saved: ") && !shown.contains("no session"), "{question}\n{shown}");
    assert!(kept(&journal).len() > before);
    // And now it goes.
    seat.press("\u{3}");
    seat.await_text("go to the list of engines");
    seat.press("3");
    seat.await_text("Which engine?");
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}
