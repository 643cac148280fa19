//! Tests of charts: what is drawn, not where.

mod curves_and_funnels;
mod grid;

use super::axis::Axis;
use super::font::{fitted, text_width, wrapped};
use super::scene::{Align, Ink, Mark, Shape, Size};
use super::*;
use crate::domain::month::Month;
use crate::findings::finding::Unit;
use crate::report::chart::{CaseDot, Line, MonthPoint, Reference, Stack};

fn month_chart(values: &[Option<f64>]) -> Chart {
    let first = Month::new(2026, 1).expect("a month");
    let last = first.plus(i32::try_from(values.len()).expect("few") - 1);
    let points = first
        .through(last)
        .zip(values)
        .map(|(month, &value)| MonthPoint {
            month,
            n: "31".to_owned(),
            value,
            value_text: "80 min".to_owned(),
            limits: (value.map(|value| value * 0.5), None),
            quartiles: value.map(|value| (value * 0.6, value * 1.4)),
            cases: Vec::new(),
        })
        .collect();
    Chart {
        title: "Call <to> scope & back: how long?".to_owned(),
        axis_label: "minutes".to_owned(),
        unit: Some(Unit::Minutes),
        plot: Plot::Months {
            points,
            in_view: last,
            reference: Some(Reference {
                value: 70.0,
                label: "before 70 min".to_owned(),
            }),
        },
    }
}

fn group(label: &str, value: Option<f64>) -> Line {
    Line::Group {
        label: label.to_owned(),
        value,
        limits: (
            value.map(|value| value / 2.0),
            value.map(|value| value * 1.5),
        ),
        quartiles: None,
        p90: None,
        drawn: None,
        text: "60%, 6 of 10 cases".to_owned(),
    }
}

fn marks(chart: &Chart) -> Vec<Mark> {
    let marks = scene(chart)
        .shapes
        .into_iter()
        .filter_map(|shape| match shape {
            Shape::Mark { mark, .. } => Some(mark),
            _ => None,
        });
    marks.collect()
}

fn texts(chart: &Chart) -> Vec<String> {
    let texts = scene(chart)
        .shapes
        .into_iter()
        .filter_map(|shape| match shape {
            Shape::Text { text, .. } => Some(text),
            _ => None,
        });
    texts.collect()
}

#[test]
fn every_month_with_a_value_has_one_mark_and_a_month_without_has_none() {
    let chart = month_chart(&[Some(60.0), None, Some(75.0), Some(80.0)]);
    assert_eq!(
        marks(&chart),
        [Mark::Estimate, Mark::Estimate, Mark::InView]
    );
    let texts = texts(&chart);
    assert_eq!(texts.iter().filter(|text| *text == "31").count(), 4);
    for text in [
        "Jan",
        "Feb",
        "Mar",
        "Apr",
        "2026",
        "0",
        "80 min",
        "before 70 min",
    ] {
        assert!(texts.iter().any(|drawn| drawn == text), "{text}");
    }
}

#[test]
fn single_cases_are_drawn_one_by_one_and_counted_beyond_the_axis() {
    let mut chart = month_chart(&[Some(80.0)]);
    let dot = |minutes, reached, count| CaseDot {
        minutes,
        reached,
        count,
    };
    if let Plot::Months { points, .. } = &mut chart.plot {
        points[0].cases = vec![dot(70, true, 3), dot(90, false, 1), dot(20_000, true, 2)];
    }
    let marks = marks(&chart);
    assert_eq!(marks.iter().filter(|mark| **mark == Mark::Case).count(), 3);
    assert_eq!(
        marks.iter().filter(|mark| **mark == Mark::OpenCase).count(),
        1
    );
    assert!(texts(&chart).iter().any(|text| text == "+2"));
}

#[test]
fn without_an_estimate_the_axis_follows_the_cases() {
    let mut chart = month_chart(&[None]);
    if let Plot::Months {
        points, reference, ..
    } = &mut chart.plot
    {
        *reference = None;
        points[0].cases = vec![CaseDot {
            minutes: 90,
            reached: false,
            count: 2,
        }];
    }
    assert_eq!(marks(&chart), [Mark::OpenCase, Mark::OpenCase]);
}

#[test]
fn every_group_has_a_line_and_one_mark_when_it_has_a_value() {
    let chart = Chart {
        unit: Some(Unit::Fraction),
        plot: Plot::Rows(vec![
            Line::Heading("coin".to_owned()),
            group("snare", Some(0.6)),
            group("net", None),
        ]),
        ..month_chart(&[])
    };
    assert_eq!(marks(&chart), [Mark::Estimate]);
    let texts = texts(&chart);
    for text in ["coin", "snare", "net", "0%", "100%"] {
        assert!(texts.iter().any(|drawn| drawn == text), "{text}");
    }
}

