//! Why an input is not taken, and what to do instead.

use crate::domain::valve::{Cylinder, Valve};

/// Why an input is not taken; nothing has changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Something else is asked now.
    NotNow,
    /// The session is closed; only remarks follow.
    Closed,
    /// A valve is held open by hand: no turn, no "I see".
    Unloaded(Valve),
    /// A cam or part is out: no turn.
    PartOut,
    /// A nut is slack; it has to be answered first.
    NutSlack(Valve),
    /// No such cylinder in this engine or scope.
    NoCylinder(Cylinder),
    /// No such valve in this engine or scope.
    NoValve(Valve),
    /// That digit is not offered.
    NoSuchAnswer(u8),
    /// More loose valves than there are to gauge here.
    TooMany {
        /// How many there are.
        of: u8,
    },
    /// What was typed cannot be read; the words say what must stand there.
    Unreadable(String),
    /// A figure that has to be asked about first; the words say why.
    Odd(String),
    /// A reason is needed.
    WhyMissing,
    /// A text is needed.
    TextMissing(&'static str),
    /// Nothing to take back.
    NothingToTakeBack,
    /// That entry cannot be taken back; the words say what to do instead.
    CannotTakeBack(&'static str),
    /// No such reading.
    NoReading,
    /// A number of counts that does not fit the list.
    WrongCounts {
        /// How many are wanted.
        wanted: usize,
    },
    /// The new profile does not fit this engine; close unsigned and start anew.
    OtherEngine(&'static str),
    /// An open item bars the signature.
    OpenItem(String),
    /// The plan cannot be made; the words say why.
    NoPlan(String),
    /// Nothing of this engine can be set in this way.
    NothingToSet,
    /// It was said that nothing is set: the engine is outside its temperature.
    OnlyALook,
    /// The scope has these cylinders already.
    ScopeAsItIs,
    /// A valve was set, or reads outside its limits: its cylinder stays in the scope.
    StaysInScope(Valve),
    /// A nut that is slack before its valve was gauged.
    NotGaugedYet(Valve),
    /// A valve was touched: a figure from paper does not show that it was gauged after that.
    PaperAfterSetting(Valve),
}

impl Refusal {
    /// Says why, and what to do, in one line.
    pub fn words(&self) -> String {
        self.words_with(&|valve| valve.to_string())
    }

    /// Says so; `name` names a valve.
    pub fn words_with(&self, name: &dyn Fn(Valve) -> String) -> String {
        match self {
            Refusal::NotNow => "that is not what is asked now".into(),
            Refusal::Closed => "this session is closed: only a remark can be added".into(),
            Refusal::Unloaded(valve) => {
                format!("{} is held open by hand: let it go before anything turns", name(*valve))
            }
            Refusal::PartOut => "a part is out: put it back before anything turns".into(),
            Refusal::NutSlack(valve) => {
                format!("the nut of {} counts as slack: lock it and gauge after", name(*valve))
            }
            Refusal::NoCylinder(cylinder) => {
                format!("there is no cylinder {cylinder} in this service")
            }
            Refusal::NoValve(valve) => {
                format!("there is no valve {} in this service", name(*valve))
            }
            Refusal::NoSuchAnswer(digit) => format!("{digit} is not one of the answers"),
            Refusal::TooMany { of: 0 } => "none is to be felt here: count again".into(),
            Refusal::TooMany { of: 1 } => "only 1 is to be felt here: count again".into(),
            Refusal::TooMany { of } => format!("only {of} are to be felt here: count again"),
            Refusal::Unreadable(words) | Refusal::Odd(words) | Refusal::NoPlan(words) => {
                words.clone()
            }
            Refusal::WhyMissing => "a reason is needed".into(),
            Refusal::TextMissing(what) => format!("{what} is needed"),
            Refusal::NothingToTakeBack => "there is nothing to take back".into(),
            Refusal::CannotTakeBack(instead) => {
                format!("that opened something, so it is not taken back: {instead}")
            }
            Refusal::NoReading => "there is no such reading".into(),
            Refusal::WrongCounts { wanted } => {
                format!("{wanted} numbers are wanted, one for each item")
            }
            Refusal::OtherEngine(why) => {
                format!("{why}: close this session unsigned and start anew")
            }
            Refusal::OpenItem(item) => format!("still open: {item}"),
            Refusal::NothingToSet => "this engine has no screws to set".into(),
            Refusal::OnlyALook => {
                "nothing is set or changed on a rough look, as was said: leave it with a reason, \
                                   and do it when the temperature is right"
                    .into()
            }
            Refusal::ScopeAsItIs => "that is the scope already: it changes nothing".into(),
            Refusal::StaysInScope(valve) => format!(
                "{} was touched, or reads outside its limits: its cylinder stays in the scope; gauge what is \
                 missing, or close unsigned",
                name(*valve)
            ),
            Refusal::NotGaugedYet(valve) => format!(
                "{} has no figure yet: lock its nut and gauge it; where it is due, \"as-found lost\" \
                 tells that it was found loose",
                name(*valve)
            ),
            Refusal::PaperAfterSetting(valve) => format!(
                "{} was touched in this service: a figure from paper does not show that it was gauged \
                 after that; gauge it again",
                name(*valve)
            ),
        }
    }
}
