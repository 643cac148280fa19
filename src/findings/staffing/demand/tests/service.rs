//! Sites that start late, end early or are merged from other exports.

use super::{Tables, minutes, month, near, one_site};
use crate::findings::staffing::demand::Evenness;

#[test]
fn a_site_that_starts_late_counts_from_its_first_month() {
    let mut tables = Tables::default();
    tables.site("Alder", "2024-01", &[10; 24]);
    let mut late = vec![0; 12];
    late.extend([30; 12]);
    tables.site("Birch", "2024-01", &late);
    for place in 0..24 {
        let at = month("2024-01").plus(place);
        for site in ["Alder", "Birch"] {
            let staffed = minutes(at) / 4;
            let time = [
                ("in_hours", staffed),
                ("after_hours", minutes(at) - staffed),
            ];
            for (shift, time) in time {
                let group = format!("{site}|{shift}");
                tables.add("site+shift", &group, None, (0, time));
                tables.shift(shift, at, (0, time));
            }
        }
    }
    let found = tables.demand("2024-01", "2025-12");
    let names: Vec<_> = found
        .sites
        .iter()
        .map(|site| site.site.as_deref())
        .collect();
    assert_eq!(names, [Some("Alder"), Some("Birch")]);
    let birch = &found.sites[1];
    assert_eq!((birch.months_before, birch.months.len()), (12, 12));
    // 360 calls in the 365 days of 2025, not in the 731 of both years.
    near(birch.rate.expect("time").rate, 360.0 / 365.0 * 30.0, 1e-9);
    // 600 calls in 366 + 2 * 365 days.
    let all = &found.all;
    near(all.rate.expect("time").rate, 600.0 / 1096.0 * 30.0, 1e-9);
    let after = all.by_shift.expect("shifts").after_hours.expect("time");
    assert_eq!(after.exposure_minutes, 1096 * 24 * 60 * 3 / 4);
    let of_birch = birch.by_shift.expect("shifts").in_hours.expect("time");
    assert_eq!(of_birch.exposure_minutes, 365 * 24 * 60 / 4);
    // A new site is neither more uneven calls nor a trend: what each site expects stands behind.
    assert!(
        matches!(all.evenness, Evenness::Even(_)),
        "{:?}",
        all.evenness
    );
    assert_eq!(all.clear_trend(), None);
    let ahead = all.prediction.as_ref().expect("a prediction");
    assert_eq!((ahead.base_first, ahead.sites), (month("2025-01"), 2));
    assert_eq!(ahead.base.events, 480);
    // Its months of the year before are those of both sites, of which one did not serve.
    assert_eq!(ahead.year_before, Some(120));
}

#[test]
fn a_site_whose_own_months_start_late_keeps_its_own_time() {
    let mut tables = Tables::default();
    tables.site("Alder", "2024-01", &[10; 24]);
    // Merged from another export, which begins in 2025.
    tables.site("Birch", "2025-01", &[1; 12]);
    let found = tables.demand("2024-01", "2025-12");
    let birch = &found.sites[1];
    assert_eq!((birch.months_before, birch.months.len()), (0, 12));
    near(birch.rate.expect("time").rate, 12.0 / 365.0 * 30.0, 1e-9);
    near(
        found.all.rate.expect("time").rate,
        252.0 / 1096.0 * 30.0,
        1e-9,
    );
}

#[test]
fn a_quiet_start_that_chance_gives_is_no_late_start() {
    // 5 calls, all in the last 22 of 24 months: a chance of about (22 / 24)^5 = 0.65.
    let mut events = vec![0; 24];
    events[2] = 3;
    events[23] = 2;
    let found = one_site("2024-01", "2025-12", &events);
    assert_eq!((found.all.months_before, found.all.months.len()), (0, 24));
    assert_eq!(found.all.evenness, Evenness::TooFewCalls);
    // A site without any call was observed all the same.
    let none = one_site("2024-01", "2025-12", &[0; 24]);
    assert_eq!(none.all.months.len(), 24);
    let rate = none.all.rate.expect("time");
    assert!(rate.rate.abs() < 1e-12 && rate.high > 0.0);
    assert_eq!(none.all.trend, None);
}

#[test]
fn a_site_that_ended_has_no_prediction_and_none_of_its_calls_is_expected_of_the_others() {
    let mut tables = Tables::default();
    tables.site("Alder", "2024-01", &[10; 24]);
    let mut ended = vec![20; 12];
    ended.extend([0; 12]);
    tables.site("Birch", "2024-01", &ended);
    let found = tables.demand("2024-01", "2025-12");
    let birch = &found.sites[1];
    assert_eq!((birch.months_after, birch.prediction.clone()), (12, None));
    let ahead = found.all.prediction.expect("a prediction");
    assert_eq!((ahead.base.events, ahead.sites), (240, 1));
    assert_eq!(ahead.base_first, month("2024-01"));
    assert_eq!(ahead.base.exposure_minutes, 731 * 24 * 60);
}
