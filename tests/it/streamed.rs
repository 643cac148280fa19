//! Records that are counted while they are read: nothing differs from counting them once all are read,
//! whatever the size of a chunk and the number of threads.

use crate::run::{Run, inputs, repository};
use arrow::array::RecordBatch;
use arrow::compute::concat_batches;
use scopetally::domain::counts::CountTables;
use scopetally::domain::fields::{CaseField, PassField};
use scopetally::domain::sequence::EventSequence;
use scopetally::ingest::{Ingested, Inputs, Mapping, ingest, ingest_into, with_value};
use scopetally::measure::{Counter, built_in};
use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::path::Path;

const MOST_PASSES: usize = 15;

/// The sample with the passes of each case in its row, and without a period in the mapping.
pub(crate) fn with_passes_inside() -> Run {
    let sample = |name: &str| std::fs::read_to_string(repository("sample_data").join(name));
    let mut passes: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for line in sample("passes.csv").unwrap().lines().skip(1) {
        let cells: Vec<_> = line.split(';').collect();
        let of_case = passes.entry(cells[0].to_owned()).or_default();
        of_case.push(format!("{};{}", cells[2], cells[3]));
    }
    assert!(passes.values().all(|passes| passes.len() <= MOST_PASSES));
    let mut cases = String::new();
    for (place, line) in sample("cases.csv").unwrap().lines().enumerate() {
        let of_case = passes.get(line.split(';').next().unwrap());
        for column in 0..MOST_PASSES {
            let cells = match of_case.and_then(|passes| passes.get(column)) {
                _ if place == 0 => format!("Device {column};Result {column}"),
                Some(cells) => cells.clone(),
                None => ";".to_owned(),
            };
            cases.insert_str(
                cases.len(),
                &if column == 0 {
                    format!("{line};{cells}")
                } else {
                    format!(";{cells}")
                },
            );
        }
        cases.push('\n');
    }
    let headings = |name: &str| {
        let quoted: Vec<_> = (0..MOST_PASSES)
            .map(|at| format!("\"{name} {at}\""))
            .collect();
        quoted.join(", ")
    };
    let mapping = sample("mapping.toml").unwrap();
    let (of_cases, rest) = mapping.split_once("[passes]").unwrap();
    let (_, codes) = rest.split_once("[passes.codes.device]").unwrap();
    let (codes, rest) = codes.split_once("[passes.codes.malfunction]").unwrap();
    let (_, rest) = rest.split_once("[staffed_hours]").unwrap();
    let (hours, rest) = rest.split_once("[period]").unwrap();
    let (_, rest) = rest.split_once("[[phase]]").unwrap();
    let codes = codes.replace("[passes.codes.result]", "[cases.codes.result]");
    let run = Run::new();
    run.file("cases.csv", cases);
    run.file(
        "mapping.toml",
        format!(
            "{of_cases}[cases.devices]\ncolumns = [{}]\nresults = [{}]\norder = \"as_written\"\n\
             [cases.codes.device]{codes}[staffed_hours]{hours}[[phase]]{rest}",
            headings("Device"),
            headings("Result"),
        ),
    );
    run
}

fn threads(number: usize) -> NonZeroUsize {
    NonZeroUsize::new(number).unwrap()
}

/// What was read of the run's files, and the records that were handed on.
fn read(
    run: &Run,
    number: usize,
    hands_on: bool,
) -> (Ingested, Vec<RecordBatch>, Vec<RecordBatch>) {
    let cases = [run.path("cases.csv")];
    let inputs = Inputs {
        lists_issues: true,
        threads: threads(number),
        ..inputs(&cases, &[])
    };
    let mapping = Mapping::read(Path::new(&run.path("mapping.toml"))).unwrap();
    let (mut cases, mut passes) = (Vec::new(), Vec::new());
    let mut take = |of_block: RecordBatch, with: Option<RecordBatch>| {
        cases.push(of_block);
        passes.extend(with);
    };
    let ingested = if hands_on {
        ingest_into(&inputs, &mapping, &mut take).unwrap()
    } else {
        ingest(&inputs, &mapping).unwrap()
    };
    (ingested, cases, passes)
}

type Counted = (CountTables, BTreeMap<String, EventSequence>);

