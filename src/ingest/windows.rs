//! Guideline windows as data: which urgency and how many minutes a case has, by the first window in
//! force that fits it: those of the site first, then the rows of `sql/urgency_windows.csv` that are
//! on. A window that asks for a value never fits a case without it, so an unrecorded obstruction is
//! "not assignable" and never the laxer window. Knows no file and no row of an export.

mod case_bits;
mod table;
mod words;

pub(super) use table::{BuiltInWindow, built_in, code_of};
pub(super) use words::applies_to;

use crate::domain::codes::{
    CodeList, ObjectLocation, ObjectType, Obstruction, Presentation, YesNo,
};
use crate::domain::fields::CaseField;
use crate::domain::window::{GuidelineWindow, WindowChoice};
use case_bits::CaseBits;

/// Age from which the windows for adults hold.
pub(super) const ADULT_YEARS: i64 = 18;

/// The coded fields on which windows depend, in the order of [`Conditions::codes`].
pub(super) const CODED: [(CaseField, CodeList); 7] = [
    (CaseField::Presentation, Presentation::LIST),
    (CaseField::ObjectType, ObjectType::LIST),
    (CaseField::ObjectLocation, ObjectLocation::LIST),
    (CaseField::Obstruction, Obstruction::LIST),
    (CaseField::Sharp, YesNo::LIST),
    (CaseField::Symptoms, YesNo::LIST),
    (CaseField::VaricealSuspected, YesNo::LIST),
];

/// Guidelines count these classes as sharp-pointed; they stand in where nobody ticked the flag.
pub(super) const SHARP_CLASSES: [ObjectType; 2] = [ObjectType::SharpObject, ObjectType::FishBone];

/// For whom a window is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Population {
    /// 18 years and over.
    Adult,
    /// Under 18 years.
    Child,
    /// Everyone, also of unknown age.
    Any,
}

/// The codes of one field that fit; `None` for any, recorded or not.
pub(super) type Codes = Option<Vec<&'static str>>;

/// Bounds of a number.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Bounds {
    /// Smallest number that fits.
    pub(super) from: Option<i64>,
    /// Smallest number that is too large.
    pub(super) under: Option<i64>,
}

impl Bounds {
    /// Whether a number fits. `is_large` says that the class of an unmeasured object stands for one
    /// above any lower bound.
    fn hold(self, number: Option<i64>, is_large: bool) -> bool {
        match number {
            Some(number) => {
                self.from.is_none_or(|from| number >= from)
                    && self.under.is_none_or(|under| number < under)
            }
            None => (self.from.is_none() || is_large) && self.under.is_none(),
        }
    }
}

/// Which cases a window is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Conditions {
    pub(super) population: Population,
    /// One for each of [`CODED`].
    pub(super) codes: [Codes; CODED.len()],
    pub(super) age_years: Bounds,
    pub(super) length_mm: Bounds,
    pub(super) width_mm: Bounds,
}

/// One window and the cases that it is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Window {
    /// What a reader sees of it.
    pub(super) words: GuidelineWindow,
    pub(super) conditions: Conditions,
}

/// What the windows look at.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Traits<'a> {
    pub(super) age_years: Option<i64>,
    /// One for each of [`CODED`]; codes of its list.
    pub(super) codes: [Option<&'a str>; CODED.len()],
    pub(super) length_mm: Option<i64>,
    pub(super) width_mm: Option<i64>,
}

/// The windows that cases are held against, made once per run.
#[derive(Clone, Debug)]
pub(super) struct Windows {
    bits: CaseBits,
    /// In the order in which they are tried.
    in_force: Vec<Window>,
    /// For each of them the bits that a case must not have. Apart from the windows themselves, so
    /// that a case runs over few bytes.
    forbidden: Vec<u64>,
    /// What is off as shipped and what the site switched off, for the report.
    off: Vec<GuidelineWindow>,
}

impl Windows {
    /// Windows in the order in which they are tried; those that are off among them.
    pub(super) fn new(windows: Vec<Window>) -> Windows {
        let (in_force, off): (Vec<_>, Vec<_>) = windows
            .into_iter()
            .partition(|window| window.words.choice.is_in_force());
        let bits = CaseBits::new();
        Windows {
            forbidden: in_force
                .iter()
                .map(|window| !bits.allowed(&window.conditions))
                .collect(),
            in_force,
            off: off.into_iter().map(|window| window.words).collect(),
            bits,
        }
    }

    /// The rows of the built-in table that are on there.
    #[cfg(test)]
    pub(super) fn by_default() -> Windows {
        let on = built_in().into_iter().filter(|window| window.is_on);
        Windows::new(on.map(|built_in| built_in.window).collect())
    }

    /// The first window that fits; `None` when none does. HOT: runs for every case.
    pub(super) fn first_fit(&self, traits: &Traits<'_>) -> Option<&Window> {
        let case = self.bits.of(traits);
        let fits = |(forbidden, window): &(&u64, &Window)| {
            let Conditions {
                age_years,
                length_mm,
                width_mm,
                ..
            } = &window.conditions;
            case & **forbidden == 0
                && age_years.hold(traits.age_years, false)
                && length_mm.hold(traits.length_mm, case & self.bits.long_class != 0)
                && width_mm.hold(traits.width_mm, case & self.bits.wide_class != 0)
        };
        self.forbidden
            .iter()
            .zip(&self.in_force)
            .find(fits)
            .map(|(_, window)| window)
    }

    /// The windows in words, in the order in which they are tried; last those that are off.
    pub(super) fn words(&self) -> Vec<GuidelineWindow> {
        let in_force = self.in_force.iter().map(|window| &window.words);
        in_force.chain(&self.off).cloned().collect()
    }
}

impl BuiltInWindow {
    /// The window with the choice of a site: `Some(true)` where it is switched on, `Some(false)`
    /// where it is switched off.
    pub(super) fn chosen(mut self, switched: Option<bool>) -> Window {
        self.window.words.choice = match (self.is_on, switched) {
            (true, Some(false)) => WindowChoice::SwitchedOff,
            (true, _) => WindowChoice::Default,
            (false, Some(true)) => WindowChoice::SwitchedOn,
            (false, _) => WindowChoice::OffByDefault,
        };
        self.window
    }
}

#[cfg(test)]
mod tests;
