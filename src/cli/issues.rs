//! Issues on the terminal: each kind once with the places where it came up, the gravest first, and
//! a table of all kinds at the end.

use super::console::{self, Tone, painted};
use super::inputs::FileNames;
use super::text_table::{Side, TextTable};
use crate::domain::issue::{Effect, IssueCode, Shape};
use crate::domain::issue_log::{IssueLog, Occurrences, Place};
use crate::report::{counted, whole};
use std::collections::{BTreeMap, BTreeSet};

/// Places of one kind that are told; with a file for each month there may be hundreds.
const PLACES_SHOWN: usize = 8;

/// A kind with all its places.
type Kinds<'a> = BTreeMap<(Effect, IssueCode), Vec<(&'a Place, &'a Occurrences)>>;

/// Every kind that came up: rows left out first, then values, then intervals, then notes.
fn kinds(issues: &IssueLog) -> Kinds<'_> {
    let mut kinds = Kinds::new();
    for (place, occurrences) in issues.places() {
        kinds
            .entry((place.code.effect(), place.code))
            .or_default()
            .push((place, occurrences));
    }
    kinds
}

/// Prints each kind of issue once; notes in short, and with `--quiet` not at all.
pub(super) fn print(issues: &IssueLog, names: &FileNames, is_quiet: bool) {
    for ((effect, code), places) in kinds(issues) {
        if effect != Effect::Noted {
            print_warning(code, &places, names);
        } else if !is_quiet {
            print_note(code, &places, names);
        }
    }
}

fn print_warning(code: IssueCode, places: &[(&Place, &Occurrences)], names: &FileNames) {
    print_head("warning", Tone::Warning, code.code(), code.summary());
    print_places(places, names, lines_of);
    let shapes: BTreeSet<Shape> = places
        .iter()
        .flat_map(|(_, occurrences)| &occurrences.shapes)
        .copied()
        .collect();
    print_remedy(&shapes, code.effect(), code.hint());
}

fn print_note(code: IssueCode, places: &[(&Place, &Occurrences)], names: &FileNames) {
    print_head("note", Tone::Note, code.code(), code.summary());
    print_places(places, names, first_line_of);
    console::line("");
}

/// The first line of a kind of issue.
pub(super) fn print_head(word: &str, tone: Tone, code: &str, summary: &str) {
    let head = painted(tone, &format!("{word}[{code}]"));
    console::line(&format!("{head}: {summary}"));
}

/// What cells look like in which a kind of issue came up, what it does, and what to do.
pub(super) fn print_remedy(shapes: &BTreeSet<Shape>, effect: Effect, hint: &str) {
    let mark = painted(Tone::Mark, "=");
    if !shapes.contains(&Shape::NotOneCell) {
        let shapes: Vec<_> = shapes.iter().map(ToString::to_string).collect();
        console::line(&format!(
            "   {mark} found:  {} (content not shown)",
            shapes.join("; or ")
        ));
    }
    console::line(&format!("   {mark} effect: {}", effect.sentence()));
    console::hint(&format!("{hint}\n"));
}

fn print_places(
    places: &[(&Place, &Occurrences)],
    names: &FileNames,
    lines: impl Fn(&Occurrences) -> String,
) {
    let arrow = painted(Tone::Mark, "-->");
    // A line that says "1 more" might as well tell it.
    let shown = if places.len() == PLACES_SHOWN + 1 {
        PLACES_SHOWN + 1
    } else {
        PLACES_SHOWN
    };
    for (place, occurrences) in places.iter().take(shown) {
        let columns = match (place.field, place.other_field) {
            ("", _) => String::new(),
            (field, "") => format!(", `{field}`"),
            (field, other_field) => format!(", `{field}` to `{other_field}`"),
        };
        console::line(&format!(
            "  {arrow} {}{columns}, {}",
            names.of(place.source, place.file_index),
            lines(occurrences)
        ));
    }
    let more = places.len().saturating_sub(shown) as u64;
    if more > 0 {
        let count = places.iter().skip(shown).map(|(_, of)| of.count);
        console::line(&format!(
            "  {arrow} and {} more places, {} issues in all",
            whole(more),
            whole(count.sum())
        ));
    }
}

/// The first lines, and how many more.
pub(super) fn lines_of(occurrences: &Occurrences) -> String {
    let named: Vec<_> = occurrences
        .first_lines
        .iter()
        .map(ToString::to_string)
        .collect();
    let more = occurrences.count - named.len() as u64;
    let word = if occurrences.count == 1 {
        "line"
    } else {
        "lines"
    };
    let rest = if more > 0 {
        format!(" and {} more", whole(more))
    } else {
        String::new()
    };
    format!("{word} {}{rest}", named.join(", "))
}

