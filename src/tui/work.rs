//! Long work on a thread of its own: the keys stay live, progress is told, and it stops when nobody wants it any more.
//!
//! A screen starts [`Work`] with the [`Waker`] of its context, asks [`Work::poll`] when it settles, and drops it to
//! stop it. The worker tells how far it is through its [`Teller`], which also says whether to go on.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::SyncSender;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use super::event::Event;

/// How often progress wakes the screen at most.
const EVERY: Duration = Duration::from_millis(80);

/// Wakes the event loop from another thread; one that wakes nobody in a test without a loop.
#[derive(Clone, Debug, Default)]
pub struct Waker(Option<SyncSender<Event>>);

impl Waker {
    /// One that sends into the loop's channel.
    pub const fn new(more: SyncSender<Event>) -> Self {
        Self(Some(more))
    }

    /// Wake the loop. Where its channel is full it is awake.
    pub fn wake(&self) {
        if let Some(more) = &self.0 {
            let _ = more.try_send(Event::Woke);
        }
    }
}

struct Shared<T> {
    done: AtomicU64,
    all: AtomicU64,
    stop: AtomicBool,
    result: Mutex<Option<T>>,
}

/// The worker's side.
pub struct Teller {
    tell: Box<dyn Fn(u64, u64) -> bool + Send + Sync>,
}

impl Teller {
    /// Say that so much of so much is done; false: stop, nobody wants it any more.
    pub fn tell(&self, done: u64, all: u64) -> bool {
        (self.tell)(done, all)
    }

    /// Whether to go on, where there is nothing to tell.
    pub fn go_on(&self) -> bool {
        (self.tell)(u64::MAX, 0)
    }
}

/// How work stands.
#[derive(Debug)]
pub enum Progress<T> {
    /// Under way: so much of so much; nothing of nothing where nobody knows.
    Busy(u64, u64),
    /// Done.
    Done(T),
    /// It ended without a result: a fault of the program.
    Lost,
}

/// A piece of work under way. Dropping it stops it.
pub struct Work<T> {
    shared: Arc<Shared<T>>,
    thread: Option<JoinHandle<()>>,
}

/// Wakes when it goes, so that a worker that fell over is noticed too.
struct WakeAtEnd(Waker);

impl Drop for WakeAtEnd {
    fn drop(&mut self) {
        self.0.wake();
    }
}

impl<T: Send + 'static> Work<T> {
    /// Start it.
    pub fn start(waker: &Waker, work: impl FnOnce(&Teller) -> T + Send + 'static) -> Self {
        let shared = Arc::new(Shared {
            done: AtomicU64::new(0),
            all: AtomicU64::new(0),
            stop: AtomicBool::new(false),
            result: Mutex::new(None),
        });
        let (theirs, at_end, waker) = (Arc::clone(&shared), WakeAtEnd(waker.clone()), waker.clone());
        let told = Mutex::new(Instant::now());
        let tell = {
            let shared = Arc::clone(&shared);
            move |done: u64, all: u64| {
                if all > 0 {
                    shared.done.store(done, Ordering::Relaxed);
                    shared.all.store(all, Ordering::Relaxed);
                    let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
                    if told.elapsed() >= EVERY {
                        *told = Instant::now();
                        waker.wake();
                    }
                }
                !shared.stop.load(Ordering::Relaxed)
            }
        };
        let teller = Teller { tell: Box::new(tell) };
        let thread = std::thread::spawn(move || {
            let _at_end = at_end;
            let result = work(&teller);
            *theirs.result.lock().unwrap_or_else(PoisonError::into_inner) = Some(result);
        });
        Self { shared, thread: Some(thread) }
    }

    /// How it stands; a result is given once.
    pub fn poll(&mut self) -> Progress<T> {
        let finished = self.thread.as_ref().is_none_or(JoinHandle::is_finished);
        let result = self.shared.result.lock().unwrap_or_else(PoisonError::into_inner).take();
        match result {
            Some(result) => Progress::Done(result),
            None if finished => Progress::Lost,
            None => Progress::Busy(
                self.shared.done.load(Ordering::Relaxed),
                self.shared.all.load(Ordering::Relaxed),
            ),
        }
    }

    /// So much of so much, without asking for the result.
    pub fn poll_progress(&self) -> Option<(u64, u64)> {
        let all = self.shared.all.load(Ordering::Relaxed);
        (all > 0).then(|| (self.shared.done.load(Ordering::Relaxed), all))
    }

    /// Wait until it is done, for tests and for faces without a loop.
    pub fn wait(&mut self) {
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl<T> Drop for Work<T> {
    fn drop(&mut self) {
        self.shared.stop.store(true, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::event;

    #[test]
    fn a_result_comes_once_and_wakes_the_loop() {
        let (more, events) = event::channel();
        let mut work = Work::start(&Waker::new(more), |teller| {
            teller.tell(1, 2);
            7
        });
        assert_eq!(events.recv_timeout(Duration::from_secs(5)), Ok(Event::Woke));
        work.wait();
        assert!(matches!(work.poll(), Progress::Done(7)));
        assert!(matches!(work.poll(), Progress::Lost));
    }

    #[test]
    fn what_nobody_wants_any_more_stops_at_once() {
        let (more, events) = event::channel();
        let (begun, beginning) = std::sync::mpsc::channel();
        let work = Work::start(&Waker::new(more), move |teller| {
            let _ = begun.send(());
            while teller.go_on() {
                std::thread::sleep(Duration::from_millis(1));
            }
        });
        assert!(beginning.recv_timeout(Duration::from_secs(5)).is_ok());
        drop(work);
        // Its end wakes the loop, though nobody will ask for the result.
        assert_eq!(events.recv_timeout(Duration::from_millis(2000)), Ok(Event::Woke));
    }
}
