//! A fault in something that a person wrote by hand, with its remedy.

/// What is wrong with a mapping, or with another file that a site writes, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MappingFault {
    /// The fault.
    pub what: String,
    /// The remedy.
    pub hint: String,
}

impl MappingFault {
    /// A fault with its remedy.
    pub(in crate::ingest) fn new(what: impl Into<String>, hint: impl Into<String>) -> MappingFault {
        MappingFault {
            what: what.into(),
            hint: hint.into(),
        }
    }
}

/// The line of a message, behind the name of its file.
pub(super) fn on_line(line_number: Option<u64>) -> String {
    line_number.map_or_else(String::new, |line| format!(", line {line}"))
}
