use super::*;
use crate::domain::measure::MeasureKind;
use crate::export::table::Format;
use crate::findings::finding::{Method, Statistic, Unit};
use arrow::array::Array;

/// 3 of 4 cases of `group` in 2026-09.
pub(in crate::export) fn share(group: &str) -> Finding {
    Finding {
        measure: "overtube_used".to_owned(),
        kind: MeasureKind::Share,
        by: if group == ALL { ALL } else { "site" }.to_owned(),
        group: group.to_owned(),
        month: Some("2026-09".parse().unwrap()),
        statistic: Statistic::Share,
        estimate: Some(0.75),
        low: Some(0.300_641_842_582_402),
        high: Some(1.0),
        level: 0.95,
        method: Method::Wilson,
        events: 3,
        cases: 4,
        attempts: None,
        excluded: 1,
        censored: 0,
        suppressed: false,
        unit: Unit::Fraction,
    }
}

fn csv(findings: Vec<Finding>) -> String {
    let table = findings_table(&Findings::new(findings)).unwrap();
    String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap()
}

#[test]
fn has_the_columns_of_the_contract_sorted_with_nulls_as_empty_cells() {
    let whole_period = Finding {
        month: None,
        low: None,
        ..share(ALL)
    };
    let expected = "\
measure,kind,by,group,month,statistic,estimate,low,high,level,method,events,cases,excluded,censored,suppressed,unit
overtube_used,share,all,all,all,share,0.75,,1,0.95,wilson,3,4,1,0,false,fraction
overtube_used,share,all,all,2026-09,share,0.75,0.300641842582402,1,0.95,wilson,3,4,1,0,false,fraction
overtube_used,share,site,\"Alder, North\",2026-09,share,0.75,0.300641842582402,1,0.95,wilson,3,4,1,0,false,fraction
";
    assert_eq!(
        csv(vec![share("Alder, North"), share(ALL), whole_period]),
        expected
    );
}

#[test]
fn a_suppressed_finding_shows_no_number_that_comes_from_cases() {
    let hidden = Finding {
        suppressed: true,
        ..share("Birch")
    };
    let text = csv(vec![hidden]);
    assert_eq!(
        text.lines().nth(1).unwrap(),
        "overtube_used,share,site,Birch,2026-09,share,,,,0.95,wilson,,,,,true,fraction"
    );
}

#[test]
fn every_column_says_what_it_means() {
    let table = findings_table(&Findings::default()).unwrap();
    assert_eq!(table.batch.num_rows(), 0);
    for field in table.batch.schema().fields() {
        assert!(
            field
                .metadata()
                .get("meaning")
                .is_some_and(|text| !text.is_empty())
        );
    }
}

#[test]
fn a_count_beyond_int64_is_an_error_that_names_the_column() {
    let impossible = Finding {
        cases: u64::MAX,
        ..share(ALL)
    };
    let error = findings_table(&Findings::new(vec![impossible])).unwrap_err();
    assert_eq!(
        error.to_string(),
        "a number in column `cases` does not fit a 64-bit whole number"
    );
}

#[test]
fn the_schema_does_not_depend_on_the_values() {
    let schema = |findings| {
        findings_table(&Findings::new(findings))
            .unwrap()
            .batch
            .schema()
    };
    assert_eq!(schema(vec![]), schema(vec![share(ALL)]));
    let table = findings_table(&Findings::new(vec![share(ALL)])).unwrap();
    assert!(
        table
            .batch
            .columns()
            .iter()
            .all(|column| column.null_count() == 0)
    );
}
