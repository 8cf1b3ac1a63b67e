//! Mistakes and changes of mind: taking back, correcting, swapping, amending, opening up again.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, profile_text, why};
use cowlside::domain::entry::{Change, Correct, Entry, Moment, Rounds, Step};
use cowlside::domain::profile::Source;
use cowlside::domain::session::{Crank, Due, Input, Proven, Refusal};
use cowlside::domain::valve::Kind;
use cowlside::domain::verdict::Verdict;
use cowlside::guide::amending::{answers_of_row, reading_lines};

/// 1 gauged and in limits, the next turn due.
fn one_gauged() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6").gauge("12");
    service
}

#[test]
fn the_last_reading_is_taken_back_and_asked_again() {
    let mut service = one_gauged();
    service.tell(Input::TakeBack);
    assert_eq!(service.due(), Due::Gauge(exhaust(1), Step::Found));
    assert_eq!(service.left(exhaust(1)), None);
    service.gauge("13").tell(Input::TakeBack).tell(Input::TakeBack);
    assert_eq!(service.due(), Due::Gauge(intake(1), Step::Found));
    service.sign();
}

#[test]
fn a_position_taken_back_is_proven_anew() {
    let mut service = one_gauged();
    let first = service.session.state.crank;
    let Due::Turn { stop, .. } = service.due() else { panic!("{:?}", service.due()) };
    service.tell(Input::Loose(2)).tell(Input::TakeBack);
    // The crank has been turned, whatever is taken back of the telling.
    assert!(matches!(first, Crank::At { proof: Proven::Yes, .. }));
    assert!(!service.session.state.crank_proven());
    assert!(matches!(service.due(), Due::Turn { stop: next, .. } if next == stop));
    let valve = intake(1);
    assert_eq!(service.refused(Input::OpenSet(valve)), Refusal::NotNow);
}

#[test]
fn a_correction_has_its_reason_and_can_itself_be_taken_back() {
    let mut service = one_gauged();
    let of = service.last_reading();
    let correct =
        |why: &str| Input::CorrectValue { of, typed: "16".into(), why: why.into(), sure: true };
    assert_eq!(service.refused(correct("")), Refusal::WhyMissing);
    service.tell(correct("read the wrong leaf"));
    let taken = service.session.state.readings.last().unwrap().clone();
    assert_eq!(taken.corrected, Some(("12".into(), "read the wrong leaf".into())));
    assert_eq!(service.due(), Due::Set(exhaust(1), Verdict::Loose));
    service.tell(Input::TakeBack);
    assert_eq!(service.left(exhaust(1)), Some("12"));
    assert_eq!(service.refused(Input::Void { of: 9999, why: why() }), Refusal::NoReading);
}

#[test]
fn two_readings_are_swapped_in_one_act_and_each_valve_keeps_its_stop() {
    let mut service = one_gauged();
    service.on_to_gauge(intake(3)).gauge("7").gauge("13");
    let seqs: Vec<u64> = service.session.state.readings.iter().map(|taken| taken.seq).collect();
    let before: Vec<_> = service.session.state.readings.iter().map(|t| t.crank).collect();
    // Cylinders 1 and 3 were written the wrong way round.
    service.tell(Input::Swap { of: seqs[0], with: seqs[2], why: why() });
    service.tell(Input::Swap { of: seqs[1], with: seqs[3], why: why() });
    let left = |service: &Service, cylinder| {
        (
            service.left(intake(cylinder)).map(String::from),
            service.left(exhaust(cylinder)).map(String::from),
        )
    };
    assert_eq!(left(&service, 1), (Some("7".into()), Some("13".into())));
    assert_eq!(left(&service, 3), (Some("6".into()), Some("12".into())));
    let after: Vec<_> = service.session.state.readings.iter().map(|t| t.crank).collect();
    assert_eq!(before, after);
    // One of them withdrawn later: the other keeps what it was given.
    service.tell(Input::Void { of: seqs[0], why: why() });
    assert_eq!(left(&service, 3), (Some("6".into()), Some("12".into())));
    assert_eq!(
        service.refused(Input::Swap { of: seqs[1], with: seqs[1], why: why() }),
        Refusal::NoReading
    );
    service.sign();
}

