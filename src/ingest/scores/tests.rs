use super::*;
use crate::domain::issue::Source;

const AT: Position = Position {
    source: Source::Cases,
    file_index: 0,
    line_number: 7,
};

fn every() -> Scores {
    Scores {
        upper: UPPER.iter().collect(),
        lower: LOWER.iter().collect(),
    }
}

type Values = [(CaseField, Value<'static>)];

/// A man of 74: Glasgow-Blatchford 9, Rockall 7, AIMS65 2, worked by hand.
const UPPER_BLEED: [(CaseField, Value<'static>); 19] = [
    (CaseField::Presentation, Value::Code("upper_bleed")),
    (CaseField::AgeYears, Value::Whole(74)),
    (CaseField::Sex, Value::Code("male")),
    (CaseField::Urea, Value::Whole(9_200)),
    (CaseField::Hemoglobin, Value::Whole(11_200)),
    (CaseField::Systolic, Value::Whole(104)),
    (CaseField::Pulse, Value::Whole(108)),
    (CaseField::Melena, Value::Code("yes")),
    (CaseField::Syncope, Value::Code("no")),
    (CaseField::HepaticDisease, Value::Code("no")),
    (CaseField::CardiacFailure, Value::Code("no")),
    (CaseField::Comorbidity, Value::Code("major")),
    (CaseField::BleedFinding, Value::Code("ulcer")),
    (CaseField::Stigmata, Value::Code("vessel")),
    (CaseField::Albumin, Value::Whole(2_800)),
    (CaseField::Inr, Value::Whole(1_300)),
    (CaseField::AlteredMentalStatus, Value::Code("no")),
    (CaseField::ExportedGlasgowBlatchford, Value::Whole(9)),
    (CaseField::ExportedAims65, Value::Whole(2)),
];

/// A man of 72: Oakland 23, worked by hand.
const LOWER_BLEED: [(CaseField, Value<'static>); 8] = [
    (CaseField::Presentation, Value::Code("lower_bleed")),
    (CaseField::AgeYears, Value::Whole(72)),
    (CaseField::Sex, Value::Code("male")),
    (CaseField::PreviousLowerBleed, Value::Code("no")),
    (CaseField::BloodOnRectalExam, Value::Code("yes")),
    (CaseField::Pulse, Value::Whole(96)),
    (CaseField::Systolic, Value::Whole(118)),
    (CaseField::Hemoglobin, Value::Whole(10_400)),
];

/// Low, high and band of a score.
type Found = (Option<i64>, Option<i64>, Option<&'static str>);

/// The scores of a record with some values changed, and the fields of which an issue tells.
fn scored(scores: &Scores, values: &Values, changes: &Values) -> ([Found; 4], Vec<&'static str>) {
    let mut record = Record::empty();
    for (field, value) in values.iter().chain(changes) {
        record.set(*field, *value);
    }
    let mut issues = Vec::new();
    scores.add(&mut record, AT, &mut issues);
    let found = [&UPPER[0], &UPPER[1], &UPPER[2], &LOWER[0]].map(|score| {
        let band = record.text(score.band);
        (record.whole(score.low), record.whole(score.high), band)
    });
    for issue in &issues {
        assert_eq!((issue.code, issue.at), (IssueCode::ScoreDiffers, AT));
    }
    (found, issues.iter().map(|issue| issue.field).collect())
}

const fn is(score: i64, band: &'static str) -> Found {
    (Some(score), Some(score), Some(band))
}

const NOTHING: Found = (None, None, None);

#[test]
fn patients_worked_by_hand_have_their_scores_and_no_others() {
    let (found, issues) = scored(&every(), &UPPER_BLEED, &[]);
    assert_eq!(found, [is(9, "7_11"), is(7, "5_7"), is(2, "2"), NOTHING]);
    assert!(issues.is_empty(), "the scores of the export are right");
    let (found, _) = scored(&every(), &LOWER_BLEED, &[]);
    assert_eq!(found, [NOTHING, NOTHING, NOTHING, is(23, "15_24")]);
    let food = [(CaseField::Presentation, Value::Code("food_impaction"))];
    assert_eq!(scored(&every(), &UPPER_BLEED, &food).0, [NOTHING; 4]);
}

#[test]
fn a_score_of_the_export_that_differs_is_told_and_changes_nothing() {
    let wrong = [
        (CaseField::ExportedGlasgowBlatchford, Value::Whole(8)),
        (CaseField::ExportedRockall, Value::Whole(6)),
    ];
    let (found, issues) = scored(&every(), &UPPER_BLEED, &wrong);
    assert_eq!(found[0], is(9, "7_11"));
    assert_eq!(issues, ["exported_glasgow_blatchford", "exported_rockall"]);
}

#[test]
fn a_missing_component_leaves_bounds_and_no_zero() {
    // Urea 9.2 mmol/L had 3 points of 0 to 6: 9 becomes 6 to 12.
    let unknown = |exported| {
        [
            (CaseField::Urea, Value::Missing),
            (CaseField::ExportedGlasgowBlatchford, Value::Whole(exported)),
        ]
    };
    for (exported, issues) in [(5, 1), (6, 0), (12, 0), (13, 1)] {
        let (found, told) = scored(&every(), &UPPER_BLEED, &unknown(exported));
        assert_eq!(found[0], (Some(6), Some(12), Some("not_computed_high")));
        assert_eq!(told.len(), issues, "{exported}");
    }
}

#[test]
fn children_have_no_score_and_unknown_ages_have_bounds() {
    let aged = |age| [(CaseField::AgeYears, age)];
    let child = (None, None, Some("not_computed"));
    let (found, issues) = scored(&every(), &UPPER_BLEED, &aged(Value::Whole(17)));
    assert_eq!(found[..3], [child; 3]);
    assert!(issues.is_empty());
    let (found, _) = scored(&every(), &UPPER_BLEED, &aged(Value::Whole(18)));
    assert_eq!(found[2], is(1, "1"));
    let (found, _) = scored(&every(), &UPPER_BLEED, &aged(Value::Missing));
    assert_eq!(found[0], is(9, "7_11"), "age is no part of it");
    assert_eq!(found[2], (Some(1), Some(2), Some("not_computed_open")));
}

#[test]
fn an_export_without_components_has_no_scores() {
    let none = Scores {
        upper: Vec::new(),
        lower: Vec::new(),
    };
    for values in [&UPPER_BLEED[..], &LOWER_BLEED] {
        assert_eq!(scored(&none, values, &[]).0, [NOTHING; 4]);
    }
}

#[test]
fn every_list_of_bands_has_the_code_of_a_child() {
    for score in UPPER.iter().chain(&LOWER) {
        let list = crate::domain::fields::code_list(score.band.column()).unwrap();
        assert!(list.position(NOT_COMPUTED).is_some());
    }
}
