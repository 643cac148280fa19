use super::*;

const DAY: i64 = 24 * 60;

fn check(site: &str, cart: &str, due: i64, checked: Option<i64>) -> CartCheck {
    CartCheck {
        site: site.to_owned(),
        cart: cart.to_owned(),
        due,
        checked,
        is_complete: None,
        faults: Vec::new(),
    }
}

/// The days of September from its first on.
fn september(minute: i64) -> Option<LocalDay> {
    let day = u8::try_from(minute / DAY + 1).unwrap_or(u8::MAX);
    Some((Month::new(2026, 9).ok()?, day))
}

fn made(checks: &[CartCheck]) -> CartChecks {
    cart_checks(checks, september, Settings::default()).unwrap()
}

#[test]
fn a_check_is_on_time_up_to_an_hour_after_it_was_due() {
    let due = 1000;
    let at = |checked| check("Alder", "one", due, checked);
    let found = made(&[
        at(Some(due - 500)),
        at(Some(due)),
        at(Some(due + 60)),
        at(Some(due + 61)),
        at(None),
    ]);
    let all = &found.all;
    assert_eq!(
        (all.due, all.on_time, all.late, all.not_recorded),
        (5, 3, 1, 1)
    );
    let share = all.on_time_share(0.95).unwrap();
    assert_eq!((share.tally.events(), share.tally.cases()), (3, 5));
    // Wilson, 3 of 5: 0.231 to 0.882.
    assert!((share.interval.low - 0.231).abs() < 0.001);
    assert!((share.interval.high - 0.882).abs() < 0.001);
}

#[test]
fn the_first_and_the_last_check_are_those_that_were_due_so() {
    let checks = [
        check("Alder", "one", 4 * DAY, None),
        check("Birch", "one", 2 * DAY, Some(9 * DAY)),
        check("Alder", "two", 3 * DAY, Some(3 * DAY)),
    ];
    let found = made(&checks);
    let september = Month::new(2026, 9).unwrap();
    assert_eq!(found.due, Some(((september, 3), (september, 5))));
    assert_eq!(found.carts, 3);
}

/// Of 20 checks of each cart so many on time.
fn late_of(carts: &[(&str, &str, usize)]) -> Option<(String, Option<String>, u64)> {
    let mut checks = Vec::new();
    for (site, cart, on_time) in carts {
        let done = vec![check(site, cart, 0, Some(0)); *on_time];
        let not_done = vec![check(site, cart, 0, None); 20 - on_time];
        checks.extend(done.into_iter().chain(not_done));
    }
    let found = made(&checks).late?;
    let StandsOut { group, share } = found;
    Some((group.site, group.cart, share.tally.events()))
}

/// Wilson's intervals by hand: 20 of 20 from 0.839 on, 19 of 20 from 0.764 on; 10 of 20 up to 0.701,
/// 12 of 20 up to 0.781; 22 of 40 up to 0.693, and 39 of 40 from 0.871 on.
#[test]
fn late_is_a_cart_below_all_others_or_else_a_site() {
    let cart =
        |site: &str, cart: &str, on_time| Some((site.to_owned(), Some(cart.to_owned()), on_time));
    let others = [("Alder", "one", 20), ("Birch", "one", 19)];
    let with = |late: (&'static str, &'static str, usize)| late_of(&[others[0], others[1], late]);
    assert_eq!(with(("Alder", "two", 10)), cart("Alder", "two", 10));
    // Below one of the others is not below all of them.
    assert_eq!(with(("Alder", "two", 12)), None);
    // Two late carts of one site: neither stands out, and their site does.
    let two = [
        ("Alder", "one", 20),
        ("Alder", "two", 19),
        ("Birch", "one", 10),
        ("Birch", "two", 12),
    ];
    assert_eq!(late_of(&two), Some(("Birch".to_owned(), None, 22)));
    // One cart has no other.
    assert_eq!(late_of(&[("Alder", "one", 1)]), None);
}

