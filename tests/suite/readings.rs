//! Readings from what is typed to the verdict: published pairs and bands, and what always holds.

use cowlside::domain::entry::{LeafSet, ReadingUnit};
use cowlside::domain::leaves;
use cowlside::domain::reading::{Meaning, ReadingFault, interpret_words, parse, parse_as};
use cowlside::domain::units::{Length, LengthUnit};
use cowlside::domain::verdict::{Band, Interval, Verdict, judge};
use proptest::prelude::*;

fn inch() -> LeafSet {
    leaves::usual().swap_remove(0)
}

fn metric() -> LeafSet {
    leaves::usual().swap_remove(1)
}

fn unknown(unit: LengthUnit) -> LeafSet {
    LeafSet::new("", unit, Vec::new())
}

fn thou(thou: i64) -> Length {
    Length::from_tenths_thou(thou * 10)
}

fn band_um(least: i64, most: i64) -> Band {
    Band { least: Length::from_um(least), most: Length::from_um(most) }
}

fn verdict(typed: &str, set: &LeafSet, band: Band) -> Verdict {
    judge(&parse(typed, set).unwrap().interval(), band, &set.leaves)
}

#[test]
fn half_a_step_reaches_to_each_neighbour_and_the_usual_width_stands_in_where_there_is_none() {
    // nm: typed, low, high. The inch set has a half step at its thin end (1.5, 2, 3).
    let usual = leaves::usual();
    let cases = [
        ("2", &usual[0], 44_450, 63_500),
        ("1.5", &usual[0], 25_400, 44_450),
        ("25", &usual[0], 622_300, 647_700),
        ("1.00", &usual[1], 975_000, 1_010_000),
        ("0.30", &usual[2], 275_000, 350_000),
        // Two leaves: the finer of their steps; a number that two leaves make, the same.
        ("0.30+0.05", &usual[2], 325_000, 375_000),
        ("0.35", &usual[2], 325_000, 375_000),
        // Not of the set.
        ("0.32", &usual[1], 310_000, 330_000),
        ("6", &unknown(LengthUnit::Inch), 139_700, 165_100),
        ("15", &unknown(LengthUnit::Mm), 140_000, 160_000),
        // By the reading's own unit, whatever the set is.
        ("0.15 mm", &unknown(LengthUnit::Inch), 140_000, 160_000),
        // Nothing is thinner than nought.
        ("0.005", &unknown(LengthUnit::Mm), 0, 15_000),
    ];
    for (typed, set, low, high) in cases {
        let got = parse(typed, set).unwrap();
        let ends = (Some(Length::from_nm(low)), Some(Length::from_nm(high)));
        assert_eq!((got.low, got.high), ends, "{typed}");
    }
}

#[test]
fn beside_a_stated_unit_the_value_is_the_number_times_that_unit() {
    let set = metric();
    for (typed, unit, nm) in [
        ("6", ReadingUnit::Thou, 152_400),
        ("0.15", ReadingUnit::Hundredths, 1_500),
        ("15", ReadingUnit::Mm, 15_000_000),
        ("0.006", ReadingUnit::Inch, 152_400),
        ("0.4", ReadingUnit::Thou, 10_160),
    ] {
        let got = parse_as(typed, unit, &set).unwrap();
        assert_eq!((got.nominal, got.unit), (Some(Length::from_nm(nm)), unit), "{typed}");
    }
    assert_eq!(parse_as("6 thou", ReadingUnit::Mm, &set), Err(ReadingFault::TwoUnits));
}

#[test]
fn what_a_reading_is_taken_for_is_said_in_both_units() {
    for (typed, words) in [
        ("6", "0.006 in (0.152 mm): that leaf goes with a light drag"),
        ("25+6", "0.031 in (0.787 mm): those two leaves together go with a light drag"),
        ("6/7", "between 0.006 and 0.007 in (0.152 and 0.178 mm)"),
        ("/4", "below 0.004 in (0.102 mm): that leaf will not go, nothing thinner was tried"),
        ("12/", "0.012 in (0.305 mm) or more: that leaf goes loosely, nothing thicker was tried"),
        ("0", "nothing goes: no clearance to be felt"),
    ] {
        let meaning = parse(typed, &inch()).unwrap();
        assert_eq!(interpret_words(&meaning, LengthUnit::Inch), words);
    }
}

