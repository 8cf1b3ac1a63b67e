//! The list of engines on the screen: as it was last, until the files have been read.

use super::Shell;
use crate::cli::fail::Fail;
use crate::cli::shop;
use crate::cli::unread::engines_unread;
use crate::domain::entry::Moment;
use crate::domain::plain::plain;
use crate::report::dates;
use crate::report::orders::Order;
use crate::store::last_list::LastList;
use crate::store::sessions;
use crate::tui::job::Table;
use crate::tui::view;

impl Shell<'_> {
    /// Lists the engines as the screen shows them first, and tells whether they are still to be read:
    /// what takes its time is read under the eyes of whoever started it.
    pub(super) fn shop_to_begin_with(&mut self, now: Moment) -> Result<(Table, bool), Fail> {
        let folder = self.workshop.folder();
        match LastList::load(folder, &dates::day(now)) {
            Some(last) => Ok((table_of(last, Vec::new()), true)),
            None if sessions::are_many(folder) => Ok((Table::default(), true)),
            None => Ok((self.shop(now)?, false)),
        }
    }

    /// Lists the engines: what needs attention first.
    pub(super) fn shop(&mut self, now: Moment) -> Result<Table, Fail> {
        let made = LastList::made(self.workshop.folder(), &dates::day(now));
        let (rows, mut lines) = shop::rows(self.workshop, now)?;
        self.rows = rows.iter().map(|row| row.engine.clone()).collect();
        let cells = |row: &shop::Row| {
            vec![
                plain(&row.engine.name),
                format!("{} h", row.engine.counter()),
                row.last_words().unwrap_or_else(|| "none yet".into()),
                row.next_words(),
                row.attention_words(),
            ]
        };
        let mut shown: Vec<Vec<String>> = rows.iter().map(cells).collect();
        let blank = String::new;
        shown.push(vec!["a new engine".into(), blank(), blank(), blank(), blank()]);
        if self.rows.is_empty() {
            let choose = "No engine yet: choose its kind, give it a name and its hours.";
            // The files themselves are named above it.
            let unread = engines_unread(self.workshop)?;
            lines.push(unread.map_or_else(
                || choose.into(),
                |unread| format!("No engine can be read. To do: {}.", unread.to_do),
            ));
        }
        let mut words: Vec<String> = rows.iter().map(shop::Row::words).collect();
        words.push("a new engine".into());
        let orders = shop::orders(&rows);
        let list = LastList { lines, rows: shown, words, made };
        list.keep(self.workshop.folder());
        Ok(table_of(list, orders))
    }
}

/// The list of engines as a table.
fn table_of(LastList { lines, rows, words, .. }: LastList, orders: Vec<Order>) -> Table {
    let head = ["engine", "hours", "last service", "next", ""].map(String::from).to_vec();
    Table { title: view::SHOP.into(), lines, head, rows, words, orders, ..Table::default() }
}
