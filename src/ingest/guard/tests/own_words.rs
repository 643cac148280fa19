//! The words of the trade that we use ourselves identify nobody, however they are written.

use super::watch;
use crate::domain::fields::{CaseField, Field, Kind, PassField};
use crate::ingest::guard::heading_kind;
use crate::ingest::guard::pattern::Pattern;

fn capitalized(words: &str) -> String {
    let mut is_start = true;
    let letters = words.chars().map(|letter| {
        let starts = std::mem::replace(&mut is_start, !letter.is_alphabetic());
        if starts {
            letter.to_ascii_uppercase()
        } else {
            letter
        }
    });
    letters.collect()
}

fn check_fields<F: Field>() {
    for field in F::ALL {
        for heading in [field.name(), field.label(), field.column()] {
            assert_eq!(heading_kind(heading), None, "{heading}");
            assert_eq!(heading_kind(&capitalized(heading)), None, "{heading}");
        }
        let Kind::Code(list) = field.kind() else {
            continue;
        };
        for word in list.words {
            for cell in [
                word.code.to_string(),
                word.label.to_string(),
                capitalized(word.label),
                word.label.to_uppercase(),
                format!("{}, {}", capitalized(word.label), capitalized(word.label)),
            ] {
                // A long label is long, which takes more than one to be free text.
                let mut seen = watch([&cell]).seen();
                seen.retain(|pattern| *pattern != Pattern::FreeText);
                assert_eq!(seen, [], "{cell}");
            }
        }
    }
}

#[test]
fn our_own_headings_and_labels_are_no_identifiers() {
    check_fields::<CaseField>();
    check_fields::<PassField>();
    assert_eq!(capitalized("rat-tooth forceps"), "Rat-Tooth Forceps");
}

#[test]
fn what_other_columns_of_such_exports_say_is_no_name() {
    for cell in [
        "Meat, Steak",
        "Pork Chop",
        "Lamb Bone",
        "Safety Pin",
        "Razor Blade",
        "Dental Bridge",
        "Key Ring",
        "Toy Part",
        "Disc Battery",
        "Hot Dog",
        "Peanut Butter",
        "Chicken Nugget",
        "Eosinophilic Esophagitis",
        "Schatzki Ring",
        "Peptic Stricture",
        "Hiatal Hernia",
        "Duodenal Ulcer",
        "Gastric Varices",
        "Esophageal Varices",
        "Mallory Weiss Tear",
        "Dieulafoy Lesion",
        "Cirrhosis, Alcoholic",
        "Diverticular Bleed",
        "Post Polypectomy",
        "Ulcer, Gastric",
        "General Anesthesia",
        "Conscious Sedation",
        "Deep Sedation",
        "Rapid Sequence",
        "Propofol, Fentanyl",
        "Trauma Bay",
        "Resus Bay",
        "Main Theatre",
        "Day Surgery",
        "Night Shift",
        "Weekend, Night",
        "Public Holiday",
        "Home",
        "Nursing Home",
        "Air Ambulance",
        "Walk In",
        "General Ward",
        "Surgical Ward",
        "Medical Ward",
        "High Dependency",
        "Intensive Care",
        "North Campus",
        "South Site",
        "Main Hospital",
        "Red, Amber",
        "Category One",
        "Grade, Three",
        "Not Applicable",
        "Patient Refused",
        "Transferred Out",
        "Equipment Failure",
        "Light Source",
        "Water Bottle",
        "Suction Canister",
        "Bite Block",
    ] {
        assert_eq!(watch([cell]).seen(), [], "{cell}");
        assert_eq!(watch([cell.to_uppercase()]).seen(), [], "{cell}");
    }
}
