//! A figure whose unit stands in the next line is read as another one: no screen and no record parts them.

use super::*;
use cowlside::report::sheet::laid_out;
use cowlside::tui::job::Job;

const UNITS: [&str; 11] =
    ["/100", "hundredths", "in", "mm", "thou", "°C", "°F", "h", "N·m", "lbf·in", "±"];

/// The first two lines between which a figure is parted from its unit or its tolerance.
fn parted(page: &str) -> Option<String> {
    let lines: Vec<&str> = page.lines().map(|line| line.trim_matches('|').trim()).collect();
    let parted = |two: &&[&str]| {
        let next = two[1].split(' ').next().unwrap_or_default();
        let next = next.trim_end_matches([')', '.', ',', ';', ':']);
        let number = two[0].ends_with(|letter: char| letter.is_ascii_digit());
        number && UNITS.contains(&next) || two[0].ends_with('±')
    };
    lines.windows(2).find(parted).map(|two| two.join("\n"))
}

#[test]
fn no_screen_parts_a_figure_from_its_unit() {
    let mut differs = places::where_the_page_differs();
    for size in [(40, 12), (44, 14), (60, 20)] {
        for view in every_screen() {
            let screen = paint_view(&view, size.0, size.1);
            assert_eq!(parted(&screen), None, "{size:?}\n{screen}");
        }
        let screen = differs.in_window(size);
        assert_eq!(parted(&screen), None, "{size:?}\n{screen}");
    }
}

#[test]
fn no_record_parts_a_figure_from_its_unit_however_narrow_it_is() {
    let walk = walked("12", &[TO_THE_FIRST_STOP, FIRST_ROUND, RECHECK, COUNT_IN, CHECKS]);
    let sheet = walk.app().job.as_ref().unwrap().record().unwrap().sheet.unwrap();
    for width in 36..=80 {
        let page = laid_out(&sheet, width).concat();
        assert!(page.contains("lbf·in") && page.contains("N·m"));
        let bare = |line: &str| line.trim_start().split(' ').next().is_some_and(|word| word == "±");
        // A tolerance may have a line of its own where both have no room, never the unit.
        let parted = parted(&page).filter(|two| !two.lines().any(|line| line.ends_with('±')));
        assert_eq!(parted, None, "{width}");
        assert!(!page.lines().any(bare), "{width}");
        // No number is cut in two.
        assert!(page.contains("0.56 N·m"), "{width}\n{page}");
    }
}
