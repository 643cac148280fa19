//! What is wrong with the data and where. Positions and kinds only: an issue has no place for the
//! content of a cell, so it cannot give any away.

use std::fmt;

/// Which input a row belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// The cases export.
    Cases,
    /// The passes export.
    Passes,
}

impl Source {
    /// The word in messages and tables.
    pub const fn code(self) -> &'static str {
        match self {
            Source::Cases => "cases",
            Source::Passes => "passes",
        }
    }
}

/// What happens to the row in consequence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// The row does not become a record.
    RowSetAside,
    /// The row is left out because an earlier row says the same.
    RowIsDuplicate,
    /// The value counts as missing; the rest of the row stands.
    ValueMissing,
    /// Both values stand, but the measures leave out the length of time between them.
    IntervalLeftOut,
    /// Nothing is changed; someone should look.
    Noted,
}

impl Effect {
    /// What a message says.
    pub const fn sentence(self) -> &'static str {
        match self {
            Effect::RowSetAside => "row set aside; counted, but part of no measure",
            Effect::RowIsDuplicate => "row left out; the earlier row stands for both",
            Effect::ValueMissing => "value counts as missing",
            Effect::IntervalLeftOut => "measures leave out the time between these two moments",
            Effect::Noted => "noted; the values stand",
        }
    }
}

macro_rules! issue_codes {
    ($($variant:ident = $code:literal $effect:ident, $summary:literal, $hint:literal;)+) => {
        /// A kind of issue. Its code is stable and is never used again for another kind.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum IssueCode { $(#[doc = $summary] $variant,)+ }

        impl IssueCode {
            /// Every kind, in the order of the codes.
            pub const ALL: &'static [IssueCode] = &[$(IssueCode::$variant,)+];

            /// The stable code.
            pub const fn code(self) -> &'static str {
                match self { $(IssueCode::$variant => $code,)+ }
            }

            /// What is wrong.
            pub const fn summary(self) -> &'static str {
                match self { $(IssueCode::$variant => $summary,)+ }
            }

            /// What it does to the row.
            pub const fn effect(self) -> Effect {
                match self { $(IssueCode::$variant => Effect::$effect,)+ }
            }

            /// What a person can do about it.
            pub const fn hint(self) -> &'static str {
                match self { $(IssueCode::$variant => $hint,)+ }
            }
        }
    };
}

