//! What became of the rows, what was wrong with them, and which fields are filled.

use super::calls::CALLS;
use super::{coding, quality_by_month, recording_shifts, round_times};
use crate::domain::accounting::Accounting;
use crate::domain::asked_of::AskedOf;
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::issue::IssueCode;
use crate::domain::recording::Filled;
use crate::findings::flow::FlowResult;
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::format;
use std::collections::BTreeMap;

/// The section; it always exists.
pub(super) fn section(review: &Review) -> Section {
    let mut blocks = Vec::new();
    if let Some(site) = &review.site {
        blocks.push(Block::Text(format!(
            "This report counts {} of {site}, of {} in the export. A row that could not be used may \
             have no site, so rows, issues, fields, blanks and rounded times are those of the whole export, \
             all sites together; the way from rows to measures, coding checks and what changed in what \
             was recorded are those of {site} alone. Each heading says which.",
            format::counted(review.flow.counted, "accepted case", "accepted cases"),
            format::whole(review.quality.cases.accepted)
        )));
    }
    blocks.extend([
        Block::Text(
            "Every row that was read is accounted for. No missing value was filled in, and no row \
             was dropped without a count. Ages of 90 and over are kept as 90, so that nobody can be \
             told by a rare age; no other value is cut to a limit."
                .to_owned(),
        ),
        Block::Table(accounting(review)),
    ]);
    if !review.flow.measures.is_empty() {
        blocks.push(Block::Text(
            "A measure asks about its population and can judge those cases of it that have the \
             values it needs; its definition says which. Judged and not judged cases add up to the \
             population, and with the cases outside it to all accepted cases that are counted."
                .to_owned(),
        ));
        blocks.push(Block::Table(flow(review)));
    }
    if review.quality.issues.is_empty() {
        blocks.push(Block::Text("No issues were found in the rows.".to_owned()));
    } else {
        blocks.push(Block::Table(issues(review)));
    }
    blocks.extend(coding::blocks(review));
    if !review.quality.completeness.is_empty() {
        blocks.push(Block::Text(
            "How many accepted cases have a value in each field that the mapping names, and how many of \
             those that the field is asked of: a bleed has no object, and only a case that was cancelled \
             or transferred has an end of its own. Where that is left open, a blank is an answer of its \
             own, such as no rebleeding."
                .to_owned(),
        ));
        blocks.push(Block::Table(completeness(review)));
    }
    if review.is_from_counts {
        blocks.push(Block::Text(
            "This report was made from counts. Which fields are filled, which times are round and which \
             columns could not be read is known where the records are: see the reports made there."
                .to_owned(),
        ));
    }
    blocks.extend(months_of_sites(review));
    blocks.extend(quality_by_month::blocks(review));
    blocks.extend(round_times::blocks(review));
    if review.definition(CALLS).is_some() {
        blocks.extend(recording_shifts::blocks(review));
    }
    Section {
        id: "quality",
        heading: "Data quality".to_owned(),
        blocks,
    }
}

/// Which months the counts of each site cover; nothing where all cover the same.
fn months_of_sites(review: &Review) -> Vec<Block> {
    if review.months_of_sites.is_empty() {
        return Vec::new();
    }
    let mut table = Table::new(
        "Months that the counts of each site cover",
        &[
            "Site",
            "First month",
            "Last month",
            "Months missing between",
        ],
    );
    for of in &review.months_of_sites {
        let gaps = if of.has_gaps { "yes" } else { "no" };
        table.push(vec![
            of.site.as_str().into(),
            format::month_name(of.first).into(),
            format::month_name(of.last).into(),
            gaps.into(),
        ]);
    }
    vec![
        Block::Caution(
            "The counts of the sites cover unlike months. In a month that a site lacks, all sites together \
             are the others alone: a line over time may step where a site comes or goes."
                .to_owned(),
        ),
        Block::Table(table),
    ]
}

/// In the report of one site, what a heading says where all sites are counted together; else nothing.
pub(super) fn of_export(review: &Review) -> &'static str {
    review.site.as_ref().map_or("", |_| ", whole export")
}

/// In the report of one site, what a heading says where it alone is counted; else nothing.
pub(super) fn of_site(review: &Review) -> String {
    let site = review.site.as_ref();
    site.map_or_else(String::new, |site| format!(", {site} alone"))
}

