//! What one answer wrote: taking back takes back an answer, not a line.

use super::Session;
use super::due::FIGURES;
use super::put_back::put_back_by;
use crate::domain::entry::{Amended, At, Entry, Kept, On, Remark};
use crate::domain::valve::Kind;

impl Session {
    /// Returns what one press of the key that takes back would withdraw, the newest first: with a count the
    /// turn to where it was counted, or what was missing, which the same answer told; with what answered for
    /// open remarks those; with the page's figures of one kind of valve those of the other.
    pub fn last_answer(&self) -> Vec<&Kept> {
        let Some(last) = self.last_entry() else { return Vec::new() };
        let mut answer = vec![last];
        if let Some(told) = self.told_with(last) {
            return told;
        }
        answer.extend(self.missing_by(last).or_else(|| self.amended_with(last)));
        if !matches!(last.entry, Entry::Proof(_)) {
            return answer;
        }
        let mut before = self.kept.iter().rev().skip_while(|kept| kept.seq >= last.seq);
        let mut before = || before.next().filter(|kept| !self.is_void(kept.seq));
        let Some(turn) = before() else { return answer };
        let told_there = |overlap: &&Kept| {
            let (Entry::At(At::Stop { stop, .. }), Entry::At(At::SeenOverlap(seen))) =
                (&turn.entry, &overlap.entry)
            else {
                return false;
            };
            self.state.shown_by(*stop).is_some_and(|(cylinder, _)| cylinder == *seen)
        };
        if let Entry::At(At::Stop { .. } | At::SeenLoose(_)) = &turn.entry {
            answer.push(turn);
            answer.extend(before().filter(told_there));
        }
        answer
    }

    /// Returns the answer of which an entry is the last remark that it settles, the newest first: a check of
    /// closing up, or a leak test; `None` where it was settled by its own answer.
    fn told_with(&self, last: &Kept) -> Option<Vec<&Kept>> {
        let mut answer = Vec::new();
        for kept in self.kept.iter().rev().filter(|kept| !self.is_void(kept.seq)) {
            if kept.seq > last.seq {
                continue;
            }
            if matches!(kept.entry, Entry::On(On::Check { .. }) | Entry::LeakTest(_)) {
                let beside = |one: &&Kept| {
                    self.settled_text(one).is_some_and(|text| answers(&kept.entry, text))
                };
                let whole = !answer.is_empty() && answer.iter().all(beside);
                answer.push(kept);
                return whole.then_some(answer);
            }
            self.settled_text(kept)?;
            answer.push(kept);
        }
        None
    }

    /// Returns the figures of the other kind of valve that were amended just before by the same answer: the page
    /// rules for both at once.
    fn amended_with(&self, last: &Kept) -> Option<&Kept> {
        let before = self.kept.iter().rev().find(|kept| kept.seq < last.seq)?;
        let (kind, said) = self.by_the_page(last)?;
        let (other, said_before) = self.by_the_page(before)?;
        (kind != other && said == said_before && !self.is_void(before.seq)).then_some(before)
    }

    /// Returns of which kind the figures were amended to those of the page, with the source and why.
    fn by_the_page<'a>(&self, kept: &'a Kept) -> Option<(Kind, (&'a str, &'a str))> {
        let Entry::Amend(amend) = &kept.entry else { return None };
        let Amended::Figures { kind, target, least, most } = amend.what else { return None };
        let page = |figure| self.state.page.get(&(kind, figure));
        let mut read = FIGURES.iter().zip([target, least, most]);
        let all = read.all(|(figure, value)| page(*figure) == Some(&value));
        all.then_some((kind, (amend.source.as_str(), amend.why.as_str())))
    }

    /// Returns the words of the remark that an entry settles.
    fn settled_text(&self, kept: &Kept) -> Option<&str> {
        let Entry::Remark(Remark { settles: Some(seq), .. }) = &kept.entry else { return None };
        let mut remarks = self.state.remarks.iter();
        remarks.find_map(|(of, remark)| (of == seq).then_some(remark.text.as_str()))
    }

    /// Tells whether an entry only settles a remark by what was answered just before it.
    pub fn settles_by_itself(&self, kept: &Kept) -> bool {
        matches!(kept.entry, Entry::Remark(_)) && self.told_with(kept).is_some()
    }
}

/// Tells whether a check, or a leak test, answered for an open remark with these words, by itself.
fn answers(told: &Entry, remark: &str) -> bool {
    if let Entry::On(On::Check { id, digit, .. }) = told {
        put_back_by(id, *digit, remark)
    } else {
        matches!(told, Entry::LeakTest(test) if test.answers(remark))
    }
}
