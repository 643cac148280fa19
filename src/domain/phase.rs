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
