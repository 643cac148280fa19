//! Tests of places, widths and lines: plain numbers, worked out by hand.

use crate::report::pdf::columns::{Column, narrowed, widths};
use crate::report::pdf::layout::{Extent, places};
use crate::report::pdf::piece::{PAGE, TOP, WIDTH};
use crate::report::pdf::text::{Typefaces, Weight};
use proptest::prelude::{any, prop, proptest};

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

proptest! {
    #[test]
    fn no_piece_is_cut_and_none_covers_another(
        pieces in prop::collection::vec((0.0_f32..100.0, any::<bool>(), any::<bool>()), 0..40),
    ) {
        let extents: Vec<Extent> = pieces
            .iter()
            .map(|&(height, keeps_next, breaks_before)| Extent { keeps_next, breaks_before, ..extent(height) })
            .collect();
        let places = places(&extents, 100.0);
        let mut end = (0, 0.0);
        for (place, extent) in places.iter().zip(&extents) {
            assert!((place.page, place.top) >= end);
            assert!(place.top + extent.height <= 100.0);
            end = (place.page, place.top + extent.height);
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
