//! A session as the screens see it: the conversation of the guide beside the session, and before it
//! the questions that make an engine or begin a service.

mod told;

use super::job::{Answer, Job, Offer, Reply, Request, Stage, Table};
use super::keymap::Shortcut;
use super::screens::notice::NoticeView;
use super::widgets::digits::Ink;
use super::widgets::engine::EngineView;
use super::widgets::picture::PictureView;
use crate::domain::entry::{Back, Entry, Kept, Moment};
use crate::domain::profile::EngineProfile;
use crate::domain::service::Service;
use crate::domain::session::{Crank, Due, Input, Session};
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Valve};
use crate::guide::commands::Offered;
use crate::guide::counter::LastTold;
use crate::guide::help::{Kit, Page};
use crate::guide::start::Kind;
use crate::guide::warmth::Wait;
use crate::guide::{
    Answered, Beside, Command, Prompt, Step, Talk, Task, amending, commands, glance, help, not_now,
    refused_words, start, status, untold,
};
use crate::report::record;
use std::sync::Arc;
use told::Told;

/// What is on the bench.
#[derive(Clone, Debug)]
pub enum Desk {
    /// A new engine of this kind is being described.
    NewEngine(Kind),
    /// A service of an engine is about to begin.
    Beginning {
        /// The engine's id.
        id: String,
        /// Its name.
        engine: String,
        /// What is said of a service of it that is damaged.
        damaged: Vec<String>,
        /// Its hours as they were last told.
        last: Option<LastTold>,
        /// Whether it is asked in which folder it is kept: the data folder can only be read.
        asks_folder: bool,
        /// Its profile, where that can be read.
        profile: Option<EngineProfile>,
    },
    /// A session has several versions, of which one is to be chosen.
    Versions {
        /// The engine's id.
        id: String,
        /// Its name.
        engine: String,
        /// The session's name.
        name: String,
        /// How many entries they have in common, where they went different ways.
        common: Option<usize>,
        /// Letter and words of each.
        versions: Vec<(char, String)>,
    },
    /// The running hours of an engine are told, and nothing else.
    Hours {
        /// The engine's id.
        id: String,
        /// Its name.
        engine: String,
        /// Its hours as they were last told.
        last: LastTold,
    },
    /// A session.
    Session {
        /// The session.
        session: Arc<Session>,
        /// The service before it, where there is one.
        previous: Option<Arc<Service>>,
        /// What else is known beside it.
        beside: Arc<Beside>,
    },
}

/// What is on the bench, and what digits are drawn with.
#[derive(Clone, Debug)]
pub struct Bench {
    desk: Desk,
    ink: Ink,
    /// Of this desk alone: another one comes with a new bench.
    told: Arc<Told>,
}

/// Said where there is no session of which something could be taken back.
const NOTHING_KEPT: &str = "nothing is kept yet that could be taken back; Esc goes back";

/// Returns what a valve was left at by the service before, as typed and in length.
pub fn last_left(previous: Option<&Service>, valve: Valve) -> Option<(String, Length)> {
    let gauged = previous?.outcome(valve)?.left.as_ref()?;
    Some((gauged.typed.clone(), gauged.interval.nominal?))
}

impl Bench {
    /// Lays out a bench; `ink` is what large digits are drawn with.
    pub fn new(desk: Desk, ink: Ink) -> Bench {
        Bench { desk, ink, told: Arc::default() }
    }

    /// Returns what is on it.
    pub fn desk(&self) -> &Desk {
        &self.desk
    }

    fn session(&self) -> Option<&Session> {
        match &self.desk {
            Desk::Session { session, .. } => Some(session),
            Desk::NewEngine(_)
            | Desk::Beginning { .. }
            | Desk::Versions { .. }
            | Desk::Hours { .. } => None,
        }
    }

    fn previous(&self) -> Option<&Service> {
        match &self.desk {
            Desk::Session { previous, .. } => previous.as_deref(),
            Desk::NewEngine(_)
            | Desk::Beginning { .. }
            | Desk::Versions { .. }
            | Desk::Hours { .. } => None,
        }
    }

    fn beside(&self) -> Arc<Beside> {
        match &self.desk {
            Desk::Session { beside, .. } => Arc::clone(beside),
            Desk::NewEngine(_)
            | Desk::Beginning { .. }
            | Desk::Versions { .. }
            | Desk::Hours { .. } => Arc::default(),
        }
    }

