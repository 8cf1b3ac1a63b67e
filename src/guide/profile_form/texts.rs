//! What is typed in a field, as the value that the file has, and back.
//!
//! Only the form of a text is looked at (a number, a list); what it means is judged by the loader.

use crate::domain::document::Node;
use crate::domain::units::{LengthUnit, plain_number};

/// How a field is typed, and what it is in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Words, or a figure with its unit.
    Words,
    /// A caution: a text in a list of texts.
    Caution,
    /// One of several words.
    Choice(&'static [&'static str]),
    /// Yes or no.
    YesNo,
    /// A whole number.
    Whole,
    /// A number.
    Number,
    /// Cylinders: 1-3-4-2.
    Order,
    /// Numbers: 270-450.
    Numbers,
    /// Least and most: 2-5.
    Threads,
    /// A length with its unit.
    Length,
    /// Lengths, each with its unit, with commas between.
    Lengths,
    /// Degrees, with the usual word: 18 BTDC.
    Angle(&'static str),
    /// One word, or several with commas between.
    WordList,
    /// Several words with commas between.
    Labels,
    /// How many and what: 4 cover screw.
    Hardware,
    /// A line of the manual's table.
    Stop,
}

/// Turns what was typed into a value; `text` is not empty.
///
/// # Errors
/// Says what the text must be, after "must".
pub(super) fn node(kind: Kind, text: &str) -> Result<Node, &'static str> {
    let text = text.trim();
    match kind {
        Kind::Words
        | Kind::Caution
        | Kind::Choice(_)
        | Kind::Length
        | Kind::Angle(_) => Ok(Node::Text(text.to_string())),
        Kind::YesNo => match text {
            "yes" => Ok(Node::YesNo(true)),
            "no" => Ok(Node::YesNo(false)),
            _ => Err("be yes or no"),
        },
        Kind::Whole => number(text).filter(|number| number.fract() == 0.0).map(Node::Number)
            .ok_or("be a whole number, as in 4"),
        Kind::Number => number(text).map(Node::Number).ok_or("be a number, as in 1.4"),
        Kind::Order => numbers(text, &['-', ',', ' ']).filter(has_hyphens).ok_or("be numbers with a hyphen between, as in 1-3-4-2"),
        Kind::Numbers => numbers(text, &['-', ';', ' ']).ok_or("be numbers with a hyphen between, as in 270-450"),
        Kind::Threads => numbers(text, &['-', ',', ' '])
            .filter(|node| matches!(node, Node::List(two) if two.len() == 2))
            .ok_or("be two whole numbers, as in 2-5"),
        Kind::Lengths | Kind::Labels => {
            Ok(Node::List(split(text).into_iter().map(Node::Text).collect()))
        }
        Kind::WordList => {
            let mut words: Vec<Node> = split(text).into_iter().map(Node::Text).collect();
            Ok(if words.len() == 1 { words.remove(0) } else { Node::List(words) })
        }
        Kind::Hardware => hardware(text).ok_or("begin with how many each cover has, as in 4 cover screw"),
        Kind::Stop => stop(text)
            .ok_or("be: watch | sign | then turn | unload | gauge | words, as in 3 | overlap | 0 | | 1 intake, 1 exhaust |"),
    }
}

/// Turns a value of the file into what would be typed for it; `None` where it has another shape.
pub(super) fn text(kind: Kind, node: &Node) -> Option<String> {
    let plain = |node: &Node| match node {
        Node::YesNo(_) | Node::List(_) | Node::Fields(_) => None,
        Node::Number(number) => Some(plain_number(*number)),
        Node::Text(text) => Some(text.clone()),
    };
    match (kind, node) {
        (Kind::YesNo, Node::YesNo(yes)) => Some(if *yes { "yes" } else { "no" }.to_string()),
        (Kind::Order | Kind::Numbers | Kind::Threads, Node::List(items)) => {
            Some(items.iter().map(plain).collect::<Option<Vec<_>>>()?.join("-"))
        }
        (Kind::Lengths | Kind::Labels | Kind::WordList, Node::List(items)) => {
            let items = items.iter().map(plain).collect::<Option<Vec<_>>>()?;
            Some(items.iter().map(|item| quoted(item)).collect::<Vec<_>>().join(", "))
        }
        (Kind::WordList, Node::Text(text)) => Some(quoted(text)),
        (Kind::Hardware, node) => {
            let (Node::Number(each), Node::Text(item)) = (node.at("each")?, node.at("item")?)
            else {
                return None;
            };
            Some(format!("{} {item}", plain_number(*each)))
        }
        (Kind::Stop, node) => stop_text(node),
        (_, node) => plain(node),
    }
}

/// From here on a bare figure in a form in inches means thousandths (contract 4).
pub(super) const WHOLE_FROM: f64 = 0.5;

/// Puts the unit, or the word for the angle, behind a bare number.
pub(super) fn completed(kind: Kind, text: &str, unit: Option<LengthUnit>) -> Option<String> {
    let bare = number(text.trim())?;
    match (kind, unit) {
        // As in a reading: thousandths, and inches below a half.
        (Kind::Length, Some(LengthUnit::Inch)) if bare >= WHOLE_FROM => {
            Some(format!("{} thou", text.trim()))
        }
        (Kind::Length, Some(unit)) => Some(format!("{} {}", text.trim(), unit.word())),
        (Kind::Angle(word), _) if bare >= 0.0 => Some(format!("{} {word}", text.trim())),
        _ => None,
    }
}

pub(super) fn number(text: &str) -> Option<f64> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let plain = |letter: char| letter.is_ascii_digit() || letter == '.' || letter == ',';
    if digits.is_empty() || !digits.chars().all(plain) || digits.len() > 24 {
        return None;
    }
    text.replace(',', ".").parse().ok().filter(|number: &f64| number.is_finite())
}

