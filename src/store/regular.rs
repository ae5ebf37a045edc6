//! Files that strangers name: opened only where they are files, and never read without an end.
//!
//! A pipe waits for ever for somebody to write into it, and a device such as `/dev/zero` never ends. Links are
//! followed: what counts is what they lead to.

use std::fs::{File, Metadata};
use std::io::{Error, Read, Result};
use std::path::Path;

/// The longest text read whole: a form, a load, a design, settings.
pub const TEXT: u64 = 8 << 20;
/// The longest old notebook read whole.
pub const NOTEBOOK: u64 = 128 << 20;
/// The longest raw file kept in a book.
pub const RAW: u64 = 512 << 20;

/// What a file is that is no regular one, in words.
pub fn other_than_a_file(about: &Metadata) -> Option<&'static str> {
    let kind = about.file_type();
    if kind.is_file() {
        return None;
    }
    if kind.is_dir() {
        return Some("a folder");
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        if kind.is_fifo() {
            return Some("a pipe");
        }
        if kind.is_socket() {
            return Some("a socket");
        }
        if kind.is_block_device() || kind.is_char_device() {
            return Some("a device");
        }
    }
    Some("no regular file")
}

fn refused(about: &Metadata) -> Result<()> {
    match other_than_a_file(about) {
        None => Ok(()),
        Some("a folder") => Err(Error::other("it is a folder; name a file in it")),
        Some(what) => Err(Error::other(format!(
            "it is {what}, which may never end; save what it gives in a file, and name that file"
        ))),
    }
}

/// Open a file for reading, where it is one.
///
/// # Errors
/// It is not there, may not be read, or is something else than a file.
pub fn open(path: &Path) -> Result<File> {
    // Before it is opened: opening a pipe waits for its other end. And after: it may have been changed in between.
    refused(&std::fs::metadata(path)?)?;
    let file = File::open(path)?;
    refused(&file.metadata()?)?;
    Ok(file)
}

/// Read a file whole, where it is one and no longer than so many bytes.
///
/// # Errors
/// As [`open`]; or it is longer.
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>> {
    let file = open(path)?;
    let long = || Error::other(format!("it is longer than {} MiB; is it the right file?", most >> 20));
    let length = file.metadata()?.len();
    if length > most {
        return Err(long());
    }
    let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or(0));
    // What says that it is short may go on all the same.
    file.take(most + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most { Err(long()) } else { Ok(bytes) }
}
