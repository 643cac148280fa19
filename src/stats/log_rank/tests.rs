use super::*;
use proptest::prelude::*;

type Cases = BTreeMap<(i64, bool), u64>;

fn cases(ends: &[(i64, bool)]) -> Cases {
    let mut cases = Cases::new();
    for end in ends {
        *cases.entry(*end).or_insert(0) += 1;
    }
    cases
}

#[test]
fn a_small_example_by_hand() {
    // Minute 1: 1 of 2 and 2 at risk; minute 2: 1 of 1 and 2; minute 3: one case is left.
    // Expected in the first: 2/4 + 1/3; variance 1/2 * 1/2 + 1/3 * 2/3.
    let first = cases(&[(1, true), (2, false)]);
    let second = cases(&[(2, true), (3, true)]);
    let found = log_rank(&[first, second]).expect("ends");
    let (expected, variance) = (0.5 + 1.0 / 3.0, 0.25 + 2.0 / 9.0);
    assert!((found.ends[0].expected - expected).abs() < 1e-15);
    assert!((found.ends[0].observed - 1.0).abs() < 1e-15);
    assert!((found.ends[1].expected - (3.0 - expected)).abs() < 1e-15);
    let chi_square = (1.0 - expected) * (1.0 - expected) / variance;
    assert!((found.chi_square - chi_square).abs() < 1e-15, "{found:?}");
    assert_eq!(found.degrees_of_freedom, 1);
}

#[test]
fn without_two_groups_at_risk_there_is_nothing_to_compare() {
    let early = cases(&[(1, true), (2, true)]);
    let late = cases(&[(5, true), (9, false)]);
    let never = cases(&[(1, false), (30, false)]);
    assert_eq!(log_rank(&[]), None);
    assert_eq!(log_rank(std::slice::from_ref(&early)), None);
    assert_eq!(log_rank(&[early.clone(), Cases::new()]), None);
    assert_eq!(log_rank(&[never.clone(), never.clone()]), None);
    let all_at_once = cases(&[(4, true), (4, true)]);
    assert_eq!(log_rank(&[all_at_once.clone(), all_at_once]), None);
    // A group that left before the first end, and an empty one, take no degree of freedom.
    let gone = cases(&[(0, false)]);
    let two = log_rank(&[early.clone(), late.clone()]).expect("ends");
    let more = log_rank(&[gone, early, Cases::new(), late]).expect("ends");
    assert!((two.chi_square - more.chi_square).abs() < 1e-12);
    assert_eq!((two.degrees_of_freedom, more.degrees_of_freedom), (1, 1));
    assert_eq!(more.ends[0], Ends::default());
}

#[test]
fn the_largest_counts_stay_finite() {
    let most = Cases::from([
        ((i64::MIN, true), u64::MAX),
        ((0, true), u64::MAX),
        ((i64::MAX, false), u64::MAX),
    ]);
    let other = Cases::from([((0, true), 0), ((i64::MAX, true), u64::MAX)]);
    let found = log_rank(&[most.clone(), other]).expect("ends");
    assert!(found.chi_square.is_finite() && found.p <= 0.0);
    let alike = log_rank(&[most.clone(), most]).expect("ends");
    assert!(alike.chi_square < 1e-6 && alike.p > 0.999, "{alike:?}");
}

fn some_cases() -> impl Strategy<Value = Cases> {
    prop::collection::btree_map((0_i64..12, any::<bool>()), 1_u64..4, 0..9)
}

proptest! {
    #[test]
    fn the_order_of_groups_does_not_matter(
        a in some_cases(), b in some_cases(), c in some_cases(),
    ) {
        let found = log_rank(&[a.clone(), b.clone(), c.clone()]);
        let turned = log_rank(&[c.clone(), a.clone(), b.clone()]);
        prop_assert_eq!(found.is_some(), turned.is_some());
        if let (Some(found), Some(turned)) = (found, turned) {
            prop_assert!((found.chi_square - turned.chi_square).abs() < 1e-8);
            prop_assert_eq!(found.degrees_of_freedom, turned.degrees_of_freedom);
            let observed: f64 = found.ends.iter().map(|ends| ends.observed).sum();
            let expected: f64 = found.ends.iter().map(|ends| ends.expected).sum();
            prop_assert!((observed - expected).abs() < 1e-9);
        }
        // Later by the same time, or the same groups twice, are no difference.
        let later = |cases: &Cases| -> Cases {
            cases.iter().map(|(&(minute, end), &count)| ((minute * 2 + 7, end), count)).collect()
        };
        let stretched = log_rank(&[later(&a), later(&b)]);
        prop_assert_eq!(log_rank(&[a.clone(), b]), stretched);
        if let Some(same) = log_rank(&[a.clone(), a.clone(), a]) {
            prop_assert!(same.chi_square < 1e-9 && same.degrees_of_freedom == 2);
        }
    }
}
