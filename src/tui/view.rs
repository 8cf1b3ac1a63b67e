//! Puts the state into screens: every word that is not the session's own is chosen here.

use super::app::{App, List, Listed, PictureOf, Top};
use super::ascii;
use super::beside::{self, is_radial};
use super::job::{Job, Shortcut, Stage, Table};
use super::keeping::SAVED;
use super::keymap::{self, Action, Begun, Motion, Place};
use super::paging::Shown;
use super::past::Past;
use super::screens::frame::Around;
use super::screens::help::HelpView;
use super::screens::notice::NoticeView;
use super::screens::past::PastView;
use super::screens::picture::{PicturePage, Pictured};
use super::screens::session::SessionView;
use super::screens::table::{Choosing, TableView};
use super::screens::{Note, Tone, help, notice, past, picture, session, table};
use super::theme::Theme;
use super::update::AWAY;
use super::widgets::digits::Ink;
use super::widgets::drawing::Drawing;
use super::widgets::engine::EngineView;
use super::widgets::picture::PictureView;
use crate::guide::{Prompt, Typed, kinds, place};
use crate::report::sheet_search::sifted;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// A whole screen in words.
#[derive(Clone, Debug, PartialEq)]
pub enum View {
    /// A notice.
    Notice(NoticeView),
    /// A list.
    List(Box<TableView>),
    /// The picture of a stop.
    Picture(Box<PicturePage>),
    /// An engine's past.
    Past(Box<PastView>),
    /// The help.
    Help(Box<HelpView>),
    /// A question.
    Question(Box<SessionView>),
}

/// Puts the state into a screen; `None` where there is nothing to show.
pub fn view<J: Job>(app: &App<J>) -> Option<View> {
    if let Some(mut notice) = app.notice() {
        notice.lines.extend(alert(app));
        return Some(View::Notice(notice));
    }
    if let Some(picture) = app.picture() {
        let around = leafed(app, String::new());
        let title = match picture {
            Pictured::Stop(_) => "The crank at this stop".into(),
            Pictured::Engine(ref engine, _) => format!("The engine, {}", engine.seen),
        };
        return Some(View::Picture(Box::new(PicturePage { around, title, picture })));
    }
    if let Top::Past(past) = &app.top {
        return past_view(app, past).map(|view| View::Past(Box::new(view)));
    }
    if let Top::Help(help) = &app.top {
        return Some(View::Help(Box::new(HelpView {
            around: leafed(app, String::new()),
            title: help.title.clone(),
            lines: help.lines.clone(),
            first: help.first,
            ink: app.ink,
        })));
    }
    match app.list() {
        Some(list) => Some(View::List(Box::new(table_view(app, list)))),
        None => app.prompt().map(|prompt| {
            let prompt = match (app.waiting(), app.clock) {
                (Some(wait), Some(now)) => wait.shown_in(prompt, now),
                (Some(_) | None, _) => prompt,
            };
            View::Question(Box::new(session_view(app, app.seen.in_words(prompt))))
        }),
    }
}

impl View {
    /// Paints the screen; returns which part of a page that may be longer than the window it shows.
    pub fn paint(&self, theme: Theme, area: Rect, buf: &mut Buffer) -> Option<Shown> {
        match self {
            View::Notice(view) => notice::paint(view, theme, area, buf),
            View::List(view) => return table::paint(view, theme, area, buf),
            View::Past(view) => return past::paint(view, theme, area, buf),
            View::Picture(view) => picture::paint(view, theme, area, buf),
            View::Help(view) => return help::paint(view, theme, area, buf),
            View::Question(view) => return session::paint(view, theme, area, buf),
        }
        None
    }
}

/// Paints everything.
pub fn paint<J: Job>(app: &App<J>, area: Rect, buf: &mut Buffer) {
    paint_shown(app, area, buf);
}

