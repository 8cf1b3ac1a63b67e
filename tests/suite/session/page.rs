//! Figures of the manual's page that cannot stand beside each other: told where they are typed.

use super::engines::flat_four;
use super::harness::{Service, why};
use cowlside::domain::entry::{Entry, Figure, SourceRead};
use cowlside::domain::session::{Due, Input, Refusal};
use cowlside::domain::units::Length;
use cowlside::domain::valve::Kind;
use cowlside::guide::{Answered, Command, Prompt, Talk};
use std::sync::Arc;

/// A service in which so many figures of the intake's page were typed.
fn typed(figures: &[&str]) -> Service {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::PageFigure(..)));
    for figure in figures {
        service.tell(Input::PageFigure((*figure).into()));
    }
    service
}

fn answered(service: &Service, answers: &[&str]) -> Answered {
    answers.iter().fold(Answered::Next(Talk::default()), |talk, typed| match talk {
        Answered::Next(next) => next.answer(&service.session, typed),
        other => panic!("{typed}: {other:?}"),
    })
}

fn asked(service: &Service, answers: &[&str]) -> Prompt {
    match answered(service, answers) {
        Answered::Next(talk) => talk.prompt(&service.session),
        other => panic!("{answers:?}: {other:?}"),
    }
}

fn digits(ask: &Prompt) -> Vec<u8> {
    ask.field.choices.iter().map(|choice| choice.digit).collect()
}

#[test]
fn a_figure_that_crosses_one_typed_before_is_told_where_it_is_typed() {
    for (before, now, title) in [
        (&["5"][..], "7", "Intake least 0.007 in is above its target 0.005 in"),
        (&["6", "5"], "5.5", "Intake most 0.0055 in is below its target 0.006 in"),
        (&["6", "5"], "4", "Intake most 0.004 in is below its target 0.006 in"),
    ] {
        let mut service = typed(before);
        let due = service.due();
        let ask = asked(&service, &[now]);
        assert_eq!((ask.title.as_str(), digits(&ask)), (title, vec![1, 2, 3]));
        // A further figure answers nothing by itself.
        assert!(ask.field.typed.is_some(), "{ask:?}");
        let again = asked(&service, &[now, "1"]);
        assert_eq!(again, Talk::default().prompt(&service.session), "typed again");
        let Answered::Keep(entries) = answered(&service, &[now, "2"]) else { panic!("{title}") };
        assert_eq!(entries, [Entry::Source(SourceRead::Again)]);
        assert!(matches!(answered(&service, &[now, "3"]), Answered::Keep(_)));
        let refused = service.refused(Input::PageFigure(now.into()));
        assert!(matches!(refused, Refusal::Unreadable(_)), "{refused:?}");
        assert_eq!(service.due(), due);
        service.tell(Input::PageAgain);
        assert_eq!(service.due(), Due::PageFigure(Kind::Intake, Figure::Target));
    }
    // The limits may be the target, and the exhaust's page is another.
    let mut service = typed(&["6", "6", "6"]);
    service.tell(Input::PageFigure("5".into()));
}

#[test]
fn before_any_figure_there_is_nothing_to_type_again() {
    let mut service = typed(&[]);
    assert_eq!(service.refused(Input::PageAgain), Refusal::NotNow);
}

/// As versions before this one kept them: that the page rules so is not offered, and why is said.
#[test]
fn figures_that_cross_in_a_session_of_before_can_only_be_typed_again() {
    let mut service = typed(&[]);
    for (kind, thou) in [(Kind::Intake, [5, 7, 10]), (Kind::Exhaust, [12, 10, 14])] {
        let figures = [Figure::Target, Figure::Least, Figure::Most];
        for (figure, thou) in figures.into_iter().zip(thou) {
            let (typed, value) = (thou.to_string(), Length::from_nm(thou * 25_400));
            service.keep(Entry::Source(SourceRead::Figure { kind, figure, typed, value }));
        }
    }
    assert!(matches!(service.due(), Due::PageDiffers(_)));
    service.refused(Input::PageRules { why: why() });
    let ask = Talk::default().prompt(&service.session);
    assert_eq!(digits(&ask), [1, 2]);
    assert!(ask.lines[0].contains("as typed cross"), "{:?}", ask.lines);
    let Answered::Keep(entries) = answered(&service, &["2"]) else { panic!("{ask:?}") };
    assert!(matches!(&entries[..], [Entry::Seal(_)]), "{entries:?}");
}

#[test]
fn amended_figures_that_cross_are_told_where_they_are_typed() {
    let service = Service::new(flat_four());
    let amend = |answers: &[&str]| {
        let call = Talk::call(&service.session, Command::Amend, Arc::default());
        answers.iter().fold(call, |talk, typed| match talk {
            Answered::Next(next) => next.answer(&service.session, typed),
            other => panic!("{typed}: {other:?}"),
        })
    };
    for (answers, words) in [
        (&["1", "5", "7"][..], "Intake least 0.007 in is above its target 0.005 in: type it again"),
        (
            &["2", "12", "10", "11"],
            "Exhaust most 0.011 in is below its target 0.012 in: type it again",
        ),
    ] {
        let Answered::Refused(talk, said) = amend(answers) else { panic!("{answers:?}") };
        assert_eq!((said.as_str(), talk.given.len()), (words, answers.len() - 1));
    }
    assert!(matches!(amend(&["1", "6", "5", "7"]), Answered::Next(_)));
}

#[test]
fn what_is_no_figure_is_told_in_words_of_the_page_and_not_of_leaves() {
    let mut service = typed(&[]);
    for text in ["5-7", "6.5.5", "6/7", "0"] {
        let refused = service.refused(Input::PageFigure(text.into()));
        let Refusal::Unreadable(words) = refused else { panic!("{text}: {refused:?}") };
        assert!(!words.contains("leaf") && words.contains("one figure"), "{text}: {words}");
    }
}

#[test]
fn where_the_page_rules_it_is_said_how_the_profile_is_put_right() {
    let mut service = typed(&["7", "5", "9"]);
    service.calmly_while(|_, due| matches!(due, Due::PageFigure(..)));
    assert!(matches!(service.due(), Due::PageDiffers(_)), "{:?}", service.due());
    let why = asked(&service, &["2"]);
    let lines = why.lines.join(" ");
    assert!(
        lines.contains("asked again at the next service") && lines.contains("* and 4"),
        "{lines}"
    );
}
