//! The form of a column of times, proved by its cells. Day and month are told apart by numbers above
//! twelve and never by what is likely; where no cell proves the order, a sister column may, since one
//! export is written by one writer.
//!
//! Keeps counts, no texts. Knows no headings.

mod shape;
mod words;

use super::spreadsheet::is_spreadsheet_error;
use shape::{DateShape, Seen, Shape, look_at};
use std::collections::BTreeMap;
use words::format_of;

/// Shapes with a smaller share of the cells than one in so many are slips of single rows.
const STRAY_ONE_IN: u64 = 100;

/// So many cells without an hour above twelve make a clock of 24 hours doubtful.
const CELLS_TO_DOUBT_HOURS: u64 = 20;

/// Where am and pm were lost, the day and the night fall on the same twelve hours. Times of one or two
/// hours only are rather a clinic of the morning.
const HOURS_TO_DOUBT_HOURS: u32 = 6;

/// Why a form is the right one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::ingest) enum Proof {
    /// The year in front, or the name of the month: there is no other way to read it.
    SelfEvident,
    /// So many cells have a day above twelve.
    DaysAboveTwelve(u64),
    /// No cell of this column has; so many of columns with dates of the same shape do.
    Sisters(u64),
}

/// A form that is settled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::ingest) struct Form {
    /// In the words of the mapping.
    pub(in crate::ingest) format: String,
    /// Cells of this form.
    pub(in crate::ingest) cells: u64,
    /// Cells that are something else, few or no times at all.
    pub(in crate::ingest) strays: u64,
    /// Why it is the right one.
    pub(in crate::ingest) proof: Proof,
    /// Whether the clock has no am and pm and yet no cell has an hour above twelve: the export may
    /// have lost them.
    pub(in crate::ingest) may_lack_meridiem: bool,
}

/// What the cells of a column say about its form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::ingest) enum Verdict {
    /// No cell is filled in.
    Empty,
    /// Most cells are no times.
    NotTimes,
    /// Day numbers of a spreadsheet (`serial`); from which first day they count is for a person to say.
    Serial {
        /// Cells with such a number.
        cells: u64,
    },
    /// Date and time of day.
    Proved(Form),
    /// A date without a time of day.
    DateOnly(Form),
    /// A time of day without a date.
    TimeOfDay(Form),
    /// Every cell can be read in each of these forms.
    Ambiguous {
        /// In the words of the mapping.
        formats: Vec<String>,
    },
    /// No form reads the column: different shapes, or cells that prove different orders.
    Mixed {
        /// The forms with the number of cells that show each.
        forms: Vec<(String, u64)>,
    },
}

/// What the cells of one column have shown so far.
#[derive(Clone, Debug, Default)]
pub(in crate::ingest) struct FormProof {
    cells: u64,
    shapes: BTreeMap<Shape, ShapeCount>,
    /// What the cells of each shape of dates say about the order of their numbers.
    orders: BTreeMap<DateShape, OrderEvidence>,
    /// The same from other columns of the export.
    sisters: BTreeMap<DateShape, OrderEvidence>,
}

#[derive(Clone, Copy, Debug, Default)]
struct ShapeCount {
    cells: u64,
    with_seconds: u64,
    with_fraction: u64,
    with_t: u64,
    beyond_twelve_hours: u64,
    /// Which hours were seen, a bit each.
    hours: u32,
}

/// The orders in which three numbers may be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Order {
    DayThenMonth,
    MonthThenDay,
    YearThenMonth,
}

/// For each order, the cells that it cannot read.
#[derive(Clone, Copy, Debug, Default)]
struct OrderEvidence {
    against_day_first: u64,
    against_month_first: u64,
    against_year_first: u64,
    first: Option<(u32, u32)>,
    third: Option<(u32, u32)>,
}