/// Paints everything; returns which part of a page that may be longer than the window it shows.
pub(super) fn paint_shown<J: Job>(app: &App<J>, area: Rect, buf: &mut Buffer) -> Option<Shown> {
    let mut view = view(app)?;
    match app.ink {
        Ink::Blocks => view.paint(app.paints(), area, buf),
        Ink::Hash | Ink::Halves => {
            ascii::spell(&mut view);
            let shown = view.paint(app.paints(), area, buf);
            ascii::draw(area, buf);
            shown
        }
    }
}

/// Paints the list of engines while they are still being read: no keys work yet.
pub fn paint_beginning<J: Job>(app: &App<J>, area: Rect, buf: &mut Buffer) {
    let mut app = app.clone();
    let (title, lines) = (SHOP.into(), vec![READING.into()]);
    app.shop = List::new(Listed::Shop, Table { title, lines, ..Table::default() });
    let mut view = table_view(&app, &app.shop);
    view.around.hints.clear();
    let mut view = View::List(Box::new(view));
    if app.ink.is_plain() {
        ascii::spell(&mut view);
    }
    view.paint(app.paints(), area, buf);
}

/// What is asked over the list of engines.
pub const SHOP: &str = "Which engine?";
/// Rows of a list that the lowest window shows.
const LOWEST: usize = 5;
const READING: &str = "Reading the engines and their sessions ...";

fn around<J: Job>(app: &App<J>, at: String) -> Around {
    let job = app.job.as_ref();
    let watched = app.watched.as_deref();
    let at = watched.map_or(at, |watched| watched.place.clone());
    let mut places = job.map(Job::whereabouts).unwrap_or_default();
    // A command may be somewhere else than the session that it was called from.
    if !places.first().is_some_and(|whole| whole.starts_with(&at)) {
        places = vec![place::beside(at, places.first())];
    }
    let (here, able) = (app.place(), Able::of(app));
    // A choice that a digit alone does not answer says so until one is typed.
    let typed =
        app.prompt().filter(|_| app.top == Top::Nothing).and_then(|asked| asked.field.typed);
    let waits = typed == Some(Typed::Digit) && app.entry.is_empty();
    let keys = |begun| {
        let mut hints = keymap::hints(here, begun, |action| comes_to(app, &able, action));
        let enter = hints.iter_mut().find(|hint| waits && hint.key == "Enter");
        enter.into_iter().for_each(|hint| {
            (hint.key, hint.label) = ("digit, Enter", "".into());
        });
        // A row of two digits is not chosen by the first of them.
        let long = app.list().is_some_and(|list| list.table.rows.len() > 9);
        let digit = hints.iter_mut().find(|hint| long && hint.key == "digit");
        digit.into_iter().for_each(|hint| (hint.key, hint.label) = ("digits", "row".into()));
        let enter = hints.iter_mut().find(|hint| app.reads_on() && hint.key == "Enter");
        enter.into_iter().for_each(|hint| hint.label = "read on".into());
        for hint in hints.iter_mut().filter(|hint| hint.label == keymap::TAKE_BACK) {
            let (label, brief) = undo_words(app, able.undo.as_deref());
            (hint.label, hint.brief) = (label.into(), brief);
        }
        hints
    };
    let hints = keys(app.begun());
    let tables = matches!(here, Place::Shop | Place::Kinds | Place::Review);
    let typing = (here.types() && !tables).then(|| {
        let (always, mut before) = (keys(Begun::Yes), keys(Begun::No));
        before.retain(|hint| !always.contains(hint));
        (always, before)
    });
    Around {
        open: match watched {
            Some(watched) => watched.open.clone(),
            None => job.map(Job::open_items).unwrap_or_default(),
        },
        status: match watched {
            Some(watched) => watched.engine.clone(),
            None => job.map_or_else(|| "cowlside".to_owned(), Job::engine),
        },
        hours: job.filter(|_| watched.is_none()).and_then(Job::hours).unwrap_or_default(),
        places,
        alert: alert(app)
            .map(|alert| beside::with_way_out(app, alert))
            .or_else(|| watched.map(|watched| watched.alert.clone())),
        note: note(app, app.note.as_ref()),
        hints,
        typing,
    }
}

