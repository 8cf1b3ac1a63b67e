//! What must stand whole, or say what it is, in windows of 40 to 60 columns.

use crate::walk::{every_screen, paint_view};
use cowlside::tui::view::View;

/// Everything painted, in one line.
fn flat(view: &View, (width, height): (u16, u16)) -> String {
    let picture = paint_view(view, width, height);
    let words = picture.lines().flat_map(|line| line.trim_matches('|').split_whitespace());
    words.collect::<Vec<_>>().join(" ")
}

#[test]
fn what_is_signed_for_stands_whole_from_forty_by_twelve_on() {
    let mut looked_at = 0;
    for view in every_screen() {
        let View::Question(question) = &view else { continue };
        if !["Sign and close", "One sentence for the owner"]
            .contains(&question.prompt.title.as_str())
        {
            continue;
        }
        let sentence = &question.prompt.lines[0];
        for size in [(40, 12), (60, 20), (80, 24), (160, 50)] {
            let flat = flat(&view, size);
            assert!(flat.contains(sentence.as_str()), "{size:?}: {sentence}\n{flat}");
        }
        looked_at += 1;
    }
    assert_eq!(looked_at, 2);
}
