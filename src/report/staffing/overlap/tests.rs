use super::*;
use crate::domain::duty::call::Call;
use crate::domain::duty::plan::DutyPlan;
use crate::findings::staffing::invented_calls::{at, calendar, call};
use crate::findings::staffing::overlap as findings;
use crate::stats::Level;

fn made(calls: &[Call]) -> Overlap {
    findings::overlap(calls, &calendar(30), DutyPlan::default().rules, Level::P95)
}

/// Each evening two calls half an hour apart, the second of which finds the team bound.
fn in_pairs() -> Vec<Call> {
    (0..30)
        .flat_map(|day| {
            [
                call(at(day, 20, 0), Some(60)),
                call(at(day, 20, 30), Some(60)),
            ]
        })
        .collect()
}

#[test]
fn calls_in_pairs_meet_more_often_than_calls_at_random() {
    let overlap = made(&in_pairs());
    let sentences = in_words(&overlap);
    // 44 calls in 88 hours and 16 in 32, an hour each: a load of 1/2, of which 1 - exp(-1/2) is 39.3 %.
    assert_eq!(
        sentences,
        [
            "A team of the site was still bound when 30 of 60 calls (50%, 95% interval 38 to 62%) came; \
             calls at random, as many at each time of the week as here, would give 39.3%, which lies \
             within that interval.",
            "No call found two teams bound.",
        ]
    );
    let section = section(Some(&overlap));
    let text = format!("{section:?}");
    // At a steady rate 60 calls in 720 hours, a load of 1/12: 1 - exp(-1/12) is 8.0 %.
    assert!(text.contains("At a steady rate the model says 8.0%, which lies below the interval"));
    assert!(text.contains("the model says 39.3%, which lies within the interval"));
    // One site stands alone, without a row for all sites.
    assert!(!text.contains("All sites\""), "{text}");
}

#[test]
fn a_figure_has_observed_and_model_of_every_shift_and_a_table_behind_it() {
    let figure = beside_model(&made(&in_pairs()));
    let Plot::Rows(lines) = &figure.chart.plot else {
        panic!("rows");
    };
    // No call came in staffed hours: two headings, and 5 + 4 lines.
    assert_eq!(lines.len(), 2 + 9);
    assert_eq!(figure.table.rows.len(), 8);
    assert_eq!(by_block(&made(&in_pairs())).table.rows.len(), 12);
}

#[test]
fn unknown_lengths_make_every_share_a_lower_bound() {
    let mut calls = in_pairs();
    calls.push(call(at(3, 4, 0), None));
    calls.sort_by_key(|call| call.called);
    let overlap = made(&calls);
    assert_eq!(
        in_words(&overlap)[1],
        "No call found two teams bound; no end is known for 1 call, so a few more may have met."
    );
    let has_caution = section(Some(&overlap)).blocks.iter().any(
        |block| matches!(block, Block::Caution(text) if text.starts_with("Without a known end: 1 of 61 calls.")),
    );
    assert!(has_caution);
}

#[test]
fn first_page_and_section_judge_by_the_same_model() {
    // Monday to Friday two calls from 8 on that never meet, and a steady rate that would allow it.
    let mut calls: Vec<_> = (0..14)
        .filter(|day| day % 7 < 5)
        .flat_map(|day| {
            [
                call(at(day, 8, 0), Some(60)),
                call(at(day, 10, 0), Some(60)),
            ]
        })
        .collect();
    calls.push(call(at(13, 20, 0), Some(60)));
    let rules = DutyPlan::default().rules;
    let overlap = findings::overlap(&calls, &calendar(14), rules, Level::P95);
    let words = in_words(&overlap);
    assert!(
        words[0].ends_with("which lies outside that interval: fewer calls met."),
        "{words:?}"
    );
    let text = format!("{:?}", section(Some(&overlap)));
    assert!(text.contains("which lies above the interval of the observed share: fewer calls met"));
}

#[test]
fn without_ends_nothing_is_told_and_few_calls_are_not_compared() {
    let calls: Vec<_> = (0..30).map(|day| call(at(day, 20, 0), None)).collect();
    let overlap = made(&calls);
    assert_eq!(
        in_words(&overlap),
        ["How often calls met cannot be told: no end is known for 30 of 30 calls."]
    );
    let section_made = section(Some(&overlap));
    assert_eq!(section_made.blocks.len(), 2);
    assert!(format!("{section_made:?}").contains("Here no end is known for 30 of 30 calls."));

    let one = made(&[call(at(3, 20, 0), Some(60))]);
    assert_eq!(
        in_words(&one)[0],
        "A team of the site was still bound when 0 of 1 call came; that is too few calls to compare \
         with calls at random."
    );
    let text = format!("{:?}", section(Some(&one)));
    assert!(
        text.contains("too few calls to compare with the model")
            && !text.contains("within the interval")
    );
}

#[test]
fn a_site_without_ends_is_named_and_left_out_of_all_sites() {
    let mut calls = in_pairs();
    calls.extend((0..3).map(|day| Call {
        site: "Birch".to_owned(),
        ..call(at(day, 20, 0), None)
    }));
    calls.sort_by_key(|call| call.called);
    let overlap = made(&calls);
    assert!(
        in_words(&overlap)[0].starts_with("A team of the site was still bound when 30 of 60 calls")
    );
    assert!(in_words(&overlap)[1].ends_with("left out, since too few ends are known: Birch."));
    let table = by_site(&overlap);
    assert_eq!(table.rows[1][1].text, "cannot be told");
    assert!(
        table
            .rows
            .iter()
            .all(|row| row.len() == table.columns.len())
    );
}

#[test]
fn elapsed_times_and_no_calls_are_said() {
    let without = section(None);
    assert!(matches!(&without.blocks[..], [Block::Caution(text)] if text.contains("clock times")));
    assert_eq!(section(Some(&made(&[]))).blocks.len(), 1);
    assert!(in_words(&made(&[])).is_empty());
}