/// What has to be known before everything else.
fn alert<J: Job>(app: &App<J>) -> Option<String> {
    app.saving.alert().or_else(|| app.alert.clone())
}

/// What stands around a page, which has no room for what comes and goes by itself.
fn leafed<J: Job>(app: &App<J>, place: String) -> Around {
    let around = around(app, place);
    Around { note: around.note.filter(|_| app.note.is_some()), ..around }
}

/// What was said last, of what is saved only what is true by now; where there is nothing more to say,
/// what is still on its way to the disk.
fn note<J: Job>(app: &App<J>, said: Option<&Note>) -> Option<Note> {
    if let (Some((doing, seconds)), None) = (app.busy, said) {
        // The question whether to leave says it itself.
        let words = || Note::done(doing.waited_for(seconds));
        return (app.top != Top::Leave).then(words);
    }
    let said = said.cloned().map(|note| {
        // Also where a warning stands behind it.
        let is_of_saving = note.tone == Tone::Done || note.text.starts_with(SAVED);
        match is_of_saving && app.job.is_some() {
            true => Note { text: app.saving.said_of(&note.text), ..note },
            false => note,
        }
    });
    said.or_else(|| app.saving.being_saved().map(Note::done))
}

/// Says what the key that takes back would take back, and the same in fewer letters.
fn undo_words<J: Job>(app: &App<J>, undo: Option<&str>) -> (String, Option<String>) {
    if !app.forms.is_empty() {
        return ("back a question".into(), None);
    }
    match undo {
        Some(undo) => (format!("takes back: {undo}"), Some(format!("undo {undo}"))),
        None => (keymap::TAKE_BACK.into(), None),
    }
}

/// What a session can do now, looked up once for all keys.
struct Able {
    undo: Option<String>,
    picture: bool,
    shortcuts: Vec<Shortcut>,
}

impl Able {
    fn of<J: Job>(app: &App<J>) -> Able {
        let Some(job) = app.job.as_ref() else {
            return Able { undo: None, picture: false, shortcuts: Vec::new() };
        };
        let now = job.offers().into_iter().filter(|offer| offer.not_now.is_none());
        Able {
            undo: job.undo(),
            picture: job.picture().is_some() || job.drawing().is_some(),
            shortcuts: now.filter_map(|offer| offer.shortcut).collect(),
        }
    }
}

/// Tells whether an action comes to something now, or would only be told that it is not possible.
fn comes_to<J: Job>(app: &App<J>, able: &Able, action: &Action) -> bool {
    let stage = app.job.as_ref().map_or(Stage::Before, Job::stage);
    let asks = asks_itself(app) && app.job.is_some();
    let in_session = asks && in_session(stage);
    if app.busy.is_some() && !matches!(app.top, Top::Leave | Top::Help(_)) {
        return matches!(action, Action::Leave | Action::Interrupt | Action::Help);
    }
    match action {
        Action::Back => {
            let searching = app.job.is_none() && app.begun() == Begun::Yes;
            app.top != Top::Nothing
                || app.watched.is_some()
                || searching
                || !app.forms.is_empty()
                || asks && stage != Stage::Open
        }
        Action::TakeBack => asks && stage == Stage::Open && able.undo.is_some(),
        Action::Move(Motion::PageDown) if app.picture().is_some() => false,
        // A page has one line for its keys, and those of the number pad leaf through it.
        Action::Move(Motion::Up) if matches!(app.top, Top::Help(_)) => false,
        // A picture has no lines to move over, but there may be another one.
        Action::Move(_) if app.picture().is_some() => {
            app.pictured(PictureOf::Stop).is_some() && app.pictured(PictureOf::Engine).is_some()
        }
        // A short list has no further page.
        Action::Move(Motion::PageDown) if app.place() == Place::List => {
            app.list().is_some_and(|list| list.table.rows.len() > LOWEST)
        }
        Action::Turn(_) => matches!(&app.top, Top::Past(past) if past.place().1 > 1),
        // While another terminal has it in hand it would only be refused.
        Action::TakeOver => app.watched.as_ref().is_some_and(|watched| watched.free),
        Action::Picture => in_session && able.picture,
        Action::More | Action::Hours | Action::Search if app.place() == Place::Shop => {
            app.shop.table.rows.len() > 1
                && (*action == Action::Search || !app.shop.is_at_new_engine())
        }
        // A comparison of nothing has no rows to search or sort.
        Action::Order if app.place() == Place::Review => {
            app.list().is_none_or(|list| list.table.orders.len() > 1 && list.table.rows.len() > 1)
        }
        Action::Order | Action::Search => app.list().is_none_or(|list| list.table.rows.len() > 1),
        // In the middle of a command's questions there is a short list of its own.
        Action::More if app.top == Top::Nothing && !app.forms.is_empty() => true,
        Action::More | Action::Kept | Action::Compare | Action::History | Action::Record => {
            in_session
        }
        Action::Command(shortcut) => in_session && able.shortcuts.contains(shortcut),
        _ => true,
    }
}

