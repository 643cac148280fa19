//! Windows from the mapping to the report: what a site switches, adds and counts from is what its
//! cases are held against, and what the report and `run.json` say.

use crate::run::{Finding, Run};

const MAPPING: &str = r#"
[cases]
time_form = "elapsed"
[cases.columns]
case_id = "case"
site = "site"
presentation = "reason"
month = "month"
onset_at = "began"
arrived_at = "arrived"
scope_in_at = "scope_in"
age_years = "age"
obstruction = "obstruction"
variceal_suspected = "varices"
"#;

/// Six cases: two of food, three upper bleeds of which one may be of varices, one lower bleed.
const CASES: &str = "\
case,site,reason,month,began,arrived,scope_in,age,obstruction,varices
1,A,food_impaction,2026-03,-300,-60,240,50,complete,
2,A,food_impaction,2026-03,-300,-60,240,50,,
3,A,upper_bleed,2026-03,-2000,-100,1000,70,,yes
4,A,upper_bleed,2026-03,-200,-100,1000,70,,no
5,A,upper_bleed,2026-03,-200,-100,1341,70,,
6,A,lower_bleed,2026-03,-200,-100,60,70,,
";

struct Reviewed {
    findings: Vec<std::collections::BTreeMap<String, String>>,
    run_json: serde_json::Value,
    page: String,
}

fn review(windows: &str) -> Reviewed {
    let run = Run::new();
    run.file("cases.csv", CASES)
        .file("mapping.toml", format!("{MAPPING}{windows}"));
    let ended = run.on_files("review --out out");
    assert_eq!(ended.code, 0, "{}{}", ended.stdout, ended.stderr);
    let read = |name: &str| std::fs::read_to_string(run.path(name)).expect("a file");
    Reviewed {
        findings: run.table("out/tables/findings.csv"),
        run_json: serde_json::from_str(&read("out/run.json")).expect("JSON"),
        page: read("out/report.html"),
    }
}

impl Reviewed {
    #[track_caller]
    fn check(
        &self,
        measure: &str,
        [by, group]: [&str; 2],
        (events, cases, excluded): (u64, u64, u64),
    ) {
        let finding = Finding::at(&self.findings, measure, [by, group, "all", "share"]);
        let counts = ["events", "cases", "excluded"].map(|column| finding.count(column));
        assert_eq!(counts, [events, cases, excluded], "{measure} {by} {group}");
    }

    fn window(&self, id: &str) -> Option<&serde_json::Value> {
        let windows = self.run_json["windows"].as_array().expect("a list");
        windows.iter().find(|window| window["id"] == id)
    }
}

#[test]
fn without_a_choice_the_windows_of_the_table_that_are_on_count_from_arrival() {
    let reviewed = review("");
    let scoped = "scoped_within_window";
    // Case 1 took 300 of 360 minutes; 3 and 4 took 1100 and 5 took 1441 of 1440.
    reviewed.check(scoped, ["all", "all"], (3, 4, 2));
    reviewed.check(scoped, ["urgency", "not_assignable"], (0, 0, 1));
    reviewed.check(scoped, ["urgency", "no_window"], (0, 0, 1));
    reviewed.check("upper_bleed_within_24h", ["all", "all"], (2, 3, 0));
    reviewed.check("variceal_within_12h", ["all", "all"], (0, 1, 1));
    assert!(reviewed.page.contains("Windows are counted from arrival."));
    reviewed.check("scoped_within_preferred_window", ["all", "all"], (0, 1, 0));
    reviewed.check(scoped, ["why_not_judged", "not_assignable"], (0, 0, 1));
    reviewed.check(scoped, ["why_not_judged", "no_time"], (0, 0, 1));
    assert!(reviewed.page.contains("force is for such a case: 1 case<"));
    assert!(reviewed.page.contains("is not proof of poor care"));
    let window = reviewed
        .window("complete_obstruction_food")
        .expect("in force");
    assert_eq!(window["choice"], "default");
    assert_eq!(window["longest_minutes"], 360);
    assert_eq!(window["clock_start"], "not_stated");
    assert_eq!(window["preferred_minutes"], 120);
    let off = reviewed.window("variceal_bleed").expect("listed as off");
    assert_eq!(off["choice"], "off_by_default");
}

#[test]
fn a_site_switches_windows_and_adds_its_own() {
    let reviewed = review(
        r#"
[windows]
on = ["variceal_bleed"]
off = ["lower_bleed_adult"]
[[windows.local]]
id = "bleed_in_less_than_19_hours"
presentation = "upper_bleed"
variceal_suspected = "no"
urgency = "urgent"
minutes = 1100
inclusive = false
clock_start = "arrival"
source = "policy <7> of the unit"
"#,
    );
    let scoped = "scoped_within_window";
    let by = |id| ["window_id", id];
    reviewed.check(scoped, by("variceal_bleed"), (0, 1, 0));
    reviewed.check(scoped, by("complete_obstruction_food"), (1, 1, 0));
    // 1100 minutes are not less than 1100.
    reviewed.check(scoped, by("bleed_in_less_than_19_hours"), (0, 1, 0));
    reviewed.check(scoped, by("upper_bleed_adult"), (0, 1, 0));
    reviewed.check(scoped, ["urgency", "not_assignable"], (0, 0, 2));
    let choice = |id| reviewed.window(id).map(|window| window["choice"].clone());
    assert_eq!(choice("variceal_bleed"), Some("switched_on".into()));
    assert_eq!(choice("lower_bleed_adult"), Some("switched_off".into()));
    let local = reviewed
        .window("bleed_in_less_than_19_hours")
        .expect("in force");
    assert_eq!(
        (&local["choice"], &local["longest_minutes"]),
        (&"local".into(), &1099.into())
    );
    let first = &reviewed.run_json["windows"][0];
    assert_eq!(first, local, "windows of the site are tried first");
    for part in [
        "switched on by the site",
        "switched off by the site",
        "window of the site",
        "policy &lt;7&gt; of the unit",
        "in less than 1100 min",
    ] {
        assert!(reviewed.page.contains(part), "{part}");
    }
}

#[test]
fn windows_count_from_the_onset_where_the_site_says_so() {
    let reviewed = review("[windows]\nstart = \"onset_at\"\n");
    // Case 1 took 540 of 360 minutes, 3 took 3000, 4 took 1200 and 5 took 1541 of 1440.
    reviewed.check("scoped_within_window", ["all", "all"], (1, 4, 2));
    reviewed.check("upper_bleed_within_24h", ["all", "all"], (1, 3, 0));
    assert!(
        reviewed
            .page
            .contains("Windows are counted from onset of symptoms.")
    );
    assert!(reviewed.page.contains("here: onset of symptoms"));
}
