//! How many cases a person should read, rule by rule. Shows no case: the list lies in `internal/`.

use crate::domain::review_rules::{Listed, ReviewRule};
use crate::findings::cases_to_look_at::{ListedCount, RuleTally};
use crate::findings::review::Review;
use crate::report::content::{Block, Section, Table};
use crate::report::{format, words};

/// Where the list lies, from the directory of the report.
const LIST: &str = "internal/cases_to_review.csv";

/// The section; `None` when no rule could be asked.
pub(super) fn section(review: &Review) -> Option<Section> {
    if review.to_look_at.is_empty() {
        return None;
    }
    let where_listed = if review.is_from_counts {
        "This report was made from counts, so the list of their numbers is made where the records are"
            .to_owned()
    } else {
        format!(
            "Their numbers and times stand in {LIST} beside this report, which never leaves the hospital"
        )
    };
    let mut blocks = vec![
        Block::Text(format!(
            "Rules pick out those cases of {} that are worth reading together. {where_listed}. Here \
             stand counts alone.",
            format::month_name(review.month)
        )),
        Block::Table(table(review)),
    ];
    blocks.extend(
        review
            .to_look_at
            .iter()
            .filter_map(|tally| bridge(review, tally)),
    );
    blocks.extend([
        Block::Text(
            "A case that meets two rules stands in two rows of the list. Each rule uses the \
             definition of a measure of this report, so that the list and the counts are of the same \
             cases; the rules are a proposal of this project and no standard."
                .to_owned(),
        ),
        Block::Caution(
            "A case on the list is no proof of poor care, and a case that is not on it no proof of \
             good care. A rule sees recorded times and words; why a thing was done stands in the \
             notes, and who was there knows. Read the cases to learn what would have helped, not to \
             find who was at fault. Who reads the list, and what follows, is for local policy to say."
                .to_owned(),
        ),
    ]);
    Some(Section {
        id: "cases-to-look-at",
        heading: "Cases to look at".to_owned(),
        blocks,
    })
}

/// How the cases of a rule about what is not judged belong to the column "Not judged" of a rule with the
/// same measure; nothing for other rules, and where that rule judged every case.
fn bridge(review: &Review, tally: &RuleTally) -> Option<Block> {
    let is_of_not_judged = |rule: ReviewRule| matches!(rule.listed, Listed::NotJudged(_));
    if !is_of_not_judged(tally.rule) {
        return None;
    }
    let judging = review
        .to_look_at
        .iter()
        .find(|other| other.rule.measure == tally.rule.measure && !is_of_not_judged(other.rule))?;
    let not_judged = judging.month.not_judged;
    if not_judged == 0 {
        return None;
    }
    let others = if tally.month.listed < not_judged {
        "; the others have a window for which the guideline gives no time, or a time that is missing or \
         impossible"
    } else {
        ""
    };
    Some(Block::Text(format!(
        "Of the {} not judged under “{}”, {} stand under “{}”{others}.",
        format::counted(not_judged, "case", "cases"),
        judging.rule.words,
        format::whole(tally.month.listed),
        tally.rule.words,
    )))
}

fn table(review: &Review) -> Table {
    let month = format::month_name(review.month);
    let before = format!("On the list in {}", words::before_words(review));
    let mut table = Table::new(
        format!("Cases on the list, {month}, by rule"),
        &["Rule", "On the list", "Out of", "Not judged", &before],
    );
    for tally in &review.to_look_at {
        let asked = match tally.rule.listed {
            Listed::Hit | Listed::Missed => "judged case",
            Listed::NotJudged(_) => "case",
        };
        table.push(vec![
            tally.rule.words.into(),
            format::whole(tally.month.listed).into(),
            format::counted(tally.month.out_of, asked, &format!("{asked}s")).into(),
            format::whole(tally.month.not_judged).into(),
            in_words(tally.before).into(),
        ]);
    }
    table
}

fn in_words(count: ListedCount) -> String {
    if count.out_of == 0 {
        return format::NO_CASES.to_owned();
    }
    format!(
        "{} of {}",
        format::whole(count.listed),
        format::whole(count.out_of)
    )
}