impl OrderEvidence {
    fn observe(&mut self, seen: Seen) {
        let [first, second, third] = seen.numbers;
        let is_day = |number| (1..=31).contains(&number);
        let is_month = |number| (1..=12).contains(&number);
        self.against_day_first += u64::from(!(is_day(first) && is_month(second)));
        self.against_month_first += u64::from(!(is_month(first) && is_day(second)));
        self.against_year_first +=
            u64::from(!(seen.may_start_with_year && is_month(second) && is_day(third)));
        self.first = wider(self.first, Some((first, first)));
        self.third = wider(self.third, Some((third, third)));
    }

    fn with(mut self, other: OrderEvidence) -> OrderEvidence {
        self.against_day_first += other.against_day_first;
        self.against_month_first += other.against_month_first;
        self.against_year_first += other.against_year_first;
        self.first = wider(self.first, other.first);
        self.third = wider(self.third, other.third);
        self
    }

    /// The orders that read every cell. Two digits in front may be a year; but the days of a column
    /// lie further apart than its years.
    fn possible(&self, is_short_year: bool) -> Vec<Order> {
        let spread = |range: Option<(u32, u32)>| range.map_or(0, |(least, most)| most - least);
        let may_start_with_year = is_short_year && spread(self.first) <= spread(self.third);
        [
            (Order::DayThenMonth, self.against_day_first == 0),
            (Order::MonthThenDay, self.against_month_first == 0),
            (
                Order::YearThenMonth,
                self.against_year_first == 0 && may_start_with_year,
            ),
        ]
        .into_iter()
        .filter_map(|(order, is_possible)| is_possible.then_some(order))
        .collect()
    }

    /// Cells that only this order of day and month reads.
    fn cells_for(&self, order: Order) -> u64 {
        match order {
            Order::DayThenMonth => self.against_month_first,
            Order::MonthThenDay => self.against_day_first,
            Order::YearThenMonth => self.against_day_first.min(self.against_month_first),
        }
    }
}

fn wider(one: Option<(u32, u32)>, other: Option<(u32, u32)>) -> Option<(u32, u32)> {
    match (one, other) {
        (Some(one), Some(other)) => Some((one.0.min(other.0), one.1.max(other.1))),
        (known, None) | (None, known) => known,
    }
}

impl FormProof {
    /// Takes one cell that is filled in into account.
    pub(in crate::ingest) fn observe(&mut self, text: &str) {
        let text = text.trim();
        // Neither says anything about how this column writes times.
        if text.is_empty() || is_spreadsheet_error(text) || is_blank_date(text) {
            return;
        }
        self.cells += 1;
        let Some(seen) = look_at(text) else { return };
        if let Shape::Time {
            date: Some(date @ DateShape::Numbers { is_short_year, .. }),
            ..
        } = seen.shape
        {
            let mut one = OrderEvidence::default();
            one.observe(seen);
            if one.possible(is_short_year).is_empty() {
                return;
            }
            let evidence = self.orders.entry(date).or_default();
            *evidence = evidence.with(one);
        }
        self.shapes.entry(seen.shape).or_default().observe(seen);
    }

    /// Takes into account what another column of the same export proves about the order of day and
    /// month.
    pub(in crate::ingest) fn merge(&mut self, sister: &FormProof) {
        for (date, evidence) in &sister.orders {
            let known = self.sisters.entry(*date).or_default();
            *known = known.with(*evidence);
        }
    }

    /// What the cells say so far.
    pub(in crate::ingest) fn verdict(&self) -> Verdict {
        if self.cells == 0 {
            return Verdict::Empty;
        }
        let known: u64 = self.shapes.values().map(|count| count.cells).sum();
        if known * 2 < self.cells || known == 0 {
            return Verdict::NotTimes;
        }
        let is_stray = |count: &ShapeCount| count.cells * STRAY_ONE_IN < known;
        let mut usual = self.shapes.iter().filter(|(_, count)| !is_stray(count));
        let (Some((shape, count)), None) = (usual.next(), usual.next()) else {
            let shapes = self.shapes.iter();
            let forms =
                shapes.map(|(shape, count)| (self.likely_format(*shape, *count), count.cells));
            return Verdict::Mixed {
                forms: forms.collect(),
            };
        };
        match *shape {
            Shape::Serial => Verdict::Serial { cells: count.cells },
            Shape::Time {
                date: Some(date @ DateShape::Numbers { is_short_year, .. }),
                ..
            } => self.verdict_by_order(*shape, *count, date, is_short_year),
            Shape::Time { .. } => {
                let format = format_of(*shape, *count, Order::DayThenMonth);
                self.settled(*shape, *count, format, Proof::SelfEvident)
            }
        }
    }

