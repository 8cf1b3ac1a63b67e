//! What needs attention at an engine, and how the list says it.

/// What needs attention, most of it first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Attention {
    /// The file of a service that was not signed is damaged: more may be open than it says.
    Damaged,
    /// The file of a service that may not have ended is gone, or kept elsewhere: nobody can read what is open.
    Gone,
    /// The last service was ended with something left open: a nut slack, a part out.
    LeftOpen,
    /// A service was begun and not ended.
    Open,
    /// The last service was closed unsigned: nobody answered for the engine.
    Unsigned,
    /// The next service is due by hours or by date.
    Due,
    /// No service that counts is known, and its first one is due or nobody knows when it is.
    Never,
    /// A valve was left out of its band.
    LeftOut,
    /// The next service has still to be worked out.
    NotYet,
    /// It comes within ten hours.
    Soon,
    /// None.
    Nothing,
}

impl Attention {
    /// Says it.
    pub fn words(self) -> &'static str {
        match self {
            Attention::Damaged => "DAMAGED SERVICE",
            // Told with its name, beside all else.
            Attention::Gone => "",
            Attention::LeftOpen => "LEFT OPEN",
            Attention::Open => "OPEN: go on",
            Attention::Unsigned => "CLOSED UNSIGNED",
            Attention::Due => "DUE",
            Attention::Never => "never checked here",
            Attention::Soon => "due soon",
            Attention::LeftOut | Attention::NotYet | Attention::Nothing => "",
        }
    }
}
