//! The optional files of `staffing`: what a site assumes and asks (`duty.toml`), who was planned
//! (`roster.csv`), and how its carts were checked (`cart_checks.csv`).
//!
//! Reads the same way as the exports of cases: every row is accounted for, and no message holds
//! the content of a cell. Knows nothing of cases, but for the zone of the clocks.

mod cart_checks;
mod entries;
mod local_time;
mod place_code;
mod plan;
mod roster;
mod rows;
mod scenario;
#[cfg(test)]
mod tests;
mod week;

pub use cart_checks::read_cart_checks;
pub use plan::{DutyPlanFile, read_plan};
pub use roster::read_roster;
pub use rows::{DutyFacts, DutyRows};

/// The word of a list that somebody may have meant; `None` when none is near.
fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.trim().to_lowercase().replace(['-', ' '], "_");
    // One slip in a short word, two in a long one; of `in` and `on` nobody can tell.
    let most = word.chars().count() / 4;
    known
        .into_iter()
        .map(|known| (strsim::damerau_levenshtein(&word, known), known))
        .filter(|(distance, _)| *distance <= most.min(2))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, known)| known)
}

/// A hint that names what was meant, where it is known, and what there is.
fn of_the_known(meant: Option<&str>, known: &str) -> String {
    match meant {
        Some(meant) => format!("did you mean `{meant}`? {known}"),
        None => known.to_owned(),
    }
}

/// Words in a row, each in backticks.
fn listed<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<String> = words.into_iter().map(|word| format!("`{word}`")).collect();
    words.join(", ")
}
