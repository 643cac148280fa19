use super::*;
use crate::domain::duty::plan::DutyPlan;
use crate::export::table::Format;
use crate::findings::staffing::invented_calls::{at, calendar, call};
use crate::findings::staffing::overlap::overlap;
use crate::stats::Level;

#[test]
fn bound_teams_and_minutes_add_up_to_all_calls_and_the_period() {
    let calls = [
        call(at(0, 7, 0), Some(120)),
        call(at(0, 8, 30), Some(90)),
        call(at(0, 20, 0), None),
    ];
    let of = overlap(&calls, &calendar(1), DutyPlan::default().rules, Level::P95);
    let csv = |table: Result<Table, TableError>| {
        let bytes = table.unwrap().encode(Format::Csv).unwrap();
        String::from_utf8(bytes).unwrap()
    };
    let table = csv(overlap_table(&of));
    assert!(table.starts_with(
        "site,hours,teams_bound,calls,all_calls,calls_of_unknown_length,minutes,all_minutes,\
         model_share\nAlder,all,0,2,3,1,1260,1440,"
    ));
    assert!(table.contains("\nAlder,all,1,1,3,1,150,1440,"), "{table}");
    assert!(table.contains("\nall,all,2,0,3,1,30,1440,"), "{table}");
    assert_eq!(table.lines().count(), 1 + 2 * 3 * 4);
    // Three calls in 24 hours, 105 minutes each on average: a load of 0.21875.
    let load = csv(offered_load_table(&of));
    let row = load.lines().find(|line| line.starts_with("all,all,1,3,"));
    assert!(
        row.is_some_and(|row| row.contains(",0.125,105,0.21875,")),
        "{load}"
    );
    let blocks = csv(overlap_by_block_table(&of));
    assert!(blocks.contains("\nAlder,weekday,8,12,1,1,1,"), "{blocks}");
    assert_eq!(blocks.lines().count(), 1 + 2 * 12);
}

#[test]
fn what_cannot_be_told_is_empty_and_no_zero() {
    let calls = [call(at(0, 7, 0), None), call(at(0, 20, 0), None)];
    let of = overlap(&calls, &calendar(1), DutyPlan::default().rules, Level::P95);
    let csv = |table: Result<Table, TableError>| {
        let bytes = table.unwrap().encode(Format::Csv).unwrap();
        String::from_utf8(bytes).unwrap()
    };
    let table = csv(overlap_table(&of));
    assert!(table.contains("\nall,all,0,,2,2,,1440,"), "{table}");
    let load = csv(offered_load_table(&of));
    assert!(load.contains("\nall,all,,2,,,,"), "{load}");
}
