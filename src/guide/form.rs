//! Small pieces that questions with several steps are put together from.

use super::limits::too_long;
use super::{Field, Prompt, Step, Typed};
use crate::domain::plain::plain;
use crate::domain::session::Input;

/// Starts a prompt; the rest is added by its methods.
pub(super) fn prompt(place: &str, title: impl Into<String>, ask: impl Into<String>) -> Prompt {
    Prompt {
        place: place.into(),
        title: title.into(),
        big: None,
        lines: Vec::new(),
        told: Vec::new(),
        shorter: None,
        more: Vec::new(),
        ask: ask.into(),
        field: Field::typed(Typed::Text),
    }
}

impl Prompt {
    /// Says how it is answered; what has to be seen before stays so, in whatever order it was said.
    pub(super) fn with(mut self, field: Field) -> Prompt {
        let whole = self.field.whole.max(field.whole);
        let of_any = self.field.of_any || field.of_any;
        self.field = Field { whole, of_any, ..field };
        self
    }

    pub(super) fn lines(mut self, lines: impl IntoIterator<Item = String>) -> Prompt {
        self.lines.extend(lines);
        self
    }

    pub(super) fn line(mut self, line: impl Into<String>) -> Prompt {
        self.lines.push(line.into());
        self
    }

    /// An answer speaks of all lines so far: each has to be seen before one counts.
    pub(super) fn whole(mut self) -> Prompt {
        self.field.whole = u16::try_from(self.lines.len()).unwrap_or(u16::MAX);
        self
    }

    /// Each answer speaks of all lines so far, whatever it is.
    pub(super) fn whole_for_any(mut self) -> Prompt {
        self.field.of_any = true;
        self.whole()
    }

    /// Puts warnings before all other lines: no answer counts before they are seen.
    pub(super) fn warned(mut self, warnings: Vec<String>) -> Prompt {
        let more = warnings.len();
        if more > 0 {
            self.lines.splice(0..0, warnings);
            if let Some(shorter) = &mut self.shorter {
                shorter.from += more;
            }
            let whole = usize::from(self.field.whole) + more;
            self.field.whole = u16::try_from(whole).unwrap_or(u16::MAX);
            self.field.of_any = true;
        }
        self
    }

    pub(super) fn more(mut self, line: impl Into<String>) -> Prompt {
        self.more.push(line.into());
        self
    }

    /// The large words are read out and written down, character by character.
    pub(super) fn read_out(mut self) -> Prompt {
        if let Some(big) = &mut self.big {
            big.read_out = true;
        }
        self
    }

    pub(super) fn big(mut self, text: impl Into<String>, caption: impl Into<String>) -> Prompt {
        let (text, caption) = (text.into(), caption.into());
        self.big = Some(Box::new(super::Big { text, caption, ..super::Big::default() }));
        self
    }

    /// Writes large what title and question say too, where there is room for it.
    pub(super) fn also_large(mut self, text: impl Into<String>) -> Prompt {
        if self.big.is_none() {
            let text = text.into();
            self.big =
                Some(Box::new(super::Big { text, gives_way: true, ..super::Big::default() }));
        }
        self
    }

    /// Writes a title of few and short words large, where nothing else is.
    pub(super) fn titled_large(self) -> Prompt {
        let title = self.title.clone();
        if can_be_large(&title) { self.also_large(title.to_uppercase()) } else { self }
    }

    /// Writes large the longest of these words that there is room for.
    pub(super) fn in_words_of(mut self, mut words: Vec<String>) -> Prompt {
        if let Some(big) = &mut self.big {
            big.text = words.pop().unwrap_or_default();
            big.longer = words;
        }
        self
    }

    /// Adds to the large words the same in the fewest characters.
    pub(super) fn in_short(mut self, short: impl Into<String>) -> Prompt {
        if let Some(big) = &mut self.big {
            big.short = short.into();
        }
        self
    }

    /// The large words and the question tell all that the title does.
    pub(super) fn large_for_title(mut self) -> Prompt {
        if let Some(big) = &mut self.big {
            big.for_title = true;
        }
        self
    }

    /// Adds to the large words what is to be done next.
    pub(super) fn then(mut self, next: Option<String>) -> Prompt {
        if let Some(big) = &mut self.big {
            big.then = next.unwrap_or_default();
        }
        self
    }

    /// As [`Prompt::then`], in many words and in few.
    pub(super) fn then_turn(self, next: Option<[String; 2]>) -> Prompt {
        let [whole, short] = next.unwrap_or_default();
        let mut prompt = self.then(Some(whole));
        if let Some(big) = &mut prompt.big {
            big.then_short = short;
        }
        prompt
    }
}

/// Tells whether words are few and short enough to be written large in a window of 60 columns.
pub(super) fn can_be_large(words: &str) -> bool {
    !words.is_empty()
        && words.split(' ').count() <= 3
        && words.split(' ').all(|word| word.chars().count() <= 10)
        && words.chars().all(|letter| letter.is_ascii_alphabetic() || " -".contains(letter))
}

/// Begins a sentence with a capital letter.
pub(super) fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

pub(super) fn take(input: Input) -> Step {
    Step::Do(Box::new(input))
}

