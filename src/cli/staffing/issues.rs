//! What is wrong with a roster and with checks of carts, on the terminal.

use super::extras::Extras;
use crate::cli::console::{self, Tone, painted};
use crate::cli::issues::{first_line_of, lines_of, print_head, print_remedy};
use crate::domain::duty::issue::{DutyIssueKind, by_kind_and_column};
use crate::domain::issue::Effect;
use crate::domain::issue_log::Occurrences;

/// Prints each kind of issue once for each file and column, with its first lines.
pub(super) fn print(extras: &Extras, is_quiet: bool) {
    for file in extras.files() {
        for ((kind, column), occurrences) in by_kind_and_column(file.issues) {
            let place = match column {
                "" => file.name.to_owned(),
                column => format!("{}, `{column}`", file.name),
            };
            if kind.effect() != Effect::Noted {
                print_warning(&place, kind, &occurrences);
            } else if !is_quiet {
                print_note(&place, kind, &occurrences);
            }
        }
    }
}

fn print_warning(place: &str, kind: DutyIssueKind, occurrences: &Occurrences) {
    print_head("warning", Tone::Warning, kind.code(), kind.summary());
    print_place(place, &lines_of(occurrences));
    print_remedy(&occurrences.shapes, kind.effect(), kind.hint());
}

fn print_note(place: &str, kind: DutyIssueKind, occurrences: &Occurrences) {
    print_head("note", Tone::Note, kind.code(), kind.summary());
    print_place(place, &first_line_of(occurrences));
    console::line("");
}

fn print_place(place: &str, lines: &str) {
    let arrow = painted(Tone::Mark, "-->");
    console::line(&format!("  {arrow} {place}, {lines}"));
}
