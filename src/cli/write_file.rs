//! Files the command line writes: whole, or not at all.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::{Environment, Fault};

/// Write a file under another name beside its place and then move it there, so that a full disk or a power cut
/// leaves what was there before. `-` is stdout.
pub(super) fn write(path: &Path, bytes: &[u8], environment: &mut Environment<'_>) -> Result<(), Fault> {
    if path.as_os_str() == "-" {
        environment.out.write_all(bytes)?;
        return Ok(());
    }
    let fault =
        |error: std::io::Error| Fault::input("out", format!("{} cannot be written: {error}", path.display()));
    if path.is_dir() {
        return Err(Fault::input("out", format!("{} is a folder; name a file", path.display())));
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
