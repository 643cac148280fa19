//! Which form of chart fits which counts, and what run charts signal.

use super::*;
use crate::domain::counts::PassesCount;

#[test]
fn the_form_follows_from_the_kind_and_the_baseline() {
    let form = |months: &[(u64, u64)]| {
        let length = i32::try_from(months.len()).unwrap();
        let chart = of(
            &shares("retrieval_success", months),
            MeasureKind::Share,
            length,
            &[],
        );
        chart.form
    };
    let steady = [(15, 30), (14, 30), (16, 30), (15, 30)].repeat(3);
    assert_eq!(form(&steady), ChartForm::P);
    assert_eq!(form(&steady[..11]), ChartForm::Run, "eleven months");
    // 4 misses a month on average.
    assert_eq!(
        form(&[(26, 30), (25, 30), (27, 30)].repeat(4)),
        ChartForm::ExactP
    );
    // Neighbors lie 16 of 30 apart, counting explains 3 on average.
    assert_eq!(form(&[(7, 30), (23, 30)].repeat(6)), ChartForm::LaneyP);
    assert_eq!(
        form(&[(500, 1001), (501, 1001)].repeat(6)),
        ChartForm::LaneyP
    );

    let passes = (0..12).map(|place| {
        Some(PassesCount {
            cases: BTreeMap::from([((1, 2), 10 + place % 2)]),
            excluded: 0,
        })
    });
    let counts = CountTables {
        passes: table("device_success", ALL, ALL, passes),
        ..CountTables::default()
    };
    let chart = of(&counts, MeasureKind::ClusteredShare, 12, &[]);
    assert_eq!(chart.form, ChartForm::LaneyP);
    // Months that hardly differ: no narrower than 1/2 ± 3 √(1/4 / 20) for 20 passes.
    let distance = 3.0 * (0.25_f64 / 20.0).sqrt();
    assert!((chart.points[0].high.unwrap() - 0.5 - distance).abs() < 1e-9);
    assert_eq!(chart.points[0].n, 20, "passes");
}

/// Hits and passes of each month, one pass a case: with few misses a run chart, since exact limits are
/// for cases that do not go together.
fn single_passes(months: &[(u64, u64)]) -> CountTables {
    let of_month = |&(hits, passes): &(u64, u64)| {
        let cases = [((1, 1), hits), ((0, 1), passes - hits)];
        Some(PassesCount {
            cases: cases.into_iter().filter(|(_, cases)| *cases > 0).collect(),
            excluded: 0,
        })
    };
    CountTables {
        passes: table("device_success", ALL, ALL, months.iter().map(of_month)),
        ..CountTables::default()
    }
}

#[test]
fn few_misses_have_exact_limits_and_no_runs() {
    // 1 miss in 20 a month, then a month with 5: the chance of so many is 0.003 at 5 %, of 6 it is
    // 0.0003.
    let quiet = [(19, 20); 12];
    for (hits, signals) in [(15, 0), (14, 1)] {
        let months: Vec<_> = quiet
            .into_iter()
            .chain([(20, 20); 8])
            .chain([(hits, 20)])
            .collect();
        let chart = of(
            &shares("retrieval_success", &months),
            MeasureKind::Share,
            21,
            &[],
        );
        assert_eq!(chart.form, ChartForm::ExactP);
        let standing: Vec<_> = chart.standing().map(|signal| signal.rule).collect();
        assert_eq!(standing, vec![MonthRule::BeyondLimits; signals], "{hits}");
        // Eight months without a miss are no signal.
        assert_eq!(chart.signals.len(), signals);
        let chance = chart.chance.expect("a limit");
        // Below 14.x of 20: 6 misses or more, averaged over what the share may be.
        assert!((0.0003..0.002).contains(&chance), "{chance}");
    }
}

#[test]
fn a_median_without_points_on_both_sides_signals_nothing() {
    let mut months = vec![(10, 10); 14];
    for place in [1, 3, 5, 7, 8, 9, 10, 11, 12, 13] {
        months.push((9, 10));
        months[place] = if place < 8 { (9, 10) } else { (10, 10) };
    }
    let chart = of(
        &single_passes(&months),
        MeasureKind::ClusteredShare,
        24,
        &[],
    );
    assert_eq!(chart.form, ChartForm::Run);
    assert_eq!(chart.points[0].line, Some(1.0));
    assert_eq!((chart.signals.len(), chart.chance), (0, None));
}

