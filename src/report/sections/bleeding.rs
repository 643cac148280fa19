//! Bleeds: what became of them, and how severe they were.

use super::{by_month, section_of};
use crate::domain::codes::{NOT_RECORDED, Presentation};
use crate::domain::counts::ALL;
use crate::domain::fields::{CaseField, Field, dimension_label, value_label};
use crate::findings::bleeds::{self, KnownScores, lowest_share, score_doubts};
use crate::findings::finding::{Address, Finding, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{format, groups, series, words};

pub(super) const INITIAL_HEMOSTASIS: &str = "initial_hemostasis";
pub(super) const REBLEED_3D: &str = "rebleed_3d";
pub(super) const REBLEED_7D: &str = "rebleed_7d";
pub(super) const REBLEED_30D: &str = "rebleed_30d";
pub(super) const RESCUE_TREATMENT: &str = "rescue_treatment";
pub(super) const TRANSFUSED: &str = "transfused";
pub(super) const DEATH_30D: &str = "death_30d";
pub(super) const UPPER_BLEEDS: &str = "upper_bleeds";
pub(super) const ULCER_BLEEDS: &str = "ulcer_bleeds";
pub(super) const LOWER_BLEEDS: &str = "lower_bleeds";

/// Shares, in the order of the table.
const SHARES: [&str; 7] = [
    INITIAL_HEMOSTASIS,
    REBLEED_3D,
    REBLEED_7D,
    REBLEED_30D,
    RESCUE_TREATMENT,
    TRANSFUSED,
    DEATH_30D,
];

/// Calls, and the score by which they are split.
const BY_SCORE: [(&str, CaseField); 4] = [
    (UPPER_BLEEDS, CaseField::GlasgowBlatchford),
    (UPPER_BLEEDS, CaseField::Rockall),
    (UPPER_BLEEDS, CaseField::Aims65),
    (LOWER_BLEEDS, CaseField::Oakland),
];

/// Calls, and what was found or done by which they are split.
const BY_FINDING: [(&str, CaseField); 5] = [
    (ULCER_BLEEDS, CaseField::Forrest),
    (UPPER_BLEEDS, CaseField::BleedFinding),
    (LOWER_BLEEDS, CaseField::BleedFinding),
    (UPPER_BLEEDS, CaseField::Treatment),
    (LOWER_BLEEDS, CaseField::Treatment),
];

/// The section; `None` when none of its measures was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    let measures = SHARES.iter().chain([&UPPER_BLEEDS, &LOWER_BLEEDS]);
    if !measures.clone().any(|id| review.definition(id).is_some()) {
        return None;
    }
    let nothing = |text: &str| {
        let text = Some(Block::Text(text.to_owned()));
        section_of("bleeding", "Bleeding", Vec::new(), [text])
    };
    // A rate is known even of nothing, so its events tell.
    let has_case = |id: &str, statistic| {
        let finding = review.findings.overall(id, None, statistic);
        finding.is_some_and(|it| it.suppressed || it.cases + it.excluded > 0)
    };
    let has_bleed = SHARES.iter().any(|id| has_case(id, Statistic::Share))
        || [UPPER_BLEEDS, LOWER_BLEEDS]
            .iter()
            .any(|id| has_case(id, Statistic::Rate));
    if !has_bleed {
        return nothing("No bleed is among the cases.");
    }
    let tables = |splits: &[(&str, CaseField)]| -> Vec<_> {
        let splits = splits.iter();
        let tables = splits.filter_map(|(measure, field)| case_mix_table(review, measure, *field));
        tables.map(Block::Table).collect()
    };
    let (by_score, by_finding) = (tables(&BY_SCORE), tables(&BY_FINDING));
    let is_judged = |id: &str| {
        let finding = review.findings.overall(id, None, Statistic::Share);
        finding.is_some_and(|finding| !format::is_empty(finding))
    };
    let has_case_mix = !by_score.is_empty() || !by_finding.is_empty();
    if !has_case_mix && !SHARES.iter().any(|id| is_judged(id)) {
        return nothing(
            "There are bleeds among the cases, but the export gives none of the fields that \
             measures of bleeds need.",
        );
    }
    let mut section = section_of(
        "bleeding",
        "Bleeding",
        vec![Block::Text(
            "Days are whole days from the first scope. Rebleeding is what the site records as such; \
             definitions differ between studies, and with them the share. A patient who was not \
             followed long enough counts neither way, and stands under not judged."
                .to_owned(),
        )],
        [
            by_month(review, INITIAL_HEMOSTASIS),
            by_month(review, REBLEED_7D),
            by_month(review, DEATH_30D),
            judged_by_event(review),
            shares_table(review),
        ],
    )?;
    let blocks = &mut section.blocks;
    if !by_score.is_empty() {
        blocks.push(Block::Heading("How severe they were".to_owned()));
        blocks.push(Block::Text(SCORES.to_owned()));
        blocks.extend(units(review));
        blocks.push(Block::Caution(CHECK_AGAINST_CHART.to_owned()));
        blocks.extend(doubts(review));
        blocks.extend(known_scores(review));
        blocks.extend(by_score);
        blocks.push(Block::List(SOURCES.map(str::to_owned).to_vec()));
    }
    if !by_finding.is_empty() {
        blocks.push(Block::Heading("What was found and done".to_owned()));
        blocks.extend(by_finding);
    }
    Some(section)
}

