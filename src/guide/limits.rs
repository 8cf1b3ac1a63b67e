//! How long a typed answer may be, by what is asked.

pub use crate::domain::limits::{name_too_long, note_too_long};

use super::{Field, Typed};
use crate::domain::limits::{Past, past_a_name, past_a_note};

/// Most characters of a figure, and of what a digit chooses: no figure has so many.
const FIGURE_MAX: usize = 80;

/// Says why a typed answer is too long to be kept; `None` where it is not.
pub(super) fn too_long(typed: &str, field: &Field) -> Option<String> {
    past(typed, field).map(Past::words)
}

fn past(typed: &str, field: &Field) -> Option<Past> {
    if field.names { past_a_name(typed) } else { past_a_note(typed) }
}

/// Says which limit an entry would go past if it were so long; `None` where there is room for it.
pub fn no_room(longer: &str, field: &Field) -> Option<String> {
    match field.typed {
        Some(Typed::Text) | None => past(longer, field).map(Past::limit),
        Some(_) => (longer.chars().nth(FIGURE_MAX).is_some())
            .then(|| format!("a figure has at most {FIGURE_MAX} characters")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_shorter_than_a_note_and_a_figure_too() {
        let (note, name) = (Field::typed(Typed::Text), Field::typed(Typed::Text).a_name());
        let figure = Field::typed(Typed::Number);
        let room = |has: usize, field| no_room(&"1".repeat(has), field).is_none();
        for (has, rooms) in
            [(80, [true; 3]), (81, [true, false, false]), (2_001, [false, false, false])]
        {
            assert_eq!([room(has, &note), room(has, &name), room(has, &figure)], rooms, "{has}");
        }
        assert!(too_long(&"x".repeat(81), &name).is_some());
        assert_eq!(too_long(&"x".repeat(81), &note), None);
    }
}
