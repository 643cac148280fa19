//! Sites side by side, by name and without a rank, where there are five or more.

use crate::domain::counts::SITE;
use crate::domain::measure::Definition;
use crate::findings::comparisons::Counted;
use crate::findings::finding::{Statistic, Unit};
use crate::findings::funnel::{
    Bounds, FEWEST_CASES, Funnel, FunnelMethod, INNER, LimitsAt, OUTER, Position, Side,
};
use crate::findings::review::Review;
use crate::report::chart::{Chart, FunnelLine, FunnelPlot, FunnelPoint, Plot, Reference};
use crate::report::content::{Block, Cell, Figure, Section, Table};
use crate::report::format;

/// How the limits are made, for the methods of the report.
pub(super) const METHOD: &str = "Funnel of sites: share of all sites together, with exact binomial \
    limits interpolated between counts (Spiegelhalter 2005, from memory), the upper one mirrored from \
    the cases that do not meet the definition. Where the sum of the squared distances of the sites, \
    the outermost tenth on either side pulled in (winsorized), exceeds the 95% quantile of chi-squared, limits are normal and widened by the \
    variance between sites, added to that of counting (additive).";

/// The section; `None` without a funnel.
pub(super) fn section(review: &Review) -> Option<Section> {
    let figures: Vec<_> = review
        .funnels
        .iter()
        .filter_map(|funnel| figure(review, funnel))
        .collect();
    let first = review.funnels.first().filter(|_| !figures.is_empty())?;
    let text = format!(
        "Each site over {}, beside limits for its number of judged cases. Sites differ in the cases \
         that come to them and in what they write down; so a site outside the limits says: look at \
         recording and case mix first. {} Sites stand by name; this is no ranking.",
        months(first),
        how_often_outside(&review.funnels)
    );
    let figures = figures.into_iter().map(|f| Block::Figure(Box::new(f)));
    Some(Section {
        id: "sites",
        heading: "Sites side by side".to_owned(),
        blocks: [Block::Text(text)].into_iter().chain(figures).collect(),
    })
}

/// How often a site lies outside though nothing sets it apart, for the methods of the funnels.
fn how_often_outside(funnels: &[Funnel]) -> String {
    let has = |method| funnels.iter().any(|funnel| funnel.method == method);
    let exact = "By counting alone at most about one site in 20 lies outside exact 95% limits, and one \
                 in 500 outside exact 99.8% limits.";
    let widened = "If sites differ by counting and by the variance between them, about one in 20 lies \
                   outside widened 95% limits, and one in 500 outside widened 99.8% limits.";
    let sentences = [
        (FunnelMethod::Exact, exact),
        (FunnelMethod::Widened, widened),
    ];
    let sentences = sentences.into_iter().filter(|(method, _)| has(*method));
    let sentences: Vec<_> = sentences.map(|(_, sentence)| sentence).collect();
    sentences.join(" ")
}

/// `October 2025 to September 2026`.
fn months(funnel: &Funnel) -> String {
    let last = format::month_name(funnel.last);
    if funnel.first == funnel.last {
        return last;
    }
    format!("{} to {last}", format::month_name(funnel.first))
}

/// `None` when a number of a site may not be seen.
fn figure(review: &Review, funnel: &Funnel) -> Option<Figure> {
    let definition = review.definition(&funnel.measure)?;
    let is_withheld = review
        .findings
        .by_group(&funnel.measure, SITE, Statistic::Share)
        .any(|finding| finding.suppressed);
    if is_withheld {
        return None;
    }
    let target = format::with_unit(Unit::Fraction, funnel.pooled.cases, funnel.target);
    Some(Figure {
        stem: format!("{}_funnel", funnel.measure),
        chart: Chart {
            title: format!(
                "{}: do sites differ by more than counting explains?",
                definition.title
            ),
            axis_label: "percent of judged cases".to_owned(),
            unit: Some(Unit::Fraction),
            plot: Plot::Funnel(plot(funnel, &target)),
        },
        caption: caption(funnel, &target),
        alternative: alternative(funnel, definition, &target),
        table: table(funnel, definition),
    })
}

fn plot(funnel: &Funnel, target: &str) -> FunnelPlot {
    let pair = |bounds: Bounds| (bounds.low, bounds.high);
    let line = |line: &LimitsAt| FunnelLine {
        cases: line.cases,
        limits: [pair(line.inner), pair(line.outer)],
    };
    let sites = funnel.sites.iter().map(|site| FunnelPoint {
        label: site.site.clone(),
        cases: site.counted.cases,
        value: site.share,
        beyond: match site.position() {
            Position::Within => 0,
            Position::BeyondInner(_) => 1,
            Position::BeyondOuter(_) => 2,
        },
    });
    FunnelPlot {
        sites: sites.collect(),
        target: Reference {
            value: funnel.target,
            label: format!("all {target}"),
        },
        lines: funnel.lines.iter().map(line).collect(),
        names: [INNER, OUTER].map(format::level),
    }
}

