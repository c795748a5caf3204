//! Work that is the same for each of many, done on as many threads as there are cores.

use std::sync::atomic::{AtomicUsize, Ordering};

/// What `work` makes of each item, in the order of the items; a panic in one of them is a panic here.
pub(crate) fn of_each<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let threads = std::thread::available_parallelism().map_or(1, usize::from).min(items.len());
    let taken = || {
        let mut made = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return made };
            made.push((at, work(item)));
        }
    };
    let mut made: Vec<(usize, R)> = std::thread::scope(|scope| {
        let running: Vec<_> = (0..threads).map(|_| scope.spawn(taken)).collect();
        let joined = running.into_iter().map(std::thread::ScopedJoinHandle::join);
        joined.flat_map(|part| part.unwrap_or_else(|panic| std::panic::resume_unwind(panic))).collect()
    });
    made.sort_by_key(|(at, _)| *at);
    made.into_iter().map(|(_, one)| one).collect()
}

#[test]
fn what_is_made_stands_in_the_order_of_the_items() {
    let items: Vec<usize> = (0..1000).collect();
    assert_eq!(of_each(&items, |n| n * n), items.iter().map(|n| n * n).collect::<Vec<_>>());
    assert!(of_each(&[] as &[usize], |n| *n).is_empty());
}

#[test]
#[should_panic(expected = "seven")]
fn a_panic_in_one_is_a_panic_here() {
    of_each(&[1, 7, 3], |n| assert!(*n != 7, "seven"));
}
