//! A service as the shell would drive it: entries get their place and moment, and after every input
//! the journal must replay to the live session.

use super::engines::{flat_four, intake};
use super::mechanic;
use super::watch::Watch;
use crate::plans::engines::checked;
use cowlside::domain::entry::{
    Begin, Head, Hours, Kept, LeftOpen, Moment, ProfileText, Rounds, Sign,
};
use cowlside::domain::profile::Facts;
use cowlside::domain::session::{Due, Input, OpenItem, Refusal, Session};
use cowlside::domain::units::Temperature;
use cowlside::domain::valve::{Cylinder, Valve};
use cowlside::domain::verdict::Verdict;

/// Longest service that is walked before it is called a loop.
pub const STEPS_MAX: usize = 1500;

#[derive(Clone)]
pub struct Service {
    pub session: Session,
    pub watch: Watch,
    /// After how many inputs the journal is replayed: 1, but for the calm end of a random walk.
    pub replay_each: u64,
    spare: Option<Session>,
    now_ms: i64,
}

pub fn profile_text(facts: Facts) -> ProfileText {
    ProfileText { profile: checked(facts), text: String::new(), name: "test".into() }
}

impl Service {
    /// A journal with its head and the engine it is about.
    pub fn new(facts: Facts) -> Service {
        Service::after(facts, Vec::new())
    }

    /// The same, where an earlier session left something open.
    pub fn after(facts: Facts, left_open: Vec<LeftOpen>) -> Service {
        let head =
            Head { session: "a".repeat(26), program: "test".into(), profile: profile_text(facts) };
        let session = Session::new(head);
        let watch = Watch::new();
        let spare = Some(session.clone());
        let mut service = Service { session, spare, watch, replay_each: 1, now_ms: 1_000_000 };
        let head = service.session.head.clone();
        service.keep(cowlside::domain::entry::Entry::Head(head));
        let begin = Begin {
            engine_id: Some("engine".into()),
            engine: Some("G-TEST".into()),
            hours: Some(Hours(41_260)),
            left_open,
            ..Begin::default()
        };
        service.keep(cowlside::domain::entry::Entry::Begin(begin));
        service
    }

    /// A flat four whose leak test is due: the intake of cylinder 1 is very tight.
    pub fn very_tight() -> Service {
        let mut service = Service::new(flat_four());
        service.prepare(Rounds::SetThenRecheck, None);
        service.on_to_gauge(intake(1)).gauge("0");
        service.calmly_while(|_, due| !matches!(due, Due::LeakTest(1, _)));
        service
    }

    /// An engine with shims that are changed, of which this valve reads so, with these cams out.
    pub fn cams_out(facts: Facts, bank: &str, (valve, typed): (Valve, &str)) -> Service {
        let mut service = Service::new(facts);
        service.calmly_while(|_, due| *due != Due::Scope);
        let begin = Begin { rounds: Some(Rounds::SurveyOnly), change: true, ..Begin::default() };
        service.tell(Input::Begin(Box::new(begin))).on_to_turn().on_to_gauge(valve);
        service.tell(Input::Gauge { typed: typed.into(), sure: true });
        service.calmly_while(|_, due| *due != Due::PartsList);
        service.tell(Input::CamsOut { bank: Some(bank.into()) });
        service
    }

    /// An engine that is to be cold, gauged at 60 °C all the same for this reason, up to its scope.
    pub fn warm(facts: Facts, why: &str) -> Service {
        let mut facts = facts;
        facts.gauge_when.no_warmer_than = Some(Temperature::parse("35 °C").unwrap());
        let mut service = Service::new(facts);
        service.calmly_while(|_, due| *due != Due::Temperature);
        service.tell(Input::Temperature { head: "60".into(), air: String::new() });
        service.tell(Input::AgainstLimit { why: why.into() });
        service.calmly_while(|_, due| *due != Due::Scope);
        service
    }

    /// Types the figures of the page: target, least and most of the intake, then of the exhaust.
    pub fn page(&mut self, figures: [&str; 6]) -> &mut Service {
        self.calmly_while(|_, due| !matches!(due, Due::PageFigure(..)));
        for typed in figures {
            self.tell(Input::PageFigure(typed.into()));
        }
        self
    }

    pub fn keep(&mut self, entry: cowlside::domain::entry::Entry) {
        let seq = self.session.kept.len() as u64;
        self.now_ms += 1000;
        let at = Moment { unix_ms: self.now_ms, offset_min: 60 };
        // `keep` takes the session by value; meanwhile another one lies in its place.
        if let Some(spare) = self.spare.take() {
            let live = std::mem::replace(&mut self.session, spare);
            let live = live.keep(Kept { seq, at, entry });
            self.spare = Some(std::mem::replace(&mut self.session, live));
        }
    }

