//! The table `comparisons`: differences, odds ratios, drawn shares and first uses, with both sides.
//!
//! Knows the columns. Compares nothing itself.

use super::columns::{Column, batch, number, optional_whole, text};
use super::table::{Table, TableError};
use crate::findings::comparisons::Counted;
use crate::findings::comparisons::rows::ComparisonRow;
use crate::findings::review::Review;

/// One row per number, in the order of the comparisons, which is that of lists and no ranking.
///
/// # Errors
/// When a count does not fit INT64.
pub fn comparisons_table(review: &Review) -> Result<Table, TableError> {
    let rows = review.comparisons.rows(review.level);
    let mut columns = Vec::from(address_columns(&rows));
    columns.extend(estimate_columns(&rows));
    columns.extend(side("first", "the first side", &rows, |row| row.first)?);
    columns.extend(side("second", "the second side", &rows, |row| row.second)?);
    columns.extend([
        number(
            "p",
            "p-value of the test that belongs to the number; empty where there is none",
            "probability",
            rows.iter().map(|row| row.p),
        ),
        number(
            "adjusted_p",
            "the same by Holm for all devices that were used first",
            "probability",
            rows.iter().map(|row| row.adjusted_p),
        ),
        optional_whole(
            "comparisons",
            "how many comparisons adjusted_p and the wider interval allow for",
            "comparisons",
            rows.iter().map(|row| row.comparisons),
        )?,
    ]);
    Ok(Table {
        name: "comparisons",
        batch: batch(columns),
    })
}

fn address_columns(rows: &[ComparisonRow]) -> [Column; 5] {
    [
        text(
            "measure",
            "identifier of the measure",
            rows.iter().map(|row| &row.measure),
        ),
        text(
            "comparison",
            "what is compared: one value, or two with vs between them",
            rows.iter().map(|row| &row.comparison),
        ),
        text(
            "by",
            "names of the dimensions of the counts joined with +",
            rows.iter().map(|row| &row.by),
        ),
        text(
            "stratum",
            "value of the second dimension within which is compared, or all",
            rows.iter().map(|row| &row.stratum),
        ),
        text(
            "statistic",
            "drawn_share, first_use_share, difference, pooled_difference, odds_ratio, homogeneity or \
             standardized_difference",
            rows.iter().map(|row| row.statistic.code()),
        ),
    ]
}

fn estimate_columns(rows: &[ComparisonRow]) -> [Column; 5] {
    const UNIT: &str = "fraction; ratio for odds_ratio, chi-square for homogeneity, standard \
                        deviations for standardized_difference";
    [
        number(
            "estimate",
            "the number; empty when it cannot be estimated, or the cases are too few",
            UNIT,
            rows.iter().map(|row| row.estimate),
        ),
        number(
            "low",
            "lower confidence limit; empty when there is none",
            UNIT,
            rows.iter().map(|row| Some(row.interval?.low)),
        ),
        number(
            "high",
            "upper confidence limit; empty when there is none",
            UNIT,
            rows.iter().map(|row| Some(row.interval?.high)),
        ),
        number(
            "level",
            "confidence level of the limits",
            "fraction",
            rows.iter().map(|row| row.level),
        ),
        text(
            "method",
            "how estimate and limits were computed",
            rows.iter().map(|row| row.method.code()),
        ),
    ]
}

/// Two columns about one side of the comparisons.
fn side(
    prefix: &str,
    about: &str,
    rows: &[ComparisonRow],
    of: fn(&ComparisonRow) -> Option<Counted>,
) -> Result<[Column; 2], TableError> {
    let counted = || rows.iter().map(of);
    Ok([
        optional_whole(
            &format!("{prefix}_events"),
            &format!("{about}: cases or passes with the event"),
            "count",
            counted().map(|counted| Some(counted?.events)),
        )?,
        optional_whole(
            &format!("{prefix}_cases"),
            &format!("{about}: cases or passes"),
            "count",
            counted().map(|counted| Some(counted?.cases)),
        )?,
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::table::Format;
    use crate::findings::comparisons::method::ComparisonMethod;
    use crate::findings::comparisons::uses::FirstUse;
    use crate::findings::comparisons::{Comparisons, Interval, drawn::DrawnShare};

    #[test]
    fn numbers_of_one_side_and_of_two_stand_in_one_table() {
        let counted = |events, cases| Counted { events, cases };
        let interval = Some(Interval {
            low: 0.25,
            high: 0.75,
        });
        let comparisons = Comparisons {
            drawn: vec![DrawnShare {
                measure: "device_success".to_owned(),
                by: "device+object_type".to_owned(),
                group: "net|coin".to_owned(),
                raw: counted(3, 4),
                estimate: 0.625,
                interval,
                method: ComparisonMethod::BetaBinomialEffective,
                devices: 2,
            }],
            first_uses: vec![FirstUse {
                method: crate::findings::finding::Method::Wilson,
                measure: "first_device_success".to_owned(),
                dimension: "object_location",
                value: "stomach".to_owned(),
                device: "net".to_owned(),
                uses: counted(1, 2),
                interval: None,
            }],
            ..Comparisons::default()
        };
        let review = crate::export::headlines::tests::review(Vec::new());
        let table = comparisons_table(&Review {
            comparisons,
            ..review
        });
        let csv = table.unwrap().encode(Format::Csv).unwrap();
        assert_eq!(
            String::from_utf8(csv).unwrap(),
            "measure,comparison,by,stratum,statistic,estimate,low,high,level,method,first_events,\
             first_cases,second_events,second_cases,p,adjusted_p,comparisons\n\
             device_success,net,device+object_type,coin,drawn_share,0.625,0.25,0.75,0.95,\
             beta_binomial_effective,3,4,,,,,\n\
             first_device_success,net,device+object_location,stomach,first_use_share,0.5,,,0.95,\
             wilson,1,2,,,,,\n"
        );
    }
}
