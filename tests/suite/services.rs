//! Sessions for the tests of record and comparison: a mechanic who answers whatever is asked, with
//! the readings given to him, and a watch that runs half a minute an entry.

#![expect(clippy::unwrap_used, clippy::panic, reason = "test code: a broken walk must stop")]

use cowlside::domain::entry::{
    Begin, Entry, Head, Hours, Kept, LeafSet, Moment, ProfileText, Rocked, Rounds, Sign, Step,
};
use cowlside::domain::leaves;
use cowlside::domain::profile::{
    Adjuster, Bank, Covers, End, EngineProfile, Facts, Figures, GaugeWhen, Hardware, Layout,
    Rotation, Screw, Shape, Side, Source, Timing, ValveSpec,
};
use cowlside::domain::session::{Due, Input, Session};
use cowlside::domain::units::{Length, LengthUnit, Temperature, Torque};
use cowlside::domain::valve::{Cylinder, Kind, Valve};

/// 2026-03-14 09:00 at an offset of one hour.
pub const MORNING: Moment = Moment { unix_ms: 1_773_475_200_000, offset_min: 60 };

/// Makes a flat four with screws; its figures are invented, in inches.
pub fn flat_four() -> Facts {
    let bank = |name: &str, side, cylinders: [Cylinder; 2]| Bank {
        name: name.into(),
        cylinders: cylinders.to_vec(),
        side: Some(side),
        valves_along: None,
        labels: vec![],
        first_at: 0.0,
    };
    Facts {
        name: "Flat four, screw adjusters".into(),
        source: Source {
            document: "Example figures, not from any manual".into(),
            ..Source::default()
        },
        firing_order: vec![1, 3, 2, 4],
        firing_intervals: vec![180.0; 4],
        layout: Layout {
            shape: Shape::Opposed,
            listed_from: End::Propeller,
            banks: vec![bank("right", Side::Right, [1, 3]), bank("left", Side::Left, [2, 4])],
            angle: None,
            cam_ring: None,
        },
        rotation: Some(propeller()),
        intake: spec([40, 60, 80], [50, 70]),
        exhaust: spec([80, 100, 120], [90, 110]),
        timing: Some(Timing {
            intake_opens_btdc: 20.0,
            intake_closes_abdc: 60.0,
            exhaust_opens_bbdc: 60.0,
            exhaust_closes_atdc: 20.0,
            ramp: 5.0,
        }),
        adjuster: Adjuster::Screw(Screw {
            pitch_mm: Some(1.0),
            at_valve_end: true,
            rocker_ratio: 1.0,
            lock_nut: Some("9/16 in".into()),
            lock_nut_torque: Torque::parse("175 lbf·in").ok(),
            screw_drive: Some("slot".into()),
            threads_showing: Some((2, 5)),
        }),
        gauge_when: GaugeWhen {
            hot: false,
            no_warmer_than: Some(Temperature(35_000)),
            no_cooler_than: None,
        },
        leaves: vec![],
        covers: Covers {
            count: 4,
            hardware: vec![
                Hardware { item: "cover screw".into(), each: 6 },
                Hardware { item: "gasket".into(), each: 1 },
            ],
            torque: Torque::parse("50 lbf·in").ok(),
            order: Some("snug all in turn, then torque across".into()),
        },
        interval_hours: Some(50.0),
        interval_months: Some(12),
        first_interval_hours: None,
        cautions: vec!["Baffles: off and out of the way?".into()],
        stops: None,
        overlap_looks_like: None,
        unit: LengthUnit::Inch,
    }
}

fn propeller() -> Rotation {
    Rotation {
        turn_by: "propeller".into(),
        clockwise: Some(true),
        seen_from: End::Rear,
        backwards_allowed: false,
        propeller_at: End::Front,
        blades: Some(2),
    }
}

fn spec([least, target, most]: [i64; 3], [set_least, set_most]: [i64; 2]) -> ValveSpec {
    let length = Length::from_tenths_thou;
    ValveSpec {
        per_cylinder: 1,
        cold: Some(Figures {
            target: length(target),
            least: length(least),
            most: length(most),
            set_least: length(set_least),
            set_most: length(set_most),
        }),
        hot: None,
        position: vec![],
        leaves_at_once: 1,
    }
}

