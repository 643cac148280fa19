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

fn september(_: i64) -> Option<Month> {
    Month::new(2026, 9).ok()
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