const SCORES: &str = "Scores are computed from the fields of the export, for adults only. Where a \
                      field that matters is missing the score is not computed; a missing field \
                      never counts as zero. It leaves a lowest and a highest possible score, and \
                      where both lie on one side of the limit of the score, that side is certain. \
                      Bands describe whom the service was called to. They predict nothing about a \
                      patient.";

const CHECK_AGAINST_CHART: &str = "Scores are recomputed from export fields: check them against the \
                                   chart. A wrong unit moves every score.";

const SOURCES: [&str; 5] = [
    "Glasgow-Blatchford, 0 to 23: Blatchford O et al., Lancet 2000, from memory; bands verified in a \
     table of BMC Gastroenterology 2018. For a sex that is neither female nor male, for which it \
     has no bands, it is computed only where both give the same.",
    "Complete Rockall, 0 to 11: Rockall TA et al., Gut 1996, from memory; table verified in copies. \
     A pulse of 100 counts as fast, a systolic pressure of 100 does not count as low: a convention \
     from memory.",
    "AIMS65, 0 to 5: Saltzman JR et al., Gastrointest Endosc 2011;74:1215-24.",
    "Oakland, 0 to 35: Oakland K et al., Lancet Gastroenterol Hepatol 2017;2:635-43; table verified \
     in copies.",
    "Limits: Glasgow-Blatchford 0 to 1 by guidelines of ACG and ESGE of 2021, AIMS65 2 and more and \
     Oakland 0 to 8 by their publications; Rockall 0 to 2 is the lowest band of this report. All \
     other bands are those of this report.",
];

/// The units of the laboratory, as the mapping declares them; `None` when it declares none.
fn units(review: &Review) -> Option<Block> {
    let units: Vec<_> = review
        .units
        .iter()
        .map(|(quantity, unit)| format!("{quantity} in {unit}"))
        .collect();
    (!units.is_empty()).then(|| {
        Block::Text(format!(
            "Units of the export as the mapping declares them: {}.",
            units.join(", ")
        ))
    })
}

/// Scores of the export that do not follow from its components, when they are many.
fn doubts(review: &Review) -> impl Iterator<Item = Block> {
    let doubts = score_doubts(&review.quality.issues, &review.quality.completeness);
    let caution = |doubt| Block::Caution(format!("{}.", words::score_doubt(&doubt)));
    doubts.into_iter().map(caution)
}

/// In how many cases each score is known, and what its bounds tell in the others.
fn known_scores(review: &Review) -> Option<Block> {
    let sentence = |(measure, score): &(&str, CaseField)| {
        let known = KnownScores::of(&review.findings, measure, *score)?;
        let by = score.column();
        let mut text = format!(
            "{}: computed in {} of {}",
            score.label(),
            format::whole(known.computed),
            format::counted(known.computed + known.not_computed(), "case", "cases"),
        );
        let others = [
            (known.certainly_low, bleeds::CERTAINLY_LOW),
            (known.certainly_high, bleeds::CERTAINLY_HIGH),
            (known.open, bleeds::OPEN),
            (known.under_age, bleeds::UNDER_AGE),
        ];
        let some = others.iter().filter(|(cases, _)| *cases > 0);
        let others = some.map(|(cases, code)| {
            let label = value_label(by, code);
            let label = label.strip_prefix("not computed, ").unwrap_or(label);
            format!("{} {label}", format::whole(*cases))
        });
        if known.not_computed() > 0 {
            text.push_str("; of the others ");
            text.push_str(&others.collect::<Vec<_>>().join(", "));
        }
        text.push('.');
        Some(text)
    };
    let sentences: Vec<_> = BY_SCORE.iter().filter_map(sentence).collect();
    (!sentences.is_empty()).then_some(Block::List(sentences))
}

