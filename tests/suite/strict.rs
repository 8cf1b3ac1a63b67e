//! A strict reader of what the program sends to a terminal: anything but the few sequences that it
//! is known to need is odd, and so is any character that steers, hides or turns text.

use cowlside::domain::plain::is_unsafe;

/// Lists everything odd in a stream of bytes.
pub fn odd(bytes: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(bytes) else { return vec!["not UTF-8".into()] };
    let mut odd = Vec::new();
    let mut rest = text.chars().peekable();
    while let Some(letter) = rest.next() {
        match (letter, rest.peek().copied()) {
            ('\u{1b}', Some('[')) => {
                rest.next();
                let mut sequence = String::new();
                for letter in rest.by_ref() {
                    sequence.push(letter);
                    if ('\u{40}'..='\u{7e}').contains(&letter) {
                        break;
                    }
                }
                if !is_known(&sequence) {
                    odd.push(format!("sequence [{sequence}"));
                }
            }
            ('\u{1b}', Some('>')) => {
                rest.next();
            }
            ('\r' | '\n', _) => {}
            (letter, next) if is_unsafe(letter) => {
                odd.push(format!("{letter:?} before {next:?}"));
            }
            _ => {}
        }
    }
    odd
}

fn is_known(sequence: &str) -> bool {
    const MODES: [&str; 5] = ["?1049", "?25", "?2004", "?2026", "?1"];
    let Some(last) = sequence.chars().last() else { return false };
    let parameters = &sequence[..sequence.len() - last.len_utf8()];
    let numbers = parameters.chars().all(|letter| letter.is_ascii_digit() || letter == ';');
    match last {
        'h' | 'l' => MODES.contains(&parameters),
        'H' | 'm' | 'J' | 'K' | 'X' => numbers,
        _ => false,
    }
}

#[test]
fn anything_that_steers_a_terminal_is_odd() {
    assert!(odd(b"\x1b[?1049h\x1b[1;1H\x1b[0;38;5;1mtext\x1b[?2026l\r\n").is_empty());
    for bytes in [
        &b"\x1b]52;c;eA==\x07"[..],
        b"\x1b]0;title\x1b\\",
        b"\x07",
        b"\x1b[6n",
        b"\x1b[?1000h",
        b"\x1bc",
        b"\xff",
        "\u{202e}".as_bytes(),
        "\u{200b}".as_bytes(),
        "\u{9b}31m".as_bytes(),
    ] {
        assert!(!odd(bytes).is_empty(), "{bytes:?}");
    }
}
