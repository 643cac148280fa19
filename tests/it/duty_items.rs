//! The uses of items and the cases by what finished them, by the engine inside the program against
//! those that `SQLite` gives for the same files, over generated records.

use crate::generated;
use crate::records::Records;
use arrow::array::Array;
use arrow::compute::concat_batches;
use rusqlite::Connection;
use rusqlite::types::Value;
use scopetally::domain::codes::NOT_RECORDED;
use scopetally::domain::duty::cart_item::CartItem;
use scopetally::domain::duty::item_counts::{ItemCounts, UnknownItem};
use scopetally::measure::item_counts;
use std::collections::BTreeMap;

const ITEM_USES: &str = include_str!("../../sql/staffing/item_uses.sql");
const FINISHED_CASES: &str = include_str!("../../sql/staffing/finished_cases.sql");

/// Numbers by a line of words.
type Counted = BTreeMap<String, u64>;

/// Generated records with a month, which every accepted record has.
fn records() -> Records {
    let Records { cases, passes } = generated::records();
    let months = cases.column_by_name("month").unwrap();
    let rows = (0..cases.num_rows()).filter(|row| !months.is_null(*row));
    let kept: Vec<_> = rows.map(|row| cases.slice(row, 1)).collect();
    let cases = concat_batches(&cases.schema(), &kept).unwrap();
    Records { cases, passes }
}

fn selected(database: &Connection, sql: &str) -> Vec<BTreeMap<String, Value>> {
    let mut statement = database.prepare(sql).unwrap();
    let names: Vec<_> = statement.column_names().map(String::from).collect();
    let mut rows = statement.query([]).unwrap();
    let mut found = Vec::new();
    while let Some(row) = rows.next().unwrap() {
        let cell = |(place, name): (usize, &String)| (name.clone(), row.get(place).unwrap());
        found.push(names.iter().enumerate().map(cell).collect());
    }
    found
}

fn text(row: &BTreeMap<String, Value>, column: &str) -> String {
    match &row[column] {
        Value::Null => NOT_RECORDED.to_owned(),
        Value::Text(text) => text.clone(),
        other => panic!("{column} is of type {}", other.data_type()),
    }
}

fn number(row: &BTreeMap<String, Value>, column: &str) -> u64 {
    match row[column] {
        Value::Integer(number) => number.try_into().unwrap(),
        ref other => panic!("{column} is of type {}", other.data_type()),
    }
}

/// What `SQLite` finds; pushing, suction and rigid endoscopy take nothing from a cart.
fn uses_of_sqlite(database: &Connection) -> Counted {
    let mut counted = Counted::new();
    for row in selected(database, ITEM_USES) {
        let item = match (text(&row, "kind").as_str(), text(&row, "item").as_str()) {
            (_, "push" | "suction" | "rigid") => continue,
            ("treatment", treatment @ ("combined" | "other")) => treatment.to_owned(),
            ("treatment", treatment) => format!("bleed_{treatment}"),
            (_, item) => item.to_owned(),
        };
        for what in ["cases", "passes"] {
            let key = [&text(&row, "site"), &text(&row, "month"), &item, what].join("|");
            *counted.entry(key).or_default() += number(&row, what);
        }
    }
    counted
}

fn uses_of_program(counts: &ItemCounts) -> Counted {
    let known = counts.uses.iter();
    let known = known.map(|(key, used)| (&key.site, key.month, key.item.code(), *used));
    let unknown = counts.unknown.iter().map(|(key, used)| {
        let item = match key.what {
            UnknownItem::DeviceOfPass => NOT_RECORDED,
            UnknownItem::CombinedTreatment => "combined",
            UnknownItem::OtherTreatment => "other",
        };
        (&key.site, key.month, item, *used)
    });
    let mut counted = Counted::new();
    for (site, month, item, used) in known.chain(unknown) {
        let at = format!("{site}|{month}|{item}");
        counted.insert(format!("{at}|cases"), used.cases);
        counted.insert(format!("{at}|passes"), used.passes);
    }
    counted
}

/// Cases by ending; those that finished there by their items, and by whether an aid is blank.
fn ended_of_sqlite(database: &Connection) -> Counted {
    let mut counted = Counted::new();
    for row in selected(database, FINISHED_CASES) {
        let (kind, ending) = (text(&row, "kind"), text(&row, "ending"));
        let mut items = Vec::new();
        let is_finished_object = ending == "finished" && kind == "object";
        if is_finished_object {
            let all = CartItem::all().map(CartItem::code);
            items = all
                .filter(|code| row.contains_key(*code) && number(&row, code) == 1)
                .map(String::from)
                .collect();
        } else if ending == "finished" {
            items.push(format!("bleed_{}", text(&row, "treatment")));
        }
        let is_blank = is_finished_object && number(&row, "blank_aids") == 1;
        let at = [text(&row, "site"), text(&row, "month"), kind, ending].join("|");
        let key = format!("{at}|{}|{is_blank}", items.join("+"));
        *counted.entry(key).or_default() += number(&row, "cases");
    }
    counted
}

fn ended_of_program(counts: &ItemCounts) -> Counted {
    let ended = counts.ended.iter().map(|(case, cases)| {
        let items: Vec<_> = case.items.iter().map(|item| item.code()).collect();
        let key = format!(
            "{}|{}|{}|{}|{}|{}",
            case.site,
            case.month,
            case.task.code(),
            case.ending.code(),
            items.join("+"),
            case.has_blank_aids
        );
        (key, *cases)
    });
    ended.collect()
}

#[test]
fn both_engines_count_the_uses_of_items_and_the_finished_cases_alike() {
    let records = records();
    let counts = item_counts(
        std::slice::from_ref(&records.cases),
        std::slice::from_ref(&records.passes),
    )
    .unwrap();
    let database = records.to_sqlite();
    assert_eq!(uses_of_program(&counts), uses_of_sqlite(&database));
    assert_eq!(ended_of_program(&counts), ended_of_sqlite(&database));
    // Every case ends in one way, and every item is used.
    let ended: u64 = counts.ended.values().sum();
    assert_eq!(ended, records.cases.num_rows() as u64);
    for item in CartItem::all() {
        assert!(
            counts.uses.keys().any(|key| key.item == item),
            "{}",
            item.code()
        );
    }
    // Two empty answers would be alike as well.
    for ending in ["finished", "left_cart", "items_unknown", "several_kinds"] {
        let of_ending = counts
            .ended
            .keys()
            .filter(|case| case.ending.code() == ending);
        assert!(of_ending.count() > 2, "{ending}");
    }
}

#[test]
fn the_queries_below_their_headers_are_sql_that_every_engine_runs() {
    for sql in [ITEM_USES, FINISHED_CASES] {
        let below: String = sql
            .lines()
            .skip_while(|line| line.starts_with("--"))
            .map(|line| format!("{line}\n"))
            .collect();
        let faults = crate::sql_rules::faults_of_sql(&below);
        assert!(faults.is_empty(), "{faults:?}");
    }
}
