//! A workshop in memory with one engine: what the shell does on disk, and the service before in two
//! accounts that differ in every figure.

use cowlside::domain::entry::{Begin, Entry, Head, Hours, Kept, Moment, ReadingUnit, Step};
use cowlside::domain::flat::{self, Owner, Row};
use cowlside::domain::profile::Source;
use cowlside::domain::reading;
use cowlside::domain::service::Service;
use cowlside::domain::session::Session;
use cowlside::domain::units::{Length, LengthUnit};
use cowlside::guide::counter::LastTold;
use cowlside::store::journal::{in_memory, meaning, scan};
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profiles;
use cowlside::tui::app::{Carried, Effect};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::{Request, Table};
use cowlside::tui::widgets::digits::Ink;
use std::path::Path;
use std::sync::{Arc, OnceLock};

/// The engines: screws at the valve end and not, a table of a manual, shims, push rods.
pub const ENGINES: [&str; 6] = [
    "flat-four",
    "flat-twin",
    "radial-nine-table",
    "vee-twin-shims",
    "flat-six-hydraulic",
    "inline-four",
];

/// Everything that is kept, and what it adds up to.
pub struct Hangar {
    pub kept: Vec<Kept>,
    pub session: Option<Session>,
    pub previous: Option<Arc<Service>>,
    /// The same service with other figures.
    pub otherwise: Option<Arc<Service>>,
    head: Head,
    known: bool,
}

/// What is made of an engine once for all walks.
struct Made {
    head: Head,
    previous: Option<Arc<Service>>,
    otherwise: Option<Arc<Service>>,
}

static MADE: [OnceLock<Result<Made, String>>; ENGINES.len()] =
    [const { OnceLock::new() }; ENGINES.len()];

impl Made {
    fn of(engine: usize) -> Result<&'static Made, String> {
        let made = MADE[engine].get_or_init(|| {
            let found = profiles::find(ENGINES[engine], Path::new("no such folder"));
            let profile = found.map_err(|error| error.to_string())?;
            let head = Head { session: "a".repeat(26), program: "0.1.0".into(), profile };
            let mut made = Made { head, previous: None, otherwise: None };
            made.previous = made.earlier(0)?;
            made.otherwise = made.earlier(50)?;
            Ok(made)
        });
        made.as_ref().map_err(Clone::clone)
    }

    /// A service before, all of whose valves were left at their target and so much more.
    fn earlier(&self, more_um: i64) -> Result<Option<Arc<Service>>, String> {
        let facts = &self.head.profile.profile;
        let (unit, by) = match facts.unit {
            LengthUnit::Mm => (ReadingUnit::Mm, Length::from_um(more_um)),
            LengthUnit::Inch => (ReadingUnit::Inch, Length::from_tenths_thou(more_um / 5)),
        };
        let (mut rows, mut meanings) = (Vec::new(), Vec::new());
        for valve in facts.valves() {
            let typed = (facts.figures(valve.kind).target + by).digits(facts.unit);
            let meaning = reading::parse_as(&typed, unit, &flat::unknown_set(unit));
            let meaning = meaning.map_err(|fault| format!("{typed}: {fault}"))?;
            rows.push(Row {
                engine: "Test".into(),
                profile: self.head.profile.name.clone(),
                session: "autumn".into(),
                began: None,
                hours: Some(Hours(41_260)),
                valve,
                round: 1,
                step: Step::Left,
                typed,
                unit,
                low: meaning.low,
                high: meaning.high,
                verdict: String::new(),
                by: "AF".into(),
                head: None,
                aimed: None,
                part_out: String::new(),
                part_in: String::new(),
                note: String::new(),
            });
            meanings.push(meaning);
        }
        let owner = Owner {
            engine_id: "a".into(),
            engine: "Test".into(),
            serial: String::new(),
            counter: Some(Hours(41_260)),
        };
        let at = Moment { unix_ms: 1_760_000_000_000, offset_min: 60 };
        let entries = flat::entries(&owner, facts, &rows, &meanings);
        let entries = std::iter::once(Entry::Head(self.head.clone())).chain(entries);
        let kept: Vec<Kept> =
            (0..).zip(entries).map(|(seq, entry)| Kept { seq, at, entry }).collect();
        Ok(Session::replay(&kept).as_ref().map(Service::of).map(Arc::new))
    }
}

