//! A section as a reader of the page gets it, for the tests of the parts on the cart.

use super::*;
use crate::report::content::{Block, Section};
use crate::report::{draw, markdown};

/// All words of the section, charts as their words and tables; what holds for every section holds.
#[track_caller]
pub(in crate::report::staffing) fn read(section: &Section) -> String {
    let mut blocks = Vec::new();
    for block in &section.blocks {
        let Block::Figure(figure) = block else {
            blocks.push(block.clone());
            continue;
        };
        let svg = draw::svg(&figure.chart, &figure.alternative);
        assert!(svg.contains("<svg") && !svg.contains("NaN"));
        assert!(figure.chart.title.ends_with('?'), "{}", figure.chart.title);
        let words = [&figure.chart.title, &figure.caption, &figure.alternative];
        blocks.extend(words.map(|words| Block::Text(words.clone())));
        blocks.push(Block::Table(figure.table.clone()));
    }
    for block in &blocks {
        if let Block::Table(table) = block {
            let width = table.columns.len();
            assert!(table.rows.iter().all(|row| row.len() == width));
        }
    }
    let whole = Section {
        blocks,
        ..section.clone()
    };
    let text = markdown::document("Title", "Lead", [&whole].into_iter());
    for word in ["NaN", "inf ", "None", "Some("] {
        assert!(!text.contains(word), "{word} in {text}");
    }
    text
}

#[test]
fn few_cases_have_counts_alone_and_chances_near_their_ends_say_so() {
    let limits = Interval {
        low: 0.25,
        high: 0.875,
    };
    let of = |events, cases| Tally::new(events, cases).unwrap().unwrap();
    assert_eq!(share(of(3, 4), limits, 0.95), "3 of 4");
    assert_eq!(
        share(of(6, 8), limits, 0.95),
        "6 of 8 (75%, Wilson 95% interval 25 to 88%)"
    );
    assert_eq!(
        plain_share(of(3, 4), limits, 0.95, "checks"),
        "3 of 4 checks"
    );
    assert_eq!(
        plain_share(of(6, 8), limits, 0.95, "checks"),
        "6 of 8 checks (75%, 95% interval 25 to 88%)"
    );
    assert_eq!(chance(0.0), "below 0.1%");
    assert_eq!(chance(0.034), "3.4%");
    assert_eq!(chance(1.0), "above 99.9%");
    assert_eq!(items(&[]), "nothing");
    assert_eq!(
        items(&[CartItem::Hood, CartItem::Overtube]),
        "protector hood and overtube"
    );
}
