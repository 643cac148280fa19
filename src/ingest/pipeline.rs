//! One stream of blocks, parsed by several threads, merged in the order of the file.
//!
//! Knows neither cells nor records. A fixed number of buffers goes around, so memory is bounded
//! however long the file and however uneven the threads.

use super::blocks::{Block, BlockFault, Blocks};
use crossbeam_channel::{Receiver, Sender, bounded};
use std::collections::BTreeMap;
use std::io::Read;
use std::num::NonZeroUsize;

const BUFFERS_OF_A_THREAD: usize = 20;

/// A block with its place in the file, and what was made of it.
struct Parsed<P> {
    index: usize,
    buffer: Vec<u8>,
    result: P,
}

/// Parses every block on `threads` threads and merges the results in order. `worker` is called once
/// on each thread and gives the parser that thread uses. Returns the source, read to its end.
pub(super) fn run<R, P, W>(
    blocks: Blocks<R>,
    threads: NonZeroUsize,
    worker: impl Fn() -> W + Sync,
    mut merge: impl FnMut(P),
) -> Result<R, BlockFault>
where
    R: Read + Send,
    P: Send,
    W: FnMut(&Block) -> P,
{
    // The merge hands records on for as long as many blocks take when they are counted; these buffers
    // keep the threads busy meanwhile, and two more the reader and the merge.
    let buffers = threads.get() * BUFFERS_OF_A_THREAD + 2;
    let (give_back, buffers_free) = bounded::<Vec<u8>>(buffers);
    let (give_job, jobs) = bounded::<(usize, Block)>(buffers);
    let (give_result, results) = bounded::<Parsed<P>>(buffers);
    for _ in 0..buffers {
        give_back
            .send(Vec::new())
            .expect("the channel has room for every buffer");
    }
    std::thread::scope(|scope| {
        let reader = scope.spawn(move || read(blocks, &buffers_free, &give_job));
        for _ in 0..threads.get() {
            let (jobs, give_result, worker) = (jobs.clone(), give_result.clone(), &worker);
            scope.spawn(move || {
                let mut parse = worker();
                for (index, block) in jobs {
                    let result = parse(&block);
                    let buffer = block.bytes;
                    let parsed = Parsed {
                        index,
                        buffer,
                        result,
                    };
                    if give_result.send(parsed).is_err() {
                        return;
                    }
                }
            });
        }
        drop((jobs, give_result));
        let mut waiting = BTreeMap::new();
        let mut next_index = 0;
        for parsed in results {
            waiting.insert(parsed.index, parsed);
            while let Some(parsed) = waiting.remove(&next_index) {
                next_index += 1;
                merge(parsed.result);
                // Once the file has ended nobody takes buffers any more.
                drop(give_back.send(parsed.buffer));
            }
        }
        drop(give_back);
        reader.join().expect("reading blocks does not panic")
    })
}

fn read<R: Read>(
    mut blocks: Blocks<R>,
    buffers: &Receiver<Vec<u8>>,
    give_job: &Sender<(usize, Block)>,
) -> Result<R, BlockFault> {
    for (index, buffer) in buffers.iter().enumerate() {
        let Some(block) = blocks.next(buffer)? else {
            break;
        };
        // The threads are gone only when one of them panicked.
        if give_job.send((index, block)).is_err() {
            break;
        }
    }
    Ok(blocks.into_source())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ingest::blocks::{Grammar, line_ends};
    use std::fmt::Write as _;

    const COMMA: Grammar = Grammar {
        separator: b',',
        quote: b'"',
    };

    #[test]
    fn results_come_in_the_order_of_the_file_whatever_the_number_of_threads() {
        let mut text = String::new();
        for number in 0..400_000 {
            writeln!(text, "{number},x").expect("a string takes everything");
        }
        for threads in [1, 2, 5] {
            let blocks = Blocks::new(text.as_bytes(), COMMA, 1);
            let mut joined = Vec::new();
            let threads = NonZeroUsize::new(threads).expect("not zero");
            let parse = || |block: &Block| block.bytes.clone();
            let rest = run(blocks, threads, parse, |part: Vec<u8>| joined.extend(part));
            assert_eq!(rest.expect("whole rows"), b"");
            assert_eq!(joined, text.as_bytes());
        }
    }

    #[test]
    fn a_fault_ends_the_run_after_what_came_before_it() {
        let text = format!("{}\"open", "a,b\n".repeat(600_000));
        let blocks = Blocks::new(text.as_bytes(), COMMA, 1);
        let mut rows = 0;
        let count =
            || |block: &Block| usize::try_from(line_ends(&block.bytes)).expect("lines of a block");
        let fault = run(blocks, NonZeroUsize::MIN, count, |part: usize| rows += part);
        assert!(matches!(
            fault,
            Err(BlockFault::UnclosedQuote {
                line_number: 600_001
            })
        ));
        assert!(rows > 0);
    }
}