/// Tells whether no number of a firing order is so long that it can only be several without a hyphen between.
fn has_hyphens(order: &Node) -> bool {
    let Node::List(numbers) = order else { return true };
    !numbers.iter().any(|number| matches!(number, Node::Number(number) if *number >= 100.0))
}

fn numbers(text: &str, between: &[char]) -> Option<Node> {
    let parts = text.split(between).map(str::trim).filter(|part| !part.is_empty());
    let numbers: Vec<Node> =
        parts.map(|part| number(part).map(Node::Number)).collect::<Option<_>>()?;
    (!numbers.is_empty()).then_some(Node::List(numbers))
}

/// Splits at commas; what stands in double quotes is one word, a doubled quote in it is a quote.
/// A comma between two digits belongs to the number.
pub(super) fn split(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut inside = false;
    let letters: Vec<char> = text.chars().collect();
    let mut at = 0;
    while let Some(&letter) = letters.get(at) {
        let digit = |place: Option<usize>| {
            place.and_then(|place| letters.get(place)).is_some_and(char::is_ascii_digit)
        };
        match letter {
            '"' if inside && letters.get(at + 1) == Some(&'"') => {
                word.push('"');
                at += 1;
            }
            '"' if inside || word.trim().is_empty() => inside = !inside,
            ',' if !inside && digit(at.checked_sub(1)) && digit(Some(at + 1)) => word.push(','),
            ',' if !inside => words.push(std::mem::take(&mut word)),
            _ => word.push(letter),
        }
        at += 1;
    }
    words.push(word);
    let words = words.into_iter().map(|word| word.trim().to_string());
    words.filter(|word| !word.is_empty()).collect()
}

fn quoted(word: &str) -> String {
    if word.contains([',', '"']) {
        format!("\"{}\"", word.replace('"', "\"\""))
    } else {
        word.to_string()
    }
}

fn hardware(text: &str) -> Option<Node> {
    let (each, item) = text.split_once(' ')?;
    let each = number(each)?;
    let mut node = Node::empty();
    node.put("item", Node::Text(item.trim().to_string()));
    node.put("each", Node::Number(each));
    Some(node)
}

fn stop(text: &str) -> Option<Node> {
    let mut parts = text.splitn(6, '|').map(str::trim);
    let mut node = Node::empty();
    let mut next = || parts.next().unwrap_or("");
    node.put("watch", Node::Number(number(next())?));
    let words = |text: &str| Node::List(split(text).into_iter().map(Node::Text).collect());
    let (sign, turn, unload, gauge, say) = (next(), next(), next(), next(), next());
    if !sign.is_empty() {
        node.put("sign", Node::Text(sign.to_string()));
    }
    if !turn.is_empty() {
        node.put("then_turn", Node::Number(number(turn)?));
    }
    if !unload.is_empty() {
        node.put("unload", words(unload));
    }
    node.put("gauge", words(gauge));
    if !say.is_empty() {
        node.put("say", Node::Text(say.to_string()));
    }
    Some(node)
}

fn stop_text(node: &Node) -> Option<String> {
    let part =
        |name: &str, kind: Kind| node.at(name).map_or(Some(String::new()), |node| text(kind, node));
    let parts = [
        part("watch", Kind::Whole)?,
        part("sign", Kind::Words)?,
        part("then_turn", Kind::Whole)?,
        part("unload", Kind::Labels)?,
        part("gauge", Kind::Labels)?,
        part("say", Kind::Words)?,
    ];
    Some(parts.join(" | ").trim_end().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_comes_back_as_it_was_typed() {
        for (kind, typed) in [
            (Kind::Order, "1-3-4-2"),
            (Kind::Numbers, "270-450"),
            (Kind::Threads, "2-5"),
            (Kind::WordList, "upper"),
            (Kind::WordList, "left, right"),
            (Kind::Labels, "\"1, front\", \"the \"\"big\"\" one\""),
            (Kind::Lengths, "0.05 mm, 0,10 mm"),
            (Kind::Hardware, "4 cover screw"),
            (Kind::YesNo, "yes"),
            (Kind::Stop, "3 | overlap | 360 | 8 intake | 1 intake, 1 exhaust | push | pull"),
        ] {
            let value = node(kind, typed).unwrap();
            let again = text(kind, &value).unwrap();
            assert_eq!(node(kind, &again), Ok(value), "{typed}");
            if kind != Kind::Lengths {
                assert_eq!(again, typed);
            }
        }
    }

    #[test]
    fn what_has_not_the_form_is_told_what_it_must_be() {
        for (kind, typed) in [
            (Kind::Whole, "4.5"),
            (Kind::Order, "1324"),
            (Kind::Order, "1-8-42 372-6-5"),
            (Kind::Number, "1e9"),
            (Kind::Number, "."),
            (Kind::YesNo, "perhaps"),
            (Kind::Order, "one"),
            (Kind::Threads, "1"),
            (Kind::Hardware, "screws"),
            (Kind::Stop, "overlap"),
        ] {
            assert!(node(kind, typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn a_bare_number_takes_the_unit_or_the_usual_word() {
        let inch = Some(LengthUnit::Inch);
        assert_eq!(completed(Kind::Length, "0.006", inch).as_deref(), Some("0.006 in"));
        assert_eq!(completed(Kind::Length, "6", inch).as_deref(), Some("6 thou"));
        assert_eq!(completed(Kind::Length, "0.15 mm", inch), None);
        assert_eq!(completed(Kind::Length, "0.15", None), None);
        assert_eq!(completed(Kind::Angle("BTDC"), "18", None).as_deref(), Some("18 BTDC"));
    }
}
