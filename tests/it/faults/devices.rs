//! Devices that stand in the row of their case.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

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
    devices("nothing", "", "").ends(0, STANDS, &[]);
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
