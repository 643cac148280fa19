//! The table `case_mix`: how many cases of each kind every group has, with the largest standardized
//! difference between groups.
//!
//! Knows the columns of its table. Counts nothing itself.

use super::columns::{Column, batch, made_by, number, optional_text, optional_whole, text};
use super::table::{Table, TableError};
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::ALL;
use crate::findings::case_mix::{CaseMix, Largest, Quartiles, Time, Variable, share};

/// How quartiles were made.
const QUARTILES: &str = "order_statistics or kaplan_meier, as the table findings says";

/// One number of cases, or the quartiles of one time, in one group.
struct Row<'a> {
    variable: &'a str,
    kind: &'static str,
    category: Option<&'a str>,
    group: &'a str,
    cases: Option<u64>,
    of: Option<u64>,
    excluded: Option<u64>,
    quartiles: Quartiles,
    largest: Option<Largest>,
}

/// One row for each category, or measure of time, in all cases and in each group. Categories stand
/// in the order of their lists.
///
/// # Errors
/// When a count does not fit INT64.
pub fn case_mix_table(mix: &CaseMix) -> Result<Table, TableError> {
    let mut rows = Vec::new();
    for variable in &mix.variables {
        rows_of_variable(&mut rows, mix, variable);
    }
    for time in &mix.times {
        rows_of_time(&mut rows, mix, time);
    }
    rows.extend(
        mix.not_counted
            .iter()
            .map(|of| without_number("not_counted", of)),
    );
    rows.extend(mix.withheld.iter().map(|of| without_number("withheld", of)));
    let mut columns = Vec::from(address_columns(mix, &rows));
    columns.extend(number_columns(mix, &rows)?);
    Ok(Table {
        name: "case_mix",
        batch: batch(columns),
    })
}

fn without_number<'a>(kind: &'static str, variable: &'a str) -> Row<'a> {
    Row {
        variable,
        kind,
        category: None,
        group: ALL,
        cases: None,
        of: None,
        excluded: None,
        quartiles: Quartiles::default(),
        largest: None,
    }
}

