//! `review --site`: the report of one site counts its cases alone, and the sites add up.

use crate::run::Run;
use std::collections::BTreeMap;

/// Columns that say what is counted, in each count table; all others are whole numbers.
const KEYS: [&str; 8] = [
    "measure", "version", "by", "group", "month", "minutes", "reached", "attempts",
];

/// The counts of a table by what they count. Rows of zeros are nothing.
fn counts(run: &Run, name: &str, table: &str) -> BTreeMap<Vec<String>, BTreeMap<String, u64>> {
    let mut counts = BTreeMap::new();
    for row in run.table(&format!("{name}/counts/{table}.csv")) {
        let is_key =
            |column: &str| KEYS.contains(&column) || (table == "passes" && column == "events");
        let key: Vec<_> = KEYS
            .into_iter()
            .chain(["events"])
            .filter(|column| is_key(column))
            .map(|column| row.get(column).cloned().unwrap_or_default())
            .collect();
        let numbers: BTreeMap<_, u64> = row
            .iter()
            .filter(|(column, _)| !is_key(column))
            .map(|(column, cell)| (column.clone(), cell.parse().expect("a count")))
            .collect();
        if numbers.values().any(|number| *number > 0) {
            counts.insert(key, numbers);
        }
    }
    counts
}

#[test]
fn the_reports_of_the_sites_add_up_to_that_of_all() {
    let run = Run::of_sample();
    let ended = run.on_files("review --out all --quiet");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let sites = ["Alder", "Birch", "Cedar"];
    for site in sites {
        let ended = run.on_files(&format!("review --site {site} --quiet"));
        assert_eq!(ended.code, 0, "{}", ended.stderr);
    }
    let folder = |site: &str| format!("reports/2026-09-{}", site.to_lowercase());
    for table in ["shares", "minutes", "passes", "events"] {
        let mut sum = BTreeMap::<Vec<String>, BTreeMap<String, u64>>::new();
        for site in sites {
            for (key, numbers) in counts(&run, &folder(site), table) {
                let total = sum.entry(key).or_default();
                for (column, number) in numbers {
                    *total.entry(column).or_default() += number;
                }
            }
        }
        let all = counts(&run, "all", table);
        assert!(all.len() > 100, "{table}");
        for (key, numbers) in &all {
            assert_eq!(sum.get(key), Some(numbers), "{table}: {key:?}");
        }
        assert_eq!(sum.len(), all.len(), "{table}");
    }
    let listed = |name: &str| run.table(&format!("{name}/internal/cases_to_review.csv"));
    let of_sites: Vec<_> = sites
        .iter()
        .flat_map(|site| listed(&folder(site)))
        .collect();
    let mut all = listed("all");
    assert!(!all.is_empty());
    all.sort();
    let mut sorted = of_sites;
    sorted.sort();
    assert_eq!(sorted, all);

    let page = std::fs::read_to_string(run.path(&folder("Birch")).join("report.html"));
    let page = page.expect("a page");
    assert!(page.contains("<title>Emergency endoscopy review of Birch, September 2026</title>"));
    let words_of_others = ["Alder", "Cedar"].map(|site| page.contains(site));
    assert_eq!(words_of_others, [false, false]);
    let facts = std::fs::read(run.path(&folder("Birch")).join("run.json")).expect("a run");
    let facts: serde_json::Value = serde_json::from_slice(&facts).expect("JSON");
    assert_eq!(facts["options"]["site"], "Birch");
    // The account stays that of the whole export.
    let export = std::fs::read(run.path("all/run.json")).expect("a run");
    let export: serde_json::Value = serde_json::from_slice(&export).expect("JSON");
    assert_eq!(facts["accounting"], export["accounting"]);
}

#[test]
fn a_change_at_another_site_of_the_export_is_no_slip() {
    let run = Run::of_sample();
    let mapping = std::fs::read_to_string(run.path("mapping.toml")).expect("a mapping");
    let changes = ["Birch", "Brich"].map(|site| {
        format!("[[phase]]\nfrom = \"2026-03\"\nnote = \"new cart\"\nsites = [\"{site}\"]\n")
    });
    let unknown = "names a site without a case";
    for (change, is_slip) in changes.iter().zip([false, true]) {
        run.file("mapping.toml", format!("{mapping}\n{change}"));
        for command in ["check", "review --out all", "review --out one --site Alder"] {
            let ended = run.on_files(command);
            assert_eq!(ended.code, 0, "{}", ended.stderr);
            assert_eq!(ended.stderr.contains(unknown), is_slip, "{}", ended.stderr);
        }
    }
}

#[test]
fn an_unknown_site_ends_the_run_and_leaves_nothing() {
    let run = Run::of_sample();
    let ended = run.on_files("review --site brich --out out");
    assert_eq!(ended.code, 2);
    for words in [
        "--site `brich` is no site of the records; did you mean `Birch`?",
        "the sites are `Alder`, `Birch`, `Cedar`",
    ] {
        assert!(ended.stderr.contains(words), "{words}\n{}", ended.stderr);
    }
    assert!(!run.path("out").exists());
}

#[test]
fn elapsed_minutes_of_one_site_are_its_own() {
    const MAPPING: &str = r#"
[cases]
time_form = "elapsed"
[cases.columns]
case_id = "id"
site = "place"
presentation = "why"
month = "month"
weekday = "day"
hour = "hour"
scope_in_at = "in"
"#;
    let run = Run::new();
    run.file("mapping.toml", MAPPING).file(
        "cases.csv",
        "id,place,why,month,day,hour,in\n\
         1,Alder,food_impaction,2026-02,fri,23,58\n\
         2,North wing,food_impaction,2026-03,mon,10,70\n\
         3,Alder,foreign_body,2026-03,tue,10,\n",
    );
    let ended = run.on_files("review --site Alder --month 2026-02");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    assert!(
        ended.stdout.contains("February 2026, Alder alone\n"),
        "{}",
        ended.stdout
    );
    let shown = "counted 2 accepted cases = outside the population";
    assert!(ended.stdout.contains(shown), "{}", ended.stdout);
    let events = run.table("reports/2026-02-alder/counts/events.csv");
    let of_all: Vec<_> = events
        .iter()
        .filter(|row| row["measure"] == "calls" && row["by"] == "all")
        .map(|row| (row["month"].as_str(), row["events"].as_str()))
        .collect();
    assert_eq!(of_all, [("all", "2"), ("2026-02", "1"), ("2026-03", "1")]);
}
