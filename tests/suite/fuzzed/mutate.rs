//! Seeded-random changes to a seed: of bytes, of words and figures as they stand in JSON, tables and
//! arguments, and joined with another seed. The same number gives the same change for ever.

/// Marsaglia's xorshift of 64 bits (Journal of Statistical Software 8(14), 2003).
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        // Spread, so that neighbours do not begin alike; never nought.
        let mut dice = Dice((seed ^ 0x9e37_79b9_7f4a_7c15).wrapping_mul(0xd129_0d3b_3b6b_27c5) | 1);
        for _ in 0..4 {
            dice.next();
        }
        dice
    }

    pub fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    /// Below `count`; nought where that is nought.
    pub fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.next() >> 11).unwrap_or(0) % count.max(1)
    }

    fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
}

/// Figures at the edges of what is counted and measured.
const FIGURES: [&str; 24] = [
    "0",
    "1",
    "2",
    "-1",
    "0.0",
    "0,15",
    "0.15",
    "0.006",
    "6",
    "7",
    "25",
    "25.001",
    "48",
    "49",
    "90",
    "255",
    "256",
    "359.9",
    "360",
    "720",
    "65536",
    "1e9",
    "1e400",
    "123456789012345678901234567890",
];

/// Texts that a screen, a table or a path may stumble over.
const WORDS: [&str; 20] = [
    "",
    " ",
    "mm",
    "in",
    "thou",
    "null",
    "true",
    "\u{1b}[2J",
    "\u{202e}left",
    "=1+2",
    "'=1",
    "../x",
    "a\"b",
    "a,b",
    "left\\",
    "\u{200b}",
    "Öl",
    "\r\n",
    "\t",
    "found",
];

fn class(byte: u8) -> u8 {
    match byte {
        b'0'..=b'9' | b'.' => 1,
        b'a'..=b'z' | b'A'..=b'Z' | b'_' | b'-' | 0x80.. => 2,
        _ => 0,
    }
}

/// Where words, figures and signs stand.
fn tokens(bytes: &[u8]) -> Vec<(usize, usize)> {
    let mut tokens = Vec::new();
    let mut start = 0;
    for at in 1..=bytes.len() {
        let joined =
            at < bytes.len() && class(bytes[at]) == class(bytes[at - 1]) && class(bytes[at]) != 0;
        if !joined {
            tokens.push((start, at));
            start = at;
        }
    }
    tokens
}

/// The stretches between two equal separators: lines, cells, members.
fn parts(bytes: &[u8], separator: u8) -> Vec<(usize, usize)> {
    let mut start = 0;
    let mut parts = Vec::new();
    for (at, _) in bytes.iter().enumerate().filter(|(_, byte)| **byte == separator) {
        parts.push((start, at + 1));
        start = at + 1;
    }
    parts.push((start, bytes.len()));
    parts
}

fn put(bytes: &mut Vec<u8>, (start, end): (usize, usize), with: &[u8]) {
    bytes.splice(start..end, with.iter().copied());
}

