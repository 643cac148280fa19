//! Dates ↔ days since 1970-01-01, without a library call for each cell. Knows no clocks.

/// Days of the year before the first of each month, without a leap day.
const BEFORE_MONTH: [i32; 13] = [0, 0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];

/// Years that a record can bear; the arithmetic of leap years below holds for these only.
pub(super) const FIRST_YEAR: i32 = 1970;
pub(super) const LAST_YEAR: i32 = 2100;

/// Days from 1970-01-01 to a day of 1970 to 2100; `None` when there is no such day.
pub(in crate::ingest) fn days_from_civil(year: i32, month: u8, day: u8) -> Option<i32> {
    if !(FIRST_YEAR..=LAST_YEAR).contains(&year) || day == 0 || day > days_in_month(year, month) {
        return None;
    }
    // Leap years from 1972 up to the year before; 2100 is none and has none after it here.
    let leap_days = (year - 1969) / 4 + i32::from(month > 2 && is_leap(year));
    let before_month = BEFORE_MONTH[usize::from(month)];
    Some((year - FIRST_YEAR) * 365 + leap_days + before_month + i32::from(day) - 1)
}

/// Year, month and day of a day of 1970 to 2100, given as days since 1970-01-01; `None` outside.
pub(in crate::ingest) fn civil_from_days(days: i32) -> Option<(i32, u8, u8)> {
    // The last day of 2100 is day 47,846.
    if !(0..=47_846).contains(&days) {
        return None;
    }
    // 1968-01-01 starts a cycle of four years of 1,461 days. 2100-02-29 does not exist.
    let days = if days >= 47_541 { days + 1 } else { days } + 731;
    let (cycle, day_of_cycle) = (days / 1461, days % 1461);
    let (year_of_cycle, day_of_year) = if day_of_cycle < 366 {
        (0, day_of_cycle)
    } else {
        ((day_of_cycle - 366) / 365 + 1, (day_of_cycle - 366) % 365)
    };
    let leap = i32::from(year_of_cycle == 0);
    let starts = |month: i32| {
        let before = BEFORE_MONTH[usize::try_from(month).unwrap_or(1)];
        before + if month > 2 { leap } else { 0 }
    };
    // No month is longer than 31 days, so this is the month or the one before it.
    let guess = day_of_year / 31 + 1;
    let month = if guess < 12 && day_of_year >= starts(guess + 1) {
        guess + 1
    } else {
        guess
    };
    Some((
        1968 + cycle * 4 + year_of_cycle,
        u8::try_from(month).ok()?,
        u8::try_from(day_of_year - starts(month) + 1).ok()?,
    ))
}

/// 0 for a number that is no month.
fn days_in_month(year: i32, month: u8) -> u8 {
    match month {
        2 => 28 + u8::from(is_leap(year)),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => 0,
    }
}

fn is_leap(year: i32) -> bool {
    year % 4 == 0 && year != 2100
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::Date;

    #[test]
    fn every_day_of_1970_to_2100_is_the_day_that_jiff_counts() {
        let mut date = Date::constant(1970, 1, 1);
        for days in 0..=47_846 {
            let year = i32::from(date.year());
            let (month, day) = (date.month().unsigned_abs(), date.day().unsigned_abs());
            assert_eq!(civil_from_days(days), Some((year, month, day)));
            assert_eq!(days_from_civil(year, month, day), Some(days));
            date = date.tomorrow().unwrap();
        }
        assert_eq!(date, Date::constant(2101, 1, 1));
        assert_eq!((civil_from_days(-1), civil_from_days(47_847)), (None, None));
    }

    #[test]
    fn days_that_do_not_exist_have_no_number() {
        for (year, month, day) in [
            (2023, 2, 29),
            (2100, 2, 29),
            (2024, 4, 31),
            (2024, 0, 10),
            (2024, 13, 10),
            (2024, 1, 0),
            (1969, 12, 31),
            (2101, 1, 1),
        ] {
            assert_eq!(days_from_civil(year, month, day), None);
        }
    }
}
