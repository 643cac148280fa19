//! What a site adds to the record of a case afterwards: the grade of an adverse event, when the
//! overtube went in, and whether biopsies were out of place.
//!
//! Draws from a stream of its own, so that it moves no other value. Plants no truth.

use super::case::Case;
use super::draws::{Draws, whole};
use super::passes::Pass;
use super::site::Site;
use crate::domain::codes::{AdverseEvent, AdverseGrade, AdverseScale, Presentation};

/// The stream of the draws here.
pub(super) const STREAM: u64 = 20;

/// Share of adverse events that nobody graded.
const GRADE_LOST: f64 = 0.08;
/// Share of cases without an adverse event in which a trifle was noted as an incident.
const INCIDENT_SHARE: f64 = 0.03;
/// Share of overtubes that were in place before the first pass.
const OVERTUBE_FIRST: f64 = 0.6;
/// Share of overtubes without the pass, and of those without the time.
const OVERTUBE_LOST: f64 = 0.1;

/// What is added to a case. `None` is a value that does not apply or was not recorded.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Care {
    pub(super) adverse_scale: Option<AdverseScale>,
    pub(super) adverse_grade: Option<AdverseGrade>,
    /// Number of the pass before which the overtube was placed.
    pub(super) overtube_pass: Option<u64>,
    /// In minutes since 1970 UTC.
    pub(super) overtube_at: Option<i64>,
    pub(super) biopsy_not_indicated: Option<bool>,
}

/// What is added to `case`.
pub(super) fn draw(draws: &mut Draws, case: &Case) -> Care {
    let mut added = Care::default();
    if let Some(event) = case.adverse_event {
        let scale = scale_of(case.site);
        added.adverse_scale = Some(scale);
        added.adverse_grade = draw_grade(draws, scale, event);
    }
    if case.overtube == Some(true) {
        let pass = draw_overtube_pass(draws, &case.passes);
        let at = overtube_at(case, pass);
        added.overtube_pass = Some(pass).filter(|_| !draws.chance(OVERTUBE_LOST));
        added.overtube_at = at.filter(|_| !draws.chance(OVERTUBE_LOST));
    }
    if case.presentation == Presentation::FoodImpaction
        && let Some(taken) = case.biopsies_taken
    {
        added.biopsy_not_indicated = Some(draws.chance(if taken { 0.02 } else { 0.2 }));
    }
    added
}

/// Each hospital keeps to one scale.
fn scale_of(site: Site) -> AdverseScale {
    match site {
        Site::Alder => AdverseScale::AsgeLexicon,
        Site::Birch | Site::Cedar => AdverseScale::Agree,
    }
}

fn draw_grade(draws: &mut Draws, scale: AdverseScale, event: AdverseEvent) -> Option<AdverseGrade> {
    if event == AdverseEvent::NoEvent {
        // Only the lexicon has a word for what is less than an event.
        let is_incident = scale == AdverseScale::AsgeLexicon && draws.chance(INCIDENT_SHARE);
        return is_incident.then_some(AdverseGrade::Incident);
    }
    if draws.chance(GRADE_LOST) {
        return None;
    }
    Some(draws.pick(match scale {
        AdverseScale::AsgeLexicon => &[
            (AdverseGrade::Mild, 66.0),
            (AdverseGrade::Moderate, 28.0),
            (AdverseGrade::Severe, 6.0),
        ],
        AdverseScale::Agree => &[
            (AdverseGrade::GradeOne, 48.0),
            (AdverseGrade::GradeTwo, 30.0),
            (AdverseGrade::GradeThreeA, 15.0),
            (AdverseGrade::GradeThreeB, 4.0),
            (AdverseGrade::GradeFourA, 3.0),
        ],
    }))
}

fn draw_overtube_pass(draws: &mut Draws, passes: &[Pass]) -> u64 {
    let later = passes.len().saturating_sub(1) as u64;
    if later == 0 || draws.chance(OVERTUBE_FIRST) {
        return 1;
    }
    let place = whole((draws.uniform() * later as f64).floor());
    2 + place.unsigned_abs().min(later - 1)
}

/// Passes take about equally long, so the overtube lies as far along as its pass.
fn overtube_at(case: &Case, pass: u64) -> Option<i64> {
    let start = case.times.scope_in?;
    let end = case.times.removed.or(case.times.scope_out)?;
    let passes = i64::try_from(case.passes.len()).ok()?.max(1);
    let before = i64::try_from(pass).ok()? - 1;
    Some((start + 1 + (end - start) * before / passes).min(end))
}
