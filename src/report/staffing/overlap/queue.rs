//! The measured load, what a queue makes of it, and how observed calls compare with that.

use super::{hours_name, with_calls};
use crate::findings::finding::Unit;
use crate::findings::staffing::overlap::{
    Agreement, BLOCK_HOURS, ByHour, HoursOverlap, Model, Overlap,
};
use crate::report::content::{Block, Cell, Table};
use crate::report::format;
use crate::report::staffing::share_words::{WHO_DECIDES, percent, rows, site_name};

pub(super) fn blocks(overlap: &Overlap) -> [Block; 5] {
    [
        Block::Heading("Beside a queue with the same load".to_owned()),
        Block::Text(MODEL.to_owned()),
        Block::Table(model_table(overlap)),
        Block::List(overlap.all.hours.iter().filter_map(compared).collect()),
        Block::Caution(format!("{ASSUMPTIONS} {WHO_DECIDES}")),
    ]
}

const MODEL: &str = "The offered load is calls per hour times mean hours bound: the mean number of teams that \
    would be bound if there were always one more. From it follow, for calls at random and a steady \
    rate: the chance that another call comes while a team is bound, 1 − exp(−load); Erlang B, the share \
    of calls that find every team bound where such a call goes elsewhere; and Erlang C, the share that \
    wait where all wait. Emergencies wait, so Erlang B is a floor. Calls at random see the teams as the \
    clock does, so their shares and those of the time would be the same. Staffed hours and the others \
    stand apart, since an average over the week hides the busy hours.";

fn model_table(overlap: &Overlap) -> Table {
    let mut table = Table::new(
        "Measured load, and what a queue makes of it; all sites are averaged over their calls",
        &[
            "Site",
            "Hours",
            "Calls per hour",
            "Mean minutes bound",
            "Load",
            "Another call",
            "Erlang B, one team",
            "Erlang B, two",
            "Erlang C, one team",
            "Erlang C, two",
        ],
    );
    for of in rows(&overlap.sites, &overlap.all) {
        for hours in with_calls(&of.hours) {
            let mut row = vec![
                Cell::from(site_name(of.site.as_deref())),
                hours_name(hours.shift).into(),
            ];
            row.extend(hours.model.iter().flat_map(model_cells));
            table.push(row);
        }
    }
    table
}

fn model_cells(model: &Model) -> [Cell; 8] {
    let [one, two] = model.loss.map(percent);
    let [waits_one, waits_two] = model.waits.map(percent);
    [
        format!("{:.3}", model.calls_per_hour).into(),
        format::with_unit(Unit::Minutes, 0, model.mean_minutes.round()).into(),
        format!("{:.3}", model.load).into(),
        percent(model.bound_from(1)).into(),
        one.into(),
        two.into(),
        waits_one.into(),
        waits_two.into(),
    ]
}

/// How observed calls and the model compare, and why they may differ; `None` without a model.
fn compared(of: &HoursOverlap) -> Option<String> {
    let (model, agreement) = of.model.zip(of.agreement)?;
    let by_hour = of.by_hour.map_or_else(String::new, by_hour_words);
    let verdict = match agreement {
        Agreement::Within => {
            "the share of the model lies within the interval of the observed one; no difference shows"
        }
        Agreement::More => {
            "more calls met than calls at random would: calls come in clusters, or more in some of \
             these hours than in others, or cases last longer when calls are many"
        }
        Agreement::Fewer if of.unknown > 0 => {
            "fewer calls met than calls at random would; calls of unknown length, which bind nobody \
             here, may be all of it"
        }
        Agreement::Fewer => {
            "fewer calls met than calls at random would: calls may be held back or recorded when a team \
             is free, or a second patient may be called under the first call"
        }
    };
    let calls = of.while_one.counted;
    let observed = of.while_one.estimate()?;
    Some(format!(
        "{}: {} of {} found a team bound ({}), the model says {}; bound for {} of the time. {}.{by_hour}",
        hours_name(of.shift),
        format::whole(calls.events),
        format::counted(calls.cases, "call", "calls"),
        percent(observed),
        percent(model.bound_from(1)),
        percent(of.time_share_from(1).unwrap_or(0.0)),
        format::capitalized(verdict)
    ))
}

/// What a rate that changes with the hour explains.
fn by_hour_words(by_hour: ByHour) -> String {
    let verdict = match by_hour.agreement {
        Agreement::Within => "which lies within the interval of the observed share",
        Agreement::More => "and still more met: it is not the hour alone, calls come in clusters",
        Agreement::Fewer => "and fewer met",
    };
    format!(
        " With a rate of its own for each block of {BLOCK_HOURS} hours the model says {}, {verdict}.",
        percent(by_hour.while_one)
    )
}

const ASSUMPTIONS: &str = "The model assumes calls at random at a steady rate, calls of unknown length that last \
    as long as the others on average, a team for every call at once, and for Erlang C times that vary \
    like exponential ones. It is a yardstick and no forecast.";
