//! The number pad alone where words are asked: the list of commands from an empty text, a torque and its
//! unit, a row by two digits.

use super::pad::every_met;
use super::*;
use crate::walk::View;
use cowlside::domain::session::OpenItem;
use cowlside::tui::job::Job;
use cowlside::tui::keymap::Place;

/// The list of commands, and in it "called away".
const AWAY: &str = "* 8 enter";

impl Walk {
    /// Goes on from a screen that was met.
    pub(super) fn from(met: &Met) -> Walk {
        let job = met.app.job.as_ref().unwrap();
        let Desk::Session { session, .. } = job.desk() else { panic!("no session") };
        let workshop = Workshop { session: Some((**session).clone()), ..known() };
        Walk { app: Some(met.app.clone()), workshop, now: met.now, met: vec![], chose: false }
    }
}

#[test]
fn whoever_is_called_away_from_a_text_hangs_the_notice_with_the_number_pad() {
    let asks_words = |met: &&Met| {
        let session = matches!(met.app.job.as_ref().map(Bench::desk), Some(Desk::Session { .. }));
        let open = met.due.as_ref().is_some_and(|due| *due != Due::Closed);
        session && open && met.app.place() == Place::Text && met.app.forms.is_empty()
    };
    let (mut titles, met) = (Vec::new(), every_met());
    for met in met.iter().filter(asks_words).filter(|met| met.entry.is_empty()) {
        for (width, height) in [(40, 12), (60, 20), (80, 24), (160, 50)] {
            let screen = shown(&met.app, width, height);
            assert!(screen.contains("* more") || screen.contains("*  "), "{screen}");
        }
        let mut walk = Walk::from(met);
        walk.press(AWAY);
        assert!(matches!(view::view(walk.app()), Some(View::Notice(_))), "{}", walk.screen());
        // It is the same question again afterwards.
        walk.press("enter");
        titles.push(met.app.prompt().unwrap().title);
    }
    titles.dedup();
    assert!(titles.len() >= 4, "{titles:?}");
}

#[test]
fn a_star_behind_other_letters_is_text() {
    let mut walk = Walk::new(Workshop::default());
    walk.press("2 flat blank four enter 4*2");
    assert_eq!(walk.app().entry, "4*2");
    walk.press("backspace backspace backspace");
    walk.press("*");
    assert_eq!(walk.app().entry, "");
}

/// At the torque of cylinder 1, which was worked on.
fn at_torque() -> Walk {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("* 14 enter 1 enter 1 enter");
    assert!(matches!(walk.session().state.due(), Due::HoldDown(1)), "{}", walk.screen());
    walk
}

#[test]
fn a_torque_and_its_unit_are_told_with_the_number_pad() {
    for (typed, digit, found) in [
        ("90", "2", "90 lbf\u{b7}in"),
        ("22.5", "1", "22.5 N\u{b7}m"),
        ("22,5", "3", "22,5 lbf\u{b7}ft"),
        ("22+35", "1", "22 N\u{b7}m, 35 N\u{b7}m"),
    ] {
        let mut walk = at_torque();
        let kept = walk.session().kept.len();
        walk.press(typed);
        walk.press("enter");
        // No unit is guessed: each stands there with the figure in it, and nothing is kept yet.
        assert_eq!(walk.session().kept.len(), kept);
        for size in [(40, 12), (80, 24), (160, 50)] {
            let screen = shown(walk.app(), size.0, size.1);
            assert!(screen.contains(found), "{screen}");
        }
        walk.press(digit);
        let Some(Kept { entry: Entry::Work(work), .. }) = walk.session().kept.last() else {
            panic!("{}", walk.screen());
        };
        assert_eq!(work.hold_down.as_deref(), Some(found));
        assert!(!walk.session().state.open_items().contains(&OpenItem::HoldDown(1)));
    }
}

#[test]
fn a_torque_with_its_unit_asks_no_more_and_one_that_is_none_is_refused() {
    let mut walk = at_torque();
    walk.press("22Nm enter");
    assert!(matches!(walk.session().kept.last().unwrap().entry, Entry::Work(_)));
    for typed in ["22..5", "99999", "22 blank m"] {
        let mut walk = at_torque();
        walk.press(typed);
        walk.press("enter");
        assert!(walk.app().forms.is_empty(), "{}", walk.screen());
        assert!(walk.app().note.is_some(), "{}", walk.screen());
    }
    // Back from its unit the figure is typed anew.
    let mut walk = at_torque();
    walk.press("90 enter - 0 enter 1 enter");
    assert!(walk.session().state.open_items().contains(&OpenItem::HoldDown(1)));
    assert!(!matches!(walk.session().state.due(), Due::HoldDown(_)), "not measured");
}

#[test]
fn a_number_that_no_row_has_chooses_none() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    let rows = |walk: &Walk| walk.app().list().map(|list| list.table.rows.len());
    walk.press("*");
    let all = rows(&walk).unwrap();
    assert!((20..90).contains(&all));
    let (tens, one) = (all / 10, all % 10 + 1);
    assert!(one < 10, "{all}");
    walk.press(&format!("{tens} {one}"));
    let said = &walk.app().note.as_ref().unwrap().text;
    assert!(said.contains(&format!("{tens}{one}")), "{said}");
    assert!(!said.contains("Enter opens it"), "{said}");
    // Neither that row nor the one of either digit is opened by the Enter behind it.
    walk.press("enter");
    assert_eq!(rows(&walk), Some(all), "{}", walk.screen());
    // The next digits are a number of their own.
    walk.press("0 4");
    assert_eq!(walk.app().list().unwrap().row(), Some(3), "{}", walk.screen());
    walk.press("enter");
    assert!(walk.app().job.as_ref().unwrap().prompt(walk.app().form()).title.contains("emark"));
    // The list says how its numbers are typed.
    walk.press("- *");
    assert!(walk.screen().contains("digits row"), "{}", walk.screen());
}
