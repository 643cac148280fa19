//! Work on independent pieces, shared out over threads. Knows nothing of the work.

use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What `work` makes of each item, in the order of the items. A thread that is done with one takes
/// the next that nobody has, so put long work first.
///
/// # Panics
/// When `work` panics.
pub fn side_by_side<T: Sync, R: Send>(
    items: &[T],
    threads: NonZeroUsize,
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    let threads = threads.get().min(items.len());
    if threads <= 1 {
        return items.iter().map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::with_capacity(items.len()));
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let place = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(place) else {
                        break;
                    };
                    let result = work(item);
                    done.lock()
                        .expect("no thread panics with the lock")
                        .push((place, result));
                }
            });
        }
    });
    let mut done = done.into_inner().expect("no thread panics with the lock");
    done.sort_unstable_by_key(|(place, _)| *place);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_of_the_items_with_any_number_of_threads() {
        let items: Vec<u64> = (0..100).collect();
        let squares: Vec<u64> = items.iter().map(|item| item * item).collect();
        for threads in [1, 2, 7, 200] {
            let threads = NonZeroUsize::new(threads).expect("not 0");
            assert_eq!(side_by_side(&items, threads, |item| item * item), squares);
            assert_eq!(side_by_side(&[], threads, |item: &u64| *item), [0; 0]);
        }
    }
}
