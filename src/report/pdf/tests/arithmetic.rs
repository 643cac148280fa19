//! Tests of places, widths and lines: plain numbers, worked out by hand.

use crate::report::pdf::columns::{Column, lowered, narrowed, widths};
use crate::report::pdf::layout::{Extent, places};
use crate::report::pdf::piece::{PAGE, TOP, WIDTH};
use crate::report::pdf::text::{Typefaces, Weight};
use proptest::prelude::{Just, Strategy, any, prop, prop_oneof, proptest};

fn extent(height: f32) -> Extent {
    Extent {
        before: 10.0,
        height,
        ..Extent::default()
    }
}

fn keeping(height: f32) -> Extent {
    Extent {
        keeps_next: true,
        ..extent(height)
    }
}

fn placed(extents: &[Extent]) -> Vec<(usize, f32)> {
    let places = places(extents, 100.0);
    places.iter().map(|place| (place.page, place.top)).collect()
}

#[test]
fn a_piece_that_does_not_fit_begins_a_page_without_space_above_it() {
    let three = [extent(40.0), extent(50.0), extent(1.0)];
    assert_eq!(placed(&three), [(0, 0.0), (0, 50.0), (1, 0.0)]);
}

#[test]
fn a_heading_goes_where_its_text_goes() {
    let three = [extent(60.0), keeping(10.0), extent(20.0)];
    assert_eq!(placed(&three), [(0, 0.0), (1, 0.0), (1, 20.0)]);
    let fits = [extent(60.0), keeping(5.0), extent(15.0)];
    assert_eq!(placed(&fits), [(0, 0.0), (0, 70.0), (0, 85.0)]);
}

#[test]
fn what_belongs_together_but_fits_no_page_begins_where_it_is() {
    let long = [extent(20.0), keeping(50.0), keeping(50.0), extent(50.0)];
    assert_eq!(placed(&long), [(0, 0.0), (0, 30.0), (1, 0.0), (2, 0.0)]);
}

#[test]
fn a_row_that_begins_a_page_stands_below_the_head() {
    let row = Extent {
        before: 0.0,
        height: 30.0,
        repeated: 20.0,
        ..Extent::default()
    };
    // The head itself, then rows: 20 + 30 + 30 fill 80, and the next page holds 20 + 30 + 30.
    let table = [keeping(20.0), row, row, row, row, row];
    let expected = [
        (0, 0.0),
        (0, 20.0),
        (0, 50.0),
        (1, 20.0),
        (1, 50.0),
        (2, 20.0),
    ];
    assert_eq!(placed(&table), expected);
}

#[test]
fn a_piece_can_ask_for_a_page_of_its_own() {
    let asking = Extent {
        breaks_before: true,
        ..extent(10.0)
    };
    assert_eq!(placed(&[asking, asking]), [(0, 0.0), (1, 0.0)]);
}

fn chart(height: f32) -> Extent {
    Extent {
        spare: 0.28,
        ..extent(height)
    }
}

#[test]
fn the_charts_of_a_page_become_smaller_together_so_that_another_fits() {
    // 10 lie between them, so 90 are left for 100: nine tenths of each.
    let found = places(&[chart(50.0), chart(50.0)], 100.0);
    let shares: Vec<f32> = found.iter().map(|place| place.share).collect();
    assert_eq!(shares, [0.9, 0.9]);
    assert_eq!((found[1].page, found[1].top), (0, 55.0));
    // 90 for 126 is less than 0.72, so each has its page and its size.
    let found = places(&[chart(63.0), chart(63.0)], 100.0);
    assert_eq!((found[1].page, found[1].share), (1, 1.0));
    // Text is drawn at its size, and is no reason to make a chart smaller.
    let found = places(&[chart(90.0), extent(5.0)], 100.0);
    assert_eq!((found[0].share, found[1].page), (1.0, 1));
}

