//! Methods in a few paragraphs, written from what was in fact computed, and the keys of their sources.

use super::all_cases;
use super::sources;
use crate::findings::case_mix::CaseMix;
use crate::findings::comparisons::devices::HOMOGENEITY_P;
use crate::findings::comparisons::method::ComparisonMethod;
use crate::findings::finding::{Finding, Method};
use crate::findings::headline::CASES_TO_COMPARE;
use crate::findings::review::Review;
use crate::report::sections::{CURVES, HOLM};
use crate::report::{format, series, words};
use std::collections::BTreeSet;

/// The paragraphs with a line end, and the keys in order.
pub(super) fn methods(review: &Review, mix: Option<&CaseMix>) -> (String, Vec<&'static str>) {
    let mut text = Paragraphs::default();
    text.paragraph();
    cases(review, mix, &mut text);
    text.paragraph();
    estimates(review, &mut text);
    text.paragraph();
    comparisons(review, &mut text);
    text.paragraph();
    curves(review, &mut text);
    text.paragraph();
    if let Some(mix) = mix {
        case_mix(review, mix, &mut text);
    }
    text.paragraph();
    limits(review, &mut text);
    text.end()
}

/// Sentences in paragraphs, each with the keys of its sources.
#[derive(Default)]
struct Paragraphs {
    paragraphs: Vec<Vec<String>>,
    keys: BTreeSet<&'static str>,
}

impl Paragraphs {
    fn paragraph(&mut self) {
        self.paragraphs.push(Vec::new());
    }

    fn say(&mut self, sentence: impl Into<String>) {
        self.cite(sentence, &[]);
    }

