//! What belongs together about harm: which grades a scale has, and what a split by the kind or the
//! grade of an event can show. Scales are never converted into one another.

use super::codes::{AdverseEvent, AdverseGrade, AdverseScale};

/// The grades of a scale, the lightest first.
///
/// ASGE lexicon: Cotton et al., Gastrointest Endosc 2010; AGREE: Nass et al., Gastrointest Endosc
/// 2022.
pub const fn grades(scale: AdverseScale) -> &'static [AdverseGrade] {
    match scale {
        AdverseScale::AsgeLexicon => &[
            AdverseGrade::Incident,
            AdverseGrade::Mild,
            AdverseGrade::Moderate,
            AdverseGrade::Severe,
            AdverseGrade::Fatal,
        ],
        AdverseScale::Agree => &[
            AdverseGrade::GradeOne,
            AdverseGrade::GradeTwo,
            AdverseGrade::GradeThreeA,
            AdverseGrade::GradeThreeB,
            AdverseGrade::GradeFourA,
            AdverseGrade::GradeFourB,
            AdverseGrade::GradeFive,
        ],
    }
}

/// Whether `grade` is a grade of `scale`, both as codes.
pub fn is_grade_of(scale: &str, grade: &str) -> bool {
    grades_of(scale).any(|known| known == grade)
}

fn grades_of(scale: &str) -> impl Iterator<Item = &'static str> {
    let scale = AdverseScale::ALL.iter().find(|known| known.code() == scale);
    scale
        .into_iter()
        .flat_map(|scale| grades(*scale))
        .map(|grade| grade.code())
}

/// The values of a dimension that says what happened to a case and not what kind of case it is:
/// every case could have had each of them. `others` are the other dimensions with their values.
/// `None` for any other dimension.
///
/// A recorded absence of harm is not among them.
pub fn possible_results<'a>(
    dimension: &str,
    others: impl Iterator<Item = (&'a str, &'a str)>,
) -> Option<Vec<&'static str>> {
    match dimension {
        "adverse_event" => Some(
            AdverseEvent::ALL
                .iter()
                .filter(|event| **event != AdverseEvent::NoEvent)
                .map(|event| event.code())
                .collect(),
        ),
        "adverse_grade" => {
            let mut others = others;
            let scale = others.find(|(dimension, _)| *dimension == "adverse_scale");
            Some(scale.map_or_else(Vec::new, |(_, scale)| grades_of(scale).collect()))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_grade_is_of_one_scale() {
        for grade in AdverseGrade::ALL {
            let scales: Vec<_> = AdverseScale::ALL
                .iter()
                .filter(|scale| is_grade_of(scale.code(), grade.code()))
                .collect();
            assert_eq!(scales.len(), 1, "{}", grade.code());
        }
        assert!(is_grade_of("agree", "grade_3b") && !is_grade_of("agree", "severe"));
        assert!(!is_grade_of("another scale", "severe"));
    }

    #[test]
    fn results_are_what_could_have_happened() {
        let none = || std::iter::empty();
        let events = possible_results("adverse_event", none()).expect("a result");
        assert!(events.contains(&"perforation") && !events.contains(&"none"));
        let of_scale = possible_results("adverse_grade", [("adverse_scale", "agree")].into_iter());
        assert_eq!(of_scale.map(|grades| grades.len()), Some(7));
        assert_eq!(possible_results("adverse_grade", none()), Some(Vec::new()));
        assert_eq!(possible_results("airway", none()), None);
    }
}