    /// The session with these entries, as it will be once they are on disk.
    fn keep(&self, entries: Vec<Entry>, at: Moment) -> Reply<Bench> {
        let Some(session) = self.session() else { return Reply::Refused(String::new()) };
        let mut next = session.clone();
        for entry in &entries {
            let seq = next.kept.last().map_or(0, |kept| kept.seq + 1);
            next = next.keep(Kept { seq, at, entry: entry.clone() });
        }
        let last = |valve| last_left(self.previous(), valve);
        let said = status::kept_words(&next, &entries, &last);
        let verdict = glance::verdict(&next, &entries);
        let (previous, beside) = match &self.desk {
            Desk::Session { previous, .. } => (previous.clone(), self.beside()),
            Desk::NewEngine(_)
            | Desk::Beginning { .. }
            | Desk::Versions { .. }
            | Desk::Hours { .. } => (None, self.beside()),
        };
        let desk = Desk::Session { session: Arc::new(next), previous, beside };
        Reply::Keep { next: Box::new(Bench::new(desk, self.ink)), entries, said, verdict }
    }

    fn reply(&self, answered: Answered, at: Moment) -> Reply<Bench> {
        match answered {
            // Nothing of it is answered any more.
            Answered::Next(talk) if talk.task == Task::Due && talk.given.is_empty() => Reply::Back,
            Answered::Next(talk) => Reply::Ask(Box::new(talk)),
            Answered::Keep(entries) => self.keep(entries, at),
            Answered::Back => Reply::Back,
            Answered::Read(talk, sign) => match self.session() {
                Some(session) => {
                    let signed = record::as_signed(session, &talk.beside.proposal, *sign, at);
                    Reply::Read(self.page("The record as it will be", &signed, true))
                }
                None => Reply::Back,
            },
            Answered::Refused(_, words) => Reply::Refused(words),
            Answered::GiveProfile(name) => {
                let id = self.session().and_then(|session| session.state.begin.engine_id.clone());
                Reply::Do(Request::GiveProfile { id: id.unwrap_or_default(), name })
            }
            Answered::ReplaceProfile { name, source, why } => {
                Reply::Do(Request::ReplaceProfile { name, source, why })
            }
        }
    }

    fn page(&self, title: &str, session: &Session, to_be_signed: bool) -> Table {
        let file = record::OfFile { to_be_signed, ..record::OfFile::default() };
        Table::of_sheet(title, record::sheet(session, &self.beside().earlier, file))
    }

    fn decide(&self, input: &Input, at: Moment) -> Reply<Bench> {
        let decided = self.session().map(|session| {
            session.decide(input).map_err(|refusal| refused_words(session, &refusal))
        });
        match decided {
            Some(Ok(entries)) => self.keep(entries, at),
            Some(Err(words)) => Reply::Refused(words),
            None => Reply::Refused("there is no session yet".into()),
        }
    }

    /// Answers the questions before there is a session.
    fn start(&self, given: &[String]) -> Option<Step<Request>> {
        match &self.desk {
            Desk::NewEngine(kind) => {
                let make = |new| Request::NewEngine(Box::new(new));
                Some(done(start::new_engine(kind, given), make))
            }
            Desk::Beginning { id, engine, damaged, last, asks_folder, .. } => {
                let begin = |(begin, folder)| {
                    let (id, begin) = (id.clone(), Box::new(begin));
                    Request::Begin { id, begin, folder }
                };
                let told = (damaged.as_slice(), *asks_folder);
                Some(done(start::begin(engine, told, last.as_ref(), given), begin))
            }
            Desk::Versions { id, name, common, versions, .. } => {
                let go_on = |version| Request::GoOn { id: id.clone(), version };
                Some(done(start::which_version(name, *common, versions, given), go_on))
            }
            Desk::Hours { id, engine, last } => {
                let tell =
                    |(hours, replaced)| Request::TellHours { id: id.clone(), hours, replaced };
                Some(done(start::hours_now(engine, last, given), tell))
            }
            Desk::Session { .. } => None,
        }
    }

    /// The conversation as it stands; to the signer the report's proposals are made.
    fn talk(&self, form: Option<&Talk>) -> Talk {
        let mut talk = form.cloned().unwrap_or_default();
        let now = talk.beside.now;
        talk.beside = self.beside();
        if now.is_some() {
            Arc::make_mut(&mut talk.beside).now = now;
        }
        if let Some(session) = self.session().filter(|session| session.state.due() == Due::Sign) {
            let proposal = record::proposal(session, &talk.beside.earlier);
            Arc::make_mut(&mut talk.beside).proposal = proposal;
        }
        talk
    }

