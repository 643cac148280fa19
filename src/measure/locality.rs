//! What the text of a query tells of how it treats a case: whether it looks at one case at a time, and
//! what it hands on as it stands. Whatever is not written in the plain way of `sql/README.md` is taken
//! for the harder case: such a query is only counted more slowly, never otherwise.

use super::columns::tokens;
use crate::domain::fields::{CaseField, Field};
use crate::domain::measure::Definition;
use crate::records::CASE_ID;
use std::collections::{BTreeMap, BTreeSet};

/// Whether each row of a measure rests on one case and its passes alone, so that cases may be counted
/// a part at a time and the parts added up. A query that reads `cases` twice, looks along rows, or
/// joins or groups by anything but the case may compare cases with one another.
pub(super) fn is_case_local(definition: &Definition) -> bool {
    let sql = definition.sql.to_ascii_lowercase();
    let words = tokens(&sql);
    let is_table = |place: usize| place > 0 && matches!(words[place - 1], "from" | "join" | ",");
    let reads_cases = (0..words.len())
        .filter(|place| words[*place] == "cases" && is_table(*place))
        .filter(|place| words.get(place + 1) != Some(&"."))
        .count();
    let looks_along_rows = words.iter().enumerate().any(|(place, word)| match *word {
        "over" | "limit" | "offset" | "fetch" | "qualify" | "union" | "intersect" | "except"
        | "cross" | "natural" | "using" | "rollup" | "cube" => true,
        "distinct" => place == 0 || words[place - 1] != "(",
        _ => false,
    });
    reads_cases == 1 && !looks_along_rows && joins_cases(&words) && groups_cases(&words)
}

/// Whether every join compares two numbers of a case, whatever else it asks for.
fn joins_cases(words: &[&str]) -> bool {
    let joins = words.iter().filter(|word| **word == "join").count();
    let keys = (0..words.len())
        .filter(|place| words[*place] == "on" && is_key_comparison(&words[place + 1..]))
        .count();
    joins == keys
}

/// Whether the words begin with `a.case_id = b.case_id`, and no other condition may take its place.
fn is_key_comparison(words: &[&str]) -> bool {
    let is_key = |at: usize| words.get(at + 1) == Some(&".") && words.get(at + 2) == Some(&CASE_ID);
    let mut condition = words
        .iter()
        .take_while(|word| !matches!(**word, "left" | "join" | "inner" | "where" | "group"));
    is_key(0) && words.get(3) == Some(&"=") && is_key(4) && condition.all(|word| *word != "or")
}

/// Whether every query that adds rows up does so for each case, no table is joined by a comma, and
/// no condition looks into a query of its own.
fn groups_cases(words: &[&str]) -> bool {
    let mut open = vec![Scope::query()];
    for (place, word) in words.iter().enumerate() {
        let innermost = open.iter().rposition(|scope| scope.is_query).unwrap_or(0);
        let is_in_list = open.len() == innermost + 1;
        match *word {
            "(" if matches!(words.get(place + 1), Some(&("select" | "with"))) => {
                if place == 0 || !matches!(words[place - 1], "from" | "join" | "as") {
                    return false;
                }
                open.push(Scope::query());
            }
            "(" => open.push(Scope::default()),
            ")" => {
                let closed = open.pop();
                if open.is_empty() || closed.is_some_and(|scope| scope.mixes_cases()) {
                    return false;
                }
            }
            "," if is_in_list && open[innermost].part == Part::Tables => return false,
            "from" => open[innermost].part = Part::Tables,
            "where" | "join" | "group" => open[innermost].part = Part::Other,
            "sum" | "min" | "max" | "count" | "avg" if words.get(place + 1) == Some(&"(") => {
                open[innermost].adds_up = true;
            }
            "by" => {
                open[innermost].adds_up = true;
                open[innermost].part = Part::Groups;
            }
            CASE_ID => open[innermost].has_case |= open[innermost].part == Part::Groups,
            _ => {}
        }
    }
    open.len() == 1 && !open[0].mixes_cases()
}

/// An open parenthesis, or the whole text.
#[derive(Default)]
struct Scope {
    is_query: bool,
    part: Part,
    adds_up: bool,
    /// Whether it groups by the case.
    has_case: bool,
}

/// Where in a query a word stands.
#[derive(Clone, Copy, Default, PartialEq, Eq)]
enum Part {
    Tables,
    Groups,
    #[default]
    Other,
}

impl Scope {
    fn query() -> Scope {
        Scope {
            is_query: true,
            ..Scope::default()
        }
    }

    fn mixes_cases(&self) -> bool {
        self.adds_up && !self.has_case
    }
}

/// The columns of `cases` that the outermost select list hands on under their own names and as they
/// stand, if `case_id` is one of them: their values can then be looked up by the case of the row.
pub(super) fn handed_on(definition: &Definition) -> BTreeSet<CaseField> {
    handed_on_words(definition).into_keys().collect()
}