issue_codes! {
    // R: the row as a whole.
    WrongCellCount = "R01" RowSetAside,
        "the row has more or fewer cells than the header",
        "look for a separator or a line break inside an unquoted cell on this line, and for a separator after the last heading or the last cell; `short_rows = \"blank\"` in the mapping takes rows that leave out blank cells at their end";
    MissingKey = "R02" RowSetAside,
        "the row has no case number",
        "give every case and every pass its case number in the export";
    MissingPresentation = "R03" RowSetAside,
        "the row has no usable reason for the call",
        "fill the column, or add the site's word to `cases.codes.presentation` in the mapping";
    MissingCall = "R04" RowSetAside,
        "the row has no usable call time",
        "fill the column, or correct its form in the mapping";
    RepeatedRow = "R05" RowIsDuplicate,
        "the row says the same as an earlier row in every mapped column",
        "nothing needs doing; an export without repeats is easier to check";
    ConflictingRow = "R06" RowSetAside,
        "the row has the number of another row but other values",
        "keep the right row of the two in the export; until then the other row stands. Numbers are unique over all sites and files of a run";
    PassWithoutCase = "R07" RowSetAside,
        "the pass belongs to no accepted case",
        "export cases and passes for the same period, with the same case numbers";
    LongRow = "R08" Noted,
        "the row runs over more than ten lines",
        "look for a quote that opens and never closes; rows may stand inside a cell";
    OutsidePeriod = "R09" RowSetAside,
        "the call lies outside the period that was asked for",
        "nothing needs doing when `--from`, `--to` or `period` is meant so";
    SummaryRow = "R10" RowSetAside,
        "the row holds a total, a remark, the header once more or nothing, and no case",
        "nothing needs doing; an export without such rows is easier to check";
    SupersededRow = "R11" RowSetAside,
        "a later version of this row stands",
        "nothing needs doing when `record_version` and `amended_at` in the mapping name the right columns";
    SuspectedRepeat = "R12" Noted,
        "an earlier case with another number has the same site, arrival, call, presentation, object, age and sex",
        "look both up; if they are one case, take one of them out of the export";
    CaseWithoutPass = "R13" Noted,
        "the outcome says that a device was used, but the case has no pass",
        "export cases and passes for the same period; measures of devices do not see this case";
    OutcomeAgainstPasses = "R14" Noted,
        "the outcome and the results of the passes contradict one another",
        "look the case up and correct the outcome or the pass";
    ShortRow = "R15" Noted,
        "the row ends before the last column; the cells that it lacks count as blank, as the mapping says",
        "nothing needs doing when the export leaves blank cells at the end of a row out";
    UnplacedResult = "R16" Noted,
        "the result of several devices in one cell belongs to none of them for certain",
        "give each device and result columns of their own";
    StaleVersion = "R17" Noted,
        "a later version of this case could not be used, so this one stands",
        "correct the later version in the export; until then this one may say what is no longer so";
    // C: one cell.
    UnreadableBytes = "C01" ValueMissing,
        "the cell holds bytes that are no text in the encoding of the file",
        "export the file as UTF-8, or set `encoding` in the mapping";
    UnknownWord = "C02" ValueMissing,
        "the cell holds a word that the mapping does not know",
        "add the word to the codes of this column in the mapping; where a column has codes there, all its words must stand in them";
    NotATime = "C03" ValueMissing,
        "the cell is not a date and time of 1970 to 2100 in the form of this column, or no such day exists",
        "correct the cell, or set `time_format` or `cases.formats` in the mapping to the form of the export";
    SkippedHour = "C04" ValueMissing,
        "the time lies in the hour that the change to summer time skips",
        "correct the cell; no clock showed this time";
    NotAWholeNumber = "C05" ValueMissing,
        "the cell is not a number of the kind that this field holds",
        "write digits only, without a unit; `decimal` in the mapping tells how decimals are written";
    OutOfRange = "C06" ValueMissing,
        "the number lies outside the range of this field",
        "correct the cell; the README lists the fields with what they hold";
    NotAMonth = "C07" ValueMissing,
        "the cell is not a month in the form YYYY-MM",
        "write months as 2026-09";
    RepeatedHour = "C08" Noted,
        "the time lies in the hour that the end of summer time repeats; the pass through it was taken that keeps the order of events and makes the case shorter",
        "nothing needs doing unless the order of the events is wrong";
    MissingSite = "C09" ValueMissing,
        "the case has no site",
        "fill the column, or give the site below `[cases.constants]` in the mapping";
    Placeholder = "C10" ValueMissing,
        "the cell holds a date that systems write where there is none",
        "nothing needs doing when no date was recorded; a blank says so more clearly";
    SpreadsheetError = "C11" ValueMissing,
        "the cell holds a formula or an error of a spreadsheet, or a long number that it cut short",
        "export values, not formulas; give a column of long numbers the format of text before the spreadsheet reads it";
    NoFittingDay = "C12" ValueMissing,
        "the cell holds a time of day that fits the other times of the case on no day",
        "correct the cell, or export this time with its date";
    ScoreDiffers = "C13" Noted,
        "the score of the export is not the one that its components give",
        "check the components and their units against the chart; tables and charts use the components";
    GradeOffScale = "C14" ValueMissing,
        "the grade of the adverse event is none of the scale that is recorded for it",
        "give each grade with its own scale in `adverse_scale`; grades are never converted";
    // T: two moments of one case.
    WrongOrder = "T01" IntervalLeftOut,
        "the second moment lies before the first, or further off than can be",
        "correct the wrong one of the two times";
    UnusualLength = "T02" Noted,
        "the time between the two moments is unusual",
        "check both times against the record; unusual is not wrong";
    ClockSkew = "T03" IntervalLeftOut,
        "the second moment lies up to five minutes before the first, as where two clocks differ",
        "set the clocks at the bedside by one another; nothing is corrected here";
    PastMidnight = "T04" Noted,
        "the time of day lies on the other side of midnight, so the neighboring date was taken",
        "nothing needs doing unless the order of the events is wrong; a date in the cell settles it";
    TwoMidnights = "T05" Noted,
        "times of this case were carried over midnight twice",
        "check the times against the record; dates in the cells settle it";
}

