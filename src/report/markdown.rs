//! Sections as Markdown, to be pasted into the minutes of a meeting. The only file that knows its
//! syntax. Charts are left out; their tables stay in the page.

use super::content::{Block, Cell, Section, Table};
use std::fmt::Write as _;

/// The sections one after another, under a title.
pub(super) fn document<'a>(
    title: &str,
    lead: &str,
    sections: impl Iterator<Item = &'a Section>,
) -> String {
    let mut text = format!("# {}\n\n{}\n", inline(title), inline(lead));
    for section in sections {
        line(&mut text, &format!("\n## {}\n", inline(&section.heading)));
        for written in section.blocks.iter().filter_map(block) {
            line(&mut text, &written);
        }
    }
    text
}

fn line(text: &mut String, line: &str) {
    writeln!(text, "{line}").expect("a string takes everything");
}

/// `None` for a chart.
fn block(block: &Block) -> Option<String> {
    Some(match block {
        Block::Text(words) => format!("{}\n", inline(words)),
        Block::Caution(words) => format!("> {}\n", inline(words)),
        Block::Heading(words) => format!("### {}\n", inline(words)),
        Block::List(lines) => list(lines.iter().map(String::as_str)),
        Block::Terms(terms) => list(terms.iter().map(|(term, lines)| {
            let explained = lines.join(" ");
            format!("{term}: {explained}")
        })),
        Block::Table(rows) => table(rows),
        Block::Figure(_) => return None,
    })
}

fn list(lines: impl Iterator<Item = impl AsRef<str>>) -> String {
    lines.fold(String::new(), |mut text, words| {
        line(&mut text, &format!("- {}", inline(words.as_ref())));
        text
    })
}

/// A table under its caption.
pub(super) fn table(table: &Table) -> String {
    let mut text = format!("**{}**\n\n", inline(&table.caption));
    let mut row = |cells: Vec<String>| line(&mut text, &format!("| {} |", cells.join(" | ")));
    row(table.columns.iter().map(|column| inline(column)).collect());
    row(vec!["---".to_owned(); table.columns.len()]);
    for cells in &table.rows {
        row(cells.iter().map(cell).collect());
    }
    text
}

fn cell(cell: &Cell) -> String {
    let lines = std::iter::once(&cell.text).chain(&cell.details);
    let filled = lines.filter(|line| !line.is_empty());
    filled
        .map(|line| inline(line))
        .collect::<Vec<_>>()
        .join("; ")
}

/// Text of one line in which no sign has a meaning of its own.
fn inline(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '\n' | '\r' => text.push(' '),
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '~' | '&' => {
                text.push('\\');
                text.push(letter);
            }
            letter => text.push(letter),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_block_is_written_and_no_word_becomes_markup() {
        let mut table = Table::new("Sites | all", &["Site", "Share"]);
        table.push(vec![
            "A|b <i>".into(),
            Cell {
                text: "80%".to_owned(),
                details: vec!["8 of 10".to_owned(), String::new()],
            },
        ]);
        table.push(vec!["_Cedar_".into()]);
        let section = Section {
            id: "one",
            heading: "One *minute*".to_owned(),
            blocks: vec![
                Block::List(vec!["first\nline".to_owned(), "# second".to_owned()]),
                Block::Table(table),
                Block::Caution("look".to_owned()),
                Block::Terms(vec![("overtube".to_owned(), vec!["a tube".to_owned()])]),
            ],
        };
        let text = document("Review", "Of 3 sites.", [&section].into_iter());
        let expected = "# Review\n\nOf 3 sites.\n\n## One \\*minute\\*\n\n\
            - first line\n- \\# second\n\n\
            **Sites \\| all**\n\n| Site | Share |\n| --- | --- |\n\
            | A\\|b \\<i\\> | 80%; 8 of 10 |\n| \\_Cedar\\_ | – |\n\n\
            > look\n\n- overtube: a tube\n\n";
        assert_eq!(text, expected);
    }
}
