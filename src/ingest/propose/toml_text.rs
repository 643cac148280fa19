//! Lines of TOML that a person reads: aligned, each with its comment, and texts of an export that
//! cannot break out of their quotes. Knows no field.

use std::fmt::Write;

/// Widest key and widest value that the lines of a table are aligned to.
const WIDEST: usize = 34;

/// A text as a TOML string on one line, with its quotes.
///
/// Signs that a terminal would obey or not show are written as escapes, also where TOML would let
/// them stand: a person is to see what a heading holds.
pub(super) fn quoted(text: &str) -> String {
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for letter in text.chars() {
        match letter {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' => quoted.push_str("\\n"),
            '\r' => quoted.push_str("\\r"),
            '\t' => quoted.push_str("\\t"),
            _ if is_unseen(letter) => {
                let number = u32::from(letter);
                let escaped = if number > 0xffff {
                    write!(quoted, "\\U{number:08X}")
                } else {
                    write!(quoted, "\\u{number:04X}")
                };
                escaped.expect("a string takes all that is written to it");
            }
            _ => quoted.push(letter),
        }
    }
    quoted.push('"');
    quoted
}

/// Control signs, and those that have no width or turn the direction of a line.
fn is_unseen(letter: char) -> bool {
    letter.is_control()
        || matches!(
            letter,
            '\u{a0}'
                | '\u{ad}'
                | '\u{61c}'
                | '\u{180e}'
                | '\u{2000}'..='\u{200f}'
                | '\u{2028}'..='\u{202f}'
                | '\u{205f}'..='\u{206f}'
                | '\u{3000}'
                | '\u{feff}'
                | '\u{fff9}'..='\u{fffb}'
                | '\u{e0000}'..='\u{e007f}'
        )
}

/// The lines of one table, or of the part of one.
#[derive(Default)]
pub(super) struct Lines {
    lines: Vec<Line>,
}

enum Line {
    Entry {
        key: String,
        value: String,
        comment: String,
        /// Whether the line is only offered, behind a `#`.
        is_offer: bool,
    },
    /// A line as it stands.
    Plain(String),
}

impl Lines {
    /// A line that holds.
    pub(super) fn entry(
        &mut self,
        key: impl Into<String>,
        value: impl Into<String>,
        comment: impl Into<String>,
    ) {
        self.push(key.into(), value.into(), comment.into(), false);
    }

    /// A line behind a `#`, for a person to take or leave.
    pub(super) fn offer(
        &mut self,
        key: impl Into<String>,
        value: impl Into<String>,
        comment: impl Into<String>,
    ) {
        self.push(key.into(), value.into(), comment.into(), true);
    }

    fn push(&mut self, key: String, value: String, comment: String, is_offer: bool) {
        self.lines.push(Line::Entry {
            key,
            value,
            comment,
            is_offer,
        });
    }

    /// A list with one text a line, each with its comment.
    pub(super) fn list(&mut self, key: &str, texts: &[(String, String)]) {
        self.lines.push(Line::Plain(format!("{key} = [")));
        let width = widest(texts.iter().map(|(text, _)| text.as_str()));
        for (text, comment) in texts {
            let text = format!("{text},");
            self.lines.push(Line::Plain(with_comment(
                &format!("    {}", padded(&text, width + 1)),
                comment,
            )));
        }
        self.lines.push(Line::Plain("]".to_string()));
    }

    /// A comment on a line of its own.
    pub(super) fn remark(&mut self, text: impl AsRef<str>) {
        self.lines.push(Line::Plain(format!("# {}", text.as_ref())));
    }

    pub(super) fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// Adds the lines to a document.
    pub(super) fn write(&self, document: &mut String) {
        let offer = |is_offer: bool| if is_offer { "# " } else { "" };
        let entries = || {
            self.lines.iter().filter_map(|line| match line {
                Line::Entry {
                    key,
                    value,
                    is_offer,
                    ..
                } => Some((format!("{}{key}", offer(*is_offer)), value)),
                Line::Plain(_) => None,
            })
        };
        let keys: Vec<String> = entries().map(|(key, _)| key).collect();
        let key_width = widest(keys.iter().map(String::as_str));
        let value_width = widest(entries().map(|(_, value)| value.as_str()));
        for line in &self.lines {
            match line {
                Line::Plain(text) => document.push_str(text.trim_end()),
                Line::Entry {
                    key,
                    value,
                    comment,
                    is_offer,
                } => {
                    let key = format!("{}{key}", offer(*is_offer));
                    let text = format!(
                        "{} = {}",
                        padded(&key, key_width),
                        padded(value, value_width)
                    );
                    document.push_str(&with_comment(&text, comment));
                }
            }
            document.push('\n');
        }
    }
}

fn with_comment(text: &str, comment: &str) -> String {
    if comment.is_empty() {
        text.trim_end().to_string()
    } else {
        format!("{text}   # {comment}")
    }
}

fn widest<'a>(texts: impl Iterator<Item = &'a str>) -> usize {
    texts
        .map(|text| text.chars().count())
        .filter(|width| *width <= WIDEST)
        .max()
        .unwrap_or(0)
}

fn padded(text: &str, width: usize) -> String {
    format!("{text:<width$}")
}

#[cfg(test)]
mod tests {
    use super::{Lines, quoted};

    fn read(text: &str) -> String {
        let table: toml::Table = toml::from_str(&format!("word = {text}\n{text} = 1\n"))
            .unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(table.len(), if text == "\"word\"" { 1 } else { 2 });
        table["word"].as_str().unwrap_or_default().to_string()
    }

    #[test]
    fn a_text_cannot_break_out_of_its_quotes() {
        assert_eq!(quoted("Scope \"in\""), r#""Scope \"in\"""#);
        assert_eq!(quoted("a\\b\n[x]\t#"), r#""a\\b\n[x]\t#""#);
        assert_eq!(
            quoted("\u{1b}[2J\u{202e}\u{7f}\u{a0}\u{e0041}"),
            r#""\u001B[2J\u202E\u007F\u00A0\U000E0041""#
        );
        assert_eq!(quoted("Größe"), "\"Größe\"");
        for text in ["", "\"", "\\", "\"\"\"", "\r\n", "\u{0}", "é\u{feff}", "'"] {
            assert_eq!(read(&quoted(text)), text);
        }
    }

    proptest::proptest! {
        #[test]
        fn any_text_comes_back(text in "(?s).{0,40}") {
            let quoted = quoted(&text);
            assert_eq!(read(&quoted), text);
            assert!(!quoted.chars().any(char::is_control));
        }
    }

    #[test]
    fn lines_are_aligned_and_offers_stand_behind_a_sign() {
        let mut lines = Lines::default();
        lines.entry("a", "\"long value\"", "sure");
        lines.offer("bcd", "\"x\"", "");
        lines.remark("said");
        lines.list(
            "drop",
            &[
                ("\"a\"".into(), "one".into()),
                ("\"bc\"".into(), String::new()),
            ],
        );
        assert!(!lines.is_empty() && Lines::default().is_empty());
        let mut document = String::new();
        lines.write(&mut document);
        assert_eq!(
            document,
            "a     = \"long value\"   # sure\n# bcd = \"x\"\n# said\ndrop = [\n    \"a\",    # one\n    \"bc\",\n]\n"
        );
    }
}
