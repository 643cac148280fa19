//! Accepted cases that look like another one under another number: perhaps one case that was entered
//! twice.
//!
//! Knows hashes of what cases look like, never the values; 16 bytes for each case.

use crate::domain::issue::{Position, Source};
use std::num::NonZeroUsize;

/// Cases by what they look like, in parts that are searched side by side.
pub(super) struct Alike {
    parts: Vec<Vec<Case>>,
}

/// A likeness, and where the case stands.
type Case = (u64, u64);

const PARTS: usize = 64;

/// Bits of a place that hold the line.
const LINE_BITS: u32 = 48;

impl Alike {
    pub(super) fn new() -> Alike {
        Alike {
            parts: vec![Vec::new(); PARTS],
        }
    }

    /// Adds a case.
    pub(super) fn add(&mut self, likeness: u64, at: Position) {
        let part = usize::try_from(likeness >> 58).expect("six bits");
        let place = (at.file_index as u64) << LINE_BITS | at.line_number;
        self.parts[part].push((likeness, place));
    }

    /// Every case that looks like an earlier one, in the order of files and lines.
    pub(super) fn repeats(mut self, threads: NonZeroUsize) -> Vec<Position> {
        let share = PARTS.div_ceil(threads.get());
        let mut places: Vec<u64> = std::thread::scope(|scope| {
            let shares: Vec<_> = self
                .parts
                .chunks_mut(share)
                .map(|parts| {
                    scope.spawn(|| {
                        parts
                            .iter_mut()
                            .flat_map(|part| repeats(part))
                            .collect::<Vec<_>>()
                    })
                })
                .collect();
            let found = shares.into_iter().map(std::thread::ScopedJoinHandle::join);
            found
                .flat_map(|places| places.expect("sorting does not panic"))
                .collect()
        });
        places.sort_unstable();
        places.into_iter().map(position).collect()
    }
}

fn repeats(cases: &mut [Case]) -> Vec<u64> {
    cases.sort_unstable();
    let pairs = cases.windows(2).filter(|pair| pair[0].0 == pair[1].0);
    pairs.map(|pair| pair[1].1).collect()
}

fn position(place: u64) -> Position {
    Position {
        source: Source::Cases,
        file_index: usize::try_from(place >> LINE_BITS).expect("sixteen bits"),
        line_number: place & ((1 << LINE_BITS) - 1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_but_the_first_of_each_likeness_are_found_in_the_order_of_the_files() {
        let at = |file_index, line_number| Position {
            source: Source::Cases,
            file_index,
            line_number,
        };
        for threads in [1, 2, 7, 100] {
            let mut alike = Alike::new();
            let high = u64::MAX - 3;
            for (likeness, file, line) in [
                (high, 0, 900),
                (5, 0, 2),
                (6, 0, 3),
                (5, 1, 2),
                (high, 0, 7),
                (5, 0, 4),
                (7, 1, 9),
            ] {
                alike.add(likeness, at(file, line));
            }
            let threads = NonZeroUsize::new(threads).expect("not zero");
            let found = alike.repeats(threads);
            assert_eq!(found, [at(0, 4), at(0, 900), at(1, 2)]);
        }
    }
}
