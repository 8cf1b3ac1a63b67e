//! The command line as it is typed.

pub use super::args_engine::{Engine, EngineWhat};
use super::args_own::{Backup, Completions, Help, ManPage, Note, Restore, SettingsArgs};
use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;

/// Guided valve-clearance service, beside the opened engine.
///
/// Without a command the full screen opens on your engines.
#[derive(Debug, Parser)]
#[command(
    name = "cowlside",
    version,
    // Our own `help` knows the topics too.
    disable_help_subcommand = true,
    after_help = "Examples:\n  cowlside                       open the full screen\n  cowlside demo                  the same in an invented workshop\n  cowlside session ENGINE --plain   the guided session as plain prompts\n  cowlside plan flat-four        the way round an engine\n\nData lies in $COWLSIDE_HOME, else in the platform's data folder."
)]
pub struct Line {
    /// What to do; the full screen where nothing is named.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Draw and write with plain ASCII characters only, for poor fonts, this time; the key i on the screens is remembered
    #[arg(long, global = true)]
    pub ascii: bool,
}

/// A command.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Opens the full screen in an invented workshop, in a folder of its own
    Demo(Demo),
    /// Lists engine profiles; checks or shows one
    Profiles(Profiles),
    /// Prints the way round an engine: which cylinder to overlap, which valves to gauge
    Plan(Plan),
    /// Judges one reading and says what to turn or fit
    Advise(Advise),
    /// Says what a set of leaves can prove of an engine's limits, and which leaf would help most
    Leaves(Leaves),
    /// Adds an engine or tells its hours
    Engine(Engine),
    /// Lists your engines, what needs attention first
    Engines(Engines),
    /// Starts a valve-clearance service, or goes on with the one that is open
    Session(SessionArgs),
    /// Lists the sessions of an engine
    Sessions(Sessions),
    /// Compares two services of an engine, by default the last two
    Compare(Compare),
    /// Shows what each valve did over the engine's hours, and when to look again
    History(History),
    /// Prints the maintenance record of a session
    Report(Report),
    /// Writes every reading of every engine as one flat table
    Export(Export),
    /// Takes past services from a table of the shape that export writes
    Import(Import),
    /// Takes over engines and sessions of another data folder, or one session's file
    Take(Take),
    /// Keeps everything of the data folder in one file, and reads it back
    Backup(Backup),
    /// Puts the files of a backup back; nothing here is lost
    Restore(Restore),
    /// Says what is whole on disk and what is not, down to the bit; writes nothing
    Verify(Verify),
    /// Prints which shims or push rods to fit and to get, and which are known to be in
    Parts(Parts),
    /// Prints the notice to hang on an engine whose service is interrupted
    Tag(Tag),
    /// Adds a dated remark to a service that has ended
    Note(Note),
    /// Shows or changes the bell and the colours
    Settings(SettingsArgs),
    /// Explains a step of a session, a word of the trade, or a command
    Help(Help),
    /// Prints the completions of a shell
    Completions(Completions),
    /// Prints the manual page, of all commands or of one
    Man(ManPage),
}

/// `demo`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside demo --fresh    throw the invented workshop away and make it anew\n  cowlside demo engines    any other command there"
)]
pub struct Demo {
    /// Make the invented workshop anew, whatever was done in it
    #[arg(long)]
    pub fresh: bool,
    /// Run one of the other commands in the invented workshop, as in: demo compare NAME
    #[arg(trailing_var_arg = true, allow_hyphen_values = true, value_name = "COMMAND")]
    pub rest: Vec<String>,
}

