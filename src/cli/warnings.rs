//! Warnings of what looks wrong in all that was read, beside the account of it.

use super::console;
use super::inputs::printable;
use crate::findings::bleeds::score_doubts;
use crate::findings::review::MonthsOfSite;
use crate::ingest::Ingested;
use crate::report;
use std::collections::BTreeSet;

/// Warns of a period and of sites that look mistyped.
pub(super) fn coverage(ingested: &Ingested) {
    let Some((first, last)) = ingested.observed else {
        return;
    };
    let has_call = |month| ingested.cases_by_month.contains_key(&month);
    if ingested.is_period_guessed && !first.through(last).all(has_call) {
        console::warn(
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
            console::warn(&format!(
                "`{}` is also written otherwise; the two count as two sites, each observed \
                 all the time",
                printable(site)
            ));
        }
    }
}

/// Warns of counts of sites that cover unlike months; of none where all cover the same.
pub(super) fn unlike_months(months: &[MonthsOfSite]) {
    if months.is_empty() {
        return;
    }
    let sites = months.iter().map(|of| {
        let site = printable(&of.site);
        let gaps = if of.has_gaps { " with gaps" } else { "" };
        format!("`{site}` {} to {}{gaps}", of.first, of.last)
    });
    console::warn(&format!(
        "the counts of the sites cover unlike months ({}): a month that a site lacks holds the cases of \
         the others alone, so all sites together change with it; to count the same months of each, give \
         the same --from and --to to `scopetally counts`",
        sites.collect::<Vec<_>>().join(", ")
    ));
}

/// Warns of scores of the export that differ from their components too often. A unit that is
/// declared wrongly moves every score, and shows nowhere else.
pub(super) fn scores(ingested: &Ingested) {
    let tallies = ingested.issues.tallies();
    for doubt in score_doubts(&tallies, &ingested.completeness) {
        console::warn(&report::score_doubt(&doubt));
    }
}
