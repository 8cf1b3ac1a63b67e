//! The record as a web page, Markdown, table and document: read by a real parser, the same facts in
//! each, and hostile names harmless.

use crate::cli::left_open::write;
use crate::cli::services::{begin, with_services};
use crate::cli::{Place, with_trainer};
use crate::services::{MORNING, Service as Walk, flat_four, later, signature, valve};
use crate::session::harness::profile_text;
use cowlside::cli::workshop::parse;
use cowlside::domain::entry::{Begin, Entry, Rounds};
use cowlside::domain::plan::{PlanChoice, plan};
use cowlside::domain::service::Service;
use cowlside::domain::session::{Due, Input, Session};
use cowlside::domain::units::Length;
use cowlside::domain::valve::Kind;
use cowlside::report::html::{Figure, page};
use cowlside::report::record;
use cowlside::report::worksheet::worksheet;
use html5ever::tendril::TendrilSink;
use html5ever::{ParseOpts, parse_document};
use markup5ever_rcdom::{Handle, NodeData, RcDom};

/// A page as a browser reads it.
pub struct Read {
    errors: Vec<String>,
    /// Every element: its name and attributes.
    pub elements: Vec<(String, Vec<(String, String)>)>,
    /// All text outside of drawings and the head.
    text: String,
}

pub fn read(html: &str) -> Read {
    let dom = parse_document(RcDom::default(), ParseOpts::default()).one(html);
    let mut read = Read {
        errors: dom.errors.borrow().iter().map(|error| error.to_string()).collect(),
        elements: Vec::new(),
        text: String::new(),
    };
    walk(&dom.document, true, &mut read);
    read
}

fn walk(node: &Handle, shown: bool, read: &mut Read) {
    let mut shown = shown;
    match &node.data {
        NodeData::Element { name, attrs, .. } => {
            let name = name.local.to_string();
            shown &= !["svg", "style", "title", "figcaption"].contains(&name.as_str());
            let attrs = attrs.borrow();
            let attrs = attrs.iter().map(|one| (one.name.local.to_string(), one.value.to_string()));
            read.elements.push((name, attrs.collect()));
        }
        NodeData::Text { contents } if shown => {
            read.text.push_str(&contents.borrow());
            read.text.push(' ');
        }
        _ => {}
    }
    for child in node.children.borrow().iter() {
        walk(child, shown, read);
    }
}

fn words(text: &str) -> Vec<String> {
    let rules = |word: &&str| !word.chars().all(|c| c == '-' || c == '=');
    text.split_whitespace().filter(rules).map(String::from).collect()
}

/// What may stand in a page that loads nothing and runs nothing.
pub fn is_harmless(read: &Read) {
    assert_eq!(read.errors, Vec::<String>::new());
    let known = [
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "h1",
        "h2",
        "p",
        "div",
        "table",
        "tbody",
        "tr",
        "th",
        "td",
        "dl",
        "dt",
        "dd",
        "pre",
        "hr",
        "figure",
        "figcaption",
        "svg",
        "rect",
        "line",
        "circle",
        "text",
    ];
    for (name, attributes) in &read.elements {
        assert!(known.contains(&name.as_str()), "<{name}>");
        for (attribute, value) in attributes {
            assert!(
                !attribute.starts_with("on") && attribute != "href" && attribute != "src",
                "{attribute}"
            );
            assert!(attribute != "style" && !value.contains("url("), "{attribute}={value}");
        }
    }
}

fn report(place: &Place, format: &str) -> String {
    let stem = place.journals()[1].file_stem().unwrap().to_string_lossy().into_owned();
    let shown = place.run_unsettled(&["report", &stem, "--format", format]);
    assert_eq!((shown.code, shown.err.as_str()), (0, ""), "{}", shown.err);
    shown.out
}

#[test]
fn the_web_page_is_sound_stands_alone_and_says_all_that_the_text_says() {
    let place = with_services();
    let html = report(&place, "html");
    let read = read(&html);
    is_harmless(&read);
    assert_eq!(words(&read.text), {
        let mut all = words(&report(&place, "text"));
        all.push("Drawings".into());
        all
    });
    let svgs = read.elements.iter().filter(|(name, _)| name == "svg").count();
    assert_eq!(svgs, 9, "the engine and a chart a valve");
    assert!(
        html.contains("@page{margin") && !html.contains("size:A4"),
        "the printer knows its paper"
    );
    assert!(read.text.contains("signature ______________________________"));
    assert!(html.contains("default-src 'none'"));
}

