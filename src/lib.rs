//! scopetally turns CSV exports of de-identified emergency endoscopy cases into answers with
//! honest uncertainty: in time or not, retrieved or not, protected or not, and what changed.
//!
//! Data flows one way: export → records → count tables → findings → pages. The modules below stand
//! in that order, each knowing only those above it that `tests/it/tidy.rs` allows.

pub mod domain;
pub mod records;
pub mod stats;

pub mod simulation;

pub mod ingest;
pub mod measure;

pub mod disclosure;
pub mod findings;

pub mod export;
pub mod report;

pub mod sample;

pub mod cli;
