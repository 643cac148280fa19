//! Cases to look at, and the report of one site: what the page says, and what it keeps to itself.

use super::{check_page, invented};
use crate::domain::review_rules::review_rules;
use crate::findings::cases_to_look_at::{ListedCount, RuleTally};
use crate::findings::review::Review;
use crate::report::page;

fn count(listed: u64, out_of: u64, not_judged: u64) -> ListedCount {
    ListedCount {
        listed,
        out_of,
        not_judged,
    }
}

fn with_rules() -> Review {
    let mut review = invented::review();
    let rules = review_rules();
    let tally = |place: usize, month, before| RuleTally {
        rule: rules[place],
        month,
        before,
    };
    review.to_look_at = vec![
        tally(0, count(3, 1234, 5), count(30, 400, 9)),
        tally(3, count(0, 1, 0), count(0, 0, 7)),
        tally(6, count(2, 39, 0), count(8, 410, 0)),
    ];
    review
}

#[test]
fn each_rule_stands_with_its_counts_and_those_of_the_months_before() {
    let html = check_page(&with_rules());
    for row in [
        "Scope in later than the guideline window in force allows</th><td>3</td><td>1,234 judged \
         cases</td><td>5</td><td>30 of 400</td>",
        "Adverse event recorded</th><td>0</td><td>1 judged case</td><td>0</td><td>no cases</td>",
        "No guideline window assigned: none in force fits or what decides it is not recorded</th><td>2</td><td>39 cases</td><td>0</td>\
         <td>8 of 410</td>",
        "On the list in the 12 months before",
        "Of the 5 cases not judged under “Scope in later than the guideline window in force allows”, 2 stand \
         under “No guideline window assigned",
    ] {
        assert!(html.contains(row), "{row}");
    }
    assert!(html.contains("internal/cases_to_review.csv"));
    assert!(html.contains("no proof of poor care"));
}

#[test]
fn without_a_rule_there_is_no_section() {
    assert!(!check_page(&invented::review()).contains("cases-to-look-at"));
}

#[test]
fn the_report_of_a_site_names_it_and_says_what_covers_the_whole_export() {
    let mut review = invented::with_months(3, &["Alder & co"]);
    review.site = Some("Alder & co".to_owned());
    review.flow.counted = 270;
    let html = check_page(&review);
    for text in [
        "<title>Emergency endoscopy review of Alder &amp; co, September 2026</title>",
        "From the records of Alder &amp; co alone, one site of the export,",
        "This report counts 270 accepted cases of Alder &amp; co, of 816 in the export.",
        "What became of the rows, whole export<",
        "Issues by kind, whole export<",
        "What changed in what was recorded, Alder &amp; co alone<",
        "From rows to measures: 270 accepted cases of Alder &amp; co in each measure",
    ] {
        assert!(html.contains(text), "{text}");
    }
    assert!(page(&review).summary().contains("Alder"));
    let of_all = check_page(&invented::with_months(3, &["Alder & co"]));
    assert!(!of_all.contains("Alder &amp; co alone") && !of_all.contains("whole export"));
    assert!(!of_all.contains("one site of the export"));
}

#[test]
fn sites_side_by_side_stand_in_the_order_of_their_names_and_the_page_says_so() {
    let html = check_page(&invented::review());
    assert!(html.contains("Sites stand in the order of their names, which is no ranking."));
    assert!(html.contains("median of each site in each month, sites in the order of their names"));
}
