use super::*;
use crate::domain::duty::plan::DutyPlan;
use crate::findings::staffing::invented_calls::{at, calendar, call};
use proptest::prelude::{ProptestConfig, any, prop_assert_eq, proptest};

fn rules() -> DutyRules {
    DutyPlan::default().rules
}

fn found(calls: &[Call]) -> Vec<usize> {
    let calls: Vec<_> = calls.iter().collect();
    sweep(&calls, &calendar(1), 30).found
}

#[test]
fn a_call_finds_the_teams_bound_that_are_not_free_by_its_minute() {
    let calls = [
        call(100, Some(60)),
        call(130, Some(100)),
        call(159, Some(10)),
        call(160, Some(5)),
        call(230, Some(5)),
    ];
    // 100-160, 130-230, 159-169, 160-165: at 160 the first is free, at 230 the second.
    assert_eq!(found(&calls), [0, 1, 2, 2, 0]);
}

#[test]
fn of_calls_in_one_minute_the_later_row_finds_the_earlier_one_bound() {
    let calls = [call(100, Some(10)), call(100, Some(20)), call(100, None)];
    assert_eq!(found(&calls), [0, 1, 2]);
}

#[test]
fn a_call_of_unknown_length_is_counted_and_binds_nobody() {
    let calls = [
        call(100, None),
        call(101, Some(10)),
        call(102, Some(-5)),
        call(200, Some(10)),
    ];
    assert_eq!(found(&calls), [0, 0, 1, 0]);
    let of = overlap(&calls, &calendar(1), rules(), Level::P95);
    assert_eq!((of.all.hours[0].calls(), of.all.hours[0].unknown), (4, 2));
    assert_eq!(of.all.hours[0].while_one, Share::new(1, 4, Level::P95));
}

#[test]
fn where_more_than_half_of_the_ends_are_unknown_nothing_is_told_and_other_sites_stand_alone() {
    let at_birch = |called, minutes| Call {
        site: "Birch".to_owned(),
        ..call(called, minutes)
    };
    let mut calls = vec![
        at_birch(100, Some(60)),
        at_birch(110, None),
        at_birch(120, None),
    ];
    let of = overlap(&calls, &calendar(1), rules(), Level::P95);
    let all = &of.all.hours[0];
    assert!(!of.all.is_told && !all.is_told);
    assert_eq!((all.calls(), all.unknown), (3, 2));
    assert_eq!((all.while_one, all.model), (Share::default(), None));
    assert!(all.agreement.is_none() && all.by_hour.is_none());
    assert_eq!(of.all.blocks[0].while_one, Share::default());

    calls.extend([call(130, Some(60)), call(140, Some(60))]);
    calls.sort_by_key(|call| call.called);
    let of = overlap(&calls, &calendar(1), rules(), Level::P95);
    assert_eq!(
        of.sites.iter().map(|site| site.is_told).collect::<Vec<_>>(),
        [true, false]
    );
    assert!(of.all.is_told);
    assert_eq!(of.all.hours[0].while_one, Share::new(1, 2, Level::P95));
    assert_eq!(of.all.hours[0].all_minutes(), 1440);
}

#[test]
fn minutes_are_counted_by_bound_teams_and_by_staffed_hours() {
    // Monday: 7:00 to 9:00, 8:30 to 10:00, 16:30 to 17:10; staffed from 8 to 17.
    let calls = [
        call(at(0, 7, 0), Some(120)),
        call(at(0, 8, 30), Some(90)),
        call(at(0, 16, 30), Some(40)),
    ];
    let of = overlap(&calls, &calendar(1), rules(), Level::P95);
    let [all, staffed, after] = &of.all.hours;
    assert_eq!(
        staffed.minutes,
        [540 - 30 - 60 - 30 - 30, 30 + 60 + 30, 30, 0]
    );
    assert_eq!(after.minutes, [900 - 70, 60 + 10, 0, 0]);
    assert_eq!(all.all_minutes(), 1440);
    assert_eq!((all.minutes_from(1), all.minutes_from(2)), (190 + 30, 30));
    assert_eq!((of.all.most_at_once, of.all.longest_minutes), (2, 30));
    // The call of 8:30 came in staffed hours and found a team of the night bound.
    assert_eq!((staffed.found, after.found), ([1, 1, 0, 0], [1, 0, 0, 0]));
    let busy: Vec<_> = of
        .all
        .blocks
        .iter()
        .map(|block| block.while_one.counted)
        .collect();
    let block = |events, cases| crate::findings::comparisons::Counted { events, cases };
    assert_eq!(busy[1], block(0, 1));
    assert_eq!(busy[2], block(1, 1));
    assert_eq!(busy[4], block(0, 1));
    assert_eq!(busy.iter().map(|counted| counted.cases).sum::<u64>(), 3);
}

