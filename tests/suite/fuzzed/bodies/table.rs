//! A table of readings: all of it is taken or nothing, problems are told by their lines, and what was
//! taken goes out and in again as the same table.

use super::place::{Place, Ran};
use super::{Checked, said, want};

/// What imports the table of this path into a place.
pub type Importer = fn(&Place, &str) -> Ran;

/// The program's own.
pub fn import(place: &Place, path: &str) -> Ran {
    place.run(&["import", path])
}

/// Imports bytes into an empty workshop.
pub fn check(bytes: &[u8], import: Importer) -> Checked {
    let place = Place::new()?;
    let path = place.file("table.csv", bytes)?;
    let ran = import(&place, &path);
    if ran.code != 0 {
        return refused(&place, &ran, bytes);
    }
    want(ran.err.lines().all(|line| line.starts_with("warning: ")), || ran.err.clone())?;
    ran.out.lines().try_for_each(|line| said::printable("the table's import", line))?;
    let table = exported(&place)?;
    let rows = rows(&table)?;
    want(rows == given(bytes)?, || {
        format!("{rows} rows are out, {:?} were given:\n{table}", given(bytes))
    })?;
    again(&table, import)?;
    Ok("taken")
}

fn refused(place: &Place, ran: &Ran, bytes: &[u8]) -> Checked {
    said::printed(&ran.err, bytes)?;
    let kept = place.everything();
    want(kept.is_empty(), || format!("refused, but kept: {:?}", kept.keys()))?;
    let lines = bytes.split(|byte| *byte == b'\n' || *byte == b'\r').count() + 1;
    for line in ran.out.lines() {
        said::printable("a problem", line)?;
        let number = line.split_once(", line ").and_then(|(_, rest)| rest.split_once(": "));
        let number = number.and_then(|(number, _)| number.parse::<usize>().ok());
        let there = number.is_some_and(|number| (1..=lines).contains(&number));
        want(there, || format!("no line of the table is named: {line:?}"))?;
        said::refusal(line, "put the lines right", bytes)?;
    }
    let told = !ran.out.is_empty() || !ran.err.contains("problem");
    want(told, || format!("no problem is told: {:?}", ran.err))?;
    Ok("refused")
}

fn exported(place: &Place) -> Result<String, String> {
    let out = place.run(&["export"]);
    want(out.code == 0, || format!("what was imported cannot go out: {}", out.err))?;
    Ok(out.out)
}

fn rows(table: &str) -> Result<usize, String> {
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(table.as_bytes());
    let rows: Result<Vec<_>, _> = reader.records().collect();
    rows.map(|rows| rows.len()).map_err(|error| format!("the export is no table: {error}"))
}

fn given(bytes: &[u8]) -> Result<usize, String> {
    rows(&String::from_utf8_lossy(bytes))
}

/// The export is taken by an empty workshop and comes out as the same; where it was taken before,
/// nothing is taken twice.
fn again(table: &str, import: Importer) -> Result<(), String> {
    let second = Place::new()?;
    let path = second.file("table.csv", table.as_bytes())?;
    let ran = import(&second, &path);
    want(ran.code == 0, || format!("its own export is refused: {}{}\n{table}", ran.out, ran.err))?;
    let twice = exported(&second)?;
    want(twice == table, || format!("out:\n{table}\nand in and out again:\n{twice}"))?;
    let before = second.everything();
    let ran = import(&second, &path);
    want(ran.code == 0, || format!("a second time it is refused: {}{}", ran.out, ran.err))?;
    want(second.everything() == before, || "a second time something was taken".into())?;
    Ok(())
}
