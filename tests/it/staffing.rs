//! `staffing`: the report of teams and cart, from the sample and from exports that cannot tell all.

use crate::run::{Run, repository};
use std::collections::BTreeMap;

/// The files of the sample beside those of a review.
const EXTRAS: [&str; 3] = ["duty.toml", "roster.csv", "cart_checks.csv"];

fn sample() -> Run {
    let run = Run::of_sample();
    for name in EXTRAS {
        let bytes = std::fs::read(repository("sample_data").join(name)).expect("a sample file");
        run.file(name, bytes);
    }
    run
}

/// Fewer simulated years: what is tested here does not need more.
fn quick(run: &Run) {
    let plan = std::fs::read_to_string(run.path("duty.toml")).expect("a plan");
    let quick = plan.replace("years    = 1000", "years    = 40");
    assert_ne!(plan, quick);
    run.file("duty.toml", quick);
}

const ALL: &str = "--duty duty.toml --roster roster.csv --cart-checks cart_checks.csv";

fn text(run: &Run, name: &str) -> String {
    std::fs::read_to_string(run.path(name)).unwrap_or_else(|_| panic!("{name} is not there"))
}

#[test]
fn the_sample_gives_every_part_and_names_no_place_on_the_roster() {
    let run = sample();
    quick(&run);
    let ended = run.on_files(&format!("staffing {ALL} --out out"));
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    for question in [
        "When do calls come?",
        "What do they ask of the teams?",
        "How often do two calls meet?",
        "What would other arrangements do?",
        "What must the cart carry?",
    ] {
        assert!(
            ended.stdout.contains(question),
            "{question}: {}",
            ended.stdout
        );
    }
    let page = text(&run, "out/staffing.html");
    for section in [
        "summary",
        "demand",
        "load",
        "overlap",
        "coverage",
        "stock",
        "kit",
        "checks",
        "definitions",
        "methods",
        "quality",
        "cautions",
        "words",
    ] {
        assert!(
            page.contains(&format!("<section id=\"{section}\"")),
            "{section}"
        );
    }
    assert!(page.contains("contracts"), "who decides is said");
    let files = run.files_below("out");
    assert!(files.contains_key("staffing.pdf") && files.contains_key("summary.md"));
    for (name, bytes) in &files {
        let has = |word: &[u8]| bytes.windows(word.len()).any(|part| part == word);
        // Bytes of pictures may spell anything, and hold no text of ours.
        let is_picture = std::path::Path::new(name)
            .extension()
            .is_some_and(|ending| ending == "png");
        if !is_picture {
            assert!(!has(b"nurse_1") && !has(b"endoscopist_"), "{name}");
        }
    }
    let record = text(&run, "out/run.json");
    for role in ["\"duty\"", "\"roster\"", "\"cart_checks\"", "\"staffing\""] {
        assert!(record.contains(role), "{role}");
    }
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let run = sample();
    quick(&run);
    let mut outputs = BTreeMap::new();
    for threads in [1, 3] {
        let out = format!("out_{threads}");
        let ended = run.on_files(&format!(
            "staffing {ALL} --quiet --threads {threads} --out {out}"
        ));
        assert_eq!(ended.code, 0, "{}", ended.stderr);
        outputs.insert(threads, run.files_below(&out));
    }
    for (name, bytes) in &outputs[&1] {
        assert!(outputs[&3].get(name) == Some(bytes), "{name}");
    }
    assert_eq!(outputs[&1].len(), outputs[&3].len());
}

#[test]
fn roster_and_checks_of_other_months_are_left_out_and_counted() {
    let run = sample();
    quick(&run);
    let ended = run.on_files(&format!(
        "staffing {ALL} --from 2024-11 --to 2025-10 --out out"
    ));
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    // Checks of October 2025 alone: 31 days of four carts; 1,460 rows in all.
    let checks = run.table("out/tables/cart_checks.csv");
    let all = checks
        .iter()
        .find(|row| row["site"] == "all" && row["what"] == "on_time")
        .expect("a row");
    assert_eq!(all["checks"], "124");
    assert!(
        ended
            .stdout
            .contains("1,336 of the accepted are of other months or sites"),
        "{}",
        ended.stdout
    );
}