/// The first line, and how many more.
pub(super) fn first_line_of(occurrences: &Occurrences) -> String {
    let first = occurrences.first_lines.first().copied().unwrap_or_default();
    match occurrences.count {
        0 | 1 => format!("line {first}"),
        count => format!("line {first} and {} more", whole(count - 1)),
    }
}

/// Prints how many issues there are and in how many rows, and each kind in a row of a table.
pub(super) fn print_summary(issues: &IssueLog) {
    console::labeled("issues", &in_rows(issues));
    if issues.count() == 0 {
        return;
    }
    let mut table = TextTable::new(&[
        ("code", Side::Left),
        ("kind", Side::Left),
        ("count", Side::Right),
        ("rows", Side::Right),
        ("effect", Side::Left),
    ]);
    for ((effect, code), places) in kinds(issues) {
        let count = places.iter().map(|(_, occurrences)| occurrences.count);
        table.push([
            code.code().to_owned(),
            code.summary().to_owned(),
            whole(count.sum()),
            whole(issues.rows_of(code)),
            in_short(effect).to_owned(),
        ]);
    }
    console::table(&table);
    console::line("  `scopetally check --explain CODE` explains a code");
}

/// Prints the same in one line.
pub(super) fn print_tallies(issues: &IssueLog) {
    let kinds = tallies(issues, |_| true);
    let kinds = if kinds.is_empty() {
        String::new()
    } else {
        format!(": {}", kinds.join(", "))
    };
    console::labeled("issues", &format!("{}{kinds}", in_rows(issues)));
}

fn in_rows(issues: &IssueLog) -> String {
    format!(
        "{} in {}",
        whole(issues.count()),
        counted(issues.rows(), "row", "rows")
    )
}

/// The kinds that are more than notes, each with its count: `C02 3`.
pub(super) fn more_than_notes(issues: &IssueLog) -> Vec<String> {
    tallies(issues, |effect| effect != Effect::Noted)
}

fn tallies(issues: &IssueLog, is_wanted: impl Fn(Effect) -> bool) -> Vec<String> {
    kinds(issues)
        .iter()
        .filter(|((effect, _), _)| is_wanted(*effect))
        .map(|((_, code), places)| {
            let count = places.iter().map(|(_, occurrences)| occurrences.count);
            format!("{} {}", code.code(), whole(count.sum()))
        })
        .collect()
}

/// An effect in a word or two, for tables.
pub(super) const fn in_short(effect: Effect) -> &'static str {
    match effect {
        Effect::RowSetAside => "row set aside",
        Effect::RowIsDuplicate => "row left out",
        Effect::ValueMissing => "value missing",
        Effect::IntervalLeftOut => "time left out",
        Effect::Noted => "note",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::issue::{Issue, Position, Source};

    fn log(issues: &[(u64, IssueCode)]) -> IssueLog {
        let mut log = IssueLog::default();
        for (line_number, code) in issues {
            let at = Position {
                source: Source::Cases,
                file_index: 0,
                line_number: *line_number,
            };
            log.add(Issue::of_cell(at, *code, "outcome", Shape::Letters));
        }
        log
    }

    #[test]
    fn the_gravest_kinds_come_first_and_notes_are_not_more_than_notes() {
        let log = log(&[
            (2, IssueCode::UnusualLength),
            (3, IssueCode::WrongOrder),
            (4, IssueCode::UnknownWord),
            (5, IssueCode::ShortRow),
            (6, IssueCode::MissingKey),
            (7, IssueCode::RepeatedRow),
            (8, IssueCode::UnknownWord),
        ]);
        let order: Vec<_> = kinds(&log).keys().map(|(_, code)| code.code()).collect();
        assert_eq!(order, ["R02", "R05", "C02", "T01", "R15", "T02"]);
        assert_eq!(more_than_notes(&log), ["R02 1", "R05 1", "C02 2", "T01 1"]);
    }

    #[test]
    fn lines_are_told_one_and_many() {
        let of = |count: u64| Occurrences {
            count,
            first_lines: (2..).take(usize::try_from(count.min(8)).unwrap()).collect(),
            ..Occurrences::default()
        };
        assert_eq!(lines_of(&of(1)), "line 2");
        assert_eq!(lines_of(&of(2)), "lines 2, 3");
        assert_eq!(
            lines_of(&of(2008)),
            "lines 2, 3, 4, 5, 6, 7, 8, 9 and 2,000 more"
        );
        assert_eq!(first_line_of(&of(1)), "line 2");
        assert_eq!(first_line_of(&of(3)), "line 2 and 2 more");
    }
}
