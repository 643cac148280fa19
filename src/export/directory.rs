//! The output directory: all of a run's files appear at once or not at all.
//!
//! Files are first written to a directory of this shape beside the target, on the same file
//! system:
//! ```text
//! reports/.scopetally-2026-09-x7Qa1c/   only for us to read
//!     temporary                         the marker: ours, and locked while the run lives
//!     new/                              the files of this run
//!     old/                              the former target, for an instant
//! reports/2026-09/                      the target
//! ```
//! [`OutputDirectory::finish`] renames the target to `old`, then `new` to the target, and removes
//! the rest. A run that is killed before leaves the target as it was. One instant remains, between
//! the two renames: a run that is killed in it leaves no target, and the next run with this target
//! puts `old` back before anything else. That run also removes what killed runs left behind.
//!
//! Against a power cut, only `run.json` and the two directories that the renames change are forced
//! to the disk: a few milliseconds, where all files took a sixth of a second on the machine that we
//! measured. Right after a power cut the new files may thus be incomplete; but the directory is
//! known as ours, and the same command makes the same files again.
//!
//! Knows nothing of what the files say, except that a `run.json` of this tool makes a directory
//! ours to replace, as long as it holds nothing but the files which that `run.json` lists.

mod error;
mod leftovers;

pub use error::DirectoryError;

use super::manifest;
use crate::domain::side_by_side::side_by_side;
use error::failed;
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::num::NonZeroUsize;
use std::path::{Component, Path, PathBuf};
use tempfile::TempDir;

/// Where rows of cases and places of faults stand, which are for those who made the outputs.
const INTERNAL: &str = "internal";

const NEW: &str = "new";
const OLD: &str = "old";

/// An output directory in the making. Dropping it removes its files and leaves the target alone.
#[derive(Debug)]
pub struct OutputDirectory {
    target: PathBuf,
    new: PathBuf,
    written: Vec<String>,
    root: TempDir,
    /// Held open for its lock. Stands after `root`, so that no other run takes the directory for
    /// abandoned while it is being removed.
    marker: File,
}

/// What stands at the target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Occupant {
    Nothing,
    EmptyDirectory,
    OurResults,
}

impl OutputDirectory {
    /// Checks that `target` can be written or replaced, before any work is done, and opens a
    /// temporary place beside it. Missing parents are made.
    ///
    /// # Errors
    /// When `target` is a link, a file, a directory with anything else than results of this tool,
    /// or has no name of its own; and when the parent cannot be written to.
    pub fn create(target: &Path) -> Result<OutputDirectory, DirectoryError> {
        let name = target.file_name().ok_or_else(|| DirectoryError::NoName {
            path: target.to_owned(),
        })?;
        let parent = match target.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        // Without a slash at the end, with which a link would be followed.
        let target = target.with_file_name(name);
        fs::create_dir_all(parent).map_err(failed("create", parent))?;
        let mut prefix = OsString::from(".scopetally-");
        prefix.push(name);
        prefix.push("-");
        leftovers::clear(&target, parent, &prefix)?;
        occupant(&target)?;

        let root = tempfile::Builder::new()
            .prefix(&prefix)
            .rand_bytes(leftovers::RANDOM_LENGTH)
            .tempdir_in(parent)
            .map_err(failed("create a directory in", parent))?;
        let marker = leftovers::mark(root.path())?;
        let new = root.path().join(NEW);
        fs::create_dir(&new).map_err(failed("create", &new))?;
        Ok(OutputDirectory {
            target,
            new,
            written: Vec::new(),
            root,
            marker,
        })
    }

    /// Writes one file, with the directories that it needs. `relative` is its path in the output
    /// directory, such as `tables/findings.csv`.
    ///
    /// # Errors
    /// When `relative` leads out of the output directory, the file is there already, or it cannot
    /// be written.
    pub fn write(&mut self, relative: &str, content: &[u8]) -> Result<(), DirectoryError> {
        put(&self.new, relative, content)?;
        self.written.push(relative.to_owned());
        Ok(())
    }

    /// Opens one file, to be written piece by piece, as [`OutputDirectory::write`] writes one at once.
    ///
    /// # Errors
    /// When `relative` leads out of the output directory, the file is there already, or it cannot
    /// be created.
    pub fn open(&mut self, relative: &str) -> Result<File, DirectoryError> {
        let (_, file) = create(&self.new, relative)?;
        self.written.push(relative.to_owned());
        Ok(file)
    }

    /// Writes the files of each piece of work, each with its path, as [`OutputDirectory::write`] does;
    /// on several threads, and no longer held than until they are written. They are listed in the order
    /// of the work.
    ///
    /// # Errors
    /// When a file cannot be made, or not be written.
    pub fn write_side_by_side<T: Sync, E: From<DirectoryError> + Send>(
        &mut self,
        work: &[T],
        threads: NonZeroUsize,
        files: impl Fn(&T) -> Result<Vec<(String, Vec<u8>)>, E> + Sync,
    ) -> Result<(), E> {
        let new = &self.new;
        let written = side_by_side(work, threads, |piece| {
            let put = |(path, bytes): (String, Vec<u8>)| {
                put(new, &path, &bytes)?;
                Ok(path)
            };
            files(piece)?
                .into_iter()
                .map(put)
                .collect::<Result<Vec<_>, E>>()
        });
        for paths in written {
            self.written.extend(paths?);
        }
        Ok(())
    }

    /// The files written so far, in their order; `run.json` lists them.
    pub fn written(&self) -> &[String] {
        &self.written
    }

