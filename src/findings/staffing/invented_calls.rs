//! Invented calls and hours for tests: June 2026 in a zone without clock changes, whose first day,
//! a Monday, begins at minute 0. Monday to Friday are staffed from 8 to 17, nights last from 22 to 7.

use crate::domain::codes::{Presentation, Shift, Weekday};
use crate::domain::duty::calendar::{DutyCalendar, Span};
use crate::domain::duty::call::Call;

/// The minute of a time of a day, both from 0 on.
pub(crate) const fn at(day: i64, hour: i64, minute: i64) -> i64 {
    (day * 24 + hour) * 60 + minute
}

/// A call at Alder whose team was free again after so many minutes, or nobody knows when.
pub(crate) fn call(called: i64, minutes: Option<i64>) -> Call {
    let (day, hour) = (
        called.div_euclid(at(1, 0, 0)),
        called.rem_euclid(at(1, 0, 0)) / 60,
    );
    let weekday = usize::try_from(day.rem_euclid(7)).expect("0 to 6");
    let is_staffed = weekday < 5 && (8..17).contains(&hour);
    Call {
        site: "Alder".to_owned(),
        month: "2026-06".parse().expect("a month"),
        weekday: Weekday::ALL[weekday],
        hour: u8::try_from(hour).expect("0 to 23"),
        shift: if is_staffed {
            Shift::InHours
        } else {
            Shift::AfterHours
        },
        presentation: Presentation::ALL[0],
        called,
        team: None,
        scope_in: None,
        scope_out: None,
        ended: None,
        released: minutes.map(|minutes| called + minutes),
        deadline: None,
    }
}

/// The first days of that month.
pub(crate) fn calendar(days: i64) -> DutyCalendar {
    let span = |day, hour, until| Span {
        from: at(day, hour, 0),
        until: at(day, until, 0),
    };
    let staffed = (0..days + 14).filter(|day| day % 7 < 5);
    DutyCalendar {
        period: Span {
            from: 0,
            until: at(days, 0, 0),
        },
        in_hours: staffed.map(|day| span(day, 8, 17)).collect(),
        nights: (0..days).map(|day| span(day, 22, 31)).collect(),
        days: (0..days).map(|day| span(day, 0, 24)).collect(),
    }
}
