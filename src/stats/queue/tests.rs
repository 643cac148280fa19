use super::*;
use proptest::prelude::*;

fn close(actual: Option<f64>, expected: f64) -> bool {
    actual.is_some_and(|actual| (actual / expected - 1.0).abs() < 1e-11)
}

#[test]
fn the_recursion_keeps_its_digits_over_many_teams() {
    // mpmath 1.4.1, 40 digits, the same recursion.
    assert!(close(erlang_b(1000.0, 1000), 0.024_811_917_646_160_407));
    assert!(close(
        erlang_b(60_000.0, u16::MAX),
        3.774_520_884_207_679e-111
    ));
}

#[test]
fn one_team_waits_as_the_textbook_says() {
    // M/M/1 at load 0.8: waits 0.8, mean wait 0.8 / 0.2 services, longer than t: 0.8 exp(-0.2 t).
    assert!(close(erlang_c(0.8, 1), 0.8));
    assert!(close(mean_wait(0.8, 1, 30.0), 120.0));
    assert!(close(
        waits_longer_share(0.8, 1, 30.0, 60.0),
        0.8 * (-0.4_f64).exp()
    ));
}

#[test]
fn a_load_that_teams_cannot_carry_makes_everybody_wait() {
    for (load, teams) in [(2.0, 2), (3.5, 2), (0.0, 0), (f64::MAX, u16::MAX)] {
        assert_eq!(erlang_c(load, teams), Some(1.0), "{load} {teams}");
        assert_eq!(mean_wait(load, teams, 60.0), None);
        assert_eq!(waits_longer_share(load, teams, 60.0, 1e9), Some(1.0));
    }
}

#[test]
fn the_ends_of_the_types_give_shares_or_nothing() {
    assert_eq!(erlang_b(0.0, 0), Some(1.0));
    assert_eq!(erlang_b(0.0, 3), Some(0.0));
    assert_eq!(mean_wait(0.0, 3, 60.0), Some(0.0));
    for wrong in [-0.1, f64::NAN, f64::INFINITY] {
        assert_eq!(erlang_b(wrong, 2), None);
        assert_eq!(erlang_c(wrong, 2), None);
        assert_eq!(mean_wait(wrong, 2, 1.0), None);
        assert_eq!(mean_wait(0.5, 2, wrong), None);
        assert_eq!(waits_longer_share(wrong, 2, 1.0, 1.0), None);
        assert_eq!(waits_longer_share(0.5, 2, wrong, 1.0), None);
        assert_eq!(waits_longer_share(0.5, 2, 1.0, wrong), None);
    }
    assert_eq!(waits_longer_share(0.5, 2, 0.0, 1.0), None);
    let sizes = [0.0, 5e-324, 0.3, 1e3, f64::MAX];
    for load in sizes {
        for teams in [0, 1, 2, u16::MAX] {
            for service in sizes {
                for time in sizes {
                    let longer = waits_longer_share(load, teams, service, time);
                    assert!(longer.is_none_or(|share| (0.0..=1.0).contains(&share)));
                }
                assert!(mean_wait(load, teams, service).is_none_or(|wait| wait >= 0.0));
            }
        }
    }
}

proptest! {
    #[test]
    fn more_load_or_fewer_teams_block_more_and_waiting_is_at_least_blocking(
        load in 0.01..40.0,
        more in 0.01..5.0,
        teams in 1_u16..40,
    ) {
        let blocked = erlang_b(load, teams).expect("a load");
        prop_assert!(erlang_b(load + more, teams).expect("a load") > blocked);
        prop_assert!(erlang_b(load, teams + 1).expect("a load") < blocked);
        let waits = erlang_c(load, teams).expect("a load");
        prop_assert!((blocked..=1.0).contains(&waits));
        prop_assert!(erlang_c(load + more, teams).expect("a load") >= waits);
        prop_assert!(erlang_c(load, teams + 1).expect("a load") <= waits);
    }

    #[test]
    fn the_mean_wait_is_the_area_below_the_shares_that_wait_longer(
        load in 0.1..0.95,
        teams in 1_u16..6,
    ) {
        let load = load * f64::from(teams);
        let step = 0.01;
        let area: f64 = (0..40_000)
            .map(|index| {
                let time = (f64::from(index) + 0.5) * step;
                waits_longer_share(load, teams, 1.0, time).expect("times") * step
            })
            .sum();
        let mean = mean_wait(load, teams, 1.0).expect("a steady state");
        prop_assert!((area - mean).abs() < 1e-4 * mean);
    }
}
