//! Services C and D: a vee twin with shims, a week between taking apart and fitting; a flat six with
//! hydraulic lifters, where only push rods of other lengths help.

use super::engines::{self, exhaust, flat_four, intake};
use super::harness::{Service, why};
use super::mechanic::part;
use cowlside::domain::entry::{Back, Begin, Entry, KnownPart, PartKind, Rounds, Step};
use cowlside::domain::session::{Due, Input, OpenItem, Refusal, RoundKind};
use cowlside::domain::shims::{Answer, Origin};
use cowlside::domain::trend::Earlier;
use cowlside::domain::units::Length;
use cowlside::domain::valve::{Standing, Valve};
use cowlside::domain::verdict::Verdict;
use cowlside::guide::{Answered, Beside, Command, Talk};
use cowlside::report::parts_sheet::parts_json;
use cowlside::report::record::record;
use cowlside::tui::widgets::engine::{Detail, EngineView};
use std::sync::Arc;

fn um(um: i64) -> Length {
    Length::from_um(um)
}

/// What a shim or rod session begins with: the sizes that are known from last time.
pub fn begun(facts: cowlside::domain::profile::Facts, known: &[(Valve, i64)]) -> Service {
    let mut service = Service::new(facts);
    let known_parts: Vec<KnownPart> =
        known.iter().map(|&(valve, size)| KnownPart { valve, size: um(size) }).collect();
    if !known.is_empty() {
        service.tell(Input::Begin(Box::new(Begin { known_parts, ..Begin::default() })));
    }
    service.calmly_while(|_, due| *due != Due::Scope);
    let begin = Begin { rounds: Some(Rounds::SurveyOnly), change: true, ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin))).on_to_turn();
    service
}

/// Gauges the due valve, whatever the leaves in hand.
pub fn read(service: &mut Service, typed: &str) {
    service.tell(Input::Gauge { typed: typed.into(), sure: true });
}

/// Gauges the due valves as told, the others on target, while anything is to be gauged.
pub fn survey(service: &mut Service, reads: &[(Valve, &str)]) {
    for (valve, typed) in reads {
        read(service.on_to_gauge(*valve), typed);
    }
    service.calmly_while(|service, _| service.session.state.round() == Some(0));
}

pub fn shim(out: bool, valve: Valve, marked: &str, measured: &str) -> Input {
    let (part, marked, measured) = (PartKind::Shim, marked.into(), measured.into());
    if out {
        Input::PartOut { valve, part, marked, measured }
    } else {
        Input::PartIn { valve, part, marked, measured }
    }
}

fn fit(size: i64, origin: Origin, predicted: i64) -> Answer {
    Answer::Fit { size: um(size), origin, predicted: um(predicted), in_band: true }
}

fn moved(size: i64, from: Valve, predicted: i64) -> Answer {
    fit(size, Origin::Removed(from), predicted)
}

pub fn cams_in(bank: &str, digit: u8) -> Input {
    Input::CamsIn { bank: Some(bank.into()), digit }
}