#[test]
fn each_item_of_43_9_a_and_43_11_a_stands_in_every_form() {
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.sign(signature());
    let earlier = cowlside::domain::trend::Earlier::default();
    let blocks = record::sheet(&walk.session, &earlier, record::OfFile::default()).into_blocks();
    let html = read(&page(&blocks, "", &[])).text;
    let html = words(&html).join(" ");
    let md = cowlside::report::markdown::markdown(&blocks).replace("\\", "").replace("**", "");
    let text = words(&record::record(&walk.session, &cowlside::domain::trend::Earlier::default()))
        .join(" ");
    // 14 CFR 43.9(a)(1) to (4) and 43.11(a)(1) to (4), as in check-values 10.1 and 10.2.
    for (item, label, fact) in [
        (
            "43.9(a)(1), 43.11(a)(1)",
            "type and extent",
            "Inspection of valve clearances, engine cold, all 4 cylinders: 8 of 8 valves gauged; none adjusted.",
        ),
        ("43.9(a)(1), the data", "document", "Overhaul manual of the test, revision 3, page 12-4"),
        ("43.9(a)(2), 43.11(a)(2)", "date of completion", "2026-03-14"),
        ("43.11(a)(2), total time", "aircraft total", "1034.2 h in service"),
        ("43.9(a)(3)", "work done by", "A. Fitter"),
        ("43.9(a)(4), 43.11(a)(3), who signs", "signed by", "B. Signer"),
        ("43.9(a)(4), 43.11(a)(3), number", "certificate number", "0000123"),
        ("43.9(a)(4), 43.11(a)(3), kind", "certificate kind", "mechanic, powerplant"),
        ("43.9(a)(4), 43.11(a)(3), signature", "signature", "______________________________"),
        (
            "43.11(a)(4) or (5)",
            "Statement of the signer",
            "Valve clearances inspected and set as recorded above.",
        ),
    ] {
        assert!(text.contains(&format!("{label} {fact}")), "{item}: {text}");
        assert!(html.contains(&format!("{label} {fact}")), "{item}: {html}");
        assert!(md.contains(label) && md.contains(fact), "{item}: {md}");
    }
}

#[test]
fn hostile_names_are_shown_and_do_nothing() {
    let evil =
        "<script>alert(1)</script><img src=x onerror=alert(1)>\"'&--></style></title>]]>\u{202e}";
    let mut walk = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    walk.input(Input::Begin(Box::new(Begin {
        engine: Some(evil.into()),
        serial: Some(evil.into()),
        ..Begin::default()
    })));
    walk.sign(cowlside::domain::entry::Sign {
        signer: evil.into(),
        statement: evil.into(),
        owner_sentence: evil.into(),
        ..signature()
    });
    let earlier = cowlside::domain::trend::Earlier::default();
    let blocks = record::sheet(&walk.session, &earlier, record::OfFile::default()).into_blocks();
    let figure = |caption: &str| Figure {
        caption: caption.into(),
        svg: cowlside::report::svg::engine_svg(walk.session.state.facts(), &|_| evil.into()),
    };
    let read = read(&page(&blocks, evil, &[figure(evil)]));
    is_harmless(&read);
    let visible = evil.replace('\u{202e}', "\u{fffd}");
    assert_eq!(read.text.matches(&visible).count(), 7, "{}", read.text);
    let markdown = cowlside::report::markdown::markdown(&blocks);
    assert!(!markdown.contains("<script>") && markdown.contains("\\<script\\>"), "{markdown}");
}

#[test]
fn an_unsigned_record_says_so_before_anything_else_and_a_signed_one_begins_with_the_owner() {
    let mut walk = Walk::begun(flat_four(), "spring check", later(MORNING, 1), 41_260);
    walk.finish();
    let place =
        |text: &str, what: &str| text.find(what).unwrap_or_else(|| panic!("{what}: {text}"));
    let open = record::record(&walk.session, &cowlside::domain::trend::Earlier::default());
    assert!(place(&open, "NOT FINISHED AND NOT SIGNED") < place(&open, "For the owner"));
    walk.sign(signature());
    let signed = record::record(&walk.session, &cowlside::domain::trend::Earlier::default());
    assert!(place(&signed, "For the owner") < place(&signed, "Signed by B. Signer"));
}

#[test]
fn the_document_has_the_figures_and_every_section() {
    let place = with_services();
    let document: serde_json::Value = serde_json::from_str(&report(&place, "json")).unwrap();
    assert_eq!((&document["ending"], &document["unit"]), (&"signed".into(), &"in".into()));
    let valves = document["valves"].as_array().unwrap();
    assert_eq!(valves.len(), 8);
    assert_eq!(valves[5]["found"], 0.011);
    assert_eq!(valves[5]["moved"], -0.001);
    let headings: Vec<&str> = document["sections"]
        .as_array()
        .unwrap()
        .iter()
        .map(|section| section["heading"].as_str().unwrap())
        .collect();
    assert!(headings.contains(&"For the owner") && headings.contains(&"Persons"), "{headings:?}");
    let csv = report(&place, "csv");
    assert_eq!(csv.lines().count(), 17, "a head and sixteen readings");
    let all = place.run_unsettled(&["export"]).out;
    assert!(csv.lines().all(|line| all.contains(line)), "the rows are those of the export");
}

