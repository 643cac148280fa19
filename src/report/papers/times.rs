//! Time to the scope for a paper: the share scoped by some times with those at risk, by urgency, and
//! what had become of all calls.

use crate::domain::fields::value_label;
use crate::findings::curves::{Curve, EndShare, FEWEST_AT_RISK, MEASURES};
use crate::findings::finding::Unit;
use crate::findings::review::Review;
use crate::report::comparison_words::percents;
use crate::report::content::{Cell, Table};
use crate::report::{format, series};

/// By when the shares stand here, in minutes: a quarter of an hour to a day.
const BY: [i64; 8] = [15, 30, 60, 120, 240, 360, 720, 1440];

/// A row for each curve and time, up to the first by which all were scoped or too few are left.
pub(super) fn curves(review: &Review) -> Table {
    let mut table = Table::new(
        format!(
            "Time to scope in by urgency, {}: share scoped by then by Kaplan-Meier with its {} log-log \
             interval, and cases at risk, neither scoped nor gone before that time. Cases that were \
             cancelled or transferred are followed until then. A group ends where fewer than \
             {FEWEST_AT_RISK} cases are at risk. Nothing is compared and nothing tested.",
            series::whole_period(review),
            format::level(review.level)
        ),
        &["Group", "By", "At risk", "Scoped by then", "Interval"],
    );
    for measure in MEASURES {
        let shown = review.curves.of(measure);
        let mut shown = shown
            .filter(|curve| !curve.is_withheld(&review.findings))
            .peekable();
        if shown.peek().is_none() {
            continue;
        }
        table.push_heading(review.title(measure));
        for curve in shown {
            push_curve(&mut table, curve);
        }
    }
    table
}

fn push_curve(table: &mut Table, curve: &Curve) {
    let left = match curve.censored {
        0 => String::new(),
        left => format!(", {} not followed to the end", format::whole(left)),
    };
    let label = format!(
        "\u{2003}{} ({}{left})",
        value_label(curve.by, &curve.group),
        format::counted(curve.cases, "case", "cases"),
    );
    let mut name = label;
    for minutes in BY {
        let Some((share, interval)) = curve.by(minutes) else {
            break;
        };
        let interval = interval.map_or_else(
            || format::NOTHING.to_owned(),
            |interval| percents(curve.cases, interval),
        );
        table.push(vec![
            std::mem::take(&mut name).into(),
            format!("{minutes} min").into(),
            format::whole(curve.at_risk(minutes)).into(),
            format::with_unit(Unit::Fraction, curve.cases, share).into(),
            interval.into(),
        ]);
    }
    if !name.is_empty() {
        table.push(vec![name.into()]);
    }
}

/// A row for each time up to the first by which every call had come to an end.
pub(super) fn ends(review: &Review) -> Table {
    let judged = review.curves.ends.first();
    let judged = judged.map_or(0, |row| row.scoped.counted.cases);
    let mut table = Table::new(
        format!(
            "What had become of the {} that could be judged ({} could not), {}: cases, percent and {} Wilson \
             interval. Left: cancelled or transferred before the scope.",
            format::counted(judged, "call", "calls"),
            format::whole(review.curves.ends_excluded),
            series::whole_period(review),
            format::level(review.level)
        ),
        &["Time since the call", "Scoped", "Left", "Still waiting"],
    );
    for row in &review.curves.ends {
        let shares = [row.scoped, row.left, row.waiting].map(|share| end(share).into());
        let mut cells: Vec<Cell> = vec![format!("{} min", row.minutes).into()];
        cells.extend(shares);
        table.push(cells);
    }
    table
}

fn end(share: EndShare) -> String {
    let counted = share.counted;
    let Some(tally) = counted.tally() else {
        return format::NOTHING.to_owned();
    };
    format!(
        "{} ({}, {})",
        format::whole(counted.events),
        format::with_unit(Unit::Fraction, counted.cases, tally.share()),
        percents(counted.cases, share.interval)
    )
}
