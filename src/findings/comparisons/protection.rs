//! Harm with and without an overtube, and with and without any protective aid. Aids go to the harder
//! cases, so a difference says who got one at least as much as what it did.

use super::HARM;
use super::cells::{Counted, cells, groups};
use crate::domain::counts::{CountTables, ShareCount};
use crate::domain::measure::{Definition, MeasureKind};
use crate::findings::estimate::{Settings, share_interval};
use crate::findings::finding::Method;
use crate::findings::headline::CASES_TO_COMPARE;
use crate::stats::difference::Difference;
use crate::stats::proportion::newcombe_difference;
use crate::stats::{Interval, Level};

/// The aids, by the dimension that says whether one was used. Measures of harm split by them only
/// where an object was there to take out.
const AIDS: [&str; 2] = ["overtube", "protective_aid"];

/// Which cases are compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Among {
    /// All cases in which it was recorded whether the aid was used.
    All,
    /// Those with an object recorded as sharp.
    Sharp,
    /// Those with an object recorded as not sharp.
    NotSharp,
}

/// Harm with and without an aid.
#[derive(Clone, Debug, PartialEq)]
pub struct ProtectionHarm {
    /// Identifier of the measure of harm.
    pub measure: String,
    /// `overtube` or `protective_aid`.
    pub aid: &'static str,
    /// Names of the dimensions of the counts.
    pub by: String,
    /// Which cases.
    pub among: Among,
    /// How the intervals of both shares are made: as everywhere else for this measure.
    pub method: Method,
    /// Cases with the aid, with the interval of their share.
    pub with: (Counted, Option<Interval>),
    /// Cases without, likewise.
    pub without: (Counted, Option<Interval>),
    /// Share with the aid minus share without; `None` when either side has fewer than ten cases.
    pub difference: Option<Difference>,
}

/// Harm with and without each aid: all cases first, then those with sharp objects and those with
/// others, as far as they were counted.
pub(super) fn protection_harm(
    counts: &CountTables,
    definitions: &[Definition],
    settings: Settings,
) -> Vec<ProtectionHarm> {
    let mut found = Vec::new();
    for measure in HARM {
        let Some(definition) = definitions
            .iter()
            .find(|definition| definition.id == measure && definition.kind == MeasureKind::Share)
        else {
            continue;
        };
        for aid in AIDS {
            let all = groups(&counts.shares, definition, aid);
            found.push(harm(definition, aid, Among::All, all, settings));
            let split = cells(&counts.shares, definition, aid, "sharp");
            for (value, among) in [("yes", Among::Sharp), ("no", Among::NotSharp)] {
                let of_value = split.iter().filter(|cell| cell.second == value);
                let counts = of_value.map(|cell| (cell.first, cell.count));
                found.push(harm(definition, aid, among, counts, settings));
            }
        }
    }
    found.retain(|harm| harm.with.0.cases + harm.without.0.cases > 0);
    found
}

fn harm<'a>(
    definition: &Definition,
    aid: &'static str,
    among: Among,
    counts: impl Iterator<Item = (&'a str, &'a ShareCount)>,
    settings: Settings,
) -> ProtectionHarm {
    let (mut with, mut without) = (Counted::default(), Counted::default());
    for (used, count) in counts {
        match used {
            "yes" => with.add(count.into()),
            "no" => without.add(count.into()),
            _ => {}
        }
    }
    let (method, interval) = share_interval(&definition.id, settings);
    let interval = |side: Counted| side.tally().map(|tally| interval(tally, settings.level));
    ProtectionHarm {
        measure: definition.id.clone(),
        aid,
        by: match among {
            Among::All => aid.to_owned(),
            Among::Sharp | Among::NotSharp => format!("{aid}+sharp"),
        },
        among,
        method,
        with: (with, interval(with)),
        without: (without, interval(without)),
        difference: difference(with, without, settings.level),
    }
}

fn difference(with: Counted, without: Counted, level: Level) -> Option<Difference> {
    if with.cases.min(without.cases) < CASES_TO_COMPARE {
        return None;
    }
    Some(newcombe_difference(with.tally()?, without.tally()?, level))
}
