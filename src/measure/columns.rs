//! Which columns of the records a measure reads, from the text of its query.

use super::groupings::groupings;
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::measure::Definition;
use std::collections::BTreeSet;

/// The columns of cases and passes that the query of a measure names in order to count. A column
/// that it only selects as it stands, as it does with everything that a measure is split by, is not
/// among them, nor is one that only a `case` for such a dimension looks at: without these columns
/// there is no split, but there is a count.
pub fn columns_of(definition: &Definition) -> BTreeSet<&'static str> {
    let all_tokens = tokens(&definition.sql);
    let tokens = without_dimensions(&all_tokens);
    let mut columns = BTreeSet::new();
    // For each open parenthesis, whether a query stands in it.
    let mut open = Vec::new();
    for (place, token) in tokens.iter().enumerate() {
        match *token {
            "(" => open.push(matches!(tokens.get(place + 1), Some(&("select" | "with")))),
            ")" => drop(open.pop()),
            word => {
                let is_list = open.last().is_none_or(|is_query| *is_query);
                if let Some(column) = column_named(word)
                    && !is_alias(&tokens, place)
                    && !(is_list && is_passed_on(&tokens, place))
                {
                    columns.insert(column);
                }
            }
        }
    }
    columns
}

/// The words of a query without each `case … end as dimension` of its outermost select list.
fn without_dimensions<'a>(tokens: &[&'a str]) -> Vec<&'a str> {
    let dimensions: BTreeSet<String> = groupings()
        .into_iter()
        .flat_map(|grouping| grouping.dimensions)
        .collect();
    let mut kept: Vec<&str> = Vec::with_capacity(tokens.len());
    let (mut depth, mut open_cases) = (0_usize, 0_usize);
    // Where in `kept` the outermost `case` began.
    let mut start = None;
    for (place, token) in tokens.iter().enumerate() {
        match *token {
            "(" => depth += 1,
            ")" => depth = depth.saturating_sub(1),
            "case" => {
                open_cases += 1;
                if open_cases == 1 {
                    start = (depth == 0).then_some(kept.len());
                }
            }
            "end" => {
                open_cases = open_cases.saturating_sub(1);
                let alias = tokens.get(place + 2).copied().unwrap_or_default();
                if open_cases == 0
                    && tokens.get(place + 1) == Some(&"as")
                    && dimensions.contains(alias)
                    && let Some(start) = start
                {
                    kept.truncate(start);
                }
            }
            _ => {}
        }
        kept.push(token);
    }
    kept
}

fn column_named(word: &str) -> Option<&'static str> {
    let of_cases = CaseField::ALL.iter().map(|field| field.column());
    let of_passes = PassField::ALL.iter().map(|field| field.column());
    of_cases.chain(of_passes).find(|column| *column == word)
}

fn is_alias(tokens: &[&str], place: usize) -> bool {
    place > 0 && tokens[place - 1] == "as"
}

/// Whether the column at `place` is an item of a select list by itself: `, airway,` or
/// `, cases.airway as airway,`.
fn is_passed_on(tokens: &[&str], place: usize) -> bool {
    let is_qualified = place >= 2 && tokens[place - 1] == ".";
    let first = if is_qualified { place - 2 } else { place };
    let starts_item = first > 0 && matches!(tokens[first - 1], "select" | ",");
    let next = match (tokens.get(place + 1), tokens.get(place + 2)) {
        (Some(&"as"), Some(alias)) if *alias == tokens[place] => tokens.get(place + 3),
        (next, _) => next,
    };
    starts_item && matches!(next, None | Some(&("," | "from")))
}

/// Words and single signs, without comments and quoted texts.
pub(super) fn tokens(sql: &str) -> Vec<&str> {
    let is_word = |c: char| c.is_alphanumeric() || c == '_';
    let mut tokens = Vec::new();
    let mut rest = sql;
    while let Some(first) = rest.chars().next() {
        let length = if is_word(first) {
            rest.find(|c| !is_word(c)).unwrap_or(rest.len())
        } else if first == '\'' {
            rest[1..].find('\'').map_or(rest.len(), |end| end + 2)
        } else if rest.starts_with("--") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |end| end + 2)
        } else {
            first.len_utf8()
        };
        let (token, after) = rest.split_at(length);
        let is_one_sign = length == first.len_utf8();
        if is_word(first) || (is_one_sign && !first.is_whitespace()) {
            tokens.push(token);
        }
        rest = after;
    }
    tokens
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::measure::{Better, MeasureKind};
    use crate::measure::built_in;

    #[track_caller]
    fn check(sql: &str, expected: &[&str]) {
        let definition = Definition {
            id: "own".to_owned(),
            version: 1,
            kind: MeasureKind::Share,
            title: String::new(),
            question: String::new(),
            eligible: String::new(),
            hit: String::new(),
            better: Better::Neither,
            source: String::new(),
            sql: sql.to_owned(),
        };
        let columns: Vec<_> = columns_of(&definition).into_iter().collect();
        assert_eq!(columns, expected, "{sql}");
    }

    #[test]
    fn words_are_whole_and_not_quoted_and_not_in_comments() {
        check(
            "select case_id, 'outcome' as x, sharpness -- airway\n, /* cap */ hood = 'no' as hit",
            &["hood"],
        );
        check(
            "select cart_minute - called_minute as minutes from cases",
            &["called_minute", "cart_minute"],
        );
    }

    #[test]
    fn a_column_that_is_only_passed_on_is_not_needed() {
        check(
            "select case_id, site, cases.airway as airway, shift from cases",
            &[],
        );
        check("select cases.airway as sharp, site from cases", &["airway"]);
        check(
            "select coalesce(overtube, hood, cap) as hit from cases",
            &["cap", "hood", "overtube"],
        );
        check(
            "select device, site from (select max(result) as result, device from passes)",
            &["result"],
        );
        check("select site from cases where airway is null", &["airway"]);
    }

    #[test]
    fn a_column_that_only_a_dimension_is_worked_out_from_is_not_needed() {
        check(
            "select case when hood = 'yes' then (case when cap = 'no' then 'yes' end) \
             end as protective_aid, case when sharp = 'yes' then 1 else 0 end as hit from cases",
            &["sharp"],
        );
        // Inside another query the same words may be what is counted.
        check(
            "select hit from (select case when airway = 'awake' then 1 end as airway from cases)",
            &["airway"],
        );
        let measures = built_in();
        let harm = measures
            .iter()
            .find(|measure| measure.id == "adverse_event");
        check(
            &harm.expect("built in").sql,
            &["adverse_event", "outcome", "scope_in_minute"],
        );
    }

    /// Read off the files below `sql/measures`.
    #[test]
    fn columns_of_the_built_in_measures() {
        let expected: [(&str, &[&str]); 4] = [
            (
                "call_to_cart",
                &[
                    "called_minute",
                    "cart_minute",
                    "ended_minute",
                    "outcome",
                    "scope_in_minute",
                ],
            ),
            ("calls", &[]),
            (
                "device_success",
                &[
                    "case_id",
                    "device",
                    "outcome",
                    "presentation",
                    "result",
                    "scope_in_minute",
                ],
            ),
            (
                "scoped_within_window",
                &[
                    "outcome",
                    "scope_in_minute",
                    "window_minutes",
                    "window_start_minute",
                ],
            ),
        ];
        let measures = built_in();
        for (id, columns) in expected {
            let measure = measures.iter().find(|measure| measure.id == id);
            check(&measure.expect("built in").sql, columns);
        }
    }
}