#[test]
fn a_stretch_with_two_teams_goes_on_when_one_follows_another_at_once() {
    let calls = [
        call(0, Some(100)),
        call(10, Some(20)),
        call(30, Some(40)),
        call(90, Some(20)),
    ];
    let of = overlap(&calls, &calendar(1), rules(), Level::P95);
    // 10 to 30 and 30 to 70 are one stretch of 60 minutes; 90 to 100 another.
    assert_eq!((of.all.most_at_once, of.all.longest_minutes), (2, 60));
}

#[test]
fn calls_of_two_sites_never_meet_and_add_up() {
    let at_birch = |called, minutes| Call {
        site: "Birch".to_owned(),
        ..call(called, minutes)
    };
    let calls = [
        call(100, Some(60)),
        at_birch(110, Some(60)),
        at_birch(120, Some(60)),
        Call {
            site: "not_recorded".to_owned(),
            ..call(125, Some(60))
        },
    ];
    let of = overlap(&calls, &calendar(1), rules(), Level::P95);
    let sites: Vec<_> = of
        .sites
        .iter()
        .map(|site| site.site.clone().expect("a site"))
        .collect();
    assert_eq!(sites, ["Alder", "Birch", "not_recorded"]);
    assert_eq!(of.all.hours[0].found, [3, 1, 0, 0]);
    assert_eq!(of.all.hours[0].all_minutes(), 3 * 1440);
    assert_eq!(of.all.most_at_once, 2);
    let model = of.all.hours[0].model.expect("a model");
    // An hour each: loads of 1/24, 2/24 and 1/24, weighed by 1, 2 and 1 calls.
    let loads: [f64; 3] = [1.0 / 24.0, 2.0 / 24.0, 1.0 / 24.0];
    let average = |of: fn(f64) -> f64| (of(loads[0]) + 2.0 * of(loads[1]) + of(loads[2])) / 4.0;
    assert!((model.load - average(|load| load)).abs() < 1e-12);
    assert!((model.bound_from(1) - average(|load| 1.0 - (-load).exp())).abs() < 1e-12);
}

