//! Commands about profiles: list, check, show, plan, advise.

use super::args;
use super::export::all_of_it;
use super::fail::Fail;
use super::profile_form;
use super::unread::NotHere;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::advice::{self, AdviceFault};
use crate::domain::certainty;
use crate::domain::entry::{LeafSet, Tolerance};
use crate::domain::leaves;
use crate::domain::plain::{plain, spelled};
use crate::domain::plan::{self, PlanChoice};
use crate::domain::profile::Adjuster;
use crate::domain::reading;
use crate::domain::search::nearest;
use crate::domain::units::Length;
use crate::domain::verdict::Band;
use crate::guide::commands;
use crate::guide::unlikely::warnings;
use crate::report::advice_sheet::{advice_json, advice_text, examples_text};
use crate::report::cams_sheet::facts_json;
use crate::report::certainty_sheet::{certainty_json, certainty_text, leaves_json, leaves_text};
use crate::report::plan_sheet::{plan_json, plan_text};
use crate::report::profile_list::{self, ListRow};
use crate::report::profile_sheet;
use crate::store::profile_error::ProfileError;
use crate::store::profile_schema;
use crate::store::profiles as store;
use clap::{Command, Subcommand};
use serde_json::Value;
use std::path::Path;

/// Prints one JSON document.
pub(super) fn print_json(world: &mut World<'_>, document: &Value) -> Result<(), Fail> {
    // `{:#}` is serde_json's indented form; a value always prints.
    writeln!(world.out, "{}", spelled(&format!("{document:#}")))?;
    Ok(())
}

/// Words that a file to be checked cannot be read: where there is none, and a profile of that name is known.
fn no_file(workshop: &Workshop, named: &str, error: ProfileError) -> Fail {
    if Path::new(named).exists() || store::find(named, workshop.root()).is_err() {
        return error.into();
    }
    let own = workshop.root().join("profiles").join(format!("{named}.json")).exists();
    let whose = if own { "your own" } else { "built in" };
    Fail::work(
        format!("there is no file `{named}`: a profile of that name is {whose}"),
        format!("`cowlside profiles show {named}` shows it; check reads a file"),
    )
}

/// A sheet as it may be shown, whatever a profile's texts hold.
fn shown(sheet: &str) -> String {
    sheet.split('\n').map(plain).collect::<Vec<_>>().join("\n")
}

/// `profiles`.
pub fn profiles(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &args::Profiles,
) -> Result<(), Fail> {
    match &args.what {
        None => match args.words.first().map(String::as_str) {
            Some(word @ ("show" | "check")) => Err(Fail::usage(
                format!("`{word}` comes first: nothing may stand before it"),
                format!("write `cowlside profiles {word} ...`, with `--json` behind it"),
            )),
            Some(_) | None => list(world, workshop, &args.words.join(" "), args.json),
        },
        Some(args::ProfilesWhat::Check { file }) => {
            let path = file.to_string_lossy();
            let found = store::read_file(file).map_err(|error| no_file(workshop, &path, error))?;
            if found.profile.stops.is_some() {
                // A table is used as written or not at all: what `plan` would refuse is not sound.
                plan::plan(&found.profile, &PlanChoice::default())
                    .map_err(|refusal| Fail::work(refusal.to_string(), refusal.hint()))?;
            }
            write!(world.out, "{}", shown(&profile_sheet::check_text(&path, &found.profile)))?;
            // The profile itself has each leaf once.
            let listed = serde_json::from_str(&found.text).map_or(0, |read: Value| {
                read.get("leaves").and_then(Value::as_array).map_or(0, Vec::len)
            });
            let twice = profile_sheet::leaf_twice_text(listed, &found.profile);
            write!(world.out, "{}", shown(&twice))?;
            Ok(())
        }
        Some(args::ProfilesWhat::Schema) => print_json(world, &profile_schema::schema()),
        Some(args::ProfilesWhat::New { name, plain }) => {
            let wanted = profile_form::Wanted::New { name: name.clone() };
            profile_form::open(world, workshop, &wanted, *plain)
        }
        Some(args::ProfilesWhat::Copy { name, to, plain }) => {
            let wanted = profile_form::Wanted::Copy { name: name.clone(), to: to.clone() };
            profile_form::open(world, workshop, &wanted, *plain)
        }
        Some(args::ProfilesWhat::Change { name, plain }) => {
            let wanted = profile_form::Wanted::Change { name: name.clone() };
            profile_form::open(world, workshop, &wanted, *plain)
        }
        Some(args::ProfilesWhat::Show { name, json }) => {
            let found = store::find(name, workshop.root())?;
            if *json {
                return print_json(world, &facts_json(&found.name, &found.profile));
            }
            write!(world.out, "{}", shown(&profile_sheet::sheet(&found.name, &found.profile)))?;
            Ok(())
        }
    }
}

fn list(world: &mut World<'_>, workshop: &Workshop, asked: &str, json: bool) -> Result<(), Fail> {
    let listing = store::list(workshop.root());
    for broken in &listing.broken {
        world.warn(&format!("left out: {broken}"));
    }
    let all = listing.known.iter().map(|known| ListRow {
        name: &known.profile.name,
        profile: &known.profile.profile,
        built_in: known.origin == store::Origin::BuiltIn,
    });
    let rows = profile_list::asked_for(&all.collect::<Vec<_>>(), asked).map_err(|none| {
        let command = meant(asked).unwrap_or_default();
        Fail::work(none.to_string(), format!("{}{command}", none.hint()))
    })?;
    if json {
        print_json(world, &profile_list::list_json(&rows))?;
    } else {
        write!(world.out, "{}", shown(&profile_list::list_text(&rows)))?;
    }
    all_of_it(listing.broken.len(), NotHere::default(), "list")
}

