//! Months for a paper.

use super::*;
use std::collections::BTreeSet;

#[test]
fn every_month_has_a_row_and_every_measure_of_the_first_page_a_column() {
    let review = invented::with_months(3, &["Alder"]);
    let table = months::table(&review);
    let names: Vec<_> = table.rows.iter().map(|row| row[0].text.as_str()).collect();
    assert_eq!(names, ["2026-07", "2026-08", "2026-09"]);
    assert_eq!(table.columns.len(), 1 + review.headlines.len());
}

#[test]
fn a_month_without_a_finding_has_no_cases_or_withholds_them() {
    let mut review = invented::with_months(3, &["Alder"]);
    let first = review.first_month;
    let later: Vec<_> = review.findings.iter().cloned().collect();
    let later = later.into_iter().filter(|of| of.month != Some(first));
    review.findings = Findings::new(later.collect());
    let of_first = |review: &Review| -> BTreeSet<String> {
        let row = months::table(review).rows.swap_remove(0);
        row.into_iter().skip(1).map(|cell| cell.text).collect()
    };
    assert_eq!(of_first(&review), BTreeSet::from(["no cases".to_owned()]));
    review.shared = Some(ShareRules {
        threshold: 11,
        tells_unjudged: false,
    });
    assert_eq!(of_first(&review), BTreeSet::from(["withheld".to_owned()]));
    // Where every month is withheld, nothing is said month by month.
    review.findings = Findings::default();
    assert_eq!(months::table(&review).rows, Vec::<Vec<Cell>>::new());
}
