use super::{ALL_SENSES, HeadingWords, PHRASES, parse_phrases, parse_senses};
use crate::domain::codes::YesNo;
use crate::domain::fields::{CaseField, Field, Kind, Origin, PassField, code_list};
use crate::domain::issue::Source;
use std::collections::BTreeSet;

/// What the cells of a column are, which decides between fields that share their words.
fn is_of(kind: Kind, cells: &str) -> bool {
    match cells {
        "time" => kind == Kind::Minute,
        "answer" => kind == Kind::Code(YesNo::LIST),
        "word" => matches!(kind, Kind::Code(list) if list != YesNo::LIST),
        "text" => kind == Kind::Text,
        "number" => matches!(
            kind,
            Kind::Whole { .. } | Kind::Age { .. } | Kind::Quantity(_)
        ),
        _ => kind == Kind::Month,
    }
}

/// The field that a heading names best among those whose values such cells can be.
fn best<F: Field>(export: Source, heading: &str, cells: &str) -> Option<&'static str> {
    let words = HeadingWords::of(heading);
    let fits = F::ALL
        .iter()
        .filter(|field| is_of(field.kind(), cells))
        .filter_map(|field| Some((words.fit(export, field.name(), false)?.points, field.name())));
    let most = fits.max_by_key(|(points, _)| *points)?;
    Some(most.1)
}

