//! Tallies of rules from counts made by hand.

use super::*;
use crate::domain::measure::Better;
use crate::domain::review_rules::Moments;
use crate::domain::unknown_words::CellText;

fn definition(id: &str) -> Definition {
    Definition {
        id: id.to_owned(),
        version: 1,
        kind: MeasureKind::Share,
        title: String::new(),
        question: String::new(),
        eligible: String::new(),
        hit: String::new(),
        better: Better::Neither,
        source: String::new(),
        sql: String::new(),
    }
}

fn rule(id: &'static str, listed: Listed) -> ReviewRule {
    ReviewRule {
        id,
        measure: "window",
        listed,
        words: "words",
    }
}

fn month(text: &str) -> Month {
    text.parse().expect("a month")
}

/// (by, group, month, eligible, hit, excluded)
const ROWS: [(&str, &str, &str, [u64; 3]); 6] = [
    ("all", "all", "2025-02", [100, 100, 100]),
    ("all", "all", "2025-03", [10, 8, 4]),
    ("all", "all", "2026-02", [5, 0, 1]),
    ("all", "all", "2026-03", [7, 4, 3]),
    (WHY_NOT_JUDGED, "not_assignable", "2026-02", [0, 0, 1]),
    (WHY_NOT_JUDGED, "not_assignable", "2026-03", [0, 0, 2]),
];

fn counts() -> CountTables {
    let rows = ROWS.map(|(by, group, at, [eligible, hit, excluded])| {
        let key = Key {
            measure: "window".to_owned(),
            version: 1,
            by: by.to_owned(),
            group: group.to_owned(),
            month: Some(month(at)),
        };
        let count = ShareCount {
            eligible,
            hit,
            excluded,
        };
        (key, count)
    });
    CountTables {
        shares: rows.into(),
        ..CountTables::default()
    }
}

fn rules() -> [ReviewRule; 3] {
    [
        rule("hit", Listed::Hit),
        rule("missed", Listed::Missed),
        rule("none", Listed::NotJudged("not_assignable")),
    ]
}

fn tallies(first: &str, in_view: &str) -> Vec<[[u64; 3]; 2]> {
    let definitions = [definition("window")];
    let tallies = rule_tallies(
        &counts(),
        &definitions,
        &rules(),
        month(first),
        month(in_view),
    );
    let numbers = |count: ListedCount| [count.listed, count.out_of, count.not_judged];
    tallies
        .iter()
        .map(|tally| [numbers(tally.month), numbers(tally.before)])
        .collect()
}

/// Of the months before, 2025-03 is the twelfth and 2025-02 one too many.
#[test]
fn each_result_is_counted_in_its_month_and_in_the_twelve_before() {
    assert_eq!(
        tallies("2020-01", "2026-03"),
        [
            [[4, 7, 3], [8, 15, 5]],
            [[3, 7, 3], [7, 15, 5]],
            [[2, 10, 0], [1, 20, 0]],
        ]
    );
}

#[test]
fn without_a_month_before_and_without_a_case_all_is_zero() {
    assert_eq!(tallies("2026-03", "2026-03")[0], [[4, 7, 3], [0, 0, 0]]);
    assert_eq!(tallies("2027-01", "2027-01"), [[[0; 3]; 2]; 3]);
}

#[test]
fn a_rule_whose_measure_is_not_counted_has_no_tally() {
    let at = month("2026-03");
    assert_eq!(rule_tallies(&counts(), &[], &rules(), at, at), []);
    let mut minutes = definition("window");
    minutes.kind = MeasureKind::Minutes;
    assert_eq!(rule_tallies(&counts(), &[minutes], &rules(), at, at), []);
}

#[test]
fn a_list_of_another_length_is_refused() {
    let at = month("2026-03");
    let definitions = [definition("window")];
    let tallies = rule_tallies(&counts(), &definitions, &rules()[1..2], at, at);
    let row = CaseToReview {
        rule: rules()[1],
        case: CellText::new("one"),
        site: None,
        month: "2026-03".to_owned(),
        moments: Moments::default(),
        window: None,
        window_minutes: None,
    };
    assert_eq!(check_list(&tallies, &vec![row.clone(); 3]), Ok(()));
    let error = check_list(&tallies, &vec![row; 2]).expect_err("one is missing");
    assert_eq!(
        error.to_string(),
        "rule `missed` counts 3 cases and lists 2: a fault of this program"
    );
}
