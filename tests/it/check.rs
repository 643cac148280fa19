//! `check` as a user types it: what it explains, prints, forbids and writes.

use crate::bad_input::{GOOD, HEADER, MAPPING, with_cases};
use crate::run::{Ended, Run};
use scopetally::domain::issue::IssueCode;
use scopetally::domain::issue_examples::example_of;

/// A row with a word that the mapping does not know.
const UNKNOWN_WORD: &str = "K2,Alder,Food,2026-03-01 10:00,,,SECRET\n";
/// A row with a call more than a day before the scope, which is unusual and no more.
const UNUSUAL: &str = "K3,Alder,Food,2026-03-01 10:00,2026-03-02 11:00,,Meat\n";

#[test]
fn every_code_is_explained_without_any_file() {
    let run = Run::new();
    let list = run.run("check --explain");
    let all = run.run("check --explain all");
    assert_eq!(
        (list.code, all.code),
        (0, 0),
        "{}{}",
        list.stderr,
        all.stderr
    );
    for code in IssueCode::ALL {
        let one = run.run(&format!("check --explain {}", code.code().to_lowercase()));
        assert_eq!(one.code, 0, "{}", one.stderr);
        // Hints are wrapped at the width of a terminal.
        let words = one.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
        for part in [code.summary(), code.effect().sentence(), code.hint()] {
            assert!(words.contains(part), "{part}\n{}", one.stdout);
        }
        let example = example_of(*code);
        for line in example.before.iter().chain(example.after) {
            assert!(one.stdout.contains(line), "{line}\n{}", one.stdout);
        }
        assert!(all.stdout.contains(&one.stdout), "{}", code.code());
        assert!(
            list.stdout.contains(&format!("\n  {}  ", code.code())),
            "{}",
            list.stdout
        );
    }
    let of = |code: &str| run.run(&format!("check --explain {code}")).stdout;
    assert!(of("R06").contains("counts against `limits.rows_set_aside`"));
    assert!(of("C02").contains("counts against `limits.values_unusable`"));
    for code in ["R05", "R09", "T01", "T02"] {
        assert!(of(code).contains("counts against no limit"), "{code}");
    }
}

#[test]
fn a_code_that_does_not_exist_is_refused_with_the_one_that_was_meant() {
    let run = Run::new();
    let near = run.run("check --explain C2");
    assert_eq!((near.code, near.stdout.as_str()), (2, ""));
    assert_eq!(
        near.stderr,
        "error: there is no code `C2`; did you mean `C02`? `scopetally check --explain` lists all\n"
    );
    let far = run.run("check --explain Z99");
    assert_eq!(far.code, 2);
    assert!(!far.stderr.contains("did you mean"), "{}", far.stderr);
    // Without it, files are needed as ever.
    let nothing = run.run("check");
    assert_eq!(nothing.code, 2);
    assert!(nothing.stderr.contains("--cases") && nothing.stderr.contains("--mapping"));
}

#[test]
fn help_says_that_an_explanation_stands_alone_and_it_does() {
    let run = with_cases(format!("{HEADER}{GOOD}"));
    let help = run.run("check --help").stdout;
    let words = help.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("scopetally check --explain [<CODE>]"),
        "{help}"
    );
    assert!(words.contains("Stands alone: no export is read"), "{help}");
    let both = run.on_files("check --explain C13");
    assert_eq!((both.code, both.stdout.as_str()), (2, ""));
    assert!(
        both.stderr.contains("cannot be used with"),
        "{}",
        both.stderr
    );
    assert!(
        both.stderr.contains("scopetally check --explain [<CODE>]"),
        "{}",
        both.stderr
    );
}

/// A man of 74 with an INR of 1.3, alert, systolic 104 has an AIMS65 of 2 with an albumin of 2.8
/// g/dL, and of 1 with 3.8.
#[test]
fn scores_that_differ_often_are_a_warning_that_changes_no_exit_code() {
    let header = HEADER.replace('\n', ",Years,Alb,INR,Altered,SBP,AIMS\n");
    let mapping = MAPPING
        .replace(
            "\"Food\" = ",
            "\"upper_bleed\" = \"upper_bleed\"\n\"Food\" = ",
        )
        .replace(
            "[cases.codes.presentation]",
            "age_years = \"Years\"\nalbumin = \"Alb\"\ninr = \"INR\"\n\
             altered_mental_status = \"Altered\"\nsystolic = \"SBP\"\n\
             exported_aims65 = \"AIMS\"\n[cases.units]\nalbumin = \"g/dL\"\n\
             [cases.codes.presentation]",
        );
    let check = |different: usize, alike: usize| {
        let rows = (0..different + alike).map(|index| {
            let albumin = if index < different { "3.8" } else { "2.8" };
            GOOD.replace("K1", &format!("K{index}"))
                .replace("Food", "upper_bleed")
                .replace("Meat", "")
                .replace('\n', &format!(",74,{albumin},1.3,no,104,2\n"))
        });
        let run = with_cases(header.clone() + &rows.collect::<String>());
        run.file("mapping.toml", &mapping);
        run.on_files("check")
    };
    let often = check(12, 3);
    assert_eq!(
        (often.code, often.stderr.as_str()),
        (
            0,
            "warning: 12 of 15 values of `exported_aims65` differ from the score that the \
             components give: check units and components\n"
        ),
        "{}",
        often.stdout
    );
    let seldom = check(9, 3);
    assert_eq!((seldom.code, seldom.stderr.as_str()), (0, ""));
}

