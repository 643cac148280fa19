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
    // 60 calls in 720 hours, an hour each: a load of 1/12, of which 1 - exp(-1/12) is 8.0 %.
    assert_eq!(
        sentences,
        [
            "A team of the site was still bound when 30 of 60 calls (50%, Wilson 95% interval 38 to 62%) \
             came; at 0 of them two or more were.",
            "Calls at random with the same load would find a team bound at 8.0% of calls: more met than \
             that.",
        ]
    );
    let section = section(Some(&overlap));
    let text = format!("{section:?}");
    // The rate by hour: 44 calls in 88 hours and 16 in 32, a load of 1/2 in their blocks, 39.3 %.
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
    assert!(in_words(&overlap)[0].ends_with("These are lower bounds: no end is known for 1 call."));
    let has_caution = section(Some(&overlap)).blocks.iter().any(
        |block| matches!(block, Block::Caution(text) if text.starts_with("Without a known end: 1 of 61 calls.")),
    );
    assert!(has_caution);
}

#[test]
fn elapsed_times_and_no_calls_are_said() {
    let without = section(None);
    assert!(matches!(&without.blocks[..], [Block::Caution(text)] if text.contains("clock times")));
    assert_eq!(section(Some(&made(&[]))).blocks.len(), 1);
    assert!(in_words(&made(&[])).is_empty());
}
