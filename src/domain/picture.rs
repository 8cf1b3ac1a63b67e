//! The numbers of a picture of one stop: the crank as a dial, and the lifts of the watched valves.
//!
//! The dial is one turn, because the crank looks the same in each; which of the two turns of the
//! cycle is meant is a number beside it. Its top is where the first cylinder of the firing order
//! stands at top dead centre, and it is seen from the end from which the profile tells the running
//! direction. Of a valve's lift only the two ends are known, by the timing with its ramps; the shape
//! between them is a half-sine and no more than drawn. What is drawn with is the screens' business.

use super::crank::{self, CYCLE, Opening, TURN};
use super::plan::Stop;
use super::profile::{Facts, Sign};
use super::session::{Again, Crank, Due, Proven, State};
use super::valve::{Cylinder, Kind};

/// A picture of one stop.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// The crank.
    pub dial: Dial,
    /// The valves of the watched cylinder.
    pub lifts: Lifts,
}

/// The crank over one turn.
#[derive(Clone, Debug, PartialEq)]
pub struct Dial {
    /// Crank angle of the stop, degrees 0..720.
    pub stop: f64,
    /// How far short of the stop and past it will do, degrees; `None` where nothing is offered.
    pub will_do: Option<(f64, f64)>,
    /// Where the crank stands.
    pub crank: Stands,
    /// Degrees from there on to the stop, up to 720; `None` where it is not known.
    pub turn: Option<f64>,
    /// True where it runs clockwise as seen; `None` where that is not known: drawn clockwise.
    pub clockwise: Option<bool>,
}

/// Where the crank stands, as far as the entries tell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stands {
    /// Nobody knows.
    Unknown,
    /// It was left or seen at this crank angle, degrees 0..720, and that is not proven, or not since
    /// a break.
    NotProven(f64),
    /// It was proven at this crank angle, degrees 0..720.
    Proven(f64),
}

impl Stands {
    /// Returns the crank angle, degrees 0..720, where it is known.
    pub fn angle(self) -> Option<f64> {
        match self {
            Stands::Unknown => None,
            Stands::NotProven(angle) | Stands::Proven(angle) => Some(angle),
        }
    }
}

impl Dial {
    /// Returns where a crank angle lies on the dial as drawn: degrees 0..360 clockwise from the top.
    pub fn place(&self, crank: f64) -> f64 {
        let along = crank.rem_euclid(TURN);
        if self.clockwise == Some(false) { (TURN - along).rem_euclid(TURN) } else { along }
    }

    /// Returns what will do as drawn: where it begins, degrees clockwise from the top, and how far it
    /// reaches clockwise, degrees up to a whole turn.
    pub fn arc(&self) -> Option<(f64, f64)> {
        let (short, past) = self.will_do?;
        let first =
            if self.clockwise == Some(false) { self.stop + past } else { self.stop - short };
        Some((self.place(first), (short + past).min(TURN)))
    }
}

/// Returns in which turn of the cycle a crank angle lies: 1 from the first cylinder's firing, then 2.
pub fn cycle_turn(crank: f64) -> u8 {
    if crank::normal(crank) < TURN { 1 } else { 2 }
}

/// The lifts of the watched cylinder's valves around its sign.
#[derive(Clone, Debug, PartialEq)]
pub struct Lifts {
    /// The watched cylinder.
    pub watch: Cylinder,
    /// What is seen on it.
    pub sign: Sign,
    /// Its phase then, degrees 0..720.
    pub sign_at: f64,
    /// Turned on from there to the stop, degrees.
    pub then_turn: u16,
    /// When its intake is open.
    pub intake: Opening,
    /// When its exhaust is open.
    pub exhaust: Opening,
    /// Its phase where the crank stands, degrees 0..720, where that is known.
    pub now: Option<f64>,
    /// True where the profile gives no timing.
    pub assumed: bool,
}

impl Lifts {
    /// Degrees shown before and after the sign.
    pub const EACH_SIDE: f64 = 180.0;

