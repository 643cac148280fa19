//! The header of a measure file → its definition.

use crate::domain::codes::CodeList;
use crate::domain::fields::{COMPUTED_DIMENSIONS, CaseField, Field, Kind, PassField};
use crate::domain::measure::{Better, Definition, MeasureKind};
use crate::domain::month::Month;

/// What is wrong with a measure file. The message names the key and says what it wants.
#[derive(Debug, thiserror::Error)]
pub enum DefinitionError {
    /// A file or directory could not be read.
    #[error("cannot read `{}`: {source}", path.display())]
    Unreadable {
        /// The file or directory.
        path: std::path::PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A key is missing from the header.
    #[error("measure `{file}`: the header has no `-- {key}:` line")]
    MissingKey {
        /// File name without directory.
        file: String,
        /// The key.
        key: &'static str,
    },
    /// A line of the header is no `-- key: value` with a known key, or repeats one.
    #[error(
        "measure `{file}`, line {line_number}: expected one `-- key: value` line for each of {}",
        KEYS.join(", ")
    )]
    WrongHeaderLine {
        /// File name without directory.
        file: String,
        /// From 1.
        line_number: usize,
    },
    /// A value is not one of its words.
    #[error("measure `{file}`: `{key}` must be {expected}")]
    WrongValue {
        /// File name without directory.
        file: String,
        /// The key.
        key: &'static str,
        /// What it may be.
        expected: String,
    },
    /// The query below the header is not a single `select`.
    #[error(
        "measure `{file}`: below the header stands one `select` (or `with`) statement without `;` or comments, and nothing else"
    )]
    NotOneSelect {
        /// File name without directory.
        file: String,
    },
    /// A measure of the site has the identifier of a built-in one, or two have the same.
    #[error(
        "measure `{file}`: there is already a measure of this name; choose another id and file name"
    )]
    Repeated {
        /// File name without directory.
        file: String,
    },
    /// A directory of measures holds no `.sql` file.
    #[error("`{}` holds no `.sql` file", path.display())]
    NoMeasure {
        /// The directory.
        path: std::path::PathBuf,
    },
}

const KEYS: [&str; 9] = [
    "id", "version", "kind", "title", "question", "eligible", "hit", "better", "source",
];

/// Reads one measure file. `stem` is its file name without `.sql`, which must be the id.
pub(super) fn parse(stem: &str, text: &str) -> Result<Definition, DefinitionError> {
    let file = || format!("{stem}.sql");
    let mut values: [Option<&str>; KEYS.len()] = [None; KEYS.len()];
    let mut header_length = 0;
    for (index, line) in text.lines().enumerate() {
        let Some(comment) = line.strip_prefix("--") else {
            break;
        };
        header_length = index + 1;
        let wrong = || DefinitionError::WrongHeaderLine {
            file: file(),
            line_number: index + 1,
        };
        let (key, value) = comment.split_once(':').ok_or_else(wrong)?;
        let place = KEYS
            .iter()
            .position(|known| *known == key.trim())
            .ok_or_else(wrong)?;
        if values[place].replace(value.trim()).is_some() {
            return Err(wrong());
        }
    }
    let value = |key: &'static str| {
        let place = KEYS.iter().position(|known| *known == key);
        place
            .and_then(|place| values[place])
            .filter(|value| !value.is_empty())
            .ok_or_else(|| DefinitionError::MissingKey { file: file(), key })
    };
    let wrong = |key, expected: String| DefinitionError::WrongValue {
        file: file(),
        key,
        expected,
    };
    let is_id = |id: &str| {
        id.starts_with(|c: char| c.is_ascii_lowercase())
            && id
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
    };
    let id = value("id")?;
    if id != stem || !is_id(id) {
        let expected = "the file name without `.sql`, in lowercase letters, digits and `_`";
        return Err(wrong("id", expected.into()));
    }
    let version = value("version")?
        .parse()
        .ok()
        .filter(|version| *version >= 1);
    let kind = MeasureKind::ALL
        .into_iter()
        .find(|kind| value("kind").is_ok_and(|v| v == kind.code()));
    let better = Better::ALL
        .into_iter()
        .find(|better| value("better").is_ok_and(|v| v == better.code()));
    let sql = text
        .lines()
        .skip(header_length)
        .collect::<Vec<_>>()
        .join("\n")
        .trim()
        .to_string();
    if !is_one_select(&sql) {
        return Err(DefinitionError::NotOneSelect { file: file() });
    }
    let one_of = |words: &[&str]| format!("one of {}", words.join(", "));
    value("kind")?;
    value("better")?;
    Ok(Definition {
        id: id.to_string(),
        version: version.ok_or_else(|| wrong("version", "a whole number from 1 on".into()))?,
        kind: kind
            .ok_or_else(|| wrong("kind", one_of(&MeasureKind::ALL.map(MeasureKind::code))))?,
        title: value("title")?.to_string(),
        question: value("question")?.to_string(),
        eligible: value("eligible")?.to_string(),
        hit: value("hit")?.to_string(),
        better: better.ok_or_else(|| wrong("better", one_of(&Better::ALL.map(Better::code))))?,
        source: value("source")?.to_string(),
        sql,
    })
}