/// Intake 0.30 mm (target 0.20, 0.15 to 0.25), exhaust 0.20 mm (target 0.30, 0.25 to 0.35).
#[test]
fn service_c_shims_from_the_first_key_to_the_signature() {
    // What the last service left: so the list stands before anything is opened.
    let known = [(intake(1), 2600), (exhaust(1), 2700), (intake(2), 2550), (exhaust(2), 2650)];
    let mut service = begun(engines::vee_twin(), &known);
    survey(&mut service, &[(intake(1), "30"), (exhaust(2), "20")]);
    assert_eq!(service.due(), Due::PartsList);
    assert!(service.open().iter().all(|item| !item.bars_close_up()), "nothing is open yet");
    // 1 intake wants 2.60 + 0.30 - 0.20 = 2.70; 2 exhaust 2.65 + 0.20 - 0.30 = 2.55.
    let list = service.session.state.parts_list();
    let answers: Vec<Answer> = list.lines.iter().map(|line| line.answer).collect();
    // The 2.65 that comes out of 2 exhaust gives 0.25 at 1 intake: in its band, so nothing is bought
    // for it. The 2.60 gives 0.25 at 2 exhaust as well.
    assert_eq!(answers, [moved(2650, exhaust(2), 250), moved(2600, intake(1), 250)]);
    assert_eq!(list.new_shims(), 0);
    // On the very limits, and a reading lies between two leaves: said, with what leads nearer.
    let said = Talk::default().prompt(&service.session).lines.join("|");
    for words in [
        "from 2 exhaust: then 0.25 mm, CLOSE TO THE LIMIT: it may gauge loose; a new 2.70 leads nearer, to 0.20 mm",
        "from 1 intake: then 0.25 mm, CLOSE TO THE LIMIT: it may gauge tight; a new 2.55 leads nearer, to 0.30 mm",
    ] {
        assert!(said.contains(words), "{said}");
    }

    // Left bank: cams out, shim out, the micrometer disagrees with the mark.
    let left = || Some("left".to_string());
    service.tell(Input::CamsOut { bank: left() });
    assert_eq!(service.open()[0].to_string(), "CAM OUT: left bank");
    assert_eq!(service.due(), Due::TakeOut(intake(1)));
    assert_eq!(service.refused(Input::SeeOverlap(1)), Refusal::PartOut);
    assert_eq!(
        service.refused(shim(true, intake(1), "0.26 mm", "")),
        Refusal::Unreadable(
            "0.26 mm is no shim of this engine, 2.20 to 3.15 mm: type the whole size (a mark may leave figures out)"
                .into()
        )
    );
    service.tell(shim(true, intake(1), "2.60", "2.58"));
    // The right bank's valve is not reached yet.
    assert_eq!(service.due(), Due::PartsList);
    service.tell(Input::CamsOut { bank: Some("right".into()) });
    assert_eq!(service.due(), Due::TakeOut(exhaust(2)));
    service.tell(shim(true, exhaust(2), "", "2.65 mm"));
    // 1 intake wants 2.58 + 0.10 = 2.68: 2.65 gives 0.23. 2 exhaust wants 2.55: 2.58 gives 0.27.
    let list = service.session.state.parts_list();
    let answers: Vec<Answer> = list.lines.iter().map(|line| line.answer).collect();
    assert_eq!(answers, [moved(2650, exhaust(2), 230), moved(2580, intake(1), 270)]);

    a_week_goes_by(&mut service);
    fitted_closed_and_timed(&mut service);
    as_left_and_what_fails(&mut service);
    service.sign();
    let fitted = |valve| service.session.state.fitted_size(valve);
    assert_eq!(fitted(intake(1)), Some(um(2650)));
    assert_eq!(fitted(exhaust(2)), Some(um(2650)));
    assert_eq!(fitted(exhaust(1)), Some(um(2700)), "known from last time");
}

fn a_week_goes_by(service: &mut Service) {
    // A week goes by: the engine is not the same day's engine.
    service.tell(Input::Away(String::new()));
    let notice = cowlside::guide::status::notice(&service.session, &Earlier::default());
    for what in ["DO NOT TURN", "SHIM OUT: 1 intake", "SHIM OUT: 2 exhaust", "CAM OUT: left bank"] {
        assert!(notice.iter().any(|line| line == what), "{what} in {notice:?}");
    }
    let week = Back { after_min: Some(7 * 24 * 60), new_day: true, ..Back::default() };
    service.tell(Input::Back(week));
    assert_eq!(service.due(), Due::NewDay);
    service.tell(Input::NotRunSince);
    assert!(matches!(service.due(), Due::Caution(..)));
    service.calmly_while(|_, due| matches!(due, Due::Caution(..)));
}

