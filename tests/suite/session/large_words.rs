//! Large words that stand for one thing each: a verdict, a caution, the valve that a part belongs to.

use super::engines::{exhaust, flat_four, intake, push_rods, vee_twin};
use super::harness::Service;
use cowlside::domain::entry::{Begin, PartKind, Rounds};
use cowlside::domain::profile::Facts;
use cowlside::domain::session::{Due, Input};
use cowlside::domain::verdict::Verdict;
use cowlside::guide::{Big, Talk, glance};
use std::collections::BTreeSet;

fn big(service: &Service) -> Big {
    *Talk::default().prompt(&service.session).big.unwrap()
}

#[test]
fn an_undecided_valve_has_one_word_where_it_is_asked_about_and_where_it_is_kept() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6/8");
    assert!(matches!(
        service.session.state.verdict_now(intake(1)),
        Some(Verdict::Undecided { .. })
    ));
    service.calmly_while(|_, due| !matches!(due, Due::Set(one, _) if *one == intake(1)));
    let asked = big(&service);
    let words: Vec<&String> = asked.longer.iter().chain([&asked.text]).collect();
    assert!(words.iter().all(|words| words.ends_with("UNDECIDED")), "{words:?}");
    // Kept beside the question of the next valve.
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    let Due::Gauge(valve, _) = service.due() else { panic!() };
    service.gauge(if valve.kind == intake(1).kind { "6/8" } else { "13/15" });
    let kept = service.session.kept.last().unwrap().entry.clone();
    let words = glance::verdict(&service.session, &[kept]);
    assert!(words.iter().all(|words| words.ends_with("UNDECIDED")), "{words:?}");
}

#[test]
fn no_two_cautions_have_the_same_large_word() {
    let texts =
        ["Look at the oil cooler's hose", "See the drain plug wired", "Cowl pins in the tray"];
    let cautions = texts.map(str::to_owned).to_vec();
    let mut service = Service::new(Facts { cautions, ..flat_four() });
    let mut large = BTreeSet::new();
    service.calmly_while(|_, due| !matches!(due, Due::Caution(..)));
    let mut asked = 0;
    while let Due::Caution(..) = service.due() {
        let words = big(&service).text;
        assert!(large.insert(words.clone()), "{words} stands twice: {large:?}");
        service.tell(Input::Answer(1));
        asked += 1;
    }
    assert!(asked > 3 && large.contains("MANUAL 2"), "{large:?}");
}

#[test]
fn the_size_that_goes_in_stands_large_below_its_valve() {
    let mut service = Service::cams_out(vee_twin(), "left", (exhaust(1), "15"));
    let part = |valve, marked: &str, measured: &str| {
        let (marked, measured) = (marked.into(), measured.into());
        Input::PartOut { valve, part: PartKind::Shim, marked, measured }
    };
    service.tell(part(exhaust(1), "2.65", ""));
    assert!(matches!(service.due(), Due::PartOut(..)));
    let large = big(&service);
    assert_eq!((large.text.as_str(), large.then.as_str()), ("1 EXH", "2.50"));

    let mut service = Service::new(push_rods());
    service.calmly_while(|_, due| *due != Due::Scope);
    let begin = Begin { rounds: Some(Rounds::SurveyOnly), change: true, ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin))).on_to_turn();
    service.on_to_gauge(intake(1)).tell(Input::Gauge { typed: "90".into(), sure: true });
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    let (marked, measured) = ("0".into(), String::new());
    service.tell(Input::PartOut { valve: intake(1), part: PartKind::Pushrod, marked, measured });
    let large = big(&service);
    assert_eq!(large.text, "1 INT");
    assert_eq!(large.then, "+0.50 MM");
}
