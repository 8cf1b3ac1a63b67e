//! Words for turning the crank: which way, how far, how exactly, to what sign, and where a cylinder is.
//!
//! Every screen, prompt and sheet that tells a turn takes its words from here. The numbers come from
//! the plan; they are rounded here and nowhere before.

use crate::domain::crank::{Opening, centre_of_overlap, overlap_degrees, timing};
use crate::domain::place::place_of;
use crate::domain::plain::plain;
use crate::domain::plan::{Approach, Stop};
use crate::domain::profile::{Adjuster, End, Facts, Rotation, Shape, Sign};
use crate::domain::session::says_where;
use crate::domain::valve::{Cylinder, Kind};

/// Returns which way to turn: as the manual has it, then facing the propeller, then whether back.
pub fn direction_lines(facts: &Facts) -> Vec<String> {
    let unknown = || {
        vec![
            "The profile does not say which way to turn: look in the manual, never backwards."
                .into(),
        ]
    };
    let Some(rotation) = &facts.rotation else { return unknown() };
    let Some(clockwise) = rotation.clockwise else { return unknown() };
    let by = if rotation.by_propeller() { "the propeller" } else { rotation.turn_by.as_str() };
    let way = way_word(clockwise);
    let seen_from = end_words(rotation.seen_from);
    let mut lines =
        vec![format!("Turn by {by}: {way}, seen from {seen_from} (as the manual has it).")];
    if rotation.by_propeller() {
        let clockwise = clockwise_facing_propeller(rotation, clockwise);
        let way = way_word(clockwise);
        let hand = if clockwise { "right" } else { "left" };
        lines.push(format!("Facing the propeller that is {way}: pull the {hand}-hand blade down."));
    }
    lines.push(if rotation.backwards_allowed {
        "It may be turned back: then well past the place, and up to it again.".into()
    } else {
        "Never turn it backwards.".into()
    });
    lines
}

/// Returns which way to turn in one line, for the screen that asks for it.
pub fn direction_line(facts: &Facts) -> String {
    let known = facts.rotation.as_ref().and_then(|rotation| Some((rotation, rotation.clockwise?)));
    let Some((rotation, clockwise)) = known else { return direction_lines(facts).join(" ") };
    let way = if clockwise { "Clockwise" } else { "Counter-clockwise" };
    let seen_from = end_words(rotation.seen_from);
    let way = if rotation.by_propeller() {
        let hand = if clockwise_facing_propeller(rotation, clockwise) { "right" } else { "left" };
        format!("{way} from {seen_from}: facing the propeller, {hand}-hand blade down.")
    } else {
        format!("{way} from {seen_from}, by {}.", rotation.turn_by)
    };
    // What must not be done stands where it is not cut.
    if rotation.backwards_allowed {
        format!("{way} Back only well past, and up to it again.")
    } else {
        format!("Never back. {way}")
    }
}

fn way_word(clockwise: bool) -> &'static str {
    if clockwise { "clockwise" } else { "counter-clockwise" }
}

/// Tells whether the propeller turns clockwise for someone who stands before it and faces it.
///
/// Seen from the other end, the same turning goes the other way round; clockwise, the right-hand
/// blade goes down.
fn clockwise_facing_propeller(rotation: &Rotation, clockwise: bool) -> bool {
    let same_end = is_front(rotation.seen_from, rotation) == is_front(End::Propeller, rotation);
    clockwise == same_end
}

/// Tells whether the crank turns clockwise for someone who looks at the tape: facing the propeller,
/// or from the end from which the manual tells the direction. `None` where it is not told.
pub fn clockwise_as_seen(facts: &Facts) -> Option<bool> {
    let rotation = facts.rotation.as_ref()?;
    let clockwise = rotation.clockwise?;
    Some(match rotation.by_propeller() {
        true => clockwise_facing_propeller(rotation, clockwise),
        false => clockwise,
    })
}

/// Returns from where the tape is looked at: "facing the propeller", "seen from the rear".
pub fn tape_seen_from(facts: &Facts) -> String {
    match &facts.rotation {
        Some(rotation) if rotation.by_propeller() => "facing the propeller".into(),
        Some(rotation) => format!("seen from {}", end_words(rotation.seen_from)),
        None => String::new(),
    }
}

/// Returns a place on a clock in words, to the nearest half hour: "8 o'clock", "half past 2".
pub fn clock_words(half_hours: f64) -> String {
    let nearest = half_hours.round().rem_euclid(24.0);
    let hour = (nearest / 2.0).floor();
    let hour = if hour == 0.0 { 12.0 } else { hour };
    if nearest % 2.0 == 0.0 { format!("{hour} o'clock") } else { format!("half past {hour}") }
}

