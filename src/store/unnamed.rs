//! A file that gets its name only when it is whole, and what a killed program left of one.
//!
//! Beside `copy.db.part-PID-N` stands `copy.db.part-PID-N.lock`, which its maker keeps locked as long as it lives. A
//! half-made copy whose lock nobody holds is nobody's any more: the next one that is begun in the folder removes it.
//! The lock is a file of its own because SQLite has locks of its own on the copy, which on a network drive would meet.

use std::fs::{File, TryLockError};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use super::StoreError;
use super::head::journal_of;

/// What a lock file says, so that a file that only has such a name is never taken for one.
const SAYS: &str =
    "proofmark is making the copy beside this file. Where nobody holds this lock, both may be deleted.\n";

/// The path with more behind its name.
pub(super) fn beside(path: &Path, more: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(more);
    PathBuf::from(name)
}

/// The folder a path is in.
pub(super) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A file that is removed again unless it got its name.
pub(super) struct Unnamed {
    pub(super) path: PathBuf,
    named: bool,
    _lock: Lock,
}

/// The lock on a half-made copy; removed with this value.
struct Lock {
    path: PathBuf,
    _held: File,
}

impl Drop for Lock {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.path);
    }
}

impl Lock {
    /// Hold a new lock file; `None` where one is there already or somebody was quicker.
    fn hold(path: PathBuf) -> std::io::Result<Option<Self>> {
        let mut file = match File::options().read(true).write(true).create_new(true).open(&path) {
            Ok(file) => file,
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => return Ok(None),
            Err(error) => return Err(error),
        };
        // Without the words it is no lock to anybody, so that a drive without locks has copies nobody removes.
        let locked = match file.try_lock() {
            Ok(()) => true,
            Err(TryLockError::WouldBlock) => {
                // Somebody who clears up looks at it. It says nothing yet, so they leave it.
                let _ = std::fs::remove_file(&path);
                return Ok(None);
            }
            Err(TryLockError::Error(_)) => false,
        };
        let lock = Self { path, _held: file.try_clone()? };
        if locked {
            file.write_all(SAYS.as_bytes())?;
            // Somebody who cleared up between the making and the locking took the name away.
            if !still_named(&file, &lock.path) {
                return Ok(None);
            }
        }
        Ok(Some(lock))
    }
}

#[cfg(unix)]
fn still_named(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), std::fs::metadata(path)) {
        (Ok(held), Ok(named)) => (held.dev(), held.ino()) == (named.dev(), named.ino()),
        _ => false,
    }
}

/// A file somebody has open cannot be removed there.
#[cfg(not(unix))]
fn still_named(_: &File, path: &Path) -> bool {
    path.exists()
}

impl Unnamed {
    /// A new file beside the target that no other program has. What killed programs left in that folder is removed.
    pub(super) fn beside(target: &Path) -> Result<Self, StoreError> {
        clear(folder_of(target));
        for number in 0..1_000 {
            let path = beside(target, &format!(".part-{}-{number}", std::process::id()));
            let lock =
                Lock::hold(beside(&path, ".lock")).map_err(|source| StoreError::of_file(&path, source))?;
            let Some(lock) = lock else { continue };
            match File::options().write(true).create_new(true).open(&path) {
                Ok(_) => return Ok(Self { path, named: false, _lock: lock }),
                Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
                Err(source) => return Err(StoreError::of_file(&path, source)),
            }
        }
        Err(StoreError::Exists(beside(target, ".part")))
    }

    /// Sync it and give it its name; what is there already is only replaced where that was said. A journal of another
    /// book that lay beside that name is set aside first: where it is kept comes back.
    pub(super) fn name(mut self, target: &Path, replace: bool) -> Result<Option<PathBuf>, StoreError> {
        let io = |source| StoreError::of_file(target, source);
        File::open(&self.path).and_then(|file| file.sync_all()).map_err(io)?;
        let left = set_aside(target)?;
        if replace {
            std::fs::rename(&self.path, target).map_err(io)?;
        } else {
            // A second name fails where one is there already, whoever made it in the meantime.
            match std::fs::hard_link(&self.path, target) {
                Ok(()) => std::fs::remove_file(&self.path).map_err(io)?,
                Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
                    return Err(StoreError::Exists(target.to_path_buf()));
                }
                // A file system without second names.
                Err(_) if !target.exists() => std::fs::rename(&self.path, target).map_err(io)?,
                Err(_) => return Err(StoreError::Exists(target.to_path_buf())),
            }
        }
        self.named = true;
        sync_folder(target).map_err(io)?;
        Ok(left)
    }
}

