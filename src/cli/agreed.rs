//! What the mapping says about measures, dated changes and targets, held against the measures that
//! are counted and against the records. Ingest knows no measure, so it cannot.

use super::console;
use super::inputs::Read;
use crate::domain::measure::Definition;
use crate::domain::measure::MeasureKind;
use crate::domain::month::Month;
use crate::ingest::Mapping;
use anyhow::bail;

/// Most changes of a letter in an identifier that still look like a slip.
const MOST_SLIPS: usize = 3;

/// Checks that every measure of a change or a target exists, and that a target can be one.
///
/// # Errors
/// When it does not, or cannot.
pub(super) fn check(mapping: &Mapping, definitions: &[Definition]) -> anyhow::Result<()> {
    let known = |id: &str| definitions.iter().find(|definition| definition.id == id);
    let in_phases = mapping.phases().iter().flat_map(|phase| &phase.measures);
    if let Some(id) = in_phases.into_iter().find(|id| known(id).is_none()) {
        bail!(
            "{}",
            unknown("`measures` of a `[[phase]]`", id, definitions)
        );
    }
    for (id, target) in mapping.targets() {
        let Some(definition) = known(id) else {
            bail!("{}", unknown("`[targets]`", id, definitions));
        };
        let is_share = matches!(
            definition.kind,
            MeasureKind::Share | MeasureKind::ClusteredShare
        );
        if is_share && *target > 1.0 {
            bail!(
                "`targets.{id}` of the mapping is above 1, and the measure is a share from 0 to 1; \
                 for 90 percent write 0.9"
            );
        }
    }
    Ok(())
}

/// A message with the measures that may be meant.
fn unknown(place: &str, id: &str, definitions: &[Definition]) -> String {
    let mut near: Vec<(usize, &str)> = definitions
        .iter()
        .map(|definition| (distance(id, &definition.id), definition.id.as_str()))
        .filter(|(distance, _)| *distance <= MOST_SLIPS)
        .collect();
    near.sort_unstable();
    let near: Vec<String> = near
        .iter()
        .take(3)
        .map(|(_, id)| format!("`{id}`"))
        .collect();
    let meant = if near.is_empty() {
        "`scopetally measures` lists them".to_owned()
    } else {
        format!("did you mean {}?", near.join(" or "))
    };
    format!("{place} of the mapping names the measure `{id}`, which does not exist; {meant}")
}

/// Letters to change from what was typed to an identifier; one that is the beginning of the
/// identifier is as near as a slip.
fn distance(typed: &str, id: &str) -> usize {
    if typed.len() >= 4 && id.starts_with(typed) {
        return MOST_SLIPS;
    }
    strsim::damerau_levenshtein(typed, id)
}

/// Warns of changes that nothing of the records belongs to.
pub(super) fn warn(read: &Read, (first, last): (Month, Month)) {
    for phase in read.mapping.phases() {
        if !(first..=last).contains(&phase.from) {
            console::warn(&format!(
                "a `[[phase]]` of the mapping begins in {}, outside the records, which cover {first} to {last}",
                phase.from
            ));
        }
        // Of the whole export, also when one site alone is counted.
        let has_site = |site: &String| read.ingested.cases_by_site.contains_key(site);
        if !phase.sites.iter().all(has_site) {
            console::warn(&format!(
                "the `[[phase]]` of the mapping that begins in {} names a site without a case",
                phase.from
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::built_in;

    #[test]
    fn the_nearest_measures_are_meant() {
        let message = |id| unknown("`[targets]`", id, &built_in());
        assert!(message("call_to_scop").ends_with("did you mean `call_to_scope`?"));
        assert!(
            message("rebleed")
                .ends_with("did you mean `rebleed_30d` or `rebleed_3d` or `rebleed_7d`?")
        );
        assert!(message("door_to_balloon").ends_with("`scopetally measures` lists them"));
    }
}
