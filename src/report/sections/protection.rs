//! Harm with and without an overtube or any protective aid.

use crate::domain::fields::dimension_label;
use crate::findings::comparisons::protection::{Among, ProtectionHarm};
use crate::findings::comparisons::{Counted, Interval};
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{comparison_words, format, series};

/// The section; `None` when harm was not counted by an aid.
pub(super) fn section(review: &Review) -> Option<Section> {
    if review.comparisons.protection.is_empty() {
        return None;
    }
    let level = format::level(review.level);
    let methods = comparison_words::method_names(
        review.comparisons.protection.iter().map(|harm| harm.method),
    );
    let shares = |side: &str| format!("{side} ({level} interval, {methods})");
    let mut table = Table::new(
        format!(
            "Harm with and without a protective aid, {}",
            series::whole_period(review)
        ),
        &[
            "Harm",
            "Aid",
            "Cases",
            &shares("With"),
            &shares("Without"),
            &format!("With minus without ({level} interval of the difference, Newcombe)"),
        ],
    );
    for harm in &review.comparisons.protection {
        table.push(row(review, harm));
    }
    Some(Section {
        id: "protection",
        heading: "Harm with and without an overtube".to_owned(),
        blocks: vec![
            Block::Caution(
                "Overtubes and other aids go to the harder cases: sharp objects, repeated passes, \
                 an airway at risk. More harm with one may come from the case, and less harm too. \
                 This is no comparison of care with and without."
                    .to_owned(),
            ),
            Block::Text(
                "Cases with an object to take out, in which harm and the use of the aid were both \
                 recorded; a protective aid is an overtube, a hood or a cap."
                    .to_owned(),
            ),
            Block::Table(table),
        ],
    })
}

fn row(review: &Review, harm: &ProtectionHarm) -> Vec<Cell> {
    let title = review.title(&harm.measure);
    let among = match harm.among {
        Among::All => "all",
        Among::Sharp => "sharp object",
        Among::NotSharp => "object not sharp",
    };
    vec![
        title.into(),
        aid_label(harm.aid).into(),
        among.into(),
        side(harm.with),
        side(harm.without),
        comparison_words::difference_cell(harm.difference, harm.with.0, harm.without.0),
    ]
}

/// The words for an aid, also where no record has such a column.
fn aid_label(aid: &str) -> &str {
    match aid {
        "protective_aid" => "any protective aid",
        aid => dimension_label(aid),
    }
}

fn side((counted, interval): (Counted, Option<Interval>)) -> Cell {
    let [counts, share, interval] = comparison_words::share_cells(counted, interval);
    if share.text == format::NOTHING {
        return counts;
    }
    Cell {
        text: share.text,
        details: vec![format!("{}; {}", counts.text, interval.text)],
    }
}
