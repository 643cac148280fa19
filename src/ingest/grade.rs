//! Whether the grade of an adverse event belongs to the scale that is recorded beside it.
//!
//! Knows which grades a scale has. Converts nothing: a grade of another scale counts as missing.

use super::cell::Value;
use super::records::Record;
use crate::domain::fields::{CaseField, Field};
use crate::domain::harm::is_grade_of;
use crate::domain::issue::{Issue, IssueCode, Position, Shape};

/// Takes a grade out of `record` that its scale does not have. Without a scale, or without a grade,
/// there is nothing to say.
pub(super) fn check(record: &mut Record<'_, CaseField>, at: Position, issues: &mut Vec<Issue>) {
    let Some(grade) = record.text(CaseField::AdverseGrade) else {
        return;
    };
    let scale = record.text(CaseField::AdverseScale);
    if scale.is_some_and(|scale| !is_grade_of(scale, grade)) {
        record.set(CaseField::AdverseGrade, Value::Missing);
        let name = CaseField::AdverseGrade.name();
        let code = IssueCode::GradeOffScale;
        issues.push(Issue::of_cell(at, code, name, Shape::NotOneCell));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::issue::Source;

    #[track_caller]
    fn check_grade(scale: Option<&'static str>, grade: Option<&'static str>, is_kept: bool) {
        let value = |code: Option<&'static str>| code.map_or(Value::Missing, Value::Code);
        let mut record = Record::empty();
        record.set(CaseField::AdverseScale, value(scale));
        record.set(CaseField::AdverseGrade, value(grade));
        let at = Position {
            source: Source::Cases,
            file_index: 0,
            line_number: 7,
        };
        let mut issues = Vec::new();
        check(&mut record, at, &mut issues);
        assert_eq!(record.text(CaseField::AdverseScale), scale);
        let expected = if is_kept { grade } else { None };
        assert_eq!(record.text(CaseField::AdverseGrade), expected);
        let found: Vec<_> = issues
            .iter()
            .map(|issue| (issue.code, issue.field))
            .collect();
        let told = [(IssueCode::GradeOffScale, "adverse_grade")];
        assert_eq!(found, if is_kept { &[][..] } else { &told[..] });
    }

    #[test]
    fn a_grade_of_another_scale_counts_as_missing_and_is_told() {
        check_grade(Some("agree"), Some("grade_3a"), true);
        check_grade(Some("asge_lexicon"), Some("incident"), true);
        check_grade(Some("agree"), Some("moderate"), false);
        check_grade(Some("asge_lexicon"), Some("grade_1"), false);
    }

    #[test]
    fn without_scale_or_grade_nothing_is_said() {
        check_grade(None, Some("moderate"), true);
        check_grade(Some("agree"), None, true);
        check_grade(None, None, true);
    }
}
