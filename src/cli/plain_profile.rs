//! The form of a profile as plain prompts: a field, a line. The same form as on the screen.

use super::fail::Fail;
use super::profile_form::{Opened, write, written};
use super::workshop::Workshop;
use super::world::World;
use crate::domain::plain::plain;
use crate::guide::help::Piece;
use crate::guide::profile_form::{Field, Form, Kind, Page};
use crate::report::layout_drawing;
use crate::tui::profile_desk::{Done, file_name};

const HOW: &str = "Enter alone takes what stands in brackets. Alone on a line: ? explains, - empties the\n\
                   field, < goes a field back, > goes to the next page, w writes, q leaves.";

/// Where the prompts go after a line.
enum Then {
    On,
    Back,
    NextPage,
    Write,
    Leave,
}

/// Asks field by field, page by page, until the profile is written or left.
pub fn run(world: &mut World<'_>, workshop: &Workshop, opened: Opened) -> Result<(), Fail> {
    let Opened { mut form, title, mut name, own } = opened;
    writeln!(world.out, "{}\n{HOW}", plain(&title))?;
    let (mut page, mut row) = (Page::Needed, 0);
    loop {
        let fields = form.fields(page);
        let Some(field) = fields.get(row).cloned() else {
            match turned(world, &form, page)? {
                Some(next) => (page, row) = (next, 0),
                None if finish(world, workshop, &mut form, &mut name, own.as_ref())? => {
                    return Ok(());
                }
                None => (page, row) = (Page::Needed, 0),
            }
            continue;
        };
        if row == 0 {
            writeln!(world.out, "\n{}", page.title())?;
        }
        let then = ask(world, &mut form, &field)?;
        match then {
            Then::On => row += 1,
            Then::Back => row = row.saturating_sub(1),
            Then::NextPage => row = fields.len(),
            Then::Write => {
                if finish(world, workshop, &mut form, &mut name, own.as_ref())? {
                    return Ok(());
                }
                (page, row) = place_of_fault(&form).unwrap_or((page, row));
            }
            Then::Leave => {
                writeln!(world.out, "left; nothing was written")?;
                return Ok(());
            }
        }
    }
}

/// Says how the profile stands at the end of a page, and returns the next page.
fn turned(world: &mut World<'_>, form: &Form, page: Page) -> Result<Option<Page>, Fail> {
    if page == Page::Needed {
        if let Some(sketch) = form.sketch() {
            for line in layout_drawing::drawing(&sketch.facts) {
                writeln!(world.out, "{}", plain(&line))?;
            }
        }
        match form.faults().first() {
            Some(fault) => writeln!(world.out, "! {}", plain(&fault.words))?,
            None => writeln!(world.out, "This is a sound profile: w writes it; or go on.")?,
        }
    }
    let at = Page::ALL.iter().position(|known| *known == page).unwrap_or(0);
    Ok(Page::ALL.get(at + 1).copied())
}