/// `engines`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside engines\n  cowlside engines trainer --json\n\nIn the document left_open lists all that the last service has or left open, gone on with or closed\nunsigned, the gravest first; before it, where its file is damaged or gone, how. left_out lists the valves\nthat services left out of their band, the gravest first. attention is open, due, left out, soon or null."
)]
pub struct Engines {
    /// Only engines with this in their name, serial number or profile
    pub word: Option<String>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

impl Command {
    /// Tells whether what it prints is read by a person, and by nothing that takes it in again.
    pub fn is_read(&self) -> bool {
        match self {
            Command::Profiles(Profiles { what: None, json, .. })
            | Command::Profiles(Profiles { what: Some(ProfilesWhat::Show { json, .. }), .. })
            | Command::Plan(Plan { json, .. })
            | Command::Advise(Advise { json, .. })
            | Command::Leaves(Leaves { json, .. })
            | Command::Engines(Engines { json, .. })
            | Command::Compare(Compare { json, .. })
            | Command::History(History { json, .. })
            | Command::Parts(Parts { json, .. }) => !json,
            Command::Report(Report { format, .. }) => !matches!(format, Format::Json | Format::Csv),
            Command::Tag(_) | Command::Sessions(_) => true,
            _ => false,
        }
    }

    /// Tells whether what it prints is a web page, which spells any character in ASCII and loses none.
    pub fn is_page(&self) -> bool {
        match self {
            Command::Report(Report { format, .. }) => *format == Format::Html,
            Command::Tag(Tag { format, .. }) => *format == TagFormat::Html,
            _ => false,
        }
    }
}

/// `profiles`.
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n  cowlside profiles\n  cowlside profiles vee 8\n  cowlside profiles 1-3-4-2\n  cowlside profiles show flat-four\n  cowlside profiles check my-engine.json\n  cowlside profiles new my-four"
)]
pub struct Profiles {
    /// What to do with one profile
    #[command(subcommand)]
    pub what: Option<ProfilesWhat>,
    /// List only those with all these words: name, kind, cylinders, shape, firing order
    #[arg(value_name = "WORD")]
    pub words: Vec<String>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// What to do with one profile.
#[derive(Debug, Subcommand)]
pub enum ProfilesWhat {
    /// Checks a profile file and says what is wrong with it
    #[command(after_help = "Example:\n  cowlside profiles check my-engine.json")]
    Check {
        /// The file
        file: PathBuf,
    },
    /// Prints the JSON Schema of a profile, for editors
    #[command(
        after_help = "Example:\n  cowlside profiles schema > profile.schema.json\n\nPut the file beside your profiles: those that come with the program name it in $schema."
    )]
    Schema,
    /// Shows a profile in words, with what its cams come to
    #[command(
        after_help = "Examples:\n  cowlside profiles show flat-four\n  cowlside profiles show radial-nine --json"
    )]
    Show {
        /// Its name or path
        name: String,
        /// Print what the cams come to as one JSON document
        #[arg(long)]
        json: bool,
    },
    /// Makes a profile in a form on the screen
    #[command(after_help = "Example:\n  cowlside profiles new my-four")]
    New {
        /// The name that it is to have: small letters, digits, hyphens
        name: Option<String>,
        /// Plain prompts on standard input and output instead of the screen
        #[arg(long)]
        plain: bool,
    },
    /// Makes a profile from another one, built in or your own
    #[command(after_help = "Example:\n  cowlside profiles copy flat-four my-four")]
    Copy {
        /// Its name or path
        name: String,
        /// The name that the copy is to have
        to: Option<String>,
        /// Plain prompts on standard input and output instead of the screen
        #[arg(long)]
        plain: bool,
    },
    /// Changes a profile of your own
    #[command(after_help = "Example:\n  cowlside profiles change my-four --plain")]
    Change {
        /// Its name
        name: String,
        /// Plain prompts on standard input and output instead of the screen
        #[arg(long)]
        plain: bool,
    },
}

/// `parts`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside parts \"Twin by the door\"\n  cowlside parts \"Twin by the door\" --json"
)]
pub struct Parts {
    /// The engine's name, id, or the beginning of either
    pub engine: String,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// `plan`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside plan flat-four\n  cowlside plan flat-six --from 3 --json\n  cowlside plan inline-four --few-stops\n  cowlside plan flat-six --few-stops --less-walking --margin 60"
)]
pub struct Plan {
    /// The profile's name or path
    pub profile: String,
    /// Begin with the stop that gauges this cylinder
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = cylinder)]
    pub from: Option<u8>,
    /// The smallest number of stops, instead of one cylinder a stop
    #[arg(long)]
    pub few_stops: bool,
    /// The order with the fewest changes of side, instead of the running order
    #[arg(long)]
    pub less_walking: bool,
    /// The least margin accepted, crank degrees
    #[arg(long, value_name = "DEG", allow_hyphen_values = true, value_parser = degrees)]
    pub margin: Option<f64>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// Reads degrees; a decimal comma is a point.
