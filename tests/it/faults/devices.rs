//! Devices that stand in the row of their case.

use super::Input;
use crate::bad_input::{GOOD, HEADER};
use serde_json::Value;

const STANDS: &str = "1 = 1 + 0 + 0";

/// One case with a column of devices, read as the mapping's own lines say.
fn devices(what: &'static str, lines: &str, cell: &str) -> Input {
    let header = HEADER.replace('\n', ",Outcome,Devices\n");
    Input::of(what)
        .column("outcome = \"Outcome\"")
        .mapped(
            "[cases.codes.presentation]",
            &format!(
                "[cases.devices]\ncolumns = [\"Devices\"]\n{lines}\n[cases.codes.presentation]"
            ),
        )
        .cases(format!(
            "{header}{}",
            GOOD.replace('\n', &format!(",removed,\"{cell}\"\n"))
        ))
}

#[test]
fn words_in_a_list_of_devices() {
    devices("a word nobody knows", "", "SECRET")
        .reviewed()
        .ends(1, STANDS, &["C02 device, line 2"]);
    devices("a known word and another", "", "net, SECRET").ends(1, STANDS, &["C02 device, line 2"]);
    devices("two unknown words", "", "SECRET then SECRETS x3").ends(
        1,
        STANDS,
        &["C02 device, line 2", "C02 device, line 2"],
    );
    devices(
        "known words in all ways of writing",
        "",
        "1. net x2 2. snare (3) then basket & overtube",
    )
    .ends(1, STANDS, &["C02 device, line 2"]);
    devices("nothing", "", "").ends(0, STANDS, &["R13 line 2"]);
    devices("fifty-one times", "", "net x51").ends(1, STANDS, &["C02 device, line 2"]);
    devices("no times at all", "", "net x0").ends(1, STANDS, &["C02 device, line 2"]);
}

#[test]
fn cells_of_devices_that_are_no_text() {
    let mut text = HEADER.replace('\n', ",Outcome,Devices\n").into_bytes();
    text.extend(GOOD.replace('\n', ",removed,").into_bytes());
    text.extend("net € ".bytes().chain(*b"\xff SECRET\n"));
    devices("bytes", "", "")
        .cases(text)
        .ends(1, STANDS, &["C01 device, line 2"]);
}

#[test]
fn devices_in_rows_that_are_set_aside() {
    let row = GOOD.replace('\n', ",removed,SECRET\n");
    devices("a repeat and a row without a reason", "", "")
        .cases(format!(
            "{}{}{}{}",
            HEADER.replace('\n', ",Outcome,Devices\n"),
            GOOD.replace('\n', ",removed,net\n"),
            GOOD.replace('\n', ",removed,net\n"),
            row.replace("K1", "K2").replace("Food", "")
        ))
        .ends(1, "3 = 1 + 1 + 1", &["R05 line 3", "R03 line 4"]);
}

#[test]
fn results_in_columns_of_their_own() {
    let results = |what, cells: &str| {
        let header = HEADER.replace('\n', ",Outcome,Devices,Result\n");
        devices(what, "results = [\"Result\"]", "").cases(format!(
            "{header}{}",
            GOOD.replace('\n', &format!(",removed,{cells}\n"))
        ))
    };
    results("a result nobody knows", "net,SECRET").ends(1, STANDS, &["C02 result, line 2"]);
    results("a result without a device", ",removed").ends(0, STANDS, &[]);
    results("a device and its result", "net,removed").ends(0, STANDS, &[]);
}

#[test]
fn mappings_of_devices_that_contradict_themselves() {
    devices(
        "two results for one column",
        "results = [\"Result\", \"Result 2\"]",
        "net",
    )
    .refused(
        "`cases.devices.results` has not as many headings as `cases.devices.columns`",
        "one result column for each device column",
    );
    devices(
        "results from two places",
        "results = [\"Result\"]\nresult = \"from_outcome\"\norder = \"as_written\"",
        "net",
    )
    .refused(
        "takes results both from columns and from the outcome",
        "keep `results`",
    );
    devices(
        "results from the outcome without an order",
        "result = \"from_outcome\"",
        "net",
    )
    .refused(
        "needs a column for `outcome` and `order = \"as_written\"`",
        "only where the order is known",
    );
    devices("a column that is not there", "", "net")
        .mapped("[\"Devices\"]", "[\"Devices\", \"Devices 2\"]")
        .refused(
            "no column `Devices 2`, which the mapping gives for `device`",
            "correct the heading",
        );
    devices("a word for an order", "order = \"as_seen\"", "SECRET")
        .refused("unknown variant `as_seen`", "README");
}

