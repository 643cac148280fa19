use super::*;
use crate::domain::measure::Better;
use crate::export::described::{DEFINITION, METHOD, UNIT, described};
use crate::export::findings::tests::share;
use crate::export::headlines::tests::review;
use crate::export::table::Format;
use crate::findings::finding::Findings;

fn definition(id: &str, kind: MeasureKind) -> Definition {
    Definition {
        id: id.to_owned(),
        version: 1,
        kind,
        title: "Overtube used".to_owned(),
        question: "Was one used?".to_owned(),
        eligible: "object present".to_owned(),
        hit: "overtube recorded".to_owned(),
        better: Better::Neither,
        source: String::new(),
        sql: String::new(),
    }
}

fn review_of(findings: Vec<Finding>, definitions: Vec<Definition>) -> Review {
    Review {
        first_month: "2026-08".parse().unwrap(),
        definitions,
        findings: Findings::new(findings),
        ..review(Vec::new())
    }
}

#[test]
fn every_month_has_a_row_and_a_withheld_or_missing_number_is_empty() {
    let minutes = |group: &str, method| Finding {
        measure: "call_to_scope".to_owned(),
        kind: MeasureKind::Minutes,
        statistic: Statistic::Median,
        estimate: Some(54.5),
        censored: 2,
        unit: Unit::Minutes,
        method,
        ..share(group)
    };
    let findings = vec![
        share(ALL),
        share("Alder"),
        Finding {
            suppressed: true,
            ..share("Birch")
        },
        minutes(ALL, Method::OrderStatistics),
        minutes("Alder", Method::KaplanMeier),
    ];
    let definitions = vec![
        definition("overtube_used", MeasureKind::Share),
        definition("call_to_scope", MeasureKind::Minutes),
    ];
    let table = described(&months_table(&review_of(findings, definitions)).unwrap());
    let csv = String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap();
    assert_eq!(
        csv,
        "by,group,month,overtube_used,overtube_used_events,overtube_used_cases,call_to_scope,\
         call_to_scope_cases,call_to_scope_censored\n\
         all,all,2026-08,,,,,,\n\
         all,all,2026-09,0.75,3,4,54.5,4,2\n\
         site,Alder,2026-08,,,,,,\n\
         site,Alder,2026-09,0.75,3,4,54.5,4,2\n\
         site,Birch,2026-08,,,,,,\n\
         site,Birch,2026-09,,,,,,\n"
    );
    let schema = table.batch.schema();
    let said = |column: &str, key: &str| {
        let field = schema.field_with_name(column).unwrap();
        field.metadata()[key].clone()
    };
    assert_eq!(
        said("overtube_used", DEFINITION),
        "share of overtube_used, Overtube used: Was one used? Judged: object present. \
         Counted: overtube recorded."
    );
    assert_eq!(said("call_to_scope", UNIT), "minutes");
    assert_eq!(
        said("call_to_scope", METHOD),
        "order_statistics or kaplan_meier"
    );
    assert_eq!(said("call_to_scope_censored", UNIT), "cases");
}

#[test]
fn each_kind_of_measure_has_its_own_counts() {
    let definitions = [
        ("a", MeasureKind::ClusteredShare),
        ("b", MeasureKind::Count),
    ];
    let definitions = definitions.map(|(id, kind)| definition(id, kind)).to_vec();
    let table = months_table(&review_of(Vec::new(), definitions)).unwrap();
    let schema = table.batch.schema();
    let names: Vec<_> = schema.fields().iter().map(|field| field.name()).collect();
    assert_eq!(
        names,
        [
            "by", "group", "month", "a", "a_events", "a_passes", "b", "b_events"
        ]
    );
}
