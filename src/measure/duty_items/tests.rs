use super::*;
use crate::domain::fields::{CaseField, PassField};
use crate::measure::engine::tests::records;

/// Records as cases of `(columns)` and passes of `(case, device, result)`; an empty word is null.
fn counted(cases: &[&[(&str, &str)]], passes: &[(&str, &str, &str)]) -> ItemCounts {
    let names: Vec<String> = (0..cases.len()).map(|row| format!("c{row}")).collect();
    let mut cells = Vec::new();
    for (row, case) in cases.iter().enumerate() {
        cells.push((row, "case_id", names[row].as_str()));
        cells.push((row, "month", "2026-09"));
        cells.extend(case.iter().map(|(column, word)| (row, *column, *word)));
    }
    let case_records = records::<CaseField>(cases.len(), &cells);
    let mut cells = Vec::new();
    for (row, (case, device, result)) in passes.iter().enumerate() {
        let words = [("case_id", case), ("device", device), ("result", result)];
        let known = words.into_iter().filter(|(_, word)| !word.is_empty());
        cells.extend(known.map(|(column, word)| (row, column, *word)));
    }
    let pass_records = records::<PassField>(passes.len(), &cells);
    item_counts(&[case_records], &[pass_records]).unwrap()
}

const FOOD: (&str, &str) = ("presentation", "food_impaction");
const COIN: (&str, &str) = ("presentation", "foreign_body");
const BLEED: (&str, &str) = ("presentation", "upper_bleed");
const REMOVED: (&str, &str) = ("outcome", "removed");

fn uses(counts: &ItemCounts) -> Vec<(&str, &str, u64, u64)> {
    let uses = counts.uses.iter();
    let listed = uses.map(|(key, used)| {
        assert_eq!(key.month.to_string(), "2026-09");
        (key.site.as_str(), key.item.code(), used.cases, used.passes)
    });
    listed.collect()
}

#[test]
fn an_item_counts_once_a_case_and_each_of_its_passes() {
    let counts = counted(
        &[
            &[FOOD, ("site", "Alder"), ("overtube", "yes"), ("cap", "yes")],
            &[COIN, ("site", "Alder"), ("hood", "no"), ("cap", "no")],
            &[FOOD, ("overtube", "yes")],
        ],
        &[
            ("c0", "net", "failed"),
            ("c0", "net", "removed"),
            ("c0", "cap", "failed"),
            ("c0", "cap", "piece"),
            ("c0", "cap", ""),
            ("c1", "net", "removed"),
            ("c1", "push", "failed"),
            ("c1", "rigid", "failed"),
            ("c1", "", "failed"),
            ("c1", "", "failed"),
            // A pass whose case is not among the cases counts for nothing.
            ("c9", "snare", "removed"),
        ],
    );
    assert_eq!(
        uses(&counts),
        [
            ("Alder", "net", 2, 3),
            // As an aid and as a device it is one cap, with three passes.
            ("Alder", "cap", 1, 3),
            // Without a pass of its own it counts as one.
            ("Alder", "overtube", 1, 1),
            ("not_recorded", "overtube", 1, 1),
        ]
    );
    let unknown: Vec<_> = counts.unknown.into_iter().collect();
    let [(key, used)] = &unknown[..] else {
        panic!("{unknown:?}");
    };
    assert_eq!(key.what, UnknownItem::DeviceOfPass);
    let expected = ItemUse {
        cases: 1,
        passes: 2,
    };
    assert_eq!(*used, expected);
}

#[test]
fn a_treatment_is_an_item_unless_the_record_does_not_say_which() {
    let treated = |treatment| [BLEED, ("treatment", treatment)];
    let counts = counted(
        &[
            &treated("clip"),
            &treated("clip"),
            &treated("none"),
            &treated("combined"),
            &treated("other"),
            &[BLEED],
        ],
        &[],
    );
    assert_eq!(uses(&counts), [("not_recorded", "bleed_clip", 2, 2)]);
    let unknown: Vec<_> = counts.unknown.keys().map(|key| key.what).collect();
    let expected = [UnknownItem::CombinedTreatment, UnknownItem::OtherTreatment];
    assert_eq!(unknown, expected);
}

/// The ending of one case and the items that finished it.
#[track_caller]
fn check_ending(case: &[(&str, &str)], passes: &[(&str, &str)], ending: &str, items: &[&str]) {
    let passes: Vec<_> = passes
        .iter()
        .map(|(device, result)| ("c0", *device, *result))
        .collect();
    let counts = counted(&[case], &passes);
    let ended: Vec<_> = counts.ended.iter().collect();
    let [(found, 1)] = ended[..] else {
        panic!("{ended:?}");
    };
    let codes: Vec<_> = found.items.iter().map(|item| item.code()).collect();
    assert_eq!((found.ending.code(), &codes[..]), (ending, items));
}

