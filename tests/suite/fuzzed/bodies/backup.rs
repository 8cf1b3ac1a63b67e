//! A backup file: it is restored whole or not at all, and what was restored is again a backup of the
//! same files.

use super::place::{Place, Ran};
use super::{Checked, chosen, said, want};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// What restores the backup of this path into a place.
pub type Restorer = fn(&Place, &str) -> Ran;

/// The program's own.
pub fn restore(place: &Place, path: &str) -> Ran {
    place.run(&["restore", path])
}

/// The first byte says whether the hashes and counts are put right first, so that what stands in
/// the lines is reached; the rest is the file.
pub fn check(bytes: &[u8], restore: Restorer) -> Checked {
    let (choice, rest) = chosen(bytes);
    let file = if choice % 4 == 0 { rest.to_vec() } else { put_right(rest) };
    let place = Place::new()?;
    let path = place.file("given.backup", &file)?;
    let ran = restore(&place, &path);
    ran.out.lines().try_for_each(|line| said::printable("what is restored", line))?;
    let kept = place.everything();
    if ran.code != 0 {
        said::printed(&ran.err, &file)?;
        want(!ran.err.contains(": line 1, "), || format!("two lines are named: {}", ran.err))?;
        want(kept.is_empty(), || format!("refused, but kept: {:?}", kept.keys()))?;
        return Ok("refused");
    }
    let given = files(&file)?;
    want(kept == given, || format!("{:?} restored of {:?}", kept.keys(), given.keys()))?;
    if given.is_empty() {
        return Ok("empty");
    }
    again(&place, &kept, restore)?;
    Ok("restored")
}

fn again(place: &Place, kept: &BTreeMap<String, Vec<u8>>, restore: Restorer) -> Result<(), String> {
    let path = place.file("taken", b"")?;
    let path = path.trim_end_matches("taken").to_owned() + "second.backup";
    let made = place.run(&["backup", &path]);
    // What is in it but not as it should be is told, and kept.
    // An engine that its sessions name may be missing: that is told, and what is there is in it.
    let missing = made.code == 1 && made.err.contains("is gone, and not in the backup");
    want(made.code == 0 || missing, || format!("no backup of it: {}{}", made.out, made.err))?;
    let second = Place::new()?;
    let file = second.file("given.backup", &place.read("second.backup")?)?;
    let ran = restore(&second, &file);
    want(ran.code == 0, || format!("its own backup is refused: {}", ran.err))?;
    want(second.everything() == *kept, || "other files from its own backup".into())
}

/// The files that stand in a backup, by a reader of its own that believes everything.
fn files(file: &[u8]) -> Result<BTreeMap<String, Vec<u8>>, String> {
    let text = std::str::from_utf8(file).map_err(|_| "restored, and no text".to_owned())?;
    let mut files = BTreeMap::new();
    for line in text.lines() {
        let value: serde_json::Value = serde_json::from_str(line).map_err(|e| e.to_string())?;
        let Some(path) = value["path"].as_str() else { continue };
        let bytes = match (value["text"].as_str(), value["hex"].as_str()) {
            (Some(text), _) => text.as_bytes().to_vec(),
            (None, Some(hex)) => unhex(hex),
            (None, None) => return Err(format!("restored, and {path:?} has nothing in it")),
        };
        let path = if path.contains('/') { path.to_owned() } else { format!("/{path}") };
        files.insert(path, bytes);
    }
    Ok(files)
}

fn unhex(hex: &str) -> Vec<u8> {
    let pairs = hex.as_bytes().chunks(2);
    let byte = |pair: &[u8]| u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok();
    pairs.filter_map(byte).collect()
}

fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Puts lengths, counts and hashes right in every line that is JSON, and the end.
pub fn put_right(file: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(file);
    let mut lines: Vec<String> = Vec::new();
    let (mut count, mut total) = (0_u64, 0_u64);
    for line in text.lines() {
        let Ok(serde_json::Value::Object(mut members)) = serde_json::from_str(line) else {
            lines.push(line.to_owned());
            continue;
        };
        if members.len() == 1 && members.contains_key("sha256") {
            continue;
        }
        let inside =
            members.get("text").and_then(|text| text.as_str()).map(|text| text.as_bytes().to_vec());
        let hex = members.get("hex").and_then(|hex| hex.as_str()).map(unhex);
        if let Some(bytes) = inside.or(hex) {
            count += 1;
            total += bytes.len() as u64;
            members.insert("bytes".into(), bytes.len().into());
            members.insert("sha256".into(), hash(&bytes).into());
        }
        lines.push(serde_json::Value::Object(members).to_string());
    }
    if let Some(first) = lines.first_mut()
        && let Ok(serde_json::Value::Object(mut head)) = serde_json::from_str(first)
    {
        head.insert("files".into(), count.into());
        head.insert("bytes".into(), total.into());
        *first = serde_json::Value::Object(head).to_string();
    }
    let body: String = lines.iter().map(|line| format!("{line}\n")).collect();
    let end = format!("{{\"sha256\":\"{}\"}}\n", hash(body.as_bytes()));
    [body, end].concat().into_bytes()
}