fn fitted_closed_and_timed(service: &mut Service) {
    // Fitted: shims first, no cam over a place where one is out, marks seen.
    assert_eq!(service.due(), Due::PartOut(intake(1), PartKind::Shim));
    assert_eq!(service.refused(cams_in("left", 1)), Refusal::OpenItem("SHIM OUT: 1 intake".into()));
    assert!(matches!(
        service.refused(shim(false, intake(1), "", "")),
        Refusal::TextMissing("the size of the shim that goes in")
    ));
    service.tell(shim(false, intake(1), "2.65", "2.65"));
    assert_eq!(service.due(), Due::PartOut(exhaust(2), PartKind::Shim));
    // The mechanic has a new one that leads nearer to the target.
    service.tell(shim(false, exhaust(2), "2.55 mm", ""));
    assert!(matches!(service.due(), Due::CamsOut(Some(_), _)));
    assert!(matches!(service.refused(cams_in("left", 0)), Refusal::Unreadable(_)));
    service.tell(cams_in("left", 1)).tell(cams_in("right", 1));
    assert_eq!(service.open()[0], OpenItem::TurnsOwed);
    assert!(matches!(service.due(), Due::TurnThrough(_)));
    service.tell(Input::Answer(1));
}

fn as_left_and_what_fails(service: &mut Service) {
    // As left: all that was under the cams, cold again; then only what fails.
    assert_eq!(service.due(), Due::Temperature);
    service.on_to_gauge(intake(1));
    assert_eq!(service.session.state.round_kind(), Some(RoundKind::AsLeft));
    assert_eq!(service.due(), Due::Gauge(intake(1), Step::Left));
    read(service, "23");
    service.on_to_gauge(exhaust(2)).gauge("40");
    // 2.55 for 2.65 leads to 0.30: another shim is in, or the figure before was none.
    assert_eq!(service.due(), Due::Again(exhaust(2), Step::Left));
    service.gauge("40");
    let said = Talk::default().prompt(&service.session);
    let (title, lines) = (said.title, said.lines.join(" "));
    assert!(title.ends_with("another figure than the part that went in leads to"), "{title}");
    assert!(lines.contains("What went in leads to 0.30 mm, by what was read before."), "{lines}");
    service.tell(Input::Believe { why: "it is so, gauged twice".into() });
    assert_eq!(service.due(), Due::PartsList);
    assert_eq!(service.session.state.to_change(), [exhaust(2)]);
    service.tell(Input::CamsOut { bank: Some("right".into()) });
    service.tell(shim(true, exhaust(2), "2.55", ""));
    // 2.55 + 0.40 - 0.30 = 2.65.
    let list = service.session.state.parts_list();
    assert_eq!(list.lines[0].answer, fit(2650, Origin::New, 300));
    assert_eq!(list.order, [(um(2650), 1)]);
    service.tell(shim(false, exhaust(2), "2.65", ""));
    service.tell(cams_in("right", 1)).tell(Input::Answer(1)).on_to_gauge(intake(2)).gauge("20");
    assert_eq!(service.session.state.rounds().len(), 3, "a further round");
    service.on_to_gauge(exhaust(2)).gauge("30");
    assert!(matches!(service.due(), Due::CountIn { .. }), "1 is not gauged once more");
    assert_eq!(service.left(intake(1)), Some("23"));
}

#[test]
fn shims_that_come_out_past_the_cams_leave_the_others_alone() {
    let mut service = begun(engines::vee_twin(), &[]);
    survey(&mut service, &[(intake(1), "30"), (intake(2), "30")]);
    let list = service.session.state.parts_list();
    assert!(list.lines.iter().all(|line| line.answer == Answer::ShimNotKnown), "none is known");
    service.tell(shim(true, intake(1), "", "2.60"));
    assert_eq!(service.due(), Due::TakeOut(intake(2)), "the cams stay in for this one too");
    service.tell(Input::LeaveAsIs { valve: intake(2), why: why() });
    service.tell(shim(false, intake(1), "2.70", ""));
    assert!(matches!(service.due(), Due::TurnThrough(_)));
    service.tell(Input::Answer(1)).on_to_gauge(intake(1)).gauge("20");
    assert!(matches!(service.due(), Due::CountIn { .. }), "{:?}", service.due());
    assert_eq!(service.verdict(intake(2)), Some(Verdict::Loose));
    service.sign();
}

