//! Published series rebuilt as rows and sent through the binary give the published figures.

use crate::run::{Finding, Run};
use std::collections::BTreeMap;
use std::fmt::Write as _;

const MAPPING: &str = r#"
[cases]
time_form = "elapsed"
[cases.columns]
case_id = "case"
site = "arm"
presentation = "reason"
month = "month"
arrived_at = "arrived"
scope_in_at = "scope_in"
age_years = "age"
obstruction = "obstruction"
outcome = "outcome"
adverse_event = "harm"
[limits]
rows_set_aside = 0.0
values_unusable = 0.0
"#;

/// Rows of cases with the few columns that these series need.
struct Rows(String, u32);

impl Rows {
    fn new() -> Rows {
        Rows(
            "case,arm,reason,month,arrived,scope_in,age,obstruction,outcome,harm\n".into(),
            0,
        )
    }

    /// Adds `count` cases of one kind.
    fn add(&mut self, count: u32, rest: &str) {
        for _ in 0..count {
            self.1 += 1;
            let case = self.1;
            let (arm, rest) = rest.split_once(',').expect("an arm");
            writeln!(self.0, "{case},{arm},food_impaction,2020-06,{rest}").expect("a String");
        }
    }

    /// The findings of a review of these rows.
    fn review(self) -> Vec<BTreeMap<String, String>> {
        let run = Run::new();
        run.file("cases.csv", self.0).file("mapping.toml", MAPPING);
        let ended = run.on_files("review --out out");
        assert_eq!(ended.code, 0, "{}{}", ended.stdout, ended.stderr);
        run.table("out/tables/findings.csv")
    }
}

#[track_caller]
fn check_share(
    rows: &[BTreeMap<String, String>],
    measure: &str,
    [by, group]: [&str; 2],
    (events, cases): (u64, u64),
    percent: &str,
) -> Finding {
    let finding = Finding::at(rows, measure, [by, group, "all", "share"]);
    assert_eq!(
        (finding.count("events"), finding.count("cases")),
        (events, cases)
    );
    assert_eq!(
        format!("{:.1}", finding.number("estimate") * 100.0),
        percent
    );
    finding
}

/// Food impaction in 248 patients, 2015 to 2022 (JGH Open): complete obstruction scoped within
/// 6 hours in 51 of 134 = 38.1 %, partial obstruction within 24 hours in 93 of 114 = 81.6 %.
/// The times are made up on either side of the two windows, with one case at the very minute.
#[test]
fn the_shares_scoped_within_their_windows() {
    let mut rows = Rows::new();
    rows.add(50, "one,-60,235,50,complete,removed,none");
    rows.add(1, "one,-60,300,50,complete,removed,none");
    rows.add(1, "one,-60,301,50,complete,removed,none");
    rows.add(82, "one,-60,700,50,complete,removed,none");
    rows.add(92, "one,-60,1000,50,partial,removed,none");
    rows.add(1, "one,-60,1380,50,partial,removed,none");
    rows.add(1, "one,-60,1381,50,partial,removed,none");
    rows.add(20, "one,-60,3000,50,partial,removed,none");
    let rows = rows.review();
    let by = |group| ["obstruction", group];
    let complete = check_share(
        &rows,
        "scoped_within_window",
        by("complete"),
        (51, 134),
        "38.1",
    );
    // Wilson limits of 51 of 134 computed independently: 30.3 to 46.5 %.
    assert_eq!(format!("{:.3}", complete.number("low")), "0.303");
    assert_eq!(format!("{:.3}", complete.number("high")), "0.465");
    check_share(
        &rows,
        "scoped_within_window",
        by("partial"),
        (93, 114),
        "81.6",
    );
    let all = check_share(
        &rows,
        "scoped_within_window",
        ["all", "all"],
        (144, 248),
        "58.1",
    );
    assert_eq!(all.count("excluded"), 0);
}

/// Cap-assisted against conventional removal of food, a randomized trial of 342 patients
/// (American Journal of Gastroenterology 2021;116:2235-40): 170 of 171 and 160 of 171 retrieved,
/// mucosal tear or bleeding in 0 of 171 and 13 of 171.
#[test]
fn the_two_arms_of_a_retrieval_trial() {
    let mut rows = Rows::new();
    rows.add(170, "cap,-60,60,50,complete,removed,none");
    rows.add(1, "cap,-60,60,50,complete,failed,none");
    rows.add(147, "conventional,-60,60,50,complete,removed,none");
    rows.add(13, "conventional,-60,60,50,complete,removed,mucosal_tear");
    rows.add(11, "conventional,-60,60,50,complete,failed,none");
    let rows = rows.review();
    check_share(
        &rows,
        "retrieval_success",
        ["site", "cap"],
        (170, 171),
        "99.4",
    );
    check_share(
        &rows,
        "retrieval_success",
        ["site", "conventional"],
        (160, 171),
        "93.6",
    );
    let none = check_share(&rows, "adverse_event", ["site", "cap"], (0, 171), "0.0");
    assert_eq!(none.text("low"), "0");
    assert!(none.number("high") > 0.02, "no event is not no risk");
    check_share(
        &rows,
        "adverse_event",
        ["site", "conventional"],
        (13, 171),
        "7.6",
    );
}

/// Newcombe (1998), Statistics in Medicine 17:857-872, Table I, method 3 (Wilson), four examples
/// with their printed limits.
#[test]
fn the_wilson_examples_of_newcombe() {
    let examples = [
        (81, 263, "0.2553", "0.3662"),
        (15, 148, "0.0624", "0.1605"),
        (0, 20, "0.0000", "0.1611"),
        (1, 29, "0.0061", "0.1718"),
    ];
    let mut rows = Rows::new();
    for (events, cases, ..) in examples {
        rows.add(
            events,
            &format!("of {cases},-60,60,50,complete,removed,none"),
        );
        rows.add(
            cases - events,
            &format!("of {cases},-60,60,50,complete,failed,none"),
        );
    }
    let rows = rows.review();
    for (events, cases, low, high) in examples {
        let group = format!("of {cases}");
        let finding = Finding::at(&rows, "retrieval_success", ["site", &group, "all", "share"]);
        assert_eq!(finding.count("events"), u64::from(events));
        assert_eq!(
            format!("{:.4}", finding.number("low")),
            low,
            "{events} of {cases}"
        );
        assert_eq!(
            format!("{:.4}", finding.number("high")),
            high,
            "{events} of {cases}"
        );
        assert_eq!(finding.text("method"), "wilson");
    }
}
