//! What is wrong with a roster and with checks of carts, on the terminal.

use super::extras::Extras;
use crate::cli::console::{self, Tone, painted};
use crate::cli::issues::{first_line_of, lines_of};
use crate::domain::duty::issue::{DutyIssue, DutyIssueKind, by_kind_and_column};
use crate::domain::issue::{Effect, Shape};
use crate::domain::issue_log::Occurrences;

/// Prints each kind of issue once for each file and column, with its first lines.
pub(super) fn print(extras: &Extras, is_quiet: bool) {
    for (file, issues) in extras.issues() {
        for ((kind, column), occurrences) in by_kind_and_column(issues) {
            if kind.effect() != Effect::Noted || !is_quiet {
                print_kind(file, kind, column, &occurrences);
            }
        }
    }
}

fn print_kind(file: &str, kind: DutyIssueKind, column: &str, occurrences: &Occurrences) {
    let is_note = kind.effect() == Effect::Noted;
    let (word, tone) = if is_note {
        ("note", Tone::Note)
    } else {
        ("warning", Tone::Warning)
    };
    let head = painted(tone, &format!("{word}[{}]", kind.code()));
    console::line(&format!("{head}: {}", kind.summary()));
    let column = if column.is_empty() {
        String::new()
    } else {
        format!(", `{column}`")
    };
    let arrow = painted(Tone::Mark, "-->");
    let lines = if is_note {
        first_line_of(occurrences)
    } else {
        lines_of(occurrences)
    };
    console::line(&format!("  {arrow} {file}{column}, {lines}"));
    if is_note {
        console::line("");
        return;
    }
    let mark = painted(Tone::Mark, "=");
    if !occurrences.shapes.contains(&Shape::NotOneCell) {
        let shapes: Vec<_> = occurrences.shapes.iter().map(ToString::to_string).collect();
        console::line(&format!(
            "   {mark} found:  {} (content not shown)",
            shapes.join("; or ")
        ));
    }
    console::line(&format!("   {mark} effect: {}", kind.effect().sentence()));
    console::hint(&format!("{}\n", kind.hint()));
}

impl Extras {
    /// What is wrong with each file, by its name.
    pub(super) fn issues(&self) -> impl Iterator<Item = (&str, &[DutyIssue])> {
        let roster = self.roster.as_ref();
        let checks = self.checks.as_ref();
        let roster = roster.map(|file| (file.name.as_str(), file.file.issues.as_slice()));
        let checks = checks.map(|file| (file.name.as_str(), file.file.issues.as_slice()));
        roster.into_iter().chain(checks)
    }
}