#[test]
fn a_shim_or_a_rod_that_is_out_is_drawn_as_out_until_one_is_in() {
    let mut service = begun(engines::vee_twin(), &[]);
    survey(&mut service, &[(intake(1), "30"), (intake(2), "30")]);
    service.tell(shim(true, intake(1), "2.70", ""));
    let standing = |service: &Service, valve| service.session.state.standing(valve);
    assert_eq!(standing(&service, intake(1)), Standing::PartOut);
    assert_ne!(standing(&service, intake(2)), Standing::PartOut, "its shim is in");
    let facts = &service.session.state.profile.profile;
    let view = EngineView::new(facts, |valve| standing(&service, valve), None, &[]);
    let signs = view.banks[0].cylinders[0].pieces(Detail::Signs);
    assert!(signs.iter().any(|(text, _)| text == "Io"), "{signs:?}");
    let words = view.banks[0].cylinders[0].pieces(Detail::Words);
    assert!(words.iter().any(|(text, _)| text.starts_with("IN PART OUT")), "{words:?}");
    assert!(view.legend().contains(&"o PART OUT".to_string()), "{:?}", view.legend());
    service.tell(shim(false, intake(1), "2.60", ""));
    assert_eq!(standing(&service, intake(1)), Standing::NotYet, "in again, not gauged yet");

    let mut service = begun(engines::push_rods(), &[]);
    service.tell(part(true, exhaust(2), PartKind::Pushrod, "0"));
    assert_eq!(standing(&service, exhaust(2)), Standing::PartOut);
}

#[test]
fn an_unknown_shim_an_open_end_and_a_worn_mark_lead_to_no_size() {
    let mut service = begun(engines::vee_twin(), &[(intake(1), 2600), (exhaust(1), 2600)]);
    survey(&mut service, &[(intake(1), "0"), (exhaust(1), "40/"), (intake(2), "30")]);
    let list = service.session.state.parts_list();
    let answers: Vec<Answer> = list.lines.iter().map(|line| line.answer).collect();
    assert_eq!(answers, [Answer::OpenEnded, Answer::OpenEnded, Answer::ShimNotKnown]);
    assert_eq!(list.new_shims(), 0);
    // One is gauged once more, closed this time, before anything is opened.
    let seq = service.session.state.before_parts(exhaust(1)).unwrap().seq;
    service.tell(Input::Void { of: seq, why: why() });
    service.on_to_gauge(exhaust(1));
    assert_eq!(service.due(), Due::Gauge(exhaust(1), Step::Found));
    service.gauge("40");
    assert_eq!(service.due(), Due::PartsList);
    // The mark of 2 intake is worn off and nobody measured it: it stays unknown.
    service.tell(Input::CamsOut { bank: Some("right".into()) });
    service.tell(shim(true, intake(2), "", ""));
    assert_eq!(service.session.state.fitted_size(intake(2)), None);
    service.tell(Input::LeaveAllAsIs { why: why() });
    service.tell(shim(false, intake(2), "2.60", ""));
    service.sign();
}

#[test]
fn a_very_tight_valve_is_leak_tested_in_the_survey_before_its_shim_is_touched() {
    let mut service = begun(engines::vee_twin(), &[]);
    service.on_to_gauge(exhaust(1)).gauge("0");
    assert_eq!(service.due(), Due::LeakTest(1, exhaust(1)));
    service.tell(Input::LeakTest { typed: "74/80".into(), why_not: String::new() });
    service.calmly_while(|_, due| *due != Due::PartsList);
    service.tell(Input::LeaveAllAsIs { why: why() });
    service.sign();
}