fn caption(funnel: &Funnel, target: &str) -> String {
    let mut sentences = vec![format!(
        "{}. Point: a site with its judged cases and its share. Straight line: all sites together, \
         {target} of {}.",
        months(funnel),
        format::counted(funnel.pooled.cases, "judged case", "judged cases"),
    )];
    if funnel.phi.is_some() {
        sentences.push(format!(
            "Curved lines: limits, inside which lie {}. Open diamond: outside the 95% limits; filled \
             diamond: outside the 99.8% limits.",
            match funnel.method {
                FunnelMethod::Exact =>
                    "about 95% and 99.8% or more of sites of that size if nothing but counting tells \
                     them apart",
                FunnelMethod::Widened =>
                    "about 95% and 99.8% of sites of that size if they differ by counting and by the \
                     variance between sites",
            }
        ));
    }
    sentences.push(match (funnel.method, funnel.phi) {
        (_, None) => "There are no limits where all cases came out alike.".to_owned(),
        (FunnelMethod::Exact, Some(_)) => {
            "Limits are exact (binomial, interpolated, alike on both sides).".to_owned()
        }
        (FunnelMethod::Widened, Some(phi)) => format!(
            "Sites differ by more than counting explains (their spread is {} times what it gives), so \
             the limits are widened by the variance between sites (additive, Spiegelhalter 2005).",
            format::ratio(phi)
        ),
    });
    if !funnel.too_few.is_empty() {
        let sites = funnel.too_few.len() as u64;
        let cases = funnel.too_few.iter().map(|(_, counted)| counted.cases);
        sentences.push(format!(
            "Not drawn: {} with fewer than {FEWEST_CASES} judged cases, {} in all.",
            format::counted(sites, "site", "sites"),
            format::counted(cases.sum(), "case", "cases"),
        ));
    }
    sentences.join(" ")
}

fn alternative(funnel: &Funnel, definition: &Definition, target: &str) -> String {
    let outside: Vec<_> = funnel
        .sites
        .iter()
        .filter(|site| site.position() != Position::Within)
        .map(|site| format!("{} {}", site.site, place(site.position())))
        .collect();
    let outside = if outside.is_empty() {
        "No site lies outside the limits".to_owned()
    } else {
        format!("Outside the limits: {}", outside.join(", "))
    };
    format!(
        "{} by site, {}: {} around {target}. {outside}.",
        definition.title,
        months(funnel),
        format::counted(funnel.sites.len() as u64, "site", "sites"),
    )
}

fn place(position: Position) -> &'static str {
    match position {
        Position::Within => "within",
        Position::BeyondInner(Side::Above) => "above the 95% limit",
        Position::BeyondInner(Side::Below) => "below the 95% limit",
        Position::BeyondOuter(Side::Above) => "above the 99.8% limit",
        Position::BeyondOuter(Side::Below) => "below the 99.8% limit",
    }
}

/// Every site by name, those that are not drawn too.
fn table(funnel: &Funnel, definition: &Definition) -> Table {
    let mut table = Table::new(
        format!("{}, by site, {}", definition.title, months(funnel)),
        &[
            "Site",
            "Cases",
            "Share",
            "95% limits",
            "99.8% limits",
            "Where",
        ],
    );
    let drawn = funnel.sites.iter().map(|site| {
        let cases = site.counted.cases;
        let row: Vec<Cell> = vec![
            site.site.as_str().into(),
            counts(site.counted).into(),
            format::with_unit(Unit::Fraction, cases, site.share).into(),
            limits(cases, site.inner).into(),
            limits(cases, site.outer).into(),
            place(site.position()).into(),
        ];
        (&site.site, row)
    });
    let few = funnel.too_few.iter().map(|(site, counted)| {
        let row = vec![site.as_str().into(), counts(*counted).into()];
        (site, row)
    });
    let mut rows: Vec<_> = drawn.chain(few).collect();
    rows.sort_by_key(|(site, _)| *site);
    for (_, row) in rows {
        table.push(row);
    }
    table
}

fn counts(counted: Counted) -> String {
    format!(
        "{} of {}",
        format::whole(counted.events),
        format::whole(counted.cases)
    )
}

fn limits(cases: u64, bounds: Bounds) -> String {
    let percent = |share| format::with_unit(Unit::Fraction, cases, share);
    match (bounds.low, bounds.high) {
        (Some(low), Some(high)) => {
            let low = percent(low);
            format!("{} to {}", low.trim_end_matches('%'), percent(high))
        }
        (Some(low), None) => format!("from {}", percent(low)),
        (None, Some(high)) => format!("up to {}", percent(high)),
        (None, None) => format::NOTHING.to_owned(),
    }
}
