use super::*;
use proptest::collection::vec;
use proptest::prelude::*;

fn needs(by_items: &[(ItemBits, u64)], never: u64) -> Needs {
    Needs {
        by_items: by_items.iter().copied().collect(),
        never,
    }
}

fn list(items: ItemBits, covered: u64) -> CoveringList {
    CoveringList { items, covered }
}

/// By hand: 5 cases need nothing, 4 item 0, 3 item 1, 6 items 1 and 2 together; 2 left the cart.
fn by_hand() -> Needs {
    needs(&[(0b000, 5), (0b001, 4), (0b010, 3), (0b110, 6)], 2)
}

#[test]
fn the_best_list_of_a_length_need_not_hold_the_best_one_before() {
    // One item: 5 + 4 with item 0, 5 + 3 with item 1, 5 with item 2. Two: items 1 and 2 cover
    // 5 + 3 + 6, items 0 and 1 cover 5 + 4 + 3.
    let best = best_lists(3, &by_hand()).unwrap();
    let expected = [
        list(0b000, 5),
        list(0b001, 9),
        list(0b110, 14),
        list(0b111, 18),
    ];
    assert_eq!(best, expected);
    assert_eq!(by_hand().cases(), 20);
    assert_eq!(by_hand().covered_by(0b101), 9);
}

#[test]
fn the_smallest_list_reaches_its_goal_exactly_or_there_is_none() {
    let best = best_lists(3, &by_hand()).unwrap();
    let smallest = |per_mille| smallest_list(&best, cases_for(per_mille, 20));
    // 700 in 1000 of 20 are 14, and 701 are 15.
    assert_eq!(smallest(700), Some(list(0b110, 14)));
    assert_eq!(smallest(701), Some(list(0b111, 18)));
    assert_eq!(smallest(900), Some(list(0b111, 18)));
    assert_eq!(smallest(901), None);
    assert_eq!((cases_for(950, 20), cases_for(950, 21)), (19, 20));
}

#[test]
fn of_equal_lists_the_one_whose_items_come_first_is_taken() {
    let best = best_lists(4, &needs(&[(0b1001, 1), (0b0110, 1)], 0)).unwrap();
    assert_eq!(best[1], list(0b0001, 0));
    assert_eq!(best[2], list(0b1001, 1));
}

#[test]
fn what_does_not_fit_the_items_is_refused() {
    assert_eq!(best_lists(MOST_ITEMS + 1, &Needs::default()), None);
    assert_eq!(best_lists(2, &needs(&[(0b100, 1)], 0)), None);
    assert_eq!(best_lists(0, &needs(&[(0, 3)], 1)).unwrap(), [list(0, 3)]);
}

#[test]
fn held_out_cases_are_judged_by_the_list_of_the_others() {
    // Each part alone has an item that the other lacks, so the list of the other part covers only
    // what needs item 0.
    let parts = [
        needs(&[(0b001, 8), (0b010, 2)], 0),
        needs(&[(0b001, 7), (0b100, 2)], 1),
    ];
    let expected = HeldOut {
        covered: 8 + 7,
        cases: 20,
        parts: 2,
    };
    assert_eq!(held_out(3, &parts, 950), Some(expected));
    // A goal of 90 in 100: the list {0, 2} of the second part covers 9 of 10 there and 8 of the
    // first; of the first the list {0, 1} is needed for 9 of 10.
    assert_eq!(held_out(3, &parts, 900), Some(expected));
    // For 70 in 100 item 0 is enough in both.
    assert_eq!(held_out(3, &parts, 700), Some(expected));
    assert_eq!(held_out(3, &parts[..1], 950), None);
    assert_eq!(
        held_out(3, &[parts[0].clone(), Needs::default()], 950),
        None
    );
}

/// The most cases that any list of `length` items covers, found by adding items one by one.
fn by_brute_force(items: u32, length: u32, needs: &Needs, from: u32, list: ItemBits) -> u64 {
    if length == 0 {
        return needs.covered_by(list);
    }
    let longer = (from..items).map(|item| {
        let with = list | 1 << item;
        by_brute_force(items, length - 1, needs, item + 1, with)
    });
    longer.max().unwrap_or(0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_list_of_its_length_covers_more_than_the_best(
        cases in vec((0_u32..1 << 8, 0_u64..20), 0..25),
        never in 0_u64..9,
    ) {
        let mut needs = Needs { never, ..Needs::default() };
        for (items, count) in cases {
            *needs.by_items.entry(items).or_default() += count;
        }
        let best = best_lists(8, &needs).unwrap();
        for (length, list) in (0_u32..).zip(&best) {
            prop_assert_eq!(list.items.count_ones(), length);
            prop_assert_eq!(list.covered, needs.covered_by(list.items));
            prop_assert_eq!(list.covered, by_brute_force(8, length, &needs, 0, 0));
        }
        // A longer list never covers less, so the first that reaches a goal is the shortest.
        prop_assert!(best.windows(2).all(|pair| pair[0].covered <= pair[1].covered));
        prop_assert_eq!(best[8].covered + never, needs.cases());
    }
}