fn degrees(typed: &str) -> Result<f64, String> {
    let number = typed.trim().trim_end_matches('°').replace(',', ".");
    let number = number.parse().ok().filter(|number: &f64| number.is_finite());
    number.ok_or_else(|| "be crank degrees, as in 60 or 47.5".to_string())
}

/// Reads a cylinder's number.
fn cylinder(typed: &str) -> Result<u8, String> {
    typed.trim().parse().map_err(|_| "be a cylinder's number, as in 3".to_string())
}

/// `advise`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside advise flat-six \"1 exhaust\" 0.35/0.40\n  cowlside advise vee-twin-shims \"2 intake\" 0.20 --shim \"2.95 mm\" --json\n  cowlside advise flat-four \"1 exhaust\" 13/14 --certainty --tolerance \"0.00035 in\""
)]
pub struct Advise {
    /// The profile's name or path
    pub profile: String,
    /// The valve, as in "1 exhaust"
    pub valve: String,
    /// The reading: 6, 6/7, /4, 12/, 25+6, 0
    #[arg(allow_hyphen_values = true)]
    pub reading: String,
    /// The shim fitted now, with its unit
    #[arg(long, value_name = "LENGTH")]
    pub shim: Option<String>,
    /// The push rod fitted now, as difference from standard, with its unit
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub rod: Option<String>,
    /// Judge with the uncertainty of the reading as well: four answers
    #[arg(long)]
    pub certainty: bool,
    /// The tolerance of a leaf each way, with its unit
    #[arg(long, value_name = "LENGTH", requires = "certainty")]
    pub tolerance: Option<String>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// `leaves`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside leaves flat-six\n  cowlside leaves flat-six \"0.05-0.50 by 0.05\"\n  cowlside leaves flat-four \"1.5 2-25 thou\" --json"
)]
pub struct Leaves {
    /// The profile's name or path
    pub profile: String,
    /// The leaves, in the profile's unit where none is named; without them the profile's own
    pub leaves: Option<String>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// `session`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside session \"Blue trainer\"\n  cowlside session \"Blue trainer\" --plain < answers.txt\n\nPlain prompts: an answer a line. * lists everything else, - takes the last entry back,\nq leaves (the session stays open; it asks once while something is not saved), ? explains."
)]
pub struct SessionArgs {
    /// The engine's name, id, or the beginning of either
    pub engine: String,
    /// Plain prompts on standard input and output instead of the full screen
    #[arg(long)]
    pub plain: bool,
}

/// `sessions`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  cowlside sessions \"Blue trainer\"")]
pub struct Sessions {
    /// The engine's name, id, or the beginning of either
    pub engine: String,
}

/// `compare`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside compare \"Blue trainer\"\n  cowlside compare \"Blue trainer\" --json"
)]
pub struct Compare {
    /// The engine's name, id, or the beginning of either
    pub engine: String,
    /// The older session: name, id, or the beginning of either
    #[arg(requires = "newer")]
    pub older: Option<String>,
    /// The newer session
    pub newer: Option<String>,
    /// The order of the valves
    #[arg(long, value_enum, default_value_t = By::Cylinder)]
    pub by: By,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// An order of valves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum By {
    /// Cylinders by number
    Cylinder,
    /// What moved most first
    Moved,
}

