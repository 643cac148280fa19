use super::super::cart_words::tests::read;
use super::*;
use crate::domain::duty::cart_item::CartItem;
use crate::domain::duty::item_counts::{EndedCase, ItemCounts};
use crate::domain::duty::plan::{CarriedItem, CartRules, DutyPlan};
use crate::domain::month::Month;
use crate::findings::estimate::Settings;

type Line<'a> = (&'a str, KitTask, CaseEnding, &'a [&'a str], u64);

fn invented(lines: &[Line<'_>], carried: &[&str]) -> Kit {
    let named = |code: &&str| CartItem::named(code).unwrap();
    let mut counts = ItemCounts::default();
    for month in [1, 2] {
        for (site, task, ending, items, cases) in lines {
            let key = EndedCase {
                site: (*site).to_owned(),
                month: Month::new(2026, month).unwrap(),
                task: *task,
                ending: *ending,
                items: items.iter().map(named).collect(),
                has_blank_aids: items.is_empty(),
            };
            counts.ended.insert(key, *cases);
        }
    }
    let item = CarriedItem {
        carried: 1,
        shelf_life_days: None,
    };
    let rules = CartRules {
        items: carried.iter().map(|code| (named(code), item)).collect(),
        ..DutyPlan::default().cart
    };
    crate::findings::staffing::kit::kit(&counts, &rules, Settings::default())
}

use CaseEnding::{CalledOff, FinishedThere, LeftCart, SeveralKinds};
use KitTask::{Bleed, Object};

/// In each of two months: 12 cases with a net, 6 with a snare, 1 with a net and a hood, 1 that left
/// the cart, 5 called off; 4 bleeds with a clip.
const LINES: &[Line<'_>] = &[
    ("Alder", Object, FinishedThere, &["net"], 12),
    ("Alder", Object, FinishedThere, &["snare"], 6),
    ("Birch", Object, FinishedThere, &["net", "hood"], 1),
    ("Birch", Object, LeftCart, &[], 1),
    ("Alder", Object, CalledOff, &[], 5),
    ("Alder", Bleed, FinishedThere, &["bleed_clip"], 4),
    ("Alder", Bleed, SeveralKinds, &[], 2),
];

#[test]
fn coverage_is_told_with_its_cases_and_what_was_left_out() {
    let kit = invented(LINES, &["net", "hood"]);
    let text = read(&section(&kit));
    for words in [
        "40 cases are judged, of which 2 left the cart for rigid endoscopy. 10 cases are left out \
         (cancelled or transferred: 10).",
        "Today’s list: 26 of 40 (65%, Wilson 95% interval 50 to 78%) covered, counting kinds of items; \
         how many pieces of each were left is not asked.",
        "All items that finished a case: 38 of 40 (95%",
        "Smallest list for 95%: 3 items (snare, retrieval net and protector hood), 38 of 40 covered. \
         It is no list to carry, since the floor and local policy ask for more than the recorded cases \
         do; of the floor for such cases it lacks grasping forceps and overtube. Lists chosen in the same way cover 38 of 40 (95%",
        "(2 parts).",
        "Smallest list for 99%: none, since more cases left the cart than that.",
        "| snare | no | 12 of 40 (30%) | 12 of 40 (30%) |",
        "| retrieval net | yes | 26 of 40 (65%) | 26 of 40 (65%) |",
        "| protector hood | yes | 2 of 40 (5%) | 2 of 40 (5%) |",
        "| 2 items | snare and retrieval net | 36 of 40 | 90% |",
        "8 cases are judged. 4 cases are left out (treated in several ways at once, which is not \
         recorded: 4).",
        "Smallest list for 95%: 1 item (hemostatic clip), 8 of 8 covered. It is no list to carry, ",
        "it lacks injection, coagulation, band ligation, hemostatic powder and balloon tamponade.",
        "**Objects and food by site, by name",
        "| Birch | 4 | 0 | 2 of 4 | none | none |",
        "Every possible list was looked at",
        "local policy",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    // Bleeds are of one site alone, and still have their row.
    assert!(text.contains("**Bleeds by site, by name"));
}

#[test]
fn without_a_list_of_today_items_are_held_against_all_others() {
    let kit = invented(LINES, &[]);
    let text = read(&section(&kit));
    assert!(text.contains("The plan does not say what the cart carries today"));
    assert!(text.contains("beside all other items"));
    assert!(!text.contains("Today’s list:") && !text.contains("| On today’s list |"));
    let words = in_words(&kit);
    assert!(
        words[0]
            .contains("all items that were ever used could have finished 38 of 40 judged cases of"),
        "{words:?}"
    );
}

#[test]
fn the_first_page_has_a_sentence_for_objects_and_one_for_bleeds() {
    let words = in_words(&invented(LINES, &["net", "hood"]));
    assert_eq!(words.len(), 2);
    assert_eq!(
        words[0],
        "Counting kinds of items and not their number, today’s list could have finished 26 of 40 judged \
         cases of objects and food (65%, 95% interval 50 to 78%)."
    );
    assert!(words[1].contains("0 of 8 judged bleeds (0%"), "{words:?}");
}

#[test]
fn without_passes_objects_are_not_judged_and_bleeds_are() {
    let unknown = ("Alder", Object, CaseEnding::ItemsUnknown, &[][..], 9);
    let mut kit = invented(&[unknown, LINES[5]], &["net"]);
    kit.lacks_passes = true;
    let text = read(&section(&kit));
    assert!(
        text.contains("without passes it is not known with what a case"),
        "{text}"
    );
    assert!(!text.contains("No case is judged.") && text.contains("8 cases are judged."));
    let words = in_words(&kit);
    assert!(
        words[0].starts_with("Without passes it is not known which cases"),
        "{words:?}"
    );
    assert!(words[1].contains("judged bleeds"), "{words:?}");
}

#[test]
fn without_cases_or_judged_ones_the_section_says_so() {
    let nothing = invented(&[], &[]);
    assert!(read(&section(&nothing)).contains("There is no case."));
    assert!(in_words(&nothing).is_empty());
    let none_judged = invented(&LINES[4..5], &["net"]);
    let text = read(&section(&none_judged));
    assert!(
        text.contains("0 cases are judged. 10 cases are left out"),
        "{text}"
    );
    assert!(text.contains("No case is judged."));
    assert!(in_words(&none_judged).is_empty());
}
