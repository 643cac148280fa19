//! What was read, in short: files, rows, filled fields, period and sites, and the way from rows to
//! measures.

use super::console;
use super::inputs::{FileNames, Read, printable};
use super::text_table::{Side, TextTable};
use crate::domain::accounting::Accounting;
use crate::domain::file_facts::FileFacts;
use crate::domain::issue::Source;
use crate::domain::review_rules::CaseToReview;
use crate::findings::finding::Finding;
use crate::findings::flow::{Flow, FlowResult};
use crate::findings::review::Review;
use crate::findings::staffing::Staffing;
use crate::ingest::{Ingested, suggest_code};
use crate::report::{self, counted, whole};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Prints how many different words the mapping does not know, and of how many a meaning is likely.
pub(super) fn print_unknown_words(ingested: &Ingested) {
    let mut fields = BTreeMap::<(Source, &str), (u64, u64, u64)>::new();
    for word in ingested.unknown_words.iter() {
        let (words, cells, suggested) = fields.entry((word.source, word.field)).or_default();
        *words += 1;
        *cells += word.count;
        *suggested += u64::from(suggest_code(&word).is_some());
    }
    let lines: Vec<_> = fields
        .iter()
        .map(|((source, field), (words, cells, suggested))| {
            format!(
                "{}, `{field}`: {} in {}, {} with a likely meaning",
                source.code(),
                counted(*words, "unknown word", "unknown words"),
                counted(*cells, "cell", "cells"),
                whole(*suggested)
            )
        })
        .collect();
    if !lines.is_empty() {
        console::labeled_lines("words", &lines);
        console::line(
            "  `--out DIR --list-words` lists them for the person who writes the mapping",
        );
    }
}

/// Prints how each file was read, in the order given.
pub(super) fn print_files(files: &[FileFacts], names: &FileNames) {
    let mut places = BTreeMap::<Source, usize>::new();
    for facts in files {
        let place = places.entry(facts.source).or_default();
        console::labeled_lines("file", &file_lines(facts, names.of(facts.source, *place)));
        *place += 1;
    }
}

/// How one file was read. What is as usual goes without saying.
fn file_lines(facts: &FileFacts, name: &str) -> Vec<String> {
    let packing = match facts.packing {
        "none" => String::new(),
        packing => format!(", packed with {packing}"),
    };
    let separator = match facts.separator {
        '\t' => "tab".to_owned(),
        other => format!("`{other}`"),
    };
    let mut lines = vec![
        format!("{name}: {}{packing}", bytes_in_words(facts.bytes)),
        format!(
            "{} ({}), separator {separator} ({}), line ends {}, decimal mark `{}`",
            facts.encoding,
            facts.encoding_from,
            facts.separator_from,
            facts.line_ends,
            facts.decimal_mark
        ),
    ];
    if facts.header_line > 1 || facts.header_rows > 1 {
        lines.push(format!(
            "header of {} from line {} on, {} above it",
            counted(facts.header_rows as u64, "line", "lines"),
            whole(facts.header_line),
            counted(facts.lines_before_header, "other line", "other lines"),
        ));
    }
    let unused = facts.columns - facts.columns_mapped - facts.columns_dropped;
    lines.push(format!(
        "{}: {} mapped, {} dropped, {} not used",
        counted(facts.columns as u64, "column", "columns"),
        whole(facts.columns_mapped as u64),
        whole(facts.columns_dropped as u64),
        whole(unused as u64)
    ));
    let mut forms = BTreeMap::<(&str, bool), Vec<&str>>::new();
    for time in &facts.times {
        forms
            .entry((&time.format, time.is_proved))
            .or_default()
            .push(time.field);
    }
    for ((format, is_proved), fields) in forms {
        let from = if is_proved {
            "proved by the cells"
        } else {
            "given"
        };
        lines.push(format!("times `{format}` ({from}): {}", fields.join(", ")));
    }
    lines.push(rows_in_words(facts.rows));
    lines
        .iter()
        .flat_map(|line| super::text_table::wrapped(line, 72))
        .collect()
}