#[test]
fn published_go_and_no_go_pairs_prove_their_nominal() {
    // check-values 2.5 [S28] TM 5-3820-233-12-1, [S29] TM 55-1905-217-12: nominal 0.012 in proven
    // by "0.011 passes freely, 0.013 will not"; hot, "0.008 passes freely, 0.010 will not" (the
    // nominal 0.009 there is derived).
    for (typed, nominal) in [("0.011/0.013", 12), ("0.008/0.010", 9), ("11/13", 12)] {
        let meaning = parse(typed, &inch()).unwrap();
        assert_eq!(meaning.nominal, Some(thou(nominal)), "{typed}");
        let proof = Band { least: meaning.low.unwrap(), most: meaning.high.unwrap() };
        assert_eq!(verdict(typed, &inch(), proof), Verdict::InLimits);
    }
    // check-values 2.5: only a go is open above, only a no-go is 0 up to it.
    let go = parse("0.011/", &inch()).unwrap();
    assert_eq!((go.low, go.high, go.nominal), (Some(thou(11)), None, None));
    let no_go = parse("/0.013", &inch()).unwrap();
    assert_eq!((no_go.low, no_go.high), (Some(Length::ZERO), Some(thou(13))));
}

#[test]
fn what_passes_the_check_band_may_lie_outside_the_set_band() {
    // check-values 2.4 [S27]: check cold 0.30-0.40, set cold 0.35-0.40 mm; 0.32 passes the check.
    let set = unknown(LengthUnit::Mm);
    assert_eq!(verdict("0.32", &set, band_um(300, 400)), Verdict::InLimits);
    assert_eq!(verdict("0.32", &set, band_um(350, 400)), Verdict::Tight);
    // check-values 2.4 [S37] TM 5-3895-385-23-2: intake accepted 0.006-0.015 in.
    let wide = Band { least: thou(6), most: thou(15) };
    for (typed, word) in [
        ("6", "in limits"),
        ("15", "in limits"),
        ("5", "tight"),
        ("16", "loose"),
        ("6/15", "in limits"),
        ("5/6", "tight"),
        ("15/16", "loose"),
        ("5/7", "undecided"),
        ("14/16", "undecided"),
        ("/6", "tight"),
        ("/7", "undecided"),
        ("15/", "loose"),
        ("14/", "undecided"),
        ("0", "tight"),
    ] {
        assert_eq!(verdict(typed, &inch(), wide).word(), word, "{typed}");
    }
}

#[test]
fn a_coarse_set_cannot_prove_a_narrow_band_and_the_leaf_that_would_is_named() {
    // check-values 6.6 (derived): limits 0.24-0.32 mm with leaves by 0.05: a gap inside 0.25-0.30
    // is proved, 0.31 and 0.245 are not; "stacking 0.05 + 0.27 or one 0.32 blade cures it".
    let limits = band_um(240, 320);
    assert_eq!(verdict("0.25/0.30", &metric(), limits), Verdict::InLimits);
    let settle = |typed: &str, set: &LeafSet, band| match verdict(typed, set, band) {
        Verdict::Undecided { settle } => settle.nm() / 1000,
        other => panic!("{typed}: {other:?}"),
    };
    assert_eq!(settle("0.30/0.35", &metric(), limits), 320);
    assert_eq!(settle("0.20/0.25", &metric(), limits), 240);
    let mut cured = metric();
    cured.leaves.push(Length::from_um(270));
    assert_eq!(settle("0.30/0.35", &cured, limits), 320);
    // Where a leaf of the set lies inside, it is tried before another is fetched.
    assert_eq!(settle("0.20/0.30", &metric(), limits), 250);
    assert_eq!(settle("0.25/", &metric(), limits), 300);
    // With a leaf of the limit's own size it is that one; across both limits, the lower.
    assert_eq!(settle("0.10/0.20", &metric(), band_um(150, 250)), 150);
    assert_eq!(settle("0.20/", &metric(), band_um(150, 250)), 250);
    assert_eq!(settle("/0.40", &metric(), band_um(150, 250)), 150);
    assert_eq!(settle("/0.40", &unknown(LengthUnit::Mm), band_um(150, 250)), 150);
}

#[test]
fn six_with_a_light_drag_and_seven_tight_is_a_valve_on_a_six_thousandths_target() {
    // Common practice, no source: the leaf that drags is the clearance; the next one is tight.
    let band = Band { least: thou(6), most: thou(7) };
    for typed in ["6", "6/7", "0.006/0.007"] {
        assert_eq!(verdict(typed, &inch(), band), Verdict::InLimits, "{typed}");
    }
    assert_eq!(verdict("5/6", &inch(), band), Verdict::Tight);
    assert_eq!(verdict("7/8", &inch(), band), Verdict::Loose);
}