/// Headings as hospitals write them, by the field that a reader of the trade would map.
const HEADINGS: &[(&str, &str, &str)] = &[
    ("Case #", "text", "case_id"),
    ("CASENO", "text", "case_id"),
    ("caseNumber", "text", "case_id"),
    ("Study ID", "text", "case_id"),
    ("Hospital Name", "text", "site"),
    ("Campus", "text", "site"),
    ("Presenting complaint", "word", "presentation"),
    ("Reason for consult", "word", "presentation"),
    ("Procedure Indication", "word", "presentation"),
    ("Symptom onset", "time", "onset_at"),
    ("Time of ingestion", "time", "onset_at"),
    ("Symptomatic?", "answer", "symptoms"),
    ("FB length (mm)", "number", "object_length_mm"),
    ("Object diameter mm", "number", "object_width_mm"),
    ("Suspected variceal bleed", "answer", "variceal_suspected"),
    ("ED Triage Time", "time", "arrived_at"),
    ("Door Time", "time", "arrived_at"),
    ("Registration date/time", "time", "arrived_at"),
    ("Patient Arrival", "time", "arrived_at"),
    ("GI on-call paged", "time", "called_at"),
    ("Time of call", "time", "called_at"),
    ("Call received", "time", "called_at"),
    ("Team Activation Time", "time", "called_at"),
    ("ENDOSCOPY_CALLED_DTTM", "time", "called_at"),
    ("Team at bedside", "time", "team_at"),
    ("Team arrived", "time", "team_at"),
    ("team_complete_ts", "time", "team_at"),
    ("Cart arrival", "time", "cart_at"),
    ("Trolley at bedside", "time", "cart_at"),
    ("Intubated at", "time", "airway_at"),
    ("Anaesthesia start", "time", "airway_at"),
    ("Scope insertion", "time", "scope_in_at"),
    ("SCOPE_IN", "time", "scope_in_at"),
    ("Procedure Start", "time", "scope_in_at"),
    ("FB removed", "time", "removed_at"),
    ("Food bolus cleared", "time", "removed_at"),
    ("Time object out", "time", "removed_at"),
    ("Scope withdrawal", "time", "scope_out_at"),
    ("scopeOut", "time", "scope_out_at"),
    ("End of procedure", "time", "scope_out_at"),
    ("Bedside pre-clean", "time", "preclean_at"),
    ("Precleaning started", "time", "preclean_at"),
    ("Scope handed over", "time", "handover_at"),
    ("Handover to reprocessing", "time", "handover_at"),
    ("Received in decontamination", "time", "handover_at"),
    ("Cancelled at", "time", "ended_at"),
    ("Called off", "time", "ended_at"),
    ("Team free", "time", "released_at"),
    ("team_released_at", "time", "released_at"),
    ("Staff available again", "time", "released_at"),
    ("Release of team", "time", "released_at"),
    ("Last updated", "time", "amended_at"),
    ("Version", "number", "record_version"),
    ("Age (years)", "number", "age_years"),
    ("Patient Age", "number", "age_years"),
    ("Call hour", "number", "hour"),
    ("Gender", "word", "sex"),
    ("Procedure location", "word", "setting"),
    ("Foreign Body Type", "word", "object_type"),
    ("Item swallowed", "word", "object_type"),
    ("Level of impaction", "word", "object_location"),
    ("Lodged in", "word", "object_location"),
    ("Degree of obstruction", "word", "obstruction"),
    ("Able to swallow saliva?", "answer", ""),
    ("Able to swallow saliva?", "word", "obstruction"),
    ("Sharp / pointed", "answer", "sharp"),
    ("Sedation type", "word", "airway"),
    ("Overtube used (Y/N)", "answer", "overtube"),
    ("Latex hood", "answer", "hood"),
    ("Distal attachment cap", "answer", "cap"),
    ("Procedure outcome", "word", "outcome"),
    ("En-bloc", "answer", "one_piece"),
    ("Bx taken", "answer", "biopsies_taken"),
    ("Adverse Event Type", "word", "adverse_event"),
    ("Overtube inserted at", "time", "overtube_at"),
    ("Overtube before pass no.", "number", "overtube_pass"),
    ("Biopsy contraindicated", "answer", "biopsy_not_indicated"),
    ("Known EoE", "answer", "biopsy_not_indicated"),
    ("AE severity", "word", "adverse_grade"),
    ("Complication grade", "word", "adverse_grade"),
    ("Complication grading scale", "word", "adverse_scale"),
    ("Cart stocked", "answer", "cart_complete"),
    ("Device malfunction", "answer", "malfunction"),
    ("Pre-clean completed", "answer", "preclean_done"),
    ("Hemostasis method", "word", "treatment"),
    ("Source of bleeding", "word", "bleed_finding"),
    ("Forrest classification", "word", "forrest"),
    ("Stigmata", "word", "stigmata"),
    ("Rescue therapy", "word", "rescue"),
    ("PRBC units", "number", "transfused_units"),
    ("Follow-up days", "number", "followed_days"),
    ("Rebleed day", "number", "rebleed_days"),
    ("Days to death", "number", "death_days"),
    ("BUN (mg/dL)", "number", "urea"),
    ("Hb g/dL", "number", "hemoglobin"),
    ("Serum albumin", "number", "albumin"),
    ("INR", "number", "inr"),
    ("SBP", "number", "systolic"),
    ("Systolic BP", "number", "systolic"),
    ("Heart rate", "number", "pulse"),
    ("Melaena", "answer", "melena"),
    ("Liver disease", "answer", "hepatic_disease"),
    ("Heart failure", "answer", "cardiac_failure"),
    ("Comorbidity", "word", "comorbidity"),
    ("Altered mental status", "answer", "altered_mental_status"),
    ("Previous LGIB", "answer", "previous_lower_bleed"),
    ("Blood on DRE", "answer", "blood_on_rectal_exam"),
    ("GBS", "number", "exported_glasgow_blatchford"),
    ("Rockall", "number", "exported_rockall"),
    ("AIMS65 score", "number", "exported_aims65"),
    ("Month of call", "month", "month"),
    ("Day of the week", "word", "weekday"),
    // What is none of ours.
    ("Ward round", "time", ""),
    ("Blood pressure", "number", ""),
    ("Consent signed", "answer", ""),
    ("Referring hospital bed count", "number", ""),
];

