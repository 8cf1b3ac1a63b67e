//! The loader of profiles: what it takes it takes again from clean JSON and can be planned and shown;
//! what it refuses it refuses by file, place and field.

use super::{Checked, said, want};
use cowlside::domain::plan::{PlanChoice, plan};
use cowlside::domain::profile::EngineProfile;
use cowlside::report::{plan_sheet, profile_sheet};
use cowlside::store::profile_file::{PROFILE_BYTES_MAX, parse_profile_bytes};
use cowlside::store::profile_writer::{document_of, judge, text_of};

/// A loader: a profile and its text, or an error and a hint.
pub type Loader = fn(Vec<u8>) -> Result<(EngineProfile, String), (String, String)>;

/// What messages call the file.
const FILE: &str = "fuzzed.json";

/// The program's loader.
pub fn load(bytes: Vec<u8>) -> Result<(EngineProfile, String), (String, String)> {
    parse_profile_bytes(bytes, FILE).map_err(|error| (error.to_string(), error.hint()))
}

/// Reads bytes as a profile.
pub fn check(bytes: &[u8], load: Loader) -> Checked {
    match load(bytes.to_vec()) {
        Err((error, hint)) => {
            said::refusal(&error, &hint, bytes)?;
            named(&error, bytes)?;
            let not_json = error.contains("not JSON") || error.contains("UTF-8");
            Ok(if not_json { "not JSON" } else { "refused" })
        }
        Ok((profile, text)) => {
            want(text.as_bytes() == bytes, || "the text is not what was read".into())?;
            again(&profile, &text, load)?;
            shown(&profile)?;
            Ok("taken")
        }
    }
}

/// The file is named, and a place that is in it.
fn named(error: &str, bytes: &[u8]) -> Result<(), String> {
    want(error.contains(&format!("`{FILE}`")), || format!("no file is named: {error:?}"))?;
    let Some((_, after)) = error.split_once(&format!("`{FILE}`, line ")) else {
        let whole = ["longer than", "newer version"].iter().any(|words| error.contains(words));
        return want(whole, || format!("no line is named: {error:?}"));
    };
    let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
    let line: usize = digits.parse().map_err(|_| format!("no line is named: {error:?}"))?;
    let lines = bytes.iter().filter(|byte| **byte == b'\n').count() + 1;
    want((1..=lines).contains(&line), || format!("line {line} of {lines}: {error:?}"))
}

/// Clean JSON of an accepted profile loads to the same, and is its own clean JSON.
fn again(profile: &EngineProfile, text: &str, load: Loader) -> Result<(), String> {
    let document = document_of(text).ok_or("an accepted profile is no document")?;
    let judged = judge(&document).map_err(|fault| format!("the form refuses it: {fault}"))?;
    want(judged == *profile, || "the form reads another profile".into())?;
    let clean = text_of(&document);
    if clean.len() > PROFILE_BYTES_MAX {
        return Ok(());
    }
    let (same, _) = load(clean.clone().into_bytes())
        .map_err(|(error, _)| format!("clean JSON is refused: {error}\n{clean}"))?;
    want(same == *profile, || format!("clean JSON is another profile:\n{clean}"))?;
    let twice = document_of(&clean).map(|document| text_of(&document));
    want(twice.as_deref() == Some(&clean), || format!("clean JSON is not its own:\n{clean}"))
}

/// An accepted profile is planned, or refused in words, and shown.
fn shown(profile: &EngineProfile) -> Result<(), String> {
    let words = match plan(profile, &PlanChoice::default()) {
        Ok(plan) => plan_sheet::plan_text(profile, &plan),
        Err(refusal) => refusal.to_string(),
    };
    let sheet = profile_sheet::sheet("fuzzed", profile);
    let mut lines = words.lines().chain(sheet.lines());
    lines.try_for_each(|line| said::printable("a sheet", line))
}
