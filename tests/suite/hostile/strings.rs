//! Texts that somebody may type, paste or hand over in a file, each with what it is.

/// Every hostile text, with its name.
pub fn all() -> Vec<(&'static str, String)> {
    let short = SHORT.iter().map(|(name, text)| (*name, (*text).to_owned()));
    short.chain(long()).collect()
}

/// Tells whether everything is to be tried.
pub fn whole() -> bool {
    std::env::var_os("COWLSIDE_HOSTILE").is_some()
}

/// The texts of one turn of so many, of every sort some; all of them where `COWLSIDE_HOSTILE` is set.
pub fn in_turn(turn: usize, of: usize) -> Vec<(&'static str, String)> {
    let of = if whole() { 1 } else { of };
    all().into_iter().skip(turn % of).step_by(of).collect()
}

const SHORT: &[(&str, &str)] = &[
    ("colour", "a\u{1b}[31mb\u{1b}[0m"),
    ("clear the screen", "a\u{1b}[2J\u{1b}[Hb"),
    ("alternate screen", "a\u{1b}[?1049hb"),
    ("window title", "a\u{1b}]0;owned\u{7}b"),
    ("clipboard", "a\u{1b}]52;c;QQ==\u{1b}\\b"),
    ("hyperlink", "a\u{1b}]8;;http://127.0.0.1/\u{1b}\\b\u{1b}]8;;\u{1b}\\"),
    ("device query", "a\u{1b}[6n\u{1b}[c\u{1b}P$qm\u{1b}\\b"),
    ("full reset", "a\u{1b}cb"),
    ("C1 controls", "a\u{9b}31mb\u{9d}0;t\u{9c}\u{90}\u{85}c"),
    ("bell, backspace, delete", "a\u{7}\u{8}\u{8}\u{7f}b"),
    ("NUL", "a\u{0}b"),
    ("shift out", "a\u{e}b\u{f}"),
    ("carriage return", "all tight\rall in limits"),
    ("line feed", "a\n### b\nc"),
    ("both", "a\r\nb"),
    ("line separators", "a\u{2028}b\u{2029}c\u{b}\u{c}d"),
    ("tab", "a\tb"),
    ("right to left override", "a\u{202e}gnp.exe\u{202c}b"),
    ("isolates", "a\u{2066}b\u{2067}c\u{2068}d\u{2069}"),
    ("marks of direction", "a\u{200e}b\u{200f}c\u{61c}d"),
    ("zero width", "a\u{200b}b\u{2060}c\u{feff}d"),
    ("joiners", "a\u{200d}\u{200c}1\u{200d}2"),
    ("byte-order mark first", "\u{feff}a"),
    ("soft hyphen and fillers", "a\u{ad}b\u{3164}c\u{115f}d\u{2800}e"),
    ("tags", "a\u{e0001}\u{e0041}\u{e0042}\u{e007f}b"),
    ("private and no characters", "a\u{e000}b\u{ffff}c\u{10fffd}d\u{fdd0}"),
    ("variation selectors", "a\u{fe0f}b\u{e0100}c"),
    ("Hebrew", "שסתום פליטה 3"),
    ("Arabic", "صمام العادم ٣"),
    ("wide", "排気弁 三番 隙間"),
    ("joined pictures", "👩\u{200d}🔧 👨\u{200d}👩\u{200d}👧\u{200d}👦 🇩🇪 👍🏽"),
    ("full width", "ＡＢＣ＝１＋１"),
    ("markup", "<script>alert(1)</script><img src=x onerror=alert(1)>"),
    ("end of an attribute", "\" onmouseover=\"alert(1)\" x='y' `z"),
    ("end of everything", "--></style></title></td></table>]]><!-- <b>"),
    ("entities", "&lt;b&gt; &amp; &#60;i&#62; &nbsp;"),
    ("link of Markdown", "[a](javascript:alert(1)) ![b](x) <http://127.0.0.1> [c]: d"),
    ("table of Markdown", "a | b || c \\| d"),
    ("heading of Markdown", "# a"),
    ("list of Markdown", "- a"),
    ("numbered list of Markdown", "1. a"),
    ("rule of Markdown", "---"),
    ("code of Markdown", "```a ~~~ `b` ``c``"),
    ("emphasis of Markdown", "*a* **b** _c_ __d__ ~~e~~"),
    ("quote of Markdown", "> a"),
    ("formula", "=HYPERLINK(\"http://127.0.0.1\",\"a\")"),
    ("formula with plus", "+1+cmd|' /C calc'!A0"),
    ("formula with minus", "-2+3"),
    ("formula with at", "@SUM(1)"),
    ("formula behind a tab", "\t=1+1"),
    ("formula behind a return", "\r=1+1"),
    ("formula in full width", "＝1＋1"),
    ("formula behind a blank", " =1+1"),
    ("escaped formula", "'=1+1"),
    ("quotation marks", "\"\"\",\"\"'\"\"\"\"\"\",,;\"a"),
    ("backslashes", "a\\\\\"b\\n\\u0041\\ud800\\x1b"),
    ("end of an object", "\"}],\"h\":\"0\",{\"k\":\"seal\"}"),
    ("path", "../../../etc/passwd"),
    ("device's name", "CON .. \\\\host\\c$ a:b"),
    ("format", "%s %n %x {} {0} {:?} {error} ${HOME} $(id) `id`"),
    ("option", "--help"),
    ("null", "null"),
    ("replacement character", "a\u{fffd}b"),
    ("Greek question mark", "a\u{37e}\u{2024}\u{ff0f}b"),
];

fn long() -> Vec<(&'static str, String)> {
    vec![
        ("pile of accents", format!("a{}b", "\u{301}\u{489}".repeat(100))),
        ("pile on nothing", "\u{301}".repeat(60)),
        ("long word", "W".repeat(1_500)),
        ("long words", "a word of twenty let ".repeat(60) + "z"),
        ("long wide word", "漢".repeat(600)),
        ("pictures in a row", "👨\u{200d}👩\u{200d}👧\u{200d}👦".repeat(60)),
        ("quotation marks in a row", "\"".repeat(900)),
        ("angle brackets in a row", "<".repeat(900)),
    ]
}
