//! What the sample promises of its roster, its duty plan and of calls that overlap, counted from the
//! files and cases themselves; and of the form of the cart checks.

use super::{COMMITTED_README, plan_of};
use crate::domain::codes::{Device, Hemostasis};
use crate::sample::calendar::Calendar;
use crate::sample::case::Case;
use crate::sample::site::Site;
use crate::sample::{self, DUTY_TOML, Plan, truths, write_cart_checks, write_roster};
use jiff::Span;
use jiff::civil::DateTime;
use std::collections::{BTreeMap, BTreeSet};
use std::io;

pub(super) const COMMITTED_ROSTER: &str = include_str!("../../../sample_data/roster.csv");
pub(super) const COMMITTED_CHECKS: &str = include_str!("../../../sample_data/cart_checks.csv");
const COMMITTED_DUTY: &str = include_str!("../../../sample_data/duty.toml");

fn roster(plan: &Plan) -> String {
    let mut output = Vec::new();
    let rows = write_roster(plan, &mut output).unwrap();
    let text = String::from_utf8(output).unwrap();
    assert_eq!(text.lines().count() as u64, rows + 1);
    text
}

pub(super) fn checks(plan: &Plan) -> String {
    let mut output = Vec::new();
    let rows = write_cart_checks(plan, &mut output).unwrap();
    let text = String::from_utf8(output).unwrap();
    assert_eq!(text.lines().count() as u64, rows + 1);
    text
}

pub(super) fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().skip(1).map(|row| row.split(',').collect())
}

pub(super) fn moment(cell: &str) -> DateTime {
    DateTime::strptime("%Y-%m-%d %H:%M", cell).unwrap()
}

/// A count in the words of the README.
pub(super) fn of(hits: &[bool]) -> String {
    let hit = hits.iter().filter(|hit| **hit).count();
    format!("{hit} of {}", hits.len())
}

#[track_caller]
pub(super) fn check_share(hits: &[bool], truth: f64, within: f64) {
    let share = hits.iter().filter(|hit| **hit).count() as f64 / hits.len() as f64;
    assert!((share - truth).abs() <= within, "{share} of {}", hits.len());
}

#[test]
fn the_committed_files_are_what_the_generator_writes() {
    let plan = Plan::default();
    assert!(
        roster(&plan) == COMMITTED_ROSTER,
        "sample_data/roster.csv is out of date"
    );
    assert!(
        checks(&plan) == COMMITTED_CHECKS,
        "sample_data/cart_checks.csv is out of date"
    );
    assert_eq!(DUTY_TOML, COMMITTED_DUTY);
    assert!(COMMITTED_ROSTER.len() + COMMITTED_CHECKS.len() + COMMITTED_DUTY.len() < 400_000);
}

#[test]
fn roster_and_checks_depend_on_seed_and_months_and_not_on_the_cases() {
    let plan = plan_of(50);
    assert_eq!(roster(&plan), COMMITTED_ROSTER);
    assert_eq!(checks(&plan), COMMITTED_CHECKS);
    let other_seed = Plan { seed: 2, ..plan };
    assert_ne!(roster(&other_seed), COMMITTED_ROSTER);
    assert_ne!(checks(&other_seed), COMMITTED_CHECKS);
    // Thirty years, of which the last one counts; one month, of which there is no year.
    let long = Plan {
        months: 360,
        ..plan
    };
    assert!(checks(&long).starts_with(
        "site,cart,due_at,checked_at,complete,faults\nAlder,cart_1,2053-10-01 08:00,"
    ));
    assert_eq!(rows(&checks(&long)).count(), 4 * 365);
    let short = Plan { months: 1, ..plan };
    assert_eq!(rows(&checks(&short)).count(), 4 * 31);
}

#[test]
fn one_of_each_kind_is_on_call_in_every_hour_after_hours_and_shifts_fill_the_others() {
    let plan = Plan::default();
    let calendar = Calendar::new(plan.first_month, plan.months).unwrap();
    let (first, last) = plan.duty_months();
    // How many of a kind are on call and at work, hour by hour.
    let mut planned: BTreeMap<(&str, &str, DateTime), (usize, usize)> = BTreeMap::new();
    for row in rows(COMMITTED_ROSTER) {
        let kind = row[1].split('_').next().unwrap();
        let (from, until) = (moment(row[3]), moment(row[4]));
        let hours = from.series(Span::new().hours(1));
        for hour in hours.take_while(|hour| *hour < until) {
            let count = planned.entry((row[0], kind, hour)).or_default();
            match row[2] {
                "on_call" => count.0 += 1,
                "shift" => count.1 += 1,
                other => panic!("{other}"),
            }
        }
    }
    let hours = calendar
        .hours()
        .filter(|hour| (first..=last).contains(&hour.month));
    let mut seen = 0;
    for hour in hours {
        let wall = calendar.wall_clock(hour.start_minute);
        for site in Site::ALL {
            for (kind, on_shift) in [("nurse", 2), ("endoscopist", 1)] {
                let count = planned[&(site.name(), kind, wall)];
                let expected = if hour.staffed { (0, on_shift) } else { (1, 0) };
                assert_eq!(count, expected, "{kind} at {wall}");
                seen += 1;
            }
        }
    }
    assert_eq!(seen, 365 * 24 * 6);
}

