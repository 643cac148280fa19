//! `reporting.md`: which items of RECORD and STROBE the outputs help to fill, in our own words.
//!
//! Names nothing that the outputs do not hold.

use super::methods::has_pooled;
use super::months::has_months;
use crate::findings::review::{DataQuality, Review};
use crate::report::content::Table;
use crate::report::{format, markdown, series};

/// The list, under a heading; `papers` are the names of the tables for a paper that are made.
pub(super) fn document(review: &Review, papers: &[&str]) -> String {
    let mut table = Table::new(
        "Items that these outputs help to fill; what is not here is the authors' own",
        &["Item", "What it asks for", "In these outputs"],
    );
    for (item, asks, parts) in ITEMS {
        let parts = parts.iter().map(|part| part.words(review, papers));
        let here: Vec<_> = parts.filter(|words| !words.is_empty()).collect();
        table.push(vec![(*item).into(), (*asks).into(), here.join("; ").into()]);
    }
    let site = review.site.as_ref().map(|site| {
        format!(" Of these the cases of {site} alone are described, as that was asked for.")
    });
    let rows = format!(
        "This run: {} {}.{}\n",
        if Needs::Rows.are_met(review, papers) {
            account(&review.quality)
        } else {
            "made to be passed on, so the account of rows stays with the records;".to_owned()
        },
        series::period(review),
        site.or_else(|| counted_alone(review)).unwrap_or_default(),
    );
    format!(
        "# Reporting checklist\n\n\
         RECORD extends STROBE to studies of routinely collected records. Items 1.1 to 1.3 and 6.1 of \
         RECORD were read in the published list; all other numbers are from memory, so check them \
         against the lists.\n\n{rows}\n{}",
        markdown::table(&table)
    )
}

