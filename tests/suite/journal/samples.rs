//! One profile, and sample entries of every kind with every member filled in.

use cowlside::domain::entry::Sign;
use cowlside::domain::entry::*;
use cowlside::domain::profile::*;
use cowlside::domain::session::{LEAK_TEST_LATER, LEAK_TEST_NOW, MANUAL_ALLOWS, ROUGH_LOOK};
use cowlside::domain::units::{Length, LengthUnit, Temperature};
use cowlside::domain::valve::{Kind, Valve};
use std::sync::LazyLock;

mod added;

/// The identity of every sample session.
pub const SID: &str = "k3f9q2m8x5w7t4r6p0n1j3h5g7";

/// What stands for a profile's file; `parse` knows only this text.
pub const PROFILE_TEXT: &str = "{ \"name\": \"upright twin\",\n  \"note\": \"µ \u{1b}\" }\n";

/// A small sound profile: a twin with screws, example figures (no source).
pub fn profile() -> EngineProfile {
    static CHECKED: LazyLock<EngineProfile> =
        LazyLock::new(|| EngineProfile::new(facts()).expect("the sample profile is sound"));
    CHECKED.clone()
}

fn facts() -> Facts {
    let spec = |target: i64| ValveSpec {
        per_cylinder: 1,
        cold: Some(Figures {
            target: Length::from_um(target),
            least: Length::from_um(target - 50),
            most: Length::from_um(target + 50),
            set_least: Length::from_um(target - 50),
            set_most: Length::from_um(target + 50),
        }),
        hot: None,
        position: Vec::new(),
        leaves_at_once: 1,
    };
    Facts {
        name: "upright twin".to_owned(),
        source: Source::default(),
        firing_order: vec![1, 2],
        firing_intervals: vec![360.0, 360.0],
        layout: Layout {
            shape: Shape::Inline,
            listed_from: End::Front,
            banks: vec![Bank {
                name: "row".to_owned(),
                cylinders: vec![1, 2],
                side: None,
                valves_along: None,
                labels: Vec::new(),
                first_at: 0.0,
            }],
            angle: None,
            cam_ring: None,
        },
        rotation: None,
        intake: spec(150),
        exhaust: spec(200),
        timing: None,
        adjuster: Adjuster::Screw(Screw {
            pitch_mm: Some(1.0),
            at_valve_end: true,
            rocker_ratio: 1.0,
            lock_nut: None,
            lock_nut_torque: None,
            screw_drive: None,
            threads_showing: None,
        }),
        gauge_when: GaugeWhen { hot: false, no_warmer_than: None, no_cooler_than: None },
        leaves: Vec::new(),
        covers: Covers::default(),
        interval_hours: None,
        interval_months: None,
        first_interval_hours: None,
        cautions: Vec::new(),
        stops: None,
        overlap_looks_like: None,
        unit: LengthUnit::Mm,
    }
}

/// Stands in for the reader of profile files.
pub fn parse(text: &str) -> Result<EngineProfile, String> {
    if text == PROFILE_TEXT { Ok(profile()) } else { Err("no sample profile".to_owned()) }
}

/// The profile with its text.
pub fn profile_text() -> ProfileText {
    ProfileText {
        profile: profile(),
        text: PROFILE_TEXT.to_owned(),
        name: "upright-twin".to_owned(),
    }
}

/// The first entry of a sample session.
pub fn head() -> Head {
    Head { session: SID.to_owned(), program: "0.1.0".to_owned(), profile: profile_text() }
}

/// Three minutes past a quarter past ten, in a place one hour ahead of UTC.
pub fn moment() -> Moment {
    Moment { unix_ms: 1_773_483_330_123, offset_min: 60 }
}

/// A reading with every member.
pub fn reading() -> Reading {
    Reading {
        valve: Valve { cylinder: 1, kind: Kind::Exhaust, number: 2 },
        step: Step::Left,
        round: 2,
        typed: "0,15".to_owned(),
        unit: ReadingUnit::Hundredths,
        low: Some(nm(145_000)),
        high: Some(nm(155_000)),
        nominal: Some(nm(150_000)),
        single: true,
        by: "worker a".to_owned(),
        paper: Some("09:40".to_owned()),
        aimed: Some(nm(152_400)),
        tries: 3,
        odd: Some("no leaf of the set".to_owned()),
        against_plan: Some("seen shut".to_owned()),
        turned: None,
    }
}

fn nm(nm: i64) -> Length {
    Length::from_nm(nm)
}

fn text(text: &str) -> String {
    text.to_owned()
}

