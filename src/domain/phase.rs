//! What a site says about its own work: dated changes, and targets that it set itself.

use super::month::Month;

/// A dated change, with the words that appear on the charts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Phase {
    /// First month after the change.
    pub from: Month,
    /// What changed, in the words of the site.
    pub note: String,
    /// Measures that it concerns; all when empty.
    pub measures: Vec<String>,
    /// Sites that it concerns; all when empty.
    pub sites: Vec<String>,
}

impl Phase {
    /// Whether the change concerns a measure in a group: the whole service, or one site.
    pub fn concerns(&self, measure: &str, site: Option<&str>) -> bool {
        let names =
            |names: &[String], name: &str| names.is_empty() || names.iter().any(|n| n == name);
        names(&self.measures, measure)
            && match site {
                Some(site) => names(&self.sites, site),
                None => self.sites.is_empty(),
            }
    }
}

/// The phases as the report of one site sees them: those of its own, and those of all sites. There
/// the site is the whole service, so each of them concerns charts over all cases too.
pub fn phases_of_site(phases: Vec<Phase>, site: &str) -> Vec<Phase> {
    let of_site = phases
        .into_iter()
        .filter(|phase| phase.sites.is_empty() || phase.sites.iter().any(|name| name == site));
    of_site
        .map(|phase| Phase {
            sites: Vec::new(),
            ..phase
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn phase(note: &str, sites: &[&str]) -> Phase {
        Phase {
            from: "2026-03".parse().expect("a month"),
            note: note.to_owned(),
            measures: vec!["calls".to_owned()],
            sites: sites.iter().map(|&site| site.to_owned()).collect(),
        }
    }

    #[test]
    fn in_the_report_of_a_site_its_phases_concern_all_cases() {
        let phases = vec![
            phase("one cart", &["Alder"]),
            phase("a cart elsewhere", &["Birch"]),
            phase("a rota for all", &[]),
            phase("two carts", &["Birch", "Alder"]),
        ];
        let seen = phases_of_site(phases, "Alder");
        let notes: Vec<_> = seen.iter().map(|phase| phase.note.as_str()).collect();
        assert_eq!(notes, ["one cart", "a rota for all", "two carts"]);
        for site in [None, Some("Alder")] {
            assert!(seen.iter().all(|phase| phase.concerns("calls", site)));
            assert!(!seen.iter().any(|phase| phase.concerns("perforation", site)));
        }
    }
}
