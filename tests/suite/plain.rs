//! The guided session as plain prompts, from an empty data folder to the signature: a mechanic who
//! looks at what is asked and answers that, so that other words cannot shift an answer unseen.

use crate::cli::{Place, Shared, Shown, snapshot};
use std::collections::BTreeMap;
use std::io::{BufRead, Read};

/// A mechanic at the flat four, order 1-3-2-4, with its figures in thousandths.
#[derive(Default)]
pub struct Mechanic {
    /// What a valve reads, where it is not on target: the last reading stays.
    pub reads: BTreeMap<String, Vec<&'static str>>,
    /// What is typed while a valve is being set.
    pub tries: BTreeMap<String, &'static str>,
    /// The answers to questions that begin so, instead of the usual ones; each once.
    pub instead: Vec<(&'static str, &'static str)>,
    /// The input ends where this is asked.
    pub stops_at: Option<&'static str>,
    /// The input ends after so many lines.
    pub lines_at_most: Option<usize>,
    /// The figures on the manual's page, by the words of the question; empty = the flat four's.
    pub page: Vec<(&'static str, &'static str)>,
    /// What intake and exhaust read on target; `None` = the flat four's.
    pub on_target: Option<[&'static str; 2]>,
    /// Every question that was answered, as `place | title | about | ask`, with what was typed.
    pub said: Vec<(String, String)>,
    /// What was counted out, by item and bank.
    pub counted_out: BTreeMap<String, String>,
}

/// A question as it stands on the page.
struct Question<'a> {
    place: &'a str,
    title: &'a str,
    lines: Vec<&'a str>,
    ask: &'a str,
}

impl<'a> Question<'a> {
    /// Takes the last question of what was printed.
    fn last(printed: &'a str) -> Question<'a> {
        let page = printed.rsplit("\n\n").next().unwrap().trim_start_matches('\n');
        let mut lines: Vec<&str> =
            page.lines().filter(|line| !line.starts_with("OPEN: ")).collect();
        let ask = lines.pop().unwrap().trim();
        let head = lines.first().copied().unwrap_or("");
        let (place, title) =
            head.strip_prefix('[').and_then(|head| head.split_once("] ")).unwrap_or(("", ""));
        Question { place, title, lines: lines.split_off(1.min(lines.len())), ask }
    }

    /// What stands in brackets behind the large words.
    fn about(&self) -> &'a str {
        let large = self.lines.first().and_then(|line| line.split_once(" ("));
        large.map_or("", |(_, about)| about.trim_end_matches(')'))
    }

    /// Tells whether a digit may be pressed for something that begins so.
    fn offers(&self, digit: &str, words: &str) -> bool {
        let choice = format!("    {digit}  {words}");
        self.lines.iter().any(|line| line.starts_with(&choice))
    }
}

impl Mechanic {
    /// Answers the last question of what was printed; `None` where the input ends.
    pub fn answer(&mut self, printed: &str) -> Option<String> {
        let question = Question::last(printed);
        let Question { place, title, ask, .. } = question;
        let asked = format!("{place} | {title} | {} | {ask}", question.about());
        let stops = self.stops_at.is_some_and(|words| asked.contains(words))
            || self.lines_at_most.is_some_and(|most| self.said.len() >= most);
        if stops {
            return None;
        }
        let instead = self.instead.iter().position(|(words, _)| asked.contains(words));
        let answer = match instead {
            Some(place) => self.instead.remove(place).1.to_string(),
            None => {
                self.usual(&question).unwrap_or_else(|| panic!("nobody answers {asked}\n{printed}"))
            }
        };
        self.said.push((asked, answer.clone()));
        let again =
            self.said.iter().rev().take_while(|said| Some(*said) == self.said.last()).count();
        assert!(again < 9 && self.said.len() < 400, "asked the same again and again: {printed}");
        Some(answer)
    }

    fn usual(&mut self, question: &Question) -> Option<String> {
        let answer = self
            .in_prepare(question)
            .or_else(|| self.at_a_stop(question))
            .or_else(|| self.at_the_end(question))?;
        Some(answer)
    }