#[test]
fn a_run_chart_names_its_long_run_and_its_few_crossings() {
    let small = |hits: u64| (hits, 8);
    // Six above and six below the median of the first twelve, then ten above in a row: 22 useful
    // points, of which a shuffled series has no run above 7 and at least 7 crossings.
    let first = [6, 8, 6, 8, 6, 8, 6, 8, 6, 8, 6, 8].map(small);
    let months: Vec<_> = first.into_iter().chain([small(8); 10]).collect();
    let chart = of(
        &single_passes(&months),
        MeasureKind::ClusteredShare,
        22,
        &[],
    );
    assert_eq!(chart.points[0].line, Some(7.0 / 8.0));
    let expected = MonthSignal {
        rule: MonthRule::LongRun,
        side: Some(Side::Above),
        first: month("2024-12"),
        last: month("2025-10"),
        // The eighth of the run, when there were 19 useful points: 7 are not too long among these.
        met: month("2025-07"),
        points: 11,
    };
    assert_eq!(chart.signals, [expected]);

    let two_waves = [6, 6, 6, 6, 6, 6, 8, 8, 8, 8, 8, 8].map(small);
    let chart = of(
        &single_passes(&two_waves),
        MeasureKind::ClusteredShare,
        12,
        &[],
    );
    let expected = MonthSignal {
        rule: MonthRule::FewCrossings,
        side: None,
        first: month("2024-01"),
        last: month("2024-12"),
        met: month("2024-12"),
        points: 12,
    };
    assert_eq!(chart.signals, [expected]);
}

#[test]
fn a_median_of_a_few_months_before_an_early_change_judges_nothing() {
    // A change after some months, then fourteen months above all that came before.
    let of_months = |before: usize| {
        let first = [3, 5].repeat(6);
        let months: Vec<_> = first[..before]
            .iter()
            .chain(&[6; 14])
            .enumerate()
            .map(|(place, hits)| (hits + u64::from(place > before && place % 2 == 0), 8))
            .collect();
        let length = i32::try_from(months.len()).unwrap();
        let change = Phase {
            from: month(FIRST).plus(i32::try_from(before).unwrap()),
            ..phase(FIRST)
        };
        let definitions = [definition("device_success", MeasureKind::ClusteredShare)];
        let counts = single_passes(&months);
        let last = month(FIRST).plus(length - 1);
        // Twenty-four months for lines of its own, which the fourteen are not.
        let all = signals(&counts, &definitions, month(FIRST), last, &[change], 24);
        all.charts[0].clone()
    };
    for before in [2, 4, 8] {
        let chart = of_months(before);
        assert_eq!(chart.form, ChartForm::Run);
        assert_eq!(chart.baselines[0].points, before);
        assert!(chart.points.iter().all(|point| point.line.is_some()));
        assert_eq!((chart.signals.len(), chart.chance), (0, None), "{before}");
    }
    let chart = of_months(10);
    assert!(chart.standing().count() > 0 && chart.chance.is_some());
}

/// Calls of each month, in 30 site-days.
fn calls(months: &[u64]) -> CountTables {
    let of_month = |events: &u64| {
        Some(EventsCount {
            events: *events,
            exposure_minutes: 30 * 24 * 60,
        })
    };
    CountTables {
        events: table("calls", ALL, ALL, months.iter().map(of_month)),
        ..CountTables::default()
    }
}

#[test]
fn few_events_have_exact_limits_and_no_runs() {
    // 1.5 a month, so 18.5 / 12 for the limits: 7 or more have a chance of 0.0010, 6 of 0.0050.
    // Three standard deviations would put the limit at 5.2.
    let quiet = [1, 2].repeat(6);
    for (events, signals) in [(6, 0), (7, 1)] {
        let months: Vec<u64> = quiet
            .iter()
            .copied()
            .chain([0; 9])
            .chain([events])
            .collect();
        let chart = of(&calls(&months), MeasureKind::Count, 22, &[]);
        assert_eq!(chart.form, ChartForm::ExactU);
        assert!((chart.points[0].line.unwrap() - 1.5).abs() < 1e-12);
        let standing: Vec<_> = chart.standing().map(|signal| signal.rule).collect();
        assert_eq!(standing, vec![MonthRule::BeyondLimits; signals], "{events}");
        // Nine months without an event are no signal.
        assert_eq!(chart.signals.len(), signals);
        // 7 or more, averaged over what the rate may be.
        let chance = chart.chance.expect("a limit");
        assert!((0.001..0.004).contains(&chance), "{chance}");
    }
    let form = |events: u64| of(&calls(&[events; 12]), MeasureKind::Count, 12, &[]).form;
    assert_eq!([4, 5].map(form), [ChartForm::ExactU, ChartForm::U]);
    let never = of(&calls(&[0; 12]), MeasureKind::Count, 12, &[]);
    assert_eq!(never.form, ChartForm::ExactU);
    assert_eq!(never.signals, []);
}