#[test]
fn svg_is_escaped_named_and_free_of_ids() {
    let text = svg(&month_chart(&[Some(60.0), Some(75.0)]), "half of <all>");
    assert!(text.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""));
    assert!(text.ends_with("</svg>") && text.matches("<svg").count() == 1);
    assert!(text.contains("<title>Call &lt;to&gt; scope &amp; back: how long?</title>"));
    assert!(text.contains("aria-label=\"half of &lt;all&gt;\""));
    assert!(!text.contains("<to>") && !text.contains(" id=") && !text.contains("NaN"));
}

#[test]
fn pictures_are_the_same_every_time_and_empty_ones_can_be_drawn() {
    for values in [&[][..], &[None], &[Some(0.0)], &[Some(60.0), Some(1e12)]] {
        let chart = month_chart(values);
        assert_eq!(svg(&chart, "x"), svg(&chart, "x"));
        assert!(!svg(&chart, "x").contains("inf"));
    }
    let chart = month_chart(&[Some(60.0)]);
    assert_eq!(png(&chart), png(&chart));
}

#[test]
fn png_holds_text() {
    let title_only = Chart {
        plot: Plot::Rows(Vec::new()),
        ..month_chart(&[])
    };
    let bytes = png(&title_only);
    let mut decoder = png::Decoder::new(std::io::Cursor::new(&bytes));
    decoder.set_transformations(png::Transformations::EXPAND);
    let mut reader = decoder.read_info().unwrap();
    assert_eq!(reader.info().color_type, png::ColorType::Indexed);
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    assert_eq!((info.width, info.color_type), (1440, png::ColorType::Rgb));
    let title = &pixels[..1440 * 3 * 70];
    let dark = title.chunks(3).filter(|pixel| pixel[0] < 100).count();
    assert!(dark > 300, "{dark} dark pixels where the title stands");
}

#[test]
fn a_bar_of_parts_is_whole_and_names_each_part_that_has_room() {
    let stack = |shares: &[f64]| Stack {
        label: "after hours".to_owned(),
        shares: shares
            .iter()
            .map(|share| (*share, format!("{:.0}%", share * 100.0)))
            .collect(),
        text: "30 cases".to_owned(),
    };
    let chart = Chart {
        title: "Where did the time go?".to_owned(),
        axis_label: "percent".to_owned(),
        unit: Some(Unit::Fraction),
        plot: Plot::Stacks {
            parts: ["team", "cart", "airway", "scope"]
                .map(str::to_owned)
                .to_vec(),
            bars: vec![stack(&[0.6, 0.06, 0.34, 0.0]), stack(&[])],
        },
    };
    let shapes = scene(&chart).shapes;
    let bars: Vec<_> = shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Bar { from, to, .. } => Some((from.0, to.0)),
            _ => None,
        })
        .collect();
    // Nothing is drawn for a part that took no time; the others join without a gap.
    assert_eq!(bars.len(), 3);
    assert!(bars[0].1 == bars[1].0 && bars[1].1 == bars[2].0);
    let texts: Vec<_> = shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Text { text, .. } => Some(text.as_str()),
            _ => None,
        })
        .collect();
    for text in ["1  team", "4  scope", "1: 60%", "2", "3: 34%"] {
        assert!(texts.contains(&text), "{text} in {texts:?}");
    }
    assert!(!texts.contains(&"2: 6%") && !texts.contains(&"4"));
    assert_eq!(texts.iter().filter(|text| **text == "30 cases").count(), 2);
}

/// Rows of cells; `#` is framed, and every other cell is empty.
#[test]
fn axes_start_at_zero_and_end_on_a_round_number() {
    for (highest, top) in [(83.0, 100.0), (7.0, 8.0), (0.0, 1.0), (1234.0, 1250.0)] {
        let axis = Axis::new(Some(Unit::Minutes), highest, 400, 0);
        assert_eq!(axis.pixel(0.0), 400);
        assert_eq!(axis.pixel(top), 0, "{highest}");
        assert!(!axis.is_beyond(top) && axis.is_beyond(top * 1.001));
    }
    let shares = Axis::new(Some(Unit::Fraction), 0.6, 400, 0);
    assert_eq!(shares.ticks().len(), 5);
    assert_eq!(shares.ticks()[4], (0, "100%".to_owned()));
    let rare = Axis::new(Some(Unit::Fraction), 0.1, 400, 0);
    assert_eq!(rare.ticks()[4], (0, "20%".to_owned()));
}

