//! The parts of the page: which section belongs to which. The list of contents is grouped by them,
//! since a list of thirty links is no help. Knows the anchors of the sections, nothing else.

/// A part of the page, in the order of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    First,
    Times,
    Retrieval,
    Harm,
    Teams,
    Equipment,
    Cases,
    Method,
}

impl Part {
    /// Every part, in the order of the list of contents.
    pub(super) const ALL: [Part; 8] = [
        Part::First,
        Part::Times,
        Part::Retrieval,
        Part::Harm,
        Part::Teams,
        Part::Equipment,
        Part::Cases,
        Part::Method,
    ];

    /// The part that a section belongs to; a test sees to it that every section has one.
    pub(super) fn of(section: &str) -> Option<Part> {
        Some(match section {
            "summary" | "signals" | "cases-to-look-at" => Part::First,
            "time" | "curves" | "parts" | "window" => Part::Times,
            "retrieval" | "passes" | "devices" | "switches" => Part::Retrieval,
            "airway" | "harm" | "protection" | "harm-over-time" | "biopsies" | "bleeding" => {
                Part::Harm
            }
            "demand" | "load" | "overlap" | "coverage" => Part::Teams,
            "cart" | "scope-care" | "stock" | "kit" | "checks" => Part::Equipment,
            "calls" | "sites" | "case_mix" | "other" => Part::Cases,
            "quality" | "definitions" | "methods" | "cautions" | "words" | "writing-up" => {
                Part::Method
            }
            _ => return None,
        })
    }

    /// What it is called on the page.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Part::First => "At a glance",
            Part::Times => "Times",
            Part::Retrieval => "Retrieval",
            Part::Harm => "Airway, harm and bleeds",
            Part::Teams => "Calls and teams",
            Part::Equipment => "Cart and scopes",
            Part::Cases => "Calls and cases",
            Part::Method => "Data and methods",
        }
    }
}
