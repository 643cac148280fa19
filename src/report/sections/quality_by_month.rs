//! What was left blank, and when: fields by months, out of the cases that each field is asked of.

use super::quality::of_export;
use crate::domain::asked_of::AskedOf;
use crate::domain::fields::{CaseField, Field};
use crate::domain::month::Month;
use crate::domain::recording::Filled;
use crate::findings::review::Review;
use crate::report::chart::{Chart, Grid, GridCell, GridColumn, GridRow, Plot, Shade};
use crate::report::content::{Block, Cell, Figure, Table};
use crate::report::{format, groups};
use std::collections::BTreeMap;

/// Fields that the chart has room for; the table of the whole period holds all.
const MOST_FIELDS: usize = 25;

/// Of fewer cases a cell says how many, and no percentage.
const FEWEST_CASES: u64 = format::FEWEST_CASES_FOR_PERCENT;

/// Without a value in these a row is no case, so they are never blank.
const NEVER_BLANK: [CaseField; 4] = [
    CaseField::CaseId,
    CaseField::Presentation,
    CaseField::CalledAt,
    CaseField::Month,
];

/// Upper ends of the shades, as shares of blank cases.
const SHADE_ENDS: [f64; 3] = [0.10, 0.25, 0.50];

/// One field: how it stands in each month shown, and in all of them.
struct Row {
    field: CaseField,
    asked_of: AskedOf,
    months: Vec<Filled>,
    all: Filled,
}

/// The chart, or a sentence that nothing was left blank; nothing when no case was accepted.
pub(super) fn blocks(review: &Review) -> Vec<Block> {
    let months: Vec<Month> = groups::months_shown(review).collect();
    let all = rows(review, &months);
    if all.is_empty() {
        return Vec::new();
    }
    if all.iter().all(|row| row.all.blank() == 0) {
        let heading = format!("What was left blank, month by month{}", of_export(review));
        let text = format!(
            "In the months shown every one of {} has a value in each case that it is asked of.",
            format::counted(count(all.len()), "field", "fields")
        );
        return vec![Block::Heading(heading), Block::Text(text)];
    }
    let (fields, complete) = (all.len(), complete_and_read(review, &all));
    let rows = chosen(review, all);
    let figure = Figure {
        stem: "blank_by_field_and_month".to_owned(),
        caption: caption(fields, rows.len(), &complete),
        alternative: alternative(&months, &rows),
        table: table(review, &months, &rows),
        chart: chart(review, &months, &rows),
    };
    vec![Block::Figure(Box::new(figure))]
}

/// Every mapped field that some case of the months was asked for, in the order of the fields.
fn rows(review: &Review, months: &[Month]) -> Vec<Row> {
    let mut by_field = BTreeMap::<CaseField, Vec<Filled>>::new();
    for ((field, month), filled) in &review.quality.recording.completeness {
        if let Some(place) = months.iter().position(|shown| shown == month) {
            let of_field = by_field.entry(*field);
            of_field.or_insert_with(|| vec![Filled::default(); months.len()])[place] = *filled;
        }
    }
    let rows = by_field.into_iter().filter_map(|(field, months)| {
        let mut all = Filled::default();
        for filled in &months {
            all.add(*filled);
        }
        let is_shown = all.cases > 0 && !NEVER_BLANK.contains(&field);
        Some(Row {
            field,
            asked_of: AskedOf::of(field).filter(|_| is_shown)?,
            months,
            all,
        })
    });
    rows.collect()
}

/// Whether a measure of the first page needs a field in order to count.
fn is_read(review: &Review, field: CaseField) -> bool {
    review.quality.read_by_first_page.contains(&field)
}

/// The names of the fields that a measure of the first page reads and that were never blank: a row of
/// empty cells would say no more.
fn complete_and_read(review: &Review, rows: &[Row]) -> Vec<&'static str> {
    rows.iter()
        .filter(|row| row.all.blank() == 0 && is_read(review, row.field))
        .map(|row| row.field.label())
        .collect()
}

/// The fields of the chart, all of them with a blank: those that a measure of the first page reads, then
/// those with the most blanks until there is no more room. They stand in the order of the fields.
fn chosen(review: &Review, rows: Vec<Row>) -> Vec<Row> {
    let mut rows: Vec<Row> = rows.into_iter().filter(|row| row.all.blank() > 0).collect();
    rows.sort_by_cached_key(|row| std::cmp::Reverse((is_read(review, row.field), row.all.blank())));
    rows.truncate(MOST_FIELDS);
    rows.sort_by_key(|row| row.field);
    rows
}

fn chart(review: &Review, months: &[Month], rows: &[Row]) -> Chart {
    let mut year = None;
    let columns = months.iter().map(|month| {
        let is_new_year = year != Some(month.year());
        year = Some(month.year());
        // Every accepted case has its number.
        let cases = (CaseField::CaseId, *month);
        let cases = review.quality.recording.completeness.get(&cases);
        GridColumn {
            label: format::month_short(*month).to_owned(),
            group: if is_new_year {
                month.year().to_string()
            } else {
                String::new()
            },
            total: cases.map_or_else(|| "0".to_owned(), |all| format::short_whole(all.cases)),
        }
    });
    Chart {
        title: title(review),
        axis_label: "Blank".to_owned(),
        unit: None,
        plot: Plot::Grid(Grid {
            columns: columns.collect(),
            rows: rows
                .iter()
                .map(|row| GridRow {
                    label: row.field.label().to_owned(),
                    cells: row.months.iter().map(|filled| cell(*filled)).collect(),
                    total: words(row.all),
                })
                .collect(),
            totals: Some("All, %".to_owned()),
            below: Some("Cases of the month".to_owned()),
            legend: ["none", "up to 10%", "up to 25%", "up to 50%", "more"]
                .iter()
                .zip(Shade::ALL)
                .map(|(words, shade)| (shade, (*words).to_owned()))
                .collect(),
            frame: None,
        }),
    }
}

