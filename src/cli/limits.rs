//! Data-quality limits of the mapping: what crosses one is said, and makes the exit code 1.

use super::console;
use super::inputs::Read;
use crate::domain::issue::{Effect, IssueCode, Source};
use std::collections::BTreeMap;

const ROWS_SET_ASIDE: &str = "rows_set_aside";
const VALUES_UNUSABLE: &str = "values_unusable";

/// The limit against which a kind of issue counts; `None` when it counts against none.
pub(super) const fn limit_of(code: IssueCode) -> Option<&'static str> {
    // Rows of other months and earlier versions are set aside because somebody asked for it, and
    // totals and remarks are no cases that could be lost.
    if matches!(
        code,
        IssueCode::OutsidePeriod | IssueCode::SupersededRow | IssueCode::SummaryRow
    ) {
        return None;
    }
    match code.effect() {
        Effect::RowSetAside => Some(ROWS_SET_ASIDE),
        Effect::ValueMissing => Some(VALUES_UNUSABLE),
        Effect::RowIsDuplicate | Effect::IntervalLeftOut | Effect::Noted => None,
    }
}

/// One sentence for every limit that was crossed.
pub(super) fn crossed(read: &Read) -> Vec<String> {
    let limits = read.mapping.limits();
    let ingested = &read.ingested;
    let mut sentences = Vec::new();
    let sources = [
        (Source::Cases, Some(ingested.cases_accounting)),
        (Source::Passes, ingested.passes_accounting),
    ];
    for (source, accounting) in sources {
        let Some(accounting) = accounting else {
            continue;
        };
        let of_source = || {
            let places = ingested.issues.places().iter();
            places.filter(move |(place, _)| place.source == source)
        };
        let not_lost: u64 = of_source()
            .filter(|(place, _)| {
                place.code.effect() == Effect::RowSetAside && limit_of(place.code).is_none()
            })
            .map(|(_, occurrences)| occurrences.count)
            .sum();
        let set_aside = accounting.set_aside - not_lost;
        let of = accounting.read - not_lost;
        let export = format!("{} export", source.code());
        sentences.extend(of_rows(&export, set_aside, of, limits.rows_set_aside));
        let mut unusable = BTreeMap::<&str, u64>::new();
        for (place, occurrences) in of_source() {
            if limit_of(place.code) == Some(VALUES_UNUSABLE) {
                *unusable.entry(place.field).or_default() += occurrences.count;
            }
        }
        for (field, count) in unusable {
            if let Some(share) = over(count, accounting.read, limits.values_unusable) {
                sentences.push(format!(
                    "{share} of the rows of the {} export have no usable `{field}` though something stands there; the limit is {} (`limits.{VALUES_UNUSABLE}`)",
                    source.code(),
                    percent(limits.values_unusable),
                ));
            }
        }
    }
    sentences
}

/// Prints the limits that were crossed, as warnings.
pub(super) fn warn(crossed: &[String]) {
    for sentence in crossed {
        console::warn(sentence);
    }
}

/// The verdict in words, for the last line of a check.
pub(super) fn verdict(read: &Read, crossed: &[String]) -> String {
    let limits = read.mapping.limits();
    match crossed.len() {
        0 => format!(
            "kept: at most {} of the rows set aside, {} of a field unusable",
            percent(limits.rows_set_aside),
            percent(limits.values_unusable)
        ),
        1 => "one limit was crossed".to_owned(),
        many => format!("{many} limits were crossed"),
    }
}

/// The sentence when more rows of a file were set aside than the limit allows.
pub(super) fn of_rows(file: &str, set_aside: u64, of: u64, limit: f64) -> Option<String> {
    let share = over(set_aside, of, limit)?;
    let limit = percent(limit);
    Some(format!(
        "{share} of the rows of the {file} were set aside; the limit is {limit} (`limits.{ROWS_SET_ASIDE}`)"
    ))
}

fn over(count: u64, of: u64, limit: f64) -> Option<String> {
    let share = if of == 0 {
        0.0
    } else {
        count as f64 / of as f64
    };
    (share > limit).then(|| percent(share))
}

fn percent(share: f64) -> String {
    format!("{:.1}%", share * 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_somebody_asked_for_and_what_loses_no_row_or_value_counts_against_no_limit() {
        let limited = |limit| {
            let codes = IssueCode::ALL
                .iter()
                .filter(move |code| limit_of(**code) == limit);
            codes.map(|code| code.code()).collect::<Vec<_>>()
        };
        assert_eq!(
            limited(Some("rows_set_aside")),
            ["R01", "R02", "R03", "R04", "R06", "R07"]
        );
        let of_cells = limited(Some("values_unusable"));
        assert_eq!(of_cells.len(), 12);
        assert!(of_cells.iter().all(|code| code.starts_with('C')));
        for code in ["R09", "R10", "R11"] {
            assert!(limited(None).contains(&code));
        }
    }
}
