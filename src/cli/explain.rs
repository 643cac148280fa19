//! `check --explain`: what a kind of issue means, what it does and what can be done, with an
//! invented example. Reads no file.

use super::console::{self, Tone, painted};
use super::inputs::printable;
use super::issues::in_short;
use super::limits::limit_of;
use super::text_table::{Side, TextTable};
use crate::domain::issue::IssueCode;
use crate::domain::issue_examples::example_of;
use anyhow::bail;

/// Stands for every kind, each in full.
const ALL: &str = "all";

/// What `--explain` alone stands for: a table of every kind.
pub(super) const TABLE: &str = "table";

/// Explains one code, every code, or lists them.
pub(super) fn explain(asked_for: &str) -> anyhow::Result<()> {
    if asked_for == TABLE {
        console::table(&list());
        console::line(
            "\nscopetally check --explain CODE explains one of them, `all` each of them.",
        );
        return Ok(());
    }
    if asked_for.eq_ignore_ascii_case(ALL) {
        for (index, code) in IssueCode::ALL.iter().enumerate() {
            if index > 0 {
                console::line("");
            }
            print(*code);
        }
        return Ok(());
    }
    let known = IssueCode::ALL
        .iter()
        .find(|code| code.code().eq_ignore_ascii_case(asked_for));
    let Some(code) = known else {
        let meant = nearest(asked_for).map(|code| format!("; did you mean `{code}`?"));
        bail!(
            "there is no code `{}`{} `scopetally check --explain` lists all",
            printable(asked_for),
            meant.as_deref().unwrap_or(";")
        )
    };
    print(*code);
    Ok(())
}

fn list() -> TextTable {
    let mut table = TextTable::new(&[
        ("code", Side::Left),
        ("kind", Side::Left),
        ("effect", Side::Left),
    ]);
    for code in IssueCode::ALL {
        table.push([
            code.code().to_owned(),
            code.summary().to_owned(),
            in_short(code.effect()).to_owned(),
        ]);
    }
    table
}

fn print(code: IssueCode) {
    let head = painted(Tone::Heading, code.code());
    console::line(&format!("{head}: {}\n", code.summary()));
    let limit = match limit_of(code) {
        Some(limit) => format!("counts against `limits.{limit}`"),
        None => "counts against no limit".to_owned(),
    };
    console::labeled("effect", code.effect().sentence());
    console::labeled("limit", &limit);
    console::labeled("hint", code.hint());
    console::line("");
    let example = example_of(code);
    let lines = |lines: &[&str]| lines.iter().map(ToString::to_string).collect::<Vec<_>>();
    console::labeled_lines("before", &lines(example.before));
    console::labeled_lines("after", &lines(example.after));
}

/// The code that is one slip of a finger away; `None` when there is none.
fn nearest(asked_for: &str) -> Option<&'static str> {
    let asked_for = asked_for.to_ascii_uppercase();
    IssueCode::ALL
        .iter()
        .map(|code| code.code())
        .find(|code| strsim::damerau_levenshtein(code, &asked_for) == 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_code_is_meant() {
        for (typed, meant) in [("c2", "C02"), ("R5", "R05"), ("T0", "T01"), ("C20", "C02")] {
            assert_eq!(nearest(typed), Some(meant), "{typed}");
        }
        assert_eq!(nearest("Z99"), None);
    }

    #[test]
    fn the_list_of_codes_fits_a_terminal() {
        for line in list().lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
}
