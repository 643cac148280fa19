use super::{Proposal, Unmapped, propose};
use crate::ingest::error::IngestError;
use proptest::prelude::*;
use std::fmt::Write as _;
use std::path::PathBuf;

fn of_files(cases: &[u8], passes: Option<&[u8]>) -> Result<Proposal, IngestError> {
    let directory = tempfile::tempdir().unwrap();
    let file = |name: &str, content: &[u8]| -> PathBuf {
        let path = directory.path().join(name);
        std::fs::write(&path, content).unwrap();
        path
    };
    let cases = [file("cases.csv", cases)];
    let passes: Vec<PathBuf> = passes
        .map(|passes| file("passes.csv", passes))
        .into_iter()
        .collect();
    propose(&Unmapped {
        cases: &cases,
        passes: &passes,
        time_zone: None,
    })
}

#[track_caller]
fn toml(cases: &str) -> String {
    match of_files(cases.as_bytes(), None) {
        Ok(proposal) => proposal.toml,
        Err(error) => panic!("{error}"),
    }
}

/// Rows `K1,Elm,Food bolus,<moment>,<more>` below headings.
fn export(more_headings: &str, rows: &[(&str, &str)]) -> String {
    let mut text = format!("Case No,Site,Reason,Paged{more_headings}\n");
    for (index, (paged, more)) in rows.iter().enumerate() {
        writeln!(text, "K{index},Elm,Food bolus,{paged}{more}").unwrap();
    }
    text
}

#[track_caller]
fn has(text: &str, line: &str) {
    assert!(
        text.lines().any(|known| known.starts_with(line)),
        "{line}\n{text}"
    );
}

#[test]
fn a_column_without_a_day_above_twelve_follows_the_other_columns() {
    let toml = toml(&export(
        ",Scope in",
        &[
            ("03/02/2026 10:40", ",03/02/2026 11:40"),
            ("04/02/2026 10:40", ",25/02/2026 11:40"),
        ],
    ));
    has(&toml, "time_format = \"%d/%m/%Y %H:%M\"");
    assert!(toml.contains("# sure: 1 cell has a day above 12"), "{toml}");
}

#[test]
fn day_numbers_of_a_spreadsheet_and_times_of_several_forms_are_left_to_a_person() {
    let serial = toml(&export("", &[("46025.77", ""), ("46031.98", "")]));
    has(&serial, "# called_at = \"serial\"");
    has(&serial, "# called_at = \"serial_1904\"");
    let mixed = toml(&export(
        ",Scope in",
        &[
            ("2026-01-13 10:40", ",2026-01-13 11:40"),
            ("13.01.2026 10:40", ",2026-01-13 11:40"),
        ],
    ));
    assert!(
        mixed.contains("undecided: the times are written in 2 forms"),
        "{mixed}"
    );
    // With one form open none is common, so that it does not count for the open one.
    has(&mixed, "scope_in_at = \"%Y-%m-%d %H:%M\"");
    assert!(!mixed.contains("\ntime_format"), "{mixed}");
}

#[test]
fn a_clock_that_never_passes_noon_is_looked_at() {
    let rows: Vec<String> = (1..=25)
        .map(|day| format!("2026-01-{day:02} {:02}:15", day % 12 + 1))
        .collect();
    let rows: Vec<(&str, &str)> = rows.iter().map(|row| (row.as_str(), "")).collect();
    let toml = toml(&export("", &rows));
    assert!(
        toml.contains("# look: no hour above 12; were am and pm lost?"),
        "{toml}"
    );
}

#[test]
fn words_without_a_heading_that_fits_are_looked_at() {
    let passes =
        "Case,Nr,Gerät,Was\n1,1,net,out\n1,2,snare,piece out\n2,1,net,nothing\n3,1,rat tooth,out\n";
    let cases = export("", &[("2026-01-13 10:40", "")]);
    let proposal = of_files(cases.as_bytes(), Some(passes.as_bytes()));
    let Ok(proposal) = proposal else {
        panic!("two exports");
    };
    let toml = proposal.toml;
    has(
        &toml,
        "device      = \"Gerät\"   # look: only its words say so",
    );
    has(
        &toml,
        "result      = \"Was\"     # look: only its words say so",
    );
    assert_eq!((proposal.columns, proposal.columns_mapped), (8, 8));
}

