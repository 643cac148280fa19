//! Readiness checks of carts: on time, what they found, and the days between faults.

mod between;

use super::cart_words::{WHO_DECIDES, interval, percent, plain_share, site};
use crate::domain::codes::CartFault;
use crate::findings::staffing::checks::{
    CartChecks, CartGroup, ChecksOfCarts, ON_TIME_MINUTES, ShareOfChecks, StandsOut,
};
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::format;
use crate::report::series;
use between::between;

/// The section.
pub(super) fn section(checks: Option<&CartChecks>) -> Section {
    let blocks = match checks {
        None => vec![Block::Text(NOT_GIVEN.to_owned())],
        Some(checks) => {
            let mut blocks = vec![Block::Text(about(checks)), Block::Table(on_time(checks))];
            blocks.extend(stands_out(checks).map(Block::Text));
            blocks.push(Block::Table(faults(checks)));
            blocks.extend(between(checks));
            blocks.push(Block::Caution(format!(
                "A cart on which more is found may be one that is looked at more closely, and a check \
                 that nobody wrote down may have been done. {WHO_DECIDES}"
            )));
            blocks
        }
    };
    Section {
        id: "checks",
        heading: "Checks of the carts".to_owned(),
        blocks,
    }
}

const NOT_GIVEN: &str = "No checks of carts were given. With --cart-checks FILE, a table with one row \
    for each check that was due (site, cart, due_at, checked_at, complete, faults), this part says how \
    many checks were done on time, how many found the cart complete, what they found, and how many \
    days lie between faults.";

fn about(checks: &CartChecks) -> String {
    let due = checks.due.map_or_else(String::new, |(first, last)| {
        let day = |(month, day)| format!("{month}-{day:02}");
        format!(
            "{} due, the first on {} and the last on {}. ",
            match checks.all.due {
                1 => "1 check was".to_owned(),
                count => format!("{} checks were", format::whole(count)),
            },
            day(first),
            day(last)
        )
    });
    format!(
        "{due}One row of the checks is one check that was due. It is on time up to {ON_TIME_MINUTES} minutes \
         after it was due (a limit of this project, no source), and early is on time. Complete is told \
         of the checks that were done and say so; faults are told of the checks that were done. Sites \
         and carts stand by name."
    )
}

/// What stands on the first page.
pub(crate) fn in_words(checks: Option<&CartChecks>) -> Vec<String> {
    let Some(checks) = checks else {
        return Vec::new();
    };
    let all = &checks.all;
    let words = |found: ShareOfChecks, what: &str| {
        plain_share(found.tally, found.interval, checks.level, what)
    };
    let on_time = all
        .on_time_share(checks.level)
        .map(|found| format!("{} were done on time", words(found, "checks of carts")));
    // That a cart was not complete and that a fault was found is the same news.
    let fault = all
        .fault_share(checks.level)
        .map(|found| format!("a fault was found in {}", words(found, "that were done")));
    let counts: Vec<_> = on_time.into_iter().chain(fault).collect();
    let late = checks.late.as_ref().map(|late| {
        format!(
            "{}, below every other {}",
            late_words(late, checks.level),
            kind(late)
        )
    });
    let signal = checks.days_between.signals.first().and_then(|signal| {
        let point = checks.days_between.points.get(signal.first)?;
        Some(format!(
            "the chart of faults signals from {} on ({})",
            format::month_name(point.month),
            series::between::meaning("faults", signal.side)
        ))
    });
    let outstanding: Vec<_> = late.into_iter().chain(signal).collect();
    let mut sentences = vec![format!("{}.", counts.join(", and "))];
    if !outstanding.is_empty() {
        sentences.push(format!(
            "What stands out by a rule: {}.",
            outstanding.join("; ")
        ));
    }
    sentences
}