#[test]
fn what_is_joined_moves_together_unless_no_page_holds_it() {
    let joined = |height: f32| Extent {
        joins_next: true,
        ..extent(height)
    };
    let three = [extent(50.0), joined(10.0), extent(30.0)];
    assert_eq!(placed(&three), [(0, 0.0), (1, 0.0), (1, 20.0)]);
    // 10 and 95 fill more than a page, so the lower one is not moved for the higher one's sake.
    let high = [extent(50.0), joined(10.0), extent(95.0)];
    assert_eq!(placed(&high), [(0, 0.0), (0, 60.0), (1, 0.0)]);
    // The two that must not be parted are not, even so.
    let kept = [extent(60.0), joined(10.0), keeping(10.0), extent(80.0)];
    assert_eq!(placed(&kept), [(0, 0.0), (0, 70.0), (1, 0.0), (1, 20.0)]);
}

#[test]
fn a_piece_of_no_height_begins_its_page_like_any_other() {
    for height in [0.0, 0.004] {
        // 10 lie below it, so 95 more do not fit.
        assert_eq!(
            placed(&[extent(height), extent(95.0)]),
            [(0, 0.0), (1, 0.0)]
        );
        let first_and_next = [extent(height), extent(80.0)];
        assert_eq!(placed(&first_and_next), [(0, 0.0), (0, 10.0 + height)]);
        let begin = places(&first_and_next, 100.0);
        assert!(begin[0].begins_page && !begin[1].begins_page);
    }
    assert!(places(&[chart(0.0)], 100.0)[0].share > 0.999);
}

/// Heights of any size, and often those next to nothing.
fn heights() -> impl Strategy<Value = f32> {
    prop_oneof![4 => 0.0_f32..100.0, 1 => 0.0_f32..0.02, 1 => Just(0.0_f32)]
}

proptest! {
    #[test]
    fn no_piece_is_cut_and_none_covers_another(
        pieces in prop::collection::vec((heights(), any::<[bool; 4]>()), 0..40),
    ) {
        let extents: Vec<Extent> = pieces
            .iter()
            .map(|&(height, [keeps_next, joins_next, breaks_before, is_chart])| Extent {
                keeps_next,
                joins_next,
                breaks_before,
                spare: if is_chart { 0.28 } else { 0.0 },
                ..extent(height)
            })
            .collect();
        let places = places(&extents, 100.0);
        assert_eq!(places.len(), extents.len());
        let mut end = (0, 0.0);
        for (place, extent) in places.iter().zip(&extents) {
            assert!((place.page, place.top) >= end);
            let height = extent.height * place.share;
            assert!(place.share > 0.999 || (extent.spare > 0.0 && place.share > 0.719));
            assert!(place.top + height <= 100.02);
            end = (place.page, place.top + height - 0.01);
        }
    }
}

#[test]
fn the_block_of_a_page_lies_within_a4_and_within_letter() {
    let millimeter = 72.0 / 25.4;
    for (width, height) in [(210.0, 297.0), (215.9, 279.4)] {
        let (across, down) = (PAGE.0 - 2.0 * (PAGE.0 - WIDTH) / 2.0, PAGE.1 - 2.0 * TOP);
        assert!((width * millimeter - across) / 2.0 > 12.0 * millimeter);
        assert!((height * millimeter - down) / 2.0 > 12.0 * millimeter);
    }
}

fn column(least: f32, typical: f32, natural: f32) -> Column {
    Column {
        natural,
        typical,
        least,
    }
}

#[test]
fn columns_are_as_wide_as_their_texts_where_these_fit() {
    let columns = [column(10.0, 20.0, 30.0), column(5.0, 50.0, 70.0)];
    assert_eq!(widths(&columns, 100.0), Some(vec![30.0, 70.0]));
}

