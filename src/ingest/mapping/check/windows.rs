//! The guideline windows of a mapping: from when they count, which are switched on and off, and the
//! site's own.

use crate::domain::codes::Urgency;
use crate::domain::fields::{CaseField, Field, Kind};
use crate::domain::window::{ClockStart, GuidelineWindow, WindowChoice, WindowLength};
use crate::ingest::error::MappingFault;
use crate::ingest::mapping::file::{LocalWindowTable, WindowsTable, Words};
use crate::ingest::windows::{
    Bounds, BuiltInWindow, CODED, Codes, Conditions, Population, Window, Windows, applies_to,
    built_in, code_of,
};

/// From when windows may count.
const STARTS: [CaseField; 3] = [
    CaseField::ArrivedAt,
    CaseField::CalledAt,
    CaseField::OnsetAt,
];

/// The moment from which windows count.
pub(super) fn window_start(
    name: &str,
    is_mapped: impl Fn(CaseField) -> bool,
) -> Result<CaseField, MappingFault> {
    let start = STARTS.into_iter().find(|field| field.name() == name);
    let start = start.ok_or_else(|| {
        MappingFault::new(
            "`windows.start` is none of `arrived_at`, `called_at` and `onset_at`",
            "guidelines mostly count from arrival; choose one, it is printed with every result",
        )
    })?;
    if start == CaseField::OnsetAt && !is_mapped(start) {
        return Err(MappingFault::new(
            "`windows.start` is `onset_at`, and `cases.columns` gives no column for it",
            "add `onset_at` below `[cases.columns]`, or count from `arrived_at` or `called_at`",
        ));
    }
    Ok(start)
}

/// The windows that cases are held against: the site's own, then the built-in ones in their order.
pub(super) fn windows(
    table: &WindowsTable,
    is_mapped: impl Fn(CaseField) -> bool,
) -> Result<Windows, MappingFault> {
    let built_in = built_in();
    check_switches(table, &built_in)?;
    let mut windows = Vec::new();
    for local in &table.local {
        check_id(local, &built_in, &windows)?;
        windows.push(local_window(local, &is_mapped)?);
    }
    let switched = |window: &BuiltInWindow| {
        let id = &window.window.words.id;
        let is_on = table.on.contains(id).then_some(true);
        is_on.or(table.off.contains(id).then_some(false))
    };
    windows.extend(built_in.into_iter().map(|window| {
        let switched = switched(&window);
        window.chosen(switched)
    }));
    Ok(Windows::new(windows))
}

fn check_switches(table: &WindowsTable, built_in: &[BuiltInWindow]) -> Result<(), MappingFault> {
    for (key, ids) in [("on", &table.on), ("off", &table.off)] {
        let is_unknown = |id: &&String| !built_in.iter().any(|known| known.window.words.id == **id);
        if let Some(id) = ids.iter().find(is_unknown) {
            let known = built_in.iter().map(|known| known.window.words.id.as_str());
            return Err(MappingFault::new(
                format!("`windows.{key}` names `{id}`, which is no guideline window"),
                format!(
                    "the windows of sql/urgency_windows.csv are: {}",
                    known.collect::<Vec<_>>().join(", ")
                ),
            ));
        }
    }
    match table.on.iter().find(|id| table.off.contains(id)) {
        None => Ok(()),
        Some(id) => Err(MappingFault::new(
            format!("`{id}` stands both in `windows.on` and in `windows.off`"),
            "keep it in one of the two",
        )),
    }
}

fn check_id(
    local: &LocalWindowTable,
    built_in: &[BuiltInWindow],
    earlier: &[Window],
) -> Result<(), MappingFault> {
    let id = &local.id;
    let is_plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    if id.is_empty() || !id.chars().all(is_plain) {
        return Err(MappingFault::new(
            "a row of `windows.local` has an `id` that cannot be one",
            "an `id` has lowercase letters, digits and `_`, for example \"food_before_morning\"",
        ));
    }
    let is_built_in = built_in.iter().any(|known| known.window.words.id == *id);
    if is_built_in || earlier.iter().any(|known| known.words.id == *id) {
        return Err(MappingFault::new(
            format!("`windows.local` has a row `{id}`, and there is a window of this `id` already"),
            "give each row an `id` of its own; to replace a built-in window, name that one in `windows.off`",
        ));
    }
    Ok(())
}

fn local_window(
    local: &LocalWindowTable,
    is_mapped: &impl Fn(CaseField) -> bool,
) -> Result<Window, MappingFault> {
    let conditions = conditions(local, is_mapped)?;
    let words = GuidelineWindow {
        id: local.id.clone(),
        applies_to: applies_to(&conditions),
        urgency: one_of(local, "urgency", &local.urgency, &URGENCIES, Urgency::code)?,
        length: length(local)?,
        preferred_minutes: None,
        clock_start: match &local.clock_start {
            None => ClockStart::NotStated,
            Some(word) => one_of(
                local,
                "clock_start",
                word,
                &ClockStart::ALL,
                ClockStart::code,
            )?,
        },
        source: local.source.trim().to_string(),
        status: "local".to_string(),
        note: String::new(),
        choice: WindowChoice::Local,
    };
    if words.source.is_empty() {
        return Err(fault(
            local,
            "has no `source`",
            "say who decided on it and when, for example source = \"department policy, 2026\"; the report prints it",
        ));
    }
    if words.length.is_none() != (words.urgency == Urgency::NoWindow) {
        return Err(fault(
            local,
            "has a time and `no_window`, or neither of them",
            "give `hours` or `minutes`; or urgency = \"no_window\" for cases that are watched",
        ));
    }
    Ok(Window { words, conditions })
}

