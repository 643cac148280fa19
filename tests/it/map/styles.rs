//! Exports as different systems write them. What is expected is what a person would map.

use super::{map, mapping, table};
use crate::run::Run;

/// An export, and what a person would map of it.
struct Style {
    cases: &'static str,
    columns: &'static str,
    /// Further tables that the mapping must have, as `name` and lines.
    tables: &'static [(&'static str, &'static str)],
    /// Rows that `check` reads.
    rows: usize,
}

#[track_caller]
fn check(style: &Style) -> Run {
    let run = Run::new();
    run.file("cases.csv", style.cases);
    map(&run, "--time-zone America/Chicago");
    assert_eq!(
        table(&run, "cases.columns"),
        style.columns,
        "{}",
        mapping(&run)
    );
    for (name, lines) in style.tables {
        assert_eq!(table(&run, name), *lines, "{}", mapping(&run));
    }
    let ended = run.on_files("check");
    assert_eq!(ended.code, 0, "{}{}", ended.stderr, mapping(&run));
    let rows = style.rows;
    let accepted = format!("{rows} rows read = {rows} accepted + 0 set aside + 0 duplicates");
    assert!(ended.stdout.contains(&accepted), "{}", ended.stdout);
    run
}

#[test]
fn snake_case_headings_with_iso_times_and_true_and_false() {
    check(&Style {
        cases: "\
case_id,hospital_site,indication,patient_arrival_ts,page_ts,team_arrival_ts,cart_arrival_ts,airway_secured_ts,scope_in_ts,removal_ts,scope_out_ts,preclean_start_ts,handover_ts,age,sex,procedure_location,object_type,object_location,obstruction,is_sharp,airway_management,overtube_used,hood_used,cap_used,outcome,en_bloc,biopsy_taken,adverse_event,cart_complete,equipment_malfunction,preclean_done
C-1001,north,food bolus,2026-01-03T18:02:00,2026-01-03T18:40:00,2026-01-03T19:05:00,2026-01-03T19:01:00,2026-01-03T19:20:00,2026-01-03T19:26:00,2026-01-03T19:41:00,2026-01-03T19:45:00,2026-01-03T19:47:00,2026-01-03T20:15:00,44,male,emergency department,meat,distal esophagus,complete,false,intubated,false,false,true,removed,true,true,none,true,false,true
C-1002,north,foreign body,2026-01-09T02:11:00,2026-01-09T02:30:00,2026-01-09T03:02:00,2026-01-09T02:58:00,2026-01-09T03:15:00,2026-01-09T03:20:00,2026-01-09T03:28:00,2026-01-09T03:31:00,2026-01-09T03:33:00,2026-01-09T04:02:00,7,female,operating room,coin,proximal esophagus,partial,false,intubated,true,false,false,removed,true,false,none,true,false,true
C-1003,south,upper gi bleed,2026-01-15T10:00:00,2026-01-15T12:05:00,2026-01-15T12:30:00,2026-01-15T12:20:00,,2026-01-15T13:02:00,,2026-01-15T13:30:00,2026-01-15T13:34:00,2026-01-15T14:10:00,71,male,icu,,,,,sedated,false,false,false,controlled,,false,none,true,true,true
C-1004,south,foreign body,2026-01-21T21:40:00,2026-01-21T22:00:00,2026-01-21T22:25:00,2026-01-21T22:31:00,2026-01-21T22:45:00,2026-01-21T22:51:00,2026-01-21T23:15:00,2026-01-21T23:19:00,2026-01-21T23:22:00,2026-01-22T00:05:00,35,female,endoscopy unit,fish bone,upper esophagus,none,true,sedated,true,true,false,removed,false,false,mucosal tear,false,false,false
",
        columns: r#"adverse_event = "adverse_event"
age_years = "age"
airway = "airway_management"
airway_at = "airway_secured_ts"
arrived_at = "patient_arrival_ts"
biopsies_taken = "biopsy_taken"
called_at = "page_ts"
cap = "cap_used"
cart_at = "cart_arrival_ts"
cart_complete = "cart_complete"
case_id = "case_id"
handover_at = "handover_ts"
hood = "hood_used"
malfunction = "equipment_malfunction"
object_location = "object_location"
object_type = "object_type"
obstruction = "obstruction"
one_piece = "en_bloc"
outcome = "outcome"
overtube = "overtube_used"
preclean_at = "preclean_start_ts"
preclean_done = "preclean_done"
presentation = "indication"
removed_at = "removal_ts"
scope_in_at = "scope_in_ts"
scope_out_at = "scope_out_ts"
setting = "procedure_location"
sex = "sex"
sharp = "is_sharp"
site = "hospital_site"
team_at = "team_arrival_ts"
"#,
        tables: &[
            (
                "cases.codes.object_location",
                "distal esophagus = \"lower_esophagus\"\nproximal esophagus = \"upper_esophagus\"\nupper esophagus = \"upper_esophagus\"\n",
            ),
            ("cases.codes.hood", "false = \"no\"\ntrue = \"yes\"\n"),
            (
                "cases",
                "time_form = \"clock\"\ntime_format = \"%Y-%m-%dT%H:%M:%S\"\ntime_zone = \"America/Chicago\"\n",
            ),
        ],
        rows: 4,
    });
}