#[test]
fn roles_are_places_and_nobody_is_on_two_lines_at_once() {
    let mut roles = BTreeSet::new();
    let mut latest: BTreeMap<(&str, &str), DateTime> = BTreeMap::new();
    for row in rows(COMMITTED_ROSTER) {
        roles.insert(row[1]);
        let (from, until) = (moment(row[3]), moment(row[4]));
        assert!(from < until);
        let before = latest.insert((row[0], row[1]), until);
        assert!(before.is_none_or(|before| before <= from), "{row:?}");
    }
    let nurses = (1..=6).map(|place| format!("nurse_{place}"));
    let endoscopists = (1..=3).map(|place| format!("endoscopist_{place}"));
    let expected: BTreeSet<_> = nurses.chain(endoscopists).collect();
    assert!(roles.into_iter().eq(expected));
}

/// Of the mornings of working days at a site: whether the one who was on call has the day shift.
fn shifts_after_call(text: &str, is_wanted: impl Fn(&str) -> bool) -> Vec<bool> {
    let shifts: BTreeSet<_> = rows(text)
        .filter(|row| row[2] == "shift")
        .map(|row| (row[0].to_owned(), row[1].to_owned(), moment(row[3])))
        .collect();
    let working: BTreeSet<_> = shifts.iter().map(|(_, _, from)| *from).collect();
    rows(text)
        .filter(|row| row[2] == "on_call" && is_wanted(row[0]))
        .filter(|row| working.contains(&moment(row[4])))
        .map(|row| shifts.contains(&(row[0].to_owned(), row[1].to_owned(), moment(row[4]))))
        .collect()
}

#[test]
fn at_birch_most_who_were_on_call_work_the_next_day() {
    let at_birch = shifts_after_call(COMMITTED_ROSTER, |site| site == "Birch");
    let elsewhere = shifts_after_call(COMMITTED_ROSTER, |site| site != "Birch");
    // 261 days from Monday to Friday less three holidays, with two kinds each.
    assert_eq!((at_birch.len(), elsewhere.len()), (2 * 258, 2 * 2 * 258));
    check_share(&at_birch, truths::SHIFT_AFTER_CALL_BIRCH, 0.05);
    check_share(&elsewhere, truths::SHIFT_AFTER_CALL, 0.04);
    let words = format!(
        "{} mornings at Birch, {} elsewhere",
        of(&at_birch),
        of(&elsewhere)
    );
    assert!(COMMITTED_README.contains(&words), "{words}");
}

/// The cases of the committed sample, without the faults.
fn committed_cases() -> Vec<Case> {
    let plan = Plan::default();
    let calendar = Calendar::new(plan.first_month, plan.months).unwrap();
    sample::cases(&plan, &calendar).collect()
}

#[test]
fn the_cart_has_one_net_where_a_week_often_asks_for_two() {
    let plan: toml::Table = DUTY_TOML.parse().unwrap();
    let carried = |item: &str| plan["cart"]["items"][item]["carried"].as_integer();
    assert_eq!(
        (carried("net"), carried("bleed_powder")),
        (Some(1), Some(4))
    );
    assert_eq!(plan["cart"]["lead_days"].as_integer(), Some(7));

    let cases = committed_cases();
    let uses = |site: Site| {
        let of_site = cases.iter().filter(move |case| case.site == site);
        let with_net = of_site.filter(|case| {
            let mut passes = case.passes.iter();
            passes.any(|pass| pass.device == Device::Net)
        });
        with_net.map(|case| case.times.called).collect::<Vec<_>>()
    };
    let words = Site::ALL.map(|site| {
        let uses = uses(site);
        let soon = uses
            .windows(2)
            .filter(|pair| pair[1] - pair[0] < 7 * 24 * 60);
        let cases = if site == Site::Alder {
            " cases with a net"
        } else {
            ""
        };
        format!(
            "{} of {}{cases} at {}",
            soon.count(),
            uses.len(),
            site.name()
        )
    });
    for words in words {
        assert!(COMMITTED_README.contains(&words), "{words}");
    }
    let treatments = cases
        .iter()
        .filter_map(|case| case.bleed.as_ref()?.treatment);
    let powders = treatments.filter(|treatment| *treatment == Hemostasis::Powder);
    let words = format!("powder was used in {} cases in two years", powders.count());
    assert!(COMMITTED_README.contains(&words), "{words}");
}

#[test]
fn so_many_calls_come_while_the_team_of_the_site_is_bound() {
    let cases = committed_cases();
    let until = |case: &Case| {
        let done = case.times.scope_out.max(case.times.ended);
        case.times.released.or(done.map(|done| done + 30))
    };
    let overlapping = Site::ALL.map(|site| {
        let of_site: Vec<_> = cases.iter().filter(|case| case.site == site).collect();
        let comes_while_bound = |place: &usize| {
            let called = of_site[*place].times.called;
            let mut earlier = of_site[..*place].iter();
            earlier.any(|case| until(case).is_some_and(|until| called < until))
        };
        (0..of_site.len()).filter(comes_while_bound).count()
    });
    let words = format!(
        "{} calls come while a team of the same site is still bound: {} at Alder, {} at Birch, {} at Cedar",
        overlapping.iter().sum::<usize>(),
        overlapping[0],
        overlapping[1],
        overlapping[2],
    );
    assert!(COMMITTED_README.contains(&words), "{words}");
}

#[test]
fn an_output_that_cannot_be_written_is_an_error() {
    struct Full;
    impl io::Write for Full {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(io::ErrorKind::StorageFull.into())
        }
        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
    let plan = Plan::default();
    let error = write_roster(&plan, Full).unwrap_err();
    assert_eq!(error.kind(), io::ErrorKind::StorageFull);
    let error = write_cart_checks(&plan, Full).unwrap_err();
    assert_eq!(error.kind(), io::ErrorKind::StorageFull);
}
