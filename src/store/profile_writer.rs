//! Writes a profile's file, whole or not at all, and never over another one unasked.
//!
//! The text is laid out for people: what fits stands on one line, as in the built-in profiles.

use super::batch::Batch;
use super::folder::{Folder, replace_whole};
use super::profile_error::ProfileError;
use super::profile_facts::facts;
use super::profile_fields::Field;
use super::profile_file::parse_profile;
use super::profile_json::{Json, read};
use super::profiles::{BUILT_IN, is_name, read_file};
use super::replace::set_aside;
use super::{StoreError, shown};
use crate::domain::document::Node;
use crate::domain::plain::plain;
use crate::domain::profile::{EngineProfile, ProfileFault};
use crate::domain::units::plain_number;
use std::path::PathBuf;

/// Columns that a line of a profile's file may take.
const WIDTH: usize = 100;

/// Writes a document as a profile's file: JSON, ended by a line end.
pub fn text_of(document: &Node) -> String {
    let mut text = String::new();
    write(document, 0, 0, &mut text);
    text.push('\n');
    text
}

/// Reads a profile's text as a document; `None` where it is not JSON or holds a `null`.
pub fn document_of(text: &str) -> Option<Node> {
    read(text).ok().and_then(node_of)
}

fn node_of(json: Json) -> Option<Node> {
    Some(match json {
        Json::Null => return None,
        Json::YesNo(yes) => Node::YesNo(yes),
        Json::Number(number) => Node::Number(number),
        Json::Text(text) => Node::Text(text),
        Json::List(items) => Node::List(items.into_iter().map(node_of).collect::<Option<_>>()?),
        Json::Object(members) => {
            let members = members.into_iter().map(|(name, json)| Some((name, node_of(json)?)));
            Node::Fields(members.collect::<Option<_>>()?)
        }
    })
}

fn json_of(node: &Node) -> Json {
    match node {
        Node::YesNo(yes) => Json::YesNo(*yes),
        Node::Number(number) => Json::Number(*number),
        Node::Text(text) => Json::Text(text.clone()),
        Node::List(items) => Json::List(items.iter().map(json_of).collect()),
        Node::Fields(fields) => {
            Json::Object(fields.iter().map(|(name, node)| (name.clone(), json_of(node))).collect())
        }
    }
}

/// Judges a document as the loader judges a file.
///
/// # Errors
/// The first field that cannot stand.
pub fn judge(document: &Node) -> Result<EngineProfile, ProfileFault> {
    let json = json_of(document);
    json.check_members("", true)?;
    facts(&Field::root(&json)).and_then(EngineProfile::new)
}

/// Writes the value; `column` is where it begins, `depth` how deep it lies.
fn write(node: &Node, depth: usize, column: usize, text: &mut String) {
    let whole = on_one_line(node);
    let simple = |node: &Node| !matches!(node, Node::List(_) | Node::Fields(_));
    let indent = "  ".repeat(depth + 1);
    match node {
        Node::YesNo(_) | Node::Number(_) | Node::Text(_) => text.push_str(&whole),
        _ if depth > 0 && column + whole.chars().count() < WIDTH => text.push_str(&whole),
        Node::List(items) if items.iter().all(simple) && items.iter().all(is_short) => {
            text.push('[');
            let mut line = WIDTH;
            for (at, item) in items.iter().enumerate() {
                let item = on_one_line(item);
                let comma = if at + 1 < items.len() { "," } else { "" };
                let wide = item.chars().count() + comma.len();
                if line + 1 + wide > WIDTH {
                    text.push('\n');
                    text.push_str(&indent);
                    line = indent.len() + wide;
                } else {
                    text.push(' ');
                    line += 1 + wide;
                }
                text.push_str(&item);
                text.push_str(comma);
            }
            close(depth, ']', text);
        }
        Node::List(items) => {
            text.push('[');
            for (at, item) in items.iter().enumerate() {
                text.push_str(if at == 0 { "\n" } else { ",\n" });
                text.push_str(&indent);
                write(item, depth + 1, indent.len(), text);
            }
            close(depth, ']', text);
        }
        Node::Fields(fields) => {
            text.push('{');
            for (at, (name, node)) in fields.iter().enumerate() {
                text.push_str(if at == 0 { "\n" } else { ",\n" });
                let name = format!("{indent}{}: ", in_quotes(name));
                text.push_str(&name);
                write(node, depth + 1, name.chars().count(), text);
            }
            close(depth, '}', text);
        }
    }
}

/// Leaves and labels stand side by side; sentences have a line each.
fn is_short(node: &Node) -> bool {
    on_one_line(node).chars().count() <= 24
}

fn close(depth: usize, bracket: char, text: &mut String) {
    text.push('\n');
    text.push_str(&"  ".repeat(depth));
    text.push(bracket);
}

