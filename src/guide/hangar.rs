//! The called-away notice as the screen shows it: what is loose first, and everything countable.

use super::left_so::{LEFT_SO, NOT_SETTLED};
use super::named::{open_words, valve_short};
use super::status::notice;
use crate::domain::plain::plain;
use crate::domain::session::{OpenItem, OutPart, Session, State};
use crate::domain::trend::Earlier;

/// Returns the lines of the notice on the screen, each with the kind of what it tells, for counting:
/// what is loose comes before whose engine it is.
pub fn lines(session: &Session, earlier: &Earlier) -> (Vec<String>, Vec<&'static str>) {
    let mut items = session.state.open_items();
    let grave = items.iter().take_while(|item| item.bars_close_up()).count();
    let rest = items.split_off(grave);
    let told = |item: OpenItem| (open_words(&session.state, &item), item.kind());
    let all = notice(session, earlier).into_iter();
    let known = items.len() + rest.len();
    // The engine and who left it; behind the open items whatever was said on leaving.
    let (engine, said): (Vec<_>, Vec<_>) =
        all.skip(1).enumerate().partition(|(at, _)| *at < ABOUT_THE_ENGINE);
    let kinds = [LEFT_SO, NOT_SETTLED];
    let known_kind = |line: &str| kinds.into_iter().find(|kind| line.starts_with(kind));
    let kind = |line: &str| known_kind(line).unwrap_or("more lines");
    // What is not in limits comes before whatever else there may be no room for.
    let (left_so, said): (Vec<_>, Vec<_>) =
        said.into_iter().skip(known).partition(|(_, line)| known_kind(line).is_some());
    let words = |(_, line): (usize, String)| {
        let kind = kind(&line);
        (line, kind)
    };
    items
        .into_iter()
        .map(told)
        .chain(left_so.into_iter().map(words))
        .chain(engine.into_iter().map(words))
        .chain(rest.into_iter().map(told))
        .chain(said.into_iter().map(words))
        .unzip()
}

/// Lines of the notice after its warning that tell the engine and who left it.
const ABOUT_THE_ENGINE: usize = 2;

/// Returns the gravest open item in a few capital words for large letters: "3 INT SLACK". Pieces that
/// are off stand in their own line, in the same words.
pub fn large(session: &Session) -> Option<String> {
    let state = &session.state;
    let items = state.open_items();
    let mut items = items.iter().filter(|item| !matches!(item, OpenItem::NotCountedIn { .. }));
    items.find_map(|item| large_words(state, item))
}

/// Names an open item in a few capital words; `None` for a remark, which is as long as it was typed.
pub(super) fn large_words(state: &State, item: &OpenItem) -> Option<String> {
    let pieces = |count: u32| if count == 1 { "1 PIECE".into() } else { format!("{count} PIECES") };
    Some(match item {
        OpenItem::NutSlack(valve) => format!("{} SLACK", valve_short(state, *valve)),
        OpenItem::Unloaded(valve) => format!("{} UNLOADED", valve_short(state, *valve)),
        OpenItem::PartOut(OutPart { part, valve, bank, .. }) => {
            let of_bank = || bank.as_ref().map(|bank| plain(bank).to_uppercase());
            let of = valve.map(|valve| valve_short(state, valve)).or_else(of_bank);
            let words = of.into_iter().chain([format!("{} OUT", part.capitals())]);
            words.collect::<Vec<String>>().join(" ")
        }
        OpenItem::HeldOpen(valve) => format!("{} HELD OPEN?", valve_short(state, *valve)),
        OpenItem::StopFelt { .. } => "STOP FELT".into(),
        OpenItem::TurnsOwed => "NOT TURNED THROUGH".into(),
        OpenItem::HoldDown(cylinder) => format!("CYL {cylinder} HOLD-DOWN"),
        OpenItem::NutsNotTight(cylinder) => format!("CYL {cylinder} NUTS LOOSE"),
        OpenItem::GaugeAfter(valve) => format!("GAUGE {}", valve_short(state, *valve)),
        OpenItem::BeforeRunning { .. } => return None,
        OpenItem::Missing { missing, .. } => format!("{} MISSING", pieces(*missing)),
        OpenItem::Surplus { surplus, .. } => format!("{} TOO MANY", pieces(*surplus)),
        OpenItem::NotCountedIn { pieces: off } => format!("{} OFF", pieces(*off)),
        OpenItem::CoversOff => "COVERS OFF".into(),
        OpenItem::CoversNotTorqued => "NO TORQUE YET".into(),
        OpenItem::PlugsNotTorqued => "PLUGS NO TORQUE".into(),
        OpenItem::TwoTurnsOwed => "NOT TURNED YET".into(),
        OpenItem::LeadsOff => "LEADS OFF".into(),
        OpenItem::ControlsNotBack => "CONTROLS NOT SET".into(),
        OpenItem::RunHandedOver => "HAS IT RUN?".into(),
    })
}
