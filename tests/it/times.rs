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
