//! The screens beside a service's own, as text and as they look, in each of three sizes: one table. The
//! screens of a service are kept by its walks, the form of a profile beside its tests.

use crate::kinds;
use crate::reviews::{comparison, past, press};
use crate::shop::shop;
use crate::styled;
use crate::walk::{TO_THE_FIRST_STOP, Walk, known, paint_view};
use cowlside::tui::app::{App, Carried};
use cowlside::tui::bench::Bench;
use cowlside::tui::job::Table;
use cowlside::tui::view;

const SIZES: [(u16, u16); 3] = [(40, 12), (80, 24), (160, 50)];

/// The services of an engine, as the shell lists them.
fn services() -> App<Bench> {
    let rows = [
        ["2026-05-03", "spring check", "signed"],
        ["2025-10-05", "20251005-070510z-nwh65s", "closed unsigned"],
        ["2024-06-18", "from paper", "imported"],
    ];
    let table = Table {
        title: "Trainer: the record of which service?".into(),
        head: ["day", "service", ""].map(String::from).into(),
        rows: rows.map(|row| row.map(String::from).into()).into(),
        ..Table::default()
    };
    shop(4).with(Carried::Records(table))
}

/// A service at its first stop, and what keys put on top of it.
fn on_top(keys: &str) -> App<Bench> {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press(keys);
    walk.app().clone()
}

/// Every such screen, and whether its text is kept here, too; of the others another test keeps it.
fn screens() -> Vec<(&'static str, App<Bench>, bool)> {
    let kinds = || shop(0).with(Carried::Kinds(kinds::listed().1));
    vec![
        ("shop_empty", shop(0), false),
        ("shop_many", shop(31), false),
        ("shop_searched", press(&shop(31), "tug blank 09"), true),
        ("engine_menu", press(&shop(4), "*"), true),
        ("services", services(), true),
        ("kinds_list", kinds(), false),
        ("kinds_in_vain", press(&kinds(), "trainer Enter"), true),
        ("comparison", comparison(), false),
        ("comparison_searched", press(&comparison(), "ex"), false),
        ("past", past(), false),
        ("past_valve", press(&past(), "Right"), false),
        ("help_of_shop", press(&shop(4), "?"), true),
        ("help", on_top("?"), true),
        ("more", on_top("*"), true),
        ("leaving", on_top("q"), true),
        ("record", on_top("2 enter 1 6 enter 9 enter r"), true),
    ]
}

#[test]
fn every_screen_beside_a_service_is_kept_in_three_sizes_plain_and_as_it_looks() {
    for (name, app, text_too) in screens() {
        styled::look(name, &app);
        let view = view::view(&app).unwrap();
        for (width, height) in SIZES.into_iter().filter(|_| text_too) {
            insta::with_settings!({
                snapshot_path => "../../snapshots",
                prepend_module_to_snapshot => false,
                omit_expression => true,
            }, {
                let picture = paint_view(&view, width, height);
                insta::assert_snapshot!(format!("{name}_{width}x{height}"), picture);
            });
        }
    }
}