/// Counts records of which never more than `rows` stand in one part.
fn counted(
    ingested: &Ingested,
    cases: &[RecordBatch],
    passes: &[RecordBatch],
    rows: usize,
) -> Counted {
    let harm = ["adverse_event", "perforation"];
    let mut counter = Counter::of_chunks(&built_in(), &harm, threads(2), rows);
    let parts: Vec<_> = cases
        .iter()
        .flat_map(|batch| {
            let starts = (0..batch.num_rows()).step_by(rows.min(batch.num_rows()));
            starts.map(|start| batch.slice(start, rows.min(batch.num_rows() - start)))
        })
        .collect();
    counter.add_all(&parts, passes);
    counter.finish().tables(&ingested.exposure, None).unwrap()
}

#[test]
fn records_that_are_handed_on_are_those_that_would_be_kept_and_chunks_change_no_count() {
    let run = with_passes_inside();
    let (kept, ..) = read(&run, 1, false);
    assert!(kept.passes_inside_cases > Some(900));
    let one = |batches: &[RecordBatch]| concat_batches(&batches[0].schema(), batches).unwrap();
    let whole = counted(&kept, &kept.cases, &kept.passes, usize::MAX);
    assert_eq!(whole.1.len(), 2);
    for number in [1, 3] {
        let (ingested, cases, passes) = read(&run, number, true);
        assert!(ingested.cases.is_empty() && ingested.passes.is_empty());
        assert!(one(&cases) == one(&kept.cases) && one(&passes) == one(&kept.passes));
        assert_eq!(ingested.cases_accounting, kept.cases_accounting);
        assert_eq!(ingested.filled_columns, kept.filled_columns);
        assert!(counted(&ingested, &cases, &passes, 500) == whole);
    }
    // A few cases in the smallest of chunks.
    let few = one(&kept.cases).slice(0, 30);
    let numbers: Vec<_> = arrow::array::AsArray::as_string::<i32>(few.column(0))
        .iter()
        .map(|number| number.unwrap().to_owned())
        .collect();
    let passes: Vec<_> = numbers
        .iter()
        .flat_map(|number| with_value(&kept.cases, &kept.passes, CaseField::CaseId, number).1)
        .collect();
    let whole = counted(&kept, std::slice::from_ref(&few), &passes, usize::MAX);
    for rows in [1, 7] {
        assert!(counted(&kept, std::slice::from_ref(&few), &passes, rows) == whole);
    }
}

#[test]
fn with_a_passes_export_all_records_are_kept() {
    let run = Run::of_sample();
    let mut handed_on = 0;
    let (cases, passes) = ([run.path("cases.csv")], [run.path("passes.csv")]);
    let inputs = Inputs {
        threads: threads(2),
        ..inputs(&cases, &passes)
    };
    let mapping = Mapping::read(&run.path("mapping.toml")).unwrap();
    let ingested = ingest_into(&inputs, &mapping, &mut |_, _| handed_on += 1).unwrap();
    assert_eq!(handed_on, 0);
    let rows =
        |records: &[RecordBatch]| -> usize { records.iter().map(RecordBatch::num_rows).sum() };
    assert_eq!(
        rows(&ingested.cases) as u64,
        ingested.cases_accounting.accepted
    );
    assert_eq!(
        ingested.passes[0].num_columns(),
        <PassField as scopetally::domain::fields::Field>::ALL.len()
    );
}

#[test]
fn a_review_of_rows_that_are_not_kept_lists_the_same_cases_and_counts_the_same() {
    let run = with_passes_inside();
    for arguments in [
        "counts --records --out kept",
        "counts --out counted --threads 1",
        "review --out latest --threads 3",
        "review --out asked --month 2026-09 --to 2026-09",
        "review --out alder --site Alder",
    ] {
        let ended = run.on_files(&format!("{arguments} --quiet"));
        assert_eq!(ended.code, 0, "{arguments}: {}", ended.stderr);
    }
    let counts = run.files_below("kept/counts");
    for out in ["counted", "latest", "asked"] {
        assert!(run.files_below(&format!("{out}/counts")) == counts, "{out}");
    }
    let list = |out: &str| run.table(&format!("{out}/internal/cases_to_review.csv"));
    let latest = list("latest");
    assert!(latest.len() > 5 && latest == list("asked"));
    let of_site = latest.iter().filter(|row| row["site"] == "Alder");
    assert!(of_site.eq(list("alder").iter()));
}
