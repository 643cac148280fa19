use super::super::cart_words::tests::read;
use super::*;
use crate::domain::duty::cart_check::CartCheck;
use crate::domain::month::Month;
use crate::findings::estimate::Settings;
use crate::findings::staffing::checks::cart_checks;

const DAY: i64 = 24 * 60;

/// A check on each of these days, with a fault or none; every tenth is an hour and a minute late,
/// and that of day 5 is not done.
fn invented(days: impl Iterator<Item = i64>, is_faulty: impl Fn(i64) -> bool) -> CartChecks {
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
    let checks: Vec<_> = days.map(check).collect();
    let month_of = |minute: i64| Month::new(2026, if minute < 100 * DAY { 1 } else { 6 }).ok();
    cart_checks(&checks, month_of, Settings::default()).unwrap()
}

#[test]
fn checks_are_told_with_what_they_found() {
    let checks = invented(1..=20, |day| day % 4 == 0);
    let text = read(&section(Some(&checks)));
    for words in [
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
    assert_eq!(words.len(), 3);
    assert!(
        words[0].starts_with("Checks of carts: 17 of 20 (85%"),
        "{words:?}"
    );
    assert!(words[0].ends_with("were done on time, 2 later, and 1 is not recorded as done."));
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
    assert!(text.contains("| June 2026 | 120 | yes |"), "{text}");
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