/// Tells whether an end is the front; propeller and timing end are, unless the propeller is at the
/// rear, and the accessory and flywheel ends lie opposite.
fn is_front(end: End, rotation: &Rotation) -> bool {
    let propeller_in_front = rotation.propeller_at != End::Rear;
    match end {
        End::Front => true,
        End::Rear => false,
        End::Propeller | End::Timing => propeller_in_front,
        End::Accessory | End::Flywheel => !propeller_in_front,
    }
}

/// Returns the words for an end of the engine, with their article.
pub fn end_words(end: End) -> &'static str {
    match end {
        End::Front => "the front",
        End::Rear => "the rear",
        End::Propeller => "the propeller end",
        End::Accessory => "the accessory end",
        End::Flywheel => "the flywheel end",
        End::Timing => "the timing end",
    }
}

/// Returns how far to turn: "turn on 180°, half a turn (1 blade of 2)".
pub fn turn_words(facts: &Facts, degrees: f64) -> String {
    if degrees < 0.5 {
        return "leave the crank where it is".into();
    }
    let blades = facts.rotation.as_ref().filter(|r| r.by_propeller()).and_then(|r| r.blades);
    let blades = blades.map_or(String::new(), |blades| blade_words(degrees, blades));
    format!("turn on {degrees:.0}°, {}{blades}", part_of_turn(degrees))
}

/// Returns degrees as turns: "half a turn", "2/9 of a turn", "1 2/3 turns".
pub fn part_of_turn(degrees: f64) -> String {
    match split(degrees / 360.0) {
        (0.0, Some(part)) => format!("{} turn", part.words(" a", " of a")),
        (0.0, None) => "no turn".into(),
        (1.0, None) => "one full turn".into(),
        (whole, None) => format!("{whole} full turns"),
        (whole, Some(Part::About(rest))) => format!("about {:.2} turns", whole + rest),
        (whole, Some(part @ Part::Fraction(..))) => format!("{whole} {} turns", part.figures()),
    }
}

/// Returns how many blades pass, in brackets: a propeller on the crank itself is taken for granted.
fn blade_words(degrees: f64, blades: u8) -> String {
    let (passed, part) = split(degrees * f64::from(blades) / 360.0);
    let noun = if passed == 1.0 { "blade" } else { "blades" };
    let of = match passed > f64::from(blades) {
        true => format!("pass, {blades} to a turn"),
        false => format!("of {blades}"),
    };
    match part.map(Part::of_the_way) {
        None => format!(" ({passed} {noun} {of})"),
        Some(part) if passed == 0.0 => {
            format!(" ({part} of the way to the next of {blades} blades)")
        }
        Some(part) => format!(" ({passed} {noun} {of}, and {part} of the way to the next)"),
    }
}

/// A part of a whole, between 0 and 1.
#[derive(Clone, Copy)]
enum Part {
    /// So many of so many equal parts.
    Fraction(u8, u8),
    /// No handy fraction.
    About(f64),
}

impl Part {
    fn words(self, after_half: &str, after_others: &str) -> String {
        match self {
            Part::Fraction(1, 2) => format!("half{after_half}"),
            Part::Fraction(1, 3) => format!("a third{after_others}"),
            Part::Fraction(2, 3) => format!("two thirds{after_others}"),
            Part::Fraction(1, 4) => format!("a quarter{after_others}"),
            Part::Fraction(3, 4) => format!("three quarters{after_others}"),
            Part::Fraction(..) | Part::About(_) => format!("{}{after_others}", self.figures()),
        }
    }

    /// How far a blade goes, as the eye tells it: the degrees stand before it.
    fn of_the_way(self) -> String {
        let share = match self {
            Part::Fraction(_, 2..=4) => return self.words("", ""),
            Part::Fraction(parts, of) => f64::from(parts) / f64::from(of),
            Part::About(share) => share,
        };
        let seen = [
            (0.0, "a little"),
            (1.0 / 4.0, "about a quarter"),
            (1.0 / 3.0, "about a third"),
            (1.0 / 2.0, "about half"),
            (2.0 / 3.0, "about two thirds"),
            (3.0 / 4.0, "about three quarters"),
            (1.0, "almost all"),
        ];
        let nearest = seen
            .into_iter()
            .min_by(|(one, _), (other, _)| (share - one).abs().total_cmp(&(share - other).abs()));
        nearest.map_or("", |(_, words)| words).into()
    }

    fn figures(self) -> String {
        match self {
            Part::Fraction(parts, of) => format!("{parts}/{of}"),
            Part::About(value) => format!("about {value:.2}"),
        }
    }
}

