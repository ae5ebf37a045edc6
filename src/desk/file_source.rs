//! A file read in pieces at their places, so that a long trace is never held whole.

use std::fs::File;
use std::path::Path;

use crate::trace::{Source, TraceError};

/// A trace file on disk.
pub struct FileSource {
    file: File,
    size: usize,
    /// Where a file has only one place to read at, the threads take turns.
    #[cfg(not(unix))]
    turn: std::sync::Mutex<()>,
}

impl FileSource {
    /// Open a file for reading in pieces.
    ///
    /// # Errors
    /// It is not there, is no file, or may not be read.
    pub fn open(path: &Path) -> std::io::Result<Self> {
        let file = crate::store::regular::open(path)?;
        let size = usize::try_from(file.metadata()?.len()).map_err(std::io::Error::other)?;
        Ok(Self {
            file,
            size,
            #[cfg(not(unix))]
            turn: std::sync::Mutex::new(()),
        })
    }

    #[cfg(unix)]
    fn read_at(&self, from: usize, piece: &mut [u8]) -> std::io::Result<()> {
        std::os::unix::fs::FileExt::read_exact_at(&self.file, piece, from as u64)
    }

    #[cfg(not(unix))]
    fn read_at(&self, from: usize, piece: &mut [u8]) -> std::io::Result<()> {
        use std::io::{Read, Seek, SeekFrom};
        let _turn = self.turn.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let mut file = self.file.try_clone()?;
        file.seek(SeekFrom::Start(from as u64))?;
        file.read_exact(piece)
    }
}

impl Source for FileSource {
    fn size(&self) -> usize {
        self.size
    }

    fn bytes<'a>(&'a self, from: usize, to: usize, buffer: &'a mut Vec<u8>) -> Result<&'a [u8], TraceError> {
        let to = to.min(self.size);
        let length = to.saturating_sub(from);
        if buffer.len() < length {
            buffer.resize(length, 0);
        }
        let piece = &mut buffer[..length];
        self.read_at(from, piece)
            .map_err(|error| TraceError::BadOption(format!("it cannot be read: {error}")))?;
        Ok(piece)
    }
}
