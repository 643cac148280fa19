//! The mapping as a text: every line with how sure it is, and at the top what was read and what is
//! left to decide. What is left to decide names our fields and the numbers of columns, never a heading
//! or a word of the export.

mod codes;
mod columns;
mod form;
mod units;

use super::columns::Columns;
use super::devices::DeviceColumns;
use super::fit::TimesAre;
use super::meaning::Meanings;
use super::sample::{SampledExport, SampledFile};
use super::times::Times;
use super::toml_text::{Lines, quoted};
use super::words::in_cells;
use crate::domain::fields::{CaseField, PassField};
use crate::domain::issue::Source;
use crate::domain::month::Month;
use crate::ingest::dialect::Certainty;

/// All that was found out.
pub(super) struct Findings<'a> {
    pub(super) cases: &'a SampledExport,
    pub(super) case_columns: &'a Columns<CaseField>,
    pub(super) times_are: TimesAre,
    pub(super) times: &'a Times,
    pub(super) devices: Option<&'a DeviceColumns>,
    pub(super) passes: Option<(&'a SampledExport, &'a Columns<PassField>)>,
    pub(super) time_zone: Option<&'a str>,
}

/// A mapping in the making.
#[derive(Default)]
struct Draft {
    text: String,
    /// What a person has to decide, in the order of the mapping.
    to_decide: Vec<String>,
    /// Lines that somebody must look at.
    looks: u64,
    /// Words without a code: field, words, cells.
    open_words: Vec<(&'static str, u64, u64)>,
    /// Fields of yes and no that are only ever yes.
    ticked_only: Vec<&'static str>,
}

impl Draft {
    fn table(&mut self, name: &str, lines: &Lines) {
        self.text.push_str("\n[");
        self.text.push_str(name);
        self.text.push_str("]\n");
        lines.write(&mut self.text);
    }

