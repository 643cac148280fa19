//! What the words of a column probably mean in a field: by the table of words, and by a heading that
//! turns yes and no. Decides nothing.

use super::headings::{HeadingWords, Turned};
use crate::domain::codes::{CodeList, YesNo};
use crate::ingest::missing_words::looks_like_missing;
use crate::ingest::synonyms::{FieldWords, Suggestion, Sureness};
use std::collections::BTreeMap;

/// `0`, `0.0`, `x`, `off`.
const LONGEST_SIGN: usize = 3;

/// What a word probably means in a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Meaning {
    /// Probably this, by the word alone.
    Code(&'static str, Sureness),
    /// This, because of what the heading asks.
    ByHeading(&'static str),
    /// Nothing was recorded.
    Missing,
    /// For a person to say.
    Open,
}

impl Meaning {
    /// The code, if one is near.
    pub(super) fn code(self) -> Option<&'static str> {
        match self {
            Meaning::Code(code, _) | Meaning::ByHeading(code) => Some(code),
            Meaning::Missing | Meaning::Open => None,
        }
    }
}

/// The words of every field that was asked about, each made once.
#[derive(Default)]
pub(super) struct Meanings {
    fields: BTreeMap<&'static str, FieldWords>,
    yes_no: Option<FieldWords>,
}

impl Meanings {
    /// The words of a field.
    pub(super) fn field(&mut self, name: &'static str, list: CodeList) -> &FieldWords {
        self.fields
            .entry(name)
            .or_insert_with(|| FieldWords::of(name, list))
    }

    /// Whether the whole of a text is a word of the table: such a text tells of nobody.
    pub(super) fn know(&mut self, name: &'static str, list: CodeList, text: &str) -> bool {
        self.field(name, list).know(text) || self.answer(text).is_some()
    }

    /// The yes or the no that a word is, in any field.
    pub(super) fn answer(&mut self, text: &str) -> Option<YesNo> {
        let yes_no = self
            .yes_no
            .get_or_insert_with(|| FieldWords::of("yes_no", YesNo::LIST));
        // Only a whole word is an answer: "yes, in part" is a remark.
        let suggestion = yes_no.know(text).then(|| yes_no.suggest(text)).flatten()?;
        // Signs such as `0` and `x` are answers too; longer disputed words, such as "nothing", say
        // more in a field of their own.
        let is_answer =
            suggestion.sureness <= Sureness::Synonym || text.chars().count() <= LONGEST_SIGN;
        YesNo::ALL
            .iter()
            .copied()
            .find(|answer| is_answer && answer.code() == suggestion.code)
    }

    /// What a word means in the field `name` below a heading.
    pub(super) fn of(
        &mut self,
        name: &'static str,
        list: CodeList,
        heading: &HeadingWords,
        text: &str,
    ) -> Meaning {
        if let Some(answer) = self.answer(text)
            && let Some(sense) = heading.sense(name, answer)
        {
            return match sense {
                Turned::Code(code) => Meaning::ByHeading(code),
                Turned::Open => Meaning::Open,
            };
        }
        match self.field(name, list).suggest(text) {
            // "N/A" is no answer, where it is not the surest.
            Some(Suggestion { sureness, .. })
                if sureness > Sureness::Synonym && looks_like_missing(text) =>
            {
                Meaning::Missing
            }
            Some(Suggestion { code, sureness }) => Meaning::Code(code, sureness),
            None if looks_like_missing(text) => Meaning::Missing,
            None => Meaning::Open,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Meaning, Meanings};
    use crate::domain::codes::{AdverseEvent, Airway, CodeList, Obstruction, YesNo};
    use crate::ingest::propose::headings::HeadingWords;
    use crate::ingest::synonyms::Sureness;

    #[track_caller]
    fn check(name: &'static str, list: CodeList, heading: &str, text: &str, expected: Meaning) {
        let heading = HeadingWords::of(heading);
        let meaning = Meanings::default().of(name, list, &heading, text);
        assert_eq!(meaning, expected, "{text}");
    }

    #[test]
    fn a_heading_turns_yes_and_no() {
        let obstruction = |heading, text, expected| {
            check("obstruction", Obstruction::LIST, heading, text, expected);
        };
        obstruction("Can swallow", "yes", Meaning::ByHeading("none"));
        // Whether not even saliva goes down is not said.
        obstruction("Can swallow", "no", Meaning::Open);
        obstruction(
            "Able to swallow saliva?",
            "N",
            Meaning::ByHeading("complete"),
        );
        obstruction("Can't swallow", "yes", Meaning::Open);
        obstruction(
            "Cannot swallow saliva",
            "yes",
            Meaning::ByHeading("complete"),
        );
        obstruction("Difficulty swallowing", "yes", Meaning::Open);
        obstruction(
            "Obstruction",
            "no",
            Meaning::Code("none", Sureness::Synonym),
        );
        check(
            "airway",
            Airway::LIST,
            "Intubated",
            "1",
            Meaning::ByHeading("intubated"),
        );
        check("airway", Airway::LIST, "Intubated", "0", Meaning::Open);
        check(
            "one_piece",
            YesNo::LIST,
            "Piecemeal",
            "Y",
            Meaning::ByHeading("no"),
        );
    }

    #[test]
    fn words_for_nothing_are_told_from_answers() {
        let event = |text, expected| {
            check(
                "adverse_event",
                AdverseEvent::LIST,
                "Complication",
                text,
                expected,
            );
        };
        event("nil", Meaning::Code("none", Sureness::Synonym));
        event("not recorded", Meaning::Missing);
        check(
            "hood",
            YesNo::LIST,
            "Hood",
            "not applicable",
            Meaning::Missing,
        );
        check("hood", YesNo::LIST, "Hood", "N/A", Meaning::Missing);
        event("gremlins", Meaning::Open);
    }
}