impl Hangar {
    pub fn new(choice: u8) -> Result<Hangar, String> {
        let made = Made::of(usize::from(choice) % ENGINES.len())?;
        let serviced = choice & 0x20 == 0;
        Ok(Hangar {
            kept: Vec::new(),
            session: None,
            previous: made.previous.clone().filter(|_| serviced),
            otherwise: made.otherwise.clone().filter(|_| serviced),
            head: made.head.clone(),
            known: choice & 0x40 == 0,
        })
    }

    pub fn shop(&self) -> Table {
        let row = |cells: [&str; 5]| cells.map(str::to_owned).to_vec();
        Table {
            title: "Which engine?".into(),
            head: row(["engine", "hours", "last service", "profile", ""]),
            rows: vec![row(["Test", "412.6 h", "2025-08-02", "example", ""])],
            words: vec!["test".into()],
            ..Table::default()
        }
    }

    /// Does what a key asks for; `take` is what the journal takes of what it is given.
    pub fn carry_out(
        &mut self,
        effect: &Effect,
        at: Moment,
        take: fn(&[Entry]) -> Vec<Entry>,
    ) -> Result<Carried<Bench>, String> {
        match effect {
            Effect::Keep(entries) => {
                for entry in take(entries) {
                    self.add(entry, at);
                }
                Ok(Carried::Done)
            }
            Effect::Open(_) if self.session.is_some() => Ok(self.bench()),
            Effect::Open(_) => {
                let (hours, most) = (Hours(41_260), Hours(43_660));
                let last = Some(LastTold { hours, day: "2026-03-14".into(), most });
                Ok(bench(Desk::Beginning {
                    id: "a".into(),
                    engine: "Test".into(),
                    damaged: Vec::new(),
                    last,
                    asks_folder: false,
                    profile: Some(self.head.profile.profile.clone()),
                }))
            }
            Effect::Do(Request::Begin { begin, .. }) => {
                let source =
                    Source { document: "Manual".into(), revision: "3".into(), page: "12".into() };
                let begin = Begin {
                    engine_id: Some("a".into()),
                    engine: Some("Test".into()),
                    known_worker: self.known.then(|| "AF".into()),
                    known_source: self.known.then_some(source),
                    ..(**begin).clone()
                };
                self.add(Entry::Head(self.head.clone()), at);
                self.add(Entry::Begin(begin), at);
                Ok(self.bench())
            }
            Effect::Shop => Ok(Carried::Shop(self.shop())),
            Effect::Look(_) | Effect::Bell(_) => Ok(Carried::Done),
            other => Err(format!("not in this workshop: {}", name(other))),
        }
    }

    fn add(&mut self, entry: Entry, at: Moment) {
        let seq = self.kept.last().map_or(0, |kept| kept.seq + 1);
        let kept = Kept { seq, at, entry };
        self.kept.push(kept.clone());
        self.session = match self.session.take() {
            Some(session) => Some(session.keep(kept)),
            None => Session::replay(&self.kept),
        };
    }

    fn bench(&self) -> Carried<Bench> {
        let Some(session) = &self.session else { return Carried::Done };
        let (session, previous) = (Arc::new(session.clone()), self.previous.clone());
        bench(Desk::Session { session, previous, beside: Arc::default() })
    }

    /// The session that the journal's lines give, as they would lie on the disk.
    pub fn written(&self) -> Result<Session, String> {
        let Some((first, rest)) = self.kept.split_first() else { return Err("nothing".into()) };
        let Entry::Head(head) = &first.entry else { return Err("no head".into()) };
        let parse = |text: &str| parse_profile(text, "own").map_err(|error| error.to_string());
        let entries: Vec<Entry> = rest.iter().map(|kept| kept.entry.clone()).collect();
        let made = in_memory(head.clone(), &entries, first.at).map_err(|e| e.to_string())?;
        let (read, verdict) = meaning::entries(&scan::scan(&made.1), &parse);
        let mut same = read;
        // The lines are made at one moment here; what is compared is what they say.
        for (one, kept) in same.iter_mut().zip(&self.kept) {
            one.at = kept.at;
            // The journal counts and chains the end by itself.
            if matches!(one.entry, Entry::Seal(_)) {
                one.entry = kept.entry.clone();
            }
        }
        if same.len() != self.kept.len() {
            return Err(format!("{} lines of {}: {verdict}", same.len(), self.kept.len()));
        }
        Session::replay(&same).ok_or_else(|| "the lines give no session".into())
    }
}

fn bench(desk: Desk) -> Carried<Bench> {
    Carried::Session(Box::new(Bench::new(desk, Ink::Blocks)))
}

fn name(effect: &Effect) -> String {
    let words = format!("{effect:?}");
    words.split(['(', ' ', '{']).next().unwrap_or_default().to_owned()
}
