use super::*;
use crate::ingest::time::ZoneTable;
use jiff::tz::TimeZone;

fn kinds(codes: &[(CaseField, &'static str)]) -> Vec<AskedOf> {
    let mut record = Record::empty();
    for (field, code) in codes {
        record.set(*field, Value::Code(code));
    }
    let numbers = AskedKinds::of(&record).numbers();
    numbers.map(|number| AskedOf::ALL[number]).collect()
}

#[test]
fn a_case_is_asked_what_its_presentation_and_outcome_ask_for() {
    use AskedOf::{
        Bleed, CalledOff, Every, Object, Precleaned, Removed, Scoped, ScopedBleed, ScopedFood,
        ScopedObject, Ulcer, UpperBleed, WithHarm, WithOvertube,
    };
    let food = (CaseField::Presentation, "food_impaction");
    let upper = (CaseField::Presentation, "upper_bleed");
    assert_eq!(
        kinds(&[food, (CaseField::Outcome, "removed")]),
        [
            Every,
            Object,
            Scoped,
            ScopedObject,
            ScopedFood,
            Precleaned,
            Removed
        ]
    );
    // Called off before the scope.
    assert_eq!(
        kinds(&[food, (CaseField::Outcome, "cancelled")]),
        [Every, Object, CalledOff]
    );
    // An outcome that nobody recorded calls nothing off.
    assert_eq!(
        kinds(&[
            upper,
            (CaseField::BleedFinding, "ulcer"),
            (CaseField::PrecleanDone, "no"),
            (CaseField::AdverseEvent, "perforation"),
        ]),
        [
            Every,
            Bleed,
            UpperBleed,
            Ulcer,
            Scoped,
            ScopedBleed,
            WithHarm
        ]
    );
    assert!(!kinds(&[food, (CaseField::AdverseEvent, "none")]).contains(&WithHarm));
    assert!(kinds(&[food, (CaseField::Overtube, "yes")]).contains(&WithOvertube));
}

#[test]
fn a_value_beside_the_question_is_told_apart() {
    let mut record = Record::empty();
    record.set(CaseField::Presentation, Value::Code("lower_bleed"));
    record.set(CaseField::ObjectType, Value::Code("coin"));
    record.set(CaseField::Pulse, Value::Whole(80));
    let asked = AskedKinds::of(&record).not_asked(record.filled());
    let places: Vec<_> = asked.places().collect();
    assert_eq!(places, [CaseField::ObjectType.index()]);
}

fn digits(form: &TimeForm, times: &[(CaseField, i64)]) -> Vec<(CaseField, u8)> {
    let mut record = Record::empty();
    for (field, minute) in times {
        record.set(*field, Value::Whole(*minute));
    }
    let each = LastDigits::of(&record, form).each();
    let known = TIMES.into_iter().zip(each);
    known.filter(|(_, digit)| *digit != NO_TIME).collect()
}

#[test]
fn a_digit_is_the_one_that_was_written() {
    let clock = |zone: &str| {
        let zone = TimeZone::get(zone).expect("a zone of the bundled database");
        let table = Box::new(ZoneTable::new(&zone));
        TimeForm::Clock { zone, table }
    };
    // 2026-09-30 21:33 UTC is 17:33 in New York and, 5:45 ahead, 03:18 in Kathmandu.
    let (call, team) = (
        (CaseField::CalledAt, 29_846_733),
        (CaseField::TeamAt, 29_846_760),
    );
    let in_new_york = digits(&clock("America/New_York"), &[call, team]);
    assert_eq!(
        in_new_york,
        [(CaseField::CalledAt, 3), (CaseField::TeamAt, 0)]
    );
    let in_kathmandu = digits(&clock("Asia/Kathmandu"), &[call, team]);
    assert_eq!(
        in_kathmandu,
        [(CaseField::CalledAt, 8), (CaseField::TeamAt, 5)]
    );
    // Minutes since the call: its own 0 was written by nobody, and -45 ends in 5.
    let elapsed = [
        (CaseField::ArrivedAt, -45),
        (CaseField::CalledAt, 0),
        (CaseField::AmendedAt, 123),
    ];
    let expected = [(CaseField::ArrivedAt, 5), (CaseField::AmendedAt, 3)];
    assert_eq!(digits(&TimeForm::Elapsed, &elapsed), expected);
}
