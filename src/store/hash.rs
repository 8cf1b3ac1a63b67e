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
    let digest = Sha256::digest(data);
    let halves = digest.iter().take(bytes).flat_map(|byte| [byte >> 4, byte & 15]);
    halves.map(|half| char::from(HEX[usize::from(half)])).collect()
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
    fn the_hash_is_sha_256() {
        // FIPS 180-4 example "abc".
        let all = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hex_of_sha256(b"abc", 32), all);
        assert_eq!(hex_of_sha256(b"abc", 16), all[..32]);
    }
}
