//! Work beside the screen: a text goes in, a result comes out; what was superseded meanwhile is dropped.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::thread;

/// What lies on the desk: nothing, work with its number, or the word that no more comes.
enum Desk<I> {
    Empty,
    Work(u64, I),
    Closed,
}

/// One thread that does one kind of work, always the newest.
pub(super) struct Worker<I, O> {
    desk: Arc<(Mutex<Desk<I>>, Condvar)>,
    results: Receiver<(u64, O)>,
    asked: u64,
    answered: u64,
}

impl<I: Send + 'static, O: Send + 'static> Worker<I, O> {
    /// Starts the thread.
    pub(super) fn new(work: impl Fn(I) -> O + Send + 'static) -> Self {
        let desk = Arc::new((Mutex::new(Desk::Empty), Condvar::new()));
        let (send, results) = channel();
        let own = Arc::clone(&desk);
        thread::spawn(move || serve(&own, &send, &work));
        Self { desk, results, asked: 0, answered: 0 }
    }

    /// Lays work on the desk; what lay there is never begun, and what is being done is not listened to.
    pub(super) fn ask(&mut self, input: I) {
        self.asked += 1;
        self.put(Desk::Work(self.asked, input));
    }

    /// Forgets what was asked last.
    pub(super) fn forget(&mut self) {
        self.asked += 1;
        self.answered = self.asked;
        self.put(Desk::Empty);
    }

    /// The result of what was asked last, once.
    pub(super) fn take(&mut self) -> Option<O> {
        let newest = self.results.try_iter().last()?;
        if newest.0 != self.asked {
            return None;
        }
        self.answered = newest.0;
        Some(newest.1)
    }

    /// True while the last result is still to come.
    pub(super) const fn is_busy(&self) -> bool {
        self.answered != self.asked
    }

    fn put(&self, work: Desk<I>) {
        let (lock, bell) = &*self.desk;
        *lock.lock().unwrap_or_else(PoisonError::into_inner) = work;
        bell.notify_one();
    }
}

impl<I, O> Drop for Worker<I, O> {
    fn drop(&mut self) {
        let (lock, bell) = &*self.desk;
        *lock.lock().unwrap_or_else(PoisonError::into_inner) = Desk::Closed;
        bell.notify_one();
    }
}

fn serve<I, O>((lock, bell): &(Mutex<Desk<I>>, Condvar), results: &Sender<(u64, O)>, work: &impl Fn(I) -> O) {
    loop {
        let mut lies = lock.lock().unwrap_or_else(PoisonError::into_inner);
        let (number, input) = loop {
            match std::mem::replace(&mut *lies, Desk::Empty) {
                Desk::Work(number, input) => break (number, input),
                Desk::Closed => return,
                Desk::Empty => lies = bell.wait(lies).unwrap_or_else(PoisonError::into_inner),
            }
        };
        drop(lies);
        if results.send((number, work(input))).is_err() {
            return;
        }
    }
}
