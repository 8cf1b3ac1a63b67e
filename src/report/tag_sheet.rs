//! The tag to hang on an engine whose service is interrupted: one page of text, or one web page in
//! large letters. The notice's words come in; nothing is left out, the gravest stands first.

use super::WIDTH;
use super::html::escaped;
use super::sheet::wrapped;

/// Everything that a tag says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tag {
    /// The warning, then what is under way, who left it, what is open, what he wrote.
    pub notice: Vec<String>,
    /// What must be known of the session's file.
    pub file: Option<String>,
    /// What was done, what is open, what is to be proven: the hand-over.
    pub way_back: Vec<String>,
    /// When the last entry was made.
    pub last: String,
}

const INDENT: &str = "    ";

/// Letters are as large as the page is wide; the warning fills its line. Nothing is looked up
/// elsewhere and nothing runs.
const STYLE: &str = "\
@page{margin:12mm}body{font:5vw/1.25 system-ui,sans-serif;color:#000;background:#fff;margin:0;padding:2vw;border:1vw solid #000}\
h1{font-size:13vw;line-height:1;margin:0 0 .2em;text-align:center}p{margin:.25em 0;overflow-wrap:anywhere}\
.open{font-weight:bold;font-size:6vw}.small{font-size:2.4vw;border-top:2px solid #000;margin-top:.8em;padding-top:.5em}.small p{margin:.2em 0}\
@media print{body{font-size:20pt;padding:5mm;border-width:3mm;height:auto}h1{font-size:58pt}.open{font-size:24pt}.small{font-size:11pt}}";

impl Tag {
    /// Writes the tag as text, no line wider than 80 columns.
    pub fn text(&self) -> String {
        let rule = "=".repeat(WIDTH);
        let mut text = format!("{rule}\n\n");
        for line in self.notice.iter().chain(&self.file) {
            text += &format!("{}\n", wrapped(WIDTH, INDENT, line));
        }
        for line in &self.way_back {
            text += &wrapped(WIDTH, INDENT, line);
        }
        text + &format!("\n{INDENT}last entry {}\n{rule}\n", self.last)
    }

    /// Writes the tag as a web page that stands alone.
    pub fn html(&self) -> String {
        let (first, rest) =
            self.notice.split_first().map_or(("", &[][..]), |(first, rest)| (first.as_str(), rest));
        let mut body = format!("<h1>{}</h1>\n", escaped(first));
        for line in rest {
            // What is open is told in capitals by the session itself.
            let class = if is_capital(line) { " class=\"open\"" } else { "" };
            body += &format!("<p{class}>{}</p>\n", escaped(line));
        }
        if let Some(file) = &self.file {
            body += &format!("<p class=\"open\">{}</p>\n", escaped(file));
        }
        body += "<div class=\"small\">\n";
        for line in &self.way_back {
            body += &format!("<p>{}</p>\n", escaped(line));
        }
        body += &format!("<p>last entry {}</p>\n</div>\n", escaped(&self.last));
        format!(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
             <title>{}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n{body}</body>\n</html>\n",
            escaped(first)
        )
    }
}

/// Tells whether a line begins with a word in capitals, as open items do.
fn is_capital(line: &str) -> bool {
    let word = line.split([':', ' ']).next().unwrap_or("");
    word.chars().count() > 1 && word.chars().all(|letter| letter.is_uppercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tag() -> Tag {
        Tag {
            notice: vec![
                "DO NOT TURN".into(),
                "Trainer <b>: valve service under way".into(),
                format!("left by {}", "x".repeat(100)),
                "NUT SLACK: 1 exhaust".into(),
            ],
            file: None,
            way_back: vec!["Open: NUT SLACK: 1 exhaust".into()],
            last: "2026-03-14 09:00".into(),
        }
    }

    #[test]
    fn no_line_of_the_text_is_wider_than_the_page_and_nothing_is_left_out() {
        let text = tag().text();
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH), "{text}");
        assert_eq!(text.matches('x').count() - text.matches("exhaust").count(), 100, "{text}");
        assert!(text.starts_with(&"=".repeat(WIDTH)));
    }

    #[test]
    fn the_page_runs_nothing_and_shows_text_as_it_is() {
        let page = tag().html();
        assert!(page.contains("<h1>DO NOT TURN</h1>"));
        assert!(page.contains("<p>Trainer &lt;b&gt;: valve service under way</p>"));
        assert!(page.contains("<p class=\"open\">NUT SLACK: 1 exhaust</p>"));
        for acts in ["<script", "http:", "https:", "<b>", "url(", " on"] {
            assert!(!page.replace("left by x", "").contains(acts), "{acts}");
        }
    }
}
