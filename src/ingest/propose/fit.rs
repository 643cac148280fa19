//! How well a column fits a field: what its heading says, and whether its cells can be values of the
//! field. Looks at one pair at a time; which pairs go together is decided elsewhere.

use super::cells::CellsSeen;
use super::headings::HeadingFit;
use super::meaning::{Meaning, Meanings};
use super::sample::SampledColumn;
use super::times::holds;
use crate::domain::codes::{CodeList, YesNo};
use crate::domain::fields::{CaseField, Field, Kind};
use crate::domain::issue::Source;
use crate::domain::month::Month;
use crate::domain::quantities::{LaboratoryUnit, Quantity};
use crate::ingest::dialect::Certainty;
use crate::ingest::guard::{IdentifierKind, site_verdict};
use crate::ingest::number::{self, AgeUnit, DurationUnit, age_years, elapsed_minutes, whole};
use crate::ingest::time::Verdict;
use std::collections::BTreeSet;

/// Most different words of a coded column; a column with more holds remarks.
pub(super) const MOST_WORDS: usize = 60;

/// Fields that words alone may point to: few others share their words.
const TOLD_BY_WORDS: &[&str] = &[
    "presentation",
    "sex",
    "setting",
    "object_type",
    "object_location",
    "airway",
    "outcome",
    "adverse_event",
    "device",
    "result",
];

/// Whether the times of an export are clock times or minutes since the call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TimesAre {
    Clock,
    Elapsed,
}

/// What the cells of a column say about a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum CellsSay {
    /// They are no values of this field.
    No,
    /// No cell is filled.
    Nothing,
    /// Some are values of it.
    Perhaps,
    /// Nearly all are.
    Yes,
}

impl CellsSay {
    fn by_share(share: f64, yes: f64, perhaps: f64) -> CellsSay {
        if share >= yes {
            CellsSay::Yes
        } else if share >= perhaps {
            CellsSay::Perhaps
        } else {
            CellsSay::No
        }
    }
}

/// A field that a column may give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Fit {
    pub(super) score: i64,
    /// `None` when only the words speak for it.
    pub(super) heading: Option<HeadingFit>,
    pub(super) cells: CellsSay,
}

/// What is known of an export when its columns are judged.
pub(super) struct Judge<'a> {
    pub(super) export: Source,
    pub(super) times: TimesAre,
    pub(super) certainty: Certainty,
    pub(super) meanings: &'a mut Meanings,
}

