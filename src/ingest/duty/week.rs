//! Times of day and blocks of the week as a duty plan writes them: `22:00-07:00`, `mon-fri
//! 17:00-08:00`. Knows no table and no file.

use crate::domain::codes::Weekday;
use crate::domain::duty::plan::WEEK_HOURS;

/// The hours of the week in which a team is on duty, from Monday 00:00 on.
pub(super) type WeekHours = [bool; WEEK_HOURS];

/// How blocks are written, for hints.
pub(super) const BLOCKS: &str = "write \"always\", or blocks of whole hours such as \"mon-fri 17:00-08:00\" (which runs into the next day), \"sat-sun\" or \"sat 08:00-20:00\"; the days are mon, tue, wed, thu, fri, sat, sun";

/// A stretch of a day in minutes after midnight; an end that is not later lies on the next day, as
/// 24:00 does, which is 0 here. `None` for anything else.
pub(super) fn stretch(text: &str) -> Option<(u16, u16)> {
    let (from, until) = text.split_once(['-', '\u{2013}'])?;
    let from = minute_of_day(from.trim()).filter(|minute| *minute < 1440)?;
    Some((from, minute_of_day(until.trim())? % 1440))
}

/// Adds the hours of one block to those of a week; `None` when it is none.
pub(super) fn add_block(text: &str, hours: &mut WeekHours) -> Option<()> {
    let text = text.trim().to_lowercase();
    if text == "always" {
        hours.fill(true);
        return Some(());
    }
    let (days, stretch_of_day) = match text.split_once(char::is_whitespace) {
        Some((days, times)) => (days, stretch(times.trim())?),
        None => (text.as_str(), (0, 0)),
    };
    let (from, until) = stretch_of_day;
    if from % 60 != 0 || until % 60 != 0 {
        return None;
    }
    let (from, until) = (usize::from(from / 60), usize::from(until / 60));
    let length = if until > from {
        until - from
    } else {
        until + 24 - from
    };
    let (first, last) = days.split_once(['-', '\u{2013}']).unwrap_or((days, days));
    let (first, last) = (weekday(first.trim())?, weekday(last.trim())?);
    // `fri-mon` goes over the end of the week.
    for step in 0..=(last + 7 - first) % 7 {
        let start = (first + step) * 24 + from;
        for hour in start..start + length {
            hours[hour % WEEK_HOURS] = true;
        }
    }
    Some(())
}

/// From Monday, 0.
fn weekday(word: &str) -> Option<usize> {
    Weekday::ALL.iter().position(|day| day.code() == word)
}

/// Minutes after midnight of `HH:MM`, up to 24:00.
fn minute_of_day(text: &str) -> Option<u16> {
    let (hour, minute) = text.split_once(':')?;
    let number = |digits: &str, lengths: std::ops::RangeInclusive<usize>| {
        let is_number =
            lengths.contains(&digits.len()) && digits.bytes().all(|byte| byte.is_ascii_digit());
        is_number.then(|| digits.parse::<u16>().ok()).flatten()
    };
    let minutes =
        number(hour, 1..=2)? * 60 + number(minute, 2..=2).filter(|minute| *minute < 60)?;
    (minutes <= 1440).then_some(minutes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hours(blocks: &[&str]) -> Option<Vec<usize>> {
        let mut week = [false; WEEK_HOURS];
        for block in blocks {
            add_block(block, &mut week)?;
        }
        Some((0..WEEK_HOURS).filter(|hour| week[*hour]).collect())
    }

    fn count(blocks: &[&str]) -> Option<usize> {
        hours(blocks).map(|hours| hours.len())
    }

    #[test]
    fn a_block_runs_into_the_next_day_and_over_the_end_of_the_week() {
        assert_eq!(count(&["always"]), Some(168));
        // Saturday 00:00 is hour 120.
        assert_eq!(hours(&["sat-sun"]), Some((120..168).collect()));
        assert_eq!(hours(&["sat 08:00-20:00"]), Some((128..140).collect()));
        // Monday 17:00 to Tuesday 08:00.
        assert_eq!(hours(&["mon 17:00-08:00"]), Some((17..32).collect()));
        let sunday_night = (0..8).chain(161..168).collect();
        assert_eq!(hours(&["sun 17:00-8:00"]), Some(sunday_night));
        assert_eq!(count(&["mon-fri 17:00-08:00"]), Some(75));
        assert_eq!(count(&["mon-fri 17:00-08:00", "sat-sun"]), Some(75 + 40));
        // Friday, Saturday, Sunday and Monday.
        assert_eq!(count(&["fri-mon"]), Some(96));
        assert_eq!(count(&["tue 08:00-08:00"]), Some(24));
        assert_eq!(hours(&["mon 20:00-24:00"]), Some((20..24).collect()));
        assert_eq!(hours(&["mon 00:00-24:00"]), Some((0..24).collect()));
        assert_eq!(count(&[" Mon\u{2013}Fri  08:00 - 17:00 "]), Some(45));
        // Hours that two blocks share count once.
        assert_eq!(count(&["mon", "mon 00:00-12:00"]), Some(24));
    }

    #[test]
    fn anything_else_is_no_block() {
        for text in [
            "",
            "never",
            "mon-",
            "-",
            "monday",
            "mon-fri-sun",
            "mon 8-17",
            "mon 08:30-17:00",
            "mon 08:00-17:30",
            "mon 08:00",
            "mon 24:00-08:00",
            "mon 08:00-25:00",
            "mon 08:00-24:01",
            "mon 08:0-17:00",
            "mon +8:00-17:00",
            "17:00-08:00",
            "mon, tue",
            "mon 08:00-10:00-12:00",
            "mon 99999:00-08:00",
        ] {
            assert_eq!(count(&[text]), None, "{text}");
        }
    }

    #[test]
    fn a_stretch_has_minutes() {
        assert_eq!(stretch("22:00-07:00"), Some((1320, 420)));
        assert_eq!(stretch("0:30 - 6:15"), Some((30, 375)));
        assert_eq!(stretch("20:00-24:00"), Some((1200, 0)));
        assert_eq!(stretch("22-7"), None);
        assert_eq!(stretch("22:00"), None);
    }

    proptest::proptest! {
        #[test]
        fn no_text_panics(text in "\\PC{0,40}") {
            let _ = count(&[&text]);
            let _ = stretch(&text);
        }
    }
}
