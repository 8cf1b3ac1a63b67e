//! Makes a shop of any size: engines, and sessions with sound hash chains. The same seed makes the
//! same bytes. Everything in it is invented.
//!
//! A session has the entries of a service of an engine with screws: prepare, an as-found round in
//! which some valves are set, a second round, closing up, the signature; remarks fill it up.

use cowlside::domain::entry::*;
use cowlside::domain::plan::{Plan, PlanChoice, plan};
use cowlside::domain::profile::Source;
use cowlside::domain::session::{OpenItem, Session, hand_on};
use cowlside::domain::units::{Length, LengthUnit};
use cowlside::domain::valve::{Kind, Valve};
use cowlside::store::engines::{self, Counter, Engine};
use cowlside::store::folder::Folder;
use cowlside::store::{journal, profiles};
use std::collections::BTreeMap;
use std::path::Path;

/// How large the shop is.
#[derive(Clone, Copy, Debug)]
pub struct Size {
    /// Engines.
    pub engines: usize,
    /// Sessions of each.
    pub sessions: usize,
    /// Entries of each session; a service needs some 90 of its own with six cylinders.
    pub entries: usize,
    /// What the chance comes from.
    pub seed: u64,
}

/// Engines with screws; each has at most twelve valves, so that a hundred entries hold a service.
const PROFILES: [&str; 5] = ["flat-six", "flat-four", "inline-four", "inline-six", "radial-five"];
/// 2012-03-05 09:00 at an offset of one hour.
const FIRST_MS: i64 = 1_330_934_400_000;
const DAY_MS: i64 = 86_400_000;
/// One service in so many is closed unsigned, and at one engine in so many nobody is told of it.
const UNSIGNED: usize = 10;
/// Which of them that is: so that a shop of four engines has both, and a smaller one neither.
const WHICH: usize = 4;
const NOBODY_TOLD: usize = 3;
const BASE_32: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";
/// A hundredth of a millimetre, the step of the leaves.
const STEP_NM: i64 = 10_000;

/// Chance that repeats (splitmix64).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, n: i64) -> i64 {
        self.next().cast_signed().rem_euclid(n)
    }

    fn id(&mut self) -> String {
        (0..26).map(|_| char::from(BASE_32[(self.next() & 31) as usize])).collect()
    }
}

/// Makes the shop in a folder that has none yet. The last session of every fiftieth engine is open.
pub fn make(root: &Path, size: Size) {
    let folder = Folder::at(root);
    folder.prepare().expect("a folder for the shop");
    for place in 0..size.engines {
        engine(&folder, size, place);
    }
}

fn engine(folder: &Folder, size: Size, place: usize) {
    let mut chance = Chance(size.seed ^ (place as u64).wrapping_mul(0x2545_f491_4f6c_dd1d));
    let name = PROFILES[place % PROFILES.len()];
    let profile = profiles::find(name, folder.root()).expect("a built-in profile");
    let way = plan(&profile.profile, &PlanChoice::default()).expect("a plan");
    let first = FIRST_MS + chance.below(700) * DAY_MS;
    let (called, serial) = (format!("Engine {:04}", place + 1), format!("S-{:05}", place * 7));
    let mut made = Engine::new(&called, &serial, name, (&day(first), Hours(0)), 0).expect("a name");
    made.id = chance.id();
    let mut wear = Wear::new(&profile, &way, &mut chance);
    let mut hours = 5_000 + chance.below(40_000);
    let mut left = Left::default();
    for number in 0..size.sessions {
        let at = first + number as i64 * 160 * DAY_MS;
        made.tell_hours(&day(at), Hours(hours), Counter::Same).expect("more hours");
        let open = place % 50 == 49 && number + 1 == size.sessions;
        let ending = match (place + number) % UNSIGNED {
            _ if open => Ending::Open,
            WHICH => Ending::Unsigned,
            _ => Ending::Signed,
        };
        let name = format!("service {:02}", number + 1);
        let begin = Begin {
            name: Some(name.clone()),
            left_open: left.items,
            engine_id: Some(made.id.clone()),
            engine: Some(called.clone()),
            serial: Some(serial.clone()),
            hours: Some(Hours(hours)),
            ..Begin::default()
        };
        let ends = (left.remarks, ending);
        let entries = service(begin, &way, &mut wear, &mut chance, (size.entries, ends));
        let program = env!("CARGO_PKG_VERSION").to_string();
        let head = Head { session: chance.id(), program, profile: profile.clone() };
        let at = Moment { unix_ms: at, offset_min: 60 };
        let (file, bytes, kept) = journal::in_memory(head, &entries, at).expect("a sound session");
        let is_told = ending == Ending::Unsigned && place % UNSIGNED != NOBODY_TOLD;
        left = if is_told { Left::of(&name, &kept) } else { Left::default() };
        std::fs::write(folder.sessions().join(file), bytes).expect("room for the shop");
        hours += 8_000 + chance.below(5_000);
    }
    let (path, bytes) = engines::file_of(folder, &made).expect("a sound engine");
    std::fs::write(path, bytes).expect("room for the shop");
}

