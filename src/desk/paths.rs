//! Paths as people type them: `~`, what completes them, and why one cannot be read.

use std::io::{Error, ErrorKind};
use std::path::{Path, PathBuf};

/// A folder of more names than this is not listed to its end.
const LISTED: usize = 20_000;
/// Names of a folder that are told with an error.
const TOLD: usize = 5;

/// A path with `~` as the shell would have it.
pub fn home(path: &str) -> PathBuf {
    match (path.strip_prefix("~/"), std::env::home_dir()) {
        (Some(rest), Some(home)) => home.join(rest),
        _ => Path::new(path).to_owned(),
    }
}

/// What a path that is half typed could become.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Completion {
    /// The path as far as there is no choice; the one typed where nothing can be added.
    pub path: String,
    /// The files and folders that begin so, by name; folders end in a slash.
    pub names: Vec<String>,
}

/// Complete a path: the files and folders that begin as its last part does. Hidden ones only where a dot is typed.
pub fn complete(typed: &str) -> Completion {
    let (folder, begun) =
        typed.rsplit_once('/').map_or(("", typed), |(_, last)| (&typed[..typed.len() - last.len()], last));
    let at = if folder.is_empty() { PathBuf::from(".") } else { home(folder) };
    let mut names: Vec<String> = names_in(&at)
        .into_iter()
        .filter(|name| name.starts_with(begun) && (begun.starts_with('.') || !name.starts_with('.')))
        .collect();
    names.sort();
    let mut shared = names.first().cloned().unwrap_or_default();
    for name in &names {
        let same = shared.char_indices().zip(name.chars()).find(|((_, a), b)| a != b).map(|((at, _), _)| at);
        shared.truncate(same.unwrap_or(shared.len().min(name.len())));
    }
    let path = if shared.len() > begun.len() { format!("{folder}{shared}") } else { typed.to_owned() };
    Completion { path, names }
}

/// The names in a folder that can be typed and shown; folders end in a slash.
fn names_in(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    entries
        .take(LISTED)
        .flatten()
        .filter_map(|entry| {
            let mut name = entry.file_name().into_string().ok()?;
            if name.chars().any(char::is_control) {
                return None;
            }
            if entry.path().is_dir() {
                name.push('/');
            }
            Some(name)
        })
        .collect()
}

/// Why a file cannot be read, and what to do about it.
pub fn unreadable(path: &Path, error: &Error) -> String {
    let shown = path.display();
    let folder = match path.parent() {
        Some(parent) if parent.as_os_str().is_empty() => Path::new("."),
        Some(parent) => parent,
        None => Path::new("."),
    };
    let why = match error.kind() {
        _ if path.is_dir() => "it is a folder; name a file in it".to_owned(),
        ErrorKind::NotFound if !folder.is_dir() => {
            let missing = folder.ancestors().take_while(|it| !it.exists()).last().unwrap_or(folder);
            format!("there is no folder {}; look at the spelling of the path", missing.display())
        }
        ErrorKind::NotFound => {
            let mut names: Vec<String> = names_in(folder)
                .into_iter()
                .filter(|it| !it.starts_with('.') && !it.ends_with('/'))
                .collect();
            names.sort();
            let more = if names.len() > TOLD { " and more" } else { "" };
            names.truncate(TOLD);
            let holds = if names.is_empty() { "no file".to_owned() } else { names.join(", ") + more };
            format!(
                "there is no file of that name in {}, which holds {holds}; look at the spelling of its name",
                if folder == Path::new(".") {
                    "this folder".to_owned()
                } else {
                    folder.display().to_string()
                }
            )
        }
        ErrorKind::PermissionDenied => {
            "you may not read it; ask its owner, or copy it to where you may".to_owned()
        }
        _ => {
            format!("{error}; if it is on a card or a stick, put it in again, or copy it to your disk first")
        }
    };
    format!("{shown} cannot be read: {why}")
}
