//! The words of a coded column, each with the code that it probably means, as lines of the mapping.
//!
//! A mapping is shown and passed around, so it must not tell of a person. Written are
//! - words that the table of words holds as they stand, which anybody may know;
//! - other words only of a column with at most 60 different words, each in three cells on average,
//!   only if they look like no identifier and have no more than four digits, and, in a column of more
//!   than 50 filled cells, only if they stand in two cells at least.
//!
//! What is not written is counted. Columns that the identifier guard has found are never asked for
//! their words.

use super::cells::{CellsSeen, SeenWord, words};
use super::fit::MOST_WORDS;
use super::headings::HeadingWords;
use super::meaning::{Meaning, Meanings};
use super::toml_text::{Lines, quoted};
use crate::domain::codes::{AdverseEvent, CodeList, YesNo};
use crate::ingest::guard::shows_identifier;
use crate::ingest::synonyms::Sureness;
use crate::ingest::time::{FormProof, Verdict};
use crate::ingest::word_table::fold;

/// A column with at most so many filled cells is small: each word of it may stand alone.
const SMALL: u64 = 50;

/// More digits than the words of the trade have.
const MOST_DIGITS: usize = 4;

/// What was proposed for the words of one column.
#[derive(Default)]
pub(super) struct ColumnCodes {
    pub(super) lines: Lines,
    /// Words that a person has to give a code, whether they are written or not, and their cells.
    pub(super) open: (u64, u64),
    /// Words with a code that somebody must look at.
    pub(super) doubtful: u64,
    /// Whether every word is a yes, or a blank: what a blank means is then the question.
    pub(super) is_ticked_only: bool,
}

/// The words of a column, or of several that have the same words.
pub(super) struct CodedColumn<'a> {
    pub(super) name: &'static str,
    pub(super) list: CodeList,
    pub(super) heading: &'a HeadingWords,
    /// The different texts with their cells.
    pub(super) texts: Vec<(&'a str, u64)>,
    /// Cells whose text is not kept.
    pub(super) not_kept: u64,
    pub(super) blank: u64,
    pub(super) filled: u64,
}

