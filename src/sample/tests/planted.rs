//! What the sample promises of its cases: every planted truth, and the order of their moments.

use super::{COMMITTED_README, MANY_CASES, plan_of};
use crate::domain::codes::{
    AdverseEvent, Device, ObjectType, Outcome, PassResult, Presentation, Weekday,
};
use crate::domain::month::Month;
use crate::sample::calendar::Calendar;
use crate::sample::calls;
use crate::sample::case::Case;
use crate::sample::draws::Draws;
use crate::sample::site::Site;
use crate::sample::timeline::Times;
use crate::sample::truths::{self, usual};
use crate::sample::{self, Plan};
use std::collections::BTreeMap;

/// `truth` lies within `within` of the share of `hit` among those of `all` that it judges.
#[track_caller]
fn check_share<T>(all: &[T], truth: f64, within: f64, hit: impl Fn(&T) -> Option<bool>) {
    let judged: Vec<bool> = all.iter().filter_map(hit).collect();
    let share = judged.iter().filter(|hit| **hit).count() as f64 / judged.len() as f64;
    assert!(
        (share - truth).abs() <= within,
        "{share} of {} instead of {truth}",
        judged.len()
    );
}

fn median(mut values: Vec<i64>) -> f64 {
    values.sort_unstable();
    values[values.len() / 2] as f64
}

fn month(year_and_number: (u16, u8)) -> Month {
    Month::new(year_and_number.0, year_and_number.1).unwrap()
}

fn is_retrieval(case: &Case) -> bool {
    !case.passes.is_empty()
}

#[test]
fn calls_come_by_reason_hour_and_weekday_as_stated() {
    let plan = plan_of(20_000);
    let calendar = Calendar::new(plan.first_month, plan.months).unwrap();
    let calls: Vec<_> = calls::calls(&calendar, plan.cases, Draws::new(plan.seed, 0)).collect();
    for (presentation, share) in [
        (Presentation::FoodImpaction, usual::FOOD_SHARE),
        (Presentation::ForeignBody, usual::FOREIGN_BODY_SHARE),
        (Presentation::UpperBleed, usual::UPPER_BLEED_SHARE),
        (Presentation::LowerBleed, usual::LOWER_BLEED_SHARE),
    ] {
        check_share(&calls, share, 0.012, |call| {
            Some(call.presentation == presentation)
        });
    }
    check_share(&calls, 0.66, 0.02, |call| Some(!call.staffed));

    let mut food_by_hour = BTreeMap::new();
    let mut by_weekday = [0; Weekday::ALL.len()];
    for call in &calls {
        let wall = calendar.wall_clock(call.minute);
        let day = usize::try_from(wall.weekday().to_monday_zero_offset()).unwrap();
        by_weekday[day] += 1;
        if call.presentation == Presentation::FoodImpaction {
            *food_by_hour.entry(wall.hour()).or_insert(0) += 1;
        }
    }
    assert!(food_by_hour[&19] > 8 * food_by_hour[&4]);
    assert!(food_by_hour[&19] > food_by_hour[&13]);
    assert!(
        by_weekday
            .iter()
            .all(|calls| (2_600..3_150).contains(calls)),
        "{by_weekday:?}"
    );
}

#[test]
fn cedar_waits_longer_for_the_cart() {
    let cases = &*MANY_CASES;
    let to_cart = |site: Site| {
        let minutes = |case: &Case| Some(case.times.cart? - case.times.called);
        median(
            cases
                .iter()
                .filter(|case| case.site == site)
                .filter_map(minutes)
                .collect(),
        )
    };
    let extra = truths::CEDAR_CART_EXTRA_MINUTES as f64;
    for site in [Site::Alder, Site::Birch] {
        assert!((to_cart(Site::Cedar) - to_cart(site) - extra).abs() <= 1.0);
    }
}

