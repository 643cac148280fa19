//! Any bytes as a mapping: refused with a message, or taken.

#![no_main]

use libfuzzer_sys::fuzz_target;
use scopetally_fuzz::file_with;
use scopetally_fuzz::ingest::Mapping;

fuzz_target!(|bytes: &[u8]| {
    if let Err(error) = Mapping::read(&file_with("mapping.toml", bytes)) {
        assert!(!error.to_string().is_empty() && !error.hint().is_empty());
    }
});
