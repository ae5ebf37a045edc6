//! Bytes from wherever the caller keeps them, and workers to go through them.

use std::sync::Mutex;

use super::error::TraceError;

/// Where the bytes of a trace come from. Bytes in memory are one; a caller with a file may hand out ranges
/// of it instead, so that a large file is never held in memory whole.
pub trait Source: Sync {
    /// How many bytes there are.
    fn size(&self) -> usize;

    /// The bytes from `from` to `to`, borrowed or put into `buffer`.
    fn bytes<'a>(&'a self, from: usize, to: usize, buffer: &'a mut Vec<u8>) -> Result<&'a [u8], TraceError>;
}

impl Source for [u8] {
    fn size(&self) -> usize {
        self.len()
    }

    fn bytes<'a>(&'a self, from: usize, to: usize, _: &'a mut Vec<u8>) -> Result<&'a [u8], TraceError> {
        Ok(&self[from.min(self.len())..to.clamp(from.min(self.len()), self.len())])
    }
}

impl Source for &[u8] {
    fn size(&self) -> usize {
        self.len()
    }

    fn bytes<'a>(&'a self, from: usize, to: usize, buffer: &'a mut Vec<u8>) -> Result<&'a [u8], TraceError> {
        <[u8] as Source>::bytes(self, from, to, buffer)
    }
}

/// Called with the bytes read and the bytes there are; false stops the reading.
pub type Progress<'a> = dyn Fn(u64, u64) -> bool + Sync + 'a;

/// Runs `work` over the tasks on so many threads; results come back in the order of the tasks, so that they
/// never depend on the number of threads. The first error in that order is the one given.
pub fn in_parallel<T: Send, R: Send, S: Default>(
    threads: usize,
    tasks: Vec<T>,
    work: impl Fn(T, &mut S) -> Result<R, TraceError> + Sync,
) -> Result<Vec<R>, TraceError> {
    let threads = threads.clamp(1, tasks.len().max(1));
    if threads == 1 {
        let mut scratch = S::default();
        return tasks.into_iter().map(|task| work(task, &mut scratch)).collect();
    }
    let queue = Mutex::new(tasks.into_iter().enumerate());
    let mut results: Vec<(usize, Result<R, TraceError>)> = std::thread::scope(|scope| {
        let worker = || {
            let mut scratch = S::default();
            let mut mine = Vec::new();
            loop {
                let next = queue.lock().ok().and_then(|mut queue| queue.next());
                let Some((place, task)) = next else { break };
                let result = work(task, &mut scratch);
                let failed = result.is_err();
                mine.push((place, result));
                if failed {
                    // Tasks are handed out in order: whatever is earlier is already in somebody's hands.
                    if let Ok(mut queue) = queue.lock() {
                        queue.by_ref().for_each(drop);
                    }
                    break;
                }
            }
            mine
        };
        let helpers: Vec<_> = (1..threads).map(|_| scope.spawn(worker)).collect();
        let mut all = worker();
        for helper in helpers {
            match helper.join() {
                Ok(mine) => all.extend(mine),
                Err(fault) => std::panic::resume_unwind(fault),
            }
        }
        all
    });
    results.sort_by_key(|(place, _)| *place);
    results.into_iter().map(|(_, result)| result).collect()
}

/// As many threads as the machine runs at once.
pub fn all_threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}
