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
    /// How long it is; `None` where the guideline gives no time.
    pub length: Option<WindowLength>,
    /// The shorter time, in minutes, that the guideline prefers where the length is the latest that
    /// it allows; the last minute is within. `None` where it names one time only.
    pub preferred_minutes: Option<i64>,
    /// From when the guideline itself counts.
    pub clock_start: ClockStart,
    /// Society and year of the guideline; for a window of the site, what the site says.
    pub source: String,
    /// How the window was checked: `verified` in the guideline itself, `secondary` where it was read
    /// in another page about it, `from memory` where it was not seen, or `local`.
    pub status: String,
    /// What else the guideline says; may be empty.
    pub note: String,
    /// Why the window is in force, or is not.
    pub choice: WindowChoice,
}

/// How long a window is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WindowLength {
    /// The length that the guideline names, in minutes.
    pub minutes: i64,
    /// Whether the very last minute is within: "within 2 hours" and not "in less than 2 hours".
    pub is_inclusive: bool,
}

impl WindowLength {
    /// The largest whole number of minutes that still meets the window. Times are whole minutes, so
    /// less than 120 minutes are at most 119, and one comparison serves both kinds of window.
    pub fn longest_minutes(self) -> i64 {
        self.minutes - i64::from(!self.is_inclusive)
    }
}

/// From when a guideline counts its window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClockStart {
    /// From presentation at the hospital.
    Arrival,
    /// From the call.
    Call,
    /// From ingestion or the first symptom.
    Onset,
    /// The guideline gives hours and does not say from when.
    NotStated,
}

impl ClockStart {
    /// Every one.
    pub const ALL: [ClockStart; 4] = [
        ClockStart::Arrival,
        ClockStart::Call,
        ClockStart::Onset,
        ClockStart::NotStated,
    ];

    /// The stable code that stands in tables and mappings.
    pub const fn code(self) -> &'static str {
        match self {
            ClockStart::Arrival => "arrival",
            ClockStart::Call => "call",
            ClockStart::Onset => "onset",
            ClockStart::NotStated => "not_stated",
        }
    }

    /// The words that a reader sees.
    pub const fn label(self) -> &'static str {
        match self {
            ClockStart::NotStated => "not stated",
            other => other.code(),
        }
    }
}

/// Why a window is in force, or is not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WindowChoice {
    /// It is on in the built-in table, and nobody changed that.
    Default,
    /// It is off in the built-in table, and nobody changed that.
    OffByDefault,
    /// The site switched it on.
    SwitchedOn,
    /// The site switched it off.
    SwitchedOff,
    /// The site's own window, tried before those of guidelines.
    Local,
}

impl WindowChoice {
    /// Whether cases are held against the window.
    pub fn is_in_force(self) -> bool {
        !matches!(self, WindowChoice::SwitchedOff | WindowChoice::OffByDefault)
    }

    /// The stable code that stands in `run.json`.
    pub const fn code(self) -> &'static str {
        match self {
            WindowChoice::Default => "default",
            WindowChoice::OffByDefault => "off_by_default",
            WindowChoice::SwitchedOn => "switched_on",
            WindowChoice::SwitchedOff => "switched_off",
            WindowChoice::Local => "local",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::WindowLength;

    #[test]
    fn the_last_minute_is_within_where_the_guideline_says_so() {
        let longest = |is_inclusive| {
            let length = WindowLength {
                minutes: 120,
                is_inclusive,
            };
            length.longest_minutes()
        };
        assert_eq!((longest(true), longest(false)), (120, 119));
    }
}