/// Where in the inputs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Which kind of input.
    pub source: Source,
    /// Position of the file in the order given on the command line, from 0.
    pub file_index: usize,
    /// Line on which the row starts, from 1; the header is usually line 1.
    pub line_number: u64,
}

/// One thing that is wrong at one place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Issue {
    /// Where.
    pub at: Position,
    /// What.
    pub code: IssueCode,
    /// Our name of the field, never the header of the export; empty for the whole row.
    pub field: &'static str,
    /// Our name of the second field, for issues between two moments; empty otherwise.
    pub other_field: &'static str,
    /// What a cell of this kind looks like from outside.
    pub found: Shape,
}

impl Issue {
    /// An issue of a whole row.
    pub fn of_row(at: Position, code: IssueCode) -> Issue {
        Issue::of_cell(at, code, "", Shape::NotOneCell)
    }

    /// An issue of one cell, by our name of its field.
    pub fn of_cell(at: Position, code: IssueCode, field: &'static str, found: Shape) -> Issue {
        Issue {
            at,
            code,
            field,
            other_field: "",
            found,
        }
    }

    /// An issue between two moments of one case.
    pub fn of_interval(
        at: Position,
        code: IssueCode,
        from: &'static str,
        to: &'static str,
    ) -> Issue {
        Issue {
            other_field: to,
            ..Issue::of_cell(at, code, from, Shape::NotOneCell)
        }
    }
}

/// What a cell looks like, said without its content.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shape {
    /// Nothing but white space.
    Empty,
    /// Digits only.
    Digits,
    /// Digits with separators or signs.
    DigitsAndSigns,
    /// Letters, spaces and signs.
    Letters,
    /// Digits and letters.
    DigitsAndLetters,
    /// Bytes that are not text.
    Bytes,
    /// Not about one cell.
    NotOneCell,
}

impl Shape {
    /// The shape of a text.
    pub fn of(text: &str) -> Shape {
        let text = text.trim();
        let has_digit = text.chars().any(char::is_numeric);
        let has_letter = text.chars().any(char::is_alphabetic);
        match (has_digit, has_letter) {
            _ if text.is_empty() => Shape::Empty,
            (true, true) => Shape::DigitsAndLetters,
            (true, false) if text.chars().all(char::is_numeric) => Shape::Digits,
            (true, false) => Shape::DigitsAndSigns,
            (false, _) => Shape::Letters,
        }
    }
}

impl fmt::Display for Shape {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Shape::Empty => "nothing",
            Shape::Digits => "digits",
            Shape::DigitsAndSigns => "digits and signs",
            Shape::Letters => "letters or signs",
            Shape::DigitsAndLetters => "digits and letters",
            Shape::Bytes => "bytes that are not text",
            Shape::NotOneCell => "more than one cell",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn codes_are_unique_and_in_words_that_end_without_a_period() {
        let codes: BTreeSet<_> = IssueCode::ALL.iter().map(|issue| issue.code()).collect();
        assert_eq!(codes.len(), IssueCode::ALL.len());
        for issue in IssueCode::ALL {
            assert!(!issue.summary().ends_with('.') && !issue.hint().ends_with('.'));
            assert!(issue.summary().starts_with(char::is_lowercase));
        }
    }

    #[test]
    fn shapes_tell_the_kind_of_content_only() {
        assert_eq!(Shape::of("  "), Shape::Empty);
        assert_eq!(Shape::of("0412"), Shape::Digits);
        assert_eq!(Shape::of("12.5"), Shape::DigitsAndSigns);
        assert_eq!(Shape::of("O'Brien, J."), Shape::Letters);
        assert_eq!(Shape::of("12a"), Shape::DigitsAndLetters);
    }
}