#[test]
fn faults_are_of_done_checks_and_completeness_of_judged_ones() {
    let mut checks = vec![check("Alder", "one", 0, Some(0)); 4];
    checks[0].is_complete = Some(true);
    checks[1].is_complete = Some(false);
    checks[1].faults = vec![CartFault::ItemMissing, CartFault::Expired];
    checks[2].faults = vec![CartFault::Expired];
    // Nobody looked: its faults and its completeness say nothing.
    let mut not_done = check("Alder", "one", 0, None);
    not_done.is_complete = Some(true);
    not_done.faults = vec![CartFault::Expired];
    checks.push(not_done);
    let all = made(&checks).all;
    assert_eq!((all.judged, all.complete), (2, 1));
    assert_eq!((all.done(), all.with_fault), (4, 2));
    let of = |share: Option<ShareOfChecks>| {
        let tally = share.unwrap().tally;
        (tally.events(), tally.cases())
    };
    assert_eq!(of(all.share_with(CartFault::Expired, 0.95)), (2, 4));
    assert_eq!(of(all.share_with(CartFault::ItemMissing, 0.95)), (1, 4));
    assert_eq!(of(all.share_with(CartFault::FoundOpen, 0.95)), (0, 4));
    assert_eq!(of(all.fault_share(0.95)), (2, 4));
    let none_done = made(&[check("Alder", "one", 0, None)]).all;
    assert_eq!(none_done.fault_share(0.95), None);
    assert_eq!(none_done.complete_share(0.95), None);
}

#[test]
fn groups_are_sites_by_name_with_their_carts() {
    let checks: Vec<_> = [
        ("Birch", "b"),
        ("Alder", "two"),
        ("Alder", "one"),
        ("Alder", "one"),
    ]
    .map(|(site, cart)| check(site, cart, 0, Some(0)))
    .into();
    let named = |checks: &[CartCheck]| -> Vec<_> {
        let groups = made(checks).groups;
        groups
            .into_iter()
            .map(|(group, found)| (group.site, group.cart, found.due))
            .collect()
    };
    let group =
        |site: &str, cart: Option<&str>, due| (site.to_owned(), cart.map(str::to_owned), due);
    let expected = [
        group("Alder", None, 3),
        group("Alder", Some("one"), 2),
        group("Alder", Some("two"), 1),
        group("Birch", Some("b"), 1),
    ];
    assert_eq!(named(&checks), expected);
    // All carts of one site are all carts, and one cart is all there is.
    assert_eq!(named(&checks[1..]), expected[1..3]);
    assert_eq!(named(&checks[..1]), []);
}

#[test]
fn days_between_faults_are_in_the_order_of_the_checks() {
    let faulty = |day: i64| CartCheck {
        faults: vec![CartFault::Expired],
        ..check("Alder", "one", day * DAY, Some(day * DAY))
    };
    let mut checks = vec![faulty(5), faulty(1), faulty(2)];
    checks.push(check("Alder", "one", 9 * DAY, Some(9 * DAY)));
    let found = made(&checks);
    let days: Vec<_> = found
        .days_between
        .points
        .iter()
        .map(|point| point.value)
        .collect();
    assert_eq!(days, [1.0, 3.0]);
    assert_eq!(found.days_since, Some(4.0));
    assert_eq!(
        (&found.days_between.lines, found.days_between.needed),
        (&None, 20)
    );
    // From 20 distances on there are lines; a hundred days without a fault lie beyond them.
    let mut days: Vec<i64> = (0..=20).map(|number| number * 2 + number % 2).collect();
    days.push(141);
    let many: Vec<_> = days.into_iter().map(faulty).collect();
    let found = made(&many);
    let last = found.days_between.signals.last().unwrap();
    assert_eq!((found.days_between.points.len(), last.last), (21, 20));
    assert_eq!(found.days_since, Some(0.0));
    let nothing = made(&[check("Alder", "one", 0, Some(0))]);
    assert_eq!(nothing.days_since, None);
}

#[test]
fn without_a_check_nothing_is_said() {
    assert_eq!(cart_checks(&[], september, Settings::default()), None);
}
