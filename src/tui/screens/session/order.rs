//! The order in which the parts of a session's screen give way where room is short, and the windows in which
//! each does: stated here and nowhere else. `plan` takes the first way that has room.
//!
//! | step | gives way | tried in |
//! |---|---|---|
//! | 1 | the picture of the stop, then detail of the drawing (a roomy window: the other way round) | `beside` |
//! | 2 | answers in lines of their own: they stand side by side | [`SPREADS`] |
//! | 3 | the size of the large words, never under [`Room::least`] | [`SIZES`] |
//! | 4 | the drawing: a strip takes its place where only lines of how, down to [`KEPT`], pay for it | `strip` |
//! | 5 | rows kept free for what was said before | `fit` |
//! | 6 | the longer of the large words, for the short one | `fit` |
//! | 7 | lines of how that need not be read, and in this order what [`FORMS`] leaves out | `compact`, `whole` |
//! | 8 | lines that have to be read: a page at a time, with what [`PAGES`] leaves | `whole` |
//!
//! Never: the question, its answers, the entry, the verdict in words, a refusal, and the keys.

/// How choices are set.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Spread {
    Lines,
    SideBySide,
}

/// The same in the order in which they are tried.
pub(super) const SPREADS: [Spread; 2] = [Spread::Lines, Spread::SideBySide];
/// Rows that large words have at least, in the order in which these are tried, before [`Room::least`].
pub(super) const SIZES: [u16; 4] = [7, 5, 4, 3];

/// Rows that large words keep beside an engine that the question does not need.
pub(super) const LEGIBLE: u16 = 5;

/// How large words stand.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Large {
    /// Above what is told of them.
    Above,
    /// The shortest of them, beside title and lines.
    Beside,
    /// In small letters.
    No,
}

/// What is left of a question beside its answers where not everything fits.
#[derive(Clone, Copy)]
pub(super) struct Form {
    pub large: Large,
    /// In large letters.
    pub verdict: bool,
    pub title: bool,
    pub note: bool,
}

impl Form {
    pub(super) fn is_large(&self) -> bool {
        self.large != Large::No
    }
}

const ALL: Form = Form { large: Large::Above, verdict: true, title: true, note: true };
pub(super) const BARE: Form = Form { large: Large::No, verdict: false, title: false, note: false };

/// The most first; those with something large before those without.
pub(super) const FORMS: [Form; 12] = [
    ALL,
    // A large valve that is to be gauged says what the title says.
    Form { title: false, ..ALL },
    Form { verdict: false, ..ALL },
    Form { large: Large::Beside, ..ALL },
    Form { large: Large::Beside, verdict: false, ..ALL },
    Form { verdict: false, note: false, ..ALL },
    Form { verdict: false, title: false, note: false, ..ALL },
    Form { large: Large::Beside, title: true, ..BARE },
    Form { large: Large::Beside, ..BARE },
    Form { title: true, note: true, ..BARE },
    Form { note: true, ..BARE },
    BARE,
];

/// What is left where lines are shown page by page, the best first.
pub(super) const PAGES: [Form; 6] = [
    Form { large: Large::Beside, title: true, note: true, ..BARE },
    Form { large: Large::Beside, title: true, ..BARE },
    Form { title: true, note: true, ..BARE },
    // A refusal is read before anything else.
    Form { note: true, ..BARE },
    Form { title: true, ..BARE },
    BARE,
];

/// Lines that the first page shows at least where there is a title, and those behind it.
pub(super) const ON_TITLED_PAGE: [usize; 2] = [2, 3];

/// Lines of how that a strip leaves in windows that are not low.
pub(super) const KEPT: [usize; 1] = [3];
/// The same in low ones: one first, then none beside something large; the help has them.
pub(super) const KEPT_LOW: [usize; 2] = [1, 0];
/// The same beside what is typed, or a large verdict, which are told of the valve that the strip shows.
pub(super) const KEPT_BUSY: [usize; 1] = [0];
/// Lines that a page of what has to be read keeps at least.
pub(super) const KEPT_OF_PAGE: usize = 2;

/// Rows of a window under which one column is as wide to the eye as two are elsewhere.
const LOW: u16 = 18;
/// Rows of a window under which thin letters are better than none.
const SLIM: u16 = 21;
/// Rows of a window under which what a typed digit costs the line is held to its limit.
const CHEAP: u16 = 30;

/// Where a question is shown: what the middle of a window has, and the rows of the window.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    pub width: u16,
    pub height: u16,
    pub window: u16,
}

impl Room {
    /// Rows of large words at least: 12 % of the window's height, and no fewer than three.
    pub(super) fn least(self) -> u16 {
        (self.window.saturating_mul(12)).div_ceil(100).max(3)
    }

    pub(super) fn is_low(self) -> bool {
        self.window < LOW
    }

    pub(super) fn is_slim(self) -> bool {
        self.window < SLIM
    }

    /// Tells whether a digit may cost the line more: for larger ones, or a drawing beside a question that has none.
    pub(super) fn is_quick(self) -> bool {
        self.window >= CHEAP
    }

    /// The same without columns at its side; `None` where there are not so many.
    pub(super) fn beside(self, columns: u16) -> Option<Room> {
        Some(Room { width: self.width.checked_sub(columns)?, ..self })
    }

    /// The same without rows at its foot; `None` where there are not so many.
    pub(super) fn above(self, rows: u16) -> Option<Room> {
        Some(Room { height: self.height.checked_sub(rows)?, ..self })
    }
}
