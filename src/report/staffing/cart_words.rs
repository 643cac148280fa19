//! What the three parts on the cart say alike: shares, probabilities, names of sites and of items.

use crate::domain::counts::SITE;
use crate::domain::duty::cart_item::CartItem;
use crate::domain::fields::value_label;
use crate::domain::tally::Tally;
use crate::findings::comparisons::Interval;
use crate::findings::finding::Unit;
use crate::report::{comparison_words, format, words};

/// What decides, whatever a model says.
pub(super) const WHO_DECIDES: &str = "Nothing here is advice: what a cart carries and who checks it \
    is decided by local policy, by contracts and by those who use it.";

/// Whether a share of so many is told as a percentage at all.
fn is_enough(tally: Tally) -> bool {
    tally.cases() >= format::FEWEST_CASES_FOR_PERCENT
}

/// `89%`; of few cases nothing.
pub(super) fn percent(tally: Tally) -> String {
    if is_enough(tally) {
        format::with_unit(Unit::Fraction, tally.cases(), tally.share())
    } else {
        format::NOTHING.to_owned()
    }
}

/// `83 to 93%`; of few cases nothing.
pub(super) fn interval(tally: Tally, interval: Interval) -> String {
    if is_enough(tally) {
        comparison_words::percents(tally.cases(), interval)
    } else {
        format::NOTHING.to_owned()
    }
}

/// `140 of 157`.
pub(super) fn counts(tally: Tally) -> String {
    format!(
        "{} of {}",
        format::whole(tally.events()),
        format::whole(tally.cases())
    )
}

/// `140 of 157 (89%, Wilson 95% interval 83 to 93%)`; of few cases the counts alone.
pub(super) fn share(tally: Tally, limits: Interval, level: f64) -> String {
    told(
        counts(tally),
        tally,
        limits,
        &format!("Wilson {}", format::level(level)),
    )
}

/// `140 of 157 judged bleeds (89%, 95% interval 83 to 93%)`, with no name of a method, for the first
/// page; of few cases the counts alone. `what` says of which.
pub(super) fn plain_share(tally: Tally, limits: Interval, level: f64, what: &str) -> String {
    let counts = format!("{} {what}", counts(tally));
    told(counts, tally, limits, &format::level(level))
}

/// The counts, and the share with its interval of this kind where there are enough cases.
fn told(counts: String, tally: Tally, limits: Interval, kind: &str) -> String {
    if !is_enough(tally) {
        return counts;
    }
    format!(
        "{counts} ({}, {kind} interval {})",
        percent(tally),
        interval(tally, limits)
    )
}

/// A probability with one decimal: `3.4%`, `below 0.1%`.
pub(super) fn chance(probability: f64) -> String {
    if probability < 0.001 {
        "below 0.1%".to_owned()
    } else if probability > 0.999 {
        "above 99.9%".to_owned()
    } else {
        // As of many cases, so with a decimal.
        format::with_unit(Unit::Fraction, u64::MAX, probability)
    }
}

/// The name of a site.
pub(super) fn site(site: &str) -> &str {
    value_label(SITE, site)
}

/// `snare, retrieval net and cap`; `nothing` for an empty list.
pub(super) fn items(items: &[CartItem]) -> String {
    let labels: Vec<_> = items.iter().map(|item| item.label().to_owned()).collect();
    words::listed(&labels).unwrap_or_else(|| "nothing".to_owned())
}

#[cfg(test)]
pub(super) mod tests;