fn some(text: &str) -> Option<String> {
    Some(text.to_owned())
}

fn valve() -> Valve {
    Valve::new(2, Kind::Intake)
}

fn source() -> Source {
    Source { document: text("manual"), revision: text("4"), page: text("12-3") }
}

/// Entries of one kind, so that every member and every choice is there once.
pub fn of_kind(kind: &str) -> Vec<Entry> {
    let mut all: Vec<Entry> = start().into_iter().chain(added::begun()).collect();
    all.extend(gauging());
    all.extend(setting());
    all.extend(closing().into_iter().chain(added::added()));
    all.retain(|entry| cowlside::store::codec::kind(entry) == kind);
    all
}

/// All kinds. A new kind must be put in here: this does not compile until it has an arm.
pub fn kinds() -> Vec<&'static str> {
    let all: Vec<Entry> = start()
        .into_iter()
        .chain(added::begun())
        .chain(gauging())
        .chain(setting())
        .chain(closing())
        .collect();
    let mut kinds = Vec::new();
    for entry in &all {
        let kind = match entry {
            Entry::Head(_) => "head",
            Entry::Begin(_) => "begin",
            Entry::Who(_) => "who",
            Entry::Caution(_) => "caution",
            Entry::Condition(_) => "condition",
            Entry::Source(_) => "source",
            Entry::Leaves(_) => "leaves",
            Entry::Off(_) => "off",
            Entry::On(_) => "on",
            Entry::At(_) => "at",
            Entry::Proof(_) => "proof",
            Entry::Unload(_) => "unload",
            Entry::Release(_) => "release",
            Entry::Reading(_) => "reading",
            Entry::Nut(_) => "nut",
            Entry::Part(_) => "part",
            Entry::Work(_) => "work",
            Entry::Remark(_) => "remark",
            Entry::LeakTest(_) => "leaktest",
            Entry::Skip(_) => "skip",
            Entry::Correct(_) => "correct",
            Entry::Amend(_) => "amend",
            Entry::Away(_) => "away",
            Entry::Back(_) => "back",
            Entry::Run(_) => "run",
            Entry::Sign(_) => "sign",
            Entry::Seal(_) => "seal",
            Entry::Recover(_) => "recover",
            Entry::Adopt(_) => "adopt",
            Entry::Redate(_) => "redate",
        };
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    kinds
}

fn start() -> Vec<Entry> {
    let begin = |rounds| Begin {
        name: some("spring"),
        engine_id: some("0123456789abcdefghjkmnpqrs"),
        engine: some("twin beside the door"),
        serial: some("T-17"),
        hours: Some(Hours(123_456)),
        hours_why: some("counter replaced"),
        total_time: Some(Hours(987_650)),
        known_source: Some(source()),
        known_worker: some("worker b"),
        known_parts: vec![],
        scope: Some(vec![1, 2]),
        scope_why: some("only one cylinder was opened"),
        rounds: Some(rounds),
        change: false,
        from: Some(2),
        corrects: some("autumn"),
        ..Begin::default()
    };
    let way = Begin {
        few_stops: Some(true),
        less_walking: Some(false),
        margin: Some(47.5),
        ..Begin::default()
    };
    let caution = |when| Caution {
        id: text("ignition"),
        asked: text("ignition made safe?"),
        digit: 1,
        seen: text("leads off"),
        safe: true,
        when,
        out_again: false,
    };
    vec![
        Entry::Head(head()),
        Entry::Begin(begin(Rounds::SetThenRecheck)),
        Entry::Begin(begin(Rounds::SurveySetRecheck)),
        Entry::Begin(begin(Rounds::SurveyOnly)),
        Entry::Begin(Begin::default()),
        Entry::Begin(Begin { rest: true, ..way.clone() }),
        Entry::Begin(way),
        Entry::Begin(Begin {
            known_parts: vec![KnownPart { valve: valve(), size: nm(2_650_000) }],
            rounds: Some(Rounds::SurveyOnly),
            change: true,
            ..Begin::default()
        }),
        Entry::Who(Who { name: text("worker a"), takes_over: true }),
        Entry::Caution(caution(Asked::Start)),
        Entry::Caution(caution(Asked::Back)),
        Entry::Caution(caution(Asked::Run)),
        Entry::Condition(Condition {
            head: Some(Temperature(21_500)),
            typed: text("21.5 °C"),
            air: Some(Temperature(-3_250)),
            against_limit: some("the owner waits"),
        }),
        against_limit(ROUGH_LOOK),
        against_limit(MANUAL_ALLOWS),
        Entry::Source(SourceRead::Named { source: source(), practice: true }),
        Entry::Source(figure(Kind::Intake, Figure::Target)),
        Entry::Source(figure(Kind::Exhaust, Figure::Least)),
        Entry::Source(figure(Kind::Exhaust, Figure::Most)),
        Entry::Source(SourceRead::Confirmed),
        Entry::Source(SourceRead::Again),
    ]
}

