//! The table `data_quality`: how complete fields are, how round times, and how categories shifted, as
//! counts.
//!
//! Knows the columns. Counts nothing itself.

use super::columns::{batch, text, whole};
use super::table::{Table, TableError};
use crate::domain::fields::{CaseField, Field};
use crate::domain::month::Month;
use crate::findings::heaping::round_and_all;
use crate::findings::review::Review;

/// One pair of counts.
struct Row<'a> {
    what: &'static str,
    field: &'static str,
    value: &'a str,
    months: (Month, Month),
    numerator: u64,
    denominator: u64,
}

/// One row per pair of counts: completeness by field and month, round minutes by field and month, then
/// each category before and in the last months.
///
/// # Errors
/// When a count does not fit INT64.
pub fn data_quality_table(review: &Review) -> Result<Table, TableError> {
    let rows = rows(review);
    let columns = vec![
        text(
            "what",
            "completeness: cases with a value, of those that the field is asked of; round_minute: \
             recorded minutes that end in 0 or 5, of all; category: cases of a category, of all",
            rows.iter().map(|row| row.what),
        ),
        text(
            "field",
            "the field of the mapping, or the dimension of a category",
            rows.iter().map(|row| row.field),
        ),
        text(
            "value",
            "the code of a category; empty for a field",
            rows.iter().map(|row| row.value),
        ),
        text(
            "first_month",
            "first month counted, YYYY-MM",
            rows.iter().map(|row| row.months.0.to_string()),
        ),
        text(
            "last_month",
            "last month counted, YYYY-MM",
            rows.iter().map(|row| row.months.1.to_string()),
        ),
        whole(
            "numerator",
            "cases or minutes of which it is so",
            "count",
            rows.iter().map(|row| row.numerator),
        )?,
        whole(
            "denominator",
            "cases or minutes looked at",
            "count",
            rows.iter().map(|row| row.denominator),
        )?,
    ];
    Ok(Table {
        name: "data_quality",
        batch: batch(columns),
    })
}

fn rows(review: &Review) -> Vec<Row<'_>> {
    let recording = &review.quality.recording;
    let row = |what, field: CaseField, month, numerator, denominator| Row {
        what,
        field: field.name(),
        value: "",
        months: (month, month),
        numerator,
        denominator,
    };
    let mut rows: Vec<_> = recording
        .completeness
        .iter()
        .map(|((field, month), filled)| {
            row("completeness", *field, *month, filled.filled, filled.cases)
        })
        .collect();
    rows.extend(
        recording
            .last_digits
            .iter()
            .map(|((field, month), digits)| {
                let (round, all) = round_and_all(digits);
                row("round_minute", *field, *month, round, all)
            }),
    );
    if let Some(drift) = &review.quality.drift {
        for category in &drift.categories {
            let sides = [
                (drift.before, category.before),
                (drift.recent, category.recent),
            ];
            rows.extend(sides.map(|(months, part)| Row {
                what: "category",
                field: category.dimension,
                value: &category.value,
                months,
                numerator: part.events,
                denominator: part.cases,
            }));
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::recording::Filled;
    use crate::export::headlines::tests::review;
    use crate::export::table::Format;
    use crate::findings::comparisons::Counted;
    use crate::findings::drift::{CategoryShift, Difference, Drift};

    #[test]
    fn counts_of_three_kinds_stand_in_one_table() {
        let month = |text: &str| text.parse().unwrap();
        let mut review = review(Vec::new());
        let recording = &mut review.quality.recording;
        recording.completeness.insert(
            (CaseField::Overtube, month("2026-08")),
            Filled {
                filled: 7,
                cases: 9,
            },
        );
        recording.last_digits.insert(
            (CaseField::TeamAt, month("2026-09")),
            [4, 1, 0, 0, 0, 3, 0, 0, 0, 2],
        );
        let difference = Difference {
            estimate: 0.25,
            low: 0.125,
            high: 0.5,
        };
        review.quality.drift = Some(Drift {
            before: (month("2025-07"), month("2026-06")),
            recent: (month("2026-07"), month("2026-09")),
            categories: vec![CategoryShift {
                dimension: "setting",
                value: "icu".to_owned(),
                before: Counted {
                    events: 0,
                    cases: 80,
                },
                recent: Counted {
                    events: 5,
                    cases: 20,
                },
                difference,
                for_all: difference,
            }],
        });
        let csv = data_quality_table(&review)
            .unwrap()
            .encode(Format::Csv)
            .unwrap();
        assert_eq!(
            String::from_utf8(csv).unwrap(),
            "what,field,value,first_month,last_month,numerator,denominator\n\
             completeness,overtube,,2026-08,2026-08,7,9\n\
             round_minute,team_at,,2026-09,2026-09,7,10\n\
             category,setting,icu,2025-07,2026-06,0,80\n\
             category,setting,icu,2026-07,2026-09,5,20\n"
        );
    }
}
