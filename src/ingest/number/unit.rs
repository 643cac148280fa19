//! The words of units after a number. Knows which words, not what a unit is worth.

/// A unit with its spellings, in lowercase.
pub(super) type Spellings<U> = (U, &'static [&'static str]);

/// The unit whose word `text` starts with, after spaces or one hyphen, and what follows it;
/// `None` when it starts with none. A word ends where its letters end: `yoM` is no `yo`.
pub(super) fn leading_unit<'a, U: Copy>(
    text: &'a str,
    units: &[Spellings<U>],
) -> Option<(U, &'a str)> {
    let word = after_spaces_or_hyphen(text);
    for (unit, spellings) in units {
        for spelling in *spellings {
            if let Some(rest) = strip_word(word, spelling) {
                return Some((*unit, rest.strip_prefix('.').unwrap_or(rest)));
            }
        }
    }
    None
}

/// What follows `word` at the start of a text, without regard to case; `None` when the text starts
/// otherwise or its letters go on.
pub(super) fn strip_word<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    let start = text.get(..word.len())?;
    let rest = &text[word.len()..];
    let goes_on = word.ends_with(char::is_alphabetic) && rest.starts_with(char::is_alphabetic);
    (start.eq_ignore_ascii_case(word) && !goes_on).then_some(rest)
}

/// As [`strip_word`] for the first of several words that fits; the text itself when none does.
pub(super) fn strip_one_of<'a>(text: &'a str, words: &[&str]) -> (bool, &'a str) {
    let trimmed = after_spaces_or_hyphen(text);
    for word in words {
        if let Some(rest) = strip_word(trimmed, word) {
            return (true, rest);
        }
    }
    (false, text)
}

/// `67-year-old` has hyphens for spaces.
fn after_spaces_or_hyphen(text: &str) -> &str {
    let text = text.trim_start();
    match text.strip_prefix('-') {
        Some(word) if word.starts_with(char::is_alphabetic) => word,
        _ => text,
    }
}