/// What the passes in the rows of the cases come to: how many there are, how many have a device and
/// a result, how many of these did it, and in how many cases the first device is known.
#[track_caller]
fn passes_of(input: &Input) -> [u64; 4] {
    let run = input.lay_out();
    let ended = input.run(&run, "review --out out");
    let text = std::fs::read_to_string(run.path("out/run.json"))
        .unwrap_or_else(|_| panic!("{}", ended.stderr));
    let manifest: Value = serde_json::from_str(&text).unwrap();
    let flow = |measure: &str, column: &str| {
        let flows = manifest["flow"].as_array().unwrap();
        let flow = flows.iter().find(|flow| flow["measure"] == measure);
        flow.unwrap()[column].as_u64().unwrap()
    };
    let passes = manifest["accounting"]["passes_in_cases"].as_u64().unwrap();
    assert!(
        ended
            .stdout
            .contains(&format!("passes  {passes} in the rows of the cases\n")),
        "{}",
        ended.stdout
    );
    [
        passes,
        flow("device_success", "judged_passes"),
        flow("device_success", "hit"),
        flow("first_device_success", "eligible"),
    ]
}

/// One case with two columns of devices and two of results.
fn results(what: &'static str, lines: &str, cells: &str) -> Input {
    let header = HEADER.replace('\n', ",Outcome,Devices,Result,Devices 2,Result 2\n");
    devices(
        what,
        &format!("results = [\"Result\", \"Result 2\"]\n{lines}"),
        "",
    )
    .mapped("[\"Devices\"]", "[\"Devices\", \"Devices 2\"]")
    .cases(format!(
        "{header}{}",
        GOOD.replace('\n', &format!(",removed,{cells}\n"))
    ))
}

#[test]
fn words_for_nothing_are_no_devices() {
    devices("a word for nothing with a slash", "", "n/a")
        .set("missing = [\"n/a\"]")
        .ends(0, STANDS, &["R13 line 2"]);
    let unknown = |cell| {
        devices("a word of the table that means nothing", "", cell)
            .table("[cases.codes.device]\n\"none/unknown\" = \"not_recorded\"\n\"net\" = \"net\"")
    };
    unknown("none/unknown").ends(0, STANDS, &["R13 line 2"]);
    unknown("net, none/unknown").ends(0, STANDS, &[]);
    assert_eq!(passes_of(&unknown("None/Unknown")), [0, 0, 0, 0]);
    assert_eq!(passes_of(&unknown("net, none/unknown")), [1, 0, 0, 1]);
}

#[test]
fn one_result_belongs_to_the_last_pass_of_its_cell() {
    let told = |cells: &str| passes_of(&results("results", "", cells));
    assert_eq!(told("net x3,removed,,"), [3, 1, 1, 1]);
    assert_eq!(told("net then snare,removed,,"), [2, 1, 1, 1]);
    assert_eq!(told("net then snare x2,removed,,"), [3, 1, 1, 1]);
    assert_eq!(told("net,failed,snare,removed"), [2, 2, 1, 0]);
    // Which of the two took it out is not known.
    assert_eq!(told("\"net, snare\",removed,,"), [2, 0, 0, 0]);
    results("a result of one of two", "", "\"net, snare\",removed,,").ends(
        0,
        STANDS,
        &["R16 line 2"],
    );
    results("no result of two", "", "\"net, snare\",,,").ends(0, STANDS, &[]);
    results("a word for a result of two", "", "\"net, snare\",SECRET,,").ends(
        1,
        STANDS,
        &["C02 result, line 2"],
    );
    let as_written = results(
        "in order",
        "order = \"as_written\"",
        "\"net, snare\",removed,,",
    );
    assert_eq!(passes_of(&as_written), [2, 1, 1, 1]);
    as_written.ends(0, STANDS, &[]);
}

#[test]
fn a_result_beside_a_blank_device_is_a_pass() {
    let told = |cells: &str| passes_of(&results("results", "", cells));
    assert_eq!(told(",removed,,"), [1, 0, 0, 0]);
    assert_eq!(told("net,failed,,removed"), [2, 1, 0, 0]);
    results("a result alone", "", ",failed,,").ends(0, STANDS, &["R14 line 2"]);
}

#[test]
fn then_orders_only_what_it_joins() {
    let told = |cell: &str| passes_of(&devices("devices", "", cell));
    assert_eq!(told("net, snare then basket"), [3, 0, 0, 0]);
    assert_eq!(told("net then snare, basket"), [3, 0, 0, 0]);
    assert_eq!(told("net then snare then basket"), [3, 0, 0, 1]);
    assert_eq!(told("net x3"), [3, 0, 0, 1]);
    assert_eq!(told("net"), [1, 0, 0, 1]);
    // Two columns may have been filled in in any order.
    let two = |cells: &str| passes_of(&results("two columns", "", cells));
    assert_eq!(two("net then snare,,basket,"), [3, 0, 0, 0]);
    assert_eq!(two("net,,basket,"), [2, 0, 0, 0]);
    assert_eq!(two(",,net then snare,"), [2, 0, 0, 1]);
}

#[test]
fn outcomes_are_held_against_devices_in_the_rows() {
    results("removed, but the only pass failed", "", "net,failed,,").ends(
        0,
        STANDS,
        &["R14 line 2"],
    );
    results("no device", "", ",,,").ends(0, STANDS, &["R13 line 2"]);
    results("a device without a result", "", "net,,,").ends(0, STANDS, &[]);
    let in_full = devices("no passes in the rows", "", "");
    let run = in_full.lay_out();
    let shown = in_full.run(&run, "check");
    assert!(
        shown
            .stdout
            .contains("\npasses  0 in the rows of the cases\n")
    );
}
