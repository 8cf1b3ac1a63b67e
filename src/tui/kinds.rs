//! The list of kinds of engine, each drawn as it lies.

use super::job::Table;
use super::screens::drawn::Drawn;
use super::widgets::engine::EngineView;
use crate::domain::profile::EngineProfile;
use crate::guide::kinds::{Kind, OWN};

/// Makes the list, with the line of a kind of one's own after all others.
pub fn table<'a>(kinds: &[Kind], profile: impl Fn(&str) -> Option<&'a EngineProfile>) -> Table {
    let drawn = |kind: &Kind| Drawn {
        engine: profile(&kind.profile).map(EngineView::of_kind),
        lines: kind.lines.clone(),
    };
    let own = Drawn {
        engine: None,
        lines: vec![
            "A form asks for what the manual tells, and draws the engine as you type.".into(),
        ],
    };
    let titles = kinds.iter().map(|kind| kind.title.clone()).chain([OWN.into()]);
    let words = kinds.iter().map(|kind| kind.words.clone()).chain([OWN.into()]);
    Table {
        title: "A new engine: which kind?".into(),
        rows: titles.map(|title| vec![title]).collect(),
        words: words.collect(),
        drawings: kinds.iter().map(drawn).chain([own]).collect(),
        ..Table::default()
    }
}
