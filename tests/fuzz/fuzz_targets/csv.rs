//! Any bytes as an export of cases, under one of several mappings: refused, or accounted for.
//!
//! The first byte chooses the mapping, and with it the number of threads; a second export, of passes,
//! begins after a form feed.

#![no_main]

use libfuzzer_sys::fuzz_target;
use scopetally_fuzz::file_with;
use scopetally_fuzz::ingest::{Inputs, Mapping, ingest};
use std::num::NonZeroUsize;
use std::sync::LazyLock;

const CLOCK: &str = include_str!("../mappings/clock.toml");
const BY_CELLS: &str = include_str!("../mappings/by_cells.toml");
const ELAPSED: &str = include_str!("../mappings/elapsed.toml");

static MAPPINGS: LazyLock<Vec<Mapping>> = LazyLock::new(|| {
    [CLOCK, BY_CELLS, ELAPSED]
        .map(|text| Mapping::read(&file_with("mapping.toml", text.as_bytes())).expect("a mapping"))
        .into()
});

fuzz_target!(|bytes: &[u8]| {
    let Some((choice, bytes)) = bytes.split_first() else {
        return;
    };
    let choice = usize::from(*choice);
    let mut exports = bytes.splitn(2, |byte| *byte == b'\x0c');
    let mut next = |name: &str| exports.next().map(|bytes| file_with(name, bytes)).into_iter().collect::<Vec<_>>();
    let (cases, passes) = (next("cases.csv"), next("passes.csv"));
    let inputs = Inputs {
        cases: &cases,
        passes: &passes,
        from: None,
        to: None,
        most_cases: usize::MAX,
        columns: None,
        lists_issues: true,
        wants_hashes: true,
        threads: NonZeroUsize::new(1 + choice % 2).expect("not zero"),
        progress: &|_| {},
    };
    let Ok(read) = ingest(&inputs, &MAPPINGS[choice % MAPPINGS.len()]) else {
        return;
    };
    for rows in [Some(read.cases_accounting), read.passes_accounting].into_iter().flatten() {
        assert_eq!(rows.read, rows.accepted + rows.set_aside + rows.duplicates);
    }
    let records: usize = read.cases.iter().map(|batch| batch.num_rows()).sum();
    assert_eq!(records as u64, read.cases_accounting.accepted);
    assert_eq!(read.issues.list().len() as u64, read.issues.count());
});
