//! What stands around a name: words of places, of which a site is named, words of a sentence, and the
//! label of a patient. Knows English words.

use super::{is_comma_name, is_plain_name, is_title, is_trade_word};

/// Words of places that bear the name of a person, in lower case, beside those of the trade.
const PLACES: &[&str] = &[
    "hospital",
    "clinic",
    "campus",
    "center",
    "centre",
    "unit",
    "north",
    "south",
    "east",
    "west",
    "general",
    "st",
    "saint",
    "st.",
    "mount",
    "mt",
    "street",
    "health",
    "medical",
    "memorial",
    "university",
    "royal",
    "infirmary",
    "regional",
    "county",
    "community",
    "college",
    "house",
    "road",
    "valley",
    "river",
    "bay",
    "beach",
    "city",
    "town",
    "port",
    "fort",
    "grand",
    "san",
    "santa",
    "los",
    "las",
    "building",
    "wing",
    "tower",
    "site",
    "pavilion",
    "institute",
    "main",
    "upper",
    "lower",
    "point",
    "springs",
    "heights",
    "falls",
    "creek",
    "island",
];

/// Whether a word of places stands in the cell.
pub(in crate::ingest::guard) fn names_place(cell: &str) -> bool {
    cell.split(|letter: char| letter.is_whitespace() || ",/()-".contains(letter))
        .any(|word| PLACES.contains(&word.to_lowercase().as_str()))
}

/// Words that stand beside a number or a date without making a sentence.
const BESIDE_NUMBERS: &[&str] = &[
    "mrn",
    "dob",
    "born",
    "ssn",
    "nhs",
    "chi",
    "phone",
    "telephone",
    "tel",
    "mobile",
    "cell",
    "fax",
    "no",
    "nr",
    "num",
    "number",
    "id",
    "jan",
    "feb",
    "mar",
    "apr",
    "may",
    "jun",
    "jul",
    "aug",
    "sep",
    "oct",
    "nov",
    "dec",
];

/// Whether the cell holds two words and more beside names, titles and numbers, as a sentence does.
pub(in crate::ingest::guard) fn has_other_words(cell: &str) -> bool {
    let is_other = |word: &&str| {
        let word = word.trim_end_matches([',', '.', ';', ':']);
        let is_of_letters = word.len() > 1 && word.chars().all(char::is_alphabetic);
        let starts_small = word.chars().next().is_some_and(char::is_lowercase);
        let is_label = BESIDE_NUMBERS.contains(&word.to_lowercase().as_str());
        is_of_letters && !is_label && !is_title(word, true) && (starts_small || is_trade_word(word))
    };
    cell.split_whitespace().filter(is_other).count() >= 2
}

/// `Patient: Okafor, Ngozi`, `Name: Ngozi Okafor`; up to two blanks in a row or a digit.
pub(in crate::ingest::guard) fn names_patient(line: &str) -> bool {
    const LABELS: &[&str] = &["patient", "patient name", "name", "pt", "pt name"];
    let Some((label, name)) = line.split_once([':', ',', ';', '\t']) else {
        return false;
    };
    let is_end = |letter: char| letter.is_ascii_digit() || ":;\t(".contains(letter);
    let name = name.trim_start_matches(|letter: char| !letter.is_alphabetic());
    let name = name.split("  ").next().unwrap_or_default();
    let name = name.split(is_end).next().unwrap_or_default().trim();
    LABELS.contains(&label.trim().to_lowercase().as_str())
        && (is_comma_name(name) || is_plain_name(name))
}
