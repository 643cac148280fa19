//! Bleeds: laboratory quantities with their units, days, and scores that differ.

use super::Input;
use crate::bad_input::{GOOD, HEADER, MAPPING, check_refused, with_cases};

const STANDS: &str = "1 = 1 + 0 + 0";

/// One good case with a hemoglobin in g/dL.
fn hemoglobin(what: &'static str, cell: &str) -> Input {
    let header = HEADER.replace('\n', ",Hb\n");
    Input::of(what)
        .column("hemoglobin = \"Hb\"")
        .table("[cases.units]\nhemoglobin = \"g/dL\"")
        .cases(format!(
            "{header}{}",
            GOOD.replace('\n', &format!(",{cell}\n"))
        ))
}

#[test]
fn quantities_that_are_none() {
    let none = &["C05 hemoglobin, line 2"];
    hemoglobin("a word", "SECRET")
        .reviewed()
        .ends(1, STANDS, none);
    hemoglobin("another unit", "112 g/L").ends(1, STANDS, none);
    hemoglobin("a bound", "<5").ends(1, STANDS, none);
    hemoglobin("a decimal comma where a point is declared", "\"11,2\"").ends(1, STANDS, none);
    hemoglobin("an error", "#VALUE!").ends(1, STANDS, &["C11 hemoglobin, line 2"]);
    hemoglobin("a quantity with its unit", "11.2 g/dl").ends(0, STANDS, &[]);
    hemoglobin("a decimal comma that is declared", "\"11,2\"")
        .set("decimal = \",\"")
        .ends(0, STANDS, &[]);
}

#[test]
fn quantities_outside_of_their_range() {
    let outside = &["C06 hemoglobin, line 2"];
    hemoglobin("grams per liter", "112").ends(1, STANDS, outside);
    hemoglobin("a slip of the comma", "1.12").ends(1, STANDS, outside);
    hemoglobin("a negative one", "-11").ends(1, STANDS, outside);
    hemoglobin("the largest", "22").ends(0, STANDS, &[]);
    hemoglobin("beyond the largest", "22.001").ends(1, STANDS, outside);
    hemoglobin("the smallest", "2").ends(0, STANDS, &[]);
    hemoglobin("below the smallest", "1.999").ends(1, STANDS, outside);
}

/// An upper bleed of a man of 74 with albumin 28 g/L, INR 1.3, alert, systolic 104: AIMS65 is 2.
fn aims65(what: &'static str, albumin: &str, exported: &str) -> Input {
    let header = HEADER.replace('\n', ",Years,Alb,INR,Altered,SBP,AIMS\n");
    let row = GOOD
        .replace("Food", "upper_bleed")
        .replace("Meat", "")
        .replace('\n', &format!(",74,{albumin},1.3,no,104,{exported}\n"));
    Input::of(what)
        .mapped(
            "\"Food\" = ",
            "\"upper_bleed\" = \"upper_bleed\"\n\"Food\" = ",
        )
        .column(
            "age_years = \"Years\"\nalbumin = \"Alb\"\ninr = \"INR\"\n\
             altered_mental_status = \"Altered\"\nsystolic = \"SBP\"\nexported_aims65 = \"AIMS\"",
        )
        .table("[cases.units]\nalbumin = \"g/L\"")
        .cases(format!("{header}{row}"))
}

#[test]
fn scores_of_the_export_that_differ() {
    let differs = &["C13 exported_aims65, line 2"];
    aims65("a right score", "28", "2").ends(0, STANDS, &[]);
    aims65("no score", "28", "").ends(0, STANDS, &[]);
    aims65("a score too low", "28", "1")
        .reviewed()
        .ends(0, STANDS, differs);
    aims65("a score too high", "28", "3").ends(0, STANDS, differs);
    aims65("a score within the bounds", "", "1").ends(0, STANDS, &[]);
    aims65("a score at the other bound", "", "2").ends(0, STANDS, &[]);
    aims65("a score outside of the bounds", "", "3").ends(0, STANDS, differs);
    aims65("a score that cannot be", "28", "6").ends(1, STANDS, &["C06 exported_aims65, line 2"]);
}

#[test]
fn quantities_without_a_unit_that_fits_are_refused() {
    let header = HEADER.replace('\n', ",Lab\n");
    let row = GOOD.replace('\n', ",11\n");
    for (field, unit, message, hint) in [
        (
            "urea",
            "",
            "`units.urea` is missing",
            "`mmol/L`, `BUN mg/dL`",
        ),
        (
            "urea",
            "mg/dL",
            "`units.urea` is no unit",
            "`mmol/L`, `BUN mg/dL`",
        ),
        (
            "hemoglobin",
            "mmol/L",
            "`units.hemoglobin` is no unit",
            "`g/dL`, `g/L`",
        ),
        ("albumin", "", "`units.albumin` is missing", "`g/dL`, `g/L`"),
        (
            "inr",
            "ratio",
            "gives a unit for a field that has none",
            "take this line out",
        ),
        (
            "systolic",
            "mmHg",
            "gives a unit for a field that has none",
            "take this line out",
        ),
    ] {
        let run = with_cases(format!("{header}{row}"));
        let columns = format!("[cases.columns]\n{field} = \"Lab\"");
        let units = format!("\n[cases.units]\n{field} = \"{unit}\"\n");
        let units = if unit.is_empty() { "" } else { units.as_str() };
        let mapping = MAPPING.replacen("[cases.columns]", &columns, 1);
        run.file("mapping.toml", format!("{mapping}{units}"));
        check_refused(&run, message, hint);
    }
}

#[test]
fn days_need_to_be_told_how_long_patients_were_followed() {
    let header = HEADER.replace('\n', ",Days\n");
    let row = GOOD.replace('\n', ",3\n");
    for field in ["rebleed_days", "death_days"] {
        let run = with_cases(format!("{header}{row}"));
        let columns = format!("[cases.columns]\n{field} = \"Days\"");
        let mapping = MAPPING.replacen("[cases.columns]", &columns, 1);
        run.file("mapping.toml", &mapping);
        check_refused(&run, "needs `followed_days`", "[cases.constants]");
        let constant = |days: &str| {
            let constants = format!("\n[cases.constants]\nfollowed_days = \"{days}\"\n");
            run.file("mapping.toml", format!("{mapping}{constants}"));
            run.on_files("check").code
        };
        assert_eq!(constant("30"), 0);
        assert_eq!(constant("3651"), 2, "more than ten years");
        assert_eq!(constant("a month"), 2);
    }
}