fn figure(kind: Kind, figure: Figure) -> SourceRead {
    SourceRead::Figure { kind, figure, typed: text(".006"), value: nm(152_400) }
}

fn gauging() -> Vec<Entry> {
    let (bank, item) = (text("row"), text("screw"));
    let leaves = |unit| LeafSet::new("short", unit, vec![nm(101_600), nm(127_000)]);
    let tolerance = Some(Tolerance { plus_minus: nm(8_890), source: text("the maker's sheet") });
    let step = |step, unit| Reading { step, unit, ..reading() };
    vec![
        Entry::Leaves(leaves(LengthUnit::Mm)),
        Entry::Leaves(leaves(LengthUnit::Inch)),
        Entry::Leaves(LeafSet { tolerance, ..leaves(LengthUnit::Inch) }),
        Entry::Off(Off { bank: text("row"), items: vec![(text("screw"), 6), (text("rag"), 2)] }),
        Entry::On(On::Count { bank: bank.clone(), item: item.clone(), count: 5 }),
        Entry::On(On::Found { bank: bank.clone(), item: item.clone() }),
        Entry::On(On::AccountedFor { bank, item, place: text("bin"), by: text("worker a") }),
        Entry::On(On::Check {
            id: text("plugs"),
            asked: text("plugs to torque?"),
            digit: 2,
            seen: text("hand tight only"),
            done: false,
        }),
        Entry::At(At::Stop { stop: 3, watch: 2, then_turn: 360 }),
        Entry::At(At::SeenOverlap(1)),
        Entry::At(At::SeenLoose(2)),
        Entry::At(At::Lost),
        Entry::At(At::Tape(5)),
        Entry::Proof(Proof { loose: 1, of: 2, rocked: Some(Rocked::Steady), no_play: false }),
        Entry::Proof(Proof { loose: 0, of: 2, rocked: Some(Rocked::Moved), no_play: false }),
        Entry::Proof(Proof { loose: 2, of: 2, rocked: None, no_play: false }),
        Entry::Unload(Unload { valve: valve() }),
        Entry::Release(Release { valve: valve() }),
        Entry::Reading(step(Step::Found, ReadingUnit::Mm)),
        Entry::Reading(step(Step::Try, ReadingUnit::Thou)),
        Entry::Reading(step(Step::Left, ReadingUnit::Hundredths)),
        Entry::Reading(step(Step::Recheck, ReadingUnit::Inch)),
        Entry::Reading(Reading {
            low: None,
            high: None,
            nominal: None,
            paper: None,
            aimed: None,
            odd: None,
            against_plan: None,
            ..reading()
        }),
        Entry::Reading(Reading { turned: Some(60), ..reading() }),
    ]
}

