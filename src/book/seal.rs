//! The seal: SHA-256 over the canonical JSON of an entry and the seal before it.
//!
//! Canonical means: keys in alphabetical order, no spaces, numbers in their shortest form that reads back
//! the same. Changing any sealed value of any entry breaks its seal and with it every later one of its origin.

use chrono::{DateTime, Utc};
use serde_json::json;
use sha2::{Digest, Sha256};

use super::Entry;

/// The seal before the first entry of an origin.
pub const FIRST: &str = "";

/// The head of an entry as it is sealed, every value as it is stored.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs, reason = "each field is the stored column of the same name")]
pub struct SealedHead<'a> {
    pub date_approximate: bool,
    pub happened_on: &'a str,
    pub id: &'a str,
    pub kind: &'a str,
    pub origin: &'a str,
    pub recorded_at: &'a str,
    pub recorded_by: &'a str,
    pub second: Option<&'a str>,
    pub sequence: i64,
    pub subject: &'a str,
    pub subject_of: &'a str,
}

impl SealedHead<'_> {
    /// The text that is sealed: this head and the body as stored.
    pub fn with_body(&self, body: &str) -> String {
        let head = json!({
            "date_approximate": self.date_approximate,
            "happened_on": self.happened_on,
            "id": self.id,
            "kind": self.kind,
            "origin": self.origin,
            "recorded_at": self.recorded_at,
            "recorded_by": self.recorded_by,
            "second": self.second,
            "sequence": self.sequence,
            "subject": self.subject,
            "subject_of": self.subject_of,
        });
        format!("{head}\n{body}")
    }
}

/// A moment as it is stored and sealed: UTC, to the millisecond.
pub fn moment(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(chrono::SecondsFormat::Millis, true)
}

/// The text that is sealed of an entry with its body as stored.
pub fn sealed_text(entry: &Entry, body: &str) -> String {
    SealedHead {
        date_approximate: entry.entry.date_approximate,
        happened_on: &entry.entry.happened_on.to_string(),
        id: &entry.id.to_string(),
        kind: entry.kind().word(),
        origin: &entry.origin.to_string(),
        recorded_at: &moment(entry.recorded_at),
        recorded_by: &entry.entry.recorded_by,
        second: entry.entry.second.as_deref(),
        sequence: entry.sequence,
        subject: &entry.entry.subject.name,
        subject_of: entry.entry.subject.of.word(),
    }
    .with_body(body)
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
