//! Questions that are asked before a session is there: a line each, until all is answered.

use super::fail::Fail;
use super::plain_session;
use super::world::World;
use crate::domain::plain::plain;
use crate::guide::Step;
use crate::guide::help::BEGINNING;
use crate::report::help_sheet::topic_text;

/// Asks until everything is answered; `None` at the end of the input.
pub(super) fn ask_all<T>(
    world: &mut World<'_>,
    ask: impl Fn(&[String]) -> Step<T>,
) -> Result<Option<T>, Fail> {
    let mut given: Vec<String> = Vec::new();
    loop {
        match ask(&given) {
            Step::Ask(prompt) => {
                let undo = given.last().map(|_| plain_session::BACK);
                plain_session::show_prompt(world, &[], &prompt, undo)?;
                match world.line()? {
                    Some(line) if line.trim() == "q" => {
                        // What is left of a paste would be the shell's.
                        world.forget_typed();
                        return Ok(None);
                    }
                    Some(line) if line.trim() == "-" => {
                        if given.pop().is_none() {
                            writeln!(world.out, "! this is the first question; q leaves")?;
                        }
                    }
                    Some(line) if line.trim() == "?" => {
                        let topic = topic_text(&BEGINNING, None);
                        plain_session::help(world, &topic, &prompt)?;
                    }
                    Some(line) => given.push(line.trim().to_string()),
                    None => return Ok(None),
                }
            }
            Step::Do(done) => return Ok(Some(done)),
            Step::Refused(words) => {
                // Refused before anything was answered, it would be so for ever.
                if given.pop().is_none() {
                    return Err(Fail::work(words, ""));
                }
                writeln!(world.out, "! {}", plain(&words))?;
            }
            Step::Retype(answers) => given.truncate(given.len().saturating_sub(answers)),
            Step::Again
            | Step::Back
            | Step::Read(_)
            | Step::Switch(_)
            | Step::GiveProfile(_)
            | Step::ReplaceProfile { .. } => given.clear(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::world::Terminals;
    use crate::domain::entry::Moment;
    use std::io::Cursor;

    #[test]
    fn what_is_refused_before_anything_was_answered_ends_with_its_reason() {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let mut world = World {
            out: &mut out,
            err: &mut err,
            input: &mut Cursor::new("one\ntwo\n"),
            ready: &|_| true,
            forget: &|| false,
            now: &|| Moment { unix_ms: 0, offset_min: 0 },
            run_ms: &|| 0,
            terminals: Terminals::default(),
            variable: &|_| None,
            ascii: false,
        };
        let answered = ask_all(&mut world, |_| Step::<()>::Refused("nothing will do".into()));
        assert!(answered.is_err_and(|fail| fail.words().contains("nothing will do")));
    }
}