    fn cite(&mut self, sentence: impl Into<String>, keys: &[&'static str]) {
        let mut sentence = sentence.into();
        if !keys.is_empty() {
            sentence.extend([" [", &keys.join(", "), "]"]);
        }
        self.keys.extend(keys);
        let last = self.paragraphs.last_mut().expect("a paragraph was begun");
        last.push(sentence);
    }

    fn end(self) -> (String, Vec<&'static str>) {
        let paragraphs = self.paragraphs.iter();
        let filled = paragraphs.filter(|sentences| !sentences.is_empty());
        let mut text = filled
            .map(|sentences| sentences.join(" "))
            .collect::<Vec<_>>()
            .join("\n\n");
        if !self.keys.is_empty() {
            text.push_str("\n\nKeys in brackets are those of methods.bib.");
        }
        text.push('\n');
        (text, self.keys.into_iter().collect())
    }
}

/// What is described, and what a case is.
fn cases(review: &Review, mix: Option<&CaseMix>, text: &mut Paragraphs) {
    text.say(format!(
        "We describe {} of emergency endoscopy, {}.",
        all_cases(review, mix),
        series::period(review)
    ));
    text.say(format!(
        "Every number was computed with scopetally {} from counts of cases by {}; the definition of \
         each is a query that is named, with its hash, in run.json.",
        review.tool_version,
        format::counted(review.definitions.len() as u64, "measure", "measures")
    ));
    text.say(format!(
        "Windows of urgency{} were counted from {}; a case belongs to the month of its call.",
        window_sources(review),
        review.window_start
    ));
    text.say(
        "Nothing was imputed: a case in which a measure could not be judged was left out of it and \
         counted as such.",
    );
}

/// How findings were made.
fn estimates(review: &Review, text: &mut Paragraphs) {
    for method in Method::ALL {
        if told(review).any(|finding| finding.method == method) {
            let name = words::method_name(method).replace('\u{a0}', " ");
            let sentence = format!(
                "{}: {}{}",
                format::capitalized(&name),
                method.sentence(),
                used_for(review, method)
            );
            text.cite(sentence, sources::of_method(method));
        }
    }
}

/// How devices and other uses were set side by side.
fn comparisons(review: &Review, text: &mut Paragraphs) {
    for method in review.comparisons.methods() {
        // Those of shares stand among the estimates.
        if !matches!(method, ComparisonMethod::Share(_)) {
            let name = format::capitalized(method.name());
            let sentence = format!("{name}: {}", method.sentence());
            text.cite(sentence, sources::of_comparison(method));
        }
    }
    if review.comparisons.devices.is_some() {
        text.say(format!(
            "Devices are compared where each side has at least {CASES_TO_COMPARE} cases. Object types are \
             not put together where the test of one odds ratio has a p-value below {HOMOGENEITY_P}, or \
             where the interval of the difference lies wholly above zero for one and wholly below for \
             another."
        ));
    }
    if has_pooled(review) {
        text.cite(HOLM, &["holm1979"]);
    }
}

/// Whether a device is compared with the others over all object types.
pub(super) fn has_pooled(review: &Review) -> bool {
    let devices = review.comparisons.devices.as_ref();
    devices.is_some_and(|compared| compared.devices.iter().any(|device| device.pooled.is_ok()))
}

/// How times to an event were described.
fn curves(review: &Review, text: &mut Paragraphs) {
    if !review.curves.curves.is_empty() {
        text.cite(
            "Curves of the time to scope are Kaplan-Meier estimates.",
            sources::of_method(Method::KaplanMeier),
        );
    }
    if !review.curves.ends.is_empty() {
        let wilson = sources::of_method(Method::Wilson);
        let keys: Vec<_> = ["aalen1978"]
            .into_iter()
            .chain(wilson.iter().copied())
            .collect();
        text.cite(CURVES, &keys);
    }
}

/// How groups of the case mix are set side by side, as far as they are, and what has no row.
fn case_mix(review: &Review, mix: &CaseMix, text: &mut Paragraphs) {
    let of_categories = mix.variables.iter().any(|found| found.largest.is_some());
    let of_means = mix.times.iter().any(|found| found.largest.is_some());
    let (how, keys): (_, &[&str]) = match (of_categories, of_means) {
        (false, false) => ("", &[]),
        (true, false) => ("over the recorded categories at once", &["yang2012"]),
        (false, true) => ("between two means", &["austin2009"]),
        (true, true) => (
            "over the recorded categories at once or between two means",
            &["yang2012", "austin2009"],
        ),
    };
    if !how.is_empty() {
        let sentence = format!(
            "Groups of the case mix are set side by side by the largest standardized difference of any \
             two of them, {how}."
        );
        text.cite(sentence, keys);
    }
    if let Some(not_counted) = super::not_counted(review, mix) {
        text.say(format!("Case mix: {not_counted}"));
    }
    if let Some(withheld) = super::withheld(review, mix) {
        text.say(withheld);
    }
}

/// What is withheld, and what holds for all intervals.
fn limits(review: &Review, text: &mut Paragraphs) {
    if let Some(rules) = review.shared {
        text.say(format!(
            "Counts of 1 to {} are withheld, and with them as many others as it takes that none of them \
             can be worked out; the rules stand in sharing.md.",
            format::whole(rules.threshold.saturating_sub(1))
        ));
    }
    text.say(format!(
        "Intervals have a confidence level of {}.",
        format::level(review.level)
    ));
    let mut compared = review.comparisons.methods().into_iter();
    let is_alike_tested = compared.any(|method| method == ComparisonMethod::BreslowDayTarone);
    text.say(if has_pooled(review) {
        "Differences and odds ratios of devices over all object types are adjusted for the object type; \
         nothing else is adjusted, and nothing but devices is tested."
    } else if is_alike_tested {
        "Nothing is adjusted, and nothing is tested but whether devices differ alike in all object types."
    } else {
        "Nothing is adjusted and nothing is tested."
    });
}

/// Findings with their numbers.
fn told(review: &Review) -> impl Iterator<Item = &Finding> {
    review.findings.iter().filter(|finding| !finding.suppressed)
}

/// Names the measures of a method where they are few.
fn used_for(review: &Review, method: Method) -> String {
    const MOST: usize = 4;
    let of_method =
        |id: &str| told(review).any(|finding| finding.measure == id && finding.method == method);
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