/// Says which command a word was that is written like one.
fn meant(asked: &str) -> Option<String> {
    let typed = asked.split(' ').next()?;
    let commands = args::ProfilesWhat::augment_subcommands(Command::new("profiles"));
    let names: Vec<&str> = commands.get_subcommands().map(Command::get_name).collect();
    let (meant, apart) = nearest(typed, names)?;
    (apart <= 2 && typed.len() > 2).then(|| format!(" Or was it `cowlside profiles {meant}`?"))
}

/// `plan`.
pub fn plan(world: &mut World<'_>, workshop: &Workshop, args: &args::Plan) -> Result<(), Fail> {
    let found = store::find(&args.profile, workshop.root())?;
    let args::Plan { from, margin, few_stops, less_walking, .. } = *args;
    let choice = PlanChoice { from, margin, few_stops, less_walking };
    let plan = plan::plan(&found.profile, &choice)
        .map_err(|refusal| Fail::work(refusal.to_string(), refusal.hint()))?;
    if args.json {
        warnings(&found.profile).iter().for_each(|warning| world.warn(warning));
        return print_json(world, &plan_json(&found.profile, &plan));
    }
    write!(world.out, "{}", shown(&plan_text(&found.profile, &plan)))?;
    Ok(())
}

/// `advise`.
pub fn advise(world: &mut World<'_>, workshop: &Workshop, args: &args::Advise) -> Result<(), Fail> {
    let found = store::find(&args.profile, workshop.root())?;
    let valve = commands::valve(&args.valve)
        .map_err(|words| Fail::work(words, "name a valve as in \"1 exhaust\""))?;
    let set = leaves::of_profile(&found.profile);
    let meaning = reading::parse(&args.reading, &set)
        .map_err(|fault| Fail::work(fault.to_string(), fault.hint()))?;
    let fitted = length(args.shim.as_deref(), "--shim", Length::ZERO)?;
    let rod = length(args.rod.as_deref(), "--rod", Length::from_mm(-25))?;
    let advice = advice::advise(&found.profile, valve, &meaning.interval(), fitted, rod)
        .map_err(|fault: AdviceFault| Fail::work(fault.to_string(), fault.hint()))?;
    let adjuster = &found.profile.adjuster;
    if fitted.is_some() && !matches!(adjuster, Adjuster::Shim { .. }) {
        world.warn("--shim was not used: this engine is not set by shims");
    }
    if rod.is_some() && !matches!(adjuster, Adjuster::Pushrod { .. }) {
        world.warn("--rod was not used: this engine is not set by push rods");
    }
    let tolerance = length(args.tolerance.as_deref(), "--tolerance", Length::ZERO)?;
    let set = with_tolerance(set, tolerance);
    let band = Band::found(&found.profile.figures(valve.kind));
    let sure = args.certainty.then(|| certainty::judge_typed(&meaning, band, &set));
    let unit = found.profile.unit;
    if args.json {
        let mut document = advice_json(&found.profile, &meaning, &advice);
        if let (Some(sure), Some(members)) = (sure, document.as_object_mut()) {
            members.insert("certainty".into(), certainty_json(sure.as_ref(), unit));
        }
        return print_json(world, &document);
    }
    write!(world.out, "{}", advice_text(&found.profile, &meaning, &advice))?;
    write!(world.out, "{}", examples_text(&found.profile))?;
    if let Some(sure) = sure {
        write!(world.out, "{}", certainty_text(sure.as_ref(), unit))?;
    }
    Ok(())
}

fn with_tolerance(set: LeafSet, tolerance: Option<Length>) -> LeafSet {
    let told = |plus_minus| Tolerance { plus_minus, source: "--tolerance".into() };
    LeafSet { tolerance: tolerance.map(told), ..set }
}

/// `leaves`.
pub fn leaves(world: &mut World<'_>, workshop: &Workshop, args: &args::Leaves) -> Result<(), Fail> {
    let found = store::find(&args.profile, workshop.root())?;
    let set = match &args.leaves {
        None => leaves::of_profile(&found.profile),
        Some(typed) => leaves::parse(typed, "these leaves", found.profile.unit)
            .map_err(|fault| Fail::work(fault.to_string(), fault.hint()))?,
    };
    if set.leaves.is_empty() {
        let hint = "name the leaves, as in: cowlside leaves PROFILE \"0.05-0.50 by 0.05\"";
        return Err(Fail::work("this profile lists no leaves", hint));
    }
    if args.json {
        return print_json(world, &leaves_json(&found.profile, &set));
    }
    write!(world.out, "{}", leaves_text(&found.profile, &set))?;
    Ok(())
}

fn length(typed: Option<&str>, flag: &str, least: Length) -> Result<Option<Length>, Fail> {
    typed.map(|typed| Length::parse(typed, least..=Length::from_mm(25))).transpose().map_err(
        |fault| {
            Fail::work(
                format!("{flag}: {fault}"),
                "write a length with its unit, as in \"2.95 mm\"",
            )
        },
    )
}
