//! The staffing report: one module for each of its parts.

mod assumptions;
mod cart_words;
mod cautions;
mod checks;
mod coverage;
mod demand;
mod kit;
mod load;
mod overlap;
mod rows;
mod share_words;
mod stock;
mod summary;

use super::content::{Block, Section};
use super::format;
use super::page::Page;
use crate::findings::staffing::Staffing;

pub(crate) use summary::answers;

/// The staffing page. The same findings give the same page.
pub fn staffing_page(staffing: &Staffing) -> Page {
    Page {
        title: title(staffing),
        lead: lead(staffing),
        sections: sections(staffing),
        tool_version: staffing.tool_version,
        made_on: staffing.made_on.clone(),
    }
}

fn sections(staffing: &Staffing) -> Vec<Section> {
    let mut sections = vec![
        summary::section(staffing),
        demand::section(staffing.demand.as_ref()),
        load::section(staffing.load.as_ref()),
        overlap::section(staffing.overlap.as_ref()),
        staffing
            .coverage
            .as_ref()
            .map_or_else(not_simulated, coverage::section),
        stock::section(&staffing.stock),
        kit::section(&staffing.kit),
        checks::section(staffing.checks.as_ref()),
    ];
    sections.extend(assumptions::sections(staffing));
    sections.push(rows::section(staffing));
    sections.extend(cautions::sections(staffing));
    sections
}

/// Said in place of scenarios.
fn not_simulated() -> Section {
    Section {
        id: "coverage",
        heading: "What would another arrangement of teams do?".to_owned(),
        blocks: vec![Block::Caution(
            "This section needs clock times. The export gives minutes since each call, so nothing tells \
             which calls would meet, and nothing was simulated."
                .to_owned(),
        )],
    }
}

fn title(staffing: &Staffing) -> String {
    let period = period(staffing);
    match &staffing.site {
        Some(site) => format!("Emergency endoscopy at {site}: teams and cart, {period}"),
        None => format!("Emergency endoscopy: teams and cart, {period}"),
    }
}

fn period(staffing: &Staffing) -> String {
    format::months(staffing.first_month, staffing.last_month)
}

fn lead(staffing: &Staffing) -> String {
    let sites = match &staffing.site {
        Some(site) => format!("{site} alone, one site of the export"),
        None => format::counted(staffing.sites, "site", "sites"),
    };
    format!(
        "From {} of {sites}. It describes a service, not a patient and not a person.",
        format::counted(staffing.cases, "call", "calls")
    )
}