#[test]
fn strict_forbids_all_but_notes_and_says_which_kinds() {
    let ended = Run::of_sample().on_files("check --strict");
    assert_eq!(ended.code, 1);
    assert_eq!(
        ended.stderr,
        "warning: more than notes were found (`--strict`): R07 1, R05 1, C02 1, C03 1, T01 2\n"
    );
    assert_eq!(Run::of_sample().on_files("check").code, 0);

    for rows in [String::new(), UNUSUAL.to_owned()] {
        let ended = with_cases(format!("{HEADER}{GOOD}{rows}")).on_files("check --strict");
        assert_eq!(
            (ended.code, ended.stderr.as_str()),
            (0, ""),
            "{}",
            ended.stdout
        );
    }
    let ended = with_cases(format!("{HEADER}{GOOD}{GOOD}")).on_files("check --strict");
    assert_eq!(ended.code, 1);
    assert!(ended.stderr.contains(": R05 1\n"), "{}", ended.stderr);
}

#[test]
fn quiet_prints_warnings_and_nothing_else() {
    let ended = with_cases(format!("{HEADER}{GOOD}{UNUSUAL}")).on_files("check --quiet");
    assert_eq!(
        (ended.code, ended.stdout.as_str(), ended.stderr.as_str()),
        (0, "", "")
    );
    let rows = format!("{HEADER}{GOOD}{UNUSUAL}{UNKNOWN_WORD}");
    let ended = with_cases(rows).on_files("check --quiet");
    assert_eq!(ended.code, 1);
    assert!(
        ended.stdout.starts_with("warning[C02]: "),
        "{}",
        ended.stdout
    );
    for absent in ["note[", "rows read", "period", "limits "] {
        assert!(!ended.stdout.contains(absent), "{}", ended.stdout);
    }
    assert!(
        ended.stderr.starts_with("warning: 33.3% of the rows"),
        "{}",
        ended.stderr
    );
}

/// The whole of a small check, read by eye.
#[test]
fn a_check_reads_from_the_gravest_issue_to_the_verdict() {
    let rows = format!("{HEADER}{GOOD}{UNUSUAL}{UNKNOWN_WORD}{GOOD}");
    let ended = with_cases(rows).on_files("check");
    assert_eq!(ended.code, 1);
    assert_eq!(ended.stdout, SMALL_CHECK);
}

const SMALL_CHECK: &str = "\
warning[R05]: the row says the same as an earlier row in every mapped column
  --> cases.csv, line 5
   = effect: row left out; the earlier row stands for both

hint: nothing needs doing; an export without repeats is easier to check

warning[C02]: the cell holds a word that the mapping does not know
  --> cases.csv, `object_type`, line 4
   = found:  letters or signs (content not shown)
   = effect: value counts as missing

hint: add the word to the codes of this column in the mapping; where a column has codes there, all its words must stand in them

note[T02]: the time between the two moments is unusual
  --> cases.csv, `called_at` to `scope_in_at`, line 3

file    cases.csv: 272 bytes
        utf-8 (found), separator `,` (found), line ends LF, decimal mark `.`
        7 columns: 7 mapped, 0 dropped, 0 not used
        times `%Y-%m-%d %H:%M` (given): called_at, scope_in_at, scope_out_at
        4 rows read = 3 accepted + 0 set aside + 1 duplicate
cases   4 rows read = 3 accepted + 0 set aside + 1 duplicate
words   cases, `object_type`: 1 unknown word in 1 cell, 0 with a likely meaning
  `--out DIR --list-words` lists them for the person who writes the mapping
filled  4 of 7 mapped fields in every accepted case; a blank in the others may
        mean that they do not apply
  field         filled  share
  scope_in_at        2  66.7%
  scope_out_at       1  33.3%
  object_type        2  66.7%
