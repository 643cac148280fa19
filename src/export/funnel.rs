//! The table `funnel`: every site beside the limits for its size.
//!
//! Knows the columns. Sites stand by name, which is no ranking.

use super::columns::{Column, batch, number, optional_text, text, whole};
use super::table::{Table, TableError};
use crate::findings::comparisons::Counted;
use crate::findings::funnel::{Bounds, Funnel, SiteInFunnel};
use crate::findings::review::Review;

/// A site of a funnel; without limits where it has too few judged cases.
struct Row<'a> {
    funnel: &'a Funnel,
    site: &'a str,
    counted: Counted,
    drawn: Option<&'a SiteInFunnel>,
}

/// One row per measure and site with a judged case, by name. Empty with fewer than five sites.
///
/// # Errors
/// When a count does not fit INT64.
pub fn funnel_table(review: &Review) -> Result<Table, TableError> {
    let rows: Vec<Row<'_>> = review.funnels.iter().flat_map(rows).collect();
    let mut columns = Vec::from(address_columns(&rows));
    columns.extend([
        whole(
            "events",
            "cases that meet the definition",
            "cases",
            rows.iter().map(|row| row.counted.events),
        )?,
        whole(
            "cases",
            "judged cases",
            "cases",
            rows.iter().map(|row| row.counted.cases),
        )?,
        number(
            "share",
            "the first of the second; empty with fewer than five judged cases, as are the limits",
            "fraction",
            rows.iter().map(|row| Some(row.drawn?.share)),
        ),
        number(
            "target",
            "share of all sites together",
            "fraction",
            rows.iter().map(|row| Some(row.funnel.target)),
        ),
    ]);
    columns.extend(limits("95", "95 %", &rows, |site| site.inner));
    columns.extend(limits("99_8", "99.8 %", &rows, |site| site.outer));
    columns.extend([
        optional_text(
            "position",
            "within, above_95, below_95, above_99_8 or below_99_8",
            rows.iter().map(|row| Some(row.drawn?.position().code())),
        ),
        text(
            "method",
            "exact_binomial, or additive_overdispersion where sites differ by more than counting \
             explains",
            rows.iter().map(|row| row.funnel.method.code()),
        ),
    ]);
    Ok(Table {
        name: "funnel",
        batch: batch(columns),
    })
}

fn rows(funnel: &Funnel) -> Vec<Row<'_>> {
    let drawn = funnel.sites.iter().map(|site| Row {
        funnel,
        site: &site.site,
        counted: site.counted,
        drawn: Some(site),
    });
    let few = funnel.too_few.iter().map(|(site, counted)| Row {
        funnel,
        site,
        counted: *counted,
        drawn: None,
    });
    let mut rows: Vec<_> = drawn.chain(few).collect();
    rows.sort_by_key(|row| row.site);
    rows
}

fn address_columns(rows: &[Row<'_>]) -> [Column; 4] {
    [
        text(
            "measure",
            "identifier of the measure",
            rows.iter().map(|row| &row.funnel.measure),
        ),
        text(
            "first_month",
            "first month of the counts, YYYY-MM",
            rows.iter().map(|row| row.funnel.first.to_string()),
        ),
        text(
            "last_month",
            "last month of the counts, the one in view",
            rows.iter().map(|row| row.funnel.last.to_string()),
        ),
        text("site", "the site", rows.iter().map(|row| row.site)),
    ]
}

fn limits(
    name: &str,
    level: &str,
    rows: &[Row<'_>],
    of: fn(&SiteInFunnel) -> Bounds,
) -> [Column; 2] {
    let limit = |side: &str, pick: fn(Bounds) -> Option<f64>| {
        number(
            &format!("{side}_{name}"),
            &format!("{side} {level} limit for a site of this size; empty where there is none"),
            "fraction",
            rows.iter().map(|row| pick(of(row.drawn?))),
        )
    };
    [
        limit("low", |bounds| bounds.low),
        limit("high", |bounds| bounds.high),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::table::Format;
    use crate::findings::funnel::FunnelMethod;

    #[test]
    fn every_site_stands_by_name_and_one_with_few_cases_has_its_counts_alone() {
        let month = "2026-09".parse().unwrap();
        let counted = |events, cases| Counted { events, cases };
        let bounds = |low, high| Bounds { low, high };
        let funnel = Funnel {
            measure: "retrieval_success".to_owned(),
            first: "2025-10".parse().unwrap(),
            last: month,
            target: 0.75,
            pooled: counted(3, 4),
            sites: vec![SiteInFunnel {
                site: "Cedar".to_owned(),
                counted: counted(4, 8),
                excluded: 1,
                share: 0.5,
                inner: bounds(Some(0.625), None),
                outer: bounds(None, None),
            }],
            too_few: vec![("Birch".to_owned(), counted(2, 3))],
            method: FunnelMethod::Exact,
            phi: Some(1.0),
            lines: Vec::new(),
        };
        let review = Review {
            funnels: vec![funnel],
            ..crate::export::headlines::tests::review(Vec::new())
        };
        let csv = funnel_table(&review).unwrap().encode(Format::Csv).unwrap();
        assert_eq!(
            String::from_utf8(csv).unwrap(),
            "measure,first_month,last_month,site,events,cases,share,target,low_95,high_95,low_99_8,\
             high_99_8,position,method\n\
             retrieval_success,2025-10,2026-09,Birch,2,3,,0.75,,,,,,exact_binomial\n\
             retrieval_success,2025-10,2026-09,Cedar,4,8,0.5,0.75,0.625,,,,below_95,exact_binomial\n"
        );
    }
}