/// A set, and a reading written with its leaves, or nearly.
fn readings() -> impl Strategy<Value = (LeafSet, String)> {
    let sets =
        leaves::usual().into_iter().chain([unknown(LengthUnit::Inch), unknown(LengthUnit::Mm)]);
    let forms = prop::sample::select(vec!["A", "A/B", "/A", "A/", "A+B", "A+B/C", "0", "0/A"]);
    let number = prop_oneof![
        (1_u32..1000).prop_map(|n| format!("0.{n:03}")),
        (1_u32..60).prop_map(|n| n.to_string())
    ];
    let unit = prop::sample::select(vec!["", " mm", " in", "thou"]);
    (
        prop::sample::select(sets.collect::<Vec<_>>()),
        forms,
        [number.clone(), number.clone(), number],
        unit,
    )
        .prop_map(|(set, form, [a, b, c], unit)| {
            (set, form.replace('A', &a).replace('B', &b).replace('C', &c) + unit)
        })
}

fn check_shape(meaning: &Meaning) {
    let Interval { low, high, nominal, single } = meaning.interval();
    if let (Some(low), Some(high)) = (low, high) {
        assert!(low < high, "{meaning:?}");
    }
    if let Some(nominal) = nominal {
        assert!(low.unwrap() <= nominal && nominal <= high.unwrap(), "{meaning:?}");
    }
    assert!(low.is_none_or(|low| low >= Length::ZERO), "{meaning:?}");
    assert!(!single || nominal.is_some(), "{meaning:?}");
}

proptest! {
    #![proptest_config(crate::seeded::config(256))]

    #[test]
    fn whatever_is_typed_is_taken_or_refused_and_the_interval_holds_its_nominal(
        (set, typed) in readings(), wild in ".{0,40}", near in "[0-9.,/+ minthou\"-]{0,14}"
    ) {
        for text in [&typed, &wild, &near] {
            match parse(text, &set) {
                Ok(meaning) => check_shape(&meaning),
                Err(fault) => assert!(!fault.to_string().is_empty() && !fault.hint().is_empty()),
            }
        }
    }

    #[test]
    fn a_pair_keeps_its_two_leaves_as_ends(go in 1_i64..490, step in 1_i64..490) {
        let typed = format!("{go}/{} thou", go + step);
        let got = parse(&typed, &inch()).unwrap();
        prop_assert_eq!((got.low, got.high), (Some(thou(go)), Some(thou(go + step))));
        let backwards = format!("{}/{go} thou", go + step);
        let refused = Err(ReadingFault::GoNotBelowNoGo(backwards.clone()));
        prop_assert_eq!(parse(&backwards, &inch()), refused);
    }

    #[test]
    fn the_same_leaf_typed_in_any_unit_is_judged_the_same(
        tenths in 1_i64..9000, least in 0_i64..9000, width in 0_i64..2000
    ) {
        let least = Length::from_tenths_thou(least);
        let band = Band { least, most: least + Length::from_tenths_thou(width) };
        let nm = tenths * 2540;
        let forms = [
            format!("{}.{} thou", tenths / 10, tenths % 10),
            format!("{}.{:04} in", tenths / 10_000, tenths % 10_000),
            format!("{}.{:06} mm", nm / 1_000_000, nm % 1_000_000),
        ];
        let verdicts = forms.map(|typed| verdict(&typed, &unknown(LengthUnit::Mm), band));
        prop_assert_eq!(verdicts[0], verdicts[1]);
        prop_assert_eq!(verdicts[0], verdicts[2]);
    }

    #[test]
    fn exactly_on_a_limit_is_inside_and_the_pair_beyond_it_outside(
        least in 1_i64..300, width in 1_i64..300, beyond in 1_i64..50
    ) {
        let most = least + width;
        let band = Band { least: thou(least), most: thou(most) };
        let say = |typed: String| verdict(&(typed + " thou"), &unknown(LengthUnit::Mm), band);
        prop_assert_eq!(say(format!("{least}")), Verdict::InLimits);
        prop_assert_eq!(say(format!("{most}")), Verdict::InLimits);
        prop_assert_eq!(say(format!("{least}/{most}")), Verdict::InLimits);
        prop_assert_eq!(say(format!("{most}/{}", most + beyond)), Verdict::Loose);
        if least > beyond {
            prop_assert_eq!(say(format!("{}/{least}", least - beyond)), Verdict::Tight);
        }
    }

    #[test]
    fn what_would_settle_an_undecided_reading_lies_inside_it((set, typed) in readings(),
        least in 0_i64..900, width in 0_i64..300
    ) {
        let Ok(meaning) = parse(&typed, &set) else { return Ok(()) };
        let reading = meaning.interval();
        let band = band_um(least, least + width);
        if let Verdict::Undecided { settle } = judge(&reading, band, &set.leaves) {
            prop_assert!(reading.low.is_none_or(|low| low < settle));
            prop_assert!(reading.high.is_none_or(|high| settle < high));
            prop_assert!(band.contains(settle));
        }
    }
}
