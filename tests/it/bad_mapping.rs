//! Faults of a mapping: each ends in a message that says where and what to do.

use crate::bad_input::{GOOD, HEADER, MAPPING, check_refused, with_cases};

/// What is replaced in the mapping, by what, and what the message and its hint then say.
const MAPPING_FAULTS: &[[&str; 4]] = &[
    ["time_zone", "timezone", "line 4", "README"],
    [
        "America/Chicago",
        "Chicago",
        "no IANA time zone",
        "America/Chicago",
    ],
    [
        "object_type = ",
        "objekt = ",
        "`cases.columns.objekt` is no field",
        "the fields are: case_id",
    ],
    [
        "\"Meat\" = \"food_bolus\"",
        "\"Meat\" = \"meat\"",
        "`meat`, which does not exist",
        "food_bolus, bone",
    ],
    [
        "scope_in_at = \"In\"",
        "month = \"In\"",
        "`cases.columns.month` is no field",
        "the fields are",
    ],
    [
        "called_at = \"Called\"\n",
        "",
        "gives no column for `called_at`",
        "[cases.columns]",
    ],
    [
        "time_format = ",
        "separator = \"#\"\ntime_format = ",
        "`cases.separator` is not one of",
        "first line",
    ],
    [
        "[passes.columns]",
        "[period]\nfrom = \"2026-05\"\nto = \"2026-04\"\n[passes.columns]",
        "not two months in order",
        "2026-09",
    ],
    [
        "[passes.columns]",
        "[limits]\nrows_set_aside = 2.0\n[passes.columns]",
        "not a share between 0 and 1",
        "0.02",
    ],
    [
        "device = \"Device\"",
        "",
        "gives no column for `device`",
        "[passes.columns]",
    ],
    [
        "[cases.codes.object_type]",
        "[cases.codes.airway]\n\"T\" = \"intubated\"\n[cases.codes.object_type]",
        "`cases.codes.airway` gives words for a field that has no column",
        "[cases.columns]",
    ],
    [
        "[passes.columns]",
        "[staffed_hours]\nfrom = \"17:00\"\nto = \"08:00\"\n[passes.columns]",
        "is not before",
        "08:00",
    ],
    [
        "[passes.columns]",
        "[staffed_hours]\ndays = [\"monday\"]\n[passes.columns]",
        "no weekday",
        "mon, tue",
    ],
    [
        "[passes.columns]",
        "[windows]\nstart = \"team_at\"\n[passes.columns]",
        "neither `arrived_at` nor `called_at`",
        "arrival",
    ],
    [
        "%H:%M",
        "%I:%M",
        "does not hold a whole date and time of day",
        "%I:%M %p",
    ],
    ["%H:%M", "%Q", "does not hold a whole date", "%Y-%m-%d"],
    [
        "scope_out_at = \"Out\"",
        "scope_out_at = \"In\"",
        "`scope_in_at` and `scope_out_at` read the same column",
        "its own column",
    ],
    [
        "object_type = \"Object\"",
        "",
        "gives words for a field that has no column",
        "`[cases.columns]`",
    ],
    ["[passes.columns]", "[[[", "line 18", "README"],
];

#[test]
fn a_mapping_with_an_unknown_key_or_word() {
    for [from, to, message, hint] in MAPPING_FAULTS {
        assert!(MAPPING.contains(from), "{from}");
        let run = with_cases(format!("{HEADER}{GOOD}"));
        run.file("mapping.toml", MAPPING.replacen(from, to, 1));
        check_refused(&run, message, hint);
    }
}

#[test]
fn a_constant_that_is_no_value_of_its_field() {
    for (constant, message) in [
        ("sex = \"banana\"", "constants.sex"),
        ("sex = \" \"", "constants.sex"),
        ("case_id = \"1\"", "cannot be one value"),
    ] {
        let run = with_cases(format!("{HEADER}{GOOD}"));
        let constants = format!("[cases.constants]\n{constant}\n[cases.codes.presentation]");
        run.file(
            "mapping.toml",
            MAPPING.replacen("[cases.codes.presentation]", &constants, 1),
        );
        check_refused(&run, message, "");
    }
}

#[test]
fn months_outside_the_period_of_the_mapping() {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    run.file(
        "mapping.toml",
        format!("{MAPPING}\n[period]\nfrom = \"2026-03\"\nto = \"2026-05\"\n"),
    );
    let ended = run.on_files("review --out out --to 2026-06");
    assert_eq!(ended.code, 2);
    assert!(
        ended
            .stderr
            .contains("2026-06 lies outside the period of the mapping, 2026-03 to 2026-05"),
        "{}",
        ended.stderr
    );
    assert_eq!(run.on_files("check --to 2026-05").code, 0);
}

#[test]
fn passes_that_the_mapping_does_not_speak_of() {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    let (mapping, _) = MAPPING.split_once("[passes.columns]").unwrap();
    run.file("mapping.toml", mapping)
        .file("passes.csv", "Case,Pass,Device\nK1,1,net\n");
    check_refused(
        &run,
        "the mapping has no `[passes.columns]`",
        "leave `--passes` out",
    );
}
