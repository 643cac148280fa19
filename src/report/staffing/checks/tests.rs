use super::super::cart_words::tests::read;
use super::*;
use crate::domain::duty::cart_check::CartCheck;
use crate::domain::month::Month;
use crate::findings::estimate::Settings;
use crate::findings::staffing::checks::cart_checks;
use crate::report::draw;

const DAY: i64 = 24 * 60;

/// A check on each of these days, with a fault or none; every tenth is an hour and a minute late,
/// and that of day 5 is not done.
fn invented(days: impl Iterator<Item = i64>, is_faulty: impl Fn(i64) -> bool) -> CartChecks {
    made(&checks_of(days, is_faulty))
}

fn made(checks: &[CartCheck]) -> CartChecks {
    let day_of = |minute: i64| {
        let month = Month::new(2026, if minute < 100 * DAY { 1 } else { 6 }).ok()?;
        Some((month, u8::try_from(minute / DAY % 28 + 1).ok()?))
    };
    cart_checks(checks, day_of, Settings::default()).unwrap()
}

fn checks_of(days: impl Iterator<Item = i64>, is_faulty: impl Fn(i64) -> bool) -> Vec<CartCheck> {
    let check = |day: i64| CartCheck {
        site: "Alder".to_owned(),
        cart: if day % 2 == 0 { "cart_1" } else { "cart_2" }.to_owned(),
        due: day * DAY,
        checked: (day != 5).then(|| day * DAY + if day % 10 == 0 { 61 } else { 60 }),
        is_complete: Some(!is_faulty(day)),
        faults: if is_faulty(day) {
            vec![CartFault::Expired]
        } else {
            Vec::new()
        },
    };
    days.map(check).collect()
}

#[test]
fn checks_are_told_with_what_they_found() {
    let checks = invented(1..=20, |day| day % 4 == 0);
    let text = read(&section(Some(&checks)));
    for words in [
        "20 checks were due, the first on 2026-01-02 and the last on 2026-01-21.",
        "Rule: a cart is named where",
        "By this rule none stands out.",
        "on time up to 60 minutes after it was due",
        "| All carts | 20 | 17 of 20 (85%); 64 to 95% | 2 of 20 (10%) | 1 of 20 (5%) | 14 of 19 (74%)",
        "| Alder, cart\\_1 | 10 | 8 of 10 (80%)",
        "| Alder, cart\\_2 | 10 | 9 of 10 (90%)",
        "| Expired | 5 of 19 | 26 |",
        "| Found open | 0 of 19 | 0 | 0 to 17 |",
        "| Any fault | 5 of 19 | 26 |",
        "5 checks found a fault, of 19 that were done. From the last of them to the last check: 0 days.",
        "4 distances so far, and lines need 20; no lines are drawn.",
        "local policy",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    let words = in_words(Some(&checks));
    // Wilson by hand: 17 of 20 is 0.640 to 0.948, 5 of 19 is 0.118 to 0.488.
    assert_eq!(
        words,
        [
            "17 of 20 checks of carts (85%, 95% interval 64 to 95%) were done on time, and a fault was \
          found in 5 of 19 that were done (26%, 95% interval 12 to 49%)."
        ]
    );
}

#[test]
fn a_cart_that_stands_out_is_named_with_the_rule() {
    let mut checks = checks_of(0..=40, |_| false);
    for check in &mut checks {
        check.checked = Some(check.due);
    }
    for check in checks
        .iter_mut()
        .filter(|check| check.cart == "cart_2")
        .take(10)
    {
        check.checked = None;
    }
    let late = made(&checks);
    let words = in_words(Some(&late));
    assert_eq!(
        words[1],
        "What stands out by a rule: Alder, cart_2 with 10 of 20 checks on time (50%, 95% interval 30 to \
         70%), below every other cart."
    );
    let text = read(&section(Some(&late)));
    assert!(
        text.contains("By this rule one stands out: Alder, cart\\_2 with 10 of 20"),
        "{text}"
    );
    let alone = made(&checks[..1]);
    assert!(!read(&section(Some(&alone))).contains("Rule: a cart"));
}

/// Distances of a day and of nine in turn: on the scale of the 3.6th root 1 and 1.84, so that the upper
/// limit lies at (1.42 + 2.66 * 0.84)^3.6, about 107 days, and half an hour between two carts on top.
#[test]
fn the_chart_is_drawn_by_its_values_where_the_limit_lies_far_above() {
    let mut checks = checks_of(0..=121, |day| day % 10 < 2);
    let text = read(&section(Some(&made(&checks))));
    assert!(
        text.contains("The upper limit of 107 days lies above what is drawn."),
        "{text}"
    );
    assert!(
        text.contains("| 9.0 | no |") && text.contains("| 1.0 | no |"),
        "{text}"
    );
    assert!(!text.contains("shorter than an hour"));
    // Many faults of one month have one mark below the axis.
    let charted = section(Some(&made(&checks)));
    let figure = charted.blocks.iter().find_map(|block| match block {
        Block::Figure(figure) => Some(figure),
        _ => None,
    });
    let svg = draw::svg(&figure.unwrap().chart, "");
    assert_eq!(svg.matches("Jan 2026").count(), 1);
    assert_eq!(svg.matches("Jun 2026").count(), 1);
    assert!(!svg.contains("upper limit"));
    let last = checks.last().cloned().unwrap();
    checks.push(CartCheck {
        cart: "cart_3".to_owned(),
        checked: last.checked.map(|minute| minute + 1),
        ..last
    });
    let text = read(&section(Some(&made(&checks))));
    assert!(
        text.contains(
            "1 distance is shorter than an hour, as where carts are checked in the same round."
        ),
        "{text}"
    );
    assert!(text.contains("| 0.0 |"), "{text}");
}

#[test]
fn days_between_faults_have_lines_from_twenty_on_and_say_where_a_rule_is_met() {
    // Faults every four days, and then none for 120 days.
    let checks = invented(0..=204, |day| day % 4 == 0 && (day <= 84 || day == 204));
    let text = read(&section(Some(&checks)));
    assert!(
        text.contains("beyond the upper limit; faults lay further apart"),
        "{text}"
    );
    assert!(text.contains("Fault of June 2026"), "{text}");
    assert!(text.contains("| June 2026 | 120.0 | yes |"), "{text}");
    let words = in_words(Some(&checks));
    assert_eq!(
        words[1],
        "What stands out by a rule: Alder, cart_1 with 82 of 103 checks on time (79.6%, 95% interval 70.8 \
         to 86.3%), below every other cart; the chart of faults signals from June 2026 on (faults lay \
         further apart than before)."
    );
    assert!(text.contains("t chart, Nelson 1994"));
}

#[test]
fn without_checks_or_faults_the_section_says_so() {
    let text = read(&section(None));
    assert!(text.contains("No checks of carts were given.") && text.contains("cart-checks FILE"));
    assert!(in_words(None).is_empty());
    let quiet = read(&section(Some(&invented(1..=4, |_| false))));
    assert!(quiet.contains("No done check found a fault."));
    assert!(quiet.contains("| Any fault | 0 of 4 | – | – |"), "{quiet}");
}