    fn in_prepare(&mut self, question: &Question) -> Option<String> {
        let Question { title, ask, .. } = *question;
        let answer = match ask {
            _ if ask.starts_with("Running hours now") => "",
            _ if ask.starts_with("Aircraft total time") => "",
            _ if question.offers("1", "J. Doe") => "1",
            _ if ask.starts_with("Name or initials") => "J. Doe",
            _ if ask.starts_with("Which document") => "Overhaul manual",
            _ if ask.starts_with("Its revision or date") => "7",
            _ if ask.starts_with("The page or paragraph") => "4-12",
            _ if ask.starts_with("Is this still the source") => "1",
            _ if ask.starts_with("Cylinder-head temperature") => "18",
            _ if question.offers("1", "the profile's leaves") => "1",
            _ if question.offers("1", "all valves: gauge, ") => "1",
            _ if self.page_figure(ask).is_some() => self.page_figure(ask)?,
            _ if ask.starts_with("Found? Are they") => "1",
            _ if ask.starts_with("Count all that lies about") => {
                ask.split_once("as in ")?.1.trim_end_matches([':', ' '])
            }
            _ if ask.starts_with("Has the engine run since") => "1",
            _ if ask.starts_with("All there? If not, the counts") => {
                let bank = question.lines.first()?.trim().rsplit_once(" (")?.0.to_lowercase();
                for line in &question.lines {
                    if let Some((count, item)) = line.trim().split_once(" × ") {
                        self.counted_out.insert(format!("{item} ({bank})"), count.into());
                    }
                }
                ""
            }
            _ if title.contains("make safe") || title.starts_with("Make safe") => "1",
            _ => return None,
        };
        Some(answer.into())
    }

    fn at_a_stop(&mut self, question: &Question) -> Option<String> {
        let Question { title, ask, .. } = *question;
        if ask.starts_with("What was found?") {
            return Some("1".into());
        }
        if ask.starts_with("What was it, what was done?") {
            return Some("1".into());
        }
        if let Some(expected) =
            ask.strip_suffix(" expected)").and_then(|ask| ask.rsplit('(').next())
        {
            return Some(expected.into());
        }
        if let Some(words) = title.strip_prefix("Gauge ") {
            let numbered = words.split(' ').nth(2).is_some_and(|word| word.parse::<u8>().is_ok());
            let valve: Vec<&str> =
                words.split([' ', ':']).take(if numbered { 3 } else { 2 }).collect();
            return Some(self.read(&valve.join(" ")).into());
        }
        if let Some(valve) = title.strip_prefix("Set ").and_then(|title| title.split_once(':')) {
            return Some(self.tries[valve.0].into());
        }
        let answer = match ask {
            "Is it left so?" => "1",
            "Did they stay loose?" | "Did they stay clear?" | "Did it stay loose?" => "1",
            "Did they stand still?" | "Did it stand still?" => "1",
            // The other's nut is slack: it tells nothing of the stroke.
            _ if ask.starts_with("Is the rocker of") => "1",
            _ if title.starts_with("The lifter of") => "1",
            _ if title == "Put the cams in" || title.starts_with("Turn it through") => "1",
            "What now?" if question.offers("1", "nut slackened") => "1",
            "How is the nut?" => "1",
            "How many threads show above the nut?" => "3",
            _ if ask.starts_with("What did it hold") => "74/80",
            _ => return None,
        };
        Some(answer.into())
    }

