//! Any bytes and any mapping: ingest ends with an answer or an error, never with a panic; its account
//! of the rows balances; and the number of threads changes nothing.

use crate::bad_input::{GOOD, HEADER, MAPPING};
use crate::run::inputs;
use proptest::prelude::*;
use proptest::sample::Index;
use scopetally::ingest::{IngestError, Ingested, Inputs, Mapping, ingest};
use std::fmt::Write as _;
use std::num::NonZeroUsize;
use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};
use tempfile::TempDir;

/// A directory with a mapping that leaves as much open as a mapping can.
struct Place {
    directory: TempDir,
    mapping: Mapping,
}

impl Place {
    fn new(mapping: &str) -> Place {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("mapping.toml");
        std::fs::write(&path, mapping).unwrap();
        Place {
            mapping: Mapping::read(&path).unwrap(),
            directory,
        }
    }

    /// Reads these bytes as cases, and as passes too where the mapping has them.
    fn read(
        &self,
        cases: &[u8],
        passes: Option<&[u8]>,
        threads: usize,
    ) -> Result<Ingested, IngestError> {
        let write = |name: &str, bytes: &[u8]| -> PathBuf {
            let path = self.directory.path().join(name);
            std::fs::write(&path, bytes).unwrap();
            path
        };
        let cases = [write("cases.csv", cases)];
        let passes: Vec<_> = passes
            .map(|bytes| write("passes.csv", bytes))
            .into_iter()
            .collect();
        let inputs = Inputs {
            lists_issues: true,
            wants_hashes: true,
            threads: NonZeroUsize::new(threads).unwrap(),
            ..inputs(&cases, &passes)
        };
        ingest(&inputs, &self.mapping)
    }
}

/// The mapping of the other tests, without the form of times and with devices in cells.
fn open_mapping() -> String {
    MAPPING.replace(
        "time_format = \"%Y-%m-%d %H:%M\"\n",
        "short_rows = \"blank\"\n",
    )
}

fn with_devices() -> String {
    open_mapping().replace(
        "[cases.codes.presentation]",
        "record_version = \"Version\"\n[cases.devices]\ncolumns = [\"Devices\"]\n[cases.codes.presentation]",
    )
}

/// What must hold of everything that was read.
fn check(read: &Result<Ingested, IngestError>) {
    let Ok(read) = read else { return };
    let accounts = [Some(read.cases_accounting), read.passes_accounting];
    for rows in accounts.into_iter().flatten() {
        assert_eq!(rows.read, rows.accepted + rows.set_aside + rows.duplicates);
    }
    let records = |batches: &[arrow::array::RecordBatch]| -> u64 {
        batches.iter().map(|batch| batch.num_rows() as u64).sum()
    };
    assert_eq!(records(&read.cases), read.cases_accounting.accepted);
    let passes = read.passes_accounting.map_or(0, |rows| rows.accepted);
    assert_eq!(
        records(&read.passes),
        passes + read.passes_inside_cases.unwrap_or(0)
    );
    assert_eq!(read.issues.list().len() as u64, read.issues.count());
}

/// A small export that is whole.
fn valid() -> Vec<u8> {
    let mut text = HEADER.replace('\n', ",Version,Devices\n");
    for number in 1..30 {
        let row = GOOD
            .replace("K1", &format!("K{number}"))
            .replace("03-01 1", &format!("03-{number:02} 2"))
            .replace('\n', ",1,\"net x2, then snare\"\n");
        text += &row;
    }
    text.into_bytes()
}

/// One way to damage a file.
#[derive(Clone, Debug)]
enum Damage {
    Byte(Index, u8),
    Insert(Index, Vec<u8>),
    Cut(Index, Index),
    Repeat(Index, Index),
    SwapRows(Index, Index),
}

fn damage() -> impl Strategy<Value = Damage> {
    let signs = prop::sample::select(b"\"',;\t|\r\n\0\xff\xfe =@#-+/:0129Tx".to_vec());
    let byte = prop_oneof![signs.clone(), any::<u8>()];
    let place = any::<Index>;
    prop_oneof![
        (place(), byte).prop_map(|(at, byte)| Damage::Byte(at, byte)),
        (place(), prop::collection::vec(signs, 0..6))
            .prop_map(|(at, bytes)| Damage::Insert(at, bytes)),
        (place(), place()).prop_map(|(from, to)| Damage::Cut(from, to)),
        (place(), place()).prop_map(|(from, to)| Damage::Repeat(from, to)),
        (place(), place()).prop_map(|(one, other)| Damage::SwapRows(one, other)),
    ]
}

