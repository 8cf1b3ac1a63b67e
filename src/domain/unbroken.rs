//! What stays together where text is broken into lines: a number, its tolerance and its unit.
//!
//! A figure whose unit stands in the next line is read as another one. Every page and screen is broken by
//! this rule; how wide a word is, is the business of whoever breaks.

/// What belongs to the number before it.
const UNITS: [&str; 18] = [
    "in",
    "mm",
    "µm",
    "µin",
    "thou",
    "°C",
    "°F",
    "°",
    "h",
    "min",
    "N·m",
    "lbf·in",
    "lbf·ft",
    "%",
    "±",
    "×",
    "/100",
    "hundredths",
];
/// Signs between two that belong together.
const SIGNS: [char; 2] = ['±', '×'];
/// A blank at which nothing is broken, as long as a line has room for it.
const UNBROKEN: char = '\u{a0}';

/// Joins the words of a text: a number, its tolerance and its unit become one, with blanks between.
pub fn joined<T: AsRef<str>>(words: impl IntoIterator<Item = T>) -> Vec<String> {
    let mut groups: Vec<String> = Vec::new();
    for word in words {
        let word = word.as_ref();
        match groups.last_mut() {
            Some(last) if last.ends_with(SIGNS) || is_unit_of(word, last) => {
                last.push(' ');
                last.push_str(word);
            }
            Some(_) | None => groups.push(word.to_owned()),
        }
    }
    groups
}

/// Takes a group apart that no line has room for: each number keeps its unit, and its sign the number
/// before it. Where that is one group still, it is taken apart at every blank.
pub fn apart(group: &str) -> Vec<String> {
    let words = || group.split([' ', UNBROKEN]).filter(|word| !word.is_empty());
    let mut groups: Vec<String> = Vec::new();
    for word in words() {
        match groups.last_mut() {
            Some(last) if is_unit_of(word, last) => {
                last.push(' ');
                last.push_str(word);
            }
            Some(_) | None => groups.push(word.to_owned()),
        }
    }
    if groups.len() > 1 { groups } else { words().map(str::to_owned).collect() }
}

fn is_unit_of(word: &str, last: &str) -> bool {
    let bare = word.trim_end_matches([')', '.', ',', ';', ':', '?']);
    last.ends_with(|letter: char| letter.is_ascii_digit()) && UNITS.contains(&bare)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_its_tolerance_and_its_unit_are_one_and_let_go_of_the_tolerance_first() {
        let words = |text: &str| joined(text.split(' '));
        assert_eq!(
            words("at 45 ± 5 lbf·in (5.08 ± 0.56 N·m), 12 × screw"),
            ["at", "45 ± 5 lbf·in", "(5.08 ± 0.56 N·m),", "12 × screw"]
        );
        assert_eq!(words("0.20 to 0.40 mm in 100 h."), ["0.20", "to", "0.40 mm", "in", "100 h."]);
        assert_eq!(words("try: 25 /100 mm, slack"), ["try:", "25 /100 mm,", "slack"]);
        assert_eq!(words("found: 12/13 hundredths"), ["found:", "12/13 hundredths"]);
        assert_eq!(apart("(5.08 ± 0.56 N·m)"), ["(5.08 ±", "0.56 N·m)"]);
        assert_eq!(apart("0.56\u{a0}N·m"), ["0.56", "N·m"]);
        assert_eq!(apart("3\u{a0}exhaust"), ["3", "exhaust"]);
        assert_eq!(apart("counterclockwise"), ["counterclockwise"]);
    }
}