/// Bytes in the unit in which people read sizes: `84.1 kB`, `1.7 GB`.
pub(super) fn bytes_in_words(bytes: u64) -> String {
    const UNITS: [&str; 4] = ["kB", "MB", "GB", "TB"];
    if bytes < 1000 {
        return counted(bytes, "byte", "bytes");
    }
    let mut size = bytes as f64 / 1000.0;
    let mut unit = 0;
    // 999.95 would be shown as 1000.0.
    while size >= 999.95 && unit + 1 < UNITS.len() {
        size /= 1000.0;
        unit += 1;
    }
    format!("{size:.1} {}", UNITS[unit])
}

/// Prints what became of the rows.
pub(super) fn print_rows(ingested: &Ingested) {
    console::labeled("cases", &rows_in_words(ingested.cases_accounting));
    if let Some(passes) = ingested.passes_accounting {
        console::labeled("passes", &rows_in_words(passes));
    }
    if let Some(passes) = ingested.passes_inside_cases {
        console::labeled(
            "passes",
            &format!("{} in the rows of the cases", whole(passes)),
        );
    }
}

/// Prints what became of the rows of roster and checks.
pub(super) fn print_files_of_staffing(staffing: &Staffing) {
    let of_exports = ["cases", "passes"];
    for of_file in staffing
        .rows
        .iter()
        .filter(|of| !of_exports.contains(&of.file))
    {
        let left_out = match of_file.left_out {
            0 => String::new(),
            count => format!(
                "; {} of the accepted are of other months or sites",
                whole(count)
            ),
        };
        let words = format!(
            "{}: {}{left_out}",
            of_file.file,
            rows_in_words(of_file.rows)
        );
        console::labeled("rows", &words);
    }
}

fn rows_in_words(rows: Accounting) -> String {
    format!(
        "{} read = {} accepted + {} set aside + {}",
        counted(rows.read, "row", "rows"),
        whole(rows.accepted),
        whole(rows.set_aside),
        counted(rows.duplicates, "duplicate", "duplicates")
    )
}

/// Prints which mapped fields of the cases are not filled everywhere.
pub(super) fn print_completeness(ingested: &Ingested) {
    let accepted = ingested.cases_accounting.accepted;
    let mut table = TextTable::new(&[
        ("field", Side::Left),
        ("filled", Side::Right),
        ("share", Side::Right),
    ]);
    let fields = &ingested.completeness;
    for (field, filled) in fields.iter().filter(|(_, filled)| *filled < accepted) {
        table.push([
            (*field).to_owned(),
            whole(*filled),
            share_in_words(*filled, accepted),
        ]);
    }
    let everywhere = fields.len() as u64
        - fields
            .iter()
            .filter(|(_, filled)| *filled < accepted)
            .count() as u64;
    let of = format!(
        "{everywhere} of {} in every accepted case",
        counted(fields.len() as u64, "mapped field", "mapped fields")
    );
    if table.is_empty() {
        console::labeled("filled", &of);
    } else {
        console::labeled(
            "filled",
            &format!("{of}; a blank in the others may mean that they do not apply"),
        );
        console::table(&table);
    }
}

/// A share that is 100% only when nothing is missing, and 0% only when there is nothing.
fn share_in_words(part: u64, of: u64) -> String {
    let percent = part as f64 / of as f64 * 100.0;
    match part {
        0 => "0%".to_owned(),
        _ if percent < 0.1 => "<0.1%".to_owned(),
        _ if part < of && percent > 99.9 => ">99.9%".to_owned(),
        _ => format!("{percent:.1}%"),
    }
}

