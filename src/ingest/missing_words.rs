//! Words that people write where nothing was recorded: for proposing the `missing` words of a mapping,
//! by which the cells of exports are read, and for the files of staffing, which have no mapping.

/// Words without spaces, dots and hyphens, in lowercase.
const WORDS: &str = "\
    na n/a n/k n/r n/d nk nr nd nil null (null) nan #n/a nul unk unkn unknown ukn unkown uknown \
    unrecorded undocumented unspecified undefined unavailable unobtainable unsure missing blank \
    (blank) empty (empty) tbc tbd notknown notrecorded notdocumented notstated notspecified \
    notavailable notapplicable notgiven notentered notassessed notnoted notcharted notcaptured \
    notcollected nodata norecord noinformation noinfo noentry novalue nonerecorded \
    nonedocumented nonestated datamissing missingdata leftblank";

/// Whether a word usually says that nothing was recorded. A blank is no word.
///
/// `none` and `no` are not among them: in most columns they are an answer. `nil` is, and in some
/// columns it is an answer too, so whoever proposes missing words for a whole file asks first
/// whether a coded column has a code for the word.
pub(super) fn looks_like_missing(word: &str) -> bool {
    let word = word.trim();
    if word.is_empty() || word.len() > 40 {
        return false;
    }
    if !word.chars().any(char::is_alphanumeric) {
        return word.chars().all(|sign| "-–—−.?!*_/\\#~ ".contains(sign));
    }
    let plain: String = word
        .chars()
        .filter(|sign| !sign.is_whitespace() && !matches!(sign, '.' | '-' | '_'))
        .flat_map(char::to_lowercase)
        .collect();
    WORDS.split(' ').any(|known| known == plain)
}

#[cfg(test)]
mod tests {
    use super::looks_like_missing;

    #[test]
    fn signs_and_words_for_nothing_recorded_are_told_from_answers() {
        for word in [
            "-",
            "--",
            "—",
            ".",
            "?",
            "???",
            "n/a",
            "N/A",
            "n.a.",
            "na",
            "NULL",
            "(blank)",
            "NaN",
            "Unknown",
            "unk",
            "not known",
            "Not  Documented",
            "none recorded",
            "nil",
            "#N/A",
            " not-recorded ",
            "TBC",
            "no data",
        ] {
            assert!(looks_like_missing(word), "{word}");
        }
        for word in [
            "",
            "  ",
            "no",
            "none",
            "None",
            "0",
            "9",
            "999",
            "snare",
            "nap",
            "nadir",
            "other",
            "not removed",
            "not sharp",
            "negative",
            "+",
            "✓",
            "unknown object",
            "no complications",
            "=",
            "%",
        ] {
            assert!(!looks_like_missing(word), "{word}");
        }
    }
}