fn one_change(bytes: &mut Vec<u8>, other: &[u8], dice: &mut Dice) {
    if bytes.is_empty() {
        bytes.extend_from_slice(other);
        return;
    }
    match dice.below(12) {
        0 => {
            let at = dice.below(bytes.len());
            bytes[at] ^= 1 << dice.below(8);
        }
        1 => {
            let at = dice.below(bytes.len());
            bytes[at] = dice.next() as u8;
        }
        2 => {
            let (start, long) = (dice.below(bytes.len()), dice.below(8) + 1);
            let end = (start + long).min(bytes.len());
            put(bytes, (start, end), b"");
        }
        3 => {
            let start = dice.below(bytes.len());
            bytes.truncate(start);
        }
        4 => {
            let (from, to) = (dice.below(bytes.len()), dice.below(other.len()));
            bytes.truncate(from);
            bytes.extend_from_slice(&other[to..]);
        }
        5 | 6 => {
            let of_class: Vec<(usize, usize)> =
                tokens(bytes).into_iter().filter(|token| class(bytes[token.0]) == 1).collect();
            if !of_class.is_empty() {
                let token = *dice.of(&of_class);
                put(bytes, token, dice.of(&FIGURES).as_bytes());
            }
        }
        7 => {
            let of_class: Vec<(usize, usize)> =
                tokens(bytes).into_iter().filter(|token| class(bytes[token.0]) == 2).collect();
            if !of_class.is_empty() {
                let token = *dice.of(&of_class);
                put(bytes, token, dice.of(&WORDS).as_bytes());
            }
        }
        8 => {
            let all = tokens(bytes);
            let (from, to) = (*dice.of(&all), *dice.of(&all));
            let word = bytes[from.0..from.1].to_vec();
            put(bytes, to, &word);
        }
        9 | 10 => {
            let separator = *dice.of(b"\n\n,,}");
            let all = parts(bytes, separator);
            let (from, to) = (*dice.of(&all), *dice.of(&all));
            let part = bytes[from.0..from.1].to_vec();
            match dice.below(3) {
                0 => put(bytes, to, b""),
                1 => put(bytes, (to.0, to.0), &part),
                _ => put(bytes, to, &part),
            }
        }
        _ => {
            let all = parts(other, b'\n');
            let part = *dice.of(&all);
            let own = parts(bytes, b'\n');
            let to = dice.of(&own).0;
            put(bytes, (to, to), &other[part.0..part.1]);
        }
    }
}

/// A change that mostly leaves the shape as it was: a figure a little more or less, a letter of a word,
/// a blank between two signs.
fn mild(bytes: &mut Vec<u8>, dice: &mut Dice) {
    let all = tokens(bytes);
    let wanted = if dice.below(3) == 0 { 2 } else { 1 };
    let some: Vec<(usize, usize)> =
        all.iter().copied().filter(|token| class(bytes[token.0]) == wanted).collect();
    if some.is_empty() || dice.below(8) == 0 {
        let token = if all.is_empty() { (0, 0) } else { *dice.of(&all) };
        put(bytes, (token.0, token.0), dice.of(&[" ", "\n", "  "]).as_bytes());
        return;
    }
    let token = *dice.of(&some);
    let at = token.0 + dice.below(token.1 - token.0);
    if wanted == 2 {
        bytes[at] = *dice.of(b"aeinrstXZ-");
    } else if bytes[at] != b'.' {
        let digit = (bytes[at] - b'0' + if dice.below(2) == 0 { 1 } else { 9 }) % 10;
        bytes[at] = b'0' + digit;
    }
}

/// Changes a seed: mostly once or twice, sometimes often; half of the time mildly.
pub fn mutated(seeds: &[Vec<u8>], number: u64) -> Vec<u8> {
    let mut dice = Dice::new(number);
    let mut bytes = dice.of(seeds).clone();
    let other = dice.of(seeds).clone();
    let often = [1, 1, 1, 1, 2, 2, 3, 6];
    let is_mild = dice.below(2) == 0;
    for _ in 0..*dice.of(&often) {
        if is_mild {
            mild(&mut bytes, &mut dice);
        } else {
            one_change(&mut bytes, &other, &mut dice);
        }
    }
    bytes.truncate(96 * 1024);
    bytes
}

/// Makes a walk of nothing but dice: mostly bytes that answer as a mechanic would (`bodies/keys/hand.rs`).
pub fn thrown(number: u64, longest: usize) -> Vec<u8> {
    let mut dice = Dice::new(number);
    let long = longest / 2 + dice.below(longest / 2);
    // How wild a hand is differs from one walk to the next.
    let wild = *dice.of(&[1, 2, 6, 25]);
    let byte = |dice: &mut Dice| match dice.below(100) {
        percent if percent < wild => dice.next() as u8,
        // A key once more, a paste, taking back.
        94..=96 => 222 + (dice.next() % 6) as u8,
        97 | 98 => 228 + (dice.next() % 6) as u8,
        99 => 250,
        93 if dice.below(3) == 0 => 234 + (dice.next() % 6) as u8,
        _ => (dice.next() % 188) as u8,
    };
    std::iter::once(dice.next() as u8).chain((0..long).map(|_| byte(&mut dice))).collect()
}
