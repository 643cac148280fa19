//! Numbers whose coding deserves a look, in words: beside the chart of the measure, on the first
//! page, and all together under data quality.

use super::quality::of_site;
use crate::findings::coding_checks::{CodingDoubt, Limit, coding_doubts};
use crate::findings::review::Review;
use crate::report::content::{Block, Section};
use crate::report::{format, groups, series, words};

/// What stands on the first page beside a measure with a doubt.
pub(super) const SHORT: &str = "check coding, see Data quality";

/// Puts the doubts about a measure behind its chart by month.
pub(super) fn add_cautions(review: &Review, sections: &mut [Section]) {
    let doubts = coding_doubts(&review.findings, review.month);
    if doubts.is_empty() {
        return;
    }
    for section in sections {
        let blocks = std::mem::take(&mut section.blocks);
        for block in blocks {
            let about = match &block {
                Block::Figure(figure) => figure.stem.strip_suffix("_by_month").map(str::to_owned),
                _ => None,
            };
            section.blocks.push(block);
            let of_measure = doubts
                .iter()
                .filter(|doubt| Some(doubt.check.measure) == about.as_deref());
            let cautions = of_measure.map(|doubt| Block::Caution(sentence(review, doubt)));
            section.blocks.extend(cautions);
        }
    }
}

/// The measures of which a number over all cases is doubted.
pub(super) fn doubted(review: &Review) -> Vec<&'static str> {
    coding_doubts(&review.findings, review.month)
        .into_iter()
        .filter(CodingDoubt::is_overall)
        .map(|doubt| doubt.check.measure)
        .collect()
}

/// All doubts of the review, for the section on data quality.
pub(super) fn blocks(review: &Review) -> Vec<Block> {
    let doubts = coding_doubts(&review.findings, review.month);
    if doubts.is_empty() {
        return Vec::new();
    }
    let intro = "These numbers lie so far from what is published that their coding deserves a look. \
                 They may be right all the same: nothing was changed and nothing left out. The limits \
                 are a proposal of this project and no standard (sql/coding_checks.csv).";
    vec![
        Block::Heading(format!("Check coding{}", of_site(review))),
        Block::Text(intro.to_owned()),
        Block::List(doubts.iter().map(|it| sentence(review, it)).collect()),
    ]
}

fn sentence(review: &Review, doubt: &CodingDoubt<'_>) -> String {
    let finding = doubt.finding;
    let title = review
        .definition(doubt.check.measure)
        .map_or(doubt.check.measure, |definition| definition.title.as_str());
    let place = if doubt.is_overall() {
        String::new()
    } else {
        format!(", {}", groups::group_label(&finding.by, &finding.group))
    };
    let when = match finding.month {
        Some(month) => format::month_name(month),
        None => series::whole_period(review),
    };
    let percent = |share: f64| format!("{}%", share * 100.0);
    let limit = match doubt.check.limit {
        Limit::AtLeast(least) => format!("below {}", percent(least)),
        Limit::AtMost(most) => format!("above {}", percent(most)),
        Limit::Not(value) => format!("exactly {}", percent(value)),
    };
    format!(
        "Check coding: {title}{place}, {when}, is {limit}: {}. Published: {}. {}.",
        words::finding_words(finding),
        doubt.check.published,
        doubt.check.words
    )
}
