//! From findings and counts to files: tables in three formats and as one workbook, the record of the
//! run, the list of issues, and the directory that holds them.
//!
//! Knows the domain and the findings. Computes no number, draws nothing, and does not know which
//! command asked for a file.

pub mod case_mix;
pub mod cases_to_review;
mod columns;
pub mod comparisons;
pub mod counts;
pub mod curves;
pub mod data_package;
pub mod data_quality;
pub mod described;
pub mod devices;
pub mod directory;
pub mod findings;
pub mod funnel;
pub mod headlines;
pub mod issues;
pub mod manifest;
pub mod measures;
pub mod months;
pub mod parquet_file;
pub mod records;
pub mod releases;
pub mod sha256;
pub mod signals;
pub mod staffing;
pub mod table;
pub mod values;
pub mod words;
pub mod workbook;
