//! A guideline window in words, for the reader of a report.

use super::codes::Urgency;

/// One window: which cases it is for, how long it is and who says so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GuidelineWindow {
    /// Stable identifier, also the `window_id` of the records.
    pub id: String,
    /// Which cases it is for: `adults; food impaction; complete obstruction`.
    pub applies_to: String,
    /// Urgency class.
    pub urgency: Urgency,
    /// Longest time that counts as within, in minutes; that very minute is within.
    pub minutes: i64,
    /// Society and year of the guideline.
    pub source: String,
    /// How the window was checked: `verified` in the guideline itself, or `secondary` where it was
    /// read in another page about it.
    pub status: String,
    /// What else the guideline says; may be empty.
    pub note: String,
}