impl Damage {
    fn apply(&self, bytes: &mut Vec<u8>) {
        if bytes.is_empty() {
            return;
        }
        let part = |from: &Index, to: &Index, length: usize| {
            let (from, to) = (from.index(length), to.index(length));
            // Mostly a short part, or nothing would be left after some of them.
            from.min(to)..from.max(to).min(from.min(to) + 300)
        };
        match self {
            Damage::Byte(at, byte) => {
                let at = at.index(bytes.len());
                bytes[at] = *byte;
            }
            Damage::Insert(at, new) => {
                let at = at.index(bytes.len());
                bytes.splice(at..at, new.iter().copied());
            }
            Damage::Cut(from, to) => drop(bytes.drain(part(from, to, bytes.len()))),
            Damage::Repeat(from, to) => {
                let again = bytes[part(from, to, bytes.len())].to_vec();
                let at = to.index(bytes.len());
                bytes.splice(at..at, again);
            }
            Damage::SwapRows(one, other) => {
                let mut rows: Vec<Vec<u8>> = bytes
                    .split(|byte| *byte == b'\n')
                    .map(<[u8]>::to_vec)
                    .collect();
                let length = rows.len();
                rows.swap(one.index(length), other.index(length));
                *bytes = rows.join(&b'\n');
            }
        }
    }
}

fn cases(count: u32) -> ProptestConfig {
    ProptestConfig {
        cases: count,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

#[test]
fn no_bytes_below_a_header_make_ingest_panic() {
    let places = [Place::new(&open_mapping()), Place::new(&with_devices())];
    let part = prop_oneof![
        prop::collection::vec(any::<u8>(), 0..200),
        prop::collection::vec(
            prop::sample::select(b"\"\",,;\r\n\0\xffK1 2026-03:x=".to_vec()),
            0..400
        ),
    ];
    proptest!(cases(120), |(bytes in part, has_header in any::<bool>(), threads in 1_usize..4)| {
        let header = if has_header { HEADER.replace('\n', ",Version,Devices\n") } else { String::new() };
        let file = [header.as_bytes(), &bytes].concat();
        let passes = [b"Case,Pass,Device\n".as_slice(), &bytes].concat();
        check(&places[0].read(&file, Some(&passes), threads));
        check(&places[1].read(&file, None, threads));
    });
}

#[test]
fn no_damage_to_an_export_makes_ingest_panic() {
    let place = Place::new(&with_devices());
    assert_eq!(
        place
            .read(&valid(), None, 1)
            .unwrap()
            .cases_accounting
            .accepted,
        29
    );
    let read_through = AtomicU32::new(0);
    proptest!(cases(120), |(damages in prop::collection::vec(damage(), 1..6), threads in 1_usize..4)| {
        let mut file = valid();
        for damage in &damages {
            damage.apply(&mut file);
        }
        let read = place.read(&file, None, threads);
        read_through.fetch_add(u32::from(read.is_ok()), Ordering::Relaxed);
        check(&read);
    });
    // Damage that is always refused would show nothing.
    assert!(read_through.into_inner() > 30);
}

#[test]
fn no_damage_to_a_mapping_makes_it_panic() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("mapping.toml");
    let place = with_devices();
    proptest!(cases(500), |(damages in prop::collection::vec(damage(), 1..5), bytes in prop::collection::vec(any::<u8>(), 0..60))| {
        let mut mapping = place.clone().into_bytes();
        for damage in &damages {
            damage.apply(&mut mapping);
        }
        for content in [mapping, bytes] {
            std::fs::write(&path, content).unwrap();
            if let Err(error) = Mapping::read(&path) {
                assert!(!error.to_string().is_empty() && !error.hint().is_empty());
            }
        }
    });
}

#[test]
fn the_number_of_threads_changes_nothing() {
    // Rows of all lengths over several blocks of 1 MiB, some of many lines, some faulty, some repeats.
    let mut text = HEADER.replace('\n', ",Version,Devices\n");
    let mut number = 0_u64;
    while text.len() < (2 << 20) + 1000 {
        number += 1;
        let day = number % 28 + 1;
        let id = number - number % 50 / 49;
        let object = match number % 17 {
            3 => format!("\"{}\n\"\"x\"\"\"", "y\r\n".repeat((number % 200) as usize)),
            5 => "z".repeat((number % 3000) as usize),
            7 => String::new(),
            _ => "Meat".into(),
        };
        let scope_in = if number.is_multiple_of(11) {
            "9:99"
        } else {
            "2026-03-01 11:00"
        };
        writeln!(
            text,
            "K{id},Alder,Food,2026-03-{day:02} 10:00,{scope_in},,{object},{},net x{day}",
            number % 3
        )
        .unwrap();
    }
    let place = Place::new(
        &with_devices().replace("short_rows", "time_format = \"%Y-%m-%d %H:%M\"\nshort_rows"),
    );
    let one = place.read(text.as_bytes(), None, 1).unwrap();
    check(&Ok(one.clone()));
    assert!(one.cases_accounting.set_aside > 0 && one.issues.count() > 1000);
    for threads in [2, 7] {
        let other = place.read(text.as_bytes(), None, threads).unwrap();
        assert_eq!(one.issues, other.issues);
        assert_eq!(one.cases, other.cases);
        assert_eq!(one.passes, other.passes);
        assert_eq!(one.cases_accounting, other.cases_accounting);
        assert_eq!(one.completeness, other.completeness);
        assert_eq!(one.recording, other.recording);
        assert_eq!(one.files, other.files);
    }
}