not counted for want of:
  arrival_to_scope: `arrived_at`, `outcome`, `ended_at`, `setting`
  call_to_team: `team_at`, `outcome`, `ended_at`
  call_to_cart: `cart_at`, `outcome`, `ended_at`
  scoped_within_window: `arrived_at`, `outcome`
  scoped_within_preferred_window: `arrived_at`, `outcome`
  upper_bleed_within_24h: `age_years`, `arrived_at`, `outcome`
  variceal_within_12h: `age_years`, `variceal_suspected`, `arrived_at`, `outcome`
  retrieval_success: `outcome`, a passes export
  first_device_success: a passes export, `outcome`
  device_success: a passes export, `outcome`
  one_piece_removal: `outcome`, `one_piece`
  removed_in_one_pass: `outcome`, a passes export
  three_or_more_passes: `outcome`, a passes export
  push_success: a passes export, `outcome`
  device_switch: a passes export, `outcome`
  three_or_more_devices: a passes export, `outcome`
  already_gone: `outcome`
  overtube_used: `overtube`, `outcome`
  overtube_used_sharp: `overtube`, `outcome`, `sharp`
  overtube_used_repeat_passes: `overtube`, `outcome`, a passes export
  overtube_used_airway_not_secured: `airway`, `overtube`, `outcome`
  protective_aid_used: `outcome`, `overtube`, `hood`, `cap`
  protective_aid_used_sharp: `outcome`, `sharp`, `overtube`, `hood`, `cap`
  passes_before_overtube: `overtube`, `overtube_pass`, a passes export, `outcome`
  scope_in_to_overtube: `overtube`, `overtube_at`, `outcome`
  overtube_to_removal: `removed_at`, `overtube`, `overtube_at`, `outcome`
  airway_secured: `airway`, `outcome`
  adverse_event: `adverse_event`, `outcome`
  perforation: `outcome`, `adverse_event`
  graded_harm: `adverse_scale`, `adverse_grade`, `adverse_event`, `outcome`
  biopsy_at_food_impaction: `biopsies_taken`, `biopsy_not_indicated`, `outcome`
  airway_to_scope: `airway`, `airway_at`, `outcome`
  scope_in_to_removal: `removed_at`, `outcome`
  team_within_30: `team_at`, `outcome`
  wait_for_team: `team_at`, `cart_at`, `airway_at`, `outcome`
  wait_for_cart: `team_at`, `cart_at`, `airway_at`, `outcome`
  wait_for_airway: `team_at`, `cart_at`, `airway_at`, `outcome`
  wait_for_scope: `team_at`, `cart_at`, `airway_at`, `outcome`
  cart_complete: `cart_complete`, `missing_item`, `cart_at`, `outcome`
  stock_outs: `missing_item`, `cart_complete`
  case_malfunction: `malfunction`, `outcome`
  device_malfunction: a passes export, `malfunction`, `outcome`
  preclean_done: `preclean_done`, `outcome`
  scope_out_to_preclean: `preclean_at`, `outcome`, `preclean_done`
  preclean_within_10: `preclean_at`, `preclean_done`, `outcome`
  scope_out_to_handover: `handover_at`, `outcome`
  handover_within_60: `handover_at`, `outcome`
  preclean_end_to_manual_clean: `manual_clean_at`, `preclean_end_at`, `outcome`, `preclean_done`
  preclean_start_to_manual_clean: `manual_clean_at`, `preclean_at`, `outcome`, `preclean_done`
  scope_out_to_manual_clean: `manual_clean_at`, `outcome`
  manual_clean_within_60: `manual_clean_at`, `outcome`
  initial_hemostasis: `outcome`, `treatment`
  rebleed_3d: `rebleed_days`, `followed_days`, `death_days`, `outcome`
  rebleed_7d: `rebleed_days`, `followed_days`, `death_days`, `outcome`
  rebleed_30d: `rebleed_days`, `followed_days`, `death_days`, `outcome`
  rescue_treatment: `rescue`, `outcome`
  transfused: `transfused_units`, `outcome`
  death_30d: `death_days`, `followed_days`, `outcome`
  ulcer_bleeds: `bleed_finding`
counted, though without:
  call_to_scope: `outcome`, `ended_at`
  scope_in_to_out: `outcome`
issues  3 in 3 rows
  code  kind                                          count  rows  effect
  R05   the row says the same as an earlier row in        1     1  row left out
        every mapped column
  C02   the cell holds a word that the mapping does       1     1  value missing
        not know
  T02   the time between the two moments is unusual       1     1  note
  `scopetally check --explain CODE` explains a code
period  2026-03 to 2026-03, first to last call: 1 month, 0 without a call
sites   Alder 3
limits  one limit was crossed
";

