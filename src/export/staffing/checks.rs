//! The tables `cart_checks` and `cart_check_days`: what became of the checks of carts, and the days
//! between those that found a fault.
//!
//! Knows the columns. Computes no number.

use crate::domain::codes::CartFault;
use crate::domain::counts::ALL;
use crate::export::columns::{batch, flag, number, text, whole};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::checks::{CartChecks, ChecksOfCarts, ShareOfChecks};

/// A share of the checks of some carts.
struct Row<'a> {
    site: &'a str,
    cart: &'a str,
    what: &'static str,
    of: &'static str,
    share: ShareOfChecks,
}

/// One row per group of carts and share; a share of no check has none. All carts first, then sites
/// and carts by name. Without checks the table is empty.
///
/// # Errors
/// When a count does not fit INT64.
pub fn cart_checks_table(checks: Option<&CartChecks>) -> Result<Table, TableError> {
    let mut rows = Vec::new();
    if let Some(checks) = checks {
        add_rows(&mut rows, (ALL, ALL), &checks.all, checks.level);
        for (group, found) in &checks.groups {
            let cart = group.cart.as_deref().unwrap_or(ALL);
            add_rows(&mut rows, (&group.site, cart), found, checks.level);
        }
    }
    let rows = || rows.iter();
    let columns = vec![
        text(
            "site",
            "the site; all for all together",
            rows().map(|row| row.site),
        ),
        text(
            "cart",
            "the cart; all for all of the site",
            rows().map(|row| row.cart),
        ),
        text(
            "what",
            "on_time, complete, any_fault, or the code of a fault that was found",
            rows().map(|row| row.what),
        ),
        text(
            "of",
            "due, done, or judged: done and recorded whether complete",
            rows().map(|row| row.of),
        ),
        whole(
            "events",
            "checks of which it is true",
            "checks",
            rows().map(|row| row.share.tally.events()),
        )?,
        whole(
            "checks",
            "checks asked",
            "checks",
            rows().map(|row| row.share.tally.cases()),
        )?,
        number(
            "share",
            "the first of the second",
            "fraction",
            rows().map(|row| Some(row.share.tally.share())),
        ),
        number(
            "low",
            "lower limit of it (Wilson)",
            "fraction",
            rows().map(|row| Some(row.share.interval.low)),
        ),
        number(
            "high",
            "upper limit of it (Wilson)",
            "fraction",
            rows().map(|row| Some(row.share.interval.high)),
        ),
    ];
    Ok(Table {
        name: "cart_checks",
        batch: batch(columns),
    })
}

fn add_rows<'a>(
    rows: &mut Vec<Row<'a>>,
    (site, cart): (&'a str, &'a str),
    found: &ChecksOfCarts,
    level: f64,
) {
    let general = [
        ("on_time", "due", found.on_time_share(level)),
        ("complete", "judged", found.complete_share(level)),
        ("any_fault", "done", found.fault_share(level)),
    ];
    let kinds = CartFault::ALL.iter().map(|fault| {
        let share = found.share_with(*fault, level);
        (fault.code(), "done", share)
    });
    let all = general.into_iter().chain(kinds);
    rows.extend(all.filter_map(|(what, of, share)| {
        Some(Row {
            site,
            cart,
            what,
            of,
            share: share?,
        })
    }));
}

/// One row per check that found a fault but the first, oldest first. Without checks it is empty.
///
/// # Errors
/// When a count does not fit INT64.
pub fn cart_check_days_table(checks: Option<&CartChecks>) -> Result<Table, TableError> {
    let chart = checks.map(|checks| &checks.days_between);
    let points: Vec<_> = chart.into_iter().flat_map(|chart| &chart.points).collect();
    let lines = chart.and_then(|chart| chart.lines);
    let is_signal = |index: usize| {
        let mut signals = chart.into_iter().flat_map(|chart| &chart.signals);
        signals.any(|signal| (signal.first..=signal.last).contains(&index))
    };
    let columns = vec![
        whole(
            "number",
            "place in the order of the checks",
            "",
            1..=points.len() as u64,
        )?,
        text(
            "month",
            "month of the check that found a fault, YYYY-MM",
            points.iter().map(|point| point.month.to_string()),
        ),
        number(
            "days",
            "days since the check with a fault before",
            "days",
            points.iter().map(|point| Some(point.value)),
        ),
        number(
            "low_limit",
            "lower limit of the t chart; empty where there is none",
            "days",
            points.iter().map(|_| lines?.low),
        ),
        number(
            "center",
            "center of the t chart; empty with too few distances",
            "days",
            points.iter().map(|_| Some(lines?.center)),
        ),
        number(
            "high_limit",
            "upper limit of the t chart; empty where there is none",
            "days",
            points.iter().map(|_| lines?.high),
        ),
        flag(
            "signal",
            "whether a rule is met at it",
            (0..points.len()).map(is_signal),
        ),
    ];
    Ok(Table {
        name: "cart_check_days",
        batch: batch(columns),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::duty::cart_check::CartCheck;
    use crate::domain::month::Month;
    use crate::export::table::Format;
    use crate::findings::estimate::Settings;
    use crate::findings::staffing::checks::cart_checks;

    fn csv(table: Result<Table, TableError>) -> String {
        String::from_utf8(table.unwrap().encode(Format::Csv).unwrap()).unwrap()
    }

    fn check(cart: &str, day: i64, faults: &[CartFault]) -> CartCheck {
        CartCheck {
            site: "Alder".to_owned(),
            cart: cart.to_owned(),
            due: day * 1440,
            checked: Some(day * 1440),
            is_complete: None,
            faults: faults.to_vec(),
        }
    }

    #[test]
    fn shares_of_no_check_are_left_out_and_faults_stand_apart() {
        let checks = [
            check("one", 1, &[CartFault::Expired]),
            check("two", 4, &[CartFault::Expired, CartFault::FoundOpen]),
        ];
        let september = |_| Month::new(2026, 9).ok().map(|month| (month, 1));
        let found = cart_checks(&checks, september, Settings::default());
        let table = csv(cart_checks_table(found.as_ref()));
        let starts: Vec<_> = table
            .lines()
            .filter(|line| line.contains("on_time") || line.contains("expired"))
            .map(|line| line.split(',').take(6).collect::<Vec<_>>().join(","))
            .collect();
        let expected = [
            "all,all,on_time,due,2,2",
            "all,all,expired,done,2,2",
            "Alder,one,on_time,due,1,1",
            "Alder,one,expired,done,1,1",
            "Alder,two,on_time,due,1,1",
            "Alder,two,expired,done,1,1",
        ];
        assert_eq!(starts, expected);
        assert!(
            !table.contains("complete") && table.contains("Alder,one,found_open,done,0,1,0,0,")
        );
        assert_eq!(
            csv(cart_check_days_table(found.as_ref())),
            "number,month,days,low_limit,center,high_limit,signal\n1,2026-09,3,,,,false\n"
        );
    }

    #[test]
    fn without_checks_the_tables_are_empty() {
        assert_eq!(csv(cart_checks_table(None)).lines().count(), 1);
        assert_eq!(csv(cart_check_days_table(None)).lines().count(), 1);
    }
}
