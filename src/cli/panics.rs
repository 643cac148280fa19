//! What is said when the program itself is wrong. A panic message may quote what was read, so
//! neither it nor a backtrace is shown: the place in the code, and what to do.

use super::console;
use std::panic;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

/// Has every panic told by place only. The first is told; what follows from it in other threads
/// says nothing new.
pub(super) fn hide_content() {
    let is_told = AtomicBool::new(false);
    panic::set_hook(Box::new(move |panic| {
        if !is_told.swap(true, Ordering::Relaxed) {
            let place = panic
                .location()
                .map(|location| place(location.file(), location.line()));
            console::print_internal_error(&message(place.as_deref()), HINT);
        }
    }));
}

const HINT: &str = "this is a fault of scopetally and not of your files: please report this line and the version; it holds nothing that was read, and no output was replaced";

fn message(place: Option<&str>) -> String {
    format!("internal error at {}", place.unwrap_or("an unknown place"))
}

/// A line of code without the directories of the machine on which it was compiled.
fn place(file: &str, line: u32) -> String {
    let parts: Vec<_> = Path::new(file)
        .iter()
        .map(|part| part.to_string_lossy())
        .collect();
    // The name of a crate stands before its `src`.
    let source = parts.iter().rposition(|part| part == "src");
    let first = source.map_or(parts.len().saturating_sub(1), |at| at.saturating_sub(1));
    format!("{}:{line}", parts[first..].join("/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_told_by_its_place_in_the_code_alone() {
        assert_eq!(
            message(Some(&place("src/ingest/run.rs", 12))),
            "internal error at src/ingest/run.rs:12"
        );
        let of_crate =
            "/home/somebody/.cargo/registry/src/index.crates.io-1/csv-core-0.1.13/src/reader.rs";
        assert_eq!(place(of_crate, 7), "csv-core-0.1.13/src/reader.rs:7");
        assert_eq!(
            place("/rustc/59807616/library/core/src/option.rs", 1),
            "core/src/option.rs:1"
        );
        assert_eq!(place("/home/somebody/build.rs", 3), "build.rs:3");
        assert_eq!(message(None), "internal error at an unknown place");
    }
}