fn on_one_line(node: &Node) -> String {
    match node {
        Node::YesNo(yes) => yes.to_string(),
        Node::Number(number) => plain_number(*number),
        Node::Text(text) => in_quotes(text),
        Node::List(items) => {
            let items: Vec<String> = items.iter().map(on_one_line).collect();
            format!("[{}]", items.join(", "))
        }
        Node::Fields(fields) if fields.is_empty() => "{}".to_string(),
        Node::Fields(fields) => {
            let fields = fields
                .iter()
                .map(|(name, node)| format!("{}: {}", in_quotes(name), on_one_line(node)));
            format!("{{ {} }}", fields.collect::<Vec<_>>().join(", "))
        }
    }
}

fn in_quotes(text: &str) -> String {
    serde_json::Value::String(text.to_string()).to_string()
}

/// What may become of a file that is there already.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Over {
    /// Nothing is overwritten.
    Nothing,
    /// The user said that his own profile of this name may be replaced.
    Own,
    /// The same, if it still has this text.
    OwnAsRead(String),
}

/// Why a profile is not written.
#[derive(Debug, thiserror::Error)]
pub enum NotWritten {
    /// The name cannot be asked for.
    #[error("\"{}\" is no name for a profile", plain(_0))]
    BadName(String),
    /// A built-in profile has this name.
    #[error("`{0}` is a built-in profile: it is never changed")]
    BuiltIn(String),
    /// The user has a profile of this name.
    #[error("there is a profile `{0}` of your own already")]
    Exists(String),
    /// The file was changed since it was read.
    #[error("`{0}` was changed by something else since it was opened here")]
    Changed(String),
    /// What stood there cannot be read as a profile; it has another name now.
    #[error("{} cannot be read as a profile: it is kept as {}", shown(_0), shown(_1))]
    SetAside(PathBuf, PathBuf),
    /// What stands there could not be read just now.
    #[error("{0}")]
    Unread(String),
    /// The loader does not take it.
    #[error("{0}")]
    Unsound(String),
    /// What the disk says.
    #[error(transparent)]
    Disk(#[from] StoreError),
}

impl NotWritten {
    /// Returns what to do about it: a sentence that starts with a verb.
    pub fn hint(&self) -> String {
        match self {
            NotWritten::BadName(_) => {
                "Use small letters, digits and hyphens, at most 40, as in my-flat-four.".into()
            }
            NotWritten::BuiltIn(name) => format!("Give the copy another name, as in my-{name}."),
            NotWritten::Exists(_) => "Say that it may be replaced, or give another name.".into(),
            NotWritten::Changed(_) => "Give another name, then compare the two.".into(),
            NotWritten::SetAside(..) => "Write again: the name is free now.".into(),
            NotWritten::Unread(_) => "Give another name, or mend that.".into(),
            NotWritten::Unsound(_) => "Correct that field.".into(),
            NotWritten::Disk(error) => error.hint().to_string(),
        }
    }
}

/// Returns where the user's own profile of this name lies, where there is one.
pub fn own_file(folder: &Folder, name: &str) -> Option<PathBuf> {
    let path = folder.profiles().join(format!("{name}.json"));
    path.symlink_metadata().is_ok().then_some(path)
}

/// Writes a profile into the user's `profiles/` folder and returns its path.
///
/// The text is read back by the loader before it gets its name: what is there is sound.
///
/// # Errors
/// [`NotWritten`]; nothing is changed on disk then, but that a damaged file may be set aside.
pub fn write_own(
    folder: &Folder,
    name: &str,
    document: &Node,
    over: &Over,
) -> Result<PathBuf, NotWritten> {
    if !is_name(name) {
        return Err(NotWritten::BadName(name.to_string()));
    }
    let text = text_of(document);
    parse_profile(&text, name).map_err(|error| NotWritten::Unsound(error.to_string()))?;
    let path = folder.profiles().join(format!("{name}.json"));
    let _lock = folder.lock_to_write(&[folder.profiles()])?;
    let there = own_file(folder, name).is_some();
    let is_built_in = BUILT_IN.iter().any(|(built_in, _)| *built_in == name);
    if !there && is_built_in {
        return Err(NotWritten::BuiltIn(name.to_string()));
    }
    let found = there.then(|| read_file(&path));
    match &found {
        // Nothing is renamed either.
        Some(_) if *over == Over::Nothing => return Err(NotWritten::Exists(name.to_string())),
        Some(Err(unread @ (ProfileError::Unreadable { .. } | ProfileError::Newer { .. }))) => {
            return Err(NotWritten::Unread(unread.to_string()));
        }
        Some(Err(_)) if is_built_in => return Err(NotWritten::BuiltIn(name.to_string())),
        Some(Err(_)) => {
            let aside = set_aside(&path)?;
            return Err(NotWritten::SetAside(path, aside));
        }
        Some(Ok(_)) | None => {}
    }
    if !there {
        let mut batch = Batch::default();
        batch.add(&path, text.as_bytes())?;
        batch.finish()?;
        return Ok(path);
    }
    match over {
        Over::Nothing => return Err(NotWritten::Exists(name.to_string())),
        Over::OwnAsRead(read) => {
            let now = found.and_then(Result::ok).map(|found| found.text);
            if now.as_ref() != Some(read) {
                return Err(NotWritten::Changed(name.to_string()));
            }
        }
        Over::Own => {}
    }
    replace_whole(&path, text.as_bytes())?;
    Ok(path)
}
