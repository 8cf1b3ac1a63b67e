//! Hours that are told in another terminal while a session stays awake are asked about before the crank
//! turns, and not only at its next waking.

use super::{Place, Shared, with_trainer};
use crate::plain::{Mechanic, Questions};
use std::io::{BufRead, Read};

/// Tells hours in another terminal, once, when these words were asked.
struct Between<'a> {
    place: &'a Place,
    printed: Shared,
    at: &'a str,
    told: bool,
    questions: Questions<'a>,
}

impl Read for Between<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        self.questions.read(into)
    }
}

impl BufRead for Between<'_> {
    fn fill_buf(&mut self) -> std::io::Result<&[u8]> {
        if !self.told && self.printed.text().contains(self.at) {
            self.told = true;
            let tell = ["engine", "hours", "Trainer", "503", "--so-it-is"];
            assert_eq!(self.place.run(&tell).code, 0);
        }
        self.questions.fill_buf()
    }

    fn consume(&mut self, n: usize) {
        self.questions.consume(n);
    }
}

#[test]
fn hours_told_meanwhile_are_asked_about_before_the_next_turn() {
    let text = told_at("Gauge 1 intake");
    assert!(!text.contains("· stop 2 of 4]"), "{text}");
}

#[test]
fn hours_told_while_the_signature_is_asked_for_are_asked_about_before_it_is_written() {
    let text = told_at("Who signs?");
    assert!(
        text.contains("! not signed: meanwhile the counter was told to show more hours"),
        "{text}"
    );
    assert!(!text.contains("saved: signed"), "{text}");
}

/// What is printed up to the question whether it has run, where hours are told once these words were asked.
fn told_at(at: &str) -> String {
    let place = with_trainer();
    let mut mechanic =
        Mechanic { stops_at: Some("Has the engine run since"), ..Mechanic::default() };
    let printed = Shared::default();
    let questions = Questions::new(printed.clone(), &mut mechanic);
    let (told, of) = (false, &place);
    let mut between = Between { place: of, printed: printed.clone(), at, told, questions };
    let session = ["session", "Trainer", "--plain"];
    place.run_raw(&session, &mut between, printed.clone());
    assert!(between.told, "{at}: {}", printed.text());
    let text = printed.text();
    assert!(text.contains("The counter has gone up"), "{at}: {text}");
    assert!(text.contains("It was told to show 503.0 h since."), "{text}");
    text
}
