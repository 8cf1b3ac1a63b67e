//! Looking on at a session that cannot be gone on with here: another terminal has it in hand, or it
//! lies where nothing can be written. Reads only; the lock is tried when the mechanic asks for it.

use super::commands::run_plain;
use super::fail::Fail;
use super::open_session::{GoneOn, OpenSession, Which};
use super::workshop::Workshop;
use super::world::{Early, World};
use crate::domain::entry::Moment;
use crate::domain::plain::plain;
use crate::domain::session::Session;
use crate::guide::watching::{Glimpse, Said, glimpse};
use crate::report::dates;
use crate::store::StoreError;
use crate::store::engines::Engine;
use crate::store::folder::Holder;
use crate::store::journal::{Follower, Opened};
use crate::store::seen::{self, Elsewhere, Seen};
use crate::tui::job::Table;
use crate::tui::watching::{LOOK, Watched};
use std::io::ErrorKind;
use std::path::Path;

/// Entries that a screen lists, the newest first.
const LISTED: usize = 200;
/// Entries that a plain prompt begins with.
const LAST: usize = 5;

/// Why a session is only looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// Another program has it in hand; its process, where known.
    InUse(Option<u32>),
    /// Another program had it in hand, and has ended.
    Free,
    /// It goes on in another folder: what is added here would make another version of it.
    Elsewhere(Box<Elsewhere>),
    /// It cannot be added to, in words.
    ReadOnly(String),
    /// This version of the program cannot add to it: why, and what can be done.
    ByVerdict(String, &'static str),
}

impl Why {
    /// Tells whether an error of going on leaves the session to be looked at.
    ///
    /// # Errors
    /// It is an error of another kind: that same error.
    pub fn of(error: StoreError) -> Result<Why, StoreError> {
        match error {
            StoreError::InUse { process } => Ok(Why::InUse(process)),
            StoreError::ReadOnly { verdict, .. } => {
                let words = format!("this session can only be read: {verdict}");
                Ok(Why::ByVerdict(words, verdict.hint()))
            }
            StoreError::Io { ref cause, .. } => match cause.kind() {
                ErrorKind::ReadOnlyFilesystem => {
                    Ok(Why::ReadOnly("the disk can only be read".into()))
                }
                ErrorKind::PermissionDenied => {
                    Ok(Why::ReadOnly("nothing may be written there".into()))
                }
                _ => Err(error),
            },
            other => Err(other),
        }
    }

    /// Says what can be typed. Where nothing can be written no taking over is offered that must fail.
    fn ways_on(&self) -> String {
        match self {
            Why::InUse(_) => {
                "q = leave. Once it has ended there: go on = take it over here.".into()
            }
            Why::Free => "go on = take it over here, q = leave.".into(),
            Why::Elsewhere(it) if it.may_be_there() => {
                "q = leave, and take that one. go on = go on with the file here all the same: then they \
                 are two versions."
                    .into()
            }
            Why::Elsewhere(_) => {
                "q = leave, and look for another copy. go on = go on with the file here all the same."
                    .into()
            }
            Why::ReadOnly(_) => {
                "q = leave. It cannot be gone on with here: have its owner give you the right to write \
                 it, or mend the disk; then go on tries it again."
                    .into()
            }
            Why::ByVerdict(_, hint) => {
                format!("q = leave. It cannot be gone on with here: {hint}.")
            }
        }
    }

    fn words(&self) -> String {
        match self {
            Why::InUse(Some(process)) => format!("open in another terminal (process {process})"),
            Why::InUse(None) => "open in another terminal".into(),
            Why::Free => "it has ended in the other terminal".into(),
            Why::Elsewhere(it) if it.may_be_there() => {
                "a later version of it lies in another folder".into()
            }
            Why::Elsewhere(_) => {
                "more of it was saved in another folder, and is not there now".into()
            }
            Why::ReadOnly(words) | Why::ByVerdict(words, _) => plain(words),
        }
    }
}

/// A session that is looked at.
pub struct Watch<'a> {
    workshop: &'a Workshop,
    engine: Engine,
    version: Option<char>,
    /// The session's identity, by which it is locked.
    session: String,
    why: Why,
    follower: Follower,
    glimpse: Glimpse,
    /// How the file is damaged, where it is.
    damage: Option<String>,
    /// Where it goes on since it was saved in another folder.
    elsewhere: Option<Elsewhere>,
    /// Why the file could not be read at the last look.
    unread: Option<String>,
}

