//! Another program writes into the open book: the screen hears of it from the file system and looks again. Nothing
//! polls, so an idle screen stays idle.

use std::ffi::OsString;
use std::path::Path;
use std::sync::mpsc::SyncSender;

use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher};

use super::Event;

/// Watch the folder of a book. `None` where the file system cannot tell: the book is then looked at again with every
/// key, as it is anyway.
pub fn book(path: &Path, more: SyncSender<Event>) -> Option<RecommendedWatcher> {
    let path = std::path::absolute(path).ok()?;
    let folder = path.parent()?.to_path_buf();
    let name = path.file_name()?.to_os_string();
    // A commit is done when its journal is gone.
    let mut journal: OsString = name.clone();
    journal.push("-journal");
    let mut watcher = notify::recommended_watcher(move |happened: notify::Result<notify::Event>| {
        let Ok(happened) = happened else { return };
        if matches!(happened.kind, EventKind::Access(_)) {
            return;
        }
        let ours = |path: &std::path::PathBuf| {
            path.file_name().is_some_and(|it| it == name.as_os_str() || it == journal.as_os_str())
        };
        if happened.paths.iter().any(ours) {
            // A full channel means that a look is due anyway.
            let _ = more.try_send(Event::Written);
        }
    })
    .ok()?;
    watcher.watch(&folder, RecursiveMode::NonRecursive).ok()?;
    Some(watcher)
}
