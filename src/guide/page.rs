//! The figures of the manual's page: typed one by one, told at once where one cannot stand beside another,
//! and set against the profile's.

use super::form::{capital, pick, prompt, reason_of, take, type_in};
use super::prepare::PREPARE;
use super::{Field, Step, Typed};
use crate::domain::entry::Figure;
use crate::domain::session::{Difference, Input, Session};
use crate::domain::units::{Length, LengthUnit};
use crate::domain::valve::Kind;

pub(super) fn figure(session: &Session, kind: Kind, figure: Figure, given: &[String]) -> Step {
    let state = &session.state;
    let unit = state.facts().unit;
    let hot = if state.facts().gauge_when.hot { "hot" } else { "cold" };
    let bare = match unit {
        LengthUnit::Mm => "1 or 0.01 is 0.01 mm. Inches with their unit: 1 thou, 0.001 in.",
        LengthUnit::Inch => "1 or 0.001 is 0.001 in. Millimetres with their unit: 0.01 mm.",
    };
    let (short, long) = (figure_short(figure), figure_word(figure));
    let ask = prompt(PREPARE, TITLE, format!("{} {long}, as printed:", capital(kind.word())))
        .big(
            format!("{} {short}", kind.word()).to_uppercase(),
            format!("from the manual's page, engine {hot}"),
        )
        .line(bare)
        .with(Field::typed(Typed::Number));
    type_in(ask, given, |typed, rest| {
        let value = state.page_figure(typed).ok();
        let beside = value.and_then(|value| state.crosses_on_page(kind, figure, value));
        match value.zip(beside) {
            Some((value, beside)) => {
                let words = crossed_words(kind, (figure, value), beside, unit);
                mistyped(&words, (figure, beside.0), rest)
            }
            None => take(Input::PageFigure(typed.into())),
        }
    })
}

/// Says that two figures cannot stand on the same page: "Intake least 0.40 mm is above its target 0.30 mm".
pub(super) fn crossed_words(
    kind: Kind,
    (figure, value): (Figure, Length),
    (other, beside): (Figure, Length),
    unit: LengthUnit,
) -> String {
    let than = if value > beside { "above" } else { "below" };
    format!(
        "{} {} {} is {than} its {} {}",
        capital(kind.word()),
        figure_short(figure),
        value.text(unit),
        figure_short(other),
        beside.text(unit)
    )
}

/// Asks which of two figures that cross was mistyped. A further figure that is typed blind here answers
/// nothing.
fn mistyped(words: &str, (now, before): (Figure, Figure), given: &[String]) -> Step {
    let this = format!("the {}: type it again", figure_short(now));
    let other = format!("the {}: type all again", figure_short(before));
    let choices =
        [(1, this.as_str()), (2, other.as_str()), (3, "none: it is printed so, close unsigned")];
    let ask = prompt(PREPARE, words, "Which is mistyped?")
        .big("CROSSED", "least, target and most never cross")
        .with(Field::choice(&choices).kept_by_enter());
    pick(ask, given, |digit, _| match digit {
        Some(2) => take(Input::PageAgain),
        Some(3) => take(Input::CloseUnsigned { why: PRINTED_SO.into() }),
        _ => Step::Retype(2),
    })
}

const TITLE: &str = "Read me the manual";
const PAGE_RULES: &str = "the page rules in this session";
/// Said once where the page rules: else the same is asked at every service.
const PUT_RIGHT: &str = "The profile stays as it is, and this is asked again at the next service, until it is \
                         put right: at the list of engines, * and 4.";
const WRONG_PROFILE: &str = "wrong profile: close unsigned";
const PRINTED_SO: &str = "least, target and most cross on the manual's page";

pub(super) fn figure_short(figure: Figure) -> &'static str {
    match figure {
        Figure::Target => "target",
        Figure::Least => "least",
        Figure::Most => "most",
    }
}

fn figure_word(figure: Figure) -> &'static str {
    match figure {
        Figure::Target => "target",
        Figure::Least => "least allowed",
        Figure::Most => "most allowed",
    }
}

pub(super) fn differs(session: &Session, differences: &[Difference], given: &[String]) -> Step {
    let unit = session.state.facts().unit;
    let lines = differences.iter().map(|difference| {
        format!(
            "{} {}: page {}, profile {}",
            capital(difference.kind.word()),
            figure_word(difference.figure),
            difference.page.text(unit),
            difference.profile.text(unit)
        )
    });
    // Figures that cross are no manual's.
    let cross = session.decide(&Input::PageRules { why: "to see".into() }).is_err();
    let rules = (!cross).then_some(PAGE_RULES);
    let labels = std::iter::once("mistyped: type them again").chain(rules).chain([WRONG_PROFILE]);
    let choices: Vec<(u8, &str)> = (1..).zip(labels).collect();
    let said = "Least, target and most as typed cross: no page can rule so. Type them again.";
    let ask = prompt(PREPARE, "The page and the profile differ", "Which is it?")
        .big("STOP", "before a cover is off")
        .with(Field::choice(&choices))
        .lines(cross.then(|| said.to_string()))
        .lines(lines)
        .whole_for_any()
        .line("Wrong profile, other serial range, plate against book, or the unit?");
    pick(ask, given, |digit, rest| match digit {
        Some(1) => take(Input::PageAgain),
        Some(2) if !cross => reason_of(
            prompt(PREPARE, "The page rules", "Why?").line(PUT_RIGHT),
            &[
                "newer issue of the manual",
                "other serial range",
                "the profile holds example figures",
            ],
            rest,
            |why, _| take(Input::PageRules { why }),
        ),
        _ => {
            take(Input::CloseUnsigned { why: "the profile does not fit the manual's page".into() })
        }
    })
}
