//! A table as LaTeX, to be taken in with `\input`. The only file that knows its syntax.

use crate::report::content::{Cell, Table};
use std::fmt::Write as _;

/// Letters of one line after which a cell may rather have another line.
const LETTERS_OF_A_LINE: usize = 28;

/// Letters of this size that a page of the common class has room for.
const LETTERS_OF_A_ROW: usize = 84;

/// Letters that the space between columns takes.
const BETWEEN_COLUMNS: usize = 2;

/// The table as a `longtable`, which may run over pages, as wide as the text, with a label of its name.
pub(super) fn document(table: &Table, name: &str) -> String {
    let mut text = String::new();
    let mut line = |words: &str| writeln!(text, "{words}").expect("a string takes everything");
    line(
        "% For \\input in a document with \\usepackage{array,longtable}, in UTF-8. A wide table reads better \
         on a turned page: \\usepackage{pdflscape} and \\begin{landscape}.",
    );
    line(
        "\\begingroup\\footnotesize\\renewcommand{\\arraystretch}{1.15}\\setlength{\\tabcolsep}{3pt}\
         \\setlength{\\LTcapwidth}{\\linewidth}",
    );
    line("\\begin{longtable}{%");
    for thousandths in widths(table) {
        line(&format!(
            ">{{\\raggedright\\arraybackslash}}p{{\\dimexpr 0.{thousandths:03}\\linewidth-2\\tabcolsep\\relax}}%"
        ));
    }
    line("}");
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
    line("\\hline\n\\end{longtable}\n\\endgroup");
    text
}

/// Thousandths of the width of the text for each column: each has room for its longest word, and what is
/// left goes to those whose cells are longer, up to a line.
fn widths(table: &Table) -> Vec<usize> {
    let letters = |words: &str| words.chars().count();
    // For each column the letters that it must have, and those that it would like beside.
    let wanted: Vec<[usize; 2]> = (0..table.columns.len())
        .map(|column| {
            let cells = table.rows.iter().filter_map(|row| row.get(column));
            let cells: Vec<&str> = cells.map(|cell| cell.text.as_str()).collect();
            let heading = table.columns[column].as_str();
            let all = cells.iter().copied().chain([heading]);
            let words = all.flat_map(str::split_whitespace).map(letters);
            let word = words.max().unwrap_or_default();
            let longest = cells.iter().copied().map(letters).max().unwrap_or_default();
            let more = longest.min(LETTERS_OF_A_LINE).saturating_sub(word);
            [word + BETWEEN_COLUMNS, more]
        })
        .collect();
    let sum = |which: usize| wanted.iter().map(|letters| letters[which]).sum::<usize>();
    let (least, more) = (sum(0), sum(1));
    let room = more.min(LETTERS_OF_A_ROW.saturating_sub(least));
    let share = |part: usize, whole: usize| (1000 * part).checked_div(whole).unwrap_or_default();
    wanted
        .iter()
        .map(|[word, wish]| {
            let thousandths = 1000 * word + share(wish * room, more);
            (thousandths / (least + room).max(1)).min(999)
        })
        .collect()
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
        let mut table = Table::new("Cases & more", &["", "All", "A_"]);
        table.push(vec!["[x".into(), "1".into(), "2%".into()]);
        // Letters of the longest word and two more: 4, 5 and 4 of 13.
        assert_eq!(
            document(&table, "case_mix"),
            "% For \\input in a document with \\usepackage{array,longtable}, in UTF-8. A wide table reads \
             better on a turned page: \\usepackage{pdflscape} and \\begin{landscape}.\n\
             \\begingroup\\footnotesize\\renewcommand{\\arraystretch}{1.15}\
             \\setlength{\\tabcolsep}{3pt}\\setlength{\\LTcapwidth}{\\linewidth}\n\
             \\begin{longtable}{%\n\
             >{\\raggedright\\arraybackslash}p{\\dimexpr 0.307\\linewidth-2\\tabcolsep\\relax}%\n\
             >{\\raggedright\\arraybackslash}p{\\dimexpr 0.384\\linewidth-2\\tabcolsep\\relax}%\n\
             >{\\raggedright\\arraybackslash}p{\\dimexpr 0.307\\linewidth-2\\tabcolsep\\relax}%\n\
             }\n\
             \\caption{Cases \\& more}\\label{tab:case-mix}\\\\\n\
             \\hline\n\
             \x20& All & A\\_ \\\\\n\
             \\hline\n\\endhead\n\
             {[}x & 1 & 2\\% \\\\\n\
             \\hline\n\\end{longtable}\n\\endgroup\n"
        );
    }

    #[test]
    fn words_have_room_before_long_cells_get_more_of_it() {
        let mut table = Table::new("", &["Month", "Words"]);
        let long = "word ".repeat(40);
        table.push(vec!["2026-09".into(), long.as_str().into()]);
        // 9 and 7 letters must be; the second would have 28 - 5 more: 9 and 30 of 39.
        assert_eq!(widths(&table), [230, 769]);
        let mut wide = Table::new("", &["Month"; 10]);
        wide.push(vec![long.as_str().into(); 10]);
        // 7 letters each leave 14 of 84 for ten columns that all want more.
        assert_eq!(widths(&wide), [100; 10]);
        assert_eq!(widths(&Table::new("", &[])), [0; 0]);
    }
}