/// Asks one field.
fn ask(world: &mut World<'_>, form: &mut Form, field: &Field) -> Result<Then, Fail> {
    let now = form.text(&field.path).to_string();
    let wanted = field.needed || field.page == Page::Needed;
    let taken = match now.is_empty() && wanted {
        true => form.proposed(field).unwrap_or_default(),
        false => now.clone(),
    };
    let choices = match field.kind {
        Kind::Choice(words) => format!(" ({})", words.join(", ")),
        Kind::YesNo => " (yes, no)".to_string(),
        // "cylinders" alone may ask how many there are.
        Kind::Order => format!(" ({})", plain(field.say)),
        _ => String::new(),
    };
    let shown = if taken.is_empty() { String::new() } else { format!(" [{}]", plain(&taken)) };
    world.before_asking()?;
    writeln!(world.out, "{}{choices}{shown}:", plain(&field.label))?;
    let Some(line) = world.line()? else { return Ok(Then::Leave) };
    match line.trim() {
        "" => form.set(&field.path, taken),
        "?" => {
            let page = form.help(field);
            for piece in &page.pieces {
                writeln!(world.out, "{}", plain(&piece_words(piece)))?;
            }
            for proposal in form.proposals(field).into_iter().take(6) {
                writeln!(world.out, "  {}", plain(&proposal))?;
            }
            return ask(world, form, field);
        }
        "-" => form.set(&field.path, ""),
        "<" => return Ok(Then::Back),
        ">" => return Ok(Then::NextPage),
        "w" => return Ok(Then::Write),
        "q" => return Ok(Then::Leave),
        typed => form.set(&field.path, typed),
    }
    form.complete(field);
    let fault = form.faults().into_iter().find(|fault| fault.path == field.path);
    if let Some(fault) = fault.filter(|_| field.needed || !form.text(&field.path).is_empty()) {
        // What cannot stand is told and asked again; what was there before is kept till then.
        writeln!(world.out, "! {}", plain(&fault.words))?;
        form.set(&field.path, now);
        return ask(world, form, field);
    }
    if let Some(doubt) = form.doubt(field) {
        world.before_asking()?;
        writeln!(world.out, "! {} 1 it is right, Enter types it again:", plain(&doubt.words))?;
        if world.line()?.is_none_or(|line| line.trim() != "1") {
            form.set(&field.path, now);
            return ask(world, form, field);
        }
    }
    let comes_to = form.comes_to(field);
    if !comes_to.is_empty() && comes_to != form.text(&field.path) {
        writeln!(world.out, "  = {}", plain(&comes_to))?;
    }
    Ok(Then::On)
}

/// A piece of the help as a line; the form's have no drawings.
fn piece_words(piece: &Piece) -> String {
    match piece {
        Piece::Head(words) => format!("{words}:"),
        Piece::Say(words) => words.clone(),
        Piece::Item(words) => format!("  - {words}"),
        Piece::Drawing(drawing) => drawing.title.to_string(),
    }
}

fn place_of_fault(form: &Form) -> Option<(Page, usize)> {
    let fault = form.faults().into_iter().next()?;
    let home = form.all_fields().into_iter().find(|field| field.path == fault.path)?;
    let row = form.fields(home.page).iter().position(|field| field.path == home.path)?;
    Some((home.page, row))
}

/// Asks for the file's name and writes; false where that was not possible, and it was told why.
fn finish(
    world: &mut World<'_>,
    workshop: &Workshop,
    form: &mut Form,
    name: &mut String,
    own: Option<&(String, String)>,
) -> Result<bool, Fail> {
    if let Some(fault) = form.faults().first() {
        writeln!(world.out, "! {}", plain(&fault.words))?;
        return Ok(false);
    }
    form.tidy();
    for warning in form.warnings() {
        writeln!(world.out, "! {}", plain(&warning))?;
    }
    if name.is_empty() {
        *name = file_name(form.text("name"));
    }
    let mut replace = false;
    loop {
        if !replace {
            world.before_asking()?;
            writeln!(world.out, "Name of the file [{}], q goes back:", plain(name))?;
            match world.line()? {
                None => return Err(Fail::work("the input ended", "nothing was written")),
                Some(line) if line.trim() == "q" => return Ok(false),
                Some(line) if line.trim().is_empty() => {}
                Some(line) => *name = line.trim().to_string(),
            }
        }
        match write(workshop, &form.document(), name, replace, own) {
            Done::Written(place) => {
                write!(
                    world.out,
                    "{}",
                    written(&place, own.is_some_and(|(read, _)| read == name))
                )?;
                return Ok(true);
            }
            Done::Exists => {
                world.before_asking()?;
                writeln!(
                    world.out,
                    "You have a profile \"{}\" already. 1 replace it, 2 another name:",
                    plain(name)
                )?;
                replace = world.line()?.is_some_and(|line| line.trim() == "1");
            }
            Done::Refused(words) => {
                writeln!(world.out, "! {words}")?;
                replace = false;
            }
        }
    }
}