/// How a service ends.
#[derive(Clone, Copy, PartialEq)]
enum Ending {
    Open,
    Unsigned,
    Signed,
}

/// What a service left open, as the next one begins with it.
#[derive(Default)]
struct Left {
    items: Vec<LeftOpen>,
    remarks: Vec<Entry>,
}

impl Left {
    fn of(name: &str, kept: &[Kept]) -> Left {
        let state = Session::replay(kept).expect("a session").state;
        let items = state.left_open(name);
        let is_item = |open: &OpenItem| items.iter().any(|one| OpenItem::from(&one.item) == *open);
        let rest = state.open_items().into_iter().filter(|open| !is_item(open));
        let words = rest.map(|open| open.words(&|valve| state.name_of(valve)));
        let remarks = words.map(|words| {
            let text = hand_on(name, None, &words);
            Entry::Remark(Remark { text, before_running: true, ..Remark::default() })
        });
        Left { remarks: remarks.collect(), items }
    }
}

fn day(unix_ms: i64) -> String {
    cowlside::report::dates::day(Moment { unix_ms, offset_min: 60 })
}

/// What the clearances really are, nanometres, and how far each goes from one service to the next.
struct Wear(BTreeMap<Valve, (i64, i64)>, BTreeMap<Kind, i64>);

impl Wear {
    fn new(profile: &ProfileText, way: &Plan, chance: &mut Chance) -> Wear {
        let of = |kind| profile.profile.figures(kind).target.nm();
        let targets: BTreeMap<Kind, i64> = Kind::BOTH.map(|kind| (kind, of(kind))).into();
        let gauged = way.stops.iter().flat_map(|stop| &stop.gauge);
        let valves = gauged
            .map(|gauge| (gauge.valve, (targets[&gauge.valve.kind], chance.below(9_000) - 5_500)));
        Wear(valves.collect(), targets)
    }

    fn run(&mut self, chance: &mut Chance) {
        for (now, goes) in self.0.values_mut() {
            *now = (*now + *goes + chance.below(4_000) - 2_000).max(3 * STEP_NM);
        }
    }
}

fn service(
    begin: Begin,
    way: &Plan,
    wear: &mut Wear,
    chance: &mut Chance,
    (wanted, (told, ending)): (usize, (Vec<Entry>, Ending)),
) -> Vec<Entry> {
    wear.run(chance);
    let worker = ["M. Mechanic", "day shift", "second pair of hands"][chance.below(3) as usize];
    let taken: Vec<LeftItem> = begin.left_open.iter().map(|left| left.item.clone()).collect();
    let mut entries = prepare(begin, worker);
    entries.extend(told);
    entries.extend(taken.into_iter().filter_map(|item| match item {
        LeftItem::NutSlack(valve) => {
            let why = "locked to the mark".into();
            Some(Entry::Nut(Nut::said(valve, NutSaid::NeverTouched { why })))
        }
        _ => None,
    }));
    for round in 1..=2 {
        for (place, stop) in way.stops.iter().enumerate() {
            let (watch, then_turn) = (stop.watch, stop.then_turn);
            entries.push(Entry::At(At::Stop { stop: place, watch, then_turn }));
            let loose = stop.gauge.len() as u8;
            let rocked = (place == 0).then_some(Rocked::Steady);
            entries.push(Entry::Proof(Proof { loose, of: loose, rocked, no_play: false }));
            for gauge in &stop.gauge {
                gauged(&mut entries, gauge.valve, round, wear, (worker, chance));
            }
        }
    }
    let end = match ending {
        Ending::Open => Vec::new(),
        Ending::Unsigned => broken_off(worker, way.stops[0].gauge[0].valve),
        Ending::Signed => closing(worker),
    };
    // The head comes before these.
    let fill = wanted.saturating_sub(1 + entries.len() + end.len());
    entries.extend((0..fill).map(|n| {
        Entry::Remark(Remark {
            good: vec![Tick::Pad, Tick::Bush, Tick::Spring, Tick::Rod, Tick::Oil, Tick::Gasket],
            text: format!("looked at and photographed, sheet {n}"),
            ..Remark::default()
        })
    }));
    entries.extend(end);
    entries
}

