//! The guideline windows as `run.json` lists them: which were in force, and who chose them.

use crate::domain::window::{GuidelineWindow, WindowLength};
use serde::Serialize;

/// One guideline window.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Window {
    /// Identifier, also the `window_id` of the records.
    pub id: String,
    /// `default`, `off_by_default`, `switched_on`, `switched_off` or `local`; a window that is off is
    /// not in force.
    pub choice: &'static str,
    /// Urgency class.
    pub urgency: &'static str,
    /// Longest time within the window; `None` where the guideline gives none.
    pub longest_minutes: Option<i64>,
    /// Shorter time that the guideline prefers; `None` where it names one time only.
    pub preferred_minutes: Option<i64>,
    /// From when the guideline itself counts.
    pub clock_start: &'static str,
    /// Society and year, or what the site says.
    pub source: String,
    /// How it was checked.
    pub status: String,
}

impl From<&GuidelineWindow> for Window {
    fn from(window: &GuidelineWindow) -> Window {
        Window {
            id: window.id.clone(),
            choice: window.choice.code(),
            urgency: window.urgency.code(),
            longest_minutes: window.length.map(WindowLength::longest_minutes),
            preferred_minutes: window.preferred_minutes,
            clock_start: window.clock_start.code(),
            source: window.source.clone(),
            status: window.status.clone(),
        }
    }
}
