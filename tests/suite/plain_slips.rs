//! The minus in plain prompts: each question says what it does, and what is kept is only taken back where
//! nothing is begun.

use crate::plain_seat::Plain;
use crate::real::kept;

#[test]
fn a_minus_says_what_it_does_and_goes_back_a_question_before_it_takes_anything_back() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    while !plain.answer().contains("saved: leaves") {}
    let count = |plain: &Plain| kept(&plain.journal().unwrap()).len();
    let before = count(&plain);
    let asked = plain.type_in("3");
    assert!(asked.contains("\n    -  back a question\n"), "{asked}");
    assert!(asked.contains("Which of the 4?"), "{asked}");
    let scope = plain.type_in("-");
    assert!(scope.contains("\n    -  takes back: leaves"), "{scope}");
    assert!(scope.contains("What is done today?"), "{scope}");
    assert_eq!(count(&plain), before, "nothing was taken back");
    plain.type_in("* ");
    let back = plain.type_in("-");
    assert!(back.contains("What is done today?"), "{back}");
    assert_eq!(count(&plain), before);
    let taken = plain.type_in("-");
    assert!(taken.contains("The leaves in your hand"), "{taken}");
    assert_eq!(count(&plain), before + 1);
}

#[test]
fn a_minus_alone_at_a_text_that_is_due_takes_nothing_back() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    // Who works is saved; what is due is the document, a text.
    let count = |plain: &Plain| kept(&plain.journal().unwrap()).len();
    let before = count(&plain);
    assert!(plain.seen.contains("\n    :u  takes back: "), "{}", plain.seen);
    let asked = plain.type_in("-");
    assert!(asked.contains("! ") && asked.contains(":u takes back"), "{asked}");
    assert_eq!(count(&plain), before, "nothing was taken back, nothing answered");
    let taken = plain.type_in(":u");
    assert!(taken.contains("Name or initials"), "{taken}");
    assert_eq!(count(&plain), before + 1);
}
