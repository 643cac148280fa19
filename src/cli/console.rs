//! Everything that is printed. Positions, kinds and counts; never the content of a cell.

use super::inputs::{FileNames, printable};
use crate::domain::accounting::Accounting;
use crate::domain::issue::{Effect, IssueCode, Shape};
use crate::domain::issue_log::{IssueLog, Occurrences, Place};
use crate::findings::finding::Finding;
use crate::findings::review::Review;
use crate::ingest::{IngestError, Ingested};
use crate::report;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write as _;

/// Prints one line to standard output. A closed pipe, as after `| head`, is no error.
pub(super) fn line(text: &str) {
    drop(writeln!(anstream::stdout(), "{text}"));
}

fn error_line(text: &str) {
    drop(writeln!(anstream::stderr(), "{text}"));
}

/// Prints a warning.
pub(super) fn warn(text: &str) {
    error_line(&format!("warning: {text}"));
}

/// Prints an error with its causes, and what to do.
pub(super) fn print_error(error: &anyhow::Error) {
    let causes: Vec<String> = error.chain().map(ToString::to_string).collect();
    // Some errors name their cause in their own words already.
    let mut message = String::new();
    for cause in causes {
        if !message.contains(&cause) {
            if !message.is_empty() {
                message.push_str(": ");
            }
            message.push_str(&cause);
        }
    }
    error_line(&format!("error: {message}"));
    if let Some(error) = error.downcast_ref::<IngestError>() {
        error_line(&format!("\nhint: {}", error.hint()));
    }
}

/// Prints each kind of issue once, with the places where it came up.
pub(super) fn print_issues(issues: &IssueLog, names: &FileNames) {
    let mut kinds = BTreeMap::<IssueCode, Vec<(&Place, &Occurrences)>>::new();
    for (place, occurrences) in issues.places() {
        kinds
            .entry(place.code)
            .or_default()
            .push((place, occurrences));
    }
    for (code, places) in kinds {
        let word = if code.effect() == Effect::Noted {
            "note"
        } else {
            "warning"
        };
        line(&format!("{word}[{}]: {}", code.code(), code.summary()));
        for (place, occurrences) in &places {
            let columns = match (place.field, place.other_field) {
                ("", _) => String::new(),
                (field, "") => format!(", `{field}`"),
                (field, other_field) => format!(", `{field}` to `{other_field}`"),
            };
            line(&format!(
                "  --> {}{columns}, {}",
                names.of(place.source, place.file_index),
                lines_of(occurrences)
            ));
        }
        let shapes: BTreeSet<Shape> = places
            .iter()
            .flat_map(|(_, occurrences)| &occurrences.shapes)
            .copied()
            .collect();
        if !shapes.contains(&Shape::NotOneCell) {
            let shapes: Vec<_> = shapes.iter().map(ToString::to_string).collect();
            line(&format!(
                "   = found:  {} (content not shown)",
                shapes.join("; or ")
            ));
        }
        line(&format!("   = effect: {}", code.effect().sentence()));
        line(&format!("   = hint:   {}\n", code.hint()));
    }
}

fn lines_of(occurrences: &Occurrences) -> String {
    let named: Vec<_> = occurrences
        .first_lines
        .iter()
        .map(ToString::to_string)
        .collect();
    let more = occurrences.count - named.len() as u64;
    let word = if occurrences.count == 1 {
        "line"
    } else {
        "lines"
    };
    let rest = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    format!("{word} {}{rest}", named.join(", "))
}

/// Prints what became of the rows, and what they cover.
pub(super) fn print_accounting(ingested: &Ingested) {
    print_rows("cases", ingested.cases_accounting);
    if let Some(passes) = ingested.passes_accounting {
        print_rows("passes", passes);
    }
    let mut kinds = BTreeMap::<&str, u64>::new();
    for (place, occurrences) in ingested.issues.places() {
        *kinds.entry(place.code.code()).or_default() += occurrences.count;
    }
    let kinds: Vec<_> = kinds
        .iter()
        .map(|(code, count)| format!("{code} {count}"))
        .collect();
    let kinds = if kinds.is_empty() {
        String::new()
    } else {
        format!(": {}", kinds.join(", "))
    };
    line(&format!(
        "issues  {} in {} rows{kinds}",
        ingested.issues.count(),
        ingested.issues.rows()
    ));
    print_coverage(ingested);
}

/// Prints period and sites. A mistyped year or site does nothing to any one row, and much to rates.
fn print_coverage(ingested: &Ingested) {
    let Some((first, last)) = ingested.observed else {
        return;
    };
    let months = last.since(first) + 1;
    let quiet = first
        .through(last)
        .filter(|month| !ingested.cases_by_month.contains_key(month))
        .count();
    let origin = if ingested.is_period_guessed {
        "from the first call to the last"
    } else {
        "as given"
    };
    line(&format!(
        "period  {first} to {last}, {origin}: {months} months, {quiet} without a call"
    ));
    let sites: Vec<_> = ingested
        .cases_by_site
        .iter()
        .map(|(site, cases)| format!("{} {cases}", printable(site)))
        .collect();
    line(&format!("sites   {}", sites.join(", ")));
    if ingested.is_period_guessed && quiet > 0 {
        warn(
            "the period was taken from the calls, and some of its months have none; \
             is a year mistyped? `[period]` in the mapping settles it",
        );
    }
    let mut folded = BTreeSet::new();
    for site in ingested.cases_by_site.keys() {
        let name: String = site
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .to_lowercase();
        if !folded.insert(name) {
            warn(&format!(
                "`{}` is also written otherwise; the two count as two sites, each observed \
                 all the time",
                printable(site)
            ));
        }
    }
}

fn print_rows(name: &str, rows: Accounting) {
    line(&format!(
        "{name:<7} {} rows read = {} accepted + {} set aside + {} duplicates",
        rows.read, rows.accepted, rows.set_aside, rows.duplicates
    ));
}

/// Prints the limits that were crossed, as warnings.
pub(super) fn print_crossed(sentences: &[String]) {
    for sentence in sentences {
        warn(sentence);
    }
}

/// Prints the first page in short.
pub(super) fn print_review(review: &Review) {
    line(&format!("{}\n", report::month_name(review.month)));
    for headline in &review.headlines {
        let Some(definition) = review.definition(&headline.measure) else {
            continue;
        };
        let in_words = |finding: Option<&Finding>| {
            finding.map_or_else(|| report::NO_CASES.to_string(), report::finding_words)
        };
        line(&definition.title);
        let before = report::before_words(review);
        for (when, finding) in [
            ("the month in view", &headline.month),
            (before.as_str(), &headline.before),
        ] {
            line(&format!("  {when:<21} {}", in_words(finding.as_ref())));
        }
    }
    line("");
}