/// What was planted: `sample_data/README.md`, truths 10 to 12.
#[test]
fn what_was_planted_in_carts_and_checks_is_found() {
    let run = sample();
    quick(&run);
    let ended = run.on_files(&format!("staffing {ALL} --quiet --out out"));
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let stock = run.table("out/tables/cart_stock.csv");
    for site in ["Alder", "Birch", "Cedar"] {
        let net = stock
            .iter()
            .find(|row| row["site"] == site && row["item"] == "net")
            .expect("a row");
        let number = |column: &str| -> f64 { net[column].parse().expect("a number") };
        assert!(number("carried") < number("carry"), "{site}: {net:?}");
    }
    let checks = run.table("out/tables/cart_checks.csv");
    let late = |site: &str| -> f64 {
        let row = checks
            .iter()
            .find(|row| row["site"] == site && row["what"] == "on_time")
            .expect("a row");
        1.0 - row["share"].parse::<f64>().expect("a share")
    };
    assert!(
        late("Birch") > 1.5 * late("Cedar"),
        "late on weekends at Birch"
    );
}

#[test]
fn minutes_since_the_call_give_no_overlap_and_all_else() {
    let run = Run::new();
    run.file("mapping.toml", ELAPSED);
    let mut cases = "Case,Site,Reason,Month,Day,Hour,In,Out\n".to_owned();
    for number in 0..60 {
        let month = 1 + number % 6;
        cases.push_str(&format!(
            "{number},Alder,food,2026-0{month},mon,{},90,120\n",
            number % 24
        ));
    }
    run.file("cases.csv", cases);
    let ended = run.on_files("staffing --out out");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    assert!(ended.stdout.contains("When do calls come?"));
    assert!(!ended.stdout.contains("How often do two calls meet?"));
    let page = text(&run, "out/staffing.html");
    assert!(page.matches("needs clock times").count() >= 3);
    assert!(!run.path("out/tables/overlap.csv").exists());
    assert!(run.path("out/tables/demand_rates.csv").exists());

    run.file(
        "roster.csv",
        "site,role,duty,from,until\nAlder,nurse_1,shift,2026-01-01 08:00,2026-01-01 16:00\n",
    );
    let ended = run.on_files("staffing --roster roster.csv --out other");
    assert_eq!(ended.code, 2);
    assert!(ended.stderr.contains("clock"), "{}", ended.stderr);
}

const ELAPSED: &str = r#"
[cases]
time_form = "elapsed"
[cases.columns]
case_id = "Case"
site = "Site"
presentation = "Reason"
month = "Month"
weekday = "Day"
hour = "Hour"
scope_in_at = "In"
scope_out_at = "Out"
[cases.codes.presentation]
food = "food_impaction"
"#;

#[test]
fn the_report_of_one_site_is_of_its_calls_alone() {
    let run = sample();
    quick(&run);
    let ended = run.on_files(&format!("staffing {ALL} --quiet --site Cedar"));
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let place = "reports/2026-09-cedar-staffing";
    let rates = run.table(&format!("{place}/tables/demand_rates.csv"));
    assert!(
        rates
            .iter()
            .all(|row| row["site"] == "all" || row["site"] == "Cedar")
    );
    let page = text(&run, &format!("{place}/staffing.html"));
    // 200 calls at Cedar: the sample's own README.
    assert!(page.contains("200 calls") && !page.contains("Alder"));
    let ended = run.on_files("staffing --site Cedr");
    assert_eq!(ended.code, 2);
    assert!(
        ended.stderr.contains("did you mean `Cedar`?"),
        "{}",
        ended.stderr
    );
}