#[test]
fn amended_figures_judge_anew_what_stays_as_typed() {
    let mut service = one_gauged();
    let amend = |least: &str| Input::AmendFigures {
        kind: Kind::Exhaust,
        typed: ["14".into(), least.into(), "16".into()],
        source: "bulletin 7".into(),
        why: "newer than the book".into(),
    };
    assert!(matches!(service.refused(amend("15")), Refusal::Unreadable(_)));
    service.tell(amend("13"));
    assert_eq!(service.left(exhaust(1)), Some("12"));
    assert_eq!(service.due(), Due::Set(exhaust(1), Verdict::Tight));
    service.sign();
}

#[test]
fn a_reason_to_leave_a_valve_counts_only_for_the_verdict_it_was_given_for() {
    let mut service = one_gauged();
    service.on_to_gauge(intake(3)).gauge("9").gauge("12");
    service.tell(Input::LeaveAsIs { valve: intake(3), why: "no spanner".into() });
    assert_eq!(service.session.state.reason_to_leave(intake(3)), Some("no spanner"));
    service.on_to_round(1).on_to_gauge(intake(3)).gauge("4");
    assert_eq!(service.session.state.reason_to_leave(intake(3)), None);
    service.gauge("4").tell(Input::Believe { why: why() }).gauge("12");
    assert_eq!(service.due(), Due::Set(intake(3), Verdict::Tight));
}

#[test]
fn a_new_profile_that_does_not_show_a_valve_shut_makes_it_due_again() {
    let mut service = one_gauged();
    service.on_to_gauge(intake(4)).gauge("6").gauge("12");
    // Another firing order: with 2 at overlap it is not 1 that fires, but 3.
    let mut other = flat_four();
    other.firing_order = vec![1, 4, 2, 3];
    let mut wrong = flat_four();
    wrong.firing_order = vec![1, 2, 3, 4];
    let amend = |facts| Input::AmendProfile {
        profile: Box::new(profile_text(facts)),
        source: "issue 2".into(),
        why: why(),
    };
    let current = |service: &Service, cylinder| {
        service.session.state.current(intake(cylinder)).is_some()
            && service.session.state.current(exhaust(cylinder)).is_some()
    };
    service.tell(amend(other));
    assert!(current(&service, 1) && current(&service, 4), "opposites are opposites still");
    service.tell(Input::TakeBack).tell(amend(wrong));
    assert!(!current(&service, 1), "with 2 at overlap, 1 is not shut in the order 1-2-3-4");
    let readings = &service.session.state.readings;
    assert!(readings.iter().any(|taken| taken.reading.typed == "6"), "as typed it stays");
    service.sign();
    let mut six = super::engines::push_rods();
    six.name = "another".into();
    assert!(matches!(one_gauged().refused(amend(six)), Refusal::OtherEngine(_)));
}

#[test]
fn a_page_that_differs_from_the_profile_stops_the_job() {
    let mut service = Service::new(flat_four());
    service.page(["6", "5", "7", "0.0125", "10 thou", "14"]);
    let Due::PageDiffers(differences) = service.due() else { panic!("{:?}", service.due()) };
    assert_eq!(differences.len(), 1, "the exhaust target");
    // Amending the intake says nothing of the exhaust.
    service.refused(Input::Answer(1));
    service.tell(Input::PageAgain);
    assert_eq!(
        service.due(),
        Due::PageFigure(Kind::Intake, cowlside::domain::entry::Figure::Target)
    );
    service.page(["6", "5", "7", "13", "10", "14"]);
    service.tell(Input::PageRules { why: "the plate agrees with the page".into() });
    assert!(matches!(service.due(), Due::Caution(..)));
    assert_eq!(service.session.state.figures(Kind::Exhaust).target.nm(), 13 * 25_400);
    service.sign();
}

#[test]
fn what_the_page_ruled_for_both_kinds_is_taken_back_by_one_key() {
    let mut service = Service::new(flat_four());
    service.page(["6", "5", "8", "13", "10", "14"]);
    let asked = service.due();
    let Due::PageDiffers(differences) = &asked else { panic!("{asked:?}") };
    let kinds: Vec<Kind> = differences.iter().map(|difference| difference.kind).collect();
    assert_eq!(kinds, [Kind::Intake, Kind::Exhaust]);
    service.tell(Input::PageRules { why: "newer issue".into() }).tell(Input::TakeBack);
    assert_eq!(service.due(), asked);
    // What was amended of the two one after the other is taken back so.
    let amend = |kind, typed: [&str; 3], source: &str| Input::AmendFigures {
        kind,
        typed: typed.map(String::from),
        source: source.into(),
        why: why(),
    };
    service.tell(amend(Kind::Intake, ["6", "5", "9"], "bulletin"));
    service.tell(amend(Kind::Exhaust, ["13", "10", "14"], "bulletin")).tell(Input::TakeBack);
    let most = |kind| service.session.state.figures(kind).most.nm();
    assert_eq!((most(Kind::Intake), most(Kind::Exhaust)), (9 * 25_400, 14 * 25_400));
    assert_eq!(service.session.state.figures(Kind::Exhaust).target.nm(), 12 * 25_400);
}

