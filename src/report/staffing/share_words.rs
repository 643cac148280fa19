//! Shares of staffing to words, cells and lines of charts, and the names of sites.

use crate::domain::fields::value_label;
use crate::findings::finding::Unit;
use crate::findings::staffing::Share;
use crate::report::chart::Line;
use crate::report::comparison_words::percents;
use crate::report::content::Cell;
use crate::report::format;

/// Sites that a chart has room for; with more it shows all of them together.
pub(super) const MOST_SITES: usize = 12;

/// What stands below every model and every count that somebody may staff by.
pub(super) const WHO_DECIDES: &str = "Staffing law, contracts and local policy decide who is on call, \
    what rest is due and what is paid; these numbers do not.";

/// Stands where too few ends of calls are known.
pub(super) const CANNOT_BE_TOLD: &str = "cannot be told";

/// `no end is known for 700 of 900 calls`.
pub(super) fn without_end(unknown: u64, calls: u64) -> String {
    format!(
        "no end is known for {} of {}",
        format::whole(unknown),
        format::counted(calls, "call", "calls")
    )
}

/// `All sites`, or the name of one.
pub(super) fn site_name(site: Option<&str>) -> String {
    site.map_or_else(
        || "All sites".to_owned(),
        |site| value_label("site", site).to_owned(),
    )
}

/// Each site, and all of them below where there is more than one; without a site, all alone.
pub(super) fn rows<'a, T>(sites: &'a [T], all: &'a T) -> impl Iterator<Item = &'a T> {
    let all = (sites.len() != 1).then_some(all);
    sites.iter().chain(all)
}

/// [`rows`] as far as a chart has room.
pub(super) fn rows_of_chart<'a, T>(sites: &'a [T], all: &'a T) -> impl Iterator<Item = &'a T> {
    let has_room = sites.len() <= MOST_SITES;
    rows(if has_room { sites } else { &[] }, all)
}

/// The estimate and its limits where there are enough chances to show a percentage.
fn shown(share: Share) -> Option<(f64, f64, f64)> {
    let is_enough = share.counted.cases >= format::FEWEST_CASES_FOR_PERCENT;
    let (estimate, interval) = share.estimate().zip(share.interval)?;
    is_enough.then_some((estimate, interval.low, interval.high))
}

/// `12 of 60 nights (20%, 95% interval 12 to 32%)`; of few the counts alone. Tables and captions name
/// the method.
pub(super) fn in_sentence(share: Share, one: &str, many: &str, level: f64) -> String {
    let counted = share.counted;
    let counts = format!(
        "{} of {}",
        format::whole(counted.events),
        format::counted(counted.cases, one, many)
    );
    match shown(share).zip(share.interval) {
        None => counts,
        Some(((estimate, ..), interval)) => format!(
            "{counts} ({}, {} interval {})",
            format::with_unit(Unit::Fraction, counted.cases, estimate),
            format::level(level),
            percents(counted.cases, interval)
        ),
    }
}

/// Counts and share in one cell, and the interval in another; of few the counts alone.
pub(super) fn cells(share: Share) -> [Cell; 2] {
    let counted = share.counted;
    let interval = match shown(share).zip(share.interval) {
        None => format::NOTHING.to_owned(),
        Some((_, interval)) => percents(counted.cases, interval),
    };
    let counts = if counted.cases == 0 {
        format::NOTHING.to_owned()
    } else {
        format::part(counted.events, counted.cases)
    };
    [counts.into(), interval.into()]
}

/// A line of a chart.
pub(super) fn line(label: String, share: Share) -> Line {
    let shown = shown(share);
    Line::Group {
        label,
        value: shown.map(|(estimate, ..)| estimate),
        limits: (shown.map(|(_, low, _)| low), shown.map(|(.., high)| high)),
        quartiles: None,
        p90: None,
        drawn: None,
        text: if share.counted.cases == 0 {
            "none".to_owned()
        } else {
            format::part(share.counted.events, share.counted.cases)
        },
    }
}

/// A line of a chart for a share of a model, which has no counts.
pub(super) fn model_line(label: String, share: f64) -> Line {
    Line::Group {
        label,
        value: Some(share),
        limits: (None, None),
        quartiles: None,
        p90: None,
        drawn: None,
        text: percent(share),
    }
}

/// A share of a model or of time, with one decimal.
pub(super) fn percent(share: f64) -> String {
    format::with_unit(Unit::Fraction, u64::MAX, share)
}

/// Hours of a number of minutes.
pub(super) fn hours(minutes: u64) -> String {
    format::distance(minutes as f64 / 60.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::comparisons::{Counted, Interval};

    fn share(events: u64, cases: u64) -> Share {
        Share {
            counted: Counted { events, cases },
            interval: Some(Interval {
                low: 0.125,
                high: 0.5,
            }),
        }
    }

    #[test]
    fn few_chances_have_counts_alone() {
        let words = |events, cases| in_sentence(share(events, cases), "night", "nights", 0.95);
        assert_eq!(words(1, 4), "1 of 4 nights");
        assert_eq!(words(1, 1), "1 of 1 night");
        assert_eq!(
            words(12, 60),
            "12 of 60 nights (20%, 95% interval 13 to 50%)"
        );
        let texts = |share| cells(share).map(|cell| cell.text);
        assert_eq!(texts(share(1, 4)), ["1 of 4", "–"]);
        assert_eq!(texts(share(12, 60)), ["12 of 60 (20%)", "13 to 50%"]);
        assert_eq!(texts(Share::default()), ["–", "–"]);
    }

    #[test]
    fn one_site_stands_alone_and_several_stand_above_their_sum() {
        let listed = |sites: &[u8]| rows(sites, &9).copied().collect::<Vec<_>>();
        assert_eq!(listed(&[]), [9]);
        assert_eq!(listed(&[1]), [1]);
        assert_eq!(listed(&[1, 2]), [1, 2, 9]);
        let many = [1; MOST_SITES + 1];
        assert_eq!(rows_of_chart(&many, &9).count(), 1);
        assert_eq!(rows_of_chart(&many[1..], &9).count(), MOST_SITES + 1);
    }
}
