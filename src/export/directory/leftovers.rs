//! What killed runs left beside a target: told from everything else by name, marker and lock, put
//! back when it is the former results, removed otherwise.

use super::error::{DirectoryError, failed};
use super::{NEW, OLD};
use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::Path;

/// Number of letters and digits at the end of the name of a temporary directory.
pub(super) const RANDOM_LENGTH: usize = 6;

/// File that makes a temporary directory ours.
const MARKER: &str = "temporary";

pub(super) const MARKER_TEXT: &str =
    "Temporary directory of scopetally. The next run removes it.\n";

/// Marks `directory` as a temporary directory of a run that lives as long as the file stays open.
pub(super) fn mark(directory: &Path) -> Result<File, DirectoryError> {
    // The lock comes before the name, so that another run never sees the marker without it.
    let unnamed = directory.join("marker");
    let marker = directory.join(MARKER);
    let mut file = File::create_new(&unnamed).map_err(failed("create", &unnamed))?;
    file.write_all(MARKER_TEXT.as_bytes())
        .map_err(failed("write", &unnamed))?;
    // Some network file systems have no locks. Then nobody can tell that this run lives, nor that
    // it is dead: `clear` needs the lock and leaves the directory to its owner.
    let _ = file.try_lock();
    fs::rename(&unnamed, &marker).map_err(failed("create", &marker))?;
    Ok(file)
}

/// Removes what killed runs with this `target` left in `parent`. If one of them was killed after
/// it had moved the former results aside and before it had put new ones in place, the former
/// results come back first.
pub(super) fn clear(target: &Path, parent: &Path, prefix: &OsStr) -> Result<(), DirectoryError> {
    let prefix = prefix.to_string_lossy();
    for entry in fs::read_dir(parent).map_err(failed("read", parent))? {
        let entry = entry.map_err(failed("read", parent))?;
        let is_our_name = entry
            .file_name()
            .to_str()
            .and_then(|name| name.strip_prefix(&*prefix))
            .is_some_and(is_random);
        let path = entry.path();
        // The marker stays open and locked until its directory is gone, so that of two runs that
        // start together only one clears up.
        let Some(_marker) = is_our_name.then(|| abandoned(&path)).flatten() else {
            continue;
        };
        let old = path.join(OLD);
        if old.is_dir() && fs::symlink_metadata(target).is_err() {
            fs::rename(&old, target).map_err(failed("put back", &old))?;
        }
        empty(&path)
            .and_then(|()| fs::remove_dir_all(&path))
            .map_err(failed("remove", &path))?;
    }
    Ok(())
}

/// Removes the results in a temporary directory and leaves its marker, so that what a run that is
/// killed meanwhile does not get to is still known as ours.
pub(super) fn empty(directory: &Path) -> io::Result<()> {
    for name in [NEW, OLD] {
        match fs::remove_dir_all(directory.join(name)) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
    }
    Ok(())
}

fn is_random(text: &str) -> bool {
    text.len() == RANDOM_LENGTH && text.bytes().all(|byte| byte.is_ascii_alphanumeric())
}

/// The marker of `directory`, locked; `None` when there is none or its run still lives.
fn abandoned(directory: &Path) -> Option<File> {
    let is_directory = fs::symlink_metadata(directory).is_ok_and(|metadata| metadata.is_dir());
    let path = directory.join(MARKER);
    let is_marked =
        is_directory && fs::read(&path).is_ok_and(|text| text == MARKER_TEXT.as_bytes());
    let marker = is_marked.then(|| File::open(&path).ok()).flatten()?;
    marker.try_lock().is_ok().then_some(marker)
}