#[test]
fn the_net_brings_coins_out_more_often_than_the_rat_tooth_forceps() {
    let cases = &*MANY_CASES;
    let coins = cases
        .iter()
        .filter(|case| case.object_type == Some(ObjectType::Coin));
    let passes: Vec<_> = coins.flat_map(|case| &case.passes).collect();
    for (device, truth) in [
        (Device::Net, truths::COIN_NET_SUCCESS),
        (Device::ForcepsRat, truths::COIN_RAT_TOOTH_SUCCESS),
    ] {
        check_share(&passes, truth, 0.05, |pass| {
            (pass.device == device).then_some(pass.result == PassResult::ObjectRemoved)
        });
    }
}

#[test]
fn birch_is_slower_to_the_scope_from_one_month_on() {
    let cases = &*MANY_CASES;
    let to_scope = |is_wanted: &dyn Fn(&Case) -> bool| {
        let minutes = |case: &Case| Some(case.times.scope_in? - case.times.called);
        median(
            cases
                .iter()
                .filter(|case| is_wanted(case))
                .filter_map(minutes)
                .collect(),
        )
    };
    let from = month(truths::BIRCH_SLOWER_FROM);
    let before = to_scope(&|case| case.site == Site::Birch && case.month < from);
    let after = to_scope(&|case| case.site == Site::Birch && case.month >= from);
    assert!(
        (after / before - truths::BIRCH_SLOWER_FACTOR).abs() < 0.05,
        "{after} {before}"
    );
    let alder_before = to_scope(&|case| case.site == Site::Alder && case.month < from);
    let alder_after = to_scope(&|case| case.site == Site::Alder && case.month >= from);
    assert!((alder_after - alder_before).abs() <= 1.0);
}

#[test]
fn overtubes_for_sharp_objects_become_usual_after_the_teaching_day() {
    let cases = &*MANY_CASES;
    let from = month(truths::OVERTUBE_TAUGHT_FROM);
    let used = |case: &Case, is_after: bool| {
        let is_judged =
            is_retrieval(case) && case.sharp == Some(true) && (case.month >= from) == is_after;
        is_judged.then_some(case.overtube == Some(true))
    };
    check_share(cases, truths::OVERTUBE_SHARP_BEFORE, 0.03, |case| {
        used(case, false)
    });
    check_share(cases, truths::OVERTUBE_SHARP_AFTER, 0.06, |case| {
        used(case, true)
    });
}

#[test]
fn values_are_lost_and_cases_end_early_as_stated() {
    let cases = &*MANY_CASES;
    let is_scoped = |case: &Case| case.times.scope_in.is_some();
    check_share(cases, truths::SCOPE_OUT_LOST, 0.005, |case| {
        is_scoped(case).then_some(case.times.scope_out.is_none())
    });
    check_share(cases, truths::CART_LOST, 0.007, |case| {
        is_scoped(case).then_some(case.times.cart.is_none())
    });
    check_share(cases, truths::AIRWAY_LOST, 0.005, |case| {
        is_scoped(case).then_some(case.airway.is_none())
    });
    check_share(cases, truths::OBSTRUCTION_LOST, 0.004, |case| {
        case.object_type.map(|_| case.obstruction.is_none())
    });
    check_share(cases, truths::CANCELLED_SHARE, 0.005, |case| {
        Some(case.outcome == Outcome::Cancelled)
    });
    check_share(cases, truths::TRANSFERRED_SHARE, 0.003, |case| {
        Some(case.outcome == Outcome::Transferred)
    });
    for case in cases {
        let ends_early = matches!(case.outcome, Outcome::Cancelled | Outcome::Transferred);
        assert_eq!(ends_early, case.times.ended.is_some());
        assert_eq!(ends_early, case.times.scope_in.is_none());
    }
}

