//! The patterns that a cell is compared with, and how many cells must show one before a column
//! counts as holding identifiers. Knows thresholds and their reasons, not how a pattern is found.
//!
//! A false alarm stops a person's work until the column is cleared once; a leak cannot be taken
//! back. So what hardly occurs by chance needs one or two cells, and only what random numbers or
//! plain words also show must fill a good part of the column.

use super::kind::IdentifierKind;

macro_rules! patterns {
    ($($(#[$doc:meta])* $variant:ident)+) => {
        /// A pattern of one cell.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub(super) enum Pattern { $($(#[$doc])* $variant,)+ }

        impl Pattern {
            pub(super) const ALL: &'static [Pattern] = &[$(Pattern::$variant,)+];
        }
    };
}

patterns! {
    Email
    SocialSecurity
    /// Ten digits, 3-3-4, that pass modulus 11.
    SpacedNhs
    /// Ten digits in one piece that pass modulus 11.
    PlainNhs
    SocialInsurance
    MedicareIdentifier
    /// `MRN 4456781`
    LabeledRecord
    /// `NHS no 943 476 5919`
    LabeledNational
    /// `DOB 3/4/1956`
    LabeledBirthDate
    /// `Phone 5551234567`
    LabeledPhone
    /// Written with `+`, `00` or as North America does.
    MarkedPhone
    /// With a trunk 0 or in pairs.
    TrunkPhone
    /// `OKAFOR^NGOZI`, as HL7 messages write it.
    CodedName
    /// `Dr Okafor`
    TitledName
    /// `Okafor, Ngozi`
    CommaName
    /// `Ngozi Okafor`, `N. Okafor`, `Okafor N`, `Okafor MD`
    PlainName
    Street
    /// With a blank between its halves.
    PostalCode
    /// Without a blank.
    JoinedPostalCode
    ZipPlus4
    WebAddress
    IpAddress
    FreeText
}

/// How many patterns there are.
pub(super) const PATTERNS: usize = Pattern::ALL.len();

/// The bit of a cell that holds other words beside what it shows, as a sentence does.
const IN_TEXT: u32 = 1 << 31;

/// The patterns that one cell shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Hits(u32);

impl Hits {
    pub(super) fn add(&mut self, pattern: Pattern) {
        self.0 |= 1 << pattern as u32;
    }

    pub(super) fn add_all(&mut self, other: Hits) {
        self.0 |= other.0;
    }

    /// Takes a pattern out.
    pub(super) fn remove(&mut self, pattern: Pattern) {
        self.0 &= !(1 << pattern as u32);
    }

    /// Notes that the cell holds other words too.
    pub(super) fn mark_as_text(&mut self) {
        self.0 |= IN_TEXT;
    }

    pub(super) fn is_in_text(self) -> bool {
        self.0 & IN_TEXT != 0
    }

    pub(super) fn is_empty(self) -> bool {
        self.0 == 0
    }

    pub(super) fn has(self, pattern: Pattern) -> bool {
        self.0 & (1 << pattern as u32) != 0
    }

    pub(super) fn iter(self) -> impl Iterator<Item = Pattern> {
        Pattern::ALL
            .iter()
            .copied()
            .filter(move |pattern| self.has(*pattern))
    }
}

/// When a pattern makes a finding. All conditions must hold.
pub(super) struct Threshold {
    pub(super) kind: IdentifierKind,
    /// Cells that show the pattern, at least.
    pub(super) cells: u64,
    /// Fewer cells are enough when every filled cell of the column shows the pattern.
    pub(super) or_every_cell: bool,
    /// Percent of the filled cells that show it, at least.
    pub(super) percent: u64,
    /// Different cells among those that show it, at least. A coded word repeats, a name seldom.
    pub(super) different: u64,
    /// Also looked for among the cells that the parser of a mapped column refused.
    pub(super) in_refused: bool,
}

/// What occurs by chance so seldom that few cells are enough.
const fn few(kind: IdentifierKind, cells: u64) -> Threshold {
    Threshold {
        kind,
        cells,
        or_every_cell: true,
        percent: 0,
        different: 0,
        in_refused: true,
    }
}

impl Pattern {
    /// When the pattern makes a finding.
    pub(super) const fn threshold(self) -> Threshold {
        use IdentifierKind as Kind;
        match self {
            // Nothing else is written so.
            Pattern::Email => few(Kind::Email, 1),
            // One may be a case number of the form 3-2-4; two are not risked.
            Pattern::SocialSecurity | Pattern::LabeledNational => few(Kind::NationalNumber, 2),
            // One of eleven telephone numbers of the form 3-3-4 passes modulus 11.
            Pattern::SpacedNhs => Threshold {
                percent: 50,
                ..few(Kind::NationalNumber, 3)
            },
            // One of eleven random numbers passes: five of five by chance, once in 160,000.
            Pattern::PlainNhs => Threshold {
                percent: 50,
                or_every_cell: false,
                ..few(Kind::NationalNumber, 5)
            },
            // One of ten numbers passes; also a whole number with blanks between thousands.
            Pattern::SocialInsurance => Threshold {
                percent: 50,
                or_every_cell: false,
                ..few(Kind::NationalNumber, 3)
            },
            Pattern::MedicareIdentifier => few(Kind::AccountOrPlanNumber, 2),
            // The word beside the number says what it is; one may be a slip of the pen.
            Pattern::LabeledRecord => few(Kind::RecordNumber, 2),
            Pattern::LabeledBirthDate => few(Kind::BirthDate, 2),
            // Without a label, one could be a lot number.
            Pattern::LabeledPhone | Pattern::MarkedPhone => few(Kind::Phone, 2),
            // Case numbers may start with 0 too.
            Pattern::TrunkPhone => Threshold {
                percent: 1,
                ..few(Kind::Phone, 3)
            },
            // A title before a capitalized word that the trade does not use; one could be chance.
            Pattern::TitledName | Pattern::CodedName => few(Kind::PersonName, 2),
            // Coded words may be written so (`Bleeding, Upper`): not all are on the list of the
            // trade, but they repeat.
            Pattern::CommaName => Threshold {
                percent: 20,
                different: 3,
                ..few(Kind::PersonName, 3)
            },
            // Two capitalized words are much else; only a column of many different ones.
            Pattern::PlainName => Threshold {
                percent: 60,
                different: 10,
                or_every_cell: false,
                in_refused: false,
                ..few(Kind::PersonName, 10)
            },
            Pattern::Street => Threshold {
                in_refused: false,
                ..few(Kind::PostalAddress, 2)
            },
            // The letters and their places are rare by chance.
            Pattern::PostalCode => Threshold {
                percent: 1,
                in_refused: false,
                ..few(Kind::PostalCode, 3)
            },
            // About one of fifty random codes of letters and digits.
            Pattern::JoinedPostalCode => Threshold {
                percent: 50,
                or_every_cell: false,
                in_refused: false,
                ..few(Kind::PostalCode, 5)
            },
            // Other numbers are written 5-4 too.
            Pattern::ZipPlus4 => Threshold {
                percent: 10,
                in_refused: false,
                ..few(Kind::PostalCode, 3)
            },
            Pattern::WebAddress => Threshold {
                in_refused: false,
                ..few(Kind::WebAddress, 1)
            },
            // The version of a program may have four parts.
            Pattern::IpAddress => Threshold {
                percent: 10,
                in_refused: false,
                ..few(Kind::IpAddress, 3)
            },
            // A long label of a code repeats, what a person writes does not.
            Pattern::FreeText => Threshold {
                different: 3,
                in_refused: false,
                ..few(Kind::FreeText, 3)
            },
        }
    }
}

impl Pattern {
    /// When the pattern makes a finding in the column of the sites, which stand in reports. A site
    /// has few names, so few cells are enough; what holds the word of a place is none of a person.
    pub(super) const fn threshold_of_sites(self) -> Threshold {
        match self {
            Pattern::TitledName | Pattern::CommaName | Pattern::CodedName => {
                few(self.threshold().kind, 1)
            }
            // Two towns may be named by two words.
            Pattern::PlainName => Threshold {
                different: 3,
                or_every_cell: false,
                ..few(self.threshold().kind, 3)
            },
            _ => self.threshold(),
        }
    }

    /// Whether one cell is enough where it holds other words too: then somebody has written what
    /// happened, and no code or lot number stands there by chance.
    pub(super) const fn is_certain_in_text(self) -> bool {
        matches!(
            self,
            Pattern::SocialSecurity
                | Pattern::LabeledRecord
                | Pattern::LabeledNational
                | Pattern::LabeledBirthDate
                | Pattern::LabeledPhone
                | Pattern::MarkedPhone
                | Pattern::TitledName
        )
    }
}

/// A cell with more characters is free text, if it has several blanks too (trade facts: notes
/// longer than 60 characters).
pub(super) const LONGEST_LABEL: usize = 60;

/// The blanks of free text, at least.
pub(super) const FEWEST_BLANKS: usize = 5;

/// Percent of the long cells of free text that differ, at least; below it they are long labels.
pub(super) const FREE_TEXT_DIFFERENT_PERCENT: u64 = 20;
