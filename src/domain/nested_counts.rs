//! Which counts of different measures lie within each other by definition, as data in
//! `sql/nested_counts.csv`: who rebled within three days rebled within seven.
//!
//! Knows no number. What follows from two such lines, and within one measure, is not in the table.

const TABLE: &str = include_str!("../../sql/nested_counts.csv");

/// Which cases of a measure a count counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CasesCounted {
    /// Those that were or were not judged.
    Population,
    /// Those that were judged.
    Eligible,
    /// Those of the population that could not be judged.
    Excluded,
    /// Judged cases that meet the definition or reached the end of a time, or events.
    Hit,
    /// Judged cases that do not.
    Miss,
}

impl CasesCounted {
    /// Every kind.
    pub const ALL: [CasesCounted; 5] = [
        CasesCounted::Population,
        CasesCounted::Eligible,
        CasesCounted::Excluded,
        CasesCounted::Hit,
        CasesCounted::Miss,
    ];

    /// The word in the table.
    pub const fn code(self) -> &'static str {
        match self {
            CasesCounted::Population => "population",
            CasesCounted::Eligible => "eligible",
            CasesCounted::Excluded => "excluded",
            CasesCounted::Hit => "hit",
            CasesCounted::Miss => "miss",
        }
    }
}

/// What two sets of cases are to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Relation {
    /// Every case of the first is one of the second.
    Within,
    /// They are the same cases.
    Same,
}

/// One row of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct NestedCount {
    /// Identifier of a measure, and which of its cases.
    pub part: (&'static str, CasesCounted),
    /// What they are to the others.
    pub relation: Relation,
    /// Another measure, and which of its cases.
    pub whole: (&'static str, CasesCounted),
}

/// The rows, in the order of the table.
pub fn nested_counts() -> Vec<NestedCount> {
    parse(TABLE).expect("the built-in table, which a test reads")
}

fn parse(table: &'static str) -> Option<Vec<NestedCount>> {
    table.lines().skip(1).map(row).collect()
}

fn row(line: &'static str) -> Option<NestedCount> {
    let cells = <[&str; 5]>::try_from(line.split(',').collect::<Vec<_>>()).ok()?;
    let [measure, count, relation, whole_measure, whole_count] = cells;
    let counted = |code: &str| {
        let mut all = CasesCounted::ALL.into_iter();
        all.find(|known| known.code() == code)
    };
    Some(NestedCount {
        part: (measure, counted(count)?),
        relation: match relation {
            "within" => Relation::Within,
            "same" => Relation::Same,
            _ => return None,
        },
        whole: (whole_measure, counted(whole_count)?),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_read_and_says_nothing_of_one_measure_alone() {
        let rows = nested_counts();
        let expected = NestedCount {
            part: ("rebleed_3d", CasesCounted::Hit),
            relation: Relation::Within,
            whole: ("rebleed_7d", CasesCounted::Hit),
        };
        assert!(rows.contains(&expected));
        for row in rows {
            assert_ne!(row.part.0, row.whole.0);
        }
    }

    #[test]
    fn a_row_that_is_not_whole_is_refused() {
        for table in [
            "head\na,hit,within,b",
            "head\na,hit,within,b,hit,c",
            "head\na,hits,within,b,hit",
            "head\na,hit,beside,b,hit",
        ] {
            assert_eq!(parse(table), None, "{table}");
        }
    }
}
