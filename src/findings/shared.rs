//! A review with nothing in it but what may leave the service.
//!
//! Everything is made a second time, from the published counts alone. What comes to the same as from
//! all counts is kept: it follows from what is published, so it tells nothing more, and it is true of
//! all cases. What does not is withheld. Which counts are published is not decided here.
//!
//! Quantiles are single waits. One is kept only where at least as many cases as the threshold took
//! as long or longer, and as many as long or shorter; the same holds for both of its limits. Curves
//! show every wait and are left out, and so is all that is known of single rows, months in order and
//! the quality of the records.

use super::case_mix::{CaseMix, Groups};
use super::comparisons::uses::Switches;
use super::comparisons::{CaseOrder, Comparisons};
use super::curves::Curves;
use super::estimate::{Settings, findings};
use super::finding::{Address, Finding, Findings, Statistic, Unit};
use super::flow::Flow;
use super::review::{Change, DataQuality, Headline, Review};
use super::signals::Signals;
use crate::disclosure::{Place, Protected, TableName, is_released, protect, released};
use crate::domain::counts::{ALL, CountTables, MinutesCount};
use std::collections::{BTreeMap, BTreeSet};
use std::num::NonZeroUsize;

pub use crate::disclosure::ShareRules;

/// What may be shared of a review.
#[derive(Clone, Debug, PartialEq)]
pub struct Shared {
    /// The review with everything else taken out.
    pub review: Review,
    /// The case mix; `None` where a group is so small that the groups cannot be told.
    pub mix: Option<CaseMix>,
    /// How much is left of each split, in the order of the splits.
    pub splits: Vec<SplitShown>,
    /// Numbers of comparisons that are left.
    pub comparisons_told: u64,
    /// Numbers of comparisons that are withheld.
    pub comparisons_withheld: u64,
}

/// How many findings of one split are told.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SplitShown {
    /// Names of the dimensions joined with `+`, or `all`.
    pub by: String,
    /// Whether each month is counted apart.
    pub is_monthly: bool,
    /// Findings with their numbers.
    pub told: u64,
    /// Findings without.
    pub suppressed: u64,
    /// Measures of which this split is withheld as a whole.
    pub measures_withheld: u64,
}

/// What may be shared of `review`, with the case mix by `by`.
pub fn shared(
    review: Review,
    rules: ShareRules,
    by: Groups,
    settings: Settings,
    threads: NonZeroUsize,
) -> Shared {
    let Told {
        findings,
        published,
        splits,
    } = told(
        &review.counts,
        &review.findings,
        rules,
        by,
        settings,
        threads,
    );
    let comparisons = common(
        &review.comparisons,
        Comparisons::new(
            &published,
            &review.definitions,
            &CaseOrder::NotKept,
            settings,
        ),
    );
    let numbers = |of: &Comparisons| of.rows(review.level).len() as u64;
    let comparisons_told = numbers(&comparisons);
    let comparisons_withheld = numbers(&review.comparisons).saturating_sub(comparisons_told);
    let all = CaseMix::of(&review, by);
    let of_published = CaseMix::new(&published, &findings, &review.definitions, by);
    let mix = mix(&all, of_published, &findings);
    Shared {
        review: stripped(review, rules, findings, comparisons, published),
        mix,
        splits,
        comparisons_told,
        comparisons_withheld,
    }
}

/// What is told of findings, and the counts from which it follows.
struct Told {
    findings: Findings,
    published: CountTables,
    splits: Vec<SplitShown>,
}

/// What is told of the findings `all` of `counts`.
fn told(
    counts: &CountTables,
    all: &Findings,
    rules: ShareRules,
    by: Groups,
    settings: Settings,
    threads: NonZeroUsize,
) -> Told {
    let counts = released(counts, by.code());
    let protected = protect(&counts, rules);
    let published = protected.published(&counts);
    let minutes = published.minutes.iter();
    let minutes = minutes.map(|(key, count)| (Place::from(key), count));
    let open = Open {
        findings: findings(&published, settings, threads),
        minutes: minutes.collect(),
        threshold: rules.threshold,
    };
    let (findings, splits) = mark(all, &open, &protected, by);
    Told {
        findings,
        published,
        splits,
    }
}

/// What follows from the published counts.
struct Open<'a> {
    findings: Findings,
    minutes: BTreeMap<Place, &'a MinutesCount>,
    threshold: u64,
}

impl Open<'_> {
    /// Whether a finding follows from the published counts and is no single wait.
    fn tells(&self, finding: &Finding) -> bool {
        let address = Address {
            measure: &finding.measure,
            by: &finding.by,
            group: &finding.group,
            month: finding.month,
            statistic: finding.statistic,
        };
        self.findings.at(address) == Some(finding)
            && (finding.unit != Unit::Minutes || self.has_many_beyond(finding))
    }

    /// Whether estimate and limits have enough cases on either side.
    fn has_many_beyond(&self, finding: &Finding) -> bool {
        let Some(count) = self.minutes.get(&place_of(finding)) else {
            return false;
        };
        let numbers = [finding.estimate, finding.low, finding.high];
        numbers.into_iter().flatten().all(|number| {
            let cases = |is_beyond: &dyn Fn(f64) -> bool| -> u64 {
                let lengths = count.cases.iter();
                let beyond = lengths.filter(|((minutes, _), _)| is_beyond(*minutes as f64));
                beyond.map(|(_, cases)| cases).sum()
            };
            cases(&|minutes| minutes <= number) >= self.threshold
                && cases(&|minutes| minutes >= number) >= self.threshold
        })
    }
}