    /// The cylinders watched and gauged at the stop in hand.
    fn parts(&self, session: &Session) -> (Option<Cylinder>, Vec<Valve>) {
        let state = &session.state;
        let stop = match (state.due(), state.crank) {
            (Due::Turn { stop, .. } | Due::Rock { stop, .. }, _) => Some(stop),
            (_, Crank::At { stop, .. }) if state.round().is_some() => Some(stop),
            _ => None,
        };
        let Some(stop) = stop.and_then(|stop| state.stops().get(stop)) else {
            return (None, Vec::new());
        };
        (Some(stop.watch), stop.gauge.iter().map(|gauge| gauge.valve).collect())
    }
}

fn done<T>(step: Step<T>, make: impl FnOnce(T) -> Request) -> Step<Request> {
    match step {
        Step::Ask(prompt) => Step::Ask(prompt),
        Step::Do(value) => Step::Do(make(value)),
        Step::Refused(words) => Step::Refused(words),
        Step::Again => Step::Again,
        Step::Retype(answers) => Step::Retype(answers),
        Step::Read(sign) => Step::Read(sign),
        Step::Back => Step::Back,
        Step::Switch(command) => Step::Switch(command),
        Step::GiveProfile(name) => Step::GiveProfile(name),
        Step::ReplaceProfile { name, source, why } => Step::ReplaceProfile { name, source, why },
    }
}

fn typed(answer: &Answer) -> String {
    match answer {
        Answer::Digit(digit) => digit.to_string(),
        Answer::Typed(text) => text.clone(),
        Answer::Enter => String::new(),
    }
}

impl Job for Bench {
    type Form = Talk;

    fn stage(&self) -> Stage {
        match (&self.desk, self.session().map(|session| session.state.sealed)) {
            (Desk::NewEngine(_), _) => Stage::Kind,
            (_, None) => Stage::Before,
            (_, Some(None)) => Stage::Open,
            (_, Some(Some(_))) => Stage::Closed,
        }
    }

    fn engine(&self) -> String {
        match &self.desk {
            Desk::NewEngine(_) => "a new engine".into(),
            Desk::Beginning { engine, .. }
            | Desk::Versions { engine, .. }
            | Desk::Hours { engine, .. } => crate::domain::plain::plain(engine),
            Desk::Session { session, .. } => crate::domain::plain::plain(
                session.state.begin.engine.as_deref().unwrap_or("engine"),
            ),
        }
    }

    fn hours(&self) -> Option<String> {
        Some(format!("{} h", self.session()?.state.begin.hours?))
    }

    fn prompt(&self, form: Option<&Talk>) -> Prompt {
        match form {
            None => self.told.prompt.get_or_init(|| self.prompt_now(None)).clone(),
            Some(talk) => self.told.asked(talk, || self.prompt_now(form)),
        }
    }

    fn taken_for(&self, form: Option<&Talk>, entry: &str) -> String {
        self.taken_now(&self.prompt(form), entry)
    }

    fn answered_before(&self, earlier: &Talk, form: &Talk) -> bool {
        earlier.task != form.task || earlier.given.len() < form.given.len()
    }

    fn last_typed(&self, form: &Talk) -> String {
        form.given.last().cloned().unwrap_or_default()
    }

    fn answer(&self, form: Option<&Talk>, answer: &Answer, at: Moment) -> Reply<Bench> {
        let talk = self.talk(form);
        let answer = typed(answer);
        if let Some(session) = self.session() {
            return self.reply(talk.answer(session, &answer), at);
        }
        let mut talk = talk;
        talk.given.push(answer);
        match self.start(&talk.given) {
            Some(Step::Ask(_)) => Reply::Ask(Box::new(talk)),
            Some(Step::Do(request)) => Reply::Do(request),
            Some(Step::Refused(words)) => Reply::Refused(words),
            Some(Step::Again) => Reply::Ask(Box::new(Talk::default())),
            Some(Step::Retype(answers)) => {
                talk.given.truncate(talk.given.len().saturating_sub(answers));
                Reply::Ask(Box::new(talk))
            }
            Some(
                Step::Back
                | Step::Read(_)
                | Step::Switch(_)
                | Step::GiveProfile(_)
                | Step::ReplaceProfile { .. },
            )
            | None => Reply::Refused("that is not possible here".into()),
        }
    }

    fn answers_due(&self, form: &Talk) -> bool {
        form.task == Task::Due
    }

    fn outlasts_a_break(&self, form: &Talk) -> bool {
        self.session().is_some_and(|session| form.outlasts_a_break(session))
    }

    fn offers(&self) -> Vec<Offer> {
        self.told.offers.get_or_init(|| self.offers_now()).clone()
    }

