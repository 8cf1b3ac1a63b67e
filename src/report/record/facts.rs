//! The engine, the service, where its figures come from, and what it was gauged with.

use super::by_profile::WORKED_OUT;
use super::owner::completed;
use super::{Page, counted, listed, sentence};
use crate::domain::clock;
use crate::domain::entry::{Amended, Condition, Entry, Figure, Rounds};
use crate::domain::plan::PlanChoice;
use crate::domain::profile::Figures;
use crate::domain::service::{is_practice, source_words};
use crate::domain::session::RoundKind;
use crate::domain::valve::{Kind, Valve};
use crate::guide::ways::way_words;
use crate::report::dates;

const UNKNOWN: &str = "not written down";

impl Page<'_> {
    /// The engine and its hours.
    pub(super) fn engine(&mut self) {
        let begin = &self.state.begin;
        let or_unknown = |text: &Option<String>| text.clone().unwrap_or(UNKNOWN.into());
        let hours = match (begin.hours, &begin.hours_why) {
            (Some(hours), Some(why)) => format!("{hours} h ({why})"),
            (Some(hours), None) => format!("{hours} h"),
            (None, _) => UNKNOWN.into(),
        };
        let hours = match self.earlier.corrected {
            Some(really) => {
                format!("{really} h, as corrected since; kept in this service: {hours}")
            }
            None => hours,
        };
        let total = begin.total_time.map(|total| format!("{total} h in service"));
        let no_total = "not written down: ____________ h (an inspection entry asks for it)";
        let sheet = &mut self.sheet;
        sheet.heading("Engine");
        sheet.field("engine", &or_unknown(&begin.engine));
        sheet.field("serial number", &or_unknown(&begin.serial));
        sheet.field("running hours", &hours);
        sheet.field("aircraft total", total.as_deref().unwrap_or(no_total));
    }

    /// Name and dates of the service, its type and extent, and the program.
    pub(super) fn service(&mut self) {
        let head = &self.session.head;
        let session = match self.state.begin.name.as_deref() {
            Some(name) => format!("{name} (id {})", head.session),
            None => format!("id {}", head.session),
        };
        let began = self.service.began.map_or(UNKNOWN.into(), dates::day_and_time);
        let done = completed(self.session).map(dates::day_and_time);
        let extent = self.extent();
        let profile = &self.state.profile;
        let profile = format!("{} ({})", profile.name, profile.profile.name);
        let sheet = &mut self.sheet;
        sheet.heading("Service");
        sheet.field("type and extent", &extent);
        sheet.field("session", &session);
        if let Some(old) = &self.state.begin.corrects {
            sheet.field("corrects", &format!("session {old}"));
        }
        sheet.field("began", &began);
        sheet.field("completed", done.as_deref().unwrap_or("not yet: ____________"));
        sheet.field("profile", &profile);
        sheet.field("program", &format!("cowlside {}", head.program));
        self.redated();
        for doubt in clock::doubts_of(&self.session.kept) {
            self.sheet.field("clock doubtful", &doubt.to_string());
        }
        self.way_round();
        if let Some(previous) = self.previous {
            let began = previous.began.map_or(UNKNOWN.into(), dates::day);
            let hours = previous.hours.map_or(UNKNOWN.into(), |hours| format!("{hours} h"));
            let words = format!("{}, {began}, {hours}", previous.called());
            self.sheet.field("compared with", &words);
        }
        let conditions = self.since.iter().flat_map(|since| &since.conditions);
        for condition in conditions {
            self.sheet.field("", &format!("- {condition}"));
        }
    }

    /// Says what was done in the words that an entry asks for: type of work and its extent.
    fn extent(&self) -> String {
        let valves = self.state.valves();
        let facts = self.state.facts();
        let one_only = self.state.begin.scope.as_ref().is_some_and(|scope| scope.len() == 1);
        let scope = match &self.state.begin.scope {
            Some(scope) if !scope.is_empty() => {
                let why = self.state.begin.scope_why.as_ref();
                let why = why.map_or(String::new(), |why| format!(", because: {why}"));
                let mut scope = scope.clone();
                scope.sort_unstable();
                let word = if scope.len() == 1 { "cylinder" } else { "cylinders" };
                format!("{word} {} only{why}", listed(scope))
            }
            Some(_) | None => format!("all {}", counted(facts.cylinders(), "cylinder")),
        };
        let outside: Vec<Valve> =
            valves.iter().copied().filter(|valve| !self.state.in_scope(valve.cylinder)).collect();
        let (before, here): (Vec<Valve>, Vec<Valve>) =
            outside.into_iter().partition(|valve| self.state.left_open_before(*valve));
        let beside =
            [(before, "left open by an earlier service"), (here, "opened in this service")];
        let beside = beside.into_iter().filter(|(valves, _)| !valves.is_empty());
        let them = if one_only { "it" } else { "them" };
        let scope = beside.fold(scope, |scope, (valves, how)| {
            format!("{scope}, and beside {them} {}, {how}", self.named(valves))
        });
        let hot = if facts.gauge_when.hot { "hot" } else { "cold" };
        let gauged = self.gauged(&valves);
        let (touched, mut worked_on) = self.touched();
        worked_on.retain(|valve| self.state.current(*valve).is_some());
        let set = match touched.len() {
            0 => "none adjusted".to_string(),
            count => format!("{} adjusted: {}", counted(count, "valve"), self.named(touched)),
        };
        let worked_on = match worked_on.len() {
            0 => String::new(),
            count => format!(
                "; {} gauged after work on the cylinder, not adjusted: {}",
                counted(count, "valve"),
                self.named(worked_on)
            ),
        };
        sentence(&format!(
            "Inspection of valve clearances, engine {hot}, {scope}: {gauged}; {set}{worked_on}"
        ))
    }

    /// Counts the valves that were gauged, and names those that were opened after it: of how they stand now those
    /// figures tell nothing.
    fn gauged(&self, valves: &[Valve]) -> String {
        let mut gauged = valves.to_vec();
        gauged.retain(|valve| self.state.was_gauged(*valve));
        let words = format!("{} of {} gauged", gauged.len(), counted(valves.len(), "valve"));
        gauged.retain(|valve| self.state.current(*valve).is_none());
        match gauged.len() {
            0 => words,
            _ => format!("{words}, of which not since opened: {}", self.named(gauged)),
        }
    }

    fn redated(&mut self) {
        for kept in self.entries() {
            let Entry::Redate(redate) = &kept.entry else { continue };
            let clock = self.session.began().map_or(UNKNOWN.into(), dates::day);
            let words = format!(
                "{}; the clock said {clock}: {} Other days are as the clock had them.",
                redate.day,
                sentence(&redate.why)
            );
            self.sheet.field("day corrected", &words);
        }
    }

    fn way_round(&mut self) {
        let rounds = match self.state.begin.rounds {
            None => "not chosen yet",
            Some(Rounds::SetThenRecheck) => "gauged and set, then all gauged once more",
            Some(Rounds::SurveySetRecheck) => {
                "all gauged and nothing touched, then set, then all gauged once more"
            }
            Some(Rounds::SurveyOnly) if self.state.changes_shims() => {
                "all gauged, then shims changed, then gauged what was taken apart"
            }
            Some(Rounds::SurveyOnly) if self.state.changes_rods() => {
                "all gauged, then push rods changed and gauged at their stops"
            }
            Some(Rounds::SurveyOnly) => "all gauged, then a second look at what was out",
        };
        let mut words = rounds.to_string();
        let added = |kind| self.state.added.iter().filter(|one| **one == kind).count();
        for (kind, why) in
            [(RoundKind::AsLeft, "for what failed"), (RoundKind::Recheck, "after the run")]
        {
            if added(kind) > 0 {
                words += &format!("; {} more {why}", counted(added(kind), "round"));
            }
        }
        self.sheet.field("rounds", &words);
        for (round, (_, why)) in &self.state.rounds_skipped {
            self.sheet.field("", &format!("rest of round {} passed over: {why}", round + 1));
        }
        match &self.state.plan {
            Ok(plan) => {
                if self.state.begin.way() != PlanChoice::default() {
                    self.sheet.field("way round", &way_words(&self.state.begin));
                }
                if let Some(caveat) = plan.caveat {
                    self.sheet.field("plan", caveat);
                }
            }
            Err(why) => self.sheet.field("plan", &format!("none: {why}")),
        }
    }

    /// Where the figures come from, and how they came to be taken.
    pub(super) fn data(&mut self) {
        self.sheet.heading("Source of figures (the data referred to)");
        let (source, how) = match &self.state.source {
            None => {
                let own = source_words(&self.state.facts().source);
                (format!("none named; the profile says: {own}"), "the profile's own figures")
            }
            Some((source, said)) if is_practice(source, *said) => {
                (source_words(source), "example figures: practice only")
            }
            Some((source, _)) if self.state.source_confirmed => {
                (source_words(source), "the same as last time, confirmed by the mechanic")
            }
            Some((source, _)) => (source_words(source), "figures typed from its page:"),
        };
        self.sheet.field("document", if source.is_empty() { "none" } else { &source });
        self.sheet.field("how taken", how);
        for kind in Kind::BOTH {
            let of = |figure| self.state.page.get(&(kind, figure)).copied();
            let read =
                [("target", Figure::Target), ("least", Figure::Least), ("most", Figure::Most)];
            let read = read.into_iter().filter_map(|(word, figure)| {
                Some(format!("{word} {}", of(figure)?.text(self.unit)))
            });
            let words = listed(read);
            if !words.is_empty() {
                self.sheet.field("", &format!("{}: {words}", kind.word()));
            }
        }
        self.by_profile();
        self.amendments();
    }

    fn amendments(&mut self) {
        for kept in self.entries() {
            let Entry::Amend(amend) = &kept.entry else { continue };
            let what = match &amend.what {
                Amended::Figures { kind, target, least, most } => format!(
                    "{}: target {}, limits {} to {}",
                    kind.word(),
                    target.text(self.unit),
                    least.digits(self.unit),
                    most.text(self.unit)
                ),
                Amended::Profile(profile) => format!("profile replaced by {}", profile.name),
            };
            let words = format!(
                "{what}; source: {}; reason: {} ({})",
                amend.source,
                amend.why,
                self.stamp(kept.at)
            );
            self.sheet.field("amended", &words);
        }
    }

    /// Temperatures, limit, leaves.
    pub(super) fn condition(&mut self) {
        self.sheet.heading("Gauged");
        self.sheet.field("engine", &self.state.facts().gauge_when.words());
        if self.state.condition.is_none() {
            self.sheet.field("head", UNKNOWN);
        }
        for kept in self.entries() {
            match &kept.entry {
                Entry::Condition(condition) => self.one_condition(condition, &self.stamp(kept.at)),
                Entry::Leaves(set) => {
                    let words = format!("{} ({})", set.name, self.stamp(kept.at));
                    self.sheet.field("leaf set", &words);
                }
                _ => {}
            }
        }
    }

    fn one_condition(&mut self, condition: &Condition, stamp: &str) {
        let Condition { head, air, against_limit, .. } = condition;
        if let Some(head) = head {
            let air = air.map_or(String::new(), |air| format!(", air {}", air.both()));
            self.sheet.field("head", &format!("{}{air} ({stamp})", head.both()));
        }
        if let Some(why) = against_limit {
            self.sheet.field("OUTSIDE THE LIMIT", &format!("gauged all the same: {why} ({stamp})"));
        }
    }

    /// Target and limits of each kind of valve, as they rule now.
    pub(super) fn figures(&mut self) {
        for kind in Kind::BOTH {
            let Figures { target, least, most, set_least, set_most } = self.state.figures(kind);
            let unit = self.unit;
            let mut words = format!(
                "target {}, limits {} to {}",
                target.both(unit),
                least.digits(unit),
                most.text(unit)
            );
            if (set_least, set_most) != (least, most) {
                let (least, most) = (set_least.digits(unit), set_most.text(unit));
                words += &format!("; once touched, {least} to {most}");
                if self.state.set_band_worked_out(kind) {
                    words += &format!(" ({WORKED_OUT})");
                }
            }
            self.sheet.line(&format!("  {:<9}", kind.word()), &words);
        }
    }
}
