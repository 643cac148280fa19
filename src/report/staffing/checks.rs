//! Readiness checks of carts: on time, what they found, and the days between faults.

use super::cart_words::{WHO_DECIDES, interval, percent, share, site};
use crate::domain::codes::CartFault;
use crate::findings::comparisons::over_time::{BetweenChart, BetweenSignal, Rule, Side};
use crate::findings::staffing::checks::{
    CartChecks, CartGroup, ChecksOfCarts, ON_TIME_MINUTES, ShareOfChecks,
};
use crate::report::chart::{Chart, Plot, SequenceLines, SequencePoint};
use crate::report::content::{Block, Cell, Figure, Section, Table};
use crate::report::format;

/// Points that the chart has room for: the last ones.
const MOST_POINTS: usize = 60;

/// The section.
pub(super) fn section(checks: Option<&CartChecks>) -> Section {
    let blocks = match checks {
        None => vec![Block::Text(NOT_GIVEN.to_owned())],
        Some(checks) => {
            let mut blocks = vec![
                Block::Text(about()),
                Block::Table(on_time(checks)),
                Block::Table(faults(checks)),
            ];
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

fn about() -> String {
    format!(
        "One row of the checks is one check that was due. It is on time up to {ON_TIME_MINUTES} minutes \
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
    let (all, level) = (&checks.all, checks.level);
    let words = |share_of: Option<ShareOfChecks>| {
        share_of.map(|found| share(found.tally, found.interval, level))
    };
    let on_time = words(all.on_time_share(level)).map(|on_time| {
        format!(
            "Checks of carts: {on_time} were done on time, {} later, and {} not recorded as done.",
            format::whole(all.late),
            match all.not_recorded {
                1 => "1 is".to_owned(),
                count => format!("{} are", format::whole(count)),
            }
        )
    });
    let complete = words(all.complete_share(level))
        .map(|complete| format!("The cart was complete in {complete} judged checks."));
    let fault = words(all.fault_share(level))
        .map(|fault| format!("A fault was found in {fault} done checks."));
    [on_time, complete, fault].into_iter().flatten().collect()
}

/// The groups by name, all carts first.
fn rows(checks: &CartChecks) -> impl Iterator<Item = (String, &ChecksOfCarts)> {
    let groups = checks.groups.iter();
    let named = groups.map(|(group, found)| (group_name(group), found));
    [("All carts".to_owned(), &checks.all)]
        .into_iter()
        .chain(named)
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

/// Days between checks that found a fault.
fn between(checks: &CartChecks) -> Vec<Block> {
    let chart = &checks.days_between;
    let mut blocks = vec![Block::Heading("Days between faults".to_owned())];
    let Some(days) = checks.days_since else {
        blocks.push(Block::Text("No done check found a fault.".to_owned()));
        return blocks;
    };
    blocks.push(Block::Text(format!(
        "{} found a fault, of {} that were done. From the last of them to the last check: {} days.",
        format::counted(checks.all.with_fault, "check", "checks"),
        format::whole(checks.all.done()),
        format::distance(days)
    )));
    match &chart.lines {
        Some(lines) => {
            blocks.push(Block::List(signal_words(chart)));
            if let Some(high) = lines.high.filter(|high| days > *high) {
                blocks.push(Block::Text(format!(
                    "The days since the last fault lie beyond the upper limit of {} already.",
                    format::distance(high)
                )));
            }
        }
        None => blocks.push(Block::Text(format!(
            "{} so far, and lines need {}; no lines are drawn.",
            format::counted(chart.points.len() as u64, "distance", "distances"),
            chart.needed
        ))),
    }
    if chart.points.len() > 1 {
        blocks.push(Block::Figure(Box::new(figure(chart))));
    }
    blocks
}

fn signal_words(chart: &BetweenChart) -> Vec<String> {
    if chart.signals.is_empty() {
        return vec![
            "No rule was met (a point beyond the limits; eight in a row on one side of the middle)."
                .to_owned(),
        ];
    }
    let month = |index: usize| {
        let point = chart.points.get(index);
        point.map_or_else(String::new, |point| format::month_name(point.month))
    };
    let words = chart.signals.iter().map(|signal: &BetweenSignal| {
        let rule = match (signal.rule, signal.side) {
            (Rule::BeyondLimits, Side::Above) => "beyond the upper limit",
            (Rule::BeyondLimits, Side::Below) => "below the lower limit",
            (_, Side::Above) => "eight or more in a row above the middle",
            (_, Side::Below) => "eight or more in a row below the middle",
        };
        let meaning = match signal.side {
            Side::Above => "faults lay further apart than before",
            Side::Below => "faults came closer together than before",
        };
        let when = match (month(signal.first), month(signal.last)) {
            (first, last) if first == last => format!("fault of {first}"),
            (first, last) => format!("faults of {first} to {last}"),
        };
        format!(
            "{}: {rule}; {meaning}. A signal says that the distances are unlike those before, not why: \
             look first at whether checks are made or written down in another way.",
            format::capitalized(&when)
        )
    });
    words.collect()
}

fn figure(chart: &BetweenChart) -> Figure {
    let left_out = chart.points.len().saturating_sub(MOST_POINTS);
    let is_signal = |index: usize| {
        let mut signals = chart.signals.iter();
        signals.any(|signal| (signal.first..=signal.last).contains(&index))
    };
    let points = chart.points.iter().enumerate().skip(left_out);
    let points: Vec<_> = points
        .map(|(index, point)| SequencePoint {
            month: point.month,
            value: point.value,
            is_signal: is_signal(index),
        })
        .collect();
    let mut table = Table::new(
        "Days between checks that found a fault",
        &["Fault of", "Days since the one before", "Rule met"],
    );
    for point in &points {
        table.push(vec![
            format::month_name(point.month).into(),
            format::distance(point.value).into(),
            match (&chart.lines, point.is_signal) {
                (None, _) => format::NOTHING,
                (Some(_), true) => "yes",
                (Some(_), false) => "no",
            }
            .into(),
        ]);
    }
    let lines = match &chart.lines {
        None => String::new(),
        Some(lines) => format!(
            " Dashed: limits and center from the first {} distances (t chart, Nelson 1994); they stay \
             as they are when checks are added. Diamond: a rule is met.",
            lines.baseline
        ),
    };
    let rest = match left_out {
        0 => String::new(),
        left_out => format!(" The first {left_out} distances are not drawn."),
    };
    Figure {
        stem: "cart_faults_days_between".to_owned(),
        chart: Chart {
            title: "Checks that found a fault: how many days between them?".to_owned(),
            axis_label: "days between faults".to_owned(),
            unit: None,
            plot: Plot::Sequence {
                points,
                lines: chart.lines.map(|lines| SequenceLines {
                    middle: lines.run_line,
                    low: lines.low,
                    high: lines.high,
                    baseline: lines.baseline.saturating_sub(left_out),
                }),
            },
        },
        caption: format!(
            "Point: days from the check with a fault before to this one, all carts together. Higher \
             means rarer faults.{lines}{rest}"
        ),
        alternative: format!(
            "Days between checks that found a fault: {} distances, oldest first. The table below holds \
             those drawn.",
            chart.points.len()
        ),
        table,
    }
}

#[cfg(test)]
mod tests;
