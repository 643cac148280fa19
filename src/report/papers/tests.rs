use super::*;
use crate::findings::case_mix::{Category, Groups, Time};
use crate::report::tests::invented;

fn mix(groups: &[(&str, u64)]) -> CaseMix {
    let largest = Some(Largest {
        size: 0.256,
        between: [0, 1],
    });
    let quartiles = Quartiles {
        cases: 1234,
        excluded: 2,
        median: Some(43.0),
        p25: Some(30.0),
        p75: None,
    };
    CaseMix {
        by: Groups::Site,
        groups: groups
            .iter()
            .map(|(name, cases)| ((*name).to_owned(), *cases))
            .collect(),
        variables: vec![Variable {
            name: "sex",
            categories: vec![Category {
                code: "female".to_owned(),
                cases: groups.iter().map(|_| 2).collect(),
            }],
            missing: groups.iter().map(|_| 6).collect(),
            largest,
        }],
        times: vec![Time {
            measure: "call_to_scope".to_owned(),
            all: quartiles,
            groups: groups.iter().map(|_| Quartiles::default()).collect(),
            largest: None,
        }],
    }
}

fn texts(row: &[Cell]) -> Vec<&str> {
    row.iter().map(|cell| cell.text.as_str()).collect()
}

#[test]
fn table_one_has_shares_of_the_recorded_and_missing_of_all() {
    let mix = mix(&[("A_1", 8), ("B&B", 8), ("C", 8)]);
    let table = case_mix(&invented::review(), &mix);
    assert_eq!(
        table.columns,
        [
            "",
            "All (n = 24)",
            "A_1 (n = 8)",
            "B&B (n = 8)",
            "C (n = 8)",
            "SMD"
        ]
    );
    let rows: Vec<_> = table.rows.iter().map(|row| texts(row)).collect();
    assert_eq!(rows[0], ["Sex", "", "", "", "", "0.26 (A_1, B&B)"]);
    // Two of two recorded are too few for a percentage; six of six are not.
    assert_eq!(rows[1], ["\u{2003}female", "6 (100%)", "2", "2", "2", ""]);
    assert_eq!(
        rows[2],
        [
            "\u{2003}not recorded",
            "18 (75%)",
            "6 (75%)",
            "6 (75%)",
            "6 (75%)",
            ""
        ]
    );
    assert_eq!(rows[3][1..3], ["43 (30 to –), n = 1,234", "–"]);
    assert!(table.caption.contains("n = 24 cases"), "{}", table.caption);
}

#[test]
fn more_groups_than_a_page_holds_stand_in_the_file_alone() {
    let groups: Vec<_> = (0..9).map(|_| ("Site", 8)).collect();
    let table = case_mix(&invented::review(), &mix(&groups));
    assert_eq!(table.columns.len(), 3);
    assert!(table.rows.iter().all(|row| row.len() == 3));
    assert!(
        table
            .caption
            .contains("The 9 groups stand in tables/case_mix.csv")
    );
}

#[test]
fn methods_name_what_was_computed_and_nothing_else() {
    let review = invented::review();
    let (text, keys) = methods::methods(&review, Some(&mix(&[("A", 8), ("B", 8)])));
    assert!(
        keys.contains(&"wilson1927") && keys.contains(&"austin2009"),
        "{keys:?}"
    );
    assert!(
        !keys.contains(&"brown2001") && !text.contains("Jeffreys"),
        "{text}"
    );
    assert!(text.contains("We describe 16 recorded cases of emergency endoscopy"));
    let bibliography = sources::bibliography(&keys);
    assert_eq!(bibliography.matches("\n@").count(), keys.len());
}

#[test]
fn there_is_one_file_for_each_part_of_a_paper() {
    let files = papers(&invented::review(), Some(&mix(&[("A", 8), ("B", 8)])));
    let names: Vec<_> = files.iter().map(|(path, _)| path.as_str()).collect();
    assert_eq!(
        names,
        [
            "papers/case_mix.md",
            "papers/case_mix.tex",
            "papers/main_findings.md",
            "papers/main_findings.tex",
            "methods.txt",
            "methods.bib",
            "reporting.md"
        ]
    );
    assert!(files.iter().all(|(_, text)| text.ends_with('\n')));
}
