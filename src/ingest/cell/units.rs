//! The unit in which the numbers of a column are written, as the mapping says it.

use super::ColumnWords;
use crate::domain::fields::Kind;
use crate::domain::quantities::{LaboratoryUnit, Quantity};
use crate::ingest::error::MappingFault;
use crate::ingest::number::{AgeUnit, DurationUnit};

/// A unit for a field that has none would be silently ignored.
pub(super) fn check_may_have_unit(kind: Kind, words: &ColumnWords<'_>) -> Result<(), MappingFault> {
    let has_unit = match kind {
        Kind::Age { .. } | Kind::Minute => true,
        Kind::Quantity(quantity) => quantity.has_unit(),
        _ => false,
    };
    if has_unit || words.unit.is_none() {
        return Ok(());
    }
    Err(MappingFault::new(
        format!(
            "`units.{}` gives a unit for a field that has none",
            words.name
        ),
        "take this line out of the mapping",
    ))
}

fn unknown_unit(name: &str, hint: String) -> MappingFault {
    MappingFault::new(format!("`units.{name}` is no unit of this field"), hint)
}

pub(super) fn age_unit(words: &ColumnWords<'_>) -> Result<AgeUnit, MappingFault> {
    let Some(unit) = words.unit else {
        return Ok(AgeUnit::Years);
    };
    let known = AgeUnit::ALL.into_iter().find(|known| known.code() == unit);
    known.ok_or_else(|| {
        unknown_unit(
            words.name,
            "the units are: years, months, weeks, days".into(),
        )
    })
}

pub(super) fn duration_unit(words: &ColumnWords<'_>) -> Result<DurationUnit, MappingFault> {
    let Some(unit) = words.unit else {
        return Ok(DurationUnit::Minutes);
    };
    let mut known = DurationUnit::ALL.into_iter();
    let known = known.find(|known| known.code() == unit);
    known.ok_or_else(|| unknown_unit(words.name, "the units are: minutes, hours, seconds".into()))
}

/// The unit of a laboratory quantity has to be declared: nothing in the cells tells urea from urea
/// nitrogen.
pub(super) fn laboratory_unit(
    quantity: Quantity,
    words: &ColumnWords<'_>,
) -> Result<LaboratoryUnit, MappingFault> {
    let (name, units) = (words.name, quantity.units());
    if !quantity.has_unit() {
        return Ok(units[0]);
    }
    let known: Vec<_> = units
        .iter()
        .map(|unit| format!("`{}`", unit.code))
        .collect();
    let hint = format!(
        "the units are: {}; give the one in which the export writes, as in `{name} = \"{}\"` below `[cases.units]`",
        known.join(", "),
        units[0].code
    );
    let Some(declared) = words.unit else {
        let what = format!("`units.{name}` is missing; without a unit the numbers mean nothing");
        return Err(MappingFault::new(what, hint));
    };
    let mut units = units.iter();
    let unit = units.find(|unit| unit.code.eq_ignore_ascii_case(declared.trim()));
    unit.copied().ok_or_else(|| unknown_unit(name, hint))
}
