//! Adverse events.

use super::{by_group, by_month, harm_kinds, section_of};
use crate::findings::finding::{Finding, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Section};
use crate::report::{format, series, words};

pub(super) const ADVERSE_EVENT: &str = "adverse_event";
pub(super) const PERFORATION: &str = "perforation";

/// The section; `None` when the measure was not counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    review.definition(ADVERSE_EVENT)?;
    let sentence = |month, when: String| {
        review
            .findings
            .overall(ADVERSE_EVENT, month, Statistic::Share)
            .map(|finding| Block::Text(format!("{when}: {}", harm_words(finding))))
    };
    let mut section = section_of(
        "harm",
        "Harm",
        vec![Block::Text(
            "Adverse events as recorded, in 100 cases. What counts as one differs between services: \
             published rates run from about 2% (pull technique, pooled: Digestive Diseases and \
             Sciences 2023) to between 31 and 39% (series that count every erosion: BMC \
             Gastroenterology 2021, JGH Open 2015 to 2022). A case with several events counts once, \
             with its worst; grades stand under their own scale and are never converted."
                .to_owned(),
        )],
        [
            sentence(Some(review.month), format::month_name(review.month)),
            sentence(None, series::whole_period(review)),
            by_month(review, ADVERSE_EVENT),
            by_group(review, ADVERSE_EVENT, "object_type"),
            by_group(review, ADVERSE_EVENT, "presentation"),
        ],
    )?;
    section.blocks.extend(harm_kinds::by_kind(review));
    section.blocks.extend(by_month(review, PERFORATION));
    section.blocks.extend(harm_kinds::by_grade(review));
    Some(section)
}

/// No event is not no risk: the upper limit says what the count cannot rule out.
fn harm_words(finding: &Finding) -> String {
    if format::is_empty(finding) {
        return format!("{}.", format::why_empty(finding));
    }
    match (finding.events, format::shown_limits(finding).1) {
        (0, Some(high)) => format!(
            "no event recorded in {}. So few cases cannot rule out up to {} in 100 ({} interval, {}).",
            format::counted(finding.cases, "case", "cases"),
            harm_kinds::in_hundred(finding, high),
            format::level(finding.level),
            words::method_name(finding.method),
        ),
        (0, None) => format!(
            "no event recorded in {}, too few to say more.",
            format::counted(finding.cases, "case", "cases")
        ),
        _ => format!("{}.", words::finding_words(finding)),
    }
}