#[test]
fn only_a_valve_whose_shim_was_changed_is_judged_by_the_set_band() {
    // check-values 2.4, READ [S27], an overhead-cam inline four: check 0.30-0.40, set 0.35-0.40 mm.
    let mut twin = engines::vee_twin();
    let figures = cowlside::domain::profile::Figures {
        target: um(375),
        least: um(300),
        most: um(400),
        set_least: um(350),
        set_most: um(400),
    };
    (twin.intake.cold, twin.exhaust.cold) = (Some(figures), Some(figures));
    let mut service = begun(twin, &[(intake(1), 3500), (exhaust(1), 3500)]);
    survey(&mut service, &[(intake(1), "45"), (exhaust(1), "32")]);
    assert_eq!(service.session.state.to_change(), [intake(1)], "0.32 passes the check");
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    service.tell(shim(true, intake(1), "3.50", ""));
    assert_eq!(service.due(), Due::PartOut(intake(1), PartKind::Shim), "not 1 exhaust");
    service.tell(shim(false, intake(1), "3.60", ""));
    service.tell(Input::CamsIn { bank: Some("left".into()), digit: 1 }).tell(Input::Answer(1));
    service.on_to_gauge(intake(1));
    read(&mut service, "32");
    service.on_to_gauge(exhaust(1));
    read(&mut service, "32");
    assert_eq!(service.due(), Due::PartsList);
    assert_eq!(service.session.state.to_change(), [intake(1)], "once touched: 0.35 to 0.40");
    assert_eq!(service.verdict(exhaust(1)), Some(Verdict::InLimits), "its shim was not touched");
    service.tell(Input::LeaveAllAsIs { why: why() });
    service.sign();
}

#[test]
fn service_d_push_rods_from_the_first_key_to_the_signature() {
    let mut service = begun(engines::push_rods(), &[(exhaust(4), 500)]);
    // Every reading waits for its lifter.
    service.calmly_while(|_, due| !matches!(due, Due::Dry(..)));
    assert!(matches!(&service.due(), Due::Dry(valve, _) if *valve == intake(1)));
    assert_eq!(service.refused(Input::Gauge { typed: "20".into(), sure: true }), Refusal::NotNow);
    service.tell(Input::Answer(0));
    assert!(matches!(service.due(), Due::Dry(..)), "not bled is no answer to go on with");
    service.tell(Input::Answer(1));
    assert_eq!(service.due(), Due::Gauge(intake(1), Step::Found));
    // 4 exhaust: 0.90, loose, with a +0.5 mm rod in; 2 intake: far too tight for any rod.
    survey(&mut service, &[(exhaust(4), "90"), (intake(2), "100")]);
    assert_eq!(service.session.state.round_kind(), Some(RoundKind::Change));
    let change = |due: &Due| matches!(due, Due::ChangeRod(valve, _) if *valve == exhaust(4));
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    assert!(change(&service.due()), "{:?}", service.due());
    // Difference to the rod fitted, times 1.4: +0.5 stays 0.90, 0 gives 1.60, -0.5 gives 2.30.
    let (rods, fit) = service.session.state.rods(exhaust(4));
    let results: Vec<i64> = rods.iter().map(|rod| rod.predicted.unwrap().nm() / 1000).collect();
    assert_eq!((results, fit), (vec![2300, 1600, 900], None), "none fits, and it is said");
    service.tell(part(true, exhaust(4), PartKind::Pushrod, "-0.1 mm"));
    assert_eq!(service.due(), Due::PartOut(exhaust(4), PartKind::Pushrod));
    assert_eq!(service.refused(Input::SeeOverlap(1)), Refusal::PartOut);
    // What came out was marked -0.1: +0.5 then gives 0.90 - 0.6 x 1.4 = 0.06.
    let (rods, fit) = service.session.state.rods(exhaust(4));
    assert_eq!(rods[2].predicted, Some(um(60)));
    assert_eq!(fit, None);
    service.tell(part(false, exhaust(4), PartKind::Pushrod, "+0.33 mm"));
    // At the same stop, bled again, without a turn.
    assert!(matches!(&service.due(), Due::Dry(valve, _) if *valve == exhaust(4)));
    service.tell(Input::Answer(1));
    assert_eq!(service.due(), Due::Gauge(exhaust(4), Step::Left));
    service.gauge("30");
    // 2 intake: left, with its reason; nothing else is gauged again.
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    assert!(matches!(service.due(), Due::ChangeRod(valve, _) if valve == intake(2)));
    service.tell(Input::LeaveAsIs { valve: intake(2), why: why() });
    assert!(matches!(service.due(), Due::CountIn { .. }), "no general recheck");
    service.sign();
    assert_eq!(service.session.state.fitted_size(exhaust(4)), Some(um(330)));
}

