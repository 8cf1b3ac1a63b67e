//! A field of the form is whole where it is looked at: its name, what stands in it, what is wrong with it.

use crate::form_live::{desk, flat, opened, screen, wrong};
use cowlside::guide::profile_form::Page;
use cowlside::store::profiles::BUILT_IN;

#[test]
fn what_is_wrong_with_a_field_stands_whole_with_its_name_in_every_window() {
    let mut looked_at = 0;
    for (_, text) in BUILT_IN.into_iter().step_by(9) {
        let form = opened(text);
        for page in Page::ALL {
            for (row, field) in form.fields(page).into_iter().enumerate() {
                let mut form = form.clone();
                form.set(&field.path, "9999 of what");
                let mut desk = desk(form);
                (desk.page, desk.row) = (page, row);
                let words = wrong(&desk.form);
                let Some(fault) = words.iter().find(|fault| fault.path == field.path) else {
                    continue;
                };
                looked_at += 1;
                for (width, height) in [(40, 12), (60, 20)] {
                    let shown = screen(&desk, width, height);
                    for wanted in [&fault.words, &field.label] {
                        assert!(flat(&shown).contains(wanted.as_str()), "{wanted}\n{shown}");
                    }
                    assert!(shown.contains("> 9999 of what"), "{shown}");
                }
            }
        }
    }
    assert!(looked_at > 30, "{looked_at}");
}

#[test]
fn a_row_of_the_form_is_whole_where_name_and_answer_have_room_in_it() {
    let form = opened(BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1);
    let desk = desk(form);
    let shown = screen(&desk, 40, 60);
    for wanted in ["right bank: cylinders 1-3", "left bank: cylinders 2-4", "kind of engine"] {
        assert!(shown.contains(wanted), "{wanted}\n{shown}");
    }
}