impl<'a> Watch<'a> {
    /// Begins to look at the session that was read.
    ///
    /// # Errors
    /// It has no beginning.
    pub fn new(
        workshop: &'a Workshop,
        (engine, version): (&Engine, Option<char>),
        (path, opened): (&Path, &Opened),
        why: Why,
    ) -> Result<Watch<'a>, Fail> {
        let Some(head) = opened.head() else {
            return Err(Fail::work("the session has no beginning", "start a new one"));
        };
        let mut watch = Watch {
            workshop,
            engine: engine.clone(),
            version,
            session: head.session.clone(),
            why,
            follower: Follower::new(path),
            glimpse: Glimpse::default(),
            damage: None,
            elsewhere: None,
            unread: None,
        };
        watch.look();
        Ok(watch)
    }

    /// Looks who has the session in hand, and whether there is something new. Makes and writes
    /// nothing.
    pub fn look(&mut self) {
        // The lock first: what its holder wrote before it ended is then read, too.
        if matches!(self.why, Why::InUse(_) | Why::Free) {
            self.why = match self.workshop.folder().holder(&self.session) {
                Holder::Process(process) => Why::InUse(process),
                Holder::Nobody => Why::Free,
            };
        }
        match self.workshop.follow(&mut self.follower) {
            Ok(None) => self.unread = None,
            Ok(Some(opened)) => {
                self.unread = None;
                self.elsewhere = None;
                let verdict = &opened.verdict;
                self.damage = verdict.is_damage().then(|| plain(&verdict.to_string()));
                if let Some(session) = Session::replay(&opened.entries) {
                    self.glimpse = glimpse(&session);
                }
            }
            Err(fail) => self.unread = Some(fail.words()),
        }
        self.look_elsewhere();
    }

    /// Looks whether the session was saved in another folder: what is kept there does not come here.
    fn look_elsewhere(&mut self) {
        let folder = self.workshop.folder();
        // All files are read for it: once for each place, as long as nothing new comes here.
        let known = self.elsewhere.take().map(|it| it.last);
        let is_here =
            |last: &Seen| known.as_ref() != Some(last) && seen::is_in_a_file_of(folder, last);
        self.elsewhere = seen::elsewhere(folder, &self.session, is_here);
    }

    /// Says that it goes on in another folder.
    fn elsewhere_words(&self) -> Option<String> {
        self.elsewhere.as_ref().map(|it| plain(&format!("this session {it}")))
    }

    /// Whose session it is, and which of its files is gone on with from here.
    pub fn whose(&self) -> (Engine, Which) {
        let here = matches!(self.why, Why::Elsewhere(_));
        (self.engine.clone(), Which { version: self.version, here })
    }

    /// Says where it goes on, where that is another folder.
    fn later(&self) -> Option<String> {
        let Why::Elsewhere(it) = &self.why else { return None };
        Some(plain(&format!("This session {it}")))
    }

    /// Goes on with the session here, where nobody else has it in hand any more.
    ///
    /// # Errors
    /// What going on says.
    pub fn go_on(&self, moment: (Moment, u64)) -> Result<(GoneOn<'a>, Vec<String>), Fail> {
        let (engine, which) = self.whose();
        OpenSession::go_on(self.workshop, &engine, which, moment)
    }

    /// Tells whether there is nothing to go on with: the session has ended.
    pub fn is_closed(&self) -> bool {
        self.glimpse.closed
    }

    /// Says loudly that nothing is taken here, and why.
    fn alert(&self, key: &str) -> String {
        match (&self.why, self.is_closed()) {
            (_, true) => "ONLY LOOKING: this session is closed".into(),
            (Why::Free, false) => {
                format!("ONLY LOOKING: {}; {key} goes on here", self.why.words())
            }
            (Why::Elsewhere(_), false) => {
                format!("ONLY LOOKING: {}; {key} goes on here all the same", self.why.words())
            }
            (why, false) => format!("ONLY LOOKING: {}; nothing is taken here", why.words()),
        }
    }

    /// Says why it cannot be gone on with here now.
    pub fn refusal(&self) -> String {
        match &self.why {
            Why::InUse(_) => format!("not yet: {}; end it there first", self.why.words()),
            Why::Free => "not yet: it ended in the other terminal just now; try again".into(),
            Why::Elsewhere(_) => format!("not yet: {}; once more goes on here", self.why.words()),
            Why::ReadOnly(_) => format!("not here: {}", self.why.words()),
            Why::ByVerdict(_, hint) => format!("not here: {}; {hint}", self.why.words()),
        }
    }

    /// Returns the session as a screen shows it.
    pub fn watched(&self) -> Watched {
        let Glimpse { engine, place, asked: [title, ask], open, kept, .. } = &self.glimpse;
        let row = |said: &Said| vec![dates::to_the_minute(said.at), said.words.clone()];
        let elsewhere = self.later().or_else(|| self.elsewhere_words());
        let troubles = [elsewhere, self.unread.clone(), self.damage.clone()];
        let lines = troubles.into_iter().chain([Some(ask.clone())]);
        let table = Table {
            title: title.clone(),
            lines: lines.flatten().collect(),
            head: vec!["kept".into(), "what, the newest first".into()],
            rows: kept.iter().rev().take(LISTED).map(row).collect(),
            ..Table::default()
        };
        let (engine, place, open) = (engine.clone(), place.clone(), open.clone());
        let free = !self.is_closed() && matches!(self.why, Why::Free | Why::Elsewhere(_));
        Watched::new(self.alert("g"), (engine, place), open, table).offered(free)
    }
}

