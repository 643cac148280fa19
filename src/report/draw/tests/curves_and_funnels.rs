//! Tests of curves and funnels: what is drawn, and what covers what.

use super::{marks, month_chart, texts};
use crate::findings::finding::Unit;
use crate::report::chart::{
    Chart, CurvePanel, CurveStep, FunnelLine, FunnelPlot, FunnelPoint, Plot, Reference,
};
use crate::report::draw::axis::Axis;
use crate::report::draw::font::text_width;
use crate::report::draw::scene;
use crate::report::draw::scene::{Align, Ink, Mark, Shape, Size};

#[test]
fn a_curve_is_one_path_over_one_area_with_a_tick_for_each_case_that_left() {
    let step = |minutes, share: f64| CurveStep {
        minutes,
        share,
        band: (share * 0.5, share * 1.2),
    };
    let panel = CurvePanel {
        label: "Urgent".to_owned(),
        words: "9 cases".to_owned(),
        steps: vec![step(20, 0.2), step(40, 0.7)],
        censored: vec![10, 30, 90],
        until: 60,
        ticks: [0, 50, 100]
            .map(|at| (at, at.to_string(), (9 - at / 20).to_string()))
            .to_vec(),
        limits: vec![(50, "6 hours".to_owned())],
    };
    let chart = Chart {
        unit: Some(Unit::Fraction),
        plot: Plot::Curves(vec![panel.clone(), panel.clone(), panel]),
        ..month_chart(&[])
    };
    let shapes = scene(&chart).shapes;
    let paths: Vec<_> = shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Path { points, .. } => Some(points),
            _ => None,
        })
        .collect();
    assert_eq!(paths.len(), 3);
    // From 0 along the floor, up at 20 and 40 minutes, and on to 60 of 100.
    let [from, .., to] = paths[0][..] else {
        panic!("a path")
    };
    assert_eq!(paths[0].len(), 6);
    assert!(
        paths[0]
            .windows(2)
            .all(|two| two[0].0 <= two[1].0 && two[0].1 >= two[1].1)
    );
    let is_at = |at: (i32, i32), part: i32| {
        let pixels = (to.0 - from.0) * part / 60;
        (at.0 - from.0 - pixels).abs() <= 1
    };
    assert!(is_at(paths[0][1], 20) && is_at(paths[0][3], 40));
    let is_area = |shape: &&Shape| matches!(shape, Shape::Area { .. });
    assert_eq!(shapes.iter().filter(is_area).count(), 3);
    let is_tick = |shape: &&Shape| match shape {
        Shape::Line { from, to, ink, .. } => {
            from.0 == to.0 && to.1 - from.1 == 20 && *ink == Ink::Black
        }
        _ => false,
    };
    assert_eq!(
        shapes.iter().filter(is_tick).count(),
        6,
        "none behind the end"
    );
    let texts = texts(&chart);
    let count = |wanted: &str| texts.iter().filter(|text| *text == wanted).count();
    assert_eq!(
        [
            count("6 hours"),
            count("7"),
            count("at risk"),
            count("Urgent")
        ],
        [3, 3, 2, 3]
    );
}

#[test]
fn names_of_sites_stand_off_the_marks_and_off_each_other() {
    let site = |number: u64, beyond| FunnelPoint {
        label: format!("A very long name of the hospital with the number {number}"),
        cases: 20 + number,
        value: if beyond > 0 { 0.3 } else { 0.8 },
        beyond,
    };
    let mut sites: Vec<_> = (0..40).map(|number| site(number, 0)).collect();
    sites.extend([site(40, 2), site(41, 1)]);
    let line = |cases| FunnelLine {
        cases,
        limits: [(Some(0.6), None), (Some(0.5), None)],
    };
    let chart = Chart {
        unit: Some(Unit::Fraction),
        plot: Plot::Funnel(FunnelPlot {
            sites,
            target: Reference {
                value: 0.8,
                label: "all 80%".to_owned(),
            },
            lines: vec![line(5), line(60)],
            names: ["95%", "99.8%"].map(str::to_owned),
        }),
        ..month_chart(&[])
    };
    let found = marks(&chart);
    let count = |wanted: Mark| found.iter().filter(|mark| **mark == wanted).count();
    assert_eq!(
        [count(Mark::Estimate), count(Mark::Far), count(Mark::InView)],
        [40, 1, 1]
    );
    let texts = texts(&chart);
    let names: Vec<_> = texts
        .iter()
        .filter(|text| text.starts_with("A very"))
        .collect();
    assert_eq!(names.len(), 2, "both outside, none of forty inside");
    assert!(
        names[0].ends_with("40") && names[1].ends_with("41"),
        "{names:?}"
    );
    assert!(names.iter().all(|name| name.contains('…')));
    let shapes = scene(&chart).shapes;
    let sites = shapes.iter().filter_map(|shape| match shape {
        Shape::Mark { at, .. } => Some(*at),
        _ => None,
    });
    let sites: Vec<_> = sites.collect();
    let mut taken: Vec<(i32, i32, i32)> = Vec::new();
    for shape in &shapes {
        if let Shape::Text {
            at, text, align, ..
        } = shape
            && text.starts_with("A very")
        {
            let width = text_width(text, Size::Small.pixels());
            let left = match align {
                Align::Start => at.0,
                Align::Middle => at.0 - width / 2,
                Align::End => at.0 - width,
            };
            let covers = |(x, y): (i32, i32)| {
                (left - 8..left + width + 8).contains(&x) && (y - at.1).abs() < 18
            };
            assert!(!sites.iter().any(|site| covers(*site)), "{text}");
            let overlaps = |other: &(i32, i32, i32)| {
                left < other.1 && other.0 < left + width && (other.2 - at.1).abs() < 20
            };
            assert!(!taken.iter().any(overlaps), "{text}");
            taken.push((left, left + width, at.1));
        }
    }
    for text in ["all 80%", "95%", "99.8%", "20", "60"] {
        assert!(texts.iter().any(|drawn| drawn == text), "{text}");
    }
}

#[test]
fn axes_of_points_start_at_a_half_where_all_lie_above() {
    let high = Axis::of_points((0.62, 0.98), 400, 0);
    assert_eq!(high.ticks()[0], (400, "50%".to_owned()));
    assert!(high.holds(0.5) && !high.holds(0.49) && high.pixel(0.75) == 200);
    let low = Axis::of_points((0.02, 0.12), 400, 0);
    assert_eq!(low.ticks()[4], (0, "20%".to_owned()));
}
