//! The measured load, what a queue makes of it, and how observed calls compare with that.

use super::{hours_name, with_calls};
use crate::findings::finding::Unit;
use crate::findings::staffing::overlap::{Agreement, BLOCK_HOURS, HoursOverlap, Model, Overlap};
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
        for hours in with_calls(&of.hours).filter(|hours| hours.is_told) {
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

/// How observed calls and the model compare, and why they may differ; `None` without a model. Where
/// there is a rate by hour, which is nearer to how calls come, the verdict is by it.
fn compared(of: &HoursOverlap) -> Option<String> {
    let model = of.model?;
    let calls = of.while_one.counted;
    let counts = format!(
        "{}: {} of {} found a team bound",
        hours_name(of.shift),
        format::whole(calls.events),
        format::counted(calls.cases, "call", "calls"),
    );
    let steady = percent(model.bound_from(1));
    let Some(agreement) = of.agreement else {
        return Some(format!(
            "{counts}. That is too few calls to compare with the model, which says {steady}."
        ));
    };
    let observed = format!(
        "{counts} ({}), and one was bound for {} of the time. At a steady rate the model says {steady}, \
         which lies {}",
        percent(of.while_one.estimate()?),
        percent(of.time_share_from(1).unwrap_or(0.0)),
        lies(agreement),
    );
    Some(match of.by_hour {
        None => format!("{observed}: {}.", verdict(agreement, of.unknown, false)),
        Some(by_hour) => format!(
            "{observed}. With a rate of its own for each block of {BLOCK_HOURS} hours, which is nearer to \
             how calls come, the model says {}, which lies {}: {}.",
            percent(by_hour.while_one),
            lies(by_hour.agreement),
            verdict(by_hour.agreement, of.unknown, true)
        ),
    })
}

const fn lies(agreement: Agreement) -> &'static str {
    match agreement {
        Agreement::Within => "within the interval of the observed share",
        Agreement::More => "below the interval of the observed share",
        Agreement::Fewer => "above the interval of the observed share",
    }
}

/// What a comparison says, and what it may be due to.
const fn verdict(agreement: Agreement, unknown: u64, is_by_hour: bool) -> &'static str {
    match agreement {
        Agreement::Within => "no difference shows",
        Agreement::More if is_by_hour => {
            "still more calls met, which is not due to the hour alone: calls come in clusters, or cases \
             last longer when calls are many"
        }
        Agreement::More => {
            "more calls met than calls at random would: calls come in clusters, or more in some of \
             these hours than in others, or cases last longer when calls are many"
        }
        Agreement::Fewer if unknown > 0 => {
            "fewer calls met than calls at random would: calls may be held back or recorded when a team \
             is free, a second patient may be called under the first call, and calls of unknown length \
             bind nobody here"
        }
        Agreement::Fewer => {
            "fewer calls met than calls at random would: calls may be held back or recorded when a team \
             is free, or a second patient may be called under the first call"
        }
    }
}

const ASSUMPTIONS: &str = "The model assumes calls at random at a steady rate, calls of unknown length that last \
    as long as the others on average, a team for every call at once, and for Erlang C times that vary \
    like exponential ones. It is a yardstick and no forecast.";
