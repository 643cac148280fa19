//! Times as exports write them, from the cells to the minutes that a report shows.

use crate::run::{Ended, Finding, Run};

/// The worked night of the autumn clock change in New York: arrival Saturday 2024-11-02 22:40, page
/// 23:50, cart 00:15, last team member 00:22, airway 00:41, scope in 00:48, object out 01:12, scope
/// out 01:16, pre-clean 01:19, all daylight time; handover 01:10, in the second pass through the hour.
const NIGHT: [(&str, &str, &str); 10] = [
    ("arrived_at", "2024-11-02", "22:40"),
    ("called_at", "2024-11-02", "23:50"),
    ("cart_at", "2024-11-03", "00:15"),
    ("team_at", "2024-11-03", "00:22"),
    ("airway_at", "2024-11-03", "00:41"),
    ("scope_in_at", "2024-11-03", "00:48"),
    ("removed_at", "2024-11-03", "01:12"),
    ("scope_out_at", "2024-11-03", "01:16"),
    ("preclean_at", "2024-11-03", "01:19"),
    ("handover_at", "2024-11-03", "01:10"),
];

/// A run over one case whose cells and mapping are made from the night: `column` gives the heading
/// (as TOML), and `cells` the headings with their cells.
fn night(
    keys: &str,
    column: impl Fn(&str) -> String,
    cells: &[(String, String)],
    formats: &str,
) -> Run {
    let columns: String = NIGHT
        .iter()
        .map(|(field, ..)| format!("{field} = {}\n", column(field)))
        .collect();
    let mapping = format!(
        "[cases]\ntime_form = \"clock\"\ntime_zone = \"America/New_York\"\n{keys}\n\
         [cases.constants]\nsite = \"Alder\"\npresentation = \"food_impaction\"\n\
         outcome = \"removed\"\n[cases.columns]\ncase_id = \"Case\"\n{columns}{formats}"
    );
    let (headings, values): (Vec<_>, Vec<_>) = cells.iter().cloned().unzip();
    let run = Run::new();
    run.file("mapping.toml", mapping).file(
        "cases.csv",
        format!("Case,{}\nK1,{}\n", headings.join(","), values.join(",")),
    );
    run
}

/// The lengths of time, worked by hand; and what is noted on the way.
#[track_caller]
fn check_night(run: &Run, notes: &[&str]) -> Ended {
    let ended = run.on_files("review --out out");
    assert_eq!(ended.code, 0, "{}{}", ended.stdout, ended.stderr);
    let rows = run.table("out/tables/findings.csv");
    for (measure, minutes) in [
        ("call_to_team", 32),
        ("call_to_cart", 25),
        ("call_to_scope", 58),
        ("arrival_to_scope", 128),
        ("scope_in_to_out", 28),
    ] {
        let median = Finding::at(&rows, measure, ["all", "all", "all", "median"]);
        assert_eq!(median.text("estimate"), minutes.to_string(), "{measure}");
    }
    let ended = run.on_files("check");
    // Scope out 01:16 and handover 01:10 lie 54 minutes apart: not unusual, not the wrong way round.
    for absent in ["[T01]", "[T02]", "[T03]", "[C12]", "[C03]"] {
        assert!(!ended.stdout.contains(absent), "{absent}: {}", ended.stdout);
    }
    for note in ["[T04]", "[T05]"] {
        assert_eq!(
            ended.stdout.contains(note),
            notes.contains(&note),
            "{note}: {}",
            ended.stdout
        );
    }
    assert!(ended.stdout.contains("[C08]"), "{}", ended.stdout);
    ended
}

fn quoted(text: &str) -> String {
    format!("\"{text}\"")
}

