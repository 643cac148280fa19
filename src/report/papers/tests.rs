//! The tables of a paper.

mod by_month;
mod texts;

use super::*;
use crate::findings::case_mix::{Category, Groups, Time};
use crate::findings::comparisons::drawn::DrawnShare;
use crate::findings::comparisons::method::ComparisonMethod;
use crate::findings::comparisons::{Comparisons, Counted, Interval};
use crate::findings::curves::{Curve, CurvePoint, Curves, EndShare, EndsBy};
use crate::findings::finding::{Findings, Method, Statistic};
use crate::findings::shared::ShareRules;
use crate::report::tests::invented;

fn mix(groups: &[(&str, u64)]) -> CaseMix {
    let largest = Some(Largest {
        size: 0.256,
        between: [0, 1],
    });
    let quartiles = Quartiles {
        cases: 1234,
        excluded: 2,
        median: Some(43.0),
        p25: Some(30.0),
        p75: None,
    };
    CaseMix {
        by: Groups::Site,
        groups: groups
            .iter()
            .map(|(name, cases)| ((*name).to_owned(), *cases))
            .collect(),
        variables: vec![Variable {
            name: "sex",
            categories: vec![Category {
                code: "female".to_owned(),
                cases: groups.iter().map(|_| 2).collect(),
            }],
            missing: groups.iter().map(|_| 6).collect(),
            largest,
        }],
        times: vec![Time {
            measure: "call_to_scope".to_owned(),
            all: quartiles,
            groups: groups.iter().map(|_| Quartiles::default()).collect(),
            largest: None,
        }],
        not_counted: Vec::new(),
        withheld: Vec::new(),
    }
}

fn texts(row: &[Cell]) -> Vec<&str> {
    row.iter().map(|cell| cell.text.as_str()).collect()
}

#[test]
fn table_one_has_shares_of_the_recorded_and_missing_of_all() {
    let mix = mix(&[("A_1", 8), ("B&B", 8), ("C", 8)]);
    let table = case_mix(&invented::review(), &mix);
    assert_eq!(
        table.columns,
        [
            "",
            "All (n = 24)",
            "A_1 (n = 8)",
            "B&B (n = 8)",
            "C (n = 8)",
            "SMD"
        ]
    );
    let rows: Vec<_> = table.rows.iter().map(|row| texts(row)).collect();
    assert_eq!(rows[0], ["Sex", "", "", "", "", "0.26 (A_1, B&B)"]);
    // Two of two recorded are too few for a percentage; six of six are not.
    assert_eq!(rows[1], ["\u{2003}female", "6 (100%)", "2", "2", "2", ""]);
    assert_eq!(
        rows[2],
        [
            "\u{2003}not recorded",
            "18 (75%)",
            "6 (75%)",
            "6 (75%)",
            "6 (75%)",
            ""
        ]
    );
    assert_eq!(rows[3][1..3], ["43 (30 to –), n = 1,234", "–"]);
    assert!(table.caption.contains("n = 24 cases"), "{}", table.caption);
}

#[test]
fn more_groups_than_a_page_holds_stand_in_the_file_alone() {
    let groups: Vec<_> = (0..9).map(|_| ("Site", 8)).collect();
    let table = case_mix(&invented::review(), &mix(&groups));
    assert_eq!(table.columns.len(), 3);
    assert!(table.rows.iter().all(|row| row.len() == 3));
    assert!(
        table
            .caption
            .contains("The 9 groups stand in tables/case_mix.csv")
    );
}

#[test]
fn what_the_counts_do_not_hold_is_named_with_the_reason() {
    let older = CaseMix {
        not_counted: vec!["age_group".to_owned(), "call_to_scope".to_owned()],
        ..mix(&[("A", 8), ("B", 8)])
    };
    let review = invented::review();
    let caption = case_mix(&review, &older).caption;
    assert!(
        caption.contains(
            "Not counted for every case by site, so without a row here: age group, Call to scope."
        ),
        "{caption}"
    );
    let (text, _) = methods::methods(&review, Some(&older));
    assert!(
        text.contains("Case mix: Not counted for every case by site"),
        "{text}"
    );
    let whole = case_mix(&review, &mix(&[("A", 8), ("B", 8)])).caption;
    assert!(!whole.contains("Not counted"), "{whole}");
}

/// A finding of shares; every number is its own.
fn found(measure: &str, by: &str, group: &str, [events, cases]: [u64; 2]) -> Finding {
    Finding {
        measure: measure.to_owned(),
        kind: crate::domain::measure::MeasureKind::Share,
        by: by.to_owned(),
        group: group.to_owned(),
        month: None,
        statistic: Statistic::Share,
        estimate: share(events, cases),
        low: Some(0.25),
        high: Some(0.75),
        level: 0.95,
        method: Method::Wilson,
        events,
        cases,
        attempts: None,
        excluded: 0,
        censored: 0,
        suppressed: false,
        unit: Unit::Fraction,
    }
}

#[test]
fn a_number_stands_behind_its_counts_and_alone_it_never_stands() {
    let share = found("a", "all", "all", [19, 20]);
    let minutes = Finding {
        statistic: Statistic::Median,
        estimate: Some(54.5),
        unit: Unit::Minutes,
        ..share.clone()
    };
    let rate = Finding {
        statistic: Statistic::Rate,
        estimate: Some(12.25),
        events: 38,
        unit: Unit::Per30SiteDays,
        ..share.clone()
    };
    let few = found("a", "all", "all", [1, 4]);
    let none = found("a", "all", "all", [0, 0]);
    let hidden = Finding {
        suppressed: true,
        ..share.clone()
    };
    let passes = Finding {
        attempts: Some(40),
        ..share.clone()
    };
    for (finding, words) in [
        (share, "19 of 20 (95%)"),
        (passes, "19 of 40 passes in 20 cases (95%)"),
        (few, "1 of 4"),
        (minutes, "54.5 min, n = 20"),
        (rate, "12.3 (38 events)"),
        (none, "no cases"),
        (hidden, "withheld"),
    ] {
        assert_eq!(number_with_counts(&finding), words);
    }
}

