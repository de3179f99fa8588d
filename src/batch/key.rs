//! What a finished plan was made from, in one word.

use sha2::{Digest as _, Sha256};

/// A word that changes when any of the parts does: the SHA-256, in hexadecimal, of the parts, each led by its length.
/// Without the lengths a byte could move from one part to the next unseen.
///
/// ```
/// use eavewright::batch::content_key;
/// assert_ne!(content_key(&[b"ab", b"c"]), content_key(&[b"a", b"bc"]));
/// ```
pub fn content_key(parts: &[&[u8]]) -> String {
    let mut hash = Sha256::new();
    for part in parts {
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part);
    }
    hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::content_key;

    #[test]
    fn the_key_of_nothing_is_the_published_hash_of_nothing() {
        // FIPS 180-4's algorithm on the empty message, as every implementation prints it.
        assert_eq!(
            content_key(&[]),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
        );
    }
}
