//! Where the time from call to scope in went, part by part.

use super::{by_group, by_month, by_site, section_of};
use crate::domain::counts::ALL;
use crate::domain::fields::{CaseField, Field};
use crate::findings::finding::{Address, Finding, Statistic, Unit};
use crate::findings::review::Review;
use crate::findings::time_parts::PARTS;
use crate::report::chart::{Chart, Plot, Stack};
use crate::report::content::{Block, Cell, Figure, Section, Table};
use crate::report::{format, groups, series, words};

pub(super) const TEAM_WITHIN_30: &str = "team_within_30";

/// The section; `None` when neither the parts nor the team were counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    let has_parts = PARTS.iter().all(|part| review.definition(part).is_some());
    let before = if has_parts {
        vec![
            Block::Text(HOW.to_owned()),
            Block::Caution(CAUTION.to_owned()),
        ]
    } else {
        Vec::new()
    };
    section_of(
        "parts",
        "Where the time went",
        before,
        [
            has_parts.then(|| parts(review)),
            has_parts.then(|| figure(review)).flatten(),
            review
                .definition(TEAM_WITHIN_30)
                .map(|definition| Block::Heading(definition.title.clone())),
            by_month(review, TEAM_WITHIN_30),
            by_group(review, TEAM_WITHIN_30, "shift"),
            by_site(review, TEAM_WITHIN_30),
        ],
    )
}

const HOW: &str = "Team, cart and airway come in any order, and the scope goes in last. Part 1 ends \
    when the team is complete, part 2 when the cart is there as well, part 3 when the airway is ready \
    as well, part 4 when the scope goes in. A part is 0 where its moment had come before, so the four \
    parts of a case add up to its time from call to scope in. Judged are the cases with all five times \
    in which none of the three comes after scope in; the same cases in every part. A share of time is \
    the minutes of one part in all cases by those of all parts, so long cases weigh more.";

const CAUTION: &str = "A wait for two things at once counts for the earlier part, so a part does not \
    say how much sooner the scope would go in if its cause were gone. Shares of time have no interval: \
    it would need the parts of each single case side by side, and the counts hold each part by itself.";

/// Share and median of each part, in the month in view and over the whole period.
fn parts(review: &Review) -> Block {
    let mut periods = vec![(series::whole_period(review), None)];
    if review.first_month != review.month || review.last_month != review.month {
        periods.insert(0, (format::month_name(review.month), Some(review.month)));
    }
    let mut table = Table::new("The way from call to scope in", &["Part"]);
    for (name, _) in &periods {
        table.columns.push(format!("{name}: share of the time"));
        table.columns.push(format!(
            "{name}: median ({} interval)",
            format::level(review.level)
        ));
    }
    table.columns.push("Method of the median".to_owned());
    for part in PARTS {
        let Some(definition) = review.definition(part) else {
            continue;
        };
        let mut row = vec![Cell::from(definition.title.as_str())];
        for (_, month) in &periods {
            let at = |statistic| review.findings.overall(part, *month, statistic);
            row.push(share_cell(at(Statistic::TimeShare)));
            row.push(series::value_cell(at(Statistic::Median)));
        }
        let median = review.findings.overall(part, None, Statistic::Median);
        row.push(words::method_names(median.into_iter()).into());
        table.push(row);
    }
    Block::Table(table)
}

/// The share, and below it how many cases were judged and how many were not.
fn share_cell(finding: Option<&Finding>) -> Cell {
    match finding {
        None => format::NO_CASES.into(),
        Some(finding) if format::is_empty(finding) => format::why_empty(finding).into(),
        Some(finding) => Cell {
            text: share_words(finding),
            details: vec![
                cases(finding),
                format!(
                    "{} not judged",
                    format::unless_withheld(finding, finding.excluded)
                ),
            ],
        },
    }
}

fn share_words(finding: &Finding) -> String {
    match (finding.estimate, format::shown_estimate(finding)) {
        // Nobody waited: there is no time to share out.
        (None, _) if !finding.suppressed => format::NOTHING.to_owned(),
        _ => format::estimate(finding),
    }
}

fn cases(finding: &Finding) -> String {
    if finding.suppressed {
        format::WITHHELD.to_owned()
    } else {
        format::counted(finding.cases, "case", "cases")
    }
}

/// One bar of the chart: where its findings are.
struct Shown {
    label: String,
    by: &'static str,
    group: String,
}

impl Shown {
    fn at<'a>(&self, review: &'a Review, part: &str, statistic: Statistic) -> Option<&'a Finding> {
        review.findings.at(Address {
            measure: part,
            by: self.by,
            group: &self.group,
            month: None,
            statistic,
        })
    }
}

