//! Why an output directory cannot be written. Every message names its path, and those that a
//! person can do something about say what.

use std::io;
use std::path::{Path, PathBuf};

/// The target cannot be written to or replaced.
#[derive(Debug, thiserror::Error)]
pub enum DirectoryError {
    /// The path has no name of its own: `.`, `..`, `/`.
    #[error("`{}` cannot be the output directory; name a directory inside it", path.display())]
    NoName {
        /// The path given.
        path: PathBuf,
    },
    /// A link would be replaced instead of what it points to.
    #[error("output directory `{}` is a symbolic link; name the directory that it points to", path.display())]
    IsLink {
        /// The path given.
        path: PathBuf,
    },
    /// The target is a file.
    #[error("output directory `{}` is a file; choose another --out", path.display())]
    IsFile {
        /// The path given.
        path: PathBuf,
    },
    /// The target holds something else than results of this tool.
    #[error(
        "output directory `{}` is not empty and holds no results of scopetally; choose another --out, or empty it",
        path.display()
    )]
    NotOurs {
        /// The path given.
        path: PathBuf,
    },
    /// The target holds results of this tool, and a file that somebody else has put there.
    #[error(
        "the output directory holds `{}`, which scopetally has not written and would remove; move it, or choose another --out",
        path.display()
    )]
    ForeignFile {
        /// The file.
        path: PathBuf,
    },
    /// A file of the run would lie outside of the output directory.
    #[error("`{}` is not a path inside the output directory", path.display())]
    Outside {
        /// The path asked for.
        path: PathBuf,
    },
    /// The new results could not be put in place and the old ones could not be put back.
    #[error("cannot rename `{}` to `{}`; the former results are now in `{}`", from.display(), to.display(), old.display())]
    OldSetAside {
        /// The new results.
        from: PathBuf,
        /// The target.
        to: PathBuf,
        /// Where the former results are.
        old: PathBuf,
        /// Why the new results could not be put in place.
        source: io::Error,
    },
    /// The file system refused.
    #[error("cannot {action} `{}`", path.display())]
    Io {
        /// What was tried.
        action: &'static str,
        /// Where.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
}

/// Makes an error that names its path.
pub(super) fn failed(
    action: &'static str,
    path: &Path,
) -> impl FnOnce(io::Error) -> DirectoryError {
    let path = path.to_owned();
    move |source| DirectoryError::Io {
        action,
        path,
        source,
    }
}
