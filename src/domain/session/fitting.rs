//! Taking parts out and putting them in: what is taken, what is refused, how a size is read.

use super::checklist;
use super::decide::{Decided, given, one, page_figure};
use super::due::Due;
use super::input::Input;
use super::open::OpenItem;
use super::parts::OutPart;
use super::refusal::Refusal;
use super::state::State;
use crate::domain::entry::{Entry, Part, PartKind, Skip, Skipped};
use crate::domain::profile::Adjuster;
use crate::domain::units::Length;
use crate::domain::valve::Valve;

/// A shim is between half the thinnest and twice the thickest that the profile lists.
const SIZE_SLIP: i64 = 2;

impl State {
    pub(super) fn decide_parts(&self, input: &Input) -> Decided {
        match (input, self.due()) {
            (
                Input::CamsOut { .. } | Input::PartOut { .. },
                Due::PartsList | Due::ChangeRod(..),
            ) if self.is_rough_look() => Err(Refusal::OnlyALook),
            (Input::PartOut { valve, part, marked, measured }, _) => {
                self.known(*valve)?;
                let out = self.is_out(*valve, *part);
                // What was said of its size, or that nobody could tell it, is no last word while it is out.
                let told = !(marked.trim().is_empty() && measured.trim().is_empty());
                let late = self.is_own_part(*part) && marked.trim() != Part::NOT_TOLD;
                let tells = told && (self.sizes_owed.contains(&(*valve, *part)) || late);
                if *part == PartKind::Cam || out && !tells {
                    return Err(Refusal::NotNow);
                }
                let mut told = self.part_entry(*valve, *part, (marked, measured), true)?;
                told.size_only = out;
                one(Entry::Part(told))
            }
            (Input::PartIn { valve, part, marked, measured }, _) => {
                if !self.is_out(*valve, *part) {
                    return Err(Refusal::NotNow);
                }
                one(Entry::Part(self.part_entry(*valve, *part, (marked, measured), false)?))
            }
            (Input::CamsOut { bank }, _) => one(self.cams_out(bank.as_deref(), None)?),
            (Input::CamsIn { bank, digit }, _) => self.cams_in(bank.as_deref(), *digit),
            (Input::LeaveAllAsIs { why }, Due::PartsList) => {
                let why = given(why)?;
                let leave = |valve| Entry::Skip(Skip::of(Skipped::Setting(valve), why.clone()));
                Ok(self.to_change().into_iter().map(leave).collect())
            }
            _ => Err(Refusal::NotNow),
        }
    }

    /// Tells whether a part is out of which nobody could tell the size, so that it may still be measured.
    pub fn may_tell_size(&self, valve: Valve, part: PartKind) -> bool {
        let unknown = self.is_own_part(part) && self.fitted_size(valve).is_none();
        unknown && self.is_out(valve, part)
    }

    pub(super) fn is_out(&self, valve: Valve, part: PartKind) -> bool {
        self.parts_out.iter().any(|out| out.valve == Some(valve) && out.part == part)
    }

    /// Makes the entry by which the cams of a bank are out; `but` those that it is told instead of.
    pub(super) fn cams_out(
        &self,
        bank: Option<&str>,
        but: Option<Option<&str>>,
    ) -> Result<Entry, Refusal> {
        let banks = &self.facts().layout.banks;
        if let Some(name) = bank
            && !banks.iter().any(|bank| bank.name == name)
        {
            return Err(Refusal::Unreadable(format!("there is no bank {name}")));
        }
        if let Some(&valve) = self.unloaded.iter().next() {
            return Err(Refusal::Unloaded(valve));
        }
        let under = self.cylinders_under(bank);
        let cams = self.parts_out.iter().filter(|out| out.part == PartKind::Cam);
        let mut others = cams.filter(|out| but != Some(out.bank.as_deref()));
        let over = |out: &OutPart| {
            let there = self.cylinders_under(out.bank.as_deref());
            there.iter().any(|cylinder| under.contains(cylinder))
        };
        if others.any(over) {
            return Err(Refusal::NotNow);
        }
        Ok(cam_entry(bank, true, None))
    }

    /// Cams go in over what lies under them, and only with their timing marks seen.
    fn cams_in(&self, bank: Option<&str>, digit: u8) -> Decided {
        let cams = |out: &&OutPart| out.part == PartKind::Cam && out.bank.as_deref() == bank;
        if !self.parts_out.iter().any(|out| cams(&out)) {
            return Err(Refusal::NotNow);
        }
        let under = self.cylinders_under(bank);
        let beneath = self
            .parts_out
            .iter()
            .find(|out| out.valve.is_some_and(|valve| under.contains(&valve.cylinder)));
        if let Some(out) = beneath {
            return Err(Refusal::OpenItem(
                OpenItem::PartOut(out.clone()).words(&|valve| self.name_of(valve)),
            ));
        }
        let line = checklist::timing_marks(bank);
        let state = line.state(digit).ok_or(Refusal::NoSuchAnswer(digit))?;
        if !state.good {
            let words =
                "nothing turns until the timing marks stand as the manual shows: look again";
            return Err(Refusal::Unreadable(words.into()));
        }
        one(cam_entry(bank, false, Some(state.words.clone())))
    }