#[test]
fn headings_of_cases_name_the_fields_that_a_reader_would_map() {
    let mut wrong = Vec::new();
    for (heading, cells, expected) in HEADINGS {
        let found = best::<CaseField>(Source::Cases, heading, cells).unwrap_or_default();
        if found != *expected {
            wrong.push(format!("{heading}: `{expected}`, found `{found}`"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn headings_of_passes_name_the_fields_that_a_reader_would_map() {
    for (heading, cells, expected) in [
        ("Case", "text", "case_id"),
        ("Attempt no.", "number", "pass_number"),
        ("Pass", "number", "pass_number"),
        ("Seq", "number", "pass_number"),
        ("Retrieval device", "word", "device"),
        ("Instrument", "word", "device"),
        ("Pass outcome", "word", "result"),
        ("Success", "word", "result"),
        ("Device failure", "answer", "malfunction"),
    ] {
        let found = best::<PassField>(Source::Passes, heading, cells);
        assert_eq!(found, Some(expected), "{heading}");
    }
}

#[test]
fn our_own_names_and_labels_name_themselves() {
    fn check<F: Field>(export: Source) {
        for field in F::ALL
            .iter()
            .filter(|field| field.origin() != Origin::Derived)
        {
            let cells = ["time", "answer", "word", "text", "number", "month"]
                .into_iter()
                .find(|cells| is_of(field.kind(), cells))
                .unwrap();
            for heading in [field.name(), field.label(), &field.name().to_uppercase()] {
                let found = best::<F>(export, heading, cells);
                assert_eq!(found, Some(field.name()), "{heading}");
            }
        }
    }
    check::<CaseField>(Source::Cases);
    check::<PassField>(Source::Passes);
}

#[test]
fn numbers_sides_and_general_headings_are_told() {
    let of = HeadingWords::of;
    let (number, words) = of("Device 2 used").numbered().unwrap();
    assert_eq!(number, 2);
    assert!(words.fit(Source::Cases, "device", false).is_some());
    assert!(of("Device").numbered().is_none());
    assert!(of("Device 2 of 3").numbered().is_none());
    let (left, right) = of("arrival_to_scope_in").sides().unwrap();
    assert!(left.fit(Source::Cases, "arrived_at", true).is_some());
    assert!(right.fit(Source::Cases, "scope_in_at", true).is_some());
    for heading in ["Date", "Case date", "Date of procedure"] {
        assert!(of(heading).is_general(), "{heading}");
    }
    assert!(!of("Date of ward round").is_general());
}

#[test]
fn the_tables_name_fields_and_codes_that_exist() {
    let of_cases: BTreeSet<_> = CaseField::ALL.iter().map(|field| field.name()).collect();
    let of_passes: BTreeSet<_> = PassField::ALL.iter().map(|field| field.name()).collect();
    for phrase in PHRASES.iter() {
        let is_known = match phrase.export {
            Some(Source::Passes) => of_passes.contains(phrase.field),
            // Results also stand beside devices in the rows of cases.
            _ => of_cases.contains(phrase.field) || of_passes.contains(phrase.field),
        };
        assert!(is_known, "{}", phrase.field);
    }
    for sense in ALL_SENSES.iter() {
        let list = code_list(sense.field).unwrap();
        for code in [sense.yes, sense.no].into_iter().flatten() {
            assert!(list.position(code).is_some(), "{}: {code}", sense.field);
        }
        assert!(sense.yes.is_some() || sense.no.is_some(), "{}", sense.field);
    }
    let head = "export,field,match,words\n";
    for faulty in ["cases,sex,strong", "both,sex,sure,sex", "all,sex,weak,sex"] {
        let table: &'static str = Box::leak(format!("{head}{faulty}\n").into_boxed_str());
        assert!(parse_phrases(table).is_err(), "{faulty}");
    }
    assert!(parse_senses("field,heading,yes,no\nairway,intubated,intubated\n").is_err());
}