#[test]
fn us_dates_with_am_and_pm_and_headings_of_a_health_record() {
    let run = check(&Style {
        cases: "\
Case Number,Campus,Chief Complaint,ED Arrival,GI Paged,Endoscopist Arrived,Scope In,Object Removed,Scope Out,Age,Gender,Location,Overtube Used,FB Type,Result,Complications
2201,Main,Food impaction,01/03/2026 06:02 PM,01/03/2026 06:40 PM,01/03/2026 07:05 PM,01/03/2026 07:26 PM,01/03/2026 07:41 PM,01/03/2026 07:45 PM,44,M,ED,No,Meat,Removed,None
2202,Main,Foreign body ingestion,01/19/2026 02:11 AM,01/19/2026 02:30 AM,01/19/2026 03:02 AM,01/19/2026 03:20 AM,01/19/2026 03:28 AM,01/19/2026 03:31 AM,7,F,OR,Yes,Coin,Removed,None
2203,West,Hematemesis,02/04/2026 10:00 AM,02/04/2026 12:05 PM,02/04/2026 12:30 PM,02/04/2026 01:02 PM,,02/04/2026 01:30 PM,71,M,ICU,No,,Bleeding controlled,None
2204,West,Foreign body ingestion,02/21/2026 09:40 PM,02/21/2026 10:00 PM,02/21/2026 10:25 PM,02/21/2026 10:51 PM,02/21/2026 11:15 PM,02/21/2026 11:19 PM,35,F,Endoscopy suite,Yes,Fish bone,Removed,Mucosal tear
",
        columns: r#"adverse_event = "Complications"
age_years = "Age"
arrived_at = "ED Arrival"
called_at = "GI Paged"
case_id = "Case Number"
object_type = "FB Type"
outcome = "Result"
overtube = "Overtube Used"
presentation = "Chief Complaint"
removed_at = "Object Removed"
scope_in_at = "Scope In"
scope_out_at = "Scope Out"
setting = "Location"
sex = "Gender"
site = "Campus"
team_at = "Endoscopist Arrived"
"#,
        tables: &[(
            "cases",
            "time_form = \"clock\"\ntime_format = \"%m/%d/%Y %I:%M %p\"\ntime_zone = \"America/Chicago\"\n",
        )],
        rows: 4,
    });
    // Two rows with a day above 12, four times each; the endoscopist's two more; two of objects out.
    let mapping = mapping(&run);
    assert!(
        mapping.contains("# sure: 12 cells have a day above 12"),
        "{mapping}"
    );
    // One role is not the whole team.
    assert!(
        mapping.contains("# likely: the heading may mean something else"),
        "{mapping}"
    );
}