#[test]
fn the_worked_night_with_dates() {
    let cells: Vec<_> = NIGHT
        .iter()
        .map(|(field, date, time)| ((*field).to_string(), format!("{date} {time}")))
        .collect();
    let run = night("time_format = \"%Y-%m-%d %H:%M\"", quoted, &cells, "");
    check_night(&run, &[]);
    // Written as in the United States, and proved by the cells alone: no month is the 13th.
    let cells: Vec<_> = NIGHT
        .iter()
        .map(|(field, date, time)| {
            let day = &date[8..];
            let hour: u32 = time[..2].parse().expect("an hour");
            let half = if hour < 12 { "AM" } else { "PM" };
            let hour = (hour + 11) % 12 + 1;
            let text = format!("11/{day}/2024 {hour}:{} {half}", &time[3..]);
            ((*field).to_string(), text)
        })
        .collect();
    let run = night("", quoted, &cells, "");
    // One case of the second and the third of a month proves nothing.
    let ended = run.on_files("check");
    assert_eq!(ended.code, 2);
    assert!(
        ended.stderr.contains("no cell of the first rows proves"),
        "{}",
        ended.stderr
    );
    let run = night("time_format = \"%m/%d/%Y %I:%M %p\"", quoted, &cells, "");
    check_night(&run, &[]);
}

#[test]
fn the_worked_night_with_dates_and_times_in_columns_of_their_own() {
    let column = |field: &str| format!("[\"{field} date\", \"{field} time\"]");
    let cells: Vec<_> = NIGHT
        .iter()
        .flat_map(|(field, date, time)| {
            [
                (format!("{field} date"), (*date).to_string()),
                (format!("{field} time"), (*time).to_string()),
            ]
        })
        .collect();
    // Both forms are proved by the cells.
    check_night(&night("", column, &cells, ""), &[]);
    let given = "time_format = \"%Y-%m-%d %H:%M\"";
    check_night(&night(given, column, &cells, ""), &[]);
}

#[test]
fn the_worked_night_with_the_date_of_the_call_for_every_time() {
    let column = |field: &str| match field {
        "called_at" => quoted("called"),
        other => format!("[\"Date\", \"{other}\"]"),
    };
    let mut cells = vec![
        ("Date".to_string(), "2024-11-02".to_string()),
        ("called".to_string(), "2024-11-02 23:50".to_string()),
    ];
    cells.extend(
        NIGHT
            .iter()
            .filter(|(field, ..)| *field != "called_at")
            .map(|(field, _, time)| ((*field).to_string(), (*time).to_string())),
    );
    check_night(&night("", column, &cells, ""), &["[T04]"]);
}

#[test]
fn the_worked_night_with_times_of_day_alone() {
    let mut formats = String::from("[cases.formats]\ncalled_at = \"%Y-%m-%d %H:%M\"\n");
    for (field, ..) in NIGHT.iter().filter(|(field, ..)| *field != "called_at") {
        formats += &format!("{field} = \"%H:%M\"\n");
    }
    let cells: Vec<_> = NIGHT
        .iter()
        .map(|(field, date, time)| {
            let text = match *field {
                "called_at" => format!("{date} {time}"),
                _ => (*time).to_string(),
            };
            ((*field).to_string(), text)
        })
        .collect();
    check_night(&night("", quoted, &cells, &formats), &["[T04]"]);
    // The cells prove their forms themselves.
    check_night(&night("", quoted, &cells, ""), &["[T04]"]);
}

#[test]
fn the_worked_night_as_days_of_a_spreadsheet() {
    // Days since 1899-12-30: 2024-11-02 is 45598, so 22:40 on it is 45598 + 1360 / 1440.
    let cells: Vec<_> = NIGHT
        .iter()
        .map(|(field, date, time)| {
            let day = if date.ends_with("02") { 45_598 } else { 45_599 };
            let hours: u32 = time[..2].parse().expect("hours");
            let minutes: u32 = time[3..].parse().expect("minutes");
            let part = f64::from(hours * 60 + minutes) / 1440.0;
            (
                (*field).to_string(),
                format!("{:.6}", f64::from(day) + part),
            )
        })
        .collect();
    let run = night("", quoted, &cells, "");
    let ended = run.on_files("check");
    assert_eq!(ended.code, 2);
    assert!(
        ended.stderr.contains("day numbers of a spreadsheet") && ended.stderr.contains("serial"),
        "{}",
        ended.stderr
    );
    let run = night("time_format = \"serial\"", quoted, &cells, "");
    check_night(&run, &[]);
}