fn prepare(begin: Begin, worker: &str) -> Vec<Entry> {
    let source = Source { document: "Sheet 7".into(), revision: "B".into(), page: "3".into() };
    let leaves = (5..=50).map(|step| Length::from_nm(step * STEP_NM)).collect();
    let mut entries = vec![
        Entry::Begin(begin),
        Entry::Who(Who { name: worker.into(), takes_over: false }),
        Entry::Source(SourceRead::Named { source, practice: false }),
        Entry::Condition(Condition { typed: "18 °C".into(), ..Condition::default() }),
        Entry::Leaves(LeafSet::new("long set, hundredths", LengthUnit::Mm, leaves)),
    ];
    entries.extend(["ignition", "fuel", "arc"].map(|id| {
        Entry::Caution(Caution {
            id: id.into(),
            asked: "What was seen before a hand went near the propeller?".into(),
            digit: 1,
            seen: "made safe and tagged".into(),
            safe: true,
            when: Asked::Start,
            out_again: false,
        })
    }));
    let items = vec![("cover screw".into(), 12), ("O-ring".into(), 3)];
    entries.push(Entry::Off(Off { bank: "right".into(), items }));
    entries
}

/// Reads a valve as it is, and sets it in the first round where it is far off.
fn gauged(
    entries: &mut Vec<Entry>,
    valve: Valve,
    round: u8,
    Wear(valves, targets): &mut Wear,
    (worker, chance): (&str, &mut Chance),
) {
    let target = targets[&valve.kind];
    let (now, _) = valves.get_mut(&valve).expect("a valve of the plan");
    let step = if round == 1 { Step::Found } else { Step::Recheck };
    entries.push(reading(valve, step, round, *now, worker));
    if round == 1 && (*now - target).abs() > 3 * STEP_NM {
        *now = target + chance.below(STEP_NM) - STEP_NM / 2;
        entries.push(Entry::Nut(Nut::said(valve, NutSaid::Slack)));
        let seq = entries.len() as u64 + 1;
        entries.push(reading(valve, Step::Try, round, *now, worker));
        let said = NutSaid::Locked { torque: "20 N·m".into(), gauged: seq };
        entries.push(Entry::Nut(Nut::said(valve, said)));
    }
}

fn reading(valve: Valve, step: Step, round: u8, nm: i64, by: &str) -> Entry {
    let leaf = (nm + STEP_NM / 2).div_euclid(STEP_NM);
    let at = |halves: i64| Some(Length::from_nm(leaf * STEP_NM + halves * STEP_NM / 2));
    Entry::Reading(Reading {
        valve,
        step,
        round,
        typed: leaf.to_string(),
        unit: ReadingUnit::Hundredths,
        low: at(-1),
        high: at(1),
        nominal: at(0),
        single: true,
        by: by.into(),
        paper: None,
        aimed: None,
        tries: 0,
        odd: None,
        against_plan: None,
        turned: None,
    })
}

fn count(item: &str, count: u32) -> Entry {
    Entry::On(On::Count { bank: "right".into(), item: item.into(), count })
}

/// Closes a service unsigned over a slack nut.
fn broken_off(worker: &str, slack: Valve) -> Vec<Entry> {
    let seal = Seal { signed: false, why: "called away".into(), ..seal(worker) };
    let slack = Entry::Nut(Nut::said(slack, NutSaid::Slack));
    vec![slack, count("cover screw", 12), count("O-ring", 3), Entry::Seal(seal)]
}

fn seal(worker: &str) -> Seal {
    Seal {
        entries: 0,
        by: worker.into(),
        chain: String::new(),
        signed: true,
        why: String::new(),
        tells_not_put_back: None,
        tells_not_gauged: false,
    }
}

fn closing(worker: &str) -> Vec<Entry> {
    let run = Run {
        id: "run".into(),
        asked: "Warm, any leak or noise?".into(),
        digit: 1,
        seen: "dry and even".into(),
        good: true,
        text: String::new(),
    };
    let sign = Sign {
        signer: worker.into(),
        certificate_kind: "mechanic".into(),
        certificate_number: "12345".into(),
        statement: "Valve clearances gauged and set by the sheet named.".into(),
        owner_sentence: "All in limits; look again at the next interval.".into(),
        next_check: None,
    };
    vec![
        count("cover screw", 12),
        count("O-ring", 3),
        Entry::Run(run),
        Entry::Sign(sign),
        Entry::Seal(seal(worker)),
    ]
}
