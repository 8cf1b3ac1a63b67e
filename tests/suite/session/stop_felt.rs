//! A stop that was felt as the engine was turned by hand is told until it turned freely.

use super::engines::{flat_four, intake, vee_twin};
use super::harness::{Service, why};
use cowlside::domain::entry::{Back, Rounds};
use cowlside::domain::session::{Due, Input, OpenItem, Refusal};
use cowlside::domain::trend::Earlier;
use cowlside::guide::{Talk, status};

const FELT: OpenItem = OpenItem::StopFelt { or_hiss: false };
const HEARD: OpenItem = OpenItem::StopFelt { or_hiss: true };

fn told(service: &mut Service, item: &OpenItem) {
    let words = item.to_string();
    let asked = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(asked.contains(&words), "{asked}");
    assert!(item.bars_close_up() && item.is_danger());
    // Nor is it taken back by the key alone.
    let refused = service.refused(Input::TakeBack);
    assert!(matches!(refused, Refusal::CannotTakeBack(_)), "{refused:?}");
    service.tell(Input::Away(String::new()));
    let notice = status::notice(&service.session, &Earlier::default()).join("\n");
    assert!(notice.contains(&words), "{notice}");
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    assert!(service.open().contains(item), "{:?}", service.open());
}

/// Cams in after a shim was changed, up to the two turns.
fn turned_through() -> Service {
    let mut service = Service::cams_out(vee_twin(), "left", (intake(1), "36"));
    service.calmly_while(|_, due| !matches!(due, Due::TurnThrough(_)));
    service
}

#[test]
fn at_the_two_turns_over_new_shims_it_is_open_until_the_engine_turned_freely() {
    let mut service = turned_through();
    service.tell(Input::Answer(0));
    assert!(!service.open().contains(&FELT), "not turned is not felt");
    service.tell(Input::Answer(2));
    told(&mut service, &FELT);
    service.calmly_while(|_, due| !matches!(due, Due::TurnThrough(_)));
    service.tell(Input::Answer(0));
    assert!(service.open().contains(&FELT), "not turned since");
    service.tell(Input::Answer(1));
    assert!(!service.open().contains(&FELT), "{:?}", service.open());
    service.sign();
}

#[test]
fn with_the_cams_out_once_more_nothing_is_felt() {
    let mut service = turned_through();
    service.tell(Input::Answer(2)).tell(Input::CamsOut { bank: Some("left".into()) });
    assert!(!service.open().contains(&FELT), "{:?}", service.open());
    service.sign();
}

#[test]
fn at_the_two_turns_of_closing_up_so_is_a_hiss() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "two-turns"));
    service.tell(Input::Answer(2));
    told(&mut service, &HEARD);
    let mut closed = service.clone();
    closed.tell(Input::CloseUnsigned { why: why() });
    assert!(closed.open().contains(&HEARD), "{:?}", closed.open());
    service.sign();
}
