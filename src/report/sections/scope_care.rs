//! What became of the scope after it was out: pre-clean, handover, manual cleaning.

use super::{by_month, by_shift, by_site, section_of};
use crate::findings::finding::{Address, Statistic, Unit};
use crate::findings::review::Review;
use crate::report::content::{Block, Section, Table};
use crate::report::{format, series};

pub(super) const PRECLEAN_DONE: &str = "preclean_done";
pub(super) const PRECLEAN_WITHIN_10: &str = "preclean_within_10";
pub(super) const HANDOVER_WITHIN_60: &str = "handover_within_60";
pub(super) const MANUAL_CLEAN_WITHIN_60: &str = "manual_clean_within_60";
pub(super) const SCOPE_OUT_TO_PRECLEAN: &str = "scope_out_to_preclean";
pub(super) const SCOPE_OUT_TO_HANDOVER: &str = "scope_out_to_handover";
/// The three starts of the clock, the strictest last.
pub(super) const PRECLEAN_END_TO_MANUAL_CLEAN: &str = "preclean_end_to_manual_clean";
pub(super) const PRECLEAN_START_TO_MANUAL_CLEAN: &str = "preclean_start_to_manual_clean";
pub(super) const SCOPE_OUT_TO_MANUAL_CLEAN: &str = "scope_out_to_manual_clean";

/// The section; `None` when none of its measures was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    section_of(
        "scope-care",
        "Scope care",
        vec![
            Block::Text(
                "Each title names the moment at which its clock starts; times of different starts \
                 are never mixed. The multisociety guideline on reprocessing (2016) asks for the \
                 pre-clean at the point of use and for manual cleaning within the time of the scope \
                 maker, and prints no number of minutes. Sixty minutes are common in the \
                 instructions of makers, ten minutes to the pre-clean are a choice of this report. \
                 The local instructions for use decide."
                    .to_owned(),
            ),
            Block::Text(
                "A blank time is a gap in the records, and never counts as in time: such cases are \
                 not judged, and their number stands beside each result. With several scopes in a \
                 case, the times are those of the last one."
                    .to_owned(),
            ),
            Block::Text(about_handover(review)),
        ],
        [
            by_month(review, PRECLEAN_DONE),
            by_month(review, HANDOVER_WITHIN_60),
            by_month(review, MANUAL_CLEAN_WITHIN_60),
            by_shift::table(
                review,
                "Shares by shift",
                &[
                    PRECLEAN_DONE,
                    PRECLEAN_WITHIN_10,
                    HANDOVER_WITHIN_60,
                    MANUAL_CLEAN_WITHIN_60,
                ],
            ),
            bounds(review),
            by_shift::table(
                review,
                "Minutes by shift",
                &[
                    SCOPE_OUT_TO_PRECLEAN,
                    SCOPE_OUT_TO_HANDOVER,
                    SCOPE_OUT_TO_MANUAL_CLEAN,
                    PRECLEAN_START_TO_MANUAL_CLEAN,
                    PRECLEAN_END_TO_MANUAL_CLEAN,
                ],
            ),
            by_site(review, HANDOVER_WITHIN_60),
            by_site(review, MANUAL_CLEAN_WITHIN_60),
        ],
    )
}

/// How far the cases that were not judged could move the share of scopes cleaned in time. Times are
/// missing more often in some shifts than in others, so the judged shares of two shifts may differ by
/// what was written down.
fn bounds(review: &Review) -> Option<Block> {
    let definition = review.definition(MANUAL_CLEAN_WITHIN_60)?;
    let mut table = Table::new(
        format!(
            "{}, {}: lowest and highest share that the records allow, if none or all of the cases \
             not judged were in time. Missing times may differ by shift",
            definition.title,
            series::whole_period(review)
        ),
        &[
            "Shift",
            "Of judged cases",
            "Not judged",
            "Lowest share of all cases",
            "Highest share of all cases",
        ],
    );
    for (by, group) in by_shift::groups() {
        let finding = review.findings.at(Address {
            measure: MANUAL_CLEAN_WITHIN_60,
            by,
            group,
            month: None,
            statistic: Statistic::Share,
        });
        let Some((finding, bounds)) =
            finding.and_then(|finding| Some((finding, finding.bounds()?)))
        else {
            continue;
        };
        let all = finding.cases + finding.excluded;
        let [low, high] = bounds.map(|share| {
            if all < format::FEWEST_CASES_FOR_PERCENT {
                format::NOTHING.to_owned()
            } else {
                format::with_unit(Unit::Fraction, all, share)
            }
        });
        table.push(vec![
            by_shift::group_name((by, group)).into(),
            format::estimate_with_counts(finding).into(),
            format::whole(finding.excluded).into(),
            low.into(),
            high.into(),
        ]);
    }
    let has_gap = review
        .findings
        .overall(MANUAL_CLEAN_WITHIN_60, None, Statistic::Share)
        .is_some_and(|finding| finding.excluded > 0);
    (has_gap && !table.rows.is_empty()).then_some(Block::Table(table))
}

/// What the handover can say of manual cleaning, which starts later.
fn about_handover(review: &Review) -> String {
    let cleaning = review
        .findings
        .overall(SCOPE_OUT_TO_MANUAL_CLEAN, None, Statistic::Median);
    let is_unknown = cleaning.is_none_or(format::is_empty);
    let first = if is_unknown {
        "The start of manual cleaning stands in no case of these records. "
    } else {
        ""
    };
    format!(
        "{first}Manual cleaning starts after the handover. Where only the handover is recorded, the \
         time to it is a lower bound of the time to manual cleaning: of the scopes handed over \
         within 60 minutes some may have waited beyond them, and of the others none was in time."
    )
}