/// The whole period, then each shift and each site.
fn groups_shown(review: &Review) -> Vec<Shown> {
    let mut shown = vec![Shown {
        label: "all".to_owned(),
        by: ALL,
        group: ALL.to_owned(),
    }];
    let has_sites = groups::sites(review).len() > 1;
    for field in [CaseField::Shift, CaseField::Site] {
        if field == CaseField::Site && !has_sites {
            continue;
        }
        let by = field.column();
        let found = groups::in_list_order(review, PARTS[0], by, Statistic::TimeShare);
        shown.extend(found.into_iter().map(|finding| Shown {
            label: groups::group_label(by, &finding.group),
            by,
            group: finding.group.clone(),
        }));
    }
    shown
}

/// The chart of all groups with its table; `None` when no group has a share to show.
fn figure(review: &Review) -> Option<Block> {
    let shown = groups_shown(review);
    let bars: Vec<Stack> = shown
        .iter()
        .filter_map(|group| bar(review, group))
        .collect();
    if bars.iter().all(|bar| bar.shares.is_empty()) {
        return None;
    }
    let titles = PARTS.iter().filter_map(|part| review.definition(part));
    let titles: Vec<_> = titles.map(|definition| definition.title.clone()).collect();
    let first = bars.first().map_or_else(String::new, |bar| {
        let shares: Vec<_> = bar.shares.iter().map(|(_, words)| words.as_str()).collect();
        format!("{}: {}", bar.label, shares.join(", "))
    });
    let when = series::whole_period(review);
    Some(Block::Figure(Box::new(Figure {
        stem: "parts_of_call_to_scope".to_owned(),
        chart: Chart {
            title: "From call to scope in: where did the time go?".to_owned(),
            axis_label: "percent of the minutes from call to scope in".to_owned(),
            unit: Some(Unit::Fraction),
            plot: Plot::Stacks {
                parts: titles.iter().map(|title| without_number(title)).collect(),
                bars,
            },
        },
        caption: format!(
            "{when}. Each bar is all the time from call to scope in of its cases, cut into the four \
             parts in their order. A part too narrow for its percent stands without one; the table holds \
             them all. Groups stand in a fixed order, which is no ranking. No interval: see above."
        ),
        alternative: format!(
            "Shares of the time from call to scope in, {when}, in the order of the parts. {first}. \
             The table below holds every group."
        ),
        table: table(review, &shown, &titles),
    })))
}

/// `None` when nothing was counted in the group.
fn bar(review: &Review, group: &Shown) -> Option<Stack> {
    let first = group.at(review, PARTS[0], Statistic::TimeShare)?;
    let found = PARTS
        .iter()
        .filter_map(|part| group.at(review, part, Statistic::TimeShare));
    let shares: Option<Vec<_>> = found
        .map(|finding| Some((format::shown_estimate(finding)?, share_words(finding))))
        .collect();
    Some(Stack {
        label: group.label.clone(),
        shares: shares.unwrap_or_default(),
        text: if format::is_empty(first) {
            format::why_empty(first)
        } else {
            cases(first)
        },
    })
}

/// `Part 2: team there, cart awaited` without its number, which stands beside it.
fn without_number(title: &str) -> String {
    let rest = title.split_once(": ").map_or(title, |(_, rest)| rest);
    rest.to_owned()
}

fn table(review: &Review, shown: &[Shown], titles: &[String]) -> Table {
    let mut table = Table::new(
        format!(
            "Shares of the time from call to scope in and medians, {} ({} interval of the medians)",
            series::whole_period(review),
            format::level(review.level)
        ),
        &["Group", "Cases", "Not judged"],
    );
    table.columns.extend(titles.iter().cloned());
    for group in shown {
        let Some(first) = group.at(review, PARTS[0], Statistic::TimeShare) else {
            continue;
        };
        let mut row = vec![
            Cell::from(group.label.as_str()),
            format::unless_withheld(first, first.cases).into(),
            format::unless_withheld(first, first.excluded).into(),
        ];
        for part in PARTS {
            let share = group.at(review, part, Statistic::TimeShare);
            let median = group.at(review, part, Statistic::Median);
            row.push(Cell {
                text: share.map_or_else(|| format::NO_CASES.to_owned(), share_words),
                details: median.into_iter().map(median_words).collect(),
            });
        }
        table.push(row);
    }
    table
}

fn median_words(median: &Finding) -> String {
    format!(
        "median {} ({})",
        format::estimate(median),
        format::interval(median)
    )
}
