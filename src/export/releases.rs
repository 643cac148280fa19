//! The list of what was released so far. Two releases about the same months tell the difference of
//! the two, which may be one case, so a second one is refused.
//!
//! Knows months and fingerprints of published counts. Does not know what a count is. The list holds
//! no number of a case and stays where the records are.

use super::counts::{events_table, minutes_table, passes_table, shares_table};
use super::sha256::sha256_hex;
use super::table::{Format, TableError};
use crate::domain::counts::CountTables;
use crate::domain::month::Month;
use serde::{Deserialize, Serialize};
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// Version of the layout of the list.
const FORMAT: u32 = 1;

/// What was released at one time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Release {
    /// First month, `YYYY-MM`.
    #[serde(with = "as_text")]
    pub first_month: Month,
    /// Last month, likewise.
    #[serde(with = "as_text")]
    pub last_month: Month,
    /// SHA-256 of the published counts.
    pub counts_sha256: String,
    /// `YYYY-MM-DD` from `SOURCE_DATE_EPOCH`; `None` when that was not set.
    pub made_on: Option<String>,
}

/// Why nothing may be released, or the list not be used.
#[derive(Debug, thiserror::Error)]
pub enum ReleaseError {
    /// Months were released before, with other counts.
    #[error(
        "{first} to {last} was released before, and this release has other counts of some of these \
         months: the difference of the two could give a single case away. Choose months beyond \
         those by --from and --to, or release the very same tables again"
    )]
    Overlap {
        /// First month of the earlier release.
        first: Month,
        /// Its last month.
        last: Month,
    },
    /// The list cannot be read.
    #[error("the list of releases {} cannot be read", path.display())]
    Unreadable {
        /// The list.
        path: PathBuf,
        /// Why.
        #[source]
        source: io::Error,
    },
    /// The list is not one of ours.
    #[error(
        "{} is no list of releases that this version wrote; if it is damaged, restore it from a \
         backup, since without it earlier releases are not known", path.display()
    )]
    NotOurs {
        /// The list.
        path: PathBuf,
    },
    /// The list cannot be written.
    #[error("the list of releases {} cannot be written, so nothing is released", path.display())]
    Unwritable {
        /// The list.
        path: PathBuf,
        /// Why.
        #[source]
        source: io::Error,
    },
}

/// What was released so far, oldest first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Releases {
    format: u32,
    releases: Vec<Release>,
}

impl Releases {
    /// Reads a list. One that does not exist yet is empty.
    ///
    /// # Errors
    /// When it cannot be read or is none of ours.
    pub fn read(path: &Path) -> Result<Releases, ReleaseError> {
        let text = match fs::read(path) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                return Ok(Releases {
                    format: FORMAT,
                    releases: Vec::new(),
                });
            }
            Err(source) => {
                return Err(ReleaseError::Unreadable {
                    path: path.to_owned(),
                    source,
                });
            }
        };
        serde_json::from_slice(&text)
            .ok()
            .filter(|releases: &Releases| releases.format == FORMAT)
            .ok_or_else(|| ReleaseError::NotOurs {
                path: path.to_owned(),
            })
    }

    /// Adds a release, unless the very same stands there already.
    ///
    /// # Errors
    /// When an earlier one has other counts of one of its months.
    pub fn add(&mut self, release: Release) -> Result<(), ReleaseError> {
        let is_same = |earlier: &&Release| {
            (
                earlier.first_month,
                earlier.last_month,
                &earlier.counts_sha256,
            ) == (
                release.first_month,
                release.last_month,
                &release.counts_sha256,
            )
        };
        let has_month_of = |earlier: &&Release| {
            earlier.first_month <= release.last_month && release.first_month <= earlier.last_month
        };
        let mut other = self.releases.iter().filter(|it| !is_same(it));
        if let Some(earlier) = other.find(has_month_of) {
            return Err(ReleaseError::Overlap {
                first: earlier.first_month,
                last: earlier.last_month,
            });
        }
        if !self.releases.iter().any(|it| is_same(&it)) {
            self.releases.push(release);
        }
        Ok(())
    }

    /// Writes the list, whole or not at all.
    ///
    /// # Errors
    /// When that fails.
    pub fn write(&self, path: &Path) -> Result<(), ReleaseError> {
        let folder = path
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty());
        let written =
            NamedTempFile::new_in(folder.unwrap_or(Path::new("."))).and_then(|mut file| {
                let json =
                    serde_json::to_string_pretty(self).expect("texts and months become JSON");
                writeln!(file, "{json}")?;
                file.as_file().sync_all()?;
                file.persist(path)?;
                Ok(())
            });
        written.map_err(|source| ReleaseError::Unwritable {
            path: path.to_owned(),
            source,
        })
    }
}

/// What tells published counts from others: SHA-256 over the four count tables.
///
/// # Errors
/// When a count does not fit INT64.
pub fn fingerprint(published: &CountTables) -> Result<String, TableError> {
    let mut bytes = Vec::new();
    for table in [shares_table, minutes_table, passes_table, events_table] {
        bytes.extend(table(published)?.encode(Format::Csv)?);
    }
    Ok(sha256_hex(bytes.as_slice()).expect("a slice can be read"))
}

/// A month as `YYYY-MM`.
mod as_text {
    use crate::domain::month::Month;
    use serde::de::Error as _;
    use serde::{Deserialize, Deserializer, Serializer};

    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde hands fields over by reference"
    )]
    pub(super) fn serialize<S: Serializer>(
        month: &Month,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.collect_str(month)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Month, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse()
            .map_err(|_| D::Error::custom("a month is written YYYY-MM"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn release(first: &str, last: &str, counts: &str) -> Release {
        Release {
            first_month: first.parse().unwrap(),
            last_month: last.parse().unwrap(),
            counts_sha256: counts.to_owned(),
            made_on: None,
        }
    }

    #[test]
    fn months_are_released_once_or_with_the_very_same_counts() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("releases.json");
        let mut releases = Releases::read(&path).unwrap();
        releases.add(release("2025-01", "2025-12", "a")).unwrap();
        releases.write(&path).unwrap();

        let mut releases = Releases::read(&path).unwrap();
        releases.add(release("2025-01", "2025-12", "a")).unwrap();
        assert_eq!(releases.releases.len(), 1, "the same release again");
        for (first, last, counts) in [
            ("2025-01", "2025-12", "b"),
            ("2025-12", "2026-03", "a"),
            ("2024-01", "2025-01", "a"),
            ("2025-03", "2025-04", "a"),
            ("2024-01", "2026-12", "a"),
        ] {
            let refused = releases.add(release(first, last, counts));
            assert!(
                matches!(refused, Err(ReleaseError::Overlap { .. })),
                "{first} {last} {counts}"
            );
        }
        releases.add(release("2026-01", "2026-12", "c")).unwrap();
        releases.add(release("2024-01", "2024-12", "d")).unwrap();
        releases.write(&path).unwrap();
        assert_eq!(Releases::read(&path).unwrap().releases.len(), 3);
    }

    #[test]
    fn a_damaged_list_is_not_taken_for_an_empty_one() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("releases.json");
        for text in [
            "",
            "{}",
            r#"{"format":2,"releases":[]}"#,
            r#"{"format":1,"releases":[{"first_month":"2025-13"}]}"#,
        ] {
            fs::write(&path, text).unwrap();
            let read = Releases::read(&path);
            assert!(matches!(read, Err(ReleaseError::NotOurs { .. })), "{text}");
        }
    }
}
