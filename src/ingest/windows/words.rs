//! Which cases a window is for, in words for the reader of a report.

use super::{Bounds, CODED, Conditions, Population};
use crate::domain::codes::{ObjectLocation, YesNo};
use crate::domain::fields::{CaseField, Field, value_label};

/// More codes than that are told as all but the others, where these are fewer.
const MOST_CODES_NAMED: usize = 8;

/// With more others than that nobody would read either list; the table and the mapping have it.
const MOST_OTHERS_NAMED: usize = 3;

/// `adults; food impaction; complete obstruction`.
pub(in crate::ingest) fn applies_to(conditions: &Conditions) -> String {
    let population = match conditions.population {
        Population::Adult => "adults",
        Population::Child => "children",
        Population::Any => "everyone",
    };
    let mut parts = vec![population.to_string()];
    let years = |years: i64| format!("{years} years");
    parts.extend(bounds(conditions.age_years, years, "and over", "under "));
    for ((field, list), codes) in CODED.iter().zip(&conditions.codes) {
        let Some(codes) = codes else { continue };
        let others: Vec<_> = list
            .words
            .iter()
            .map(|word| word.code)
            .filter(|code| !codes.contains(code))
            .collect();
        let is_told_by_others = codes.len() > MOST_CODES_NAMED && others.len() < codes.len();
        let labels = if is_told_by_others && others.len() > MOST_OTHERS_NAMED {
            let is_blunt = codes_of(conditions, CaseField::Sharp) == Some(&[YesNo::No.code()]);
            let blunt = if is_blunt { "blunt " } else { "" };
            format!("most kinds of {blunt}object")
        } else if is_told_by_others {
            format!("any object but {}", labels(*field, &others))
        } else {
            labels(*field, codes)
        };
        parts.push(match field {
            CaseField::Sharp | CaseField::Symptoms | CaseField::VaricealSuspected => {
                format!("{}: {labels}", short_name(*field))
            }
            _ => labels,
        });
    }
    let mm = |mm: i64| format!("{mm} mm");
    let of_length = bounds(conditions.length_mm, mm, "long or longer", "shorter than ");
    let of_width = bounds(conditions.width_mm, mm, "wide or wider", "narrower than ");
    parts.extend(of_length.into_iter().chain(of_width));
    parts.join("; ")
}

fn codes_of(conditions: &Conditions, wanted: CaseField) -> Option<&[&'static str]> {
    let place = CODED.iter().position(|(field, _)| *field == wanted)?;
    conditions.codes[place].as_deref()
}

fn short_name(field: CaseField) -> &'static str {
    match field {
        CaseField::Sharp => "sharp",
        other => other.label(),
    }
}

/// A row for the whole esophagus lists all its levels; a reader needs the one word.
fn labels(field: CaseField, codes: &[&'static str]) -> String {
    let esophagus = ObjectLocation::Esophagus.code();
    let is_whole = codes.contains(&esophagus);
    let labels: Vec<_> = codes
        .iter()
        .filter(|code| !(is_whole && code.ends_with("_esophagus")))
        .map(|code| match *code {
            code if code == esophagus => code,
            code => value_label(field.column(), code),
        })
        .collect();
    labels.join(" or ")
}

/// `5 years and over`, `under 5 years`.
fn bounds(
    bounds: Bounds,
    number: impl Fn(i64) -> String,
    from: &str,
    under: &str,
) -> impl Iterator<Item = String> {
    let from = bounds.from.map(|least| format!("{} {from}", number(least)));
    let under = bounds.under.map(|most| format!("{under}{}", number(most)));
    from.into_iter().chain(under)
}
