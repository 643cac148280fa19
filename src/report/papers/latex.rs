//! A table as LaTeX, to be taken in with `\input`. The only file that knows its syntax.

use crate::report::content::{Cell, Table};
use std::fmt::Write as _;

/// The table as a `longtable`, which may run over pages, with a label of its name.
pub(super) fn document(table: &Table, name: &str) -> String {
    let mut text = String::new();
    let mut line = |words: &str| writeln!(text, "{words}").expect("a string takes everything");
    let width = table.columns.len();
    line("% For \\input in a document with \\usepackage{longtable}, in UTF-8.");
    line(&format!(
        "\\begin{{longtable}}{{l{}}}",
        "r".repeat(width.saturating_sub(1))
    ));
    line(&format!(
        "\\caption{{{}}}\\label{{tab:{}}}\\\\",
        escaped(&table.caption),
        name.replace('_', "-")
    ));
    line("\\hline");
    line(&row(table.columns.iter().map(|column| escaped(column))));
    line("\\hline\n\\endhead");
    for cells in &table.rows {
        line(&row(cells.iter().map(cell)));
    }
    line("\\hline\n\\end{longtable}");
    text
}

fn row(cells: impl Iterator<Item = String>) -> String {
    format!("{} \\\\", cells.collect::<Vec<_>>().join(" & "))
}

fn cell(cell: &Cell) -> String {
    let lines = std::iter::once(&cell.text).chain(&cell.details);
    let filled = lines.filter(|line| !line.is_empty());
    filled
        .map(|line| escaped(line))
        .collect::<Vec<_>>()
        .join("; ")
}

/// Text of one line in which no sign has a meaning of its own. A bracket or a star at the start of a
/// row would be taken for an option of the row before, and two dashes for one long one.
fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    let mut before = ' ';
    for letter in words.chars() {
        match letter {
            '\\' => text.push_str("\\textbackslash{}"),
            '~' => text.push_str("\\textasciitilde{}"),
            '^' => text.push_str("\\textasciicircum{}"),
            '<' => text.push_str("\\textless{}"),
            '>' => text.push_str("\\textgreater{}"),
            '|' => text.push_str("\\textbar{}"),
            '`' => text.push_str("\\textasciigrave{}"),
            '"' => text.push_str("{''}"),
            '{' | '}' | '$' | '&' | '#' | '%' | '_' => {
                text.push('\\');
                text.push(letter);
            }
            '[' | ']' | '*' => {
                text.push('{');
                text.push(letter);
                text.push('}');
            }
            '-' | '\'' if before == letter => {
                text.push_str("{}");
                text.push(letter);
            }
            '\u{a0}' => text.push('~'),
            '\u{2003}' => text.push_str("\\quad "),
            '\u{2013}' => text.push_str("--"),
            '\u{2212}' => text.push_str("$-$"),
            letter if letter.is_control() => text.push(' '),
            letter => text.push(letter),
        }
        before = letter;
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What each sign prints as itself with, by the LaTeX Companion's lists; from memory.
    #[test]
    fn no_sign_of_a_name_is_taken_for_markup() {
        for (words, expected) in [
            ("A&B", "A\\&B"),
            ("50% #1_a $", "50\\% \\#1\\_a \\$"),
            ("\\end{x}", "\\textbackslash{}end\\{x\\}"),
            ("a~b^c", "a\\textasciitilde{}b\\textasciicircum{}c"),
            ("[1] *", "{[}1{]} {*}"),
            ("a--b", "a-{}-b"),
            ("<a|b>", "\\textless{}a\\textbar{}b\\textgreater{}"),
            ("a\nb\tc", "a b c"),
            ("\u{a0}\u{2013}\u{2212}", "~--$-$"),
            ("Höhe \"x\"", "Höhe {''}x{''}"),
        ] {
            assert_eq!(escaped(words), expected, "{words}");
        }
    }

    #[test]
    fn a_table_has_as_many_columns_in_each_row_as_it_says() {
        let mut table = Table::new("Cases & more", &["", "All", "A_b"]);
        table.push(vec!["[x".into(), "1".into(), "2%".into()]);
        assert_eq!(
            document(&table, "case_mix"),
            "% For \\input in a document with \\usepackage{longtable}, in UTF-8.\n\
             \\begin{longtable}{lrr}\n\
             \\caption{Cases \\& more}\\label{tab:case-mix}\\\\\n\
             \\hline\n\
             \x20& All & A\\_b \\\\\n\
             \\hline\n\\endhead\n\
             {[}x & 1 & 2\\% \\\\\n\
             \\hline\n\\end{longtable}\n"
        );
    }
}