pub fn valve(cylinder: Cylinder, kind: Kind) -> Valve {
    Valve::new(cylinder, kind)
}

/// A session under way, with its watch.
pub struct Service {
    pub session: Session,
    pub now: Moment,
    /// The leaf set in hand.
    pub set: LeafSet,
    /// Temperature of the head, as typed.
    pub head: &'static str,
    /// What the feeler shows of a valve, by step; else what is on target.
    pub readings: Vec<(Valve, Step, &'static str)>,
    /// What is typed where a valve is set.
    pub tries: Vec<(Valve, &'static str)>,
    /// Valves left as they are, with the reason.
    pub leave: Vec<(Valve, &'static str)>,
    /// Whether the manual is at hand, or the figures are examples.
    pub practice: bool,
}

impl Service {
    /// Begins a service of the engine with a name, at a time and at hundredths of running hours.
    pub fn begun(facts: Facts, name: &str, now: Moment, hours: i64) -> Service {
        let profile = EngineProfile::new(facts).unwrap();
        let text = ProfileText { profile, text: "{}".into(), name: "flat-four".into() };
        let mut id = format!("{name}aaaaaaaaaaaaaaaaaaaaaaaaaa").replace(' ', "").to_lowercase();
        id.truncate(26);
        let head = Head { session: id, program: "0.1.0".into(), profile: text };
        let mut service = Service {
            session: Session::new(head.clone()),
            now,
            set: leaves::usual().swap_remove(0),
            head: "68 °F",
            readings: vec![],
            tries: vec![],
            leave: vec![],
            practice: false,
        };
        service.keep(Entry::Head(head));
        service.input(Input::Begin(Box::new(Begin {
            name: Some(name.into()),
            engine_id: Some("engineaaaaaaaaaaaaaaaaaaaa".into()),
            engine: Some("Trainer two".into()),
            serial: Some("F4-0117".into()),
            hours: Some(Hours(hours)),
            total_time: Some(Hours(103_420)),
            ..Begin::default()
        })));
        service
    }

    /// Writes an entry down, half a minute after the last one.
    pub fn keep(&mut self, entry: Entry) -> u64 {
        let seq = u64::try_from(self.session.kept.len()).unwrap();
        let session = self.session.clone();
        self.session = session.keep(Kept { seq, at: self.now, entry });
        self.now.unix_ms += 30_000;
        seq
    }

    /// Does one thing; it must not be refused.
    pub fn input(&mut self, input: Input) {
        let entries = match self.session.decide(&input) {
            Ok(entries) => entries,
            Err(refusal) => panic!("{input:?}: {} ({:?})", refusal.words(), self.due()),
        };
        for entry in entries {
            self.keep(entry);
        }
    }

    pub fn due(&self) -> Due {
        self.session.state.due()
    }

    /// Answers what is asked until `stop` says so; gives up where nothing moves on.
    pub fn until(&mut self, stop: impl Fn(&Due) -> bool) {
        for _ in 0..600 {
            let due = self.due();
            if stop(&due) {
                return;
            }
            let input = self.answer(&due);
            self.input(input);
        }
        panic!("no end: {:?}", self.due());
    }

    /// Carries the service on to the signature.
    pub fn finish(&mut self) {
        self.until(|due| *due == Due::Sign);
    }

    /// Signs and closes.
    pub fn sign(&mut self, sign: Sign) {
        self.finish();
        self.input(Input::Sign(Box::new(sign), None));
    }

    /// What a mechanic does when this is asked, and all goes well.
    fn answer(&self, due: &Due) -> Input {
        match due {
            Due::Who => Input::Who("A. Fitter".into()),
            Due::SourceName(_) if self.practice => {
                Input::NameSource { source: Source::default(), practice: true }
            }
            Due::SourceName(_) => Input::NameSource {
                source: Source {
                    document: "Overhaul manual of the test".into(),
                    revision: "3".into(),
                    page: "12-4".into(),
                },
                practice: false,
            },
            Due::PageFigure(kind, figure) => {
                use cowlside::domain::entry::Figure;
                let Figures { target, least, most, .. } = self.session.state.facts().figures(*kind);
                let length = match figure {
                    Figure::Target => target,
                    Figure::Least => least,
                    Figure::Most => most,
                };
                Input::PageFigure(length.text(self.session.state.facts().unit))
            }
            Due::Caution(line, _) | Due::RunCaution(line) | Due::RunCheck(line) => {
                Input::Answer(line.states.iter().find(|state| state.good).unwrap().digit)
            }
            Due::Check(line) => {
                Input::Answer(line.states.iter().find(|state| state.good).unwrap().digit)
            }
            Due::Temperature => Input::Temperature { head: self.head.into(), air: "64 °F".into() },
            Due::OutsideTemperature => Input::AgainstLimit { why: "ferry flight waits".into() },
            Due::Leaves => Input::Leaves(self.set.clone()),
            Due::Scope => Input::Begin(Box::new(Begin {
                rounds: Some(Rounds::SetThenRecheck),
                ..Begin::default()
            })),
            Due::CountOut(_, items) => {
                Input::CountOut(items.iter().map(|(_, count)| *count).collect())
            }
            Due::Turn { stop, .. } => Input::Loose(self.session.state.to_gauge(*stop)),
            Due::Rock { .. } => Input::Rock(Rocked::Steady),
            Due::Gauge(valve, step) => self.gauge(*valve, *step),
            Due::LeakTest(..) => Input::LeakTest { typed: "74/80".into(), why_not: "".into() },
            Due::Set(valve, _) | Due::ReasonFor(valve, _) => {
                match self.leave.iter().find(|(left, _)| left == valve) {
                    Some((_, why)) => Input::LeaveAsIs { valve: *valve, why: (*why).into() },
                    None => Input::OpenSet(*valve),
                }
            }
            Due::Trying(valve) => {
                let tries = self.tries.iter().find(|(tried, _)| tried == valve);
                Input::Tried {
                    typed: tries.map_or(self.target(*valve), |(_, typed)| (*typed).into()),
                    sure: true,
                }
            }
            Due::NutAnswer(..) => Input::NutLocked,
            Due::Threads(..) => Input::Threads(3),
            Due::CountIn { out, .. } => Input::CountIn(*out),
            other => panic!("the mechanic of the tests does not know: {other:?}"),
        }
    }

    fn gauge(&self, valve: Valve, step: Step) -> Input {
        let of = |wanted: Step| {
            self.readings.iter().find(|(read, at, _)| *read == valve && *at == wanted)
        };
        // Gauged again, a valve reads what it was set to, or what it read when it was left alone.
        let tried = self.tries.iter().find(|(tried, _)| *tried == valve);
        let tried = tried.map(|(_, typed)| typed.split(' ').next_back().unwrap());
        let again = tried.filter(|_| step == Step::Recheck);
        let untouched = || of(Step::Found).filter(|_| !self.session.state.touched.contains(&valve));
        let typed = of(step).map(|(.., typed)| *typed).or(again);
        let typed = typed.or_else(|| untouched().map(|(.., typed)| *typed));
        Input::Gauge { typed: typed.map_or_else(|| self.target(valve), String::from), sure: true }
    }

    /// The target, as its leaf is etched.
    fn target(&self, valve: Valve) -> String {
        let target = self.session.state.figures(valve.kind).target;
        leaves::named(&self.set, target)
    }
}

/// The signature of the tests.
pub fn signature() -> Sign {
    Sign {
        signer: "B. Signer".into(),
        certificate_kind: "mechanic, powerplant".into(),
        certificate_number: "0000123".into(),
        statement: "Valve clearances inspected and set as recorded above.".into(),
        owner_sentence: String::new(),
        next_check: None,
    }
}

/// The same time of day, so many days later.
pub fn later(moment: Moment, days: i64) -> Moment {
    Moment { unix_ms: moment.unix_ms + days * 86_400_000, ..moment }
}
