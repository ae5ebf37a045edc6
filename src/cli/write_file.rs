//! Files the command line writes: whole, or not at all.

use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use super::{Environment, Fault};

/// Whether a file is what this program writes here, and so may be written anew: a page, a drawing, a manual page, or
/// nothing at all. A book, a photograph or a trace is none.
fn is_a_page(path: &Path) -> bool {
    let mut head = Vec::with_capacity(64);
    if std::fs::File::open(path).and_then(|file| file.take(64).read_to_end(&mut head)).is_err() {
        return false;
    }
    let head = String::from_utf8_lossy(&head).to_ascii_lowercase();
    let head = head.trim_start();
    head.is_empty() || ["<!doctype html", "<svg", "<?xml", ".ie", ".th"].iter().any(|it| head.starts_with(it))
}

/// Write a file under another name beside its place and then move it there, so that a full disk or a power cut
/// leaves what was there before. `-` is stdout.
pub(super) fn write(path: &Path, bytes: &[u8], environment: &mut Environment<'_>) -> Result<(), Fault> {
    if path.as_os_str() == "-" {
        environment.out.write_all(bytes)?;
        return Ok(());
    }
    let fault =
        |error: std::io::Error| Fault::input("out", format!("{} cannot be written: {error}", path.display()));
    match std::fs::metadata(path) {
        Ok(there) if there.is_dir() => {
            return Err(Fault::input("out", format!("{} is a folder; name a file", path.display())));
        }
        // A printer or a terminal is written to, never taken away.
        Ok(there) if !there.is_file() => {
            return std::fs::File::options()
                .write(true)
                .open(path)
                .and_then(|mut file| file.write_all(bytes))
                .map_err(fault);
        }
        Ok(_) if !is_a_page(path) => {
            let message = format!(
                "{} is there already and is no page this program writes: nothing was written; name another file",
                path.display()
            );
            return Err(Fault::input("out", message));
        }
        _ => {}
    }
    let mut beside = path.as_os_str().to_owned();
    beside.push(format!(".{}.partial", std::process::id()));
    let beside = PathBuf::from(beside);
    let written = std::fs::File::create(&beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    match written.and_then(|()| std::fs::rename(&beside, path)) {
        Ok(()) => Ok(()),
        Err(error) => {
            let _ = std::fs::remove_file(&beside);
            Err(fault(error))
        }
    }
}
