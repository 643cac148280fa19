//! The tables `demand_rates`, `demand_comparisons` and `demand_prediction`: how many calls come, when,
//! and how many may come next. What they share stands here.
//!
//! Knows the columns. The site `all` is all of them together.

mod comparisons;
mod prediction;
mod rates;
#[cfg(test)]
mod tests;

pub use comparisons::demand_comparisons_table;
pub use prediction::demand_prediction_table;
pub use rates::demand_rates_table;

use crate::export::columns::{Column, number, text};
use crate::findings::staffing::demand::{Demand, SiteDemand};

/// The word for all sites together and for every group.
const ALL: &str = "all";

fn places(demand: &Demand) -> impl Iterator<Item = &SiteDemand> {
    [&demand.all].into_iter().chain(&demand.sites)
}

fn site_code(place: &SiteDemand) -> &str {
    place.site.as_deref().unwrap_or(ALL)
}

fn site_column<'a>(sites: impl Iterator<Item = &'a str>) -> Column {
    text("site", "the site, or all", sites)
}

fn level_column(demand: &Demand, rows: usize) -> Column {
    number(
        "level",
        "confidence level of the limits",
        "fraction",
        (0..rows).map(|_| Some(demand.level)),
    )
}
