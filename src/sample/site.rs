//! The three invented hospitals of the invented group.

use super::draws::Draws;

/// A hospital.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Site {
    Alder,
    Birch,
    Cedar,
}

impl Site {
    /// Every hospital.
    pub(super) const ALL: [Site; 3] = [Site::Alder, Site::Birch, Site::Cedar];

    /// A hospital by its share of the calls.
    pub(super) fn draw(draws: &mut Draws) -> Site {
        draws.pick(&[
            (Site::Alder, 38.0),
            (Site::Birch, 37.0),
            (Site::Cedar, 25.0),
        ])
    }

    /// The name in the export.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Site::Alder => "Alder",
            Site::Birch => "Birch",
            Site::Cedar => "Cedar",
        }
    }
}
