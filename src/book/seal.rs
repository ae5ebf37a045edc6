//! The seal: SHA-256 over the canonical JSON of an entry and the seal before it.
//!
//! Canonical means: keys in alphabetical order, no spaces, numbers in their shortest form that reads back
//! the same. Changing any sealed value of any entry breaks its seal and with it every later one of its origin.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::Entry;

/// The seal before the first entry of an origin.
pub const FIRST: &str = "";

/// The head of an entry as it is sealed, every value as it is stored.
#[derive(Clone, Copy, Debug, Serialize)]
#[allow(missing_docs, reason = "each field is the stored column of the same name")]
pub struct SealedHead<'a> {
    // In alphabetical order: they are written as they stand here.
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
    /// The seal of an entry with this head and this body, both as stored, after the previous seal.
    pub fn seal(&self, previous: &str, body: &str) -> String {
        let mut head = Vec::with_capacity(384);
        // Text, numbers and a yes or no: writing them into memory cannot fail, and a head cut short seals nothing.
        let _ = serde_json::to_writer(&mut head, self);
        let mut hasher = Sha256::new();
        for piece in [previous.as_bytes(), b"\n", &head, b"\n", body.as_bytes()] {
            hasher.update(piece);
        }
        hex(&hasher.finalize())
    }
}

/// The key of the body under which an entry says what its book had seen of other books.
pub const SEEN: &str = "seen";

/// Put into a body what its book had seen of other books; a book that has seen none says nothing.
pub fn say_seen(body: &mut Value, seen: &BTreeMap<Uuid, i64>) {
    if let (Value::Object(map), false) = (body, seen.is_empty()) {
        let said = seen.iter().map(|(origin, last)| (origin.to_string(), Value::from(*last))).collect();
        map.insert(SEEN.to_owned(), Value::Object(said));
    }
}

/// What a body says its book had seen of other books.
///
/// # Errors
/// The body is not JSON, or says it in another form.
pub fn seen_in(body: &str) -> Result<BTreeMap<Uuid, i64>, serde_json::Error> {
    #[derive(Deserialize)]
    struct Says {
        #[serde(default)]
        seen: BTreeMap<Uuid, i64>,
    }
    // Most bodies say nothing: a key is only there where its quotes stand bare.
    if !body.contains("\"seen\":") {
        return Ok(BTreeMap::new());
    }
    serde_json::from_str::<Says>(body).map(|says| says.seen)
}

/// A moment as it is stored and sealed: UTC, to the millisecond.
pub fn moment(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(chrono::SecondsFormat::Millis, true)
}

/// The seal of an entry with its body as stored, after the previous seal.
pub fn seal(previous: &str, entry: &Entry, body: &str) -> String {
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
    .seal(previous, body)
}

/// SHA-256 of raw bytes, in hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// SHA-256 of everything a reader gives, and how many bytes that was; kept in no memory.
///
/// # Errors
/// The reader fails.
pub fn sha256_of(mut reader: impl std::io::Read) -> std::io::Result<(String, u64)> {
    let mut hasher = Sha256::new();
    let (mut buffer, mut total) = (vec![0_u8; 1 << 16], 0_u64);
    loop {
        match reader.read(&mut buffer)? {
            0 => return Ok((hex(&hasher.finalize()), total)),
            read => {
                hasher.update(&buffer[..read]);
                total += read as u64;
            }
        }
    }
}

fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let digit = |nibble: u8| char::from(DIGITS[usize::from(nibble & 15)]);
    let mut text = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        text.push(digit(byte >> 4));
        text.push(digit(*byte));
    }
    text
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