/// The same columns, each with how often the list names it to do so.
pub(super) fn handed_on_words(definition: &Definition) -> BTreeMap<CaseField, usize> {
    let words = tokens(&definition.sql);
    let Some(outer) = outermost(&words) else {
        return BTreeMap::new();
    };
    let has_join = outer.contains(&"join");
    let end = outer.iter().position(|word| *word == "from");
    let list = &outer[1..end.unwrap_or(outer.len())];
    let mut handed_on = BTreeMap::new();
    for item in list.split(|word| *word == ",") {
        let named = match item {
            [name] if !has_join => field(name).map(|field| (field, 1)),
            ["cases", ".", name, "as", alias] if name == alias => {
                field(name).map(|field| (field, 2))
            }
            _ => None,
        };
        if let Some((field, times)) = named {
            *handed_on.entry(field).or_insert(0) += times;
        }
    }
    if handed_on.contains_key(&CaseField::CaseId) {
        handed_on
    } else {
        BTreeMap::new()
    }
}

fn field(name: &str) -> Option<CaseField> {
    let mut fields = CaseField::ALL.iter().copied();
    fields.find(|field| field.column() == name)
}

/// The words of the outermost query, each parenthesis as one; `None` unless it selects from `cases`
/// under that name and reads `cases` nowhere else.
fn outermost<'a>(words: &[&'a str]) -> Option<Vec<&'a str>> {
    let (mut outer, mut depth) = (Vec::new(), 0_usize);
    for word in words {
        match *word {
            "(" => {
                if depth == 0 {
                    outer.push("(");
                }
                depth += 1;
            }
            ")" => depth = depth.saturating_sub(1),
            word if depth == 0 => outer.push(word),
            _ => {}
        }
    }
    let from = outer.iter().position(|word| *word == "from")?;
    let is_plain = outer.first() == Some(&"select")
        && outer.get(from + 1) == Some(&"cases")
        && matches!(
            outer.get(from + 2),
            None | Some(&("where" | "join" | "left" | "inner" | "group"))
        );
    let tables = words
        .windows(2)
        .filter(|pair| matches!(pair[0], "from" | "join" | "as") && pair[1] == "cases");
    (is_plain && tables.count() == 1).then_some(outer)
}

/// Whether numbers of cases are only handed on, compared with one another and grouped by: then any
/// other number that tells cases apart does as well.
pub(super) fn takes_case_id_as_key(definition: &Definition) -> bool {
    let words = tokens(&definition.sql);
    let mut open = vec![true];
    for (place, word) in words.iter().enumerate() {
        match *word {
            "(" => open.push(matches!(words.get(place + 1), Some(&("select" | "with")))),
            ")" => drop(open.pop()),
            CASE_ID => {
                let is_list = open.last().is_none_or(|is_query| *is_query);
                if !is_key(&words, place, is_list) {
                    return false;
                }
            }
            "*" if is_wildcard(&words, place) => return false,
            _ => {}
        }
    }
    // A name in other letters, or in quotes, is not looked into.
    let plain = |text: &str| text.matches(CASE_ID).count();
    plain(&definition.sql.to_ascii_lowercase()) == plain(&words.join(" "))
}

/// Whether a `*` stands for all columns, and not for a product or in `count(*)`.
fn is_wildcard(words: &[&str], place: usize) -> bool {
    place > 0 && matches!(words[place - 1], "select" | "," | "." | "distinct")
}

/// The columns whose values any of these measures may look at; `None` for all of them.
pub(super) fn named_columns(definitions: &[Definition]) -> Option<BTreeSet<String>> {
    let mut named = BTreeSet::new();
    for definition in definitions {
        let sql = definition.sql.to_ascii_lowercase();
        let words = tokens(&sql);
        for (place, word) in words.iter().enumerate() {
            if *word == "*" && is_wildcard(&words, place) {
                return None;
            }
            named.insert((*word).to_owned());
        }
    }
    Some(named)
}

fn is_key(words: &[&str], place: usize, is_list: bool) -> bool {
    let is_qualified = place >= 2 && words[place - 1] == ".";
    let first = if is_qualified { place - 2 } else { place };
    let before = first.checked_sub(1).map(|before| words[before]);
    let after = |offset: usize| words.get(place + offset).copied();
    let is_alias = before == Some("as") && first >= 2 && words[first - 2] == CASE_ID;
    let is_compared = (after(1) == Some("=") && after(4) == Some(CASE_ID))
        || (before == Some("=") && first >= 2 && words[first - 2] == CASE_ID);
    let is_null_test = after(1) == Some("is");
    let is_item = is_list
        && matches!(before, Some("select" | "by" | ","))
        && (matches!(after(1), None | Some("," | "from" | ")" | "having"))
            || (after(1), after(2)) == (Some("as"), Some(CASE_ID)));
    is_alias || is_compared || is_null_test || is_item
}

#[cfg(test)]
mod tests;
