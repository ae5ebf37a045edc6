//! The seal: SHA-256 over the canonical JSON of an entry and the seal before it.
//!
//! Canonical means: keys in alphabetical order, no spaces, numbers in their shortest form that reads back
//! the same. Changing any sealed value of any entry breaks its seal and with it every later one of its origin.

use serde_json::json;
use sha2::{Digest, Sha256};

use super::Entry;

/// The seal before the first entry of an origin.
pub const FIRST: &str = "";

/// The canonical JSON of an entry's own words.
///
/// # Errors
/// A value that JSON cannot hold.
pub fn canonical_body(entry: &Entry) -> Result<String, serde_json::Error> {
    // serde_json keeps object keys sorted unless its preserve_order feature is on; a test holds it to that.
    Ok(entry.entry.details.to_json()?.to_string())
}

/// The text that is sealed: the entry's head and its body as stored.
pub fn sealed_text(entry: &Entry, body: &str) -> String {
    let head = json!({
        "date_approximate": entry.entry.date_approximate,
        "happened_on": entry.entry.happened_on.to_string(),
        "id": entry.id.to_string(),
        "kind": entry.kind().word(),
        "origin": entry.origin.to_string(),
        "recorded_at": entry.recorded_at.to_rfc3339_opts(chrono::SecondsFormat::Millis, true),
        "recorded_by": entry.entry.recorded_by,
        "second": entry.entry.second,
        "sequence": entry.sequence,
        "subject": entry.entry.subject.name,
        "subject_of": entry.entry.subject.of.word(),
    });
    format!("{head}\n{body}")
}

/// The seal of a sealed text after the previous seal, in hexadecimal.
pub fn seal(previous: &str, sealed_text: &str) -> String {
    let mut hasher = Sha256::new();
    hasher.update(previous.as_bytes());
    hasher.update(b"\n");
    hasher.update(sealed_text.as_bytes());
    hex(&hasher.finalize())
}

/// SHA-256 of raw bytes, in hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    #[test]
    fn object_keys_come_out_sorted() {
        let value: serde_json::Value = serde_json::json!({"zebra": 1, "ant": 2});
        assert_eq!(value.to_string(), r#"{"ant":2,"zebra":1}"#);
    }

    #[test]
    fn sha256_of_abc_is_the_published_one() {
        // FIPS 180-4, example for "abc".
        assert_eq!(super::sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }
}
