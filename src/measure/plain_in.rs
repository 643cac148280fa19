//! `x in ('a', 'b')` → `(x = 'a' or x = 'b')`, which says the same, also of null, and which the engine
//! compares far more quickly: it looks a list up in a table of hashes for every row.

/// Words behind which a column stands alone, and is no part of a longer expression.
const BEFORE: [&str; 9] = [
    "where", "and", "or", "when", "not", "on", "then", "select", "else",
];

/// Lists that are longer stay as they are.
const MOST_TEXTS: usize = 8;

/// The query with short lists of texts spelt out. Whatever is written in another way stays as it is.
pub(super) fn plain_in(sql: &str) -> String {
    let mut plain = String::with_capacity(sql.len());
    let mut rest = sql;
    // Whether a column may begin here, by what stands before it.
    let mut may_begin = false;
    while let Some(first) = rest.chars().next() {
        let length = if first == '\'' {
            rest[1..].find('\'').map_or(rest.len(), |end| end + 2)
        } else {
            name_length(rest).unwrap_or(first.len_utf8())
        };
        let (word, after) = rest.split_at(length);
        let is_column = may_begin && name_length(rest).is_some();
        if let Some((spelt_out, after)) = is_column.then(|| spelt_out(word, after)).flatten() {
            plain.push_str(&spelt_out);
            rest = after;
            may_begin = false;
            continue;
        }
        if !first.is_whitespace() {
            may_begin = BEFORE.contains(&word) || matches!(word, "(" | ",");
        }
        plain.push_str(word);
        rest = after;
    }
    plain
}

/// The length of the name that a text begins with, such as `outcome` or `cases.outcome`.
fn name_length(text: &str) -> Option<usize> {
    let is_in_name = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '.');
    let length = text.find(|c| !is_in_name(c)).unwrap_or(text.len());
    (length > 0).then_some(length)
}

/// The comparison in place of a list behind a column, and the text after it.
fn spelt_out<'a>(column: &str, after: &'a str) -> Option<(String, &'a str)> {
    let after = after.trim_start();
    let (is_not, after) = match after.strip_prefix("not ") {
        Some(after) => (true, after.trim_start()),
        None => (false, after),
    };
    let after = after.strip_prefix("in ")?.trim_start().strip_prefix('(')?;
    let (list, after) = after.split_once(')')?;
    let texts: Vec<_> = list.split(',').map(str::trim).collect();
    let is_text = |text: &&str| {
        let inner = text
            .strip_prefix('\'')
            .and_then(|text| text.strip_suffix('\''));
        inner.is_some_and(|inner| !inner.contains('\''))
    };
    if BEFORE.contains(&column) || texts.len() > MOST_TEXTS || !texts.iter().all(is_text) {
        return None;
    }
    let (sign, joining) = if is_not {
        ("<>", " and ")
    } else {
        ("=", " or ")
    };
    let compared = texts.iter().map(|text| format!("{column} {sign} {text}"));
    let parts: Vec<_> = compared.collect();
    Some((format!("({})", parts.join(joining)), after))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(sql: &str, expected: &str) {
        assert_eq!(plain_in(sql), expected);
    }

    #[test]
    fn short_lists_behind_a_column_are_spelt_out() {
        check(
            "select case when outcome in ('removed', 'failed') then 1 end as hit from cases",
            "select case when (outcome = 'removed' or outcome = 'failed') then 1 end as hit from cases",
        );
        check(
            "from cases where (cases.outcome is null\n    or cases.outcome not in (\n 'a' ,'b'))",
            "from cases where (cases.outcome is null\n    or (cases.outcome <> 'a' and cases.outcome <> 'b'))",
        );
        check("where not x in ('a')", "where not (x = 'a')");
    }

    #[test]
    fn whatever_is_written_otherwise_stays() {
        for sql in [
            "where a || b in ('x', 'y')",
            "where hour in (1, 2)",
            "where site in ('it''s', 'b')",
            "where x in (select device from passes)",
            "where coalesce(x, y) in ('a')",
            "where site = 'x in (''a'')'",
            "where X IN ('a')",
            "where x in ('1', '2', '3', '4', '5', '6', '7', '8', '9')",
            "where site = 'or x in (' and month <> ')'",
        ] {
            check(sql, sql);
        }
    }

    #[test]
    fn no_list_of_texts_is_left_in_most_measures() {
        let lists = |sql: &str| sql.matches(" in (").count();
        let measures = crate::measure::built_in();
        let before: usize = measures.iter().map(|measure| lists(&measure.sql)).sum();
        let after: usize = measures
            .iter()
            .map(|measure| lists(&plain_in(&measure.sql)))
            .sum();
        assert!(before > 50 && after * 10 < before, "{after} of {before}");
    }
}
