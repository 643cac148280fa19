use super::*;
use crate::domain::measure::MeasureKind;
use crate::measure::built_in;

fn measure(sql: &str) -> Definition {
    let mut definition = built_in().remove(0);
    definition.kind = MeasureKind::Share;
    definition.sql = sql.to_owned();
    definition
}

#[track_caller]
fn check_local(sql: &str, expected: bool) {
    assert_eq!(is_case_local(&measure(sql)), expected, "{sql}");
}

#[test]
fn every_built_in_measure_looks_at_one_case_at_a_time_and_takes_its_number_as_a_key() {
    for definition in built_in() {
        assert!(is_case_local(&definition), "{}", definition.id);
        assert!(takes_case_id_as_key(&definition), "{}", definition.id);
    }
}

#[test]
fn a_query_that_may_compare_cases_is_not_local() {
    check_local("select case_id, 1 as eligible, 1 as hit from cases", true);
    check_local(
        "select cases.case_id as case_id, many.n as hit from cases left join \
         (select case_id, count(*) as n from passes group by case_id) as many \
         on cases.case_id = many.case_id and many.n > 1 where n is null or n > 1",
        true,
    );
    for sql in [
        "select a.case_id as case_id from cases as a join cases as b on a.case_id = b.case_id",
        "select case_id from cases where hour > (select min(hour) from cases)",
        "select case_id from cases where site in (select device from passes)",
        "select case_id, sum(hour) over (partition by site) as hit from cases",
        "SELECT case_id, max(hour) AS hit FROM cases GROUP BY site",
        "select min(case_id) as case_id, count(*) as hit from cases",
        "select min(case_id) as case_id from cases group by site, month",
        "select distinct site, 1 as hit from cases",
        "select case_id from cases order by hour limit 5",
        "select cases.case_id as case_id from cases join passes on cases.site = passes.device",
        "select cases.case_id as case_id from cases join passes \
         on cases.case_id = passes.case_id or passes.device = 'net'",
        "select cases.case_id as case_id from cases, passes where passes.pass_number = 1",
        "select cases.case_id as case_id from passes, cases where passes.pass_number = 1",
        "select case_id from cases union all select case_id from passes",
        "select cases.case_id as case_id from cases left join \
         (select device, count(*) as n from passes group by device) as many \
         on cases.case_id = many.case_id",
    ] {
        check_local(sql, false);
    }
}

#[track_caller]
fn check_handed_on(sql: &str, expected: &[CaseField]) {
    let found: Vec<_> = handed_on(&measure(sql)).into_iter().collect();
    assert_eq!(found, expected, "{sql}");
}

#[test]
fn columns_that_stand_in_the_outermost_list_by_themselves_are_handed_on() {
    use CaseField::{CaseId, Month, Shift, Site};
    check_handed_on(
        "select case_id, site, month, 'x' as shift from cases where site is null",
        &[CaseId, Site, Month],
    );
    check_handed_on(
        "select cases.case_id as case_id, cases.site as site, shift, max(cases.month) as month \
         from cases left join (select case_id, device as site from passes) as p \
         on cases.case_id = p.case_id",
        &[CaseId, Site],
    );
    check_handed_on(
        "select case_id, shift as site, month as shift, shift as month from cases",
        &[CaseId],
    );
    check_handed_on(
        "select case_id, site, shift from cases",
        &[CaseId, Site, Shift],
    );
}

#[test]
fn nothing_is_taken_for_handed_on_where_cases_may_be_something_else() {
    for sql in [
        "select case_id, site from (select case_id, 'x' as site from cases) as cases",
        "select case_id, site from passes as cases",
        "with cases as (select case_id, device as site from passes) select case_id, site from cases",
        "select site, month from cases",
        "select cases.case_id as case_id, cases.site as site from passes left join cases \
         on cases.case_id = passes.case_id",
        "select min(case_id) as case_id, site from cases",
        "SELECT case_id, site FROM cases",
    ] {
        check_handed_on(sql, &[]);
    }
}

#[test]
fn a_number_of_a_case_that_is_looked_into_is_no_mere_key() {
    let is_key = |sql: &str| takes_case_id_as_key(&measure(sql));
    assert!(is_key("select case_id, 1 as hit from cases"));
    assert!(is_key(
        "select cases.case_id as case_id from cases left join (select case_id, count(*) as n \
         from passes group by case_id) as p on p.case_id = cases.case_id where p.case_id is null"
    ));
    for sql in [
        "select case_id, case_id as hit from cases",
        "select 'one' as case_id from cases",
        "select case_id from cases where case_id <> 'A'",
        "select case_id from cases where case_id in ('A', 'B')",
        "select coalesce(case_id, site) as case_id from cases",
        "select coalesce(site, case_id) as case_id from cases",
        "select min(case_id) as case_id from cases",
        "select CASE_ID, 1 as hit from cases",
        "select \"case_id\" || 'A' as case_id from cases",
        "select case_id, case when case_id = 'A' then 1 end as hit from cases",
        "select cases.* from cases",
    ] {
        assert!(!is_key(sql), "{sql}");
    }
}
