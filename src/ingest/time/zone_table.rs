//! The clock changes of one zone, worked out once, so that a cell costs a short search and no call of
//! a library. Knows no dates and no texts.

use crate::domain::issue::IssueCode;
use crate::ingest::clock::Reading;
use jiff::Timestamp;
use jiff::tz::TimeZone;

/// 1970-01-01 and 2101-01-01, in seconds of UTC.
const FIRST_SECOND: i64 = 0;
const END_SECOND: i64 = 4_133_980_800;

/// Two days, so that the first and the last days are whole in every zone.
const MARGIN_SECONDS: i64 = 2 * 86_400;

/// One change of the clocks.
#[derive(Clone, Copy, Debug)]
struct Change {
    /// First second of UTC after it.
    utc_second: i64,
    /// Seconds by which the clocks were ahead of UTC before.
    before: i64,
    /// The same after.
    after: i64,
    /// First second on the clock that the change skips or repeats.
    low: i64,
    /// The second after the last one.
    high: i64,
}

/// All changes of a zone from 1970 to 2100.
#[derive(Clone, Debug)]
pub(in crate::ingest) struct ZoneTable {
    first_offset: i64,
    changes: Vec<Change>,
    /// For each stretch of [`STRETCH_SECONDS`] on the clocks, how many changes begin before it. Less
    /// than one change lies in a stretch on average, so the search is over where it starts.
    before_stretch: Vec<usize>,
}

/// A month or so.
const STRETCH_SECONDS: i64 = 1 << 21;

impl ZoneTable {
    /// The changes of a zone as the bundled database has them.
    pub(in crate::ingest) fn new(zone: &TimeZone) -> ZoneTable {
        let start = Timestamp::from_second(FIRST_SECOND - MARGIN_SECONDS)
            .expect("a moment of 1969 is within the range of a timestamp");
        let first_offset = i64::from(zone.to_offset(start).seconds());
        let mut before = first_offset;
        let mut changes = Vec::new();
        let known = zone
            .following(start)
            .take_while(|change| change.timestamp().as_second() < END_SECOND + MARGIN_SECONDS);
        for change in known {
            let after = i64::from(change.offset().seconds());
            // Some changes give the hour another name only.
            if after != before {
                let utc_second = change.timestamp().as_second();
                changes.push(Change {
                    utc_second,
                    before,
                    after,
                    low: utc_second + before.min(after),
                    high: utc_second + before.max(after),
                });
                before = after;
            }
        }
        let stretches = (END_SECOND - FIRST_SECOND) / STRETCH_SECONDS + 1;
        let before_stretch = (0..stretches)
            .map(|stretch| {
                let start = FIRST_SECOND + stretch * STRETCH_SECONDS;
                changes.partition_point(|change| change.low < start)
            })
            .collect();
        ZoneTable {
            first_offset,
            changes,
            before_stretch,
        }
    }

    /// The moment that a time on the clocks of the zone means, `local_minutes` after 1970-01-01 00:00
    /// on them.
    ///
    /// # Errors
    /// `SkippedHour` when no clock showed the time; `NotATime` outside the years 1970 to 2100.
    pub(in crate::ingest) fn resolve(&self, local_minutes: i64) -> Result<Reading, IssueCode> {
        if !(FIRST_SECOND / 60..END_SECOND / 60).contains(&local_minutes) {
            return Err(IssueCode::NotATime);
        }
        let local = local_minutes * 60;
        let utc = |offset: i64| (local - offset).div_euclid(60);
        let stretch = usize::try_from((local - FIRST_SECOND) / STRETCH_SECONDS);
        let mut after_change = stretch.map_or(0, |stretch| self.before_stretch[stretch]);
        while self
            .changes
            .get(after_change)
            .is_some_and(|change| change.low <= local)
        {
            after_change += 1;
        }
        let Some(change) = after_change.checked_sub(1).map(|last| self.changes[last]) else {
            return Ok(Reading::Once(utc(self.first_offset)));
        };
        if local >= change.high {
            Ok(Reading::Once(utc(change.after)))
        } else if change.after > change.before {
            Err(IssueCode::SkippedHour)
        } else {
            Ok(Reading::Twice {
                first: utc(change.before),
                second: utc(change.after),
            })
        }
    }

    /// What the clocks of the zone show at `minute_utc`, in minutes after 1970-01-01 00:00 on them.
    pub(in crate::ingest) fn local(&self, minute_utc: i64) -> i64 {
        let second = minute_utc.saturating_mul(60);
        // Clocks are less than a day off, so no change of a stretch that ends a day before is later.
        let a_day_before = second.saturating_sub(MARGIN_SECONDS + FIRST_SECOND);
        let mut after_change = usize::try_from(a_day_before / STRETCH_SECONDS)
            .ok()
            .and_then(|stretch| self.before_stretch.get(stretch).copied())
            .unwrap_or(0);
        while self
            .changes
            .get(after_change)
            .is_some_and(|change| change.utc_second <= second)
        {
            after_change += 1;
        }
        let offset = match after_change.checked_sub(1) {
            Some(last) => self.changes[last].after,
            None => self.first_offset,
        };
        second.saturating_add(offset).div_euclid(60)
    }

    /// Minutes between the two moments at which the clocks showed a time; 0 for nearly every time.
    pub(in crate::ingest) fn repeated_minutes(&self, local_minutes: i64) -> i64 {
        match self.resolve(local_minutes) {
            Ok(Reading::Twice { first, second }) => second - first,
            _ => 0,
        }
    }
}

#[cfg(test)]
mod tests;