/// A run over rows of call and scope in, in the columns and forms that `mapping` names.
fn calls(columns: &str, keys: &str, csv: &str) -> Run {
    let mapping = format!(
        "[cases]\ntime_form = \"clock\"\ntime_zone = \"America/New_York\"\n{keys}\n\
         [cases.constants]\nsite = \"Alder\"\npresentation = \"food_impaction\"\n\
         outcome = \"removed\"\n[cases.columns]\ncase_id = \"Case\"\n{columns}"
    );
    let run = Run::new();
    run.file("mapping.toml", mapping).file("cases.csv", csv);
    run
}

/// The minutes from call to scope in of every case that a review counts, in order.
#[track_caller]
fn check_call_to_scope(run: &Run, expected: &[i64]) {
    let ended = run.on_files("review --out out");
    assert_ne!(ended.code, 2, "{}{}", ended.stdout, ended.stderr);
    let mut minutes: Vec<i64> = run
        .table("out/counts/minutes.csv")
        .iter()
        .filter(|row| row["measure"] == "call_to_scope" && row["by"] == "all")
        .filter(|row| row["month"] == "all" && !row["minutes"].is_empty())
        .map(|row| row["minutes"].parse().expect("minutes"))
        .collect();
    minutes.sort_unstable();
    assert_eq!(minutes, expected, "{}", ended.stdout);
}

const APART: &str = "called_at = [\"Date\", \"Call\"]\nscope_in_at = [\"Date\", \"In\"]\n";

#[test]
fn midnight_behind_a_date_and_a_day_before_a_time_are_what_databases_write() {
    let csv = "Case,Date,Call,In\n1,2026-01-13 00:00:00,23:30:00,00:15:00\n\
               2,2026-01-14 00:00:00,10:00:00,11:15:00\n";
    check_call_to_scope(&calls(APART, "", csv), &[45, 75]);
    let given = "time_format = \"%Y-%m-%d %H:%M:%S\"";
    check_call_to_scope(&calls(APART, given, csv), &[45, 75]);
    let csv = "Case,Date,Call,In\n1,2026-01-13,1899-12-30 23:30:00,1899-12-30 00:15:00\n";
    check_call_to_scope(&calls(APART, "", csv), &[45]);
    check_call_to_scope(&calls(APART, given, csv), &[45]);
    // Day and part of the day of a spreadsheet: 46035 is 2026-01-13.
    let csv = "Case,Date,Call,In\n1,46035,0.979166667,0.010416667\n";
    check_call_to_scope(&calls(APART, "time_format = \"serial\"", csv), &[45]);
}

#[test]
fn times_of_day_as_one_number_have_lost_their_zeros() {
    let formats = "[cases.formats]\ncalled_at = \"hhmm\"\nscope_in_at = \"hhmm\"\n";
    let csv = "Case,Date,Call,In\n1,2026-01-13,2345,30\n2,2026-01-14,945,1005\n\
               3,2026-01-14,5,130\n4,2026-01-14,960,1005\n";
    let run = calls(&format!("{APART}{formats}"), "", csv);
    check_call_to_scope(&run, &[20, 45, 85]);
    assert!(run.on_files("check").stdout.contains("[C03]"));
}

#[test]
fn two_clocks_that_differ_are_no_day_apart() {
    let csv = "Case,Date,Call,In\n1,2026-01-13,12:10,12:08\n2,2026-01-13,12:10,12:05\n\
               3,2026-01-13,12:10,11:10\n4,2026-01-13,12:10,13:00\n";
    let run = calls(APART, "", csv);
    check_call_to_scope(&run, &[50]);
    let ended = run.on_files("check");
    assert!(ended.stdout.contains("[T03]"), "{}", ended.stdout);
    assert!(ended.stdout.contains("[T01]"), "{}", ended.stdout);
    assert!(!ended.stdout.contains("[T04]"), "{}", ended.stdout);
    // The same without any date but that of the call.
    let columns = "called_at = \"Call\"\nscope_in_at = \"In\"\n";
    let csv = "Case,Call,In\n1,2026-01-13 12:10,12:08\n2,2026-01-13 12:10,11:10\n";
    let run = calls(columns, "", csv);
    check_call_to_scope(&run, &[]);
    let ended = run.on_files("check");
    assert!(ended.stdout.contains("[T03]") && ended.stdout.contains("[C12]"));
}