fn setting() -> Vec<Entry> {
    let nut = |said| Entry::Nut(Nut::said(valve(), said));
    let bare = |part, valve, out| Part {
        valve,
        part,
        out,
        marked: None,
        measured: None,
        typed: text(""),
        bank: None,
        seen: None,
        size_only: false,
        undoes_less: false,
    };
    let part = |part, valve, out| {
        let (marked, measured) = (Some(nm(2_650_000)), Some(nm(2_648_000)));
        Entry::Part(Part { marked, measured, typed: text("2.65"), ..bare(part, valve, out) })
    };
    let cam = |out, seen| {
        Entry::Part(Part { bank: some("left"), seen, ..bare(PartKind::Cam, None, out) })
    };
    let skip = |what| Entry::Skip(Skip { what, why: text("no room"), run_owed: false });
    vec![
        nut(NutSaid::Slack),
        nut(NutSaid::Locked { torque: text("20 N·m"), gauged: 41 }),
        nut(NutSaid::NeverTouched { why: text("another valve was meant") }),
        nut(NutSaid::Threads(3)),
        Entry::Nut(Nut { found: true, ..Nut::said(valve(), NutSaid::Slack) }),
        part(PartKind::Shim, Some(valve()), true),
        part(PartKind::Pushrod, Some(valve()), false),
        part(PartKind::Cam, None, true),
        part(PartKind::Rocker, Some(valve()), true),
        cam(true, None),
        cam(false, some("timing marks as the manual shows")),
        worked("rocker", some("22 N·m, 35 N·m"), false),
        worked("cam", None, true),
        Entry::Remark(Remark {
            cylinder: Some(1),
            good: vec![Tick::Pad, Tick::Bush, Tick::Spring],
            bad: vec![Tick::Rod, Tick::Oil, Tick::Gasket],
            text: text("oil is black \u{202e}\u{7f}"),
            before_running: true,
            settles: Some(12),
            by: None,
        }),
        Entry::Remark(Remark {
            text: text("still dry"),
            by: some("A. Smith"),
            ..Remark::default()
        }),
        Entry::LeakTest(LeakTest {
            cylinder: 1,
            held: Some((74, 80)),
            why_not: some("no air"),
            turned: false,
        }),
        Entry::LeakTest(LeakTest { cylinder: 3, held: Some((0, 80)), why_not: None, turned: true }),
        no_test(LEAK_TEST_NOW, false),
        no_test(LEAK_TEST_LATER, false),
        no_test("done earlier", true),
        skip(Skipped::AsFound(valve())),
        skip(Skipped::Gauging(valve(), 2)),
        skip(Skipped::Setting(valve())),
        skip(Skipped::Round(2)),
        skip(Skipped::Check(text("plugs"))),
        skip(Skipped::Run),
        Entry::Skip(Skip::of(Skipped::Run, "weather")),
    ]
}

fn worked(what: &str, hold_down: Option<String>, asks_anew: bool) -> Entry {
    let (what, text) = (text(what), text("pad worn through"));
    Entry::Work(Work { cylinder: 2, what, text, hold_down, asks_anew })
}

fn against_limit(why: &str) -> Entry {
    Entry::Condition(Condition { against_limit: some(why), ..Condition::default() })
}

/// Words that the program reads again stand in a golden file with their meaning.
fn no_test(why: &str, turned: bool) -> Entry {
    Entry::LeakTest(LeakTest { cylinder: 2, held: None, why_not: some(why), turned })
}

fn closing() -> Vec<Entry> {
    let correct = |change, as_asked| {
        Entry::Correct(Correct { of: 17, change, why: text("typing error"), as_asked })
    };
    let amend_anew = |what, asks_anew| {
        Entry::Amend(Amend { what, source: text("bulletin"), why: text("revised"), asks_anew })
    };
    let value = Change::Value {
        typed: text("6/7"),
        unit: ReadingUnit::Thou,
        low: Some(nm(152_400)),
        high: Some(nm(177_800)),
        nominal: Some(nm(165_100)),
        single: false,
    };
    let (target, least, most) = (nm(254_000), nm(203_200), nm(304_800));
    vec![
        correct(Change::Void, false),
        correct(value, false),
        correct(Change::SwapWith(18), false),
        correct(Change::Void, true),
        amend_anew(Amended::Figures { kind: Kind::Intake, target, least, most }, false),
        amend_anew(Amended::Profile(Box::new(profile_text())), false),
        amend_anew(Amended::Profile(Box::new(profile_text())), true),
        Entry::Away(Away { text: text("back at two") }),
        Entry::Back(Back {
            after_min: Some(95),
            restart: true,
            new_day: false,
            clock_jumped: true,
            counter: None,
        }),
        Entry::Run(Run {
            id: text("leaks"),
            asked: text("leaks at the covers?"),
            digit: 1,
            seen: text("dry"),
            good: true,
            text: text("after ten minutes"),
        }),
        Entry::Sign(Sign {
            signer: text("signer c"),
            certificate_kind: text("mechanic"),
            certificate_number: text("12-345"),
            statement: text("done as the manual says"),
            owner_sentence: text("all valves within limits"),
            next_check: Some(Hours(133_456)),
        }),
        Entry::Seal(Seal {
            entries: 17,
            by: text("signer c"),
            chain: text("00000000000000000000000000000000"),
            signed: true,
            why: text("interrupted"),
            tells_not_put_back: None,
            tells_not_gauged: false,
        }),
        Entry::Recover(Recover { at: 812, len: 40, sha: text("0123456789abcdef0123456789abcdef") }),
        Entry::Adopt(Adopt {
            file: text("20260314-101530z-k3f9q2.jsonl"),
            seq: 17,
            hash: text("0123456789abcdef0123456789abcdef"),
            reading: reading(),
        }),
        Entry::Redate(Redate { day: text("2026-03-15"), why: text("clock was a day behind") }),
    ]
}