#[test]
fn amending_one_kind_does_not_answer_for_the_page_of_the_other() {
    let mut service = Service::new(flat_four());
    service.tell(Input::Who("First".into()));
    let source = Source { document: "the book".into(), ..Source::default() };
    service.tell(Input::NameSource { source, practice: false });
    let typed = ["6", "5", "7"].map(String::from);
    let (source, why) = ("bulletin".into(), why());
    service.tell(Input::AmendFigures { kind: Kind::Intake, typed, source, why });
    assert!(matches!(service.due(), Due::PageFigure(Kind::Exhaust, _)));
}

#[test]
fn a_reading_withdrawn_after_closing_up_opens_the_engine_again() {
    let mut service = one_gauged();
    service.on_to_sign();
    let recheck = service.session.state.left(exhaust(1)).unwrap().seq;
    service.tell(Input::Void { of: recheck, why: "wrote the wrong line".into() });
    assert!(matches!(service.due(), Due::Caution(..)), "{:?}", service.due());
    service.calmly_while(|_, due| matches!(due, Due::Caution(..)));
    assert_eq!(service.due(), Due::Temperature, "it has run: how warm is it?");
    service.calmly_while(|_, due| *due == Due::Temperature);
    assert!(matches!(service.due(), Due::CountOut(..)), "its covers are on");
    service.on_to_turn();
    assert!(matches!(service.due(), Due::Turn { there: false, rock: true, .. }));
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(_)));
    service.sign();
}

#[test]
fn a_paper_reading_says_when_it_was_made_and_waits_for_a_slack_nut() {
    let mut service = one_gauged();
    let paper = |valve, time: &str| Input::GaugeFromPaper {
        readings: vec![(valve, "6".into())],
        time: time.into(),
        sure: true,
    };
    assert!(matches!(service.refused(paper(intake(2), "")), Refusal::TextMissing(_)));
    service.tell(paper(intake(2), "09:40"));
    assert_eq!(service.session.state.readings.last().unwrap().stood, None);
    service.tell(Input::OpenSet(exhaust(1)));
    assert_eq!(service.refused(paper(exhaust(1), "09:50")), Refusal::NutSlack(exhaust(1)));
    service.sign();
}

#[test]
fn a_valve_gauged_against_the_plan_carries_its_reason() {
    let mut service = one_gauged();
    let against = |why: &str| Input::GaugeAgainstPlan {
        valve: intake(4),
        typed: "6".into(),
        why: why.into(),
        sure: true,
    };
    assert_eq!(service.refused(against("")), Refusal::WhyMissing);
    service.tell(against("marks on the gear"));
    let reading = &service.session.state.readings.last().unwrap().reading;
    assert_eq!(reading.against_plan.as_deref(), Some("marks on the gear"));
    service.sign();
}

#[test]
fn more_pieces_than_any_engine_has_are_no_count() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    let Due::CountOut(_, items) = service.due() else { unreachable!() };
    let counts = vec![u32::MAX; items.len()];
    assert!(matches!(service.refused(Input::CountOut(counts)), Refusal::Unreadable(_)));
    assert_eq!(
        service.refused(Input::CountOut(vec![1])),
        Refusal::WrongCounts { wanted: items.len() }
    );
}

#[test]
fn a_valve_gauged_after_all_once_everything_was_closed_up_begins_with_the_cautions() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let last_out = |service: &Service, due: &Due| {
        !matches!(due, Due::Gauge(valve, Step::Found) if *valve == exhaust(4))
            || service.session.state.readings.len() < 7
    };
    service.calmly_while(last_out);
    service.gauge("15");
    service.tell(Input::SkipRound { why: why() }).tell(Input::SkipRound { why: why() });
    service.on_to_sign();
    let of = service.session.state.readings.iter().find(|t| t.reading.valve == intake(1));
    let of = of.unwrap().seq;
    service.tell(Input::Void { of, why: why() });
    assert!(matches!(service.due(), Due::NoFigure(_)), "{:?}", service.due());
    service.tell(Input::Unskip(intake(1)));
    assert!(matches!(service.due(), Due::Caution(..)), "{:?}", service.due());
    assert!(!service.session.state.crank_proven(), "the crank was turned since");
    assert!(service.session.state.checks.is_empty() && service.session.state.run.is_empty());
    service.sign();
}

