//! A long text in the person's own editor, and back.

use std::io::Write;
use std::process::Command;

/// Why a text did not come back from the editor.
#[derive(Debug, thiserror::Error)]
pub enum EditorError {
    /// Nobody said which editor.
    #[error("no editor is named: set EDITOR, for example EDITOR=nano")]
    Unnamed,
    /// It could not be run, or its file not read.
    #[error("the editor {0} cannot be used: {1}. What was typed is unchanged")]
    Failed(String, std::io::Error),
    /// It ended with a failure.
    #[error("the editor {0} ended with a failure. What was typed is unchanged")]
    Refused(String),
}

/// Let a person edit a text in `VISUAL`, else `EDITOR`. The file is the person's alone and is gone afterwards.
///
/// # Errors
/// No editor, one that cannot be run, or one that ended with a failure.
pub fn edit(words: &str) -> Result<String, EditorError> {
    let named = |name: &str| std::env::var(name).ok().filter(|value| !value.trim().is_empty());
    let editor = named("VISUAL").or_else(|| named("EDITOR")).ok_or(EditorError::Unnamed)?;
    let failed = |error| EditorError::Failed(editor.clone(), error);
    let mut file = tempfile::Builder::new().prefix("proofmark-").suffix(".txt").tempfile().map_err(failed)?;
    file.write_all(words.as_bytes()).and_then(|()| file.flush()).map_err(failed)?;
    // As shells do: the setting may hold arguments of the editor's own.
    let status = Command::new("sh")
        .arg("-c")
        .arg(format!("{editor} \"$1\""))
        .arg("sh")
        .arg(file.path())
        .status()
        .map_err(failed)?;
    if !status.success() {
        return Err(EditorError::Refused(editor));
    }
    let bytes = std::fs::read(file.path()).map_err(failed)?;
    Ok(String::from_utf8_lossy(&bytes).trim_end_matches(['\n', '\r']).to_owned())
}