#[test]
fn a_turn_forgets_that_lifters_were_dry() {
    let mut service = begun(engines::push_rods(), &[]);
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    service.tell(Input::SeeOverlap(2));
    service.calmly_while(|_, due| !matches!(due, Due::Dry(..)));
    assert!(matches!(&service.due(), Due::Dry(valve, _) if *valve == intake(1)));
}

#[test]
fn paper_is_typed_a_cylinder_at_a_time_whatever_the_adjuster() {
    for facts in engines::all() {
        let mut service = Service::new(facts);
        service.on_to_turn();
        let cylinder = service.session.state.facts().firing_order[0];
        let valves = service.session.state.facts().valves_of(cylinder);
        let readings: Vec<(Valve, String)> = valves
            .iter()
            .map(|&valve| (valve, super::mechanic::on_target(&service.session.state, valve.kind)))
            .collect();
        let lifters = service.session.state.has_lifters();
        let paper = |time: &str| {
            let (readings, time) = (readings.clone(), time.into());
            let gauged = Input::GaugeFromPaper { readings, time, sure: false };
            let valves = valves.clone();
            if lifters { Input::OnDry { valves, gauged: Box::new(gauged) } } else { gauged }
        };
        assert!(matches!(service.refused(paper(" ")), Refusal::TextMissing(_)));
        service.tell(paper("09:40"));
        for valve in valves.clone() {
            let taken = service.session.state.current(valve).unwrap();
            assert_eq!(taken.reading.paper.as_deref(), Some("09:40"));
            assert_eq!(taken.reading.step, Step::Found);
        }
        service.sign();
    }
}

#[test]
fn threads_outside_the_bounds_want_an_answer() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
    service.tell(Input::Threads(7));
    assert_eq!(service.due(), Due::ThreadsOutside(intake(1), 7, (2, 5)));
    service.tell(Input::Threads(6));
    assert_eq!(service.due(), Due::ThreadsOutside(intake(1), 6, (2, 5)));
    assert_eq!(service.refused(Input::LeaveThreads { why: " ".into() }), Refusal::WhyMissing);
    service.tell(Input::OpenSet(intake(1)));
    service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
    service.tell(Input::Threads(6)).tell(Input::LeaveThreads { why: why() });
    let told = |service: &Service| record(&service.session, &Earlier::default());
    assert!(told(&service).contains("1 intake: 6\n"), "the nut was slack: {}", told(&service));
    let mut slip = Service::new(flat_four());
    slip.prepare(Rounds::SetThenRecheck, None);
    slip.on_to_gauge(intake(1)).gauge("9");
    slip.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
    slip.tell(Input::Threads(7)).tell(Input::Threads(3));
    assert!(told(&slip).contains("1 intake: 3 (first 7)"), "{}", told(&slip));
    assert!(!matches!(service.due(), Due::ThreadsOutside(..)));
    service.sign();
}

#[test]
fn hold_down_torque_is_asked_before_anything_is_gauged_after_work() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6");
    service.tell(Input::Work { cylinder: 1, what: "rocker".into(), text: String::new() });
    let of_the_valve = |due: &Due| matches!(due, Due::Gauge(..) | Due::Trying(_));
    service.calmly_while(|_, due| !matches!(due, Due::HoldDown(_)) && !of_the_valve(due));
    assert_eq!(service.due(), Due::HoldDown(1));
    service.tell(Input::HoldDown("22 N·m".into(), false));
    service.calmly_while(|_, due| !of_the_valve(due));
    assert!(matches!(service.due(), Due::Trying(valve) if valve.cylinder == 1));
    service.sign();
}