    fn decide(&mut self, what: impl Into<String>) {
        self.to_decide.push(what.into());
    }
}

/// Writes the mapping; the second is what is left to decide.
pub(super) fn write(findings: &Findings<'_>, meanings: &mut Meanings) -> (String, Vec<String>) {
    let mut draft = Draft::default();
    let missing = form::missing_of_cases(findings, meanings);
    form::write_cases(&mut draft, findings, &missing);
    columns::write_cases(&mut draft, findings);
    codes::write_cases(&mut draft, findings, &missing, meanings);
    if let Some((export, columns)) = findings.passes {
        let missing = form::missing_of_passes(export, columns, meanings);
        form::write_passes(&mut draft, export, columns, &missing);
        columns::write_passes(&mut draft, export, columns);
        codes::write_passes(&mut draft, export, columns, &missing, meanings);
    }
    write_end(&mut draft, findings);
    let mut document = head(findings, &draft.to_decide);
    document.push_str(&draft.text);
    (document, draft.to_decide)
}

/// Staffed hours, period and limits, which no export tells.
fn write_end(draft: &mut Draft, findings: &Findings<'_>) {
    let mut lines = Lines::default();
    lines.entry(
        "days",
        r#"["mon", "tue", "wed", "thu", "fri"]"#,
        "your own days and hours",
    );
    lines.entry("from", "\"08:00\"", "");
    lines.entry("to", "\"17:00\"", "");
    if findings.times_are == TimesAre::Clock {
        lines.entry("holidays", "[]", "dates as \"2026-12-25\"");
    }
    draft.table("staffed_hours", &lines);
    draft.decide("`staffed_hours`: the days, hours and holidays of your service; those in the mapping are only usual");

    let mut lines = Lines::default();
    lines.entry("start", "\"arrived_at\"", "or \"called_at\"");
    draft.table("windows", &lines);
    let has_arrival = findings
        .case_columns
        .column_of(CaseField::ArrivedAt)
        .is_some();
    if !has_arrival {
        draft.decide("`windows.start`: no column gives the arrival, from which guideline windows are counted; with \"called_at\" they are counted from the call");
    }

    let rows = findings.cases.rows();
    let seen = if findings.cases.is_whole() {
        "the first and the last call".to_string()
    } else {
        format!("the calls of the first {rows} rows only")
    };
    draft.text.push_str("\n# Months that the export covers completely. Without them the first and the last call count.\n");
    let mut lines = Lines::default();
    let (from, to) = months(findings).map_or_else(
        || ("2026-01".to_string(), "2026-12".to_string()),
        |(from, to)| (from.to_string(), to.to_string()),
    );
    lines.remark("[period]");
    lines.offer("from", quoted(&from), seen);
    lines.offer("to", quoted(&to), "");
    lines.write(&mut draft.text);
    draft.decide("`period`: the months that the export covers completely; without it one mistyped year stretches every rate");

    let mut lines = Lines::default();
    lines.entry(
        "rows_set_aside",
        "0.05",
        "shares above which a run ends with exit code 1",
    );
    lines.entry("values_unusable", "0.05", "");
    draft.table("limits", &lines);

    if !draft.open_words.is_empty() {
        let fields: Vec<String> = draft
            .open_words
            .iter()
            .map(|(name, words, cells)| match words {
                0 => format!("`{name}` {}", in_cells(*cells)),
                1 => format!("`{name}` 1 word in {}", in_cells(*cells)),
                _ => format!("`{name}` {words} words in {}", in_cells(*cells)),
            })
            .collect();
        draft.decide(format!(
            "words without a code, which count as missing (C02): {}",
            fields.join(", ")
        ));
    }
    if !draft.ticked_only.is_empty() {
        draft.decide(format!(
            "blank cells where every other cell is a yes: {}; if a blank means no, take the line `\"\" = \"no\"`",
            draft.ticked_only.join(", ")
        ));
    }
    if draft.looks > 0 {
        let lines = if draft.looks == 1 { "line" } else { "lines" };
        draft.decide(format!(
            "{} {lines} marked `look`, each with the reason",
            draft.looks
        ));
    }
}

/// First and last month of the calls.
fn months(findings: &Findings<'_>) -> Option<(Month, Month)> {
    match findings.times_are {
        TimesAre::Clock => findings.times.months(findings.cases),
        TimesAre::Elapsed => {
            let column = findings.case_columns.column_of(CaseField::Month)?;
            let cells = &findings.cases.columns[column].cells;
            let months = || {
                cells
                    .texts()
                    .filter_map(|(text, _)| text.parse::<Month>().ok())
            };
            Some((months().min()?, months().max()?))
        }
    }
}

/// What was read, what the comments mean, and what is left to decide.
fn head(findings: &Findings<'_>, to_decide: &[String]) -> String {
    let mut lines = Lines::default();
    lines.remark("A mapping proposed by `scopetally map`: a beginning, to be read and corrected.");
    lines.remark("");
    lines.remark("Read:");
    let passes = findings.passes.map(|(export, _)| (Source::Passes, export));
    for (source, export) in std::iter::once((Source::Cases, findings.cases)).chain(passes) {
        for file in &export.files {
            lines.remark(format!("  {}", file_in_words(source, export, file)));
        }
    }
    lines.remark("");
    lines.remark(
        "Behind each line stands how sure it is. sure: heading and cells agree. likely: little",
    );
    lines.remark(
        "speaks against it. look: somebody has to look. Lines behind a # count for nothing yet.",
    );
    lines.remark("");
    lines.remark("Left to decide:");
    for (index, what) in to_decide.iter().enumerate() {
        lines.remark(format!("  {}. {what}", index + 1));
    }
    let mut text = String::new();
    lines.write(&mut text);
    text
}

fn file_in_words(source: Source, export: &SampledExport, file: &SampledFile) -> String {
    let dialect = &file.dialect;
    let separator = match dialect.separator {
        b'\t' => "tabs".to_string(),
        separator => format!("`{}`", char::from(separator)),
    };
    let header = if dialect.header_rows > 1 {
        let last = dialect.header_line + dialect.header_rows as u64 - 1;
        format!("headings on lines {} to {last}", dialect.header_line)
    } else {
        format!("headings on line {}", dialect.header_line)
    };
    let certainty = match (
        file.certainty.min(export.certainty),
        file.rows_of_other_length,
    ) {
        (Certainty::Sure, _) => "sure".to_string(),
        (Certainty::Likely, 0) => "likely".to_string(),
        (Certainty::Likely, 1) => "likely: 1 line has more or fewer cells".to_string(),
        (Certainty::Likely, others) => format!("likely: {others} lines have more or fewer cells"),
        (Certainty::Unsure, _) => "look: it may have no headings, or another separator".to_string(),
    };
    let rows = match file.rows {
        1 => "1 row".to_string(),
        rows => format!("{rows} rows"),
    };
    let beginning = if file.is_whole { "" } else { "the first " };
    let columns = export.columns.len() + export.columns_beyond;
    let beyond = if export.columns_beyond > 0 {
        format!(
            ", of which the first {} were looked at",
            export.columns.len()
        )
    } else {
        String::new()
    };
    format!(
        "{} {}: {beginning}{}, {columns} columns{beyond}, {}, cells separated by {separator}, {header} ({certainty})",
        source.code(),
        quoted(&file.name()),
        rows,
        file.facts.encoding.name(),
    )
}

/// Columns of the cases that give a field.
pub(super) fn columns_mapped(findings: &Findings<'_>) -> usize {
    let mut taken = form::taken_columns(findings);
    taken.sort_unstable();
    taken.dedup();
    taken.len()
}