/// What a window can be; "not assignable" is what no window fits.
const URGENCIES: [Urgency; 4] = [
    Urgency::Emergent,
    Urgency::Urgent,
    Urgency::NonUrgent,
    Urgency::NoWindow,
];

fn length(local: &LocalWindowTable) -> Result<Option<WindowLength>, MappingFault> {
    let Kind::Whole { max, .. } = CaseField::WindowMinutes.kind() else {
        unreachable!("the length of a window is a whole number");
    };
    let minutes = match (local.hours, local.minutes) {
        (None, None) => return Ok(None),
        (Some(hours), None) => hours.checked_mul(60),
        (None, minutes) => minutes,
        (Some(_), Some(_)) => None,
    };
    match minutes {
        Some(minutes) if (1..=max).contains(&minutes) => Ok(Some(WindowLength {
            minutes,
            is_inclusive: local.inclusive.unwrap_or(true),
        })),
        _ => Err(fault(
            local,
            "has no length that a window can have",
            "give one of `hours` and `minutes`, more than 0 and at most 30 days",
        )),
    }
}

fn conditions(
    local: &LocalWindowTable,
    is_mapped: &impl Fn(CaseField) -> bool,
) -> Result<Conditions, MappingFault> {
    let population = match local.population.as_deref() {
        None | Some("any") => Population::Any,
        Some("adult") => Population::Adult,
        Some("child") => Population::Child,
        Some(_) => {
            return Err(fault(
                local,
                "has an unknown `population`",
                "the populations are: adult (18 years and over), child, any",
            ));
        }
    };
    let has_class = is_mapped(CaseField::ObjectType);
    let mut codes: [Codes; CODED.len()] = Default::default();
    for (place, (field, _)) in CODED.iter().enumerate() {
        let Some(words) = words_of(local, *field) else {
            continue;
        };
        codes[place] = Some(codes_of(local, place, words)?);
        // The class of an object can stand in for the flag.
        let is_known = is_mapped(*field) || (*field == CaseField::Sharp && has_class);
        check_is_known(local, field.name(), is_known)?;
    }
    let bounds = |from, under| Bounds { from, under };
    let conditions = Conditions {
        population,
        codes,
        age_years: bounds(local.age_from, local.age_under),
        length_mm: bounds(local.length_mm_from, local.length_mm_under),
        width_mm: bounds(local.width_mm_from, local.width_mm_under),
    };
    for (name, bounds, field) in [
        ("age", conditions.age_years, CaseField::AgeYears),
        ("length_mm", conditions.length_mm, CaseField::ObjectLength),
        ("width_mm", conditions.width_mm, CaseField::ObjectWidth),
    ] {
        if bounds
            .from
            .zip(bounds.under)
            .is_some_and(|(from, under)| from >= under)
        {
            return Err(fault(
                local,
                &format!("lets nothing between `{name}_from` and `{name}_under`"),
                "the first is the smallest number that fits, the second the smallest that is too large",
            ));
        }
        let stands_in = bounds.under.is_none() && field != CaseField::AgeYears && has_class;
        let is_known = bounds == Bounds::default() || is_mapped(field) || stands_in;
        check_is_known(local, field.name(), is_known)?;
    }
    if population != Population::Any {
        let age = CaseField::AgeYears;
        check_is_known(local, age.name(), is_mapped(age))?;
    }
    Ok(conditions)
}

fn words_of(local: &LocalWindowTable, field: CaseField) -> Option<&Words> {
    match field {
        CaseField::Presentation => local.presentation.as_ref(),
        CaseField::ObjectType => local.object_type.as_ref(),
        CaseField::ObjectLocation => local.object_location.as_ref(),
        CaseField::Obstruction => local.obstruction.as_ref(),
        CaseField::Sharp => local.sharp.as_ref(),
        CaseField::Symptoms => local.symptoms.as_ref(),
        CaseField::VaricealSuspected => local.variceal_suspected.as_ref(),
        _ => unreachable!("no other field is a coded condition"),
    }
}

fn codes_of(
    local: &LocalWindowTable,
    place: usize,
    words: &Words,
) -> Result<Vec<&'static str>, MappingFault> {
    let (field, list) = CODED[place];
    let codes: Option<Vec<_>> = words.iter().map(|word| code_of(list, word)).collect();
    codes.filter(|codes| !codes.is_empty()).ok_or_else(|| {
        let known: Vec<_> = list.words.iter().map(|word| word.code).collect();
        let name = field.name();
        fault(
            local,
            &format!("has no code below `{name}`, or one that does not exist"),
            &format!("the codes of `{name}` are: {}", known.join(", ")),
        )
    })
}

/// A window that asks for what no case has would never fit.
fn check_is_known(
    local: &LocalWindowTable,
    name: &str,
    is_known: bool,
) -> Result<(), MappingFault> {
    if is_known {
        return Ok(());
    }
    Err(fault(
        local,
        &format!("asks for `{name}`, which has no column"),
        &format!("add `{name}` below `[cases.columns]`, or take the condition out"),
    ))
}

fn one_of<T: Copy>(
    local: &LocalWindowTable,
    key: &str,
    word: &str,
    all: &[T],
    code: impl Fn(T) -> &'static str,
) -> Result<T, MappingFault> {
    let found = all.iter().copied().find(|known| code(*known) == word);
    found.ok_or_else(|| {
        let known: Vec<_> = all.iter().map(|known| code(*known)).collect();
        fault(
            local,
            &format!("has an unknown `{key}`"),
            &format!("the words of `{key}` are: {}", known.join(", ")),
        )
    })
}

fn fault(local: &LocalWindowTable, what: &str, hint: &str) -> MappingFault {
    MappingFault::new(format!("`windows.local` row `{}` {what}", local.id), hint)
}
