//! The shims and push rods that are known to be in an engine.

use super::fail::Fail;
use super::workshop::Workshop;
use crate::domain::entry::KnownPart;
use crate::domain::session::Session;
use crate::domain::units::Length;
use crate::domain::valve::Valve;
use crate::store::engines::Engine;
use crate::store::sessions::Glance;
use std::collections::BTreeMap;

impl Workshop {
    /// Returns the shims or push rods that the services of an engine left in it, as far as they were
    /// told.
    pub fn known_parts(&self, engine: &Engine) -> Result<Vec<KnownPart>, Fail> {
        let mut known: BTreeMap<Valve, Length> = BTreeMap::new();
        for listed in self.sessions_of(engine)?.things.into_iter().filter(Glance::counts) {
            // What cannot be read is told where it is opened.
            let Ok(opened) = self.read(&listed.path) else { continue };
            let Some(session) = Session::replay(&opened.entries) else { continue };
            let state = &session.state;
            let told = state.begin.known_parts.iter().map(|part| part.valve);
            known.retain(|valve, _| {
                state.fitted.contains_key(valve) || !told.clone().any(|told| told == *valve)
            });
            for (&valve, fitted) in state.fitted.iter().filter(|(_, part)| part.put_in.is_some()) {
                match fitted.size {
                    Some(size) => known.insert(valve, size),
                    None => known.remove(&valve),
                };
            }
        }
        Ok(known.into_iter().map(|(valve, size)| KnownPart { valve, size }).collect())
    }
}
