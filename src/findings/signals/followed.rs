//! Which measures are followed month by month, and for which groups. The list stands here and is
//! the same for every run, so that nobody picks the charts that look interesting once the data
//! are known.

use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::ALL;
use crate::domain::counts::CountTables;
use crate::domain::counts::Key;
use crate::domain::counts::SITE;
use crate::domain::measure::Definition;
use crate::findings::headline::HEADLINES;
use std::collections::BTreeSet;

/// Measures that are followed over all cases only, beside those of the first page, which are
/// followed site by site too.
pub(super) const OVER_ALL_CASES: [&str; 15] = [
    "arrival_to_scope",
    "call_to_team",
    "call_to_cart",
    "device_success",
    "one_piece_removal",
    "overtube_used",
    "biopsy_at_food_impaction",
    "team_within_30",
    "cart_complete",
    "stock_outs",
    "device_malfunction",
    "preclean_done",
    "handover_within_60",
    "initial_hemostasis",
    "rebleed_7d",
];

/// A measure for one group.
pub(super) struct Followed<'a> {
    pub(super) definition: &'a Definition,
    pub(super) by: &'static str,
    pub(super) group: String,
}

impl Followed<'_> {
    /// The site; `None` for the whole service.
    pub(super) fn site(&self) -> Option<&str> {
        (self.by == SITE).then_some(self.group.as_str())
    }
}

/// What is followed, of the measures that were counted. A single site is the whole service.
pub(super) fn followed<'a>(
    counts: &CountTables,
    definitions: &'a [Definition],
) -> Vec<Followed<'a>> {
    let counted = |ids: &[&str]| -> Vec<&'a Definition> {
        ids.iter()
            .filter_map(|id| definitions.iter().find(|definition| definition.id == *id))
            .collect()
    };
    let of_first_page = counted(&HEADLINES);
    let whole = of_first_page
        .iter()
        .copied()
        .chain(counted(&OVER_ALL_CASES))
        .map(|definition| Followed {
            definition,
            by: ALL,
            group: ALL.to_owned(),
        });
    let sites = sites(counts);
    let sites = if sites.len() < 2 {
        BTreeSet::new()
    } else {
        sites
    };
    let by_site = sites.iter().flat_map(|site| {
        of_first_page.iter().map(|definition| Followed {
            definition,
            by: SITE,
            group: (*site).to_owned(),
        })
    });
    whole.chain(by_site).collect()
}

/// Every named site of the counts. Cases without a site stand in the charts of the whole service
/// alone: they are of no place, and one named site beside them is the only site there is.
fn sites(counts: &CountTables) -> BTreeSet<&str> {
    fn of_table<C>(table: &std::collections::BTreeMap<Key, C>) -> Vec<&str> {
        let of_sites = table.keys().filter(|key| key.by == SITE);
        let mut sites: Vec<&str> = of_sites
            .map(|key| key.group.as_str())
            .filter(|site| *site != NOT_RECORDED)
            .collect();
        // The months of a site follow each other, so few are left to sort.
        sites.dedup();
        sites
    }
    of_table(&counts.shares)
        .into_iter()
        .chain(of_table(&counts.minutes))
        .chain(of_table(&counts.events))
        .collect()
}
