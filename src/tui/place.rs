//! What is being asked, as far as keys go, and which characters may stand in an entry there.

use super::widgets::text::is_plain;
use crate::guide::{Field, Prompt, Typed};

/// What is being asked, as far as keys go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// One digit answers.
    Choice,
    /// Enter alone answers.
    Enter,
    /// A whole number.
    Count,
    /// A feeler reading.
    Reading,
    /// A number that may be negative.
    Number,
    /// Free text: letters are text.
    Text,
    /// A list to choose from.
    List,
    /// The list of engines: letters search in it.
    Shop,
    /// The kinds of engine: letters search in them.
    Kinds,
    /// A table to read: letters and digits search in it.
    Review,
    /// A page to read.
    Page,
    /// A session that is only looked at.
    Watching,
    /// A notice: only the key that it names leaves it.
    Notice,
}

impl Place {
    /// Tells the place of a question.
    pub fn of(prompt: &Prompt) -> Place {
        Place::of_field(&prompt.field)
    }

    /// Tells it by what is answered alone.
    pub fn of_field(field: &Field) -> Place {
        match (field.typed, field.choices.is_empty()) {
            (Some(Typed::Count | Typed::Digit), _) => Place::Count,
            (Some(Typed::Reading), _) => Place::Reading,
            (Some(Typed::Number), _) => Place::Number,
            (Some(Typed::Text), _) => Place::Text,
            (None, false) => Place::Choice,
            (None, true) => Place::Enter,
        }
    }

    /// Tells whether a question is asked whose letters are no text.
    pub fn asks(self) -> bool {
        match self {
            Place::Choice | Place::Enter | Place::Count | Place::Reading | Place::Number => true,
            Place::Text
            | Place::List
            | Place::Shop
            | Place::Kinds
            | Place::Review
            | Place::Page
            | Place::Watching
            | Place::Notice => false,
        }
    }

    /// Tells whether characters go into an entry here.
    pub fn types(self) -> bool {
        match self {
            Place::Count
            | Place::Reading
            | Place::Number
            | Place::Text
            | Place::Shop
            | Place::Kinds
            | Place::Review => true,
            Place::Choice
            | Place::Enter
            | Place::List
            | Place::Page
            | Place::Watching
            | Place::Notice => false,
        }
    }

    /// Tells whether a character may stand in an entry here, after what is there already.
    pub fn takes(self, letter: char, entry: Begun) -> bool {
        match (self, entry) {
            (
                Place::Choice
                | Place::Enter
                | Place::List
                | Place::Page
                | Place::Watching
                | Place::Notice,
                _,
            ) => false,
            // No text begins with these: before the first letter one asks for help, the other for the list
            // of commands.
            (Place::Text, Begun::No) => is_plain(letter) && !"?*".contains(letter),
            (Place::Text | Place::Shop | Place::Kinds, Begun::Yes) => is_plain(letter),
            // Every other screen is left by it, so this one is, too; `/` begins a search with it.
            (Place::Shop | Place::Kinds, Begun::No) => letter.is_alphabetic() && letter != 'q',
            (Place::Review, Begun::No) => letter.is_alphanumeric() && letter != 'q',
            // Its own keys work on while one searches: no word in it has them.
            (Place::Review, Begun::Yes) => is_plain(letter) && !"?*.,".contains(letter),
            (Place::Count, _) => letter.is_ascii_digit(),
            (Place::Reading, Begun::No) => letter.is_ascii_digit() || ".,/".contains(letter),
            // A unit comes after its number, so its letters are no shortcuts then.
            (Place::Reading, Begun::Yes) => {
                letter.is_ascii_digit() || ".,/+> x\"mincthousdlµμ".contains(letter)
            }
            (Place::Number, Begun::No) => letter.is_ascii_digit() || "-.,".contains(letter),
            (Place::Number, Begun::Yes) => {
                letter.is_ascii_digit()
                    || "-.,/:+ °·\"".contains(letter)
                    // No unit has the letters of leaving and of being called away.
                    || (letter.is_alphabetic() && !"qa".contains(letter))
            }
        }
    }
}

/// Whether something stands in the entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Begun {
    /// It is empty.
    No,
    /// Something was typed.
    Yes,
}

impl Begun {
    /// Looks at an entry.
    pub fn of(entry: &str) -> Begun {
        if entry.is_empty() { Begun::No } else { Begun::Yes }
    }
}