/// Splits a count into whole ones and the part left over, if there is any.
fn split(count: f64) -> (f64, Option<Part>) {
    const NEAR: f64 = 0.5 / 360.0;
    let whole = (count + NEAR).floor();
    let rest = count - whole;
    if rest.abs() <= NEAR {
        return (whole, None);
    }
    let fractions = (2..=9u8).flat_map(|of| (1..of).map(move |parts| (parts, of)));
    let near = |&(parts, of): &(u8, u8)| (rest - f64::from(parts) / f64::from(of)).abs() <= NEAR;
    let part =
        fractions.into_iter().find(near).map_or(Part::About(rest), |(p, of)| Part::Fraction(p, of));
    (whole, Some(part))
}

/// Returns how exact the place must be, rounded towards the place; `None` where nothing is offered.
pub fn tolerance_words(stop: &Stop) -> Option<String> {
    let (short, past) = (stop.short_by?.floor(), stop.past_by?.floor());
    Some(match (short > 0.0, past > 0.0) {
        (true, true) => format!("anywhere from {short}° short to {past}° past will do"),
        (true, false) => format!("up to {short}° short will do, but not past"),
        (false, true) => format!("up to {past}° past will do, but not short"),
        (false, false) => "only the exact place will do".into(),
    })
}

/// Returns how a stop is proven: how the crank is rocked, what moves then and what stands still.
///
/// A manual's table tells its own proof, and nothing is rocked with a valve unloaded; where a valve
/// is too near to moving, rocking would move it.
pub fn proof_words(facts: &Facts, stop: &Stop) -> Option<String> {
    const ROCKED: f64 = 15.0;
    if facts.stops.is_some() || stop.margin.is_none_or(|margin| margin <= ROCKED) {
        return None;
    }
    let back = facts.rotation.as_ref().is_some_and(|rotation| rotation.backwards_allowed);
    let rock =
        if back { "rock the crank 15° each way" } else { "turn the crank 15° on, not back" };
    let (parts, still) = match facts.adjuster {
        Adjuster::Screw(_) | Adjuster::None => ("rockers", "stay loose"),
        Adjuster::Pushrod { .. } => ("push rods", "stand still"),
        Adjuster::Shim { .. } => ("cam lobes", "stay clear of their followers"),
    };
    let first = stop.gauge.first().map_or(stop.watch, |gauge| gauge.valve.cylinder);
    let alone = stop.gauge.iter().all(|gauge| gauge.valve.cylinder == first);
    let gauged = if alone { first.to_string() } else { "all that is gauged here".into() };
    Some(match (stop.then_turn, stop.sign) {
        (0, Sign::Changeover) => {
            let timing = timing(facts);
            let opens =
                (Opening::of(&timing, Kind::Intake).opens - centre_of_overlap(facts)).round();
            let watch = stop.watch;
            format!(
                "to prove it, turn the crank on: after {opens}° the intake of {watch} begins to \
                 open, the {parts} of {gauged} {still}"
            )
        }
        (0, _) => {
            let watch = stop.watch;
            format!("to prove it, {rock}: the {parts} of {watch} move, those of {gauged} {still}")
        }
        (_, _) => {
            format!(
                "to prove it, {rock}: the {parts} of {gauged} {still}; \
                 if they move, it is the wrong stroke"
            )
        }
    })
}

/// Returns what is seen at a sign of the watched cylinder.
pub fn sign_words(facts: &Facts, watch: Cylinder, sign: Sign) -> String {
    let seen = match sign {
        Sign::Overlap => match &facts.overlap_looks_like {
            Some(words) => return format!("cylinder {watch} at overlap ({})", plain(words)),
            None => return format!("cylinder {watch} at overlap"),
        },
        Sign::Changeover => changeover_words(facts),
        Sign::IntakeOpens => "intake just beginning to open",
        Sign::IntakeCloses => "intake just shut",
        Sign::ExhaustOpens => "exhaust just beginning to open",
        Sign::ExhaustCloses => "exhaust just shut",
        Sign::Mark => "the mark lined up",
    };
    format!("cylinder {watch}: {seen}")
}

/// What is seen at a changeover: a wide gap has a middle of its own.
fn changeover_words(facts: &Facts) -> &'static str {
    const NARROW: f64 = 10.0;
    if -overlap_degrees(&timing(facts)) > NARROW {
        "midway between the exhaust shutting and the intake opening"
    } else {
        "exhaust just shut, intake about to open"
    }
}

