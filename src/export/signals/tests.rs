use super::*;
use crate::domain::month::Month;
use crate::export::table::Format;
use crate::findings::finding::Statistic;

fn month(text: &str) -> Month {
    text.parse().unwrap()
}

/// Three months, the middle one a gap; the last is beyond its limits and ends a run.
fn chart() -> MonthChart {
    let point = |text: &str, value: Option<f64>| MonthValue {
        month: month(text),
        n: value.map_or(0, |_| 7),
        value,
        line: Some(40.5),
        low: None,
        high: Some(60.25),
    };
    let signal = |rule, first: &str| MonthSignal {
        rule,
        side: Some(Side::Above),
        first: month(first),
        last: month("2026-03"),
        met: month("2026-03"),
        points: 2,
    };
    MonthChart {
        measure: "call_to_scope".to_owned(),
        by: "site".to_owned(),
        group: "Birch".to_owned(),
        statistic: Statistic::Median,
        form: ChartForm::Xmr,
        points: vec![
            point("2026-01", Some(41.0)),
            point("2026-02", None),
            point("2026-03", Some(70.0)),
        ],
        baselines: vec![
            Baseline {
                form: ChartForm::Run,
                first: month("2025-01"),
                last: month("2025-03"),
                points: 3,
            },
            Baseline {
                form: ChartForm::Xmr,
                first: month("2026-02"),
                last: month("2026-03"),
                points: 2,
            },
        ],
        signals: vec![
            signal(MonthRule::EightOnOneSide, "2026-01"),
            signal(MonthRule::BeyondLimits, "2026-03"),
        ],
        chance: Some(0.025),
        autocorrelation: None,
    }
}

fn csv(table: Result<Table, TableError>) -> String {
    String::from_utf8(table.unwrap().encode(Format::Csv).unwrap()).unwrap()
}

#[test]
fn every_month_has_its_lines_and_the_rules_of_its_patterns() {
    let signals = Signals {
        charts: vec![chart()],
    };
    assert_eq!(
        csv(signals_table(&signals)),
        "measure,by,group,statistic,unit,month,form,n,value,line,low,high,rule,side\n\
         call_to_scope,site,Birch,median,minutes,2026-01,run,7,41,40.5,,60.25,eight_on_one_side,above\n\
         call_to_scope,site,Birch,median,minutes,2026-02,xmr,0,,40.5,,60.25,,\n\
         call_to_scope,site,Birch,median,minutes,2026-03,xmr,7,70,40.5,,60.25,\
         beyond_limits+eight_on_one_side,above\n"
    );
}

#[test]
fn the_chance_stands_beside_the_last_lines_of_a_chart() {
    let without = MonthChart {
        measure: "calls".to_owned(),
        statistic: Statistic::Rate,
        baselines: Vec::new(),
        chance: None,
        ..chart()
    };
    let signals = Signals {
        charts: vec![chart(), without],
    };
    assert_eq!(
        csv(signal_charts_table(&signals)),
        "measure,by,group,statistic,unit,form,first_month,baseline_last_month,baseline_months,chance,\
         autocorrelation\n\
         call_to_scope,site,Birch,median,minutes,run,2025-01,2025-03,3,,\n\
         call_to_scope,site,Birch,median,minutes,xmr,2026-02,2026-03,2,0.025,\n\
         calls,site,Birch,rate,per 30 site-days,,,,0,,\n"
    );
}

#[test]
fn the_dictionary_names_every_form() {
    assert_eq!(
        forms(),
        "run, p, exact_p, laney_p, u, exact_u, laney_u or xmr"
    );
}
