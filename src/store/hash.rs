//! SHA-256 in hex, and the random identities of sessions and engines.

use sha2::{Digest, Sha256};
use std::hash::{BuildHasher, RandomState};

const HEX: &[u8; 16] = b"0123456789abcdef";

/// Digits of base 32 that cannot be misread: no i, l, o or u.
const BASE_32: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";

/// Length of an identity in characters.
const ID_LENGTH: usize = 26;

/// Returns the first `bytes` bytes (32 at most) of the SHA-256 of `data`, two hex digits each.
pub fn hex_of_sha256(data: &[u8], bytes: usize) -> String {
    hex_of(&Sha256::digest(data), bytes)
}

fn hex_of(digest: &[u8], bytes: usize) -> String {
    let halves = digest.iter().take(bytes).flat_map(|byte| [byte >> 4, byte & 15]);
    halves.map(|half| char::from(HEX[usize::from(half)])).collect()
}

/// The SHA-256 of bytes that come one after the other.
#[derive(Clone, Debug, Default)]
pub(super) struct Running(Sha256);

impl Running {
    /// Takes in more bytes.
    pub(super) fn add(&mut self, data: &[u8]) {
        self.0.update(data);
    }

    /// Returns the hash of all of them in hex.
    pub(super) fn hex(self) -> String {
        hex_of(&self.0.finalize(), 32)
    }
}

/// Length of a seal code in characters: 60 bits.
const CODE_LENGTH: usize = 12;

/// Shortens a hash, given in hex, to the code that is noted on the job sheet: its first 60 bits as
/// 12 base-32 characters. `None` where the text is no such hash.
pub fn code_of(hash: &str) -> Option<String> {
    let bits = u64::from_str_radix(hash.get(..15)?, 16).ok()?;
    let digit = |place: usize| (bits >> (5 * (CODE_LENGTH - 1 - place))) & 31;
    let digits = (0..CODE_LENGTH).map(|place| usize::try_from(digit(place)).unwrap_or_default());
    Some(digits.map(|digit| char::from(BASE_32[digit])).collect())
}

/// Returns a code as it is spelled here, however it was written down: blanks and hyphens between,
/// capitals, a letter for the digit that it looks like.
pub fn code_as_typed(typed: &str) -> String {
    let signs = typed.chars().filter(|sign| sign.is_ascii_alphanumeric());
    let meant = signs.map(|sign| match sign.to_ascii_lowercase() {
        'o' => '0',
        'i' | 'l' => '1',
        other => other,
    });
    meant.collect()
}

/// Makes a random identity of 26 lower-case base-32 characters; `unix_ms` is mixed in.
pub fn new_id(unix_ms: i64) -> String {
    // `RandomState` is the standard library's own door to the system's source of randomness.
    let mut seed = unix_ms.to_le_bytes().to_vec();
    for _ in 0..4 {
        seed.extend(RandomState::new().hash_one(unix_ms).to_le_bytes());
    }
    let digits = Sha256::digest(&seed);
    digits.iter().take(ID_LENGTH).map(|byte| char::from(BASE_32[usize::from(byte & 31)])).collect()
}

/// Tells whether a text is spelled like an identity; nothing else may become part of a path.
pub fn is_id(text: &str) -> bool {
    text.len() == ID_LENGTH && text.bytes().all(|byte| BASE_32.contains(&byte))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn identities_differ_even_at_the_same_moment() {
        let ids: BTreeSet<String> = (0..1000).map(|_| new_id(1_773_483_330_123)).collect();
        assert_eq!(ids.len(), 1000);
        assert!(ids.iter().all(|id| is_id(id)));
    }

    #[test]
    fn only_an_identity_is_taken_for_one() {
        for text in ["", "../../../../../../etc/passwd", "0123456789ABCDEFGHJKMNPQRS", "k3f9q2"] {
            assert!(!is_id(text), "{text}");
        }
    }

    #[test]
    fn a_code_is_the_first_sixty_bits_and_is_read_however_it_was_written_down() {
        // 60 bits, five at a time: 00001 00010 ... 01100.
        let bits = (1..=12_u64).fold(0, |bits, digit| bits << 5 | digit);
        let code = code_of(&format!("{bits:015x}f0123456789abcdef")).unwrap();
        assert_eq!(code, "123456789abc");
        assert_eq!(code_of("ffffffffffffffff").unwrap(), "zzzzzzzzzzzz");
        assert_eq!((code_of("abc"), code_of("not hex at all.....")), (None, None));
        assert_eq!(code_as_typed(" K3F9-q2m8 X5wO l"), "k3f9q2m8x5w01");
    }

    #[test]
    fn the_hash_is_sha_256() {
        // FIPS 180-4 example "abc".
        let all = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hex_of_sha256(b"abc", 32), all);
        assert_eq!(hex_of_sha256(b"abc", 16), all[..32]);
    }
}