/// `Birch, cart_1 with 598 of 730 checks on time (82%, 95% interval 79 to 85%)`.
fn late_words(late: &StandsOut, level: f64) -> String {
    let ShareOfChecks { tally, interval } = late.share;
    format!(
        "{} with {}",
        group_name(&late.group),
        plain_share(tally, interval, level, "checks on time")
    )
}

const fn kind(late: &StandsOut) -> &'static str {
    match late.group.cart {
        Some(_) => "cart",
        None => "site",
    }
}

/// The groups by name, all carts first.
fn rows(checks: &CartChecks) -> impl Iterator<Item = (String, &ChecksOfCarts)> {
    let groups = checks.groups.iter();
    let named = groups.map(|(group, found)| (group_name(group), found));
    [("All carts".to_owned(), &checks.all)]
        .into_iter()
        .chain(named)
}

/// The rule by which a cart or a site stands out, and whether one does; `None` for a single cart.
fn stands_out(checks: &CartChecks) -> Option<String> {
    let found = match &checks.late {
        None => "By this rule none stands out.".to_owned(),
        Some(late) => format!(
            "By this rule one stands out: {}. The data do not say why.",
            late_words(late, checks.level)
        ),
    };
    (checks.carts > 1).then(|| {
        format!(
            "Rule: a cart is named where the interval of its share on time lies wholly below that of \
             every other cart, and where there is none such, a site in the same way (Wilson {} intervals \
             that do not meet, for which Newcombe’s interval of the difference leaves out 0). It ranks \
             nothing. {found}",
            format::level(checks.level)
        )
    })
}

fn group_name(group: &CartGroup) -> String {
    match &group.cart {
        None => format!("{}, all carts", site(&group.site)),
        Some(cart) => format!("{}, {cart}", site(&group.site)),
    }
}

fn on_time(checks: &CartChecks) -> Table {
    let level = format::level(checks.level);
    let mut table = Table::new(
        format!("Checks that were due, and what became of them; Wilson {level} intervals"),
        &[
            "Carts",
            "Due",
            "On time",
            "Later",
            "Not recorded",
            "Complete, of those judged",
        ],
    );
    for (name, found) in rows(checks) {
        table.push(vec![
            name.into(),
            format::whole(found.due).into(),
            share_cell(found.on_time_share(checks.level)),
            format::part(found.late, found.due).into(),
            format::part(found.not_recorded, found.due).into(),
            share_cell(found.complete_share(checks.level)),
        ]);
    }
    table
}

/// The counts with the share, and its interval below.
fn share_cell(share: Option<ShareOfChecks>) -> Cell {
    match share {
        None => format::NOTHING.into(),
        Some(found) => {
            let limits = interval(found.tally, found.interval);
            Cell {
                text: format::part(found.tally.events(), found.tally.cases()),
                details: Some(limits)
                    .filter(|limits| limits != format::NOTHING)
                    .into_iter()
                    .collect(),
            }
        }
    }
}

fn faults(checks: &CartChecks) -> Table {
    let mut table = Table::new(
        format!(
            "What was found, in 100 checks that were done, all carts together; Wilson {} intervals. A \
             check may find several",
            format::level(checks.level)
        ),
        &["Fault", "Checks", "In 100 checks", "Interval"],
    );
    let kinds = CartFault::ALL.iter().map(|fault| {
        let found = checks.all.share_with(*fault, checks.level);
        (format::capitalized(fault.label()), found)
    });
    let any = ("Any fault".to_owned(), checks.all.fault_share(checks.level));
    for (name, found) in kinds.chain([any]) {
        let Some(found) = found else {
            table.push(vec![name.into()]);
            continue;
        };
        table.push(vec![
            name.into(),
            super::cart_words::counts(found.tally).into(),
            percent(found.tally).trim_end_matches('%').into(),
            interval(found.tally, found.interval)
                .trim_end_matches('%')
                .into(),
        ]);
    }
    table
}

#[cfg(test)]
mod tests;
