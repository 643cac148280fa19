//! The four parts of the way from call to scope in: they judge the same cases and add up, case by
//! case and in the count tables.

use crate::{generated, hand_counts};
use rusqlite::Connection;
use scopetally::domain::counts::{ALL, CountTables, Key};
use scopetally::domain::measure::Definition;
use scopetally::findings::time_parts::PARTS;
use scopetally::measure::built_in;

fn parts() -> [Definition; 4] {
    PARTS.map(|part| {
        let mut measures = built_in().into_iter();
        measures.find(|measure| measure.id == part).unwrap()
    })
}

/// Cases of the population of all parts; those that all parts judge; those that only some judge; and
/// judged ones whose minutes do not add up, or of which a part is below zero.
fn case_by_case(database: &Connection) -> [i64; 4] {
    let [team, cart, airway, scope] = parts().map(|part| part.sql);
    let sql = format!(
        "select count(*),
            coalesce(sum(team.eligible), 0),
            coalesce(sum(
                team.eligible <> cart.eligible or cart.eligible <> airway.eligible
                or airway.eligible <> scope.eligible
            ), 0),
            coalesce(sum(team.eligible = 1 and (
                team.minutes + cart.minutes + airway.minutes + scope.minutes
                    <> scope_in_minute - called_minute
                or min(team.minutes, cart.minutes, airway.minutes, scope.minutes) < 0
            )), 0)
        from ({team}) as team
        join ({cart}) as cart on cart.case_id = team.case_id
        join ({airway}) as airway on airway.case_id = team.case_id
        join ({scope}) as scope on scope.case_id = team.case_id
        join cases on cases.case_id = team.case_id"
    );
    let columns = |row: &rusqlite::Row<'_>| {
        let number = |place| row.get::<_, i64>(place);
        Ok([number(0)?, number(1)?, number(2)?, number(3)?])
    };
    database.query_one(&sql, [], columns).unwrap()
}

#[test]
fn the_parts_of_every_case_add_up_to_its_way_from_call_to_scope() {
    let [population, judged, by_some_only, wrong] = case_by_case(&generated::records().to_sqlite());
    assert!(population > 1000 && judged > 100, "{population}, {judged}");
    assert_eq!((by_some_only, wrong), (0, 0));
    for part in PARTS {
        for table in hand_counts::tables_of(part) {
            let [.., by_some_only, wrong] = case_by_case(&hand_counts::records(&table).to_sqlite());
            assert_eq!((by_some_only, wrong), (0, 0), "{}", table.display());
        }
    }
}

/// Cases and minutes of a measure over all cases.
fn totals(tables: &CountTables, measure: &Definition) -> (u64, i64) {
    let count = &tables.minutes[&Key::of_all(measure, None)];
    let minutes = count.cases.iter();
    let minutes = minutes.map(|((value, _), cases)| value * i64::try_from(*cases).unwrap());
    (count.cases.values().sum(), minutes.sum())
}

#[test]
fn the_count_tables_of_the_parts_add_up_to_call_to_scope_over_the_same_cases() {
    let measures = built_in();
    let call_to_scope = measures
        .iter()
        .find(|measure| measure.id == "call_to_scope");
    // Call to scope in over the cases that the parts judge: its own minutes, their eligibility.
    let [first, ..] = parts();
    let mut same_cases = call_to_scope.unwrap().clone();
    same_cases.sql = format!(
        "select whole.case_id as case_id, parts.eligible as eligible,
            whole.minutes as minutes, whole.reached as reached
        from ({}) as whole
        join ({}) as parts on whole.case_id = parts.case_id",
        same_cases.sql, first.sql
    );
    let mut measures = parts().to_vec();
    measures.push(same_cases.clone());
    let records = generated::records();
    let tables = crate::second_engine::check_equal(&records, &measures);
    let (cases, minutes) = totals(&tables, &same_cases);
    let of_parts = parts().map(|part| totals(&tables, &part));
    assert!(of_parts.iter().all(|part| part.0 == cases), "{of_parts:?}");
    assert_eq!(of_parts.iter().map(|part| part.1).sum::<i64>(), minutes);
    assert!(tables.minutes.keys().any(|key| key.by != ALL));
}
