//! How long it took.

use super::{NAMED, by_group, by_month, by_site, section_of};
use crate::domain::counts::SITE;
use crate::domain::measure::MeasureKind;
use crate::domain::month::Month;
use crate::findings::finding::{Address, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{format, groups, series, words};

pub(super) const CALL_TO_SCOPE: &str = "call_to_scope";

/// The section; `None` when no measure of minutes was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    let mut section = section_of(
        "time",
        "How long it took",
        vec![Block::Text(
            "Times are whole minutes as recorded, by several people and several clocks. Half of the \
             cases took no longer than the median; the middle half lies between the quartiles."
                .to_owned(),
        )],
        [
            by_month(review, CALL_TO_SCOPE),
            by_group(review, CALL_TO_SCOPE, "shift"),
            by_group(review, CALL_TO_SCOPE, "urgency"),
            by_group(review, CALL_TO_SCOPE, "presentation"),
            by_site(review, CALL_TO_SCOPE),
            by_site_and_month(review),
            table(review, Some(review.month)),
            has_other_months(review).then(|| table(review, None)).flatten(),
        ],
    )?;
    for definition in &review.definitions {
        let is_shown_elsewhere =
            definition.id == CALL_TO_SCOPE || NAMED.contains(&definition.id.as_str());
        if definition.kind == MeasureKind::Minutes && !is_shown_elsewhere {
            section
                .blocks
                .push(Block::Heading(definition.title.clone()));
            section.blocks.extend(by_month(review, &definition.id));
            section
                .blocks
                .extend(by_group(review, &definition.id, "shift"));
            section.blocks.extend(by_site(review, &definition.id));
        }
    }
    Some(section)
}

fn has_other_months(review: &Review) -> bool {
    review.first_month != review.month || review.last_month != review.month
}

/// More sites than that make a table too wide to read.
const MOST_SITES: usize = 8;

/// Call to scope, each site in each month; `None` with one site or too many for a table.
fn by_site_and_month(review: &Review) -> Option<Block> {
    let definition = review.definition(CALL_TO_SCOPE)?;
    let sites = groups::sites(review);
    if !(2..=MOST_SITES).contains(&sites.len()) {
        return None;
    }
    let caption = format!(
        "{}: median of each site in each month, sites in the order of their names ({} interval, {})",
        definition.title,
        format::level(review.level),
        "Kaplan-Meier where cases were cancelled or transferred, else order statistics"
    );
    let columns: Vec<&str> = ["Month"].into_iter().chain(sites.iter().copied()).collect();
    let mut table = Table::new(caption, &columns);
    for month in groups::months_shown(review) {
        let cell = |site: &&str| {
            series::value_cell(review.findings.at(Address {
                measure: CALL_TO_SCOPE,
                by: SITE,
                group: site,
                month: Some(month),
                statistic: Statistic::Median,
            }))
        };
        let label = Cell::from(format::month_name(month));
        table.push([label].into_iter().chain(sites.iter().map(cell)).collect());
    }
    if review.first_month != review.last_month {
        let all = |site: &&str| {
            series::value_cell(review.findings.at(Address {
                measure: CALL_TO_SCOPE,
                by: SITE,
                group: site,
                month: None,
                statistic: Statistic::Median,
            }))
        };
        let label = Cell::from("All months");
        table.push([label].into_iter().chain(sites.iter().map(all)).collect());
    }
    Some(Block::Table(table))
}

/// All measures of minutes over one month or the whole period.
fn table(review: &Review, month: Option<Month>) -> Option<Block> {
    let when = month.map_or_else(|| series::whole_period(review), format::month_name);
    let interval = format!("{} interval", format::level(review.level));
    let mut table = Table::new(
        format!("Every measured time, {when}"),
        &[
            "From when to when",
            "Cases",
            "Median",
            "Lower quartile",
            "Upper quartile",
            "Nine of ten within",
            "Not followed to the end",
            "Not judged",
            "Method",
        ],
    );
    for column in &mut table.columns[2..6] {
        column.push_str(" (");
        column.push_str(&interval);
        column.push(')');
    }
    for definition in &review.definitions {
        if definition.kind != MeasureKind::Minutes {
            continue;
        }
        let at = |statistic| review.findings.overall(&definition.id, month, statistic);
        let label = Cell::from(definition.title.as_str());
        table.push(match at(Statistic::Median) {
            None => vec![label, format::NO_CASES.into()],
            Some(median) if format::is_empty(median) => {
                vec![label, format::why_empty(median).into()]
            }
            Some(median) => vec![
                label,
                format::unless_withheld(median, median.cases).into(),
                series::quantile_cell(Some(median)),
                series::quantile_cell(at(Statistic::P25)),
                series::quantile_cell(at(Statistic::P75)),
                series::quantile_cell(at(Statistic::P90)),
                format::unless_withheld(median, median.censored).into(),
                format::unless_withheld(median, median.excluded).into(),
                words::method_name(median.method).into(),
            ],
        });
    }
    (!table.rows.is_empty()).then_some(Block::Table(table))
}
