//! A worker that holds rounds of one walk against the suspects, and keeps what it worked out between them.
//! What it is asked last counts; what was asked before and not yet begun is dropped.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

use super::{Observed, Suspicion, Whereabouts};

/// Somebody to ask for suspects and the suggestion while the screen goes on. It ends when it is dropped.
#[derive(Debug)]
pub struct Suggester {
    to: Sender<Observed>,
    from: Receiver<(u64, Option<Whereabouts>)>,
    asked: u64,
}

impl Default for Suggester {
    fn default() -> Self {
        Self::new()
    }
}

impl Suggester {
    /// Starts the worker.
    #[must_use]
    pub fn new() -> Self {
        let (to, requests) = channel();
        let (answers, from) = channel();
        thread::spawn(move || serve(&requests, &answers));
        Self { to, from, asked: 0 }
    }

    /// Asks; an answer to an earlier question is no longer wanted.
    pub fn ask(&mut self, observed: Observed) {
        self.asked += 1;
        // A worker that is gone answers nothing, and there is no suggestion then.
        let _ = self.to.send(observed);
    }

    /// The answer to the last question, if it is there by now.
    pub fn answer(&mut self) -> Option<Option<Whereabouts>> {
        while let Ok((number, whereabouts)) = self.from.try_recv() {
            if number == self.asked {
                return Some(whereabouts);
            }
        }
        None
    }

    /// Waits for the answer to the last question.
    pub fn wait(&mut self) -> Option<Whereabouts> {
        while let Ok((number, whereabouts)) = self.from.recv() {
            if number == self.asked {
                return whereabouts;
            }
        }
        None
    }
}

fn serve(requests: &Receiver<Observed>, answers: &Sender<(u64, Option<Whereabouts>)>) {
    let mut number = 0;
    let mut next = requests.recv().ok().map(|asked| latest(asked, requests, &mut number));
    while let Some(first) = next.take() {
        let day = first.day();
        let suspicion = Suspicion::new(&first.course, day.as_ref(), first.meter);
        let mut asked = first.clone();
        loop {
            if answers.send((number, suspicion.whereabouts(&asked))).is_err() {
                return;
            }
            let Ok(more) = requests.recv() else { return };
            asked = latest(more, requests, &mut number);
            let same_tree = std::sync::Arc::ptr_eq(&asked.course, &first.course);
            if !same_tree || !asked.same_day(first.today, first.meter) {
                next = Some(asked);
                break;
            }
        }
    }
}

/// The last of what has been asked by now, with its number.
fn latest(mut asked: Observed, requests: &Receiver<Observed>, number: &mut u64) -> Observed {
    *number += 1;
    while let Ok(more) = requests.try_recv() {
        *number += 1;
        asked = more;
    }
    asked
}
