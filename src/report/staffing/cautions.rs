//! The end of the page: cautions, and what made it.

use super::period;
use crate::findings::staffing::Staffing;
use crate::report::cautions;
use crate::report::content::{Block, Section};

/// The sections.
pub(super) fn sections(staffing: &Staffing) -> [Section; 2] {
    [
        Section {
            id: "cautions",
            heading: "Cautions".to_owned(),
            blocks: vec![Block::List(CAUTIONS.map(str::to_owned).to_vec())],
        },
        Section {
            id: "words",
            heading: "Versions".to_owned(),
            blocks: vec![Block::List(versions(staffing))],
        },
    ]
}

const CAUTIONS: [&str; 9] = [
    cautions::DESCRIBES,
    cautions::NOT_A_PATIENT,
    "It ranks no person and no site, and names no place on a roster. Sites stand in the order of their names.",
    "Staffing law, contracts, rest rules and local policy decide who is on call. No scenario is a proposal.",
    "A simulation is as good as its assumptions: teams do not tire, one call needs one team, calls are \
     taken in the order in which they come, and the future is like the records.",
    "That a window reached past the start of the day does not mean that a case could have waited: a window \
     is an upper limit, and who saw the patient decided.",
    cautions::SMALL_NUMBERS,
    cautions::CLOCKS,
    "A par level covers what was recorded. What a site must be ready for, though it never came, is for \
     local policy to say.",
];

fn versions(staffing: &Staffing) -> Vec<String> {
    let mut lines = vec![format!("scopetally {}", staffing.tool_version)];
    let made_on = staffing.made_on.as_ref();
    lines.extend(made_on.map(|date| format!("Made on {date}")));
    lines.push(format!("Records: {}", period(staffing)));
    for (role, sha256) in &staffing.inputs {
        lines.push(format!("Input, {role}: SHA-256 {sha256}"));
    }
    lines.push(
        "run.json beside this page holds the file names, the options and what became of every row."
            .to_owned(),
    );
    lines
}
