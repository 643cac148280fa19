//! Laboratory quantities: a decimal number in a declared unit → a whole number of the stored unit.

use super::{Written, not_a_number};
use crate::domain::issue::IssueCode;
use crate::domain::quantities::LaboratoryUnit;

/// The value in the stored unit, digits behind its last one cut off; from `min` to `max`, both
/// included. Behind the number may stand the sign of the declared unit and no other: what another
/// sign means is for somebody to see.
///
/// # Errors
/// `NotAWholeNumber`, `OutOfRange`, or `SpreadsheetError` for a formula or its error.
pub(in crate::ingest) fn quantity(
    text: &str,
    unit: LaboratoryUnit,
    decimal: u8,
    (min, max): (i64, i64),
) -> Result<i64, IssueCode> {
    let number = Written::read(text, decimal).ok_or_else(|| not_a_number(text))?;
    let sign = number.rest.trim_start();
    if !sign.is_empty() && !sign.eq_ignore_ascii_case(unit.sign) {
        return Err(not_a_number(text));
    }
    let tens = 10_u128.pow(number.fraction_digits);
    let digits = u128::from(number.whole) * tens + u128::from(number.fraction);
    // At most 30 digits times 4, so there is room.
    let stored = digits * u128::from(unit.numerator) / (tens * u128::from(unit.denominator));
    match i64::try_from(stored) {
        Ok(stored) if !number.is_negative && (min..=max).contains(&stored) => Ok(stored),
        _ => Err(IssueCode::OutOfRange),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::quantities::Quantity;
    use proptest::prelude::*;

    #[track_caller]
    fn check(text: &str, quantity: Quantity, unit: &str, expected: Result<i64, IssueCode>) {
        let mut units = quantity.units().iter();
        let unit = units.find(|known| known.code == unit).unwrap();
        let decimal = if text.contains(',') { b',' } else { b'.' };
        let read = super::quantity(text, *unit, decimal, quantity.range());
        assert_eq!(read, expected, "{text}");
    }

    #[test]
    fn edges_of_bands_are_exact_in_every_unit() {
        for (text, unit, stored) in [
            ("6.5", "mmol/L", 6_500),
            ("6.4999", "mmol/L", 6_499),
            ("18.2", "BUN mg/dL", 6_500),
            ("22.4", "BUN mg/dL", 8_000),
            ("28", "BUN mg/dL", 10_000),
            ("70", "BUN mg/dL", 25_000),
            // 42 / 2.8 = 15; 18.1 / 2.8 = 6.4642857
            ("42", "BUN mg/dL", 15_000),
            ("18.1", "BUN mg/dL", 6_464),
        ] {
            check(text, Quantity::Urea, unit, Ok(stored));
        }
        for (text, unit, stored) in [
            ("13", "g/dL", 13_000),
            ("12.95", "g/dL", 12_950),
            ("12,95", "g/dL", 12_950),
            ("130", "g/L", 13_000),
            ("129.9", "g/L", 12_990),
            ("129.999", "g/L", 12_999),
        ] {
            check(text, Quantity::Hemoglobin, unit, Ok(stored));
        }
        check("3.0", Quantity::Albumin, "g/dL", Ok(3_000));
        check("29.99", Quantity::Albumin, "g/L", Ok(2_999));
        check("1.5", Quantity::Inr, "", Ok(1_500));
        check("1.501", Quantity::Inr, "", Ok(1_501));
    }

    #[test]
    fn what_cannot_be_is_out_of_range_at_both_ends() {
        let out = Err(IssueCode::OutOfRange);
        check("0.5", Quantity::Urea, "mmol/L", Ok(500));
        check("0.499", Quantity::Urea, "mmol/L", out);
        check("80", Quantity::Urea, "mmol/L", Ok(80_000));
        check("80.001", Quantity::Urea, "mmol/L", out);
        // Grams per liter in a column of grams per deciliter, and the other way around.
        check("112", Quantity::Hemoglobin, "g/dL", out);
        check("11.2", Quantity::Hemoglobin, "g/L", out);
        check("220", Quantity::Hemoglobin, "g/L", Ok(22_000));
        check("20", Quantity::Hemoglobin, "g/L", Ok(2_000));
        check("280", Quantity::Albumin, "g/L", out);
        check("8", Quantity::Albumin, "g/L", Ok(800));
        check("60", Quantity::Albumin, "g/L", Ok(6_000));
        check("0.6", Quantity::Inr, "", Ok(600));
        check("15", Quantity::Inr, "", Ok(15_000));
        check("15.001", Quantity::Inr, "", out);
        check("-11", Quantity::Hemoglobin, "g/dL", out);
        check("999999999999999", Quantity::Urea, "mmol/L", out);
    }

    #[test]
    fn only_the_declared_unit_may_stand_behind_the_number() {
        let no = Err(IssueCode::NotAWholeNumber);
        check("11,2 g/dl", Quantity::Hemoglobin, "g/dL", Ok(11_200));
        check("11.2g/dL", Quantity::Hemoglobin, "g/dL", Ok(11_200));
        check("42 mg/dL", Quantity::Urea, "BUN mg/dL", Ok(15_000));
        check("112 g/L", Quantity::Hemoglobin, "g/dL", no);
        check("11.2 low", Quantity::Hemoglobin, "g/dL", no);
        check("11.", Quantity::Hemoglobin, "g/dL", no);
        check("<5", Quantity::Urea, "mmol/L", no);
        check("1.2 1.3", Quantity::Inr, "", no);
        check(
            "#VALUE!",
            Quantity::Inr,
            "",
            Err(IssueCode::SpreadsheetError),
        );
    }

    proptest! {
        #[test]
        fn no_text_makes_it_panic(text in "[-+0-9.,a-zA-Z/ ]{0,40}|\\PC{0,20}") {
            for quantity in [Quantity::Urea, Quantity::Hemoglobin, Quantity::Albumin, Quantity::Inr] {
                for unit in quantity.units() {
                    if let Ok(stored) = super::quantity(&text, *unit, b'.', quantity.range()) {
                        prop_assert!((quantity.range().0..=quantity.range().1).contains(&stored));
                    }
                }
            }
        }
    }
}
