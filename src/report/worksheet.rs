//! An empty worksheet for an engine: the way round with boxes for readings, in the order in which
//! they are typed in later, and last time's figures on a page of their own.

use super::compare_sheet::figure;
use super::dates;
use super::plan_sheet::plan_text;
use super::sheet::Sheet;
use crate::domain::plan::Plan;
use crate::domain::profile::{Facts, Figures};
use crate::domain::service::Service;
use crate::domain::valve::{Kind, Several};

/// Columns of the readings: stop, valve, and three boxes.
const WIDTHS: [usize; 5] = [8, 16, 18, 18, 18];
const BOX: &str = "[______________]";
const LINE: &str = "____________________";

/// Writes a worksheet of 80 columns; last time's figures are kept off the page that is filled in.
pub fn worksheet(engine: &str, facts: &Facts, plan: &Plan, last: Option<&Service>) -> Sheet {
    let mut sheet = Sheet::new(super::WIDTH);
    sheet.line("", &format!("WORKSHEET: {engine}"));
    sheet.line("", "Valve clearances. Readings are typed in later, in this order, as from paper.");
    for (label, unit) in [
        ("date, time", ""),
        ("running hours", "h"),
        ("aircraft total", "h"),
        ("done by", ""),
        ("head, air", "°C / °F"),
        ("leaf set", ""),
        ("manual, revision", ""),
    ] {
        sheet.field(label, &format!("{LINE} {unit}"));
    }
    sheet.heading("Figures of the profile");
    sheet.field("source", &crate::domain::service::source_words(&facts.source));
    for kind in Kind::BOTH {
        sheet.field(kind.word(), &figures_words(facts, &facts.figures(kind)));
    }
    ruled_last(&mut sheet, facts, last);
    sheet.heading("Readings");
    let several = Several::of(facts.valves());
    let heads = ["stop", "valve", "as found", "tries", "as left, nut locked"].map(String::from);
    sheet.row(&heads, &WIDTHS);
    for (number, stop) in (1..).zip(&plan.stops) {
        let mut name = number.to_string();
        for gauge in &stop.gauge {
            let cells = [std::mem::take(&mut name), several.name(gauge.valve)];
            let cells: Vec<String> = cells.into_iter().chain([BOX; 3].map(String::from)).collect();
            sheet.row(&cells, &WIDTHS);
        }
    }
    sheet.heading("Second look, all the way round once more");
    sheet.row(&["valve", "reads", "valve", "reads"].map(String::from), &[16, 20, 16, 20]);
    let valves: Vec<String> = plan
        .stops
        .iter()
        .flat_map(|stop| &stop.gauge)
        .map(|gauge| several.name(gauge.valve))
        .collect();
    for pair in valves.chunks(2) {
        let cells = pair.iter().flat_map(|valve| [valve.clone(), BOX.to_string()]);
        sheet.row(&cells.collect::<Vec<_>>(), &[16, 20, 16, 20]);
    }
    sheet.heading("Remarks");
    for _ in 0..2 {
        sheet.line("  ", &"_".repeat(76));
    }
    sheet.field("signature", LINE);
    sheet.page();
    sheet.heading("The way round");
    for line in plan_text(facts, plan).lines() {
        sheet.drawn(line);
    }
    last_time(&mut sheet, facts, last);
    sheet
}

fn figures_words(facts: &Facts, figures: &Figures) -> String {
    let (Figures { target, least, most, .. }, unit) = (figures, facts.unit);
    format!("target {}, {} to {}", target.text(unit), least.digits(unit), most.text(unit))
}

/// Says which figures ruled last time, where the manual's page or an amendment took the place of the
/// profile's: whoever works from paper would judge by the wrong ones.
fn ruled_last(sheet: &mut Sheet, facts: &Facts, last: Option<&Service>) {
    let other = |kind: &Kind| {
        let (now, then) = (facts.figures(*kind), last?.figures(*kind));
        let limits = |of: &Figures| (of.target, of.least, of.most);
        (limits(&now) != limits(then)).then(|| (*kind, figures_words(facts, then)))
    };
    let others: Vec<(Kind, String)> = Kind::BOTH.iter().filter_map(other).collect();
    if others.is_empty() {
        return;
    }
    sheet.heading("OTHER FIGURES RULED AT THE LAST SERVICE: look which the manual has now");
    for (kind, words) in others {
        sheet.field(kind.word(), &words);
    }
}

fn last_time(sheet: &mut Sheet, facts: &Facts, last: Option<&Service>) {
    sheet.page();
    sheet.heading("Last time's figures: look at them after gauging, not before");
    let Some(last) = last else {
        sheet.line("  ", "none are known");
        return;
    };
    let day = last.began.map_or("day not known".into(), dates::day);
    let hours = last.hours.map_or("hours not known".into(), |hours| format!("{hours} h"));
    sheet.field("service", &format!("{}, {day}, {hours}", last.called()));
    sheet.row(&["valve", "found", "left"].map(String::from), &[16, 12, 12]);
    let several = Several::of(last.valves.iter().map(|outcome| outcome.valve));
    for outcome in &last.valves {
        let cells = [
            several.name(outcome.valve),
            figure(outcome.found.as_ref(), facts.unit),
            figure(outcome.left.as_ref(), facts.unit),
        ];
        sheet.row(&cells, &[16, 12, 12]);
    }
}
