use super::*;
use crate::findings::staffing::demand::tests::{few_by_hour, invented, one_site};
use crate::report::content::{Figure, Table};
use crate::report::draw;

fn figures(section: &Section) -> Vec<&Figure> {
    let blocks = section.blocks.iter();
    blocks
        .filter_map(|block| match block {
            Block::Figure(figure) => Some(figure.as_ref()),
            _ => None,
        })
        .collect()
}

fn tables(section: &Section) -> Vec<&Table> {
    let blocks = section.blocks.iter();
    blocks
        .filter_map(|block| match block {
            Block::Figure(figure) => Some(&figure.table),
            Block::Table(table) => Some(table),
            _ => None,
        })
        .collect()
}

/// Every text of the section but those of tables and figures.
fn text(section: &Section) -> String {
    let blocks = section.blocks.iter();
    let texts = blocks.map(|block| match block {
        Block::Text(text) => text.clone(),
        Block::List(items) => items.join(" "),
        _ => String::new(),
    });
    texts.collect::<Vec<_>>().join("\n")
}

#[test]
fn three_figures_stand_with_tables_as_wide_as_their_columns() {
    let demand = invented();
    let section = section(Some(&demand));
    let figures = figures(&section);
    let stems: Vec<_> = figures.iter().map(|figure| figure.stem.as_str()).collect();
    assert_eq!(
        stems,
        [
            "demand_by_month",
            "demand_by_hour_of_week",
            "demand_by_block"
        ]
    );
    for figure in figures {
        let svg = draw::svg(&figure.chart, &figure.alternative);
        assert!(
            svg.contains("<svg") && !svg.contains("NaN"),
            "{}",
            figure.stem
        );
        assert!(figure.chart.title.contains('?') && !figure.alternative.is_empty());
    }
    for table in tables(&section) {
        assert!(!table.rows.is_empty(), "{}", table.caption);
        for row in &table.rows {
            assert_eq!(row.len(), table.columns.len(), "{}", table.caption);
        }
    }
}

/// 24 calls in 365 days: Garwood's 15.38 to 35.71 calls are 1.26 to 2.94 in 30 days. Equal counts in
/// months of their own lengths give a ratio of 1.0236 a year (mpmath 1.3).
#[test]
fn the_worked_numbers_come_out_in_words() {
    let demand = one_site("2024-07", "2025-06", &[2; 12]);
    assert_eq!(
        in_words(&demand),
        [
            "24 calls, July 2024 to June 2025: 2.0 per 30 days of one site (95% interval 1.3 to 2.9).",
            "If calls go on as they came: 2 to 12 calls in July to September 2025 (95% interval)."
        ]
    );
    let section = section(Some(&demand));
    let text = text(&section);
    for words in [
        "staffing law, contracts and local policy decide",
        "vary 0.00 times as much as calls that come at random",
        "No clear trend: on one straight line the rate of a year is 1.02 times",
        "In fewer than 24 months a season can look like a trend.",
        "No call has its weekday and hour",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
}

#[test]
fn the_first_page_has_three_sentences_with_denominators() {
    let words = in_words(&invented());
    assert_eq!(words.len(), 3, "{words:?}");
    // 22, 14 and 9 calls a month and 0 to 9 more: 630, 438, and 195 in the last 15 months.
    assert!(
        words[0].starts_with("1,263 calls, October 2024"),
        "{}",
        words[0]
    );
    assert!(
        words[1].contains("of the clock is after hours"),
        "{}",
        words[1]
    );
    assert!(
        words[2].contains("at 3 sites together in October to December 2026"),
        "{}",
        words[2]
    );
}

#[test]
fn a_late_site_and_few_months_are_said() {
    let late = text(&section(Some(&invented())));
    assert!(late.contains("(Cedar: the first 9 months)"), "{late}");
    let short = text(&section(Some(&one_site("2025-04", "2025-04", &[12]))));
    assert!(
        short.contains("cannot be said from 1 month (12 are needed)"),
        "{short}"
    );
    assert!(!short.contains("left out ("), "{short}");
}

#[test]
fn where_calls_are_too_few_for_weekdays_the_grid_would_repeat_the_blocks() {
    let section = section(Some(&few_by_hour()));
    let stems: Vec<_> = figures(&section)
        .into_iter()
        .map(|figure| figure.stem.as_str())
        .collect();
    assert_eq!(stems, ["demand_by_month", "demand_by_block"]);
    assert!(text(&section).contains("Calls are too few to tell weekdays apart"));
}

#[test]
fn months_that_differ_by_more_than_chance_are_said_wherever_they_widen_a_number() {
    let uneven: Vec<u64> = (0..12).map(|place| 40 * (place % 2)).collect();
    let section = section(Some(&one_site("2024-07", "2025-06", &uneven)));
    let text = text(&section);
    // Variance over mean: 20 times 12 / 11, or 21.8, in months of nearly equal length.
    for words in [
        "Months differ by more than chance gives: their calls vary 2",
        "p below 0.001",
        "Where months differ by more than chance, the next ones do so as much",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    let caption = &tables(&section)[0].caption;
    assert!(
        caption.contains("divided by the index of their variance"),
        "{caption}"
    );
}

#[test]
fn without_demand_the_section_says_why() {
    assert_eq!(text(&section(None)), words::NOT_COUNTED);
}

/// Every month alike about its rate, so that only the rule of the shade is looked at.
#[test]
fn shades_are_quarters_of_the_highest_rate() {
    use crate::report::chart::Shade;
    let shades = [0.0, 0.5, 1.0, 1.01, 2.0, 2.5, 3.0, 4.0].map(|rate| figures::shade(rate, 4.0));
    assert_eq!(
        shades,
        [
            Shade::Blank,
            Shade::Pale,
            Shade::Pale,
            Shade::Light,
            Shade::Light,
            Shade::Middle,
            Shade::Middle,
            Shade::Dark
        ]
    );
}