/// Asks for a digit, then goes on with it; Enter alone gives `None` where the field allows it.
pub(super) fn pick<T>(
    prompt: Prompt,
    given: &[String],
    then: impl FnOnce(Option<u8>, &[String]) -> Step<T>,
) -> Step<T> {
    let Some((first, rest)) = given.split_first() else { return Step::Ask(prompt) };
    let typed = first.trim();
    if typed.is_empty() && prompt.field.enter.is_some() {
        return then(None, rest);
    }
    match typed.parse::<u8>().ok().filter(|&digit| prompt.field.offers(digit)) {
        Some(digit) => then(Some(digit), rest),
        None => Step::Refused(answers_are(&prompt, typed)),
    }
}

fn answers_are(prompt: &Prompt, typed: &str) -> String {
    let digits: Vec<String> =
        prompt.field.choices.iter().map(|choice| choice.digit.to_string()).collect();
    let said = if typed.is_empty() { "Enter alone".into() } else { format!("\"{typed}\"") };
    format!("{said} is no answer here: press {}", digits.join(", "))
}

/// Asks for something typed, then goes on with it, without blanks at its ends.
pub(super) fn type_in<T>(
    prompt: Prompt,
    given: &[String],
    then: impl FnOnce(&str, &[String]) -> Step<T>,
) -> Step<T> {
    let Some((first, rest)) = given.split_first() else { return Step::Ask(prompt) };
    let typed = first.trim();
    if typed.is_empty() && prompt.field.enter.is_none() {
        return Step::Refused("type an answer, then Enter".into());
    }
    match too_long(typed, &prompt.field) {
        Some(words) => Step::Refused(words),
        None => then(typed, rest),
    }
}

/// Passes over what was a slip and is typed again.
pub(super) fn after_slips(mut given: &[String]) -> &[String] {
    while let [slip, answer, rest @ ..] = given
        && may_be_a_slip(slip.trim())
        && answer.trim() == "2"
    {
        given = rest;
    }
    given
}

/// Asks for words that name a document or a person, or that say what was seen, then goes on with
/// them: only digits, or a single character, may be a slip on the number pad, and are asked about once.
pub(super) fn in_words<T>(
    ask: Prompt,
    given: &[String],
    then: impl FnOnce(&str, &[String]) -> Step<T>,
) -> Step<T> {
    let given = after_slips(given);
    let Some((first, rest)) = given.split_first() else { return Step::Ask(ask) };
    let typed = first.trim();
    if !may_be_a_slip(typed) || too_long(typed, &ask.field).is_some() {
        return type_in(ask, given, then);
    }
    let doubt =
        prompt(&ask.place, ask.title.clone(), format!("\"{}\": is that meant?", plain(typed)))
            .line(ask.ask.clone())
            .also_large(plain(typed).to_uppercase())
            .with(Field::choice(&[(1, "yes, keep it as typed"), (2, "no, type it again")]));
    let Some((answer, rest)) = rest.split_first() else { return Step::Ask(doubt) };
    match answer.trim() {
        "1" => then(typed, rest),
        other => Step::Refused(answers_are(&doubt, other)),
    }
}

fn may_be_a_slip(typed: &str) -> bool {
    let digits = !typed.is_empty() && typed.chars().all(|one| one.is_ascii_digit());
    digits || typed.chars().count() == 1
}

/// Asks for a whole number.
pub(super) fn count<T>(
    prompt: Prompt,
    given: &[String],
    then: impl FnOnce(u32, &[String]) -> Step<T>,
) -> Step<T> {
    type_in(prompt, given, |typed, rest| match typed.parse::<u32>() {
        Ok(number) => then(number, rest),
        Err(_) => Step::Refused(format!("\"{typed}\" is no whole number: type digits, then Enter")),
    })
}

/// Asks for a reason: by digit, or in own words.
pub(super) fn reason<T>(
    place: &str,
    title: &str,
    usual: &[&str],
    given: &[String],
    then: impl FnOnce(String, &[String]) -> Step<T>,
) -> Step<T> {
    reason_of(prompt(place, title, "Why?"), usual, given, then)
}

/// Asks for a reason below words that say what follows from it.
pub(super) fn reason_of<T>(
    ask: Prompt,
    usual: &[&str],
    given: &[String],
    then: impl FnOnce(String, &[String]) -> Step<T>,
) -> Step<T> {
    let ask = ask.titled_large().also_large("WHY");
    told(ask, "Why, in a few words?", usual, given, then)
}

/// Asks for words of which the usual ones have a digit each, and all others are typed: asked for in `own` words.
pub(super) fn told<T>(
    ask: Prompt,
    own: &str,
    usual: &[&str],
    given: &[String],
    then: impl FnOnce(String, &[String]) -> Step<T>,
) -> Step<T> {
    let mut choices: Vec<(u8, &str)> = (1..).zip(usual.iter().copied()).collect();
    choices.push((9, "in my own words"));
    let own = Prompt { ask: own.into(), ..ask.clone() };
    pick(ask.with(Field::choice(&choices)), given, |digit, rest| {
        let chosen = digit.and_then(|digit| usual.get(usize::from(digit).checked_sub(1)?).copied());
        match chosen {
            Some(words) => then(words.to_string(), rest),
            None => in_words(own, rest, |typed, rest| then(typed.to_string(), rest)),
        }
    })
}
