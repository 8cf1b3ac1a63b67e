//! The maintenance record of one session, as plain text of 80 columns: a draft for the signer.
//!
//! It holds what 14 CFR 43.9(a) and 43.11(a) ask of an entry (check-values 10.1, 10.2), and what
//! else the next mechanic wants to know. What was taken back at once is not told; what was
//! corrected is. The parts stand in the order in which they are read: what is wrong comes first.

mod by_profile;
mod closing;
mod distrust;
mod facts;
mod found_slack;
mod left_before;
mod owner;
mod signing;
mod top;
mod valves;
mod work;

pub use distrust::Distrust;
pub use owner::{NextCheck, completed, next_check, owner_sentence, proposal};

use super::sheet::{Sheet, UNBROKEN};
use super::{WIDTH, counted, dates};
use crate::domain::compare::{Comparison, compare};
use crate::domain::entry::{Kept, Moment, Sign};
use crate::domain::service::{Service, on_day};
use crate::domain::session::{Input, Session, State, day};
use crate::domain::trend::{Earlier, History};
use crate::domain::units::LengthUnit;
use crate::domain::valve::Valve;
use crate::guide::Proposal;

/// Writes the record of a session, finished or not; `earlier` the services before it.
pub fn record(session: &Session, earlier: &Earlier) -> String {
    sheet(session, earlier, OfFile::default()).into_text()
}

/// Writes the record of a session as it will be once it is signed, and says that it is not signed yet.
pub fn before_signing(session: &Session, earlier: &Earlier) -> String {
    let file = OfFile { to_be_signed: true, ..OfFile::default() };
    sheet(session, earlier, file).into_text()
}

/// Returns a session as it will be once it is signed, to be read before that; as it is, where it
/// cannot be signed now.
pub fn as_signed(session: &Session, proposal: &Proposal, sign: Sign, at: Moment) -> Session {
    let sign = Input::Sign(Box::new(sign), proposal.left_before.clone());
    let entries = session.decide(&sign).unwrap_or_default();
    entries.into_iter().fold(session.clone(), |session, entry| {
        let seq = session.kept.last().map_or(0, |kept| kept.seq + 1);
        session.keep(Kept { seq, at, entry })
    })
}

/// What is known of the file that a record is made from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OfFile {
    /// The seal code, where the session has ended.
    pub seal_code: Option<String>,
    /// What is wrong with the file, where something is: the record of one that is not whole
    /// certifies nothing, and its seal code vouches for nothing.
    pub damage: Option<String>,
    /// Why it certifies nothing, where something is wrong.
    pub distrust: Distrust,
    /// What other versions of the session left open.
    pub open_beside: Vec<String>,
    /// Nothing is signed yet: the record is read as it will be.
    pub to_be_signed: bool,
}

impl OfFile {
    /// Returns the seal code, where it vouches for something.
    pub(super) fn seal_code(&self) -> Option<&str> {
        self.seal_code.as_deref().filter(|_| self.damage.is_none())
    }
}

/// Writes the record as a sheet, from which every other form of it is made.
pub fn sheet(session: &Session, earlier: &Earlier, file: OfFile) -> Sheet {
    let mut page = Page::new(session, earlier);
    page.file = file;
    page.top();
    page.engine();
    page.service();
    page.data();
    page.condition();
    page.valves();
    page.work();
    page.looked_at();
    page.hardware();
    page.cautions();
    page.breaks();
    page.run();
    page.signing();
    page.sheet
}

/// The record in the making, with all that its parts look things up in.
struct Page<'a> {
    session: &'a Session,
    state: &'a State,
    unit: LengthUnit,
    service: Service,
    earlier: &'a Earlier,
    previous: Option<&'a Service>,
    history: Option<History>,
    since: Option<Comparison>,
    file: OfFile,
    sheet: Sheet,
}

impl<'a> Page<'a> {
    /// Names valves in a list, each by its whole name.
    fn named(&self, valves: impl IntoIterator<Item = Valve>) -> String {
        listed(valves.into_iter().map(|valve| self.state.name_of(valve)))
    }

    fn new(session: &'a Session, earlier: &'a Earlier) -> Page<'a> {
        let service = earlier.put_right(session);
        let previous = earlier.previous();
        Page {
            session,
            state: &session.state,
            unit: session.state.facts().unit,
            since: previous.map(|previous| compare(previous, &service)),
            history: earlier.up_to(&service),
            service,
            earlier,
            previous,
            file: OfFile::default(),
            sheet: Sheet::new(WIDTH),
        }
    }

    /// Lists the entries that were not taken back, in order.
    fn entries(&self) -> impl Iterator<Item = &'a Kept> + use<'a> {
        let session = self.session;
        session.kept.iter().filter(|kept| !session.is_void(kept.seq))
    }

    /// Writes the time of an entry, with its day where that is not the first one.
    fn stamp(&self, at: Moment) -> String {
        let moment = corrected(self.session, at);
        let same = self.service.began.is_some_and(|began| day(began) == day(moment));
        let time = dates::time(moment);
        if same { time } else { format!("{} {time}", dates::day(moment)) }
    }

    /// Writes the time of the entry with this seq.
    fn stamp_of(&self, seq: u64) -> String {
        let kept = self.session.kept.iter().find(|kept| kept.seq == seq);
        kept.map_or(String::new(), |kept| self.stamp(kept.at))
    }
}

/// Returns a moment with the day corrected, where it lies on the day that was corrected.
fn corrected(session: &Session, at: Moment) -> Moment {
    let first = session.began().is_some_and(|began| day(began) == day(at));
    on_day(at, session.state.redated.as_deref().filter(|_| first))
}

/// Joins the words of things with commas; a line is not broken inside a thing.
fn listed<T: ToString>(things: impl IntoIterator<Item = T>) -> String {
    let words = things.into_iter().map(|thing| thing.to_string().replace(' ', UNBROKEN));
    words.collect::<Vec<_>>().join(", ")
}

/// Ends a sentence that a person typed, once.
fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.ends_with(['.', '!', '?']) { text.to_string() } else { format!("{text}.") }
}
