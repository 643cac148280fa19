//! Data-quality limits of the mapping: what crosses one is said, and makes the exit code 1.

use super::inputs::Read;
use crate::domain::issue::{Effect, IssueCode, Source};
use std::collections::BTreeMap;

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
        // Rows of other months are set aside because somebody asked for it.
        let outside: u64 = of_source()
            .filter(|(place, _)| place.code == IssueCode::OutsidePeriod)
            .map(|(_, occurrences)| occurrences.count)
            .sum();
        let set_aside = accounting.set_aside - outside;
        if let Some(share) = over(set_aside, accounting.read - outside, limits.rows_set_aside) {
            sentences.push(format!(
                "{share} of the rows of the {} export were set aside; the limit is {} (`limits.rows_set_aside`)",
                source.code(),
                percent(limits.rows_set_aside),
            ));
        }
        let mut unusable = BTreeMap::<&str, u64>::new();
        for (place, occurrences) in of_source() {
            if place.code.effect() == Effect::ValueMissing {
                *unusable.entry(place.field).or_default() += occurrences.count;
            }
        }
        for (field, count) in unusable {
            if let Some(share) = over(count, accounting.read, limits.values_unusable) {
                sentences.push(format!(
                    "{share} of the rows of the {} export have no usable `{field}` though something stands there; the limit is {} (`limits.values_unusable`)",
                    source.code(),
                    percent(limits.values_unusable),
                ));
            }
        }
    }
    sentences
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
    format!("{:.1} %", share * 100.0)
}
