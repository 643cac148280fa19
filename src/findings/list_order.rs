//! The order in which groups are listed: that of the closed list of their dimension, never that of
//! an estimate, which would be a ranking.

use crate::domain::codes::NOT_RECORDED;
use crate::domain::fields::code_list;

/// The place of a value among those of its dimension: coded values in the order of their list, then
/// values that stand in no list (sort these by name), `not_recorded` last.
pub fn place(dimension: &str, value: &str) -> usize {
    if value == NOT_RECORDED {
        return usize::MAX;
    }
    code_list(dimension)
        .and_then(|list| list.position(value))
        .unwrap_or(usize::MAX - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_stand_as_in_their_list_and_what_is_not_recorded_comes_last() {
        let mut devices = ["not_recorded", "unheard_of", "net", "snare", "forceps_rat"];
        devices.sort_by_key(|device| place("device", device));
        assert_eq!(
            devices,
            ["forceps_rat", "snare", "net", "unheard_of", "not_recorded"]
        );
    }
}
