//! The tables `curves`, how many had been scoped by when, and `ends`, what had become of all
//! judged calls.
//!
//! Knows the columns. Estimates nothing itself.

use super::columns::{Column, batch, number, text, whole};
use super::table::{Table, TableError};
use crate::findings::curves::{Curve, CurvePoint, EndShare, MEASURES};
use crate::findings::finding::Method;
use crate::findings::review::Review;

/// One row per minute at which something happened, in the order of the curves and of time. Also
/// where fewer cases are at risk than a page shows.
///
/// # Errors
/// When a count does not fit INT64.
pub fn curves_table(review: &Review) -> Result<Table, TableError> {
    let rows: Vec<(&Curve, &CurvePoint)> = review
        .curves
        .curves
        .iter()
        .flat_map(|curve| curve.points.iter().map(move |point| (curve, point)))
        .collect();
    let points = || rows.iter().map(|row| row.1);
    let columns = vec![
        text(
            "measure",
            "identifier of the measure",
            rows.iter().map(|row| &row.0.measure),
        ),
        text(
            "by",
            "name of the dimension",
            rows.iter().map(|row| row.0.by),
        ),
        text("group", "its value", rows.iter().map(|row| &row.0.group)),
        whole(
            "minutes",
            "time since the start; what the row says holds up to the next",
            "minutes",
            points().map(|point| point.minutes),
        )?,
        whole(
            "at_risk",
            "cases followed at least until then and not at the end before",
            "cases",
            points().map(|point| point.at_risk),
        )?,
        whole(
            "events",
            "cases that reached the end at this minute",
            "cases",
            points().map(|point| point.events),
        )?,
        whole(
            "censored",
            "cases cancelled or transferred at this minute",
            "cases",
            points().map(|point| point.censored),
        )?,
        number(
            "reached",
            "estimated share that has reached the end by this minute",
            "fraction",
            points().map(|point| Some(point.reached)),
        ),
    ];
    let limits = points().map(|point| point.interval.map(|at| (at.low, at.high)));
    let limits = limits_and_method(limits, review.level, Method::KaplanMeier);
    Ok(Table {
        name: "curves",
        batch: batch(columns.into_iter().chain(limits).collect()),
    })
}

/// Three rows for each time: scoped, left before the scope, still waiting. They add up to all
/// judged calls.
///
/// # Errors
/// When a count does not fit INT64.
pub fn ends_table(review: &Review) -> Result<Table, TableError> {
    let rows: Vec<(i64, &str, EndShare)> = review
        .curves
        .ends
        .iter()
        .flat_map(|row| {
            [
                (row.minutes, "scoped", row.scoped),
                (row.minutes, "left", row.left),
                (row.minutes, "waiting", row.waiting),
            ]
        })
        .collect();
    let counted = || rows.iter().map(|row| row.2.counted);
    let columns = vec![
        text(
            "measure",
            "identifier of the measure",
            rows.iter().map(|_| MEASURES[0]),
        ),
        whole(
            "minutes",
            "time since the call, this minute included",
            "minutes",
            rows.iter().map(|row| row.0),
        )?,
        text(
            "end",
            "scoped; left: cancelled or transferred before the scope; waiting: neither",
            rows.iter().map(|row| row.1),
        ),
        whole(
            "events",
            "cases with this end by then",
            "cases",
            counted().map(|counted| counted.events),
        )?,
        whole(
            "cases",
            "judged cases",
            "cases",
            counted().map(|counted| counted.cases),
        )?,
        whole(
            "excluded",
            "cases of the population that could not be judged",
            "cases",
            rows.iter().map(|_| review.curves.ends_excluded),
        )?,
        number(
            "share",
            "events of cases",
            "fraction",
            counted().map(|counted| Some(counted.tally()?.share())),
        ),
    ];
    let limits = rows
        .iter()
        .map(|row| Some((row.2.interval.low, row.2.interval.high)));
    let limits = limits_and_method(limits, review.level, Method::Wilson);
    Ok(Table {
        name: "ends",
        batch: batch(columns.into_iter().chain(limits).collect()),
    })
}

fn limits_and_method(
    limits: impl Iterator<Item = Option<(f64, f64)>> + Clone,
    level: f64,
    method: Method,
) -> [Column; 4] {
    let rows = limits.clone();
    [
        number(
            "low",
            "lower confidence limit; empty when there is none",
            "fraction",
            limits.clone().map(|limits| Some(limits?.0)),
        ),
        number(
            "high",
            "upper confidence limit; empty when there is none",
            "fraction",
            limits.clone().map(|limits| Some(limits?.1)),
        ),
        number(
            "level",
            "confidence level of the limits",
            "fraction",
            limits.map(|_| Some(level)),
        ),
        text(
            "method",
            "how estimate and limits were computed",
            rows.map(|_| method.code()),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::table::Format;
    use crate::findings::comparisons::{Counted, Interval};
    use crate::findings::curves::{Curves, EndsBy};

    #[test]
    fn each_minute_of_a_curve_and_each_end_has_a_row() {
        let point = |minutes, events, reached, interval| CurvePoint {
            minutes,
            at_risk: 8,
            events,
            censored: 1,
            reached,
            interval,
        };
        let interval = Interval {
            low: 0.25,
            high: 0.75,
        };
        let share = |events| EndShare {
            counted: Counted { events, cases: 8 },
            interval,
        };
        let curves = Curves {
            curves: vec![Curve {
                measure: "call_to_scope".to_owned(),
                by: "urgency",
                group: "urgent".to_owned(),
                cases: 8,
                censored: 2,
                points: vec![point(5, 0, 0.0, None), point(30, 4, 0.5, Some(interval))],
            }],
            ends: vec![EndsBy {
                minutes: 30,
                scoped: share(4),
                left: share(1),
                waiting: share(3),
            }],
            ends_excluded: 2,
        };
        let review = Review {
            curves,
            ..crate::export::headlines::tests::review(Vec::new())
        };
        let csv = |table: Table| String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap();
        assert_eq!(
            csv(curves_table(&review).unwrap()),
            "measure,by,group,minutes,at_risk,events,censored,reached,low,high,level,method\n\
             call_to_scope,urgency,urgent,5,8,0,1,0,,,0.95,kaplan_meier\n\
             call_to_scope,urgency,urgent,30,8,4,1,0.5,0.25,0.75,0.95,kaplan_meier\n"
        );
        assert_eq!(
            csv(ends_table(&review).unwrap()),
            "measure,minutes,end,events,cases,excluded,share,low,high,level,method\n\
             call_to_scope,30,scoped,4,8,2,0.5,0.25,0.75,0.95,wilson\n\
             call_to_scope,30,left,1,8,2,0.125,0.25,0.75,0.95,wilson\n\
             call_to_scope,30,waiting,3,8,2,0.375,0.25,0.75,0.95,wilson\n"
        );
    }
}
