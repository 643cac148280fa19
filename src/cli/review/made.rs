//! From the records to the findings of one month, and to the list of cases to look at.

use super::Arguments;
use crate::cli::inputs::Read;
use crate::cli::outputs::inputs;
use crate::cli::site;
use crate::domain::counts::CountTables;
use crate::domain::fields::{CaseField, Field};
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::domain::phase::{Phase, phases_of_site};
use crate::domain::review_rules::{CaseToReview, ReviewRule, review_rules};
use crate::export::manifest::Input;
use crate::findings::calls_by_hour::{CALLS, calls_by_hour};
use crate::findings::cart::missing_from_carts;
use crate::findings::cases_to_look_at::{check_list, rule_tallies};
use crate::findings::comparisons::{CaseOrder, Comparisons, HARM};
use crate::findings::curves::Curves;
use crate::findings::drift::drift;
use crate::findings::estimate::{Settings, findings};
use crate::findings::flow::Flow;
use crate::findings::funnel::funnels;
use crate::findings::headline::{MONTHS_BEFORE, headlines, months_before};
use crate::findings::heaping::heaping;
use crate::findings::review::{DataQuality, Headline, Review, ReviewInput};
use crate::findings::signals::signals;
use crate::ingest::{Ingested, with_value};
use crate::measure::{self, InOrder};
use crate::stats::Level;
use std::collections::BTreeSet;

/// What a run found.
pub(super) struct Made {
    /// All that may be shown.
    pub(super) review: Review,
    /// Cases of the month in view that somebody should read: never to leave the premises.
    pub(super) list: Vec<CaseToReview>,
}

/// Counts the records and makes the findings of `month`.
///
/// # Errors
/// When a measure cannot be counted, or the counts do not add up.
pub(super) fn review(
    arguments: &Arguments,
    read: &Read,
    definitions: Vec<Definition>,
    (first_month, last_month): (Month, Month),
    month: Month,
    made_on: Option<String>,
) -> anyhow::Result<Made> {
    let ingested = &read.ingested;
    let files = inputs(read)?;
    let settings = Settings {
        level: Level::P95,
        share_method: arguments.share_interval.method(),
    };
    let (counts, order) = counts(arguments, read, &definitions, month)?;
    let rules = review_rules();
    let list = list_of(ingested, month, &definitions, &rules)?;
    let to_look_at = rule_tallies(&counts, &definitions, &rules, first_month, month);
    check_list(&to_look_at, &list)?;
    let phases = phases(arguments, read);
    let headlines = headlines(&counts, &definitions, first_month, month, settings);
    let calls = definitions.iter().find(|definition| definition.id == CALLS);
    let review = Review {
        site: arguments.site.clone(),
        month,
        first_month,
        last_month,
        months_before: month
            .since(first_month)
            .clamp(0, MONTHS_BEFORE)
            .unsigned_abs(),
        window_start: read.mapping.window_start().to_string(),
        units: read.mapping.units().collect(),
        windows: read.mapping.guideline_windows(),
        before: months_before(&counts, &definitions, first_month, month, settings),
        missing: missing_from_carts(&counts, settings),
        findings: findings(&counts, settings, arguments.inputs.threads()),
        to_look_at,
        comparisons: Comparisons::new(&counts, &definitions, &order, settings),
        calls_by_hour: calls.and_then(|calls| calls_by_hour(&counts, calls)),
        signals: signals(
            &counts,
            &definitions,
            first_month,
            month,
            &phases,
            read.mapping.baseline_months(),
        ),
        curves: Curves::new(&counts, &definitions, settings),
        funnels: funnels(&counts, &definitions, first_month, month),
        phases,
        staffed_week: read.mapping.staffed_week(),
        targets: read.mapping.targets().clone(),
        quality: DataQuality {
            cases: ingested.cases_accounting,
            passes: ingested.passes_accounting,
            issues: ingested.issues.tallies(),
            completeness: ingested.completeness.clone(),
            recording: ingested.recording.clone(),
            read_by_first_page: read_by(&headlines, &definitions),
            heaping: heaping(&ingested.recording, month, settings.level),
            drift: calls
                .and_then(|calls| drift(&counts, calls, first_month, month, settings.level)),
        },
        flow: Flow::new(
            ingested.cases_accounting,
            ingested.passes_accounting,
            site::counted_cases(arguments.site.as_deref(), ingested),
            &counts,
            &definitions,
        )?,
        headlines,
        definitions,
        counts,
        inputs: files.iter().map(as_shown).collect(),
        level: settings.level.fraction(),
        tool_version: env!("CARGO_PKG_VERSION"),
        made_on,
    };
    Ok(Made { review, list })
}

