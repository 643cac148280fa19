//! The sources of the methods in BibTeX. Journal, volume and pages are those that the code cites;
//! titles are from memory, and the file says so.

use crate::findings::comparisons::method::ComparisonMethod;
use crate::findings::finding::Method;
use std::fmt::Write as _;

/// One entry: key, kind, authors, title, journal or publisher, volume, pages, year.
type Entry = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    [&'static str; 3],
    u16,
);

/// Keys of the sources of a method of findings.
pub(super) const fn of_method(method: Method) -> &'static [&'static str] {
    match method {
        Method::Wilson => &["wilson1927", "newcombe1998single"],
        Method::ClopperPearson => &["clopper1934"],
        Method::Jeffreys => &["brown2001"],
        Method::OrderStatistics => &["hyndman1996"],
        Method::KaplanMeier => &["kaplan1958"],
        Method::ClusteredRatio => &["cochran1977"],
        Method::Garwood => &["garwood1936"],
        Method::RatioOfSums => &[],
    }
}

/// Keys of the sources of a method of comparisons.
pub(super) const fn of_comparison(method: ComparisonMethod) -> &'static [&'static str] {
    match method {
        ComparisonMethod::Newcombe => &["newcombe1998difference"],
        ComparisonMethod::BreslowDayTarone => &["breslow1980", "tarone1985"],
        ComparisonMethod::ConditionalOddsRatio => &["mantel1980"],
        ComparisonMethod::MantelHaenszelOddsRatio => &["mantel1959", "robins1986"],
        ComparisonMethod::MantelHaenszelDifference => &["mantel1959", "sato1989"],
        ComparisonMethod::CategoryDistance => &["yang2012"],
        ComparisonMethod::BetaBinomial | ComparisonMethod::BetaBinomialEffective => &[],
        ComparisonMethod::Share(method) => of_method(method),
    }
}

/// The entries of these keys, in the order of their keys.
pub(super) fn bibliography(keys: &[&str]) -> String {
    let mut text = "% Journals, volumes, pages and years as the code cites them; titles and \
                    publishers from memory: check them before you submit.\n"
        .to_owned();
    let mut line = |words: &str| writeln!(text, "{words}").expect("a string takes everything");
    for (key, kind, authors, title, [place, volume, pages], year) in ENTRIES {
        if !keys.contains(key) {
            continue;
        }
        let place_of = match *kind {
            "book" => "publisher",
            "inproceedings" => "booktitle",
            _ => "journal",
        };
        line(&format!("\n@{kind}{{{key},"));
        line(&format!("  author = {{{authors}}},"));
        line(&format!("  title = {{{title}}},"));
        line(&format!("  {place_of} = {{{place}}},"));
        for (name, value) in [("volume", volume), ("pages", pages)] {
            if !value.is_empty() {
                line(&format!("  {name} = {{{value}}},"));
            }
        }
        line(&format!("  year = {{{year}}}\n}}"));
    }
    text
}

#[rustfmt::skip]
const ENTRIES: &[Entry] = &[
    ("aalen1978", "article", "Aalen, Odd O. and Johansen, S{\\o}ren", "An empirical transition matrix for non-homogeneous Markov chains based on censored observations", ["Scandinavian Journal of Statistics", "5", "141--150"], 1978),
    ("austin2009", "article", "Austin, Peter C.", "Balance diagnostics for comparing the distribution of baseline covariates between treatment groups in propensity-score matched samples", ["Statistics in Medicine", "28", "3083--3107"], 2009),
    ("breslow1980", "book", "Breslow, Norman E. and Day, Nicholas E.", "Statistical Methods in Cancer Research 1", ["International Agency for Research on Cancer", "", ""], 1980),
    ("brown2001", "article", "Brown, Lawrence D. and Cai, T. Tony and DasGupta, Anirban", "Interval estimation for a binomial proportion", ["Statistical Science", "16", "101--133"], 2001),
    ("clopper1934", "article", "Clopper, C. J. and Pearson, E. S.", "The use of confidence or fiducial limits illustrated in the case of the binomial", ["Biometrika", "26", "404--413"], 1934),
    ("cochran1977", "book", "Cochran, William G.", "Sampling Techniques, 3rd edition", ["Wiley", "", ""], 1977),
    ("garwood1936", "article", "Garwood, F.", "Fiducial limits for the Poisson distribution", ["Biometrika", "28", "437--442"], 1936),
    ("holm1979", "article", "Holm, Sture", "A simple sequentially rejective multiple test procedure", ["Scandinavian Journal of Statistics", "6", "65--70"], 1979),
    ("hyndman1996", "article", "Hyndman, Rob J. and Fan, Yanan", "Sample quantiles in statistical packages", ["The American Statistician", "50", "361--365"], 1996),
    ("kaplan1958", "article", "Kaplan, E. L. and Meier, Paul", "Nonparametric estimation from incomplete observations", ["Journal of the American Statistical Association", "53", "457--481"], 1958),
    ("mantel1959", "article", "Mantel, Nathan and Haenszel, William", "Statistical aspects of the analysis of data from retrospective studies of disease", ["Journal of the National Cancer Institute", "22", "719--748"], 1959),
    ("mantel1980", "article", "Mantel, Nathan and Fleiss, Joseph L.", "Minimum expected cell size requirements for the Mantel-Haenszel one-degree-of-freedom chi-square test and a related rapid procedure", ["American Journal of Epidemiology", "112", "129--134"], 1980),
    ("newcombe1998difference", "article", "Newcombe, Robert G.", "Interval estimation for the difference between independent proportions: comparison of eleven methods", ["Statistics in Medicine", "17", "873--890"], 1998),
    ("newcombe1998single", "article", "Newcombe, Robert G.", "Two-sided confidence intervals for the single proportion: comparison of seven methods", ["Statistics in Medicine", "17", "857--872"], 1998),
    ("robins1986", "article", "Robins, James and Breslow, Norman and Greenland, Sander", "Estimators of the Mantel-Haenszel variance consistent in both sparse data and large-strata limiting models", ["Biometrics", "42", "311--323"], 1986),
    ("sato1989", "article", "Sato, Tosiya", "On the variance estimator for the Mantel-Haenszel risk difference", ["Biometrics", "45", "1323--1324"], 1989),
    ("tarone1985", "article", "Tarone, Robert E.", "On heterogeneity tests based on efficient scores", ["Biometrika", "72", "91--95"], 1985),
    ("wilson1927", "article", "Wilson, Edwin B.", "Probable inference, the law of succession, and statistical inference", ["Journal of the American Statistical Association", "22", "209--212"], 1927),
    ("yang2012", "inproceedings", "Yang, Dongsheng and Dalton, Jarrod E.", "A unified approach to measuring the effect size between two groups using SAS", ["SAS Global Forum, paper 335", "", ""], 2012),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_source_of_a_method_has_an_entry() {
        let of_methods = Method::ALL.into_iter().flat_map(of_method);
        let of_comparisons = ComparisonMethod::ALL.into_iter().flat_map(of_comparison);
        for key in of_methods.chain(of_comparisons) {
            let text = bibliography(&[key]);
            assert_eq!(text.matches('@').count(), 1, "{key}");
            assert_eq!(
                text.matches('{').count(),
                text.matches('}').count(),
                "{key}"
            );
        }
        assert_eq!(bibliography(&[]).matches('@').count(), 0);
    }
}
