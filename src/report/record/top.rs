//! The head of the record: what it is, whether it is signed, what to tell the owner, what is wrong.

use super::left_before::{left_before, signed_beside};
use super::owner::{completed, sentence_of, unsigned_sentence};
use super::valves::given_on;
use super::{Page, sentence};
use crate::domain::entry::Hours;
use crate::domain::service::{Ending, is_practice};
use crate::domain::session::WhyLeft;
use crate::domain::valve::Valve;
use crate::guide::named::typed_unit;
use crate::guide::{left_as_found, low_found};
use crate::report::dates;

const PRACTICE: &str = "EXAMPLE FIGURES, NOT FROM ANY MANUAL: practice, not a maintenance record";
const NO_SOURCE: &str = "NO SOURCE OF FIGURES NAMED YET: practice, not a maintenance record";
const DRAFT: &str = "This record is a draft for the signer, who answers for what it says. The \
                     rules that apply where the engine is operated come first.";
const SIGNED: &str = "A program drafted this record; the signer answers for what it says. The \
                      rules that apply where the engine is operated come first.";

/// What is said of a record beside which something is open.
const OPEN_BESIDE: &str = "This record does not say that it was closed. Do not release the engine before it was looked at.";

impl Page<'_> {
    /// Title, banner, state of the session, owner's sentence, valves out of limits.
    pub(super) fn top(&mut self) {
        self.sheet.line("", "VALVE-CLEARANCE SERVICE: RECORD");
        self.damage();
        self.banner();
        match self.service.ending {
            Ending::Signed => {
                self.for_the_owner();
                self.out_of_limits();
                self.low_leak_tests();
                self.left_by_others();
                self.missing_for_good();
                self.sheet.blank();
                self.state_of_session();
            }
            // What nobody answers for says so before anything else.
            Ending::Open | Ending::Unsigned(_) | Ending::Imported => {
                self.sheet.blank();
                self.state_of_session();
                self.for_the_owner();
                self.out_of_limits();
                self.low_leak_tests();
                self.left_by_others();
                self.missing_for_good();
            }
        }
    }

    /// What was missing at the count and is not found: it may lie in the engine.
    fn missing_for_good(&mut self) {
        let missing = self.accounted_for();
        if missing.is_empty() {
            return;
        }
        self.sheet.heading("PIECES MISSING, ACCOUNTED FOR");
        for words in missing {
            self.sheet.line("  ", &words);
        }
    }

    /// What is said of a file of which not all can be believed stands above everything else.
    fn damage(&mut self) {
        if !self.file.open_beside.is_empty() {
            let open = self.file.open_beside.join("; ");
            self.sheet.rule();
            self.sheet.line("", &format!("LEFT OPEN BY ANOTHER VERSION OF THIS SERVICE: {open}"));
            self.sheet.line("", OPEN_BESIDE);
            self.sheet.rule();
        }
        let Some(damage) = &self.file.damage else { return };
        self.sheet.rule();
        self.sheet.line("", &format!("{}: {}", self.file.distrust.heading(), sentence(damage)));
        self.sheet.line("", self.file.distrust.of_the_record());
        self.sheet.rule();
    }

    fn for_the_owner(&mut self) {
        self.sheet.heading("For the owner");
        if self.file.damage.is_some() {
            self.sheet.line("  ", self.file.distrust.for_the_owner());
            return;
        }
        let signed = self.state.sign.as_ref().map(|sign| sign.owner_sentence.trim());
        let own = signed.filter(|text| !text.is_empty()).map(String::from);
        let words = own.or_else(|| unsigned_sentence(self.session)).unwrap_or_else(|| {
            sentence_of((&self.service, self.state), self.history.as_ref(), self.earlier)
        });
        self.sheet.line("  ", &sentence(&words));
        if let Some(note) = other_hours(&words, self.service.due.chosen) {
            self.sheet.line("  ", &note);
        }
    }

    fn banner(&mut self) {
        let banner = match &self.state.source {
            None => NO_SOURCE,
            Some((source, said)) if is_practice(source, *said) => PRACTICE,
            Some(_) => return,
        };
        self.sheet.rule();
        self.sheet.line("", banner);
        self.sheet.rule();
    }

    fn state_of_session(&mut self) {
        let when = completed(self.session).map(dates::day_and_time);
        let when = when.unwrap_or_default();
        match self.service.ending.clone() {
            Ending::Signed => {
                let sign = self.state.sign.clone().unwrap_or_default();
                let signed = match self.file.to_be_signed {
                    true => format!("NOT SIGNED YET. To be signed by {}. {SIGNED}", sign.signer),
                    false => format!("Signed by {}, {when}. {SIGNED}", sign.signer),
                };
                self.sheet.line("", &signed);
                if let Some(code) = self.file.seal_code() {
                    self.sheet.line(
                        "",
                        &format!("Seal code {code}; what it is worth stands at the end."),
                    );
                }
            }
            Ending::Unsigned(why) => {
                let words = format!("CLOSED WITHOUT A SIGNATURE, {when}: {}", sentence(&why));
                self.sheet.line("", &words);
                self.sheet
                    .line("", "It may not have been carried to its end. Nobody answers for it.");
            }
            Ending::Imported => {
                let words = "NOT SIGNED HERE: made from a table of readings. Nothing of it was \
                             asked or checked at the engine by this program.";
                self.sheet.line("", words);
            }
            Ending::Open => {
                self.sheet.line("", "NOT FINISHED AND NOT SIGNED: the service is still open.");
                if let Some(text) = &self.state.away {
                    self.sheet.line("  called away  ", if text.is_empty() { "-" } else { text });
                }
                self.sheet.line("", DRAFT);
            }
        }
        for item in self.state.open_items() {
            self.sheet.line("  still open   ", &item.words(&|valve| self.state.name_of(valve)));
        }
    }

    /// Says why a valve was left. A reason that a version before this one leaned on stands as it was
    /// given, with what it was given on.
    fn why_left(&self, valve: Valve) -> String {
        match self.session.why_left(valve) {
            Some(WhyLeft::Holds(why)) => format!("reason: {why}"),
            Some(WhyLeft::SignedOn(given)) => {
                format!("reason given on {}: {}", given_on(&given), given.why)
            }
            None => "no reason given yet".into(),
        }
    }

    /// What is still as an earlier service left it stands here whatever the owner is told. Of a service
    /// that is signed it is what was kept beside the signature.
    fn left_by_others(&mut self) {
        let words = match &self.state.sign {
            Some(_) => signed_beside(self.session).map(String::from),
            None if self.service.ending == Ending::Imported => None,
            None => left_before(self.session, self.earlier),
        };
        let Some(words) = words else { return };
        self.sheet.heading("LEFT SO BEFORE");
        self.sheet.line("  ", &sentence(&words));
    }

    fn low_leak_tests(&mut self) {
        let low = low_found(self.state);
        if !low.is_empty() {
            self.sheet.heading("LOW LEAK TEST");
            low.iter().for_each(|words| self.sheet.line("  ", words));
        }
    }

    fn out_of_limits(&mut self) {
        let mut none = self.state.valves();
        none.retain(|&valve| self.state.left(valve).is_none());
        let wrong = self.state.left_outside();
        let found = left_as_found(self.state);
        if none.is_empty() && wrong.is_empty() && found.is_empty() {
            return;
        }
        let valves = !none.is_empty() || !wrong.is_empty();
        self.sheet.heading(match (&self.service.ending, valves) {
            (_, false) => "LEFT AS FOUND",
            (Ending::Signed, true) if self.file.to_be_signed => "TO BE SIGNED FOR OUT OF LIMITS",
            (Ending::Signed, true) => "SIGNED FOR OUT OF LIMITS",
            (Ending::Open | Ending::Unsigned(_) | Ending::Imported, true) => {
                "OUT OF LIMITS, OR WITHOUT A FIGURE"
            }
        });
        for (verdict, valve) in wrong {
            let band = self.state.band(valve);
            let taken = self.state.left(valve).map_or(String::new(), |taken| {
                typed_unit(&taken.reading.typed, taken.reading.unit)
            });
            let (least, most) = (band.least.digits(self.unit), band.most.text(self.unit));
            let why = self.why_left(valve);
            let word = verdict.word();
            let words = format!("{word}, left reading {taken}, band {least} to {most}; {why}");
            self.sheet.line(&format!("  {valve:<12}  ", valve = self.state.name_of(valve)), &words);
        }
        if !none.is_empty() {
            self.sheet.line("  no as-left figure: ", &self.named(none));
        }
        for words in found {
            self.sheet.line("  ", &words);
        }
    }
}

/// Says which next check was signed for, where the sentence has other hours to look again by.
fn other_hours(sentence: &str, chosen: Option<Hours>) -> Option<String> {
    let own = chosen?;
    let sentence = sentence.to_lowercase();
    let (_, told) = sentence.split_once("look again")?;
    let told = hours_in(told);
    (!told.is_empty() && !told.contains(&own)).then(|| {
        format!("As signed, the next check is at {own} h: other hours in this sentence are not.")
    })
}

/// Reads the figures before an "h" or "hours".
fn hours_in(text: &str) -> Vec<Hours> {
    let is_unit = |word: &str| {
        matches!(word.trim_end_matches(|end: char| end.is_ascii_punctuation()), "h" | "hours")
    };
    let figure = |word: &str| Hours::parse(word).ok();
    let words: Vec<&str> = text.split_whitespace().collect();
    let apart = words.windows(2).filter(|pair| is_unit(pair[1])).filter_map(|pair| figure(pair[0]));
    let joined = words.iter().filter_map(|word| {
        let end = word.find(|letter: char| letter.is_ascii_alphabetic())?;
        let (number, unit) = word.split_at_checked(end)?;
        figure(number).filter(|_| is_unit(unit))
    });
    apart.chain(joined).collect()
}