    /// Puts the files in place of the target and returns its path.
    ///
    /// # Errors
    /// When the target has become something else meanwhile, or the file system refuses. The former
    /// results then stand where they were, or the error says where.
    pub fn finish(self) -> Result<PathBuf, DirectoryError> {
        let OutputDirectory {
            target,
            new,
            mut root,
            written: _,
            marker,
        } = self;
        let occupant = occupant(&target)?;
        if occupant != Occupant::Nothing {
            // Someone may have opened or closed the directories to others.
            for (from, to) in [
                (target.clone(), new.clone()),
                (target.join(INTERNAL), new.join(INTERNAL)),
            ] {
                if from.is_dir() && to.is_dir() {
                    let metadata = fs::metadata(&from).map_err(failed("read", &from))?;
                    fs::set_permissions(&to, metadata.permissions())
                        .map_err(failed("set permissions of", &to))?;
                }
            }
        }
        sync(&new.join(manifest::FILE_NAME));
        sync(&new);
        let old = root.path().join(OLD);
        match occupant {
            Occupant::Nothing => {}
            Occupant::EmptyDirectory => {
                fs::remove_dir(&target).map_err(failed("replace", &target))?;
            }
            Occupant::OurResults => {
                fs::rename(&target, &old).map_err(failed("move aside", &target))?;
            }
        }
        if let Err(source) = fs::rename(&new, &target) {
            if occupant == Occupant::OurResults && fs::rename(&old, &target).is_err() {
                root.disable_cleanup(true);
                return Err(DirectoryError::OldSetAside {
                    from: new,
                    to: target,
                    old,
                    source,
                });
            }
            return Err(failed("rename the new results to", &target)(source));
        }
        if let Some(parent) = root.path().parent() {
            sync(parent);
        }
        let leftover = root.path().to_owned();
        leftovers::empty(&leftover)
            .and_then(|()| root.close())
            .map_err(failed("remove the former results in", &leftover))?;
        drop(marker);
        Ok(target)
    }
}

/// Writes a file into the directory of the new files.
fn put(new: &Path, relative: &str, content: &[u8]) -> Result<(), DirectoryError> {
    let (path, mut file) = create(new, relative)?;
    file.write_all(content).map_err(failed("write", &path))
}

/// Creates a file in the directory of the new files, with the directories that it needs.
fn create(new: &Path, relative: &str) -> Result<(PathBuf, File), DirectoryError> {
    let relative = Path::new(relative);
    let is_inside = |part| matches!(part, Component::Normal(_));
    if relative.as_os_str().is_empty() || !relative.components().all(is_inside) {
        return Err(DirectoryError::Outside {
            path: relative.to_owned(),
        });
    }
    let path = new.join(relative);
    if relative.starts_with(INTERNAL) {
        let internal = new.join(INTERNAL);
        create_for_oneself(&internal).map_err(failed("create", &internal))?;
    }
    if let Some(directory) = path.parent() {
        fs::create_dir_all(directory).map_err(failed("create", directory))?;
    }
    let file = File::create_new(&path).map_err(failed("create", &path))?;
    Ok((path, file))
}

/// Creates a directory, unless it is there, that nobody else may open where the system knows of others.
fn create_for_oneself(directory: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(directory)
}

/// What stands at `target`, or why it must not be replaced.
fn occupant(target: &Path) -> Result<Occupant, DirectoryError> {
    let path = target.to_owned();
    let metadata = match fs::symlink_metadata(target) {
        Ok(metadata) => metadata,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Occupant::Nothing),
        Err(error) => return Err(failed("read", target)(error)),
    };
    if metadata.is_symlink() {
        return Err(DirectoryError::IsLink { path });
    }
    if !metadata.is_dir() {
        return Err(DirectoryError::IsFile { path });
    }
    let mut entries = fs::read_dir(target).map_err(failed("read", target))?;
    if entries.next().is_none() {
        return Ok(Occupant::EmptyDirectory);
    }
    let run = target.join(manifest::FILE_NAME);
    match fs::read(&run) {
        Ok(json) => match manifest::outputs_if_ours(&json) {
            Some(outputs) => match foreign_file(target, target, &outputs)? {
                Some(path) => Err(DirectoryError::ForeignFile { path }),
                None => Ok(Occupant::OurResults),
            },
            None => Err(DirectoryError::NotOurs { path }),
        },
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            Err(DirectoryError::NotOurs { path })
        }
        Err(error) => Err(failed("read", &run)(error)),
    }
}

/// The first file below `directory` that no run of ours has written into `target`: notes that
/// someone keeps beside a report must not go when the report is made again.
fn foreign_file(
    target: &Path,
    directory: &Path,
    outputs: &BTreeSet<String>,
) -> Result<Option<PathBuf>, DirectoryError> {
    for entry in fs::read_dir(directory).map_err(failed("read", directory))? {
        let entry = entry.map_err(failed("read", directory))?;
        let path = entry.path();
        if entry.file_type().map_err(failed("read", &path))?.is_dir() {
            if let Some(foreign) = foreign_file(target, &path, outputs)? {
                return Ok(Some(foreign));
            }
            continue;
        }
        let relative = path.strip_prefix(target).unwrap_or(&path);
        let is_output = relative == Path::new(manifest::FILE_NAME)
            || outputs.iter().any(|output| relative == Path::new(output));
        if !is_output {
            return Ok(Some(path));
        }
    }
    Ok(None)
}

/// Best effort: not every system can open a directory, and not every file system can sync one.
fn sync(path: &Path) {
    if let Ok(handle) = File::open(path) {
        let _ = handle.sync_all();
    }
}

#[cfg(test)]
mod tests;