#[test]
fn the_document_says_why_nothing_fits() {
    // Shims go from 2.20 mm up: of the thinnest nothing thinner is to be got.
    for (known, typed, why) in [
        (Some(2600), "40/", Some("open-ended")),
        (Some(2200), "10", Some("none nearer")),
        (None, "30", Some("fitted not known")),
        (Some(2600), "30", None),
    ] {
        let known: Vec<(Valve, i64)> = known.into_iter().map(|size| (intake(1), size)).collect();
        let mut service = begun(engines::vee_twin(), &known);
        survey(&mut service, &[(intake(1), typed)]);
        let json = parts_json(&service.session);
        assert_eq!(json["change"][0]["why"].as_str(), why, "{typed}: {json}");
        assert_eq!(json["change"][0]["fit"].is_null(), why.is_some(), "{json}");
    }
}

/// Answers what is due so far with these.
fn answered(service: &Service, beside: Beside, keys: &[&str]) -> Answered {
    let start = Talk { beside: Arc::new(beside), ..Talk::default() };
    keys.iter().fold(Answered::Next(start), |answered, key| match answered {
        Answered::Next(talk) => talk.answer(&service.session, key),
        other => panic!("{key}: {other:?}"),
    })
}

#[test]
fn a_valve_of_the_parts_list_is_chosen_by_a_digit() {
    let mut service = begun(engines::vee_twin(), &[]);
    survey(&mut service, &[(intake(1), "30"), (exhaust(2), "20")]);
    assert_eq!(service.due(), Due::PartsList);
    let Answered::Next(talk) = answered(&service, Beside::default(), &["6"]) else { panic!() };
    let ask = talk.prompt(&service.session);
    let labels: Vec<&str> = ask.field.choices.iter().map(|one| one.label.as_str()).collect();
    assert_eq!(labels, ["1 intake", "2 exhaust"], "{ask:?}");
    // By its name as before, too: nothing else has letters.
    for typed in ["2", "2 e", "2 exhaust"] {
        let Answered::Keep(entries) = talk.answer(&service.session, typed) else {
            panic!("{typed}")
        };
        let Entry::Correct(correct) = &entries[0] else { panic!("{entries:?}") };
        let of = service.session.state.before_parts(exhaust(2)).unwrap().seq;
        assert_eq!(correct.of, of, "{typed}");
    }
}

#[test]
fn another_profile_is_chosen_by_a_digit() {
    let service = begun(engines::vee_twin(), &[]);
    let mut names: Vec<String> = (1..=12).map(|at| format!("kind-{at}")).collect();
    // The one in use is not offered.
    names.insert(0, service.session.state.profile.name.clone());
    let beside = Arc::new(Beside { profiles: names, ..Beside::default() });
    let begin = Talk::call(&service.session, Command::ReplaceProfile, Arc::clone(&beside));
    let after = |keys: &[&str]| {
        keys.iter().fold(begin.clone(), |answered, key| match answered {
            Answered::Next(talk) => talk.answer(&service.session, key),
            other => panic!("{key}: {other:?}"),
        })
    };
    for (keys, name) in
        [(&["2"][..], "kind-2"), (&["9", "3"], "kind-11"), (&["0", "my-own"], "my-own")]
    {
        // In practice no manual is asked for.
        let keys: Vec<&str> = keys.iter().copied().chain(["1"]).collect();
        let Answered::ReplaceProfile { name: chosen, .. } = after(&keys) else {
            panic!("{keys:?}")
        };
        assert_eq!(chosen, name);
    }
    // After the last of them come the first again.
    let Answered::Next(talk) = after(&["9", "9"]) else { panic!() };
    assert_eq!(talk.prompt(&service.session).field.choices[0].label, "kind-1");
}
