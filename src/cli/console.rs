//! How lines reach the terminal: which stream, which color, which form. What they say is said by
//! others. Positions, kinds and counts; never the content of a cell.
//!
//! Colors come from `anstream`, which leaves them out where there is no terminal and where
//! `NO_COLOR` is set; nothing is told by a color alone.

use super::text_table::{TERMINAL_WIDTH, TextTable, wrapped};
use crate::ingest::IngestError;
use clap::builder::styling::{AnsiColor, Style};
use std::io::Write as _;

/// What a word is, and so its color.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tone {
    /// The run cannot go on.
    Error,
    /// Something was left out, or a limit was crossed.
    Warning,
    /// Someone may want to look.
    Note,
    /// What can be done.
    Hint,
    /// A mark that leads the eye.
    Mark,
    /// A heading or label.
    Heading,
}

impl Tone {
    fn style(self) -> Style {
        match self {
            Tone::Error => AnsiColor::Red.on_default().bold(),
            Tone::Warning => AnsiColor::Yellow.on_default().bold(),
            Tone::Note => AnsiColor::Cyan.on_default().bold(),
            Tone::Hint => AnsiColor::Green.on_default().bold(),
            Tone::Mark => AnsiColor::Blue.on_default().bold(),
            Tone::Heading => Style::new().bold(),
        }
    }
}

/// A text in the color of what it is.
pub(super) fn painted(tone: Tone, text: &str) -> String {
    let style = tone.style();
    format!("{style}{text}{style:#}")
}

/// Prints one line to standard output. A closed pipe, as after `| head`, is no error.
pub(super) fn line(text: &str) {
    drop(writeln!(anstream::stdout(), "{text}"));
}

fn error_line(text: &str) {
    drop(writeln!(anstream::stderr(), "{text}"));
}

/// Prints a warning.
pub(super) fn warn(text: &str) {
    error_line(&format!("{}: {text}", painted(Tone::Warning, "warning")));
}

/// Prints what somebody may want to look at, beside the output.
pub(super) fn note(text: &str) {
    error_line(&format!("{}: {text}", painted(Tone::Note, "note")));
}

/// Prints an item of a list beside the output, its further lines indented.
pub(super) fn aside(text: &str) {
    for (index, line) in wrapped(text, TERMINAL_WIDTH - 4).iter().enumerate() {
        error_line(&format!("{}{line}", if index == 0 { "  " } else { "    " }));
    }
}

/// Prints a hint after a blank line.
pub(super) fn hint(text: &str) {
    line(&format!("\n{}: {text}", painted(Tone::Hint, "hint")));
}

const LABEL_WIDTH: usize = 8;

/// Prints a text beside its label, in as many lines as it needs.
pub(super) fn labeled(label: &str, text: &str) {
    labeled_lines(label, &wrapped(text, TERMINAL_WIDTH - LABEL_WIDTH));
}

/// Prints lines beside their label, which stands at the first of them.
pub(super) fn labeled_lines(label: &str, texts: &[String]) {
    let label = format!("{label:<LABEL_WIDTH$}");
    for (index, text) in texts.iter().enumerate() {
        if index == 0 {
            line(&format!("{}{text}", painted(Tone::Heading, &label)));
        } else {
            line(&format!("{}{text}", " ".repeat(LABEL_WIDTH)));
        }
    }
}

/// Prints a table.
pub(super) fn table(table: &TextTable) {
    for (index, text) in table.lines().iter().enumerate() {
        if index == 0 {
            line(&painted(Tone::Heading, text));
        } else {
            line(text);
        }
    }
}

/// Prints an error of the program itself, and what to do.
pub(super) fn print_internal_error(message: &str, remedy: &str) {
    error_line(&format!("{}: {message}", painted(Tone::Error, "error")));
    error_line(&format!("\n{}: {remedy}", painted(Tone::Hint, "hint")));
}

/// Prints an error with its causes, and what to do.
pub(super) fn print_error(error: &anyhow::Error) {
    let causes: Vec<String> = error.chain().map(ToString::to_string).collect();
    // Some errors name their cause in their own words already.
    let mut message = String::new();
    for cause in causes {
        if !message.contains(&cause) {
            if !message.is_empty() {
                message.push_str(": ");
            }
            message.push_str(&cause);
        }
    }
    error_line(&format!("{}: {message}", painted(Tone::Error, "error")));
    if let Some(error) = error.downcast_ref::<IngestError>() {
        error_line(&format!(
            "\n{}: {}",
            painted(Tone::Hint, "hint"),
            error.hint()
        ));
    }
}
