//! `reporting.md`: which items of RECORD and STROBE the outputs help to fill, in our own words.

use crate::findings::review::Review;
use crate::report::content::Table;
use crate::report::{format, markdown, series};

/// The list, under a heading.
pub(super) fn document(review: &Review) -> String {
    let cases = &review.quality.cases;
    let mut table = Table::new(
        "Items that these outputs help to fill; what is not here is the authors' own",
        &["Item", "What it asks for", "In these outputs"],
    );
    for (item, asks, here) in ITEMS {
        table.push(vec![item.into(), asks.into(), here.into()]);
    }
    let rows = format!(
        "This run: {} read, {} accepted, {} set aside, {} repeated; {}.\n",
        format::counted(cases.read, "row", "rows"),
        format::whole(cases.accepted),
        format::whole(cases.set_aside),
        format::whole(cases.duplicates),
        series::period(review)
    );
    format!(
        "# Reporting checklist\n\n\
         RECORD extends STROBE to studies of routinely collected records. Items 1.1 to 1.3 and 6.1 of \
         RECORD were read in the published list; all other numbers are from memory, so check them \
         against the lists.\n\n{rows}\n{}",
        markdown::table(&table)
    )
}

/// Item, what it asks for in our words, and where it stands.
const ITEMS: [(&str, &str, &str); 14] = [
    (
        "RECORD 1.1, 1.2",
        "Kind of data, place and dates, in title or abstract",
        "The period in every caption; the place is yours to name",
    ),
    (
        "RECORD 1.3",
        "Whether data were linked",
        "Passes are joined to cases by the case number; no other linkage is made",
    ),
    (
        "RECORD 6.1",
        "How cases were selected, with codes",
        "Every accepted row of the export; the codes are those of the mapping, whose hash stands in \
         run.json; how the export itself was drawn is yours to say",
    ),
    (
        "RECORD 6.3",
        "Flow of records through the linkage",
        "run.json, accounting: rows read, accepted, set aside, repeated",
    ),
    (
        "RECORD 7.1",
        "Lists of codes for all variables",
        "datapackage.json for the columns; the mapping and the tables of the manual for the codes",
    ),
    (
        "RECORD 12.1",
        "Which records the authors could see",
        "Not here",
    ),
    (
        "RECORD 12.2",
        "How data were cleaned",
        "run.json, issues: how often each rule met a cell or row; nothing is imputed or changed",
    ),
    (
        "RECORD 13.1",
        "Selection of cases, with the numbers left out and why",
        "run.json, flow: for each measure those outside, judged and not judged",
    ),
    (
        "RECORD 19.1",
        "Limits of data that were not recorded for research",
        "Part of methods.txt; a report of the same records has data quality by month",
    ),
    (
        "RECORD 22.1",
        "Where protocol, data and code can be had",
        "run.json: version, hashes of inputs and of every definition; the same input gives the same \
         files",
    ),
    (
        "STROBE 12 (from memory)",
        "Statistical methods, missing data",
        "methods.txt with methods.bib",
    ),
    (
        "STROBE 13 (from memory)",
        "Numbers at each stage",
        "run.json, accounting and flow",
    ),
    (
        "STROBE 14 (from memory)",
        "What the cases are, with missing values for each variable",
        "papers/case_mix and tables/case_mix",
    ),
    (
        "STROBE 15, 16 (from memory)",
        "Outcomes, unadjusted and adjusted estimates with their precision",
        "papers/main_findings, tables/findings, and tables/comparisons for devices, adjusted for the \
         type of object",
    ),
];