    /// Reads a figure from the manual's page.
    fn page_figure(&self, ask: &str) -> Option<&'static str> {
        let page = if self.page.is_empty() { &PAGE[..] } else { &self.page };
        let ask = ask.to_lowercase();
        page.iter().find(|(words, _)| ask.starts_with(words)).map(|(_, typed)| *typed)
    }

    fn read(&mut self, valve: &str) -> &'static str {
        let [intake, exhaust] = self.on_target.unwrap_or(["6", "12"]);
        let usual = if valve.contains("intake") { intake } else { exhaust };
        match self.reads.get_mut(valve).map(Vec::as_mut_slice) {
            None | Some([]) => usual,
            Some([last]) => last,
            Some(_) => self.reads.get_mut(valve).unwrap().remove(0),
        }
    }

    fn at_the_end(&self, question: &Question) -> Option<String> {
        let Question { place, title, ask, .. } = *question;
        let place = place.strip_prefix("PRACTICE · ").unwrap_or(place);
        let answer = match ask {
            _ if title.starts_with("Count in") => {
                let (item, bank) = question.about().rsplit_once(", ")?;
                let bank = bank.strip_suffix(" bank").unwrap_or(bank);
                let counted = self.counted_out.iter().find(|(what, _)| {
                    let (known, of) = what.rsplit_once(" (").unwrap();
                    known == item && of.starts_with(bank)
                });
                return counted.map(|(_, count)| count.clone());
            }
            _ if ask.starts_with("How was it seen") => "1",
            _ if ask.starts_with("Who signs") => "",
            _ if ask.starts_with("Kind of certificate") => "",
            "Its number:" => "",
            _ if title.starts_with("The statement") => "1",
            _ if ask.starts_with("Type another, or take this one") => "",
            _ if ask.starts_with("Running hours of the next check") => {
                // Where a valve is left out of its band no hours are proposed: two before the interval.
                let mut lines = question.lines.iter();
                let whole = lines.find_map(|line| line.trim().strip_prefix("Look sooner than "));
                let due = question.lines.iter().find_map(|line| {
                    let (hours, _) =
                        line.trim().strip_prefix("Type ")?.split_once(", the hours")?;
                    Some(hours.to_string())
                });
                if due.is_some() {
                    return due;
                }
                let whole = whole.and_then(|words| words.split(' ').next()?.parse::<f64>().ok());
                return Some(whole.map_or_else(String::new, |whole| format!("{:.1}", whole - 2.0)));
            }
            _ if title == "Sign and close" => "1",
            _ if question.offers("1", "") && place.starts_with("before the crank turns") => "1",
            _ if question.offers("1", "")
                && (place == "close up" || place == "run and leak check") =>
            {
                "1"
            }
            _ => return None,
        };
        Some(answer.into())
    }
}

/// The flat four's page: the profile's own figures, as different hands would type them.
const PAGE: [(&str, &str); 6] = [
    ("intake target", "6"),
    ("intake least", "0.005"),
    ("intake most", "7 thou"),
    ("exhaust target", "12"),
    ("exhaust least", "10"),
    ("exhaust most", "14"),
];

/// Standard input that a mechanic types into, seeing what was printed.
pub struct Questions<'a> {
    printed: Shared,
    seen: usize,
    line: Vec<u8>,
    mechanic: &'a mut Mechanic,
}

impl<'a> Questions<'a> {
    pub fn new(printed: Shared, mechanic: &'a mut Mechanic) -> Questions<'a> {
        Questions { printed, seen: 0, line: Vec::new(), mechanic }
    }
}

impl Read for Questions<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let n = self.fill_buf()?.read(into)?;
        self.consume(n);
        Ok(n)
    }
}

impl BufRead for Questions<'_> {
    fn fill_buf(&mut self) -> std::io::Result<&[u8]> {
        if self.line.is_empty() {
            let printed = self.printed.text();
            if let Some(answer) = self.mechanic.answer(&printed[self.seen..]) {
                self.line = format!("{answer}\n").into_bytes();
            }
            self.seen = printed.len();
        }
        Ok(&self.line)
    }

    fn consume(&mut self, n: usize) {
        self.line.drain(..n);
    }
}