/// The file becomes part of a larger query, so it must be one query and nothing that ends it.
fn is_one_select(sql: &str) -> bool {
    let first_word = sql
        .split_whitespace()
        .next()
        .unwrap_or_default()
        .to_ascii_lowercase();
    ["select", "with"].contains(&first_word.as_str())
        && !sql.contains(';')
        && !sql.contains("--")
        && !sql.contains("/*")
}

/// The quoted words of a query that are neither a code of any field nor a month. Comparing a column
/// with such a word finds nothing and looks like 0 %; only a site's name is meant to be one.
pub fn words_without_code(definition: &Definition) -> Vec<&str> {
    let is_code = |word: &str| {
        let is_computed = |(_, list, _): &(_, CodeList, _)| list.position(word).is_some();
        if COMPUTED_DIMENSIONS.iter().any(is_computed) {
            return true;
        }
        let kinds = CaseField::ALL.iter().map(|field| field.kind());
        kinds
            .chain(PassField::ALL.iter().map(|field| field.kind()))
            .any(|kind| matches!(kind, Kind::Code(list) if list.position(word).is_some()))
    };
    let quoted = definition.sql.split('\'').skip(1).step_by(2);
    quoted
        .filter(|word| !is_code(word) && word.parse::<Month>().is_err())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const WHOLE: &str = "\
-- id:        long_case
-- version:   2
-- kind:      share
-- title:     Long cases
-- question:  How many cases lasted long: an hour or more?
-- eligible:  scope in and out recorded
-- hit:       60 minutes or more
-- better:    lower
-- source:    common practice, no source
select case_id, 1 as eligible, 0 as hit
from cases
";

    #[track_caller]
    fn check_refused(from: &str, to: &str, message: &str) {
        assert!(WHOLE.contains(from), "{from}");
        let error = parse("long_case", &WHOLE.replace(from, to)).expect_err("a faulty file");
        assert!(error.to_string().contains(message), "{error}");
    }

    #[test]
    fn a_whole_header_is_read_colons_and_all() {
        let definition = parse("long_case", WHOLE).expect("a whole file");
        assert_eq!(
            (definition.version, definition.kind),
            (2, MeasureKind::Share)
        );
        assert_eq!(
            definition.question,
            "How many cases lasted long: an hour or more?"
        );
        assert_eq!(definition.better, Better::Lower);
        assert!(definition.sql.starts_with("select") && definition.sql.ends_with("from cases"));
    }

    #[test]
    fn words_that_are_no_code_are_found() {
        let text = WHOLE.replace(
            "from cases",
            "from cases where outcome in ('removed', 'Retrieved') and month >= '2026-01'",
        );
        let definition = parse("long_case", &text).expect("a whole file");
        assert_eq!(words_without_code(&definition), ["Retrieved"]);
        for definition in crate::measure::built_in() {
            assert_eq!(
                words_without_code(&definition),
                [""; 0],
                "{}",
                definition.id
            );
        }
    }

    #[test]
    fn faults_are_named_by_file_and_key() {
        check_refused(
            "-- better:    lower\n",
            "",
            "`long_case.sql`: the header has no `-- better:` line",
        );
        check_refused(
            "lower",
            "smaller",
            "`better` must be one of higher, lower, neither",
        );
        check_refused("share", "ratio", "`kind` must be one of share, minutes");
        check_refused(
            "version:   2",
            "version:   0",
            "`version` must be a whole number",
        );
        check_refused(
            "-- id:        long_case",
            "-- id:        other",
            "`id` must be the file name",
        );
        check_refused("-- title: ", "-- titel: ", "line 4");
        check_refused("from cases", "from cases; drop table cases", "one `select`");
        check_refused("select case_id", "drop table cases", "one `select`");
        check_refused("from cases", "from cases -- all", "one `select`");
    }
}