#[test]
fn an_odd_try_and_an_odd_correction_are_asked_about_before_they_are_kept() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(exhaust(1)).gauge("15").tell(Input::OpenSet(exhaust(1)));
    let tried = |sure| Input::Tried { typed: "13 120".into(), sure };
    assert!(matches!(service.refused(tried(false)), Refusal::Odd(_)));
    let of = service.last_reading();
    let value = |sure| Input::CorrectValue { of, typed: "150".into(), why: why(), sure };
    assert!(matches!(service.refused(value(false)), Refusal::Odd(_)));
    service.tell(value(true)).tell(tried(true));
    assert!(matches!(service.due(), Due::NutAnswer(valve, _) if valve == exhaust(1)));
}

#[test]
fn a_profile_may_forbid_too_cold_as_well_as_too_warm() {
    use cowlside::domain::units::Temperature;
    let mut facts = flat_four();
    facts.gauge_when.no_cooler_than = Some(Temperature(5_000));
    let mut service = Service::new(facts);
    service.calmly_while(|_, due| *due != Due::Temperature);
    service.tell(Input::Temperature { head: "2 °C".into(), air: String::new() });
    assert_eq!(service.due(), Due::OutsideTemperature);
}

#[test]
fn the_list_of_readings_tells_no_figure_of_the_valve_that_is_due() {
    let lines = |service: &Service, valve| {
        let lines = reading_lines(&service.session).into_iter().map(|(_, words)| words);
        lines.filter(|words| words.starts_with(&format!("{valve} "))).collect::<Vec<_>>()
    };
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6").on_to_round(1).on_to_gauge(intake(1));
    assert_eq!(lines(&service, intake(1)), ["1 intake found: not told while it is to be gauged"]);
    service.gauge("7");
    assert_eq!(
        lines(&service, intake(1)),
        ["1 intake rechecked: 7 thou", "1 intake found: 6 thou"]
    );
    // One that is not believed is gauged once more; the first must not lead the hand.
    service.tell(Input::TakeBack).tell(Input::Gauge { typed: "60".into(), sure: true });
    assert!(matches!(service.due(), Due::Again(..)), "{:?}", service.due());
    assert!(lines(&service, intake(1)).iter().all(|words| !words.contains('6')));
}

#[test]
fn every_reading_can_be_chosen_from_pages_that_enter_turns() {
    use cowlside::guide::{Answered, Command, Prompt, Talk};
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_round(1);
    let (lines, session) = (reading_lines(&service.session), &service.session);
    assert_eq!(lines.len(), 8);
    let asked = |answered: Answered| match answered {
        Answered::Next(talk) => talk,
        other => panic!("{other:?}"),
    };
    let first = asked(Talk::call(session, Command::Correct, Default::default()));
    let of_page = |prompt: &Prompt| {
        let labels = prompt.field.choices.iter().map(|choice| choice.label.clone());
        labels.collect::<Vec<String>>()
    };
    let second = asked(first.answer(session, ""));
    let pages = [&first, &second].map(|talk| of_page(&talk.prompt(session)));
    let all: Vec<String> = lines.iter().map(|(_, words)| words.clone()).collect();
    assert_eq!(pages.concat(), all, "each once, newest first");
    assert_eq!(first.prompt(session).field.enter.unwrap(), "older ones; this is page 1 of 2");
    let third = asked(second.answer(session, ""));
    assert_eq!(of_page(&third.prompt(session)), pages[0], "and round again");
    // One digit chooses; one that is none is refused at once and leaves the page as it is.
    let chosen = asked(second.answer(session, "3"));
    let title = chosen.prompt(session).title;
    assert_eq!(title, format!("Correct {}", all[7]));
    let Answered::Refused(talk, _) = second.answer(session, "4") else { panic!("taken") };
    assert_eq!(of_page(&talk.prompt(session)), pages[1]);
    // So a list on the screen chooses its rows.
    for (row, (_, words)) in lines.iter().enumerate() {
        let (given, digit) = answers_of_row(row);
        let talk = Talk { given, ..first.clone() };
        let title = asked(talk.answer(session, &digit)).prompt(session).title;
        assert_eq!(title, format!("Correct {words}"));
    }
    // It changes places with one of the others, which are leafed through too.
    let swapped = asked(asked(chosen.answer(session, "3")).answer(session, ""));
    assert_eq!(of_page(&swapped.prompt(session)), all[5..7]);
    let why = asked(swapped.answer(session, "1"));
    let Answered::Keep(entries) = why.answer(session, "1") else { panic!("{why:?}") };
    let Entry::Correct(Correct { of, change, .. }) = &entries[0] else { panic!("{entries:?}") };
    assert_eq!((*of, change), (lines[7].0, &Change::SwapWith(lines[5].0)));
}

