//! The lines above a header: titles, filters and, from a system that exports one patient at a time,
//! who that is. Knows lines, not what a header is. One that identifies stops the run: nothing of
//! these lines is needed, so there is no list of harmless ones.

use super::kind::IdentifierKind;
use super::pattern::Pattern;
use super::persons::names_patient;
use super::scan::patterns_of;
use super::shape::Shape;
use crate::ingest::error::IngestError;
use std::path::Path;

/// What a single line may not show. Left out is what a hospital writes of itself: its address, its
/// web site, two capitalized words.
const IDENTIFYING: &[Pattern] = &[
    Pattern::LabeledRecord,
    Pattern::LabeledNational,
    Pattern::LabeledBirthDate,
    Pattern::LabeledPhone,
    Pattern::Email,
    Pattern::SocialSecurity,
    Pattern::SpacedNhs,
    Pattern::MedicareIdentifier,
    Pattern::MarkedPhone,
    Pattern::CodedName,
    Pattern::TitledName,
    Pattern::CommaName,
];

/// Looks at every line before `header_line`, as a whole and cell by cell.
///
/// # Errors
/// With the first line that seems to identify a person.
pub(in crate::ingest) fn check_above_header(
    path: &Path,
    bytes: &[u8],
    header_line: u64,
    separator: u8,
) -> Result<(), IngestError> {
    let mut rest = bytes;
    for line_number in 1..header_line {
        let length = memchr::memchr2(b'\n', b'\r', rest).unwrap_or(rest.len());
        let line = &rest[..length];
        let end_length = match &rest[length..] {
            [b'\r', b'\n', ..] => 2,
            [_, ..] => 1,
            [] => 0,
        };
        rest = &rest[length + end_length..];
        let kind = std::iter::once(line)
            .chain(line.split(|byte| *byte == separator))
            .find_map(identifier_in);
        if let Some(kind) = kind {
            return Err(IngestError::IdentifierAboveHeader {
                path: path.to_path_buf(),
                line_number,
                kind,
            });
        }
    }
    Ok(())
}

/// What a text that stands alone identifies a person by.
pub(super) fn identifier_in(text: &[u8]) -> Option<IdentifierKind> {
    let text = text.trim_ascii();
    let text = text.strip_prefix(b"\"").unwrap_or(text);
    let text = text.strip_suffix(b"\"").unwrap_or(text);
    let hits = patterns_of(text, &Shape::of(text));
    let shown = IDENTIFYING.iter().find(|pattern| hits.has(**pattern));
    let named = || std::str::from_utf8(text).is_ok_and(names_patient);
    shown
        .map(|pattern| pattern.threshold().kind)
        .or_else(|| named().then_some(IdentifierKind::PersonName))
}