const JUDGED_BY_EVENT: &str = "Who died, or whose rebleeding is recorded, is judged in any case; who \
                               had no such event is judged only when followed to the last day. The \
                               share of the judged may therefore be too high, most of all in months \
                               too recent for anybody to have been followed that long. The last \
                               column is the lowest that the share can be: it takes every case that \
                               was not judged for one without the event.";

/// Why shares of followed patients may be too high; `None` when no such share was counted.
fn judged_by_event(review: &Review) -> Option<Block> {
    let is_counted = BY_EVENT.iter().any(|id| review.definition(id).is_some());
    is_counted.then(|| Block::Text(JUDGED_BY_EVENT.to_owned()))
}

/// Measures for which an event alone makes a case judged.
const BY_EVENT: [&str; 4] = [REBLEED_3D, REBLEED_7D, REBLEED_30D, DEATH_30D];

/// Every share over the whole period, of all bleeds and of either kind.
fn shares_table(review: &Review) -> Option<Block> {
    let level = format::level(review.level);
    let interval = format!("({level} interval)");
    let methods = SHARES
        .iter()
        .filter_map(|id| review.findings.overall(id, None, Statistic::Share));
    let mut table = Table::new(
        format!(
            "What became of the bleeds, {}; {level} intervals: {}",
            series::whole_period(review),
            words::method_names(methods)
        ),
        &[
            "Measure",
            "All bleeds",
            "Upper GI",
            "Lower GI",
            "Not judged",
            "At least, if none of these had it",
        ],
    );
    for column in &mut table.columns[1..4] {
        column.push(' ');
        column.push_str(&interval);
    }
    for id in SHARES {
        let Some(definition) = review.definition(id) else {
            continue;
        };
        let at = |by, group| {
            review.findings.at(Address {
                measure: id,
                by,
                group,
                month: None,
                statistic: Statistic::Share,
            })
        };
        let by = CaseField::Presentation.column();
        let all = at(ALL, ALL);
        let mut row = vec![
            Cell::from(definition.title.as_str()),
            series::value_cell(all),
        ];
        for presentation in [Presentation::UpperBleed, Presentation::LowerBleed] {
            row.push(series::value_cell(at(by, presentation.code())));
        }
        row.push(all.map_or_else(
            || format::NOTHING.into(),
            |all| format::unless_withheld(all, all.excluded).into(),
        ));
        let lowest = all
            .filter(|_| BY_EVENT.contains(&id))
            .and_then(lowest_share);
        row.push(lowest.map_or_else(
            || format::NOTHING.into(),
            |lowest| format::estimate_with_counts(&lowest).into(),
        ));
        table.push(row);
    }
    (!table.rows.is_empty()).then_some(Block::Table(table))
}

/// How many calls there were of each band or class; `None` where no case has one.
fn case_mix_table(review: &Review, measure: &str, field: CaseField) -> Option<Table> {
    let definition = review.definition(measure)?;
    let by = field.column();
    let findings = groups::in_list_order(review, measure, by, Statistic::Rate);
    let is_told = |finding: &&&Finding| finding.group != NOT_RECORDED && finding.events > 0;
    findings.iter().find(is_told)?;
    let mut table = Table::new(
        format!(
            "{} by {}, {}",
            definition.title,
            dimension_label(by),
            series::whole_period(review)
        ),
        &["Group", "Calls"],
    );
    // Of a long list of codes only those that came up.
    let lists_all = !matches!(field, CaseField::BleedFinding | CaseField::Treatment);
    let is_listed = |finding: &&Finding| lists_all || finding.suppressed || finding.events > 0;
    for finding in findings.into_iter().filter(is_listed) {
        let label = groups::group_label(by, &finding.group);
        let calls = format::unless_withheld(finding, finding.events);
        table.push(vec![label.into(), calls.into()]);
    }
    Some(table)
}