fn accounting(review: &Review) -> Table {
    let mut table = Table::new(
        format!("What became of the rows{}", of_export(review)),
        &[
            "Export",
            "Read",
            "Accepted",
            "Set aside",
            "Repeats left out",
        ],
    );
    let mut add = |name: &str, rows: &Accounting| {
        table.push(vec![
            name.into(),
            format::whole(rows.read).into(),
            format::whole(rows.accepted).into(),
            format::part(rows.set_aside, rows.read).into(),
            format::whole(rows.duplicates).into(),
        ]);
    };
    add("cases", &review.quality.cases);
    if let Some(passes) = &review.quality.passes {
        add("passes", passes);
    }
    table
}

fn flow(review: &Review) -> Table {
    let of_site = review
        .site
        .as_ref()
        .map_or_else(String::new, |site| format!(" of {site}"));
    let mut table = Table::new(
        format!(
            "From rows to measures: {}{of_site} in each measure",
            format::counted(review.flow.counted, "accepted case", "accepted cases")
        ),
        &[
            "Measure",
            "Outside its population",
            "Population",
            "Not judged",
            "Judged",
            "Of these",
        ],
    );
    for flow in &review.flow.measures {
        let result = match flow.result {
            FlowResult::Hit(hit) => format!("{} met the definition", format::whole(hit)),
            FlowResult::Reached(reached) if reached > 0 && reached == flow.eligible => {
                "all followed to the end".to_owned()
            }
            FlowResult::Reached(reached) => {
                format!("{} followed to the end", format::whole(reached))
            }
            FlowResult::Passes { judged, hit } => format!(
                "{} of {} met the definition",
                format::whole(hit),
                format::counted(judged, "judged pass", "judged passes")
            ),
            FlowResult::Events => "each is one event".to_owned(),
        };
        table.push(vec![
            flow.title.as_str().into(),
            format::whole(flow.not_of_population).into(),
            format::whole(flow.population).into(),
            format::whole(flow.excluded).into(),
            format::whole(flow.eligible).into(),
            result.into(),
        ]);
    }
    table
}

fn issues(review: &Review) -> Table {
    let mut table = Table::new(
        format!("Issues by kind{}", of_export(review)),
        &[
            "Code",
            "What is wrong",
            "Field (count)",
            "Count",
            "Effect",
            "What can be done",
        ],
    );
    let mut kinds = BTreeMap::<IssueCode, Vec<(String, u64)>>::new();
    for ((code, field, other_field), count) in &review.quality.issues {
        let fields = match (*field, *other_field) {
            ("", _) => "whole row".to_owned(),
            (field, "") => field_words(field),
            (field, other) => format!("{} to {}", field_words(field), field_words(other)),
        };
        kinds.entry(*code).or_default().push((fields, *count));
    }
    for (code, places) in kinds {
        let total = places.iter().map(|(_, count)| count).sum();
        let places: Vec<_> = places
            .iter()
            .map(|(fields, count)| format!("{fields} ({})", format::whole(*count)))
            .collect();
        table.push(vec![
            code.code().into(),
            code.summary().into(),
            places.join("; ").into(),
            format::whole(total).into(),
            code.effect().sentence().into(),
            code.hint().into(),
        ]);
    }
    table
}

fn completeness(review: &Review) -> Table {
    let accepted = review.quality.cases.accepted;
    let mut asked = BTreeMap::<&str, Filled>::new();
    for ((field, _), filled) in &review.quality.recording.completeness {
        asked.entry(field.name()).or_default().add(*filled);
    }
    let mut table = Table::new(
        format!(
            "Fields with a value, of all accepted cases, and of those that the field is asked of{}",
            of_export(review)
        ),
        &[
            "Field",
            "Name in the mapping",
            "Has a value",
            "Asked of",
            "Has a value, of these",
        ],
    );
    for (name, filled) in &review.quality.completeness {
        let mut row: Vec<Cell> = vec![
            field_words(name).into(),
            (*name).into(),
            format::part(*filled, accepted).into(),
        ];
        let asked_of = CaseField::named(name).and_then(AskedOf::of);
        if let Some((asked_of, filled)) = asked_of.zip(asked.get(name)) {
            row.push(asked_of.words().into());
            row.push(format::part(filled.filled, filled.cases).into());
        }
        table.push(row);
    }
    table
}

fn field_words(name: &str) -> String {
    CaseField::named(name)
        .map(CaseField::label)
        .or(PassField::named(name).map(PassField::label))
        .unwrap_or(name)
        .to_owned()
}