/// trade sources: a load of 0.094 gives 8.57 % and 0.40 % by Erlang B, and another call with a chance
/// of 8.9 %, when 0.9 calls come in 24 hours and each binds for 2.5 hours.
#[test]
fn the_model_gives_the_worked_example() {
    let model = Model::new(9, 150.0, 10 * 1440).expect("ten days");
    assert!((model.load - 0.09375).abs() < 1e-12);
    assert!((model.loss[0] - 0.0857).abs() < 5e-5 && (model.loss[1] - 0.0040).abs() < 5e-5);
    assert!((model.bound_from(1) - 0.0895).abs() < 5e-5);
    // Erlang C of one team is the load.
    assert!((model.waits[0] - model.load).abs() < 1e-12);
    assert!((model.bound.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    assert_eq!(Model::new(9, 150.0, 0), None);
}

#[test]
fn observed_and_model_are_compared_by_the_interval_of_the_observed_share() {
    let model = Model::new(9, 150.0, 10 * 1440).expect("ten days");
    let agreement =
        |events| Agreement::of(Share::new(events, 100, Level::P95), model.bound_from(1));
    assert_eq!(agreement(9), Some(Agreement::Within));
    assert_eq!(agreement(30), Some(Agreement::More));
    assert_eq!(agreement(1), Some(Agreement::Fewer));
    assert_eq!(Agreement::of(Share::new(0, 0, Level::P95), 0.5), None);
    // Of 19 calls nothing is said, of 20 it is.
    let few = |calls| Agreement::of(Share::new(0, calls, Level::P95), 0.9);
    assert_eq!((few(19), few(20)), (None, Some(Agreement::Fewer)));
}

#[test]
fn a_rate_by_hour_has_each_call_meet_those_of_its_own_block() {
    // Fourteen days, 10 of Monday to Friday. Two calls each of these days from 8 to 12, an hour each,
    // that never meet; and one on a Sunday from 20 on.
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
    let of = overlap(&calls, &calendar(14), rules(), Level::P95);
    let by_hour = of.all.hours[0].by_hour.expect("a rate by hour");
    // 20 calls in 10 blocks of 4 hours: a load of 1/2; 1 in 4 blocks of 4 hours: 1/16.
    let expected = (20.0 * (1.0 - (-0.5_f64).exp()) + (1.0 - (-0.0625_f64).exp())) / 21.0;
    assert!((by_hour.while_one - expected).abs() < 1e-12);
    // None of 21 met: at most 15.5 % by Wilson, and the rate by hour says 37.8 %.
    assert_eq!(by_hour.agreement, Agreement::Fewer);
    assert_eq!(of.all.hours[0].agreement, Some(Agreement::Within));
    assert!(of.all.hours[1].by_hour.is_none());
}

#[test]
fn without_a_call_there_is_nothing() {
    let of = overlap(&[], &calendar(1), rules(), Level::P95);
    assert!(of.sites.is_empty() && of.all.hours[0].model.is_none());
    assert_eq!(of.all.hours[0].while_one, Share::default());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// The same, counted minute by minute.
    #[test]
    fn the_sweep_counts_as_a_clock_that_looks_every_minute(
        drawn in proptest::collection::vec((-200_i64..1600, proptest::option::of(1_i64..200), any::<bool>()), 0..30)
    ) {
        let mut calls: Vec<Call> = drawn
            .into_iter()
            .map(|(called, minutes, is_short)| {
                let minutes = if is_short { minutes.map(|minutes| minutes % 10 + 1) } else { minutes };
                call(called, minutes)
            })
            .collect();
        calls.sort_by_key(|call| call.called);
        let calendar = calendar(1);
        let calls: Vec<_> = calls.iter().collect();
        let swept = sweep(&calls, &calendar, 30);

        let busy: Vec<Option<(i64, i64)>> = calls
            .iter()
            .map(|call| call.released.map(|until| (call.called, until)))
            .collect();
        let holds = |span: &Option<(i64, i64)>, minute: i64| {
            span.is_some_and(|(from, until)| from <= minute && minute < until)
        };
        let expected: Vec<usize> = calls
            .iter()
            .enumerate()
            .map(|(place, call)| busy[..place].iter().filter(|span| holds(span, call.called)).count())
            .collect();
        prop_assert_eq!(&swept.found, &expected);

        let (mut in_hours, mut after_hours) = ([0; LEVELS], [0; LEVELS]);
        let (mut most, mut run, mut longest) = (0, 0, 0);
        for minute in -300..2000 {
            let bound = busy.iter().filter(|span| holds(span, minute)).count();
            most = most.max(bound);
            run = if bound > 1 { run + 1 } else { 0 };
            longest = longest.max(run);
            if (0..1440).contains(&minute) {
                let is_staffed = (8 * 60..17 * 60).contains(&minute);
                let minutes = if is_staffed { &mut in_hours } else { &mut after_hours };
                minutes[bound.min(LEVELS - 1)] += 1;
            }
        }
        prop_assert_eq!(swept.in_hours, in_hours);
        prop_assert_eq!(swept.after_hours, after_hours);
        prop_assert_eq!((swept.most_at_once, swept.longest_minutes), (most, longest));
    }
}