#[test]
fn columns_that_do_not_fit_keep_their_words_and_fill_the_room() {
    let columns = [
        column(20.0, 20.0, 20.0),
        column(30.0, 60.0, 300.0),
        column(20.0, 100.0, 400.0),
    ];
    let found = widths(&columns, 150.0).expect("the words fit");
    assert!(
        (found.iter().sum::<f32>() - 150.0).abs() < 0.01,
        "{found:?}"
    );
    // 80 are left: 40 evenly, which is 20 each, and 40 by what is lacking then, 10 and 60.
    let by_hand = [20.0, 30.0 + 20.0 + 40.0 / 7.0, 20.0 + 20.0 + 240.0 / 7.0];
    for (found, by_hand) in found.iter().zip(by_hand) {
        assert!((found - by_hand).abs() < 0.01, "{found} {by_hand}");
    }
    assert_eq!(widths(&columns, 69.0), None);
}

#[test]
fn words_that_do_not_fit_share_the_room() {
    let columns = [
        column(10.0, 10.0, 10.0),
        column(90.0, 90.0, 90.0),
        column(200.0, 200.0, 200.0),
    ];
    assert_eq!(narrowed(&columns, 100.0), [10.0, 45.0, 45.0]);
}

#[test]
fn room_moves_to_the_column_that_makes_the_table_high() {
    // One row: a short text in 100 points, and one of 300 points in 100, which takes four lines.
    let columns = [column(20.0, 40.0, 40.0), column(20.0, 300.0, 300.0)];
    let texts = vec![vec![vec![40.0], vec![300.0]]];
    let found = lowered(vec![100.0, 100.0], &columns, &texts, 1.0);
    assert!(
        (found.iter().sum::<f32>() - 200.0).abs() < 0.01,
        "{found:?}"
    );
    // Two lines of 160 hold it; the other text stays on its line.
    assert!(found[0] >= 40.0 && found[1] > 150.0, "{found:?}");
    // Nothing is gained by moving where nothing is broken.
    let widths = vec![100.0, 300.0];
    assert_eq!(lowered(widths.clone(), &columns, &texts, 1.0), widths);
}

#[test]
fn a_long_word_may_be_broken_after_a_hyphen_between_letters_only() {
    let typefaces = Typefaces::new();
    let face = typefaces.of(Weight::Regular);
    let is_widest = |text: &str, part: &str| {
        (face.widest_part(text, 2048.0) - face.width(part, 2048.0)).abs() < 0.01
    };
    assert!(is_widest("a Robins-Greenland", "Greenland"));
    assert!(is_widest("2026-10-12345678", "2026-10-12345678"));
    assert!(is_widest("rat-tooth", "rat-tooth"));
    assert!(is_widest("long_word_here", "long_word_here"));
}

#[test]
fn a_text_is_measured_by_the_tables_of_the_typeface() {
    let typefaces = Typefaces::new();
    // Advance widths of Liberation Sans in 2048ths of an em, by fontTools: W 1933, i 455, space 569;
    // of the bold: W 1933, i 569.
    let regular = typefaces.of(Weight::Regular);
    assert!((regular.width("Wi i", 2048.0) - (1933.0 + 455.0 + 569.0 + 455.0)).abs() < 0.01);
    assert!((typefaces.of(Weight::Bold).width("Wi", 2048.0) - (1933.0 + 569.0)).abs() < 0.01);
}

#[test]
fn lines_break_between_words_and_long_words_after_a_sign_or_a_letter() {
    let typefaces = Typefaces::new();
    let face = typefaces.of(Weight::Regular);
    let lines = |text: &'static str, width: f32| -> Vec<&str> {
        face.lines(text, 2048.0, width)
            .into_iter()
            .map(|line| &text[line])
            .collect()
    };
    let wide = |text: &str| face.width(text, 2048.0);
    assert_eq!(
        lines("one two three", wide("one two")),
        ["one two ", "three"]
    );
    assert_eq!(
        lines("one two three", wide("one two") - 1.0),
        ["one ", "two ", "three"]
    );
    assert_eq!(lines("a WWWWW b", wide("WW")), ["a ", "WW", "WW", "W b"]);
    assert_eq!(
        lines("long_word_here", wide("long_word_he")),
        ["long_word_", "here"]
    );
    assert_eq!(lines("WWW", 0.0), ["W", "W", "W"]);
    assert_eq!(lines("", 10.0), [""]);
}