fn title(review: &Review) -> String {
    let scope = match of_export(review) {
        "" => "",
        _ => " All sites of the export",
    };
    format!("What was left blank, and when?{scope}")
}

fn cell(filled: Filled) -> GridCell {
    let share = filled.blank() as f64 / filled.cases.max(1) as f64;
    let darker = SHADE_ENDS.iter().filter(|end| share > **end).count();
    GridCell {
        shade: if filled.blank() == 0 {
            Shade::Blank
        } else {
            Shade::ALL[darker + 1]
        },
        text: if filled.cases == 0 {
            format::NOTHING.to_owned()
        } else {
            words(filled)
        },
        is_framed: false,
    }
}

/// The percentage of blank cases without its sign, `1/3` of few cases, and nothing where none is blank.
fn words(filled: Filled) -> String {
    let (blank, cases) = (filled.blank(), filled.cases);
    let percent = (blank * 200 + cases) / (2 * cases.max(1));
    match percent {
        _ if blank == 0 => String::new(),
        _ if cases < FEWEST_CASES => format!("{blank}/{cases}"),
        0 => "<1".to_owned(),
        100 if blank < cases => ">99".to_owned(),
        percent => percent.to_string(),
    }
}

fn caption(fields: usize, shown: usize, complete: &[&str]) -> String {
    let choice = if shown < fields {
        format!(
            " {shown} of {} are here, all of them with a blank: those that a measure of the first page \
             reads, then those with the most blanks. The table above holds all.",
            format::counted(count(fields), "field", "fields")
        )
    } else {
        String::new()
    };
    let complete = if complete.is_empty() {
        String::new()
    } else {
        format!(
            " Read by the first page and never blank: {}.",
            complete.join(", ")
        )
    };
    format!(
        "Percent of cases without a value, out of the cases that the field is asked of: an object type \
         only of cases with food or an object, a scope out only of cases that were not called off before \
         the scope. The table behind the chart names these cases for each field. A cell without a number \
         has no blank; one with a dash had no case to ask of; of fewer than {FEWEST_CASES} cases it says \
         how many.{choice}{complete}"
    )
}

fn alternative(months: &[Month], rows: &[Row]) -> String {
    let fields: Vec<_> = rows
        .iter()
        .map(|row| {
            let worst = months.iter().zip(&row.months);
            let worst = worst.max_by_key(|(_, filled)| {
                // Compared as whole numbers, in millionths.
                filled.blank() * 1_000_000 / filled.cases.max(1)
            });
            let most = worst.map_or_else(String::new, |(month, filled)| {
                format!(
                    ", most in {} with {}",
                    format::month_name(*month),
                    format::part(filled.blank(), filled.cases)
                )
            });
            format!(
                "{} {}{most}",
                row.field.label(),
                format::part(row.all.blank(), row.all.cases)
            )
        })
        .collect();
    format!("A grid of fields by months. Blank: {}.", fields.join("; "))
}

fn table(review: &Review, months: &[Month], rows: &[Row]) -> Table {
    let mut table = Table::new(
        format!(
            "Cases without a value, of the cases that the field is asked of{}",
            of_export(review)
        ),
        &["Field", "Asked of", "Months shown"],
    );
    let names = months
        .iter()
        .map(|month| format!("{} {}", format::month_short(*month), month.year()));
    table.columns.extend(names);
    for row in rows {
        let mut cells: Vec<Cell> = vec![
            row.field.label().into(),
            row.asked_of.words().into(),
            format::part(row.all.blank(), row.all.cases).into(),
        ];
        cells.extend(row.months.iter().map(|filled| match filled.cases {
            0 => Cell::from(format::NOTHING),
            cases => format!("{} of {cases}", filled.blank()).into(),
        }));
        table.push(cells);
    }
    table
}

fn count(number: usize) -> u64 {
    u64::try_from(number).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_says_the_percentage_of_blank_cases_and_never_hides_the_last_one() {
        let words = |blank: u64, cases| {
            words(Filled {
                filled: cases - blank,
                cases,
            })
        };
        assert_eq!(words(0, 40), "");
        assert_eq!(words(10, 40), "25");
        // 2.5 goes up.
        assert_eq!(words(1, 40), "3");
        assert_eq!(words(1, 1000), "<1");
        assert_eq!(words(999, 1000), ">99");
        assert_eq!(words(40, 40), "100");
        assert_eq!(words(1, 4), "1/4");
        assert_eq!(words(1, 5), "20");
    }

    #[test]
    fn a_cell_is_darker_the_more_is_blank() {
        let shade = |blank: u64| {
            cell(Filled {
                filled: 100 - blank,
                cases: 100,
            })
            .shade
        };
        let shades = [0, 1, 10, 11, 25, 26, 50, 51, 100].map(|blank| shade(blank) as usize);
        assert_eq!(shades, [0, 1, 1, 2, 2, 3, 3, 4, 4]);
        assert_eq!(cell(Filled::default()).text, format::NOTHING);
    }
}