#[test]
fn bad_files_of_staffing_end_with_what_to_do_or_with_their_account() {
    let run = sample();
    quick(&run);
    let refused = |options: &str| {
        let ended = run.on_files(&format!("staffing {options} --quiet --out refused"));
        assert_eq!(ended.code, 2, "{options}: {}", ended.stderr);
        assert!(!run.path("refused").exists());
        ended.stderr
    };
    run.file("bad.toml", "[calls]\nmerge_minuts = 60\n");
    let said = refused("--duty bad.toml");
    assert!(said.contains("merge_minutes"), "{said}");
    run.file(
        "nowhere.toml",
        "[[scenario]]\nname = \"A\"\nsite = \"Nowhere\"\n[[scenario.team]]\non_duty = [\"always\"]\nplace = \"home\"\n",
    );
    let ended = run.on_files("staffing --duty nowhere.toml --quiet --out nowhere");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    assert!(
        ended.stderr.contains("scenario `A` is left out"),
        "{}",
        ended.stderr
    );
    run.file("bad.csv", "site,role,duty,from\n");
    let said = refused("--roster bad.csv");
    assert!(said.contains("until"), "{said}");
    assert!(refused("--roster nowhere.csv").contains("nowhere.csv"));
    assert!(refused("--cart-checks nowhere.csv").contains("nowhere.csv"));

    run.file(
        "checks.csv",
        "site,cart,due_at,checked_at,complete,faults\n\
         Alder,cart_1,2026-01-01 08:00,2026-01-01 07:50,yes,\n\
         Alder,cart_1,2026-13-01 08:00,2026-01-01 07:50,yes,\n",
    );
    let ended = run.on_files("staffing --duty duty.toml --cart-checks checks.csv --out out");
    // Half of the rows are set aside, which is more than the mapping allows.
    assert_eq!(ended.code, 1, "{}", ended.stderr);
    assert!(
        ended.stdout.contains("D11") || ended.stderr.contains("D11"),
        "{}",
        ended.stdout
    );
    let issues = run.table("out/internal/duty_issues.csv");
    assert_eq!(issues.len(), 1);
    assert_eq!(
        (issues[0]["line"].as_str(), issues[0]["code"].as_str()),
        ("3", "D11")
    );
    assert!(
        text(&run, "out/staffing.html").contains("1 (50%)")
            || text(&run, "out/staffing.html").contains("1 of 2")
    );
}

/// A word that stands in every column of roster and checks, and must come out nowhere.
const CANARY: &str = "ZQX-CANARY";

#[test]
fn the_content_of_a_cell_of_roster_or_checks_comes_out_nowhere() {
    let run = sample();
    quick(&run);
    let header = "site,role,duty,from,until\n";
    let good = "Alder,nurse_1,shift,2026-01-01 08:00,2026-01-01 16:00";
    let mut roster = format!("{header}{good}\n");
    for column in [0, 2, 3, 4] {
        let mut cells: Vec<&str> = good.split(',').collect();
        cells[column] = CANARY;
        roster.push_str(&cells.join(","));
        roster.push('\n');
    }
    run.file("canary_roster.csv", roster);
    let good = "Alder,cart_1,2026-01-02 08:00,2026-01-02 07:50,no,missing_item";
    let mut checks = format!("site,cart,due_at,checked_at,complete,faults\n{good}\n");
    for column in [0, 2, 3, 4, 5] {
        let mut cells: Vec<&str> = good.split(',').collect();
        cells[column] = CANARY;
        checks.push_str(&cells.join(","));
        checks.push('\n');
    }
    run.file("canary_checks.csv", checks);
    let files = "--roster canary_roster.csv --cart-checks canary_checks.csv";
    let ended = run.on_files(&format!("staffing --duty duty.toml {files} --out out"));
    // Most rows are set aside, which is more than the mapping allows.
    assert_eq!(ended.code, 1, "{}", ended.stderr);
    assert!(!ended.stdout.contains(CANARY) && !ended.stderr.contains(CANARY));
    for (name, bytes) in run.files_below("out") {
        let has = bytes
            .windows(CANARY.len())
            .any(|part| part == CANARY.as_bytes());
        assert!(!has, "{name}");
    }
    // What may be a name stops the run, and says where without saying what.
    for (file, option) in [
        (
            format!("{header}Alder,{CANARY},shift,2026-01-01 08:00,2026-01-01 16:00\n"),
            "--roster",
        ),
        (
            format!(
                "site,cart,due_at,checked_at,complete,faults\nAlder,{CANARY},2026-01-02 08:00,,,\n"
            ),
            "--cart-checks",
        ),
    ] {
        run.file("stops.csv", file);
        let ended = run.on_files(&format!("staffing {option} stops.csv --out stops"));
        assert_eq!(ended.code, 2, "{option}: {}", ended.stdout);
        assert!(!ended.stderr.contains(CANARY), "{option}");
        assert!(
            ended.stderr.contains("stops.csv"),
            "{option}: {}",
            ended.stderr
        );
    }
}