    pub(super) fn part_entry(
        &self,
        valve: Valve,
        part: PartKind,
        (marked, measured): (&str, &str),
        out: bool,
    ) -> Result<Part, Refusal> {
        let read = |typed: &str| match typed.trim() {
            "" => Ok(None),
            typed => self.part_size(part, typed).map(Some),
        };
        let typed = if marked.trim().is_empty() { measured } else { marked }.trim().to_string();
        let same = !out && self.is_own_part(part) && typed == Part::SAME_ONE;
        let not_told = out && typed == Part::NOT_TOLD;
        let marked = match (same, not_told) {
            (true, _) => self.fitted_size(valve),
            (false, true) => None,
            (false, false) => read(marked)?,
        };
        let measured = read(measured)?;
        // The same one goes back as it came out, even where nobody measured it.
        let sized = same || marked.or(measured).is_some();
        if !out && part == PartKind::Shim && self.changes_shims() && !sized {
            return Err(Refusal::TextMissing("the size of the shim that goes in"));
        }
        let (valve, bank, seen, size_only) = (Some(valve), None, None, false);
        let undoes_less = true;
        Ok(Part { valve, part, out, marked, measured, typed, bank, seen, size_only, undoes_less })
    }

    /// Reads the size of a shim; refused where it is none of this engine.
    ///
    /// # Errors
    ///
    /// Where it is no length, or far from every shim of the profile.
    pub fn shim_size(&self, typed: &str) -> Result<Length, Refusal> {
        self.part_size(PartKind::Shim, typed.trim())
    }

    /// Reads the difference of a push rod from standard.
    ///
    /// # Errors
    ///
    /// Where it is no length.
    pub fn rod_size(&self, typed: &str) -> Result<Length, Refusal> {
        self.part_size(PartKind::Pushrod, typed.trim())
    }

    /// Reads a whole number of the unit, "3" for 3.00 mm, where the profile has shims about that size.
    fn whole_size(&self, typed: &str) -> Option<Length> {
        let Adjuster::Shim { sizes } = &self.facts().adjuster else { return None };
        let whole = matches!(typed.as_bytes(), [b'1'..=b'9']).then(|| format!("{typed}.0"))?;
        let size = page_figure(&whole, self.facts().unit).ok()?;
        (sizes.iter().min()? <= &size && &size <= sizes.iter().max()?).then_some(size)
    }

    /// Reads a part's size: a shim's thickness, or a push rod's difference from standard.
    fn part_size(&self, part: PartKind, typed: &str) -> Result<Length, Refusal> {
        let unit = self.facts().unit;
        if part == PartKind::Pushrod {
            let (minus, bare) = match typed.strip_prefix(['-', '\u{2212}']) {
                Some(bare) => (true, bare),
                None => (false, typed.strip_prefix('+').unwrap_or(typed)),
            };
            let standard = bare.trim().chars().all(|digit| "0.,".contains(digit));
            let most = Length::from_mm(25);
            let size = match Length::parse(bare.trim(), Length::ZERO..=most) {
                Ok(size) => size,
                Err(_) if standard && !bare.trim().is_empty() => Length::ZERO,
                Err(_) => page_figure(bare, unit)?,
            };
            return Ok(if minus { Length::ZERO - size } else { size });
        }
        let size = self.whole_size(typed).map_or_else(|| page_figure(typed, unit), Ok)?;
        if let (Adjuster::Shim { sizes }, PartKind::Shim) = (&self.facts().adjuster, part)
            && let (Some(thin), Some(thick)) = (sizes.iter().min(), sizes.iter().max())
            && (size.nm() * SIZE_SLIP < thin.nm() || size.nm() > thick.nm() * SIZE_SLIP)
        {
            return Err(Refusal::Unreadable(format!(
                "{} is no shim of this engine, {} to {}: type the whole size (a mark may leave figures out)",
                size.text(unit),
                thin.digits(unit),
                thick.text(unit)
            )));
        }
        Ok(size)
    }
}

fn cam_entry(bank: Option<&str>, out: bool, seen: Option<String>) -> Entry {
    Entry::Part(Part {
        valve: None,
        part: PartKind::Cam,
        out,
        marked: None,
        measured: None,
        typed: String::new(),
        bank: bank.map(String::from),
        seen,
        size_only: false,
        undoes_less: true,
    })
}
