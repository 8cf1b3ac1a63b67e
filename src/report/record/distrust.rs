//! Why the record of a session's file certifies nothing, in words: entries are missing, or this program
//! cannot judge what one of them says.

/// Why the record of a file certifies nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Distrust {
    /// Entries are missing, or were changed.
    #[default]
    NotWhole,
    /// All entries are there; a newer version of the program wrote one that this one does not know.
    Newer,
    /// All entries are there, and one of them no sound program of this version writes.
    Faulty,
}

impl Distrust {
    /// What stands before what is the matter, above everything else.
    pub(super) fn heading(self) -> &'static str {
        match self {
            Distrust::NotWhole => "THE FILE OF THIS SESSION IS NOT WHOLE",
            Distrust::Newer => "WRITTEN BY A NEWER VERSION OF THE PROGRAM",
            Distrust::Faulty => "AN ENTRY OF THIS SESSION IS NOT TO BE BELIEVED",
        }
    }

    /// What that makes of the record, and what to do.
    pub(super) fn of_the_record(self) -> &'static str {
        match self {
            Distrust::NotWhole => {
                "This record certifies nothing: entries are missing or were changed. `cowlside verify` \
                 says which; go back to the paper or a copy."
            }
            Distrust::Newer => {
                "This record certifies nothing: this version cannot judge what that entry says, and what \
                 stands here may be otherwise by it. Print the record with that version."
            }
            Distrust::Faulty => {
                "This record certifies nothing: no sound program of this version writes such an entry. \
                 Print the record with the version that wrote it, or go back to the paper or a copy."
            }
        }
    }

    /// What stands in the place of the owner's sentence.
    pub fn for_the_owner(self) -> &'static str {
        match self {
            Distrust::NotWhole => {
                "Nothing can be told from this record: the file of the session is not whole."
            }
            Distrust::Newer => {
                "Nothing can be told from this record: a newer version of the program wrote in this \
                 session. Print the record with that version."
            }
            Distrust::Faulty => {
                "Nothing can be told from this record: an entry of the session is not to be believed."
            }
        }
    }

    /// Why there is no seal code.
    pub(super) fn no_code(self) -> &'static str {
        match self {
            Distrust::NotWhole => "none: the file of the session is not whole",
            Distrust::Newer => "none: only the newer version can tell what it vouches for",
            Distrust::Faulty => "none: an entry of the session is not to be believed",
        }
    }
}
