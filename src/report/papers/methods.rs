//! A paragraph of methods, written from what was in fact computed, and the keys of its sources.

use super::all_cases;
use super::sources;
use crate::findings::case_mix::CaseMix;
use crate::findings::comparisons::method::ComparisonMethod;
use crate::findings::finding::Method;
use crate::findings::review::Review;
use crate::report::sections::{CURVES, HOLM};
use crate::report::{format, series, words};
use std::collections::BTreeSet;

/// The paragraph with a line end, and the keys in order.
pub(super) fn methods(review: &Review, mix: Option<&CaseMix>) -> (String, Vec<&'static str>) {
    let mut keys: Vec<&str> = Vec::new();
    let mut sentences = vec![
        format!(
            "We describe {} of emergency endoscopy, {}.",
            all_cases(review, mix),
            series::period(review)
        ),
        format!(
            "Every number was computed with scopetally {} from counts of cases by {}; the definition of \
             each is a query that is named, with its hash, in run.json.",
            review.tool_version,
            format::counted(review.definitions.len() as u64, "measure", "measures")
        ),
        format!(
            "Windows of urgency{} were counted from {}; a case belongs to the month of its call.",
            window_sources(review),
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
                "{}: {}{}",
                format::capitalized(&name),
                method.sentence(),
                used_for(review, method)
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
    if let Some(mix) = mix {
        push_differences(mix, &mut sentences, &mut keys);
    }
    if let Some(rules) = review.shared {
        sentences.push(format!(
            "Counts of 1 to {} are withheld, and with them as many others as it takes that none of them \
             can be worked out; the rules stand in sharing.md.",
            format::whole(rules.threshold.saturating_sub(1))
        ));
    }
    sentences.push(format!(
        "Intervals have a confidence level of {}. {}",
        format::level(review.level),
        if review.comparisons.devices.is_some() {
            "Differences and odds ratios of devices over all object types are adjusted for the object \
             type; nothing else is adjusted, and nothing but devices is tested."
        } else {
            "Nothing is adjusted and nothing is tested."
        }
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

/// Names the measures of a method where they are few.
fn used_for(review: &Review, method: Method) -> String {
    const MOST: usize = 4;
    let of_method = |id: &str| {
        let mut findings = review.findings.iter();
        findings.any(|finding| finding.measure == id && finding.method == method)
    };
    let measures = review.definitions.iter();
    let titles: Vec<_> = measures
        .filter(|definition| of_method(&definition.id))
        .map(|definition| definition.title.clone())
        .collect();
    if titles.len() > MOST {
        return String::new();
    }
    if titles.is_empty() {
        return String::new();
    }
    // Titles have commas of their own.
    format!(" Used for: {}.", titles.join("; "))
}

/// Whose windows they are, and that not each was read where it was published.
fn window_sources(review: &Review) -> String {
    let sources: BTreeSet<&str> = review
        .windows
        .iter()
        .filter(|window| window.choice.is_in_force())
        .map(|window| window.source.as_str())
        .collect();
    if sources.is_empty() {
        return String::new();
    }
    let sources = sources.into_iter().collect::<Vec<_>>().join("; ");
    format!(" ({sources}; each with its status in run.json, windows)")
}

/// How groups of the case mix are set side by side, as far as they are.
fn push_differences(mix: &CaseMix, sentences: &mut Vec<String>, keys: &mut Vec<&'static str>) {
    let of_categories = mix.variables.iter().any(|found| found.largest.is_some());
    let of_means = mix.times.iter().any(|found| found.largest.is_some());
    let how = match (of_categories, of_means) {
        (false, false) => return,
        (true, false) => "over the recorded categories at once (Yang and Dalton 2012)",
        (false, true) => "between two means (Austin 2009)",
        (true, true) => {
            "over the recorded categories at once (Yang and Dalton 2012) or between two means (Austin 2009)"
        }
    };
    keys.extend(of_categories.then_some("yang2012"));
    keys.extend(of_means.then_some("austin2009"));
    sentences.push(format!(
        "Groups of the case mix are set side by side by the largest standardized difference of any two of \
         them, {how}."
    ));
}
