use super::*;
use crate::export::table::{Format, Table};
use crate::findings::staffing::demand::tests::{invented, one_site};

fn lines(table: &Table) -> Vec<String> {
    let csv = table.encode(Format::Csv).expect("four types only");
    let text = String::from_utf8(csv).expect("text");
    text.lines().map(str::to_owned).collect()
}

/// 24 calls in 365 days, 2 in each month: the worked number of 2 to 12 in the next quarter.
#[test]
fn the_next_months_stand_with_what_is_behind_them() {
    let demand = one_site("2024-07", "2025-06", &[2; 12]);
    assert_eq!(
        lines(&demand_prediction_table(&demand).expect("small counts")),
        [
            "site,first_month,last_month,days,sites,low,high,level,method,overdispersion,\
             base_first_month,base_last_month,base_events,base_hours,year_before",
            "all,2025-07,2025-07,31,1,0,5,0.95,jeffreys_negative_binomial,1,2024-07,2025-06,24,8760,",
            "all,2025-08,2025-08,31,1,0,5,0.95,jeffreys_negative_binomial,1,2024-07,2025-06,24,8760,",
            "all,2025-09,2025-09,30,1,0,5,0.95,jeffreys_negative_binomial,1,2024-07,2025-06,24,8760,",
            "all,2025-07,2025-09,92,1,2,12,0.95,jeffreys_negative_binomial,1,2024-07,2025-06,24,8760,6",
        ]
    );
}

#[test]
fn every_rate_stands_with_its_count_and_its_hours() {
    let demand = one_site("2024-07", "2025-06", &[2; 12]);
    let lines = lines(&demand_rates_table(&demand).expect("small counts"));
    assert_eq!(
        lines[0],
        "site,split,group,events,hours,rate,low,high,unit,level,method,overdispersion"
    );
    // All of it and its 12 months; neither shifts nor hours were counted.
    assert_eq!(lines.len(), 1 + 1 + 12);
    let cells: Vec<_> = lines[1].split(',').collect();
    assert_eq!(cells[..5], ["all", "all", "all", "24", "8760"]);
    assert_eq!(cells[8..], ["per 30 site-days", "0.95", "garwood", "1"]);
    // mpmath 1.3: 24 events have 15.3772 to 35.7101, in 365 days.
    for (cell, expected) in [(5, 24.0), (6, 15.377_2), (7, 35.710_1)] {
        let number: f64 = cells[cell].parse().expect("a number");
        assert!((number - expected / 365.0 * 30.0).abs() < 1e-5, "{number}");
    }
    // 2 in the 28 days of February.
    assert!(
        lines[9].starts_with("all,month,2025-02,2,672,2.142857"),
        "{}",
        lines[9]
    );
}

#[test]
fn sites_shifts_blocks_and_comparisons_have_their_rows() {
    let demand = invented();
    let lines = lines(&demand_rates_table(&demand).expect("small counts"));
    let count = |part: &str| lines.iter().filter(|line| line.contains(part)).count();
    assert_eq!(count(",shift,"), 4 * 2);
    assert_eq!(count(",weekday_block,"), 7 * 24);
    assert_eq!(count(",day_kind_block,"), 12);
    assert_eq!(count("Cedar,month,"), 15);
    assert_eq!(count(",day_kind_block,sat_sun|20-24,"), 1);
    let lines = self::lines(&demand_comparisons_table(&demand).expect("small counts"));
    assert_eq!(
        lines[0],
        "site,statistic,estimate,low,high,level,p,events,calls,method"
    );
    assert_eq!(lines.len(), 1 + 4 * 5);
    assert!(lines[2].starts_with("all,after_hours_share_of_clock,0.75,,,0.95,,"));
}
