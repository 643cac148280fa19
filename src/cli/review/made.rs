//! From counts to the findings of one month.

use super::basis::Basis;
use super::start::StartArguments;
use crate::domain::fields::{CaseField, Field};
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::domain::phase::{Phase, phases_of_site};
use crate::domain::review_rules::{CaseToReview, review_rules};
use crate::export::manifest::Input;
use crate::findings::calls_by_hour::{CALLS, calls_by_hour};
use crate::findings::cart::missing_from_carts;
use crate::findings::cases_to_look_at::{check_list, rule_tallies};
use crate::findings::comparisons::Comparisons;
use crate::findings::curves::Curves;
use crate::findings::drift::drift;
use crate::findings::estimate::findings;
use crate::findings::flow::Flow;
use crate::findings::funnel::funnels;
use crate::findings::headline::{MONTHS_BEFORE, headlines, months_before};
use crate::findings::heaping::heaping;
use crate::findings::review::{DataQuality, Headline, Review, ReviewInput};
use crate::findings::signals::signals;
use crate::ingest::Mapping;
use crate::measure;
use std::collections::BTreeSet;

/// What a run found.
pub(in crate::cli) struct Made {
    /// All that may be shown.
    pub(in crate::cli) review: Review,
    /// Cases of the month in view that somebody should read, never to leave the premises; `None`
    /// without rows or such a month.
    pub(super) list: Option<Vec<CaseToReview>>,
    /// The files that were read.
    pub(super) files: Vec<Input>,
}

/// Makes the findings of `month`.
///
/// # Errors
/// When the counts do not add up.
pub(in crate::cli) fn review(
    arguments: &StartArguments,
    basis: Basis<'_>,
    definitions: Vec<Definition>,
    month: Month,
    made_on: Option<String>,
) -> anyhow::Result<Made> {
    let settings = arguments.settings();
    let (mapping, counts) = (basis.mapping, basis.counts);
    let (first_month, last_month) = basis.observed;
    let rules = review_rules();
    let to_look_at = rule_tallies(&counts, &definitions, &rules, first_month, month);
    if let Some(list) = &basis.list {
        check_list(&to_look_at, list)?;
    }
    let phases = phases(arguments, mapping);
    let headlines = headlines(&counts, &definitions, first_month, month, settings);
    let calls = definitions.iter().find(|definition| definition.id == CALLS);
    let review = Review {
        site: arguments.site.clone(),
        month,
        first_month,
        last_month,
        months_of_sites: basis.months_of_sites,
        months_before: month
            .since(first_month)
            .clamp(0, MONTHS_BEFORE)
            .unsigned_abs(),
        window_start: mapping.window_start().to_string(),
        units: mapping.units().collect(),
        windows: mapping.guideline_windows(),
        before: months_before(&counts, &definitions, first_month, month, settings),
        missing: missing_from_carts(&counts, settings),
        findings: findings(&counts, settings, arguments.threads()),
        to_look_at,
        comparisons: Comparisons::new(&counts, &definitions, &basis.order, settings),
        calls_by_hour: calls.and_then(|calls| calls_by_hour(&counts, calls)),
        signals: signals(
            &counts,
            &definitions,
            first_month,
            month,
            &phases,
            mapping.baseline_months(),
        ),
        curves: Curves::new(&counts, &definitions, settings),
        funnels: funnels(&counts, &definitions, first_month, month),
        phases,
        staffed_week: mapping.staffed_week(),
        targets: mapping.targets().clone(),
        quality: DataQuality {
            cases: basis.cases,
            passes: basis.passes,
            issues: basis.issues,
            completeness: basis.completeness,
            read_by_first_page: read_by(&headlines, &definitions),
            heaping: heaping(&basis.recording, month, settings.level),
            recording: basis.recording,
            drift: calls
                .and_then(|calls| drift(&counts, calls, first_month, month, settings.level)),
        },
        flow: Flow::new(
            basis.cases,
            basis.passes,
            basis.counted,
            &counts,
            &definitions,
        )?,
        headlines,
        definitions,
        is_from_counts: basis.is_from_counts,
        shared: None,
        counts,
        inputs: basis.inputs.iter().map(as_shown).collect(),
        level: settings.level.fraction(),
        tool_version: env!("CARGO_PKG_VERSION"),
        made_on,
    };
    Ok(Made {
        review,
        list: basis.list,
        files: basis.inputs,
    })
}

/// The dated changes that concern what is counted.
fn phases(arguments: &StartArguments, mapping: &Mapping) -> Vec<Phase> {
    let phases = mapping.phases().to_vec();
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
