//! The modules that read what others wrote, compiled for the fuzzer without the rest of the binary,
//! and how a target hands its bytes to them.

#![allow(dead_code, reason = "other modules use the rest")]

#[path = "../../src/domain/mod.rs"]
pub mod domain;
#[path = "../../src/ingest/mod.rs"]
pub mod ingest;

use std::path::PathBuf;

/// A file of this process for bytes that are read by name. In memory where the system lets it be.
pub fn file_with(name: &str, bytes: &[u8]) -> PathBuf {
    let memory = PathBuf::from("/dev/shm");
    let directory = if memory.is_dir() { memory } else { std::env::temp_dir() };
    let path = directory.join(format!("scopetally-fuzz-{}-{name}", std::process::id()));
    std::fs::write(&path, bytes).expect("a temporary file");
    path
}
