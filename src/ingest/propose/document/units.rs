//! Units of numbers, in the text of the mapping: those of ages and lengths of time where a heading
//! names one, and those of laboratory quantities as offers, since a wrong one moves every score.

use super::{Draft, Findings};
use crate::domain::fields::{Field, Kind};
use crate::domain::quantities::{LaboratoryUnit, Quantity};
use crate::ingest::propose::fit::{TimesAre, is_in_unit};
use crate::ingest::propose::sample::SampledColumn;
use crate::ingest::propose::toml_text::{Lines, quoted};

/// A unit, and the words of a heading that name it.
type UnitWords = (&'static str, &'static [&'static str]);

const UNITS_OF_LENGTHS: &[UnitWords] = &[
    ("hours", &["h", "hr", "hrs", "hour"]),
    ("seconds", &["s", "sec", "second"]),
];
const UNITS_OF_AGES: &[UnitWords] = &[
    ("months", &["month", "mo", "mth"]),
    ("weeks", &["week", "wk"]),
    ("days", &["day"]),
];

/// `[cases.units]`, where a column needs one.
pub(super) fn write_units(draft: &mut Draft, findings: &Findings<'_>) {
    let mut lines = Lines::default();
    for found in &findings.case_columns.found {
        let column = &findings.cases.columns[found.column];
        let units = match found.field.kind() {
            Kind::Minute if findings.times_are == TimesAre::Elapsed => UNITS_OF_LENGTHS,
            Kind::Age { .. } => UNITS_OF_AGES,
            Kind::Quantity(quantity) if quantity.has_unit() => {
                offer_units(&mut lines, found.field.name(), quantity, column);
                draft.decide(format!(
                    "`{}`: in which unit; take one of its lines below `[cases.units]`",
                    found.field.name()
                ));
                continue;
            }
            _ => continue,
        };
        let mut units = units.iter();
        let unit = units.find(|(_, words)| column.words.has_one_of(words));
        if let Some((unit, _)) = unit {
            let comment = "likely: the heading says so";
            lines.entry(found.field.name(), quoted(unit), comment);
        }
    }
    if !lines.is_empty() {
        draft.table("cases.units", &lines);
    }
}

/// A line for each unit, the likeliest first.
fn offer_units(lines: &mut Lines, name: &str, quantity: Quantity, column: &SampledColumn) {
    let mut offers: Vec<_> = quantity
        .units()
        .iter()
        .map(|unit| {
            let is_value = |text: &str| is_in_unit(text, quantity, *unit);
            let share = column.cells.share(is_value);
            (is_named(*unit, column), share >= 0.5, unit)
        })
        .collect();
    // Stable, so that units of equal standing keep their order.
    offers.sort_by_key(|(is_named, fits, _)| (!is_named, !fits));
    for (is_named, fits, unit) in offers {
        let comment = match (is_named, fits) {
            (true, true) => "likely: the heading says so",
            (true, false) => "the heading says so, but most cells cannot be such values",
            (false, true) => "possible: most cells can be such values",
            (false, false) => "unlikely: most cells cannot be such values",
        };
        lines.offer(name, quoted(unit.code), comment);
    }
}

/// Whether the heading names a unit: `Hb (g/dL)`, `BUN`, `urea_mmol_l`.
fn is_named(unit: LaboratoryUnit, column: &SampledColumn) -> bool {
    let has = |words: &[&str]| column.words.has_one_of(words);
    // "dL" in a heading may come apart where a capital begins.
    let is_per_deciliter = has(&["d", "dl", "gdl"]);
    match unit.code {
        "mmol/L" => has(&["mmol", "mmoll"]),
        "BUN mg/dL" => has(&["bun", "nitrogen"]),
        "g/dL" => is_per_deciliter,
        "g/L" => has(&["l", "gl"]) && !is_per_deciliter,
        _ => false,
    }
}
