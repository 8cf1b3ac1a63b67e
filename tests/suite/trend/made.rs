//! Services made of figures alone, for the tests of history: nothing of how they were gauged.

use crate::services::{MORNING, Service as Walk, flat_four, later};
use cowlside::domain::entry::{Hours, LeafSet};
use cowlside::domain::profile::{Facts, Figures};
use cowlside::domain::reading::parse;
use cowlside::domain::service::{Ending, Gauged, Service};
use cowlside::domain::trend::History;
use cowlside::domain::units::{Length, LengthUnit};
use cowlside::domain::valve::{Cylinder, Kind, Valve};
use std::sync::OnceLock;

/// A service that is being made.
#[derive(Clone)]
pub struct Made {
    pub service: Service,
}

/// A flat four in millimetres: all valves 0.20 to 0.40 mm, target 0.30.
pub fn mm_engine() -> Facts {
    let mut facts = flat_four();
    facts.unit = LengthUnit::Mm;
    let um = Length::from_um;
    let figures = Figures {
        target: um(300),
        least: um(200),
        most: um(400),
        set_least: um(200),
        set_most: um(400),
    };
    (facts.intake.cold, facts.exhaust.cold) = (Some(figures), Some(figures));
    facts
}

fn blank() -> &'static Service {
    static BLANK: OnceLock<Service> = OnceLock::new();
    BLANK.get_or_init(|| {
        let mut service = Service::of(&Walk::begun(mm_engine(), "blank", MORNING, 0).session);
        service.ending = Ending::Signed;
        service
    })
}

/// Reads a figure in hundredths of a millimetre; none where it is empty.
pub fn gauged(typed: &str, leaves: &LeafSet) -> Option<Gauged> {
    let meaning = parse(typed, leaves).ok().filter(|_| !typed.is_empty())?;
    Some(Gauged { typed: typed.into(), unit: meaning.unit, interval: meaning.interval() })
}

impl Made {
    /// A service at whole hours, on a day of its own.
    pub fn at(hours: i64) -> Made {
        Made::at_hundredths(100 * hours)
    }

    pub fn at_hundredths(hundredths: i64) -> Made {
        let hours = Some(Hours(hundredths));
        let name = format!("at {hundredths}");
        let began = Some(later(MORNING, hundredths / 1000));
        Made { service: Service { hours, name, began, ..blank().clone() } }
    }

    /// Gauges a valve: as found, as left; touched where they differ.
    pub fn read(mut self, valve: Valve, found: &str, left: &str) -> Made {
        let set = LeafSet::new("", LengthUnit::Mm, Vec::new());
        let outcome = self.service.valves.iter_mut().find(|one| one.valve == valve);
        if let Some(outcome) = outcome {
            (outcome.found, outcome.left) = (gauged(found, &set), gauged(left, &set));
            outcome.touched = found != left;
        }
        self
    }

    pub fn touched(mut self, valve: Valve) -> Made {
        for outcome in self.service.valves.iter_mut().filter(|one| one.valve == valve) {
            outcome.touched = true;
        }
        self
    }

    pub fn again(mut self, valve: Valve, apart: &[i64]) -> Made {
        for outcome in self.service.valves.iter_mut().filter(|one| one.valve == valve) {
            outcome.repeats = apart.iter().copied().map(Length::from_nm).collect();
        }
        self
    }

    pub fn hot(mut self) -> Made {
        self.service.conditions.hot = true;
        self
    }

    /// Gauged outside the temperature limit, with a reason.
    pub fn warm(mut self) -> Made {
        self.service.conditions.against_limit = Some("ferry flight waits".into());
        self
    }

    pub fn worked(mut self, cylinder: Cylinder, what: &str) -> Made {
        self.service.work.push((cylinder, what.into()));
        self
    }

    pub fn scope(mut self, cylinders: &[Cylinder]) -> Made {
        for outcome in &mut self.service.valves {
            outcome.in_scope = cylinders.contains(&outcome.valve.cylinder);
        }
        self
    }

    pub fn open(mut self) -> Made {
        self.service.ending = Ending::Open;
        self
    }

    pub fn unit(mut self, unit: LengthUnit) -> Made {
        self.service.unit = unit;
        self
    }
}

/// The past of an engine made of these services.
pub fn history(made: &[Made]) -> History {
    let services: Vec<Service> = made.iter().map(|made| made.service.clone()).collect();
    History::of(&services, Hours(0)).unwrap_or_else(|| unreachable!("nothing was gauged"))
}

pub const EXHAUST_1: Valve = Valve { cylinder: 1, kind: Kind::Exhaust, number: 1 };