    /// Returns the opening of a kind of valve.
    pub fn opening(&self, kind: Kind) -> Opening {
        match kind {
            Kind::Intake => self.intake,
            Kind::Exhaust => self.exhaust,
        }
    }

    /// Returns the phase at a share (0..1) of what is shown, degrees, perhaps beyond 0..720.
    pub fn phase_at(&self, share: f64) -> f64 {
        self.sign_at + Lifts::EACH_SIDE * (2.0 * share - 1.0)
    }

    /// Returns the share (0..1) of what is shown at which a phase lies; `None` where it is not shown.
    pub fn share_of(&self, phase: f64) -> Option<f64> {
        let share = crank::forward(self.phase_at(0.0), phase) / (2.0 * Lifts::EACH_SIDE);
        (share <= 1.0).then_some(share)
    }

    /// Returns the lift of a kind of valve at a phase, as drawn: 0 shut, 1 wide open.
    pub fn lift(&self, kind: Kind, phase: f64) -> f64 {
        let opening = self.opening(kind);
        let open_for = (phase - opening.opens).rem_euclid(CYCLE);
        if open_for >= opening.duration() {
            return 0.0;
        }
        libm::sin(std::f64::consts::PI * open_for / opening.duration())
    }

    /// Returns how long both are open around the sign; negative: how long both are shut.
    pub fn both_open(&self) -> f64 {
        self.exhaust.closes - self.intake.opens
    }
}

impl Picture {
    /// Makes the picture of a stop; `None` where the facts do not tell its angle.
    pub fn new(facts: &Facts, stop: &Stop, crank: Stands) -> Option<Picture> {
        let place = stop.crank?;
        let timing = crank::timing(facts);
        let phase = |angle| crank::phase(facts, stop.watch, angle);
        Some(Picture {
            dial: Dial {
                stop: place,
                will_do: stop.short_by.zip(stop.past_by),
                crank,
                turn: stop.turn_from(crank.angle()),
                clockwise: facts.rotation.as_ref().and_then(|rotation| rotation.clockwise),
            },
            lifts: Lifts {
                watch: stop.watch,
                sign: stop.sign,
                sign_at: phase(place - f64::from(stop.then_turn)),
                then_turn: stop.then_turn,
                intake: Opening::of(&timing, Kind::Intake),
                exhaust: Opening::of(&timing, Kind::Exhaust),
                now: crank.angle().map(phase),
                assumed: facts.timing.is_none(),
            },
        })
    }

    /// Makes the picture that belongs to the question which is due: to find a stop, or to rock there.
    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "of all that can be due, two turn the crank"
    )]
    pub fn due(state: &State) -> Option<Picture> {
        let (index, there) = match state.due() {
            Due::Turn { stop, there, .. } => (stop, there),
            Due::Rock { stop, .. } => (stop, true),
            _ => return None,
        };
        let stop = state.stops().get(index)?;
        let mut picture = Picture::new(state.facts(), stop, stands(state))?;
        // Nothing but this stop is left of a new round: all the way round once more.
        if !there && picture.dial.turn.is_some_and(|turn| turn < 0.5) {
            picture.dial.turn = Some(CYCLE);
        }
        Some(picture)
    }
}

/// Tells where the crank stands: after the wrong stroke one turn from where it was thought to be,
/// and after a rocker that moved nowhere that is known.
fn stands(state: &State) -> Stands {
    let Some(angle) = state.crank_angle() else { return Stands::Unknown };
    match (state.again, state.crank) {
        (Some(Again::Moved), _) | (_, Crank::Unknown) => Stands::Unknown,
        (Some(Again::WrongStroke), _) => Stands::NotProven(crank::normal(angle + TURN)),
        (None, Crank::At { proof: Proven::Yes, .. }) => Stands::Proven(angle),
        (None, Crank::At { proof: Proven::No | Proven::RockNext { .. }, .. })
        | (None, Crank::Seen(_) | Crank::Elsewhere(_)) => Stands::NotProven(angle),
    }
}