#[test]
fn a_shared_date_is_of_the_arrival_or_of_the_call_as_the_mapping_says() {
    let columns = format!("arrived_at = [\"Date\", \"Arrived\"]\n{APART}");
    let csv = "Case,Date,Arrived,Call,In\n1,2026-01-31,23:30,00:20,00:50\n";
    let run = calls(&columns, "", csv);
    check_call_to_scope(&run, &[30]);
    assert!(run.on_files("check").stdout.contains("period  2026-02"));
    let run = calls(&columns, "date_of = \"called_at\"", csv);
    check_call_to_scope(&run, &[30]);
    let ended = run.on_files("check");
    assert!(ended.stdout.contains("period  2026-01"), "{}", ended.stdout);
    let rows = run.table("out/counts/minutes.csv");
    let arrival = rows.iter().find(|row| {
        row["measure"] == "arrival_to_scope" && row["by"] == "all" && row["month"] == "all"
    });
    assert_eq!(arrival.expect("a row")["minutes"], "80");
    let refused = calls(&columns, "date_of = \"team_at\"", csv).on_files("check");
    assert_eq!(refused.code, 2);
    assert!(refused.stderr.contains("`cases.date_of` is neither"));
}

#[test]
fn a_clock_of_twelve_hours_that_lost_am_and_pm_is_refused() {
    let columns = "called_at = \"Call\"\n";
    let rows = |hour: fn(u32) -> u32| -> String {
        let rows = (0..40).map(|n| format!("{n},1/{}/2026 {}:15\n", n % 28 + 1, hour(n)));
        std::iter::once("Case,Call\n".to_string())
            .chain(rows)
            .collect()
    };
    let lost = calls(columns, "", &rows(|n| n % 12 + 1));
    let ended = lost.on_files("check");
    assert_eq!(ended.code, 2, "{}", ended.stdout);
    assert!(
        ended.stderr.contains("none says am or pm") && ended.stderr.contains("24 hours"),
        "{}",
        ended.stderr
    );
    let whole = calls(columns, "", &rows(|n| n % 24));
    assert_eq!(whole.on_files("check").code, 0);
    let given = "time_format = \"%m/%d/%Y %H:%M\"";
    assert_eq!(
        calls(columns, given, &rows(|n| n % 12 + 1))
            .on_files("check")
            .code,
        0
    );
}

#[test]
fn a_date_in_a_column_of_its_own_is_held_against_the_proof_too() {
    let mut csv = String::from("Case,Date,Call\n");
    for n in 0..250_000 {
        let row = format!("{n},1/{}/2026,{}:15\n", n % 28 + 1, n % 24);
        csv.push_str(&row);
    }
    csv += "x,25/12/2026,10:00\n";
    let ended = calls("called_at = [\"Date\", \"Call\"]\n", "", &csv).on_files("check");
    assert_eq!(ended.code, 2, "{}", ended.stdout);
    assert!(
        ended.stderr.contains("line 250002") && ended.stderr.contains("the other way round"),
        "{}",
        ended.stderr
    );
}

#[test]
fn the_time_of_an_amendment_has_its_issues_like_any_other() {
    let columns = "called_at = \"Call\"\nscope_in_at = \"In\"\namended_at = \"Amended\"\n";
    let csv = "Case,Call,In,Amended\n1,2025-03-01 10:00,2025-03-01 10:40,2025-03-09 02:30\n\
               2,2025-03-02 10:00,2025-03-02 10:50,2025-11-02 01:30\n";
    let ended = calls(columns, "time_format = \"%Y-%m-%d %H:%M\"", csv).on_files("check");
    for issue in [
        "`amended_at`, line 2",
        "`amended_at`, line 3",
        "[C04]",
        "[C08]",
    ] {
        assert!(ended.stdout.contains(issue), "{issue}: {}", ended.stdout);
    }
}
