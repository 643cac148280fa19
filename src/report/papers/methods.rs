//! A paragraph of methods, written from what was in fact computed, and the keys of its sources.

use super::all_cases;
use super::sources;
use crate::findings::case_mix::CaseMix;
use crate::findings::comparisons::method::ComparisonMethod;
use crate::findings::finding::Method;
use crate::findings::review::Review;
use crate::report::sections::{CURVES, HOLM};
use crate::report::{format, series, words};

/// The paragraph with a line end, and the keys in order.
pub(super) fn methods(review: &Review, mix: Option<&CaseMix>) -> (String, Vec<&'static str>) {
    let mut keys: Vec<&str> = Vec::new();
    let mut sentences = vec![
        format!(
            "We describe {} of emergency endoscopy, {}.",
            all_cases(review),
            series::period(review)
        ),
        format!(
            "Every number was computed with scopetally {} from counts of cases by {}; the definition of \
             each is a query that is named, with its hash, in run.json.",
            review.tool_version,
            format::counted(review.definitions.len() as u64, "measure", "measures")
        ),
        format!(
            "Windows were counted from {}; cases by the month of the call.",
            review.window_start
        ),
        "Nothing was imputed: a case in which a measure could not be judged was left out of it and \
         counted as such."
            .to_owned(),
    ];
    for method in Method::ALL {
        let mut findings = review.findings.iter();
        if findings.any(|finding| finding.method == method) {
            let name = words::method_name(method).replace('\u{a0}', " ");
            sentences.push(format!(
                "{}: {}",
                format::capitalized(&name),
                method.sentence()
            ));
            keys.extend(sources::of_method(method));
        }
    }
    for method in review.comparisons.methods() {
        if !matches!(method, ComparisonMethod::Share(_)) {
            let name = format::capitalized(method.name());
            sentences.push(format!("{name}: {}", method.sentence()));
        }
        keys.extend(sources::of_comparison(method));
    }
    if review.comparisons.devices.is_some() {
        sentences.push(HOLM.to_owned());
        keys.push("holm1979");
    }
    if !review.curves.curves.is_empty() {
        keys.extend(sources::of_method(Method::KaplanMeier));
    }
    if !review.curves.ends.is_empty() {
        sentences.push(CURVES.to_owned());
        keys.push("aalen1978");
        keys.extend(sources::of_method(Method::Wilson));
    }
    let not_counted = mix.map_or_else(String::new, |mix| super::not_counted(review, mix));
    if !not_counted.is_empty() {
        sentences.push(format!("Case mix:{not_counted}"));
    }
    let variables = mix.map_or(&[][..], |mix| &mix.variables);
    let has_difference = variables.iter().any(|variable| variable.largest.is_some());
    if has_difference {
        sentences.push(
            "Groups of the case mix are set side by side by the largest standardized difference of any \
             two of them, over the recorded categories at once (Yang and Dalton 2012) or between two \
             means (Austin 2009)."
                .to_owned(),
        );
        keys.extend(["austin2009", "yang2012"]);
    }
    if let Some(rules) = review.shared {
        sentences.push(format!(
            "Counts of 1 to {} are withheld, and with them as many others as it takes that none of them \
             can be worked out; the rules stand in sharing.md.",
            format::whole(rules.threshold.saturating_sub(1))
        ));
    }
    sentences.push(format!(
        "Intervals have a confidence level of {}; no estimate is adjusted unless it says so.",
        format::level(review.level)
    ));
    keys.sort_unstable();
    keys.dedup();
    let listed = keys.join(", ");
    let text = format!(
        "{}\n\nSources, by their keys in methods.bib: {listed}.\n",
        sentences.join(" ")
    );
    (text, keys)
}