/// The dated changes that concern what is counted.
fn phases(arguments: &Arguments, read: &Read) -> Vec<Phase> {
    let phases = read.mapping.phases().to_vec();
    match &arguments.site {
        Some(site) => phases_of_site(phases, site),
        None => phases,
    }
}

/// The fields of a case that the first page needs in order to count.
fn read_by(headlines: &[Headline], definitions: &[Definition]) -> BTreeSet<CaseField> {
    let is_first = |id: &str| headlines.iter().any(|headline| headline.measure == id);
    let columns: BTreeSet<&str> = definitions
        .iter()
        .filter(|definition| is_first(&definition.id))
        .flat_map(measure::columns_of)
        .collect();
    let fields = CaseField::ALL.iter().copied();
    fields
        .filter(|field| columns.contains(field.column()))
        .collect()
}

fn as_shown(input: &Input) -> ReviewInput {
    ReviewInput {
        role: input.role.clone(),
        sha256: input.sha256.clone(),
    }
}

/// The cases of the month in view that somebody should read. Only that month is looked at, since the
/// rows of a measure are needed for them.
fn list_of(
    ingested: &Ingested,
    month: Month,
    definitions: &[Definition],
    rules: &[ReviewRule],
) -> anyhow::Result<Vec<CaseToReview>> {
    let month = month.to_string();
    let (cases, passes) = with_value(&ingested.cases, &ingested.passes, CaseField::Month, &month);
    Ok(measure::cases_to_review(
        &cases,
        &passes,
        definitions,
        rules,
    )?)
}

/// The count tables, and the order of events of harm up to the month in view where times tell it.
fn counts(
    arguments: &Arguments,
    read: &Read,
    definitions: &[Definition],
    month: Month,
) -> anyhow::Result<(CountTables, CaseOrder)> {
    let ingested = &read.ingested;
    let has_order = read.mapping.has_clock_times();
    let in_order = InOrder {
        measures: if has_order { &HARM } else { &[] },
        last_month: Some(month),
    };
    let (tables, sequences) = measure::count_in_order(
        &ingested.cases,
        &ingested.passes,
        &ingested.exposure,
        definitions,
        &in_order,
        arguments.inputs.threads(),
    )?;
    let order = if has_order {
        CaseOrder::Known(sequences)
    } else {
        CaseOrder::Elapsed
    };
    Ok((tables, order))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::review::Change;

    /// Read off `sql/measures/call_to_cart.sql`, which is split by site, shift and more.
    #[test]
    fn a_field_that_a_measure_is_only_split_by_is_not_read_by_the_first_page() {
        let headline = Headline {
            measure: "call_to_cart".to_owned(),
            month: None,
            before: None,
            change: Change::NotCompared,
        };
        let read = read_by(&[headline], &measure::built_in());
        let expected = [
            CaseField::CalledAt,
            CaseField::CartAt,
            CaseField::ScopeInAt,
            CaseField::EndedAt,
            CaseField::Outcome,
        ];
        assert_eq!(read, BTreeSet::from(expected));
        assert!(read_by(&[], &measure::built_in()).is_empty());
    }
}