/// Lists the keys that do something on the screen, with what they do.
pub(super) fn keys_here<J: Job>(app: &App<J>) -> Vec<(&'static str, String)> {
    let able = Able::of(app);
    // Called away one goes from a command's own questions too; the foot has no room to say so.
    let away = app.place().asks() && able.shortcuts.contains(&Shortcut::Away);
    let mut keys =
        keymap::here(app.place(), |action| comes_to(app, &able, action) || away && *action == AWAY);
    if is_radial(app) {
        // Two of the four sides are drawn of it.
        keys.iter_mut().filter(|(key, _)| *key == "v").for_each(|(_, what)| {
            *what = what.replace("rear, left, front, right", "rear, front");
        });
    }
    keys
}

fn past_view<J: Job>(app: &App<J>, past: &Past) -> Option<PastView> {
    let (at, pages) = past.place();
    let (page, sifted) = past.page()?;
    Some(PastView {
        around: leafed(app, format!("page {} of {pages}", at + 1)),
        page,
        charts: past.charts(),
        sifted,
        searching: past.search().is_some(),
        scrolled: app.scrolled,
    })
}

fn table_view<J: Job>(app: &App<J>, list: &List) -> TableView {
    let choosing = match list.what {
        // In a search digits are letters like others.
        Listed::Shop | Listed::Kinds if list.search.is_some() => Choosing::ReadOnly,
        Listed::Shop
        | Listed::Kinds
        | Listed::Engine
        | Listed::More
        | Listed::Meanwhile
        | Listed::Kept
        | Listed::Records => Choosing::Numbered,
        Listed::Compare | Listed::Record | Listed::Watched => Choosing::ReadOnly,
    };
    let shown = list.shown();
    let numbers = match list.what {
        Listed::More => shown.iter().map(|row| row + 1).collect(),
        _ => Vec::new(),
    };
    TableView {
        around: around(app, String::new()),
        title: list.table.title.clone(),
        lines: search_lines(list, shown.len()).chain(list.table.lines.iter().cloned()).collect(),
        head: list.table.head.clone(),
        rows: shown.into_iter().filter_map(|row| list.table.rows.get(row)).cloned().collect(),
        choosing,
        numbers,
        cursor: list.cursor,
        drawn: list.row().and_then(|row| list.table.drawings.get(row)).cloned(),
        large: list.large(),
        engine: match list.what {
            Listed::Kept => engine_where_free(app).map(|engine| engine.seen_from(app.seen)),
            _ => None,
        },
        ink: app.ink,
        sheet: match (&list.table.sheet, &list.search) {
            (Some(sheet), Some(search)) => Some(sifted(sheet, search).into()),
            (sheet, _) => sheet.clone(),
        },
    }
}

