//! After-hours cases whose window reached past the start of the day: a neutral count.

use crate::findings::staffing::load::Load;
use crate::report::content::{Block, Table};
use crate::report::format;
use crate::report::staffing::share_words::{cells, rows, site_name};

pub(super) fn blocks(load: &Load) -> Vec<Block> {
    let mut table = Table::new(
        "Cases scoped after hours whose window ended after the next staffed hours had begun",
        &[
            "Site",
            "Window reached past the start of the day",
            &format!("{} interval (Wilson)", format::level(load.level)),
            "No known end of a window",
            "Scoped in staffed hours",
            "No scope recorded",
        ],
    );
    for of in rows(&load.sites, &load.all) {
        let found = of.past_morning;
        let [counts, interval] = cells(found.reached);
        table.push(vec![
            site_name(of.site.as_deref()).into(),
            counts,
            interval,
            format::whole(found.without_window).into(),
            format::whole(found.scoped_in_hours).into(),
            format::whole(found.not_scoped + found.not_known).into(),
        ]);
    }
    vec![
        Block::Heading("Windows that reached past the start of the day".to_owned()),
        Block::Caution(
            "This is a neutral count and not a list of cases that should have waited. A window is an \
             upper limit, not a target; when to scope is a clinical decision, of which the records \
             hold nothing."
                .to_owned(),
        ),
        Block::Text(
            "Of calls after hours in which the scope went in before the next staffed hours began, and \
             whose window has an end, those whose last minute lies after that beginning. The windows \
             and the moment from which they count stand with the windows of the review. Cases of which \
             the window has no known end are counted apart: those that no window fits, those for which \
             the guideline gives no time, and those whose window counts from a moment that nobody \
             recorded, such as the arrival of a patient who was on a ward already. So are those scoped \
             when staffed hours had begun, and those without a recorded scope."
                .to_owned(),
        ),
        Block::Table(table),
    ]
}