impl Judge<'_> {
    /// How well a column fits a field; `None` when it does not, or must not be looked at.
    pub(super) fn fit<F: Field>(&mut self, column: &SampledColumn, field: F) -> Option<Fit> {
        if column.has_no_name || !column.is_everywhere || self.is_barred(column, field) {
            return None;
        }
        let has_lengths = self.times == TimesAre::Elapsed && field.kind() == Kind::Minute;
        let heading = column.words.fit(self.export, field.name(), has_lengths);
        let is_unsure = self.certainty == Certainty::Unsure;
        match heading {
            Some(heading) if is_unsure && !heading.is_whole => None,
            Some(heading) => {
                let cells = self.cells_say(column, field, heading);
                let points = match cells {
                    CellsSay::No => return None,
                    CellsSay::Nothing => 0,
                    CellsSay::Perhaps => 10,
                    CellsSay::Yes => 30,
                };
                Some(Fit {
                    score: heading.points + points,
                    heading: Some(heading),
                    cells,
                })
            }
            None if is_unsure || !column.is_heading_shown => None,
            None => self.fit_by_words(column, field),
        }
    }

    /// Whether the guard forbids the field to take this column.
    fn is_barred<F: Field>(&self, column: &SampledColumn, field: F) -> bool {
        let is_case_number = field.name() == CaseField::CaseId.name();
        let finding = if is_case_number {
            column.finding_as_case_number
        } else {
            column.finding
        };
        let Some(finding) = finding else {
            return false;
        };
        // "Endoscopist paged" tells of no one where the cells are times. A date of birth is one.
        let is_time = self.times == TimesAre::Clock
            && field.kind() == Kind::Minute
            && has_clock(&column.cells);
        let is_explained = is_time
            && column.is_found_by_heading_alone()
            && finding.kind != IdentifierKind::BirthDate;
        !is_explained
    }

    fn cells_say<F: Field>(
        &mut self,
        column: &SampledColumn,
        field: F,
        heading: HeadingFit,
    ) -> CellsSay {
        let cells = &column.cells;
        if cells.telling() == 0 {
            return CellsSay::Nothing;
        }
        match field.kind() {
            Kind::Minute if self.times == TimesAre::Clock => {
                let verdict = cells.proof.verdict();
                match holds(&verdict) {
                    Some((_, true)) => match verdict {
                        Verdict::Mixed { .. } | Verdict::Serial { .. } => CellsSay::Perhaps,
                        _ => CellsSay::Yes,
                    },
                    _ => CellsSay::No,
                }
            }
            Kind::Minute if self.has_other_start(column, heading) => CellsSay::No,
            Kind::Minute => CellsSay::by_share(cells.share(is_length), 0.9, 0.5),
            Kind::Whole { min, max } => {
                let is_within = |text: &str| whole(text, b'.', min, max).is_ok();
                CellsSay::by_share(cells.share(is_within), 0.95, 0.8)
            }
            Kind::Age { .. } => {
                let is_age = |text: &str| {
                    [b'.', b',']
                        .iter()
                        .any(|mark| age_years(text, AgeUnit::Years, *mark).is_ok())
                };
                CellsSay::by_share(cells.share(is_age), 0.9, 0.6)
            }
            Kind::Quantity(quantity) => {
                let is_value = |text: &str| is_quantity(text, quantity);
                CellsSay::by_share(cells.share(is_value), 0.9, 0.6)
            }
            Kind::Month => {
                CellsSay::by_share(cells.share(|text| text.parse::<Month>().is_ok()), 0.9, 0.6)
            }
            Kind::Code(_) | Kind::Text if is_times(cells) => CellsSay::No,
            Kind::Code(list) if field.name() == "device" => {
                let share = self.share_of_devices(column, field.name(), list);
                CellsSay::by_share(share, 0.7, if heading.is_strong { 0.2 } else { 0.4 })
            }
            Kind::Code(list) => self.words_say(column, field.name(), list, heading),
            Kind::Text if field.name() == CaseField::CaseId.name() => self.case_numbers_say(cells),
            Kind::Text => sites_say(cells),
        }
    }

    fn words_say(
        &mut self,
        column: &SampledColumn,
        name: &'static str,
        list: CodeList,
        heading: HeadingFit,
    ) -> CellsSay {
        let share = self.share_of_words(column, name, list);
        let few_words = if list == YesNo::LIST { 4 } else { MOST_WORDS };
        let cells = &column.cells;
        let is_closed = cells.different() <= few_words
            && 3 * cells.different() as u64 <= cells.filled.max(6)
            && cells.share(is_number) < 0.5;
        match CellsSay::by_share(share, 0.8, 0.4) {
            // Words in another language, under a heading that leaves no doubt.
            CellsSay::No if heading.is_strong && heading.is_whole && is_closed => CellsSay::Perhaps,
            said => said,
        }
    }

    /// The share of the cells whose word is near a code, or says that nothing was recorded.
    fn share_of_words(
        &mut self,
        column: &SampledColumn,
        name: &'static str,
        list: CodeList,
    ) -> f64 {
        if column.cells.different() > 2 * MOST_WORDS {
            return 0.0;
        }
        let mut near = 0;
        let mut all = column.cells.not_kept;
        for (text, cells) in column.cells.texts() {
            all += cells;
            let meaning = self.meanings.of(name, list, &column.words, text);
            // An answer whose sense is open is an answer all the same.
            let is_answer = meaning == Meaning::Open
                && self
                    .meanings
                    .answer(text)
                    .is_some_and(|answer| column.words.sense(name, answer).is_some());
            if meaning != Meaning::Open || is_answer {
                near += cells;
            }
        }
        near as f64 / all.max(1) as f64
    }

    fn share_of_devices(
        &mut self,
        column: &SampledColumn,
        name: &'static str,
        list: CodeList,
    ) -> f64 {
        let mut near = 0;
        let mut all = 0;
        for (text, cells) in column.cells.texts() {
            all += cells;
            let words = super::devices::words_in(self.meanings, list, text);
            let is_near = words.iter().any(|word| {
                let meaning = self.meanings.of(name, list, &column.words, word);
                meaning.code().is_some()
            });
            near += if is_near { cells } else { 0 };
        }
        near as f64 / all.max(1) as f64
    }

    /// A field that only the words of the column point to.
    fn fit_by_words<F: Field>(&mut self, column: &SampledColumn, field: F) -> Option<Fit> {
        let Kind::Code(list) = field.kind() else {
            return None;
        };
        let cells = &column.cells;
        let is_asked = TOLD_BY_WORDS.contains(&field.name())
            && cells.different() <= MOST_WORDS
            && cells.telling() > 0
            && !is_times(cells)
            && cells.share(is_number) < 0.5;
        if !is_asked {
            return None;
        }
        let mut codes = BTreeSet::new();
        let mut near = 0;
        for (text, count) in cells.texts() {
            // Only whole words of the table count, and no answers, which stand in any column.
            let is_word = self.meanings.answer(text).is_none()
                && self.meanings.know(field.name(), list, text);
            if !is_word {
                continue;
            }
            if let Some(code) = self
                .meanings
                .of(field.name(), list, &column.words, text)
                .code()
            {
                codes.insert(code);
                near += count;
            }
        }
        let share = near as f64 / cells.telling() as f64;
        #[expect(clippy::cast_possible_truncation, reason = "a share of 100 points")]
        let points = (20.0 * share) as i64;
        (share >= 0.8 && codes.len() >= 2).then_some(Fit {
            score: 15 + points,
            heading: None,
            cells: CellsSay::Yes,
        })
    }

    fn case_numbers_say(&self, cells: &CellsSeen) -> CellsSay {
        match self.export {
            // A case has several passes.
            Source::Passes => CellsSay::Yes,
            Source::Cases => {
                let different = cells.different() as f64 / cells.filled.max(1) as f64;
                CellsSay::by_share(different, 0.9, 0.5)
            }
        }
    }

    /// Whether a length of time begins with another moment than the call: `arrival to scope in`.
    fn has_other_start(&self, column: &SampledColumn, heading: HeadingFit) -> bool {
        let Some((left, _)) = column.words.sides() else {
            return false;
        };
        let points = |field: &CaseField| {
            let fit = left.fit(self.export, field.name(), true);
            fit.map_or(0, |fit| fit.points)
        };
        let times = CaseField::ALL
            .iter()
            .filter(|field| field.kind() == Kind::Minute);
        let best = times.max_by_key(|field| points(field));
        !heading.is_whole
            && best.is_some_and(|best| *best != CaseField::CalledAt && points(best) > 0)
    }
}

