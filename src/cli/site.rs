//! `--site`: the one site of which a report is made, and the name of its directory.

use super::inputs::printable;
use crate::domain::month::Month;
use crate::export::sha256::sha256_of_text;
use crate::ingest::Ingested;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Likeness, in 0 to 1, from which a site may be the one that was meant.
const LEAST_LIKENESS: f64 = 0.6;

/// Characters of a site in the name of a directory; with the longest characters still far from what
/// file systems allow.
const MOST_CHARACTERS: usize = 40;

/// Sites that a message names; who has more finds them in the export.
const MOST_NAMED: usize = 20;

/// The records of one site.
///
/// # Errors
/// When no case has this site; the message lists those that there are, the first of many.
pub(super) fn only(ingested: Ingested, site: &str) -> anyhow::Result<Ingested> {
    if ingested.cases_by_site.contains_key(site) {
        Ok(ingested.of_site(site))
    } else {
        anyhow::bail!(unknown("--site", site, &ingested.cases_by_site))
    }
}

/// Accepted cases that are counted: those of the site, or all.
pub(super) fn counted_cases(site: Option<&str>, ingested: &Ingested) -> u64 {
    match site {
        Some(site) => ingested.cases_by_site.get(site).copied().unwrap_or(0),
        None => ingested.cases_accounting.accepted,
    }
}

/// Says that `asked_for`, given at `place`, is none of the sites, and which there are.
pub(super) fn unknown(place: &str, asked_for: &str, sites: &BTreeMap<String, u64>) -> String {
    let folded = asked_for.to_lowercase();
    let likeness =
        |site: &String| strsim::normalized_damerau_levenshtein(&folded, &site.to_lowercase());
    let nearest = sites
        .keys()
        .map(|site| (likeness(site), site))
        .max_by(|(first, _), (second, _)| first.total_cmp(second))
        .filter(|(likeness, _)| *likeness >= LEAST_LIKENESS)
        .map_or_else(String::new, |(_, site)| {
            format!("; did you mean `{}`?", printable(site))
        });
    let more = match sites.len().saturating_sub(MOST_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let names: Vec<_> = sites
        .keys()
        .take(MOST_NAMED)
        .map(|site| format!("`{}`", printable(site)))
        .collect();
    format!(
        "{place} `{}` is no site of the records{nearest}\n  the sites are {}{more}",
        printable(asked_for),
        names.join(", ")
    )
}

/// The directory of a report, `reports/2026-09`, or of that of a site, `reports/2026-09-alder`. Letters
/// and digits stay; another site of the records whose name differs in other signs only gets a directory
/// of its own.
pub(super) fn directory(
    month: Month,
    site: Option<&str>,
    sites: &BTreeMap<String, u64>,
) -> PathBuf {
    let reports = PathBuf::from("reports");
    let Some(site) = site else {
        return reports.join(month.to_string());
    };
    let name = file_name(site);
    let is_shared = sites
        .keys()
        .any(|other| other != site && file_name(other) == name);
    let name = if is_shared || name.is_empty() {
        let hash = sha256_of_text(site);
        [name.as_str(), &hash[..8]]
            .iter()
            .filter(|part| !part.is_empty())
            .copied()
            .collect::<Vec<_>>()
            .join("-")
    } else {
        name
    };
    reports.join(format!("{month}-{name}"))
}

/// Letters and digits in lowercase, everything between them a hyphen.
fn file_name(site: &str) -> String {
    let words: Vec<_> = site
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    let name: String = words.join("-").chars().take(MOST_CHARACTERS).collect();
    name.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn september() -> Month {
        "2026-09".parse().expect("a month")
    }

    fn sites(names: &[&str]) -> BTreeMap<String, u64> {
        names.iter().map(|&name| (name.to_owned(), 1)).collect()
    }

    #[test]
    fn an_unknown_site_is_told_with_those_that_there_are_and_the_nearest() {
        let known = sites(&["Alder", "Birch\u{7}", "Cedar East"]);
        assert_eq!(
            unknown("--site", "aldr", &known),
            "--site `aldr` is no site of the records; did you mean `Alder`?\n  the sites are \
             `Alder`, `Birch\u{fffd}`, `Cedar East`"
        );
        assert!(!unknown("--site", "Willow", &known).contains("did you mean"));
    }

    #[test]
    fn of_many_sites_the_first_are_named() {
        let names = |count: u32| {
            let names: Vec<_> = (1..=count).map(|number| format!("S{number:02}")).collect();
            let names: Vec<_> = names.iter().map(String::as_str).collect();
            unknown("--site", "Willow", &sites(&names))
        };
        assert!(names(20).ends_with("`S19`, `S20`"));
        assert!(names(23).ends_with("`S19`, `S20` and 3 more"));
    }

    #[track_caller]
    fn check(site: &str, expected: &str) {
        let found = directory(september(), Some(site), &sites(&["Alder", site]));
        assert_eq!(found, PathBuf::from("reports").join(expected));
    }

    #[test]
    fn a_directory_is_safe_whatever_the_site_is_called() {
        check("Alder", "2026-09-alder");
        check("Cedar / East, 2nd", "2026-09-cedar-east-2nd");
        check("../../etc", "2026-09-etc");
        check("Höhe", "2026-09-höhe");
        check(&"x".repeat(300), &format!("2026-09-{}", "x".repeat(40)));
        // First 8 digits of `printf '%s' '///' | sha256sum`.
        check("///", "2026-09-732c4e97");
    }

    #[test]
    fn sites_whose_names_differ_in_other_signs_do_not_share_a_directory() {
        let both = sites(&["Cedar East", "cedar-east"]);
        let paths: Vec<_> = both
            .keys()
            .map(|site| directory(september(), Some(site), &both))
            .collect();
        assert_ne!(paths[0], paths[1]);
    }
}