    /// Gives an input; everything that must never be is checked after it. (`decide` borrows the
    /// session, so a refusal cannot have changed it.)
    pub fn give(&mut self, input: &Input) -> Result<(), Refusal> {
        let answer = self.session.decide(input);
        let before = answer.is_ok().then(|| self.session.clone());
        if let (Ok(entries), Some(before)) = (&answer, &before) {
            assert!(!entries.is_empty(), "{input:?} was taken and wrote nothing");
            for entry in entries.clone() {
                self.keep(entry);
            }
            assert_eq!(self.session.kept[..before.kept.len()], before.kept[..], "history changed");
            if self.watch.taken.is_multiple_of(self.replay_each) {
                let again = Session::replay(&self.session.kept).unwrap();
                assert!(again == self.session, "replay differs from the live session");
            }
        }
        let before = before.as_ref().unwrap_or(&self.session);
        if let Err(wrong) = self.watch.check(before, input, &answer, &self.session) {
            panic!("{wrong}\nafter {input:?}\ndue {:?}\n{:#?}", self.due(), self.trace());
        }
        answer.map(|_| ())
    }

    /// Gives an input that must be taken.
    #[track_caller]
    pub fn tell(&mut self, input: Input) -> &mut Service {
        if let Err(refusal) = self.give(&input) {
            panic!("{input:?} refused: {}\ndue {:?}", refusal.words(), self.due());
        }
        self
    }

    /// Gives an input that must be refused.
    #[track_caller]
    pub fn refused(&mut self, input: Input) -> Refusal {
        self.give(&input).expect_err("this must be refused")
    }

    pub fn due(&self) -> Due {
        self.session.state.due()
    }

    fn trace(&self) -> Vec<String> {
        self.session
            .kept
            .iter()
            .skip(1)
            .map(|kept| format!("{} {:?}", kept.seq, kept.entry))
            .collect()
    }

    pub fn open(&self) -> Vec<OpenItem> {
        self.session.state.open_items()
    }

    /// Answers what is due as it should be, until something else than that is due.
    #[track_caller]
    pub fn calmly_while(&mut self, on: impl Fn(&Service, &Due) -> bool) -> &mut Service {
        for _ in 0..STEPS_MAX {
            let due = self.due();
            if due == Due::Closed || !on(self, &due) {
                return self;
            }
            let input = mechanic::calm(&self.session, &due);
            self.tell(input);
        }
        panic!("no end of it: {:?} is due", self.due());
    }

    /// Prepares with these rounds and this scope, up to the first turn.
    #[track_caller]
    pub fn prepare(&mut self, rounds: Rounds, scope: Option<Vec<Cylinder>>) -> &mut Service {
        self.calmly_while(|_, due| *due != Due::Scope);
        self.tell(Input::Begin(Box::new(Begin {
            rounds: Some(rounds),
            scope,
            ..Begin::default()
        })));
        self.on_to_turn()
    }

    /// Goes on calmly until a turn is due.
    #[track_caller]
    pub fn on_to_turn(&mut self) -> &mut Service {
        self.calmly_while(|_, due| !matches!(due, Due::Turn { .. }))
    }

    /// Goes on calmly until this valve is to be gauged.
    #[track_caller]
    pub fn on_to_gauge(&mut self, valve: Valve) -> &mut Service {
        self.calmly_while(|_, due| !matches!(due, Due::Gauge(one, _) if *one == valve))
    }

    /// Goes on calmly to the end of the round under way.
    #[track_caller]
    pub fn on_to_round(&mut self, round: usize) -> &mut Service {
        self.calmly_while(|service, _| service.session.state.round() < Some(round))
    }

    #[track_caller]
    pub fn on_to_sign(&mut self) -> &mut Service {
        self.calmly_while(|_, due| *due != Due::Sign)
    }

    #[track_caller]
    pub fn sign(&mut self) -> &mut Service {
        self.on_to_sign()
            .tell(Input::Sign(Box::new(Sign { signer: "Signer".into(), ..Sign::default() }), None));
        assert_eq!(self.session.state.sealed, Some(true));
        self
    }

    #[track_caller]
    pub fn gauge(&mut self, typed: &str) -> &mut Service {
        self.tell(Input::Gauge { typed: typed.into(), sure: false })
    }

    pub fn left(&self, valve: Valve) -> Option<&str> {
        self.session.state.left(valve).map(|taken| taken.reading.typed.as_str())
    }

    pub fn found(&self, valve: Valve) -> Option<&str> {
        self.session.state.found(valve).map(|taken| taken.reading.typed.as_str())
    }

    pub fn verdict(&self, valve: Valve) -> Option<Verdict> {
        self.session.state.verdict_left(valve)
    }

    /// Seq of the last reading kept.
    pub fn last_reading(&self) -> u64 {
        self.session.state.readings.last().unwrap().seq
    }
}

pub fn why() -> String {
    "because".into()
}