#[test]
fn the_issues_are_written_where_they_are_asked_for_and_nowhere_else() {
    let run = Run::of_sample();
    let before: Vec<_> = run.files_below(".").into_keys().collect();
    assert_eq!(run.on_files("check").code, 0);
    assert_eq!(run.files_below(".").into_keys().collect::<Vec<_>>(), before);

    let ended = run.on_files("check --out checked");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    assert!(
        ended
            .stdout
            .contains("list    checked/internal/issues.csv\n")
    );
    let files = run.files_below("checked");
    assert_eq!(
        files.keys().collect::<Vec<_>>(),
        ["internal/issues.csv", "run.json"]
    );
    let listed = run.table("checked/internal/issues.csv").len();
    assert!(
        ended.stdout.contains(&format!("issues  {listed} in ")),
        "{listed}"
    );
    let facts: serde_json::Value = serde_json::from_slice(&files["run.json"]).expect("JSON");
    assert_eq!(facts["command"], "check");
    assert_eq!(facts["accounting"]["cases"]["read"], 901);
    assert_eq!(facts["inputs"][0]["file"], "cases.csv");

    // The same again is the same; a review lists the same; what others wrote is not replaced.
    assert_eq!(run.on_files("check --out checked --quiet").code, 0);
    assert!(run.files_below("checked") == files);
    assert_eq!(run.on_files("review --out reviewed --quiet").code, 0);
    assert!(run.files_below("reviewed")["internal/issues.csv"] == files["internal/issues.csv"]);
    run.file("checked/notes.txt", "mine");
    let ended = run.on_files("check --out checked");
    assert_eq!((ended.code, ended.stdout.as_str()), (2, ""));
    assert!(run.path("checked/notes.txt").exists());
}

#[test]
fn a_check_that_cannot_run_writes_nothing() {
    let run = with_cases(format!("{HEADER}{}", GOOD.replace("Food", "SECRET")));
    let ended = run.on_files("check --out checked");
    assert_eq!(ended.code, 2);
    assert!(!run.path("checked").exists());
}

#[test]
fn measures_that_want_for_a_field_are_named_with_it() {
    let run = Run::of_sample();
    let whole = run.on_files("check").stdout;
    assert!(!whole.contains("want of") && !whole.contains("though without"));

    let mapping = String::from_utf8(run.files_below(".")["mapping.toml"].clone()).expect("text");
    let without = |fields: &[&str]| {
        let is_kept = |line: &&str| !fields.iter().any(|field| line.starts_with(field));
        let lines: Vec<_> = mapping.lines().filter(is_kept).collect();
        run.file("mapping.toml", lines.join("\n"));
        run.on_files("check").stdout
    };
    assert!(
        without(&["cart_at"]).contains("not counted for want of:\n  call_to_cart: `cart_at`\n")
    );
    // Without the end of cancelled cases the times of all others are counted.
    let text = without(&["ended_at"]);
    assert!(!text.contains("want of"), "{text}");
    assert!(
        text.contains("counted, though without:\n  call_to_scope: `ended_at`\n"),
        "{text}"
    );
    // A split that is missing takes no measure away.
    assert!(
        !without(&["obstruction ", "\"not even", "\"liquids"]).contains("for want of:\n  overtube")
    );

    run.file("mapping.toml", &mapping);
    let ended = run.run("check --cases cases.csv --mapping mapping.toml");
    assert!(
        ended.stdout.contains(
            "not counted for want of:\n  first_device_success: a passes export\n  device_success: a passes export\n"
        ),
        "{}",
        ended.stdout
    );
}

#[test]
fn there_are_colors_only_where_they_are_wanted() {
    let rows = format!("{HEADER}{GOOD}{UNUSUAL}{UNKNOWN_WORD}");
    let run = with_cases(rows);
    let has_color = |ended: &Ended| format!("{}{}", ended.stdout, ended.stderr).contains('\u{1b}');
    for command in ["check", "check --out a", "review --out b"] {
        assert!(!has_color(&run.on_files(command)), "{command}");
    }
    for command in [
        "check --explain C02",
        "check --explain",
        "check --explain C2",
    ] {
        assert!(!has_color(&run.run(command)), "{command}");
    }
    let forced = run.with("CLICOLOR_FORCE", "1").on_files("check");
    assert!(forced.stdout.contains("\u{1b}[33mwarning[C02]\u{1b}[0m: "));
    assert!(forced.stderr.contains("\u{1b}[33mwarning\u{1b}[0m: "));
}

#[test]
fn the_number_of_threads_is_one_of_1_to_256() {
    let run = Run::of_sample();
    assert_eq!(run.on_files("check --quiet --threads 256").code, 0);
    for wrong in ["0", "257", "-1", "all"] {
        let ended = run.on_files(&format!("check --threads {wrong}"));
        assert_eq!(ended.code, 2, "{wrong}");
    }
}