const ADD: &[&str] = &["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "412.6"];
const SESSION: &[&str] = &["session", "trainer", "--plain"];

fn first_service(place: &Place) -> (Mechanic, Shown) {
    let mut mechanic = Mechanic::default();
    let shown = place.run_asked(SESSION, &mut mechanic);
    shown.done();
    (mechanic, shown)
}

#[test]
fn a_service_from_an_empty_folder_to_the_signature_takes_five_keys_a_valve_at_most() {
    let place = Place::new();
    place.run(ADD).done();
    let (mechanic, shown) = first_service(&place);
    assert!(shown.out.contains("This session is closed."), "{shown}");
    let keys = |answers: &[&(String, String)]| -> usize {
        answers.iter().map(|(_, typed)| typed.len() + 1).sum()
    };
    let all: Vec<_> = mechanic.said.iter().collect();
    let rounds: Vec<_> =
        all.iter().copied().filter(|(asked, _)| asked.starts_with("round")).collect();
    let gauged = rounds.iter().filter(|(asked, _)| asked.contains("| Gauge")).count();
    let visits = rounds.iter().filter(|(asked, _)| asked.contains("expected)")).count();
    println!(
        "{} lines, {} keys in all; at the engine {} lines, {} keys for {gauged} readings at {visits} stops: \
         {:.1} keys a reading, {:.1} keys a stop",
        all.len(),
        keys(&all),
        rounds.len(),
        keys(&rounds),
        keys(&rounds) as f64 / gauged as f64,
        keys(&rounds) as f64 / visits as f64,
    );
    assert_eq!(visits, gauged / 2);
    assert!(gauged >= 8 && keys(&rounds) <= 5 * gauged, "{:#?}", mechanic.said);
}

#[test]
fn a_valve_is_set_broken_off_with_the_nut_slack_gone_on_with_and_compared() {
    let place = Place::new();
    place.run(ADD).done();
    first_service(&place);
    place.later(60 * 24 * 90);
    let mut mechanic = Mechanic {
        reads: BTreeMap::from([
            ("3 exhaust".to_string(), vec!["8", "12"]),
            ("2 intake".to_string(), vec!["9", "6"]),
        ]),
        tries: BTreeMap::from([
            ("3 exhaust".to_string(), "10 12"),
            ("2 intake".to_string(), "7 6"),
        ]),
        instead: vec![("Running hours now", "510.2")],
        stops_at: Some("Set 3 exhaust"),
        ..Mechanic::default()
    };
    let broken_off = place.run_asked(SESSION, &mut mechanic);
    assert!(broken_off.done().ends_with("The session stays open; go on with it at any time.\n"));
    assert!(broken_off.out.contains("OPEN: NUT SLACK: 3 exhaust"), "{broken_off}");
    snapshot("plain_tag", place.run(&["tag", "trainer"]).done());
    let listed = place.run(&["sessions", "trainer"]);
    assert_eq!(
        listed.done().lines().map(|line| line.rsplit("  ").next().unwrap()).collect::<Vec<_>>(),
        ["signed, seal SEAL-CODE-01", "open"]
    );
    assert!(place.run(&["compare", "trainer"]).done().contains("not finished"));

    place.later(40);
    mechanic.stops_at = None;
    mechanic.said.clear();
    mechanic.instead.push(("| wedge-lock washer pair, right bank |", "11"));
    mechanic.instead.push(("12 came off, 11 counted", "12"));
    let gone_on = place.run_asked(SESSION, &mut mechanic);
    let first = |words: &str| {
        mechanic
            .said
            .iter()
            .position(|(asked, _)| asked.contains(words))
            .unwrap_or_else(|| panic!("{words} was not asked: {:#?}", mechanic.said))
    };
    assert!(gone_on.out.starts_with("Open: NUT SLACK: 3 exhaust"), "{gone_on}");
    // No line of it is cut for a window that there is none of.
    for line in gone_on.out.lines().take(3) {
        assert!(gone_on.out.contains(&format!("\n  {line}\n")), "{line}\n{gone_on}");
    }
    // The way back names the nut first; what is safe and where the crank stands come before it.
    let order = [first("make safe again"), first("Is the rocker of"), first("Set 3 exhaust")];
    assert!(order[0] == 0 && order.is_sorted(), "{order:?}");
    assert!(mechanic.instead.is_empty(), "not asked: {:?}", mechanic.instead);
    assert!(gone_on.out.contains("This session is closed."));
    snapshot("plain_compare", place.run(&["compare", "trainer"]).done());
    let name = place.journals()[1].file_stem().unwrap().to_string_lossy().into_owned();
    snapshot("plain_report", place.run(&["report", &name]).done());
}
