//! Which of an engine's services are set side by side: the two that are named, else the last two.

use super::Service;
use std::fmt;

/// Shortest beginning of a session's name or id that names it (contract 5), characters.
const BEGINNING_MIN: usize = 4;

/// Why there are no two services to set side by side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoPair {
    /// No session of the engine has a reading.
    NothingGauged,
    /// No other session stands beside this one.
    OnlyOne(String),
    /// No session is called so.
    NoSuch(String),
    /// Several sessions are meant by this: their names.
    Several(String, Vec<String>),
    /// The session named has no reading.
    Empty(String),
    /// The same session was named twice.
    Same(String),
}

impl fmt::Display for NoPair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoPair::NothingGauged => f.write_str("no session of this engine has a reading"),
            NoPair::OnlyOne(name) => {
                write!(f, "there is nothing to compare `{name}` with yet")
            }
            NoPair::NoSuch(named) => write!(f, "no session of this engine is called `{named}`"),
            NoPair::Several(named, names) => {
                write!(f, "`{named}` can be any of: {}", names.join(", "))
            }
            NoPair::Empty(name) => write!(f, "session `{name}` has no reading"),
            NoPair::Same(name) => write!(f, "session `{name}` was named twice"),
        }
    }
}

impl std::error::Error for NoPair {}

impl NoPair {
    /// Says what to do about it: one sentence that begins with a verb.
    pub fn hint(&self) -> &'static str {
        match self {
            NoPair::NothingGauged => "Gauge the valves in a session first.",
            NoPair::OnlyOne(_) => "Compare again after the next service.",
            NoPair::NoSuch(_) | NoPair::Several(..) => {
                "Give the session's name, its id, or a longer beginning of either."
            }
            NoPair::Empty(_) => "Name a session in which valves were gauged.",
            NoPair::Same(_) => "Name two different sessions.",
        }
    }
}

/// Finds the service meant by a name, an id, or an unambiguous beginning of either.
///
/// # Errors
/// Says that there is none, or names those that could be meant.
pub fn find<'a>(services: &'a [Service], named: &str) -> Result<&'a Service, NoPair> {
    let exact = services.iter().find(|one| one.session == named || one.name == named);
    if let Some(service) = exact {
        return Ok(service);
    }
    let long_enough = named.chars().count() >= BEGINNING_MIN;
    let begins = |one: &&Service| one.session.starts_with(named) || one.name.starts_with(named);
    let meant: Vec<&Service> = services.iter().filter(begins).filter(|_| long_enough).collect();
    match meant[..] {
        [] => Err(NoPair::NoSuch(named.into())),
        [service] => Ok(service),
        _ => {
            let names = meant.iter().map(|one| one.called().to_string()).collect();
            Err(NoPair::Several(named.into(), names))
        }
    }
}

/// Chooses the two services to compare, the older one first: the two named, in whichever order;
/// else the last two that have readings, of which the newer may be unfinished. With one named, the
/// other is the one before it (`newer`) or the last one (`older`).
///
/// # Errors
/// Says why there are no two.
pub fn choose<'a>(
    services: &'a [Service],
    older: Option<&str>,
    newer: Option<&str>,
) -> Result<(&'a Service, &'a Service), NoPair> {
    let mut gauged: Vec<&Service> = services.iter().filter(|one| one.has_readings()).collect();
    gauged.sort_by_key(|one| one.place());
    let named = |name: Option<&str>| {
        let service = name.map(|name| find(services, name)).transpose()?;
        match service {
            Some(service) if !service.has_readings() => Err(NoPair::Empty(service.called().into())),
            Some(_) | None => Ok(service),
        }
    };
    let (one, other) = match (named(older)?, named(newer)?) {
        (Some(one), Some(other)) => (one, other),
        (Some(older), None) => match gauged.last() {
            Some(last) if last.session != older.session => (older, *last),
            Some(_) | None => return Err(NoPair::OnlyOne(older.called().into())),
        },
        (None, newer) => match (before(&gauged, newer), newer.or(gauged.last().copied())) {
            (Some(older), Some(newer)) => (older, newer),
            (None, Some(newer)) => return Err(NoPair::OnlyOne(newer.called().into())),
            (_, None) => return Err(NoPair::NothingGauged),
        },
    };
    if one.session == other.session {
        return Err(NoPair::Same(one.called().into()));
    }
    Ok(if one.place() <= other.place() { (one, other) } else { (other, one) })
}

/// Puts two services that were named in order, the older one first.
///
/// # Errors
/// One of them has no reading.
pub fn in_order<'a>(
    one: &'a Service,
    other: &'a Service,
) -> Result<(&'a Service, &'a Service), NoPair> {
    match [one, other].into_iter().find(|service| !service.has_readings()) {
        Some(empty) => Err(NoPair::Empty(empty.called().into())),
        None => Ok(if one.place() <= other.place() { (one, other) } else { (other, one) }),
    }
}

/// Returns the last service that has readings.
pub fn choose_last(services: &[Service]) -> Option<&Service> {
    services.iter().filter(|one| one.has_readings()).max_by_key(|one| one.place())
}

/// Returns the service before this one, or before the last one.
fn before<'a>(ordered: &[&'a Service], newer: Option<&Service>) -> Option<&'a Service> {
    let place = match newer {
        Some(newer) => ordered.iter().position(|one| one.session == newer.session)?,
        None => ordered.len().checked_sub(1)?,
    };
    ordered.get(place.checked_sub(1)?).copied()
}