#[test]
fn a_worksheet_has_a_box_for_each_reading_and_keeps_last_time_on_another_page() {
    let place = with_services();
    let text = place.run(&["report", "--blank", "Trainer"]);
    let text = text.done();
    let (first, rest) = text.split_once("\n====").unwrap();
    for valve in flat_four()
        .firing_order
        .iter()
        .flat_map(|n| [format!("{n} intake"), format!("{n} exhaust")])
    {
        assert!(first.contains(&valve), "{valve}");
    }
    assert_eq!(first.matches("[______________]").count(), 8 * 3 + 8);
    assert!(rest.contains("Stop 1") && rest.contains("look at them after gauging"));
    assert!(!first.contains("0.011"), "last time's figure is not on the page that is filled in");
    let last = rest.split("look at them after gauging").nth(1).unwrap();
    assert!(last.contains("3 exhaust       0.010"), "{last}");
    let html = place.run(&["report", "--blank", "Trainer", "--format", "html"]);
    let read = read(html.done());
    is_harmless(&read);
    assert_eq!(read.elements.iter().filter(|(name, _)| name == "hr").count(), 2);
    assert_eq!(place.run(&["report", "--blank", "Trainer", "--format", "csv"]).code, 2);
}

#[test]
fn a_worksheet_says_which_figures_ruled_last_where_those_of_the_profile_did_not() {
    let facts = flat_four();
    let plan = plan(&profile_text(facts.clone()).profile, &PlanChoice::default()).unwrap();
    let mut walk = Walk::begun(facts.clone(), "spring check", MORNING, 41_260);
    walk.sign(signature());
    let sheet = |last: &Service| worksheet("Trainer", &facts, &plan, Some(last)).into_text();
    let mut last = Service::of(&walk.session);
    assert!(!sheet(&last).contains("OTHER FIGURES"), "the profile's ruled");
    last.figures[1].least = Length::from_um(203);
    let text = sheet(&last);
    let (_, ruled) = text.split_once("OTHER FIGURES RULED AT THE LAST SERVICE").unwrap();
    let ruled = ruled.split("Readings").next().unwrap();
    assert!(ruled.contains("exhaust") && !ruled.contains("intake"), "{text}");
    assert!(ruled.contains("0.008 to 0.012 in"), "{text}");
}

#[test]
fn the_drawing_judges_the_valves_that_were_gauged_and_says_where_others_were_not() {
    let place = with_trainer();
    begin(&place, "", "Name or initials");
    let path = place.journals().pop().unwrap();
    let opened = cowlside::store::journal::open(&path, &parse).unwrap();
    let mut walk = Walk::begun(flat_four(), "part", MORNING, 41_260);
    walk.session = Session::replay(&opened.entries).unwrap();
    walk.now = opened.entries.last().unwrap().at;
    let kept = walk.session.kept.len();
    walk.until(|due| *due == Due::Scope);
    let (rounds, scope) = (Some(Rounds::SetThenRecheck), Some(vec![1]));
    walk.input(Input::Begin(Box::new(Begin { rounds, scope, ..Begin::default() })));
    for (cylinder, locked_at) in [(3, "12"), (4, "8")] {
        let valve = valve(cylinder, Kind::Exhaust);
        walk.tries.push((valve, locked_at));
        walk.leave.push((valve, "part on order"));
        walk.until(|due| matches!(due, Due::CountIn { .. }));
        walk.input(Input::NutFoundSlack(valve));
    }
    walk.finish();
    let entries: Vec<Entry> =
        walk.session.kept[kept..].iter().map(|one| one.entry.clone()).collect();
    write(&place, &entries);
    let html = place.run(&["report", path.to_str().unwrap(), "--format", "html"]);
    let words =
        [(1, "in limits"), (2, "not looked at"), (3, "in part: in limits"), (4, "in part: tight")];
    for (cylinder, word) in words {
        let drawn = html.done().split(&format!("bold\">{cylinder}</text>")).nth(1).unwrap();
        let said = drawn.split('>').nth(1).unwrap();
        assert_eq!(said.strip_suffix("</text").unwrap(), word, "{cylinder}: {html}");
    }
}