#[test]
fn a_time_on_paper_is_one_of_the_day_and_a_later_one_than_now_is_asked_about() {
    use cowlside::guide::{Answered, Beside, Command, Talk};
    let service = one_gauged();
    // 10:00 at an hour ahead of UTC.
    let now = Some(Moment { unix_ms: 9 * 3_600_000, offset_min: 60 });
    let beside = Beside { now, ..Beside::default() };
    let given = |times: &[&str]| {
        let call = Talk::call(&service.session, Command::Paper, beside.clone().into());
        let answers = ["2"].iter().chain(times);
        answers.fold(call, |talk, typed| match talk {
            Answered::Next(next) => next.answer(&service.session, typed),
            other => other,
        })
    };
    let title = |times: &[&str]| match given(times) {
        Answered::Next(talk) => talk.prompt(&service.session).title,
        other => panic!("{times:?}: {other:?}"),
    };
    // A refused one is read as a number that stands there: the next digit begins it anew.
    let Answered::Next(asks) = given(&[]) else { panic!("no time is asked for") };
    let place = cowlside::tui::keymap::Place::of(&asks.prompt(&service.session));
    assert_eq!(place, cowlside::tui::keymap::Place::Number);
    for wrong in ["50", "9", "25:00", "9:61", "before noon"] {
        let Answered::Refused(_, words) = given(&[wrong]) else { panic!("{wrong} taken") };
        assert!(words.contains("09:40, 9.40 or 0940"), "{words}");
    }
    for right in ["09:40", "0940", "9.40", "940", "9,40"] {
        let Answered::Keep(kept) = given(&[right, "6", "12"]) else { panic!("{right}") };
        let Entry::Reading(reading) = &kept[0] else { panic!("{kept:?}") };
        assert_eq!(reading.paper.as_deref(), Some("09:40"), "{right}");
    }
    assert_eq!(title(&["10:00"]), "2 intake, from paper");
    assert_eq!(title(&["10:01"]), "10:01 is later than now, 10:00");
    assert_eq!(title(&["10:01", "2"]), "Readings made on paper", "typed again");
    let Answered::Keep(kept) = given(&["10:01", "1", "6", "12"]) else { panic!("refused") };
    let Entry::Reading(reading) = &kept[0] else { panic!("{kept:?}") };
    assert_eq!(reading.paper.as_deref(), Some("10:01, on an earlier day"));
}

#[test]
fn what_was_opened_is_not_asked_for_from_paper() {
    use cowlside::guide::{Answered, Beside, Command, Talk};
    let asked = |service: &Service, cylinder: &str| {
        let talk = Talk::call(&service.session, Command::Paper, Beside::default().into());
        let Answered::Next(talk) = talk else { panic!("{talk:?}") };
        let talk = match talk.answer(&service.session, cylinder) {
            Answered::Next(talk) => talk,
            Answered::Refused(_, words) => return words,
            other => panic!("{other:?}"),
        };
        let Answered::Next(talk) = talk.answer(&service.session, "09:40") else { panic!() };
        talk.prompt(&service.session).title
    };
    // One valve of the cylinder was set: only the other is asked for.
    let mut service = one_gauged();
    service.tell(Input::OpenSet(intake(1)));
    service.calmly_while(|service, _| service.session.state.nut_slack(intake(1)));
    assert_eq!(asked(&service, "1"), "1 exhaust, from paper");
    assert_eq!(asked(&service, "2"), "2 intake, from paper");
    service.on_to_round(1);
    // Outside the scope it is the valve alone that is answered for, and it was opened.
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![1]));
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    service.tell(Input::NutFoundSlack(exhaust(4)));
    let words = asked(&service, "4");
    assert!(words.contains("cylinder 4 was opened since"), "{words}");
    assert!(asked(&service, "3").contains("no cylinder 3 in this service"));
}
