//! Under overhead cams fingers are kept from between lobe and follower: lobes are looked at, not felt.

use super::engines::{radial_table, usual_timing, vee_twin};
use super::harness::Service;
use super::mechanic;
use cowlside::domain::session::{Due, Input};
use cowlside::guide::Talk;

fn feels(service: &Service) -> Option<String> {
    let asked = Talk::default().prompt(&service.session);
    let words = format!("{asked:?}").to_lowercase();
    ["feel", "hand on"].iter().any(|word| words.contains(word)).then_some(words)
}

#[test]
fn no_question_about_cam_lobes_sends_a_hand_to_them() {
    // Several cylinders to gauge at one stop are asked about in other words than one.
    let mut several = radial_table(Some(usual_timing()));
    several.adjuster = vee_twin().adjuster;
    for facts in [vee_twin(), several] {
        let mut service = Service::new(facts);
        service.on_to_turn();
        assert_eq!(feels(&service), None);
        service.tell(Input::Loose(0));
        assert_eq!(feels(&service), None, "the wrong stroke");
        let (mut met, mut fewer) = (0, false);
        for _ in 0..60 {
            let due = service.due();
            if let Due::Rock { .. } = due {
                met += 1;
                assert_eq!(feels(&service), None, "rocked");
            }
            let input = match due {
                Due::Closed => break,
                // Fewer than expected is asked about in words of its own.
                Due::Turn { .. } if !fewer => {
                    fewer = true;
                    Input::Loose(1)
                }
                _ => mechanic::calm(&service.session, &due),
            };
            service.tell(input);
        }
        assert!(met > 0);
    }
}
