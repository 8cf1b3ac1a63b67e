//! Arguments of `engine`: to add one, tell its hours, give it another profile.

use clap::{Args, Subcommand};

/// `engine`.
#[derive(Debug, Args)]
#[command(
    arg_required_else_help = false,
    after_help = "Examples:\n  cowlside engine add \"Red tug\" --profile flat-four --hours 412.6\n  cowlside engine hours \"Blue trainer\" 637.1\n  cowlside engine profile \"Blue trainer\" flat-four"
)]
pub struct Engine {
    /// What to do
    #[command(subcommand)]
    pub what: EngineWhat,
}

/// What to do with an engine.
#[derive(Debug, Subcommand)]
pub enum EngineWhat {
    /// Adds an engine
    #[command(
        after_help = "Examples:\n  cowlside engine add \"Red glider tug\" --profile flat-four --hours 412.6\n  cowlside engine add \"Red glider tug\" --of 20260314-101530z-k3f9q2\n\nWith --of it is the engine of a session that came here without it, under whatever name: its sessions\nare found again, with the hours that they tell and the profile that they carry."
    )]
    Add(Add),
    /// Tells an engine's running hours
    #[command(
        after_help = "Examples:\n  cowlside engine hours \"Blue trainer\" 637.1\n  cowlside engine hours \"Blue trainer\" 12.5 --counter-replaced"
    )]
    Hours(Told),
    /// Gives an engine another profile, from its next service on
    #[command(after_help = "Example:\n  cowlside engine profile \"Blue trainer\" flat-four")]
    Profile {
        /// Its name, id, or the beginning of either
        name: String,
        /// The profile's name or path
        profile: String,
    },
}

/// A new engine.
#[derive(Debug, Args)]
pub struct Add {
    /// Its name, unique in your workshop
    pub name: String,
    /// Its profile's name or path
    #[arg(long, required_unless_present = "of")]
    pub profile: Option<String>,
    /// Running hours, as in 412.6
    #[arg(long, required_unless_present = "of")]
    pub hours: Option<String>,
    /// Its serial number
    #[arg(long, default_value = "")]
    pub serial: String,
    /// It is the engine of this session, which is here without it: name, id, or the beginning of either
    #[arg(long, value_name = "SESSION")]
    pub of: Option<String>,
}

/// What the hour counter of an engine shows.
#[derive(Debug, Args)]
pub struct Told {
    /// Its name, id, or the beginning of either
    pub name: String,
    /// Running hours now, as in 437.1
    pub hours: String,
    /// The counter was replaced: the figure may be lower than the last one
    #[arg(long)]
    pub counter_replaced: bool,
    /// The hours told last were a mistake: these take their place, and those stay in the file
    #[arg(long)]
    pub correct: bool,
    /// More hours than can have passed since the counter was told last, and right all the same
    #[arg(long)]
    pub so_it_is: bool,
}
