//! From events to keys: what the terminal says to somebody else is dropped, a sequence that came in
//! pieces is put together, and text that comes all at once is a paste, marked as one or not.
//!
//! One short line with its Enter last is taken as typed: on a slow line a person's keys arrive so.
//!
//! What a key that comes alone does to the screen is shown before it counts: the eye need not wait for
//! the ten milliseconds that tell a key from the beginning of a paste.

use crossterm::event::{self, Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use std::collections::VecDeque;
use std::io;
use std::time::Duration;

/// Keys further apart than this were pressed one by one.
const AT_ONCE: Duration = Duration::from_millis(10);
/// The pieces of one sequence are no further apart than this on a slow line.
const PIECES: Duration = Duration::from_millis(50);
/// An answer to somebody else is over after so much quiet.
const QUIET: Duration = Duration::from_millis(100);
/// Nobody types further ahead than this.
const TYPED_AHEAD: usize = 24;
/// A key held down repeats within this: every 20 to 40 ms in most terminals, 92 where no window system
/// is. No finger taps as fast.
const REPEATS: Duration = Duration::from_millis(130);
/// Most keys gathered before they are handed on.
const GATHERED: usize = 4096;

/// Where events come from.
pub trait Source {
    /// Waits for an event and tells whether there is one.
    ///
    /// # Errors
    /// The terminal cannot be read.
    fn ready(&mut self, wait: Duration) -> io::Result<bool>;
    /// Returns the next event, whenever it comes.
    ///
    /// # Errors
    /// The terminal cannot be read.
    fn read(&mut self) -> io::Result<Event>;
}

/// The terminal's own events.
pub struct Keyboard;

impl Source for Keyboard {
    fn ready(&mut self, wait: Duration) -> io::Result<bool> {
        event::poll(wait)
    }

    fn read(&mut self) -> io::Result<Event> {
        event::read()
    }
}

/// Makes a call of `wake` heard from here on, by the next wait for an event.
///
/// # Errors
/// The terminal cannot be read.
pub fn hear_wakes() -> io::Result<()> {
    event::poll(Duration::ZERO).map(drop)
}

/// Events as they count for the screens.
pub struct Input<S> {
    source: S,
    /// Read while looking ahead, and not looked at yet.
    unread: Option<Event>,
    /// Ready to be handed out.
    out: VecDeque<Event>,
    /// The paste handed out last may go on.
    pasting: bool,
}

impl<S: Source> Input<S> {
    /// Reads from a source.
    pub fn new(source: S) -> Input<S> {
        Input { source, unread: None, out: VecDeque::new(), pasting: false }
    }

    /// Returns what comes next; `typing` where characters go into an entry. `None` where nothing came
    /// for as long as `wait`.
    ///
    /// # Errors
    /// The terminal cannot be read.
    pub fn next(&mut self, typing: bool, wait: Option<Duration>) -> io::Result<Option<Event>> {
        self.next_seen(typing, wait, &mut |_| Ok(false))
    }

    /// As [`Input::next`]; a character that came alone is handed to `seen` at once, which tells whether it
    /// showed what the key will do. What it counts as is decided only when it is known what came with it;
    /// `None` too where it turns out to count as nothing, and is to be seen no longer.
    ///
    /// # Errors
    /// The terminal cannot be read, or what `seen` says.
    pub fn next_seen(
        &mut self,
        typing: bool,
        wait: Option<Duration>,
        seen: &mut dyn FnMut(KeyEvent) -> io::Result<bool>,
    ) -> io::Result<Option<Event>> {
        loop {
            if let Some(event) = self.out.pop_front() {
                return Ok(Some(event));
            }
            // What came while the program was busy may be several keys typed one by one.
            let late = self.ready(Duration::ZERO)?;
            self.pasting &= late;
            if let Some(wait) = wait
                && !self.ready(wait)?
            {
                return Ok(None);
            }
            match self.read()? {
                Event::Key(key) if opens_an_answer(key) => self.skip_answer()?,
                Event::Key(key) if is_plain(key, KeyCode::Esc) => self.after_escape(key)?,
                Event::Key(key) if letter(key).is_some() => {
                    let alone = !self.pasting && !self.ready(Duration::ZERO)?;
                    let shown = alone && seen(key)?;
                    self.gather(key, late || typing, shown)?;
                    if shown && self.out.is_empty() {
                        return Ok(None);
                    }
                }
                event => return Ok(Some(event)),
            }
        }
    }

    /// Drops the keys that were read and not handed out, and those that wait to be read; tells whether
    /// there were any. What else was heard stays.
    ///
    /// # Errors
    /// The terminal cannot be read.
    pub fn forget(&mut self) -> io::Result<bool> {
        let mut heard: Vec<Event> = self.out.drain(..).collect();
        while self.ready(Duration::ZERO)? {
            heard.push(self.read()?);
        }
        let all = heard.len();
        heard.retain(|event| !matches!(event, Event::Key(_) | Event::Paste(_)));
        let dropped = heard.len() < all;
        self.pasting = false;
        self.out.extend(heard);
        Ok(dropped)
    }

    /// Tells whether something came already.
    ///
    /// # Errors
    /// The terminal cannot be read.
    pub fn is_waiting(&mut self) -> io::Result<bool> {
        Ok(!self.out.is_empty() || self.ready(Duration::ZERO)?)
    }

    /// Tells whether a key is held down: whether it comes once more as soon as no finger taps. What
    /// came meanwhile is handed out as ever.
    ///
    /// # Errors
    /// The terminal cannot be read.
    pub fn repeats(&mut self, key: KeyEvent) -> io::Result<bool> {
        if self.out.is_empty() && self.ready(REPEATS)? {
            let event = self.read()?;
            self.unread = Some(event);
        }
        let next = self.out.front().or(self.unread.as_ref());
        let again = |event: &Event| {
            let pressed = |next: &KeyEvent| next.kind != KeyEventKind::Release;
            matches!(event, Event::Key(next) if next.code == key.code && pressed(next))
        };
        Ok(next.is_some_and(again))
    }

    fn ready(&mut self, wait: Duration) -> io::Result<bool> {
        Ok(self.unread.is_some() || self.source.ready(wait)?)
    }

    fn read(&mut self) -> io::Result<Event> {
        self.unread.take().map_or_else(|| self.source.read(), Ok)
    }

    /// Takes all characters that came at once with this one. Behind a key that was `shown` one other may
    /// answer what was seen, however soon: a program at the keys does so.
    fn gather(&mut self, first: KeyEvent, as_typed: bool, shown: bool) -> io::Result<()> {
        let mut keys = vec![first];
        let mut quiet = true;
        while self.ready(AT_ONCE)? {
            match self.read()? {
                Event::Key(key) if key.kind == KeyEventKind::Release => {}
                Event::Key(key) if letter(key).is_some() && keys.len() < GATHERED => keys.push(key),
                event => {
                    self.unread = Some(event);
                    quiet = false;
                    break;
                }
            }
        }
        let text: String = keys.iter().filter_map(|key| letter(*key)).collect();
        let one_line = text.find('\n').is_none_or(|end| end + 1 == text.len());
        let typed = match &*keys {
            [_] => true,
            [first, next] if shown && first.code != next.code => true,
            keys => as_typed && one_line && keys.len() <= TYPED_AHEAD,
        };
        if is_rest_of_an_answer(&text) {
            return Ok(());
        }
        if typed && !self.pasting {
            self.out.extend(keys.into_iter().map(Event::Key));
        } else {
            self.out.push_back(Event::Paste(text));
            self.pasting = !quiet;
        }
        Ok(())
    }

    /// Drops keys until the answer's end, or until it is quiet.
    fn skip_answer(&mut self) -> io::Result<()> {
        while self.ready(QUIET)? {
            match self.read()? {
                Event::Key(key) => match key.code {
                    KeyCode::Char('\\') => break,
                    KeyCode::Char('g') if key.modifiers == KeyModifiers::CONTROL => break,
                    _ => {}
                },
                event => self.out.push_back(event),
            }
        }
        Ok(())
    }

    /// Escape alone, or the first piece of a sequence: a hand is never so fast.
    fn after_escape(&mut self, escape: KeyEvent) -> io::Result<()> {
        if !self.ready(PIECES)? {
            self.out.push_back(Event::Key(escape));
            return Ok(());
        }
        match self.read()? {
            Event::Key(key) if is_plain(key, KeyCode::Char('[')) => self.pieces(false),
            Event::Key(key) if is_plain(key, KeyCode::Char('O')) => self.pieces(true),
            Event::Key(key)
                if matches!(key.code, KeyCode::Char(']' | 'P' | '_' | '^'))
                    && opens_an_answer(alt(key)) =>
            {
                self.skip_answer()
            }
            event => {
                self.out.push_back(Event::Key(escape));
                self.unread = Some(event);
                Ok(())
            }
        }
    }

    /// Reads the rest of a sequence: up to its final character.
    fn pieces(&mut self, single: bool) -> io::Result<()> {
        let mut rest = String::new();
        while self.ready(PIECES)? {
            match self.read()? {
                Event::Key(KeyEvent { code: KeyCode::Char(letter), .. }) => {
                    rest.push(letter);
                    if single || ('\u{40}'..='\u{7e}').contains(&letter) || rest.len() > 32 {
                        break;
                    }
                }
                event => {
                    self.unread = Some(event);
                    break;
                }
            }
        }
        let code = match rest.as_str() {
            "A" => KeyCode::Up,
            "B" => KeyCode::Down,
            "H" | "1~" => KeyCode::Home,
            "F" | "4~" => KeyCode::End,
            "5~" => KeyCode::PageUp,
            "6~" => KeyCode::PageDown,
            _ => return Ok(()),
        };
        self.out.push_back(Event::Key(code.into()));
        Ok(())
    }
}

fn alt(key: KeyEvent) -> KeyEvent {
    KeyEvent { modifiers: KeyModifiers::ALT, ..key }
}

fn is_plain(key: KeyEvent, code: KeyCode) -> bool {
    key.code == code
        && key.kind != KeyEventKind::Release
        && key.modifiers.difference(KeyModifiers::SHIFT).is_empty()
}

/// The character that a key stands for in a paste.
fn letter(key: KeyEvent) -> Option<char> {
    match key.code {
        code if !is_plain(key, code) => None,
        KeyCode::Char(letter) => Some(letter),
        KeyCode::Enter => Some('\n'),
        KeyCode::Tab => Some(' '),
        _ => None,
    }
}

/// Nothing is asked of the terminal here, but an answer to another program may still arrive; it
/// looks like Alt and one of these, followed by what looks like typing.
fn opens_an_answer(key: KeyEvent) -> bool {
    key.modifiers.contains(KeyModifiers::ALT)
        && matches!(key.code, KeyCode::Char(']' | 'P' | '_' | '^'))
}

/// An answer whose beginning is unknown to the reader of keys loses it there: `0;276;0c`.
fn is_rest_of_an_answer(text: &str) -> bool {
    let numbers = text.trim_end_matches(|letter: char| letter.is_ascii_alphabetic());
    text.len() == numbers.len() + 1
        && numbers.contains(';')
        && numbers.chars().all(|letter| letter.is_ascii_digit() || letter == ';')
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Events with the quiet before each, in milliseconds.
    struct Script(VecDeque<(u64, Event)>);

    impl Source for Script {
        fn ready(&mut self, wait: Duration) -> io::Result<bool> {
            let Some((quiet, _)) = self.0.front_mut() else { return Ok(false) };
            let there = Duration::from_millis(*quiet) <= wait;
            *quiet = quiet.saturating_sub(u64::try_from(wait.as_millis()).unwrap());
            Ok(there)
        }

        fn read(&mut self) -> io::Result<Event> {
            let next = self.0.pop_front();
            next.map(|(_, event)| event).ok_or_else(|| io::ErrorKind::UnexpectedEof.into())
        }
    }

    fn key(letter: char) -> Event {
        Event::Key(match letter {
            '\n' => KeyCode::Enter.into(),
            '\u{1b}' => KeyCode::Esc.into(),
            letter => KeyCode::Char(letter).into(),
        })
    }

    /// Plays texts, each after so much quiet, its characters 1 ms apart.
    /// Texts that come after so many milliseconds, their characters so many apart.
    fn typed(apart: u64, texts: &[(u64, &str)]) -> Input<Script> {
        let mut script = VecDeque::new();
        for (quiet, text) in texts {
            let times = std::iter::once(*quiet).chain(std::iter::repeat(apart));
            script.extend(times.zip(text.chars().map(key)));
        }
        Input::new(Script(script))
    }

    fn heard(typing: bool, texts: &[(u64, &str)]) -> Vec<Event> {
        let mut input = typed(1, texts);
        let mut heard = Vec::new();
        while let Ok(next) = input.next(typing, None) {
            heard.extend(next);
        }
        heard
    }

    fn keys(text: &str) -> Vec<Event> {
        text.chars().map(key).collect()
    }

    #[test]
    fn keys_pressed_one_by_one_stay_keys() {
        let slow = [(30, "1"), (30, "5"), (30, "\n"), (30, "q")];
        assert_eq!(heard(true, &slow), keys("15\nq"));
        assert_eq!(heard(false, &slow), keys("15\nq"));
        assert_eq!(heard(true, &[(300, "0.15\n")]), keys("0.15\n"), "a slow line");
        assert_eq!(heard(false, &[(0, "1"), (0, "2")]), keys("12"), "typed while busy");
    }

    #[test]
    fn text_that_comes_all_at_once_is_a_paste() {
        let paste = |text: &str| vec![Event::Paste(text.to_owned())];
        assert_eq!(heard(true, &[(300, "0.15\nq")]), paste("0.15\nq"));
        assert_eq!(heard(true, &[(300, "6\n7\n")]), paste("6\n7\n"));
        assert_eq!(heard(false, &[(300, "12")]), paste("12"), "where a digit answers");
        let long = "x".repeat(30) + "\n";
        assert_eq!(heard(true, &[(300, &long)]), paste(&long));
        // The end of a paste longer than what is gathered at a time is no typing either.
        let longer = "6\n".repeat(GATHERED / 2) + "7\n";
        let pastes = heard(true, &[(300, &longer)]);
        assert!(pastes.iter().all(|event| matches!(event, Event::Paste(_))), "{pastes:?}");
    }

    #[test]
    fn a_character_that_came_alone_is_seen_before_it_counts() {
        let seen = |typing: bool, texts: &[(u64, &str)]| {
            let (mut input, mut seen) = (typed(0, texts), Vec::new());
            let mut see = |key: KeyEvent| {
                seen.extend(letter(key));
                Ok(true)
            };
            while input.next_seen(typing, None, &mut see).is_ok() {}
            seen.into_iter().collect::<String>()
        };
        assert_eq!(seen(true, &[(30, "1"), (30, "5"), (30, "\n"), (30, "6")]), "15\n6");
        assert_eq!(seen(true, &[(30, "0.15\nq"), (30, "6\n7\n")]), "", "a paste");
        assert_eq!(seen(false, &[(30, "1"), (30, "2"), (30, "?q")]), "12", "where a digit answers");
        // A paste in two pieces may show its first character; that it is a paste is decided as ever.
        let pieces = [(30, "6"), (5, "\n7\n")];
        assert_eq!(seen(true, &pieces), "6");
        assert_eq!(heard(true, &pieces), [Event::Paste("6\n7\n".to_owned())]);
    }

    #[test]
    fn one_other_key_behind_one_that_was_shown_is_no_paste_however_soon_it_comes() {
        let heard = |shown: bool, text: &str| {
            let (mut input, mut heard) = (typed(5, &[(30, text)]), Vec::new());
            while let Ok(next) = input.next_seen(false, None, &mut |_| Ok(shown)) {
                heard.extend(next);
            }
            heard
        };
        let paste = |text: &str| vec![Event::Paste(text.to_owned())];
        assert_eq!(heard(true, "q1"), keys("q1"));
        assert_eq!(heard(false, "q1"), paste("q1"), "nothing was seen that it could answer");
        assert_eq!(heard(true, "11"), paste("11"), "a key that bounces answers once");
        assert_eq!(heard(true, "q12"), paste("q12"));
    }

    #[test]
    fn a_key_that_comes_again_faster_than_a_finger_is_held_down() {
        let told = |after: &[(u64, &str)]| {
            let mut input = typed(1, after);
            let held = input.repeats(KeyCode::Char('1').into()).unwrap();
            let mut rest = Vec::new();
            while let Ok(next) = input.next(false, None) {
                rest.extend(next);
            }
            (held, rest)
        };
        for quiet in [20, 33, 40, 92, 110] {
            assert_eq!(told(&[(quiet, "1")]), (true, keys("1")), "{quiet} ms");
        }
        for quiet in [150, 200, 300, 500, 700] {
            assert_eq!(told(&[(quiet, "1")]), (false, keys("1")), "{quiet} ms");
        }
        assert_eq!(told(&[(40, "2"), (40, "1")]), (false, keys("21")), "another key is none");
        assert_eq!(told(&[]), (false, keys("")));
    }

    #[test]
    fn what_was_seen_and_counts_as_nothing_is_told_so() {
        let (mut input, mut seen) = (typed(5, &[(30, "0;276;0c")]), String::new());
        let next = input.next_seen(true, None, &mut |key| {
            seen.extend(letter(key));
            Ok(true)
        });
        assert_eq!((seen.as_str(), next.unwrap()), ("0", None));
    }

    #[test]
    fn keys_that_are_forgotten_are_told_and_nothing_else_is_lost() {
        let resized = Event::Resize(80, 24);
        // The first is handed out, the second waits in the queue, the others are not read yet.
        let events = [key('1'), key('2'), resized.clone(), key('3'), Event::Paste("4".into())];
        let script = events.into_iter().zip([0, 1, 0, 0, 0]).map(|(event, quiet)| (quiet, event));
        let mut input = Input::new(Script(script.collect()));
        assert_eq!(input.next(false, None).unwrap(), Some(key('1')));
        assert!(input.out.len() == 1 && input.unread.is_some());
        assert!(input.forget().unwrap());
        assert_eq!(input.next(false, Some(Duration::ZERO)).unwrap(), Some(resized));
        assert_eq!(input.next(false, Some(Duration::ZERO)).unwrap(), None);
        assert!(!input.forget().unwrap(), "there was nothing more");
    }

    #[test]
    fn a_sequence_in_pieces_is_one_key_and_escape_alone_is_escape() {
        let up = vec![Event::Key(KeyCode::Up.into())];
        assert_eq!(heard(true, &[(300, "\u{1b}"), (30, "[A")]), up);
        assert_eq!(heard(true, &[(300, "\u{1b}"), (30, "OA")]), up);
        assert_eq!(heard(true, &[(300, "\u{1b}"), (30, "["), (30, "1;5C")]), []);
        assert_eq!(heard(true, &[(300, "\u{1b}"), (60, "6")]), keys("\u{1b}6"));
        assert_eq!(heard(true, &[(300, "\u{1b}"), (20, "6")]), keys("\u{1b}6"));
    }

    #[test]
    fn answers_to_somebody_else_are_dropped() {
        assert_eq!(heard(true, &[(300, "\u{1b}]11;rgb:1111/2222/3333\\"), (200, "6")]), keys("6"));
        assert_eq!(heard(true, &[(300, "0;276;0c"), (200, "6")]), keys("6"));
        assert_eq!(heard(true, &[(300, "\u{1b}]11;rgb:1"), (150, "6")]), keys("6"), "cut off");
        for typed in ["6c", "0.15 inc", "6;"] {
            assert!(!is_rest_of_an_answer(typed), "{typed}");
        }
    }
}
