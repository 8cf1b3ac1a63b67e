//! Text in nothing but ASCII, for terminals and fonts that have no more.

/// Returns a text with a stand-in for every character that is not ASCII: degrees and units in
/// letters, the middle dot as a dash, letters without their accents, a question mark for the rest.
pub fn ascii(text: &str) -> String {
    if text.is_ascii() {
        return text.to_owned();
    }
    let text = text
        .replace("\u{b0}C", "C")
        .replace("\u{b0}F", "F")
        .replace("N\u{b7}m", "N m")
        .replace('\u{b0}', " deg");
    text.chars().fold(String::with_capacity(text.len()), |mut out, letter| {
        if letter.is_ascii() {
            out.push(letter);
        } else {
            out.push_str(stand_in(letter));
        }
        out
    })
}

/// Returns one ASCII character for one cell of a drawing or a single letter.
pub fn one(letter: char) -> &'static str {
    match letter {
        '█' | '▀' | '▄' => "#",
        '─' | '━' | '═' => "-",
        '│' | '┃' | '║' => "|",
        '┌' | '┐' | '└' | '┘' | '├' | '┤' | '┬' | '┴' | '┼' => "+",
        '\u{b0}' => "o",
        _ => match stand_in(letter) {
            single if single.len() == 1 => single,
            _ => "?",
        },
    }
}

#[rustfmt::skip]
fn stand_in(letter: char) -> &'static str {
    match letter {
        '·' | '–' | '—' | '−' | '‐' | '•' => "-",
        'µ' | 'μ' => "u",
        '±' => "+/-",
        '×' => "x",
        '÷' => "/",
        '→' => "->",
        '≤' => "<=",
        '≥' => ">=",
        '…' => "...",
        '‘' | '’' | '´' => "'",
        '“' | '”' | '„' => "\"",
        '\u{a0}' | '\u{2009}' | '\u{202f}' => " ",
        'ß' => "ss", 'æ' => "ae", 'Æ' => "AE", 'œ' => "oe", 'Œ' => "OE",
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' | 'ą' | 'ă' => "a",
        'À' | 'Á' | 'Â' | 'Ã' | 'Ä' | 'Å' | 'Ą' => "A",
        'ç' | 'ć' | 'č' => "c", 'Ç' | 'Ć' | 'Č' => "C",
        'ď' | 'đ' => "d", 'Ď' | 'Đ' => "D",
        'è' | 'é' | 'ê' | 'ë' | 'ę' | 'ě' => "e", 'È' | 'É' | 'Ê' | 'Ë' | 'Ę' | 'Ě' => "E",
        'ì' | 'í' | 'î' | 'ï' => "i", 'Ì' | 'Í' | 'Î' | 'Ï' => "I",
        'ł' => "l", 'Ł' => "L", 'ñ' | 'ń' | 'ň' => "n", 'Ñ' | 'Ń' | 'Ň' => "N",
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' | 'ő' => "o", 'Ò' | 'Ó' | 'Ô' | 'Õ' | 'Ö' | 'Ø' | 'Ő' => "O",
        'ř' => "r", 'Ř' => "R", 'ś' | 'š' | 'ş' => "s", 'Ś' | 'Š' | 'Ş' => "S",
        'ť' | 'ţ' => "t", 'Ť' => "T", 'ù' | 'ú' | 'û' | 'ü' | 'ů' | 'ű' => "u",
        'Ù' | 'Ú' | 'Û' | 'Ü' | 'Ů' | 'Ű' => "U", 'ý' | 'ÿ' => "y", 'Ý' => "Y",
        'ź' | 'ż' | 'ž' => "z", 'Ź' | 'Ż' | 'Ž' => "Z",
        _ => "?",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_signs_and_letters_have_stand_ins_and_nothing_else_is_left() {
        let cases = [
            ("turn on 240°, 35 °C, 20 N·m", "turn on 240 deg, 35 C, 20 N m"),
            ("1 exhaust · TIGHT, 9 ± 1 lbf·in", "1 exhaust - TIGHT, 9 +/- 1 lbf-in"),
            ("12 µm, 3 × 4 → 12", "12 um, 3 x 4 -> 12"),
            ("Ölwanne, Kołatka, 発", "Olwanne, Kolatka, ?"),
            ("plain", "plain"),
        ];
        for (text, wanted) in cases {
            assert_eq!(ascii(text), wanted);
        }
        for letter in (0..0x3000_u32).filter_map(char::from_u32) {
            assert!(ascii(&letter.to_string()).is_ascii());
            assert!(letter.is_ascii() || (one(letter).is_ascii() && one(letter).len() == 1));
        }
    }
}