/// Returns what a sign looks like, where its name does not tell it.
pub fn looks_like(facts: &Facts, sign: Sign) -> Option<String> {
    match (sign, &facts.overlap_looks_like) {
        (Sign::Overlap, Some(words)) => Some(plain(words)),
        (Sign::Overlap, None) => Some("exhaust almost shut, intake just opening".into()),
        (Sign::Changeover, _) => Some(changeover_words(facts).into()),
        (
            Sign::IntakeOpens
            | Sign::IntakeCloses
            | Sign::ExhaustOpens
            | Sign::ExhaustCloses
            | Sign::Mark,
            _,
        ) => None,
    }
}

/// Returns how a stop is reached, one line a way: the turning and what is seen at its end.
pub fn approach_lines(facts: &Facts, stop: &Stop, approach: Approach) -> Vec<String> {
    let sign = sign_words(facts, stop.watch, stop.sign);
    let then = match stop.then_turn {
        0 => String::new(),
        degrees => format!("; then {}", turn_words(facts, f64::from(degrees))),
    };
    match approach {
        Approach::SeeSign { turn: None } => vec![format!("turn until you see {sign}{then}")],
        Approach::SeeSign { turn: Some(turn) } => {
            vec![format!("{}: {sign}{then}", turn_words(facts, turn))]
        }
        Approach::TurnOn { turn, long_way_to_sign } => vec![
            format!("{}{}", turn_words(facts, turn), loose_words(facts, stop)),
            format!("or the long way: {}: {sign}{then}", turn_words(facts, long_way_to_sign)),
        ],
    }
}

/// Returns what shows that the watched cylinder fires, where one turn after the sign it does.
fn loose_words(facts: &Facts, stop: &Stop) -> String {
    let fires = match stop.sign {
        Sign::Overlap | Sign::Changeover => true,
        Sign::IntakeOpens | Sign::IntakeCloses => false,
        Sign::ExhaustOpens | Sign::ExhaustCloses | Sign::Mark => false,
    };
    if !fires {
        return String::new();
    }
    let all = if facts.valves_of(stop.watch).len() == 2 { "both" } else { "all" };
    match facts.adjuster {
        Adjuster::Screw(_) | Adjuster::None => {
            format!(": {all} rockers of {} loose", stop.watch)
        }
        Adjuster::Pushrod { .. } => format!(": {all} push rods of {} turn freely", stop.watch),
        Adjuster::Shim { .. } => format!(": {all} cam lobes of {} point away", stop.watch),
    }
}

/// Returns where a cylinder stands: "left bank, 2nd from the propeller end"; of a radial's from where that is seen.
pub fn place_words(facts: &Facts, cylinder: Cylinder) -> String {
    let words = place_unseen(facts, cylinder);
    // Before what the manual calls it.
    match words.split_once(CLOCKWISE) {
        Some((degrees, called)) => format!("{degrees}{CLOCKWISE}, {SEEN_FROM_REAR}{called}"),
        None => words,
    }
}

/// Returns the same without from where it is seen: that goes before it where it may be cut.
pub(super) fn place_unseen(facts: &Facts, cylinder: Cylinder) -> String {
    let Some(place) = place_of(facts, cylinder) else {
        return format!("cylinder {cylinder}");
    };
    let banks = &facts.layout.banks;
    let bank = (banks.len() > 1).then(|| bank_words(place.bank, facts.layout.shape));
    let alone = facts.bank_of(cylinder).is_some_and(|bank| bank.cylinders.len() == 1);
    let within = match place.from_top {
        Some(degrees) if degrees.round() % 360.0 == 0.0 => Some("at the top".into()),
        Some(degrees) => Some(format!("{degrees:.0}{CLOCKWISE}")),
        None if alone && bank.is_some() => None,
        None if alone => Some("the only cylinder".into()),
        None => {
            let end = end_words(facts.layout.listed_from);
            Some(format!("{} from {end}", ordinal(place.index + 1)))
        }
    };
    let words: Vec<String> = bank.into_iter().chain(within).collect();
    let called = place.label.map_or(String::new(), |label| format!(" (in the manual: {label})"));
    words.join(", ") + &called
}

/// How the place of a radial's cylinder is told, behind its degrees.
pub(super) const CLOCKWISE: &str = "° clockwise from the top";

/// Behind what is told as somebody behind the engine sees it.
pub const SEEN_FROM_REAR: &str = "seen from the rear";

/// Returns a bank's name as words: "left bank", "front row".
pub fn bank_words(name: &str, shape: Shape) -> String {
    let noun = match shape {
        Shape::Radial => "row",
        Shape::Inline | Shape::Vee | Shape::Opposed => "bank",
    };
    if says_where(name) { name.into() } else { format!("{name} {noun}") }
}

fn ordinal(n: usize) -> String {
    let ending = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}
