//! Finds the one thing that a word on the command line means: by name, id, or how either begins.

use super::StoreError;

/// Most names that an error lists.
const LISTED_MAX: usize = 8;

/// A thing as it may be called.
pub struct Called<'a, T> {
    /// The thing.
    pub thing: &'a T,
    /// Its name.
    pub name: &'a str,
    /// Its identity.
    pub id: &'a str,
    /// How an error tells it from others.
    pub shown: String,
    /// What tells it from others of the same name, beside its identity.
    pub day: String,
}

/// Fewest characters of an identity that are shown.
const ID_SHOWN: usize = 6;

/// Says how a thing is told from others, too, that have the very same name: by its day and by as much of
/// its identity as no other has.
fn told_apart<T>(one: &Called<T>, found: &[&Called<T>], all: &[Called<T>]) -> String {
    let name = one.name.to_lowercase();
    if found.iter().filter(|other| other.name.to_lowercase() == name).count() < 2 {
        return one.shown.clone();
    }
    let others = |id: &str| all.iter().filter(|other| other.id.starts_with(id)).count() > 1;
    let mut beginnings = (ID_SHOWN..=one.id.len()).filter_map(|most| one.id.get(..most));
    let id = beginnings.clone().find(|id| !others(id)).or(beginnings.next_back()).unwrap_or(one.id);
    let day = if one.day.is_empty() { String::new() } else { format!(", {}", one.day) };
    let id = if id.is_empty() { String::new() } else { format!(", id {id}") };
    format!("{}{day}{id}", one.shown)
}

/// Picks what `text` means: a whole name or id goes before a beginning of `shortest` characters or
/// more. Capitals do not matter, unless they tell one of several from all others.
///
/// # Errors
/// Nothing is called that, or several things are.
pub fn pick<'a, T>(
    what: &'static str,
    text: &str,
    shortest: usize,
    all: &[Called<'a, T>],
) -> Result<&'a T, StoreError> {
    let asked = text.to_lowercase();
    let of = |called: &Called<T>, fits: fn(&str, &str) -> bool| {
        [called.name, called.id].into_iter().any(|word| fits(&word.to_lowercase(), &asked))
    };
    let mut found: Vec<&Called<T>> =
        all.iter().filter(|called| of(called, |word, asked| word == asked)).collect();
    if found.is_empty() && !asked.is_empty() && asked.chars().count() >= shortest {
        found =
            all.iter().filter(|called| of(called, |word, asked| word.starts_with(asked))).collect();
    }
    if found.len() > 1 {
        let exact = |called: &&&Called<T>| called.name == text || called.id == text;
        let spelled: Vec<&Called<T>> = found.iter().filter(exact).copied().collect();
        if let [one] = spelled.as_slice() {
            return Ok(one.thing);
        }
    }
    let more = |of: usize| {
        of.checked_sub(LISTED_MAX).filter(|more| *more > 0).map(|more| more_words(what, more))
    };
    let text = text.to_owned();
    match found.as_slice() {
        [one] => Ok(one.thing),
        [] => {
            let some = all.iter().take(LISTED_MAX).map(|called| called.shown.clone());
            Err(StoreError::NoSuch { what, text, known: some.chain(more(all.len())).collect() })
        }
        _ => {
            let some = found.iter().take(LISTED_MAX);
            let mut candidates: Vec<String> =
                some.map(|one| told_apart(one, &found, all)).collect();
            candidates.extend(more(found.len()));
            Err(StoreError::Ambiguous { what, text, candidates })
        }
    }
}

/// Says how many are not listed, and what lists them all.
fn more_words(what: &str, more: usize) -> String {
    let all = match what {
        "engine" => ": cowlside engines lists them all",
        "session" => ": cowlside sessions ENGINE lists those of an engine",
        _ => "",
    };
    format!("and {more} more{all}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picked(text: &str, shortest: usize) -> String {
        let things = [("Blue", "0aaa"), ("Blue trainer", "1abb"), ("Red", "1abc"), ("red", "2zzz")];
        let all: Vec<Called<(&str, &str)>> = things
            .iter()
            .map(|thing| Called {
                thing,
                name: thing.0,
                id: thing.1,
                shown: thing.1.to_owned(),
                day: String::new(),
            })
            .collect();
        match pick("engine", text, shortest, &all) {
            Ok(thing) => thing.1.to_owned(),
            Err(error) => format!("{error}; {}", error.hint()),
        }
    }

    #[test]
    fn a_whole_name_goes_before_a_beginning_and_several_are_named() {
        let two = |text| format!("\"{text}\" may be any of these engines: ");
        let more = "; give more of the name, or the id";
        for (text, shortest, expected) in [
            ("blue", 1, "0aaa".to_owned()),
            ("blue t", 1, "1abb".to_owned()),
            ("2", 1, "2zzz".to_owned()),
            ("1abb", 4, "1abb".to_owned()),
            ("RED", 1, format!("{}1abc, id 1abc, 2zzz, id 2zzz{more}", two("RED"))),
            ("Red", 1, "1abc".to_owned()),
            ("red", 1, "2zzz".to_owned()),
            ("1a", 1, format!("{}1abb, 1abc{more}", two("1a"))),
        ] {
            assert_eq!(picked(text, shortest), expected, "{text}");
        }
        let none = "there are: 0aaa, 1abb, 1abc, 2zzz";
        for (text, shortest) in [("green", 1), ("", 0), ("1ab", 4)] {
            let expected = format!("no engine is called \"{text}\"; {none}");
            assert_eq!(picked(text, shortest), expected);
        }
    }
}