impl<'a> CodedColumn<'a> {
    pub(super) fn of(
        name: &'static str,
        list: CodeList,
        heading: &'a HeadingWords,
        cells: &'a CellsSeen,
    ) -> CodedColumn<'a> {
        CodedColumn {
            name,
            list,
            heading,
            texts: cells.all_texts().collect(),
            not_kept: cells.not_kept,
            blank: cells.blank,
            filled: cells.filled,
        }
    }

    /// Proposes the words. `missing` are the words for nothing of the whole export, as it spells
    /// them: a word that is one of them and has a code here is spelled the same, so that the code
    /// counts in this column.
    pub(super) fn codes(&self, meanings: &mut Meanings, missing: &[String]) -> ColumnCodes {
        let seen = words(self.texts.iter().copied());
        let may_show = seen.len() <= MOST_WORDS && 3 * seen.len() as u64 <= self.filled;
        let mut codes = ColumnCodes::default();
        let mut known: Vec<(usize, String, &SeenWord, Meaning)> = Vec::new();
        let mut open: Vec<&SeenWord> = Vec::new();
        let mut hidden = (0, 0);
        for word in &seen {
            let meaning = meanings.of(self.name, self.list, self.heading, &word.text);
            if meaning == Meaning::Missing {
                continue;
            }
            let is_shown = meanings.know(self.name, self.list, &word.text)
                || (may_show && (word.cells >= 2 || self.filled <= SMALL) && may_tell(&word.text));
            let code = meaning.code().and_then(|code| self.list.position(code));
            match code {
                _ if !is_shown => {
                    hidden.0 += 1;
                    hidden.1 += word.cells;
                }
                Some(place) => {
                    let folded = fold(&word.text);
                    let spelling = missing.iter().find(|missing| fold(missing) == folded);
                    let text = spelling.unwrap_or(&word.text);
                    known.push((place, text.clone(), word, meaning));
                }
                None => open.push(word),
            }
        }
        // In the order of our codes; of one code the most frequent first.
        known.sort_by_key(|(place, _, _, _)| *place);
        codes.is_ticked_only = self.list == YesNo::LIST
            && open.is_empty()
            && self.blank > 0
            && !known.is_empty()
            && known
                .iter()
                .all(|(_, _, _, meaning)| meaning.code() == Some(YesNo::Yes.code()));
        self.remark_on_codes(&mut codes.lines, !open.is_empty() || hidden.0 > 0);
        for (_, text, word, meaning) in known {
            let comment = comment_of(word.cells, meaning);
            codes.doubtful += u64::from(!is_sure(meaning));
            let code = meaning.code().unwrap_or_default();
            codes.lines.entry(quoted(&text), quoted(code), comment);
        }
        for word in &open {
            let comment = format!("{}: choose a code", in_cells(word.cells));
            codes.lines.offer(quoted(&word.text), "\"\"", comment);
        }
        codes.open.0 = open.len() as u64 + hidden.0;
        codes.open.1 = open.iter().map(|word| word.cells).sum::<u64>() + hidden.1;
        hidden.1 += self.not_kept;
        codes.open.1 += self.not_kept;
        Self::remark_on_hidden(&mut codes, hidden);
        self.remark_on_blanks(&mut codes.lines);
        codes
    }

    fn remark_on_codes(&self, lines: &mut Lines, are_some_open: bool) {
        if are_some_open {
            let known: Vec<&str> = self.list.words.iter().map(|word| word.code).collect();
            lines.remark(format!("codes: {}, not_recorded", known.join(", ")));
        }
    }

    fn remark_on_hidden(codes: &mut ColumnCodes, (words, cells): (u64, u64)) {
        if cells == 0 {
            return;
        }
        let words = match words {
            0 => "more words".to_string(),
            1 => "1 more word".to_string(),
            words => format!("{words} more words"),
        };
        let cells = in_cells(cells);
        codes.lines.remark(format!(
            "{words} in {cells} not written here, lest they tell of a person; `check` counts them (C02)"
        ));
    }

    fn remark_on_blanks(&self, lines: &mut Lines) {
        let none = match self.list {
            list if list == YesNo::LIST => YesNo::No.code(),
            list if list == AdverseEvent::LIST => AdverseEvent::NoEvent.code(),
            _ => return,
        };
        if self.blank > 0 {
            lines.offer(
                "\"\"",
                quoted(none),
                format!(
                    "{} blank: not recorded, unless you take this line",
                    in_cells(self.blank)
                ),
            );
        }
    }
}

/// `1 cell`, `12 cells`.
pub(super) fn in_cells(cells: u64) -> String {
    if cells == 1 {
        "1 cell".to_string()
    } else {
        format!("{cells} cells")
    }
}

fn is_sure(meaning: Meaning) -> bool {
    matches!(
        meaning,
        Meaning::Code(_, Sureness::OurCode | Sureness::Synonym)
    )
}

fn comment_of(cells: u64, meaning: Meaning) -> String {
    let cells = in_cells(cells);
    match meaning {
        Meaning::Code(_, Sureness::Disputed) => {
            format!("{cells}; look: some sites mean something else by it")
        }
        Meaning::Code(_, Sureness::Spelling) => format!("{cells}; look: spelled nearly so"),
        Meaning::ByHeading(_) => format!("{cells}; look: this answers what the heading asks"),
        _ => format!("{cells}; sure"),
    }
}

/// Whether a text looks like a word and not like something that tells of a person.
fn may_tell(text: &str) -> bool {
    let digits = text.bytes().filter(u8::is_ascii_digit).count();
    let is_time = || {
        let mut proof = FormProof::default();
        proof.observe(text);
        !matches!(proof.verdict(), Verdict::NotTimes | Verdict::Empty)
    };
    digits <= MOST_DIGITS && !shows_identifier(text) && !is_time()
}
