//! The shape of a column → the words of its form, as a mapping has them.

use super::shape::{ClockShape, DateShape, Join, Shape};
use super::{Order, ShapeCount};

/// The words for a shape, the order of its numbers given.
pub(super) fn format_of(shape: Shape, count: ShapeCount, order: Order) -> String {
    let Shape::Time { date, clock, join } = shape else {
        return "serial".into();
    };
    let mut words = String::new();
    if let Some(date) = date {
        words.push_str(&date_words(date, order));
        words.push_str(match join {
            Join::Nothing => "",
            Join::Space if count.with_t * 2 > count.cells => "T",
            Join::Space => " ",
            Join::CommaAndSpace => ", ",
        });
    }
    if let Some(clock) = clock {
        words.push_str(&clock_words(clock, count));
    }
    words
}

fn date_words(date: DateShape, order: Order) -> String {
    let year = |is_short_year| if is_short_year { "%y" } else { "%Y" };
    let sign = |separator: u8| char::from(separator).to_string();
    match date {
        DateShape::YearFirst { separator } => {
            let separator = separator.map(sign).unwrap_or_default();
            ["%Y", "%m", "%d"].join(&separator)
        }
        DateShape::Numbers {
            separator,
            is_short_year,
        } => match order {
            Order::DayThenMonth => ["%d", "%m", year(is_short_year)],
            Order::MonthThenDay => ["%m", "%d", year(is_short_year)],
            Order::YearThenMonth => [year(is_short_year), "%m", "%d"],
        }
        .join(&sign(separator)),
        DateShape::DayAndName {
            separator,
            is_short_year,
        } => ["%d", "%b", year(is_short_year)].join(&sign(separator)),
        DateShape::NameAndDay { has_comma: true } => "%b %d, %Y".into(),
        DateShape::NameAndDay { has_comma: false } => "%b %d %Y".into(),
    }
}

fn clock_words(clock: ClockShape, count: ShapeCount) -> String {
    let separator = clock.separator.map(char::from);
    let mut words = String::from(if clock.has_meridiem { "%I" } else { "%H" });
    words.extend(separator);
    words.push_str("%M");
    if count.with_seconds > 0 {
        words.extend(separator);
        words.push_str("%S");
    }
    if count.with_fraction > 0 {
        words.push_str("%.f");
    }
    if clock.has_meridiem {
        words.push_str(" %p");
    }
    if clock.has_offset {
        words.push_str("%:z");
    }
    words
}
