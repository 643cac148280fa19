//! What of this report goes where when the work is written up for publication.

use crate::findings::review::Review;
use crate::report::content::{Block, Section, Table};

/// The section; it always exists.
pub(super) fn section(review: &Review) -> Section {
    let mut table = Table::new(
        "Items of SQUIRE 2.0 that this report helps to fill",
        &["Item", "In this report", "Left to the authors"],
    );
    for (item, here, theirs) in ITEMS {
        table.push(vec![item.into(), here.into(), theirs.into()]);
    }
    let changes = match review.phases.len() {
        0 => "The mapping names no dated change, so nothing here stands for an intervention.",
        _ => "Dated changes of the mapping stand on the charts of the measures that they concern.",
    };
    Section {
        id: "writing-up",
        heading: "To write it up".to_owned(),
        blocks: vec![
            Block::Text(format!(
                "SQUIRE 2.0 is a list of 18 items for reports of quality improvement (Ogrinc and \
                 others, BMJ Quality & Safety 2016;25:986-992). The items that are not in the table, \
                 among them aims, rationale, interpretation and funding, are the authors\u{2019} own. \
                 {changes}"
            )),
            Block::Table(table),
        ],
    }
}

/// Item, what the report has for it, and what it cannot have. Names and numbers of items 1 to 12 were
/// checked against the published table; numbers 13, 14 and 16 are from memory.
const ITEMS: [(&str, &str, &str); 10] = [
    (
        "3 Problem description",
        "The months of the baseline: times, retrieval, airway, harm, with counts and intervals",
        "Why it matters here, and to whom",
    ),
    (
        "7 Context",
        "Sites, calls, case mix, staffed hours, setting of the cases",
        "Staffing, training, how the service is called",
    ),
    (
        "8 Interventions",
        "Dated changes, by month and note",
        "What was done, by whom, in enough detail to repeat it",
    ),
    (
        "9 Study of the interventions",
        "Lines frozen before the change, rules fixed before the data, how often they mislead",
        "Why this design; what else changed at the time",
    ),
    (
        "10 Measures",
        "Definitions: who is judged, what counts, source, version",
        "Why these measures were chosen",
    ),
    (
        "11 Analysis",
        "Methods with sources; variation over time; completeness and accuracy of the records",
        "Anything done with the numbers afterwards",
    ),
    (
        "12 Ethical considerations",
        "Case numbers stand on no page; small counts and single cases do, so the page is not anonymous",
        "How the records were de-identified, review by the local board, conflicts of interest",
    ),
    (
        "13 Results",
        "Charts by month with their tables; cases not judged; what became of every row",
        "How the change went; links between change and result; what was not expected",
    ),
    ("14 Summary", "The first page", "Strengths of the project"),
    (
        "16 Limitations",
        "Cautions, data quality, cases not followed to the end, comparisons that chance explains",
        "What was done about them",
    ),
];