/// Whether the cells are dates or times.
pub(super) fn is_times(cells: &CellsSeen) -> bool {
    holds(&cells.proof.verdict()).is_some()
}

/// Whether the cells hold a time of day, with a date or without. Day numbers may be any numbers.
pub(super) fn has_clock(cells: &CellsSeen) -> bool {
    let verdict = cells.proof.verdict();
    !matches!(verdict, Verdict::Serial { .. }) && holds(&verdict).is_some_and(|(_, time)| time)
}

/// Whether a text is a length of time.
pub(super) fn is_length(text: &str) -> bool {
    [b'.', b',']
        .iter()
        .any(|mark| elapsed_minutes(text, DurationUnit::Minutes, *mark).is_ok())
}

/// Whether a text is a value of a laboratory quantity in any of its units.
pub(super) fn is_quantity(text: &str, quantity: Quantity) -> bool {
    let mut units = quantity.units().iter();
    units.any(|unit| is_in_unit(text, quantity, *unit))
}

/// Whether a text is a value of a laboratory quantity in one of its units.
pub(super) fn is_in_unit(text: &str, quantity: Quantity, unit: LaboratoryUnit) -> bool {
    [b'.', b',']
        .iter()
        .any(|mark| number::quantity(text, unit, *mark, quantity.range()).is_ok())
}

fn is_number(text: &str) -> bool {
    whole(text, b'.', i64::MIN, i64::MAX).is_ok()
}

/// A service has a few sites, each with many cases. Few words are much else too.
fn sites_say(cells: &CellsSeen) -> CellsSay {
    let different = cells.different();
    if site_verdict(different, cells.filled).is_some() {
        CellsSay::No
    } else if different > 20 || different as u64 * 2 > cells.filled.max(8) {
        CellsSay::Nothing
    } else {
        CellsSay::Perhaps
    }
}
