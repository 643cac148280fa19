//! The paragraph of methods and the checklist.

use super::*;

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
    let text = checklist::document(&review);
    assert!(text.contains("cases of Alder alone"), "{text}");
    let passes = review.quality.passes.expect("passes");
    let words = format!("{} accepted", format::whole(passes.accepted));
    assert!(text.contains(&words), "{text}");
    assert!(!checklist::document(&invented::review()).contains("alone are described"));
}
