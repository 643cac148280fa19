//! Words of coded columns.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

fn object(what: &'static str, word: &str) -> Input {
    Input::rows(what, format!("K2,Alder,Food,2026-03-01 10:00,,,{word}\n"))
}

const ALL_STAND: &str = "2 = 2 + 0 + 0";
const UNKNOWN: &[&str] = &["C02 object_type, line 3"];

#[test]
fn words_that_the_mapping_does_not_know() {
    object("a word of its own", "SECRET")
        .reviewed()
        .ends(1, ALL_STAND, UNKNOWN);
    object("a slip of the pen", "Maet").ends(1, ALL_STAND, UNKNOWN);
    object("a known word and another", "Meat SECRET").ends(1, ALL_STAND, UNKNOWN);
    // Where a column has words of its own, our codes are words that nobody gave a meaning.
    object("our code in a column with words of its own", "food_bolus").ends(1, ALL_STAND, UNKNOWN);
    object("a number", "7").ends(1, ALL_STAND, UNKNOWN);
    object("a question mark", "?").ends(1, ALL_STAND, UNKNOWN);
    object("a sign of width zero", "Me\u{200b}at").ends(1, ALL_STAND, UNKNOWN);
}

#[test]
fn words_that_differ_in_case_and_spaces_are_the_same() {
    object("capitals and spaces", "  MEAT ").ends(0, ALL_STAND, &[]);
    object("a non-breaking space around it", "\u{a0}meat\u{a0}").ends(0, ALL_STAND, &[]);
}

#[test]
fn errors_and_formulas_of_spreadsheets() {
    let found = &["C11 object_type, line 3"];
    object("a broken reference", "#REF!").ends(1, ALL_STAND, found);
    object("a value that is none", "#N/A").ends(1, ALL_STAND, found);
    object("a formula", "\"=VLOOKUP(A2,SECRET!A:B,2)\"").ends(1, ALL_STAND, found);
    object("a column that was too narrow", "########").ends(1, ALL_STAND, found);
    object("an error in another language", "#WERT!").ends(1, ALL_STAND, found);
    // A word of the mapping goes before what it looks like.
    object("an error that the mapping gives a meaning", "#N/A")
        .set("missing = [\"#N/A\"]")
        .ends(0, ALL_STAND, &[]);
}

#[test]
fn words_for_yes_and_no() {
    let sharp = |what, word: &str| {
        let header = HEADER.replace('\n', ",Sharp\n");
        Input::of(what).column("sharp = \"Sharp\"").cases(format!(
            "{header}{}",
            GOOD.replace('\n', &format!(",{word}\n"))
        ))
    };
    let unknown = &["C02 sharp, line 2"];
    sharp("one for yes, and nobody said so", "1").ends(1, "1 = 1 + 0 + 0", unknown);
    sharp("a sign for yes, and nobody said so", "X").ends(1, "1 = 1 + 0 + 0", unknown);
    sharp("both", "yes/no").ends(1, "1 = 1 + 0 + 0", unknown);
    sharp("one for yes, and the mapping says so", "1")
        .mapped(
            "[cases.codes.object_type]",
            "[cases.codes.sharp]\n\"1\" = \"yes\"\n[cases.codes.object_type]",
        )
        .ends(0, "1 = 1 + 0 + 0", &[]);
}

#[test]
fn many_unknown_words_are_counted_by_line() {
    let rows: Vec<_> = (2..12)
        .map(|number| format!("K{number},Alder,Food,2026-03-01 10:00,,,SECRET{number}\n"))
        .collect();
    let issues: Vec<_> = (3..13)
        .map(|line| format!("C02 object_type, line {line}"))
        .collect();
    let issues: Vec<&str> = issues.iter().map(String::as_str).collect();
    Input::rows("ten words", rows.concat()).ends(1, "11 = 11 + 0 + 0", &issues);
}

#[test]
fn unknown_words_are_counted_like_their_issues() {
    let words = |what, rows: &str| {
        let input = Input::rows(what, rows);
        let run = input.lay_out();
        input.run(&run, "check --quiet --out checked --list-words");
        let words = run.table("checked/internal/unknown_words.csv");
        words
            .iter()
            .map(|word| word["count"].clone())
            .collect::<Vec<_>>()
    };
    let row = "K2,Alder,Food,2026-03-01 10:00,,,Steak\n";
    assert_eq!(words("one row", row), ["1"]);
    assert_eq!(words("the row again", &row.repeat(3)), ["1"]);
    let other = format!("{row}{}", row.replace("K2", "K3"));
    assert_eq!(words("two rows", &other), ["2"]);
    // A row that is set aside has its issues, and its words.
    assert_eq!(
        words("no call", &row.replace("2026-03-01 10:00", "")),
        ["1"]
    );
    let total = format!("{row}Total,,,,,,Steak\n{HEADER}");
    assert_eq!(words("a total and the header again", &total), ["1"]);
}

/// One case with a scale and a grade.
fn graded(what: &'static str, cells: &str) -> Input {
    let header = HEADER.replace('\n', ",Scale,Grade\n");
    let row = GOOD.replace('\n', &format!(",{cells}\n"));
    Input::of(what)
        .column("adverse_scale = \"Scale\"\nadverse_grade = \"Grade\"")
        .cases(header + &row)
}

#[test]
fn grades_of_another_scale() {
    let stands = "1 = 1 + 0 + 0";
    graded("a grade of its scale", "agree,grade_3a").ends(0, stands, &[]);
    graded("a grade without a scale", ",moderate").ends(0, stands, &[]);
    graded("a scale without a grade", "asge_lexicon,").ends(0, stands, &[]);
    graded("a grade of the other scale", "agree,moderate")
        .reviewed()
        .ends(1, stands, &["C14 adverse_grade, line 2"]);
    graded("a word for a grade", "agree,SECRET").ends(1, stands, &["C02 adverse_grade, line 2"]);
}
