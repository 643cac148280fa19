//! Tests of charts of cells: what stands in a cell, the frame, and labels that need room.

use super::texts;
use crate::report::chart::{Chart, Grid, GridCell, GridColumn, GridRow, Plot, Shade};
use crate::report::draw::scene;
use crate::report::draw::scene::{Ink, Shape};

fn grid_chart(frames: &[&str], labels: &[&str]) -> Chart {
    let rows = frames.iter().zip(0..).map(|(frame, row)| GridRow {
        label: format!("row {row}"),
        cells: frame
            .chars()
            .zip(0..)
            .map(|(mark, column)| GridCell {
                shade: Shade::ALL[column % Shade::ALL.len()],
                text: if column % 2 == 0 {
                    format!("{row}{column}")
                } else {
                    String::new()
                },
                is_framed: mark == '#',
            })
            .collect(),
        total: format!("total {row}"),
    });
    Chart {
        title: "When do calls come?".to_owned(),
        axis_label: "Calls".to_owned(),
        unit: None,
        plot: Plot::Grid(Grid {
            rows: rows.collect(),
            columns: labels
                .iter()
                .map(|label| GridColumn {
                    label: (*label).to_owned(),
                    group: String::new(),
                    total: format!("all {label}"),
                })
                .collect(),
            totals: Some("All".to_owned()),
            below: Some("All rows".to_owned()),
            legend: vec![(Shade::Pale, "1 to 3".to_owned())],
            frame: Some("staffed".to_owned()),
        }),
    }
}

#[test]
fn a_cell_has_one_rectangle_and_one_text_at_most() {
    let chart = grid_chart(&["...", "..."], &["Jan", "Feb", "Mar"]);
    let texts = texts(&chart);
    for text in [
        "00", "02", "10", "12", "row 0", "total 1", "all Feb", "All", "All rows",
    ] {
        let found = texts.iter().filter(|drawn| *drawn == text);
        assert_eq!(found.count(), 1, "{text}");
    }
    assert!(!texts.contains(&String::new()));
    let bars = scene(&chart).shapes.into_iter();
    let bars = bars.filter(|shape| matches!(shape, Shape::Bar { .. }));
    // A blank cell has none; the fifth is that of the legend.
    assert_eq!(bars.count(), 5);
}

#[test]
fn a_frame_is_drawn_in_lines_as_long_as_can_be() {
    let frames = |frames: &[&str]| {
        let shapes = scene(&grid_chart(frames, &["a", "b", "c"]))
            .shapes
            .into_iter();
        let lines = shapes.filter(|shape| {
            matches!(
                shape,
                Shape::Line {
                    ink: Ink::Black,
                    ..
                }
            )
        });
        // The legend has a frame of four lines.
        lines.count() - 4
    };
    assert_eq!(frames(&["...", "..."]), 0);
    assert_eq!(frames(&[".##", ".##"]), 4);
    assert_eq!(frames(&["###", "..#"]), 6);
}

#[test]
fn columns_without_room_for_their_names_keep_the_first_letter() {
    let names = |columns: usize| {
        let frame = ".".repeat(columns);
        texts(&grid_chart(&[&frame], &vec!["Sep"; columns]))
    };
    assert!(names(12).contains(&"Sep".to_owned()));
    let narrow = names(30);
    assert!(narrow.contains(&"S".to_owned()) && !narrow.contains(&"Sep".to_owned()));
}

#[test]
fn a_long_label_takes_two_lines_and_is_cut_only_beyond_them() {
    let drawn = |label: &str| {
        let mut chart = grid_chart(&["..."], &["a", "b", "c"]);
        if let Plot::Grid(grid) = &mut chart.plot {
            label.clone_into(&mut grid.rows[0].label);
        }
        texts(&chart)
    };
    assert!(drawn("overtube").contains(&"overtube".to_owned()));
    let label = "pass before which the overtube was placed";
    let texts = drawn(label);
    let lines: Vec<_> = texts
        .iter()
        .filter(|text| !text.is_empty() && label.contains(text.as_str()) && text.len() > 3)
        .cloned()
        .collect();
    assert_eq!(lines.join(" "), label);
    assert_eq!(lines.len(), 2);
    let long = drawn(&"several words ".repeat(20));
    assert_eq!(long.iter().filter(|text| text.ends_with('…')).count(), 1);
}