#[test]
fn outcomes_are_near_the_published_rates() {
    let cases = &*MANY_CASES;
    check_share(cases, usual::FOOD_GONE_SHARE, 0.01, |case| {
        let is_food = case.object_type == Some(ObjectType::FoodBolus);
        (is_food && case.times.scope_in.is_some()).then_some(case.outcome == Outcome::NotPresent)
    });
    check_share(cases, 0.96, 0.01, |case| {
        is_retrieval(case).then_some(case.outcome != Outcome::Failed)
    });
    check_share(cases, 0.06, 0.007, |case| {
        case.adverse_event
            .map(|event| event != AdverseEvent::NoEvent)
    });
    check_share(cases, usual::FOOD_BIOPSY_SHARE, 0.02, |case| {
        let is_food = case.presentation == Presentation::FoodImpaction;
        case.biopsies_taken.filter(|_| is_food)
    });
    let retrievals = cases.iter().filter(|case| is_retrieval(case)).count();
    let passes: usize = cases.iter().map(|case| case.passes.len()).sum();
    let passes_per_retrieval = passes as f64 / retrievals as f64;
    assert!(
        (passes_per_retrieval - 1.9).abs() < 0.06,
        "{passes_per_retrieval}"
    );
}

#[test]
fn moments_stand_in_the_order_in_which_they_happen() {
    for case in &*MANY_CASES {
        let Times {
            called,
            arrived,
            team,
            cart,
            airway,
            scope_in,
            removed,
            scope_out,
            preclean,
            preclean_end,
            handover,
            manual_clean,
            ended,
            released,
        } = case.times;
        let chains = [
            vec![arrived, Some(called), team, airway, scope_in],
            vec![Some(called), cart, scope_in],
            vec![scope_in, removed, scope_out, preclean],
            vec![scope_out, handover, manual_clean],
            vec![
                preclean,
                preclean_end,
                handover.filter(|_| preclean_end.is_some()),
            ],
            vec![Some(called), team, ended],
            vec![Some(called), cart, ended, released],
            vec![team, scope_in, removed, scope_out, released],
        ];
        for chain in chains {
            let known: Vec<i64> = chain.into_iter().flatten().collect();
            assert!(known.is_sorted(), "{:?}", case.times);
        }
        assert!(scope_out.is_none_or(|out| scope_in.is_some_and(|scope_in| scope_in < out)));
    }
}

#[test]
fn the_readme_says_what_the_files_show() {
    let plan = Plan::default();
    let calendar = Calendar::new(plan.first_month, plan.months).unwrap();
    let cases: Vec<Case> = sample::cases(&plan, &calendar).collect();
    let of = |hits: Vec<bool>| {
        let hit = hits.iter().filter(|hit| **hit).count();
        format!("{hit} of {}", hits.len())
    };

    let coins = |device: Device| {
        let of_coins = cases
            .iter()
            .filter(|case| case.object_type == Some(ObjectType::Coin));
        let passes = of_coins
            .flat_map(|case| &case.passes)
            .filter(|pass| pass.device == device);
        of(passes
            .map(|pass| pass.result == PassResult::ObjectRemoved)
            .collect())
    };
    let overtubes = |is_taught: bool| {
        let sharp = cases.iter().filter(|case| {
            case.sharp == Some(true)
                && matches!(case.outcome, Outcome::Removed | Outcome::Failed)
                && (case.month >= month(truths::OVERTUBE_TAUGHT_FROM)) == is_taught
        });
        of(sharp.map(|case| case.overtube == Some(true)).collect())
    };
    let scoped = || cases.iter().filter(|case| case.times.scope_in.is_some());
    let lost = |is_lost: fn(&Case) -> bool| scoped().filter(|case| is_lost(case)).count();
    for words in [
        format!("net {} passes", coins(Device::Net)),
        format!("rat-tooth forceps {} |", coins(Device::ForcepsRat)),
        format!(
            "{} before, {} in 2026-09",
            overtubes(false),
            overtubes(true)
        ),
        format!(
            "of {} scoped cases {}, {} and {} are missing",
            scoped().count(),
            lost(|case| case.times.scope_out.is_none()),
            lost(|case| case.times.cart.is_none()),
            lost(|case| case.airway.is_none()),
        ),
    ] {
        assert!(COMMITTED_README.contains(&words), "{words}");
    }
}