/// The row of counts behind a finding.
fn place_of(finding: &Finding) -> Place {
    Place {
        measure: finding.measure.clone(),
        by: finding.by.clone(),
        group: finding.group.clone(),
        month: finding.month,
    }
}

/// The findings of the tables that are released and not withheld, with those marked that are not told.
fn mark(
    all: &Findings,
    open: &Open<'_>,
    protected: &Protected,
    by: Groups,
) -> (Findings, Vec<SplitShown>) {
    let mut splits = BTreeMap::<(String, bool), SplitShown>::new();
    let mut measures_withheld = BTreeMap::<(String, bool), BTreeSet<&str>>::new();
    let mut marked = Vec::new();
    for finding in all.iter() {
        let place = place_of(finding);
        let table = TableName::from(&place);
        if !is_released(&table, by.code()) {
            continue;
        }
        let split = (table.by, table.is_monthly);
        let shown = splits.entry(split.clone()).or_insert_with(|| SplitShown {
            by: split.0.clone(),
            is_monthly: split.1,
            ..SplitShown::default()
        });
        if protected.withholds(&place) {
            let of_split = measures_withheld.entry(split).or_default();
            of_split.insert(&finding.measure);
            continue;
        }
        let suppressed = finding.suppressed || !open.tells(finding);
        *(if suppressed {
            &mut shown.suppressed
        } else {
            &mut shown.told
        }) += 1;
        marked.push(if suppressed {
            withheld(finding)
        } else {
            finding.clone()
        });
    }
    for (split, measures) in measures_withheld {
        if let Some(shown) = splits.get_mut(&split) {
            shown.measures_withheld = measures.len() as u64;
        }
    }
    (Findings::new(marked), splits.into_values().collect())
}

/// A finding without its numbers, so that none can leave by an output that does not look at the mark.
fn withheld(finding: &Finding) -> Finding {
    Finding {
        estimate: None,
        low: None,
        high: None,
        events: 0,
        cases: 0,
        attempts: finding.attempts.map(|_| 0),
        excluded: 0,
        censored: 0,
        suppressed: true,
        ..finding.clone()
    }
}

/// The comparisons that come to the same from both.
fn common(all: &Comparisons, published: Comparisons) -> Comparisons {
    Comparisons {
        drawn: in_both(&all.drawn, published.drawn),
        devices: published
            .devices
            .filter(|of| all.devices.as_ref() == Some(of)),
        first_uses: in_both(&all.first_uses, published.first_uses),
        switches: if published.switches == all.switches {
            published.switches
        } else {
            Switches::default()
        },
        protection: in_both(&all.protection, published.protection),
        over_time: None,
    }
}

fn in_both<T: PartialEq>(all: &[T], mut published: Vec<T>) -> Vec<T> {
    published.retain(|one| all.contains(one));
    published
}

/// The case mix as far as it comes to the same; `None` where the groups themselves do not.
fn mix(all: &CaseMix, published: CaseMix, marked: &Findings) -> Option<CaseMix> {
    if all.groups != published.groups {
        return None;
    }
    let variables = in_both(&all.variables, published.variables);
    let quartiles = [Statistic::P25, Statistic::Median, Statistic::P75];
    let is_told = |measure: &str| {
        let mut by_group = [ALL, all.by.code()].into_iter().flat_map(|by| {
            quartiles
                .into_iter()
                .flat_map(move |which| marked.by_group(measure, by, which))
        });
        by_group.all(|finding| !finding.suppressed)
    };
    let mut times = in_both(&all.times, published.times);
    times.retain(|time| is_told(&time.measure));
    let of_variables = all.variables.iter().filter(|of| !variables.contains(of));
    let of_times = all.times.iter().filter(|of| !times.contains(of));
    let withheld = of_variables
        .map(|of| of.name.to_owned())
        .chain(of_times.map(|of| of.measure.clone()));
    Some(CaseMix {
        by: all.by,
        groups: published.groups,
        withheld: withheld.collect(),
        variables,
        times,
        not_counted: all.not_counted.clone(),
    })
}

/// The review with these numbers and no others.
fn stripped(
    review: Review,
    rules: ShareRules,
    findings: Findings,
    comparisons: Comparisons,
    counts: CountTables,
) -> Review {
    // Which measures lead is no number.
    let headlines = review.headlines.into_iter().map(|headline| Headline {
        measure: headline.measure,
        month: None,
        before: None,
        change: Change::NotCompared,
    });
    Review {
        findings,
        headlines: headlines.collect(),
        before: Findings::default(),
        missing: Findings::default(),
        to_look_at: Vec::new(),
        comparisons,
        curves: Curves::default(),
        funnels: Vec::new(),
        calls_by_hour: None,
        signals: Signals::default(),
        counts,
        flow: Flow::default(),
        quality: DataQuality::default(),
        // Who has an export could tell by its hash that it is the one behind the tables.
        inputs: Vec::new(),
        shared: Some(rules),
        ..review
    }
}

#[cfg(test)]
mod tests;