#[test]
fn an_object_is_finished_by_the_passes_that_got_it_out_and_the_aids() {
    let passes = [("snare", "failed"), ("net", "piece"), ("basket", "removed")];
    check_ending(&[COIN, REMOVED], &passes, "finished", &["net", "basket"]);
    let aided = [COIN, REMOVED, ("overtube", "yes"), ("hood", "no")];
    check_ending(
        &aided,
        &[("net", "removed")],
        "finished",
        &["net", "overtube"],
    );
    let hooded = [COIN, REMOVED, ("hood", "yes"), ("cap", "yes")];
    check_ending(
        &hooded,
        &[("net", "removed")],
        "finished",
        &["net", "cap", "hood"],
    );
    check_ending(
        &[COIN, REMOVED],
        &[("cap", "removed")],
        "finished",
        &["cap"],
    );
    // Pushing and suction need nothing from the cart.
    let pushed = [FOOD, ("outcome", "pushed")];
    check_ending(&pushed, &[("push", "pushed")], "finished", &[]);
    check_ending(&[FOOD, REMOVED], &[("suction", "removed")], "finished", &[]);
    for item in CartItem::all() {
        if let CartItem::Device(device) = item {
            let passes = [(device.code(), "removed")];
            check_ending(&[COIN, REMOVED], &passes, "finished", &[item.code()]);
        }
    }
}

#[test]
fn what_finished_an_object_is_unknown_without_every_result_and_the_device_of_success() {
    let unknown = |passes: &[(&str, &str)]| {
        check_ending(&[COIN, REMOVED], passes, "items_unknown", &[]);
    };
    unknown(&[]);
    unknown(&[("net", "failed")]);
    unknown(&[("", "removed")]);
    unknown(&[("net", "removed"), ("", "piece")]);
    // A pass without a result may have brought a piece.
    unknown(&[("net", "removed"), ("snare", "")]);
    // A failed pass may lack its device.
    let passes = [("", "failed"), ("net", "removed")];
    check_ending(&[COIN, REMOVED], &passes, "finished", &["net"]);
}

#[test]
fn rigid_endoscopy_that_helped_took_the_case_away_from_the_cart() {
    let left = |passes: &[(&str, &str)]| check_ending(&[COIN, REMOVED], passes, "left_cart", &[]);
    left(&[("net", "failed"), ("rigid", "removed")]);
    left(&[("rigid", "piece"), ("net", "removed")]);
    left(&[("rigid", "pushed"), ("", "removed")]);
    let passes = [("rigid", "failed"), ("net", "removed")];
    check_ending(&[COIN, REMOVED], &passes, "finished", &["net"]);
}

#[test]
fn cases_without_a_finish_are_told_apart() {
    let net = [("net", "removed")];
    let ending = |outcome, ending| {
        check_ending(&[COIN, ("outcome", outcome)], &net, ending, &[]);
    };
    ending("not_present", "nothing_to_do");
    ending("failed", "not_finished");
    ending("cancelled", "called_off");
    ending("transferred", "called_off");
    ending("controlled", "outcome_unknown");
    ending("no_treatment_needed", "outcome_unknown");
    check_ending(&[COIN], &net, "outcome_unknown", &[]);
}

#[test]
fn a_bleed_is_finished_by_its_treatment() {
    let ended = |outcome, treatment, ending, items: &[&str]| {
        let case = [BLEED, ("outcome", outcome), ("treatment", treatment)];
        check_ending(&case, &[("net", "removed")], ending, items);
    };
    ended("controlled", "clip", "finished", &["bleed_clip"]);
    ended("controlled", "tamponade", "finished", &["bleed_tamponade"]);
    ended("controlled", "none", "nothing_to_do", &[]);
    ended("controlled", "combined", "several_kinds", &[]);
    ended("controlled", "other", "other_kind", &[]);
    ended("no_treatment_needed", "clip", "nothing_to_do", &[]);
    ended("not_controlled", "clip", "not_finished", &[]);
    ended("cancelled", "clip", "called_off", &[]);
    ended("removed", "clip", "outcome_unknown", &[]);
    let controlled = [("presentation", "lower_bleed"), ("outcome", "controlled")];
    check_ending(&controlled, &[], "items_unknown", &[]);
    check_ending(&[BLEED, ("treatment", "clip")], &[], "outcome_unknown", &[]);
}

#[test]
fn an_aid_that_nobody_recorded_counts_as_not_used_and_the_case_says_so() {
    let all = [("overtube", "no"), ("hood", "no"), ("cap", "no")];
    for blank in 0..4 {
        let mut case = vec![COIN, REMOVED];
        let known = all.iter().enumerate().filter(|(place, _)| *place != blank);
        case.extend(known.map(|(_, aid)| *aid));
        let counts = counted(&[&case], &[("c0", "net", "removed")]);
        let (ended, _) = counts.ended.first_key_value().unwrap();
        assert_eq!(ended.has_blank_aids, blank < 3);
        assert_eq!(ended.items.len(), 1);
    }
}

#[test]
fn without_a_single_pass_of_objects_the_use_of_devices_is_not_known() {
    let lacks = |cases: &[&[(&str, &str)]], passes: &[(&str, &str, &str)]| {
        counted(cases, passes).lacks_passes
    };
    assert!(lacks(&[&[COIN, REMOVED], &[BLEED]], &[]));
    assert!(lacks(&[&[FOOD]], &[]));
    // Bleeds need no passes, and a pass without a device is one all the same.
    assert!(!lacks(&[&[BLEED]], &[]));
    assert!(!lacks(&[&[COIN]], &[("c0", "", "failed")]));
    assert!(!lacks(&[&[COIN]], &[("c0", "push", "pushed")]));
}

#[test]
fn no_record_is_no_use() {
    assert_eq!(counted(&[], &[]), ItemCounts::default());
}
