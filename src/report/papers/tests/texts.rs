//! Methods, the checklist and captions.

use super::*;
use crate::findings::review::MonthsOfSite;

#[test]
fn methods_name_what_was_computed_and_nothing_else() {
    let review = invented::review();
    let (text, keys) = methods::methods(&review, Some(&mix(&[("A", 8), ("B", 8)])));
    assert!(
        keys.contains(&"wilson1927") && keys.contains(&"yang2012"),
        "{keys:?}"
    );
    assert!(
        !keys.contains(&"brown2001") && !text.contains("Jeffreys"),
        "{text}"
    );
    // No two means stand side by side here.
    assert!(!keys.contains(&"austin2009"), "{keys:?}");
    assert!(
        text.contains("Nothing is adjusted and nothing is tested."),
        "{text}"
    );
    assert!(text.contains("We describe 16 recorded cases of emergency endoscopy"));
    let bibliography = sources::bibliography(&keys);
    assert_eq!(bibliography.matches("\n@").count(), keys.len());
}

#[test]
fn methods_name_the_measures_of_a_method_where_they_are_few_and_count_without_groups() {
    let exact = Finding {
        method: Method::ClopperPearson,
        ..found("adverse_event", "all", "all", [1, 50])
    };
    let calls = Finding {
        statistic: Statistic::Rate,
        events: 50,
        ..found("calls", "all", "all", [1, 50])
    };
    let mut review = invented::review();
    let mut findings: Vec<_> = review.findings.iter().cloned().collect();
    findings.retain(|finding| finding.measure != "calls" && finding.measure != "adverse_event");
    findings.extend([exact, calls]);
    review.findings = Findings::new(findings);
    let (text, _) = methods::methods(&review, Some(&mix(&[])));
    let title = &review.definition("adverse_event").expect("a measure").title;
    assert!(
        text.contains(&format!("(Clopper and Pearson 1934). Used for: {title}.")),
        "{text}"
    );
    assert!(text.contains("We describe 50 recorded cases"), "{text}");
}

#[test]
fn the_checklist_says_what_became_of_the_rows_and_which_site_was_asked_for() {
    let review = Review {
        site: Some("Alder".to_owned()),
        ..invented::review()
    };
    let text = checklist::document(&review, &["main_findings"]);
    assert!(text.contains("cases of Alder alone"), "{text}");
    let passes = review.quality.passes.expect("passes");
    let words = format!("{} accepted", format::whole(passes.accepted));
    assert!(text.contains(&words), "{text}");
    let text = checklist::document(&invented::review(), &["main_findings"]);
    assert!(!text.contains("alone are described"));
}

#[test]
fn the_checklist_names_nothing_that_is_not_there() {
    let mut review = invented::review();
    let text = checklist::document(&review, &["case_mix", "main_findings"]);
    let of_rows = ["hashes of inputs", "accounting and flow"];
    for words in of_rows.iter().chain(&["papers/case\\_mix"]) {
        assert!(text.contains(words), "{words}: {text}");
    }
    // No device is compared and no curve drawn in this review.
    assert!(text.contains("no difference is tested"), "{text}");
    for words in ["tables/curves", "tables/comparisons"] {
        assert!(!text.contains(words), "{words}: {text}");
    }
    review.shared = Some(ShareRules {
        threshold: 11,
        tells_unjudged: false,
    });
    let text = checklist::document(&review, &["main_findings"]);
    for words in of_rows.iter().chain(&["case\\_mix"]) {
        assert!(!text.contains(words), "{words}: {text}");
    }
    assert!(text.contains("the case mix is withheld"), "{text}");
}

#[test]
fn each_sentence_of_the_methods_ends_with_the_keys_of_its_sources() {
    let (text, _) = methods::methods(&invented::review(), Some(&mix(&[("A", 8), ("B", 8)])));
    assert!(text.contains("[wilson1927, newcombe1998single]"), "{text}");
    assert!(text.contains("any two of them, over the recorded categories at once. [yang2012]"));
    assert!(text.contains("\n\n") && !text.contains("\n\n\n"), "{text}");
}

#[test]
fn captions_name_the_sites_whose_counts_cover_fewer_months() {
    let month = |text: &str| text.parse().expect("a month");
    let mut review = invented::with_months(3, &["Alder"]);
    let of = |site: &str, first| MonthsOfSite {
        site: site.to_owned(),
        first: month(first),
        last: review.last_month,
        has_gaps: false,
    };
    let months = vec![of("Alder", "2026-07"), of("Cedar", "2026-08")];
    let many = (0..5)
        .map(|site| of(&site.to_string(), "2026-09"))
        .collect();
    review.months_of_sites = months;
    assert_eq!(
        series::period(&review),
        "July 2026 to September 2026 (of Cedar August 2026 to September 2026)"
    );
    review.months_of_sites = many;
    assert!(series::period(&review).ends_with(" (of 5 sites fewer months)"));
}

#[test]
fn a_shared_case_mix_says_what_was_left_out() {
    let mix = CaseMix {
        withheld: vec!["age_group".to_owned(), "call_to_scope".to_owned()],
        ..mix(&[("A", 8), ("B", 8)])
    };
    let words = "Withheld from the case mix, since they would give a small count away: age group, Call to \
                 scope.";
    let review = invented::review();
    let caption = case_mix(&review, &mix).caption;
    assert!(caption.contains(words), "{caption}");
    let (text, _) = methods::methods(&review, Some(&mix));
    assert!(text.contains(words), "{text}");
}