fn address_columns(mix: &CaseMix, rows: &[Row<'_>]) -> [Column; 5] {
    [
        text(
            "by",
            "what makes the groups: site, shift or presentation",
            rows.iter().map(|_| mix.by.code()),
        ),
        text(
            "variable",
            "name of the dimension, or identifier of a measure of time",
            rows.iter().map(|row| row.variable),
        ),
        text(
            "kind",
            "category; missing: asked and not recorded; minutes: a measure of time; not_counted: the counts \
             do not hold every case by group and by it, so there is no number; withheld: a number would give \
             a small count away",
            rows.iter().map(|row| row.kind),
        ),
        optional_text(
            "category",
            "value of the dimension; empty for missing and minutes",
            rows.iter().map(|row| row.category),
        ),
        text(
            "group",
            "the group, or all",
            rows.iter().map(|row| row.group),
        ),
    ]
}

fn number_columns(mix: &CaseMix, rows: &[Row<'_>]) -> Result<[Column; 10], TableError> {
    let differing = |place: usize| {
        rows.iter()
            .map(move |row| Some(mix.groups[row.largest?.between[place]].0.as_str()))
    };
    Ok([
        optional_whole(
            "cases",
            "cases of the category, cases not recorded, or cases whose time can be judged; empty for \
             not_counted and withheld",
            "cases",
            rows.iter().map(|row| row.cases),
        )?,
        optional_whole(
            "of",
            "denominator: for a category, cases of the group with the variable recorded; for missing, \
             all cases of the group that are asked",
            "cases",
            rows.iter().map(|row| row.of),
        )?,
        made_by(
            number(
                "share",
                "cases of the denominator; empty without a denominator",
                "fraction",
                rows.iter().map(|row| share(row.cases?, row.of?)),
            ),
            "cases divided by of",
        ),
        made_by(
            number(
                "median",
                "median of a time; empty when it cannot be estimated",
                "minutes",
                rows.iter().map(|row| row.quartiles.median),
            ),
            QUARTILES,
        ),
        made_by(
            number(
                "p25",
                "lower quartile of a time",
                "minutes",
                rows.iter().map(|row| row.quartiles.p25),
            ),
            QUARTILES,
        ),
        made_by(
            number(
                "p75",
                "upper quartile of a time",
                "minutes",
                rows.iter().map(|row| row.quartiles.p75),
            ),
            QUARTILES,
        ),
        optional_whole(
            "excluded",
            "cases of the population whose time could not be judged; empty for categories",
            "cases",
            rows.iter().map(|row| row.excluded),
        )?,
        made_by(
            number(
                "largest_difference",
                "largest standardized difference of two groups over the recorded categories, or of two means; \
             the same in all rows of a variable",
                "standard deviations",
                rows.iter().map(|row| Some(row.largest?.size)),
            ),
            "Yang and Dalton 2012 over categories, Austin 2009 of two means",
        ),
        optional_text(
            "first_group",
            "the first of the two groups that differ most",
            differing(0),
        ),
        optional_text(
            "second_group",
            "the second of the two groups that differ most",
            differing(1),
        ),
    ])
}

fn rows_of_variable<'a>(rows: &mut Vec<Row<'a>>, mix: &'a CaseMix, variable: &'a Variable) {
    let recorded = variable.recorded();
    let asked: Vec<u64> = recorded
        .iter()
        .zip(&variable.missing)
        .map(|(recorded, missing)| recorded + missing)
        .collect();
    let mut add = |kind, category, cases: &[u64], of: &[u64]| {
        let all = (ALL, cases.iter().sum(), of.iter().sum());
        let names = mix.groups.iter().map(|(name, _)| name.as_str());
        let each = names
            .zip(cases)
            .zip(of)
            .map(|((name, cases), of)| (name, *cases, *of));
        rows.extend(
            std::iter::once(all)
                .chain(each)
                .map(|(group, cases, of)| Row {
                    variable: variable.name,
                    kind,
                    category,
                    group,
                    cases: Some(cases),
                    of: Some(of),
                    excluded: None,
                    quartiles: Quartiles::default(),
                    largest: variable.largest,
                }),
        );
    };
    for category in &variable.categories {
        let code = category.code.as_str();
        debug_assert_ne!(code, NOT_RECORDED, "missing has a row of its own");
        add("category", Some(code), &category.cases, &recorded);
    }
    add("missing", None, &variable.missing, &asked);
}

fn rows_of_time<'a>(rows: &mut Vec<Row<'a>>, mix: &'a CaseMix, time: &'a Time) {
    let names = mix.groups.iter().map(|(name, _)| name.as_str());
    let each = names.zip(&time.groups);
    rows.extend(
        std::iter::once((ALL, &time.all))
            .chain(each)
            .map(|(group, quartiles)| Row {
                variable: &time.measure,
                kind: "minutes",
                category: None,
                group,
                cases: Some(quartiles.cases),
                of: None,
                excluded: Some(quartiles.excluded),
                quartiles: *quartiles,
                largest: time.largest,
            }),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::table::Format;
    use crate::findings::case_mix::{Category, Groups};

    #[test]
    fn each_category_and_time_has_a_row_for_all_and_for_each_group() {
        let largest = Some(Largest {
            size: 0.5,
            between: [0, 1],
        });
        let quartiles = |cases, median| Quartiles {
            cases,
            excluded: 1,
            median,
            p25: Some(2.0),
            p75: None,
        };
        let mix = CaseMix {
            by: Groups::Site,
            groups: vec![("Alder".to_owned(), 5), ("Birch".to_owned(), 8)],
            variables: vec![Variable {
                name: "sex",
                categories: vec![Category {
                    code: "female".to_owned(),
                    cases: vec![4, 0],
                }],
                missing: vec![1, 8],
                largest: None,
            }],
            times: vec![Time {
                measure: "call_to_scope".to_owned(),
                all: quartiles(6, Some(3.5)),
                groups: vec![quartiles(4, Some(3.0)), quartiles(2, None)],
                largest,
            }],
            not_counted: vec!["setting".to_owned()],
            withheld: vec!["age_group".to_owned()],
        };
        let table = case_mix_table(&mix).unwrap();
        let csv = String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap();
        assert_eq!(
            csv,
            "by,variable,kind,category,group,cases,of,share,median,p25,p75,excluded,\
             largest_difference,first_group,second_group\n\
             site,sex,category,female,all,4,4,1,,,,,,,\n\
             site,sex,category,female,Alder,4,4,1,,,,,,,\n\
             site,sex,category,female,Birch,0,0,,,,,,,,\n\
             site,sex,missing,,all,9,13,0.6923076923076923,,,,,,,\n\
             site,sex,missing,,Alder,1,5,0.2,,,,,,,\n\
             site,sex,missing,,Birch,8,8,1,,,,,,,\n\
             site,call_to_scope,minutes,,all,6,,,3.5,2,,1,0.5,Alder,Birch\n\
             site,call_to_scope,minutes,,Alder,4,,,3,2,,1,0.5,Alder,Birch\n\
             site,call_to_scope,minutes,,Birch,2,,,,2,,1,0.5,Alder,Birch\n\
             site,setting,not_counted,,all,,,,,,,,,,\n\
             site,age_group,withheld,,all,,,,,,,,,,\n"
        );
    }
}
