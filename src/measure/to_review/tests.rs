//! Each rule with cases made by hand, and the list beside the counts of the same records.

use super::*;
use crate::domain::exposure::Exposure;
use crate::domain::fields::PassField;
use crate::domain::review_rules::review_rules;
use crate::findings::cases_to_look_at::{check_list, rule_tallies};
use crate::measure::engine::tests::records;
use crate::measure::{built_in, count};

/// One case: its number, and columns that are not null. A window, a call and a month stand in each
/// unless given otherwise; an empty value is a null.
type Case<'a> = (&'a str, &'a [(&'a str, &'a str)]);

fn cases(cases: &[Case<'_>]) -> RecordBatch {
    let usual = [
        ("site", "Alder"),
        ("month", "2026-03"),
        ("called_minute", "1000"),
        ("window_id", "w"),
        ("window_start_minute", "1000"),
        ("scope_in_minute", "1030"),
    ];
    let mut cells = Vec::new();
    for (row, (number, given)) in cases.iter().enumerate() {
        cells.push((row, "case_id", *number));
        let usual = usual
            .iter()
            .filter(|(column, _)| !given.iter().any(|(known, _)| known == column));
        let of_case = usual.chain(*given).filter(|(_, value)| !value.is_empty());
        cells.extend(of_case.map(|(column, value)| (row, *column, *value)));
    }
    records::<CaseField>(cases.len(), &cells)
}

fn passes(rows: &[(&str, &str, &str)]) -> RecordBatch {
    let mut cells = Vec::new();
    for (row, (case, number, device)) in rows.iter().enumerate() {
        cells.push((row, "case_id", *case));
        cells.push((row, "pass_number", *number));
        cells.push((row, "device", *device));
    }
    records::<PassField>(rows.len(), &cells)
}

fn part(cases: &[RecordBatch], passes: &[RecordBatch]) -> CasesWithPasses {
    CasesWithPasses {
        cases: cases.to_vec(),
        passes: passes.to_vec(),
    }
}

/// (case, rule) of every row, in order; the counts of the same records must agree with it.
#[track_caller]
fn listed(cases: &RecordBatch, passes: &RecordBatch) -> Vec<(String, &'static str)> {
    let (cases, passes) = (std::slice::from_ref(cases), std::slice::from_ref(passes));
    let rules = review_rules();
    let mut definitions = built_in();
    definitions.retain(|measure| rules.iter().any(|rule| rule.measure == measure.id));
    let list = cases_to_review(&[part(cases, passes)], &definitions, &rules).unwrap();
    let counts = count(cases, passes, &Exposure::new(), &definitions).unwrap();
    let month = "2026-03".parse().unwrap();
    let tallies = rule_tallies(&counts, &definitions, &rules, month, month);
    assert_eq!(tallies.len(), rules.len());
    assert_eq!(check_list(&tallies, &list), Ok(()));
    let short = |row: &CaseToReview| (row.case.expose().to_owned(), row.rule.id);
    list.iter().map(short).collect()
}

#[track_caller]
fn check(given: &[Case<'_>], used: &[(&str, &str, &str)], expected: &[(&str, &str)]) {
    let found = listed(&cases(given), &passes(used));
    let found: Vec<_> = found
        .iter()
        .map(|(case, rule)| (case.as_str(), *rule))
        .collect();
    assert_eq!(found, expected);
}

const FOOD: (&str, &str) = ("presentation", "food_impaction");
const OBJECT: (&str, &str) = ("presentation", "foreign_body");
const OUT: (&str, &str) = ("outcome", "removed");

#[test]
fn a_case_is_beyond_its_window_from_the_minute_after_the_last_one() {
    let limit = ("window_minutes", "120");
    check(
        &[
            (
                "at the limit",
                &[FOOD, OUT, limit, ("scope_in_minute", "1120")],
            ),
            ("beyond", &[FOOD, OUT, limit, ("scope_in_minute", "1121")]),
            (
                "before the start",
                &[FOOD, OUT, limit, ("scope_in_minute", "999")],
            ),
            ("no scope in", &[FOOD, OUT, limit, ("scope_in_minute", "")]),
            ("no time", &[FOOD, OUT]),
        ],
        &[],
        &[("beyond", "beyond_window")],
    );
}

#[test]
fn a_case_without_a_window_is_listed_unless_it_was_called_off_before_the_scope() {
    let no_window = ("window_id", "");
    check(
        &[
            ("not assignable", &[FOOD, OUT, no_window]),
            (
                "called off",
                &[
                    FOOD,
                    no_window,
                    ("outcome", "cancelled"),
                    ("scope_in_minute", ""),
                ],
            ),
            (
                "no start",
                &[
                    FOOD,
                    OUT,
                    ("window_minutes", "120"),
                    ("window_start_minute", ""),
                ],
            ),
        ],
        &[],
        &[("not assignable", "no_window")],
    );
}

#[test]
fn a_failed_retrieval_is_listed_and_food_pushed_on_is_none() {
    let ended = |outcome| ("outcome", outcome);
    check(
        &[
            ("failed", &[OBJECT, ended("failed")]),
            ("given up", &[FOOD, ended("cancelled")]),
            (
                "called off",
                &[FOOD, ended("cancelled"), ("scope_in_minute", "")],
            ),
            ("gone", &[OBJECT, ended("not_present")]),
            ("object pushed", &[OBJECT, ended("pushed")]),
            ("food pushed", &[FOOD, ended("pushed")]),
            ("unknown", &[OBJECT]),
            ("bleed", &[("presentation", "upper_bleed"), ended("failed")]),
        ],
        &[],
        &[
            ("failed", "not_retrieved"),
            ("given up", "not_retrieved"),
            ("object pushed", "not_retrieved"),
        ],
    );
}

#[test]
fn a_sharp_object_is_unprotected_only_when_every_aid_was_recorded_as_not_used() {
    let sharp = ("sharp", "yes");
    let aids = |overtube, hood, cap| [("overtube", overtube), ("hood", hood), ("cap", cap)];
    let [no_overtube, no_hood, no_cap] = aids("no", "no", "no");
    check(
        &[
            ("none", &[OBJECT, OUT, sharp, no_overtube, no_hood, no_cap]),
            (
                "hood",
                &[OBJECT, OUT, sharp, no_overtube, ("hood", "yes"), no_cap],
            ),
            ("unknown", &[OBJECT, OUT, sharp, no_overtube, no_hood]),
            (
                "blunt",
                &[OBJECT, OUT, ("sharp", "no"), no_overtube, no_hood, no_cap],
            ),
        ],
        &[],
        &[("none", "sharp_unprotected")],
    );
}

#[test]
fn harm_is_listed_also_of_a_case_called_off_before_the_scope() {
    let bleed = ("presentation", "upper_bleed");
    let event = |event| ("adverse_event", event);
    check(
        &[
            ("perforation", &[bleed, event("perforation")]),
            ("none", &[bleed, event("none")]),
            ("not recorded", &[bleed]),
            (
                "at induction",
                &[
                    bleed,
                    event("aspiration"),
                    ("outcome", "cancelled"),
                    ("scope_in_minute", ""),
                ],
            ),
        ],
        &[],
        &[
            ("at induction", "harm_recorded"),
            ("perforation", "harm_recorded"),
        ],
    );
}

#[test]
fn a_third_device_is_one_unlike_the_first_two() {
    check(
        &[
            ("back to the first", &[FOOD, OUT]),
            ("third", &[FOOD, OUT]),
            ("two", &[FOOD, OUT]),
        ],
        &[
            ("third", "1", "net"),
            ("third", "2", "snare"),
            ("third", "3", "push"),
            ("back to the first", "1", "net"),
            ("back to the first", "2", "snare"),
            ("back to the first", "3", "net"),
            ("two", "1", "net"),
            ("two", "2", "snare"),
        ],
        &[("third", "third_device")],
    );
}

#[test]
fn a_pre_clean_is_missing_when_it_was_recorded_as_not_done() {
    let bleed = ("presentation", "lower_bleed");
    check(
        &[
            ("no", &[bleed, ("preclean_done", "no")]),
            ("yes", &[bleed, ("preclean_done", "yes")]),
            ("blank", &[bleed]),
        ],
        &[],
        &[("no", "preclean_not_done")],
    );
}

#[test]
fn cases_stand_in_the_order_of_their_calls_and_two_rules_give_two_rows() {
    let failed = ("outcome", "failed");
    let harmed = ("adverse_event", "perforation");
    check(
        &[
            ("last", &[OBJECT, failed, ("called_minute", "1001")]),
            ("b", &[OBJECT, harmed, failed]),
            ("a", &[OBJECT, failed]),
            ("first", &[OBJECT, failed, ("called_minute", "-5")]),
        ],
        &[],
        &[
            ("first", "not_retrieved"),
            ("a", "not_retrieved"),
            ("b", "not_retrieved"),
            ("b", "harm_recorded"),
            ("last", "not_retrieved"),
        ],
    );
}

#[test]
fn a_row_has_what_lets_a_reader_judge_and_debug_hides_whose_it_is() {
    let cases = cases(&[(
        "SECRET",
        &[
            FOOD,
            OUT,
            ("site", ""),
            ("team_minute", "1010"),
            ("cart_minute", "1005"),
            ("removed_minute", "1300"),
            ("scope_in_minute", "1250"),
            ("window_start_minute", "900"),
            ("window_minutes", "240"),
        ],
    )]);
    let list = cases_to_review(&[part(&[cases], &[])], &built_in(), &review_rules()).unwrap();
    assert_eq!(list.len(), 1);
    let row = &list[0];
    assert_eq!(
        row.moments,
        Moments {
            called: 1000,
            team: Some(1010),
            cart: Some(1005),
            scope_in: Some(1250),
            removed: Some(1300),
            window_start: Some(900),
        }
    );
    assert_eq!((row.month.as_str(), row.site.as_ref()), ("2026-03", None));
    assert_eq!(
        (row.window.as_deref(), row.window_minutes),
        (Some("w"), Some(240))
    );
    assert!(!format!("{list:?}").contains("SECRET"));
}

#[test]
fn cases_of_all_parts_stand_in_the_order_of_their_calls() {
    let late = [("window_minutes", "20"), ("window_start_minute", "1005")];
    let at = |number, minute| {
        let columns = [FOOD, OUT, ("called_minute", minute), late[0], late[1]];
        cases(&[(number, &columns)])
    };
    let parts = [
        part(&[at("b", "1002"), at("d", "1003")], &[]),
        part(&[at("c", "1002"), at("a", "1001")], &[]),
    ];
    let list = cases_to_review(&parts, &built_in(), &review_rules()).unwrap();
    let mut numbers: Vec<_> = list.iter().map(|row| row.case.expose()).collect();
    numbers.dedup();
    assert_eq!(numbers, ["a", "b", "c", "d"]);
}

#[test]
fn no_records_and_no_definitions_list_nothing() {
    let rules = review_rules();
    assert_eq!(cases_to_review(&[], &built_in(), &rules).unwrap(), []);
    let cases = cases(&[("a", &[OBJECT, ("outcome", "failed")])]);
    assert_eq!(
        cases_to_review(&[part(&[cases], &[])], &[], &rules).unwrap(),
        []
    );
}