/// How many of the accepted cases are counted, where counts of sites hold fewer.
fn counted_alone(review: &Review) -> Option<String> {
    let (counted, accepted) = (review.flow.counted, review.quality.cases.accepted);
    (counted < accepted).then(|| {
        format!(
            " Of the accepted cases {} are described: those of the sites and months that were counted.",
            format::whole(counted)
        )
    })
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

/// What outputs must hold for words about them to be true.
#[derive(Clone, Copy)]
enum Needs {
    Nothing,
    /// What is known of rows and exports, which is not passed on.
    Rows,
    /// The table for a paper of this name.
    Paper(&'static str),
    /// Curves over time, which show single waits.
    Curves,
    /// Numbers by month.
    Months,
    /// Devices compared with the others.
    Comparisons,
}

impl Needs {
    fn are_met(self, review: &Review, papers: &[&str]) -> bool {
        match self {
            Needs::Nothing => true,
            Needs::Rows => review.shared.is_none(),
            Needs::Paper(name) => papers.contains(&name),
            Needs::Curves => !review.curves.curves.is_empty(),
            Needs::Months => has_months(review),
            Needs::Comparisons => has_pooled(review),
        }
    }
}

/// Words about the outputs, and those that stand there where the outputs lack what the first speak of.
struct Part {
    needs: Needs,
    words: &'static str,
    otherwise: &'static str,
}

impl Part {
    fn words(&self, review: &Review, papers: &[&str]) -> &'static str {
        if self.needs.are_met(review, papers) {
            self.words
        } else {
            self.otherwise
        }
    }
}

const fn always(words: &'static str) -> Part {
    with(Needs::Nothing, words, "")
}

const fn with(needs: Needs, words: &'static str, otherwise: &'static str) -> Part {
    Part {
        needs,
        words,
        otherwise,
    }
}

/// What is said in tables to be passed on of what is known of rows.
const WITH_THE_RECORDS: &str = "not in tables to be passed on; tables made without --share have it";

/// An item, what it asks for in our words, and where it stands.
type Item = (&'static str, &'static str, &'static [Part]);

const ITEMS: &[Item] = &[
    (
        "RECORD 1.1, 1.2",
        "Kind of data, place and dates, in title or abstract",
        &[always(
            "the period in every caption; kind of data and place are yours to name",
        )],
    ),
    (
        "RECORD 1.3",
        "Whether data were linked",
        &[always(
            "passes are joined to cases by the case number; no other linkage is made",
        )],
    ),
    (
        "RECORD 6.1",
        "How cases were selected, with codes",
        &[always(
            "every accepted row of the export, of all sites or of the one that was asked for; the codes \
             are those of the mapping, whose hash stands in run.json; how the export itself was drawn is \
             yours to say",
        )],
    ),
    (
        "RECORD 6.3",
        "Flow of records through the linkage",
        &[with(
            Needs::Rows,
            "run.json, accounting: rows of cases and of passes read, accepted, set aside, repeated; issue \
             R07 counts passes of no accepted case",
            WITH_THE_RECORDS,
        )],
    ),
    (
        "RECORD 7.1",
        "Lists of codes for all variables",
        &[always(
            "tables/measures for definitions, tables/values for codes, datapackage.json for columns; which \
             words of the export stand for a code is in the mapping",
        )],
    ),
    (
        "RECORD 12.1",
        "Which records the authors could see",
        &[always("not here")],
    ),
    (
        "RECORD 12.2",
        "How data were cleaned",
        &[
            with(
                Needs::Rows,
                "run.json, issues: how often each rule met a cell or row",
                "how often each rule met a cell or row is not in tables to be passed on",
            ),
            always(
                "the manual for what each rule does: a value that cannot be counts as not recorded or is \
                 left out of the times it belongs to, what is only unusual stands, a repeated row counts \
                 once; nothing is imputed",
            ),
        ],
    ),
    (
        "RECORD 12.3",
        "How data were linked, and how well",
        &[
            always("an exact match of the case number"),
            with(
                Needs::Rows,
                "issue R07 counts passes of no accepted case",
                "how many passes match no case is not in tables to be passed on",
            ),
        ],
    ),
    (
        "RECORD 13.1",
        "Selection of cases, with the numbers left out and why",
        &[with(
            Needs::Rows,
            "run.json, flow: for each measure those outside its population, judged and not judged",
            WITH_THE_RECORDS,
        )],
    ),
    (
        "RECORD 19.1",
        "Limits of data that were not recorded for research",
        &[always(
            "cases not judged stand beside every number (column excluded); a review of the same records \
             has data quality by month; what follows from them is yours to discuss",
        )],
    ),
    (
        "RECORD 22.1",
        "Where protocol, data and code can be had",
        &[
            with(
                Needs::Rows,
                "run.json: version, hashes of inputs and of every definition",
                "run.json: version and hashes of every definition, without those of the exports",
            ),
            always("the same input gives the same files"),
        ],
    ),
    (
        "STROBE 5 (from memory)",
        "Setting, places and dates",
        &[always("the period; sites by name in tables/findings")],
    ),
    (
        "STROBE 7, 8 (from memory)",
        "Variables and how they were measured",
        &[always(
            "tables/measures: who is judged, what counts, source; how your records came about is yours to \
             say",
        )],
    ),
    (
        "STROBE 10 (from memory)",
        "How the number of cases came about",
        &[always("all cases of the period; no number was planned")],
    ),
    (
        "STROBE 12 (from memory)",
        "Statistical methods, missing data",
        &[
            always("methods.txt with methods.bib; months and groups are described"),
            with(
                Needs::Comparisons,
                "only devices are tested",
                "no difference is tested",
            ),
        ],
    ),
    (
        "STROBE 13 (from memory)",
        "Numbers at each stage",
        &[with(
            Needs::Rows,
            "run.json, accounting and flow",
            WITH_THE_RECORDS,
        )],
    ),
    (
        "STROBE 14 (from memory)",
        "What the cases are, with missing values for each variable",
        &[with(
            Needs::Paper("case_mix"),
            "papers/case_mix and tables/case_mix, with the variables that have no row there",
            "the case mix is withheld",
        )],
    ),
    (
        "STROBE 15, 16 (from memory)",
        "Outcomes, unadjusted and adjusted estimates with their precision",
        &[
            always("tables/findings, all unadjusted"),
            with(
                Needs::Paper("main_findings"),
                "the main ones in papers/main_findings",
                "",
            ),
            with(
                Needs::Curves,
                "time to scope in tables/curves and tables/ends, unadjusted",
                "no curves of the time to scope",
            ),
            with(
                Needs::Comparisons,
                "tables/devices and tables/comparisons for devices, adjusted for the type of object and \
                 nothing else",
                "no device is compared with the others over all object types",
            ),
        ],
    ),
    (
        "STROBE 17 (from memory)",
        "Other analyses, such as of subgroups",
        &[
            always("tables/findings by dimension"),
            with(Needs::Months, "tables/months", "months are withheld"),
            always("none was planned in a protocol that this tool knows"),
        ],
    ),
];