#[test]
fn a_missing_limit_ends_at_the_estimate_without_a_cap() {
    let axis = Axis::new(Some(Unit::Minutes), 100.0, 0, 100);
    let [low, high] = axis.interval(50.0, (Some(20.0), None));
    assert_eq!((low.at, low.is_limit), (20, true));
    assert_eq!((high.at, high.is_limit), (50, false));
    let [_, high] = axis.interval(50.0, (None, Some(900.0)));
    assert_eq!((high.at, high.is_limit), (100, false));
}

#[test]
fn long_texts_are_broken_or_cut() {
    let long = "a site with a name that goes on and on and on";
    assert!(text_width(&fitted(long, 25, 200), 25) <= 200);
    assert!(fitted(long, 25, 200).ends_with('…'));
    assert_eq!(fitted("Alder", 25, 200), "Alder");
    assert_eq!(wrapped(long, 25, 300).join(" "), long);
    assert!(wrapped(long, 25, 300).len() > 1);
}

/// The paths of each class in an inline picture: class, and what the pen does.
fn paths(svg: &str) -> Vec<(&str, &str)> {
    let paths = svg.split("<path class=").skip(1).filter_map(|path| {
        let class = path.split(' ').next()?;
        Some((class, path.split(" d=\"").nth(1)?.split('"').next()?))
    });
    paths.collect()
}

#[test]
fn the_picture_of_the_page_has_one_path_for_what_looks_alike() {
    let mut scene = Scene {
        height: 200,
        shapes: Vec::new(),
    };
    scene.text((20, 44), "A title?", Size::Title, Ink::Black, Align::Start);
    scene.line((10, 100), (50, 100), Ink::Mist, 2);
    scene.line((10, 140), (50, 180), Ink::Mist, 2);
    scene.bar((100, 80), (120, 90), Ink::Cloud);
    scene.text((60, 100), "5 < 6", Size::Label, Ink::Gray, Align::End);
    scene.mark((200, 100), Mark::Case);
    scene.mark((210, 90), Mark::Case);
    scene.mark((300, 100), Mark::OpenCase);
    scene.mark((400, 100), Mark::Far);
    let svg = inline::svg(&scene, "what it &amp; shows");
    // Without its title the picture begins below it.
    assert!(svg.starts_with(
        "<svg viewBox=\"0 72 1440 128\" role=\"img\" aria-label=\"what it &amp; shows\">"
    ));
    assert!(!svg.contains("A title?") && svg.ends_with("</svg>"));
    // Half the height of small letters, 0.26 of 25 pixels, below the middle of the words.
    let words = "<g class=gray font-size=25 text-anchor=end><text x=60 y=107>5 &lt; 6</text></g>";
    assert!(svg.contains(words), "{svg}");
    assert_eq!(
        paths(&svg),
        [
            ("mist", "M10 100h40M10 140l40 40"),
            ("cloud", "M100 80h20v10h-20z"),
            ("silver", "M200 100h0m10-10h0"),
            ("gray", "M296 100a4 4 0 1 0 8 0a4 4 0 1 0-8 0"),
            ("black", "M400 90l10 10l-10 10l-10-10l10-10"),
        ]
    );
    assert!(svg.contains("stroke-width=8 stroke-linecap=round"));
}

#[test]
fn what_covers_something_on_a_chart_covers_it_on_the_page() {
    let mut scene = Scene {
        height: 200,
        shapes: Vec::new(),
    };
    scene.bar((0, 100), (50, 120), Ink::Cloud);
    scene.line((10, 110), (40, 110), Ink::Black, 2);
    // Over the line, so it may not join the bar below the line; the next is free to.
    scene.bar((20, 105), (30, 115), Ink::Cloud);
    scene.bar((100, 100), (110, 110), Ink::Cloud);
    let svg = inline::svg(&scene, "");
    let order: Vec<_> = paths(&svg).iter().map(|path| path.0).collect();
    assert_eq!(order, ["cloud", "black", "cloud"]);
}

#[test]
fn the_style_sheet_has_each_ink_for_the_light_and_for_the_dark() {
    let style = include_str!("../style.css");
    let roots: Vec<_> = style.split(":root {").skip(1).take(2).collect();
    for ink in Ink::ALL {
        let name = ink.name();
        let rule = style.split_once(&format!("\n.{name} {{ color: var(--"));
        let (_, rule) = rule.unwrap_or_else(|| panic!("no rule for {name}"));
        let variable = rule.split(')').next().expect("a name");
        for root in &roots {
            let root = root.split('}').next().expect("its end");
            assert!(root.contains(&format!("--{variable}: #")), "{variable}");
        }
    }
    let inks: std::collections::BTreeSet<_> = Ink::ALL.map(Ink::hex).into_iter().collect();
    assert_eq!(inks.len(), Ink::ALL.len(), "an ink is told by its color");
}
