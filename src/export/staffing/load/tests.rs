use super::*;
use crate::domain::duty::calendar::Span;
use crate::domain::duty::plan::DutyPlan;
use crate::domain::duty::roster::{Duty, RosterLine};
use crate::export::table::Format;
use crate::findings::staffing::invented_calls::{at, calendar, call};
use crate::findings::staffing::load::load;
use crate::stats::Level;

fn csv(table: Result<Table, TableError>) -> String {
    let bytes = table.unwrap().encode(Format::Csv).unwrap();
    String::from_utf8(bytes).unwrap()
}

#[test]
fn numbers_stand_by_site_with_their_denominators_and_no_place_on_the_roster() {
    let calls = [call(at(0, 20, 0), Some(90)), call(at(1, 12, 0), None)];
    let roster = [RosterLine {
        site: "Alder".to_owned(),
        role: "nurse_1".to_owned(),
        duty: Duty::OnCall,
        span: Span {
            from: at(0, 17, 0),
            until: at(1, 8, 0),
        },
    }];
    let rules = DutyPlan::default().rules;
    let load = load(&calls, &calendar(30), rules, Some(&roster), Level::P95);
    let table = csv(load_table(&load));
    assert!(!table.contains("nurse"), "{table}");
    for line in [
        "site,number,events,of,estimate,low,high,level,unit,method",
        "Alder,calls,2,,,,,,count,none",
        "Alder,length_unknown,1,,,,,,count,none",
        // 30 days with 22 of nine staffed hours; 90 minutes in 30 days.
        "all,minutes_bound_after_hours,90,31320,90,,,,minutes per 30 site-days,none",
        "all,on_call_duties_met,1,,,,,,count,none",
        "all,short_rest,0,0,,,,,fraction,wilson",
        "all,met_without_a_shift_afterwards,1,,,,,,count,none",
    ] {
        assert!(table.lines().any(|found| found == line), "{line}\n{table}");
    }
    let rate = table
        .lines()
        .find(|line| line.starts_with("all,call_backs,1,,1,0.0253"));
    assert!(rate.is_some(), "{table}");
    assert_eq!(
        csv(bound_after_hours_table(&load)),
        "site,month,minutes,known,unknown\nAlder,2026-06,90,1,1\nall,2026-06,90,1,1\n"
    );
}

#[test]
fn minutes_that_cannot_be_told_are_no_zeros() {
    let calls = [
        call(at(0, 20, 0), None),
        call(at(1, 20, 0), None),
        call(at(2, 20, 0), Some(60)),
    ];
    let rules = DutyPlan::default().rules;
    let load = load(&calls, &calendar(30), rules, None, Level::P95);
    assert!(!csv(load_table(&load)).contains("minutes_bound_after_hours"));
    assert_eq!(
        csv(bound_after_hours_table(&load)),
        "site,month,minutes,known,unknown\nAlder,2026-06,,1,2\nall,2026-06,,1,2\n"
    );
}
