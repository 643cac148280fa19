//! All measures: those built in, in the order of the report, and those of a site's own directory.

use super::definition::{DefinitionError, parse};
use crate::domain::measure::Definition;
use std::path::Path;

macro_rules! measures {
    ($($id:literal)+) => {
        &[$(($id, include_str!(concat!("../../sql/measures/", $id, ".sql"))),)+]
    };
}

const BUILT_IN: &[(&str, &str)] = measures! {
    "call_to_scope"
    "arrival_to_scope"
    "call_to_team"
    "call_to_cart"
    "scope_in_to_out"
    "scoped_within_window"
    "scoped_within_preferred_window"
    "upper_bleed_within_24h"
    "variceal_within_12h"
    "retrieval_success"
    "first_device_success"
    "device_success"
    "one_piece_removal"
    "removed_in_one_pass"
    "three_or_more_passes"
    "push_success"
    "device_switch"
    "three_or_more_devices"
    "already_gone"
    "overtube_used"
    "overtube_used_sharp"
    "overtube_used_repeat_passes"
    "overtube_used_airway_not_secured"
    "protective_aid_used"
    "protective_aid_used_sharp"
    "passes_before_overtube"
    "scope_in_to_overtube"
    "overtube_to_removal"
    "airway_secured"
    "adverse_event"
    "perforation"
    "graded_harm"
    "biopsy_at_food_impaction"
    "airway_to_scope"
    "scope_in_to_removal"
    "team_within_30"
    "wait_for_team"
    "wait_for_cart"
    "wait_for_airway"
    "wait_for_scope"
    "cart_complete"
    "stock_outs"
    "case_malfunction"
    "device_malfunction"
    "preclean_done"
    "scope_out_to_preclean"
    "preclean_within_10"
    "scope_out_to_handover"
    "handover_within_60"
    "preclean_end_to_manual_clean"
    "preclean_start_to_manual_clean"
    "scope_out_to_manual_clean"
    "manual_clean_within_60"
    "initial_hemostasis"
    "rebleed_3d"
    "rebleed_7d"
    "rebleed_30d"
    "rescue_treatment"
    "transfused"
    "death_30d"
    "upper_bleeds"
    "ulcer_bleeds"
    "lower_bleeds"
    "calls"
};

/// The measures that come with the tool, in the order of the report.
pub fn built_in() -> Vec<Definition> {
    BUILT_IN
        .iter()
        .map(|(id, text)| parse(id, text).expect("a built-in measure, which a test reads"))
        .collect()
}

/// The measures of a directory, in the order of their names. None may be called as one of `taken`.
///
/// # Errors
/// When the directory cannot be read, holds no `.sql` file, or one of them is faulty.
pub fn from_directory(
    directory: &Path,
    taken: &[Definition],
) -> Result<Vec<Definition>, DefinitionError> {
    let unreadable = |path: &Path| {
        let path = path.to_path_buf();
        move |source| DefinitionError::Unreadable { path, source }
    };
    let mut paths = std::fs::read_dir(directory)
        .map_err(unreadable(directory))?
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<Vec<_>, _>>()
        .map_err(unreadable(directory))?;
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "sql"));
    paths.sort();
    if paths.is_empty() {
        return Err(DefinitionError::NoMeasure {
            path: directory.to_path_buf(),
        });
    }
    paths
        .iter()
        .map(|path| {
            let text = std::fs::read_to_string(path).map_err(unreadable(path))?;
            let stem = path.file_stem().unwrap_or_default().to_string_lossy();
            let definition = parse(&stem, &text)?;
            if taken.iter().any(|taken| taken.id == definition.id) {
                return Err(DefinitionError::Repeated {
                    file: format!("{stem}.sql"),
                });
            }
            Ok(definition)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_sql_file_is_built_in_and_readable() {
        let directory = Path::new(env!("CARGO_MANIFEST_DIR")).join("sql/measures");
        let on_disk: BTreeSet<_> = from_directory(&directory, &[])
            .expect("readable measures")
            .into_iter()
            .map(|definition| definition.id)
            .collect();
        let listed: BTreeSet<_> = built_in()
            .into_iter()
            .map(|definition| definition.id)
            .collect();
        assert_eq!(on_disk, listed);
    }

    #[test]
    fn a_site_cannot_take_the_name_of_a_built_in_measure() {
        let directory = Path::new(env!("CARGO_MANIFEST_DIR")).join("sql/measures");
        let error = from_directory(&directory, &built_in()).expect_err("the same names");
        assert!(error.to_string().contains("already a measure of this name"));
    }
}
