//! Cautions that stand on every page; each page has more of its own.

/// What a page is.
pub(super) const DESCRIBES: &str =
    "This page describes what a local export holds. It explains nothing and proves no cause.";

/// Whom it is not about.
pub(super) const NOT_A_PATIENT: &str =
    "It is about a service, not about a patient; no decision about one can rest on it.";

/// How to read an estimate.
pub(super) const SMALL_NUMBERS: &str =
    "Small numbers move a lot by chance. Read the interval before the estimate.";

/// What times rest on.
pub(super) const CLOCKS: &str =
    "Times are only as good as the clocks and the people who wrote them down.";
