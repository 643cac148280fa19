//! `reporting.md`: which items of RECORD and STROBE the outputs help to fill, in our own words.

use crate::findings::review::{DataQuality, Review};
use crate::report::content::Table;
use crate::report::{format, markdown, series};

/// The list, under a heading.
pub(super) fn document(review: &Review) -> String {
    let mut table = Table::new(
        "Items that these outputs help to fill; what is not here is the authors' own",
        &["Item", "What it asks for", "In these outputs"],
    );
    let is_shared = review.shared.is_some();
    for (item, asks, here) in ITEMS {
        let here = if is_shared && INSIDE.contains(&item) {
            format!("Not in tables to be passed on; in those made without --share: {here}")
        } else {
            here.to_owned()
        };
        table.push(vec![item.into(), asks.into(), here.into()]);
    }
    let site = review.site.as_ref().map(|site| {
        format!(" Of these the cases of {site} alone are described, as that was asked for.")
    });
    let rows = format!(
        "This run: {} {}.{}\n",
        if is_shared {
            "made to be passed on, so the account of rows stays with the records;".to_owned()
        } else {
            account(&review.quality)
        },
        series::period(review),
        site.unwrap_or_default(),
    );
    format!(
        "# Reporting checklist\n\n\
         RECORD extends STROBE to studies of routinely collected records. Items 1.1 to 1.3 and 6.1 of \
         RECORD were read in the published list; all other numbers are from memory, so check them \
         against the lists.\n\n{rows}\n{}",
        markdown::table(&table)
    )
}

/// What became of the rows.
fn account(quality: &DataQuality) -> String {
    let cases = &quality.cases;
    let passes = quality.passes.map(|passes| {
        let read = format::counted(passes.read, "row of passes", "rows of passes");
        let [accepted, aside, repeated] =
            [passes.accepted, passes.set_aside, passes.duplicates].map(format::whole);
        format!(" {read} read, {accepted} accepted, {aside} set aside, {repeated} repeated;")
    });
    format!(
        "{} read, {} accepted, {} set aside, {} repeated;{}",
        format::counted(cases.read, "row of cases", "rows of cases"),
        format::whole(cases.accepted),
        format::whole(cases.set_aside),
        format::whole(cases.duplicates),
        passes.unwrap_or_default(),
    )
}

/// Items that the account of rows helps to fill, which is not shared.
const INSIDE: [&str; 5] = [
    "RECORD 6.3",
    "RECORD 12.2",
    "RECORD 12.3",
    "RECORD 13.1",
    "STROBE 13 (from memory)",
];

/// Item, what it asks for in our words, and where it stands.
const ITEMS: [(&str, &str, &str); 19] = [
    (
        "RECORD 1.1, 1.2",
        "Kind of data, place and dates, in title or abstract",
        "The period in every caption; kind of data and place are yours to name",
    ),
    (
        "RECORD 1.3",
        "Whether data were linked",
        "Passes are joined to cases by the case number; no other linkage is made",
    ),
    (
        "RECORD 6.1",
        "How cases were selected, with codes",
        "Every accepted row of the export, of all sites or of the one that was asked for; the codes are \
         those of the mapping, whose hash stands in run.json; how the export itself was drawn is yours to \
         say",
    ),
    (
        "RECORD 6.3",
        "Flow of records through the linkage",
        "run.json, accounting: rows of cases and of passes read, accepted, set aside, repeated; issue R07 \
         counts passes of no accepted case",
    ),
    (
        "RECORD 7.1",
        "Lists of codes for all variables",
        "tables/measures for definitions, tables/values for codes, datapackage.json for columns; which words \
         of the export stand for a code is in the mapping",
    ),
    (
        "RECORD 12.1",
        "Which records the authors could see",
        "Not here",
    ),
    (
        "RECORD 12.2",
        "How data were cleaned",
        "run.json, issues: how often each rule met a cell or row, and the manual for what each rule does: a \
         value that cannot be counts as not recorded or is left out of the times it belongs to, what is only \
         unusual stands, a repeated row counts once; nothing is imputed",
    ),
    (
        "RECORD 12.3",
        "How data were linked, and how well",
        "An exact match of the case number; issue R07 counts passes of no accepted case",
    ),
    (
        "RECORD 13.1",
        "Selection of cases, with the numbers left out and why",
        "run.json, flow: for each measure those outside its population, judged and not judged",
    ),
    (
        "RECORD 19.1",
        "Limits of data that were not recorded for research",
        "Cases not judged stand beside every number (column excluded); a review of the same records has \
         data quality by month; what follows from them is yours to discuss",
    ),
    (
        "RECORD 22.1",
        "Where protocol, data and code can be had",
        "run.json: version, hashes of inputs and of every definition; the same input gives the same \
         files",
    ),
    (
        "STROBE 5 (from memory)",
        "Setting, places and dates",
        "The period; sites by name in papers/case_mix where they make its groups",
    ),
    (
        "STROBE 7, 8 (from memory)",
        "Variables and how they were measured",
        "tables/measures: who is judged, what counts, source; how your records came about is yours to say",
    ),
    (
        "STROBE 10 (from memory)",
        "How the number of cases came about",
        "All cases of the period; no number was planned",
    ),
    (
        "STROBE 12 (from memory)",
        "Statistical methods, missing data",
        "methods.txt with methods.bib; months and groups are described, and only devices are tested",
    ),
    (
        "STROBE 13 (from memory)",
        "Numbers at each stage",
        "run.json, accounting and flow",
    ),
    (
        "STROBE 14 (from memory)",
        "What the cases are, with missing values for each variable",
        "papers/case_mix and tables/case_mix, with the variables that could not be counted",
    ),
    (
        "STROBE 15, 16 (from memory)",
        "Outcomes, unadjusted and adjusted estimates with their precision",
        "papers/main_findings, tables/findings and the time to scope in tables/curves and tables/ends, all \
         unadjusted; tables/devices and tables/comparisons for devices, adjusted for the type of object and \
         nothing else",
    ),
    (
        "STROBE 17 (from memory)",
        "Other analyses, such as of subgroups",
        "tables/findings by every dimension and tables/months; none was planned in a protocol that this \
         tool knows",
    ),
];