/// What is searched, or how one does.
fn search_lines(list: &List, shown: usize) -> impl Iterator<Item = String> {
    let all = list.table.words.len();
    let order = list.order_words().unwrap_or_default();
    let line = match &list.search {
        search if list.what == Listed::Kinds => {
            Some(kinds::search_line(search.as_deref(), &list.table.words))
        }
        Some(search) if list.what == Listed::Record && shown > 0 => {
            Some(format!("search: {search}_  {shown} of {all} lines"))
        }
        None if list.what == Listed::Record => None,
        _ if !matches!(list.what, Listed::Shop | Listed::Compare | Listed::Record) || all < 2 => {
            None
        }
        None if list.what == Listed::Compare => {
            Some(format!("{all} valves, {order}; letters search"))
        }
        None if list.order > 0 => Some(format!("{order}; letters search, digits choose")),
        None => Some("Letters search name, serial number, profile; digits choose.".into()),
        Some(search) if shown == 0 => Some(format!("search: {search}_  nothing found; Esc: all")),
        Some(search) if list.what == Listed::Compare || list.order > 0 => {
            Some(format!("search: {search}_  {shown} of {all}, {order}"))
        }
        Some(search) => Some(format!("search: {search}_  {shown} of {all}")),
    };
    line.into_iter()
}

/// What can be done with an engine of the list besides opening it.
pub(super) const OF_ENGINE: [(Action, &str); 5] = [
    (Action::Hours, "tell its running hours"),
    (Action::History, "the history of each valve, with charts"),
    (Action::Compare, "what moved: the last two services side by side"),
    (Action::Profile, "change or copy its profile"),
    (Action::Record, "read the record of a service"),
];

/// Lists that.
pub(super) fn of_engine(list: &List) -> Table {
    let engine = list.row().and_then(|row| list.table.rows.get(row)?.first());
    let rows = OF_ENGINE.iter().map(|(_, label)| vec![(*label).to_owned()]).collect();
    Table { title: engine.cloned().unwrap_or_default(), rows, ..Table::default() }
}

fn session_view<J: Job>(app: &App<J>, prompt: Prompt) -> SessionView {
    let taken_for = match (&app.job, app.entry.is_empty()) {
        (Some(job), false) => job.taken_for(app.form(), &app.entry),
        (Some(_) | None, _) => String::new(),
    };
    // A command's own questions do without, where there is no room to spare: it may ask about any valve.
    let beside = |job: &&J| app.forms.iter().all(|form| job.drawn_beside(form));
    let drawn = app.job.as_ref().filter(|job| app.top == Top::Nothing && beside(job));
    let seen_here = |engine: EngineView| Drawing::from(engine.seen_from(app.seen));
    SessionView {
        around: around(app, prompt.place.clone()),
        entry: if Place::of(&prompt) == Place::Choice { String::new() } else { app.entry.clone() },
        prompt,
        taken_for,
        was_said: app.was_said.as_ref().and_then(|said| note(app, Some(said))),
        engine: drawn.and_then(Job::drawing).map(seen_here),
        where_free: engine_where_free(app).map(seen_here),
        picture: app
            .job
            .as_ref()
            .filter(|_| asks_itself(app))
            .and_then(Job::picture)
            .map(|picture| PictureView { ink: app.ink, ..picture }),
        ink: app.ink,
        first: app.scrolled,
    }
}

/// The engine as it may stand in room that is left: also before the program is left, on the list of what was
/// kept, and beside a command's questions.
fn engine_where_free<J: Job>(app: &App<J>) -> Option<EngineView> {
    let job = app.job.as_ref()?;
    match app.forms.iter().find(|form| !job.drawn_beside(form)) {
        Some(form) => job.drawn_where_free_of(form),
        None => job.drawn_where_free(),
    }
}

pub(super) fn in_session(stage: Stage) -> bool {
    match stage {
        Stage::Kind | Stage::Before => false,
        Stage::Open | Stage::Closed => true,
    }
}

fn asks_itself<J: Job>(app: &App<J>) -> bool {
    app.forms.is_empty() && app.top == Top::Nothing
}