/// `history`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside history \"Blue trainer\"\n  cowlside history \"Blue trainer\" --json\n\nThe text widens an interval where each valve was gauged twice or set, because each reading\nadds its own chance; the JSON document has the plain least-squares interval."
)]
pub struct History {
    /// The engine's name, id, or the beginning of either
    pub engine: String,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// `report`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside report \"Blue trainer\"\n  cowlside report 20260314-101530z-k3f9q2\n  cowlside report 20260314-101530z-k3f9q2 --format html > record.html\n  cowlside report --blank \"Blue trainer\" --format html > worksheet.html"
)]
pub struct Report {
    /// The session: name, id, the beginning of either, or its file's path; or an engine, for its latest
    #[arg(value_name = "SESSION")]
    pub of: String,
    /// The form of the record; csv has its readings as `export` writes them
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// An empty worksheet for an engine instead: the way round with boxes for readings
    #[arg(long)]
    pub blank: bool,
}

/// A form of the record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// Plain text of 80 columns
    Text,
    /// Markdown
    Md,
    /// The readings as a table
    Csv,
    /// One JSON document
    Json,
    /// One web page that stands alone and prints well
    Html,
}

/// `export`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside export > readings.csv\n  cowlside export --jsonl > readings.jsonl\n\nOne row a reading; lengths in both units; texts that a spreadsheet could take for a formula\nhave an apostrophe before them in the CSV table. `hours` are over all counters."
)]
pub struct Export {
    /// JSON Lines instead of CSV
    #[arg(long)]
    pub jsonl: bool,
}

/// `import`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside import paper-records.csv --dry-run\n  cowlside import paper-records.csv\n\nThe table has the columns that export writes; needed are engine, profile, session, date, hours,\ncylinder, valve, step, typed and unit. Every problem is told by its line, and all is taken or nothing.\nRows that are here already are passed over. A counter that stands higher at a session of the table is\nbrought up to it, and that is told; a session on a day still to come is refused without --so-it-is,\nand so is a text longer than the questions take it: a name of more than 80 letters, a note of more than\n2,000 characters, a letter with more than 7 marks. Earlier versions took and exported such texts."
)]
pub struct Import {
    /// The table
    pub file: PathBuf,
    /// Tell what would be taken, and every problem, and take nothing
    #[arg(long)]
    pub dry_run: bool,
    /// Days that are still to come by this computer's clock, and texts as long as earlier versions took
    /// them: right all the same
    #[arg(long)]
    pub so_it_is: bool,
}

/// `take`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside take /media/stick/cowlside --dry-run\n  cowlside take 20260314-101530z-k3f9q2.jsonl\n\nCopied by identity, never overwritten: a session that went another way there is kept as\nanother version beside the one here.\n\nExit code 1 where something could not be read and was left out, too."
)]
pub struct Take {
    /// Another data folder, or a session's file
    pub path: PathBuf,
    /// Tell what would be copied, and copy nothing
    #[arg(long)]
    pub dry_run: bool,
}

/// `verify`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside verify                             everything in the data folder\n  cowlside verify 20260314-101530z-k3f9q2     one session, with all its files\n  cowlside verify /media/stick/copy.jsonl     any session's file\n  cowlside verify 20260314-101530z-k3f9q2 --code 4m7qz0k2xw9t\n\nExit code 1 where something was lost or changed, or where only a newer version can say: what that\nwrote cannot be checked here. The seal code of a session that has ended stands\non its record: note it on the job sheet. It is evidence against that note and nothing more; whoever\nrewrites the whole file can make a new code with it."
)]
pub struct Verify {
    /// The session: name, id, the beginning of either, or its file's path; without it everything
    #[arg(conflicts_with = "all")]
    pub session: Option<String>,
    /// Everything: all sessions, engines, own profiles, settings
    #[arg(long)]
    pub all: bool,
    /// A seal code that was noted elsewhere: does it fit?
    #[arg(long, requires = "session", conflicts_with = "all")]
    pub code: Option<String>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// `tag`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  cowlside tag \"Blue trainer\"\n  cowlside tag \"Blue trainer\" --format html > tag.html"
)]
pub struct Tag {
    /// The engine's name, id, or the beginning of either
    pub engine: String,
    /// A page of text, or a web page that prints in large letters
    #[arg(long, value_enum, default_value_t = TagFormat::Text)]
    pub format: TagFormat,
}

/// A form of the tag.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum TagFormat {
    /// Plain text of 80 columns
    Text,
    /// One web page that stands alone and prints in large letters
    Html,
}