/// What a writer that was cut off left of another book of that name would be rolled into the new one. It is kept under
/// another name: it belongs to the book that stood there, wherever that is now.
fn set_aside(target: &Path) -> Result<Option<PathBuf>, StoreError> {
    let mut journal = None;
    for ending in ["-journal", "-wal", "-shm"] {
        let left = beside(target, ending);
        if std::fs::symlink_metadata(&left).is_err() {
            continue;
        }
        let kept = (1..1_000)
            .map(|number| beside(&left, &format!(".left-{number}")))
            .find(|kept| std::fs::symlink_metadata(kept).is_err())
            .ok_or_else(|| StoreError::Exists(beside(&left, ".left")))?;
        std::fs::rename(&left, &kept).map_err(|source| StoreError::of_file(&left, source))?;
        if ending == "-journal" {
            journal = Some(kept);
        }
    }
    Ok(journal)
}

impl Drop for Unnamed {
    fn drop(&mut self) {
        if !self.named {
            let _ = std::fs::remove_file(journal_of(&self.path));
            let _ = std::fs::remove_file(&self.path);
        }
    }
}

/// Sync the folder of a file, so that its name survives a power cut. Where folders cannot be opened, as on some
/// systems, the system keeps names by itself.
fn sync_folder(path: &Path) -> std::io::Result<()> {
    match File::open(folder_of(path)) {
        Ok(folder) => folder.sync_all(),
        Err(_) => Ok(()),
    }
}

/// Whose a half-made copy is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Maker {
    /// A program that is making it now.
    Alive,
    /// One that was killed.
    Gone,
    /// Nobody can tell: it has no lock, or its drive has none.
    Unknown,
}

/// Whether a name is that of a half-made copy.
pub(super) fn is_half_made(name: &str) -> bool {
    let number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    name.rsplit_once(".part-")
        .and_then(|(_, rest)| rest.split_once('-'))
        .is_some_and(|(process, count)| number(process) && number(count))
}

/// Whose the half-made copy at a path is.
pub(super) fn maker_of(part: &Path) -> Maker {
    match lock_of(part) {
        Some((_, true)) => Maker::Gone,
        Some((_, false)) => Maker::Alive,
        None => Maker::Unknown,
    }
}

/// The lock file of a half-made copy, and whether it was free: then it is held with the value.
fn lock_of(part: &Path) -> Option<(File, bool)> {
    let mut file = File::options().read(true).write(true).open(beside(part, ".lock")).ok()?;
    match file.try_lock() {
        Ok(()) => {
            let mut says = String::new();
            (&mut file).take(1_000).read_to_string(&mut says).ok()?;
            (says == SAYS).then_some((file, true))
        }
        Err(TryLockError::WouldBlock) => Some((file, false)),
        Err(TryLockError::Error(_)) => None,
    }
}

/// Remove the half-made copies in a folder whose makers are gone, with what belongs to them.
fn clear(folder: &Path) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    let names: Vec<_> = entries.flatten().filter_map(|entry| entry.file_name().into_string().ok()).collect();
    for name in names.iter().filter_map(|name| name.strip_suffix(".lock")).filter(|it| is_half_made(it)) {
        let part = folder.join(name);
        // Held until the lock file itself is gone, so that nobody else clears the same one.
        let Some((_held, true)) = lock_of(&part) else { continue };
        let mut removed = vec![part.clone(), journal_of(&part)];
        let kept = format!("{name}.schema-");
        removed.extend(
            names
                .iter()
                .filter(|it| it.starts_with(&kept) && it.ends_with(".copy"))
                .map(|it| folder.join(it)),
        );
        for file in &removed {
            let _ = std::fs::remove_file(file);
        }
        if removed.iter().all(|file| !file.exists()) {
            let _ = std::fs::remove_file(beside(&part, ".lock"));
            tracing::info!(part = %part.display(), "removed what a killed program left half-made");
        }
    }
}
