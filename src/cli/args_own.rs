//! Arguments of the commands about the program itself.

use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// `help`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside help\n  cowlside help gauge\n  cowlside help lock nut\n  cowlside help glossary\n  cowlside help profiles show\n\nThe topics are what `?` shows at each question of a session."
)]
pub struct Help {
    /// A topic, a word of the trade, or a command; without it all are listed
    #[arg(value_name = "TOPIC")]
    pub words: Vec<String>,
}

/// `completions`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside completions bash > cowlside.bash\n  cowlside completions zsh > _cowlside\n  cowlside completions fish > cowlside.fish\n\nPut the file where your shell looks for completions, then start a new shell:\n  bash   ~/.local/share/bash-completion/completions/cowlside\n  zsh    a folder of $fpath, named _cowlside\n  fish   ~/.config/fish/completions/cowlside.fish"
)]
pub struct Completions {
    /// The shell
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

/// `man`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside man > cowlside.1\n  cowlside man plan > cowlside-plan.1\n\nRead a page with `man ./cowlside.1`."
)]
pub struct ManPage {
    /// The page of one command, as in: man profiles show; without it one page of all
    pub command: Vec<String>,
}

/// `note`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  cowlside note 20260314-101530z-k3f9q2 --by \"J. Doe\" rocker cover wept, new seal fitted\n\nIt stands at the end of the record with its day and time, and who wrote it. What was signed stays as it is, and so does\nits seal code: a correction of it is a new service that names the old one."
)]
pub struct Note {
    /// The session: name, id, or the beginning of either
    pub session: String,
    /// The remark, in words
    #[arg(required = true, value_name = "TEXT")]
    pub text: Vec<String>,
    /// Who writes it; without it the name that the settings know, else it is asked
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
}

/// `settings`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside settings\n  cowlside settings bell off\n  cowlside settings theme daylight\n\nThe bell rings where a reading is not believed, where an answer is refused or waits until the rest\nis read, for a key that only woke after a long pause, and once when a cooling engine is to be\nmeasured again."
)]
pub struct SettingsArgs {
    /// What to set; without it the settings are shown
    #[command(subcommand)]
    pub what: Option<SettingsWhat>,
}

/// A setting.
#[derive(Debug, Subcommand)]
pub enum SettingsWhat {
    /// Turns the terminal's bell on or off
    #[command(after_help = "Example:\n  cowlside settings bell off")]
    Bell {
        /// On or off
        #[arg(value_enum)]
        bell: OnOff,
    },
    /// Chooses the colours of the screens
    #[command(after_help = "Example:\n  cowlside settings theme dark")]
    Theme {
        /// terminal, daylight or dark
        theme: String,
    },
}

/// On or off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum OnOff {
    /// It rings
    On,
    /// It is silent
    Off,
}

/// `backup`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  cowlside backup /media/stick/workshop.backup\n\nEngines, sessions byte by byte, own profiles and settings, and what was set aside of them. Never\noverwrites: name a new file each time. It is read back before it gets its name. Its code tells later whether it is the same file.\n\nExit code 1 where a file had to be left out, too: the backup is there and whole, the warnings name\nwhat is not in it."
)]
pub struct Backup {
    /// The new file, outside of the data folder
    pub file: PathBuf,
}

/// `restore`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside restore /media/stick/workshop.backup --dry-run\n  cowlside restore /media/stick/workshop.backup\n  cowlside restore /media/stick/workshop.backup --replace engines,settings\n\nThe whole file is checked before anything is written; then all is copied or nothing. A session that\nwent another way is kept as another version beside the one here. An engine, profile or settings that\ndiffer are kept as they are here, and said; with --replace, or where the one here is damaged, the one\nhere is set aside."
)]
pub struct Restore {
    /// A file that backup wrote
    pub file: PathBuf,
    /// Tell what would be copied, and copy nothing
    #[arg(long)]
    pub dry_run: bool,
    /// Where these differ, take those of the backup and set the ones here aside
    #[arg(long, value_enum, value_delimiter = ',', value_name = "KINDS")]
    pub replace: Vec<ReplaceKind>,
}

/// What may be replaced.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ReplaceKind {
    /// Engines with their hours
    Engines,
    /// Own profiles
    Profiles,
    /// Settings
    Settings,
}