/// Prints period and sites. A mistyped year or site does nothing to any one row, and much to rates.
pub(super) fn print_coverage(ingested: &Ingested) {
    let Some((first, last)) = ingested.observed else {
        return;
    };
    let months = u64::from(last.since(first).unsigned_abs()) + 1;
    let quiet = first
        .through(last)
        .filter(|month| !ingested.cases_by_month.contains_key(month))
        .count() as u64;
    let origin = if ingested.is_period_guessed {
        "first to last call"
    } else {
        "as given"
    };
    console::labeled(
        "period",
        &format!(
            "{first} to {last}, {origin}: {}, {} without a call",
            counted(months, "month", "months"),
            whole(quiet)
        ),
    );
    let sites: Vec<_> = ingested
        .cases_by_site
        .iter()
        .map(|(site, cases)| format!("{} {}", printable(site), whole(*cases)))
        .collect();
    console::labeled("sites", &sites.join(", "));
}

/// Prints rows, issues, period and sites of a review.
pub(super) fn print_read(read: &Read) {
    print_rows(&read.ingested);
    super::issues::print_tallies(&read.ingested.issues);
    print_coverage(&read.ingested);
}

/// Prints the answers of a staffing report.
pub(super) fn print_staffing(staffing: &Staffing) {
    for (question, sentences) in report::answers(staffing) {
        if !sentences.is_empty() {
            console::line(question);
            for sentence in sentences {
                console::line(&format!("  {sentence}"));
            }
        }
    }
}

/// Prints how the accepted cases became those that each measure counts.
pub(super) fn print_flow(flow: &Flow) {
    console::labeled(
        "counted",
        &format!(
            "{} = outside the population + not judged + judged",
            counted(flow.counted, "accepted case", "accepted cases")
        ),
    );
    console::table(&flow_table(flow));
}

fn flow_table(flow: &Flow) -> TextTable {
    let mut table = TextTable::new(&[
        ("measure", Side::Left),
        ("outside", Side::Right),
        ("not judged", Side::Right),
        ("judged", Side::Right),
        ("of these", Side::Left),
    ]);
    for measure in &flow.measures {
        let result = match measure.result {
            FlowResult::Hit(hit) => format!("{} met", whole(hit)),
            FlowResult::Reached(reached) => format!("{} reached", whole(reached)),
            FlowResult::Passes { judged, hit } => {
                format!("{} of {}", whole(hit), counted(judged, "pass", "passes"))
            }
            FlowResult::Events => "events".to_owned(),
        };
        table.push([
            measure.measure.clone(),
            whole(measure.not_of_population),
            whole(measure.excluded),
            whole(measure.eligible),
            result,
        ]);
    }
    table
}

/// Prints how many cases somebody should read, and where they are listed; names none.
pub(super) fn print_to_look_at(list: &[CaseToReview], target: &Path) {
    let cases: BTreeSet<_> = list.iter().map(|row| row.case.expose()).collect();
    let file = target.join("internal/cases_to_review.csv");
    console::labeled_lines(
        "look at",
        &[format!(
            "{} in {}: {}",
            counted(cases.len() as u64, "case", "cases"),
            counted(list.len() as u64, "row", "rows"),
            file.display()
        )],
    );
}

/// Prints the first page in short.
pub(super) fn print_review(review: &Review) {
    let of_site = review
        .site
        .as_deref()
        .map_or_else(String::new, |site| format!(", {} alone", printable(site)));
    console::line(&format!("{}{of_site}\n", report::month_name(review.month)));
    for headline in &review.headlines {
        let Some(definition) = review.definition(&headline.measure) else {
            continue;
        };
        let in_words = |finding: Option<&Finding>| {
            finding.map_or_else(|| report::NO_CASES.to_string(), report::finding_words)
        };
        console::line(&definition.title);
        let before = report::before_words(review);
        for (when, finding) in [
            ("the month in view", &headline.month),
            (before.as_str(), &headline.before),
        ] {
            console::line(&format!("  {when:<21} {}", in_words(finding.as_ref())));
        }
    }
    console::line("");
}

#[cfg(test)]
mod tests;