#[test]
fn a_passes_export_without_what_each_pass_needs_says_so() {
    let cases = export("", &[("2026-01-13 10:40", "")]);
    let proposal = of_files(
        cases.as_bytes(),
        Some(b"Case,Result\n1,removed\n1,failed\n"),
    );
    let Ok(proposal) = proposal else {
        panic!("two exports");
    };
    for field in ["pass_number", "device"] {
        let item = format!("`{field}`: no column fits, and without it no row can be read");
        assert!(
            proposal.to_decide.contains(&item),
            "{:?}",
            proposal.to_decide
        );
        has(&proposal.toml, &format!("# {field}"));
    }
}

#[test]
fn words_that_may_tell_of_a_person_are_counted_and_not_written() {
    let row = |index: usize| match index {
        7 => ",gremlin",
        8 | 9 => ",clockwork gremlin",
        10 | 11 => ",Uma Lindqvist",
        12 | 13 => ",code 1234567",
        14 => ",fish bone",
        _ => ",meat",
    };
    let rows: Vec<(&str, &str)> = (0..60)
        .map(|index| ("2026-01-13 10:40", row(index)))
        .collect();
    let large = toml(&export(",Object", &rows));
    // Known to anybody, however rare.
    has(&large, "\"fish bone\"           = \"fish_bone\"");
    // Said twice.
    has(&large, "# \"clockwork gremlin\" = \"\"");
    // Said once, a name, a long number.
    for hidden in ["\"gremlin\"", "Lindqvist", "1234567"] {
        assert!(!large.contains(hidden), "{large}");
    }
    assert!(
        large.contains("# 3 more words in 5 cells not written here"),
        "{large}"
    );
    assert!(
        large.contains("`object_type` 4 words in 7 cells"),
        "{large}"
    );
    // In a small column a word may stand alone, unless the column is of different words.
    let small = toml(&export(",Object", &rows[..30]));
    has(&small, "# \"gremlin\"");
    let different: Vec<String> = (0..12).map(|index| format!(",gremlin {index}")).collect();
    let rows: Vec<(&str, &str)> = different
        .iter()
        .map(|word| ("2026-01-13 10:40", word.as_str()))
        .chain([("2026-01-13 10:40", ",meat"); 12])
        .collect();
    let of_remarks = toml(&export(",Object type", &rows));
    assert!(!of_remarks.contains("gremlin"), "{of_remarks}");
}

#[test]
fn blanks_beside_nothing_but_yes_are_asked_for() {
    let rows: Vec<(&str, &str)> = [",x", ",", ",x", ",", ",", ",x"]
        .map(|cell| ("2026-01-13 10:40", cell))
        .to_vec();
    let toml = toml(&export(",Overtube", &rows));
    has(
        &toml,
        "# \"\" = \"no\"    # 3 cells blank: not recorded, unless you take this line",
    );
    assert!(
        toml.contains("blank cells where every other cell is a yes: overtube"),
        "{toml}"
    );
}

#[test]
fn an_export_with_very_many_columns_is_looked_at_in_part() {
    let mut text = String::from("Case No,Site,Reason,Paged");
    for number in 0..1500 {
        write!(text, ",More {number}").unwrap();
    }
    for row in 0..3 {
        write!(text, "\nK{row},Elm,Food bolus,2026-01-13 10:40").unwrap();
        text.push_str(&",a".repeat(1500));
    }
    let toml = toml(&text);
    assert!(
        toml.contains("1504 columns, of which the first 1000 were looked at"),
        "{toml}"
    );
    has(&toml, "called_at");
    has(&toml, "#   and 1440 more");
}

fn check_any(bytes: &[u8]) {
    let Ok(proposal) = of_files(bytes, None) else {
        return;
    };
    let parsed = toml::from_str::<toml::Table>(&proposal.toml);
    assert!(parsed.is_ok(), "no TOML");
    let is_unseen = |letter: char| letter.is_control() && letter != '\n';
    assert!(!proposal.toml.contains(is_unseen));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_bytes_give_an_error_or_a_mapping_in_toml(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        check_any(&bytes);
    }

    #[test]
    fn any_cells_below_headings_of_ours_give_a_mapping_in_toml(
        cells in proptest::collection::vec("(|[a-zé\"\\\\\n ]{1,8}|[0-9.,:/ -]{1,12}|yes|net|n/a|2026-01-13 10:40)", 0..60),
    ) {
        let mut text = String::from("Case No,Site,Paged,Object,Sharp,Devices used\n");
        for row in cells.chunks(6) {
            let row: Vec<String> = row.iter().map(|cell| format!("\"{}\"", cell.replace('"', "\"\""))).collect();
            text.push_str(&row.join(","));
            text.push('\n');
        }
        check_any(text.as_bytes());
    }
}