    fn verdict_by_order(
        &self,
        shape: Shape,
        count: ShapeCount,
        date: DateShape,
        is_short_year: bool,
    ) -> Verdict {
        let own = self.orders.get(&date).copied().unwrap_or_default();
        let sisters = self.sisters.get(&date).copied().unwrap_or_default();
        let all = own.with(sisters);
        let format = |order| format_of(shape, count, order);
        match all.possible(is_short_year)[..] {
            [order] => {
                let proof = match own.possible(is_short_year)[..] {
                    [_] => Proof::DaysAboveTwelve(own.cells_for(order)),
                    _ => Proof::Sisters(sisters.cells_for(order)),
                };
                self.settled(shape, count, format(order), proof)
            }
            [] => Verdict::Mixed {
                forms: [Order::DayThenMonth, Order::MonthThenDay]
                    .map(|order| (format(order), all.cells_for(order)))
                    .to_vec(),
            },
            ref orders => Verdict::Ambiguous {
                formats: orders.iter().copied().map(format).collect(),
            },
        }
    }

    fn settled(&self, shape: Shape, count: ShapeCount, format: String, proof: Proof) -> Verdict {
        let Shape::Time { date, clock, .. } = shape else {
            return Verdict::Serial { cells: count.cells };
        };
        let is_of_24_hours = clock.is_some_and(|clock| !clock.has_meridiem);
        let form = Form {
            format,
            cells: count.cells,
            strays: self.cells - count.cells,
            proof,
            may_lack_meridiem: is_of_24_hours
                && count.beyond_twelve_hours == 0
                && count.cells >= CELLS_TO_DOUBT_HOURS
                && count.hours.count_ones() >= HOURS_TO_DOUBT_HOURS,
        };
        match (date, clock) {
            (Some(_), Some(_)) => Verdict::Proved(form),
            (Some(_), None) => Verdict::DateOnly(form),
            (None, _) => Verdict::TimeOfDay(form),
        }
    }

    /// One form that reads the cells of a shape, for telling shapes apart.
    fn likely_format(&self, shape: Shape, count: ShapeCount) -> String {
        let order = match shape {
            Shape::Time {
                date: Some(date @ DateShape::Numbers { is_short_year, .. }),
                ..
            } => {
                let evidence = self.orders.get(&date).copied().unwrap_or_default();
                let possible = evidence.possible(is_short_year);
                possible.first().copied().unwrap_or(Order::DayThenMonth)
            }
            _ => Order::DayThenMonth,
        };
        format_of(shape, count, order)
    }
}

impl ShapeCount {
    fn observe(&mut self, seen: Seen) {
        self.cells += 1;
        self.with_seconds += u64::from(seen.has_seconds);
        self.with_fraction += u64::from(seen.has_fraction);
        self.with_t += u64::from(seen.has_t);
        self.beyond_twelve_hours += u64::from(!(1..=12).contains(&seen.hour));
        self.hours |= 1_u32.checked_shl(seen.hour).unwrap_or(0);
    }
}

/// Lets every column of one export know what the others prove.
pub(in crate::ingest) fn settle_sisters(columns: &mut [FormProof]) {
    let alone = columns.to_vec();
    for (place, column) in columns.iter_mut().enumerate() {
        let sisters = alone
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != place);
        for (_, sister) in sisters {
            column.merge(sister);
        }
    }
}

/// A date of zeros only, which says nothing about the order of its numbers.
fn is_blank_date(text: &str) -> bool {
    let date = text.split([' ', 'T']).next().unwrap_or_default();
    date.len() > 5 && date.bytes().all(|byte| b"0-/.".contains(&byte))
}

#[cfg(test)]
mod tests;
