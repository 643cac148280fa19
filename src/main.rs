//! The frame: everything else is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    scopetally::cli::run()
}