#[test]
fn devices_stand_with_raw_and_drawn_shares_and_few_cases_are_left_out() {
    const FIRST: &str = "first_device_success";
    let findings = vec![
        found(FIRST, "device", "net", [5, 8]),
        found(FIRST, "device+object_type", "net|coin", [4, 5]),
        found(FIRST, "device+object_type", "net|bone", [1, 3]),
        found(FIRST, "device", "snare", [0, 0]),
    ];
    let suppressed = Finding {
        suppressed: true,
        ..found(FIRST, "device", "snare", [0, 0])
    };
    let comparisons = Comparisons {
        drawn: vec![DrawnShare {
            measure: FIRST.to_owned(),
            by: "device+object_type".to_owned(),
            group: "net|coin".to_owned(),
            raw: Counted {
                events: 4,
                cases: 5,
            },
            estimate: 0.7,
            interval: Some(Interval {
                low: 0.5,
                high: 0.9,
            }),
            method: ComparisonMethod::BetaBinomial,
            devices: 2,
        }],
        ..Comparisons::default()
    };
    let mut review = Review {
        findings: Findings::new(findings.clone()),
        comparisons,
        ..invented::review()
    };
    let table = devices::table(&review);
    let rows: Vec<_> = table.rows.iter().map(|row| texts(row)).collect();
    assert_eq!(
        rows[1..],
        [
            [
                "\u{2003}retrieval net",
                "all",
                "5 of 8 (63%)",
                "25 to 75%",
                "–"
            ],
            [
                "\u{2003}retrieval net",
                "coin",
                "4 of 5 (80%)",
                "25 to 75%",
                "70% (50 to 90%)"
            ],
        ]
    );
    // No device was set beside the others.
    assert_eq!(table.columns.last().map(String::as_str), Some("Drawn"));
    for (words, is_said) in [
        ("Drawn:", true),
        ("fewer than 5 cases stand", true),
        ("Difference:", false),
        ("withheld", false),
    ] {
        assert_eq!(table.caption.contains(words), is_said, "{}", table.caption);
    }
    let others = findings
        .into_iter()
        .filter(|finding| finding.group != "snare");
    review.findings = Findings::new(others.chain([suppressed]).collect());
    let shared = devices::table(&review);
    assert_eq!(shared.rows, table.rows);
    assert!(
        shared
            .caption
            .contains("whose numbers are withheld have no row")
    );
}

#[test]
fn curves_end_where_few_are_at_risk_and_ends_have_their_counts() {
    let point = |minutes, at_risk, reached| CurvePoint {
        minutes,
        at_risk,
        events: 1,
        censored: 0,
        reached,
        interval: Some(Interval {
            low: 0.25,
            high: 0.75,
        }),
    };
    let share = |events| EndShare {
        counted: Counted { events, cases: 20 },
        interval: Interval {
            low: 0.25,
            high: 0.75,
        },
    };
    let review = Review {
        curves: Curves {
            curves: vec![Curve {
                measure: "call_to_scope".to_owned(),
                by: "urgency",
                group: "urgent".to_owned(),
                cases: 20,
                censored: 2,
                // At 60 min five are at risk, at 120 min four.
                points: vec![
                    point(20, 20, 0.5),
                    point(50, 6, 0.75),
                    point(110, 5, 0.8),
                    point(130, 4, 0.9),
                ],
            }],
            ends: vec![EndsBy {
                minutes: 60,
                scoped: share(15),
                left: share(2),
                waiting: share(3),
            }],
            ends_excluded: 7,
        },
        ..invented::review()
    };
    let table = times::curves(&review);
    let rows: Vec<_> = table.rows.iter().map(|row| texts(row)).collect();
    assert_eq!(
        rows[1..],
        [
            [
                "\u{2003}urgent (20 cases, 2 not followed to the end)",
                "15 min",
                "20",
                "0%",
                "–"
            ],
            ["", "30 min", "6", "50%", "25 to 75%"],
            ["", "60 min", "5", "75%", "25 to 75%"],
        ]
    );
    let table = times::ends(&review);
    assert!(
        table
            .caption
            .contains("20 calls that could be judged (7 could not)")
    );
    assert_eq!(
        texts(&table.rows[0]),
        [
            "60 min",
            "15 (75%, 25 to 75%)",
            "2 (10%, 25 to 75%)",
            "3 (15%, 25 to 75%)"
        ]
    );
}

#[test]
fn there_is_one_file_for_each_part_of_a_paper() {
    let files = papers(&invented::review(), Some(&mix(&[("A", 8), ("B", 8)])));
    let names: Vec<_> = files.iter().map(|(path, _)| path.as_str()).collect();
    assert_eq!(
        names,
        [
            "papers/case_mix.md",
            "papers/case_mix.tex",
            "papers/main_findings.md",
            "papers/main_findings.tex",
            "papers/devices.md",
            "papers/devices.tex",
            "papers/months.md",
            "papers/months.tex",
            "methods.txt",
            "methods.bib",
            "reporting.md"
        ]
    );
    assert!(files.iter().all(|(_, text)| text.ends_with('\n')));
}
