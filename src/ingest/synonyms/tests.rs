use super::{ROWS, Sureness, TABLE, YES_NO, fold, parse, suggest, without_commas};
use crate::domain::codes::{CodeList, YesNo};
use crate::domain::fields::{CaseField, Field, Kind, Origin, PassField};
use std::collections::{BTreeMap, BTreeSet};

/// A word as the table holds it.
fn known(text: &str) -> String {
    without_commas(&fold(text))
}

/// Every coded field that an export can hold, with its list.
fn coded_fields() -> BTreeMap<&'static str, CodeList> {
    fn coded<F: Field>(fields: &mut BTreeMap<&'static str, CodeList>) {
        for field in F::ALL {
            if let (Kind::Code(list), true) = (field.kind(), field.origin() != Origin::Derived) {
                fields.insert(field.name(), list);
            }
        }
    }
    let mut fields = BTreeMap::new();
    coded::<CaseField>(&mut fields);
    coded::<PassField>(&mut fields);
    fields
}

/// Made by hand from what the words mean in this trade, not from what the code says. Without a code
/// nothing may be suggested.
const EXPECTED: &str = include_str!("../../../tests/data/synonyms/expected.csv");

#[test]
fn words_of_exports_lead_to_the_codes_that_a_reader_gives_them() {
    let fields = coded_fields();
    let mut wrong = Vec::new();
    let mut count = 0;
    for row in csv::Reader::from_reader(EXPECTED.as_bytes()).records() {
        let row = row.unwrap();
        let (field, word, expected) = (&row[0], &row[1], (&row[2], &row[3]));
        let suggestion = suggest(field, fields[field], word);
        let found = suggestion.map_or(("", ""), |found| (found.code, found.sureness.code()));
        if found != expected {
            wrong.push(format!("{field}: {word}: {expected:?}, found {found:?}"));
        }
        count += 1;
    }
    assert!(count >= 150);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_table_knows_every_field_and_contradicts_neither_itself_nor_our_codes() {
    let fields = coded_fields();
    let mut seen: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for (index, row) in ROWS.iter().enumerate() {
        let line = index + 2;
        let list = if row.field == YES_NO {
            YesNo::LIST
        } else {
            *fields
                .get(row.field.as_str())
                .unwrap_or_else(|| panic!("line {line}: no such field"))
        };
        assert!(!row.folded.is_empty(), "line {line}: no word");
        assert!(
            row.code.is_empty() || list.position(&row.code).is_some(),
            "line {line}: code"
        );
        assert!(
            !(row.code.is_empty() && row.is_sure),
            "line {line}: sure of nothing"
        );
        assert_eq!(
            seen.insert((&row.field, &row.folded), line),
            None,
            "line {line}: doublet"
        );
        for word in list.words {
            if [word.code, word.label].map(known).contains(&row.folded) {
                assert_eq!(row.code, word.code, "line {line}: against our own word");
            }
        }
    }
    let with_rows: BTreeSet<_> = ROWS.iter().map(|row| row.field.as_str()).collect();
    for (field, list) in fields {
        assert!(with_rows.contains(field) || list == YesNo::LIST, "{field}");
    }
}

#[test]
fn our_own_codes_and_labels_are_known_in_every_field() {
    for (field, list) in coded_fields() {
        for word in list.words {
            for text in [word.code, word.label] {
                let suggestion = suggest(field, list, text).unwrap_or_else(|| panic!("{text}"));
                assert_eq!(suggestion.code, word.code, "{field}: {text}");
                assert!(
                    matches!(suggestion.sureness, Sureness::OurCode | Sureness::Disputed),
                    "{field}: {text}"
                );
            }
        }
    }
}

#[test]
fn a_faulty_table_is_refused() {
    assert!(parse(TABLE).is_ok());
    assert!(parse("field,word,code\nsex,M,male\n").is_err());
    assert!(parse("field,word,code,sure\nsex,M,male,perhaps\n").is_err());
    assert!(parse("field,word,code,sure\nsex,M,male\n").is_err());
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(16))]

    #[test]
    fn any_text_gives_a_code_of_the_list_or_nothing(word in "\\PC{0,40}") {
        for (field, list) in coded_fields() {
            if let Some(suggestion) = suggest(field, list, &word) {
                assert!(list.position(suggestion.code).is_some());
            }
        }
    }
}
