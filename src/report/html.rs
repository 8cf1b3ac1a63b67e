//! A sheet as one web page that stands alone: no script, no outside file, every text escaped. It
//! prints on A4 and on Letter: the page's size is left to the printer.

use super::sheet::{Block, UNBROKEN, is_note};
use crate::domain::plain::plain;

const STYLE: &str = "\
@page{margin:15mm 15mm 18mm}\
body{font:11pt/1.4 system-ui,sans-serif;color:#000;background:#fff;max-width:48em;margin:1.5em auto;padding:0 1em}\
h1{font-size:1.35em;margin:0 0 .6em}h2{font-size:1.05em;margin:1.4em 0 .4em;border-bottom:1px solid #666;break-after:avoid}\
p{margin:.35em 0;overflow-wrap:anywhere}.banner{border:2px solid #000;padding:.4em .6em;font-weight:bold}\
table{border-collapse:collapse;width:100%;margin:.4em 0}th,td{text-align:left;vertical-align:top;padding:.15em .5em .15em 0;border-bottom:1px solid #bbb;overflow-wrap:anywhere}\
tr{break-inside:avoid}td.note{border-bottom:0;padding-left:2em;font-style:italic}dl{display:grid;grid-template-columns:11em 1fr;margin:.3em 0;gap:.15em .8em}\
dt{font-weight:600}dd{margin:0;overflow-wrap:anywhere}.figures{display:grid;grid-template-columns:1fr 1fr;gap:.6em 1.2em}figure{margin:.4em 0;break-inside:avoid}figcaption{font-size:.9em}svg{max-width:100%;height:auto}\
pre{font:9pt/1.2 monospace;overflow-x:auto}.page{break-before:page;border:0;margin:0}\
@media print{body{max-width:none;margin:0;padding:0;font-size:9.5pt}h2{margin-top:.9em}th,td{padding:.08em .5em .08em 0}}";

/// A drawing that stands in the page after the words: what it shows, and its SVG.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// What it shows, in words.
    pub caption: String,
    /// The drawing, made by `svg`.
    pub svg: String,
}

/// Writes the pieces of a sheet as a web page, with drawings after them under a heading of their own.
pub fn page(blocks: &[Block], heading: &str, figures: &[Figure]) -> String {
    let title = blocks.iter().find_map(|block| match block {
        Block::Line(_, words) => Some(words.as_str()),
        Block::Blank | Block::Heading(_) | Block::Field(..) | Block::Row(..) | Block::Drawn(_) => {
            None
        }
        Block::Rule | Block::Page => None,
    });
    let mut body = Body::default();
    for block in blocks {
        body.block(block);
    }
    body.close();
    let mut text = body.text;
    if !figures.is_empty() {
        text += &format!("<h2>{}</h2>\n<div class=\"figures\">\n", escaped(heading));
    }
    for figure in figures {
        let (caption, svg) = (escaped(&figure.caption), &figure.svg);
        text += &format!("<figure><figcaption>{caption}</figcaption>{svg}</figure>\n");
    }
    if !figures.is_empty() {
        text += "</div>\n";
    }
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <title>{}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n{text}</body>\n</html>\n",
        escaped(title.unwrap_or("cowlside"))
    )
}

/// What is open in the page that is being made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Open {
    #[default]
    Nothing,
    Table(usize),
    List,
    Drawing,
    /// Between two rules: the banner.
    Banner,
}

#[derive(Default)]
struct Body {
    text: String,
    open: Open,
    titled: bool,
}

impl Body {
    fn block(&mut self, block: &Block) {
        match block {
            Block::Blank => {}
            Block::Heading(heading) => {
                self.close();
                self.text += &format!("<h2>{}</h2>\n", escaped(heading));
            }
            Block::Line(first, words) => self.line(first, words),
            Block::Field(label, words) => {
                self.open_as(Open::List, "<dl>\n");
                let (label, words) = (escaped(label), escaped(words));
                self.text += &format!("<dt>{label}</dt><dd>{words}</dd>\n");
            }
            Block::Row(cells, _) => self.row(cells),
            Block::Drawn(line) => {
                self.open_as(Open::Drawing, "<pre>");
                self.text += &format!("{}\n", escaped(line));
            }
            Block::Rule if self.open == Open::Banner => self.close(),
            Block::Rule => self.open_as(Open::Banner, "<div class=\"banner\">\n"),
            Block::Page => {
                self.close();
                self.text += "<hr class=\"page\">\n";
            }
        }
    }

    fn line(&mut self, first: &str, words: &str) {
        match self.open {
            Open::Table(columns) if is_note(first) => {
                let words = escaped(words);
                self.text +=
                    &format!("<tr><td class=\"note\" colspan=\"{columns}\">{words}</td></tr>\n");
                return;
            }
            Open::Banner => {}
            Open::Table(_) | Open::List | Open::Drawing | Open::Nothing => self.close(),
        }
        let first = escaped(first.trim());
        let gap = if first.is_empty() { "" } else { " " };
        let tag = if self.titled { "p" } else { "h1" };
        self.titled = true;
        self.text += &format!("<{tag}>{first}{gap}{}</{tag}>\n", escaped(words));
    }

    /// The first row of a table is its head.
    fn row(&mut self, cells: &[String]) {
        let (columns, tag) = match self.open {
            Open::Table(columns) => (columns, "td"),
            Open::Nothing | Open::List | Open::Drawing | Open::Banner => {
                self.close();
                self.text += "<table>\n";
                (cells.len().max(1), "th")
            }
        };
        self.open = Open::Table(columns);
        let last = cells.len().saturating_sub(1);
        self.text += "<tr>";
        for (place, cell) in cells.iter().enumerate() {
            let missing = columns.saturating_sub(last);
            let wide = place == last && missing > 1;
            let span = if wide { format!(" colspan=\"{missing}\"") } else { String::new() };
            self.text += &format!("<{tag}{span}>{}</{tag}>", escaped(cell.trim()));
        }
        self.text += "</tr>\n";
    }

    fn open_as(&mut self, open: Open, tag: &str) {
        if self.open != open {
            self.close();
            self.text += tag;
            self.open = open;
        }
    }

    fn close(&mut self) {
        self.text += match self.open {
            Open::Nothing => "",
            Open::Table(_) => "</table>\n",
            Open::List => "</dl>\n",
            Open::Drawing => "</pre>\n",
            Open::Banner => "</div>\n",
        };
        self.open = Open::Nothing;
    }
}

/// Makes text that a browser shows as it is.
pub fn escaped(text: &str) -> String {
    let mut out = String::new();
    for letter in plain(&text.replace(UNBROKEN, " ")).chars() {
        match letter {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\'' => out += "&#39;",
            other => out.push(other),
        }
    }
    out
}
