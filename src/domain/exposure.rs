//! Observed time: for how long each site was watched, so that calls become rates.

use super::codes::Shift;
use super::month::Month;
use std::collections::BTreeMap;

/// A stretch of observed time.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ExposureCell {
    /// The site.
    pub site: String,
    /// The month.
    pub month: Month,
    /// The shift.
    pub shift: Shift,
}

/// Minutes observed per site, month and shift. A month without a call is observed all the same.
pub type Exposure = BTreeMap<ExposureCell, u64>;
