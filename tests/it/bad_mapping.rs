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
        "none of `arrived_at`, `called_at` and `onset_at`",
        "arrival",
    ],
    [
        "[passes.columns]",
        "[windows]\nstart = \"onset_at\"\n[passes.columns]",
        "gives no column for it",
        "`onset_at` below `[cases.columns]`",
    ],
    [
        "scope_in_at = \"In\"",
        "scope_in_at = [\"Day\", \"In\"]\nonset_at = [\"Day\", \"Began\"]",
        "`onset_at` takes its date from a column that gives the date of other moments",
        "a date of its own",
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

/// What is added at the end of the mapping, and what the message and its hint then say.
const FAULTS_OF_CHANGES: &[[&str; 3]] = &[
    [
        "[signals]\nbaseline_months = 11",
        "`signals.baseline_months` is not a number of months from 12 to 60",
        "write 12",
    ],
    [
        "[signals]\nbaseline_months = 61",
        "not a number of months from 12 to 60",
        "baseline",
    ],
    ["[signals]\nbaseline = 12", "line 23", "README"],
    [
        "[[phase]]\nfrom = \"2026-03\"\nnote = \"new cart\"\n[[phase]]\nfrom = \"March\"\nnote = \"x\"",
        "`[[phase]]` number 2 has a `from` that is no month",
        "2026-09",
    ],
    [
        "[[phase]]\nfrom = \"2026-03\"\nnote = \" \"",
        "`[[phase]]` number 1 has no `note`",
        "what changed",
    ],
    ["[[phase]]\nfrom = \"2026-03\"", "line 22", "README"],
    [
        "[[phase]]\nfrom = \"2026-03\"\nnote = \"a\\tb\"",
        "a `note` that does not fit on a chart",
        "80 characters",
    ],
    [
        "[[phase]]\nfrom = \"2026-03\"\nnote = \"a\"\nsites = []",
        "a list `sites` that names nothing",
        "concerns all",
    ],
    [
        "[targets]\ncalls = -1",
        "`targets.calls` is not a number of 0 or more",
        "minutes",
    ],
    ["[targets]\ncalls = nan", "is not a number of 0", "minutes"],
];

#[test]
fn a_change_or_a_target_that_cannot_be_one() {
    let long_note = format!(
        "[[phase]]\nfrom = \"2026-03\"\nnote = \"{}\"",
        "ä".repeat(81)
    );
    let long_note = [long_note.as_str(), "does not fit on a chart", "80"];
    for [addition, message, hint] in FAULTS_OF_CHANGES.iter().chain([&long_note]) {
        let run = with_cases(format!("{HEADER}{GOOD}"));
        run.file("mapping.toml", format!("{MAPPING}{addition}\n"));
        check_refused(&run, message, hint);
    }
}

#[test]
fn a_change_or_a_target_of_a_measure_that_does_not_exist() {
    for (addition, message) in [
        (
            "[targets]\ncall_to_skope = 60",
            "`[targets]` of the mapping names the measure `call_to_skope`, which does not exist; \
             did you mean `call_to_scope`?",
        ),
        (
            "[[phase]]\nfrom = \"2026-03\"\nnote = \"a\"\nmeasures = [\"sutures\"]",
            "names the measure `sutures`, which does not exist; `scopetally measures` lists them",
        ),
        (
            "[targets]\nretrieval_success = 95",
            "for 90 percent write 0.9",
        ),
    ] {
        let run = with_cases(format!("{HEADER}{GOOD}"));
        run.file("mapping.toml", format!("{MAPPING}{addition}\n"));
        for command in ["check", "check --out out", "review --out out"] {
            let ended = run.on_files(command);
            assert_eq!(ended.code, 2, "{}{}", ended.stdout, ended.stderr);
            assert!(ended.stderr.contains(message), "{}", ended.stderr);
            assert!(!run.path("out").exists());
        }
    }
}

#[test]
fn a_change_outside_the_records_is_a_warning() {
    let phase = "[[phase]]\nfrom = \"2027-03\"\nnote = \"new cart\"\nsites = [\"Oak\"]\n";
    let run = with_cases(format!("{HEADER}{GOOD}"));
    run.file(
        "mapping.toml",
        format!("{MAPPING}{phase}[targets]\ncalls = 3\n"),
    );
    let ended = run.on_files("review --out out --quiet");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    for warning in [
        "begins in 2027-03, outside the records, which cover 2026-03 to 2026-03",
        "begins in 2027-03 names a site without a case",
    ] {
        assert!(ended.stderr.contains(warning), "{}", ended.stderr);
    }
}

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

/// A window of a site that is in order.
const LOCAL: &str = r#"id = "bolus_before_midnight"
presentation = ["food_impaction"]
sharp = "no"
urgency = "urgent"
hours = 12
source = "department policy of 2026"
"#;

/// What is replaced in that window, by what, and what the message and its hint then say.
const WINDOW_FAULTS: &[[&str; 4]] = &[
    [
        "bolus_before_midnight",
        "Bolus!",
        "`id` that cannot be one",
        "lowercase letters",
    ],
    [
        "bolus_before_midnight",
        "battery_stomach",
        "a window of this `id` already",
        "`windows.off`",
    ],
    [
        "food_impaction",
        "food",
        "one that does not exist",
        "food_impaction, foreign_body",
    ],
    [
        "[\"food_impaction\"]",
        "[]",
        "no code below `presentation`",
        "food_impaction, foreign_body",
    ],
    [
        "sharp = \"no\"",
        "symptoms = \"no\"",
        "asks for `symptoms`, which has no column",
        "[cases.columns]",
    ],
    [
        "sharp = \"no\"",
        "population = \"adult\"",
        "asks for `age_years`",
        "[cases.columns]",
    ],
    [
        "sharp = \"no\"",
        "population = \"grownups\"",
        "unknown `population`",
        "adult (18",
    ],
    [
        "sharp = \"no\"",
        "length_mm_under = 60",
        "asks for `object_length_mm`",
        "[cases.columns]",
    ],
    [
        "sharp = \"no\"",
        "age_from = 18\nage_under = 18",
        "nothing between `age_from`",
        "the second the smallest that is too large",
    ],
    [
        "sharp = \"no\"",
        "clock_start = \"door\"",
        "unknown `clock_start`",
        "arrival, call, onset, not_stated",
    ],
    [
        "\"urgent\"",
        "\"soon\"",
        "unknown `urgency`",
        "emergent, urgent, non_urgent, no_window",
    ],
    [
        "\"urgent\"",
        "\"not_assignable\"",
        "unknown `urgency`",
        "no_window",
    ],
    [
        "\"urgent\"",
        "\"no_window\"",
        "a time and `no_window`",
        "watched",
    ],
    ["hours = 12\n", "", "or neither of them", "`minutes`"],
    [
        "hours = 12",
        "hours = 0",
        "no length that a window can have",
        "more than 0",
    ],
    [
        "hours = 12",
        "hours = 721",
        "no length that a window can have",
        "at most 30 days",
    ],
    [
        "hours = 12",
        "hours = 9223372036854775807",
        "no length that a window can have",
        "at most 30 days",
    ],
    [
        "hours = 12",
        "hours = 12\nminutes = 720",
        "no length that a window can have",
        "one of `hours` and `minutes`",
    ],
    [
        "department policy of 2026",
        "  ",
        "has no `source`",
        "department policy",
    ],
    ["urgency = \"urgent\"\n", "", "urgency", "README"],
    ["hours", "hour", "unknown field", "README"],
];

fn with_windows(windows: &str) -> crate::run::Run {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    run.file("mapping.toml", format!("{MAPPING}{windows}"));
    run
}

#[test]
fn a_window_of_the_site_that_cannot_be_one() {
    let local = |text: &str| with_windows(&format!("[[windows.local]]\n{text}"));
    assert_eq!(local(LOCAL).on_files("check").code, 0);
    for [from, to, message, hint] in WINDOW_FAULTS {
        assert!(LOCAL.contains(from), "{from}");
        check_refused(&local(&LOCAL.replacen(from, to, 1)), message, hint);
    }
    let twice = format!("[[windows.local]]\n{LOCAL}[[windows.local]]\n{LOCAL}");
    check_refused(
        &with_windows(&twice),
        "a window of this `id` already",
        "`id` of its own",
    );
}

#[test]
fn windows_that_are_switched_by_a_wrong_name_or_both_ways() {
    check_refused(
        &with_windows("[windows]\non = [\"variceal\"]\n"),
        "`windows.on` names `variceal`, which is no guideline window",
        "variceal_bleed, upper_bleed_adult",
    );
    check_refused(
        &with_windows("[windows]\noff = [\"nosuch\"]\n"),
        "`windows.off` names `nosuch`",
        "drug_packet",
    );
    check_refused(
        &with_windows("[windows]\non = [\"variceal_bleed\"]\noff = [\"variceal_bleed\"]\n"),
        "both in `windows.on` and in `windows.off`",
        "one of the two",
    );
}