/// Looks on in plain lines: prints what is new until the user leaves, the input ends, or the session
/// can be gone on with here.
pub fn run(world: &mut World<'_>, mut watch: Watch<'_>) -> Result<u8, Fail> {
    if world.early()? == Early::Ended {
        return Ok(0);
    }
    let mut alert = watch.alert("go on");
    writeln!(world.out, "{alert}")?;
    watch.later().map_or(Ok(()), |words| writeln!(world.out, "{words}"))?;
    writeln!(world.out, "What is new follows. {}", watch.why.ways_on())?;
    let glimpse = &watch.glimpse;
    writeln!(world.out, "{}: {}", glimpse.engine, glimpse.place)?;
    let first = glimpse.kept.len().saturating_sub(LAST);
    let mut told = glimpse.kept.get(first).map_or(0, |said| said.seq);
    let mut now = Glimpse::default();
    // That was told above.
    let mut troubles = [None, None, watch.later().and(watch.elsewhere_words())];
    loop {
        // Each once, and anew when it comes again.
        let new = [watch.unread.clone(), watch.damage.clone(), watch.elsewhere_words()];
        for (trouble, before) in new.iter().zip(&troubles).filter(|(new, before)| new != before) {
            let words = trouble.as_ref().map(|words| format!("! {words}"));
            let over = before.as_ref().map(|_| "the file can be read again".to_string());
            words.or(over).map_or(Ok(()), |words| writeln!(world.out, "{words}"))?;
        }
        troubles = new;
        if now != watch.glimpse {
            now = watch.glimpse.clone();
            for said in now.kept.iter().filter(|said| said.seq >= told) {
                writeln!(world.out, "{}  {}", dates::to_the_minute(said.at), said.words)?;
            }
            told = now.kept.last().map_or(told, |said| told.max(said.seq + 1));
            if !now.open.is_empty() {
                writeln!(world.out, "OPEN: {}", now.open.join(" · "))?;
            }
            writeln!(world.out, "now: [{}] {}", now.place, now.asked.join(" · "))?;
        }
        if alert != watch.alert("go on") {
            alert = watch.alert("go on");
            writeln!(world.out, "{alert}")?;
        }
        world.out.flush()?;
        if (world.ready)(LOOK) {
            // What it answers was said long before: only what comes with it answers what nobody has read.
            let line = world.line()?;
            match world.rest()? {
                Early::Nothing => {}
                Early::Dropped => writeln!(world.out, "! of what came at once, one line is taken")?,
                Early::Ended => return Ok(0),
            }
            match line.as_deref().map(str::trim) {
                None | Some("q") => return Ok(0),
                Some("go on") if !watch.is_closed() => {
                    let (gone_on, notes) = watch.go_on(((world.now)(), (world.run_ms)()))?;
                    notes.iter().for_each(|note| world.warn(note));
                    match gone_on {
                        GoneOn::Watching(still) => {
                            watch = *still;
                            writeln!(world.out, "! {}", watch.refusal())?;
                        }
                        other => return run_plain(world, watch.workshop, &watch.engine, other),
                    }
                }
                Some(_) => {
                    let goes_on =
                        matches!(watch.why, Why::InUse(_) | Why::Free | Why::Elsewhere(_));
                    let or = if goes_on { "go on, or " } else { "" };
                    writeln!(world.out, "! nothing is taken here: {or}q")?;
                }
            }
        }
        watch.look();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::journal::Verdict;

    #[test]
    fn no_taking_over_is_offered_where_nothing_can_be_written() {
        let denied = |kind: ErrorKind| {
            Why::of(StoreError::io("write to", Path::new("x"))(kind.into())).unwrap()
        };
        for kind in [ErrorKind::PermissionDenied, ErrorKind::ReadOnlyFilesystem] {
            let ways_on = denied(kind).ways_on();
            assert!(ways_on.contains("the right to write it") && !ways_on.contains("take it over"));
        }
        // Neither a right nor a disk lets this version add to what a newer one wrote.
        let verdict = Verdict::UnknownKind { seq: 7, kind: "new".into() };
        let newer = StoreError::ReadOnly { path: "x".into(), verdict };
        let ways_on = Why::of(newer).unwrap().ways_on();
        assert!(ways_on.contains("q = leave") && ways_on.contains("use the newer version"));
        assert!(!ways_on.contains("the disk") && !ways_on.contains("the right to write"));
        for why in [Why::InUse(Some(7)), Why::Free] {
            assert!(why.ways_on().contains("go on = take it over here"));
        }
    }
}
