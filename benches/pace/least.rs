//! The least full-screen program of the same libraries: what the program's own speed is compared with
//! (`benches/pace/pace.py`). `q` leaves, every other key changes one cell.

use ratatui::crossterm::event::{Event, KeyCode, read};
use ratatui::widgets::Paragraph;

fn main() -> std::io::Result<()> {
    let mut terminal = ratatui::try_init()?;
    let mut keys = 0_u32;
    loop {
        let words = format!("The least program\n\nkeys pressed: {}\n\nq leave", keys % 10);
        terminal.draw(|frame| frame.render_widget(Paragraph::new(words), frame.area()))?;
        match read()? {
            Event::Key(key) if key.code == KeyCode::Char('q') => return ratatui::try_restore(),
            Event::Key(_) => keys += 1,
            _ => {}
        }
    }
}
