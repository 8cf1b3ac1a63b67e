//! The least full-screen program of the same libraries that shows a reading: what the program's own
//! speed is compared with (`benches/pace/pace.py`). `q` leaves, every other key changes one digit.

use ratatui::crossterm::event::{Event, KeyCode, read};
use ratatui::layout::{Constraint, Layout};
use ratatui::style::{Color, Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Paragraph};

fn main() -> std::io::Result<()> {
    let mut terminal = ratatui::try_init()?;
    let mut keys = 0_u32;
    loop {
        terminal.draw(|frame| paint(frame, keys))?;
        match read()? {
            Event::Key(key) if key.code == KeyCode::Char('q') => return ratatui::try_restore(),
            Event::Key(_) => keys += 1,
            _ => {}
        }
    }
}

fn paint(frame: &mut ratatui::Frame, keys: u32) {
    let rows = [Constraint::Length(1), Constraint::Fill(1), Constraint::Length(1)];
    let [head, body, foot] = Layout::vertical(rows).areas(frame.area());
    let bold = Style::new().add_modifier(Modifier::BOLD);
    frame.render_widget(Line::from("The least program").style(bold), head);
    let edge = Block::bordered().title(" stop 1 of 6 ");
    let inside = edge.inner(body);
    frame.render_widget(edge, body);
    let digit = Span::styled((keys % 10).to_string(), Style::new().fg(Color::Yellow));
    let reading = Line::from(vec![Span::raw("gauged 0.15"), digit, Span::raw(" mm")]);
    let lines = vec![Line::from("Cylinder 1, intake"), reading, Line::from("0.10 to 0.20 mm")];
    frame.render_widget(Paragraph::new(lines), inside);
    frame.render_widget(Line::from("any key next  q leave"), foot);
}
