//! The different values of a column whose heading announces a person or free text, as far as it
//! has few: `Operator` may hold names, or who did it by grade. Keeps hashes, never a value.

use super::pattern::LONGEST_LABEL;
use std::collections::BTreeSet;
use xxhash_rust::xxh3::xxh3_64;

/// More different values than that are no closed set.
const MOST_KEPT: usize = 64;

/// So few are a closed set however few cells there are.
const FEW: u64 = 12;

/// Percent of the filled cells that may differ in a longer column.
const FEW_PERCENT: u64 = 5;

/// Free text that is a closed set: each value stands in so many cells on average.
const FEWEST_REPEATS: u64 = 10;

/// Grades and roles of staff, in lower case.
const ROLES: &[&str] = &[
    "advanced",
    "anaesthesia",
    "anaesthetist",
    "anesthesia",
    "anesthesiologist",
    "anesthetist",
    "assistant",
    "associate",
    "attending",
    "chief",
    "clinical",
    "clinician",
    "consultant",
    "core",
    "crna",
    "ct",
    "day",
    "doctor",
    "emergency",
    "endoscopist",
    "endoscopy",
    "external",
    "faculty",
    "fellow",
    "first",
    "foundation",
    "gastroenterologist",
    "gastroenterology",
    "general",
    "gi",
    "grade",
    "intern",
    "internist",
    "it",
    "junior",
    "level",
    "locum",
    "md",
    "medical",
    "n/a",
    "na",
    "night",
    "no",
    "none",
    "nurse",
    "of",
    "on",
    "call",
    "oncall",
    "np",
    "operator",
    "other",
    "pa",
    "pediatric",
    "pgy",
    "physician",
    "practitioner",
    "radiologist",
    "registrar",
    "resident",
    "rn",
    "role",
    "second",
    "senior",
    "sho",
    "specialist",
    "specialty",
    "spr",
    "st",
    "staff",
    "student",
    "supervised",
    "supervisor",
    "surgeon",
    "surgery",
    "surgical",
    "team",
    "technician",
    "third",
    "trainee",
    "trainer",
    "training",
    "unknown",
    "visiting",
    "with",
    "year",
    "years",
    "yes",
    "and",
    "ent",
    "ed",
    "icu",
    "blank",
    "not",
    "recorded",
    "missing",
    "unspecified",
    "by",
];

/// What was seen of the values of one column.
#[derive(Clone, Default)]
pub(super) struct Values {
    different: BTreeSet<u64>,
    /// Whether some value is more than a role or a code.
    says_more_than_roles: bool,
    is_any_long: bool,
}

impl Values {
    /// Notes one filled cell.
    pub(super) fn note(&mut self, cell: &[u8]) {
        if self.different.len() <= MOST_KEPT && self.different.insert(xxh3_64(cell)) {
            self.says_more_than_roles |= !is_role_or_code(cell);
            self.is_any_long |= cell.len() > LONGEST_LABEL;
        }
    }

    pub(super) fn merge(&mut self, other: &Values) {
        for hash in &other.different {
            if self.different.len() > MOST_KEPT {
                break;
            }
            self.different.insert(*hash);
        }
        self.says_more_than_roles |= other.says_more_than_roles;
        self.is_any_long |= other.is_any_long;
    }

    /// Whether all cells are roles or codes, and few of them differ.
    pub(super) fn are_roles(&self, filled: u64) -> bool {
        self.are_few(filled) && !self.says_more_than_roles
    }

    /// Whether all cells are short and the same few come again and again.
    pub(super) fn are_labels(&self, filled: u64) -> bool {
        let repeats = filled / (self.different.len() as u64).max(1);
        self.are_few(filled) && !self.is_any_long && repeats >= FEWEST_REPEATS
    }

    fn are_few(&self, filled: u64) -> bool {
        let different = self.different.len() as u64;
        self.different.len() <= MOST_KEPT
            && (different <= FEW || different * 100 <= filled * FEW_PERCENT)
    }
}

/// Words of the list, single letters, and codes such as `C1`: with a digit, four bytes at most. Two
/// letters alone are the initials of somebody.
fn is_role_or_code(cell: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(cell) else {
        return false;
    };
    let is_code = |word: &str| {
        let has_digit = word.bytes().any(|byte| byte.is_ascii_digit());
        let is_plain = word.bytes().all(|byte| byte.is_ascii_alphanumeric());
        is_plain && (word.len() == 1 || has_digit && word.len() <= 4)
    };
    let is_role = |word: &str| {
        let lower = word.to_lowercase();
        let singular = lower.strip_suffix('s').unwrap_or(&lower);
        ROLES.contains(&lower.as_str()) || ROLES.contains(&singular)
    };
    text.split(|letter: char| letter.is_whitespace() || "-/,;+&().".contains(letter))
        .filter(|word| !word.is_empty())
        .all(|word| is_code(word) || is_role(word))
}
