//! What was typed as input files → the files to read. The only place that knows file patterns.

use crate::ingest::error::IngestError;
use glob::MatchOptions;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Typed for standard input.
pub(in crate::ingest) const STANDARD_INPUT: &str = "-";

/// The files to read, in the order typed, those of one pattern sorted.
///
/// A path that exists is itself, whatever characters it holds. Otherwise `*`, `?` and `[` make it
/// a pattern, for shells that leave patterns to the program and for patterns inside quotes. As in
/// a shell, no pattern matches a hidden file; directories are left out.
///
/// # Errors
/// When a pattern matches no file, and when one file is given twice: its rows would count twice.
pub fn expand(typed: &[PathBuf]) -> Result<Vec<PathBuf>, IngestError> {
    let mut paths = Vec::with_capacity(typed.len());
    for path in typed {
        if path == Path::new(STANDARD_INPUT) {
            paths.push(path.clone());
            continue;
        }
        match (fs::symlink_metadata(path), pattern(path)) {
            (Ok(_), _) => paths.push(path.clone()),
            (Err(_), Some(pattern)) => paths.extend(matches(path, pattern)?),
            (Err(source), None) => return Err(IngestError::unreadable(path, source)),
        }
    }
    refuse_repeats(&paths)?;
    Ok(paths)
}

/// The text of a path that holds the characters of a pattern.
fn pattern(path: &Path) -> Option<&str> {
    path.to_str().filter(|text| text.contains(['*', '?', '[']))
}

fn matches(path: &Path, pattern: &str) -> Result<Vec<PathBuf>, IngestError> {
    let no_match = || IngestError::NoMatch {
        pattern: path.to_path_buf(),
    };
    let options = MatchOptions {
        require_literal_leading_dot: true,
        ..MatchOptions::default()
    };
    // A bracket that never closes is no pattern, and no file has this name.
    let found = glob::glob_with(pattern, options).map_err(|_| no_match())?;
    let mut files = Vec::new();
    for entry in found {
        let file = entry.map_err(|error| {
            let folder = error.path().to_path_buf();
            IngestError::unreadable(&folder, error.into())
        })?;
        if !file.is_dir() {
            files.push(file);
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(no_match());
    }
    Ok(files)
}

fn refuse_repeats(paths: &[PathBuf]) -> Result<(), IngestError> {
    let mut seen: BTreeMap<PathBuf, &Path> = BTreeMap::new();
    for path in paths {
        // Pipes have no other name; a path that cannot be resolved stands for itself.
        let resolved = fs::canonicalize(path).unwrap_or_else(|_| path.clone());
        if let Some(earlier) = seen.insert(resolved, path) {
            return Err(IngestError::SameFileTwice {
                path: path.clone(),
                earlier: earlier.to_path_buf(),
            });
        }
    }
    Ok(())
}
