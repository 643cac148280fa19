//! Tables of every grammar, by hand and by the csv crate, with everything that exports put around
//! them, and any bytes at all.

mod any_bytes;
mod guesses;
mod search;
mod shapes;
mod summary;

use super::{Dialect, Given, Guess, Sample, Wanted, find, guess};
use crate::ingest::error::IngestError;
use std::path::Path;

fn sample(bytes: &[u8]) -> Sample<'_> {
    Sample {
        path: Path::new("cases.csv"),
        bytes,
        is_whole: true,
    }
}

fn find_in(
    text: impl AsRef<[u8]>,
    given: Given,
    headings: &[&'static str],
) -> Result<Dialect, IngestError> {
    find(&sample(text.as_ref()), &given, &wanted(headings))
}

fn wanted(headings: &[&'static str]) -> Vec<Wanted<'static>> {
    let of = |heading: &&'static str| Wanted {
        field: "a_field",
        heading,
    };
    headings.iter().map(of).collect()
}

fn guess_in(text: impl AsRef<[u8]>, given: Given) -> Result<Guess, IngestError> {
    guess(&sample(text.as_ref()), &given)
}

fn separator(separator: u8) -> Given {
    Given {
        separator: Some(separator),
        ..Given::default()
    }
}

fn header_rows(rows: usize) -> Given {
    Given {
        header_rows: Some(rows),
        ..Given::default()
    }
}

fn texts(dialect: &Dialect) -> Vec<&str> {
    dialect.headings.iter().map(super::Heading::text).collect()
}