#[test]
fn a_date_and_a_time_in_columns_of_their_own_with_ones_and_zeros() {
    let run = check(&Style {
        cases: "\
Case ID,Site,Reason,Arrival Date,Arrival Time,Call Date,Call Time,Scope In Date,Scope In Time,Scope Out Date,Scope Out Time,Sharp
K1,A,Food bolus,13/01/2026,18:02,13/01/2026,18:40,13/01/2026,19:26,13/01/2026,19:45,0
K2,A,Foreign body,14/01/2026,23:11,14/01/2026,23:30,15/01/2026,00:20,15/01/2026,00:41,1
K3,B,Food bolus,02/02/2026,10:00,02/02/2026,12:05,02/02/2026,13:02,02/02/2026,13:30,0
K4,B,Foreign body,21/02/2026,21:40,21/02/2026,22:00,21/02/2026,22:51,21/02/2026,23:19,1
",
        columns: r#"arrived_at = ["Arrival Date", "Arrival Time"]
called_at = ["Call Date", "Call Time"]
case_id = "Case ID"
presentation = "Reason"
scope_in_at = ["Scope In Date", "Scope In Time"]
scope_out_at = ["Scope Out Date", "Scope Out Time"]
sharp = "Sharp"
site = "Site"
"#,
        tables: &[
            ("cases.codes.sharp", "0 = \"no\"\n1 = \"yes\"\n"),
            (
                "cases",
                "time_form = \"clock\"\ntime_format = \"%d/%m/%Y %H:%M\"\ntime_zone = \"America/Chicago\"\n",
            ),
        ],
        rows: 4,
    });
    // A zero may also be what a form holds that nobody filled in.
    assert!(mapping(&run).contains(r#""0" = "no"    # 2 cells; look:"#));
}

#[test]
fn one_date_for_the_case_and_times_of_day_alone() {
    let run = check(&Style {
        cases: "\
Case;Hospital;Indication;Date;Paged;Team there;Scope in;Scope out;Outcome
1;Elm;Food bolus;2026-01-03;18:40;19:05;19:26;19:45;removed
2;Elm;Foreign body;2026-01-09;23:30;23:59;00:20;00:31;removed
3;Oak;UGIB;2026-01-15;12:05;12:30;13:02;13:30;hemostasis
4;Oak;Foreign body;2026-02-21;22:00;22:25;22:51;23:19;failed
",
        columns: r#"called_at = ["Date", "Paged"]
case_id = "Case"
outcome = "Outcome"
presentation = "Indication"
scope_in_at = "Scope in"
scope_out_at = "Scope out"
site = "Hospital"
team_at = "Team there"
"#,
        tables: &[(
            "cases.formats",
            "scope_in_at = \"%H:%M\"\nscope_out_at = \"%H:%M\"\nteam_at = \"%H:%M\"\n",
        )],
        rows: 4,
    });
    let mapping = mapping(&run);
    assert!(
        mapping.contains("# look: is this the date of this moment?"),
        "{mapping}"
    );
    // The call of the second case is at 23:30, the scope goes in after midnight: 50 minutes later.
    let checked = run.on_files("check --out checked");
    assert!(checked.stdout.contains("T04"), "{}", checked.stdout);
    assert!(!checked.stdout.contains("T01"), "{}", checked.stdout);
}

#[test]
fn minutes_since_the_call_with_month_weekday_and_hour() {
    check(&Style {
        cases: "\
case_no,site,presentation,month,weekday,hour,arrival_min,team_min,cart_min,call_to_scope_in_min,scope_in_to_out_min,age_group,age,sharp_yn,outcome
1,A,food impaction,2026-01,Sat,18,-38,25,21,46,19,40-64,44,N,removed
2,A,foreign body,2026-01,Fri,2,-19,32,28,50,11,<18,7,N,removed
3,B,upper bleed,2026-02,Thu,12,-125,25,15,57,28,65+,71,,controlled
4,B,foreign body,2026-02,Wed,22,-20,25,31,51,28,18-39,35,Y,removed
",
        // How long the scope was in is no moment since the call, and an age band no age.
        columns: r#"age_years = "age"
arrived_at = "arrival_min"
cart_at = "cart_min"
case_id = "case_no"
hour = "hour"
month = "month"
outcome = "outcome"
presentation = "presentation"
scope_in_at = "call_to_scope_in_min"
sharp = "sharp_yn"
site = "site"
team_at = "team_min"
weekday = "weekday"
"#,
        tables: &[
            ("cases", "time_form = \"elapsed\"\n"),
            (
                "cases.codes.weekday",
                "Fri = \"fri\"\nSat = \"sat\"\nThu = \"thu\"\nWed = \"wed\"\n",
            ),
        ],
        rows: 4,
    });
}

#[test]
fn minutes_from_arrival_to_call_are_left_to_a_person() {
    let run = check(&Style {
        cases: "\
case_no,site,presentation,month,arrival_min,scope_in_hours
1,A,food impaction,2026-01,38,0.8
2,A,foreign body,2026-01,19,1.5
3,B,upper bleed,2026-02,125,20
",
        columns: r#"case_id = "case_no"
month = "month"
presentation = "presentation"
scope_in_at = "scope_in_hours"
site = "site"
"#,
        tables: &[("cases.units", "scope_in_at = \"hours\"\n")],
        rows: 3,
    });
    let mapping = mapping(&run);
    assert!(
        mapping.contains("# arrived_at = \"arrival_min\""),
        "{mapping}"
    );
    assert!(
        mapping.contains("`arrived_at`: all its minutes lie after the call"),
        "{mapping}"
    );
}

#[test]
fn numbered_columns_of_devices_and_results() {
    check(&Style {
        cases: "\
Case No,Hospital,Presentation,Called,Scope in,Device 1,Result 1,Device 2,Result 2,Device 3,Result 3,Outcome
1,Elm,Food bolus,2026-01-03 18:40,2026-01-03 19:26,Retrieval net,failed,Snare,success,,,removed
2,Elm,Foreign body,2026-01-09 23:30,2026-01-10 00:20,Rat tooth,failed,Snare,failed,Retrieval net,success,removed
3,Oak,Foreign body,2026-01-15 12:05,2026-01-15 13:02,Retrieval net,success,,,,,removed
4,Oak,Food bolus,2026-02-21 22:00,2026-02-21 22:51,Push,success,,,,,pushed
",
        columns: r#"called_at = "Called"
case_id = "Case No"
outcome = "Outcome"
presentation = "Presentation"
scope_in_at = "Scope in"
site = "Hospital"
"#,
        tables: &[
            (
                "cases.devices",
                "columns = [\"Device 1\", \"Device 2\", \"Device 3\"]\norder = \"as_written\"\nresults = [\"Result 1\", \"Result 2\", \"Result 3\"]\n",
            ),
            (
                "cases.codes.device",
                "Push = \"push\"\nRat tooth = \"forceps_rat\"\nRetrieval net = \"net\"\nSnare = \"snare\"\n",
            ),
            (
                "cases.codes.result",
                "failed = \"failed\"\nsuccess = \"removed\"\n",
            ),
        ],
        rows: 4,
    });
}

#[test]
fn several_devices_in_one_cell() {
    let run = check(&Style {
        cases: "\
Case No,Hospital,Presentation,Called,Scope in,Devices used,Outcome
1,Elm,Food bolus,2026-01-03 18:40,2026-01-03 19:26,\"net, snare x2\",removed
2,Elm,Foreign body,2026-01-09 23:30,2026-01-10 00:20,rat tooth then net,removed
3,Oak,Foreign body,2026-01-15 12:05,2026-01-15 13:02,net,removed
4,Oak,Food bolus,2026-02-21 22:00,2026-02-21 22:51,rat/alligator,failed
",
        columns: r#"called_at = "Called"
case_id = "Case No"
outcome = "Outcome"
presentation = "Presentation"
scope_in_at = "Scope in"
site = "Hospital"
"#,
        tables: &[
            ("cases.devices", "columns = [\"Devices used\"]\n"),
            (
                "cases.codes.device",
                "net = \"net\"\nrat tooth = \"forceps_rat\"\nrat/alligator = \"forceps_combo\"\nsnare = \"snare\"\n",
            ),
        ],
        rows: 4,
    });
    let mapping = mapping(&run);
    assert!(mapping.contains("# order  = \"as_written\""), "{mapping}");
    assert!(
        mapping.contains("`cases.devices.order`: whether"),
        "{mapping}"
    );
}

#[test]
fn titles_above_several_rows_of_headings_semicolons_and_decimal_commas() {
    check(&Style {
        cases: "\
Emergency endoscopy, first quarter;;;;;;

Case;Site;Reason;Call;;Scope in;;Age
;;;Date;Time;Date;Time;
1;Elm;Food bolus;13.01.2026;18:40;13.01.2026;19:26;44,0
2;Elm;Foreign body;09.01.2026;23:30;10.01.2026;00:20;7,5
3;Oak;UGIB;15.01.2026;12:05;15.01.2026;13:02;n/a
",
        columns: r#"age_years = "Age"
called_at = ["Call / Date", "Call / Time"]
case_id = "Case"
presentation = "Reason"
scope_in_at = ["Scope in / Date", "Scope in / Time"]
site = "Site"
"#,
        tables: &[(
            "cases",
            "decimal = \",\"\nheader_rows = 2\nmissing = [\"n/a\"]\ntime_form = \"clock\"\ntime_format = \"%d.%m.%Y %H:%M\"\ntime_zone = \"America/Chicago\"\n",
        )],
        rows: 3,
    });
}

#[test]
fn day_and_month_that_no_cell_proves_are_left_to_a_person() {
    let run = Run::new();
    run.file(
        "cases.csv",
        "Case No,Site,Reason,Paged\n1,A,Food bolus,03/02/2026 18:40\n2,A,UGIB,04/02/2026 10:40\n",
    );
    let ended = map(&run, "--time-zone America/Chicago");
    assert!(
        ended
            .stderr
            .contains("`called_at`: day and month can be read both ways"),
        "{}",
        ended.stderr
    );
    let proposed = mapping(&run);
    let choices: Vec<&str> = proposed
        .lines()
        .filter(|line| line.starts_with("# called_at = \"%"))
        .collect();
    assert_eq!(choices.len(), 2, "{proposed}");
    let check = run.on_files("check");
    assert_eq!(check.code, 2);
    assert!(
        check.stderr.contains("`called_at`: no cell"),
        "{}",
        check.stderr
    );
    // Taking one of the two lines is all that has to be done.
    run.file(
        "mapping.toml",
        proposed.replace(choices[0], &choices[0][2..]),
    );
    assert_eq!(run.on_files("check").code, 0);
}

#[test]
fn one_hospital_and_several_files_with_other_orders_of_columns() {
    let run = Run::new();
    run.file(
        "a.csv",
        "Case No,Reason,Paged,Ward round\n1,Food bolus,2026-01-03 18:40,x\n2,UGIB,2026-01-09 23:30,y\n",
    )
    .file(
        "b.csv",
        "Paged,Reason,Case No\n2026-02-03 18:40,Food bolus,3\n2026-02-09 23:30,Melena,4\n",
    );
    let ended = run.run("map a.csv b.csv --time-zone America/Chicago --out mapping.toml");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let proposed = mapping(&run);
    assert!(
        proposed.contains("site = \"our site\"   # look:"),
        "{proposed}"
    );
    assert!(
        proposed.contains("#   column 4 \"Ward round\": not every file has it"),
        "{proposed}"
    );
    assert!(proposed.contains("# from = \"2026-01\"") && proposed.contains("# to   = \"2026-02\""));
    let check = run.run("check --cases a.csv b.csv --mapping mapping.toml");
    assert_eq!(check.code, 0, "{}", check.stderr);
}

#[test]
fn columns_that_fit_equally_well_are_left_to_a_person() {
    let run = Run::new();
    run.file(
        "cases.csv",
        "Case No,Site,Reason,Paged,Called\n1,A,Food bolus,2026-01-03 18:40,2026-01-03 18:45\n2,A,UGIB,2026-01-09 23:30,2026-01-09 23:31\n",
    );
    let ended = map(&run, "--time-zone America/Chicago");
    assert!(
        ended
            .stderr
            .contains("`called_at`: columns 4, 5 fit equally well"),
        "{}",
        ended.stderr
    );
    let proposed = mapping(&run);
    for heading in ["Paged", "Called"] {
        let line = proposed
            .lines()
            .find(|line| line.starts_with("# called_at") && line.contains(heading));
        assert!(
            line.is_some_and(|line| line.contains("undecided")),
            "{proposed}"
        );
    }
    assert_eq!(run.on_files("check").code, 2);
}