    fn begin(&self, offer: usize, at: Moment) -> Reply<Bench> {
        let Some(session) = self.session() else { return Reply::Refused(String::new()) };
        let mut beside = self.beside();
        let offers = commands::offers(session, &beside);
        let Some(&Offered { command, .. }) = offers.get(offer) else {
            return Reply::Refused(String::new());
        };
        if command == Command::Paper {
            Arc::make_mut(&mut beside).now = Some(at);
        }
        match not_now::why(session, command, &beside) {
            None => self.reply(Talk::call(session, command, beside), at),
            Some(why) => Reply::Refused(format!("not now: {why}")),
        }
    }

    fn whereabouts(&self) -> Vec<String> {
        self.told.whereabouts.get_or_init(|| self.whereabouts_now()).clone()
    }

    fn undo(&self) -> Option<String> {
        self.told.undo.get_or_init(|| self.undo_now()).clone()
    }

    fn take_back(&self, at: Moment) -> Reply<Bench> {
        let Some(session) = self.session() else { return Reply::Refused(NOTHING_KEPT.into()) };
        self.reply(Talk::call(session, Command::TakeBack, self.beside()), at)
    }

    fn back(&self, back: Back, at: Moment) -> Reply<Bench> {
        self.decide(&Input::Back(back), at)
    }

    fn open_items(&self) -> Vec<String> {
        self.told.open.get_or_init(|| self.open_items_now()).clone()
    }

    fn drawing(&self) -> Option<EngineView> {
        let in_rounds = self.session().is_some_and(|session| status::in_rounds(&session.state));
        self.drawn_where_free().filter(|_| in_rounds)
    }

    fn drawn_where_free(&self) -> Option<EngineView> {
        self.told.engine.get_or_init(|| self.engine_now()).clone()
    }

    fn drawn_beside(&self, form: &Talk) -> bool {
        // The valve that is due shows only that it is; a command may ask about any.
        form.task == Task::Due
    }

    fn drawn_where_free_of(&self, form: &Talk) -> Option<EngineView> {
        self.engine_beside_a_command(form)
    }

    fn picture(&self) -> Option<PictureView> {
        self.told.picture.get_or_init(|| self.picture_now()).clone()
    }

    fn notice(&self) -> Option<NoticeView> {
        self.told.notice.get_or_init(|| self.notice_now()).clone()
    }

    fn help(&self, form: Option<&Talk>) -> Page {
        let topic = match &self.desk {
            Desk::NewEngine(_) => return help::NEW_ENGINE.page(None),
            Desk::Beginning { .. } => return help::BEGINNING.page(None),
            Desk::Versions { .. } => return help::VERSIONS.page(None),
            Desk::Hours { .. } => return help::HOURS.page(None),
            Desk::Session { session, .. } => form.unwrap_or(&Talk::default()).topic(session),
        };
        topic.page(self.session().map(|session| Kit::of(&session.state)))
    }

    fn wait(&self) -> Option<Wait> {
        *self.told.wait.get_or_init(|| self.wait_now())
    }

    fn disbelieves(&self) -> bool {
        self.session().is_some_and(|session| matches!(session.state.due(), Due::Again(..)))
    }

    fn kept(&self) -> Table {
        let rows = self.session().map(amending::reading_lines).unwrap_or_default();
        Table {
            title: "The readings, newest first".into(),
            lines: vec!["Choose one to correct it.".into()],
            rows: rows.into_iter().map(|(_, words)| vec![words]).collect(),
            ..Table::default()
        }
    }

    fn record(&self) -> Result<Table, String> {
        let session = self.session().ok_or("there is no record yet")?;
        let first = session.state.untold().first().map(|valve| session.state.name_of(*valve));
        match untold::no_record(first) {
            Some(words) => Err(words),
            None => Ok(self.page("The record as it stands", session, false)),
        }
    }

    fn correct(&self, row: usize, at: Moment) -> Reply<Bench> {
        let Some(session) = self.session() else { return Reply::Refused(String::new()) };
        if row >= amending::reading_lines(session).len() {
            return Reply::Refused("there is no such reading".into());
        }
        let beside = self.beside();
        let (given, digit) = amending::answers_of_row(row);
        let talk = Talk { task: Task::Command(Command::Correct), given, beside };
        self.reply(talk.answer(session, &digit), at)
    }
}

fn shortcut(command: Command) -> Option<Shortcut> {
    match command {
        Command::SeeOverlap => Some(Shortcut::SeenOverlap),
        Command::Remark => Some(Shortcut::Remark),
        Command::SkipValve => Some(Shortcut::Skip),
        Command::Away => Some(Shortcut::Away),
        Command::ByLeaf => Some(Shortcut::ByLeaf),
        Command::Who => Some(Shortcut::Who),
        Command::Correct => Some(Shortcut::Correct),
        _ => None,
    }
}
