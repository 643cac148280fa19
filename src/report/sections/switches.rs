//! What came after a first device that failed.

use crate::domain::fields::value_label;
use crate::findings::review::Review;
use crate::report::content::{Block, Section, Table};
use crate::report::{comparison_words, format, series};

pub(super) const DEVICE_SWITCH: &str = "device_switch";

/// The section; `None` when switches were not counted or there was none.
pub(super) fn section(review: &Review) -> Option<Section> {
    review.definition(DEVICE_SWITCH)?;
    let switches = &review.comparisons.switches;
    if switches.pairs.is_empty() {
        return None;
    }
    let methods = comparison_words::method_names(switches.pairs.iter().map(|pair| pair.method));
    let mut table = Table::new(
        format!(
            "First device that failed, and the next, {}",
            series::whole_period(review)
        ),
        &[
            "First device",
            "Next device",
            "Of all that followed the first",
            "Next device got it out",
            "Share",
            &format!("{} interval ({methods})", format::level(review.level)),
        ],
    );
    for pair in &switches.pairs {
        let [counts, share, interval] = comparison_words::share_cells(pair.out, pair.interval);
        table.push(vec![
            value_label("device", &pair.first).into(),
            value_label("device", &pair.next).into(),
            format::part(pair.out.cases, pair.after_first).into(),
            counts,
            share,
            interval,
        ]);
    }
    let mut blocks = vec![
        Block::Caution(
            "The next device gets the cases in which the first one failed, so its share says \
             nothing about the device alone. Pairs stand in the order of a list, which is no \
             ranking."
                .to_owned(),
        ),
        Block::Table(table),
    ];
    if switches.not_judged > 0 {
        blocks.push(Block::Text(format!(
            "{} with more than one device could not be judged: order, devices or end are not fully \
             recorded.",
            format::counted(switches.not_judged, "case", "cases")
        )));
    }
    Some(Section {
        id: "switches",
        heading: "After a first device that failed".to_owned(),
        blocks,
    })
}
